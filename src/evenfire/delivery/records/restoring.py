"""From a backup to a store: never over a newer one, and what stood there is set aside, not destroyed."""

from dataclasses import dataclass
from pathlib import Path

from evenfire.delivery.records.backup import Manifest


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """A store that came from a backup."""

    place: str
    manifest: Manifest
    set_aside: Path | None
    """Where the store is that stood there"""
    missing: tuple[str, ...]
    """Hashes of attachments that the backup did not carry and that are not beside the store"""


def restore(file: Path, place: str | Path) -> Restored:
    """Make the store at ``place`` from a backup.

    Raises
    ------
    BadStore
        The backup is not good; or at ``place`` stands a store that is newer than the backup, or another store.
    """
    raise NotImplementedError
