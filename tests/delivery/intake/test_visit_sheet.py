"""The sheet that a technician fills in: what changed is taken, once, and nothing else."""

import re
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfire.delivery.intake.visit_sheet import SheetHead, Typist, entries_of, read_sheet, sheet_text
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import DIALS, MANY, ONCE, REPEATED
from evenfire.delivery.visits.folding import folded
from evenfire.errors import BadEntry, BadRequest
from tests.delivery.visits.typing_in import VISIT, entry

AT = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)


def head(number: int = 1) -> SheetHead:
    return SheetHead(
        visit=VISIT, sheet=str(UUID(int=900 + number)), title=("Gull Quay Laundry, boiler No. 1",), told={}
    )


def entered(text: str, stand: Sequence[Entry] = (), minutes: int = 0) -> tuple[Entry, ...]:
    by = Typist(author="tech-1", device="laptop", at=AT + timedelta(minutes=minutes), ambient=None)
    return entries_of(read_sheet(text.encode(), "sheet"), folded(stand), by)


def filled(text: str, table: str, key: str, value: str) -> str:
    """The sheet with one key of the first table of that name filled in."""
    place = text.index(f"[{table}]\n")
    return text[:place] + re.sub(
        rf"^{key} = .*$", lambda _: f"{key} = {value}", text[place:], count=1, flags=re.MULTILINE
    )


def test_an_untouched_sheet_enters_nothing() -> None:
    stand = [
        entry(1, "as_found.high_limit", "140 psi"),
        entry(2, "trip.1.reading.2", "139 psi"),
        entry(3, "note.1.text", 'a "quoted"\nnote \\ here'),
    ]
    assert entered(sheet_text(head(), folded(stand)), stand) == ()


def test_a_filled_field_becomes_one_entry_based_on_what_stood_there() -> None:
    stand = [entry(1, "as_found.high_limit", "140 psi")]
    made = entered(filled(sheet_text(head(), folded(stand)), "as_found", "high_limit", '"145 psi"'))
    assert [(each.path, each.text, each.based_on) for each in made] == [
        ("as_found.high_limit", "145 psi", (stand[0].id,))
    ]


def test_a_field_that_was_emptied_takes_back_what_stood_there() -> None:
    stand = [entry(1, "as_found.high_limit", "140 psi")]
    made = entered(filled(sheet_text(head(), folded(stand)), "as_found", "high_limit", '""'))
    assert folded([*stand, *made]).text("as_found.high_limit") is None


def test_the_same_sheet_entered_twice_is_entered_once() -> None:
    text = filled(sheet_text(head(), folded([])), "as_found", "high_limit", '"145 psi"')
    first = entered(text)
    assert entered(text) == first
    assert entered(text, first, minutes=5) == ()


def test_a_sheet_that_was_entered_is_corrected_and_entered_again_without_a_conflict() -> None:
    text = filled(sheet_text(head(), folded([])), "as_found", "high_limit", '"145 psi"')
    stand = list(entered(text))
    for minutes, value in enumerate(("145.5 psi", "", "145 psi", "145.5 psi"), 1):
        stand += entered(filled(text, "as_found", "high_limit", f'"{value}"'), stand, minutes)
        draft = folded(stand)
        assert not draft.conflicts
        assert draft.text("as_found.high_limit") == (value or None)
    assert len(stand) == 5


def test_what_another_device_entered_meanwhile_is_never_overwritten() -> None:
    text = sheet_text(head(), folded([]))
    stand = [*entered(filled(text, "as_found", "high_limit", '"145 psi"'))]
    stand.append(entry(7, "as_found.high_limit", "150 psi", minute=60))
    stand += entered(filled(text, "as_found", "high_limit", '"146 psi"'), stand, minutes=70)
    assert [each.text for each in folded(stand).conflicts[0].heads] == ["150 psi", "146 psi"]


