"""A tree of boxes over triangles, so that a ray or a wedge of rays looks at few of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.kernels import kernel

LEAF_SIZE = 4
BINS = 16
# Beyond this depth nodes are halved by count, which bounds the depth by 48 + log2(m): a traversal stack
# of STACK entries can then never overflow.
CAREFUL_DEPTH = 48
STACK = 128
# Thinner than this share of its longest edge a triangle has no area that floats can tell from zero.
THINNEST = 1e-12


@dataclass(frozen=True, slots=True)
class Bvh:
    """Triangles sorted into a binary tree of axis-parallel boxes.

    Attributes
    ----------
    nodes : (k, 6) float
        Low and high corner of each box, a hair wider than its content. The first is the root; no
        triangles, no nodes. [m]
    left : (k,) int
        Of a leaf its first row in `triangles`; otherwise the first of its two children, which are
        neighbours. [-]
    count : (k,) int
        Number of triangles of a leaf; 0 for a box with children. [-]
    triangles : (m, 9) float
        The three corners of each triangle, in tree order; those without area are left out. [m]
    order : (m,) int
        Index of each of them in the array the tree was built from. [-]
    """

    nodes: NDArray[np.float64]
    left: NDArray[np.int64]
    count: NDArray[np.int64]
    triangles: NDArray[np.float64]
    order: NDArray[np.int64]


def build_bvh(triangles: ArrayLike) -> Bvh:
    """Sort triangles into a tree of boxes.

    Parameters
    ----------
    triangles : (m, 3, 3) float
        Corners of each triangle; m may be 0, and triangles without area are ignored. [m]

    Returns
    -------
    bvh : Bvh
        The tree, in double precision throughout. [m]

    Raises
    ------
    DomainError
        If the shape is another or a coordinate is not a finite number.

    Notes
    -----
    Boxes are split where the surface area heuristic [1]_ over 16 bins [2]_ expects the least work.

    Examples
    --------
    >>> import numpy as np
    >>> build_bvh(np.array([[[0, 0, 0], [1, 0, 0], [0, 1, 0]]])).count.tolist()
    [1]

    References
    ----------
    .. [1] J. D. MacDonald and K. S. Booth, "Heuristics for ray tracing using space subdivision",
       *The Visual Computer* 6:153-166, 1990 (from memory).
    .. [2] I. Wald, "On fast construction of SAH-based bounding volume hierarchies", *IEEE Symposium on
       Interactive Ray Tracing*, 2007 (from memory).
    """
    corners = as_triangles(triangles)
    kept = np.flatnonzero(_has_area(corners))
    if kept.size == 0:
        no_index = np.zeros(0, dtype=np.int64)
        return Bvh(np.zeros((0, 6)), no_index, no_index, np.zeros((0, 9)), no_index)
    corners = corners[kept]
    low, high = corners.min(axis=1), corners.max(axis=1)
    m = len(corners)
    order, left, count = np.arange(m), np.zeros(2 * m, dtype=np.int64), np.zeros(2 * m, dtype=np.int64)
    nodes = np.zeros((2 * m, 6))
    work = np.zeros((STACK, 4), dtype=np.int64)
    bins = np.zeros((BINS + 1, 8))
    used = _build(low, high, (low + high) / 2, order, nodes, left, count, work, bins)
    nodes, left, count = nodes[:used].copy(), left[:used].copy(), count[:used].copy()
    # The padding keeps a ray that runs in a face of a box from slipping past it by a rounding error.
    padding = 1e-9 * (1.0 + np.abs(corners).max())
    nodes[:, :3] -= padding
    nodes[:, 3:] += padding
    sorted_corners = np.ascontiguousarray(corners[order].reshape(-1, 9))
    return Bvh(nodes, left, count, sorted_corners, kept[order])


def as_triangles(triangles: ArrayLike) -> NDArray[np.float64]:
    """Check triangles and return them as a new array.

    Parameters
    ----------
    triangles : (m, 3, 3) float
        Corners of each triangle; m may be 0. [m]

    Returns
    -------
    corners : (m, 3, 3) float
        A copy. [m]

    Raises
    ------
    DomainError
        If the shape is another or a coordinate is not a finite number.
    """
    corners = np.array(triangles, dtype=np.float64)
    if corners.size == 0:
        corners = corners.reshape(0, 3, 3)
    if corners.ndim != 3 or corners.shape[1:] != (3, 3):
        msg = f"triangles must have the shape (m, 3, 3); got {corners.shape}"
        raise DomainError(msg)
    if not np.isfinite(corners).all():
        bad = int(np.flatnonzero(~np.isfinite(corners).all(axis=(1, 2)))[0])
        msg = f"corners of triangles must be finite; triangle {bad} has {corners[bad].tolist()} m"
        raise DomainError(msg)
    return corners


def _has_area(corners: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether each triangle is more than a line or a point."""
    edges = corners - np.roll(corners, 1, axis=1)
    longest = (edges**2).sum(axis=2).max(axis=1)
    doubled_area = np.linalg.norm(np.cross(edges[:, 1], edges[:, 2]), axis=1)
    return np.asarray(doubled_area > THINNEST * longest)


