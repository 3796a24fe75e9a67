"""Metal of a boiler that is warmed: how far the inner surface of a thick shell runs ahead, and what it does to it.

Signs: a temperature difference is *mean of the wall less inner surface*, so it is negative while the boiler warms, and
a stress is positive in tension, so a warm-up presses the inner surface and a cool-down pulls at it. It is the stress of
the temperature alone, in a smooth shell. The stress of the pressure stands beside it; at the edge of a hole for a pipe
both are larger.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import inf, log
from typing import Final

from evenfire.plant.possible import require_between, require_inside, require_positive
from evenfire.si import ZERO_CELSIUS_K, Dimension

PLANE_WALL_SHAPE: Final = -1 / 3
"""Shape factor of a wall without curvature [1]."""
ASSUMED_LARGEST_RADIUS_RATIO: Final = 3.0
"""Outer over inner radius [1]. No drum or shell comes near it: more is a slip, such as a diameter over a radius."""
ASSUMED_STEEL_POISSON: Final = 0.30
"""The figure that books use for every steel; 0.27 to 0.30 is measured [1]."""
COLDEST_STEEL: Final = ZERO_CELSIUS_K + 20
"""The formulas of steel begin here [K]."""
HOTTEST_STEEL: Final = ZERO_CELSIUS_K + 350
"""The table of elasticity of steel is kept up to here, the saturation temperature of 165 bar [K]."""
_STEEL_ELASTICITY: Final = ((20.0, 202e9), (100.0, 198e9), (200.0, 192e9), (300.0, 185e9), (350.0, 179e9))
"""Celsius and Pa: carbon steel with at most 0.30 % carbon, ASME-II-D table TM-1, from memory."""
_STEEL_DENSITY: Final = 7850.0
"""[kg/m3], EN-1993-1-2, from memory."""
_SERIES_UP_TO: Final = 0.25
"""Above this wall over inner radius the closed form keeps all its digits, below the series does [1]."""
_SERIES_ENDS_AT: Final = 1e-18


@dataclass(frozen=True, slots=True, kw_only=True)
class Shell:
    """A cylindrical wall whose inside follows the water and whose outside is insulated."""

    inner_radius: float
    """[m]"""
    wall: float
    """Thickness [m]"""

    def __post_init__(self) -> None:
        require_inside("shell: inner radius", self.inner_radius, 0.0, inf, Dimension.LENGTH)
        thickest = (ASSUMED_LARGEST_RADIUS_RATIO - 1) * self.inner_radius
        require_inside("shell: wall", self.wall, 0.0, thickest, Dimension.LENGTH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A metal at one temperature."""

    elasticity: float
    """Young's modulus [Pa]"""
    poisson: float
    """Poisson's ratio [1]"""
    expansion: float
    """Linear expansion at this temperature, not the mean from cold [1/K]"""
    conductivity: float
    """[W/(m K)]"""
    density: float
    """[kg/m3]"""
    heat_capacity: float
    """[J/(kg K)]"""

    def __post_init__(self) -> None:
        require_positive("material: elasticity", self.elasticity, Dimension.PRESSURE_DIFFERENCE)
        require_inside("material: poisson", self.poisson, 0.0, 0.5, Dimension.NUMBER)
        for name in ("expansion", "conductivity", "density", "heat_capacity"):
            require_positive(f"material: {name}", getattr(self, name), Dimension.NUMBER)

    @property
    def diffusivity(self) -> float:
        """Of temperature [m2/s]."""
        return self.conductivity / (self.density * self.heat_capacity)


