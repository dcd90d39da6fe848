"""Change a job file's text where it stands: comments, order and all other lines stay."""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calclib.errors import InputError, message, quoted
from calclib.job.toml import TEXT, tables

# A value of a job file: text, a whole number, or an inline table of such; None takes a key out.
Written = str | int | Mapping[str, Any]
Path_ = tuple[str, ...]

_GAP = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY_PART = r"(?:\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'|[A-Za-z0-9_-]+)"
_KEY = re.compile(rf"{_KEY_PART}(?:[ \t]*\.[ \t]*{_KEY_PART})*")
_HEAD = re.compile(rf"\[[ \t]*({_KEY.pattern})[ \t]*\]")
_BARE = re.compile(r"[^,\]}\s#]+")
_PLAIN_KEY = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True)
class _Entry:
    """Where an assignment stands in the text.

    Attributes
    ----------
    path : tuple of str
        Of what it assigns.
    head : tuple of str
        Of the table under whose heading it stands.
    start, value, end : int
        Of its key, of its value, and past its value.
    inline : bool
        Whether it stands inside an inline table.
    """

    path: Path_
    head: Path_
    start: int
    value: int
    end: int
    inline: bool


@dataclass(frozen=True)
class _Head:
    """Where the heading of a table stands in the text."""

    path: Path_
    start: int
    end: int


def edited(text: str, changes: Mapping[str, Written | None], file: str = "job") -> str:
    """Return the text of a job file with some of its values changed.

    Parameters
    ----------
    text : str
        A job file that can be read as TOML.
    changes : mapping of str to str, int, mapping or None
        By path ("joists.east.span"), what shall stand there; None takes the key out.
        A key that is not there yet is added to its table.
    file : str
        The name that messages give it.

    Returns
    -------
    str
        Every other line as it was, with its comments.

    Raises
    ------
    JobError
        When the text is no TOML.
    InputError
        When a key cannot be changed where it stands.

    Examples
    --------
    >>> print(edited('[posts.west]  # oak\\nsize = "4x4"\\n', {"posts.west.size": "4x6"}), end="")
    [posts.west]  # oak
    size = "4x6"
    """
    wanted = tables(text, file)
    for path, value in changes.items():
        parts = tuple(path.split("."))
        if isinstance(value, str | int) and isinstance(_found(wanted, parts), dict):
            # What says how it is known stays a table when it is written as one.
            below = [e for e in _laid_out(text)[0] if e.path == parts]
            value = value if below else {"value": value}
        wanted = _changed(wanted, parts, value)
        text = _one_edited(text, parts, value)
        # The edit works on text; that it means what was asked for is seen, not believed.
        if _without_empty(_parsed(text)) != _without_empty(wanted):
            needs = "an entry that can be changed on its line"
            do = f"Write it by hand: {path.rpartition('.')[2]} = {_toml(value)}."
            raise InputError(message(f"{file}, {path}", needs, "one written otherwise", do))
    return text


