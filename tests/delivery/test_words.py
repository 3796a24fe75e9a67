"""The wording: an entry for every rule, everything filled in, short, and nothing unsafe in it."""

import re
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from string import Formatter
from typing import Final

import pytest

from evenfire.delivery.intake.plant_file import read_plant_file
from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.words import (
    BASES,
    CAUTIONS,
    CAUTIONS_IN_SHORT,
    DIALS,
    ENTRIES,
    PARTS,
    ROUTES,
    SEVERITIES,
    SEVERITIES_EXPLAINED,
    TERMS,
    Said,
    Words,
    name_of,
    name_of_key,
    remedies_told,
    say,
)
from evenfire.delivery.words.names import is_named
from evenfire.judgement.case import SettingsSet, prepare
from evenfire.judgement.margins import (
    ON_FIRING_RATE,
    ON_LIMITS,
)
from evenfire.judgement.outcome import (
    Basis,
    Clear,
    Finding,
    NotJudged,
    Outcome,
    Part,
    Remedy,
    Route,
    Severity,
    Subject,
    TermName,
)
from evenfire.judgement.rulebook import RULES, judge
from evenfire.plant.controls import Role
from evenfire.si import PA_PER_PSI, DiffPa, Dimension, Quantity
from tests.judgement.every_rule_case import ROWS
from tests.judgement.plants_for_rules import BASES as PLANTS
from tests.judgement.plants_for_rules import REMOVED, case_of, edited
from tests.judgement.test_rulebook_honesty import TOGETHER, droppable

US: Final = partial(show, system=UnitSystem.US)
SI: Final = partial(show, system=UnitSystem.SI)
PLACES: Final = {"observed", "limit", "short_by", "subject", "name", "remedies"}
LONGEST: Final = 170
LAUNDRY: Final = Path(__file__).parents[2] / "examples" / "laundry.toml"


def wordings() -> Iterator[tuple[str, str, Words]]:
    for code, entry in ENTRIES.items():
        yield code, "", entry.finding
        for detail, words in entry.variants:
            yield code, detail, words


def texts(words: Words) -> tuple[str, str, str, str]:
    return words.what, words.why, words.do, words.confirm


def outcomes_of_all_rows() -> Iterator[tuple[str, Outcome]]:
    for row in ROWS:
        for outcome in judge(case_of(edited(PLANTS[row.base], row.edits))):
            if outcome.code == row.code:
                yield row.name, outcome


OUTCOMES: Final = list(outcomes_of_all_rows())


def psi(amount: float) -> DiffPa:
    return DiffPa(amount * PA_PER_PSI)


def pressure(amount: float) -> Quantity:
    return Quantity(amount * PA_PER_PSI, Dimension.GAUGE_PRESSURE)


def finding(code: str, observed: Quantity, limit: Quantity) -> Finding:
    return Finding(
        code=code,
        severity=Severity.STOP,
        basis=Basis.DERIVED,
        subject=Subject(Part.HIGH_LIMIT),
        observed=observed,
        limit=limit,
    )


def test_every_rule_has_its_words_and_no_words_lack_a_rule() -> None:
    assert set(ENTRIES) == {rule.code for rule in RULES}


@pytest.mark.parametrize(("code", "detail", "words"), list(wordings()), ids=lambda part: str(part)[:40])
def test_a_wording_is_short_and_asks_only_for_what_an_outcome_carries(code: str, detail: str, words: Words) -> None:
    for text in texts(words):
        places = {name for _, name, _, _ in Formatter().parse(text) if name is not None}
        assert places <= PLACES
        assert 0 < len(text) <= LONGEST
        assert text.endswith((".", "{remedies}")), (code, detail)
    assert "{" not in words.why
    for text in (words.what, words.why):
        assert ". " not in text, "one sentence is enough"


@pytest.mark.parametrize("system", [US, SI], ids=["US", "SI"])
def test_every_outcome_of_every_case_is_told_whole(system: "partial[str]") -> None:
    for name, outcome in OUTCOMES:
        said = say(outcome, system)
        assert "{" not in f"{said}", name
        assert said.what.endswith((".", "?")), name
        assert (said.do != "") is not isinstance(outcome, Clear), name
        assert (said.confirm != "") is isinstance(outcome, Finding), name


def test_every_detail_that_a_rule_gives_has_its_own_wording_or_is_the_first() -> None:
    seen = {(each.code, each.detail) for _, each in OUTCOMES if isinstance(each, Finding) and each.detail}
    for code, entry in ENTRIES.items():
        assert {detail for detail, _ in entry.variants} <= {detail for each, detail in seen if each == code}
    plain = {(code, detail) for code, detail in seen if detail not in dict(ENTRIES[code].variants)}
    assert plain == {
        ("firing-in-automatic", "manual"),
        ("water-leg", "control-above"),
        ("setting-within-scale", "high"),
        ("hold-usual-low-pressure", "low"),
    }


