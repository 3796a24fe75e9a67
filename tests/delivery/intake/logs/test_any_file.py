"""Whatever bytes a file has, it is read or refused in one sentence: no fault of the program, no endless loop."""

import json
import resource
import tempfile
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.intake.logs.answering import READ, REFUSED, answer
from evenfire.delivery.intake.logs.log import Reason
from evenfire.delivery.intake.logs.reading import read_log
from tests.delivery.intake.logs.written import HEADER, lines_of, log_text, read, refused, rows

NO_WISHES: dict[str, object] = {
    "columns": [],
    "time": None,
    "date": None,
    "time_format": None,
    "zone": None,
    "decimals": None,
}
CELLS = st.sampled_from(
    [
        *("", "1", "-999", "1,5", "1.5", "1.234,5", "1e400", "-", "NaN", '"', '""', '"a', "ON", "2024-03-05 10:00:00"),
        *("05/03/2024", "31/02/2024 25:61", "10:00", "9" * 30, "\0", "\ufeff", "=1+1", "Zeit", "Dampfdruck [bar]", " "),
    ]
)
LINES = st.one_of(
    st.lists(CELLS, max_size=5).map(",".join),
    st.lists(CELLS, max_size=4).map(";".join),
    st.sampled_from([*rows(3), HEADER]),
)
ENDS = st.sampled_from(["\n", "\r\n", "\r", "\n\n"])


def answered(content: bytes, name: str = "log.csv") -> tuple[int, dict[str, object]]:
    """What is said of a file, and that it is whole."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(content)
        work = Path(folder) / "work"
        work.mkdir()
        code, told = answer({"files": [(str(path), name)], "wishes": NO_WISHES, "folder": str(work)})
        said: dict[str, object] = json.loads(told)
        assert code in {READ, REFUSED}
        assert "Please report" not in str(said.get("do", "")), said
        if code == READ:
            stamps = pl.read_parquet(work / "log.parquet").get_column("time")
            assert stamps.len() == said["rows"]
            assert stamps.is_sorted()
            assert stamps.n_unique() == stamps.len()
        else:
            assert str(said["found"])
            assert str(said["found"]).isprintable()
            assert str(said["do"])
        return code, said


@given(st.lists(st.tuples(LINES, ENDS), max_size=30), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
def test_any_table_is_read_or_refused(parts: list[tuple[str, str]], encoding: str) -> None:
    text = "".join(line + end for line, end in parts)
    answered(text.encode(encoding, errors="replace"))


@given(st.binary(max_size=2000))
def test_any_bytes_are_refused_or_read(content: bytes) -> None:
    answered(content)
    answered(b"PAR1" + content + b"PAR1", "log.parquet")


@given(st.data())
def test_a_log_that_is_damaged_anywhere_is_read_or_refused(data: st.DataObject) -> None:
    content = bytearray(log_text(rows(40)).encode())
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(content) - 1))
        content[at : at + data.draw(st.integers(0, 5))] = data.draw(st.binary(max_size=6))
    answered(bytes(content))


@given(st.data())
def test_parquet_that_is_damaged_anywhere_is_read_or_refused(data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "whole.parquet"
        stamps = pl.datetime_range(pl.datetime(2024, 3, 5), pl.datetime(2024, 3, 5, 0, 5), "1s", eager=True)
        pl.DataFrame({"Time": stamps, "Pressure [psi]": [100.0] * len(stamps)}).write_parquet(path)
        content = bytearray(path.read_bytes())
    at = data.draw(st.integers(0, len(content) - 1))
    content[at] = data.draw(st.integers(0, 255))
    answered(bytes(content), "log.parquet")


@pytest.mark.soak
def test_one_line_of_a_hundred_megabytes_is_left_out(tmp_path: Path) -> None:
    lines = rows()
    path = tmp_path / "log.csv"
    with path.open("w") as file:
        file.write(log_text(lines[:5]))
        for _ in range(100):
            file.write("1,2;3" * 200_000)
        file.write("\n" + "\n".join(lines[5:]) + "\n")
    log = read_log([path])
    assert (log.rows, log.count([Reason.TOO_LONG])) == (20, 1)
    assert refused(tmp_path, b"7," * 50_000_000, name="one.csv").found


@pytest.mark.soak
def test_a_huge_row_group_is_read_within_the_limit(tmp_path: Path) -> None:
    count = 20_000_000
    frame = pl.DataFrame({"Time": pl.int_range(1_700_000_000, 1_700_000_000 + count, eager=True)})
    frame = frame.with_columns((pl.col("Time") % 7 + 100).cast(pl.Float64).alias("Steam pressure [psi]"))
    path = tmp_path / "log.parquet"
    frame.write_parquet(path, row_group_size=count)
    assert read_log([path]).rows == count


@pytest.mark.soak
def test_millions_of_shuffled_rows_take_less_than_a_gigabyte(tmp_path: Path) -> None:
    count = 4_000_000
    order = [(at * 1_000_003) % count for at in range(count)]
    path = tmp_path / "log.csv"
    with path.open("w") as file:
        file.write("Time,Steam pressure [psi],Firing rate [%]\n")
        for at in order:
            file.write(f"{1_700_000_000 + at},{100 + at % 10},50\n")
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    log = read_log([path])
    assert log.rows == count
    assert log.sampling.commonest == ((1.0, count - 1),)
    assert max(before, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss) < 1_000_000, "[kB]"


def test_a_log_of_two_blocks_has_the_lines_of_its_file(tmp_path: Path) -> None:
    lines = rows(700_000, step=1)
    lines[650_000] = "no row"
    log = read(tmp_path, log_text(lines))
    assert log.rows == 699_999
    assert lines_of(log, Reason.WRONG_COUNT) == [650_002]
