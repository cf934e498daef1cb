"""Single rays: is the way free, what is hit first; both engines behind the same two questions."""

import builtins

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oracles.scenes import cloud, furnished, hits, rectangle
from sunfleck.errors import DomainError
from sunfleck.geometry.bvh import build_bvh
from sunfleck.geometry.rays import LibraryRays, TreeRays, TwoScenes, ray_scene, rays_of

pytest.importorskip("embreex", reason="the ray library has no build for this machine; the tree serves alone")

SEEDS = st.integers(0, 10**6)
often = settings(max_examples=25, deadline=None, derandomize=True)
ENGINES = pytest.mark.parametrize("library", [True, False], ids=["library", "tree"])


@often
@given(seed=SEEDS, size=st.floats(0.01, 0.5))
def test_the_tree_agrees_with_brute_force(seed, size):
    """Any hit and first hit, through the tree, against every triangle by volumes of tetrahedra."""
    rng = np.random.default_rng(seed)
    triangles = cloud(rng, 120, size=size)
    origins, ends = rng.uniform(-0.3, 1.3, (2, 60, 3))
    rays = ray_scene(triangles, library=False)
    met = hits(triangles, origins, ends)
    assert np.array_equal(rays.occluded(origins, ends), met.any(axis=1))
    way = ends - origins
    distance, triangle = rays.first_hit(origins, way)
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    unit = way / np.linalg.norm(way, axis=1, keepdims=True)
    far = hits(triangles, origins, origins + 10 * unit)
    along = np.einsum("mk,rmk->rm", normal, triangles[None, :, 0] - origins[:, None]) / (unit @ normal.T)
    along = np.where(far, along, np.inf)
    assert np.array_equal(triangle, np.where(far.any(axis=1), along.argmin(axis=1), -1))
    assert distance == pytest.approx(along.min(axis=1), rel=1e-9)


@pytest.mark.parametrize("scene", ["cloud", "furnished"])
def test_library_and_tree_agree(scene):
    """The same answer for all but the rays that graze an edge, one in 10,000 at most; seed 5."""
    rng = np.random.default_rng(5)
    triangles = cloud(rng, 3000, size=0.05) if scene == "cloud" else furnished(rng)
    high = np.array([1.0, 1.0, 1.0]) if scene == "cloud" else np.array([1.5, 0.75, 1.5])
    origins, ends = rng.uniform(0.0, high, (2, 100_000, 3))
    library, tree = ray_scene(triangles), ray_scene(triangles, library=False)
    assert isinstance(library, LibraryRays)
    assert isinstance(tree, TreeRays)
    apart = library.occluded(origins, ends) != tree.occluded(origins, ends)
    (near_a, hit_a), (near_b, hit_b) = (rays.first_hit(origins, ends - origins) for rays in (library, tree))
    same = (hit_a == hit_b) & (hit_a >= 0)
    off = np.abs(near_a[same] - near_b[same])
    print(
        f"{scene}: {apart.sum()} and {(hit_a != hit_b).sum()} of 100,000 rays differ, distance by {off.max():.1e} m"
    )
    assert apart.mean() < 1e-4
    assert (hit_a != hit_b).mean() < 1e-4
    assert np.quantile(off, 0.999) < 2e-6  # single precision; a ray that grazes a face has less


@ENGINES
def test_no_ray_leaks_where_triangles_share_an_edge_or_corner(library):
    """Ways that pass exactly through shared edges and corners of a closed fan are stopped."""
    corners = np.array([[np.cos(a), np.sin(a), 0.5] for a in np.linspace(0, 2 * np.pi, 13)])
    fan = np.stack([np.tile([0.1, 0.05, 0.5], (12, 1)), corners[:-1], corners[1:]], axis=1)
    targets = np.concatenate(
        [[[0.1, 0.05, 0.5]], *[fan[:, 0] + s * (fan[:, 1] - fan[:, 0]) for s in (0.2, 0.5, 0.9)]]
    )
    origins = np.tile([0.03, -0.02, 0.0], (len(targets), 1))
    assert ray_scene(fan, library=library).occluded(origins, origins + 2 * (targets - origins)).all()


@ENGINES
def test_no_ray_leaks_out_of_a_closed_body(library):
    """A ball of 5,120 triangles: of 200,000 rays from inside it none gets out (seed 2)."""
    rng = np.random.default_rng(2)
    turn, rise = np.linspace(0, 2 * np.pi, 65), np.linspace(0, np.pi, 41)
    grid = np.stack(
        [np.outer(np.sin(rise), np.cos(turn)), np.outer(np.sin(rise), np.sin(turn)), np.outer(np.cos(rise), turn * 0 + 1)],
        axis=-1,
    )  # fmt: skip
    grid[:, -1] = grid[:, 0]
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    ball = np.concatenate([np.stack(t, axis=-2).reshape(-1, 3, 3) for t in ((a, b, c), (a, c, d))])
    origins = rng.uniform(-0.5, 0.5, (200_000, 3))
    distance, triangle = ray_scene(ball, library=library).first_hit(origins, rng.normal(size=(200_000, 3)))
    assert (triangle >= 0).all()
    assert distance.max() < 2.0


