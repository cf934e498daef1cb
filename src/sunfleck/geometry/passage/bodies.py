"""Rigid bodies as balls joined by rods: panels, branches, turned things, scans.

A rod is the hull of two balls. What passage asks of a body is how far the part of it between two
parallel planes reaches to either side, and that is decided on its edges: on the twelve of a block, on
the pieces of a branch, on the edges of a triangle mesh. So each body is a *skeleton* of balls (radius 0
for a corner) and rods whose reach between any two planes is that of the body, or surely more (`outer`,
for a yes) and surely less (`inner`, for a no).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Sides of the polygon drawn round a turned thing and within it: 0.9 % of the radius lie between.
SIDES = 24
# A scan is gathered into so many balls at most.
MOST_BALLS = 160


@dataclass(frozen=True, slots=True)
class Skeleton:
    """Balls and the rods between them.

    Attributes
    ----------
    nodes : (n, 3) float
        Middles of the balls, in the body's own axes. [m]
    radius : (n,) float
        Their radii; 0 for a corner. [m]
    rods : (k, 2) int
        Rows of `nodes` that a rod joins. [-]
    """

    nodes: Floats
    radius: Floats
    rods: Ints

    def moved(self, by: ArrayLike) -> Skeleton:
        """Return the same shifted by `by` (3,). [m]"""
        return Skeleton(self.nodes + np.asarray(by, dtype=np.float64), self.radius, self.rods)

    def swept(self, along: ArrayLike) -> Skeleton:
        """Return what a straight push along (3,) sweeps: exact, since each rod sweeps a hull of four balls. [m]"""
        count = len(self.nodes)
        lengthwise = np.stack([np.arange(count), np.arange(count) + count], axis=1)
        return Skeleton(
            np.concatenate([self.nodes, self.nodes + np.asarray(along, dtype=np.float64)]),
            np.concatenate([self.radius, self.radius]),
            np.concatenate([self.rods, self.rods + count, lengthwise]).astype(np.int64),
        )

    def mirrored(self) -> Skeleton:
        """Return the same with its x the other way."""
        return Skeleton(self.nodes * np.array([-1.0, 1.0, 1.0]), self.radius, self.rods)


@dataclass(frozen=True, slots=True)
class Body:
    """Something rigid that goes through an opening.

    Attributes
    ----------
    outer : Skeleton
        Holds all of the body: what gets in with it gets in.
    inner : Skeleton
        All of it belongs to the body: what stays out with it stays out.
    convex : bool
        Without hollows, so that it can be on one side of a post only.
    half_turns : bool
        Half a turn about any of its three axes leaves it as it was.
    circles : int
        Of a turned thing the circles of its outline, of :data:`SIDES` corners each; 0 for others.
    """

    outer: Skeleton
    inner: Skeleton
    convex: bool
    half_turns: bool
    circles: int = 0

    @property
    def centre(self) -> Floats:
        """Point it is turned about in the search: the middle of the box round it. [m]"""
        if self.half_turns:
            return np.zeros(3)
        low = (self.outer.nodes - self.outer.radius[:, None]).min(axis=0)
        high = (self.outer.nodes + self.outer.radius[:, None]).max(axis=0)
        return np.asarray((low + high) / 2)


def block(size: ArrayLike) -> Body:
    """A box or flat panel.

    Parameters
    ----------
    size : (3,) float
        Its three edges; one may be the thickness of a panel. The body's origin is its middle. [m]

    Returns
    -------
    body : Body
        Exact: inner and outer are the same.

    Raises
    ------
    DomainError
        If an edge is not above zero.
    """
    edges = np.asarray(size, dtype=np.float64)
    if edges.shape != (3,) or not bool((np.isfinite(edges) & (edges > 0)).all()):
        msg = f"a block needs three edges above zero; got {edges} m"
        raise DomainError(msg)
    skeleton = _blocks(np.array([[-edges / 2, edges / 2]]))
    return Body(skeleton, skeleton, convex=True, half_turns=True)


def relief(boxes: ArrayLike) -> Body:
    """A panel with relief: blocks that are one piece.

    Parameters
    ----------
    boxes : (k, 2, 3) float
        Low and high corner of each block, in the piece's own axes. [m]

    Returns
    -------
    body : Body
        Their union.

    Raises
    ------
    DomainError
        If there is none, or one has no extent.
    """
    corners = np.asarray(boxes, dtype=np.float64)
    if corners.ndim != 3 or corners.shape[1:] != (2, 3) or len(corners) == 0:
        msg = f"a panel with relief needs blocks of a low and a high corner; got shape {corners.shape}"
        raise DomainError(msg)
    if not bool((np.isfinite(corners[:, 0]) & (corners[:, 1] > corners[:, 0])).all()):
        msg = "each block of a relief needs a high corner above its low one in every direction"
        raise DomainError(msg)
    skeleton = _blocks(corners)
    return Body(skeleton, skeleton, convex=len(corners) == 1, half_turns=False)


def _blocks(corners: Floats) -> Skeleton:
    which = np.array([[(i >> 2) & 1, (i >> 1) & 1, i & 1] for i in range(8)])
    edges = np.array([(i, i | bit) for bit in (1, 2, 4) for i in range(8) if not i & bit])
    nodes = np.concatenate([np.take_along_axis(pair, which, axis=0) for pair in corners])
    rods = np.concatenate([edges + 8 * k for k in range(len(corners))])
    return Skeleton(nodes, np.zeros(len(nodes)), rods.astype(np.int64))


def branch(paths: Sequence[tuple[ArrayLike, ArrayLike]]) -> Body:
    """A branch with its forks: tapering pieces with round ends.

    Parameters
    ----------
    paths : list of ((k, 3) float, (k,) float)
        Points of each limb's axis and the radius at each. Limbs are one piece. [m]

    Returns
    -------
    body : Body
        Exact: each piece is the hull of two balls.

    Raises
    ------
    DomainError
        If there is no limb, a limb has not one radius for each point, or one is not above zero.
    """
    nodes, radii, rods = [], [], []
    count = 0
    for path, radius in paths:
        points = np.asarray(path, dtype=np.float64).reshape(-1, 3)
        each = np.asarray(radius, dtype=np.float64)
        if each.ndim > 0 and each.shape != (len(points),):
            msg = f"a limb of {len(points)} points needs a radius for each; got {each.shape}"
            raise DomainError(msg)
        radii.append(np.broadcast_to(each, len(points)))
        nodes.append(points)
        rods += [(count + i, count + i + 1) for i in range(len(points) - 1)]
        count += len(points)
    if count == 0 or not bool(
        all((r > 0).all() and np.isfinite(r).all() for r in radii)
        and np.isfinite(np.concatenate(nodes)).all()
    ):
        msg = "a branch needs a limb with points and radii above zero"
        raise DomainError(msg)
    skeleton = Skeleton(
        np.concatenate(nodes), np.concatenate(radii).copy(), np.array(rods, dtype=np.int64).reshape(-1, 2)
    )
    one_hull = len(rods) + 1 == count <= 2
    return Body(skeleton, skeleton, convex=one_hull, half_turns=False)


def turned(heights: ArrayLike, radii: ArrayLike) -> Body:
    """A pot, a bowl, a lamp tube with its caps: round about its own z.

    Parameters
    ----------
    heights, radii : (k,) float
        Its outline: heights that do not fall, and the radius at each; two radii at one height are a
        shoulder. A hollow is taken as full. [m]

    Returns
    -------
    body : Body
        Polygons round its circles for the outer, within for the inner.

    Raises
    ------
    DomainError
        If the outline has fewer than two points, falls, or has a radius that is not above zero.
    """
    z = np.asarray(heights, dtype=np.float64)
    r = np.asarray(radii, dtype=np.float64)
    if (
        z.ndim != 1
        or z.shape != r.shape
        or len(z) < 2
        or not bool((np.isfinite(z) & np.isfinite(r) & (r > 0)).all())
        or not bool((np.diff(z) >= 0).all() and z[-1] > z[0])
    ):
        msg = "a turned body needs two or more heights that do not fall, each with a radius above zero"
        raise DomainError(msg)
    # The same circle twice says nothing.
    new = np.concatenate([[True], (np.diff(z) > 0) | (np.diff(r) != 0)])
    z, r = z[new], r[new]
    rings = np.arange(len(z))[:, None] * SIDES + np.arange(SIDES)[None, :]
    around = np.stack([rings, np.roll(rings, -1, axis=1)], axis=-1).reshape(-1, 2)
    upwards = np.stack([rings[:-1], rings[1:]], axis=-1).reshape(-1, 2)
    rods = np.concatenate([around, upwards]).astype(np.int64)
    angle = 2 * np.pi * np.arange(SIDES) / SIDES

    def drawn(factor: float) -> Skeleton:
        circle = np.stack([np.cos(angle), np.sin(angle)], axis=1) * factor
        nodes = np.concatenate(
            [np.column_stack([ri * circle, np.full(SIDES, zi)]) for zi, ri in zip(z, r, strict=True)]
        )
        return Skeleton(nodes, np.zeros(len(nodes)), rods)

    slopes = [
        (b - a) / (d - c) if d > c else np.inf * np.sign(b - a)
        for a, b, c, d in zip(r, r[1:], z, z[1:], strict=False)
    ]
    straight = bool((r == r[0]).all())
    centred = straight and abs(float(z[0] + z[-1])) < 1e-12
    bulging = straight or all(bool(b <= a) for a, b in pairwise(slopes))
    outer = drawn(1 / np.cos(np.pi / SIDES))
    return Body(outer, drawn(1.0), convex=bulging, half_turns=centred, circles=len(z))


def scan(triangles: ArrayLike, most: int = MOST_BALLS) -> Body:
    """A scanned or modelled shape.

    Parameters
    ----------
    triangles : (m, 3, 3) float
        Its surface; it need not be closed. [m]
    most : int
        Balls of the outer skeleton at most; a finer mesh is gathered in cells. [-]

    Returns
    -------
    body : Body
        Exact where the mesh has no more corners than `most`. Otherwise the outer has a ball round the
        corners of each cell, the inner one edge of the mesh for each two neighbouring cells.

    Raises
    ------
    DomainError
        If there is no triangle or a corner is no number.
    """
    corners = np.asarray(triangles, dtype=np.float64)
    if (
        corners.ndim != 3
        or corners.shape[1:] != (3, 3)
        or len(corners) == 0
        or not bool(np.isfinite(corners).all())
    ):
        msg = f"a shape needs triangles of three corners each; got shape {corners.shape}"
        raise DomainError(msg)
    points, row = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    faces = row.reshape(-1, 3)
    edges = np.unique(
        np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1), axis=0
    )
    edges = edges[edges[:, 0] != edges[:, 1]]
    if len(points) <= most:
        whole = Skeleton(points, np.zeros(len(points)), edges.astype(np.int64))
        return Body(whole, whole, convex=False, half_turns=False)
    return _gathered(points, edges, most)


def _gathered(points: Floats, edges: Ints, most: int) -> Body:
    low, span = points.min(axis=0), float(np.ptp(points, axis=0).max())
    parts = int(np.ceil(most ** (1 / 2))) + 2
    while True:
        cell = np.floor((points - low) / (span / parts + 1e-12)).astype(np.int64)
        _, group = np.unique(cell, axis=0, return_inverse=True)
        group = group.reshape(-1)
        if group.max() < most or parts == 1:
            break
        parts -= 1
    count = int(group.max()) + 1
    first = np.full((count, 3), np.inf)
    last = np.full((count, 3), -np.inf)
    np.minimum.at(first, group, points)
    np.maximum.at(last, group, points)
    middle = (first + last) / 2
    radius = np.zeros(count)
    np.maximum.at(radius, group, np.linalg.norm(points - middle[group], axis=1))
    joined, chosen = np.unique(np.sort(group[edges], axis=1), axis=0, return_index=True)
    outer = Skeleton(middle, radius, joined[joined[:, 0] != joined[:, 1]].astype(np.int64))
    ends, rods = np.unique(edges[chosen], return_inverse=True)
    inner = Skeleton(points[ends], np.zeros(len(ends)), rods.reshape(-1, 2).astype(np.int64))
    return Body(outer, inner, convex=False, half_turns=False)
