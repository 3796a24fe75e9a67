"""Delimiters, encodings, header languages, roles and units; several files as one log; what is kept and made anew.

Words of headers in four languages are common practice, no source. Units: NIST SP 811, appendix B.8.
"""

import os
import shutil
from pathlib import Path

import polars as pl
import pytest

from evenfire.delivery.intake.logs.log import METADATA_KEY, Basis, Reason
from evenfire.delivery.intake.logs.reading import read_log
from evenfire.delivery.intake.logs.wishes import Decimals, LogWishes, Role
from evenfire.errors import BadLog
from evenfire.si import Dimension
from tests.delivery.intake.logs.written import PSI, counts, log_text, read, refused, rows, times, values, wish

STAMPS = [f"25.03.2024 10:{minute:02d}" for minute in range(20)]


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "cp1252"])
def test_every_separator_and_encoding_gives_the_same_log(tmp_path: Path, mark: str, encoding: str) -> None:
    header = mark.join(["Zeit", "Kesseldruck [bar]", "Wasserstand [%]", "Abgas [°C]"])
    lines = [mark.join([stamp, f"8.{at}", "50", "200"]) for at, stamp in enumerate(STAMPS[:10])]
    log = read(tmp_path, log_text(lines, header).encode(encoding))
    assert values(log)[:2] == pytest.approx([8.0e5, 8.1e5])
    assert {column.role for column in log.columns} == {Role.PRESSURE, Role.LEVEL}
    assert [unused.header for unused in log.unused] == ["Abgas [°C]"]


def test_blanks_may_part_columns(tmp_path: Path) -> None:
    lines = [f"2024-03-25  10:{minute:02d}:00   {100 + minute}.5    50" for minute in range(20)]
    log = read(tmp_path, log_text(lines, "date time steam_pressure_psi firing_rate_%"))
    assert values(log)[0] == pytest.approx(100.5 * PSI)


@pytest.mark.parametrize(
    ("header", "role", "value", "expected"),
    [
        ("Steam Pressure (psig)", Role.PRESSURE, "100", 100 * PSI),
        ("Kesseldruck / bar", Role.PRESSURE, "8", 8e5),
        ("Pression vapeur [kPa]", Role.PRESSURE, "800", 8e5),
        ("Presión de la caldera (kgf/cm2)", Role.PRESSURE, "10", 980_665.0),
        ("steam_pressure_psi", Role.PRESSURE, "100", 100 * PSI),
        ("Firing rate %", Role.FIRING, "40", 0.4),
        ("Brennerleistung [%]", Role.FIRING, "40", 0.4),
        ("Allure brûleur [%]", Role.FIRING, "40", 0.4),
        ("Modulación quemador [%]", Role.FIRING, "40", 0.4),
        ("Flame", Role.FLAME, "ON", 1.0),
        ("Flamme", Role.FLAME, "EIN", 1.0),
        ("Flamme brûleur", Role.FLAME, "oui", 1.0),
        ("Llama", Role.FLAME, "encendido", 1.0),
        ("Steam flow [lb/h]", Role.STEAM_FLOW, "1000", 0.1259979),
        ("Dampfmenge [t/h]", Role.STEAM_FLOW, "3.6", 1.0),
        ("Débit vapeur [kg/h]", Role.STEAM_FLOW, "3600", 1.0),
        ("Caudal de vapor [kg/s]", Role.STEAM_FLOW, "1.5", 1.5),
        ("Feedwater flow [gpm]", Role.FEED_FLOW, "100", 100 * 6.309020e-5),
        ("Speisewassermenge [m³/h]", Role.FEED_FLOW, "3.6", 1e-3),
        ("Débit eau alimentaire [m3/h]", Role.FEED_FLOW, "3.6", 1e-3),
        ("Caudal agua de alimentación [l/h]", Role.FEED_FLOW, "3600", 1e-3),
        ("Feed pump", Role.FEED_PUMP, "run", 1.0),
        ("Speisepumpe", Role.FEED_PUMP, "1", 1.0),
        ("Pompe alimentaire", Role.FEED_PUMP, "marche", 1.0),
        ("Bomba de alimentación", Role.FEED_PUMP, "marcha", 1.0),
        ("Gas flow [ft3/h]", Role.FUEL, "1000", 1000 * 2.831685e-2 / 3600),
        ("Fuel input [MMBtu/h]", Role.FUEL, "1", 293_071.07),
        ("Gasverbrauch [m3/h]", Role.FUEL, "36", 0.01),
        ("Débit gaz [m3/h]", Role.FUEL, "36", 0.01),
        ("Consumo de combustible [kg/h]", Role.FUEL, "36", 0.01),
        ("Water level [%]", Role.LEVEL, "50", 0.5),
        ("Wasserstand [mm]", Role.LEVEL, "50", 0.05),
        ("Niveau d'eau [%]", Role.LEVEL, "50", 0.5),
        ("Nivel de agua [%]", Role.LEVEL, "50", 0.5),
        ("Steam temperature [°F]", Role.STEAM_TEMPERATURE, "338", 443.15),
        ("Dampftemperatur [°C]", Role.STEAM_TEMPERATURE, "170", 443.15),
        ("Température vapeur [°C]", Role.STEAM_TEMPERATURE, "170", 443.15),
        ("Temperatura del vapor [°C]", Role.STEAM_TEMPERATURE, "170", 443.15),
        ("Burner hours [h]", Role.RUN_TIME, "10", 36_000.0),
    ],
)
def test_a_column_is_known_by_its_header_in_four_languages(
    tmp_path: Path, header: str, role: Role, value: str, expected: float
) -> None:
    log = read(
        tmp_path,
        log_text([f"{stamp};{value}" for stamp in STAMPS], f"Time;{header}"),
        LogWishes(decimals=Decimals.POINT),
    )
    column = log.column(role)
    assert column is not None, log.unused
    assert column.basis is Basis.GUESSED
    assert column.why
    assert values(log, role)[0] == pytest.approx(expected, rel=2e-6)


