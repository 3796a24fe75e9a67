"""What settle learns from a check and from a run, on a plant whose every margin is mental arithmetic."""

from dataclasses import replace
from functools import cache

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.learning import (
    ENOUGH,
    ROOM,
    Learned,
    _blamed,
    _having,
    _lessons,
    _room_left,
    _taught,
    _used,
    learned,
    lowest_under_load,
    motion_seen,
)
from evenfire.judgement.proofs.result import Check, Scenario, Watched, concluded
from evenfire.judgement.proofs.watching import at_most, blaming
from evenfire.judgement.settle.result import CannotSettle, Fits
from evenfire.plant.known import Missing
from evenfire.plant.readings import Simulated
from evenfire.si import GaugePa
from tests.judgement.plants_for_rules import HIGH_PRESSURE, REMOVED, Edits, case_of, edited
from tests.judgement.proofs.cases import settled
from tests.judgement.proofs.runs_by_hand import shown
from tests.surveys import survey

PSI = 6894.757293168
RUN_ON, FULL = TermName.RUN_ON_AT_CUT_OUT, TermName.RUN_ON_AT_FULL_FIRE
FALL, OVERSHOOT, LOAD = TermName.UNDERSHOOT, TermName.OVERSHOOT_OF_DROP, TermName.FALL_AT_LOAD


@cache
def bakery() -> Case:
    """Cut-out 125 and cut-in 115, high fire 105 and low fire 115, trip 135, each dial within 2 psi; need 100, wish 130,
    rated 150, valves at 150. Run-on 1 psi at cut-out and 4 at full fire, undershoot 4, no overshoot of the drop.
    """
    return case_of(edited(HIGH_PRESSURE, {}))


def edited_bakery(edits: Edits) -> Case:
    return case_of(edited(HIGH_PRESSURE, edits))


def failed(watched: Watched, term: TermName | None, by: float) -> Check:
    """A check that fails by so much and blames a motion [psi]."""
    return blaming(at_most(watched, (100 + by) * PSI, 100 * PSI, shown([90.0])), term)


@pytest.mark.parametrize(
    ("watched", "term", "left"),
    [
        # Cut-in 115, two psi early and four of undershoot: 109.
        (Watched.NEED, FALL, 9.0),
        (Watched.DIP, FALL, 9.0),
        # High fire 105, two psi early: 103.
        (Watched.NEED, LOAD, 3.0),
        (Watched.DIP, LOAD, 3.0),
        # Cut-out 125, two psi late and one of run-on: 128, below 130 and 150, and below a trip at 135 two psi early.
        (Watched.WISH, RUN_ON, 2.0),
        (Watched.DOWNSTREAM, RUN_ON, 22.0),
        (Watched.NO_TRIP, RUN_ON, 5.0),
        # Trip 135, two psi late and four of run-on: 141; the valves may lift 3 % early (common practice), at 145.5.
        (Watched.NO_LIFT, FULL, 4.5),
        # Low fire 115, two psi late: 117, below a cut-out two psi early.
        (Watched.LOW_FIRE_FIRST, OVERSHOOT, 6.0),
        (Watched.NO_STOP, OVERSHOOT, 6.0),
        # No closed form says how long a dip lasts, nor of another motion at the same limit.
        (Watched.DIP_TIME, FALL, 0.0),
        (Watched.NO_TRIP, FULL, 0.0),
    ],
)
def test_what_a_failed_proof_lacks_comes_on_top_of_the_room_that_its_own_demand_had(
    watched: Watched, term: TermName, left: float
) -> None:
    check = failed(watched, term, 3.0)
    assert _room_left(bakery(), check) / PSI == pytest.approx(left, abs=0.01)
    proof = concluded(Scenario.STEADY_LOADS, [check])
    taught = _blamed(bakery(), Simulated(), (proof,))
    (by,) = [value for value in values(taught) if value > 0.0]
    assert by == pytest.approx((3.0 + left) * PSI + ROOM, abs=0.01 * PSI)


