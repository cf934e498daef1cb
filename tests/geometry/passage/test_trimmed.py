"""Branches cut at planes: what is left lies in the outer body, the inner lies in what is left."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.trimmed import Cut, trimmed_branch

numbers = st.floats(-0.4, 0.4)
DIRECTIONS = np.random.default_rng(5).normal(size=(60, 3))
DIRECTIONS /= np.linalg.norm(DIRECTIONS, axis=1)[:, None]


def reach(skeleton):
    """Support of a skeleton in each of the directions."""
    return (DIRECTIONS @ skeleton.nodes.T + skeleton.radius).max(axis=1)


def left_of(path, radius, cuts, seed):
    """Points of a tapering branch that lie on the kept side of all planes."""
    draw = np.random.default_rng(seed)
    share = draw.uniform(0, len(path) - 1, 4000)
    axis = np.stack([np.interp(share, np.arange(len(path)), path[:, k]) for k in range(3)], axis=1)
    ball = np.interp(share, np.arange(len(path)), radius)
    normal = draw.normal(size=axis.shape)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    points = axis + ball[:, None] * normal
    kept = np.all([cut.sign * (points[:, cut.axis] - cut.bound) >= 0 for cut in cuts], axis=0)
    return points[kept]


@settings(max_examples=40)
@given(
    path=st.tuples(*(st.tuples(numbers, numbers, numbers) for _ in range(2))),
    radius=st.tuples(st.floats(0.01, 0.08), st.floats(0.01, 0.08)),
    bounds=st.tuples(st.floats(-0.45, 0.0), st.floats(0.0, 0.45)),
    axis=st.integers(0, 2),
)
def test_what_is_left_lies_between_inner_and_outer(path, radius, bounds, axis):
    """A straight tapering piece is convex: its reach every way decides. Drawn points against the outer, the planes against the inner."""
    path = np.array(path)
    if np.linalg.norm(path[1] - path[0]) < 0.02:
        return
    cuts = [Cut(axis, 1, bounds[0]), Cut((axis + 1) % 3, -1, bounds[1])]
    points = left_of(path, np.array(radius), cuts, 3)
    try:
        body = trimmed_branch(path, radius, cuts)
    except DomainError:
        # Refused only where no point of the axis is left.
        along = path[0] + np.linspace(0, 1, 500)[:, None] * (path[1] - path[0])
        assert not np.all([cut.sign * (along[:, cut.axis] - cut.bound) >= 0 for cut in cuts], axis=0).any()
        return
    if len(points):
        assert ((DIRECTIONS @ points.T).max(axis=1) <= reach(body.outer) + 1e-9).all()
    for cut in cuts:
        spare = cut.sign * (body.inner.nodes[:, cut.axis] - cut.bound) - body.inner.radius
        assert spare.min() >= -1e-9
    assert (reach(body.inner) <= reach(body.outer) + 1e-9).all()


def test_an_end_is_cut_and_the_rest_is_not():
    """Of a branch that comes near a wall again further on only the end at the wall is shortened."""
    path = [[0.0, 0.0, 0.0], [0.3, 0.0, 0.0], [0.02, 0.0, 0.3]]
    body = trimmed_branch(path, [0.03, 0.03, 0.03], [Cut(0, 1, 0.015, 0)])
    low = (body.outer.nodes - body.outer.radius[:, None]).min(axis=0)
    assert low[0] == pytest.approx(-0.01)
    first = body.outer.nodes[np.abs(body.outer.nodes[:, 2]) < 0.031]
    assert first[:, 0].min() == pytest.approx(0.015)


def test_nothing_left_is_refused():
    """A branch wholly beyond its plane is no body."""
    with pytest.raises(DomainError, match="cut beyond its axis"):
        trimmed_branch([[0, 0, 0], [0.1, 0, 0]], [0.01, 0.01], [Cut(0, 1, 1.0)])