@pytest.mark.parametrize(
    "header",
    [
        "Feedwater pressure [psi]",
        "Gas pressure [psi]",
        "Pressure set point [psi]",
        "Flue gas temperature [F]",
        "Feed tank level [%]",
        "Ambient pressure [psi]",
        "Speisewassertemperatur [°C]",
        "Number of starts",
    ],
)
def test_a_column_that_only_sounds_like_one_is_none(tmp_path: Path, header: str) -> None:
    log = read(tmp_path, log_text([f"{stamp};100;8" for stamp in STAMPS], f"Time;{header};Steam pressure [bar]"))
    assert [column.header for column in log.columns] == ["Steam pressure [bar]"]
    assert [unused.header for unused in log.unused] == [header]


def test_two_columns_that_fit_alike_are_asked_about_and_the_plant_file_chooses(tmp_path: Path) -> None:
    text = log_text([f"{stamp};100;8;40" for stamp in STAMPS], "Time;Pressure 1 [psi];Pressure 2 [bar];Level [%]")
    log = read(tmp_path, text)
    assert log.column(Role.PRESSURE) is None
    assert "may each be the pressure" in log.open_roles[0]
    chosen = read(tmp_path, text, wish(Role.PRESSURE, "pressure 2 [bar]"))
    assert values(chosen)[0] == pytest.approx(8e5)
    assert chosen.columns[0].basis is Basis.STATED


def test_a_column_without_a_unit_is_asked_about_and_the_plant_file_answers(tmp_path: Path) -> None:
    text = log_text([f"{stamp};100;40" for stamp in STAMPS], "Time;Steam pressure;Level [%]")
    log = read(tmp_path, text)
    assert log.column(Role.PRESSURE) is None
    assert "no unit is said" in log.open_roles[0]
    assert 'unit = "psi"' in log.open_roles[0]
    known = read(tmp_path, text, wish(Role.PRESSURE, "Steam pressure", "psia"))
    assert known.columns[0].dimension is Dimension.ABSOLUTE_PRESSURE
    assert known.columns[0].says_datum
    assert values(known)[0] == pytest.approx(100 * PSI)


def test_a_unit_that_is_two_things_is_not_taken(tmp_path: Path) -> None:
    log = read(tmp_path, log_text([f"{stamp};8;40" for stamp in STAMPS], "Time;Fuel flow [MBtu/h];Level [%]"))
    assert log.column(Role.FUEL) is None
    assert "a thousand Btu to some and a million to others" in log.open_roles[0]


@pytest.mark.parametrize(
    ("wishes", "says"),
    [
        (wish(Role.PRESSURE, "No such"), "no column is headed"),
        (wish(Role.PRESSURE, "Steam pressure [psi]", "lb/h"), "is no unit of gauge pressure"),
        (LogWishes(time="Clock"), "no column is headed"),
        (LogWishes(time_format="%d.%m.%Y"), "cannot be read"),
        (wish(Role.PRESSURE, "Time"), "holds the times"),
    ],
)
def test_a_plant_file_that_does_not_fit_the_log_is_told_so(tmp_path: Path, wishes: LogWishes, says: str) -> None:
    assert says in refused(tmp_path, log_text(rows()), wishes).found