def save(text: str, path: str | Path) -> Path:
    """Write the text of a job file under a name that is free.

    Parameters
    ----------
    text : str
        It is read as a job file first.
    path : str or Path

    Returns
    -------
    Path

    Raises
    ------
    JobError
        When the text is no job file.
    InputError
        When a file of that name stands there, which is left as it is, or none can be written.
    """
    from calclib.job.file import parse

    target = Path(path)
    parse(text, target.name)
    if target.suffix != ".toml":
        do = "Write a name such as house_b.toml."
        raise InputError(message("job file", "a name that ends in .toml", quoted(str(path)), do))
    try:
        with open(target, "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        do = "Give another name; what stands there is left as it is."
        raise InputError(message(str(path), "a name that is free", "a file", do)) from None
    except OSError as error:
        got = error.strerror or "an error of the system"
        do = "Name a folder that is there and may be written to."
        raise InputError(message(str(path), "a place for the file", got, do)) from error
    return target


def _parsed(text: str) -> dict[str, Any] | None:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return None


def _found(data: Any, path: Path_) -> Any:
    """Return what stands at a path; None where nothing does."""
    for part in path:
        data = data.get(part) if isinstance(data, dict) else None
    return data


def _without_empty(data: Any) -> Any:
    """Return tables without those that hold nothing: a dotted key leaves none behind."""
    if not isinstance(data, dict):
        return data
    kept = {key: _without_empty(value) for key, value in data.items()}
    return {key: value for key, value in kept.items() if value != {}}


def _changed(data: dict[str, Any], path: Path_, value: Written | None) -> dict[str, Any]:
    """Return tables with one value changed."""
    data = copy.deepcopy(data)
    here = data
    for part in path[:-1]:
        here = here.setdefault(part, {})
        if not isinstance(here, dict):
            needs = "a table of entries"
            raise InputError(message(".".join(path[:-1]), needs, quoted(str(here))))
    if value is None:
        here.pop(path[-1], None)
    else:
        here[path[-1]] = dict(value) if isinstance(value, Mapping) else value
    return data


def _one_edited(text: str, path: Path_, value: Written | None) -> str:
    entries, heads = _laid_out(text)
    here = [entry for entry in entries if entry.path == path]
    below = [entry for entry in entries if entry.path[: len(path)] == path and entry not in here]
    if here:
        (entry,) = here
        if value is not None:
            return text[: entry.value] + _toml(value) + text[entry.end :]
        return _cut(text, entry)
    if below:
        return _table_edited(text, path, value, below)
    return text if value is None else _added(text, path, value, entries, heads)


def _table_edited(text: str, path: Path_, value: Written | None, below: list[_Entry]) -> str:
    """Change an entry that is written as a table, key by key."""
    given = dict(value) if isinstance(value, Mapping) else {}
    old = {entry.path[len(path)] for entry in below}
    for key in [*given, *sorted(old - set(given))]:
        text = _one_edited(text, (*path, key), given.get(key))
    if value is None:
        for head in reversed(_laid_out(text)[1]):
            if head.path[: len(path)] == path:
                text = _without_line(text, head.start, head.end)
    return text


def _without_line(text: str, start: int, end: int) -> str:
    """Return a text without the lines from one place to another."""
    first, last = text.rfind("\n", 0, start) + 1, text.find("\n", end)
    return text[:first] + (text[last + 1 :] if last >= 0 else "")


def _cut(text: str, entry: _Entry) -> str:
    """Take an assignment out, with its line or its comma."""
    if not entry.inline:
        return _without_line(text, entry.start, entry.end)
    after = re.compile(r"[ \t\r\n]*,[ \t]*").match(text, entry.end)
    if after:
        return text[: entry.start] + text[after.end() :]
    before = re.compile(r",?[ \t]*\Z").search(text[: entry.start])
    assert before is not None
    return text[: before.start()] + text[entry.end :]


def _added(
    text: str, path: Path_, value: Written, entries: list[_Entry], heads: list[_Head]
) -> str:
    """Add an assignment to its table."""
    for size in range(len(path) - 1, -1, -1):
        table, rest = path[:size], path[size:]
        inline = [entry for entry in entries if entry.path == table]
        if inline and text[inline[0].value] == "{":
            place = inline[0].value + 1
            comma = "" if text[place : inline[0].end - 1].strip() == "" else ", "
            return f"{text[:place]} {_assignment(rest, value)}{comma}{text[place:].lstrip(' ')}"
        head = next((head for head in heads if head.path == table), None)
        inside = [e for e in entries if not e.inline and e.head == table]
        # Keys of the same table first, so that it stands among its like.
        like = [e for e in inside if e.path[:-1] == path[:-1]]
        like = like or [e for e in inside if e.path[: size + 1] == path[: size + 1]]
        if head is None and not like:
            continue
        after = max((e.end for e in like or inside), default=head.end if head else 0)
        end = text.find("\n", after)
        end = len(text) if end < 0 else end
        return f"{text[:end]}\n{_assignment(rest, value)}{text[end:]}"
    lines = f"{text.rstrip()}\n\n" if text.strip() else text
    head_line = f"[{'.'.join(map(_toml_key, path[:-1]))}]\n" if path[1:] else ""
    return f"{lines}{head_line}{_assignment(path[-1:], value)}\n"


def _assignment(path: Path_, value: Written) -> str:
    return f"{'.'.join(map(_toml_key, path))} = {_toml(value)}"


def _toml_key(key: str) -> str:
    return key if _PLAIN_KEY.fullmatch(key) else _toml(key)


def _toml(value: Any) -> str:
    """Return a value as TOML."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_toml_key(k)} = {_toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, int):
        return str(value)
    escaped = str(value).replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08X}" for c in escaped) + '"'


def _laid_out(text: str) -> tuple[list[_Entry], list[_Head]]:
    """Return where every assignment and every heading of a TOML text stands."""
    entries: list[_Entry] = []
    heads: list[_Head] = []
    head: Path_ = ()
    place = _past_gap(text, 0)
    while place < len(text):
        match = _HEAD.match(text, place)
        if match:
            head = _parts(match[1])
            heads.append(_Head(head, place, match.end()))
            place = match.end()
        else:
            found = list(_assigned(text, place, head, head, inline=False))
            if not found:
                # A list of tables, which no job file has: what follows is left alone.
                break
            entries += found
            place = found[0].end
        place = _past_gap(text, place)
    return entries, heads


def _assigned(text: str, place: int, table: Path_, head: Path_, inline: bool) -> Iterator[_Entry]:
    """Yield the assignment that begins at a place, then those inside its inline table."""
    key = _KEY.match(text, place)
    if key is None:
        return
    value = re.compile(r"[ \t]*=[ \t]*").match(text, key.end())
    if value is None:
        return
    path, start = (*table, *_parts(key[0])), value.end()
    yield _Entry(path, head, place, start, _value_end(text, start), inline)
    if text[start] == "{":
        here = _past_gap(text, start + 1)
        while text[here] != "}":
            inner = list(_assigned(text, here, path, head, inline=True))
            yield from inner
            here = _past_gap(text, inner[0].end)
            if text[here] == ",":
                here = _past_gap(text, here + 1)


def _parts(key: str) -> Path_:
    """Return the parts of a dotted key, quotes and escapes undone."""
    found: list[str] = []
    here: Any = tomllib.loads(f"{key} = 0")
    while isinstance(here, dict):
        ((part, here),) = here.items()
        found.append(part)
    return tuple(found)


def _past_gap(text: str, place: int) -> int:
    match = _GAP.match(text, place)
    assert match is not None
    return match.end()


def _value_end(text: str, place: int) -> int:
    """Return where the value ends that begins at a place."""
    if text[place] not in "[{":
        match = (TEXT if text[place] in "\"'" else _BARE).match(text, place)
        return match.end() if match else place
    depth = 0
    while True:
        match = TEXT.match(text, place)
        if match:
            place = match.end()
            continue
        depth += (text[place] in "[{") - (text[place] in "]}")
        place += 1
        if not depth:
            return place
