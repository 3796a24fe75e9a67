"""Rows of a budget, each by hand: what JCGM 100 says of its kind, and HB1919 of water legs."""

from dataclasses import replace

import pytest

from evenfire.judgement.trip_test.budget import Component, Kind, Origin, Shape
from evenfire.judgement.trip_test.components import at_boiler, of_gauge, of_mean, of_next_action, on_gauge
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.repeatability import Pool, Repeatability
from evenfire.plant.controls import Filling
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI
from tests.judgement.trip_test.trips_at_140 import PERFECT, gauge, gauge_psi, leg, psi


def rows(of: ReferenceGauge) -> dict[Origin, Component]:
    parts = of_gauge(of, psi(0.1))
    assert not isinstance(parts, Missing)
    found = {part.origin: part for part in parts}
    assert len(found) == len(parts)
    return found


@pytest.mark.parametrize("feet", [1.0, 10.0])
def test_a_water_leg_is_unsure_by_its_weight_and_by_an_inch_of_height(feet: float) -> None:
    # HB1919: 0.433 psi a foot. Water at 200 F is 4 % lighter than at 62 F (steam tables, rounded up); an inch of tape.
    doubt = rows(gauge(water_leg=leg(feet)))[Origin.WATER_LEG]
    assert doubt.half_width / PA_PER_PSI == pytest.approx(0.04 * 0.433 * feet + 0.433 / 12, rel=0.002)


def test_where_there_is_no_leg_nothing_of_it_is_in_doubt() -> None:
    assert not {Origin.WATER_LEG, Origin.PARTLY_EMPTY_LEG} & set(rows(gauge()))
    assert Origin.PARTLY_EMPTY_LEG not in rows(gauge(water_leg=leg(10.0)))
    assert Origin.PARTLY_EMPTY_LEG in rows(gauge(water_leg=leg(10.0, filling=Filling.UNSURE)))


def test_a_gauge_without_error_and_with_a_perfect_calibration_adds_nothing_of_either() -> None:
    found = rows(PERFECT)
    assert found[Origin.PERMISSIBLE_ERROR].standard_uncertainty == 0.0
    assert found[Origin.CALIBRATION].standard_uncertainty == 0.0


def test_what_is_read_again_and_again_is_of_kind_a_and_all_the_rest_of_kind_b() -> None:
    # JCGM 100, 4.2 and 4.3: statistics of repeated observations, and any other knowledge. A certificate states a normal
    # distribution (4.3.3); bounds alone make a rectangle (4.3.7).
    found = rows(gauge(water_leg=leg(10.0)))
    assert {part.kind for part in found.values()} == {Kind.B}
    assert {origin for origin, part in found.items() if part.shape is Shape.NORMAL} == {Origin.CALIBRATION}
    assert {part.shape for part in found.values()} == {Shape.NORMAL, Shape.RECTANGULAR}
    scatter = Repeatability(standard_deviation=300.0, degrees_of_freedom=2, pool=Pool.TODAY)
    for repeated in (of_mean(scatter, 3), of_next_action(scatter, 3)):
        assert (repeated.origin, repeated.kind, repeated.shape) == (Origin.REPEATABILITY, Kind.A, Shape.T)
        assert repeated.degrees_of_freedom == 2


def test_a_correction_is_added_to_what_a_gauge_shows() -> None:
    # A certificate says: add 2 psi. It shows 98 where there are 100.
    low = replace(gauge(), correction=psi(2.0))
    assert at_boiler(gauge_psi(98.0), low) / PA_PER_PSI == pytest.approx(100.0)
    assert on_gauge(gauge_psi(100.0), low) / PA_PER_PSI == pytest.approx(98.0)


def test_only_what_is_not_known_is_missing() -> None:
    assert of_gauge(gauge(water_leg=None), psi(0.1)) == Missing(("trip.gauge_leg",))
    assert of_gauge(gauge(), None) == Missing(("trip.rise",))
