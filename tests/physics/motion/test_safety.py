"""What may never happen on any boiler, whatever else is broken; on random boilers, loads and faults.

The expected side is what a burner control and its limits must do, from the trade and its codes (common practice, no
source, unless a source is named); it is read off the events and the series alone, never off the loop's own state.
"""

from dataclasses import replace
from itertools import pairwise
from math import inf

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import assume, given
from hypothesis import strategies as st

from evenfire.errors import Diverged
from evenfire.physics import control_logic
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import FEED_ON_OFF, RATE_PROPORTIONAL
from evenfire.physics.motion.run import Phase
from evenfire.si import PA_PER_PSI, STANDARD_ATMOSPHERE_PA
from tests.physics.motion.random_boilers import BURNERS, GRID, Burner, Case, Controls, Vessel, cases, faults_not_on
from tests.physics.motion.readings import (
    AN_INSTANT,
    START_CHAIN,
    WITH_FUEL,
    Span,
    events_of,
    highest_between,
    inside,
    lowest_between,
    phases,
    spans,
    spans_of_fault,
    starts_within,
    told,
)

NO_HIGH_LIMIT_FAULT = tuple(faults_not_on("high limit"))
LATCHES = (Fault.HIGH_LIMIT_WELDED, Fault.FLAME_LOST)
A_PASCAL = 1.0
"""What rounding and the polynomials of a step leave of a threshold [Pa]; dials are read to a thousand times that."""
NOT_NOTED = 6.0
"""A turning point that stands out by less than 5 Pa makes no event [Pa]."""


def over_trip(case: Case) -> Case:
    """The same with its high limit near where the pressure goes, so that it has work to do."""
    settings = case.controls
    low = replace(settings, trip=settings.cut_out - 0.1 * settings.differential, trip_is_manual=True)
    return replace(case, controls=low)


# The high limit.


@given(case=cases(kinds=NO_HIGH_LIMIT_FAULT).map(over_trip))
def test_a_latched_high_limit_never_lets_the_burner_relight_until_a_hand_resets_it(case: Case) -> None:
    run = told(case)
    latches = spans(run, Happening.HIGH_LIMIT_OPENED, Happening.HIGH_LIMIT_CLOSED)
    started = starts_within(run, *latches)
    assert not started
    burning = run.series.firing[inside(run, *latches)]
    assert not burning.any()
    assert all(latched.end == inf or latched.end in case.resets for latched in latches)


@given(case=cases(kinds=NO_HIGH_LIMIT_FAULT).map(over_trip))
def test_a_reset_before_the_pressure_has_fallen_is_refused_and_the_burner_stays_off(case: Case) -> None:
    settings = case.controls
    remakes = (settings.trip - settings.falls_before_reset) * PA_PER_PSI
    run = told(case)
    refused = {event.time for event in events_of(run, Happening.RESET_REFUSED)}
    for latched in spans(run, Happening.HIGH_LIMIT_OPENED, Happening.HIGH_LIMIT_CLOSED):
        if latched.end < inf:
            # What a control senses lags behind the pressure and cannot have fallen where the pressure has not.
            fallen_to = lowest_between(run, latched)
            assert fallen_to <= remakes + NOT_NOTED
        pressed = {time for time in case.resets if latched.begin < time < min(latched.end, run.duration)}
        assert pressed <= refused


@given(case=cases(kinds=NO_HIGH_LIMIT_FAULT).map(over_trip))
def test_a_high_limit_without_lag_is_reset_where_the_pressure_has_fallen_and_only_there(case: Case) -> None:
    no_lag = replace(case.controls, lags=(case.controls.lags[0], 0.0, *case.controls.lags[2:]))
    remakes = (no_lag.trip - no_lag.falls_before_reset) * PA_PER_PSI
    run = told(replace(case, controls=no_lag))
    for event in events_of(run, Happening.RESET_REFUSED):
        assert event.pressure > remakes - A_PASCAL
    for event in events_of(run, Happening.HIGH_LIMIT_CLOSED):
        assert event.pressure <= remakes + A_PASCAL


