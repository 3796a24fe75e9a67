"""Lines of keys: where an editor would put the cursor."""

import pytest

from evenfire.delivery.intake.locate import Path, line_of

TEXT = """\
format = 1
[site]
name = "a"
[[boiler]]
name = "one"
[boiler.controls.high_limit]
scale = { from = "1 psi", to = "2 psi" }
[[boiler.safety_valve]]
set = "1 psi"
[[boiler.safety_valve]]
set = "2 psi"
[[boiler]]
"quoted name" = 1
controls.low_fire_hold.siphon = true
[[boiler.safety_valve]]
steps = [
    { for = "1 h" },
    { for = "2 h", steam = [1, 2] },
]
"""

WHERE: list[tuple[Path, int | None]] = [
    (("format",), 1),
    (("site",), 2),
    (("site", "name"), 3),
    (("site", "missing"), 2),
    (("boiler",), 4),
    (("boiler", 0), 4),
    (("boiler", 0, "name"), 5),
    (("boiler", 0, "controls"), 6),
    (("boiler", 0, "controls", "high_limit", "scale", "to"), 7),
    (("boiler", 0, "safety_valve"), 8),
    (("boiler", 0, "safety_valve", 0, "set"), 9),
    (("boiler", 0, "safety_valve", 1, "set"), 11),
    (("boiler", 0, "safety_valve", 1, "name"), 10),
    (("boiler", 1), 12),
    (("boiler", 1, "quoted name"), 13),
    (("boiler", 1, "controls", "low_fire_hold", "siphon"), 14),
    (("boiler", 1, "controls", "low_fire_hold"), 14),
    (("boiler", 1, "safety_valve", 0), 15),
    (("boiler", 1, "safety_valve", 0, "steps", 0, "for"), 17),
    (("boiler", 1, "safety_valve", 0, "steps", 1, "steam", 1), 18),
    (("boiler", 2), 4),
    (("load",), None),
    ((), None),
]


@pytest.mark.parametrize(("path", "line"), WHERE, ids=str)
def test_a_key_is_found_on_its_line_or_on_that_of_the_table_around_it(path: Path, line: int | None) -> None:
    assert line_of(TEXT, path) == line


def test_letters_outside_of_ascii_do_not_move_the_lines() -> None:
    assert line_of('a = "\u00b0\u00bd\U0001f525"\nb = 1\n', ("b",)) == 2


def test_a_text_that_is_no_toml_still_gives_what_can_be_found() -> None:
    assert line_of("[site]\nname = = 1\n[load]\nneed = 1\n", ("load", "need")) == 4
