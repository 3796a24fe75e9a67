"""What crosses the boundary of the boiler at one moment: the right-hand side of its two balances."""

from math import exp, isfinite, sqrt
from typing import Final, NamedTuple

from evenfire.physics.compiled import part
from evenfire.physics.motion.contents import storage
from evenfire.physics.motion.model import (
    DRAW_EXCHANGER,
    DRAW_GIVEN,
    DRAW_VALVE,
    FEED_HELD,
    FEED_MODULATING,
    Model,
)
from evenfire.physics.motion.records import Record
from evenfire.physics.motion.water import (
    EXCHANGE_ENERGY,
    LIQUID_DENSITY,
    LIQUID_ENERGY,
    STEAM_DENSITY,
    STEAM_ENTHALPY,
    TEMPERATURE,
    Table,
    at,
    interval,
    slope,
)

ASSUMED_FADING: Final = 2000.0
"""A drawn mass flow dies out over this much gauge pressure: it ends when pressure does, and not by a jump [Pa]."""
_LEVEL_TIME: Final = 60.0
"""In which a held level comes back [s]."""
_CRITICAL_RATIO: Final = 0.577
"""Back pressure over pressure below which saturated steam chokes; from memory [1]."""


class Course(Record):
    """What holds during one step, as values at its begin and slopes."""

    tracks: bool
    """The drive follows the firing-rate control without falling behind"""
    flame: float
    """Share of full fire [1]"""
    flame_slope: float
    """[1/s]"""
    position: float
    """[1]"""
    position_slope: float
    """[1/s]"""
    purge: float
    """Heat to purge air per temperature above the room [W/K]"""
    purge_slope: float
    """[W/(K s)]"""
    draw: float
    """[kg/s]"""
    draw_slope: float
    """[kg/s2]"""
    heat: float
    """[W]"""
    heat_slope: float
    """[W/s]"""
    feed: float
    """Pumped or given [kg/s]"""
    feed_slope: float
    """[kg/s2]"""
    feed_fails: bool
    relief: float
    """Flow per pressure through lifted safety valves [kg/(s Pa)]"""
    ends: float
    """When it holds no longer [s]"""
    chases: float
    """Sign of the gap that the drive is closing on a moving demand; nought when it does not [1]"""
    arrives_at: float
    """Where the drive is bound, not a number when nowhere [1]"""


class Moment(NamedTuple):
    """The boiler within a step."""

    elapsed: float
    """Since the step began [s]"""
    is_vented: bool
    mass: float
    """[kg]"""
    pressure: float
    """At which the water boils; closed, that of the boiler [Pa abs]"""
    flame: float
    """Share of full fire [1]"""
    on_the_way: float
    """[J]"""


class Rates(NamedTuple):
    """Every flow across the boundary."""

    heat: float
    """From flame, and given beside it [W]"""
    steam: float
    """Drawn [kg/s]"""
    relieved: float
    """[kg/s]"""
    feed: float
    """[kg/s]"""
    steam_energy: float
    """[W]"""
    lost: float
    """[W]"""
    purged: float
    """[W]"""
    mass: float
    """Of the contents [kg/s]"""
    energy: float
    """Of the contents, but for the burner's heat [W]"""


@part
def drawn_steam(model: Model, pressure: float, flow: float) -> float:
    """Steam that is drawn at this pressure, of a flow stated for the reference pressure [kg/s].

    A mass flow stands still until pressure ends. A choked valve passes in proportion to absolute pressure, and below
    choking after the ellipse law. A heat exchanger takes heat in proportion to the steam temperature above its cold
    side. None draws at or below the pressure of the air.
    """
    users, ambient = model.users, model.vessel.ambient
    if users.kind == DRAW_GIVEN:
        return flow
    if pressure <= ambient or flow <= 0.0:
        return 0.0
    share = _fading(pressure - ambient) / _fading(users.reference - ambient)
    if users.kind == DRAW_VALVE:
        share *= _through_valve(pressure, ambient) / _through_valve(users.reference, ambient)
    elif users.kind == DRAW_EXCHANGER:
        share *= _condensed(model, pressure) / _condensed(model, users.reference)
    return flow * share


@part
def _fading(gauge: float) -> float:
    return 1.0 - exp(-gauge / ASSUMED_FADING)


@part
def _through_valve(pressure: float, back: float) -> float:
    """Flow through a valve, in proportion: choked, it follows the pressure alone [Pa]."""
    ratio = back / pressure
    if ratio <= _CRITICAL_RATIO:
        return pressure
    beyond = (ratio - _CRITICAL_RATIO) / (1.0 - _CRITICAL_RATIO)
    return pressure * sqrt(max(0.0, 1.0 - beyond * beyond))


@part
def _condensed(model: Model, pressure: float) -> float:
    """Steam that a heat exchanger condenses, in proportion [K kg/J]."""
    index, share = interval(pressure)
    warm = at(model.water, index, share, TEMPERATURE) - model.users.cold_side
    return max(0.0, warm) / _evaporation(model.water, index, share, pressure)


