"""The acts of a survey: open a draft, see how it stands and is judged while it is typed, take it as a survey."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Final
from uuid import uuid4

from evenfire.delivery.acts.checking import check_boiler
from evenfire.delivery.answers import BoilerCheck
from evenfire.delivery.intake.survey_fields import rows, typed
from evenfire.delivery.intake.tables.texts import LONGEST_NAME
from evenfire.delivery.records import drafts, entries, registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, KeptDraft
from evenfire.delivery.records.registers import KeptBoiler, May, Person, spelled
from evenfire.delivery.records.survey_document import origin_line, plant_of
from evenfire.delivery.records.survey_standing import StandingField, Surveyed, plant_in, standing_of, stated_air
from evenfire.delivery.records.surveys import SurveyRevision, Taken
from evenfire.delivery.survey_answers import AtSurvey, against
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.folding import folded
from evenfire.delivery.words import survey as words
from evenfire.errors import BadRequest
from evenfire.si import AbsPa

MOST_TOLD: Final = 3
"""Reasons in one refusal; a page shows every one at its field."""
AIR: Final = ("site.altitude", "site.barometer")
"""Fields that tell the pressure of the air."""
SHORT: Final = 8
"""Of an id that a person reads [characters]."""


def open_survey(store: Store, boiler: KeptBoiler, by: Person) -> KeptDraft:
    """The survey draft that is open at a boiler, or a new one.

    Raises
    ------
    BadRequest
        The person may only read.
    """
    _require_writer(by)
    opened = open_draft(store, boiler.id)
    return opened if opened is not None else drafts.open_survey(store, boiler=boiler.id, by=by.id)


def open_new(store: Store, site: str, boiler: str, by: Person) -> KeptDraft:
    """A survey draft of a boiler that the store does not know yet, at a known site or a new one.

    Raises
    ------
    BadRequest
        A name is missing or cannot be printed, the boiler is known, or the person may only read.
    """
    _require_writer(by)
    at, name = _name(site), _name(boiler)
    known = next((each for each in registers.sites_of(store) if spelled(each.name) == spelled(at)), None)
    if known is not None:
        same = [each for each in registers.boilers_of(store, known.id) if spelled(each.name) == spelled(name)]
        if same:
            raise BadRequest(words.OPEN_TWICE.format(boiler=f"{known.name}/{same[0].name}"))
    place = known if known is not None else registers.add_site(store, at)
    made = registers.add_boiler(store, place.id, name)
    return drafts.open_survey(store, boiler=made.id, by=by.id)


def open_draft(store: Store, boiler: str) -> KeptDraft | None:
    """The survey draft that is open at a boiler (by its id), the newest of several."""
    return next((each for each in drafts.drafts_of(store, boiler, kind=DraftKind.SURVEY) if each.is_open), None)


def at_survey(store: Store, draft: KeptDraft, *, more: frozenset[str] = frozenset()) -> AtSurvey:
    """How a survey draft stands; ``more`` names the lists of which one more empty row is wanted.

    Raises
    ------
    BadRequest
        It is a visit.
    """
    if draft.kind is not DraftKind.SURVEY:
        raise BadRequest(words.NO_SURVEY.format(id=draft.id))
    boiler = _kept(store, draft.boiler)
    newest = surveys.newest_at(store, boiler.site.id)
    # Laid over the newest survey, a draft undoes nothing of it into which nobody typed.
    began = None
    unaware_of: tuple[SurveyRevision, ...] = ()
    if newest is not None and draft.survey is not None and draft.survey != newest.sha256:
        began = plant_of(surveys.document_of(store, draft.survey))
        unaware_of = surveys.taken_since(store, boiler.site.id, draft.survey)
    base = Surveyed(
        plant={} if newest is None else plant_of(newest.document),
        began_with=began,
        site=boiler.site.name,
        boiler=boiler.name,
    )
    typed_in = entries.entries_of(store, draft.id)
    standing = standing_of(base, folded(typed_in), more=more)
    return AtSurvey(
        boiler=boiler,
        draft=draft,
        newest=newest,
        unaware_of=unaware_of,
        entries=typed_in,
        standing=standing,
        check=None if standing.text is None else _checked(standing.text, boiler.name),
        people={each.id: each.name for each in registers.people_of(store)},
    )


def last_surveyed(store: Store, boiler: KeptBoiler) -> AtSurvey:
    """A boiler as it was surveyed last, where no draft is open."""
    newest = surveys.newest_at(store, boiler.site.id)
    held = surveys.surveys_of(store, boiler.id)
    base = Surveyed(
        plant={} if newest is None else plant_of(newest.document),
        began_with=plant_of(held[-1].document) if held and held[-1] != newest else None,
        site=boiler.site.name,
        boiler=boiler.name,
    )
    standing = standing_of(base, folded(()))
    return AtSurvey(
        boiler=boiler,
        draft=None,
        newest=newest,
        unaware_of=(),
        entries=(),
        standing=standing,
        check=None if standing.text is None else _checked(standing.text, boiler.name),
        people={},
    )


def air_at(store: Store, draft: KeptDraft) -> AbsPa | None:
    """Pressure of the air at the site of a survey draft, as far as it is stated [Pa abs]."""
    newest = surveys.newest_at(store, _kept(store, draft.boiler).site.id)
    plant = {} if newest is None else plant_of(newest.document)
    typed_in = (entry for key in AIR for entry in entries.entries_at(store, draft.id, key))
    return stated_air(plant, folded(typed_in))


def finish_survey(store: Store, draft: KeptDraft, by: Person, *, seen: str | None = None) -> Taken:
    """Take a draft as the newest survey of its site, and close it; ``seen`` is the newest entry that a person saw.

    Raises
    ------
    BadRequest
        It is finished, not complete (with where and why), something was typed since, or the person may only read.
    """
    _require_writer(by)
    at = at_survey(store, drafts.draft_by_whole_id(store, draft.id))
    if at.draft is None or not at.draft.is_open:
        raise BadRequest(words.FINISHED)
    _require_seen(at, seen)
    text = at.standing.text
    if text is None or not at.standing.is_complete:
        raise BadRequest(words.NOT_TAKEN.format(why=_why(against(at))))
    head = "" if draft.survey is None else f"{origin_line(draft.survey)}\n"
    taken = surveys.take(store, f"{head}{text}".encode(), f"survey {draft.id[:SHORT]}", by=by.id)
    assert taken.revision.number is not None
    drafts.close_survey(store, draft.id, taken.revision.number)
    return taken


def put_back(store: Store, draft: KeptDraft, by: Person, device: str) -> None:
    """Put back what the newest survey says into every field that says something else.

    Raises
    ------
    BadRequest
        It is finished, or the person may only read.
    """
    _require_writer(by)
    at = at_survey(store, draft)
    _enter(store, at, {each.field.path: each.before for each in at.standing.changed}, by, device)


def row_taken_away(store: Store, draft: KeptDraft, row: str, by: Person, device: str) -> None:
    """Take away everything that stands in one row of a list, such as ``boiler.safety_valve.2``.

    Raises
    ------
    BadRequest
        There is no such row, the survey is finished, or the person may only read.
    """
    _require_writer(by)
    at = at_survey(store, draft)
    stands = [each.field.path for each in at.standing.fields if each.field.path.startswith(f"{row}.")]
    if row.rpartition(".")[0] not in rows() or not stands:
        raise BadRequest(words.NO_ROW)
    emptied = [path for path in stands if _field(at, path).text.strip() or _field(at, path).is_in_conflict]
    _enter(store, at, dict.fromkeys(emptied, ""), by, device)


def take_plant_file(store: Store, content: bytes, name: str, by: Person) -> Taken:
    """Take a plant file as the newest survey of its site.

    Raises
    ------
    BadPlantFile
        It is no good plant file.
    BadRequest
        The person may only read.
    """
    _require_writer(by)
    return surveys.take(store, content, name, by=by.id)


def _field(at: AtSurvey, path: str) -> StandingField:
    return next(each for each in at.standing.fields if each.field.path == path)


def _enter(store: Store, at: AtSurvey, said: Mapping[str, str], by: Person, device: str) -> None:
    """Enter these texts, all of them or none, each in the place of what stands in its field."""
    assert at.draft is not None
    moment = store.clock()
    made = []
    for path, text in said.items():
        means = typed(path, text)
        made.append(
            Entry(
                id=str(uuid4()),
                draft=at.draft.id,
                path=path,
                text=text,
                unit=means.unit,
                si=means.si,
                why_not=means.why_not,
                author=by.id,
                device=device,
                at=moment,
                based_on=tuple(head.id for head in _field(at, path).heads),
            )
        )
    entries.record_all(store, made)


def _require_writer(by: Person) -> None:
    if by.may is May.READ:
        raise BadRequest(words.MAY_ONLY_READ.format(name=by.name))


def _require_seen(at: AtSurvey, seen: str | None) -> None:
    """What was typed on another device after a person looked is looked at first."""
    if seen is None or seen == at.newest_entry:
        return
    ids = [each.id for each in at.entries]
    since = at.entries[ids.index(seen) + 1 :] if seen in ids else at.entries
    paths = {each.path for each in since}
    named = [each.field.label for each in at.standing.fields if each.field.path in paths]
    raise BadRequest(words.TYPED_SINCE.format(fields=", ".join(named[:MOST_TOLD]) or "a field"))


def _why(reasons: tuple[str, ...]) -> str:
    told = " ".join(reasons[:MOST_TOLD])
    rest = len(reasons) - MOST_TOLD
    return words.NOT_TAKEN_MORE.format(why=told, count=rest) if rest > 0 else told


@lru_cache(maxsize=32)
def _checked(text: str, boiler: str) -> BoilerCheck | None:
    """The judgement of one boiler of a plant; page, judgement and drawing ask for the same."""
    plant_file = plant_in(text, f"survey of {boiler}")
    if plant_file is None:
        return None
    named = next(each for each in plant_file.plant.boilers if spelled(each.name) == spelled(boiler))
    return check_boiler(plant_file, named, None)


def _kept(store: Store, boiler: str) -> KeptBoiler:
    return next(each for each in registers.boilers_of(store) if each.id == boiler)


def _name(text: str) -> str:
    name = " ".join(text.split())
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise BadRequest(words.NAMES_WANTED.format(most=LONGEST_NAME))
    return name
