"""Signed records handed on: written into one file that anybody can verify, and taken in from one that verifies."""

from pathlib import Path
from typing import Final

from sqlalchemy import Connection, select

from evenfire.delivery.acts.files import write_new_bytes
from evenfire.delivery.answers import Verified
from evenfire.delivery.records.attachments import attach_file
from evenfire.delivery.records.container import LARGEST_FILE, Container, container_bytes
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.held import container_of, known_of
from evenfire.delivery.records.record import RecordHead, facts_of
from evenfire.delivery.records.registers import boiler_made, find_boiler, site_made, spelled
from evenfire.delivery.records.searchable import searchable_in
from evenfire.delivery.records.signed import heads_of, keep_imported
from evenfire.delivery.records.surveys import keep_document
from evenfire.delivery.records.tables import boilers, sites
from evenfire.delivery.records.verification import Judged
from evenfire.delivery.records.verifying import take_file, verify
from evenfire.delivery.visit_answers import HandedOn, TakenIn
from evenfire.errors import BadRequest

KINDS: Final = ((b"\xff\xd8\xff", "image/jpeg"), (b"\x89PNG", "image/png"), (b"%PDF", "application/pdf"))
ANY_KIND: Final = "application/octet-stream"


def export(store: Store, boiler: str, file: Path) -> HandedOn:
    """Write every signed record of a boiler, with all that they name, into a new file.

    Raises
    ------
    BadRequest
        There is no such boiler, it has no signed record, its records do not verify, or the file is there already.
    """
    kept = find_boiler(store, boiler)
    container = container_of(store, kept.id)
    if not container.records:
        raise BadRequest(f"{kept.site.name}/{kept.name} has no signed record yet; there is nothing to hand on.")
    verification = verify(container, known_of(store))
    if verification.judged is Judged.DOES_NOT_VERIFY:
        raise BadRequest(
            f"The records of {kept.site.name}/{kept.name} in this store do not verify; nothing was written. What is "
            "wrong with them: evenfire verify. Restore the last backup to another place and compare."
        )
    write_new_bytes(file, container_bytes(container))
    return HandedOn(file=file, boiler=kept, verification=verification)


def take_in(store: Store, file: Path) -> TakenIn:
    """Take the records of a file into the store, all or none; what is here already is left.

    A signer whom nobody here knows is no obstacle: the record is kept, and verifying goes on saying so.

    Raises
    ------
    BadInput
        The file cannot be read, or the store has another boiler under the same name.
    """
    try:
        with file.open("rb") as opened:
            data = opened.read(LARGEST_FILE + 1)
    except OSError as error:
        raise BadRequest(f"{file} cannot be read: {error.strerror}.") from error
    taken = take_file(data, known_of(store))
    verified = Verified(file=str(file), verifications=(taken.verification,), given=(), store=store.place)
    if taken.container is None:
        return TakenIn(verified=verified, new=(), is_taken=False)
    new = _kept(store, taken.container)
    return TakenIn(verified=verified, new=new, is_taken=True, heads=len(heads_of(store, taken.container.boiler)))


def _kept(store: Store, container: Container) -> tuple[str, ...]:
    """Files first, then all rows together: a crash between leaves files that nobody names."""
    facts = [(record, facts_of(record.content)) for record in container.records]
    for content in container.attachments.values():
        attach_file(store, content, "imported", _kind(content))
    with store.write() as connection:
        now = store.clock()
        head = facts[0][1].head
        known = connection.execute(select(boilers.c.serial).where(boilers.c.id == container.boiler)).first()
        if known is not None:
            _refuse_other_plate(known.serial, head)
        else:
            site = _site_of(connection, head) or site_made(connection, now, head.boiler["site"]).id
            _refuse_namesake(connection, site, head)
            boiler_made(
                connection,
                now,
                site,
                head.boiler["name"],
                serial=head.boiler.get("serial"),
                registration=head.boiler.get("registration"),
                boiler=container.boiler,
            )
        for document in container.surveys.values():
            keep_document(connection, document, now)
        return keep_imported(connection, [(record, searchable_in(each)) for record, each in facts], now)


def _refuse_namesake(connection: Connection, site: str, head: RecordHead) -> None:
    names = connection.execute(select(boilers.c.name).where(boilers.c.site == site)).scalars()
    if spelled(head.boiler["name"]) in {spelled(name) for name in names}:
        raise BadRequest(
            f"This store has another boiler {head.boiler['site']}/{head.boiler['name']} of its own, under another id; "
            "nothing was taken in. Take the file into a store of its own: evenfire store import FILE --store PLACE."
        )


def _refuse_other_plate(serial: str | None, head: RecordHead) -> None:
    """Two boilers of one name at two sites of one name are one to a store, until their plates say otherwise."""
    came = head.boiler.get("serial")
    if serial and came and serial.casefold() != came.casefold():
        raise BadRequest(
            f"These are records of the boiler with the serial number {came}; {head.boiler['site']}/"
            f"{head.boiler['name']} of this store has {serial}. Nothing was taken in."
        )


def _site_of(connection: Connection, head: RecordHead) -> str | None:
    known = {spelled(name): id_ for id_, name in connection.execute(select(sites.c.id, sites.c.name))}
    return known.get(spelled(head.boiler["site"]))


def _kind(content: bytes) -> str:
    return next((kind for begins, kind in KINDS if content.startswith(begins)), ANY_KIND)
