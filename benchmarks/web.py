"""The web app: a field acknowledged, a page on a slow telephone, memory, thirty people typing, the first page."""

import gzip
import json
import os
import re
import signal
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx2

from benchmarks.row import Row

COMMAND = (sys.executable, "-c", "from evenfire.delivery.start import run; run()")
LAUNDRY = Path(__file__).parents[1] / "examples" / "laundry.toml"
NAME, PASSPHRASE = "Ada Quill", "an old kiln burns slowly"
CHROMIUM = os.environ.get("EVENFIRE_CHROMIUM", "/usr/bin/chromium")
FLAGS = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking")
MEGABYTE = 1e6
CLIENTS = 30
ENTRIES_EACH = 20
ROUNDS = 7


@dataclass(frozen=True, slots=True)
class Served:
    """A running server with one open visit."""

    address: str
    store: Path
    process: int
    visit: str

    @property
    def resident(self) -> float:
        """Memory that it holds [bytes]."""
        status = Path(f"/proc/{self.process}/status").read_text(encoding="utf-8")
        found = re.search(r"VmRSS:\s+(\d+) kB", status)
        assert found
        return 1024.0 * int(found[1])

    def client(self) -> httpx2.Client:
        """Somebody who has logged in."""
        client = httpx2.Client(base_url=self.address, headers={"Origin": self.address}, timeout=60)
        token = _token(client.get("/enter").text)
        done = client.post("/enter", data={"name": NAME, "passphrase": PASSPHRASE, "token": token})
        assert done.status_code == 303, done.text
        page = client.get(f"/visits/{self.visit}").text
        found = re.search(r'data-token="([^"]+)"', page)
        assert found, page[:500]
        client.headers["X-Evenfire-Token"] = found[1]
        client.headers["Accept"] = "application/json"
        return client


def rows() -> list[Row]:
    """Every row of the web."""
    with _served() as served:
        idle = served.resident
        found = [_page(served), _usable(served), _acknowledged(served)]
        people = _thirty(served)
        loaded = _loaded(served)
    return [
        *found,
        *people,
        _row("memory of the server, idle", "100 MB", idle / MEGABYTE, 100.0),
        loaded,
        *_first_page(),
    ]


def _row(work: str, reference: str, value: float, reach: float) -> Row:
    """A number against a number: no times."""
    return Row(
        work=f"{work}: {value:.3g}",
        reference=reference,
        ratio=value / reach,
        reach=1.0,
        seconds=0.0,
        reference_seconds=0.0,
    )


def _page(served: Served) -> Row:
    """Everything that a visit needs before somebody can type into it, pressed."""
    with closing(served.client()) as client:
        page = client.get(f"/visits/{served.visit}", headers={"Accept": "text/html"})
        named = re.findall(r'(?:href|src)="(/static/[^"]+\.(?:css|js)\?[^"]+)"', page.text)
        needed = [page.content, *(client.get(name).content for name in named)]
    pressed = sum(len(gzip.compress(each)) for each in needed)
    return _row("a visit with its style and script, pressed [kB]", "20 kB", pressed / 1000, 20.0)


def _usable(served: Served) -> Row:
    """A visit on a telephone: 800 kbit/s, 400 ms, a quarter of this processor, nothing kept from before."""
    from playwright.sync_api import sync_playwright

    times = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        for _ in range(ROUNDS):
            context = browser.new_context(viewport={"width": 360, "height": 740})
            page = context.new_page()
            page.goto(f"{served.address}/enter")
            page.get_by_label("Name").fill(NAME)
            page.get_by_label("Passphrase").fill(PASSPHRASE)
            page.get_by_role("button", name="Log in").click()
            page.wait_for_url(f"{served.address}/")
            session = context.new_cdp_session(page)
            session.send("Network.enable")
            session.send("Network.clearBrowserCache")
            slow = {"offline": False, "latency": 400, "downloadThroughput": 100_000, "uploadThroughput": 100_000}
            session.send("Network.emulateNetworkConditions", slow)
            session.send("Emulation.setCPUThrottlingRate", {"rate": 4})
            page.goto(f"{served.address}/visits/{served.visit}", wait_until="domcontentloaded")
            # Scripts of this kind have run when this event is over: from then on what is typed is kept.
            asked = "performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd"
            times.append(float(page.evaluate(asked)) / 1000)
            context.close()
        browser.close()
    usable = statistics.median(times)
    return Row(
        work="a visit on a slow telephone link, first time, until typing is kept",
        reference="a second",
        ratio=usable,
        reach=1.0,
        seconds=usable,
        reference_seconds=1.0,
    )


