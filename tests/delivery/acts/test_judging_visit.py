"""A visit judged through the acts: tests that prove a control, what made a fail good, what is proved as left."""

from collections.abc import Mapping

import pytest

from evenfire.delivery.records import instruments
from evenfire.delivery.report.visit_text import visit_text
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import JudgedVisit
from evenfire.delivery.visits.standing import Bar, Flag
from evenfire.judgement.outcome import Finding, Outcome
from evenfire.judgement.trip_test.abort import Abort, DoNotConnect, MustNotBeMade
from evenfire.judgement.trip_test.planning import Suits
from evenfire.judgement.trip_test.trip import Caution, Verdict
from evenfire.plant.controls import Role
from tests.delivery.acts.on_visit import CHANGE, FOUND, HIGH_LIMIT, LEFT, OPERATING_LIMIT, WHOLE, Call

PSI = 6894.757
"""NIST SP 811 [Pa]."""
PSI_PER_FOOT = 62.4 / 144.0
"""Of cold water, 62.4 lb/ft3 (handbook)."""
ROW_3 = {path.replace("trip.1.", "trip.3."): text for path, text in HIGH_LIMIT.items()}


def told(judged: JudgedVisit) -> str:
    """The whole text, unbroken."""
    return " ".join(visit_text(judged, UnitSystem.US, 80).split())


def bars_of(judged: JudgedVisit) -> set[Bar]:
    return {each.bar for each in judged.bars}


def flags_of(judged: JudgedVisit) -> set[Flag]:
    return {each.flag for each in judged.flags}


def left_trip(judged: JudgedVisit) -> float:
    """Where the high limit acts as left, by the stack of the judged settings [psi]."""
    assert judged.left is not None
    trip = judged.left.case.stack.trip
    assert isinstance(trip, float)
    return trip / PSI


def left_tolerance(judged: JudgedVisit) -> float:
    """[psi]."""
    assert judged.left is not None
    control = judged.left.case.boiler.controls.high_limit
    assert control is not None
    assert control.tolerance.proved is not None
    return control.tolerance.proved / PSI


def test_a_whole_visit_has_nothing_against_it_and_holds_in_motion(ready: Call) -> None:
    judged = ready.judged()
    assert judged.bars == ()
    assert judged.seen.proved == frozenset({Role.HIGH_LIMIT, Role.OPERATING_LIMIT})
    assert judged.proofs, "as soon as every dial was read as left, it is proved"
    assert flags_of(judged) == {Flag.MOVE_NOT_TICKED}


def test_a_passed_test_puts_the_control_where_it_acted_into_the_settings_as_left(ready: Call) -> None:
    judged = ready.judged()
    # Mean of the readings on a gauge without a leg, at the boiler: the dial (141 psi, leg 0.5 ft) says otherwise.
    assert left_trip(judged) == pytest.approx((139.75 + 139.5 + 139.75) / 3.0, abs=0.001)
    proved = judged.trips[0].result.proved
    assert proved is not None
    assert left_tolerance(judged) == pytest.approx(proved.tolerance / PSI, abs=1e-6)
    # Never closer than the readings of today were to each other, nor than the certificate of the gauge (0.1 psi).
    assert 0.17 < left_tolerance(judged) < 1.0
    dial = judged.at.visit.as_left.high_limit
    assert dial is not None, "what was read at the dial stays what was read at the dial"
    assert dial.main / PSI == pytest.approx(141.0, abs=0.001)


def test_the_water_leg_of_the_gauge_is_taken_off(ready: Call) -> None:
    with_leg = {"trip.1.gauge_leg": "3 ft", "trip.1.gauge_hangs": "below", "trip.1.gauge_leg_is": "full"}
    shown = {"trip.1.reading.1": "141.0 psi", "trip.1.reading.2": "140.75 psi", "trip.1.reading.3": "141.0 psi"}
    judged = ready.enter({**FOUND, **WHOLE, **with_leg, **shown}).judged
    expected = (141.0 + 140.75 + 141.0) / 3.0 - 3.0 * PSI_PER_FOOT
    assert left_trip(judged) == pytest.approx(expected, abs=0.005)


def test_a_leg_of_which_nobody_says_whether_it_is_full_proves_nothing(ready: Call) -> None:
    with_leg = {"trip.1.gauge_leg": "3 ft", "trip.1.gauge_hangs": "below"}
    judged = ready.enter({**FOUND, **WHOLE, **with_leg}).judged
    assert judged.trips[0].result.verdict is Verdict.NOT_JUDGED
    assert Role.HIGH_LIMIT not in judged.seen.proved
    assert {Flag.TRIP_NOT_JUDGED, Flag.PROVED_IN_PROPOSAL_ONLY} <= flags_of(judged)


