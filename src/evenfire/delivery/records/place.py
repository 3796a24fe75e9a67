"""Where a store is: the default place, and what is to be known of a disk before it is trusted."""

import contextlib
import os
import sys
from pathlib import Path
from typing import Final

PRIVATE_FOLDER: Final = 0o700
PRIVATE_FILE: Final = 0o600

_MOUNTS: Final = Path("/proc/self/mounts")
_NETWORK_KINDS: Final = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "coda", "davfs", "glusterfs", "lustre", "ncpfs"}
    | {"beegfs", "gfs2", "ocfs2", "gpfs", "orangefs", "pvfs2", "vboxsf", "prl_fs", "vmhgfs", "virtiofs", "drvfs"}
)
_NETWORK_BY_PROGRAM: Final = (
    "sshfs",
    "rclone",
    "s3fs",
    "davfs",
    "gluster",
    "ceph",
    "curlftpfs",
    "gvfsd",
    "vmhgfs",
    "smb",
)
"""Parts of the names of drives that a program makes (``fuse.sshfs``)."""


def default_place() -> str:
    """What ``EVENFIRE_STORE`` says, else ``evenfire/store.sqlite`` in the user's data folder."""
    named = os.environ.get("EVENFIRE_STORE", "").strip()
    return named or str(data_folder() / "store.sqlite")


def data_folder() -> Path:
    """The folder of this program among the user's data."""
    if sys.platform == "win32":
        above = os.environ.get("LOCALAPPDATA")
        return (Path(above) if above else Path.home() / "AppData" / "Local") / "evenfire"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "evenfire"
    above = os.environ.get("XDG_DATA_HOME", "")
    # The standard for these folders says that a relative path is to be ignored.
    return (Path(above) if Path(above).is_absolute() else Path.home() / ".local" / "share") / "evenfire"


def is_url(place: str) -> bool:
    """Whether a place is a database server and no file."""
    return "://" in place


def network_drive(path: Path, mounts: str | None = None) -> str | None:
    """The kind of network drive that a path lies on; nothing when it is none, or when it cannot be known.

    ``mounts`` is the table of mounted drives of a Linux system, its own unless given.
    """
    if str(path).startswith("\\\\"):
        return "network share"
    if mounts is None:
        try:
            mounts = _MOUNTS.read_text(encoding="utf-8", errors="surrogateescape")
        except OSError:
            return None
    kind = _kind_at(Path(os.path.realpath(path)), mounts)
    if kind is None:
        return None
    made_by = kind.removeprefix("fuse.")
    is_network = kind in _NETWORK_KINDS or (kind != made_by and any(part in made_by for part in _NETWORK_BY_PROGRAM))
    return made_by if is_network else None


def make_private_folder(folder: Path) -> None:
    """Make a folder, and those above it that are missing, for its owner alone; one that is there stays as it is."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    for each in reversed(missing):
        with contextlib.suppress(FileExistsError):
            each.mkdir(mode=PRIVATE_FOLDER)
            sync_folder(each.parent)


def make_private_file(path: Path) -> bool:
    """Make an empty file for its owner alone; false when there is something already."""
    try:
        descriptor = os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, PRIVATE_FILE)
    except FileExistsError:
        return False
    os.close(descriptor)
    sync_folder(path.parent)
    return True


def sync_folder(folder: Path) -> None:
    """So that a new name also outlives a power cut; where a system cannot do it, the file itself is safe."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _kind_at(path: Path, mounts: str) -> str | None:
    """The kind of the drive with the longest mount point above a path; the last of equal ones hides the others."""
    found: tuple[int, str] | None = None
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        point = Path(_unescaped(fields[1]))
        depth = len(point.parts)
        if (path == point or point in path.parents) and (found is None or depth >= found[0]):
            found = (depth, fields[2])
    return None if found is None else found[1]


def _unescaped(text: str) -> str:
    """A mount point as the kernel writes it, with its blanks as octal digits."""
    for sign in (" ", "\t", "\n", "\\"):
        text = text.replace(f"\\{ord(sign):03o}", sign)
    return text
