"""Promises of boxes against polygons: exact for upright boxes, and as a fine grid of points sees it for others."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.outputs.regions import Box, crosses, gap, holds, inside, wider

whole = st.integers(-20, 20)
length = st.integers(1, 15)
boxes = st.tuples(whole, whole, length, length).map(
    lambda n: (float(n[0]), float(n[1]), float(n[0] + n[2]), float(n[1] + n[3]))
)


def corners(box: Box) -> np.ndarray:
    return np.array([[box[0], box[1]], [box[2], box[1]], [box[2], box[3]], [box[0], box[3]]])


@given(boxes, boxes)
def test_two_upright_boxes_by_their_intervals(one: Box, other: Box):
    """Sharing, holding and distance of two boxes follow from their intervals alone."""
    apart = [max(other[k] - one[k + 2], one[k] - other[k + 2], 0.0) for k in (0, 1)]
    assert gap(one, corners(other)) == pytest.approx(float(np.hypot(*apart)))
    assert crosses(one, corners(other)) == (apart == [0.0, 0.0])
    strictly = other[0] < one[0] and other[1] < one[1] and one[2] < other[2] and one[3] < other[3]
    assert inside(one, corners(other)) == strictly


@given(boxes, whole, whole, length)
def test_a_square_on_its_corner_by_the_sum_of_distances(box: Box, x: int, y: int, size: int):
    """A diamond is where |x| + |y| stays below a number: the box's nearest point decides."""
    diamond = np.array([[x + size, y], [x, y + size], [x - size, y], [x, y - size]], dtype=float)
    away = max(box[0] - x, x - box[2], 0.0) + max(box[1] - y, y - box[3], 0.0)
    farthest = max(abs(box[0] - x), abs(box[2] - x)) + max(abs(box[1] - y), abs(box[3] - y))
    assert crosses(box, diamond) == (away <= size)
    assert inside(box, diamond) == (farthest < size)


def test_a_name_larger_than_the_thing_covers_it():
    """A polygon wholly in the box counts as shared, a line through it too, one beside it not."""
    box = (0.0, 0.0, 10.0, 4.0)
    assert crosses(box, corners((4.0, 1.0, 5.0, 2.0)))
    assert crosses(box, np.array([[-5.0, 2.0], [15.0, 2.0]]))
    assert not crosses(box, np.array([[-5.0, 5.0], [15.0, 5.0]]))
    assert gap(box, np.array([[-5.0, 5.0], [15.0, 5.0]])) == 1.0
    assert wider(box, 2.0) == (-2.0, -2.0, 12.0, 6.0)


def test_a_notch_is_not_inside():
    """A point in the notch of an L is outside it."""
    corner = np.array([[0, 0], [4, 0], [4, 1], [1, 1], [1, 4], [0, 4]], dtype=float)
    assert holds(corner, np.array([[0.5, 3.0], [3.0, 0.5], [3.0, 3.0]])).tolist() == [True, True, False]
    assert not crosses((2.0, 2.0, 3.0, 3.0), corner)
