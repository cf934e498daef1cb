"""Shadows against closed forms; the line round many pieces against points drawn at random."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.bodies import block, branch, relief, scan, turned
from sunfleck.geometry.passage.flat import flat_face
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import matrix_of
from sunfleck.geometry.passage.silhouettes import before, outline_of, pieces_of, placed, shadows

RIGHT, UP = np.eye(3)[0], np.eye(3)[1]
STILL = Pose(np.array([1.0, 0, 0, 0]), np.zeros(3))


def area(line):
    x, y = np.asarray(line).T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def winding(lines, point):
    """How often some closed lines run round a point."""
    total = 0.0
    for line in lines:
        away = line - point
        angle = np.arctan2(away[:, 1], away[:, 0])
        step = np.diff(np.append(angle, angle[0]))
        total += ((step + np.pi) % (2 * np.pi) - np.pi).sum()
    return round(total / (2 * np.pi))


def inside_any(polygons, point):
    def inside(polygon):
        step, away = np.roll(polygon, -1, axis=0) - polygon, point - polygon
        return bool((step[:, 0] * away[:, 1] - step[:, 1] * away[:, 0] > 0).all())

    return any(map(inside, polygons))


@pytest.mark.parametrize("count", [5, 6, 7])
def test_a_relief_keeps_its_blocks_however_many(count):
    """An L of blocks side by side, then up: the area of its outline is the sum of theirs. Six once were one hull."""
    along = [[[0.1 * k, 0, 0], [0.1 * (k + 1), 0.02, 0.1]] for k in range(3)]
    up = [[[0, 0, 0.1 * (k + 1)], [0.1, 0.02, 0.1 * (k + 2)]] for k in range(count - 3)]
    body = relief(np.array(along + up))
    assert len(pieces_of(body)) == count
    assert sum(map(area, flat_face(body).outline)) == pytest.approx(count * 0.01)


def test_what_is_flat_is_laid_flat():
    """One triangle along an axis has no shadow from two sides; a needle has none at all and is refused."""
    flat = flat_face(scan(np.array([[[0, 0, 0], [0.3, 0, 0], [0, 0.4, 0]]])))
    assert sorted(flat.size) == pytest.approx([0.3, 0.4])
    with pytest.raises(DomainError, match="no area"):
        flat_face(scan(np.array([[[0, 0, 0], [0.3, 0, 0], [0.1, 0, 0]]])))


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6))
def test_the_shadow_of_a_box(seed):
    """Of any box, turned anyhow: the sum of its faces, each times how squarely it is seen."""
    draw = np.random.default_rng(seed)
    size, turn = draw.uniform(0.01, 2.0, 3), draw.normal(size=4)
    turn /= np.linalg.norm(turn)
    (polygon,) = shadows(placed(pieces_of(block(size)), Pose(turn, draw.normal(size=3))), RIGHT, UP)
    seen = np.abs(matrix_of(turn)[2])
    assert area(polygon) == pytest.approx(seen @ (size[[1, 0, 0]] * size[[2, 2, 1]]), rel=1e-9)


def test_the_shadow_of_a_round_rod():
    """Two half discs and a rectangle, never less, at most 0.2 % of the discs more."""
    (polygon,) = shadows(pieces_of(branch([([[0, 0, 0], [0.5, 0, 0]], 0.04)])), RIGHT, UP)
    exact = 0.5 * 0.08 + np.pi * 0.04**2
    assert exact <= area(polygon) <= exact + 0.002 * np.pi * 0.04**2


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6), st.booleans())
def test_the_line_round_many(seed, on_a_grid):
    """A point is within the line exactly if it is within one of the polygons; also where they share sides."""
    draw = np.random.default_rng(seed)
    polygons = []
    for _ in range(int(draw.integers(2, 8))):
        if on_a_grid:
            low = draw.integers(0, 5, 2) / 5
            high = low + draw.integers(1, 4, 2) / 5
        else:
            low = draw.uniform(0, 1, 2)
            high = low + draw.uniform(0.05, 0.6, 2)
        corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
        if not on_a_grid:
            angle = draw.uniform(0, np.pi)
            spin = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
            corners = (corners - low) @ spin.T + low
        polygons.append(corners)
    lines = outline_of(polygons)
    for point in draw.uniform(-0.3, 1.6, (60, 2)):
        near = min(np.abs(np.concatenate(polygons) - point).max(axis=1))
        if near > 1e-4:
            assert (winding(lines, point) == 1) == inside_any(polygons, point)


def test_pieces_of_each_kind():
    """Blocks, rods, rings and triangles: what is drawn is the body, hollows of its outline too."""
    assert len(pieces_of(relief([[[0, 0, 0], [1, 1, 0.1]], [[0, 0, 0.1], [0.5, 1, 0.2]]]))) == 2
    assert len(pieces_of(branch([([[0, 0, 0], [1, 0, 0], [1, 1, 0]], 0.1)]))) == 2
    dumb_bell = turned([0, 0.1, 0.1, 0.9, 0.9, 1.0], [0.05, 0.05, 0.01, 0.01, 0.05, 0.05])
    lines = outline_of(shadows(pieces_of(dumb_bell), np.eye(3)[2], RIGHT))
    assert sum(map(area, lines)) == pytest.approx((0.2 * 0.1 + 0.8 * 0.02) / np.cos(np.pi / 24), rel=1e-9)
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]])
    pyramid = scan(corners[[[0, 1, 2], [0, 1, 3], [0, 2, 3], [1, 2, 3]]])
    assert sum(map(area, outline_of(shadows(pieces_of(pyramid), RIGHT, UP)))) == pytest.approx(0.5)


def test_what_lies_before_a_plane():
    """A third of a block, cut across."""
    kept = before(placed(pieces_of(block([1.0, 1.0, 3.0])), STILL), [0, 0, 1], -0.5)
    (polygon,) = shadows(kept, RIGHT, np.eye(3)[2])
    assert area(polygon) == pytest.approx(1.0)
    assert before(pieces_of(block([1, 1, 1])), [0, 0, 1], -0.6) == ()


def test_laid_flat():
    """A panel on its largest face, its longer side to the right, not mirrored; round things told as larger."""
    face = flat_face(relief([[[0, 0, 0], [0.05, 0.4, 1.0]], [[0.05, 0.1, 0.2], [0.09, 0.2, 0.3]]]))
    assert face.size == pytest.approx((1.0, 0.4))
    assert len(face.within) == 2
    assert face.larger == 0.0
    assert np.linalg.det(np.vstack([face.axes, np.cross(*face.axes)])) == pytest.approx(1.0)
    pot = flat_face(turned([0, 0.2], [0.1, 0.1]))
    assert pot.larger == pytest.approx(0.2 * (1 / np.cos(np.pi / 24) - 1), rel=1e-6)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10**6))
def test_the_line_round_a_branch(seed):
    """Limbs that share a ball, tangents that all but coincide: from any side every limb is within one line."""
    draw = np.random.default_rng(seed)
    points = np.cumsum(draw.integers(-2, 3, (5, 3)), axis=0) * 0.1 + np.arange(5)[:, None] * [0.15, 0, 0]
    radius = draw.choice([0.02, 0.03, 0.04, 0.05], 5)
    body = branch([(points, radius), (np.array([points[2], points[2] + [0.1, 0.1, -0.17]]), [0.035, 0.015])])
    polygons = shadows(pieces_of(body), *np.eye(3)[draw.permutation(3)[:2]])
    lines = outline_of(polygons)
    for polygon in polygons:
        middle = polygon.mean(axis=0)
        for share in (0.0, 0.5, 0.97):
            for corner in polygon[:: max(1, len(polygon) // 12)]:
                assert (
                    winding(
                        lines, corner + (1 - share) * (middle - corner) * 0.999 + 1e-3 * (middle - corner)
                    )
                    == 1
                )


def test_tangents_that_all_but_coincide():
    """A case from a drawing: two limbs in line whose tangents differ by a hundredth of a degree."""
    gnarl = branch(
        [
            ([[-0.4, 0, -0.1], [-0.2, 0.05, 0], [0, 0, 0.02], [0.2, -0.05, 0.1], [0.45, 0, 0.3]], [0.05, 0.045, 0.04, 0.03, 0.02]),
            ([[0, 0, 0.02], [0.1, 0.1, -0.15], [0.15, 0.15, -0.3]], [0.035, 0.025, 0.015]),
            ([[-0.2, 0.05, 0], [-0.25, -0.1, 0.25]], [0.03, 0.02]),
        ]
    )  # fmt: skip
    polygons = shadows(pieces_of(gnarl), RIGHT, UP)
    (line,) = outline_of(polygons)
    draw = np.random.default_rng(2)
    for point in draw.uniform([-0.5, -0.2], [0.5, 0.2], (400, 2)):
        assert (winding([line], point) == 1) == inside_any(polygons, point)
