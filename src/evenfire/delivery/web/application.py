"""The application: pages and static files put together; the guard stands around it."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from time import monotonic
from typing import Final

from fastapi import FastAPI, Response
from starlette.concurrency import run_in_threadpool
from starlette.middleware.gzip import GZipMiddleware

from evenfire.delivery.records.database import Store
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.door.rights import open_paths
from evenfire.delivery.web.door.throttle import Throttle
from evenfire.delivery.web.pages import (
    attachments,
    boilers,
    entering,
    entries,
    figures,
    printing,
    settle,
    survey,
    visit,
    work,
)
from evenfire.delivery.web.refusing import add_refusals
from evenfire.delivery.web.rendering import STATIC, static_content
from evenfire.delivery.web.work import Work

FOR_EVER: Final = "public, max-age=31536000, immutable"
WORTH_PRESSING: Final = 500
"""Shorter answers are sent as they are [bytes]."""


def application(store: Store, *, units: UnitSystem = UnitSystem.US) -> FastAPI:
    """The pages over a store; a route that names no right stops the program here.

    Raises
    ------
    RuntimeError
        A route does not say who may call it.
    """
    app = FastAPI(openapi_url=None, docs_url=None, redoc_url=None, lifespan=_lifespan)
    app.state.store = store
    app.state.units = units
    app.state.work = Work()
    app.state.passphrases = Throttle(monotonic)
    for page in (attachments, boilers, entering, entries, figures, printing, settle, survey, visit, work):
        app.include_router(page.router)
    for name, kind in STATIC.items():
        _serve(app, name, kind)
    add_refusals(app)
    app.state.open_paths = open_paths(app)
    app.add_middleware(GZipMiddleware, minimum_size=WORTH_PRESSING)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """Nothing works on when the server is stopped."""
    yield
    await run_in_threadpool(app.state.work.close)


def _serve(app: FastAPI, name: str, kind: str) -> None:
    def static_file() -> Response:
        return Response(static_content(name), media_type=kind, headers={"Cache-Control": FOR_EVER})

    app.add_api_route(f"/static/{name}", static_file, methods=["GET"], response_class=Response)
