"""Demo plants put through their scenarios: as found they fail for the reason that was planted, as settled they hold.

The planted faults are those that the plant files themselves state in their first lines; the table is written by hand
from there.
"""

import pytest

from evenfire.judgement.proofs.learning import settle_in_motion
from evenfire.judgement.proofs.proving import SCENARIOS, prove_all
from evenfire.judgement.proofs.result import NotApplicable, NotProved, Proof, Scenario, Verdict, Watched
from evenfire.judgement.settle.result import Fits, NothingFits
from tests.judgement.proofs.cases import as_found, failures, proof_of, proposed, settled
from tests.surveys import survey

PLANTED = [
    # The firing band stands above cut-out: short cycling, and a restart falls below what the users stand.
    ("laundry", Scenario.STEADY_LOADS, {Watched.LOW_FIRE_FIRST, Watched.DIP}),
    # The high limit trips so late that full fire still on its way lifts a valve.
    ("school", Scenario.HIGH_LIMIT_ALONE, {Watched.NO_LIFT}),
    ("school-by-dial", Scenario.HIGH_LIMIT_ALONE, {Watched.NO_LIFT}),
    ("board-mill", Scenario.HIGH_LIMIT_ALONE, {Watched.NO_LIFT}),
    # The hold stands where the last site had it.
    ("rental-trailer-depot", Scenario.STEADY_LOADS, {Watched.STAYS_ABOVE_HOLD}),
    ("rental-trailer-depot", Scenario.PICK_UP, {Watched.STAYS_ABOVE_HOLD}),
    # The need of the new site is far above what the last site's settings hold.
    ("rental-trailer-brewery", Scenario.STEADY_LOADS, {Watched.DIP}),
    # The high limit stands right over cut-out and trips for nothing.
    ("vertical", Scenario.STEADY_LOADS, {Watched.NO_TRIP}),
]
SETTLED = ["laundry", "school", "board-mill", "rental-trailer-depot", "rental-trailer-brewery", "vertical"]


@pytest.mark.parametrize(("plant", "scenario", "planted"), PLANTED, ids=lambda value: getattr(value, "name", value))
def test_as_found_a_plant_fails_for_the_reason_that_was_planted(
    plant: str, scenario: Scenario, planted: set[Watched]
) -> None:
    proof = proof_of(as_found(plant), scenario)
    assert proof.verdict is Verdict.FAILS
    assert planted <= failures(proof)


@pytest.mark.parametrize("plant", SETTLED)
def test_on_the_proposed_settings_every_scenario_holds(plant: str) -> None:
    assert isinstance(settled(plant).settlement, Fits)
    # No dial makes a drum warm slowly: of that a proof warns, and fails nothing.
    for proved in settled(plant).proofs:
        if isinstance(proved, Proof):
            assert proved.verdict is not Verdict.FAILS, proved.scenario
            assert failures(proved) <= {Watched.WARMS_SLOWLY}, proved.scenario


@pytest.mark.parametrize("plant", SETTLED)
def test_nothing_is_passed_over_in_silence(plant: str) -> None:
    assert tuple(proved.scenario for proved in settled(plant).proofs) == tuple(SCENARIOS)
    # What is picked up is stated by nobody at the school; a third of the output is assumed for cast iron.
    assert [proved for proved in settled(plant).proofs if isinstance(proved, NotProved)] == []


def test_where_nothing_fits_the_least_bad_settings_fail_only_what_was_said_to_fail() -> None:
    # By its dials the school's limits are too coarse for the room between need and valve: the need gives way, not
    # the valve.
    done = settled("school-by-dial")
    assert isinstance(done.settlement, NothingFits)
    failed = {proof.scenario: failures(proof) for proof in done.proofs if isinstance(proof, Proof)}
    assert failed[Scenario.HIGH_LIMIT_ALONE] == set()
    said = {room.code for room in done.settlement.failing}
    why = {Watched.NEED: "restart-holds-need", Watched.NO_TRIP: "cut-out-clear-of-high-limit"}
    assert Watched.NEED in failed[Scenario.STEADY_LOADS]
    assert {why[watched] for watched in failed[Scenario.STEADY_LOADS]} <= said


def test_a_burner_that_follows_no_load_has_no_drop_to_ride() -> None:
    scenarios = {proved.scenario for proved in settled("vertical").proofs if isinstance(proved, NotApplicable)}
    assert scenarios == {Scenario.PICK_UP, Scenario.DROP, Scenario.HOLD_ABSENT}


def test_without_a_water_volume_nothing_can_be_proved_and_the_key_is_named() -> None:
    from tests.surveys import case_of

    for proved in prove_all(case_of(survey({"boiler.water_volume": None}))):
        assert isinstance(proved, NotProved), proved.scenario
        assert proved.missing == ("water_volume",)


def test_progress_comes_before_the_answer_and_never_goes_back() -> None:
    plant_file = survey(plant="vertical")
    *progress, answer = settle_in_motion(plant_file.plant, plant_file.plant.boilers[0])
    assert answer.settlement == settled("vertical").settlement  # type: ignore[union-attr]
    done = [each.done for each in progress]  # type: ignore[union-attr]
    assert done == sorted(done)
    assert all(each.done <= each.total for each in progress)  # type: ignore[union-attr]


def test_the_pressure_of_a_welded_boiler_comes_to_the_trip_and_its_run_on() -> None:
    # By hand: the high limit's dial reads 140 psi, 0.22 psi of water leg off, 2 psi late; then run-on.
    case = proposed("laundry")
    proof = proof_of(case, Scenario.HIGH_LIMIT_ALONE)
    worst = proof.checks[-1]
    assert worst.watched is Watched.NO_LIFT
    trip = case.stack.trip
    assert isinstance(trip, float)
    off = case.facts.off.high_limit
    assert isinstance(off, float)
    run_on = next(fact.value.value for fact in proof.facts)
    assert worst.observed.value == pytest.approx(trip + off + run_on, abs=1.0)
