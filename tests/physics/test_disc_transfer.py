"""Light of a disc through the engine: closed forms, shadow edges, conservation, media."""

from math import pi, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oracles.scenes import cloud, hits, rectangle, unit_normals
from sunfleck.errors import DomainError
from sunfleck.geometry.bvh import build_bvh
from sunfleck.physics import sources
from sunfleck.physics.canopies import Canopies
from sunfleck.physics.disc_chords import disc_chords
from sunfleck.physics.emitters import POLAR_ANGLES, DiscEmitter, beam_law, cosine_law, dome_law
from sunfleck.physics.media import Media, mesh_transmittance, pane_transmittance
from sunfleck.physics.transport import Scene, disc_transfer

DOWN = np.array([0.0, 0.0, -1.0])
UP = np.array([0.0, 0.0, 1.0])
OPEN = Scene(build_bvh([]), Media.none())
# A cosine drawn as straight pieces of half a degree, scaled to one watt, is off by up to this much.
CHORDS = 1.3e-5


def facing(emitter, points, normals, scene=OPEN):
    return disc_transfer(scene, emitter, points, normals).facing.sum(axis=1)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    radius=st.floats(0.005, 0.3),
    height=st.floats(1.0, 8.0),
    offset=st.floats(0.0, 6.0),
    turn=st.floats(0, 6.28),
)
def test_a_lambertian_disc_is_the_closed_form(radius, height, offset, turn):
    """Howell's factors, parallel and at right angles, from one radius away on.

    1e-6 parallel, 3e-6 at right angles, and the chords of the law on top.
    """
    height, offset = height * radius, offset * radius
    around = np.array([np.cos(turn), np.sin(turn), 0.0])
    point = offset * around + height * DOWN
    exitance = 1 / (pi * radius**2)
    disc = DiscEmitter([0, 0, 0], DOWN, radius, cosine_law())
    got = facing(disc, [point, point], [UP, -around])
    parallel = float(sources.disc_factor_parallel(radius, height, offset)) * exitance
    assert got[0] == pytest.approx(parallel, rel=CHORDS + 1e-6)
    if offset > radius:
        across = float(sources.disc_factor_perpendicular(radius, height, offset)) * exitance
        assert got[1] == pytest.approx(across, rel=CHORDS + 3e-6)


def test_far_away_it_is_a_point_source():
    """At 1,000 radii the inverse square law with the law's own intensity is left, to 3e-4 of it."""
    for law in (cosine_law(), dome_law(), beam_law(radians(25), radians(50))):
        disc = DiscEmitter([0.1, 0.2, 1.0], DOWN, 0.001, law)
        angle = np.radians([0, 5, 10, 20, 40])
        rays = np.stack([np.sin(angle), 0 * angle, -np.cos(angle)], axis=1)
        got = facing(disc, disc.centre + 1.0 * rays, -rays)
        expected = sources.point_irradiance(np.interp(angle, POLAR_ANGLES, disc.intensity), 1.0)
        assert got == pytest.approx(expected, rel=3e-4, abs=1e-6)


@pytest.mark.parametrize(
    ("law", "most"),
    [
        (cosine_law(), 2e-6),
        (dome_law(), 2e-6),
        (beam_law(radians(25), radians(60)), 1e-4),
        (beam_law(radians(10), radians(25)), 5e-3),
    ],
)
def test_few_chords_do_where_nothing_is_in_the_way(law, most):
    """4,000 points from 8 to 20 radii off, seed 1: against 24 chords, which a leafy body far away asks for."""
    rng = np.random.default_rng(1)
    ways = rng.normal(size=(4000, 3))
    ways[:, 2] = -abs(ways[:, 2])
    points = ways / np.linalg.norm(ways, axis=1, keepdims=True) * rng.uniform(0.4, 1.0, (4000, 1))
    disc, up = DiscEmitter([0, 0, 0], DOWN, 0.05, law), np.tile(UP, (4000, 1))
    away = Scene(OPEN.bvh, Media.none(), canopies=Canopies([[90.0, 0, 0]], [[0.2, 0.2, 0.2]], [7.0]))
    few, many = facing(disc, points, up), facing(disc, points, up, away)
    assert not np.array_equal(few, many)
    assert np.sqrt(((few - many) ** 2).mean()) < most * many.mean()


