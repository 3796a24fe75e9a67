"""Filling in what a survey left unknown and may be assumed; everything filled in carries its mark and is listed."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace

from evenfire.delivery.intake import assumptions as assumed
from evenfire.delivery.intake.assumptions import Assumption
from evenfire.physics.evaporation import FROM_AND_AT_ENTHALPY
from evenfire.plant.boiler import Boiler, Feed, Kind
from evenfire.plant.burner import Burner, Firing, PurgeDamper, StartChain
from evenfire.plant.controls import Control, Controls, Role
from evenfire.plant.known import Datum, Origin
from evenfire.plant.load import Load, Place, Ramp
from evenfire.plant.plant import Plant
from evenfire.plant.safety_valve import SafetyValve
from evenfire.si import Quantity

COLD_WATER_DENSITY = 1000.0
"""[kg/m3]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """One value that was filled in."""

    assumption: Assumption
    boiler: str | None
    """Name of the boiler; nothing when the value belongs to the whole plant"""
    value: Quantity


def filled(plant: Plant) -> Plant:
    """The plant with each unknown that may be assumed filled in and marked; what may not be stays unknown."""
    return replace(
        plant, load=_load(plant.load, plant.boilers), boilers=tuple(_boiler(boiler) for boiler in plant.boilers)
    )


def what_was_filled(plant: Plant, *, motion: bool = False) -> tuple[Filled, ...]:
    """The assumed values of a plant, in the order of the plant file, each once.

    Without ``motion`` those that a judgement of settings can use; with it also those that only a run through time asks
    for, which would say nothing about an answer that no run went into.
    """
    found = [_entry(None, datum) for datum in (*_assumed_in(plant.site), *_assumed_in(plant.load))]
    found += [_entry(boiler.name, datum) for boiler in plant.boilers for datum in _assumed_in(boiler)]
    return tuple(dict.fromkeys(each for each in found if motion or not each.assumption.for_motion))


def _assumed_in(value: object) -> Iterator[Datum]:
    """Every datum inside a frozen value that was assumed."""
    if isinstance(value, Datum):
        if value.origin is Origin.ASSUMED:
            yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from _assumed_in(each)
    elif is_dataclass(value):
        for field in fields(value):
            yield from _assumed_in(getattr(value, field.name))


def _entry(boiler: str | None, datum: Datum) -> Filled:
    assumption = next(each for each in assumed.ALL if each.name == datum.assumption)
    return Filled(
        assumption=assumption,
        boiler=boiler,
        value=Quantity(datum.value, assumption.fills or assumption.dimension),
    )


def _load(load: Load, boilers: tuple[Boiler, ...]) -> Load:
    drop, kinds = load.line_drop, tuple(boiler.kind for boiler in boilers)
    # A burner that only goes on and off rides no fall of load without a stop: nothing of it is asked, so nothing is
    # assumed. A pick-up it has to stand as any other.
    burners = [burner for boiler in boilers for burner in boiler.burners]
    follows = not burners or any(burner.firing is not Firing.ON_OFF for burner in burners)
    if drop is None and load.need_at is Place.HEADER:
        is_low = all(boiler.is_low_pressure for boiler in boilers)
        drop = assumed.ASSUMED_LINE_DROP.datum(assumed.LOW_PRESSURE if is_low else assumed.HIGH_PRESSURE)
    return replace(
        load,
        line_drop=drop,
        design_pick_up=load.design_pick_up
        or _load_change(assumed.ASSUMED_PICK_UP, assumed.ASSUMED_PICK_UP_TIME, kinds),
        design_drop=load.design_drop
        or (_load_change(assumed.ASSUMED_DROP, assumed.ASSUMED_DROP_TIME, kinds) if follows else None),
    )


def _load_change(size: Assumption, time: Assumption, kinds: tuple[Kind, ...]) -> Ramp:
    """Boilers of several kinds at one load get the largest change of any and the quickest: the stricter side."""
    return Ramp(size=assumed.largest(size, kinds), share=True, duration=assumed.quickest(time, kinds))


