"""``evenfire store``: who works here, which gauges are in the bag, surveys in and out, backups, records handed on."""

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from evenfire.delivery.cli import due
from evenfire.delivery.cli.options import StorePlace, terminal_width
from evenfire.delivery.cli.visit import can_be_had, passphrase
from evenfire.errors import BadRequest

store_app = typer.Typer(
    name="store",
    help="The store of surveys, visits and signed records: people, gauges, surveys in and out, backups.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

PersonName = Annotated[str, typer.Argument(help="Name, as it shall stand under a signature.", show_default=False)]
PassphraseFile = Annotated[
    Path | None, typer.Option(help="A file whose first line is the passphrase; without it you are asked.")
]


@store_app.command("show")
def show(store: StorePlace = None) -> None:
    """Show what the store holds, who works in it, and what is to be known of its disk."""
    from evenfire.delivery.acts import storing
    from evenfire.delivery.report.store_text import store_text

    with storing.opened(store) as kept:
        typer.echo(store_text(kept, terminal_width()))


@store_app.command("person")
def person(
    name: PersonName,
    licence: Annotated[str, typer.Option(help="Licence number and who gave it.")] = "",
    may: Annotated[str, typer.Option(help="What he or she may do: read, write (and enter visits), or sign.")] = "sign",
    passphrase_file: PassphraseFile = None,
    store: StorePlace = None,
) -> None:
    """Add a person, who logs in with the passphrase; one who may sign gets a key that only the passphrase opens."""
    from evenfire.delivery.acts import people, storing
    from evenfire.delivery.records.registers import May
    from evenfire.delivery.report.store_text import key_text, login_text

    if may not in {each.value for each in May}:
        raise BadRequest(f"--may {may!r} is none of {', '.join(each.value for each in May)}.")
    with storing.opened(store) as kept:
        # A signer needs a key, so that there is no going on without; anybody else gets a login when there is one.
        is_given = may == May.SIGN.value or can_be_had(passphrase_file)
        secret = passphrase(passphrase_file, name, confirm=True) if is_given else None
        added = people.add(kept, name, licence, May(may), secret)
    typer.echo(f"Added {added.person.name}, who may {added.person.may.value}.")
    typer.echo(login_text(added.person, has_login=added.has_login, width=terminal_width()))
    if added.key is not None:
        typer.echo(key_text(added.key, terminal_width()))


@store_app.command("passphrase")
def set_passphrase(name: PersonName, passphrase_file: PassphraseFile = None, store: StorePlace = None) -> None:
    """Give a person who has none, or forgot it, a passphrase to log in with. It does not open an earlier key."""
    from evenfire.delivery.acts import people, storing
    from evenfire.delivery.records.key_register import keys_of
    from evenfire.delivery.records.registers import find_person
    from evenfire.delivery.report.store_text import passphrase_text

    with storing.opened(store) as kept:
        who = find_person(kept, name)
        people.set_passphrase(kept, who.id, passphrase(passphrase_file, who.name, confirm=True))
        has_key = any(each.private_pem is not None for each in keys_of(kept, who.id))
    typer.echo(passphrase_text(who, has_key=has_key, width=terminal_width()))


@store_app.command("key")
def key(name: PersonName, passphrase_file: PassphraseFile = None, store: StorePlace = None) -> None:
    """Make a new key for a person, as when the passphrase is lost, who then logs in with it; withdraw the old key."""
    from evenfire.delivery.acts import people, storing
    from evenfire.delivery.report.store_text import key_text

    with storing.opened(store) as kept:
        made = people.renew_key(kept, name, passphrase(passphrase_file, name, confirm=True))
    typer.echo(key_text(made, terminal_width()))


@store_app.command("give-key")
def give_key(name: PersonName, file: Annotated[Path, typer.Argument()], store: StorePlace = None) -> None:
    """Write the public key of a person into a file, to hand to others."""
    from evenfire.delivery.acts import people, storing
    from evenfire.delivery.report.store_text import key_text

    with storing.opened(store) as kept:
        given = people.give_key(kept, name, file)
    typer.echo(f"Wrote {file}.")
    typer.echo(key_text(given, terminal_width()))


@store_app.command("enter-key")
def enter_key(
    file: Annotated[Path, typer.Argument(help="The public key file.", show_default=False)],
    of: Annotated[str, typer.Option("--of", help="Whose key it is, as the store knows the person.")],
    fingerprint: Annotated[
        str,
        typer.Option(help="As the person reads it to you, eight groups of four at least; never copied from the file."),
    ],
    store: StorePlace = None,
) -> None:
    """Enter the public key of somebody who signs elsewhere, with its fingerprint compared."""
    from evenfire.delivery.acts import people, storing
    from evenfire.delivery.report.store_text import key_text

    with storing.opened(store) as kept:
        typer.echo(key_text(people.enter_key(kept, file, of, fingerprint), terminal_width()))


@store_app.command("withdraw-key")
def withdraw_key(
    fingerprint: Annotated[str, typer.Argument(help="Its beginning.", show_default=False)],
    reason: Annotated[str, typer.Option(help="Why, for those who ask in ten years.")],
    store: StorePlace = None,
) -> None:
    """Withdraw a key: what it signs from now on does not verify. It is never taken back."""
    from evenfire.delivery.acts import people, storing
    from evenfire.delivery.report.store_text import key_text

    with storing.opened(store) as kept:
        typer.echo(key_text(people.withdraw_key(kept, fingerprint, reason), terminal_width()))


@store_app.command("gauge")
def gauge(
    serial: Annotated[str, typer.Argument(help="Serial number on the gauge.", show_default=False)],
    scale_from: Annotated[str, typer.Option("--from", help='Begin of its scale: "0 psi".')],
    scale_to: Annotated[str, typer.Option("--to", help='End of its scale: "300 psi".')],
    division: Annotated[str, typer.Option(help='Smallest step that is marked: "1 psi".')],
    accuracy: Annotated[str, typer.Option(help='Its class: "0.25 %" of the scale, or a pressure.')],
    name: Annotated[str, typer.Option(help="What it is called.")] = "",
    store: StorePlace = None,
) -> None:
    """Add a reference gauge to the bag."""
    from evenfire.delivery.acts import storing
    from evenfire.delivery.records import instruments

    with storing.opened(store) as kept:
        instruments.add_gauge(
            kept,
            serial=serial,
            name=name or serial,
            scale_from=scale_from,
            scale_to=scale_to,
            division=division,
            accuracy=accuracy,
        )
    typer.echo(f"Added gauge {serial}. It proves nothing without a calibration: evenfire store calibration {serial}")


@store_app.command("calibration")
def calibration(
    serial: Annotated[str, typer.Argument(help="Serial number of the gauge.", show_default=False)],
    made_on: Annotated[str, typer.Option("--on", help="Day, 2026-09-14.")],
    uncertainty: Annotated[str, typer.Option(help='Expanded uncertainty on the certificate: "0.2 psi".')],
    certificate: Annotated[str, typer.Option(help="Number of the certificate.")],
    made_by: Annotated[str, typer.Option("--by", help="Who calibrated it.")],
    factor: Annotated[str, typer.Option(help="Coverage factor of the uncertainty.")] = "2",
    correction: Annotated[str | None, typer.Option(help='To be added to what it shows: "-0.2 psi".')] = None,
    due_on: Annotated[str | None, typer.Option(help="Day of the next, where the certificate names one.")] = None,
    store: StorePlace = None,
) -> None:
    """Keep a calibration of a gauge, as its certificate states it."""
    from evenfire.delivery.acts import storing
    from evenfire.delivery.records import instruments

    with storing.opened(store) as kept:
        instruments.add_calibration(
            kept,
            serial,
            instruments.Calibration(
                made_on=_day(made_on),
                due_on=None if due_on is None else _day(due_on),
                certificate=certificate,
                made_by=made_by,
                correction=correction,
                expanded_uncertainty=uncertainty,
                coverage_factor=factor,
                attachment=None,
            ),
        )
    typer.echo(f"Kept the calibration of gauge {serial} of {made_on}.")


@store_app.command("take")
def take(
    plant: Annotated[Path, typer.Argument(help="A plant file.", show_default=False)],
    store: StorePlace = None,
) -> None:
    """Take a plant file into the store as the newest survey of its site, and show what differs from the last."""
    from evenfire.delivery.acts import storing
    from evenfire.delivery.intake.opening import file_bytes
    from evenfire.delivery.records import surveys
    from evenfire.delivery.report.store_text import taken_text

    with storing.opened(store) as kept:
        typer.echo(taken_text(surveys.take(kept, file_bytes(plant), plant.name), terminal_width()))


@store_app.command("give")
def give(
    boiler: Annotated[str, typer.Argument(help="A boiler of the store: site/name, or its name.", show_default=False)],
    file: Annotated[Path | None, typer.Argument(help="The plant file to write; without it, it is printed.")] = None,
    store: StorePlace = None,
) -> None:
    """Write the newest survey of a boiler out as a plant file, with its origin in front."""
    from evenfire.delivery.acts import files, storing
    from evenfire.delivery.records import registers, surveys

    with storing.opened(store) as kept:
        survey = surveys.give(kept, registers.find_boiler(kept, boiler).id)
    if file is None:
        typer.echo(survey.toml())
        return
    files.write_new(file, survey.toml())
    typer.echo(f"Wrote {file}.")


@store_app.command("backup")
def backup(
    file: Annotated[Path, typer.Argument(help="The file to write; an existing one is never touched.")],
    store: StorePlace = None,
) -> None:
    """Back the store up into one file, which is read again and found good before it gets its name."""
    from evenfire.delivery.acts import storing
    from evenfire.delivery.records.backup import backup as back_up
    from evenfire.delivery.report.store_text import backup_text

    with storing.opened(store) as kept:
        typer.echo(backup_text(back_up(kept, file), terminal_width()))


@store_app.command("restore")
def restore(
    file: Annotated[Path, typer.Argument(help="A backup.", show_default=False)],
    to: Annotated[str, typer.Option("--to", help="Path or URL of the store to be.", metavar="PLACE")],
) -> None:
    """Make a store from a backup; never over a newer one, and what stood there is set aside."""
    from evenfire.delivery.records.restoring import restore as make_from
    from evenfire.delivery.report.store_text import restored_text

    typer.echo(restored_text(make_from(file, to), terminal_width()))


@store_app.command("export")
def export(
    boiler: Annotated[str, typer.Argument(help="A boiler of the store.", show_default=False)],
    file: Annotated[Path, typer.Argument(help="The file to write; an existing one is never touched.")],
    store: StorePlace = None,
) -> None:
    """Write every signed record of a boiler into one file that anybody can verify."""
    from evenfire.delivery.acts import handing_on, storing
    from evenfire.delivery.report.store_text import exported_text

    with storing.opened(store) as kept:
        typer.echo(exported_text(handing_on.export(kept, boiler, file), terminal_width()))


@store_app.command("import")
def import_records(
    file: Annotated[Path, typer.Argument(help="A file of records.", show_default=False)],
    store: StorePlace = None,
) -> None:
    """Take the records of a file into the store, if the file verifies; imported twice is once."""
    from evenfire.delivery.acts import handing_on, storing
    from evenfire.delivery.report.store_text import imported_text

    with storing.opened(store) as kept:
        done = handing_on.take_in(kept, file)
    typer.echo(imported_text(done, terminal_width()))
    raise typer.Exit(done.ending.value)


store_app.command("due-item")(due.due_item)
store_app.command("end-item")(due.end_item)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadRequest(f"{text!r} is no day; write it like 2026-09-14.") from None
