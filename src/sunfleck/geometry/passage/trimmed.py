"""Branches that are cut where they meet a wall or a panel: capsule chains within half-spaces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.bodies import Body, Skeleton, branch

Floats = NDArray[np.float64]

# Corners of a box by their bits, and its edges.
CORNERS = np.array([[(i >> 2) & 1, (i >> 1) & 1, i & 1] for i in range(8)])
EDGES = np.array([(i, i | bit) for bit in (1, 2, 4) for i in range(8) if not i & bit])
# What is left of neighbouring balls is taken as one block where that is at most so much longer, wider and higher.
AS_ONE = 1.6
# A ball that comes this near to a plane touches it. [m]
HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Cut:
    """A plane square to an axis, and the side that is kept.

    Attributes
    ----------
    axis : int
        0, 1 or 2.
    sign : int
        1: what is above `bound` is kept; -1: what is below.
    bound : float
        Where the plane lies. [m]
    end : int or None
        0 or -1: only the first or the last stretch of the branch is cut, as far as it reaches through the plane
        without a break; None: all of it.
    """

    axis: int
    sign: int
    bound: float
    end: int | None = None

    def spare(self, points: Floats, radii: Floats) -> Floats:
        """How far balls stay clear of the plane, below zero where they reach through it. [m]"""
        return np.asarray(self.sign * (points[:, self.axis] - self.bound) - radii)


def trimmed_branch(path: ArrayLike, radius: ArrayLike, cuts: Sequence[Cut]) -> Body:
    """A branch as it is when its ends are cut off square at planes.

    Parameters
    ----------
    path : (k, 3) float
        Points of its axis. [m]
    radius : (k,) float
        Radius at each. [m]
    cuts : sequence of Cut
        What is taken off. [m]

    Returns
    -------
    body : Body
        Exact where nothing is cut. Where a ball reaches through a plane, the outer has the block round what is left of
        it, the inner the largest ball that is left.

    Raises
    ------
    DomainError
        If all along it is cut beyond its axis.
    """
    points = np.asarray(path, dtype=np.float64).reshape(-1, 3)
    radii = np.broadcast_to(np.asarray(radius, dtype=np.float64), len(points)).copy()
    along = np.arange(len(points), dtype=np.float64)
    spans: list[tuple[Cut, float, float]] = []
    for cut in cuts:
        first, last = _stretch(cut, points, radii, along)
        if last >= first:
            spans.append((cut, first, last))
    if not spans:
        return branch([(points, radii)])
    marks = sorted(
        {*along.tolist(), *(x for cut, a, b in spans for x in _crossings(cut, points, radii, a, b))}
    )
    at = np.array(marks)
    centres = np.stack([np.interp(at, along, points[:, axis]) for axis in range(3)], axis=1)
    balls = np.interp(at, along, radii)
    low, high = centres - balls[:, None], centres + balls[:, None]
    boxed, room = np.zeros(len(at), dtype=bool), balls.copy()
    for cut, first, last in spans:
        spare = cut.spare(centres, balls)
        there = (at >= first - 1e-12) & (at <= last + 1e-12) & (spare <= HAIR)
        boxed |= there
        room[there] = np.minimum(room[there], balls[there] + spare[there])
        if cut.sign > 0:
            low[there, cut.axis] = np.maximum(low[there, cut.axis], cut.bound)
        else:
            high[there, cut.axis] = np.minimum(high[there, cut.axis], cut.bound)
    left = (high >= low - HAIR).all(axis=1)
    boxed &= left
    _as_one(boxed, low, high)
    # Where the axis lies in a plane, a point of it is what surely belongs.
    within = left & (room >= 0)
    if not within.any():
        msg = "of a branch that is cut beyond its axis all along, nothing can surely be said to be left"
        raise DomainError(msg)
    return _joined(centres, balls, room, boxed, (low, np.maximum(low, high)), (left, within))


def _as_one(boxed: NDArray[np.bool_], low: Floats, high: Floats) -> None:
    """Give neighbouring blocks the block round them all where that is hardly larger: fewer rods, quicker answers."""
    k = 0
    while k < len(boxed):
        end = k
        while boxed[k] and end + 1 < len(boxed) and boxed[end + 1]:
            end += 1
        if end > k:
            run = slice(k, end + 1)
            first, last = low[run].min(axis=0), high[run].max(axis=0)
            if bool((last - first <= AS_ONE * (high[run] - low[run]).max(axis=0)).all()):
                low[run], high[run] = first, last
        k = end + 1


def _stretch(cut: Cut, points: Floats, radii: Floats, along: Floats) -> tuple[float, float]:
    """From where to where along the branch a cut counts."""
    if cut.end is None:
        return float(along[0]), float(along[-1])
    spare = cut.spare(points, radii)
    clear = np.flatnonzero(spare > HAIR)
    if cut.end == 0:
        if spare[0] > HAIR:
            return 1.0, 0.0
        return float(along[0]), float(along[clear[0]] if len(clear) else along[-1])
    if spare[-1] > HAIR:
        return 1.0, 0.0
    return float(along[clear[-1]] if len(clear) else along[0]), float(along[-1])


def _crossings(cut: Cut, points: Floats, radii: Floats, first: float, last: float) -> list[float]:
    """Where along the branch its ball begins to reach through a plane, and where it is wholly beyond."""
    found = []
    for beyond in (cut.spare(points, radii), cut.spare(points, -radii)):
        for k in range(len(beyond) - 1):
            a, b = beyond[k], beyond[k + 1]
            if (a < 0) != (b < 0) and a != b:
                where = k + float(a / (a - b))
                if first <= where <= last:
                    found.append(where)
    return found


def _joined(
    centres: Floats,
    balls: Floats,
    room: Floats,
    boxed: NDArray[np.bool_],
    box: tuple[Floats, Floats],
    kept: tuple[NDArray[np.bool_], NDArray[np.bool_]],
) -> Body:
    left, within = kept
    nodes: list[Floats] = []
    radius: list[float] = []
    rods: list[tuple[int, int]] = []
    inner_nodes: list[Floats] = []
    inner_radius: list[float] = []
    inner_rods: list[tuple[int, int]] = []
    ball_at: dict[int, int] = {}
    box_at: dict[int, int] = {}
    inner_at: dict[int, int] = {}
    count = len(centres)
    for k in range(count):
        if not left[k]:
            continue
        whole = room[k] >= balls[k] - HAIR
        if whole:
            ball_at[k] = len(nodes)
            nodes.append(centres[k])
            radius.append(float(balls[k]))
        alike = k - 1 in box_at and bool(
            (box[0][k] == box[0][k - 1]).all() and (box[1][k] == box[1][k - 1]).all()
        )
        if boxed[k] and alike:
            box_at[k] = box_at[k - 1]
        elif boxed[k]:
            box_at[k] = len(nodes)
            ends = np.stack([box[0][k], box[1][k]])
            nodes += [ends[bits, [0, 1, 2]] for bits in CORNERS]
            radius += [0.0] * 8
            rods += [(box_at[k] + int(a), box_at[k] + int(b)) for a, b in EDGES]
        if within[k]:
            inner_at[k] = len(inner_nodes)
            inner_nodes.append(centres[k])
            inner_radius.append(float(room[k]))
    for k in range(count - 1):
        if k in ball_at and k + 1 in ball_at:
            rods.append((ball_at[k], ball_at[k + 1]))
        if k in box_at and k + 1 in box_at and box_at[k] != box_at[k + 1]:
            rods += [(box_at[k] + i, box_at[k + 1] + i) for i in range(8)]
        if k in inner_at and k + 1 in inner_at:
            inner_rods.append((inner_at[k], inner_at[k + 1]))
    outer = Skeleton(np.array(nodes), np.array(radius), np.array(rods, dtype=np.int64).reshape(-1, 2))
    inner = Skeleton(
        np.array(inner_nodes), np.array(inner_radius), np.array(inner_rods, dtype=np.int64).reshape(-1, 2)
    )
    return Body(outer, inner, convex=False, half_turns=False)
