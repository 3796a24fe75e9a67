"""``evenfire read``: a log of a boiler, as far as it is read today."""

from pathlib import Path
from typing import Annotated

import typer

from evenfire.delivery.cli.options import terminal_width


def read(
    log: Annotated[list[Path], typer.Argument(help="A log, several that are one, or a folder.", show_default=False)],
    plant: Annotated[
        Path | None, typer.Option("--plant", help="A plant file; its [log] says which column is what.", metavar="FILE")
    ] = None,
) -> None:
    """Read a log, CSV or Parquet of any layout: which column is what, and what was left out. No diagnosis yet."""
    from evenfire.delivery.acts import reading_log
    from evenfire.delivery.report.log_text import log_text

    typer.echo(log_text(reading_log.read(log, plant), terminal_width()))
