"""Blind logs: from a seed a boiler, at most one fault, a log of it as somebody's logger wrote it, and what is true."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

import numpy as np

from evenfire.delivery.intake.logs.wishes import Role
from tests.blind import layouts, loads
from tests.blind.boilers import ACTIONS, MAKES, PSI, Boiler
from tests.blind.exercising import ENOUGH, Evidence, occurrences, rule_of
from tests.blind.layouts import Dialect, Layout, Unit, Written
from tests.blind.loads import Outside, Regime
from tests.blind.plant_text import plant_text
from tests.blind.planting import Planted, draw_kind, plant_in
from tests.blind.running import Hidden, begin, go_on
from tests.blind.sensing import Seen, Sensors, draw_sensors, row_seconds, see
from tests.blind.stepping import BY_FLAME, PHASE, POSITION, RUN, STEAM
from tests.blind.truth import CutIn, Fault, FaultKind, Floats, Start, Stop, StopKind, Truth
from tests.blind.waters import STEAM_ENTHALPY, at
from tests.blind.writing import write_log

HEALTHY_SHARE: Final = 0.25
COLUMN_SETS: Final = (
    (0.22, (Role.FIRING, Role.FLAME, Role.FUEL, Role.FEED_FLOW, Role.STEAM_FLOW, Role.LEVEL)),
    (0.20, (Role.FIRING, Role.FLAME, Role.FUEL, Role.FEED_FLOW)),
    (0.20, (Role.FIRING, Role.FLAME, Role.FEED_PUMP)),
    (0.12, (Role.FIRING, Role.FUEL, Role.FEED_PUMP, Role.LEVEL)),
    (0.10, (Role.FUEL, Role.STEAM_FLOW)),
    (0.09, (Role.FLAME,)),
    (0.07, ()),
)
"""Beside the pressure, with how often."""
UNSAID_SHARE: Final = 0.1
"""Of the logs with the temperature of the steam: pressures from nothing, with a unit that does not say so."""
NIGHTS: Final = ("2026-03-08", "2026-11-01", "2026-03-29", "2026-10-25")
"""Sundays on which the clocks of the zones used here are changed (US, US, EU, EU)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Blind:
    """One log before it is written: what is true, what was seen, and what happened."""

    truth: Truth
    boiler: Boiler
    outside: Outside
    hidden: Hidden
    seen: Seen
    sensors: Sensors

    def write(self, folder: Path) -> tuple[Path, Path]:
        """Log and plant file in a folder, the same bytes for the same seed."""
        name = f"log-{self.truth.seed}"
        rng = np.random.default_rng([self.truth.seed, 2])
        log = write_log(rng, folder, name, self.truth.layout, self.seen, self.sensors)
        plant = folder / f"plant-{self.truth.seed}.toml"
        plant.write_text(self.truth.plant, encoding="utf-8")
        return log, plant


def fault_of(seed: int) -> FaultKind | None:
    """What is planted for a seed, unless the caller asks for something else."""
    rng = np.random.default_rng([seed, 0])
    if rng.random() < HEALTHY_SHARE:
        return None
    kinds = tuple(FaultKind)
    return kinds[int(rng.integers(len(kinds)))]


def generate(seed: int) -> Blind:
    """The log of a seed, with the fault that its seed says."""
    return generate_with(seed, fault_of(seed))


def generate_with(seed: int, kind: FaultKind | None) -> Blind:
    """The log of a seed with a fault of the caller's choice, or healthy."""
    rng = np.random.default_rng([seed, 1])
    ugliness = float(rng.choice([0.0, 0.5, 1.0], p=[0.25, 0.45, 0.30]))
    planted = plant_in(rng, draw_kind(rng, kind, ugliness > 0.7), kind)
    if planted.shut_downs:
        # Here the pressure is meant to go.
        planted = replace(planted, boiler=planted.boiler.turned(throttle=0.0))
    outside, start = _outside(rng, planted, ugliness)
    hidden = go_on(planted.boiler, begin(planted.boiler, start), outside.script)
    layout = _layout(rng, planted, ugliness)
    rows_about = planted.seconds // min(layout.intervals)
    sensors = draw_sensors(rng, planted.offset, ugliness, rows_about)
    if layout.clock_changes and not layout.dialect.says_zone:
        # Who reads it must be able to tell a clock that was set from rows out of order, and from a gap.
        sensors = replace(sensors, repeats=0, swaps=0, gaps=0)
    rows = row_seconds(rng, planted.seconds, layout.intervals, sensors.gaps)
    seen = see(rng, hidden, planted.boiler, layout, sensors, rows)
    truth = _truth(seed, planted, outside, hidden, layout, sensors, seen, ugliness)
    return Blind(truth=truth, boiler=planted.boiler, outside=outside, hidden=hidden, seen=seen, sensors=sensors)


