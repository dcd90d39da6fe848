"""A learner's own file of answers: one line for each, added at the end and never rewritten."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

from calclib.errors import InputError, message, quoted
from calclib.lessons.exercise import RIGHT, WAITING, Verdict

HEAD = '{"calclib": "answers to exercises", "format": 1}'


@dataclass(frozen=True)
class Kept:
    """One answer.

    Attributes
    ----------
    lesson, exercise : int
    seed : str
        What the numbers of the exercise were drawn from.
    answer, state : str
        As typed, and what was said to it.
    """

    lesson: int
    exercise: int
    seed: str
    answer: str
    state: str


@dataclass(frozen=True)
class Progress:
    """What stands in the file.

    Attributes
    ----------
    kept : tuple of Kept
        In the order in which they were given.
    damaged : int
        Lines that cannot be read; they stay in the file.
    """

    kept: tuple[Kept, ...] = ()
    damaged: int = 0

    def of(self, lesson: int, exercise: int) -> tuple[Kept, ...]:
        """Return the answers to an exercise, whatever its seed."""
        return tuple(k for k in self.kept if (k.lesson, k.exercise) == (lesson, exercise))

    def words(self, lesson: int, exercise: int) -> str:
        """Return how it stands with an exercise: "right", "2 tries" or nothing."""
        tries = self.of(lesson, exercise)
        if any(each.state == RIGHT for each in tries):
            return RIGHT
        return f"{len(tries)} {'try' if len(tries) == 1 else 'tries'}" if tries else ""


def read(path: Path) -> Progress:
    """Read a learner's file.

    Parameters
    ----------
    path : Path
        A file that is not there yet, or empty, holds no answers.

    Returns
    -------
    Progress

    Raises
    ------
    InputError
        For a file that is something else, or cannot be read.
    """
    try:
        text = path.read_bytes().decode("utf-8", errors="replace")
    except FileNotFoundError:
        return Progress()
    except OSError as error:
        reason = error.strerror or "it cannot be read"
        raise InputError(message(str(path), "a file of answers", reason)) from None
    head, *lines = text.split("\n") if text else [HEAD]
    if head != HEAD:
        raise InputError(
            message(
                str(path),
                "a file of answers, or a name that is free",
                f"a file that begins with {quoted(head)}",
                "Nothing was written to it. Choose another name.",
            )
        )
    found = [_kept(line) for line in lines if line.strip() and line != HEAD]
    kept = tuple(each for each in found if each is not None)
    return Progress(kept, len(found) - len(kept))


def _kept(line: str) -> Kept | None:
    try:
        values = json.loads(line)
        kept = Kept(**values)
    except (ValueError, TypeError, RecursionError):
        return None
    is_whole = type(kept.lesson) is type(kept.exercise) is int and all(
        isinstance(text, str) for text in (kept.seed, kept.answer, kept.state)
    )
    return kept if is_whole else None


def keep(path: Path, lesson: int, exercise: int, seed: str, verdict: Verdict) -> None:
    """Add an answer to a learner's file.

    Parameters
    ----------
    path : Path
        Made if it is not there yet.
    lesson, exercise : int
    seed : str
    verdict : Verdict
        What is not answered, or answered as the last time, is not kept again.

    Raises
    ------
    InputError
        For a file that is something else, or cannot be written.

    Notes
    -----
    The line is handed to the system in one piece at the end of the file, so that two notebooks may
    write to one file, and a failure in between leaves all earlier lines as they are.
    """
    if verdict.state == WAITING:
        return
    before = [k for k in read(path).of(lesson, exercise) if k.seed == seed]
    new = Kept(lesson, exercise, seed, verdict.answer, verdict.state)
    if before and before[-1] == new:
        return
    try:
        _add(path, json.dumps(asdict(new), ensure_ascii=False))
    except OSError as error:
        reason = error.strerror or "it cannot be written"
        raise InputError(message(str(path), "a file that can be written", reason)) from None


def _add(path: Path, line: str) -> None:
    # In binary, so that the lines are the same on any system.
    with path.open("ab", buffering=0) as file:
        data = "".join(_before(path)) + line + "\n"
        if file.write(data.encode()) != len(data.encode()):
            raise OSError(0, "the disk took only a part of the line")
        os.fsync(file.fileno())


def _before(path: Path) -> Iterator[str]:
    with path.open("rb") as file:
        if not file.seek(0, os.SEEK_END):
            yield f"{HEAD}\n"
            return
        file.seek(-1, os.SEEK_END)
        # A line that was cut off keeps to itself.
        if file.read() != b"\n":
            yield "\n"
