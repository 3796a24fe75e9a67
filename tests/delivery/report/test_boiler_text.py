"""What an answer says of what was assumed: the value, in words where it is no number, and the key that ends it."""

from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.report.boiler_text import assumption_lines
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import UnitSystem
from tests.surveys import survey

PAGE = Page(80, UnitSystem.US)


def lines(plant_file: PlantFile, *, motion: bool) -> dict[str, str]:
    """By the name of the assumption at the end of each line."""
    return {line.split()[-1].rstrip("."): line for line in assumption_lines(plant_file, PAGE, motion=motion)}


def test_an_answer_without_a_run_does_not_speak_of_what_only_a_run_uses() -> None:
    surveyed = survey({"boiler.feed_capacity": None}, "vertical")
    assert lines(surveyed, motion=False) == {}
    assert len(lines(surveyed, motion=True)) == 6


def test_a_yes_is_shown_in_words_and_a_quantity_in_its_unit() -> None:
    told = lines(survey(), motion=True)
    assert told["ASSUMED_BREAKS_VACUUM"].startswith("boiler.vacuum_breaker: air gets in when it cools. ")
    assert ": 3 %. " in told["ASSUMED_LEVEL_BAND"]
    assert ": 1 s. " in told["ASSUMED_CONTROL_LAG"]
    assert told["ASSUMED_RESET_DIFFERENTIAL"].startswith("boiler.controls.high_limit.reset_differential: 5")
    capacity = lines(survey({"boiler.feed_capacity": None}), motion=True)["ASSUMED_FEED_CAPACITY"]
    # 200 boiler horsepower evaporate 6900 lb/h from and at 212 F (DOE steam tip sheet 16); twice that is assumed.
    assert " 13,800 lb/h. " in capacity
