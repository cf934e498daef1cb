"""Skeletons: the reach of the part between two depths, against points strewn over the body."""

import numpy as np
import pytest

from sunfleck.errors import DomainError
from sunfleck.geometry.chains import Chain
from sunfleck.geometry.passage.bodies import block, branch, relief, scan, turned
from sunfleck.geometry.passage.fibre_kernels import reach_between, turn_nodes

DRAW = np.random.default_rng(5)


def turn():
    q = DRAW.normal(size=4)
    return q / np.linalg.norm(q)


def matrix(q):
    w, x, y, z = q
    return np.array([[1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
                     [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
                     [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)]])  # fmt: skip


def reach(skeleton, q, low, high):
    placed, found = np.zeros_like(skeleton.nodes), np.zeros(4)
    turn_nodes(q, np.ascontiguousarray(skeleton.nodes), placed)
    return found if reach_between(placed, skeleton.radius, skeleton.rods, low, high, found) else None


def strewn_block(size):
    points = DRAW.uniform(-0.5, 0.5, (60_000, 3))
    face = DRAW.integers(0, 3, len(points))
    points[np.arange(len(points)), face] = DRAW.choice([-0.5, 0.5], len(points))
    edge = (face + 1) % 3
    half = len(points) // 2
    points[np.arange(half), edge[:half]] = DRAW.choice([-0.5, 0.5], half)
    return points * size


def strewn_taper(a, b, ra, rb):
    s = DRAW.uniform(0, 1, 60_000)
    out = DRAW.normal(size=(60_000, 3))
    out /= np.linalg.norm(out, axis=1)[:, None]
    return a + s[:, None] * (b - a) + (ra + s * (rb - ra))[:, None] * out


BODIES = {
    "panel": (block([1.2, 0.8, 0.05]), lambda: strewn_block(np.array([1.2, 0.8, 0.05])), 0.01),
    "taper": (branch([([[0, 0, 0], [0.6, 0.1, 0.2]], [0.09, 0.02])]),
              lambda: strewn_taper(np.zeros(3), np.array([0.6, 0.1, 0.2]), 0.09, 0.02), 0.006),
}  # fmt: skip


@pytest.mark.parametrize("name", BODIES)
def test_reach_holds_every_point_and_hardly_more(name):
    """Safe and tight, at 40 rotations and slabs: no strewn point lies beyond, and one lies close to each end."""
    body, strewn, tight = BODIES[name]
    for _ in range(40):
        q = turn()
        points = strewn() @ matrix(q).T
        low = DRAW.uniform(points[:, 2].min(), points[:, 2].max() - 0.02)
        high = low + DRAW.uniform(0.02, 0.4)
        part = points[(points[:, 2] > low) & (points[:, 2] < high)]
        found = reach(body.outer, q, low, high)
        if len(part) < 200:
            continue
        ends = np.array([part[:, 0].min(), part[:, 0].max(), part[:, 1].min(), part[:, 1].max()])
        over = (ends - found) * np.array([1, -1, 1, -1])
        assert over.min() >= -1e-12
        assert over.max() < 4 * tight


def test_outer_holds_inner_and_they_are_close():
    """A pot's circles lie between two polygons 0.9 % apart; a scan's balls lie round its edges."""
    pot = turned([0, 0.2, 0.2, 0.25], [0.1, 0.15, 0.17, 0.17])
    scanned = scan(
        Chain(np.array([[0, 0, 0], [0.4, 0.1, 0.2], [0.8, 0, 0.1]]), np.array([0.05, 0.04, 0.03])).triangles(
            24
        ),
        60,
    )
    assert len(scanned.outer.nodes) <= 60
    for body, share, more in ((pot, 0.01, 0.0), (scanned, 0.25, 0.03)):
        for _ in range(40):
            q = turn()
            outer, inner = reach(body.outer, q, -0.05, 0.1), reach(body.inner, q, -0.05, 0.1)
            if inner is not None:
                over = (inner - outer) * np.array([1, -1, 1, -1])
                assert over.min() >= -1e-12
                assert over.max() < share * max(outer[1] - outer[0], outer[3] - outer[2]) + more


def test_a_small_mesh_is_exact():
    """The twelve triangles of a block reach as the block does."""
    from sunfleck.geometry.boxes import Box

    half = np.array([0.6, 0.4, 0.025])
    mesh, panel = scan(Box(-half, half).triangles()), block(2 * half)
    for _ in range(20):
        q = turn()
        a, b = reach(mesh.outer, q, -0.1, 0.15), reach(panel.outer, q, -0.1, 0.15)
        assert a == pytest.approx(b, abs=1e-12)


def test_a_relief_is_its_blocks():
    """Two blocks reach as far as the farther of them, slab by slab."""
    boxes = np.array([[[0, 0, 0], [1, 1, 0.05]], [[0.2, 0.2, 0.05], [0.4, 0.7, 0.2]]])
    whole = relief(boxes)
    for _ in range(20):
        q = turn()
        parts = [reach(relief(boxes[[k]]).outer, q, 0.05, 0.3) for k in range(2)]
        parts = np.array([p for p in parts if p is not None])
        found = reach(whole.outer, q, 0.05, 0.3)
        if len(parts):
            assert found == pytest.approx(
                [parts[:, 0].min(), parts[:, 1].max(), parts[:, 2].min(), parts[:, 3].max()]
            )


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: block([1, 0, 1]), "above zero"),
        (lambda: block([1, np.nan, 1]), "above zero"),
        (lambda: branch([]), "radii above zero"),
        (lambda: relief(np.zeros((0, 2, 3))), "shape"),
        (lambda: turned([0, -1], [1, 1]), "do not fall"),
        (lambda: turned([0, np.inf], [1, 1]), "do not fall"),
        (lambda: turned(0, 1), "do not fall"),
        (lambda: branch([([[0, 0, 0], [1, 0, 0]], [0.1, 0.1, 0.1])]), "a radius for each"),
        (lambda: scan(np.full((1, 3, 3), np.inf)), "triangles"),
    ],
)
def test_what_is_no_body_is_refused(make, said):
    """In words, not with a traceback of numpy's."""
    with pytest.raises(DomainError, match=said):
        make()


def test_two_balls_apart_are_no_hull():
    """Convex is what holds all between its balls: one ball, or one rod; not two balls, nor a rod and a ball."""
    ball = ([[0, 0, 0]], [0.1])
    rod = ([[0, 0, 0], [0, 0, 1]], [0.1, 0.1])
    assert branch([ball]).convex
    assert branch([rod]).convex
    assert not branch([ball, ([[0, 0, 1]], [0.1])]).convex
    assert not branch([rod, ([[1, 0, 0]], [0.1])]).convex


def test_the_same_circle_twice_says_nothing():
    """A tube as thick as its caps: no warning, one circle less each time."""
    body = turned([0, 0.1, 0.1, 0.9, 0.9, 1.0], [0.019] * 6)
    assert (body.circles, body.convex) == (4, True)
