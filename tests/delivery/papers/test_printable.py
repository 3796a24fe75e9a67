"""Text on paper: what the fonts have stays, what they have not is replaced, long words may be broken."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.papers.printable import LONGEST_WHOLE, MAY_BREAK, REPLACED, Letters, breakable


@given(st.text(max_size=80))
def test_breaking_adds_places_to_break_and_nothing_else(text: str) -> None:
    plain = text.replace(MAY_BREAK, "")
    assert breakable(plain).replace(MAY_BREAK, "") == plain


@given(st.text(st.characters(categories=("L", "N")), min_size=1, max_size=300))
def test_no_piece_of_a_long_word_stays_longer_than_the_longest_whole_one(word: str) -> None:
    assert max(len(piece) for piece in breakable(word).split(MAY_BREAK)) <= LONGEST_WHOLE


@given(st.text(max_size=80))
def test_a_text_keeps_its_length_and_what_is_printed_once_is_printed_again(text: str) -> None:
    letters = Letters()
    found = letters.printable(text)
    assert len(found) == len(text)
    assert letters.printable(found) == found
    assert letters.replaced == (REPLACED in found)


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("Kesselhaus S\u00fcd \u00b11 \u2013 9", "Kesselhaus S\u00fcd \u00b11 \u2013 9"),
        ("\u6e6f\u6c17", REPLACED * 2),
        ("a\u202eb", f"a{REPLACED}b"),
        ("\ue000", REPLACED),
        ("a\x00b", f"a{REPLACED}b"),
        ("a\u00a0b", "a\u00a0b"),
    ],
)
def test_what_the_fonts_have_stays_and_the_rest_is_replaced(text: str, printed: str) -> None:
    """U+202E turns the direction of what follows and U+E000 is private (P: the Unicode character database)."""
    assert Letters().printable(text) == printed
