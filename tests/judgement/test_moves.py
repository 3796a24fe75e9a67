"""Moves: safe after every single move by an arithmetic of this file's own, or locked out with the reason.

The arithmetic here knows nothing of margins: it is what a person would do on the back of a settings sheet, in psi. A
control acts at its dial, its water leg (0.433 psi a foot, HB1919) and its differential added, within a tolerance that
is the proved one only as long as nobody has touched the control. The valve may lift 3 % (2 psi on low pressure) below
its set pressure (VALVE_HANDBOOK, set-pressure tolerances). Run-on is the measured one of the survey, in proportion to
the fire.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.judgement.moves.ordering import cheapest_order
from evenfire.judgement.moves.planning import moves_between
from evenfire.judgement.moves.result import (
    CUT_OUT_ABOVE_BOTH_ENDS,
    BurnerState,
    ClosingStep,
    Dial,
    Direction,
    Moves,
    Point,
    ReasonKind,
    Why,
)
from evenfire.judgement.settle.settling import settle
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Counts, DifferentialScale, Role, Scale
from evenfire.plant.plant import Plant
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import PA_PER_PSI, DiffPa, GaugePa
from tests.surveys import survey

OL, HL, FR, HOLD = Role.OPERATING_LIMIT, Role.HIGH_LIMIT, Role.FIRING_RATE, Role.LOW_FIRE_HOLD
Dials = dict[tuple[Role, str], float]
"""What the dials show [psi]."""
NEAR = 1e-5
"""[psi]"""
NO_LEG = {"boiler.controls.operating_limit.water_leg": "none", "boiler.controls.high_limit.water_leg": "none"}
LEVEL: dict[str, object] = {
    **NO_LEG,
    "boiler.controls.firing_rate.water_leg": "none",
    "boiler.controls.low_fire_hold.water_leg": "none",
    "boiler.measured.run_on": [{"rise": "2 psi", "firing": "full", "load": "none"}],
}
"""The laundry with every control at the height of its tap, and 2 psi run-on seen from full fire."""


def settings(dials: Mapping[tuple[Role, str], float], proved: frozenset[Role] = frozenset()) -> Settings:
    def reading(role: Role) -> DialReading | None:
        if (role, "main") not in dials:
            return None
        width = dials.get((role, "differential"))
        return DialReading(
            main=GaugePa(dials[role, "main"] * PA_PER_PSI),
            differential=None if width is None else DiffPa(width * PA_PER_PSI),
        )

    return Settings(
        operating_limit=reading(OL),
        high_limit=reading(HL),
        firing_rate=reading(FR),
        low_fire_hold=reading(HOLD),
        proved=proved,
    )


def laundry(high: float, cut_out: float, width: float, rate: float, band: float = 15, hold: float = 60) -> Dials:
    return {
        (HL, "main"): high,
        (OL, "main"): cut_out,
        (OL, "differential"): width,
        (FR, "main"): rate,
        (FR, "differential"): band,
        (HOLD, "main"): hold,
    }


def plan(
    found: Dials, goal: Dials, edits: Mapping[str, object] | None = None, proved: frozenset[Role] = frozenset()
) -> Moves:
    plant = survey({**LEVEL, "boiler.as_found": None, **(edits or {})}).plant
    return moves_between(plant, plant.boilers[0], settings(found), settings(goal, proved))


def order(moves: Moves) -> list[tuple[Role, str]]:
    return [(move.dial.role, move.dial.turn) for move in moves.steps]


def whys(moves: Moves) -> set[Why]:
    return {each.why for each in moves.obstacles}


AS_FOUND = laundry(high=130, cut_out=110, width=8, rate=90)
HIGHER = laundry(high=140, cut_out=120, width=8, rate=100)


def test_one_dial_that_was_not_read_puts_the_limits_first_on_the_way_down_too() -> None:
    """Read, the way down is bottom up; what the firing rate does on the way cannot be told while nobody read it."""
    unread = {dial: shown for dial, shown in HIGHER.items() if dial[0] is not FR}
    moves = plan(unread, AS_FOUND)
    assert [role for role, _ in order(moves)][:2] == [HL, OL]
    assert {move.reason.kind for move in moves.steps[:2]} == {ReasonKind.LIMITS_FIRST}
    rate = next(move for move in moves.steps if move.dial.role is FR and move.dial.turn == "main")
    assert {point.before for point in rate.points} == {None}
    assert any(point.after == pytest.approx(90 * PA_PER_PSI) for point in rate.points)


def test_only_a_control_that_is_proved_at_the_goal_is_to_be_proved() -> None:
    moves = plan(AS_FOUND, HIGHER, proved=frozenset({HL}))
    assert {move.dial.role: move.to_be_proved for move in moves.steps} == {HL: True, OL: False, FR: False}


def test_raising_goes_top_down() -> None:
    moves = plan(AS_FOUND, HIGHER)
    assert order(moves) == [(HL, "main"), (OL, "main"), (FR, "main")]
    assert moves.order_exists
    assert not moves.is_locked_out_first
    assert {move.direction for move in moves.steps} == {Direction.UP}


def test_lowering_goes_bottom_up() -> None:
    moves = plan(HIGHER, AS_FOUND)
    assert order(moves) == [(FR, "main"), (OL, "main"), (HL, "main")]
    assert moves.order_exists
    assert {move.direction for move in moves.steps} == {Direction.DOWN}


def test_the_cut_out_waits_for_the_high_limit_that_it_would_pass() -> None:
    moves = plan(AS_FOUND, laundry(high=140, cut_out=132, width=8, rate=90))
    assert order(moves) == [(HL, "main"), (OL, "main")]
    assert moves.steps[0].reason.kind is ReasonKind.BEFORE
    assert moves.steps[0].reason.other == Dial(OL, "main")
    assert "cut-out-below-high-limit" in moves.steps[0].reason.codes


def test_the_main_scale_carries_the_other_end_of_its_differential() -> None:
    (move,) = plan(AS_FOUND, {**AS_FOUND, (OL, "main"): 115}).steps
    told = {each.point: (each.before, each.after) for each in move.points}
    assert told.keys() == {Point.CUT_OUT, Point.CUT_IN}
    assert told[Point.CUT_OUT] == pytest.approx((110 * PA_PER_PSI, 115 * PA_PER_PSI))
    assert told[Point.CUT_IN] == pytest.approx((102 * PA_PER_PSI, 107 * PA_PER_PSI))


def test_a_differential_below_the_set_point_moves_only_the_cut_in() -> None:
    (move,) = plan(AS_FOUND, {**AS_FOUND, (OL, "differential"): 12}).steps
    (told,) = move.points
    assert told.point is Point.CUT_IN
    assert (told.before, told.after) == pytest.approx((102 * PA_PER_PSI, 98 * PA_PER_PSI))


def test_a_main_scale_and_its_differential_are_two_moves() -> None:
    moves = plan(AS_FOUND, {**AS_FOUND, (OL, "main"): 115, (OL, "differential"): 12})
    assert sorted(turn for _, turn in order(moves)) == ["differential", "main"]


def test_a_high_limit_above_the_valve_is_moved_first_with_the_burner_locked_out() -> None:
    moves = plan(laundry(high=155, cut_out=110, width=8, rate=90), laundry(high=130, cut_out=104, width=6, rate=85))
    assert order(moves)[0] == (HL, "main")
    assert moves.order_exists
    assert whys(moves) == {Why.STOP_AS_FOUND}
    assert moves.steps[0].burner is BurnerState.LOCKED_OUT
    assert moves.steps[0].burner_after is BurnerState.MAY_FIRE
    assert moves.steps[0].reason.kind is ReasonKind.CURES
    assert "high-limit-below-valve" in moves.steps[0].reason.codes


def test_a_cut_out_above_the_high_limit_is_cured_first() -> None:
    moves = plan(laundry(high=120, cut_out=124, width=8, rate=90), laundry(high=130, cut_out=110, width=8, rate=100))
    assert order(moves)[0] in {(OL, "main"), (HL, "main")}
    assert moves.steps[0].burner_after is not BurnerState.LOCKED_OUT
    assert "cut-out-below-high-limit" in moves.steps[0].reason.codes


def test_what_is_broken_as_found_does_not_get_worse_for_the_sake_of_a_sooner_cure() -> None:
    """The high limit first would cure two rules at once, and leave the cut-out 20 psi above it instead of 1."""
    found = laundry(high=149, cut_out=150, width=8, rate=90)
    moves = plan(found, laundry(high=130, cut_out=120, width=8, rate=90), {"load.rated_max": None})
    assert order(moves) == [(OL, "main"), (HL, "main")]
    assert moves.order_exists
    assert [move.burner_after for move in moves.steps] == [BurnerState.LOCKED_OUT, BurnerState.MAY_FIRE]


ABOVE: dict[str, object] = {"boiler.controls.operating_limit.differential_counts": "above"}


def test_the_cut_out_stands_no_higher_on_the_way_than_at_its_higher_end() -> None:
    """105 + 15 and 112 + 8 both cut out at 120: 112 + 15 = 127 on the way would be above both.

    The other way about the cut-out is 113 for a while, below low fire at 98 + 15 = 113: then low fire by hand.
    """
    found = laundry(high=140, cut_out=105, width=15, rate=98)
    moves = plan(found, laundry(high=140, cut_out=112, width=8, rate=98), ABOVE)
    assert order(moves) == [(OL, "differential"), (OL, "main")]
    assert moves.order_exists
    assert moves.steps[0].burner_after is BurnerState.LOW_FIRE_BY_HAND


def test_a_wider_differential_below_the_set_point_counts_as_lowering() -> None:
    moves = plan(AS_FOUND, {**AS_FOUND, (HL, "main"): 132, (OL, "differential"): 12})
    assert order(moves) == [(OL, "differential"), (HL, "main")]
    moves = plan(AS_FOUND, {**AS_FOUND, (HL, "main"): 132, (OL, "differential"): 12}, ABOVE)
    assert order(moves) == [(HL, "main"), (OL, "differential")]


def test_no_order_where_both_ways_about_are_worse_than_both_ends() -> None:
    """By hand, on a boiler with a run-on of 60 psi and a differential that counts upwards from the cut-in.

    Found 105 + 15 = 120 and goal 118 + 3 = 121 both cut out above low fire (110): 121 + 1 + 15 of run-on = 137 within
    138. The main scale first gives 118 + 15 = 133, above both ends. The differential first gives 105 + 3 = 108, inside
    the firing band: at 106, the worst corner, the fire stands at 1 - 0.75 x 6/10 = 55 %, so 108 + 1 + 33 = 142.
    """
    one = {"dial": "1 psi"}
    edits: dict[str, object] = {
        "boiler.controls.operating_limit.differential_counts": "above",
        "boiler.controls.operating_limit.tolerance": one,
        "boiler.controls.operating_limit.differential_scale": {"from": "2 psi", "to": "22 psi", "division": "1 psi"},
        "boiler.controls.high_limit.tolerance": one,
        "boiler.controls.firing_rate.tolerance": one,
        "boiler.measured.run_on": [{"rise": "60 psi", "firing": "full", "load": "none"}],
        "boiler.mawp": "250 psi",
        "boiler.safety_valve.0.set": "250 psi",
        "boiler.safety_valve.1.set": "250 psi",
        "boiler.gauge.to": "400 psi",
        "load.rated_max": "138 psi",
    }
    moves = plan(
        laundry(high=150, cut_out=105, width=15, rate=100, band=10),
        laundry(high=150, cut_out=118, width=3, rate=100, band=10),
        edits,
    )
    assert not moves.order_exists
    assert whys(moves) == {Why.NO_SAFE_ORDER}
    assert set(moves.why_not[0].codes) <= {CUT_OUT_ABOVE_BOTH_ENDS, "cut-out-within-downstream-rating"}
    assert moves.why_not[0].codes
    assert (
        {move.burner for move in moves.steps} == {move.burner_after for move in moves.steps} == {BurnerState.LOCKED_OUT}
    )
    assert len(moves.steps) == 2


def test_a_goal_that_only_a_proof_makes_safe_is_reached_with_the_burner_locked_out() -> None:
    """142 + 0.5 + 2 = 144.5 stays below 145.5, where a valve may lift; 142 + 2 + 2 = 146, by its scale, does not."""
    moves = plan(AS_FOUND, {**AS_FOUND, (HL, "main"): 142}, proved=frozenset({HL}))
    assert whys(moves) == {Why.UNPROVED_ON_THE_WAY}
    assert moves.why_not[0].codes == ("high-limit-stops-before-valve",)
    (move,) = moves.steps
    assert move.burner is move.burner_after is BurnerState.LOCKED_OUT
    assert move.to_be_proved
    assert moves.closing[0].step is ClosingStep.PROVE_HIGH_LIMIT
    assert moves.closing[0].stop_by_hand == pytest.approx(142.5 * PA_PER_PSI)


def test_a_control_proved_as_found_is_unproved_once_it_was_touched() -> None:
    """Proved, 142.5 + 0.5 + 2 stays below 145.5; turned down to 142 it is as good as its scale: 142 + 2 + 2 = 146."""
    plant = survey({**LEVEL, "boiler.as_found": None}).plant
    both = frozenset({HL})
    found = settings({**AS_FOUND, (HL, "main"): 142.5}, both)
    assert moves_between(plant, plant.boilers[0], found, settings({**AS_FOUND, (HL, "main"): 141}, both)).order_exists
    locked = moves_between(plant, plant.boilers[0], found, settings({**AS_FOUND, (HL, "main"): 142}, both))
    assert whys(locked) == {Why.UNPROVED_ON_THE_WAY}


def test_where_nothing_differs_nothing_is_moved() -> None:
    moves = plan(AS_FOUND, AS_FOUND)
    assert moves.steps == ()
    assert moves.closing == ()
    assert moves.obstacles == ()
    assert moves.order_exists


def test_a_proof_that_is_still_to_come_is_told_even_where_no_dial_is_turned() -> None:
    moves = plan(AS_FOUND, AS_FOUND, proved=frozenset({HL, OL}))
    assert moves.steps == ()
    assert [each.step for each in moves.closing][:3] == [
        ClosingStep.PROVE_HIGH_LIMIT,
        ClosingStep.PUT_OPERATING_LIMIT_BACK,
        ClosingStep.PROVE_OPERATING_LIMIT,
    ]


def test_a_lone_move_says_so() -> None:
    (move,) = plan(AS_FOUND, {**AS_FOUND, (HL, "main"): 132}).steps
    assert move.reason.kind is ReasonKind.ALONE


def test_moves_that_do_not_touch_one_another_go_by_habit() -> None:
    """The hold at 60 and the high limit at 130 have nothing to say to one another."""
    moves = plan(AS_FOUND, {**AS_FOUND, (HL, "main"): 132, (HOLD, "main"): 62})
    assert order(moves) == [(HL, "main"), (HOLD, "main")]
    assert {move.reason.kind for move in moves.steps} == {ReasonKind.TOP_DOWN}
    moves = plan(AS_FOUND, {**AS_FOUND, (HL, "main"): 128, (HOLD, "main"): 58})
    assert order(moves) == [(HOLD, "main"), (HL, "main")]
    assert {move.reason.kind for move in moves.steps} == {ReasonKind.BOTTOM_UP}


def test_the_band_is_not_cut_by_the_cut_out_on_the_way() -> None:
    """From 90 to 105 under 110 to 105 to 120 under 125: the rate first would put low fire above the old cut-out."""
    found = laundry(high=140, cut_out=112, width=8, rate=90)
    goal = laundry(high=140, cut_out=127, width=8, rate=105)
    edits: dict[str, object] = {"load.design_drop": None}
    assert order(plan(found, goal, edits)) == [(OL, "main"), (FR, "main")]
    assert order(plan(goal, found, edits)) == [(FR, "main"), (OL, "main")]


def test_settings_that_break_a_stop_rule_have_no_moves() -> None:
    moves = plan(AS_FOUND, {**AS_FOUND, (HL, "main"): 151})
    assert moves.steps == ()
    assert moves.closing == ()
    assert not moves.order_exists
    assert whys(moves) == {Why.GOAL_BREAKS}
    assert "high-limit-within-mawp" in moves.obstacles[0].codes


def test_settings_that_could_not_be_judged_have_no_moves() -> None:
    moves = plan(AS_FOUND, HIGHER, {"boiler.safety_valve": None})
    assert moves.steps == ()
    assert whys(moves) == {Why.GOAL_NOT_JUDGED}
    assert "safety_valve.set" in moves.obstacles[0].missing


def test_a_reading_that_nobody_took_locks_the_burner_out_and_puts_the_limits_first() -> None:
    unread = {key: value for key, value in AS_FOUND.items() if key[0] is not HL}
    moves = plan(unread, HIGHER)
    assert moves.unknown == (Dial(HL, "main"),)
    assert Why.READING_MISSING in whys(moves)
    assert order(moves) == [(HL, "main"), (OL, "main"), (FR, "main")]
    assert moves.steps[0].direction is Direction.UNKNOWN
    assert moves.steps[0].from_ is None
    assert {move.burner_after for move in moves.steps} == {BurnerState.LOCKED_OUT}


def test_nothing_read_at_all_is_set_from_the_limits_down() -> None:
    moves = plan({}, HIGHER)
    assert len(moves.unknown) == len(moves.steps) == 6
    assert order(moves)[:3] == [(HL, "main"), (OL, "main"), (OL, "differential")]
    assert moves.steps[0].burner is BurnerState.LOCKED_OUT


def test_a_tolerance_nobody_knows_leaves_the_way_unjudged() -> None:
    """The goal is judged, for the high limit will be proved; before that only its scale could tell."""
    edits: dict[str, object] = {"boiler.controls.high_limit.tolerance": {"proved": "0.5 psi"}}
    moves = plan(AS_FOUND, HIGHER, edits, frozenset({HL}))
    assert Why.NOT_JUDGED in whys(moves)
    assert not moves.order_exists
    assert {move.burner_after for move in moves.steps} == {BurnerState.LOCKED_OUT}


def test_a_stop_that_no_dial_cures_keeps_the_burner_locked_out() -> None:
    moves = plan(AS_FOUND, HIGHER, {"boiler.controls.high_limit.reset": "automatic"})
    assert whys(moves) == {Why.STOP_BESIDE_THE_DIALS}
    assert moves.order_exists
    assert moves.obstacles[0].findings
    assert (
        {move.burner for move in moves.steps} == {move.burner_after for move in moves.steps} == {BurnerState.LOCKED_OUT}
    )


def test_what_was_not_looked_at_is_not_silently_in_order() -> None:
    assert plan(AS_FOUND, HIGHER, {"boiler.controls.high_limit.reset": None}).look_first


def test_a_dial_whose_points_lie_where_the_pressure_works_is_turned_with_the_burner_off() -> None:
    moves = plan(AS_FOUND, {**HIGHER, (HOLD, "main"): 62})
    burner = {move.dial.role: move.burner for move in moves.steps}
    assert burner[OL] is burner[FR] is BurnerState.OFF_FOR_THE_TURN
    assert burner[HL] is burner[HOLD] is BurnerState.MAY_FIRE


def test_where_the_gauge_must_not_stand_reaches_over_both_ends_and_the_tolerance() -> None:
    move = plan(AS_FOUND, HIGHER).steps[0]
    assert move.swept is not None
    assert (move.swept.lowest, move.swept.highest) == pytest.approx((128 * PA_PER_PSI, 142 * PA_PER_PSI))


def test_an_operating_limit_that_does_not_act_is_stopped_by_hand_at_its_far_corner() -> None:
    stop = {move.dial.role: move.stop_by_hand for move in plan(AS_FOUND, HIGHER).steps}
    assert stop[OL] == pytest.approx(122 * PA_PER_PSI)
    assert stop[HL] is None


def test_the_closing_steps_prove_from_the_top_down_and_leave_nothing_temporary() -> None:
    assert [each.step for each in plan(AS_FOUND, HIGHER).closing] == [
        ClosingStep.PROVE_HIGH_LIMIT,
        ClosingStep.PUT_OPERATING_LIMIT_BACK,
        ClosingStep.PROVE_OPERATING_LIMIT,
        ClosingStep.SEE_THREE_CYCLES,
        ClosingStep.SWITCHES_TO_AUTOMATIC,
        ClosingStep.CLOSE_TEMPORARY_CHANGES,
    ]


def test_a_differential_that_is_fixed_is_never_turned() -> None:
    plant = survey({**LEVEL, "boiler.as_found": None}).plant
    boiler = plant.boilers[0]
    control = boiler.controls.operating_limit
    assert control is not None
    eight = DiffPa(8 * PA_PER_PSI)
    control = replace(control, differential_scale=DifferentialScale(lowest=eight, highest=eight, division=None))
    boiler = replace(boiler, controls=replace(boiler.controls, operating_limit=control))
    found = settings({key: value for key, value in AS_FOUND.items() if key != (OL, "differential")})
    moves = moves_between(plant, boiler, found, settings(HIGHER))
    assert order(moves) == [(HL, "main"), (OL, "main"), (FR, "main")]
    assert moves.unknown == ()


ON_OFF: dict[str, object] = {"boiler.burner.firing": "on-off", "boiler.controls.firing_rate": None}


@pytest.mark.parametrize(
    "edits",
    [
        {**ON_OFF, "boiler.burner.turndown": None},
        {"boiler.controls.low_fire_hold": None},
        {"boiler.controls.firing_rate.action": "pid"},
        {"boiler.controls.firing_rate.action": "master"},
        {"boiler.burner.firing": "low-high-off", "boiler.controls.firing_rate.action": "two-position"},
    ],
    ids=["on-off", "no hold", "pid", "master", "low-high-off"],
)
def test_every_way_of_firing_has_its_moves(edits: dict[str, object]) -> None:
    without = {
        FR: "boiler.controls.firing_rate" in edits,
        HOLD: "boiler.controls.low_fire_hold" in edits,
    }
    found, goal = (
        {key: value for key, value in dials.items() if not without.get(key[0], False)} for dials in (AS_FOUND, HIGHER)
    )
    moves = plan(found, goal, edits)
    assert order(moves)[:2] == [(HL, "main"), (OL, "main")]
    assert moves.order_exists


@pytest.mark.parametrize("plant", ["laundry", "school", "school-by-dial"])
def test_every_demo_plant_is_led_from_found_to_proposed(plant: str) -> None:
    surveyed = survey(plant=plant).plant
    boiler = surveyed.boilers[0]
    assert boiler.as_found is not None
    answer = settle(surveyed, boiler)
    goal = next(
        chosen.settings
        for name in ("chosen", "nearest", "fallback")
        if (chosen := getattr(answer, name, None)) is not None
    )
    moves = moves_between(surveyed, boiler, boiler.as_found.settings, goal)
    assert moves.steps
    assert not whys(moves) & {Why.GOAL_BREAKS, Why.GOAL_NOT_JUDGED, Why.NO_SAFE_ORDER, Why.READING_MISSING}


def test_the_cheapest_order_is_found_among_all_of_them() -> None:
    """Three things by hand: the second may not stand alone, and the third costs least last."""
    costs = {0b010: 5, 0b100: 1, 0b110: 1}
    assert cheapest_order(3, lambda mask: (costs.get(mask, 0),)) == (0, 1, 2)
    assert cheapest_order(3, lambda mask: (1 if mask == 0b001 else 0,)) == (1, 0, 2)
    assert cheapest_order(0, lambda mask: (mask,)) == ()


# Below: legal and illegal states by chance, judged by arithmetic of their own.


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A boiler as it would stand on the back of a settings sheet [psi]."""

    low_pressure: bool
    firing: str
    counts: Counts
    leg: dict[Role, tuple[float, float]]
    """Offset and what is unsure of it"""
    dial: dict[Role, float]
    proved: dict[Role, float]
    run_on: float
    """From full fire"""
    mawp: float
    valve: float
    rated: float
    turndown: float

    def off(self, role: Role, touched: frozenset[Role], proved: frozenset[Role]) -> float:
        tolerance = self.proved[role] if role in proved - touched else self.dial[role]
        return tolerance + self.leg[role][1]

    def rooms(self, dials: Dials, touched: frozenset[Role], proved: frozenset[Role]) -> dict[str, tuple[float, bool]]:
        """Room of every rule, and whether it is kept."""
        trip = dials[HL, "main"] + self.leg[HL][0]
        cut_out = self.cut_out(dials)
        latest = trip + self.off(HL, touched, proved)
        lift = self.valve - (2 if self.low_pressure else 0.03 * self.valve)
        strict = {"order": trip - cut_out, "valve": self.valve - latest, "lift": lift - latest - self.run_on}
        touching = {"mawp": self.mawp - trip, "rated": self.rated - self.highest(dials, touched, proved)}
        return {
            **{name: (room, room > NEAR) for name, room in strict.items()},
            **{name: (room, room >= -NEAR) for name, room in touching.items()},
        }

    def highest(self, dials: Dials, touched: frozenset[Role], proved: frozenset[Role]) -> float:
        """Highest pressure of normal work."""
        cut_out, off = self.cut_out(dials), self.off(OL, touched, proved)
        return cut_out + off + self.run_on * self.share(dials, cut_out - off, touched, proved)

    def cut_out(self, dials: Dials) -> float:
        part = {Counts.BELOW: 0.0, Counts.ABOVE: 1.0, Counts.AROUND: 0.5}[self.counts]
        return dials[OL, "main"] + part * dials[OL, "differential"] + self.leg[OL][0]

    def share(self, dials: Dials, earliest: float, touched: frozenset[Role], proved: frozenset[Role]) -> float:
        """Fire when the operating limit acts at its earliest, the rate control as late as it may be."""
        if self.firing == "on-off":
            return 1.0
        full = dials[FR, "main"] + self.leg[FR][0]
        low = full + dials[FR, "differential"]
        pressure = earliest - self.off(FR, touched, proved)
        if pressure >= low:
            return 1 / self.turndown
        if pressure <= full or self.firing == "low-high-off":
            return 1.0
        return 1 - (1 - 1 / self.turndown) * (pressure - full) / (low - full)


