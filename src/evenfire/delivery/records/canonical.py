"""Content as bytes, in exactly one way: RFC 8785 canonical JSON, narrowed to content without floating-point numbers.

A quantity in a signed record is decimal text with its unit beside it, so that no program that reads the record later
has to agree with this one about the nearest binary number.
"""

import json
from collections.abc import Mapping, Sequence
from typing import Final

from evenfire.delivery.records.json_places import DEEPEST, MOST_VALUES, Path, measure, path_at, path_text
from evenfire.errors import BadContent

Content = str | int | bool | None | Sequence["Content"] | Mapping[str, "Content"]
"""What a record may hold, as it is given."""
Plain = str | int | bool | None | list["Plain"] | dict[str, "Plain"]
"""What a record holds, as it is read."""

LARGEST_INTEGER: Final = 2**53 - 1
"""Beyond it JSON readers disagree about the number (RFC 7493, section 2.2)."""
MOST_DIGITS: Final = 400
"""Of a number that is read at all, if only to say that it is too large."""
BYTE_ORDER_MARK: Final = b"\xef\xbb\xbf"


def canonical_bytes(content: Content) -> bytes:
    """The one encoding of this content.

    Raises
    ------
    BadContent
        It holds something that no record may hold; the error carries the path to it.
    """
    return _text(_sorted(content, ())).encode("utf-8")


def read_canonical(data: bytes, *, deepest: int = DEEPEST, most_values: int = MOST_VALUES) -> Plain:
    """The content of these bytes, if they are its one encoding.

    Raises
    ------
    BadContent
        They are not, or they are beyond a limit; the error says where.
    """
    content = parsed(data, deepest=deepest, most_values=most_values)
    require_same(data, canonical_bytes(content))
    return content


def require_same(data: bytes, encoded: bytes) -> None:
    """See that bytes are what their content is encoded to; ``BadContent`` names the first place where they differ."""
    if data == encoded:
        return
    shortest = min(len(data), len(encoded))
    place = next((place for place in range(shortest) if data[place] != encoded[place]), shortest)
    raise BadContent(
        path=f"byte {place + 1}, {path_at(data, place)}",
        found=f"written as {_excerpt(data, place)}",
        must_be=f"written as {_excerpt(encoded, place)}",
    )


def parsed(data: bytes, *, deepest: int = DEEPEST, most_values: int = MOST_VALUES) -> Plain:
    """The content of JSON bytes, in whatever way they are written, within the limits of what is read at all.

    Raises
    ------
    BadContent
        No JSON, a key twice in one object, too deep, too many values.
    """
    if data.startswith(BYTE_ORDER_MARK):
        raise BadContent(path="byte 1", found="a byte order mark", must_be="the first sign of the content")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        where = f"byte {error.start + 1}, {path_at(data, error.start)}"
        raise BadContent(path=where, found="no UTF-8", must_be="text in UTF-8") from None
    measure(data, deepest=deepest, most_values=most_values)
    try:
        content: Plain = json.loads(text, object_pairs_hook=_object, parse_int=_integer)
    except json.JSONDecodeError as error:
        place = len(text[: error.pos].encode("utf-8"))
        where = f"byte {place + 1}, {path_at(data, place)}"
        raise BadContent(path=where, found=f"no JSON ({error.msg})", must_be="JSON") from None
    return content


def _sorted(value: object, path: Path) -> Plain:
    """The value with the keys of every object in the order of RFC 8785, by UTF-16 code units."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return _without_surrogates(value, path)
    if isinstance(value, int):
        if abs(value) > LARGEST_INTEGER:
            shown = f"the whole number {value}" if abs(value) < 10**20 else "a whole number of more than 20 digits"
            raise _refused(path, shown, f"from {-LARGEST_INTEGER} to {LARGEST_INTEGER}")
        return int(value)
    if isinstance(value, float):
        raise _refused(path, f"the floating-point number {value}", "a whole number, or decimal text with its unit")
    if len(path) >= DEEPEST:
        raise _refused(path, f"deeper than {DEEPEST} levels", "flatter")
    if isinstance(value, Mapping):
        for key in value:
            if not isinstance(key, str):
                raise _refused(path, f"an object with the key {key!a}", "an object whose keys are text")
            _without_surrogates(key, (*path, key))
        keys = sorted(value, key=lambda key: key.encode("utf-16-be"))
        return {key: _sorted(value[key], (*path, key)) for key in keys}
    if isinstance(value, list | tuple):
        return [_sorted(item, (*path, place)) for place, item in enumerate(value)]
    raise _refused(path, f"a {type(value).__name__}", "text, a whole number, true, false, null, a list or an object")


def _without_surrogates(text: str, path: Path) -> str:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise _refused(path, "a text with half a sign (a lone surrogate)", "whole text") from None
    return text


def _text(content: Plain) -> str:
    """JSON without spaces; the standard encoder escapes exactly what RFC 8785 section 3.2.2.2 says."""
    return json.dumps(content, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def _object(pairs: list[tuple[str, Plain]]) -> dict[str, Plain]:
    content: dict[str, Plain] = {}
    for name, value in pairs:
        if name in content:
            raise BadContent(
                path="an object", found=f"one with the key {name!a} twice", must_be="one with each key once"
            )
        content[name] = value
    return content


def _integer(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        raise BadContent(path="a number", found=f"{len(digits)} digits long", must_be=f"at most {LARGEST_INTEGER}")
    return int(digits)


def _refused(path: Path, found: str, must_be: str) -> BadContent:
    return BadContent(path=path_text(path), found=found, must_be=must_be)


def _excerpt(data: bytes, place: int) -> str:
    return ascii(data[max(0, place - 8) : place + 16].decode("utf-8", "replace"))
