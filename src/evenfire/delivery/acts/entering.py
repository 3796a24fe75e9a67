"""Enter what was typed into one field of a draft on another device, and tell what stands in fields now."""

from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

from evenfire.delivery.records import drafts, entries, registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, KeptDraft
from evenfire.delivery.records.registers import Person
from evenfire.delivery.records.survey_document import read_document
from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import Typed, kind_of, number
from evenfire.delivery.visits.fields import typed as typed_into_visit
from evenfire.delivery.visits.folding import Field, folded
from evenfire.si import AbsPa, Dimension, Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """One entry as a device sends it: its id and its moment were made there."""

    id: str
    """A UUID"""
    draft: str
    path: str
    text: str
    device: str
    at: datetime
    """UTC, by the clock of the device"""
    based_on: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """One value that stands in a field."""

    id: str
    text: str
    by: str
    """Name of the person"""
    device: str
    at: datetime
    """UTC"""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingField:
    """What stands in one field of a draft."""

    path: str
    text: str
    """As typed; of two values the newer"""
    reading: str
    """What it means, in the reader's units; empty where the text says it all"""
    why_not: str
    """Why it could not be read"""
    values: tuple[Value, ...]
    """What no other entry replaces, oldest first; of two different ones a person has to choose"""
    is_in_conflict: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingFields:
    """Everything that stands on a draft."""

    newest: str
    """Id of the entry that was received last; empty for a draft without any"""
    fields: tuple[StandingField, ...]


def enter(store: Store, sent: Sent, by: Person, system: UnitSystem) -> StandingField:
    """Keep one entry; when this returns, it is on the disk. Sending the same entry again is harmless.

    Raises
    ------
    BadEntry, BadRequest, BadStore
        As :func:`evenfire.delivery.records.entries.record`.
    """
    draft = drafts.draft_by_whole_id(store, sent.draft)
    means = _typed(store, draft, sent.path, sent.text)
    entry = Entry(
        id=sent.id,
        draft=sent.draft,
        path=sent.path,
        text=sent.text,
        unit=means.unit,
        si=means.si,
        why_not=means.why_not,
        author=by.id,
        device=sent.device,
        at=sent.at,
        based_on=sent.based_on,
    )
    entries.record(store, entry)
    field = folded(entries.entries_at(store, sent.draft, sent.path)).fields[sent.path]
    return standing_field(field, draft.kind, _names(store), system)


def standing_fields(store: Store, draft: str, system: UnitSystem) -> StandingFields:
    """What stands in every field of a draft into which something was typed.

    Raises
    ------
    BadRequest
        There is no such draft.
    """
    kept = drafts.draft_by_whole_id(store, draft)
    typed_in = entries.entries_of(store, draft)
    names = _names(store)
    fields = folded(typed_in).fields
    return StandingFields(
        newest=typed_in[-1].id if typed_in else "",
        fields=tuple(standing_field(fields[path], kept.kind, names, system) for path in sorted(fields)),
    )


def standing_field(field: Field, kind: DraftKind, names: dict[str, str], system: UnitSystem) -> StandingField:
    """What stands in a field of a fold, with the names of those who typed."""
    newest = field.heads[-1]
    return StandingField(
        path=field.path,
        text=newest.text,
        reading=_reading(newest, kind, system),
        why_not="" if newest.why_not is None else f"Not understood: {newest.why_not}",
        values=tuple(
            Value(id=each.id, text=each.text, by=names.get(each.author, each.author), device=each.device, at=each.at)
            for each in field.heads
        ),
        is_in_conflict=field.is_in_conflict,
    )


def _reading(entry: Entry, kind: DraftKind, system: UnitSystem) -> str:
    if kind is DraftKind.SURVEY:
        from evenfire.delivery.intake.survey_fields import told

        return told(entry.path, entry.text, system, si=entry.si)
    dimension = kind_of(entry.path)
    if entry.si is None or not isinstance(dimension, Dimension):
        return ""
    shown = show(Quantity(number(entry.si), dimension), system)
    return "" if shown == entry.text.strip() else shown


def _typed(store: Store, draft: KeptDraft, path: str, text: str) -> Typed:
    if draft.kind is DraftKind.SURVEY:
        return _typed_into_survey(store, draft, path, text)
    ambient = None if draft.survey is None else _ambient(surveys.document_of(store, draft.survey))
    return typed_into_visit(path, text, ambient=ambient)


def _typed_into_survey(store: Store, draft: KeptDraft, path: str, text: str) -> Typed:
    from evenfire.delivery.intake.survey_fields import dimension_of, typed

    means = typed(path, text)
    if means.why_not is None or dimension_of(path) is not Dimension.GAUGE_PRESSURE:
        return means
    # An absolute pressure, perhaps: only now is it worth while to look for the air of the site.
    from evenfire.delivery.acts.surveying import air_at

    return typed(path, text, ambient=air_at(store, draft))


@lru_cache(maxsize=200)
def _ambient(document: str) -> AbsPa:
    """Pressure of the air at the site of a survey: reading one takes longer than keeping an entry [Pa abs]."""
    return AbsPa(read_document(document, "survey").plant_file.plant.site.ambient.value)


def _names(store: Store) -> dict[str, str]:
    return {each.id: each.name for each in registers.people_of(store)}
