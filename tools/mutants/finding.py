"""Which mutants there are, and which of them a seed draws."""

import ast
import hashlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

from tools.mutants.changes import GUARD_OF_A_LENGTH, Change, changes_of

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "evenfire"
ENUMERATIONS = {"Enum", "IntEnum", "StrEnum", "Flag", "IntFlag"}
NOT_ANSWERED = {"TypeVar", "NewType", "dataclass", "assert_never", "cast"}
NO_FAULT = "no fault"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    """One module with one fault; the same source makes the same mutants."""

    module: str
    """Path below the package, as ``judgement/rule.py``"""
    node: int
    """Which node of the tree, in the order of :func:`ast.walk`"""
    variant: int
    kind: str
    line: int
    function: int
    """Line on which the outermost function begins whose body has the fault; 0 is the module itself"""
    lines: tuple[int, ...]
    """Of the statement with the fault; of one with statements in it, only what stands before them"""
    before: str
    after: str

    @property
    def name(self) -> str:
        """Place and fault in one line."""
        return f"{self.module}:{self.line} [{self.kind}] {self.before}  ->  {self.after}"


def unchanged(module: str) -> Mutant:
    """A mutant without a fault: whoever kills it kills every other for nothing."""
    return Mutant(module=module, node=-1, variant=0, kind=NO_FAULT, line=1, function=0, lines=(), before="", after="")


def mutants_of(module: str) -> list[Mutant]:
    """Every mutant of one module."""
    tree = _tree(module)
    members = _members(tree)
    found = []
    skipped, functions, lines = _skipped(tree), _functions(tree), _lines(tree)
    for number, node in enumerate(ast.walk(tree)):
        if id(node) in skipped:
            continue
        for variant, change in enumerate(changes_of(node, members)):
            found.append(
                Mutant(
                    module=module,
                    node=number,
                    variant=variant,
                    kind=change.kind,
                    line=getattr(node, "lineno", None) or node.target.lineno,  # type: ignore[attr-defined]
                    function=functions.get(id(node), 0),
                    lines=lines.get(id(node), ()),
                    before=_told(node),
                    after=_told(change.after),
                )
            )
    return found


def source_of(mutant: Mutant) -> ast.Module:
    """Tree of the module with the fault in it; every other node keeps its line."""
    tree = _tree(mutant.module)
    if mutant.kind == NO_FAULT:
        return tree
    node = list(ast.walk(tree))[mutant.node]
    change = list(changes_of(node, _members(tree)))[mutant.variant]
    _Put(node, change).visit(tree)
    return ast.fix_missing_locations(tree)


def draw(pools: dict[str, list[Mutant]], how_many: int, seed: int) -> list[Mutant]:
    """A sample in which each module has its share by size, and inside a module no kind crowds out the others.

    A module's size is the number of its mutants. Within a module one mutant of each kind is drawn in turn, kinds in a
    drawn order.
    """
    total = sum(len(pool) for pool in pools.values())
    wanted = {module: how_many * len(pool) / total for module, pool in pools.items() if pool}
    shares = {module: int(share) for module, share in wanted.items()}
    behind = sorted(wanted, key=lambda module: (shares[module] - wanted[module], module))
    for module in behind[: how_many - sum(shares.values())]:
        shares[module] += 1
    drawn: list[Mutant] = []
    for module in sorted(shares):
        drawn += _in_turn(pools[module], shares[module], Random(f"{seed} {module}"))
    return drawn


def digest(paths: Sequence[Path]) -> str:
    """Of what these files say, in their order."""
    found = hashlib.sha256()
    for path in paths:
        found.update(f"{path.relative_to(ROOT)}\n".encode())
        found.update(path.read_bytes())
    return found.hexdigest()[:16]


def _in_turn(pool: list[Mutant], how_many: int, random: Random) -> Iterator[Mutant]:
    by_kind: dict[str, list[Mutant]] = defaultdict(list)
    for mutant in random.sample(pool, len(pool)):
        by_kind[mutant.kind].append(mutant)
    kinds = random.sample(sorted(by_kind), len(by_kind))
    given = 0
    while given < how_many and any(by_kind.values()):
        for kind in kinds:
            if by_kind[kind] and given < how_many:
                yield by_kind[kind].pop()
                given += 1


def _tree(module: str) -> ast.Module:
    return ast.parse((SOURCE / module).read_text(encoding="utf-8"), filename=module)


