"""The page of a visit: its steps in the order of the work, each with its fields as they stand."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.acts.field_boxes import Boxes, FieldBox, Put
from evenfire.delivery.acts.judging_visit import judged_at_rest
from evenfire.delivery.intake.dial_units import dial_units
from evenfire.delivery.intake.limits import unit_of
from evenfire.delivery.intake.toml_text import parsed
from evenfire.delivery.records.attachments import attachment
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.instruments import gauges_of
from evenfire.delivery.records.registers import May, Person, people_of
from evenfire.delivery.report.boiler_text import who
from evenfire.delivery.report.visit_lines import opened_line
from evenfire.delivery.report.visit_stands import VisitStands, visit_stands
from evenfire.delivery.report.visit_steps import keys_of
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import AtVisit, JudgedVisit
from evenfire.delivery.visits.fields import MANY, MOST_ROWS, REPEATED
from evenfire.delivery.words.visit_page import LABELS, LEADS, USUAL_CHANGES, USUAL_REASONS
from evenfire.errors import BadRequest
from evenfire.judgement.trip_test.trip import TESTED, Method
from evenfire.plant.controls import Role

ANY_ROW: Final = "+"
"""In a path: the next row that is free, whichever the page finds that to be."""
EMPTY_REPEATS: Final = 3
MOST_NAMES: Final = 4
READ_ON_GAUGE: Final = frozenset({"reading", "rise", "stopped_by_hand", "restarted_at", "set", "within"})
"""Fields of a trip test in the unit of the reference gauge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowForm:
    """One row of a table that a visit has any number of."""

    row: int
    is_spare: bool
    """Nothing stands in it yet"""
    fields: Mapping[str, FieldBox]
    """By their keys; of a field that is repeated by key and number, ``reading.1``"""
    repeats: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveForm:
    """One move of the proposal, to be ticked."""

    row: int
    fields: Mapping[str, FieldBox]
    puts: tuple[Put, ...]
    """What a tick writes"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoForm:
    """One photograph that is kept."""

    row: int
    hash: str
    name: str
    """As the file was called"""
    size: str
    fields: Mapping[str, FieldBox]


@dataclass(frozen=True, slots=True, kw_only=True)
class StartTrip:
    """Begin a trip test of a control by one touch: what that writes, and where the work goes on."""

    called: str
    puts: tuple[Put, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitScreen:
    """Everything that the page of a visit shows."""

    visit: str
    boiler: str
    """Id of the boiler"""
    title: str
    opened: str
    is_open: bool
    """Whether it is neither signed nor given up"""
    is_closed: bool
    """Whether its fields take nothing from this reader"""
    stands: VisitStands
    leads: Mapping[str, str]
    call: tuple[FieldBox, ...]
    given_up: FieldBox
    found: tuple[FieldBox, ...]
    changes: tuple[RowForm, ...]
    trips: tuple[RowForm, ...]
    starts: tuple[StartTrip, ...]
    """Nothing where no row is left"""
    moves: tuple[MoveForm, ...]
    left: tuple[FieldBox, ...]
    devices: tuple[RowForm, ...]
    photos: tuple[PhotoForm, ...]
    notes: tuple[RowForm, ...]
    me: str


def visit_screen(
    store: Store, at: AtVisit, person: Person, system: UnitSystem, full: JudgedVisit | None = None
) -> VisitScreen:
    """The page of a visit for one reader; ``full`` is a judgement of these entries with proofs, if one is at hand."""
    judged = judged_at_rest(store, at) if full is None else full
    maker = _Maker(store, at, person, system)
    return VisitScreen(
        visit=at.draft.id,
        boiler=at.boiler.id,
        title=who(at.plant_file, at.surveyed),
        opened=opened_line(at),
        is_open=at.draft.is_open and not at.visit.given_up,
        is_closed=maker.boxes.is_closed,
        stands=visit_stands(judged, system),
        leads=LEADS,
        call=maker.once("call"),
        given_up=maker.boxes.box("call.given_up"),
        found=maker.once("as_found"),
        changes=maker.rows("temporary"),
        trips=maker.rows("trip"),
        starts=maker.starts(),
        moves=maker.moves(),
        left=maker.once("as_left"),
        devices=maker.rows("device"),
        photos=maker.photos(),
        notes=maker.rows("note"),
        me=person.name,
    )


def first_step(screen: VisitScreen) -> str:
    """Where the work goes on: at what stands open, else at the first step that is not done."""
    steps = screen.stands.steps
    if not screen.is_open:
        return ""
    if steps["temporary"].is_alarm:
        return "temporary"
    ordered = ("call", "as_found", "move", "trip", "as_left") if screen.moves else ("call", "as_found", "move")
    return next((name for name in ordered if not steps[name].is_done), "sign")


class _Maker:
    """Makes the boxes of one page."""

    def __init__(self, store: Store, at: AtVisit, person: Person, system: UnitSystem) -> None:
        self.store, self.at, self.me = store, at, person.name
        document = parsed(at.survey.toml(), at.survey.origin)
        place = next(place for place, each in enumerate(document["boiler"]) if each.get("name") == at.boiler.name)
        self.boxes = Boxes(
            at=at,
            system=system,
            units=dial_units(document, place),
            is_closed=not at.draft.is_open or person.may is May.READ,
        )
        self.gauges = {each.serial: unit_of(each.scale_to) or "" for each in gauges_of(store) if not each.is_retired}
        self.names = _names(store, at, self.me)

    def once(self, table: str) -> tuple[FieldBox, ...]:
        """The fields of a table that is filled in once."""
        keys = (key for key in keys_of(self.at, table) if (table, key) != ("call", "given_up"))
        return tuple(self.boxes.box(f"{table}.{key}", taps=self._taps(table, key, "")) for key in keys)

    def rows(self, table: str) -> tuple[RowForm, ...]:
        """The rows that stand, and an empty one behind them."""
        stand = self.at.fold.rows(table)
        last = max(stand, default=0)
        wanted = stand if self.boxes.is_closed or last == MOST_ROWS else (*stand, last + 1)
        return tuple(self._row(table, row, is_spare=row not in stand) for row in wanted)

    def starts(self) -> tuple[StartTrip, ...]:
        """One touch for each limit of the boiler: the next row takes its name."""
        if self.boxes.is_closed or MOST_ROWS in self.at.fold.rows("trip"):
            return ()
        controls = (role for role in TESTED if self.at.surveyed.controls.of(role) is not None)
        return tuple(
            StartTrip(
                called=LABELS[role.value],
                puts=(
                    (f"trip.{ANY_ROW}.control", role.value),
                    (f"trip.{ANY_ROW}.method", Method.TRUE_RISE.value),
                ),
            )
            for role in controls
        )

    def moves(self) -> tuple[MoveForm, ...]:
        """The moves of the proposal."""
        found = []
        for move in self.at.visit.moves:
            start = f"move.{move.row}"
            fields = {
                "done_at": self.boxes.box(f"{start}.done_at"),
                "done_by": self.boxes.box(f"{start}.done_by"),
            }
            puts: tuple[Put, ...] = ((f"{start}.done_at", None), (f"{start}.done_by", self.me))
            found.append(MoveForm(row=move.row, fields=fields, puts=puts))
        return tuple(found)

    def photos(self) -> tuple[PhotoForm, ...]:
        """The photographs that are kept, as files."""
        found = []
        for photo in self.at.visit.photos:
            try:
                kept = attachment(self.store, photo.hash)
                name, size = kept.name, f"{kept.size / 1000:,.0f} kB"
            except BadRequest:
                name, size = "not in this store", ""
            fields = {"shows": self.boxes.box(f"photo.{photo.row}.shows")}
            found.append(PhotoForm(row=photo.row, hash=photo.hash, name=name, size=size, fields=fields))
        return tuple(found)

    def _row(self, table: str, row: int, *, is_spare: bool) -> RowForm:
        start = f"{table}.{row}"
        unit = self._gauge_unit(row) if table == "trip" else ""
        fields = {}
        for key in MANY[table]:
            of_gauge = unit if key in READ_ON_GAUGE else None
            if (table, key) == ("trip", "dial"):
                of_gauge = self.boxes.units.get(self.at.fold.text(f"{start}.control") or Role.HIGH_LIMIT.value, "")
            puts = self._puts(start) if (table, key) == ("temporary", "what") else ()
            fields[key] = self.boxes.box(f"{start}.{key}", taps=self._taps(table, key, start), puts=puts, unit=of_gauge)
        repeats: tuple[int, ...] = ()
        if table in REPEATED:
            stand = [repeat for key in REPEATED[table] for repeat in self.at.fold.repeats(table, row, key)]
            repeats = tuple(range(1, max((*stand, EMPTY_REPEATS)) + 1))
            for key in REPEATED[table]:
                for repeat in repeats:
                    of_gauge = unit if key in READ_ON_GAUGE else None
                    fields[f"{key}.{repeat}"] = self.boxes.box(f"{start}.{key}.{repeat}", unit=of_gauge)
        return RowForm(row=row, is_spare=is_spare, fields=fields, repeats=repeats)

    def _puts(self, start: str) -> tuple[Put, ...]:
        """Who opens a temporary change is who writes it down, now; both can be corrected before anybody closes it."""
        return (f"{start}.opened_by", self.me), (f"{start}.opened_at", None)

    def _gauge_unit(self, row: int) -> str:
        """Of the gauge that was written down; of the only unit in the bag; none where there are several."""
        named = self.gauges.get(self.at.fold.text(f"trip.{row}.gauge") or "")
        units = set(self.gauges.values())
        return named or (units.pop() if len(units) == 1 else "")

    def _taps(self, table: str, key: str, start: str) -> tuple[str, ...]:
        match table, key:
            case ("trip", "gauge"):
                return tuple(self.gauges)
            case ("trip", "gauge_leg"):
                return ("0 in",)
            case ("trip", "at_the_stop"):
                return self.names
            case ("temporary", "what"):
                has_hold = self.at.surveyed.controls.low_fire_hold is not None
                return USUAL_CHANGES if has_hold else USUAL_CHANGES[:1]
            case ("temporary", "reason"):
                return USUAL_REASONS
            case ("temporary", "verified_by"):
                closer = self.at.fold.text(f"{start}.closed_by") or self.me
                return tuple(name for name in self.names if name != closer)
            case ("device", "valve"):
                return tuple(each.name for each in self.at.surveyed.safety_valves if each.name)
            case ("as_left", "locked_out_by"):
                return self.names[:1]
            case _:
                return ()


def _names(store: Store, at: AtVisit, me: str) -> tuple[str, ...]:
    """Who is likely to be meant: who is at the page, who was named on this visit, who writes in this store."""
    visit = at.visit
    named = [trip.at_the_stop for trip in visit.trips] + [
        name for change in visit.temporary_changes for name in (change.opened_by, change.verified_by)
    ]
    known = [each.name for each in people_of(store) if each.may is not May.READ]
    return tuple(dict.fromkeys(each for each in (me, *named, *known) if each))[:MOST_NAMES]
