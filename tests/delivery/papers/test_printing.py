"""Every paper as a file: archive form, the same bytes for the same data, and no text is anything but text."""

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf.generic import DictionaryObject

from evenfire.delivery.papers.content import Paper, PaperSize
from evenfire.delivery.papers.printing import pages_of, pictured, printed
from tests.delivery.papers.filled import FINGERPRINT, RECORD, SIGNED, due, visit
from tests.delivery.papers.pages import Box, boxes, outside, overlapping, reader, size_in_points, text_of
from tests.delivery.papers.settled import card, settled_text, sheet

HOSTILE = (
    '#read("/etc/passwd")',
    "*bold* _it_ `raw` ~ -- --- ... 'one' \"two\"",
    "$ x^2 $ ] } ) [ { ( #let x = 1",
    "\\u{41} \\ // a /* b */ @see <label> = Title",
    "<b>&amp;</b> %PDF-1.7 ${HOME} {{ 7 * 7 }}",
)
PAPERS: tuple[str, ...] = ("card", "sheet", "visit", "due")


def paper(name: str) -> Paper:
    if name == "card":
        return card("laundry")
    if name == "sheet":
        return sheet("laundry")
    return visit() if name == "visit" else due()


def filled(name: str, text: str) -> Paper:
    return visit(text) if name == "visit" else due(text)


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_says_of_itself_that_it_is_an_archive_file_that_can_be_read_aloud(name: str) -> None:
    """ISO 19005-2 level A and ISO 14289-1 by their identifiers in the metadata (P: read back by pypdf)."""
    found = reader(printed(paper(name), PaperSize.LETTER))
    metadata = found.xmp_metadata
    assert metadata is not None
    assert metadata.pdfaid_part == "2"
    assert metadata.pdfaid_conformance == "A"
    assert "<pdfuaid:part>1</pdfuaid:part>" in metadata.stream.get_data().decode("utf-8")
    root = found.trailer["/Root"].get_object()
    assert isinstance(root, DictionaryObject)
    assert "/StructTreeRoot" in root
    assert str(root["/Lang"]) == "en"


@pytest.mark.parametrize("name", PAPERS)
def test_every_font_of_a_paper_travels_with_it(name: str) -> None:
    for page in reader(printed(paper(name), PaperSize.A4)).pages:
        resources = page["/Resources"].get_object()
        assert isinstance(resources, DictionaryObject)
        fonts = resources["/Font"].get_object()
        assert isinstance(fonts, DictionaryObject)
        for each in fonts.values():
            inside = each.get_object()["/DescendantFonts"][0].get_object()
            descriptor = inside["/FontDescriptor"].get_object()
            assert "DejaVuSans" in descriptor["/FontName"]
            assert {"/FontFile2", "/FontFile3"} & set(descriptor)


@pytest.mark.parametrize("name", PAPERS)
def test_the_same_content_is_printed_to_the_same_bytes(name: str) -> None:
    content = paper(name)
    assert printed(content, PaperSize.LETTER) == printed(content, PaperSize.LETTER)


def test_another_hash_seed_and_another_time_zone_change_no_byte_of_a_sheet(tmp_path: Path) -> None:
    plant = tmp_path / "laundry.toml"
    plant.write_text(settled_text("laundry"), encoding="utf-8")
    contents = []
    for seed, zone in (("1", "Pacific/Kiritimati"), ("2", "America/Anchorage")):
        output = tmp_path / f"{seed}.pdf"
        command = [sys.executable, "-m", "evenfire", "sheet", str(plant), "-o", str(output)]
        subprocess.run(command, check=True, env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone})
        contents.append(output.read_bytes())
    assert contents[0] == contents[1]


def test_the_date_of_the_file_is_that_of_the_data_and_not_of_today() -> None:
    found = reader(printed(visit(), PaperSize.LETTER))
    assert found.metadata is not None
    assert str(found.metadata["/CreationDate"]).startswith("D:20261125")


@pytest.mark.parametrize("name", ["visit", "due"])
@pytest.mark.parametrize("size", PaperSize)
@pytest.mark.parametrize("text", ["", "W" * 200, "Every word of a long note about what was seen. " * 10, *HOSTILE])
def test_no_text_leaves_its_page_or_covers_another_whatever_people_type(name: str, size: PaperSize, text: str) -> None:
    content = printed(filled(name, text), size)
    assert not outside(content)
    assert not overlapping(content)


