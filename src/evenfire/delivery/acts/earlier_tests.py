"""What the signed records of a boiler tell of earlier trip tests."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from hashlib import sha256
from math import isfinite
from typing import Final

from evenfire.delivery.acts.remembering import Remembered
from evenfire.delivery.records.canonical import Plain
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.key_register import known_keys
from evenfire.delivery.records.record import RecordFacts, RecordKind, SignedRecord, facts_of
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.records.signed import records_of
from evenfire.judgement.trip_test.repeatability import Scatter, scatter_of
from evenfire.judgement.trip_test.trip import Earlier, Method
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role

RECORDS_KEPT_READ: Final = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierTest:
    """A trip test as a signed record holds it."""

    record: str
    is_known: bool
    """Signed by a key that this store knows, and that is not withdrawn"""
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
    is_other_aim: bool
    """Made against another pressure, or a wider band, than the control was to act at"""
    trip: float | None
    """[Pa gauge]"""
    standard_uncertainty: float | None
    """[Pa]"""
    expanded_uncertainty: float | None
    """At 95 % [Pa]"""
    dial: float | None
    """[Pa gauge]"""


_READ: Final = Remembered[tuple[EarlierTest, ...]](RECORDS_KEPT_READ)
"""By what is signed: a record that was changed is another one."""


def earlier_tests(store: Store, boiler: str) -> tuple[EarlierTest, ...]:
    """Every trip test of a boiler in its signed visits, oldest first; one that cannot be read is left out."""
    keys = known_keys(store)
    standing = {fingerprint for fingerprint, known in keys.items() if known.withdrawn is None}
    found = [
        test
        for kept in records_of(store, boiler)
        for test in _tests_in(kept.record, is_known=kept.record.fingerprint in standing)
    ]
    return tuple(sorted(found, key=lambda each: each.on))


def _tests_in(record: SignedRecord, *, is_known: bool) -> tuple[EarlierTest, ...]:
    """The tests of one record: a page asks for them after every field, and reading one takes longer than judging."""
    key = (record.id, sha256(record.content).digest(), is_known)
    return _READ.of(key, lambda: tuple(tests_in(record.id, facts_of(record.content), is_known=is_known)))


def earlier_of(store: Store, boiler: str, surveyed: Boiler, role: Role) -> Earlier:
    """What earlier tests of the control that does this work now tell of its repeatability.

    Only those signed by somebody known here count: a doubt is made smaller by them.
    """
    control = surveyed.controls.of(role)
    serial = "" if control is None or control.serial is None else control.serial
    tests = [
        each
        for each in earlier_tests(store, boiler)
        if each.is_known and each.role is role and each.method == Method.TRUE_RISE.value and len(each.readings) > 1
    ]
    return Earlier(this_control=_scatters(tests, serial, own=True), same_kind=_scatters(tests, serial, own=False))


def _scatters(tests: list[EarlierTest], serial: str, *, own: bool) -> tuple[Scatter, ...]:
    """Of this very control, or of others in its place: one without a serial is nobody's."""
    return tuple(scatter_of(each.readings) for each in tests if (bool(serial) and each.serial == serial) is own)


def tests_in(record: str, facts: RecordFacts, *, is_known: bool) -> tuple[EarlierTest, ...]:
    """The trip tests in one record, in its order; one that cannot be read is left out."""
    read = []
    for row in test_rows(facts):
        try:
            read.append(_test(record, row, is_known=is_known))
        except (ValueError, ArithmeticError):
            # A record from elsewhere may hold anything; it is kept as it was signed, and nothing is drawn from it.
            continue
    return tuple(read)


def test_rows(facts: RecordFacts) -> tuple[Mapping[str, Plain], ...]:
    """The trip tests of a visit that name a control, as the record holds them."""
    if facts.head.kind is not RecordKind.VISIT:
        return ()
    return tuple(row for row in rows_of(facts.body, "trip_tests") if text_of(row, "control"))


def _test(record: str, row: Mapping[str, Plain], *, is_known: bool) -> EarlierTest:
    shown = [text_of(each, "shown_pa_gauge") for each in rows_of(row, "readings")]
    return EarlierTest(
        record=record,
        is_known=is_known,
        on=date.fromisoformat(text_of(row, "on")),
        role=Role(text_of(row, "control")),
        serial=text_of(row, "serial"),
        method=text_of(row, "method"),
        verdict=text_of(row, "verdict"),
        readings=tuple(_finite(each) for each in shown if each),
        set_pressure=_number(row, "set_pa_gauge"),
        band=_number(row, "within_pa"),
        is_other_aim=text_of(row, "other_aim") == "yes",
        trip=_number(row, "trip_pa_gauge"),
        standard_uncertainty=_number(row, "standard_uncertainty_pa"),
        expanded_uncertainty=_number(row, "expanded_uncertainty_pa"),
        dial=_number(row, "dial_pa_gauge"),
    )


def _number(row: Mapping[str, Plain], key: str) -> float | None:
    text = text_of(row, key)
    return _finite(text) if text else None


def _finite(text: str) -> float:
    value = float(Decimal(text))
    if not isfinite(value):
        raise ValueError(text)
    return value
