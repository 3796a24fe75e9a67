"""Text that has to fit: how wide it is on a terminal and in a drawing, and how it is shortened."""

import unicodedata

ELLIPSIS = "..."
ASSUMED_NARROW, ASSUMED_USUAL, ASSUMED_CAPITAL, ASSUMED_WIDE = 0.38, 0.64, 0.76, 1.0
"""Widths of letters as shares of the size of the type: nobody knows the reader's font, so these are of a wide one."""
LAST_LATIN = 0x24F
_NARROW = frozenset(" \u00a0!'(),-./:;I[]fijlt|")
_WIDE = frozenset("%@MWmw")


def printable(text: str) -> str:
    """The text on one line without characters that a terminal or a drawing would obey instead of show."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def cells(text: str) -> int:
    """Width on a terminal [cells]."""
    return sum(_cells(sign) for sign in text)


def width(text: str, size: float) -> float:
    """Width in a drawing [same unit as the size of the type]; rather too wide than too narrow."""
    return size * sum(_em(sign) for sign in text)


def shorten_to_cells(text: str, most: int) -> str:
    """The text, its end cut off where it is wider than so many cells."""
    if cells(text) <= most:
        return text
    while text and cells(text) > most - len(ELLIPSIS):
        text = text[:-1]
    return (text.rstrip() + ELLIPSIS)[: max(most, 0)]


def shorten_to_width(text: str, most: float, size: float) -> str:
    """The text, its end cut off where it is wider than this in a drawing."""
    if width(text, size) <= most:
        return text
    while text and width(text + ELLIPSIS, size) > most:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS


def wrap(text: str, most: float, size: float) -> tuple[str, ...]:
    """Lines of whole words, none wider than this in a drawing; a word that is wider by itself is shortened."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size) <= most:
            lines[-1] = longer
        else:
            lines.append(shorten_to_width(word, most, size))
    return tuple(lines)


def _cells(sign: str) -> int:
    if unicodedata.combining(sign):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in {"W", "F"} else 1


def _em(sign: str) -> float:
    if sign in _NARROW:
        return ASSUMED_NARROW
    if sign in _WIDE or ord(sign) > LAST_LATIN:
        return ASSUMED_WIDE
    return ASSUMED_CAPITAL if sign.isupper() else ASSUMED_USUAL
