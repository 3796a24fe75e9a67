"""The tables [site] and its fuel price."""

from typing import Annotated, Final

from pydantic import Field

from evenfire.delivery.intake.assumptions import ASSUMED_AMBIENT
from evenfire.delivery.intake.tables.quantities import AbsolutePressure, Length, described
from evenfire.delivery.intake.tables.refusal import refusal
from evenfire.delivery.intake.tables.table import Table, optional, required
from evenfire.delivery.intake.tables.texts import Name
from evenfire.delivery.units import accepted, read
from evenfire.errors import UnreadableQuantity
from evenfire.physics.atmosphere import HIGHEST_ALTITUDE, LOWEST_ALTITUDE, ambient_pressure
from evenfire.plant.known import Datum
from evenfire.plant.possible import require_between
from evenfire.plant.site import FuelPrice, Site
from evenfire.si import Dimension

ASSUMED_LOWEST_BAROMETER: Final = 48_000.0
"""Air at 5000 m less 6 kPa of weather; a lower reading is a slip, or corrected to something else [Pa abs]."""
ASSUMED_HIGHEST_BAROMETER: Final = 113_000.0
"""Air at -500 m and 6 kPa of weather; a higher reading is a slip, such as psi for inches of mercury [Pa abs]."""


class FuelPriceTable(Table):
    """What the fuel costs."""

    price: Annotated[float, Field(gt=0, lt=1e6, allow_inf_nan=False)] = required(
        "Price of the fuel as a plain number.", 11.50
    )
    currency: Name = required("Currency of that price.", "USD")
    per: Name = required("Unit of energy that the price is for, gross heating value.", "MMBtu", "kWh", "therm")

    def value(self) -> FuelPrice:
        """Price per joule."""
        try:
            energy = read(f"1 {self.per}", Dimension.ENERGY).value
        except UnreadableQuantity as error:
            raise refusal(
                f"{described(self.per)} is no unit of energy", accepted(Dimension.ENERGY), key="per"
            ) from error
        return FuelPrice(amount=self.price / energy, currency=self.currency)


class SiteTable(Table):
    """Where the plant stands. Give altitude or barometer: it says where the gauge counts from."""

    name: Name = required("Name of the plant, as it shall stand on the sheets.", "Name of the plant")
    altitude: Length | None = optional("Height of the boiler room above sea level.", "40 ft", "12 m")
    barometer: AbsolutePressure | None = optional(
        "Barometer reading in the boiler room, not reduced to sea level; instead of the altitude.",
        "29.9 inHg",
        "1013 mbar",
    )
    jurisdiction: Name | None = optional(
        "Whose rules apply; a key of the rule book, or a text of your own.", "state or city"
    )
    fuel_price: FuelPriceTable | None = optional(
        "What the fuel costs; needed to say what cycling costs.", {"price": 11.50, "currency": "USD", "per": "MMBtu"}
    )
    boilers_share_header: bool | None = optional("Whether the boilers of this file feed one header.", False, True)

    def ambient(self) -> Datum | None:
        """Pressure of the air as surveyed [Pa abs]."""
        if self.altitude is not None:
            require_between("altitude", self.altitude, LOWEST_ALTITUDE, HIGHEST_ALTITUDE, Dimension.LENGTH)
            return Datum(ambient_pressure(self.altitude))
        if self.barometer is not None:
            lowest, highest = ASSUMED_LOWEST_BAROMETER, ASSUMED_HIGHEST_BAROMETER
            require_between("barometer", self.barometer, lowest, highest, Dimension.ABSOLUTE_PRESSURE)
            return Datum(self.barometer)
        return None

    def value(self) -> Site:
        """The site; air that nobody stated is assumed."""
        if self.altitude is not None and self.barometer is not None:
            raise refusal("altitude and barometer are both given", "Keep the one that you trust more.", key="barometer")
        return Site(
            name=self.name,
            ambient=self.ambient() or ASSUMED_AMBIENT.datum(),
            jurisdiction=self.jurisdiction,
            fuel_price=self.fuel_price.value() if self.fuel_price is not None else None,
            boilers_share_header=self.boilers_share_header,
        )
