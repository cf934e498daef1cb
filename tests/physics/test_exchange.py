"""Exchange between patches: closed and symmetric, the catalogue's factors, every watt accounted for."""

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
from sunfleck.physics.exchange import Exchange, exchange_of, interreflect
from sunfleck.physics.patch_scene import PatchScene

X, Y, Z = np.eye(3)
ZERO = np.zeros(3)


def rectangle(origin, edge_u, edge_v, sides="front"):
    """Faces along edge_u x edge_v."""
    return Surface(Rectangle(np.array(origin, dtype=float), edge_u, edge_v).triangles(), sides)


def disc(radius, height, up):
    """A polygon of 180 sides with the area of the disc."""
    turn = np.arange(180) * 2 * pi / 180 * (1 if up else -1)
    fair = radius * np.sqrt(2 * pi / 180 / np.sin(2 * pi / 180))
    rim = np.stack([fair * np.cos(turn), fair * np.sin(turn), np.full(180, float(height))], axis=1)
    return Surface(
        np.stack([np.tile([0.0, 0.0, height], (180, 1)), rim, np.roll(rim, -1, axis=0)], axis=1), "front"
    )


def room(width, depth, height):
    """Six walls of a closed box, each a surface, in the order of FACES."""
    high = np.array([width, depth, height], dtype=float)
    faces = {face: box_face(ZERO, high, face) for face in FACES}
    return [Surface((p.turned() if f in TURNED_OUT else p).triangles(), "front") for f, p in faces.items()]


def factors(surfaces, size, number, canopies=None, most=4000):
    """Factors between whole surfaces, (s, s), and the exchange they are sums of."""
    scene = PatchScene(patches_of(surfaces, size, most), canopies or Canopies.none())
    exchange = exchange_of(scene, number)
    of = np.eye(len(surfaces))[scene.patches.surface]
    p = len(scene.patches)
    return (of.T @ exchange.conductance[:p, :p] @ of) / (of.T @ exchange.area[:p])[:, None], exchange


def assert_closed(exchange):
    k = exchange.conductance
    assert (k >= 0).all()
    assert (k == k.T).all()
    assert k[:-1].sum(axis=1) == pytest.approx(exchange.area, rel=1e-9, abs=1e-15)
    assert k[-1, -1] == 0


# --- what holds whatever the rays met ---------------------------------------------------------------

LENGTH = st.floats(0.1, 2.0)
SHARE = st.floats(0.05, 0.45)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    w=LENGTH,
    d=LENGTH,
    h=LENGTH,
    low=st.tuples(SHARE, SHARE, SHARE),
    sides=st.sampled_from(["front", "both", "leaf"]),
    open_face=st.booleans(),
)
def test_closure_and_symmetry(w, d, h, low, sides, open_face):
    """Reciprocity to the last bit and closure to 1e-9 for a box in a box, open or not, by 64 rays."""
    walls = room(w, d, h)[open_face:]
    size = np.array([w, d, h])
    inner = Box(low * size, (np.array(low) + 0.4) * size).triangles()
    scene = PatchScene(patches_of([*walls, Surface(inner, sides)], 0.4, most=300))
    exchange = exchange_of(scene, 64)
    assert_closed(exchange)
    lost = exchange.conductance[-1].sum()
    if open_face:
        assert lost > 0
    else:
        assert lost == pytest.approx(0.0, abs=1e-3 * w * d)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 2**32 - 1), bounces=st.sampled_from([None, 1, 2, 5]), brightest=st.floats(0.0, 0.999)
)
def test_every_watt_is_absorbed_or_lost(seed, bounces, brightest):
    """Energy: absorbed and outside add up to what landed, to 1e-9, for any reflectances and bounces."""
    random = np.random.default_rng(seed)
    exchange = leaky_room()
    landed = random.random((len(exchange.area), 3)) * exchange.area[:, None]
    reflectance = random.uniform(0, brightest, len(exchange.area)) * random.integers(0, 2, len(exchange.area))
    radiosity, absorbed, outside = interreflect(exchange, reflectance, landed, bounces)
    assert absorbed.sum(axis=0) + outside == pytest.approx(landed.sum(axis=0), rel=1e-9)
    assert (absorbed >= -1e-12).all()
    assert (outside >= 0).all()
    assert (radiosity[reflectance == 0] == 0).all()
    arriving = landed + exchange.conductance[:-1, :-1] @ radiosity
    if bounces is None:
        # The balance of each patch, put into its equation again.
        leaving = exchange.area[:, None] * radiosity
        assert leaving == pytest.approx(reflectance[:, None] * arriving, rel=1e-9, abs=1e-15)
    more = interreflect(exchange, reflectance, landed)[0]
    fewer = interreflect(exchange, reflectance, landed, 1)[0]
    assert (fewer <= radiosity * (1 + 1e-12) + 1e-15).all()
    assert (radiosity <= more * (1 + 1e-12) + 1e-15).all()