@st.composite
def sheets(draw: st.DrawFn) -> Sheet:
    low_pressure = draw(st.booleans())
    scale = 1.0 if low_pressure else 10.0
    roles = (OL, HL, FR, HOLD)
    feet = {role: draw(st.sampled_from([0, 0, 1, 4])) for role in roles}
    signs = {role: draw(st.sampled_from([-1, 1])) for role in roles}
    unsure = {role: draw(st.booleans()) for role in roles}
    dial = {role: draw(st.sampled_from([0.1, 0.2, 0.4])) * scale for role in roles}
    valve = 15.0 if low_pressure else draw(st.sampled_from([140.0, 150.0]))
    return Sheet(
        low_pressure=low_pressure,
        firing=draw(st.sampled_from(["modulating", "low-high-off", "on-off"])),
        counts=draw(st.sampled_from(list(Counts))),
        leg={
            role: (signs[role] * 0.433 * feet[role] / (2 if unsure[role] else 1), 0.433 * feet[role] / 2 * unsure[role])
            for role in roles
        },
        dial=dial,
        proved={role: draw(st.sampled_from([0.25, 1.0])) * dial[role] for role in roles},
        run_on=draw(st.sampled_from([0.05, 0.2, 1.0, 4.0])) * scale,
        mawp=15.0 if low_pressure else 150.0,
        valve=valve,
        rated=draw(st.sampled_from([1.0, 1.2, 1.5])) * (10 if low_pressure else 100),
        turndown=draw(st.sampled_from([2.0, 4.0])),
    )