def values(of: Simulated) -> tuple[float, ...]:
    return (of.run_on_at_cut_out, of.run_on_at_full_fire, of.undershoot, of.drop_overshoot, of.load_fall)


def test_a_demand_that_is_broken_or_not_made_leaves_no_room() -> None:
    # 128 against a wish of 120 is eight too much: what is lacking is told by the check, not counted twice.
    assert _room_left(edited_bakery({"load.wish": "120 psi"}), failed(Watched.WISH, RUN_ON, 3.0)) == 0.0
    assert _room_left(edited_bakery({"load.wish": REMOVED}), failed(Watched.WISH, RUN_ON, 3.0)) == 0.0
    unknown = {"boiler.controls.operating_limit.tolerance": REMOVED}
    assert _room_left(edited_bakery(dict(unknown)), failed(Watched.WISH, RUN_ON, 3.0)) == 0.0
    # Nor does one that blames nothing, or that holds.
    assert _room_left(bakery(), failed(Watched.WISH, None, 3.0)) == 0.0
    assert _room_left(bakery(), failed(Watched.WISH, RUN_ON, -3.0)) == 0.0


def test_each_motion_is_widened_by_the_most_that_any_proof_of_the_same_weight_lacks() -> None:
    lacking = [failed(Watched.DIP_TIME, FALL, by) for by in (2.0, 5.0, 3.0)]
    proofs = tuple(concluded(Scenario.STEADY_LOADS, [each]) for each in lacking)
    widened = Simulated(undershoot=PSI, load_fall=2 * PSI)
    taught = _blamed(bakery(), widened, proofs)
    # On top of what was learnt before; what nobody blames stays.
    assert taught.undershoot == pytest.approx(6 * PSI + ROOM)
    assert taught.load_fall == 2 * PSI
    assert taught.run_on_at_cut_out == 0.0


def test_what_keeps_people_safe_is_learnt_before_anything_else_and_the_plants_own_load_last() -> None:
    safe = concluded(Scenario.HIGH_LIMIT_ALONE, [failed(Watched.NO_LIFT, FULL, 1.0)])
    steady = concluded(Scenario.STEADY_LOADS, [failed(Watched.WISH, RUN_ON, 1.0)])
    own = [concluded(each, [failed(Watched.NEED, FALL, 1.0)]) for each in (Scenario.PICK_UP, Scenario.DAY)]

    def learnt(*proofs: object) -> list[bool]:
        return [value > 0.0 for value in values(_blamed(bakery(), Simulated(), proofs))]  # type: ignore[arg-type]

    assert learnt(own[0], steady, safe) == [False, True, False, False, False]
    assert learnt(own[0], own[1], steady) == [True, False, False, False, False]
    assert learnt(own[0]) == learnt(own[1]) == [False, False, True, False, False]
    # What blames nothing gives way to what comes after it.
    mute = concluded(Scenario.HIGH_LIMIT_ALONE, [failed(Watched.STAYS_OFF, None, 1.0)])
    assert learnt(mute, steady) == [True, False, False, False, False]
    assert learnt(mute) == [False] * 5
    assert learnt() == [False] * 5


def test_a_widening_grows_by_what_was_beyond_and_a_hair() -> None:
    had = Simulated(run_on_at_full_fire=3 * PSI, undershoot=PSI)
    having = _having(had, {FULL: 2 * PSI})
    assert having.run_on_at_full_fire == pytest.approx(5 * PSI + 0.01 * PSI)
    assert having.undershoot == PSI
    assert _having(had, {}) == had


def test_a_fall_that_a_watch_gave_is_not_learnt_from_a_simulation() -> None:
    # Measured beats computed: what the simulation falls further is not believed. A run-on that was measured is in the
    # simulation, and what a lag adds to it is learnt all the same.
    assert _used(bakery(), FALL) == float("inf")
    assert _used(bakery(), RUN_ON) == pytest.approx(PSI)
    assert _used(bakery(), FULL) == pytest.approx(4 * PSI)
    assert _used(bakery(), OVERSHOOT) == 0.0
    assert _used(bakery(), LOAD) == 0.0
    reckoned = edited_bakery({"boiler.measured.undershoot": REMOVED})
    assert 0.0 < _used(reckoned, FALL) < 100 * PSI
    # What plays no part is never too small.
    bare = edited_bakery({"boiler.as_found.high_limit": REMOVED})
    assert isinstance(bare.stack.full_fire_run_on, Missing)
    assert _used(bare, FULL) == float("inf")


