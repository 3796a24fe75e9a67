"""What the margins of a plant file hang on, boiler by boiler."""

from dataclasses import replace

import pytest

from evenfire.delivery.acts.measuring import MeasureAsked, measure_of
from evenfire.delivery.answers import Ending
from evenfire.errors import BadRequest
from evenfire.judgement.case import SettingsSet
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.tolerance.measurements import Measurement
from tests.surveys import survey


def test_it_tells_how_far_it_is_and_then_the_answer() -> None:
    told: list[object] = []
    done = measure_of(survey(plant="board-mill"), MeasureAsked(), told.append)
    assert all(isinstance(each, Progress) for each in told)
    assert [each.done for each in told if isinstance(each, Progress)] == list(range(len(told)))
    best = done.boilers[0].found.most_helpful
    assert best is not None
    assert best.measurement is Measurement.RUN_ON
    assert done.ending is Ending.CLEAR


def test_a_margin_that_could_not_be_weighed_ends_with_four() -> None:
    done = measure_of(survey({"boiler.controls.high_limit.tolerance": None}), MeasureAsked())
    assert "high-limit-below-valve" in dict(done.boilers[0].found.not_weighed)
    assert done.ending is Ending.STOP_NOT_JUDGED


def test_only_the_boiler_that_was_asked_for_is_weighed() -> None:
    plant_file = survey(plant="vertical")
    first = plant_file.plant.boilers[0]
    both = replace(plant_file, plant=replace(plant_file.plant, boilers=(first, replace(first, name="The other"))))
    done = measure_of(both, MeasureAsked(boiler="The other"))
    assert [boiler.case.boiler.name for boiler in done.boilers] == ["The other"]
    assert len(measure_of(both, MeasureAsked()).boilers) == 2


def test_settings_that_are_not_there_are_refused() -> None:
    with pytest.raises(BadRequest, match="has no settings proposed"):
        measure_of(survey(), MeasureAsked(settings=SettingsSet.PROPOSED))
