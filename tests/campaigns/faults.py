"""Deliberate faults: each a small change to one place of a source file, as a person might make it unnoticed."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass

TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE,
    ast.GtE: ast.Lt,
    ast.Gt: ast.LtE,
    ast.LtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
MOVED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
}
EXCHANGED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.LShift: ast.RShift,
    ast.RShift: ast.LShift,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """One place and what is done to it: `place` is the node's number on the way through the tree."""

    place: int
    line: int
    kind: str
    part: int = 0


def faults_of(source: str) -> list[Fault]:
    """Return every fault that can be made in a source file, in the order of its places."""
    return [
        Fault(place=place, line=node.lineno, kind=kind, part=part)
        for place, node in enumerate(_walk(ast.parse(source)))
        for kind, part in _kinds(node)
    ]


def with_fault(source: str, fault: Fault) -> tuple[str, str, str]:
    """Return the source with the fault in it, and the place as it was and as it is."""
    tree = ast.parse(source)
    node = next(node for place, node in enumerate(_walk(tree)) if place == fault.place)
    before = ast.unparse(node)
    after = _made(node, fault)
    if after is not node:
        tree = ast.fix_missing_locations(_Exchange(node, after).visit(tree))
    return ast.unparse(tree), before, ast.unparse(after)


class _Exchange(ast.NodeTransformer):
    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> ast.AST:
        return self.new if node is self.old else self.generic_visit(node)


def _walk(node: ast.AST, returns: str = "") -> Iterator[ast.AST]:
    """Go through all that is computed: no annotations, decorators, words for people, imports."""
    if isinstance(node, (ast.Import, ast.ImportFrom, ast.JoinedStr, ast.Raise)):
        if isinstance(node, ast.Raise):
            yield node
        return
    if isinstance(node, ast.Return):
        node.gives = returns  # type: ignore[attr-defined]
    if hasattr(node, "lineno"):
        yield node
    if isinstance(node, (ast.FunctionDef, ast.Lambda)):
        returns = ast.unparse(node.returns) if isinstance(node, ast.FunctionDef) and node.returns else ""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_params", "bases", "keywords") and not (
            name == "keywords" and isinstance(node, ast.Call)
        ):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _walk(child, returns)


def _kinds(node: ast.AST) -> Iterator[tuple[str, int]]:
    if isinstance(node, ast.Compare):
        for part, op in enumerate(node.ops):
            yield "comparison turned", part
            if type(op) in MOVED:
                yield "boundary moved", part
    elif isinstance(node, (ast.BinOp, ast.AugAssign)) and type(node.op) in EXCHANGED:
        yield "operator changed", 0
        if isinstance(node, ast.AugAssign):
            yield "statement removed", 0
    elif isinstance(node, ast.Constant) and isinstance(node.value, (bool, int, float)):
        yield "constant changed", 0
    elif isinstance(node, ast.BoolOp):
        yield "and/or", 0
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.USub)):
        yield "sign or not dropped", 0
    elif isinstance(node, (ast.If, ast.While, ast.IfExp)):
        yield "condition turned", 0
    elif isinstance(node, ast.Return) and node.value is not None and not _is_none(node.value):
        yield "other value returned", 0
    elif isinstance(node, (ast.Raise, ast.Continue, ast.Break)) or _acts(node):
        yield "statement removed", 0


def _acts(node: ast.AST) -> bool:
    """Return whether a statement is a bare call, or sets a part of something."""
    if isinstance(node, ast.Expr):
        return isinstance(node.value, ast.Call)
    return isinstance(node, ast.Assign) and isinstance(node.targets[0], (ast.Attribute, ast.Subscript))


def _made(node: ast.AST, fault: Fault) -> ast.AST:
    """Return what stands in the node's place with the fault made."""
    match fault.kind, node:
        case "statement removed", _:
            return ast.Pass()
        case "comparison turned", ast.Compare():
            node.ops[fault.part] = TURNED[type(node.ops[fault.part])]()
        case "boundary moved", ast.Compare():
            node.ops[fault.part] = MOVED[type(node.ops[fault.part])]()
        case "operator changed", (ast.BinOp() | ast.AugAssign()):
            node.op = EXCHANGED[type(node.op)]()
        case "constant changed", ast.Constant():
            node.value = _other(node.value)
        case "and/or", ast.BoolOp():
            node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        case "sign or not dropped", ast.UnaryOp():
            return node.operand
        case "condition turned", (ast.If() | ast.While() | ast.IfExp()):
            node.test = ast.UnaryOp(op=ast.Not(), operand=node.test)
        case "other value returned", ast.Return():
            node.value = _other_result(node)
        case _:
            raise ValueError(f"no such fault here: {fault}")
    return node


def _other(value: object) -> object:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    return value * 1.25 if isinstance(value, float) and value else 1.0


def _other_result(node: ast.Return) -> ast.expr:
    gives: str = node.gives  # type: ignore[attr-defined]
    assert node.value is not None
    if gives == "bool":
        return ast.UnaryOp(op=ast.Not(), operand=node.value)
    if gives in ("int", "float"):
        return ast.UnaryOp(op=ast.USub(), operand=node.value)
    return ast.Constant(value=None)


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None
