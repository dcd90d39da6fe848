"""Shear from loads near a support, left out or reduced where the clause allows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calclib.trace import formula, maximum, positive, where
from calclib.units import lbf


@formula(
    "V_d",
    "lbf",
    source="NDS 2018 3.4.3.1",
    w="lbf/in",
    l_clear="in",
    d="in",
    valid={"w": (0.0, None), "l_clear": positive, "d": positive},
)
def uniform_shear_at_depth(w, l_clear, d):  # type: ignore[no-untyped-def]
    """Shear of a simple beam under uniform load, the load within a depth of its supports left out.

    Parameters
    ----------
    w : float or array [lbf/in]
        Load per length.
    l_clear : float or array [in]
        Clear span, from face to face of the supports.
    d : float or array [in]
        Depth of the member.

    Returns
    -------
    float or array [lbf]
        Zero or more.

    Notes
    -----
    Valid for: w >= 0, l_clear > 0, d > 0; where `near_support` allows it.
    Differs from the source: nothing.
    """
    return maximum(w * (l_clear / 2 - d), 0 * lbf)


@formula(
    "V_d",
    "lbf",
    source="NDS 2018 3.4.3.1",
    V="lbf",
    w="lbf/in",
    d="in",
    valid={"V": (0.0, None), "w": (0.0, None), "d": positive},
)
def shear_at_depth(V, w, d):  # type: ignore[no-untyped-def]
    """Shear at a depth from the face of a support, below uniform load.

    Parameters
    ----------
    V : float or array [lbf]
        Size of the shear at the face of the support.
    w : float or array [lbf/in]
        Uniform load within a depth of that face.
    d : float or array [in]
        Depth of the member.

    Returns
    -------
    float or array [lbf]
        Zero or more.

    Notes
    -----
    Valid for: V >= 0, w >= 0, d > 0; where `near_support` allows it.
    Differs from the source: nothing; for members of any number of spans.
    From memory: compare with the printed clause.
    """
    return maximum(V - w * d, 0 * lbf)


@formula(
    "V_x",
    "lbf",
    source="NDS 2018 3.4.3.1",
    V_P="lbf",
    x="in",
    d="in",
    valid={"V_P": (0.0, None), "x": (0.0, None), "d": positive},
)
def reduced_point_shear(V_P, x, d):  # type: ignore[no-untyped-def]
    """Shear of a point load that may stand near a support.

    Parameters
    ----------
    V_P : float or array [lbf]
        Size of the shear that the load gives at the support.
    x : float or array [in]
        Distance of the load from the face of the support.
    d : float or array [in]
        Depth of the member.

    Returns
    -------
    float or array [lbf]
        Less than V_P within a depth of the support, by x/d.

    Notes
    -----
    Valid for: V_P >= 0, x >= 0, d > 0; where `near_support` allows it.
    Differs from the source: nothing.
    From memory: compare with the printed clause.
    """
    return where(x < d, V_P * x / d, V_P)


@dataclass(frozen=True)
class NearSupport:
    """Whether loads near a support may be left out, and why.

    Attributes
    ----------
    allowed : bool
    note : str
    """

    allowed: bool
    note: str


def near_support(
    *, bears_on_face: bool, load_on_opposite_face: bool, notched: bool, connection: bool = False
) -> NearSupport:
    """Say whether loads within a depth of a support may be left out of the shear.

    Parameters
    ----------
    bears_on_face : bool
        Whether the member bears in full on one face, not held by fasteners in its side.
    load_on_opposite_face : bool
        Whether the loads rest on the face opposite to that bearing; not so for loads that hang
        from the member or come in through hangers at its side.
    notched : bool
        Whether the member is notched at that support.
    connection : bool
        Whether a connection holds or loads it within five depths of its end.
    """
    against = [
        words
        for words, said in (
            ("the member does not bear on its face", not bears_on_face),
            (
                "the loads do not rest on the face opposite to the bearing",
                not load_on_opposite_face,
            ),
            ("the member is notched there", notched),
            ("a connection is within five depths of the end", connection),
        )
        if said
    ]
    if against:
        return NearSupport(
            False,
            f"Loads within a depth of the support count in full: {'; '.join(against)} "
            "(NDS 2018 3.4.3.1).",
        )
    return NearSupport(
        True,
        "Loads within a depth of the support are left out or reduced: the member bears on one "
        "face and is loaded on the other (NDS 2018 3.4.3.1).",
    )


def shear_for_check(setting: NearSupport, full: Any, less: Any) -> tuple[Any, str]:
    """Return the shear that the check takes, and the sentence that says why.

    Parameters
    ----------
    setting : NearSupport
    full : Value [lbf]
        Of all loads.
    less : Value [lbf]
        With loads near the support left out or reduced.
    """
    return (less if setting.allowed else full), setting.note
