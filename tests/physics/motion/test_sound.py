"""What cannot be simulated is one error that names it; what leaves the simulation is one that says when and where."""

import time
from collections.abc import Callable
from dataclasses import replace
from math import inf, isfinite, nan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.errors import Diverged, ImpossibleValue
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import PREPURGE, Inputs, Model, Profile, steady
from evenfire.physics.motion.run import Run, run
from evenfire.physics.motion.state import State
from evenfire.physics.steam import HIGHEST_PRESSURE
from tests.motion_models import laundry_like, load, standing
from tests.physics.motion.random_boilers import GRID, Burner, Case, Controls, Vessel, cases

Break = Callable[[Model, State], None]


def put(part: str, field: str, value: float) -> Break:
    """Write a value into a part of the model, or of the state where the part is its contents."""

    def write(model: Model, first: State) -> None:
        setattr(getattr(first if part == "contents" else model, part), field, value)

    return write


def put_at(part: str, field: str, place: int, value: float) -> Break:
    def write(model: Model, first: State) -> None:
        del first
        getattr(getattr(model, part), field)[place] = value

    return write


NOT_A_NUMBER = [
    ("vessel", "volume", "volume"),
    ("vessel", "metal_heat", "metal heat"),
    ("vessel", "ambient", "ambient"),
    ("vessel", "feed_enthalpy", "feed enthalpy"),
    ("vessel", "loss_conductance", "loss"),
    ("vessel", "room_temperature", "room"),
    ("burner", "full_heat", "full fire"),
    ("burner", "lowest", "low fire"),
    ("burner", "heat_lag", "heat lag"),
    ("burner", "stroke", "stroke"),
    ("burner", "purge_conductance", "purge"),
    ("burner", "minimum_off", "minimum off"),
    ("burner", "cap", "cap"),
    ("controls", "cut_out", "cut-in"),
    ("controls", "cut_in", "cut-in"),
    ("controls", "trip", "reset point"),
    ("controls", "remakes", "reset point"),
    ("controls", "high_fire", "high-fire"),
    ("controls", "low_fire", "high-fire"),
    ("controls", "takes_hold", "hold"),
    ("controls", "lets_go", "hold"),
    ("controls", "operating_limit_lag", "lag"),
    ("controls", "high_limit_lag", "lag"),
    ("controls", "firing_rate_lag", "lag"),
    ("controls", "low_fire_hold_lag", "lag"),
    ("feed", "capacity", "feed capacity"),
    ("feed", "low", "pump"),
    ("feed", "high", "pump"),
    ("feed", "cutoff", "cutoff"),
    ("feed", "restored", "cutoff"),
    ("users", "reference", "reference"),
    ("users", "cold_side", "cold side"),
    ("contents", "mass", "contents"),
    ("contents", "energy", "energy"),
    ("contents", "pressure", "pressure"),
    ("contents", "on_the_way", "on the way"),
]
CANNOT_BE_INFINITE = [
    row for row in NOT_A_NUMBER if row[0] not in ("controls", "feed") or "lag" in row[1] or row[1] == "capacity"
]
OTHERS: list[tuple[str, Break, str]] = [
    ("a vessel without room", put("vessel", "volume", 0.0), "volume"),
    ("a vessel turned inside out", put("vessel", "volume", -1.0), "volume"),
    ("a vacuum outside", put("vessel", "ambient", 0.0), "ambient"),
    ("a boiler under the sea", put("vessel", "ambient", 1e6), "ambient"),
    ("metal that cools when heated", put("vessel", "metal_heat", -1.0), "metal heat"),
    ("feedwater that is steam", put("vessel", "feed_enthalpy", 2.7e6), "feed enthalpy"),
    ("a room in Celsius", put("vessel", "room_temperature", 20.0), "room"),
    ("a burner that cools", put("burner", "full_heat", -1e6), "full fire"),
    ("no low fire", put("burner", "lowest", 0.0), "low fire"),
    ("a low fire above full", put("burner", "lowest", 1.1), "low fire"),
    ("a drive that runs backwards", put("burner", "stroke", -1.0), "stroke"),
    ("heat before fire", put("burner", "heat_lag", -1.0), "heat lag"),
    ("a cap above full", put("burner", "cap", 1.5), "cap"),
    ("a purge of minus a minute", put_at("burner", "durations", int(PREPURGE), -60.0), "start chain"),
    ("a purge that never ends", put_at("burner", "durations", int(PREPURGE), inf), "start chain"),
    ("a purge that is no number", put_at("burner", "durations", int(PREPURGE), nan), "start chain"),
    ("a firing-rate action that is not there", put("burner", "rate_action", 7), "rate"),
    ("cut-in at cut-out", put("controls", "cut_in", 928709.0), "cut-in"),
    ("cut-in above cut-out", put("controls", "cut_in", 1e6), "cut-in"),
    ("a reset above the trip", put("controls", "remakes", 2e6), "reset point"),
    ("high fire above low fire", put("controls", "high_fire", 1e6), "high-fire"),
    ("a hold turned round", put("controls", "takes_hold", 1e6), "hold"),
    ("a pump that stops below where it starts", put("feed", "high", 1.0), "pump"),
    ("a cutoff above where it makes again", put("feed", "cutoff", 50.0), "cutoff"),
    ("a feed that does not exist", put("feed", "kind", 9), "feed"),
    ("users that do not exist", put("users", "kind", -1), "users"),
    ("minus one valve", put("valves", "count", -1), "safety valves"),
    ("more valves than there is room for", put("valves", "count", 25), "safety valves"),
    ("a valve that reseats above its lift", put_at("valves", "reseats", 0, 2e6), "reseating"),
    ("a valve that sucks", put_at("valves", "conductances", 1, -1.0), "relief"),
    ("a valve whose lift is no number", put_at("valves", "lifts", 0, nan), "reseating"),
    ("an empty boiler", put("contents", "mass", 0.0), "contents"),
    ("a boiler beyond steam", put("contents", "pressure", 2e7), "pressure"),
    ("a boiler heavier than water", put("contents", "mass", 1e9), "mass"),
]
ROWS: list[tuple[str, Break, str]] = [
    *((f"{part}.{field} is no number", put(part, field, nan), named) for part, field, named in NOT_A_NUMBER),
    *((f"{part}.{field} is infinite", put(part, field, inf), named) for part, field, named in CANNOT_BE_INFINITE),
    *OTHERS,
]


