"""Corners put each dial at the edge that hurts; loads and starts of a stage by hand.

The laundry's dials are within 2 psi (as found nothing is proved), each control half a foot of water below its tap.
Steam: IF97 by another library.
"""

from math import inf

import pytest
import seuif97

from evenfire.judgement.case import Case
from evenfire.judgement.motion.loading import FaultAt
from evenfire.judgement.motion.modelling import boiler_model
from evenfire.judgement.proofs.staging import (
    CROSSED,
    HIGH,
    LATE,
    LOW,
    TRUE,
    Corner,
    Stage,
    nothing,
    ramp,
    stages_of,
)
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import FEED_HELD, OFF, RELEASED, Profile
from evenfire.plant.burner import Fuel
from evenfire.plant.known import Datum, NotKnownError, Origin
from evenfire.plant.load import Ramp
from tests.surveys import case_of, survey

PSI = 6894.757
AIR: float = 101325 * (1 - 2.25577e-5 * 40 * 0.3048) ** 5.25588
LEG = 0.433 * 0.5
TRUE_POINTS = {"cut_out": 120, "cut_in": 112, "trip": 140, "high_fire": 110, "low_fire": 125, "takes_hold": 60}
LOSS = 70_000 * 1055.056 / 3600
FULL = 8.35e6 * 0.81 * 1055.056 / 3600
POUND_PER_HOUR = 0.4535924 / 3600


def laundry(edits: dict[str, object] | None = None) -> Case:
    return case_of(survey({"boiler.standing_loss": "70,000 Btu/h"} | (edits or {})))


def stage_of(corner: Corner = TRUE, edits: dict[str, object] | None = None) -> Stage:
    (stage,) = stages_of(laundry(edits), corner)
    return stage


def points(stage: Stage) -> dict[str, float]:
    return {name: (float(getattr(stage.model.controls, name)) - AIR) / PSI + LEG for name in TRUE_POINTS}


@pytest.mark.parametrize(
    ("corner", "moved"),
    [
        (TRUE, {}),
        # What makes pressure low, and the hold high, where pressure may fall into it.
        (LOW, {"cut_out": -2, "cut_in": -2, "high_fire": -2, "low_fire": -2, "takes_hold": 2}),
        # What makes pressure high, and the high limit low, where it trips for nothing.
        (HIGH, {"cut_out": 2, "cut_in": 2, "high_fire": 2, "low_fire": 2, "trip": -2}),
        # Whatever stops the burner comes late.
        (LATE, {"cut_out": 2, "cut_in": 2, "high_fire": 2, "low_fire": 2, "trip": 2}),
        # The cut-out comes down into the firing band.
        (CROSSED, {"cut_out": -2, "cut_in": -2, "high_fire": 2, "low_fire": 2}),
    ],
    ids=lambda value: value.name if isinstance(value, Corner) else "",
)
def test_every_dial_stands_at_the_edge_that_hurts(corner: Corner, moved: dict[str, float]) -> None:
    expected = {name: value + moved.get(name, 0) for name, value in TRUE_POINTS.items()}
    assert points(stage_of(corner)) == pytest.approx(expected, abs=2e-4)


def test_each_control_is_off_by_its_own_tolerance() -> None:
    edits: dict[str, object] = {
        f"boiler.controls.{role}.tolerance.dial": f"{psi} psi"
        for role, psi in (("operating_limit", 1), ("high_limit", 3), ("firing_rate", 4), ("low_fire_hold", 5))
    }
    low, late = points(stage_of(LOW, edits)), points(stage_of(LATE, edits))
    assert low == pytest.approx(
        {"cut_out": 119, "cut_in": 111, "trip": 140, "high_fire": 106, "low_fire": 121, "takes_hold": 65}, abs=2e-4
    )
    assert late["trip"] == pytest.approx(143, abs=2e-4)


