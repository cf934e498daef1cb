"""Scenes to be timed in: a furnished box with and without leaves, its lamps, its receivers; a scanned branch."""

from __future__ import annotations

from math import radians

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from oracles.scenes import branch, distance_to_triangles, leaves, room
from sunfleck.geometry.chains import Chain
from sunfleck.physics.emitters import DiscEmitter, LineEmitter, bare_tube_law, beam_law

Floats = NDArray[np.float64]

BOX = np.array([1.5, 0.75, 1.5])
# Receivers lie at least so far off every surface. [m]
CLEAR = 0.004
BRANCHES, LEAVES = 12, 6386
SIDES, RINGS = 16, 24

# Bare tubes: their light is exactly that of a thin glowing cylinder, which Radiance has too.
TUBES = (
    LineEmitter([0.2, 0.30, 1.43], [1.35, 0.35, 1.43], [0, 0.2, -1], bare_tube_law()),
    LineEmitter([0.2, 0.50, 1.43], [1.35, 0.50, 1.40], [0, 0, -1], bare_tube_law()),
)
SPOT = DiscEmitter([0.4, 0.35, 1.4], [0.1, 0, -1], 0.03, beam_law(radians(25), radians(50)))


def branches(seed: int, number: int = BRANCHES) -> list[tuple[Floats, Floats, float]]:
    """Start, end and radius of each branch. [m]"""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(number):
        start = rng.uniform([0.1, 0.1, 0.2], [0.6, 0.6, 0.9])
        end = np.clip(start + rng.uniform([0.3, -0.2, -0.2], [0.8, 0.3, 0.3]), 0.05, [1.45, 0.7, 1.1])
        found.append((start, end, float(rng.uniform(0.012, 0.04))))
    return found


def furnished_box(seed: int, leaf_count: int = 0, branch_count: int = BRANCHES) -> Floats:
    """Walls, branches of 768 triangles and leaves of two, (m, 3, 3). [m]"""
    wood = [branch(*given, SIDES, RINGS) for given in branches(seed, branch_count)]
    foliage = leaves(np.random.default_rng(seed + 1), leaf_count, [0.1, 0.1, 0.1], [1.4, 0.65, 1.0])
    return np.concatenate([room((), np.zeros(3), BOX), *wood, foliage])


def receivers(triangles: Floats, number: int, seed: int) -> tuple[Floats, Floats]:
    """Places at least 4 mm off the triangles, anywhere in the planted part of the box, facing up. [m]

    Of the branches of the same seed none lies inside; what else is closed is not looked at.
    """
    rng = np.random.default_rng(seed)
    points = np.zeros((0, 3))
    while len(points) < number:
        more = rng.uniform([0.05, 0.05, 0.05], [1.45, 0.7, 1.1], (2 * number, 3))
        for start, end, radius in branches(seed):
            more = more[~Chain(np.stack([start, end]), np.full(2, radius)).contains(more)]
        points = np.concatenate([points, more[_clear(triangles, more)]])
    return points[:number], facing_up(number)


def facing_up(number: int) -> Floats:
    """Normals of backs. [-]"""
    return np.tile([0.0, 0.0, 1.0], (number, 1))


def _clear(triangles: Floats, points: Floats) -> NDArray[np.bool_]:
    """Which points are at least `CLEAR` off every triangle: only near ones are measured exactly."""
    clear = np.ones(len(points), dtype=bool)
    middle = triangles.mean(axis=1)
    reach = np.linalg.norm(triangles - middle[:, None], axis=2).max(axis=1) + CLEAR
    tree = cKDTree(points)
    for triangle, near in zip(triangles, tree.query_ball_point(middle, reach), strict=True):
        if near:
            clear[near] &= distance_to_triangles(triangle[None], points[near]) >= CLEAR
    return clear


def scanned_branch(number: int, seed: int) -> Floats:
    """A crooked, knobbly piece of wood as a scanner delivers it, at least `number` small triangles. [m]

    A sphere of longitudes and latitudes, drawn out to 1 m, bent, and displaced by waves and by noise of
    half a millimetre.
    """
    rng = np.random.default_rng(seed)
    rings = int(np.ceil(np.sqrt(number / 2))) + 1
    # Not quite to the poles: triangles there would have no area.
    polar = np.linspace(0.01, np.pi - 0.01, rings + 1)[:, None]
    around = np.linspace(0, 2 * np.pi, rings + 1)[None, :-1]
    waves = sum(
        0.12 / k * np.sin(k * (3 * polar + turn)) * np.cos(m * around + shift)
        for k, (m, (turn, shift)) in enumerate(zip((2, 3, 5, 8), rng.uniform(0, 6, (4, 2)), strict=True), 1)
    )
    out = 0.06 * np.sin(polar) ** 0.5 * (1 + waves) + rng.normal(0, 0.0005, (rings + 1, rings))
    along = 0.5 * np.cos(polar)
    grid = np.stack(
        [
            0.75 + along + 0 * around,
            0.375 + 0.08 * np.sin(5 * along) + out * np.cos(around),
            0.6 + 0.1 * np.cos(4 * along) + out * np.sin(around),
        ],
        axis=-1,
    )
    turned = np.roll(grid, -1, axis=1)
    a, b, c, d = grid[:-1], turned[:-1], turned[1:], grid[1:]
    return np.concatenate([np.stack(t, axis=-2).reshape(-1, 3, 3) for t in ((a, b, c), (a, c, d))])
