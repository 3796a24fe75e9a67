"""The registers of sites, boilers and people."""

from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from evenfire.delivery.records.database import Store


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
    raise NotImplementedError


def sites_of(store: Store) -> tuple[KeptSite, ...]:
    """All sites, by name."""
    raise NotImplementedError


def find_site(store: Store, name: str) -> KeptSite:
    """A site by its name, its id, or the beginning of its id.

    Raises
    ------
    BadRequest
        There is none, or several.
    """
    raise NotImplementedError


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
    raise NotImplementedError


def boilers_of(store: Store, site: str | None = None) -> tuple[KeptBoiler, ...]:
    """All boilers, or those of one site (by its id), by site and name."""
    raise NotImplementedError


def find_boiler(store: Store, name: str) -> KeptBoiler:
    """A boiler by ``site/name``, its name where only one has it, its registration, its id or the beginning of it.

    Raises
    ------
    BadRequest
        There is none, or several.
    """
    raise NotImplementedError


def add_person(store: Store, name: str, *, licence: str, may: May, person: str | None = None) -> Person:
    """A new person; ``person`` is an id made elsewhere.

    Raises
    ------
    BadRequest
        The name is empty, or the id is taken.
    """
    raise NotImplementedError


def people_of(store: Store) -> tuple[Person, ...]:
    """All people, by name."""
    raise NotImplementedError


def find_person(store: Store, name: str) -> Person:
    """A person by name, id or the beginning of the id.

    Raises
    ------
    BadRequest
        There is none, or several.
    """
    raise NotImplementedError
