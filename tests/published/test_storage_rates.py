"""Storage per thousand pounds of water and of steel, as calculated elsewhere with an independent library.

The figure for water is the slope dh_w/dp of saturated liquid, the handbook's storage. The storage of a closed vessel,
which evenfire uses, is lower: it lets the water swell and takes off the work of that.
"""

import pytest

from evenfire.physics.steam import saturation, saturation_slopes
from evenfire.physics.vessel import STEEL_HEAT_CAPACITY, Vessel, storage
from evenfire.si import J_PER_BTU, KG_PER_LB, PA_PER_PSI, STANDARD_ATMOSPHERE_PA, AbsPa
from tests.published.printed import INDEPENDENT, Printed, Tag

_THOUSAND_POUNDS = 1000 * KG_PER_LB


def _absolute(psig: float) -> AbsPa:
    return AbsPa(psig * PA_PER_PSI + STANDARD_ATMOSPHERE_PA)


def _btu_per_psi(storage_j_pa: float) -> float:
    return storage_j_pa * PA_PER_PSI / J_PER_BTU


def _water(psig: int, printed: str) -> Printed:
    return Printed(
        source=INDEPENDENT,
        place="storage",
        quantity="dh/dp of 1000 lb of saturated water",
        at=f"{psig} psig",
        printed=printed,
        unit="Btu/psi",
        ours=lambda: _btu_per_psi(_THOUSAND_POUNDS * saturation_slopes(_absolute(psig)).liquid_enthalpy),
        tag=Tag.CALCULATED,
    )


def _steel(psig: int, printed: str) -> Printed:
    return Printed(
        source=INDEPENDENT,
        place="storage",
        quantity="storage of 1000 lb of steel",
        at=f"{psig} psig",
        printed=printed,
        unit="Btu/psi",
        ours=lambda: _btu_per_psi(
            _THOUSAND_POUNDS * STEEL_HEAT_CAPACITY * saturation_slopes(_absolute(psig)).temperature
        ),
        tag=Tag.CALCULATED,
    )


PRINTED: tuple[Printed, ...] = (
    _water(15, "1954.8"),
    _water(100, "679.1"),
    _water(150, "517.5"),
    _steel(15, "221.3"),
    _steel(100, "74.7"),
    _steel(150, "56.1"),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_storage_rates_agree_with_the_independent_calculation(value: Printed) -> None:
    assert value.agrees, value.report


@pytest.mark.parametrize(("psig", "handbook", "least", "most"), [(15, 1954.8, 0.1, 0.4), (150, 517.5, 0.8, 1.2)])
def test_a_closed_vessel_stores_a_little_less_than_the_handbook_says(
    psig: int, handbook: float, least: float, most: float
) -> None:
    water = _THOUSAND_POUNDS / saturation(_absolute(psig)).liquid_density
    vessel = Vessel(
        water_volume=water, steam_volume=1e-9 * water, metal_mass=0.0, metal_heat_capacity=STEEL_HEAT_CAPACITY
    )
    less = 100 * (1 - _btu_per_psi(storage(vessel, _absolute(psig))) / handbook)
    assert least < less < most
