"""The chain behind a value, unfolded step by step: in a notebook to click, elsewhere as text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from calclib.errors import CalcError
from calclib.trace.printing import has_a_line, is_number, plain, print_value, shown_at
from calclib.trace.value import Call, Leaf, Value


@dataclass(frozen=True, eq=False, repr=False)
class Trace:
    """A value with all that it came from, to be the last line of a cell.

    Attributes
    ----------
    value : Value
    case : int or None
        The load case whose numbers are shown where there are several.
    """

    value: Value
    case: int | None = None

    def __repr__(self) -> str:
        lines = []
        for depth, number, value, is_again in unfolded(self.value):
            text = f"{_name(value)} (see above)" if is_again else self._text(value)
            lines.append(f"{'  ' * depth}{number}  {text}")
        return "\n".join(lines)

    def _repr_html_(self) -> str:
        parts: list[str] = []
        closing: list[str] = []
        for depth, number, value, is_again in unfolded(self.value):
            parts += reversed(closing[depth:])
            del closing[depth:]
            line = f"{_name(value)} (see above)" if is_again else self._html(value)
            if is_again or isinstance(value.origin, Leaf):
                parts.append(f"<li>{number} {line}")
                closing.append("</li>")
            else:
                is_open = "" if depth else " open"
                parts.append(f"<li><details{is_open}><summary>{number} {line}</summary><ul>")
                closing.append("</ul></details></li>")
        parts += reversed(closing)
        return f'<ul class="calc-trace">{"".join(parts)}</ul>'

    def _text(self, value: Value) -> str:
        return plain(value, self._case(value)) if is_number(value) else _said(value)

    def _html(self, value: Value) -> str:
        return shown_at(value, self._case(value)) if is_number(value) else escape(_said(value))

    def _case(self, value: Value) -> int | None:
        """Return the case asked for, where a value has as many cases as the one that is traced."""
        count = len(self.value.number) if getattr(self.value.number, "ndim", 0) else 0
        several = len(value.number) if getattr(value.number, "ndim", 0) else 0
        return self.case if several and several == count else None


def trace(value: Value, case: int | None = None) -> Trace:
    """Unfold what a value came from, down to the numbers that nobody calculated.

    Parameters
    ----------
    value : Value
    case : int, optional
        The load case to show; without it the one with the largest number of this value.

    Returns
    -------
    Trace
        Shown by a notebook as lines that open on a click, and printed as indented text. A value
        that stands further up is named by its number there.

    Raises
    ------
    CalcError
        When this is no traced value, or it has no such load case.

    Examples
    --------
    >>> from calclib.trace import leaf
    >>> trace(leaf(2.0, "psi", "F_b", "x", title="bending value", basis="chosen"))
    1  F_b = 2 psi [bending value; chosen]
    """
    if type(value) is not Value:
        raise CalcError(
            f"trace: needs a traced value, got a {type(value).__name__}. "
            "Give it a result such as check.ratio or check.demand."
        )
    count = len(value.number) if getattr(value.number, "ndim", 0) else 1
    if case is not None and not 0 <= case < count:
        raise CalcError(f"trace: needs a load case from 0 to {count - 1}, got {case}.")
    if case is None and count > 1:
        case = int(value.number.argmax())
    return Trace(value, case)


def unfolded(value: Value) -> Iterator[tuple[int, int, Value, bool]]:
    """Yield depth, number, value, and whether it was unfolded before, results before inputs."""
    numbers: dict[str, int] = {}
    stack = [(0, value)]
    while stack:
        depth, item = stack.pop()
        is_again = item.id in numbers
        number = numbers.setdefault(item.id, len(numbers) + 1)
        yield depth, number, item, is_again
        if not is_again:
            stack += [(depth + 1, each) for each in reversed(_behind(item))]


def _behind(value: Value) -> tuple[Value, ...]:
    origin = value.origin
    if not isinstance(origin, Call):
        return ()
    relevant = origin.function.relevant
    found = origin.inputs if relevant is None else relevant(origin)
    return tuple({item.id: item for item in found}.values())


def _said(value: Value) -> str:
    """Return what is said of a value that is no number, such as the solution of a beam."""
    origin = value.origin
    if isinstance(origin, Call) and has_a_line(value):
        return print_value(value).text
    return f"{_name(value)}."


def _name(value: Value) -> str:
    origin = value.origin
    title = origin.function.title if isinstance(origin, Call) else origin.title
    return f"{title[:1].upper()}{title[1:]}"