def readings(sheet: Sheet, highest: dict[Role, float]) -> st.SearchStrategy[Dials]:
    """Dial readings on whole steps; ``highest`` caps the main scales as a share of the valve."""
    step = 0.25 if sheet.low_pressure else 2.5
    has_rate = sheet.firing != "on-off"

    def main(role: Role, lowest: float) -> st.SearchStrategy[float]:
        top = min(highest[role], 1.0) if sheet.low_pressure else highest[role]
        counts = (round(lowest * sheet.valve / step), round(top * sheet.valve / step))
        return st.integers(*counts).map(lambda count: count * step)

    width = st.integers(2, 8).map(lambda count: count * step)
    dials: dict[tuple[Role, str], st.SearchStrategy[float]] = {
        (HL, "main"): main(HL, 0.6),
        (OL, "main"): main(OL, 0.45),
        (OL, "differential"): width,
    }
    if has_rate:
        dials[FR, "main"] = main(FR, 0.4)
        dials[FR, "differential"] = width
    dials[HOLD, "main"] = main(HOLD, 0.1)
    return st.fixed_dictionaries(dials)


ANYWHERE = {HL: 1.1, OL: 1.0, FR: 0.95, HOLD: 0.6}
LIKELY_SAFE = {HL: 0.85, OL: 0.65, FR: 0.6, HOLD: 0.4}
SOMETIMES_PROVED = st.sampled_from([frozenset[Role](), frozenset({OL, HL}), frozenset({HL}), frozenset({OL, HL, FR})])


