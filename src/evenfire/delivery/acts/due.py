"""Everything that comes due at the boilers of a store, worst first: calendar, what was set by hand, gauges."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Final

from sqlalchemy import select

from evenfire.delivery.acts.due_asks import asks_for, depends_on_mawp, in_order, today
from evenfire.delivery.acts.history import FAILS, ITEM_OF_ROLE, Known, controls_of, is_pass, known_of, last_decided
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, drafts_of
from evenfire.delivery.records.instruments import ReferenceGauge, gauges_of
from evenfire.delivery.records.registers import boilers_of, find_boiler
from evenfire.delivery.records.tables import store as store_table
from evenfire.delivery.report.due_answer import (
    Ask,
    Done,
    DueList,
    DueRow,
    HandItem,
    NotCounted,
    NotListed,
    NotVerified,
    OpenVisit,
    OutOfService,
    Told,
    Unread,
    Urgency,
)
from evenfire.delivery.report.history_answer import ControlStands
from evenfire.delivery.visits.fields import Service
from evenfire.judgement.trip_test.devices import Device, DeviceVerdict
from evenfire.judgement.trip_test.drift import Follows
from evenfire.judgement.trip_test.due import Interval, due_on
from evenfire.judgement.trip_test.intervals import Item
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Firing
from evenfire.plant.known import Missing

DEVICES_OF_ITEM: Final[Mapping[Item, tuple[Device, ...]]] = {
    Item.LOW_WATER_CUTOFF: (Device.LOW_WATER_CUTOFF, Device.SECOND_LOW_WATER_CUTOFF),
    Item.FLAME_FAILURE: (Device.FLAME_FAILURE,),
    Item.AIR_INTERLOCK: (Device.AIR_INTERLOCK,),
    Item.FUEL_PRESSURE_INTERLOCKS: (Device.LOW_FUEL_PRESSURE, Device.HIGH_FUEL_PRESSURE),
    Item.LOW_FIRE_START: (Device.LOW_FIRE_START,),
    Item.FUEL_VALVE_LEAKAGE: (Device.FUEL_VALVE_LEAKAGE,),
}
"""Which tests of a visit are which item of the calendar."""
VALVE_TEST_OF_ITEM: Final[Mapping[Item, Device]] = {
    Item.SAFETY_VALVE_BY_HAND: Device.SAFETY_VALVE_BY_HAND,
    Item.SAFETY_VALVE_BY_PRESSURE: Device.SAFETY_VALVE_BY_PRESSURE,
}
"""Made for each safety valve."""
ROLE_OF_ITEM: Final = {item: role for role, item in ITEM_OF_ROLE.items()}
OF_A_FLAME: Final = frozenset(
    {
        Item.FLAME_FAILURE,
        Item.IGNITER,
        Item.AIR_INTERLOCK,
        Item.FUEL_PRESSURE_INTERLOCKS,
        Item.LOW_FIRE_START,
        Item.FUEL_VALVE_LEAKAGE,
        Item.COMBUSTION,
    }
)
"""Not for a boiler that is heated by electricity."""
OF_A_FIRING_RATE: Final = frozenset({Item.FIRING_RATE_LOOKED_AT, Item.FIRING_RATE_BY_TECHNICIAN, Item.LOW_FIRE_START})
"""Not for burners that are on or off."""
FIRST: Final = (
    Item.HIGH_LIMIT,
    Item.LOW_WATER_CUTOFF,
    Item.SAFETY_VALVE_BY_PRESSURE,
    Item.SAFETY_VALVE_BY_HAND,
    Item.FLAME_FAILURE,
    Item.OPERATING_LIMIT,
)
"""What keeps the boiler safe stands first among what presses alike."""
DEVICE_FAILS: Final = frozenset({DeviceVerdict.FAILED, DeviceVerdict.FAILED_EARLY})


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One of the things that an item is done to, and when it was."""

    name: str
    last: Done | None
    failed: Done | None
    """Since then"""
    leaves_band: date | None = None
    """The day by which its drift asks for a test"""
    is_moved: bool = False
    """The dial of a limit, since the last time"""
    is_named_for_good: bool = True
    """Whether its name tells it apart from others; a control may be replaced, and the item stays"""

    @property
    def by_drift(self) -> Interval | None:
        """The interval that the drift asks for; what leaves its band at once is due on the next day."""
        if self.leaves_band is None or self.last is None:
            return None
        return Interval(days=max(1, (self.leaves_band - self.last.on).days))


