"""The registers of sites, boilers and people."""

import uuid
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from typing import Final

from sqlalchemy import Connection, Row, insert, select

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.finding import one_of
from evenfire.delivery.records.tables import boilers, people, sites
from evenfire.errors import BadRequest

LONGEST_NAME: Final = 200
"""[characters]"""
_NAMES: Final = uuid.UUID("c1e0b6a4-5d0f-5a7e-9b61-2f4f0f1d7a35")
"""The space of names in which sites and boilers have their ids."""
UNNAMED: Final = str(uuid.uuid5(_NAMES, "somebody at this computer"))
"""Whole id of the person who writes while a store knows none: not a user, in no list, never to sign."""

_UNNAMED_NAME: Final = "Somebody at this computer"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSite:
    """A site that the store knows."""

    id: str
    name: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptBoiler:
    """A boiler that the store knows."""

    id: str
    site: KeptSite
    name: str
    """As in the plant file"""
    serial: str | None
    """On its plate"""
    registration: str | None
    """Number that the authority gave it"""


class May(Enum):
    """What a person may do in a store."""

    SIGN = "sign"
    """Write entries and sign"""
    WRITE = "write"
    READ = "read"


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who reads, writes or signs."""

    id: str
    name: str
    licence: str
    may: May
    added_at: datetime


def add_site(store: Store, name: str, *, address: str = "", site: str | None = None) -> KeptSite:
    """A new site; ``site`` is an id made elsewhere.

    Raises
    ------
    BadRequest
        A site has this name or id already, or the name is empty.
    """
    named = _name(name, "site")
    with store.write() as connection:
        return site_made(connection, store.clock(), named, address=address.strip(), site=site)


def sites_of(store: Store) -> tuple[KeptSite, ...]:
    """All sites, by name."""
    with store.read() as connection:
        rows = connection.execute(select(sites.c.id, sites.c.name, sites.c.address).order_by(sites.c.name, sites.c.id))
        return tuple(KeptSite(id=id_, name=name, address=address) for id_, name, address in rows)


def find_site(store: Store, name: str) -> KeptSite:
    """A site by its name, its id, or the beginning of its id.

    Raises
    ------
    BadRequest
        There is none, or several.
    """
    return one_of(sites_of(store), name, what="site", names=lambda site: (site.id, site.name))


def add_boiler(
    store: Store,
    site: str,
    name: str,
    *,
    serial: str | None = None,
    registration: str | None = None,
    boiler: str | None = None,
) -> KeptBoiler:
    """A new boiler at a site (by its id); ``boiler`` is an id made elsewhere.

    Raises
    ------
    BadRequest
        There is no such site, or the site has a boiler of this name.
    """
    named = _name(name, "boiler")
    with store.write() as connection:
        made = boiler_made(
            connection, store.clock(), site, named, serial=serial, registration=registration, boiler=boiler
        )
        return boiler_by_id(connection, made)


def boilers_of(store: Store, site: str | None = None) -> tuple[KeptBoiler, ...]:
    """All boilers, or those of one site (by its id), by site and name."""
    asked = _BOILERS if site is None else _BOILERS.where(boilers.c.site == site)
    with store.read() as connection:
        rows = connection.execute(asked.order_by(sites.c.name, boilers.c.name, boilers.c.id)).all()
    return tuple(_boiler(row) for row in rows)


def find_boiler(store: Store, name: str) -> KeptBoiler:
    """A boiler by ``site/name``, its name where only one has it, its registration, its id or the beginning of it.

    Raises
    ------
    BadRequest
        There is none, or several.
    """
    return one_of(boilers_of(store), name, what="boiler", names=_names_of_boiler)


def add_person(store: Store, name: str, *, licence: str, may: May, person: str | None = None) -> Person:
    """A new person; ``person`` is an id made elsewhere.

    Raises
    ------
    BadRequest
        The name is empty, or the id is taken.
    """
    id_, named = person or str(uuid.uuid4()), _name(name, "person")
    row = {"id": id_, "name": named, "licence": licence.strip(), "may": may.value, "added_at": store.clock()}
    with store.write() as connection:
        if connection.execute(select(people.c.id).where(people.c.id == id_)).first() is not None:
            raise BadRequest(f"A person of the id {id_} is in this store already.")
        connection.execute(insert(people).values(row))
        return person_by_id(connection, id_)


def people_of(store: Store) -> tuple[Person, ...]:
    """All people who were added, by name."""
    with store.read() as connection:
        named = _PEOPLE.where(people.c.id != UNNAMED)
        rows = connection.execute(named.order_by(people.c.name, people.c.id)).all()
    return tuple(_person(row) for row in rows)


def names_of_people(store: Store) -> dict[str, str]:
    """Name by whole id, of everybody who can have written something: those who were added, and the unnamed one."""
    with store.read() as connection:
        return {each.id: each.name for each in connection.execute(select(people.c.id, people.c.name)).all()}


def has_people(store: Store) -> bool:
    """Whether anybody was added; until then a store is open to whoever sits at its computer."""
    with store.read() as connection:
        return connection.execute(select(people.c.id).where(people.c.id != UNNAMED).limit(1)).first() is not None


def unnamed_person(store: Store) -> Person:
    """Somebody at this computer, who may write and not sign; made when first needed."""
    asked = _PEOPLE.where(people.c.id == UNNAMED)
    with store.read() as connection:
        row = connection.execute(asked).one_or_none()
    if row is not None:
        return _person(row)
    made = {"id": UNNAMED, "name": _UNNAMED_NAME, "licence": "", "may": May.WRITE.value, "added_at": store.clock()}
    with store.write() as connection:
        # Two browsers may need it at the same moment.
        if connection.execute(asked).first() is None:
            connection.execute(insert(people).values(made))
        return person_by_id(connection, UNNAMED)


def find_person(store: Store, name: str) -> Person:
    """A person by name, id or the beginning of the id.

    Raises
    ------
    BadRequest
        There is none, or several.
    """
    return one_of(people_of(store), name, what="person", names=lambda person: (person.id, person.name))


def site_made(
    connection: Connection, now: datetime, name: str, *, address: str = "", site: str | None = None
) -> KeptSite:
    """A new site, within a transaction of the caller.

    Raises
    ------
    BadRequest
        A site has this name or id already.
    """
    there = connection.execute(select(sites.c.id, sites.c.name)).all()
    ids = {known for known, _ in there}
    id_ = site or _id_of(ids, name)
    if id_ in ids or spelled(name) in {spelled(known) for _, known in there}:
        raise BadRequest(f"A site {name!r} is in this store already.")
    connection.execute(insert(sites).values({"id": id_, "name": name, "address": address, "added_at": now}))
    return KeptSite(id=id_, name=name, address=address)


def boiler_made(
    connection: Connection,
    now: datetime,
    site: str,
    name: str,
    *,
    serial: str | None = None,
    registration: str | None = None,
    boiler: str | None = None,
) -> str:
    """The id of a new boiler, within a transaction of the caller.

    Raises
    ------
    BadRequest
        There is no such site, or a boiler has this name or id already.
    """
    at = connection.execute(select(sites.c.name).where(sites.c.id == site)).scalar_one_or_none()
    if at is None:
        raise BadRequest(f"There is no site of the id {site} in this store.")
    there = connection.execute(select(boilers.c.id, boilers.c.site, boilers.c.name)).all()
    ids = {known for known, _, _ in there}
    id_ = boiler or _id_of(ids, at, name)
    if id_ in ids or spelled(name) in {spelled(known) for _, where, known in there if where == site}:
        raise BadRequest(f"A boiler {name!r} of this site is in this store already.")
    row = {"id": id_, "site": site, "name": name, "serial": serial, "registration": registration, "added_at": now}
    connection.execute(insert(boilers).values(row))
    return id_


def boiler_by_id(connection: Connection, boiler: str) -> KeptBoiler:
    """A boiler by its whole id, within a transaction of the caller.

    Raises
    ------
    BadRequest
        There is none.
    """
    row = connection.execute(_BOILERS.where(boilers.c.id == boiler)).one_or_none()
    if row is None:
        raise BadRequest(f"There is no boiler of the id {boiler} in this store.")
    return _boiler(row)


def person_by_id(connection: Connection, person: str) -> Person:
    """A person by the whole id, within a transaction of the caller.

    Raises
    ------
    BadRequest
        There is none.
    """
    row = connection.execute(_PEOPLE.where(people.c.id == person)).one_or_none()
    if row is None:
        raise BadRequest(f"There is no person of the id {person} in this store.")
    return _person(row)


def spelled(name: str) -> str:
    """A name as plant files tell names apart: a difference in spaces or capitals is none."""
    return " ".join(name.casefold().split())


def _id_of(taken: set[str], *names: str) -> str:
    """An id that follows from names, so that two stores which survey a boiler apart from each other call it the same.

    Their records can then be joined. Where something that was renamed has that id, it is made by chance.
    """
    named = str(uuid.uuid5(_NAMES, "\n".join(spelled(name) for name in names)))
    return str(uuid.uuid4()) if named in taken else named


_PEOPLE: Final = select(people.c.id, people.c.name, people.c.licence, people.c.may, people.c.added_at)
_BOILERS: Final = select(
    boilers.c.id,
    boilers.c.name,
    boilers.c.serial,
    boilers.c.registration,
    sites.c.id,
    sites.c.name,
    sites.c.address,
).join_from(boilers, sites, boilers.c.site == sites.c.id)


def _person(row: Row[str, str, str, str, datetime]) -> Person:
    id_, name, licence, may, added_at = row
    return Person(id=id_, name=name, licence=licence, may=May(may), added_at=added_at)


def _boiler(row: Row[str, str, str | None, str | None, str, str, str]) -> KeptBoiler:
    id_, name, serial, registration, site, site_name, address = row
    at = KeptSite(id=site, name=site_name, address=address)
    return KeptBoiler(id=id_, site=at, name=name, serial=serial, registration=registration)


def _names_of_boiler(boiler: KeptBoiler) -> tuple[str, ...]:
    names = [boiler.id, f"{boiler.site.name}/{boiler.name}", boiler.name]
    return (*names, *(each for each in (boiler.registration, boiler.serial) if each))


def _name(text: str, what: str) -> str:
    """A name as it is kept: on one line, and neither empty nor endless."""
    name = " ".join(text.split())
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise BadRequest(f"The name of a {what} has 1 to {LONGEST_NAME} characters that can be printed; write one.")
    return name
