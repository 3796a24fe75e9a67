"""How the reading of a log is broken off: with one sentence on what was found and one on what to do."""

from typing import NoReturn

from evenfire.errors import BadLog


def refuse(file: str, found: str, do: str, line: int | None = None) -> NoReturn:
    """Raise the error."""
    raise BadLog(file=file, line=line, found=found, do=do)


def printable(text: str, most: int = 60) -> str:
    """A text of a stranger's file as it can stand in a line of a message."""
    plain = text.replace("\t", " ")
    cut = plain if len(plain) <= most else plain[: most - 3] + "..."
    return "".join(each if each.isprintable() else "\N{REPLACEMENT CHARACTER}" for each in cut)


def quoted(text: str) -> str:
    """The same between quotation marks."""
    return f'"{printable(text)}"'
