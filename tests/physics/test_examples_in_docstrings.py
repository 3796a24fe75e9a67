"""The examples that an engineer can check by hand are run."""

import doctest
import importlib

import pytest


@pytest.mark.parametrize("name", ["atmosphere", "evaporation", "relief", "steam", "vessel"])
def test_the_examples_in_the_docstrings_hold(name: str) -> None:
    result = doctest.testmod(importlib.import_module(f"evenfire.physics.{name}"))
    assert result.attempted > 0
    assert result.failed == 0
