"""The tables [boiler.controls.*] and what hangs on a control."""

from dataclasses import dataclass
from typing import Annotated, Any, Final

from pydantic import BeforeValidator, Field, GetJsonSchemaHandler
from pydantic_core import CoreSchema

from evenfire.delivery.intake.tables.quantities import (
    GaugePressure,
    Length,
    PressureDifference,
    Time,
    described,
    surveyed,
)
from evenfire.delivery.intake.tables.refusal import refusal
from evenfire.delivery.intake.tables.table import Table, optional, required, table
from evenfire.delivery.intake.tables.texts import Name
from evenfire.errors import ImpossibleValue
from evenfire.plant.controls import (
    Action,
    Contact,
    Control,
    Controls,
    Counts,
    DifferentialScale,
    Filling,
    Position,
    Reset,
    Scale,
    Senses,
    Tolerance,
    WaterLeg,
)

NO_WATER_LEG: Final = "none"


class ScaleTable(Table):
    """The main scale of a dial."""

    lowest: GaugePressure = required("Where the scale begins.", "10 psi", alias="from")
    highest: GaugePressure = required("Where the scale ends.", "150 psi", alias="to")
    division: PressureDifference = required("Step between two marks that can be set.", "2 psi")

    def value(self) -> Scale:
        """The scale."""
        return Scale(lowest=self.lowest, highest=self.highest, division=self.division)


class DifferentialScaleTable(Table):
    """The scale of a differential or of a throttling range; `fixed` alone when it cannot be set."""

    lowest: PressureDifference | None = optional("Smallest differential.", "6 psi", alias="from")
    highest: PressureDifference | None = optional("Largest differential.", "22 psi", alias="to")
    division: PressureDifference | None = optional("Step between two marks that can be set.", "2 psi")
    fixed: PressureDifference | None = optional("The differential of a control that has only one.", "5 psi")

    def value(self) -> DifferentialScale:
        """The scale; a fixed one begins where it ends."""
        if self.fixed is not None:
            return self._fixed(self.fixed)
        missing = [key for key, value in (("from", self.lowest), ("to", self.highest)) if value is None]
        if self.division is None:
            missing.append("division")
        if self.lowest is None or self.highest is None or missing:
            raise refusal(
                f"the differential scale lacks {' and '.join(missing)}",
                "Write from, to and division of the scale, or fixed alone when it cannot be set.",
                key=missing[0],
            )
        return DifferentialScale(lowest=self.lowest, highest=self.highest, division=self.division)

    def _fixed(self, fixed: PressureDifference) -> DifferentialScale:
        if any(value is not None for value in (self.lowest, self.highest, self.division)):
            raise refusal(
                "a differential is either fixed or has a scale, and both are given",
                "Keep fixed alone, or from, to and division.",
                key="fixed",
            )
        try:
            return DifferentialScale(lowest=fixed, highest=fixed, division=None)
        except ImpossibleValue as error:
            raise ImpossibleValue(field="fixed", found=error.found, must_be=error.must_be, limit=error.limit) from error


class ToleranceTable(Table):
    """How far the control may act from where it was set, either way; unknown is never assumed."""

    dial: PressureDifference | None = optional("When it was set by its scale.", "2 psi")
    proved: PressureDifference | None = optional(
        "When it was set until it acted at a pressure read on a reference gauge.", "0.5 psi"
    )

    def value(self) -> Tolerance:
        """The tolerance."""
        return Tolerance(dial=self.dial, proved=self.proved)


class WaterLegTable(Table):
    """The water in the line between the tap on the boiler and the device."""

    height: Length = required("Height between the tap and the device.", "0.5 ft")
    position: Annotated[Position, Field(strict=False)] = required("Whether the device is below or above.", "below")
    filling: Annotated[Filling, Field(strict=False)] = Field(
        default=Filling.UNSURE, description="Whether the line is surely full: full or unsure.", examples=["full"]
    )

    def value(self) -> WaterLeg:
        """The water leg."""
        return WaterLeg(height=self.height, position=self.position, filling=self.filling)


@dataclass(frozen=True, slots=True)
class _OrNone:
    """Lets the word none stand for a device that is level with its tap."""

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"anyOf": [{"const": NO_WATER_LEG}, handler(schema)]}


def _spelled_out(value: object) -> object:
    if value == NO_WATER_LEG:
        return {"height": "0 ft", "position": Position.BELOW_TAP, "filling": Filling.FULL}
    if isinstance(value, str):
        raise refusal(
            f"{described(value)} is no water leg",
            'Write "none" for a device that is level with its tap, otherwise a table such as '
            '{ height = "0.5 ft", position = "below", filling = "full" }.',
        )
    return value