def test_what_is_practice_or_from_memory_is_never_told_as_a_breach_of_a_code() -> None:
    unsure = {rule.code for rule in RULES if rule.basis in {Basis.COMMON_PRACTICE, Basis.FROM_MEMORY}}
    for code, _, words in wordings():
        if code in unsure:
            told = " ".join((*texts(words), ENTRIES[code].clear)).lower()
            assert not re.search(r"violat|illegal|unlawful|code requires|required by|breach|not allowed", told), code


def test_no_wording_tells_anybody_to_bypass_a_limit_or_to_raise_the_high_limit() -> None:
    for code, _, words in wordings():
        told = f"{words.do} {words.confirm}".lower()
        assert not re.search(r"raise the high limit|bypass the|jumper out|defeat|hold the reset", told), code


def test_no_rule_offers_to_raise_a_high_limit() -> None:
    assert all(Role.HIGH_LIMIT not in dict(margin.raise_to_widen) for margin in (*ON_LIMITS, *ON_FIRING_RATE))
    remedies = [remedy for _, each in OUTCOMES if isinstance(each, Finding) for remedy in each.remedies]
    assert len(remedies) > 20
    assert all(remedy.change < 0 for remedy in remedies if remedy.role is Role.HIGH_LIMIT)


def test_every_stop_says_not_to_fire_or_not_to_reset() -> None:
    stops = {rule.code for rule in RULES if rule.severity is Severity.STOP}
    spoken = re.compile(r"Do not fire|Do not reset it again")
    for code, _, words in wordings():
        if code in stops:
            assert spoken.search(words.do), code


def test_a_remedy_names_the_dial_the_direction_and_the_amount_rounded_up() -> None:
    lower = Remedy(Role.HIGH_LIMIT, "main", psi(-2.01))
    assert remedies_told((lower,), US) == (
        "Lower the high-limit set point by at least 2.1 psi. `evenfire settle` chooses all dials together."
    )
    # 2.01 psi are 0.1386 bar.
    assert "0.14 bar" in remedies_told((lower,), SI)


def test_remedies_of_both_directions_are_told_as_alternatives_and_a_raise_stays_within_the_limits() -> None:
    told = remedies_told(
        (
            Remedy(Role.FIRING_RATE, "main", psi(-11)),
            Remedy(Role.FIRING_RATE, "differential", psi(-11)),
            Remedy(Role.OPERATING_LIMIT, "main", psi(11)),
        ),
        US,
    )
    assert told == (
        "Lower the firing-rate set point or the firing-rate differential by at least 11 psi, or raise the "
        "operating-limit set point by as much, no further than the limits above it leave room. "
        "`evenfire settle` chooses all dials together."
    )


def test_a_remedy_is_never_smaller_than_a_hand_can_turn() -> None:
    assert "at least 0.1 psi" in remedies_told((Remedy(Role.HIGH_LIMIT, "main", psi(-0.00001)),), US)


def test_two_numbers_that_differ_never_read_the_same_in_a_finding() -> None:
    said = say(finding("high-limit-within-mawp", pressure(150.03), pressure(150)), US)
    assert "150.1 psi" in said.what
    assert "150 psi" in said.what


def test_a_limit_in_a_finding_is_rounded_to_its_strict_side() -> None:
    # 1.06 x 141 psi is 149.46 psi: whoever keeps 149.4 keeps that.
    highest = say(finding("high-limit-within-mawp", pressure(151), pressure(149.46)), US)
    assert "149.4 psi" in highest.what
    lowest = say(finding("need-at-full-load", pressure(100), pressure(101.43)), US)
    assert "101.5 psi" in lowest.what


def test_two_numbers_that_are_the_same_read_the_same() -> None:
    said = say(finding("high-limit-below-valve", pressure(150), pressure(150.000_001)), US)
    assert said.what.count("150 psi") == 2


def test_a_margin_is_rounded_down() -> None:
    clear = Clear(
        code="high-limit-within-mawp",
        severity=Severity.STOP,
        basis=Basis.FROM_MEMORY,
        subject=Subject(Part.HIGH_LIMIT),
        margin=Quantity(2.19 * PA_PER_PSI, Dimension.PRESSURE_DIFFERENCE),
    )
    assert say(clear, US) == Said(what="The high limit trips within the MAWP, 2.1 psi to spare.")


def test_what_is_not_judged_says_which_keys_would_change_that() -> None:
    outcome = NotJudged(
        code="high-limit-below-valve",
        severity=Severity.STOP,
        basis=Basis.FROM_MEMORY,
        subject=Subject(Part.HIGH_LIMIT),
        missing=("safety_valve.set", "controls.high_limit.tolerance.dial"),
    )
    assert say(outcome, US).do == (
        "Find out: set pressure of the safety valve (key safety_valve.set); tolerance of the high limit set by its "
        "scale (key controls.high_limit.tolerance.dial)."
    )


