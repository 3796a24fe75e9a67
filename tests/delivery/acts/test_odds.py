"""Counting a year: the same digits however many threads, and a stop that keeps what was done."""

import json
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from evenfire.delivery.acts.draws import BLOCK
from evenfire.delivery.acts.odds import OddsAsked, odds_of, processors
from evenfire.delivery.answers import Ending, Odds
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.report.odds_json import odds_json
from evenfire.delivery.report.odds_text import odds_text
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.tolerance.questions import Question
from evenfire.judgement.tolerance.result import Likelihood
from tests.surveys import survey


def asked(draws: int = 2 * BLOCK, *, reruns: int = 20, seed: int = 5, threads: int = 1) -> OddsAsked:
    return OddsAsked(draws=draws, most_reruns=reruns, seed=seed, threads=threads)


def interrupted_when(stop: Callable[[Progress], bool]) -> Callable[[Progress], None]:
    """Somebody who watches, and presses Ctrl-C when they have seen enough."""

    def watch(progress: Progress) -> None:
        if stop(progress):
            raise KeyboardInterrupt

    return watch


def of(done: Odds, question: Question, boiler: int = 0) -> Likelihood:
    return next(each for each in done.boilers[boiler].counted.answers if each.question is question)


def two_boilers() -> PlantFile:
    """The same boiler twice under two names."""
    plant_file = survey(plant="vertical")
    first = plant_file.plant.boilers[0]
    return replace(plant_file, plant=replace(plant_file.plant, boilers=(first, replace(first, name="The other"))))


@pytest.mark.parametrize("plant", ["vertical", "school"])
def test_one_thread_and_two_give_the_same_answer_to_the_last_digit(plant: str) -> None:
    plant_file = survey(plant=plant)
    one = odds_json(odds_of(plant_file, asked(4 * BLOCK, threads=1)), UnitSystem.US)
    two = odds_json(odds_of(plant_file, asked(4 * BLOCK, threads=2)), UnitSystem.US)
    assert one == two
    assert any(each["rerun"] > 0 for each in json.loads(one)["boilers"][0]["answers"])


def test_another_seed_draws_other_numbers() -> None:
    plant_file = survey(plant="vertical")
    first, again, other = (odds_of(plant_file, asked(seed=seed)) for seed in (5, 5, 6))
    assert first.boilers[0].counted == again.boilers[0].counted
    assert first.boilers[0].counted.rows != other.boilers[0].counted.rows


@pytest.mark.parametrize("threads", [1, 2])
def test_a_count_that_is_stopped_keeps_what_was_counted(threads: int) -> None:
    # It is pressed when the second of six blocks is done: the answer after the first is the last one there was.
    plant_file = survey(plant="vertical")
    stop = interrupted_when(lambda progress: progress.what == "draws" and progress.done == 2)
    stopped = odds_of(plant_file, asked(6 * BLOCK, threads=threads), stop)
    counted = stopped.boilers[0].counted
    assert stopped.is_stopped
    assert not counted.is_complete
    assert counted.draws == BLOCK
    # More draws from a seed begin with the rows of fewer, so the same draws asked for alone give the same counts.
    alone = odds_of(plant_file, asked(BLOCK, reruns=0))
    assert counted.rows == alone.boilers[0].counted.rows
    for each in counted.answers:
        whole = of(alone, each.question)
        assert (each.sure, each.near, each.draws) == (whole.sure, whole.near, BLOCK)


def test_what_is_stopped_between_the_runs_near_a_limit_keeps_those_that_were_run() -> None:
    plant_file = survey(plant="vertical")
    stop = interrupted_when(lambda progress: progress.what.startswith("runs") and progress.done == 2 + 10)
    stopped = odds_of(plant_file, asked(reruns=400), stop)
    whole = odds_of(plant_file, asked(reruns=400))
    some, every = of(stopped, Question.NUISANCE_TRIP), of(whole, Question.NUISANCE_TRIP)
    assert 0 < some.rerun < every.rerun == 400
    assert (some.sure, some.near, some.draws) == (every.sure, every.near, every.draws)
    # Fewer runs tell less: the bounds are wider, and hold the same truth.
    assert some.highest - some.lowest > every.highest - every.lowest
    assert some.lowest <= every.highest
    assert every.lowest <= some.highest