def due_list(store: Store, boiler: str | None = None, until: date | None = None, *, rounds: bool = True) -> DueList:
    """Everything that comes due at one boiler, or at all of them and of the gauges in the bag.

    Without ``rounds``, what is done once a month or more often is left out unless it failed.

    Raises
    ------
    BadRequest
        There is no such boiler.
    """
    on = today(store)
    wanted = boilers_of(store) if boiler is None else (find_boiler(store, boiler),)
    known = [known_of(store, each) for each in wanted]
    rows = [row for each in known for row in _rows_of(each)]
    if boiler is None:
        rows += [_gauge_row(each, on) for each in gauges_of(store) if not each.is_retired]
    rows = [each for each in rows if rounds or not each.is_round or each.urgency is Urgency.FAILED]
    kept = [each for each in rows if until is None or each.on <= until or each.urgency is not Urgency.COMES_DUE]
    return DueList(
        today=on,
        changed_at=_changed_at(store),
        store=store.identity,
        boilers=len(known),
        until=until,
        rows=tuple(sorted(kept, key=_order)),
        later=len(rows) - len(kept),
        not_listed=tuple(_not_listed(each) for each in known if each.without_survey),
        not_counted=tuple(_not_counted(each) for each in known if _has_unknown(each)),
        unread=tuple(
            Unread(boiler=of.boiler, record=each.record) for of in known for each in of.visits if each.is_unread
        ),
        open_visits=_open_visits(store, known),
        not_verified=tuple(
            NotVerified(boiler=each.boiler, why=each.not_verified) for each in known if each.not_verified
        ),
        out_of_service=tuple(each for each in map(out_of_service_of, known) if each is not None),
    )


def due_at(known: Known) -> tuple[DueRow, ...]:
    """What comes due at one boiler, worst first; what is done once a month or more often only where it failed."""
    rows = (each for each in _rows_of(known) if not each.is_round or each.urgency is Urgency.FAILED)
    return tuple(sorted(rows, key=_order))


def _order(row: DueRow) -> tuple[int, date, str, int, str, str]:
    place = "" if row.boiler is None else f"{row.boiler.site.name}/{row.boiler.name}"
    urgency = list(Urgency).index(row.urgency)
    first = FIRST.index(row.calendar) if row.calendar in FIRST else len(FIRST)
    return urgency, row.due if row.due is not None else row.on, place, first, row.item, row.part


def _changed_at(store: Store) -> datetime:
    with store.read() as connection:
        found: datetime = connection.execute(select(store_table.c.changed_at)).scalar_one()
    return found


def _rows_of(known: Known) -> Iterator[DueRow]:
    for item in _items_of(known):
        if known.mawp is None and depends_on_mawp(item):
            continue
        for part in _parts_of(item, known):
            asks = asks_for(item, known.mawp, known.by_hand, part.by_drift)
            if asks:
                key = f"{known.boiler.id}/{item.value}" + (f"/{part.name}" if part.is_named_for_good else "")
                yield _row(known, item.value, part, asks, key=key, calendar=item)
    for name in dict.fromkeys(each.name for each in known.by_hand if each.calendar is None):
        own = [each for each in known.by_hand if each.name == name]
        part = _later(Part(name="", last=None, failed=None), own)
        since = known.today if part.last is None else part.last.on
        asks = in_order(tuple(Ask(whose=each.whose, every=each.every) for each in own), since)
        yield _row(known, name, part, asks, key=f"{known.boiler.id}/own/{name}", calendar=None)


