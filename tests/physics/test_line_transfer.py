"""Light of a line through the engine: closed forms, brute force, conservation, media."""

from itertools import pairwise
from math import pi, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from oracles.scenes import cloud, hits, rectangle, unit_normals
from sunfleck.geometry.bvh import build_bvh
from sunfleck.physics import sources
from sunfleck.physics.emitters import LineEmitter, bare_tube_law, reflector_law, strip_law
from sunfleck.physics.media import Media, mesh_transmittance, pane_transmittance
from sunfleck.physics.transport import Scene, line_transfer

DOWN = np.array([0.0, 0.0, -1.0])
OPEN = Scene(build_bvh([]), Media.none())


def bare(start, end):
    return LineEmitter(start, end, [0.3, 0.1, -1.0], bare_tube_law())


@settings(max_examples=80, deadline=None, derandomize=True)
@given(
    length=st.floats(0.05, 3.0),
    distance=st.floats(0.005, 3.0),
    offset=st.floats(-3.0, 3.0),
    turn=st.floats(0, 6.28),
)
def test_a_bare_tube_is_the_closed_form(length, distance, offset, turn):
    """Keitz/Moon through the engine, squarely and along the line, from every side, to 1e-9."""
    around = np.array([0.0, np.cos(turn), np.sin(turn)])
    along = np.array([1.0, 0.0, 0.0])
    point = offset * along + distance * around
    tube = bare([-length / 2, 0, 0], [length / 2, 0, 0])
    got = line_transfer(OPEN, tube, [point] * 3, [-around, along, -along])
    squarely = float(sources.tube_irradiance(1.0, length, distance, offset))
    assert got.facing[0, 0] == pytest.approx(squarely, rel=1e-9, abs=1e-12)
    assert -got.vector[0, 0] @ around == pytest.approx(squarely, rel=1e-9, abs=1e-12)
    # Facing along the line: the parts to either side of the receiver, each opposite its own end.
    ends = {+1: length / 2 - offset, -1: length / 2 + offset}
    for row, sign in ((1, +1), (2, -1)):
        intensity = 1 / (pi**2 * length)
        reach, hidden = ends[sign], -ends[-sign]
        expected = 0.0
        if reach > 0:
            expected = float(sources.line_irradiance_perpendicular(intensity, reach, distance))
            if hidden > 0:
                expected -= float(sources.line_irradiance_perpendicular(intensity, hidden, distance))
        assert got.facing[row, 0] == pytest.approx(expected, rel=1e-9, abs=1e-11)


@pytest.mark.parametrize(("length", "distance"), [(1, 1), (0.5, 0.3), (1.2, 0.3), (0.3, 1), (100, 1)])
def test_opposite_one_end_it_is_the_table(length, distance):
    """Both planes of the diffuse line source (IES aspect factors), through the engine, to 1e-9."""
    got = line_transfer(
        OPEN, bare([0, 0, 0], [length, 0, 0]), [[0, 0, -distance]] * 2, [[0, 0, 1], [1, 0, 0]]
    )
    scale = pi**2 * length
    parallel = sources.line_irradiance_parallel(1.0, length, distance)
    perpendicular = sources.line_irradiance_perpendicular(1.0, length, distance)
    assert got.facing[:, 0] * scale == pytest.approx([float(parallel), float(perpendicular)], rel=1e-9)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6))
def test_the_receivers_horizon_is_cut_exactly(seed):
    """A plane tilted anyhow sees only what is above it: quadrature with a break at the horizon, 1e-9."""
    rng = np.random.default_rng(seed)
    point, normal = rng.uniform(-0.8, 0.8, 3), unit_normals(rng, 1)[0]
    tube = LineEmitter([-0.5, 0, 0], [0.5, 0, 0], DOWN, strip_law())
    got = line_transfer(OPEN, tube, [point], [normal]).facing[0, 0]
    d = np.hypot(point[1], point[2])
    azimuth = np.degrees(np.arccos(np.clip(-point[2] / d, -1, 1)))
    weight = np.interp(azimuth, np.arange(181), tube.azimuth_weight)

    def slice_of(s):
        ray = np.array([s, 0, 0]) - point
        r = np.linalg.norm(ray)
        return weight / pi**2 * d / r * max(0.0, ray @ normal) / r**3

    rise = (point @ normal) / normal[0] if normal[0] else 9.0
    expected, _ = quad(
        slice_of, -0.5, 0.5, points=[p for p in (rise, point[0]) if abs(p) < 0.5], epsabs=1e-13
    )
    assert got == pytest.approx(expected, rel=1e-9, abs=1e-10)


