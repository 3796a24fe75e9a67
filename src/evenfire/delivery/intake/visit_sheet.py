"""The visit sheet: a text file that a technician fills in, and the entries that come of it."""

import json
import textwrap
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final
from uuid import UUID, uuid5

from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import MANY, MOST_ROWS, ONCE, REPEATED, Choice, Kind, kind_of, typed
from evenfire.delivery.visits.folding import Draft
from evenfire.delivery.words.visits import SHEET_HEAD, TABLES, asked
from evenfire.errors import BadEntry, BadRequest
from evenfire.si import AbsPa

FORMAT: Final = "evenfire visit sheet 1"
MOST_BYTES: Final = 1_000_000
WIDTH: Final = 100

BY_PROGRAM: Final = frozenset({"proposed"})
"""Tables that no person fills in."""
FROM_PROPOSAL: Final = frozenset({"move.words"})
PHOTO_FILE: Final = "file"
"""Key of a photograph in a sheet; an entry holds its hash."""
EMPTY_ROWS: Final = {"temporary": 1, "trip": 1, "device": 1, "photo": 1, "note": 1}
EMPTY_REPEATS: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What one field of a filled-in sheet says."""

    path: str
    text: str
    before: str
    """What stood in the field when the sheet was written"""
    based_on: tuple[str, ...]
    """Entries that stood there then"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledSheet:
    """A sheet as it was filled in."""

    visit: str
    sheet: str
    """A UUID of its own, so that the same sheet entered twice is one"""
    fields: tuple[Written, ...]
    photos: tuple[Written, ...]
    """Every photograph named: the path of its hash, and the name of its file as text"""
    moves: Mapping[str, str]
    """The moves as they stood when it was written, by the paths of their words"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetHead:
    """What a sheet says before its fields."""

    visit: str
    sheet: str
    """A UUID of its own, so that the same sheet entered twice is one"""
    title: tuple[str, ...]
    """Site, boiler, day, cautions"""
    told: Mapping[str, tuple[str, ...]]
    """What a technician has to know before a table, such as the pressure at which a test is broken off"""
    absent: frozenset[str] = frozenset()
    """Keys of dials that this boiler does not have; what was typed into one is shown all the same"""


def sheet_text(head: SheetHead, draft: Draft) -> str:
    """The sheet of a visit as it stands, to be filled in further."""
    lines = [f"# {line}".rstrip() for told in (*head.title, "", *SHEET_HEAD) for line in _wrapped(told)]
    lines += ["", f"format = {_quoted(FORMAT)}", f"visit = {_quoted(head.visit)}", f"sheet = {_quoted(head.sheet)}"]
    for table, heading in TABLES.items():
        lines += ["", "", f"# {heading}."]
        lines += [f"# {line}" for told in head.told.get(table, ()) for line in _wrapped(told)]
        if table in ONCE:
            keys = {key: kind for key, kind in ONCE[table].items() if not _is_absent(head, draft, table, key)}
            lines += ["", f"[{table}]", *_keys(draft, table, table, keys)]
            continue
        stand = draft.rows(table)
        first = min((*stand, 1))
        for row in range(first, max((*stand, 0)) + EMPTY_ROWS.get(table, 0) + 1):
            filled_in = _row(draft, table, row)
            # What a key asks for is said once; the rows below are for those who know by then.
            lines += ["", f"[[{table}]]", *(line for line in filled_in if row == first or not line.startswith("##"))]
    return "\n".join([*lines, "", "", *_written_from(draft), ""])


def _is_absent(head: SheetHead, draft: Draft, table: str, key: str) -> bool:
    return key in head.absent and f"{table}.{key}" not in draft.fields


def read_sheet(content: bytes, name: str) -> FilledSheet:
    """What a filled-in sheet says.

    Raises
    ------
    BadRequest
        It is no visit sheet, or too large for one.
    BadEntry
        It holds a field that a visit does not have.
    """
    raw = _raw(content, name)
    base = raw.get("written_from")
    if raw.get("format") != FORMAT or not isinstance(base, dict):
        raise BadRequest(f'{name} is no visit sheet of this program: it does not say format = "{FORMAT}".')
    visit, sheet = raw.get("visit"), raw.get("sheet")
    if not isinstance(visit, str) or not isinstance(sheet, str):
        raise BadRequest(f"{name} does not say to which visit it belongs. Write a new one: evenfire visit show.")
    fields, photos = [], []
    for place, text in _filled(raw, name, first_move=0 if "move.0.words" in base else 1):
        is_photo = place.startswith("photo.") and place.endswith(f".{PHOTO_FILE}")
        path = place.removesuffix(PHOTO_FILE) + "hash" if is_photo else place
        kind_of(path)
        stood = base.get(path, {})
        ids = tuple(str(each) for each in stood.get("ids", ())) if isinstance(stood, dict) else ()
        before = str(stood.get("text", "")) if isinstance(stood, dict) else ""
        written = Written(path=path, text=text.strip(), before=before.strip(), based_on=ids)
        if not is_photo:
            fields.append(written)
        elif written.text:
            photos.append(written)
    moves = {
        path: str(stood.get("text", "")).strip()
        for path, stood in base.items()
        if path.startswith("move.") and path.endswith(".words") and isinstance(stood, dict)
    }
    return FilledSheet(visit=visit, sheet=sheet, fields=tuple(fields), photos=tuple(photos), moves=moves)


@dataclass(frozen=True, slots=True, kw_only=True)
class Typist:
    """Who enters a sheet, where and when."""

    author: str
    device: str
    at: datetime
    ambient: AbsPa | None
    """Of the site [Pa abs]"""


def entries_of(sheet: FilledSheet, draft: Draft, by: Typist) -> tuple[Entry, ...]:
    """One entry for each field that the sheet changes; nothing of a sheet that was entered as it is.

    A field is changed when it says something else than what stood there when the sheet was written. Where the same
    person entered this very file before, his own entry stands in the place of that: he corrects it and enters it again.
    A copy in other hands, or under another name, changes only what was changed in it: what it never touched says
    nothing of what others entered meanwhile.
    """
    return tuple(made for written in sheet.fields if (made := entry_of(written, sheet, draft, by)) is not None)


def entry_of(written: Written, sheet: FilledSheet, draft: Draft, by: Typist) -> Entry | None:
    """The entry of one field of a sheet; nothing where it changes nothing."""
    field = draft.fields.get(written.path)
    heads = () if field is None else field.heads
    own = _own(heads, sheet, by)
    before = own[-1].text.strip() if own else written.before
    if written.text == before:
        return None
    based_on = tuple(head.id for head in own) or written.based_on
    # Said by somebody since: saying it once more would only be noise.
    if any(head.text.strip() == written.text and head.id not in based_on for head in heads):
        return None
    means = typed(written.path, written.text, ambient=by.ambient)
    made = Entry(
        id=sheet.visit,
        draft=sheet.visit,
        path=written.path,
        text=written.text,
        unit=means.unit,
        si=means.si,
        why_not=means.why_not,
        author=by.author,
        device=by.device,
        at=by.at,
        based_on=based_on,
    )
    return replace(made, id=_id(sheet, made))


def left_alone(sheet: FilledSheet, draft: Draft, by: Typist) -> tuple[str, ...]:
    """Fields that the sheet never touched and in which others entered something since it was written."""
    found = []
    for written in sheet.fields:
        field = draft.fields.get(written.path)
        if field is None or written.text != written.before or _own(field.heads, sheet, by):
            continue
        if any(head.id not in written.based_on and head.text.strip() != written.text for head in field.heads):
            found.append(written.path)
    return tuple(found)


def _own(heads: tuple[Entry, ...], sheet: FilledSheet, by: Typist) -> tuple[Entry, ...]:
    """What this person entered from this very file, and nobody replaced."""
    return tuple(
        head for head in heads if (head.author, head.device) == (by.author, by.device) and head.id == _id(sheet, head)
    )


def _id(sheet: FilledSheet, entry: Entry) -> str:
    """The id that an entry has when it came from this sheet: one person entering the same twice makes it once."""
    told = (sheet.sheet, entry.author, entry.device, entry.path, entry.text, *entry.based_on)
    return str(uuid5(UUID(sheet.visit), "\n".join(told)))


def _raw(content: bytes, name: str) -> dict[str, object]:
    if len(content) > MOST_BYTES:
        raise BadRequest(f"{name} is {len(content):,} bytes long; a visit sheet has at most {MOST_BYTES:,}.")
    try:
        return tomllib.loads(content.decode("utf-8"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        raise BadRequest(f"{name} cannot be read: {error}. Check the quotes and brackets there.") from error


def _filled(raw: dict[str, object], name: str, *, first_move: int) -> Iterator[tuple[str, str]]:
    """Every field of the sheet with its text."""
    for table, content in raw.items():
        if table in {"format", "visit", "sheet", "written_from"}:
            continue
        if table not in TABLES or table in BY_PROGRAM:
            raise BadEntry(what="table", found=table, must_be=f"one of {', '.join(TABLES)}")
        rows = [content] if table in ONCE else content
        if not isinstance(rows, list) or len(rows) > MOST_ROWS or not all(isinstance(row, dict) for row in rows):
            wanted = f"[{table}] once" if table in ONCE else f"[[{table}]], at most {MOST_ROWS} times"
            raise BadRequest(f"{name}: {table} is written {wanted}.")
        for number, row in enumerate(rows, first_move if table == "move" else 1):
            start = table if table in ONCE else f"{table}.{number}"
            for key, value in row.items():
                if f"{table}.{key}" in FROM_PROPOSAL:
                    continue
                yield from _texts(f"{start}.{key}", value, is_repeated=key in REPEATED.get(table, {}), name=name)


def _texts(path: str, value: object, *, is_repeated: bool, name: str) -> Iterator[tuple[str, str]]:
    if is_repeated and isinstance(value, list) and len(value) <= MOST_ROWS:
        for repeat, each in enumerate(value, 1):
            yield from _texts(f"{path}.{repeat}", each, is_repeated=False, name=name)
    elif isinstance(value, str):
        yield path, value
    elif isinstance(value, bool):
        yield path, "yes" if value else "no"
    elif isinstance(value, int) or hasattr(value, "isoformat"):
        yield path, str(value)
    else:
        raise BadRequest(f"{name}: {path} is no text. Write what you read between quotes, with its unit.")


def _row(draft: Draft, table: str, row: int) -> Iterator[str]:
    keys = MANY[table]
    start = f"{table}.{row}"
    if table == "move":
        # Read at the boiler: wrapped, and not between quotes, where nobody shall write.
        yield from (f"# {line}" for line in _wrapped(f"Move {row}: {_standing(draft, f'{start}.words')}"))
        keys = {key: kind for key, kind in keys.items() if key != "words"}
    if table == "photo":
        yield from _line(draft, start, PHOTO_FILE, table)
        keys = {key: kind for key, kind in keys.items() if key != "hash"}
    for key, kind in keys.items():
        yield from _keys(draft, start, table, {key: kind})
        if (table, key) == ("trip", "rise"):
            for repeated in REPEATED[table]:
                yield from _repeats(draft, start, table, repeated)


def _keys(draft: Draft, start: str, table: str, keys: Mapping[str, Kind]) -> Iterator[str]:
    for key, kind in keys.items():
        yield from _line(draft, start, key, table, kind.words if isinstance(kind, Choice) else ())


def _line(draft: Draft, start: str, key: str, table: str, words: tuple[str, ...] = ()) -> Iterator[str]:
    explained = asked(table, key)
    if words and not all(word in explained for word in words):
        explained = f"{explained} One of: {', '.join(words)}."
    if explained:
        yield from (f"## {line}" for line in _wrapped(explained))
    yield from _told(draft, f"{start}.{key}")
    yield f"{key} = {_quoted(_standing(draft, f'{start}.{key}'))}"


def _repeats(draft: Draft, start: str, table: str, key: str) -> Iterator[str]:
    paths = [f"{start}.{key}.{number}" for number in range(1, MOST_ROWS + 1)]
    last = max((number for number, path in enumerate(paths, 1) if path in draft.fields), default=0)
    paths = paths[: max(last, EMPTY_REPEATS)]
    yield f"## {asked(table, key)}"
    for path in paths:
        yield from _told(draft, path)
    yield f"{key} = [{', '.join(_quoted(_standing(draft, path)) for path in paths)}]"


def _standing(draft: Draft, path: str) -> str:
    field = draft.fields.get(path)
    entry = None if field is None else field.standing
    return "" if entry is None else entry.text


def _told(draft: Draft, path: str) -> Iterator[str]:
    """What a person has to know of what stands in a field."""
    field = draft.fields.get(path)
    if field is None:
        return
    if field.is_in_conflict:
        both = " and ".join(f"{head.text!r} ({head.device}, {head.at:%Y-%m-%d %H:%M} UTC)" for head in field.heads)
        yield from (f"# {line}" for line in _wrapped(f"TWO VALUES STAND HERE: {both}. Write the right one."))
    elif field.standing is not None and field.standing.why_not is not None:
        yield from (f"# {line}" for line in _wrapped(f"NOT UNDERSTOOD: {field.standing.why_not}"))


def _written_from(draft: Draft) -> Iterator[str]:
    """What stood in each field when the sheet was written: the program's own part of the sheet."""
    yield "# From here on the program writes. Leave it as it is."
    yield ""
    yield "[written_from]"
    for path, field in sorted(draft.fields.items()):
        if path.split(".")[0] in BY_PROGRAM:
            continue
        entry = field.standing
        ids = ", ".join(_quoted(each) for each in field.head_ids)
        yield f"{_quoted(path)} = {{ text = {_quoted('' if entry is None else entry.text)}, ids = [{ids}] }}"


def _wrapped(text: str) -> tuple[str, ...]:
    return tuple(textwrap.wrap(text, WIDTH)) or ("",)


def _quoted(text: str) -> str:
    """A TOML string; JSON writes one that TOML reads."""
    return json.dumps(text, ensure_ascii=False)
