"""Marks and Davis 1909, the steam tables of the old trade handbooks: what they knew a century ago still holds.

Tolerances: 0.15 F, 0.4 % of volume, 1.3 Btu/lb, the spread between those measurements and today's formulation.
"""

import pytest

from evenfire.physics.steam import saturation
from evenfire.si import J_PER_BTU, KG_PER_LB, M3_PER_FT3, PA_PER_PSI, AbsPa
from evenfire.sources import MARKS_DAVIS
from tests.published.printed import Printed

_J_KG_PER_BTU_LB = J_PER_BTU / KG_PER_LB

# psia: boiling F, steam ft3/lb, liquid, evaporation, steam Btu/lb
_ROWS = {
    15: ("213.0", "26.27", "181.0", "969.7", "1150.7"),
    50: ("281.0", "8.51", "250.1", "923.5", "1173.6"),
    100: ("327.8", "4.429", "298.3", "888.0", "1186.3"),
    150: ("358.5", "3.012", "330.2", "863.2", "1193.4"),
    200: ("381.9", "2.290", "354.9", "843.2", "1198.1"),
    250: ("401.1", "1.850", "375.2", "826.3", "1201.5"),
}


def _row(psia: int, columns: tuple[str, str, str, str, str]) -> tuple[Printed, ...]:
    boiling, volume, liquid, evaporation, steam = columns
    at, pressure = f"{psia} psia", AbsPa(psia * PA_PER_PSI)
    return (
        Printed(
            source=MARKS_DAVIS,
            place="table 23",
            quantity="boiling point",
            at=at,
            printed=boiling,
            unit="F",
            ours=lambda: saturation(pressure).temperature * 1.8 - 459.67,
            absolute=0.15,
        ),
        Printed(
            source=MARKS_DAVIS,
            place="table 23",
            quantity="volume of steam",
            at=at,
            printed=volume,
            unit="ft3/lb",
            ours=lambda: KG_PER_LB / saturation(pressure).steam_density / M3_PER_FT3,
            relative=0.004,
        ),
        Printed(
            source=MARKS_DAVIS,
            place="table 23",
            quantity="enthalpy of liquid",
            at=at,
            printed=liquid,
            unit="Btu/lb",
            ours=lambda: saturation(pressure).liquid_enthalpy / _J_KG_PER_BTU_LB,
            absolute=1.3,
        ),
        Printed(
            source=MARKS_DAVIS,
            place="table 23",
            quantity="enthalpy of evaporation",
            at=at,
            printed=evaporation,
            unit="Btu/lb",
            ours=lambda: saturation(pressure).evaporation_enthalpy / _J_KG_PER_BTU_LB,
            absolute=1.3,
        ),
        Printed(
            source=MARKS_DAVIS,
            place="table 23",
            quantity="enthalpy of steam",
            at=at,
            printed=steam,
            unit="Btu/lb",
            ours=lambda: saturation(pressure).steam_enthalpy / _J_KG_PER_BTU_LB,
            absolute=1.3,
        ),
    )


PRINTED: tuple[Printed, ...] = tuple(value for psia, columns in _ROWS.items() for value in _row(psia, columns))


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_saturated_steam_agrees_with_the_tables_of_1909(value: Printed) -> None:
    assert value.agrees, value.report
