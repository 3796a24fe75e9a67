"""Open data of real plants: a heating controller's relay log and a campus boiler. Skipped where the data is not there.

Sources: STRITTI and MODELICA-BUILDINGS in ``sources``. The counts of rows are those of the files (lines less header);
the corrupt line of the raw file is its line 221 (seen by eye).
"""

import os
import shutil
from pathlib import Path

import pytest

from evenfire.delivery.intake.logs.log import Clock, Log, Reason
from evenfire.delivery.intake.logs.reading import read_log
from evenfire.delivery.intake.logs.wishes import ColumnWish, LogWishes, Role
from evenfire.errors import BadLog
from tests.delivery.intake.logs.written import lines_of

DATA = Path(os.environ.get("EVENFIRE_OPEN_DATA", Path(__file__).parents[5] / "shared" / "data"))
RELAYS = LogWishes(
    columns=(
        ColumnWish(role=Role.FLAME, header="relay1_pct", unit="%"),
        ColumnWish(role=Role.RUN_TIME, header="relay1_run_s", unit="s"),
    )
)


def open_data(folder: Path, name: str, wishes: LogWishes | None = None) -> Log:
    """The log of a file of the open data, copied so that nothing is kept beside it."""
    if not (DATA / name).is_file():
        pytest.skip(f"the open data {name} is not in {DATA.name}")
    shutil.copy(DATA / name, folder / name)
    return read_log([folder / name], wishes)


def test_the_raw_file_is_read_with_german_headers_and_decimal_commas_but_for_its_corrupt_line(tmp_path: Path) -> None:
    wishes = LogWishes(
        columns=(
            ColumnWish(role=Role.FLAME, header="Drehzahl Relais 2 [ %]"),
            ColumnWish(role=Role.STEAM_TEMPERATURE, header="Temperatur Sensor 3 [ °C]"),
        )
    )
    log = open_data(tmp_path, "relay_raw_20170622.csv", wishes)
    assert log.rows == 1435
    assert log.count([Reason.WRONG_COUNT]) == 1
    assert lines_of(log, Reason.WRONG_COUNT) == [221]
    first = log.frame().head(1).collect().row(0, named=True)
    assert first["flame"] == 1.0
    assert first["steam_temperature"] == pytest.approx(69.9 + 273.15)
    pressure = log.column(Role.PRESSURE)
    assert pressure is not None
    assert (pressure.header, pressure.values) == ("Druck Sensor 7 [ Bar]", 0)
    assert log.count([Reason.STAND_IN]) == 1435


@pytest.mark.parametrize(("name", "rows"), [("relay_log_2017-01.csv", 44_636), ("relay_log_2017-06.csv", 43_165)])
def test_relay_logs_are_read_with_the_roles_that_the_plant_file_names(tmp_path: Path, name: str, rows: int) -> None:
    log = open_data(tmp_path, name, RELAYS)
    assert log.rows + log.count([Reason.REPEATED_ROW, Reason.SAME_TIME]) == rows
    assert log.sampling.median == 60
    frame = log.frame().collect()
    assert set(frame.get_column("flame").unique()) == {0.0, 1.0}
    run = frame.get_column("run_time").drop_nulls()
    assert run[-1] > run[0]


def test_a_relay_log_without_a_plant_file_asks_which_relay_it_is(tmp_path: Path) -> None:
    with pytest.raises(BadLog, match="relay1_run_s") as caught:
        open_data(tmp_path, "relay_log_2017-01.csv")
    assert "Under [log]" in caught.value.do


def test_the_campus_boiler_is_read_with_the_right_roles(tmp_path: Path) -> None:
    log = open_data(tmp_path, "campus_boiler_q4_15min.csv")
    assert {column.role: column.header for column in log.columns} == {
        Role.PRESSURE: "steam_pressure_Pa",
        Role.STEAM_FLOW: "steam_kg_s",
        Role.FEED_FLOW: "feedwater_kg_s",
        Role.FUEL: "fuel_kg_s",
    }
    assert (log.rows, log.sampling.median, log.clock) == (9121, 900.0, Clock.ELAPSED)
    pressure = log.column(Role.PRESSURE)
    assert pressure is not None
    assert not pressure.says_datum
    assert log.frame().head(1).collect().row(0, named=True)["pressure"] == 899369.386562
