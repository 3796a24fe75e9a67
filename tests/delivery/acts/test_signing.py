"""A signature: refused for every reason by name, kept whole or not at all, never changed."""

import json
import re
import sqlite3
from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path

import pytest

from evenfire.delivery.acts import people, visiting
from evenfire.delivery.acts.earlier_tests import earlier_of, earlier_tests
from evenfire.delivery.acts.signing import amend, require_signable, sign_visit
from evenfire.delivery.records import entries
from evenfire.delivery.records.backup import automatic_backups, examine
from evenfire.delivery.records.drafts import draft_of
from evenfire.delivery.records.held import container_of, known_of
from evenfire.delivery.records.key_register import keys_of
from evenfire.delivery.records.record import RecordKind, facts_of
from evenfire.delivery.records.registers import find_person
from evenfire.delivery.records.signed import heads_of, records_of, trip_results_of
from evenfire.delivery.records.verification import Judged
from evenfire.delivery.records.verifying import verify
from evenfire.delivery.report.visit_text import amended_text, signed_text, visit_text
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visits.fields import number
from evenfire.delivery.visits.standing import Bar, Flag
from evenfire.errors import BadContent, BadKey, BadRequest
from evenfire.judgement.trip_test.repeatability import scatter_of
from evenfire.plant.controls import Role
from tests.delivery.acts.on_visit import DAY, FOUND, LEFT, PASSPHRASE, QUILL, READER, WHOLE, WRITER, Call, Clock

READY = {**FOUND, **WHOLE}
OUT = {"as_left.service": "out of service"}
REASONS: Mapping[Bar, Mapping[str, str]] = {
    Bar.TEMPORARY_CHANGE_OPEN: {"temporary.1.closed_at": ""},
    Bar.TEMPORARY_CHANGE_TIMES: {"temporary.1.closed_at": "2026-11-25 11:00"},
    Bar.MOMENT_UNLIKELY: {"call.arrived": "2027-01-01 10:42"},
    Bar.TEMPORARY_CHANGE_UNTOLD: {"temporary.1.reason": ""},
    Bar.LIMIT_FAILED_IN_SERVICE: {"trip.1.held_until_reset": "no"},
    Bar.DEVICE_FAILED_IN_SERVICE: {"device.1.kind": "low-water cutoff", "device.1.works": "no"},
    Bar.STOP_FINDING_IN_SERVICE: {"as_left.high_limit": "152 psi"},
    Bar.UNSAFE_PROOF_IN_SERVICE: {"as_left.high_limit": "146 psi"},
    Bar.JUMPER_IN_SERVICE: {"as_left.jumpers": "wire across the high limit"},
    Bar.JUMPERS_NOT_TOLD: {"as_left.jumpers": ""},
    Bar.UNREADABLE: {"as_found.high_limit": "140"},
    Bar.NOT_READ_AS_LEFT: {"as_left.low_fire_hold": ""},
    Bar.SERVICE_NOT_TOLD: {"as_left.service": ""},
    Bar.LOCK_NOT_TOLD: OUT,
    Bar.NO_CONSENT: {"call.consent": ""},
    Bar.NOBODY_AT_THE_STOP: {"trip.2.at_the_stop": ""},
    Bar.GIVEN_UP: {"call.given_up": "wrong boiler"},
}
"""What has to be typed otherwise for each reason; two values need two sheets."""


def sign(call: Call, *, by: str = QUILL, passphrase: str = PASSPHRASE) -> str:
    return call.signed(by=by, passphrase=passphrase).record.id


def nothing_is_signed(call: Call) -> bool:
    boiler = draft_of(call.store, call.visit).boiler
    return records_of(call.store, boiler) == () and draft_of(call.store, call.visit).is_open


def test_every_reason_is_tried_here() -> None:
    assert set(REASONS) | {Bar.TWO_VALUES} == set(Bar)


@pytest.mark.parametrize("bar", REASONS)
def test_each_reason_bars_signing_and_what_was_signed_is_nothing(ready: Call, bar: Bar) -> None:
    judged = ready.enter({**READY, **REASONS[bar]}).judged
    assert bar in {each.bar for each in judged.bars}
    with pytest.raises(BadRequest, match="cannot be signed as it stands"):
        sign_visit(ready.store, judged, find_person(ready.store, QUILL), PASSPHRASE, UnitSystem.US)
    assert nothing_is_signed(ready)


