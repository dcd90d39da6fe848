"""The lessons of a folder, what they ask, and how far a learner is with them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import calclib
from calclib.errors import InputError, message
from calclib.lessons.course import EXERCISES, workbook
from calclib.lessons.progress import Progress

_TITLE = re.compile(r"^# +(.+)$", re.MULTILINE)
_TIME = re.compile(r"^About (\d+) minutes\.$", re.MULTILINE)


@dataclass(frozen=True)
class Lesson:
    """A numbered notebook.

    Attributes
    ----------
    number : int
    title : str
    minutes : int or None
        As it says itself.
    path : Path
    exercises : tuple of str
        Their titles in order.
    """

    number: int
    title: str
    minutes: int | None
    path: Path
    exercises: tuple[str, ...]

    @property
    def page(self) -> str:
        """The name of its page among the exported ones."""
        return f"{self.path.stem}.html"


def folder_of_lessons(given: str = "") -> Path:
    """Return the folder that was named, or else `notebooks` here or beside the library.

    Raises
    ------
    InputError
        When there is none.
    """
    places = [Path(given)] if given else [Path("notebooks"), _beside_the_library()]
    for place in places:
        if any(place.glob("[0-9][0-9]_*.ipynb")):
            return place
    needs = "a folder with lessons, such as notebooks/01_*.ipynb"
    do = "Name the folder with --from."
    raise InputError(message("lessons", needs, f"none in {places[0]}", do))


def _beside_the_library() -> Path:
    return Path(calclib.__file__).resolve().parents[1] / "notebooks"


def lessons_in(folder: Path) -> tuple[Lesson, ...]:
    """Return the lessons of a folder by their numbers.

    Raises
    ------
    InputError
        For a file that is no notebook.
    """
    return tuple(_lesson(path) for path in sorted(folder.glob("[0-9][0-9]_*.ipynb")))


def _lesson(path: Path) -> Lesson:
    try:
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        text = "\n\n".join("".join(c["source"]) for c in cells if c["cell_type"] == "markdown")
    except (ValueError, KeyError, TypeError) as error:
        got = f"a file that is none ({type(error).__name__})"
        raise InputError(message(path.name, "a notebook", got)) from None
    number, title, time = int(path.name[:2]), _TITLE.search(text), _TIME.search(text)
    exercises = workbook(number).exercises if number in EXERCISES else ()
    return Lesson(
        number,
        title[1] if title else path.stem,
        int(time[1]) if time else None,
        path,
        tuple(exercise.title for exercise in exercises),
    )


def as_text(lessons: Sequence[Lesson], progress: Progress | None = None) -> str:
    """Return the list of lessons and their exercises, for a terminal.

    Parameters
    ----------
    lessons : sequence of Lesson
    progress : Progress, optional
        What a learner has answered.
    """
    lines = [line for lesson in lessons for line in _lines(lesson, progress)]
    return "\n".join([*lines, "", *_tally(lessons, progress)])


def _lines(lesson: Lesson, progress: Progress | None) -> Iterator[str]:
    time = f" ({lesson.minutes} minutes)" if lesson.minutes else ""
    yield f"{lesson.number:2}  {lesson.title}{time}"
    for number, title in enumerate(lesson.exercises, start=1):
        state = standing(progress, lesson.number, number)
        yield f"      {lesson.number}.{number}  {title:<34}{state}".rstrip()


def standing(progress: Progress | None, lesson: int, number: int) -> str:
    """Return how it stands with an exercise, in words; nothing without a learner's file."""
    return "" if progress is None else progress.words(lesson, number) or "not answered"


def _tally(lessons: Sequence[Lesson], progress: Progress | None) -> Iterator[str]:
    places = [(lesson.number, n + 1) for lesson in lessons for n in range(len(lesson.exercises))]
    if progress is None:
        yield f"{len(lessons)} lessons, {len(places)} exercises."
        return
    right = sum(progress.words(*place) == "right" for place in places)
    yield f"{right} of {len(places)} exercises answered right."
    if progress.damaged:
        yield f"Lines of the file that cannot be read: {progress.damaged}. They were left in it."
