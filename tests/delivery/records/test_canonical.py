"""Canonical content against RFC 8785: its examples (from memory) and an independent library of the same standard."""

import json

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.records.canonical import Content, canonical_bytes, read_canonical
from evenfire.delivery.records.json_places import DEEPEST
from evenfire.errors import BadContent

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
INTEGERS = st.integers(-(2**53) + 1, 2**53 - 1)
CONTENTS = st.recursive(
    st.none() | st.booleans() | INTEGERS | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=20,
)


def test_the_example_of_the_standard_without_its_numbers() -> None:
    # RFC 8785, section 3.2.2, from memory; the member "numbers" is floating point and left out.
    given_text = r"""{"string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}"""
    expected = '{"literals":[null,true,false],"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    assert canonical_bytes(json.loads(given_text)) == expected.encode()


def test_keys_stand_in_the_order_of_utf_16_units() -> None:
    # RFC 8785, section 3.2.3, from memory. The order by code points would put the emoji last.
    given_content: dict[str, Content] = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\x80": "Control",
        "\xf6": "Latin Small Letter O With Diaeresis",
    }
    assert list(json.loads(canonical_bytes(given_content)).values()) == [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O With Diaeresis",
        "Euro Sign",
        "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh",
    ]


@given(CONTENTS)
def test_an_independent_library_writes_the_same_bytes(content: Content) -> None:
    assert canonical_bytes(content) == rfc8785.dumps(content)


@given(CONTENTS)
def test_what_was_written_is_read_back(content: Content) -> None:
    assert read_canonical(canonical_bytes(content)) == content


@pytest.mark.parametrize(
    ("content", "path", "found"),
    [
        ({"body": {"readings": [1, 1.5]}}, "body.readings[1]", "floating-point"),
        ({"a": float("nan")}, "a", "floating-point"),
        ({"a": 1.0}, "a", "floating-point"),
        ({"a": [2**53]}, "a[0]", "whole number"),
        ({"a": -(2**53)}, "a", "whole number"),
        ({"a": "\ud800"}, "a", "surrogate"),
        ({"a": {"\udfff": 1}}, "a['\\udfff']", "surrogate"),
        ({"a": {1: "x"}}, "a", "key 1"),
        ({"a": b"bytes"}, "a", "bytes"),
        ({"two words": [{"x": 0.1}]}, "['two words'][0].x", "floating-point"),
    ],
)
def test_what_no_record_may_hold_is_refused_with_the_path_to_it(content: Content, path: str, found: str) -> None:
    with pytest.raises(BadContent) as caught:
        canonical_bytes(content)
    assert caught.value.path == path
    assert found in caught.value.found


def test_the_largest_whole_numbers_are_taken() -> None:
    # RFC 7493, section 2.2: from -(2**53)+1 to (2**53)-1.
    assert canonical_bytes([9007199254740991, -9007199254740991]) == b"[9007199254740991,-9007199254740991]"


@pytest.mark.parametrize(
    ("data", "path"),
    [
        (b'{"a":1, "b":2}', "byte 8, a"),
        (b'{"b":1,"a":2}', "byte 3, b"),
        (b'{"a":1}\n', "byte 8, the outermost object"),
        (b'{"a":"\\u0041"}', "byte 7, a"),
        (b'{"a":"\\/"}', "byte 7, a"),
        (b'{"a":{"b":[0,-0]}}', "byte 14, a.b[1]"),
        (b'{"a":1.0}', "a"),
        (b'{"a":1e2}', "a"),
        (b'{"a":NaN}', "a"),
        (b'{"a":"\\ud800"}', "a"),
        (b'{"a":9007199254740992}', "a"),
        (b'{"a":1,"a":1}', "an object"),
        (b'\xef\xbb\xbf{"a":1}', "byte 1"),
        (b'{"a":"\xff"}', "byte 7, a"),
        (b'{"a":[true,{"b":tru}]}', "byte 17, a[1].b"),
        (b'{"a":"no end', "byte 6, a"),
        (b'{"a":"\x01"}', "byte 7, a"),
        (b"", "byte 1, the outermost object"),
        (b'{"a":' + b"9" * 5000 + b"}", "a number"),
    ],
)
def test_bytes_that_are_not_the_one_encoding_are_refused_with_their_place(data: bytes, path: str) -> None:
    with pytest.raises(BadContent) as caught:
        read_canonical(data)
    assert caught.value.path == path


@given(st.binary(max_size=60) | st.text(max_size=40).map(str.encode))
def test_of_all_bytes_only_the_one_encoding_is_read(data: bytes) -> None:
    try:
        content = read_canonical(data)
    except BadContent:
        return
    assert rfc8785.dumps(content) == data


def test_depth_is_taken_to_the_limit_and_no_deeper() -> None:
    deepest = b"[" * DEEPEST + b"]" * DEEPEST
    assert canonical_bytes(read_canonical(deepest)) == deepest
    with pytest.raises(BadContent, match="deeper"):
        read_canonical(b"[" + deepest + b"]")
    with pytest.raises(BadContent, match="deeper"):
        read_canonical(b"[" * 1_000_000)
    content: Content = read_canonical(deepest)
    with pytest.raises(BadContent, match="deeper"):
        canonical_bytes([content])
