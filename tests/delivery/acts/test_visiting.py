"""A visit from opening to the proposal, through the acts, on a store of its own."""

import re
from datetime import timedelta
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from evenfire.delivery.acts import visiting
from evenfire.delivery.acts.judging_visit import judged
from evenfire.delivery.records import surveys
from evenfire.delivery.records.attachments import content_of
from evenfire.delivery.records.registers import find_person
from evenfire.delivery.report.store_text import store_text
from evenfire.delivery.report.visit_text import entered_text, opened_text, visit_text
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import AtVisit, EnteredSheet
from evenfire.delivery.visits.standing import Bar, Flag
from evenfire.errors import BadAttachment, BadEntry, BadRequest
from tests.delivery.acts.on_visit import EXAMPLES, FOUND, LAUNDRY, QUILL, READER, WRITER, Call, Clock, new_store, opened

READ_TODAY = LAUNDRY.replace("read_on = 2026-11-03", "read_on = 2026-11-25")


def as_one_line(text: str) -> str:
    return " ".join(text.split())


def texts(call: Call, start: str) -> dict[str, str]:
    """What stands under a table."""
    fold = visiting.at_visit(call.store, call.visit).fold
    return {path: text for path in fold.fields if path.startswith(start) and (text := fold.text(path))}


def test_readings_of_today_in_the_plant_file_need_not_be_typed_again(tmp_path: Path) -> None:
    with new_store(tmp_path / "store.sqlite") as store:
        call = Call(store, tmp_path, opened(store, tmp_path, READ_TODAY))
        # As the file has them; read_on itself is no field of a visit.
        assert texts(call, "as_found.") == {
            "as_found.operating_limit": "120 psi",
            "as_found.operating_limit_differential": "8 psi",
            "as_found.high_limit": "140 psi",
            "as_found.firing_rate": "110 psi",
            "as_found.firing_rate_differential": "15 psi",
            "as_found.low_fire_hold": "60 psi",
            "as_found.switch": "automatic",
        }, "a bypass, and resets without a cause, have to be looked at on the call"
        assert {each.device for each in visiting.at_visit(store, call.visit).entries} == {"plant file"}


def test_readings_of_another_day_are_not_found_on_this_visit(call: Call) -> None:
    assert texts(call, "as_found.") == {}
    at = visiting.at_visit(call.store, call.visit)
    assert at.surveyed.as_found is None, "what an old file says is not what was read today"


def test_opening_tells_what_was_taken_and_a_visit_that_is_open_already(call: Call, tmp_path: Path) -> None:
    plant = tmp_path / "newer.toml"
    plant.write_text(LAUNDRY.replace("turndown = 4", "turndown = 5"), encoding="utf-8")
    done = visiting.open_visit(call.store, find_person(call.store, QUILL), plant=plant, boiler=None)
    told = as_one_line(opened_text(done, Path("s.toml"), UnitSystem.US, 80))
    assert "its new survey: 1 keys differ" in told
    assert f"ANOTHER VISIT IS OPEN AT THIS BOILER: Visit {call.visit[:8]}, opened 2026-11-25 15:00 UTC" in told
    assert "evenfire visit enter s.toml" in told


@pytest.mark.parametrize(
    ("name", "told"),
    [
        (READER, f"{READER} may read this store and nothing else"),
        ("Nobody Here", "no person 'Nobody Here'"),
        (None, f"Say who you are with --by. The store knows {QUILL}, {WRITER}"),
    ],
)
def test_who_may_not_write_or_is_not_known_opens_and_enters_nothing(call: Call, name: str | None, told: str) -> None:
    with pytest.raises(BadRequest, match=re.escape(told)):
        visiting.person_named(call.store, name)


def test_who_may_write_enters_a_sheet_under_his_own_name(call: Call) -> None:
    call.enter(FOUND, by=WRITER)
    at = visiting.at_visit(call.store, call.visit)
    assert {at.people[each.author] for each in at.entries} == {WRITER}


