"""Values of a boiler that cannot exist are refused by the value itself, at their ends too."""

from collections.abc import Callable

import pytest

from evenfire.errors import ImpossibleValue
from evenfire.plant.boiler import Boiler, Kind
from evenfire.plant.controls import Control
from evenfire.plant.known import Datum
from evenfire.si import GaugePa


def boiler(
    feed_capacity: float = 1.0, level_band: float = 0.03, low_water_cutoff: float = 0.93, breaks_vacuum: float = 1.0
) -> Boiler:
    return Boiler(
        name="A",
        kind=Kind.FIRETUBE,
        mawp=GaugePa(1e6),
        feed_capacity=Datum(feed_capacity),
        level_band=Datum(level_band),
        low_water_cutoff=Datum(low_water_cutoff),
        breaks_vacuum=Datum(breaks_vacuum),
    )


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
@pytest.mark.parametrize("field", ["feed_capacity", "level_band", "low_water_cutoff"])
def test_nothing_at_or_below_nought_and_nothing_endless(field: str, value: float) -> None:
    with pytest.raises(ImpossibleValue) as caught:
        boiler(**{field: value})
    assert caught.value.field == field
    assert caught.value.must_be == "above"


@pytest.mark.parametrize("value", [1.0, 1.5])
@pytest.mark.parametrize("field", ["level_band", "low_water_cutoff"])
def test_a_share_of_the_water_stays_below_all_of_it(field: str, value: float) -> None:
    with pytest.raises(ImpossibleValue) as caught:
        boiler(**{field: value})
    assert (caught.value.field, caught.value.must_be) == (field, "below")


def test_shares_close_to_both_ends_may_be() -> None:
    for share in (1e-6, 1 - 1e-6):
        made = boiler(level_band=share, low_water_cutoff=share)
        assert made.level_band == made.low_water_cutoff == Datum(share)


def test_air_gets_in_or_does_not() -> None:
    assert boiler(breaks_vacuum=0.0).breaks_vacuum == Datum(0.0)
    for neither in (-1.0, 2.0, float("nan")):
        with pytest.raises(ImpossibleValue):
            boiler(breaks_vacuum=neither)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Control(lag=Datum(-1.0)), "lag"),
        (lambda: Control(lag=Datum(float("inf"))), "lag"),
        (lambda: Control(reset_differential=Datum(0.0)), "reset_differential"),
        (lambda: Control(reset_differential=Datum(-1.0)), "reset_differential"),
    ],
)
def test_a_control_does_not_run_ahead_of_the_pressure_or_remake_above_its_trip(
    make: Callable[[], Control], field: str
) -> None:
    with pytest.raises(ImpossibleValue) as caught:
        make()
    assert caught.value.field == field


def test_a_control_without_lag_may_be() -> None:
    assert Control(lag=Datum(0.0)).lag == Datum(0.0)