def test_a_disc_without_radius_is_a_point():
    """Radius zero: exactly intensity over distance squared."""
    disc = DiscEmitter([0, 0, 0], DOWN, 0.0, dome_law())
    got = facing(disc, [[0.3, 0, -0.4]], [[-0.6, 0, 0.8]])
    intensity = np.interp(np.arccos(0.8), POLAR_ANGLES, disc.intensity)
    assert got[0] == pytest.approx(intensity / 0.25, rel=1e-12)


@pytest.mark.parametrize("law", [cosine_law(), dome_law(), beam_law(radians(40), radians(90))])
def test_a_closed_box_catches_one_watt(law):
    """Conservation: facing irradiance over six walls adds up to the lamp's watt, to 1e-4."""
    nodes, weights = np.polynomial.legendre.leggauss(6)
    place = ((np.arange(10)[:, None] + 0.5 + 0.5 * nodes) / 10).ravel()
    share = np.tile(weights / 20, 10)
    size = np.array([0.5, 0.4, 0.6])
    disc = DiscEmitter([0.25, 0.2, 0.4], [0.3, -0.2, -1.0], 0.03, law)
    caught = 0.0
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        for end in (0, 1):
            points = np.zeros((place.size, place.size, 3))
            points[..., axis] = end * size[axis]
            points[..., u], points[..., v] = place[:, None] * size[u], place[None, :] * size[v]
            normal = np.zeros(3)
            normal[axis] = 1 - 2 * end
            wall = facing(disc, points.reshape(-1, 3), np.tile(normal, (place.size**2, 1)))
            caught += size[u] * size[v] * (share[:, None] * share * wall.reshape(place.size, -1)).sum()
    assert caught == pytest.approx(1.0, rel=1e-4)


def test_a_straight_shadow_edge_across_the_disc():
    """A half plane across a far disc, turned and shifted: share of the area that is seen."""
    disc = DiscEmitter([0, 0, 1.0], DOWN, 0.02, dome_law())
    point, free = np.array([[0.0, 0.0, 0.0]]), facing(disc, [[0, 0, 0]], [UP])[0]
    errors = []
    for turn in np.linspace(0, 2 * pi, 24, endpoint=False):
        u, v = np.array([np.cos(turn), np.sin(turn), 0]), np.array([-np.sin(turn), np.cos(turn), 0])
        for edge in np.linspace(-0.9, 0.9, 13):
            screen = rectangle(0.5 * UP + edge * 0.01 * u - v, 3 * u, 2 * v)
            seen = facing(disc, point, [UP], Scene(build_bvh(screen), Media.none()))[0] / free
            errors.append(seen - (0.5 + (edge * np.sqrt(1 - edge**2) + np.arcsin(edge)) / pi))
    rms = np.sqrt(np.mean(np.square(errors)))
    print(f"{len(errors)} edges: RMS {rms:.2%}, largest {np.abs(errors).max():.2%} of the disc")
    assert np.abs(errors).max() < 0.02
    assert rms < 0.003


@settings(max_examples=12, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6), size=st.floats(0.02, 0.3))
def test_hidden_parts_of_the_chords_agree_with_brute_force(seed, size):
    """Random clouds: 500 places on each chord against every triangle, no tree; 2e-3 of the open disc."""
    rng = np.random.default_rng(seed)
    triangles = cloud(rng, 40, size=size)
    disc = DiscEmitter([0.5, 0.5, 1.4], [0.1, 0, -1], 0.05, cosine_law())
    points, normals = rng.uniform(0.1, 0.9, (4, 3)), unit_normals(rng, 4)
    got = disc_transfer(Scene(build_bvh(triangles), Media.none()), disc, points, normals)
    start, end, shares = disc_chords(24)
    u = np.cross(disc.aim, np.eye(3)[1])
    u /= np.linalg.norm(u)
    v = np.cross(disc.aim, u)
    part = (np.arange(500) + 0.5) / 500
    flat = (start[:, None] + part[:, None] * (end - start)[:, None]).reshape(-1, 2)
    ends = disc.centre + disc.radius * (flat[:, :1] * u + flat[:, 1:] * v)
    for row, (point, normal) in enumerate(zip(points, normals, strict=True)):
        free = ~hits(triangles, np.tile(point, (len(ends), 1)), ends).any(axis=1)
        ray = ends - point
        r = np.linalg.norm(ray, axis=1)
        angle = np.arccos(np.clip(-(ray / r[:, None]) @ disc.aim, -1, 1))
        parts = np.repeat(shares / 500, 500) * np.interp(angle, POLAR_ANGLES, disc.intensity) / r**2
        room = 2e-3 * parts.sum()
        assert got.vector[row, 0] == pytest.approx(
            ((parts * free)[:, None] * ray / r[:, None]).sum(axis=0), abs=room
        )
        assert got.facing[row, 0] == pytest.approx(
            (parts * free * np.maximum(ray @ normal / r, 0)).sum(), abs=room
        )


