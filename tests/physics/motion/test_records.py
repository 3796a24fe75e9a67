"""Records: rows of numbers that plain Python and the compiled loop read alike."""

from math import inf, nan
from typing import Annotated

import numpy as np
import pytest

from evenfire.physics.motion.model import PHASES, Burner, Model
from evenfire.physics.motion.records import Floats, Record, copied, digits, layout, new
from evenfire.physics.motion.state import Contents, State


class Leaf(Record):
    """One."""

    length: float
    """[m]"""
    is_long: bool
    count: int


class Branch(Record):
    """Two in one."""

    leaf: Leaf
    marks: Annotated[Floats, (3,)]
    """[m]"""


def test_a_new_record_is_all_noughts() -> None:
    branch = new(Branch)
    assert (branch.leaf.length, branch.leaf.is_long, branch.leaf.count) == (0.0, False, 0)
    assert list(branch.marks) == [0.0, 0.0, 0.0]


def test_a_field_keeps_its_kind_and_its_place() -> None:
    kinds = layout(Branch)
    assert kinds.names == ("leaf", "marks")
    assert [layout(Leaf)[name] for name in ("length", "is_long", "count")] == [np.float64, np.bool_, np.int64]
    assert kinds["marks"].shape == (3,)


def test_what_is_written_into_an_inner_record_or_array_stands_in_the_outer_one() -> None:
    branch = new(Branch)
    branch.leaf.length, branch.marks[1] = 2.5, 7.0
    assert branch.leaf.length == 2.5
    assert list(branch.marks) == [0.0, 7.0, 0.0]


def test_a_copy_stands_alone() -> None:
    first = new(Branch)
    first.leaf.count, first.marks[:] = 3, 1.0
    second = copied(first)
    second.leaf.count, second.marks[0] = 4, 9.0
    assert (first.leaf.count, first.marks[0]) == (3, 1.0)
    assert (second.leaf.count, second.marks[0], second.marks[2]) == (4, 9.0, 1.0)


def test_a_part_that_is_put_into_another_record_is_copied() -> None:
    one, other = new(Branch), new(Branch)
    one.leaf.length = 1.0
    other.leaf = one.leaf
    one.leaf.length = 2.0
    assert other.leaf.length == 1.0


@pytest.mark.parametrize(("one", "other"), [(0.0, -0.0), (1.0, np.nextafter(1.0, 2.0)), (inf, nan)])
def test_digits_tell_every_bit_apart(one: float, other: float) -> None:
    first, second = new(Leaf), new(Leaf)
    first.length, second.length = one, other
    assert digits(first) != digits(second)
    second.length = one
    assert digits(first) == digits(second)


def test_the_model_and_the_state_have_a_place_for_every_field_that_they_declare() -> None:
    assert set(layout(Model).names or ()) == {"vessel", "burner", "controls", "feed", "valves", "users", "water"}
    assert layout(Burner)["durations"].shape == (PHASES,)
    assert set(layout(Contents).names or ()) == set(Contents.__annotations__)
    assert set(layout(State).names or ()) == set(State.__annotations__)
