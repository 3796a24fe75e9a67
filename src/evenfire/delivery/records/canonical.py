"""Content as bytes, in exactly one way: RFC 8785 canonical JSON, narrowed to content without floating-point numbers.

A quantity in a signed record is decimal text with its unit beside it, so that no program that reads the record later
has to agree with this one about the nearest binary number.
"""

import json
import re
from collections.abc import Mapping, Sequence
from typing import Final, NoReturn

from evenfire.errors import BadContent

Content = str | int | bool | None | Sequence["Content"] | Mapping[str, "Content"]
"""What a record may hold, as it is given."""
Plain = str | int | bool | None | list["Plain"] | dict[str, "Plain"]
"""What a record holds, as it is read."""

LARGEST_INTEGER: Final = 2**53 - 1
"""Above it JSON readers disagree about the number (RFC 7493, section 2.2)."""
DEEPEST: Final = 64
"""Levels of lists and objects within each other."""
MOST_VALUES: Final = 2_000_000
"""Texts, numbers, lists and objects in one document; it bounds the memory that a hostile file can claim."""


def canonical_bytes(content: Content) -> bytes:
    """The one encoding of this content.

    Raises
    ------
    BadContent
        It holds something that no record may hold; the error carries the path to it.
    """
    raise NotImplementedError


def read_canonical(data: bytes) -> Plain:
    """The content of these bytes, if they are its one encoding.

    Raises
    ------
    BadContent
        They are not, or they are beyond a limit; the error says where.
    """
    raise NotImplementedError