def test_nothing_between_the_chords_of_a_near_branch_is_missed():
    """A twig 4 mm thick, 3 cm from a bulb of 5 cm: what 16 places miss, chords see (regression)."""
    disc = DiscEmitter([0, 0, 0.5], DOWN, 0.025, dome_law())
    for turn in np.linspace(0, pi, 13):
        along, across = np.array([np.cos(turn), np.sin(turn), 0]), np.array([-np.sin(turn), np.cos(turn), 0])
        twig = rectangle(0.47 * UP - 0.1 * along - 0.002 * across, 0.2 * along, 0.004 * across)
        scene = Scene(build_bvh(twig), Media.none())
        share = facing(disc, [[0, 0, 0.0]], [UP], scene)[0] / facing(disc, [[0, 0, 0.0]], [UP])[0]
        # Seen from half a metre the twig covers a strip of 4.26 mm through the middle of the disc.
        half = 0.002 * 0.5 / 0.47 / 0.025
        hidden = 2 / pi * (half * np.sqrt(1 - half**2) + np.arcsin(half))
        assert share == pytest.approx(1 - hidden, abs=0.02)


@pytest.mark.parametrize(("law", "parameters"), [(0, (0, 0)), (1, (0.35, 0.2)), (2, (1.52, 0))])
def test_light_through_a_sheet_is_weighted_by_its_law(law, parameters):
    """A small disc behind a wide sheet: one mask, weighted by the law for the ray from its middle."""
    media = Media([[-5, -5, 0.5]], [[10, 0, 0]], [[0, 10, 0]], [2], [law], [parameters])
    disc = DiscEmitter([0.3, -0.4, 1.0], DOWN, 1e-4, cosine_law())
    got = disc_transfer(Scene(build_bvh([]), media), disc, [[0, 0, 0]], [UP])
    ray = disc.centre / np.linalg.norm(disc.centre)
    weight = 1.0
    if law == 1:
        weight = float(mesh_transmittance(*ray, *parameters))
    if law == 2:
        weight = float(pane_transmittance(ray[2], parameters[0]))
    assert got.groups.tolist() == [0, 4]
    assert got.facing[0, 0] == 0
    assert got.facing[0, 1] == pytest.approx(facing(disc, [[0, 0, 0]], [UP])[0] * weight, rel=1e-6)


def test_a_receiver_on_the_disc_gets_a_number():
    """No NaN, however close."""
    disc = DiscEmitter([0, 0, 0], DOWN, 0.05, cosine_law())
    start, end, _ = disc_chords(24)
    middle = 0.05 * (start[3] + end[3]) / 2
    points = [[0, 0, 0], [*middle, 0.0], [0, 0, -1e-9], [0.05, 0, 0], [0.2, 0.1, 0]]
    assert np.isfinite(facing(disc, points, [UP] * 5)).all()


@pytest.mark.parametrize("number", [1, 7, 24])
def test_chords_integrate_the_disc(number):
    """Moments of the unit disc across the chords, exact up to degree 2n - 1; ends on the rim, none along an axis."""
    start, end, shares = disc_chords(number)
    across = (start + end) / 2 @ (np.array([-np.sin(0.3), np.cos(0.3)]))
    assert shares.sum() == pytest.approx(1.0, rel=1e-14)
    for degree in range(2 * number):
        # Mean of y^m over the disc: 0 for odd m, else a ratio of gamma functions.
        k = degree // 2
        exact = 0.0 if degree % 2 else float(np.prod([(2 * j - 1) / (2 * j + 2) for j in range(1, k + 1)]))
        assert (shares * across**degree).sum() == pytest.approx(exact, abs=1e-14)
    assert np.hypot(*start.T) == pytest.approx(1.0)
    assert np.abs(end - start).min() > 0.05


def test_there_is_at_least_one_chord():
    """None would give no light."""
    with pytest.raises(DomainError, match="one chord or more; got 0"):
        disc_chords(0)
