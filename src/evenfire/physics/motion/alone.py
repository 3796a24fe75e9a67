"""The vessel alone, with neither burner nor controls: heat, feed and steam go in, a trajectory comes out.

Any vessel of water and steam in equilibrium, from a heating boiler to a power station's drum; it runs in the same loop
as a whole boiler.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np

from evenfire.errors import ImpossibleValue
from evenfire.physics.compiled import compiled
from evenfire.physics.motion.model import (
    DRAW_GIVEN,
    DRAW_VALVE,
    FEED_GIVEN,
    RATE_NONE,
    Model,
    Profile,
    steady,
    undisturbed,
)
from evenfire.physics.motion.records import Floats, new
from evenfire.physics.motion.run import Closure, Run, run
from evenfire.physics.motion.sound import LONGEST_RUN, MOST_ROWS
from evenfire.physics.motion.starting import at_pressure
from evenfire.physics.motion.water import (
    LIQUID_DENSITY,
    STEAM_DENSITY,
    TEMPERATURE,
    Table,
    at,
    interval,
    water_table,
)
from evenfire.physics.steam import HIGHEST_PRESSURE, LOWEST_PRESSURE
from evenfire.physics.vessel import Vessel
from evenfire.plant.possible import require_between, require_inside, require_positive
from evenfire.si import STANDARD_ATMOSPHERE_PA, AbsPa, Dimension, Quantity

_ROUNDING: Final = 1e-9

Given = float | Floats | Callable[[float], float]
"""A quantity over time: one number that stands still, samples that a straight line joins, or a function of time [s]
that is sampled on the same grid."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SteamValve:
    """A valve that stands still while pressure moves: in proportion to absolute pressure while it chokes."""

    flow: float
    """At the reference pressure [kg/s]"""
    reference: AbsPa
    """[Pa abs]"""
    back_pressure: AbsPa
    """Of what it blows into: the air, a condenser, a header of lower pressure [Pa abs]"""

    def __post_init__(self) -> None:
        pressure = Dimension.ABSOLUTE_PRESSURE
        _require_flow("steam valve: flow", self.flow)
        require_between("steam valve: reference", self.reference, LOWEST_PRESSURE, HIGHEST_PRESSURE, pressure)
        behind = "steam valve: back pressure"
        require_between(behind, self.back_pressure, LOWEST_PRESSURE, HIGHEST_PRESSURE, pressure)
        require_inside(behind, self.back_pressure, 0.0, self.reference, pressure)


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselRun:
    """What a vessel did, on a grid of equal steps; every array is locked and has shape (rows,)."""

    time: Floats
    """[s]"""
    pressure: Floats
    """[Pa abs]"""
    temperature: Floats
    """[K]"""
    water_volume: Floats
    """[m3]"""
    mass: Floats
    """Water and steam [kg]"""
    heat: Floats
    """[W]"""
    feed: Floats
    """[kg/s]"""
    steam: Floats
    """[kg/s]"""
    closure: Closure
    identity: str
    """Hash of everything that the run follows from, with the version of the physics"""


