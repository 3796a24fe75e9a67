"""Files from strangers, through the real door: limited in size, type and time, and given out as files and nothing else.

What is refused is refused in one sentence, and nothing of it is kept.
"""

import asyncio
import gc
import html
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from httpx2 import Response
from PIL import Image, PngImagePlugin
from starlette.types import Message, Scope

from evenfire.delivery.acts import people, visiting
from evenfire.delivery.acts.demo import demo_plants
from evenfire.delivery.intake.opening import LARGEST_FILE
from evenfire.delivery.records.attachments import attach_file
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.photographs import LARGEST_PHOTOGRAPH
from evenfire.delivery.records.registers import May, find_person
from evenfire.delivery.web.application import application
from evenfire.delivery.web.door import bodies
from evenfire.delivery.web.door.bodies import ASSUMED_LARGEST, LARGEST_UPLOAD
from tests.delivery.acts.on_visit import Clock
from tests.delivery.web.door.at_door import CHEAP, HERE, NAMES, PORT, SECRET, AtDoor, Browser
from tests.delivery.web.kept_rows import rows_of

SCRIPT: Final = b"<html><script>alert(1)</script></html>"
LEFT_OPEN = pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
"""The parser of forms leaves the spool of a part that never ended to the collector, which then says so."""
LONGEST_SENTENCE: Final = 400
"""A person reads it on a phone [characters]."""


def picture(kind: str = "PNG", **how: object) -> bytes:
    content = io.BytesIO()
    Image.new("RGB", (12, 8), "red").save(content, kind, **how)
    return content.getvalue()


def chunk(name: bytes, content: bytes) -> bytes:
    """A chunk of a PNG file (ISO/IEC 15948: length, name, content, check sum)."""
    return len(content).to_bytes(4, "big") + name + content + zlib.crc32(name + content).to_bytes(4, "big")


def png_of(width: int, height: int, *chunks: bytes) -> bytes:
    """A PNG that says it is so large, and holds almost nothing."""
    head = width.to_bytes(4, "big") + height.to_bytes(4, "big") + b"\x08\x02\x00\x00\x00"
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + b"".join(chunks) + chunk(b"IEND", b"")


def packed() -> bytes:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("a.html", SCRIPT * 10_000)
    return content.getvalue()


def saying(text: str) -> bytes:
    """A picture with a text in it that no reader shows."""
    said = PngImagePlugin.PngInfo()
    said.add_text("Comment", text)
    return picture(pnginfo=said)


@pytest.fixture
def door(tmp_path: Path) -> Iterator[AtDoor]:
    with Store.open(tmp_path / "kept" / "store.sqlite", clock=Clock()) as store:
        people.add(store, NAMES[May.WRITE], "", May.WRITE, SECRET, hasher=CHEAP)
        made = AtDoor(store, tmp_path, application=application)
        yield made
        for each in made.open:
            each.close()


@pytest.fixture
def writer(door: AtDoor) -> Browser:
    return door.logged_in(May.WRITE)


@pytest.fixture
def visit(door: AtDoor, tmp_path: Path) -> str:
    plant = tmp_path / "laundry.toml"
    plant.write_text(demo_plants()["laundry.toml"], encoding="utf-8")
    writer = find_person(door.store, NAMES[May.WRITE])
    return visiting.open_visit(door.store, writer, plant=plant, boiler=None).at.draft.id


def sent(writer: Browser, place: str, field: str, *files: tuple[str, bytes], kind: str = "image/png") -> Response:
    """What a form of ours sends with files."""
    own = {"origin": writer.origin, "sec-fetch-site": "same-origin", "accept": "text/html"}
    parts = [(field, (name, content, kind)) for name, content in files]
    return writer.client.post(place, data={"token": writer.token, "shows": "a plate"}, files=parts, headers=own)


def require_one_sentence(answer: Response) -> None:
    """Refused, with why, for a person to read."""
    assert answer.status_code in {400, 413, 422}, answer.text[:500]
    found = re.search(r'id="refusal"><strong>(.*?)</strong>|<p class="sheet">(.*?)</p>', answer.text, re.DOTALL)
    assert found is not None, answer.text[:2000]
    why = html.unescape(found[1] or found[2])
    assert 10 < len(why) < LONGEST_SENTENCE
    assert "Traceback" not in answer.text
    assert "<script>alert" not in answer.text


