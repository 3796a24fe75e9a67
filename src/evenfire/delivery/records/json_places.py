"""Where in JSON bytes something stands, told without reading them: for limits before reading, and for broken files."""

import json
import re
from collections.abc import Iterator
from typing import Final

from evenfire.errors import BadContent

Path = tuple[str | int, ...]
"""Keys and places in lists, from the outermost object."""

DEEPEST: Final = 64
"""Levels of lists and objects within each other."""
MOST_VALUES: Final = 2_000_000
"""Texts, numbers, lists and objects in one document; it bounds the memory that a hostile file can claim."""

_TOKEN: Final = re.compile(rb'"(?:[^"\\]++|\\.)*+"?|[\[\]{},]', re.DOTALL)
"""A text, also one that never ends, or a sign of structure; each byte is looked at once."""
_NAME: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_LONGEST_KEY: Final = 80


def measure(data: bytes, *, deepest: int = DEEPEST, most_values: int = MOST_VALUES) -> None:
    """Refuse what is too deep or holds too much, before anything is built from it.

    Raises
    ------
    BadContent
        Deeper than so many levels, or more values than that.
    """
    depth = values = 0
    for token in _TOKEN.finditer(data):
        sign = token.group()[:1]
        if sign in b"[{":
            depth += 1
            values += 1
        elif sign in b"]}":
            depth -= 1
        elif sign == b",":
            values += 1
        if depth > deepest:
            found = f"deeper than {deepest} levels"
            raise BadContent(path=f"byte {token.start() + 1}", found=found, must_be="flatter")
        if values > most_values:
            raise BadContent(path="the whole", found=f"more than {most_values} values", must_be="smaller")


def path_at(data: bytes, place: int) -> str:
    """The path to what stands at this byte, as far as the bytes before it tell."""
    stack: list[str | int | None] = []
    awaits_key = False
    for token in _before(data, place):
        sign = token[:1]
        if sign == b"{":
            stack.append(None)
            awaits_key = True
        elif sign == b"[":
            stack.append(0)
        elif sign in b"]}":
            del stack[-1:]
        elif sign == b",":
            last = stack[-1] if stack else None
            awaits_key = not isinstance(last, int)
            if isinstance(last, int):
                stack[-1] = last + 1
        elif awaits_key and stack:
            stack[-1] = _key(token)
            awaits_key = False
    return path_text(tuple(part for part in stack if part is not None)) or "the outermost object"


def path_text(path: Path) -> str:
    """A path for people: ``records[2].content.body``."""
    parts = [f"[{part}]" if isinstance(part, int) else _dotted(part) for part in path]
    return "".join(parts).removeprefix(".")


def _before(data: bytes, place: int) -> Iterator[bytes]:
    for token in _TOKEN.finditer(data):
        if token.start() > place:
            return
        yield token.group()


def _key(token: bytes) -> str:
    try:
        return str(json.loads(token.decode("utf-8", "replace")))
    except json.JSONDecodeError:
        return token.decode("utf-8", "replace")


def _dotted(key: str) -> str:
    if len(key) > _LONGEST_KEY:
        return f"[a key of {len(key)} signs]"
    return f".{key}" if _NAME.fullmatch(key) else f"[{key!a}]"
