"""What the pressure stack says in words and numbers, the same for terminal and drawing."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from evenfire.delivery.figures.firing_line import FiringLine, NoLine, Shape, Steady, StoppedBy, WhyNoLine, WorkingPoint
from evenfire.delivery.figures.measured_text import printable
from evenfire.delivery.figures.stack_labels import ABSENT, COLUMNS, LEVELS, NOTES, STEADY
from evenfire.delivery.figures.stack_levels import Column, Label, Level, LevelKind, Note, SetOfSettings, StackLayout
from evenfire.delivery.units import Rounding, UnitSystem, show
from evenfire.si import Dimension, Quantity

PLUS_MINUS = "\u00b1"
NOTHING = "-"
NOT_KNOWN = "not known"
OR_BELOW = "0 or below"
NO_BREAK = "\u00a0"
"""A space at which no line ends."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of the table: what is told, and a pressure for each set of settings."""

    words: str
    cells: tuple[str, ...]


def number_of(pressure: float, system: UnitSystem, rounding: Rounding = Rounding.NEAREST) -> str:
    """A gauge pressure [Pa gauge] as a bare number in the reader's unit."""
    return show(Quantity(pressure, Dimension.GAUGE_PRESSURE), system, rounding=rounding).rsplit(" ", 1)[0]


def missing_fraction(number: str, longest: int) -> str:
    """What lacks at the end of a number to stand under others by the point, as noughts: nothing for a word."""
    if not number[-1:].isdigit():
        return ""
    _, point, decimals = number.partition(".")
    lacking = longest - len(point + decimals)
    return "" if lacking <= 0 else "0" * lacking if point else "." + "0" * (lacking - 1)


def longest_fraction(numbers: Iterable[str]) -> int:
    """Signs from the point on in the number that has most of them."""
    return max((len(rest) + 1 for number in numbers for _, point, rest in [number.partition(".")] if point), default=0)


def unit_of(system: UnitSystem) -> str:
    """The unit in which this reader sees pressures."""
    return show(Quantity(1e6, Dimension.GAUGE_PRESSURE), system).rsplit(" ", 1)[1]


def tolerance_of(label: Label, system: UnitSystem, sign: str = PLUS_MINUS) -> str:
    """The tolerance such as ``±2``, never rounded to the better side; empty where there is none."""
    if label.tolerance is None:
        return ""
    quantity = Quantity(label.tolerance, Dimension.PRESSURE_DIFFERENCE)
    return sign + show(quantity, system, rounding=Rounding.UP).rsplit(" ", 1)[0]


def names_of(label: Label, layout: StackLayout, *, full: bool) -> tuple[str, ...]:
    """What a label may call its level, the longest first; safety valves by name where they differ."""
    words = LEVELS[label.kind]
    forms = (words.full, words.short, words.least) if full else (words.short, words.least)
    valves = sum(level.kind is LevelKind.SAFETY_VALVE for level in layout.levels)
    if not label.valves or valves == 1:
        return forms
    if len(label.valves) == valves:
        return tuple(form.replace("safety valve", f"{valves} safety valves") for form in forms)
    names = ", ".join(printable(name) for name in label.valves)
    return tuple(f"{form}, {names}" for form in forms)


def name_that_fits(label: Label, layout: StackLayout, fits: Callable[[str], bool], *, full: bool) -> str:
    """The longest name that fits; the shortest where none does, and the caller shortens it."""
    names = names_of(label, layout, full=full)
    return next((name for name in names if fits(name)), names[-1])


def title_of(layout: StackLayout) -> str:
    """Boiler and place."""
    return f"{printable(layout.boiler)}, {printable(layout.site)}"


def table_of(layout: StackLayout, system: UnitSystem) -> tuple[Row, ...]:
    """Where the pressure stands at steady loads and how far it goes after a control acted."""
    return (*_steady_rows(layout, system), *_reach_rows(layout, system))


def _steady_rows(layout: StackLayout, system: UnitSystem) -> Iterator[Row]:
    points = [
        {point.load: point for point in each.line.working} if isinstance(each.line, FiringLine) else {}
        for each in layout.sets
    ]
    low = {load for found in points for load, point in found.items() if point.is_low_fire}
    for load in sorted({load for found in points for load in found}, reverse=True):
        share = show(Quantity(load, Dimension.FRACTION), system)
        words = f"steady at low fire, {share}" if load in low else f"steady at {share} load"
        yield Row(words=words, cells=tuple(_steady(found.get(load), system) for found in points))


def _steady(point: WorkingPoint | None, system: UnitSystem) -> str:
    if point is None:
        return NOTHING
    return number_of(point.pressure, system) if point.steady is Steady.STANDS else STEADY[point.steady]


