"""``visit report``, ``sheet --visit`` and ``card --visit`` as a person types them: the file, the sentence, the exit."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.delivery.acts.on_visit import FOUND, WHOLE, Call, new_store, opened

CLEAR, STOP, BAD_INPUT, DOES_NOT_VERIFY = 0, 1, 2, 5
"""Exit codes, as the design of the commands names them."""


def evenfire(*words: str, **around: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "evenfire", *words]
    return subprocess.run(command, capture_output=True, text=True, env={**os.environ, "COLUMNS": "80", **around})


@pytest.fixture(scope="module")
def signed(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """Place of a store, and the visit that is signed in it; nobody wrote down when he or she arrived."""
    folder = tmp_path_factory.mktemp("signed")
    place = folder / "store" / "store.sqlite"
    with new_store(place) as store:
        call = Call(store, folder, opened(store, folder))
        untimed = {**FOUND, "call.arrived": ""}
        call.enter(untimed)
        call.settled()
        call.enter({**untimed, **WHOLE})
        call.signed()
    return str(place), call.visit


def test_report_sheet_and_card_of_a_signed_visit_are_written(signed: tuple[str, str], tmp_path: Path) -> None:
    store, visit = signed
    for words, told in (
        (("visit", "report", visit[:8]), "visit report. SIGNED VISIT OF 2026-11-25."),
        (("sheet", "--visit", visit[:8]), "settings sheet. AS LEFT 2026-11-25, SIGNED."),
        (("card", "--visit", visit[:8], "--paper", "a4"), "operator card. AS LEFT 2026-11-25, SIGNED."),
    ):
        output = tmp_path / f"{words[0]}.pdf"
        done = evenfire(*words, "--store", store, "-o", str(output))
        assert done.returncode == CLEAR, done.stderr
        assert done.stdout == f"Wrote {output}: {told}\n"
        assert len(PdfReader(output).pages) >= 1


@pytest.mark.parametrize("words", [("visit", "report"), ("sheet", "--visit"), ("card", "--visit")])
def test_another_hash_seed_and_another_time_zone_change_no_byte(
    signed: tuple[str, str], tmp_path: Path, words: tuple[str, ...]
) -> None:
    store, visit = signed
    contents = []
    for seed, zone in (("1", "Pacific/Kiritimati"), ("2", "America/Anchorage")):
        output = tmp_path / f"{seed}.pdf"
        done = evenfire(*words, visit, "--store", store, "-o", str(output), PYTHONHASHSEED=seed, TZ=zone)
        assert done.returncode == CLEAR, done.stderr
        contents.append(output.read_bytes())
    assert contents[0] == contents[1]


def test_a_signed_visit_that_is_shown_names_its_papers(signed: tuple[str, str]) -> None:
    store, visit = signed
    done = evenfire("visit", "show", visit, "--store", store)
    assert f"evenfire visit report {visit[:8]}" in " ".join(done.stdout.split())


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ((), "Name a plant file, or a visit of the store with --visit ID: one of the two."),
        (("plant.toml", "--visit", "1234"), "one of the two"),
        (("--visit", "1234", "--boiler", "No. 1"), "A visit is at one boiler"),
        (("--visit", "ffff0000"), "There is no visit 'ffff0000'"),
    ],
)
def test_what_cannot_be_meant_is_said_in_one_sentence(
    signed: tuple[str, str], tmp_path: Path, options: tuple[str, ...], told: str
) -> None:
    for command in ("sheet", "card"):
        done = evenfire(command, *options, "--store", signed[0], "-o", str(tmp_path / "paper.pdf"))
        assert done.returncode == BAD_INPUT
        assert told in done.stderr
        assert not (tmp_path / "paper.pdf").exists()


def test_a_report_of_a_record_that_does_not_verify_ends_with_five(signed: tuple[str, str], tmp_path: Path) -> None:
    store = tmp_path / "store.sqlite"
    with sqlite3.connect(signed[0]) as whole, sqlite3.connect(store) as copy:
        whole.backup(copy)
        copy.execute("update records set content = replace(content, '141 psi', '149 psi')")
    done = evenfire("visit", "report", signed[1], "--store", str(store), "-o", str(tmp_path / "report.pdf"))
    assert done.returncode == DOES_NOT_VERIFY
    assert "DOES NOT VERIFY" in done.stderr
    assert not (tmp_path / "report.pdf").exists()


def test_the_report_of_an_open_visit_ends_as_the_visit_stands(tmp_path: Path) -> None:
    place = tmp_path / "store" / "store.sqlite"
    with new_store(place) as store:
        call = Call(store, tmp_path, opened(store, tmp_path))
        call.enter({**FOUND, "as_left.high_limit": "152 psi"})
    output = tmp_path / "report.pdf"
    done = evenfire("visit", "report", "--store", str(place), "-o", str(output), "--units", "si")
    assert done.returncode == STOP, done.stderr
    assert "NOT SIGNED: AN OPEN VISIT" in done.stdout
    assert float(PdfReader(output).pages[0].mediabox.width) == pytest.approx(595.28, abs=0.01)
