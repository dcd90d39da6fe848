"""What a job file holds, once it was read: entries, sections, the job."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from calclib.job.schema import Key


@dataclass(frozen=True)
class Entry:
    """One number of a job file.

    Attributes
    ----------
    path : str
        Its place in the file; the leaf's id.
    number : float [base units]
    key : Key
        What it is.
    title : str
        What it is, with the name of the thing it belongs to.
    text : str
        As it was typed.
    basis, source, note : str
        How it is known; "assumed" with a note when the file does not say.
    verified : bool
        False for a weight that the published tables hold from memory.
    """

    path: str
    number: float
    key: Key
    title: str
    text: str
    basis: str
    source: str
    note: str
    verified: bool = True


@dataclass(frozen=True)
class Known:
    """How the words of an entry are known.

    Attributes
    ----------
    text : str
        As it was typed.
    title : str
        What it is, with the name of the thing it belongs to.
    basis, source, note : str
    """

    text: str
    title: str
    basis: str
    source: str
    note: str


@dataclass(frozen=True)
class Section:
    """One named thing of a job: its numbers, its words and the tables inside it.

    Attributes
    ----------
    path : str
    numbers : mapping of str to Entry
    words : mapping of str to str or tuple of str
    inside : mapping of str to mapping
        For each table inside it what stands there by name, in the order of the file: entries
        (layers, spans) or sections (supports).
    known : mapping of str to Known
        For words that say how they are known.
    """

    path: str
    numbers: Mapping[str, Entry]
    words: Mapping[str, Any]
    inside: Mapping[str, Mapping[str, Section | Entry]] = field(default_factory=dict)
    known: Mapping[str, Known] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The last part of its path."""
        return self.path.rpartition(".")[2]

    @property
    def kind(self) -> str:
        """The first part of its path."""
        return self.path.partition(".")[0]

    def seats(self) -> Iterator[Section]:
        """Yield the supports of a beam, from one end to the other."""
        for seat in self.inside.get("supports", {}).values():
            if isinstance(seat, Section):
                yield seat


@dataclass(frozen=True)
class Job:
    """A job file that was read and understood.

    Attributes
    ----------
    file : str
        Name of the file, without its folder.
    text : str
        The file itself, so that a sheet can carry it.
    title_block : mapping of str to str
    sections : mapping of str to mapping of str to Section
        By kind (joists, beams ...), then by name, in the order of the file.
    """

    file: str
    text: str
    title_block: Mapping[str, str]
    sections: Mapping[str, Mapping[str, Section]]

    def of(self, kind: str) -> Mapping[str, Section]:
        """Return the sections of one kind by name; empty when there is none."""
        return self.sections.get(kind, {})

    def __repr__(self) -> str:
        counts = ", ".join(f"{len(named)} {kind}" for kind, named in self.sections.items() if named)
        return f"<job {self.title_block['number']} {self.title_block['title']}: {counts}>"

    def _repr_html_(self) -> str:
        from calclib.job.rich import job_html

        return job_html(self)
