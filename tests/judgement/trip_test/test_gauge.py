"""A reference gauge: what cannot be one, and how long its calibration is good for."""

from dataclasses import replace
from datetime import date

import pytest

from evenfire.errors import ImpossibleValue
from evenfire.judgement.trip_test.gauge import InDate, ReferenceGauge
from evenfire.si import DiffPa, Dimension, GaugePa
from tests.judgement.trip_test.trips_at_140 import gauge, gauge_psi, psi

NOT_A_NUMBER = float("nan")
IMPOSSIBLE = [
    # A scale ends above where it begins.
    ({"lowest": gauge_psi(30.0), "highest": gauge_psi(30.0)}, "to", Dimension.GAUGE_PRESSURE),
    ({"lowest": gauge_psi(30.0), "highest": gauge_psi(15.0)}, "to", Dimension.GAUGE_PRESSURE),
    ({"highest": GaugePa(0.0)}, "to", Dimension.GAUGE_PRESSURE),
    ({"highest": GaugePa(NOT_A_NUMBER)}, "to", Dimension.GAUGE_PRESSURE),
    ({"permissible_error": psi(-0.1)}, "permissible_error", Dimension.PRESSURE_DIFFERENCE),
    ({"permissible_error": DiffPa(NOT_A_NUMBER)}, "permissible_error", Dimension.PRESSURE_DIFFERENCE),
    ({"division": psi(0.0)}, "division", Dimension.PRESSURE_DIFFERENCE),
    ({"division": psi(-0.5)}, "division", Dimension.PRESSURE_DIFFERENCE),
    ({"expanded_uncertainty": psi(-0.1)}, "expanded_uncertainty", Dimension.PRESSURE_DIFFERENCE),
    ({"coverage_factor": 0.0}, "coverage_factor", Dimension.NUMBER),
    ({"coverage_factor": -2.0}, "coverage_factor", Dimension.NUMBER),
]


@pytest.mark.parametrize(("edit", "field", "dimension"), IMPOSSIBLE)
def test_what_is_no_gauge_is_refused_in_the_unit_of_what_is_wrong(
    edit: dict[str, float], field: str, dimension: Dimension
) -> None:
    with pytest.raises(ImpossibleValue) as refused:
        replace(gauge(), **edit)  # type: ignore[arg-type]
    assert (refused.value.field, refused.value.found.dimension) == (field, dimension)


def test_a_scale_begins_at_nought_where_nobody_says_otherwise() -> None:
    assert ReferenceGauge(serial="plain", highest=gauge_psi(30.0)).lowest == 0.0


# CSD-1, from memory: six months; UFC, published: twelve. On the last day it is still good.
DAYS = [
    (date(2026, 5, 24), InDate.NO),  # before it was calibrated
    (date(2026, 5, 25), InDate.YES),
    (date(2026, 11, 25), InDate.YES),
    (date(2026, 11, 26), InDate.OLDER_THAN_USUAL),
    (date(2027, 5, 25), InDate.OLDER_THAN_USUAL),
    (date(2027, 5, 26), InDate.NO),
]


@pytest.mark.parametrize(("on", "answer"), DAYS)
def test_a_calibration_is_good_for_half_a_year_and_proves_nothing_after_a_year(on: date, answer: InDate) -> None:
    assert replace(gauge(), calibrated_on=date(2026, 5, 25)).in_date(on) is answer


def test_a_gauge_without_a_day_of_calibration_is_not_in_date() -> None:
    assert replace(gauge(), calibrated_on=None).in_date(date(2026, 11, 25)) is InDate.UNKNOWN