Way = tuple[Sheet, tuple[Dials, frozenset[Role]], tuple[Dials, frozenset[Role]]]


@st.composite
def narrow_ways(draw: st.DrawFn) -> Way:
    """A main scale raised and its differential narrowed by about as much, over a large run-on: often without an order.

    The differential counts upwards or around, so that the cut-out is made of two dials; half way it stands too high, or
    so low that the burner is still far above low fire when it is stopped.
    """
    sheet = replace(
        draw(sheets()),
        low_pressure=False,
        firing="modulating",
        counts=draw(st.sampled_from([Counts.ABOVE, Counts.AROUND])),
        run_on=draw(st.sampled_from([20.0, 40.0])),
        dial=dict.fromkeys((OL, HL, FR, HOLD), 1.0),
        proved=dict.fromkeys((OL, HL, FR, HOLD), 0.5),
        leg=dict.fromkeys((OL, HL, FR, HOLD), (0.0, 0.0)),
        mawp=150.0,
        valve=150.0,
        turndown=4.0,
    )
    part = 1.0 if sheet.counts is Counts.ABOVE else 0.5
    wide, narrow = draw(st.integers(10, 20)), draw(st.integers(2, 6))
    main, rise = draw(st.integers(60, 70)), draw(st.integers(0, 4))
    low_fire = main + part * wide - 2 - draw(st.integers(0, 2))
    found: Dials = {
        (HL, "main"): 100.0,
        (OL, "main"): float(main),
        (OL, "differential"): float(wide),
        (FR, "main"): low_fire - 10,
        (FR, "differential"): 10.0,
        (HOLD, "main"): 20.0,
    }
    goal = {**found, (OL, "main"): main + part * (wide - narrow) + rise, (OL, "differential"): float(narrow)}
    none = frozenset[Role]()
    tops = max(sheet.highest(found, none, none), sheet.highest(goal, none, none))
    return replace(sheet, rated=tops + draw(st.sampled_from([0.01, 4.0]))), (found, none), (goal, none)


