"""The lessons as pages to read without a kernel, and the page that lists them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from pathlib import Path

from calclib.lessons.progress import Progress
from calclib.lessons.shelf import Lesson, lessons_in, standing
from calclib.sheet import page
from calclib.sheet.compose import Sheet, compose, know_tags
from calclib.sheet.exporter import opened, run

INDEX = "index.html"
CAUTION = (
    "A lesson is no design. What is built follows a calc sheet, local code and a licensed engineer."
)


def export(folder: Path, target: Path, progress: Progress | None = None) -> Iterator[str]:
    """Run the lessons of a folder, each in a fresh kernel, and write them as pages.

    Parameters
    ----------
    folder, target : Path
        Where the lessons are, and where the pages go; made if it is not there.
    progress : Progress, optional
        Of a learner, for the list.

    Yields
    ------
    str
        After each page its name, with what a reader of it would miss.

    Raises
    ------
    InputError
        When a lesson stops with an error; the pages written before are whole.
    OSError
        When the folder cannot be written.
    """
    lessons = lessons_in(folder)
    target.mkdir(parents=True, exist_ok=True)
    for lesson in lessons:
        sheet = lesson_page(lesson, lessons)
        page.write(sheet.html, target / lesson.page)
        yield "; ".join([lesson.page, *sheet.notes])
    page.write(index_page(lessons, progress), target / INDEX)
    yield INDEX


def lesson_page(lesson: Lesson, lessons: Sequence[Lesson]) -> Sheet:
    """Run a lesson and return it as a page.

    Parameters
    ----------
    lesson : Lesson
    lessons : sequence of Lesson
        All of them, for the way to the next.

    Returns
    -------
    Sheet

    Raises
    ------
    InputError
        When a cell stops with an error.
    """
    notebook = opened(lesson.path)
    know_tags(notebook, lesson.path.name)
    run(notebook, lesson.path.parent, lesson.path.name)
    return compose(notebook, lesson.path.parent, lesson.path.name, head(lesson, lessons))


def head(lesson: Lesson, lessons: Sequence[Lesson]) -> str:
    """Return what stands under the title of a lesson's page: the way around, what it can not do."""
    place = lessons.index(lesson)
    ways = [f'<a href="{INDEX}">All lessons</a>']
    if place:
        ways.append(f"before: {_link(lessons[place - 1])}")
    if place + 1 < len(lessons):
        ways.append(f"next: {_link(lessons[place + 1])}")
    return (
        f"<p>Lesson {lesson.number}. {'; '.join(ways)}.</p>"
        '<div class="caution"><p>This page can be read and printed, and moves nothing: what '
        "controls would move stands here as it stood when the lesson ran, and exercises are "
        f"answered in the notebook {escape(lesson.path.name)}.</p><p>{CAUTION}</p></div>"
    )


def _link(lesson: Lesson) -> str:
    return f'<a href="{escape(lesson.page)}">{lesson.number}. {escape(lesson.title)}</a>'


def index_page(lessons: Sequence[Lesson], progress: Progress | None = None) -> str:
    """Return the page that lists lessons and exercises.

    Parameters
    ----------
    lessons : sequence of Lesson
    progress : Progress, optional
        Of a learner.
    """
    body = "".join(
        ["<h1>Lessons</h1>", f'<div class="caution"><p>{CAUTION}</p></div>']
        + [_listed(lesson, progress) for lesson in lessons]
    )
    return page.wrap("Lessons", "Lessons", body)


def _listed(lesson: Lesson, progress: Progress | None) -> str:
    time = f"<p>About {lesson.minutes} minutes.</p>" if lesson.minutes else ""
    items = "".join(
        f"<li>{escape(title)}{f': {state}' if state else ''}</li>"
        for number, title in enumerate(lesson.exercises, start=1)
        for state in [standing(progress, lesson.number, number)]
    )
    exercises = f"<p>Exercises:</p><ol>{items}</ol>" if items else ""
    return f"<section><h2>{_link(lesson)}</h2>{time}{exercises}</section>"
