"""Forty files that people and loggers make: each is read with what was mended counted, or refused in one sentence.

What each must give follows from the text that stands here; the units are NIST SP 811, appendix B.8.
"""

import os
from pathlib import Path

import polars as pl
import pytest

from evenfire.delivery.intake.logs.log import Reason
from evenfire.delivery.intake.logs.reading import read_log
from evenfire.delivery.intake.logs.wishes import Role
from evenfire.errors import BadLog
from tests.delivery.intake.logs.written import (
    HEADER,
    PSI,
    counts,
    lines_of,
    log_text,
    read,
    refused,
    rows,
    times,
    values,
)
from tests.delivery.intake.samples import unprivileged_folder

PLAIN = log_text(rows())


def test_a_plain_log_needs_no_mending(tmp_path: Path) -> None:
    log = read(tmp_path, PLAIN)
    assert (log.rows, log.tallies, log.gap_count) == (20, (), 0)
    assert values(log)[:2] == pytest.approx([100 * PSI, 100.1 * PSI])
    assert values(log, Role.FIRING)[0] == pytest.approx(0.5)
    assert log.sampling.median == 60


@pytest.mark.parametrize(
    ("content", "says"),
    [
        pytest.param("", "empty", id="empty"),
        pytest.param("\n\n  \n", "empty", id="blank lines alone"),
        pytest.param(f"{HEADER}\n", "no rows", id="a header alone"),
        pytest.param("Dear colleague,\nthe boiler was loud again.\nGreetings\n", "no columns", id="a letter"),
        pytest.param(bytes(range(256)) * 40, "binary", id="binary"),
        pytest.param(b"PK\x03\x04" + bytes(200) * 20, "binary", id="a zip"),
        pytest.param(b"PAR1" + b"x" * 500, "damaged", id="no Parquet in spite of its first bytes"),
        pytest.param("a\n" * 200, "no columns", id="one column"),
        pytest.param("Time,Pressure\n" + "2024-01-01 10:00:00,5\n" * 3, "no unit", id="a pressure without a unit"),
        pytest.param("Time,Thing [psi]\n" + "\n".join(r.rsplit(",", 1)[0] for r in rows()), "no column", id="nameless"),
        pytest.param("Steam pressure [psi],Level [%]\n5,40\n6,41\n7,42\n", "no column with times", id="no time"),
        pytest.param("Time,Steam pressure [psi]\n10:00,5\n10:01,6\n", "no column has the day", id="a clock alone"),
        pytest.param(log_text([rows(1)[0]] * 30), "same time", id="one row, thirty times"),
        pytest.param(
            log_text([f"2024-03-05 10:00,{value},50" for value in range(90, 120)]), "same time", id="all times equal"
        ),
        pytest.param(
            log_text([f"2024-03-05 10:{at // 30:02d},{at},50" for at in range(300)]), "coarser", id="seconds cut off"
        ),
        pytest.param(
            "Time,Steam pressure [bar]\n2024-03-05 10:00,8,5\n2024-03-05 10:01,8,6\n", "commas", id="comma twice"
        ),
        pytest.param(
            log_text([*rows(5), "Time,Level [%],Flame", *rows(5, start="2024-03-06 10:00:00")]),
            "another header",
            id="two tables",
        ),
        pytest.param(log_text(rows(20) + ["x" * 30] * 40), "no columns", id="mostly notes"),
        pytest.param(
            "Time,Steam pressure [psi]\n"
            + "\n".join(f"{d:02d}/04/2024 10:00,9\n{d:02d}/04/2024 10:01,9" for d in (3,)),
            "may be read",
            id="a day that may be a month",
        ),
        pytest.param(
            log_text([f"{'13/02' if at % 2 else '02/13'}/2024 10:{at:02d},9,50" for at in range(30)]),
            "no single order",
            id="both orders",
        ),
    ],
)
def test_what_is_no_log_is_refused(tmp_path: Path, content: str | bytes, says: str) -> None:
    assert says in refused(tmp_path, content).found