def _items_of(known: Known) -> tuple[Item, ...]:
    """What the calendar knows and this boiler has; what the survey does not tell is taken to be there."""
    boiler = known.surveyed
    if boiler is None:
        return tuple(Item)
    left_out: set[Item] = set()
    if boiler.electric_input is not None:
        left_out |= OF_A_FLAME
    if not _may_modulate(boiler):
        left_out |= OF_A_FIRING_RATE
    return tuple(each for each in Item if each not in left_out)


def _may_modulate(boiler: Boiler) -> bool:
    firing = [each.firing for each in boiler.burners]
    return boiler.controls.firing_rate is not None or not firing or any(each is not Firing.ON_OFF for each in firing)


def _parts_of(item: Item, known: Known) -> Iterator[Part]:
    by_hand = [each for each in known.by_hand if each.calendar is item]
    if item in ROLE_OF_ITEM:
        yield _later(_limit(item, known), by_hand)
    elif item in VALVE_TEST_OF_ITEM:
        valves = () if known.surveyed is None else known.surveyed.safety_valves
        for name in dict.fromkeys(each.name for each in valves) or ("",):
            is_any = len(valves) < 2
            yield _later(_device(VALVE_TEST_OF_ITEM[item], known, name, is_any=is_any), by_hand)
    elif item in DEVICES_OF_ITEM:
        devices = DEVICES_OF_ITEM[item]
        for device in devices:
            part = _device(device, known, None, is_any=True)
            yield _later(replace(part, name=device.value if len(devices) > 1 else ""), by_hand)
    elif item is Item.GAUGES_RECALIBRATED:
        yield _later(_own_gauge(known), by_hand)
    else:
        yield _later(Part(name="", last=None, failed=None), by_hand)


def _own_gauge(known: Known) -> Part:
    """The gauge on the boiler, as its survey has it."""
    on = None if known.surveyed is None or known.not_verified else known.surveyed.gauge.calibrated_on
    return Part(name="", last=None if on is None or on > known.today else Done(on=on, told=Told.SURVEY), failed=None)


def _limit(item: Item, known: Known) -> Part:
    """The control that does this work now; a pass of the one before it says nothing of it."""
    controls = controls_of(known, ROLE_OF_ITEM[item])
    found = next((each for each in controls if each.stands is not ControlStands.GONE), None)
    if found is None:
        return Part(name="", last=None, failed=None, is_named_for_good=False)
    passed = [each for each in found.points if is_pass(each)]
    last = passed[-1] if passed else None
    decided = last_decided(found.points)
    failed = decided if decided is not None and decided.verdict in FAILS else None
    is_told = not isinstance(found.drift, Missing) and found.drift.follows is Follows.DRIFT
    return Part(
        name=found.serial,
        last=None if last is None or last.verdict is None else _seen(last.on, last.verdict.value, last.record),
        failed=None
        if failed is None or failed.verdict is None
        else _seen(failed.on, failed.verdict.value, failed.record),
        leaves_band=found.next_due if is_told and not found.is_moved else None,
        is_moved=found.is_moved,
        is_named_for_good=False,
    )


def _device(device: Device, known: Known, valve: str | None, *, is_any: bool) -> Part:
    """A device, or one safety valve; a test that names no valve is of the only one there is."""
    last = failed = None
    for visit in known.visits:
        for test in visit.devices:
            if test.device is not device or not (is_any or test.valve == valve):
                continue
            if test.verdict is DeviceVerdict.PASSED and visit.is_known:
                last, failed = _seen(visit.on, test.verdict.value, visit.record), None
            elif test.verdict in DEVICE_FAILS:
                failed = _seen(visit.on, test.verdict.value, visit.record)
    return Part(name=valve or "", last=last, failed=failed)


