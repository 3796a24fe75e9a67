"""The values of a pressure-stack figure: pressures at the boiler in SI, and keys in place of words."""

from dataclasses import dataclass
from enum import Enum

from evenfire.delivery.figures.firing_line import FiringLine, NoLine
from evenfire.delivery.figures.pressure_scale import PressureScale
from evenfire.judgement.case import SettingsSet


class LevelKind(Enum):
    """What a level of the stack is; in the order of the figure where two stand at one pressure."""

    MAWP = "mawp"
    RATED_MAX = "rated max"
    SAFETY_VALVE = "safety valve"
    EARLIEST_LIFT = "earliest lift"
    HIGH_LIMIT = "high limit"
    RESEAT = "reseat"
    WISH = "wish"
    CUT_OUT = "cut-out"
    LOW_FIRE = "low fire"
    CUT_IN = "cut-in"
    HIGH_FIRE = "high fire"
    NEED = "need"
    LOW_FIRE_HOLD = "low-fire hold"


class Column(Enum):
    """Where a level belongs: to the plant, which no dial changes, or to one set of settings."""

    PLANT = "plant"
    AS_FOUND = "as found"
    PROPOSED = "proposed"
    AS_LEFT = "as left"


def column_of(which: SettingsSet) -> Column:
    """The column of a set of settings."""
    match which:
        case SettingsSet.AS_FOUND:
            return Column.AS_FOUND
        case SettingsSet.PROPOSED:
            return Column.PROPOSED
        case SettingsSet.AS_LEFT:
            return Column.AS_LEFT


class AbsentKey(Enum):
    """What the figure cannot show because nobody surveyed it."""

    WISH = "wish"
    RATED_MAX = "rated max"
    SAFETY_VALVE = "safety valve"
    BLOWDOWN = "blowdown"
    NEED = "need"
    LINE_DROP = "line drop"
    HIGH_LIMIT = "high limit"
    CUT_OUT = "cut-out"
    CUT_IN = "cut-in"
    HIGH_FIRE = "high fire"
    LOW_FIRE = "low fire"
    LOW_FIRE_HOLD = "low-fire hold"
    BURNER = "burner"
    TURNDOWN = "turndown"
    FIRING_RATE_ACTION = "firing-rate action"
    TOLERANCE_OF_OPERATING_LIMIT = "tolerance of operating limit"
    TOLERANCE_OF_HIGH_LIMIT = "tolerance of high limit"
    TOLERANCE_OF_FIRING_RATE = "tolerance of firing rate"
    TOLERANCE_OF_HOLD = "tolerance of hold"
    WATER_LEG_OF_OPERATING_LIMIT = "water leg of operating limit"
    WATER_LEG_OF_HIGH_LIMIT = "water leg of high limit"
    WATER_LEG_OF_FIRING_RATE = "water leg of firing rate"
    WATER_LEG_OF_HOLD = "water leg of hold"


class Note(Enum):
    """What a reader must know to read the figure rightly."""

    STALE_PROPOSAL = "stale proposal"
    AT_THE_BOILER = "at the boiler"
    """Some dial shows another pressure than the boiler has when it acts"""
    BROKEN_SCALE = "broken scale"
    FOUND_IN_MANUAL = "found in manual"
    FIRING_CAPPED = "firing capped"
    NO_HOLD = "no low-fire hold"
    """None is listed, and one that is not listed is not there"""
    LEAST_TURNDOWN = "least turndown"
    """The line is that of the fuel that turns down least"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Where a device may act."""

    lowest: float
    """[Pa gauge]"""
    highest: float
    """[Pa gauge]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """One pressure of the stack."""

    kind: LevelKind
    column: Column
    pressure: float
    """[Pa gauge]"""
    band: Band | None = None
    """Where a control may act, or from earliest lift to set of a safety valve"""
    tolerance: float | None = None
    """Of a control, either way, with what is unsure of its water leg [Pa]"""
    reach: float | None = None
    """Where the pressure turns after the control acted at the far end of its band, not below nought [Pa gauge]"""
    valve: str | None = None
    """Name of the safety valve whose level it is"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What is written once for levels that are the same."""

    kind: LevelKind
    columns: tuple[Column, ...]
    pressure: float
    """[Pa gauge]"""
    tolerance: float | None = None
    """[Pa]"""
    valves: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SetOfSettings:
    """One set of settings in the figure."""

    column: Column
    line: FiringLine | NoLine
    is_low_before_cut_out: bool | None = None
    """As the rule weighs it: at the far ends of the tolerances, and through the design drop; ``None`` where that cannot
    be told
    """


@dataclass(frozen=True, slots=True, kw_only=True)
class Absent:
    """One thing nobody surveyed, and for which column it is wanted."""

    key: AbsentKey
    column: Column


@dataclass(frozen=True, slots=True, kw_only=True)
class StackLayout:
    """The pressure stack of one boiler, ready to be drawn."""

    boiler: str
    site: str
    levels: tuple[Level, ...]
    """From the highest down"""
    labels: tuple[Label, ...]
    """From the highest down"""
    sets: tuple[SetOfSettings, ...]
    scale: PressureScale
    absent: tuple[Absent, ...]
    notes: tuple[Note, ...]
    capped_at: float | None = None
    """Firing held down by hand as found, share of full fire [1]"""

    def of(self, kind: LevelKind, column: Column) -> Level | None:
        """The level of one kind in one column; the first, where safety valves give several."""
        return next((level for level in self.levels if level.kind is kind and level.column is column), None)