@given(case=cases(kinds=NO_HIGH_LIMIT_FAULT).map(over_trip))
def test_an_automatic_high_limit_comes_back_by_itself_but_not_above_its_reset_point(case: Case) -> None:
    # One without any width would chatter: it is refused or gets stuck, see the tests of what cannot be.
    width = max(case.controls.falls_before_reset, 0.5)
    automatic = replace(case.controls, trip_is_manual=False, falls_before_reset=width)
    remakes = (automatic.trip - automatic.falls_before_reset) * PA_PER_PSI
    run = told(replace(case, controls=automatic))
    for event in events_of(run, Happening.HIGH_LIMIT_CLOSED):
        assert event.pressure <= remakes + A_PASCAL
    started = starts_within(run, *spans(run, Happening.HIGH_LIMIT_OPENED, Happening.HIGH_LIMIT_CLOSED))
    assert not started


@given(case=cases(but_on=("high limit", "operating limit")).map(over_trip))
def test_no_limit_acts_before_the_pressure_is_there_and_none_remakes_before_it_has_fallen(case: Case) -> None:
    """A control that lags has caught up with a rising pressure only where the pressure is at least as high."""
    settings, run = case.controls, told(case)
    for event in events_of(run, Happening.HIGH_LIMIT_OPENED):
        assert event.pressure >= settings.trip * PA_PER_PSI - A_PASCAL
    for event in events_of(run, Happening.OPERATING_LIMIT_OPENED):
        assert event.pressure >= settings.cut_out * PA_PER_PSI - A_PASCAL
    for event in events_of(run, Happening.OPERATING_LIMIT_CLOSED):
        assert event.pressure <= (settings.cut_out - settings.differential) * PA_PER_PSI + A_PASCAL


# The low-fire hold.


@given(case=cases(but_on=("hold", "drive")))
def test_firing_never_exceeds_low_fire_under_an_active_hold_but_for_the_stroke_of_the_drive(case: Case) -> None:
    run, lowest = told(case), case.burner.lowest
    held = spans(run, Happening.HOLD_TOOK, Happening.HOLD_LET_GO)
    settled = inside(run, *(Span(span.begin + case.burner.stroke, span.end) for span in held))
    firing = run.series.firing[settled]
    assert (firing <= lowest + 1e-6).all()


@given(case=cases(kinds=tuple(fault for fault in faults_not_on("hold") if fault is not Fault.DRIVE_STUCK_AT_FULL)))
def test_firing_of_a_released_burner_never_rises_under_an_active_hold_even_with_a_drive_that_sticks(case: Case) -> None:
    run = told(case)
    held = spans(run, Happening.HOLD_TOOK, Happening.HOLD_LET_GO)
    released = [span for phase, span in phases(run) if phase is Phase.RELEASED]
    for span in held:
        both = inside(run, span) & inside(run, *released)
        # Rows that follow each other in one and the same release.
        follows = both[1:] & both[:-1] & (np.diff(run.series.time) < 1.5 * GRID)
        rises = np.diff(run.series.firing)[follows]
        assert (rises <= 1e-9).all()


# Power, flame and lockout.


@given(
    case=cases(kinds=tuple(fault for fault in Fault if fault not in LATCHES)).map(over_trip),
    dips=st.lists(st.tuples(st.floats(0.0, 3600.0), st.floats(0.2, 300.0)), min_size=1, max_size=4),
)
def test_a_power_dip_clears_no_latch_and_the_burner_starts_its_whole_chain_anew(
    case: Case, dips: list[tuple[float, float]]
) -> None:
    off = tuple((Fault.POWER_OFF, begin, begin + lasts, 0.0) for begin, lasts in dips)
    case = replace(case, faults=(*case.faults, (Fault.FLAME_LOST, 600.0, 601.0, 0.0), *off))
    run = told(case)
    cleared = events_of(run, Happening.HIGH_LIMIT_CLOSED, Happening.UNLOCKED)
    assert all(event.time in case.resets for event in cleared)
    for dip in spans_of_fault(case, Fault.POWER_OFF):
        burning = run.series.firing[inside(run, dip)]
        assert not burning.any()
        started = starts_within(run, dip)
        assert not started
        after = [phase for phase, span in phases(run) if span.begin >= dip.end]
        if any(phase in WITH_FUEL for phase in after):
            first_fuel = next(place for place, phase in enumerate(after) if phase in WITH_FUEL)
            assert Phase.DELAY in after[:first_fuel]


LOCKED_OUT = ((Fault.FLAME_LOST, 600.0, 601.0, 0.0),)
TRIPPED = ((Fault.OPERATING_LIMIT_WELDED, 0.0, inf, 0.0), (Fault.LOAD_GONE, 300.0, inf, 0.0))
NO_LATCH = tuple(fault for fault in faults_not_on("high limit", "operating limit") if fault is not Fault.FLAME_LOST)


