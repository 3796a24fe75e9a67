"""The page of a visit without its HTML: the words of the terminal, every bar at its field, nothing prefilled."""

import pytest

from evenfire.delivery.acts.judging_visit import judged_at_rest
from evenfire.delivery.acts.open_changes import open_changes
from evenfire.delivery.acts.signing import require_signable
from evenfire.delivery.acts.visit_screen import MoveForm, PhotoForm, RowForm, VisitScreen, first_step, visit_screen
from evenfire.delivery.acts.visiting import at_visit
from evenfire.delivery.records.registers import find_person
from evenfire.delivery.report.visit_stands import VisitStands, visit_stands
from evenfire.delivery.report.visit_text import visit_text
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visits.fields import DIALS
from evenfire.errors import BadRequest
from tests.delivery.acts.on_visit import CHANGE, FOUND, HIGH_LIMIT, LAUNDRY, LEFT, QUILL, READER, Call

NOT_PROVED = "NOT PROVED YET"


def screen(call: Call, *, by: str = QUILL, system: UnitSystem = UnitSystem.US) -> VisitScreen:
    return visit_screen(call.store, at_visit(call.store, call.visit), find_person(call.store, by), system)


def told(call: Call, system: UnitSystem = UnitSystem.US) -> str:
    """What the terminal says, unbroken."""
    return " ".join(visit_text(call.judged(), system, 10_000).split())


def lines_of(stands: VisitStands) -> list[str]:
    """Everything that a page says of how a visit stands."""
    cards = [*stands.findings, *stands.trips.values(), *stands.devices.values(), stands.proofs, stands.moves.values()]
    return [
        stands.head,
        *stands.beside,
        *(bar.text for bar in stands.bars),
        *stands.flags,
        *(text for card in cards for row in card for text in row),
        *stands.not_judged,
        *stands.gauges,
        *stands.wanted,
        *(text for change in stands.changes for text in (change.label, change.text)),
        *stands.corrected,
        *stands.assumed,
        stands.made_from,
        *(text for row in stands.dials for text in (row.name, row.found, row.proposed, row.left)),
    ]


def ids_of(shown: VisitScreen) -> set[str]:
    """Every element of the page that a bar may lead to."""
    rows: list[RowForm | MoveForm | PhotoForm] = [
        *shown.changes,
        *shown.trips,
        *shown.devices,
        *shown.notes,
        *shown.moves,
        *shown.photos,
    ]
    boxes = [
        *shown.call,
        shown.given_up,
        *shown.found,
        *shown.left,
        *(box for row in rows for box in row.fields.values()),
    ]
    return {f"f-{box.path}" for box in boxes} | {"step-move", "step-photo", "step-as_left"}


@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize("stage", ["call", "found", "settled", "ready"])
def test_the_page_says_what_the_terminal_says(stage: str, system: UnitSystem, request: pytest.FixtureRequest) -> None:
    call: Call = request.getfixturevalue(stage)
    terminal = told(call, system)
    lacking = [line for line in lines_of(visit_stands(call.judged(), system)) if " ".join(line.split()) not in terminal]
    assert lacking == []


def test_a_bar_leads_to_the_field_that_it_speaks_of(found: Call) -> None:
    found.enter({**FOUND, **HIGH_LIMIT, "trip.1.at_the_stop": "", "temporary.1.what": "operating limit up"})
    found.enter({"as_left.high_limit": "141"}, device="phone")
    shown = screen(found)
    places = {bar.at for bar in shown.stands.bars}
    assert {"f-temporary.1.closed_by", "f-as_left.service", "f-as_left.high_limit", "f-trip.1.at_the_stop"} <= places
    assert places <= ids_of(shown)
    assert shown.stands.bars[0].text.startswith("Temporary change 1 is open"), "worst first"


def test_nothing_that_was_not_proved_looks_as_if_it_held(ready: Call) -> None:
    at_rest = judged_at_rest(ready.store, at_visit(ready.store, ready.visit))
    stands = visit_stands(at_rest, UnitSystem.US)
    assert at_rest.bars == ()
    assert (at_rest.proofs, stands.proofs) == (None, ())
    assert stands.head.startswith(NOT_PROVED)
    assert stands.not_proved.startswith(NOT_PROVED)
    assert stands.steps["sign"].text == "not proved yet"
    assert not stands.is_ready
    with pytest.raises(BadRequest, match="judged at rest"):
        require_signable(at_rest)
    proved = visit_stands(ready.judged(), UnitSystem.US)
    assert proved.head == "Nothing stands against signing it."
    assert proved.is_ready
    assert proved.proofs


def test_at_rest_and_in_motion_agree_on_what_is_seen_at_rest(settled: Call) -> None:
    settled.enter({**FOUND, **HIGH_LIMIT, **LEFT, "as_left.high_limit": ""})
    at_rest = judged_at_rest(settled.store, at_visit(settled.store, settled.visit))
    in_motion = settled.judged()
    assert at_rest.bars == in_motion.bars
    assert at_rest.flags == in_motion.flags
    assert at_rest.trips == in_motion.trips
    assert at_rest.left == in_motion.left


