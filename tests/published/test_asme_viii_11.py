"""ASME section VIII division 1, appendix 11, example 1: a valve stamped for steam, used for air."""

import pytest

from evenfire.physics.orifice import choked_gas_flow, effective_area
from evenfire.si import KG_S_PER_LB_H, M_PER_IN, PA_PER_PSI, AbsPa
from evenfire.sources import ASME_VIII_11
from tests.published.printed import Printed

_PRESSURE = AbsPa((1.10 * 200 + 14.7) * PA_PER_PSI)


def _area() -> float:
    return effective_area(3020 * KG_S_PER_LB_H, _PRESSURE)


PRINTED: tuple[Printed, ...] = (
    Printed(
        source=ASME_VIII_11,
        place="example 1",
        quantity="KA of a valve stamped 3020 lb/h",
        at="200 psi",
        printed="0.24985",
        unit="in2",
        ours=lambda: _area() / M_PER_IN**2,
    ),
    Printed(
        source=ASME_VIII_11,
        place="example 1",
        quantity="air through the same valve",
        at="200 psi and 100 F",
        printed="4750",
        unit="lb/h",
        ours=lambda: (
            choked_gas_flow(_area(), _PRESSURE, gas_constant=356.0, molar_mass=28.97, temperature=560 / 1.8)
            / KG_S_PER_LB_H
        ),
        absolute=5.0,  # printed to tens
    ),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_converting_a_stamped_capacity_agrees_with_the_code_example(value: Printed) -> None:
    assert value.agrees, value.report