@pytest.mark.parametrize("dial", ["141.5 psi", "140.5 psi"])
def test_a_dial_touched_after_its_test_is_not_proved_any_more(ready: Call, dial: str) -> None:
    judged = ready.enter({**FOUND, **WHOLE, "as_left.high_limit": dial}).judged
    assert judged.seen.proved == frozenset({Role.OPERATING_LIMIT})
    assert {Flag.PROVED_IN_PROPOSAL_ONLY, Flag.DIFFERS_FROM_PROPOSED} <= flags_of(judged)
    # It counts as set by its dial: leg of 0.5 ft, and the tolerance of the dial (plant file, 2 psi).
    assert left_trip(judged) == pytest.approx(float(dial.split()[0]) - 0.5 * PSI_PER_FOOT, abs=0.005)
    assert judged.left is not None
    assert Role.HIGH_LIMIT not in judged.left.case.settings.proved


TOO_HIGH = {"trip.1.reading.1": "142 psi", "trip.1.reading.2": "142.25 psi", "trip.1.reading.3": "142 psi"}


def test_a_limit_that_acts_above_its_band_bars_leaving_the_boiler_in_service(ready: Call) -> None:
    judged = ready.enter({**FOUND, **WHOLE, **TOO_HIGH}).judged
    assert judged.trips[0].result.verdict is Verdict.TRIPS_HIGH
    assert bars_of(judged) == {Bar.LIMIT_FAILED_IN_SERVICE}
    assert judged.ending.value == 1
    out = {"as_left.service": "out of service", "as_left.locked_out_by": "A. Quill"}
    left = ready.enter({**FOUND, **WHOLE, **TOO_HIGH, **out}).judged
    assert left.bars == ()
    assert {Flag.OUT_OF_SERVICE, Flag.LIMIT_FAILED} <= flags_of(left)


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"trip.1.opened": "no", "trip.1.stopped_by_hand": "142 psi"}, Verdict.DID_NOT_OPEN),
        ({"trip.1.held_until_reset": "no"}, Verdict.DOES_NOT_LATCH),
        ({"trip.1.early_reset_took": "yes"}, Verdict.DOES_NOT_LATCH),
    ],
)
def test_each_fail_towards_danger_bars(ready: Call, changes: Mapping[str, str], verdict: Verdict) -> None:
    judged = ready.enter({**FOUND, **WHOLE, **changes}).judged
    assert judged.trips[0].result.verdict is verdict
    assert Bar.LIMIT_FAILED_IN_SERVICE in bars_of(judged)


def test_a_later_test_that_passes_makes_a_fail_good(ready: Call) -> None:
    judged = ready.enter({**FOUND, **WHOLE, **TOO_HIGH, **ROW_3}).judged
    assert [each.result.verdict.is_unsafe for each in judged.trips] == [True, False, False]
    assert Bar.LIMIT_FAILED_IN_SERVICE not in bars_of(judged)
    assert Role.HIGH_LIMIT in judged.seen.proved
    assert judged.ending.value == 0


def test_a_later_test_of_the_function_alone_makes_no_fail_good(ready: Call) -> None:
    turned = {**ROW_3, "trip.3.method": "setting turned down"}
    judged = ready.enter({**FOUND, **WHOLE, **TOO_HIGH, **turned}).judged
    assert judged.trips[2].result.verdict is Verdict.FUNCTION_ONLY
    assert Bar.LIMIT_FAILED_IN_SERVICE in bars_of(judged)
    assert judged.seen.proved == frozenset({Role.OPERATING_LIMIT})


def test_a_test_of_another_control_makes_no_fail_good(ready: Call) -> None:
    other = {path.replace("trip.2.", "trip.3."): text for path, text in OPERATING_LIMIT.items()}
    judged = ready.enter({**FOUND, **WHOLE, **TOO_HIGH, **other}).judged
    assert Bar.LIMIT_FAILED_IN_SERVICE in bars_of(judged)


