"""Exercises whose answers are typed with their unit, and which say what is wrong with one.

The numbers of an exercise are drawn from a seed: a class can have different ones, and a seed given
again gives the same ones on any machine.
"""

from __future__ import annotations

import hashlib
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Any, TypeVar

from calclib import units
from calclib.errors import CalcError, UnitError

Choice = TypeVar("Choice")

# Answers are worked by hand with a few digits; what is farther off than this is no rounding.
ROUNDING, NEAR = 0.01, 0.03

RIGHT, WRONG, UNREAD, WAITING = "right", "wrong", "not read", "not answered"

# What a slip of units does to a number, largest first; the text follows "Your number is".
FACTORS = (
    (12.0**4, "12⁴", "a span to the fourth power went in in feet where inches belong, or back"),
    (12.0**3, "12³", "feet and inches were mixed three times over"),
    (1000.0, "1,000", "kips and pounds were mixed"),
    (144.0, "144", "square feet and square inches were mixed"),
    (12.0, "12", "feet and inches were mixed"),
    (2.0, "2", "a half is missing, or one too many was taken"),
)

MEASURED = {
    "ft": "a length",
    "in^2": "an area",
    "in^3": "a section modulus or a volume",
    "in^4": "a moment of inertia",
    "lbf": "a force",
    "plf": "a load along a line",
    "psi": "a force on an area",
    "pcf": "a weight of a volume",
    "lbf*ft": "a moment",
    "": "a plain number",
    "deg": "an angle",
}


@dataclass(frozen=True)
class Slip:
    """A wrong answer that people arrive at, and what they did.

    Attributes
    ----------
    amount : float [base units]
        What one gets.
    says : str
        What is wrong and where to look, in whole sentences.
    """

    amount: float
    says: str


@dataclass(frozen=True)
class Exercise:
    """A question with numbers of its own, its answer, and the slips that it knows.

    Attributes
    ----------
    title : str
    ask : str
        The question with its numbers, on one line or more.
    unit : str
        A declared unit, in which the answer is shown; it may be typed in any of the dimension.
    answer : float [base units]
        Not zero.
    solution : str
        How it is found, with the numbers, one step on a line.
    hint : str
        Where to look when the answer fits no slip; one sentence.
    given : mapping of str to float [base units]
        The numbers that were drawn.
    slips : sequence of Slip
    sign : str
        What the sign of the answer means; one sentence.
    """

    title: str
    ask: str
    unit: str
    answer: float
    solution: str
    hint: str
    given: Mapping[str, float]
    slips: Sequence[Slip] = ()
    sign: str = "Nothing here points the other way."

    @property
    def shown(self) -> str:
        """The answer as it is printed."""
        return units.show(self.answer, self.unit)

    def __repr__(self) -> str:
        return f"{self.title}. {self.ask}"

    def _repr_html_(self) -> str:
        ask, lines = (
            "<br>".join(map(escape, text.splitlines())) for text in (self.ask, self.solution)
        )
        return (
            f"<p><strong>{escape(self.title)}.</strong> {ask}</p>"
            f"<details><summary>The answer</summary><p>{lines}</p>"
            f"<p>Answer: {escape(self.shown)}</p></details>"
        )


@dataclass(frozen=True)
class Verdict:
    """What an exercise says to an answer.

    Attributes
    ----------
    state : {"right", "wrong", "not read", "not answered"}
    says : str
        What is right or wrong with it, in whole sentences.
    answer : str
        As it was typed.
    """

    state: str
    says: str
    answer: str = field(default="")

    def __repr__(self) -> str:
        return f"{self.state}: {self.says}"

    def _repr_html_(self) -> str:
        return (
            f'<p role="status"><strong>{self.state.capitalize()}.</strong> {escape(self.says)}</p>'
        )


Pick = Callable[[Sequence[Any]], Any]


def picker(seed: str | int, key: str) -> Pick:
    """Return a function that draws one of several, the same on any machine.

    Parameters
    ----------
    seed : str or int
        Of a learner or a class; 7 and "7" are one.
    key : str
        Of the exercise, so that exercises draw apart from each other.

    Returns
    -------
    callable
        From a sequence to one of its members.

    Examples
    --------
    >>> [picker("monday", "4.1")(range(10, 20)) for _ in range(3)]
    [14, 14, 14]
    """
    digest = hashlib.sha256(f"{seed}/{key}".encode()).hexdigest()
    # Of a Random, only random() is promised to stay the same in later Pythons.
    draw = random.Random(int(digest, 16))

    def pick(of: Sequence[Choice]) -> Choice:
        return of[int(draw.random() * len(of))]

    return pick


def written(inches: float) -> str:
    """Return a length as a question has it: a carpenter's dimension, whole feet without inches.

    Examples
    --------
    >>> written(144.0), written(150.5)
    ('12 ft', '12 ft 6 1/2 in')
    """
    return units.feet_inches(inches).removesuffix(" 0 in")


def judge(exercise: Exercise, typed: str) -> Verdict:
    """Return whether an answer is right, and if not, what is wrong with it.

    Parameters
    ----------
    exercise : Exercise
    typed : str
        A number with its unit, as in a job file.

    Returns
    -------
    Verdict
    """
    if not typed.strip():
        example = _example(exercise.unit)
        says = f'Write your answer between the quotes, with its unit, as in "{example}".'
        return Verdict(WAITING, says)
    try:
        number = units.parse(typed, exercise.unit)
    except UnitError as error:
        return Verdict(UNREAD, _about_unit(typed, exercise.unit, error), typed)
    except CalcError as error:
        return Verdict(UNREAD, str(error), typed)
    state, says = _compared(exercise, number)
    return Verdict(state, says, typed)


def _compared(exercise: Exercise, number: float) -> tuple[str, str]:
    answer = exercise.answer
    if _same(number, answer):
        return RIGHT, f"It is {exercise.shown}."
    if _same(-number, answer):
        return WRONG, f"The size is right, the sign is not. {exercise.sign}"
    for slip in exercise.slips:
        if _same(number, slip.amount):
            return WRONG, slip.says
    if number == 0:
        return WRONG, f"It is not zero. {exercise.hint}"
    ratio = number / answer
    for factor, word, why in FACTORS:
        if _same(ratio, factor):
            return WRONG, f"Your number is {word} times what it should be: {why}."
        if _same(ratio, 1 / factor):
            return WRONG, f"It should be {word} times your number: {why}."
    if abs(ratio - 1) <= NEAR:
        return WRONG, "Near, but farther off than rounding explains. Keep more digits on the way."
    if ratio < 0:
        return WRONG, f"The sign is wrong, and the size too. {exercise.sign}"
    size = "too large" if ratio > 1 else "too small"
    return WRONG, f"It is {size}, by no slip that is known here. {exercise.hint}"


def _same(number: float, other: float) -> bool:
    return abs(number - other) <= ROUNDING * abs(other)


def _example(unit: str) -> str:
    return units.show(12.3 * units.factor(unit), unit)


def _about_unit(typed: str, unit: str, error: UnitError) -> str:
    for other, kind in MEASURED.items():
        try:
            units.parse(typed, other)
        except CalcError:
            continue
        asked = units.dimension(unit)
        wanted = next(words for of, words in MEASURED.items() if units.dimension(of) == asked)
        if kind != wanted:
            what = "has no unit" if other == "" else f"is {kind}"
            example = _example(unit)
            return f'What you wrote {what}; asked for is {wanted}, as in "{example}".'
    return str(error)
