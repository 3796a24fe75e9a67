"""Settle: what it proposes holds, it is the best there is, and it refuses rather than guesses."""

import itertools
import os
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.judgement.margins import Tier, least_room, room
from evenfire.judgement.outcome import Finding, Severity
from evenfire.judgement.rulebook import judge
from evenfire.judgement.settle.choosing import Pick, best
from evenfire.judgement.settle.grid import Positions, proved_roles
from evenfire.judgement.settle.ground import ground_of, likely_part
from evenfire.judgement.settle.result import CannotSettle, Fits, NothingFits, Settlement
from evenfire.judgement.settle.search import HOLD_DEMANDS, Ground, rooms_of, stack_of, tables_of
from evenfire.judgement.settle.settling import settle
from evenfire.plant.known import Missing, NotKnownError
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import PA_PER_PSI, DiffPa, GaugePa
from tests.surveys import survey

FEW = 400 if os.environ.get("EVENFIRE_SOAK") == "1" else 12
"""Examples of a test in which some plants do not fit: their cures take a second each."""
COARSE: dict[str, object] = {
    "boiler.controls.operating_limit.scale": {"from": "90 psi", "to": "150 psi", "division": "8 psi"},
    "boiler.controls.operating_limit.differential_scale": {"from": "4 psi", "to": "16 psi", "division": "8 psi"},
    "boiler.controls.operating_limit.tolerance": {"dial": "1 psi"},
    "boiler.controls.high_limit.scale": {"from": "100 psi", "to": "160 psi", "division": "6 psi"},
    "boiler.controls.high_limit.tolerance": {"dial": "1 psi"},
    "boiler.controls.firing_rate.scale": {"from": "90 psi", "to": "150 psi", "division": "8 psi"},
    "boiler.controls.firing_rate.differential_scale": {"from": "5 psi", "to": "15 psi", "division": "10 psi"},
    "boiler.controls.low_fire_hold": None,
    "boiler.as_found": None,
}


def answer_for(edits: dict[str, object] | None = None, plant: str = "laundry") -> Settlement:
    surveyed = survey(edits, plant).plant
    return settle(surveyed, surveyed.boilers[0])


def fits(edits: dict[str, object] | None = None, plant: str = "laundry") -> Fits:
    answer = answer_for(edits, plant)
    assert isinstance(answer, Fits), answer
    return answer


def findings(settlement_case: Case, *weights: Severity) -> list[str]:
    return [each.code for each in judge(settlement_case) if isinstance(each, Finding) and each.severity in weights]


def test_the_laundry_settles_without_a_stop_or_warn_finding() -> None:
    chosen = fits().chosen
    assert findings(chosen.case, Severity.STOP, Severity.WARN) == []


def test_the_laundry_starts_less_often_and_reaches_low_fire_first() -> None:
    chosen = fits().chosen
    stack = chosen.case.stack
    assert not isinstance(stack.low_fire, Missing)
    assert not isinstance(stack.cut_out, Missing)
    assert stack.low_fire < stack.cut_out
    assert chosen.standing.share_at_cut_out == pytest.approx(0.25)


def test_a_proved_control_is_set_to_even_half_pounds_at_the_boiler() -> None:
    # Without a reading: a dial that stands somewhere may stay there, even between two half pounds.
    stack = fits({"boiler.as_found": None}).chosen.case.stack
    for point in (stack.cut_out, stack.trip):
        assert not isinstance(point, Missing)
        assert 2 * point / PA_PER_PSI == pytest.approx(round(2 * point / PA_PER_PSI), abs=1e-6)


def test_a_dial_marked_in_bar_is_proved_to_even_twentieths_of_a_bar() -> None:
    scale = {"from": "1 bar", "to": "10 bar", "division": "0.2 bar"}
    edits: dict[str, object] = {
        "boiler.controls.operating_limit.scale": scale,
        "boiler.controls.high_limit.scale": scale,
        "boiler.as_found": None,
    }
    stack = fits(edits).chosen.case.stack
    for point in (stack.cut_out, stack.trip):
        assert not isinstance(point, Missing)
        assert 20 * point / 1e5 == pytest.approx(round(20 * point / 1e5), abs=1e-6)


def test_a_control_set_by_dial_stays_on_marks_and_half_marks() -> None:
    reading = fits().chosen.settings.firing_rate
    assert reading is not None
    halves = (reading.main / PA_PER_PSI - 5) / 2.5
    assert halves == pytest.approx(round(halves), abs=1e-6)


