"""Where the gauge must not stand while a dial is turned, and when a hand stops the burner: worked by hand."""

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.moves.closing import closing_steps
from evenfire.judgement.moves.result import BurnerState, ClosingStep, Point, PointMove
from evenfire.judgement.moves.telling import _at, _point_moves, _stop_by_hand, _swept
from evenfire.plant.controls import Role
from evenfire.si import GaugePa
from tests.judgement.plants_for_rules import HIGH_PRESSURE, REMOVED, Edits, case_of, edited

PSI = 6894.757293168
OL, HL, FR, HOLD = Role.OPERATING_LIMIT, Role.HIGH_LIMIT, Role.FIRING_RATE, Role.LOW_FIRE_HOLD
HIGHER: Edits = {"boiler.as_found.operating_limit": "128 psi"}
NO_READING: Edits = {
    "boiler.as_found.operating_limit": REMOVED,
    "boiler.as_found.operating_limit_differential": REMOVED,
}
NO_TOLERANCE: Edits = {"boiler.controls.operating_limit.tolerance": REMOVED}
PROVED: Edits = {"boiler.as_found.proved": ["operating_limit"]}
"""Half a psi in place of two."""


def bakery(*edits: Edits) -> Case:
    return case_of(edited(HIGH_PRESSURE, {key: value for each in edits for key, value in each.items()}))


def move(point: Point, before: float | None, after: float | None) -> PointMove:
    return PointMove(
        point=point,
        before=None if before is None else GaugePa(before * PSI),
        after=None if after is None else GaugePa(after * PSI),
    )


@pytest.mark.parametrize(
    ("moves", "before", "after", "swept"),
    [
        # Two psi either side of all that the points pass over.
        ([move(Point.CUT_OUT, 125, 128), move(Point.CUT_IN, 115, 118)], (), (), (113, 130)),
        ([move(Point.CUT_OUT, 128, 125)], (), (), (123, 130)),
        # Proved before it is touched and not any more after: the wider of both.
        ([move(Point.CUT_OUT, 125, 128)], (PROVED,), (), (123, 130)),
        ([move(Point.CUT_OUT, 125, 128)], (), (PROVED,), (123, 130)),
        ([move(Point.CUT_OUT, 125, 128)], (PROVED,), (PROVED,), (124.5, 128.5)),
        # Where an end of the way is not known, nobody can say where the gauge must not stand.
        ([move(Point.CUT_OUT, None, 128)], (), (), None),
        ([move(Point.CUT_OUT, 125, None)], (), (), None),
        ([move(Point.CUT_OUT, 125, 128), move(Point.CUT_IN, None, 118)], (), (), None),
        ([move(Point.CUT_OUT, None, None)], (), (), None),
        ([move(Point.CUT_OUT, 125, 128)], (NO_TOLERANCE,), (), None),
        ([move(Point.CUT_OUT, 125, 128)], (), (NO_TOLERANCE,), None),
        ([], (), (), None),
    ],
)
def test_a_turn_sweeps_from_the_lowest_to_the_highest_point_and_its_tolerance_beyond(
    moves: list[PointMove], before: tuple[Edits, ...], after: tuple[Edits, ...], swept: tuple[float, float] | None
) -> None:
    found = _swept(tuple(moves), (bakery(*before), bakery(*after)), OL)
    if swept is None:
        assert found is None
    else:
        assert found is not None
        assert (found.lowest / PSI, found.highest / PSI) == pytest.approx(swept)


def test_only_points_that_move_or_that_nobody_knows_are_told() -> None:
    (cut_out, cut_in) = _point_moves(OL, bakery(), bakery(HIGHER))
    assert (cut_out.point, cut_in.point) == (Point.CUT_OUT, Point.CUT_IN)
    assert cut_out.before is not None
    assert cut_out.after is not None
    assert cut_in.before is not None
    assert cut_in.after is not None
    assert (cut_out.before / PSI, cut_out.after / PSI) == pytest.approx((125, 128))
    assert (cut_in.before / PSI, cut_in.after / PSI) == pytest.approx((115, 118))
    assert _point_moves(OL, bakery(), bakery()) == ()
    # A differential below the set point moves the cut-in alone.
    wider: Edits = {"boiler.as_found.operating_limit_differential": "12 psi"}
    (alone,) = _point_moves(OL, bakery(), bakery(wider))
    assert alone.point is Point.CUT_IN
    # From a reading that nobody took it comes to one; between two that nobody took nothing can be told.
    (first, _) = _point_moves(OL, bakery(NO_READING), bakery())
    assert first.before is None
    assert first.after is not None
    assert _point_moves(OL, bakery(NO_READING), bakery(NO_READING)) == ()


@pytest.mark.parametrize(
    ("point", "stands"),
    [
        (Point.TRIP, 135),
        (Point.CUT_OUT, 125),
        (Point.CUT_IN, 115),
        (Point.HIGH_FIRE, 105),
        (Point.LOW_FIRE, 115),
        (Point.HOLD, 60),
    ],
)
def test_each_point_stands_where_its_dial_says(point: Point, stands: float) -> None:
    found = _at(bakery(), point)
    assert found is not None
    assert found / PSI == pytest.approx(stands)
    assert _at(bakery(NO_READING), Point.CUT_OUT) is None


def test_a_hand_stops_the_burner_where_the_operating_limit_is_late_and_at_no_other_control() -> None:
    # 125 psi, two late.
    stop = _stop_by_hand(OL, bakery(), BurnerState.MAY_FIRE)
    assert stop is not None
    assert stop / PSI == pytest.approx(127)
    for role in (HL, FR, HOLD):
        assert _stop_by_hand(role, bakery(), BurnerState.MAY_FIRE) is None
    # A burner that may not fire needs no hand; and no number is told that is not known.
    assert _stop_by_hand(OL, bakery(), BurnerState.LOCKED_OUT) is None
    assert _stop_by_hand(OL, bakery(NO_READING), BurnerState.MAY_FIRE) is None
    assert _stop_by_hand(OL, bakery(NO_TOLERANCE), BurnerState.MAY_FIRE) is None


def test_each_step_at_the_end_is_done_at_its_own_control_from_the_top_down() -> None:
    # The high limit first: everything below leans on it; the operating limit is put back before its own proof.
    limits = [
        (ClosingStep.PROVE_HIGH_LIMIT, HL),
        (ClosingStep.PUT_OPERATING_LIMIT_BACK, OL),
        (ClosingStep.PROVE_OPERATING_LIMIT, OL),
    ]
    last = [
        (ClosingStep.SEE_THREE_CYCLES, None),
        (ClosingStep.SWITCHES_TO_AUTOMATIC, None),
        (ClosingStep.CLOSE_TEMPORARY_CHANGES, None),
    ]
    assert [(each.step, each.role) for each in closing_steps(bakery())] == limits + last
    proved: Edits = {"boiler.as_found.proved": ["firing_rate", "low_fire_hold"]}
    others = [(ClosingStep.PROVE_CONTROL, FR), (ClosingStep.PROVE_CONTROL, HOLD)]
    assert [(each.step, each.role) for each in closing_steps(bakery(proved))] == limits + others + last
