"""``evenfire verify``: two questions about signed records, answered apart."""

from pathlib import Path
from typing import Annotated

import typer

from evenfire.delivery.cli.options import terminal_width


def verify(
    file: Annotated[
        Path | None, typer.Argument(help="A file of records; without it, all records of the store.")
    ] = None,
    key: Annotated[
        list[Path] | None, typer.Option("--key", help="A signer's public key file; may be given again.")
    ] = None,
    store: Annotated[
        str | None,
        typer.Option(
            "--store", help="Path or URL of the store whose keys are known; without it, your own.", metavar="PLACE"
        ),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="For programs.")] = False,
) -> None:
    """Tell whether signed records are unchanged, and whether their signers are known here. Needs no network.

    Ends with 0 when nothing was changed and every signer is known, 5 when a record does not verify (changed, gone, or
    signed after its key was withdrawn), 4 when nothing was changed but it cannot be judged who signed.
    """
    from evenfire.delivery.acts.verifying import verify_records

    done = verify_records(file, key or (), store)
    if json:
        from evenfire.delivery.report.verify_json import verify_json

        typer.echo(verify_json(done))
    else:
        from evenfire.delivery.report.verify_text import verify_text

        typer.echo(verify_text(done, terminal_width()))
    raise typer.Exit(done.ending.value)
