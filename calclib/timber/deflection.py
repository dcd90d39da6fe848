"""Deflection: the adjusted modulus, the limits, and the share with which dead load counts."""

from __future__ import annotations

from functools import cache

from calclib import published
from calclib.errors import InputError, message, quoted
from calclib.timber.leaves import FROM_MEMORY, code_leaf, table_leaf
from calclib.trace import Value, formula, leaf, positive, product

LONG_TERM, SHORT_FORM, PLAIN_SUM = "NDS 3.5.2", "IBC 1604.3 footnote", "plain sum"
DEAD_LOAD_RULES = (LONG_TERM, SHORT_FORM, PLAIN_SUM)


@formula(
    "E_prime",
    "psi",
    source="NDS 2018 Tables 4.3.1, 8.3.1",
    E="psi",
    C="",
    valid={"E": positive, "C": (0.0, None)},
)
def adjusted_modulus(E, *C):  # type: ignore[no-untyped-def]
    """Adjusted modulus of elasticity.

    Parameters
    ----------
    E : float or array [psi]
        Reference modulus of elasticity.
    *C : float or array [dimensionless]
        The factors that apply.

    Returns
    -------
    float or array [psi]
        Zero or more.

    Notes
    -----
    Valid for: E > 0, factors >= 0; E apparent, shear deflection in it.
    Differs from the source: E of composite lumber is taken as apparent, as its class prints it.
    """
    return E * product(C)


@formula(
    "Delta_max",
    "in",
    source="building code, deflection limit as a share of the span",
    l="in",
    n="",
    valid={"l": positive, "n": positive},
)
def deflection_limit(l, n):  # type: ignore[no-untyped-def]  # noqa: E741
    """Deflection limit, a share of the span.

    Parameters
    ----------
    l : float or array [in]
        Span; twice the length of a cantilever.
    n : float or array [dimensionless]
        Divisor: 360 for l/360.

    Returns
    -------
    float or array [in]
        Above zero.

    Notes
    -----
    Valid for: l > 0, n > 0.
    Differs from the source: nothing.
    """
    return l / n


@formula(
    "Delta_T",
    "in",
    source="NDS 2018 3.5.2 Eq. 3.5-1",
    K="",
    Delta_D="in",
    Delta_st="in",
    valid={"K": (0.0, None), "Delta_D": (None, None), "Delta_st": (None, None)},
)
def total_deflection(K, Delta_D, Delta_st):  # type: ignore[no-untyped-def]
    """Total deflection, with dead load counted by a share.

    Parameters
    ----------
    K : float or array [dimensionless]
        Share of the dead-load deflection: K_cr for creep, or by a rule of the building code.
    Delta_D : float or array [in]
        Immediate deflection under the loads that last, dead load here.
    Delta_st : float or array [in]
        Deflection under the other loads of the combination.

    Returns
    -------
    float or array [in]
        Positive in the direction in which its parts are.

    Notes
    -----
    Valid for: K >= 0; both parts at one place of the span.
    Differs from the source: K is K_cr only under NDS 3.5.2; the other rules take its place.
    """
    return K * Delta_D + Delta_st


@cache
def dead_load_share(rule: str, moisture: str = "dry", seasoned: bool = True) -> Value:
    """Return the share with which dead load counts in the total deflection.

    Parameters
    ----------
    rule : str
        "NDS 3.5.2", "IBC 1604.3 footnote" or "plain sum".
    moisture : str
        "dry" or "wet" in service.
    seasoned : bool
        Whether the wood is dry when it is loaded.

    Returns
    -------
    Value [dimensionless]
        1.5 or 2.0 for creep, 0.5 by the footnote, 1.0 for the plain sum.

    Raises
    ------
    InputError
        For another rule, or the footnote with wood that is not dry.
    """
    dry = moisture == "dry" and seasoned
    if rule == LONG_TERM:
        word = "seasoned" if dry else "unseasoned"
        row = next(r for r in published.rows("nds-2018-3-5-2") if r.key[0].startswith(word))
        return table_leaf(row, "K_cr", "K_cr", f"share of dead load for creep, {row.key[0]}")
    if rule == SHORT_FORM:
        if not dry:
            raise InputError(
                message(
                    "dead load in the total deflection",
                    "dry wood for the IBC footnote",
                    "wet or unseasoned",
                    f"Take {quoted(LONG_TERM)}.",
                )
            )
        row = published.find("ibc-1604-3", member="floor members")
        return leaf(
            row.number("D_factor_dry"),
            "",
            "K",
            "ibc-1604-3/footnote/K",
            basis="required by code",
            title="share of dead load in the D + L deflection of dry wood",
            verified=False,
            source="IBC Table 1604.3, footnote",
            note=FROM_MEMORY,
        )
    if rule == PLAIN_SUM:
        return code_leaf(
            1.0,
            "K",
            "deflection/plain sum/K",
            "share of dead load in a plain sum",
            "IBC 1604.3, IRC R301.7",
            "creep is left out",
        )
    needs = "one of " + ", ".join(quoted(each) for each in DEAD_LOAD_RULES)
    raise InputError(message("dead load in the total deflection", needs, quoted(rule)))


RULE_NOTES = {
    LONG_TERM: "NDS 2018 3.5.2 asks for it, for creep under load that lasts",
    SHORT_FORM: "the footnote of IBC Table 1604.3 allows it for dry wood; creep is not in it",
    PLAIN_SUM: "a plain sum as in IBC 1604.3 and IRC R301.7; creep is not in it",
}


def share_note(share: float | None, rule: str) -> str:
    """Return the sentence that says how dead load counts, and by which rule."""
    number = "by its share" if share is None else f"{share:.1f}"
    return f"Dead load counts {number}: {RULE_NOTES[rule]}."
