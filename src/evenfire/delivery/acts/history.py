"""Trip points against time: how each control of a boiler has wandered, and when it is to be tested again."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from evenfire.delivery.acts.due_asks import asks_for, hand_items, today
from evenfire.delivery.acts.earlier_tests import EarlierTest
from evenfire.delivery.acts.recorded import RecordedVisit, recorded_visits, why_not_verified
from evenfire.delivery.records import surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import KeptBoiler, find_boiler
from evenfire.delivery.report.due_answer import HandItem
from evenfire.delivery.report.history_answer import ControlHistory, ControlStands, History, HistoryPoint
from evenfire.errors import BadContent, BadInput, BadRequest
from evenfire.judgement.trip_test.drift import Drift, Follows, PastTest, drift_of
from evenfire.judgement.trip_test.due import Interval, due_on
from evenfire.judgement.trip_test.intervals import Item
from evenfire.judgement.trip_test.stretches import Began, Seen, moved_since, stretches_of
from evenfire.judgement.trip_test.trip import TESTED, Method, Verdict
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.si import DiffPa, GaugePa

ITEM_OF_ROLE: Mapping[Role, Item] = {
    Role.HIGH_LIMIT: Item.HIGH_LIMIT,
    Role.OPERATING_LIMIT: Item.OPERATING_LIMIT,
}
PASSES = frozenset({Verdict.PASSED, Verdict.SAFE_MAY_TRIP_LOW})
FAILS = frozenset(
    {
        Verdict.DID_NOT_OPEN,
        Verdict.DOES_NOT_LATCH,
        Verdict.TRIPS_HIGH,
        Verdict.MUST_NOT_BE_MADE,
        Verdict.UNDECIDED_HIGH,
        Verdict.TRIPS_LOW,
    }
)
"""After these a control is to be adjusted, or tested with a better gauge, and tested again."""
SHARE_OF_ROUNDING = 0.2
"""Of the band: who copies a pressure that was rounded for reading tests against the same, as on a visit [1]."""
WITHOUT_SURVEY = "the store holds no survey of it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the store knows of a boiler."""

    boiler: KeptBoiler
    surveyed: Boiler | None
    """In the newest survey"""
    without_survey: str
    """Why there is none; empty where there is one"""
    visits: tuple[RecordedVisit, ...]
    not_verified: str
    """Why its records do not verify, and nothing that passed counts; empty where they do"""
    by_hand: tuple[HandItem, ...]
    today: date

    @property
    def mawp(self) -> GaugePa | None:
        """[Pa gauge]."""
        return None if self.surveyed is None else self.surveyed.mawp


def known_of(store: Store, boiler: KeptBoiler) -> Known:
    """Everything about a boiler that its history and its calendar come from."""
    surveyed, why = None, ""
    try:
        held = surveys.surveys_of(store, boiler.id)
        if held:
            plant = held[-1].plant_file().plant
            surveyed = next((each for each in plant.boilers if each.name == boiler.name), None)
        why = WITHOUT_SURVEY if surveyed is None else ""
    except BadInput as error:
        # One survey that cannot be read hides nothing of the other boilers.
        why = f"its survey cannot be read: {error}"
    not_verified = why_not_verified(store, boiler.id)
    return Known(
        boiler=boiler,
        surveyed=surveyed,
        without_survey=why,
        visits=_visits(store, boiler, not_verified),
        not_verified=not_verified,
        by_hand=tuple(replace(each, last=None) if not_verified else each for each in hand_items(store, boiler.id)),
        today=today(store),
    )


def _visits(store: Store, boiler: KeptBoiler, not_verified: str) -> tuple[RecordedVisit, ...]:
    """The signed visits; where something was changed nothing that passed counts, and what failed does."""
    try:
        found = recorded_visits(store, boiler.id)
    except BadContent:
        return ()
    return tuple(replace(each, is_known=False) for each in found) if not_verified else found


def history(store: Store, boiler: str, role: Role | None = None) -> History:
    """The controls of a boiler in its signed records, worst first; one role alone where it is named.

    Raises
    ------
    BadRequest
        There is no such boiler.
    """
    known = known_of(store, find_boiler(store, boiler))
    controls = [each for wanted in TESTED if role in {None, wanted} for each in controls_of(known, wanted)]
    order = list(ControlStands)
    return History(
        boiler=known.boiler,
        today=known.today,
        visits=len(known.visits),
        not_verified=known.not_verified,
        controls=tuple(sorted(controls, key=lambda each: (order.index(each.stands), _when(each), each.role.value))),
        without_survey=known.without_survey,
        unread=tuple(each.record for each in known.visits if each.is_unread),
    )


def _when(control: ControlHistory) -> date:
    return date.min if control.is_due_at_once else control.next_due or date.max


