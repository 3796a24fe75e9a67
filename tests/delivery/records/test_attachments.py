import hashlib
import io
import os
import stat
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from evenfire.delivery.records import photograph_child
from evenfire.delivery.records.attachments import (
    KINDS,
    LARGEST_ATTACHMENT,
    attach_file,
    attach_photograph,
    attachment,
    content_of,
    file_of,
    orphans,
    sweep,
)
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.photographs import LARGEST_PHOTOGRAPH, written_anew
from evenfire.errors import BadAttachment, BadRequest, BadStore

ORIENTATION, ARTIST, DESCRIPTION = 0x0112, 0x013B, 0x010E
"""Tags of the Exif standard, as Pillow lists them."""
SECRET = "Ada Quill at 53.1 north"


def picture(kind: str = "JPEG", size: tuple[int, int] = (60, 40), mode: str = "RGB") -> bytes:
    """A picture whose left half is red, which says in every way it can who took it."""
    image = Image.new(mode, size, "white")
    image.paste("red", (0, 0, size[0] // 2, size[1]))
    file = io.BytesIO()
    exif = Image.Exif()
    exif[ARTIST] = exif[DESCRIPTION] = SECRET
    if kind == "JPEG":
        image.save(file, kind, exif=exif, comment=SECRET.encode(), icc_profile=SECRET.encode())
    elif kind == "PNG":
        from PIL.PngImagePlugin import PngInfo

        told = PngInfo()
        told.add_text("Author", SECRET)
        told.add_itxt("Place", SECRET, zip=True)
        image.save(file, kind, exif=exif, pnginfo=told, icc_profile=SECRET.encode())
    else:
        image.save(file, kind, exif=exif, xmp=SECRET.encode(), lossless=True)
    return file.getvalue()


def opened(content: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(content))
    image.load()
    return image


@pytest.mark.parametrize(("kind", "kept"), [("JPEG", "image/jpeg"), ("PNG", "image/png"), ("WEBP", "image/jpeg")])
def test_a_photograph_is_written_anew_and_says_nothing_but_what_it_shows(kind: str, kept: str) -> None:
    found, anew = written_anew(picture(kind), "dial")
    assert found == kept
    image = opened(anew)
    assert image.size == (60, 40)
    red, white = image.convert("RGB").getpixel((5, 20)), image.convert("RGB").getpixel((55, 20))
    assert isinstance(red, tuple)
    assert isinstance(white, tuple)
    assert red[0] > 240
    assert red[1] < 20
    assert min(white) > 240
    assert not image.getexif()
    assert {*image.info} <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert SECRET.encode() not in anew
    assert b"Exif" not in anew


def test_a_photograph_that_was_taken_on_its_side_is_turned_upright() -> None:
    # Exif: orientation 6 means that the picture has to be turned by a quarter to the right to be seen upright.
    image = Image.new("RGB", (60, 40), "white")
    image.paste("red", (0, 0, 30, 40))
    file, exif = io.BytesIO(), Image.Exif()
    exif[ORIENTATION] = 6
    image.save(file, "JPEG", exif=exif, quality=95)
    _, anew = written_anew(file.getvalue(), "dial.jpg")
    upright = opened(anew).convert("RGB")
    assert upright.size == (40, 60)
    top, bottom = upright.getpixel((20, 5)), upright.getpixel((20, 55))
    assert isinstance(top, tuple)
    assert isinstance(bottom, tuple)
    assert top[1] < 20, "what was on the left is on top"
    assert bottom[1] > 240


def test_a_picture_with_holes_keeps_them_and_a_large_one_is_made_smaller() -> None:
    kind, anew = written_anew(picture("PNG", mode="RGBA"), "sketch.png")
    assert (kind, opened(anew).mode) == ("image/png", "RGBA")
    _, smaller = written_anew(picture("JPEG", size=(6000, 1500)), "wide.jpg")
    assert opened(smaller).size == (photograph_child.LONGEST_SIDE, 1024)


def png_of(width: int, height: int) -> bytes:
    """A picture of one colour takes few bytes whatever its size: what decoders are killed with."""
    file = io.BytesIO()
    Image.new("1", (width, height)).save(file, "PNG", optimize=True)
    return file.getvalue()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "no picture that can be kept"),
        (b"MZ" + b"\x00" * 500, "no picture that can be kept"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no picture that can be kept"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "no picture that can be kept"),
        (picture()[:300], "its data is damaged"),
        (picture("PNG")[:-40], "its data is damaged"),
        (png_of(8_001, 8_000), r"8001 x 8000 pixels, and at most 64 million"),
        (b"\xff\xd8" + b"\x00" * LARGEST_PHOTOGRAPH, "MB, and at most 40 MB"),
    ],
    ids=["empty", "program", "svg", "postscript", "cut jpeg", "cut png", "bomb", "too many bytes"],
)
def test_what_is_no_photograph_is_refused_with_why(content: bytes, told: str) -> None:
    with pytest.raises(BadAttachment, match=told) as refused:
        written_anew(content, "sent.jpg")
    assert str(refused.value).startswith("sent.jpg: ")


def test_a_picture_of_another_kind_is_not_decoded_at_all() -> None:
    for kind in ("GIF", "BMP", "TIFF", "ICO"):
        file = io.BytesIO()
        Image.new("RGB", (16, 16)).save(file, kind)
        with pytest.raises(BadAttachment, match="Photographs are JPEG, PNG or WebP"):
            written_anew(file.getvalue(), "sent")


