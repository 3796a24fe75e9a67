"""Where a run-on from full fire is read, and how much more it comes to at the trip."""

import pytest

from evenfire.judgement.tolerance.reading_run_on import ReadingOfRunOn, reading_of_run_on
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI
from tests.surveys import case_of, survey


def reading(plant: str = "laundry", edits: dict[str, object] | None = None) -> ReadingOfRunOn:
    found = reading_of_run_on(case_of(survey(edits, plant)))
    assert not isinstance(found, Missing)
    return found


def test_it_is_read_where_the_burner_begins_to_come_down_at_the_earliest() -> None:
    # 110 psi on the dial, half a foot of water leg (0.22 psi) below its tap, 2 psi of tolerance; cut-in is 112.
    assert reading().at == pytest.approx(107.78 * PA_PER_PSI, abs=0.01 * PA_PER_PSI)


def test_it_is_read_at_cut_in_where_the_firing_line_stands_higher() -> None:
    # Cut-out 120 psi, differential 20 psi, the same water leg.
    found = reading(edits={"boiler.as_found.operating_limit_differential": "20 psi"})
    assert found.at == pytest.approx(99.78 * PA_PER_PSI, abs=0.01 * PA_PER_PSI)


def test_a_burner_without_a_firing_line_is_read_at_cut_in() -> None:
    # The school's file: cut-out 9 psi, differential 2.5 psi.
    assert reading("school").at == pytest.approx(6.5 * PA_PER_PSI, abs=0.01 * PA_PER_PSI)


def test_it_comes_to_as_much_more_at_the_trip_as_the_saturation_curve_is_flatter_there() -> None:
    # Storage goes with the slope of saturation temperature against pressure. Steam tables, from memory: 341.3 F at 120
    # psia, 347.3 at 130, 358.4 at 150, 363.5 at 160. At 122.5 psia 0.61 F/psi, at 154.5 psia 0.51.
    assert reading().factor == pytest.approx(0.61 / 0.51, rel=0.02)


def test_without_a_trip_nothing_can_be_said_of_it() -> None:
    assert isinstance(reading_of_run_on(case_of(survey({"boiler.as_found.high_limit": None}))), Missing)
