"""Ways to change a plant so that settings may fit, each in steps from nothing to as far as it may go."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from evenfire.judgement.behaviour import Behaviour
from evenfire.judgement.settle.grid import proved_roles
from evenfire.judgement.settle.result import CureKind
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Firing
from evenfire.plant.controls import DifferentialScale, Role
from evenfire.plant.known import Datum, NotKnownError
from evenfire.plant.plant import Plant
from evenfire.si import LOW_PRESSURE_LIMIT_PA, PA_PER_PSI, ROUNDING_PA, DiffPa, Dimension, GaugePa

PROVED_WITHIN = 0.5 * PA_PER_PSI
"""How near a control can be proved against a reference gauge (common practice, no source) [Pa]."""
STEP_OF_PRESSURE = 0.5 * PA_PER_PSI
"""[Pa]"""
STEP_OF_PRESSURE_LOW = 0.25 * PA_PER_PSI
"""On low pressure [Pa]."""
STEP_OF_TIME = 1.0
"""[s]"""
STEP_OF_TURNDOWN = 0.5
"""[1]"""
HIGHEST_TURNDOWN_OFFERED = 20.0
"""More turndown than this is another burner [1]."""
SHORTEST_CHAIN = 20.0
"""No chain with a purge and two trials is shorter [s]."""
NARROWEST_BAND = 1.0 * PA_PER_PSI
"""A range or differential narrower than this is no range, on high pressure [Pa]."""
NARROWEST_BAND_LOW = 0.5 * PA_PER_PSI
"""On low pressure [Pa]."""
LOWEST_NEED_SHARE = 0.5
"""A need that would have to be lowered further is another plant [1]."""

Apply = Callable[[Plant, Boiler, float], tuple[Plant, Boiler]]
"""The plant and its boiler with a value [SI] changed; a plant that already has as much of it stays as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A kind of change with its steps: none changes nothing, the last is as far as it may go."""

    kind: CureKind
    roles: tuple[Role, ...] = ()
    """Controls that it concerns; empty for a change of the plant"""
    dimension: Dimension
    start: float | None
    """What the survey says [SI]; ``None`` where there is nothing to compare with"""
    step: float
    """Signed [SI]"""
    count: int
    apply: Apply

    def value(self, steps: int) -> float:
        """The value after so many steps [SI]."""
        return (self.start or 0.0) + self.step * steps


def ways(plant: Plant, boiler: Boiler) -> Iterator[Way]:
    """The changes worth trying on this plant, what can be done in the boiler room first."""
    yield from _proving(boiler)
    yield from _bands(boiler)
    yield from _scales(boiler)
    yield from _start(plant, boiler)
    yield from _turndown(boiler)
    yield from _load(plant, boiler)
    yield from _valves(boiler)


def _proving(boiler: Boiler) -> Iterator[Way]:
    """Each control that is not proved yet, then the two limits together, then all."""
    order = (Role.HIGH_LIMIT, Role.OPERATING_LIMIT, Role.FIRING_RATE, Role.LOW_FIRE_HOLD)
    proved = proved_roles(boiler)
    left = [role for role in order if boiler.controls.of(role) is not None and role not in proved]
    limits = tuple(role for role in left if role in {Role.HIGH_LIMIT, Role.OPERATING_LIMIT})
    groups = [*((role,) for role in left), limits, tuple(left)]
    for group in dict.fromkeys(group for group in groups if group):
        yield Way(
            kind=CureKind.PROVE,
            roles=group,
            dimension=Dimension.PRESSURE_DIFFERENCE,
            start=None,
            step=PROVED_WITHIN,
            count=1,
            apply=_prove(group),
        )


def _prove(roles: tuple[Role, ...]) -> Apply:
    def apply(plant: Plant, boiler: Boiler, within: float) -> tuple[Plant, Boiler]:
        controls = boiler.controls
        for role in roles:
            control = controls.of(role)
            if control is not None:
                tolerance = replace(control.tolerance, proved=DiffPa(within))
                controls = controls.having(role, replace(control, tolerance=tolerance))
        return plant, replace(boiler, controls=controls)

    return apply


def _bands(boiler: Boiler) -> Iterator[Way]:
    """A dial whose range or differential goes narrower than the one fitted."""
    kinds = ((Role.FIRING_RATE, CureKind.NARROWER_RANGE), (Role.OPERATING_LIMIT, CureKind.NARROWER_DIFFERENTIAL))
    step = _pressure_step(boiler)
    narrowest = NARROWEST_BAND_LOW if boiler.is_low_pressure else NARROWEST_BAND
    for role, kind in kinds:
        control = boiler.controls.of(role)
        if control is None or control.differential_scale is None:
            continue
        lowest = control.differential_scale.lowest
        yield Way(
            kind=kind,
            roles=(role,),
            dimension=Dimension.PRESSURE_DIFFERENCE,
            start=lowest,
            step=-step,
            count=int((lowest - narrowest) / step + 1e-9),
            apply=_narrow(role, 2 * step),
        )


def _narrow(role: Role, division: float) -> Apply:
    def apply(plant: Plant, boiler: Boiler, lowest: float) -> tuple[Plant, Boiler]:
        control = boiler.controls.of(role)
        if control is None or control.differential_scale is None:
            return plant, boiler
        widest = control.differential_scale.highest
        narrowest = min(lowest, control.differential_scale.lowest)
        scale = DifferentialScale(lowest=DiffPa(narrowest), highest=widest, division=DiffPa(division))
        return plant, replace(boiler, controls=boiler.controls.having(role, replace(control, differential_scale=scale)))

    return apply


def _scales(boiler: Boiler) -> Iterator[Way]:
    """A dial whose main scale goes higher than that of the one fitted."""
    for role in (Role.OPERATING_LIMIT, Role.HIGH_LIMIT, Role.FIRING_RATE):
        control = boiler.controls.of(role)
        if control is None or control.scale is None:
            continue
        yield Way(
            kind=CureKind.LONGER_SCALE,
            roles=(role,),
            dimension=Dimension.GAUGE_PRESSURE,
            start=control.scale.highest,
            step=control.scale.division,
            count=_steps_to(control.scale.highest, boiler.mawp, control.scale.division),
            apply=_lengthen(role),
        )


def _lengthen(role: Role) -> Apply:
    def apply(plant: Plant, boiler: Boiler, highest: float) -> tuple[Plant, Boiler]:
        control = boiler.controls.of(role)
        if control is None or control.scale is None:
            return plant, boiler
        scale = replace(control.scale, highest=GaugePa(max(highest, control.scale.highest)))
        return plant, replace(boiler, controls=boiler.controls.having(role, replace(control, scale=scale)))

    return apply


def _start(plant: Plant, boiler: Boiler) -> Iterator[Way]:
    """A shorter time from contact to low-fire heat, as a watch would measure it."""
    behaviour = Behaviour(boiler, plant.load, plant.site.ambient)
    try:
        longest = max((behaviour.contact_to_low_fire(burner).value for burner in boiler.burners), default=0.0)
    except NotKnownError:
        return
    yield Way(
        kind=CureKind.SHORTEN_START,
        dimension=Dimension.TIME,
        start=longest,
        step=-STEP_OF_TIME,
        count=int((longest - SHORTEST_CHAIN) / STEP_OF_TIME),
        apply=_shorten,
    )


def _shorten(plant: Plant, boiler: Boiler, seconds: float) -> tuple[Plant, Boiler]:
    """A shorter start also undoes what an older, longer one let the gauge read."""
    none = Datum(0.0)
    burners = tuple(replace(each, chain=replace(each.chain, minimum_off=none)) for each in boiler.burners)
    watched = boiler.measured.contact_to_low_fire
    shortest = seconds if watched is None else min(seconds, watched)
    measured = replace(boiler.measured, contact_to_low_fire=shortest, undershoot=None)
    return plant, replace(boiler, measured=measured, burners=burners)


def _turndown(boiler: Boiler) -> Iterator[Way]:
    """A burner that goes lower; one that only goes on and off would be another burner."""
    turned = [
        each.turndown for each in boiler.burners if each.firing is not Firing.ON_OFF and each.turndown is not None
    ]
    if not turned or len(turned) < len(boiler.burners):
        return
    least = min(turned)
    yield Way(
        kind=CureKind.MORE_TURNDOWN,
        dimension=Dimension.NUMBER,
        start=least,
        step=STEP_OF_TURNDOWN,
        count=int((HIGHEST_TURNDOWN_OFFERED - least) / STEP_OF_TURNDOWN + 1e-9),
        apply=_turn_down,
    )


def _turn_down(plant: Plant, boiler: Boiler, turndown: float) -> tuple[Plant, Boiler]:
    burners = tuple(replace(each, turndown=max(turndown, each.turndown or 1.0)) for each in boiler.burners)
    return plant, replace(boiler, burners=burners)


def _load(plant: Plant, boiler: Boiler) -> Iterator[Way]:
    """Less pressure needed, more pressure allowed."""
    load, step = plant.load, _pressure_step(boiler)
    if load.need is not None:
        yield Way(
            kind=CureKind.LOWER_NEED,
            dimension=Dimension.GAUGE_PRESSURE,
            start=load.need,
            step=-step,
            count=int(LOWEST_NEED_SHARE * load.need / step),
            apply=_lower_need,
        )
    if load.wish is not None:
        yield Way(
            kind=CureKind.RAISE_WISH,
            dimension=Dimension.GAUGE_PRESSURE,
            start=load.wish,
            step=step,
            count=_steps_to(load.wish, boiler.mawp, step),
            apply=_raise_wish,
        )
    if load.rated_max is not None:
        yield Way(
            kind=CureKind.RAISE_DOWNSTREAM_RATING,
            dimension=Dimension.GAUGE_PRESSURE,
            start=load.rated_max,
            step=step,
            count=_steps_to(load.rated_max, boiler.mawp, step),
            apply=_raise_rating,
        )


def _lower_need(plant: Plant, boiler: Boiler, need: float) -> tuple[Plant, Boiler]:
    lowered = need if plant.load.need is None else min(need, plant.load.need)
    return replace(plant, load=replace(plant.load, need=GaugePa(lowered))), boiler


def _raise_wish(plant: Plant, boiler: Boiler, wish: float) -> tuple[Plant, Boiler]:
    raised = wish if plant.load.wish is None else max(wish, plant.load.wish)
    return replace(plant, load=replace(plant.load, wish=GaugePa(raised))), boiler


def _raise_rating(plant: Plant, boiler: Boiler, rating: float) -> tuple[Plant, Boiler]:
    raised = rating if plant.load.rated_max is None else max(rating, plant.load.rated_max)
    return replace(plant, load=replace(plant.load, rated_max=GaugePa(raised))), boiler


def _valves(boiler: Boiler) -> Iterator[Way]:
    """Safety valves set higher, where the boiler is allowed more: never above the MAWP."""
    lowest = min((valve.set_pressure for valve in boiler.safety_valves), default=None)
    if lowest is None:
        return
    ceiling = min(boiler.mawp, LOW_PRESSURE_LIMIT_PA) if boiler.is_low_pressure else boiler.mawp
    step = 2 * _pressure_step(boiler)
    yield Way(
        kind=CureKind.HIGHER_VALVES,
        dimension=Dimension.GAUGE_PRESSURE,
        start=lowest,
        step=step,
        count=_steps_to(lowest, ceiling, step),
        apply=_set_valves,
    )


def _set_valves(plant: Plant, boiler: Boiler, pressure: float) -> tuple[Plant, Boiler]:
    valves = tuple(
        valve if valve.set_pressure >= pressure else replace(valve, set_pressure=GaugePa(pressure), tested_lift=None)
        for valve in boiler.safety_valves
    )
    return plant, replace(boiler, safety_valves=valves)


def _steps_to(start: float, end: float, step: float) -> int:
    return max(0, int((end - start + ROUNDING_PA) / step))


def _pressure_step(boiler: Boiler) -> float:
    return STEP_OF_PRESSURE_LOW if boiler.is_low_pressure else STEP_OF_PRESSURE
