"""Leafy bodies: chords, Beer and Lambert against drawn leaves, and light of a line through them."""

from itertools import pairwise
from math import exp, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from oracles.scenes import cloud, rectangle, unit_normals
from sunfleck.errors import DomainError
from sunfleck.geometry.bvh import build_bvh
from sunfleck.geometry.leaves import leaf_cloud
from sunfleck.geometry.rays import ray_scene
from sunfleck.physics import receive
from sunfleck.physics.canopies import Canopies, chord_lengths, extinction_of_leaves, transmittance
from sunfleck.physics.emitters import DiscEmitter, LineEmitter, bare_tube_law, cosine_law, strip_law
from sunfleck.physics.line_transfer import line_transfer
from sunfleck.physics.media import Media
from sunfleck.physics.scene import Scene
from sunfleck.physics.transport import transfer

SEEDS = st.integers(0, 10**6)
often = settings(max_examples=60, deadline=None, derandomize=True)
EMPTY = build_bvh([])
TUBE = LineEmitter([-0.6, 0.05, 1.0], [0.6, -0.05, 1.1], [0.1, 0.2, -1.0], bare_tube_law())
SPOT = DiscEmitter([0.1, 0.0, 1.0], [0.0, 0.1, -1.0], 0.04, cosine_law())


def lit(canopies, points, normals=None, tube=TUBE, triangles=(), media=None, **options):
    """Light of a tube among leafy bodies and opaque triangles."""
    points = np.atleast_2d(points)
    normals = np.tile([0, 0, 1.0], (len(points), 1)) if normals is None else normals
    scene = Scene(build_bvh(triangles), media or Media.none(), canopies=canopies)
    return line_transfer(scene, tube, points, normals, **options)


def some(rng, count=3):
    """Random bodies between the tube and the ground."""
    return Canopies(
        rng.uniform([-0.5, -0.3, 0.4], [0.5, 0.3, 0.8], (count, 3)),
        rng.uniform(0.05, 0.3, (count, 3)),
        rng.uniform(2.0, 40.0, count),
    )


def ways(rng, count, size=0.6):
    return rng.uniform(-size, size, (count, 3)), rng.uniform(-size, size, (count, 3))


# Chords


def test_through_the_middle_of_a_sphere_it_is_the_diameter():
    """Closed form, from every side and from far away: 1e-12; half of it from the middle on."""
    rng = np.random.default_rng(1)
    ball = Canopies([[0.3, -0.2, 0.5]], [[0.1, 0.1, 0.1]], [1.0])
    u = unit_normals(rng, 50)
    reach = 10.0 ** rng.uniform(-0.9, 3, (50, 1))
    assert chord_lengths(ball, ball.centre - reach * u, ball.centre + reach * u) == pytest.approx(
        0.2, rel=1e-12
    )
    middle = np.tile(ball.centre, (50, 1))
    assert chord_lengths(ball, middle, middle + reach * u) == pytest.approx(0.1, rel=1e-12)
    # And beside the middle by b: 2 sqrt(r^2 - b^2).
    side = np.cross(u, unit_normals(rng, 50))
    side *= rng.uniform(0, 0.1, (50, 1)) / np.linalg.norm(side, axis=1, keepdims=True)
    expected = 2 * np.sqrt(0.01 - (side**2).sum(axis=1))
    got = chord_lengths(ball, ball.centre + side - u, ball.centre + side + u)[:, 0]
    assert got == pytest.approx(expected, rel=1e-9)


@settings(max_examples=15, deadline=None, derandomize=True)
@given(seed=SEEDS)
def test_chords_of_parallel_ways_add_up_to_the_volume(seed):
    """Cavalieri, from any side: 300 x 300 parallel ways, each for its share of the area; 1e-3."""
    rng = np.random.default_rng(seed)
    body = Canopies(rng.uniform(-1, 1, (1, 3)), rng.uniform(0.05, 0.3, (1, 3)), [1.0])
    along = unit_normals(rng, 1)[0]
    u = np.cross(along, unit_normals(rng, 1)[0])
    u /= np.linalg.norm(u)
    v = np.cross(along, u)
    # How far the ellipsoid reaches along a unit vector is |half axes * vector|.
    reach_u, reach_v = (np.linalg.norm(body.half_axes[0] * x) for x in (u, v))
    place = (np.arange(300) + 0.5) / 150 - 1
    start = body.centre[0] + (
        place[:, None, None] * reach_u * u + place[None, :, None] * reach_v * v
    ).reshape(-1, 3)
    total = chord_lengths(body, start - along, start + along).mean() * 4 * reach_u * reach_v
    assert total == pytest.approx(4 / 3 * pi * body.half_axes.prod(), rel=1e-3)


