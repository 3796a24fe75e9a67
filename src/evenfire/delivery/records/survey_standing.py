"""What stands on a survey draft: each field by itself, the plant that comes of them, and where it cannot be one."""

import tomllib
from collections.abc import Iterable, Iterator, Mapping, Set
from copy import deepcopy
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from typing import Any, Final

from evenfire.delivery.intake.plant_file import PlantFile, document_in, read_plant_text, stated_ambient
from evenfire.delivery.intake.problem import KeyPath, Problem
from evenfire.delivery.intake.survey_fields import (
    ROW,
    Group,
    SurveyField,
    field_if_any,
    field_of,
    fields,
    reading_of,
    rows,
)
from evenfire.delivery.intake.survey_kinds import Reading
from evenfire.delivery.records.canonical import Plain
from evenfire.delivery.records.survey_document import document_of_plant, toml_of
from evenfire.delivery.records.survey_tree import (
    Laid,
    Tree,
    laid_into,
    list_put,
    numbers_in,
    path_of,
    put,
    take_away,
    texts_of,
    tree_of,
)
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.folding import Draft
from evenfire.errors import BadPlantFile
from evenfire.si import AbsPa

MOST_ROUNDS: Final = 8
"""In each round something is left out of the judgement; a plant that is still impossible then is not judged."""
ALWAYS_DRAWN: Final = ("boiler.burner", "boiler.safety_valve")
"""Lists of which one empty row waits where there is none: few boilers lack them."""
_NO_READING: Final = Reading()


@dataclass(frozen=True, slots=True, kw_only=True)
class Surveyed:
    """The plant that a draft is laid over."""

    plant: Mapping[str, Plain]
    """Of the newest survey of the site; empty where there is none"""
    began_with: Mapping[str, Plain] | None
    """Of the survey that the draft began with, where that is another one"""
    site: str
    boiler: str
    """Names in the registers"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Something that is wrong with the plant as typed, at the field where it stands."""

    path: str
    """A field, or a table of fields; empty where it is none of this boiler"""
    found: str
    do: str
    is_missing: bool
    """Nothing is wrong with what stands there: nothing stands there yet"""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingField:
    """One field of a survey draft."""

    field: SurveyField
    text: str
    """What stands there, as typed; of two values the newer; empty where nothing does"""
    before: str
    """What the newest survey says"""
    heads: tuple[Entry, ...]
    """Entries that no other replaces"""
    is_in_conflict: bool
    reading: Reading
    problems: tuple[Placed, ...]
    is_idle: bool
    """It does not count with what stands beside it"""
    is_left_out: bool
    """What is judged was judged without it"""

    @property
    def is_changed(self) -> bool:
        """Whether something else stands there than the newest survey says."""
        return self.is_in_conflict or self.text.strip() != self.before.strip()

    @property
    def is_good(self) -> bool:
        """Whether nothing stands against taking it as it is."""
        return not self.is_in_conflict and self.reading.why_not is None and not self.problems


@dataclass(frozen=True, kw_only=True)
class Standing:
    """Everything that stands on a survey draft."""

    fields: tuple[StandingField, ...]
    """In the order of the groups"""
    problems: tuple[Placed, ...]
    text: str | None
    """The plant file that is judged; nothing where what stands is none"""
    plant_file: PlantFile | None

    @cached_property
    def against(self) -> tuple[StandingField, ...]:
        """Fields that stand against taking this as a survey."""
        return tuple(each for each in self.fields if not each.is_good)

    @property
    def is_complete(self) -> bool:
        """Whether it can be taken as a survey: all of it can be read, and nothing was left out."""
        return self.plant_file is not None and not self.against and not self.problems

    @property
    def conflicts(self) -> tuple[StandingField, ...]:
        """Fields with two values."""
        return tuple(each for each in self.fields if each.is_in_conflict)

    @property
    def unread(self) -> tuple[StandingField, ...]:
        """Fields that could not be read."""
        return tuple(each for each in self.fields if each.reading.why_not is not None and not each.is_in_conflict)

    @property
    def changed(self) -> tuple[StandingField, ...]:
        """Fields that say something else than the newest survey."""
        return tuple(each for each in self.fields if each.is_changed)