def _told(node: ast.AST) -> str:
    """The node in at most one short line; of a branch only its condition."""
    if isinstance(node, ast.If | ast.While):
        node = node.test
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 110 else f"{text[:107]}..."


class _Put(ast.NodeTransformer):
    """Puts a change where the node stood that it is for."""

    def __init__(self, node: ast.AST, change: Change) -> None:
        self.node = node
        self.change = change

    def visit(self, node: ast.AST) -> ast.AST:
        """The change itself, or the node with the change somewhere in it."""
        if node is self.node:
            after = self.change.after
            return ast.copy_location(after, node) if hasattr(node, "lineno") else after
        return self.generic_visit(node)


def _members(tree: ast.Module) -> dict[str, list[str]]:
    """Names like ``Severity.STOP`` that the module itself uses, by the part before the dot."""
    members: dict[str, set[str]] = defaultdict(set)
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            owner = node.value.id
            if owner[:1].isupper() and not owner.isupper() and node.attr.isupper():
                members[owner].add(node.attr)
    return {owner: sorted(names) for owner, names in members.items()}


def _functions(tree: ast.Module) -> dict[int, int]:
    """First line of the outermost function around each node of a function's body."""
    found: dict[int, int] = {}
    pending: list[ast.AST] = [tree]
    while pending:
        node = pending.pop()
        if isinstance(node, ast.FunctionDef):
            first = min([node.lineno, *(each.lineno for each in node.decorator_list)])
            found.update({id(inner): first for statement in node.body for inner in ast.walk(statement)})
        else:
            pending.extend(ast.iter_child_nodes(node))
    return found


def _lines(tree: ast.Module) -> dict[int, tuple[int, ...]]:
    """Lines of the innermost statement around each node."""
    found: dict[int, tuple[int, ...]] = {}
    # The walk comes to a statement before those inside of it, which then say their own.
    for statement in ast.walk(tree):
        if isinstance(statement, ast.stmt):
            last = statement.end_lineno or statement.lineno
            inner = getattr(statement, "body", [])
            if inner and not isinstance(statement, ast.Try):
                last = max(statement.lineno, inner[0].lineno - 1)
            lines = tuple(range(statement.lineno, last + 1))
            found.update((id(node), lines) for node in ast.walk(statement))
    return found


def _skipped(tree: ast.Module) -> set[int]:
    """Nodes whose change no test could or should notice: types, texts for us, values of enumerations."""
    skipped: set[int] = set()
    for node in ast.walk(tree):
        for part in _not_answers(node):
            skipped.update(id(inner) for inner in ast.walk(part))
        if isinstance(node, ast.Raise):
            skipped.update(id(inner) for inner in ast.walk(node) if inner is not node)
    return skipped


def _not_answers(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.AnnAssign():
            yield node.annotation
        case ast.arg(annotation=ast.expr() as annotation):
            yield annotation
        case ast.FunctionDef():
            yield from [node.returns] if node.returns is not None else []
            yield from (each for each in node.decorator_list if _name(each) in NOT_ANSWERED)
        case ast.ClassDef():
            yield from node.decorator_list
            if {_name(each) for each in node.bases} & ENUMERATIONS:
                yield from (each for each in node.body if isinstance(each, ast.Assign | ast.AnnAssign))
        case ast.Raise(exc=ast.Call() as call) if _name(call) == "AssertionError":
            # It says of itself that nothing reaches it.
            yield node
        case ast.If(test=ast.Name(id="TYPE_CHECKING")) | ast.Assert() | ast.JoinedStr():
            yield node
        case ast.Assign(targets=[ast.Name(id="__all__")]):
            yield node
        case ast.Expr(value=ast.Call() as call) if _name(call) in NOT_ANSWERED:
            yield node
        case ast.Call() if _name(node) in NOT_ANSWERED:
            yield node
        case ast.Call(func=ast.Name(id="isinstance"), args=[_, kinds]):
            yield kinds
        case ast.Subscript(value=ast.Call(args=[_]) as call, slice=ast.Constant() as place) if _name(call) == "known":
            # The only one is the first and the last.
            yield place
        case ast.keyword(arg=argument) if argument == GUARD_OF_A_LENGTH:
            yield node


def _name(node: ast.AST) -> str:
    if isinstance(node, ast.Call):
        return _name(node.func)
    if isinstance(node, ast.Subscript):
        return _name(node.value)
    return node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""
