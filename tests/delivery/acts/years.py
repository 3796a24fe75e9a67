"""Calls at invented boilers over several years, all through the acts: what histories and due lists are made of."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final

from evenfire.delivery.acts import people, visiting
from evenfire.delivery.acts.judging_visit import judged
from evenfire.delivery.acts.signing import amend, sign_visit
from evenfire.delivery.records import instruments, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.instruments import Calibration
from evenfire.delivery.records.registers import KeptBoiler, May, find_boiler, find_person
from evenfire.delivery.units import UnitSystem
from tests.delivery.acts.on_visit import LAUNDRY, PASSPHRASE, QUILL, Clock, sheet_text

BEN: Final = "Ben Marsh"
GAUGE: Final = "G-17"
SERIAL: Final = "HL-4711"
BOILER: Final = "Gull Quay Laundry/No. 1"
HIGH_LIMIT: Final = "[boiler.controls.high_limit]\n"
OPERATING_LIMIT: Final = "[boiler.controls.operating_limit]\n"


def laundry(high_limit: str = SERIAL, operating_limit: str = "OL-1") -> str:
    """The laundry with serial numbers on its limits, which may be 4 psi off; an empty one is not written down."""
    text = LAUNDRY.replace('{ dial = "2 psi", proved', '{ dial = "4 psi", proved')
    for head, serial in ((HIGH_LIMIT, high_limit), (OPERATING_LIMIT, operating_limit)):
        if serial:
            text = text.replace(head, f'{head}serial = "{serial}"\n')
    return text


@dataclass(frozen=True)
class Trip:
    """A trip test as it is typed; pressures in psi."""

    readings: Sequence[float]
    control: str = "high_limit"
    dial: float | None = 140.0
    set_at: float = 140.0
    within: float = 4.0
    method: str = "true rise"
    more: Mapping[str, str] = field(default_factory=dict)

    def fields(self, row: int) -> dict[str, str]:
        """What stands in the sheet."""
        told = {
            "control": self.control,
            "method": self.method,
            "set": f"{self.set_at} psi",
            "within": f"{self.within} psi",
            "gauge": GAUGE,
            "gauge_leg": "0 in",
            "rise": "2 psi",
            "at_low_fire": "yes",
            "at_the_stop": "S. Marlow",
            "opened": "yes",
        }
        if self.dial is not None:
            told["dial"] = f"{self.dial} psi"
        if self.control == "high_limit":
            told |= {"early_reset_took": "no", "held_until_reset": "yes"}
        told |= {f"reading.{place}": f"{shown} psi" for place, shown in enumerate(self.readings, 1)}
        return {f"trip.{row}.{key}": text for key, text in {**told, **self.more}.items()}


@dataclass
class Years:
    """One store, and what is done in it year by year."""

    store: Store
    clock: Clock
    folder: Path

    @property
    def boiler(self) -> KeptBoiler:
        """The laundry's."""
        return find_boiler(self.store, BOILER)

    def survey(self, text: str) -> None:
        """Take a plant file."""
        surveys.take(self.store, text.encode(), "plant.toml")

    def calibrated(self, on: date, due: date | None = None) -> None:
        """The gauge comes back from the laboratory."""
        instruments.add_calibration(
            self.store,
            GAUGE,
            Calibration(
                made_on=on,
                due_on=due,
                certificate=f"C-{on.year}",
                made_by="a laboratory",
                correction=None,
                expanded_uncertainty="0.1 psi",
                coverage_factor="2",
                attachment=None,
            ),
        )

    def visit(
        self,
        on: date,
        *trips: Trip,
        by: str = QUILL,
        boiler: str = BOILER,
        devices: Sequence[Mapping[str, str]] = (),
        more: Mapping[str, str] | None = None,
    ) -> str:
        """One call, left out of service, so that nothing has to be proved; the id of its signed record."""
        self.clock.now = datetime(on.year, on.month, on.day, 15, 0, tzinfo=UTC)
        person = find_person(self.store, by)
        visit = visiting.open_visit(self.store, person, plant=None, boiler=boiler).at.draft.id
        fields = {
            "call.consent": "plant manager",
            "call.arrived": f"{on} 09:30",
            "as_left.service": "out of service",
            "as_left.locked_out_by": "S. Marlow",
            "as_left.jumpers": "none",
        }
        for row, trip in enumerate(trips, 1):
            fields |= trip.fields(row)
        for row, device in enumerate(devices, 1):
            fields |= {f"device.{row}.{key}": text for key, text in device.items()}
        path = self.folder / "sheet.toml"
        path.write_text(sheet_text(visit, visit, {**fields, **(more or {})}), encoding="utf-8")
        visiting.enter_sheet(self.store, path, person)
        done = judged(self.store, visiting.at_visit(self.store, visit))
        return sign_visit(self.store, done, person, PASSPHRASE, UnitSystem.US).record.id

    def amend(self, record: str, text: str, *, on: date, by: str = QUILL) -> str:
        """Amend a record; the id of the amendment."""
        self.clock.now = datetime(on.year, on.month, on.day, 16, 0, tzinfo=UTC)
        return amend(self.store, record, text, find_person(self.store, by), PASSPHRASE).record.id

    def today(self, on: date) -> None:
        """Set the clock to noon of a day."""
        self.clock.now = datetime(on.year, on.month, on.day, 12, 0, tzinfo=UTC)


def new_years(folder: Path, first: date = date(2022, 3, 1)) -> Years:
    """A store with two people who sign, one gauge and no boiler."""
    clock = Clock(datetime(first.year, first.month, first.day, 8, 0, tzinfo=UTC))
    store = Store.open(folder / "store.sqlite", clock=clock)
    people.add(store, QUILL, "B-1204", May.SIGN, PASSPHRASE)
    people.add(store, BEN, "B-2", May.SIGN, PASSPHRASE)
    instruments.add_gauge(
        store,
        serial=GAUGE,
        name="test gauge",
        scale_from="0 psi",
        scale_to="200 psi",
        division="0.5 psi",
        accuracy="0.1 %",
    )
    return Years(store=store, clock=clock, folder=folder)