def test_two_values_in_one_field_bar_signing(ready: Call) -> None:
    judged = ready.enter({"as_left.high_limit": "142 psi"}, device="phone").judged
    assert Bar.TWO_VALUES in {each.bar for each in judged.bars}
    with pytest.raises(BadRequest, match=r"Two values stand in as_left\.high_limit"):
        require_signable(judged)


def test_all_that_stands_against_it_is_named_at_once_worst_first(ready: Call) -> None:
    judged = ready.enter({**READY, "call.consent": "", "temporary.1.closed_at": "", "as_left.jumpers": "a wire"}).judged
    with pytest.raises(BadRequest) as told:
        require_signable(judged)
    text = str(told.value)
    assert text.index("(1) Temporary change 1 is open") < text.index("(2) A bypass") < text.index("(3) Safety devices")


def floats_in(value: object, path: str = "") -> list[str]:
    """Paths of everything that is a floating-point number."""
    if isinstance(value, float):
        return [path]
    if isinstance(value, dict):
        return [found for key, each in value.items() for found in floats_in(each, f"{path}.{key}")]
    if isinstance(value, list):
        return [found for place, each in enumerate(value) for found in floats_in(each, f"{path}[{place}]")]
    return []


def test_what_is_signed_holds_no_binary_fraction_and_every_text_that_was_typed(ready: Call) -> None:
    odd = {
        "note.1.text": 'caf\u00e9 "quoted" \\ \n two lines',
        "device.1.kind": "flame failure",
        "device.1.took": "3 s",
    }
    ready.enter({**READY, **odd, "device.1.works": "yes"})
    content = json.loads(ready.signed().record.content)
    assert floats_in(content) == []
    typed = {(each.path, each.text) for each in visiting.at_visit(ready.store, ready.visit).entries}
    signed = {(each["path"], each["text"]) for each in content["body"]["entries"]}
    assert signed == typed
    assert ("note.1.text", odd["note.1.text"]) in signed
    assert {each["author"] for each in content["body"]["entries"]} == {QUILL}


def test_numbers_of_the_body_are_decimal_text_that_says_the_same(ready: Call) -> None:
    body = json.loads(ready.signed().record.content)["body"]
    assert body["settings"]["as_left"]["high_limit"]["text"] == "141 psi"
    # 141 psi = 141 x 6894.757 Pa (NIST SP 811).
    assert number(body["settings"]["as_left"]["high_limit"]["si_pa_gauge"]) == pytest.approx(972160.8, abs=1.0)
    high = body["trip_tests"][0]
    assert [number(each["shown_pa_gauge"]) / 6894.757 for each in high["readings"]] == pytest.approx(
        [139.75, 139.5, 139.75], abs=1e-4
    )
    assert (high["control"], high["gauge"], high["certificate"], high["on"]) == (
        "high_limit",
        "G-17",
        "C-88",
        "2026-11-25",
    )
    assert body["service"] == "in service"
    assert body["left"] == {"locked_out_by": "", "switch": "automatic", "jumpers": [], "cycles_seen": 3}


def test_a_scenario_that_says_nothing_of_a_boiler_is_not_called_unproved(ready: Call) -> None:
    judged = ready.judged()
    assert judged.proofs is not None
    proved = json.loads(ready.signed().record.content)["body"]["proved_as_left"]
    told = {each["scenario"]: each["verdict"] for each in proved}
    assert len(told) == len(judged.proofs)
    for each in judged.proofs:
        if type(each).__name__ == "NotApplicable":
            assert told[each.scenario.value] == "says nothing of this boiler"


def test_a_signature_closes_the_visit_verifies_and_can_be_searched(ready: Call) -> None:
    done = ready.signed()
    boiler = done.judged.at.boiler.id
    (kept,) = records_of(ready.store, boiler)
    assert kept.record == done.record
    assert (kept.visit, kept.kind, kept.parents) == (ready.visit, RecordKind.VISIT, ())
    assert draft_of(ready.store, ready.visit).record == done.record.id
    assert verify(container_of(ready.store, boiler), known_of(ready.store)).judged is Judged.VERIFIED
    found = trip_results_of(ready.store, boiler=boiler)
    assert [each.result.role for each in found] == ["high_limit", "operating_limit"]
    with pytest.raises(BadRequest, match="signed already"):
        ready.signed()


