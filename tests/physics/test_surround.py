"""What surrounds places: even light, closed forms of lit rectangles, canopies on the way, order and threads."""

from math import exp, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.geometry.boxes import FACES, TURNED_OUT, Box, Rectangle, box_face
from sunfleck.geometry.leaves import leaf_cloud
from sunfleck.geometry.patches import Surface, patches_of
from sunfleck.geometry.rays import ray_scene
from sunfleck.physics.canopies import Canopies
from sunfleck.physics.exchange import exchange_of
from sunfleck.physics.patch_scene import PatchScene
from sunfleck.physics.sources import rectangle_factor_parallel, rectangle_factor_perpendicular
from sunfleck.physics.surround import even_directions, surround_of

X, Y, Z = np.eye(3)
ZERO = np.zeros(3)


def room(width, depth, height):
    """Six walls of a closed box, each a surface, in the order of FACES."""
    high = np.array([width, depth, height], dtype=float)
    faces = {face: box_face(ZERO, high, face) for face in FACES}
    return [Surface((p.turned() if f in TURNED_OUT else p).triangles(), "front") for f, p in faces.items()]


def normals(number, seed):
    ways = np.random.default_rng(seed).normal(size=(number, 3))
    return ways / np.linalg.norm(ways, axis=1)[:, None]


def furnished():
    """A room with a sheet, leaves and two canopies that overlap."""
    sheet = Surface(Box(np.array([0.1, 0.1, 0.1]), np.array([0.4, 0.3, 0.25])).triangles(("right",)), "both")
    leaves = Surface(leaf_cloud([0.75, 0.3, 0.3], [0.2, 0.2, 0.2], 0.1, 0.04, 0.02, seed=1), "leaf")
    canopies = Canopies(
        np.array([[0.3, 0.3, 0.6], [0.45, 0.35, 0.6]]),
        np.array([[0.2, 0.2, 0.15], [0.15, 0.2, 0.2]]),
        np.array([9.0, 14.0]),
    )
    return PatchScene(patches_of([*room(1.0, 0.6, 0.8), sheet, leaves], 0.15), canopies)


# --- even light -------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [256, 1024])
def test_even_light_falls_alike_on_every_plane(number):
    """In a closed box of one radiosity the irradiance is the same, to 0.3 % with 256 directions.

    Whatever stands in the box, if it has that radiosity too, and wherever a plane faces.
    """
    scene = furnished()
    random = np.random.default_rng(11)
    points = random.uniform([0.02, 0.02, 0.02], [0.98, 0.58, 0.78], (400, 3))
    found = surround_of(scene, points, number).irradiance(np.full(scene.outside, 50.0), normals(400, 12)) / 50
    print(
        f"{number}: off by {100 * (found - 1).std():.3f} % rms, {100 * np.abs(found - 1).max():.3f} % at most"
    )
    assert found == pytest.approx(1.0, abs=3e-3)


def test_the_set_of_directions_is_even():
    """No direction is preferred: the mean is zero and the mean square along any axis a third, to 1e-3."""
    ways = even_directions(256)
    assert np.linalg.norm(ways, axis=1) == pytest.approx(1.0, rel=1e-12)
    assert ways.mean(axis=0) == pytest.approx(np.zeros(3), abs=1e-3)
    assert ways.T @ ways / 256 == pytest.approx(np.eye(3) / 3, abs=1e-3)


def test_two_sides_of_a_plane_differ_by_the_vector():
    """E(n) - E(-n) is the component of the vector irradiance along n: an identity, to rounding."""
    scene = furnished()
    random = np.random.default_rng(5)
    points, n = random.uniform(0.05, 0.55, (200, 3)), normals(200, 6)
    radiosity = random.random(scene.outside)
    around = surround_of(scene, points, 128)
    two_sides = around.irradiance(radiosity, n) - around.irradiance(radiosity, -n)
    assert two_sides == pytest.approx(np.einsum("nx,nx->n", around.vector(radiosity), n), rel=1e-9, abs=1e-12)