@pytest.mark.parametrize(("what", "breaks", "named"), ROWS, ids=[row[0] for row in ROWS])
def test_a_boiler_that_cannot_be_is_refused_by_name(what: str, breaks: Break, named: str) -> None:
    model = laundry_like()
    first = standing(model, 113.0)
    breaks(model, first)
    with pytest.raises(ImpossibleValue) as refused:
        run(model, load(laundry_like(), 0.2), first, duration=60.0, interval=5.0)
    assert named in refused.value.field, what


def profile(*pieces: tuple[float, float, float], period: float = inf) -> Profile:
    return Profile(np.array(pieces, dtype=np.float64).reshape(-1, 3), period)


def faults(*rows: tuple[float, float, float, float]) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    return np.array(rows, dtype=np.float64).reshape(-1, 4)


Change = Callable[[Inputs], Inputs]
INPUTS: list[tuple[str, Change, str]] = [
    ("no piece at all", lambda given: given._replace(draw=profile()), "steam drawn"),
    ("a load that is no number", lambda given: given._replace(draw=steady(nan)), "steam drawn"),
    ("an infinite load", lambda given: given._replace(draw=steady(inf)), "steam drawn"),
    ("a slope that is no number", lambda given: given._replace(draw=profile((0.0, 1.0, nan))), "steam drawn"),
    ("a load that begins late", lambda given: given._replace(draw=profile((5.0, 1.0, 0.0))), "steam drawn"),
    (
        "two pieces at one time",
        lambda given: given._replace(draw=profile((0.0, 1.0, 0.0), (9.0, 1.0, 0.0), (9.0, 2.0, 0.0))),
        "steam drawn",
    ),
    (
        "times that fall",
        lambda given: given._replace(heat=profile((0.0, 1.0, 0.0), (9.0, 1.0, 0.0), (8.0, 2.0, 0.0))),
        "heat given",
    ),
    (
        "a time that is no number",
        lambda given: given._replace(given_feed=profile((0.0, 1.0, 0.0), (nan, 1.0, 0.0))),
        "feed given",
    ),
    (
        "a period shorter than its pieces",
        lambda given: given._replace(draw=profile((0.0, 1.0, 0.0), (9.0, 1.0, 0.0), period=9.0)),
        "steam drawn",
    ),
    ("a period of nothing", lambda given: given._replace(draw=profile((0.0, 1.0, 0.0), period=0.0)), "steam drawn"),
    ("a period that is no number", lambda given: given._replace(draw=profile((0.0, 1.0, 0.0), period=nan)), "period"),
    ("a period too short to see", lambda given: given._replace(draw=profile((0.0, 1.0, 0.0), period=1e-9)), "period"),
    ("a fault that is not there", lambda given: given._replace(faults=faults((99.0, 0.0, 1.0, 0.0))), "fault"),
    ("half a fault", lambda given: given._replace(faults=faults((1.5, 0.0, 1.0, 0.0))), "fault"),
    ("a fault without a begin", lambda given: given._replace(faults=faults((1.0, nan, 1.0, 0.0))), "fault"),
    ("a fault without an end", lambda given: given._replace(faults=faults((1.0, 0.0, nan, 0.0))), "fault"),
    ("a fault that ends first", lambda given: given._replace(faults=faults((1.0, 5.0, 1.0, 0.0))), "fault"),
    ("a fault before time", lambda given: given._replace(faults=faults((1.0, -5.0, 1.0, 0.0))), "fault"),
    ("a drift that is no number", lambda given: given._replace(faults=faults((6.0, 0.0, 9.0, nan))), "drift"),
    ("a drift beyond all dials", lambda given: given._replace(faults=faults((6.0, 0.0, 9.0, 1e9))), "drift"),
    ("hands out of order", lambda given: given._replace(resets=np.array([5.0, 4.0])), "reset"),
    ("a hand at no time", lambda given: given._replace(resets=np.array([nan])), "reset"),
    ("a hand at no time among others", lambda given: given._replace(resets=np.array([1.0, nan, 3.0])), "reset"),
]


