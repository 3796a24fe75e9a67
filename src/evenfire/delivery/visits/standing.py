"""What stands against signing a visit, and what a reader of the signed record has to be told."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Final

from evenfire.delivery.visits.corrections import corrections_of
from evenfire.delivery.visits.fields import DIALS, Service
from evenfire.delivery.visits.moments import unlikely_moments
from evenfire.delivery.visits.visit import TripEntry, Visit
from evenfire.judgement.outcome import Finding, NotJudged, Outcome, Severity
from evenfire.judgement.trip_test.trip import TESTED
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.settings import Settings, Switch
from evenfire.si import PA_PER_PSI, ROUNDING_PA

FEWEST_CYCLES: Final = 3
"""Full cycles to be watched after a change of settings (NREL 5.3102.21)."""

AS_TOLD_PA: Final = 0.06 * PA_PER_PSI
"""Where a control is to be proved its dial is only a start, told to a tenth of a psi: set as told, it is as proposed.

[Pa]
"""


class Bar(Enum):
    """Why a visit cannot be signed as it stands; worst first."""

    TEMPORARY_CHANGE_OPEN = "temporary change open"
    TEMPORARY_CHANGE_TIMES = "temporary change closed before it was opened"
    TEMPORARY_CHANGE_UNTOLD = "temporary change untold"
    """What, why, by whom or when is lacking"""
    LIMIT_FAILED_IN_SERVICE = "limit failed, left in service"
    DEVICE_FAILED_IN_SERVICE = "safety device failed, left in service"
    STOP_FINDING_IN_SERVICE = "stop finding, left in service"
    UNSAFE_PROOF_IN_SERVICE = "unsafe proof, left in service"
    JUMPER_IN_SERVICE = "jumper left, in service"
    JUMPERS_NOT_TOLD = "nobody says whether a jumper was left"
    TWO_VALUES = "two values"
    UNREADABLE = "unreadable"
    MOMENT_UNLIKELY = "day and time that cannot be meant"
    NOT_READ_AS_LEFT = "not read as left"
    SERVICE_NOT_TOLD = "nobody says how it was left"
    LOCK_NOT_TOLD = "nobody says who locked it out"
    NO_CONSENT = "tested without consent"
    NOBODY_AT_THE_STOP = "nobody at the stop"
    GIVEN_UP = "given up"


class Flag(Enum):
    """What a signed visit says of itself in its head; worst first."""

    OUT_OF_SERVICE = "left out of service"
    LIMIT_FAILED = "limit failed"
    """Like the next four only out of service: in service they bar signing"""
    DEVICE_FAILED = "safety device failed"
    STOP_FINDING = "stop finding"
    UNSAFE_PROOF = "unsafe proof"
    JUMPER_LEFT = "jumper left"
    BYPASSED_FOR_A_TEST = "bypassed for a test"
    """By the words of a temporary change; no limit is ever bypassed"""
    CORRECTED = "corrected after it was entered"
    """A field that may have turned a failed test into a pass, or taken away a bypass"""
    SEEN_BY_THE_CLOSER = "temporary change seen closed by who closed it"
    NOT_READ_AS_LEFT = "not every dial read as left"
    STOP_NOT_JUDGED = "stop rule not judged"
    TRIP_UNDECIDED = "trip test undecided"
    TRIP_NOT_JUDGED = "trip test not judged"
    DEVICE_NOT_JUDGED = "safety device not judged"
    FUNCTION_ONLY = "function proved, not the trip pressure"
    TRIPS_LOW = "trips low"
    DIFFERENTIAL_NOT_AS_SET = "differential not as its dial has it"
    DEVICE_ACTS_EARLY = "safety device acts early"
    TESTED_FOR_ANOTHER_AIM = "tested against another pressure than it is to act at"
    HIGH_LIMIT_NOT_TESTED = "high limit not tested"
    PROVED_IN_PROPOSAL_ONLY = "proposed as proved, and not proved"
    DIFFERS_FROM_PROPOSED = "differs from proposed"
    NO_PROPOSAL = "nothing was proposed"
    PROPOSAL_STALE = "proposal made for other readings"
    MOVE_NOT_TICKED = "move not ticked"
    FEW_CYCLES = "fewer than three cycles seen"
    SWITCH_NOT_AUTOMATIC = "switch not left in automatic"
    NOT_PROVED = "scenario not proved"
    PROOF_FAILS = "scenario fails"


@dataclass(frozen=True, slots=True, kw_only=True)
class Barred:
    """One thing that stands against signing."""

    bar: Bar
    rows: tuple[int, ...] = ()
    """Of the table that it speaks of"""
    paths: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()
    """Of rules"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flagged:
    """One thing that a reader has to be told."""

    flag: Flag
    rows: tuple[int, ...] = ()
    paths: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TripsSeen:
    """How the tests came out, by their rows."""

    unsafe: tuple[int, ...] = ()
    undecided: tuple[int, ...] = ()
    function_only: tuple[int, ...] = ()
    not_judged: tuple[int, ...] = ()
    trips_low: tuple[int, ...] = ()
    other_aim: tuple[int, ...] = ()
    """Made against another pressure than the control is to act at"""
    differential_off: tuple[int, ...] = ()
    """The burner started again elsewhere than the dial of the differential has it"""
    proved: frozenset[Role] = frozenset()
    """Controls that stand as left where they were seen to act"""
    devices_failed: tuple[int, ...] = ()
    devices_early: tuple[int, ...] = ()
    devices_not_judged: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What is known of the boiler as it is left."""

    outcomes: tuple[Outcome, ...]
    unsafe_scenarios: tuple[str, ...] = ()
    failing_scenarios: tuple[str, ...] = ()
    scenarios_not_proved: tuple[str, ...] = ()


def bars(visit: Visit, boiler: Boiler, left: Left, tested: TripsSeen) -> tuple[Barred, ...]:
    """Everything that stands against signing, worst first; empty when a person may sign."""
    found = (*_temporary(visit), *_in_service(visit, left, tested), *_untold(visit, boiler))
    return tuple(sorted(found, key=lambda each: list(Bar).index(each.bar)))


def flags(visit: Visit, boiler: Boiler, left: Left, tested: TripsSeen, *, is_stale: bool) -> tuple[Flagged, ...]:
    """Everything that the head of the signed record says, worst first."""
    found = (
        *_flags_out_of_service(visit, boiler, left, tested),
        *_flags_of_changes(visit),
        *_flags_of_tests(visit, tested),
        *_flags_of_settings(visit, tested, is_stale),
        *_flags_of_left(visit, boiler, left),
    )
    return tuple(sorted(found, key=lambda each: list(Flag).index(each.flag)))


def dials_that_differ(visit: Visit, tested: TripsSeen) -> tuple[str, ...]:
    """Dials left elsewhere than proposed; of a control proved on this visit the dial is only a start."""
    if visit.proposed is None:
        return ()
    wanted, read = _by_dial(visit.proposed.settings), _by_dial(visit.as_left)
    proved = {role.value for role in tested.proved & visit.proposed.settings.proved}
    starts = {role.value for role in visit.proposed.settings.proved}

    def differs(dial: str) -> bool:
        return abs(wanted[dial] - read[dial]) > (AS_TOLD_PA if dial in starts else ROUNDING_PA)

    return tuple(dial for dial in DIALS if dial not in proved and dial in wanted and dial in read and differs(dial))


def _temporary(visit: Visit) -> Iterator[Barred]:
    open_rows = tuple(each.row for each in visit.temporary_changes if each.is_open)
    wrong_rows = tuple(each.row for each in visit.temporary_changes if each.is_back_to_front)
    untold = tuple(each.row for each in visit.temporary_changes if not each.is_complete)
    if open_rows:
        yield Barred(bar=Bar.TEMPORARY_CHANGE_OPEN, rows=open_rows)
    if wrong_rows:
        paths = tuple(f"temporary.{row}.{key}" for row in wrong_rows for key in ("opened_at", "closed_at"))
        yield Barred(bar=Bar.TEMPORARY_CHANGE_TIMES, rows=wrong_rows, paths=paths)
    if untold:
        yield Barred(bar=Bar.TEMPORARY_CHANGE_UNTOLD, rows=untold)


def _in_service(visit: Visit, left: Left, tested: TripsSeen) -> Iterator[Barred]:
    """What forbids leaving the boiler in service; out of service it may be signed, and says so in its head."""
    if visit.service is None:
        yield Barred(bar=Bar.SERVICE_NOT_TOLD, paths=("as_left.service",))
    elif visit.service is Service.OUT_OF_SERVICE:
        if not visit.locked_out_by:
            yield Barred(bar=Bar.LOCK_NOT_TOLD, paths=("as_left.locked_out_by",))
        return
    if tested.unsafe:
        yield Barred(bar=Bar.LIMIT_FAILED_IN_SERVICE, rows=tested.unsafe)
    if tested.devices_failed:
        yield Barred(bar=Bar.DEVICE_FAILED_IN_SERVICE, rows=tested.devices_failed)
    stops = _codes(left.outcomes, Finding)
    if stops:
        yield Barred(bar=Bar.STOP_FINDING_IN_SERVICE, codes=stops)
    if left.unsafe_scenarios:
        yield Barred(bar=Bar.UNSAFE_PROOF_IN_SERVICE, codes=left.unsafe_scenarios)
    if visit.jumpers_left is None:
        yield Barred(bar=Bar.JUMPERS_NOT_TOLD, paths=("as_left.jumpers",))
    elif visit.jumpers_left:
        yield Barred(bar=Bar.JUMPER_IN_SERVICE, paths=("as_left.jumpers",))


def _untold(visit: Visit, boiler: Boiler) -> Iterator[Barred]:
    if visit.conflicts:
        yield Barred(bar=Bar.TWO_VALUES, paths=tuple(field.path for field in visit.conflicts))
    if visit.unreadable:
        yield Barred(bar=Bar.UNREADABLE, paths=tuple(entry.path for entry in visit.unreadable))
    unlikely = unlikely_moments(visit.entries, visit.opening.opened_at)
    if unlikely:
        yield Barred(bar=Bar.MOMENT_UNLIKELY, paths=unlikely)
    lacking = _dials_not_read(visit, boiler)
    if lacking and visit.service is not Service.OUT_OF_SERVICE:
        yield Barred(bar=Bar.NOT_READ_AS_LEFT, paths=lacking)
    if (visit.trips or visit.devices) and not visit.consent:
        yield Barred(bar=Bar.NO_CONSENT, paths=("call.consent",))
    if visit.given_up:
        yield Barred(bar=Bar.GIVEN_UP, paths=("call.given_up",))
    alone = tuple(each.row for each in visit.trips if not each.at_the_stop)
    if alone:
        yield Barred(bar=Bar.NOBODY_AT_THE_STOP, rows=alone)


def _dials_not_read(visit: Visit, boiler: Boiler) -> tuple[str, ...]:
    """Out of service a control may be off the boiler, to be mended: then nobody can read it."""
    return tuple(
        f"as_left.{role.value}"
        for role in Role
        if boiler.controls.of(role) is not None and visit.as_left.of(role) is None and _has_dial(boiler, role)
    )


def _has_dial(boiler: Boiler, role: Role) -> bool:
    control = boiler.controls.of(role)
    return control is not None and control.scale is not None


def _flags_of_changes(visit: Visit) -> Iterator[Flagged]:
    """What was set out of the way, and what was overwritten: a record that shows only the last of it would deceive."""
    changes = visit.temporary_changes
    for flag, rows in (
        (Flag.BYPASSED_FOR_A_TEST, tuple(each.row for each in changes if each.speaks_of_a_bypass)),
        (Flag.SEEN_BY_THE_CLOSER, tuple(each.row for each in changes if each.is_seen_by_the_closer)),
    ):
        if rows:
            yield Flagged(flag=flag, rows=rows)
    paths = dict.fromkeys(each.path for each in corrections_of(visit.entries) if each.is_decisive)
    if paths:
        yield Flagged(flag=Flag.CORRECTED, paths=tuple(sorted(paths)))


def _flags_of_tests(visit: Visit, tested: TripsSeen) -> Iterator[Flagged]:
    for flag, rows in (
        (Flag.TRIP_UNDECIDED, tested.undecided),
        (Flag.TRIP_NOT_JUDGED, tested.not_judged),
        (Flag.DEVICE_NOT_JUDGED, tested.devices_not_judged),
        (Flag.FUNCTION_ONLY, tested.function_only),
        (Flag.TRIPS_LOW, tested.trips_low),
        (Flag.DIFFERENTIAL_NOT_AS_SET, tested.differential_off),
        (Flag.DEVICE_ACTS_EARLY, tested.devices_early),
        (Flag.TESTED_FOR_ANOTHER_AIM, tested.other_aim),
    ):
        if rows:
            yield Flagged(flag=flag, rows=rows)
    if not any(_is_of(each, Role.HIGH_LIMIT) for each in visit.trips):
        yield Flagged(flag=Flag.HIGH_LIMIT_NOT_TESTED)


def _flags_out_of_service(visit: Visit, boiler: Boiler, left: Left, tested: TripsSeen) -> Iterator[Flagged]:
    """Why it is out of service, as far as it was seen: whoever puts it back reads the head, not the bars."""
    if visit.service is not Service.OUT_OF_SERVICE:
        return
    yield Flagged(flag=Flag.OUT_OF_SERVICE)
    for flag, rows in ((Flag.LIMIT_FAILED, tested.unsafe), (Flag.DEVICE_FAILED, tested.devices_failed)):
        if rows:
            yield Flagged(flag=flag, rows=rows)
    stops = _codes(left.outcomes, Finding)
    for flag, codes in ((Flag.STOP_FINDING, stops), (Flag.UNSAFE_PROOF, left.unsafe_scenarios)):
        if codes:
            yield Flagged(flag=flag, codes=codes)
    if visit.jumpers_left or visit.jumpers_left is None:
        yield Flagged(flag=Flag.JUMPER_LEFT)
    lacking = _dials_not_read(visit, boiler)
    if lacking:
        yield Flagged(flag=Flag.NOT_READ_AS_LEFT, paths=lacking)


def _flags_of_settings(visit: Visit, tested: TripsSeen, is_stale: bool) -> Iterator[Flagged]:
    if visit.proposed is None:
        yield Flagged(flag=Flag.NO_PROPOSAL)
        return
    if is_stale:
        yield Flagged(flag=Flag.PROPOSAL_STALE)
    # No visit proves the others on a gauge: as left they count as set by their dials, and the moves say so.
    unproved = (visit.proposed.settings.proved & frozenset(TESTED)) - tested.proved
    if unproved:
        paths = tuple(f"as_left.{role.value}" for role in Role if role in unproved)
        yield Flagged(flag=Flag.PROVED_IN_PROPOSAL_ONLY, paths=paths)
    differing = dials_that_differ(visit, tested)
    if differing:
        yield Flagged(flag=Flag.DIFFERS_FROM_PROPOSED, paths=tuple(f"as_left.{dial}" for dial in differing))
    unticked = tuple(move.row for move in visit.moves if move.words and move.done_at is None)
    if unticked:
        yield Flagged(flag=Flag.MOVE_NOT_TICKED, rows=unticked)


def _flags_of_left(visit: Visit, boiler: Boiler, left: Left) -> Iterator[Flagged]:
    unjudged = _codes(left.outcomes, NotJudged)
    if unjudged:
        yield Flagged(flag=Flag.STOP_NOT_JUDGED, codes=unjudged)
    if visit.cycles_seen is None or visit.cycles_seen < FEWEST_CYCLES:
        yield Flagged(flag=Flag.FEW_CYCLES)
    # A burner that knows one fire has no switch to leave in automatic.
    if boiler.controls.firing_rate is not None and visit.switch_left is not Switch.AUTOMATIC:
        yield Flagged(flag=Flag.SWITCH_NOT_AUTOMATIC)
    if left.scenarios_not_proved:
        yield Flagged(flag=Flag.NOT_PROVED, codes=left.scenarios_not_proved)
    if left.failing_scenarios:
        yield Flagged(flag=Flag.PROOF_FAILS, codes=left.failing_scenarios)


def _is_of(trip: TripEntry, role: Role) -> bool:
    return trip.control is role


def _codes(outcomes: Iterable[Outcome], kind: type[Finding] | type[NotJudged]) -> tuple[str, ...]:
    """Codes of the stop rules that ended so, each once."""
    stops = (each for each in outcomes if each.severity is Severity.STOP and isinstance(each, kind))
    return tuple(dict.fromkeys(each.code for each in stops))


def _by_dial(settings: Settings) -> dict[str, float]:
    found: dict[str, float] = {}
    for role in Role:
        reading = settings.of(role)
        if reading is not None:
            found[role.value] = reading.main
            if reading.differential is not None:
                found[f"{role.value}_differential"] = reading.differential
    return found
