"""Which dials have to be turned, what stands after some of them have been, and the order that the trade prefers."""

from collections.abc import Collection
from dataclasses import dataclass, replace

from evenfire.judgement.moves.result import Dial, Direction
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Counts, Role
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import ROUNDING_PA, DiffPa, GaugePa

MAIN, DIFFERENTIAL = "main", "differential"


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """One dial that has to be turned."""

    dial: Dial
    from_: float | None
    """[Pa gauge] of a main scale, [Pa] of a differential; ``None`` when nobody read it"""
    to: float
    """[Pa gauge] of a main scale, [Pa] of a differential"""

    @property
    def direction(self) -> Direction:
        """Which way it goes on its own scale."""
        if self.from_ is None:
            return Direction.UNKNOWN
        return Direction.UP if self.to > self.from_ else Direction.DOWN


def surveyed(boiler: Boiler, settings: Settings) -> Settings:
    """The readings of controls that are there; a differential that cannot be turned is what its scale says."""
    for role in Role:
        reading, control = settings.of(role), boiler.controls.of(role)
        if control is None:
            settings = with_reading(settings, role, None)
            continue
        scale = control.differential_scale
        if reading is not None and scale is not None and scale.division is None:
            settings = with_reading(settings, role, replace(reading, differential=scale.lowest))
    return settings


def completed(found: Settings, goal: Settings) -> Settings:
    """The settings aimed at, with the readings as found of every dial that they say nothing of."""
    done = goal
    for role in Role:
        ours, theirs = goal.of(role), found.of(role)
        if ours is None:
            done = with_reading(done, role, theirs)
        elif ours.differential is None and theirs is not None:
            done = with_reading(done, role, replace(ours, differential=theirs.differential))
    return done


def dials_to_turn(found: Settings, goal: Settings) -> tuple[Turned, ...]:
    """Every dial whose reading as found is not that of the goal, or not known."""
    turned: list[Turned] = []
    for role in Role:
        before, after = found.of(role), goal.of(role)
        if after is None:
            continue
        pairs: tuple[tuple[str, float | None, float | None], ...] = (
            (MAIN, None if before is None else before.main, after.main),
            (DIFFERENTIAL, None if before is None else before.differential, after.differential),
        )
        turned.extend(
            Turned(dial=Dial(role, turn), from_=from_, to=to)
            for turn, from_, to in pairs
            if to is not None and (from_ is None or abs(to - from_) > ROUNDING_PA)
        )
    return tuple(turned)


def after_turning(found: Settings, turned: Collection[Turned], proved: frozenset[Role]) -> Settings:
    """The readings when these dials have been turned; a differential nobody can place waits for its main scale."""
    settings = replace(found, proved=proved)
    for each in sorted(turned, key=lambda one: one.dial.turn == DIFFERENTIAL):
        reading = settings.of(each.dial.role)
        if each.dial.turn == MAIN:
            carried = None if reading is None else reading.differential
            reading = DialReading(main=GaugePa(each.to), differential=carried)
        elif reading is not None:
            reading = replace(reading, differential=DiffPa(each.to))
        settings = with_reading(settings, each.dial.role, reading)
    return settings


def with_reading(settings: Settings, role: Role, reading: DialReading | None) -> Settings:
    """The settings with one control's reading replaced."""
    match role:
        case Role.OPERATING_LIMIT:
            return replace(settings, operating_limit=reading)
        case Role.HIGH_LIMIT:
            return replace(settings, high_limit=reading)
        case Role.FIRING_RATE:
            return replace(settings, firing_rate=reading)
        case Role.LOW_FIRE_HOLD:
            return replace(settings, low_fire_hold=reading)


_LEVEL = {Role.HIGH_LIMIT: 6, Role.OPERATING_LIMIT: 4, Role.FIRING_RATE: 2, Role.LOW_FIRE_HOLD: 0}
"""How high a control stands in the stack."""


def preferred(boiler: Boiler, turned: tuple[Turned, ...]) -> tuple[Turned, ...]:
    """The order of habit: lowering comes first and bottom up, raising follows top down.

    So a band below is out of the way before what stands above it comes down, and what stands above has made room
    before a band goes up. Where a dial was not read nothing of this can be told: then the limits come first.
    """
    if any(each.from_ is None for each in turned):
        return tuple(sorted(turned, key=lambda each: (-_LEVEL[each.dial.role], each.dial.turn == DIFFERENTIAL)))

    def place(each: Turned) -> tuple[int, int, bool]:
        level, rises = effect(boiler, each)
        is_differential = each.dial.turn == DIFFERENTIAL
        return (1, -level, is_differential) if rises else (0, level, not is_differential)

    return tuple(sorted(turned, key=place))


def effect(boiler: Boiler, turned: Turned) -> tuple[int, bool]:
    """How high in the stack the highest point that a dial moves stands, and whether that point rises."""
    control = boiler.controls.of(turned.dial.role)
    level = _LEVEL[turned.dial.role]
    grows = turned.direction is Direction.UP
    if turned.dial.turn == MAIN:
        return level, grows
    if control is not None and control.counts in {Counts.ABOVE, Counts.AROUND}:
        return level, grows
    return level - 1, not grows
