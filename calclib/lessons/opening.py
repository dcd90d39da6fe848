"""A solved opening with its spans and its tributary width free to move.

A number that moves is run through the part of the graph that it can change; the job is not
solved again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from calclib.errors import LookupMiss, did_you_mean, message, quoted
from calclib.job import graph
from calclib.job.bent import Bent
from calclib.job.file import Entry, Job, Section
from calclib.job.solve import Solved, solved_of
from calclib.lessons.gathering import gathered, watched
from calclib.lessons.reading import Reading
from calclib.lessons.setting import Setting, scale_around
from calclib.lessons.variation import Variation, variation
from calclib.trace import Check, Value, values_in

WIDTH = "width"


@dataclass(frozen=True, eq=False)
class Freedom:
    """A number that may move, and the leaves that move with it.

    Attributes
    ----------
    setting : Setting
    leaves : tuple of Value
        Each keeps its share of the number.
    """

    setting: Setting
    leaves: tuple[Value, ...]

    def numbers(self, number: float) -> dict[str, float]:
        """Return the leaves' numbers by id [base units]."""
        start = self.setting.start
        return {
            leaf.id: number if leaf.at() == start else leaf.at() * number / start
            for leaf in self.leaves
        }


@dataclass(frozen=True, eq=False)
class Study:
    """A beam of a solved job, and what may be moved.

    Attributes
    ----------
    solved : Solved
    beam : Bent
    freedoms : mapping of str to Freedom
        By the key of the setting.
    beside : tuple of Check
        Further checks that are read with those of the beam; `at` leaves them out, as they may
        take longer.
    """

    solved: Solved
    beam: Bent
    freedoms: Mapping[str, Freedom]
    variation: Variation
    beside: tuple[Check, ...] = ()
    _again_beside: Variation | None = None

    @property
    def settings(self) -> tuple[Setting, ...]:
        """What may be set, in order."""
        return tuple(freedom.setting for freedom in self.freedoms.values())

    @property
    def start(self) -> dict[str, float]:
        """The numbers of the job by key [base units]."""
        return {setting.key: setting.start for setting in self.settings}

    def at(self, **changed: str | float) -> Reading:
        """Return what is found with some numbers changed.

        Parameters
        ----------
        **changed : str or float
            By key, typed text ("15 ft 2 in") or a number [base units]; what is not given stays
            as the job has it.

        Returns
        -------
        Reading

        Raises
        ------
        LookupMiss
            For a number that is not free.
        CalcError
            For a text that cannot be read, a number outside its range, or one that the
            calculation refuses.
        """
        return self._read(changed, self.variation, ())

    def with_beside(self, **changed: str | float) -> Reading:
        """Return the same with the further checks; see `at`."""
        return self._read(changed, self._again_beside or self.variation, self.beside)

    def _read(
        self, changed: Mapping[str, str | float], again: Variation, beside: tuple[Check, ...]
    ) -> Reading:
        for key in changed:
            if key not in self.freedoms:
                needs, near = f"one of {', '.join(self.freedoms)}", did_you_mean(key, self.freedoms)
                raise LookupMiss(message("what to change", needs, quoted(key), near))
        shown: list[tuple[Setting, float]] = []
        numbers: dict[str, float] = {}
        for key, freedom in self.freedoms.items():
            setting = freedom.setting
            given = changed.get(key, setting.start)
            number = setting.read(given) if isinstance(given, str) else setting.within(given)
            shown.append((setting, number))
            numbers |= freedom.numbers(number)
        return gathered(self.beam, tuple(shown), again(numbers), self.si, beside)

    @property
    def si(self) -> bool:
        """Whether its job is shown in SI units."""
        return self.solved.job.title_block["units"] == "SI"

    def __repr__(self) -> str:
        keys = ", ".join(f"{setting.key} ({setting.name})" for setting in self.settings)
        return f"<study of {self.beam!r}; free to move: {keys}>\n{self.with_beside()!r}"

    def _repr_html_(self) -> str:
        return self.with_beside()._repr_html_()


