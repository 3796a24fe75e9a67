"""Text that the fonts of the papers can show, with places where a long word may be broken."""

import re
from functools import cache
from pathlib import Path
from typing import Final

import matplotlib as mpl
from matplotlib.ft2font import FT2Font

REPLACED: Final = "\N{REPLACEMENT CHARACTER}"
"""Stands where the fonts have no such character."""
MAY_BREAK: Final = "\N{ZERO WIDTH SPACE}"
LONGEST_WHOLE: Final = 16
"""A longer word may be broken [characters]."""
PIECE: Final = 8
"""[characters]"""
_FONTS: Final = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
_KEPT: Final = frozenset("\n\N{NO-BREAK SPACE}")
_LONG: Final = re.compile(rf"[^\s]{{{LONGEST_WHOLE + 1},}}")
_AFTER: Final = re.compile(r"(?<=[._/:,;-])(?=\w)")


class Letters:
    """Takes out what the fonts cannot show, and remembers whether it had to."""

    def __init__(self) -> None:
        self.replaced = False

    def printable(self, text: str) -> str:
        """The text with a sign of replacement for every character that the fonts have not."""
        known = _known()
        found = "".join(sign if _is_plain(sign) and sign in known else REPLACED for sign in text)
        self.replaced = self.replaced or (REPLACED in found)
        return found


def breakable(text: str) -> str:
    """The text with places in its long words where a line may end."""
    return _LONG.sub(lambda match: _broken(match[0]), text)


def _broken(word: str) -> str:
    parts = _AFTER.split(word)
    pieces = [part[place : place + PIECE] for part in parts for place in range(0, len(part), PIECE)]
    return MAY_BREAK.join(parts if all(len(part) <= LONGEST_WHOLE for part in parts) else pieces)


def _is_plain(sign: str) -> bool:
    return sign.isprintable() or sign in _KEPT


@cache
def _known() -> frozenset[str]:
    """Characters that every font of the papers has."""
    folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
    maps = [set(FT2Font(str(folder / name)).get_charmap()) for name in _FONTS]
    return frozenset(chr(code) for code in set.intersection(*maps)) | {"\n"}
