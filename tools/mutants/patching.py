"""A fault put into functions that are imported already."""

import gc
from collections.abc import Iterator
from types import CodeType, FunctionType

from tools.mutants.finding import SOURCE, Mutant, source_of


class CannotPatch(Exception):
    """The fault cannot be put into what is imported."""


def put(mutant: Mutant) -> None:
    """Give every function that was made of the changed lines the changed body, wherever it is held.

    Raises
    ------
    CannotPatch
        There is no such function, or its body does not fit.
    """
    for function, code in _pairs(mutant):
        function.__code__ = code


def can_be_put(mutant: Mutant) -> bool:
    """Whether :func:`put` can do it."""
    try:
        return bool(_pairs(mutant))
    except CannotPatch:
        return False


def _pairs(mutant: Mutant) -> list[tuple[FunctionType, CodeType]]:
    path = str(SOURCE / mutant.module)
    changed = compile(source_of(mutant), path, "exec", dont_inherit=True)
    bodies = {(code.co_qualname, code.co_firstlineno): code for code in _bodies(changed)}
    pairs = []
    for function in _functions(path, mutant.function):
        body = bodies.get((function.__code__.co_qualname, mutant.function))
        if body is None or body.co_freevars != function.__code__.co_freevars:
            raise CannotPatch(mutant.name)
        pairs.append((function, body))
    if not pairs:
        raise CannotPatch(mutant.name)
    return pairs


def _functions(path: str, line: int) -> list[FunctionType]:
    """Every function of a file that begins on a line, however it is decorated."""
    return [
        found
        for found in gc.get_objects()
        if type(found) is FunctionType
        and found.__code__.co_firstlineno == line
        and found.__code__.co_filename == path
        and "<locals>" not in found.__code__.co_qualname
    ]


def _bodies(code: CodeType) -> Iterator[CodeType]:
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield constant
            yield from _bodies(constant)
