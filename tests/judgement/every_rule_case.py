"""All cases of all rules, gathered."""

from itertools import chain
from typing import Final

from tests.judgement import (
    cases_on_burner,
    cases_on_fitting,
    cases_on_instruments,
    cases_on_practice,
    cases_on_stack,
    cases_on_valves,
)
from tests.judgement.rule_cases import CannotBe, Row

MODULES: Final = (
    cases_on_fitting,
    cases_on_stack,
    cases_on_valves,
    cases_on_burner,
    cases_on_instruments,
    cases_on_practice,
)
CASES: Final[tuple[Row | CannotBe, ...]] = tuple(chain.from_iterable(module.ROWS for module in MODULES))
ROWS: Final = tuple(case for case in CASES if isinstance(case, Row))
