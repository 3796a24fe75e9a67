"""The faults that are tried: what one node of a syntax tree may be changed into."""

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass

ORDER: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.BitXor: ast.BitAnd,
    ast.LShift: ast.RShift,
    ast.RShift: ast.LShift,
}
OPPOSITE = {
    "min": "max",
    "max": "min",
    "any": "all",
    "all": "any",
    "minimum": "maximum",
    "maximum": "minimum",
    "argmin": "argmax",
    "argmax": "argmin",
    "floor": "ceil",
    "ceil": "floor",
}
GUARD_OF_A_LENGTH = "strict"
"""``zip(..., strict=True)`` guards against a mistake of ours; without it the answer is the same."""
NOISE = 1e-5
"""Constants this small keep rounding out of a comparison; a tenth more or less of them is the same."""


@dataclass(frozen=True, slots=True)
class Change:
    """One node in place of another."""

    kind: str
    after: ast.AST


def changes_of(node: ast.AST, members: dict[str, list[str]]) -> Iterator[Change]:
    """Every fault that is tried at this node, always in the same order.

    ``members`` are the members of enumerations that the module names, by the name of the enumeration.
    """
    yield from _CHANGES.get(type(node), _none)(node)
    if isinstance(node, ast.Attribute):
        yield from _member(node, members)


def _none(_node: ast.AST) -> Iterator[Change]:
    return iter(())


def _compare(node: ast.Compare) -> Iterator[Change]:
    for place, operator in enumerate(node.ops):
        for after in ORDER[type(operator)]:
            operators = [*node.ops[:place], after(), *node.ops[place + 1 :]]
            yield Change("comparison", ast.Compare(node.left, operators, node.comparators))


def _arithmetic(node: ast.BinOp) -> Iterator[Change]:
    # A union of types is no arithmetic.
    if isinstance(node.op, ast.BitOr) and (_is_type(node.left) or _is_type(node.right)):
        return
    if type(node.op) in ARITHMETIC:
        yield Change("arithmetic", ast.BinOp(node.left, ARITHMETIC[type(node.op)](), node.right))


def _is_type(node: ast.expr) -> bool:
    if isinstance(node, ast.Constant):
        return node.value is None
    if isinstance(node, ast.Subscript):
        return _is_type(node.value)
    name = node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""
    return name in {"int", "float", "str", "bool"} or (name[:1].isupper() and not name.isupper())


def _added(node: ast.AugAssign) -> Iterator[Change]:
    if type(node.op) in ARITHMETIC:
        yield Change("arithmetic", ast.AugAssign(node.target, ARITHMETIC[type(node.op)](), node.value))
    yield Change("statement dropped", ast.Pass())


def _boolean(node: ast.BoolOp) -> Iterator[Change]:
    yield Change("and/or", ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values))
    for place in range(len(node.values)):
        rest = [*node.values[:place], *node.values[place + 1 :]]
        yield Change("operand dropped", rest[0] if len(rest) == 1 else ast.BoolOp(node.op, rest))


def _unary(node: ast.UnaryOp) -> Iterator[Change]:
    if isinstance(node.op, ast.Not | ast.USub | ast.Invert):
        yield Change("negation dropped", node.operand)


def _constant(node: ast.Constant) -> Iterator[Change]:
    value = node.value
    if isinstance(value, bool):
        yield Change("constant", ast.Constant(not value))
    elif isinstance(value, int):
        yield Change("constant", ast.Constant(value + 1))
        yield Change("constant", ast.Constant(value - 1))
    elif isinstance(value, float) and not 0.0 < abs(value) <= NOISE:
        yield Change("constant", ast.Constant(value * 1.1 if value else 1.0))


def _call(node: ast.Call) -> Iterator[Change]:
    function = node.func
    if isinstance(function, ast.Name) and function.id in OPPOSITE:
        name = ast.Name(OPPOSITE[function.id], ast.Load())
        yield Change("min/max", ast.Call(name, node.args, node.keywords))
    if isinstance(function, ast.Attribute) and function.attr in OPPOSITE:
        attribute = ast.Attribute(function.value, OPPOSITE[function.attr], ast.Load())
        yield Change("min/max", ast.Call(attribute, node.args, node.keywords))
    for place, keyword in enumerate(node.keywords):
        if keyword.arg not in {None, GUARD_OF_A_LENGTH}:
            rest = [*node.keywords[:place], *node.keywords[place + 1 :]]
            yield Change("keyword dropped", ast.Call(function, node.args, rest))


def _returned(node: ast.Return) -> Iterator[Change]:
    if node.value is not None and not (isinstance(node.value, ast.Constant) and node.value.value is None):
        yield Change("return dropped", ast.Return(ast.Constant(None)))


def _branch(node: ast.If) -> Iterator[Change]:
    for forced in (True, False):
        yield Change("condition forced", ast.If(ast.Constant(forced), node.body, node.orelse))


def _loop(node: ast.While) -> Iterator[Change]:
    yield Change("condition forced", ast.While(ast.Constant(False), node.body, node.orelse))


def _choice(node: ast.IfExp) -> Iterator[Change]:
    yield Change("condition forced", node.body)
    yield Change("condition forced", node.orelse)


def _filter(node: ast.comprehension) -> Iterator[Change]:
    for place in range(len(node.ifs)):
        rest = [*node.ifs[:place], *node.ifs[place + 1 :]]
        yield Change("filter dropped", ast.comprehension(node.target, node.iter, rest, node.is_async))


def _statement(node: ast.Expr) -> Iterator[Change]:
    if isinstance(node.value, ast.Call):
        yield Change("statement dropped", ast.Pass())


def _raised(_node: ast.Raise) -> Iterator[Change]:
    yield Change("statement dropped", ast.Pass())


def _ended(_node: ast.Break) -> Iterator[Change]:
    yield Change("break/continue", ast.Continue())


def _skipped(_node: ast.Continue) -> Iterator[Change]:
    yield Change("break/continue", ast.Break())


def _member(node: ast.Attribute, members: dict[str, list[str]]) -> Iterator[Change]:
    owner = node.value
    if isinstance(owner, ast.Name) and node.attr in members.get(owner.id, ()):
        known = members[owner.id]
        if len(known) > 1:
            other = known[(known.index(node.attr) + 1) % len(known)]
            yield Change("other member", ast.Attribute(owner, other, ast.Load()))


_CHANGES: dict[type[ast.AST], Callable[..., Iterator[Change]]] = {
    ast.Compare: _compare,
    ast.BinOp: _arithmetic,
    ast.AugAssign: _added,
    ast.BoolOp: _boolean,
    ast.UnaryOp: _unary,
    ast.Constant: _constant,
    ast.Call: _call,
    ast.Return: _returned,
    ast.If: _branch,
    ast.While: _loop,
    ast.IfExp: _choice,
    ast.comprehension: _filter,
    ast.Expr: _statement,
    ast.Raise: _raised,
    ast.Break: _ended,
    ast.Continue: _skipped,
}