def role_named(name: str | None) -> Role | None:
    """The control of that name, with spaces or without.

    Raises
    ------
    BadRequest
        It is none that is tested.
    """
    if name is None:
        return None
    found = next((each for each in TESTED if each.value == "_".join(name.lower().split())), None)
    if found is None:
        raise BadRequest(f"--control {name!r} is none of {', '.join(each.value for each in TESTED)}.")
    return found


def controls_of(known: Known, role: Role) -> tuple[ControlHistory, ...]:
    """Every control that ever did this work, and the one of the newest survey even if nobody tested it."""
    seen = _seen(known, role)
    fitted = _fitted(known, role, list(seen))
    if fitted is not None:
        seen.setdefault(fitted, _SeenControl())
    serials = list(seen)
    return tuple(_control(known, role, serial, seen[serial], serials, fitted) for serial in serials)


@dataclass(slots=True)
class _SeenControl:
    """What was seen of one control, in the order in which people looked."""

    looks: list[Seen] = field(default_factory=list)
    tests: list[tuple[RecordedVisit, EarlierTest]] = field(default_factory=list)

    @property
    def points(self) -> tuple[HistoryPoint, ...]:
        stretches = stretches_of(tuple(self.looks))
        points = [_point(*test, *stretch) for test, stretch in zip(self.tests, stretches, strict=True)]
        return tuple(_aimed_as_before(points))

    def is_moved_after(self, points: tuple[HistoryPoint, ...]) -> bool:
        """Whether its dial was seen elsewhere after the last test that counts."""
        counted = [place for place, point in enumerate(points) if point.is_measured]
        return bool(counted) and moved_since(tuple(self.looks), counted[-1])


def _aimed_as_before(points: Iterable[HistoryPoint]) -> Iterator[HistoryPoint]:
    """The dial of a control that was proved is only a start: what it was proved at is an aim for the next test as well.

    A visit that proposes nothing can only compare with the dial, and calls such a test one with another aim.
    """
    proved: HistoryPoint | None = None
    for point in points:
        kept = replace(point, is_other_aim=False) if proved is not None and _is_same_aim(proved, point) else point
        proved = kept if is_pass(kept) else proved
        yield kept


def _is_same_aim(proved: HistoryPoint, point: HistoryPoint) -> bool:
    if proved.set_pressure is None or proved.band is None or point.set_pressure is None or point.band is None:
        return False
    hair = SHARE_OF_ROUNDING * proved.band
    return abs(point.set_pressure - proved.set_pressure) <= hair and point.band <= proved.band + hair


def _seen(known: Known, role: Role) -> dict[str, _SeenControl]:
    """By serial number; a look without a test is of whatever control was tested before."""
    seen: dict[str, _SeenControl] = {}
    for visit in known.visits:
        of_role: dict[str, list[EarlierTest]] = {}
        for test in visit.trips:
            if test.role is role:
                of_role.setdefault(test.serial.strip(), []).append(test)
        for serial in of_role or dict.fromkeys(seen):
            control, tests = seen.setdefault(serial, _SeenControl()), of_role.get(serial, [])
            control.looks += _looks(visit, role, tests)
            control.tests += [(visit, test) for test in tests]
    return seen


def _fitted(known: Known, role: Role, serials: list[str]) -> str | None:
    """Serial number of the control that does this work now; nothing where the survey has none."""
    if known.surveyed is None:
        return serials[-1] if serials else None
    control = known.surveyed.controls.of(role)
    return None if control is None else (control.serial or "").strip()


def _looks(visit: RecordedVisit, role: Role, tests: list[EarlierTest]) -> list[Seen]:
    """The looks at a dial on one visit: as found, at each test, as left."""
    found = [Seen(dial=visit.found[role])] if role in visit.found else []
    left = [Seen(dial=visit.left[role])] if role in visit.left else []
    made = [
        Seen(
            dial=None if each.dial is None else GaugePa(each.dial),
            set_pressure=None if each.set_pressure is None else GaugePa(each.set_pressure),
            is_test=True,
        )
        for each in tests
    ]
    return [*found, *made, *left]


def _point(visit: RecordedVisit, test: EarlierTest, stretch: int, began: Began) -> HistoryPoint:
    return HistoryPoint(
        record=visit.record,
        signer=visit.signer,
        on=test.on,
        method=test.method,
        verdict=next((each for each in Verdict if each.value == test.verdict), None),
        dial=None if test.dial is None else GaugePa(test.dial),
        set_pressure=None if test.set_pressure is None else GaugePa(test.set_pressure),
        band=None if test.band is None else DiffPa(test.band),
        trip=None if test.trip is None else GaugePa(test.trip),
        standard_uncertainty=None if test.standard_uncertainty is None else DiffPa(test.standard_uncertainty),
        expanded_uncertainty=None if test.expanded_uncertainty is None else DiffPa(test.expanded_uncertainty),
        stretch=stretch,
        began=began,
        is_known=visit.is_known,
        is_other_aim=test.is_other_aim,
        is_measured=_is_measured(test) and visit.is_known,
        amendments=visit.amendments,
    )


