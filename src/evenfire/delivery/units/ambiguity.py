"""Spellings that mean two things in the trade: refused, each with one plain sentence of why."""

import re
from collections.abc import Mapping
from typing import Final

from evenfire.si import Dimension

_PRESSURES: Final = frozenset(
    {Dimension.GAUGE_PRESSURE, Dimension.ABSOLUTE_PRESSURE, Dimension.PRESSURE_DIFFERENCE},
)
_TEMPERATURES: Final = frozenset(
    {Dimension.TEMPERATURE, Dimension.TEMPERATURE_DIFFERENCE, Dimension.TEMPERATURE_RATE},
)
_MASSES: Final = frozenset({Dimension.MASS, Dimension.MASS_FLOW})
_ANY: Final = frozenset(Dimension)

_REASONS: Final[Mapping[str, tuple[frozenset[Dimension], str]]] = {
    r"m(btu.*|bh)": (
        _ANY,
        "uses MBtu, which is a thousand Btu to some and a million to others: write kBtu or MMBtu",
    ),
    r"mlbs?/h": (_ANY, "uses M, which is a thousand to some and a million to others: write the number in lb/h"),
    r"(?-i:M)(/h)?": (_ANY, "uses M alone, which is a thousand, a million or a metre: write the unit out"),
    r"(?-i:m)": (
        frozenset({Dimension.TIME}),
        "uses m, which is the metre and by some the minute: write min",
    ),
    r"(\u00b0|deg\.?|degrees?)(/(h|min))?": (_TEMPERATURES, "does not say of which scale: write F or C"),
    r"hp|horse ?power": (_ANY, "may be boiler or mechanical horsepower: write bhp for boiler horsepower, or kW"),
    r"(short |long )?(tons?|(?-i:T))(/h)?|tph": (
        _ANY,
        "may be a short ton, a long ton or a tonne: write lb for pounds or t for tonnes",
    ),
    r"oz|ounces?": (_ANY, "uses the ounce, which is a weight, a volume and by some a pressure: write psi, lb or gal"),
    r"#|lbs?\.?|pounds?": (_PRESSURES, "is a weight as it stands: write psi"),
    r"#(/h)?": (_MASSES, "uses #, which is pounds to some and a number to others: write lb"),
    r"kgs?|kilos?": (_PRESSURES, "is a mass as it stands: write kgf/cm2"),
    r"\"|in\.?|inch|inches": (_PRESSURES, "does not say inches of what: write inH2O for water"),
    r"'|ft\.?|foot|feet": (_PRESSURES, "does not say feet of what: write ftH2O for water"),
    r"(in|inch|inches|mm)\.? ?(of )?(hg|mercury).*|.*vac(uum)?": (
        frozenset({Dimension.GAUGE_PRESSURE}),
        "may be vacuum or pressure, so that its sign is unsure: write psi or bar, with a minus for vacuum",
    ),
    r"ata?|atm|at[gu\u00fc]": (
        _PRESSURES,
        "may be one of two atmospheres, gauge or absolute: write bar, bar abs or psi",
    ),
    r"'|\"": (frozenset({Dimension.LENGTH}), "uses a quote mark, which is easily lost or doubled: write ft or in"),
}

_COMPILED: Final = tuple(
    (re.compile(pattern, re.IGNORECASE), dimensions, why) for pattern, (dimensions, why) in _REASONS.items()
)


def why_ambiguous(unit: str, dimension: Dimension) -> str | None:
    """Why this spelling is refused for the dimension, as the rest of a sentence; nothing if it is not ambiguous."""
    for pattern, dimensions, why in _COMPILED:
        if dimension in dimensions and pattern.fullmatch(unit):
            return why
    return None