def test_a_tolerance_that_nobody_knows_is_asked_for_where_it_is_needed() -> None:
    edits: dict[str, object] = {"boiler.controls.high_limit.tolerance": None}
    assert stages_of(laundry(edits), TRUE)
    assert stages_of(laundry(edits), LOW)
    with pytest.raises(NotKnownError) as raised:
        stages_of(laundry(edits), LATE)
    assert raised.value.keys == ("controls.high_limit.tolerance.dial",)


def test_what_is_not_fitted_has_no_tolerance() -> None:
    # One fire, on or off, without firing-rate control and hold.
    (stage,) = stages_of(case_of(survey(plant="vertical")), LOW)
    assert stage.model.controls.takes_hold == -inf


def test_there_is_a_stage_for_each_burner() -> None:
    oil_after_gas = stages_of(case_of(survey(plant="board-mill")), TRUE)
    assert [stage.burner.fuel for stage in oil_after_gas] == [Fuel.NATURAL_GAS, Fuel.LIGHT_OIL]
    assert [float(stage.model.burner.lowest) for stage in oil_after_gas] == pytest.approx([1 / 7, 1 / 6])
    with pytest.raises(NotKnownError) as raised:
        stages_of(laundry({"boiler.burner": None}), TRUE)
    assert "burner" in raised.value.keys


def test_feedwater_keeps_the_level_unless_slugs_are_wanted() -> None:
    assert stage_of().model.feed.kind == FEED_HELD
    (slugs,) = stages_of(laundry(), TRUE, slugs=True)
    assert slugs.model.feed.kind == boiler_model(laundry()).feed.kind != FEED_HELD


MEGAPASCALS = (AIR + 105 * PSI) / 1e6
PER_STEAM = 1000 * (seuif97.px(MEGAPASCALS, 1.0, 4) - seuif97.tx((200 - 32) / 1.8, 0.0, 4))
"""From water that boils at 200 F to steam at 105 psi, as the steam tables of the trade are read [J/kg]."""


def test_what_full_and_low_fire_hold() -> None:
    stage = stage_of()
    assert stage.per_steam == pytest.approx(PER_STEAM, rel=1e-4)
    assert stage.loss == pytest.approx(LOSS, rel=1e-5)
    assert stage.full == pytest.approx((FULL - LOSS) / PER_STEAM, rel=1e-4)
    assert stage.low == pytest.approx((FULL / 4 - LOSS) / PER_STEAM, rel=1e-4)


def test_a_fire_that_only_makes_up_the_loss_holds_no_steam() -> None:
    stage = stage_of(edits={"boiler.standing_loss": "2 MMBtu/h"})
    assert stage.low == 0.0
    assert stage.full > 0.0


STEPS: dict[str, object] = {
    "load.demand": {
        "shape": "steps",
        "steps": [{"for": "1 h", "steam": f"{steam} lb/h"} for steam in (900, 4000, 1300, 300)],
    }
}


def test_loads_that_the_survey_knows_bound_what_is_tried() -> None:
    # Low fire holds some 1,590 lb/h, full fire some 6,560 lb/h.
    stage = stage_of(edits=STEPS)
    assert stage.greatest_load == pytest.approx(4000 * POUND_PER_HOUR, rel=1e-6)
    assert stage.worst_cycling_load == pytest.approx(1300 * POUND_PER_HOUR, rel=1e-6)
    assert stage_of().greatest_load == pytest.approx(0.98 * stage.full)
    assert stage_of().worst_cycling_load == pytest.approx(stage.low, rel=2e-3)
    assert stage_of().worst_cycling_load < stage.low


def test_more_load_than_the_burner_makes_is_not_tried() -> None:
    stage = stage_of(edits={"load.demand": {"shape": "constant", "steam": "9000 lb/h"}})
    assert stage.greatest_load == pytest.approx(0.98 * stage.full)
    # It never cycles.
    assert stage.worst_cycling_load == 0.0


