"""Many rotations at once, against one at a time and against scipy."""

import numpy as np
from scipy.spatial.transform import Rotation

from sunfleck.geometry.passage.layers import NORMALS, Frame
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import product, products, turned_by_each, turned_vector

DRAW = np.random.default_rng(11)
TURNS = DRAW.normal(size=(50, 4))
TURNS /= np.linalg.norm(TURNS, axis=1)[:, None]


def test_products_and_turned_vectors_row_by_row():
    """Equal to the single ones, and to scipy's, whose real part comes last."""
    first, vector = TURNS[0], np.array([0.3, -1.2, 0.7])
    many = products(first, TURNS)
    np.testing.assert_allclose(many, [product(first, turn) for turn in TURNS], atol=1e-15)
    turned = turned_by_each(TURNS, vector)
    np.testing.assert_allclose(turned, [turned_vector(turn, vector) for turn in TURNS], atol=1e-15)
    np.testing.assert_allclose(turned, Rotation.from_quat(TURNS, scalar_first=True).apply(vector), atol=1e-14)


def test_poses_of_an_opening_return_to_the_enclosure():
    """Inwards, then outwards, is where it was, whichever face the opening is in."""
    for z in NORMALS.values():
        y = np.array([0, 0, 1.0]) if abs(z[2]) < 0.5 else np.array([0, 1.0, 0])
        frame = Frame(np.array([0.2, 0.1, 0.4]), np.array([np.cross(y, z), y, z], dtype=float))
        inner = [frame.inwards(Pose(turn, turn[:3])) for turn in TURNS]
        turns, places = frame.outwards(
            np.array([pose.turn for pose in inner]), np.array([pose.place for pose in inner])
        )
        np.testing.assert_allclose(places, TURNS[:, :3], atol=1e-14)
        same = np.abs((turns * TURNS).sum(axis=1))
        np.testing.assert_allclose(same, 1.0, atol=1e-12)
