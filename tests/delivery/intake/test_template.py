"""The file that a person starts from: complete, loadable, and honest about what it does not know."""

import itertools
import json
import re

from evenfire.delivery.intake.plant_file import FILL_IN, read_plant_text
from evenfire.delivery.intake.schema import plant_file_schema
from evenfire.delivery.intake.template import WIDTH, new_plant_file
from evenfire.plant.known import Origin

KEY = re.compile(r"^# (?P<key>[a-z_]+) = ")


def loaded_with(*keys: str) -> str:
    """The new file with the # taken away from some keys, the first of each name."""
    text = new_plant_file()
    for key in keys:
        text, count = re.subn(rf"^# ({key} = )", r"\1", text, count=1, flags=re.MULTILINE)
        assert count == 1, key
    return text


def test_it_loads_as_it_is_and_what_nobody_gave_is_unknown() -> None:
    plant = read_plant_text(new_plant_file(), "new.toml").plant
    boiler = plant.boilers[0]
    assert plant.load.need is None
    assert boiler.output is None
    assert boiler.water_volume is None
    assert boiler.as_found is not None
    assert boiler.as_found.settings.operating_limit is None
    assert boiler.as_found.jumpers is None
    assert boiler.proposed is None
    assert boiler.as_left is None
    assert boiler.burners[0].turndown is None
    assert boiler.safety_valves[0].capacity is None
    for control in (boiler.controls.high_limit, boiler.controls.operating_limit):
        assert control is not None
        assert control.tolerance.dial is None
        assert control.reset is None
    assert plant.site.ambient.origin is Origin.ASSUMED


def test_every_key_of_the_format_can_be_found_in_it() -> None:
    text = new_plant_file()
    schema = plant_file_schema()
    in_words = {"hours", "base", "batch", "lasting", "per_hour", "fixed"}
    by_the_program = {"plant_revision", "engine_version", "proposed"}
    for table in ({"properties": schema["properties"]}, *schema["$defs"].values()):
        for key in table.get("properties", {}):
            if key not in by_the_program:
                assert re.search(rf"\b{key}\b", text), key
            if key not in by_the_program | in_words and "Table" not in json.dumps(table["properties"][key]):
                assert re.search(rf"\b{key} = ", text), key


def test_each_key_works_when_its_mark_is_taken_away() -> None:
    """But for those that exclude each other, every example is good as it stands."""
    text = new_plant_file()
    excluded = {"barometer", "demand", "differential_scale", "standing_loss"}
    keys = [found["key"] for line in text.split("\n") if (found := KEY.match(line)) and found["key"] not in excluded]
    assert len(keys) > 60
    lines = [
        line.removeprefix("# ") if (found := KEY.match(line)) and found["key"] not in excluded else line
        for line in text.split("\n")
    ]
    lines = [line.replace("# [boiler.as_left]", "[boiler.as_left]") for line in lines]
    plant = read_plant_text("\n".join(lines), "all.toml").plant
    boiler = plant.boilers[0]
    assert boiler.as_left is not None
    assert boiler.controls.high_limit is not None
    assert boiler.controls.high_limit.reset is not None
    assert plant.load.design_drop is not None


def test_the_keys_that_exclude_each_other_work_one_at_a_time() -> None:
    assert read_plant_text(loaded_with("barometer"), "a.toml").plant.site.ambient.assumption == ""
    assert read_plant_text(loaded_with("demand"), "b.toml").plant.load.demand is not None
    assert read_plant_text(loaded_with("output", "standing_loss"), "c.toml").plant.boilers[0].output is not None
    operating_limit = (
        read_plant_text(loaded_with("differential_scale"), "d.toml").plant.boilers[0].controls.operating_limit
    )
    assert operating_limit is not None


def test_lines_stay_within_a_page_and_each_explanation_stands_above_its_key() -> None:
    lines = new_plant_file().split("\n")
    assert max(len(line) for line in lines) <= WIDTH
    for above, line in itertools.pairwise(lines):
        if line.startswith(("name", "mawp", "fuel", "set")):
            assert above.startswith("## ")


def test_what_must_be_filled_in_is_marked_and_nothing_else_is_set() -> None:
    lines = [line for line in new_plant_file().split("\n") if line and not line.startswith(("#", "["))]
    unmarked = [line for line in lines if not line.endswith(FILL_IN)]
    assert unmarked == ["format = 1"]


def test_an_explanation_that_the_schema_gives_is_the_one_in_the_file() -> None:
    words = " ".join(new_plant_file().replace("\n## ", " ").split())
    description = plant_file_schema()["$defs"]["BoilerTable"]["properties"]["mawp"]["description"]
    assert f"## {description} mawp" in words.replace("\n", " ") or description in words
