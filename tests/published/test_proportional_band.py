"""DOE-HDBK-1013/2-92, process controls: a proportional band of half the range, acting in reverse.

100 to 300 F is 3 to 15 psi of output; with a band of 50 % the output runs from all at 100 F through half at 150 F to
none at 200 F. Our firing line is the same with the band read as pressure and the output as firing.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.physics.firing import firing_fraction, steady_pressure
from evenfire.sources import DOE_1013
from tests.published.printed import Printed


def output(temperature: float) -> float:
    """[%]"""
    return 100 * firing_fraction(temperature, 100.0, 200.0, 0.0)


def signal(temperature: float) -> float:
    """[psi]"""
    return 3 + (15 - 3) * firing_fraction(temperature, 100.0, 200.0, 0.0)


PRINTED: tuple[Printed, ...] = (
    *(
        Printed(
            source=DOE_1013,
            place="proportional band, reverse acting",
            quantity="output of a 50 % band",
            at=f"{at:.0f} F",
            printed=printed,
            unit="%",
            ours=lambda at=at: output(at),  # type: ignore[misc]
        )
        for at, printed in ((100.0, "100"), (150.0, "50"), (200.0, "0"))
    ),
    *(
        Printed(
            source=DOE_1013,
            place="proportional band, reverse acting",
            quantity="signal of a 50 % band",
            at=f"{at:.0f} F",
            printed=printed,
            unit="psi",
            ours=lambda at=at: signal(at),  # type: ignore[misc]
        )
        for at, printed in ((100.0, "15"), (150.0, "9"), (200.0, "3"))
    ),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_the_band_of_the_handbook_comes_out(value: Printed) -> None:
    assert value.agrees, value.report


@given(
    load=st.floats(0.1, 1.0),
    high_fire=st.floats(1e5, 1e6),
    band=st.floats(1e3, 2e5),
    lowest=st.floats(0.02, 0.1),
)
def test_a_steady_pressure_is_where_the_firing_meets_the_load(
    load: float, high_fire: float, band: float, lowest: float
) -> None:
    pressure = steady_pressure(load, high_fire, high_fire + band, lowest)
    assert firing_fraction(pressure, high_fire, high_fire + band, lowest) == pytest.approx(load, abs=1e-6)
