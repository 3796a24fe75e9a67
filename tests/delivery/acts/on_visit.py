"""A call at the invented laundry for the tests of visits: people, gauge, sheets, all through the acts."""

import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Final
from uuid import UUID, uuid5

from evenfire.delivery.acts import people, visiting
from evenfire.delivery.acts.judging_visit import judged
from evenfire.delivery.acts.signing import sign_visit
from evenfire.delivery.records import instruments
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.instruments import Calibration
from evenfire.delivery.records.registers import May, find_person
from evenfire.delivery.report.visit_text import sheet_of
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import EnteredSheet, JudgedVisit, SettledVisit, SignedVisit

EXAMPLES: Final = Path(__file__).parents[3] / "examples"
LAUNDRY: Final = (EXAMPLES / "laundry.toml").read_text(encoding="utf-8")
DAY: Final = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)
PASSPHRASE: Final = "an old kiln burns slowly"
QUILL, READER, WRITER = "Ada Quill", "Roy Ember", "Wim Kettle"
GAUGE: Final = "G-17"
_NAMES: Final = UUID("0b0f7c1e-6c0f-4a52-8c52-8f3c2f6f9d11")

Fields = Mapping[str, str]


class Clock:
    """A clock that is set by the test and goes on by a second each time it is read."""

    def __init__(self, now: datetime = DAY) -> None:
        self.now = now

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


FOUND: Final[Fields] = {
    "call.consent": "plant manager",
    "call.arrived": "2026-11-25 10:42",
    "as_found.operating_limit": "120 psi",
    "as_found.operating_limit_differential": "8 psi",
    "as_found.high_limit": "140 psi",
    "as_found.firing_rate": "110 psi",
    "as_found.firing_rate_differential": "15 psi",
    "as_found.low_fire_hold": "60 psi",
    "as_found.switch": "automatic",
    "as_found.jumpers": "none",
    "as_found.unexplained_resets": "0",
}
HIGH_LIMIT: Final[Fields] = {
    "trip.1.control": "high_limit",
    "trip.1.method": "true rise",
    "trip.1.dial": "141 psi",
    "trip.1.gauge": GAUGE,
    "trip.1.gauge_leg": "0 in",
    "trip.1.rise": "2 psi",
    "trip.1.reading.1": "139.75 psi",
    "trip.1.reading.2": "139.5 psi",
    "trip.1.reading.3": "139.75 psi",
    "trip.1.at_low_fire": "yes",
    "trip.1.at_the_stop": "S. Marlow",
    "trip.1.opened": "yes",
    "trip.1.early_reset_took": "no",
    "trip.1.held_until_reset": "yes",
}
OPERATING_LIMIT: Final[Fields] = {
    "trip.2.control": "operating_limit",
    "trip.2.method": "true rise",
    "trip.2.dial": "128.5 psi",
    "trip.2.gauge": GAUGE,
    "trip.2.gauge_leg": "0 in",
    "trip.2.rise": "2 psi",
    "trip.2.reading.1": "128.5 psi",
    "trip.2.reading.2": "128.25 psi",
    "trip.2.reading.3": "128.5 psi",
    "trip.2.at_low_fire": "yes",
    "trip.2.at_the_stop": "S. Marlow",
    "trip.2.opened": "yes",
    "trip.2.restarted_at": "114 psi",
}
CHANGE: Final[Fields] = {
    "temporary.1.what": "operating limit up from 128.5 to 145 psi",
    "temporary.1.reason": "true rise of the high limit",
    "temporary.1.opened_by": "A. Quill",
    "temporary.1.opened_at": "2026-11-25 11:30",
    "temporary.1.closed_by": "A. Quill",
    "temporary.1.closed_at": "2026-11-25 12:10",
    "temporary.1.verified_by": "S. Marlow",
}
LEFT: Final[Fields] = {
    "as_left.operating_limit": "128.5 psi",
    "as_left.operating_limit_differential": "14 psi",
    "as_left.high_limit": "141 psi",
    "as_left.firing_rate": "110 psi",
    "as_left.firing_rate_differential": "15 psi",
    "as_left.low_fire_hold": "60 psi",
    "as_left.switch": "automatic",
    "as_left.jumpers": "none",
    "as_left.cycles_seen": "3",
    "as_left.service": "in service",
}
WHOLE: Final[Fields] = {**HIGH_LIMIT, **OPERATING_LIMIT, **CHANGE, **LEFT}
"""Everything that is typed after settling."""