@pytest.mark.parametrize(
    ("changes", "is_good"),
    [
        ({"as_left.high_limit": "142 psi"}, False),
        ({"trip.3.dial": ""}, False),
        ({"as_left.high_limit": "140 psi"}, True),
    ],
)
def test_a_fail_is_good_again_only_as_long_as_the_dial_is_not_turned_up_after_the_test(
    ready: Call, changes: Mapping[str, str], is_good: bool
) -> None:
    judged = ready.enter({**FOUND, **WHOLE, **TOO_HIGH, **ROW_3, **changes}).judged
    assert (Bar.LIMIT_FAILED_IN_SERVICE not in bars_of(judged)) is is_good


def test_a_device_that_failed_bars_until_a_later_test_of_the_same_device_passes(ready: Call) -> None:
    fails = {"device.1.kind": "flame failure", "device.1.works": "yes", "device.1.took": "5 s"}
    judged = ready.enter({**FOUND, **WHOLE, **fails}).judged
    assert judged.seen.devices_failed == (1,), "four seconds are the most (Anchorage; 46 CFR 62)"
    assert bars_of(judged) == {Bar.DEVICE_FAILED_IN_SERVICE}
    other = {"device.2.kind": "air interlock", "device.2.works": "yes"}
    assert bars_of(ready.enter({**FOUND, **WHOLE, **fails, **other}).judged) == {Bar.DEVICE_FAILED_IN_SERVICE}
    good = {"device.3.kind": "flame failure", "device.3.works": "yes", "device.3.took": "3 s"}
    assert bars_of(ready.enter({**FOUND, **WHOLE, **fails, **other, **good}).judged) == set()


def test_a_safety_valve_that_lifts_early_is_told_and_one_of_two_has_to_be_named(ready: Call) -> None:
    # 150 psi, set tolerance 3 % above 70 psi (ASME I): it lifts early below 145.5 psi.
    lifts = {"device.1.kind": "safety valve by pressure", "device.1.works": "yes", "device.1.at": "140 psi"}
    judged = ready.enter({**FOUND, **WHOLE, **lifts}).judged
    assert Flag.DEVICE_NOT_JUDGED in flags_of(judged), "there are two valves"
    named = ready.enter({**FOUND, **WHOLE, **lifts, "device.1.valve": "front"}).judged
    assert Flag.DEVICE_ACTS_EARLY in flags_of(named)
    late = ready.enter({**FOUND, **WHOLE, **lifts, "device.1.valve": "front", "device.1.at": "156 psi"}).judged
    assert bars_of(late) == {Bar.DEVICE_FAILED_IN_SERVICE}


def test_a_wider_band_than_proposed_makes_no_limit_safer(ready: Call) -> None:
    wide = {"trip.1.within": "9 psi", **TOO_HIGH}
    judged = ready.enter({**FOUND, **WHOLE, **wide}).judged
    assert judged.trips[0].result.verdict is Verdict.TRIPS_HIGH, "as without it"
    assert Bar.LIMIT_FAILED_IN_SERVICE in bars_of(judged)
    assert "the narrower one counted" in told(judged)
    inside = ready.enter({**FOUND, **WHOLE, "trip.1.within": "9 psi"}).judged
    assert inside.trips[0].result.verdict.is_safe
    assert Caution.WIDER_BAND_TYPED in inside.trips[0].result.cautions
    test = ready.enter({**FOUND, **WHOLE, "trip.1.within": "0.3 psi"}).judged.trips[0].test
    assert test is not None
    assert test.band is not None
    assert test.band / PSI == pytest.approx(0.3, abs=1e-6), "a narrower one does count"


def test_a_limit_that_acts_past_its_abort_pressure_never_passes(ready: Call) -> None:
    """Four and a half psi late, and the sheet calls for a band of nine."""
    late = {f"trip.1.reading.{each}": "144.25 psi" for each in (1, 2, 3)}
    judged = ready.enter({**FOUND, **WHOLE, **late, "trip.1.within": "9 psi"}).judged
    assert judged.trips[0].result.verdict is Verdict.TRIPS_HIGH
    assert judged.trips[0].result.proved is None
    assert Bar.LIMIT_FAILED_IN_SERVICE in bars_of(judged)
    assert "leave its dial" not in told(judged).lower().split("test 2")[0]


def test_a_true_rise_where_a_valve_could_lift_first_is_told_and_not_passed(ready: Call) -> None:
    # The valves lift from 145.5 psi (150 psi less 3 %, VSH): nothing that is to act there can be tested by a rise.
    high = {"trip.1.set": "146 psi"} | {f"trip.1.reading.{each}": "145.25 psi" for each in (1, 2, 3)}
    judged = ready.enter({**FOUND, **WHOLE, **high}).judged
    assert isinstance(judged.trips[0].abort, MustNotBeMade)
    assert judged.trips[0].result.verdict is Verdict.MUST_NOT_BE_MADE
    assert "NOT PASSED: made where a true rise must not be made" in told(judged)
    assert Flag.TRIP_UNDECIDED in flags_of(judged)
    assert Role.HIGH_LIMIT not in judged.seen.proved


