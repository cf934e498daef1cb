"""Where an upright box lies against a polygon: across it, inside it, how far from it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Box = tuple[float, float, float, float]
Polygon = NDArray[np.float64]


def holds(polygon: Polygon, points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether each of `points` (n, 2) lies inside a closed polygon (k, 2), by the even-odd rule."""
    a, b = polygon, np.roll(polygon, -1, axis=0)
    x, y = points[:, None, 0], points[:, None, 1]
    spans = (a[:, 1] > y) != (b[:, 1] > y)
    rise = np.where(a[:, 1] == b[:, 1], 1.0, b[:, 1] - a[:, 1])
    left = x < a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / rise
    return np.asarray((spans & left).sum(axis=1) % 2 == 1)


def crosses(box: Box, polygon: Polygon) -> bool:
    """Whether a box and a closed polygon share any point.

    Parameters
    ----------
    box : tuple of float
        Left, bottom, right, top.
    polygon : (k, 2) float
        Corners, in the same unit; two make a line.

    Returns
    -------
    shared : bool
        Also when one lies wholly in the other.
    """
    low, high = np.array(box[:2]), np.array(box[2:])
    if bool((polygon.max(axis=0) < low).any() or (polygon.min(axis=0) > high).any()):
        return False
    return _cut_by_edge(low, high, polygon) or bool(holds(polygon, (low + high)[None] / 2)[0])


def inside(box: Box, polygon: Polygon) -> bool:
    """Whether a box lies wholly in a closed polygon, without touching its edges."""
    low, high = np.array(box[:2]), np.array(box[2:])
    return bool(holds(polygon, _corners(box)).all()) and not _cut_by_edge(low, high, polygon)


def gap(box: Box, polygon: Polygon) -> float:
    """Return the shortest way from a box to a closed polygon; zero where they share a point."""
    if crosses(box, polygon):
        return 0.0
    low, high = np.array(box[:2]), np.array(box[2:])
    out = np.maximum(np.maximum(low - polygon, polygon - high), 0.0)
    from_polygon = np.linalg.norm(out, axis=1).min()
    a = polygon[None]
    edge = np.roll(polygon, -1, axis=0)[None] - a
    corner = _corners(box)[:, None]
    long = np.maximum((edge**2).sum(axis=2), 1e-300)
    share = np.clip(((corner - a) * edge).sum(axis=2) / long, 0.0, 1.0)
    from_box = np.linalg.norm(corner - a - share[..., None] * edge, axis=2).min()
    return float(min(from_polygon, from_box))


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def wider(box: Box, margin: float) -> Box:
    """Return a box with a margin on every side."""
    return (box[0] - margin, box[1] - margin, box[2] + margin, box[3] + margin)


def _corners(box: Box) -> NDArray[np.float64]:
    return np.array([[box[0], box[1]], [box[2], box[1]], [box[2], box[3]], [box[0], box[3]]])


def _cut_by_edge(low: NDArray[np.float64], high: NDArray[np.float64], polygon: Polygon) -> bool:
    """Whether any edge runs through a box: the part of it between each pair of sides, and all in common."""
    a = polygon
    step = np.roll(polygon, -1, axis=0) - a
    still = step == 0.0
    over = np.where(still, 1.0, step)
    one, other = (low - a) / over, (high - a) / over
    between = (a >= low) & (a <= high)
    enter = np.where(still, np.where(between, -np.inf, np.inf), np.minimum(one, other)).max(axis=1)
    leave = np.where(still, np.where(between, np.inf, -np.inf), np.maximum(one, other)).min(axis=1)
    return bool((np.maximum(enter, 0.0) <= np.minimum(leave, 1.0)).any())
