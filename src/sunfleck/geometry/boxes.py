"""Boxes and flat faces: the carcass with its openings, panels, ledges and hides."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Face = Literal["left", "right", "front", "back", "bottom", "top"]
FACES: tuple[Face, ...] = ("left", "right", "front", "back", "bottom", "top")

# (fixed axis, which end of it, axis of the face's first coordinate, axis of its second)
FACE_AXES: dict[Face, tuple[int, int, int, int]] = {
    "left": (0, 0, 1, 2),
    "right": (0, 1, 1, 2),
    "front": (1, 0, 0, 2),
    "back": (1, 1, 0, 2),
    "bottom": (2, 0, 0, 1),
    "top": (2, 1, 0, 1),
}


# Faces whose two directions, taken in their order, have the outside on the side of their cross product.
TURNED_OUT: tuple[Face, ...] = ("right", "front", "top")


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A flat rectangle in space.

    Attributes
    ----------
    origin, edge_u, edge_v : (3,) float
        A corner and the two edges that leave it. [m]
    """

    origin: NDArray[np.float64]
    edge_u: NDArray[np.float64]
    edge_v: NDArray[np.float64]

    def triangles(self) -> NDArray[np.float64]:
        """Two triangles that cover the rectangle, (2, 3, 3), their normals along edge_u x edge_v. [m]"""
        a = self.origin
        b = a + self.edge_u
        c = b + self.edge_v
        d = a + self.edge_v
        return np.array([[a, b, c], [a, c, d]])

    def turned(self) -> Rectangle:
        """The same rectangle with its normal the other way."""
        return Rectangle(self.origin, self.edge_v, self.edge_u)


@dataclass(frozen=True, slots=True)
class Box:
    """A solid block with edges along the axes.

    Attributes
    ----------
    low, high : (3,) float
        Opposite corners. [m]
    """

    low: NDArray[np.float64]
    high: NDArray[np.float64]

    def __post_init__(self) -> None:
        if not bool((np.asarray(self.high) > np.asarray(self.low)).all()):
            msg = f"a box needs extent above zero in every direction; got {self.low} to {self.high} m"
            raise DomainError(msg)

    def triangles(self, without: tuple[Face, ...] = ()) -> NDArray[np.float64]:
        """Triangles of its faces, (m, 3, 3), normals outwards; faces in `without` are left open. [m]"""
        faces = {face: box_face(self.low, self.high, face) for face in FACES if face not in without}
        return np.concatenate(
            [(part if face in TURNED_OUT else part.turned()).triangles() for face, part in faces.items()]
        )

    def contains(self, points: ArrayLike, margin: float = 0.0) -> NDArray[np.bool_]:
        """Whether each of `points` (n, 3) lies inside, or within `margin` of it. [m]"""
        p = np.asarray(points, dtype=np.float64)
        inside = (p > self.low - margin) & (p < self.high + margin)
        return np.asarray(inside.all(axis=-1))

    def distance(self, points: ArrayLike) -> NDArray[np.float64]:
        """Distance of each of `points` (n, 3) from the block; zero inside. [m]"""
        p = np.asarray(points, dtype=np.float64)
        gap = np.maximum(np.maximum(self.low - p, p - self.high), 0.0)
        return np.asarray(np.linalg.norm(gap, axis=-1))


def box_face(low: ArrayLike, high: ArrayLike, face: Face) -> Rectangle:
    """One face of an axis-aligned box as a rectangle.

    Parameters
    ----------
    low, high : (3,) float
        Opposite corners of the box. [m]
    face : str
        Which face, as seen from outside standing in front. [-]

    Returns
    -------
    rectangle : Rectangle
        The whole face. [m]
    """
    low = np.asarray(low, dtype=np.float64)
    high = np.asarray(high, dtype=np.float64)
    fixed, end, first, second = FACE_AXES[face]
    origin = low.copy()
    origin[fixed] = (low, high)[end][fixed]
    edge_u = np.zeros(3)
    edge_v = np.zeros(3)
    edge_u[first] = high[first] - low[first]
    edge_v[second] = high[second] - low[second]
    return Rectangle(origin, edge_u, edge_v)


def part_of_face(
    low: ArrayLike, high: ArrayLike, face: Face, at: tuple[float, float], size: tuple[float, float]
) -> Rectangle:
    """A rectangle cut out of one face of a box.

    Parameters
    ----------
    low, high : (3,) float
        Opposite corners of the box. [m]
    face : str
        Which face. [-]
    at : (2,) float
        Corner of the part, from the face's own low corner (x, y or z in that order). [m]
    size : (2,) float
        Its extent in the same two directions. [m]

    Returns
    -------
    rectangle : Rectangle
        The part, in the plane of the face. [m]
    """
    whole = box_face(low, high, face)
    _, _, first, second = FACE_AXES[face]
    origin = whole.origin.copy()
    origin[first] += at[0]
    origin[second] += at[1]
    edge_u = np.zeros(3)
    edge_v = np.zeros(3)
    edge_u[first] = size[0]
    edge_v[second] = size[1]
    return Rectangle(origin, edge_u, edge_v)


def face_without_openings(
    low: ArrayLike,
    high: ArrayLike,
    face: Face,
    openings: list[tuple[tuple[float, float], tuple[float, float]]],
) -> list[Rectangle]:
    """What is left of a face when rectangular openings are cut out of it.

    The face is cut along every edge of every opening; cells that lie in an opening are dropped.

    Parameters
    ----------
    low, high : (3,) float
        Opposite corners of the box. [m]
    face : str
        Which face. [-]
    openings : list of (at, size)
        Openings in the face's own coordinates, see :func:`part_of_face`. [m]

    Returns
    -------
    rectangles : list of Rectangle
        They cover the rest of the face without overlap. [m]
    """
    whole = box_face(low, high, face)
    width = float(np.linalg.norm(whole.edge_u))
    height = float(np.linalg.norm(whole.edge_v))
    cuts_u = _cuts(width, [(at[0], at[0] + size[0]) for at, size in openings])
    cuts_v = _cuts(height, [(at[1], at[1] + size[1]) for at, size in openings])
    left = []
    for u0, u1 in pairwise(cuts_u):
        for v0, v1 in pairwise(cuts_v):
            u, v = (u0 + u1) / 2, (v0 + v1) / 2
            cut_away = any(
                at[0] < u < at[0] + size[0] and at[1] < v < at[1] + size[1] for at, size in openings
            )
            if not cut_away:
                left.append(part_of_face(low, high, face, (u0, v0), (u1 - u0, v1 - v0)))
    return left


def _cuts(extent: float, intervals: list[tuple[float, float]]) -> list[float]:
    ends = {0.0, extent}
    for start, end in intervals:
        ends.update(min(max(x, 0.0), extent) for x in (start, end))
    return sorted(ends)
