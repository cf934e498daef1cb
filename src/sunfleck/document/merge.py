"""Bring two changed copies of a text together, line by line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Choice = Literal["mine", "theirs", "base", "both"]
"""What is to stand where both sides changed the same lines; ``both`` is mine, then theirs."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Lines that both sides changed, each in its own way.

    Attributes
    ----------
    base, mine, theirs : tuple of str
        The lines of each, with their ends; empty where a side has none there.
    base_line, mine_line, theirs_line : int
        Line of each text at which they begin, from 1.
    """

    base: tuple[str, ...]
    mine: tuple[str, ...]
    theirs: tuple[str, ...]
    base_line: int
    mine_line: int
    theirs_line: int


@dataclass(frozen=True, slots=True)
class Merge:
    """Two changed copies brought together.

    Attributes
    ----------
    pieces : tuple of (str or Conflict)
        Text that is settled, and what is not, in their order.
    """

    pieces: tuple[str | Conflict, ...]

    @property
    def conflicts(self) -> tuple[Conflict, ...]:
        """What both sides changed; empty where all is settled."""
        return tuple(piece for piece in self.pieces if isinstance(piece, Conflict))

    @property
    def text(self) -> str | None:
        """The merged text; None while there are conflicts."""
        return None if self.conflicts else self.with_choices(())

    def with_choices(self, choices: Sequence[Choice]) -> str:
        """Return the merged text, with one choice for each conflict, in their order.

        Raises
        ------
        EditError
            If there are more or fewer choices than conflicts.
        """
        raise NotImplementedError


def merge(base: str, mine: str, theirs: str) -> Merge:
    """Merge two texts that come from one.

    Parameters
    ----------
    base : str
        What both began with.
    mine, theirs : str
        What became of it on either side.

    Returns
    -------
    merged : Merge
        Changes of different lines are both in it; what both changed alike is in it once; the same lines changed
        differently are conflicts.
    """
    raise NotImplementedError
