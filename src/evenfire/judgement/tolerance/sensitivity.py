"""Which surveyed value each margin hangs on, in motion, and the one measurement that would help most."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import IntEnum
from math import inf, sqrt
from types import MappingProxyType
from typing import Final

from evenfire.errors import ImpossibleValue, OutOfRange
from evenfire.judgement.case import BEYOND_STEAM, Case, firing_at_cut_out, has_band_on_dial, prepare
from evenfire.judgement.margins import Margin, Tier, follows_the_load, room
from evenfire.judgement.outcome import Route, TermName
from evenfire.judgement.proofs import steady
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.rulebook import RULE_BOOK_VERSION
from evenfire.judgement.stack import Stack
from evenfire.judgement.tolerance.measurements import (
    ASSUMED_LEFT,
    ASSUMED_LEFT_OF_READING,
    Measurement,
    Possible,
    possible_for,
)
from evenfire.judgement.tolerance.motion import motion_of
from evenfire.judgement.tolerance.values import SurveyedValue, kind_of, values_of
from evenfire.physics.motion.run import PHYSICS_VERSION
from evenfire.plant.identity import identity
from evenfire.plant.known import Missing, NotKnownError, Origin, known
from evenfire.si import DiffPa, Quantity

ASSUMPTIONS = ("ASSUMED_DOUBTS", "ASSUMED_LEFT", "ASSUMED_LEFT_OF_READING", "ASSUMED_SURE")
ASSUMED_SURE: Final = 3.0
"""Doubts between a room and nought beyond which no measurement is expected to turn the verdict [1].