def test_two_sheets_filled_apart_make_a_conflict_that_the_next_sheet_shows() -> None:
    first = entered(filled(sheet_text(head(1), folded([])), "as_found", "high_limit", '"145 psi"'))
    second = entered(filled(sheet_text(head(2), folded([])), "as_found", "high_limit", '"150 psi"'), minutes=5)
    both = [*first, *second]
    text = sheet_text(head(3), folded(both))
    shown = "TWO VALUES STAND HERE: '145 psi' (laptop, 2026-11-25 15:00 UTC) and '150 psi'"
    assert shown in " ".join(text.replace("\n#", "").split())
    assert entered(text, both) == ()
    settled = entered(filled(text, "as_found", "high_limit", '"150 psi"'), both)
    assert folded([*both, *settled]).text("as_found.high_limit") == "150 psi"


def test_repeats_of_a_test_are_a_list() -> None:
    text = filled(sheet_text(head(), folded([])), "[trip]", "reading", '["139.5 psi", "139 psi", ""]')
    assert [(each.path, each.text) for each in entered(text)] == [
        ("trip.1.reading.1", "139.5 psi"),
        ("trip.1.reading.2", "139 psi"),
    ]


def test_a_photograph_is_named_by_its_file() -> None:
    text = filled(sheet_text(head(), folded([])), "[photo]", "file", '"nameplate.jpg"')
    photos = read_sheet(text.encode(), "sheet").photos
    assert [(each.path, each.text) for each in photos] == [("photo.1.hash", "nameplate.jpg")]


def test_what_cannot_be_read_is_entered_and_the_next_sheet_says_so() -> None:
    made = entered(filled(sheet_text(head(), folded([])), "as_found", "high_limit", '"145"'))
    assert made[0].why_not is not None
    assert "NOT UNDERSTOOD: it has no unit" in sheet_text(head(2), folded(made))


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "no visit sheet"),
        (b"\xff\xfe", "cannot be read"),
        (b'format = "evenfire visit sheet 2"\n', "no visit sheet"),
        (b"a = [" * 3000, "cannot be read"),
        (b"#" * 2_000_000, "2,000,000 bytes"),
    ],
)
def test_what_is_no_sheet_is_refused_in_one_sentence(content: bytes, told: str) -> None:
    with pytest.raises(BadRequest, match=told):
        read_sheet(content, "sheet")


@pytest.mark.parametrize(
    "stray",
    [
        '[proposed]\nhigh_limit = "300 psi"',
        "[as_found]\nhigh = 1",
        "[[trip]]\nwinner = true",
        "[[as_found]]",
        "[trip]",
        '[boiler]\nmawp = "400 psi"',
        "[as_found]\nhigh_limit = 1.5",
        "[as_found]\nhigh_limit = []",
    ],
)
def test_a_field_that_no_person_may_fill_in_is_refused(stray: str) -> None:
    sheet = f'format = "evenfire visit sheet 1"\nvisit = "{VISIT}"\nsheet = "{UUID(int=7)}"\n{stray}\n[written_from]\n'
    with pytest.raises((BadEntry, BadRequest)):
        read_sheet(sheet.encode(), "sheet")


PATHS = [
    *(f"{table}.{key}" for table, keys in ONCE.items() if table != "proposed" for key in keys),
    *(
        f"{table}.{row}.{key}"
        for table, keys in MANY.items()
        for row in (1, 3)
        for key in keys
        if table not in {"move", "photo"}
    ),
    *(f"trip.{row}.{key}.{repeat}" for row in (1, 2) for key in REPEATED["trip"] for repeat in (1, 5)),
]
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=30)


@settings(max_examples=60)
@given(st.dictionaries(st.sampled_from(PATHS), TEXTS, max_size=12))
def test_any_text_in_any_field_survives_the_sheet(texts: dict[str, str]) -> None:
    stand = [entry(number, path, text) for number, (path, text) in enumerate(texts.items(), 1)]
    assert entered(sheet_text(head(), folded(stand)), stand) == ()


def test_every_dial_of_a_plant_file_stands_on_the_sheet_as_found_and_as_left() -> None:
    text = sheet_text(head(), folded([]))
    assert all(len(re.findall(rf"^{dial} = ", text, re.MULTILINE)) == 2 for dial in DIALS)
