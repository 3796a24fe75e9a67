"""What the signed visits of a boiler tell, day by day: dials, trip tests, other devices, and what was amended."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from evenfire.delivery.acts.earlier_tests import EarlierTest, test_rows, tests_in
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.held import container_of, known_of
from evenfire.delivery.records.key_register import known_keys
from evenfire.delivery.records.record import RecordFacts, RecordKind, facts_of
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.records.signed import KeptRecord, records_of
from evenfire.delivery.records.verification import Judged, Standing
from evenfire.delivery.records.verifying import verify
from evenfire.delivery.report.history_answer import AmendmentOfTest
from evenfire.delivery.report.verify_text import flaw_words, standing_words
from evenfire.judgement.trip_test.devices import Device, DeviceVerdict
from evenfire.plant.controls import Role
from evenfire.si import GaugePa

DAY = 10
"""Of a moment as written: its day [characters]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedDevice:
    """A test of another safety device."""

    device: Device
    valve: str
    """Name of the safety valve; empty where none was named"""
    verdict: DeviceVerdict


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedVisit:
    """One signed visit."""

    record: str
    on: date
    signer: str
    signed_at: datetime
    is_known: bool
    """Signed by a key that this store knows, and held here before it was withdrawn"""
    service: str
    """How the boiler was left; empty where nobody wrote it down"""
    found: Mapping[Role, GaugePa]
    """Dials as found [Pa gauge]"""
    left: Mapping[Role, GaugePa]
    """Dials as left [Pa gauge]"""
    trips: tuple[EarlierTest, ...]
    devices: tuple[RecordedDevice, ...]
    is_unread: bool
    """It holds a trip test that cannot be read"""
    amendments: tuple[AmendmentOfTest, ...]


def recorded_visits(store: Store, boiler: str) -> tuple[RecordedVisit, ...]:
    """Every signed visit of a boiler (by its id), in the order of their days.

    Raises
    ------
    BadContent
        A record has not the shape of one: it does not verify either.
    """
    keys = known_keys(store)
    read = [(kept, facts_of(kept.record.content)) for kept in records_of(store, boiler)]
    amended = [_amendment(kept, facts) for kept, facts in read if facts.head.kind is RecordKind.AMENDMENT]
    visits = []
    for kept, facts in read:
        if facts.head.kind is not RecordKind.VISIT:
            continue
        key = keys.get(kept.record.fingerprint)
        # When a record came here is known by this store's own clock; when it was signed, its signer alone says.
        is_known = key is not None and (key.withdrawn is None or kept.held_since <= key.withdrawn.at)
        about = tuple(each for named, each in amended if named == kept.record.id)
        visits.append(_visit(kept, facts, about, is_known=is_known))
    return tuple(sorted(visits, key=lambda each: (each.on, each.signed_at, each.record)))


def why_not_verified(store: Store, boiler: str) -> str:
    """What is wrong with the records of a boiler (by its id), the first of it in words; empty where they verify.

    A signer that nobody here knows is no such thing: what he passed counts for nothing by itself.
    """
    container = container_of(store, boiler)
    if not container.records:
        return ""
    found = verify(container, known_of(store))
    if found.judged is not Judged.DOES_NOT_VERIFY:
        return ""
    flaws = [flaw_words(each, found).what for each in found.problems]
    withdrawn = (each for each in found.signers if each.standing is Standing.WITHDRAWN_BEFORE)
    flaws += [standing_words(each, 1).what for each in withdrawn]
    return flaws[0] if len(flaws) == 1 else f"{flaws[0]} And {len(flaws) - 1} more."


def _visit(
    kept: KeptRecord, facts: RecordFacts, about: tuple[AmendmentOfTest, ...], *, is_known: bool
) -> RecordedVisit:
    day = _day(facts)
    made = tests_in(kept.record.id, facts, is_known=is_known)
    # A mistyped day after the signature would put off the next test.
    trips = tuple(replace(each, on=min(each.on, day)) for each in made)
    return RecordedVisit(
        record=kept.record.id,
        on=day,
        signer=facts.head.signer.name,
        signed_at=facts.head.signed_at,
        is_known=is_known,
        service=text_of(facts.body, "service"),
        found=dict(_dials(facts, "as_found")),
        left=dict(_dials(facts, "as_left")),
        trips=trips,
        devices=tuple(_devices(facts)),
        is_unread=len(trips) < len(test_rows(facts)),
        amendments=about,
    )


def _amendment(kept: KeptRecord, facts: RecordFacts) -> tuple[str | None, AmendmentOfTest]:
    told = AmendmentOfTest(
        record=kept.record.id,
        text=text_of(facts.body, "text"),
        signer=facts.head.signer.name,
        signed_at=facts.head.signed_at,
    )
    return facts.amends, told


def _day(facts: RecordFacts) -> date:
    """The day of the visit, by the clock on the wall where somebody wrote it down; never after it was signed."""
    signed = facts.head.signed_at.date()
    for table, key in (("call", "arrived"), ("visit", "opened_at")):
        row = facts.body.get(table)
        text = text_of(row, key) if isinstance(row, dict) else ""
        try:
            return min(date.fromisoformat(text[:DAY]), signed)
        except ValueError:
            continue
    return signed


def _dials(facts: RecordFacts, table: str) -> Iterator[tuple[Role, GaugePa]]:
    settings = facts.body.get("settings")
    dials = settings.get(table) if isinstance(settings, dict) else None
    for role in Role:
        dial = dials.get(role.value) if isinstance(dials, dict) else None
        text = text_of(dial, "si_pa_gauge") if isinstance(dial, dict) else ""
        try:
            yield role, GaugePa(float(Decimal(text)))
        except ArithmeticError:
            continue


def _devices(facts: RecordFacts) -> Iterator[RecordedDevice]:
    for row in rows_of(facts.body, "devices"):
        try:
            device, verdict = Device(text_of(row, "device")), DeviceVerdict(text_of(row, "verdict"))
        except ValueError:
            # Not written down, not judged, or of a later program: it shows nothing.
            continue
        yield RecordedDevice(device=device, valve=text_of(row, "valve"), verdict=verdict)
