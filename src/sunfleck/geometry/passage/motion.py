"""Poses of a rigid body, and a motion as a list of them that can be replayed, reversed and told in moves."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
MoveKind = Literal["push", "slide", "turn", "dock"]


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a rigid body stands.

    Attributes
    ----------
    turn : (4,) float
        Unit quaternion (w, x, y, z) that turns the body's own axes into the world's. [-]
    place : (3,) float
        Where the body's own origin lies. [m]
    """

    turn: Floats
    place: Floats


@dataclass(frozen=True, slots=True)
class Move:
    """Part of a motion that a person would call one move.

    Attributes
    ----------
    kind : str
        ``push`` (straight along the opening's normal), ``slide`` (straight, another way),
        ``turn`` (rotation, with what shift it needs), ``dock`` (onto the walls of its place).
    first, last : int
        Rows of the motion's poses at which it begins and ends. [-]
    length : float
        Way of the body's origin. [m]
    angle : float
        How far it is turned. [rad]
    """

    kind: MoveKind
    first: int
    last: int
    length: float
    angle: float


@dataclass(frozen=True, slots=True)
class Motion:
    """A motion from outside to the body's place.

    Between two neighbouring poses the body turns about one axis at even speed while its origin runs
    straight, so that the list is the whole motion and can be replayed.

    Attributes
    ----------
    turns : (n, 4) float
        Unit quaternions. [-]
    places : (n, 3) float
        Where the body's own origin lies, in the world's frame. [m]
    moves : tuple of Move
        The same, in moves, in order.
    """

    turns: Floats
    places: Floats
    moves: tuple[Move, ...]

    def __len__(self) -> int:
        return len(self.turns)

    def pose(self, row: int) -> Pose:
        """Return one of its poses."""
        return Pose(self.turns[row], self.places[row])

    def backwards(self) -> Motion:
        """Return the way out: the same motion from its end to its beginning."""
        last = len(self) - 1
        moves = tuple(
            replace(move, first=last - move.last, last=last - move.first) for move in reversed(self.moves)
        )
        return Motion(self.turns[::-1].copy(), self.places[::-1].copy(), moves)