def test_many_columns_are_so_many_single_ones():
    """Irradiances of several lamps at once equal those of each; what is linear is linear."""
    scene = furnished()
    points, n = np.random.default_rng(7).uniform(0.05, 0.55, (50, 3)), normals(50, 8)
    radiosity = np.random.default_rng(9).random((scene.outside, 4))
    around = surround_of(scene, points, 128)
    many = around.irradiance_many(radiosity, 3 * n)
    assert many == pytest.approx(np.stack([around.irradiance(b, n) for b in radiosity.T], axis=1), rel=1e-12)
    assert around.irradiance(radiosity.sum(axis=1), n) == pytest.approx(many.sum(axis=1), rel=1e-12)


def test_places_and_patches_agree():
    """What a floor gets from a bright wall: rays from the patches, rays from places, and the closed form.

    The mean over the floor of the factor to an element at right angles; 0.5 % each way.
    """
    scene = PatchScene(patches_of(room(1.0, 0.6, 0.8), 0.3))
    exchange = exchange_of(scene, 16_384)
    bottom = scene.patches.surface == FACES.index("bottom")
    radiosity = (scene.patches.surface == FACES.index("left")) * 1.0
    i = np.arange(4096)
    x, y = (i + 0.5) / 4096, (i * 0.6180339887498949) % 1 * 0.6
    points = np.stack([x, y, np.zeros(4096)], axis=1)
    places = surround_of(scene, points, 256).irradiance(radiosity, np.tile(Z, (4096, 1))).mean()
    patches = (exchange.conductance[:-1, :-1] @ radiosity)[bottom].sum() / 0.6
    x, y = np.meshgrid((np.arange(4000) + 0.5) / 4000, (np.arange(100) + 0.5) / 100 * 0.6)
    expected = 2 * rectangle_factor_perpendicular(0.8, y, x).mean()
    print(f"places {places:.6f}, patches {patches:.6f}, closed form {expected:.6f}")
    assert places == pytest.approx(expected, rel=5e-3)
    assert patches == pytest.approx(expected, rel=5e-3)


# --- lit rectangles, CIE 171:2006 -------------------------------------------------------------------
# CIE 171:2006, Test Cases to Assess the Accuracy of Lighting Computer Programs, cases 5.6 and 5.7 (set-ups
# from memory): a diffuse piece of floor under even light, in a black room, and what comes from it to
# points of a wall and of the ceiling. The case's own table for 5.7 is known to be wrong and is not used.

LIT = 2.0  # the lit square's side, in the middle of the floor of a room of 4 m by 4 m by 3 m
RAYS = 262_144


def lit_floor():
    low = np.array([2 - LIT / 2, 2 - LIT / 2, 0.0])
    return Surface(Rectangle(low, LIT * X, LIT * Y).triangles(), "front")


def from_corners(factor, first, second, *rest):
    """A rectangle from (first[0], second[0]) to (first[1], second[1]) by rectangles with a corner at 0."""
    part = lambda a, b: np.sign(a) * np.sign(b) * factor(abs(a), abs(b), *rest) if a and b else 0.0  # noqa: E731
    (a0, a1), (b0, b1) = first, second
    return part(a1, b1) - part(a0, b1) - part(a1, b0) + part(a0, b0)


@pytest.mark.parametrize("x", [2.0, 2.25, 2.5, 3.0, 3.5, 4.0])
def test_diffuse_reflection_to_the_ceiling(x):
    """Case 5.6, elements that face the lit square from 3 m above; closed form, 0.5 % with 262,144 rays."""
    edges = (2 - LIT / 2 - x, 2 + LIT / 2 - x)
    expected = from_corners(rectangle_factor_parallel, edges, (-LIT / 2, LIT / 2), 3.0)
    scene = PatchScene(patches_of([lit_floor()], 5.0))
    found = surround_of(scene, [[x, 2.0, 3.0]], RAYS).irradiance([1.0], [-Z])[0]
    print(f"ceiling at {x} m: {found:.7f}, {100 * (found / expected - 1):+.3f} %")
    assert found == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize("height", [0.25, 0.75, 1.5, 2.75])
def test_diffuse_reflection_to_a_wall(height):
    """Case 5.6, elements of the wall x = 0 at right angles to the lit square; closed form, 0.5 %."""
    # Along the element's normal the square reaches from 1 m to 3 m.
    half = 2 * np.array([rectangle_factor_perpendicular(2 + s * LIT / 2, LIT / 2, height) for s in (-1, 1)])
    expected = half[1] - half[0]
    scene = PatchScene(patches_of([lit_floor()], 5.0))
    found = surround_of(scene, [[0.0, 2.0, height]], RAYS).irradiance([1.0], [X])[0]
    print(f"wall at {height} m: {found:.7f}, {100 * (found / expected - 1):+.3f} %")
    assert found == pytest.approx(expected, rel=5e-3)


