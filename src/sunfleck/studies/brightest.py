"""The direction that most light comes from."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def brightest_direction(weighted: Floats) -> Floats:
    """Direction that receivers must face to get most light.

    Parameters
    ----------
    weighted : (t, n, 3) float
        Vector irradiance of t terms at n receivers, in one unit. [-]

    Returns
    -------
    direction : (n, 3) float
        Unit vectors; up where there is no light, NaN where a receiver is not known. [-]

    Notes
    -----
    Light on a plane with normal n is the sum over the terms in front of it, so its maximum is the
    norm of the sum of the right subset of terms. Where no two terms stand at more than a right angle
    to each other that subset is all of them. Elsewhere (lamps on opposite sides, whose sum would
    cancel) every subset is tried, or with more than ten terms the best of 160 even directions and
    each term's own is taken and turned to the sum of what lies in front of it until that stays. A
    term is taken as lying wholly on one side; :func:`turned_to_the_light` goes on from there.
    """
    total = weighted.sum(axis=0)
    norm = np.linalg.norm(total, axis=-1)
    direction = np.where(norm[:, None] > 0, total / np.where(norm > 0, norm, 1.0)[:, None], 0.0)
    opposed = np.concatenate(
        [_opposed(weighted[:, start : start + CHUNK]) + start for start in range(0, max(len(norm), 1), CHUNK)]
    )
    for start in range(0, len(opposed), CHUNK):
        part = opposed[start : start + CHUNK]
        search = _best_subset if len(weighted) <= MOST_FOR_SUBSETS else _best_of_many
        direction[part] = search(weighted[:, part])
    direction[(direction == 0).all(axis=1)] = UP
    return np.asarray(direction)


def turned_to_the_light(direction: Floats, ahead: Callable[[Floats], Floats]) -> Floats:
    """Turn planes to the sum of the light that lies ahead of them, twice.

    Parameters
    ----------
    direction : (n, 3) float
        Unit vectors the planes face along. [-]
    ahead : callable
        Given such directions, the vector irradiance (n, 3) of what lies ahead of the planes. [-]

    Returns
    -------
    direction : (n, 3) float
        Unit vectors; a plane that faces so gets no less than before. [-]

    Notes
    -----
    Light on a plane is a convex function of its normal, and what lies ahead is its gradient: the plane that
    is turned there gets at least the length of that vector, which is no less than what it got.
    """
    for _ in range(TURNS):
        vector = ahead(direction)
        length = np.linalg.norm(vector, axis=1, keepdims=True)
        direction = np.where(length > 0, vector / np.where(length > 0, length, 1.0), direction)
    return direction


def _opposed(weighted: Floats) -> NDArray[np.int64]:
    """Receivers at which two terms stand at more than a right angle to each other."""
    return np.flatnonzero((np.einsum("tnk,snk->tsn", weighted, weighted) < 0).any(axis=(0, 1)))


def _best_subset(weighted: Floats) -> Floats:
    """Brightest direction (m, 3) of a few terms (t, m, 3): that of the longest sum of a subset."""
    count = len(weighted)
    chosen = (np.arange(1, 2**count)[:, None] >> np.arange(count)) & 1
    sums = np.tensordot(chosen.astype(np.float64), weighted, axes=1)
    length = np.linalg.norm(sums, axis=-1)
    best = length.argmax(axis=0), np.arange(weighted.shape[1])
    return np.asarray(sums[best] / np.maximum(length[best], 1e-300)[:, None])


def _best_of_many(weighted: Floats) -> Floats:
    """Brightest direction (m, 3) of terms (t, m, 3) that oppose each other."""
    length = np.linalg.norm(weighted, axis=-1, keepdims=True)
    own = weighted / np.where(length > 0, length, 1.0)
    even = np.broadcast_to(EVEN_DIRECTIONS[:, None, :], (len(EVEN_DIRECTIONS), *weighted.shape[1:]))
    candidates = np.concatenate([even, own])
    totals = np.maximum(np.einsum("cmk,tmk->ctm", candidates, weighted), 0.0).sum(axis=1)
    direction = candidates[totals.argmax(axis=0), np.arange(weighted.shape[1])]
    # Each turn to the sum of what lies in front can only gain.
    for _ in range(len(weighted) + 1):
        front = np.einsum("tmk,mk->tm", weighted, direction) > 0
        ahead = (weighted * front[:, :, None]).sum(axis=0)
        norm = np.linalg.norm(ahead, axis=-1, keepdims=True)
        direction = np.where(norm > 0, ahead / np.where(norm > 0, norm, 1.0), direction)
    return np.asarray(direction)


def _even_directions(count: int) -> Floats:
    # A Fibonacci lattice: even to a few per cent, and the same on every machine.
    k = np.arange(count) + 0.5
    z = 1 - 2 * k / count
    turn = np.pi * (3 - np.sqrt(5)) * k
    ring = np.sqrt(1 - z * z)
    return np.stack([ring * np.cos(turn), ring * np.sin(turn), z], axis=1)


EVEN_DIRECTIONS = _even_directions(160)
CHUNK = 512
TURNS = 2
UP = np.array([0.0, 0.0, 1.0])
MOST_FOR_SUBSETS = 10
