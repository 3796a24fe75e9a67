"""Trip points over the years. Typed readings go in through the acts; the drift is fitted here a second time, by scipy.

The doubt of each test is that of its record (its budget is checked in tests/judgement/trip_test); everything that is
made of it, line, interval, days, is worked out here on its own.
"""

import json
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from jsonschema import Draft202012Validator
from numpy.typing import NDArray
from scipy import stats

from evenfire.delivery.acts.due import due_list
from evenfire.delivery.acts.due_asks import set_item
from evenfire.delivery.acts.handing_on import export, take_in
from evenfire.delivery.acts.history import history, role_named
from evenfire.delivery.acts.people import enter_key, give_key, withdraw_key
from evenfire.delivery.answers import Ending
from evenfire.delivery.records.key_register import keys_of
from evenfire.delivery.records.registers import add_boiler, add_site, find_person
from evenfire.delivery.report.due_answer import Urgency
from evenfire.delivery.report.history_answer import ControlHistory, ControlStands
from evenfire.delivery.report.history_json import HISTORY_SCHEMA, history_json
from evenfire.delivery.report.history_text import history_text
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest
from evenfire.judgement.trip_test.drift import Drift, Follows
from evenfire.judgement.trip_test.intervals import Item, Whose
from evenfire.judgement.trip_test.stretches import Began
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI
from tests.delivery.acts.on_visit import QUILL
from tests.delivery.acts.years import BEN, BOILER, SERIAL, Trip, Years, laundry, new_years

DAYS_A_YEAR = 365.25
"""Julian year, as the drift is told in."""
FIRST, SECOND, THIRD, FOURTH = date(2022, 3, 8), date(2023, 3, 7), date(2024, 3, 5), date(2025, 3, 4)


@pytest.fixture
def years(tmp_path: Path) -> Iterator[Years]:
    """A store with the laundry in it, and a gauge that is calibrated every spring."""
    made = new_years(tmp_path)
    made.survey(laundry())
    for year in range(2022, 2027):
        made.calibrated(date(year, 3, 1))
    yield made
    made.store.close()


def control(years: Years, role: Role = Role.HIGH_LIMIT, serial: str = SERIAL) -> ControlHistory:
    found = history(years.store, BOILER, role).controls
    return next(each for each in found if each.serial == serial)


