"""Closed forms of firing: first estimates, and the checks of the loop that simulates a boiler.

All heats are heats to the water [W], all pressures differences or gauge [Pa], ``storage`` is heat per pressure rise
[J/Pa] (see :mod:`evenfire.physics.vessel`). Every form takes floats or arrays.
"""

from evenfire.si import J_PER_BTU, KG_PER_LB, Number

AIR_PER_GROSS_HEAT = 0.72 * KG_PER_LB / (1000 * J_PER_BTU) * 1.15
"""Air with 15 % excess for a joule of gross fuel heat; stoichiometric 0.72 lb per 1000 Btu, from memory [kg/J]."""
AIR_HEAT_CAPACITY = 1005.0
"""[J/(kg K)]"""


def firing_fraction(pressure: Number, high_fire: Number, low_fire: Number, lowest: float) -> Number:
    """Firing of a proportional control as a share of full fire [1], inside its band.

    Full fire at the high-fire point, ``lowest`` (one over the turndown) at the low-fire point, a straight line
    between. The caller keeps ``pressure`` inside the band.

    References: DOE-HDBK-1013/2-92, proportional band.
    """
    return 1 - (1 - lowest) * (pressure - high_fire) / (low_fire - high_fire)


def steady_pressure(load: float, high_fire: Number, low_fire: Number, lowest: float) -> Number:
    """Pressure [Pa gauge] at which a proportional control stands under a steady load, a share of full fire [1].

    Valid from low-fire load (``lowest``) to full load; the inverse of :func:`firing_fraction`.
    """
    return low_fire - (low_fire - high_fire) * ((load - lowest) / (1 - lowest))


def run_on(heat: Number, lag: float, storage: Number) -> Number:
    """Rise of pressure [Pa] after a burner that gave ``heat`` is stopped, with no steam drawn.

    Heat that follows the flame with the time constant ``lag`` leaves heat x lag on its way when the flame goes out;
    all of it goes into the store.
    """
    return heat * lag / storage


def restart_undershoot(load: Number, purge_cooling: float, seconds: float, storage: Number) -> Number:
    """Fall of pressure [Pa] below cut-in while the start chain runs.

    ``load`` [W] includes the standing loss; ``seconds`` runs from the contact to the heat of low fire, during which
    load and purge air draw on the store alone.
    """
    return (load + purge_cooling) * seconds / storage


def purge_cooling(gross_input: float, air_share: float, water_temperature: float, air_temperature: float) -> float:
    """Heat that purge air carries away from hot surfaces when it leaves at water temperature: an upper bound [W]."""
    air = gross_input * AIR_PER_GROSS_HEAT * air_share
    return air * AIR_HEAT_CAPACITY * max(0.0, water_temperature - air_temperature)


def drop_overshoot(drop: float, ramp: float, lag: float, drive: float, storage: Number) -> Number:
    """Rise of pressure [Pa] above the firing line while a falling load is followed: a bound.

    ``drop`` [W] is the heat that the load sheds over ``ramp`` [s]; ``drive`` [s] is how long the actuator needs for as
    much. What is still on its way to the water when the actuator arrives (drop x lag), and what burns too much because
    the actuator is slower than the load (half the drop over the seconds that it is late), goes into the store.
    """
    late = max(0.0, drive - ramp)
    return drop * (lag + late / 2) / storage


def drive_up_fall(load_share: float, span: float, lag: float, stroke: float, storage: Number) -> Number:
    """Fall of pressure [Pa] below the high-fire point while a burner in two steps goes from low to high: a bound.

    ``load_share`` is how far the load stands from low fire (0) to high fire (1), ``span`` [W] the heat between the two,
    ``stroke`` [s] the drive's time from one to the other.

    Notes
    -----
    The step is called for at the high-fire point. Until the fire is as large as the load, the store gives the
    difference, y x span at first. A fire that grows evenly needs y x stroke for it and leaves half of that,
    ``y span y stroke / 2``. Heat that follows with the time constant ``lag`` comes that much later: at most
    ``y span lag`` more, which is what a fire that stopped growing at the load would leave in all.
    """
    lacking = load_share * span
    return lacking * (lag + load_share * stroke / 2) / storage


def cycle_period(
    load: Number,
    low_fire_heat: float,
    band_heat: Number,
    seconds: float,
    lag: float,
    purge_cooling: float,
    purge_after: float,
) -> Number:
    """Time from one start to the next [s] at a steady load below low-fire heat.

    ``band_heat`` is storage x differential [J]; ``load`` [W] includes the standing loss and lies strictly between 0 and
    ``low_fire_heat`` [W]; ``seconds`` [s] from contact to low-fire heat, the ``lag`` of the heat [s] included;
    ``purge_after`` [s] is the postpurge.

    Notes
    -----
    Off and falling: the flame is out at cut-out, but ``Q lag`` is still on its way and goes into the water, so the load
    drains the band and that, less what the postpurge took: ``(band + Q lag - Qp t_post)/L``. Starting: ``t_s``, while
    the store falls by ``(L + Qp) t_s`` more; the heat that is withheld after the flame, ``Q lag`` again, stands in
    ``t_s``. On and rising: band and fall come back at ``Q - L``.

    With no start time, lag and purge cooling this is ``band/(Q - L) + band/L``; its fastest cycle stands at ``L = Q/2``
    with ``Q/(4 band)`` starts a second. It holds while the pressure, undershoot included, stays above the low-fire
    point, where the burner fires low all the time, and the rise lasts several lags.

    The loop, fed as steam is drawn, lies within 1 % of it (``tests/published/test_motion_cycling.py``); by the form a
    cycle is up to 0.8 % shorter.
    Left out: the lag of the control itself, which passes cut-out by ``(Q - L)`` and cut-in by ``L`` times it; storage
    that changes with pressure inside the band; feedwater that does not come as steam goes.
    """
    drained = (load + purge_cooling) * seconds
    falling = (band_heat + low_fire_heat * lag - purge_cooling * purge_after) / load
    rising = (band_heat + drained) / (low_fire_heat - load)
    return seconds + falling + rising


def fastest_cycling_load(
    low_fire_heat: float, band_heat: Number, seconds: float, lag: float, purge_cooling: float, purge_after: float
) -> Number:
    """Load [W], standing loss included, at which :func:`cycle_period` is shortest.

    Notes
    -----
    With ``a = band + Q lag - Qp t_post`` and ``b = band + Qp t_s`` the period is ``t_s + a/L + (b + t_s L)/(Q - L)``;
    its slope is nought where ``((Q - L)/L)^2 = (b + t_s Q)/a``. Without start time, lag and purge cooling that is
    ``L = Q/2``.
    """
    drained = band_heat + low_fire_heat * lag - purge_cooling * purge_after
    refilled = band_heat + purge_cooling * seconds + seconds * low_fire_heat
    root: Number = (refilled / drained) ** 0.5
    return low_fire_heat / (1 + root)
