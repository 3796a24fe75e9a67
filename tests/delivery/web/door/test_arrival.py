"""By which way a request may come. Names of headers and their values: Fetch Metadata (W3C), RFC 6454 (origin), RFC 7239
(Forwarded), RFC 9110 (Host), Secure Contexts (W3C, potentially trustworthy origins); all from memory."""

import pytest

from evenfire.delivery.web.door.arrival import (
    Arrival,
    Reach,
    Refused,
    address_of,
    arrival_of,
    host_and_port,
    require_same_origin,
)
from tests.delivery.web.door.at_door import BEHIND_PROXY, ON_LOOPBACK, OVER_TLS, SAID_BY_PROXY

PROXY = "10.0.0.9"


def raw(headers: dict[str, str]) -> list[tuple[bytes, bytes]]:
    return [(name.lower().encode(), value.encode("latin-1")) for name, value in headers.items()]


def came(how: Reach, peer: str, host: str, scheme: str = "http", **also: str) -> Arrival:
    headers = {"host": host, **{name.replace("_", "-"): value for name, value in also.items()}}
    return arrival_of(how, scheme=scheme, peer=peer, headers=raw(headers))


@pytest.mark.parametrize("host", ["127.0.0.1:8017", "localhost:8017", "LOCALHOST:8017", "[::1]:8017"])
@pytest.mark.parametrize("peer", ["127.0.0.1", "127.8.9.10", "::1", "::ffff:127.0.0.1"])
def test_from_this_computer_to_a_name_of_it_is_local(host: str, peer: str) -> None:
    found = came(ON_LOOPBACK, peer, host)
    assert found.is_local
    assert found.origin == f"http://{host.lower()}"


@pytest.mark.parametrize(
    "host",
    [
        "evil.example:8017",  # a name that its owner made point here
        "evil.example",
        "localhost",  # the usual port, which is another server
        "localhost:8018",
        "localhost.:8017",
        "127.0.0.1.evil.example:8017",
        "127.0.0.1:8017@evil.example",
        "localhost:8017, evil.example",
        "127.1:8017",
        "0.0.0.0:8017",
        "",
        " ",
        "localhost:8017/",
        "localhost:99999999",
    ],
)
def test_another_name_is_refused_whoever_asks(host: str) -> None:
    with pytest.raises(Refused) as refused:
        came(ON_LOOPBACK, "127.0.0.1", host)
    assert refused.value.status == 421


def test_two_hosts_or_none_are_refused() -> None:
    for headers in ([], [(b"host", b"localhost:8017"), (b"host", b"localhost:8017")]):
        with pytest.raises(Refused):
            arrival_of(ON_LOOPBACK, scheme="http", peer="127.0.0.1", headers=headers)


@pytest.mark.parametrize("peer", ["192.168.7.20", "10.0.0.9", "fe80::1", "::ffff:192.168.7.20", "", "testclient"])
def test_plain_http_from_another_computer_is_refused_by_whatever_name(peer: str) -> None:
    with pytest.raises(Refused, match="TLS"):
        came(ON_LOOPBACK, peer, "127.0.0.1:8017")


def test_plain_http_to_a_name_that_is_not_of_this_computer_is_refused_from_here_too() -> None:
    by_name = Reach(hosts=frozenset({"boilers.example:8017"}), is_tls=False, behind=None, port=8017)
    with pytest.raises(Refused, match="TLS"):
        came(by_name, "127.0.0.1", "boilers.example:8017")


@pytest.mark.parametrize("how", [ON_LOOPBACK, OVER_TLS])
@pytest.mark.parametrize(
    "header",
    ["forwarded", "x_forwarded_for", "x_forwarded_proto", "x_forwarded_host", "X_Forwarded_Any", "x_real_ip", "via"],
)
def test_what_any_proxy_adds_is_refused_where_none_was_named(how: Reach, header: str) -> None:
    scheme, host = ("https", "boilers.example:8017") if how.is_tls else ("http", "127.0.0.1:8017")
    assert came(how, "127.0.0.1", host, scheme).address == "127.0.0.1"
    with pytest.raises(Refused, match="--behind"):
        came(how, "127.0.0.1", host, scheme, **{header: "127.0.0.1"})


def test_over_tls_another_computer_is_answered_and_is_not_local() -> None:
    found = came(OVER_TLS, "192.168.7.20", "192.168.7.1:8017", "https")
    assert (found.is_local, found.address, found.origin) == (False, "192.168.7.20", "https://192.168.7.1:8017")


def test_the_one_proxy_is_believed_on_where_the_browser_is() -> None:
    found = came(BEHIND_PROXY, PROXY, "boilers.example", x_forwarded_proto="https", x_forwarded_for="203.0.113.7")
    assert (found.scheme, found.address, found.origin) == ("https", "203.0.113.7", "https://boilers.example")
    assert not found.is_local


def test_of_several_addresses_the_one_that_the_proxy_wrote_counts() -> None:
    # A proxy adds to what a browser claims: 127.0.0.1 came from outside.
    told = "127.0.0.1, 198.51.100.4"
    found = came(BEHIND_PROXY, PROXY, "boilers.example", x_forwarded_proto="https", x_forwarded_for=told)
    assert found.address == "198.51.100.4"


