"""The visit that a set of entries makes."""

from datetime import datetime

import pytest

from evenfire.delivery.visits.fields import Service
from evenfire.delivery.visits.visit import Opening, Visit, visit_of
from evenfire.judgement.trip_test.devices import Device
from evenfire.plant.controls import Filling, Position, Role, WaterLeg
from evenfire.plant.settings import Switch
from tests.delivery.visits.typing_in import NOON, VISIT, entry

PSI = 6894.757293168361  # 0.45359237 x 9.80665 / 0.0254^2, by hand


def visit(**texts: str) -> Visit:
    """A visit into whose fields these texts were typed; two underscores stand for a dot."""
    made = [entry(number, path.replace("__", "."), text) for number, (path, text) in enumerate(texts.items(), 1)]
    return visit_of(Opening(id=VISIT, boiler="b", survey="s", opened_at=NOON, opened_by="tech-1"), tuple(made))


def test_dials_are_read_into_three_sets_that_are_never_mixed() -> None:
    read = visit(
        as_found__operating_limit="120 psi",
        as_found__operating_limit_differential="8 psi",
        proposed__operating_limit="128.5 psi",
        proposed__proved="high_limit",
        proposed__plant_revision="r",
        proposed__engine_version="0.1.0",
        as_left__high_limit="140 psi",
    )
    found, left = read.as_found.settings, read.as_left
    assert found.operating_limit is not None
    assert found.operating_limit.main == pytest.approx(120 * PSI)
    assert found.operating_limit.differential == pytest.approx(8 * PSI)
    assert found.high_limit is None
    assert read.proposed is not None
    assert read.proposed.settings.proved == {Role.HIGH_LIMIT}
    assert left.high_limit is not None
    assert left.high_limit.main == pytest.approx(140 * PSI)
    assert left.operating_limit is None


def test_a_proposal_without_its_survey_or_its_program_is_none() -> None:
    assert visit(proposed__operating_limit="128.5 psi", proposed__plant_revision="r").proposed is None


def test_nobody_looked_is_not_none_seen() -> None:
    assert visit().as_found.jumpers is None
    assert visit(as_found__jumpers="none").as_found.jumpers == ()
    assert visit(as_found__jumpers="wire across the limit").as_found.jumpers == ("wire across the limit",)


def test_a_temporary_change_is_closed_only_when_somebody_saw_it_closed_after_it_was_opened() -> None:
    def closed(**texts: str) -> bool:
        (change,) = visit(temporary__1__opened_at="2026-11-25 10:00", **texts).temporary_changes
        return change.is_closed

    assert not closed()
    assert not closed(temporary__1__closed_at="2026-11-25 10:30", temporary__1__closed_by="R")
    assert not closed(
        temporary__1__closed_at="2026-11-25 09:59", temporary__1__closed_by="R", temporary__1__verified_by="S"
    )
    assert closed(
        temporary__1__closed_at="2026-11-25 10:30", temporary__1__closed_by="R", temporary__1__verified_by="S"
    )


def test_a_trip_test_holds_its_repeats_in_order_whatever_was_left_out() -> None:
    (trip,) = visit(
        trip__2__control="high_limit",
        trip__2__reading__3="139 psi",
        trip__2__reading__1="140 psi",
        trip__2__burner_off__1="1.2 s",
        trip__2__opened="yes",
        trip__2__held_until_reset="no",
    ).trips
    assert (trip.row, trip.control, trip.opened, trip.held_until_reset) == (2, Role.HIGH_LIMIT, True, False)
    read: list[object] = [(each.repeat, each.shown, each.burner_off) for each in trip.readings]
    assert read == [
        (1, pytest.approx(140 * PSI), 1.2),
        (3, pytest.approx(139 * PSI), None),
    ]


def test_what_could_not_be_read_is_no_value_and_is_listed() -> None:
    read = visit(as_left__high_limit="140", as_left__service="running", trip__1__opened="maybe")
    assert read.as_left.high_limit is None
    assert read.service is None
    assert read.trips[0].opened is None
    assert [each.path for each in read.unreadable] == ["as_left.high_limit", "as_left.service", "trip.1.opened"]


def test_the_rest_of_a_visit_arrives_where_it_belongs() -> None:
    read = visit(
        call__reason="tripped twice in the night",
        call__consent="plant manager",
        call__arrived="2026-11-25 10:42",
        as_found__switch="manual",
        as_found__manual_cap="60 %",
        as_found__unexplained_resets="2",
        as_left__switch="automatic",
        as_left__cycles_seen="3",
        as_left__service="out of service",
        as_left__locked_out_by="R. Fenn",
        device__1__kind="flame failure",
        device__1__works="yes",
        device__1__took="3.1 s",
        move__1__words="Operating limit: down",
        move__1__done_at="2026-11-25 11:05",
        photo__1__hash="a" * 64,
        photo__1__shows="nameplate",
        note__2__text="siphon warm",
    )
    assert (read.reason, read.consent) == ("tripped twice in the night", "plant manager")
    assert read.arrived == datetime(2026, 11, 25, 10, 42)  # noqa: DTZ001  the clock on the wall
    assert (read.as_found.switch, read.as_found.manual_cap, read.as_found.unexplained_resets) == (Switch.MANUAL, 0.6, 2)
    assert (read.switch_left, read.cycles_seen) == (Switch.AUTOMATIC, 3)
    assert (read.service, read.locked_out_by) == (Service.OUT_OF_SERVICE, "R. Fenn")
    assert [(each.kind, each.works, each.took) for each in read.devices] == [(Device.FLAME_FAILURE, True, 3.1)]
    assert [(each.words, each.done_by) for each in read.moves] == [("Operating limit: down", None)]
    assert [(each.hash, each.shows) for each in read.photos] == [("a" * 64, "nameplate")]
    assert read.notes == ("siphon warm",)


def test_the_leg_of_a_gauge_is_known_only_when_all_of_it_was_written_down() -> None:
    def leg(**texts: str) -> object:
        (trip,) = visit(trip__1__gauge="G-17", **texts).trips
        return trip.gauge_leg

    assert leg() is None
    assert leg(trip__1__gauge_leg="12 in") is None
    assert leg(trip__1__gauge_leg="12 in", trip__1__gauge_hangs="below") is None
    whole = leg(trip__1__gauge_leg="12 in", trip__1__gauge_hangs="above", trip__1__gauge_leg_is="unsure")
    assert isinstance(whole, WaterLeg)
    assert whole.height == pytest.approx(0.3048)
    assert (whole.position, whole.filling) == (Position.ABOVE_TAP, Filling.UNSURE)
    assert leg(trip__1__gauge_leg="0 in") == WaterLeg(height=0.0, position=Position.BELOW_TAP, filling=Filling.FULL)
