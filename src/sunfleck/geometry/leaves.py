"""A plant's crown as separate opaque leaves."""

from __future__ import annotations

from zlib import crc32

import numpy as np
from numpy.typing import ArrayLike, NDArray


def leaf_cloud(
    centre: ArrayLike,
    half_axes: ArrayLike,
    leaf_area: float,
    leaf_length: float,
    leaf_width: float,
    seed: int,
) -> NDArray[np.float64]:
    """Flat rhombic leaves spread evenly through an ellipsoid.

    Parameters
    ----------
    centre : (3,) float
        Middle of the crown. [m]
    half_axes : (3,) float
        Half its extent along x, y, z. [m]
    leaf_area : float
        One-sided area of all leaves together. [m2]
    leaf_length, leaf_width : float
        The two diagonals of one leaf. [m]
    seed : int
        Starts the sequence that places the leaves; the same seed gives the same plant. [-]

    Returns
    -------
    triangles : (m, 3, 3) float
        Two triangles a leaf. [m]

    Notes
    -----
    Leaf normals are uniform over the sphere (the *spherical* leaf angle distribution of canopy
    science). A living plant turns its leaves to the light: its true shade differs, and its
    outline changes within weeks; both belong to the uncertainty of leaf cover.
    """
    random = np.random.default_rng(seed)
    count = max(1, round(leaf_area / (leaf_length * leaf_width / 2)))
    direction = _unit(random.normal(size=(count, 3)))
    place = direction * random.random((count, 1)) ** (1 / 3) * np.asarray(half_axes) + np.asarray(centre)
    along = _unit(random.normal(size=(count, 3)))
    across = random.normal(size=(count, 3))
    across = _unit(across - (across * along).sum(1, keepdims=True) * along)
    tip, side = along * leaf_length / 2, across * leaf_width / 2
    corners = np.stack([place - tip, place + side, place + tip, place - side], axis=1)
    return np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]])


def seed_from_name(name: str) -> int:
    """Return the seed that belongs to a plant's name (CRC-32 of its UTF-8 text)."""
    return crc32(name.encode())


def _unit(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=1, keepdims=True))
