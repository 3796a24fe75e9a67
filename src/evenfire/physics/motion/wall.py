"""Heat on its way through the wall of a shell whose inside follows the water: the course in time.

The second opinion on :mod:`evenfire.physics.metal`, which knows only the settled state. It needs no compiler. The wall
is cut into rings, the heat between them is balanced, and the modes in which such a wall settles are stepped exactly
from one sample of the inner temperature to the next; so there is no error of time steps, and long steps are as good as
short ones.
"""

from dataclasses import dataclass
from math import inf, pi
from typing import Final

import numpy as np

from evenfire.errors import ImpossibleValue
from evenfire.physics.metal import Material, Shell, thermal_stress
from evenfire.physics.motion.records import Floats
from evenfire.plant.possible import require_inside
from evenfire.si import Dimension, Quantity

_RINGS: Final = 48
"""The settled difference is then 0.02 % off, and what the first thousandth of a diffusion time makes 0.2 %."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Peak:
    """When the wall stood worst, and how."""

    time: float
    """[s]"""
    difference: float
    """Mean of the wall less inner surface [K]"""
    stress: float
    """At the inner surface, tension positive [Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallRun:
    """What a wall did while its inside followed the water; every array is locked and has shape (rows,)."""

    time: Floats
    """[s]"""
    difference: Floats
    """Mean of the wall less inner surface: negative while it warms [K]"""
    stress: Floats
    """Of temperature alone, hoop and axial, at the inner surface, tension positive [Pa]"""
    warming: Peak
    """The inside most ahead: its largest compression, nought when it never warmed"""
    cooling: Peak
    """The inside most behind: its largest tension, nought when it never cooled"""
    conducted: float
    """Heat that went through the inner surface, for a metre of length [J/m]"""
    stored: float
    """Heat that the wall holds more than at the start [J/m]"""


def run_wall(shell: Shell, material: Material, times: Floats, temperatures: Floats) -> WallRun:
    """Temperature difference and stress in a wall that starts even and whose inner surface follows a given course.

    Parameters
    ----------
    shell
        Outside insulated.
    material
        Its values stand still; take them at the hottest temperature, which errs on the side of more stress.
    times
        Rising, of any spacing, shape (rows,), at least two [s].
    temperatures
        Of the inner surface, shape (rows,) [K]; straight lines join them. The whole wall starts at the first.

    Raises
    ------
    ImpossibleValue
        Other shapes, a value that is not finite, a temperature that is not above absolute zero, or times that do not
        rise.

    Notes
    -----
    rho c dT/dt = (1/r) d(k r dT/dr)/dr. With theta the excess over the inner surface, nought there and without flux
    outside, theta' = A theta - T_inner'. In terms of theta x root of a ring's area A is symmetric and falls into modes,
    each z' = -lambda z - w T_inner', solved for a constant T_inner'. Differences are told at the samples only.

    Examples
    --------
    40 mm of steel on a large radius warmed by 60 K in an hour lags by a third of 0.01667 x 0.0016 / 1.2e-5 K = 0.74 K.

    >>> steel = Material(
    ...     elasticity=2e11, poisson=0.3, expansion=1.2e-5, conductivity=48.0, density=8000.0, heat_capacity=500.0
    ... )
    >>> told = run_wall(
    ...     Shell(inner_radius=40.0, wall=0.04), steel, np.array([0.0, 3600.0]), np.array([300.0, 360.0])
    ... )
    >>> round(told.warming.difference, 2), round(told.warming.stress / 1e6, 1)
    (-0.74, -2.5)
    """
    _require_course(times, temperatures)
    modes = _modes(shell, material)
    # A copy, so that locking the result does not lock what the caller gave.
    time = np.array(times, dtype=np.float64)
    inner = np.array(temperatures, dtype=np.float64)
    states = _stepped(modes, time, inner)
    difference = states @ modes.mean
    stress = difference * thermal_stress(1.0, material)
    for told in (time, difference, stress):
        told.flags.writeable = False
    heat = _heat(modes, inner, states[-1])
    warming, cooling = int(difference.argmin()), int(difference.argmax())
    return WallRun(
        time=time,
        difference=difference,
        stress=stress,
        warming=_peak(time, difference, stress, warming),
        cooling=_peak(time, difference, stress, cooling),
        conducted=heat[0],
        stored=heat[1],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Modes:
    """How a wall settles; arrays of shape (modes,)."""

    rate: Floats
    """Of settling [1/s]"""
    push: Floats
    """Of a mode by a rise of the inner surface, with the sign of the fall behind [m]"""
    mean: Floats
    """Share of a mode in the mean of the wall [1/m]"""
    flux: Floats
    """Heat that goes out through the inner surface for a mode [W/m2]"""
    heat_capacity: float
    """Of the wall, for a metre of length [J/(m K)]"""


def _modes(shell: Shell, material: Material) -> _Modes:
    radii = shell.inner_radius + shell.wall * np.linspace(0.0, 1.0, _RINGS + 1)
    # Differences of squares would lose digits where the wall is thin.
    middles, width = (radii[1:] + radii[:-1]) / 2, shell.wall / _RINGS
    areas = 2 * pi * middles * width
    inner = 2 * pi * radii[0] / (width / 2)
    between = 2 * pi * radii[1:-1] / width
    passing = np.zeros((_RINGS, _RINGS))
    places = np.arange(_RINGS - 1)
    passing[places, places + 1] = passing[places + 1, places] = -between
    passing[np.arange(_RINGS), np.arange(_RINGS)] = np.append(between, 0.0) + np.append(inner, between)
    roots = np.sqrt(areas)
    rates, shapes = np.linalg.eigh(passing / np.outer(roots, roots))
    weights = roots @ shapes
    return _Modes(
        rate=material.diffusivity * rates,
        push=weights,
        mean=weights / areas.sum(),
        flux=material.conductivity * inner * shapes[0] / roots[0],
        heat_capacity=float(material.density * material.heat_capacity * areas.sum()),
    )


def _stepped(modes: _Modes, time: Floats, inner: Floats) -> Floats:
    """Every mode at every sample, shape (rows, modes)."""
    states = np.zeros((time.size, _RINGS))
    steps, rises = np.diff(time), np.diff(inner)
    for row, (step, rise) in enumerate(zip(steps, rises, strict=True)):
        decay = np.expm1(-modes.rate * step)
        states[row + 1] = states[row] * (1 + decay) + modes.push * decay * (rise / step) / modes.rate
    return states


def _heat(modes: _Modes, inner: Floats, last: Floats) -> tuple[float, float]:
    """Heat conducted in through the inner surface, and heat stored [J/m].

    A mode's sum over time follows from its balance: z_end = -lambda (sum of z) - w (rise of the inner surface). The one
    is taken at the surface and the other from the mean, so that they agree only if no ring loses heat to nowhere.
    """
    rise = float(inner[-1] - inner[0])
    sums = -(last + modes.push * rise) / modes.rate
    return float(-(sums @ modes.flux)), modes.heat_capacity * (rise + float(last @ modes.mean))


def _peak(time: Floats, difference: Floats, stress: Floats, row: int) -> Peak:
    return Peak(time=float(time[row]), difference=float(difference[row]), stress=float(stress[row]))


def _require_course(times: Floats, temperatures: Floats) -> None:
    """Raise :class:`ImpossibleValue` unless this is a course of temperature over time."""
    if times.ndim != 1 or times.size < 2:
        _refuse("times: how many", times.size, "a row of at least", 2.0)
    if temperatures.shape != times.shape:
        _refuse("temperatures of the inner surface: how many", temperatures.size, "as many as times,", times.size)
    for time in times[~np.isfinite(times)]:
        require_inside("time", float(time), -inf, inf, Dimension.TIME)
    for temperature in temperatures[~(np.isfinite(temperatures) & (temperatures > 0.0))]:
        require_inside("temperature of the inner surface", float(temperature), 0.0, inf, Dimension.TEMPERATURE)
    for step in np.diff(times)[np.diff(times) <= 0.0]:
        require_inside("time from one sample to the next", float(step), 0.0, inf, Dimension.TIME)


def _refuse(field: str, found: float, must_be: str, limit: float) -> None:
    raise ImpossibleValue(
        field=field,
        found=Quantity(found, Dimension.NUMBER),
        must_be=must_be,
        limit=Quantity(limit, Dimension.NUMBER),
    )