def run_vessel(
    vessel: Vessel,
    pressure: AbsPa,
    *,
    heat: Given,
    feed: Given,
    steam: Given | SteamValve,
    feed_enthalpy: float,
    duration: float,
    interval: float,
) -> VesselRun:
    """What pressure and water do in a vessel under a given heat, feed and draw of steam.

    Parameters
    ----------
    vessel
        With the volumes that it has at ``pressure``.
    pressure
        At the start, from 0.62 kPa to 16.5 MPa [Pa abs].
    heat
        To the water, standing loss already taken off [W]; negative cools. A number, samples of shape (rows,), or a
        function of time [s].
    feed
        Water pumped in, likewise [kg/s].
    steam
        Saturated steam drawn, likewise [kg/s]; or a :class:`SteamValve`, whose flow follows the pressure.
    feed_enthalpy
        [J/kg]
    duration
        A whole number of intervals [s].
    interval
        Of the samples and of the result [s]. There are duration/interval + 1 rows, one for each end of an interval.

    Raises
    ------
    ImpossibleValue
        Samples of another number than rows, a sample that is not finite, a flow below nought, a duration that is no
        whole number of intervals, or any other value that cannot be.
    Diverged
        The vessel ran dry, filled up or left the range of steam; with the time and the state that it reached.

    Notes
    -----
    The two balances of :mod:`evenfire.physics.vessel`, whole, with an error of pressure of 0.05 Pa allowed in one
    step. Between two samples a quantity runs in a straight line, so a jump takes one interval. The choked valve passes
    in proportion to absolute pressure; where the back pressure is above 0.577 of the pressure it follows the ellipse
    law. Water and metal are as warm as the steam.

    References
    ----------
    ASTROM-BELL, global mass and energy balance.

    Examples
    --------
    A megawatt for a minute into a closed vessel with 1 m3 of water at 8 bar. By steam table and slide rule: 897 kg of
    water at 4.39 kJ/(kg K) take 3.94 MJ/K, a ton of steel 0.48, and denser steam for half a cubic metre, 0.053 kg/K of
    it to be evaporated at 2.0 MJ/kg, 0.11. So 60 MJ at 4.53 MJ/K make 13.2 or 13.3 K; from 170.4 to 183.7 C the
    pressure of saturated steam rises to 10.9 bar.

    >>> kettle = Vessel(water_volume=1.0, steam_volume=0.5, metal_mass=1000.0, metal_heat_capacity=480.0)
    >>> told = run_vessel(
    ...     kettle, AbsPa(8e5), heat=1e6, feed=0.0, steam=0.0, feed_enthalpy=4.2e5, duration=60.0, interval=1.0
    ... )
    >>> round(float(told.temperature[-1] - told.temperature[0]), 1)
    13.3
    >>> round(float(told.pressure[-1]) / 1e5, 1)
    10.9
    """
    times = _grid(duration, interval)
    require_between("pressure", pressure, LOWEST_PRESSURE, HIGHEST_PRESSURE, Dimension.ABSOLUTE_PRESSURE)
    model = _model(vessel, feed_enthalpy)
    inputs = undisturbed(_draw(model, steam, times))._replace(
        heat=_profile("heat", heat, times, Dimension.POWER), given_feed=_flow_profile("feed", feed, times)
    )
    first = at_pressure(model, pressure, vessel.water_volume)
    return _told(model, run(model, inputs, first, duration=float(times[-1]), interval=float(interval)), times)


def _grid(duration: float, interval: float) -> Floats:
    """Times of the rows [s]."""
    require_positive("duration", duration, Dimension.TIME)
    require_between("duration", duration, 0.0, 0.999 * LONGEST_RUN, Dimension.TIME)
    require_positive("interval", interval, Dimension.TIME)
    require_between("interval", interval, duration / (0.999 * MOST_ROWS), duration, Dimension.TIME)
    count = round(duration / interval)
    if abs(count * interval - duration) > _ROUNDING * duration:
        found, limit = Quantity(duration, Dimension.TIME), Quantity(interval, Dimension.TIME)
        raise ImpossibleValue(field="duration", found=found, must_be="a whole number of intervals of", limit=limit)
    return np.arange(float(count + 1)) * interval


def _model(vessel: Vessel, feed_enthalpy: float) -> Model:
    """The vessel without a burner and with nothing that could act."""
    model = new(Model)
    model.water[:] = water_table()
    model.vessel.volume, model.vessel.metal_heat = vessel.volume, vessel.metal_heat
    model.vessel.ambient, model.vessel.feed_enthalpy = STANDARD_ATMOSPHERE_PA, feed_enthalpy
    # It loses nothing to the room, but a room there must be.
    model.vessel.room_temperature = 293.15
    model.burner.lowest, model.burner.cap, model.burner.rate_action = 1.0, 1.0, RATE_NONE
    controls, levels = model.controls, model.feed
    controls.cut_out = controls.cut_in = controls.trip = controls.remakes = inf
    controls.high_fire = controls.low_fire = inf
    controls.takes_hold = controls.lets_go = -inf
    levels.kind = FEED_GIVEN
    levels.low = levels.high = levels.cutoff = levels.restored = -inf
    return model