@pytest.mark.parametrize(("what", "changes", "named"), INPUTS, ids=[row[0] for row in INPUTS])
def test_inputs_that_cannot_be_are_refused_by_name(what: str, changes: Change, named: str) -> None:
    model = laundry_like()
    with pytest.raises(ImpossibleValue) as refused:
        run(model, changes(load(model, 0.2)), standing(model, 113.0), duration=60.0, interval=5.0)
    assert named in refused.value.field, what


@pytest.mark.parametrize(
    ("duration", "interval", "accuracy", "named"),
    [
        (nan, 5.0, 0.05, "duration"),
        (inf, 5.0, 0.05, "duration"),
        (-1.0, 5.0, 0.05, "duration"),
        (1e12, 5.0, 0.05, "duration"),
        (60.0, 0.0, 0.05, "interval"),
        (60.0, -5.0, 0.05, "interval"),
        (60.0, nan, 0.05, "interval"),
        (60.0, inf, 0.05, "interval"),
        (86400.0, 1e-9, 0.05, "interval"),
        (60.0, 5.0, 0.0, "accuracy"),
        (60.0, 5.0, -0.05, "accuracy"),
        (60.0, 5.0, nan, "accuracy"),
        (60.0, 5.0, inf, "accuracy"),
    ],
)
def test_a_run_that_cannot_be_asked_for_is_refused_by_name(
    duration: float, interval: float, accuracy: float, named: str
) -> None:
    model = laundry_like()
    with pytest.raises(ImpossibleValue) as refused:
        run(model, load(model, 0.2), standing(model, 113.0), duration=duration, interval=interval, accuracy=accuracy)
    assert named in refused.value.field


