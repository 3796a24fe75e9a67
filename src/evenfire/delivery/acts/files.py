"""Write a file whole or not at all."""

from pathlib import Path

from evenfire.errors import BadRequest


def write_new(path: Path, text: str) -> None:
    """Write a new text file; an existing one is never touched.

    Raises
    ------
    BadRequest
        There is something at ``path`` already, or it cannot be written.
    """
    write_new_bytes(path, text.encode("utf-8"))


def write_new_bytes(path: Path, content: bytes) -> None:
    """Write a new file of any kind; an existing one is never touched.

    Raises
    ------
    BadRequest
        There is something at ``path`` already, or it cannot be written.
    """
    try:
        with path.open("xb") as file:
            file.write(content)
    except FileExistsError:
        raise BadRequest(f"{path} is there already and was left as it is. Choose another name.") from None
    except OSError as error:
        raise BadRequest(f"{path} cannot be written: {error.strerror}.") from error


def require_new(path: Path) -> None:
    """See that a file can be written later: nothing is there, and its folder is.

    Raises
    ------
    BadRequest
        As :func:`write_new`.
    """
    if path.exists():
        raise BadRequest(f"{path} is there already and was left as it is. Choose another name.")
    if not path.absolute().parent.is_dir():
        raise BadRequest(f"{path} cannot be written: there is no folder {path.parent}.")


def write_whole(path: Path, text: str) -> None:
    """Write a file whole or not at all: beside it first, then in its place.

    Raises
    ------
    BadRequest
        It cannot be written.
    """
    write_bytes_whole(path, text.encode("utf-8"))


def write_bytes_whole(path: Path, content: bytes) -> None:
    """Write a file of any kind whole or not at all: beside it first, then in its place.

    Raises
    ------
    BadRequest
        It cannot be written.
    """
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise BadRequest(f"{path} cannot be written: {error.strerror}.") from error