@st.composite
def ways(draw: st.DrawFn) -> Way:
    if draw(st.integers(0, 4)) == 0:
        return draw(narrow_ways())
    sheet = draw(sheets())
    found = draw(readings(sheet, draw(st.sampled_from([ANYWHERE, LIKELY_SAFE]))))
    goal = draw(readings(sheet, draw(st.sampled_from([LIKELY_SAFE, ANYWHERE]))))
    kept = draw(st.sets(st.sampled_from(sorted(found, key=str)), max_size=4))
    goal = {key: found[key] if key in kept else value for key, value in goal.items()}
    goal_proved = draw(SOMETIMES_PROVED)
    if draw(st.integers(0, 9)):
        goal = lowered_until_kept(sheet, goal, goal_proved)
    found_proved = draw(SOMETIMES_PROVED)
    if draw(st.booleans()):
        # A rating downstream that both ends just keep makes the way between them narrow.
        ends = (sheet.highest(found, frozenset(), found_proved), sheet.highest(goal, frozenset(), goal_proved))
        sheet = replace(sheet, rated=max(ends) + 0.01)
    return sheet, (found, found_proved), (goal, goal_proved)


def lowered_until_kept(sheet: Sheet, dials: Dials, proved: frozenset[Role]) -> Dials:
    """Both limits turned down, step by step, until every rule is kept; often only just."""
    step = 0.25 if sheet.low_pressure else 2.5
    dials = dict(dials)
    for _ in range(100):
        broken = {name for name, (_, kept) in sheet.rooms(dials, frozenset(), proved).items() if not kept}
        if broken & {"mawp", "valve", "lift"}:
            dials[HL, "main"] -= step
        elif broken:
            dials[OL, "main"] -= step
        if not broken or min(dials[HL, "main"], dials[OL, "main"]) < 2 * step:
            break
    return {key: max(value, step) for key, value in dials.items()}


