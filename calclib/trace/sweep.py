"""One check function on a million candidates, in blocks that fit the cache."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from typing import Any

from calclib.errors import InputError, message
from calclib.trace.value import children

BLOCK = 16_384

Cut = Callable[[int, int], Any]


def sweep(function: Callable[..., Any], arguments: tuple[Any, ...], block: int = BLOCK) -> Any:
    """Run a check function on arrays of candidates, block by block.

    Parameters
    ----------
    function : callable
        Takes the arguments, cut, and returns a sequence of arrays over the candidates, or of
        plain numbers that hold for all of them.
    arguments : tuple
        Plain numbers, strings, arrays, and nested tuples, dicts and dataclasses of them, as
        `numbers` gives them.
        An array of two axes is candidates x cases (one case for what does not depend on it) and
        is cut; an array of one axis holds the cases and is the same for all candidates.
    block : int
        Candidates run at once.

    Returns
    -------
    array
        Shape [result, candidate].

    Raises
    ------
    InputError
        When no argument is an array of candidates, or their numbers differ.

    Notes
    -----
    The function sees the candidates on the last axis and the cases on the one before: cases x
    candidates, so that the few cases of a candidate do not become the inner loop (measured: five
    times faster).
    Formulas do not mind; what picks among cases takes the largest along axis 0.
    """
    import numpy as np

    counts = {array.shape[0] for array in _arrays(arguments) if array.ndim == 2}
    cut = _cutter(arguments)
    if cut is None or len(counts) != 1:
        got = " and ".join(str(count) for count in sorted(counts)) or "none"
        raise InputError(message("sweep", "arrays of candidates x cases of one length", got))
    (count,) = counts
    results: Any = None
    for start in range(0, count, block):
        end = min(start + block, count)
        found = function(*cut(start, end))
        if results is None:
            results = np.empty((len(found), count))
        for row, numbers in zip(results, found, strict=True):
            row[start:end] = numbers
    return results


def _arrays(x: Any) -> Iterator[Any]:
    if type(x).__module__ == "numpy":
        if getattr(x, "ndim", 0):
            yield x
        return
    for item in children(x):
        yield from _arrays(item)


def _cutter(x: Any) -> Cut | None:
    """Return what cuts one block out of a structure; None where there is nothing to cut.

    Parts that are the same for every block are laid out once.
    """
    import numpy as np

    if isinstance(x, np.ndarray):
        if x.ndim == 1:
            column = x[:, np.newaxis]
            return lambda start, end: column
        across = x.T
        return lambda start, end: np.ascontiguousarray(across[:, start:end])
    parts: dict[Any, Any]
    make: Callable[[dict[Any, Any]], Any]
    if isinstance(x, (tuple, list)):
        parts, make = dict(enumerate(x)), lambda found: tuple(found.values())
    elif isinstance(x, dict):
        parts, make = x, dict
    elif dataclasses.is_dataclass(x) and not isinstance(x, type):
        parts = {f.name: getattr(x, f.name) for f in dataclasses.fields(x)}
        make = lambda found: type(x)(**found)  # noqa: E731
    else:
        return None
    cutters = {key: cutter for key, item in parts.items() if (cutter := _cutter(item))}
    if not cutters:
        return None
    if not any(array.ndim == 2 for array in _arrays(x)):
        whole = make({**parts, **{key: cutter(0, 0) for key, cutter in cutters.items()}})
        return lambda start, end: whole

    def cut(start: int, end: int) -> Any:
        return make({**parts, **{key: cutter(start, end) for key, cutter in cutters.items()}})

    return cut
