import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.figures.pressure_scale import scale_of, ticks

pressures = st.lists(st.floats(min_value=-1e5, max_value=3e7), max_size=8)
working = st.lists(st.floats(min_value=1e3, max_value=3e7), min_size=1, max_size=8)


@given(working, pressures)
def test_a_higher_pressure_never_stands_lower_and_all_stand_on_the_scale(
    main: list[float], outlying: list[float]
) -> None:
    scale = scale_of(main, outlying)
    every = sorted((*main, *outlying))
    heights = [scale.height_of(pressure) for pressure in every]
    assert heights == sorted(heights)
    assert all(0.0 <= height <= 1.0 for height in heights)
    assert all(scale.lowest <= pressure <= scale.highest for pressure in every)


@given(working, pressures)
def test_pieces_are_apart_and_each_rises(main: list[float], outlying: list[float]) -> None:
    scale = scale_of(main, outlying)
    edges = [edge for piece in scale.pieces for edge in (piece.lowest, piece.highest)]
    assert edges == sorted(set(edges))
    assert all(bottom < top for bottom, top in scale.breaks)
    assert scale.pieces[0].bottom == 0.0
    assert scale.pieces[-1].top == 1.0


@given(working, pressures)
def test_working_pressures_always_share_one_unbroken_piece(main: list[float], outlying: list[float]) -> None:
    piece = scale_of(main, outlying).main
    assert all(piece.lowest <= pressure <= piece.highest for pressure in main)


@given(working, pressures)
def test_the_working_piece_has_most_of_the_height(main: list[float], outlying: list[float]) -> None:
    piece = scale_of(main, outlying).main
    assert piece.top - piece.bottom >= 0.7


def test_a_hold_far_below_breaks_the_scale_and_one_nearby_does_not() -> None:
    assert len(scale_of([105.0, 150.0], [60.0]).pieces) == 2
    assert len(scale_of([105.0, 150.0], [95.0]).pieces) == 1


def test_a_limit_far_above_breaks_the_scale_too() -> None:
    scale = scale_of([105.0, 150.0], [60.0, 600.0])
    assert len(scale.pieces) == 3
    assert scale.main is scale.pieces[1]


def test_the_scale_of_a_low_pressure_boiler_does_not_go_below_nought() -> None:
    assert scale_of([0.2, 15.0], []).lowest == 0.0


def test_ticks_are_round_in_the_readers_unit() -> None:
    piece = scale_of([105 * 6894.757, 150 * 6894.757], []).main
    assert [round(tick / 6894.757, 6) for tick in ticks(piece, 6894.757, 14)] == [
        105,
        110,
        115,
        120,
        125,
        130,
        135,
        140,
        145,
        150,
    ]


@given(working, st.integers(min_value=2, max_value=20))
def test_ticks_lie_on_their_piece_and_are_not_too_many(main: list[float], at_most: int) -> None:
    piece = scale_of(main, []).main
    found = ticks(piece, 6894.757, at_most)
    assert len(found) <= at_most + 1
    slack = 1e-6 * (piece.highest - piece.lowest)
    assert all(piece.lowest - slack <= tick <= piece.highest + slack for tick in found)


def test_one_pressure_alone_still_has_a_scale() -> None:
    scale = scale_of([150.0], [])
    assert scale.height_of(150.0) == pytest.approx(0.5)
