"""Which keys a table accepts, where a stray key belongs, and what a key is for: asked of the tables themselves."""

import difflib
from collections.abc import Iterator
from functools import cache
from types import UnionType
from typing import Annotated, Any, Final, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from evenfire.delivery.intake.document import Document
from evenfire.delivery.intake.problem import KeyPath
from evenfire.delivery.intake.tables.table import Table

LONGEST_COMPARED: Final = 100
"""No key is longer; comparing spellings takes time that grows with the square of the length [characters]."""

MOST_HOMES: Final = 3
"""A key such as scale is at home in many tables; naming a few is enough."""


@cache
def accepted_keys(table: type[Table]) -> dict[str, FieldInfo]:
    """The keys of a table as they stand in the file, in their order."""
    return {field.alias or name: field for name, field in table.model_fields.items()}


def tables_in(annotation: object) -> tuple[type[Table], ...]:
    """The tables that a key may hold; several only for the shapes of a demand."""
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return (annotation,)
    if get_origin(annotation) in {Annotated, Union, UnionType, tuple}:
        return tuple(found for each in get_args(annotation) for found in tables_in(each))
    return ()


def table_at(path: KeyPath, document: object) -> type[Table] | None:
    """The table at a place; the document tells which shape a demand has."""
    table: type[Table] = Document
    for part in path:
        document = _inside(document, part)
        if isinstance(part, int):
            continue
        field = accepted_keys(table).get(part)
        choices = tables_in(field.annotation) if field is not None else ()
        if not choices:
            return None
        table = choices[0] if len(choices) == 1 else _of_shape(choices, document)
    return table


def field_at(path: KeyPath, document: object) -> FieldInfo | None:
    """What the format says of a key, if it is one."""
    while path and isinstance(path[-1], int):
        path = path[:-1]
    if not path:
        return None
    table = table_at(path[:-1], document)
    return accepted_keys(table).get(str(path[-1])) if table is not None else None


def nearest_key(key: str, table: type[Table]) -> str | None:
    """The accepted key that is spelled most like a stray one, if any is near."""
    near = difflib.get_close_matches(key[:LONGEST_COMPARED].lower(), list(accepted_keys(table)), n=1)
    return near[0] if near else None


def advice_for_unknown(key: str, table: type[Table]) -> str:
    """The nearest accepted key, or the table in which the key belongs, and the accepted ones."""
    keys = list(accepted_keys(table))
    nearest = nearest_key(key, table)
    elsewhere = homes_of(key)[:MOST_HOMES]
    if nearest is not None:
        hint = f"Did you mean {nearest}? "
    elif elsewhere:
        hint = f"It belongs in {' or '.join(elsewhere)}. "
    else:
        hint = ""
    return f"{hint}Accepted here: {', '.join(keys)}."


def homes_of(key: str) -> tuple[str, ...]:
    """The tables of a boiler, a site or a load that accept a key, as they are headed in the file."""
    return tuple(header for header, table in _headed(Document, "") if key in accepted_keys(table))


def _headed(table: type[Table], above: str) -> Iterator[tuple[str, type[Table]]]:
    for key, field in accepted_keys(table).items():
        choices = tables_in(field.annotation)
        if len(choices) == 1:
            name = f"{above}.{key}" if above else key
            yield (f"[[{name}]]" if is_list(field) else f"[{name}]"), choices[0]
            yield from _headed(choices[0], name)


def is_list(field: FieldInfo) -> bool:
    """Whether a key holds a list."""
    annotation: Any = field.annotation
    parts = (annotation, *get_args(annotation))
    return any(get_origin(part) is tuple for part in parts)


def _inside(document: object, part: str | int) -> object:
    match document, part:
        case dict(), str():
            return document.get(part)
        case list(), int() if part < len(document):
            return document[part]
        case _:
            return None


def _of_shape(choices: tuple[type[Table], ...], document: object) -> type[Table]:
    shape = document.get("shape") if isinstance(document, dict) else None
    for choice in choices:
        field = choice.model_fields.get("shape")
        if field is not None and shape in get_args(field.annotation):
            return choice
    return choices[0]
