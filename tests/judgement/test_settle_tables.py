"""Dial positions, conflicts and cures: counted by hand, and by trying everything where there is little to try."""

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations as choose
from random import Random

import numpy as np
import pytest

from evenfire.errors import BelowNeed
from evenfire.judgement.behaviour import Behaviour
from evenfire.judgement.margins import Tier
from evenfire.judgement.settle.conflicts import broken_sets, can_be_met, can_settle, disjoint_conflicts
from evenfire.judgement.settle.cures import cures_of
from evenfire.judgement.settle.grid import Positions, paired_positions, proved_roles, single_positions
from evenfire.judgement.settle.ground import ground_of, likely_part, require_judged
from evenfire.judgement.settle.pulls import pulls_on
from evenfire.judgement.settle.result import CureKind
from evenfire.judgement.settle.retarget import one_division, retargeted
from evenfire.judgement.settle.search import highest_kept, stack_of, starts_at, tables_of
from evenfire.judgement.settle.ways import ways
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.known import NotKnownError
from evenfire.plant.plant import Plant
from evenfire.si import GaugePa
from tests.surveys import case_of, survey

PSI = 6894.757293168
LEG = 0.433 * 0.5
BY_DIAL: dict[str, object] = {f"boiler.controls.{role.value}.tolerance": {"dial": "2 psi"} for role in Role}


def laundry(edits: dict[str, object] | None = None, plant: str = "laundry") -> tuple[Plant, Boiler]:
    found = survey(edits, plant).plant
    return found, found.boilers[0]


def psi(values: object) -> list[float]:
    return [round(float(each) / PSI, 6) for each in np.asarray(values)]


def test_a_control_set_by_dial_has_its_half_divisions_with_every_half_division_of_its_differential() -> None:
    # 10 to 150 psi by 2 psi: 141 halves; the differential 6 to 22 psi by 2: 17 halves.
    found = paired_positions(laundry(BY_DIAL)[1], Role.OPERATING_LIMIT)
    assert len(found.main) == 141 * 17
    assert sorted(set(psi(found.main))) == [float(each) for each in range(10, 151)]
    assert found.differential is not None
    assert sorted(set(psi(found.differential))) == [float(each) for each in range(6, 23)]
    # The main scale shows the cut-out, the differential counts below it; half a foot of water acts early.
    assert psi(found.upper) == pytest.approx([each - LEG for each in psi(found.main)], abs=1e-4)
    assert psi(found.upper - found.lower) == pytest.approx(psi(found.differential), abs=1e-6)
    # Odd pounds stand between marks of two.
    assert found.between_marks.tolist() == [round(each) % 2 == 1 for each in psi(found.main)]


def test_a_range_that_counts_above_its_scale_lies_above_it() -> None:
    # 5 to 150 psi by 5: 59 halves; range 5 to 20 by 5: seven halves.
    found = paired_positions(laundry()[1], Role.FIRING_RATE)
    assert len(found.main) == 59 * 7
    assert psi(found.lower) == pytest.approx([each - LEG for each in psi(found.main)], abs=1e-4)
    assert found.differential is not None
    assert psi(found.upper - found.lower) == pytest.approx(psi(found.differential), abs=1e-6)


def test_a_differential_that_is_fixed_has_one_position() -> None:
    fixed: dict[str, object] = {
        "boiler.controls.operating_limit.differential_scale": {"fixed": "8 psi"},
        "boiler.as_found.operating_limit_differential": None,
    }
    found = paired_positions(laundry(BY_DIAL | fixed)[1], Role.OPERATING_LIMIT)
    assert found.differential is not None
    assert set(psi(found.differential)) == {8.0}


def test_a_control_with_one_point_acts_there() -> None:
    found = single_positions(laundry(BY_DIAL)[1], Role.HIGH_LIMIT)
    assert psi(found.main) == [float(each) for each in range(10, 201)]
    assert found.differential is None
    assert psi(found.upper) == psi(found.lower) == pytest.approx([each - LEG for each in psi(found.main)], abs=1e-4)


def test_a_proved_control_stands_at_even_half_pounds_of_the_boiler_or_where_it_stands_now() -> None:
    boiler = laundry()[1]
    assert proved_roles(boiler) == {Role.OPERATING_LIMIT, Role.HIGH_LIMIT}
    found = single_positions(boiler, Role.HIGH_LIMIT)
    halves = [2 * each for each in psi(found.upper)]
    odd = [each / 2 for each in halves if abs(each - round(each)) > 1e-3]
    # As found it reads 140 psi: 139.78 at the boiler.
    assert odd == pytest.approx([140 - LEG], abs=1e-3)
    # The scale reaches from 10 to 200 psi: 10.0 is the first half pound at or above 9.78 psi at the boiler.
    assert min(psi(found.upper)) == pytest.approx(10.0)
    assert max(psi(found.upper)) == pytest.approx(199.5)
    assert len(found.main) == 381
    # Whole pounds are round, halves are not, nor is what it reads now.
    round_ones = found.upper[~found.between_marks] / PSI
    assert np.allclose(round_ones, np.round(round_ones), atol=1e-5)
    assert np.count_nonzero(~found.between_marks) == 190
    left = replace(boiler, as_found=None)
    assert len(single_positions(left, Role.HIGH_LIMIT).main) == 380


