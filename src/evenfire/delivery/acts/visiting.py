"""The acts of a visit: open it, enter a filled-in sheet, settle it, see how it stands."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final
from uuid import uuid4

from evenfire import __version__
from evenfire.delivery.acts.judging_visit import judged
from evenfire.delivery.acts.recorded import recorded_visits
from evenfire.delivery.answers import BoilerSettle, Settle
from evenfire.delivery.intake.opening import file_bytes
from evenfire.delivery.intake.plant_file import PlantFile, revision_of
from evenfire.delivery.intake.proposed_text import entries_of as proposal_texts
from evenfire.delivery.intake.toml_text import parsed
from evenfire.delivery.intake.visit_sheet import (
    FilledSheet,
    Typist,
    entries_of,
    entry_of,
    left_alone,
    read_sheet,
)
from evenfire.delivery.records import attachments, drafts, entries, registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind
from evenfire.delivery.records.entries import Recorded
from evenfire.delivery.records.registers import KeptBoiler, May, Person
from evenfire.delivery.records.surveys import SurveyRevision
from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.visit_answers import AtVisit, EnteredSheet, OpenedVisit, SettledVisit
from evenfire.delivery.visits.corrections import corrected_by
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import NONE_SEEN, ONCE, typed
from evenfire.delivery.visits.folding import Draft, folded
from evenfire.delivery.visits.visit import Visit, visit_of
from evenfire.delivery.words.moves import moves_in_words
from evenfire.errors import BadAttachment, BadContent, BadRequest
from evenfire.judgement.settle.result import Fits
from evenfire.plant.boiler import Boiler
from evenfire.plant.settings import AsFound, Proposed, Settings
from evenfire.si import AbsPa

if TYPE_CHECKING:
    # Settling loads arrays and a compiler; a visit is opened and shown without them.
    from evenfire.judgement.proofs.learning import Progress

COMMAND_LINE: Final = "command line"
"""Device of what was entered here, before the name of the sheet."""
LONGEST_DEVICE: Final = 100
"""Of that [characters]."""
PLANT_FILE: Final = "plant file"
"""Device of readings that a plant file of the same day held."""
MOST_READ: Final = 100_000_000
"""Of a picture file; the store has the last word on how large a photograph may be [bytes]."""
NEVER_PREFILLED: Final = frozenset({"jumpers", "unexplained_resets"})
"""What somebody has to look at on the call itself."""
PROGRAM: Final = f"evenfire {__version__}"
"""Device of a proposal."""


def person_named(store: Store, name: str | None) -> Person:
    """The person of that name, or the only one who may write.

    Raises
    ------
    BadRequest
        There is none, or several, or the person may only read.
    """
    if name is not None:
        person = registers.find_person(store, name)
    else:
        writers = [each for each in registers.people_of(store) if each.may is not May.READ]
        if len(writers) != 1:
            known = ", ".join(each.name for each in writers) or "nobody yet: evenfire store person adds one"
            raise BadRequest(f"Say who you are with --by. The store knows {known}.")
        person = writers[0]
    if person.may is May.READ:
        raise BadRequest(f"{person.name} may read this store and nothing else.")
    return person


def open_visit(store: Store, by: Person, *, plant: Path | None, boiler: str | None) -> OpenedVisit:
    """Open a visit at a boiler of the store, or of a plant file that is taken into it first.

    Raises
    ------
    BadInput
        The file cannot be read, or the boiler cannot be told.
    """
    taken = None
    if plant is not None:
        taken = surveys.take(store, file_bytes(plant), plant.name, by=by.id)
        kept = _boiler_of(store, taken.revision, boiler)
    elif boiler is None:
        raise BadRequest("Name a plant file, or a boiler of the store with --boiler.")
    else:
        kept = registers.find_boiler(store, boiler)
    draft = drafts.open_visit(store, boiler=kept.id, by=by.id)
    survey = surveys.give(store, kept.id, sha256=draft.survey)
    ambient = AbsPa(survey.plant_file().plant.site.ambient.value)
    prefilled = _enter(store, draft.id, by, PLANT_FILE, _readings_of_today(store, survey, kept), ambient=ambient)
    also = tuple(each for each in open_visits(store) if each.boiler.id == kept.id and each.draft.id != draft.id)
    return OpenedVisit(at=at_visit(store, draft.id), taken=taken, prefilled=len(prefilled), also_open=also)


def at_visit(store: Store, visit: str | None) -> AtVisit:
    """A visit by its id or the beginning of it; without one, the only visit that is open.

    Raises
    ------
    BadRequest
        There is none, or several might be meant.
    """
    if visit is None:
        return _only_open(store)
    draft = drafts.draft_of(store, visit)
    if draft.kind is not DraftKind.VISIT:
        raise BadRequest(f"{draft.id} is a survey draft, no visit.")
    boiler = _kept(store, draft.boiler)
    survey = surveys.give(store, draft.boiler, sha256=draft.survey)
    typed_in = entries.entries_of(store, draft.id)
    folded_visit = visit_of(draft.opening, typed_in)
    return AtVisit(
        draft=draft,
        boiler=boiler,
        survey=survey,
        plant_file=as_this_visit_found_it(survey.plant_file(), boiler.name, folded_visit),
        entries=typed_in,
        visit=folded_visit,
        people=registers.names_of_people(store),
        newer=_newer(store, survey, draft.boiler),
    )


def open_visits(store: Store) -> tuple[AtVisit, ...]:
    """Every visit that is neither signed nor given up, newest first."""
    found = drafts.drafts_of(store, kind=DraftKind.VISIT)
    opened = (at_visit(store, each.id) for each in found if each.is_open)
    return tuple(each for each in opened if not each.visit.given_up)


def as_this_visit_found_it(plant_file: PlantFile, boiler: str, visit: Visit) -> PlantFile:
    """The survey with one boiler's dials as this visit read them; what it did not read is not known on this visit."""

    def found(each: Boiler) -> Boiler:
        if each.name != boiler:
            return each
        as_found = None
        if visit.as_found != AsFound(settings=Settings()):
            as_found = replace(visit.as_found, settings=replace(visit.as_found.settings, read_on=visit.day))
        return replace(each, as_found=as_found, proposed=visit.proposed, as_left=None)

    plant = replace(plant_file.plant, boilers=tuple(found(each) for each in plant_file.plant.boilers))
    # Readings belong to the survey that a proposal is made for: read a dial again, and the proposal is stale.
    return replace(plant_file, plant=plant, revision=revision_of(plant))


