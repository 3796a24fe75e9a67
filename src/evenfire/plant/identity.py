"""The identity of a frozen value: the same content has the same name, on every machine."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum


def identity(value: object) -> str:
    """SHA-256 of a frozen value, as 64 hexadecimal digits.

    The text that is hashed is JSON with sorted keys; numbers are written by their shortest exact form, so two values
    have one identity when, and only when, every field is equal. A field that is ``None`` is left out, so that a field
    which a later version adds changes no identity where nobody has filled it in.
    """
    text = json.dumps(_plain(value), sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(value: object) -> object:
    """What JSON can carry, with the class named so that different kinds never collide."""
    if isinstance(value, Enum):
        return _plain(value.value)
    if is_dataclass(value) and not isinstance(value, type):
        content = {field.name: getattr(value, field.name) for field in fields(value)}
        known = {name: _plain(item) for name, item in content.items() if item is not None}
        return {"": type(value).__name__, **known}
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, frozenset):
        return sorted(json.dumps(_plain(item), sort_keys=True) for item in value)
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    if value is None or isinstance(value, str | int | float):
        return value
    raise TypeError(f"a {type(value).__name__} has no identity")
