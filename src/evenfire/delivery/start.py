"""Where ``evenfire`` starts: the command line, and the one command of it that serves the web app."""

from pathlib import Path
from typing import Annotated, Final

import typer

from evenfire.delivery.cli import main
from evenfire.delivery.cli.options import StorePlace, Units, terminal_width
from evenfire.delivery.units import UnitSystem

app: Final = main.app
"""Every command, ``serve`` among them."""


@app.command()
def serve(
    store: StorePlace = None,
    port: Annotated[int, typer.Option(help="Where it listens.", min=0, max=65535)] = 8017,
    listen: Annotated[
        str, typer.Option(help="An address of this computer; others reach it there, so then only over TLS.")
    ] = "127.0.0.1",
    name: Annotated[
        list[str] | None,
        typer.Option(help="A name or address by which browsers open it; may be given again.", metavar="NAME"),
    ] = None,
    tls_cert: Annotated[Path | None, typer.Option(help="A certificate, a PEM file.")] = None,
    tls_key: Annotated[Path | None, typer.Option(help="Its key, a PEM file.")] = None,
    self_signed: Annotated[
        bool, typer.Option("--self-signed", help="Make a certificate, and print its fingerprint to compare.")
    ] = False,
    behind: Annotated[
        str | None, typer.Option(help="Address of the one proxy that passes requests on.", metavar="ADDRESS")
    ] = None,
    units: Units = UnitSystem.US,
) -> None:
    """Serve the web app, for this computer alone unless told otherwise; it prints what to open."""
    from evenfire.delivery.web import serving

    asked = serving.ServeAsked(
        store=store,
        listen=listen,
        port=port,
        names=tuple(name or ()),
        certificate=tls_cert,
        key=tls_key,
        is_self_signed=self_signed,
        behind=behind,
        units=units,
    )
    serving.serve(asked, typer.echo, terminal_width())


def run() -> None:
    """Run a command; see :func:`evenfire.delivery.cli.main.run`."""
    main.run()
