"""Which gauge could decide a test: by hand, and by what must hold for any gauge."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.errors import ImpossibleValue
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.planning import Planned, Suits, plan_of
from evenfire.judgement.trip_test.repeatability import Pool, Repeatability
from evenfire.si import PA_PER_PSI, Dimension
from tests.judgement.trip_test.trips_at_140 import TODAY, gauge, gauge_psi, psi

WELL_KNOWN = Repeatability(standard_deviation=psi(0.2), degrees_of_freedom=100, pool=Pool.THIS_CONTROL)
PLANNED = Planned(set_pressure=gauge_psi(140.0), band=psi(2.0), on=TODAY, rate=psi(0.1), repeatability=WELL_KNOWN)
COARSE = gauge(3.0, 5.0, 0.5, serial="coarse")
FINE = gauge(0.25, 0.2, 0.1, serial="fine")


def test_the_fine_gauge_is_the_one_to_take() -> None:
    plan = plan_of(PLANNED, (COARSE, FINE))
    assert plan.take is FINE
    assert [each.suits for each in plan.gauges] == [Suits.DECIDES, Suits.CANNOT_DECIDE]
    assert plan.gauges[1].fewest_repeats is None
    assert not any(each.ends_too_low for each in plan.gauges)


def test_with_only_a_coarse_gauge_there_is_none_to_take() -> None:
    plan = plan_of(PLANNED, (COARSE,))
    assert plan.take is None
    assert plan.gauges[0].suits is Suits.CANNOT_DECIDE


def test_the_widest_uncertainty_is_about_half_the_band() -> None:
    # By hand, for a control that repeats perfectly and endless degrees of freedom: the middle passes with 95 % where
    # 2 psi = U + z u with the one-sided 1.645 above and the two-sided 1.96 below; z near 2 (each side keeps 2 to 3 %),
    # so U = 1.96 u is near 1.96 x 2 / (1.96 + 1.9) = 1.0 psi.
    perfect = replace(WELL_KNOWN, standard_deviation=0.0, degrees_of_freedom=1e9)
    widest = plan_of(replace(PLANNED, repeatability=perfect), ()).widest
    assert widest is not None
    assert widest / PA_PER_PSI == pytest.approx(1.0, abs=0.05)


def test_where_the_control_scatters_too_much_no_gauge_can_decide() -> None:
    wild = replace(WELL_KNOWN, standard_deviation=psi(2.0))
    plan = plan_of(replace(PLANNED, repeatability=wild), (FINE,))
    assert plan.widest is None
    assert plan.take is None


UNFIT = [
    (replace(FINE, calibrated_on=date(2025, 1, 1)), Suits.OUT_OF_DATE),
    (gauge(to=141.0), Suits.OUT_OF_RANGE),
    # The range comes first: neither an old certificate nor a missing one hides that it would be overrun.
    (replace(gauge(to=30.0), calibrated_on=date(2025, 1, 1)), Suits.OUT_OF_RANGE),
    (replace(gauge(to=30.0), calibrated_on=None), Suits.OUT_OF_RANGE),
    (replace(FINE, lowest=gauge_psi(139.0)), Suits.OUT_OF_RANGE),
    (replace(FINE, calibrated_on=None), Suits.NOT_KNOWN),
    (replace(FINE, water_leg=None), Suits.NOT_KNOWN),
]


@pytest.mark.parametrize(("unfit", "suits"), UNFIT)
def test_a_gauge_that_cannot_be_relied_on_is_never_taken(unfit: ReferenceGauge, suits: Suits) -> None:
    plan = plan_of(PLANNED, (unfit,))
    assert plan.gauges[0].suits is suits
    assert plan.take is None


def test_a_gauge_that_reaches_the_band_and_not_the_lift_of_a_valve_is_out_of_range() -> None:
    far = replace(PLANNED, could_meet=gauge_psi(165.0))
    (short,) = plan_of(far, (gauge(to=160.0),)).gauges
    assert (short.suits, short.ends_too_low) == (Suits.OUT_OF_RANGE, True)
    (long,) = plan_of(far, (gauge(to=200.0),)).gauges
    assert long.suits is not Suits.OUT_OF_RANGE
    (begins_high,) = plan_of(PLANNED, (replace(FINE, lowest=gauge_psi(139.0)),)).gauges
    assert not begins_high.ends_too_low, "it reads too little at its begin; nothing overruns it"


def test_without_a_rate_nothing_is_said() -> None:
    (only,) = plan_of(replace(PLANNED, rate=None), (FINE,)).gauges
    assert (only.suits, only.missing) == (Suits.NOT_KNOWN, ("trip.rise",))


def test_a_guess_at_the_repeatability_is_named() -> None:
    assert "ASSUMED_REPEATABILITY" in plan_of(replace(PLANNED, repeatability=None), (FINE,)).assumptions
    assert "ASSUMED_REPEATABILITY" not in plan_of(PLANNED, (FINE,)).assumptions


def test_one_repeat_of_a_control_never_tested_decides_nothing() -> None:
    (only,) = plan_of(replace(PLANNED, repeatability=None, repeats=1, band=psi(10.0)), (FINE,)).gauges
    assert (only.suits, only.share_undecided) == (Suits.CANNOT_DECIDE, 1.0)
    assert only.fewest_repeats is not None
    assert only.fewest_repeats >= 2


@given(st.floats(0.0, 3.0), st.floats(0.01, 2.0), st.floats(0.0, 3.0), st.floats(1.0, 20.0))
def test_a_coarser_gauge_never_decides_what_a_finer_one_cannot(
    error: float, division: float, coarser: float, band: float
) -> None:
    planned = replace(PLANNED, band=psi(band))
    fine = plan_of(planned, (gauge(error, division),)).gauges[0]
    rough = plan_of(planned, (gauge(error + coarser, division + coarser),)).gauges[0]
    assert fine.suits is Suits.DECIDES or rough.suits is Suits.CANNOT_DECIDE
    assert fine.share_undecided is not None
    assert rough.share_undecided is not None
    assert 0.0 <= fine.share_undecided <= 1.0


@pytest.mark.parametrize(
    ("edit", "dimension"),
    [
        ({"band": psi(0.0)}, Dimension.PRESSURE_DIFFERENCE),
        ({"repeats": 0}, Dimension.NUMBER),
        ({"repeats": 11}, Dimension.NUMBER),
        ({"set_pressure": gauge_psi(0.0)}, Dimension.GAUGE_PRESSURE),
    ],
)
def test_a_test_that_cannot_be_is_refused_in_its_unit(edit: dict[str, float], dimension: Dimension) -> None:
    with pytest.raises(ImpossibleValue) as refused:
        replace(PLANNED, **edit)  # type: ignore[arg-type]
    assert refused.value.found.dimension is dimension
