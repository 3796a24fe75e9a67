"""Boilers to draw from a seed: what one is, what its technician believes of it, and how it is really set.

Sizes per boiler horsepower, lags, scales and settings are common practice, no source: they only have to be plausible.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tests.blind.stepping import ON_OFF, PROPORTIONAL, TWO_POSITION, WITH_RESET, Works
from tests.blind.waters import LIQUID_ENTHALPY, STEAM_ENTHALPY, at, storage

PSI: Final = 6894.757
"""NIST SP 811, appendix B.8 [Pa]."""
BOILER_HORSEPOWER: Final = 9809.5
"""33,475 Btu/h [W]."""
GALLON: Final = 3.785412e-3
FOOT3: Final = 2.831685e-2
POUND: Final = 0.45359237
BTU_H: Final = 0.29307107
STEEL: Final = 480.0
"""[J/(kg K)]"""
FIRETUBE, VERTICAL, WATERTUBE, COIL = "firetube", "vertical", "watertube", "coil"
ACTIONS: Final = {ON_OFF: "on-off", TWO_POSITION: "two-position", PROPORTIONAL: "proportional", WITH_RESET: "pid"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Make:
    """What is plausible for a kind of boiler; pairs are from, to."""

    horsepower: tuple[float, float]
    water: tuple[float, float]
    """[gal/bhp]"""
    steam: tuple[float, float]
    """[ft3/bhp]"""
    metal: tuple[float, float]
    """[lb/bhp]"""
    lag: tuple[float, float]
    """Of heat to the water [s]"""
    stroke: tuple[float, float]
    """[s]"""
    point: tuple[float, float]
    """High-fire point [psi]"""
    span: tuple[float, float]
    """Throttling range [psi]"""
    gap: tuple[float, float]
    """From the low-fire point to the cut-out [psi]"""
    limit: tuple[float, float]
    """From the cut-out to the high limit [psi]"""
    tolerance: float
    """Of a dial [psi]"""
    turndown: tuple[float, float]
    chain: float
    """How long the start chain is, as a share of a fire-tube boiler's"""
    actions: tuple[int, ...]
    """To draw from"""
    intervals: tuple[int, ...]
    """Between the rows of a log, to draw from [s]"""


