from dataclasses import replace

import pytest
from hypothesis import given

from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import (
    AbsentKey,
    Band,
    Column,
    Level,
    LevelKind,
    Note,
    StackLayout,
)
from evenfire.errors import BadRequest
from evenfire.judgement.case import SettingsSet
from evenfire.plant.burner import Firing
from evenfire.plant.controls import Action, Controls, Filling, Tolerance
from evenfire.plant.load import Load, Place
from evenfire.plant.settings import AsFound, Settings, Switch
from evenfire.si import PA_PER_PSI
from tests.delivery.figures.stacks import (
    FOUND,
    LEG,
    PROPOSED,
    burner,
    case,
    dial,
    found_and_proposed,
    laundry,
    layouts,
    psi,
    valve,
)


def _level(layout: StackLayout, kind: LevelKind, column: Column = Column.PLANT) -> Level:
    level = layout.of(kind, column)
    assert level is not None
    return level


def _in_psi(band: Band | None) -> tuple[float, float]:
    assert band is not None
    return band.lowest / PA_PER_PSI, band.highest / PA_PER_PSI


def _absent(layout: StackLayout) -> set[tuple[AbsentKey, Column]]:
    return {(absent.key, absent.column) for absent in layout.absent}


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        (LevelKind.MAWP, 150),
        (LevelKind.RATED_MAX, 150),
        (LevelKind.SAFETY_VALVE, 150),
        (LevelKind.EARLIEST_LIFT, 145.5),  # 3 % of the set pressure: VSH, set tolerance of 70 to 300 psi
        (LevelKind.RESEAT, 139.5),  # blowdown of 6 psi below the earliest lift
        (LevelKind.WISH, 130),
        (LevelKind.NEED, 105),
    ],
)
def test_levels_of_the_plant_stand_where_the_survey_says(kind: LevelKind, expected: float) -> None:
    assert _level(found_and_proposed(), kind).pressure / PA_PER_PSI == pytest.approx(expected)


@pytest.mark.parametrize(
    ("kind", "found", "proposed", "off_found", "off_proposed"),
    [
        (LevelKind.HIGH_LIMIT, 140, 136.5, 2, 0.5),
        (LevelKind.CUT_OUT, 120, 128, 2, 0.5),
        (LevelKind.CUT_IN, 112, 120, 2, 0.5),
        (LevelKind.LOW_FIRE, 125, 120, 2, 2),
        (LevelKind.HIGH_FIRE, 110, 110, 2, 2),
        (LevelKind.LOW_FIRE_HOLD, 60, 60, 2, 2),
    ],
)
def test_levels_of_the_settings_stand_at_the_boiler_with_their_tolerance(
    kind: LevelKind, found: float, proposed: float, off_found: float, off_proposed: float
) -> None:
    """Differential below the cut-out, range above high fire, half a foot of leg below the tap; two controls proved."""
    layout = found_and_proposed()
    for column, dial_shows, off in ((Column.AS_FOUND, found, off_found), (Column.PROPOSED, proposed, off_proposed)):
        level = _level(layout, kind, column)
        assert level.pressure / PA_PER_PSI == pytest.approx(dial_shows - LEG)
        assert level.tolerance == pytest.approx(psi(off))
        assert _in_psi(level.band) == pytest.approx((dial_shows - LEG - off, dial_shows - LEG + off))


def test_a_leg_that_may_be_part_empty_widens_the_band() -> None:
    """A foot below the tap, filling unsure: anywhere from nought to 0.433 psi early (HB1919)."""
    boiler = laundry()[1]
    limit = boiler.controls.high_limit
    assert limit is not None
    assert limit.water_leg is not None
    leg = replace(limit.water_leg, height=0.3048, filling=Filling.UNSURE)
    boiler = replace(boiler, controls=replace(boiler.controls, high_limit=replace(limit, water_leg=leg)))
    level = _level(lay_out(case(boiler, FOUND), None), LevelKind.HIGH_LIMIT, Column.AS_FOUND)
    assert _in_psi(level.band) == pytest.approx((140 - 0.433 - 2, 140 + 2))


def test_the_zone_of_a_safety_valve_reaches_from_earliest_lift_to_set() -> None:
    assert _in_psi(_level(found_and_proposed(), LevelKind.SAFETY_VALVE).band) == pytest.approx((145.5, 150))