@cache
def bare_plant() -> Plant:
    return survey({**LEVEL, "boiler.as_found": None, "boiler.measured.run_on": None}).plant


@cache
def bare_school() -> Plant:
    return survey({"boiler.as_found": None}, "school").plant


def surveyed(sheet: Sheet) -> tuple[Plant, Boiler]:
    """The plant of a sheet, through the plant file so that nothing here builds what a reader of files would not."""
    role_edits: dict[str, object] = {}
    for role in (OL, HL, FR, HOLD):
        offset, spread = sheet.leg[role]
        height = round((abs(offset) + spread) / 0.433)
        leg: object = "none"
        if height:
            filling = "unsure" if spread else "full"
            leg = {"height": f"{height} ft", "position": "below" if offset < 0 else "above", "filling": filling}
        role_edits[f"boiler.controls.{role.value}.water_leg"] = leg
        role_edits[f"boiler.controls.{role.value}.tolerance"] = {
            "dial": f"{sheet.dial[role]!r} psi",
            "proved": f"{sheet.proved[role]!r} psi",
        }
        # The high limit of a low-pressure boiler cannot be set above 15 psi, or a rule that no dial cures would speak.
        top = "15 psi" if sheet.low_pressure else "200 psi"
        role_edits[f"boiler.controls.{role.value}.scale"] = {"from": "0.25 psi", "to": top, "division": "0.5 psi"}
    width = {"from": "0.25 psi", "to": "30 psi", "division": "0.25 psi"}
    edits: dict[str, object] = {
        "boiler.as_found": None,
        "boiler.mawp": f"{sheet.mawp} psi",
        "boiler.safety_valve.0.set": f"{sheet.valve} psi",
        "boiler.safety_valve.1.set": f"{sheet.valve} psi",
        "load.rated_max": f"{sheet.rated} psi",
        "load.need": "3 psi",
        "load.wish": None,
        "load.may_dip_to": None,
        "load.may_dip_for": None,
        "boiler.burner.firing": sheet.firing,
        "boiler.burner.turndown": sheet.turndown,
        **role_edits,
        "boiler.measured.run_on": [{"rise": f"{sheet.run_on!r} psi", "firing": "full", "load": "none"}],
        "boiler.controls.operating_limit.differential_scale": width,
        "boiler.controls.operating_limit.differential_counts": sheet.counts.value,
        "boiler.controls.firing_rate.differential_scale": width,
    }
    if sheet.firing == "on-off":
        edits = {key: value for key, value in edits.items() if not key.startswith("boiler.controls.firing_rate")}
        edits |= {"boiler.controls.firing_rate": None, "boiler.burner.turndown": None}
    plant = survey(edits).plant
    return plant, plant.boilers[0]


