"""A trip test of a high limit that shall act at 140 psi within 4, in trade units: the ground of the cases here."""

from datetime import date
from typing import Final

from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.trip import Method, Reading, TripTest
from evenfire.plant.controls import Filling, Position, Role, WaterLeg
from evenfire.si import M_PER_FT, PA_PER_PSI, DiffPa, GaugePa

TODAY: Final = date(2026, 11, 25)


def gauge_psi(value: float) -> GaugePa:
    return GaugePa(value * PA_PER_PSI)


def psi(value: float) -> DiffPa:
    return DiffPa(value * PA_PER_PSI)


def leg(feet: float, position: Position = Position.BELOW_TAP, filling: Filling = Filling.FULL) -> WaterLeg:
    return WaterLeg(height=feet * M_PER_FT, position=position, filling=filling)


NO_LEG: Final = leg(0.0)


def gauge(
    error: float = 0.25,
    division: float = 0.5,
    uncertainty: float = 0.1,
    *,
    to: float = 300.0,
    serial: str = "fine",
    water_leg: WaterLeg | None = NO_LEG,
) -> ReferenceGauge:
    """A gauge by its class, division and calibration in psi."""
    return ReferenceGauge(
        serial=serial,
        highest=gauge_psi(to),
        permissible_error=psi(error),
        division=psi(division),
        calibrated_on=date(2026, 9, 1),
        expanded_uncertainty=psi(uncertainty),
        water_leg=water_leg,
    )


PERFECT: Final = gauge(0.0, 1e-9, 0.0)


def readings(*shown: float) -> tuple[Reading, ...]:
    return tuple(Reading(shown=gauge_psi(each)) for each in shown)


def trip(*shown: float, band: float = 4.0, on: ReferenceGauge | None = None) -> TripTest:
    """A true rise with everything written down; readings in psi."""
    return TripTest(
        role=Role.HIGH_LIMIT,
        method=Method.TRUE_RISE,
        on=TODAY,
        set_pressure=gauge_psi(140.0),
        band=psi(band),
        gauge=on or gauge(),
        readings=readings(*shown),
        rate=psi(0.1),
        opened=True,
        held_until_reset=True,
        early_reset_took=False,
        at_low_fire=True,
    )