def test_nul_bytes_are_taken_out_and_a_row_of_them_is_dropped(tmp_path: Path) -> None:
    lines = rows()
    text = log_text([*lines[:5], "\0\0\0\0" + lines[5], "\0" * 50, *lines[6:]])
    log = read(tmp_path, text)
    assert log.rows == 20
    assert counts(log) == {"NUL_BYTES": 2}
    assert lines_of(log, Reason.NUL_BYTES) == [7, 8]


def test_every_kind_of_newline_ends_a_line(tmp_path: Path) -> None:
    lines = rows()
    text = HEADER + "\r\n" + "".join(line + ("\n", "\r\n", "\r", "\n\n")[at % 4] for at, line in enumerate(lines))
    assert read(tmp_path, text).rows == 20
    assert read(tmp_path, log_text(lines, end="\r"), name="old.csv").rows == 20


def test_ragged_rows_are_dropped_and_told_with_their_lines(tmp_path: Path) -> None:
    lines = rows()
    lines[3] += ",7"
    lines[4] = lines[4].rsplit(",", 1)[0]
    log = read(tmp_path, log_text(lines))
    assert log.rows == 18
    assert counts(log) == {"WRONG_COUNT": 2}
    assert lines_of(log, Reason.WRONG_COUNT) == [5, 6]
    assert log.tallies[0].places[0].text == lines[3]


def test_a_second_header_of_the_same_name_is_asked_about(tmp_path: Path) -> None:
    text = log_text(rows(), "Time,Steam pressure [psi],Steam pressure [psi]")
    assert "may each be the pressure" in refused(tmp_path, text).found


def test_a_header_in_the_middle_is_left_out(tmp_path: Path) -> None:
    lines = rows()
    log = read(tmp_path, log_text([*lines[:7], HEADER, *lines[7:]]))
    assert (log.rows, counts(log), lines_of(log, Reason.HEADER_AGAIN)) == (20, {"HEADER_AGAIN": 1}, [9])


@pytest.mark.parametrize("text", ["", "NaN", "Bad", "---", "-999", "-9999", "n/a", "#N/A", "null", "inf", "Bad Input"])
def test_a_stand_in_for_a_missing_value_is_no_value(tmp_path: Path, text: str) -> None:
    lines = rows()
    lines[4] = f"{lines[4].split(',')[0]},{text},50"
    log = read(tmp_path, log_text(lines))
    assert log.rows == 20
    assert values(log)[4] is None
    assert sum(value is None for value in values(log)) == 1
    assert counts(log) == {"STAND_IN" if text.startswith("-9") else "MISSING": 1}
    assert [place.line for place in log.tallies[0].places] == [6]


def test_a_log_of_stand_ins_alone_is_read_and_has_no_value(tmp_path: Path) -> None:
    log = read(tmp_path, log_text([f"{line.split(',')[0]},-999.9,---" for line in rows()]))
    pressure = log.column(Role.PRESSURE)
    assert pressure is not None
    assert pressure.values == 0
    assert counts(log) == {"STAND_IN": 20, "MISSING": 20}


def test_two_formats_of_time_in_one_file_are_both_read(tmp_path: Path) -> None:
    lines = rows(14)
    others = [f"05.03.2024 10:{at}:00,9,50" for at in range(14, 20)]
    log = read(tmp_path, log_text([*lines, *others]))
    assert (log.rows, counts(log)) == (20, {"OTHER_FORMAT": 6})
    assert times(log)[-1] == "2024-03-05 10:19:00"


def test_quoted_decimal_commas_between_commas_are_read(tmp_path: Path) -> None:
    lines = [f'"05.03.2024 10:{at:02d}","{8 + at},5","1.0{at:02d},5"' for at in range(20)]
    log = read(tmp_path, log_text(lines, "Zeit,Kesseldruck [bar],Dampfmenge [kg/h]"))
    assert values(log)[:2] == pytest.approx([8.5e5, 9.5e5])
    assert values(log, Role.STEAM_FLOW)[0] == pytest.approx(1000.5 / 3600)