def test_a_test_against_another_pressure_is_headed_no_pass_and_makes_no_fail_good(ready: Call) -> None:
    low = {"trip.3.set": "130 psi"} | {f"trip.3.reading.{each}": "130 psi" for each in (1, 2, 3)}
    judged = ready.enter({**FOUND, **WHOLE, **TOO_HIGH, **ROW_3, **low}).judged
    assert judged.trips[2].result.verdict.is_safe
    assert judged.trips[2].result.proved is None
    assert "no pass, tested against another pressure than it is to act at" in told(judged)
    assert Flag.TESTED_FOR_ANOTHER_AIM in flags_of(judged)
    assert Bar.LIMIT_FAILED_IN_SERVICE in bars_of(judged), "row 1 failed, and row 3 made nothing good"
    assert Role.HIGH_LIMIT not in judged.seen.proved


def left_cut_in(judged: JudgedVisit) -> float:
    """[psi]."""
    assert judged.left is not None
    cut_in = judged.left.case.stack.cut_in
    assert isinstance(cut_in, float)
    return cut_in / PSI


ACTED_AT = (128.5 + 128.25 + 128.5) / 3.0
"""Of the operating limit, on a gauge without a leg [psi]."""


@pytest.mark.parametrize(("restarted", "is_told"), [("114 psi", False), ("121 psi", True), ("105 psi", True)])
def test_the_burner_starts_again_where_it_was_read_to_and_not_where_its_dial_has_it(
    ready: Call, restarted: str, is_told: bool
) -> None:
    # The dial of the differential says 14 psi, within 2 (plant file).
    judged = ready.enter({**FOUND, **WHOLE, "trip.2.restarted_at": restarted}).judged
    assert left_cut_in(judged) == pytest.approx(float(restarted.split()[0]), abs=0.01)
    assert (Flag.DIFFERENTIAL_NOT_AS_SET in flags_of(judged)) is is_told


@pytest.mark.parametrize("restarted", ["", "129 psi"])
def test_a_restart_that_was_not_read_leaves_the_differential_to_its_dial_and_says_so(
    ready: Call, restarted: str
) -> None:
    judged = ready.enter({**FOUND, **WHOLE, "trip.2.restarted_at": restarted}).judged
    assert left_cut_in(judged) == pytest.approx(ACTED_AT - 14.0, abs=0.01)
    assert "ifferential by its dial, not proved" in told(judged)


def test_a_copied_aim_is_the_same_aim(ready: Call) -> None:
    # Copied as told, rounded for reading, it is the same aim.
    copied = ready.enter({**FOUND, **WHOLE, "trip.1.set": "139.8 psi", "trip.1.within": "0.5 psi"}).judged
    assert Flag.TESTED_FOR_ANOTHER_AIM not in flags_of(copied)


def test_which_gauge_can_decide_and_where_to_break_off_is_told_before_the_test(found: Call) -> None:
    judged = found.judged()
    wanted = {each.role: each for each in judged.wanted}
    high = wanted[Role.HIGH_LIMIT]
    # Nothing proposed yet: dial 140 psi with a leg of 0.5 ft, tolerance of the dial 2 psi.
    assert high.set_pressure / PSI == pytest.approx(140.0 - 0.5 * PSI_PER_FOOT, abs=0.005)
    assert high.band / PSI == pytest.approx(2.0, abs=1e-6)
    (plan,) = high.plan.gauges
    assert plan.suits in {Suits.DECIDES, Suits.CANNOT_DECIDE}, "it is in range, in date, and all of it is known"
    ((serial, abort),) = high.aborts
    assert serial == "G-17"
    assert isinstance(abort, Abort)
    assert abort.at_boiler / PSI <= 140.0 - 0.5 * PSI_PER_FOOT + 2.0 + 0.005
    text = " ".join(visit_text(judged, UnitSystem.US, 80).split())
    assert "G-17" in text
    # The highest half of a division of 0.5 psi that is not above set and band, 141.78 psi.
    assert "STOP THE BURNER BY HAND when the gauge shows 141.75 psi" in text


