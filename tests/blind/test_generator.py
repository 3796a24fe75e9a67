"""The generator of blind logs: it keeps its word about what is in a log, and the program can read all that it writes.

Nothing here looks at a diagnosis. Each fault is looked for in the hidden states by another question than the rule that
says whether a log exercised it.
"""

import sys
import time
from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from functools import lru_cache
from itertools import islice
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import polars as pl
import pytest

from evenfire.delivery.intake.logs.log import Log
from evenfire.delivery.intake.logs.reading import read_log
from evenfire.delivery.intake.logs.wishes import Role
from evenfire.delivery.intake.plant_file import read_plant_text
from tests.blind import layouts
from tests.blind.boilers import PSI
from tests.blind.exercising import ENOUGH
from tests.blind.generator import Blind, fault_of, generate, generate_with
from tests.blind.running import begin, go_on
from tests.blind.seeds import BENCH, SCORING, TUNING
from tests.blind.stepping import HEAT, LOW, PHASE, POSITION, PRESSURE, RUN
from tests.blind.textbook import plain
from tests.blind.truth import FaultKind, StopKind
from tests.blind.year import DAY, write_year
from tests.conftest import SOAK
from tests.delivery.intake.logs.written import read

CLOCK_CHANGES = (46, 54, 89, 113, 135, 189, 203, 229)
"""Tuning seeds of few rows in which the clock is set: forward and back, with a zone that is said and without."""
EACH = 10 if SOAK else 3
HEALTHY = 200 if SOAK else 16


@lru_cache(maxsize=6)  # a log and all that is hidden of it take some 20 MB
def planted(kind: FaultKind | None, seed: int) -> Blind:
    return generate_with(seed, kind)


def of_kind(kind: FaultKind, exercised: bool, count: int = EACH) -> Iterator[Blind]:
    """The first tuning seeds whose log shows the fault, or does not."""
    fitting = (blind for blind in (planted(kind, seed) for seed in TUNING) if blind.truth.exercised is exercised)
    return islice(fitting, count)


def healthy(count: int = HEALTHY) -> Iterator[Blind]:
    """One after the other: so many at once would take gigabytes."""
    return (planted(None, seed) for seed in TUNING[:count])


def test_tuning_scoring_and_bench_share_no_seed() -> None:
    ranges = (TUNING, SCORING, BENCH)
    for first in ranges:
        for second in ranges:
            if first is not second:
                assert first[-1] < second[0] or second[-1] < first[0]


@pytest.mark.parametrize("kind", FaultKind)
def test_a_fault_that_a_log_exercised_stands_in_its_hidden_states(kind: FaultKind) -> None:
    for blind in of_kind(kind, exercised=True):
        assert blind.truth.occurrences >= ENOUGH
        assert _shows(kind, blind), f"seed {blind.truth.seed}: {blind.truth.fault}"


@pytest.mark.parametrize("kind", FaultKind)
def test_some_logs_of_each_fault_do_not_exercise_it(kind: FaultKind) -> None:
    for blind in of_kind(kind, exercised=False, count=2):
        assert blind.truth.fault is not None
        assert blind.truth.fault.kind is kind
        assert blind.truth.occurrences < ENOUGH
        assert blind.truth.occurrences <= blind.truth.happened


def test_no_fault_stands_in_the_hidden_states_of_a_healthy_boiler() -> None:
    for blind in healthy():
        assert blind.truth.fault is None
        assert not blind.truth.exercised
        shown = [kind for kind in FaultKind if _shows(kind, blind)]
        assert shown == [], f"seed {blind.truth.seed}"


def test_no_rule_finds_a_fault_in_a_healthy_log_but_stops_that_were_planned() -> None:
    for blind in healthy():
        planned = any(stop.is_planned for stop in blind.truth.stops)
        allowed = {FaultKind.NON_PRESSURE_STOPS} if blind.outside.planned else set()
        assert set(blind.truth.also_true) <= allowed, f"seed {blind.truth.seed}"
        assert not planned or FaultKind.NON_PRESSURE_STOPS in blind.truth.also_true