@pytest.mark.parametrize(
    ("key", "missing"),
    [
        ("scale", "controls.operating_limit.scale"),
        ("differential_scale", "controls.operating_limit.differential_scale"),
        ("differential_counts", "controls.operating_limit.differential_counts"),
        ("tolerance", "controls.operating_limit.tolerance.dial"),
    ],
)
def test_a_dial_that_nobody_described_is_asked_for(key: str, missing: str) -> None:
    _, boiler = laundry({f"boiler.controls.operating_limit.{key}": None})
    with pytest.raises(NotKnownError) as raised:
        paired_positions(boiler, Role.OPERATING_LIMIT)
    assert missing in raised.value.keys


def fits(demands: int, sets: tuple[int, ...]) -> bool:
    """Whether some broken set leaves all of these demands in peace, by looking at every one."""
    return any(not demands & broken for broken in sets)


@pytest.mark.parametrize("seed", range(60))
def test_conflicts_are_disjoint_and_minimal_and_what_is_left_over_can_be_met(seed: int) -> None:
    chance = Random(seed)
    order = tuple(chance.sample(range(5), 5))
    sets = tuple(chance.sample(range(1, 32), chance.randint(1, 5)))
    found = disjoint_conflicts(order, sets)
    left = 31
    for conflict in found:
        assert conflict & ~left == 0
        assert not fits(conflict, sets)
        for place in order:
            if conflict >> place & 1:
                assert fits(conflict & ~(1 << place), sets)
        left &= ~conflict
    assert fits(left, sets)
    for demands in range(32):
        assert can_be_met(demands, sets) is fits(demands, sets)


def test_of_two_ways_to_tell_a_conflict_the_earlier_demands_are_told() -> None:
    # Demand 0 goes with neither 1 nor 2.
    assert disjoint_conflicts((0, 1, 2), (0b001, 0b110)) == (0b011,)
    assert disjoint_conflicts((0, 2, 1), (0b001, 0b110)) == (0b101,)
    # Where nothing is broken there is no conflict.
    assert disjoint_conflicts((0, 1, 2), (0b000, 0b110)) == ()


def test_what_combinations_break_is_told_by_the_smallest_sets() -> None:
    plant, boiler = laundry()
    ground = likely_part(ground_of(plant, boiler))
    assert ground is not None
    tables = tables_of(ground)
    small = replace(
        tables,
        broken_by_rate=np.array([[1], [2], [0]], dtype=np.uint32),
        kept_by_rate=np.array([[True], [True], [False]]),
        broken_by_high=np.array([[4, 0], [0, 8], [0, 0]], dtype=np.uint32),
        kept_by_high=np.array([[True, False], [True, True], [True, True]]),
    )
    # First row: 1 and 4 together, for its other high limit is never allowed. Second: 2, or 2 and 8, which has 2 in it.
    # Third: never allowed.
    assert set(broken_sets(small)) == {0b0101, 0b0010}


def test_a_plant_settles_unless_its_demands_conflict_and_then_without_one_of_them() -> None:
    plant, boiler = laundry()
    assert can_settle(plant, boiler, set())
    tight, same = laundry({"load.wish": "108 psi"})
    assert not can_settle(tight, same, set())
    assert can_settle(tight, same, {"cut-out-within-wish"})
    assert can_settle(tight, same, {"restart-holds-need", "need-at-full-load"})
    lacking, other = laundry({"boiler.controls.high_limit.tolerance": None})
    assert not can_settle(lacking, other, set())


def test_what_decides_safety_has_to_be_judged() -> None:
    plant, boiler = laundry({"boiler.water_volume": None})
    with pytest.raises(NotKnownError) as raised:
        require_judged(ground_of(plant, boiler))
    assert "water_volume" in raised.value.keys
    require_judged(ground_of(*laundry()))


def cures(works: Callable[[Plant, Boiler], bool]) -> dict[CureKind, float]:
    plant, boiler = laundry()
    return {cure.kind: cure.after.value for cure in cures_of(plant, boiler, works, works, ())}


@pytest.mark.parametrize("seconds", [99, 60, 21])
def test_of_a_way_the_fewest_steps_that_work_are_told(seconds: int) -> None:
    def quick(_: Plant, boiler: Boiler) -> bool:
        measured = boiler.measured.contact_to_low_fire
        return measured is not None and measured <= seconds + 1e-6

    # 106 s now, second by second.
    assert cures(quick) == {CureKind.SHORTEN_START: pytest.approx(seconds)}