def _reach_rows(layout: StackLayout, system: UnitSystem) -> Iterator[Row]:
    """At the far end of every tolerance; never rounded to the better side."""
    for kind, words, rounding in (
        (LevelKind.CUT_IN, "after cut-in, down to", Rounding.DOWN),
        (LevelKind.CUT_OUT, "after cut-out, up to", Rounding.UP),
        (LevelKind.HIGH_LIMIT, "after high limit, up to", Rounding.UP),
    ):
        levels = [layout.of(kind, each.column) for each in layout.sets]
        if any(levels):
            yield Row(words=words, cells=tuple(_reach(level, system, rounding) for level in levels))


def _reach(level: Level | None, system: UnitSystem, rounding: Rounding) -> str:
    if level is None:
        return NOTHING
    if level.reach is None:
        return NOT_KNOWN
    # Below nought air comes in, and the closed form tells no more.
    return OR_BELOW if level.reach <= 0.0 else number_of(level.reach, system, rounding)


def sentences(layout: StackLayout, system: UnitSystem) -> tuple[str, ...]:
    """What the lines of firing show, what a reader must know, and what was not surveyed.

    The space before a per cent sign is one at which no line ends.
    """
    owners: dict[str, list[str]] = {}
    for each in layout.sets:
        owners.setdefault(_line_sentence(layout, each, system), []).append(COLUMNS[each.column])
    lines = (f"{' and '.join(columns).capitalize()}: {words}" for words, columns in owners.items())
    every = (*lines, *_absent(layout), *_notes(layout, system))
    return tuple(sentence.replace(" %", f"{NO_BREAK}%") for sentence in every)


def _line_sentence(layout: StackLayout, each: SetOfSettings, system: UnitSystem) -> str:
    line = each.line
    if isinstance(line, NoLine):
        match line.why:
            case WhyNoLine.NOT_ON_A_DIAL:
                return "no line of firing: its band is not on a dial, a controller computes it."
            case WhyNoLine.NOT_KNOWN:
                return "no line of firing: not surveyed."
    if line.stop is None:
        return "what stops the burner is not surveyed."
    if line.stopped_by is StoppedBy.HIGH_LIMIT:
        if layout.of(LevelKind.CUT_OUT, each.column) is None:
            return "the high limit is all that is known to stop the burner."
        return "the high limit stops the burner before the cut-out does."
    if line.stops_before_low_fire:
        share = show(Quantity(round(line.stop.firing, 2), Dimension.FRACTION), system)
        return f"the cut-out stops the burner at {share} of full fire, before it gets down to low fire."
    if line.demand.shape is Shape.ON_OFF:
        return "full fire until the cut-out; off until the cut-in."
    return "the burner gets down to low fire before the cut-out" + _how_sure(layout, each)


def _how_sure(layout: StackLayout, each: SetOfSettings) -> str:
    """Whether low fire comes before the cut-out, by the same margin as the rule: tolerances and overshoot."""
    cut_out, low_fire = (layout.of(kind, each.column) for kind in (LevelKind.CUT_OUT, LevelKind.LOW_FIRE))
    bands = [level.band for level in (cut_out, low_fire) if level is not None and level.band is not None]
    if len(bands) < 2:
        return " by the dials; how far they may be off is not surveyed."
    if bands[0].lowest <= bands[1].highest:
        return " by the dials, but within tolerance it may not."
    match each.is_low_before_cut_out:
        case True:
            return ", tolerances and the overshoot of the design drop counted."
        case False:
            return ", tolerances counted, but not where a falling load overshoots: then it may not."
        case None:
            return ", tolerances counted; how far a falling load overshoots is not known."


def _notes(layout: StackLayout, system: UnitSystem) -> Iterator[str]:
    for note in layout.notes:
        text = NOTES[note]
        if note is Note.FIRING_CAPPED and layout.capped_at is not None:
            text = text.format(share=show(Quantity(layout.capped_at, Dimension.FRACTION), system))
        if note is Note.LEAST_TURNDOWN:
            fuels = {each.line.fuel.value for each in layout.sets if isinstance(each.line, FiringLine)}
            text = text.format(fuel=" and ".join(sorted(fuels)))
        yield text


def _absent(layout: StackLayout) -> Iterator[str]:
    every = tuple(each.column for each in layout.sets)
    by_key: dict[str, list[Column]] = {}
    for absent in layout.absent:
        by_key.setdefault(ABSENT[absent.key], []).append(absent.column)
    parts = []
    for words, columns in by_key.items():
        everywhere = Column.PLANT in columns or len(columns) == len(every)
        parts.append(words if everywhere else f"{words} ({', '.join(COLUMNS[column] for column in columns)})")
    if parts:
        yield f"Not surveyed: {'; '.join(parts)}."