@pytest.mark.parametrize("text", HOSTILE)
def test_what_looks_like_markup_is_printed_as_it_was_typed(text: str) -> None:
    for content in (visit(text), due(text)):
        assert " ".join(text.split()) in text_of(printed(content, PaperSize.LETTER))


@pytest.mark.parametrize("text", HOSTILE)
def test_a_card_prints_a_hostile_name_as_a_name(text: str) -> None:
    content = card("laundry")
    named = replace(content, head=replace(content.head, site=text))
    found = text_of(printed(named, PaperSize.LETTER))
    assert " ".join(text.split()) in found
    assert "root:" not in found


def test_letters_that_no_font_has_are_told_and_not_dropped() -> None:
    told = "Some characters could not be printed."
    assert told in text_of(printed(due("Kessel \u5b66\u6821 \U0001f525 \ue000"), PaperSize.A4))
    assert told not in text_of(printed(due("K\u00e4sereikessel \u0141\u00f3d\u017a"), PaperSize.A4))


def test_a_signed_paper_shows_signer_record_and_key_and_an_unsigned_one_says_so() -> None:
    signed = text_of(printed(visit(), PaperSize.LETTER)).replace(" ", "")
    for shown in (SIGNED.signer, SIGNED.licence, SIGNED.signed_at, RECORD, FINGERPRINT):
        assert shown.replace(" ", "") in signed
    assert "NOT SIGNED." in text_of(printed(sheet("laundry"), PaperSize.LETTER))


def test_a_change_that_is_still_open_and_a_move_that_was_not_made_stand_out() -> None:
    text = text_of(printed(visit("a note"), PaperSize.LETTER))
    assert "STILL OPEN" in text
    assert "NOT DONE" in text
    assert "as left is not as proposed" in text
    assert "OVERDUE" in text_of(printed(due(), PaperSize.LETTER))


def test_a_list_of_nothing_says_so() -> None:
    assert "Nothing is due." in text_of(printed(replace(due(), lines=()), PaperSize.LETTER))


@pytest.mark.parametrize(("size", "points"), [(PaperSize.LETTER, (612.0, 792.0)), (PaperSize.A4, (595.28, 841.89))])
def test_a_page_is_of_the_size_that_was_asked_for(size: PaperSize, points: tuple[float, float]) -> None:
    """8.5 x 11 in, and 210 x 297 mm by ISO 216 (from memory)."""
    assert size_in_points(printed(due(), size)) == pytest.approx(points, abs=0.01)


def test_pages_are_counted_as_another_library_counts_them() -> None:
    for content in (visit("A long note. " * 200), due()):
        assert pages_of(content, PaperSize.A4) == len(reader(printed(content, PaperSize.A4)).pages)


def test_a_picture_of_a_page_is_a_png() -> None:
    assert all(page.startswith(b"\x89PNG") for page in pictured(due(), PaperSize.LETTER, 40.0))


def test_the_reading_of_boxes_would_see_one_on_another_and_one_beside_it() -> None:
    box = Box(page=0, text="a", size=10, base=2, left=0, right=50, foot=0, head=10)
    assert box.overlaps(replace(box, left=40, right=90))
    assert box.overlaps(replace(box, base=8, foot=6, head=16))
    assert not box.overlaps(replace(box, left=50, right=90))
    assert not box.overlaps(replace(box, page=1))
    assert any(
        each.text == "Due list" and each.size == pytest.approx(19) for each in boxes(printed(due(), PaperSize.A4))
    )


@pytest.mark.parametrize("size", PaperSize)
def test_a_long_state_leaves_the_name_on_every_page_whole(size: PaperSize) -> None:
    state = "AS FOUND 2026-11-25: A RECORD, NO ADVICE. DO NOT FIRE IT LIKE THIS, SIGNED. AMENDED. SIGNER NOT KNOWN HERE"
    content = visit()
    content = replace(content, head=replace(content.head, state=state))
    paper = printed(content, size)
    shown = [" ".join(page.extract_text().split()) for page in reader(paper).pages]
    assert len(shown) > 1
    assert all(page.startswith(f"Gull Quay Laundry, No. 1 {state}") for page in shown)
    assert not outside(paper)
    assert not overlapping(paper)