@pytest.mark.parametrize(
    ("latching", "acts", "clears"),
    [
        (LOCKED_OUT, Happening.LOCKED_OUT, Happening.UNLOCKED),
        (TRIPPED, Happening.HIGH_LIMIT_OPENED, Happening.HIGH_LIMIT_CLOSED),
    ],
    ids=["lockout", "high limit"],
)
@given(
    dips=st.lists(st.tuples(st.floats(1800.0, 7000.0), st.floats(0.01, 300.0)), min_size=1, max_size=4),
    others=st.lists(st.tuples(st.sampled_from(NO_LATCH), st.floats(1800.0, 7000.0)), max_size=2),
)
def test_a_latch_that_acted_outlasts_every_power_dip(
    latching: tuple[tuple[Fault, float, float, float], ...],
    acts: Happening,
    clears: Happening,
    dips: list[tuple[float, float]],
    others: list[tuple[Fault, float]],
) -> None:
    """On an ordinary boiler that has locked out, or tripped, within the first half of an hour and has no hand near."""
    off = tuple((Fault.POWER_OFF, begin, begin + lasts, 0.0) for begin, lasts in dips)
    broken = tuple((fault, begin, inf, -5.0) for fault, begin in others)
    case = Case(starts_at=95.0, pieces=((0.0, 0.5, 0.0),), faults=(*latching, *off, *broken), hours=2.0)
    run = told(case)
    acted, cleared = events_of(run, acts), events_of(run, clears)
    assert [event.time < 1800.0 for event in acted] == [True]
    assert not cleared
    burning = run.series.firing[run.series.time > acted[0].time]
    assert not burning.any()


@given(case=cases(), begins=st.floats(0.0, 3000.0), lasts=st.just(inf) | st.floats(1.0, 900.0))
def test_a_burner_that_lost_its_flame_stays_locked_out_until_a_hand_resets_it(
    case: Case, begins: float, lasts: float
) -> None:
    case = replace(case, faults=(*case.faults, (Fault.FLAME_LOST, begins, begins + lasts, 0.0)))
    run = told(case)
    lockouts = spans(run, Happening.LOCKED_OUT, Happening.UNLOCKED)
    started = starts_within(run, *lockouts)
    assert not started
    burning = run.series.firing[inside(run, *lockouts)]
    assert not burning.any()
    assert all(locked.end == inf or locked.end in case.resets for locked in lockouts)
    burning = run.series.firing[inside(run, *spans_of_fault(case, Fault.FLAME_LOST))]
    assert not burning.any()


# Precedence and low water.


@given(case=cases().map(over_trip))
def test_with_any_contact_open_the_fuel_is_off_at_that_very_moment(case: Case) -> None:
    run = told(case)
    open_contacts = [
        *spans(run, Happening.OPERATING_LIMIT_OPENED, Happening.OPERATING_LIMIT_CLOSED),
        *spans(run, Happening.HIGH_LIMIT_OPENED, Happening.HIGH_LIMIT_CLOSED),
        *spans(run, Happening.WATER_LOW, Happening.WATER_RESTORED),
        *spans(run, Happening.LOCKED_OUT, Happening.UNLOCKED),
        *spans_of_fault(case, Fault.LOW_WATER, Fault.POWER_OFF),
    ]
    burning = run.series.firing[inside(run, *open_contacts)]
    assert not burning.any()
    started = starts_within(run, *open_contacts)
    assert not started


@given(case=cases().map(over_trip))
def test_a_stop_names_the_first_in_rank_of_what_is_open(case: Case) -> None:
    """Lockout before power, high limit, low water, operating limit: the order that the design states."""
    run = told(case)
    ranked = (
        (control_logic.LOCKOUT, spans(run, Happening.LOCKED_OUT, Happening.UNLOCKED)),
        (control_logic.NO_POWER, spans_of_fault(case, Fault.POWER_OFF)),
        (control_logic.HIGH_LIMIT, spans(run, Happening.HIGH_LIMIT_OPENED, Happening.HIGH_LIMIT_CLOSED)),
        (
            control_logic.LOW_WATER,
            [*spans(run, Happening.WATER_LOW, Happening.WATER_RESTORED), *spans_of_fault(case, Fault.LOW_WATER)],
        ),
        (control_logic.OPERATING_LIMIT, spans(run, Happening.OPERATING_LIMIT_OPENED, Happening.OPERATING_LIMIT_CLOSED)),
    )
    stops = events_of(run, Happening.BURNER_STOPPED)
    times = np.array([stop.time for stop in stops])
    first_in_rank = np.full(len(stops), control_logic.NOTHING)
    for reason, found in reversed(ranked):
        for span in found:
            here = slice(*np.searchsorted(times, (span.begin, span.end)))
            first_in_rank[here] = reason
    assert [stop.subject for stop in stops] == list(first_in_rank)


