"""Patches: nothing lost, nothing torn, nothing cut that need not be, and no more of them than allowed."""

from time import process_time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.geometry.boxes import Box
from sunfleck.geometry.chains import Chain
from sunfleck.geometry.leaves import leaf_cloud
from sunfleck.geometry.patches import Surface, normals_and_areas, patches_of

LENGTH = st.floats(0.02, 2.0)
SIDES = ("front", "back", "both", "leaf")


def box(width, depth, height, at=(0.0, 0.0, 0.0)):
    low = np.array(at)
    return Box(low, low + np.array([width, depth, height])).triangles()


def branch():
    return Chain(
        np.array([[0.1, 0.2, 0.3], [0.5, 0.25, 0.6], [1.1, 0.3, 0.7]]), np.array([0.03, 0.025, 0.02])
    )


def longest_edges(triangles):
    return np.linalg.norm(triangles - np.roll(triangles, 1, axis=1), axis=2).max(axis=1)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(w=LENGTH, d=LENGTH, h=LENGTH, size=st.floats(0.05, 3.0), sides=st.sampled_from(SIDES))
def test_area_and_facing_are_kept(w, d, h, size, sides):
    """Conservation: all pieces together have the area and the vector area (zero: it is closed) of the box."""
    whole = box(w, d, h)
    patches = patches_of([Surface(whole, sides)], size, most=10_000)
    normals, areas = normals_and_areas(patches.triangles)
    surface = 2 * (w * d + d * h + h * w)
    assert areas.sum() == pytest.approx(surface, rel=1e-12)
    assert patches.area.sum() == pytest.approx(surface * (2 if sides in {"both", "leaf"} else 1), rel=1e-12)
    assert (areas[:, None] * normals).sum(axis=0) == pytest.approx(np.zeros(3), abs=1e-12)
    # Outwards: the volume by Gauss's theorem keeps its sign.
    volume = (np.einsum("tx,tx->t", patches.triangles[:, 0], normals) * areas).sum() / 3
    assert volume == pytest.approx(w * d * h, rel=1e-9)
    assert longest_edges(patches.triangles).max() <= size * (1 + 1e-8)


@pytest.mark.parametrize("size", [0.31, 0.1, 0.045])
@pytest.mark.parametrize("whole", [box(1.2, 0.6, 0.45), branch().triangles()], ids=["box", "branch"])
def test_a_closed_surface_stays_closed(whole, size):
    """Each edge of a piece is met by the same edge, run the other way, of its neighbour: no crack."""
    pieces = patches_of([Surface(whole, "front")], size, most=10_000).triangles
    assert len(pieces) > len(whole)
    edges = np.stack([pieces, np.roll(pieces, -1, axis=1)], axis=2).reshape(-1, 6)
    met = np.concatenate([edges[:, 3:], edges[:, :3]], axis=1)
    assert len(np.unique(edges, axis=0)) == len(edges)
    assert {tuple(edge) for edge in edges} == {tuple(edge) for edge in met}


def test_leaves_are_not_cut():
    """20,000 leaf triangles shorter than a patch come out as they went in, in the same order."""
    leaves = leaf_cloud([0.5, 0.3, 0.4], [0.3, 0.2, 0.3], 10_000 * 0.05 * 0.03 / 2, 0.05, 0.03, seed=1)
    patches = patches_of([Surface(box(1.2, 0.6, 0.9), "back"), Surface(leaves, "leaf")], 0.1)
    own = patches.front >= np.searchsorted(patches.surface, 1)
    assert len(leaves) == 20_000
    assert (patches.triangles[own] == leaves).all()


def test_200_000_triangles_take_less_than_a_second():
    """Measured: 0.4 s of one core; the limit leaves room for a busy machine."""
    leaves = leaf_cloud([0.5, 0.3, 0.4], [0.3, 0.2, 0.3], 100_000 * 0.05 * 0.03 / 2, 0.05, 0.03, seed=1)
    begin = process_time()
    patches = patches_of([Surface(box(1.2, 0.6, 0.9), "back"), Surface(leaves, "leaf")], 0.1)
    taken = process_time() - begin
    print(f"{len(leaves)} triangles, {len(patches)} patches: {taken:.2f} s")
    assert taken < 1.0


def test_sides_have_their_patches():
    """Front only, back only, each side for itself, both as one; the other side of a solid is black."""
    square = np.array([[[0, 0, 0], [1, 0, 0], [1, 1, 0]], [[0, 0, 0], [1, 1, 0], [0, 1, 0]]], dtype=float)
    above = [square + np.array([0, 0, k]) for k in range(4)]
    patches = patches_of([Surface(*one) for one in zip(above, SIDES, strict=True)], 2.0)
    assert patches.front.tolist() == [0, 0, -1, -1, 2, 2, 4, 4]
    assert patches.back.tolist() == [-1, -1, 1, 1, 3, 3, 4, 4]
    assert patches.surface.tolist() == [0, 1, 2, 2, 3]
    assert patches.area.tolist() == [1.0, 1.0, 1.0, 1.0, 2.0]


