"""US DOE steam tip sheet 16: what one boiler horsepower is."""

import pytest

from evenfire.physics.evaporation import FROM_AND_AT_ENTHALPY, heat_for_steam, steam_flow_for_heat
from evenfire.physics.steam import saturation
from evenfire.si import (
    J_PER_BTU,
    KG_PER_LB,
    KG_S_PER_LB_H,
    STANDARD_ATMOSPHERE_PA,
    W_PER_BOILER_HP,
    W_PER_BTU_H,
    AbsPa,
)
from evenfire.sources import DOE_TIP_16
from tests.published.printed import Disagreement, Printed, Tag

_ATMOSPHERE = AbsPa(STANDARD_ATMOSPHERE_PA)
_BOILING = (212 + 459.67) / 1.8

PRINTED: tuple[Printed, ...] = (
    Printed(
        source=DOE_TIP_16,
        place="boiler horsepower",
        quantity="steam of one boiler horsepower",
        at="from and at 212 F",
        printed="34.5",
        unit="lb/h",
        ours=lambda: steam_flow_for_heat(W_PER_BOILER_HP, _ATMOSPHERE, _BOILING) / KG_S_PER_LB_H,
    ),
    Printed(
        source=DOE_TIP_16,
        place="boiler horsepower",
        quantity="heat of one boiler horsepower, from 34.5 lb/h",
        at="from and at 212 F",
        printed="33475",
        unit="Btu/h",
        ours=lambda: heat_for_steam(34.5 * KG_S_PER_LB_H, _ATMOSPHERE, _BOILING) / W_PER_BTU_H,
        relative=0.05 / 34.5,  # the flow is printed to a tenth of a pound
    ),
    Printed(
        source=DOE_TIP_16,
        place="boiler horsepower",
        quantity="heat of evaporation in the definition",
        at="33,475 Btu/h over 34.5 lb/h",
        printed="970.3",
        unit="Btu/lb",
        ours=lambda: FROM_AND_AT_ENTHALPY / J_PER_BTU * KG_PER_LB,
        tag=Tag.MEMORY,
    ),
)

DISAGREEING: tuple[Disagreement, ...] = (
    Disagreement(
        printed=Printed(
            source=DOE_TIP_16,
            place="boiler horsepower",
            quantity="enthalpy of evaporation of today's formulation",
            at="212 F",
            printed="970.3",
            unit="Btu/lb",
            ours=lambda: saturation(_ATMOSPHERE).evaporation_enthalpy / J_PER_BTU * KG_PER_LB,
            tag=Tag.MEMORY,
        ),
        why="an older steam table; today's is 970.1, and the boiler horsepower keeps its 33,475 Btu/h",
    ),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_a_boiler_horsepower_is_what_the_tip_sheet_says(value: Printed) -> None:
    assert value.agrees, value.report


@pytest.mark.parametrize("value", DISAGREEING, ids=str)
def test_the_older_heat_of_evaporation_still_differs(value: Disagreement) -> None:
    assert not value.printed.agrees, value.printed.report