WaterLegOrNone = Annotated[WaterLegTable, BeforeValidator(_spelled_out), _OrNone()]
WATER_LEG: Final = {"height": "0.5 ft", "position": "below", "filling": "full"}


class ControlTable(Table):
    """A pressure control on its sensing line."""

    scale: ScaleTable | None = optional(
        "Its main scale: where it begins, where it ends, and the step between two marks.",
        {"from": "10 psi", "to": "150 psi", "division": "2 psi"},
    )
    differential_scale: DifferentialScaleTable | None = optional(
        "Scale of its differential or throttling range; { fixed = ... } when it cannot be set.",
        {"from": "6 psi", "to": "22 psi", "division": "2 psi"},
        {"fixed": "5 psi"},
    )
    differential_counts: Annotated[Counts, Field(strict=False)] | None = optional(
        "Where the differential lies, seen from what the main scale shows: below, above or around.", "below", "above"
    )
    tolerance: ToleranceTable = table(
        "How far it may act from where it was set: by its dial, and proved against a reference gauge.",
        ToleranceTable,
        {"dial": "2 psi", "proved": "0.5 psi"},
    )
    water_leg: WaterLegOrNone | None = optional(
        'Height of the control below or above its tap, and whether the line is surely full; or "none".',
        WATER_LEG,
        NO_WATER_LEG,
    )
    senses: Annotated[Senses, Field(strict=False)] | None = optional(
        "Where its line is tapped: boiler or header.", "boiler", "header"
    )
    valve_in_line: bool | None = optional("Whether a shutoff valve sits between it and the boiler.", False)
    siphon: bool | None = optional("Whether a siphon keeps steam away from it.", True)
    own_element: bool | None = optional(
        "Whether its sensing element and its switch are its own, shared with no other control.", True
    )
    element_rating: GaugePressure | None = optional("Highest pressure that its sensing element is made for.", "225 psi")
    reset: Annotated[Reset, Field(strict=False)] | None = optional(
        "How it comes back after it has acted: manual (by hand) or automatic.", "manual", "automatic"
    )
    reset_differential: PressureDifference | None = optional(
        "How far below its trip the pressure must have fallen before a reset holds.", "5 psi"
    )
    lag: Time | None = optional(
        "Time constant with which it follows the pressure at its tap: siphon, snubber and element.", "1 s"
    )
    contact: Annotated[Contact, Field(strict=False)] | None = optional(
        "Kind of contact: snap, mercury, slidewire or electronic.", "snap"
    )
    serial: Name | None = optional("Its serial number or your own tag.", "tag 7")

    def value(self) -> Control:
        """The control as given."""
        return self.acting(None)

    def acting(self, action: Action | None) -> Control:
        """The control as given, with its action when it is a firing-rate control."""
        return Control(
            scale=self.scale.value() if self.scale is not None else None,
            differential_scale=self.differential_scale.value() if self.differential_scale is not None else None,
            counts=self.differential_counts,
            tolerance=self.tolerance.value(),
            water_leg=self.water_leg.value() if self.water_leg is not None else None,
            senses=self.senses,
            valve_in_line=self.valve_in_line,
            siphon=self.siphon,
            own_element=self.own_element,
            element_rating=self.element_rating,
            reset=self.reset,
            reset_differential=surveyed(self.reset_differential),
            lag=surveyed(self.lag),
            contact=self.contact,
            action=action,
            serial=self.serial,
        )


class FiringRateTable(ControlTable):
    """The control that follows the load between low and high fire."""

    action: Annotated[Action, Field(strict=False)] | None = optional(
        "How it answers pressure: proportional, two-position, pid or master (a controller for several boilers).",
        "proportional",
    )

    def value(self) -> Control:
        """The control as given."""
        return self.acting(self.action)


class ControlsTable(Table):
    """The four pressure controls."""

    operating_limit: ControlTable | None = optional("Stops and starts the burner.")
    high_limit: ControlTable | None = optional("Stops the burner for good until a hand resets it.")
    firing_rate: FiringRateTable | None = optional("Follows the load between low and high fire.")
    low_fire_hold: ControlTable | None = optional("Keeps a cold boiler at low fire.")

    def value(self) -> Controls:
        """The controls as given."""
        return Controls(
            operating_limit=self.operating_limit.value() if self.operating_limit is not None else None,
            high_limit=self.high_limit.value() if self.high_limit is not None else None,
            firing_rate=self.firing_rate.value() if self.firing_rate is not None else None,
            low_fire_hold=self.low_fire_hold.value() if self.low_fire_hold is not None else None,
        )