def enter_sheet(
    store: Store, path: Path, by: Person, watch: "Callable[[Progress], None] | None" = None
) -> EnteredSheet:
    """Enter what a filled-in sheet changes; all of it, or nothing when something of it cannot be kept.

    Raises
    ------
    BadInput
        It is no sheet of a visit of this store, a photograph cannot be kept, or it ticks a move that another one has
        replaced since.
    """
    sheet = read_sheet(file_bytes(path), path.name)
    at = at_visit(store, sheet.visit)
    ambient = AbsPa(at.plant_file.plant.site.ambient.value)
    # Its name tells a file from its copies: who corrects a sheet corrects the file that he entered.
    device = f"{COMMAND_LINE}, {path.name}"[:LONGEST_DEVICE]
    typist = Typist(author=by.id, device=device, at=store.clock(), ambient=ambient)
    made = list(entries_of(sheet, at.fold, typist))
    for photo in sheet.photos:
        kept = attachments.attach_photograph(store, _photograph(path.parent / photo.text), photo.text)
        entry = entry_of(replace(photo, text=kept.sha256), sheet, at.fold, typist)
        made += [] if entry is None else [entry]
    known = {each.id for each in at.entries}
    # Entered from this file before and replaced since: an older sheet brings nothing back.
    replaced = tuple(each.path for each in made if each.id in known)
    made = [each for each in made if each.id not in known]
    _refuse_other_moves(sheet, at.fold, made)
    new = tuple(each for each in entries.record_all(store, made) if each.is_new)
    return EnteredSheet(
        judged=judged(store, at_visit(store, sheet.visit), watch),
        new=new,
        corrected=corrected_by((each.entry for each in new), at.entries),
        left_alone=(*left_alone(sheet, at.fold, typist), *replaced),
    )


