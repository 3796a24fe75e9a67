"""Steam: Its Generation and Use, 35th edition, 1919: evaporation, water legs, stored heat, flow through orifices."""

import pytest

from evenfire.physics.evaporation import factor_of_evaporation
from evenfire.physics.orifice import napier_flow
from evenfire.physics.steam import liquid_density, saturation
from evenfire.physics.vessel import STEEL_HEAT_CAPACITY, Vessel, stored_steam
from evenfire.si import (
    J_PER_BTU,
    KG_PER_LB,
    KG_S_PER_LB_H,
    M3_PER_FT3,
    M_PER_FT,
    M_PER_IN,
    PA_PER_PSI,
    STANDARD_ATMOSPHERE_PA,
    STANDARD_GRAVITY_M_S2,
    AbsPa,
)
from evenfire.sources import STEAM_1919
from tests.published.printed import Disagreement, Printed

_ATMOSPHERE_PSI = 14.7
_SIXTY_TWO_F = (62 + 459.67) / 1.8


def _absolute(psig: float) -> AbsPa:
    return AbsPa((psig + _ATMOSPHERE_PSI) * PA_PER_PSI)


def _factor(feed_f: float, psig: float, printed: str) -> Printed:
    """Within 0.0015: the book's steam tables are those of 1909 and its heat of evaporation is 970.4 Btu/lb."""
    return Printed(
        source=STEAM_1919,
        place="table 19",
        quantity="factor of evaporation",
        at=f"feed {feed_f:g} F and {psig:g} psig",
        printed=printed,
        unit="",
        ours=lambda: factor_of_evaporation(_absolute(psig), (feed_f + 459.67) / 1.8),
        absolute=0.0015,
    )


def _clark(psia: float, printed: str) -> Printed:
    """Within 3 %: two empirical rules for one flow, neither of which claims better."""
    return Printed(
        source=STEAM_1919,
        place="table 68",
        quantity="Napier's rule (eq. 49) against Clark's flow",
        at=f"{psia:g} psia",
        printed=printed,
        unit="lb/min per in2",
        ours=lambda: napier_flow(M_PER_IN**2, AbsPa(psia * PA_PER_PSI)) / KG_PER_LB * 60,
        relative=0.03,
    )


def _water_leg_pa_per_m() -> float:
    return liquid_density(AbsPa(STANDARD_ATMOSPHERE_PA), _SIXTY_TWO_F) * STANDARD_GRAVITY_M_S2


def _half_cubic_foot_of_water() -> float:
    """Steam that it gives from 180 to 150 psig [lb]; the book counts no steam above it, a vessel must have a little."""
    vessel = Vessel(
        water_volume=0.5 * M3_PER_FT3,
        steam_volume=1e-6 * M3_PER_FT3,
        metal_mass=0.0,
        metal_heat_capacity=STEEL_HEAT_CAPACITY,
    )
    return stored_steam(vessel, _absolute(180), _absolute(150)) / KG_PER_LB


PRINTED: tuple[Printed, ...] = (
    _factor(60, 150, "1.2025"),
    _factor(200, 120, "1.0549"),
    _factor(190, 150, "1.0687"),
    _factor(150, 100, "1.1036"),
    _factor(180, 200, "1.0834"),
    _factor(60, 160, "1.2034"),
    Printed(
        source=STEAM_1919,
        place="table 23",
        quantity="enthalpy of evaporation from and at 212 F",
        at="14.696 psia",
        printed="970.4",
        unit="Btu/lb",
        ours=lambda: saturation(AbsPa(STANDARD_ATMOSPHERE_PA)).evaporation_enthalpy / J_PER_BTU * KG_PER_LB,
        absolute=1.3,  # as for the other enthalpies of this table
    ),
    Printed(
        source=STEAM_1919,
        place="water",
        quantity="water leg at 62 F",
        at="one foot",
        printed="0.433",
        unit="psi/ft",
        ours=lambda: _water_leg_pa_per_m() * M_PER_FT / PA_PER_PSI,
    ),
    Printed(
        source=STEAM_1919,
        place="water",
        quantity="water leg at 62 F",
        at="one psi in inches",
        printed="27.71",
        unit="in/psi",
        ours=lambda: PA_PER_PSI / _water_leg_pa_per_m() / M_PER_IN,
    ),
    Printed(
        source=STEAM_1919,
        place="storage",
        quantity="steam from half a cubic foot of water, one boiler horsepower (30 lb/h) for a minute",
        at="180 to 150 psig",
        printed="0.50",
        unit="lb",
        ours=_half_cubic_foot_of_water,
        relative=0.10,  # a rule of thumb in the book
    ),
    _clark(40, "35.18"),
    _clark(60, "52.59"),
    _clark(100, "86.34"),
    _clark(135, "115.61"),
    _clark(165, "140.46"),
    _clark(215, "181.58"),
)

DISAGREEING: tuple[Disagreement, ...] = (
    Disagreement(
        printed=_factor(32, 100, "1.2233"),
        why="a misprint: the table's own neighbours ask for about 1.225",
    ),
    Disagreement(
        printed=Printed(
            source=STEAM_1919,
            place="water",
            quantity="water leg at 62 F",
            at="one psi in feet",
            printed="2.3093",
            unit="ft/psi",
            ours=lambda: PA_PER_PSI / _water_leg_pa_per_m() / M_PER_FT,
        ),
        why="cut off instead of rounded: it is 2.30935",
    ),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_evaporation_water_legs_storage_and_flow_agree_with_the_book_of_1919(value: Printed) -> None:
    assert value.agrees, value.report


@pytest.mark.parametrize("value", DISAGREEING, ids=str)
def test_what_differs_from_the_book_still_differs(value: Disagreement) -> None:
    assert not value.printed.agrees, value.printed.report


def test_the_misprinted_factor_contradicts_the_tables_own_neighbour() -> None:
    # The table has 1.1036 at 150 F and 100 psig; colder feed adds 118 F at 1 Btu/(lb F) to the heat.
    from_the_neighbour = 1.1036 + 118 / 970.4
    assert from_the_neighbour - 1.2233 > 0.0015
    assert factor_of_evaporation(_absolute(100), 273.15) == pytest.approx(from_the_neighbour, abs=0.0015)


def test_thirty_pounds_an_hour_for_a_minute_is_half_a_pound() -> None:
    steam = 30 * KG_S_PER_LB_H * 60
    assert steam / KG_PER_LB == pytest.approx(0.5, rel=1e-12)
