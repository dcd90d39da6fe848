"""The functions a formula's body may use; each knows floats, arrays, SymPy and Pint.

Limits: no other function may stand in a body, so that every body can be printed,
differentiated and proven in its units.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

BODY_FUNCTIONS = frozenset({"sqrt", "minimum", "maximum", "where", "product", "total"})


def _kind(*arguments: Any) -> str:
    """Say which arithmetic the arguments ask for: float, array, sympy or pint."""
    kind = "float"
    for argument in arguments:
        if isinstance(argument, (float, int)):
            continue
        module = type(argument).__module__.partition(".")[0]
        if module == "numpy":
            kind = "array"
        elif module in ("sympy", "pint"):
            return module
    return kind


def sqrt(x: Any) -> Any:
    """Square root.

    >>> sqrt(9.0)
    3.0
    """
    kind = _kind(x)
    if kind == "float":
        return math.sqrt(x)
    if kind == "array":
        import numpy as np

        return np.sqrt(x)
    if kind == "sympy":
        import sympy

        return sympy.sqrt(x)
    return x**0.5


def minimum(*items: Any) -> Any:
    """Smallest of the arguments, element by element for arrays.

    >>> minimum(3.0, 2.0, 5.0)
    2.0
    """
    return _extreme(items, "minimum", "Min", min)


def maximum(*items: Any) -> Any:
    """Largest of the arguments, element by element for arrays.

    >>> maximum(3.0, 2.0, 5.0)
    5.0
    """
    return _extreme(items, "maximum", "Max", max)


def _extreme(items: tuple[Any, ...], array_name: str, symbolic_name: str, scalar: Any) -> Any:
    kind = _kind(*items)
    if kind == "float":
        return scalar(items)
    if kind == "sympy":
        import sympy

        return getattr(sympy, symbolic_name)(*items)
    import numpy as np

    result = items[0]
    for item in items[1:]:
        result = getattr(np, array_name)(result, item)
    return result


def where(condition: Any, then: Any, otherwise: Any) -> Any:
    """One of two results by a condition; on arrays both are computed, so guard the other.

    >>> where(2.0 < 3.0, 10.0, 20.0)
    10.0
    """
    if condition is True or condition is False:
        return then if condition else otherwise
    kind = _kind(condition, then, otherwise)
    if kind == "sympy":
        import sympy

        return sympy.Piecewise((then, condition), (otherwise, True))
    import numpy as np

    return np.where(condition, then, otherwise)


def product(factors: Iterable[Any]) -> Any:
    """Product of any number of factors; 1 for none.

    >>> product((2.0, 3.0))
    6.0
    """
    result: Any = None
    for factor in factors:
        result = factor if result is None else result * factor
    return 1.0 if result is None else result


def total(terms: Iterable[Any]) -> Any:
    """Sum of any number of terms; 0 for none.

    >>> total((2.0, 3.0))
    5.0
    """
    result: Any = None
    for term in terms:
        result = term if result is None else result + term
    return 0.0 if result is None else result
