"""Read a job file: TOML, every key known, every number with its unit, all errors at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calclib.job.contents import Entry, Job, Section
from calclib.job.errors import Errors, JobError, TooManyErrors
from calclib.job.toml import clean, read_text, tables

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["Entry", "Job", "JobError", "Section", "parse", "read"]


def read(path: str | Path) -> Job:
    """Read a job file.

    Parameters
    ----------
    path : str or Path
        A TOML file with `format = 1`; docs/job-file.md says what may stand in it.

    Returns
    -------
    Job

    Raises
    ------
    JobError
        With all that is wrong, each message naming file, place, what came, what is needed and
        a right way to write it.
    """
    file, text = read_text(path)
    return parse(text, file)


def parse(text: str, file: str = "job") -> Job:
    """Read a job from text.

    Parameters
    ----------
    text : str
        What stands in a job file.
    file : str
        The name that messages give it.

    Returns
    -------
    Job

    Raises
    ------
    JobError
        As `read`.
    """
    text = clean(text, file)
    data = tables(text, file)
    # A file that is no TOML is answered without them.
    from calclib.job.reading import Reader
    from calclib.job.sense import contradictions

    errors = Errors(file)
    reader = Reader(errors)
    job = None
    try:
        job = Job(file, text, reader.title_block(data), reader.sections(data))
        # A file that is half right is asked for its sense all the same.
        for found in contradictions(file, job.sections, job.title_block):
            errors.say(found)
    except TooManyErrors:
        pass
    if job is None or errors.messages:
        raise JobError(errors.messages)
    return job
