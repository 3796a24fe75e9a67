"""A store in words: what it holds, its people and gauges, surveys taken, backups, records handed on."""

from collections.abc import Iterator

from evenfire.delivery.records.backup import BackupDone
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, KeptDraft, drafts_of
from evenfire.delivery.records.entries import entries_of
from evenfire.delivery.records.instruments import ReferenceGauge, gauges_of
from evenfire.delivery.records.key_register import KeptKey, keys_of
from evenfire.delivery.records.keys import grouped
from evenfire.delivery.records.logins import has_login
from evenfire.delivery.records.registers import Person, boilers_of, people_of
from evenfire.delivery.records.restoring import Restored
from evenfire.delivery.records.signed import records_of
from evenfire.delivery.records.surveys import Taken
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.report.verify_text import verify_text
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import HandedOn, TakenIn
from evenfire.delivery.visits.folding import folded

MOST_DIFFERENCES = 40
"""Shown of two surveys."""
SHORT = 8
MADE_APART = (
    "The records of this boiler now end in {count} that know nothing of each other. The next signature here joins "
    "them. Be sure that it is the same boiler: compare the plates."
)
READ_IT = (
    "Have the fingerprint read to whoever enters this key, by telephone or face to face; never send it with the file."
)


def store_text(store: Store, width: int) -> str:
    """What a store holds."""
    page = Page(width, UnitSystem.US)
    boilers = [page.item(line) for line in _boilers(store)]
    people = [page.item(line) for line in _people(store)]
    gauges = [page.item(_gauge(each)) for each in gauges_of(store)]
    return joined(
        [
            page.title(f"Store {store.place}"),
            *(page.labelled("CAUTION", warning) for warning in store.warnings),
            _headed("Boilers", boilers or [page.item("none yet: evenfire store take PLANT, or visit new PLANT")], page),
            _headed("People", people or [page.item('nobody yet: evenfire store person "NAME"')], page),
            _headed("Reference gauges", gauges or [page.item("none yet: evenfire store gauge SERIAL")], page),
            page.paragraph("Keep backups on another disk: evenfire store backup FILE."),
        ]
    )


def key_text(kept: KeptKey, width: int) -> str:
    """A key, with its fingerprint as people compare it."""
    page = Page(width, UnitSystem.US)
    gone = kept.known.withdrawn
    lines = [page.labelled("key of", kept.known.name), page.labelled("", grouped(kept.known.key.fingerprint))]
    if gone is not None:
        lines.append(page.labelled("GONE", f"Withdrawn {gone.at:%Y-%m-%d}: {gone.reason}"))
    else:
        lines.append(page.paragraph(READ_IT))
    return "\n".join(lines)


def login_text(person: Person, *, has_login: bool, width: int) -> str:
    """How a person who was added comes in over the web."""
    page = Page(width, UnitSystem.US)
    if not has_login:
        return page.paragraph(
            f"No login on the web app yet: nobody was there to give a passphrase. evenfire store passphrase "
            f'"{person.name}" sets one.'
        )
    return page.paragraph(f"Login on the web app: {person.name}, with this passphrase.")


def passphrase_text(person: Person, *, has_key: bool, width: int) -> str:
    """A passphrase to log in with that was set, and what it does not open."""
    page = Page(width, UnitSystem.US)
    told = f"{person.name} logs in with the new passphrase from now on. Browsers that were logged in are logged out."
    if has_key:
        told += (
            " The signing key still opens only with the passphrase that it was made with. If that one is lost: "
            f'evenfire store key "{person.name}".'
        )
    return page.paragraph(told)


def taken_text(taken: Taken, width: int) -> str:
    """What taking a plant file did, and what differs from the survey before."""
    page = Page(width, UnitSystem.US)
    if not taken.is_new:
        return page.paragraph(f"Nothing new: the newest survey says the same ({taken.revision.sha256[:SHORT]}).")
    lines = [f"Taken as survey {taken.revision.sha256[:SHORT]}, the {'first' if taken.before is None else 'newest'}."]
    if taken.unaware_of:
        newer = ", ".join(each.sha256[:SHORT] for each in taken.unaware_of)
        lines.append(f"IT KNEW NOTHING OF {newer}, taken after this file was given out: it may undo what they say.")
    shown = taken.differences[:MOST_DIFFERENCES]
    told = [page.item(f"{each.key}: {each.before or '(nothing)'} -> {each.after or '(nothing)'}") for each in shown]
    more = len(taken.differences) - len(shown)
    if more:
        told.append(page.item(f"and {more} more"))
    return joined([*(page.paragraph(line) for line in lines), _headed("Differs from the survey before", told, page)])


