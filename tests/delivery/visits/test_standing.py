"""What stands against signing a visit, and what a signed visit says of itself."""

from dataclasses import replace
from pathlib import Path

import pytest

from evenfire.delivery.intake.plant_file import read_plant_file
from evenfire.delivery.visits.standing import Bar, Flag, Left, TripsSeen, bars, dials_that_differ, flags
from evenfire.delivery.visits.visit import Visit
from evenfire.judgement.outcome import Basis, Clear, Finding, NotJudged, Outcome, Part, Severity, Subject
from evenfire.plant.controls import Role
from tests.delivery.visits.test_visit import visit

LAUNDRY = read_plant_file(Path("examples/laundry.toml")).plant.boilers[0]
READY = {
    "call__consent": "plant manager",
    "proposed__operating_limit": "128.5 psi",
    "proposed__operating_limit_differential": "14 psi",
    "proposed__high_limit": "140 psi",
    "proposed__firing_rate": "115 psi",
    "proposed__firing_rate_differential": "10 psi",
    "proposed__low_fire_hold": "60 psi",
    "proposed__proved": "high_limit",
    "proposed__plant_revision": "r",
    "proposed__engine_version": "0.1.0",
    "as_left__operating_limit": "128.5 psi",
    "as_left__operating_limit_differential": "14 psi",
    "as_left__high_limit": "141 psi",
    "as_left__firing_rate": "115 psi",
    "as_left__firing_rate_differential": "10 psi",
    "as_left__low_fire_hold": "60 psi",
    "as_left__switch": "automatic",
    "as_left__jumpers": "none",
    "as_left__cycles_seen": "3",
    "as_left__service": "in service",
    "trip__1__control": "high_limit",
    "trip__1__at_the_stop": "S. Marlow",
}
PASSED = TripsSeen(proved=frozenset({Role.HIGH_LIMIT}))
CLEAR = Left(outcomes=())
FLAG_OF = {
    Bar.LIMIT_FAILED_IN_SERVICE: Flag.LIMIT_FAILED,
    Bar.DEVICE_FAILED_IN_SERVICE: Flag.DEVICE_FAILED,
    Bar.STOP_FINDING_IN_SERVICE: Flag.STOP_FINDING,
    Bar.UNSAFE_PROOF_IN_SERVICE: Flag.UNSAFE_PROOF,
}


def ready(**changes: str) -> Visit:
    return visit(**{**READY, **changes})


def barred(made: Visit, left: Left = CLEAR, tested: TripsSeen = PASSED) -> list[Bar]:
    return [each.bar for each in bars(made, LAUNDRY, left, tested)]


def flagged(made: Visit, left: Left = CLEAR, tested: TripsSeen = PASSED, *, is_stale: bool = False) -> list[Flag]:
    return [each.flag for each in flags(made, LAUNDRY, left, tested, is_stale=is_stale)]


def stop(kind: type[Finding] | type[NotJudged] | type[Clear]) -> Outcome:
    subject = Subject(Part.HIGH_LIMIT)
    if kind is NotJudged:
        return NotJudged(
            code="x", severity=Severity.STOP, basis=Basis.DERIVED, subject=subject, missing=("boiler.mawp",)
        )
    return kind(code="x", severity=Severity.STOP, basis=Basis.DERIVED, subject=subject)  # type: ignore[call-arg]


def test_a_complete_visit_may_be_signed_and_says_nothing_of_itself() -> None:
    assert barred(ready()) == []
    assert flagged(ready()) == []


OPEN = {
    "temporary__1__what": "operating limit from 128.5 to 145 psi",
    "temporary__1__reason": "true rise of the high limit",
    "temporary__1__opened_by": "R. Fenn",
    "temporary__1__opened_at": "2026-11-25 10:00",
}
CLOSED = {"temporary__1__closed_by": "R. Fenn", "temporary__1__closed_at": "2026-11-25 10:20"}