MAKES: Final = {
    FIRETUBE: Make(
        horsepower=(60.0, 600.0),
        water=(6.0, 8.5),
        steam=(0.26, 0.38),
        metal=(75.0, 100.0),
        lag=(5.0, 11.0),
        stroke=(20.0, 40.0),
        point=(60.0, 150.0),
        span=(8.0, 16.0),
        gap=(6.0, 9.0),
        limit=(11.0, 17.0),
        tolerance=2.0,
        turndown=(3.0, 8.0),
        chain=1.0,
        actions=(PROPORTIONAL,) * 8 + (TWO_POSITION,) * 2 + (ON_OFF,),
        intervals=(1, 1, 1, 2, 5, 5, 10, 10, 15, 30, 60),
    ),
    VERTICAL: Make(
        horsepower=(10.0, 60.0),
        water=(4.5, 6.5),
        steam=(0.22, 0.32),
        metal=(100.0, 150.0),
        lag=(5.0, 10.0),
        stroke=(8.0, 15.0),
        point=(60.0, 100.0),
        span=(6.0, 10.0),
        gap=(5.0, 8.0),
        limit=(10.0, 15.0),
        tolerance=2.0,
        turndown=(2.0, 3.0),
        chain=0.5,
        actions=(ON_OFF, TWO_POSITION),
        intervals=(1, 1, 2, 5, 10),
    ),
    WATERTUBE: Make(
        horsepower=(100.0, 900.0),
        water=(2.2, 3.4),
        steam=(0.10, 0.16),
        metal=(45.0, 65.0),
        lag=(4.0, 8.0),
        stroke=(15.0, 30.0),
        point=(90.0, 190.0),
        span=(12.0, 20.0),
        gap=(10.0, 15.0),
        limit=(15.0, 24.0),
        tolerance=3.0,
        turndown=(4.0, 8.0),
        chain=0.8,
        actions=(PROPORTIONAL,) * 4 + (WITH_RESET,),
        intervals=(1, 1, 2, 2, 5, 10),
    ),
    COIL: Make(
        horsepower=(40.0, 250.0),
        water=(0.9, 1.3),
        steam=(0.05, 0.09),
        metal=(22.0, 34.0),
        lag=(2.0, 4.0),
        stroke=(6.0, 12.0),
        point=(80.0, 130.0),
        span=(18.0, 28.0),
        gap=(16.0, 22.0),
        limit=(22.0, 32.0),
        tolerance=3.0,
        turndown=(2.5, 4.0),
        chain=0.35,
        actions=(PROPORTIONAL, TWO_POSITION),
        intervals=(1, 1, 1, 2, 5),
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Dials:
    """A set of pressures at which the controls act [psi, gauge]."""

    cut_out: float
    differential: float
    high_limit: float
    fire_point: float
    fire_range: float
    hold: float
    """Nothing when there is none: -1"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Boiler:
    """One boiler: what its technician believes of it, and the works behind."""

    kind: str
    believed: Dials
    tolerance: float
    """Of each dial [psi]"""
    action: int
    output: float
    """Nameplate [W]"""
    input_nameplate: float
    """[W]"""
    input_clocked: float
    """[W]"""
    efficiency: float
    """As the technician believes it, at full fire"""
    water_volume: float
    """[m3]"""
    steam_volume: float
    """[m3]"""
    metal_mass: float
    """[kg]"""
    feed_temperature: float
    """[K]"""
    valve_set: float
    """[psi]"""
    fuel: str
    works: Works

    @property
    def storage(self) -> float:
        """True storage half way between cut-in and cut-out, at normal water [J/Pa]."""
        return self.storage_at(self.works.cut_out - 0.5 * self.works.differential)

    def storage_at(self, pressure: float) -> float:
        """True storage at a gauge pressure [Pa], at normal water [J/Pa]."""
        works = self.works
        return storage(pressure + works.ambient, works.water_normal, works.volume, works.metal)

    @property
    def heat_low(self) -> float:
        """True heat to the water at low fire [W]."""
        return heat_at(self.works, 0.0)

    @property
    def heat_high(self) -> float:
        """True heat to the water at high fire [W]."""
        return heat_at(self.works, 1.0)

    def turned(self, **works: float) -> "Boiler":
        """The same boiler as believed, with some of its works turned."""
        return replace(self, works=self.works._replace(**works))


def heat_at(works: Works, position: float) -> float:
    """Heat to the water at a position of the fuel valve, after all lags [W]."""
    rate = 1.0 / works.turndown + (1.0 - 1.0 / works.turndown) * float(position**works.valve_curve)
    short = 1.0 - rate
    return (
        works.input_high
        * rate
        * (works.efficiency + works.efficiency_slope * short - works.efficiency_bend * short * short)
    )


def _quick_enough(boiler: Boiler) -> float:
    """A stroke that brings a healthy boiler from high to low fire before the pressure has crossed 60 % of the gap [s].

    A proportional control begins to close early; these two may come from full fire when they reach the low-fire point.
    """
    works = boiler.works
    gap = works.cut_out - works.fire_point - works.fire_range
    seconds = 0.6 * gap * boiler.storage / boiler.heat_high
    return float(min(works.stroke, max(3.0, round(2.0 * (seconds - works.heat_lag - works.heat_delay)))))


def integrating(boiler: Boiler) -> float:
    """How fast the pressure runs through the throttling range when the drive stands wrong by its whole stroke [1/s]."""
    return (boiler.heat_high - boiler.heat_low) / (boiler.storage * boiler.works.fire_range)


def between(rng: np.random.Generator, pair: tuple[float, float]) -> float:
    return float(rng.uniform(*pair))


def draw_dials(rng: np.random.Generator, make: Make) -> Dials:
    """What the dials show on a boiler that is set as it should be."""
    half = 2.0
    point = round(between(rng, make.point))
    span = round(half * between(rng, make.span)) / half
    gap = round(half * between(rng, make.gap)) / half
    cut_out = point + span + gap
    return Dials(
        cut_out=cut_out,
        differential=round(float(rng.uniform(0.75 * gap + 2.0, gap + 0.7 * span))),
        high_limit=round(cut_out + between(rng, make.limit)),
        fire_point=point,
        fire_range=span,
        hold=-1.0 if make is MAKES[VERTICAL] else float(round(point * rng.uniform(0.3, 0.5))),
    )


def draw_boiler(rng: np.random.Generator, kind: str, action: int, is_ugly: bool, exact: bool = False) -> Boiler:
    """One boiler; ``exact`` leaves out everything that a textbook leaves out."""
    make = MAKES[kind]
    horsepower = float(np.exp(rng.uniform(*np.log(make.horsepower))))
    output = round(horsepower) * BOILER_HORSEPOWER
    efficiency = float(rng.uniform(0.78, 0.84))
    clocked = output / efficiency * float(rng.uniform(0.95, 1.04))
    volumes = (
        horsepower * between(rng, make.water) * GALLON,
        horsepower * between(rng, make.steam) * FOOT3,
        horsepower * between(rng, make.metal) * POUND,
    )
    turndown = 1.0 if action == ON_OFF else round(2.0 * between(rng, make.turndown)) / 2.0
    dials = draw_dials(rng, make)
    believed = Boiler(
        kind=kind,
        believed=dials,
        tolerance=make.tolerance,
        action=action,
        output=output,
        input_nameplate=output / efficiency,
        input_clocked=clocked,
        efficiency=efficiency,
        water_volume=volumes[0],
        steam_volume=volumes[1],
        metal_mass=volumes[2],
        feed_temperature=float(rng.uniform(340.0, 382.0)),
        valve_set=5.0 * np.ceil((dials.high_limit + max(10.0, 0.1 * dials.high_limit)) / 5.0),
        fuel="natural gas" if kind in (VERTICAL, COIL) or rng.random() < 0.75 else "light oil",
        works=_NOTHING,
    )
    works = _works(rng, believed, turndown, is_ugly)
    if action in (TWO_POSITION, WITH_RESET):
        works = works._replace(stroke=_quick_enough(replace(believed, works=works)))
    if action == WITH_RESET:
        works = works._replace(reset_time=float(rng.uniform(10.0, 16.0)) / integrating(replace(believed, works=works)))
    return replace(believed, works=_textbook(works) if exact else works)


def _works(rng: np.random.Generator, boiler: Boiler, turndown: float, is_ugly: bool) -> Works:
    make, dials = MAKES[boiler.kind], boiler.believed
    ugly = 1.0 if is_ugly else 0.3
    volume = boiler.water_volume * float(rng.uniform(0.94, 1.06))
    room = boiler.steam_volume * float(rng.uniform(0.8, 1.2))
    ambient = float(rng.uniform(84e3, 102e3))
    pressure = dials.cut_out * PSI + ambient
    full_steam = boiler.output / (float(at(pressure, STEAM_ENTHALPY)) - 4186.0 * (boiler.feed_temperature - 273.15))
    is_on_off = boiler.kind in (FIRETUBE, VERTICAL) and bool(rng.random() < 0.75)
    band = 0.25 if boiler.kind == COIL else 0.05
    error = 0.75 * boiler.tolerance * PSI
    return Works(
        ambient=ambient,
        volume=volume + room,
        metal=boiler.metal_mass * STEEL * float(rng.uniform(0.92, 1.08)),
        standing_loss=boiler.output * float(rng.uniform(0.003, 0.02)),
        feed_enthalpy=4186.0 * (boiler.feed_temperature - 273.15),
        feed_is_on_off=float(is_on_off),
        pump_flow=full_steam * float(rng.uniform(1.6, 2.4)),
        feed_lag=float(rng.uniform(1.0, 3.0)) if is_on_off else float(rng.uniform(3.0, 12.0)),
        feed_gain=full_steam / (0.03 * volume) if boiler.kind != COIL else full_steam / (0.2 * volume),
        water_normal=volume,
        water_low=volume * (1.0 - float(rng.uniform(0.006, 0.014))),
        water_high=volume * (1.0 + float(rng.uniform(0.004, 0.010))),
        water_cut_off=volume * (1.0 - band),
        swing=volume * 0.001 * ugly * float(rng.uniform(0.0, 1.0)),
        swing_period=float(rng.uniform(6.0, 40.0)),
        swell_lag=float(rng.uniform(3.0, 12.0)),
        input_high=boiler.input_clocked * float(rng.uniform(0.985, 1.015)),
        turndown=turndown,
        efficiency=boiler.efficiency + float(rng.normal(0.0, 0.004)),
        efficiency_slope=ugly * float(rng.uniform(0.0, 0.06)),
        efficiency_bend=ugly * float(rng.uniform(0.0, 0.10)),
        valve_curve=1.0 + ugly * float(rng.uniform(-0.15, 0.35)),
        heat_lag=between(rng, make.lag) - (1.0 if boiler.kind == COIL else 2.0),
        heat_delay=float(rng.integers(0, 2 if boiler.kind == COIL else 4)),
        purge_cooling=boiler.output * float(rng.uniform(0.005, 0.02)),
        delay=float(rng.integers(1, 5)),
        purge=float(round(make.chain * rng.uniform(40.0, 75.0))),
        drive_back=float(round(make.chain * rng.uniform(10.0, 20.0))),
        pilot=float(rng.integers(5, 11)),
        low=float(round(make.chain * rng.uniform(12.0, 40.0)) + 5),
        postpurge=float(round(make.chain * rng.uniform(10.0, 30.0))),
        action=float(boiler.action),
        fire_point=dials.fire_point * PSI + float(rng.uniform(-error, error)),
        fire_range=dials.fire_range * PSI * float(rng.uniform(0.93, 1.07)),
        reset_time=1.0,
        stroke=0.0 if boiler.action == ON_OFF else float(round(between(rng, make.stroke))),
        deadband=ugly * float(rng.uniform(0.0, 0.04)),
        backlash=ugly * float(rng.uniform(0.0, 0.05)),
        stuck_from=np.inf,
        stuck_at=0.0,
        limit_lag=float(rng.uniform(0.2, 1.5)),
        fire_lag=float(rng.uniform(0.3, 2.5)),
        log_lag=float(rng.uniform(0.2, 1.0)) + (float(rng.uniform(0.0, 2.0)) if is_ugly else 0.0),
        cut_out=dials.cut_out * PSI + float(rng.uniform(-error, error)),
        differential=dials.differential * PSI * float(rng.uniform(0.93, 1.07)),
        creep=0.0,
        high_limit=dials.high_limit * PSI + float(rng.uniform(-error, error)),
        high_limit_drop=5.0 * PSI,
        hold=dials.hold * PSI + float(rng.uniform(-error, error)),
        hold_works=float(boiler.action != ON_OFF and dials.hold > 0.0),
        draw_exponent=float(rng.random() < 0.6),
        draw_pressure=dials.fire_point * PSI,
        throttle=(1.35 * dials.hold if dials.hold > 0.0 else 0.5 * dials.fire_point) * PSI,
    )


_NOTHING: Final = Works(**dict.fromkeys(Works._fields, 0.0))


def _textbook(works: Works) -> Works:
    """Nothing that the textbook leaves out: no start time, lag, purge, loss, slug, dead band or swing."""
    return works._replace(
        standing_loss=0.0,
        feed_is_on_off=0.0,
        feed_lag=1.0,
        feed_gain=0.0,
        swing=0.0,
        swell_lag=1.0,
        efficiency_slope=0.0,
        efficiency_bend=0.0,
        valve_curve=1.0,
        heat_lag=1e-3,
        heat_delay=0.0,
        purge_cooling=0.0,
        delay=0.0,
        purge=0.0,
        drive_back=0.0,
        pilot=0.0,
        low=0.0,
        postpurge=0.0,
        deadband=0.0,
        backlash=0.0,
        limit_lag=1e-3,
        fire_lag=1e-3,
        log_lag=1e-3,
        draw_exponent=0.0,
        throttle=0.0,
    )


def full_steam(boiler: Boiler) -> float:
    """Steam that takes all the heat of high fire but the loss, at the high-fire point [kg/s]."""
    works = boiler.works
    enthalpy = float(at(works.fire_point + works.ambient, STEAM_ENTHALPY))
    return (boiler.heat_high - works.standing_loss) / (enthalpy - works.feed_enthalpy)


def _at_cut_out(boiler: Boiler, prop: int) -> float:
    return float(at(boiler.works.cut_out + boiler.works.ambient, prop))


def feed_heat(boiler: Boiler) -> float:
    """Heat that a kilogram of feedwater takes from the boiler until it boils [J/kg]."""
    return _at_cut_out(boiler, LIQUID_ENTHALPY) - boiler.works.feed_enthalpy


def liquid_to_steam(boiler: Boiler) -> float:
    """Heat that makes a kilogram of steam out of boiling water [J/kg]."""
    return _at_cut_out(boiler, STEAM_ENTHALPY) - _at_cut_out(boiler, LIQUID_ENTHALPY)