Rooms = dict[str, tuple[float, bool]]


def is_safe(here: Rooms, found: Rooms, goal: Rooms) -> bool:
    """Kept where both ends keep it; else kept, or no worse than the worse end."""
    for name, (room, kept) in here.items():
        ends = (found[name], goal[name])
        if not kept and (all(end[1] for end in ends) or room < min(end[0] for end in ends) - NEAR):
            return False
    return True


class Judge:
    """Every state between two sets of readings, judged by the sheet."""

    def __init__(self, sheet: Sheet, found: tuple[Dials, frozenset[Role]], goal: tuple[Dials, frozenset[Role]]) -> None:
        self.sheet, self.found, self.goal = sheet, found, goal
        self.at_found = sheet.rooms(found[0], frozenset(), found[1])
        self.at_goal = sheet.rooms(goal[0], frozenset(), goal[1])
        self.moved = frozenset(key for key in goal[0] if abs(goal[0][key] - found[0][key]) > NEAR)

    def dials(self, done: frozenset[tuple[Role, str]]) -> Dials:
        return {key: self.goal[0][key] if key in done else value for key, value in self.found[0].items()}

    def rooms(self, done: frozenset[tuple[Role, str]]) -> Rooms:
        return self.sheet.rooms(self.dials(done), frozenset(role for role, _ in done), self.found[1])

    def is_clear(self, done: frozenset[tuple[Role, str]]) -> bool:
        return all(kept for _, kept in self.rooms(done).values())

    def is_safe(self, done: frozenset[tuple[Role, str]]) -> bool:
        ends = (self.sheet.cut_out(self.found[0]), self.sheet.cut_out(self.goal[0]))
        no_higher = self.sheet.cut_out(self.dials(done)) <= max(ends) + NEAR
        return no_higher and is_safe(self.rooms(done), self.at_found, self.at_goal)

    def uncured(self, done: frozenset[tuple[Role, str]]) -> int:
        here = self.rooms(done)
        return sum(not here[name][1] for name, (_, kept) in self.at_found.items() if not kept)

    def fewest_uncured(self) -> int | None:
        """Over all safe orders the least sum of demands broken as found and not yet cured; ``None`` without one."""

        @cache
        def least(done: frozenset[tuple[Role, str]]) -> float:
            if done == self.moved:
                return 0
            nexts = [done | {key} for key in self.moved - done]
            return min((self.uncured(each) + least(each) for each in nexts if self.is_safe(each)), default=float("inf"))

        found = least(frozenset())
        return None if found == float("inf") else int(found)


