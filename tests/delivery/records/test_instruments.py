from dataclasses import replace
from datetime import date

import pytest

from evenfire.delivery.records import instruments, registers
from evenfire.delivery.records.attachments import attach_file
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.instruments import Calibration, ReferenceGauge
from evenfire.errors import BadRequest, UnreadableQuantity
from evenfire.plant.controls import Role
from tests.delivery.records.store_examples import at_work, named_id

CALIBRATION = Calibration(
    made_on=date(2026, 1, 12),
    due_on=date(2027, 1, 12),
    certificate="C-118",
    made_by="Fell Instruments",
    correction="-0.2 psi",
    expanded_uncertainty="0.25 psi",
    coverage_factor="2",
    attachment=None,
)


def gauge(store: Store, serial: str = "G-17") -> ReferenceGauge:
    return instruments.add_gauge(
        store,
        serial=serial,
        name="test gauge",
        scale_from="0 psi",
        scale_to="200 psi",
        division="1 psi",
        accuracy="0.25 %",
    )


def test_a_gauge_comes_back_as_it_stands_on_its_dial(store: Store) -> None:
    kept = gauge(store)
    assert instruments.gauges_of(store) == (kept,)
    assert (kept.scale_to, kept.division, kept.accuracy) == ("200 psi", "1 psi", "0.25 %")
    assert not kept.is_retired
    assert instruments.retire_gauge(store, "G-17").is_retired
    assert instruments.find_gauge(store, "G-17").is_retired
    with pytest.raises(BadRequest, match="already"):
        gauge(store)
    with pytest.raises(BadRequest, match="no reference gauge"):
        instruments.retire_gauge(store, "G-18")


@pytest.mark.parametrize(
    ("field", "text"), [("scale_to", "200"), ("division", "1 mm"), ("accuracy", "good"), ("scale_from", "-")]
)
def test_a_gauge_with_a_quantity_that_cannot_be_read_is_refused(store: Store, field: str, text: str) -> None:
    given = {"scale_from": "0 psi", "scale_to": "200 psi", "division": "1 psi", "accuracy": "0.5 psi", field: text}
    with pytest.raises(UnreadableQuantity):
        instruments.add_gauge(
            store,
            serial="G-1",
            name="x",
            scale_from=given["scale_from"],
            scale_to=given["scale_to"],
            division=given["division"],
            accuracy=given["accuracy"],
        )
    assert instruments.gauges_of(store) == ()


def test_the_calibration_that_counts_on_a_day_is_the_last_one_made_by_then(store: Store) -> None:
    gauge(store)
    later = replace(CALIBRATION, made_on=date(2026, 7, 1), certificate="C-200", due_on=None)
    instruments.add_calibration(store, "G-17", later)
    kept = instruments.add_calibration(store, "G-17", CALIBRATION)
    assert kept.calibrations == (CALIBRATION, later)
    assert kept.calibration_on(date(2026, 1, 11)) is None
    assert kept.calibration_on(date(2026, 1, 12)) == CALIBRATION
    assert kept.calibration_on(date(2026, 6, 30)) == CALIBRATION
    assert kept.calibration_on(date(2026, 7, 1)) == later


def test_a_calibration_names_a_certificate_that_is_here_and_a_day_that_comes_after(store: Store) -> None:
    gauge(store)
    with pytest.raises(BadRequest, match="attach the certificate first"):
        instruments.add_calibration(store, "G-17", replace(CALIBRATION, attachment="0" * 64))
    with pytest.raises(BadRequest, match="on a later day"):
        instruments.add_calibration(store, "G-17", replace(CALIBRATION, due_on=CALIBRATION.made_on))
    with pytest.raises(UnreadableQuantity):
        instruments.add_calibration(store, "G-17", replace(CALIBRATION, expanded_uncertainty="0.25"))
    paper = attach_file(store, b"%PDF-1.7", "C-118.pdf", "application/pdf")
    kept = instruments.add_calibration(store, "G-17", replace(CALIBRATION, attachment=paper.sha256))
    assert [each.attachment for each in kept.calibrations] == [paper.sha256]


def test_fitting_a_control_takes_off_what_was_there(store: Store) -> None:
    at = at_work(store)
    put = {"boiler": at.boiler.id, "role": Role.HIGH_LIMIT}
    first = instruments.fit_control(store, **put, serial="HL-1", kind="bellows", on=date(2020, 5, 1))  # type: ignore[arg-type]
    second = instruments.fit_control(store, **put, serial="HL-2", kind="bellows", on=date(2026, 3, 2))  # type: ignore[arg-type]
    found = instruments.fittings_of(store, at.boiler.id)
    assert [(each.serial, each.fitted_on, each.removed_on) for each in found] == [
        ("HL-1", date(2020, 5, 1), date(2026, 3, 2)),
        ("HL-2", date(2026, 3, 2), None),
    ]
    assert found[1] == second
    assert instruments.fittings_of(store, serial="HL-1")[0].id == first.id


def test_a_control_is_in_one_place_at_a_time_and_moves_when_it_was_taken_off(store: Store) -> None:
    at = at_work(store)
    other = registers.add_boiler(store, at.boiler.site.id, "No. 2")
    here = instruments.fit_control(
        store, boiler=at.boiler.id, role=Role.HIGH_LIMIT, serial="HL-1", kind="", on=date(2020, 5, 1)
    )
    with pytest.raises(BadRequest, match="fitted elsewhere"):
        instruments.fit_control(
            store, boiler=other.id, role=Role.HIGH_LIMIT, serial="HL-1", kind="", on=date(2026, 1, 1)
        )
    with pytest.raises(BadRequest, match="cannot come off"):
        instruments.remove_control(store, here.id, on=date(2019, 1, 1))
    assert instruments.remove_control(store, here.id, on=date(2025, 1, 1)).removed_on == date(2025, 1, 1)
    with pytest.raises(BadRequest, match="cannot come off"):
        instruments.remove_control(store, here.id, on=date(2025, 2, 1))
    instruments.fit_control(
        store, boiler=other.id, role=Role.OPERATING_LIMIT, serial="HL-1", kind="", on=date(2026, 1, 1)
    )
    assert [each.boiler for each in instruments.fittings_of(store, serial="HL-1")] == [at.boiler.id, other.id]


def test_nothing_is_fitted_before_what_is_there_or_on_a_boiler_that_is_not(store: Store) -> None:
    at = at_work(store)
    instruments.fit_control(
        store, boiler=at.boiler.id, role=Role.HIGH_LIMIT, serial="HL-1", kind="", on=date(2026, 5, 1)
    )
    with pytest.raises(BadRequest, match="a later day is wanted"):
        instruments.fit_control(
            store, boiler=at.boiler.id, role=Role.HIGH_LIMIT, serial="HL-2", kind="", on=date(2026, 4, 1)
        )
    with pytest.raises(BadRequest, match="no boiler"):
        instruments.fit_control(
            store, boiler=named_id("none"), role=Role.HIGH_LIMIT, serial="HL-3", kind="", on=date(2026, 4, 1)
        )
    with pytest.raises(BadRequest, match="no fitted control"):
        instruments.remove_control(store, named_id("none"), on=date(2026, 4, 1))
