"""Calc sheets for the beam that takes the place of a bearing wall.

Importing the package costs nothing: every module loads what it needs when it is first called.
"""

__version__ = "0.1.0"