NO_PHOTOGRAPHS: Final = {
    "nothing": b"",
    "a page": SCRIPT,
    "a drawing": b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>',
    "a drawing as xml": b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>',
    "a page in front of a picture": SCRIPT + picture(),
    "a paper": b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n",
    "postscript": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n(/etc/passwd) run\n",
    "an archive": packed(),
    "a program": b"\x7fELF" + bytes(200),
    "another kind of picture": picture("GIF"),
    "a cut picture": picture("JPEG")[:-200],
    "a head alone": png_of(12, 8),
    "a picture of 900 million pixels": png_of(30_000, 30_000, chunk(b"IDAT", zlib.compress(bytes(100_000)))),
    "a picture that overflows": png_of(2**31 - 1, 2**31 - 1, chunk(b"IDAT", zlib.compress(b""))),
    "a text that swells": png_of(
        12,
        8,
        chunk(b"zTXt", b"Comment\x00\x00" + zlib.compress(bytes(200_000_000), 9)),
        chunk(b"IDAT", zlib.compress(b"\x00" * 37 * 8)),
    ),
}


@pytest.mark.parametrize("name", list(NO_PHOTOGRAPHS))
def test_what_is_no_photograph_is_refused_in_one_sentence_and_not_kept(
    door: AtDoor, writer: Browser, visit: str, name: str
) -> None:
    before = rows_of(door.store)
    require_one_sentence(sent(writer, f"/visits/{visit}/photos", "photo", ("plate.jpg", NO_PHOTOGRAPHS[name])))
    assert rows_of(door.store) == before


def test_a_photograph_that_is_too_large_is_refused_and_not_kept(door: AtDoor, writer: Browser, visit: str) -> None:
    before = rows_of(door.store)
    content = picture() + bytes(LARGEST_PHOTOGRAPH)
    require_one_sentence(sent(writer, f"/visits/{visit}/photos", "photo", ("plate.png", content)))
    too_long = {
        "origin": writer.origin,
        "content-type": "multipart/form-data; boundary=x",
        "content-length": str(LARGEST_UPLOAD + 1),
    }
    require_one_sentence(writer.client.post(f"/visits/{visit}/photos", content=b"", headers=too_long))
    assert rows_of(door.store) == before


HIDDEN: Final = {
    "behind it": picture("JPEG") + SCRIPT,
    "an archive behind it": picture() + packed(),
    "in its comment": picture("JPEG", comment=SCRIPT),
    "in its text": saying(SCRIPT.decode()),
    "in its profile": picture("JPEG", icc_profile=SCRIPT * 10),
}


@pytest.mark.parametrize("name", list(HIDDEN))
def test_what_hides_in_a_photograph_is_not_kept_with_it(door: AtDoor, writer: Browser, visit: str, name: str) -> None:
    assert sent(writer, f"/visits/{visit}/photos", "photo", ("a.html", HIDDEN[name]), kind="text/html").is_redirect
    hash_ = visiting.at_visit(door.store, visit).visit.photos[0].hash
    assert hash_ is not None
    given = writer.get(f"/attachments/{hash_}")
    assert b"script" not in given.content
    assert b"PK\x03\x04" not in given.content
    assert Image.open(io.BytesIO(given.content)).size == (12, 8)
    require_file(given)
    assert given.headers["content-type"] in {"image/png", "image/jpeg"}


def require_file(given: Response) -> None:
    """Kept by a browser, and never drawn nor run."""
    assert given.status_code == 200
    assert given.headers["content-disposition"].startswith("attachment; ")
    assert given.headers["x-content-type-options"] == "nosniff"
    assert given.headers["content-security-policy"] == "default-src 'none'; sandbox"
    assert given.headers["cross-origin-resource-policy"] == "same-origin"


@pytest.mark.parametrize("kind", ["text/plain", "text/csv", "application/pdf", "application/octet-stream"])
def test_a_file_of_another_kind_is_given_out_as_bytes(door: AtDoor, writer: Browser, kind: str) -> None:
    kept = attach_file(door.store, SCRIPT, "../page.html", kind)
    given = writer.get(f"/attachments/{kept.sha256}")
    require_file(given)
    assert given.headers["content-type"] == "application/octet-stream"
    assert "/" not in given.headers["content-disposition"]


def test_too_many_photographs_at_once_are_refused_and_none_is_kept(door: AtDoor, writer: Browser, visit: str) -> None:
    before = rows_of(door.store)
    files = [(f"{number}.png", picture()) for number in range(30)]
    require_one_sentence(sent(writer, f"/visits/{visit}/photos", "photo", *files))
    assert rows_of(door.store) == before