@part
def _evaporation(water: Table, index: int, share: float, pressure: float) -> float:
    liquid = at(water, index, share, LIQUID_ENERGY) + pressure / at(water, index, share, LIQUID_DENSITY)
    return at(water, index, share, STEAM_ENTHALPY) - liquid


@part
def feed_flow(model: Model, course: Course, elapsed: float, volume: float, held: float) -> float:
    """Feedwater [kg/s]; ``volume`` is the water [m3], ``held`` what would keep it [kg/s]."""
    if course.feed_fails:
        return 0.0
    if model.feed.kind == FEED_HELD:
        return max(0.0, held)
    if model.feed.kind == FEED_MODULATING:
        opening = (model.feed.high - volume) / (model.feed.high - model.feed.low)
        return model.feed.capacity * min(max(opening, 0.0), 1.0)
    return course.feed + course.feed_slope * elapsed


@part
def rates(model: Model, course: Course, moment: Moment) -> Rates:
    """Every flow at one moment of a step."""
    vessel, water = model.vessel, model.water
    mass, pressure, elapsed = moment.mass, moment.pressure, moment.elapsed
    index, share = interval(pressure)
    above_room = at(water, index, share, TEMPERATURE) - vessel.room_temperature
    given = course.heat + course.heat_slope * elapsed
    lost = vessel.loss_conductance * above_room
    purged = (course.purge + course.purge_slope * elapsed) * max(0.0, above_room)
    steam, relieved = 0.0, 0.0
    if not moment.is_vented:
        steam = drawn_steam(model, pressure, course.draw + course.draw_slope * elapsed)
        relieved = course.relief * pressure
    enthalpy = at(water, index, share, STEAM_ENTHALPY)
    out = steam + relieved
    liquid = at(water, index, share, LIQUID_DENSITY)
    vapour = at(water, index, share, STEAM_DENSITY)
    volume = mass / liquid if moment.is_vented else (mass - vapour * vessel.volume) / (liquid - vapour)
    held = 0.0
    if model.feed.kind == FEED_HELD:
        held = out
        if not moment.is_vented:
            held = _keeping(model, moment, volume, given + arrives(model, moment) - lost - purged, out)
    feed = feed_flow(model, course, elapsed, volume, held)
    steam_energy = out * enthalpy
    return Rates(
        given + model.burner.full_heat * moment.flame,
        steam,
        relieved,
        feed,
        steam_energy,
        lost,
        purged,
        feed - out,
        given + feed * vessel.feed_enthalpy - steam_energy - lost - purged,
    )


@part
def arrives(model: Model, moment: Moment) -> float:
    """Heat of the burner that reaches the water now [W]."""
    if model.burner.heat_lag > 0.0:
        return moment.on_the_way / model.burner.heat_lag
    return model.burner.full_heat * moment.flame


@part
def _keeping(model: Model, moment: Moment, volume: float, heat: float, out: float) -> float:
    """Feed that keeps the water volume, midway between low and high, while pressure moves [kg/s].

    With the volume fixed, M' = m1 p' where m1 = V_w rho_w' + V_s rho_s'; p' = (heat + feed (h_f - e) -
    out (h_s - e)) / C. Both are linear in the feed.
    """
    vessel, water = model.vessel, model.water
    index, share = interval(moment.pressure)
    swelling = (
        volume * slope(water, index, share, LIQUID_DENSITY)
        + (vessel.volume - volume) * slope(water, index, share, STEAM_DENSITY)
    ) / moment.pressure
    stored = storage(model, moment.mass, moment.pressure)
    carried = at(water, index, share, EXCHANGE_ENERGY)
    unfed = (heat - out * (at(water, index, share, STEAM_ENTHALPY) - carried)) / stored
    per_feed = (vessel.feed_enthalpy - carried) / stored
    # Water that swelled while nothing could be let out is worked off again.
    wanted = 0.5 * (model.feed.low + model.feed.high)
    back = (wanted - volume) * at(water, index, share, LIQUID_DENSITY) / _LEVEL_TIME if isfinite(wanted) else 0.0
    return (out + swelling * unfed + back) / (1.0 - swelling * per_feed)


@part
def pressure_rate(model: Model, moment: Moment, now: Rates) -> float:
    """How fast the boiler's pressure rises [Pa/s]; a vented boiler stands at the pressure of the air.

    What reaches the contents beyond the energy e that the change of mass carries at constant pressure, over storage.
    """
    if moment.is_vented:
        return 0.0
    index, share = interval(moment.pressure)
    carried = at(model.water, index, share, EXCHANGE_ENERGY)
    stored = storage(model, moment.mass, moment.pressure)
    return (now.energy + arrives(model, moment) - carried * now.mass) / stored