def opening_study(job: str | Path | Job | Solved, beam: str = "") -> Study:
    """Solve a job and free the spans of a beam and the width of floor that it carries.

    Parameters
    ----------
    job : str, Path, Job or Solved
        A job file, or what was made of it.
    beam : str
        Name of the beam; the first of the job if left out.

    Returns
    -------
    Study
        With "span" (or "span_" and its name, for each of several) and, where joists rest on the
        beam, "width": half of their spans beside it, which all grow in the same proportion.

    Raises
    ------
    CalcError
        When the job cannot be read or solved, or has no such beam.
    """
    solved = solved_of(job)
    found = named_beam(solved, beam)
    freedoms = [*spans_free(solved, found), *_width(solved, found)]
    leaves = [leaf for freedom in freedoms for leaf in freedom.leaves]
    again = variation(leaves, list(values_in(watched(found))))
    return Study(solved, found, {freedom.setting.key: freedom for freedom in freedoms}, again)


def named_beam(solved: Solved, name: str) -> Bent:
    """Return a beam of a solved job by its name, or the first.

    Raises
    ------
    LookupMiss
        When there is no such beam.
    """
    by_name = {beam.section.name: beam for beam in solved.beams}
    if not name:
        return solved.beams[0]
    if name not in by_name:
        needs = f"one of {', '.join(by_name)}"
        raise LookupMiss(message("beam", needs, quoted(name), did_you_mean(name, by_name)))
    return by_name[name]


def spans_free(solved: Solved, beam: Bent) -> Iterator[Freedom]:
    """Yield the clear spans of a beam as free numbers."""
    entries = [e for e in beam.section.inside["spans"].values() if isinstance(e, Entry)]
    for entry, name in zip(entries, beam.model.span_names, strict=True):
        several = len(entries) > 1
        key = f"span_{name}" if several else "span"
        words = f"clear span {name.replace('_', ' ')}" if several else "clear span"
        yield _freedom(solved, key, words, (solved.inputs[entry.path],), entry.number)


def _width(solved: Solved, beam: Bent) -> Iterator[Freedom]:
    beside = joists_beside(solved, beam)
    if beside:
        width = sum(span.at() for span in beside) / 2
        yield _freedom(solved, WIDTH, "tributary width", tuple(beside), width)


def joists_beside(
    solved: Solved, beam: Bent, kinds: tuple[str, ...] = ("joists",)
) -> dict[Value, tuple[Section, str]]:
    """Return the spans of joists beside a beam, each with its field and its name in it.

    Parameters
    ----------
    solved : Solved
    beam : Bent
    kinds : tuple of str
        Of "joists" and "rafters".

    Returns
    -------
    dict of Value to (Section, str)
        The name is empty for a field of one span.
    """
    found: dict[Value, tuple[Section, str]] = {}
    # Joists name the wall whose place the beam takes.
    here = {beam.section.path, beam.section.words.get("replaces")}
    for kind in kinds:
        for section in solved.job.of(kind).values():
            carriers = graph.supports(section)
            spans = [solved.inputs[path] for path in _span_paths(section)]
            for place, span in enumerate(spans):
                if here & set(carriers[place : place + 2]):
                    name = span.id.rpartition(".")[2] if len(spans) > 1 else ""
                    found[span] = section, name
    return found


def _span_paths(section: Section) -> list[str]:
    if "span" in section.numbers:
        return [section.numbers["span"].path]
    return [e.path for e in section.inside["spans"].values() if isinstance(e, Entry)]


def _freedom(
    solved: Solved, key: str, name: str, leaves: tuple[Value, ...], start: float
) -> Freedom:
    si = solved.job.title_block["units"] == "SI"
    low, high, step = scale_around(start, si)
    return Freedom(Setting(key, name, "ft", start, low, high, step, si), leaves)
