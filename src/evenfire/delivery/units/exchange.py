"""How a quantity is named and given in JSON: SI, with the unit at the end of its key."""

import math
from collections.abc import Mapping
from typing import Final

from evenfire.si import Dimension, Quantity

_ENDINGS: Final[Mapping[Dimension, str]] = {
    Dimension.GAUGE_PRESSURE: "_pa_gauge",
    Dimension.ABSOLUTE_PRESSURE: "_pa_abs",
    Dimension.PRESSURE_DIFFERENCE: "_pa",
    Dimension.TEMPERATURE: "_k",
    Dimension.TEMPERATURE_DIFFERENCE: "_k",
    Dimension.TEMPERATURE_RATE: "_k_s",
    Dimension.MASS: "_kg",
    Dimension.MASS_FLOW: "_kg_s",
    Dimension.POWER: "_w",
    Dimension.ENERGY: "_j",
    Dimension.STORAGE: "_j_per_pa",
    Dimension.VOLUME: "_m3",
    Dimension.VOLUME_FLOW: "_m3_s",
    Dimension.AREA: "_m2",
    Dimension.LENGTH: "_m",
    Dimension.TIME: "_s",
    Dimension.FREQUENCY: "_per_s",
    Dimension.FRACTION: "_fraction",
    Dimension.NUMBER: "",
}


def json_key(name: str, dimension: Dimension) -> str:
    """The key of a quantity, ending in its unit: ``observed`` of a gauge pressure is ``observed_pa_gauge``."""
    return name + _ENDINGS[dimension]


def json_value(quantity: Quantity) -> float:
    """The number of a quantity, unrounded [SI unit of the dimension].

    Raises
    ------
    ValueError
        The quantity is not finite, which JSON cannot say.
    """
    if not math.isfinite(quantity.value):
        raise ValueError(f"a {quantity.dimension.value} of {quantity.value} cannot be given in JSON")
    return quantity.value