def test_a_certificate_takes_the_place_of_the_set_tolerance() -> None:
    boiler = replace(laundry()[1], safety_valves=(valve("only", 150, blowdown=6, lift=148),))
    layout = lay_out(case(boiler, FOUND), None)
    assert _level(layout, LevelKind.EARLIEST_LIFT).pressure == pytest.approx(psi(148))
    assert _level(layout, LevelKind.RESEAT).pressure == pytest.approx(psi(142))


def test_each_safety_valve_has_its_own_levels_and_equal_ones_share_a_label() -> None:
    boiler = replace(laundry()[1], safety_valves=(valve("a", 150), valve("b", 150), valve("c", 140)))
    layout = lay_out(case(boiler, FOUND), None)
    assert [level.valve for level in layout.levels if level.kind is LevelKind.SAFETY_VALVE] == ["a", "b", "c"]
    named = [label.valves for label in layout.labels if label.kind is LevelKind.SAFETY_VALVE]
    assert named == [("a", "b"), ("c",)]


def test_levels_that_did_not_change_share_a_label_and_others_do_not() -> None:
    layout = found_and_proposed()
    columns = {label.columns for label in layout.labels if label.kind is LevelKind.HIGH_FIRE}
    assert columns == {(Column.AS_FOUND, Column.PROPOSED)}
    assert sum(label.kind is LevelKind.HIGH_LIMIT for label in layout.labels) == 2


def test_one_pressure_with_two_tolerances_has_two_labels() -> None:
    boiler = laundry()[1]
    same = replace(PROPOSED, high_limit=FOUND.high_limit)
    layout = lay_out(case(boiler, FOUND), case(boiler, same, SettingsSet.PROPOSED))
    assert sum(label.kind is LevelKind.HIGH_LIMIT for label in layout.labels) == 2


def test_the_hold_of_the_laundry_stands_beyond_a_break() -> None:
    layout = found_and_proposed()
    assert len(layout.scale.breaks) == 1
    assert Note.BROKEN_SCALE in layout.notes
    assert layout.scale.main.lowest < psi(105) < psi(150) < layout.scale.main.highest


def test_a_low_pressure_stack_is_not_broken() -> None:
    boiler = replace(
        laundry()[1],
        mawp=psi(15),
        safety_valves=(valve("only", 15, blowdown=3),),
        burners=(burner(Firing.ON_OFF, None),),
    )
    settings = Settings(operating_limit=dial(8, 3), high_limit=dial(12), low_fire_hold=dial(2.5))
    layout = lay_out(case(boiler, settings, load=Load(need=psi(2))), None)
    assert layout.scale.breaks == ()
    assert layout.scale.lowest == 0.0
    assert _level(layout, LevelKind.EARLIEST_LIFT).pressure == pytest.approx(psi(13))  # 15 less 2 psi, from memory


def test_nothing_is_absent_where_all_is_surveyed() -> None:
    assert found_and_proposed().absent == ()


def test_what_the_plant_does_not_tell_is_listed() -> None:
    boiler = replace(laundry()[1], safety_valves=(valve("only", 150),), burners=(burner(Firing.MODULATING, None),))
    assert _absent(lay_out(case(boiler, FOUND, load=Load()), None)) == {
        (key, Column.PLANT)
        for key in (AbsentKey.BLOWDOWN, AbsentKey.RATED_MAX, AbsentKey.WISH, AbsentKey.NEED, AbsentKey.TURNDOWN)
    }


def test_a_bare_survey_lists_everything() -> None:
    boiler = replace(laundry()[1], safety_valves=(), burners=(), controls=Controls())
    keys = {key for key, _ in _absent(lay_out(case(boiler, Settings(), load=Load()), None))}
    assert {AbsentKey.SAFETY_VALVE, AbsentKey.BURNER, AbsentKey.HIGH_LIMIT, AbsentKey.CUT_OUT, AbsentKey.CUT_IN} <= keys


def test_a_need_at_the_header_without_a_line_drop_is_no_need_at_the_boiler() -> None:
    load = Load(need=psi(105), need_at=Place.HEADER, wish=psi(130), rated_max=psi(150))
    layout = lay_out(case(laundry()[1], FOUND, load=load), None)
    assert layout.of(LevelKind.NEED, Column.PLANT) is None
    assert _absent(layout) == {(AbsentKey.LINE_DROP, Column.PLANT)}


