"""What somebody types for a run: every form of a fault, times, loads; and what is refused, in one sentence."""

from math import inf
from pathlib import Path

import pytest

from evenfire.delivery.intake.fault_text import read_fault
from evenfire.delivery.intake.load_text import ShareOfOutput, read_load
from evenfire.delivery.intake.moments import read_time
from evenfire.delivery.words.running import AMOUNT, FAULTS
from evenfire.errors import BadInput, BadRecordedLoad, BadRequest
from evenfire.physics.motion.faults import Fault
from evenfire.plant.load import Constant, Steps
from evenfire.si import KG_S_PER_LB_H, PA_PER_PSI


@pytest.mark.parametrize(
    ("text", "fault", "begin", "end", "psi"),
    [
        ("operating limit welded @ 0h", Fault.OPERATING_LIMIT_WELDED, 0, inf, 0),
        ("high limit welded @ 2h", Fault.HIGH_LIMIT_WELDED, 7200, inf, 0),
        ("high limit drifts +6 psi @ 0h", Fault.HIGH_LIMIT_DRIFTED, 0, inf, 6),
        ("operating limit drifts -2.5 psi for 3h @ 90 min", Fault.OPERATING_LIMIT_DRIFTED, 5400, 16200, -2.5),
        ("firing rate drifts +1 psi @ 1h", Fault.FIRING_RATE_DRIFTED, 3600, inf, 1),
        ("hold drifts +20 psi @ 0", Fault.HOLD_DRIFTED, 0, inf, 20),
        ("drive stuck @ 3h", Fault.DRIVE_STUCK, 10800, inf, 0),
        ("drive stuck at full @ 3h", Fault.DRIVE_STUCK_AT_FULL, 10800, inf, 0),
        ("damper stuck in purge @ 0h", Fault.DAMPER_STUCK_IN_PURGE, 0, inf, 0),
        ("feed stopped @ 4h", Fault.FEED_STOPPED, 14400, inf, 0),
        ("power off for 10 s @ 5h", Fault.POWER_OFF, 18000, 18010, 0),
        ("low water for 60 s @ 6h", Fault.LOW_WATER, 21600, 21660, 0),
        ("hold bypassed @ 0h", Fault.HOLD_BYPASSED, 0, inf, 0),
        ("flame lost for 1 s @ 2h", Fault.FLAME_LOST, 7200, 7201, 0),
        ("load gone @ 06:30", Fault.LOAD_GONE, 23400, inf, 0),
        ("  Low-Fire Hold  bypassed@0h", Fault.HOLD_BYPASSED, 0, inf, 0),
        ("high limit drifted +6 PSI @ 0h", Fault.HIGH_LIMIT_DRIFTED, 0, inf, 6),
    ],
)
def test_every_form_of_a_fault_is_read(text: str, fault: Fault, begin: float, end: float, psi: float) -> None:
    read = read_fault(text)
    assert (read.fault, read.begin, read.end) == (fault, begin, end)
    assert read.amount == pytest.approx(psi * PA_PER_PSI)


def test_every_fault_of_the_loop_has_a_form_of_its_own() -> None:
    assert set(FAULTS) == set(Fault)
    for fault, form in FAULTS.items():
        assert read_fault(f"{form.replace(AMOUNT, '+1 psi')} @ 1h").fault is fault


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("operating limit welded", "does not say when"),
        ("operating limit wellded @ 2h", "Did you mean 'operating limit welded'?"),
        ("drive jammed @ 2h", "Did you mean 'drive stuck'?"),
        ("xyzzy @ 2h", "names no fault that is known here"),
        ("high limit drifts @ 0h", "does not say how far"),
        ("high limit drifts 6 psi @ 0h", 'write "+6 psi"'),
        ("high limit drifts +6 gal @ 0h", "gal"),
        ("high limit drifts +0 psi @ 0h", "not drifted at all"),
        ("high limit drifts +6000 psi @ 0h", "so far"),
        ("operating limit welded +6 psi @ 0h", "names no fault"),
        ("power off for 0 s @ 5h", "lasts no time"),
        ("power off @ soon", "does not begin with a number"),
        ("power off @ -2h", "before the start"),
        ("power off @ 2", "has no unit"),
        ("power off @ 14:75", "time"),
        ("@ 2h", "names no fault"),
        ("power off @ " + "1" * 300, "too long"),
    ],
)
def test_a_fault_that_cannot_be_read_is_one_sentence_that_helps(text: str, told: str) -> None:
    with pytest.raises(BadRequest) as error:
        read_fault(text)
    assert told in str(error.value)
    assert "\n" not in str(error.value)


def test_an_unknown_fault_lists_every_form() -> None:
    with pytest.raises(BadRequest) as error:
        read_fault("boiler sad @ 1h")
    assert all(form in str(error.value) for form in FAULTS.values())


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("2h", 7200), ("90 min", 5400), ("45 s", 45), ("14:30", 52200), ("0:00:07", 7), ("26:00", 93600), ("0", 0)],
)
def test_times_are_read_as_spans_or_on_a_clock(text: str, seconds: float) -> None:
    assert read_time(text, "--reset") == seconds


def test_a_load_is_a_flow_a_share_or_a_recording(tmp_path: Path) -> None:
    flow = read_load("4,000 lb/h")
    assert isinstance(flow, Constant)
    assert flow.steam == pytest.approx(4000 * KG_S_PER_LB_H)
    share = read_load("35 %")
    assert isinstance(share, ShareOfOutput)
    assert share.share == pytest.approx(0.35)
    file = tmp_path / "load.csv"
    file.write_text("time [min], steam [lb/h]\n0, 2400\n15, 3100\n", encoding="utf-8")
    recorded = read_load(str(file))
    assert isinstance(recorded, Steps)
    assert [duration for duration, _ in recorded.steps] == [900, 900]


@pytest.mark.parametrize("text", ["", "much", "-3 lb/h", "-5 %", "400 %", "35", "20 psi"])
def test_what_is_no_load_is_refused_with_what_is_accepted(text: str) -> None:
    with pytest.raises(BadRequest, match="Accepted are a steam flow"):
        read_load(text)


def test_a_recording_that_is_not_there_is_refused() -> None:
    with pytest.raises(BadRecordedLoad, match="no such file"):
        read_load("nowhere.csv")
    assert issubclass(BadRecordedLoad, BadInput)
