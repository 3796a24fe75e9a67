"""The surveyed values that margins hang on, each with how well it is usually known."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from types import MappingProxyType
from typing import Final

from evenfire.judgement.settle.pulls import variants_of
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import StartChain
from evenfire.plant.controls import Control, Role, WaterLeg
from evenfire.plant.known import Datum, Origin
from evenfire.plant.plant import Plant
from evenfire.si import DiffPa, Dimension, GaugePa, Quantity


@dataclass(frozen=True, slots=True)
class Doubt:
    """How far a value may be off, one standard deviation of what a careful person would still expect."""

    surveyed: float
    """Read off a plate, a drawing or a dial [1, or the SI unit of the value]"""
    assumed: float
    """Nobody gave it and the tool assumed it [1, or the SI unit of the value]"""


ASSUMED_DOUBTS: Final[MappingProxyType[str, Doubt]] = MappingProxyType(
    {
        # Water at normal level is seldom on a data plate, and level and swell move it.
        "water_volume": Doubt(0.10, 0.20),
        "steam_volume": Doubt(0.20, 0.40),
        # Which of the metal follows the water is a matter of judgement.
        "metal_mass": Doubt(0.15, 0.30),
        # Nameplate output against what the burner is tuned to.
        "output": Doubt(0.05, 0.10),
        # From flame to water: brick, gas, tube and film; hardly anybody has taken the time of it.
        "burner.heat_lag": Doubt(0.25, 0.50),
        "burner.stroke": Doubt(0.10, 0.30),
        # Low fire as it is tuned against low fire as it is advertised.
        "burner.turndown": Doubt(0.10, 0.25),
        "burner.efficiency": Doubt(0.02, 0.04),
        # Timers stand on their cards; what the drive and the proving switches take comes on top.
        "burner.start": Doubt(0.10, 0.25),
        "standing_loss": Doubt(0.30, 0.50),
        # A deaerator holds a few degrees, a tank that is filled now and then does not [K].
        "feedwater_temperature": Doubt(5.0, 15.0),
        "load.drop": Doubt(0.20, 0.50),
        "load.line_drop": Doubt(0.20, 0.50),
        # A lag in siphon, snubber and element is not printed anywhere.
        "controls.lag": Doubt(0.30, 0.50),
        # A stated tolerance is a promise of the kind of device, not a finding on this one.
        "controls.tolerance": Doubt(0.25, 0.50),
        # Half a foot when a height was paced out [m].
        "controls.water_leg": Doubt(0.15, 0.15),
        # What a gauge with a pointer and a person with a watch make of a rise of a few psi.
        "measured.run_on": Doubt(0.10, 0.10),
        "measured.undershoot": Doubt(0.10, 0.10),
        "measured.contact_to_low_fire": Doubt(0.05, 0.05),
        # A tested valve lifts within a percent of its certificate; of an untested one the margins take the lowest lift.
        "safety_valve.lift": Doubt(0.01, 0.01),
    }
)
"""Judgement of the trade, not print: how well each value is usually known where nobody says how well."""

_AMOUNTS: Final = MappingProxyType(
    {"feedwater_temperature": Dimension.TEMPERATURE_DIFFERENCE, "controls.water_leg": Dimension.LENGTH}
)
"""Values whose doubt is an amount; of all others it is a share."""
_HAIR: Final = 0.01
COLDEST_WATER: Final = 274.0
"""[K]"""

Change = Callable[[float], Boiler | tuple[Plant, Boiler]]
"""The survey in which a value is so much more, as a share or as an amount."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyedValue:
    """One value of the survey that may be off."""

    key: str
    """Of the plant file"""
    origin: Origin
    doubt: Quantity
    """One standard deviation, as a share of the value or as an amount"""
    off_by: Callable[[float], tuple[Plant, Boiler]]
    """The survey in which the value is so much more than it says, in standard deviations [1]"""


def kind_of(key: str) -> str:
    """The entry of ``ASSUMED_DOUBTS`` for a plant-file key: all controls have one of each."""
    if not key.startswith("controls."):
        return key
    return f"controls.{key.rsplit('.', maxsplit=1)[-1]}"


def values_of(plant: Plant, boiler: Boiler) -> Iterator[SurveyedValue]:
    """Every value that is there and may be off."""
    for key, more_plant, more_boiler in variants_of(plant, boiler, 1.0 + _HAIR):
        if (more_plant, more_boiler) != (plant, boiler):
            yield _value(plant, boiler, key, partial(_times, plant, boiler, key))
    for key, change in (*_of_boiler(boiler), *_of_controls(boiler), *_of_readings(boiler), *_of_valves(boiler)):
        yield _value(plant, boiler, key, change)


def _value(plant: Plant, boiler: Boiler, key: str, change: Change) -> SurveyedValue:
    kind, origin = kind_of(key), _origin_of(plant, boiler, key)
    doubt = ASSUMED_DOUBTS[kind]
    size = doubt.assumed if origin is Origin.ASSUMED else doubt.surveyed

    def off_by(deviations: float) -> tuple[Plant, Boiler]:
        changed = change(deviations * size)
        return changed if isinstance(changed, tuple) else (plant, changed)

    return SurveyedValue(
        key=key, origin=origin, doubt=Quantity(size, _AMOUNTS.get(kind, Dimension.FRACTION)), off_by=off_by
    )