def leaky_room(cache={}):  # noqa: B006 - made once
    if not cache:
        canopies = Canopies(np.array([[0.7, 0.3, 0.4]]), np.array([[0.2, 0.2, 0.3]]), np.array([6.0]))
        shelf = Surface(Box(np.array([0.1, 0.1, 0.2]), np.array([0.5, 0.4, 0.22])).triangles(), "front")
        cache["it"] = factors([*room(1.0, 0.6, 0.8)[1:], shelf], 0.25, 128, canopies)[1]
    return cache["it"]


def test_one_bounce_is_what_landed():
    """One bounce: the radiosity is the reflectance times what landed per area, nothing else."""
    exchange = leaky_room()
    landed = np.linspace(0, 1, len(exchange.area))[:, None]
    radiosity = interreflect(exchange, np.full(len(exchange.area), 0.05), landed, 1)[0]
    assert radiosity == pytest.approx(0.05 * landed / exchange.area[:, None], rel=1e-12)


# --- factors of the catalogue -----------------------------------------------------------------------
# J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors (numbers of the configurations
# from memory); values computed independently by quadrature to 12 digits.

C11 = [(1, 1, 1, 0.199824896), (2, 2, 1, 0.415253284), (0.5, 0.5, 1, 0.068589589), (2, 1, 1, 0.285875385)]
C14 = [(1, 1, 1, 0.200043776), (1, 2, 1, 0.232852603), (1, 1, 2, 0.116426301), (2, 1, 1, 0.240636006)]
C41 = [(1, 1, 1, 0.381966011), (0.5, 1, 1, 0.468871126), (1, 0.5, 1, 0.117217781), (1, 1, 2, 0.171572875)]


@pytest.mark.parametrize(("a", "b", "c", "expected"), C11)
def test_opposite_rectangles(a, b, c, expected):
    """C-11: equal rectangles a by b, c apart; 0.5 % with 4096 rays from each of 16 or more patches."""
    sheets = [rectangle(ZERO, a * X, b * Y), rectangle(c * Z, b * Y, a * X)]
    found = factors(sheets, min(a, b) / 4, 4096)[0][0, 1]
    print(f"C-11 {a}, {b}, {c}: {found:.6f}, {100 * (found / expected - 1):+.3f} %")
    assert found == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize(("length", "height", "width", "expected"), C14)
def test_adjacent_rectangles(length, height, width, expected):
    """C-14: at right angles with a common edge; 0.5 % with 4096 rays from each patch."""
    sheets = [rectangle(ZERO, length * X, width * Y), rectangle(ZERO, height * Z, length * X)]
    found = factors(sheets, 0.25, 4096)[0][0, 1]
    print(f"C-14 {length}, {height}, {width}: {found:.6f}, {100 * (found / expected - 1):+.3f} %")
    assert found == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize(("r1", "r2", "h", "expected"), C41)
