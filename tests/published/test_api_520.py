"""API 520 part I, steam example, as an independent library's documentation carries it."""

import pytest

from evenfire.physics.orifice import api_520_steam_area, high_pressure_steam_correction
from evenfire.si import AbsPa
from evenfire.sources import API_520
from tests.published.printed import Printed

_PRESSURE = AbsPa(12_236e3)

PRINTED: tuple[Printed, ...] = (
    Printed(
        source=API_520,
        place="part I, steam example",
        quantity="correction K_N",
        at="12,236 kPa",
        printed="1.0115",
        unit="",
        ours=lambda: high_pressure_steam_correction(_PRESSURE),
    ),
    Printed(
        source=API_520,
        place="part I, steam example",
        quantity="orifice area for 69,615 kg/h",
        at="12,236 kPa",
        printed="1103.47",
        unit="mm2",
        ours=lambda: (
            api_520_steam_area(69_615 / 3600, _PRESSURE, discharge_coefficient=0.975, superheat_correction=0.9959) * 1e6
        ),
        relative=0.000_05 / 0.9959,  # K_SH goes in with four printed digits
    ),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_orifice_area_for_steam_agrees_with_the_example(value: Printed) -> None:
    assert value.agrees, value.report