@ENGINES
def test_rays_along_axes_and_edge_on_faces(library):
    """Zeros in a direction are no trouble, and the surface a way begins or ends on hides nothing."""
    wall = ray_scene(rectangle([0, 0, 0], [1, 0, 0], [0, 0, 1]), library=library)
    assert wall.occluded([[0.5, -1, 0.25]], [[0.5, 1, 0.25]]).all()
    assert not wall.occluded([[-1, 0, 0.5]], [[2, 0, 0.5]]).any()  # exactly edge-on
    assert not wall.occluded([[0.5, 0, 0.5]], [[0.5, 1, 0.5]]).any()
    assert not wall.occluded([[0.5, 1, 0.5]], [[0.5, 0, 0.5]]).any()
    assert not wall.occluded([[0.5, 0, 0.5]], [[0.5, 0, 0.5]]).any()  # no way at all


@ENGINES
def test_nothing_to_hit(library):
    """An open scene: nothing in the way, infinitely far, index -1; no rays, no answers."""
    nothing = ray_scene(np.zeros((0, 3, 3)), library=library)
    assert not nothing.occluded([[0, 0, 0]], [[1, 0, 0]]).any()
    distance, triangle = nothing.first_hit([[0, 0, 0]], [[1, 0, 0]])
    assert distance[0] == np.inf
    assert triangle[0] == -1
    wall = ray_scene(rectangle([0, 0, 0], [1, 0, 0], [0, 0, 1]), library=library)
    for rays in (nothing, wall):
        assert rays.occluded(np.zeros((0, 3)), np.zeros((0, 3))).shape == (0,)
        assert rays.first_hit(np.zeros((0, 3)), np.zeros((0, 3)))[1].shape == (0,)


@ENGINES
def test_numbers_are_those_of_the_array_given(library):
    """Triangles without area are left out and do not shift the numbers of the others."""
    wall = rectangle([0, 0, 0], [1, 0, 0], [0, 1, 0])
    rays = ray_scene(np.concatenate([np.zeros((3, 3, 3)), wall]), library=library)
    assert rays.first_hit([[0.9, 0.1, 1.0], [0.1, 0.9, 1.0]], [[0, 0, -1], [0, 0, -1]])[1].tolist() == [3, 4]


@often
@given(seed=SEEDS, share=st.integers(0, 60))
def test_two_scenes_are_one(seed, share):
    """Triangles cut into two heaps anywhere: the same answers as from one."""
    rng = np.random.default_rng(seed)
    triangles = cloud(rng, 60, size=0.2)
    origins, ends = rng.uniform(-0.3, 1.3, (2, 60, 3))
    parts = (ray_scene(part, library=False) for part in (triangles[:share], triangles[share:]))
    both, one = TwoScenes(*parts, share), ray_scene(triangles, library=False)
    assert np.array_equal(both.occluded(origins, ends), one.occluded(origins, ends))
    for got, wanted in zip(
        both.first_hit(origins, ends - origins), one.first_hit(origins, ends - origins), strict=True
    ):
        assert np.array_equal(got, wanted)


def test_a_machine_without_the_library_uses_the_tree(monkeypatch):
    """The fallback is taken by itself."""
    original = builtins.__import__

    def without(name, *args, **kwargs):
        if name.startswith("embreex"):
            raise ImportError(name)
        return original(name, *args, **kwargs)

    bvh = build_bvh(rectangle([0, 0, 0], [1, 0, 0], [0, 1, 0]))
    monkeypatch.setattr(builtins, "__import__", without)
    assert isinstance(rays_of(bvh), TreeRays)


@ENGINES
@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda s: s.occluded([[0, 0, np.nan]], [[0, 0, 1]]), "origins and ends must be finite; got 1 that are not"),
        (lambda s: s.first_hit([[0, 0, 0]], [[np.inf, 0, 1]]), "origins and directions must be finite; got 1 that are not"),
        (lambda s: s.occluded([[0, 0, 0]], [[0, 0, 1]] * 2), "as many ends as origins; got 2 and 1"),
        (lambda s: s.first_hit([[0, 0, 0]], [[0, 0, 0]]), "directions must have a length above zero"),
        (lambda s: s.occluded([0, 0, 0], [0, 0, 1]), r"origins must have the shape \(r, 3\); got \(3,\)"),
    ],
)  # fmt: skip
def test_what_means_nothing_is_refused_with_its_number(library, call, message):
    """Both engines answer "free" to a ray that is no number, so it must not come that far."""
    with pytest.raises(DomainError, match=message):
        call(ray_scene(rectangle([0, 0, 0], [1, 0, 0], [0, 1, 0]), library=library))