@often
@given(seed=SEEDS, scale=st.floats(1e-3, 1e3), cut=st.floats(0, 1))
def test_chords_scale_turn_round_and_add(seed, scale, cut):
    """Lengths go with the scale; backwards they are the same; of a way cut in two they add up. 1e-9."""
    rng = np.random.default_rng(seed)
    bodies = some(rng, 4)
    origins, ends = ways(rng, 30)
    origins[:10] += 0.9  # among them ways that begin outside, inside, and end in front
    whole = chord_lengths(bodies, origins, ends)
    assert chord_lengths(bodies, ends, origins) == pytest.approx(whole, rel=1e-9, abs=1e-9)
    large = Canopies(scale * bodies.centre, scale * bodies.half_axes, bodies.extinction)
    assert chord_lengths(large, scale * origins, scale * ends) == pytest.approx(
        scale * whole, rel=1e-9, abs=1e-9 * scale
    )
    middle = origins + cut * (ends - origins)
    parts = chord_lengths(bodies, origins, middle) + chord_lengths(bodies, middle, ends)
    assert parts == pytest.approx(whole, rel=1e-9, abs=1e-9)


def test_chords_agree_with_counting_places():
    """Independent route: 20,000 places along each way, counted by the equation of the ellipsoid; 2 steps."""
    rng = np.random.default_rng(3)
    bodies = some(rng, 5)
    origins, ends = ways(rng, 40, size=1.0)
    ends[0] = origins[0]  # no way at all
    s = (np.arange(20_000) + 0.5) / 20_000
    for k in range(5):
        place = (
            origins[:, None] + s[:, None] * (ends - origins)[:, None] - bodies.centre[k]
        ) / bodies.half_axes[k]
        share = ((place**2).sum(axis=2) < 1).mean(axis=1)
        length = np.linalg.norm(ends - origins, axis=1)
        got = chord_lengths(bodies, origins, ends)[:, k]
        assert got == pytest.approx(share * length, abs=2 * length.max() / 20_000)


def test_transmittances_of_bodies_multiply():
    """Beer and Lambert: one after the other or one in the other, optical depths add. 1e-12."""
    rng = np.random.default_rng(4)
    bodies = some(rng, 3)
    origins, ends = ways(rng, 100, size=1.0)
    each = [
        transmittance(
            Canopies(bodies.centre[[k]], bodies.half_axes[[k]], bodies.extinction[[k]]), origins, ends
        )
        for k in range(3)
    ]
    assert transmittance(bodies, origins, ends) == pytest.approx(np.prod(each, axis=0), rel=1e-12)
    assert (transmittance(Canopies.none(), origins, ends) == 1.0).all()


def test_leaves_turned_anyhow_throw_half_their_area():
    """Ross's G of the spherical leaf angle distribution, by projecting 20,000 drawn leaves: 1/2 from any side.

    The mean of |cos| over that many has a standard error of 0.289 / sqrt(20,000) = 0.002; four of them.
    """
    t = leaf_cloud([0, 0, 0], [1, 1, 1], 20_000 * 0.005, 0.1, 0.1, seed=1)
    doubled = np.cross(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0])
    area = np.linalg.norm(doubled, axis=1).sum()
    for side in unit_normals(np.random.default_rng(2), 5):
        assert np.abs(doubled @ side).sum() / area == pytest.approx(0.5, abs=0.0082)
    axes = [0.2, 0.1, 0.15]
    assert extinction_of_leaves(0.06, axes) == pytest.approx(0.5 * 0.06 / (4 / 3 * pi * 0.003), rel=1e-12)
    assert extinction_of_leaves(0.06, axes, 1.0) == pytest.approx(
        2 * extinction_of_leaves(0.06, axes), rel=1e-12
    )


