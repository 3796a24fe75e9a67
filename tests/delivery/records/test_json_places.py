"""Where something stands in JSON bytes, and the limits that hold before anything is built from them."""

import pytest

from evenfire.delivery.records.json_places import MOST_VALUES, measure, path_at
from evenfire.errors import BadContent

DATA = b'{"a,[":[{"b":"}]"},[1,2]],"c":{"d":"e\\"f"}}'


@pytest.mark.parametrize(
    ("of", "path"),
    [
        (b'"b"', "['a,['][0].b"),
        (b'"}]"', "['a,['][0].b"),
        (b"2]]", "['a,['][1][1]"),
        (b'"c"', "c"),
        (b'"e\\"f', "c.d"),
        (b"{", "the outermost object"),
    ],
)
def test_a_byte_has_the_path_to_the_value_in_which_it_stands(of: bytes, path: str) -> None:
    assert path_at(DATA, DATA.index(of)) == path


def test_brackets_within_a_text_do_not_count_as_depth() -> None:
    measure(b'["' + b"[" * 500 + b'"]')
    with pytest.raises(BadContent, match="deeper"):
        measure(b"[" * 65)


def test_more_values_than_the_limit_are_refused_before_they_are_built() -> None:
    measure(b"[" + b"1," * (MOST_VALUES - 1) + b"1]")
    with pytest.raises(BadContent, match="values"):
        measure(b"[" + b"1," * (MOST_VALUES + 1) + b"1]")


def test_a_text_that_never_ends_is_walked_once() -> None:
    # Quadratic work on these would take hours, and the test would never end.
    measure(b'["' + b'\\"' * 1_000_000)
    measure(b'"\\')
    assert path_at(b'{"a":"' + b'\\"' * 1_000_000, 500_000) == "a"