@LEFT_OPEN
@pytest.mark.parametrize(
    ("kind", "content"),
    [
        ("multipart/form-data", b"x"),
        ("multipart/form-data; boundary=", b"--\r\n\r\n--"),
        (
            "multipart/form-data; boundary=x",
            b"--x\r\nContent-Disposition: form-data; name=photo; filename=a.png\r\n\r\n",
        ),
        ("multipart/form-data; boundary=x", b"--x\r\n" + b"A: b\r\n" * 5_000 + b"\r\n--x--"),
        (
            "multipart/form-data; boundary=x",
            b"".join(b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\nb\r\n' for _ in range(3_000))
            + b"--x--\r\n",
        ),
        ("application/x-www-form-urlencoded", b"&".join(b"a=b" for _ in range(5_000))),
        ("application/json", b"[" * 100_000),
        ("text/plain", picture()),
    ],
    ids=["no boundary", "empty boundary", "cut", "many heads", "many parts", "many fields", "deep", "plain"],
)
def test_a_body_that_is_no_form_of_ours_is_refused_and_nothing_is_kept(
    door: AtDoor, writer: Browser, visit: str, kind: str, content: bytes
) -> None:
    before = rows_of(door.store)
    own = {"origin": writer.origin, "x-evenfire-token": writer.token, "content-type": kind, "accept": "text/html"}
    for place in (f"/visits/{visit}/photos", "/boilers/new/file", "/boilers/new", "/entries/x"):
        method = "PUT" if place.startswith("/entries") else "POST"
        answer = writer.client.request(method, place, content=content, headers=own)
        assert answer.status_code in {400, 413, 422}, (place, answer.status_code, answer.text[:300])
    gc.collect()
    assert rows_of(door.store) == before


NO_PLANTS: Final = {
    "nothing": b"",
    "a page": SCRIPT,
    "a picture": picture(),
    "an archive": packed(),
    "a nul": b'format = 1\n[site]\nname = "a\x00b"\n',
    "another alphabet": "format = 1".encode("utf-16"),
    "deep": b"a = " + b"[" * 50_000,
    "a table of tables": b".".join([b"a"] * 50_000) + b" = 1",
    "a long number": b"format = " + b"9" * 500_000,
    "many keys": b"\n".join(b"k%d = 1" % number for number in range(60_000)),
    "too large": b"#" * (LARGEST_FILE + 1),
}


@pytest.mark.parametrize("name", list(NO_PLANTS))
def test_what_is_no_plant_file_is_refused_in_one_sentence_and_not_kept(
    door: AtDoor, writer: Browser, name: str
) -> None:
    before = rows_of(door.store)
    answer = sent(writer, "/boilers/new/file", "file", ("../x.html", NO_PLANTS[name]), kind="text/html")
    require_one_sentence(answer)
    text = NO_PLANTS[name].decode("latin-1")[: ASSUMED_LARGEST // 4]
    form = {"text": text, "sha256": "0" * 64, "name": "../../x.html"}
    require_one_sentence(writer.post("/boilers/new/file/take", form))
    assert rows_of(door.store) == before


@LEFT_OPEN
def test_a_file_that_comes_too_slowly_is_given_up_and_not_kept(
    door: AtDoor, writer: Browser, visit: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bodies, "ASSUMED_PATIENCE", 0.3)
    before = rows_of(door.store)
    body = b'--x\r\nContent-Disposition: form-data; name="photo"; filename="a.png"\r\n\r\n' + picture()
    cookies = "; ".join(f"{each.name}={each.value}" for each in writer.client.cookies.jar)
    headers = {
        "host": f"{HERE}:{PORT}",
        "origin": writer.origin,
        "cookie": cookies,
        "x-evenfire-token": writer.token,
        "content-type": "multipart/form-data; boundary=x",
        "content-length": "100000",
    }
    scope: Scope = {
        "type": "http",
        "http_version": "1.1",
        "method": "POST",
        "scheme": "http",
        "path": f"/visits/{visit}/photos",
        "raw_path": f"/visits/{visit}/photos".encode(),
        "query_string": b"",
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
        "client": (HERE, 50_000),
        "server": (HERE, PORT),
    }
    assert asyncio.run(answered(door, scope, body)) == 408
    gc.collect()
    assert rows_of(door.store) == before


async def answered(door: AtDoor, scope: Scope, body: bytes) -> int:
    """The status of the answer to a body of which the end never comes."""
    waiting = iter([body])
    answers: list[Message] = []

    async def receive() -> Message:
        for part in waiting:
            return {"type": "http.request", "body": part, "more_body": True}
        await asyncio.sleep(3600.0)
        return {"type": "http.disconnect"}

    async def send(message: Message) -> None:
        answers.append(message)

    await door.guard(scope, receive, send)
    return int(answers[0]["status"])
