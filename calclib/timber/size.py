"""How the bending value falls with the size of the piece, where a rule stands for a table."""

from __future__ import annotations

from calclib.trace import formula, positive, where
from calclib.units import inch


@formula(
    "C_F", "", source="NDS Supplement 2018 Table 4D, size factor", d="in", valid={"d": positive}
)
def timber_size_factor(d):  # type: ignore[no-untyped-def]
    """Size factor of timbers, 5 in by 5 in nominal and larger, for F_b.

    Parameters
    ----------
    d : float or array [in]
        Depth of the piece, load on its narrow face.

    Returns
    -------
    float or array [dimensionless]
        1 up to 12 in, falling above.

    Notes
    -----
    Valid for: d > 0; F_b only, not for the wide face.
    Differs from the source: nothing.
    """
    return where(d > 12 * inch, (12 * inch / d) ** (1 / 9), 1)


@formula(
    "C_V",
    "",
    source="size rule of composite lumber, by its evaluation report",
    d="in",
    e="",
    valid={"d": positive, "e": (0.0, 0.5)},
)
def composite_size_factor(d, e):  # type: ignore[no-untyped-def]
    """Size factor of structural composite lumber for F_b, load on the edge.

    Parameters
    ----------
    d : float or array [in]
        Depth of the member.
    e : float or array [dimensionless]
        Exponent of the product's rule.

    Returns
    -------
    float or array [dimensionless]
        1 at 12 in, below 1 for deeper members and above 1 for shallower ones.

    Notes
    -----
    Valid for: d > 0, 0 <= e <= 0.5; NDS 2018 8.3.6 leaves the rule to the product.
    Differs from the source: one rule at every depth; many reports let the factor grow no more
    below a least depth, often 3-1/2 in, which is to be confirmed.
    """
    return (12 * inch / d) ** e


@formula(
    "d_post",
    "in",
    source="NDS Supplement 2018 Table 4D, size classes",
    b="in",
    valid={"b": positive},
)
def post_limit(b):  # type: ignore[no-untyped-def]
    """Greatest depth at which a timber is graded as post, not as beam or stringer.

    Parameters
    ----------
    b : float or array [in]
        Thickness, the smaller dimension.

    Returns
    -------
    float or array [in]
        2 in more than the thickness.

    Notes
    -----
    Valid for: b > 0, 5 in nominal and thicker.
    Differs from the source: printed in nominal sizes, applied to the real ones.
    """
    return b + 2 * inch
