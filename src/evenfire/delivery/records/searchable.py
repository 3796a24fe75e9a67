"""What can be searched of a signed visit, read out of its body, whether it was signed here or elsewhere."""

from collections.abc import Iterator, Mapping

from evenfire.delivery.records.canonical import Plain
from evenfire.delivery.records.record import RecordFacts, RecordKind
from evenfire.delivery.records.signed import KeptFinding, KeptSetting, Searchable, TripResult

SETS = ("as_found", "proposed", "as_left")
JUDGED = {"as_found": "judged_as_found", "as_left": "judged_as_left"}
CLEAR = "clear"


def searchable_in(facts: RecordFacts) -> Searchable:
    """What the store repeats of a record; a body of another shape gives nothing, and is kept all the same."""
    if facts.head.kind is not RecordKind.VISIT:
        return Searchable()
    return Searchable(
        trips=tuple(_trip(each, facts) for each in rows_of(facts.body, "trip_tests") if text_of(each, "control")),
        settings=tuple(_settings(facts.body)),
        findings=tuple(_findings(facts.body)),
    )


def rows_of(body: Mapping[str, Plain], key: str) -> tuple[dict[str, Plain], ...]:
    """The objects in a list of a body."""
    found = body.get(key)
    return tuple(each for each in found if isinstance(each, dict)) if isinstance(found, list) else ()


def text_of(row: Mapping[str, Plain], key: str) -> str:
    """A text of a row; empty where there is none."""
    found = row.get(key)
    return found if isinstance(found, str) else ""


def _trip(row: Mapping[str, Plain], facts: RecordFacts) -> TripResult:
    return TripResult(
        role=text_of(row, "control"),
        serial=text_of(row, "serial") or None,
        method=text_of(row, "method"),
        set_pa_gauge=text_of(row, "set_pa_gauge") or None,
        trip_pa_gauge=text_of(row, "trip_pa_gauge") or None,
        standard_uncertainty_pa=text_of(row, "standard_uncertainty_pa") or None,
        degrees_of_freedom=text_of(row, "degrees_of_freedom") or None,
        verdict=text_of(row, "verdict"),
        tested_at=facts.head.signed_at,
    )


def _settings(body: Mapping[str, Plain]) -> Iterator[KeptSetting]:
    settings = body.get("settings")
    for which in SETS:
        dials = settings.get(which) if isinstance(settings, dict) else None
        for dial, reading in dials.items() if isinstance(dials, dict) else ():
            if isinstance(reading, dict):
                si = text_of(reading, "si_pa_gauge") or text_of(reading, "si_pa")
                yield KeptSetting(which=which, dial=dial, text=text_of(reading, "text"), si=si)


def _findings(body: Mapping[str, Plain]) -> Iterator[KeptFinding]:
    for which, key in JUDGED.items():
        for row in rows_of(body, key):
            if text_of(row, "outcome") != CLEAR:
                yield KeptFinding(
                    which=which,
                    code=text_of(row, "code"),
                    severity=text_of(row, "severity"),
                    subject=text_of(row, "subject"),
                )
