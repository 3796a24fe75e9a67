"""The table [log] of a plant file: what it says reaches the reading of a log, and what cannot be is refused."""

import pytest

from evenfire.delivery.intake.logs.wishes import ColumnWish, Decimals, LogWishes, Role
from evenfire.delivery.intake.plant_file import read_plant_text
from evenfire.errors import BadPlantFile
from tests.delivery.intake.samples import SMALLEST


def test_a_plant_file_without_the_table_leaves_all_to_be_guessed() -> None:
    assert read_plant_text(SMALLEST, "a.toml").log == LogWishes()


def test_what_the_table_says_is_wished() -> None:
    table = """[log]
time = "Uhrzeit"
date = "Datum"
time_format = "day first"
zone = "Europe/Berlin"
decimals = "comma"
pressure = { column = "PT 1", unit = "bar abs" }
flame = { column = "Relay 1" }
"""
    assert read_plant_text(SMALLEST + table, "a.toml").log == LogWishes(
        columns=(
            ColumnWish(role=Role.PRESSURE, header="PT 1", unit="bar abs"),
            ColumnWish(role=Role.FLAME, header="Relay 1"),
        ),
        time="Uhrzeit",
        date="Datum",
        time_format="day first",
        zone="Europe/Berlin",
        decimals=Decimals.COMMA,
    )


def test_the_table_changes_nothing_of_the_survey() -> None:
    with_log = read_plant_text(SMALLEST + '[log]\nzone = "UTC"\n', "a.toml")
    assert with_log.revision == read_plant_text(SMALLEST, "a.toml").revision


@pytest.mark.parametrize(
    ("line", "found", "do"),
    [
        ('zone = "Berlin"', "no zone", "Europe/Berlin"),
        ('zone = "../../etc/passwd"', "no zone", "Europe/Berlin"),
        ('zone = "UTC+15:00"', "no zone", "UTC+01:00"),
        ('time_format = "dd.mm.yyyy"', "no format of times", "%d.%m.%Y"),
        ('decimals = "dot"', "not one of the choices", "point"),
        ('date = "Day"', "date is given without time", "time of day"),
        ('pressure = { column = "P", unit = "lb/h" }', "no unit of gauge pressure", "psi"),
        ('fuel = { column = "G", unit = "MBtu/h" }', "no unit of mass flow or volume flow or power", "MMBtu/h"),
        ('pressure = "P"', "not what belongs here", "column"),
        ('pressure = { column = "P" }\nlevel = { column = "P" }', "named for two things", "once"),
        ('presure = { column = "P" }', "not a key", "pressure"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_what_to_write(line: str, found: str, do: str) -> None:
    with pytest.raises(BadPlantFile) as caught:
        read_plant_text(f"{SMALLEST}[log]\n{line}\n", "a.toml")
    assert found in caught.value.found
    assert do in caught.value.do
    assert caught.value.line is not None
    assert caught.value.line >= 8