def test_every_head_of_the_boiler_is_a_parent_of_the_next_record(ready: Call, clock: Clock) -> None:
    first = sign(ready)
    clock.now += timedelta(days=90)
    later = ready.again()
    changed = {"temporary.1.opened_at": "2027-02-23 11:30", "temporary.1.closed_at": "2027-02-23 12:10"}
    later.enter({**READY, "call.arrived": "2027-02-23 09:00", **changed})
    second = later.signed()
    assert facts_of(second.record.content).head.parents == (first,)
    assert heads_of(ready.store, second.judged.at.boiler.id) == (second.record.id,)


def test_an_entry_that_arrives_between_judging_and_signing_keeps_the_signature_out(ready: Call) -> None:
    judged = ready.judged()
    ready.enter({**READY, "note.1.text": "the high limit was moved again"})
    with pytest.raises(BadRequest, match="Something was entered while it was being signed"):
        sign_visit(ready.store, judged, find_person(ready.store, QUILL), PASSPHRASE, UnitSystem.US)
    assert nothing_is_signed(ready)
    sign(ready)


def test_the_same_entry_sent_again_between_is_harmless(ready: Call) -> None:
    judged = ready.judged()
    (sent, *_) = judged.at.entries
    assert not entries.record(ready.store, sent).is_new
    signed = sign_visit(ready.store, judged, find_person(ready.store, QUILL), PASSPHRASE, UnitSystem.US)
    assert heads_of(ready.store, judged.at.boiler.id) == (signed.record.id,)


def test_a_record_that_comes_in_between_keeps_the_signature_out(ready: Call, clock: Clock) -> None:
    sign(ready)
    clock.now += timedelta(days=1)
    later = ready.again()
    later.enter({**READY, "call.arrived": "2026-11-26 09:00"})
    judged = later.judged()
    real = later.store.clock

    class Busy:
        """Somebody amends the boiler's last record just as the head of this one was written."""

        done = False

        def __call__(self) -> object:
            if not Busy.done:
                Busy.done = True
                last = records_of(later.store, judged.at.boiler.id)[-1].record.id
                amend(later.store, last, "looked at again", find_person(later.store, QUILL), PASSPHRASE)
            return real()

    later.store.clock = Busy()  # type: ignore[assignment]
    with pytest.raises(BadRequest, match="Other records of this boiler came in"):
        sign_visit(later.store, judged, find_person(later.store, QUILL), PASSPHRASE, UnitSystem.US)
    assert draft_of(later.store, later.visit).is_open


@pytest.mark.parametrize(
    ("name", "passphrase", "error", "told"),
    [
        (QUILL, "a guess that is long enough", BadKey, "passphrase"),
        (WRITER, PASSPHRASE, BadRequest, f"{WRITER} may write in this store, and not sign"),
        (READER, PASSPHRASE, BadRequest, f"{READER} may read in this store, and not sign"),
    ],
)
def test_who_cannot_sign_signs_nothing(
    ready: Call, name: str, passphrase: str, error: type[Exception], told: str
) -> None:
    with pytest.raises(error, match=told):
        sign(ready, by=name, passphrase=passphrase)
    assert nothing_is_signed(ready)


def test_a_key_that_was_withdrawn_signs_nothing(ready: Call) -> None:
    (key,) = keys_of(ready.store)
    people.withdraw_key(ready.store, key.known.key.fingerprint[:12], "the laptop was stolen")
    with pytest.raises(BadRequest, match="evenfire store key"):
        sign(ready)
    people.renew_key(ready.store, QUILL, "another fire entirely")
    with pytest.raises(BadKey):
        sign(ready)
    sign(ready, passphrase="another fire entirely")


