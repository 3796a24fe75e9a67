"""Thirty people type at once while the server is killed and started again: every entry is there, and there once."""

import os
import re
import sqlite3
import threading
import time
import uuid
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Final

import httpx2

from tests.journeys.web.conftest import PASSPHRASE, QUILL
from tests.journeys.web.server import Server, command

PEOPLE: Final = 30
EACH: Final = 40 if os.environ.get("EVENFIRE_SOAK") == "1" else 6
LONGEST_S: Final = 120.0
LAUNDRY: Final = Path(__file__).parents[3] / "examples" / "laundry.toml"


def logged_in(address: str) -> tuple[dict[str, str], dict[str, str]]:
    """Cookies and headers of somebody who has logged in."""
    with httpx2.Client(base_url=address, headers={"Origin": address}, timeout=60) as client:
        token = re.search(r'name="token" value="([^"]+)"', client.get("/enter").text)
        assert token
        form = {"name": QUILL, "passphrase": PASSPHRASE, "token": token[1]}
        assert client.post("/enter", data=form).status_code == 303
        found = re.search(r'data-token="([^"]+)"', client.get("/").text)
        assert found
        headers = {"Origin": address, "X-Evenfire-Token": found[1], "Accept": "application/json"}
        return dict(client.cookies), headers


def types(address: str, cookies: dict[str, str], headers: dict[str, str], visit: str, person: int) -> list[str]:
    """Sends entries as the script of a page does: the same id again until it is acknowledged; the acknowledged ids."""
    acknowledged, end = [], time.monotonic() + LONGEST_S
    with httpx2.Client(base_url=address, cookies=cookies, headers=headers, timeout=30) as client:
        for turn in range(EACH):
            id_ = str(uuid.uuid5(uuid.NAMESPACE_URL, f"{visit} {person} {turn}"))
            entry = {"draft": visit, "path": f"note.{person + 1}.text", "text": f"{person} saw {turn}", "based_on": []}
            told = entry | {"device": f"phone {person}", "at": "2026-11-25T10:00:00Z"}
            while time.monotonic() < end:
                try:
                    answer = client.put(f"/entries/{id_}", json=told)
                except httpx2.TransportError:
                    time.sleep(0.05)
                    continue
                assert answer.status_code in {200, 503}, answer.text
                if answer.status_code == 200:
                    acknowledged.append(id_)
                    break
    return acknowledged


def test_thirty_people_lose_nothing_to_a_server_that_is_killed_under_them(company: Server, tmp_path: Path) -> None:
    sheet = str(tmp_path / "sheet.toml")
    command(company.store, "visit", "new", str(LAUNDRY), "--sheet", sheet, "--by", QUILL)
    with sqlite3.connect(company.store) as connection:
        (visit,) = connection.execute("SELECT id FROM drafts").fetchone()
    company.start()
    cookies, headers = logged_in(company.address)

    def restarts() -> None:
        for _ in range(2):
            time.sleep(0.5)
            company.kill()
            company.start()

    killing = threading.Thread(target=restarts)
    with ThreadPoolExecutor(PEOPLE) as pool:
        asked = [pool.submit(types, company.address, cookies, headers, visit, person) for person in range(PEOPLE)]
        killing.start()
        acknowledged = [id_ for each in asked for id_ in each.result()]
    killing.join()
    assert len(acknowledged) == len(set(acknowledged)) == PEOPLE * EACH
    with sqlite3.connect(company.store) as connection:
        held = [id_ for (id_,) in connection.execute("SELECT id FROM entries WHERE path LIKE 'note.%'")]
    assert sorted(held) == sorted(acknowledged)