def test_coaxial_discs(r1, r2, h, expected):
    """C-41: discs on one axis, by polygons of 180 sides; 0.5 % with 4096 rays from each patch."""
    found = factors([disc(r1, 0, up=True), disc(r2, h, up=False)], 0.4, 4096)[0][0, 1]
    print(f"C-41 {r1}, {r2}, {h}: {found:.6f}, {100 * (found / expected - 1):+.3f} %")
    assert found == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize(
    ("size", "rows"),
    [
        ((1, 1, 1), {"top": 0.199824896, "left": 0.200043776, "back": 0.200043776}),
        ((1.2, 0.6, 0.6), {"top": 0.285875385, "back": 0.240636006, "left": 0.116426301}),
    ],
    ids=["cube", "tank"],
)
def test_closed_boxes(size, rows):
    """All six faces: the floor's factors by C-11 and C-14, together 1 to 1e-9; 0.5 % with 4096 rays."""
    found, exchange = factors(room(*size), 0.2, 4096)
    floor = dict(zip(FACES, found[FACES.index("bottom")], strict=True))
    assert sum(floor.values()) == pytest.approx(1.0, rel=1e-9)
    assert floor["bottom"] == 0
    print(f"{size}: scaling {np.abs(exchange.scaling - 1).max():.4f} at most", floor)
    for face, expected in rows.items():
        assert floor[face] == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize(
    ("corner", "expected"), [(0.25, 0.099506295), (0.0, 0.149868672)], ids=["centred", "in a corner"]
)
def test_squares_with_a_smaller_one_between(corner, expected):
    """Unit squares 1 apart, an opaque one of 0.5 midway; computed independently by 40 by 40 Gauss nodes."""
    sheets = [rectangle(ZERO, X, Y), rectangle(Z, Y, X)]
    sheets.append(rectangle([corner, corner, 0.5], X / 2, Y / 2, "both"))
    found = factors(sheets, 0.15, 4096)[0][0, 1]
    print(f"obstructed, {corner}: {found:.6f}, {100 * (found / expected - 1):+.3f} %")
    assert found == pytest.approx(expected, rel=5e-3)


def test_the_two_engines_for_rays_agree():
    """The library in single precision and our tree in double: conductances within 1e-3 of the largest."""
    patches = patches_of(room(1.2, 0.6, 0.6), 0.3)
    one = exchange_of(PatchScene(patches), 256).conductance
    other = exchange_of(PatchScene(patches, shared_rays=ray_scene(patches.triangles, library=False)), 256)
    assert np.abs(one - other.conductance).max() < 1e-3 * one.max()


def test_threads_and_chunks_change_nothing():
    """Patches are worked out one by one: one thread or three give the same bits."""
    scene = PatchScene(patches_of(room(1.2, 0.6, 0.6), 0.1))
    assert len(scene.patches) > 300
    one, three = (exchange_of(scene, 512, threads=k).conductance for k in (1, 3))
    assert (one == three).all()


# --- interreflection with a known end ---------------------------------------------------------------


