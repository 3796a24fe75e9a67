"""The table [[boiler.safety_valve]]."""

from evenfire.delivery.intake.tables.quantities import Area, Count, DifferenceOrShare, GaugePressure, MassFlow
from evenfire.delivery.intake.tables.table import Table, optional, required
from evenfire.delivery.intake.tables.texts import Name
from evenfire.plant.known import Datum
from evenfire.plant.safety_valve import SafetyValve


class SafetyValveTable(Table):
    """A safety valve; one table for each."""

    name: Name | None = optional("Where it sits, or its number.", "front")
    set: GaugePressure = required("Set pressure from its nameplate.", "150 psi")
    tested_lift: GaugePressure | None = optional("Pressure at which it lifted, from its test certificate.", "149 psi")
    capacity: MassFlow | None = optional("Relieving capacity stamped on it.", "4500 lb/h")
    blowdown: DifferenceOrShare | None = optional(
        "Set pressure less the pressure at which it closes: a pressure, or a share of the set pressure.", "6 psi", "4 %"
    )
    orifice_area: Area | None = optional("Area of its orifice; checks the stamped capacity.", "0.785 in2")
    coefficient: Count | None = optional("Certified coefficient of discharge of that orifice.", 0.878)
    lift_tested_at: GaugePressure | None = optional("Boiler pressure at the last test by hand lever.", "125 psi")

    def value(self) -> SafetyValve:
        """The valve as given."""
        return self.named("safety valve")

    def named(self, otherwise: str) -> SafetyValve:
        """The valve as given, with a name for one that has none."""
        return SafetyValve(
            name=self.name or otherwise,
            set_pressure=self.set,
            tested_lift=self.tested_lift,
            capacity=self.capacity,
            blowdown=self._blowdown(),
            orifice_area=self.orifice_area,
            coefficient=self.coefficient,
            lift_tested_at=self.lift_tested_at,
        )

    def _blowdown(self) -> Datum | None:
        if self.blowdown is None:
            return None
        return Datum(self.blowdown.value * (self.set if self.blowdown.is_share else 1.0))