def _outside(rng: np.random.Generator, planted: Planted, ugliness: float) -> tuple[Outside, float]:
    """Load and people, and the pressure at which the log begins [Pa gauge]."""
    boiler, works = planted.boiler, planted.boiler.works
    low = loads.low_share(boiler)
    # Above what the burner makes where the cut-out stands, the load keeps the pressure below it.
    position = min(max((works.fire_point + works.fire_range - works.cut_out) / works.fire_range, 0.0), 1.0)
    floor = low + (1.0 - low) * position
    shares = loads.shares_of(rng, planted.regime, planted.seconds, low, floor)
    events: list[tuple[float, float, float]] = []
    if planted.shut_downs:
        shares, events = loads.shut_downs(rng, boiler, shares, planted.shut_downs)
    planned = tuple(event[0] for event in events)
    if planted.stops is not None:
        events += loads.unplanned(rng, planted.seconds, *planted.stops)
    steps = bool(rng.random() < 0.25 + 0.4 * ugliness)
    made = loads.outside(rng, boiler, shares, events, steps)
    start = works.cut_out - works.differential * float(rng.uniform(0.2, 0.8))
    start = min(start, works.high_limit - works.differential)
    if planted.regime in (Regime.MIDDLE, Regime.STEADY):
        # Where the control will hold it, so that no stop belongs to the beginning of the log alone.
        start = works.fire_point + 0.5 * works.fire_range
        start = min(start, works.cut_out - 0.3 * works.differential)
    return replace(made, planned=planned), start


def _layout(rng: np.random.Generator, planted: Planted, ugliness: float) -> Layout:
    boiler = planted.boiler
    dialect = layouts.DIALECTS[int(rng.integers(len(layouts.DIALECTS)))]
    pressures = layouts.PRESSURES[dialect.system]
    unit = pressures[int(rng.integers(len(pressures)))]
    if unit.quantum * unit.factor >= 0.9 * PSI and ugliness < 0.7:
        unit = pressures[0]
    roles = _roles(rng, planted)
    is_offset = planted.fault is not None and planted.fault.kind is FaultKind.GAUGE_OFFSET
    if Role.STEAM_TEMPERATURE in roles and not is_offset and rng.random() < UNSAID_SHARE:
        # Only where the temperature of the steam can tell it; nobody could know it otherwise.
        unit = replace(unit, text={"us": "psi", "si": "bar"}[dialect.system], is_absolute=True)
        unit = replace(
            unit, factor={"us": PSI, "si": 1e5}[dialect.system], quantum={"us": 0.1, "si": 0.01}[dialect.system]
        )
    intervals: tuple[int, ...] = (int(rng.choice(MAKES[boiler.kind].intervals)),)
    if rng.random() < 0.3 * ugliness:
        intervals = (intervals[0], max(min(intervals[0] * int(rng.integers(2, 6)), 60), intervals[0] + 1))
    begin, changes = _begin(rng, dialect, planted.seconds)
    return Layout(
        dialect=dialect,
        columns=tuple(_written(role, dialect, unit, boiler) for role in roles),
        intervals=intervals,
        begin=begin,
        shift=_shift(dialect, begin),
        is_absolute=unit.is_absolute,
        says_datum=unit.text not in ("psi", "bar", "kPa"),
        firing_shows="stroke" if rng.random() < 0.25 else "rate",
        clock_changes=changes,
        log_table=_log_table(dialect, roles, unit, boiler),
    )


def _roles(rng: np.random.Generator, planted: Planted) -> tuple[Role, ...]:
    sets = [roles for _, roles in COLUMN_SETS]
    shares = np.array([share for share, _ in COLUMN_SETS])
    if planted.wants_firing and rng.random() < 0.9:
        shares *= [Role.FIRING in roles or Role.FUEL in roles for roles in sets]
    roles = list(sets[int(rng.choice(len(sets), p=shares / shares.sum()))])
    if rng.random() < 0.1:
        roles.append(Role.RUN_TIME)
    wants = planted.wants_temperature
    if rng.random() < 0.35 if wants is None else wants:
        roles.append(Role.STEAM_TEMPERATURE)
    place = int(rng.integers(0, 2))
    roles.insert(min(place, len(roles)), Role.PRESSURE)
    return tuple(roles)


