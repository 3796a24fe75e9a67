"""The house rules that a program can check: sizes, units on fields, names."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "evenfire"
MODULES = sorted(SOURCE.rglob("*.py"))
LONGEST_MODULE = 600
LONGEST_FUNCTION = 60
LONGEST_COMPILED = 90
MOST_ARGUMENTS = 8
TABLES = {"sources.py"}
DRAWERS = {"utils", "util", "helpers", "helper", "common", "base", "core", "misc", "tools", "lib"}
CORE = ("si", "sources", "errors", "plant", "physics", "judgement")
UNIT = re.compile(r"\[[^\]]+\]")


def is_table(path: Path) -> bool:
    return path.name in TABLES or "words" in path.parts


def is_core(path: Path) -> bool:
    return path.relative_to(SOURCE).parts[0].removesuffix(".py") in CORE


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def body_length(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines from the first statement after the docstring to the end."""
    body = node.body[1:] if ast.get_docstring(node) is not None else node.body
    return 0 if not body else (node.end_lineno or 0) - body[0].lineno + 1


def longest(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Every call that compiled code makes costs compile time, so it may be a little longer."""
    compiled = {name.id for name in node.decorator_list if isinstance(name, ast.Name)} & {"compiled", "part"}
    return LONGEST_COMPILED if compiled else LONGEST_FUNCTION


def test_the_walk_sees_the_source() -> None:
    assert len(MODULES) > 40
    assert any(is_core(path) for path in MODULES)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_a_module_stays_small_and_has_a_name_that_says_what_is_in_it(path: Path) -> None:
    if not is_table(path):
        assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_MODULE
    assert path.stem not in DRAWERS
    assert path.parent.name not in DRAWERS


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_a_function_stays_small_and_takes_few_arguments(path: Path) -> None:
    for node in functions(path):
        arguments = node.args.posonlyargs + node.args.args + node.args.kwonlyargs
        named = [argument for argument in arguments if argument.arg not in {"self", "cls"}]
        # A command line command takes its options as arguments, and a rule record is made of named fields.
        if "cli" not in path.parts and path.name not in {"rule.py", "start.py"}:
            assert len(named) <= MOST_ARGUMENTS, f"{node.name} takes {len(named)} arguments"
        assert node.args.kwarg is None, f"{node.name} hides its arguments"
        if not is_table(path):
            assert body_length(node) <= longest(node), f"{node.name} is {body_length(node)} lines long"


@pytest.mark.parametrize("path", [path for path in MODULES if is_core(path)], ids=lambda p: str(p.relative_to(SOURCE)))
def test_every_number_of_a_value_says_its_unit(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ClassDef):
            for field, note in zip(node.body, [*node.body[1:], None], strict=True):
                if isinstance(field, ast.AnnAssign) and is_number(field.annotation):
                    assert note_of(note), f"{node.name}.{ast.unparse(field.target)} has no [unit] under it"


def is_number(annotation: ast.expr) -> bool:
    names = {name.id for name in ast.walk(annotation) if isinstance(name, ast.Name)}
    return bool(names & {"float", "GaugePa", "AbsPa", "DiffPa", "Number", "Floats"})


def note_of(node: ast.stmt | None) -> bool:
    return (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
        and UNIT.search(node.value.value) is not None
    )


@pytest.mark.parametrize("path", [path for path in MODULES if is_core(path)], ids=lambda p: str(p.relative_to(SOURCE)))
def test_the_core_does_not_take_any(path: Path) -> None:
    names = {node.id for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.Name)}
    assert "Any" not in names


def test_every_assumed_number_says_why() -> None:
    for path in MODULES:
        lines = path.read_text(encoding="utf-8").splitlines()
        for place, line in enumerate(lines):
            if re.match(r"ASSUMED_\w+\b.*=", line):
                around = " ".join(lines[max(0, place - 2) : place + 8])
                assert '"""' in around or "#" in around or "why=" in around, f"{path.name}: {line}"
