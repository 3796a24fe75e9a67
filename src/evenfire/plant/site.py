"""Where the plant stands."""

from dataclasses import dataclass

from evenfire.plant.known import Datum


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelPrice:
    """What the fuel costs."""

    amount: float
    """[currency units per J]"""
    currency: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Place, air and rules."""

    name: str
    ambient: Datum
    """Pressure of the air around the boiler [Pa abs]"""
    jurisdiction: str | None = None
    """Free key that chooses which local rules apply"""
    fuel_price: FuelPrice | None = None
    boilers_share_header: bool | None = None