def carbon_steel(temperature: float) -> Material:
    """Carbon steel at a temperature.

    Parameters
    ----------
    temperature
        From 20 to 350 C [K]. Take the hottest of the warm-up: the hotter the steel, the larger the stress at one rate.

    Raises
    ------
    ImpossibleValue
        A temperature outside that range.

    Notes
    -----
    With t in Celsius: conductivity 54 - 0.0333 t, heat capacity 425 + 0.773 t - 1.69e-3 t2 + 2.22e-6 t3, expansion
    1.2e-5 + 0.8e-8 t (the slope of the elongation), and elasticity by straight lines between the rows of its table.
    Steels differ: manganese conducts a fifth worse, very soft steel a tenth better.

    References
    ----------
    EN-1993-1-2, clause 3.4.1; ASME-II-D, table TM-1; both from memory.

    Examples
    --------
    At 200 C: 54 - 6.7 = 47.3 W/(m K); 425 + 154.6 - 67.6 + 17.8 = 529.8 J/(kg K).

    >>> steel = carbon_steel(473.15)
    >>> round(steel.conductivity, 1), round(steel.heat_capacity, 1), round(steel.elasticity / 1e9)
    (47.3, 529.8, 192)
    """
    require_between("temperature of steel", temperature, COLDEST_STEEL, HOTTEST_STEEL, Dimension.TEMPERATURE)
    celsius = temperature - ZERO_CELSIUS_K
    return Material(
        elasticity=_steel_elasticity(celsius),
        poisson=ASSUMED_STEEL_POISSON,
        expansion=1.2e-5 + 0.8e-8 * celsius,
        conductivity=54 - 0.0333 * celsius,
        density=_STEEL_DENSITY,
        heat_capacity=425 + celsius * (0.773 + celsius * (-1.69e-3 + celsius * 2.22e-6)),
    )


def shape_factor(radius_ratio: float) -> float:
    """Temperature of the mean wall less the inner surface, in units of rate x wall^2 / diffusivity [1].

    Parameters
    ----------
    radius_ratio
        Outer over inner radius u, above 1 and below 3 [1].

    Raises
    ------
    ImpossibleValue
        A ratio outside that range.

    Notes
    -----
    When every point of the wall has come to rise at one rate v, (1/r) d(r dT/dr)/dr = v/a with dT/dr = 0 outside, so
    T - T_inner = v/(2 a) [(r^2 - r_i^2)/2 - r_o^2 ln(r/r_i)]. Its mean over the cross section gives

        phi = [(u^2 - 1)(3 u^2 - 1) - 4 u^4 ln u] / [8 (u^2 - 1)(u - 1)^2].

    For thin walls the terms cancel. With e = u - 1 the same is

        phi = -[2/3 (1 + e) + 12 e^2 (1/5! - e 1!/6! + e^2 2!/7! - ...)] / (2 + e),

    which is -1/3, the plane wall, for e = 0.

    References
    ----------
    TRD-301 and EN-12952-3, thermal stress of drums; both from memory.

    Examples
    --------
    The book's curve starts at the plane wall's third and reaches 0.365 where the wall is a fifth of the radius.

    >>> round(shape_factor(1.000001), 6), round(shape_factor(1.2), 6)
    (-0.333333, -0.365397)
    """
    require_inside("outer over inner radius", radius_ratio, 1.0, ASSUMED_LARGEST_RADIUS_RATIO, Dimension.NUMBER)
    return _shape(radius_ratio - 1)


def wall_difference(shell: Shell, *, rate: float, diffusivity: float) -> float:
    """Mean temperature of the wall less that of its inner surface, once a steady rate has settled [K].

    Parameters
    ----------
    shell
        Inside at the temperature of the water, outside insulated.
    rate
        Rise of the inner surface [K/s]; negative cools.
    diffusivity
        Of the metal [m2/s].

    Raises
    ------
    ImpossibleValue
        A rate that is not finite or a diffusivity that is not above zero.

    Notes
    -----
    shape factor x rate x wall^2 / diffusivity. It is reached within 1 % after two of :func:`diffusion_time` (three
    where the wall is as thick as the radius), and no warm-up from an even temperature that keeps below this rate
    exceeds it on the way.

    References
    ----------
    TRD-301; EN-12952-3; both from memory.

    Examples
    --------
    A drum of 600 mm inner radius and 40 mm wall that warms by 60 K an hour, a little more than a plane wall's
    0.01667 x 0.0016 / (3 x 1.2e-5) = 0.74 K.

    >>> drum = Shell(inner_radius=0.6, wall=0.04)
    >>> round(wall_difference(drum, rate=60 / 3600, diffusivity=1.2e-5), 2)
    -0.77
    """
    require_between("rate", rate, -inf, inf, Dimension.TEMPERATURE_RATE)
    require_positive("diffusivity", diffusivity, Dimension.NUMBER)
    return _shape(shell.wall / shell.inner_radius) * rate * shell.wall**2 / diffusivity