def test_a_sheet_is_corrected_and_entered_again_without_a_conflict(call: Call) -> None:
    first = call.enter({**FOUND, "as_found.high_limit": "140"})
    assert len(first.new) == len(FOUND)
    told = as_one_line(entered_text(first, UnitSystem.US, 80))
    assert "UNREAD as_found.high_limit: '140': it has no unit" in told
    assert Bar.UNREADABLE in {each.bar for each in first.judged.bars}
    second = call.enter(FOUND)
    assert [each.entry.path for each in second.new] == ["as_found.high_limit"]
    assert call.enter(FOUND).new == ()
    assert "Nothing new to enter." in entered_text(call.enter(FOUND), UnitSystem.US, 80)
    assert texts(call, "as_found.high_limit") == {"as_found.high_limit": "140 psi"}


def test_two_sheets_filled_apart_stand_side_by_side_until_one_is_chosen(call: Call) -> None:
    call.enter(FOUND)
    apart = call.enter({"as_found.high_limit": "150 psi"}, device="phone")
    assert Bar.TWO_VALUES in {each.bar for each in apart.judged.bars}
    assert apart.judged.at.surveyed.as_found is not None
    assert apart.judged.at.surveyed.as_found.settings.high_limit is None, "neither of the two is taken for true"
    assert "Two values stand in as_found.high_limit." in as_one_line(visit_text(apart.judged, UnitSystem.US, 80))
    sheet = call.sheet()
    assert "TWO VALUES STAND HERE: '140 psi'" in as_one_line(sheet.replace("\n# ", " "))
    place = sheet.index("[as_found]")
    done = call.enter_text(sheet[:place] + sheet[place:].replace('high_limit = ""', 'high_limit = "150 psi"', 1))
    assert Bar.TWO_VALUES not in {each.bar for each in done.judged.bars}
    assert texts(call, "as_found.high_limit") == {"as_found.high_limit": "150 psi"}


def test_a_photograph_is_kept_under_the_hash_of_what_was_kept(call: Call) -> None:
    picture = BytesIO()
    Image.new("RGB", (40, 30), (200, 30, 30)).save(picture, "JPEG")
    (call.folder / "plate.jpg").write_bytes(picture.getvalue())
    entered = call.enter({"photo.1.file": "plate.jpg", "photo.1.shows": "the nameplate"})
    (photo,) = entered.judged.at.visit.photos
    kept = content_of(call.store, photo.hash)
    assert sha256(kept).hexdigest() == photo.hash
    assert Image.open(BytesIO(kept)).size == (40, 30)
    assert photo.shows == "the nameplate"


@pytest.mark.parametrize("content", [None, b"no picture at all"])
def test_a_photograph_that_cannot_be_kept_keeps_the_whole_sheet_out(call: Call, content: bytes | None) -> None:
    if content is not None:
        (call.folder / "plate.jpg").write_bytes(content)
    with pytest.raises(BadAttachment, match=r"plate\.jpg"):
        call.enter({**FOUND, "photo.1.file": "plate.jpg"})
    assert visiting.at_visit(call.store, call.visit).entries == ()


def test_a_field_that_a_visit_does_not_have_keeps_the_whole_sheet_out(call: Call) -> None:
    with pytest.raises(BadEntry, match=r"as_found\.high_limit"):
        call.enter({**FOUND, "as_found.high_limits": "140 psi"})
    assert visiting.at_visit(call.store, call.visit).entries == ()


def test_a_sheet_of_a_visit_that_is_not_here_is_refused(call: Call) -> None:
    call.visit = "00000000-0000-4000-8000-000000000000"
    with pytest.raises(BadRequest, match="no visit"):
        call.enter(FOUND)


