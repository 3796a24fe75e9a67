"""Wording of odds and of measurements: an entry for everything, its places filled, nothing unsafe in it."""

import re
from collections.abc import Iterator
from functools import cache, partial
from string import Formatter

import pytest

from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.words import measurements, odds
from evenfire.delivery.words.demands import DEMANDS
from evenfire.delivery.words.measurement_saying import say_margin, say_pulls, say_room, say_why, stands, what_to_measure
from evenfire.delivery.words.names import is_named
from evenfire.delivery.words.odds_saying import say_basis, say_chance, say_what, to_do
from evenfire.judgement.case import Case
from evenfire.judgement.margins import Tier
from evenfire.judgement.outcome import Route, TermName
from evenfire.judgement.tolerance.counting import Counted, Rerun
from evenfire.judgement.tolerance.measurements import Measurement
from evenfire.judgement.tolerance.questions import Question
from evenfire.judgement.tolerance.result import Likelihood, likelihood
from evenfire.judgement.tolerance.sensitivity import Help, MarginPulls, MotionPull, Sensitivity, Stake, sensitivity
from evenfire.judgement.tolerance.values import ASSUMED_DOUBTS
from evenfire.judgement.tolerance.weighing import Weight
from evenfire.plant.controls import Role
from evenfire.plant.known import Origin
from evenfire.si import PA_PER_PSI, DiffPa, Dimension, Quantity
from tests.surveys import EXAMPLES, case_of, survey

US = partial(show, system=UnitSystem.US)
SI = partial(show, system=UnitSystem.SI)
UNSAFE = re.compile(r"\b(jumper|defeat|tie down|hold in by hand|raise the high limit)\b", re.IGNORECASE)


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def answer(question: Question, sure: int, draws: int = 100_000, counted: Counted | None = None) -> Likelihood:
    return likelihood(question, draws, counted or Counted(sure=sure), ())


def rerun(*, happens: bool, outgrew: bool = False, failed: bool = False) -> Rerun:
    return Rerun(happens=happens, reckoned=False, apart=2.0 * PA_PER_PSI, outgrew=outgrew, failed=failed)


def help_(measurement: Measurement, *keys: str, term: TermName | None = None) -> Help:
    return Help(
        measurement=measurement,
        keys=keys,
        code="need-at-full-load",
        before=DiffPa(2.0 * PA_PER_PSI),
        after=DiffPa(0.5 * PA_PER_PSI),
        term=term,
    )


def margin(room: float, *, tier: Tier = Tier.WANTED, doubt: float = 1.0) -> MarginPulls:
    pull = MotionPull(
        key="burner.heat_lag",
        origin=Origin.ASSUMED,
        doubt=Quantity(0.25, Dimension.FRACTION),
        higher=DiffPa(-doubt * PA_PER_PSI),
        lower=DiffPa(0.9 * doubt * PA_PER_PSI),
    )
    return MarginPulls(
        code="need-at-full-load",
        tier=tier,
        room=DiffPa(room * PA_PER_PSI),
        doubt=DiffPa(doubt * PA_PER_PSI),
        pulls=(pull,),
        helps=(),
    )


def test_every_question_and_every_weight_has_its_words() -> None:
    assert set(odds.QUESTIONS) == set(Question)
    assert set(odds.WEIGHTS) == set(Weight)
    for entry in odds.QUESTIONS.values():
        assert places(entry.do) == {"file"}
        assert places(entry.title) == places(entry.happens) == set()
        assert entry.happens.endswith(".")
        assert entry.do.endswith(".")
        assert not UNSAFE.search(entry.do)


def test_what_makes_a_valve_lift_is_never_mended_by_raising_a_limit() -> None:
    for question in (Question.LIFT_IN_NORMAL_WORK, Question.LIFT_AFTER_HIGH_LIMIT):
        assert "ower" in odds.QUESTIONS[question].do
        assert "aise" not in odds.QUESTIONS[question].do


def test_a_chance_is_told_with_its_bounds_and_as_one_in_so_many() -> None:
    # 1,130 of 100,000: the exact bounds are 1.065 % and 1.197 % (scipy.stats.binomtest).
    assert say_chance(answer(Question.NUISANCE_TRIP, 1_130)) == "1.1 % of boilers (1 in 88; 1 % to 1.2 %)."
    assert say_chance(answer(Question.NUISANCE_TRIP, 50_000)) == "50 % of boilers (49.6 % to 50.4 %)."