@pytest.mark.parametrize("law", [bare_tube_law(), strip_law(), reflector_law(radians(80))])
def test_a_closed_box_catches_one_watt(law):
    """Conservation: facing irradiance over six walls adds up to the lamp's watt, to 1e-5.

    8 x 8 panels of 6 x 6 Gauss nodes a wall; the straight pieces of the law are what is left over.
    """
    nodes, weights = np.polynomial.legendre.leggauss(6)
    place = ((np.arange(8)[:, None] + 0.5 + 0.5 * nodes) / 8).ravel()
    share = np.tile(weights / 16, 8)
    size = np.array([1.0, 0.6, 0.7])
    tube = LineEmitter([0.2, 0.3, 0.45], [0.75, 0.25, 0.5], DOWN, law)
    caught = 0.0
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        for end in (0, 1):
            points = np.zeros((place.size, place.size, 3))
            points[..., axis] = end * size[axis]
            points[..., u], points[..., v] = place[:, None] * size[u], place[None, :] * size[v]
            normal = np.zeros(3)
            normal[axis] = 1 - 2 * end
            facing = line_transfer(
                OPEN, tube, points.reshape(-1, 3), np.tile(normal, (place.size**2, 1))
            ).facing
            area = size[u] * size[v]
            caught += area * (share[:, None] * share * facing[:, 0].reshape(place.size, -1)).sum()
    assert caught == pytest.approx(1.0, rel=1e-5)


@settings(max_examples=12, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6))
def test_blocked_intervals_agree_with_brute_force(seed):
    """Random clouds: 4,000 ways to the line against every triangle, no tree and no intervals.

    A midpoint sum is off by at most half a step of the integrand at each of the edges it meets.
    """
    rng = np.random.default_rng(seed)
    triangles = cloud(rng, 40, size=0.25)
    tube = bare([-0.2, 0.4, 1.3], [1.2, 0.6, 1.25])
    point, normal = rng.uniform(0.2, 0.8, 3), np.array([0.0, 0.0, 1.0])
    steps = 4000
    place = tube.start + ((np.arange(steps) + 0.5) / steps)[:, None] * (tube.end - tube.start)
    free = ~hits(triangles, np.tile(point, (steps, 1)), place).any(axis=1)
    ray = place - point
    r = np.linalg.norm(ray, axis=1, keepdims=True)
    axis = (tube.end - tube.start) / tube.length
    cosine = np.linalg.norm(np.cross(ray / r, axis), axis=1, keepdims=True)
    parts = cosine * ray / r**3 / pi**2
    got = line_transfer(Scene(build_bvh(triangles), Media.none()), tube, [point], [normal])
    edges = np.count_nonzero(np.diff(free)) + 1
    tolerance = (0.5 * edges + 1) * np.abs(parts).max() / steps
    assert got.vector[0, 0] == pytest.approx((parts * free[:, None]).mean(axis=0), abs=tolerance)


def test_hundreds_of_separate_shadows_are_all_kept():
    """300 slats with gaps leave 300 gaps: the list of intervals grows past its first 64."""
    count = 300
    pitch = 1.0 / count
    slats = [
        rectangle([k * pitch, -0.1, -0.1], [pitch / 2, 0, 0], [0, 0.2, 0]) for k in range(count)
    ]  # just below the line, so that the shadow is the slat's own width times 1 / 0.9
    tube = bare([0, 0, 0], [1, 0, 0])
    point = [0.5, 0.0, -1.0]
    got = line_transfer(Scene(build_bvh(np.concatenate(slats)), Media.none()), tube, [point], [[0, 0, 1]])
    expected = 0.0
    gaps = [((k + 0.5) * pitch, (k + 1) * pitch) for k in range(count)]
    gaps[-1] = (gaps[-1][0], 2.0)
    gaps.insert(0, (-1.0, 0.0))
    for low, high in gaps:
        a, b = (np.clip((x - 0.5) / 0.9 + 0.5, 0, 1) for x in (low, high))
        if b > a:
            angle = np.arctan([a - 0.5, b - 0.5])
            expected += np.diff(angle + np.sin(angle) * np.cos(angle))[0] / (2 * pi**2)
    assert got.facing[0, 0] == pytest.approx(expected, rel=1e-9)


def test_a_leaf_of_two_triangles_leaks_nothing():
    """A quad hides the line whole, wherever the diagonal falls: nothing shines through shared edges."""
    rng = np.random.default_rng(5)
    quad_ = rectangle([-2, -2, 0.5], [4, 0, 0], [0, 4, 0])
    points = rng.uniform([-0.5, -0.5, 0], [0.5, 0.5, 0.4], (500, 3))
    points[:100, 1] = points[:100, 0]  # on the diagonal
    tube = bare([-0.5, -0.5, 1.0], [0.5, 0.5, 1.0])
    got = line_transfer(Scene(build_bvh(quad_), Media.none()), tube, points, np.tile([0, 0, 1.0], (500, 1)))
    assert np.abs(got.vector).max() < 1e-12