def test_what_no_step_cures_has_no_cure() -> None:
    def quick(_: Plant, boiler: Boiler) -> bool:
        measured = boiler.measured.contact_to_low_fire
        return measured is not None and measured <= 19.0

    assert cures(quick) == {}


def test_one_control_that_is_enough_hides_the_group_it_is_in() -> None:
    def proved(_: Plant, boiler: Boiler) -> bool:
        control = boiler.controls.high_limit
        return control is not None and control.tolerance.proved is not None

    plant, boiler = laundry(BY_DIAL)
    found = cures_of(plant, boiler, proved, proved, ())
    assert [(cure.kind, cure.roles) for cure in found] == [(CureKind.PROVE, (Role.HIGH_LIMIT,))]


def test_a_cure_has_to_work_beside_the_cures_of_the_others() -> None:
    def low_need(plant: Plant, _: Boiler) -> bool:
        return plant.load.need is not None and plant.load.need <= 100 * PSI + 1

    def both(plant: Plant, boiler: Boiler) -> bool:
        return low_need(plant, boiler) and plant.load.wish is not None and plant.load.wish >= 135 * PSI - 1

    def wish(plant: Plant, _: Boiler) -> bool:
        return plant.load.wish is not None and plant.load.wish >= 132 * PSI - 1

    plant, boiler = laundry()
    first = cures_of(plant, boiler, low_need, low_need, ())
    assert [cure.kind for cure in first] == [CureKind.LOWER_NEED]
    assert first[0].after.value / PSI == pytest.approx(100)
    # Alone 132 psi is enough; beside the other, 135.
    (second,) = cures_of(plant, boiler, wish, both, (first,))
    assert second.kind is CureKind.RAISE_WISH
    assert second.after.value / PSI == pytest.approx(135)
    assert second.before is not None
    assert second.before.value / PSI == pytest.approx(130)
    assert second.change(plant, boiler)[0].load.wish == pytest.approx(135 * PSI)


def test_each_change_of_the_plant_goes_as_far_as_it_may() -> None:
    plant, boiler = laundry({"load.rated_max": "140 psi", "boiler.safety_valve.1.set": "145 psi"})
    found = {way.kind: way for way in ways(plant, boiler)}
    # Half psi steps on high pressure (ours): the need down to half of it, 52.5 psi; wish, rating and valves up to the
    # MAWP of 150 psi, valves by whole pounds.
    steps = {
        CureKind.LOWER_NEED: (105, -0.5, 105),
        CureKind.RAISE_WISH: (130, 0.5, 40),
        CureKind.RAISE_DOWNSTREAM_RATING: (140, 0.5, 20),
        CureKind.HIGHER_VALVES: (145, 1.0, 5),
    }
    for kind, (start, step, count) in steps.items():
        way = found[kind]
        assert way.start is not None
        assert way.start / PSI == pytest.approx(start), kind
        assert way.step / PSI == pytest.approx(step), kind
        assert way.count == count, kind
    _, higher = found[CureKind.HIGHER_VALVES].apply(plant, boiler, 148 * PSI)
    assert psi([valve.set_pressure for valve in higher.safety_valves]) == [150.0, 148.0]
    rated, _ = found[CureKind.RAISE_DOWNSTREAM_RATING].apply(plant, boiler, 145 * PSI)
    assert rated.load.rated_max == pytest.approx(145 * PSI)
    same, _ = found[CureKind.RAISE_DOWNSTREAM_RATING].apply(plant, boiler, 120 * PSI)
    assert same.load.rated_max == plant.load.rated_max


def test_a_valve_that_is_set_anew_loses_what_its_certificate_saw() -> None:
    plant, boiler = laundry({"boiler.safety_valve.1.set": "145 psi", "boiler.safety_valve.1.tested_lift": "144 psi"})
    way = next(each for each in ways(plant, boiler) if each.kind is CureKind.HIGHER_VALVES)
    _, higher = way.apply(plant, boiler, 148 * PSI)
    assert higher.safety_valves[1].tested_lift is None
    _, same = way.apply(plant, boiler, boiler.safety_valves[1].set_pressure)
    assert same.safety_valves == boiler.safety_valves


def test_a_low_pressure_boiler_has_valves_up_to_fifteen_psi() -> None:
    plant, boiler = laundry({"boiler.safety_valve.0.set": "13 psi"}, "school")
    way = next(each for each in ways(plant, boiler) if each.kind is CureKind.HIGHER_VALVES)
    assert way.step / PSI == pytest.approx(0.5)
    assert way.value(way.count) / PSI == pytest.approx(15.0)


