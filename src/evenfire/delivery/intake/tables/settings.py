"""The tables [boiler.as_found], [boiler.proposed] and [boiler.as_left]."""

from datetime import date
from typing import Annotated, Self

from pydantic import Field, model_validator

from evenfire.delivery.intake.tables.quantities import GaugePressure, PressureDifference, Share
from evenfire.delivery.intake.tables.refusal import refusal
from evenfire.delivery.intake.tables.table import Table, optional, required
from evenfire.delivery.intake.tables.texts import Name, Remark
from evenfire.errors import ImpossibleValue
from evenfire.plant.controls import Role
from evenfire.plant.settings import AsFound, DialReading, Proposed, Settings, Switch
from evenfire.si import DiffPa, GaugePa

MOST_JUMPERS = 50
MOST_RESETS = 10_000


class SettingsTable(Table):
    """What the dials show; a control that was not read is left out."""

    operating_limit: GaugePressure | None = optional("Main dial of the operating limit.", "120 psi")
    operating_limit_differential: PressureDifference | None = optional("Its differential.", "8 psi")
    high_limit: GaugePressure | None = optional("Dial of the high limit.", "135 psi")
    firing_rate: GaugePressure | None = optional("Main dial of the firing-rate control.", "105 psi")
    firing_rate_differential: PressureDifference | None = optional("Its throttling range.", "10 psi")
    low_fire_hold: GaugePressure | None = optional("Dial of the low-fire hold.", "60 psi")
    proved: tuple[Annotated[Role, Field(strict=False)], ...] = Field(
        default=(),
        strict=False,
        max_length=4,
        description="Controls of this set that were set until they acted at a pressure read on a reference gauge.",
        examples=[["high_limit"]],
    )

    def settings(self, read_on: date | None = None) -> Settings:
        """The set of settings."""
        return Settings(
            operating_limit=self._reading(
                Role.OPERATING_LIMIT, self.operating_limit, self.operating_limit_differential
            ),
            high_limit=self._reading(Role.HIGH_LIMIT, self.high_limit, None),
            firing_rate=self._reading(Role.FIRING_RATE, self.firing_rate, self.firing_rate_differential),
            low_fire_hold=self._reading(Role.LOW_FIRE_HOLD, self.low_fire_hold, None),
            proved=frozenset(self.proved),
            read_on=read_on,
        )

    def value(self) -> object:
        """The set of settings."""
        return self.settings()

    @staticmethod
    def _reading(role: Role, main: GaugePa | None, differential: DiffPa | None) -> DialReading | None:
        key = f"{role.value}_differential"
        if main is None:
            if differential is None:
                return None
            raise refusal(
                f"{key} is given without {role.value}", f"Read the main dial too and write {role.value}.", key=key
            )
        try:
            return DialReading(main=main, differential=differential)
        except ImpossibleValue as error:
            raise ImpossibleValue(field=key, found=error.found, must_be=error.must_be, limit=error.limit) from error

    @model_validator(mode="after")
    def _names_each_proved_control_once(self) -> Self:
        for role in self.proved:
            if self.proved.count(role) > 1:
                raise refusal(f"proved names {role.value} twice", "Name it once.", key="proved")
        return self


class AsFoundTable(SettingsTable):
    """The settings as they were found on arrival, and the state that the boiler was in."""

    read_on: date | None = optional("Day of the reading.", date(2026, 11, 3))
    switch: Annotated[Switch, Field(strict=False)] | None = optional(
        "Firing-rate switch on the panel: automatic or manual.", "automatic", "manual"
    )
    manual_cap: Share | None = optional("Firing held down by hand to at most this share of full fire.", "60 %")
    jumpers: tuple[Remark, ...] | None = Field(
        default=None,
        strict=False,
        max_length=MOST_JUMPERS,
        description="Bypasses that were seen, one text each; an empty list when you looked and saw none.",
        examples=[[], ["wire across the high limit"]],
    )
    unexplained_resets: Annotated[int, Field(ge=0, le=MOST_RESETS)] | None = optional(
        "Resets of the high limit since the last visit for which no cause was found.", 0
    )

    def value(self) -> AsFound:
        """The settings and the state."""
        return AsFound(
            settings=self.settings(self.read_on),
            switch=self.switch,
            manual_cap=self.manual_cap,
            jumpers=self.jumpers,
            unexplained_resets=self.unexplained_resets,
        )


class ProposedTable(SettingsTable):
    """Settings that `evenfire settle` proposed. Only the program writes this table."""

    plant_revision: Name = required("Identity of the survey that it was made for; only the program writes this table.")
    engine_version: Name = required("Version of the program that made it; only the program writes this table.")

    def value(self) -> Proposed:
        """The proposal."""
        return Proposed(
            settings=self.settings(), plant_revision=self.plant_revision, engine_version=self.engine_version
        )


class AsLeftTable(SettingsTable):
    """The settings as a person read them at the dials after the moves."""

    read_on: date | None = optional("Day of the reading.", date(2026, 11, 3))

    def value(self) -> Settings:
        """The settings."""
        return self.settings(self.read_on)