def replayed(moves: Moves, judge: Judge) -> list[frozenset[tuple[Role, str]]]:
    """The state after each move; every dial goes once, straight from found to goal."""
    done: frozenset[tuple[Role, str]] = frozenset()
    states = []
    for move in moves.steps:
        key = (move.dial.role, move.dial.turn)
        assert key not in done
        assert move.from_ == pytest.approx(judge.found[0][key] * PA_PER_PSI)
        assert move.to == pytest.approx(judge.goal[0][key] * PA_PER_PSI)
        done |= {key}
        states.append(done)
    assert done == judge.moved
    return states


@given(way=ways())
def test_after_every_single_move_the_worst_corner_is_safe_or_the_burner_is_locked_out(way: Way) -> None:
    sheet, found, goal = way
    judge = Judge(sheet, found, goal)
    plant, boiler = surveyed(sheet)
    moves = moves_between(plant, boiler, settings(*found), settings(*goal))
    if not all(kept for _, kept in judge.at_goal.values()):
        assert moves.steps == ()
        assert whys(moves) == {Why.GOAL_BREAKS}
        return
    states = replayed(moves, judge)
    assert moves.unknown == ()
    assert not whys(moves) & {Why.NOT_JUDGED, Why.READING_MISSING}
    fewest = judge.fewest_uncured()
    assert moves.order_exists is (fewest is not None)
    if moves.order_exists:
        assert all(judge.is_safe(state) for state in states)
        assert sum(judge.uncured(state) for state in states) == fewest
    else:
        assert {move.burner for move in moves.steps} == {BurnerState.LOCKED_OUT}
        assert {move.burner_after for move in moves.steps} == {BurnerState.LOCKED_OUT}
    before: frozenset[tuple[Role, str]] = frozenset()
    for move, state in zip(moves.steps, states, strict=True):
        assert move.burner is BurnerState.LOCKED_OUT or judge.is_clear(before)
        assert move.burner_after is BurnerState.LOCKED_OUT or judge.is_clear(state)
        before = state


@given(way=ways())
def test_no_dial_whose_points_cross_the_working_pressure_is_turned_while_it_fires(way: Way) -> None:
    """Between the cut-ins and the cut-outs of both ends the pressure may stand at any time."""
    sheet, found, goal = way
    plant, boiler = surveyed(sheet)
    moves = moves_between(plant, boiler, settings(*found), settings(*goal))
    bottoms = [sheet.cut_out(dials) - dials[OL, "differential"] for dials in (found[0], goal[0])]
    tops = [sheet.cut_out(dials) for dials in (found[0], goal[0])]
    for move in moves.steps:
        levels = [
            level / PA_PER_PSI for point in move.points for level in (point.before, point.after) if level is not None
        ]
        crosses = bool(levels) and min(levels) <= max(tops) + NEAR and max(levels) >= min(bottoms) - NEAR
        if crosses:
            assert move.burner in {BurnerState.OFF_FOR_THE_TURN, BurnerState.LOCKED_OUT}
        if move.burner is BurnerState.MAY_FIRE:
            assert move.swept is not None
            assert move.swept.lowest / PA_PER_PSI < min(levels)
            assert move.swept.highest / PA_PER_PSI > max(levels)


def test_a_dial_reading_stays_on_its_scale() -> None:
    """The scales of the sheets hold every reading that is drawn: 200 psi is above 1.1 x 150."""
    _, boiler = surveyed(_plain_sheet())
    control = boiler.controls.high_limit
    assert control is not None
    assert control.scale == Scale(
        lowest=GaugePa(0.25 * PA_PER_PSI), highest=GaugePa(200 * PA_PER_PSI), division=DiffPa(0.5 * PA_PER_PSI)
    )


def _plain_sheet() -> Sheet:
    roles = (OL, HL, FR, HOLD)
    return Sheet(
        low_pressure=False,
        firing="modulating",
        counts=Counts.BELOW,
        leg=dict.fromkeys(roles, (0.0, 0.0)),
        dial=dict.fromkeys(roles, 2.0),
        proved=dict.fromkeys(roles, 0.5),
        run_on=2.0,
        mawp=150.0,
        valve=150.0,
        rated=150.0,
        turndown=4.0,
    )