def test_a_proposal_stands_in_the_visit_with_its_moves_and_can_be_traced(settled: Call) -> None:
    at = visiting.at_visit(settled.store, settled.visit)
    assert at.visit.proposed is not None
    assert at.visit.proposed.plant_revision == at.plant_file.revision
    assert not judged(settled.store, at).is_stale
    # What `settle` does to this plant (README): the operating limit up, its differential wider.
    words = [move.words for move in at.visit.moves]
    assert words[0].startswith("Operating-limit set point: up from 120 psi")
    assert words[1].startswith("Operating-limit differential: wider from 8 psi")
    assert any("Prove the high limit" in each for each in words)
    assert all(each.author == find_person(settled.store, QUILL).id for each in at.entries)


def test_a_dial_read_again_makes_the_proposal_stale_until_it_is_settled_again(settled: Call) -> None:
    entered = settled.enter({**FOUND, "as_found.operating_limit": "124 psi"})
    assert entered.judged.is_stale
    assert Flag.PROPOSAL_STALE in {each.flag for each in entered.judged.flags}
    settled.settled()
    assert not settled.judged().is_stale


def test_settling_again_takes_back_the_ticks_of_moves_that_changed_and_keeps_the_others(settled: Call) -> None:
    first = settled.judged().at.visit.moves
    sheet = settled.sheet()
    for row in (1, 2):
        sheet = sheet.replace('done_at = ""', f'done_at = "2026-11-25 11:0{row}"', 1)
    settled.enter_text(sheet)
    assert [move.row for move in settled.judged().at.visit.moves if move.done_at is not None] == [1, 2]
    settled.enter({**FOUND, "as_found.operating_limit": "124 psi"})
    settled.settled()
    moves = settled.judged().at.visit.moves
    assert moves[0].words != first[0].words, "the dial begins elsewhere now"
    ticked = {move.row for move in moves if move.done_at is not None}
    assert ticked == {row for row in (1, 2) if moves[row - 1].words == first[row - 1].words}


def test_settling_again_with_nothing_changed_enters_nothing(settled: Call) -> None:
    before = visiting.at_visit(settled.store, settled.visit).entries
    assert settled.settled().is_entered
    assert visiting.at_visit(settled.store, settled.visit).entries == before


def test_a_tick_on_an_old_sheet_never_lands_on_another_move(settled: Call) -> None:
    sheet = settled.sheet()
    settled.enter({**FOUND, "as_found.operating_limit": "124 psi"})
    settled.settled()
    with pytest.raises(BadRequest, match="Move 1 is another one now"):
        settled.enter_text(sheet.replace('done_at = ""', 'done_at = "2026-11-25 11:01"', 1))
    assert settled.judged().at.visit.moves[0].done_at is None


def test_a_proposal_made_on_two_devices_at_once_is_settled_by_the_next(settled: Call) -> None:
    """Two sets of moves for two readings: what differs is a conflict, and a third settle leaves none."""
    at = visiting.at_visit(settled.store, settled.visit)
    settled.enter({**FOUND, "as_found.operating_limit": "124 psi"})
    moved = visiting.at_visit(settled.store, settled.visit)
    by = find_person(settled.store, QUILL)
    visiting.settle_visit(settled.store, moved, by, UnitSystem.US)
    # The other device settled with new readings too, from what it had seen before.
    stale = AtVisit(
        draft=at.draft,
        boiler=at.boiler,
        survey=at.survey,
        plant_file=visiting.as_this_visit_found_it(at.survey.plant_file(), at.boiler.name, moved.visit),
        entries=at.entries,
        visit=at.visit,
        people=at.people,
    )
    visiting.settle_visit(settled.store, stale, by, UnitSystem.SI)
    assert settled.judged().at.visit.conflicts
    # In the words of the last of the two: what stands last in a conflict is chosen by being written again.
    visiting.settle_visit(settled.store, visiting.at_visit(settled.store, settled.visit), by, UnitSystem.SI)
    assert not settled.judged().at.visit.conflicts
    assert not settled.judged().is_stale