@given(case=cases())
def test_the_burner_never_burns_where_the_water_stands_below_its_cutoff(case: Case) -> None:
    run = told(case)
    if case.vessel.has_cutoff:
        low = run.series.water_volume < float(case.model().feed.cutoff) * (1 - 1e-9)
        burning = run.series.firing[low]
        assert not burning.any()


# The start chain.


@given(case=cases())
def test_no_step_of_the_start_chain_is_left_out_or_cut_short(case: Case) -> None:
    run = told(case)
    lasts = dict(zip(START_CHAIN, (*case.burner.chain, 0.0), strict=True))
    for (before, was), (after, _) in pairwise(phases(run)):
        if after in START_CHAIN:
            assert before == (Phase.OFF if after is Phase.DELAY else Phase(after - 1))
        if after in START_CHAIN and before in START_CHAIN:
            assert was.end - was.begin >= lasts[before] - AN_INSTANT


@given(case=cases())
def test_the_burner_keeps_its_least_time_off(case: Case) -> None:
    run = told(case)
    stopped = -inf
    for event in events_of(run, Happening.BURNER_STOPPED, Happening.PHASE_BEGAN):
        if event.kind is Happening.BURNER_STOPPED:
            stopped = event.time
        elif event.subject == Phase.DELAY:
            assert event.time >= stopped + case.burner.minimum_off - AN_INSTANT


@given(case=cases())
def test_after_any_stop_with_power_the_burner_purges_its_whole_postpurge(case: Case) -> None:
    run = told(case)
    dips = spans_of_fault(case, Fault.POWER_OFF)
    for (before, was), (after, now) in pairwise(phases(run)):
        dead = any(dip.begin <= was.end < dip.end for dip in dips)
        if before in START_CHAIN and before is not Phase.DELAY and after not in START_CHAIN:
            assert after is (Phase.OFF if dead else Phase.POSTPURGE)
        if after is Phase.POSTPURGE and not any(now.begin <= dip.begin <= now.end for dip in dips):
            assert now.end - now.begin >= case.burner.postpurge - AN_INSTANT


DRIVE_FAULTS = (Fault.DRIVE_STUCK, Fault.DRIVE_STUCK_AT_FULL, Fault.DAMPER_STUCK_IN_PURGE)


@given(case=cases(but_on=("drive",)), proves=BURNERS)
def test_a_burner_that_must_light_at_low_fire_lights_at_low_fire(case: Case, proves: Burner) -> None:
    case = replace(case, burner=replace(proves, lights_at_low_fire_only=True))
    run = told(case)
    for event in events_of(run, Happening.PHASE_BEGAN):
        if event.subject in (Phase.FLAME, Phase.LOW_FIRE, Phase.RELEASED):
            assert event.firing <= case.burner.lowest + 1e-6
    lighting = inside(run, *(span for phase, span in phases(run) if phase in (Phase.FLAME, Phase.LOW_FIRE)))
    firing = run.series.firing[lighting]
    assert (firing <= case.burner.lowest + 1e-6).all()


@pytest.mark.parametrize("fault", DRIVE_FAULTS)
@given(case=cases(but_on=("drive",)))
def test_a_drive_that_cannot_prove_purge_and_low_fire_never_lets_the_burner_light(case: Case, fault: Fault) -> None:
    """Stuck at low fire it never proves the open damper, stuck open or run open it never proves low fire."""
    burner = replace(case.burner, purges_open=True, lights_at_low_fire_only=True)
    run = told(replace(case, burner=burner, faults=(*case.faults, (fault, 0.0, inf, 0.0))))
    firing, entered = run.series.firing, {phase for phase, _ in phases(run)}
    assert not firing.any()
    assert not entered & {Phase.PILOT, Phase.MAIN, *WITH_FUEL}


