"""Where a store is: the default place, and what is to be known of a disk before it is trusted."""

from pathlib import Path


def default_place() -> str:
    """What ``EVENFIRE_STORE`` says, else ``evenfire/store.sqlite`` in the user's data folder."""
    raise NotImplementedError


def network_drive(path: Path) -> str | None:
    """The kind of network drive that a path lies on; nothing when it is none, or when it cannot be known."""
    raise NotImplementedError
