"""Rules and fields of a visit by the names that people know, wherever a text lists their codes and paths."""

import re
from typing import Final

from evenfire.delivery.papers.admission import QUESTIONS
from evenfire.delivery.words import visit_papers as words

_TOKEN: Final = r"[a-z][a-z0-9_-]*(?:\.[a-z0-9_-]+)*"
_LIST: Final = re.compile(rf"(?<=: )({_TOKEN}(?:, {_TOKEN})*)(?=[.;]|$)|(?<= in )({_TOKEN}(?:, {_TOKEN})*)(?=\. )")
"""What a flag or a bar lists: after a colon, or as that in which two values stand."""


def in_plain_names(text: str) -> str:
    """The text with names for the codes and paths that it lists; a list that holds anything else stays as it is.

    Scenarios have plain names of their own.
    """
    return _LIST.sub(_named_list, text)


def name_of_path(path: str) -> str:
    """A field of a visit as people call it: ``trip.2.reading.1`` is "trip test 2, reading 1"."""
    table, *rest = path.split(".")
    if table not in words.TABLES or not rest:
        return path
    head = words.TABLES[table]
    if rest[0].isdigit():
        head, rest = f"{head} {rest[0]}", rest[1:]
    if not rest:
        return head
    field, repeat = words.FIELDS.get(rest[0], rest[0].replace("_", " ")), " ".join(rest[1:])
    told = f"{field} {repeat}" if repeat else field
    return f"{told}, {head}" if table in {"as_found", "proposed", "as_left"} else f"{head}, {told}"


def _named_list(found: re.Match[str]) -> str:
    named = [_name(each) for each in found[0].split(", ")]
    return found[0] if None in named else "; ".join(each for each in named if each is not None)


def _name(token: str) -> str | None:
    if token in QUESTIONS:
        # Its question mark would end the sentence in which the rule is only named.
        return f'"{QUESTIONS[token]}"'
    if token in words.NAMED_ALONE:
        return words.FIELDS[token]
    name = name_of_path(token)
    return None if name == token else name