def _draw(model: Model, steam: Given | SteamValve, times: Floats) -> Profile:
    """Steam drawn, its users written into the model."""
    if not isinstance(steam, SteamValve):
        model.users.kind = DRAW_GIVEN
        return _flow_profile("steam", steam, times)
    model.users.kind, model.users.reference = DRAW_VALVE, steam.reference
    model.vessel.ambient = steam.back_pressure
    return steady(steam.flow)


def _flow_profile(name: str, given: Given, times: Floats) -> Profile:
    profile = _profile(name, given, times, Dimension.MASS_FLOW)
    # Straight lines between samples that are none below nought stay above it too.
    for value in profile.pieces[:, 1]:
        _require_flow(name, float(value))
    return profile


def _require_flow(name: str, flow: float) -> None:
    # The loop's own limit of a feed, far above any boiler's.
    require_between(name, flow, 0.0, 1e5, Dimension.MASS_FLOW)


def _profile(name: str, given: Given, times: Floats, dimension: Dimension) -> Profile:
    """Straight pieces between samples; those that go on as they did are one."""
    samples = _samples(name, given, times)
    if not np.isfinite(samples).all():
        place = int(np.argmin(np.isfinite(samples)))
        found = Quantity(float(samples[place]), dimension)
        raise ImpossibleValue(field=f"{name}: sample {place}", found=found, must_be="a finite number")
    slopes = np.append(np.diff(samples) / np.diff(times), 0.0)
    bends = np.append(True, slopes[1:] != slopes[:-1])
    return Profile(np.column_stack([times, samples, slopes])[bends], inf)


def _samples(name: str, given: Given, times: Floats) -> Floats:
    """One value for each row."""
    if callable(given):
        return np.array([float(given(float(time))) for time in times])
    samples = np.asarray(given, dtype=np.float64)
    if samples.ndim == 0:
        return np.full(len(times), float(samples))
    if samples.shape != times.shape:
        found, rows = Quantity(float(samples.size), Dimension.NUMBER), Quantity(float(len(times)), Dimension.NUMBER)
        raise ImpossibleValue(field=f"{name}: samples in one row", found=found, must_be="exactly", limit=rows)
    return samples


def _told(model: Model, ran: Run, times: Floats) -> VesselRun:
    series = ran.series
    pressure = series.pressure + model.vessel.ambient
    mass, temperature = np.empty_like(pressure), np.empty_like(pressure)
    _weigh(model.water, model.vessel.volume, pressure, series.water_volume, mass, temperature)
    for column in (times, pressure, mass, temperature):
        column.flags.writeable = False
    return VesselRun(
        time=times,
        pressure=pressure,
        temperature=temperature,
        water_volume=series.water_volume,
        mass=mass,
        heat=series.heat,
        feed=series.feed,
        steam=series.steam,
        closure=ran.closure,
        identity=ran.identity,
    )


@compiled
def _weigh(water: Table, volume: float, pressure: Floats, liquid: Floats, mass: Floats, temperature: Floats) -> None:
    """Write mass [kg] and temperature [K] for each pressure [Pa abs] and volume of its liquid [m3]."""
    for row in range(len(pressure)):
        index, share = interval(pressure[row])
        steam = at(water, index, share, STEAM_DENSITY) * (volume - liquid[row])
        mass[row] = at(water, index, share, LIQUID_DENSITY) * liquid[row] + steam
        temperature[row] = at(water, index, share, TEMPERATURE)
