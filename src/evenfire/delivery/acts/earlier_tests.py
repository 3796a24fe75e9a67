"""What the signed records of a boiler tell of earlier trip tests."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from evenfire.delivery.records.canonical import Plain
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.record import RecordKind, facts_of
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.records.signed import records_of
from evenfire.judgement.trip_test.repeatability import Scatter, scatter_of
from evenfire.judgement.trip_test.trip import Earlier, Method
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierTest:
    """A trip test as a signed record holds it."""

    record: str
    on: date
    role: Role
    serial: str
    """Of the control; empty where nobody wrote it down"""
    method: str
    verdict: str
    readings: tuple[float, ...]
    """[Pa gauge]"""
    set_pressure: float | None
    """[Pa gauge]"""
    band: float | None
    """[Pa]"""
    trip: float | None
    """[Pa gauge]"""
    standard_uncertainty: float | None
    """[Pa]"""
    dial: float | None
    """[Pa gauge]"""


def earlier_tests(store: Store, boiler: str) -> tuple[EarlierTest, ...]:
    """Every trip test of a boiler in its signed visits, oldest first."""
    found = [test for kept in records_of(store, boiler) for test in _tests_in(kept.record.id, kept.record.content)]
    return tuple(sorted(found, key=lambda each: each.on))


def earlier_of(store: Store, boiler: str, surveyed: Boiler, role: Role) -> Earlier:
    """What earlier tests of the control that does this work now tell of its repeatability."""
    control = surveyed.controls.of(role)
    serial = "" if control is None or control.serial is None else control.serial
    tests = [
        each
        for each in earlier_tests(store, boiler)
        if each.role is role and each.method == Method.TRUE_RISE.value and len(each.readings) > 1
    ]
    return Earlier(this_control=_scatters(tests, serial, own=True), same_kind=_scatters(tests, serial, own=False))


def _scatters(tests: list[EarlierTest], serial: str, *, own: bool) -> tuple[Scatter, ...]:
    """Of this very control, or of others in its place: one without a serial is nobody's."""
    return tuple(scatter_of(each.readings) for each in tests if (bool(serial) and each.serial == serial) is own)


def _tests_in(record: str, content: bytes) -> Iterator[EarlierTest]:
    facts = facts_of(content)
    if facts.head.kind is RecordKind.VISIT:
        yield from (_test(record, row) for row in rows_of(facts.body, "trip_tests") if text_of(row, "control"))


def _test(record: str, row: Mapping[str, Plain]) -> EarlierTest:
    shown = [text_of(each, "shown_pa_gauge") for each in rows_of(row, "readings")]
    return EarlierTest(
        record=record,
        on=date.fromisoformat(text_of(row, "on")),
        role=Role(text_of(row, "control")),
        serial=text_of(row, "serial"),
        method=text_of(row, "method"),
        verdict=text_of(row, "verdict"),
        readings=tuple(float(Decimal(each)) for each in shown if each),
        set_pressure=_number(row, "set_pa_gauge"),
        band=_number(row, "within_pa"),
        trip=_number(row, "trip_pa_gauge"),
        standard_uncertainty=_number(row, "standard_uncertainty_pa"),
        dial=_number(row, "dial_pa_gauge"),
    )


def _number(row: Mapping[str, Plain], key: str) -> float | None:
    text = text_of(row, key)
    return float(Decimal(text)) if text else None
