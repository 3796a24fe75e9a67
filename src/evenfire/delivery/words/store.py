"""What is said about the place of a store, and about a disk or a server that fails it."""

from typing import Final, NamedTuple


class Told(NamedTuple):
    """What was found and what to do."""

    found: str
    do: str


NOT_KEPT: Final = "What was just given is not kept."
"""Said of everything that fails while something is written."""

FULL: Final = Told("the disk is full", "Make room, and give it again.")
READ_ONLY: Final = Told(
    "it cannot be written: the disk or the file is read-only for you",
    "Allow writing, or copy the store to a place where you may write.",
)
DISK_FAILED: Final = Told(
    "the disk reported an error while writing",
    "What was acknowledged before is there. Check the disk, make a backup to another one, and open the store again.",
)
STOPPED: Final = Told(
    "the disk reported an error before, and nothing more is written until the store is opened again",
    "Check the disk, make a backup to another one, and open the store again.",
)
BUSY: Final = Told(
    "another program has been writing to it for too long", "Wait until it has finished, and give it again."
)
CANNOT_OPEN: Final = Told("it cannot be opened", "Check the name, and who may read and write the file and its folder.")
DAMAGED: Final = Told("it is damaged", "Leave the file as it is, and restore the last backup to another place.")
NO_DATABASE: Final = Told("it is no store of evenfire", "Check the name.")
OTHER_PROGRAM: Final = Told("it is a database of another program", "Name another place; this one was left as it was.")
NO_DRIVER: Final = Told(
    "a PostgreSQL database needs the Python package psycopg",
    "Install it beside evenfire: pip install 'psycopg[binary]'.",
)
NO_SERVER: Final = Told(
    "the database server cannot be reached, or does not let you in",
    "Check that it runs, the address, the name of the database and the password.",
)
SERVER_GONE: Final = Told("the database server broke off", "Check the server, and give it again.")
NO_SUCH_KIND: Final = Told(
    "it is no database that can hold a store", "Name a file, or a PostgreSQL database as postgresql://user@server/name."
)
NO_FILE: Final = Told("it is a folder or a device", "Name a file.")


def newer(layout: str, known: str) -> Told:
    """A store that a newer program has written."""
    return Told(
        f"a newer evenfire has written it (layout {layout}; this program knows {known})",
        "Use that newer version; this one leaves the store as it is.",
    )


def cannot_be_made(why: str) -> Told:
    """A folder or a file that the system refuses."""
    return Told(f"it cannot be made: {why}", "Check the name, and who may write into its folder.")


def on_network_drive(place: str, kind: str) -> str:
    """A warning: locks and syncs of network drives cannot be relied on."""
    return (
        f"{place} lies on a network drive ({kind}). Such drives may lose what was acknowledged, or damage the store "
        f"when two machines write. Keep it on a disk of this machine, or use a PostgreSQL database."
    )


def server_does_not_sync(setting: str) -> str:
    """A warning: the server answers before its disk has it."""
    return (
        f"The database server runs with {setting} = off: what was acknowledged may be lost when its power fails. "
        f"Switch {setting} on."
    )


def no_image() -> Told:
    """A photograph that is none."""
    return Told(
        "it is no picture that can be kept", "Photographs are JPEG, PNG or WebP files; save it as one of these."
    )


def too_many_pixels(found: str, most: int) -> Told:
    """A picture whose size could fill the memory."""
    return Told(f"it has {found} pixels, and at most {most / 1e6:.0f} million are taken", "Take a smaller picture.")


def too_many_bytes(size: int, most: int) -> Told:
    """A file that is too large."""
    return Told(f"it has {size / 1e6:.1f} MB, and at most {most / 1e6:.0f} MB are taken", "Send a smaller file.")


def damaged_image() -> Told:
    """A picture that ends too early, or contradicts itself."""
    return Told("its data is damaged", "Take the picture again, or send the file again.")


def takes_too_much() -> Told:
    """A picture that no honest camera makes."""
    return Told("it cannot be decoded within the time and memory that a photograph needs", "Take the picture again.")


def unknown_kind(kind: str, known: str) -> Told:
    """A kind of file that is not kept."""
    return Told(f"{kind} is no kind of file that is kept", f"Kept are: {known}.")


def lost_attachment(sha256: str) -> Told:
    """A row whose file is gone or changed."""
    return Told(
        f"the file of the attachment {sha256[:12]} is missing or is not what was attached",
        "Look for it in a backup; what was signed still names it.",
    )


NO_BACKUP: Final = Told("it is no backup of evenfire", "Check the name.")
NO_SUCH_FILE: Final = Told("there is no such file", "Check the name.")
FILE_THERE: Final = Told("there is a file of that name already", "It was left as it was. Name another one.")
OPEN_ELSEWHERE: Final = Told(
    "another program has this store open", "Close it there; the store was left as it was, and nothing was restored."
)
OTHER_STORE: Final = Told(
    "another store is there, which this backup is not of", "Restore to another place; that store was left as it was."
)
NOT_EMPTY: Final = Told("the database is not empty", "Restore into an empty database; this one was left as it was.")


def bad_backup(why: str) -> Told:
    """A backup that is not what was written."""
    return Told(f"the backup is not good: {why}", "Use another backup, and keep this one for whoever can look into it.")


def newer_backup(layout: str, known: str) -> Told:
    """A backup that a newer program has made."""
    return Told(
        f"a newer evenfire has made this backup (layout {layout}; this program knows {known})",
        "Use that newer version.",
    )


def newer_store(there: int, backup: int) -> Told:
    """A restore over a store that goes on where the backup ends."""
    return Told(
        f"the store there is newer than the backup: {there} changes against {backup}",
        "It was left as it was. To look at the backup, restore it to another place.",
    )
