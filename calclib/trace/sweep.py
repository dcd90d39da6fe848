"""One check function on a million candidates, in blocks that fit the cache."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from typing import Any

from calclib.errors import InputError, message
from calclib.trace.value import children

BLOCK = 16_384


def sweep(function: Callable[..., Any], arguments: tuple[Any, ...], block: int = BLOCK) -> Any:
    """Run a check function on arrays of candidates, block by block.

    Parameters
    ----------
    function : callable
        Takes the arguments and returns an array of candidates x anything, or of candidates.
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
        What the function returned, for all candidates.

    Raises
    ------
    InputError
        When no argument is an array of candidates, or their numbers differ.

    Notes
    -----
    Within a block the candidates lie next to each other in memory, so that the few cases of a
    candidate do not become the inner loop.
    """
    import numpy as np

    counts = {array.shape[0] for array in _arrays(arguments) if array.ndim == 2}
    if len(counts) != 1:
        got = " and ".join(str(count) for count in sorted(counts)) or "none"
        raise InputError(
            message("sweep", "arrays of candidates x cases of one length", got)
        )
    (count,) = counts
    results: Any = None
    for start in range(0, count, block):
        end = min(start + block, count)
        found = np.asarray(function(*_cut(arguments, start, end)))
        if results is None:
            results = np.empty((count, *found.shape[1:]), dtype=found.dtype)
        results[start:end] = found
    return results


def _arrays(x: Any) -> Iterator[Any]:
    if type(x).__module__ == "numpy":
        if getattr(x, "ndim", 0):
            yield x
        return
    for item in children(x):
        yield from _arrays(item)


def _cut(x: Any, start: int, end: int) -> Any:
    """Return the same structure with one block of every array, candidates innermost."""
    import numpy as np

    if type(x).__module__ == "numpy":
        if x.ndim == 2:
            return np.asfortranarray(x[start:end])
        if x.ndim == 1:
            return np.asfortranarray(np.broadcast_to(x, (end - start, len(x))))
        return x
    if isinstance(x, (tuple, list)):
        return tuple(_cut(item, start, end) for item in x)
    if isinstance(x, dict):
        return {key: _cut(item, start, end) for key, item in x.items()}
    if dataclasses.is_dataclass(x) and not isinstance(x, type):
        changed = {f.name: _cut(getattr(x, f.name), start, end) for f in dataclasses.fields(x)}
        return type(x)(**changed)
    return x