def test_a_receiver_on_the_line_or_its_extension_gets_a_number():
    """No NaN: beyond the ends a thin line is not seen, on it the light is that from a micrometre away."""
    tube = bare([0, 0, 0], [1, 0, 0])
    points = [[0.5, 0, 0], [-0.3, 0, 0], [1.5, 0, 0], [0, 0, 0], [1, 0, 0], [0.5, 1e-9, 0]]
    got = line_transfer(OPEN, tube, points, [[0, 0, 1.0]] * 6)
    assert np.isfinite(got.vector).all()
    assert np.isfinite(got.facing).all()
    assert np.abs(got.vector[1:3]).max() < 1e-5
    near = 1 / (2 * pi * 1.0 * 1e-6)
    assert np.linalg.norm(got.vector[0, 0]) == pytest.approx(near, rel=1e-5)


def test_a_lamp_flush_in_a_face_still_shines():
    """A strip that lies in the ceiling is not hidden by the ceiling."""
    ceiling = rectangle([-1, -1, 1.0], [3, 0, 0], [0, 3, 0])
    tube = LineEmitter([0, 0, 1.0], [1, 0, 1.0], DOWN, strip_law())
    below = np.random.default_rng(1).uniform([0, -0.5, 0], [1, 0.5, 0.9], (200, 3))
    up = np.tile([0, 0, 1.0], (200, 1))
    flush = line_transfer(Scene(build_bvh(ceiling), Media.none()), tube, below, up)
    assert flush.facing == pytest.approx(line_transfer(OPEN, tube, below, up).facing, rel=1e-12)


def sheet(law, parameters, group=0, origin=(-0.4, -0.5, 0.5), u=(1.1, 0, 0.2), v=(0, 1.0, 0)):
    return Media([origin], [u], [v], [group], [law], [parameters])


@pytest.mark.parametrize(
    ("law", "parameters"),
    [(0, (0, 0)), (1, (0.35, 0.2)), (1, (0.0, 0.5)), (1, (0.8, 0.7)), (2, (1.52, 0))],
    ids=str,
)
@pytest.mark.parametrize("seed", range(6))
def test_light_through_a_sheet_agrees_with_quadrature(law, parameters, seed):
    """Adaptive quadrature over the line, crossing asked slice by slice, the law from ``media``: 1e-8."""
    rng = np.random.default_rng(seed)
    media = sheet(law, parameters)
    u, v = (e[0] / np.linalg.norm(e[0]) for e in (media.edge_u, media.edge_v))
    n = np.cross(u, v)
    tube = bare([-0.7, 0.1, 1.0], [0.8, 0.2, 1.1])
    axis = (tube.end - tube.start) / tube.length
    point = rng.uniform([-0.5, -0.4, 0.0], [0.5, 0.4, 0.35])
    got = line_transfer(Scene(build_bvh([]), media), tube, [point], [[0, 0, 1.0]])

    def crossing(t):
        ray = tube.start + t * axis - point
        s = ((media.origin[0] - point) @ n) / (ray @ n)
        place = point + s * ray - media.origin[0]
        return 0 < s < 1 and 0 <= place @ u <= np.linalg.norm(media.edge_u) and 0 <= place @ v <= 1.0

    def slice_of(t, through):
        ray = tube.start + t * axis - point
        r = np.linalg.norm(ray)
        if crossing(t) != through:
            return 0.0
        weight = 1.0
        if through and law == 1:
            weight = float(mesh_transmittance(ray @ u, ray @ v, ray @ n, *parameters))
        if through and law == 2:
            weight = float(pane_transmittance(ray @ n / r, parameters[0]))
        return weight * np.linalg.norm(np.cross(ray / r, axis)) * ray[2] / r**3 / (pi**2 * tube.length)

    grid = np.linspace(0, tube.length, 3001)
    state = [(crossing(t), slice_of(t, True) > 0) for t in grid]
    breaks = [
        _edge(grid[k], grid[k + 1], k, state, crossing, slice_of)
        for k in range(3000)
        if state[k] != state[k + 1]
    ]
    for column, mask in enumerate(got.groups):
        ends = [0.0, *breaks, tube.length]
        expected = sum(
            quad(slice_of, a, b, args=(bool(mask),), epsabs=1e-12, epsrel=1e-11)[0] for a, b in pairwise(ends)
        )
        assert got.facing[0, column] == pytest.approx(expected, rel=1e-8, abs=1e-9)


def _edge(low, high, k, state, crossing, slice_of):
    """Where the state changes between two grid places, by halving."""
    for _ in range(60):
        middle = (low + high) / 2
        if (crossing(middle), slice_of(middle, True) > 0) == state[k]:
            low = middle
        else:
            high = middle
    return (low + high) / 2
