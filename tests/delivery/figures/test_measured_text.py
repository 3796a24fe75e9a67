from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.figures.measured_text import cells, printable, shorten_to_cells, shorten_to_width, width, wrap

ROUNDING = 1e-9


@given(st.text(max_size=80), st.integers(min_value=0, max_value=60))
def test_a_shortened_text_fits_its_cells(text: str, most: int) -> None:
    assert cells(shorten_to_cells(printable(text), most)) <= most


@given(st.text(max_size=80), st.floats(min_value=30.0, max_value=400.0))
def test_a_shortened_text_fits_its_width(text: str, most: float) -> None:
    assert width(shorten_to_width(printable(text), most, 12.0), 12.0) <= most + ROUNDING


@given(st.text(max_size=120), st.floats(min_value=30.0, max_value=400.0))
def test_wrapped_lines_fit_their_width(text: str, most: float) -> None:
    assert all(width(line, 12.0) <= most + ROUNDING for line in wrap(printable(text), most, 12.0))


@given(st.text(max_size=80))
def test_a_printable_text_has_nothing_that_a_terminal_obeys(text: str) -> None:
    assert all(sign.isprintable() for sign in printable(text))


def test_a_text_that_fits_is_left_alone() -> None:
    assert shorten_to_cells("No. 1", 5) == "No. 1"
    assert shorten_to_width("No. 1", 100.0, 12.0) == "No. 1"


def test_wide_letters_take_two_cells_and_combining_marks_none() -> None:
    assert cells("\u30dc\u30a4\u30e9") == 6
    assert cells("e\u0301") == 1


def test_no_line_ends_before_a_space_that_forbids_it() -> None:
    assert wrap("stops at 50\u00a0% fire", 70.0, 12.0) == ("stops at", "50\u00a0% fire")