def _is_measured(test: EarlierTest) -> bool:
    has_doubt = test.standard_uncertainty is not None and test.standard_uncertainty > 0.0
    return (
        test.method == Method.TRUE_RISE.value and test.trip is not None and test.set_pressure is not None and has_doubt
    )


def _control(
    known: Known,
    role: Role,
    serial: str,
    seen: _SeenControl,
    serials: list[str],
    fitted: str | None,
) -> ControlHistory:
    points = seen.points
    asks = asks_for(ITEM_OF_ROLE[role], known.mawp, known.by_hand)
    measured = [each for each in points if each.is_measured]
    passed = [each for each in measured if is_pass(each)]
    by_ask = due_on(passed[-1].on, asks[0].every) if asks and passed else None
    failed_with = _failed_with(points)
    before = serials[: serials.index(serial)]
    drift = _drift(role, serial, measured, asks[0].every) if asks else Missing(("boiler.mawp",))
    made = ControlHistory(
        role=role,
        serial=serial,
        before=before[-1] if before else "",
        stands=ControlStands.GONE,
        failed_with=failed_with,
        is_moved=seen.is_moved_after(points),
        points=points,
        drift=drift,
        outside_since=_outside_since(drift),
        asked=asks[0] if asks else None,
        due_as_asked=by_ask,
        is_due_at_once=serial == fitted and bool(failed_with or (measured and not passed)),
    )
    return made if serial != fitted else replace(made, stands=_stands(made, known.today))


def _drift(role: Role, serial: str, measured: list[HistoryPoint], asked: Interval) -> Drift | Missing:
    """What the tests say; a control without a serial number may be another one at each test."""
    unnamed = () if serial else (f"boiler.controls.{role.value}.serial",)
    if not measured:
        return Missing((*unnamed, "history.first_test"))
    bands = [each.band for each in measured if each.band is not None and not each.is_other_aim]
    found = drift_of(tuple(_past(each) for each in measured), bands[-1] if bands else None, asked)
    if isinstance(found, Missing):
        return Missing((*unnamed, *found.keys))
    return Missing(unnamed) if unnamed else found


def _outside_since(drift: Drift | Missing) -> date | None:
    """The day that its drift leads to; with so few tests that nothing follows from it there is none."""
    if isinstance(drift, Missing) or drift.follows is Follows.TOO_FEW_TESTS:
        return None
    if drift.follows is Follows.DRIFT:
        return drift.next_due
    return min((day for day in (drift.leaves_above, drift.leaves_below) if day is not None), default=None)


def _past(point: HistoryPoint) -> PastTest:
    error, doubt = point.set_error, point.standard_uncertainty
    assert error is not None
    assert doubt is not None
    return PastTest(on=point.on, set_error=error, standard_uncertainty=doubt, stretch=point.stretch)


def _stands(control: ControlHistory, on: date) -> ControlStands:
    """How the control that is fitted now stands."""
    last = last_decided(control.points)
    verdict = None if last is None else last.verdict
    due = control.next_due
    if verdict is not None and verdict.is_unsafe:
        return ControlStands.UNSAFE
    if control.is_moved:
        return ControlStands.MOVED
    if control.outside_since is not None and control.outside_since <= on:
        return ControlStands.OUTSIDE
    if verdict in FAILS or (control.measured and verdict is None):
        return ControlStands.NOT_PASSED
    if due is not None and due < on:
        return ControlStands.OVERDUE
    if not control.measured:
        return ControlStands.NEVER_TESTED
    return ControlStands.NOT_JUDGED if isinstance(control.drift, Missing) else ControlStands.INSIDE


def _failed_with(points: tuple[HistoryPoint, ...]) -> str:
    last = last_decided(points)
    return "" if last is None or last.verdict is None or last.verdict not in FAILS else last.verdict.value


def is_pass(point: HistoryPoint) -> bool:
    """Whether it was shown to act where it is to act, by somebody who is known here."""
    return point.verdict in PASSES and point.is_known and not point.is_other_aim


def last_decided(points: tuple[HistoryPoint, ...]) -> HistoryPoint | None:
    """The last test that came to anything; one that could not be judged, or showed the function alone, did not.

    A test that failed counts whoever signed it, one that passed only where the signer is known.
    """
    return next(
        (each for each in reversed(points) if each.verdict in FAILS or is_pass(each)),
        None,
    )
