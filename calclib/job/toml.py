"""From a file to plain tables: what is no TOML of ordinary size is refused before it costs time."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from typing import TYPE_CHECKING, Any

from calclib.errors import message, quoted
from calclib.job.errors import JobError

if TYPE_CHECKING:
    from pathlib import Path

LARGEST_FILE = 1_000_000
DEEPEST = 10

# What is neither key nor bracket: comments and the four kinds of text. One that is not closed
# ends where the parser gives up on it, so that every character is looked at once.
TEXT = re.compile(
    r"#[^\n]*"
    r'|"""(?:[^"\\]|\\.?|"(?!""))*+(?:"{3,5})?'
    r"|'''(?:[^']|'(?!''))*+(?:'{3,5})?"
    r'|"(?:[^"\\\n]|\\[^\n]?)*+"?'
    r"|'[^'\n]*+'?",
    re.DOTALL,
)
_DOTTED = rf"(?:\.[^.,=\n\[\]{{}}]*+){{{DEEPEST}}}"
_NESTING = re.compile(rf"[\[{{]|[\]}}]|{_DOTTED}")
_AT_LINE = re.compile(r"(.*) \(at line (\d+), column \d+\)", re.DOTALL)
_BARE_VALUE = re.compile(r"([A-Za-z0-9_.-]+)\s*=\s*([^\s\"'\[{#][^\"'#]*?)\s*(?:#.*)?")
_INCH_MARK = re.compile(r'[^\s="]""')
_SECOND = ("twice", "overwrite", "Duplicate", "immutable", "already")


def read_text(path: str | Path) -> tuple[str, str]:
    """Return the name of a job file and what stands in it.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    name : str
        Without its folder, fit to be printed.
    text : str
        As `clean` leaves it.

    Raises
    ------
    JobError
        When it is no file of UTF-8 text of at most 1 MB, or cannot be read.
    """
    given = os.fspath(path)
    name = _printable(os.path.basename(given))
    if "\0" in given:
        raise _no_file(given, "a name with a null character")
    try:
        found = os.stat(given)
        # A pipe or a device may never end.
        if not stat.S_ISREG(found.st_mode):
            raise _no_file(given, "a folder" if stat.S_ISDIR(found.st_mode) else "a device")
        if found.st_size > LARGEST_FILE:
            raise _too_large(name, found.st_size)
        with open(given, "rb") as file:
            # It may have grown since.
            data = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise _no_file(given, error.strerror or "an error of the system") from error
    except UnicodeEncodeError as error:
        raise _no_file(given, "a name that no file can have") from error
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _refusal(
            f"{name}, line {line}",
            "UTF-8 text",
            "other bytes",
            "Save the file as UTF-8, in a plain text editor.",
        ) from error
    return name, clean(text, name)


def clean(text: str, file: str) -> str:
    r"""Return a text without byte order mark and with \n at the end of each line.

    Parameters
    ----------
    text, file : str
        The text, and the name that messages give it.

    Returns
    -------
    str

    Raises
    ------
    JobError
        When it is longer than 1 MB or holds half characters.
    """
    try:
        size = len(text.encode("utf-8"))
    except UnicodeEncodeError as error:
        line = text.count("\n", 0, error.start) + 1
        raise _refusal(
            f"{file}, line {line}",
            "whole characters",
            quoted(text[error.start]),
            "Write the character itself.",
        ) from error
    if size > LARGEST_FILE:
        raise _too_large(file, size)
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


def tables(text: str, file: str) -> dict[str, Any]:
    """Return the tables of a TOML text.

    Parameters
    ----------
    text, file : str
        The text, and the name that messages give it.

    Returns
    -------
    dict

    Raises
    ------
    JobError
        With one message: the parser stops at the first line that it cannot read.
    """
    _refuse_depth(text, file)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(str(error), text, file) from error
    except (RecursionError, ValueError) as error:
        # Python itself refuses to read integers of thousands of digits.
        long = re.search(r"(?<![0-9_])[0-9_]{1000}", text)
        line = text.count("\n", 0, long.start()) + 1 if long else 1
        raise _refusal(
            f"{file}, line {line}",
            "numbers of ordinary size",
            "a giant one",
            'Write a number with its unit, such as "13 ft 2 in".',
        ) from error


def _refuse_depth(text: str, file: str) -> None:
    """Refuse brackets and dotted keys so deep that the parser takes seconds or breaks off."""
    keys = TEXT.sub(lambda found: "_" + "\n" * found[0].count("\n"), text)
    depth = 0
    for mark in _NESTING.finditer(keys):
        if mark[0] in "]}":
            depth = max(0, depth - 1)
            continue
        depth += 1
        if depth > DEEPEST or mark[0][0] == ".":
            raise _refusal(
                f"{file}, line {keys.count(chr(10), 0, mark.start()) + 1}",
                f"tables and lists at most {DEEPEST} deep",
                "deeper ones",
                "The deepest of a job is such as [beams.opening.supports.west].",
            )


def _syntax_error(error: str, text: str, file: str) -> JobError:
    found = _AT_LINE.fullmatch(error)
    if not found:
        return _refusal(
            f"{file}, at its end",
            "every bracket and quote closed",
            "an open one",
            'Write [joists.east], and below it span = "13 ft 2 in".',
        )
    number = int(found[2])
    line = text.split("\n")[number - 1].strip()
    needs, got, do = "a line of TOML", quoted(line), _advice(line[:200])
    if any(word in found[1] for word in _SECOND):
        needs, got = "each key and each table once", f"a second {quoted(line)}"
        do = "Take out one of the two, or give it another name, such as [joists.east_2]."
    return _refusal(f"{file}, line {number}", needs, got, do)


def _advice(line: str) -> str:
    bare = _BARE_VALUE.fullmatch(line)
    if bare:
        return f'Put quotes around the value: {bare[1]} = "{_printable(bare[2][:40])}".'
    if _INCH_MARK.search(line):
        return 'A quote ends the text, so write inches as in: span = "12 ft 6 in".'
    return 'Write span = "13 ft 2 in", or [joists.east] at the head of a table.'


def _no_file(path: str, got: str) -> JobError:
    return _refusal(
        _printable(path) or "no name",
        "a job file that can be read",
        got[:1].lower() + got[1:],
        "Give the path of a TOML file: calclib check house.toml.",
    )


def _too_large(file: str, size: int) -> JobError:
    return _refusal(
        file,
        f"at most {LARGEST_FILE:,} bytes",
        f"{size:,}",
        "A job file holds one house: take out what does not belong to it.",
    )


def _refusal(where: str, needs: str, got: str, do: str) -> JobError:
    return JobError([message(where, needs, got, do)])


def _printable(text: str) -> str:
    """Return a name with ? for every character that does not print."""
    return "".join(character if character.isprintable() else "?" for character in text)