@pytest.mark.parametrize(("share", "flow"), [(True, 0.3 * (FULL - LOSS) / PER_STEAM), (False, 0.3)])
def test_a_change_of_load_is_a_share_of_full_or_a_flow(share: bool, flow: float) -> None:
    size, lasts = Datum(0.3, Origin.SURVEYED), Datum(60.0, Origin.SURVEYED)
    assert stage_of().flow_of(Ramp(size=size, share=share, duration=lasts)) == pytest.approx(flow, rel=1e-4)


def test_a_stage_begins_at_cut_in_or_under_its_load() -> None:
    stage = stage_of(LOW)
    begin = stage.at_cut_in()
    assert begin.contents.pressure == pytest.approx(AIR + (110 - LEG) * PSI, abs=2)
    assert begin.flame.phase == OFF
    loaded = stage.standing_at(0.9 * stage.full)
    assert loaded.flame.phase == RELEASED
    assert loaded.contents.pressure < AIR + (123 - LEG) * PSI


def test_a_freed_boiler_is_stopped_by_nothing_and_the_first_stays_as_it_was() -> None:
    stage = stage_of()
    free = stage.freed().model.controls
    assert (free.cut_out, free.cut_in, free.trip, free.remakes) == (inf, -inf, inf, -inf)
    assert free.low_fire == stage.model.controls.low_fire
    assert points(stage) == pytest.approx(TRUE_POINTS, abs=2e-4)


def at(profile: Profile, time: float) -> float:
    """The load at a time [kg/s]."""
    begin, value, slope = [row for row in profile.pieces.tolist() if row[0] <= time][-1]
    return float(value + slope * (time - begin))


@pytest.mark.parametrize(
    ("begins", "lasts", "loads"),
    [
        # 0.2 to 0.5 over 100 s from 60 s on.
        (60.0, 100.0, {0.0: 0.2, 59.0: 0.2, 110.0: 0.35, 160.0: 0.5, 5000.0: 0.5}),
        (0.0, 100.0, {0.0: 0.2, 50.0: 0.35, 100.0: 0.5, 5000.0: 0.5}),
        # At once.
        (60.0, 0.0, {0.0: 0.2, 59.9: 0.2, 60.0: 0.5, 5000.0: 0.5}),
        (0.0, 0.0, {0.0: 0.2, 0.01: 0.5, 5000.0: 0.5}),
    ],
)
def test_a_load_that_goes_from_one_flow_to_another(begins: float, lasts: float, loads: dict[float, float]) -> None:
    profile = ramp(0.2, 0.5, begins, lasts)
    assert {time: at(profile, time) for time in loads} == pytest.approx(loads)
    assert profile.pieces[0, 0] == 0.0
    assert profile.period == inf
    down = ramp(0.5, 0.2, begins, lasts)
    assert {time: at(down, time) for time in loads} == pytest.approx({time: 0.7 - load for time, load in loads.items()})


def test_nobody_draws_steam() -> None:
    assert nothing().pieces.tolist() == [[0.0, 0.0, 0.0]]
    assert nothing().period == inf


def test_a_run_that_breaks_off_is_shown_until_shortly_before() -> None:
    whole = stage_of().run("half", stage_of().standing_at(0.3), ramp(0.3, 0.3, 0.0, 0.0), hours=0.1)
    assert not whole.broke_off
    assert whole.name == "half"
    assert whole.run.duration == pytest.approx(360.0)
    assert whole.run.series.time.tolist() == [10.0 * row for row in range(37)]
    assert whole.ambient == pytest.approx(AIR, rel=1e-5)
    # Full fire, no load, both limits welded and no valve: pressure leaves every table.
    stage = stage_of()
    stage.model.valves.count = 0
    welded = [
        FaultAt(fault=fault, begin=0.0)
        for fault in (Fault.OPERATING_LIMIT_WELDED, Fault.HIGH_LIMIT_WELDED, Fault.DRIVE_STUCK_AT_FULL)
    ]
    broken = stage.run("welded", stage.standing_at(stage.full), nothing(), hours=4.0, faults=welded)
    assert broken.broke_off
    assert 0.0 < broken.run.duration < 4 * 3600.0
    assert broken.run.highest.pressure > 1000 * PSI
