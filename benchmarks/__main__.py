"""Run every benchmark and write ``docs/reference/speed.md``."""

import compileall
import platform
from pathlib import Path

import evenfire
from benchmarks import compiling, day, settling, starting, tolerance, web

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "speed.md"
HEAD = """# Speed

Ratios against a reference measured in the same run, interleaved, median of seven (of three where something is
compiled), with compiled bytecode. Written by `make bench`; never a test, because a machine has other work too. The
times are there to show the scale.

| work | reference | ratio | at most | | times |
|---|---|---|---|---|---|
"""


def main() -> None:
    """Measure, print and write."""
    compileall.compile_dir(str(Path(evenfire.__file__).parent), quiet=2)
    of_the_day = day.measured()
    rows = [*starting.rows(), *of_the_day.rows, *settling.rows(), *tolerance.rows(), *web.rows(), *compiling.rows()]
    table = "\n".join(row.markdown() for row in rows)
    where = f"\n\nMeasured with Python {platform.python_version()}, evenfire {evenfire.__version__}.\n"
    PAGE.write_text(HEAD + table + where + of_the_day.page, encoding="utf-8")
    print(table)
    print(of_the_day.page)


if __name__ == "__main__":
    main()
