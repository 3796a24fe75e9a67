"""How each thing in the pressure stack looks: in print by dash, width and hatch, on a screen by colour as well."""

from collections.abc import Mapping
from typing import Final

from evenfire.delivery.figures.stack_levels import Column, LevelKind
from evenfire.delivery.figures.svg_elements import Look, element

BLACK: Final = "#000"
WHITE: Final = "#fff"


def _stroke(name: str, width: float, dash: str = "") -> Look:
    return Look(name=name, stroke=BLACK, width=width, dash=dash)


LEVEL_LOOKS: Final[Mapping[LevelKind, Look]] = {
    LevelKind.MAWP: _stroke("ps-danger", 3.5),
    LevelKind.RATED_MAX: _stroke("ps-plant", 1.5, "9 3"),
    LevelKind.SAFETY_VALVE: _stroke("ps-danger", 2.0),
    LevelKind.EARLIEST_LIFT: _stroke("ps-danger", 1.5, "4 2"),
    LevelKind.RESEAT: _stroke("ps-danger", 1.5, "1.5 2.5"),
    LevelKind.WISH: _stroke("ps-plant", 1.5, "9 2.5 1.5 2.5"),
    LevelKind.NEED: _stroke("ps-plant", 2.0, "14 3"),
    LevelKind.HIGH_LIMIT: _stroke("ps-limit", 3.0),
    LevelKind.CUT_OUT: _stroke("ps-limit", 2.5),
    LevelKind.CUT_IN: _stroke("ps-limit", 1.5, "3 3"),
    LevelKind.LOW_FIRE: _stroke("ps-rate", 1.0, "6 2"),
    LevelKind.HIGH_FIRE: _stroke("ps-rate", 1.0),
    LevelKind.LOW_FIRE_HOLD: _stroke("ps-rate", 2.0, "7 2 1.5 2 1.5 2"),
}
"""No two are the same in dash and width: colour only helps."""

PAGE: Final = Look(name="ps-page", fill=WHITE)
PANEL: Final = Look(name="ps-panel", fill=WHITE, stroke="#666", width=1.0)
GRID: Final = Look(name="ps-grid", stroke="#bbb", width=0.75)
AXIS: Final = _stroke("ps-line", 1.25)
LEADER: Final = Look(name="ps-leader", stroke="#444", width=0.75)
CARRY: Final = Look(name="ps-leader", stroke="#444", width=0.75, dash="1 3")
VALVE_ZONE: Final = Look(name="ps-zone", fill="url(#ps-hatch)")
FORBIDDEN: Final = Look(name="ps-zone", fill="url(#ps-cross)")
TOLERANCE: Final = Look(name="ps-zone", fill="url(#ps-dots)")
FIRE: Final[Mapping[Column, Look]] = {
    Column.AS_FOUND: Look(name="ps-fire-found", fill="#eee"),
    Column.PROPOSED: Look(name="ps-fire", fill="#d4d4d4"),
    Column.AS_LEFT: Look(name="ps-fire", fill="#d4d4d4"),
}
LINE: Final[Mapping[Column, Look]] = {
    Column.AS_FOUND: _stroke("ps-line", 2.0, "6 3"),
    Column.PROPOSED: _stroke("ps-line", 2.25),
    Column.AS_LEFT: _stroke("ps-line", 2.25),
}
BEYOND: Final = _stroke("ps-line", 1.25, "1.5 3.5")
BACK: Final = _stroke("ps-limit", 1.5, "3 3")
OFF: Final = _stroke("ps-limit", 5.0)
REACH: Final = _stroke("ps-line", 1.5)
WORKING: Final = Look(name="ps-dot", fill=BLACK, stroke=WHITE, width=1.25)
NEVER: Final = _stroke("ps-line", 1.5)
MARK: Final[Mapping[Column, Look]] = {
    Column.AS_FOUND: Look(name="ps-hollow", fill=WHITE, stroke=BLACK, width=1.5),
    Column.PROPOSED: Look(name="ps-solid", fill=BLACK, stroke=BLACK, width=1.5),
    Column.AS_LEFT: Look(name="ps-solid", fill=BLACK, stroke=BLACK, width=1.5),
}
BOUND: Final = Look(name="ps-bound", fill=BLACK)
PATCH_EDGE: Final = Look(name="ps-leader", stroke="#444", width=0.75)
BREAK: Final = Look(name="ps-page", fill=WHITE)
BREAK_EDGE: Final = Look(name="ps-line", stroke=BLACK, width=1.0)

