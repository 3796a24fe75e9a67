"""Sheet and card of a visit: as it was left and signed, proved controls first; nothing for a boiler left unfit."""

import re
import sqlite3
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from evenfire.delivery.acts import people
from evenfire.delivery.acts.handing_on import export, take_in
from evenfire.delivery.acts.papers import PaperAsked, Written, card_of, sheet_of
from evenfire.delivery.acts.signing import amend
from evenfire.delivery.acts.visit_papers import settings_of_visit, write_visit_card, write_visit_sheet
from evenfire.delivery.answers import Ending
from evenfire.delivery.papers.admission import Refusal
from evenfire.delivery.papers.content import CardContent, PaperSize, SheetContent
from evenfire.delivery.papers.printing import printed
from evenfire.delivery.records.database import Store
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest
from evenfire.judgement.case import SettingsSet, prepare
from evenfire.si import PA_PER_PSI
from tests.delivery.acts.on_visit import (
    DAY,
    FOUND,
    LAUNDRY,
    PASSPHRASE,
    QUILL,
    WHOLE,
    Call,
    Clock,
    Fields,
    new_store,
    opened,
)
from tests.delivery.acts.signed_elsewhere import ENGINE, signed_by_another_version
from tests.delivery.papers.pages import outside, overlapping, reader, size_in_points, text_of

READY: Fields = {**FOUND, **WHOLE}
OUT: Fields = {"as_left.service": "out of service", "as_left.locked_out_by": "Ada Quill"}
UNFIT: dict[str, Fields] = {
    "This visit was given up": {"call.given_up": "the wrong boiler"},
    "Temporary change 1 is open": {"temporary.1.closed_at": ""},
    "Trip test 1 failed towards danger": {"trip.1.held_until_reset": "no"},
    "Device 1 failed its test": {"device.1.kind": "low-water cutoff", "device.1.works": "no"},
    "A bypass was left on": {"as_left.jumpers": "wire across the high limit"},
    "Nobody says whether a bypass was left": {"as_left.jumpers": ""},
    "LEFT OUT OF SERVICE": OUT,
}


def sheet(call: Call, asked: PaperAsked | None = None) -> SheetContent:
    asked = asked or PaperAsked(settings=SettingsSet.AS_LEFT)
    found = settings_of_visit(call.store, call.visit, asked)
    assert not isinstance(found, Refusal), found.why
    made = sheet_of(found.plant_file, asked, None, found.of_visit)
    assert not isinstance(made, Refusal), made.why
    return made[0]


def card(call: Call, asked: PaperAsked | None = None) -> CardContent:
    asked = asked or PaperAsked(settings=SettingsSet.AS_LEFT)
    found = settings_of_visit(call.store, call.visit, asked)
    assert not isinstance(found, Refusal), found.why
    made = card_of(found.plant_file, asked, None, found.of_visit)
    assert not isinstance(made, Refusal), made.why
    return made[0]


def number(text: str) -> float:
    found = re.search(r"\d+(\.\d+)?", text)
    assert found is not None
    return float(found[0])


def written(done: Written | Refusal) -> Written:
    assert isinstance(done, Written), done.why
    return done


def refused(done: Written | Refusal) -> Refusal:
    assert isinstance(done, Refusal)
    return done


def test_the_sheet_of_a_signed_visit_leads_with_the_pressures_at_which_controls_were_seen_to_act(ready: Call) -> None:
    """139.75, 139.5 and 139.75 psi are 139.667 in the mean, 128.5, 128.25 and 128.5 are 128.417; the dials stood
    elsewhere.
    """
    ready.signed()
    high, operating, *others = sheet(ready).acting
    assert (high.control, high.acts, high.leads) == ("High limit", "trips at 139.7 psi", True)
    assert high.how == "Proved on a reference gauge; its dial showed 141 psi."
    assert operating.control == "Operating limit"
    # It was read to start again at 114 psi, whatever its dial makes of it.
    assert operating.acts == "cut-out 128.4 psi, cut-in 114 psi"
    assert operating.how == "Proved on a reference gauge; its dial showed 128.5 psi, differential 14 psi."
    assert [each.leads for each in others] == [False, False]