def test_a_gauge_that_a_valve_would_overrun_is_told_not_to_be_connected(found: Call) -> None:
    """The valves lift from 145.5 psi (150 psi less 3 %, VSH); nobody wrote down when it was calibrated."""
    instruments.add_gauge(
        found.store,
        serial="G-30",
        name="low gauge",
        scale_from="0 psi",
        scale_to="30 psi",
        division="0.5 psi",
        accuracy="0.1 %",
    )
    text = told(found.judged())
    assert "G-30: DO NOT CONNECT: its scale ends at 30 psi." in text
    assert "Take G-30" not in text
    shown = {f"trip.1.reading.{each}": "139.5 psi" for each in (1, 2, 3)}
    judged = found.enter({**FOUND, **WHOLE, **shown, "trip.1.gauge": "G-30"}).judged
    assert isinstance(judged.trips[0].abort, DoNotConnect)
    assert judged.trips[0].result.verdict is Verdict.NOT_JUDGED
    assert "DO NOT CONNECT: its scale ends at 30 psi" in told(judged)


def test_where_nothing_was_proposed_a_control_shall_act_where_its_dial_stood_at_the_test(found: Call) -> None:
    """It was found at 120 psi, set to 128.5 without a proposal, and acts there."""
    judged = found.enter({**FOUND, **WHOLE}).judged
    test = judged.trips[1].test
    assert test is not None
    assert test.set_pressure is not None
    assert test.set_pressure / PSI == pytest.approx(128.5 - 0.5 * PSI_PER_FOOT, abs=0.005)
    assert judged.trips[1].result.verdict.is_safe
    assert Flag.NO_PROPOSAL in flags_of(judged)
    assert Bar.LIMIT_FAILED_IN_SERVICE not in bars_of(judged)


def test_a_test_that_decided_nothing_is_told_again_with_its_abort_pressure(ready: Call) -> None:
    fields = {**FOUND, **WHOLE, "trip.1.gauge": "G-99"}
    judged = ready.enter(fields).judged
    assert judged.trips[0].result.verdict is Verdict.NOT_JUDGED
    text = " ".join(visit_text(judged, UnitSystem.US, 80).split())
    assert "Test 1 was read on gauge G-99, which this store does not know." in text
    assert "Trip tests to be made" in text
    assert "STOP THE BURNER BY HAND" in text


def test_as_long_as_a_dial_is_not_read_nothing_is_proved_and_that_is_told(settled: Call) -> None:
    fields = {key: text for key, text in {**FOUND, **LEFT}.items() if key != "as_left.low_fire_hold"}
    judged = settled.enter(fields).judged
    assert judged.proofs is None
    assert Bar.NOT_READ_AS_LEFT in bars_of(judged)
    assert "Not proved yet" in visit_text(judged, UnitSystem.US, 80)


def test_settings_as_left_that_fail_in_motion_towards_danger_bar(settled: Call) -> None:
    """A high limit at 149 psi is below both valves at rest, and its run-on is not."""
    judged = settled.enter({**FOUND, **CHANGE, **LEFT, "as_left.high_limit": "149 psi"}).judged
    assert judged.bars
    assert bars_of(judged) <= {Bar.STOP_FINDING_IN_SERVICE, Bar.UNSAFE_PROOF_IN_SERVICE}
    assert judged.ending.value == 1


FREE = "nothing-bypassed"
SAYS = {"as_found.jumpers": "wire across the high limit"}


def findings(outcomes: tuple[Outcome, ...]) -> set[str]:
    return {each.code for each in outcomes if isinstance(each, Finding)}


def test_a_jumper_that_was_taken_off_stands_in_what_was_found_and_not_against_what_was_left(ready: Call) -> None:
    # Facts of the trade: what was found is written down as found, what was left as left.
    ready.enter({**FOUND, **WHOLE, **SAYS})
    judged = ready.judged()
    assert judged.left is not None
    assert FREE in findings(judged.found.outcomes)
    assert FREE not in findings(judged.left.outcomes)
    assert bars_of(judged) == set()


@pytest.mark.parametrize("left", ["", "wire across the high limit"])
def test_a_jumper_that_was_left_or_of_which_nobody_tells_stands_against_what_was_left(ready: Call, left: str) -> None:
    ready.enter({**FOUND, **WHOLE, **SAYS, "as_left.jumpers": left})
    judged = ready.judged()
    assert judged.left is not None
    assert FREE in findings(judged.left.outcomes)
    assert bars_of(judged) & {Bar.JUMPERS_NOT_TOLD, Bar.JUMPER_IN_SERVICE}
