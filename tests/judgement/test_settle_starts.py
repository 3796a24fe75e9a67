"""Where the search of settle begins: with which fire at cut-out, from which readings, and what hold it takes."""

import numpy as np
import pytest

from evenfire.judgement.settle.choosing import dials_moved
from evenfire.judgement.settle.grid import paired_positions
from evenfire.judgement.settle.ground import ground_of
from evenfire.judgement.settle.result import Fits
from evenfire.judgement.settle.search import FireAtCutOut
from evenfire.judgement.settle.settling import settle
from evenfire.plant.controls import Role
from evenfire.plant.settings import DialReading
from evenfire.si import PA_PER_PSI, DiffPa, GaugePa
from tests.surveys import survey


def test_a_controller_that_works_out_its_own_band_is_searched_as_if_it_stopped_from_full_fire() -> None:
    # Nobody can say where its low-fire point is, so low fire at cut-out must not be taken for granted.
    plant = survey({"boiler.controls.firing_rate.action": "pid"}).plant
    assert ground_of(plant, plant.boilers[0]).at_cut_out is FireAtCutOut.FULL
    by_dial = survey().plant
    assert ground_of(by_dial, by_dial.boilers[0]).at_cut_out is FireAtCutOut.LOW


def test_each_scale_that_has_to_be_turned_counts_and_one_that_nobody_read_does_not() -> None:
    positions = paired_positions(survey().plant.boilers[0], Role.OPERATING_LIMIT)
    assert positions.differential is not None
    main, width = GaugePa(float(positions.main[0])), DiffPa(float(positions.differential[0]))
    other_main, other_width = positions.main != main, positions.differential != width
    assert np.array_equal(
        dials_moved(positions, DialReading(main=main, differential=width)), other_main.astype(int) + other_width
    )
    assert np.array_equal(dials_moved(positions, DialReading(main=main, differential=None)), other_main.astype(int))
    assert not dials_moved(positions, None).any()


@pytest.mark.parametrize(
    ("plant", "hold"),
    # As found on a fire-tube boiler, where no practice says another; about 100 psi on a water-tube one (practice).
    [("laundry", 60), ("board-mill", 100)],
)
def test_a_hold_that_no_dip_falls_into_stays_as_found_or_is_the_usual_one(plant: str, hold: float) -> None:
    surveyed = survey(None, plant).plant
    answer = settle(surveyed, surveyed.boilers[0])
    assert isinstance(answer, Fits)
    proposed = answer.chosen.settings.low_fire_hold
    assert proposed is not None
    assert proposed.main / PA_PER_PSI == pytest.approx(hold)
