"""Boilers without anything that a textbook leaves out, and runs of them at a steady load."""

import numpy as np

from tests.blind.boilers import FIRETUBE, Boiler, draw_boiler
from tests.blind.running import Floats, Hidden, begin, go_on
from tests.blind.stepping import Script
from tests.blind.waters import STEAM_ENTHALPY, at


def textbook_boiler(action: int, seed: int = 3, **works: float) -> Boiler:
    """A fire-tube boiler with no lag, no start time, no purge, no loss and no slugs, but for what is asked for."""
    boiler = draw_boiler(np.random.default_rng(seed), FIRETUBE, action, is_ugly=False, exact=True)
    return boiler.turned(**works)


def steam_for(boiler: Boiler, load: float, pressure: float) -> float:
    """Steam that carries a load away, feedwater taken off, at a gauge pressure [kg/s]."""
    enthalpy = float(at(pressure + boiler.works.ambient, STEAM_ENTHALPY))
    return load / (enthalpy - boiler.works.feed_enthalpy)


def steady(boiler: Boiler, load: float, hours: float, pressure: float | None = None) -> Hidden:
    """A run at one load [W], from a gauge pressure [Pa] or from the middle of the differential."""
    works = boiler.works
    middle = works.cut_out - 0.5 * works.differential
    draw = np.full(int(hours * 3600.0), steam_for(boiler, load, middle))
    return go_on(boiler, begin(boiler, middle if pressure is None else pressure), plain(draw))


def plain(draw: Floats) -> Script:
    """A load, and nothing else that happens."""
    nothing = np.zeros(1)
    return Script(draw=draw, scatter=nothing, factor=np.ones(1), hand=np.full(1, 600.0), events=np.zeros((0, 3)))
