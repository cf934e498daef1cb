"""Radiance (through `pyradiance`) as an oracle: held against closed forms before it judges our engine.

It shares no line of code with us. What it says of six furnished scenes is in ``test_six_scenes``.
"""

from math import pi

import numpy as np
import pytest

pytest.importorskip("pyradiance", reason="the oracle is not installed")

from oracles.radiance import direct_irradiance, total_irradiance
from oracles.scenes import Part, rectangle, room
from sunfleck.physics import sources
from sunfleck.physics.emitters import DiscEmitter, LineEmitter, bare_tube_law, cosine_law, dome_law
from sunfleck.physics.media import Media, mesh_transmittance, pane_transmittance

FAR = np.array([[[90.0, 90, 90], [91, 90, 90], [90, 91, 90]]])
UP = np.array([0.0, 0.0, 1.0])


def test_a_line_is_the_closed_form():
    """2,000 pieces against Keitz/Moon below a bare tube, 0.1 to 1 m away: 1e-5."""
    tube = LineEmitter([-0.6, 0, 0], [0.6, 0, 0], [0, 0, -1], bare_tube_law())
    distance, offset = (x.ravel() for x in np.meshgrid([0.1, 0.3, 0.6, 1.0], [-0.5, 0.0, 0.2, 0.9]))
    points = np.stack([offset, 0 * offset, -distance], axis=1)
    got = direct_irradiance(FAR, [tube], points, np.tile(UP, (len(points), 1)), pieces=2000)
    expected = sources.tube_irradiance(1.0, 1.2, distance, offset)
    worst = np.abs(got / expected - 1).max()
    print(f"oracle against the closed form of a line: {worst:.1e}")
    assert worst < 1e-5


def test_a_disc_is_the_closed_form():
    """400 places against Howell's factor of a Lambertian disc from 5 radii on: 3e-4.

    That is what a sunflower of 400 places integrates to.
    """
    disc = DiscEmitter([0, 0, 0], [0, 0, -1], 0.05, cosine_law())
    height, offset = (x.ravel() for x in np.meshgrid([0.25, 0.5, 1.0], [0.0, 0.1, 0.4]))
    points = np.stack([offset, 0 * offset, -height], axis=1)
    got = direct_irradiance(FAR, [disc], points, np.tile(UP, (len(points), 1)))
    expected = sources.disc_factor_parallel(0.05, height, offset) / (pi * 0.05**2)
    worst = np.abs(got / expected - 1).max()
    print(f"oracle against the closed form of a disc: {worst:.1e}")
    assert worst < 3e-4


@pytest.mark.parametrize("law", [1, 2])
def test_a_mesh_and_a_pane_are_their_laws(law):
    """A point through Radiance's `mixfunc` and `glass` from many sides against our laws, to 1e-6.

    Shadow rays see both. Squarely the mesh lets through 0.8 x 0.7, the pane 2 n / (n^2 + 1): a pane of
    transmissivity 1 is one that absorbs nothing.
    """
    parameters, squarely = ([0.2, 0.3], 0.8 * 0.7) if law == 1 else ([1.52, 0.0], 2 * 1.52 / (1.52**2 + 1))
    sheet = Media([[-5, -5, 0.5]], [[10, 0, 0]], [[0, 10, 0]], [0], [law], [parameters])
    lamp = DiscEmitter([0, 0, 1], [0, 0, -1], 0.0, dome_law())
    points = np.random.default_rng(1).uniform([-1.5, -1.5, 0], [1.5, 1.5, 0.2], (200, 3))
    up = np.tile(UP, (len(points), 1))
    free, through = (direct_irradiance(FAR, [lamp], points, up, 1, media) for media in (None, sheet))
    ray = lamp.centre - points
    if law == 1:
        expected = squarely * mesh_transmittance(*ray.T, *parameters)
    else:
        expected = squarely * pane_transmittance(ray[:, 2] / np.linalg.norm(ray, axis=1), 1.52)
    worst = np.abs(through / free - expected).max()
    print(f"oracle's {'mesh' if law == 1 else 'pane'} against our law: {worst:.1e}")
    assert worst < 1e-6