def test_a_reading_that_one_set_lacks_is_listed_for_that_set() -> None:
    boiler = laundry()[1]
    lacking = replace(FOUND, high_limit=None, operating_limit=dial(120))
    layout = lay_out(case(boiler, lacking), case(boiler, PROPOSED, SettingsSet.PROPOSED))
    assert _absent(layout) == {(AbsentKey.HIGH_LIMIT, Column.AS_FOUND), (AbsentKey.CUT_IN, Column.AS_FOUND)}
    assert layout.of(LevelKind.HIGH_LIMIT, Column.AS_FOUND) is None


def test_an_unknown_tolerance_and_an_unsurveyed_leg_are_listed() -> None:
    boiler = laundry()[1]
    limit = boiler.controls.high_limit
    assert limit is not None
    unknown = replace(limit, tolerance=Tolerance(), water_leg=None)
    boiler = replace(boiler, controls=replace(boiler.controls, high_limit=unknown))
    layout = lay_out(case(boiler, FOUND), None)
    assert _absent(layout) == {
        (AbsentKey.TOLERANCE_OF_HIGH_LIMIT, Column.AS_FOUND),
        (AbsentKey.WATER_LEG_OF_HIGH_LIMIT, Column.PLANT),
    }
    assert _level(layout, LevelKind.HIGH_LIMIT, Column.AS_FOUND).band is None


def test_a_computed_band_is_not_called_unsurveyed() -> None:
    boiler = laundry()[1]
    control = boiler.controls.firing_rate
    assert control is not None
    pid = replace(boiler, controls=replace(boiler.controls, firing_rate=replace(control, action=Action.PID)))
    assert lay_out(case(pid, FOUND), None).absent == ()


def test_an_on_off_burner_misses_no_firing_band() -> None:
    boiler = replace(laundry()[1], burners=(burner(Firing.ON_OFF, None),))
    settings = replace(FOUND, firing_rate=None, low_fire_hold=None)
    assert lay_out(case(boiler, settings), None).absent == ()


def test_a_firing_rate_found_in_manual_is_noted_with_its_cap() -> None:
    boiler = replace(laundry()[1], as_found=AsFound(settings=FOUND, switch=Switch.MANUAL, manual_cap=0.6))
    layout = lay_out(case(boiler, FOUND), None)
    assert {Note.FOUND_IN_MANUAL, Note.FIRING_CAPPED} <= set(layout.notes)
    assert layout.capped_at == 0.6
    proposed = lay_out(None, case(boiler, PROPOSED, SettingsSet.PROPOSED))
    assert Note.FOUND_IN_MANUAL not in proposed.notes


def test_the_column_is_named_by_the_set_of_settings() -> None:
    layout = lay_out(None, case(laundry()[1], PROPOSED, SettingsSet.AS_LEFT))
    assert [each.column for each in layout.sets] == [Column.AS_LEFT]


def test_no_settings_and_settings_of_two_boilers_are_refused() -> None:
    boiler = laundry()[1]
    with pytest.raises(BadRequest):
        lay_out(None, None)
    other = case(replace(boiler, name="No. 2"), PROPOSED, SettingsSet.PROPOSED)
    with pytest.raises(BadRequest):
        lay_out(case(boiler, FOUND), other)
    with pytest.raises(BadRequest):
        lay_out(case(boiler, FOUND), case(boiler, PROPOSED))


@given(layouts())
def test_any_stack_lies_on_its_scale_from_the_top_down(layout: StackLayout) -> None:
    pressures = [level.pressure for level in layout.levels]
    assert pressures == pytest.approx(sorted(pressures, reverse=True), abs=0.02)
    for level in layout.levels:
        ends = (level.pressure,) if level.band is None else (level.band.lowest, level.pressure, level.band.highest)
        assert all(layout.scale.lowest <= pressure <= layout.scale.highest for pressure in ends)


@given(layouts())
def test_every_level_of_any_stack_has_exactly_one_label(layout: StackLayout) -> None:
    for level in layout.levels:
        owners = [
            label
            for label in layout.labels
            if label.kind is level.kind
            and level.column in label.columns
            and abs(label.pressure - level.pressure) < 0.02
            and (level.valve is None or level.valve in label.valves)
        ]
        assert len(owners) == 1
