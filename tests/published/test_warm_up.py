"""A warm-up at 100 F an hour: subtraction and division that anybody can repeat."""

import pytest

from evenfire.physics.steam import saturation_temperature
from evenfire.physics.warmup import time_at_rate
from evenfire.si import K_PER_F_DEGREE, PA_PER_PSI, AbsPa
from tests.published.printed import ARITHMETIC, Printed, Tag

_RATE = 100 * K_PER_F_DEGREE / 3600


def _kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


def _hours(at: str, printed: str, start: float, end: float) -> Printed:
    return Printed(
        source=ARITHMETIC,
        place="warm-up",
        quantity="time at 100 F per hour",
        at=at,
        printed=printed,
        unit="h",
        ours=lambda: time_at_rate(from_temperature=start, to_temperature=end, rate=_RATE) / 3600,
        tag=Tag.CALCULATED,
    )


PRINTED: tuple[Printed, ...] = (
    _hours("70 to 212 F", "1.42", _kelvin(70), _kelvin(212)),
    _hours("212 F to 100 psig", "1.26", _kelvin(212), saturation_temperature(AbsPa(114.7 * PA_PER_PSI))),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_a_warm_up_at_the_allowed_rate_takes_as_long_as_arithmetic_says(value: Printed) -> None:
    assert value.agrees, value.report
