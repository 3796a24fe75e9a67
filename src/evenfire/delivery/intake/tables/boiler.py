"""The tables [[boiler]] and [boiler.gauge]."""

from dataclasses import replace
from datetime import date
from typing import Annotated, Final

from pydantic import Field

from evenfire.delivery.intake.tables.burner import BurnerTable
from evenfire.delivery.intake.tables.controls import NO_WATER_LEG, WATER_LEG, ControlsTable, WaterLegOrNone
from evenfire.delivery.intake.tables.measured import MeasuredTable
from evenfire.delivery.intake.tables.quantities import (
    Area,
    GaugePressure,
    Length,
    Mass,
    MassFlow,
    Power,
    PowerOrShare,
    PressureDifference,
    Share,
    Temperature,
    Volume,
    surveyed,
)
from evenfire.delivery.intake.tables.refusal import refusal
from evenfire.delivery.intake.tables.safety_valve import SafetyValveTable
from evenfire.delivery.intake.tables.settings import AsFoundTable, AsLeftTable, ProposedTable
from evenfire.delivery.intake.tables.table import Table, optional, required, table
from evenfire.delivery.intake.tables.texts import Name, Remark
from evenfire.plant.boiler import Boiler, Feed, Kind, PressureGauge, Wall
from evenfire.plant.burner import Firing
from evenfire.plant.controls import Control, Role
from evenfire.plant.known import Datum
from evenfire.plant.settings import DialReading, Settings

MOST_BURNERS: Final = 10
MOST_VALVES: Final = 20


class GaugeTable(Table):
    """The boiler's own pressure gauge."""

    highest: GaugePressure | None = optional("Where its scale ends.", "300 psi", alias="to")
    division: PressureDifference | None = optional("Step between two marks.", "5 psi")
    calibrated: date | None = optional("Day of its last calibration.", date(2026, 7, 2))
    water_leg: WaterLegOrNone | None = optional(
        'Height of the gauge below or above its tap, and whether the line is surely full; or "none".',
        WATER_LEG,
        NO_WATER_LEG,
    )

    def value(self) -> PressureGauge:
        """The gauge."""
        return PressureGauge(
            highest=self.highest,
            division=self.division,
            calibrated_on=self.calibrated,
            water_leg=self.water_leg.value() if self.water_leg is not None else None,
        )


class WallTable(Table):
    """The thickest heated cylinder: a drum, or the shell."""

    inner_diameter: Length = required("Inside, from the drawing or the data report.", "48 in")
    thickness: Length = required("Of its wall.", "1.25 in")

    def value(self) -> Wall:
        """The wall."""
        return Wall(inner_diameter=self.inner_diameter, thickness=self.thickness)


