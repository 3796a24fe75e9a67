"""The pressure stack laid out: which levels there are, where each stands, what is missing. Nothing is drawn here."""

from collections.abc import Iterable

from evenfire.delivery.figures.firing_line import FiringLine, NoLine, firing_line
from evenfire.delivery.figures.pressure_scale import PressureScale, scale_of
from evenfire.delivery.figures.stack_absent import absent_of
from evenfire.delivery.figures.stack_levels import (
    Band,
    Column,
    Label,
    Level,
    LevelKind,
    Note,
    SetOfSettings,
    StackLayout,
    column_of,
)
from evenfire.errors import BadRequest
from evenfire.judgement.case import Case, SettingsSet
from evenfire.judgement.margins import Level as Reach
from evenfire.judgement.margins import (
    cut_out_at_its_earliest,
    follows_the_load,
    highest_after_trip,
    highest_normal,
    low_fire_at_its_latest,
    lowest_after_restart,
)
from evenfire.judgement.valve_facts import lift_of, reseat_of
from evenfire.physics.switching import leg_shift
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, NotKnownError
from evenfire.plant.safety_valve import SafetyValve
from evenfire.plant.settings import Switch
from evenfire.si import ROUNDING_PA

OUTLYING = frozenset({LevelKind.LOW_FIRE_HOLD, LevelKind.MAWP, LevelKind.RATED_MAX})
"""Levels that may stand beyond a break of the scale when they lie far from all others."""
_ORDER = tuple(LevelKind)


def lay_out(case_found: Case | None, case_proposed: Case | None, *, is_stale: bool = False) -> StackLayout:
    """Lay out the pressure stack of one boiler with one or two sets of its settings.

    Parameters
    ----------
    case_found, case_proposed
        The boiler with its settings as found, and with those proposed (or as left); either may be ``None``.
    is_stale
        Whether the proposal was made for another survey than this one; the figure then says so first.

    Raises
    ------
    BadRequest
        Neither case is given, or the two are not of one boiler, or both are the same set of settings.
    """
    cases = tuple(case for case in (case_found, case_proposed) if case is not None)
    if not cases:
        raise BadRequest("A pressure stack needs at least one set of settings.")
    if len(cases) == 2 and (cases[0].boiler.name != cases[1].boiler.name or cases[0].which is cases[1].which):
        raise BadRequest("A pressure stack compares two sets of settings of one boiler.")
    levels = sorted((*_plant_levels(cases[0]), *(level for case in cases for level in _set_levels(case))), key=_order)
    sets = tuple(_set(case) for case in cases)
    scale = _scale(levels, sets)
    found = cases[0].boiler.as_found if cases[0].which is SettingsSet.AS_FOUND else None
    return StackLayout(
        boiler=cases[0].boiler.name,
        site=cases[0].site.name,
        levels=tuple(levels),
        labels=_labels(levels),
        sets=sets,
        scale=scale,
        absent=absent_of(cases),
        notes=(*((Note.STALE_PROPOSAL,) if is_stale else ()), *_notes(cases, sets, scale)),
        capped_at=None if found is None else found.manual_cap,
    )


def _order(level: Level) -> tuple[float, int]:
    """From the highest down; pressures that differ by rounding alone are one."""
    return (-round(level.pressure / ROUNDING_PA), _ORDER.index(level.kind))


def _plant_levels(case: Case) -> Iterable[Level]:
    facts = case.facts
    stated: tuple[tuple[LevelKind, float | Missing], ...] = (
        (LevelKind.MAWP, facts.mawp),
        (LevelKind.RATED_MAX, facts.rated_max),
        (LevelKind.WISH, facts.wish),
        (LevelKind.NEED, facts.need),
    )
    for kind, pressure in stated:
        if not isinstance(pressure, Missing):
            yield Level(kind=kind, column=Column.PLANT, pressure=pressure)
    for valve in case.boiler.safety_valves:
        yield from _valve_levels(valve)


def _valve_levels(valve: SafetyValve) -> Iterable[Level]:
    lift, reseat = lift_of(valve), reseat_of(valve)
    band = Band(lowest=min(lift, valve.set_pressure), highest=max(lift, valve.set_pressure))
    levels = [(LevelKind.SAFETY_VALVE, float(valve.set_pressure), band), (LevelKind.EARLIEST_LIFT, float(lift), None)]
    if reseat is not None:
        levels.append((LevelKind.RESEAT, float(reseat), None))
    for kind, pressure, zone in levels:
        yield Level(kind=kind, column=Column.PLANT, pressure=pressure, band=zone, valve=valve.name)


