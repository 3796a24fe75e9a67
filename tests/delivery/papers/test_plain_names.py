"""Codes and paths that a flag lists, by the names that people know."""

import pytest

from evenfire.delivery.papers.plain_names import in_plain_names, name_of_path
from evenfire.delivery.visits.fields import MANY, ONCE, REPEATED
from evenfire.judgement.rulebook import RULES

SAID = "Could not be judged, though no boiler may be fired without it: {codes}."


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (
            "Not read as left: as_left.high_limit, as_left.low_fire_hold.",
            "Not read as left: high limit, as left; low-fire hold, as left.",
        ),
        (
            "Two values stand in trip.2.reading.1, as_left.switch. Choose one.",
            "Two values stand in trip test 2, reading 1; firing-rate switch, as left. Choose one.",
        ),
        (
            "Not understood: trip.1.rise. Write the number with its unit.",
            "Not understood: trip test 1, rise in ten seconds. Write the number with its unit.",
        ),
        (
            "Left elsewhere than proposed: operating_limit_differential.",
            "Left elsewhere than proposed: differential of the operating limit.",
        ),
        (
            "This breaks what no boiler may be fired with: sensing-line-open. Mend it.",
            (
                'This breaks what no boiler may be fired with: "Is there no shutoff valve between the boiler and the '
                'control?". Mend it.'
            ),
        ),
    ],
)
def test_what_a_flag_lists_is_named(said: str, told: str) -> None:
    assert in_plain_names(said) == told


@pytest.mark.parametrize(
    "said",
    [
        "Not ticked: move 1, 2.",
        "A bypass was left on, or nobody looked.",
        "The switch stands in manual. Choose one.",
        "Left elsewhere than proposed: a_dial_that_nobody_knows.",
        "Could not be judged: an-older-rule, siphon-fitted.",
        "Fails in motion as left: steady loads, the plant's day, pick-up.",
        "Temporary change 1 is open. Put it back, have somebody see it, write both down.",
    ],
)
def test_what_has_no_name_stays_as_it_was_signed(said: str) -> None:
    assert in_plain_names(said) == said


@pytest.mark.parametrize("code", [rule.code for rule in RULES])
def test_every_rule_is_named_by_its_question(code: str) -> None:
    told = in_plain_names(SAID.format(codes=code))
    assert code not in told
    assert told.endswith('?".')


def test_no_field_of_a_visit_is_called_by_its_path() -> None:
    paths = [f"{table}.{field}" for table, fields in ONCE.items() for field in fields]
    paths += [f"{table}.1.{field}" for table, fields in MANY.items() for field in fields]
    paths += [f"{table}.1.{field}.2" for table, fields in REPEATED.items() for field in fields]
    names = [name_of_path(path) for path in paths]
    assert not [name for name in names if "." in name or "_" in name]
    assert len(set(names)) == len(paths), "no two of them are called the same"
