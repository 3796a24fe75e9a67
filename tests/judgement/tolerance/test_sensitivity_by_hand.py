"""Which measurement is named first, how far a margin is from turning, and which motion counts: written by hand."""

from dataclasses import replace
from math import inf

import pytest

from evenfire.judgement.margins import Tier
from evenfire.judgement.outcome import TermName
from evenfire.judgement.tolerance.measurements import Measurement
from evenfire.judgement.tolerance.sensitivity import (
    Help,
    MarginPulls,
    MotionPull,
    Stake,
    _corner_fires_more,
    _most_helpful,
    _rooms,
    _seen_stack,
)
from evenfire.plant.known import Missing, Origin
from evenfire.si import DiffPa, Dimension, Quantity
from tests.judgement.plants_for_rules import HIGH_PRESSURE, LOW_PRESSURE, REMOVED, Edits, Table, case_of, edited

PSI = 6894.757293168
RUN_ON = TermName.RUN_ON_AT_CUT_OUT


def helping(code: str, gain: float, *keys: str, by: Measurement = Measurement.TRIP_POINT) -> Help:
    """A measurement that takes so much off a doubt of ten [psi]."""
    return Help(measurement=by, keys=keys, code=code, before=DiffPa(10 * PSI), after=DiffPa((10 - gain) * PSI))


def margin(
    code: str, room: float, doubt: float, *helps: Help, tier: Tier = Tier.WANTED, pulls: tuple[MotionPull, ...] = ()
) -> MarginPulls:
    return MarginPulls(
        code=code, tier=tier, room=DiffPa(room * PSI), doubt=DiffPa(doubt * PSI), pulls=pulls, helps=helps
    )


@pytest.mark.parametrize(
    ("room", "doubt", "tier", "stake"),
    [
        # Three doubts either way are sure, a hair less is not.
        (3.001, 1.0, Tier.WANTED, Stake.NOTHING),
        (2.999, 1.0, Tier.WANTED, Stake.VERDICT),
        (0.0, 1.0, Tier.WANTED, Stake.VERDICT),
        (-2.999, 1.0, Tier.WANTED, Stake.VERDICT),
        (-3.001, 1.0, Tier.WANTED, Stake.AMOUNT),
        (3.001, 1.0, Tier.NEVER_RELAXED, Stake.NOTHING),
        (2.999, 1.0, Tier.NEVER_RELAXED, Stake.SAFETY),
        (-3.001, 1.0, Tier.NEVER_RELAXED, Stake.SAFETY),
        # What nothing moves is sure of its side, and touching is enough.
        (0.0, 0.0, Tier.NEVER_RELAXED, Stake.NOTHING),
        (1.0, 0.0, Tier.WANTED, Stake.NOTHING),
        (-0.001, 0.0, Tier.NEVER_RELAXED, Stake.SAFETY),
        (-0.001, 0.0, Tier.WANTED, Stake.AMOUNT),
    ],
)
def test_three_doubts_of_room_are_sure(room: float, doubt: float, tier: Tier, stake: Stake) -> None:
    assert margin("m", room, doubt, tier=tier).stake is stake


def test_a_standing_is_room_in_its_doubts_and_without_any_endless_on_its_side() -> None:
    assert margin("m", 6.0, 4.0).standing == pytest.approx(1.5)
    assert margin("m", 0.0, 0.0).standing == margin("m", 1.0, 0.0).standing == inf
    assert margin("m", -1.0, 0.0).standing == -inf
    assert margin("m", -1.0, 0.0).is_short_for_sure
    assert not margin("m", -3.0, 1.0).is_short_for_sure


def pull(key: str, higher: float, lower: float) -> MotionPull:
    return MotionPull(
        key=key,
        origin=Origin.SURVEYED,
        doubt=Quantity(0.1, Dimension.FRACTION),
        higher=DiffPa(higher * PSI),
        lower=DiffPa(lower * PSI),
    )


def test_a_value_pulls_as_far_as_its_worse_side_and_the_first_decides() -> None:
    assert pull("a", 2.0, -3.0).size == pytest.approx(3.0 * PSI)
    assert pull("a", -4.0, 3.0).size == pytest.approx(4.0 * PSI)
    first = pull("a", 2.0, -3.0)
    deciding = margin("m", 1.0, 1.0, pulls=(first, pull("b", 1.0, -1.0))).deciding
    assert deciding is first
    assert margin("m", 1.0, 1.0).deciding is None


def test_where_nothing_is_at_stake_the_best_help_of_the_margin_that_comes_nearest_is_named() -> None:
    best, second = helping("near", 2.0, "a"), helping("near", 1.0, "b")
    near, far = margin("near", 40, 10, best, second), margin("far", 90, 10, helping("far", 9.0, "c"))
    assert _most_helpful([near, far]) is best
    # A margin that nothing helps is passed over.
    assert _most_helpful([margin("mute", 31, 10), near, far]) is best
    assert _most_helpful([margin("mute", 31, 10)]) is None
    assert _most_helpful([]) is None


def test_the_measurement_that_takes_most_off_what_is_most_at_stake_is_named() -> None:
    little, much = helping("safe", 1.0, "a"), helping("safe", 4.0, "b")
    safe = margin("safe", 5, 10, little, much, tier=Tier.NEVER_RELAXED)
    verdict = margin("verdict", -5, 10, helping("verdict", 9.0, "c"))
    sure = margin("sure", 99, 10, helping("sure", 9.5, "d"))
    assert _most_helpful([verdict, safe, sure]) is much
    assert _most_helpful([verdict, sure]) is verdict.helps[0]