def test_none_seen_is_no_nought() -> None:
    # 3.689 / 100,000, rounded up.
    assert say_chance(answer(Question.NUISANCE_TRIP, 0)) == (
        "none seen in 100,000 draws: below 0.0037 % of boilers (1 in 27,000)."
    )


def test_none_seen_where_some_were_not_run_says_so() -> None:
    text = say_chance(answer(Question.NUISANCE_TRIP, 0, counted=Counted(near=50)))
    assert "but of 50 near the limit only 0 were run" in text


def test_what_is_told_rests_on_what_was_run() -> None:
    reruns = (
        *(rerun(happens=True) for _ in range(3)),
        rerun(happens=False, outgrew=True),
        rerun(happens=True, failed=True),
    )
    told = likelihood(Question.NUISANCE_TRIP, 100_000, Counted(sure=10, near=40), reruns)
    text = say_basis(told, Route.SIMULATED, US)
    assert text.startswith("arithmetic in 99,960 of 100,000 draws; the other 40 lie near the limit, and 5 of those")
    assert "it happened in 4" in text
    assert "1 of the runs broke off and count as happening" in text
    assert "CAUTION: in 1 of the runs motion was further from arithmetic (up to 2 psi)" in text
    assert "closed forms alone" in say_basis(told, Route.COMPUTED, US)


def test_only_what_is_likely_or_unsure_asks_for_something() -> None:
    assert "evenfire settle a.toml" in to_do(answer(Question.NUISANCE_TRIP, 5_000), "a.toml")
    assert to_do(answer(Question.NUISANCE_TRIP, 0, 10), "a.toml") == odds.MORE_DRAWS
    assert to_do(answer(Question.NUISANCE_TRIP, 0, 1_000, Counted(near=50)), "a.toml") == odds.MORE_RERUNS
    assert to_do(answer(Question.NUISANCE_TRIP, 5), "a.toml") == ""
    assert to_do(answer(Question.NUISANCE_TRIP, 0), "a.toml") == ""
    assert odds.QUESTIONS[Question.NUISANCE_TRIP].happens in say_what(answer(Question.NUISANCE_TRIP, 5))


def test_every_measurement_has_its_words_and_every_stake() -> None:
    assert set(measurements.MEASUREMENTS) == set(Measurement)
    assert set(measurements.STAKES) == set(measurements.STANDS) == set(Stake)
    every = [*measurements.MEASUREMENTS.values(), *measurements.OF_TERM.values(), measurements.OF_HIGH_LIMIT]
    for entry in every:
        assert entry.do.endswith(".")
        assert places(entry.do) <= {"control", "at", "factor"}
        assert places(entry.write) <= {"role"}
        assert not UNSAFE.search(entry.do)


@pytest.mark.parametrize("measurement", list(Measurement))
def test_every_instruction_is_whole(measurement: Measurement) -> None:
    of_control = {"trip point": "tolerance", "water leg": "water_leg", "control lag": "lag"}.get(measurement.value)
    for role in Role if of_control else (None,):
        keys = () if role is None else (f"controls.{role.value}.{of_control}",)
        entry = what_to_measure(help_(measurement, *keys), laundry(), US)
        for text in (entry.name, entry.do, entry.write):
            assert "{control}" not in text
            assert "{role}" not in text
            assert "  " not in text
        if role is not None:
            assert role.value in entry.write


def test_the_high_limit_is_not_proved_as_the_others_are() -> None:
    high = what_to_measure(help_(Measurement.TRIP_POINT, "controls.high_limit.tolerance"), laundry(), US)
    other = what_to_measure(help_(Measurement.TRIP_POINT, "controls.operating_limit.tolerance"), laundry(), US)
    assert "one person at the stop" in high.do
    assert "temporary change" in high.do
    assert "temporary change" not in other.do
    assert "operating limit acts" in other.do