def test_a_backup_is_made_after_a_signature_and_after_an_amendment(ready: Call) -> None:
    done = ready.signed()
    assert done.backup.path is not None
    assert examine(done.backup.path).lost == ()
    assert done.backup.path in automatic_backups(ready.store)
    amended = amend(ready.store, done.record.id[:10], "G-17 was read at eye level", done.person, PASSPHRASE)
    assert amended.backup.path is not None
    assert amended.backup.path != done.backup.path
    assert str(done.backup.path) in signed_text(done, UnitSystem.US, 500)


def test_a_backup_that_cannot_be_made_is_told_and_the_signature_stands(ready: Call) -> None:
    ready.store.folder.mkdir(exist_ok=True)
    # Something else stands where the folder of the backups is to be.
    (ready.store.folder / "backups").write_text("in the way", encoding="utf-8")
    done = ready.signed()
    assert done.backup.path is None
    told = " ".join(signed_text(done, UnitSystem.US, 80).split())
    assert "SIGNED AND KEPT, BUT NO BACKUP COULD BE MADE" in told
    assert records_of(ready.store, done.judged.at.boiler.id)[0].record == done.record


def test_an_amendment_names_what_it_amends_and_changes_nothing_of_it(ready: Call) -> None:
    done = ready.signed()
    before = records_of(ready.store, done.judged.at.boiler.id)[0]
    amended = amend(ready.store, done.record.id[:10], "the gauge was G-18", done.person, PASSPHRASE)
    boiler = done.judged.at.boiler.id
    kept = records_of(ready.store, boiler)
    assert kept[0] == before
    facts = facts_of(kept[1].record.content)
    assert (facts.head.kind, facts.amends, facts.head.parents) == (
        RecordKind.AMENDMENT,
        done.record.id,
        (done.record.id,),
    )
    assert facts.body["text"] == "the gauge was G-18"
    assert verify(container_of(ready.store, boiler), known_of(ready.store)).judged is Judged.VERIFIED
    assert done.record.id in amended_text(amended, 200)


@pytest.mark.parametrize(
    ("record", "text", "told"),
    [("", "something", "no record"), ("ffffffff", "something", "no record"), (None, " \n ", "says something")],
)
def test_an_amendment_of_nothing_or_that_says_nothing_is_refused(
    ready: Call, record: str | None, text: str, told: str
) -> None:
    done = ready.signed()
    with pytest.raises(BadRequest, match=told):
        amend(ready.store, done.record.id if record is None else record, text, done.person, PASSPHRASE)


def test_a_clock_that_went_back_signs_nothing_before_its_parents(ready: Call, clock: Clock) -> None:
    done = ready.signed()
    clock.now = DAY - timedelta(days=400)
    with pytest.raises(BadContent, match="set the clock"):
        amend(ready.store, done.record.id, "dated before what it amends", done.person, PASSPHRASE)


def test_nothing_of_a_signed_visit_can_be_changed_even_by_writing_into_its_tables(ready: Call) -> None:
    """Whoever has the file can change it; what is changed does not verify."""
    done = ready.signed()
    with sqlite3.connect(ready.store.place) as database:
        database.execute("update records set content = replace(content, '141 psi', '149 psi')")
    found = verify(container_of(ready.store, done.judged.at.boiler.id), known_of(ready.store))
    assert found.judged is Judged.DOES_NOT_VERIFY


def test_earlier_tests_of_a_control_tell_the_next_visit_how_it_scatters(ready: Call) -> None:
    with_serial = (Path("examples") / "laundry.toml").read_text("utf-8")
    with_serial = with_serial.replace("[boiler.controls.high_limit]", '[boiler.controls.high_limit]\nserial = "HL-7"')
    call = ready.again(with_serial)
    call.enter(FOUND)
    call.settled()
    call.enter(READY)
    sign(call)
    boiler = draft_of(call.store, call.visit).boiler
    (high, operating) = earlier_tests(call.store, boiler)
    assert (high.role, high.serial, high.on.isoformat()) == (Role.HIGH_LIMIT, "HL-7", "2026-11-25")
    surveyed = call.judged().at.surveyed
    earlier = earlier_of(call.store, boiler, surveyed, Role.HIGH_LIMIT)
    assert len(earlier.this_control) == 1
    assert earlier.same_kind == ()
    assert earlier.this_control[0] == scatter_of(high.readings)
    # The operating limit has no serial number: nobody can say that it is the same one.
    assert operating.serial == ""
    assert earlier_of(call.store, boiler, surveyed, Role.OPERATING_LIMIT).this_control == ()


