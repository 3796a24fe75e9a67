"""The table `demand`, one of five shapes."""

from typing import Annotated, Final, Literal

from pydantic import Field

from evenfire.delivery.intake.tables.quantities import Frequency, MassFlow, Time
from evenfire.delivery.intake.tables.table import Table, required
from evenfire.delivery.intake.tables.texts import Name
from evenfire.plant.load import Batches, Constant, Daily, Recorded, Steps
from evenfire.plant.possible import require_not_negative, require_positive
from evenfire.si import Dimension

MOST_STEPS: Final = 1000
HOURS_A_DAY: Final = 24


class ConstantTable(Table):
    """A load that stands still."""

    shape: Literal["constant"] = required("How the load runs.", "constant")
    steam: MassFlow = required("Steam drawn all the time.", "3000 lb/h")

    def value(self) -> Constant:
        """The demand."""
        return Constant(steam=self.steam)


class StepTable(Table):
    """One step of a load."""

    lasting: Time = required("How long this step lasts.", "30 min", alias="for")
    steam: MassFlow = required("Steam drawn during this step.", "3000 lb/h")

    def value(self) -> tuple[float, float]:
        """(how long [s], steam [kg/s])."""
        require_positive("for", self.lasting, Dimension.TIME)
        require_not_negative("steam", self.steam, Dimension.MASS_FLOW)
        return self.lasting, self.steam


class StepsTable(Table):
    """A load in steps."""

    shape: Literal["steps"] = required("How the load runs.", "steps")
    steps: Annotated[tuple[StepTable, ...], Field(strict=False, min_length=1, max_length=MOST_STEPS)] = required(
        "The steps, one after the other.", [{"for": "30 min", "steam": "3000 lb/h"}]
    )

    def value(self) -> Steps:
        """The demand."""
        return Steps(steps=tuple(step.value() for step in self.steps))


class DailyTable(Table):
    """A load hour by hour."""

    shape: Literal["daily"] = required("How the load runs.", "daily")
    hours: Annotated[tuple[MassFlow, ...], Field(strict=False, min_length=HOURS_A_DAY, max_length=HOURS_A_DAY)] = (
        required("Steam drawn in each hour of the day, 24 values from midnight on.", ["3000 lb/h"] * HOURS_A_DAY)
    )

    def value(self) -> Daily:
        """The demand."""
        return Daily(hours=self.hours)


class BatchesTable(Table):
    """A base load with batches on top."""

    shape: Literal["batches"] = required("How the load runs.", "batches")
    base: MassFlow = required("Steam drawn all the time.", "800 lb/h")
    batch: MassFlow = required("Steam drawn on top while a batch runs.", "2000 lb/h")
    lasting: Time = required("How long a batch runs.", "10 min")
    per_hour: Frequency = required("How often a batch begins.", "3 /h")

    def value(self) -> Batches:
        """The demand."""
        return Batches(base=self.base, batch=self.batch, duration=self.lasting, per_hour=self.per_hour)


class RecordedTable(Table):
    """A load that was recorded."""

    shape: Literal["recorded"] = required("How the load runs.", "recorded")
    file: Name = required(
        "Name of the file beside this one that holds the recording: CSV headed time [min], steam [lb/h].", "load.csv"
    )

    def value(self) -> Recorded:
        """The demand."""
        return Recorded(file=self.file)


DemandTable = Annotated[
    ConstantTable | StepsTable | DailyTable | BatchesTable | RecordedTable, Field(discriminator="shape")
]
