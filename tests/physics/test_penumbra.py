"""Half shadows: our engine against 8,192 rays from every receiver to places spread over the lamp.

The places lie by another rule than the engine's chords (evenly along a line, as a sunflower on a disc), each
is seen or not by itself (`geometry.rays`, which knows no intervals), and the lamp's law is written anew here.
"""

from math import radians, sqrt

import numpy as np
import pytest

from oracles.sampled import light_from, places_on
from oracles.scenes import BAR, BAR_HEIGHT, BAR_PITCH, HALF_SHADOWS, half_shadow
from sunfleck.geometry.bvh import build_bvh
from sunfleck.geometry.rays import ray_scene
from sunfleck.physics.emitters import DiscEmitter, LineEmitter, beam_law, reflector_law
from sunfleck.physics.media import Media
from sunfleck.physics.transport import Scene, transfer

SEED = 1
RECEIVERS = 300
SAMPLES = 8192
LAMPS = {
    "tube": LineEmitter([-0.3, 0, 1.0], [0.3, 0, 1.0], [0, 0.1, -1], reflector_law(radians(85))),
    # 50 mm opening, 25 degrees of beam.
    "spot": DiscEmitter([0, 0, 1.0], [0.06, 0.02, -1], 0.025, beam_law(radians(25), radians(50))),
}


def sampled(triangles, lamp, points, normals):
    """Irradiance (n,) by SAMPLES rays each, and what it would be with nothing in the way. [m-2]"""
    rays, places = ray_scene(triangles), places_on(lamp, SAMPLES)
    seen, free = np.empty(len(points)), np.empty(len(points))
    for row, (point, normal) in enumerate(zip(points, normals, strict=True)):
        parts = np.maximum(light_from(lamp, point, places) @ normal, 0)
        visible = ~rays.occluded(np.broadcast_to(point, places.shape), places)
        seen[row], free[row] = parts[visible].sum(), parts.sum()
    return seen, free


@pytest.mark.parametrize("kind", LAMPS)
@pytest.mark.parametrize("name", HALF_SHADOWS)
def test_half_shadows_are_as_sharp_as_8192_samples(name, kind):
    """Issue: RMS at most 1 % of the mean where at least a quarter of the points are partly lit.

    The samples' own error is 0.01 to 0.05 % (8,191 against 8,192 of them). Measured: tubes below 0.1 %,
    spots 0.04 % (twig) to 0.6 % (a gap of 2 mm, where a tenth of the spot is seen on average).
    """
    lamp = LAMPS[kind]
    triangles, points, normals = half_shadow(name, SEED, RECEIVERS)
    expected, free = sampled(triangles, lamp, points, normals)
    got = transfer(Scene(build_bvh(triangles), Media.none()), lamp, points, normals).facing[:, 0]
    error = np.abs(got - expected) / expected.mean()
    # A receiver that faces away or lies outside of the beam gets nothing either way.
    share = np.divide(expected, free, out=np.ones_like(free), where=free > 0)
    partly = np.mean((share > 0.001) & (share < 0.999))
    rms = sqrt(np.mean(error**2))
    print(
        f"{kind} behind {name}: {len(points)} receivers (seed {SEED}), {100 * partly:.0f} % partly lit, "
        f"{100 * share.mean():.0f} % of the lamp seen; RMS {100 * rms:.3f} %, "
        f"95 % within {100 * np.quantile(error, 0.95):.3f} %, at most {100 * error.max():.2f} % of the mean"
    )
    assert partly >= 0.25
    assert rms <= 0.01


@pytest.mark.parametrize("kind", LAMPS)
def test_a_guard_as_a_medium_is_the_mean_of_its_bars(kind):
    """What a plan calls a guard is a thin medium: the mean of its bars over an area, without single shadows.

    Against real bars of 2 mm every 12.5 mm, 5 cm below the lamp, the mean over many receivers is within 2 %.
    A single receiver under the spot is within a few per cent too: its opening is four bars wide. Under a tube
    that runs along the bars it is not: one place sees the whole line between two bars, another none of
    it, in stripes 10 to 20 cm apart (bars magnified by their distance from the tube).
    """
    lamp = LAMPS[kind]
    triangles, _, _ = half_shadow("guard", SEED, 1)
    rng = np.random.default_rng(SEED)
    points = rng.uniform([-0.1, -0.6, 0.2], [0.1, 0.6, 0.55], (4 * RECEIVERS, 3))
    up = np.tile([0, 0, 1.0], (len(points), 1))
    ratio = BAR / BAR_PITCH
    sheet = Media([[-0.4, -0.15, BAR_HEIGHT]], [[0.8, 0, 0]], [[0, 0.3, 0]], [0], [1], [[ratio, ratio]])
    bars = transfer(Scene(build_bvh(triangles), Media.none()), lamp, points, up).facing[:, 0]
    mean = transfer(Scene(build_bvh([]), sheet), lamp, points, up).facing.sum(axis=1) * (1 - ratio) ** 2
    off, apart = mean.mean() / bars.mean() - 1, sqrt(np.mean((bars - mean) ** 2)) / bars.mean()
    print(
        f"guard under a {kind}: {len(points)} receivers (seed {SEED}), mean of the medium {100 * off:+.2f} % off "
        f"that of the bars, single receivers {100 * apart:.1f} % of the mean (RMS)"
    )
    assert abs(off) <= 0.02
    if kind == "spot":
        assert apart <= 0.05
