"""The tree of boxes: complete, tight enough, and nothing lost."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oracles.scenes import cloud
from sunfleck.errors import DomainError
from sunfleck.geometry.bvh import CAREFUL_DEPTH, LEAF_SIZE, STACK, build_bvh


def walk(bvh):
    """Every leaf with the nodes above it: rows of triangles and the path of node numbers."""
    waiting = [(0, (0,))] if len(bvh.nodes) else []
    while waiting:
        node, path = waiting.pop()
        if bvh.count[node]:
            yield range(bvh.left[node], bvh.left[node] + bvh.count[node]), path
        else:
            for child in (bvh.left[node], bvh.left[node] + 1):
                waiting.append((child, (*path, child)))


@settings(max_examples=25, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6), count=st.integers(1, 300), flat=st.booleans())
def test_every_triangle_lies_once_in_a_leaf_and_in_all_boxes_above_it(seed, count, flat):
    """No triangle is lost or doubled, and a ray that misses a box misses all that is in it."""
    triangles = cloud(np.random.default_rng(seed), count)
    if flat:
        triangles[..., 2] = 0.25  # boxes without height
    bvh = build_bvh(triangles)
    seen = []
    for rows, path in walk(bvh):
        assert 1 <= len(rows) <= LEAF_SIZE
        seen.extend(rows)
        corners = bvh.triangles[list(rows)].reshape(-1, 3)
        for node in path:
            assert (bvh.nodes[node, :3] < corners).all()
            assert (corners < bvh.nodes[node, 3:]).all()
    assert sorted(seen) == list(range(count))
    assert np.array_equal(bvh.triangles.reshape(-1, 3, 3), triangles[bvh.order])
    assert sorted(bvh.order) == list(range(count))


def test_no_triangles_make_no_nodes():
    """An open scene is a scene."""
    for nothing in ([], np.zeros((0, 3, 3))):
        bvh = build_bvh(nothing)
        assert bvh.nodes.shape == (0, 6)
        assert bvh.triangles.shape == (0, 9)


def test_triangles_without_area_are_left_out():
    """Points and needles cast no shadow; the others keep their numbers."""
    a, b, c = np.eye(3)
    needle = [a, b, 0.3 * a + 0.7 * b]
    bvh = build_bvh([needle, [a, b, c], [a, a, a], [a, b, b], [c, b, 2 * a]])
    assert sorted(bvh.order) == [1, 4]


def test_many_equal_triangles_do_not_make_the_tree_deep():
    """Where no plane separates them they are halved by count: depth is log2(m), far below the stack."""
    bvh = build_bvh(np.tile(np.eye(3), (3000, 1, 1)))
    assert max(len(path) for _, path in walk(bvh)) <= 13


def test_a_row_that_grows_geometrically_stays_below_the_stack():
    """The worst case for splitting by area: each split sheds one triangle, until the depth limit halves."""
    small = 2.0 ** -np.arange(600.0)
    triangles = np.stack([np.stack([s * np.eye(3)[k] + s for k in range(3)]) for s in small])
    depth = max(len(path) for _, path in walk(build_bvh(triangles)))
    assert depth <= CAREFUL_DEPTH + 10 + 1 < STACK


def test_double_precision_is_kept():
    """A coordinate that a 4-byte float cannot hold comes through unchanged."""
    triangles = np.array([[[1 / 3, 0, 0], [1, 1e-9 + 0.1, 0], [0, 1, 0]]])
    bvh = build_bvh(triangles)
    assert bvh.nodes.dtype == bvh.triangles.dtype == np.float64
    assert np.array_equal(bvh.triangles[0].reshape(3, 3), triangles[0])


@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_a_coordinate_that_is_no_number_is_refused(bad):
    """With the number of the triangle, so that its owner can be found."""
    triangles = np.tile(np.eye(3), (4, 1, 1))
    triangles[2, 1, 0] = bad
    with pytest.raises(DomainError, match="must be finite; triangle 2 has"):
        build_bvh(triangles)


def test_another_shape_is_refused():
    """Vertices without faces are no triangles."""
    with pytest.raises(DomainError, match=r"shape \(m, 3, 3\); got \(4, 3\)"):
        build_bvh(np.zeros((4, 3)))