def test_of_several_margins_that_one_measurement_helps_alike_the_worst_tells_why() -> None:
    worse, better = helping("worse", 3.0, "a"), helping("better", 4.0, "a")
    assert _most_helpful([margin("worse", -5, 10, worse), margin("better", 5, 10, better)]) is worse
    # Of another value it is another measurement.
    other = helping("worse", 3.0, "b")
    assert _most_helpful([margin("worse", -5, 10, other), margin("better", 5, 10, better)]) is better


def test_it_is_the_same_measurement_where_it_reads_the_same_motion_or_settles_the_same_values() -> None:
    one = helping("x", 1.0, "a")
    assert one.does_the_same_as(helping("y", 2.0, "a"))
    assert not one.does_the_same_as(helping("x", 1.0, "b"))
    assert not one.does_the_same_as(helping("x", 1.0, "a", by=Measurement.WATER_LEG))
    read, again = replace(one, term=RUN_ON), replace(helping("y", 1.0, "b"), term=RUN_ON)
    assert read.does_the_same_as(again)
    assert not read.does_the_same_as(one)
    assert not read.does_the_same_as(replace(again, term=TermName.UNDERSHOOT))
    assert one.gain == pytest.approx(1.0 * PSI)


@pytest.mark.parametrize("table", [HIGH_PRESSURE, LOW_PRESSURE], ids=["high pressure", "low pressure"])
def test_every_demand_but_usual_practice_is_weighed_or_says_what_it_lacks(table: Table) -> None:
    case = case_of(table)
    wanted = {demand.code for demand in case.demands if demand.tier is not Tier.USUAL}
    rooms, unknown = _rooms(case)
    assert set(rooms) == wanted
    assert unknown == {}
    # The hold is weighed though practice stands before it.
    assert "hold-below-restart" in rooms
    # 60 and two psi late, below a cut-in at 115 two early and four of undershoot.
    if table is HIGH_PRESSURE:
        assert rooms["hold-below-restart"] / PSI == pytest.approx(109 - 62)
        assert "cut-in-above-high-fire" not in rooms
    bare = case_of(edited(table, {"load.need": REMOVED}))
    rooms, unknown = _rooms(bare)
    assert set(rooms) | set(unknown) == {demand.code for demand in bare.demands if demand.tier is not Tier.USUAL}
    assert "load.need" in unknown["restart-holds-need"]


def bakery(**found: str) -> Edits:
    return {f"boiler.as_found.{key}": value for key, value in found.items()}


# High fire 105 and low fire 115, each psi of the band 7.5 % of fire; both dials within two psi.
@pytest.mark.parametrize(
    ("edits", "more"),
    [
        # A cut-out at 125 may come down to 123, the band up to 117: low fire either way.
        ({}, False),
        # At 117: low fire with true dials, and up to 115 - in the band - where both are off.
        (bakery(operating_limit="117 psi", operating_limit_differential="6 psi"), True),
        # It is in the band already, and more so with its dials off.
        (bakery(operating_limit="110 psi", operating_limit_differential="6 psi"), True),
        # Four psi above low fire the two would touch.
        (bakery(operating_limit="119.1 psi", operating_limit_differential="6 psi"), False),
        (bakery(operating_limit="118.9 psi", operating_limit_differential="6 psi"), True),
        # What nobody knows may be more.
        ({"boiler.controls.firing_rate.tolerance": REMOVED}, True),
        ({"boiler.as_found.firing_rate": REMOVED, "boiler.as_found.firing_rate_differential": REMOVED}, True),
        # One fire is never more of it.
        ({"boiler.burner.0.firing": "on-off", "boiler.burner.0.turndown": REMOVED}, False),
    ],
)
def test_a_corner_fires_more_where_the_band_may_come_up_to_the_cut_out(edits: Edits, more: bool) -> None:
    assert _corner_fires_more(case_of(edited(HIGH_PRESSURE, edits))) is more


def test_what_was_seen_stands_but_where_a_corner_may_fire_more_or_a_watch_gave_it() -> None:
    seen = {
        RUN_ON: 0.25 * PSI,
        TermName.RUN_ON_AT_FULL_FIRE: 6 * PSI,
        TermName.UNDERSHOOT: 9 * PSI,
        TermName.OVERSHOOT_OF_DROP: 2 * PSI,
    }
    case = case_of(HIGH_PRESSURE)
    stack = _seen_stack(case, seen)
    assert (stack.run_on, stack.full_fire_run_on, stack.drop_overshoot) == (0.25 * PSI, 6 * PSI, 2 * PSI)
    # Four psi were read with a watch.
    assert stack.undershoot == pytest.approx(4 * PSI)
    reckoned = case_of(edited(HIGH_PRESSURE, {"boiler.measured.undershoot": REMOVED}))
    assert _seen_stack(reckoned, seen).undershoot == 9 * PSI
    # A cut-out that may come into the band stops up to all of the fire: the greater of both counts.
    crossing = case_of(edited(HIGH_PRESSURE, bakery(operating_limit="117 psi", operating_limit_differential="6 psi")))
    assert not isinstance(crossing.stack.run_on, Missing)
    assert crossing.stack.run_on > 0.25 * PSI
    assert _seen_stack(crossing, seen).run_on == crossing.stack.run_on
    assert _seen_stack(crossing, {**seen, RUN_ON: 50 * PSI}).run_on == 50 * PSI
    # What was not seen stays as it was reckoned.
    assert _seen_stack(case, {}) == case.stack