def diffusion_time(shell: Shell, *, diffusivity: float) -> float:
    """Time in which heat finds its way through the wall, wall^2 / diffusivity [s].

    Parameters
    ----------
    shell
        The wall.
    diffusivity
        Of the metal [m2/s].

    Raises
    ------
    ImpossibleValue
        A diffusivity that is not above zero.

    Examples
    --------
    40 mm of steel: 0.0016 / 1.2e-5, a little over two minutes.

    >>> round(diffusion_time(Shell(inner_radius=0.6, wall=0.04), diffusivity=1.2e-5))
    133
    """
    require_positive("diffusivity", diffusivity, Dimension.NUMBER)
    return shell.wall**2 / diffusivity


def thermal_stress(difference: float, material: Material) -> float:
    """Hoop and axial stress at the inner surface of a long shell [Pa], tension positive.

    Parameters
    ----------
    difference
        Mean of the wall less its inner surface [K].
    material
        The metal.

    Raises
    ------
    ImpossibleValue
        A difference that is not finite.

    Notes
    -----
    The wall as a whole stretches with its mean temperature; the surface is held to that in two directions and yields
    freely in the third: sigma = alpha E / (1 - nu) x (T_mean - T_surface). In a cylinder with free ends this is exact
    for any course of temperature through the wall.

    References
    ----------
    Thermal stress of a long cylinder: TIMOSHENKO-GOODIER, from memory.

    Examples
    --------
    10 K behind, with 12e-6 x 200e9 / 0.7 = 3.43 MPa/K: the inside is pressed with 34 MPa.

    >>> from dataclasses import replace
    >>> steel = replace(carbon_steel(373.15), elasticity=200e9, expansion=12e-6, poisson=0.3)
    >>> round(thermal_stress(-10.0, steel) / 1e6, 1)
    -34.3
    """
    require_between("temperature difference", difference, -inf, inf, Dimension.TEMPERATURE_DIFFERENCE)
    return material.expansion * material.elasticity / (1 - material.poisson) * difference


def linear_gradient_stress(difference: float, material: Material) -> float:
    """Stress at the inner surface of a thin wall through which temperature runs in a straight line [Pa].

    Parameters
    ----------
    difference
        Outer less inner surface [K]: negative presses the inside.
    material
        The metal.

    Raises
    ------
    ImpossibleValue
        A difference that is not finite.

    Notes
    -----
    The mean stands half way: alpha E difference / (2 (1 - nu)); the outer surface has the same with the other sign.

    References
    ----------
    JAWAD-FARR, problem 5.15.

    Examples
    --------
    300 F through a wall of E = 27e6 psi, 9.5e-6 / F, nu = 0.28: 27 x 9.5 x 300 / 1.44 = 53,438 psi.

    >>> from dataclasses import replace
    >>> from evenfire.si import PA_PER_PSI
    >>> steel = replace(carbon_steel(373.15), elasticity=27e6 * PA_PER_PSI, expansion=9.5e-6 * 1.8, poisson=0.28)
    >>> round(linear_gradient_stress(300 / 1.8, steel) / PA_PER_PSI, -1)
    53440.0
    """
    return thermal_stress(difference / 2, material)


def _shape(thinness: float) -> float:
    """Shape factor for wall over inner radius [1]."""
    if thinness <= _SERIES_UP_TO:
        return -(2 / 3 * (1 + thinness) + 12 * thinness**2 * _curvature(thinness)) / (2 + thinness)
    squared = (1 + thinness) ** 2
    above = (squared - 1) * (3 * squared - 1) - 4 * squared**2 * log(1 + thinness)
    return above / (8 * (squared - 1) * thinness**2)


def _curvature(thinness: float) -> float:
    """Sum of (-e)^j j!/(j + 5)! [1]."""
    term, total, place = 1 / 120, 0.0, 0
    while abs(term) > _SERIES_ENDS_AT:
        total += term
        place += 1
        term *= -thinness * place / (place + 5)
    return total


def _steel_elasticity(celsius: float) -> float:
    """Straight lines between the rows of the table [Pa]."""
    for (cooler, stiffer), (warmer, softer) in pairwise(_STEEL_ELASTICITY):
        if celsius <= warmer:
            return stiffer + (softer - stiffer) * (celsius - cooler) / (warmer - cooler)
    return _STEEL_ELASTICITY[-1][1]
