"""How each thing in a trace looks: by dash, width, hatch and symbol; there is no colour at all."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.figures.stack_levels import LevelKind
from evenfire.physics.motion.happenings import Happening

INK: Final = "#000000"
SOFT: Final = "#555555"
GRID: Final = "#dddddd"
SWING: Final = "#bbbbbb"
FIRE: Final = "#777777"
START_HATCH: Final = "//////"


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line by its dashes and its width."""

    width: float
    dashes: tuple[float, ...] = ()


LEVELS: Final[Mapping[LevelKind, Stroke]] = {
    LevelKind.MAWP: Stroke(2.4),
    LevelKind.SAFETY_VALVE: Stroke(1.6),
    LevelKind.HIGH_LIMIT: Stroke(1.6, (8, 2)),
    LevelKind.CUT_OUT: Stroke(1.1, (5, 2)),
    LevelKind.CUT_IN: Stroke(1.1, (2, 2)),
    LevelKind.LOW_FIRE: Stroke(0.8, (6, 2, 1, 2)),
    LevelKind.HIGH_FIRE: Stroke(0.8, (6, 2, 1, 2, 1, 2)),
    LevelKind.NEED: Stroke(1.8, (10, 3)),
    LevelKind.LOW_FIRE_HOLD: Stroke(1.1, (1, 2)),
}
"""No two are the same in dash and width."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A symbol, filled or hollow, and what it stands for."""

    symbol: str
    filled: bool
    words: str


MARKS: Final[Mapping[Happening, Mark]] = {
    Happening.FAULT_BEGAN: Mark("D", True, "fault begins"),
    Happening.HIGH_LIMIT_OPENED: Mark("^", True, "high limit opens"),
    Happening.RESET_REFUSED: Mark("X", False, "reset refused"),
    Happening.HIGH_LIMIT_CLOSED: Mark("^", False, "high limit closed again"),
    Happening.VALVE_LIFTED: Mark("*", True, "safety valve lifts"),
    Happening.LOCKED_OUT: Mark("X", True, "lockout"),
    Happening.UNLOCKED: Mark("o", False, "lockout reset"),
    Happening.WATER_LOW: Mark("v", True, "low water"),
    Happening.HOLD_TOOK: Mark("s", False, "low-fire hold takes hold"),
}
