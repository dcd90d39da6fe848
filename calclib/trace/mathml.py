"""Formulas in print: from a body's syntax tree to MathML Core, and to one line of text.

What is printed is the tree of the function that ran: the author's order, decimals as typed.
`body_of` reads a body and refuses what cannot be printed; `expression` and `text` print it with
symbols or with values in their place; `chain` sets *symbol = expression = numbers = result*.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from typing import Literal, NoReturn

from calclib.errors import CalcError, message, quoted
from calclib.trace.body import ALLOWED, body_of
from calclib.trace.markup import (
    ATOM,
    CASES,
    CHARACTERS,
    COMPARISON,
    DOT,
    MINUS,
    MINUS_IN_FRONT,
    POWER,
    PRODUCT,
    QUANTITY,
    QUOTIENT,
    SUM,
    SUPERSCRIPTS,
    THIN,
    TIMES,
    Edge,
    Markup,
    as_markup,
    compose,
    ems,
    number_mathml,
    number_text,
    quantity_mathml,
    quantity_text,
    symbol_mathml,
    symbol_text,
    unit_mathml,
    unit_text,
    with_unit_mathml,
    with_unit_text,
)

__all__ = [
    "CHARACTERS",
    "Markup",
    "body_of",
    "chain",
    "chains",
    "expression",
    "math",
    "quantity_mathml",
    "quantity_text",
    "symbol_mathml",
    "symbol_text",
    "text",
]

RELATIONS: dict[type[ast.cmpop], str] = {ast.Lt: "<", ast.LtE: "≤", ast.Gt: ">", ast.GtE: "≥"}
DISPLAY_WIDTH = 29.0
SIGN_WIDTH = 1.15

# ---- the two ways to set a tree: MathML and one line of text


@dataclass(frozen=True)
class _Style:
    """How the parts of an expression are set; widths are in em."""

    symbol: Callable[[str], Markup]
    number: Callable[[str], Markup]
    unit: Callable[[str], Markup]
    with_unit: Callable[[Markup, Markup], Markup]
    operator: Callable[[str], str]
    gap: str
    dot: str
    row: Callable[[str], str]
    fence: Callable[[Markup], Markup]
    fraction: Callable[[Markup, Markup], Markup] | None
    solidus: str
    power: Callable[[Markup, Markup], Markup]
    root: Callable[[Markup], Markup]
    call: Callable[[str, Sequence[Markup]], Markup]
    cases: Callable[[Sequence[tuple[Markup, Markup | None]]], Markup]


def _fence_mathml(inner: Markup) -> Markup:
    content = f"<mrow>{_bracket('(', inner.flat)}{inner}{_bracket(')', inner.flat)}</mrow>"
    return compose(content, inner.width + (0.7 if inner.flat else 1.2), flat=inner.flat)


def _bracket(sign: str, flat: bool) -> str:
    # A stretched bracket around one line of symbols comes out a size too large.
    return f'<mo stretchy="false">{sign}</mo>' if flat else f"<mo>{sign}</mo>"


def _fraction_mathml(over: Markup, under: Markup) -> Markup:
    ends: Edge = "unit" if "unit" in (over.ends, under.ends) else ""
    starts: Edge = "number" if over.starts == "number" else ""
    width = max(over.width, under.width) + 0.2
    content = f"<mfrac>{over}{under}</mfrac>"
    return compose(content, width, PRODUCT, starts, ends, flat=False)


def _power_mathml(base: Markup, exponent: Markup) -> Markup:
    if base.binding < ATOM or base.startswith(("<msup>", "<msubsup>")):
        base = _fence_mathml(base)
    content = f"<msup>{base}{exponent}</msup>"
    if base.startswith("<msub>"):
        inner = base.removeprefix("<msub>").removesuffix("</msub>")
        content = f"<msubsup>{inner}{exponent}</msubsup>"
    width = base.width + 0.7 * exponent.width
    return compose(content, width, POWER, base.starts, "", flat=base.flat)


def _root_mathml(inner: Markup) -> Markup:
    return compose(f"<msqrt>{inner}</msqrt>", inner.width + 0.9, flat=False)


def _call_mathml(function: str, arguments: Sequence[Markup]) -> Markup:
    flat = all(argument.flat for argument in arguments)
    inside = '<mo separator="true" rspace="0.3em">,</mo>'.join(arguments)
    fenced = f"<mrow>{_bracket('(', flat)}{inside}{_bracket(')', flat)}</mrow>"
    width = ems(function) + 1.2 + sum(argument.width + 0.5 for argument in arguments)
    return compose(f"<mrow><mi>{function}</mi>{fenced}</mrow>", width, POWER, flat=flat)


def _cases_mathml(rows: Sequence[tuple[Markup, Markup | None]]) -> Markup:
    left = 'style="text-align:left;padding:0.2em 0 0.2em 0.15em"'
    right = 'style="text-align:left;padding:0.2em 0 0.2em 1em"'
    lines = []
    for value, condition in rows:
        when = "<mtext>otherwise</mtext>"
        if condition is not None:
            when = f'<mrow><mtext>if</mtext><mspace width="0.3em"></mspace>{condition}</mrow>'
        lines.append(f"<mtr><mtd {left}>{value}</mtd><mtd {right}>{when}</mtd></mtr>")
    table = f'<mtable displaystyle="true">{"".join(lines)}</mtable>'
    width = 3.4 + max(v.width for v, _ in rows) + max(c.width if c else 3.0 for _, c in rows)
    content = f'<mrow><mo form="prefix" stretchy="true">{{</mo>{table}</mrow>'
    return compose(content, width, CASES, flat=False)


def _operator_mathml(sign: str) -> str:
    spaced = ' lspace="0.22em" rspace="0.22em"' if sign == TIMES else ""
    return f'<mo form="infix"{spaced}>{escape(sign)}</mo>'


def _fence_text(inner: Markup) -> Markup:
    return compose(f"({inner})", inner.width + 1)


def _power_text(base: Markup, exponent: Markup) -> Markup:
    if base.binding < ATOM or base.endswith(("*", "′")):
        base = _fence_text(base)
    if re.fullmatch(r"[-−]?\d+", exponent):
        shown = exponent.translate(SUPERSCRIPTS)
    else:
        shown = f"^{exponent if exponent.binding == ATOM else f'({exponent})'}"
    return compose(f"{base}{shown}", 0, POWER, base.starts)


def _root_text(inner: Markup) -> Markup:
    return compose(f"sqrt({inner})", 0)


def _call_text(function: str, arguments: Sequence[Markup]) -> Markup:
    return compose(f"{function}({', '.join(arguments)})", 0, POWER)


def _cases_text(rows: Sequence[tuple[Markup, Markup | None]]) -> Markup:
    lines = [f"{v} otherwise" if when is None else f"{v} if {when}" for v, when in rows]
    return compose("{" + "; ".join(lines) + "}", 0, ATOM)


_MATHML = _Style(
    symbol=symbol_mathml,
    number=number_mathml,
    unit=unit_mathml,
    with_unit=with_unit_mathml,
    operator=_operator_mathml,
    gap=THIN,
    dot=f'<mo lspace="0" rspace="0">{DOT}</mo>',
    row=lambda inner: f"<mrow>{inner}</mrow>",
    fence=_fence_mathml,
    fraction=_fraction_mathml,
    solidus='<mo form="infix" lspace="0.1em" rspace="0.1em" stretchy="false">/</mo>',
    power=_power_mathml,
    root=_root_mathml,
    call=_call_mathml,
    cases=_cases_mathml,
)
_TEXT = _Style(
    symbol=symbol_text,
    number=number_text,
    unit=unit_text,
    with_unit=with_unit_text,
    operator=lambda sign: f" {sign} ",
    gap=" ",
    dot=DOT,
    row=str,
    fence=_fence_text,
    fraction=None,
    solidus=" / ",
    power=_power_text,
    root=_root_text,
    call=_call_text,
    cases=_cases_text,
)

# ---- the walk over the tree

Names = Callable[[str], str] | Mapping[str, str] | None


@dataclass(frozen=True)
class _Printer:
    style: _Style
    name: Names
    many: Mapping[str, Sequence[str]]
    source: str
    units: Mapping[str, str]

    def show(self, node: ast.expr, depth: int = 0) -> Markup:
        """Print a node; inside fractions and exponents (depth above 0) fractions lie flat."""
        node = _minus_in_front(node)
        unit = self.unit(node)
        if unit is not None:
            return unit
        match node:
            case ast.Constant():
                return self.style.number(self.typed(node))
            case ast.Name(id=name):
                return self.look_up(name)
            case ast.UnaryOp(op=ast.USub(), operand=operand):
                return self.join([(MINUS, self.show(operand, depth))])
            case ast.BinOp(op=ast.Add() | ast.Sub()):
                return self.join(list(self.terms(node, depth)))
            case ast.BinOp(op=ast.Mult()):
                return self.product(list(self.factors(node, depth)))
            case ast.BinOp(left=over, op=ast.Div(), right=under):
                return self.fraction(over, under, depth)
            case ast.BinOp(left=base, op=ast.Pow(), right=exponent):
                return self.style.power(self.show(base, depth), self.show(exponent, depth + 2))
            case ast.Compare(left=left, ops=ops, comparators=others):
                return self.comparison(left, ops, others, depth)
            case ast.Call(func=ast.Name(id=function), args=arguments):
                return self.call(node, function, arguments, depth)
        _refuse_node(node, "")

    def look_up(self, name: str) -> Markup:
        if name in self.many:
            raise CalcError(f"{name}: stands for many factors. Write product({name}) or total().")
        if self.name is None:
            return self.style.symbol(name)
        if isinstance(self.name, Mapping) and name not in self.name:
            raise CalcError(message(name, "a symbol or a value to print", "none"))
        return as_markup(self.name[name] if isinstance(self.name, Mapping) else self.name(name))

    def typed(self, node: ast.Constant) -> str:
        typed = getattr(node, "typed", None)
        if typed is None and self.source:
            typed = ast.get_source_segment(self.source, node)
        return str(node.value) if typed is None else str(typed)

    def unit(self, node: ast.expr) -> Markup | None:
        label = self.unit_label(node)
        return None if label is None else self.style.unit(label)

    def unit_label(self, node: ast.expr) -> str | None:
        match node:
            case ast.Name(id=name):
                if isinstance(self.name, Mapping) and name in self.name:
                    return None
                label = getattr(node, "unit", None) or self.units.get(name)
                return None if label is None else str(label)
            case ast.BinOp(left=left, op=ast.Pow(), right=ast.Constant(value=int() as power)):
                label = self.unit_label(left)
                plain = label is not None and label.isalpha()
                return f"{label}{str(power).translate(SUPERSCRIPTS)}" if plain else None
            case ast.BinOp(left=left, op=ast.Mult() | ast.Div() as op, right=right):
                one, other = self.unit_label(left), self.unit_label(right)
                compound = other is not None and not set(other).isdisjoint(f"{DOT}/")
                if one is None or other is None or (compound and isinstance(op, ast.Div)):
                    return None
                return f"{one}{DOT if isinstance(op, ast.Mult) else '/'}{other}"
        return None

    def terms(self, node: ast.expr, depth: int, sign: str = "+") -> Iterator[tuple[str, Markup]]:
        match node:
            case ast.BinOp(left=left, op=ast.Add(), right=right) if sign == "+":
                yield from self.terms(left, depth)
                yield from self.terms(right, depth)
            case ast.BinOp(left=left, op=ast.Sub(), right=right) if sign == "+":
                yield from self.terms(left, depth)
                yield from self.terms(right, depth, MINUS)
            case ast.Call(func=ast.Name(id="total"), args=[ast.Name(id=name)]) if sign == "+":
                yield from [("+", term) for term in self.given(node, name)]
            case _:
                yield sign, self.show(node, depth)

    def factors(self, node: ast.expr, depth: int) -> Iterator[Markup]:
        match node:
            case ast.BinOp(left=left, op=ast.Mult(), right=right) if self.unit(node) is None:
                yield from self.factors(left, depth)
                yield from self.factors(right, depth)
            case ast.Call(func=ast.Name(id="product"), args=[ast.Name(id=name)]):
                yield from self.given(node, name)
            case _:
                yield self.show(node, depth)

    def given(self, node: ast.expr, name: str) -> list[Markup]:
        if name not in self.many:
            raise CalcError(message(name, "the factors or terms it stands for", "none"))
        return [as_markup(piece) for piece in self.many[name]]

    def join(self, terms: list[tuple[str, Markup]]) -> Markup:
        """Set a sum from its terms, each with its sign; the first plus is not printed."""
        if not terms:
            return self.style.number("0")
        segments: list[tuple[str, Markup]] = []
        for place, (sign, term) in enumerate(terms):
            leading = place == 0 and sign == "+"
            loose = term.binding < (SUM if leading else QUOTIENT)
            if loose or (term.starts == "minus" and not leading):
                term = self.style.fence(term)
            segments.append(("" if leading else sign, term))
        if len(segments) == 1 and not segments[0][0]:
            return segments[0][1]
        first_sign, first = segments[0]
        content = f"{self.negative(first_sign)}{first}" + "".join(
            f"{self.style.operator(sign)}{term}" for sign, term in segments[1:]
        )
        width = sum(term.width + (SIGN_WIDTH if sign else 0) for sign, term in segments)
        return compose(
            self.style.row(content),
            width,
            SUM,
            "minus" if first_sign else first.starts,
            "",
            tuple(segments),
            all(term.flat for _, term in segments),
        )

    def negative(self, sign: str) -> str:
        if not sign:
            return ""
        return MINUS if self.style is _TEXT else MINUS_IN_FRONT

    def product(self, factors: list[Markup]) -> Markup:
        if not factors:
            return self.style.number("1")
        pieces: list[Markup] = []
        for factor in factors:
            before = pieces[-1] if pieces else None
            if factor.starts == "unit" and before and before.starts == before.ends == "number":
                pieces[-1] = self.style.with_unit(before, factor)
                continue
            if before and factor.starts == before.ends == "unit" and before.binding >= QUANTITY:
                joined = self.style.row(f"{before}{self.style.dot}{factor}")
                width = before.width + factor.width
                pieces[-1] = compose(joined, width, before.binding, before.starts, "unit")
                continue
            if factor.binding < PRODUCT or (factor.starts == "minus" and before is not None):
                factor = self.style.fence(factor)
            pieces.append(factor)
        if len(pieces) == 1:
            return pieces[0]
        segments = [("", pieces[0])]
        segments += [(self.sign_between(a, b), b) for a, b in pairwise(pieces)]
        content = "".join(
            f"{self.style.operator(sign) if sign else self.style.gap if place else ''}{piece}"
            for place, (sign, piece) in enumerate(segments)
        )
        width = sum(piece.width + (SIGN_WIDTH if sign else 0.17) for sign, piece in segments)
        return compose(
            self.style.row(content),
            width,
            PRODUCT,
            pieces[0].starts,
            pieces[-1].ends,
            tuple(segments),
            all(piece.flat for piece in pieces),
        )

    def sign_between(self, left: Markup, right: Markup) -> str:
        """Return the sign between two factors, or nothing where a thin space is enough."""
        return TIMES if right.starts == "number" or left.ends == "unit" else ""

    def fraction(self, over: ast.expr, under: ast.expr, depth: int) -> Markup:
        unit = self.unit_label(under)
        if unit is not None and set(unit).isdisjoint(f"{DOT}/"):
            match over:
                case ast.BinOp(left=number, op=ast.Mult(), right=right):
                    whole = self.unit_label(right)
                    if whole is not None and not isinstance(number, ast.BinOp):
                        joined = self.style.unit(f"{whole}/{unit}")
                        return self.product([self.show(number, depth), joined])
        top, bottom = self.show(over, depth + 1), self.show(under, depth + 1)
        build_up = self.style.fraction
        if build_up is not None and not (depth and top.flat and bottom.flat):
            return build_up(top, bottom)
        if top.binding < PRODUCT:
            top = self.style.fence(top)
        if bottom.binding < QUANTITY or bottom.starts == "minus":
            bottom = self.style.fence(bottom)
        content = self.style.row(f"{top}{self.style.solidus}{bottom}")
        return compose(
            content, top.width + bottom.width + 0.45, QUOTIENT, top.starts, bottom.ends,
            flat=top.flat and bottom.flat,
        )  # fmt: skip

    def comparison(
        self, left: ast.expr, ops: list[ast.cmpop], others: list[ast.expr], depth: int
    ) -> Markup:
        first = self.show(left, depth)
        content, width = str(first), first.width
        for op, other in zip(ops, others, strict=True):
            if type(op) not in RELATIONS:
                _refuse_node(other, "")
            shown = self.show(other, depth)
            content += self.style.operator(RELATIONS[type(op)]) + shown
            width += shown.width + SIGN_WIDTH
        return compose(self.style.row(content), width, COMPARISON)

    def call(self, node: ast.expr, name: str, arguments: list[ast.expr], depth: int) -> Markup:
        match name, arguments:
            case "sqrt", [inner]:
                return self.style.root(self.show(inner, depth))
            case (("minimum" | "maximum"), [_, *_]):
                return self.style.call(name[:3], [self.show(a, depth) for a in arguments])
            case "where", [_, _, _]:
                return self.style.cases(list(self.rows(node, depth)))
            case "product", [ast.Name(id=many)]:
                return self.product(self.given(node, many))
            case "total", [ast.Name(id=many)]:
                return self.join([("+", term) for term in self.given(node, many)])
        _refuse_node(node, "")

    def rows(self, node: ast.expr, depth: int) -> Iterator[tuple[Markup, Markup | None]]:
        match node:
            case ast.Call(func=ast.Name(id="where"), args=[condition, then, otherwise]):
                yield self.show(then, depth), self.show(condition, depth + 1)
                yield from self.rows(otherwise, depth)
            case _:
                yield self.show(node, depth), None


def _minus_in_front(node: ast.expr) -> ast.expr:
    """Move the minus of a first factor before its product or fraction, as -a * b is read."""
    peeled = _peel(node)
    return node if peeled is None else ast.UnaryOp(ast.USub(), peeled)


def _peel(node: ast.expr) -> ast.expr | None:
    match node:
        case ast.BinOp(left=left, op=ast.Mult() | ast.Div() as op, right=right):
            match left:
                case ast.UnaryOp(op=ast.USub(), operand=operand):
                    return ast.BinOp(operand, op, right)
            peeled = _peel(left)
            return None if peeled is None else ast.BinOp(peeled, op, right)
    return None


def expression(
    node: ast.expr,
    name: Names = None,
    *,
    many: Mapping[str, Sequence[str]] | None = None,
    source: str = "",
    units: Mapping[str, str] | None = None,
) -> Markup:
    """Print an expression as MathML.

    Parameters
    ----------
    node : ast.expr
        The tree of an expression that `body_of` accepts.
    name : callable or mapping, optional
        What to print for a name: `symbol_mathml` (the default), or a value by `quantity_mathml`.
        A plain string must be escaped already; it is taken as a value if it begins like a
        number, else as one symbol.
    many : mapping, optional
        For the argument that holds any number of factors, what to print for each.
    source : str, optional
        The text that the tree was parsed from; not needed for a tree from `body_of`.
    units : mapping, optional
        Label of each unit constant by its name; not needed for a tree from `body_of`.

    Returns
    -------
    Markup

    Raises
    ------
    CalcError
        When the tree holds what cannot be printed, or a name that is not given.

    Examples
    --------
    >>> node = ast.parse("M / S", mode="eval").body
    >>> print(expression(node))
    <mfrac><mi>M</mi><mi>S</mi></mfrac>
    """
    return _Printer(_MATHML, name, many or {}, source, units or {}).show(node)


def text(
    node: ast.expr,
    name: Names = None,
    *,
    many: Mapping[str, Sequence[str]] | None = None,
    source: str = "",
    units: Mapping[str, str] | None = None,
) -> Markup:
    """Print an expression on one line of text; as `expression`, with text for each name.

    >>> print(text(ast.parse("sqrt(l_e * d / b**2)", mode="eval").body))
    sqrt(ℓ_e d / b²)
    """
    return _Printer(_TEXT, name, many or {}, source, units or {}).show(node)


def _refuse_node(node: ast.AST, place: str) -> NoReturn:
    got = quoted(ast.unparse(node))
    raise CalcError(message(place, "an expression that can be printed", got, ALLOWED))


# ---- whole formulas


def math(inner: str, alttext: str, display: Literal["block", "inline"] = "block") -> Markup:
    """Wrap printed pieces into a complete math element.

    Parameters
    ----------
    inner : str
        MathML from this module.
    alttext : str
        The same on one line, for screen readers and for copying; it is escaped here.
    display : "block" or "inline"

    Returns
    -------
    Markup
    """
    spoken = escape(re.sub(r"\s+", " ", alttext), quote=True)
    content = (
        f'<math xmlns="http://www.w3.org/1998/Math/MathML" display="{display}" '
        f'alttext="{spoken}">{inner}</math>'
    )
    return compose(content, as_markup(inner).width)


def chain(parts: Sequence[str], alttext: str, *, width: float = DISPLAY_WIDTH) -> Markup:
    """Set *symbol = expression = numbers = result*, broken before an equals sign.

    Parameters
    ----------
    parts : sequence of Markup
        What the equals signs connect, at least two.
    alttext : str
        The same on one line.
    width : float [em]
        Lines are filled up to this width; a longer part is broken before an operator.

    Returns
    -------
    Markup
        A complete math element.
    """
    return chains([parts], alttext, width=width)


def chains(rows: Sequence[Sequence[str]], alttext: str, *, width: float = DISPLAY_WIDTH) -> Markup:
    """Set several chains one below the other, their first equals signs aligned; see `chain`."""
    lines: list[str] = []
    # Chromium moves the block inside a cell only by its own keyword.
    left = 'style="text-align:right;text-align:-webkit-right;padding:0.25em 0"'
    right = 'style="text-align:left;padding:0.25em 0"'
    for parts in rows:
        first, *rest = [as_markup(part) for part in parts]
        for place, line in enumerate(_lines(rest, width - first.width)):
            head = "" if place else first
            lines.append(f"<mtr><mtd {left}>{head}</mtd><mtd {right}>{line}</mtd></mtr>")
    return math(f'<mtable displaystyle="true">{"".join(lines)}</mtable>', alttext)


def _lines(parts: Sequence[Markup], width: float) -> Iterator[str]:
    line, used = "", 0.0
    fits = sum(part.width + SIGN_WIDTH for part in parts) <= width
    for place, part in enumerate(parts):
        # A chain that needs two lines is broken between symbols and numbers; and an equals sign
        # after "otherwise" would be read into the last case.
        between = place == 1 and not fits and len(parts) > 2
        after_cases = place > 0 and parts[place - 1].binding == CASES
        if line and (between or after_cases or used + SIGN_WIDTH + part.width > width):
            yield _in_row(line)
            line, used = "", 0.0
        line += _operator_mathml("=")
        used += SIGN_WIDTH
        if used + part.width <= width or len(part.segments) < 2:
            line, used = line + part, used + part.width
            continue
        for number, (sign, piece) in enumerate(part.segments):
            if number and used + SIGN_WIDTH + piece.width > width:
                yield _in_row(line)
                # A break between factors needs a sign, where a space was enough.
                line = f'<mspace width="1.3em"></mspace>{_operator_mathml(sign or TIMES)}'
                used = 2.5
            elif sign:
                line += _operator_mathml(sign) if number else MINUS_IN_FRONT
                used += SIGN_WIDTH
            elif number:
                line += THIN
            line, used = line + piece, used + piece.width
    if line:
        yield _in_row(line)


def _in_row(line: str) -> str:
    return f"<mrow>{line}</mrow>"