def test_a_signed_visit_takes_no_entry_and_no_proposal(ready: Call) -> None:
    ready.signed()
    with pytest.raises(BadRequest, match="signed"):
        ready.enter({"note.1.text": "one more thing"})
    with pytest.raises(BadRequest, match="signed"):
        ready.settled()


def test_the_only_open_visit_is_found_and_of_several_one_has_to_be_named(call: Call, clock: Clock) -> None:
    assert visiting.at_visit(call.store, None).draft.id == call.visit
    assert visiting.at_visit(call.store, call.visit[:8]).draft.id == call.visit
    clock.now += timedelta(minutes=5)
    other = call.again()
    with pytest.raises(BadRequest, match="2 visits are open"):
        visiting.at_visit(call.store, None)
    assert [at.draft.id for at in visiting.open_visits(call.store)] == [other.visit, call.visit]


def test_the_lock_before_the_first_move_and_what_to_watch_reach_the_sheet_under_the_numbers_of_settle(
    tmp_path: Path,
) -> None:
    """The board mill has to be locked out first; `settle` numbers that 0, and what follows refers to it."""
    with new_store(tmp_path / "store.sqlite") as store:
        mill = (EXAMPLES / "board-mill.toml").read_text("utf-8")
        call = Call(store, tmp_path, opened(store, tmp_path, mill.replace("2026-09-21", "2026-11-25")))
        done = call.settled()
        moves = call.judged().at.visit.moves
        assert [move.row for move in moves] == list(range(len(moves)))
        assert moves[0].words.startswith("BURNER OFF AND LOCKED OUT")
        assert "The lock may come off after move 1." in moves[0].words
        assert done.settle.moves is not None
        assert moves[1].words.startswith("High-limit set point: down from 240 psi")
        assert "stop it by hand and lock it out." in moves[3].words, "the pressure at which to break off"
        sheet = call.sheet()
        assert "# Move 0: BURNER OFF AND LOCKED OUT" in sheet
        call.enter_text(sheet.replace('done_at = ""', 'done_at = "2026-11-25 11:00"', 1))
        assert call.judged().at.visit.moves[0].done_at is not None
        assert 0 not in [row for each in call.judged().flags if each.flag is Flag.MOVE_NOT_TICKED for row in each.rows]


def test_a_visit_that_was_given_up_is_listed_no_more_and_goes_on_when_that_is_taken_back(call: Call) -> None:
    other = call.again()
    call.enter({"call.given_up": "opened at the wrong boiler"})
    assert visiting.at_visit(call.store, None).draft.id == other.visit
    assert "1 visit open" in store_text(call.store, 80)
    told = visit_text(call.judged(), UnitSystem.US, 80)
    assert "GIVEN UP: opened at the wrong boiler" in told
    call.enter({"call.given_up": ""})
    assert {at.draft.id for at in visiting.open_visits(call.store)} == {call.visit, other.visit}
    assert "GIVEN UP" not in visit_text(call.judged(), UnitSystem.US, 80)


def test_a_survey_taken_after_a_visit_was_opened_is_told_on_it(call: Call) -> None:
    assert "NEWER SURVEY" not in visit_text(call.judged(), UnitSystem.US, 80)
    taken = surveys.take(call.store, LAUNDRY.replace("turndown = 4", "turndown = 5").encode(), "laundry.toml")
    told = as_one_line(visit_text(call.judged(), UnitSystem.US, 80))
    assert f"A NEWER SURVEY of this boiler ({taken.revision.sha256[:12]}) was taken since." in told
    assert call.judged().at.surveyed.burners[0].turndown == 4, "the visit stands on the one it was opened with"


JUMPER = "wire across HL terminals 5-6"


