"""Starting the web app: where it listens, over what, for which names; and stopping it cleanly."""

import logging
import signal
import socket
from collections.abc import Callable
from dataclasses import dataclass
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import FrameType
from typing import Final

import uvicorn

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.logins import anybody_can_log_in
from evenfire.delivery.records.place import data_folder, default_place, make_private_file, make_private_folder
from evenfire.delivery.report.serving_text import Serving, serving_text
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.application import application
from evenfire.delivery.web.certificates import Certificate, brought, self_signed
from evenfire.delivery.web.door.arrival import LOCAL_NAMES, Address, Reach, address_of, host_and_port, origin_of
from evenfire.delivery.web.door.keeper import Keeper
from evenfire.delivery.web.door.patience import PatientProtocol
from evenfire.delivery.web.guarding import Guard
from evenfire.delivery.words import serving as words
from evenfire.errors import BadRequest

ASSUMED_GOODBYE: Final = 5
"""How long answers under way may take when the server is stopped [s]."""
ASSUMED_CONNECTIONS: Final = 400
"""Thirty clients with six connections each, twice over."""
LARGEST_LOG: Final = 1_000_000
"""[bytes]"""
OLDER_LOGS: Final = 3
WAITING: Final = 128
"""Connections that the system holds before they are taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ServeAsked:
    """What somebody asked for at the command line."""

    store: str | None
    listen: str
    port: int
    """0 for any that is free"""
    names: tuple[str, ...]
    certificate: Path | None
    key: Path | None
    is_self_signed: bool
    behind: str | None
    units: UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where to listen, weighed."""

    address: Address
    behind: Address | None
    is_tls: bool

    @property
    def local_name(self) -> str | None:
        """By which this computer opens it; nothing where it cannot without a proxy, or by another address alone."""
        if self.behind is not None or not (self.address.is_loopback or self.address.is_unspecified):
            return None
        anywhere = "127.0.0.1" if self.address.version == 4 else "[::1]"
        return anywhere if self.address.is_unspecified else _written(self.address)


def serve(asked: ServeAsked, say: Callable[[str], None], width: int) -> None:
    """Serve the pages of a store until somebody stops it.

    Raises
    ------
    BadRequest
        It would be reached in the open, or something that was asked for cannot be.
    BadStore
        The store cannot be opened.
    """
    place = _weighed(asked)
    with Store.open(asked.store or default_place()) as store, _listening(place.address, asked.port) as listening:
        port = int(listening.getsockname()[1])
        hosts = _hosts(asked, place, port)
        certificate = _certificate(asked, hosts)
        folder = data_folder() / "serve"
        log = _write_trouble(folder)
        reach = Reach(hosts=frozenset(hosts), is_tls=place.is_tls, behind=place.behind, port=port)
        keeper = Keeper(store, reach)
        app = application(store, units=asked.units)
        # Every address by which it may be opened, for the code that a telephone reads.
        app.state.addresses = tuple(f"{origin_of(_scheme(place), host)}/" for host in hosts)
        guard = Guard(app, keeper)
        # It takes connections from here on, and answers them a moment later: the link may be opened at once.
        listening.listen(WAITING)
        say(serving_text(_told(place, keeper, hosts[0], certificate, log), width))
        _run(guard, listening, certificate)


def _weighed(asked: ServeAsked) -> _Place:
    """Refuse what would carry passphrases in the open, before anything is opened."""
    address = address_of("127.0.0.1" if asked.listen == "localhost" else asked.listen)
    if address is None:
        raise BadRequest(words.NOT_AN_ADDRESS.format(found=asked.listen))
    if (asked.certificate is None) != (asked.key is None):
        raise BadRequest(words.HALF_A_CERTIFICATE)
    if asked.is_self_signed and asked.certificate is not None:
        raise BadRequest(words.TWO_CERTIFICATES)
    behind = None if asked.behind is None else address_of(asked.behind)
    if asked.behind is not None and behind is None:
        raise BadRequest(words.BAD_PROXY.format(found=asked.behind))
    is_tls = asked.is_self_signed or asked.certificate is not None
    if not address.is_loopback and not is_tls and behind is None:
        raise BadRequest(words.IN_THE_OPEN.format(address=address))
    if not asked.names and behind is not None:
        raise BadRequest(words.WHICH_NAME.format(option="--behind"))
    if not asked.names and address.is_unspecified:
        raise BadRequest(words.WHICH_NAME.format(option=f"--listen {address}"))
    return _Place(address=address, behind=behind, is_tls=is_tls)


