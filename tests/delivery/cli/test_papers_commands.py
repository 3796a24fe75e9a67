"""``evenfire sheet`` and ``evenfire card`` as a person types them: the file, the sentence, the exit code."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.delivery.papers.settled import settled_text
from tests.surveys import EXAMPLES

CLEAR, STOP, BAD_INPUT, NOT_JUDGED = 0, 1, 2, 4
"""Exit codes, as the design of the commands names them."""


def evenfire(*words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "evenfire", *words]
    return subprocess.run(command, capture_output=True, text=True, env={**os.environ, "COLUMNS": "80"})


@pytest.fixture
def laundry(tmp_path: Path) -> Path:
    path = tmp_path / "laundry.toml"
    path.write_text(settled_text("laundry"), encoding="utf-8")
    return path


@pytest.mark.parametrize(("units", "width"), [("us", 612.0), ("si", 595.28)])
def test_a_card_is_written_on_the_paper_that_goes_with_the_units(laundry: Path, units: str, width: float) -> None:
    output = laundry.with_suffix(".pdf")
    done = evenfire("card", str(laundry), "-o", str(output), "--units", units)
    assert done.returncode == CLEAR, done.stderr
    assert done.stdout == f"Wrote {output}: operator card. PROPOSED: NOT SET YET.\n"
    page = PdfReader(output).pages[0]
    assert float(page.mediabox.width) == pytest.approx(width, abs=0.01)


def test_another_paper_may_be_asked_for(laundry: Path) -> None:
    output = laundry.with_suffix(".pdf")
    assert evenfire("card", str(laundry), "-o", str(output), "--paper", "a4").returncode == CLEAR
    assert float(PdfReader(output).pages[0].mediabox.width) == pytest.approx(595.28, abs=0.01)


def test_a_record_of_what_must_not_be_fired_is_written_and_ends_as_a_stop(tmp_path: Path) -> None:
    plant, output = str(EXAMPLES / "school-by-dial.toml"), tmp_path / "record.pdf"
    done = evenfire("sheet", plant, "-o", str(output))
    assert done.returncode == STOP
    assert "DO NOT FIRE IT LIKE THIS" in done.stdout
    assert output.exists()


def test_a_refused_card_leaves_no_file_and_ends_as_a_stop(tmp_path: Path) -> None:
    plant, output = str(EXAMPLES / "school-by-dial.toml"), tmp_path / "card.pdf"
    done = evenfire("card", plant, "-o", str(output))
    assert done.returncode == STOP
    assert done.stderr.startswith("evenfire: No operator card was written")
    assert not output.exists()


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--settings", "as-left"), "no settings as left"),
        (("--boiler", "No. 9"), "no boiler 'No. 9'"),
        (("--countersigned-by", "nobody"), "NAME, LICENCE"),
    ],
)
def test_what_cannot_be_used_is_said_in_one_sentence(laundry: Path, options: tuple[str, ...], told: str) -> None:
    done = evenfire("sheet", str(laundry), "-o", str(laundry.with_suffix(".pdf")), *options)
    assert done.returncode == BAD_INPUT
    assert told in done.stderr


def test_a_place_that_cannot_be_written_is_told(laundry: Path) -> None:
    done = evenfire("card", str(laundry), "-o", str(laundry.parent / "nowhere" / "card.pdf"))
    assert done.returncode == BAD_INPUT
    assert "cannot be written" in done.stderr


def test_a_stop_rule_without_an_answer_ends_with_four_signed_for_or_not(laundry: Path) -> None:
    text = (EXAMPLES / "laundry.toml").read_text(encoding="utf-8")
    laundry.write_text(text.replace("jumpers = []\n", ""), encoding="utf-8")
    output = laundry.with_suffix(".pdf")
    assert evenfire("card", str(laundry), "-o", str(output)).returncode == NOT_JUDGED
    assert not output.exists()
    done = evenfire("card", str(laundry), "-o", str(output), "--countersigned-by", "Imke Tarrow, HB-2214")
    assert done.returncode == NOT_JUDGED
    assert output.exists()
