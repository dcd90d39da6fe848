"""Traced values: formulas, steps, checks, and what can be walked from them."""

from calclib.trace.check import Check, Condition, check, governing_case, utilization, worst_of
from calclib.trace.formula import REGISTRY, Formula, formula, positive
from calclib.trace.functions import maximum, minimum, product, sqrt, total, where
from calclib.trace.replay import BreakPoint, Program, break_point, program
from calclib.trace.step import Step, band, pick, step
from calclib.trace.unfold import Trace, trace
from calclib.trace.value import (
    BASES,
    Basis,
    Call,
    Leaf,
    Value,
    leaf,
    leaves,
    numbers,
    values_in,
    walk,
)

__all__ = [
    "BASES",
    "REGISTRY",
    "Basis",
    "BreakPoint",
    "Call",
    "Check",
    "Condition",
    "Formula",
    "Leaf",
    "Program",
    "Step",
    "Trace",
    "Value",
    "band",
    "break_point",
    "check",
    "formula",
    "governing_case",
    "leaf",
    "leaves",
    "maximum",
    "minimum",
    "numbers",
    "pick",
    "positive",
    "product",
    "program",
    "sqrt",
    "step",
    "total",
    "trace",
    "utilization",
    "values_in",
    "walk",
    "where",
    "worst_of",
]