def test_what_is_stopped_before_anything_says_that_nothing_was_counted() -> None:
    stopped = odds_of(survey(plant="vertical"), asked(), interrupted_when(lambda _: True))
    assert stopped.boilers == ()
    assert stopped.not_begun == ("Press boiler",)
    assert stopped.ending is Ending.STOP_NOT_JUDGED
    assert "STOPPED before anything was counted of boiler Press boiler." in odds_text(stopped, UnitSystem.US, 100)


def test_a_boiler_that_was_counted_before_the_stop_stays_whole() -> None:
    plant_file = two_boilers()
    stopped = odds_of(plant_file, asked(), interrupted_when(lambda progress: progress.what.startswith("The other")))
    assert [boiler.case.boiler.name for boiler in stopped.boilers] == ["Press boiler"]
    assert stopped.boilers[0].counted.is_complete
    assert stopped.not_begun == ("The other",)
    assert stopped.is_stopped


def test_several_boilers_are_told_apart_while_they_are_counted() -> None:
    told: list[str] = []
    odds_of(two_boilers(), asked(), lambda progress: told.append(progress.what))
    assert {what.partition(":")[0] for what in told} == {"Press boiler", "The other"}


def test_a_stop_is_never_an_all_clear() -> None:
    # The depot's trailer lifts nothing, so that the whole count ends with nought.
    plant_file = survey(plant="rental-trailer-depot")
    assert odds_of(plant_file, asked(4 * BLOCK)).ending is Ending.CLEAR
    stop = interrupted_when(lambda progress: progress.done == 2)
    assert odds_of(plant_file, asked(4 * BLOCK), stop).ending is Ending.STOP_NOT_JUDGED


@pytest.mark.parametrize("draws", [1_000, 65_536, 200_000])
def test_none_seen_is_bounded_as_clopper_and_pearson_bound_it(draws: int) -> None:
    done = odds_of(survey(plant="rental-trailer-depot"), asked(draws))
    for each in done.boilers[0].counted.answers:
        assert each.none_seen
        exact = stats.binomtest(0, draws).proportion_ci(confidence_level=0.95, method="exact").high
        assert each.highest == pytest.approx(exact, rel=1e-9)
        # The rule of three (a bound of one side, at 95 %) from memory: no more than a fourth above it with two sides.
        assert 3.0 / draws < each.highest < 1.25 * 3.0 / draws


def test_an_inverted_order_is_as_likely_as_a_count_that_shares_nothing_with_ours() -> None:
    # Read in the plant file: cut-out 98 psi, trip 100 psi, each set by dial to within 2 psi on a scale of 140 psi, of
    # which half a percent is 0.7 psi of drift.
    found = of(odds_of(survey(plant="vertical"), asked(16 * BLOCK, reruns=0)), Question.INVERTED_ORDER)
    rows, size = np.random.default_rng(77), 1_000_000
    operating, high = rows.uniform(-2, 2, size), rows.uniform(-2, 2, size)
    at_first = operating - high > 2.0
    later = operating + rows.normal(0, 0.7, size) - high - rows.normal(0, 0.7, size) > 2.0
    expected = float(np.mean(at_first | later))
    error = np.sqrt(expected * (1 - expected) * (1 / size + 1 / found.draws))
    assert found.probability == pytest.approx(expected, abs=4 * error)


def test_settings_that_are_not_there_and_boilers_that_are_not_there_are_refused() -> None:
    plant_file = survey(plant="vertical")
    with pytest.raises(BadRequest, match="has no boiler 'No"):
        odds_of(plant_file, replace(asked(), boiler="No. 9"))


def test_there_is_at_least_one_processor() -> None:
    assert processors() >= 1
