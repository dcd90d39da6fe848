"""Reading the body of a formula: assignments and one return, and nothing else."""

from __future__ import annotations

import ast
from typing import NoReturn

from calclib.errors import CalcError, did_you_mean, message, quoted
from calclib.trace.functions import BODY_FUNCTIONS

COMPARISONS = (ast.Lt, ast.LtE, ast.Gt, ast.GtE)
ALLOWED = (
    "A body is assignments and one return over its arguments, numbers, unit constants and "
    + ", ".join(sorted(BODY_FUNCTIONS))
    + "."
)
INSTEAD = {
    ast.If: "Decide with where(condition, then, otherwise).",
    ast.IfExp: "Decide with where(condition, then, otherwise).",
    ast.BoolOp: "Nest one where() in another.",
    ast.For: "Take *C and write product(C) or total(C).",
    ast.While: "Take *C and write product(C) or total(C).",
    ast.AugAssign: "Give the result a name of its own.",
}
COUNTS = {"sqrt": (1, 1), "where": (3, 3), "product": (1, 1), "total": (1, 1)}


def body_of(source: str, place: str = "") -> tuple[list[tuple[str, ast.expr]], ast.expr]:
    """Read the body of a formula from its source text.

    Parameters
    ----------
    source : str
        The text of one function, not indented; decorators and docstring are passed over.
    place : str, optional
        Where the function stands, for messages; its name if not given.

    Returns
    -------
    assignments : list of (str, ast.expr)
        The local names in order, each with its expression.
    returned : ast.expr
        The expression that is returned.
        Numbers in these trees keep the text as typed, unit constants their label, so that
        `expression` and `text` need nothing else.

    Raises
    ------
    CalcError
        When the body holds anything but assignments and one return over its arguments, its
        earlier locals, numbers, unit constants and the functions of `calclib.trace.functions`.

    Examples
    --------
    >>> from calclib.trace.mathml import text
    >>> assignments, returned = body_of("def moment(w, L):\\n    return w * L**2 / 8")
    >>> len(assignments), str(text(returned))
    (0, 'w L² / 8')
    """
    function = next((n for n in ast.parse(source).body if isinstance(n, ast.FunctionDef)), None)
    if function is None:
        raise CalcError(message(place, "the source of one function", quoted(source)))
    reader = _Reader(place or function.name, source, _arguments(function))
    statements = function.body
    if statements and isinstance(statements[0], ast.Expr):
        if isinstance(getattr(statements[0].value, "value", None), str):
            statements = statements[1:]
    if not statements or not isinstance(statements[-1], ast.Return):
        reader.refuse(statements[-1] if statements else function, "a return at the end")
    assignments = [reader.assignment(statement) for statement in statements[:-1]]
    returned = statements[-1].value
    if returned is None:
        reader.refuse(statements[-1], "a returned expression")
    reader.expression(returned)
    return assignments, returned


def _arguments(function: ast.FunctionDef) -> tuple[set[str], str | None]:
    given = function.args
    plain = {argument.arg for argument in given.posonlyargs + given.args + given.kwonlyargs}
    return plain, given.vararg.arg if given.vararg else None


def unit_label(name: str) -> str | None:
    """Return the label of a unit constant, or None if the name is no unit constant.

    >>> unit_label("inch"), unit_label("psi"), unit_label("x")
    ('in', 'psi', None)
    """
    from calclib import units

    if not isinstance(getattr(units, name, None), float):
        return None
    return units.label("in" if name == "inch" else name)


class _Reader:
    """Checks a body and notes on its tree what printing needs."""

    def __init__(self, place: str, source: str, arguments: tuple[set[str], str | None]) -> None:
        self.place = place
        self.source = source
        self.known, self.many = arguments

    def refuse(self, node: ast.AST, needs: str, do: str = "") -> NoReturn:
        line = getattr(node, "lineno", 1)
        segment = ast.get_source_segment(self.source, node) or ""
        got = quoted(segment.partition("\n")[0])
        do = do or INSTEAD.get(type(node), "")
        raise CalcError(
            message(f"{self.place}, line {line}", needs, got, f"{do} {ALLOWED}".strip())
        )

    def assignment(self, statement: ast.stmt) -> tuple[str, ast.expr]:
        match statement:
            case ast.Assign(targets=[ast.Name(id=name)], value=value):
                if name in self.known or name == self.many or name in BODY_FUNCTIONS:
                    self.refuse(statement, f"a new name in place of {name}")
                if unit_label(name) is not None:
                    self.refuse(statement, f"a name other than the unit {name}")
                self.expression(value)
                self.known.add(name)
                return name, value
        self.refuse(statement, "an assignment to one name")

    def expression(self, node: ast.expr) -> None:
        match node:
            case ast.Constant(value=value) if type(value) in (int, float):
                node.typed = ast.get_source_segment(self.source, node)  # type: ignore[attr-defined]
            case ast.Name(id=name):
                self.name(node, name)
            case ast.UnaryOp(op=ast.USub(), operand=operand):
                self.expression(operand)
            case ast.BinOp(
                left=left,
                op=ast.Add() | ast.Sub() | ast.Mult() | ast.Div() | ast.Pow(),
                right=right,
            ):
                self.expression(left)
                self.expression(right)
            case ast.Call(func=ast.Name(id=function), args=arguments, keywords=[]):
                self.call(node, function, arguments)
            case _:
                self.refuse(node, "an expression that can be printed")

    def name(self, node: ast.expr, name: str) -> None:
        if name in self.known:
            return
        if name == self.many:
            self.refuse(node, f"product({name}) or total({name})")
        label = unit_label(name)
        if label is None:
            near = did_you_mean(name, self.known)
            self.refuse(node, "an argument, an earlier local or a unit constant", near)
        node.unit = label  # type: ignore[attr-defined]

    def call(self, node: ast.Call, function: str, arguments: list[ast.expr]) -> None:
        if function not in BODY_FUNCTIONS or function in self.known:
            self.refuse(node, "one of the functions of a body")
        least, most = COUNTS.get(function, (2, None))
        if len(arguments) < least or (most is not None and len(arguments) > most):
            self.refuse(
                node, f"{least} argument{'s' if least > 1 else ''}{'' if most else ' or more'}"
            )
        if function in ("product", "total"):
            if not isinstance(arguments[0], ast.Name) or arguments[0].id != self.many:
                self.refuse(node, "the argument that is declared with a star")
            return
        if function == "where":
            self.condition(arguments[0])
            arguments = arguments[1:]
        for argument in arguments:
            self.expression(argument)

    def condition(self, node: ast.expr) -> None:
        match node:
            case ast.Compare(left=left, ops=[op], comparators=[right]) if isinstance(
                op, COMPARISONS
            ):
                self.expression(left)
                self.expression(right)
            case _:
                self.refuse(node, "a comparison by <, <=, > or >=")
