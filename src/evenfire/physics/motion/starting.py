"""States to start a run from."""

from math import inf

from evenfire.physics import control_logic
from evenfire.physics.compiled import plain
from evenfire.physics.motion.contents import closed_energy, closed_mass
from evenfire.physics.motion.model import OFF, RELEASED, Model
from evenfire.physics.motion.records import copied, new
from evenfire.physics.motion.state import State
from evenfire.physics.motion.water import LIQUID_DENSITY, LIQUID_ENERGY, TEMPERATURE, at, interval
from evenfire.physics.steam import saturation_pressure
from evenfire.plant.possible import require_between, require_inside
from evenfire.si import AbsPa, Dimension


def at_pressure(model: Model, pressure: AbsPa, water_volume: float) -> State:
    """A closed boiler at rest at a pressure, its burner off and free to start.

    Parameters
    ----------
    pressure
        [Pa abs]
    water_volume
        [m3]

    Raises
    ------
    ImpossibleValue
        More water than the boiler holds, or none.
    """
    require_inside("water volume", water_volume, 0.0, float(model.vessel.volume), Dimension.VOLUME)
    state = _at_rest(model, pressure)
    state.contents.mass = closed_mass(model, float(water_volume), float(pressure))
    state.contents.energy = closed_energy(model, state.contents.mass, float(pressure))
    state.contents.pressure = pressure
    return state


def on_line(model: Model, pressure: AbsPa, water_volume: float, position: float) -> State:
    """A boiler that has been firing steadily with its drive at a position.

    Parameters
    ----------
    pressure
        [Pa abs]
    water_volume
        [m3]
    position
        Of the drive [1].

    Raises
    ------
    ImpossibleValue
        More water than the boiler holds, or none; a position outside 0 to 1.
    """
    require_between("drive", position, 0.0, 1.0, Dimension.FRACTION)
    state = at_pressure(model, pressure, water_volume)
    burner, flame, inside = model.burner, state.flame, state.contents
    flame.phase, flame.position = RELEASED, position
    fire = burner.lowest + (1.0 - burner.lowest) * position
    inside.on_the_way = burner.heat_lag * burner.full_heat * fire
    inside.energy += inside.on_the_way
    return state


def cold(model: Model, temperature: float, water_volume: float) -> State:
    """A cold boiler: air stands above its water.

    Parameters
    ----------
    temperature
        Of water and metal [K], below boiling.
    water_volume
        [m3]

    Raises
    ------
    ImpossibleValue
        Water that boils, or more of it than the boiler holds.
    OutOfRange
        Ice.
    """
    require_inside("water volume", water_volume, 0.0, float(model.vessel.volume), Dimension.VOLUME)
    vapour = saturation_pressure(temperature)
    require_between("vapour pressure", vapour, 0.0, float(model.vessel.ambient), Dimension.ABSOLUTE_PRESSURE)
    state = _at_rest(model, AbsPa(float(model.vessel.ambient)))
    index, share = plain(interval)(vapour)
    property_of = plain(at)
    inside = state.contents
    inside.mass = water_volume * property_of(model.water, index, share, LIQUID_DENSITY)
    metal = model.vessel.metal_heat * property_of(model.water, index, share, TEMPERATURE)
    inside.energy = inside.mass * property_of(model.water, index, share, LIQUID_ENERGY) + metal
    inside.pressure, inside.is_vented = vapour, True
    return state


def _at_rest(model: Model, pressure: AbsPa) -> State:
    """Burner off for long, every control at this pressure; the loop lets each contact take its place."""
    state = new(State)
    sensed, flame = state.sensed, state.flame
    sensed.operating_limit, sensed.high_limit = pressure, pressure
    sensed.firing_rate, sensed.low_fire_hold = pressure, pressure
    flame.phase, flame.until, flame.off_since, flame.stopped_by = OFF, inf, -inf, control_logic.NOTHING
    state.acting = copied(model.controls)
    return state
