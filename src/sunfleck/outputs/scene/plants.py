"""Plants: leaves where light meets them, drawn as leaves grow; crowns whose leaves have no size as what they fill.

Light meets leaves that are turned every way (decision 0009). In the picture each is in its place, but held as a leaf is
held: away from the stem, its face up. A picture of many plants shows fewer, larger leaves each.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.boxes import Box
from sunfleck.geometry.leaves import leaf_cloud, seed_from_name
from sunfleck.outputs.scene.parts import Floats, Mesh
from sunfleck.outputs.scene.solids import mesh_of, revolved
from sunfleck.outputs.scene.tints import LEAF_GREENS, broken, grain
from sunfleck.plan.furnishing import Plant

Array = NDArray[np.float64]
MOST_LEAVES, FEWEST_LEAVES = 300, 30
MOST_CORNERS = 24_000  # of all plants together
# Outline of a leaf: how far along, half its width, and how far the midrib lies above a straight line, as shares.
STATIONS = ((0.0, 0.0, 0.0), (0.22, 0.82, 0.05), (0.52, 1.0, 0.06), (0.80, 0.62, 0.0), (1.0, 0.0, -0.10))
FOLD = 0.35  # how much higher its edges lie than its midrib, by half its width
# Base, three corners at each station between, tip.
BLADE = (
    *((0, 2, 1), (0, 3, 2)),
    *((1, 2, 4), (2, 5, 4), (2, 3, 5), (3, 6, 5)),
    *((4, 5, 7), (5, 8, 7), (5, 6, 8), (6, 9, 8)),
    *((7, 8, 10), (8, 9, 10)),
)
BOUGHS = 7


def leaves_for(plants: int) -> int:
    """Return how many leaves each of so many plants gets at most."""
    return int(np.clip(MOST_CORNERS // (11 * max(plants, 1)), FEWEST_LEAVES, MOST_LEAVES))


def plant_mesh(plant: Plant, most: int, inside: Box) -> tuple[Mesh, Floats]:
    """Return a plant and its stems.

    Parameters
    ----------
    plant : Plant
        With a size of its leaf, or without: then its crown as a whole.
    most : int
        Leaves at most. [-]
    inside : Box
        A leaf that would go through a wall lies against it. [m]

    Returns
    -------
    mesh : Mesh
        Leaves, or the crown. [m]
    stems : (k, 2, 3) float32
        Thin lines to each leaf; none in a crown. [m]
    """
    if plant.leaf is None:
        return _within(_crown(plant), inside), np.zeros((0, 2, 3), np.float32)
    half = np.array([plant.crown.radius, plant.crown.radius, plant.crown.height / 2])
    seed = seed_from_name(plant.name)
    cloud = leaf_cloud(plant.crown.middle, half, plant.leaf_area, plant.leaf.length, plant.leaf.width, seed)
    count = len(cloud) // 2
    every = -(-count // most)
    # Two triangles share base and tip: their middle is the leaf's.
    places = (cloud[:count, 0] + cloud[:count, 2])[::every] / 2
    larger = np.sqrt(every)
    size = np.minimum(larger * np.array([plant.leaf.length, plant.leaf.width]), half.min())
    foot = np.array(plant.crown.middle) - (0.0, 0.0, half[2])
    boughs, bough = _boughs(places, foot)
    out = places - boughs[bough]
    flat = out * (1, 1, 0.35) + grain(plant.name, places.shape, 0.25) * size[0]
    along = _unit(flat + (places - foot) * (0.3, 0.3, 0.0))
    along[:, 2] -= 0.25
    along = _unit(along)
    up = _unit(np.array([0.0, 0.0, 1.0]) + grain(plant.name + " up", places.shape, 0.22) + 0.3 * _unit(out))
    mesh = _leaves(plant.name, places, along, up, size)
    bases = places - along * size[0] / 2
    stems = [*zip(np.broadcast_to(foot, boughs.shape), boughs, strict=True)]
    stems += [*zip(boughs[bough], bases, strict=True)]
    return _within(mesh, inside), np.array(stems, dtype=np.float32)


def _within(mesh: Mesh, inside: Box) -> Mesh:
    return replace(mesh, positions=np.clip(mesh.positions, inside.low, inside.high).astype(np.float32))


def _leaves(name: str, places: Array, along: Array, up: Array, size: Array) -> Mesh:
    side = _unit(np.cross(along, up))
    up = np.cross(side, along)
    length, half = size[0], size[1] / 2
    points, normals = [], []
    for t, wide, lift in STATIONS:
        rib = places + along * length * (t - 0.5) + up * length * lift
        ways = (0.0,) if wide == 0 else (-1.0, 0.0, 1.0)
        for way in ways:
            points.append(rib + side * half * wide * way + up * half * wide * FOLD * abs(way))
            normals.append(up - side * FOLD * way)
    corners = np.stack(points, axis=1)
    each, count = corners.shape[1], len(places)
    which = np.array(BLADE)[None] + each * np.arange(count)[:, None, None]
    mesh = mesh_of(corners.reshape(-1, 3), np.stack(normals, axis=1).reshape(-1, 3), which, LEAF_GREENS[0])
    kind = seed_from_name(name) % len(LEAF_GREENS)
    shade = grain(name + " green", (count, 1), 0.10) + np.array([0.0] + [0.02, 0.08, 0.02] * 3 + [0.0])
    return replace(mesh, tints=broken(LEAF_GREENS[kind], shade.reshape(-1)))


def _boughs(places: Array, foot: Array) -> tuple[Array, NDArray[np.int64]]:
    """Where stems fork, half way to the middle of each bundle of leaves, and the fork of each leaf."""
    turn = np.arctan2(places[:, 1] - foot[1], places[:, 0] - foot[0])
    high = places[:, 2] > np.median(places[:, 2])
    bundle = ((turn + np.pi) / (2 * np.pi) * BOUGHS).astype(int) % BOUGHS + BOUGHS * high
    forks = np.tile(foot, (2 * BOUGHS, 1))
    for k in np.unique(bundle):
        forks[k] = foot + 0.6 * (places[bundle == k].mean(axis=0) - foot)
    return forks, bundle


def _crown(plant: Plant) -> Mesh:
    turn = np.linspace(np.pi, 0.0, 15)
    profile = [(float(-np.cos(t)), float(np.sin(t)) if 0 < t < np.pi else 0.0) for t in turn]
    ball = revolved([profile], np.zeros(3), np.array([0.0, 0.0, 1.0]), LEAF_GREENS[0], 28)
    half = np.array([plant.crown.radius, plant.crown.radius, plant.crown.height / 2])
    positions = ball.positions * half + np.array(plant.crown.middle)
    tints = broken(LEAF_GREENS[0], grain(plant.name, (len(positions),), 0.12))
    return mesh_of_like(ball, positions, ball.normals / half, tints)


def mesh_of_like(mesh: Mesh, positions: Array, normals: Array, tints: NDArray[np.uint8]) -> Mesh:
    """Return a mesh with the same triangles over other corners."""
    moved = mesh_of(positions, normals, mesh.indices, "#000000")
    return replace(moved, tints=tints)


def _unit(vectors: Array) -> Array:
    return np.asarray(vectors / np.maximum(np.linalg.norm(vectors, axis=-1, keepdims=True), 1e-12))