def test_marks_of_thousands_are_no_decimals(tmp_path: Path) -> None:
    lines = [f'2024-03-05 10:{at:02d},"1,{at:03d}.5"' for at in range(20)]
    log = read(tmp_path, log_text(lines, "Time,Steam flow [lb/h]"))
    assert values(log, Role.STEAM_FLOW)[2] == pytest.approx(1002.5 * 1.259979e-4, rel=1e-6)


def test_a_quotation_mark_that_is_never_closed_costs_one_row(tmp_path: Path) -> None:
    lines = rows()
    lines[3] = lines[3].replace(",50", ',"50')
    log = read(tmp_path, log_text(lines))
    assert (log.rows, counts(log), lines_of(log, Reason.UNCLOSED_QUOTE)) == (19, {"UNCLOSED_QUOTE": 1}, [5])


def test_nested_quotation_marks_do_not_blow_up(tmp_path: Path) -> None:
    lines = rows()
    lines[3] = '"' * 20_000 + lines[3]
    lines[4] = '"' + '""' * 50_000 + '",1,2'
    log = read(tmp_path, log_text(lines))
    assert log.rows == 19
    assert log.count([Reason.WRONG_COUNT, Reason.UNCLOSED_QUOTE, Reason.NO_TIME]) == 1


def test_ten_thousand_columns_are_read_for_the_two_that_matter(tmp_path: Path) -> None:
    header = HEADER + "," + ",".join(f"tag {at}" for at in range(9_997))
    log = read(tmp_path, log_text([line + ",1" * 9_997 for line in rows()], header))
    assert log.rows == 20
    assert {column.role for column in log.columns} == {Role.PRESSURE, Role.FIRING}


def test_more_columns_than_any_log_has_are_refused(tmp_path: Path) -> None:
    header = HEADER + "," + ",".join(f"t{at}" for at in range(20_100))
    assert "columns" in refused(tmp_path, log_text([line + "," * 20_100 for line in rows()], header)).found


def test_a_line_that_is_too_long_is_left_out(tmp_path: Path) -> None:
    lines = rows()
    log = read(tmp_path, log_text([*lines[:4], "9" * 18_000_000, *lines[4:]]))
    assert (log.rows, counts(log), lines_of(log, Reason.TOO_LONG)) == (20, {"TOO_LONG": 1}, [6])


def test_a_first_line_without_end_is_refused(tmp_path: Path) -> None:
    assert refused(tmp_path, b"x" * 3_000_000).found


def test_shuffled_rows_are_sorted(tmp_path: Path) -> None:
    lines = rows(60)
    mixed = [lines[(17 * at) % 60] for at in range(60)]
    log = read(tmp_path, log_text(mixed))
    assert times(log) == sorted(times(log))
    assert log.rows == 60
    assert values(log) == sorted(values(log), key=lambda value: value or 0.0)
    assert counts(log)["OUT_OF_ORDER"] > 0


def test_repeated_rows_are_left_out_and_contradicting_ones_too(tmp_path: Path) -> None:
    lines = rows()
    other = lines[9].replace("100.9", "77.0")
    log = read(tmp_path, log_text([*lines[:10], lines[9], other, *lines[10:]]))
    assert (log.rows, counts(log)) == (20, {"REPEATED_ROW": 1, "SAME_TIME": 1})
    assert values(log)[9] == pytest.approx(100.9 * PSI)


def test_a_damaged_byte_costs_no_row(tmp_path: Path) -> None:
    content = log_text(rows(4000, step=1)).encode() + b"2024-03-06 10:00:00,99.5,50\xff\n"
    content = content + log_text(rows(3, start="2024-03-06 11:00:00")).split("\n", 1)[1].encode()
    log = read(tmp_path, b"\xef\xbb\xbf" + content)
    assert log.rows == 4004
    assert counts(log) == {"BAD_BYTES": 1, "NO_NUMBER": 1}


