"""``evenfire due`` and ``evenfire history``: what is to be done when, and how controls wandered."""

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from evenfire.delivery.cli.options import StorePlace, Units, terminal_width
from evenfire.delivery.cli.papers import OnPaper
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest
from evenfire.judgement.trip_test.intervals import Whose

CSV, ICAL, PDF = ".csv", ".ics", ".pdf"

ItemName = Annotated[
    str,
    typer.Argument(
        help='What comes due: "high limit", "safety valve by hand", "combustion"..., or a name of your own.',
        show_default=False,
    ),
]
StoredBoiler = Annotated[str, typer.Argument(help="A boiler of the store: site/name, or its name.", show_default=False)]
WhoseRule = Annotated[
    str | None, typer.Option("--whose", help="Who wants it: jurisdiction, insurer, maker or owner.", metavar="WHO")
]


def due(
    store: StorePlace = None,
    boiler: Annotated[str | None, typer.Option(help="Only this boiler: site/name, or its name.")] = None,
    until: Annotated[str | None, typer.Option(help="Nothing that comes due after this day, 2027-06-30.")] = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", help="Write it as a table for a spreadsheet, a .csv file.")
    ] = None,
    ical: Annotated[Path | None, typer.Option("--ical", help="Write it as a calendar, an .ics file.")] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write it as a paper, a .pdf file.")] = None,
    paper: OnPaper = None,
    rounds: Annotated[
        bool, typer.Option(help="With what whoever attends the boiler does once a month or more often.")
    ] = True,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
) -> None:
    """List what comes due at every boiler of the store and of the gauges in the bag, overdue first.

    The strictest of code, jurisdiction, insurer, maker, owner and drift counts. Ends with 0 whatever is due.
    """
    from evenfire.delivery.acts import due as acts
    from evenfire.delivery.acts import files, storing
    from evenfire.delivery.report import due_csv, due_json, due_text

    _require_suffix(csv, "--csv", CSV)
    _require_suffix(ical, "--ical", ICAL)
    _require_suffix(pdf, "--pdf", PDF)
    with storing.opened(store) as kept:
        found = acts.due_list(kept, boiler, None if until is None else day_of(until), rounds=rounds)
    if csv is not None:
        files.write_bytes_whole(csv, due_csv.due_csv(found))
    if ical is not None:
        from evenfire.delivery.report.due_ical import due_ical

        files.write_bytes_whole(ical, due_ical(found))
    if pdf is not None:
        from evenfire.delivery.papers.content import PaperSize
        from evenfire.delivery.papers.due_content import due_content
        from evenfire.delivery.papers.printing import printed

        size = PaperSize.LETTER if paper is None else PaperSize(paper.value)
        files.write_bytes_whole(pdf, printed(due_content(found), size))
    typer.echo(due_json.due_json(found) if json else due_text.due_text(found, terminal_width()))
    for written in (csv, ical, pdf):
        if written is not None:
            typer.echo(f"Wrote {written}.", err=True)


def due_item(
    boiler: StoredBoiler,
    item: ItemName,
    every: Annotated[
        str | None, typer.Option(help='How often: "6 months", "1 year", "30 days".', metavar="INTERVAL")
    ] = None,
    whose: WhoseRule = None,
    last: Annotated[str | None, typer.Option(help="When it was done last, 2026-09-14.", metavar="DAY")] = None,
    store: StorePlace = None,
) -> None:
    """Set something to come due at a boiler, whose rule it is, and when it was done last."""
    from evenfire.delivery.acts import due_asks, storing
    from evenfire.delivery.report.due_text import item_text

    with storing.opened(store) as kept:
        done = due_asks.set_item(
            kept, boiler, item, every=every, whose=_whose(whose), last=None if last is None else day_of(last)
        )
    typer.echo(item_text(done, terminal_width()))


def end_item(boiler: StoredBoiler, item: ItemName, whose: WhoseRule = None, store: StorePlace = None) -> None:
    """End what was set by hand to come due at a boiler; what the codes want stays."""
    from evenfire.delivery.acts import due_asks, storing
    from evenfire.delivery.report.due_text import ended_text

    with storing.opened(store) as kept:
        done = due_asks.end_item(kept, boiler, item, whose=_whose(whose))
    typer.echo(ended_text(done, terminal_width()))


def day_of(text: str) -> date:
    """A day as typed.

    Raises
    ------
    BadRequest
        It is none.
    """
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadRequest(f"{text!r} is no day; write it like 2026-09-14.") from None


def _whose(text: str | None) -> Whose | None:
    if text is None:
        return None
    known = (Whose.JURISDICTION, Whose.INSURER, Whose.MAKER, Whose.OWNER)
    found = next((each for each in known if each.value == text.strip().lower()), None)
    if found is None:
        raise BadRequest(f"--whose {text!r} is none of {', '.join(each.value for each in known)}.")
    return found


def _require_suffix(path: Path | None, option: str, suffix: str) -> None:
    if path is not None and path.suffix.casefold() != suffix:
        raise BadRequest(f"{option} {str(path)!r}: name a file that ends in {suffix}.")


def history(
    boiler: StoredBoiler,
    store: StorePlace = None,
    control: Annotated[
        str | None, typer.Option(help="Only this one: high_limit or operating_limit.", metavar="CONTROL")
    ] = None,
    plot: Annotated[Path | None, typer.Option(help="Draw it: an .svg, .png or .pdf file.")] = None,
    width: Annotated[int, typer.Option(help="Of the drawing, in pixels; 360 fits a phone.", min=320, max=2000)] = 720,
    units: Units = UnitSystem.US,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
) -> None:
    """Show where the limits of a boiler acted at each signed test, how they drift, and when to test them again.

    Ends with 0 when every limit was shown to act inside its band, 1 when one failed its last test or may act outside
    its band, 4 when one could not be judged, 5 when the records are not what was signed.
    """
    from evenfire.delivery.acts import drawing_history, storing
    from evenfire.delivery.acts import history as acts

    if plot is not None:
        drawing_history.require_drawing(plot)
    with storing.opened(store) as kept:
        found = acts.history(kept, boiler, acts.role_named(control))
    if json:
        from evenfire.delivery.report.history_json import history_json

        typer.echo(history_json(found))
    else:
        from evenfire.delivery.report.history_text import history_text

        typer.echo(history_text(found, units, terminal_width()))
    if plot is not None:
        drawn = drawing_history.draw(found, plot, units, width)
        typer.echo(f"Wrote {plot}." if drawn else f"Drew nothing into {plot}: no trip point is known.", err=True)
    raise typer.Exit(found.ending.value)