def _hosts(asked: ServeAsked, place: _Place, port: int) -> tuple[str, ...]:
    """Every name that is answered to, with its port: those that were given, then the address that is listened on."""
    hosts = []
    for name in asked.names:
        bracketed = f"[{name}]" if ":" in name and address_of(name) is not None and "[" not in name else name
        has_port = bracketed.rpartition("]")[2].count(":") == 1
        # A proxy listens on a port of its own: the usual one, unless the name says which.
        found = host_and_port(bracketed if has_port or place.behind else f"{bracketed}:{port}", "https")
        if found is None:
            raise BadRequest(words.BAD_NAME.format(found=name))
        hosts.append(found)
    if place.behind is None and not place.address.is_unspecified:
        hosts.append(f"{_written(place.address)}:{port}")
    if place.local_name is not None:
        hosts += [f"{name}:{port}" for name in sorted(LOCAL_NAMES)]
    return tuple(hosts)


def _written(address: Address) -> str:
    return f"[{address}]" if address.version == 6 else str(address)


def _certificate(asked: ServeAsked, hosts: tuple[str, ...]) -> Certificate | None:
    if asked.certificate is not None and asked.key is not None:
        return brought(asked.certificate, asked.key)
    if not asked.is_self_signed:
        return None
    names = sorted({host.rpartition(":")[0].strip("[]") for host in hosts})
    return self_signed(data_folder() / "serve", names)


def _listening(address: Address, port: int) -> socket.socket:
    family = socket.AF_INET6 if address.version == 6 else socket.AF_INET
    # Named as TCP, so that the loop sends each answer at once; else a browser waits 40 ms for the rest of it.
    made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        # On Windows this option would let another program listen on the same port.
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            made.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((str(address), port))
    except (OSError, OverflowError) as error:
        made.close()
        why = (error.strerror or "unknown reason") if isinstance(error, OSError) else "there is no such port"
        raise BadRequest(words.NO_PORT.format(port=port, address=address, why=why.lower())) from error
    return made


def _scheme(place: _Place) -> str:
    """By which browsers open it."""
    return "https" if place.is_tls or place.behind is not None else "http"


def _told(place: _Place, keeper: Keeper, host: str, certificate: Certificate | None, log: Path) -> Serving:
    """What to say of it; ``host`` is the name by which it is opened."""
    scheme = _scheme(place)
    is_start_link = place.local_name is not None and not keeper.has_people
    address = f"{origin_of(scheme, host)}/"
    if is_start_link:
        address = f"{scheme}://{place.local_name}:{keeper.reach.port}/start?token={keeper.start_token}"
    return Serving(
        store=keeper.store.place,
        warnings=keeper.store.warnings,
        address=address,
        is_start_link=is_start_link,
        can_log_in=anybody_can_log_in(keeper.store),
        fingerprint=None if certificate is None else certificate.fingerprint,
        behind=None if place.behind is None else str(place.behind),
        log=str(log),
    )


class _PrivateLog(RotatingFileHandler):
    """A log that its owner alone reads, also the next one when it is full."""

    def _open(self) -> TextIOWrapper:
        make_private_file(Path(self.baseFilename))
        return super()._open()


def _write_trouble(folder: Path) -> Path:
    """Have what goes wrong written to a file for its owner alone, each with the id that its page shows."""
    make_private_folder(folder)
    path = folder / "serve.log"
    handler = _PrivateLog(path, maxBytes=LARGEST_LOG, backupCount=OLDER_LOGS, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    for name in ("evenfire.web", "uvicorn.error"):
        logger = logging.getLogger(name)
        logger.setLevel(logging.WARNING)
        logger.addHandler(handler)
        logger.propagate = False
    return path


def _run(guard: Guard, listening: socket.socket, certificate: Certificate | None) -> None:
    config = uvicorn.Config(
        guard,
        loop="asyncio",
        http=PatientProtocol,
        ws="none",
        lifespan="on",
        log_config=None,
        access_log=False,
        # The guard alone decides whose word is taken on where a browser is.
        proxy_headers=False,
        server_header=False,
        limit_concurrency=ASSUMED_CONNECTIONS,
        timeout_graceful_shutdown=ASSUMED_GOODBYE,
        ssl_certfile=None if certificate is None else certificate.certificate,
        ssl_keyfile=None if certificate is None else certificate.key,
    )
    # The server stops on these by itself, and then sends them once more to whoever was there before it.
    before = {each: signal.signal(each, _stopped) for each in (signal.SIGINT, signal.SIGTERM)}
    try:
        uvicorn.Server(config).run(sockets=[listening])
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)


def _stopped(number: int, frame: FrameType | None) -> None:
    """Being stopped is how this program ends well."""