@dataclass
class Call:
    """One store with one open visit, and what a technician does there."""

    store: Store
    folder: Path
    visit: str

    def enter(self, fields: Fields, *, device: str = "laptop", by: str = QUILL) -> EnteredSheet:
        """Enter a sheet with these fields; the sheets of one device are one sheet that is corrected."""
        return self.enter_text(sheet_text(self.visit, device, fields), by=by)

    def enter_text(self, sheet: str, *, by: str = QUILL) -> EnteredSheet:
        """Enter the text of a sheet."""
        path = self.folder / "sheet.toml"
        path.write_text(sheet, encoding="utf-8")
        return visiting.enter_sheet(self.store, path, visiting.person_named(self.store, by))

    def sheet(self) -> str:
        """The sheet of the visit as it stands, as the program writes it."""
        return sheet_of(self.judged(), UnitSystem.US)

    def judged(self) -> JudgedVisit:
        """How it stands."""
        return judged(self.store, visiting.at_visit(self.store, self.visit))

    def settled(self) -> SettledVisit:
        """Settings chosen and entered."""
        at = visiting.at_visit(self.store, self.visit)
        return visiting.settle_visit(self.store, at, find_person(self.store, QUILL), UnitSystem.US)

    def signed(self, *, by: str = QUILL, passphrase: str = PASSPHRASE) -> SignedVisit:
        """Judged, signed and kept."""
        return sign_visit(self.store, self.judged(), find_person(self.store, by), passphrase, UnitSystem.US)

    def again(self, plant: str = LAUNDRY) -> "Call":
        """Another call at the same boiler."""
        return Call(self.store, self.folder, opened(self.store, self.folder, plant))


def sheet_text(visit: str, device: str, fields: Fields) -> str:
    """A filled-in sheet as anybody may write it, knowing nothing of what stands."""
    lines = [
        'format = "evenfire visit sheet 1"',
        f'visit = "{visit}"',
        f'sheet = "{uuid5(_NAMES, device)}"',
    ]
    tables: dict[str, dict[str, object]] = {}
    for path, text in fields.items():
        table, *rest = path.split(".")
        if len(rest) == 1:
            tables.setdefault(table, {})[rest[0]] = text
        else:
            tables.setdefault(f"{table}.{rest[0]}", {}).setdefault(rest[1], []) if len(rest) == 3 else None
            row = tables.setdefault(f"{table}.{rest[0]}", {})
            if len(rest) == 3:
                kept = row[rest[1]]
                assert isinstance(kept, list)
                kept.append(text)
            else:
                row[rest[1]] = text
    for name in sorted(tables):
        table, _, number = name.partition(".")
        lines.append(f"[[{table}]]" if number else f"[{table}]")
        for key, value in tables[name].items():
            lines.append(f"{key} = {_toml(value)}")
    return "\n".join([*lines, "[written_from]", ""])


def _toml(value: object) -> str:
    if isinstance(value, list):
        return f"[{', '.join(_toml(each) for each in value)}]"
    text = str(value).replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{text}"'


def new_store(place: Path, clock: Clock | None = None) -> Store:
    """A store with three people and one calibrated gauge."""
    store = Store.open(place, clock=clock or Clock())
    people.add(store, QUILL, "B-1204", May.SIGN, PASSPHRASE)
    people.add(store, READER, "", May.READ, None)
    people.add(store, WRITER, "", May.WRITE, None)
    instruments.add_gauge(
        store,
        serial=GAUGE,
        name="test gauge",
        scale_from="0 psi",
        scale_to="200 psi",
        division="0.5 psi",
        accuracy="0.1 %",
    )
    instruments.add_calibration(
        store,
        GAUGE,
        Calibration(
            made_on=date(2026, 9, 14),
            due_on=None,
            certificate="C-88",
            made_by="a laboratory",
            correction=None,
            expanded_uncertainty="0.1 psi",
            coverage_factor="2",
            attachment=None,
        ),
    )
    return store


def opened(store: Store, folder: Path, plant: str = LAUNDRY, by: str = QUILL) -> str:
    """The id of a visit that was opened from a plant file."""
    path = folder / "plant.toml"
    path.write_text(plant, encoding="utf-8")
    done = visiting.open_visit(store, find_person(store, by), plant=path, boiler=None)
    return done.at.draft.id


def copy_of(made: Path, folder: Path, clock: Clock) -> Store:
    """A store of its own for one test, from one that was made for all of them."""
    place = folder / "store" / "store.sqlite"
    shutil.copytree(made.parent, place.parent)
    return Store.open(place, clock=clock)