def _seen(on: date, result: str, record: str) -> Done:
    return Done(on=on, told=Told.SIGNED_VISIT, result=result, record=record)


def _later(part: Part, by_hand: Iterable[HandItem]) -> Part:
    """With the day that somebody set by hand, where that is the later one."""
    days = [each.last for each in by_hand if each.last is not None]
    if not days or (part.last is not None and part.last.on >= max(days)):
        return part
    failed = part.failed if part.failed is not None and part.failed.on >= max(days) else None
    return replace(part, last=Done(on=max(days), told=Told.BY_HAND), failed=failed)


def _row(known: Known, item: str, part: Part, asks: tuple[Ask, ...], *, key: str, calendar: Item | None) -> DueRow:
    due = None if part.last is None else due_on(part.last.on, asks[0].every)
    urgency = _urgency(due, part.failed, known.today)
    return DueRow(
        urgency=urgency,
        on=due if due is not None and urgency is Urgency.COMES_DUE else known.today,
        due=due,
        boiler=known.boiler,
        item=item,
        part=part.name,
        calendar=calendar,
        last=part.last,
        failed=part.failed,
        is_moved=part.is_moved,
        asks=asks,
        key=key,
    )


def _urgency(due: date | None, failed: Done | None, on: date) -> Urgency:
    if failed is not None:
        return Urgency.FAILED
    if due is None:
        return Urgency.NEVER_RECORDED
    return Urgency.OVERDUE if due < on else Urgency.COMES_DUE


def _gauge_row(gauge: ReferenceGauge, on: date) -> DueRow:
    """A reference gauge of the bag: as often as the codes want it, or sooner where its certificate says so."""
    made = gauge.calibration_on(on)
    asks = asks_for(Item.GAUGES_RECALIBRATED, None, ())
    if made is not None:
        if made.due_on is not None:
            asks = (*asks, Ask(whose=Told.CERTIFICATE.value, every=Interval(days=(made.due_on - made.made_on).days)))
        asks = in_order(asks, made.made_on)
    last = None if made is None else Done(on=made.made_on, told=Told.CERTIFICATE, result=made.certificate)
    due = None if made is None else due_on(made.made_on, asks[0].every)
    urgency = _urgency(due, None, on)
    return DueRow(
        urgency=urgency,
        on=due if due is not None and urgency is Urgency.COMES_DUE else on,
        due=due,
        boiler=None,
        item="reference gauge recalibrated",
        part=gauge.serial,
        calendar=None,
        last=last,
        failed=None,
        is_moved=False,
        asks=asks,
        key=f"gauge/{gauge.id}",
    )


def _not_listed(known: Known) -> NotListed:
    items = tuple(each for each in Item if depends_on_mawp(each))
    return NotListed(boiler=known.boiler, why=known.without_survey, items=items)


def _has_unknown(known: Known) -> bool:
    return not known.not_verified and any(not visit.is_known for visit in known.visits)


def _not_counted(known: Known) -> NotCounted:
    return NotCounted(boiler=known.boiler, visits=sum(not each.is_known for each in known.visits))


def _open_visits(store: Store, known: list[Known]) -> tuple[OpenVisit, ...]:
    boilers = {each.boiler.id: each.boiler for each in known}
    return tuple(
        OpenVisit(boiler=boilers[each.boiler], visit=each.id, since=each.opened_at.date())
        for each in drafts_of(store, kind=DraftKind.VISIT)
        if each.is_open and each.boiler in boilers
    )


def out_of_service_of(known: Known) -> OutOfService | None:
    """Since when a boiler is out of service, by its last signed visit that says how it was left."""
    told = [each for each in known.visits if each.service]
    if not told or told[-1].service != Service.OUT_OF_SERVICE.value:
        return None
    return OutOfService(boiler=known.boiler, since=told[-1].on)
