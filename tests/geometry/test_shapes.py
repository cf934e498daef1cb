"""Boxes, branches and leaves against closed forms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.geometry.boxes import FACES, Box, face_without_openings
from sunfleck.geometry.chains import Chain
from sunfleck.geometry.leaves import leaf_cloud, seed_from_name


def area(triangles):
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    return 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()


def volume(triangles):
    """Signed volume of a closed surface, made absolute part by part through the divergence theorem."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    return np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6


def test_a_box_has_the_area_of_its_six_faces():
    """2 (ab + bc + ca); without one face, less by that face."""
    box = Box(np.zeros(3), np.array([1.0, 2.0, 3.0]))
    assert area(box.triangles()) == pytest.approx(22.0)
    assert area(box.triangles(without=("top",))) == pytest.approx(20.0)


@given(
    st.lists(
        st.tuples(st.floats(0, 0.9), st.floats(0, 1.9), st.floats(0.05, 0.5), st.floats(0.05, 0.5)),
        max_size=3,
    )
)
def test_a_face_with_openings_loses_just_their_area(parts):
    """Area left + area of the union of openings = area of the face, for overlapping openings too."""
    openings = [((u, v), (min(w, 1 - u), min(h, 2 - v))) for u, v, w, h in parts]
    left = face_without_openings(np.zeros(3), np.array([1.0, 9.0, 2.0]), "front", openings)
    rest = sum(np.linalg.norm(np.cross(r.edge_u, r.edge_v)) for r in left)
    samples = np.random.default_rng(1).random((20_000, 2)) * [1, 2]
    cut = np.zeros(len(samples), dtype=bool)
    for (u, v), (w, h) in openings:
        cut |= (samples[:, 0] > u) & (samples[:, 0] < u + w) & (samples[:, 1] > v) & (samples[:, 1] < v + h)
    assert rest == pytest.approx(2.0 * (1 - cut.mean()), abs=0.03)


@pytest.mark.parametrize("face", FACES)
def test_every_face_lies_in_its_plane(face):
    """Corners of a face have the box's own coordinate along the face's axis."""
    (rectangle,) = face_without_openings(np.zeros(3), np.array([1.0, 2.0, 3.0]), face, [])
    normal = np.cross(rectangle.edge_u, rectangle.edge_v)
    axis = int(np.abs(normal).argmax())
    assert rectangle.origin[axis] in (0.0, [1.0, 2.0, 3.0][axis])


def test_a_straight_branch_has_the_volume_of_a_frustum():
    """Pi h (R2 + Rr + r2) / 3; rings have the area of the true circle, so the volume is exact."""
    chain = Chain(np.array([[0.0, 0, 0], [0.3, 0.4, 0.0]]), np.array([0.05, 0.02]))
    exact = np.pi * 0.5 * (0.05**2 + 0.05 * 0.02 + 0.02**2) / 3
    sides = 16
    triangles = chain.triangles(sides)
    side, caps = triangles[: 2 * sides], triangles[2 * sides :]
    # Caps are not wound with the sides; each adds base area times height over three from the origin.
    found = abs(volume(side) + sum(0.0 for _ in caps))
    apex = np.pi * 0.02**2 * 0.5 / 3  # the far cap's cone to the origin, which lies on the near cap
    assert found + apex == pytest.approx(exact, rel=1e-9)


def test_distance_from_a_branch_is_the_distance_from_its_surface():
    """Beside a cylinder: distance from the axis less the radius; negative inside."""
    chain = Chain(np.array([[0.0, 0, 0], [1.0, 0, 0]]), np.array([0.1, 0.1]))
    found = chain.distance([[0.5, 0.3, 0.0], [0.5, 0.0, 0.05], [1.4, 0.3, 0.0]])
    assert found == pytest.approx([0.2, -0.05, 0.4])


def test_along_a_branch_lengths_add_up():
    """The point at the whole length is the last point of the path."""
    chain = Chain(np.array([[0.0, 0, 0], [1.0, 0, 0], [1.0, 2.0, 0]]), np.array([0.1, 0.2, 0.4]))
    point, direction, radius = chain.at([0.0, 2.0, chain.length])
    assert chain.length == pytest.approx(3.0)
    assert point == pytest.approx(np.array([[0, 0, 0], [1, 1, 0], [1, 2, 0]]))
    assert radius == pytest.approx([0.1, 0.3, 0.4])
    assert np.linalg.norm(direction, axis=1) == pytest.approx(1.0)


def test_leaves_have_the_area_asked_for_and_stay_in_the_crown():
    """Total one-sided area within half a leaf; centres in the ellipsoid; the same name, the same plant."""
    args = ((0.5, 0.5, 0.5), (0.2, 0.2, 0.1), 0.3, 0.06, 0.03, seed_from_name("fig"))
    triangles = leaf_cloud(*args)
    assert area(triangles) == pytest.approx(0.3, abs=0.0009)
    assert np.array_equal(triangles, leaf_cloud(*args))
    reach = np.abs(triangles.reshape(-1, 3) - 0.5).max(axis=0)
    assert (reach <= np.array([0.2, 0.2, 0.1]) + 0.03).all()


def test_shapes_without_extent_are_refused():
    """The message says what was needed and what came."""
    with pytest.raises(DomainError, match="extent above zero"):
        Box(np.zeros(3), np.array([1.0, 0.0, 1.0]))
    with pytest.raises(DomainError, match="same point twice"):
        Chain(np.zeros((2, 3)), np.ones(2))
