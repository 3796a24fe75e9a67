"""A year of one boiler by the second, written to Parquet a day at a time: for the bench of speed and memory."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
import polars as pl
from polars.io.plugins import register_io_source

from evenfire.delivery.intake.logs.wishes import Role
from tests.blind import layouts, loads
from tests.blind.boilers import FIRETUBE, PSI, Boiler, draw_boiler
from tests.blind.layouts import Layout, Written
from tests.blind.plant_text import plant_text
from tests.blind.running import Hidden, begin, go_on
from tests.blind.sensing import draw_sensors, see
from tests.blind.stepping import PROPORTIONAL
from tests.blind.writing import parquet_frame

DAY: Final = 86_400
CREEP: Final = 4.0 * PSI / (365.0 * DAY)
"""The cut-out of the year wanders up by 4 psi [Pa/s]."""
ROLES: Final = (
    Role.PRESSURE,
    Role.FIRING,
    Role.FLAME,
    Role.FUEL,
    Role.FEED_FLOW,
    Role.STEAM_FLOW,
    Role.LEVEL,
)
BEGIN: Final = 1_735_689_600
"""2025-01-01, UTC [s since 1970]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Year:
    """What was written, and what an honest reader has to find in it."""

    log: Path
    plant: Path
    rows: int
    starts: int
    """Main flames"""
    stops: int
    """All of them at the operating limit, unless the year says otherwise"""
    creep: float
    """By how much the cut-out has wandered at the end [Pa]"""


def write_year(folder: Path, seed: int, days: int = 365) -> Year:
    """A log and its plant file; no more than about a day of rows is in memory at any time.

    Parameters
    ----------
    days
        Fewer than a year for a quick look; they are the first days of the year.
    """
    boiler, layout = _boiler(seed), _layout()
    log, plant = folder / f"year-{seed}.parquet", folder / f"year-{seed}.toml"
    plant.write_text(plant_text(boiler, "si", ""), encoding="utf-8")
    counted: list[tuple[int, int]] = []

    def source(
        with_columns: list[str] | None, predicate: pl.Expr | None, n_rows: int | None, batch_size: int | None
    ) -> Iterator[pl.DataFrame]:
        del with_columns, predicate, n_rows, batch_size  # the sink asks for everything
        counted.clear()
        for frame, hidden in _days(seed, days, boiler, layout):
            counted.append((len(hidden.starts), len(hidden.stops)))
            yield frame

    schema = parquet_frame(_empty(layout), layout).schema
    rows = register_io_source(source, schema=schema)
    rows.sink_parquet(log, row_group_size=DAY, maintain_order=True, engine="streaming")
    return Year(
        log=log,
        plant=plant,
        rows=days * DAY,
        starts=sum(starts for starts, _ in counted),
        stops=sum(stops for _, stops in counted),
        creep=CREEP * days * DAY,
    )


def _boiler(seed: int) -> Boiler:
    rng = np.random.default_rng([seed, 10])
    boiler = draw_boiler(rng, FIRETUBE, PROPORTIONAL, is_ugly=True)
    return boiler.turned(creep=CREEP)


def _layout() -> Layout:
    dialect = next(each for each in layouts.DIALECTS if each.name == "Parquet")
    units = {
        Role.PRESSURE: layouts.PRESSURES["si"][0],
        Role.FLAME: layouts.SWITCH,
        Role.FUEL: layouts.HEATS["si"],
        Role.FEED_FLOW: layouts.FLOWS["si"],
        Role.STEAM_FLOW: layouts.FLOWS["si"],
    }
    columns = []
    for role in ROLES:
        unit = units.get(role, layouts.SHARE)
        header = layouts.ENGLISH[role] + (f" [{unit.text}]" if unit.text else "")
        columns.append(Written(role=role, header=header, unit=unit))
    return Layout(
        dialect=dialect,
        columns=tuple(columns),
        intervals=(1,),
        begin=BEGIN,
        shift=0.0,
        is_absolute=False,
        says_datum=False,
        firing_shows="rate",
        clock_changes=False,
        log_table="",
    )


def _empty(layout: Layout) -> pl.DataFrame:
    columns = {each.header: pl.Series([], dtype=pl.Float64) for each in layout.columns}
    return pl.DataFrame({"at": pl.Series([], dtype=pl.Int64), **columns})


def _days(seed: int, days: int, boiler: Boiler, layout: Layout) -> Iterator[tuple[pl.DataFrame, Hidden]]:
    going = begin(boiler, boiler.works.cut_out - 0.5 * boiler.works.differential)
    sensors = draw_sensors(np.random.default_rng([seed, 11]), 0.0, 0.5, DAY)
    for day in range(days):
        # Each day draws for itself, so that a part of a year is the same as the beginning of the whole.
        rng = np.random.default_rng([seed, 12, day])
        low = loads.low_share(boiler)
        regime = (loads.Regime.DAY, loads.Regime.LOW, loads.Regime.BATCH)[int(rng.integers(3))]
        outside = loads.outside(rng, boiler, loads.shares_of(rng, regime, DAY, low, low), [], True)
        hidden = go_on(boiler, going, outside.script)
        seen = see(rng, hidden, boiler, layout, sensors, np.arange(DAY))
        seconds = seen.seconds + day * DAY
        frame = pl.DataFrame({"at": seconds, **{each.header: seen.values[each.role] for each in layout.columns}})
        yield parquet_frame(frame, layout), hidden