def test_a_run_of_no_length_shows_where_it_starts() -> None:
    model = laundry_like()
    result = run(model, load(model, 0.2), standing(model, 113.0), duration=0.0, interval=5.0)
    assert list(result.series.time) == [0.0]
    assert isfinite(result.series.pressure[0])


WELDED = ((Fault.OPERATING_LIMIT_WELDED, 0.0, inf, 0.0), (Fault.HIGH_LIMIT_WELDED, 0.0, inf, 0.0))
FIERCE = Case(
    burner=Burner(rate_action=0, chain=(1.0,) * 8, purges_open=False),
    controls=Controls(hold=-inf),
    vessel=Vessel(water=0.5, has_cutoff=False),
    faults=WELDED,
    hours=2.0,
)
"""Full fire whatever the pressure, no limit, no cutoff, little water."""


def diverged(case: Case) -> Diverged:
    with pytest.raises(Diverged) as caught:
        case.run()
    return caught.value


def test_a_boiler_that_is_fired_without_feed_or_cutoff_runs_dry_and_says_when() -> None:
    """By hand: 1 m3 of water is some 900 kg; 2 MW make about 0.95 kg/s of it, so it is gone in 13 to 18 minutes."""
    error = diverged(replace(FIERCE, faults=(*WELDED, (Fault.FEED_STOPPED, 0.0, inf, 0.0))))
    assert "dry" in error.why
    assert 13 * 60 < error.time.value < 18 * 60
    assert 0.0 <= error.contents.value < 30.0


def test_a_feed_that_cannot_stop_fills_the_boiler_to_the_top_and_it_says_so() -> None:
    case = replace(FIERCE, vessel=Vessel(water=0.5, fill=0.8), faults=())
    model = case.model()
    model.burner.full_heat, model.feed.kind = 0.0, 3
    given_feed = case.inputs()._replace(draw=steady(0.0), given_feed=steady(0.5))
    with pytest.raises(Diverged) as caught:
        run(model, given_feed, case.first(model), duration=3600.0, interval=GRID)
    assert "top" in caught.value.why
    # A steam space of a quarter of a cubic metre at half a kilogram a second of hot water: seven to nine minutes.
    assert 300.0 < caught.value.time.value < 600.0


def test_a_boiler_with_neither_limit_nor_valve_leaves_what_is_known_of_steam() -> None:
    strong = replace(FIERCE, vessel=Vessel(water=0.5, fill=0.3, lifts=()), pieces=((0.0, 0.0, 0.0),), hours=3.0)
    error = diverged(strong)
    assert "range" in error.why
    assert error.pressure.value > 0.9 * HIGHEST_PRESSURE
    assert error.time.value > 0.0


def test_heat_beyond_all_reason_is_an_error_with_a_time_and_not_a_hang() -> None:
    case = replace(FIERCE, vessel=Vessel(water=0.5, lifts=()))
    model = case.model()
    with pytest.raises(Diverged) as caught:
        run(model, case.inputs()._replace(heat=steady(1e15)), case.first(model), duration=3600.0, interval=GRID)
    assert 0.0 <= caught.value.time.value < 1.0


def answer(model: Model, inputs: Inputs, first: State) -> Run | ImpossibleValue | Diverged:
    """A run, or one of our own errors; anything else goes through."""
    try:
        return run(model, inputs, first, duration=1800.0, interval=GRID)
    except (ImpossibleValue, Diverged) as error:
        return error


