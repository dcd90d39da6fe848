"""Loads and their combinations, by the load standard."""

from calclib.loads.combinations import CaseSet, Group, case_set

__all__ = ["CaseSet", "Group", "case_set"]
