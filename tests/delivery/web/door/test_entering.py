"""Coming in: the start link, the login, sessions and their cookies, leaving."""

from datetime import UTC, datetime, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Literal

import pytest
from argon2 import PasswordHasher

from evenfire.delivery.acts import people
from evenfire.delivery.records import logins, registers, sessions
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import UNNAMED, May, people_of
from evenfire.delivery.web.door import keeper as keeping
from evenfire.delivery.web.pages.entering import way_back
from tests.delivery.web.door.at_door import (
    BEHIND_PROXY,
    CHEAP,
    HERE,
    NAMES,
    ON_LOOPBACK,
    OVER_TLS,
    PORT,
    SAID_BY_PROXY,
    SECRET,
    AtDoor,
    reach,
    token_in,
)
from tests.delivery.web.door.conftest import MakeDoor

WRONG = "another one entirely"


def start_link(door: AtDoor) -> str:
    return f"/start?token={door.keeper.start_token}"


def flags_of(cookie: str) -> set[str]:
    return {part.strip().lower() for part in cookie.split(";")[1:]}


# ---- the start link ----


def test_the_start_link_lets_one_browser_in_once(door: AtDoor) -> None:
    link, first, second = start_link(door), door.browser(), door.browser()
    answer = first.get(link)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert first.get("/read").json()["person"] == "Somebody at this computer"
    refused = second.get(link)
    assert refused.status_code == 403
    assert second.session is None
    assert second.get("/read").status_code == 303
    # The browser that is in may open it again, and is none the worse.
    assert first.get(link).status_code == 303
    assert first.get("/read").status_code == 200


def test_what_the_link_carries_is_not_what_the_session_is_known_by(door: AtDoor) -> None:
    link, browser = start_link(door), door.browser()
    browser.get(link)
    assert browser.session
    assert browser.session not in link


@pytest.mark.parametrize("token", ["", "x", "x" * 43, "x" * 50_000, "\u00e4"])
def test_another_token_opens_nothing_and_spends_nothing(door: AtDoor, token: str) -> None:
    assert door.browser().client.get("/start", params={"token": token}).status_code == 403
    assert door.started().get("/read").status_code == 200


@pytest.mark.parametrize("header", ["forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip"])
def test_through_any_proxy_the_start_link_is_refused(door: AtDoor, header: str) -> None:
    browser = door.browser()
    assert browser.get(start_link(door), {header: HERE}).status_code == 400
    assert browser.session is None
    assert door.keeper.start_token is not None


def test_by_a_name_that_was_made_to_point_here_nothing_is_open(door: AtDoor) -> None:
    rebound = door.browser(f"http://evil.example:{PORT}")
    for path in (start_link(door), "/enter", "/read", "/"):
        assert rebound.get(path).status_code == 421
    assert door.keeper.start_token is not None


def test_from_another_computer_the_start_link_is_refused(make_door: MakeDoor) -> None:
    plain = make_door(ON_LOOPBACK)
    assert plain.browser(peer="192.168.7.20").get(start_link(plain)).status_code == 403
    tls = make_door(OVER_TLS)
    phone = tls.browser("https://192.168.7.1:8017", peer="192.168.7.20")
    assert phone.get(start_link(tls)).status_code == 403
    proxied = make_door(BEHIND_PROXY)
    behind = proxied.browser("https://boilers.example", peer="10.0.0.9")
    assert behind.get(start_link(proxied), SAID_BY_PROXY).status_code == 403
    assert all(each.keeper.start_token is not None for each in (plain, tls, proxied))


def test_a_started_session_is_worth_nothing_by_another_way(make_door: MakeDoor) -> None:
    door = make_door(reach(hosts=("127.0.0.1:8017", "192.168.7.1:8017"), is_tls=True))
    laptop = door.browser("https://127.0.0.1:8017")
    laptop.get(start_link(door))
    assert laptop.get("/read").status_code == 200
    phone = door.browser("https://192.168.7.1:8017", peer="192.168.7.20")
    assert laptop.session is not None
    phone.client.cookies.set("__Host-evenfire-session-8017", laptop.session)
    assert phone.get("/read").status_code == 303


