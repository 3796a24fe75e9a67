"""What the rule book does with a survey that has gaps: it never fails, never falls silent, never clears for it."""

import re
from itertools import chain
from typing import Final

from hypothesis import given
from hypothesis import strategies as st

from evenfire.judgement.outcome import Clear, NotJudged, Severity
from evenfire.judgement.rulebook import RULES, judge
from tests.judgement.every_rule_case import ROWS
from tests.judgement.plants_for_rules import BASES, HIGH_PRESSURE, REMOVED, Edits, Table, Value, case_of, edited
from tests.judgement.rule_cases import Row


def keys_of(value: Value, path: str = "") -> list[str]:
    """The path of every key in a table, tables themselves among them."""
    if isinstance(value, dict):
        inner = [(f"{path}.{key}" if path else key, item) for key, item in value.items()]
    elif isinstance(value, list):
        inner = [(f"{path}.{place}", item) for place, item in enumerate(value)]
    else:
        return []
    deeper = list(chain.from_iterable(keys_of(item, each) for each, item in inner))
    return ([] if isinstance(value, list) else [each for each, _ in inner]) + deeper


BY_PATH: Final = {
    name: [path.replace("boiler.0.", "boiler.") for path in keys_of(base)] for name, base in BASES.items()
}
MUST_BE_THERE: Final = re.compile(
    r"format|site|site\.name|load|boiler|boiler\.(name|kind|mawp)|boiler\.burner\.0\.(fuel|firing)|.*safety_valve\.\d\.set"
    r"|.*\.(from|to|division)|boiler\.gauge\.(to|division)|load\.drop\..*|.*\.(rise|fall|firing|load|position|filling)"
    r"|.*\.tolerance\.proved|boiler\.1\..*"
)
"""Without these the file is no plant file: the intake says so, and there is nothing to judge."""
TOGETHER: Final = {
    "boiler.as_found.operating_limit": ("boiler.as_found.operating_limit_differential",),
    "boiler.as_found.firing_rate": ("boiler.as_found.firing_rate_differential",),
}
"""A key that may not stand without another goes with it."""


def droppable(name: str) -> list[str]:
    return [path for path in BY_PATH[name] if MUST_BE_THERE.fullmatch(path) is None]


def without(table: Table, paths: list[str]) -> Table:
    """A plant without some keys; what was inside a table that went has gone with it."""
    made = table
    gone: set[str] = set()
    for path in sorted({each for key in paths for each in (key, *TOGETHER.get(key, ()))}):
        if any(path.startswith(f"{each}.") for each in gone):
            continue
        gone.add(path)
        made = _dropped(made, path)
    if "as_found" in str(made["boiler"]):
        made = _only_provable(made)
    return made


def _dropped(table: Table, path: str) -> Table:
    try:
        return edited(table, {path: REMOVED})
    except (KeyError, IndexError):
        return table


def _only_provable(table: Table) -> Table:
    """A control can be named as proved only while it is there and read."""
    boilers = table["boiler"]
    assert isinstance(boilers, list)
    boiler = boilers[0]
    assert isinstance(boiler, dict)
    found, controls = boiler.get("as_found"), boiler.get("controls", {})
    if not isinstance(found, dict) or not isinstance(controls, dict) or "proved" not in found:
        return table
    proved = found["proved"]
    assert isinstance(proved, list)
    provable: list[Value] = [role for role in proved if _is_provable(controls.get(str(role))) and role in found]
    return edited(table, {"boiler.as_found.proved": provable})


def _is_provable(control: Value | None) -> bool:
    return isinstance(control, dict) and "tolerance" in control


@st.composite
def poorer_plants(draw: st.DrawFn) -> tuple[Table, list[str]]:
    name = draw(st.sampled_from(sorted(BASES)))
    dropped = draw(st.lists(st.sampled_from(droppable(name)), min_size=1, max_size=40, unique=True))
    return BASES[name], dropped


@given(poorer_plants())
def test_judging_a_survey_with_gaps_never_fails_and_never_falls_silent(plant: tuple[Table, list[str]]) -> None:
    table, dropped = plant
    case = case_of(without(table, dropped))
    outcomes = judge(case)
    told = {outcome.code for outcome in outcomes}
    always = {rule.code for rule in RULES if rule.applies_to.to(case)} - MAY_HAVE_NOTHING_TO_ASK
    assert always <= told
    assert all(outcome.missing for outcome in outcomes if isinstance(outcome, NotJudged))


MAY_HAVE_NOTHING_TO_ASK: Final = {
    # Demands of the load or of a kind of burner that this plant does not have.
    "low-fire-hold-fitted",
    "cut-out-within-wish",
    "cut-out-within-downstream-rating",
    "low-fire-before-cut-out",
    "need-at-full-load",
    "cut-in-above-high-fire",
    "high-limit-within-low-pressure",
    "firing-in-automatic",
    "low-fire-start",
    "prepurge-before-start",
    # A control that no boiler must have.
    "hold-below-restart",
    "hold-below-full-load",
    "hold-usual-low-pressure",
    "hold-usual-watertube",
    # Valves or boilers of which there is only one, or nothing to compare with.
    "other-valves-near-mawp",
    "valve-settings-close",
    "valve-lift-test-pressure",
    "stamped-capacity-plausible",
    "shared-header-relief",
    # A stop speaks instead.
    "gauge-range-usual",
}

ANOTHER_ANSWERS: Final = re.compile(
    # The heat of the boiler is known from what tells of it; that the input was not clocked is a stop rule of its own.
    r"boiler\.output|boiler\.burner|.*\.(input|input_clocked|efficiency)"
    # A leg that was not surveyed shifts nothing; the rule on water legs is then not judged.
    r"|.*water_leg(\..*)?"
    # A number that is computed or assumed takes its place, and carries the mark.
    r"|boiler\.measured|.*\.(heat_lag|steam_volume|metal_mass|feedwater_temperature|blowdown|run_on)"
)
"""Keys whose loss another rule or a mark tells of."""
FIRST_ROWS: Final = [row for row in ROWS if row.ends in {"finding", "not judged"}]


@given(st.sampled_from(FIRST_ROWS), st.data())
def test_losing_a_key_never_clears_a_stop_rule(row: Row, data: st.DataObject) -> None:
    richer = edited(BASES[row.base], row.edits)
    keys = [key for key in droppable(row.base) if ANOTHER_ANSWERS.fullmatch(key) is None]
    dropped = data.draw(st.lists(st.sampled_from(keys), min_size=1, max_size=8, unique=True))
    poorer = without(richer, dropped)
    before = {(each.code, each.subject): each for each in judge(case_of(richer))}
    for after in judge(case_of(poorer)):
        if isinstance(after, Clear) and after.severity is Severity.STOP:
            assert isinstance(before.get((after.code, after.subject), after), Clear), f"{after.code} without {dropped}"


def test_each_missing_answer_of_a_stop_rule_is_told_by_itself() -> None:
    """One key at a time, so that none hides behind another; valves and limits that are not listed are none."""
    for key in droppable("high pressure"):
        if key == "boiler.safety_valve":
            continue
        edits: Edits = {key: REMOVED, **dict.fromkeys(TOGETHER.get(key, ()), REMOVED)}
        outcomes = judge(case_of(edited(HIGH_PRESSURE, edits)))
        stops = [each for each in outcomes if each.severity is Severity.STOP and not isinstance(each, Clear)]
        assert all(isinstance(each, NotJudged) or each.code.endswith("-fitted") for each in stops), key
