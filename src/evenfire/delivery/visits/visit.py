"""A visit as it stands: the fold of its entries as values."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, TypeVar

from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import Service, is_yes, lines, moment, number
from evenfire.delivery.visits.folding import Draft, Field, folded
from evenfire.judgement.trip_test.devices import Device
from evenfire.judgement.trip_test.trip import Method
from evenfire.plant.controls import Filling, Position, Role, WaterLeg
from evenfire.plant.settings import AsFound, DialReading, Proposed, Settings, Switch, with_reading
from evenfire.si import DiffPa, GaugePa

Value = TypeVar("Value")

_BYPASS: Final = re.compile(
    r"\b(jump\w*|by-?\s?pass\w*|bridg\w*|wires?|wired|wiring|strap\w*|shunt\w*|shorted|shorting|defeat\w*|"
    r"disabl\w*|disconnect\w*|unplug\w*)\b",
    re.IGNORECASE,
)
"""What people call taking a control out of its circuit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """Which boiler a visit is at, and who opened it."""

    id: str
    boiler: str
    """As the store names it"""
    survey: str
    """Revision of the survey that the visit began with"""
    opened_at: datetime
    """UTC"""
    opened_by: str
    """Person, by the id that the store gave"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TemporaryChange:
    """Something set out of the way for a test: it has to be closed before anybody signs."""

    row: int
    what: str | None
    reason: str | None
    opened_by: str | None
    opened_at: datetime | None
    closed_by: str | None
    closed_at: datetime | None
    verified_by: str | None

    @property
    def is_closed(self) -> bool:
        """Closed and seen to be closed, after it was opened."""
        if self.closed_at is None or not self.closed_by or not self.verified_by:
            return False
        return self.opened_at is None or self.closed_at >= self.opened_at

    @property
    def is_back_to_front(self) -> bool:
        """Whether it was closed before it was opened, by the times written down: one of them is wrong."""
        return self.opened_at is not None and self.closed_at is not None and self.closed_at < self.opened_at

    @property
    def is_open(self) -> bool:
        """Nobody closed it, or nobody saw that; a wrong time alone does not open it again."""
        return not self.is_closed and not (self.is_back_to_front and self.closed_by and self.verified_by)

    @property
    def is_seen_by_the_closer(self) -> bool:
        """Whether nobody else than who put it back saw that it was back."""
        return bool(self.closed_by and self.verified_by) and _name(self.closed_by) == _name(self.verified_by)

    @property
    def speaks_of_a_bypass(self) -> bool:
        """Whether a control was taken out of its circuit, by the words of who wrote it down."""
        return _BYPASS.search(f"{self.what or ''} {self.reason or ''}") is not None

    @property
    def is_complete(self) -> bool:
        """Whether it says what was changed, why, by whom and when."""
        return bool(self.what and self.reason and self.opened_by) and self.opened_at is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class TripReading:
    """One repeat of a trip test."""

    repeat: int
    shown: GaugePa | None
    """On the reference gauge at the moment the control acted [Pa gauge]"""
    burner_off: float | None
    """From the moment it acted until the flame was out [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TripEntry:
    """A trip test as it was written down; ``None`` stands for what was not."""

    row: int
    control: Role | None
    method: Method | None
    dial: GaugePa | None
    """What its dial showed when it acted [Pa gauge]"""
    gauge: str | None
    """Serial of the reference gauge"""
    gauge_leg: WaterLeg | None
    """Between the tap and that gauge"""
    set_pressure: GaugePa | None
    """Where it shall act, at the boiler [Pa gauge]"""
    within: DiffPa | None
    """How far from there it may act [Pa]"""
    rise: DiffPa | None
    """Rise of the gauge in the ten seconds before it acted [Pa]"""
    at_low_fire: bool | None
    at_the_stop: str | None
    """Who stood at the stop"""
    opened: bool | None
    stopped_by_hand: GaugePa | None
    """[Pa gauge]"""
    early_reset_took: bool | None
    held_until_reset: bool | None
    restarted_at: GaugePa | None
    """[Pa gauge]"""
    readings: tuple[TripReading, ...]
    note: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceEntry:
    """A test of another safety device as it was written down."""

    row: int
    kind: Device | None
    valve: str | None
    """Name of the safety valve, where it is one"""
    works: bool | None
    took: float | None
    """[s]"""
    at: GaugePa | None
    """[Pa gauge]"""
    note: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveEntry:
    """A move of the proposal, and who made it."""

    row: int
    words: str
    done_at: datetime | None
    done_by: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photograph, kept beside the store under its hash."""

    row: int
    hash: str
    shows: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """A visit as it stands."""

    opening: Opening
    reason: str | None
    consent: str | None
    """Who agreed for the plant to tests"""
    arrived: datetime | None
    given_up: str | None
    """Why it is given up; it is not signed then, and goes on when that is taken back"""
    as_found: AsFound
    proposed: Proposed | None
    as_left: Settings
    switch_left: Switch | None
    jumpers_left: tuple[str, ...] | None
    cycles_seen: int | None
    service: Service | None
    locked_out_by: str | None
    temporary_changes: tuple[TemporaryChange, ...]
    trips: tuple[TripEntry, ...]
    devices: tuple[DeviceEntry, ...]
    moves: tuple[MoveEntry, ...]
    photos: tuple[Photo, ...]
    notes: tuple[str, ...]
    conflicts: tuple[Field, ...]
    unreadable: tuple[Entry, ...]
    entries: tuple[Entry, ...]
    """All of them, by time and id"""

    @property
    def day(self) -> date:
        """By the clock on the wall where somebody wrote it down; else by the clock of this device."""
        return (self.opening.opened_at.astimezone() if self.arrived is None else self.arrived).date()


def visit_of(opening: Opening, entries: tuple[Entry, ...]) -> Visit:
    """The visit that these entries make."""
    draft = folded(entries)
    return Visit(
        opening=opening,
        reason=draft.text("call.reason"),
        consent=draft.text("call.consent"),
        arrived=_moment(draft, "call.arrived"),
        given_up=draft.text("call.given_up"),
        as_found=_as_found(draft),
        proposed=_proposed(draft),
        as_left=_settings(draft, "as_left", frozenset()),
        switch_left=_as(draft, "as_left.switch", Switch),
        jumpers_left=_as(draft, "as_left.jumpers", lines),
        cycles_seen=_as(draft, "as_left.cycles_seen", int),
        service=_as(draft, "as_left.service", Service),
        locked_out_by=draft.text("as_left.locked_out_by"),
        temporary_changes=tuple(_temporary(draft, row) for row in draft.rows("temporary")),
        trips=tuple(_trip(draft, row) for row in draft.rows("trip")),
        devices=tuple(_device(draft, row) for row in draft.rows("device")),
        moves=tuple(_move(draft, row) for row in draft.rows("move")),
        photos=_photos(draft),
        notes=tuple(text for row in draft.rows("note") if (text := draft.text(f"note.{row}.text")) is not None),
        conflicts=draft.conflicts,
        unreadable=draft.unreadable,
        entries=tuple(sorted(entries, key=lambda entry: (entry.at, entry.id))),
    )


def _name(text: str | None) -> str:
    """A person's name, however it was spaced and written."""
    return "".join(sign for sign in (text or "").casefold() if sign.isalnum())


def _as(draft: Draft, path: str, reader: Callable[[str], Value]) -> Value | None:
    text = draft.text(path)
    return None if text is None else reader(text)


def _moment(draft: Draft, path: str) -> datetime | None:
    return _as(draft, path, moment)


def _value(draft: Draft, path: str) -> float | None:
    entry = draft.entry(path)
    return None if entry is None or entry.si is None else number(entry.si)


def _gauge(draft: Draft, path: str) -> GaugePa | None:
    value = _value(draft, path)
    return None if value is None else GaugePa(value)


def _difference(draft: Draft, path: str) -> DiffPa | None:
    value = _value(draft, path)
    return None if value is None else DiffPa(value)


def _settings(draft: Draft, table: str, proved: frozenset[Role]) -> Settings:
    settings = Settings(proved=proved)
    for role in Role:
        main = _gauge(draft, f"{table}.{role.value}")
        differential = _difference(draft, f"{table}.{role.value}_differential")
        if main is not None:
            settings = with_reading(settings, role, DialReading(main=main, differential=differential))
    return settings


def _as_found(draft: Draft) -> AsFound:
    return AsFound(
        settings=_settings(draft, "as_found", frozenset()),
        switch=_as(draft, "as_found.switch", Switch),
        manual_cap=_value(draft, "as_found.manual_cap"),
        jumpers=_as(draft, "as_found.jumpers", lines),
        unexplained_resets=_as(draft, "as_found.unexplained_resets", int),
    )


def _proposed(draft: Draft) -> Proposed | None:
    revision = draft.text("proposed.plant_revision")
    engine = draft.text("proposed.engine_version")
    if revision is None or engine is None:
        return None
    proved = frozenset(Role(name) for name in _as(draft, "proposed.proved", lines) or ())
    return Proposed(settings=_settings(draft, "proposed", proved), plant_revision=revision, engine_version=engine)


def _temporary(draft: Draft, row: int) -> TemporaryChange:
    at = f"temporary.{row}"
    return TemporaryChange(
        row=row,
        what=draft.text(f"{at}.what"),
        reason=draft.text(f"{at}.reason"),
        opened_by=draft.text(f"{at}.opened_by"),
        opened_at=_moment(draft, f"{at}.opened_at"),
        closed_by=draft.text(f"{at}.closed_by"),
        closed_at=_moment(draft, f"{at}.closed_at"),
        verified_by=draft.text(f"{at}.verified_by"),
    )


def _trip(draft: Draft, row: int) -> TripEntry:
    at = f"trip.{row}"
    repeats = sorted({*draft.repeats("trip", row, "reading"), *draft.repeats("trip", row, "burner_off")})
    return TripEntry(
        row=row,
        control=_as(draft, f"{at}.control", Role),
        method=_as(draft, f"{at}.method", Method),
        dial=_gauge(draft, f"{at}.dial"),
        gauge=draft.text(f"{at}.gauge"),
        gauge_leg=_leg(draft, at),
        set_pressure=_gauge(draft, f"{at}.set"),
        within=_difference(draft, f"{at}.within"),
        rise=_difference(draft, f"{at}.rise"),
        at_low_fire=_as(draft, f"{at}.at_low_fire", is_yes),
        at_the_stop=draft.text(f"{at}.at_the_stop"),
        opened=_as(draft, f"{at}.opened", is_yes),
        stopped_by_hand=_gauge(draft, f"{at}.stopped_by_hand"),
        early_reset_took=_as(draft, f"{at}.early_reset_took", is_yes),
        held_until_reset=_as(draft, f"{at}.held_until_reset", is_yes),
        restarted_at=_gauge(draft, f"{at}.restarted_at"),
        readings=tuple(
            TripReading(
                repeat=repeat,
                shown=_gauge(draft, f"{at}.reading.{repeat}"),
                burner_off=_value(draft, f"{at}.burner_off.{repeat}"),
            )
            for repeat in repeats
        ),
        note=draft.text(f"{at}.note"),
    )


def _leg(draft: Draft, at: str) -> WaterLeg | None:
    """The leg to the gauge; without a height nobody looked, and one of no height needs nothing more."""
    height = _value(draft, f"{at}.gauge_leg")
    if height is None:
        return None
    position, filling = _as(draft, f"{at}.gauge_hangs", Position), _as(draft, f"{at}.gauge_leg_is", Filling)
    if height == 0.0:
        return WaterLeg(height=0.0, position=position or Position.BELOW_TAP, filling=filling or Filling.FULL)
    if position is None or filling is None:
        return None
    return WaterLeg(height=height, position=position, filling=filling)


def _device(draft: Draft, row: int) -> DeviceEntry:
    at = f"device.{row}"
    return DeviceEntry(
        row=row,
        kind=_as(draft, f"{at}.kind", Device),
        valve=draft.text(f"{at}.valve"),
        works=_as(draft, f"{at}.works", is_yes),
        took=_value(draft, f"{at}.took"),
        at=_gauge(draft, f"{at}.at"),
        note=draft.text(f"{at}.note"),
    )


def _move(draft: Draft, row: int) -> MoveEntry:
    return MoveEntry(
        row=row,
        words=draft.text(f"move.{row}.words") or "",
        done_at=_moment(draft, f"move.{row}.done_at"),
        done_by=draft.text(f"move.{row}.done_by"),
    )


def _photos(draft: Draft) -> tuple[Photo, ...]:
    found = []
    for row in draft.rows("photo"):
        hash_ = draft.text(f"photo.{row}.hash")
        if hash_ is not None:
            found.append(Photo(row=row, hash=hash_, shows=draft.text(f"photo.{row}.shows")))
    return tuple(found)
