"""The whole plant file as a document: what the file says, read strictly, before anything is filled in."""

from typing import Annotated, Final

from pydantic import Field

from evenfire.delivery.intake.tables.boiler import BoilerTable
from evenfire.delivery.intake.tables.load import LoadTable
from evenfire.delivery.intake.tables.log import LogTable
from evenfire.delivery.intake.tables.site import SiteTable
from evenfire.delivery.intake.tables.table import Table, required, table
from evenfire.plant.plant import Plant

FORMAT: Final = 1
"""The format that this program reads and writes."""
MOST_BOILERS: Final = 50


class Document(Table):
    """A plant file of evenfire: site, load and boilers as surveyed, quantities as text with their unit.

    Pressures are gauge pressures unless their unit says abs.
    """

    format: Annotated[int, Field(ge=FORMAT, le=FORMAT)] = required("Number of the file format.", FORMAT)
    site: SiteTable = required("Where the plant stands.")
    load: LoadTable = table("What the plant wants from its boilers.", LoadTable)
    boiler: Annotated[tuple[BoilerTable, ...], Field(strict=False, min_length=1, max_length=MOST_BOILERS)] = required(
        "The boilers, one table for each."
    )
    log: LogTable = table(
        "How a log of the boiler is laid out: which column is what. What is left out is guessed.", LogTable
    )

    def plant(self) -> Plant:
        """The plant as given, with settings; only the air of an unstated site is assumed."""
        return Plant(
            site=self.site.value(),
            load=self.load.value(tuple(boiler.kind for boiler in self.boiler)),
            boilers=tuple(boiler.with_settings() for boiler in self.boiler),
        )