@pytest.mark.parametrize("is_signed", [False, True])
def test_the_cut_in_on_the_sheet_is_where_the_burner_was_read_to_start_again(ready: Call, is_signed: bool) -> None:
    # The dial of the differential says 14 psi; it was read to start again at 121 psi.
    ready.enter({**READY, "trip.2.restarted_at": "121 psi"})
    if is_signed:
        ready.signed()
    found = settings_of_visit(ready.store, ready.visit, PaperAsked(settings=SettingsSet.AS_LEFT))
    assert not isinstance(found, Refusal), found.why
    (boiler,) = found.plant_file.plant.boilers
    assert boiler.as_left is not None
    cut_in = prepare(found.plant_file.plant, boiler, SettingsSet.AS_LEFT, boiler.as_left).stack.cut_in
    assert isinstance(cut_in, float)
    assert cut_in / PA_PER_PSI == pytest.approx(121.0, abs=0.01)


def test_a_cut_in_that_nobody_read_is_by_its_dial_and_said_to_be(ready: Call) -> None:
    ready.enter({**READY, "trip.2.restarted_at": ""})
    operating = next(each for each in sheet(ready).acting if each.control == "Operating limit")
    # 128.417 psi less the 14 of the dial.
    assert operating.acts == "cut-out 128.4 psi, cut-in 114.4 psi"
    assert operating.how.endswith("Differential by its dial, not proved.")


def test_the_dials_on_the_sheet_are_those_that_were_read(ready: Call) -> None:
    ready.signed()
    by_dial = {line.dial: line.as_left for line in sheet(ready).dials}
    assert by_dial["High-limit set point"] == "141 psi"
    assert by_dial["Operating-limit set point"] == "128.5 psi"


def test_a_control_whose_dial_was_touched_after_its_test_does_not_lead(ready: Call) -> None:
    ready.enter({**READY, "as_left.high_limit": "140 psi"})
    ready.signed()
    acting = {each.control: each for each in sheet(ready).acting}
    assert not acting["High limit"].leads
    assert acting["High limit"].how == "Its dial shows 140 psi."
    assert acting["Operating limit"].leads


@pytest.mark.parametrize(
    ("system", "size", "shown"),
    [
        (UnitSystem.US, PaperSize.LETTER, "trips at 139.7 psi"),
        # 139.667 psi is 9.6297 bar: 0.0689476 bar to the psi (P: the exact pound and inch).
        (UnitSystem.SI, PaperSize.A4, "trips at 9.63 bar"),
    ],
)
def test_a_signed_sheet_shows_its_signature_on_both_papers(
    ready: Call, tmp_path: Path, system: UnitSystem, size: PaperSize, shown: str
) -> None:
    done = ready.signed()
    output = tmp_path / "sheet.pdf"
    asked = PaperAsked(system=system, size=size)
    told = written(write_visit_sheet(ready.store, ready.visit, output, asked)).told
    assert "AS LEFT 2026-11-25, SIGNED" in told
    content = output.read_bytes()
    text = text_of(content)
    assert shown in text
    bare = text.replace(" ", "")
    for each in (done.record.id, done.record.fingerprint, "B-1204", "2026-11-25T"):
        assert each in bare
    assert "NOT SIGNED" not in text
    assert not outside(content)
    assert not overlapping(content)
    assert size_in_points(content)[0] == pytest.approx(612.0 if size is PaperSize.LETTER else 595.28, abs=0.01)


def test_the_same_signed_visit_gives_the_same_sheet_and_card_byte_for_byte(ready: Call) -> None:
    ready.signed()
    assert printed(sheet(ready), PaperSize.A4) == printed(sheet(ready), PaperSize.A4)
    assert printed(card(ready), PaperSize.A4) == printed(card(ready), PaperSize.A4)


def test_a_visit_judged_by_this_version_is_not_said_to_be_judged_otherwise(ready: Call) -> None:
    ready.signed()
    assert not any("Judged otherwise" in each for each in sheet(ready).head.notices)