Three standard deviations, where two would do on a bench: the doubts themselves are judgement.
"""
_LEAST_PULL = 1.0
"""Less than this moves no margin [Pa]."""


class Stake(IntEnum):
    """What hangs on a measurement for a margin, the most first."""

    SAFETY = 0
    """What settle never relaxes is short, or may be"""
    VERDICT = 1
    """Whether it holds is not sure"""
    AMOUNT = 2
    """It is short beyond doubt, and by how much hangs on it"""
    NOTHING = 3
    """It holds beyond doubt"""


@dataclass(frozen=True, slots=True, kw_only=True)
class MotionPull:
    """What one surveyed value does to one margin."""

    key: str
    """Of the plant file"""
    origin: Origin
    doubt: Quantity
    """One standard deviation of the value, as a share or as an amount"""
    higher: DiffPa
    """Change of the room when the value is that much more [Pa]"""
    lower: DiffPa
    """The same when it is that much less [Pa]"""

    @property
    def size(self) -> float:
        """How far the room may be off for it [Pa]."""
        return max(abs(self.higher), abs(self.lower))


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """What one measurement would do for one margin."""

    measurement: Measurement
    keys: tuple[str, ...]
    """Values that it would settle, the strongest first"""
    code: str
    """Of the margin"""
    before: DiffPa
    """One standard deviation of the room now [Pa]"""
    after: DiffPa
    """The same once it is measured [Pa]"""
    term: TermName | None = None
    """Motion that is read itself"""

    @property
    def gain(self) -> float:
        """[Pa]"""
        return self.before - self.after

    def does_the_same_as(self, other: "Help") -> bool:
        """Whether it is the same measurement, for whichever margin."""
        if self.measurement is not other.measurement or self.term is not other.term:
            return False
        return self.term is not None or self.keys == other.keys


@dataclass(frozen=True, slots=True, kw_only=True)
class MarginPulls:
    """One margin and what it hangs on."""

    code: str
    tier: Tier
    room: DiffPa
    """With every motion as it was simulated [Pa]"""
    doubt: DiffPa
    """One standard deviation, the values being off independently of one another [Pa]"""
    pulls: tuple[MotionPull, ...]
    """The strongest first; what moves nothing is left out"""
    helps: tuple[Help, ...]
    """The best first"""

    @property
    def standing(self) -> float:
        """Room in its own doubts [1]; infinite where nothing moves it, on the side on which it is."""
        if self.doubt > 0.0:
            return self.room / self.doubt
        return inf if self.room >= 0.0 else -inf

    @property
    def is_short_for_sure(self) -> bool:
        """Whether it is short beyond doubt."""
        return self.standing < -ASSUMED_SURE

    @property
    def stake(self) -> Stake:
        """What hangs on a measurement."""
        if self.standing > ASSUMED_SURE:
            return Stake.NOTHING
        if self.tier is Tier.NEVER_RELAXED:
            return Stake.SAFETY
        return Stake.AMOUNT if self.is_short_for_sure else Stake.VERDICT

    @property
    def deciding(self) -> MotionPull | None:
        """The value that moves it most."""
        return self.pulls[0] if self.pulls else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """What the margins of a case hang on."""

    boiler: str
    margins: tuple[MarginPulls, ...]
    """The worst first: fewest doubts of room"""
    most_helpful: Help | None
    """The one measurement that takes most off the doubt of a margin, of those margins on which most is at stake"""
    not_weighed: tuple[tuple[str, tuple[str, ...]], ...]
    """Margins that could not be judged: code, and the plant-file keys that are missing"""
    not_varied: tuple[str, ...]
    """Values of which more, or less, makes a boiler that cannot be or cannot be run: only the other side is told"""
    route: Route
    """Simulated, or computed by closed forms where the boiler cannot be simulated"""
    missing: tuple[str, ...]
    """Plant-file keys that would let it be simulated"""
    identity: str
    """Of plant, settings, rule book and physics"""
    assumptions: tuple[str, ...] = ASSUMPTIONS

    def of(self, code: str) -> MarginPulls | None:
        """The margin with this code."""
        return next((each for each in self.margins if each.code == code), None)


def sensitivities(case: Case) -> Iterator[Progress | Sensitivity]:
    """Take every surveyed value in turn for as much more, and less, as it may be off, and run; the answer comes last.

    Settings stay; what changes is the boiler that stands under them.
    """
    values = tuple(values_of(case.plant, case.boiler))
    steps = [(value, by) for value in values for by in (1.0, -1.0)]
    before, missing = _moved(case)
    rooms: dict[tuple[str, float], dict[str, float]] = {}
    for done, (value, by) in enumerate(steps):
        yield Progress(done=done, total=len(steps), what=value.key)
        rooms[value.key, by] = _rooms_when_off(case, value, by, missing)
    known_rooms, unknown = _rooms(before)
    margins = [
        _margin(margin, before, known_rooms[margin.code], values, rooms)
        for margin in before.demands
        if margin.code in known_rooms
    ]
    margins.sort(key=lambda each: each.standing)
    yield Sensitivity(
        boiler=case.boiler.name,
        margins=tuple(margins),
        most_helpful=_most_helpful(margins),
        not_weighed=tuple(unknown.items()),
        not_varied=tuple(value.key for value in values if not (rooms[value.key, 1.0] and rooms[value.key, -1.0])),
        route=Route.COMPUTED if missing else Route.SIMULATED,
        missing=missing,
        identity=identity((case.plant, case.boiler, case.settings, RULE_BOOK_VERSION, PHYSICS_VERSION)),
    )


def sensitivity(case: Case) -> Sensitivity:
    """The answer of :func:`sensitivities`, all at once."""
    for item in sensitivities(case):
        if isinstance(item, Sensitivity):
            return item
    raise AssertionError("the last item is the answer")


def _most_helpful(margins: list[MarginPulls]) -> Help | None:
    """The best help of all; where nothing is at stake, that of the margin that comes nearest to it."""
    helped = [each for each in margins if each.helps]
    if not helped:
        return None
    most = min(each.stake for each in helped)
    if most is Stake.NOTHING:
        return helped[0].helps[0]
    helps = [help_ for each in helped if each.stake is most for help_ in each.helps]
    best = max(helps, key=lambda help_: help_.gain)
    # The same measurement may help several margins: the worst of them tells why.
    return next(help_ for help_ in helps if help_.does_the_same_as(best))


def _moved(case: Case) -> tuple[Case, tuple[str, ...]]:
    """The case with its motion as simulated, and what is missing where it cannot be."""
    try:
        seen = {**steady.motion_seen(case), **_of_rigs(case)}
    except NotKnownError as lacking:
        return case, lacking.keys
    except OutOfRange:
        return case, (BEYOND_STEAM,)
    return replace(case, stack=_seen_stack(case, seen)), ()


def _of_rigs(case: Case) -> dict[TermName, float]:
    """Run-on after the high limit and overshoot of the design drop [Pa].

    No safety valve lifts here: one that did would hide how far the pressure goes.
    """
    motion, seen = motion_of(case), {}
    if not motion.rigs:
        raise NotKnownError(motion.missing)
    if case.boiler.controls.high_limit is not None:
        seen[TermName.RUN_ON_AT_FULL_FIRE] = motion.from_full_fire
    if follows_the_load(case.boiler):
        seen[TermName.OVERSHOOT_OF_DROP] = motion.drop_overshoot
    return seen


def _seen_stack(case: Case, seen: dict[TermName, float]) -> Stack[float]:
    """Every motion as seen with true dials; but where a dial that is off lets the cut-out meet more fire, the closed
    form of that corner stands if it is the greater. What a watch gave of an undershoot stands too.
    """
    stack, full = case.stack, TermName.RUN_ON_AT_FULL_FIRE
    run_on: float | Missing = seen.get(TermName.RUN_ON_AT_CUT_OUT, stack.run_on)
    if not isinstance(run_on, Missing) and not isinstance(stack.run_on, Missing) and _corner_fires_more(case):
        run_on = max(run_on, stack.run_on)
    fell = any(each.name is TermName.UNDERSHOOT and each.route is Route.MEASURED for each in case.terms)
    return replace(
        stack,
        run_on=run_on,
        full_fire_run_on=seen.get(full, stack.full_fire_run_on),
        undershoot=stack.undershoot if fell else seen.get(TermName.UNDERSHOOT, stack.undershoot),
        drop_overshoot=seen.get(TermName.OVERSHOOT_OF_DROP, stack.drop_overshoot),
    )


def _corner_fires_more(case: Case) -> bool:
    """Whether the burner may fire more at cut-out than it does with true dials."""
    if not follows_the_load(case.boiler) or not has_band_on_dial(case.boiler):
        return False
    stack, off = case.stack, case.facts.off
    try:
        cut_out, high_fire, low_fire = known(stack.cut_out, stack.high_fire, stack.low_fire)
        both = sum(known(off.operating_limit, off.firing_rate))
    except NotKnownError:
        return True
    at_worst = firing_at_cut_out(case.boiler, cut_out, high_fire, low_fire, both)
    return at_worst != firing_at_cut_out(case.boiler, cut_out, high_fire, low_fire, 0.0)


def _rooms(case: Case) -> tuple[dict[str, float], dict[str, tuple[str, ...]]]:
    """Room of every demand that is more than practice [Pa], and what the others lack."""
    rooms, unknown = {}, {}
    for margin in case.demands:
        if margin.tier is Tier.USUAL:
            continue
        try:
            rooms[margin.code] = float(room(margin, case.stack, case.facts))
        except NotKnownError as lacking:
            unknown[margin.code] = lacking.keys
    return rooms, unknown


def _rooms_when_off(case: Case, value: SurveyedValue, by: float, missing: tuple[str, ...]) -> dict[str, float]:
    """Rooms in the survey in which a value is so much more; nothing where that cannot be, or not be run like the case
    itself: a closed form beside a simulation would show the difference of the two.
    """
    try:
        plant, boiler = value.off_by(by)
        changed, lacking = _moved(prepare(plant, boiler, case.which, case.settings))
        return _rooms(changed)[0] if lacking == missing else {}
    except (ImpossibleValue, OutOfRange):
        return {}


def _margin(
    margin: Margin,
    case: Case,
    before: float,
    values: tuple[SurveyedValue, ...],
    rooms: dict[tuple[str, float], dict[str, float]],
) -> MarginPulls:
    pulls = []
    for value in values:
        higher = rooms[value.key, 1.0].get(margin.code, before) - before
        lower = rooms[value.key, -1.0].get(margin.code, before) - before
        if max(abs(higher), abs(lower)) >= _LEAST_PULL:
            pulls.append(
                MotionPull(
                    key=value.key,
                    origin=value.origin,
                    doubt=value.doubt,
                    higher=DiffPa(higher),
                    lower=DiffPa(lower),
                )
            )
    pulls.sort(key=lambda pull: -pull.size)
    ranked = tuple(pulls)
    return MarginPulls(
        code=margin.code,
        tier=margin.tier,
        room=DiffPa(before),
        doubt=DiffPa(_together(ranked)),
        pulls=ranked,
        helps=_helps(margin, case, ranked),
    )


def _together(pulls: tuple[MotionPull, ...]) -> float:
    return sqrt(sum(pull.size**2 for pull in pulls))


def _helps(margin: Margin, case: Case, pulls: tuple[MotionPull, ...]) -> tuple[Help, ...]:
    keys = tuple(pull.key for pull in pulls)
    kinds = MappingProxyType({key: kind_of(key) for key in keys})
    helps = []
    for possible in possible_for(margin, keys, kinds):
        before, after = _together(pulls), _left(case, possible, pulls)
        if before - after >= _LEAST_PULL:
            helps.append(
                Help(
                    measurement=possible.measurement,
                    keys=possible.keys,
                    code=margin.code,
                    before=DiffPa(before),
                    after=DiffPa(after),
                    term=possible.term,
                )
            )
    return tuple(sorted(helps, key=lambda each: -each.gain))


def _left(case: Case, possible: Possible, pulls: tuple[MotionPull, ...]) -> float:
    """Doubt of a margin once something is measured [Pa]."""
    if possible.term is None:
        sizes = [(ASSUMED_LEFT if pull.key in possible.keys else 1.0) * pull.size for pull in pulls]
        return sqrt(sum(size**2 for size in sizes))
    others = sum(pull.size**2 for pull in pulls if pull.key not in possible.keys)
    return sqrt(others + (ASSUMED_LEFT_OF_READING * _motion(case, possible.term)) ** 2)


def _motion(case: Case, term: TermName) -> float:
    """Size of a motion in a case [Pa]."""
    stack = case.stack
    motion = {
        TermName.RUN_ON_AT_CUT_OUT: stack.run_on,
        TermName.RUN_ON_AT_FULL_FIRE: stack.full_fire_run_on,
        TermName.UNDERSHOOT: stack.undershoot,
    }[term]
    return 0.0 if isinstance(motion, Missing) else motion
