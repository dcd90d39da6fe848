"""The exercises of a lesson with a learner's numbers, and what became of the answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from calclib.errors import InputError, LookupMiss, message
from calclib.lessons import exercises_bending as bending
from calclib.lessons import exercises_loads as loads
from calclib.lessons import exercises_wood as wood
from calclib.lessons import progress as keeping
from calclib.lessons.exercise import Exercise, Pick, Verdict, judge, picker

Maker = Callable[[Pick], Exercise]

# By the number of the lesson.
EXERCISES: dict[int, tuple[Maker, ...]] = {
    1: (loads.two_posts, loads.nearer_post, loads.what_the_post_held),
    2: (loads.strip_of_floor, loads.strip_that_lies, loads.outer_wall),
    3: (
        bending.with_its_weight,
        bending.load_on_one_side,
        bending.one_on_the_other,
        bending.past_the_post,
    ),
    4: (bending.sag_of_a_joist, bending.fourth_power, bending.years_later),
    5: (wood.length_of_bearing, wood.away_from_the_end, wood.post_on_a_plate),
    6: (wood.weak_axis, wood.critical_value, wood.what_a_post_carries),
    7: (loads.behind_the_shore, loads.over_the_shore, loads.braced_stud),
    8: (loads.moved_to_a_post, loads.post_near_the_end),
    9: (bending.cut_over_the_beam, bending.far_wall, bending.deeper_than_before),
    10: (wood.down_to_the_beam, wood.section_that_it_takes, wood.seat_of_the_beam),
    11: (wood.a_sheet_with_a_slip, wood.a_post_with_a_slip),
}


@dataclass(frozen=True)
class Workbook:
    """The exercises of one lesson.

    Attributes
    ----------
    lesson : int
    seed : str
        What the numbers were drawn from.
    exercises : tuple of Exercise
    progress : str
        The file of the learner's that keeps the answers; nothing is kept if empty.
    """

    lesson: int
    seed: str
    exercises: tuple[Exercise, ...]
    progress: str = ""

    def answer(self, *typed: str) -> Answers:
        """Judge the answers to the exercises in order, and keep them if there is a file for it.

        Parameters
        ----------
        *typed : str
            A number with its unit each; an empty text for what is not answered yet.

        Returns
        -------
        Answers

        Raises
        ------
        InputError
            For more answers than exercises, or a file that cannot be used.
        """
        if len(typed) > len(self.exercises):
            raise InputError(
                message(
                    f"lesson {self.lesson}",
                    f"at most {len(self.exercises)} answers",
                    str(len(typed)),
                    "Write one between each pair of quotes.",
                )
            )
        verdicts = tuple(map(judge, self.exercises, typed))
        if self.progress:
            for number, verdict in enumerate(verdicts, start=1):
                keeping.keep(Path(self.progress), self.lesson, number, self.seed, verdict)
        return Answers(verdicts)

    def __repr__(self) -> str:
        return "\n".join(f"{i}. {each!r}" for i, each in enumerate(self.exercises, start=1))

    def _repr_html_(self) -> str:
        items = "".join(f"<li>{each._repr_html_()}</li>" for each in self.exercises)
        return f"<ol>{items}</ol>"


@dataclass(frozen=True)
class Answers:
    """What the exercises say to the answers, in order."""

    verdicts: tuple[Verdict, ...]

    def __repr__(self) -> str:
        return "\n".join(f"{i}. {each!r}" for i, each in enumerate(self.verdicts, start=1))

    def _repr_html_(self) -> str:
        items = "".join(f"<li>{each._repr_html_()}</li>" for each in self.verdicts)
        return f"<ol>{items}</ol>"


def workbook(lesson: int, seed: str | int = 1, progress: str = "") -> Workbook:
    """Return the exercises of a lesson, with numbers drawn from a seed.

    Parameters
    ----------
    lesson : int
    seed : str or int
        The same for the same numbers, another one for others.
    progress : str
        A file of the learner's in which each answer is kept; an empty text to keep nothing.

    Returns
    -------
    Workbook

    Raises
    ------
    LookupMiss
        For a lesson without exercises.
    """
    if lesson not in EXERCISES:
        there = f"There are {', '.join(map(str, EXERCISES))}."
        raise LookupMiss(message("lesson", "a lesson with exercises", str(lesson), there))
    made = tuple(
        maker(picker(seed, f"{lesson}.{number}"))
        for number, maker in enumerate(EXERCISES[lesson], start=1)
    )
    return Workbook(lesson, str(seed), made, progress)
