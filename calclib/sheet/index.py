"""The numbers by which a sheet refers to its own lines, checks and assumptions.

A line of a calculation is a number, an assumption A and a number, a check C and a number; so a
reader of the paper finds what a reader of the screen is led to by a link.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from markupsafe import Markup

from calclib.trace import Call, Check, Leaf, Value

# Kind of a reference ("", "A", "C") and its number.
Reference = tuple[str, int]


def anchor(check: Check) -> str:
    """Return the anchor of a check."""
    return "check-" + "".join(c if c.isalnum() else "-" for c in check.id)


def inputs_of(value: Value) -> tuple[Value, ...]:
    """Return the values that a reader is led to from a value, one step back."""
    origin = value.origin
    if isinstance(origin, Leaf):
        return ()
    relevant = origin.function.relevant
    return origin.inputs if relevant is None else relevant(origin)


@dataclass
class Index:
    """Numbers given to checks, assumptions and, while they are printed, to lines.

    Attributes
    ----------
    checks : sequence of Check
        In the order of their numbers.
    assumptions : mapping of str to int
        Ids of the leaves in the register, with their numbers.
    """

    checks: Sequence[Check]
    assumptions: Mapping[str, int]
    lines: dict[str, int] = field(default_factory=dict)
    formulas: dict[str, int] = field(default_factory=dict)
    said: dict[str, int] = field(default_factory=dict)
    keys: dict[int, str] = field(default_factory=dict)
    numbers: dict[str, int] = field(init=False)

    def __post_init__(self) -> None:
        self.numbers = {check.id: place for place, check in enumerate(self.checks, start=1)}

    def key(self, value: Value, case: int | None) -> str:
        """Return what two prints of one call at one case have in common."""
        origin = value.origin
        assert isinstance(origin, Call)
        stem = self.keys.get(id(origin))
        if stem is None:
            behind = ",".join([item.id for item in origin.inputs])
            stem = self.keys[id(origin)] = f"{origin.function.name}({behind})"
        return f"{stem}@{case if getattr(value.number, 'ndim', 0) else None}"

    def line(self, value: Value, case: int | None) -> tuple[int, int]:
        """Give a value the next line, and return its number and that of its formula's first."""
        assert isinstance(value.origin, Call)
        number = len(self.lines) + 1
        self.lines[self.key(value, case)] = number
        return number, self.formulas.setdefault(value.origin.function.name, number)

    def is_new(self, value: Value) -> bool:
        """Say whether the formula of a value was not printed yet."""
        return isinstance(value.origin, Call) and value.origin.function.name not in self.formulas

    def came_from(self, case: int | None, *values: Value) -> list[Reference]:
        """Return the lines and assumptions that values directly came from; a value that has no
        line of its own is stood for by what it came from.
        """
        found: set[Reference] = set()
        seen: set[int] = set()
        stack = list(values)
        while stack:
            value = stack.pop()
            if id(value) in seen:
                continue
            seen.add(id(value))
            if isinstance(value.origin, Leaf):
                number = self.assumptions.get(value.id)
                kind = "A"
            else:
                number = self.lines.get(self.key(value, case))
                kind = ""
            if number is not None:
                found.add((kind, number))
            else:
                stack.extend(inputs_of(value))
        return sorted(found)

    def links(self, references: Iterable[Reference]) -> Markup:
        """Return references as links, neighbors drawn together: 3, 5-8, A2."""
        return Markup(", ").join([self._run(*run) for run in _runs(sorted(references))])

    def _run(self, first: Reference, last: Reference) -> Markup:
        if first == last:
            return self.link(first)
        between = ", " if last[1] == first[1] + 1 else "–"
        return Markup("{}{}{}").format(self.link(first), between, self.link(last))

    def link(self, reference: Reference) -> Markup:
        """Return one reference as a link."""
        kind, number = reference
        if kind == "C":
            target = anchor(self.checks[number - 1])
        else:
            target = f"{kind.lower() or 'n'}{number}"
        return Markup(f'<a href="#{target}">{kind}{number}</a>')

    def check(self, check: Check) -> Reference:
        """Return the reference of a check."""
        return "C", self.numbers[check.id]


def _runs(references: Sequence[Reference]) -> list[tuple[Reference, Reference]]:
    """Return neighbors drawn together, each run by its first and its last."""
    if not references:
        return []
    starts = [references[0]]
    ends = []
    for one, other in pairwise(references):
        if other != (one[0], one[1] + 1):
            ends.append(one)
            starts.append(other)
    return list(zip(starts, [*ends, references[-1]], strict=True))