def settle_visit(
    store: Store, at: AtVisit, by: Person, system: UnitSystem, watch: "Callable[[Progress], None] | None" = None
) -> SettledVisit:
    """Choose settings from the survey and the readings as found, and enter them as the proposal with its moves.

    Raises
    ------
    BadRequest
        The survey still holds examples, or the visit is signed.
    """
    require_open(at)
    from evenfire.delivery.acts.settling import settle_of

    return enter_settled(store, at, settle_of(at.plant_file, None, system, watch=watch), by, system)


def require_open(at: AtVisit) -> None:
    """Refuse to settle on a visit that is signed.

    Raises
    ------
    BadRequest
        It is signed.
    """
    if not at.draft.is_open:
        raise BadRequest("This visit is signed; settings are proposed on a new one: evenfire visit new.")


def enter_settled(store: Store, at: AtVisit, done: Settle, by: Person, system: UnitSystem) -> SettledVisit:
    """Enter what was settled for this visit as the proposal with its moves; nothing where none of it may be used.

    Raises
    ------
    BadRequest
        The visit is signed, or it was settled from other readings or another survey than the visit holds now.
    """
    require_open(at)
    if done.plant_file.revision != at.plant_file.revision:
        raise BadRequest("Another reading was typed since this was settled. Settle again.")
    answer = next(each for each in done.boilers if each.now.case.boiler.name == at.boiler.name)
    if not isinstance(answer.answer, Fits) or answer.is_unsafe:
        return SettledVisit(at=at, settle=answer, is_entered=False, identity=done.identity)
    proposed = Proposed(
        settings=answer.answer.chosen.settings, plant_revision=at.plant_file.revision, engine_version=__version__
    )
    _enter(store, at.draft.id, by, PROGRAM, _proposal(at, proposed, answer, system), fold=at.fold)
    now = at_visit(store, at.draft.id)
    return SettledVisit(at=now, settle=answer, is_entered=True, identity=done.identity)


def _proposal(at: AtVisit, proposed: Proposed, answer: BoilerSettle, system: UnitSystem) -> dict[str, str]:
    """What the fields of the proposal and its moves shall say, those of an earlier proposal taken back."""
    place = [each.name for each in at.plant_file.plant.boilers].index(at.boiler.name)
    keys = proposal_texts(proposed, parsed(at.survey.toml(), at.plant_file.name), place, system)
    said = {f"proposed.{key}": text if isinstance(text, str) else _lines(text) for key, text in keys.items()}
    moves = () if answer.moves is None else moves_in_words(answer.moves, partial(show, system=system))
    for row, words in moves:
        said[f"move.{row}.words"] = words
    fold = at.fold
    for path in fold.fields:
        table, *rest = path.split(".")
        if table == "proposed" and path not in said:
            said[path] = ""
        if table == "move" and said.get(f"move.{rest[0]}.words") != fold.text(f"move.{rest[0]}.words"):
            # A tick belongs to the move that it stood beside, never to another that takes its row.
            said.setdefault(path, "")
    return said


def _lines(texts: Iterable[str]) -> str:
    return "\n".join(texts) or NONE_SEEN


def _readings_of_today(store: Store, survey: SurveyRevision, boiler: KeptBoiler) -> dict[str, str]:
    """As found, where the plant file says that it was read today: the technician need not type it twice.

    Not where a visit was signed since, or on that day: its dials as left are newer than what the file says. What has
    to be looked at on each call, bypasses and resets, is never taken from a file.
    """
    raw = parsed(survey.toml(), survey.origin)
    table = next(each for each in raw["boiler"] if each.get("name") == boiler.name).get("as_found", {})
    read_on = table.get("read_on")
    if read_on != store.clock().astimezone().date() or _is_visited_since(store, boiler, read_on):
        return {}
    known = ONCE["as_found"]
    texts = {key: _lines(value) if isinstance(value, list) else str(value) for key, value in table.items()}
    return {f"as_found.{key}": text for key, text in texts.items() if key in known and key not in NEVER_PREFILLED}


