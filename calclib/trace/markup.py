"""Pieces of print: symbols, numbers and quantities as MathML and as one line of text.

Every piece is a `Markup`: a string that also knows how it joins with its neighbors.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache
from html import escape, unescape
from itertools import pairwise
from typing import Literal

GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "zeta": "ζ",
    "eta": "η", "theta": "θ", "iota": "ι", "kappa": "κ", "lamda": "λ", "lambda": "λ", "mu": "μ",
    "nu": "ν", "xi": "ξ", "pi": "π", "rho": "ρ", "sigma": "σ", "tau": "τ", "upsilon": "υ",
    "phi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω",
    "Gamma": "Γ", "Delta": "Δ", "Theta": "Θ", "Lamda": "Λ", "Lambda": "Λ", "Xi": "Ξ", "Pi": "Π",
    "Sigma": "Σ", "Upsilon": "Υ", "Phi": "Φ", "Psi": "Ψ", "Omega": "Ω",
}  # fmt: skip
# The standards print lengths as a script l, which nobody takes for a one.
LETTERS = {**GREEK, "l": "ℓ", "ell": "ℓ"}
RAISED = {"star": ("∗", "*"), "prime": ("′", "′")}
PERPENDICULAR = "⊥"
# Italic letters that lean over what follows them [em]; not every browser makes room for that.
OVERHANG = {"F": 0.07, "P": 0.07, "T": 0.08, "V": 0.12, "W": 0.12, "Y": 0.1}
MINUS, TIMES, DOT = "−", "×", "·"
SUPERSCRIPTS = str.maketrans("0123456789-−", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁻")
PLAIN_DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻−", "0123456789--")

#: The characters that the sheet's math font must hold, before single letters become italic.
CHARACTERS = frozenset(
    "".join(map(chr, range(0x20, 0x7F)))
    + "".join(LETTERS.values())
    + "".join(mathml for mathml, _ in RAISED.values())
    + PERPENDICULAR + MINUS + TIMES + DOT + "=<≤>≥√∞≈°µ²³½¼¾″–—…\u00a0"
)  # fmt: skip

# How tightly a piece holds together; a looser piece in a tighter place stands in brackets.
CASES, COMPARISON, SUM, QUOTIENT, PRODUCT, QUANTITY, POWER, ATOM = range(8)
Edge = Literal["", "number", "minus", "unit"]

THIN = '<mspace width="0.1667em"></mspace>'
MINUS_IN_FRONT = f'<mo form="prefix">{MINUS}</mo>'


class Markup(str):
    """A printed piece: MathML with all text in it escaped, or plain text that is not.

    Attributes
    ----------
    binding : int
        How tightly it holds together, from `CASES` to `ATOM`.
    starts, ends : str
        What a neighbor meets: "number", "minus", "unit" or nothing special.
    width : float [em]
        Estimate of the printed width.
    segments : tuple of (operator, piece)
        The terms or factors between which a long line may be broken.
    flat : bool
        False when it is taller than a line: a fraction, a root, a brace.
    """

    binding: int
    starts: Edge
    ends: Edge
    width: float
    segments: tuple[tuple[str, Markup], ...]
    flat: bool


def compose(
    content: str,
    width: float,
    binding: int = ATOM,
    starts: Edge = "",
    ends: Edge = "",
    segments: tuple[tuple[str, Markup], ...] = (),
    flat: bool = True,
) -> Markup:
    """Make a piece; see `Markup`."""
    made = Markup(content)
    made.binding, made.starts, made.ends = binding, starts, ends
    made.width, made.segments, made.flat = width, segments, flat
    return made


def as_markup(piece: str) -> Markup:
    """Take a plain string as a value if it begins like a number, else as one symbol."""
    if isinstance(piece, Markup):
        return piece
    bare = unescape(re.sub("<[^>]*>", "", piece))
    if re.match(r"[-−]?[\d.∞]", bare):
        starts: Edge = "minus" if bare[0] in "-−" else "number"
        return compose(piece, ems(bare), QUANTITY, starts, "unit")
    return compose(piece, ems(bare))


def ems(content: str) -> float:
    """Estimate the printed width of upright text [em]."""
    return sum(0.25 if character in " .,·/" else 0.48 for character in content)


@lru_cache(1024)
def symbol_mathml(name: str) -> Markup:
    """Print a symbol that is spelled as an argument name.

    Parameters
    ----------
    name : str
        The letter (Greek by name), then parts of the subscript after underscores; `star` and
        `prime` are raised, `perp` is the perpendicular sign.
        One or two letters are italic; longer parts are words and stand upright, digits too.

    Returns
    -------
    Markup

    Examples
    --------
    >>> print(symbol_mathml("F_b"))
    <msub><mi>F</mi><mi>b</mi></msub>
    >>> print(symbol_mathml("E_min_prime"))
    <msubsup><mi>E</mi><mi>min</mi><mo lspace="0" rspace="0">′</mo></msubsup>
    """
    letter, below, above = _tokens(name)
    base = _letters_mathml(letter)
    if not below and not above:
        base = _clear(base, letter)
    sub = _row(_with_gaps(below, _letters_mathml, THIN))
    if below:
        sub = _clear(sub, below[-1])
    sup = _row([f'<mo lspace="0" rspace="0">{RAISED[token][0]}</mo>' for token in above])
    if above and letter in OVERHANG:
        # The script is set at three quarters of the size.
        sup = _row([f'<mspace width="{OVERHANG[letter] / 0.75:.2f}em"></mspace>', sup])
    width = 0.65 * len(_letters_text(letter)) + 0.42 * max(
        sum(len(_letters_text(token)) for token in below), len(above)
    )
    if below and above:
        return compose(f"<msubsup>{base}{sub}{sup}</msubsup>", width)
    if below:
        return compose(f"<msub>{base}{sub}</msub>", width)
    if above:
        return compose(f"<msup>{base}{sup}</msup>", width)
    return compose(base, width)


@lru_cache(1024)
def symbol_text(name: str) -> Markup:
    """Print a symbol on one line of text.

    >>> [str(symbol_text(n)) for n in ("F_bE", "F_b_star", "F_c_perp_prime", "l_e", "E_y_min")]
    ['F_bE', 'F_b*', 'F_c⊥′', 'ℓ_e', 'E_y,min']
    """
    letter, below, above = _tokens(name)
    sub = "".join(_with_gaps(below, _letters_text, ","))
    content = _letters_text(letter) + (f"_{sub}" if sub else "")
    content += "".join(RAISED[token][1] for token in above)
    return compose(content, 0.5 * len(content))


def _clear(piece: str, letter: str) -> str:
    """Keep what follows clear of a leaning letter."""
    if letter not in OVERHANG:
        return piece
    return _row([piece, f'<mspace width="{OVERHANG[letter]}em"></mspace>'])


def _tokens(name: str) -> tuple[str, list[str], list[str]]:
    first, *rest = [token for token in name.split("_") if token] or [name]
    below = [token for token in rest if token not in RAISED]
    above = [token for token in rest if token in RAISED]
    numbered = re.fullmatch(r"([^\W\d]+)(\d+)", first)
    if numbered:
        first, number = numbered.groups()
        below.insert(0, number)
    return first, below, above


def _with_gaps(tokens: list[str], show: Callable[[str], str], gap: str) -> list[str]:
    """Set the parts of a subscript, words apart from what stands before and after them."""
    pieces = [show(token) for token in tokens[:1]]
    for left, right in pairwise(tokens):
        apart = right != "perp" and (_is_word(left) or _is_word(right))
        pieces += [gap, show(right)] if apart else [show(right)]
    return pieces


def _is_word(token: str) -> bool:
    return len(token.rstrip("0123456789")) > 2 and token not in LETTERS and token != "perp"


def _letters_mathml(token: str) -> str:
    return _row([_letter_run(run) for run in re.findall(r"\d+|[^\d]+", token)])


def _letter_run(run: str) -> str:
    if run.isdigit():
        return f"<mn>{run}</mn>"
    if run == "perp":
        return f"<mi>{PERPENDICULAR}</mi>"
    if run in LETTERS:
        # Capital Greek stands upright, as in the standards and in most books.
        upright = ' mathvariant="normal"' if run[0].isupper() else ""
        return f"<mi{upright}>{LETTERS[run]}</mi>"
    # bE in F_bE, fu in C_fu, EI: two letters are letters side by side, three are a word.
    if len(run) == 2:
        return _row([f"<mi>{letter}</mi>" for letter in run])
    return f"<mi>{escape(run)}</mi>"


def _letters_text(token: str) -> str:
    if token == "perp":
        return PERPENDICULAR
    run = token.rstrip("0123456789")
    return LETTERS.get(run, run) + token[len(run) :]


def _row(pieces: Sequence[str]) -> str:
    return pieces[0] if len(pieces) == 1 else f"<mrow>{''.join(pieces)}</mrow>"


_NUMBER = re.compile(
    r"(?P<minus>[-−]?)(?P<digits>\d[\d,]*\.?\d*|\.\d+|inf|∞)"
    r"(?:(?:[eE]|\s?×\s?10\^?)(?P<power>[-+−⁻]?[\d⁰¹²³⁴⁵⁶⁷⁸⁹]+))?"
)


def _number_parts(content: str) -> tuple[str, str, str] | None:
    """Return minus sign, digits and power of ten of a number, or None if it is none."""
    found = _NUMBER.fullmatch(content.strip().replace("_", ","))
    if not found:
        return None
    power = (found["power"] or "").translate(PLAIN_DIGITS).lstrip("+")
    digits = "∞" if found["digits"] == "inf" else found["digits"]
    return found["minus"], digits, str(int(power)) if power else ""


def number_mathml(content: str) -> Markup:
    """Print a number as `quantity_mathml` does without a unit."""
    parts = _number_parts(content)
    if parts is None:
        return compose(f"<mtext>{escape(content)}</mtext>", ems(content), QUANTITY, "number")
    minus, digits, power = parts
    pieces = [f"<mn>{digits}</mn>"] if digits != "1" or not power else []
    if power:
        signed = power.replace("-", f'<mo lspace="0" rspace="0">{MINUS}</mo>')
        exponent = _row(re.findall(r"<mo.*</mo>|\d+", signed))
        exponent = re.sub(r"(\d+)(?=$|</mrow>)", r"<mn>\1</mn>", exponent)
        if pieces:
            pieces.append(f'<mo lspace="0.12em" rspace="0.12em">{TIMES}</mo>')
        pieces.append(f"<msup><mn>10</mn>{exponent}</msup>")
    if minus:
        pieces.insert(0, MINUS_IN_FRONT)
    width = ems(digits) + (2.2 if power else 0) + (0.7 if minus else 0)
    binding = ATOM if len(pieces) == 1 and not power else QUANTITY
    return compose(_row(pieces), width, binding, "minus" if minus else "number", "number")


def number_text(content: str) -> Markup:
    """Print a number as `quantity_text` does without a unit."""
    parts = _number_parts(content)
    if parts is None:
        return compose(content, 0.5 * len(content), QUANTITY, "number")
    minus, digits, power = parts
    shown = (MINUS if minus else "") + digits
    if power:
        ten = f"10{power.translate(SUPERSCRIPTS)}"
        shown = shown[:-1] + ten if digits == "1" else f"{shown}{TIMES}{ten}"
    binding = QUANTITY if minus or power else ATOM
    return compose(shown, 0.5 * len(shown), binding, "minus" if minus else "number", "number")


def quantity_mathml(number: str, unit: str = "") -> Markup:
    """Print a formatted number with the label of its unit.

    Parameters
    ----------
    number : str
        As it should be read: "1,234", "-0.5", "1.6e6", "1.6×10⁶"; other text is set as it stands.
    unit : str
        Label of the unit ("psi", "lbf·ft", "in³"); nothing for a ratio.

    Returns
    -------
    Markup

    Examples
    --------
    >>> print(quantity_mathml("1,234"))
    <mn>1,234</mn>
    >>> print(quantity_mathml("12", "in"))
    <mrow><mn>12</mn><mspace width="0.1667em"></mspace><mi>in</mi></mrow>
    """
    value = number_mathml(number)
    return with_unit_mathml(value, unit_mathml(unit)) if unit else value


def quantity_text(number: str, unit: str = "") -> Markup:
    """Print a formatted number with the label of its unit on one line of text.

    >>> print(quantity_text("-1.6e6", "psi"))
    −1.6×10⁶ psi
    """
    value = number_text(number)
    return with_unit_text(value, unit_text(unit)) if unit else value


_UNIT_TOKEN = re.compile(r"([A-Za-zµ°%]+)(?:\^?([⁻−-]?[⁰¹²³⁴⁵⁶⁷⁸⁹\d]+))?|([·*/])|1(?=/)")


def unit_mathml(label: str) -> Markup:
    """Print the label of a unit upright, its powers raised; a strange one as it stands."""
    pieces = []
    end = 0
    for token in _UNIT_TOKEN.finditer(label):
        if token.start() != end:
            break
        end = token.end()
        word, power, sign = token.groups()
        if not word and not sign:
            pieces.append("<mn>1</mn>")
            continue
        if sign:
            pieces.append(f'<mo lspace="0" rspace="0">{DOT if sign == "*" else sign}</mo>')
            continue
        upright = ' mathvariant="normal"' if len(word) == 1 else ""
        piece = f"<mi{upright}>{word}</mi>"
        if power:
            exponent = number_mathml(power.translate(PLAIN_DIGITS))
            piece = f"<msup>{piece}{exponent}</msup>"
        pieces.append(piece)
    if end != len(label):
        pieces = [f"<mtext>{escape(label)}</mtext>"]
    return compose(_row(pieces), ems(label), POWER, "unit", "unit")


def unit_text(label: str) -> Markup:
    """Print the label of a unit on one line of text."""
    return compose(label, 0.5 * len(label), POWER, "unit", "unit")


def with_unit_mathml(value: Markup, unit: Markup) -> Markup:
    """Set a unit behind a number after a thin space."""
    # The percent and degree signs stand close to their number.
    close = re.sub("<[^>]*>", "", unit) in ("%", "°")
    inner = value.removeprefix("<mrow>").removesuffix("</mrow>") if value.starts else value
    content = f"<mrow>{inner}{'' if close else THIN}{unit}</mrow>"
    return compose(content, value.width + unit.width + 0.17, QUANTITY, value.starts, "unit")


def with_unit_text(value: Markup, unit: Markup) -> Markup:
    """Set a unit behind a number after a space."""
    content = f"{value}{'' if unit in ('%', '°') else ' '}{unit}"
    return compose(content, value.width + unit.width + 0.5, QUANTITY, value.starts, "unit")
