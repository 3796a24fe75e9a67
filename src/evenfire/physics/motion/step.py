"""One step: third-order Runge-Kutta on mass and energy, with everything that lags followed exactly.

The energy that is stepped counts the heat on its way to the water, which has no fast motion of its own; the part that
is still on its way is then known exactly, and so is every sensed pressure. A step leaves an ``Arc``: pressure, mass,
energy and flame as polynomials of the share of the step, from which crossings are found and traces are written.
"""

from math import isnan

from evenfire.physics.compiled import part
from evenfire.physics.motion.contents import storage, water_pressure
from evenfire.physics.motion.exchange import Course, Moment, Rates, pressure_rate, rates
from evenfire.physics.motion.following import follow
from evenfire.physics.motion.model import Model
from evenfire.physics.motion.records import Record
from evenfire.physics.motion.state import State, Totals
from evenfire.physics.motion.water import EXCHANGE_ENERGY, at, interval


class Arc(Record):
    """A step in powers of its share."""

    seconds: float
    """[s]"""
    p0: float
    """Pressure [Pa abs], and so on"""
    p1: float
    """[Pa]"""
    p2: float
    """[Pa]"""
    p3: float
    """[Pa]"""
    p4: float
    """[Pa]"""
    m0: float
    """Mass [kg]"""
    m1: float
    """[kg]"""
    m2: float
    """[kg]"""
    m3: float
    """[kg]"""
    e0: float
    """Energy [J]"""
    e1: float
    """[J]"""
    e2: float
    """[J]"""
    e3: float
    """[J]"""
    f0: float
    """Flame [1]"""
    f1: float
    """[1]"""
    f2: float
    """[1]"""


class Trial(Record):
    """A step that was tried."""

    arc: Arc
    mass: float
    """At its end [kg]"""
    energy: float
    """[J]"""
    on_the_way: float
    """[J]"""
    pressure: float
    """[Pa abs]"""
    error: float
    """Of the pressure at its end [Pa]"""
    mass_error: float
    """Of the mass at its end, as a share of it [1]"""
    bend: float
    """By how much the pressure half way leaves the cubic through its ends [Pa]"""
    totals: Totals


@part
def flame_when(model: Model, state: State, course: Course, elapsed: float, sensed: float) -> float:
    """Share of full fire [1] within a step; a drive that tracks stands where the sensed pressure wants it."""
    if not course.tracks:
        return course.flame + course.flame_slope * elapsed
    position = (state.acting.low_fire - sensed) / (state.acting.low_fire - state.acting.high_fire)
    return model.burner.lowest + (1.0 - model.burner.lowest) * position


@part
def on_the_way_at(model: Model, start: float, seconds: float, share: float, f0: float, f1: float, f2: float) -> float:
    """Heat on its way [J] at a share of a step of ``seconds`` in which the flame runs as f0 + f1 x + f2 x^2."""
    lag = model.burner.heat_lag
    if lag <= 0.0 or share <= 0.0:
        return start if lag > 0.0 else 0.0
    held = model.burner.full_heat * lag
    return follow(start, lag / seconds, share, held * f0, held * f1, held * f2, 0.0, 0.0)


@part
def start_of(model: Model, state: State, course: Course) -> tuple[Rates, float]:
    """Flows and pressure rate [Pa/s] where a step begins."""
    inside = state.contents
    moment = Moment(0.0, inside.is_vented, inside.mass, inside.pressure, course.flame, inside.on_the_way)
    now = rates(model, course, moment)
    return now, pressure_rate(model, moment, now)


