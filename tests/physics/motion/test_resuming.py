"""A run in pieces takes the very steps of a run in one go: the same digits, the same trace, the same log."""

from dataclasses import replace
from math import inf
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.errors import Diverged
from evenfire.physics.motion.advance import LOG_FULL, REACHED, TRACE_COLUMNS, Trace, run_until
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import COLUMNS
from evenfire.physics.motion.records import copied, digits, new
from evenfire.physics.motion.run import ACCURACY, run
from evenfire.physics.motion.work import Work
from tests.physics.motion.random_boilers import Case, cases

ROWS_EVERY = 7.0
"""[s]"""
BUSY = Case(
    faults=((Fault.POWER_OFF, 900.0, 960.0, 0.0), (Fault.FLAME_LOST, 2000.0, 2001.0, 0.0)),
    resets=(2100.0,),
    pieces=((0.0, 0.05, 0.0), (1500.0, 0.4, 1e-4)),
    period=2500.0,
)
"""Cycles, a power dip, a lockout and a load that comes again."""


class Told(NamedTuple):
    """All that a run leaves, as bits."""

    state: bytes
    trace: bytes
    log: bytes
    ending: int


def in_pieces(case: Case, stops: list[float], lines: int = 20_000) -> Told:
    """Run until each of these times [s], with a log of so many lines that is emptied whenever it is full."""
    model, inputs = case.model(), case.inputs()
    state, work = copied(case.first(model)), new(Work)
    rows = np.full((int(stops[-1] / ROWS_EVERY) + 1, TRACE_COLUMNS), np.nan)
    trace, log = Trace(rows, ROWS_EVERY), np.empty((lines, COLUMNS))
    kept, ending = [], REACHED
    for stop in stops:
        ending = LOG_FULL
        while ending == LOG_FULL:
            count, ending = run_until(model, inputs, state, work, stop, ACCURACY, trace, log)
            kept.append(log[:count].copy())
        if ending != REACHED:
            break
    return Told(digits(state), rows.tobytes(), np.concatenate(kept).tobytes(), ending)


@given(
    case=cases(),
    stops=st.lists(st.floats(0.1, 3600.0), max_size=12),
)
def test_any_boiler_run_in_pieces_has_the_digits_of_one_go(case: Case, stops: list[float]) -> None:
    assert in_pieces(case, [*sorted(stops), 3600.0]) == in_pieces(case, [3600.0])


@given(case=cases(), lines=st.integers(100, 400))
def test_a_log_that_is_full_again_and_again_changes_no_digit(case: Case, lines: int) -> None:
    assert in_pieces(case, [3600.0], lines) == in_pieces(case, [3600.0])


@pytest.mark.parametrize("piece", [0.1, 1.0, 17.3, 300.0])
def test_pieces_down_to_a_tenth_of_a_second_change_no_digit(piece: float) -> None:
    stops = [piece * count for count in range(1, int(3600.0 / piece))]
    assert in_pieces(BUSY, [*stops, 3600.0]) == in_pieces(BUSY, [3600.0])


def test_a_stop_that_falls_on_an_event_or_comes_twice_changes_no_digit() -> None:
    assert in_pieces(BUSY, [900.0, 900.0, 960.0, 1500.0, 2500.0, 3600.0]) == in_pieces(BUSY, [3600.0])


def test_two_runs_of_the_same_boiler_have_the_same_digits_and_a_changed_one_has_others() -> None:
    assert in_pieces(BUSY, [3600.0]) == in_pieces(BUSY, [3600.0])
    slower = replace(BUSY, burner=replace(BUSY.burner, heat_lag=9.0))
    assert in_pieces(slower, [3600.0]).state != in_pieces(BUSY, [3600.0]).state


def test_a_run_changes_neither_its_model_nor_its_first_state() -> None:
    model = BUSY.model()
    first = BUSY.first(model)
    before = digits(model), digits(first)
    run(model, BUSY.inputs(), first, duration=3600.0, interval=5.0)
    assert (digits(model), digits(first)) == before


def test_a_boiler_that_diverges_in_pieces_diverges_where_it_does_in_one_go() -> None:
    dry = replace(
        Case(vessel=replace(Case().vessel, water=0.2, has_cutoff=False), starts_at=100.0, hours=2.0),
        faults=(
            (Fault.OPERATING_LIMIT_WELDED, 0.0, inf, 0.0),
            (Fault.HIGH_LIMIT_WELDED, 0.0, inf, 0.0),
            (Fault.FEED_STOPPED, 0.0, inf, 0.0),
        ),
    )
    with pytest.raises(Diverged):
        dry.run()
    pieces = in_pieces(dry, [float(count) for count in range(10, 7200, 10)])
    whole = in_pieces(dry, [7190.0])
    assert pieces.ending not in (REACHED, LOG_FULL)
    assert pieces == whole
