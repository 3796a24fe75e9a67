"""A fault put into functions that are imported already."""

import gc
from collections.abc import Iterator
from dataclasses import dataclass
from types import CodeType, FunctionType

from tools.mutants.finding import SOURCE, Mutant, source_of


class CannotPatch(Exception):
    """The fault cannot be put into what is imported."""


@dataclass(frozen=True, slots=True)
class Patch:
    """The functions that a fault is in, wherever they are held, and the body that each of them gets."""

    bodies: tuple[tuple[FunctionType, CodeType], ...]

    def put(self) -> None:
        """Put the fault in."""
        for function, code in self.bodies:
            function.__code__ = code


def patch_of(mutant: Mutant) -> Patch:
    """How to put a fault into what is imported.

    Raises
    ------
    CannotPatch
        There is no such function, or its body does not fit.
    """
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
    return Patch(tuple(pairs))


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
