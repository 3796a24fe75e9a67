"""Mass and energy close on any boiler, under any load, with anything broken, however the steps are summed."""

from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import (
    DRAW_EXCHANGER,
    DRAW_FLOW,
    DRAW_VALVE,
    FEED_HELD,
    FEED_MODULATING,
    FEED_ON_OFF,
    RATE_NONE,
    RATE_PROPORTIONAL,
    RATE_TWO_POSITION,
    Inputs,
    Model,
    Profile,
)
from evenfire.physics.motion.run import Run, run
from evenfire.physics.motion.starting import cold
from evenfire.physics.motion.state import State
from tests.conftest import SOAK
from tests.motion_models import LAUNDRY_WATER, ROOM, laundry_like, load, standing, with_faults, with_resets

_CLOSES = 1e-6
_HOURS = 6.0


def _closes(told: Run) -> None:
    assert abs(told.closure.mass) <= _CLOSES
    assert abs(told.closure.energy) <= _CLOSES


def _scaled(size: float) -> Model:
    """The laundry's boiler with everything that is large or small in it that many times as large."""
    model = laundry_like()
    model.vessel.volume *= size
    model.vessel.metal_heat *= size
    model.vessel.loss_conductance *= size
    model.burner.full_heat *= size
    model.burner.purge_conductance *= size
    model.feed.capacity *= size
    for name in ("low", "high", "cutoff", "restored"):
        setattr(model.feed, name, size * getattr(model.feed, name))
    model.valves.conductances *= size
    return model


@st.composite
def _models(draw: st.DrawFn) -> tuple[Model, float]:
    """A boiler of 4 to 20,000 bhp, and its water [m3]."""
    size = 10 ** draw(st.floats(-1.7, 2.0))
    model, water = _scaled(size), LAUNDRY_WATER * size
    burner, feed = model.burner, model.feed
    model.vessel.metal_heat *= draw(st.floats(0.0, 3.0))
    model.vessel.loss_conductance *= draw(st.floats(0.0, 10.0))
    model.vessel.lets_air_in = draw(st.booleans())
    burner.lowest = draw(st.floats(0.1, 1.0))
    burner.heat_lag = draw(st.sampled_from([0.0, 0.5, 8.0, 60.0]))
    burner.stroke = draw(st.sampled_from([0.0, 5.0, 30.0, 120.0]))
    burner.purge_conductance *= draw(st.floats(0.0, 3.0))
    burner.durations *= draw(st.sampled_from([0.0, 0.2, 1.0, 3.0]))
    burner.rate_action = draw(st.sampled_from([RATE_NONE, RATE_PROPORTIONAL, RATE_TWO_POSITION]))
    model.controls.firing_rate_lag = draw(st.sampled_from([0.0, 1.0, 20.0]))
    model.users.kind = draw(st.sampled_from([DRAW_FLOW, DRAW_VALVE, DRAW_EXCHANGER]))
    feed.kind = draw(st.sampled_from([FEED_ON_OFF, FEED_MODULATING, FEED_HELD]))
    feed.capacity *= draw(st.floats(0.7, 3.0))
    return model, water


@st.composite
def _inputs(draw: st.DrawFn, model: Model) -> Inputs:
    """A load that comes and goes in an hour's pattern, up to three faults, up to two hands at the reset."""
    full = float(load(model, 1.0).draw.pieces[0, 1])
    times = [0.0, *sorted(draw(st.lists(st.integers(1, 59), max_size=5, unique=True)))]
    pieces = np.array([[60 * time, full * draw(st.floats(0.0, 0.9)), 0.0] for time in times])
    inputs = load(model, 0.0)._replace(draw=Profile(pieces, 3600.0))
    faults = draw(
        st.lists(st.tuples(st.sampled_from(list(Fault)), st.floats(0.0, 4.0), st.floats(0.01, 2.0)), max_size=3)
    )
    drift = 2e4
    rows = [(kind, 3600 * begin, 3600 * (begin + lasts), drift) for kind, begin, lasts in faults]
    return with_resets(with_faults(inputs, *rows), *sorted(draw(st.sets(st.floats(60.0, 20_000.0), max_size=2))))


@st.composite
def _cases(draw: st.DrawFn) -> tuple[Model, Inputs, State]:
    model, water = draw(_models())
    if draw(st.booleans()):
        first = cold(model, draw(st.floats(280.0, 370.0)), water)
    else:
        first = standing(model, draw(st.floats(1.0, 148.0)), water)
    return model, draw(_inputs(model)), first


@settings(max_examples=400 if SOAK else 20)
@given(case=_cases())
def test_mass_and_energy_close_on_any_boiler_whatever_is_broken(case: tuple[Model, Inputs, State]) -> None:
    model, inputs, first = case
    told = run(model, inputs, first, duration=_HOURS * 3600, interval=60.0)
    _closes(told)
    assert np.isfinite(told.series.pressure).all()


@pytest.mark.parametrize("kind", [FEED_ON_OFF, FEED_MODULATING, FEED_HELD])
@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.95])
def test_mass_and_energy_close_over_a_day_from_cold(kind: int, share: float) -> None:
    model = laundry_like()
    model.feed.kind = kind
    _closes(run(model, load(model, share), cold(model, ROOM, LAUNDRY_WATER), duration=86400.0, interval=60.0))


@pytest.mark.parametrize("fault", Fault)
def test_mass_and_energy_close_through_every_fault(fault: Fault) -> None:
    model = laundry_like()
    inputs = with_faults(load(model, 0.1), (fault, 1000.0, 5000.0, 5e4), (fault, 9000.0, 9010.0, -5e4))
    _closes(run(model, inputs, standing(model, 115), duration=4 * 3600.0, interval=60.0))


def test_what_crossed_is_what_the_series_says_crossed() -> None:
    # A third way to sum: the trapezium over the rows, each a second.
    model = laundry_like()
    told = run(model, load(model, 0.4), standing(model, 105), duration=7200.0, interval=1.0)
    steam, feed, relieved = (
        float(np.sum(each[1:] + each[:-1])) / 2 for each in (told.series.steam, told.series.feed, told.series.relieved)
    )
    assert told.crossed.steam == pytest.approx(steam, rel=1e-6)
    # The pump starts and stops between rows.
    assert told.crossed.feed == pytest.approx(feed, abs=10 * float(model.feed.capacity))
    assert told.crossed.relieved == relieved == 0


def test_the_totals_end_where_the_run_ends_however_short_it_is() -> None:
    model = laundry_like()
    inputs, first = load(model, 0.5), standing(model, 105)
    flow = float(inputs.draw.pieces[0, 1])
    for duration in (1.0, 7.0, 100.0, 555.5, 3600.0):
        told = run(model, inputs, first, duration=duration, interval=duration)
        assert told.crossed.steam == pytest.approx(flow * duration, rel=1e-6)
        _closes(told)


def test_a_fault_that_never_ends_closes_too() -> None:
    model = laundry_like()
    inputs = with_faults(load(model, 0.3), (Fault.FEED_STOPPED, 600.0, inf))
    told = run(model, inputs, standing(model, 105), duration=4 * 3600.0, interval=60.0)
    _closes(told)
    assert told.series.feed[-1] == 0