@pytest.mark.parametrize("leaf_area", [0.02, 0.08], ids=lambda a: f"{a} m2")
def test_drawn_leaves_let_through_what_beer_and_lambert_say(leaf_area):
    """Independent route: shadow rays through 60 plants of small leaves, at all depths of the crown.

    Leaves of 6 x 4 mm in a crown 24 x 20 x 28 cm; agreement within four standard errors of the mean over
    plants, plus 0.004 for leaves that have a size: they reach out of the crown by up to 3 mm.
    """
    rng = np.random.default_rng(8)
    centre, half_axes = np.array([0.1, 0.2, 0.3]), np.array([0.12, 0.10, 0.14])
    body = Canopies([centre], [half_axes], [extinction_of_leaves(leaf_area, half_axes)])
    u = unit_normals(rng, 400)
    aside = np.cross(u, unit_normals(rng, 400)) * rng.uniform(0, 0.08, (400, 1))
    origins, ends = centre + aside - 0.4 * u, centre + aside + 0.4 * u
    expected = transmittance(body, origins, ends)
    free = np.array(
        [
            ~ray_scene(leaf_cloud(centre, half_axes, leaf_area, 0.006, 0.004, seed)).occluded(origins, ends)
            for seed in range(60)
        ]
    )
    for name, rows in (("thick", expected < np.median(expected)), ("thin", expected >= np.median(expected))):
        plants = free[:, rows].mean(axis=1)
        error = plants.std(ddof=1) / np.sqrt(len(plants))
        print(
            f"{leaf_area} m2, {name}: leaves {plants.mean():.4f} +- {error:.4f}, body {expected[rows].mean():.4f}"
        )
        assert plants.mean() == pytest.approx(expected[rows].mean(), abs=4 * error + 0.004)


# Light of a line


def by_quadrature(canopies, point, normal, tube=TUBE):
    """Vector and facing by adaptive quadrature over the tube, cut where chords begin, end or have a kink."""
    axis = (tube.end - tube.start) / tube.length
    foot = tube.start + ((point - tube.start) @ axis) * axis
    across = foot - point
    side = np.cross(axis, tube.aim)
    azimuth = np.degrees(np.arctan2(abs(across @ side), -(across @ tube.aim)))
    weight = np.interp(azimuth, np.arange(181), tube.azimuth_weight) / (pi**2 * tube.length)

    def chords(t):
        ends = tube.start + np.atleast_1d(t)[:, None] * axis
        return chord_lengths(canopies, np.tile(point, (len(ends), 1)), ends)

    grid = np.linspace(0, tube.length, 4001)
    behind = chords(grid) > 0
    breaks = [tube.length / 2]
    for k, j in np.argwhere(behind[1:] != behind[:-1]):
        low, high = grid[k], grid[k + 1]
        for _ in range(50):
            middle = (low + high) / 2
            low, high = (middle, high) if (chords(middle)[0, j] > 0) == behind[k, j] else (low, middle)
        breaks.append(low)
    for centre, half in zip(canopies.centre, canopies.half_axes, strict=True):
        m, w = (tube.start - centre) / half, axis / half
        breaks += [t.real for t in np.roots([w @ w, 2 * m @ w, m @ m - 1]) if abs(t.imag) < 1e-12]
    if axis @ normal:
        breaks.append(-((tube.start - point) @ normal) / (axis @ normal))
    ends = sorted({0.0, tube.length, *(b for b in breaks if 0 < b < tube.length)})

    def slice_of(t, way):
        ray = tube.start + t * axis - point
        r = np.linalg.norm(ray)
        through = exp(-float(chords(t)[0] @ canopies.extinction))
        part = weight * np.linalg.norm(np.cross(ray / r, axis)) / r**3 * through
        return part * (max(0.0, ray @ normal) if way == 3 else ray[way])

    def whole(way):
        return sum(
            quad(slice_of, a, b, args=(way,), epsabs=1e-9, epsrel=1e-8, limit=200)[0]
            for a, b in pairwise(ends)
        )

    return np.array([whole(c) for c in range(3)]), whole(3)


