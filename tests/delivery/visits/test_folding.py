"""What stands in a field, whoever typed it and in whatever order it arrived."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.folding import folded
from evenfire.errors import BadEntry
from tests.delivery.visits.typing_in import entry

HIGH = "as_found.high_limit"


def test_a_correction_stands_in_place_of_what_it_corrects() -> None:
    draft = folded([entry(1, HIGH, "140 psi"), entry(2, HIGH, "145 psi", based_on=(1,))])
    assert draft.text(HIGH) == "145 psi"
    assert not draft.conflicts


def test_two_values_on_one_base_are_a_conflict_and_neither_stands() -> None:
    draft = folded(
        [entry(1, HIGH, "140 psi"), entry(2, HIGH, "145 psi", based_on=(1,)), entry(3, HIGH, "150 psi", based_on=(1,))]
    )
    assert [head.text for head in draft.conflicts[0].heads] == ["145 psi", "150 psi"]
    assert draft.text(HIGH) is None


def test_an_entry_based_on_both_settles_a_conflict() -> None:
    draft = folded([entry(1, HIGH, "140 psi"), entry(2, HIGH, "145 psi"), entry(3, HIGH, "145 psi", based_on=(1, 2))])
    assert draft.text(HIGH) == "145 psi"
    assert not draft.conflicts


def test_the_same_value_from_two_devices_is_no_conflict() -> None:
    draft = folded([entry(1, HIGH, "140 psi"), entry(2, HIGH, " 140 psi")])
    assert not draft.conflicts
    assert draft.text(HIGH) == "140 psi"


def test_what_was_taken_back_stands_no_more() -> None:
    draft = folded([entry(1, HIGH, "140 psi"), entry(2, HIGH, "", based_on=(1,))])
    assert draft.text(HIGH) is None
    assert draft.rows("as_found") == ()


def test_a_row_stands_as_long_as_something_stands_in_it() -> None:
    draft = folded(
        [
            entry(1, "trip.2.gauge", "G-17"),
            entry(2, "trip.4.gauge", "G-18"),
            entry(3, "trip.4.gauge", "", based_on=(2,)),
        ]
    )
    assert draft.rows("trip") == (2,)


def test_what_could_not_be_read_is_listed_and_is_no_value() -> None:
    draft = folded([entry(1, HIGH, "140")])
    assert [each.path for each in draft.unreadable] == [HIGH]
    assert draft.entry(HIGH) is None


def test_one_id_with_two_contents_is_refused() -> None:
    with pytest.raises(BadEntry, match="id"):
        folded([entry(1, HIGH, "140 psi"), entry(1, HIGH, "145 psi")])


def test_an_entry_replaces_nothing_of_another_field() -> None:
    with pytest.raises(BadEntry, match="based_on"):
        folded([entry(1, HIGH, "140 psi"), entry(2, "as_left.high_limit", "140 psi", based_on=(1,))])


def test_entries_that_replace_each_other_in_a_ring_are_refused() -> None:
    with pytest.raises(BadEntry, match="ring"):
        folded([entry(1, HIGH, "140 psi", based_on=(2,)), entry(2, HIGH, "145 psi", based_on=(1,))])


@st.composite
def histories(draw: st.DrawFn) -> list[Entry]:
    """A field typed into by several people, each based on some of what came before."""
    made: list[Entry] = []
    for number in range(1, draw(st.integers(1, 7)) + 1):
        base = draw(st.sets(st.integers(1, number - 1), max_size=3)) if number > 1 else set()
        text = draw(st.sampled_from(["140 psi", "141 psi", ""]))
        made.append(entry(number, HIGH, text, based_on=tuple(sorted(base)), minute=draw(st.integers(0, 3))))
    return made


@given(histories(), st.randoms(use_true_random=False))
def test_the_order_of_arrival_and_repeats_change_nothing(made: list[Entry], chance: object) -> None:
    shuffled = [*made, *made]
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    assert folded(shuffled) == folded(made)


@given(histories())
def test_nothing_that_nobody_replaced_is_hidden(made: list[Entry]) -> None:
    """Own arithmetic: a head is an entry whose id stands in no other's base."""
    bases = set(itertools.chain.from_iterable(each.based_on for each in made))
    assert {head.id for head in folded(made).fields[HIGH].heads} == {each.id for each in made if each.id not in bases}