@pytest.mark.parametrize("service", ["in service", "out of service"])
def test_an_open_temporary_change_bars_signing_however_the_boiler_is_left(service: str) -> None:
    made = ready(**OPEN, as_left__service=service, as_left__locked_out_by="R. Fenn")
    assert barred(made) == [Bar.TEMPORARY_CHANGE_OPEN]
    seen = {**OPEN, **CLOSED, "temporary__1__verified_by": "S. Marlow"}
    assert barred(ready(**seen)) == []
    assert barred(ready(**OPEN, **CLOSED)) == [Bar.TEMPORARY_CHANGE_OPEN]
    without_reason = {key: text for key, text in seen.items() if key != "temporary__1__reason"}
    assert barred(ready(**without_reason)) == [Bar.TEMPORARY_CHANGE_UNTOLD]


@pytest.mark.parametrize(
    ("left", "tested", "bar"),
    [
        (CLEAR, replace(PASSED, unsafe=(1,)), Bar.LIMIT_FAILED_IN_SERVICE),
        (CLEAR, replace(PASSED, devices_failed=(1,)), Bar.DEVICE_FAILED_IN_SERVICE),
        (Left(outcomes=(stop(Finding),)), PASSED, Bar.STOP_FINDING_IN_SERVICE),
        (Left(outcomes=(), unsafe_scenarios=("high limit alone",)), PASSED, Bar.UNSAFE_PROOF_IN_SERVICE),
    ],
)
def test_what_is_dangerous_is_signed_out_of_service_and_never_in_service(
    left: Left, tested: TripsSeen, bar: Bar
) -> None:
    assert barred(ready(), left, tested) == [bar]
    out = ready(as_left__service="out of service", as_left__locked_out_by="R. Fenn")
    assert barred(out, left, tested) == []
    told = flagged(out, left, tested)
    assert told[0] is Flag.OUT_OF_SERVICE
    assert told[1:] == [FLAG_OF[bar]], "whoever puts it back reads in the head why it was left out"


def test_out_of_service_a_dial_may_be_off_the_boiler_and_the_head_says_so() -> None:
    out = ready(as_left__service="out of service", as_left__locked_out_by="R. Fenn", as_left__high_limit="")
    assert barred(out) == []
    assert flagged(out) == [Flag.OUT_OF_SERVICE, Flag.NOT_READ_AS_LEFT]


def test_out_of_service_a_bypass_that_was_left_is_told() -> None:
    out = ready(as_left__service="out of service", as_left__locked_out_by="R. Fenn", as_left__jumpers="a wire")
    assert flagged(out) == [Flag.OUT_OF_SERVICE, Flag.JUMPER_LEFT]


def test_any_safety_device_is_tested_with_the_consent_of_the_plant() -> None:
    made = ready(call__consent="", trip__1__control="", trip__1__at_the_stop="", device__1__kind="flame failure")
    assert barred(made) == [Bar.NO_CONSENT]


def test_a_stop_rule_that_is_clear_bars_nothing() -> None:
    assert barred(ready(), Left(outcomes=(stop(Clear),))) == []


def test_out_of_service_needs_the_name_of_who_locked_it_out() -> None:
    assert barred(ready(as_left__service="out of service")) == [Bar.LOCK_NOT_TOLD]


@pytest.mark.parametrize(
    ("changes", "bar"),
    [
        ({"as_left__jumpers": "wire across the high limit"}, Bar.JUMPER_IN_SERVICE),
        ({"as_left__jumpers": ""}, Bar.JUMPERS_NOT_TOLD),
        ({"as_left__service": ""}, Bar.SERVICE_NOT_TOLD),
        ({"as_left__low_fire_hold": ""}, Bar.NOT_READ_AS_LEFT),
        ({"call__consent": ""}, Bar.NO_CONSENT),
        ({"trip__1__at_the_stop": ""}, Bar.NOBODY_AT_THE_STOP),
        ({"call__given_up": "wrong boiler"}, Bar.GIVEN_UP),
        ({"note__1__text": "ok", "as_found__high_limit": "140"}, Bar.UNREADABLE),
    ],
)
def test_each_gap_bars_signing_by_name(changes: dict[str, str], bar: Bar) -> None:
    assert barred(ready(**changes)) == [bar]


