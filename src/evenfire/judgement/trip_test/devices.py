"""Safety devices beside the pressure controls: what counts as a pass of each, and how a test of one came out."""

from dataclasses import dataclass
from enum import Enum

from evenfire.judgement.outcome import Basis
from evenfire.plant.safety_valve import SafetyValve
from evenfire.si import GaugePa, Quantity
from evenfire.sources import Citation


class Device(Enum):
    """A device that is tested."""

    LOW_WATER_CUTOFF = "low-water cutoff"
    SECOND_LOW_WATER_CUTOFF = "second low-water cutoff"
    FLAME_FAILURE = "flame failure"
    PILOT_TRIAL = "pilot trial"
    MAIN_TRIAL = "main trial"
    AIR_INTERLOCK = "air interlock"
    LOW_FUEL_PRESSURE = "low fuel pressure"
    HIGH_FUEL_PRESSURE = "high fuel pressure"
    LOW_FIRE_START = "low-fire start"
    FUEL_VALVE_LEAKAGE = "fuel valve leakage"
    SAFETY_VALVE_BY_HAND = "safety valve by hand"
    SAFETY_VALVE_BY_PRESSURE = "safety valve by pressure"


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceTest:
    """A test as it was written down; ``None`` is what nobody did."""

    device: Device
    works: bool | None = None
    """It did what it is for"""
    took: float | None = None
    """[s]"""
    at: GaugePa | None = None
    """Pressure at which a safety valve was lifted by hand, or lifted by itself [Pa gauge]"""
    valve: SafetyValve | None = None
    """Which safety valve"""


class DeviceVerdict(Enum):
    """How a test of a device came out, worst first."""

    FAILED = "failed"
    """The boiler stays out of service until it is mended and tested again"""
    FAILED_EARLY = "acts early"
    """Safe, and to be mended: a safety valve that lifts too low"""
    SHOWS_NOTHING = "shows nothing"
    """Made in a way that proves nothing"""
    NOT_JUDGED = "not judged"
    PASSED = "passed"


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceRule:
    """What counts as a pass."""

    device: Device
    basis: Basis
    """Of the number, or of the test where there is none"""
    citations: tuple[Citation, ...]
    longest: float | None = None
    """[s]"""
    least_share_of_set: float | None = None
    """Pressure at a lift by hand, as a share of the set pressure [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceResult:
    """How a test came out."""

    verdict: DeviceVerdict
    rule: DeviceRule
    observed: Quantity | None = None
    lowest: Quantity | None = None
    highest: Quantity | None = None
    missing: tuple[str, ...] = ()


def judge_device(test: DeviceTest) -> DeviceResult:
    """How a test of a device came out."""
    raise NotImplementedError