def test_without_what_decides_safety_nothing_is_proposed() -> None:
    for key in (
        "boiler.safety_valve",
        "boiler.controls.high_limit",
        "boiler.controls.high_limit.tolerance",
        "boiler.controls.high_limit.scale",
        "boiler.water_volume",
        "load.need",
    ):
        answer = answer_for({key: None, "boiler.as_found": None})
        assert isinstance(answer, CannotSettle), key
        assert answer.missing, key


def test_where_nothing_fits_the_nearest_still_breaks_no_stop_rule() -> None:
    answer = answer_for({"load.need": "128 psi"})
    assert isinstance(answer, NothingFits)
    assert answer.nearest is not None
    assert answer.failing
    assert findings(answer.nearest.case, Severity.STOP) == []


def test_where_no_dial_reaches_below_the_valve_nothing_is_shown() -> None:
    high = {"from": "149 psi", "to": "200 psi", "division": "2 psi"}
    answer = answer_for({"boiler.controls.high_limit.scale": high, "boiler.as_found": None})
    assert isinstance(answer, NothingFits)
    assert answer.nearest is None
    assert "high-limit-stops-before-valve" in {each.code for each in answer.failing}


FIRINGS: dict[str, dict[str, object]] = {
    "proportional": {},
    "two-position": {
        "boiler.burner.firing": "low-high-off",
        "boiler.controls.firing_rate.action": "two-position",
    },
    "pid": {"boiler.controls.firing_rate.action": "pid"},
    "none": {
        "boiler.burner.firing": "on-off",
        "boiler.burner.turndown": None,
        "boiler.controls.firing_rate": None,
        "boiler.as_found.firing_rate": None,
        "boiler.as_found.firing_rate_differential": None,
    },
}
CHANGES = st.fixed_dictionaries(
    {
        "load.need": st.integers(60, 140).map(lambda psi: f"{psi} psi"),
        "load.wish": st.integers(90, 150).map(lambda psi: f"{psi} psi"),
        "boiler.burner.turndown": st.sampled_from([1.5, 2, 4, 10]),
        "boiler.burner.heat_lag": st.integers(1, 25).map(lambda s: f"{s} s"),
        "boiler.burner.start.prepurge": st.integers(5, 120).map(lambda s: f"{s} s"),
        "boiler.water_volume": st.integers(150, 3000).map(lambda gallons: f"{gallons} gal"),
        "boiler.controls.operating_limit.tolerance": st.sampled_from(
            [{"dial": "2 psi"}, {"dial": "1 psi"}, {"dial": "4 psi", "proved": "0.5 psi"}]
        ),
        "boiler.controls.high_limit.tolerance": st.sampled_from(
            [{"dial": "2 psi"}, {"dial": "5 psi"}, {"dial": "2 psi", "proved": "0.5 psi"}]
        ),
        "boiler.controls.high_limit.water_leg": st.sampled_from(
            ["none", {"height": "6 ft", "position": "above", "filling": "unsure"}]
        ),
        "boiler.safety_valve.1.set": st.sampled_from(["150 psi", "145 psi"]),
    }
)


@settings(max_examples=FEW)
@given(edits=CHANGES, firing=st.sampled_from(["proportional", "two-position", "pid", "none"]))
def test_no_proposal_has_a_stop_finding_however_the_plant_is_changed(edits: dict[str, object], firing: str) -> None:
    answer = answer_for({**edits, **FIRINGS[firing]})
    assert not isinstance(answer, CannotSettle)
    if isinstance(answer, Fits):
        assert findings(answer.chosen.case, Severity.STOP) == []
        codes = {each.code for each in answer.chosen.case.demands if each.tier is not Tier.USUAL}
        assert codes.isdisjoint(findings(answer.chosen.case, Severity.WARN))
    elif answer.nearest is not None:
        assert findings(answer.nearest.case, Severity.STOP) == []


@given(edits=CHANGES, firing=st.sampled_from(["proportional", "two-position", "pid", "none"]))
def test_the_search_and_the_case_give_one_boiler_the_same_margins(edits: dict[str, object], firing: str) -> None:
    surveyed = survey({**edits, **FIRINGS[firing]}).plant
    boiler = surveyed.boilers[0]
    part = likely_part(ground_of(surveyed, boiler))
    if part is None:
        return
    tables = tables_of(part)
    pick = best(tables, part, None)
    if pick is None:
        return
    stack = stack_of(part)
    case = prepare(surveyed, boiler, SettingsSet.PROPOSED, settings_at(part, pick))
    for margin in case.demands:
        table = rooms_of(margin, stack, part.facts)
        if table is None or margin in HOLD_DEMANDS:
            continue
        places = zip((pick.operating, pick.rate, pick.high), table.shape, strict=True)
        searched = float(table[tuple(place if size > 1 else 0 for place, size in places)])
        assert searched == pytest.approx(float(room(margin, case.stack, case.facts)), abs=1.0), margin.code


