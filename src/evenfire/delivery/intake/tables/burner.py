"""The tables [[boiler.burner]] and [boiler.burner.start]."""

from typing import Annotated

from pydantic import Field

from evenfire.delivery.intake.tables.quantities import Count, Power, Share, Time, surveyed
from evenfire.delivery.intake.tables.refusal import refusal
from evenfire.delivery.intake.tables.table import Table, optional, required, table
from evenfire.errors import ImpossibleValue
from evenfire.plant.burner import Burner, Firing, Fuel, PurgeDamper, StartChain


class StartTable(Table):
    """What passes between the contact of the operating limit and heat: take a watch to one start."""

    delay: Time | None = optional("From the contact to the first movement.", "3 s")
    drive_open: Time | None = optional("Air damper from rest to its purge position.", "20 s")
    prepurge: Time | None = optional("Purge before the pilot, damper in place.", "30 s")
    purge_damper: Annotated[PurgeDamper, Field(strict=False)] | None = optional(
        "Where the air damper stands during that purge: open or low.", "open", "low"
    )
    drive_back: Time | None = optional("Air damper from purge back to light-off.", "20 s")
    pilot_trial: Time | None = optional("Trial for ignition of the pilot.", "10 s")
    main_trial: Time | None = optional("Trial for ignition of the main flame.", "10 s")
    flame_to_low_fire: Time | None = optional("From the main flame to a settled low fire.", "5 s")
    release_delay: Time | None = optional("From low fire to the release to modulation.", "15 s")
    minimum_off: Time | None = optional("Shortest pause that the burner control keeps between two firings.", "0 s")
    postpurge: Time | None = optional("Purge after the flame is out.", "15 s")

    def value(self) -> StartChain:
        """The chain as given."""
        try:
            return StartChain(
                start_delay=surveyed(self.delay),
                drive_open=surveyed(self.drive_open),
                prepurge=surveyed(self.prepurge),
                purge_damper=self.purge_damper,
                drive_back=surveyed(self.drive_back),
                pilot_trial=surveyed(self.pilot_trial),
                main_trial=surveyed(self.main_trial),
                flame_to_low_fire=surveyed(self.flame_to_low_fire),
                release_delay=surveyed(self.release_delay),
                minimum_off=surveyed(self.minimum_off),
                postpurge=surveyed(self.postpurge),
            )
        except ImpossibleValue as error:
            # The frozen value calls the first part start_delay; in its own table the file says delay.
            key = error.field.removeprefix("start_")
            raise ImpossibleValue(field=key, found=error.found, must_be=error.must_be, limit=error.limit) from error


class BurnerTable(Table):
    """The burner; one table for each fuel that it burns."""

    fuel: Annotated[Fuel, Field(strict=False)] = required(
        "What is burnt: natural gas, lp gas, biogas, light oil or heavy oil.", "natural gas"
    )
    firing: Annotated[Firing, Field(strict=False)] = required(
        "How it fires: on-off, low-high-off or modulating.", "modulating"
    )
    turndown: Count | None = optional("Full fire divided by low fire.", 4, "4:1")
    input: Power | None = optional("Fuel heat at full fire from the nameplate, gross.", "8.35 MMBtu/h")
    input_clocked: Power | None = optional("Fuel heat at full fire clocked at the meter, gross.", "8.3 MMBtu/h")
    efficiency: Share | None = optional("Heat to water and steam per gross heat of the fuel.", "81 %")
    heat_lag: Time | None = optional(
        "Time constant from the flame to the water: how slowly heat dies away when the flame is out.", "8 s"
    )
    stroke: Time | None = optional("Actuator from low fire to high fire.", "30 s")
    flame_failure: Time | None = optional("From loss of flame to closed fuel valves.", "3 s")
    prepurge_air_changes: Count | None = optional("How often the prepurge changes the air of furnace and passes.", 5)
    prepurge_air: Share | None = optional("Air during prepurge as a share of the air at full fire.", "90 %")
    starts_at_low_fire: bool | None = optional("Whether the low-fire position is proved before light-off.", True)
    start: StartTable = table("The start chain.", StartTable)

    def value(self) -> Burner:
        """The burner as given."""
        if self.firing is Firing.ON_OFF and self.turndown is not None and self.turndown > 1:
            raise refusal(
                f"an on-off burner has one fire, so its turndown cannot be {self.turndown:g}",
                'Take turndown away, or write firing = "low-high-off" or "modulating".',
                key="turndown",
            )
        return Burner(
            fuel=self.fuel,
            firing=self.firing,
            turndown=self.turndown,
            input_nameplate=self.input,
            input_clocked=self.input_clocked,
            efficiency=surveyed(self.efficiency),
            heat_lag=surveyed(self.heat_lag),
            stroke_time=surveyed(self.stroke),
            chain=self.start.value(),
            flame_failure_response=self.flame_failure,
            prepurge_air_changes=self.prepurge_air_changes,
            prepurge_air=self.prepurge_air,
            starts_at_low_fire=self.starts_at_low_fire,
        )