def _unit_of(role: Role, dialect: Dialect, pressure: Unit, boiler: Boiler) -> Unit:
    match role:
        case Role.PRESSURE:
            return pressure
        case Role.FIRING | Role.LEVEL:
            return layouts.SHARE
        case Role.FLAME:
            return layouts.SWITCH
        case Role.FEED_PUMP:
            return layouts.SWITCH if boiler.works.feed_is_on_off > 0.0 else layouts.SHARE
        case Role.STEAM_FLOW | Role.FEED_FLOW:
            return layouts.FLOWS[dialect.system]
        case Role.FUEL:
            return layouts.HEATS[dialect.system]
        case Role.STEAM_TEMPERATURE:
            return layouts.TEMPERATURES[dialect.system]
        case Role.RUN_TIME:
            return layouts.HOURS


def _written(role: Role, dialect: Dialect, pressure: Unit, boiler: Boiler) -> Written:
    unit = _unit_of(role, dialect, pressure, boiler)
    header = dialect.words[role]
    if dialect.is_parquet and unit.text:
        header = f"{header} [{unit.text}]"
    return Written(role=role, header=header, unit=unit)


def _log_table(dialect: Dialect, roles: tuple[Role, ...], pressure: Unit, boiler: Boiler) -> str:
    lines = []
    if dialect.says_zone:
        lines.append(f'zone = "{dialect.zone}"')
    if dialect.format.startswith("%m"):
        lines.append('time_format = "month first"')
    if dialect.format.startswith("%d/"):
        lines.append('time_format = "day first"')
    if dialect.date is not None:
        lines += [f'date = "{dialect.date}"', f'time = "{dialect.time}"']
    if dialect.says_columns:
        for role in roles:
            unit = _unit_of(role, dialect, pressure, boiler)
            text = f', unit = "{unit.text or "1"}"'
            lines.append(f'{role.value} = {{ column = "{dialect.words[role]}"{text} }}')
    return "\n[log]\n" + "\n".join(lines) + "\n" if lines else ""


def _begin(rng: np.random.Generator, dialect: Dialect, seconds: int) -> tuple[int, bool]:
    """UTC of the first second, and whether the clock is changed within the log."""
    begin = int(datetime(2026, 1, 5, tzinfo=UTC).timestamp()) + int(rng.integers(0, 300 * 86_400))
    if dialect.zone is not None and rng.random() < 0.15:
        american = dialect.zone == layouts.CHICAGO
        night = NIGHTS[int(rng.integers(2)) + (0 if american else 2)]
        begin = int(datetime.fromisoformat(night).replace(tzinfo=UTC).timestamp()) - int(
            rng.uniform(0.1, 0.7) * seconds
        )
        begin += 7 * 3600 if american else 0
    if dialect.zone is None:
        return begin, False
    return begin, _offset(dialect.zone, begin) != _offset(dialect.zone, begin + seconds)


def _offset(zone: str, second: int) -> float:
    offset = datetime.fromtimestamp(second, tz=ZoneInfo(zone)).utcoffset()
    return offset.total_seconds() if offset is not None else 0.0


def _shift(dialect: Dialect, begin: int) -> float:
    if dialect.format == "seconds":
        return -float(begin)
    if dialect.zone is None or dialect.says_zone:
        return 0.0
    # Nobody says the zone: kept as the clock showed it, and counted on through a change.
    return _offset(dialect.zone, begin)


