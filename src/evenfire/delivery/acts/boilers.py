"""The boilers of a store for a page: what stands open, the worst finding, what comes due, and the last visit."""

import hashlib
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Final

from evenfire import __version__
from evenfire.delivery.acts.boiler_now import (
    BoilerNow,
    OpenVisitHere,
    Whence,
    now_of,
    open_visits_here,
)
from evenfire.delivery.acts.due import due_at, out_of_service_of
from evenfire.delivery.acts.due_asks import today
from evenfire.delivery.acts.history import known_of
from evenfire.delivery.acts.remembering import Remembered
from evenfire.delivery.figures.small_stack import small_stack_in_words
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.overview import NewestOf, newest_of
from evenfire.delivery.records.registers import KeptBoiler, boilers_of, names_of_people
from evenfire.delivery.report import boiler_rows as rows
from evenfire.delivery.report.boiler_rows import Line
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadInput

ON_A_PAGE: Final = 20
"""Boilers; so many are judged anew in less than a second."""
UNBROKEN: Final = 10_000
"""Of a line of text on a page of a browser, which breaks its lines itself [characters]."""
WHENCE: Final = {
    Whence.OPEN_VISIT: "read on the open visit",
    Whence.SIGNED_VISIT: "by the last signed visit",
    Whence.SURVEY: "by the survey",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """How a boiler is set, in words."""

    lines: tuple[Line, ...]
    """Worst first"""
    gravity: int
    """How bad it is: the worst is 0"""
    judged: str
    picture: str
    """What its small stack shows, in words; empty where there is nothing to draw"""
    version: str
    """Another one as soon as the small stack may look otherwise"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """What comes due at a boiler and what was done, in words."""

    due: Line | None
    last_visit: str
    """Empty where none was signed"""
    not_verified: str
    """What is wrong with its records; empty where they verify"""
    out_of_service: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A visit that is open."""

    id: str
    line: str
    changes: tuple[Line, ...]
    """Temporary changes that nobody closed"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerRow:
    """One boiler of the list."""

    kept: KeptBoiler
    opened: tuple[Opened, ...]
    setting: Setting
    calendar: Calendar

    @property
    def is_pressing(self) -> bool:
        """Whether it is told first and red: something stands open, or its records are not what was signed."""
        return bool(self.opened or self.calendar.not_verified)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerList:
    """One page of the boilers that were asked for."""

    rows: tuple[BoilerRow, ...]
    asked: str
    found: int
    """Boilers that the search finds"""
    of: int
    """Boilers in the store"""
    page: int
    pages: int
    is_worst_first: bool
    """All that was found stands on one page, by how bad it is; else by site and name"""


_SETTINGS: Final[Remembered[Setting]] = Remembered(4000)
_CALENDARS: Final[Remembered[Calendar]] = Remembered(4000)


def boiler_list(store: Store, asked: str, page: int, system: UnitSystem) -> BoilerList:
    """The boilers whose site, name, serial number or registration hold every word that was asked for.

    What stands open comes first; the page is the nearest there is.
    """
    every = boilers_of(store)
    opened = open_visits_here(store)
    words = asked.casefold().split()
    found = [each for each in every if _has(each, words)]
    found.sort(key=lambda each: _openness(opened.get(each.id, ())))
    pages = max(1, -(-len(found) // ON_A_PAGE))
    at = min(max(page, 1), pages)
    shown = found[(at - 1) * ON_A_PAGE : at * ON_A_PAGE]
    made = _rows(store, shown, opened, system)
    is_short = pages == 1
    return BoilerList(
        rows=tuple(sorted(made, key=_gravity) if is_short else made),
        asked=asked,
        found=len(found),
        of=len(every),
        page=at,
        pages=pages,
        is_worst_first=is_short,
    )


def _has(boiler: KeptBoiler, words: list[str]) -> bool:
    said = (boiler.site.name, boiler.name, boiler.serial, boiler.registration)
    text = "\n".join(each for each in said if each).casefold()
    return all(word in text for word in words)


def _openness(opened: tuple[OpenVisitHere, ...]) -> int:
    if any(change.is_open for each in opened for change in each.visit.temporary_changes):
        return 0
    return 1 if opened else 2


def _gravity(row: BoilerRow) -> tuple[int, bool, int]:
    changes = any(each.changes for each in row.opened)
    first = 0 if changes else 1 if row.opened else 2
    return first, not row.calendar.not_verified, row.setting.gravity


def _rows(
    store: Store, shown: Sequence[KeptBoiler], opened: dict[str, tuple[OpenVisitHere, ...]], system: UnitSystem
) -> list[BoilerRow]:
    ids = tuple(each.id for each in shown)
    newest, day = newest_of(store, ids), today(store)
    people = names_of_people(store)
    return [
        BoilerRow(
            kept=each,
            opened=tuple(_opened(open_, people) for open_ in opened.get(each.id, ())),
            setting=setting_of(store, each, opened.get(each.id, ()), newest[each.id], system),
            calendar=_calendar(store, each, newest[each.id], day),
        )
        for each in shown
    ]


def _opened(each: OpenVisitHere, people: dict[str, str]) -> Opened:
    opening = each.visit.opening
    by = people.get(opening.opened_by, opening.opened_by)
    return Opened(id=opening.id, line=rows.open_visit_line(each.visit, by), changes=rows.open_changes(each.visit))


def setting_of(
    store: Store, kept: KeptBoiler, opened: tuple[OpenVisitHere, ...], newest: NewestOf, system: UnitSystem
) -> Setting:
    """How a boiler is set; judged again only where something of it changed."""
    read = [(each.visit.opening.id, each.newest_entry) for each in opened if each.has_readings]
    key = (
        store.identity,
        kept.id,
        kept.name,
        read[0] if read else None,
        newest.marks,
        system.value,
        __version__,
    )
    return _SETTINGS.of(key, partial(_setting, store, kept, opened, newest, system, key))


def _setting(
    store: Store,
    kept: KeptBoiler,
    opened: tuple[OpenVisitHere, ...],
    newest: NewestOf,
    system: UnitSystem,
    key: Hashable,
) -> Setting:
    version = hashlib.sha256(repr(key).encode()).hexdigest()[:12]
    try:
        now = now_of(store, kept, opened, newest)
    except BadInput as error:
        # A survey that cannot be read hides nothing of the other boilers.
        why = Line(word=rows.NOT_JUDGED, text=f"Its survey cannot be read: {error}")
        return Setting(lines=(why,), gravity=rows.NOTHING_KNOWN, judged="", picture="", version=version)
    if now is None:
        none = Line(word=rows.NOT_JUDGED, text=rows.NOT_SURVEYED)
        return Setting(lines=(none,), gravity=rows.NOTHING_KNOWN, judged="", picture="", version=version)
    return _set(now, system, version)


def _set(now: BoilerNow, system: UnitSystem, version: str) -> Setting:
    page, check, layout = Page(UNBROKEN, system), now.check, now.small_layout()
    return Setting(
        lines=rows.verdict_lines(check, page),
        gravity=rows.gravity_of(check),
        judged=rows.judged_line(check, now.day, WHENCE[now.whence]),
        picture="" if layout is None else small_stack_in_words(layout, system),
        version=version,
    )


def _calendar(store: Store, kept: KeptBoiler, newest: NewestOf, day: date) -> Calendar:
    key = (store.identity, kept.id, kept.name, newest.marks, day)
    return _CALENDARS.of(key, partial(_reckoned, store, kept))


def _reckoned(store: Store, kept: KeptBoiler) -> Calendar:
    known = known_of(store, kept)
    last = known.visits[-1] if known.visits else None
    left = out_of_service_of(known)
    return Calendar(
        due=rows.due_line(due_at(known), known.today),
        last_visit=""
        if last is None
        else rows.last_visit_line(last.on, last.signer, last.record, is_known=last.is_known),
        not_verified=known.not_verified,
        out_of_service="" if left is None else f"Left out of service on {left.since}.",
    )
