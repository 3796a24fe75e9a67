"""The table [load]: what the users of the steam need, wish and stand."""

from typing import Annotated

from pydantic import Field

from evenfire.delivery.intake.assumptions import ASSUMED_DROP_TIME, ASSUMED_PICK_UP_TIME, Assumption, quickest
from evenfire.delivery.intake.tables.demand import DemandTable
from evenfire.delivery.intake.tables.quantities import FlowOrShare, GaugePressure, PressureDifference, Time, surveyed
from evenfire.delivery.intake.tables.table import Table, optional, required
from evenfire.plant.boiler import Kind
from evenfire.plant.known import Datum
from evenfire.plant.load import Draw, Load, Place, Ramp


class RampTable(Table):
    """A change of load."""

    size: FlowOrShare = required(
        "How much the load changes: a steam flow, or a share of the boiler's output.", "50 %", "3000 lb/h"
    )
    over: Time | None = optional("How long the change takes from beginning to end.", "60 s")

    def value(self, time: Assumption = ASSUMED_PICK_UP_TIME, kinds: tuple[Kind, ...] = ()) -> Ramp:
        """The ramp; a time that nobody stated is assumed, for the kinds of boilers that bear the load."""
        duration = Datum(self.over) if self.over is not None else quickest(time, kinds)
        return Ramp(size=Datum(self.size.value), share=self.size.is_share, duration=duration)


class LoadTable(Table):
    """What the plant wants from its boilers."""

    need: GaugePressure | None = optional("Lowest pressure at which the users of the steam still work well.", "105 psi")
    need_at: Annotated[Place, Field(strict=False)] | None = optional(
        "Where that pressure is needed: boiler, or header when there is a line with losses between.", "boiler", "header"
    )
    wish: GaugePressure | None = optional("Highest pressure that anybody wants to see.", "130 psi")
    rated_max: GaugePressure | None = optional(
        "Lowest pressure rating of anything downstream that has no safety valve of its own.", "150 psi"
    )
    line_drop: PressureDifference | None = optional(
        "Pressure lost from the boiler to where it is needed, at full load.", "3 psi"
    )
    may_dip_to: GaugePressure | None = optional("Pressure that the users stand for a short while.", "100 psi")
    may_dip_for: Time | None = optional("How long they stand it.", "60 s")
    pick_up: RampTable | None = optional(
        "Largest rise of load that the boiler shall take: how much, and over how long.",
        {"size": "50 %", "over": "60 s"},
    )
    drop: RampTable | None = optional(
        "Largest fall of load that it shall ride without shutting off.", {"size": "50 %", "over": "60 s"}
    )
    demand: DemandTable | None = optional(
        "How much steam is drawn. Shapes: constant; steps; daily with hours = [24 values]; batches with base, batch, "
        "lasting and per_hour; recorded in a file.",
        {"shape": "constant", "steam": "3000 lb/h"},
        {"shape": "steps", "steps": [{"for": "2 h", "steam": "900 lb/h"}]},
        {"shape": "recorded", "file": "load.csv"},
    )
    draw: Annotated[Draw, Field(strict=False)] | None = optional(
        "How the users' steam answers to pressure: flow (the same at any pressure until it is gone), valve (control "
        "valves and open orifices: less at a lower pressure) or heat exchanger (by the steam's temperature above the "
        "cold side). Left out, a run takes flow, the strictest: it does not ease as the pressure falls.",
        "valve",
        "flow",
        "heat exchanger",
    )

    def value(self, kinds: tuple[Kind, ...] = ()) -> Load:
        """The load as given, borne by boilers of these kinds; a design change that nobody stated stays unknown here."""
        return Load(
            need=self.need,
            need_at=self.need_at or Place.BOILER,
            wish=self.wish,
            rated_max=self.rated_max,
            line_drop=surveyed(self.line_drop),
            may_dip_to=self.may_dip_to,
            may_dip_for=self.may_dip_for,
            design_pick_up=self.pick_up.value(ASSUMED_PICK_UP_TIME, kinds) if self.pick_up is not None else None,
            design_drop=self.drop.value(ASSUMED_DROP_TIME, kinds) if self.drop is not None else None,
            demand=self.demand.value() if self.demand is not None else None,
            draw=self.draw,
        )