def test_what_another_version_judged_otherwise_is_told_at_the_head(ready: Call) -> None:
    def otherwise(body: dict[str, Any]) -> None:
        body["proved_as_left"] = [
            {**each, "verdict": "fails"} if each["scenario"] == "pick-up" else each for each in body["proved_as_left"]
        ]
        body["judged_as_left"] = [each for each in body["judged_as_left"] if each["code"] != "cut-out-below-high-limit"]

    signed_by_another_version(ready, otherwise)
    (told,) = [each for each in sheet(ready).head.notices if "Judged otherwise" in each]
    assert f"by evenfire {ENGINE}" in told
    assert "Pick-up: Then fails, now holds" in told
    assert "? Then not asked, now clear" in told


def test_an_amended_visit_says_so_on_sheet_and_card(ready: Call) -> None:
    done = ready.signed()
    amend(ready.store, done.record.id, "The hold was read wrongly.", done.person, PASSPHRASE)
    assert sheet(ready).head.state.endswith("SIGNED. AMENDED")
    assert any("The amendments stand in the visit report" in each for each in sheet(ready).head.notices)
    assert card(ready).head.state.endswith("SIGNED. AMENDED")


def test_the_card_of_a_signed_visit_shows_the_proved_pressures_and_who_signed(ready: Call, tmp_path: Path) -> None:
    done = ready.signed()
    output = tmp_path / "card.pdf"
    told = written(write_visit_card(ready.store, done.record.id[:10], output, PaperAsked())).told
    assert told.endswith("operator card. AS LEFT 2026-11-25, SIGNED.")
    content = output.read_bytes()
    assert len(reader(content).pages) == 1
    text = text_of(content)
    for shown in ("139.7", "128.4", "114 psi", "Signed by Ada Quill"):
        assert shown in text
    assert not outside(content)
    assert not overlapping(content)


def test_papers_of_an_open_visit_say_that_it_is_not_signed_and_what_bars_it(ready: Call) -> None:
    ready.enter({**READY, "as_left.service": ""})
    content = sheet(ready)
    assert content.head.state == "AS LEFT 2026-11-25, VISIT NOT SIGNED"
    assert any("Nobody says how the boiler is left" in each for each in content.head.notices)
    assert content.acting[0].acts == "trips at 139.7 psi"
    text = text_of(printed(content, PaperSize.LETTER))
    assert "NOT SIGNED. This sheet was made from a visit that is still open." in text
    assert card(ready).head.state == "AS LEFT 2026-11-25, VISIT NOT SIGNED"
    assert "Not signed." in card(ready).foot


def test_before_anything_is_left_the_sheet_is_of_what_is_proposed_with_its_moves(settled: Call, tmp_path: Path) -> None:
    output = tmp_path / "sheet.pdf"
    told = written(write_visit_sheet(settled.store, settled.visit, output, PaperAsked())).told
    assert "PROPOSED: NOT SET YET, VISIT NOT SIGNED" in told
    text = text_of(output.read_bytes())
    assert "From the settings as found to those proposed" in text


def test_what_is_proposed_is_told_with_the_tolerance_that_was_asked_for_whatever_was_proved_since(
    ready: Call, tmp_path: Path
) -> None:
    output = tmp_path / "sheet.pdf"
    written(write_visit_sheet(ready.store, ready.visit, output, PaperAsked(settings=SettingsSet.PROPOSED)))
    text = text_of(output.read_bytes())
    # The survey of the laundry has both limits proved to within half a psi.
    assert text.count("within 0.5 psi, proved") == 2


@pytest.mark.parametrize("why", UNFIT)
def test_nobody_is_told_to_run_a_boiler_that_was_left_unfit(ready: Call, tmp_path: Path, why: str) -> None:
    ready.enter({**READY, **UNFIT[why]})
    for write in (write_visit_sheet, write_visit_card):
        done = refused(write(ready.store, ready.visit, tmp_path / "paper.pdf", PaperAsked()))
        assert why in done.why
        assert done.ending is Ending.STOP_FINDING
    assert not (tmp_path / "paper.pdf").exists()
    found = PaperAsked(settings=SettingsSet.AS_FOUND)
    told = written(write_visit_sheet(ready.store, ready.visit, tmp_path / "paper.pdf", found)).told
    assert "AS FOUND" in told, "a record of what was found is always written"