def settings_at(part: Ground, pick: Pick) -> Settings:
    rate = None if part.rate is None else reading(part.rate, pick.rate)
    return Settings(
        operating_limit=reading(part.operating, pick.operating),
        firing_rate=rate,
        high_limit=reading(part.high, pick.high),
        proved=proved_roles(part.behaviour.boiler),
    )


def reading(positions: Positions, place: int) -> DialReading:
    differential = positions.differential
    return DialReading(
        main=GaugePa(float(positions.main[place])),
        differential=None if differential is None else DiffPa(float(differential[place])),
    )


def every_combination(plant_file: PlantFile) -> list[tuple[float, float, Settings]]:
    """Every combination of a coarse plant by plain loops: (starts, smallest margin in tolerances, settings).

    The margins are the program's own: this checks that the search overlooks nothing, not the formulas.
    """
    plant = plant_file.plant
    boiler = plant.boilers[0]
    found = []
    axes = (marks(90, 150, 4), marks(4, 16, 4), marks(90, 150, 4), marks(5, 15, 5), marks(100, 160, 3))
    for cut_out, differential, rate, band, trip in itertools.product(*axes):
        # Two facts that need no formula keep the loops short: nothing above its neighbour can ever fit.
        if not cut_out < trip < 146 or rate + band >= cut_out or cut_out - differential < 90:
            continue
        settings = Settings(
            operating_limit=DialReading(main=psi(cut_out), differential=DiffPa(psi(differential))),
            firing_rate=DialReading(main=psi(rate), differential=DiffPa(psi(band))),
            high_limit=DialReading(main=psi(trip)),
        )
        case = prepare(plant, boiler, SettingsSet.PROPOSED, settings)
        weight = smallest_weight(case)
        if weight is not None:
            starts = case.behaviour.cycling(cut_in(case), GaugePa(known_number(case.stack.cut_out)), None).starts
            found.append((starts, weight, settings))
    return found


def smallest_weight(case: Case) -> float | None:
    """The smallest margin in tolerances of a case that meets every demand, else ``None``."""
    weights = []
    for margin in case.demands:
        if margin.tier is Tier.USUAL:
            continue
        try:
            value = float(room(margin, case.stack, case.facts))
        except NotKnownError:
            continue
        if value < least_room(margin):
            return None
        weights.append(value / (PA_PER_PSI * len(margin.tolerances)))
    return min(weights)


def marks(lowest: float, highest: float, half_division: float) -> list[float]:
    return [lowest + half_division * count for count in range(int((highest - lowest) / half_division + 1e-9) + 1)]


def psi(value: float) -> GaugePa:
    return GaugePa(value * PA_PER_PSI)


def known_number(value: float | Missing) -> float:
    assert not isinstance(value, Missing)
    return value


def cut_in(case: Case) -> GaugePa:
    return GaugePa(known_number(case.stack.cut_in))


@pytest.mark.parametrize("seed", range(8))
def test_on_a_coarse_plant_plain_loops_find_the_same_verdict_and_nothing_better(seed: int) -> None:
    chance = random.Random(seed)
    edits: dict[str, object] = {
        **COARSE,
        "load.need": f"{chance.choice([92, 96, 100, 104, 112])} psi",
        "load.wish": f"{chance.choice([120, 126, 132, 140])} psi",
        "boiler.burner.heat_lag": f"{chance.choice([4, 8, 14])} s",
    }
    surveyed = survey(edits)
    answer = settle(surveyed.plant, surveyed.plant.boilers[0])
    found = every_combination(surveyed)
    assert isinstance(answer, Fits) is bool(found)
    if not isinstance(answer, Fits):
        return
    starts = answer.chosen.standing.cycling
    assert not isinstance(starts, Missing)
    least = min(each[0] for each in found)
    band = max(least * 1.1, least + 0.3 / 3600)
    assert starts.starts <= band * (1 + 1e-9)
    usual = [each for each in found if each[0] <= band * (1 + 1e-9) and meets_practice(surveyed, each[2])]
    rivals = usual or [each for each in found if each[0] <= band * (1 + 1e-9)]
    mine = smallest_weight(answer.chosen.case)
    assert mine is not None
    plenty = 5.0  # beyond five tolerances a wider margin is no goal
    assert min(mine, plenty) == pytest.approx(min(max(each[1] for each in rivals), plenty), abs=1e-6)


def meets_practice(plant_file: PlantFile, settings: Settings) -> bool:
    case = prepare(plant_file.plant, plant_file.plant.boilers[0], SettingsSet.PROPOSED, settings)
    return known_number(case.stack.cut_in) >= known_number(case.stack.high_fire) - 0.01