def ball(times):
    """Triangles of a sphere of radius 1, from an octahedron; normals outwards."""
    triangles = np.array([[sx * X, sy * Y, sz * Z] for sx in (1, -1) for sy in (1, -1) for sz in (1, -1)])
    inwards = np.linalg.det(triangles) < 0
    triangles[inwards] = triangles[inwards][:, ::-1]
    for _ in range(times):
        a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
        ab, bc, ca = ((p + q) / np.linalg.norm(p + q, axis=1)[:, None] for p, q in ((a, b), (b, c), (c, a)))
        parts = [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
        triangles = np.concatenate([np.stack(part, axis=1) for part in parts])
    return triangles


def test_an_integrating_sphere_is_even():
    """Inside a sphere each part sends every other its share of the area: 1 W on one cap lights all alike.

    The sphere of 2048 triangles; Ulbricht's formula E = rho Phi / (S (1 - rho)); 1 % rms over patches.
    """
    scene = PatchScene(patches_of([Surface(ball(4), "back")], 0.4))
    exchange = exchange_of(scene, 1024)
    assert_closed(exchange)
    area = exchange.area
    share = exchange.conductance[:-1, :-1] * area.sum() / np.outer(area, area)
    lit = np.array(
        [
            scene.patches.triangles[scene.patches.back == k].mean(axis=(0, 1))[2] > 0.8
            for k in range(len(area))
        ]
    )
    landed = np.where(lit, area, 0.0)[:, None] / area[lit].sum()
    radiosity = interreflect(exchange, np.full(len(area), 0.8), landed)[0]
    indirect = (exchange.conductance[:-1, :-1] @ radiosity)[:, 0] / area
    off = indirect / (0.8 / (area.sum() * 0.2)) - 1
    print(
        f"{len(area)} patches; single shares off by {100 * (share - 1).std():.1f} % rms, light by {100 * off.std():.2f} %"
    )
    assert np.sqrt((off**2).mean()) < 0.01


def solid_angle(triangles, point):
    """A. van Oosterom and J. Strackee, IEEE Trans. Biomed. Eng. 30:125-126, 1983 (from memory)."""
    a, b, c = np.moveaxis(triangles - point, 1, 0)
    na, nb, nc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    dot = lambda p, q: np.einsum("tx,tx->t", p, q)  # noqa: E731
    down = na * nb * nc + dot(a, b) * nc + dot(b, c) * na + dot(c, a) * nb
    return np.abs(2 * np.arctan2(np.einsum("tx,tx->t", a, np.cross(b, c)), down))


@pytest.mark.parametrize(
    ("rho", "expected"),
    [(0.05, 5.482), (0.1, 11.574), (0.2, 26.042), (0.3, 44.643), (0.4, 69.444), (0.5, 104.167), (0.6, 156.25), (0.7, 243.056), (0.8, 416.667), (0.9, 937.5), (0.95, 1979.167)],
)  # fmt: skip
def test_internal_reflected_component(rho, expected):
    """CIE 171:2006, case 5.8 (set-up from memory): a cube of 4 m, 10 klm from its middle to all sides.

    E = Phi rho / (A (1 - rho)) holds for the average over the surface, whatever the walls see of each
    other: closure is all it takes, to 1e-9; the table to its digits.
    """
    if "cube" not in CUBE:
        scene = PatchScene(patches_of(room(4, 4, 4), 1.0))
        CUBE["cube"] = (scene, exchange_of(scene))
    scene, exchange = CUBE["cube"]
    angle = np.bincount(scene.patches.front, solid_angle(scene.patches.triangles, np.full(3, 2.0)))
    assert angle.sum() == pytest.approx(4 * pi, rel=1e-12)
    landed = 1e4 * angle[:, None] / (4 * pi)
    radiosity, absorbed, _ = interreflect(exchange, np.full(len(angle), rho), landed)
    indirect = (exchange.conductance[:-1, :-1] @ radiosity)[:, 0]
    assert indirect.sum() / 96 == pytest.approx(1e4 * rho / (96 * (1 - rho)), rel=1e-9)
    assert indirect.sum() / 96 == pytest.approx(expected, abs=6e-4)
    assert absorbed.sum() == pytest.approx(1e4, rel=1e-9)


CUBE: dict[str, tuple[PatchScene, Exchange]] = {}


def test_a_closed_hide_is_dark_inside():
    """A box of sheets in a bright room: the insides of its walls get nothing, its outsides do."""
    hide = Box(np.array([0.3, 0.2, 0.1]), np.array([0.7, 0.5, 0.3]))
    scene = PatchScene(patches_of([*room(1.0, 0.8, 0.9), Surface(hide.triangles(), "both")], 0.2))
    exchange = exchange_of(scene)
    sheet = scene.patches.surface == 6
    inside = np.zeros(len(scene.patches), dtype=bool)
    inside[scene.patches.back[scene.patches.back >= 0]] = True
    landed = np.where(sheet, 0.0, exchange.area)[:, None]
    radiosity = interreflect(exchange, np.full(len(sheet), 0.7), landed)[0][:, 0]
    assert inside.sum() == (sheet & ~inside).sum() > 10
    assert (radiosity[inside] == 0).all()
    assert radiosity[sheet & ~inside].min() > 0.5


def test_what_a_solid_covers_is_no_part_of_its_patch():
    """Ground 0.1 deep on the floor: the walls lose 0.1 of their height, and no light goes lost in it.

    The share that is hidden is sampled; 0.5 %.
    """
    ground = Surface(Box(ZERO, np.array([1.0, 0.8, 0.1])).triangles(), "front")
    scene = PatchScene(patches_of([*room(1.0, 0.8, 0.9), ground], 0.25))
    exchange = exchange_of(scene, 1024)
    assert_closed(exchange)
    seen = np.bincount(scene.patches.surface, exchange.area)
    assert seen[:4] == pytest.approx([0.64, 0.64, 0.8, 0.8], rel=5e-3)
    assert seen[FACES.index("bottom")] == pytest.approx(0.0, abs=0.8 * 5e-3)
    assert seen[FACES.index("top")] == pytest.approx(0.8, rel=1e-9)
    lamp = scene.patches.surface == FACES.index("top")
    radiosity, _, outside = interreflect(exchange, np.full(len(lamp), 0.8), np.where(lamp, 1.0, 0.0)[:, None])
    assert outside == pytest.approx(0.0, abs=1e-6)
    assert (radiosity[exchange.area == 0] == 0).all()


def test_where_no_scaling_closes_the_rest_stays_at_home():
    """A floor under a flat roof of two slopes: they see only each other, and the roof is the larger.

    None of 16 rays finds the gaps at its ends or the other slope: no scaling makes the rows of
    [[0, k], [k, 0]] add up to two areas. The roof then sends the difference to itself, as two slopes do.
    """
    ridge = np.array([0.5, 0.0, 0.02])
    roof = [Rectangle(ridge, Y, X - ridge).triangles(), Rectangle(ZERO, Y, ridge).triangles()]
    roof = [part[:, ::-1] if up(part) else part for part in roof]
    surfaces = [rectangle(ZERO, X, Y), Surface(np.concatenate(roof), "front")]
    exchange = exchange_of(PatchScene(patches_of(surfaces, 2.0)), 16)
    assert_closed(exchange)
    assert exchange.conductance[1, 1] == pytest.approx(2 * np.hypot(0.5, 0.02) - 1, rel=1e-9)


def up(triangles):
    return np.cross(triangles[0, 1] - triangles[0, 0], triangles[0, 2] - triangles[0, 0])[2] > 0


# --- canopies ---------------------------------------------------------------------------------------


def body(half_axes, extinction):
    return Canopies(np.array([[0.5, 0.5, 0.5]]), np.array([half_axes], dtype=float), np.array([extinction]))


@pytest.mark.parametrize("thickness", [0.1, 1.0, 3.0])
def test_what_leaves_a_round_canopy(thickness):
    """What is sent out evenly within a sphere of optical radius x and gets out of it; 1 % with 16,384 rays.

    The share is 3 / (8 x^3) (2 x^2 - 1 + (1 + 2 x) exp(-2 x)): K. M. Case, F. de Hoffmann and G. Placzek,
    Introduction to the Theory of Neutron Diffusion, 1953 (from memory).
    """
    x = thickness
    expected = 3 / (8 * x**3) * (2 * x**2 - 1 + (1 + 2 * x) * exp(-2 * x))
    exchange = exchange_of(PatchScene(patches_of([], 1.0), body([0.2] * 3, x / 0.2)), 16_384)
    assert exchange.area == pytest.approx([4 * x / 0.2 * 4 / 3 * pi * 0.2**3], rel=1e-12)
    found = exchange.conductance[0, 1] / exchange.area[0]
    print(f"optical radius {x}: {found:.5f}, {100 * (found / expected - 1):+.2f} %")
    assert found == pytest.approx(expected, rel=1e-2)


def caught_of_even_light(half_axes, extinction):
    """Area of a black body that catches as much of even light as an ellipsoid of leaves, by quadrature.

    Along a direction d the ellipsoid has the longest chord 2 / |d / h| and the shadow pi a b c |d / h|, in
    which the square of the chord is spread evenly: 4 times the mean of the shadow times what is caught.
    """
    h = np.array(half_axes)
    z, weight = np.polynomial.legendre.leggauss(64)
    turn = (np.arange(128) + 0.5) * 2 * pi / 128
    across = np.sqrt(1 - z**2)[:, None]
    d = np.stack(
        [across * np.cos(turn), across * np.sin(turn), np.broadcast_to(z[:, None], (64, 128))], axis=-1
    )
    stretch = np.linalg.norm(d / h, axis=-1)
    x = extinction * 2 / stretch
    caught = 1 - 2 * (1 - (1 + x) * np.exp(-x)) / x**2
    return 4 * ((pi * h.prod() * stretch * caught).mean(axis=1) * weight / 2).sum()


@pytest.mark.parametrize(("half_axes", "extinction"), [((0.2, 0.1, 0.3), 5.0), ((0.05, 0.3, 0.2), 12.0)])
def test_an_oblong_canopy_in_a_room(half_axes, extinction):
    """What the walls send to it, by rays from it and from them, against quadrature over its chords; 1 %."""
    _, exchange = factors(room(1, 1, 1), 0.5, 4096, body(half_axes, extinction))
    found, expected = exchange.conductance[-2, :-2].sum(), caught_of_even_light(half_axes, extinction)
    print(f"{half_axes}: {found:.5f} m2, {100 * (found / expected - 1):+.2f} %")
    assert_closed(exchange)
    assert found == pytest.approx(expected, rel=1e-2)


def test_leaves_and_a_canopy_catch_the_same():
    """10,000 small leaves turned all ways, and the canopy of half their area per volume: even light, 2 %."""
    half_axes, leaf_area = np.array([0.2, 0.15, 0.25]), 0.25
    extinction = 0.5 * leaf_area / (4 / 3 * pi * half_axes.prod())
    leaves = leaf_cloud([0.5] * 3, half_axes, leaf_area, 0.01, 0.005, seed=4)
    scene = PatchScene(patches_of([*room(1, 1, 1), Surface(leaves, "leaf")], 0.25))
    exchange = exchange_of(scene, 1024)
    leaf = np.flatnonzero(scene.patches.surface == 6)
    _, other = factors(room(1, 1, 1), 0.25, 1024, body(half_axes, extinction))
    assert exchange.area[leaf].sum() == pytest.approx(other.area[-1], rel=1e-9)
    by_leaves = exchange.conductance[np.ix_(leaf, np.flatnonzero(scene.patches.surface < 6))].sum()
    by_canopy, exact = other.conductance[-2, :-2].sum(), caught_of_even_light(half_axes, extinction)
    print(f"leaves {by_leaves:.5f}, canopy {by_canopy:.5f}, quadrature {exact:.5f} m2")
    assert by_canopy == pytest.approx(exact, rel=1e-2)
    assert by_leaves == pytest.approx(exact, rel=2e-2)


def test_a_canopy_without_leaves_is_not_there():
    """Extinction 0: no area, no exchange, and the walls see each other as if it were not there."""
    walls = room(1, 1, 1)
    bare = factors(walls, 0.5, 256)[1].conductance
    empty = Canopies(np.full((2, 3), 0.5), np.full((2, 3), 0.2), np.zeros(2))
    exchange = factors(walls, 0.5, 256, empty)[1]
    assert_closed(exchange)
    assert exchange.area[-2:].tolist() == [0.0, 0.0]
    assert exchange.conductance[:-3, :-3] == pytest.approx(bare[:-1, :-1], rel=1e-9)


# --- refusals ---------------------------------------------------------------------------------------

INSIDE = Exchange(np.pad(np.full((6, 6), 1 / 6), (0, 1)), np.ones(6), np.ones(6))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: exchange_of(PatchScene(patches_of([], 1.0)), 100), "must be a power of two; got 100"),
        (lambda: exchange_of(PatchScene(patches_of([], 1.0)), 0), "must be a power of two; got 0"),
        (lambda: interreflect(INSIDE, np.ones(6), np.ones((6, 1))), "from 0 to below 1; got 1 to 1"),
        (lambda: interreflect(INSIDE, np.full(6, -0.1), np.ones((6, 1))), "from 0 to below 1; got -0.1"),
        (lambda: interreflect(INSIDE, np.full(6, np.nan), np.ones((6, 1))), "from 0 to below 1; got nan"),
        (lambda: interreflect(INSIDE, np.zeros(5), np.ones((6, 1))), r"must fit 6 patches; got \(5,\)"),
        (lambda: interreflect(INSIDE, np.zeros(6), np.ones(6)), r"must fit 6 patches; got \(6,\) and \(6,\)"),
        (lambda: interreflect(INSIDE, np.zeros(6), np.full((6, 1), -1.0)), "not below zero; got -1 to -1 W"),
        (lambda: interreflect(INSIDE, np.zeros(6), np.full((6, 1), np.inf)), "must be finite"),
        (lambda: interreflect(INSIDE, np.zeros(6), np.ones((6, 1)), 0), "bounces must be above zero; got 0"),
    ],
)
def test_refusals(call, message):
    """What is wrong is said with its number."""
    with pytest.raises(DomainError, match=message):
        call()


def test_nothing_exchanges_nothing():
    """No patch, no canopy: an empty exchange, and no light in it."""
    exchange = exchange_of(PatchScene(patches_of([], 1.0)))
    assert exchange.conductance.tolist() == [[0.0]]
    radiosity, absorbed, outside = interreflect(exchange, np.zeros(0), np.zeros((0, 2)))
    assert radiosity.shape == absorbed.shape == (0, 2)
    assert outside.tolist() == [0.0, 0.0]