def place(rng, kind):
    """A receiver and leafy bodies: apart, the receiver or the tube inside one, or two that overlap."""
    point = rng.uniform([-0.5, -0.4, 0.0], [0.5, 0.4, 0.25])
    bodies = some(rng, 2)
    centre, half_axes = bodies.centre.copy(), bodies.half_axes.copy()
    if kind == "receiver inside":
        centre[0] = point + rng.uniform(-0.5, 0.5, 3) * half_axes[0]
    if kind == "receiver at the surface":
        centre[0] = point - unit_normals(rng, 1)[0] * half_axes[0] * (1 + rng.normal() * 1e-3)
    if kind == "tube inside":
        centre[0] = TUBE.start + rng.uniform(-0.1, 1.1) * (TUBE.end - TUBE.start) + rng.normal(size=3) * 0.05
    if kind == "overlapping":
        centre[1] = centre[0] + rng.uniform(-0.7, 0.7, 3) * half_axes[0]
    return point, Canopies(centre, half_axes, bodies.extinction)


@pytest.mark.parametrize(
    "kind", ["apart", "receiver inside", "receiver at the surface", "tube inside", "overlapping"]
)
def test_light_through_leafy_bodies_agrees_with_quadrature(kind):
    """Adaptive quadrature with the chords of ``canopies``: vector and facing to 1e-4 of the unshaded light."""
    off, shade = [], []
    for seed in range(6):
        rng = np.random.default_rng([seed, len(kind)])
        point, bodies = place(rng, kind)
        normal = unit_normals(rng, 1)[0]
        vector, facing = by_quadrature(bodies, point, normal)
        got = lit(bodies, point, normal[None])
        light = np.linalg.norm(lit(Canopies.none(), point).vector)
        off.append(max(np.abs(got.vector[0, 0] - vector).max(), abs(got.facing[0, 0] - facing)) / light)
        shade.append(np.linalg.norm(vector) / light)
    print(
        f"{kind}: off by up to {max(off):.1e} of the unshaded light; shares let through {np.round(shade, 2)}"
    )
    assert max(off) < 1e-4


@pytest.mark.parametrize("lamp", [TUBE, SPOT], ids=["line", "disc"])
def test_from_the_middle_of_a_ball_every_way_is_as_long(lamp):
    """Closed form: the vector is exp(-k r) times that in the open, and so is facing anywhere; 1e-12."""
    rng = np.random.default_rng(5)
    points = rng.uniform([-0.5, -0.4, 0.0], [0.5, 0.4, 0.3], (20, 3))
    for point, normal in zip(points, unit_normals(rng, 20), strict=True):
        ball = Scene(EMPTY, Media.none(), canopies=Canopies([point], [[0.2, 0.2, 0.2]], [7.0]))
        got = transfer(ball, lamp, [point], [normal])
        # A ball far away, so that discs are cut as finely in both.
        away = Canopies([point + 90.0], [[0.2, 0.2, 0.2]], [7.0])
        free = transfer(Scene(EMPTY, Media.none(), canopies=away), lamp, [point], [normal])
        assert got.vector == pytest.approx(exp(-1.4) * free.vector, rel=1e-12)
        assert got.facing == pytest.approx(exp(-1.4) * free.facing, rel=1e-12)


def test_two_bodies_in_one_place_are_one_twice_as_dense():
    """Optical depths add, also cut into five thin ones. 1e-12."""
    rng = np.random.default_rng(6)
    points = rng.uniform([-0.5, -0.4, 0.0], [0.5, 0.4, 0.9], (40, 3))
    one = some(rng, 1)
    five = Canopies(
        np.repeat(one.centre, 5, axis=0),
        np.repeat(one.half_axes, 5, axis=0),
        np.repeat(one.extinction / 5, 5),
    )
    assert lit(five, points).vector == pytest.approx(lit(one, points).vector, rel=1e-12, abs=1e-14)