class Copies:
    """One sheet as the program wrote it, and its copies in several hands."""

    def __init__(self, call: Call) -> None:
        self.call = call
        self.blank = call.sheet()

    def enter(self, changes: dict[str, str], *, by: str, name: str = "k1.toml") -> EnteredSheet:
        """Enter a copy with these keys of [as_found] filled in."""
        place = self.blank.index("[as_found]")
        head, text = self.blank[:place], self.blank[place:]
        for key, value in changes.items():
            text = re.sub(rf"^{key} = .*$", f'{key} = "{value}"', text, count=1, flags=re.MULTILINE)
        path = self.call.folder / name
        path.write_text(head + text, encoding="utf-8")
        return visiting.enter_sheet(self.call.store, path, visiting.person_named(self.call.store, by))


@pytest.mark.parametrize("by", [WRITER, QUILL])
def test_another_copy_of_the_same_sheet_erases_nothing_that_it_never_touched(found: Call, by: str) -> None:
    # The stranger's case: two hands, or two files in one hand; "none" stood in the sheet when it was written.
    copies = Copies(found)
    copies.enter({"jumpers": JUMPER}, by=QUILL)
    second = copies.enter({"operating_limit": "121 psi"}, by=by, name="k1-copy.toml")
    assert [each.entry.path for each in second.new] == ["as_found.operating_limit"]
    assert texts(found, "as_found.jumpers") == {"as_found.jumpers": JUMPER}
    told = as_one_line(entered_text(second, UnitSystem.US, 80))
    assert "KEPT as_found.jumpers" in told
    assert JUMPER in told
    assert "changed as_found.operating_limit: '120 psi' -> '121 psi'" in told


def test_two_copies_that_change_one_field_differently_stand_side_by_side(found: Call) -> None:
    copies = Copies(found)
    copies.enter({"jumpers": JUMPER}, by=QUILL)
    second = copies.enter({"jumpers": "fuse bridged"}, by=WRITER)
    assert [each.path for each in second.judged.at.visit.conflicts] == ["as_found.jumpers"]
    assert Bar.TWO_VALUES in {each.bar for each in second.judged.bars}
    assert copies.enter({"jumpers": JUMPER}, by=WRITER).new == (), "what somebody said already is not said again"


def test_who_corrects_the_file_that_he_entered_takes_back_and_is_told_so_loudly(found: Call) -> None:
    copies = Copies(found)
    copies.enter({"jumpers": JUMPER, "manual_cap": "50 %"}, by=QUILL)
    done = copies.enter({}, by=QUILL)
    assert texts(found, "as_found.jumpers") == {"as_found.jumpers": "none"}
    told = as_one_line(entered_text(done, UnitSystem.US, 80))
    bypass = f"BYPASS WITHDRAWN OR CHANGED: as_found.jumpers was '{JUMPER}', now 'none'."
    assert bypass in told
    assert "TAKEN BACK as_found.manual_cap: was '50 %', now nothing." in told
    assert told.index("BYPASS") < told.index("TAKEN BACK")


def test_an_older_sheet_that_was_entered_brings_back_nothing_that_a_newer_one_replaced(found: Call) -> None:
    copies = Copies(found)
    copies.enter({"high_limit": "141 psi"}, by=QUILL)
    Copies(found).enter({"high_limit": "142 psi"}, by=QUILL, name="k2.toml")
    again = copies.enter({"high_limit": "141 psi", "low_fire_hold": "61 psi"}, by=QUILL)
    assert [each.entry.path for each in again.new] == ["as_found.low_fire_hold"]
    assert texts(found, "as_found.high_limit") == {"as_found.high_limit": "142 psi"}
    assert "as_found.high_limit" in again.left_alone


def test_nothing_is_prefilled_where_a_signed_visit_is_as_new_as_the_plant_file(ready: Call) -> None:
    # The high limit was left at 141 psi and signed; the plant file of that day still says 140.
    ready.signed()
    later = ready.again(READ_TODAY)
    assert texts(later, "as_found.") == {}
