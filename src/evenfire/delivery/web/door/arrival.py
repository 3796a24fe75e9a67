"""How a request came: from which address, by which name, over which channel. What came another way is refused here.

Nothing that a request says of itself is believed but what the one proxy says that was named at the start.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, ip_address
from typing import Final

Address = IPv4Address | IPv6Address

LOCAL_NAMES: Final = frozenset({"localhost", "127.0.0.1", "[::1]"})
"""Names of this computer that no server of names can turn elsewhere: potentially trustworthy without TLS, as the Secure
Contexts specification has it."""
DEFAULT_PORTS: Final = {"http": 80, "https": 443}
_HOST: Final = re.compile(r"(\[[0-9a-f:.]{2,45}\]|[a-z0-9](?:[a-z0-9._-]{0,252}))(?::([0-9]{1,5}))?")
_FORWARDED: Final = (b"forwarded", b"x-real-ip", b"via")
_FORWARDED_BEGIN: Final = b"x-forwarded-"

Headers = Sequence[tuple[bytes, bytes]]
"""As they came: small names, in order, the same name perhaps twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How this server is reached, and by no other way."""

    hosts: frozenset[str]
    """``name:port`` as browsers write it, the port always told"""
    is_tls: bool
    """It speaks TLS itself"""
    behind: Address | None
    """The one proxy in front of it"""
    port: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """A request that came by a way that is allowed."""

    scheme: str
    host: str
    """``name:port``"""
    address: str
    """Where it came from, as far as that can be known"""
    is_local: bool
    """From this computer, to a name of this computer, through nobody"""

    @property
    def origin(self) -> str:
        """As a browser names it."""
        return origin_of(self.scheme, self.host)


class Refused(Exception):
    """A request that goes no further: the status of the answer, and why."""

    def __init__(self, status: int, why: str) -> None:
        super().__init__(status, why)
        self.status = status
        self.why = why


def arrival_of(reach: Reach, *, scheme: str, peer: str, headers: Headers) -> Arrival:
    """How a request came; ``peer`` is the address at the other end of the connection.

    Raises
    ------
    Refused
        It came by a way, or to a name, that this server does not answer to.
    """
    if reach.behind is not None:
        scheme, address = _through_proxy(reach.behind, peer, headers)
        host = _host(reach, scheme, headers)
        return Arrival(scheme=scheme, host=host, address=address, is_local=False)
    if any(name in _FORWARDED or name.startswith(_FORWARDED_BEGIN) for name, _ in headers):
        raise Refused(
            400, "A proxy has passed this on, and this server was told of none: evenfire serve --behind ADDRESS."
        )
    host = _host(reach, scheme, headers)
    found = address_of(peer)
    is_local = found is not None and found.is_loopback and host.rpartition(":")[0] in LOCAL_NAMES
    if scheme != "https" and not is_local:
        raise Refused(403, "This server answers other computers only over TLS.")
    return Arrival(scheme=scheme, host=host, address=str(found or peer), is_local=is_local)


def require_same_origin(arrival: Arrival, method_is_safe: bool, headers: Headers) -> None:
    """Refuse what a page of somebody else makes a browser ask for.

    Raises
    ------
    Refused
        403: another site asks, or a request that changes something does not say whose page it comes from.
    """
    site = only(headers, b"sec-fetch-site")
    if method_is_safe:
        is_navigation = only(headers, b"sec-fetch-mode") in {None, "navigate"}
        if site in {"cross-site", "same-site"} and not is_navigation:
            raise Refused(403, OTHER_SITE)
        return
    origin = only(headers, b"origin")
    if origin is None and site is None:
        raise Refused(403, NO_SITE)
    if origin not in {None, arrival.origin} or site not in {None, "same-origin"}:
        raise Refused(403, OTHER_SITE)


OTHER_SITE: Final = "Another site asked for this, and it was not done."
NO_SITE: Final = "The browser did not say which page asked for this, and it was not done. Use a browser of today."


def address_of(text: str) -> Address | None:
    """An address of the network; one of IPv4 that is written as IPv6 counts as what it is."""
    try:
        found = ip_address(text.strip().removeprefix("[").removesuffix("]"))
    except ValueError:
        return None
    mapped = found.ipv4_mapped if isinstance(found, IPv6Address) else None
    return mapped or found


def origin_of(scheme: str, host: str) -> str:
    """What a browser calls the site of ``name:port``: the usual port is not told."""
    return f"{scheme}://{host.removesuffix(f':{DEFAULT_PORTS[scheme]}')}"


def host_and_port(text: str, scheme: str) -> str | None:
    """``name:port`` of what a browser writes as Host, with the usual port where it wrote none; nothing for no host."""
    found = _HOST.fullmatch(text.strip().lower())
    if found is None:
        return None
    name, port = found.groups()
    return f"{name}:{int(port) if port else DEFAULT_PORTS[scheme]}"


def only(headers: Headers, name: bytes) -> str | None:
    """The value of a header; nothing where there is none. Twice is as good as wrong: it equals nothing."""
    values = [value.decode("latin-1").strip() for each, value in headers if each == name]
    return None if not values else ", ".join(values)


def _host(reach: Reach, scheme: str, headers: Headers) -> str:
    host = host_and_port(only(headers, b"host") or "", scheme)
    # A page elsewhere can make its own name point here; a browser then still writes that name.
    if host is None or host not in reach.hosts:
        raise Refused(421, "This server does not answer to that name. Open it by a name that it was started with.")
    return host


def _through_proxy(behind: Address, peer: str, headers: Headers) -> tuple[str, str]:
    """Scheme and address that the one proxy tells; of several addresses the last, for the others came from outside."""
    if address_of(peer) != behind:
        raise Refused(403, "This server answers its proxy alone.")
    if only(headers, b"x-forwarded-proto") != "https":
        raise Refused(403, "The proxy did not say that the browser came over TLS (X-Forwarded-Proto: https).")
    told = (only(headers, b"x-forwarded-for") or "").rpartition(",")[2]
    address = address_of(told)
    if address is None:
        raise Refused(400, "The proxy did not say where the browser is (X-Forwarded-For).")
    return "https", str(address)