_PATTERN_LINE: Final = Look(name="ps-hatching", stroke="#555", width=1.0)
_PATTERN_DOT: Final = Look(name="ps-dotting", fill="#777")


def patterns() -> str:
    """Hatches, told apart without colour: slanting for the valve, crossed above MAWP, dots for tolerance."""
    return element(
        "defs",
        {},
        _pattern("ps-hatch", 6, ["M-1,7 L7,-1", "M-1,1 L1,-1", "M5,7 L7,5"]),
        _pattern("ps-cross", 6, ["M0,0 L6,6", "M6,0 L0,6"]),
        _tile("ps-dots", 4, element("circle", {"cx": 2, "cy": 2, "r": 0.8} | _PATTERN_DOT.attributes)),
    )


def _pattern(name: str, size: float, paths: list[str]) -> str:
    return _tile(name, size, *(element("path", {"d": path} | _PATTERN_LINE.attributes) for path in paths))


def _tile(name: str, size: float, *inside: str) -> str:
    return element("pattern", {"id": name, "width": size, "height": size, "patternUnits": "userSpaceOnUse"}, *inside)


LIGHT: Final[Mapping[str, tuple[str, str]]] = {
    "ps-page": ("#fff", ""),
    "ps-panel": ("#fafaf7", "#8a8f94"),
    "ps-ink": ("#101418", ""),
    "ps-grid": ("", "#d5d7d3"),
    "ps-line": ("", "#101418"),
    "ps-leader": ("", "#5a6066"),
    "ps-hatching": ("", "#b03a2e"),
    "ps-dotting": ("#5a7896", ""),
    "ps-danger": ("", "#a3161a"),
    "ps-plant": ("", "#1d6b3a"),
    "ps-limit": ("", "#0b4f96"),
    "ps-rate": ("", "#101418"),
    "ps-fire-found": ("#fbead0", ""),
    "ps-fire": ("#f8cf94", ""),
    "ps-dot": ("#101418", "#fff"),
    "ps-hollow": ("#fff", "#101418"),
    "ps-solid": ("#101418", "#101418"),
    "ps-bound": ("#1d6b3a", ""),
}
"""Class: colour of fill and of stroke on a light screen."""
DARK: Final[Mapping[str, tuple[str, str]]] = {
    "ps-page": ("#14171a", ""),
    "ps-panel": ("#1d2125", "#7d848b"),
    "ps-ink": ("#f4f4f0", ""),
    "ps-grid": ("", "#3a4046"),
    "ps-line": ("", "#f4f4f0"),
    "ps-leader": ("", "#a9b0b7"),
    "ps-hatching": ("", "#ff9a90"),
    "ps-dotting": ("#9dbfe0", ""),
    "ps-danger": ("", "#ff9a90"),
    "ps-plant": ("", "#7fd39b"),
    "ps-limit": ("", "#8cc4ff"),
    "ps-rate": ("", "#f4f4f0"),
    "ps-fire-found": ("#4a3a20", ""),
    "ps-fire": ("#7d5518", ""),
    "ps-dot": ("#f4f4f0", "#14171a"),
    "ps-hollow": ("#14171a", "#f4f4f0"),
    "ps-solid": ("#f4f4f0", "#f4f4f0"),
    "ps-bound": ("#7fd39b", ""),
}


def style_sheet() -> str:
    """Colours for a light and a dark screen; print has none and stays black on white."""
    light, dark = _rules(LIGHT), _rules(DARK)
    unseen = ".ps-unseen{fill:none}"
    return f"{unseen}@media screen{{{light}}}@media screen and (prefers-color-scheme:dark){{{dark}}}"


def _rules(colours: Mapping[str, tuple[str, str]]) -> str:
    rules = []
    for name, (fill, stroke) in colours.items():
        parts = [f"fill:{fill}"] * bool(fill) + [f"stroke:{stroke}"] * bool(stroke)
        rules.append(f".{name}{{{';'.join(parts)}}}")
    return "".join(rules)