PANEL = (np.array([1.2, 1.4, 1.0]), np.array([2.4, 3.2, 1.0]))  # low and high corner of a black panel


def past_the_panel(point, normal):
    """Irradiance over radiosity by midpoints of 800 by 800 pieces of the square, those behind the panel out."""
    side = 2 - LIT / 2 + (np.arange(800) + 0.5) * LIT / 800
    place = np.stack([*np.meshgrid(side, side), np.zeros((800, 800))], axis=-1)
    way = point - place
    squared = (way**2).sum(axis=-1)
    at_panel = place + way * (PANEL[0][2] / point[2])
    hidden = ((at_panel > PANEL[0]) & (at_panel < PANEL[1]))[..., :2].all(axis=-1) & (point[2] > PANEL[0][2])
    kernel = way[..., 2] * np.maximum(-(way @ normal), 0.0) / (pi * squared**2)
    return (kernel * ~hidden).sum() * (LIT / 800) ** 2


@pytest.mark.parametrize(
    ("point", "normal"),
    [([2.0, 2.0, 3.0], -Z), ([1.5, 2.0, 3.0], -Z), ([2.6, 2.2, 3.0], -Z), ([0.0, 2.0, 0.75], X), ([0.0, 2.0, 2.0], X), ([4.0, 2.4, 1.5], -X)],
)  # fmt: skip
def test_diffuse_reflection_with_obstruction(point, normal):
    """Case 5.7, a black panel between: against a quadrature of its own; 0.5 % of the free irradiance."""
    sheet = Rectangle(PANEL[0], (PANEL[1] - PANEL[0]) * X, (PANEL[1] - PANEL[0]) * Y)
    scene = PatchScene(patches_of([lit_floor(), Surface(sheet.triangles(), "both")], 5.0))
    point = np.array(point)
    expected = past_the_panel(point, normal)
    free = PatchScene(patches_of([lit_floor()], 5.0))
    whole = surround_of(free, [point], RAYS).irradiance([1.0], [normal])[0]
    found = surround_of(scene, [point], RAYS).irradiance([1.0, 0.0, 0.0], [normal])[0]
    print(
        f"{point}: {found:.7f} for {expected:.7f} of {whole:.7f}, off by {100 * (found - expected) / whole:+.3f} %"
    )
    assert found == pytest.approx(expected, abs=5e-3 * whole)


# --- canopies on the way ----------------------------------------------------------------------------


def ended(canopies, origin, direction, number=20_000, surfaces=()):
    """Share of rays along one way that end at each patch, canopy and outside."""
    scene = PatchScene(patches_of(list(surfaces), 5.0), canopies)
    chance = (np.arange(number) + 0.5) / number
    ends = scene.first_event(np.tile(origin, (number, 1)), np.tile(direction, (number, 1)), chance)
    return np.bincount(ends, minlength=scene.outside + 1) / number


def test_one_canopy_catches_by_its_chord():
    """1 - exp(-k L) along the chord L, also from within and in front of a wall; to 1e-4, half a ray."""
    one = Canopies(np.array([[1.0, 0, 0]]), np.array([[0.3, 0.2, 0.2]]), np.array([4.0]))
    assert ended(one, ZERO, 2 * X) == pytest.approx([1 - exp(-2.4), exp(-2.4)], abs=1e-4)
    assert ended(one, X, X) == pytest.approx([1 - exp(-1.2), exp(-1.2)], abs=1e-4)
    assert ended(one, ZERO, -X).tolist() == [0.0, 1.0]
    wall = Surface(Rectangle(np.array([1.1, -1, -1]), 2 * Z, 2 * Y).triangles(), "front")
    assert ended(one, ZERO, X, surfaces=[wall]) == pytest.approx([exp(-1.6), 1 - exp(-1.6), 0], abs=1e-4)
    # Off the axis, where a half of the ellipsoid's height is left of the chord.
    chord = 0.6 * np.sqrt(0.75)
    assert ended(one, [0, 0, 0.1], X)[0] == pytest.approx(1 - exp(-4 * chord), abs=1e-4)


