"""A field of 64,000 points under two tubes and a spot."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from benchmarks.reference import SAMPLES, reference, rms
from benchmarks.scenes import SPOT, TUBES, Floats, facing_up, furnished_box, receivers
from benchmarks.table import Row, best_of, cores
from sunfleck.geometry.bvh import build_bvh
from sunfleck.geometry.rays import ray_scene
from sunfleck.physics.media import Media
from sunfleck.physics.scene import Scene
from sunfleck.physics.transport import transfer

SEED = 2027
LAMPS = (*TUBES, SPOT)
LEAF_TRIANGLES = 22_000


def rows(*, tiny: bool) -> Iterator[Row]:
    """Time an open and a leafy scene."""
    leaves, branch_count = (200, 2) if tiny else (LEAF_TRIANGLES // 2, 12)
    for name, leaf_count, most in (("open", 0, 0.5), ("leafy", leaves, 2.5)):
        triangles = furnished_box(SEED, leaf_count, branch_count)
        yield from _rows(f"{name}, {len(triangles):,} triangles", triangles, most, tiny=tiny)


def _rows(name: str, triangles: Floats, most: float, *, tiny: bool) -> Iterator[Row]:
    side, known, samples, repeats = (6, 20, 200, 0) if tiny else (40, 500, SAMPLES, 5)
    points = _grid(side)
    scene = Scene(build_bvh(triangles), Media.none())
    seconds, _ = best_of(repeats, lambda: _light(scene, points, threads=None))
    work = f"field of {len(points):,} points, 2 tubes and 1 spot, {name}"
    parts = ", ".join(f"{part:.2f} s" for part in _each(scene, points))
    yield Row(work, seconds, "s", cores(), most, f"each lamp by itself: {parts}")
    seconds, _ = best_of(repeats // 2, lambda: _light(scene, points, threads=1))
    yield Row("   on one core", seconds, "s", 1)
    # Of the points of a grid some lie in wood or on its surface, where rays may begin on either side.
    apart, normals = receivers(triangles, known, SEED)
    ours = _light(scene, apart, threads=None)
    expected = [reference(ray_scene(triangles), (lamp,), apart, normals, samples) for lamp in LAMPS]
    errors = [f"{rms(ours[:, k], expected[k]):.2g} %" for k in range(len(LAMPS))]
    error = rms(ours.sum(axis=1), np.sum(expected, axis=0))
    note = f"of the mean, at {known:,} other places; each lamp by itself: {', '.join(errors)}; seed {SEED}"
    yield Row("   its error (rms)", error, "%", cores(), 1.0, note)


def _grid(side: int) -> Floats:
    """Points of a grid through the whole box. [m]"""
    axes = [(np.arange(side) + 0.5) / side * size for size in (1.5, 0.75, 1.4)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)


def _light(scene: Scene, points: Floats, threads: int | None) -> Floats:
    """Irradiance upwards per watt of each lamp, (n, 3). [m-2]"""
    normals = facing_up(len(points))
    found = [transfer(scene, lamp, points, normals, threads=threads).facing[:, 0] for lamp in LAMPS]
    return np.stack(found, axis=1)


def _each(scene: Scene, points: Floats) -> list[float]:
    normals = facing_up(len(points))
    return [best_of(1, lambda lamp=lamp: transfer(scene, lamp, points, normals))[0] for lamp in LAMPS]