def test_each_run_on_is_read_from_its_own_fire() -> None:
    full = what_to_measure(
        help_(Measurement.RUN_ON, "burner.heat_lag", term=TermName.RUN_ON_AT_FULL_FIRE), laundry(), US
    )
    low = what_to_measure(help_(Measurement.RUN_ON, "burner.heat_lag", term=TermName.RUN_ON_AT_CUT_OUT), laundry(), US)
    assert 'firing = "full"' in full.write
    assert "the gauge passes" in full.do
    assert 'firing = "low"' in low.write


def test_a_run_on_is_read_below_every_limit_and_told_for_the_trip() -> None:
    # The laundry: full fire up to 110 psi by the dial, which water leg and tolerance bring to 107.8; at the trip of 140
    # the same heat raises the pressure by a fifth more.
    full = what_to_measure(
        help_(Measurement.RUN_ON, "burner.heat_lag", term=TermName.RUN_ON_AT_FULL_FIRE), laundry(), US
    )
    assert "the gauge passes 107.8 psi" in full.do
    assert "the pressure 1.21 times as far" in full.do
    unread = case_of(survey({"boiler.as_found.high_limit": None}))
    blind = what_to_measure(help_(Measurement.RUN_ON, "burner.heat_lag", term=TermName.RUN_ON_AT_FULL_FIRE), unread, US)
    assert "a pressure well below cut-out" in blind.do
    assert "the pressure up to 1.5 times as far" in blind.do


@pytest.mark.parametrize(
    ("room", "tier", "word"),
    [
        (-3.1, Tier.NEVER_RELAXED, "SHORT"),
        (-2.9, Tier.NEVER_RELAXED, "UNSURE"),
        (2.9, Tier.NEVER_RELAXED, "UNSURE"),
        (3.1, Tier.NEVER_RELAXED, "holds"),
        (-3.1, Tier.WANTED, "SHORT"),
        (-2.9, Tier.WANTED, "unsure"),
        (2.9, Tier.WANTED, "unsure"),
        (3.1, Tier.WANTED, "holds"),
    ],
)
def test_a_margin_is_sure_three_doubts_away_from_nothing(room: float, tier: Tier, word: str) -> None:
    assert stands(margin(room, tier=tier)) == word


def test_room_is_rounded_to_the_careful_side() -> None:
    assert say_room(margin(2.79), US) == "2.7 psi of room"
    assert say_room(margin(-2.71), US) == "short by 2.8 psi"
    assert say_margin(margin(2.79, doubt=1.01), US) == "the need at full load: 2.7 psi of room, give or take 1.1 psi."


def test_a_pull_is_told_in_the_readers_units_with_its_sign() -> None:
    (line,) = say_pulls(margin(1.0), 2, UnitSystem.US, US)
    assert line == (
        "Moved most by heat lag (key burner.heat_lag), assumed; 25 % more is worth -1 psi, 25 % less +0.9 psi."
    )
    (line,) = say_pulls(margin(1.0), 2, UnitSystem.SI, SI)
    assert "25 % more is worth -0.069 bar" in line


def test_a_safety_margin_that_is_short_says_that_a_dial_has_to_move() -> None:
    best = help_(Measurement.RUN_ON, "burner.heat_lag", term=TermName.RUN_ON_AT_FULL_FIRE)
    assert "a dial has to move before the boiler is left" in say_why(best, margin(-9.0, tier=Tier.NEVER_RELAXED), US)
    assert "it is not sure" in say_why(best, margin(1.0, tier=Tier.NEVER_RELAXED), US)
    assert "Once measured: give or take 0.5 psi" in say_why(best, margin(1.0), US)


@cache
def laundry() -> Case:
    return case_of(survey())


@cache
def found(plant: str) -> Sensitivity:
    return sensitivity(case_of(survey(plant=plant)))


def keys_and_codes() -> Iterator[tuple[str, str]]:
    for path in EXAMPLES.glob("*.toml"):
        for each in found(path.stem).margins:
            yield from ((pull.key, each.code) for pull in each.pulls)


def test_every_value_that_moves_a_margin_has_a_name() -> None:
    for key, code in keys_and_codes():
        assert is_named(key), key
        assert code in DEMANDS
    for kind in ASSUMED_DOUBTS:
        of_controls = [kind.replace("controls.", f"controls.{role.value}.") for role in Role]
        for key in of_controls if kind.startswith("controls.") else [kind]:
            assert is_named(key), key