def require_told_or_refused(told: Run | ImpossibleValue | Diverged) -> None:
    if isinstance(told, Diverged):
        numbers = [told.time.value, told.pressure.value, told.contents.value]
    elif isinstance(told, Run):
        series = told.series
        columns = (series.pressure, series.firing, series.heat, series.steam, series.relieved, series.feed)
        numbers = [float(each.sum()) for each in (*columns, series.water_volume, series.drive, series.phase)]
        numbers += [event.pressure for event in told.events] + [event.time for event in told.events]
        numbers += [told.closure.mass, told.closure.energy, told.highest.pressure, told.lowest.pressure]
    else:
        numbers = []
        assert told.field
    finite = [isfinite(number) for number in numbers]
    assert all(finite)


LONGEST_WAIT = 20.0
"""For half an hour of any garbage, compiled; a boiler in order takes a thousandth of it [s]"""
ANY = st.floats(allow_nan=False, allow_infinity=False) | st.sampled_from((0.0, 1e-300, -1.0, 1.0, 1e6, 1e300))
PLACES = [(part, field) for part, field, _ in NOT_A_NUMBER]


@given(case=cases(), garbage=st.lists(st.tuples(st.sampled_from(PLACES), ANY), min_size=1, max_size=4))
def test_finite_garbage_in_any_field_is_a_run_or_one_of_our_errors_and_soon(
    case: Case, garbage: list[tuple[tuple[str, str], float]]
) -> None:
    model = case.model()
    first = case.first(model)
    for (part, field), value in garbage:
        put(part, field, value)(model, first)
    begun = time.perf_counter()
    told = answer(model, case.inputs(), first)
    assert time.perf_counter() - begun < LONGEST_WAIT
    require_told_or_refused(told)


SCALES = st.floats(-3.0, 3.0).map(lambda power: 10.0**power)


@given(case=cases(), scaled=st.lists(st.tuples(st.sampled_from(PLACES), SCALES), min_size=1, max_size=6))
def test_values_that_are_off_by_a_thousand_are_a_run_or_one_of_our_errors_and_soon(
    case: Case, scaled: list[tuple[tuple[str, str], float]]
) -> None:
    """Garbage of the right sign passes the guards and meets the loop itself."""
    model = case.model()
    first = case.first(model)
    for (part, field), scale in scaled:
        owner = getattr(first if part == "contents" else model, part)
        setattr(owner, field, float(getattr(owner, field)) * scale)
    begun = time.perf_counter()
    told = answer(model, case.inputs(), first)
    assert time.perf_counter() - begun < LONGEST_WAIT
    require_told_or_refused(told)


CHATTERERS = [
    replace(Case(), controls=replace(Controls(), hold=0.0), starts_at=None),
    replace(Case(), controls=replace(Controls(), hold=115.0), burner=Burner(full_heat=1e5, cap=0.0)),
    Case(
        burner=Burner(chain=(0.0,) * 8, postpurge=0.0, stroke=0.0, heat_lag=0.0, purges_open=False),
        controls=Controls(cut_out=200.0, trip=120.0, falls_before_reset=0.0, trip_is_manual=False, lags=(0.0,) * 4),
        pieces=((0.0, 0.0, 0.0),),
    ),
    Case(burner=Burner(lowest=1.0, stroke=0.0, rate_action=2), controls=Controls(throttling=1e-6, lags=(0.0,) * 4)),
    Case(controls=Controls(throttling=1e-9, lags=(0.0,) * 4), burner=Burner(stroke=0.0, heat_lag=0.0)),
    Case(controls=Controls(differential=1e-9, lags=(0.0,) * 4), burner=Burner(chain=(0.0,) * 8, heat_lag=0.0)),
]
"""Boilers whose signals stand on their thresholds, or whose bands have no width."""


@pytest.mark.parametrize("case", CHATTERERS, ids=range(len(CHATTERERS)))
def test_a_boiler_that_chatters_is_a_run_or_one_of_our_errors_and_soon(case: Case) -> None:
    model = case.model()
    begun = time.perf_counter()
    told = answer(model, case.inputs(), case.first(model))
    assert time.perf_counter() - begun < LONGEST_WAIT
    require_told_or_refused(told)
