"""What is true of one log: frozen before anything looks at it."""

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from tests.blind.layouts import Layout

Floats = NDArray[np.float64]


class FaultKind(Enum):
    """What may be planted, one in a log."""

    CUT_OUT_DRIFT = "the cut-out acts far from where its dial stands"
    RANGE_TOO_WIDE = "the throttling range is wider than its dial says, and the cut-out comes before low fire"
    CUT_OUT_IN_BAND = "the dials themselves put the cut-out inside the firing band"
    ACTUATOR_STUCK = "the fuel valve does not move"
    HOLD_BYPASSED = "a cold boiler goes to high fire"
    GAUGE_OFFSET = "the logged pressure is off"
    HIGH_LIMIT_ACTING = "the high limit stops the burner, because the operating limit does not"
    NON_PRESSURE_STOPS = "something other than pressure stops the burner"
    HUNTING = "the firing swings by itself"


class StopKind(Enum):
    """Why the burner stopped."""

    OPERATING_LIMIT = 1
    HIGH_LIMIT = 2
    LEVEL = 3
    FLAME = 4
    AIR = 5
    OPERATOR = 6

    @property
    def is_by_pressure(self) -> bool:
        """Whether a limit stopped it."""
        return self in (StopKind.OPERATING_LIMIT, StopKind.HIGH_LIMIT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """The one thing that is wrong."""

    kind: FaultKind
    magnitude: float
    unit: str
    told: str
    """In words"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One stop with a flame."""

    second: float
    kind: StopKind
    pressure: float
    """True pressure of the boiler as the control opened [Pa gauge]"""
    stood: float
    """Where that control stood in this cycle, scatter included [Pa gauge]; nought of a stop not by pressure"""
    position: float
    """Of the fuel valve, from low fire (0) to high fire (1)"""
    is_planned: bool
    """Whether the plant was shut down as on any day"""
    needs_a_hand: bool
    """Whether somebody has to come before it can start again"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """One start that came to a main flame."""

    call: float
    """When the last limit closed, or the post-purge after it ended [s]"""
    flame: float
    """When the main flame came [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutIn:
    """The operating limit closes again."""

    second: float
    pressure: float
    """[Pa gauge]"""
    stood: float
    """[Pa gauge]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Truth:
    """All that is true of one log. Seconds count from the first second of the run; pressures are gauge, SI."""

    seed: int
    boiler: str
    """Kind of boiler"""
    firing: str
    """What the firing-rate control does"""
    plant: str
    """The plant file, as the technician would write it"""
    layout: Layout
    fault: Fault | None
    exercised: bool
    """Whether the log shows the fault: by the rule below, from the hidden states alone"""
    occurrences: int
    happened: int
    """How often the situation happened at all, whether or not the log has the columns that tell it"""
    rule: str
    """The rule in words"""
    also_true: tuple[FaultKind, ...]
    """Other kinds of fault whose situation happened at least three times all the same: naming one is no false alarm"""
    ugly: tuple[str, ...]
    """What makes the log hard to read"""
    seconds: int
    interval: float
    """Commonest time between rows [s]"""
    ambient: float
    """[Pa abs]"""
    cut_out: float
    differential: float
    high_limit: float
    fire_point: float
    fire_range: float
    hold: float
    """Nought where there is none, or where it is bypassed"""
    gauge_offset: float
    """What the logged pressure shows above the true one [Pa]"""
    storage: float
    """Half way between cut-in and cut-out, at normal water, with no feed or steam flowing [J/Pa]"""
    storage_pressure: float
    """Where that is [Pa gauge]"""
    storage_slope: float
    """How it changes with pressure [J/Pa for each Pa]: water gives more steam for a pound of pressure lower down"""
    heat_low: float
    """Heat to the water at low fire [W]"""
    heat_high: float
    """[W]"""
    heat_lag: float
    """Mean delay of the heat: dead time and lag together [s]"""
    sensor_lag: float
    """Of the logged pressure [s]"""
    contact_to_flame: float
    """[s]"""
    contact_to_low_fire: float
    """Flame and the lag of its heat included [s]"""
    standing_loss: float
    """[W]"""
    full_output: float
    """What high fire makes, the loss taken off [W]"""
    load: Floats
    """Heat that steam carries away, feedwater taken off, in means of a minute [W]"""
    steam: Floats
    """In means of a minute [kg/s]"""
    stops: tuple[Stop, ...]
    starts: tuple[Start, ...]
    cut_ins: tuple[CutIn, ...]

    def storage_at(self, pressure: float) -> float:
        """Storage near the pressures at which the boiler works [J/Pa]; a straight line, good within some 15 psi."""
        return self.storage + self.storage_slope * (pressure - self.storage_pressure)
