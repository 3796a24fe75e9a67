"""What is looked at in a run, on runs written by hand: every margin here is a difference of two written numbers."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import Check, Shown, Watched
from evenfire.judgement.proofs.staging import HIGH, TRUE, stages_of
from evenfire.judgement.proofs.watching import (
    at_least,
    at_most,
    blaming,
    falls_as,
    high_checks,
    longest_below,
    low_fire_first,
    need_checks,
    need_of,
    stood_off,
    yes_or_no,
)
from evenfire.physics import control_logic
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.records import copied
from evenfire.physics.motion.run import Phase
from evenfire.plant.known import NotKnownError
from evenfire.si import Dimension
from tests.judgement.proofs.runs_by_hand import PSI, event, shown
from tests.surveys import case_of, survey

LEG = 0.433 * 0.5
"""Half a foot of water on each control of the laundry [psi]."""


def laundry(edits: dict[str, object] | None = None) -> Case:
    return case_of(survey(edits))


def psi(check: Check) -> tuple[float, float, float]:
    """What was seen, its limit and the margin [psi]."""
    return check.observed.value / PSI, check.limit.value / PSI, check.margin.value / PSI


@pytest.mark.parametrize(("seen", "margin", "holds"), [(107.0, 2.0, True), (105.0, 0.0, True), (104.0, -1.0, False)])
def test_a_pressure_that_may_not_be_lower(seen: float, margin: float, holds: bool) -> None:
    check = at_least(Watched.NEED, seen * PSI, 105 * PSI, shown([seen]), 30.0)
    assert psi(check) == pytest.approx((seen, 105, margin))
    assert check.holds is holds
    assert check.at is not None
    assert (check.at.value, check.at.dimension) == (30.0, Dimension.TIME)
    assert check.margin.dimension is Dimension.PRESSURE_DIFFERENCE
    assert (check.watched, check.shown) == (Watched.NEED, "by hand")


@pytest.mark.parametrize(("seen", "margin", "holds"), [(128.0, 2.0, True), (130.0, 0.0, True), (131.0, -1.0, False)])
def test_a_pressure_that_may_not_be_higher(seen: float, margin: float, holds: bool) -> None:
    check = at_most(Watched.WISH, seen * PSI, 130 * PSI, shown([seen]))
    assert psi(check) == pytest.approx((seen, 130, margin))
    assert check.holds is holds
    assert check.at is None


def test_what_has_no_amount_holds_or_fails_by_one() -> None:
    yes, no = (yes_or_no(Watched.RESTARTS, holds, shown([1.0]), 5.0) for holds in (True, False))
    assert (yes.holds, yes.observed.value, yes.limit.value, yes.margin.value) == (True, 1.0, 1.0, 0.0)
    assert (no.holds, no.observed.value, no.limit.value, no.margin.value) == (False, 0.0, 1.0, -1.0)
    assert yes.at is not None
    assert yes.at.value == 5.0
    assert yes_or_no(Watched.RESTARTS, True, shown([1.0])).at is None


@pytest.mark.parametrize(
    ("pressures", "seconds"),
    [
        ([110, 110, 110], 0.0),
        # From 5 s to 25 s: half way down, half way up.
        ([110, 100, 100, 110], 20.0),
        # A quarter of the way down, three quarters of it up: 2.5 s to 12.5 s.
        ([106, 102, 114], 10.0),
        # Twice: 10 s and 20 s; the longest counts, wherever it comes.
        ([110, 100, 110, 100, 100, 110], 20.0),
        ([110, 100, 100, 110, 100, 110], 20.0),
        # From the start, to the end, and all of the time.
        ([100, 100, 110], 15.0),
        ([110, 100, 100], 15.0),
        ([100, 100, 100], 20.0),
        # On the line is not below it.
        ([105, 105, 105], 0.0),
    ],
)
def test_the_longest_time_below_a_pressure(pressures: Sequence[float], seconds: float) -> None:
    assert longest_below(shown(pressures), 105 * PSI) == pytest.approx(seconds)


def checks(case: Case, run: Shown, again: Shown | None = None) -> dict[Watched, Check]:
    found = list(need_checks(case, run, lambda _: again or run))
    assert len({check.watched for check in found}) == len(found)
    return {check.watched: check for check in found}


def test_a_need_that_is_held_is_one_check() -> None:
    found = checks(laundry(), shown([112, 106, 112]))
    assert set(found) == {Watched.NEED}
    assert psi(found[Watched.NEED]) == pytest.approx((106, 105, 1))
    at = found[Watched.NEED].at
    assert at is not None
    assert at.value == 10.0


def test_where_the_users_stand_a_dip_its_depth_and_its_time_are_looked_at_instead() -> None:
    # 105 psi is the need; 100 psi may be had for 60 s. Below for 110 s: from 5 s to 115 s.
    found = checks(laundry(), shown([108, 102, *[102] * 9, 102, 108]))
    assert set(found) == {Watched.DIP, Watched.DIP_TIME}
    assert psi(found[Watched.DIP]) == pytest.approx((102, 100, 2))
    time = found[Watched.DIP_TIME]
    assert (time.observed.value, time.limit.value, time.margin.value) == pytest.approx((110, 60, -50))
    assert not time.holds
    short = checks(laundry(), shown([108, 102, 102, 108]))[Watched.DIP_TIME]
    assert (short.observed.value, short.margin.value) == pytest.approx((20, 40))
    assert short.holds


def test_a_dip_that_is_too_deep_fails_by_the_difference() -> None:
    found = checks(laundry(), shown([108, 97, 108]))
    assert psi(found[Watched.DIP]) == pytest.approx((97, 100, -3))
    assert not found[Watched.DIP].holds


def test_a_dip_whose_time_nobody_bounded_is_looked_at_for_its_depth_alone() -> None:
    assert set(checks(laundry({"load.may_dip_for": None}), shown([108, 102, 108]))) == {Watched.DIP}


def test_users_who_stand_no_dip_need_the_need() -> None:
    case = laundry({"load.may_dip_to": None, "load.may_dip_for": None})
    found = checks(case, shown([108, 102, 108]))
    assert set(found) == {Watched.NEED}
    assert psi(found[Watched.NEED]) == pytest.approx((102, 105, -3))


def test_a_time_near_its_limit_is_seen_again_more_finely() -> None:
    # 70 s below, to ten seconds or so; a finer look says 40 s.
    coarse, fine = shown([108, *[102] * 7, 108]), shown([108, *[102] * 4, 108])
    near = checks(laundry(), coarse, fine)[Watched.DIP_TIME]
    assert near.observed.value == pytest.approx(40)
    assert near.holds
    # 110 s is far from 60 s: no second look changes that.
    far = checks(laundry(), shown([108, *[102] * 11, 108]), fine)[Watched.DIP_TIME]
    assert far.observed.value == pytest.approx(110)


def test_a_need_at_the_header_stands_higher_at_the_boiler_by_the_line() -> None:
    # 185 psi at the reducing station and 2 psi of line; a dip to 175 psi there is 177 psi at the boiler.
    case = case_of(survey(plant="board-mill"))
    assert need_of(case) / PSI == pytest.approx(187)
    assert psi(checks(case, shown([190, 180, 190]))[Watched.DIP]) == pytest.approx((180, 177, 3))


def test_a_need_that_nobody_stated_is_asked_for() -> None:
    with pytest.raises(NotKnownError) as raised:
        need_of(laundry({"load.need": None}))
    assert raised.value.keys == ("load.need",)


def test_what_high_pressure_could_disturb() -> None:
    stage = stages_of(laundry(), TRUE)[0]
    found = {check.watched: psi(check) for check in high_checks(stage, shown([120, 128, 120]))}
    # Wish 130, rating downstream 150, high limit 140 less its leg, valves of 150 that may lift 3 % early (VSH).
    assert found[Watched.WISH] == pytest.approx((128, 130, 2))
    assert found[Watched.DOWNSTREAM] == pytest.approx((128, 150, 22))
    assert found[Watched.NO_TRIP] == pytest.approx((128, 140 - LEG, 12 - LEG), abs=1e-3)
    assert found[Watched.NO_LIFT] == pytest.approx((128, 145.5, 17.5), abs=1e-3)
    assert len(found) == 4


def test_the_high_limit_of_a_corner_is_looked_at_where_it_stands_there() -> None:
    # Two psi early, by its dial's tolerance.
    stage = stages_of(laundry(), HIGH)[0]
    found = {check.watched: check for check in high_checks(stage, shown([138.5]))}
    assert psi(found[Watched.NO_TRIP]) == pytest.approx((138.5, 138 - LEG, -0.5 - LEG), abs=1e-3)
    assert not found[Watched.NO_TRIP].holds
    assert not found[Watched.WISH].holds
    assert found[Watched.NO_LIFT].holds


def test_what_nobody_stated_is_not_looked_at() -> None:
    stage = stages_of(laundry({"load.wish": None, "load.rated_max": None}), TRUE)[0]
    assert {check.watched for check in high_checks(stage, shown([120]))} == {Watched.NO_TRIP, Watched.NO_LIFT}


STOP = Happening.BURNER_STOPPED


def stops(*rows: tuple[int, float, float]) -> Shown:
    """Stops of the burner: by what, at which fire, and when [s]."""
    return shown([110], events=[event(STOP, by, time, firing=fire) for by, fire, time in rows])


def test_low_fire_comes_before_the_stop() -> None:
    stage = stages_of(laundry(), TRUE)[0]
    limit = control_logic.OPERATING_LIMIT
    # Turned down four to one: low fire is a quarter.
    held = low_fire_first(stage, stops((limit, 0.25, 60.0), (limit, 0.25, 900.0)))
    assert held is not None
    assert held.holds
    assert held.margin.value == pytest.approx(0.0, abs=1e-5)
    failed = low_fire_first(stage, stops((limit, 0.25, 60.0), (limit, 0.60, 900.0), (limit, 0.4, 1800.0)))
    assert failed is not None
    assert not failed.holds
    assert (failed.observed.value, failed.limit.value) == pytest.approx((0.60, 0.25))
    assert failed.margin.value == pytest.approx(-0.35, abs=1e-5)
    assert failed.at is not None
    assert failed.at.value == 900.0


def test_a_burner_that_the_operating_limit_never_stopped_says_nothing_of_low_fire() -> None:
    stage = stages_of(laundry(), TRUE)[0]
    assert low_fire_first(stage, stops()) is None
    assert low_fire_first(stage, stops((control_logic.HIGH_LIMIT, 1.0, 60.0))) is None
    # The numbers of the limits are those of phases too.
    other = shown([110], events=[event(Happening.PHASE_BEGAN, control_logic.OPERATING_LIMIT, 5.0)])
    assert low_fire_first(stage, other) is None


LIT = (Happening.PHASE_BEGAN, Phase.FLAME)
FALLING = [110.0 - row / 10 for row in range(200)]
"""Two thousand seconds down to 90.1 psi, ten seconds a row."""


@pytest.mark.parametrize(
    ("lit", "term"),
    [
        # The lowest is at 1990 s. A quarter of an hour before or after a flame it is one of the restart.
        (1900.0, TermName.UNDERSHOOT),
        (1090.0, TermName.UNDERSHOOT),
        (1080.0, TermName.FALL_AT_LOAD),
        (2100.0, TermName.UNDERSHOOT),
        (2900.0, TermName.FALL_AT_LOAD),
    ],
)
def test_the_lowest_pressure_near_a_flame_is_one_of_the_restart(lit: float, term: TermName) -> None:
    assert falls_as(shown(FALLING, events=[event(*LIT, lit)])) is term


def test_without_a_flame_the_lowest_pressure_is_one_of_the_load() -> None:
    assert falls_as(shown(FALLING)) is TermName.FALL_AT_LOAD
    # Another phase is no flame, whatever its number.
    assert falls_as(shown(FALLING, events=[event(Happening.PHASE_BEGAN, Phase.PILOT, 1900.0)])) is TermName.FALL_AT_LOAD
    assert falls_as(shown(FALLING, events=[event(STOP, int(Phase.FLAME), 1900.0)])) is TermName.FALL_AT_LOAD


def test_what_falls_at_full_fire_for_ten_minutes_is_no_matter_of_dials() -> None:
    assert falls_as(shown(FALLING, firing=1.0)) is None
    assert falls_as(shown(FALLING, firing=0.99)) is TermName.FALL_AT_LOAD
    # Nine minutes are not ten, and ten in which it rises are no want of fire.
    assert falls_as(shown(FALLING[:55], firing=1.0)) is TermName.FALL_AT_LOAD
    rising = [90.0, *reversed(FALLING)]
    assert falls_as(shown(rising, firing=1.0)) is TermName.FALL_AT_LOAD


def stands_open(run: Shown, *, is_open: bool) -> Shown:
    last = copied(run.run.last)
    last.contacts.high_limit_open = is_open
    return replace(run, run=replace(run.run, last=last))


def test_a_high_limit_that_stands_open_at_the_end_stopped_the_burner_for_good() -> None:
    events = [
        event(Happening.HIGH_LIMIT_OPENED, 0, 20.0),
        event(Happening.HIGH_LIMIT_OPENED, 0, 50.0),
        event(Happening.PUMP_STARTED, 0, 90.0),
    ]
    assert stood_off(stands_open(shown([110], events=events), is_open=True)) == 50.0
    assert stood_off(stands_open(shown([110], events=events), is_open=False)) is None
    assert stood_off(stands_open(shown([110]), is_open=True)) is None


def test_a_failed_check_says_how_much_motion_it_lacks_and_one_that_holds_blames_nothing() -> None:
    fails, holds = (at_most(Watched.WISH, seen * PSI, 130 * PSI, shown([1.0])) for seen in (133.0, 130.0))
    lacking, said = blaming(fails, TermName.UNDERSHOOT), blaming(fails, TermName.UNDERSHOOT, 7.0)
    assert lacking.shortfall is not None
    assert lacking.shortfall.term is TermName.UNDERSHOOT
    assert lacking.shortfall.by == pytest.approx(3 * PSI)
    assert said.shortfall is not None
    assert said.shortfall.by == 7.0
    assert blaming(fails, None, 7.0).shortfall is None
    assert blaming(holds, TermName.UNDERSHOOT, 7.0).shortfall is None
