"""The registers of reference gauges with their calibrations, and of controls by serial number."""

from dataclasses import dataclass
from datetime import date

from evenfire.delivery.records.database import Store
from evenfire.plant.controls import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """One calibration of a reference gauge. Quantities are text with their unit, as on the certificate."""

    made_on: date
    due_on: date | None
    certificate: str
    made_by: str
    correction: str | None
    """To be added to what the gauge shows: ``-0.2 psi``"""
    expanded_uncertainty: str | None
    """``0.25 psi``"""
    coverage_factor: str | None
    """``2``"""
    attachment: str | None
    """SHA-256 of the certificate as a file"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceGauge:
    """A gauge that trip points are read on. Quantities are text with their unit, as on its dial."""

    id: str
    serial: str
    name: str
    scale_from: str
    scale_to: str
    division: str
    accuracy: str
    """``0.25 %`` of the scale, or a pressure"""
    is_retired: bool
    calibrations: tuple[Calibration, ...]
    """Oldest first"""

    def calibration_on(self, day: date) -> Calibration | None:
        """The last calibration made by that day."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """A control, by its serial number, fitted to a boiler in a role."""

    id: str
    serial: str
    kind: str
    """What it is, in words"""
    boiler: str
    role: Role
    fitted_on: date
    removed_on: date | None


def add_gauge(
    store: Store, *, serial: str, name: str, scale_from: str, scale_to: str, division: str, accuracy: str
) -> ReferenceGauge:
    """A new reference gauge.

    Raises
    ------
    BadRequest
        A gauge has this serial number already, or a quantity cannot be read.
    """
    raise NotImplementedError


def retire_gauge(store: Store, serial: str) -> ReferenceGauge:
    """Take a gauge out of use; what it measured stays."""
    raise NotImplementedError


def add_calibration(store: Store, serial: str, calibration: Calibration) -> ReferenceGauge:
    """Keep a calibration of a gauge.

    Raises
    ------
    BadRequest
        There is no such gauge or attachment, or a quantity cannot be read.
    """
    raise NotImplementedError


def gauges_of(store: Store) -> tuple[ReferenceGauge, ...]:
    """All reference gauges, by serial number."""
    raise NotImplementedError


def find_gauge(store: Store, serial: str) -> ReferenceGauge:
    """A gauge by its serial number.

    Raises
    ------
    BadRequest
        There is none.
    """
    raise NotImplementedError


def fit_control(store: Store, *, boiler: str, role: Role, serial: str, kind: str, on: date) -> Fitting:
    """A control is fitted; what had this role there until now counts as removed on that day.

    Raises
    ------
    BadRequest
        There is no such boiler, or the serial number is fitted elsewhere and was not removed.
    """
    raise NotImplementedError


def remove_control(store: Store, fitting: str, *, on: date) -> Fitting:
    """A control is taken off."""
    raise NotImplementedError


def fittings_of(store: Store, boiler: str | None = None, *, serial: str | None = None) -> tuple[Fitting, ...]:
    """What was ever fitted, to one boiler or of one serial number, oldest first."""
    raise NotImplementedError
