"""The flow of one boiler in a few words each: what is surveyed, how it is set, and what became of the last visit."""

from evenfire.delivery.acts.boiler_now import open_visits_here
from evenfire.delivery.acts.boilers import setting_of
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, open_drafts_of
from evenfire.delivery.records.overview import newest_of
from evenfire.delivery.records.registers import boiler_by_id
from evenfire.delivery.units import UnitSystem

DAY = "%Y-%m-%d"
STANDS = ("STOP", "not judged", "warn", "advise", "nothing broken", "clear")
"""By how bad it is."""


def stations(store: Store, boiler: str, system: UnitSystem) -> dict[str, str]:
    """A few words for survey, settle and visit of a boiler (by its id); what is not done has none.

    Raises
    ------
    BadInput
        There is no such boiler, or the store cannot be read.
    """
    with store.read() as connection:
        kept = boiler_by_id(connection, boiler)
    newest = newest_of(store, (boiler,))[boiler]
    opened = open_visits_here(store, boiler).get(boiler, ())
    survey = "" if newest.survey is None else f"taken {newest.survey.taken_at:{DAY}}"
    if any(each.boiler == boiler for each in open_drafts_of(store, DraftKind.SURVEY)):
        survey = "being typed"
    visit = "" if newest.last_visit is None else f"signed {newest.last_visit.signed_at:{DAY}}"
    if opened:
        visit = "open"
    if any(change.is_open for each in opened for change in each.visit.temporary_changes):
        visit = "TEMPORARY CHANGE OPEN"
    worst = "" if newest.survey is None else STANDS[setting_of(store, kept, opened, newest, system).gravity]
    return {"survey": survey, "settle": worst, "visit": visit, "print": ""}