def test_readings_as_left_are_never_prefilled_from_the_proposal(settled: Call) -> None:
    shown = screen(settled)
    assert all(row.proposed != "-" for row in shown.stands.dials)
    assert {box.text for box in shown.left} == {""}
    assert all(not box.taps for box in shown.left if box.path.removeprefix("as_left.") in DIALS)


def test_a_dial_that_the_boiler_does_not_have_is_left_out_until_somebody_typed_into_it(found: Call) -> None:
    without = LAUNDRY.replace("[boiler.controls.low_fire_hold]", "[boiler.gone]")
    head, _, rest = without.partition("[boiler.gone]")
    tail = rest[rest.index("\n[") + 1 :] if "\n[" in rest else ""
    call = found.again(head + tail)
    assert "as_left.low_fire_hold" not in {box.path for box in screen(call).left}
    call.enter({"as_left.low_fire_hold": "60 psi"})
    assert "as_left.low_fire_hold" in {box.path for box in screen(call).left}


def test_every_table_has_the_rows_that_stand_and_an_empty_one(ready: Call) -> None:
    shown = screen(ready)
    assert [(row.row, row.is_spare) for row in shown.trips] == [(1, False), (2, False), (3, True)]
    assert [(row.row, row.is_spare) for row in shown.changes] == [(1, False), (2, True)]
    assert shown.trips[2].repeats == (1, 2, 3)


def test_who_may_only_read_sees_everything_and_types_nothing(ready: Call) -> None:
    shown = screen(ready, by=READER)
    assert shown.is_closed
    assert all(box.is_closed for box in (*shown.found, *shown.left, *shown.trips[0].fields.values()))
    assert [row.is_spare for row in shown.trips] == [False, False]
    assert shown.starts == ()


def test_a_bare_number_takes_the_unit_of_its_own_scale(found: Call) -> None:
    """The dials of the laundry are marked in psi, its gauge too (their scales in the plant file and the store)."""
    shown = screen(found, system=UnitSystem.SI)
    units = {box.path: box.unit for box in shown.found}
    assert units["as_found.high_limit"] == "psi", "of the dial, whatever the reader's units are"
    assert units["as_found.jumpers"] == ""
    trip = shown.trips[0].fields
    assert (trip["reading.1"].unit, trip["burner_off.1"].unit, trip["gauge_leg"].unit) == ("psi", "s", "")


def test_the_abort_pressure_is_in_sight_as_it_is_told_beforehand(settled: Call) -> None:
    beforehand = told(settled)
    settled.enter({**FOUND, "trip.1.control": "high_limit", "trip.1.method": "true rise"})
    assert screen(settled).stands.in_sight[1].short.startswith("Write down the reference gauge")
    settled.enter({**FOUND, **{key: text for key, text in HIGH_LIMIT.items() if "reading" not in key}})
    seen = screen(settled).stands.in_sight[1]
    assert f"STOP THE BURNER BY HAND when the gauge shows {seen.number} and it has not acted" in beforehand
    # Half a division of 0.5 psi is the finest that is read on this gauge: a quarter of a psi.
    assert float(seen.number.removesuffix(" psi")) % 0.25 == 0.0


def test_an_open_change_is_told_on_every_page_until_it_is_closed_and_seen(found: Call) -> None:
    opened_only = {key: text for key, text in CHANGE.items() if "closed" not in key and "verified" not in key}
    boiler = at_visit(found.store, found.visit).boiler.id
    assert open_changes(found.store, boiler) == {}
    found.enter({**FOUND, **opened_only})
    (change,) = open_changes(found.store, boiler)[found.visit]
    assert (change.label, change.is_open) == ("OPEN", True)
    shown = screen(found)
    assert shown.stands.open_changes == (change,)
    assert shown.stands.steps["temporary"].text == "1 OPEN"
    assert first_step(shown) == "temporary"
    found.enter({**FOUND, **{key: text for key, text in CHANGE.items() if "verified" not in key}})
    assert found.visit in open_changes(found.store, boiler), "closed, and nobody saw it"
    found.enter({**FOUND, **CHANGE})
    assert open_changes(found.store, boiler) == {}
    assert screen(found).stands.open_changes == ()


def test_no_one_touch_text_takes_a_control_out_of_its_circuit(found: Call) -> None:
    taps = [tap for row in screen(found).changes for box in row.fields.values() for tap in box.taps]
    found.enter({**FOUND, "temporary.1.what": taps[0], "temporary.1.reason": " ".join(taps)})
    (change,) = at_visit(found.store, found.visit).visit.temporary_changes
    assert not change.speaks_of_a_bypass


def test_who_closed_a_change_is_not_offered_as_the_one_who_saw_it(found: Call) -> None:
    found.enter({**FOUND, **CHANGE, "temporary.1.verified_by": ""})
    taps = screen(found).changes[0].fields["verified_by"].taps
    assert taps
    assert CHANGE["temporary.1.closed_by"] not in taps


def test_two_values_are_both_shown_with_who_and_when(found: Call) -> None:
    found.enter({"as_found.high_limit": "150 psi"}, device="phone", by="Wim Kettle")
    (box,) = (each for each in screen(found).found if each.path == "as_found.high_limit")
    assert (box.state, box.text) == ("two values", "")
    assert {(value.text, value.by) for value in box.values} == {("140 psi", QUILL), ("150 psi", "Wim Kettle")}
    assert len(box.bases.split()) == 2, "the choice replaces both"