def test_what_a_withdrawn_key_signed_makes_no_doubt_smaller(ready: Call) -> None:
    done = ready.signed()
    boiler = done.judged.at.boiler.id
    surveyed = done.judged.at.surveyed
    assert earlier_of(ready.store, boiler, surveyed, Role.HIGH_LIMIT).same_kind
    people.withdraw_key(ready.store, done.record.fingerprint, "stolen")
    assert earlier_of(ready.store, boiler, surveyed, Role.HIGH_LIMIT).same_kind == ()
    assert earlier_tests(ready.store, boiler), "it is still told"


def test_out_of_service_a_failed_limit_is_signed_with_the_reason_in_its_head(ready: Call) -> None:
    fails = {"trip.1.opened": "no", "trip.1.stopped_by_hand": "142 psi"}
    off = {f"as_left.{key}": "" for key in ("high_limit",)}
    ready.enter({**READY, **fails, **off, **OUT, "as_left.locked_out_by": "A. Quill"})
    done = ready.signed()
    flags = [each["flag"] for each in json.loads(done.record.content)["body"]["flags"]]
    assert flags[:2] == ["left out of service", "limit failed"]
    assert "not every dial read as left" in flags
    assert LEFT["as_left.high_limit"] != ""


CUTOFF = {"device.1.kind": "low-water cutoff", "device.1.works": "no", "device.1.took": "3 s"}


def test_a_failed_test_that_was_overwritten_stands_in_the_head_and_in_what_is_sealed(ready: Call) -> None:
    # The stranger's case: a low-water cutoff that did not work, a trip reading, and a jumper, typed over in place.
    first = {**READY, **CUTOFF, "trip.2.reading.1": "131.5 psi", "as_found.jumpers": "wire across 5-6"}
    ready.enter(first)
    last = {**READY, **CUTOFF, "device.1.works": "yes", "trip.2.note": "read again"}
    judged = ready.enter(last).judged
    body = json.loads(ready.signed().record.content)["body"]
    told = {(each["path"], each["was"], each["is"], each["by"]) for each in body["corrected"]}
    assert told >= {
        ("device.1.works", "no", "yes", QUILL),
        ("trip.2.reading.1", "131.5 psi", "128.5 psi", QUILL),
        ("as_found.jumpers", "wire across 5-6", "none", QUILL),
    }
    assert all(each["path"] != "trip.2.note" for each in body["corrected"]), "what was first entered corrects nothing"
    assert {each["at"][:10] for each in body["corrected"]} == {"2026-11-25"}
    (flag,) = [each["said"] for each in body["flags"] if each["flag"] == Flag.CORRECTED.value]
    assert flag.startswith("Corrected after it was entered: as_found.jumpers, device.1.works, trip.2.reading.1.")
    shown = " ".join(visit_text(judged, UnitSystem.US, 100).split())
    assert flag in shown
    assert f"device.1.works: was 'no', is 'yes'. {QUILL}, 2026-11-25 17:00 UTC." in shown


def test_a_trip_test_that_was_emptied_is_not_gone(ready: Call) -> None:
    ready.enter({**READY, "trip.3.control": "operating_limit", "trip.3.reading.1": "140 psi", "trip.3.opened": "no"})
    ready.enter({**READY, "trip.3.control": "", "trip.3.reading.1": "", "trip.3.opened": ""})
    judged = ready.judged()
    assert [each.row for each in judged.at.visit.trips] == [1, 2]
    (flag,) = [each for each in judged.flags if each.flag is Flag.CORRECTED]
    assert set(flag.paths) == {"trip.3.control", "trip.3.reading.1", "trip.3.opened"}
    assert "trip.3.opened: was 'no', is nothing." in visit_text(judged, UnitSystem.US, 200)


