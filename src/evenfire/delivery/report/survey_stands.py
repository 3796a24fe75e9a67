"""How a survey stands, for a page: the lines of the terminal's check, each thing to mend with its field."""

from dataclasses import dataclass
from typing import Final

from evenfire import __version__
from evenfire.delivery.answers import Ending, Identity
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.intake.survey_fields import Group, field_if_any
from evenfire.delivery.records.survey_standing import StandingField
from evenfire.delivery.report.boiler_text import assumption_lines, made_from, nameplate, standing_lines, which_settings
from evenfire.delivery.report.check_text import VERDICTS
from evenfire.delivery.report.outcome_text import (
    clear_of,
    count_line,
    finding_rows,
    findings_of,
    not_judged_of,
    not_judged_told,
)
from evenfire.delivery.report.page import Page
from evenfire.delivery.survey_answers import AtSurvey, name_of, why_not
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import SEVERITIES
from evenfire.delivery.words import survey as words
from evenfire.judgement.outcome import Outcome, Severity
from evenfire.judgement.rulebook import RULE_BOOK_VERSION

UNBROKEN: Final = 1_000_000
"""A page breaks lines by itself [characters]."""
NOT_JUDGED: Final = "NOT JUDGED"
CLEAR: Final = "CLEAR"
NOTHING: Final = "nothing"

Row = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToMend:
    """One thing that stands against taking a survey, and where it is mended."""

    path: str
    """Of a field of the page; empty where it is none"""
    name: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """One field that says something else than the newest survey."""

    path: str
    name: str
    before: str
    now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupTold:
    """How far a part of the survey is filled in."""

    text: str
    is_alarm: bool
    """Something in it has to be mended"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyStands:
    """How a survey stands."""

    word: str
    """The weightiest that was found, as a verdict"""
    line: str
    """How many of each"""
    verdict: str
    judged: str
    """What was judged: nameplate and settings"""
    needed: tuple[ToMend, ...]
    """Fields to be filled in"""
    to_mend: tuple[ToMend, ...]
    """Fields that cannot be taken as they are"""
    left_out: tuple[str, ...]
    """Fields without which was judged"""
    counted: str
    """How many of each, also of what is clear; empty before anything is judged"""
    made_from: str
    findings: tuple[tuple[Row, ...], ...]
    """Worst first"""
    not_judged: tuple[str, ...]
    standing: tuple[str, ...]
    assumed: tuple[str, ...]
    changed: tuple[Changed, ...]
    unaware_of: str
    groups: dict[str, GroupTold]
    is_complete: bool
    seen: str
    """Id of the newest entry that this answer knows"""


def survey_stands(at: AtSurvey, system: UnitSystem) -> SurveyStands:
    """How a survey stands, in the reader's units."""
    page = Page(UNBROKEN, system)
    check, standing = at.check, at.standing
    needed = {each.field.path for each in at.needed}
    plant = standing.plant_file
    outcomes = () if check is None else check.outcomes
    findings = findings_of(outcomes)
    return SurveyStands(
        word=_word(at),
        line=words.NO_PLANT.rstrip(".") if check is None else _counted(outcomes),
        verdict=_verdict(at),
        judged="" if check is None else f"{_capital(nameplate(check.case.boiler, page))}. {which_settings(check)}",
        counted="" if check is None else count_line(outcomes),
        made_from="" if check is None or plant is None else made_from(_identity(plant)),
        findings=tuple(tuple(finding_rows(each, page, findings)) for each in findings),
        not_judged=tuple(not_judged_told(outcomes)),
        standing=() if check is None else tuple(standing_lines(check.standing, check.case, page)),
        needed=tuple(_mend(each) for each in at.needed),
        to_mend=(*(_mend(each) for each in standing.against if each.field.path not in needed), *_elsewhere(at)),
        left_out=tuple(name_of(each) for each in standing.fields if each.is_left_out and each.is_good),
        assumed=() if plant is None else tuple(assumption_lines(plant, page)),
        changed=tuple(_changed(each) for each in standing.changed),
        unaware_of=_unaware_of(at),
        groups={group.value: _group(at, group) for group in Group},
        is_complete=standing.is_complete,
        seen=at.newest_entry,
    )


def _identity(plant_file: PlantFile) -> Identity:
    return Identity(plant_revision=plant_file.revision, engine_version=__version__, rule_book_version=RULE_BOOK_VERSION)


def _word(at: AtSurvey) -> str:
    """The weightiest finding; what was not judged is never clear."""
    if at.check is None:
        return NOT_JUDGED
    findings = findings_of(at.check.outcomes)
    if findings and (findings[0].severity is Severity.STOP or at.ending is Ending.CLEAR):
        return SEVERITIES[findings[0].severity].upper()
    return CLEAR if at.ending is Ending.CLEAR else NOT_JUDGED


def _verdict(at: AtSurvey) -> str:
    if at.check is None:
        return words.NOT_JUDGED_YET
    if at.ending is Ending.STOP_NOT_JUDGED and not at.standing.is_complete:
        return words.JUDGED_IN_PART
    return VERDICTS[at.ending]


def _counted(outcomes: tuple[Outcome, ...]) -> str:
    """How many of each weight, without what there is none of: it has to fit into one line of a phone."""
    findings, unjudged = findings_of(outcomes), len(not_judged_of(outcomes))
    counts = [(sum(1 for each in findings if each.severity is weight), SEVERITIES[weight]) for weight in Severity]
    told = [f"{count} {word.lower()}" for count, word in [*counts, (unjudged, NOT_JUDGED.lower())] if count]
    return ", ".join(told) or words.ALL_CLEAR.format(count=len(clear_of(outcomes)))


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _mend(field: StandingField) -> ToMend:
    # What is accepted stands at the field itself.
    why = why_not(field).partition(". Accepted")[0]
    return ToMend(path=field.field.path, name=name_of(field), why=why if why.endswith(".") else f"{why}.")


def _elsewhere(at: AtSurvey) -> tuple[ToMend, ...]:
    """What is wrong with a table as a whole, or with another boiler of the site."""
    known = {each.field.path for each in at.standing.fields}
    return tuple(
        ToMend(path="", name=each.path or words.OTHER_BOILER, why=f"{each.found}. {each.do}")
        for each in at.standing.problems
        if each.path not in known and field_if_any(each.path) is None
    )


def _changed(field: StandingField) -> Changed:
    now = (
        " / ".join(head.text.strip() or NOTHING for head in field.heads) if field.is_in_conflict else field.text.strip()
    )
    return Changed(
        path=field.field.path, name=name_of(field), before=field.before.strip() or NOTHING, now=now or NOTHING
    )


def _unaware_of(at: AtSurvey) -> str:
    if not at.unaware_of:
        return ""
    newest = at.unaware_of[-1]
    return words.TAKEN_SINCE.format(origin=newest.origin, at=f"{newest.taken_at:%Y-%m-%d %H:%M} UTC")


def _group(at: AtSurvey, group: Group) -> GroupTold:
    fields = [each for each in at.standing.fields if each.field.group is group and is_shown(each)]
    wrong = sum(1 for each in fields if not each.is_good)
    if wrong:
        return GroupTold(text=words.TO_MEND.format(count=wrong), is_alarm=True)
    filled = sum(1 for each in fields if each.text.strip())
    return GroupTold(text=words.FILLED.format(filled=filled, of=len(fields)), is_alarm=False)


def is_shown(field: StandingField) -> bool:
    """Whether a field is on the page: what says nothing of the work is shown only where something stands."""
    return field.field.is_asked or bool(field.text.strip() or field.heads or field.before)