def test_files_that_overlap_are_one_log_in_the_order_of_time(tmp_path: Path) -> None:
    (tmp_path / "1.csv").write_text(log_text(rows(start="2024-03-05 10:10:00")))
    (tmp_path / "2.csv").write_text(log_text(rows(start="2024-03-05 10:00:00")))
    log = read_log([tmp_path / "1.csv", tmp_path / "2.csv"])
    assert log.rows == 30
    assert times(log) == sorted(times(log))
    assert counts(log) == {"SAME_TIME": 10}


def test_files_with_other_columns_are_joined_by_their_times(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(log_text([row.rsplit(",", 1)[0] for row in rows()], "Time,Steam pressure [psi]"))
    (tmp_path / "b.csv").write_text(log_text([f"{row.split(',')[0]},50" for row in rows()], "Time,Level [%]"))
    log = read_log([tmp_path])
    assert log.rows == 20
    assert counts(log) == {"JOINED": 20}
    assert None not in values(log)
    assert None not in values(log, Role.LEVEL)


def test_files_in_other_units_are_one_log(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(log_text(["2024-03-05 10:00,8", "2024-03-05 10:01,8"], "Time,Pressure [bar]"))
    (tmp_path / "b.csv").write_text(
        log_text(["2024-03-05 10:02,800", "2024-03-05 10:03,800"], "Time,Steam pressure [kPa]")
    )
    assert values(read_log([tmp_path])) == pytest.approx([8e5] * 4)


def kept(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.evenfire-*.parquet"))


def test_a_log_is_read_once_and_kept_beside_the_original(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(log_text(rows()))
    log = read_log([path])
    assert kept(tmp_path) == [log.parquet]
    written = log.parquet.stat().st_mtime_ns
    assert read_log([path]) == log
    assert log.parquet.stat().st_mtime_ns == written
    assert METADATA_KEY in pl.read_parquet_metadata(log.parquet)
    frame = log.frame().collect()
    assert frame.schema == {"time": pl.Datetime("us", "UTC"), "pressure": pl.Float64, "firing": pl.Float64}
    assert [each.name for each in tmp_path.iterdir() if each.name.startswith(".")] == []


def test_a_changed_original_or_another_plant_file_is_read_anew(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(log_text(rows()))
    first = read_log([path])
    stamps = path.stat()
    path.write_text(log_text(rows()).replace("100.5", "105.5"))
    os.utime(path, ns=(stamps.st_atime_ns, stamps.st_mtime_ns))
    second = read_log([path])
    assert values(second)[5] == pytest.approx(105.5 * PSI)
    assert first.parquet != second.parquet
    assert read_log([path], LogWishes(zone="UTC+01:00")).parquet not in {first.parquet, second.parquet}


@pytest.mark.parametrize("damage", ["flipped", "cut", "emptied", "foreign"])
def test_a_kept_file_that_is_damaged_is_made_anew(tmp_path: Path, damage: str) -> None:
    path = tmp_path / "log.csv"
    path.write_text(log_text(rows(2000, step=1)))
    log = read_log([path])
    content = bytearray(log.parquet.read_bytes())
    match damage:
        case "flipped":
            content[len(content) // 3] ^= 0xFF
        case "cut":
            del content[len(content) // 2 :]
        case "emptied":
            content.clear()
        case _:
            content[:] = b"something else"
    log.parquet.write_bytes(content)
    again = read_log([path])
    assert again == log
    assert len(values(again)) == 2000


def test_a_folder_that_nobody_may_write_into_is_not_needed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "log.csv").write_text(log_text(rows()))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "own"))
    monkeypatch.setattr(os, "access", lambda _path, _mode: False)
    log = read_log([tmp_path / "log.csv"])
    assert (tmp_path / "own") in log.parquet.parents
    assert kept(tmp_path) == []


def test_the_kept_files_are_no_logs_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text(log_text(rows()))
    first = read_log([tmp_path])
    assert len(read_log([tmp_path]).files) == 1
    shutil.copy(first.parquet, tmp_path / "copy.parquet")
    with pytest.raises(BadLog):
        read_log([tmp_path])


def test_what_was_left_out_is_counted_by_kind(tmp_path: Path) -> None:
    log = read(tmp_path, log_text([*rows(), "no time,1,2"]))
    assert log.count([Reason.NO_TIME]) == 1
    assert log.count([Reason.WRONG_COUNT, Reason.HEADER_AGAIN]) == 0