def _truth(
    seed: int,
    planted: Planted,
    outside: Outside,
    hidden: Hidden,
    layout: Layout,
    sensors: Sensors,
    seen: Seen,
    ugliness: float,
) -> Truth:
    boiler, works, fault = planted.boiler, planted.boiler.works, planted.fault
    verdict = _verdict(planted, outside, hidden, layout, sensors, seen)
    enthalpy = at(hidden.column(0) + works.ambient, STEAM_ENTHALPY)
    steam = hidden.column(STEAM)
    lag = works.heat_lag + works.heat_delay
    middle = works.cut_out - 0.5 * works.differential
    to_flame = works.delay + works.purge + works.pilot
    return Truth(
        seed=seed,
        boiler=boiler.kind,
        firing=ACTIONS[boiler.action],
        plant=plant_text(boiler, layout.dialect.system, layout.log_table),
        layout=layout,
        fault=_sized(fault, hidden, verdict.occurrences),
        exercised=verdict.occurrences >= ENOUGH,
        occurrences=verdict.occurrences,
        happened=verdict.happened,
        rule=rule_of(fault.kind) if fault is not None else "",
        also_true=verdict.also_true,
        ugly=_ugly(sensors, layout, outside, ugliness),
        seconds=planted.seconds,
        interval=float(layout.intervals[0]),
        ambient=works.ambient,
        cut_out=works.cut_out,
        differential=works.differential,
        high_limit=works.high_limit,
        fire_point=works.fire_point,
        fire_range=works.fire_range,
        hold=works.hold * works.hold_works,
        gauge_offset=sensors.offset,
        storage=boiler.storage,
        storage_pressure=middle,
        storage_slope=(boiler.storage_at(middle + 5e4) - boiler.storage_at(middle - 5e4)) / 1e5,
        heat_low=boiler.heat_low,
        heat_high=boiler.heat_high,
        heat_lag=lag,
        sensor_lag=works.log_lag,
        contact_to_flame=to_flame,
        contact_to_low_fire=to_flame + lag,
        standing_loss=works.standing_loss,
        full_output=boiler.heat_high - works.standing_loss,
        load=_minutes(steam * (enthalpy - works.feed_enthalpy)),
        steam=_minutes(steam),
        stops=_stops(hidden, outside),
        starts=tuple(Start(call=float(row[0]), flame=float(row[1])) for row in hidden.starts),
        cut_ins=tuple(
            CutIn(second=float(row[0]), pressure=float(row[1]), stood=float(row[2])) for row in hidden.cut_ins
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Verdict:
    """What the rules say of one log."""

    occurrences: int
    happened: int
    also_true: tuple[FaultKind, ...]


def _verdict(
    planted: Planted, outside: Outside, hidden: Hidden, layout: Layout, sensors: Sensors, seen: Seen
) -> _Verdict:
    boiler, fault = planted.boiler, planted.fault
    evidence = Evidence(
        boiler=boiler,
        hidden=hidden,
        draw=outside.script.draw,
        seen=seen,
        layout=layout,
        offset=sensors.offset,
        planned=np.array(outside.planned),
    )
    counts = {kind: len(occurrences(kind, evidence)) for kind in FaultKind}
    also = {kind for kind, count in counts.items() if count >= ENOUGH}
    if outside.planned:
        # Planned or not: a stop of the operator is no stop by pressure, and whoever says so is right.
        also.add(FaultKind.NON_PRESSURE_STOPS)
    planted_kind = fault.kind if fault is not None else None
    happened = 0
    if planted_kind is not None:
        happened = len(occurrences(planted_kind, replace(evidence, asks_for_columns=False)))
    return _Verdict(
        occurrences=0 if planted_kind is None else counts[planted_kind],
        happened=happened,
        also_true=tuple(kind for kind in FaultKind if kind in also and kind is not planted_kind),
    )


def _sized(fault: Fault | None, hidden: Hidden, occurrences: int) -> Fault | None:
    """The fault with a size that only the run can tell."""
    if fault is None or fault.kind is not FaultKind.HUNTING:
        return fault
    released = hidden.column(POSITION)[hidden.column(PHASE) == RUN]
    swing = float(np.subtract(*np.percentile(released, [95, 5]))) if len(released) else 0.0
    return replace(fault, magnitude=swing if occurrences else 0.0)


def _ugly(sensors: Sensors, layout: Layout, outside: Outside, ugliness: float) -> tuple[str, ...]:
    words = {
        "spikes": sensors.spikes > 0,
        "stuck samples": sensors.stuck > 0,
        "gaps": sensors.gaps > 0,
        "missing values": sensors.blanks > 0.0,
        "rows twice": sensors.repeats > 0,
        "rows out of order": sensors.swaps > 0,
        "mixed sampling": len(layout.intervals) > 1,
        "clock change": layout.clock_changes,
        "load steps at cut-out": bool(np.any(outside.script.factor != 1.0)),
        "meters that disagree": abs(sensors.steam_meter - sensors.feed_meter) > 0.02,
        "absolute, and nobody says so": layout.is_absolute and not layout.says_datum,
        "coarse display": any(
            each.role is Role.PRESSURE and each.unit.quantum * each.unit.factor > 0.45 * PSI for each in layout.columns
        ),
        "efficiency, play, dead band and level swing large": ugliness > 0.7,
    }
    return tuple(word for word, holds in words.items() if holds)


def _minutes(values: Floats) -> Floats:
    means: Floats = values[: len(values) // 60 * 60].reshape(-1, 60).mean(axis=1)
    means.setflags(write=False)
    return means


def _stops(hidden: Hidden, outside: Outside) -> tuple[Stop, ...]:
    planned = np.array(outside.planned)
    found = []
    for second, number, pressure, stood, position in hidden.stops.tolist():
        kind = StopKind(int(number))
        found.append(
            Stop(
                second=second,
                kind=kind,
                pressure=pressure,
                stood=stood,
                position=position,
                is_planned=bool(np.any(np.abs(planned - second) < 2.0)),
                needs_a_hand=kind is StopKind.HIGH_LIMIT or number == BY_FLAME,
            )
        )
    return tuple(found)
