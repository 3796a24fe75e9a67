"""A draft is the fold of its entries: what stands in each field now, and where two stand side by side."""

from collections.abc import Iterable
from dataclasses import dataclass

from evenfire.delivery.visits.entry import Entry
from evenfire.errors import BadEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of a draft."""

    path: str
    heads: tuple[Entry, ...]
    """Entries that no other replaces, oldest first; more than one is a conflict that a person has to settle"""

    @property
    def is_in_conflict(self) -> bool:
        """Whether two or more different values stand here."""
        return len({head.text.strip() for head in self.heads}) > 1

    @property
    def standing(self) -> Entry | None:
        """What stands here; nothing where it was taken back or is in conflict."""
        if self.is_in_conflict or not self.heads[-1].text.strip():
            return None
        return self.heads[-1]

    @property
    def head_ids(self) -> tuple[str, ...]:
        """What the next entry here is based on."""
        return tuple(head.id for head in self.heads)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """Everything that stands on a draft."""

    fields: dict[str, Field]
    """By path"""

    @property
    def conflicts(self) -> tuple[Field, ...]:
        """Fields with more than one value, by path."""
        return tuple(self.fields[path] for path in sorted(self.fields) if self.fields[path].is_in_conflict)

    @property
    def unreadable(self) -> tuple[Entry, ...]:
        """What stands and could not be read, by path."""
        standing = (self.fields[path].standing for path in sorted(self.fields))
        return tuple(entry for entry in standing if entry is not None and entry.why_not is not None)

    def entry(self, path: str) -> Entry | None:
        """What stands in a field and could be read."""
        field = self.fields.get(path)
        entry = None if field is None else field.standing
        return None if entry is None or entry.why_not is not None else entry

    def text(self, path: str) -> str | None:
        """The text that stands in a field."""
        entry = self.entry(path)
        return None if entry is None else entry.text.strip()

    def rows(self, table: str) -> tuple[int, ...]:
        """Numbers of the rows of a table in which something stands, in order."""
        found = set()
        for path, field in self.fields.items():
            parts = path.split(".")
            if parts[0] == table and len(parts) > 2 and (field.standing is not None or field.is_in_conflict):
                found.add(int(parts[1]))
        return tuple(sorted(found))

    def repeats(self, table: str, row: int, key: str) -> tuple[int, ...]:
        """Numbers of the repeats of a field that stand, in order."""
        start = f"{table}.{row}.{key}."
        found = [path for path in self.fields if path.startswith(start) and self.entry(path) is not None]
        return tuple(sorted(int(path.removeprefix(start)) for path in found))

    def based_on(self, path: str) -> tuple[str, ...]:
        """The entries that the next one in a field replaces."""
        field = self.fields.get(path)
        return () if field is None else field.head_ids


def folded(entries: Iterable[Entry]) -> Draft:
    """The draft of these entries, in whatever order they come.

    Raises
    ------
    BadEntry
        Two entries of one id differ, an entry replaces one of another field, or entries replace each other in a ring.
    """
    by_id: dict[str, Entry] = {}
    for entry in entries:
        known = by_id.setdefault(entry.id, entry)
        if known != entry:
            raise BadEntry(what="id", found=entry.id, must_be="an id of its own: another entry has it")
    replaced = set()
    for entry in by_id.values():
        for earlier in entry.based_on:
            if earlier in by_id and by_id[earlier].path != entry.path:
                raise BadEntry(what="based_on", found=earlier, must_be=f"an entry of {entry.path}")
            replaced.add(earlier)
    heads: dict[str, list[Entry]] = {}
    for entry in sorted(by_id.values(), key=lambda each: (each.at, each.id)):
        if entry.id not in replaced:
            heads.setdefault(entry.path, []).append(entry)
    lost = {entry.path for entry in by_id.values()} - heads.keys()
    if lost:
        raise BadEntry(what="based_on", found=min(lost), must_be="earlier entries, never a ring")
    return Draft(fields={path: Field(path=path, heads=tuple(found)) for path, found in heads.items()})