def test_canopies_one_behind_the_other():
    """The second gets what the first lets through, from either end."""
    two = Canopies(np.array([[2.0, 0, 0], [1.0, 0, 0]]), np.full((2, 3), 0.25), np.array([6.0, 3.0]))
    t0, t1 = exp(-3.0), exp(-1.5)
    assert ended(two, ZERO, X) == pytest.approx([t1 * (1 - t0), 1 - t1, t0 * t1], abs=1e-4)
    assert ended(two, 3 * X, -X) == pytest.approx([1 - t0, t0 * (1 - t1), t0 * t1], abs=1e-4)


def test_canopies_that_overlap_share_by_extinction():
    """Where they overlap both take in proportion to their extinction; outside of that each for itself."""
    both = Canopies(np.zeros((2, 3)), np.full((2, 3), 0.5), np.array([1.0, 3.0]))
    caught = 1 - exp(-4.0)
    assert ended(both, -X, X) == pytest.approx([caught / 4, caught * 3 / 4, exp(-4.0)], abs=2e-4)
    # From -0.5 the first alone for 0.3, then both for 0.7, then the second alone for 0.3.
    apart = Canopies(np.array([ZERO, 0.3 * X]), np.full((2, 3), 0.5), np.array([1.0, 3.0]))
    alone, together, last = 1 - exp(-0.3), exp(-0.3) * (1 - exp(-2.8)), exp(-3.1) * (1 - exp(-0.9))
    expected = [alone + together / 4, together * 3 / 4 + last, exp(-4.0)]
    assert ended(apart, -X, X) == pytest.approx(expected, abs=2e-4)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(seed=st.integers(0, 2**32 - 1), k=st.integers(1, 6))
def test_what_gets_through_any_canopies(seed, k):
    """Each canopy catches its share of what is left along the ray, by 5000 steps along it; to 0.2 %."""
    random = np.random.default_rng(seed)
    centre, half = random.uniform(-0.3, 0.3, (k, 3)), random.uniform(0.1, 0.5, (k, 3))
    canopies = Canopies(centre, half, random.uniform(0.2, 4.0, k))
    begin, end = random.uniform(-1, 1, (2, 3))
    steps = begin + (np.arange(5000)[:, None] + 0.5) / 5000 * (end - begin)
    within = (((steps[:, None] - centre) / half) ** 2).sum(axis=2) < 1
    length = np.linalg.norm(end - begin)
    density = within * canopies.extinction * length / 5000
    depth = np.cumsum(density.sum(axis=1))
    # What is left in the middle of each step.
    expected = np.exp(density.sum(axis=1) / 2 - depth) @ density
    way = (end - begin) / length
    u = np.cross(way, X)
    u /= np.linalg.norm(u)
    v = np.cross(way, u)
    wall = Surface(Rectangle(end - u - v, 2 * v, 2 * u).triangles(), "front")
    found = ended(canopies, begin, way, 5000, [wall])
    assert found[0] == pytest.approx(exp(-depth[-1]), abs=2e-3)
    assert found[1:-1] == pytest.approx(expected, abs=2e-3)
    assert found[-1] == 0


def test_light_through_a_canopy():
    """A black canopy before a bright wall: the plane behind it gets exp(-k L) along each direction.

    Against quadrature over the canopy's shadow: a ball of radius 0.1, 0.3 m away on the normal, where the
    chord at the angle t is 2 sqrt(R^2 - D^2 sin^2 t); 0.5 % with 262,144 directions.
    """
    ball = Canopies(np.array([[0.5, 0.5, 0.5]]), np.full((1, 3), 0.1), np.array([10.0]))
    scene = PatchScene(patches_of(room(1, 1, 1), 1.0), ball)
    t = (np.arange(20_000) + 0.5) / 20_000 * pi / 2
    chord = 2 * np.sqrt(np.maximum(0.1**2 - (0.3 * np.sin(t)) ** 2, 0.0))
    expected = (2 * np.exp(-10 * chord) * np.sin(t) * np.cos(t)).sum() * pi / 2 / 20_000
    radiosity = np.append(np.ones(6), 0.0)
    found = surround_of(scene, [[0.5, 0.5, 0.2]], RAYS).irradiance(radiosity, [Z])[0]
    print(f"through a canopy {found:.6f}, by quadrature {expected:.6f}")
    assert found == pytest.approx(expected, rel=5e-3)
    assert 1 - found == pytest.approx(1 - expected, rel=2e-2)