def _boiler(boiler: Boiler) -> Boiler:
    burners = tuple(_burner(burner, boiler.kind.value) for burner in boiler.burners)
    pressure = assumed.LOW_PRESSURE if boiler.is_low_pressure else assumed.HIGH_PRESSURE
    water, heat = boiler.water_volume, _full_heat(boiler, burners)
    return replace(
        boiler,
        steam_volume=boiler.steam_volume or _share(assumed.ASSUMED_STEAM_VOLUME, boiler.kind.value, water),
        metal_mass=boiler.metal_mass
        or _share(assumed.ASSUMED_METAL_MASS, boiler.kind.value, None if water is None else water * COLD_WATER_DENSITY),
        feedwater_temperature=boiler.feedwater_temperature or assumed.ASSUMED_FEEDWATER_TEMPERATURE.datum(pressure),
        standing_loss=boiler.standing_loss or _share(assumed.ASSUMED_STANDING_LOSS, assumed.ALWAYS, heat),
        feed_capacity=boiler.feed_capacity or _feed_capacity(boiler.feed, heat),
        level_band=boiler.level_band or assumed.ASSUMED_LEVEL_BAND.datum(),
        low_water_cutoff=boiler.low_water_cutoff or assumed.ASSUMED_LOW_WATER_CUTOFF.datum(),
        breaks_vacuum=boiler.breaks_vacuum or assumed.ASSUMED_BREAKS_VACUUM.datum(),
        burners=burners,
        safety_valves=tuple(_valve(valve) for valve in boiler.safety_valves),
        controls=_controls(boiler.controls, pressure),
    )


def _share(assumption: Assumption, case: str, of: float | None) -> Datum | None:
    return None if of is None else assumption.datum(case, times=of)


def _full_heat(boiler: Boiler, burners: tuple[Burner, ...]) -> float | None:
    """Heat to the water at full fire [W]."""
    if boiler.output is not None:
        return boiler.output
    heats = [
        given * burner.efficiency.value
        for burner in burners
        for given in (burner.input_nameplate, burner.input_clocked)
        if given is not None and burner.efficiency is not None
    ]
    return max(heats, default=None)


def _feed_capacity(feed: Feed | None, heat: float | None) -> Datum | None:
    case = Feed.MODULATING.value if feed is Feed.MODULATING else assumed.ON_OFF_OR_UNKNOWN
    return _share(assumed.ASSUMED_FEED_CAPACITY, case, None if heat is None else heat / FROM_AND_AT_ENTHALPY)


def _controls(controls: Controls, pressure: str) -> Controls:
    """The controls that are there; one that the boiler lacks stays away."""
    for role in Role:
        control = controls.of(role)
        if control is not None:
            controls = controls.having(role, _control(role, control, pressure))
    return controls


def _control(role: Role, control: Control, pressure: str) -> Control:
    reset = control.reset_differential
    if reset is None and role is Role.HIGH_LIMIT:
        reset = assumed.ASSUMED_RESET_DIFFERENTIAL.datum(pressure)
    return replace(control, lag=control.lag or assumed.ASSUMED_CONTROL_LAG.datum(), reset_differential=reset)


def _burner(burner: Burner, kind: str) -> Burner:
    return replace(
        burner,
        efficiency=burner.efficiency or assumed.ASSUMED_EFFICIENCY.datum(),
        heat_lag=burner.heat_lag or assumed.ASSUMED_HEAT_LAG.datum(kind),
        stroke_time=burner.stroke_time or (None if burner.firing is Firing.ON_OFF else assumed.ASSUMED_STROKE.datum()),
        chain=_chain(burner.chain, burner.firing),
    )


def _chain(chain: StartChain, firing: Firing) -> StartChain:
    no_drive = firing is Firing.ON_OFF or chain.purge_damper is PurgeDamper.LOW
    drive = assumed.ON_OFF_OR_LOW if no_drive else assumed.OPEN_OR_UNKNOWN
    return StartChain(
        start_delay=chain.start_delay or assumed.ASSUMED_START_DELAY.datum(),
        drive_open=chain.drive_open or assumed.ASSUMED_DRIVE_OPEN.datum(drive),
        prepurge=chain.prepurge or assumed.ASSUMED_PREPURGE.datum(),
        purge_damper=chain.purge_damper,
        drive_back=chain.drive_back or assumed.ASSUMED_DRIVE_BACK.datum(drive),
        pilot_trial=chain.pilot_trial or assumed.ASSUMED_PILOT_TRIAL.datum(),
        main_trial=chain.main_trial or assumed.ASSUMED_MAIN_TRIAL.datum(),
        flame_to_low_fire=chain.flame_to_low_fire or assumed.ASSUMED_FLAME_TO_LOW_FIRE.datum(),
        release_delay=chain.release_delay or assumed.ASSUMED_RELEASE_DELAY.datum(),
        minimum_off=chain.minimum_off or assumed.ASSUMED_MINIMUM_OFF.datum(),
        postpurge=chain.postpurge or assumed.ASSUMED_POSTPURGE.datum(),
    )


def _valve(valve: SafetyValve) -> SafetyValve:
    if valve.blowdown is not None:
        return valve
    share = assumed.ASSUMED_BLOWDOWN.datum(times=valve.set_pressure)
    least = assumed.ASSUMED_LEAST_BLOWDOWN.datum()
    return replace(valve, blowdown=max(share, least, key=lambda datum: datum.value))
