"""The gauge that a trip point is read on, and how long its calibration is good for."""

from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Final

from evenfire.judgement.trip_test.due import Interval, due_on
from evenfire.plant.controls import WaterLeg
from evenfire.plant.possible import require_between, require_not_negative, require_positive
from evenfire.si import DiffPa, Dimension, GaugePa

LONGEST_SINCE_CALIBRATION: Final = Interval(months=12)
"""UFC, read; an older calibration proves nothing any more."""
USUAL_SINCE_CALIBRATION: Final = Interval(months=6)
"""CSD-1, from memory."""


class InDate(Enum):
    """Whether a calibration may still be relied on."""

    YES = "in date"
    OLDER_THAN_USUAL = "older than six months"
    NO = "older than a year"
    UNKNOWN = "no day of calibration"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceGauge:
    """A reference gauge as its dial and its certificate describe it, and how it hangs on the boiler."""

    serial: str
    name: str = ""
    lowest: GaugePa = GaugePa(0.0)
    """Begin of its scale [Pa gauge]"""
    highest: GaugePa
    """End of its scale [Pa gauge]"""
    permissible_error: DiffPa | None = None
    """Of its class: how far it may be off, either way [Pa]"""
    division: DiffPa | None = None
    """Smallest step of its scale [Pa]"""
    correction: DiffPa = DiffPa(0.0)
    """Of its certificate, to be added to what it shows [Pa]"""
    calibrated_on: date | None = None
    expanded_uncertainty: DiffPa | None = None
    """Of its calibration, as the certificate states it [Pa]"""
    coverage_factor: float = 2.0
    """To which that belongs [1]; certificates state 2 where they state nothing"""
    water_leg: WaterLeg | None = None
    """Between the tap and the gauge; nothing where nobody looked, a height of 0 where there is none"""

    def __post_init__(self) -> None:
        require_between("to", self.highest, self.lowest + 1.0, float("inf"), Dimension.GAUGE_PRESSURE)
        require_not_negative("permissible_error", self.permissible_error, Dimension.PRESSURE_DIFFERENCE)
        require_positive("division", self.division, Dimension.PRESSURE_DIFFERENCE)
        require_not_negative("expanded_uncertainty", self.expanded_uncertainty, Dimension.PRESSURE_DIFFERENCE)
        require_positive("coverage_factor", self.coverage_factor, Dimension.NUMBER)

    def in_date(self, on: date) -> InDate:
        """Whether its calibration may be relied on, on a day."""
        if self.calibrated_on is None:
            return InDate.UNKNOWN
        if on > due_on(self.calibrated_on, LONGEST_SINCE_CALIBRATION) or on < self.calibrated_on:
            return InDate.NO
        return InDate.YES if on <= due_on(self.calibrated_on, USUAL_SINCE_CALIBRATION) else InDate.OLDER_THAN_USUAL

    @property
    def missing(self) -> tuple[str, ...]:
        """What has to be known of it before a reading of it means anything."""
        wanted = {
            "reference_gauge.accuracy": self.permissible_error,
            "reference_gauge.division": self.division,
            "reference_gauge.calibrated_on": self.calibrated_on,
            "reference_gauge.expanded_uncertainty": self.expanded_uncertainty,
            "trip.gauge_leg": self.water_leg,
        }
        return tuple(key for key, value in wanted.items() if value is None)
