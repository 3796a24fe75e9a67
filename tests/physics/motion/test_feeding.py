"""How feedwater comes: in slugs, by a modulating valve, as much as keeps the level."""

from itertools import pairwise

import numpy as np
import pytest

from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import FEED_MODULATING, Model
from evenfire.physics.motion.run import Run, run
from evenfire.si import PA_PER_PSI
from tests.motion_models import LAUNDRY_WATER, holding_level, laundry_like, load, standing


def _at_load(model: Model, share: float, *, hours: float = 6.0, water: float = LAUNDRY_WATER) -> Run:
    told = run(model, load(model, share), standing(model, 105, water), duration=hours * 3600.0, interval=2.0)
    assert abs(told.closure.mass) <= 1e-6
    assert abs(told.closure.energy) <= 1e-6
    return told


def _modulating() -> Model:
    model = laundry_like()
    model.feed.kind = FEED_MODULATING
    return model


def test_an_on_off_pump_runs_between_its_two_levels() -> None:
    model = laundry_like()
    told = _at_load(model, 0.5)
    moves = [event for event in told.events if event.kind in (Happening.PUMP_STARTED, Happening.PUMP_STOPPED)]
    assert len(moves) > 6
    assert all(one.kind is not other.kind for one, other in pairwise(moves))
    settled = told.series.water_volume[told.series.time > moves[1].time]
    assert settled.min() == pytest.approx(model.feed.low, rel=1e-4)
    assert settled.max() == pytest.approx(model.feed.high, rel=1e-4)
    assert set(np.unique(told.series.feed)) == {0.0, float(model.feed.capacity)}


def test_a_slug_of_cold_feed_pulls_the_pressure_down() -> None:
    # The trade's own experience with on-off feed: the gauge dips while the pump runs and comes back when it stops.
    slugs, even = _at_load(laundry_like(), 0.5), _at_load(holding_level(laundry_like()), 0.5)
    late = slugs.series.time > 7200
    swing = np.ptp(slugs.series.pressure[late])
    assert swing > 0.5 * PA_PER_PSI
    assert np.ptp(even.series.pressure[late]) < 0.02 * swing
    running = slugs.series.feed > 0
    slope = np.diff(slugs.series.pressure, append=np.nan)
    assert np.mean(slope[late & running][:-1]) < 0 < np.mean(slope[late & ~running][:-1])


def test_the_pump_gives_on_average_what_is_drawn() -> None:
    told = _at_load(laundry_like(), 0.5, hours=24.0)
    # Two slugs more or less: 3 % of the water each, of 5 t.
    assert told.crossed.feed == pytest.approx(told.crossed.steam, abs=0.06 * LAUNDRY_WATER * 900)


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
@pytest.mark.parametrize("start", [0.99, 1.0, 1.01])
def test_a_modulating_valve_settles_where_it_passes_what_is_drawn(share: float, start: float) -> None:
    model = _modulating()
    told = _at_load(model, share, hours=12.0, water=start * LAUNDRY_WATER)
    late = told.series.time > 10 * 3600
    steam = told.series.steam[late]
    assert told.series.feed[late] == pytest.approx(steam, rel=1e-3)
    # Opening is linear from shut at its high level to wide open at its low one.
    feed = model.feed
    opening = float(steam[-1]) / float(feed.capacity)
    level = feed.high - opening * (feed.high - feed.low)
    assert told.series.water_volume[-1] == pytest.approx(level, rel=1e-4)


@pytest.mark.parametrize("share", [0.6, 0.9])
def test_held_feed_keeps_the_volume(share: float) -> None:
    told = _at_load(holding_level(laundry_like()), share)
    assert told.series.feed.min() > 0
    assert told.series.water_volume == pytest.approx(LAUNDRY_WATER, rel=1e-6)


def test_held_feed_cannot_take_out_water_that_swells_and_works_it_off_afterwards() -> None:
    # At a third of the load the start overshoots: more swelling than steam, and a pump does not run backwards.
    told = _at_load(holding_level(laundry_like()), 0.3)
    off = told.series.water_volume / LAUNDRY_WATER - 1
    none = told.series.feed == 0
    assert none.any()
    assert off.min() > -1e-6
    first = int(np.argmax(none))
    assert off[:first] == pytest.approx(0.0, abs=1e-6)
    assert 1e-5 < off.max() < 1e-3
    assert off[-1] == pytest.approx(0.0, abs=1e-6)