def test_as_soon_as_somebody_is_added_the_started_session_ends_and_everybody_logs_in(door: AtDoor) -> None:
    browser = door.started()
    assert browser.get("/read").status_code == 200
    door.add(May.SIGN)
    answer = browser.get("/read")
    assert (answer.status_code, answer.headers["location"]) == (303, "/enter?next=%2Fread")
    assert browser.put("/typed/x", {"text": "1"}).status_code == 401
    assert door.browser().get(start_link(door)).headers["location"] == "/enter"


def test_a_link_that_was_not_opened_dies_with_the_first_person(door: AtDoor) -> None:
    link = start_link(door)
    door.add(May.READ)
    assert door.browser().get(link).headers["location"] == "/enter"
    assert door.browser().get("/read").status_code == 303


def test_a_store_with_people_wants_a_login_on_loopback_too(door: AtDoor) -> None:
    door.add(May.READ)
    for name in ("127.0.0.1", "localhost", "[::1]"):
        assert door.browser(f"http://{name}:{PORT}").get("/read").status_code == 303


def test_the_one_without_a_name_is_in_no_list(door: AtDoor) -> None:
    door.started()
    assert people_of(door.store) == ()
    assert not registers.has_people(door.store)
    assert registers.names_of_people(door.store) == {UNNAMED: "Somebody at this computer"}
    assert logins.login_named(door.store, "Somebody at this computer") is None


def test_before_anybody_is_known_nobody_logs_in(door: AtDoor) -> None:
    browser = door.browser()
    page = browser.get("/enter")
    assert "evenfire serve" in page.text
    assert "<form" not in page.text
    assert browser.log_in("Somebody at this computer").status_code == 403


# ---- the login ----


@pytest.mark.parametrize("typed", ["Ada Quill", "ada quill", "  ADA   quill "])
def test_name_and_passphrase_let_somebody_in(door: AtDoor, typed: str) -> None:
    door.add(May.SIGN)
    browser = door.browser()
    answer = browser.log_in(typed, to="/boilers/x?q=1")
    assert (answer.status_code, answer.headers["location"]) == (303, "/boilers/x?q=1")
    told = browser.get("/read").json()
    assert told["person"] == "Ada Quill"
    assert told["device"].startswith("phone ")


def test_an_unknown_name_and_a_wrong_passphrase_get_one_answer(door: AtDoor) -> None:
    door.add(May.SIGN)
    people.add(door.store, "Ned Nologin", "", May.WRITE, None)
    pages = []
    for name, passphrase in (("Ada Quill", WRONG), ("Nobody Here", SECRET), ("Ned Nologin", SECRET), (UNNAMED, SECRET)):
        answer = door.browser().log_in(name, passphrase)
        assert answer.status_code == 401
        assert "set-cookie" not in answer.headers or "session" not in answer.headers["set-cookie"]
        pages.append(answer.text.replace(token_in(answer), ""))
    assert len(set(pages)) == 1
    assert "Name or passphrase is wrong." in pages[0]


class CountingHasher(PasswordHasher):
    """Notes what it is asked to look at."""

    def __init__(self) -> None:
        super().__init__(time_cost=1, memory_cost=8, parallelism=1)
        self.looked_at: list[str] = []

    def verify(self, hash: str | bytes, password: str | bytes) -> Literal[True]:  # noqa: A002 - its name there
        """As always."""
        # Algorithm, version and parameters; the salt and the tag differ.
        self.looked_at.append(str(hash).rpartition("$")[0].rpartition("$")[0])
        return super().verify(hash, password)


def test_an_unknown_name_goes_the_same_long_way(tmp_path: Path) -> None:
    """The steps are counted and not timed: one look at an Argon2 hash of the same parameters for every name."""
    hasher = CountingHasher()
    with Store.open(tmp_path / "store.sqlite") as store:
        door = AtDoor(store, tmp_path, hasher=hasher)
        door.add(May.SIGN)
        for name in ("Ada Quill", "Nobody Here", ""):
            assert door.browser().log_in(name, WRONG).status_code == 401
        for each in door.open:
            each.close()
    assert hasher.looked_at == ["$argon2id$v=19$m=8,t=1,p=1"] * 3