def test_a_measured_fall_far_smaller_than_the_simulated_one_teaches_nothing() -> None:
    small = edited_bakery({"boiler.measured.undershoot": {"fall": "0.5 psi", "load": "25 %"}})
    assert motion_seen(small)[FALL] > 0.5 * PSI + ENOUGH
    short, wider = _taught(small, Simulated())
    assert FALL not in short
    assert wider.undershoot == 0.0


def test_only_a_deeper_dip_than_was_known_and_that_the_hold_does_not_clear_is_learnt() -> None:
    # The bakery's dips end far above its hold at 60 psi, and nothing need be learnt of them.
    assert _taught(bakery(), Simulated())[1].lowest_under_load is None
    # A hold at 100 psi, two psi high, stands above a dip that ends below the need of 100.
    trap = edited_bakery({"boiler.as_found.low_fire_hold": "100 psi"})
    lowest = lowest_under_load(trap)
    assert lowest is not None
    assert lowest < 102 * PSI
    assert _taught(trap, Simulated())[1].lowest_under_load == lowest
    for known in (lowest - PSI, lowest, lowest + PSI):
        taught = _taught(trap, Simulated(lowest_under_load=GaugePa(known)))[1]
        assert taught.lowest_under_load == min(known, lowest)


def test_a_lesson_says_what_the_closed_form_had_without_what_was_learnt() -> None:
    widened = Simulated(run_on_at_cut_out=0.25 * PSI, undershoot=PSI)
    (run_on, fall) = _lessons(bakery(), widened)
    assert (run_on.term, fall.term) == (RUN_ON, FALL)
    # One psi is what the settings were reckoned with, three quarters what the closed form said.
    assert run_on.seen == pytest.approx(PSI)
    assert run_on.closed_form == pytest.approx(0.75 * PSI)
    assert fall.closed_form == pytest.approx(3 * PSI)
    assert _lessons(bakery(), Simulated()) == ()


def test_a_boiler_that_cannot_be_settled_is_asked_once_and_nothing_is_proved() -> None:
    plant = survey({"load.need": None, "boiler.as_found": None}).plant
    done = learned(plant, plant.boilers[0])
    assert isinstance(done.settlement, CannotSettle)
    assert len(done.rounds) == 1
    assert done.rounds[0].proofs == ()
    assert (done.proofs, done.lessons, done.still_short) == ((), (), ())
    assert not done.falls_short
    assert done.failing == ()


def test_nothing_is_proved_before_the_motion_is_covered() -> None:
    done = settled("school-by-dial")
    assert len(done.rounds) > 1
    for before in done.rounds[:-1]:
        assert before.short
        assert before.proofs == ()
    assert done.rounds[-1].short == ()
    assert done.rounds[-1].proofs == done.proofs
    assert len(done.proofs) == len(Scenario)


def test_settings_fall_short_by_motion_left_over_or_by_a_failed_proof_and_only_where_they_fit() -> None:
    done = settled("laundry")
    assert isinstance(done.settlement, Fits)
    assert not done.falls_short
    assert replace(done, still_short=(FULL,)).falls_short
    lacking = concluded(Scenario.STEADY_LOADS, [failed(Watched.WISH, RUN_ON, 1.0)])
    failing = replace(done, proofs=(lacking,))
    assert failing.falls_short
    assert failing.failing == (lacking,)
    cannot: Learned = replace(failing, settlement=CannotSettle(boiler="x", missing=("load.need",)), still_short=(FULL,))
    assert not cannot.falls_short
    assert cannot.failing == ()
