"""Small logs that the tests write, and the reading of them."""

import json
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pydantic import TypeAdapter

from evenfire.delivery.intake.logs.answering import REFUSED, answer
from evenfire.delivery.intake.logs.log import Log, Reason
from evenfire.delivery.intake.logs.wishes import ColumnWish, LogWishes, Role
from evenfire.errors import BadLog

HEADER = "Time,Steam pressure [psi],Firing rate [%]"
PSI = 6894.757
"""NIST SP 811, appendix B.8 [Pa]."""
LB_H = 1.259979e-4
"""The same [kg/s]."""


def rows(count: int = 20, *, start: str = "2024-03-05 10:00:00", step: int = 60) -> list[str]:
    """Rows of a plain log, a minute apart: 100 psi and rising, 50 %."""
    first = int(datetime.fromisoformat(start).replace(tzinfo=UTC).timestamp())
    return [
        f"{datetime.fromtimestamp(first + step * at, tz=UTC):%Y-%m-%d %H:%M:%S},{100 + at / 10:.1f},50"
        for at in range(count)
    ]


def log_text(lines: Sequence[str], header: str = HEADER, end: str = "\n") -> str:
    return end.join([header, *lines]) + end


def read(path: Path, content: str | bytes, wishes: LogWishes | None = None, name: str = "log.csv") -> Log:
    """The log of one file with this content."""
    file = path / name
    file.write_bytes(content if isinstance(content, bytes) else content.encode())
    before = file.read_bytes()
    work = Path(tempfile.mkdtemp(dir=path))
    said = TypeAdapter(LogWishes).dump_python(wishes or LogWishes(), mode="json")
    # In this process, where it takes a twentieth of the time; `read_log` and its process have tests of their own.
    code, told = answer({"files": [(str(file), str(file))], "wishes": said, "folder": str(work)})
    assert file.read_bytes() == before, "the original was touched"
    if code == REFUSED:
        error = json.loads(told)
        raise BadLog(file=error["file"], line=error["line"], found=error["found"], do=error["do"])
    return TypeAdapter(Log).validate_json(told)


def refused(path: Path, content: str | bytes, wishes: LogWishes | None = None, name: str = "log.csv") -> BadLog:
    """The one error of one file with this content."""
    with pytest.raises(BadLog) as caught:
        read(path, content, wishes, name)
    error = caught.value
    assert str(error).isprintable()
    assert error.found
    assert error.do.endswith((".", "}", '"'))
    assert "Please report" not in error.do, error.found
    assert len(str(error)) < 700
    return error


def counts(log: Log) -> dict[str, int]:
    """How often each thing happened, by the name of its reason."""
    found: dict[str, int] = {}
    for tally in log.tallies:
        found[tally.reason.name] = found.get(tally.reason.name, 0) + tally.count
    return found


def lines_of(log: Log, reason: Reason) -> list[int | None]:
    """Lines of the first examples of one thing."""
    return [place.line for tally in log.tallies if tally.reason is reason for place in tally.places]


def times(log: Log) -> list[str]:
    """Every time, as text in UTC."""
    stamps = log.frame().collect().get_column("time").to_list()
    return [f"{each:%Y-%m-%d %H:%M:%S}" for each in stamps]


def values(log: Log, role: Role = Role.PRESSURE) -> list[float | None]:
    """Every value of a column [SI]."""
    found: list[float | None] = log.frame().collect().get_column(role.value).to_list()
    return found


def wish(role: Role, header: str, unit: str | None = None) -> LogWishes:
    """What a plant file says of one column."""
    return LogWishes(columns=(ColumnWish(role=role, header=header, unit=unit),))