def _times(plant: Plant, boiler: Boiler, key: str, more: float) -> tuple[Plant, Boiler]:
    """The survey in which one value is a share ``more`` than it says [1]."""
    variants = variants_of(plant, boiler, 1.0 + more)
    return next((plant, boiler) for each, plant, boiler in variants if each == key)


def _of_boiler(boiler: Boiler) -> Iterator[tuple[str, Change]]:
    steam, loss, feed = boiler.steam_volume, boiler.standing_loss, boiler.feedwater_temperature
    if steam is not None:
        yield "steam_volume", lambda by: replace(boiler, steam_volume=_more(steam, by))
    if loss is not None:
        yield "standing_loss", lambda by: replace(boiler, standing_loss=_more(loss, by))
    if feed is not None:
        yield (
            "feedwater_temperature",
            lambda by: replace(boiler, feedwater_temperature=replace(feed, value=max(COLDEST_WATER, feed.value + by))),
        )


def _of_controls(boiler: Boiler) -> Iterator[tuple[str, Change]]:
    for role in Role:
        control = boiler.controls.of(role)
        if control is None:
            continue
        if control.lag is not None and control.lag.value > 0.0:
            yield f"controls.{role.value}.lag", partial(_with_lag, boiler, role, control, control.lag)
        if control.water_leg is not None and control.water_leg.height > 0.0:
            yield f"controls.{role.value}.water_leg", partial(_with_leg, boiler, role, control, control.water_leg)


def _with_lag(boiler: Boiler, role: Role, control: Control, lag: Datum, by: float) -> Boiler:
    changed = replace(control, lag=_more(lag, by))
    return replace(boiler, controls=boiler.controls.having(role, changed))


def _with_leg(boiler: Boiler, role: Role, control: Control, leg: WaterLeg, by: float) -> Boiler:
    changed = replace(control, water_leg=replace(leg, height=max(0.0, leg.height + by)))
    return replace(boiler, controls=boiler.controls.having(role, changed))


def _of_readings(boiler: Boiler) -> Iterator[tuple[str, Change]]:
    measured = boiler.measured
    run_on, fall, seconds = measured.run_on, measured.undershoot, measured.contact_to_low_fire
    if run_on:

        def with_run_on(by: float) -> Boiler:
            readings = tuple(replace(each, rise=DiffPa((1.0 + by) * each.rise)) for each in run_on)
            return replace(boiler, measured=replace(measured, run_on=readings))

        yield "measured.run_on", with_run_on
    if fall is not None:

        def with_fall(by: float) -> Boiler:
            reading = replace(fall, fall=DiffPa((1.0 + by) * fall.fall))
            return replace(boiler, measured=replace(measured, undershoot=reading))

        yield "measured.undershoot", with_fall
    if seconds is not None:
        yield (
            "measured.contact_to_low_fire",
            lambda by: replace(boiler, measured=replace(measured, contact_to_low_fire=(1.0 + by) * seconds)),
        )


def _of_valves(boiler: Boiler) -> Iterator[tuple[str, Change]]:
    """An untested valve has no lift that could be off: margins take the lowest that its stamp allows."""
    if not any(valve.tested_lift is not None for valve in boiler.safety_valves):
        return

    def with_lift(by: float) -> Boiler:
        valves = tuple(
            valve if valve.tested_lift is None else replace(valve, tested_lift=GaugePa((1.0 + by) * valve.tested_lift))
            for valve in boiler.safety_valves
        )
        return replace(boiler, safety_valves=valves)

    yield "safety_valve.lift", with_lift


def _more(datum: Datum, by: float) -> Datum:
    return replace(datum, value=(1.0 + by) * datum.value)


def _origin_of(plant: Plant, boiler: Boiler, key: str) -> Origin:
    """Assumed as soon as any part of it is; measured where a watch or a gauge gave it."""
    if key.startswith("measured."):
        return Origin.MEASURED
    origins = {datum.origin for datum in _data_of(plant, boiler, key) if datum is not None}
    for origin in (Origin.ASSUMED, Origin.SURVEYED, Origin.MEASURED):
        if origin in origins:
            return origin
    return Origin.SURVEYED


def _data_of(plant: Plant, boiler: Boiler, key: str) -> tuple[Datum | None, ...]:
    burners, drop = boiler.burners, plant.load.design_drop
    if key.endswith(".lag"):
        control = boiler.controls.of(Role(key.split(".")[1]))
        return () if control is None else (control.lag,)
    found: dict[str, tuple[Datum | None, ...]] = {
        "steam_volume": (boiler.steam_volume,),
        "metal_mass": (boiler.metal_mass,),
        "standing_loss": (boiler.standing_loss,),
        "feedwater_temperature": (boiler.feedwater_temperature,),
        "load.line_drop": (plant.load.line_drop,),
        "load.drop": () if drop is None else (drop.size,),
        "burner.heat_lag": tuple(burner.heat_lag for burner in burners),
        "burner.stroke": tuple(burner.stroke_time for burner in burners),
        "burner.efficiency": tuple(burner.efficiency for burner in burners),
        "burner.start": tuple(part for burner in burners for part in _parts(burner.chain)),
    }
    return found.get(key, ())


def _parts(chain: StartChain) -> tuple[Datum | None, ...]:
    first = (chain.start_delay, chain.drive_open, chain.prepurge, chain.drive_back)
    return (*first, chain.pilot_trial, chain.main_trial, chain.flame_to_low_fire)
