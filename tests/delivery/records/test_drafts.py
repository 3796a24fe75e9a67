from dataclasses import replace

import pytest

from evenfire.delivery.records import registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, close_survey, draft_of, drafts_of, open_survey, open_visit
from evenfire.delivery.records.entries import record
from evenfire.delivery.records.registers import May
from evenfire.errors import BadRequest
from tests.delivery.records.store_examples import LAUNDRY, at_work, entry, named_id


def test_a_visit_begins_with_the_newest_survey_and_keeps_it(store: Store) -> None:
    at = at_work(store)
    newest = surveys.give(store, at.boiler.id)
    assert at.visit.survey == newest.sha256
    surveys.take(store, LAUNDRY.replace(b'mawp = "150 psi"', b'mawp = "160 psi"'), "laundry.toml")
    kept = draft_of(store, at.visit.id)
    assert kept == at.visit
    assert kept.is_open
    opening = kept.opening
    assert (opening.id, opening.boiler, opening.survey) == (at.visit.id, at.boiler.id, newest.sha256)
    assert (opening.opened_by, opening.opened_at) == (at.person.id, at.visit.opened_at)


def test_a_visit_may_begin_with_an_older_survey_that_is_named(store: Store) -> None:
    at = at_work(store)
    surveys.take(store, LAUNDRY.replace(b'mawp = "150 psi"', b'mawp = "160 psi"'), "laundry.toml")
    visit = open_visit(store, boiler=at.boiler.id, by=at.person.id, survey=at.visit.survey)
    assert visit.survey == at.visit.survey
    with pytest.raises(BadRequest, match="no survey revision"):
        open_visit(store, boiler=at.boiler.id, by=at.person.id, survey="0" * 64)


def test_opening_the_same_visit_again_is_harmless_and_another_under_its_id_is_refused(store: Store) -> None:
    at = at_work(store)
    mine = named_id("made on the phone")
    first = open_visit(store, boiler=at.boiler.id, by=at.person.id, draft=mine)
    assert open_visit(store, boiler=at.boiler.id, by=at.person.id, draft=mine) == first
    other = registers.add_person(store, "Ben Marsh", licence="", may=May.SIGN)
    with pytest.raises(BadRequest, match="another visit already"):
        open_visit(store, boiler=at.boiler.id, by=other.id, draft=mine)
    with pytest.raises(BadRequest, match="another visit already"):
        open_survey(store, boiler=at.boiler.id, by=at.person.id, draft=mine)
    assert len(drafts_of(store)) == 2


def test_a_boiler_without_survey_takes_a_survey_draft_and_no_visit(store: Store) -> None:
    ada = registers.add_person(store, "Ada Quill", licence="", may=May.WRITE)
    site = registers.add_site(store, "Kiln Lane")
    boiler = registers.add_boiler(store, site.id, "No. 1")
    with pytest.raises(BadRequest, match=r"no survey of Kiln Lane/No\. 1 yet"):
        open_visit(store, boiler=boiler.id, by=ada.id)
    draft = open_survey(store, boiler=boiler.id, by=ada.id)
    assert (draft.kind, draft.survey, draft.is_open) == (DraftKind.SURVEY, None, True)
    with pytest.raises(BadRequest, match="a survey draft and no visit"):
        _ = draft.opening


def test_only_somebody_known_who_may_write_opens_anything(store: Store) -> None:
    at = at_work(store)
    reader = registers.add_person(store, "Ben Marsh", licence="", may=May.READ)
    with pytest.raises(BadRequest, match="Ben Marsh may only read"):
        open_visit(store, boiler=at.boiler.id, by=reader.id)
    with pytest.raises(BadRequest, match="no person"):
        open_visit(store, boiler=at.boiler.id, by=named_id("nobody"))
    with pytest.raises(BadRequest, match="no boiler"):
        open_visit(store, boiler=named_id("no boiler"), by=at.person.id)


def test_drafts_are_listed_newest_first_by_boiler_and_kind_and_found_by_the_beginning_of_their_id(store: Store) -> None:
    at = at_work(store)
    survey = open_survey(store, boiler=at.boiler.id, by=at.person.id)
    assert drafts_of(store) == drafts_of(store, at.boiler.id) == (survey, at.visit)
    assert drafts_of(store, kind=DraftKind.VISIT) == (at.visit,)
    assert drafts_of(store, named_id("elsewhere")) == ()
    assert draft_of(store, survey.id[:9]) == survey
    with pytest.raises(BadRequest, match="There is no visit or survey draft"):
        draft_of(store, "zzzz")


def test_a_survey_draft_is_closed_by_the_revision_that_it_became(store: Store) -> None:
    at = at_work(store)
    draft = open_survey(store, boiler=at.boiler.id, by=at.person.id)
    number = surveys.take(store, LAUNDRY.replace(b'"130 psi"', b'"131 psi"'), "laundry.toml").revision.number
    assert number is not None
    with pytest.raises(BadRequest, match="no survey revision"):
        close_survey(store, draft.id, number + 100)
    closed = close_survey(store, draft.id, number)
    assert (closed.is_open, closed.became) == (False, number)
    with pytest.raises(BadRequest, match="finished already"):
        close_survey(store, draft.id, number)
    with pytest.raises(BadRequest, match="is a visit"):
        close_survey(store, at.visit.id, number)
    with pytest.raises(BadRequest, match="is finished and takes no more entries"):
        record(store, replace(entry(at, 1), draft=draft.id))
