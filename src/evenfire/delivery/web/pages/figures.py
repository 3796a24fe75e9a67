"""Figures of one boiler as pictures: drawings that can run nothing, and say in words what they show."""

from typing import Annotated, Final

from fastapi import APIRouter, HTTPException, Query, Request, Response

from evenfire.delivery.acts.boiler_now import BoilerNow, boiler_now
from evenfire.delivery.acts.boiler_stacks import NOTHING_TO_DRAW, stack_picture
from evenfire.delivery.figures.small_stack_svg import small_stack_svg
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import KeptBoiler, boiler_by_id
from evenfire.delivery.web.door.rights import Reader
from evenfire.delivery.web.rendering import units_of
from evenfire.errors import BadRequest

router = APIRouter()
NARROWEST, USUAL, WIDEST = 340, 360, 1400
"""Widths of a drawing [px]."""
PICTURE_HEADERS: Final = {
    # Its colours are its own style sheet; nothing else is let in, whether it is shown in a page or opened by itself.
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; sandbox",
    "X-Content-Type-Options": "nosniff",
}


def picture(svg: str, *, keeps: bool = False) -> Response:
    """An SVG document; ``keeps`` where its address names its content, so that a browser need not ask again."""
    kept = "private, max-age=31536000, immutable" if keeps else "private, no-cache"
    return Response(svg, media_type="image/svg+xml", headers={**PICTURE_HEADERS, "Cache-Control": kept})


def known_boiler(store: Store, boiler: str) -> KeptBoiler:
    """A boiler by its whole id.

    Raises
    ------
    HTTPException
        404: there is none.
    """
    try:
        with store.read() as connection:
            return boiler_by_id(connection, boiler)
    except BadRequest as error:
        raise HTTPException(404, str(error)) from None


def boiler_as_it_stands(store: Store, boiler: str) -> BoilerNow:
    """How a boiler stands, by its whole id.

    Raises
    ------
    HTTPException
        404: there is no such boiler, or no survey of it.
    """
    found = boiler_now(store, known_boiler(store, boiler))
    if found is None:
        raise HTTPException(404, "There is no survey of this boiler yet.")
    return found


@router.get("/boilers/{boiler}/stack.svg")
def stack(
    request: Request,
    boiler: str,
    _visitor: Reader,
    width: Annotated[int, Query(ge=NARROWEST, le=WIDEST)] = USUAL,
) -> Response:
    """The pressure stack: the readings of the open visit, of the last signed one, or of the survey."""
    return picture(stack_picture(boiler_as_it_stands(request.app.state.store, boiler), units_of(request), width))


@router.get("/boilers/{boiler}/small-stack.svg")
def small_stack(request: Request, boiler: str, _visitor: Reader, v: str = "") -> Response:
    """The stack at the size of a stamp; ``v`` is another one as soon as it may look otherwise."""
    layout = boiler_as_it_stands(request.app.state.store, boiler).small_layout()
    if layout is None:
        raise HTTPException(404, NOTHING_TO_DRAW)
    return picture(small_stack_svg(layout, units_of(request)), keeps=bool(v))