def test_a_polygon_ends_where_its_edges_are():
    """A leaf's shadow is as large as the leaf: small triangles must not reach beyond their edges.

    A tolerance of Radiance's own, 0.03 mm for edges of 3 cm in a scene in metres; hence centimetres there.
    """
    leaf = np.array([[[0.01, -0.01, 0.2], [0.04, 0.01, 0.2], [0.01, 0.03, 0.22]]])
    lamp = DiscEmitter([0.01, 0.0, 0.4], [0, 0, -1], 0.0, dome_law())
    # Along the left edge, which lies in the plane x = 0.01 of the lamp; 1 micrometre to either side.
    y = np.linspace(-0.01, 0.03, 9)
    for beside, lit in ((-1e-6, True), (1e-6, False)):
        points = np.stack([np.full_like(y, 0.01 + beside), y, np.zeros_like(y)], axis=1)
        got = direct_irradiance(leaf, [lamp], points, np.tile(UP, (len(y), 1)), 1)
        assert ((got > 0) == lit).all()


def test_reflected_light_of_a_floor_is_its_factor():
    """A Lambertian floor lit evenly from afar, seen by a plane above its middle that faces down: 1 %.

    One reflection: radiosity times the view factor of a rectangle from a small plane parallel to it, four
    quarters of it (J. R. Howell, *A Catalog of Radiation Heat Transfer Configuration Factors*, section B, from
    memory). From 10 m the floor's edges get 0.5 % less than its middle.
    """
    height, half = 0.3, 0.5
    floor = Part(rectangle([-half, -half, 0], [2 * half, 0, 0], [0, 2 * half, 0]), 0.6)
    sun = DiscEmitter([0, 0, 10.0], [0, 0, -1], 0.0, cosine_law())
    got = total_irradiance([floor], [sun], np.array([[0, 0, height]]), -UP[None], pieces=1, rays=16384)[0]
    x = half / height
    factor = 4 * (x / np.sqrt(1 + x * x) * np.arctan(x / np.sqrt(1 + x * x)) * 2) / (2 * pi)
    expected = 0.6 / (pi * 10.0**2) * factor
    print(f"oracle's light of a floor: {100 * (got / expected - 1):+.2f} %")
    assert got == pytest.approx(expected, rel=0.01)


def test_reflections_go_on_until_nothing_is_left():
    """Closed box of reflectance 0.8, a lamp of 1 W: the walls' mean irradiance is 1 / (A (1 - 0.8)), to 2 %.

    Conservation: what is absorbed in all is the watt. Direct light is a fifth of it. Points spread over the
    walls by area, seed printed; the rest is chance (200 points with 64 rays each).
    """
    seed = 3
    rng = np.random.default_rng(seed)
    walls, lamp = room(), DiscEmitter([0.3, 0.3, 0.5], [0.1, 0.2, -1], 0.0, dome_law())
    double = np.cross(walls[:, 1] - walls[:, 0], walls[:, 2] - walls[:, 0])
    area = np.linalg.norm(double, axis=1) / 2
    # By area in proportion, so that chance decides less.
    which = np.searchsorted(np.cumsum(area) / area.sum(), (np.arange(200) + 0.5) / 200)
    u, v = np.sqrt(rng.uniform(size=200))[:, None], rng.uniform(size=200)[:, None]
    a, b, c = (walls[which, k] for k in range(3))
    normals = double[which] / (2 * area[which, None])
    points = a * (1 - u) + b * u * (1 - v) + c * u * v + 1e-4 * normals
    total = total_irradiance([Part(walls, 0.8)], [lamp], points, normals, pieces=1, rays=64).mean()
    straight = direct_irradiance(FAR, [lamp], points, normals, pieces=1).mean()
    # The mean of direct light over the walls is known: 1 / A; what these points miss of it is taken out.
    got = total - straight
    expected = 1 / (area.sum() * 0.2) - 1 / area.sum()
    print(f"oracle's closed box (seed {seed}): reflected light {100 * (got / expected - 1):+.2f} % off")
    assert got == pytest.approx(expected, rel=0.02)
    assert straight == pytest.approx(1 / area.sum(), rel=0.1)
