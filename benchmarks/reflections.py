"""What light does between surfaces: exchange, surroundings, shooting; and the two ray engines under it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from benchmarks.reference import Floats
from benchmarks.scenes import BOX, LEAVES, TUBES, branches, receivers
from benchmarks.table import Row, best_of, cores
from oracles.scenes import branch, leaves, room
from sunfleck.geometry.patches import Surface, patches_of
from sunfleck.geometry.rays import RayScene, ray_scene
from sunfleck.physics.canopies import Canopies
from sunfleck.physics.exchange import exchange_of
from sunfleck.physics.media import Media
from sunfleck.physics.patch_scene import PatchScene
from sunfleck.physics.shoot import shoot
from sunfleck.physics.surround import surround_of

SEED = 2029
# Gives 590 patches. [m]
PATCH = 0.21
RAYS = 128
SHOT = 65_536
ENGINES = (("ray library", True), ("own tree", False))


def rows(*, tiny: bool) -> Iterator[Row]:
    """Time patches, then single rays, in the leafy scene."""
    size, number, shot, leaf_count = (0.5, 20, 1024, 100) if tiny else (PATCH, 4000, SHOT, LEAVES)
    repeats = 0 if tiny else 3
    patches = patches_of(_surfaces(leaf_count, 2 if tiny else 12), size)
    points, _ = receivers(patches.triangles, number, SEED)
    note = f"{len(patches.triangles):,} triangles, walls, wood and leaves; seed {SEED}"
    for name, library in ENGINES:
        scene = PatchScene(patches, shared_rays=ray_scene(patches.triangles, library=library))
        seconds, _ = best_of(repeats, lambda s=scene: exchange_of(s, RAYS))
        yield Row(
            f"exchange of {len(patches)} patches, {RAYS} rays each, {name}", seconds, "s", cores(), note=note
        )
        note = ""
        seconds, _ = best_of(repeats, lambda s=scene: surround_of(s, points, RAYS))
        yield Row(f"surroundings of {number:,} places, {RAYS} ways, {name}", seconds, "s", cores())
        seconds, _ = best_of(repeats, lambda s=scene: _shot(s, shot))
        yield Row(f"shooting {shot:,} rays of a tube, {name}", seconds, "s", cores())
    yield from _single_rays(patches.triangles, points, repeats)


def _surfaces(leaf_count: int, branch_count: int) -> list[Surface]:
    wood = [Surface(branch(*given, 16, 24), "front") for given in branches(SEED, branch_count)]
    foliage = leaves(np.random.default_rng(SEED + 1), leaf_count, [0.1, 0.1, 0.1], [1.4, 0.65, 1.0])
    return [Surface(room((), np.zeros(3), BOX), "front"), *wood, Surface(foliage, "leaf")]


def _shot(scene: PatchScene, number: int) -> Any:
    patches = scene.patches
    return shoot(
        scene.rays, patches.triangles, patches.front, patches.back, Media.none(), Canopies.none(), [], TUBES[0],
        outside=scene.outside, number=number,
    )  # fmt: skip


def _single_rays(triangles: Floats, points: Floats, repeats: int) -> Iterator[Row]:
    """Millions of rays a second on one core: from receivers to places of a tube, and all about."""
    rng = np.random.default_rng(SEED)
    number = 50 * len(points)
    origins = np.repeat(points, 50, axis=0)
    ends = TUBES[0].start + rng.random((number, 1)) * (TUBES[0].end - TUBES[0].start)
    directions = rng.normal(size=(number, 3))
    scenes = [(name, ray_scene(triangles, library=library)) for name, library in ENGINES]
    questions: tuple[tuple[str, Callable[[RayScene], Any]], ...] = (
        ("is a way free (occluded)", lambda scene: scene.occluded(origins, ends)),
        ("what is hit first (first_hit)", lambda scene: scene.first_hit(origins, directions)),
    )
    for what, ask in questions:
        rates = []
        for name, scene in scenes:
            seconds, _ = best_of(repeats, lambda s=scene, a=ask: a(s))
            rates.append(number / seconds / 1e6)
            yield Row(
                f"single rays, {what}, {name}",
                rates[-1],
                "M/s",
                1,
                note=f"{number:,} rays" * (len(rates) == 1),
            )
        yield Row("   the ray library against our own tree", rates[0] / rates[1], "×", 1)