def test_what_is_not_in_the_way_changes_no_bit():
    """Bodies beside, behind and beyond the tube, and one without leaves: exactly equal numbers."""
    rng = np.random.default_rng(7)
    points = rng.uniform([-0.3, -0.2, 0.3], [0.3, 0.2, 0.5], (50, 3))
    normals = unit_normals(rng, 50)
    beside = Canopies(
        [[0, 3, 0.5], [0, 0, -0.4], [0, 0, 1.5], [2.0, 0, 0.8], [0, 0, 0.7]],
        [[0.4, 0.4, 0.4], [0.5, 0.5, 0.3], [0.8, 0.8, 0.3], [0.5, 0.5, 0.5], [0.3, 0.3, 0.1]],
        [30.0, 30.0, 30.0, 30.0, 0.0],
    )
    triangles = cloud(rng, 40, low=(-0.5, -0.5, 0.5), high=(0.5, 0.5, 0.9))
    got = lit(beside, points, normals, triangles=triangles)
    free = lit(Canopies.none(), points, normals, triangles=triangles)
    assert np.array_equal(got.vector, free.vector)
    assert np.array_equal(got.facing, free.facing)


def ellipsoid(centre, half_axes, rings=90):
    """Closed mesh with its corners on the ellipsoid."""
    polar, turn = np.linspace(0, pi, rings + 1), np.linspace(0, 2 * pi, 2 * rings + 1)
    unit = np.stack(
        [np.outer(np.sin(polar), np.cos(turn)), np.outer(np.sin(polar), np.sin(turn)),
         np.outer(np.cos(polar), np.ones_like(turn))], axis=-1,
    )  # fmt: skip
    grid = centre + unit * half_axes
    a, b, c, d = grid[:-1, :-1], grid[:-1, 1:], grid[1:, 1:], grid[1:, :-1]
    return np.concatenate([np.stack(t, axis=-2).reshape(-1, 3, 3) for t in ((a, b, c), (a, c, d))])


def test_leaves_without_end_are_an_opaque_body():
    """Extinction to infinity against a mesh of 32,400 triangles; its faces lie within 2e-4 of the ellipsoid.

    Both ends of a shadow move by no more than that share of it: 4e-4 of the unshaded light at the most.
    """
    rng = np.random.default_rng(9)
    points = rng.uniform([-0.5, -0.4, 0.0], [0.5, 0.4, 0.2], (40, 3))
    centre, half_axes = np.array([0.05, 0.0, 0.6]), np.array([0.25, 0.2, 0.12])
    dense = lit(Canopies([centre], [half_axes], [1e9]), points)
    opaque = lit(Canopies.none(), points, triangles=ellipsoid(centre, half_axes))
    free = np.linalg.norm(lit(Canopies.none(), points).vector, axis=2).max()
    off = np.abs(dense.vector - opaque.vector).max() / free
    dark = (np.linalg.norm(opaque.vector, axis=2) < 0.5 * free).mean()
    print(f"off by up to {off:.1e} of the unshaded light; {dark:.0%} of the points more than half dark")
    assert off < 4e-4


def test_drawn_leaves_shade_a_tube_on_average_like_the_body():
    """Independent route, visibility exact: 60 plants of small leaves, five places below them.

    Within four standard errors of the mean over plants, plus 0.5 % of the unshaded light for leaves that
    have a size (12 x 8 mm in a crown of 30 cm). The vector is compared, so its direction too.
    """
    centre, half_axes, leaf_area = np.array([0.1, 0.0, 0.6]), np.array([0.15, 0.15, 0.15]), 0.12
    points = np.array([[0.1, 0, 0.2], [-0.1, 0.05, 0.3], [0.4, 0, 0.1], [0.1, 0.1, 0.4], [0.1, 0.0, 0.55]])
    body = Canopies([centre], [half_axes], [extinction_of_leaves(leaf_area, half_axes)])
    plants = np.array(
        [
            lit(
                Canopies.none(), points, triangles=leaf_cloud(centre, half_axes, leaf_area, 0.012, 0.008, s)
            ).vector[:, 0]
            for s in range(60)
        ]
    )
    free = np.linalg.norm(lit(Canopies.none(), points).vector[:, 0], axis=1, keepdims=True)
    error = plants.std(axis=0, ddof=1) / np.sqrt(len(plants))
    got = lit(body, points).vector[:, 0]
    print("leaves\n", (plants.mean(axis=0) / free).round(4), "\nbody\n", (got / free).round(4))
    assert (np.abs(got - plants.mean(axis=0)) <= 4 * error + 0.005 * free).all()