@pytest.mark.parametrize("sides", ["front", "both", "leaf"])
def test_a_patch_is_small_and_faces_one_way(sides):
    """Middles of its pieces lie in one cell, and its normals nearest to one axis; leaves face everywhere."""
    leaves = leaf_cloud([0.5, 0.3, 0.4], [0.3, 0.2, 0.3], 0.5, 0.05, 0.03, seed=2)
    for whole in (leaves, branch().triangles(), box(1.0, 0.5, 0.4)):
        patches = patches_of([Surface(whole, sides)], 0.1, most=10_000)
        normals = normals_and_areas(patches.triangles)[0]
        axis = np.abs(normals).argmax(axis=1)
        facing = 2 * axis + (normals[np.arange(len(axis)), axis] < 0)
        middles = patches.triangles.mean(axis=1)
        for patch in range(len(patches)):
            own = patches.front == patch
            if not own.any():
                continue  # the back of a sheet: the same pieces
            assert np.ptp(middles[own], axis=0).max() <= 0.1 + 1e-12
            assert sides == "leaf" or len(np.unique(facing[own])) == 1
        assert sorted(set(patches.front) | set(patches.back) - {-1}) == [
            *([-1] if (patches.front < 0).any() else []),
            *range(len(patches)),
        ]


@settings(max_examples=15, deadline=None, derandomize=True)
@given(most=st.integers(30, 400), size=st.sampled_from([1e-6, 0.02, 0.05, 0.1, 0.2, 0.4]))
def test_there_are_no_more_than_allowed(most, size):
    """Patches grow until they are few enough; a size of a micrometre is not tried out piece by piece."""
    surfaces = [Surface(box(1.2, 0.6, 0.9), "back"), Surface(branch().triangles(), "front")]
    surfaces.append(Surface(box(0.3, 0.2, 0.1, at=(0.1, 0.1, 0.0)), "both"))
    patches = patches_of(surfaces, size, most)
    assert 24 <= len(patches) <= most
    assert set(patches.surface) == {0, 1, 2}
    # And not far fewer: a step of a quarter makes at most about 1.25^2 times fewer, cells round up.
    assert size > 0.2 or len(patches) > most / 3


def test_rounding_errors_decide_nothing():
    """A wall that is tilted by 1e-13 and ends a hair beyond its length has the same patches."""
    wall = np.array([[[0, 0, 0], [1, 0, 0], [1, 0.3, 0]], [[0, 0, 0], [1, 0.3, 0], [0, 0.3, 0]]], dtype=float)
    random = np.random.default_rng(3)
    exact = patches_of([Surface(wall, "front")], 0.1)
    for _ in range(20):
        noisy = patches_of([Surface(wall + random.normal(scale=1e-13, size=wall.shape), "front")], 0.1)
        assert len(noisy) == len(exact)
        assert noisy.area == pytest.approx(exact.area, rel=1e-9)
    leaning = wall @ np.array([[1, 0, 0], [0, 0.5, 0.5], [0, -0.5, 0.5]])  # faces between two axes
    for _ in range(20):
        noisy = patches_of([Surface(leaning + random.normal(scale=1e-13, size=wall.shape), "front")], 5.0)
        assert len(noisy) == 1


def test_the_same_again_and_cannot_be_changed():
    """A value: no chance in it, and its arrays are read-only."""
    surfaces = [Surface(branch().triangles(), "front"), Surface(box(1, 1, 1), "both")]
    first, second = patches_of(surfaces, 0.07), patches_of(surfaces, 0.07)
    for name in ("triangles", "front", "back", "surface", "area"):
        assert (getattr(first, name) == getattr(second, name)).all()
        with pytest.raises(ValueError, match="read-only"):
            getattr(first, name)[0] = 0


def test_nothing_and_what_has_no_area_make_no_patches():
    """An empty surface keeps its number; a triangle that is a line is left out."""
    line = np.array([[[0, 0, 0], [1, 0, 0], [2, 0, 0]]], dtype=float)
    assert len(patches_of([], 0.1)) == 0
    patches = patches_of([Surface([], "leaf"), Surface(line, "both"), Surface(box(1, 1, 1), "front")], 2.0)
    assert patches.surface.tolist() == [2] * 6
    assert len(patches.triangles) == 12


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Surface(np.zeros((2, 3)), "front"), r"must have the shape \(m, 3, 3\); got \(2, 3\)"),
        (lambda: Surface(np.full((1, 3, 3), np.nan), "front"), "must be finite"),
        (lambda: Surface(box(1, 1, 1), "inside"), "one of front, back, both, leaf; got 'inside'"),
        (lambda: patches_of([], 0.0), "size of patches must be above zero; got 0 m"),
        (lambda: patches_of([], np.nan), "size of patches must be above zero; got nan m"),
        (
            lambda: patches_of([Surface(box(1, 1, 1), "both")], 0.1, most=11),
            "most must be at least 12, with one patch for each side of each surface; got 11",
        ),
    ],
)
def test_refusals(call, message):
    """What is wrong is said with its number."""
    with pytest.raises(DomainError, match=message):
        call()
