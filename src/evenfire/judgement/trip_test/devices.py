"""Safety devices beside the pressure controls: what counts as a pass of each, and how a test of one came out."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum
from types import MappingProxyType
from typing import Final

from evenfire.judgement.outcome import Basis
from evenfire.physics.relief import set_tolerance
from evenfire.plant.possible import require_not_negative
from evenfire.plant.safety_valve import SafetyValve
from evenfire.si import ROUNDING_PA, Dimension, GaugePa, Quantity
from evenfire.sources import ANCHORAGE, CSD_1, US_46CFR62, VALVE_HANDBOOK, Citation


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

    def __post_init__(self) -> None:
        require_not_negative("took", self.took, Dimension.TIME)
        require_not_negative("at", self.at, Dimension.GAUGE_PRESSURE)


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

    @property
    def is_unsafe(self) -> bool:
        """Whether the boiler stays out of service until it is mended and tested again."""
        return self is DeviceVerdict.FAILED


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


def _works(device: Device) -> DeviceRule:
    """A device that stops the burner, or does not."""
    return DeviceRule(device=device, basis=Basis.FROM_MEMORY, citations=(Citation(CSD_1),))


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceResult:
    """How a test came out."""

    verdict: DeviceVerdict
    rule: DeviceRule
    observed: Quantity | None = None
    lowest: Quantity | None = None
    highest: Quantity | None = None
    missing: tuple[str, ...] = ()


RULES: Final[Mapping[Device, DeviceRule]] = MappingProxyType(
    {
        each.device: each
        for each in (
            _works(Device.LOW_WATER_CUTOFF),
            _works(Device.SECOND_LOW_WATER_CUTOFF),
            DeviceRule(
                device=Device.FLAME_FAILURE,
                basis=Basis.PUBLISHED,
                citations=(Citation(ANCHORAGE), Citation(US_46CFR62)),
                longest=4.0,
            ),
            *(
                DeviceRule(
                    device=trial,
                    basis=Basis.PUBLISHED,
                    citations=(Citation(ANCHORAGE), Citation(US_46CFR62)),
                    longest=15.0,
                )
                for trial in (Device.PILOT_TRIAL, Device.MAIN_TRIAL)
            ),
            _works(Device.AIR_INTERLOCK),
            _works(Device.LOW_FUEL_PRESSURE),
            _works(Device.HIGH_FUEL_PRESSURE),
            _works(Device.LOW_FIRE_START),
            _works(Device.FUEL_VALVE_LEAKAGE),
            DeviceRule(
                device=Device.SAFETY_VALVE_BY_HAND,
                basis=Basis.COMMON_PRACTICE,
                citations=(),
                least_share_of_set=0.75,
            ),
            DeviceRule(
                device=Device.SAFETY_VALVE_BY_PRESSURE, basis=Basis.PUBLISHED, citations=(Citation(VALVE_HANDBOOK),)
            ),
        )
    }
)
"""What counts as a pass, for every device."""


def judge_device(test: DeviceTest) -> DeviceResult:
    """How a test of a device came out.

    Notes
    -----
    Every device has to have done what it is for. Timed ones also within their time; a lift by hand only counts at three
    quarters of the set pressure or more, for a valve lifted against less may not close; a valve tested by pressure
    lifts within its set tolerance.

    What did not work has failed, whatever else was not written down.

    References
    ----------
    ANCH and 46CFR62 (times); VSH (set tolerance); CSD-1 (which devices are tested), from memory.
    """
    rule = RULES[test.device]
    if test.works is False:
        return DeviceResult(verdict=DeviceVerdict.FAILED, rule=rule, observed=_observed(test))
    if test.device is Device.SAFETY_VALVE_BY_HAND:
        result = _lifted_by_hand(test, rule)
    elif test.device is Device.SAFETY_VALVE_BY_PRESSURE:
        result = _lifted_by_pressure(test, rule)
    elif rule.longest is not None:
        result = _timed(test, rule, rule.longest)
    else:
        result = DeviceResult(verdict=DeviceVerdict.PASSED, rule=rule)
    if test.works is None and result.verdict in {DeviceVerdict.PASSED, DeviceVerdict.NOT_JUDGED}:
        return replace(result, verdict=DeviceVerdict.NOT_JUDGED, missing=("device.works", *result.missing))
    return result


def _timed(test: DeviceTest, rule: DeviceRule, longest: float) -> DeviceResult:
    limit = Quantity(longest, Dimension.TIME)
    if test.took is None:
        return DeviceResult(verdict=DeviceVerdict.NOT_JUDGED, rule=rule, highest=limit, missing=("device.took",))
    verdict = DeviceVerdict.PASSED if test.took <= longest else DeviceVerdict.FAILED
    return DeviceResult(verdict=verdict, rule=rule, observed=_observed(test), highest=limit)


def _lifted_by_hand(test: DeviceTest, rule: DeviceRule) -> DeviceResult:
    if test.at is None or test.valve is None or rule.least_share_of_set is None:
        return _not_judged(test, rule)
    least = rule.least_share_of_set * test.valve.set_pressure
    return DeviceResult(
        verdict=DeviceVerdict.PASSED if test.at >= least - ROUNDING_PA else DeviceVerdict.SHOWS_NOTHING,
        rule=rule,
        observed=_observed(test),
        lowest=Quantity(least, Dimension.GAUGE_PRESSURE),
    )


def _lifted_by_pressure(test: DeviceTest, rule: DeviceRule) -> DeviceResult:
    if test.at is None or test.valve is None:
        return _not_judged(test, rule)
    off = set_tolerance(test.valve.set_pressure)
    lowest, highest = test.valve.set_pressure - off, test.valve.set_pressure + off
    if test.at > highest + ROUNDING_PA:
        verdict = DeviceVerdict.FAILED
    else:
        verdict = DeviceVerdict.PASSED if test.at >= lowest - ROUNDING_PA else DeviceVerdict.FAILED_EARLY
    return DeviceResult(
        verdict=verdict,
        rule=rule,
        observed=_observed(test),
        lowest=Quantity(lowest, Dimension.GAUGE_PRESSURE),
        highest=Quantity(highest, Dimension.GAUGE_PRESSURE),
    )


def _not_judged(test: DeviceTest, rule: DeviceRule) -> DeviceResult:
    missing = {"device.at": test.at, "device.valve": test.valve}
    keys = tuple(key for key, value in missing.items() if value is None)
    return DeviceResult(verdict=DeviceVerdict.NOT_JUDGED, rule=rule, missing=keys)


def _observed(test: DeviceTest) -> Quantity | None:
    if test.took is not None and RULES[test.device].longest is not None:
        return Quantity(test.took, Dimension.TIME)
    return None if test.at is None else Quantity(test.at, Dimension.GAUGE_PRESSURE)
