"""Drawing the history of a boiler's limits into a file."""

from pathlib import Path

from evenfire.delivery.acts.files import write_bytes_whole
from evenfire.delivery.report.history_answer import History
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest

DRAWINGS = (".svg", ".png", ".pdf")


def require_drawing(path: Path) -> None:
    """Raise :class:`~evenfire.errors.BadRequest` for a kind of drawing that is not made."""
    if path.suffix.casefold() not in DRAWINGS:
        raise BadRequest(f"--plot {str(path)!r} is no kind of drawing; accepted are {', '.join(DRAWINGS)}.")


def draw(history: History, path: Path, system: UnitSystem, width: int) -> bool:
    """Draw it into a file, ``width`` pixels wide; whether there was anything to draw."""
    from evenfire.delivery.figures.history_drawing import draw_history
    from evenfire.delivery.figures.trace_file import trace_bytes
    from evenfire.delivery.report.history_sheet import lay_out_history

    sheet = lay_out_history(history, system)
    if sheet is None:
        return False
    write_bytes_whole(path, trace_bytes(draw_history(sheet, width), path.suffix.casefold()))
    return True