@kernel
def _build(
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    centre: NDArray[np.float64],
    order: NDArray[np.int64],
    nodes: NDArray[np.float64],
    left: NDArray[np.int64],
    count: NDArray[np.int64],
    work: NDArray[np.int64],
    bins: NDArray[np.float64],
) -> int:
    """Build the tree top down into `order`, `nodes`, `left`, `count`; returns how many nodes there are.

    `low`, `high`, `centre` (m, 3) are the triangles' boxes; `work` (node, first, last + 1, depth of what
    waits) and `bins` (low and high corner, triangles, cost to the right) are scratch space.
    """
    work[0, 1], work[0, 2] = 0, len(low)
    waiting, used = 1, 1
    while waiting > 0:
        waiting -= 1
        node, first, last, depth = work[waiting, 0], work[waiting, 1], work[waiting, 2], work[waiting, 3]
        for c in range(6):
            nodes[node, c] = np.inf if c < 3 else -np.inf
        for i in range(first, last):
            _widen(nodes, node, low, high, order[i])
        if last - first <= LEAF_SIZE:
            left[node], count[node] = first, last - first
            continue
        middle = (first + last) // 2
        if depth < CAREFUL_DEPTH:
            axis, place = _cheapest_split(low, high, centre, order, first, last, bins)
            if axis >= 0:
                split = _partition(centre, order, first, last, axis, place)
                if first < split < last:
                    middle = split
        left[node] = used
        for child in range(2):
            work[waiting, 0] = used + child
            work[waiting, 1] = first if child == 0 else middle
            work[waiting, 2] = middle if child == 0 else last
            work[waiting, 3] = depth + 1
            waiting += 1
        used += 2
    return used


@kernel
def _cheapest_split(
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    centre: NDArray[np.float64],
    order: NDArray[np.int64],
    first: int,
    last: int,
    bins: NDArray[np.float64],
) -> tuple[int, float]:
    """Axis and coordinate of the split with the least area times triangles; axis -1 when there is none."""
    best, best_axis, best_place = np.inf, -1, 0.0
    for axis in range(3):
        start, stop = np.inf, -np.inf
        for i in range(first, last):
            start = min(start, centre[order[i], axis])
            stop = max(stop, centre[order[i], axis])
        if not stop > start:
            continue
        for k in range(BINS + 1):
            for c in range(8):
                bins[k, c] = 0.0 if c > 5 else (np.inf if c < 3 else -np.inf)
        for i in range(first, last):
            k = min(int((centre[order[i], axis] - start) / (stop - start) * BINS), BINS - 1)
            bins[k, 6] += 1.0
            _widen(bins, k, low, high, order[i])
        # Area times count of all bins from k on, in the last column; then the same from the left. The
        # spare row at the end is the box that grows.
        for from_left in range(2):
            total = 0.0
            for c in range(6):
                bins[BINS, c] = np.inf if c < 3 else -np.inf
            for step in range(BINS - 1):
                k = step if from_left == 1 else BINS - 1 - step
                total += bins[k, 6]
                for c in range(3):
                    bins[BINS, c] = min(bins[BINS, c], bins[k, c])
                    bins[BINS, 3 + c] = max(bins[BINS, 3 + c], bins[k, 3 + c])
                cost = 0.0
                if total > 0.0:
                    x = bins[BINS, 3] - bins[BINS, 0]
                    y = bins[BINS, 4] - bins[BINS, 1]
                    z = bins[BINS, 5] - bins[BINS, 2]
                    cost = total * (x * y + y * z + z * x)
                if from_left == 0:
                    bins[k, 7] = cost
                elif 0.0 < total < last - first and cost + bins[k + 1, 7] < best:
                    best, best_axis = cost + bins[k + 1, 7], axis
                    best_place = start + (k + 1) * (stop - start) / BINS
    return best_axis, best_place


@kernel
def _widen(
    boxes: NDArray[np.float64], box: int, low: NDArray[np.float64], high: NDArray[np.float64], k: int
) -> None:
    """Make a box hold what reaches from low[k] to high[k]."""
    for c in range(3):
        boxes[box, c] = min(boxes[box, c], low[k, c])
        boxes[box, 3 + c] = max(boxes[box, 3 + c], high[k, c])


@kernel
def _partition(
    centre: NDArray[np.float64], order: NDArray[np.int64], first: int, last: int, axis: int, place: float
) -> int:
    """Bring triangles with a centre below `place` to the front; returns where the others begin."""
    i, j = first, last - 1
    while i <= j:
        if centre[order[i], axis] < place:
            i += 1
        else:
            order[i], order[j] = order[j], order[i]
            j -= 1
    return i
