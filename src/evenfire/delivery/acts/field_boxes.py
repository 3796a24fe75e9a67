"""One field of a visit as a page shows it: what it asks, what stands in it, and what one touch writes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.acts.entering import StandingField, standing_field
from evenfire.delivery.records.drafts import DraftKind
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import AtVisit
from evenfire.delivery.visits.fields import NONE_SEEN, Choice, Holds, Kind, kind_of
from evenfire.delivery.words.visit_page import CALLED, hint_of, label_of
from evenfire.si import Dimension

MOST_PRESSED: Final = 3
"""Words of a choice that are buttons beside each other; more are a list [1]."""
YES_NO: Final = ("yes", "no")
AT: Final = "%Y-%m-%d %H:%M UTC"

Put = tuple[str, str | None]
"""A path and the text that is written there; nothing stands for the time on the wall."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxValue:
    """One of two values that stand in a field."""

    text: str
    by: str
    device: str
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldBox:
    """A field of a visit on its page."""

    path: str
    label: str
    asked: str
    text: str
    words: tuple[str, ...]
    """Of a choice; none where the text is free"""
    is_pressed: bool
    """The words are buttons"""
    called: Mapping[str, str]
    """Words that are shown otherwise than they are kept"""
    taps: tuple[str, ...]
    """Texts that are written by one touch"""
    is_lines: bool
    is_moment: bool
    unit: str
    """Written behind a bare number; empty where nobody knows which"""
    puts: tuple[Put, ...]
    """What is written into other fields that are empty, as soon as something is written here"""
    bases: str
    state: str
    reading: str
    why_not: str
    values: tuple[BoxValue, ...]
    is_closed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Boxes:
    """The fields of one visit, made into boxes."""

    at: AtVisit
    system: UnitSystem
    units: Mapping[str, str]
    """Of the dials, by their keys"""
    is_closed: bool

    def box(
        self, path: str, *, taps: tuple[str, ...] = (), puts: tuple[Put, ...] = (), unit: str | None = None
    ) -> FieldBox:
        """One field as it stands."""
        kind = kind_of(path)
        parts = path.split(".")
        table, key = parts[0], parts[1] if len(parts) == 2 else parts[2]
        words = _words(kind)
        standing = self._standing(path)
        text = "" if standing is None or standing.is_in_conflict else standing.text
        return FieldBox(
            path=path,
            label=f"{label_of(table, key)} {parts[3]}" if len(parts) == 4 else label_of(table, key),
            # Said once of a field that is repeated.
            asked=hint_of(table, key) if parts[3:] in ([], ["1"]) else "",
            text=text,
            words=words,
            is_pressed=0 < len(words) <= MOST_PRESSED,
            called={word: CALLED[word] for word in words if word in CALLED},
            taps=((NONE_SEEN, *taps) if kind is Holds.LINES else taps),
            is_lines=kind is Holds.LINES or (table, key) == ("note", "text"),
            is_moment=kind is Holds.MOMENT,
            unit=self._unit(kind, key) if unit is None else unit,
            puts=puts,
            bases="" if standing is None else " ".join(each.id for each in standing.values),
            state="" if standing is None else "two values" if standing.is_in_conflict else "saved",
            reading="" if standing is None else standing.reading,
            why_not="" if standing is None else standing.why_not,
            values=() if standing is None or not standing.is_in_conflict else _values(standing),
            is_closed=self.is_closed,
        )

    def _standing(self, path: str) -> StandingField | None:
        field = self.at.fold.fields.get(path)
        return None if field is None else standing_field(field, DraftKind.VISIT, self.at.people, self.system)

    def _unit(self, kind: Kind, key: str) -> str:
        if kind is Dimension.TIME:
            return "s"
        return self.units.get(key, "") if isinstance(kind, Dimension) else ""


def _words(kind: Kind) -> tuple[str, ...]:
    if isinstance(kind, Choice):
        return kind.words
    return YES_NO if kind is Holds.YES_NO else ()


def _values(standing: StandingField) -> tuple[BoxValue, ...]:
    return tuple(
        BoxValue(text=each.text, by=each.by, device=each.device, at=f"{each.at:{AT}}") for each in standing.values
    )