def test_values_that_cannot_be_are_no_values(tmp_path: Path) -> None:
    lines = rows()
    lines[2] = f"{lines[2].split(',')[0]},123456,50"
    log = read(tmp_path, log_text(lines))
    assert counts(log) == {"IMPOSSIBLE": 1}


def test_preamble_and_a_row_of_units_are_passed_over(tmp_path: Path) -> None:
    head = ["Boiler house log", "Export of 5 March 2024", "", "Time;Steam pressure;Steam flow", ";bar;t/h"]
    lines = [f"05.03.2024 10:{at:02d};8,{at};2,5" for at in range(20)]
    log = read(tmp_path, "\n".join([*head, *lines]))
    assert values(log)[1] == pytest.approx(8.1e5)
    assert values(log, Role.STEAM_FLOW)[0] == pytest.approx(2500 / 3600)


def test_parquet_of_every_type_is_read_or_refused(tmp_path: Path) -> None:
    stamps = pl.datetime_range(pl.datetime(2024, 3, 5), pl.datetime(2024, 3, 5, 0, 19), "1m", eager=True)
    good = pl.DataFrame({"Time": stamps, "Steam pressure [psi]": ["100", "bad", *["101.5"] * 18], "Flame": [True] * 20})
    path = tmp_path / "a.parquet"
    good.write_parquet(path)
    log = read_log([path])
    assert values(log)[2] == pytest.approx(101.5 * PSI)
    assert values(log)[1] is None
    assert values(log, Role.FLAME) == [1.0] * 20
    wrong = good.with_columns(pl.lit("x").alias("Time"))
    wrong.write_parquet(tmp_path / "b.parquet")
    with pytest.raises(BadLog, match="times"):
        read_log([tmp_path / "b.parquet"])
    pl.DataFrame({"Time": [[1], [2]]}).write_parquet(tmp_path / "c.parquet")
    with pytest.raises(BadLog, match="flat"):
        read_log([tmp_path / "c.parquet"])


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_truncated_parquet_is_refused(tmp_path: Path, share: float) -> None:
    stamps = pl.datetime_range(pl.datetime(2024, 3, 5), pl.datetime(2024, 3, 5, 1), "1s", eager=True)
    whole = tmp_path / "whole.parquet"
    pl.DataFrame({"Time": stamps, "Steam pressure [psi]": [100.0] * len(stamps)}).write_parquet(whole)
    content = whole.read_bytes()
    assert "damaged" in refused(tmp_path, content[: int(share * len(content))], name="cut.parquet").found


def test_a_folder_with_links_in_a_circle_is_read_for_its_logs(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(log_text(rows()))
    (tmp_path / "b.csv").write_text(log_text(rows(start="2024-03-05 10:10:00")))
    (tmp_path / "c.csv").symlink_to(tmp_path / "d.csv")
    (tmp_path / "d.csv").symlink_to(tmp_path / "c.csv")
    (tmp_path / "inner").symlink_to(tmp_path)
    log = read_log([tmp_path])
    assert len(log.files) == 2
    assert log.rows == 30


def test_a_folder_without_logs_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.md").write_text("no log")
    with pytest.raises(BadLog, match="no log is in this folder"):
        read_log([tmp_path])


@pytest.mark.parametrize("name", ["missing.csv", "a\0b.csv"])
def test_a_file_that_is_not_there_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(BadLog):
        read_log([tmp_path / name])


def test_a_pipe_is_no_log(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(BadLog, match="plain file"):
        read_log([tmp_path / "pipe.csv"])


def test_a_file_that_may_not_be_read_is_refused() -> None:
    with unprivileged_folder() as folder:
        path = folder / "log.csv"
        path.write_text(PLAIN)
        path.chmod(0)
        with pytest.raises(BadLog, match="permission denied"):
            read_log([path])