def _is_visited_since(store: Store, boiler: KeptBoiler, day: date) -> bool:
    """Whether a visit of that day or later was signed; a record that cannot be read may be one."""
    try:
        visits = recorded_visits(store, boiler.id)
    except BadContent:
        return True
    # By either clock: the one on the wall, or that of who signed.
    return any(day <= max(each.on, each.signed_at.astimezone().date()) for each in visits)


def _enter(
    store: Store,
    draft: str,
    by: Person,
    device: str,
    said: dict[str, str],
    *,
    fold: Draft | None = None,
    ambient: AbsPa | None = None,
) -> tuple[Recorded, ...]:
    """Enter these texts where they differ from what stands, all of them or none."""
    now = folded(()) if fold is None else fold
    changed = {path: text for path, text in said.items() if not _stands(now, path, text)}
    moment = store.clock()
    made = []
    for path, text in changed.items():
        means = typed(path, text, ambient=ambient)
        made.append(
            Entry(
                id=str(uuid4()),
                draft=draft,
                path=path,
                text=text,
                unit=means.unit,
                si=means.si,
                why_not=means.why_not,
                author=by.id,
                device=device,
                at=moment,
                based_on=now.based_on(path),
            )
        )
    return entries.record_all(store, made)


def _stands(fold: Draft, path: str, text: str) -> bool:
    """Whether this very text stands in a field: a conflict is no such thing, nor is what could not be read nothing."""
    field = fold.fields.get(path)
    if field is None:
        return not text
    return not field.is_in_conflict and field.heads[-1].text.strip() == text.strip()


def _refuse_other_moves(sheet: FilledSheet, fold: Draft, made: list[Entry]) -> None:
    for entry in made:
        table, row, *_ = entry.path.split(".")
        words = f"move.{row}.words"
        if table == "move" and sheet.moves.get(words, "") != (fold.text(words) or ""):
            raise BadRequest(
                f"Move {row} is another one now than on this sheet: settings were chosen anew since it was written. "
                f"Nothing was entered. Write a new sheet: evenfire visit show {sheet.visit[:8]} --sheet FILE."
            )


def _photograph(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(MOST_READ + 1)
    except OSError as error:
        raise BadAttachment(
            name=path.name,
            found=f"it cannot be read: {(error.strerror or 'unknown reason').lower()}",
            do="Put the picture beside the sheet, or take its name away; nothing of the sheet was entered",
        ) from error


def _boiler_of(store: Store, survey: SurveyRevision, name: str | None) -> KeptBoiler:
    kept = [each for each in registers.boilers_of(store) if each.id in survey.boilers]
    if name is not None:
        kept = [each for each in kept if each.name == name]
    if len(kept) != 1:
        raise BadRequest(f"Name one of the boilers with --boiler: {', '.join(repr(each.name) for each in kept)}.")
    return kept[0]


def _kept(store: Store, boiler: str) -> KeptBoiler:
    return next(each for each in registers.boilers_of(store) if each.id == boiler)


def _newer(store: Store, survey: SurveyRevision, boiler: str) -> SurveyRevision | None:
    """The newest survey of a boiler, where that is another one."""
    held = surveys.surveys_of(store, boiler)
    return held[-1] if held and held[-1].sha256 != survey.sha256 else None


def _only_open(store: Store) -> AtVisit:
    found = open_visits(store)
    if len(found) == 1:
        return found[0]
    if not found:
        raise BadRequest("No visit is open. Open one: evenfire visit new PLANT.")
    raise BadRequest(f"{len(found)} visits are open. Name one: {', '.join(each.draft.id[:8] for each in found)}.")
