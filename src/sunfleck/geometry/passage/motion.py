"""Poses of a rigid body, and a motion as a list of them that can be replayed, reversed and told in moves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.rotations import (
    angle_between,
    opposite,
    product,
    products,
    turned_by_each,
    turned_vector,
)

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

    Between two neighbouring poses the body turns about one axis at even speed while its point `about`
    runs straight, so that the list is the whole motion and can be replayed.

    Attributes
    ----------
    turns : (n, 4) float
        Unit quaternions. [-]
    places : (n, 3) float
        Where the body's own origin lies. [m]
    about : (3,) float
        Point of the body, in its own axes, that runs straight. [m]
    moves : tuple of Move
        The same, in moves, in order.
    """

    turns: Floats
    places: Floats
    about: Floats
    moves: tuple[Move, ...]

    def __len__(self) -> int:
        return len(self.turns)

    def pose(self, row: int) -> Pose:
        """Return one of its poses."""
        return Pose(self.turns[row], self.places[row])

    def between(self, row: int, share: float) -> Pose:
        """Return the pose a share of the way from pose `row` to the next."""
        first, last = self.turns[row], self.turns[row + 1]
        turn = products(first, _shares_of(product(opposite(first), last), np.array([share])))[0]
        ends = [self.places[k] + turned_vector(self.turns[k], self.about) for k in (row, row + 1)]
        return Pose(turn, ends[0] + share * (ends[1] - ends[0]) - turned_vector(turn, self.about))

    def replayed(self, step: float, lever: float) -> Iterator[Pose]:
        """Yield poses no more than `step` apart at `lever` from the point that runs straight. [m]"""
        turns, places = self.sampled(step, lever)
        yield from (Pose(turn, place) for turn, place in zip(turns, places, strict=True))

    def sampled(self, step: float, lever: float) -> tuple[Floats, Floats]:
        """Return poses that make up the whole motion.

        Parameters
        ----------
        step : float
            Neighbours are no more than this apart. [m]
        lever : float
            Measured at points that lie so far from the one that runs straight. [m]

        Returns
        -------
        turns : (n, 4) float
            Unit quaternions. [-]
        places : (n, 3) float
            Where the body's own origin lies. [m]
        """
        ends = self.places + turned_by_each(self.turns, self.about)
        turns, middles = [], []
        for row in range(len(self) - 1):
            first, along = self.turns[row], ends[row + 1] - ends[row]
            way = float(np.linalg.norm(along))
            turning = angle_between(first, self.turns[row + 1])
            count = max(1, int(np.ceil((way + lever * turning) / step)))
            share = np.arange(count) / count
            turns.append(products(first, _shares_of(product(opposite(first), self.turns[row + 1]), share)))
            middles.append(ends[row] + share[:, None] * along)
        turns.append(self.turns[-1:])
        middles.append(ends[-1:])
        whole = np.concatenate(turns)
        return whole, np.concatenate(middles) - turned_by_each(whole, self.about)

    def backwards(self) -> Motion:
        """Return the way out: the same motion from its end to its beginning."""
        last = len(self) - 1
        moves = tuple(
            replace(move, first=last - move.last, last=last - move.first) for move in reversed(self.moves)
        )
        return Motion(self.turns[::-1].copy(), self.places[::-1].copy(), self.about, moves)


def _shares_of(step: Floats, shares: Floats) -> Floats:
    """Parts (n, 4) of one turn, about its own axis the shorter way round."""
    step = step * (1.0 if step[0] >= 0 else -1.0)
    size = float(np.linalg.norm(step[1:]))
    half = float(np.arctan2(size, step[0])) * shares
    axis = step[1:] / size if size > 1e-15 else np.zeros(3)
    return np.concatenate([np.cos(half)[:, None], np.sin(half)[:, None] * axis], axis=1)
