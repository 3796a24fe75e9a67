"""Times in every way in which loggers and spreadsheets write them; what could be read in two ways is decided or asked.

The expected times are written by hand. Clock changes: Directive 2000/84/EC (last Sundays of March and October, 01:00
UTC) and 15 U.S.C. 260a (second Sunday of March, first of November, 02:00), both from memory; Excel's day 45,356 is
2024-03-05 (common practice, no source: day 1 is 1900-01-01, with the leap day that 1900 did not have).
"""

from collections.abc import Callable
from pathlib import Path

import pytest

from evenfire.delivery.intake.logs.log import Clock, Reason
from evenfire.delivery.intake.logs.wishes import LogWishes
from tests.delivery.intake.logs.written import counts, log_text, read, refused, times

HEADER = "Time,Steam pressure [psi]"


def table(stamps: list[str], header: str = HEADER, mark: str = ",") -> str:
    """A log with a row for each of these texts."""
    return log_text([f"{stamp}{mark}{100 + at}" for at, stamp in enumerate(stamps)], header.replace(",", mark))


def minutes(form: Callable[[int], str], count: int = 20) -> list[str]:
    return [form(minute) for minute in range(count)]


@pytest.mark.parametrize(
    "form",
    [
        pytest.param(lambda m: f"2024-03-25 10:{m:02d}:00", id="iso with a blank"),
        pytest.param(lambda m: f"2024-03-25T10:{m:02d}:00.000", id="iso with T and fractions"),
        pytest.param(lambda m: f"2024/03/25 10:{m:02d}", id="strokes"),
        pytest.param(lambda m: f"25.03.2024 10:{m:02d}", id="full stops"),
        pytest.param(lambda m: f"25.3.24 10:{m:02d}:00", id="short year"),
        pytest.param(lambda m: f"25/03/2024 10:{m}", id="day first, short minutes"),
        pytest.param(lambda m: f"3/25/2024 10:{m:02d}:00 AM", id="month first, twelve hours"),
        pytest.param(lambda m: f"03/25/2024 10:{m:02d} a.m.", id="a.m."),
        pytest.param(lambda m: f"25-Mar-2024 10:{m:02d}:00", id="month by name"),
        pytest.param(lambda m: f"20240325 10{m:02d}00", id="compact"),
        pytest.param(lambda m: f"2024-03-25T11:{m:02d}:00+01:00", id="an hour ahead"),
        pytest.param(lambda m: f"2024-03-25T10:{m:02d}:00Z", id="Z"),
        pytest.param(lambda m: f"2024-03-25 11:{m:02d}:00 CET", id="CET"),
        pytest.param(lambda m: f"{1_711_360_800 + 60 * m}", id="seconds since 1970"),
        pytest.param(lambda m: f"{1_711_360_800_000 + 60_000 * m}", id="milliseconds since 1970"),
        pytest.param(lambda m: f"{45_376 + (600 + m) / 1440:.7f}", id="days of a spreadsheet"),
    ],
)
def test_a_time_is_read_as_it_is_written(tmp_path: Path, form: Callable[[int], str]) -> None:
    log = read(tmp_path, table(minutes(form)))
    assert log.rows == 20
    assert times(log)[0] == "2024-03-25 10:00:00"
    assert times(log)[-1] == "2024-03-25 10:19:00"
    assert not log.tallies


def test_day_and_time_of_day_may_stand_apart(tmp_path: Path) -> None:
    lines = [f"25.03.2024;10:{minute:02d};8,{minute}" for minute in range(20)]
    log = read(tmp_path, log_text(lines, "Datum;Uhrzeit;Kesseldruck [bar]"))
    assert times(log)[1] == "2024-03-25 10:01:00"


@pytest.mark.parametrize("header", ["t [s]", "Time [s]", "Elapsed [s]"])
def test_seconds_since_an_unknown_beginning_are_told_as_such(tmp_path: Path, header: str) -> None:
    log = read(tmp_path, table([str(second) for second in range(20)], f"{header},Steam pressure [psi]"))
    assert log.clock is Clock.ELAPSED
    assert log.sampling.median == 1
    assert "does not say" in log.zone


def test_midnight_without_a_time_of_day_is_midnight(tmp_path: Path) -> None:
    stamps = ["25.03.2024 23:58", "25.03.2024 23:59", "26.03.2024", "26.03.2024 00:01", "26.03.2024 00:02"]
    log = read(tmp_path, table(stamps))
    assert times(log)[2] == "2024-03-26 00:00:00"
    assert counts(log) == {"OTHER_FORMAT": 1}


def test_one_midnight_decides_whether_the_day_or_the_month_stands_first(tmp_path: Path) -> None:
    night = [f"{day} {clock}" for day, clock in (("D1", "23:58"), ("D1", "23:59"), ("D2", "00:00"), ("D2", "00:01"))]
    day_first = [text.replace("D1", "03/04/2024").replace("D2", "04/04/2024") for text in night]
    month_first = [text.replace("D1", "04/03/2024").replace("D2", "04/04/2024") for text in night]
    assert times(read(tmp_path, table(day_first), name="a.csv"))[0] == "2024-04-03 23:58:00"
    assert times(read(tmp_path, table(month_first), name="b.csv"))[0] == "2024-04-03 23:58:00"


def test_days_beyond_the_twelfth_decide_wherever_they_stand(tmp_path: Path) -> None:
    stamps = [f"{1 + at // 1440:02d}/02/2024 {at // 60 % 24:02d}:{at % 60:02d}" for at in range(14 * 1440)]
    log = read(tmp_path, table(stamps))
    assert (times(log)[0], times(log)[-1]) == ("2024-02-01 00:00:00", "2024-02-14 23:59:00")


