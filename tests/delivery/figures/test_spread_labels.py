import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression, minimize

from evenfire.delivery.figures.spread_labels import NoRoomForLabelsError, spread_labels

FIRST, LAST = 10.0, 510.0
Labels = list[tuple[float, float]]
labels = st.lists(
    st.tuples(st.floats(min_value=-50.0, max_value=600.0), st.floats(min_value=5.0, max_value=40.0)),
    min_size=1,
    max_size=12,
).map(sorted)


def _moved(centres: tuple[float, ...], wanted: list[float]) -> float:
    return sum((centre - want) ** 2 for centre, want in zip(centres, wanted, strict=True))


@given(labels)
def test_labels_keep_their_order_and_do_not_overlap_and_stay_in_the_frame(pairs: Labels) -> None:
    wanted, heights = [want for want, _ in pairs], [height for _, height in pairs]
    centres = spread_labels(wanted, heights, FIRST, LAST)
    tops = [centre - height / 2 for centre, height in zip(centres, heights, strict=True)]
    bottoms = [centre + height / 2 for centre, height in zip(centres, heights, strict=True)]
    assert tops[0] >= FIRST - 1e-6
    assert bottoms[-1] <= LAST + 1e-6
    assert all(below >= above - 1e-6 for above, below in zip(bottoms, tops[1:], strict=False))


@given(labels)
def test_labels_that_have_room_are_not_moved(pairs: Labels) -> None:
    wanted = [100.0 + 30.0 * place for place in range(len(pairs))]
    heights = [min(height, 30.0) for _, height in pairs]
    assert spread_labels(wanted, heights, 0.0, 1000.0) == pytest.approx(wanted)


@given(labels)
def test_the_moves_are_those_of_an_independent_isotonic_regression(pairs: Labels) -> None:
    """scipy solves the same problem where the frame does not matter."""
    wanted, height = [want for want, _ in pairs], 16.0
    offsets = [height * (place + 0.5) for place in range(len(wanted))]
    rising = isotonic_regression([want - offset for want, offset in zip(wanted, offsets, strict=True)]).x
    centres = spread_labels(wanted, [height] * len(wanted), -1e5, 1e5)
    assert centres == pytest.approx([start + offset for start, offset in zip(rising, offsets, strict=True)], abs=1e-6)


@given(labels.filter(lambda pairs: len(pairs) <= 6))
def test_no_general_optimiser_finds_smaller_moves_inside_the_frame(pairs: Labels) -> None:
    wanted, heights = [want for want, _ in pairs], [height for _, height in pairs]
    last = FIRST + sum(heights) * 1.2
    centres = spread_labels(wanted, heights, FIRST, last)
    gaps = [
        {"type": "ineq", "fun": lambda c, k=k: c[k + 1] - c[k] - (heights[k] + heights[k + 1]) / 2}
        for k in range(len(heights) - 1)
    ]
    bounds = [(FIRST + height / 2, last - height / 2) for height in heights]
    best = minimize(lambda c: _moved(tuple(c), wanted), centres, bounds=bounds, constraints=gaps, method="SLSQP")
    assert _moved(centres, wanted) <= best.fun + 1e-3 * (1.0 + best.fun)


def test_labels_taller_than_the_frame_are_refused() -> None:
    with pytest.raises(NoRoomForLabelsError, match="48"):
        spread_labels([1.0, 2.0, 3.0], [16.0] * 3, 0.0, 40.0)


def test_no_labels_are_no_trouble() -> None:
    assert spread_labels([], [], 0.0, 1.0) == ()