def test_passphrases_are_hashed_as_the_standard_recommends() -> None:
    # RFC 9106, section 4, second recommended option: Argon2id, t = 3, p = 4, m = 64 MiB, salt 128 bits, tag 256 bits.
    kept = logins.hashed(SECRET).argon2
    _, algorithm, version, parameters, salt, tag = kept.split("$")
    assert (algorithm, version, parameters) == ("argon2id", "v=19", "m=65536,t=3,p=4")
    # Base64 without padding: 4 characters for 3 bytes.
    assert (len(salt) * 3 // 4, len(tag) * 3 // 4) == (16, 32)


def test_the_form_of_another_browser_is_refused(door: AtDoor) -> None:
    door.add(May.SIGN)
    attacker, victim = door.browser(), door.browser()
    form = attacker.get("/enter")
    victim.get("/enter")
    victim.token = token_in(form)
    answer = victim.post("/enter", {"name": "Ada Quill", "passphrase": SECRET})
    assert answer.status_code == 403
    assert victim.session is None


def test_a_login_posted_by_another_site_is_refused(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.browser()
    cross = {"origin": "https://evil.example", "sec-fetch-site": "cross-site"}
    browser.token = token_in(browser.get("/enter"))
    assert browser.post("/enter", {"name": "Ada Quill", "passphrase": SECRET}, cross).status_code == 403
    assert browser.session is None


@pytest.mark.parametrize(
    ("url", "peer"),
    [
        ("http://192.168.7.1:8017", "192.168.7.20"),
        ("http://127.0.0.1:8017", "192.168.7.20"),
        ("http://192.168.7.1:8017", "127.0.0.1"),
    ],
)
def test_a_passphrase_over_plain_http_is_refused_off_loopback(make_door: MakeDoor, url: str, peer: str) -> None:
    door = make_door(reach(hosts=("192.168.7.1:8017", "127.0.0.1:8017")))
    door.add(May.SIGN)
    browser = door.browser(url, peer=peer)
    assert browser.get("/enter").status_code == 403
    answer = browser.post("/enter", {"name": "Ada Quill", "passphrase": SECRET})
    assert answer.status_code == 403
    assert "TLS" in answer.text
    assert browser.session is None


def test_over_tls_and_behind_the_proxy_a_login_works(make_door: MakeDoor) -> None:
    tls = make_door(OVER_TLS)
    tls.add(May.WRITE)
    phone = tls.browser("https://192.168.7.1:8017", peer="192.168.7.20")
    assert phone.log_in(NAMES[May.WRITE]).status_code == 303
    assert phone.get("/read").json()["person"] == NAMES[May.WRITE]
    proxied = make_door(BEHIND_PROXY)
    proxied.add(May.WRITE)
    browser = proxied.browser("https://boilers.example", peer="10.0.0.9")
    assert browser.log_in(NAMES[May.WRITE], headers=SAID_BY_PROXY).status_code == 303
    assert proxied.trail[-1].address == "203.0.113.7"


# ---- throttle through the door ----


def test_a_name_that_is_guessed_at_waits_also_for_the_right_passphrase(door: AtDoor) -> None:
    door.add(May.SIGN)
    for _ in range(5):
        assert door.browser().log_in("Ada Quill", WRONG).status_code == 401
    for passphrase in (WRONG, SECRET):
        answer = door.browser().log_in("ADA quill", passphrase)
        assert answer.status_code == 429
        assert "Try again in" in answer.text
    door.clock.seconds += 2.0
    assert door.browser().log_in("Ada Quill").status_code == 303


def test_an_address_that_guesses_at_many_names_waits(make_door: MakeDoor) -> None:
    door = make_door(OVER_TLS)
    for place in range(20):
        guess = door.browser("https://192.168.7.1:8017", peer="192.168.7.66")
        assert guess.log_in(f"Name {place}", WRONG).status_code == 403  # nobody is known yet
    door.add(May.SIGN)
    for place in range(20):
        guess = door.browser("https://192.168.7.1:8017", peer="192.168.7.66")
        assert guess.log_in(f"Name {place}", WRONG).status_code == 401
    assert guess.log_in("Ada Quill").status_code == 429
    # Somebody elsewhere is none the worse.
    assert door.browser("https://192.168.7.1:8017", peer="192.168.7.20").log_in("Ada Quill").status_code == 303


def test_a_long_line_of_logins_is_told_to_wait_and_is_no_try(door: AtDoor) -> None:
    door.add(May.SIGN)
    taken = [door.keeper._in_line.acquire(blocking=False) for _ in range(keeping.ASSUMED_IN_LINE)]
    assert all(taken)
    for _ in range(7):
        assert door.browser().log_in("Ada Quill").status_code == 503
    for _ in taken:
        door.keeper._in_line.release()
    assert door.browser().log_in("Ada Quill").status_code == 303


# ---- sessions and their cookies ----


def test_the_cookie_of_a_session_is_kept_from_scripts_and_other_sites(door: AtDoor) -> None:
    door.add(May.SIGN)
    cookie = door.browser().log_in("Ada Quill").headers["set-cookie"]
    assert cookie.startswith("evenfire-session-8017=")
    assert {"httponly", "samesite=strict", "path=/"} <= flags_of(cookie)
    assert not any(flag.startswith("domain") for flag in flags_of(cookie))


def test_over_tls_the_cookie_never_travels_in_the_open_nor_comes_from_another_host(make_door: MakeDoor) -> None:
    # The __Host- prefix (RFC 6265bis, from memory) asks for Secure, Path=/ and no Domain.
    door = make_door(OVER_TLS)
    door.add(May.SIGN)
    phone = door.browser("https://192.168.7.1:8017", peer="192.168.7.20")
    cookie = phone.log_in("Ada Quill").headers["set-cookie"]
    assert cookie.startswith("__Host-evenfire-session-8017=")
    assert {"httponly", "samesite=strict", "path=/", "secure"} <= flags_of(cookie)
    assert not any(flag.startswith("domain") for flag in flags_of(cookie))


def test_a_session_that_was_planted_is_not_the_one_after_the_login(door: AtDoor) -> None:
    door.add(May.SIGN)
    door.add(May.READ)
    planted = door.logged_in(May.READ)
    victim = door.browser()
    assert planted.session is not None
    victim.client.cookies.set("evenfire-session-8017", planted.session, domain=HERE, path="/")
    victim.client.get("/leave")
    # A browser that is logged in is led on; whoever sends the form all the same gets a session of its own.
    victim.token = token_in(door.browser().get("/enter"))
    form = door.browser()
    page = form.get("/enter")
    form.client.cookies.set("evenfire-session-8017", planted.session, domain=HERE, path="/")
    form.token = token_in(page)
    assert form.post("/enter", {"name": "Ada Quill", "passphrase": SECRET}).status_code == 303
    now = [each.value for each in form.client.cookies.jar if "session" in each.name]
    assert planted.session not in now
    assert form.get("/read").json()["person"] == "Ada Quill"
    # The one that was planted has ended, for whoever planted it too.
    assert planted.get("/read").status_code == 303


def test_a_token_by_chance_that_a_browser_brings_is_never_taken(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.browser()
    for made_up in ("x", "", "A" * 43, "x" * 5000, sessions.hash_of("x")):
        browser.client.cookies.clear()
        browser.client.cookies.set("evenfire-session-8017", made_up)
        assert browser.get("/read").status_code == 303


def test_what_the_store_holds_of_a_session_lets_nobody_in(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    content = (Path(door.store.place)).read_bytes() + Path(f"{door.store.place}-wal").read_bytes()
    assert browser.session is not None
    assert sessions.hash_of(browser.session).encode() in content
    for secret in (browser.session, browser.token, SECRET):
        assert secret.encode() not in content


def test_logging_out_ends_the_session_everywhere(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    stolen = browser.session
    answer = browser.post("/leave")
    assert (answer.status_code, answer.headers["location"]) == (303, "/enter")
    assert "max-age=0" in flags_of(answer.headers["set-cookie"])
    other = door.browser()
    assert stolen is not None
    other.client.cookies.set("evenfire-session-8017", stolen)
    assert other.get("/read").status_code == 303


def test_another_site_cannot_log_anybody_out(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    assert browser.post("/leave", headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert browser.post("/leave", {"token": "0" * 64}).status_code == 403
    assert browser.get("/leave").status_code == 405
    assert browser.get("/read").status_code == 200


def test_a_new_passphrase_logs_every_browser_out(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    people.set_passphrase(door.store, "Ada Quill", "the kettle sings at noon", hasher=CHEAP)
    assert browser.get("/read").status_code == 303
    assert door.browser().log_in("Ada Quill").status_code == 401
    assert door.browser().log_in("Ada Quill", "the kettle sings at noon").status_code == 303


def test_a_server_that_was_restarted_still_knows_its_sessions(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    again = AtDoor(door.store, door.folder)
    after = again.browser()
    assert browser.session is not None
    after.client.cookies.set("evenfire-session-8017", browser.session)
    assert after.get("/read").json()["person"] == "Ada Quill"
    # A form that was open meanwhile is still good.
    after.token = browser.token
    assert after.post("/write/x").status_code == 200


class Day:
    """A clock of a store that a test sets."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


def test_a_session_ends_unused_after_a_shift_and_used_after_a_week(tmp_path: Path) -> None:
    day = Day()
    with Store.open(tmp_path / "store.sqlite", clock=day) as store:
        door = AtDoor(store, tmp_path)
        door.add(May.SIGN)
        browser = door.logged_in(May.SIGN)
        day.now += sessions.ASSUMED_IDLE - timedelta(minutes=10)
        assert browser.get("/read").status_code == 200
        day.now += sessions.ASSUMED_IDLE - timedelta(minutes=10)
        assert browser.get("/read").status_code == 200
        day.now += sessions.ASSUMED_IDLE + timedelta(minutes=10)
        assert browser.get("/read").status_code == 303
        used = door.logged_in(May.SIGN)
        hours = 0
        while used.get("/read").status_code == 200:
            day.now += timedelta(hours=6)
            hours += 6
        assert timedelta(hours=hours) == sessions.ASSUMED_LONGEST
        for each in door.open:
            each.close()


# ---- where the login leads ----


@pytest.mark.parametrize(
    "wanted",
    [
        "https://evil.example/",
        "//evil.example",
        "/\\evil.example",
        "\\/evil.example",
        "javascript:alert(1)",
        "boilers",
        "",
        "/\tx",
        "/x\r\nset-cookie: a=b",
        "/" + "x" * 600,
        "/leave",
        "/enter?next=/enter",
        "/start?token=x",
        "/\u2025evil",
    ],
)
def test_the_login_leads_to_no_other_site(door: AtDoor, wanted: str) -> None:
    assert way_back(wanted) == "/"
    door.add(May.SIGN)
    assert door.browser().log_in("Ada Quill", to=wanted).headers["location"] == "/"


class Links(HTMLParser):
    """Where a page leads."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag."""
        self.found += [value or "" for name, value in attrs if tag == "a" and name == "href"]


def test_a_link_from_elsewhere_leads_on_who_is_logged_in_already(door: AtDoor) -> None:
    # A browser keeps a SameSite=Strict cookie to itself when another site leads here, and sends it with our own link.
    door.add(May.SIGN)
    from_letter = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    asked = door.browser().get("/read", from_letter)
    assert asked.headers["location"] == "/enter?next=%2Fread"
    links = Links()
    links.feed(door.browser().get(asked.headers["location"], from_letter).text)
    assert "/read" in links.found


@pytest.mark.parametrize(
    "name", ['"><script>alert(1)</script>', "<img src=x onerror=alert(1)>", "{{ 7 * 7 }}", "Robert'); --"]
)
def test_a_name_that_is_a_script_stays_text(door: AtDoor, name: str) -> None:
    door.add(May.SIGN)
    answer = door.browser().log_in(name, WRONG, to=f"/x?{name}")
    assert answer.status_code == 401
    for piece in ("<script>alert", "<img src=x", "49"):
        assert piece not in answer.text.replace(token_in(answer), "")


def test_a_disk_that_takes_nothing_more_keeps_nobody_from_reading(tmp_path: Path) -> None:
    day = Day()
    with Store.open(tmp_path / "store.sqlite", clock=day) as store:
        door = AtDoor(store, tmp_path)
        door.add(May.SIGN)
        browser = door.logged_in(May.SIGN)
        day.now += 2 * sessions.ASSUMED_SEEN_EVERY
        # As after an error of the disk, until the store is opened again.
        store._failed = True
        assert browser.get("/read").status_code == 200
        refused = door.browser().log_in("Ada Quill")
        assert refused.status_code == 503
        assert "Check the disk" in refused.text
        for each in door.open:
            each.close()


def test_a_store_that_cannot_be_read_is_told_in_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    with Store.open(path) as store:
        door = AtDoor(store, tmp_path)
        door.add(May.SIGN)
        browser = door.logged_in(May.SIGN)
        with store.write() as connection:
            connection.exec_driver_sql("DROP TABLE sessions")
        answer = browser.get("/read")
        assert answer.status_code in {500, 503}
        assert "sessions" not in answer.text
        for each in door.open:
            each.close()
