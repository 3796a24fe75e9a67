"""What the acts of a survey answer: whole, frozen, complete at birth."""

from collections.abc import Mapping
from dataclasses import dataclass

from evenfire.delivery.answers import BoilerCheck, Ending, ending_of
from evenfire.delivery.records.drafts import KeptDraft
from evenfire.delivery.records.registers import KeptBoiler
from evenfire.delivery.records.survey_standing import Standing, StandingField
from evenfire.delivery.records.surveys import SurveyRevision
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.words import survey as words
from evenfire.plant.boiler import Boiler


@dataclass(frozen=True, slots=True, kw_only=True)
class AtSurvey:
    """A survey draft with what it stands on, or a boiler as it was surveyed last."""

    boiler: KeptBoiler
    draft: KeptDraft | None
    """Nothing where no draft is open: what stands is the newest survey"""
    newest: SurveyRevision | None
    """Of the site; what was typed is laid over it"""
    unaware_of: tuple[SurveyRevision, ...]
    """Surveys of the site that were taken after the draft was opened, oldest first"""
    entries: tuple[Entry, ...]
    standing: Standing
    check: BoilerCheck | None
    """The judgement of the boiler as typed; nothing where what stands is no plant"""
    people: Mapping[str, str]
    """Names of those who typed, by their ids"""

    @property
    def surveyed(self) -> Boiler | None:
        """The boiler as typed."""
        return None if self.check is None else self.check.case.boiler

    @property
    def needed(self) -> tuple[StandingField, ...]:
        """Fields that are empty and have to be filled in before anything can be judged, or beside what stands there."""
        return tuple(each for each in self.standing.fields if any(problem.is_missing for problem in each.problems))

    @property
    def newest_entry(self) -> str:
        """Id of the entry that was received last; empty for a draft without any."""
        return self.entries[-1].id if self.entries else ""

    @property
    def ending(self) -> Ending:
        """As a check of this boiler would end; what is left out, or is no plant, is never clear."""
        if self.check is None:
            return Ending.STOP_NOT_JUDGED
        ending = ending_of(self.check.outcomes)
        return Ending.STOP_NOT_JUDGED if ending is Ending.CLEAR and not self.standing.is_complete else ending


def name_of(field: StandingField) -> str:
    """A field as somebody would look for it: ``Safety valve 2: Set pressure``."""
    number = next((part for part in field.field.path.split(".") if part.isdigit()), "")
    section = words.section_of(field.field.section.replace(f".{number}", "") if number else field.field.section, number)
    return words.WHERE.format(section=section, label=field.field.label)


def why_not(field: StandingField) -> str:
    """What stands against a field as it is; empty where nothing does."""
    if field.is_in_conflict:
        return words.TWO_VALUES
    if field.reading.why_not is not None:
        return words.NOT_UNDERSTOOD.format(why=field.reading.why_not)
    return " ".join(_told(field))


def _told(field: StandingField) -> list[str]:
    said = []
    for problem in field.problems:
        if problem.is_missing:
            said.append(words.NEEDED if field.field.is_whole_required else words.NEEDED_BESIDE)
        else:
            said.append(f"{problem.found[0].upper()}{problem.found[1:]}. {problem.do}")
    return said


def against(at: AtSurvey) -> tuple[str, ...]:
    """Everything that stands against taking a draft as a survey, each with its place."""
    fields = [f"{name_of(each)}. {why_not(each)}" for each in at.standing.against]
    known = {each.field.path for each in at.standing.fields}
    others = [
        f"{problem.path or 'The plant'}: {problem.found}. {problem.do}"
        for problem in at.standing.problems
        if problem.path not in known
    ]
    found = (*fields, *others)
    return found if found or at.standing.plant_file is not None else (words.NO_PLANT,)