# Safety valves.


@given(case=cases())
def test_a_safety_valve_lifts_at_its_set_and_reseats_after_its_blowdown_or_stays_lifted(case: Case) -> None:
    run = told(case)
    for number, lift in enumerate(case.vessel.lifts):
        acted = [e for e in events_of(run, Happening.VALVE_LIFTED, Happening.VALVE_RESEATED) if e.subject == number]
        kinds = [event.kind for event in acted]
        assert kinds == [Happening.VALVE_LIFTED, Happening.VALVE_RESEATED] * (len(kinds) // 2) + kinds[-1:] * (
            len(kinds) % 2
        )
        for event in acted:
            if event.kind is Happening.VALVE_LIFTED:
                assert event.pressure >= lift * PA_PER_PSI - A_PASCAL
            else:
                assert event.pressure <= (lift - case.vessel.blowdown) * PA_PER_PSI + A_PASCAL


@given(case=cases())
def test_no_steam_is_relieved_while_every_valve_is_shut_and_none_is_shut_above_its_set(case: Case) -> None:
    run = told(case)
    up = np.zeros(len(run.series.time), dtype=bool)
    near = np.zeros(len(run.series.time), dtype=bool)
    for number, lift in enumerate(case.vessel.lifts):
        of_this = [e for e in events_of(run, Happening.VALVE_LIFTED, Happening.VALVE_RESEATED) if e.subject == number]
        this_up = np.zeros(len(up), dtype=bool)
        for event in of_this:
            near[slice(*np.searchsorted(run.series.time, (event.time - AN_INSTANT, event.time + AN_INSTANT)))] = True
            this_up[np.searchsorted(run.series.time, event.time, side="right") :] = event.kind is Happening.VALVE_LIFTED
        up |= this_up
        shut = ~this_up & ~near
        pressure = run.series.pressure[shut]
        assert (pressure <= lift * PA_PER_PSI + A_PASCAL).all()
    agrees = ((run.series.relieved > 0) == up)[~near]
    assert agrees.all()


# The next protection holds, or the run says that none does.


def pressure_rise_per_heat(case: Case, highest: float) -> float:
    """Least heat that raises the pressure, from the water alone and a tenth less for what the steam takes [J/Pa].

    Slope of the saturation temperature by an independent library (CoolProp, IAPWS-95) where it is least.
    """
    slope = PropsSI("d(T)/d(P)|sigma", "P", highest + STANDARD_ATMOSPHERE_PA, "Q", 0, "Water")
    hot = PropsSI("C", "P", highest + STANDARD_ATMOSPHERE_PA, "Q", 0, "Water")
    dense = PropsSI("D", "P", highest + STANDARD_ATMOSPHERE_PA, "Q", 0, "Water")
    return 0.9 * 0.9 * case.water_volume() * float(slope * hot * dense)


@st.composite
def without_operating_limit(draw: st.DrawFn) -> Case:
    """An ordinary boiler in order, its operating limit welded and its load gone, with one or two more faults."""
    cut_out = draw(st.floats(30.0, 250.0))
    burner = replace(draw(BURNERS), rate_action=RATE_PROPORTIONAL)
    welded = (Fault.OPERATING_LIMIT_WELDED, 0.0, inf, 0.0)
    gone = (Fault.LOAD_GONE, draw(st.floats(0.0, 1200.0)), inf, 0.0)
    others = draw(st.lists(st.sampled_from([Fault.DRIVE_STUCK_AT_FULL, Fault.DRIVE_STUCK, Fault.HOLD_BYPASSED])))
    begins = draw(st.floats(0.0, 1200.0))
    return Case(
        burner=burner,
        controls=Controls(
            cut_out=cut_out,
            differential=0.05 * cut_out,
            trip=1.1 * cut_out,
            falls_before_reset=0.03 * cut_out,
            low_fire=0.95 * cut_out,
            throttling=0.1 * cut_out,
            hold=0.3 * cut_out,
            lags=(1.0, draw(st.floats(0.0, 3.0)), 1.0, 1.0),
        ),
        vessel=Vessel(
            water=draw(st.floats(0.2, 4.0)), lifts=(1.25 * cut_out,) * 2, blowdown=0.04 * cut_out, capacity=0.7
        ),
        pieces=((0.0, draw(st.floats(0.0, 0.8)), 0.0),),
        faults=(welded, gone, *((fault, begins, inf, 0.0) for fault in others)),
        starts_at=draw(st.floats(0.5, 1.0)) * cut_out,
    )


