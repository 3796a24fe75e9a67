"""Pages from templates: escaped always, in the units of the reader, with static files that a browser may keep."""

import hashlib
import re
from functools import cache, partial
from importlib.resources import files
from typing import Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from evenfire.delivery.acts.open_changes import open_changes
from evenfire.delivery.acts.papers import size_for
from evenfire.delivery.acts.stations import stations
from evenfire.delivery.papers.content import PaperSize
from evenfire.delivery.report.visit_stands import Change
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.door.visitor import Visitor
from evenfire.delivery.web.wording import on_screen
from evenfire.delivery.words.cautions import CAUTIONS
from evenfire.errors import BadInput

UNITS_COOKIE: Final = "evenfire_units"
PAPER_COOKIE: Final = "evenfire_paper"
STATIC: Final = {
    "evenfire.css": "text/css; charset=utf-8",
    "evenfire.js": "text/javascript; charset=utf-8",
    "mark.svg": "image/svg+xml",
}
"""Every file that is served as it is, with its type: nothing else in the folder is."""
NEWEST_FIRST: Final = 12
"""Characters of a hash that tell one version of a file from the next."""

_COMMENTS: Final = {
    "js": re.compile(rb"(?m)^ *(//.*)?\n?"),
    "css": re.compile(rb"(?ms)^ *(/\*.*?\*/)?\n?"),
}
"""Comments that stand at the beginning of a line, with the empty lines and the indents: a slow link carries none."""


def render(
    request: Request, template: str, visitor: Visitor | None, content: dict[str, object], *, status: int = 200
) -> HTMLResponse:
    """A page; ``content`` is what its template names."""
    asked_last = partial(_stands_open, request, visitor)
    shown = {
        "visitor": visitor,
        "units": units_of(request).value,
        "paper": paper_of(request).value,
        "here": _here(request),
        "stands_open": asked_last,
        "stations": partial(_stations, request),
        **content,
    }
    page = _environment().get_template(template).render(shown)
    return HTMLResponse(page, status_code=status)


def _stands_open(request: Request, visitor: Visitor | None) -> dict[str, tuple[Change, ...]]:
    """Temporary changes that stand open at the boiler of a page: whatever page it is, it tells them first."""
    boiler = request.path_params.get("boiler")
    if visitor is None or not isinstance(boiler, str):
        return {}
    try:
        return open_changes(request.app.state.store, boiler)
    except BadInput:
        # Only the page that tells of this very trouble comes here: every other one failed before.
        return {}


def _stations(request: Request) -> dict[str, str]:
    """A few words for each station of the boiler of a page."""
    boiler = request.path_params.get("boiler")
    if not isinstance(boiler, str):
        return {}
    try:
        return stations(request.app.state.store, boiler, units_of(request))
    except BadInput:
        return {}


def _here(request: Request) -> str:
    """The address of this page on this server; the first page where it cannot be asked for again."""
    if request.method != "GET":
        return "/"
    return request.url.path + (f"?{request.url.query}" if request.url.query else "")


def units_of(request: Request) -> UnitSystem:
    """The units that this reader chose on this device, or those that the server was started with."""
    chosen = request.cookies.get(UNITS_COOKIE)
    default: UnitSystem = request.app.state.units
    return UnitSystem(chosen) if chosen in {each.value for each in UnitSystem} else default


def paper_of(request: Request) -> PaperSize:
    """The paper that this reader chose on this device, or the usual one of the units."""
    chosen = request.cookies.get(PAPER_COOKIE)
    known = PaperSize(chosen) if chosen in {each.value for each in PaperSize} else None
    return size_for(units_of(request), known)


@cache
def static_content(name: str) -> bytes:
    """A static file without its comments that fill whole lines; its name has to be one of ``STATIC``."""
    content = files("evenfire.delivery.web").joinpath("static", name).read_bytes()
    comments = _COMMENTS.get(name.rpartition(".")[2])
    return content if comments is None else comments.sub(b"", content)


@cache
def static_address(name: str) -> str:
    """Where a static file is fetched; another content has another address, so that a browser may keep it for ever."""
    return f"/static/{name}?v={hashlib.sha256(static_content(name)).hexdigest()[:NEWEST_FIRST]}"


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("evenfire.delivery.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["static"] = static_address
    environment.globals["all_cautions"] = CAUTIONS
    environment.filters["said"] = on_screen
    return environment