def test_what_is_not_judged_says_which_one_is_meant_where_there_are_several() -> None:
    def unjudged(code: str, subject: Subject) -> NotJudged:
        return NotJudged(
            code=code, severity=Severity.WARN, basis=Basis.PUBLISHED, subject=subject, missing=("gauge.water_leg",)
        )

    gauge = say(unjudged("water-leg", Subject(Part.PRESSURE_GAUGE)), US)
    assert gauge.what.startswith("Not judged, pressure gauge: ")
    valve = say(unjudged("valve-lift-test-pressure", Subject(Part.SAFETY_VALVE, "rear")), US)
    assert valve.what.startswith('Not judged, safety valve "rear": ')
    high_limit = say(unjudged("high-limit-own-element", Subject(Part.HIGH_LIMIT)), US)
    assert high_limit.what.startswith("Not judged: ")


def test_every_key_that_a_rule_can_miss_has_a_name() -> None:
    missing = {key for _, each in OUTCOMES if isinstance(each, NotJudged) for key in each.missing}
    for base, table in PLANTS.items():
        for path in droppable(base):
            gone = {path: REMOVED, **dict.fromkeys(TOGETHER.get(path, ()), REMOVED)}
            if base == "low pressure" and path.startswith("boiler.as_found"):
                gone["boiler.as_found.proved"] = REMOVED
            if path == "boiler.as_found":
                gone = {path: REMOVED}
            if base == "low pressure" and re.fullmatch(r"boiler\.controls(\.\w+)?(\.tolerance)?", path):
                gone["boiler.as_found"] = REMOVED
            judged = judge(case_of(edited(table, dict(gone))))
            missing |= {key for each in judged if isinstance(each, NotJudged) for key in each.missing}
    assert len(missing) > 50
    assert {key for key in missing if not is_named(key)} == set()
    assert all("(key " in name_of_key(key) for key in missing)


def test_a_band_that_a_controller_works_out_itself_is_no_key() -> None:
    table = edited(PLANTS["high pressure"], {"boiler.controls.firing_rate.action": "pid"})
    missing = {key for each in judge(case_of(table)) if isinstance(each, NotJudged) for key in each.missing}
    assert "simulation" in missing
    assert "key" not in name_of_key("simulation")


def test_an_unknown_key_is_shown_as_it_is() -> None:
    assert name_of_key("settings.no_such_dial") == "settings.no_such_dial (key no_such_dial in the settings)"
    assert not is_named("controls.no_such.thing")


def test_names_exist_for_all_that_an_outcome_can_carry() -> None:
    assert set(PARTS) == set(Part)
    assert set(TERMS) == set(TermName)
    assert set(ROUTES) == set(Route)
    assert set(SEVERITIES) == set(SEVERITIES_EXPLAINED) == set(Severity)
    assert set(BASES) == set(Basis)
    assert {role for role, _ in DIALS} == set(Role)


def test_a_name_from_a_plant_file_cannot_upset_a_terminal() -> None:
    assert "\x1b" not in name_of(Subject(Part.SAFETY_VALVE, "\x1b[31mrear"))
    jumper = Finding(
        code="nothing-bypassed",
        severity=Severity.STOP,
        basis=Basis.DERIVED,
        subject=Subject(Part.BOILER, "wire\x1b[2J {remedies}"),
    )
    assert say(jumper, US).what == "A jumper was seen: wire\N{REPLACEMENT CHARACTER}[2J {remedies}."


def test_the_laundry_is_told_its_fault_its_dial_the_direction_and_the_amount() -> None:
    plant = read_plant_file(LAUNDRY).plant
    boiler = plant.boilers[0]
    assert boiler.as_found is not None
    outcomes = judge(prepare(plant, boiler, SettingsSet.AS_FOUND, boiler.as_found.settings))
    (fault,) = [each for each in outcomes if each.code == "low-fire-before-cut-out"]
    assert isinstance(fault, Finding)
    said = say(fault, US)
    assert "short cycling" in said.why
    assert re.match(
        r"Lower the firing-rate set point by at least \d+(\.\d+)? "
        r"psi \(alone it would break .the need at full load.\), "
        r"or raise the operating-limit set point by (as much|at least \d+(\.\d+)? psi)",
        said.do,
    )


CAUTIONED: Final = (
    "fuel kill",
    "qualified person",
    "nameplate",
    "adopted code",
    "insurer",
    "authority",
    "Bypass no limit",
    "temporary change",
    "at the stop",
    "above the MAWP",
    "safety valve",
    "out of service",
    "low-fire hold",
    "voltage",
    "lock it out",
    "siphon",
    "sensing line",
    "discharge",
    "consent",
    "mercury",
)
"""What the cautions of the design page speak of."""


@pytest.mark.parametrize("subject", CAUTIONED)
def test_the_cautions_are_complete(subject: str) -> None:
    assert any(subject in caution for caution in CAUTIONS)


def test_the_short_cautions_are_two_lines_and_point_to_the_rest() -> None:
    assert all(len(line) <= 120 for line in CAUTIONS_IN_SHORT)
    assert "README" in CAUTIONS_IN_SHORT[1]
    assert all(caution.endswith(".") for caution in CAUTIONS)