@pytest.mark.parametrize("which", [None, SettingsSet.AS_FOUND, SettingsSet.PROPOSED])
def test_nobody_gets_a_card_while_a_limit_is_set_out_of_the_way_whatever_was_read_so_far(
    settled: Call, tmp_path: Path, which: SettingsSet | None
) -> None:
    still_open = {
        path: text for path, text in WHOLE.items() if path.startswith("temporary.1.") and "closed" not in path
    }
    settled.enter({**FOUND, **still_open, "temporary.1.verified_by": ""})
    found = write_visit_card(settled.store, settled.visit, tmp_path / "card.pdf", PaperAsked(settings=which))
    assert isinstance(found, Refusal)
    assert "Temporary change 1 is open" in found.why
    assert not list(tmp_path.glob("*.pdf"))


def test_settings_as_left_that_break_a_stop_rule_get_no_sheet(ready: Call, tmp_path: Path) -> None:
    ready.enter({**READY, "as_left.high_limit": "152 psi"})
    done = refused(write_visit_sheet(ready.store, ready.visit, tmp_path / "sheet.pdf", PaperAsked()))
    assert "breaks a stop rule" in done.why


def test_what_cannot_be_judged_is_countersigned_on_the_sheet_of_a_visit_too(tmp_path: Path) -> None:
    plant = LAUNDRY.replace("valve_in_line = false\n", "", 1)
    assert plant != LAUNDRY
    with new_store(tmp_path / "store.sqlite") as store:
        call = Call(store, tmp_path, opened(store, tmp_path, plant))
        call.enter(FOUND)
        call.settled()
        call.enter(READY)
        call.signed()
        output = tmp_path / "sheet.pdf"
        done = refused(write_visit_sheet(store, call.visit, output, PaperAsked()))
        assert done.ending is Ending.STOP_NOT_JUDGED
        asked = PaperAsked(countersigned_by="Imke Tarrow, HB-2214")
        made = written(write_visit_sheet(store, call.visit, output, asked))
        assert made.ending is Ending.STOP_NOT_JUDGED
        text = text_of(output.read_bytes())
        told = (
            "Countersigned for what was not judged, by name: Imke Tarrow, licence HB-2214; typed when this was printed"
        )
        assert f"{told}, not part of any signed record." in text
        seal, _, outside_of_it = text.partition("Signed by Ada Quill")[2].partition(
            "Countersigned when this was printed"
        )
        assert "Key" in seal
        assert "Tarrow" not in seal, "what was typed stands outside of what the key sealed"
        assert outside_of_it.startswith(" Name, licence Imke Tarrow, HB-2214 Typed when this was printed, not part of")


def test_what_was_left_out_of_service_and_signed_gets_no_card(ready: Call, tmp_path: Path) -> None:
    ready.enter({**READY, **OUT})
    ready.signed()
    done = refused(write_visit_card(ready.store, ready.visit, tmp_path / "card.pdf", PaperAsked()))
    assert "LEFT OUT OF SERVICE." in done.why


def test_a_proposal_of_a_signed_visit_is_past(ready: Call, tmp_path: Path) -> None:
    ready.signed()
    with pytest.raises(BadRequest, match="what was proposed on it is past"):
        write_visit_sheet(ready.store, ready.visit, tmp_path / "s.pdf", PaperAsked(settings=SettingsSet.PROPOSED))


def test_a_record_that_was_changed_gives_no_sheet(ready: Call, tmp_path: Path) -> None:
    ready.signed()
    with sqlite3.connect(ready.store.place) as database:
        database.execute("update records set content = replace(content, '141 psi', '149 psi')")
    done = refused(write_visit_sheet(ready.store, ready.visit, tmp_path / "sheet.pdf", PaperAsked()))
    assert done.ending is Ending.DOES_NOT_VERIFY


def there(ready: Call, tmp_path: Path) -> Store:
    export(ready.store, "No. 1", tmp_path / "records.json")
    store = new_store(tmp_path / "there" / "store.sqlite", Clock())
    take_in(store, tmp_path / "records.json")
    return store