# --- independence of what does not matter -----------------------------------------------------------


def test_order_company_and_threads_change_nothing():
    """A place sees the same alone, among others, in another order and by any number of threads."""
    scene = furnished()
    points = np.random.default_rng(2).uniform(0.05, 0.55, (700, 3))
    all_at_once = surround_of(scene, points, 256, threads=3)
    order = np.random.default_rng(3).permutation(700)
    mixed = surround_of(scene, points[order], 256, threads=1)
    assert (mixed.patch == all_at_once.patch[order]).all()
    assert (mixed.turn == all_at_once.turn[order]).all()
    alone = surround_of(scene, points[[123]], 256)
    assert (alone.patch[0] == all_at_once.patch[123]).all()
    # A rounding error of the coordinates does not turn the directions.
    assert (surround_of(scene, points[[123]] + 1e-12, 256).turn == alone.turn).all()


def test_the_two_engines_for_rays_agree():
    """Of 100 places' rays fewer than one in 1000 end at another patch: those that graze an edge."""
    scene = furnished()
    own = PatchScene(scene.patches, scene.canopies, ray_scene(scene.patches.triangles, library=False))
    points = np.random.default_rng(4).uniform(0.05, 0.55, (100, 3))
    one, other = (surround_of(s, points, 256).patch for s in (scene, own))
    assert (one != other).mean() < 1e-3


def test_unknown_places_stay_unknown():
    """NaN in a place or normal gives NaN there and nowhere else."""
    scene = furnished()
    points = np.array([[0.5, 0.3, 0.4], [np.nan, 0, 0], [0.5, 0.3, np.inf], [0.5, 0.3, 0.5]])
    around = surround_of(scene, points, 64)
    assert around.known.tolist() == [True, False, False, True]
    ways = np.array([Z, Z, Z, [np.nan, 0, 1]])
    light = around.irradiance(np.ones(scene.outside), ways)
    assert np.isnan(light).tolist() == [False, True, True, True]
    assert np.isnan(around.vector(np.ones(scene.outside))).all(axis=1).tolist() == [False, True, True, False]
    assert surround_of(scene, np.zeros((0, 3))).irradiance(
        np.ones(scene.outside), np.zeros((0, 3))
    ).shape == (0,)


def test_nothing_around_is_dark():
    """No patch at all: everything is outside, from which no light comes."""
    around = surround_of(PatchScene(patches_of([], 1.0)), [[0, 0, 0]], 16)
    assert (around.patch == 0).all()
    assert around.irradiance([], [Z]).tolist() == [0.0]


def test_black_sides_are_dark():
    """From behind a wall its black side is met: outside, though a triangle is there."""
    scene = PatchScene(patches_of([Surface(Rectangle(ZERO, X, Y).triangles(), "front")], 2.0))
    above, below = surround_of(scene, [[0.5, 0.5, 0.1], [0.5, 0.5, -0.1]], 256).irradiance([1.0], [-Z, Z])
    assert above > 0.9
    assert below == 0


ROOM = PatchScene(patches_of(room(1, 1, 1), 1.0))
ONE = surround_of(ROOM, [[0.5, 0.5, 0.5]], 16)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: surround_of(ROOM, [0.5, 0.5, 0.5]), r"points must have the shape \(n, 3\); got \(3,\)"),
        (lambda: surround_of(ROOM, [[0, 0, 0]], 0), "number of directions must be above zero; got 0"),
        (
            lambda: ONE.irradiance(np.ones(5), [Z]),
            r"one radiosity for each of 6 patches; got the shape \(5, 1\)",
        ),
        (lambda: ONE.irradiance(np.ones((6, 1)), [Z]), r"one number for each patch; got the shape \(6, 1\)"),
        (lambda: ONE.irradiance(np.ones(6), [Z, Z]), r"one normal for each place, \(1, 3\); got \(2, 3\)"),
        (lambda: ONE.irradiance(np.ones(6), [ZERO]), "normals must have a length above zero; got 0"),
        (lambda: ONE.vector(np.ones(7)), "one radiosity for each of 6 patches"),
    ],
)
def test_refusals(call, message):
    """What is wrong is said with its number."""
    with pytest.raises(DomainError, match=message):
        call()