class BoilerTable(Table):
    """A boiler; one table for each."""

    name: Name = required("Name or number of the boiler.", "No. 1")
    kind: Annotated[Kind, Field(strict=False)] = required(
        "How it is built: firetube, watertube, vertical, cast-iron or coil.", "firetube"
    )
    mawp: GaugePressure = required("Maximum allowable working pressure from its nameplate.", "150 psi")
    output: Power | None = optional("Heat to water and steam at full fire.", "200 bhp")
    heating_surface: Area | None = optional("Heating surface from its nameplate.", "1000 ft2")
    electric_input: Power | None = optional("Only for a boiler heated by electricity: its input.", "300 kW")
    water_volume: Volume | None = optional("Water at normal level.", "1450 gal")
    steam_volume: Volume | None = optional("Steam space above normal level.", "65 ft3")
    metal_mass: Mass | None = optional("Metal that follows the water temperature.", "17500 lb")
    feedwater_temperature: Temperature | None = optional("Feedwater as it enters the boiler.", "200 F")
    standing_loss: PowerOrShare | None = optional(
        "Heat lost from the hot boiler all the time, or its share of the output.", "1 %", "60 kBtu/h"
    )
    feed: Annotated[Feed, Field(strict=False)] | None = optional(
        "How feedwater comes in: on-off or modulating.", "on-off"
    )
    feed_capacity: MassFlow | None = optional("Most that feed pump and feed valve deliver.", "14000 lb/h")
    level_band: Share | None = optional(
        "Water between pump start and pump stop, or between feed valve shut and wide open, as a share of the water at "
        "normal level; normal level lies in its middle.",
        "3 %",
    )
    low_water_cutoff: Share | None = optional(
        "Water left when the low-water cutoff stops the burner, as a share of the water at normal level.", "93 %"
    )
    vacuum_breaker: bool | None = optional(
        "Whether air gets in when the boiler cools below zero gauge: by a vacuum breaker, or a vent that is left open.",
        True,
    )
    non_return_valve: bool | None = optional("Whether a non-return valve stands between it and the header.", False)
    wall: WallTable | None = optional(
        "Drum or shell, whichever is thicker: tells how hard a warm-up strains it.",
        {"inner_diameter": "48 in", "thickness": "1.25 in"},
    )
    new_refractory: bool | None = optional("Whether it has new refractory that must be dried.", False)
    refractory_schedule: Remark | None = optional(
        "The supplier's schedule for drying it.", "4 h at low fire, then 8 h rest"
    )
    burner: Annotated[tuple[BurnerTable, ...], Field(strict=False, max_length=MOST_BURNERS)] = Field(
        default=(), description="The burner; one table for each fuel that it burns."
    )
    safety_valve: Annotated[tuple[SafetyValveTable, ...], Field(strict=False, max_length=MOST_VALVES)] = Field(
        default=(), description="A safety valve; one table for each."
    )
    gauge: GaugeTable = table("The boiler's own pressure gauge.", GaugeTable)
    controls: ControlsTable = table(
        "The four pressure controls. A control that is not listed counts as not there: take out what the boiler lacks.",
        ControlsTable,
    )
    measured: MeasuredTable = table(
        "Readings with a watch and a gauge; they beat everything that is computed.", MeasuredTable
    )
    as_found: AsFoundTable | None = optional("The settings as they were found on arrival.")
    proposed: ProposedTable | None = optional("What the program proposed; only the program writes it.")
    as_left: AsLeftTable | None = optional("The settings as a person read them at the dials after the moves.")

    def value(self) -> Boiler:
        """The boiler as given, without its settings."""
        return Boiler(
            name=self.name,
            kind=self.kind,
            mawp=self.mawp,
            output=self.output,
            heating_surface=self.heating_surface,
            electric_input=self.electric_input,
            water_volume=self.water_volume,
            steam_volume=surveyed(self.steam_volume),
            metal_mass=surveyed(self.metal_mass),
            feedwater_temperature=surveyed(self.feedwater_temperature),
            standing_loss=self._standing_loss(),
            feed=self.feed,
            feed_capacity=surveyed(self.feed_capacity),
            level_band=surveyed(self.level_band),
            low_water_cutoff=surveyed(self.low_water_cutoff),
            breaks_vacuum=surveyed(None if self.vacuum_breaker is None else float(self.vacuum_breaker)),
            non_return_valve=self.non_return_valve,
            wall=self.wall.value() if self.wall is not None else None,
            new_refractory=self.new_refractory,
            refractory_schedule=self.refractory_schedule,
            burners=tuple(burner.value() for burner in self.burner),
            safety_valves=tuple(
                valve.named(f"valve {number}") for number, valve in enumerate(self.safety_valve, start=1)
            ),
            controls=self.controls.value(),
            gauge=self.gauge.value(),
            measured=self.measured.at(self._low_fire()),
        )

    def with_settings(self) -> Boiler:
        """The boiler as given; raises ``ImpossibleValue`` for a setting that its own dial cannot show."""
        boiler = self.value()
        found = self.as_found.value() if self.as_found is not None else None
        proposed = self.proposed.value() if self.proposed is not None else None
        left = self.as_left.value() if self.as_left is not None else None
        return replace(
            boiler,
            as_found=replace(found, settings=_filled(found.settings, boiler)) if found is not None else None,
            proposed=replace(proposed, settings=_filled(proposed.settings, boiler)) if proposed is not None else None,
            as_left=_filled(left, boiler) if left is not None else None,
        )

    def _standing_loss(self) -> Datum | None:
        if self.standing_loss is None or not self.standing_loss.is_share:
            return surveyed(self.standing_loss.value if self.standing_loss is not None else None)
        if self.output is None:
            raise refusal(
                "standing_loss is a share of the output, and the output is not given",
                'Give output too, or write the loss as heat, for example "60 kBtu/h".',
                key="standing_loss",
            )
        return Datum(self.standing_loss.value * self.output)

    def _low_fire(self) -> float:
        """Low fire as a share of full fire [1], when a reading asks for it."""
        if not any(reading.firing == "low" for reading in self.measured.run_on):
            return 1.0
        turndowns = {burner.turndown for burner in self.burner if burner.firing is not Firing.ON_OFF}
        if len(turndowns) == 1 and None not in turndowns and len(self.burner) > 0:
            (turndown,) = turndowns
            return 1.0 / turndown if turndown else 1.0
        raise refusal(
            'a run-on was measured at firing "low", and what low fire is cannot be told from the burner',
            'Give the turndown of the burner, or write the firing as a share of full fire, for example "25 %".',
            key="measured.run_on",
        )


def _filled(settings: Settings, boiler: Boiler) -> Settings:
    """The settings with the differential of each control that has only one, which no dial shows."""
    return replace(
        settings,
        operating_limit=_with_fixed(settings.operating_limit, boiler.controls.of(Role.OPERATING_LIMIT)),
        firing_rate=_with_fixed(settings.firing_rate, boiler.controls.of(Role.FIRING_RATE)),
    )


def _with_fixed(reading: DialReading | None, control: Control | None) -> DialReading | None:
    scale = control.differential_scale if control is not None else None
    if reading is None or reading.differential is not None or scale is None or scale.division is not None:
        return reading
    return replace(reading, differential=scale.lowest)