def test_the_sheet_of_a_visit_from_elsewhere_is_the_same_but_for_its_key(ready: Call, tmp_path: Path) -> None:
    ready.signed()
    own = sheet(ready)
    with there(ready, tmp_path) as store:
        came = sheet(Call(store, tmp_path, ready.visit))
    assert (came.acting, came.dials) == (own.acting, own.dials)
    assert came.signing.signed is not None
    assert own.signing.signed == replace(came.signing.signed, mark="")
    assert any("Signature: UNKNOWN" in each for each in came.head.notices)


def pages(content: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in reader(content).pages]


def test_a_signer_whom_nobody_here_knows_is_marked_on_every_page_of_sheet_and_card(ready: Call, tmp_path: Path) -> None:
    ready.signed()
    own = (*pages(printed(sheet(ready), PaperSize.LETTER)), *pages(printed(card(ready), PaperSize.LETTER)))
    assert not any("NOT KNOWN HERE" in page for page in own)
    with there(ready, tmp_path) as store:
        call = Call(store, tmp_path, ready.visit)
        whole, one = sheet(call), card(call)
    assert whole.head.state == one.head.state == "AS LEFT 2026-11-25, SIGNED. SIGNER NOT KNOWN HERE"
    shown = pages(printed(whole, PaperSize.LETTER))
    assert len(shown) > 3
    assert all("SIGNED. SIGNER NOT KNOWN HERE" in page for page in shown)
    (shown_on_card,) = pages(printed(one, PaperSize.LETTER))
    assert "SIGNED. SIGNER NOT KNOWN HERE" in shown_on_card
    assert "Signed as Ada Quill" in shown_on_card, "the name is a claim"
    assert "Signed by Ada Quill" not in shown_on_card


def test_a_key_that_was_withdrawn_before_the_record_came_is_marked_too(ready: Call, tmp_path: Path) -> None:
    done = ready.signed()
    people.give_key(ready.store, QUILL, tmp_path / "quill.pub")
    export(ready.store, "No. 1", tmp_path / "records.json")
    with new_store(tmp_path / "there" / "store.sqlite", Clock(DAY + timedelta(days=2))) as store:
        people.enter_key(store, tmp_path / "quill.pub", QUILL, done.record.fingerprint)
        people.withdraw_key(store, done.record.fingerprint, "telephone lost")
        take_in(store, tmp_path / "records.json")
        call = Call(store, tmp_path, ready.visit)
        assert sheet(call).head.state == "AS LEFT 2026-11-25, SIGNED. SIGNED BY A WITHDRAWN KEY"
        assert card(call).head.state == "AS LEFT 2026-11-25, SIGNED. SIGNED BY A WITHDRAWN KEY"
        assert "SIGNED BY A WITHDRAWN KEY" in card(call).foot


def test_a_flag_at_the_head_of_the_papers_names_dials_and_not_their_paths(ready: Call) -> None:
    ready.enter({**READY, "as_left.low_fire_hold": "50 psi"})
    notices = " ".join(sheet(ready).head.notices)
    assert re.search(r"Left elsewhere than proposed: [^.]*low-fire hold", notices)
    assert "as_left" not in notices
    assert "low_fire_hold" not in notices


def test_without_its_survey_a_signed_visit_gives_a_report_and_no_sheet(ready: Call, tmp_path: Path) -> None:
    ready.signed()
    with sqlite3.connect(ready.store.place) as database:
        database.execute("pragma foreign_keys = off")
        database.execute("update survey_documents set document = replace(document, '150 psi', '160 psi')")
    with pytest.raises(BadRequest, match="The survey of this visit is not in this store as it was signed"):
        write_visit_sheet(ready.store, ready.visit, tmp_path / "sheet.pdf", PaperAsked())


def test_the_tolerance_of_a_proved_control_is_no_less_than_its_doubt(ready: Call) -> None:
    done = ready.signed()
    proved = done.judged.trips[0].result.proved
    assert proved is not None
    # Shown rounded up, to a tenth of a psi: 6894.757 Pa to the psi (NIST SP 811).
    assert number(sheet(ready).acting[0].tolerance) >= proved.tolerance / 6894.757 - 1e-6