@given(case=without_operating_limit())
def test_with_the_operating_limit_welded_the_high_limit_holds(case: Case) -> None:
    """Above its trip comes only what is on its way and what a lagging control sees late."""
    run = told(case)
    trip = case.controls.trip * PA_PER_PSI
    late = case.burner.heat_lag + case.controls.lags[1]
    beyond = case.burner.full_heat * late / pressure_rise_per_heat(case, run.highest.pressure)
    # Valves may help where the run-on reaches them; the bound is that of the high limit alone.
    highest, acted = run.highest.pressure, events_of(run, Happening.HIGH_LIMIT_OPENED)
    assert highest <= max(trip, (case.starts_at or 0.0) * PA_PER_PSI) + beyond + A_PASCAL
    assert highest <= trip + A_PASCAL or acted


def both_limits_welded(case: Case, capacity: float) -> Case:
    """Nothing but the safety valves is left; each relieves this share of what full fire makes."""
    welded = (Fault.HIGH_LIMIT_WELDED, 0.0, inf, 0.0)
    vessel = replace(case.vessel, capacity=capacity, feed_kind=FEED_ON_OFF, feed_capacity=2.0, has_cutoff=False)
    return replace(case, vessel=vessel, faults=(*case.faults, welded))


@given(case=without_operating_limit().map(lambda case: both_limits_welded(case, 0.8)))
def test_with_both_limits_welded_valves_that_are_large_enough_hold_the_pressure(case: Case) -> None:
    """Two valves of 0.8 of full fire each, by heat of evaporation: past the second the pressure can only fall.

    Six per cent is the accumulation that the boiler code allows (ASME I, PG-67; from memory).
    """
    lift = case.vessel.lifts[0] * PA_PER_PSI
    evaporation = PropsSI("H", "P", lift, "Q", 1, "Water") - PropsSI("H", "P", lift, "Q", 0, "Water")
    flow = 2 * 0.8 * case.burner.full_heat / 2.2e6
    assume(flow * float(evaporation) > 1.05 * case.burner.full_heat)
    highest = told(case).highest.pressure
    assert highest <= 1.06 * lift


@given(case=without_operating_limit().map(lambda case: both_limits_welded(case, 0.1)))
def test_valves_that_are_too_small_are_seen_to_be(case: Case) -> None:
    """At full fire, with a fifth of what is needed, pressure goes on rising: ``highest`` says so, or it diverges."""
    full = replace(case.burner, rate_action=0, cap=1.0, lights_at_low_fire_only=False, chain=(1.0,) * 8, stroke=10.0)
    faults = tuple(row for row in case.faults if row[0] not in DRIVE_FAULTS)
    vessel = replace(case.vessel, feed_kind=FEED_ON_OFF, water=min(case.vessel.water, 1.0))
    case = replace(
        case, burner=full, vessel=vessel, faults=faults, controls=replace(case.controls, hold=-inf), hours=2.0
    )
    lift = case.vessel.lifts[0] * PA_PER_PSI
    reached = pressure_reached(case)
    assert reached > 1.06 * lift


def pressure_reached(case: Case) -> float:
    """Highest pressure of a run, or where it left what can be simulated [Pa gauge]."""
    try:
        return case.run().highest.pressure
    except Diverged as diverged:
        if "left the range" in diverged.why or "dry" in diverged.why or "top" in diverged.why:
            return diverged.pressure.value
        raise


@given(case=cases())
def test_the_extremes_of_a_run_hide_nothing_that_its_series_shows(case: Case) -> None:
    run = told(case)
    whole = Span(0.0, run.duration)
    highest, lowest = run.highest.pressure, run.lowest.pressure
    seen_highest, seen_lowest = highest_between(run, whole), lowest_between(run, whole)
    assert highest >= seen_highest - NOT_NOTED
    assert lowest <= seen_lowest + NOT_NOTED


@given(case=cases())
def test_events_stand_in_the_order_of_time_inside_the_run(case: Case) -> None:
    run = told(case)
    times = np.array([event.time for event in run.events])
    inside_run = (times >= 0.0) & (times <= run.duration)
    assert (np.diff(times) >= 0.0).all()
    assert inside_run.all()
