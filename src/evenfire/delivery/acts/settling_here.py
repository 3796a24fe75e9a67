"""Settle a boiler of the store as it stands now, for its need or for a target, with a division more and one less.

The search loads arrays: it is brought in when somebody asks, and an idle server does without.
"""

import re
from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from evenfire.delivery.acts.boiler_now import BoilerNow, Whence, boiler_now, open_visits_here
from evenfire.delivery.answers import BoilerSettle, Settle
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import KeptBoiler
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadInput, BelowNeed
from evenfire.judgement.settle.result import Settlement
from evenfire.judgement.settle.retarget import one_division, retargeted
from evenfire.plant.boiler import Boiler
from evenfire.plant.identity import identity
from evenfire.plant.plant import Plant
from evenfire.si import GaugePa

if TYPE_CHECKING:
    from evenfire.judgement.proofs.learning import Progress

SPACES = re.compile(r"\s+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """The same with one division of the operating limit more or less, by the closed forms."""

    target: str
    """As it is typed; empty for the need itself"""
    pressure: GaugePa
    """[Pa gauge]"""
    answer: Settlement | None
    """Nothing where the need forbids it"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SettledHere:
    """What was settled, and whether it would go with a division more or less."""

    done: Settle
    held: GaugePa | None
    """What it was settled for; nothing where no need is stated [Pa gauge]"""
    up: Step | None
    """Nothing where the scale is not surveyed, no need is stated, or the target counts no divisions"""
    down: Step | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ToSettle:
    """A boiler of the store with what it is to be settled for."""

    now: BoilerNow
    target: str
    """As it is typed, in plain spelling; empty for the need"""
    visit: str | None
    """Id of the visit that is open at the boiler"""

    @property
    def is_of_visit(self) -> bool:
        """Whether it is settled from the readings of that visit."""
        return self.now.whence is Whence.OPEN_VISIT

    @property
    def key(self) -> Hashable:
        """The same for everything that is settled alike: a proposal that was made already does not count."""
        boilers = tuple(replace(each, proposed=None) for each in self.now.plant_file.plant.boilers)
        plant = replace(self.now.plant_file.plant, boilers=boilers)
        return "settle", identity(plant), self.now.plant_file.name, self.now.boiler.name, self.target


def to_settle(store: Store, kept: KeptBoiler, target: str) -> ToSettle | None:
    """A boiler as it stands, to be settled; nothing where the store holds no survey of it.

    Raises
    ------
    BadInput
        Its survey cannot be read.
    """
    now = boiler_now(store, kept)
    if now is None:
        return None
    opened = open_visits_here(store, kept.id).get(kept.id, ())
    first = next((each for each in opened if each.has_readings), opened[0] if opened else None)
    visit = None if first is None else first.visit.opening.id
    return ToSettle(now=now, target=SPACES.sub(" ", target.strip()), visit=visit)


def why_not(asked: ToSettle, system: UnitSystem) -> str:
    """Why the target cannot be asked for; empty where it can."""
    if not asked.target:
        return ""
    from evenfire.delivery.acts.settling import at_target

    try:
        at_target(asked.now.plant_file, asked.now.boiler, asked.target, system)
    except BadInput as error:
        return str(error)
    return ""


def settle_here(
    plant_file: PlantFile, boiler: str, target: str, system: UnitSystem, watch: "Callable[[Progress], None] | None"
) -> SettledHere:
    """Settle one boiler, shown in motion; then look by the closed forms at a division more and one less.

    Raises
    ------
    BadInput
        As :func:`evenfire.delivery.acts.settling.settle_of`.
    """
    from evenfire.delivery.acts.settling import at_target, settle_of

    done = settle_of(plant_file, target or None, system, watch=watch, only=boiler)
    surveyed = next(each for each in plant_file.plant.boilers if each.name == boiler)
    plant = at_target(plant_file, surveyed, target, system) if target else plant_file.plant
    return SettledHere(
        done=replace(done, boilers=tuple(_without_old_runs(each) for each in done.boilers)),
        held=plant.load.need,
        up=_step(plant_file.plant, surveyed, target, 1),
        down=_step(plant_file.plant, surveyed, target, -1),
    )


def _without_old_runs(boiler: BoilerSettle) -> BoilerSettle:
    """The same without the runs of rounds that were given up: nobody looks at them, and they are large."""
    if boiler.motion is None:
        return boiler
    rounds = tuple(replace(each, proofs=()) for each in boiler.motion.rounds)
    return replace(boiler, motion=replace(boiler.motion, rounds=rounds))


def _step(plant: Plant, boiler: Boiler, target: str, by: int) -> Step | None:
    from evenfire.delivery.acts.settling import DIVISIONS
    from evenfire.judgement.settle.settling import settle as settle_boiler

    counted = DIVISIONS.fullmatch(target)
    division, need = one_division(boiler), plant.load.need
    if division is None or need is None or (target and counted is None):
        return None
    count = (0 if counted is None else int(counted.group(1))) + by
    pressure = GaugePa(need + count * division)
    named = f"{count:+d} division{'' if abs(count) == 1 else 's'}" if count else ""
    try:
        raised = retargeted(plant, pressure)
    except BelowNeed:
        return Step(target=named, pressure=pressure, answer=None)
    return Step(target=named, pressure=pressure, answer=settle_boiler(raised, boiler))
