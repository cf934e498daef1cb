"""Direct light of two tubes at receivers, against Radiance at the same accuracy."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from benchmarks.radiance import Radiance, Setting, Trial
from benchmarks.reference import SAMPLES, reference, rms
from benchmarks.scenes import LEAVES, TUBES, Floats, furnished_box, receivers
from benchmarks.table import Row, best_of
from sunfleck.geometry.bvh import build_bvh
from sunfleck.geometry.rays import ray_scene
from sunfleck.physics.media import Media
from sunfleck.physics.scene import Scene
from sunfleck.physics.transport import transfer

SEED = 2026
ACCURACY = 0.5
OURS = 0.1


def rows(*, tiny: bool) -> Iterator[Row]:
    """Time a leafy and an open scene."""
    leaves, branch_count = (200, 2) if tiny else (LEAVES, 12)
    leafy = furnished_box(SEED, leaves, branch_count)
    yield from _rows(f"leafy, {len(leafy):,} triangles", leafy, 8.0, tiny=tiny)
    bare = furnished_box(SEED, 0, branch_count)
    yield from _rows(f"open, {len(bare):,} triangles", bare, 10.0, tiny=tiny)


def _rows(name: str, triangles: Floats, ratio: float, *, tiny: bool) -> Iterator[Row]:
    number, known, samples, repeats = (40, 20, 200, 0) if tiny else (4000, 500, SAMPLES, 7)
    points, normals = receivers(triangles, number, SEED)
    expected = reference(ray_scene(triangles), TUBES, points[:known], normals[:known], samples)
    scene = Scene(build_bvh(triangles), Media.none())
    seconds, ours = best_of(repeats, lambda: direct_light(scene, points, normals, threads=1))
    work = f"direct light, {number:,} receivers, 2 tubes, {name}"
    yield Row(work, seconds, "s", 1, note=f"receivers 4 mm or more off surfaces, facing up; seed {SEED}")
    error = rms(ours[:known], expected)
    note = f"of the mean, against {samples:,} rays to each tube from {known:,} of the receivers"
    yield Row("   its error (rms)", error, "%", 1, OURS, note)
    if find_spec("pyradiance") is None:
        return
    settings = (Setting(4, 0.1, 0.0),) if tiny else None
    with TemporaryDirectory() as folder:
        radiance = Radiance(Path(folder), triangles, TUBES)
        trials = radiance.finalists(points[:known], normals[:known], expected, ACCURACY, settings)
        yield _against(radiance, trials, scene, points, normals, ratio, repeats)


def _against(
    radiance: Radiance,
    trials: list[Trial],
    scene: Scene,
    points: Floats,
    normals: Floats,
    ratio: float,
    repeats: int,
) -> Row:
    """Time both in turn, because a machine that others share is not equally quick all the time."""
    ours, theirs = [], [([], []) for _ in trials]
    for _ in range(repeats + 1):
        ours.append(best_of(1, lambda: direct_light(scene, points, normals, threads=1))[0])
        for trial, (whole, start) in zip(trials, theirs, strict=True):
            whole.append(radiance.seconds(trial.setting, points, normals))
            start.append(radiance.seconds(trial.setting, points[:1], normals[:1]))
    taken = [max(min(whole) - min(start), 1e-9) for whole, start in theirs]
    best = int(np.argmin(taken))
    note = (
        f"both timed in turn. Radiance's cheapest setting tried: {trials[best].setting}; "
        f"{trials[best].error:.2f} % (rms) in {taken[best]:.3g} s without start and loading"
    )
    work = f"   Radiance at {ACCURACY} % takes so many times as long"
    return Row(work, taken[best] / min(ours), "×", 1, ratio, note)


def direct_light(scene: Scene, points: Floats, normals: Floats, threads: int | None) -> Floats:
    """Irradiance per watt of both tubes together. [m-2]"""
    parts = [transfer(scene, tube, points, normals, threads=threads).facing[:, 0] for tube in TUBES]
    return np.asarray(sum(parts))
