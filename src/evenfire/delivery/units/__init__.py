"""Quantities at the edge: read from text with a unit, shown in the reader's units, named in JSON.

Inside evenfire every number is SI. Text becomes a quantity only in `read`, and a quantity becomes text only in
`show`, so that the gauge, absolute and difference kinds of pressure are told apart in one place.
"""

from evenfire.delivery.units.exchange import json_key, json_value
from evenfire.delivery.units.reading import read
from evenfire.delivery.units.showing import Rounding, UnitSystem, number_in, show, show_signed
from evenfire.delivery.units.table import accepted

__all__ = [
    "Rounding",
    "UnitSystem",
    "accepted",
    "json_key",
    "json_value",
    "number_in",
    "read",
    "show",
    "show_signed",
]
