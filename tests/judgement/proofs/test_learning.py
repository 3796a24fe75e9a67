"""Settle learns from motion: what it widens, that it only widens, and that it refuses what the closed forms allow."""

from dataclasses import fields

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenfire.judgement.outcome import Route, TermName
from evenfire.judgement.proofs.interruptions import lowest_under_load
from evenfire.judgement.proofs.learning import MOST_ROUNDS, Learned, case_in, learned, motion_seen
from evenfire.judgement.proofs.result import Found, Scenario, Watched
from evenfire.judgement.settle.settling import settle
from evenfire.plant.readings import Simulated
from evenfire.si import PA_PER_PSI
from tests.judgement.proofs.cases import failures, proof_of, proposed, settled
from tests.surveys import case_of, survey


def learned_of(edits: dict[str, object], plant: str) -> Learned:
    plant_file = survey(edits, plant=plant)
    return learned(plant_file.plant, plant_file.plant.boilers[0])


def test_a_stack_that_the_closed_form_allows_and_the_loop_refuses() -> None:
    plant_file = survey(plant="school-by-dial")
    static = case_in(settle(plant_file.plant, plant_file.plant.boilers[0]))
    assert static is not None
    assert failures(proof_of(static, Scenario.HIGH_LIMIT_ALONE)) == {Watched.NO_LIFT}
    assert failures(proof_of(proposed("school-by-dial"), Scenario.HIGH_LIMIT_ALONE)) == set()
    (lesson,) = settled("school-by-dial").lessons
    assert lesson.term is TermName.RUN_ON_AT_FULL_FIRE
    assert lesson.seen > lesson.closed_form


def test_what_motion_taught_is_marked_so_in_the_margins() -> None:
    terms = {term.name: term for term in proposed("school-by-dial").terms}
    term = terms[TermName.RUN_ON_AT_FULL_FIRE]
    assert term.route is Route.SIMULATED
    (lesson,) = settled("school-by-dial").lessons
    assert term.quantity.value == pytest.approx(lesson.seen)


def test_a_longer_heat_lag_lowers_the_high_limit_of_the_board_mill() -> None:
    # Run-on grows with the lag, and run-on is all that stands between the trip and the valves.
    lag: dict[str, object] = {"boiler.burner.0.heat_lag": "15 s", "boiler.burner.1.heat_lag": "15 s"}
    short, long = proposed("board-mill"), case_in(learned_of(lag, "board-mill").settlement)
    assert long is not None
    assert isinstance(short.stack.trip, float)
    assert isinstance(long.stack.trip, float)
    assert long.stack.trip <= short.stack.trip - PA_PER_PSI


def test_a_boiler_that_cannot_be_simulated_gets_the_static_answer_with_what_is_missing() -> None:
    plant_file = survey({"boiler.controls.firing_rate.action": "pid"})
    done = learned(plant_file.plant, plant_file.plant.boilers[0])
    assert done.settlement == settle(plant_file.plant, plant_file.plant.boilers[0])
    assert done.missing == ("controls.firing_rate.gains",)
    assert done.proofs == ()


SMALL_CHANGES = st.fixed_dictionaries(
    {
        "boiler.water_volume": st.integers(92, 112),
        "boiler.metal_mass": st.integers(90, 112),
    }
)
USUAL = {
    "school": {"boiler.water_volume": (250, "gal"), "boiler.metal_mass": (6800, "lb")},
    "school-by-dial": {"boiler.water_volume": (250, "gal"), "boiler.metal_mass": (6800, "lb")},
}


@pytest.mark.parametrize("plant", sorted(USUAL))
@given(percent=SMALL_CHANGES)
@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_margins_only_grow_over_the_rounds(plant: str, percent: dict[str, int]) -> None:
    edits: dict[str, object] = {
        key: f"{value * percent[key] / 100} {unit}" for key, (value, unit) in USUAL[plant].items()
    }
    done = learned_of(edits, plant)
    widened = done.boiler.simulated or Simulated()
    taught = {field.name: getattr(widened, field.name) for field in fields(widened)}
    assert taught.pop("lowest_under_load") is None  # an on-off burner has no hold to fall into
    assert all(value >= 0.0 for value in taught.values())
    assert done.rounds <= MOST_ROUNDS
    for lesson in done.lessons:
        assert lesson.seen > lesson.closed_form
    # What was taught is enough for what is proposed in the end.
    assert done.still_short == ()
    case = case_in(done.settlement)
    assert case is not None
    assert failures(proof_of(case, Scenario.HIGH_LIMIT_ALONE)) == set()


def test_a_burner_with_two_fires_is_settled_in_motion_too() -> None:
    taught = learned_of(
        {"boiler.burner.firing": "low-high-off", "boiler.controls.firing_rate.action": "two-position"}, "laundry"
    )
    assert not taught.missing
    assert {proved.scenario for proved in taught.proofs} >= {Scenario.DROP, Scenario.STEADY_LOADS}


@pytest.mark.parametrize("lag", ["8 s", "15 s"])
def test_run_on_is_seen_without_the_valves_that_would_hide_it(lag: str) -> None:
    # Run-on of full fire grows with the heat lag; a valve that lifts at 250 psi would hide how far.
    case = case_of(survey({"boiler.burner.0.heat_lag": lag, "boiler.burner.1.heat_lag": lag}, plant="board-mill"))
    seen = motion_seen(case)[TermName.RUN_ON_AT_FULL_FIRE]
    closed = case.stack.full_fire_run_on
    assert isinstance(closed, float)
    assert seen == pytest.approx(closed, rel=0.1)


def test_the_hold_stands_below_what_an_interruption_under_load_falls_to() -> None:
    as_it_was = proof_of(case_of(survey(plant="board-mill")), Scenario.LOW_WATER)
    assert failures(as_it_was) == {Watched.RESTARTS}
    assert Found.PINNED_BY_HOLD in {fact.found for fact in as_it_was.facts}
    case = proposed("board-mill")
    hold, off, lowest = case.stack.hold, case.facts.off.low_fire_hold, lowest_under_load(case)
    assert isinstance(hold, float)
    assert isinstance(off, float)
    assert lowest is not None
    assert hold + off < lowest
    assert failures(proof_of(case, Scenario.LOW_WATER)) == set()
