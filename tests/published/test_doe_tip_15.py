"""US DOE steam tip sheet 15: heat that a pound of saturated steam takes."""

import pytest

from evenfire.physics.evaporation import evaporation_heat
from evenfire.physics.steam import saturated_liquid_enthalpy, saturation
from evenfire.si import J_PER_BTU, KG_PER_LB, PA_PER_PSI, AbsPa
from evenfire.sources import DOE_TIP_15
from tests.published.printed import Disagreement, Printed

_J_KG_PER_BTU_LB = J_PER_BTU / KG_PER_LB


def _absolute(psig: float) -> AbsPa:
    return AbsPa((psig + 14.7) * PA_PER_PSI)


def _kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


def _heat(psig: int, feed_f: int, printed: str) -> Printed:
    return Printed(
        source=DOE_TIP_15,
        place="table",
        quantity="heat of saturated steam above its feedwater",
        at=f"{psig} psig and feed {feed_f} F",
        printed=printed,
        unit="Btu/lb",
        ours=lambda: evaporation_heat(_absolute(psig), _kelvin(feed_f)) / _J_KG_PER_BTU_LB,
    )


PRINTED: tuple[Printed, ...] = (
    _heat(150, 50, "1178"),
    _heat(150, 100, "1128"),
    _heat(150, 150, "1078"),
    _heat(150, 200, "1028"),
    _heat(150, 250, "977"),
    _heat(450, 50, "1187"),
    _heat(450, 100, "1137"),
    _heat(450, 150, "1087"),
    _heat(450, 200, "1037"),
)

DISAGREEING: tuple[Disagreement, ...] = (
    Disagreement(
        printed=_heat(450, 250, "986"),
        why="rounds steam (1205) and feed (219) to whole Btu before it subtracts; unrounded it is 986.55",
    ),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_heat_of_steam_above_feedwater_agrees_with_the_tip_sheet(value: Printed) -> None:
    assert value.agrees, value.report


@pytest.mark.parametrize("value", DISAGREEING, ids=str)
def test_the_heat_that_was_rounded_before_subtracting_still_differs(value: Disagreement) -> None:
    assert not value.printed.agrees, value.printed.report


def test_rounding_before_subtracting_gives_the_printed_986() -> None:
    steam = saturation(_absolute(450)).steam_enthalpy / _J_KG_PER_BTU_LB
    feed = saturated_liquid_enthalpy(_kelvin(250)) / _J_KG_PER_BTU_LB
    assert round(steam) - round(feed) == 986
