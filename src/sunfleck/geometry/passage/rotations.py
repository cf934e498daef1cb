"""Unit quaternions (w, x, y, z) as rotations."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def rotation_about(axis: ArrayLike, angle: float) -> Floats:
    """Unit quaternion that turns about an axis.

    Parameters
    ----------
    axis : (3,) float
        Any vector but zero. [-]
    angle : float
        Counter-clockwise seen against the axis. [rad]

    Returns
    -------
    turn : (4,) float
        Unit quaternion. [-]

    Examples
    --------
    >>> [round(float(part), 4) for part in rotation_about([0, 0, 2.0], np.pi / 2)]
    [0.7071, 0.0, 0.0, 0.7071]
    """
    direction = np.asarray(axis, dtype=np.float64)
    direction = direction / np.linalg.norm(direction)
    return np.array([np.cos(angle / 2), *(np.sin(angle / 2) * direction)])


def product(first: ArrayLike, second: ArrayLike) -> Floats:
    """Rotation that turns by `second`, then by `first`.

    Parameters
    ----------
    first, second : (4,) float
        Unit quaternions. [-]

    Returns
    -------
    turn : (4,) float
        Their product. [-]
    """
    a, b, c, d = np.asarray(first, dtype=np.float64).tolist()
    w, x, y, z = np.asarray(second, dtype=np.float64).tolist()
    return np.array(
        [
            a * w - b * x - c * y - d * z,
            a * x + b * w + c * z - d * y,
            a * y - b * z + c * w + d * x,
            a * z + b * y - c * x + d * w,
        ]
    )


def products(first: ArrayLike, seconds: ArrayLike) -> Floats:
    """Rotations that turn by each of `seconds`, then by `first`.

    Parameters
    ----------
    first : (4,) float
        Unit quaternion. [-]
    seconds : (n, 4) float
        Unit quaternions. [-]

    Returns
    -------
    turns : (n, 4) float
        Their products; what changes little from row to row in `seconds` does so here. [-]
    """
    a, b, c, d = np.asarray(first, dtype=np.float64).tolist()
    # A product is linear in its second factor.
    by = np.array([[a, -b, -c, -d], [b, a, -d, c], [c, d, a, -b], [d, -c, b, a]])
    return np.asarray(np.asarray(seconds, dtype=np.float64) @ by.T)


def opposite(turn: ArrayLike) -> Floats:
    """Rotation the other way.

    Parameters
    ----------
    turn : (4,) float
        Unit quaternion. [-]

    Returns
    -------
    turn : (4,) float
        Its conjugate. [-]
    """
    return np.asarray(np.asarray(turn, dtype=np.float64) * np.array([1.0, -1.0, -1.0, -1.0]))


def matrix_of(turn: ArrayLike) -> Floats:
    """Rotation matrix of a unit quaternion.

    Parameters
    ----------
    turn : (4,) float
        Unit quaternion. [-]

    Returns
    -------
    matrix : (3, 3) float
        Its columns are where the axes go. [-]
    """
    return np.array([turned_vector(turn, axis) for axis in np.eye(3)]).T


def matrices_of(turns: ArrayLike) -> Floats:
    """Rotation matrices of many unit quaternions.

    Parameters
    ----------
    turns : (n, 4) float
        Unit quaternions. [-]

    Returns
    -------
    matrices : (n, 3, 3) float
        As :func:`matrix_of`, one each. [-]
    """
    return np.stack([turned_by_each(turns, axis) for axis in np.eye(3)], axis=2)


def turned_vector(turn: ArrayLike, vector: ArrayLike) -> Floats:
    """Vector turned by a unit quaternion.

    Parameters
    ----------
    turn : (4,) float
        Unit quaternion. [-]
    vector : (3,) float
        In the axes before. [m]

    Returns
    -------
    vector : (3,) float
        In the axes after. [m]
    """
    # Written out, number by number: searches and replays ask this a hundred thousand times, each of one vector.
    w, x, y, z = np.asarray(turn, dtype=np.float64).tolist()
    a, b, c = np.asarray(vector, dtype=np.float64).tolist()
    d, e, f = 2 * (y * c - z * b), 2 * (z * a - x * c), 2 * (x * b - y * a)
    return np.array([a + w * d + (y * f - z * e), b + w * e + (z * d - x * f), c + w * f + (x * e - y * d)])


def turned_by_each(turns: ArrayLike, vector: ArrayLike) -> Floats:
    """One vector turned by each of many unit quaternions.

    Parameters
    ----------
    turns : (n, 4) float
        Unit quaternions. [-]
    vector : (3,) float
        In the axes before. [m]

    Returns
    -------
    vectors : (n, 3) float
        In the axes after. [m]
    """
    q = np.asarray(turns, dtype=np.float64)
    v = np.asarray(vector, dtype=np.float64)
    twice = 2 * np.cross(q[:, 1:], v)
    return np.asarray(v + q[:, :1] * twice + np.cross(q[:, 1:], twice))


def quaternion_of(matrix: ArrayLike) -> Floats:
    """Unit quaternion of a rotation matrix.

    Parameters
    ----------
    matrix : (3, 3) float
        Orthogonal, determinant +1. [-]

    Returns
    -------
    turn : (4,) float
        Unit quaternion whose largest component is positive. [-]
    """
    m = np.asarray(matrix, dtype=np.float64)
    # The largest eigenvector of this symmetric matrix, exact for rotations (Bar-Itzhack 2000, from memory).
    k = np.zeros((4, 4))
    k[0, 0] = np.trace(m)
    k[1:, 1:] = m + m.T - np.trace(m) * np.eye(3)
    k[0, 1:] = k[1:, 0] = [m[2, 1] - m[1, 2], m[0, 2] - m[2, 0], m[1, 0] - m[0, 1]]
    _, vectors = np.linalg.eigh(k / 3)
    q = vectors[:, -1]
    return np.asarray(q * np.sign(q[np.argmax(np.abs(q))]))


def angle_between(first: ArrayLike, second: ArrayLike) -> float:
    """Angle of the turn that leads from one rotation to another.

    Parameters
    ----------
    first, second : (4,) float
        Unit quaternions. [-]

    Returns
    -------
    angle : float
        From 0 to pi. [rad]
    """
    step = product(opposite(first), second)
    return float(2 * np.arctan2(np.linalg.norm(step[1:]), abs(step[0])))
