"""The table [boiler.measured]: what a watch and a gauge gave."""

from typing import Annotated, Final, Literal

from pydantic import Field

from evenfire.delivery.intake.tables.quantities import (
    FiringShare,
    GaugePressure,
    LoadShare,
    PressureDifference,
    TemperatureRate,
    Time,
)
from evenfire.delivery.intake.tables.table import Table, optional, required
from evenfire.plant.readings import Measured, RunOn, Undershoot

MOST_READINGS: Final = 50


def _load(share: float | Literal["none"]) -> float:
    return 0.0 if share == "none" else share


class RunOnTable(Table):
    """How far the pressure ran on after the burner was stopped."""

    rise: PressureDifference = required("Highest pressure after the stop less the pressure at the stop.", "3 psi")
    firing: FiringShare = required("Firing when it was stopped: low, full, or a share of full fire.", "low", "40 %")
    load: LoadShare = required("Steam drawn meanwhile: none, or a share of the output.", "none", "30 %")
    at_pressure: GaugePressure | None = optional(
        "Gauge at the stop; without it, the rise is taken as if read where it is needed.", "108 psi", alias="at"
    )

    def value(self) -> RunOn:
        """The reading; only the boiler knows low fire, so this one serves as a check."""
        return self.at(1.0)

    def at(self, low_fire: float) -> RunOn:
        """The reading, where low fire is this share of full fire."""
        load = _load(self.load)
        return RunOn(rise=self.rise, firing=self._firing(low_fire), load=load, at=self.at_pressure)

    def _firing(self, low_fire: float) -> float:
        match self.firing:
            case "low":
                return low_fire
            case "full":
                return 1.0
            case share:
                return share


class UndershootTable(Table):
    """How far the pressure fell below cut-in before it turned."""

    fall: PressureDifference = required("Cut-in less the lowest pressure that followed.", "4 psi")
    load: LoadShare = required("Steam drawn meanwhile as a share of the output.", "25 %")

    def value(self) -> Undershoot:
        """The reading."""
        return Undershoot(fall=self.fall, load=_load(self.load))


class MeasuredTable(Table):
    """Readings with a watch and a gauge; they beat everything that is computed."""

    run_on: Annotated[tuple[RunOnTable, ...], Field(strict=False, max_length=MOST_READINGS)] = Field(
        default=(),
        description="How far the pressure rose after the burner was stopped, with the firing and the load then.",
        examples=[[{"rise": "3 psi", "firing": "low", "load": "none", "at": "118 psi"}]],
    )
    undershoot: UndershootTable | None = optional(
        "How far the pressure fell below cut-in before it turned, and the load then.",
        {"fall": "4 psi", "load": "25 %"},
    )
    contact_to_low_fire: Time | None = optional(
        "From the contact of the operating limit to the heat of low fire.", "75 s"
    )
    warm_up_rate: TemperatureRate | None = optional("How fast the water warmed from cold.", "90 F/h")

    def value(self) -> Measured:
        """The readings; only the boiler knows low fire, so these serve as a check."""
        return self.at(1.0)

    def at(self, low_fire: float) -> Measured:
        """The readings, where low fire is this share of full fire."""
        return Measured(
            run_on=tuple(reading.at(low_fire) for reading in self.run_on),
            undershoot=self.undershoot.value() if self.undershoot is not None else None,
            contact_to_low_fire=self.contact_to_low_fire,
            warm_up_rate=self.warm_up_rate,
        )