def standing_of(base: Surveyed, draft: Draft, *, more: Iterable[str] = ()) -> Standing:
    """What stands on a survey draft; ``more`` names the lists of which one more empty row is wanted."""
    tree = _base_tree(base, draft)
    before = texts_of(tree)
    texts = {**before, **{path: _newest(draft, path) for path in draft.fields if field_if_any(path) is not None}}
    ambient = stated_air(base.plant, draft)
    readings = {path: reading_of(path, text, ambient=ambient) for path, text in texts.items() if text.strip()}
    _type_into(tree, before, texts, readings, draft)
    judged = _judged(laid_into(tree, base.plant, base.site, base.boiler), base.boiler)
    known = _Known(readings=readings, judged=judged, problems=_by_path(judged.problems))
    drawn = _drawn({key: _numbers(key, tree, draft, frozenset(more)) for key in rows()})
    at = (_field(each, draft, texts, before, known) for each in drawn)
    order = {group: place for place, group in enumerate(Group)}
    return Standing(
        fields=tuple(sorted(at, key=lambda each: order[each.field.group])),
        problems=judged.problems,
        text=judged.text,
        plant_file=judged.plant_file,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    """A plant as far as it can be judged."""

    problems: tuple[Placed, ...]
    left_out: frozenset[str]
    """Paths of what was left out"""
    idle: frozenset[str]
    text: str | None
    plant_file: PlantFile | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What is known of all fields."""

    readings: Mapping[str, Reading]
    judged: _Judged
    problems: Mapping[str, tuple[Placed, ...]]


def _by_path(problems: Iterable[Placed]) -> Mapping[str, tuple[Placed, ...]]:
    found: dict[str, list[Placed]] = {}
    for each in problems:
        found.setdefault(each.path, []).append(each)
    return {path: tuple(listed) for path, listed in found.items()}


def _base_tree(base: Surveyed, draft: Draft) -> Tree:
    """The newest survey; a list into whose rows somebody typed stays as he saw it, for its rows have no other names."""
    tree = tree_of(base.plant, base.boiler)
    if base.began_with is not None:
        began = tree_of(base.began_with, base.boiler)
        if not tree["boiler"]:
            # The newest survey leaves this boiler out: what is known of it stands in the one before.
            tree["boiler"] = began["boiler"]
        for key in rows():
            if any(path.startswith(f"{key}.") for path in draft.fields):
                list_put(tree, began, key)
    return tree


def _newest(draft: Draft, path: str) -> str:
    return draft.fields[path].heads[-1].text


def stated_air(plant: Mapping[str, Plain], draft: Draft) -> AbsPa | None:
    """Pressure of the air as far as a draft over this plant states it [Pa abs]."""
    known = plant.get("site")
    site: dict[str, object] = {"name": "site"}
    for key in ("altitude", "barometer"):
        path = f"site.{key}"
        field = draft.fields.get(path)
        stands: object = known.get(key) if isinstance(known, dict) else None
        if field is not None:
            text = "" if field.is_in_conflict else field.heads[-1].text
            stands = reading_of(path, text).value if text.strip() else None
        if stands is not None:
            site[key] = stands
    return stated_ambient({"site": site})


def _type_into(
    tree: Tree, before: Mapping[str, str], texts: Mapping[str, str], readings: Mapping[str, Reading], draft: Draft
) -> None:
    """Lay what was typed over the survey; what cannot be told is taken away, and counts as unknown."""
    for path, field in draft.fields.items():
        if field_if_any(path) is None:
            continue
        reading = readings.get(path)
        if not field.is_in_conflict and texts[path].strip() == before.get(path, "").strip():
            continue
        if field.is_in_conflict or reading is None or reading.value is None:
            take_away(tree, path)
        else:
            put(tree, path, reading.value)


def _judged(laid: Laid, boiler: str) -> _Judged:
    """The plant, if need be without what makes it impossible; never without what decides whether it is one."""
    plant = deepcopy(laid.plant)
    problems: dict[Placed, None] = {}
    left_out: set[str] = set()
    for _ in range(MOST_ROUNDS):
        text = toml_of(document_of_plant(plant))
        plant_file = plant_in(text, f"survey of {boiler}")
        if plant_file is not None:
            return _Judged(
                problems=tuple(problems),
                left_out=frozenset(left_out),
                idle=laid.idle,
                text=text,
                plant_file=plant_file,
            )
        _, found = document_in(tomllib.loads(text))
        problems.update(dict.fromkeys(_placed(each, laid) for each in found))
        without = {path for each in found if (path := _left_out(each, laid)) is not None}
        if not without or not all(_cut(plant, place) for place in without):
            break
        left_out.update(path_of(laid, place) for place in without)
    return _Judged(problems=tuple(problems), left_out=frozenset(), idle=laid.idle, text=None, plant_file=None)


@lru_cache(maxsize=32)
def plant_in(text: str, name: str) -> PlantFile | None:
    """The plant of a text, if it is one; page, judgement and drawing ask for the same."""
    try:
        return read_plant_text(text, name)
    except BadPlantFile:
        return None


def _placed(problem: Problem, laid: Laid) -> Placed:
    path = path_of(laid, problem.path)
    is_missing = problem.found == f"{problem.path[-1]} is missing"
    return Placed(path=path, found=problem.found, do=problem.do, is_missing=is_missing)


def _left_out(problem: Problem, laid: Laid) -> KeyPath | None:
    """The place of what can be left out so that this problem is none; nothing where it decides too much."""
    path = path_of(laid, problem.path)
    parts = path.split(".")
    pattern = [ROW if part.isdigit() else part for part in parts]
    for depth in range(1, len(parts) + 1):
        is_required = _wholes().get(".".join(pattern[:depth]))
        if is_required is not None:
            return None if is_required else problem.path[: depth + (1 if parts[0] == "boiler" else 0)]
    return None


@cache
def _wholes() -> Mapping[str, bool]:
    """What is left out as a whole, and whether it must not be."""
    return {each.whole: each.is_whole_required for each in fields().values()}


def _cut(plant: Any, place: KeyPath) -> bool:
    """Take a key out of a plant; whether it was there."""
    for part in place[:-1]:
        plant = plant[part]
    return plant.pop(place[-1], None) is not None


def _numbers(key: str, tree: Tree, draft: Draft, more: Set[str]) -> tuple[int, ...]:
    """Numbers of the rows of a list that are drawn."""
    depth = key.count(".") + 1
    typed_in = (
        int(path.split(".")[depth])
        for path, field in draft.fields.items()
        if path.startswith(f"{key}.") and (field.is_in_conflict or field.heads[-1].text.strip())
    )
    found = {*numbers_in(tree, key), *typed_in}
    if (not found and key in ALWAYS_DRAWN) or key in more:
        found.add(max(found, default=0) + 1)
    return tuple(sorted(each for each in found if each <= rows()[key].most))


def _drawn(numbers: Mapping[str, tuple[int, ...]]) -> Iterator[SurveyField]:
    """Every field that is drawn, rows one after the other."""
    listed: dict[str, list[str]] = {}
    for pattern in fields():
        listed.setdefault(pattern.partition(f".{ROW}.")[0] if ROW in pattern else pattern, []).append(pattern)
    for head, patterns in listed.items():
        for number in numbers.get(head, (0,)):
            yield from (field_of(pattern.replace(ROW, str(number))) for pattern in patterns)


def _field(
    field: SurveyField, draft: Draft, texts: Mapping[str, str], before: Mapping[str, str], known: _Known
) -> StandingField:
    typed_in = draft.fields.get(field.path)
    judged = known.judged
    return StandingField(
        field=field,
        text=texts.get(field.path, ""),
        before=before.get(field.path, ""),
        heads=typed_in.heads if typed_in is not None else (),
        is_in_conflict=typed_in is not None and typed_in.is_in_conflict,
        reading=known.readings.get(field.path, _NO_READING),
        problems=known.problems.get(field.path, ()),
        is_idle=field.path in judged.idle,
        is_left_out=field.whole in judged.left_out and bool(texts.get(field.path, "").strip()),
    )