@pytest.mark.parametrize("peer", ["10.0.0.8", "127.0.0.1", "203.0.113.7", ""])
def test_behind_a_proxy_nobody_else_is_answered(peer: str) -> None:
    with pytest.raises(Refused, match="its proxy alone"):
        came(BEHIND_PROXY, peer, "boilers.example", x_forwarded_proto="https", x_forwarded_for="203.0.113.7")


@pytest.mark.parametrize("told", [None, "http", "https, http", "http, https", "HTTPS://", ""])
def test_a_proxy_that_does_not_say_tls_is_refused(told: str | None) -> None:
    also = {} if told is None else {"x_forwarded_proto": told}
    with pytest.raises(Refused, match="X-Forwarded-Proto"):
        came(BEHIND_PROXY, PROXY, "boilers.example", x_forwarded_for="203.0.113.7", **also)


@pytest.mark.parametrize("told", [None, "", "unknown", "203.0.113.7, ", "somewhere"])
def test_a_proxy_that_does_not_say_where_the_browser_is_is_refused(told: str | None) -> None:
    also = {} if told is None else {"x_forwarded_for": told}
    with pytest.raises(Refused, match="X-Forwarded-For"):
        came(BEHIND_PROXY, PROXY, "boilers.example", x_forwarded_proto="https", **also)


def test_behind_a_proxy_the_name_is_weighed_too() -> None:
    with pytest.raises(Refused) as refused:
        came(BEHIND_PROXY, PROXY, "evil.example", x_forwarded_proto="https", x_forwarded_for="203.0.113.7")
    assert refused.value.status == 421
    said = {name.replace("-", "_"): value for name, value in SAID_BY_PROXY.items()}
    assert came(BEHIND_PROXY, PROXY, "boilers.example:443", **said).origin == "https://boilers.example"


LOCAL = Arrival(scheme="http", host="127.0.0.1:8017", address="127.0.0.1", is_local=True)
OURS = "http://127.0.0.1:8017"


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": OURS},
        {"origin": OURS, "sec-fetch-site": "same-origin"},
        {"sec-fetch-site": "same-origin"},
    ],
)
def test_our_own_page_may_change_something(headers: dict[str, str]) -> None:
    require_same_origin(LOCAL, False, raw(headers))


@pytest.mark.parametrize(
    "headers",
    [
        {},  # no browser of today, or somebody who hides where it comes from
        {"origin": "null"},  # a sandboxed frame, a file
        {"origin": "https://evil.example"},
        {"origin": "http://localhost:8017"},  # the same computer by another name is another site
        {"origin": "http://127.0.0.1:8018"},
        {"origin": "https://127.0.0.1:8017"},
        {"origin": f"{OURS}.evil.example"},
        {"origin": "HTTP://127.0.0.1:8017"},
        {"origin": OURS, "sec-fetch-site": "cross-site"},
        {"origin": OURS, "sec-fetch-site": "same-site"},
        {"origin": OURS, "sec-fetch-site": "none"},
        {"sec-fetch-site": "cross-site"},
    ],
)
def test_a_page_of_somebody_else_may_not(headers: dict[str, str]) -> None:
    with pytest.raises(Refused) as refused:
        require_same_origin(LOCAL, False, raw(headers))
    assert refused.value.status == 403


def test_two_origins_are_no_origin_of_ours() -> None:
    twice = [(b"origin", OURS.encode()), (b"origin", OURS.encode())]
    with pytest.raises(Refused):
        require_same_origin(LOCAL, False, twice)


def test_a_link_elsewhere_may_open_a_page_and_nothing_may_draw_it_into_its_own() -> None:
    require_same_origin(LOCAL, True, raw({"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}))
    require_same_origin(LOCAL, True, raw({"sec-fetch-site": "same-origin", "sec-fetch-mode": "cors"}))
    require_same_origin(LOCAL, True, raw({}))
    for site in ("cross-site", "same-site"):
        for mode in ("no-cors", "cors"):
            with pytest.raises(Refused):
                require_same_origin(LOCAL, True, raw({"sec-fetch-site": site, "sec-fetch-mode": mode}))


@pytest.mark.parametrize(
    ("text", "scheme", "expected"),
    [
        ("Boilers.Example", "https", "boilers.example:443"),
        ("boilers.example:8443", "https", "boilers.example:8443"),
        ("localhost", "http", "localhost:80"),
        ("[2001:db8::7]:8017", "https", "[2001:db8::7]:8017"),
        ("2001:db8::7", "https", None),
        ("a b", "https", None),
        ("-a", "https", None),
        ("a:b", "https", None),
        ("", "https", None),
    ],
)
def test_a_host_is_read_with_its_port(text: str, scheme: str, expected: str | None) -> None:
    assert host_and_port(text, scheme) == expected


@pytest.mark.parametrize("text", ["", "testclient", "256.1.1.1", "127.0.0.1; DROP", "::g"])
def test_what_is_no_address_is_none(text: str) -> None:
    assert address_of(text) is None
