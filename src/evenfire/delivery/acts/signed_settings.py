"""The settings that a signed visit left, out of its record: read quickly, without what judges in motion or prints."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from evenfire.delivery.acts.judging_visit import ActsAt, left_as, with_bypasses_left
from evenfire.delivery.acts.visiting import as_this_visit_found_it
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.papers.visit_body import Body, day_of_body, number_of, table_of, texts_of
from evenfire.delivery.papers.visit_entries import visit_in
from evenfire.delivery.records import surveys
from evenfire.delivery.records.container import Container
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.record import RecordFacts
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.records.signed import KeptRecord
from evenfire.delivery.records.survey_document import sha256_of
from evenfire.delivery.records.verification import Flaw, Known
from evenfire.delivery.records.verifying import verify
from evenfire.delivery.visits.visit import Visit
from evenfire.delivery.words import visit_papers as words
from evenfire.errors import BadInput, BadRequest
from evenfire.judgement.trip_test.trip import TESTED
from evenfire.plant.controls import Role
from evenfire.plant.settings import Settings
from evenfire.si import DiffPa, GaugePa

OF_A_RECORD_ALONE = frozenset({Flaw.MALFORMED, Flaw.CHANGED, Flaw.OTHER_SIGNER, Flaw.SIGNATURE, Flaw.OTHER_BOILER})
"""What is wrong with a record by itself, whatever became of others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedSettings:
    """The settings of one signed visit as a plant file."""

    plant_file: PlantFile
    """With the settings as left, where any were read"""
    as_surveyed: PlantFile
    """Without them, and with the tolerances that the survey asks for"""
    boiler: str
    """Its name in them"""
    visit: Visit
    day: date
    proved: Mapping[Role, ActsAt]
    """Controls that stand as left where they were seen to act"""


def settings_signed(store: Store, kept: KeptRecord, facts: RecordFacts) -> SignedSettings:
    """The settings of a signed visit.

    Raises
    ------
    BadRequest
        Its survey is not here as it was signed, or what was typed cannot be read.
    """
    body, name = facts.body, facts.head.boiler["name"]
    survey, visit = survey_signed(store, kept.boiler, facts), visit_in(body, kept.boiler)
    if survey is None or name not in {each.name for each in survey.plant.boilers}:
        raise BadRequest(words.NO_SURVEY)
    if visit is None:
        raise BadRequest(words.NO_SETTINGS)
    day, as_surveyed = _as_signed(survey, name, visit, facts)
    plant_file = as_surveyed
    proved = dict(_proved_in(body))
    if visit.as_left != Settings():
        plant_file = with_bypasses_left(plant_file, name, visit.jumpers_left)
        plant_file = left_as(plant_file, name, replace(visit.as_left, read_on=day), proved)
    return SignedSettings(
        plant_file=plant_file, as_surveyed=as_surveyed, boiler=name, visit=visit, day=day, proved=proved
    )


def survey_signed(store: Store, boiler: str, facts: RecordFacts) -> PlantFile | None:
    """The survey that a signed visit stands on; nothing where it is not here, or not what was signed, or unreadable."""
    sha256 = text_of(table_of(facts.body, "visit"), "survey")
    if sha256 not in facts.head.surveys:
        return None
    try:
        revision = surveys.give(store, boiler, sha256=sha256)
        return revision.plant_file() if sha256_of(revision.document) == sha256 else None
    except BadInput:
        return None


def is_as_signed(kept: KeptRecord) -> bool:
    """Whether a record is by itself what was signed, whoever signed it and whatever became of others."""
    alone = Container(boiler=kept.boiler, records=(kept.record,), attachments={}, surveys={})
    return not any(each.flaw in OF_A_RECORD_ALONE for each in verify(alone, Known(keys={})).problems)


def _as_signed(survey: PlantFile, boiler: str, visit: Visit, facts: RecordFacts) -> tuple[date, PlantFile]:
    """The day of a signed visit and the survey as it found it.

    Where nobody wrote down the day, the clock on the wall of the signer told it, never that of whoever prints: of the
    days around, it is the one that gives the revision that was signed.
    """
    body = facts.body
    signed = text_of(table_of(body, "visit"), "plant_revision")
    first = day_of_body(body) or facts.head.signed_at.date()
    found = []
    for day in (first, first - timedelta(days=1), first + timedelta(days=1)):
        arrived = datetime.combine(day, time()) if visit.arrived is None else visit.arrived
        found.append((day, as_this_visit_found_it(survey, boiler, replace(visit, arrived=arrived))))
    return next((each for each in found if each[1].revision == signed), found[0])


def _proved_in(body: Body) -> Iterator[tuple[Role, ActsAt]]:
    """Where the controls acted that stand as left where they were proved; by the last test of each."""
    for role in TESTED:
        rows = [row for row in rows_of(body, "trip_tests") if text_of(row, "control") == role.value]
        if not rows or role.value not in texts_of(body, "controls_proved"):
            continue
        shown = table_of(rows[-1], "proved")
        trip, tolerance = number_of(shown, "trip_pa_gauge"), number_of(shown, "tolerance_pa")
        if trip is not None and tolerance is not None and trip > 0.0 and tolerance > 0.0:
            read = number_of(shown, "differential_pa")
            differential = None if read is None or read <= 0.0 else DiffPa(read)
            yield role, ActsAt(trip=GaugePa(trip), tolerance=DiffPa(tolerance), differential=differential)
