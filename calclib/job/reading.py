"""Turn the plain tables of a job file into sections, and take down every error on the way."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

from calclib import units
from calclib.errors import CalcError, LookupMiss, described, did_you_mean, quoted
from calclib.job import schema
from calclib.job.contents import Entry, Known, Section
from calclib.job.errors import Errors
from calclib.job.schema import COMMON, Content, Key

FORMAT = 1
# Three hundred digits are still a float, so that no text overflows one.
LONGEST_TEXT = 300
LONGEST_NAME = 40
BASES = (
    "measured",
    "from drawings",
    "published",
    "required by code",
    "common practice",
    "chosen",
    "assumed",
)
NO_BASIS = "No basis stated in the job file."
# Between what a number is and the name of the thing inside a section to which it belongs.
LINKS = {
    "layers": " of", "supports": " at", "shores": ", shore", "carried_down": ", posts below shore",
    "hand_lifts": ", lift", "corners": ", corner", "clear": " at", "soffits": " at",
    "heights": ",",
}  # fmt: skip
FROM_MEMORY = "from memory, compare with the printed table"

_NAME = re.compile(rf"[A-Za-z][A-Za-z0-9_-]{{0,{LONGEST_NAME - 1}}}")
_PITCH = re.compile(r" *([0-9]{1,2}(?:\.[0-9]{1,3})?) */ *12 *")
_RATIO = re.compile(r" *L */ *([0-9]{1,4}) *")
# Codes that move the cursor, ring or turn the direction of writing.
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


class Reader:
    """Turns plain tables into sections and takes down every error on the way.

    What was refused stands in its section all the same, a number as nan and words as "", so that
    nothing is reported twice: whoever looks at it later finds nothing wrong with it.
    """

    def __init__(self, errors: Errors) -> None:
        self.errors = errors

    def title_block(self, data: Mapping[str, Any]) -> dict[str, str]:
        number = data.get("format")
        if type(number) is not int or number != FORMAT:
            came = described(number)
            self.errors.add("format", f"the number {FORMAT}", came, f"Write format = {FORMAT}.")
        lines = {"format": f"format = {FORMAT}", "job": "[job]"}
        lines |= {kind: f"[{kind}.east]" for kind in schema.SECTIONS}
        for name in data:
            if name not in lines:
                self.unknown(_part(name), name, "section", lines)
        words = self.section("job", data.get("job"), schema.JOB, {}, {}).words
        return {name: str(word) for name, word in words.items()}

    def sections(self, data: Mapping[str, Any]) -> dict[str, dict[str, Section]]:
        found: dict[str, dict[str, Section]] = {}
        for kind, keys in schema.SECTIONS.items():
            given = data.get(kind, {})
            if not isinstance(given, dict):
                self.no_table(kind, given, f"[{kind}.east]", keys[0].line)
                given = {}
            inside = schema.INSIDE.get(kind, {})
            found[kind] = {
                name: self.section(path, content, keys, inside, {})
                for name, path, content in self.named(kind, given)
            }
        return found

    def named(self, path: str, given: Mapping[str, Any]) -> Iterator[tuple[str, str, Any]]:
        """Yield name, path and content of each thing in a table of named things."""
        for name, content in given.items():
            place = f"{path}.{_part(name)}"
            if not _NAME.fullmatch(name):
                self.errors.add(
                    place,
                    f"a name of letters, digits and _, a letter first, at most {LONGEST_NAME} long",
                    quoted(name),
                    f"Write [{path}.east].",
                )
            yield name, place, content

    def section(
        self,
        path: str,
        content: Any,
        keys: tuple[Key, ...],
        tables: Mapping[str, Content],
        above: Mapping[str, str],
    ) -> Section:
        if not isinstance(content, dict):
            self.no_table(path, content, f"[{path}]", keys[0].line)
            return _refused_section(path, keys, tables)
        common = () if keys in schema.RECORDS else COMMON
        stated = self.stated(path, content, above) if common else {}
        lines = {key.name: key.line for key in keys} | {t: f"[{path}.{t}]" for t in tables}
        for name in content:
            if name not in lines and name not in common:
                self.unknown(f"{path}.{_part(name)}", name, "key", lines)
        wanted = [
            (key, content.get(key.name)) for key in keys if key.required or key.name in content
        ]
        known: dict[str, Known] = {}
        for place, (key, value) in enumerate(wanted):
            if key.has_basis and isinstance(value, dict):
                where = f"{path}.{key.name}"
                wanted[place] = key, self.told(where, key, value)
                said = self.stated(where, value, stated)
                if said.get("basis"):
                    text, source = str(value.get("value")), said.get("source", "")
                    known[key.name] = Known(
                        text, _title(where, key), said["basis"], source, said.get("note", "")
                    )
        return Section(
            path,
            {
                key.name: self.number(f"{path}.{key.name}", key, value, stated)
                for key, value in wanted
                if key.is_number
            },
            {
                key.name: self.word(f"{path}.{key.name}", key, value)
                for key, value in wanted
                if not key.is_number
            },
            {
                name: self.inside(f"{path}.{name}", content.get(name), what, stated)
                for name, what in tables.items()
                if name in content or _is_required(name, what)
            },
            known,
        )

    def told(self, path: str, key: Key, given: Mapping[str, Any]) -> Any:
        """Return the text of an entry that says how it is known."""
        lines = {"value": f"value = {key.written}", "basis": 'basis = "measured"'}
        lines |= {"source": 'source = "grade stamp"', "note": 'note = "no stamp seen"'}
        for name in given:
            if name not in lines:
                self.unknown(f"{path}.{_part(name)}", name, "key", lines)
        return given.get("value")

    def inside(
        self, path: str, given: Any, what: Content, above: Mapping[str, str]
    ) -> Mapping[str, Section | Entry]:
        """Read a table inside a section: for each name a section, or a number."""
        if not isinstance(given, dict) or not given:
            if isinstance(what, tuple):
                self.no_table(path, given, f"[{path}.west]", what[0].line)
            else:
                self.no_table(path, given, f"[{path}]", f"east = {what.written}")
            return {}
        if isinstance(what, tuple):
            return {
                name: self.section(place, content, what, {}, above)
                for name, place, content in self.named(path, given)
            }
        stated = self.stated(path, given, above)
        numbers = {name: value for name, value in given.items() if name not in COMMON}
        return {
            name: self.number(place, what, value, stated)
            for name, place, value in self.named(path, numbers)
        }

    def stated(
        self, path: str, content: Mapping[str, Any], above: Mapping[str, str]
    ) -> Mapping[str, str]:
        """Return what a table says of its numbers; its own basis ends what was said above it."""
        own: dict[str, str] = {}
        for name in COMMON:
            if name in content:
                example = "measured" if name == "basis" else "tape, first survey"
                own[name] = self.plain(
                    f"{path}.{name}", content[name], f"the {name}", f'{name} = "{example}"'
                )
        basis = own.get("basis")
        if basis and basis not in BASES:
            near = did_you_mean(basis, BASES) or 'Write basis = "measured".'
            self.errors.add(f"{path}.basis", f"one of {', '.join(BASES)}", quoted(basis), near)
        return own if basis else {**above, **own}

    def number(self, path: str, key: Key, value: Any, above: Mapping[str, str]) -> Entry:
        stated = above
        if isinstance(value, dict):
            lines = {"value": f"value = {key.written}", "basis": 'basis = "measured"'}
            lines |= {"source": 'source = "tape, first survey"', "note": 'note = "at the stairs"'}
            if key is schema.LAYER:
                lines["item"] = 'item = "plaster on wood lath"'
            for name in value:
                if name not in lines:
                    self.unknown(f"{path}.{_part(name)}", name, "key", lines)
            stated = self.stated(path, value, above)
            if key is schema.LAYER and "item" in value:
                return self.item(path, key, value, stated.get("note", ""))
            value = value.get("value")
            if value is None:
                do = f'Write {{ value = {key.written}, basis = "measured" }}.'
                self.errors.add(path, f"the {key.title} as value", "nothing", do)
                return _refused(path, key)
        number = self.quantity(path, key, value)
        if math.isnan(number):
            return _refused(path, key)
        basis, note = stated.get("basis", ""), stated.get("note", "")
        if not basis:
            basis, note = "assumed", f"{note} {NO_BASIS}".strip()
        title = _title(path, key)
        return Entry(path, number, key, title, str(value), basis, stated.get("source", ""), note)

    def item(self, path: str, key: Key, given: Mapping[str, Any], note: str) -> Entry:
        """Look a layer up in the published tables of weights."""
        from calclib import published

        example = 'item = "plaster on wood lath"'
        name = self.plain(f"{path}.item", given["item"], "an item of the tables", example)
        for beside in ("value", "basis", "source"):
            if beside in given:
                self.errors.add(
                    f"{path}.{beside}",
                    "an item without it, for the table says it",
                    described(given[beside]),
                    f"Take out one of the two: {{ {example} }} or {{ value = {key.written} }}.",
                )
        if not name:
            return _refused(path, key)
        try:
            row = published.weight(name)
        except LookupMiss as miss:
            do = hint(miss, name, f"Write {{ value = {key.written} }}.")
            self.errors.add(f"{path}.item", "an item of the tables of weights", quoted(name), do)
            return _refused(path, key)
        weight = row.values.get("weight_psf")
        if not isinstance(weight, float) or row.values.get("per_thickness_in"):
            self.errors.add(
                f"{path}.item",
                "an item with a weight of its own, whatever its thickness",
                quoted(name),
                f"Work it out from {row.printed}, and write {{ value = {key.written}, "
                'basis = "published" }.',
            )
            return _refused(path, key)
        verified = row.status_of("weight_psf") == "verified"
        read = f"read in: {row.source}" if verified else FROM_MEMORY
        return Entry(
            path,
            weight * units.psf,
            key,
            _title(path, key),
            name,
            "common practice" if row.status == "common practice" else "published",
            row.printed,
            f"{note}; {read}" if note else read,
            verified,
        )

    def quantity(self, path: str, key: Key, value: Any) -> float:
        """Return a number in base units, or nan when it was refused."""
        do = f"Write it as {key.written}."
        number = math.nan
        if value is None:
            self.errors.add(path, f"the {key.title}", "nothing", f"Write {key.line}.")
        elif key.kind == "count":
            if type(value) is int:
                number = float(value) if abs(value) < 10**9 else math.inf
            else:
                self.errors.add(path, f"a whole number ({key.title})", described(value), do)
        elif key.kind == "ratio":
            match = _RATIO.fullmatch(value) if isinstance(value, str) else None
            if match:
                number = float(match[1])
            else:
                self.errors.add(path, f"a share of the span ({key.title})", described(value), do)
        elif key.kind == "pitch":
            match = _PITCH.fullmatch(value) if isinstance(value, str) else None
            if match:
                number = float(match[1]) / 12
            else:
                self.errors.add(path, f"rise over 12 ({key.title})", described(value), do)
        else:
            try:
                number = units.parse(value, key.unit, where=f"{self.errors.file}, {path}")
            except CalcError as error:
                self.errors.say(str(error))
        low, high = key.low, key.high
        if (low is not None and number < low) or (high is not None and number > high):
            limits = [
                f"{words} {_shown(limit, key)}"
                for words, limit in (("at least", low), ("at most", high))
                if limit is not None
            ]
            self.errors.add(path, f"{' and '.join(limits)} ({key.title})", described(value), do)
            return math.nan
        return number

    def word(self, path: str, key: Key, value: Any) -> Any:
        """Return words, or an empty text when they were refused."""
        if key.kind == "date":
            if type(value) is datetime.date:
                return value.isoformat()
            self.errors.add(path, "a date without quotes", described(value), f"Write {key.line}.")
            return ""
        if key.kind == "names":
            if isinstance(value, list) and value:
                return tuple(self.plain(path, name, "each name", key.line) for name in value)
            self.errors.add(path, "a list of names", described(value), f"Write {key.line}.")
            return ""
        text = self.plain(path, value, f"the {key.title}", key.line, key.may_be_empty)
        if text and key.choices and text not in key.choices:
            near = did_you_mean(text, key.choices) or f"Write {key.line}."
            self.errors.add(path, f"one of {', '.join(key.choices)}", quoted(text), near)
            return ""
        return text

    def plain(
        self, path: str, value: Any, needs: str, line: str, may_be_empty: bool = False
    ) -> str:
        """Return a text on one line; empty when it was refused."""
        text = " ".join(value.split()) if isinstance(value, str) else ""
        if not isinstance(value, str) or not (text or may_be_empty):
            self.errors.add(path, f"{needs} as text", described(value), f"Write {line}.")
        elif len(text) > LONGEST_TEXT or _CONTROL.search(text):
            needs = f"{needs} in at most {LONGEST_TEXT} characters that can be printed"
            self.errors.add(path, needs, quoted(text), f"Write {line}.")
            return ""
        return text

    def unknown(self, path: str, name: str, what: str, lines: Mapping[str, str]) -> None:
        near = did_you_mean(name, lines)
        line = next((line for known, line in lines.items() if quoted(known) in near), "")
        do = f"{near} Write {line}." if near else f"Write one of: {', '.join(lines)}."
        self.errors.add(path, f"a {what} that it knows", quoted(name), do)

    def no_table(self, path: str, given: Any, head: str, line: str) -> None:
        came = "an empty table" if given == {} else described(given)
        self.errors.add(path, "a table of entries", came, f"Write {head}, and below it {line}.")


def hint(miss: LookupMiss, word: str, otherwise: str = "") -> str:
    """Return what a message about a table proposes in place of a word.

    Parameters
    ----------
    miss : LookupMiss
    word : str
        What was not found.
    otherwise : str
        What to return when nothing is proposed.

    Returns
    -------
    str
        One or more sentences.
    """
    return str(miss).partition(quoted(word))[2].partition(". ")[2] or otherwise


def _part(name: str) -> str:
    """Return a part of a path as messages print it."""
    return name if _NAME.fullmatch(name) else quoted(name)


def _refused(path: str, key: Key) -> Entry:
    return Entry(path, math.nan, key, "", "", "assumed", "", "")


def _is_required(name: str, what: Content) -> bool:
    if isinstance(what, tuple):
        return name not in schema.MAY_BE_MISSING
    return what.required


def _refused_section(path: str, keys: tuple[Key, ...], tables: Mapping[str, Content]) -> Section:
    required = [key for key in keys if key.required]
    return Section(
        path,
        {key.name: _refused(f"{path}.{key.name}", key) for key in required if key.is_number},
        {key.name: "" for key in required if not key.is_number},
        {name: {} for name, what in tables.items() if _is_required(name, what)},
    )


def _title(path: str, key: Key) -> str:
    kind, name, *inner = path.split(".")
    owner = schema.called(f"{kind}.{name}")
    if len(inner) == 1:
        return f"{key.title}, {owner}"
    link = LINKS.get(inner[0], "")
    return f"{key.title}{link} {inner[1].replace('_', ' ')}, {owner}"


def _shown(number: float, key: Key) -> str:
    if key.kind != "quantity":
        return f"{'L/' if key.kind == 'ratio' else ''}{number:g}"
    is_length = units.dimension(key.unit) == (0, 1)
    return units.show_length(number) if is_length else units.show(number, key.unit)