# The limits are the system's; a child that goes beyond them is ended by it, and the parent lives.
@pytest.mark.skipif(sys.platform == "win32", reason="this system has no limits for a process")
@pytest.mark.parametrize(("name", "value"), [("MOST_MEMORY", 60_000_000), ("MOST_SECONDS", 0)])
def test_a_picture_that_takes_more_than_it_may_is_refused(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, name: str, value: int
) -> None:
    source = Path(photograph_child.__file__).read_text()
    before = f"{name}: Final = {getattr(photograph_child, name):_}"
    assert before in source
    tighter = tmp_path / "photograph_child.py"
    tighter.write_text(source.replace(before, f"{name}: Final = {value}"))
    monkeypatch.setattr("evenfire.delivery.records.photographs._CHILD", tighter)
    with pytest.raises(BadAttachment, match="cannot be decoded within the time and memory"):
        written_anew(png_of(8_000, 7_900), "sent.png")


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no limits for a process")
def test_the_decoder_can_write_no_file() -> None:
    program = f"""
import sys
sys.path.insert(0, {str(Path(photograph_child.__file__).parent)!r})
import photograph_child
photograph_child.limit_this_process()
with open(sys.argv[1], "wb", buffering=0) as file:
    file.write(b"x")
"""
    import subprocess
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "file"
        done = subprocess.run([sys.executable, "-c", program, str(path)], capture_output=True)
        assert done.returncode != 0
        assert path.stat().st_size == 0


def test_an_attachment_is_a_private_file_named_by_its_hash(store: Store) -> None:
    content = b"time,steam\n0,1200\n"
    kept = attach_file(store, content, "load\n\x00.csv", "text/csv")
    assert kept.sha256 == hashlib.sha256(content).hexdigest()
    assert (kept.kind, kept.size, kept.name) == ("text/csv", len(content), "load.csv")
    assert attachment(store, kept.sha256) == kept
    assert content_of(store, kept.sha256) == content
    path = file_of(store, kept.sha256)
    assert path.read_bytes() == content
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_a_photograph_is_attached_under_the_hash_of_what_was_written_anew(store: Store) -> None:
    kept = attach_photograph(store, picture(), "IMG 0001.jpg")
    content = content_of(store, kept.sha256)
    assert hashlib.sha256(content).hexdigest() == kept.sha256
    assert SECRET.encode() not in content
    assert opened(content).size == (60, 40)


def test_the_same_content_twice_is_one_attachment_with_its_first_name(store: Store) -> None:
    first = attach_file(store, b"same", "a.txt", "text/plain")
    assert attach_file(store, b"same", "b.txt", "text/plain") == first
    assert orphans(store).files == ()


def test_a_kind_that_is_not_kept_and_a_file_that_is_too_large_are_refused(store: Store) -> None:
    with pytest.raises(BadAttachment, match="text/html is no kind of file that is kept"):
        attach_file(store, b"<script>", "a.html", "text/html")
    with pytest.raises(BadAttachment, match="at most 100 MB"):
        attach_file(store, bytes(LARGEST_ATTACHMENT + 1), "a.bin", "application/octet-stream")
    assert "text/html" not in KINDS


def test_what_is_not_attached_is_told(store: Store) -> None:
    with pytest.raises(BadRequest, match="no attachment"):
        attachment(store, "0" * 64)
    with pytest.raises(BadRequest, match="no attachment"):
        content_of(store, "../../../etc/passwd")


def test_a_changed_and_a_missing_file_are_found_and_never_handed_out(store: Store) -> None:
    whole, changed, gone = (attach_file(store, text, "x", "text/plain") for text in (b"whole", b"changed", b"gone"))
    file_of(store, changed.sha256).write_bytes(b"Changed")
    file_of(store, gone.sha256).unlink()
    found = orphans(store)
    assert (found.files, found.missing, found.damaged) == ((), (gone.sha256,), (changed.sha256,))
    assert content_of(store, whole.sha256) == b"whole"
    for lost in (changed, gone):
        with pytest.raises(BadStore, match="missing or is not what was attached"):
            content_of(store, lost.sha256)
    # Whoever still has the file attaches it again, and it is there as before.
    assert attach_file(store, b"changed", "y", "text/plain") == changed
    assert content_of(store, changed.sha256) == b"changed"


def test_files_without_a_row_are_swept_a_day_later_and_nothing_else(store_place: str, store_folder: Path) -> None:
    now = datetime.now(UTC)
    with Store.open(store_place, folder=store_folder, clock=lambda: now) as store:
        kept = attach_file(store, b"kept", "x", "text/plain")
        for name in ("0" * 64, f".{'1' * 64}.abc.part"):
            stray = store.folder / "attachments" / "00" / name
            stray.parent.mkdir(exist_ok=True)
            stray.write_bytes(b"half")
        assert len(orphans(store).files) == 2
        assert sweep(store) == 0
        day_ago = time.time() - timedelta(days=1, minutes=1).total_seconds()
        for path in (*orphans(store).files, file_of(store, kept.sha256)):
            os.utime(path, (day_ago, day_ago))
        assert sweep(store) == 2
        assert orphans(store).files == ()
        assert content_of(store, kept.sha256) == b"kept"
