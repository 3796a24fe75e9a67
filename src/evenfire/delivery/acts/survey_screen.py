"""The page of a survey: its fields by groups and parts, and the pressure stack of what is typed."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from evenfire.delivery.acts.checking import cases_of, has_stale_proposal
from evenfire.delivery.figures.sentence_svg import sentence_svg
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import StackLayout
from evenfire.delivery.figures.stack_svg import stack_svg
from evenfire.delivery.figures.stack_text import stack_text
from evenfire.delivery.intake.survey_fields import Group, SurveyField, rows, told
from evenfire.delivery.records.registers import May, Person
from evenfire.delivery.records.survey_standing import StandingField
from evenfire.delivery.report.survey_stands import SurveyStands, is_shown, survey_stands
from evenfire.delivery.survey_answers import AtSurvey, why_not
from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.visits.fields import NONE_SEEN
from evenfire.delivery.words import survey as words

MOST_PRESSED: Final = 3
"""Words of a choice that are buttons beside each other; more are a list [1]."""
TEXT_WIDTH: Final = 72
"""Of a stack as text on a page, which scrolls where there is less room [characters]."""
AT: Final = "%Y-%m-%d %H:%M UTC"
ROWS_IN: Final = {"boiler.measured.run_on": "boiler.measured", "load.demand.steps": "load"}
"""Lists whose rows stand within another part of the page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxValue:
    """One of two values that stand in a field."""

    text: str
    by: str
    device: str
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyBox:
    """One field of a survey on its page."""

    path: str
    label: str
    asked: str
    text: str
    words: tuple[str, ...]
    is_pressed: bool
    """The words are buttons"""
    taps: tuple[str, ...]
    """Texts that are written by one touch"""
    is_lines: bool
    bases: str
    state: str
    reading: str
    why_not: str
    values: tuple[BoxValue, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Fields under one heading."""

    at: str
    """Path of the table, or of the row of a list"""
    heading: str
    row: str
    """What one row of a list is called that may be taken away; empty for what there is once"""
    boxes: tuple[SurveyBox, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class More:
    """A list to which a row may be added."""

    key: str
    what: str
    first: str
    """Path of the first field of the row to come"""


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupForm:
    """A group of parts."""

    name: str
    heading: str
    parts: tuple[Part, ...]
    more: tuple[More, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyScreen:
    """Everything that the page of a survey shows."""

    boiler: str
    """Id of the boiler"""
    title: str
    draft: str
    """Id of the draft; empty where none is open"""
    is_closed: bool
    """Whether its fields take nothing from this reader"""
    origin: str
    """Where the newest survey came from; empty where there is none"""
    groups: tuple[GroupForm, ...]
    stands: SurveyStands
    stack: str
    """As text"""


def survey_screen(at: AtSurvey, person: Person, system: UnitSystem) -> SurveyScreen:
    """The page of a survey for one reader."""
    newest = at.newest
    return SurveyScreen(
        boiler=at.boiler.id,
        title=f"{at.boiler.site.name}, boiler {at.boiler.name}",
        draft="" if at.draft is None else at.draft.id,
        is_closed=at.draft is None or not at.draft.is_open or person.may is May.READ,
        origin="" if newest is None else words.SURVEYED_FROM.format(origin=newest.origin, at=f"{newest.taken_at:{AT}}"),
        groups=tuple(_group(at, group, system) for group in Group if _is_drawn(at, group)),
        stands=survey_stands(at, system),
        stack=stack_in_words(at, system),
    )


def first_group(screen: SurveyScreen) -> str:
    """Where the work goes on: where something has to be mended or filled in, else at the nameplate."""
    groups = screen.stands.groups
    return next((each.name for each in screen.groups if groups[each.name].is_alarm), Group.NAMEPLATE.value)


def stack_picture(at: AtSurvey, system: UnitSystem, width: float) -> str:
    """The stack of what is typed as SVG, so many pixels wide; a sentence where there is nothing to draw."""
    layout = _layout(at)
    return sentence_svg(words.NOTHING_TO_DRAW, width) if layout is None else stack_svg(layout, system, width)


def stack_in_words(at: AtSurvey, system: UnitSystem) -> str:
    """The same as text."""
    layout = _layout(at)
    return f"{words.NOTHING_TO_DRAW}\n" if layout is None else stack_text(layout, system, TEXT_WIDTH)


def _layout(at: AtSurvey) -> StackLayout | None:
    plant_file, boiler = at.standing.plant_file, at.surveyed
    if plant_file is None or boiler is None:
        return None
    found, proposed = cases_of(plant_file, boiler)
    if found is None and proposed is None:
        return None
    return lay_out(found, proposed, is_stale=has_stale_proposal(plant_file, boiler))


def _is_drawn(at: AtSurvey, group: Group) -> bool:
    """Settings as left belong to a visit; they are shown where a plant file brought some."""
    fields = [each for each in at.standing.fields if each.field.group is group]
    return group is not Group.AS_LEFT or any(each.text or each.heads for each in fields)


def _group(at: AtSurvey, group: Group, system: UnitSystem) -> GroupForm:
    shown = [each for each in at.standing.fields if each.field.group is group and is_shown(each)]
    fields = sorted(shown, key=lambda each: _row_of(each.field) != "")
    parts = tuple(
        _part(key, tuple(_box(each, at, system) for each in found)) for key, found in groupby(fields, key=_part_of)
    )
    more = (_more(at, key) for key, known in rows().items() if known.group is group)
    return GroupForm(
        name=group.value,
        heading=words.GROUPS[group.value],
        parts=parts,
        more=tuple(each for each in more if each is not None),
    )


def _part_of(field: StandingField) -> str:
    """The row of a list in which a field stands, else its table."""
    return _row_of(field.field) or field.field.section


def _row_of(field: SurveyField) -> str:
    for key in ROWS_IN:
        if field.key.startswith(f"{key}."):
            return ".".join(field.path.split(".")[: key.count(".") + 2])
    return ""


def _part(at: str, boxes: tuple[SurveyBox, ...]) -> Part:
    head, _, number = at.rpartition(".")
    known = rows().get(head)
    if known is not None:
        heading = f"{known.what[0].upper()}{known.what[1:]} {number}"
        return Part(at=at, heading=heading, row=known.what, boxes=boxes)
    number = next((part for part in at.split(".") if part.isdigit()), "")
    return Part(at=at, heading=words.section_of(at.replace(f".{number}.", "."), number), row="", boxes=boxes)


def _more(at: AtSurvey, key: str) -> More | None:
    depth = key.count(".") + 1
    here = [each.field for each in at.standing.fields if each.field.key.startswith(f"{key}.")]
    numbers = {int(each.path.split(".")[depth]) for each in here}
    number = max(numbers, default=0) + 1
    if number > rows()[key].most:
        return None
    first = {"boiler.burner": "fuel", "boiler.safety_valve": "name", "load.demand.steps": "for"}.get(key, "rise")
    return More(key=key, what=rows()[key].what, first=f"{key}.{number}.{first}")


def _box(field: StandingField, at: AtSurvey, system: UnitSystem) -> SurveyBox:
    known = field.field
    quantity = field.reading.quantity
    told = "" if quantity is None else show(quantity, system)
    beside = words.NOT_COUNTED if field.is_idle else words.LEFT_OUT if field.is_left_out and field.is_good else ""
    was = words.WAS.format(before=field.before.replace("\n", ", ") or words.NOTHING) if field.is_changed else ""
    return SurveyBox(
        path=known.path,
        label=known.label,
        asked=_asked(known, system),
        text="" if field.is_in_conflict else field.text,
        words=known.words,
        is_pressed=0 < len(known.words) <= MOST_PRESSED,
        taps=tuple(_taps(known)),
        is_lines=known.is_lines,
        bases=" ".join(head.id for head in field.heads),
        state="two values" if field.is_in_conflict else "saved" if field.heads else "",
        reading=" ".join(each for each in (told if told != field.text.strip() else "", was, beside) if each),
        why_not="" if field.is_in_conflict or not field.text.strip() else why_not(field),
        values=_values(field, at) if field.is_in_conflict else (),
    )


def _asked(field: SurveyField, system: UnitSystem) -> str:
    said = [] if field.hint.rstrip(".").casefold() == field.label.casefold() else [field.hint]
    if field.example and not field.words and field.example not in field.hint and not field.is_lines:
        # Plant files have their examples in US units.
        shown = "" if system is UnitSystem.US else told(field.path, field.example, system)
        said.append(words.SUCH_AS.format(example=shown or field.example))
    if field.shapes:
        said.append(words.ONLY_WITH.format(shapes=", ".join(field.shapes)))
    return " ".join(said)


def _taps(field: SurveyField) -> Iterator[str]:
    if (field.is_lines and not field.path.endswith("hours")) or field.path.endswith("water_leg.height"):
        yield NONE_SEEN


def _values(field: StandingField, at: AtSurvey) -> tuple[BoxValue, ...]:
    return tuple(
        BoxValue(text=each.text, by=at.people.get(each.author, each.author), device=each.device, at=f"{each.at:{AT}}")
        for each in field.heads
    )