@pytest.mark.parametrize(
    ("tested", "flag"),
    [
        (replace(PASSED, undecided=(1,)), Flag.TRIP_UNDECIDED),
        (replace(PASSED, not_judged=(1,)), Flag.TRIP_NOT_JUDGED),
        (replace(PASSED, function_only=(1,)), Flag.FUNCTION_ONLY),
        (replace(PASSED, devices_not_judged=(1,)), Flag.DEVICE_NOT_JUDGED),
        (replace(PASSED, trips_low=(1,)), Flag.TRIPS_LOW),
        (replace(PASSED, devices_early=(1,)), Flag.DEVICE_ACTS_EARLY),
        (replace(PASSED, other_aim=(1,)), Flag.TESTED_FOR_ANOTHER_AIM),
        (replace(PASSED, differential_off=(2,)), Flag.DIFFERENTIAL_NOT_AS_SET),
    ],
)
def test_a_test_that_decided_nothing_is_told(tested: TripsSeen, flag: Flag) -> None:
    assert flagged(ready(), tested=tested) == [flag]


def test_a_control_proposed_as_proved_that_was_not_is_told_and_its_dial_counts() -> None:
    assert flagged(ready(), tested=TripsSeen()) == [Flag.PROVED_IN_PROPOSAL_ONLY, Flag.DIFFERS_FROM_PROPOSED]


def test_a_control_that_no_visit_can_prove_is_not_flagged_for_ever() -> None:
    made = ready(proposed__proved="high_limit\nfiring_rate\nlow_fire_hold")
    assert made.proposed is not None
    assert Role.FIRING_RATE in made.proposed.settings.proved
    assert flagged(made) == []
    assert Flag.PROVED_IN_PROPOSAL_ONLY in flagged(made, tested=TripsSeen())


def test_every_dial_left_elsewhere_than_proposed_is_named() -> None:
    made = ready(as_left__operating_limit="130 psi", as_left__firing_rate_differential="5 psi")
    assert dials_that_differ(made, PASSED) == ("operating_limit", "firing_rate_differential")
    assert flagged(made) == [Flag.DIFFERS_FROM_PROPOSED]


def test_a_proved_control_stands_where_it_acts_and_not_where_its_dial_shows() -> None:
    assert dials_that_differ(ready(as_left__high_limit="144 psi"), PASSED) == ()
    assert dials_that_differ(ready(as_left__high_limit="144 psi"), TripsSeen()) == ("high_limit",)


@pytest.mark.parametrize(("left", "differing"), [("140 psi", ()), ("140.1 psi", ("high_limit",))])
def test_a_start_that_is_set_as_it_was_told_to_a_tenth_of_a_psi_is_as_proposed(
    left: str, differing: tuple[str, ...]
) -> None:
    made = ready(proposed__high_limit="140.03 psi", as_left__high_limit=left)
    assert dials_that_differ(made, TripsSeen()) == differing


@pytest.mark.parametrize(
    ("changes", "flag"),
    [
        ({"as_left__cycles_seen": "2"}, Flag.FEW_CYCLES),
        ({"as_left__cycles_seen": ""}, Flag.FEW_CYCLES),
        ({"as_left__switch": "manual"}, Flag.SWITCH_NOT_AUTOMATIC),
        ({"move__1__words": "Operating limit: down"}, Flag.MOVE_NOT_TICKED),
        ({"trip__1__control": "operating_limit"}, Flag.HIGH_LIMIT_NOT_TESTED),
        ({"proposed__plant_revision": ""}, Flag.NO_PROPOSAL),
    ],
)
def test_what_was_not_done_is_told(changes: dict[str, str], flag: Flag) -> None:
    assert flagged(ready(**changes)) == [flag]


def test_an_old_proposal_an_unjudged_stop_rule_and_failing_proofs_are_told_worst_first() -> None:
    left = Left(outcomes=(stop(NotJudged),), failing_scenarios=("pick-up",), scenarios_not_proved=("cold start",))
    assert flagged(ready(), left, is_stale=True) == [
        Flag.STOP_NOT_JUDGED,
        Flag.PROPOSAL_STALE,
        Flag.NOT_PROVED,
        Flag.PROOF_FAILS,
    ]