def backup_text(done: BackupDone, width: int) -> str:
    """A backup that was written and found good."""
    page = Page(width, UnitSystem.US)
    lost = len(done.manifest.lost)
    gone = f" {lost} ATTACHMENTS ARE LOST in the store itself: see evenfire store show." if lost else ""
    return page.paragraph(f"Wrote {done.path}, {done.size:,} bytes, read it again and found it good.{gone}")


def restored_text(done: Restored, width: int) -> str:
    """A store that came from a backup."""
    page = Page(width, UnitSystem.US)
    aside = "" if done.set_aside is None else f" What stood there is set aside as {done.set_aside}."
    missing = f" {len(done.missing)} attachments are not in the backup and not there." if done.missing else ""
    return page.paragraph(
        f"Restored {done.place}, as backed up {done.manifest.made_at:%Y-%m-%d %H:%M} UTC.{aside}{missing}"
    )


def exported_text(done: HandedOn, width: int) -> str:
    """A file of records that was written."""
    page = Page(width, UnitSystem.US)
    count = len(done.verification.records)
    return page.paragraph(
        f"Wrote {count} signed {'record' if count == 1 else 'records'} of {done.boiler.site.name}/{done.boiler.name} "
        f"into {done.file}. Whoever gets it: evenfire verify {done.file}"
    )


def imported_text(done: TakenIn, width: int) -> str:
    """A file of records that was judged, and taken in where it verifies."""
    page = Page(width, UnitSystem.US)
    if not done.is_taken:
        told = "NOTHING WAS TAKEN IN: the file does not verify."
    elif not done.new:
        told = "Nothing new: every record of it is here already."
    else:
        told = f"Took in {len(done.new)} {'record' if len(done.new) == 1 else 'records'}."
    apart = page.paragraph(MADE_APART.format(count=done.heads)) if done.heads > 1 else ""
    return joined([verify_text(done.verified, width), page.paragraph(told), apart])


def _boilers(store: Store) -> Iterator[str]:
    opened = [each.boiler for each in drafts_of(store, kind=DraftKind.VISIT) if each.is_open and _goes_on(store, each)]
    for boiler in boilers_of(store):
        signed = len(records_of(store, boiler.id))
        waiting = opened.count(boiler.id)
        visits = f", {waiting} {'visit' if waiting == 1 else 'visits'} open" if waiting else ""
        yield f"{boiler.site.name}/{boiler.name}: {signed} signed {'record' if signed == 1 else 'records'}{visits}"


def _goes_on(store: Store, visit: KeptDraft) -> bool:
    return folded(entries_of(store, visit.id)).text("call.given_up") is None


def _people(store: Store) -> Iterator[str]:
    for person in people_of(store):
        keys = [each for each in keys_of(store, person.id) if each.known.withdrawn is None]
        key = f", key {grouped(keys[-1].known.key.fingerprint)[:19]} ..." if keys else ""
        licence = f", {person.licence}" if person.licence else ""
        login = "" if has_login(store, person.id) else ", no login"
        yield f"{person.name}{licence}: may {person.may.value}{login}{key}"


def _gauge(gauge: ReferenceGauge) -> str:
    last = gauge.calibrations[-1] if gauge.calibrations else None
    calibrated = "NOT CALIBRATED" if last is None else f"calibrated {last.made_on}, {last.certificate}"
    retired = ", retired" if gauge.is_retired else ""
    scale = f"{gauge.scale_from} to {gauge.scale_to} by {gauge.division}, class {gauge.accuracy}"
    return f"{gauge.serial}: {scale}; {calibrated}{retired}"


def _headed(text: str, lines: list[str], page: Page) -> str:
    return "\n".join([page.heading(text), *lines]) if lines else ""
