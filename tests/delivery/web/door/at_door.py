"""What the tests of the door share: a small application with one route of each right, and browsers in front of it."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

from argon2 import PasswordHasher
from fastapi import FastAPI, File, Form, UploadFile
from httpx2 import Response
from starlette.testclient import TestClient

from evenfire.delivery.acts import people
from evenfire.delivery.records.audit import Asked, trail
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May, Person
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.door.arrival import LOCAL_NAMES, Reach, address_of
from evenfire.delivery.web.door.keeper import Keeper
from evenfire.delivery.web.door.rights import Reader, Signer, Writer, open_paths
from evenfire.delivery.web.guarding import Guard
from evenfire.delivery.web.pages import entering
from evenfire.delivery.web.refusing import add_refusals

CHEAP = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
"""The least that Argon2 takes; what it is worth is tested elsewhere, by its parameters."""
PORT = 8017
HERE = "127.0.0.1"
PHONE = "Mozilla/5.0 (Linux; Android 14) Mobile"
SECRET = "a kettle is no boiler"
NAMES = {May.READ: "Roy Ember", May.WRITE: "Wen Marsh", May.SIGN: "Ada Quill"}
BOOM = "the innermost thing broke"
JSON = {"accept": "application/json"}


def reach(
    *, hosts: tuple[str, ...] | None = None, is_tls: bool = False, behind: str | None = None, port: int = PORT
) -> Reach:
    """How a server is reached; on loopback unless it is said otherwise."""
    named = tuple(f"{name}:{port}" for name in LOCAL_NAMES) if hosts is None else hosts
    proxy = None if behind is None else address_of(behind)
    return Reach(hosts=frozenset(named), is_tls=is_tls, behind=proxy, port=port)


ON_LOOPBACK = reach()
OVER_TLS = reach(hosts=("boilers.example:8017", "192.168.7.1:8017"), is_tls=True)
BEHIND_PROXY = reach(hosts=("boilers.example:443",), behind="10.0.0.9")
SAID_BY_PROXY = {"x-forwarded-proto": "https", "x-forwarded-for": "203.0.113.7"}


def small_application(store: Store) -> FastAPI:
    """One route of each right, with the login; put together as the whole application is."""
    app = FastAPI(openapi_url=None, docs_url=None, redoc_url=None)
    app.state.store, app.state.units = store, UnitSystem.US

    @app.get("/read")
    def read(visitor: Reader) -> dict[str, str]:
        return {"person": visitor.person.name, "device": visitor.device, "session": visitor.session}

    @app.post("/write/{thing}")
    def write(thing: str, visitor: Writer, note: Annotated[str, Form()] = "") -> dict[str, str]:
        return {"thing": thing, "note": note, "person": visitor.person.name}

    @app.put("/typed/{thing}")
    def typed(thing: str, what: dict[str, str], _visitor: Writer) -> dict[str, str]:
        return {"thing": thing, **what}

    @app.post("/sign/{thing}")
    def sign(thing: str, _visitor: Signer, passphrase: Annotated[str, Form()] = "") -> dict[str, str]:
        return {"thing": thing, "length": str(len(passphrase))}

    @app.post("/photos")
    def photos(photo: Annotated[UploadFile, File()], _visitor: Writer) -> dict[str, int]:
        return {"bytes": len(photo.file.read())}

    @app.get("/boom")
    def boom(_visitor: Reader) -> None:
        raise ZeroDivisionError(BOOM)

    app.include_router(entering.router)
    add_refusals(app)
    app.state.open_paths = open_paths(app)
    return app


@dataclass
class Clock:
    """Seconds that pass when a test says so."""

    seconds: float = 0.0

    def __call__(self) -> float:
        return self.seconds


@dataclass
class Browser:
    """A browser: it keeps cookies, and says on whose page it was told to ask, as browsers do."""

    client: TestClient
    origin: str
    token: str = ""

    def get(self, path: str, headers: dict[str, str] | None = None) -> Response:
        """Open a page."""
        return self.client.get(path, headers=headers or {})

    def post(self, path: str, data: dict[str, str] | None = None, headers: dict[str, str] | None = None) -> Response:
        """Send a form of our own page; other headers take the place of those that a browser sends."""
        sent = {"origin": self.origin, "sec-fetch-site": "same-origin", **(headers or {})}
        return self.client.post(path, data={"token": self.token, **(data or {})}, headers=sent)

    def put(self, path: str, json: dict[str, str], headers: dict[str, str] | None = None) -> Response:
        """Ask as the script of our own page does."""
        own = {"origin": self.origin, "sec-fetch-site": "same-origin", "x-evenfire-token": self.token, **JSON}
        return self.client.put(path, json=json, headers={**own, **(headers or {})})

    def log_in(
        self, name: str, passphrase: str = SECRET, *, to: str = "/", headers: dict[str, str] | None = None
    ) -> Response:
        """Open the login, fill it in, send it."""
        form = self.client.get("/enter", params={"next": to}, headers=headers or {})
        self.token = token_in(form)
        answer = self.post("/enter", {"name": name, "passphrase": passphrase, "next": to}, headers)
        self.learn_token()
        return answer

    def learn_token(self) -> None:
        """What every page of a session carries; read from the page that refuses."""
        self.token = token_in(self.client.get("/no-such-page", headers={"accept": "text/html"}))

    @property
    def session(self) -> str | None:
        """Value of the session cookie."""
        return next((each.value for each in self.client.cookies.jar if "evenfire-session" in each.name), None)


def token_in(page: Response) -> str:
    """The token that a page carries, in its form or for its script."""
    found = re.search(r'(?:name="token" value|data-token)="([0-9a-f]+)"', page.text)
    return found.group(1) if found else ""


@dataclass
class AtDoor:
    """A store, its keeper, and browsers that come to it."""

    store: Store
    folder: Path
    how: Reach = ON_LOOPBACK
    clock: Clock = field(default_factory=Clock)
    application: Callable[[Store], FastAPI] = small_application
    hasher: PasswordHasher = CHEAP

    def __post_init__(self) -> None:
        self.keeper = Keeper(self.store, self.how, hasher=self.hasher, now=self.clock)
        self.guard = Guard(self.application(self.store), self.keeper)
        self.open: list[TestClient] = []

    def browser(self, url: str = f"http://{HERE}:{PORT}", *, peer: str = HERE) -> Browser:
        """A browser at an address that opens the server by a name."""
        client = TestClient(
            self.guard, base_url=url, client=(peer, 50_000), headers={"user-agent": PHONE}, follow_redirects=False
        )
        self.open.append(client)
        return Browser(client, url)

    def add(self, may: May) -> Person:
        """Somebody who may do that much, with a login."""
        return people.add(self.store, NAMES[may], "", may, SECRET, hasher=CHEAP).person

    def started(self) -> Browser:
        """A browser that came in by the start link."""
        browser = self.browser()
        assert browser.get(f"/start?token={self.keeper.start_token}").status_code == 303
        browser.learn_token()
        return browser

    def logged_in(self, may: May) -> Browser:
        """A browser that logged in."""
        browser = self.browser()
        assert browser.log_in(NAMES[may]).status_code == 303
        return browser

    @property
    def trail(self) -> list[Asked]:
        """The audit trail."""
        return [each.asked for each in trail(self.store)]