def fitted(
    days: list[date], errors: list[float], doubts: list[float], stretches: list[int]
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Level of each stretch and one slope [psi, psi/year], their covariance, and the factor of Student at 95 %."""
    names = sorted(set(stretches))
    last = max(days)
    rows = [
        [*(1.0 if stretch == name else 0.0 for name in names), (day - last).days / DAYS_A_YEAR]
        for day, stretch in zip(days, stretches, strict=True)
    ]
    design, weight = np.array(rows), np.diag(1.0 / np.square(doubts))
    covariance = np.linalg.inv(design.T @ weight @ design)
    solution = covariance @ design.T @ weight @ np.array(errors)
    residual = np.array(errors) - design @ solution
    freedom = len(days) - len(names) - 1
    scatter = max(1.0, float(residual @ weight @ residual) / freedom) if freedom else 1.0
    return solution, covariance * scatter, float(stats.t.ppf(0.975, max(1, freedom)))


def leaves(
    solution: NDArray[np.float64], covariance: NDArray[np.float64], factor: float, band: float, last: date, side: int
) -> date | None:
    """The last day before the widened line stands outside, by walking along it day by day."""
    for ahead in range(int(100 * DAYS_A_YEAR)):
        at = np.zeros(len(solution))
        at[-2:] = (1.0, ahead / DAYS_A_YEAR)
        if side * float(at @ solution) + factor * float(np.sqrt(at @ covariance @ at)) >= band:
            return last + timedelta(days=max(0, ahead - 1))
    return None


def mean(readings: tuple[float, ...]) -> float:
    return sum(readings) / len(readings)


TRIPS = {
    FIRST: (139.5, 139.75, 139.5),
    SECOND: (140.0, 140.25, 140.25),
    THIRD: (141.0, 140.75, 141.0),
    FOURTH: (141.5, 141.5, 141.75),
}


def test_the_drift_is_that_of_a_weighted_fit_made_elsewhere(years: Years) -> None:
    for day, shown in TRIPS.items():
        years.visit(day, Trip(shown), by=BEN if day == SECOND else QUILL)
    found = control(years)
    errors = [mean(shown) - 140.0 for shown in TRIPS.values()]
    assert [each.set_error for each in found.points] == pytest.approx([each * PA_PER_PSI for each in errors], abs=0.5)
    assert [each.signer for each in found.points] == [QUILL, BEN, QUILL, QUILL]
    doubts = [(each.standard_uncertainty or 0.0) / PA_PER_PSI for each in found.points]
    solution, covariance, factor = fitted(list(TRIPS), errors, doubts, [0] * 4)
    drift = found.drift
    assert isinstance(drift, Drift)
    slope, width = solution[-1], factor * covariance[-1, -1] ** 0.5
    assert drift.a_year / PA_PER_PSI == pytest.approx(slope, rel=1e-4)
    assert drift.a_year_lowest / PA_PER_PSI == pytest.approx(slope - width, rel=1e-3)
    assert drift.a_year_highest / PA_PER_PSI == pytest.approx(slope + width, rel=1e-3)
    assert drift.last_error / PA_PER_PSI == pytest.approx(solution[0], rel=1e-3)
    assert drift.leaves_above == leaves(solution, covariance, factor, 4.0, FOURTH, 1)
    assert drift.leaves_below == leaves(solution, covariance, factor, 4.0, FOURTH, -1)


def test_two_stretches_share_one_slope_and_the_jump_between_them_is_none(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    years.visit(SECOND, Trip(TRIPS[SECOND]))
    # Tested, its dial turned down by 2 psi, tested again: the trip point jumps, and that is no drift.
    years.visit(THIRD, Trip(TRIPS[THIRD]), Trip((138.75, 139.0, 138.75), dial=138.0))
    years.visit(FOURTH, Trip((139.5, 139.5, 139.25), dial=138.0))
    found = control(years)
    assert [each.stretch for each in found.points] == [0, 0, 0, 1, 1]
    assert [each.began for each in found.points][2:] == [Began.GOES_ON, Began.DIAL_MOVED, Began.GOES_ON]
    days = [FIRST, SECOND, THIRD, THIRD, FOURTH]
    errors = [
        mean(each) - 140.0
        for each in (TRIPS[FIRST], TRIPS[SECOND], TRIPS[THIRD], (138.75, 139.0, 138.75), (139.5, 139.5, 139.25))
    ]
    doubts = [(each.standard_uncertainty or 0.0) / PA_PER_PSI for each in found.points]
    solution, covariance, factor = fitted(days, errors, doubts, [0, 0, 0, 1, 1])
    drift = found.drift
    assert isinstance(drift, Drift)
    assert drift.a_year / PA_PER_PSI == pytest.approx(solution[-1], rel=1e-3)
    assert drift.a_year_highest / PA_PER_PSI == pytest.approx(
        solution[-1] + factor * covariance[-1, -1] ** 0.5, rel=1e-3
    )
    assert drift.last_error / PA_PER_PSI == pytest.approx(solution[1], rel=1e-3)
    assert "2 stretches" in history_text(history(years.store, BOILER), UnitSystem.US, 100)


def test_a_control_that_drifts_fast_is_tested_before_the_code_asks(years: Years) -> None:
    for day, trip in zip((FIRST, date(2022, 9, 6), SECOND), (139.0, 140.5, 142.0), strict=True):
        years.visit(day, Trip((trip, trip, trip)))
    years.today(date(2023, 4, 1))
    found = control(years)
    assert isinstance(found.drift, Drift)
    assert found.drift.follows is Follows.DRIFT
    # 3 psi in a year, 2 psi left of 4: by the plain line 8 months, so surely before the year of the code is over.
    assert found.next_due is not None
    assert SECOND < found.next_due <= SECOND + timedelta(days=244)
    assert found.due_as_asked == date(2024, 3, 7)
    years.today(date(2023, 12, 1))
    later = history(years.store, BOILER, Role.HIGH_LIMIT)
    assert later.controls[0].stands is ControlStands.OUTSIDE
    assert later.ending is Ending.STOP_FINDING
    assert f"MAY ACT OUTSIDE ITS BAND SINCE {found.next_due}" in history_text(later, UnitSystem.US, 100)


def test_a_band_that_was_left_long_after_a_missed_test_is_told_before_the_missed_test(years: Years) -> None:
    for day, shown in TRIPS.items():
        years.visit(day, Trip(shown))
    leaving = control(years).outside_since
    assert leaving is not None
    years.today(leaving - timedelta(days=1))
    assert control(years).stands is ControlStands.OVERDUE
    years.today(leaving)
    assert control(years).stands is ControlStands.OUTSIDE


def test_one_test_is_no_drift_and_what_is_missing_is_said(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    found = history(years.store, BOILER, Role.HIGH_LIMIT)
    assert found.controls[0].drift == Missing(("history.second_test",))
    assert found.controls[0].stands is ControlStands.NOT_JUDGED
    assert found.controls[0].next_due == date(2023, 3, 8), "the code still asks for its year"
    assert found.ending is Ending.STOP_NOT_JUDGED
    text = " ".join(history_text(found, UnitSystem.US, 80).split())
    assert "Supply a second trip test by true rise on another day" in text
    assert "Test it again by 2023-03-08" in text


def test_two_tests_on_one_day_are_one_day(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]), Trip(TRIPS[FIRST]))
    assert control(years).drift == Missing(("history.second_test",))


def test_a_dial_moved_and_moved_back_between_two_tests_begins_anew(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    years.visit(date(2022, 6, 1), more={"as_found.high_limit": "140 psi", "as_left.high_limit": "132 psi"})
    years.visit(date(2022, 7, 1), more={"as_found.high_limit": "132 psi", "as_left.high_limit": "140 psi"})
    years.visit(SECOND, Trip(TRIPS[SECOND]))
    found = control(years)
    assert [each.began for each in found.points] == [Began.FIRST, Began.DIAL_MOVED]
    assert found.drift == Missing(("history.second_test",))


def test_a_test_by_turning_the_dial_down_is_shown_and_not_counted(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    years.visit(SECOND, Trip((), method="setting turned down", dial=90.0))
    years.visit(THIRD, Trip(TRIPS[THIRD]))
    found = control(years)
    assert [each.is_measured for each in found.points] == [True, False, True]
    assert [each.stretch for each in found.points] == [0, 1, 2]
    assert "Setting turned down: not counted for the drift." in " ".join(
        history_text(history(years.store, BOILER), UnitSystem.US, 100).split()
    )


def test_a_dial_that_was_moved_since_its_last_test_is_told_whatever_the_line_says(years: Years) -> None:
    for day in (FIRST, SECOND, THIRD):
        years.visit(day, Trip((140.0, 140.0, 140.25)))
    years.today(date(2024, 4, 1))
    assert control(years).stands is ControlStands.INSIDE
    years.visit(date(2024, 4, 2), more={"as_found.high_limit": "140 psi", "as_left.high_limit": "132 psi"})
    found = history(years.store, BOILER, Role.HIGH_LIMIT)
    assert found.controls[0].stands is ControlStands.MOVED
    assert found.ending is Ending.STOP_NOT_JUDGED
    assert "Where it acts now is not known: prove it on a reference gauge." in " ".join(
        history_text(found, UnitSystem.US, 80).split()
    )


def test_a_replaced_control_starts_with_nothing_and_the_old_one_is_kept(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    years.visit(SECOND, Trip(TRIPS[SECOND]))
    years.survey(laundry(high_limit="HL-5000"))
    found = history(years.store, BOILER, Role.HIGH_LIMIT)
    new, old = found.controls
    assert (new.serial, new.stands, new.before) == ("HL-5000", ControlStands.NEVER_TESTED, SERIAL)
    assert (old.serial, old.stands) == (SERIAL, ControlStands.GONE)
    assert new.drift == Missing(("history.first_test",))
    assert isinstance(old.drift, Drift)
    years.visit(THIRD, Trip((139.0, 139.0, 139.25)))
    assert control(years, serial="HL-5000").drift == Missing(("history.second_test",))


def test_a_control_without_a_serial_number_may_be_another_each_time(years: Years) -> None:
    years.survey(laundry(high_limit=""))
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    years.visit(SECOND, Trip(TRIPS[SECOND]))
    found = control(years, serial="")
    assert found.drift == Missing(("boiler.controls.high_limit.serial",))
    assert "its serial number in the survey" in history_text(history(years.store, BOILER), UnitSystem.US, 400)


def test_a_wider_band_that_somebody_typed_is_never_that_of_the_control(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    years.visit(SECOND, Trip(TRIPS[SECOND], within=20.0))
    found = control(years)
    assert isinstance(found.drift, Drift)
    assert found.band == pytest.approx(4.0 * PA_PER_PSI), "twenty would never be left"
    assert all(each.is_other_aim is False for each in found.points), "it was judged by the narrower one"


def test_a_control_that_never_passed_is_due_at_once_here_and_in_the_calendar(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST], set_at=142.0))
    found = control(years)
    assert [each.is_other_aim for each in found.points] == [True]
    assert found.is_due_at_once
    assert found.next_due is None
    assert found.stands is ControlStands.NOT_PASSED
    answer = history(years.store, BOILER)
    text = " ".join(history_text(answer, UnitSystem.US, 80).split())
    assert "than it was to act at: no pass." in text
    assert "again At once" in text
    assert "Test it again by" not in text
    said = json.loads(history_json(answer))["controls"][0]
    assert (said["due_at_once"], said["next_due"]) == (True, None)
    item = Item.HIGH_LIMIT.value
    (row,) = [each for each in due_list(years.store).rows if each.item == item and each.part == SERIAL]
    assert row.urgency is Urgency.NEVER_RECORDED


@pytest.mark.parametrize("last", [Trip((147.0, 147.0, 147.0)), Trip((130.0, 130.0, 130.0))])
def test_a_control_that_failed_is_due_at_once_though_it_passed_before(years: Years, last: Trip) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    assert not control(years).is_due_at_once
    years.visit(SECOND, last)
    found = control(years)
    assert found.is_due_at_once
    assert found.next_due is None
    text = " ".join(history_text(history(years.store, BOILER, Role.HIGH_LIMIT), UnitSystem.US, 80).split())
    assert "again At once" in text


def test_the_next_test_counts_from_the_last_pass_and_not_from_a_test_that_was_none(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    by_pass = control(years).next_due
    years.visit(SECOND, Trip(TRIPS[SECOND], set_at=142.0))
    assert by_pass is not None
    assert control(years).next_due == by_pass


def test_what_a_control_was_proved_at_is_its_aim_at_the_next_test_wherever_its_dial_stands(years: Years) -> None:
    # Proved at 140 psi; its dial had to be turned to 137 psi for that, and nothing is proposed on the visits after.
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    years.visit(SECOND, Trip((140.0, 140.0, 140.25), dial=137.0))
    years.visit(THIRD, Trip((140.0, 140.25, 140.25), dial=137.0, within=5.5))
    years.visit(FOURTH, Trip((138.0, 138.25, 138.25), dial=137.0, set_at=138.5))
    assert [each.is_other_aim for each in control(years).points] == [False, False, False, True]


def test_an_amendment_stands_beside_its_test_and_changes_nothing(years: Years) -> None:
    record = years.visit(FIRST, Trip(TRIPS[FIRST]), by=BEN)
    years.visit(SECOND, Trip(TRIPS[SECOND]))
    before = control(years).drift
    amendment = years.amend(record, "The gauge hung a foot below its tap.", on=date(2023, 5, 1))
    found = control(years)
    assert found.drift == before
    (told,) = found.points[0].amendments
    assert (told.record, told.signer, told.text) == (amendment, QUILL, "The gauge hung a foot below its tap.")
    assert found.points[1].amendments == ()
    text = " ".join(history_text(history(years.store, BOILER), UnitSystem.US, 80).split())
    assert f"AMENDED Record {record[:8]}, by {QUILL} on 2023-05-01 (record {amendment[:8]}): The gauge hung" in text


def test_a_control_that_failed_stands_first_with_what_to_do(years: Years) -> None:
    years.visit(
        FIRST,
        Trip((147.0, 147.0, 147.0)),
        Trip((128.5, 128.25, 128.5), control="operating_limit", dial=128.0, set_at=128.5),
    )
    found = history(years.store, BOILER)
    assert [each.role for each in found.controls] == [Role.HIGH_LIMIT, Role.OPERATING_LIMIT]
    assert found.controls[0].stands is ControlStands.UNSAFE
    assert found.ending is Ending.STOP_FINDING
    text = " ".join(history_text(found, UnitSystem.US, 80).split())
    assert "FAILED ITS LAST TEST" in text
    assert "Keep the boiler out of service until it is set or replaced and passes a test." in text
    # Adjusted and shown to act: the fail is past.
    years.visit(SECOND, Trip((139.75, 139.75, 140.0), dial=None))
    assert control(years).stands is ControlStands.NOT_JUDGED


def test_a_boiler_with_nothing_says_so_for_both_limits(years: Years) -> None:
    found = history(years.store, BOILER)
    assert {each.role for each in found.controls} == {Role.HIGH_LIMIT, Role.OPERATING_LIMIT}
    assert {each.stands for each in found.controls} == {ControlStands.NEVER_TESTED}
    assert found.ending is Ending.STOP_NOT_JUDGED
    assert "NEVER TESTED HERE" in history_text(found, UnitSystem.US, 80)


def test_a_boiler_without_a_survey_is_told_apart(years: Years) -> None:
    site = add_site(years.store, "Mole End Dye Works")
    add_boiler(years.store, site.id, "B1")
    found = history(years.store, "Mole End Dye Works/B1")
    assert found.controls == ()
    assert found.without_survey == "the store holds no survey of it"
    assert found.ending is Ending.STOP_NOT_JUDGED
    assert "NOT KNOWN the store holds no survey of it" in history_text(found, UnitSystem.US, 80)


def test_what_was_held_here_before_its_key_was_withdrawn_counts_on(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]), by=BEN)
    years.visit(SECOND, Trip(TRIPS[SECOND]), by=BEN)
    ben = find_person(years.store, BEN)
    withdraw_key(years.store, keys_of(years.store, ben.id)[0].known.key.fingerprint, "left the company")
    found = control(years)
    assert [each.is_known for each in found.points] == [True, True]
    assert isinstance(found.drift, Drift)


def test_records_of_somebody_unknown_are_shown_and_count_once_the_key_is_entered(years: Years, tmp_path: Path) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]), by=BEN)
    years.visit(SECOND, Trip(TRIPS[SECOND]), by=BEN)
    file, key = tmp_path / "records.json", tmp_path / "ben.pem"
    export(years.store, BOILER, file)
    fingerprint = give_key(years.store, BEN, key).known.key.fingerprint
    (tmp_path / "other").mkdir()
    elsewhere = new_years(tmp_path / "other", date(2024, 1, 1))
    with elsewhere.store as store:
        assert take_in(store, file).is_taken
        (found,) = history(store, BOILER).controls
        assert [each.is_known for each in found.points] == [False, False]
        assert found.drift == Missing(("history.first_test",))
        text = " ".join(history_text(history(store, BOILER), UnitSystem.US, 80).split())
        assert "Its signer is not known here, so it is not counted." in text
        enter_key(store, key, BEN, fingerprint)
        (found,) = history(store, BOILER).controls
        assert isinstance(found.drift, Drift)


def test_an_insurer_who_asks_for_more_shortens_the_interval(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    set_item(years.store, BOILER, "high limit", every="6 months", whose=Whose.INSURER, last=None)
    found = control(years)
    assert found.asked is not None
    assert found.asked.whose == "insurer"
    assert found.next_due == date(2022, 9, 8)


def test_the_json_holds_to_its_schema_and_to_the_typed_readings(years: Years) -> None:
    record = years.visit(FIRST, Trip(TRIPS[FIRST]))
    years.visit(SECOND, Trip(TRIPS[SECOND]))
    years.visit(THIRD, Trip((), method="setting turned down", dial=90.0))
    years.amend(record, "=1+1", on=date(2024, 5, 1))
    document = json.loads(history_json(history(years.store, BOILER)))
    Draft202012Validator(HISTORY_SCHEMA).validate(document)
    high = next(each for each in document["controls"] if each["control"] == "high_limit")
    assert high["tests"][0]["trip_pa_gauge"] == pytest.approx(mean(TRIPS[FIRST]) * PA_PER_PSI, rel=1e-6)
    assert high["tests"][0]["amendments"][0]["text"] == "=1+1"


def test_one_control_alone_is_asked_for_by_its_name(years: Years) -> None:
    years.visit(FIRST, Trip(TRIPS[FIRST]))
    assert [each.role for each in history(years.store, BOILER, role_named("high limit")).controls] == [Role.HIGH_LIMIT]
    assert role_named("high_limit") is Role.HIGH_LIMIT
    assert role_named(None) is None
    with pytest.raises(BadRequest, match="none of high_limit, operating_limit"):
        role_named("firing_rate")


def test_the_words_speak_the_units_of_the_reader(years: Years) -> None:
    years.visit(FIRST, Trip((140.0, 140.0, 140.0)))
    text = history_text(history(years.store, BOILER), UnitSystem.SI, 80)
    # 140 psi = 9.65 bar (1 psi = 0.0689476 bar).
    assert "9.65 bar" in text
    assert "psi" not in text.split("For a qualified")[0]
