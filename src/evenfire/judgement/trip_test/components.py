"""What makes a trip pressure doubtful, one component at a time."""

from math import sqrt
from typing import Final

from evenfire.judgement.trip_test.budget import Component, Kind, Origin, Shape
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.repeatability import Repeatability
from evenfire.physics.switching import leg_shift
from evenfire.plant.controls import Control
from evenfire.plant.known import Missing, known
from evenfire.si import M_PER_IN, PA_PER_M_OF_WATER_LEG, GaugePa

ASSUMED_DOUBT_OF_HEIGHT: Final = 1 * M_PER_IN
"""Half-width of the height of a water leg [m]: a tape, and where in the siphon the water stands."""
ASSUMED_DOUBT_OF_WATER: Final = 0.04
"""Half-width of the weight of the water in it, as a share [1]: at 200 F water is 4 % lighter than at 62 F."""
ASSUMED_READING_DELAY: Final = 1.0
"""How late, or early, a gauge is read, half-width [s].

A person reads a moment after the click, which shows too much; a gauge behind a siphon or a snubber follows late, which
shows too little. Nobody knows which is more, so it counts to either side.
"""
ASSUMPTIONS: Final = ("ASSUMED_DOUBT_OF_HEIGHT", "ASSUMED_DOUBT_OF_WATER", "ASSUMED_READING_DELAY")
"""What every budget rests on."""
_ROOT_OF_THREE: Final = sqrt(3.0)


def at_boiler(shown: GaugePa, gauge: ReferenceGauge) -> GaugePa:
    """What a reading says of the boiler [Pa gauge]: certificate's correction and water leg counted.

    A gauge below its tap carries the water that stands above it and shows too much, above its tap too little. A leg
    that may be part empty counts as half full. A leg that nobody looked at counts as none: see
    :attr:`~evenfire.judgement.trip_test.gauge.ReferenceGauge.missing`.
    """
    return GaugePa(shown + gauge.correction + leg_shift(Control(water_leg=gauge.water_leg)).offset)


def on_gauge(pressure: GaugePa, gauge: ReferenceGauge) -> GaugePa:
    """What a gauge shows at a pressure of the boiler [Pa gauge]."""
    return GaugePa(pressure - gauge.correction - leg_shift(Control(water_leg=gauge.water_leg)).offset)


def of_gauge(gauge: ReferenceGauge, rate: float | None) -> tuple[Component, ...] | Missing:
    """Every component but repeatability; missing where too little is known.

    Parameters
    ----------
    gauge
        With class, division, calibration and water leg.
    rate
        Rise of the pressure while it was read [Pa/s].

    Notes
    -----
    The error of a gauge between two calibrations is bounded by its class (rectangular), and the calibration that put
    it there had its own uncertainty: both count. A reading is off by up to half a division (JCGM 100, F.2.2.1), the
    same way for every repeat, so that repeating does not thin it.

    References
    ----------
    JCGM-100, from memory; HB1919 for the water leg.
    """
    if gauge.missing or rate is None:
        return Missing((*gauge.missing, *(("trip.rise",) if rate is None else ())))
    error, division, uncertainty = gauge.permissible_error or 0.0, gauge.division or 0.0, gauge.expanded_uncertainty
    calibration = Component(
        origin=Origin.CALIBRATION,
        kind=Kind.B,
        shape=Shape.NORMAL,
        half_width=uncertainty or 0.0,
        divisor=gauge.coverage_factor,
        sensitivity=1.0,
    )
    return (
        calibration,
        _even(Origin.PERMISSIBLE_ERROR, error),
        _even(Origin.RESOLUTION, 0.5 * division),
        *_of_leg(gauge),
        _even(Origin.READING_DELAY, ASSUMED_READING_DELAY, rate),
    )


def of_mean(repeatability: Repeatability, readings: int) -> Component:
    """Repeatability of the mean of so many readings."""
    return _repeated(repeatability, sqrt(1.0 / readings))


def of_next_action(repeatability: Repeatability, readings: int) -> Component:
    """How far the next single action may lie from the mean of so many readings."""
    return _repeated(repeatability, sqrt(1.0 + 1.0 / readings))


def known_of_gauge(gauge: ReferenceGauge, rate: float | None) -> tuple[Component, ...]:
    """The same as :func:`of_gauge`, inside a judgement that catches what is missing."""
    return known(of_gauge(gauge, rate))[0]


def _of_leg(gauge: ReferenceGauge) -> tuple[Component, ...]:
    leg = gauge.water_leg
    if leg is None or leg.height == 0.0:
        return ()
    head = leg.height * PA_PER_M_OF_WATER_LEG
    doubt = ASSUMED_DOUBT_OF_WATER * head + ASSUMED_DOUBT_OF_HEIGHT * PA_PER_M_OF_WATER_LEG
    unsure = leg_shift(Control(water_leg=leg)).spread
    emptied = (_even(Origin.PARTLY_EMPTY_LEG, unsure),) if unsure > 0.0 else ()
    return (_even(Origin.WATER_LEG, doubt), *emptied)


def _even(origin: Origin, half_width: float, sensitivity: float = 1.0) -> Component:
    return Component(
        origin=origin,
        kind=Kind.B,
        shape=Shape.RECTANGULAR,
        half_width=half_width,
        divisor=_ROOT_OF_THREE,
        sensitivity=sensitivity,
    )


def _repeated(repeatability: Repeatability, factor: float) -> Component:
    return Component(
        origin=Origin.REPEATABILITY,
        kind=Kind.A,
        shape=Shape.T,
        half_width=repeatability.standard_deviation,
        divisor=1.0,
        sensitivity=factor,
        degrees_of_freedom=repeatability.degrees_of_freedom,
    )
