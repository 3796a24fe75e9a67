"""From what pydantic says to what a person needs: where it stands, what was found, what to do."""

from collections.abc import Mapping
from typing import Any, Final

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from evenfire.delivery.intake.known_keys import advice_for_unknown, field_at, is_list, nearest_key, table_at, tables_in
from evenfire.delivery.intake.limits import impossible_value
from evenfire.delivery.intake.problem import KeyPath, Problem
from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.intake.tables.refusal import IMPOSSIBLE, REFUSED
from evenfire.delivery.intake.toml_text import Raw
from evenfire.delivery.intake.toml_value import toml_value

MOST_EXPLAINED: Final = 1000
"""Nobody reads on after the first; this bounds the work on a file that is all wrong."""

LONGEST_EXAMPLE: Final = 80
"""A longer example does not help [characters]."""

_DEMAND: Final = ("load", "demand")


def problems_of(error: ValidationError, document: Raw) -> list[Problem]:
    """Each thing that the tables refused."""
    details = [each for each in error.errors(include_url=False)[:MOST_EXPLAINED] if not _is_echo(each)]
    misspelt = {place for each in details if each["type"] == "extra_forbidden" for place in _meant(each, document)}
    return [
        _problem(detail, document)
        for detail in details
        if detail["type"] != "missing" or _in_file(detail["loc"]) not in misspelt
    ]


def _is_echo(detail: Mapping[str, Any]) -> bool:
    """A list that pydantic calls too short because one of its values was refused; that refusal is there too."""
    return bool(detail["type"] == "too_short" and len(detail["input"]) >= detail["ctx"]["min_length"])


def _meant(detail: Mapping[str, Any], document: Raw) -> list[KeyPath]:
    """The place of the key that an unknown one was most likely meant to be; it is then not called missing too."""
    path = _in_file(detail["loc"])
    table = table_at(path[:-1], document)
    nearest = nearest_key(str(path[-1]), table) if table is not None else None
    return [(*path[:-1], nearest)] if nearest is not None else []


def _problem(detail: Mapping[str, Any], document: Raw) -> Problem:
    path = _in_file(detail["loc"])
    context: Mapping[str, Any] = detail.get("ctx", {})
    kind = str(detail["type"])
    if kind in {REFUSED, IMPOSSIBLE} and context["key"]:
        path = (*path, *str(context["key"]).split("."))
    field = field_at(path, document)
    match kind:
        case "evenfire_refused":
            return Problem(path=path, found=context["found"], do=context["do"])
        case "evenfire_impossible":
            return impossible_value(path, context["error"], document, _meaning(field))
        case "missing":
            return Problem(path=path, found=f"{path[-1]} is missing", do=_add(str(path[-1]), field))
        case "extra_forbidden":
            return _unknown(path, document)
        case _:
            return Problem(path=path, found=_found(kind, detail), do=_instead(kind, context, field))


def _in_file(place: tuple[str | int, ...]) -> KeyPath:
    """The place without the name that pydantic puts in for the shape of a demand."""
    return (*_DEMAND, *place[3:]) if place[:2] == _DEMAND else place


def _unknown(path: KeyPath, document: Raw) -> Problem:
    table = table_at(path[:-1], document)
    key = str(path[-1])
    do = advice_for_unknown(key, table) if table is not None else "Take it away."
    return Problem(path=path, found=f"{described(key)} is not a key that is known here", do=do)


def _found(kind: str, detail: Mapping[str, Any]) -> str:
    typed = described(detail["input"])
    context: Mapping[str, Any] = detail.get("ctx", {})
    match kind:
        case "too_short":
            return f"{typed} is too short, at least {context['min_length']} are wanted"
        case "too_long":
            return f"{typed} is too long, at most {context['max_length']} are possible"
        case "string_too_long":
            return f"a text of {len(str(detail['input']))} letters is too long, at most {context['max_length']} fit"
        case "enum" | "literal_error" | "union_tag_invalid":
            return f"{_shape_or(detail, typed)} is not one of the choices"
        case "union_tag_not_found":
            return "shape is missing"
        case "greater_than" | "greater_than_equal" | "less_than" | "less_than_equal" | "finite_number":
            return f"{typed} is not possible here"
        case _:
            return f"{typed} is not what belongs here"


def _shape_or(detail: Mapping[str, Any], typed: str) -> str:
    given = detail["input"]
    return described(given.get("shape")) if isinstance(given, dict) else typed


def _instead(kind: str, context: Mapping[str, Any], field: FieldInfo | None) -> str:
    """What to write in place of a value that is none of its kind."""
    match kind:
        case "enum" | "literal_error":
            return f"Write {_choices(context['expected'])}. {_meaning(field)}".strip()
        case "union_tag_invalid":
            return f"Write as shape {_choices(context['expected_tags'])}."
        case "union_tag_not_found":
            return "Add the shape: constant, steps, daily, batches or recorded."
        case "bool_type":
            return f"Write true or false without quotes. {_meaning(field)}".strip()
        case "date_type" | "date_from_datetime_inexact" | "date_from_datetime_parsing" | "date_parsing":
            return f"Write a day without quotes, for example 2026-11-03. {_meaning(field)}".strip()
        case "int_type" | "float_type" | "int_from_float":
            return f"Write a plain number without quotes. {_meaning(field)}".strip()
        case "string_too_long" | "too_long":
            return f"Shorten it. {_meaning(field)}".strip()
        case "string_type":
            return f"Write a text between quotes. {_meaning(field)}".strip()
        case "greater_than" | "greater_than_equal":
            limit = context.get("gt", context.get("ge", 0))
            return f"It must be {'above' if 'gt' in context else 'at least'} {limit:g}. {_meaning(field)}".strip()
        case "less_than" | "less_than_equal":
            limit = context.get("lt", context.get("le", 0))
            return f"It must be {'below' if 'lt' in context else 'at most'} {limit:g}. {_meaning(field)}".strip()
        case "model_type" | "model_attributes_type" | "tuple_type" | "list_type" | "too_short":
            return _as_table_or_list(field)
        case _:
            return _meaning(field) or "Compare it with a new plant file: `evenfire new FILE`."


def _choices(expected: object) -> str:
    """`'a', 'b' or 'c'` in the quotes that the file wants."""
    text = str(expected).replace("'", '"')
    head, comma, last = text.rpartition(", ")
    return f"{head} or {last}" if comma and " or " not in text else text


def _meaning(field: FieldInfo | None) -> str:
    return field.description or "" if field is not None else ""


def _add(key: str, field: FieldInfo | None) -> str:
    if field is None:
        return f"Add {key}."
    if tables_in(field.annotation):
        header = f"[[{key}]]" if is_list(field) else f"[{key}]"
        return f"Add the table {header}. {_meaning(field)}"
    example = f", for example {key} = {toml_value(field.examples[0])}" if field.examples else ""
    return f"Add it{example}. {_meaning(field)}"


def _as_table_or_list(field: FieldInfo | None) -> str:
    if field is None:
        return "Compare it with a new plant file: `evenfire new FILE`."
    if tables_in(field.annotation) and not field.examples:
        many = is_list(field)
        brackets = "double brackets, as in [[boiler]]" if many else "single brackets, as in [site]"
        return f"Write it as a table headed in {brackets}. {_meaning(field)}"
    text = toml_value(field.examples[0]) if field.examples else ""
    example = f"Write it like this: {text}. " if 0 < len(text) <= LONGEST_EXAMPLE else ""
    return f"{example}{_meaning(field)}"
