"""The printing of formulas: what is printed is the tree, readable, well set and complete."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import unicodedata
import xml.etree.ElementTree as ET
from base64 import b64decode
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calclib.errors import CalcError
from calclib.sheet.fonts import FAMILY, font_css
from calclib.sheet.fonts import FILE as FONT
from calclib.trace.markup import GREEK
from calclib.trace.mathml import (
    CHARACTERS,
    body_of,
    chain,
    chains,
    expression,
    math,
    quantity_mathml,
    quantity_text,
    symbol_mathml,
    symbol_text,
    text,
)

UNITS = {"ft": "ft", "inch": "in", "psi": "psi", "lbf": "lbf"}


def tree(source: str) -> ast.expr:
    return ast.parse(source, mode="eval").body


def shown(source: str, name=None, **more) -> str:
    return str(text(tree(source), name, source=source, units=UNITS, **more))


def set_as(source: str, name=None, **more) -> str:
    return str(expression(tree(source), name, source=source, units=UNITS, **more))


def bare(mathml: str) -> str:
    """The characters that a reader sees."""
    return "".join(ET.fromstring(f"<x>{mathml}</x>").itertext())


# ---- symbols


def test_a_symbol_is_a_letter_with_its_subscript():
    assert symbol_mathml("F_b") == "<msub><mi>F</mi><mi>b</mi></msub>"
    assert symbol_mathml("I") == "<mi>I</mi>"


def test_star_and_prime_are_raised():
    star = '<mo lspace="0" rspace="0">∗</mo>'
    prime = '<mo lspace="0" rspace="0">′</mo>'

    assert symbol_mathml("E_min_prime") == f"<msubsup><mi>E</mi><mi>min</mi>{prime}</msubsup>"
    assert symbol_mathml("b_star") == f"<msup><mi>b</mi>{star}</msup>"


def test_the_perpendicular_sign_stands_close_in_the_subscript():
    assert "<mrow><mi>c</mi><mi>⊥</mi></mrow>" in symbol_mathml("F_c_perp_prime")


def test_one_and_two_letters_are_italic_and_words_are_upright():
    # A browser sets one letter in <mi> italic and several upright (MathML Core 3.2.1.1).
    assert symbol_mathml("F_bE").endswith("<mrow><mi>b</mi><mi>E</mi></mrow></msub>")
    assert symbol_mathml("w_self").endswith("<mi>self</mi></msub>")


def test_greek_is_named_and_its_capitals_stand_upright():
    assert symbol_mathml("lamda") == "<mi>λ</mi>"
    assert symbol_mathml("Delta_L") == '<msub><mi mathvariant="normal">Δ</mi><mi>L</mi></msub>'


def test_digits_of_a_symbol_go_into_its_subscript():
    assert symbol_mathml("k3") == "<msub><mi>k</mi><mn>3</mn></msub>"
    assert symbol_mathml("F_b1").endswith("<mrow><mi>b</mi><mn>1</mn></mrow></msub>")


def test_a_word_in_a_subscript_stands_apart():
    assert "<mspace" in symbol_mathml("E_y_min")
    assert "<mspace" not in symbol_mathml("K_e_y")


def test_symbols_on_a_line_of_text_read_like_the_standard():
    names = ["F_b_star", "F_c_perp_prime", "E_min_prime", "Delta_L", "l_e", "E_y_min", "k3", "u"]

    printed = [str(symbol_text(name)) for name in names]

    assert printed == ["F_b*", "F_c⊥′", "E_min′", "Δ_L", "ℓ_e", "E_y,min", "k_3", "u"]


def test_every_greek_letter_has_its_own_unicode_name():
    for name, letter in GREEK.items():
        case = "CAPITAL" if name[0].isupper() else "SMALL"
        spelled = {"lambda": "lamda"}.get(name.lower(), name.lower())

        assert unicodedata.name(letter) == f"GREEK {case} LETTER {spelled.upper()}"


def test_markup_in_a_name_is_escaped():
    assert "<script" not in symbol_mathml("F_<script>alert</script>")
    assert "<b>" not in quantity_mathml("<b>", "<i>") + math("", '"><b>')


# ---- quantities


def test_a_unit_stands_upright_after_a_thin_space():
    printed = quantity_mathml("21", "m")

    assert printed == (
        '<mrow><mn>21</mn><mspace width="0.1667em"></mspace><mi mathvariant="normal">m</mi></mrow>'
    )


def test_a_power_of_ten_is_set_as_one():
    printed = quantity_mathml("1.6e6", "psi")

    assert bare(printed) == "1.6×106psi"
    assert "<msup><mn>10</mn><mn>6</mn></msup>" in printed


@pytest.mark.parametrize("written", ["1.6e-3", "1.6×10⁻³", "1.6 × 10^-3", "1.6E-03"])
def test_powers_of_ten_may_be_written_in_several_ways(written):
    assert quantity_text(written, "in") == "1.6×10⁻³ in"


def test_a_bare_power_of_ten_has_no_one_before_it():
    assert quantity_text("1e-3", "in") == "10⁻³ in"
    assert bare(quantity_mathml("1e-3", "in")) == "10−3in"


def test_units_with_powers_and_products_are_set_piece_by_piece():
    printed = quantity_mathml("2", "lbf·in²")

    assert "<msup><mi>in</mi><mn>2</mn></msup>" in printed
    assert bare(printed) == "2lbf·in2"
    assert bare(quantity_mathml("2", "1/in")) == "21/in"


def test_degrees_and_percent_stand_close():
    assert quantity_text("45", "°") == "45°"
    assert "mspace" not in quantity_mathml("15", "%")


def test_a_minus_is_a_minus_sign():
    assert bare(quantity_mathml("-1,234", "lbf")) == "−1,234lbf"
    assert quantity_text("-1,234", "lbf") == "−1,234 lbf"


def test_text_that_is_no_number_is_set_as_it_stands():
    assert bare(quantity_mathml("12 ft 6 3/8 in")) == "12 ft 6 3/8 in"


# ---- expressions with symbols


@pytest.mark.parametrize(
    ("source", "printed"),
    [
        ("beta - sqrt(beta**2 - alpha / 0.95)", "β − sqrt(β² − α / 0.95)"),
        ("(1 + F_bE / F_b_star) / 1.9", "(1 + F_bE / F_b*) / 1.9"),
        ("a + (b + c)", "a + b + c"),
        ("a - (b - c)", "a − (b − c)"),
        ("a - b - c", "a − b − c"),
        ("a * (b * c)", "a b c"),
        ("a / (b * c)", "a / (b c)"),
        ("a * b / c", "a b / c"),
        ("a / b * c", "(a / b) c"),
        ("a / b / c", "(a / b) / c"),
        ("a * (b / c)", "a (b / c)"),
        ("-a * b", "−a b"),
        ("a * -b", "a (−b)"),
        ("a - -b", "a − (−b)"),
        ("-(a + b)", "−(a + b)"),
        ("a - (-b * c)", "a − (−b c)"),
        ("-a / b", "−a / b"),
        ("(-a)**2", "(−a)²"),
        ("-a**2", "−a²"),
        ("a**-1", "a⁻¹"),
        ("a**(b + 1)", "a^(b + 1)"),
        ("(a**b)**2", "(a^b)²"),
        ("a**b**2", "a^(b²)"),
        ("F_b_star**2", "(F_b*)²"),
        ("R_B**2", "R_B²"),
        ("sqrt(a)**2", "sqrt(a)²"),
        ("2 * a * 3", "2 a × 3"),
        ("5 * w * L**4 / (384 * E * I)", "5 w L⁴ / (384 E I)"),
        ("2 * (a + b) * c", "2 (a + b) c"),
        ("minimum(a, b, 1.0)", "min(a, b, 1.0)"),
        ("maximum(a, b)", "max(a, b)"),
        ("1.50 * a", "1.50 a"),
        ("1.6e6 * a", "1.6×10⁶ a"),
        ("1_000 * a", "1,000 a"),
    ],
)
def test_brackets_stand_where_they_are_needed_and_nowhere_else(source, printed):
    assert shown(source) == printed


def test_decimals_are_printed_as_typed():
    assert "<mn>1.20</mn>" in set_as("1.20 * E")


def test_a_fraction_is_built_up_and_one_inside_it_lies_flat():
    printed = set_as("(1 + a / b) / 1.9")

    assert printed.count("<mfrac>") == 1
    assert bare(printed) == "1+a/b1.9"


def test_a_power_of_a_symbol_with_a_subscript_stands_above_it():
    assert set_as("R_B**2") == "<msubsup><mi>R</mi><mi>B</mi><mn>2</mn></msubsup>"


def test_cases_are_rows_of_one_brace_however_deeply_nested():
    source = "where(a < 7, 2.06 * a, where(a <= 14.3, 1.63 * a + 3 * d, 1.84 * a))"

    printed = set_as(source)

    assert printed.count("<mtr>") == 3
    assert printed.count("{") == 1
    assert shown(source) == "{2.06 a if a < 7; 1.63 a + 3 d if a ≤ 14.3; 1.84 a otherwise}"


def test_a_brace_inside_a_sum_stands_in_brackets():
    assert bare(set_as("1 + where(a > 2, a, b)")) == "1+({aifa>2botherwise)"


@pytest.mark.parametrize(("typed", "sign"), [("<", "<"), ("<=", "≤"), (">", ">"), (">=", "≥")])
def test_comparisons_print_their_sign(typed, sign):
    assert f"a {sign} b" in shown(f"where(a {typed} b, 1, 2)")


# ---- expressions with values and units


def test_a_number_with_a_unit_constant_is_a_quantity():
    assert shown("21 * ft / L") == "21 ft / L"
    assert shown("(21 * ft / L)**(1 / x)") == "(21 ft / L)^(1 / x)"
    assert shown("40 * lbf / ft**2") == "40 lbf/ft²"
    assert shown("3 * lbf * ft") == "3 lbf·ft"
    assert shown("(21 * ft)**2") == "(21 ft)²"
    assert shown("0.375 * inch + a") == "0.375 in + a"


def test_a_value_with_a_unit_under_a_power_stands_in_brackets():
    values = {"L": quantity_mathml("14.5", "ft")}

    assert bare(set_as("L**2", values)) == "(14.5ft)2"


def test_values_are_joined_by_the_multiplication_sign():
    values = {"w": quantity_text("33.3", "lbf/in"), "L": quantity_text("174", "in")}

    assert shown("5 * w * L**4", values) == "5 × 33.3 lbf/in × (174 in)⁴"


def test_a_negative_value_stands_in_brackets_except_in_front():
    values = {"a": quantity_text("-3", "in"), "b": quantity_text("-4")}

    assert shown("a + b", values) == "−3 in + (−4)"
    assert shown("a * b", values) == "−3 in × (−4)"
    assert shown("b**2", values) == "(−4)²"
    assert shown("2 - a", values) == "2 − (−3 in)"


def test_plain_strings_are_taken_for_the_values_they_look_like():
    assert shown("a**2", {"a": "14.5 ft"}) == "(14.5 ft)²"
    assert shown("a * b", {"a": "14.5 ft", "b": "x"}) == "14.5 ft × x"


def test_products_and_totals_print_the_actual_factors():
    many = {"C": [symbol_text(name) for name in ("C_D", "C_M", "C_t")]}
    numbers = {"C": [quantity_text(n) for n in ("1.15", "1.0", "-2")]}

    assert shown("F_b * product(C)", many=many) == "F_b C_D C_M C_t"
    assert shown("total(C)", many=many) == "C_D + C_M + C_t"
    assert shown("2 * total(C)", many=many) == "2 (C_D + C_M + C_t)"
    assert shown("a - total(C)", many=many) == "a − (C_D + C_M + C_t)"
    assert shown("1 + total(C)", many=numbers) == "1 + 1.15 + 1.0 + (−2)"
    assert shown("F_b * product(C)", {"F_b": "900 psi"}, many=numbers) == (
        "900 psi × 1.15 × 1.0 (−2)"
    )


def test_no_factors_are_one_and_no_terms_are_zero():
    assert shown("product(C)", many={"C": []}) == "1"
    assert shown("F_b * product(C)", many={"C": []}) == "F_b"
    assert shown("total(C)", many={"C": []}) == "0"


def test_a_name_without_a_value_is_refused():
    with pytest.raises(CalcError, match="x: needs a symbol or a value to print"):
        shown("a + x", {"a": "1"})


def test_factors_that_were_not_given_are_refused():
    with pytest.raises(CalcError, match="C: needs the factors or terms it stands for"):
        shown("product(C)")


@pytest.mark.parametrize("source", ["a if b else c", "a // b", "f(x)", "a.b", "a == b", "[a]"])
def test_a_tree_that_cannot_be_printed_is_refused(source):
    with pytest.raises(CalcError, match=r"[Nn]eeds an expression that can be printed"):
        shown(source)


# ---- the print says what the tree says: read back and evaluated exactly

NAMES = {"a": Fraction(3, 7), "b_star": Fraction(-5, 3), "L_x": Fraction(11, 2), "n": Fraction(9)}
FUNCTIONS = {
    # Any rule that tells arguments apart serves: roots themselves are not rational.
    "sqrt": lambda x: 7 * x + 13,
    "minimum": min,
    "maximum": max,
    "where": lambda condition, then, otherwise: then if condition else otherwise,
    "Fraction": Fraction,
}
SIGNS = {"−": "-", "×": "*", "≤": "<=", "∗": "*"}


class _Exact(ast.NodeTransformer):
    def visit_Constant(self, node):
        return ast.parse(f"Fraction('{node.value!r}')", mode="eval").body

    def visit_BinOp(self, node):
        right = node.right if isinstance(node.op, ast.Pow) else self.visit(node.right)
        return ast.BinOp(self.visit(node.left), node.op, right)


def value_of(python: str) -> Fraction:
    exact = ast.fix_missing_locations(_Exact().visit(ast.parse(python, mode="eval")))
    return eval(compile(exact, "<read back>", "eval"), {**FUNCTIONS, **NAMES})


def _operators(inner):
    pair = st.tuples(inner, inner)
    return st.one_of(
        *(pair.map(lambda p, s=sign: f"({p[0]} {s} {p[1]})") for sign in "+-*/"),
        st.tuples(inner, st.integers(-2, 3)).map(lambda p: f"({p[0]})**({p[1]})"),
        inner.map(lambda x: f"(-{x})"),
        inner.map(lambda x: f"sqrt({x})"),
        pair.map(lambda p: f"minimum({p[0]}, {p[1]})"),
        st.tuples(inner, inner, inner, inner).map(
            lambda p: f"where({p[0]} <= {p[1]}, {p[2]}, {p[3]})"
        ),
    )


SOURCES = st.recursive(st.sampled_from([*NAMES, "2", "0.5", "1.6e3"]), _operators, max_leaves=9)


def _read_mathml(node: ET.Element) -> str:
    """Turn presentation back into Python, by what a reader takes it to mean."""
    inner = [_read_mathml(child) for child in node]
    match node.tag:
        case "mi" if node.text == "min":
            return "minimum"
        case "mo" if node.get("lspace") == "0.12em":
            return "ten to the"
        case "mn" | "mi" | "mo":
            return SIGNS.get(node.text, node.text)
        case "mspace" | "mtext":
            return ""
        case "mfrac":
            return f"(({inner[0]})/({inner[1]}))"
        case "msqrt":
            return f"sqrt({_read_row(inner)})"
        case "msub":
            return "_".join(inner)
        case "msup" if inner[1] == "*":
            return f"{inner[0]}_star"
        case "msup":
            return f"({inner[0]}**({inner[1]}))"
        case "msubsup":
            return f"({inner[0]}_{inner[1]}**({inner[2]}))"
        case "mtable":
            *rows, (last, _) = [[_read_mathml(cell) for cell in row] for row in node]
            for value, condition in reversed(rows):
                last = f"where({condition}, {value}, {last})"
            return last
    return _read_row(inner)


def _read_row(pieces: list[str]) -> str:
    pieces = [piece for piece in pieces if piece]
    if not pieces:
        return ""
    if pieces[0] == "{":
        return pieces[1]
    if "ten to the" in pieces:
        return f"({pieces[0]}*{pieces[2]})"
    signs = {"+", "-", "*", "/", ",", "<="}
    row = pieces[0]
    for left, right in pairwise(pieces):
        joined = left in signs | {"(", "minimum"} or right in signs | {")"}
        # Two things side by side are multiplied.
        row += right if joined else f"*{right}"
    return row


def _read_text(line: str) -> str:
    line = line.replace("×10", "e").replace("b*", "b_star").replace("min(", "minimum(")
    line = re.sub("e([⁰¹²³⁴⁵⁶⁷⁸⁹]+)", lambda m: "e" + unicodedata.normalize("NFKC", m[1]), line)
    line = re.sub("[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+", lambda m: f"**({unicodedata.normalize('NFKC', m[0])})", line)
    for sign, python in SIGNS.items():
        line = line.replace(sign, python)
    line = re.sub(r"(?<=[\w)}])(?<!\bif) (?=[\w({])(?!if |otherwise)", " * ", line)
    while "{" in line:
        line = re.sub(r"\{([^{}]*)\}", _read_cases, line)
    return line


def _read_cases(found: re.Match[str]) -> str:
    *rows, last = found[1].split("; ")
    result = last.removesuffix(" otherwise")
    for row in reversed(rows):
        value, _, condition = row.rpartition(" if ")
        result = f"where({condition}, {value}, {result})"
    return result


@settings(max_examples=300, deadline=None)
@given(SOURCES)
def test_mathml_and_text_read_back_have_the_value_of_the_tree(source):
    try:
        expected = value_of(source)
    except ZeroDivisionError:
        assume(False)

    from_mathml = _read_mathml(ET.fromstring(f"<mrow>{set_as(source)}</mrow>"))
    from_text = _read_text(shown(source))

    assert value_of(from_mathml) == expected, from_mathml
    assert value_of(from_text) == expected, from_text


# ---- whole formulas


def test_a_math_element_carries_its_line_of_text_escaped():
    element = math("<mi>a</mi>", 'a < "b"', "inline")

    root = ET.fromstring(element)
    assert root.tag == "{http://www.w3.org/1998/Math/MathML}math"
    assert root.get("alttext") == 'a < "b"'
    assert root.get("display") == "inline"


def rows_of(mathml: str) -> list[list[str]]:
    space = "{http://www.w3.org/1998/Math/MathML}"
    rows = ET.fromstring(mathml).findall(f"{space}mtable/{space}mtr")
    return [["".join(cell.itertext()) for cell in row] for row in rows]


def test_a_short_chain_stands_on_one_line():
    parts = [symbol_mathml("f_b"), expression(tree("M / S")), quantity_mathml("1,232", "psi")]

    assert rows_of(chain(parts, "f_b = M / S")) == [["fb", "=MS=1,232psi"]]


def test_a_long_chain_breaks_between_symbols_and_numbers():
    parts = [symbol_mathml("w"), *(expression(tree(s)) for s in ("a + b + c", "d + e + f", "g"))]

    printed = rows_of(chain(parts, "", width=12))

    assert printed == [["w", "=a+b+c"], ["", "=d+e+f=g"]]


def test_a_sum_too_long_for_a_line_breaks_before_a_sign():
    sums = expression(tree("a - b + c + d + e + f + g + h"))

    printed = rows_of(chain([symbol_mathml("w"), sums], "", width=10))

    assert printed == [["w", "=a−b+c+d+e"], ["", "+f+g+h"]]


def test_a_product_broken_over_lines_gets_a_sign_at_the_break():
    # On one line a thin space is enough.
    factors = expression(tree("A * B * C * D * E"))

    printed = rows_of(chain([symbol_mathml("w"), factors], "", width=4.5))

    assert "×" not in bare(factors)
    assert [row[1][0] for row in printed[1:]] == ["×"] * (len(printed) - 1)
    assert "".join(row[1] for row in printed).replace("×", "") == "=ABCDE"


def test_a_result_does_not_stand_behind_a_brace():
    parts = [symbol_mathml("x"), expression(tree("where(a > 1, 2, 3)")), quantity_mathml("2")]

    assert rows_of(chain(parts, "")) == [["x", "={2ifa>13otherwise"], ["", "=2"]]


def test_several_chains_share_their_equals_signs():
    one = [symbol_mathml("x"), symbol_mathml("a")]
    two = [symbol_mathml("alpha"), symbol_mathml("b")]

    assert rows_of(chains([one, two], "")) == [["x", "=a"], ["α", "=b"]]


# ---- bodies

BEAM_STABILITY = '''\
@formula("C_L", "", source="NDS 2018 Eq. 3.3-6")
def beam_stability_factor(F_bE, F_b_star):
    """Beam stability factor."""
    alpha = F_bE / F_b_star
    beta = (1 + alpha) / 1.90
    return beta - sqrt(beta**2 - alpha / 0.95)
'''


def test_a_body_is_its_assignments_and_what_it_returns():
    assignments, returned = body_of(BEAM_STABILITY)

    assert [(name, str(text(node))) for name, node in assignments] == [
        ("alpha", "F_bE / F_b*"),
        ("beta", "(1 + α) / 1.90"),
    ]
    assert text(returned) == "β − sqrt(β² − α / 0.95)"


def test_a_body_knows_its_unit_constants():
    _, returned = body_of("def C_V(L, d, *C):\n    return 21 * ft / L * 12 * inch / d * product(C)")

    assert text(returned, many={"C": ["x"]}) == "((21 ft / L) × 12 in / d) x"


def test_an_argument_hides_the_unit_of_its_name():
    _, returned = body_of("def moment(N, m):\n    return 2 * N * m")

    assert text(returned) == "2 N m"
    assert "mathvariant" not in expression(returned)


@pytest.mark.parametrize(
    ("body", "needs"),
    [
        ("if a > 1:\n        return a\n    return 2", "an assignment to one name"),
        ("for i in a:\n        b = i\n    return a", "an assignment to one name"),
        ("b, c = a\n    return b", "an assignment to one name"),
        ("b = c = a\n    return b", "an assignment to one name"),
        ("b: float = a\n    return b", "an assignment to one name"),
        ("b = a\n    b += 1\n    return b", "an assignment to one name"),
        ("print(a)\n    return a", "an assignment to one name"),
        ("import os\n    return a", "an assignment to one name"),
        ("b = a", "a return at the end"),
        ("pass", "a return at the end"),
        ("return", "a returned expression"),
        ("return a if a else 1", "an expression that can be printed"),
        ("return a and 1", "an expression that can be printed"),
        ("return a > 1", "an expression that can be printed"),
        ("return a.real", "an expression that can be printed"),
        ("return a[0]", "an expression that can be printed"),
        ("return (lambda: a)()", "an expression that can be printed"),
        ("return [a for _ in a]", "an expression that can be printed"),
        ("return f'{a}'", "an expression that can be printed"),
        ("return 'a'", "an expression that can be printed"),
        ("return True", "an expression that can be printed"),
        ("return 2j", "an expression that can be printed"),
        ("return a // 2", "an expression that can be printed"),
        ("return a % 2", "an expression that can be printed"),
        ("return +a", "an expression that can be printed"),
        ("return (b := a)", "an expression that can be printed"),
        ("return sqrt(x=a)", "an expression that can be printed"),
        ("return math.sqrt(a)", "an expression that can be printed"),
        ("return sqrt(*a)", "an expression that can be printed"),
        ("return abs(a)", "one of the functions of a body"),
        ("return eval(a)", "one of the functions of a body"),
        ("return sqrt(a, a)", "1 argument"),
        ("return minimum(a)", "2 arguments or more"),
        ("return where(a > 1, a)", "3 arguments"),
        ("return where(a, 1, 2)", "a comparison by <, <=, > or >="),
        ("return where(1 < a < 2, 1, 2)", "a comparison by <, <=, > or >="),
        ("return where(a == 1, 1, 2)", "a comparison by <, <=, > or >="),
        ("return product(a)", "the argument that is declared with a star"),
        ("return b", "an argument, an earlier local or a unit constant"),
        ("return c * C", "an argument, an earlier local or a unit constant"),
        ("return a * C", r"product\(C\) or total\(C\)"),
        ("a = 2\n    return a", "a new name in place of a"),
        ("b = 1\n    b = 2\n    return b", "a new name in place of b"),
        ("sqrt = 1\n    return sqrt", "a new name in place of sqrt"),
        ("psi = 1\n    return psi", "a name other than the unit psi"),
    ],
)
def test_a_body_that_cannot_be_printed_is_refused_with_its_line(body, needs):
    source = f'def f(a, *C):\n    """Some title."""\n    {body}\n'

    with pytest.raises(CalcError, match=rf"^f, line [345]: needs {needs}, got .*A body is"):
        body_of(source)


def test_a_refusal_names_place_line_and_what_to_do():
    source = "def f(a):\n    b = 2 * a\n    if b > 1:\n        return b\n    return a\n"

    with pytest.raises(CalcError) as refusal:
        body_of(source, "bending.py")

    assert str(refusal.value) == (
        'bending.py, line 3: needs an assignment to one name, got "if b > 1:". '
        "Decide with where(condition, then, otherwise). "
        "A body is assignments and one return over its arguments, numbers, unit constants and "
        "maximum, minimum, product, sqrt, total, where."
    )


def test_a_misspelled_name_is_answered_with_the_nearest():
    with pytest.raises(CalcError, match=r'Did you mean "F_b_star"\?'):
        body_of("def f(F_b_star):\n    return 2 * F_b_sta")


def test_source_without_a_function_is_refused():
    with pytest.raises(CalcError, match="the source of one function"):
        body_of("x = 1")


def test_reading_and_printing_need_no_heavy_library():
    program = (
        "import sys\n"
        "from calclib.trace.mathml import body_of, expression\n"
        "expression(body_of('def f(a):\\n    return 2 * a')[1])\n"
        "heavy = {'numpy', 'sympy', 'pint', 'scipy', 'matplotlib', 'jinja2'} & set(sys.modules)\n"
        "print(*heavy)"
    )

    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)

    assert (run.stdout.strip(), run.stderr) == ("", "")


# ---- the embedded font


def italic(letter: str) -> str:
    """The character by which a browser draws a lone letter; Unicode has no italic h of its own."""
    for kind in ("MATHEMATICAL ITALIC SMALL ", "MATHEMATICAL ITALIC CAPITAL "):
        name = unicodedata.name(letter)
        case = "SMALL" if "SMALL" in name else "CAPITAL"
        if case in kind and (letter.isascii() or name.startswith("GREEK")):
            return "ℎ" if letter == "h" else unicodedata.lookup(kind + name.split("LETTER ")[1])
    return letter


@pytest.fixture(scope="module")
def font():
    library = pytest.importorskip("fontTools.ttLib", reason="fontTools reads the font")
    with library.TTFont(FONT) as opened:
        yield opened


def test_the_font_holds_every_character_that_is_printed(font):
    held = set(map(chr, font.getBestCmap()))

    letters = {c for c in CHARACTERS if c.isalpha() and c not in "ℓµ"}
    assert letters >= set(GREEK.values())
    assert CHARACTERS - held == set()
    assert {italic(letter) for letter in letters} - held == set()


def test_what_is_printed_stays_within_the_characters_of_the_font():
    symbols = [*GREEK, "l_e", "F_c_perp_prime", "F_b_star", "E_y_min", "k3"]
    sources = ["-a * (b - 2) / sqrt(c)", "where(a < b, 1.6e-6, minimum(a, b)) * 2", "3 * lbf * ft"]
    sources += [f"where(a {sign} b, 1, 2)" for sign in ("<=", ">", ">=")]
    quantities = [("-1,234", "lbf·in²"), ("inf", "1/in"), ("1.6×10⁶", "°"), ("12 ft 6 3/8 in", "")]

    printed = [symbol_mathml(name) for name in symbols]
    printed += [set_as(source) for source in sources]
    printed += [quantity_mathml(*quantity) for quantity in quantities]

    assert set("".join(map(bare, printed))) <= CHARACTERS


def test_the_font_keeps_its_math_table_and_tall_forms(font):
    table = font["MATH"].table

    assert table.MathConstants.RadicalRuleThickness.Value > 0
    stretchy = set(table.MathVariants.VertGlyphCoverage.glyphs)
    assert {font.getBestCmap()[ord(c)] for c in "()[]{}√"} <= stretchy


def test_the_font_is_small_and_carries_its_own_name_and_its_license(font):
    # The source font's license asks a changed version to carry another name.
    names = {record.nameID: str(record) for record in font["name"].names}

    assert FONT.stat().st_size < 40_000
    assert names[1] == FAMILY
    assert not any("STIX" in names[n] for n in (1, 3, 4, 6))
    assert "Open Font License" in names[13]
    license_text = (FONT.parent / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in license_text
    assert FONT.name in license_text


def test_the_css_embeds_the_font_and_sets_formulas_in_it():
    css = font_css()

    data = css.partition("base64,")[2].partition('"')[0]
    assert b64decode(data) == FONT.read_bytes()
    assert f'math {{ font-family: "{FAMILY}", math; }}' in css
