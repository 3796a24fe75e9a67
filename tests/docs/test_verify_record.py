"""The verifier in the documents shares no code with ours; on every file, good or bad, both come to one answer."""

import json
import random
import runpy
import subprocess
import sys
from pathlib import Path

import pytest

from evenfire.delivery.records.canonical import Content, canonical_bytes
from evenfire.delivery.records.container import CONTAINER_FORMAT, LARGEST_FILE, MOST_RECORDS, container_bytes
from evenfire.delivery.records.json_places import DEEPEST, MOST_VALUES
from evenfire.delivery.records.key_files import ASSUMED_ROUNDS
from evenfire.delivery.records.record import (
    DEEPEST_CONTENT,
    DOMAIN,
    LONGEST_TEXT,
    MOST_PARENTS,
    MOST_VALUES_IN_CONTENT,
    RECORD_FORMAT,
)
from evenfire.delivery.records.sealing import sealed
from evenfire.delivery.records.verification import Known
from evenfire.delivery.records.verifying import take_file
from tests.delivery.records.signed_examples import ADA, BEN, container, history
from tests.delivery.records.test_container import FILE, ODD_FILES
from tests.delivery.records.test_verifying import CASES

SCRIPT = Path(__file__).parents[2] / "docs" / "verify_record.py"
THEIR_MAIN = runpy.run_path(str(SCRIPT))["main"]
UNCHANGED, CHANGED = 0, 5
# The limits of size are ours: a reader that has the memory may read on.
WITHOUT_LIMITS = {name: data for name, (data, *_) in ODD_FILES.items() if len(data) < MOST_VALUES}


def answers(data: bytes, folder: Path) -> tuple[int, int]:
    """Theirs and ours."""
    file = folder / "records.json"
    file.write_bytes(data)
    ours = UNCHANGED if take_file(data, Known()).verification.is_unchanged else CHANGED
    return int(THEIR_MAIN(str(file))), ours


def test_it_runs_by_itself_and_names_who_signed(tmp_path: Path) -> None:
    file = tmp_path / "records.json"
    file.write_bytes(FILE)
    done = subprocess.run([sys.executable, "-I", str(SCRIPT), str(file)], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (UNCHANGED, "")
    assert f"Ada Field {ADA.public.fingerprint}" in done.stdout
    assert f"Ben Marsh {BEN.public.fingerprint}" in done.stdout
    file.write_bytes(FILE.replace(b"misread", b"misraed"))
    done = subprocess.run([sys.executable, "-I", str(SCRIPT), str(file)], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (CHANGED, "")
    assert history()[-1].id in done.stdout


def test_it_needs_the_standard_library_and_cryptography_only() -> None:
    lines = SCRIPT.read_text(encoding="utf-8").splitlines()
    packages = {line.split()[1].split(".")[0] for line in lines if line.startswith(("import ", "from "))}
    assert packages - set(sys.stdlib_module_names) == {"cryptography"}


def test_both_find_an_untouched_file_unchanged(tmp_path: Path) -> None:
    assert answers(FILE, tmp_path) == (UNCHANGED, UNCHANGED)


@pytest.mark.parametrize("name", CASES)
def test_both_find_what_was_done_to_the_records(name: str, tmp_path: Path) -> None:
    assert answers(container_bytes(CASES[name][0]()), tmp_path) == (CHANGED, CHANGED)


SHAPES: dict[str, dict[str, Content]] = {
    "a key more": {"note": "x"},
    "another format": {"format": "evenfire.record/2"},
    "another kind": {"kind": "reading"},
    "parents out of order": {"parents": sorted((record.id for record in history()[1:3]), reverse=True)},
    "a parent twice": {"parents": [history()[1].id] * 2},
    "a visit that amends": {"body": {"amends": history()[1].id}},
    "an amendment of nothing": {"kind": "amendment"},
    "a signer without a licence": {"signer": {"name": "Ada Field", "role": "x", "key": ADA.public.hex}},
    "a day that never was": {"signed_at": "2026-02-30T09:30:00Z"},
}


@pytest.mark.parametrize("name", SHAPES)
def test_both_refuse_what_is_signed_well_and_has_another_shape(name: str, tmp_path: Path) -> None:
    content = json.loads(history()[3].content) | SHAPES[name]
    odd = sealed(canonical_bytes(content), ADA)
    whole = json.loads(FILE)
    whole["records"] = [record for record in whole["records"] if record["id"] in {each.id for each in history()[:3]}]
    whole["records"].append(
        {"content": content, "id": odd.id, "signature": {"key": odd.fingerprint, "value": odd.signature}}
    )
    whole["records"].sort(key=lambda record: record["id"])
    assert answers(canonical_bytes(whole), tmp_path) == (CHANGED, CHANGED)


def test_both_refuse_a_record_with_something_beside_its_content(tmp_path: Path) -> None:
    whole = json.loads(FILE)
    whole["records"][0]["note"] = "x"
    assert answers(canonical_bytes(whole), tmp_path) == (CHANGED, CHANGED)


@pytest.mark.parametrize("name", WITHOUT_LIMITS)
def test_both_refuse_the_same_odd_files(name: str, tmp_path: Path) -> None:
    assert answers(WITHOUT_LIMITS[name], tmp_path) == (CHANGED, CHANGED)


def test_both_find_a_changed_byte_in_sixty_places(tmp_path: Path) -> None:
    see_agreement(60, tmp_path)


@pytest.mark.soak
def test_both_find_a_changed_byte_in_two_thousand_places(tmp_path: Path) -> None:
    see_agreement(2000, tmp_path)


def see_agreement(count: int, folder: Path) -> None:
    places = random.Random(20261126)
    whole = container_bytes(container(history()))
    for _ in range(count):
        place = places.randrange(len(whole))
        other = places.choice([value for value in range(256) if value != whole[place]])
        data = whole[:place] + bytes([other]) + whole[place + 1 :]
        assert answers(data, folder) == (CHANGED, CHANGED), f"byte {place} as {other}"


def test_the_page_states_the_limits_that_hold() -> None:
    page = " ".join((SCRIPT.parent / "record-format.md").read_text(encoding="utf-8").split())
    for stated in (
        f"At most {LARGEST_FILE:,} bytes, {MOST_RECORDS:,} records, {DEEPEST} levels and {MOST_VALUES:,} values",
        f"at most {DEEPEST_CONTENT} levels deep and holds at most {MOST_VALUES_IN_CONTENT:,} values",
        f"at most {MOST_PARENTS};",
        f"at most {LONGEST_TEXT} characters",
        f"{ASSUMED_ROUNDS:,} rounds",
        f'"{RECORD_FORMAT}"',
        f'"{CONTAINER_FORMAT}"',
        f"`{DOMAIN.decode().strip()}` and a line feed ({len(DOMAIN)} bytes together)",
    ):
        assert stated in page, stated
