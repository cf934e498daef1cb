"""Our engine against Radiance (through `pyradiance`), which shares no line of code with it.

First the oracle itself is held against closed forms in the open, then the engine against the oracle in a
furnished scene: branches as tubes, leaves as quads, about 5,000 triangles, receivers at least 4 mm off.
"""

from math import pi, radians

import numpy as np
import pytest

pytest.importorskip("pyradiance", reason="the oracle is not installed")

from oracles.radiance import direct_irradiance
from oracles.scenes import distance_to_triangles, furnished, unit_normals
from sunfleck.geometry.bvh import build_bvh
from sunfleck.physics import sources
from sunfleck.physics.emitters import (
    DiscEmitter,
    LineEmitter,
    bare_tube_law,
    beam_law,
    cosine_law,
    dome_law,
    reflector_law,
)
from sunfleck.physics.media import Media
from sunfleck.physics.transport import Scene, transfer

FAR = np.array([[[90.0, 90, 90], [91, 90, 90], [90, 91, 90]]])
TUBES = [
    LineEmitter([0.2, 0.3, 1.43], [1.35, 0.35, 1.43], [0, 0.2, -1], reflector_law(radians(80))),
    LineEmitter([0.2, 0.5, 1.43], [1.35, 0.5, 1.40], [0, 0, -1], bare_tube_law()),
]
DISCS = {
    "spot": DiscEmitter([0.4, 0.35, 1.4], [0.1, 0, -1], 0.03, beam_law(radians(25), radians(50))),
    "heater": DiscEmitter([0.9, 0.35, 1.4], [0, 0.1, -1], 0.03, dome_law()),
}


def engine(triangles, emitters, points, normals):
    scene = Scene(build_bvh(triangles), Media.none())
    return sum(transfer(scene, emitter, points, normals).facing[:, 0] for emitter in emitters)


def rms(difference):
    return float(np.sqrt(np.mean(np.square(difference))))


@pytest.fixture(scope="module")
def scene():
    """Triangles, more than 1,000 receivers at least 4 mm off them, facing anywhere."""
    rng = np.random.default_rng(2026)
    triangles = furnished(rng)
    points = rng.uniform([0.1, 0.1, 0.1], [1.4, 0.65, 1.1], (1200, 3))
    points = points[distance_to_triangles(triangles, points) >= 0.004]
    return triangles, points, unit_normals(rng, len(points))


def test_the_oracle_meets_the_closed_form_of_a_line():
    """Radiance with 2,000 pieces against Keitz/Moon below a bare tube, 0.1 to 1 m away: 1e-5."""
    tube = LineEmitter([-0.6, 0, 0], [0.6, 0, 0], [0, 0, -1], bare_tube_law())
    distance, offset = (x.ravel() for x in np.meshgrid([0.1, 0.3, 0.6, 1.0], [-0.5, 0.0, 0.2, 0.9]))
    points = np.stack([offset, 0 * offset, -distance], axis=1)
    got = direct_irradiance(FAR, [tube], points, np.tile([0, 0, 1.0], (len(points), 1)), pieces=2000)
    expected = sources.tube_irradiance(1.0, 1.2, distance, offset)
    worst = np.abs(got / expected - 1).max()
    print(f"oracle against the closed form of a line: {worst:.1e}")
    assert worst < 1e-5


def test_the_oracle_meets_the_closed_form_of_a_disc():
    """Radiance with 400 places against Howell's factor of a Lambertian disc from 5 radii on: 1e-3.

    That is what a sunflower of 400 places integrates to.
    """
    disc = DiscEmitter([0, 0, 0], [0, 0, -1], 0.05, cosine_law())
    height, offset = (x.ravel() for x in np.meshgrid([0.25, 0.5, 1.0], [0.0, 0.1, 0.4]))
    points = np.stack([offset, 0 * offset, -height], axis=1)
    got = direct_irradiance(FAR, [disc], points, np.tile([0, 0, 1.0], (len(points), 1)))
    expected = sources.disc_factor_parallel(0.05, height, offset) / (pi * 0.05**2)
    worst = np.abs(got / expected - 1).max()
    print(f"oracle against the closed form of a disc: {worst:.1e}")
    assert worst < 1e-3


def test_tubes_in_the_open_agree(scene):
    """Reflector law, azimuth, horizon: every receiver of the furnished scene without its furniture, 1e-5."""
    _, points, normals = scene
    ours = engine([], TUBES, points, normals)
    theirs = direct_irradiance(FAR, TUBES, points, normals)
    error = rms(ours - theirs) / theirs.mean()
    print(f"tubes in the open: RMS {error:.1e} of the mean")
    assert error < 1e-5


def test_tubes_among_leaves_agree(scene):
    """Two tubes of 1,600 pieces each: RMS at most 1 % of the mean over more than 1,000 receivers.

    What is left (0.3 %) stays when Radiance's pieces are made smaller, and brute force against every
    triangle sides with the engine at the receivers that differ most.
    """
    triangles, points, normals = scene
    assert len(triangles) > 5000
    assert len(points) >= 1000
    ours = engine(triangles, TUBES, points, normals)
    theirs = direct_irradiance(triangles, TUBES, points, normals, pieces=1600)
    error = rms(ours - theirs) / theirs.mean()
    print(f"tubes among leaves: RMS {100 * error:.3f} % of the mean, {len(points)} receivers")
    assert error <= 0.01


@pytest.fixture(scope="module", params=DISCS)
def disc(request, scene):
    """A disc among leaves: our field, Radiance's from 2,000 places, and ours without furniture."""
    triangles, points, normals = scene
    lamps = [DISCS[request.param]]
    ours, free = (engine(t, lamps, points, normals) for t in (triangles, []))
    theirs = direct_irradiance(triangles, lamps, points, normals, pieces=2000)
    error = rms(ours - theirs)
    print(
        f"{request.param} among leaves: RMS {100 * error / rms(free):.2f} % of the open field (RMS), "
        f"{100 * error / theirs.mean():.2f} % of the mean"
    )
    return ours, theirs, free


def test_discs_among_leaves_agree_within_the_open_field(disc):
    """RMS at most 1 % of what the same receivers get in the open (RMS).

    Against the mean *in* the canopy the same error is 1.5 % for the heater and 4.7 % for the spot: few
    receivers lie in a beam of 25 degrees, and one leaf's edge across the disc is only as exact as one of its
    128 places. Tubes meet 1 % of that mean (above); discs in dense leaves do not yet (decision record 0005).
    """
    ours, theirs, free = disc
    assert rms(ours - theirs) <= 0.01 * rms(free)