def _acknowledged(served: Served) -> Row:
    """One entry after another, each beside a bare commit on the same disk; 5 ms are allowed on top."""
    bare_place = served.store.with_name("bare.sqlite")
    bare = sqlite3.connect(bare_place, isolation_level=None)
    for each in ("PRAGMA journal_mode=WAL", "PRAGMA synchronous=FULL", "CREATE TABLE one(text)"):
        bare.execute(each)
    alone, acknowledged = [], []
    with closing(served.client()) as client:
        for turn in range(20 * ROUNDS):
            start = time.perf_counter()
            bare.execute("BEGIN IMMEDIATE")
            bare.execute("INSERT INTO one VALUES ('x')")
            bare.execute("COMMIT")
            alone.append(time.perf_counter() - start)
            start = time.perf_counter()
            done = client.put(
                f"/entries/{uuid.uuid4()}", json=_entry(served.visit, f"note.{turn % 90 + 1}.text", "seen")
            )
            acknowledged.append(time.perf_counter() - start)
            assert done.status_code == 200, done.text
    bare.close()
    bare_commit, field = statistics.median(alone), statistics.median(acknowledged)
    allowed = 3.0 * bare_commit + 0.005
    return Row(
        work="a field acknowledged",
        reference="three bare commits and 5 ms",
        ratio=field / allowed,
        reach=1.0,
        seconds=field,
        reference_seconds=allowed,
    )


def _thirty(served: Served) -> list[Row]:
    """Thirty people at once; afterwards every entry that was acknowledged is looked for in the file."""
    before = served.resident
    clients = [served.client() for _ in range(CLIENTS)]

    def types(client: httpx2.Client) -> list[tuple[str, float]]:
        done = []
        for turn in range(ENTRIES_EACH):
            id_, start = str(uuid.uuid4()), time.perf_counter()
            answer = client.put(f"/entries/{id_}", json=_entry(served.visit, f"note.{turn + 1}.text", "seen"))
            assert answer.status_code == 200, answer.text
            done.append((id_, time.perf_counter() - start))
        return done

    with ThreadPoolExecutor(CLIENTS) as pool:
        acknowledged = [each for done in pool.map(types, clients) for each in done]
    more = (served.resident - before) / CLIENTS / MEGABYTE
    for client in clients:
        client.close()
    with sqlite3.connect(served.store) as connection:
        held = {row[0] for row in connection.execute("SELECT id FROM entries")}
    lost = [id_ for id_, _ in acknowledged if id_ not in held]
    longest = max(seconds for _, seconds in acknowledged)
    told = f"{CLIENTS} people typing at once, {len(acknowledged)} entries: lost {len(lost)}; the slowest answer"
    return [
        Row(work=told, reference="a second", ratio=longest, reach=None, seconds=longest, reference_seconds=1.0),
        _row("memory for each of them more [MB]", "1 MB", more, 1.0),
    ]


def _loaded(served: Served) -> Row:
    """After a settle with its proofs, their pictures and papers, everything that the program has is loaded."""
    boiler = _boiler(served)
    with closing(served.client()) as client:
        client.headers["Accept"] = "text/html"
        token = client.headers["X-Evenfire-Token"]
        settled = _worked(client, f"/boilers/{boiler}/settle", {"token": token})
        assert "SETTLED" in settled, settled[-2000:]
        pictures = re.findall(r'src="([^"]+\.svg[^"]*)"', settled)
        assert pictures
        for place in pictures:
            assert client.get(place.replace("&amp;", "&"), timeout=60).status_code == 200
        _worked(client, f"/boilers/{boiler}/print", {"token": token, "kind": "report", "of": served.visit})
    return _row("memory of the server with everything loaded [MB]", "400 MB", served.resident / MEGABYTE, 400.0)