def test_starts_are_nought_where_they_cannot_be_told() -> None:
    plant, boiler = laundry({"boiler.water_volume": None})
    ground = ground_of(plant, boiler)
    assert starts_at(ground, np.arange(3)).tolist() == [0.0, 0.0, 0.0]
    # A wider band starts less often.
    plant, boiler = laundry(BY_DIAL)
    ground = ground_of(plant, boiler)
    assert ground.operating.differential is not None
    row = np.flatnonzero(np.isclose(ground.operating.main, 120 * PSI))
    starts = starts_at(ground, row)
    assert np.all(np.diff(starts) < 0)
    assert len(row) == 17


def test_the_highest_high_limit_that_is_never_relaxed_is_kept() -> None:
    plant, boiler = laundry(BY_DIAL)
    ground = ground_of(plant, boiler)
    kept = highest_kept(ground)
    assert len(kept.high.main) == 1
    # Two psi late and the run-on of full fire, some 2 psi, below valves that may lift at 145.5.
    assert kept.high.upper[0] / PSI == pytest.approx(141.4, abs=0.8)


def test_a_pull_is_what_a_tenth_more_of_the_strongest_value_does() -> None:
    case = case_of(survey(BY_DIAL))
    pulls = {pull.code: pull for pull in pulls_on(case)}
    # The high limit has its tolerance of 2 psi and some 2 psi of run-on; the pull of a tenth is about 0.2 psi either.
    assert 0.15 < abs(pulls["high-limit-stops-before-valve"].change) / PSI < 0.35
    usual = {margin.code for margin in case.demands if margin.tier is Tier.USUAL}
    assert not usual & set(pulls)
    codes = [margin.code for margin in case.demands if margin.tier is not Tier.USUAL]
    assert [code for code in codes if code in pulls] == list(pulls)
    for one, other in choose(pulls.values(), 2):
        assert one.code != other.code


def test_a_target_moves_need_and_wish_together() -> None:
    plant, boiler = laundry()
    raised = retargeted(plant, GaugePa(108 * PSI))
    assert raised.load.need == pytest.approx(108 * PSI)
    assert raised.load.wish == pytest.approx(133 * PSI)
    assert raised.load.rated_max == plant.load.rated_max
    assert retargeted(plant, GaugePa(105 * PSI)).load.wish == pytest.approx(130 * PSI)
    with pytest.raises(BelowNeed):
        retargeted(plant, GaugePa(104.9 * PSI))
    nobody, _ = laundry({"load.need": None})
    assert retargeted(nobody, GaugePa(90 * PSI)).load.need == pytest.approx(90 * PSI)
    assert retargeted(nobody, GaugePa(90 * PSI)).load.wish == nobody.load.wish
    silent, _ = laundry({"load.wish": None})
    assert retargeted(silent, GaugePa(108 * PSI)).load.wish is None
    assert one_division(boiler) == pytest.approx(2 * PSI)
    assert one_division(laundry({"boiler.controls.operating_limit.scale": None})[1]) is None


def test_positions_that_are_kept_stay_together() -> None:
    found = paired_positions(laundry(BY_DIAL)[1], Role.OPERATING_LIMIT)
    keep = np.isclose(found.main, 120 * PSI)
    some: Positions = found.where(keep)
    assert len(some.main) == len(some.lower) == len(some.upper) == len(some.between_marks) == 17
    assert some.differential is not None
    assert len(some.differential) == 17
    assert set(psi(some.main)) == {120.0}


def test_the_tables_hold_the_narrowest_of_the_margins_of_their_axes() -> None:
    ground = likely_part(ground_of(*laundry(BY_DIAL)))
    assert ground is not None
    tables = tables_of(ground)
    flat = [each[:, :, 0] for each in tables.weights if each.shape[2] == 1]
    deep = [each[:, 0, :] for each in tables.weights if each.shape[2] > 1]
    assert flat
    assert deep
    rate, high = tables.weight_by_rate, tables.weight_by_high
    assert np.array_equal(rate, np.min([np.broadcast_to(each, rate.shape) for each in flat], axis=0))
    assert np.array_equal(high, np.min([np.broadcast_to(each, high.shape) for each in deep], axis=0))


def test_at_low_fire_the_fall_below_cut_in_hangs_on_the_operating_limit_alone() -> None:
    plant, boiler = laundry(BY_DIAL)
    ground = ground_of(plant, boiler)
    fall = stack_of(ground).undershoot
    assert isinstance(fall, np.ndarray)
    assert fall.shape == (len(ground.operating.main), 1, 1)
    behaviour = Behaviour(boiler, plant.load, plant.site.ambient)
    for place in (0, 700, 2000):
        low, high = (GaugePa(float(each[place])) for each in (ground.operating.lower, ground.operating.upper))
        assert fall[place, 0, 0] == pytest.approx(behaviour.undershoot(low, high).value, rel=1e-6)