def test_healthy_logs_stop_at_low_fire_and_at_their_operating_limit() -> None:
    """What a boiler that is set as it should be does: common practice, no source."""
    count = 0
    for blind in healthy():
        for stop in blind.truth.stops:
            assert stop.kind is StopKind.OPERATING_LIMIT or stop.is_planned
            if stop.kind is StopKind.OPERATING_LIMIT:
                count += 1
                assert abs(stop.stood - blind.boiler.believed.cut_out * PSI) < (blind.boiler.tolerance + 0.3) * PSI
                assert abs(stop.pressure - stop.stood) < 3.0 * PSI, "a scan, a lag and what the scan lets pass"
                assert blind.truth.firing == "on-off" or stop.position < 0.15
    assert count > 100


def _shows(kind: FaultKind, blind: Blind) -> bool:
    """Whether a fault stands in the hidden states, asked in another way than the rules ask."""
    boiler, hidden, stops = blind.boiler, blind.hidden, blind.truth.stops
    runs = hidden.column(PHASE) == RUN
    position = hidden.column(POSITION)
    by_limit = [stop for stop in stops if stop.kind is StopKind.OPERATING_LIMIT]
    match kind:
        case FaultKind.CUT_OUT_DRIFT:
            off = [abs(stop.stood - boiler.believed.cut_out * PSI) for stop in by_limit]
            return len(off) >= ENOUGH and float(np.median(off)) > (boiler.tolerance + 1.0) * PSI
        case FaultKind.RANGE_TOO_WIDE | FaultKind.CUT_OUT_IN_BAND:
            dials = boiler.believed
            in_band = dials.cut_out < dials.fire_point + dials.fire_range
            high = sum(stop.position > 0.15 for stop in by_limit) >= ENOUGH
            return high and blind.truth.firing != "on-off" and in_band is (kind is FaultKind.CUT_OUT_IN_BAND)
        case FaultKind.ACTUATOR_STUCK:
            late = position[len(position) * 2 // 5 :]
            return blind.truth.firing == "proportional" and bool(np.ptp(late) < 1e-9) and bool(runs.any())
        case FaultKind.HOLD_BYPASSED:
            cold = runs & (hidden.column(PRESSURE) < (boiler.believed.hold - 2.0 * boiler.tolerance) * PSI)
            return blind.truth.firing != "on-off" and int((cold & (position > 0.5)).sum()) > 60
        case FaultKind.GAUGE_OFFSET:
            return abs(_median_error(blind)) > 3.0 * PSI
        case FaultKind.HIGH_LIMIT_ACTING:
            return any(stop.kind is StopKind.HIGH_LIMIT for stop in stops)
        case FaultKind.NON_PRESSURE_STOPS:
            return any(not stop.kind.is_by_pressure and not stop.is_planned for stop in stops)
        case FaultKind.HUNTING:
            return _swings_without_cause(blind)


def _median_error(blind: Blind) -> float:
    column = next(each for each in blind.truth.layout.columns if each.role is Role.PRESSURE)
    shown = blind.seen.values[Role.PRESSURE] * column.unit.factor
    shown = shown - (blind.truth.ambient if column.unit.is_absolute else 0.0)
    return float(np.nanmedian(shown - blind.hidden.column(PRESSURE)[blind.seen.seconds]))


def _swings_without_cause(blind: Blind) -> bool:
    """Whether the same boiler swings when nothing outside moves: half load, steady feed, after a kick at the start."""
    works = blind.boiler.works
    if blind.truth.firing not in ("proportional", "pid"):
        return False
    calm = blind.boiler.turned(feed_is_on_off=0.0, feed_gain=0.0, swing=0.0, draw_exponent=0.0, stuck_from=np.inf)
    # Half way between low and high fire; 2.76 MJ/kg is the enthalpy of steam at these pressures, near enough here.
    steam = 0.5 * (blind.boiler.heat_low + blind.boiler.heat_high) / (2.76e6 - works.feed_enthalpy)
    script = plain(np.full(4 * 3600, steam))
    trace = go_on(calm, begin(calm, works.fire_point), script).trace
    late = trace[2 * 3600 :]
    return bool(np.ptp(late[late[:, PHASE] >= LOW, POSITION]) > 0.15)


def test_true_trip_points_are_where_the_pressure_stood_when_the_control_opened() -> None:
    for blind in healthy(6):
        pressure = blind.hidden.column(PRESSURE)
        for stop in blind.truth.stops:
            second = int(stop.second)
            assert pressure[max(0, second - 1)] == pytest.approx(stop.pressure, abs=1e-6)
            assert blind.hidden.column(PHASE)[second] != RUN
            assert second == 0 or blind.hidden.column(PHASE)[second - 1] in (LOW, RUN)
        for start in blind.truth.starts:
            assert blind.hidden.column(PHASE)[int(start.flame)] == LOW
            assert start.flame - start.call == pytest.approx(blind.truth.contact_to_flame, abs=1.0)


def test_true_load_carries_away_what_the_fire_brings_in() -> None:
    """Over a day what is stored is little beside what goes through: heat in is load and loss, within 2 %."""
    for blind in healthy(8):
        if blind.outside.planned:
            continue
        heat = blind.hidden.trace[:, HEAT].mean() - blind.truth.standing_loss
        assert float(blind.truth.load.mean()) == pytest.approx(heat, rel=0.02, abs=0.01 * blind.truth.full_output)


@pytest.mark.parametrize("seed", [0, 3, 12])
def test_the_same_seed_writes_the_same_bytes(seed: int, tmp_path: Path) -> None:
    written = []
    for folder in (tmp_path / "first", tmp_path / "second"):
        folder.mkdir()
        written.append([file.read_bytes() for file in generate(seed).write(folder)])
    assert written[0] == written[1]
    assert len(written[0][0]) > 10_000


def test_other_seeds_are_other_boilers() -> None:
    storages = {blind.truth.storage for blind in healthy(8)}
    assert len(storages) == 8


def test_what_is_drawn_covers_every_fault_and_leaves_enough_that_shows_nothing() -> None:
    """The shares are those of the module: a quarter healthy, and of each fault about a third that does not show."""
    kinds = Counter(fault_of(seed) for seed in TUNING[:4000])
    assert kinds[None] / 4000 == pytest.approx(0.25, abs=0.03)
    for kind in FaultKind:
        assert kinds[kind] / 4000 == pytest.approx(0.75 / len(FaultKind), abs=0.02)
    exercised: Counter[FaultKind] = Counter()
    every: Counter[FaultKind] = Counter()
    seeds = TUNING[: 600 if SOAK else 70]
    for blind in map(generate, seeds):
        if blind.truth.fault is not None:
            every[blind.truth.fault.kind] += 1
            exercised[blind.truth.fault.kind] += blind.truth.exercised
    lines = [f"{kind.name:20} {exercised[kind]:4} of {every[kind]:4} exercised" for kind in FaultKind]
    sys.stdout.write("\n" + "\n".join(lines) + f"\nof {len(seeds)} logs\n")
    share = exercised.total() / every.total()
    assert 0.45 < share < 0.80, lines


@lru_cache(maxsize=1)
def one_of_each_dialect() -> tuple[int, ...]:
    """The first tuning seeds of not too many rows that write each dialect."""
    found: dict[str, int] = {}
    for seed in TUNING:
        blind = generate(seed)
        if len(blind.seen.seconds) < 50_000:
            found.setdefault(blind.truth.layout.dialect.name, seed)
        if len(found) == len(layouts.DIALECTS):
            break
    return tuple(found.values())


def test_the_program_reads_every_dialect_with_the_right_columns_times_and_values(tmp_path: Path) -> None:
    seeds = one_of_each_dialect()
    assert len(seeds) == len(layouts.DIALECTS)
    for seed in seeds:
        blind = planted(fault_of(seed), seed)
        file, plant = blind.write(tmp_path)
        wishes = read_plant_text(plant.read_text(encoding="utf-8"), plant.name).log
        _is_the_same(blind, read(tmp_path, file.read_bytes(), wishes, file.name))


def test_clocks_that_are_set_forward_and_back_are_read_as_they_ran(tmp_path: Path) -> None:
    changes = set()
    for seed in CLOCK_CHANGES:
        blind = generate(seed)
        layout = blind.truth.layout
        assert layout.clock_changes, f"seed {seed} changes no clock any more: take another"
        zone = ZoneInfo(layout.dialect.zone or "UTC")
        ends = [datetime.fromtimestamp(layout.begin + at, tz=zone).utcoffset() for at in (0, blind.truth.seconds)]
        changes.add((ends[0] < ends[1], layout.dialect.says_zone) if ends[0] and ends[1] else None)
        file, plant = blind.write(tmp_path)
        wishes = read_plant_text(plant.read_text(encoding="utf-8"), plant.name).log
        _is_the_same(blind, read(tmp_path, file.read_bytes(), wishes, file.name))
    assert changes == {(True, True), (True, False), (False, True), (False, False)}


def test_the_program_itself_reads_a_log_in_its_own_process(tmp_path: Path) -> None:
    seed = one_of_each_dialect()[0]
    blind = planted(fault_of(seed), seed)
    file, plant = blind.write(tmp_path)
    _is_the_same(blind, read_log([file], read_plant_text(plant.read_text(encoding="utf-8"), plant.name).log))


def _is_the_same(blind: Blind, log: Log) -> None:
    layout = blind.truth.layout
    said = f"seed {blind.truth.seed}, {layout.dialect.name}"
    assert {column.role for column in log.columns} == {column.role for column in layout.columns}, said
    frame = log.frame().collect()
    kept = frame.get_column("time").dt.epoch("us").to_numpy() / 1e6
    assert np.array_equal(kept, layout.kept_time(0.0) + blind.seen.seconds), said
    for column in layout.columns:
        found = frame.get_column(column.role.value).to_numpy()
        expected = blind.seen.values[column.role] * column.unit.factor + column.unit.zero
        known = ~np.isnan(found)
        assert np.isnan(found).sum() <= np.isnan(expected).sum() + blind.sensors.spikes, f"{said}, {column.role}"
        # Factors of units are printed with seven digits.
        assert np.allclose(found[known], expected[known], rtol=2e-6, atol=1e-9), f"{said}, {column.role}"


@pytest.mark.parametrize("kind", [None, *FaultKind])
def test_plant_files_say_what_the_technician_believes(kind: FaultKind | None) -> None:
    for blind in [planted(kind, seed) for seed in TUNING[:EACH]]:
        plant = read_plant_text(blind.truth.plant, "plant.toml").plant
        boiler = plant.boilers[0]
        assert boiler.as_found is not None
        dial = boiler.as_found.settings.operating_limit
        assert dial is not None
        assert dial.main == pytest.approx(blind.boiler.believed.cut_out * PSI, rel=1e-3)
        firing = {"on-off": "on-off", "two-position": "low-high-off"}.get(blind.truth.firing, "modulating")
        assert boiler.burners[0].firing.value == firing


def test_a_day_by_the_second_takes_less_than_three_tenths_of_a_second() -> None:
    """Aim of the brief: seconds of work for each simulated day, rules and sensing included, writing not."""
    generate_with(1, None)
    taken = []
    for seed in TUNING[:6]:
        begun = time.process_time()
        blind = generate_with(seed, None)
        taken.append((time.process_time() - begun) / (blind.truth.seconds / 86_400))
    sys.stdout.write(f"\n{min(taken):.3f} to {max(taken):.3f} s for each simulated day\n")
    assert float(np.median(taken)) < 0.3


def test_the_first_days_of_a_year_are_the_same_however_long_it_is(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    one, two = write_year(tmp_path / "a", BENCH[0], days=1), write_year(tmp_path / "b", BENCH[0], days=2)
    frames = [pl.read_parquet(each.log) for each in (one, two)]
    assert [len(frame) for frame in frames] == [DAY, 2 * DAY] == [one.rows, two.rows]
    assert frames[0].equals(frames[1].head(DAY))
    assert two.starts > one.starts > 0
    assert read_plant_text(two.plant.read_text(encoding="utf-8"), "year.toml").plant.boilers[0].burners[0].turndown


def test_a_year_is_read_by_the_program(tmp_path: Path) -> None:
    year = write_year(tmp_path, BENCH[0], days=1)
    log = read(tmp_path, year.log.read_bytes(), name="copy.parquet")
    assert log.rows == year.rows
    assert {Role.PRESSURE, Role.FIRING, Role.FLAME, Role.FUEL, Role.FEED_FLOW, Role.STEAM_FLOW, Role.LEVEL} == {
        column.role for column in log.columns
    }
    flame = log.frame().select("flame").collect().get_column("flame").to_numpy()
    flames = int((np.diff(flame) > 0.0).sum())
    # A pilot that the flame column sees belongs to the main flame that follows it, or fails; here none fails.
    assert flames == pytest.approx(year.starts, abs=1)