def _worked(client: httpx2.Client, place: str, form: dict[str, str]) -> str:
    """The page at the end of long work that a form has begun."""
    begun = client.post(place, data=form, timeout=60)
    assert begun.status_code == 303, begun.text[-2000:]
    for _ in range(1200):
        page = client.get(begun.headers["location"].partition("#")[0], timeout=60).text
        if "data-work=" not in page:
            return page
        time.sleep(0.1)
    raise RuntimeError(f"{place} does not end")


def _boiler(served: Served) -> str:
    with sqlite3.connect(served.store) as connection:
        (boiler,) = connection.execute("SELECT id FROM boilers").fetchone()
    return str(boiler)


def _first_page() -> list[Row]:
    """From the command until a fresh store shows its first page."""
    times = []
    for _ in range(ROUNDS):
        with tempfile.TemporaryDirectory() as folder:
            start = time.perf_counter()
            process, link = _start(Path(folder) / "store.sqlite", Path(folder))
            with httpx2.Client(follow_redirects=True, timeout=60) as client:
                page = client.get(link)
                assert page.status_code == 200, page.text
            times.append(time.perf_counter() - start)
            _end(process)
    first = statistics.median(times)
    return [
        Row(
            work="`serve` on a fresh store, until its first page",
            reference="1.5 s",
            ratio=first / 1.5,
            reach=1.0,
            seconds=first,
            reference_seconds=1.5,
        )
    ]


@contextmanager
def _served() -> Iterator[Served]:
    with tempfile.TemporaryDirectory() as folder:
        store = Path(folder) / "store.sqlite"
        _command(store, "store", "person", NAME)
        said = _command(store, "visit", "new", str(LAUNDRY), "--sheet", str(Path(folder) / "sheet.toml"))
        assert "Visit" in said
        with sqlite3.connect(store) as connection:
            (visit,) = connection.execute("SELECT id FROM drafts").fetchone()
        process, link = _start(store, Path(folder))
        address = re.sub(r"(https?://[^/]+).*", r"\1", link)
        yield Served(address=address, store=store, process=process.pid, visit=str(visit))
        _end(process)


def _start(store: Path, folder: Path) -> tuple[subprocess.Popen[str], str]:
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    process = subprocess.Popen(
        [*COMMAND, "serve", "--store", str(store), "--port", "0"],
        stdout=subprocess.PIPE,
        text=True,
        env={**environment, "COLUMNS": "500", "XDG_DATA_HOME": str(folder)},
    )
    assert process.stdout is not None
    for line in process.stdout:
        if found := re.search(r"https?://\S+", line):
            return process, found.group()
    raise RuntimeError("the server did not start")


def _end(process: subprocess.Popen[str]) -> None:
    process.send_signal(signal.SIGTERM)
    process.communicate(timeout=60)


def _command(store: Path, *arguments: str) -> str:
    environment = {**os.environ, "EVENFIRE_PASSPHRASE": PASSPHRASE, "COLUMNS": "200"}
    done = subprocess.run(
        [*COMMAND, *arguments, "--store", str(store)], capture_output=True, text=True, check=True, env=environment
    )
    return done.stdout


def _entry(visit: str, path: str, text: str) -> dict[str, object]:
    return {"draft": visit, "path": path, "text": text, "device": "bench", "at": "2026-11-25T10:00:00Z", "based_on": []}


def _token(page: str) -> str:
    found = re.search(r'name="token" value="([^"]+)"', page)
    assert found, page[:500]
    return found[1]


if __name__ == "__main__":
    print(json.dumps([row.markdown() for row in rows()], indent=1))
