"""Undo and redo: what was changed, as the few characters that differ."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Splice:
    """Characters put in the place of others.

    Attributes
    ----------
    start : int
        Where, in the text before, from 0.
    removed, inserted : str
        What stood there, and what stands there now.
    """

    start: int
    removed: str
    inserted: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of undo.

    Attributes
    ----------
    splices : tuple of Splice
        In the order of the text; each `start` counts in the text before the whole step.
    label : str
        What it did, in words.
    together : str
        Consecutive steps with the same word here become one; "" for none.
    """

    splices: tuple[Splice, ...]
    label: str
    together: str = ""
