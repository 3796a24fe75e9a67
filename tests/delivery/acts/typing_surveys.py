"""Surveys typed field by field for tests: what a person would type who reads a plant file off the paper."""

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Final
from uuid import UUID, uuid5

from evenfire.delivery.records import entries
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import KeptDraft
from evenfire.delivery.records.registers import Person
from evenfire.delivery.visits.entry import Entry

EXAMPLES: Final = Path(__file__).parents[3] / "examples"
DEMOS: Final = tuple(sorted(path.name for path in EXAMPLES.glob("*.toml")))
MOMENT: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
NOT_TYPED: Final = {"format", "site.name", "boiler.name"}
_NAMES: Final = UUID("7d1c3c1e-2f43-4a4b-9f0e-8a3b0d6d2e55")


def demo(name: str) -> str:
    """The text of a demo plant."""
    return (EXAMPLES / name).read_text(encoding="utf-8")


def typed_from(text: str) -> dict[str, str]:
    """What somebody types who copies a plant file with one boiler into the fields, by their paths."""
    raw = tomllib.loads(text, parse_float=str)
    (boiler,) = raw.pop("boiler")
    return {path: said for path, said in _fields({**raw, "boiler": boiler}, "") if path not in NOT_TYPED}


def _fields(value: Any, path: str) -> Iterator[tuple[str, str]]:
    match value:
        case dict():
            for key, each in value.items():
                yield from _fields(each, f"{path}.{key}" if path else key)
        case list() if value and all(isinstance(each, dict) for each in value):
            for number, each in enumerate(value, 1):
                yield from _fields(each, f"{path}.{number}")
        case list():
            yield path, "\n".join(str(each) for each in value) or "none"
        case bool():
            yield path, "yes" if value else "no"
        case date():
            yield path, value.isoformat()
        case "none" if path.endswith(".water_leg"):
            yield f"{path}.height", "none"
        case _:
            yield path, str(value)


def entry(draft: KeptDraft, by: Person, path: str, text: str, *based_on: str, turn: str = "") -> Entry:
    """One thing that somebody typed."""
    id_ = str(uuid5(_NAMES, "\n".join((draft.id, path, text, turn, *based_on))))
    return Entry(
        id=id_, draft=draft.id, path=path, text=text, author=by.id, device="phone", at=MOMENT, based_on=based_on
    )


def type_in(store: Store, draft: KeptDraft, by: Person, said: Mapping[str, str] | Iterable[tuple[str, str]]) -> None:
    """Type all of this, each into a field on which it stands alone from then on."""
    heads = {each.path: each.id for each in entries.entries_of(store, draft.id)}
    texts = dict(said)
    made = [entry(draft, by, path, text, *([heads[path]] if path in heads else [])) for path, text in texts.items()]
    entries.record_all(store, made)
