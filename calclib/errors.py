"""The exceptions of the kit, and the words of their messages.

Each exception is also the builtin that a caller expects, so ``except ValueError`` works for those
who do not know this module.
A message has four parts: where, what is needed, what came, what to do.
"""

from __future__ import annotations

from collections.abc import Iterable

LONGEST_QUOTE = 60

# Three letters of five: "psg" is near "psf", "yard" is not near "rad".
NEAR = 0.6


class CalcError(Exception):
    """Anything that the kit refuses; its text is one message for a person."""


class UnitError(CalcError, TypeError):
    """A quantity of the wrong dimension, or a unit that the kit does not know."""


class RangeError(CalcError, ValueError):
    """A number outside the limits that a formula or a provision states."""


class InputError(CalcError, ValueError):
    """A text or a job file that cannot be read as what it should be."""


class LookupMiss(CalcError, LookupError):
    """A table without the row that was asked for."""


class BeamError(CalcError, ValueError):
    """A beam that cannot stand, or a load that is not on it."""


class StaleSourceError(CalcError, RuntimeError):
    """Source text that is no longer the code that ran."""


def message(where: str, needs: str, got: str, do: str = "") -> str:
    """Compose the four parts of a message.

    Parameters
    ----------
    where : str
        File and place, or the name of the thing; left out of the text if empty.
    needs : str
        What is needed, in words ("a length").
    got : str
        What came, as it should be read: `quoted` text, or a rounded number with its unit.
    do : str
        What to do, one sentence with its full stop; may be empty.

    Returns
    -------
    str

    Examples
    --------
    >>> print(message("alder.toml, joists.east.span", "a length", quoted("40 psf"),
    ...               'Write it as "13 ft 2 in".'))
    alder.toml, joists.east.span: needs a length, got "40 psf". Write it as "13 ft 2 in".
    >>> message("", "a length", "nothing", 'Write it as "13 ft 2 in".')
    'Needs a length, got nothing. Write it as "13 ft 2 in".'
    """
    head = f"{where}: needs" if where else "Needs"
    return f"{head} {needs}, got {got}. {do}".rstrip()


def quoted(text: str) -> str:
    """Return a text between quotes, short and harmless to print.

    Parameters
    ----------
    text : str
        Text as it was read.

    Returns
    -------
    str
        At most 60 characters of the text; characters that do not print are written as escapes.
        Typographic quotes stand around a text that holds a double quote itself.

    Examples
    --------
    >>> print(quoted("40 psf"), quoted('12 ft 3"'), quoted("a\\tb"))
    "40 psf" “12 ft 3"” "a\\tb"
    """
    if len(text) > LONGEST_QUOTE:
        text = text[:LONGEST_QUOTE] + "…"
    text = "".join(
        c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text
    )
    return f"“{text}”" if '"' in text else f'"{text}"'


def described(value: object) -> str:
    """Return what came, as a message says it.

    Parameters
    ----------
    value : object
        Whatever a job file or a caller handed over.

    Returns
    -------
    str
        Quoted text, a number as it stands, or the kind of a thing too long to print.

    Examples
    --------
    >>> [described(value) for value in ("40 psf", 40, True, None, [1, 2], {"span": 1})]
    ['"40 psf"', 'the number 40', 'true', 'nothing', 'a list', 'a table']
    """
    match value:
        case None:
            return "nothing"
        case str():
            return quoted(value)
        case bool():
            return str(value).lower()
        case int() if abs(value) >= 10**LONGEST_QUOTE:
            return f"a number of more than {LONGEST_QUOTE} digits"
        case int():
            return f"the number {value}"
        case float():
            return f"the number {value:.10g}"
        case list() | tuple():
            return "a list"
        case dict():
            return "a table"
    return quoted(str(value))


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return a sentence that names the nearest known word, or nothing if none is near.

    Parameters
    ----------
    word : str
        What came.
    known : iterable of str
        The words that would have been right; of two equally near, the first is taken.

    Returns
    -------
    str
        ``Did you mean "psf"?`` or an empty string; a word that differs in capitals only is
        always near.

    Examples
    --------
    >>> did_you_mean("psg", ["psf", "ft"])
    'Did you mean "psf"?'
    >>> did_you_mean("KIP", ["kN", "kip"])
    'Did you mean "kip"?'
    >>> did_you_mean("furlong", ["psf", "ft"])
    ''
    """
    # Only needed once something went wrong, so that a good run does not pay for the import.
    from difflib import SequenceMatcher

    came = SequenceMatcher(b=word[:LONGEST_QUOTE].casefold())

    def nearness(name: str) -> float:
        came.set_seq1(name.casefold())
        return came.ratio()

    nearest = max(known, key=nearness, default="")
    return f"Did you mean {quoted(nearest)}?" if nearest and nearness(nearest) >= NEAR else ""