def _set_levels(case: Case) -> Iterable[Level]:
    stack, off = case.stack, case.facts.off
    points: tuple[tuple[LevelKind, float | Missing, float | Missing, Reach | None], ...] = (
        (LevelKind.HIGH_LIMIT, stack.trip, off.high_limit, highest_after_trip),
        (LevelKind.CUT_OUT, stack.cut_out, off.operating_limit, highest_normal),
        (LevelKind.CUT_IN, stack.cut_in, off.operating_limit, lowest_after_restart),
        (LevelKind.LOW_FIRE, stack.low_fire, off.firing_rate, None),
        (LevelKind.HIGH_FIRE, stack.high_fire, off.firing_rate, None),
        (LevelKind.LOW_FIRE_HOLD, stack.hold, off.low_fire_hold, None),
    )
    for kind, pressure, tolerance, reach in points:
        if not isinstance(pressure, Missing):
            yield _acting(case, kind, pressure, tolerance, reach)


def _acting(case: Case, kind: LevelKind, pressure: float, off: float | Missing, reach: Reach | None) -> Level:
    tolerance = None if isinstance(off, Missing) else off
    return Level(
        kind=kind,
        column=column_of(case.which),
        pressure=pressure,
        band=None if tolerance is None else Band(lowest=pressure - tolerance, highest=pressure + tolerance),
        tolerance=tolerance,
        reach=None if reach is None else _reach(case, reach),
    )


def _set(case: Case) -> SetOfSettings:
    try:
        room = cut_out_at_its_earliest(case.stack, case.facts) - low_fire_at_its_latest(case.stack, case.facts)
        low_first: bool | None = bool(room > ROUNDING_PA)
    except NotKnownError:
        low_first = None
    return SetOfSettings(column=column_of(case.which), line=firing_line(case), is_low_before_cut_out=low_first)


def _reach(case: Case, reach: Reach) -> float | None:
    try:
        return max(float(reach(case.stack, case.facts)), 0.0)
    except NotKnownError:
        return None


def _labels(levels: Iterable[Level]) -> tuple[Label, ...]:
    """One label for levels that are the same in kind, pressure and tolerance."""
    labels: dict[tuple[LevelKind, int, int | None], Label] = {}
    for level in levels:
        tolerance = None if level.tolerance is None else round(level.tolerance / ROUNDING_PA)
        key = (level.kind, round(level.pressure / ROUNDING_PA), tolerance)
        same = labels.get(key)
        columns = () if same is None else same.columns
        valves = () if same is None else same.valves
        labels[key] = Label(
            kind=level.kind,
            columns=tuple(dict.fromkeys((*columns, level.column))),
            pressure=level.pressure,
            tolerance=level.tolerance,
            valves=valves if level.valve is None else (*valves, level.valve),
        )
    return tuple(labels.values())


def _scale(levels: Iterable[Level], sets: Iterable[SetOfSettings]) -> PressureScale:
    main: list[float] = []
    outlying: list[float] = []
    for level in levels:
        band = (level.pressure,) if level.band is None else (level.band.lowest, level.band.highest)
        reach = () if level.reach is None else (level.reach,)
        (outlying if level.kind in OUTLYING else main).extend((*band, *reach, level.pressure))
    for each in sets:
        if isinstance(each.line, FiringLine):
            main.extend(point.pressure for point in each.line.working)
    return scale_of(main or outlying, outlying if main else ())


def _notes(cases: tuple[Case, ...], sets: tuple[SetOfSettings, ...], scale: PressureScale) -> Iterable[Note]:
    boiler = cases[0].boiler
    if _dials_shift(boiler):
        yield Note.AT_THE_BOILER
    if scale.breaks:
        yield Note.BROKEN_SCALE
    found = boiler.as_found
    if found is not None and any(case.which is SettingsSet.AS_FOUND for case in cases):
        if found.switch is Switch.MANUAL:
            yield Note.FOUND_IN_MANUAL
        if found.manual_cap is not None and found.manual_cap < 1.0:
            yield Note.FIRING_CAPPED
    if follows_the_load(boiler) and boiler.controls.low_fire_hold is None:
        yield Note.NO_HOLD
    if len(boiler.burners) > 1 and not all(isinstance(each.line, NoLine) for each in sets):
        yield Note.LEAST_TURNDOWN


def _dials_shift(boiler: Boiler) -> bool:
    """Whether a water leg makes any dial show another pressure than the boiler has."""
    controls = [boiler.controls.of(role) for role in Role]
    return any(abs(leg_shift(control).offset) > ROUNDING_PA for control in controls if control is not None)
