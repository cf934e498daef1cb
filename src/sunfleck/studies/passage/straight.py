"""Beside which sideways place a part can be pushed straight in past what stands, then shifted onto its own: no turns."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.layers import FAR, World
from sunfleck.studies.passage.extents import Extent

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# (axis, end) of a layer's rectangle that a thing standing in it takes: left, right, below, above in the axes of the
# opening. With `end` 0 the room above it on that axis is left.
SIDES = ((1, 0), (1, 1), (0, 0), (0, 1))
# Places along each axis that are looked at, the nearest first, and how many ways past are tried.
MOST_PLACES, MOST_WAYS = 24, 2
# What is shared by rounding. [m]
HAIR = 1e-6


def beside_which(bare: World, boxes: Floats, extent: Extent, free: Bools, clearance: float) -> list[Floats]:
    """Shifts from its place at which a part passes everything before it by a straight push.

    Parameters
    ----------
    bare : World
        The empty box.
    boxes : (k, 2, 3) float
        What stands, in the opening's axes. [m]
    extent : Extent
        The part in its place.
    free : (k, 4) bool
        Whether the part in its place is free of a block that is widened to each of :data:`SIDES`.
    clearance : float
        What must stay free. [m]

    Returns
    -------
    shifts : list of (2,) float
        Along x and y, the shortest first; none where it need not be shifted, or no shift does. Only likely: the
        question is asked of the box that is widened accordingly.
    """
    whole = extent.whole
    # What lies behind the part is not passed.
    before = boxes[:, 0, 2] < extent.depth[1] - HAIR
    low, high, free = boxes[before, 0, :2], boxes[before, 1, :2], free[before]
    beside = boxes[before, 1, 2] > extent.depth[0] + HAIR
    found: list[Floats] = []
    for door in _doors(bare):
        shifts = _places(whole, low, high, door, clearance)
        x0, x1, y0, y1 = (whole[k] + shifts[:, k // 2] for k in range(4))
        inside = (
            (x0 >= door[0] + clearance - HAIR)
            & (x1 <= door[1] - clearance + HAIR)
            & (y0 >= door[2] + clearance - HAIR)
            & (y1 <= door[3] - clearance + HAIR)
        )
        # In the order of SIDES: above it, below it, to the right of it, to the left of it.
        passes = np.stack(
            [
                y0[:, None] >= high[:, 1] + clearance - HAIR,
                y1[:, None] <= low[:, 1] - clearance + HAIR,
                x0[:, None] >= high[:, 0] + clearance - HAIR,
                x1[:, None] <= low[:, 0] - clearance + HAIR,
            ],
            axis=2,
        )
        # Beside its place the shift back onto it must stay on the same side.
        passed = (passes & (free | ~beside[:, None])).any(axis=2).all(axis=1)
        found += list(shifts[inside & passed])
    found = [shift for shift in found if float(np.abs(shift).max()) > HAIR]
    return sorted(found, key=lambda shift: (round(float(np.abs(shift).sum()), 6), *shift))[:MOST_WAYS]


def _doors(bare: World) -> list[Floats]:
    """Rectangles (x from, to, y from, to) of the openings. [m]"""
    rows = [row for way in bare.ways for row in way.layers if row[0] == 0.0 and np.abs(row[2:]).max() < FAR]
    return [np.asarray(row[2:]) for row in rows]


def _places(whole: Floats, low: Floats, high: Floats, door: Floats, clearance: float) -> Floats:
    """Shifts (n, 2) that bring the part just past an edge of a block, or just into the opening, along each axis. [m]"""
    along = []
    for axis in (0, 1):
        first, last = whole[2 * axis], whole[2 * axis + 1]
        edges = [
            [0.0, door[2 * axis] + clearance - first, door[2 * axis + 1] - clearance - last],
            high[:, axis] + clearance - first,
            low[:, axis] - clearance - last,
        ]
        places = np.unique(np.round(np.concatenate(edges), 6))
        along.append(places[np.argsort(np.abs(places), kind="stable")][:MOST_PLACES])
    return np.stack(np.meshgrid(*along, indexing="ij"), axis=2).reshape(-1, 2)
