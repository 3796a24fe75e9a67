"""The vertical pressure scale of a figure, broken where something lies far from the rest."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

FAR = 0.4
"""What lies further from the rest than this share of the rest's span gets its own piece of the scale [1]."""
PAD = 0.05
"""Free space at either end of a piece, as a share of its span [1]."""
LEAST_PAD_SHARE = 0.01
"""A piece that holds one pressure still shows this share of it to either side [1]."""
OUTLYING_HEIGHT = 0.11
"""Height of a piece beyond a break, as a share of the whole [1]."""
BREAK_HEIGHT = 0.035
"""Height of a break, as a share of the whole [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """An unbroken part of the scale."""

    lowest: float
    """[Pa gauge]"""
    highest: float
    """[Pa gauge]"""
    bottom: float
    """Height of the lowest pressure above the foot of the scale, as a share of the whole [1]"""
    top: float
    """Height of the highest pressure [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureScale:
    """One to three pieces from the bottom; the tallest carries the working pressures."""

    pieces: tuple[Piece, ...]

    @property
    def lowest(self) -> float:
        """Foot of the scale [Pa gauge]."""
        return self.pieces[0].lowest

    @property
    def highest(self) -> float:
        """Head of the scale [Pa gauge]."""
        return self.pieces[-1].highest

    @property
    def main(self) -> Piece:
        """The piece that carries the working pressures."""
        return max(self.pieces, key=lambda piece: piece.top - piece.bottom)

    @property
    def breaks(self) -> tuple[tuple[float, float], ...]:
        """Bottom and top of each break, as shares of the whole height [1]."""
        return tuple((below.top, above.bottom) for below, above in pairwise(self.pieces))

    def height_of(self, pressure: float) -> float:
        """How high a pressure [Pa gauge] stands, as a share of the whole height [1]; the ends for what lies outside."""
        corners = [(piece.lowest, piece.bottom) for piece in self.pieces]
        corners += [(piece.highest, piece.top) for piece in self.pieces]
        corners.sort()
        if pressure <= corners[0][0]:
            return corners[0][1]
        for (low, bottom), (high, top) in pairwise(corners):
            if pressure <= high:
                return bottom + (top - bottom) * (pressure - low) / (high - low)
        return corners[-1][1]


def scale_of(main: Sequence[float], outlying: Sequence[float]) -> PressureScale:
    """The scale that shows all pressures.

    Parameters
    ----------
    main
        Pressures that must be comparable by eye: they share one unbroken piece [Pa gauge], at least one.
    outlying
        Pressures that may stand beyond a break if they lie far away [Pa gauge].
    """
    low, high = min(main), max(main)
    below: list[float] = []
    above: list[float] = []
    for pressure in sorted(outlying, key=lambda each: max(low - each, each - high)):
        far = FAR * (high - low) + LEAST_PAD_SHARE * abs(high)
        if not below and low - far <= pressure <= low:
            low = pressure
        elif not above and high <= pressure <= high + far:
            high = pressure
        elif pressure < low:
            below.append(pressure)
        elif pressure > high:
            above.append(pressure)
    ends = [(min(part), max(part)) for part in (below, [low, high], above) if part]
    return PressureScale(pieces=_placed(_padded(ends), main=1 if below else 0))


def ticks(piece: Piece, unit: float, at_most: int) -> tuple[float, ...]:
    """Round pressures [Pa gauge] in a piece, at most so many, for a unit of so many Pa."""
    span = (piece.highest - piece.lowest) / unit
    step = _round_step(span / at_most)
    first = math.ceil(piece.lowest / unit / step - 1e-9)
    last = math.floor(piece.highest / unit / step + 1e-9)
    return tuple(count * step * unit for count in range(first, last + 1))


def _round_step(least: float) -> float:
    power = 10.0 ** math.floor(math.log10(least))
    return next(factor * power for factor in (1, 2, 5, 10, 20) if factor * power >= least)


def _padded(ends: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Each piece with free space at its ends, never more than a third of a break, and not below nought for nothing."""
    least = LEAST_PAD_SHARE * abs(ends[-1][1])
    gaps = [math.inf, *(above[0] - below[1] for below, above in pairwise(ends)), math.inf]
    padded = []
    for (low, high), gap_below, gap_above in zip(ends, gaps, gaps[1:], strict=False):
        pad = max(PAD * (high - low), least)
        foot = low - min(pad, gap_below / 3)
        padded.append((min(low, max(foot, 0.0)), high + min(pad, gap_above / 3)))
    return padded


def _placed(ends: Sequence[tuple[float, float]], main: int) -> tuple[Piece, ...]:
    rest = 1.0 - (len(ends) - 1) * (OUTLYING_HEIGHT + BREAK_HEIGHT)
    pieces: list[Piece] = []
    bottom = 0.0
    for index, (low, high) in enumerate(ends):
        top = 1.0 if index == len(ends) - 1 else bottom + (rest if index == main else OUTLYING_HEIGHT)
        pieces.append(Piece(lowest=low, highest=high, bottom=bottom, top=top))
        bottom = top + BREAK_HEIGHT
    return tuple(pieces)