def test_the_vector_leans_to_where_it_is_free():
    """A body before one half of the tube turns the light to the other half."""
    tube = LineEmitter([-0.5, 0, 1], [0.5, 0, 1], [0, 0, -1], strip_law())
    got = lit(Canopies([[0.3, 0, 0.7]], [[0.25, 0.3, 0.15]], [12.0]), [0.0, 0.0, 0.2], tube=tube).vector[0, 0]
    free = lit(Canopies.none(), [0.0, 0.0, 0.2], tube=tube).vector[0, 0]
    assert free == pytest.approx([0, 0, free[2]], abs=1e-12)
    assert got[0] < -0.05 * free[2]
    assert got[1] == pytest.approx(0, abs=1e-12)
    assert 0.4 * free[2] < got[2] < free[2]


@settings(max_examples=30, deadline=None, derandomize=True)
@given(seed=SEEDS, scale=st.floats(0.3, 4.0), more=st.floats(1.0, 5.0))
def test_scale_and_order_of_shade(seed, scale, more):
    """A scene s times as large, leaves s times as far apart: 1 / s^2 (1e-9). Denser leaves never brighten."""
    rng = np.random.default_rng(seed)
    bodies = some(rng)
    triangles = cloud(rng, 10, low=(-0.5, -0.5, 0.3), high=(0.5, 0.5, 0.9))
    points, normals = rng.uniform([-0.5, -0.4, 0.0], [0.5, 0.4, 0.9], (10, 3)), unit_normals(rng, 10)
    got = lit(bodies, points, normals, triangles=triangles)
    large = Canopies(scale * bodies.centre, scale * bodies.half_axes, bodies.extinction / scale)
    tube = LineEmitter(scale * TUBE.start, scale * TUBE.end, TUBE.aim, TUBE.azimuth_weight)
    far = lit(large, scale * points, normals, tube=tube, triangles=scale * triangles)
    assert far.vector * scale**2 == pytest.approx(got.vector, rel=1e-9, abs=1e-9)
    denser = lit(
        Canopies(bodies.centre, bodies.half_axes, more * bodies.extinction),
        points,
        normals,
        triangles=triangles,
    )
    unshaded = np.linalg.norm(lit(Canopies.none(), points, normals).vector, axis=2)
    assert (denser.facing <= got.facing + 1e-5 * unshaded).all()


def test_sheets_before_leaves_keep_their_share():
    """A sheet that does nothing, cut anywhere along the tube: its masks add up to the light without it, 1e-4."""
    rng = np.random.default_rng(12)
    points, bodies = rng.uniform([-0.5, -0.4, 0.0], [0.5, 0.4, 0.3], (40, 3)), some(rng)
    sheets = Media([[-0.2, -0.5, 0.95]], [[0.5, 0, 0]], [[0, 1.0, 0]], [2], [0], [[0, 0]])
    got, whole = lit(bodies, points, media=sheets), lit(bodies, points)
    free = np.linalg.norm(lit(Canopies.none(), points).vector[:, 0], axis=1)
    off = (np.abs(got.vector.sum(axis=1) - whole.vector[:, 0]).max(axis=1) / free).max()
    print(f"off by up to {off:.1e} of the unshaded light")
    assert got.groups.tolist() == [0, 4]
    assert off < 1e-4
    # A pane of air has a law to integrate, and its law is 1: the quadrature over both is that of one.
    air = Media([[-2, -2, 0.95]], [[4, 0, 0]], [[0, 4, 0]], [0], [2], [[1.0, 0]])
    assert lit(bodies, points, media=air).vector.sum(axis=1) == pytest.approx(whole.vector[:, 0], abs=1e-9)


