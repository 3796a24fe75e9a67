"""Which of the combinations that fit is taken: tables written by hand, in which one thing alone sets two of them apart.

The order of the goals is the design's: fewest scales moved, the widest smallest margin, the next smallest, the high
limit where it usually stands, nearest to the wish, dials on whole divisions.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from evenfire.judgement.settle.choosing import Pick, best, dials_moved, nearest
from evenfire.judgement.settle.grid import Positions
from evenfire.judgement.settle.ground import ground_of
from evenfire.judgement.settle.search import Ground, Tables
from evenfire.plant.known import Missing
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import DiffPa, GaugePa
from tests.surveys import survey

PSI = 6894.757293


@cache
def surveyed(plant: str) -> Ground:
    plant_file = survey(plant=plant)
    return ground_of(plant_file.plant, plant_file.plant.boilers[0])


def positions(upper: Sequence[float], band: float | None = None, between: Sequence[bool] = ()) -> Positions:
    """Dials at these pressures [psi], each with the same differential below it."""
    main = np.array(upper) * PSI
    marks = np.array(between or [False] * len(main))
    if band is None:
        return Positions(main=main, differential=None, lower=main, upper=main, between_marks=marks)
    off = np.full(len(main), band * PSI)
    return Positions(main=main, differential=off, lower=main - off, upper=main, between_marks=marks)


def ground(
    cut_outs: Sequence[float],
    highs: Sequence[float] = (140.0,),
    *,
    wish: float | None = 120.0,
    between: Sequence[bool] = (),
    plant: str = "laundry",
) -> Ground:
    usual = surveyed(plant)
    wished: float | Missing = Missing(("load.wish",)) if wish is None else wish * PSI
    return replace(
        usual,
        operating=positions(cut_outs, 8.0, between),
        rate=None,
        high=positions(highs),
        facts=replace(usual.facts, wish=wished),
    )


def tables(
    by_rate: Sequence[float], by_high: Sequence[Sequence[float]] | None = None, others: Sequence[float] | None = None
) -> Tables:
    """Everything is met; these are the smallest margins, and another margin of each cut-out [tolerances]."""
    rate = np.array(by_rate, dtype=np.float64)[:, None]
    high = np.array(by_high if by_high is not None else [[9.0]] * len(by_rate), dtype=np.float64)
    weights = [rate[:, :, None], high[:, None, :]]
    if others is not None:
        weights.append(np.array(others, dtype=np.float64)[:, None, None])
    return Tables(
        wanted=(),
        broken_by_rate=np.zeros(rate.shape, dtype=np.uint32),
        broken_by_high=np.zeros(high.shape, dtype=np.uint32),
        kept_by_rate=np.ones(rate.shape, dtype=np.bool_),
        kept_by_high=np.ones(high.shape, dtype=np.bool_),
        usual=np.ones(rate.shape, dtype=np.bool_),
        weight_by_rate=rate,
        weight_by_high=high,
        short_by_rate=np.zeros(rate.shape),
        short_by_high=np.zeros(high.shape),
        weights=tuple(weights),
    )


def chosen(here: Ground, there: Tables, found: Settings | None = None) -> Pick:
    pick = best(there, here, found)
    assert pick is not None
    return pick


@pytest.mark.parametrize(("cut_outs", "taken"), [((118, 126), 0), ((126, 118), 1), ((112, 121, 116), 1)])
def test_of_equals_the_cut_out_nearest_to_the_wish_is_taken(cut_outs: tuple[float, ...], taken: int) -> None:
    assert chosen(ground(cut_outs), tables([3.0] * len(cut_outs))).operating == taken
    # Nobody wished for anything: the first is as good as any.
    assert chosen(ground(cut_outs, wish=None), tables([3.0] * len(cut_outs))).operating == 0


@pytest.mark.parametrize(("between", "taken"), [((True, False), 1), ((False, True), 0)])
def test_of_equals_a_dial_on_a_mark_is_taken(between: tuple[bool, bool], taken: int) -> None:
    # 118 and 122 psi are as far from the wished 120.
    assert chosen(ground((118, 122), between=between), tables([3.0, 3.0])).operating == taken


def test_nearer_to_the_wish_goes_before_a_mark() -> None:
    assert chosen(ground((116, 121), between=(False, True)), tables([3.0, 3.0])).operating == 1


def test_both_pointers_between_marks_are_worse_than_one() -> None:
    here = ground((120, 120), between=(True, False))
    here = replace(here, rate=positions((110, 110), 15.0, between=(True, False)))
    four = replace(
        tables([3.0, 3.0]),
        broken_by_rate=np.zeros((2, 2), dtype=np.uint32),
        kept_by_rate=np.ones((2, 2), dtype=np.bool_),
        usual=np.ones((2, 2), dtype=np.bool_),
        weight_by_rate=np.full((2, 2), 3.0),
        short_by_rate=np.zeros((2, 2)),
        weights=(np.full((2, 2, 1), 3.0),),
    )
    pick = nearest(four, here)
    assert pick is not None
    assert (pick.operating, pick.rate) == (1, 1)


def test_the_widest_smallest_margin_goes_before_the_wish() -> None:
    assert chosen(ground((120, 126)), tables([2.0, 3.0])).operating == 1
    # The margin to the high limit is the smallest of the second.
    assert chosen(ground((120, 126)), tables([2.0, 3.0], [[9.0], [1.0]])).operating == 0


def test_beyond_plenty_more_room_counts_no_more() -> None:
    # Five tolerances are plenty, six are no better.
    assert chosen(ground((120, 126)), tables([5.0, 6.0])).operating == 0
    assert chosen(ground((120, 126)), tables([4.9, 6.0])).operating == 1


def test_among_equals_the_next_smallest_margin_decides() -> None:
    assert chosen(ground((120, 126)), tables([2.0, 2.0], others=[3.0, 4.0])).operating == 1
    assert chosen(ground((120, 126)), tables([2.0, 2.0], others=[4.0, 3.0])).operating == 0
    assert chosen(ground((120, 126)), tables([2.0, 2.0], others=[6.0, 7.0])).operating == 0


@pytest.mark.parametrize(
    ("plant", "cut_out", "highs", "taken"),
    [
        # Ten psi above cut-out.
        ("laundry", 120.0, (124.0, 129.0, 138.0), 1),
        ("laundry", 120.0, (138.0, 132.0, 124.0), 1),
        # Valves at 150: at a cut-out of 136 half of the room is 7 psi.
        ("laundry", 136.0, (140.0, 142.5, 146.0), 1),
        # Three psi on low pressure; half way to the valve of 15 psi is further.
        ("school", 7.0, (8.5, 9.5, 12.0), 1),
    ],
)
def test_of_equals_the_high_limit_stands_where_it_usually_does(
    plant: str, cut_out: float, highs: tuple[float, ...], taken: int
) -> None:
    pick = chosen(ground((cut_out,), highs, plant=plant), tables([3.0], [[9.0] * len(highs)]))
    assert pick.high == taken


def test_a_wider_margin_of_the_high_limit_goes_before_where_it_usually_stands() -> None:
    assert chosen(ground((120,), (130, 138)), tables([3.0], [[2.0, 3.0]])).high == 1


def reading(main: float, differential: float | None = None) -> DialReading:
    off = None if differential is None else DiffPa(differential * PSI)
    return DialReading(main=GaugePa(main * PSI), differential=off)


def test_every_scale_that_is_turned_counts() -> None:
    dials = positions((118, 120, 122), 8.0)
    assert dials_moved(dials, reading(120, 8)).tolist() == [1, 0, 1]
    assert dials_moved(dials, reading(120, 10)).tolist() == [2, 1, 2]
    assert dials_moved(dials, reading(120)).tolist() == [1, 0, 1]
    assert dials_moved(positions((118, 120)), reading(120)).tolist() == [1, 0]
    # One scale was read, and it has no differential to turn.
    assert dials_moved(positions((118, 120)), reading(120, 8)).tolist() == [1, 0]
    assert dials_moved(dials, None).tolist() == [0, 0, 0]


def found(cut_out: float, high: float) -> Settings:
    return Settings(operating_limit=reading(cut_out, 8), high_limit=reading(high), proved=frozenset())


def test_the_settings_that_move_the_fewest_scales_go_before_wider_margins() -> None:
    here, there = ground((118, 126), (130, 138)), tables([2.0, 4.0], [[3.0, 9.0], [3.0, 9.0]])
    assert chosen(here, there) == Pick(operating=1, rate=0, high=1)
    assert chosen(here, there, found(118, 130)) == Pick(operating=0, rate=0, high=0)
    assert chosen(here, there, found(118, 138)) == Pick(operating=0, rate=0, high=1)


def test_a_scale_that_would_have_to_move_to_meet_a_demand_counts_as_moved() -> None:
    # At 118 psi the high limit may not stay at 130; at 126 it may: one scale moves either way, and margins decide.
    here, there = ground((118, 126), (130, 138)), tables([4.0, 2.0])
    there = replace(there, broken_by_high=np.array([[1, 0], [0, 0]], dtype=np.uint32))
    there = replace(there, weight_by_high=np.full((2, 2), 9.0))
    assert chosen(here, there, found(118, 130)) == Pick(operating=0, rate=0, high=1)


def test_what_breaks_a_demand_is_never_the_best() -> None:
    here, there = ground((120, 126)), tables([4.0, 2.0])
    broken = np.array([[1], [0]], dtype=np.uint32)
    assert chosen(here, replace(there, broken_by_rate=broken)).operating == 1
    assert chosen(here, replace(there, broken_by_high=broken)).operating == 1
    kept = np.array([[False], [True]])
    assert chosen(here, replace(there, kept_by_rate=kept)).operating == 1
    assert chosen(here, replace(there, kept_by_high=kept)).operating == 1
    assert best(replace(there, broken_by_rate=np.ones((2, 1), dtype=np.uint32)), here, None) is None


def test_practice_is_kept_where_it_costs_nothing_and_given_up_where_nothing_keeps_it() -> None:
    here, there = ground((120, 126)), tables([4.0, 2.0])
    assert chosen(here, replace(there, usual=np.array([[False], [True]]))).operating == 1
    assert chosen(here, replace(there, usual=np.array([[False], [False]]))).operating == 0


def test_fewest_starts_go_before_everything_else() -> None:
    # With no load stated a burner starts about as often as its band is narrow: 16 psi start half as often as 8.
    here, there = ground((120, 120)), tables([4.0, 2.0])
    wide = replace(here.operating, lower=np.array([112.0, 104.0]) * PSI, differential=np.array([8.0, 16.0]) * PSI)
    assert chosen(here, there).operating == 0
    assert chosen(replace(here, operating=wide), there).operating == 1
    # A fifth wider: some fifteen in a hundred fewer starts, which is more than a tenth (ours).
    fifth = replace(here.operating, lower=np.array([112.0, 110.4]) * PSI, differential=np.array([8.0, 9.6]) * PSI)
    assert chosen(replace(here, operating=fifth), there).operating == 1
    # A band wider by a twentieth starts hardly less often: that is no reason.
    alike = replace(here.operating, lower=np.array([112.0, 111.6]) * PSI, differential=np.array([8.0, 8.4]) * PSI)
    assert chosen(replace(here, operating=alike), there).operating == 0


def test_where_nothing_fits_what_misses_the_demands_by_the_least_is_nearest() -> None:
    here, there = ground((120, 126)), tables([2.0, 4.0])
    short = np.array([[0.5], [0.9]])
    pick = nearest(replace(there, short_by_rate=short), here)
    assert pick is not None
    assert pick.operating == 0
    # A twentieth of a tolerance more is no worse; the wider margin then decides.
    alike = nearest(replace(there, short_by_rate=np.array([[0.5], [0.54]])), here)
    assert alike is not None
    assert alike.operating == 1
    by_high = nearest(replace(there, short_by_rate=short, short_by_high=np.array([[0.7], [0.2]])), here)
    assert by_high is not None
    assert by_high.operating == 1


def test_what_is_never_relaxed_is_kept_where_nothing_fits() -> None:
    here, there = ground((120, 126)), tables([2.0, 4.0])
    only = nearest(replace(there, kept_by_high=np.array([[True], [False]])), here)
    assert only is not None
    assert only.operating == 0
    assert nearest(replace(there, kept_by_rate=np.zeros((2, 1), dtype=np.bool_)), here) is None