@part
def stride(model: Model, state: State, course: Course, seconds: float, trial: Trial) -> bool:
    """Try a step of ``seconds``; whether water and steam exist all along it.

    Kutta's third-order rule (nodes 0, 1/2, 1) steps mass and energy. The totals are summed by Simpson's rule over the
    true begin, middle and end of the step, which is another rule than the one that moves the states.
    """
    inside, vented, half = state.contents, state.contents.is_vented, 0.5 * seconds
    first, rising = start_of(model, state, course)
    lags, seen = state.acting.firing_rate_lag / seconds, state.sensed.firing_rate

    full = model.burner.full_heat
    sensed = follow(seen, lags, 0.5, inside.pressure, rising * seconds, 0.0, 0.0, 0.0)
    flame_half = flame_when(model, state, course, half, sensed)
    coming = on_the_way_at(model, inside.on_the_way, half, 1.0, course.flame, flame_half - course.flame, 0.0)
    mass = inside.mass + half * first.mass
    energy = inside.energy + half * (first.energy + full * 0.5 * (course.flame + flame_half))
    guess = max(inside.pressure + half * rising, 0.5 * inside.pressure)
    pressure_half = water_pressure(model, vented, mass, energy - coming, guess)
    if isnan(pressure_half):
        return False
    moment = Moment(half, vented, mass, pressure_half, flame_half, coming)
    middle = rates(model, course, moment)

    # The bend of the pressure is known now, and with it the flame to its end: the burner's heat needs no further rule.
    bent = seconds * (pressure_rate(model, moment, middle) - rising)
    sensed = follow(seen, lags, 0.5, inside.pressure, rising * seconds, bent, 0.0, 0.0)
    flame_half = flame_when(model, state, course, half, sensed)
    sensed = follow(seen, lags, 1.0, inside.pressure, rising * seconds, bent, 0.0, 0.0)
    flame = flame_when(model, state, course, seconds, sensed)
    f2 = 2.0 * (course.flame + flame) - 4.0 * flame_half
    f1 = flame - course.flame - f2
    burnt_half = full * seconds * (0.5 * course.flame + 0.125 * f1 + f2 / 24.0)
    burnt = full * seconds * (course.flame + 0.5 * f1 + f2 / 3.0)
    coming_half = on_the_way_at(model, inside.on_the_way, seconds, 0.5, course.flame, f1, f2)
    coming = on_the_way_at(model, inside.on_the_way, seconds, 1.0, course.flame, f1, f2)
    mass = inside.mass + seconds * (2.0 * middle.mass - first.mass)
    energy = inside.energy + seconds * (2.0 * middle.energy - first.energy) + burnt
    pressure = water_pressure(model, vented, mass, energy - coming, pressure_half + half * rising)
    if isnan(pressure):
        return False
    last = rates(model, course, Moment(seconds, vented, mass, pressure, flame, coming))

    mass_half = inside.mass + seconds / 24.0 * (5.0 * first.mass + 8.0 * middle.mass - last.mass)
    energy_half = inside.energy + seconds / 24.0 * (5.0 * first.energy + 8.0 * middle.energy - last.energy)
    mass = inside.mass + seconds / 6.0 * (first.mass + 4.0 * middle.mass + last.mass)
    energy = inside.energy + seconds / 6.0 * (first.energy + 4.0 * middle.energy + last.energy) + burnt
    pressure_half = water_pressure(model, vented, mass_half, energy_half + burnt_half - coming_half, pressure_half)
    pressure = water_pressure(model, vented, mass, energy - coming, pressure)
    if isnan(pressure_half) or isnan(pressure):
        return False
    now_half = rates(model, course, Moment(half, vented, mass_half, pressure_half, flame_half, coming_half))
    moment = Moment(seconds, vented, mass, pressure, flame, coming)
    now = rates(model, course, moment)

    trial.mass, trial.energy, trial.on_the_way, trial.pressure = mass, energy, coming, pressure
    mass_off = seconds / 6.0 * (first.mass - 2.0 * middle.mass + last.mass)
    energy_off = seconds / 6.0 * (first.energy - 2.0 * middle.energy + last.energy + 0.5 * full * f2)
    trial.error = _pressure_error(model, moment, mass_off, energy_off)
    trial.mass_error = abs(mass_off) / inside.mass
    begins, ends = rising * seconds, pressure_rate(model, moment, now) * seconds
    rise = pressure - inside.pressure
    if vented:  # the water's own pressure rises; the boiler's does not
        begins, ends = rise, rise
    bend = pressure_half - (inside.pressure + 0.5 * rise + 0.125 * (begins - ends))
    trial.bend = abs(bend)
    arc = trial.arc
    arc.seconds = seconds
    arc.p0, arc.p1, arc.p4 = inside.pressure, begins, 16.0 * bend
    arc.p2 = 3.0 * rise - 2.0 * begins - ends + 16.0 * bend
    arc.p3 = begins + ends - 2.0 * rise - 32.0 * bend
    arc.m0, arc.m1 = inside.mass, seconds * first.mass
    arc.m2 = 3.0 * (mass - inside.mass) - seconds * (2.0 * first.mass + now.mass)
    arc.m3 = seconds * (first.mass + now.mass) - 2.0 * (mass - inside.mass)
    begins, ends = seconds * (first.energy + full * course.flame), seconds * (now.energy + full * flame)
    arc.e0, arc.e1 = inside.energy, begins
    arc.e2 = 3.0 * (energy - inside.energy) - 2.0 * begins - ends
    arc.e3 = begins + ends - 2.0 * (energy - inside.energy)
    arc.f0, arc.f1, arc.f2 = course.flame, f1, f2
    _sum_up(trial.totals, state.totals, seconds / 6.0, first, now_half, now)
    return True


@part
def _pressure_error(model: Model, moment: Moment, mass_off: float, energy_off: float) -> float:
    """What an error in mass and energy does to the pressure [Pa]; of a vented boiler, to that of its water."""
    index, share = interval(moment.pressure)
    stored = storage(model, moment.mass, moment.pressure)
    return abs((energy_off - at(model.water, index, share, EXCHANGE_ENERGY) * mass_off) / stored)


@part
def _sum_up(after: Totals, before: Totals, sixth: float, first: Rates, middle: Rates, last: Rates) -> None:
    after.heat = before.heat + sixth * (first.heat + 4.0 * middle.heat + last.heat)
    after.steam = before.steam + sixth * (first.steam + 4.0 * middle.steam + last.steam)
    after.relieved = before.relieved + sixth * (first.relieved + 4.0 * middle.relieved + last.relieved)
    after.feed = before.feed + sixth * (first.feed + 4.0 * middle.feed + last.feed)
    steam_energy = first.steam_energy + 4.0 * middle.steam_energy + last.steam_energy
    after.steam_energy = before.steam_energy + sixth * steam_energy
    after.lost = before.lost + sixth * (first.lost + 4.0 * middle.lost + last.lost)
    after.purged = before.purged + sixth * (first.purged + 4.0 * middle.purged + last.purged)