def test_what_was_corrected_without_any_bearing_on_a_test_is_told_and_not_flagged(ready: Call) -> None:
    judged = ready.enter({**READY, "temporary.1.reason": "true rise", "as_found.low_fire_hold": "61 psi"}).judged
    assert Flag.CORRECTED not in {each.flag for each in judged.flags}
    shown = visit_text(judged, UnitSystem.US, 200)
    assert "as_found.low_fire_hold: was '60 psi', is '61 psi'." in shown
    assert "temporary.1.reason: was 'true rise of the high limit', is 'true rise'." in shown


def test_a_bypass_that_one_person_opened_closed_and_verified_is_told_in_the_head(ready: Call) -> None:
    bypass = {
        "temporary.2.what": "jumper on high limit terminals 5-6",
        "temporary.2.reason": "valve test",
        "temporary.2.opened_by": "A. Quill",
        "temporary.2.opened_at": "2026-11-25 11:30",
        "temporary.2.closed_by": "A. Quill",
        "temporary.2.closed_at": "2026-11-25 11:50",
        "temporary.2.verified_by": "a quill",
    }
    before = ready.judged().flags
    judged = ready.enter({**READY, **bypass}).judged
    assert [(each.flag, each.rows) for each in judged.flags if each not in before] == [
        (Flag.BYPASSED_FOR_A_TEST, (2,)),
        (Flag.SEEN_BY_THE_CLOSER, (2,)),
    ]
    assert "Temporary change 2 speaks of A BYPASS. No limit is ever bypassed" in visit_text(judged, UnitSystem.US, 200)


def test_a_change_closed_before_it_was_opened_is_not_called_open_but_told_by_its_times(ready: Call) -> None:
    judged = ready.enter({**READY, "temporary.1.closed_at": "2026-11-24 12:10"}).judged
    assert [each.bar for each in judged.bars] == [Bar.TEMPORARY_CHANGE_TIMES]
    shown = " ".join(visit_text(judged, UnitSystem.US, 100).split())
    assert "temporary.1.opened_at, temporary.1.closed_at. One of the two is wrong" in shown
    assert "opened 2026-11-25 11:30 by A. Quill, closed 2026-11-24 12:10 by A. Quill" in shown
    assert "OPEN" not in shown


@pytest.mark.parametrize("path", ["call.arrived", "temporary.1.opened_at", "temporary.1.closed_at"])
@pytest.mark.parametrize("moment", ["2027-11-25 11:40", "2025-11-25 11:40"])
def test_a_mistyped_year_bars_signing_wherever_a_moment_is_typed(ready: Call, path: str, moment: str) -> None:
    judged = ready.enter({**READY, path: moment}).judged
    assert path in {path for each in judged.bars if each.bar is Bar.MOMENT_UNLIKELY for path in each.paths}


def test_a_mistyped_year_of_a_move_bars_signing(ready: Call) -> None:
    sheet = ready.sheet().replace('done_at = ""', 'done_at = "2027-11-25 11:40"', 1)
    (path,) = [each.entry.path for each in ready.enter_text(sheet).new]
    assert path.startswith("move.")
    assert (Bar.MOMENT_UNLIKELY, (path,)) in {(each.bar, each.paths) for each in ready.judged().bars}


def test_a_clock_in_a_zone_far_ahead_or_a_call_of_last_month_is_no_mistyped_year(ready: Call) -> None:
    # Line Islands: 14 hours ahead of UTC, the furthest zone there is (IANA time zone database, Pacific/Kiritimati).
    for moment in ("2026-11-26 07:00", "2026-10-25 09:00"):
        judged = ready.enter({**READY, "call.arrived": moment}).judged
        assert Bar.MOMENT_UNLIKELY not in {each.bar for each in judged.bars}


def test_the_sheet_tells_how_far_the_operating_limit_may_be_set_up(ready: Call) -> None:
    told = " ".join(ready.sheet().replace("\n#", " ").split())
    # Valves at 150 psi may lift 3 % below (VSH); the dial may be 2 psi off: below 143.5 psi by the run-on.
    found = re.search(r"set the operating limit up to act at ([0-9.]+) psi at most", told)
    assert found is not None
    assert 135.0 < float(found[1]) < 145.5 - 2.0
    run_on = re.search(r"less ([0-9.]+) psi that the pressure runs on", told)
    assert run_on is not None
    assert float(found[1]) == pytest.approx(145.5 - 2.0 - float(run_on[1]), abs=0.11)