def test_a_single_day_that_may_be_a_month_is_asked_about_and_the_plant_file_answers(tmp_path: Path) -> None:
    text = table(minutes(lambda m: f"03/04/2024 10:{m:02d}"))
    error = refused(tmp_path, text)
    assert "day first or month first" in error.found
    assert 'time_format = "day first"' in error.do
    assert times(read(tmp_path, text, LogWishes(time_format="day first")))[0] == "2024-04-03 10:00:00"
    assert times(read(tmp_path, text, LogWishes(time_format="month first")))[0] == "2024-03-04 10:00:00"
    assert times(read(tmp_path, text, LogWishes(time_format="%d/%m/%Y %H:%M")))[0] == "2024-04-03 10:00:00"


def test_the_third_of_march_may_be_read_either_way(tmp_path: Path) -> None:
    assert times(read(tmp_path, table(minutes(lambda m: f"03/03/2024 10:{m:02d}"))))[0] == "2024-03-03 10:00:00"


def night(begin: int, skips: tuple[int, int] | None = None, again: tuple[int, int] | None = None) -> list[str]:
    """Clock times of a night, ten minutes apart from midnight on: an hour that is skipped, or one that comes twice."""
    shown = [f"{at // 60:02d}:{at % 60:02d}" for at in range(0, 300, 10)]
    if skips is not None:
        shown = [text for text in shown if not skips[0] <= int(text[:2]) < skips[1]]
    if again is not None:
        behind = shown.index(f"{again[1]:02d}:00")
        shown[behind:behind] = [text for text in shown if again[0] <= int(text[:2]) < again[1]]
    return [f"{begin} {text}" for text in shown]


@pytest.mark.parametrize(
    ("zone", "day", "skips", "again", "first"),
    [
        ("Europe/Berlin", "2024-03-31", (2, 3), None, "2024-03-30 23:00:00"),
        ("Europe/Berlin", "2024-10-27", None, (2, 3), "2024-10-26 22:00:00"),
        ("America/Chicago", "2024-03-10", (2, 3), None, "2024-03-10 06:00:00"),
        ("America/Chicago", "2024-11-03", None, (1, 2), "2024-11-03 05:00:00"),
    ],
)
def test_a_night_in_which_the_clock_is_set_runs_through_with_a_zone_and_without(
    tmp_path: Path, zone: str, day: str, skips: tuple[int, int] | None, again: tuple[int, int] | None, first: str
) -> None:
    shown = night(0, skips, again)
    stamps = [text.replace("0 ", f"{day} ", 1) for text in shown]
    with_zone = read(tmp_path, table(stamps), LogWishes(zone=zone), name="a.csv")
    assert with_zone.rows == len(stamps)
    assert times(with_zone)[0] == first
    assert with_zone.sampling.commonest == ((600.0, len(stamps) - 1),)
    assert with_zone.clock is Clock.UTC
    without = read(tmp_path, table(stamps), name="b.csv")
    assert without.rows == len(stamps)
    assert without.sampling.commonest == ((600.0, len(stamps) - 1),)
    assert without.clock is Clock.LOCAL
    assert without.count([Reason.CLOCK_CHANGED]) > 0
    assert with_zone.count([Reason.CLOCK_CHANGED]) == 0


def test_an_hour_that_is_missing_on_another_night_is_a_gap(tmp_path: Path) -> None:
    stamps = [text.replace("0 ", "2024-05-07 ", 1) for text in night(0, (2, 3))]
    log = read(tmp_path, table(stamps))
    assert log.count([Reason.CLOCK_CHANGED]) == 0
    assert (log.gap_count, log.gaps[0].lasting) == (1, 4200)


def test_a_clock_that_was_never_set_is_told_from_the_hour_that_its_zone_skips(tmp_path: Path) -> None:
    stamps = [text.replace("0 ", "2024-03-31 ", 1) for text in night(0)]
    error = refused(tmp_path, table(stamps), LogWishes(zone="Europe/Berlin"))
    assert "skips" in error.found
    assert 'zone = "UTC+01:00"' in error.do
    log = read(tmp_path, table(stamps), LogWishes(zone="UTC+01:00"))
    assert times(log)[0] == "2024-03-30 23:00:00"
    assert log.rows == len(stamps)


def test_shuffled_rows_of_the_hour_that_comes_twice_are_left_out(tmp_path: Path) -> None:
    stamps = [text.replace("0 ", "2024-10-27 ", 1) for text in night(0, None, (2, 3))]
    mixed = [stamps[(at * 7) % len(stamps)] for at in range(len(stamps))]
    log = read(tmp_path, table(mixed), LogWishes(zone="Europe/Berlin"))
    assert log.count([Reason.TWICE_ON_THE_CLOCK]) == 12
    assert log.rows == len(stamps) - 12


def test_gaps_and_mixed_sampling_are_told(tmp_path: Path) -> None:
    seconds = [*range(0, 600, 10), *range(4000, 4600, 60), *range(4600, 4700, 10)]
    stamps = [f"2024-03-25 {10 + s // 3600}:{s // 60 % 60:02d}:{s % 60:02d}" for s in seconds]
    log = read(tmp_path, table(stamps))
    assert log.sampling.median == 10
    assert log.sampling.is_mixed
    assert log.gaps[0].lasting == 4000 - 590
    assert log.gap_count == 11, "one long gap, and ten steps of a minute among those of ten seconds"
