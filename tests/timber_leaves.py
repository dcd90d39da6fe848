"""Leaves and numbers that several timber tests share."""

from calclib.trace import leaf


def given(number, unit, symbol, id=None, **more):
    """Return a traced leaf that a test made up."""
    return leaf(number, unit, symbol, id or f"test/{symbol}", title=symbol, basis="assumed", **more)


def size(b, d):
    """Return breadth and depth of one piece as leaves."""
    return given(b, "in", "b_ply"), given(d, "in", "d")
