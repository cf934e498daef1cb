"""Surfaces cut into patches: pieces small enough to be given one brightness each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, log
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.bvh import THINNEST

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Sides = Literal["front", "back", "both", "leaf"]

PATCHES_PER_PIECE: dict[Sides, int] = {"front": 1, "back": 1, "both": 2, "leaf": 1}
# A step by which patches grow until there are few enough of them.
GROWTH = 1.25
# Beyond about this many new triangles patches are made larger instead: they could not be few enough.
MOST_NEW_PIECES = 100_000
# An edge may be longer than the size by this share, a middle on the border of two cells belongs to the
# upper, and of three numbers that are equal within it the first is taken: rounding errors decide nothing.
TIE = 1e-9
FIRST_OF_EQUALS = (1.0, 1 - TIE, 1 - 2 * TIE)


@dataclass(frozen=True, slots=True)
class Surface:
    """Triangles of one thing: a wall, a perch, the leaves of a plant.

    Attributes
    ----------
    triangles : (m, 3, 3) float
        Corners of each triangle; the front is where (b - a) x (c - a) points to. [m]
    sides : str
        Which sides belong to the scene. "front" and "back": only that one, the other is black (the
        outside of the carcass, the inside of a solid). "both": each side for itself, as on the thin wall
        of a hide. "leaf": both sides as one, because what falls on a leaf leaves it on both. [-]

    Raises
    ------
    DomainError
        If the shape is another, a coordinate is not finite or `sides` is none of the four.
    """

    triangles: Floats
    sides: Sides

    def __post_init__(self) -> None:
        triangles = np.array(self.triangles, dtype=np.float64)
        if triangles.size == 0:
            triangles = triangles.reshape(0, 3, 3)
        if triangles.ndim != 3 or triangles.shape[1:] != (3, 3):
            msg = f"triangles must have the shape (m, 3, 3); got {triangles.shape}"
            raise DomainError(msg)
        if not np.isfinite(triangles).all():
            msg = "corners of triangles must be finite; got NaN or infinity"
            raise DomainError(msg)
        if self.sides not in PATCHES_PER_PIECE:
            msg = f"sides must be one of {', '.join(PATCHES_PER_PIECE)}; got {self.sides!r}"
            raise DomainError(msg)
        object.__setattr__(self, "triangles", _read_only(triangles))


@dataclass(frozen=True, slots=True)
class Patches:
    """Surfaces in pieces.

    Attributes
    ----------
    triangles : (t, 3, 3) float
        What the surfaces consist of, cut where edges were long. [m]
    front, back : (t,) int
        Patch on the side that (b - a) x (c - a) of a triangle points to, and on the other; -1 where that
        side is black. On leaves both are the same. [-]
    surface : (p,) int
        Which of the surfaces each patch belongs to; rising. [-]
    area : (p,) float
        Area of each patch; of leaves, both sides together. [m2]
    """

    triangles: Floats
    front: Ints
    back: Ints
    surface: Ints
    area: Floats

    def __len__(self) -> int:
        return len(self.area)


def patches_of(surfaces: Sequence[Surface], size: float, most: int = 1000) -> Patches:
    """Cut surfaces into patches.

    Parameters
    ----------
    surfaces : sequence of Surface
        Each patch belongs to one of them. [m]
    size : float
        How far a patch may reach along each axis, about; grows by steps of a quarter until there are at
        most `most` patches. [m]
    most : int, default 1000
        How many patches there may be. [-]

    Returns
    -------
    patches : Patches
        Triangles without area are left out. [m]

    Raises
    ------
    DomainError
        If `size` is not above zero, or there would be too many patches even without cutting anything.

    Notes
    -----
    Triangles are halved at their longest edge until no edge is longer than `size` [1]_. Every longer edge
    is halved at the same place in both of its triangles, so that a closed surface stays closed. Pieces of
    a surface whose middles lie in the same cell of its grid, and whose normals lie nearest to the same of
    the six directions along the axes, make one patch; of leaves also those that face elsewhere.

    A triangle shorter than `size` is never cut: thousands of leaves stay as many triangles as they were.

    Examples
    --------
    A floor of 1 m by 1 m, seen from above, in four patches:

    >>> floor = [[[0, 0, 0], [1, 0, 0], [1, 1, 0]], [[0, 0, 0], [1, 1, 0], [0, 1, 0]]]
    >>> patches_of([Surface(floor, "front")], 0.5).area.tolist()
    [0.25, 0.25, 0.25, 0.25]

    References
    ----------
    .. [1] M.-C. Rivara, "Algorithms for refining triangular grids suitable for adaptive and multigrid
       techniques", *International Journal for Numerical Methods in Engineering* 20:745-756, 1984 (from
       memory), for bisection of the longest edge.
    """
    if not (isfinite(size) and size > 0):
        msg = f"size of patches must be above zero; got {size:g} m"
        raise DomainError(msg)
    whole = _Whole(surfaces)
    while True:
        steps = 1
        coarsest = size >= whole.extent.max(initial=0.0)
        if coarsest or whole.pieces_expected(size) < MOST_NEW_PIECES:
            patches = whole.cut(size)
            if len(patches) <= most:
                return patches
            if coarsest:
                msg = f"most must be at least {len(patches)}, with one patch for each side of each surface; got {most}"
                raise DomainError(msg)
            # Their number falls by the third power of the size at the most.
            steps = max(1, int(log(len(patches) / max(most, 1), GROWTH) / 3))
        size *= GROWTH**steps


def normals_and_areas(triangles: Floats) -> tuple[Floats, Floats]:
    """Which way triangles face, and how large they are.

    Parameters
    ----------
    triangles : (m, 3, 3) float
        Corners; each triangle has an area. [m]

    Returns
    -------
    normals : (m, 3) float
        Unit vectors along (b - a) x (c - a). [-]
    areas : (m,) float
        Of one side. [m2]
    """
    double = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    length = np.sqrt((double**2).sum(axis=1))
    return double / length[:, None], length / 2


class _Whole:
    """The surfaces before they are cut, with all that does not depend on the size of patches."""

    def __init__(self, surfaces: Sequence[Surface]) -> None:
        self.sides = [surface.sides for surface in surfaces]
        none = np.zeros((0, 3, 3))
        triangles = np.concatenate([none, *(surface.triangles for surface in surfaces)])
        owner = np.repeat(np.arange(len(surfaces)), [len(surface.triangles) for surface in surfaces])
        longest = _squared_edges(triangles).max(axis=1, initial=0.0)
        double = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
        # What has no area for the tree of triangles has none here.
        kept = (double**2).sum(axis=1) > (THINNEST * longest) ** 2
        self.triangles, self.owner, self.longest = triangles[kept], owner[kept], longest[kept]
        # Facings do not change when a triangle is cut.
        leaf = np.array([sides == "leaf" for sides in self.sides], dtype=np.bool_)
        self.facing = np.where(leaf[self.owner], 0, _facing(double[kept]))
        self.middle = self.triangles.mean(axis=1)
        self.double_area = np.sqrt((double[kept] ** 2).sum(axis=1))
        self.low, high = np.full((len(surfaces), 3), np.inf), np.full((len(surfaces), 3), -np.inf)
        for s in range(len(surfaces)):
            first, last = np.searchsorted(self.owner, [s, s + 1])
            if last > first:
                self.low[s] = self.triangles[first:last].min(axis=(0, 1))
                high[s] = self.triangles[first:last].max(axis=(0, 1))
        self.extent = np.where(
            np.isfinite(self.low), high - np.where(np.isfinite(self.low), self.low, 0.0), 0.0
        )

    def pieces_expected(self, size: float) -> float:
        """About how many more triangles there would be. [-]"""
        long = self.longest > size**2
        return float((self.double_area[long] / size**2 + np.sqrt(self.longest[long]) / size).sum())

    def cut(self, size: float) -> Patches:
        """Cut long triangles and put pieces together to patches of this size. [m]"""
        long = self.longest > size**2 * (1 + TIE)
        pieces, parent = _halved(self.triangles[long], np.flatnonzero(long), size)
        triangles = np.concatenate([self.triangles[~long], pieces])
        parent = np.concatenate([np.flatnonzero(~long), parent])
        middle = np.concatenate([self.middle[~long], pieces.mean(axis=1)])
        # Pieces of a triangle side by side again, and triangles in the order they came in.
        order = np.argsort(parent, kind="stable")
        triangles, parent, middle = triangles[order], parent[order], middle[order]
        owner, facing = self.owner[parent], self.facing[parent]
        cells = np.maximum(np.ceil(self.extent / size - TIE), 1.0)
        step = np.where(self.extent > 0, self.extent, 1.0) / cells
        cell = np.floor((middle - self.low[owner]) / step[owner] + TIE)
        cell = np.clip(cell, 0.0, cells[owner] - 1).astype(np.int64)
        most_cells = cells.max(axis=0, initial=1.0).astype(np.int64)
        key = owner * 6 + facing
        for axis in range(3):
            key = key * most_cells[axis] + cell[:, axis]
        _, example, group = np.unique(key, return_index=True, return_inverse=True)
        return self._patches(triangles, owner[example], group)

    def _patches(self, triangles: Floats, owner: Ints, group: Ints) -> Patches:
        """Number the sides of groups of triangles; `owner` is the surface of each group."""
        sides = np.array(self.sides, dtype=np.str_)[owner] if len(owner) else np.zeros(0, dtype=np.str_)
        number = np.where(sides == "both", 2, 1)
        first = np.cumsum(number) - number
        front = np.where(sides == "back", -1, first)[group]
        back = np.select([sides == "front", sides == "both"], [-1, first + 1], first)[group]
        area = np.zeros(int(number.sum()))
        areas = normals_and_areas(triangles)[1]
        for side in (front, back):
            area += np.bincount(side[side >= 0], areas[side >= 0], minlength=len(area))
        return Patches(*map(_read_only, (triangles, front, back, np.repeat(owner, number), area)))


def _halved(triangles: Floats, parent: Ints, size: float) -> tuple[Floats, Ints]:
    """Triangles halved at their longest edge until none is longer than `size`, and where each came from."""
    done, parents = [np.zeros((0, 3, 3))], [np.zeros(0, dtype=np.int64)]
    while len(triangles):
        squared = _squared_edges(triangles)
        long = squared.max(axis=1) > size**2 * (1 + TIE)
        done.append(triangles[~long])
        parents.append(parent[~long])
        triangles, parent, squared = triangles[long], parent[long], squared[long]
        row, start = np.arange(len(triangles)), (squared * FIRST_OF_EQUALS).argmax(axis=1)
        a, b, c = (triangles[row, (start + k) % 3] for k in range(3))
        # The same number from both ends: a neighbour that shares the edge gets the same middle.
        middle = (a + b) / 2
        triangles = np.stack([a, middle, c, middle, b, c], axis=1).reshape(-1, 3, 3)
        parent = np.repeat(parent, 2)
    return np.concatenate(done), np.concatenate(parents)


def _squared_edges(triangles: Floats) -> Floats:
    """Squared lengths of the edges from a to b, b to c and c to a, (m, 3). [m2]"""
    return np.stack(
        [((triangles[:, (k + 1) % 3] - triangles[:, k]) ** 2).sum(axis=1) for k in range(3)], axis=1
    )


def _facing(normals: Floats) -> Ints:
    """Which of the six directions along the axes each vector lies nearest to, 0 to 5."""
    axis = (np.abs(normals) * FIRST_OF_EQUALS).argmax(axis=1)
    negative = np.take_along_axis(normals, axis[:, None], axis=1)[:, 0] < 0
    return np.asarray(2 * axis + negative)


def _read_only(array: NDArray[Any]) -> NDArray[Any]:
    array.flags.writeable = False
    return array
