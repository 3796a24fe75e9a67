"""Settle learns from motion: what it widens, that it only widens, and that it refuses what the closed forms allow."""

from dataclasses import fields
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenfire.judgement.outcome import Route, TermName
from evenfire.judgement.proofs.interruptions import lowest_under_load
from evenfire.judgement.proofs.learning import ENOUGH, MOST_ROUNDS, Learned, case_in, learned, motion_seen
from evenfire.judgement.proofs.result import Found, Proof, Scenario, Verdict, Watched
from evenfire.judgement.settle.result import Fits
from evenfire.judgement.settle.settling import settle
from evenfire.plant.readings import Simulated
from evenfire.si import PA_PER_PSI, GaugePa
from tests.conftest import SOAK
from tests.judgement.proofs.cases import failures, proof_of, proposed, settled
from tests.judgement.random_plants import chunks, random_plant
from tests.surveys import case_of, survey

LOW_HIGH_OFF: dict[str, object] = {
    "boiler.burner.firing": "low-high-off",
    "boiler.controls.firing_rate.action": "two-position",
}


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
    assert widened.lowest_under_load is None  # an on-off burner has no hold to fall into
    assert len(done.rounds) > 1
    assert_margins_only_grow(done)
    for lesson in done.lessons:
        assert lesson.seen > lesson.closed_form
    # What was taught is enough for what is proposed in the end.
    assert done.still_short == ()
    case = case_in(done.settlement)
    assert case is not None
    assert failures(proof_of(case, Scenario.HIGH_LIMIT_ALONE)) == set()


def assert_margins_only_grow(done: Learned) -> None:
    """No term is ever reckoned with less than in a round before, and no hold may stand higher."""
    assert 1 <= len(done.rounds) <= MOST_ROUNDS
    assert done.rounds[0].widened == Simulated()
    for before, after in pairwise(done.rounds):
        assert after.widened != before.widened
        for field in fields(Simulated):
            was, is_now = getattr(before.widened, field.name), getattr(after.widened, field.name)
            if field.name != "lowest_under_load":
                assert is_now >= was >= 0.0
            elif was is not None:
                assert is_now <= was


RANDOM = 400 if SOAK else 24


@pytest.mark.parametrize("seeds", list(chunks(RANDOM, 8)), ids=lambda seeds: f"{seeds.start}-{seeds.stop - 1}")
def test_on_random_plants_no_answer_hides_a_proof_that_fails(seeds: range) -> None:
    fits = 0
    for seed in seeds:
        plant = random_plant(seed)
        done = learned(plant.plant, plant.boiler)
        if done.missing:
            continue
        assert_margins_only_grow(done)
        if not isinstance(done.settlement, Fits):
            continue
        fits += 1
        failed = {each.scenario for each in done.proofs if isinstance(each, Proof) and each.verdict is Verdict.FAILS}
        # No dial mends valves that are too small, and how fast it warms at low fire; they are told by themselves.
        said = {each.scenario for each in done.failing} | {Scenario.VALVES_ALONE, Scenario.COLD_START}
        assert failed <= said, (seed, plant.stratum)
        assert done.falls_short == bool(done.failing or done.still_short), (seed, plant.stratum)
    assert fits > 0


def test_a_burner_with_two_fires_is_settled_in_motion_too() -> None:
    taught = learned_of(LOW_HIGH_OFF, "laundry")
    assert not taught.missing
    assert {proved.scenario for proved in taught.proofs} >= {Scenario.DROP, Scenario.STEADY_LOADS}
    assert not taught.falls_short


def test_a_step_from_low_to_high_fire_falls_below_the_high_fire_point_and_settle_reckons_with_it() -> None:
    # By hand: no load is known, so full load counts, and all of the step is lacking when the point is reached.
    done = learned_of({**LOW_HIGH_OFF, "load.demand": None}, "laundry")
    case = case_in(done.settlement)
    assert case is not None
    (burner,) = case.boiler.burners
    full, low = case.behaviour.full_heat(burner).value, case.behaviour.low_fire_share(burner)
    assert burner.heat_lag is not None
    assert burner.stroke_time is not None
    high_fire, fall, off, need = case.stack.high_fire, case.stack.load_fall, case.facts.off.firing_rate, case.facts.need
    assert isinstance(high_fire, float)
    assert isinstance(fall, float)
    assert isinstance(off, float)
    assert isinstance(need, float)
    seconds = burner.heat_lag.value + burner.stroke_time.value / 2
    by_hand = full * (1 - low) * seconds / case.behaviour.storage(GaugePa(high_fire)).value
    taught = done.boiler.simulated or Simulated()
    assert fall == pytest.approx(by_hand + taught.load_fall)
    assert high_fire - off - fall >= need - 1.0
    # The loop sees no more of it than the settings were reckoned with, and not much less.
    seen = motion_seen(case)[TermName.FALL_AT_LOAD]
    assert 0.8 * by_hand < seen <= fall + ENOUGH


def test_a_burner_that_follows_its_load_falls_no_further_than_its_line() -> None:
    case = proposed("laundry")
    assert case.stack.load_fall == 0.0
    assert TermName.FALL_AT_LOAD not in {term.name for term in case.terms}
    assert motion_seen(case)[TermName.FALL_AT_LOAD] == 0.0


def test_what_a_proof_lacks_is_learnt_where_other_settings_give_it() -> None:
    # Feedwater that comes in slugs pulls the pressure down under a restart: no closed form knows of it.
    plant = random_plant(22)
    done = learned(plant.plant, plant.boiler)
    assert done.rounds[0].failed == (Scenario.DAY,)
    assert not done.falls_short
    assert isinstance(done.settlement, Fits)
    (lesson,) = done.lessons
    assert lesson.term is TermName.UNDERSHOOT
    first, last = case_in(done.rounds[0].settlement), case_in(done.settlement)
    assert first is not None
    assert last is not None
    assert isinstance(first.stack.cut_in, float)
    assert isinstance(last.stack.cut_in, float)
    assert last.stack.cut_in > first.stack.cut_in


MORE_THAN_IT_MAKES: dict[str, object] = {"load.demand": {"shape": "constant", "steam": "9000 lb/h"}}
"""The laundry's 200 bhp make 6,900 lb/h from and at 212 F."""


def test_a_load_that_the_boiler_cannot_make_is_no_matter_of_dials_and_is_told_as_failing() -> None:
    done = learned_of(MORE_THAN_IT_MAKES, "laundry")
    assert isinstance(done.settlement, Fits)
    assert done.falls_short
    assert Scenario.DAY in {proof.scenario for proof in done.failing}
    day = next(proof for proof in done.failing if proof.scenario is Scenario.DAY)
    assert all(check.shortfall is None for check in day.checks if not check.holds)


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