def test_threads_and_order_change_nothing(monkeypatch):
    """The same bits from one thread or three, in chunks of 7 or all at once, forwards or backwards."""
    rng = np.random.default_rng(13)
    points, bodies = rng.uniform([-0.5, -0.4, 0.0], [0.5, 0.4, 0.9], (100, 3)), some(rng)
    expected = lit(bodies, points, threads=1).vector
    monkeypatch.setattr(receive, "CHUNK", 7)
    assert np.array_equal(lit(bodies, points[::-1], threads=3).vector[::-1], expected)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(seed=SEEDS, share=st.floats(0, 1))
def test_bodies_of_lamps_hide_like_all_triangles(seed, share):
    """Whatever part of the triangles stands in the second tree, the light is the same; 1e-12."""
    rng = np.random.default_rng(seed)
    triangles = cloud(rng, 30, low=(-0.5, -0.5, 0.3), high=(0.5, 0.5, 0.9))
    points = rng.uniform([-0.5, -0.4, 0.0], [0.5, 0.4, 0.9], (10, 3))
    up = np.tile([0, 0, 1.0], (10, 1))
    cut = round(share * len(triangles))
    apart = Scene(build_bvh(triangles[:cut]), Media.none(), bodies=build_bvh(triangles[cut:]))
    got = line_transfer(apart, TUBE, points, up)
    expected = line_transfer(Scene(build_bvh(triangles), Media.none()), TUBE, points, up)
    assert got.vector == pytest.approx(expected.vector, rel=1e-12, abs=1e-12)


def test_a_lamp_behind_a_lamp_is_dark():
    """A second tree that hides all, alone and behind leaves."""
    plate = build_bvh(rectangle([-5, -5, 0.9], [10, 0, 0], [0, 10, 0]))
    for canopies in (Canopies.none(), Canopies([[0, 0, 0.5]], [[0.2, 0.2, 0.2]], [5.0])):
        scene = Scene(EMPTY, Media.none(), bodies=plate, canopies=canopies)
        assert (line_transfer(scene, TUBE, [[0, 0, 0.1]], [[0, 0, 1]]).vector == 0).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Canopies([[0, 0, 0]], [[1, 1, 0]], [1]), "half axes of canopy 0 must be above zero; got"),
        (lambda: Canopies([[0, 0, np.nan]], [[1, 1, 1]], [1]), "centre of canopy 0 must be finite; got"),
        (lambda: Canopies([[0, 0, 0]] * 2, [[1, 1, 1]] * 2, [1, -2]), "extinction of canopy 1 must be zero or more; got -2"),
        (lambda: Canopies([[0, 0, 0]], [[1, 1, 1]], [1, 2]), r"extinctions \(k,\); got \(1, 3\), \(1, 3\) and \(2,\)"),
        (lambda: chord_lengths(Canopies.none(), [[0, 0, 0]], [[0, 0, 0]] * 2), r"shape \(r, 3\); got \(1, 3\) and \(2, 3\)"),
        (lambda: extinction_of_leaves(-1.0, [1, 1, 1]), "leaf area must be zero or more; got -1"),
        (lambda: extinction_of_leaves(1.0, [1, 1]), "half axes must be three lengths above zero; got"),
        (lambda: extinction_of_leaves(1.0, [1, 1, 1], 1.5), "projection of a leaf must be 0 to 1; got 1.5"),
    ],
)  # fmt: skip
def test_what_means_nothing_is_refused_with_its_number(call, message):
    """The message names the argument, what was needed, and what came."""
    with pytest.raises(DomainError, match=message):
        call()


def test_bodies_are_kept_as_they_were_given():
    """Arrays are copies that nobody can write to; no bodies is a scene too."""
    centre = np.zeros((1, 3))
    body = Canopies(centre, np.ones((1, 3)), np.ones(1))
    centre[:] = 9.0
    assert (body.centre == 0).all()
    with pytest.raises(ValueError, match="read-only"):
        body.extinction[0] = 2.0
    assert (len(body), len(Canopies.none())) == (1, 0)
    assert chord_lengths(Canopies.none(), np.zeros((4, 3)), np.ones((4, 3))).shape == (4, 0)
