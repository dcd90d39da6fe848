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
    """Smallest of the arguments, element by element for arrays; NaN if one of them is.

    >>> minimum(3.0, 2.0, 5.0)
    2.0
    """
    kind = _kind(*items)
    if kind == "sympy":
        import sympy

        return sympy.Min(*items)
    result = items[0]
    for item in items[1:]:
        if kind == "array":
            import numpy as np

            result = np.minimum(result, item)
        elif not (result < item or result != result):
            result = item
    return result


def maximum(*items: Any) -> Any:
    """Largest of the arguments, element by element for arrays; NaN if one of them is.

    >>> maximum(3.0, 2.0, 5.0)
    5.0
    """
    kind = _kind(*items)
    if kind == "sympy":
        import sympy

        return sympy.Max(*items)
    result = items[0]
    for item in items[1:]:
        if kind == "array":
            import numpy as np

            result = np.maximum(result, item)
        elif not (result > item or result != result):
            result = item
    return result


def where(condition: Any, then: Any, otherwise: Any) -> Any:
    """One of two results by a condition; on arrays both are computed, so guard the other.

    >>> where(2.0 < 3.0, 10.0, 20.0)
    10.0
    """
    if condition is True or condition is False:
        return then if condition else otherwise
    if _kind(condition, then, otherwise) == "sympy":
        import sympy

        return sympy.Piecewise((then, condition), (otherwise, True))
    import numpy as np

    if isinstance(condition, np.bool_):
        return then if condition else otherwise
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
