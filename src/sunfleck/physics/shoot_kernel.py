"""Rays of a lamp booked where they land."""

from __future__ import annotations

from math import expm1, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel
from sunfleck.physics.medium_kernels import medium_law

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# A crossing nearer to either end of a ray than this is the surface the end lies on. [m]
OFFSET = 1e-5


@kernel
def shoot_kernel(
    media: tuple[Floats, Floats, Floats, Floats, Floats, Ints, Ints, Floats],
    canopies: tuple[Floats, Floats, Floats],
    canopy_bins: Ints,
    origins: Floats,
    directions: Floats,
    distance: Floats,
    bins: Ints,
    landed: Floats,
    arriving: Floats,
    passing: Floats,
    occurs: Bools,
) -> None:
    """Add to `landed` (bins, masks), `arriving` and `passing` (groups, masks): rays by what they crossed. [-]

    `media`: origins, sizes (k, 2), unit u, unit v, unit normal, groups, law, parameters. `canopies`: centre,
    half axes, extinction. Each ray begins with a weight of 1, ends after `distance` (or never) in its bin
    of `bins`, and has a unit direction. `occurs` (masks,) is set where light with that mask is booked.
    """
    unit_n, groups, law, parameters = media[4], media[5], media[6], media[7]
    thin, leafy = len(groups), len(canopy_bins)
    place = np.zeros(thin + leafy)  # of what the ray meets, nearest first: how far along the ray ...
    what = np.zeros(thin + leafy, np.int64)  # ... its number, canopies after the media ...
    depth = np.zeros(leafy)  # ... and the optical depth of each canopy on this ray
    ray = np.zeros(6)
    for i in range(len(origins)):
        for c in range(3):
            ray[c], ray[3 + c] = origins[i, c], directions[i, c]
        number = 0
        for j in range(thin):
            t = _crossing(media, j, ray)
            if OFFSET < t < distance[i] - OFFSET:
                number = _insert(place, what, number, t, j)
        for k in range(leafy):
            enter, leave = _chord(canopies, k, ray, distance[i])
            if leave > enter:
                depth[k] = canopies[2][k] * (leave - enter)
                # The middle of the chord stands for the whole, so that what crosses a canopy has an order.
                number = _insert(place, what, number, 0.5 * (enter + leave), thin + k)
        part, mask = 1.0, 0
        for m in range(number):
            if part == 0.0:
                break
            occurs[mask] = True
            if what[m] >= thin:
                k = what[m] - thin
                caught = -part * expm1(-depth[k])
                landed[canopy_bins[k], mask] += caught
                part -= caught
                continue
            j = what[m]
            arriving[groups[j], mask] += part
            if law[j] != 0:
                u, v, n = _along(media[2], j, ray), _along(media[3], j, ray), _along(unit_n, j, ray)
                part *= medium_law(law[j], parameters[j, 0], parameters[j, 1], u, v, n)
            passing[groups[j], mask] += part
            mask |= 1 << groups[j]
        if part > 0.0:
            landed[bins[i], mask] += part
            occurs[mask] = True


@kernel
def _insert(place: Floats, what: Ints, number: int, t: float, name: int) -> int:
    """Put what a ray meets at t in its place among what it meets; returns how many there are then."""
    k = number
    while k > 0 and place[k - 1] > t:
        place[k], what[k] = place[k - 1], what[k - 1]
        k -= 1
    place[k], what[k] = t, name
    return number + 1


@kernel
def _along(vectors: Floats, row: int, ray: Floats) -> float:
    """Component of a ray's direction along a row of `vectors`."""
    return float(vectors[row, 0] * ray[3] + vectors[row, 1] * ray[4] + vectors[row, 2] * ray[5])


@kernel
def _crossing(
    media: tuple[Floats, Floats, Floats, Floats, Floats, Ints, Ints, Floats], j: int, ray: Floats
) -> float:
    """How far along a ray it crosses a rectangle; -1 if it does not. [m]"""
    origins, sizes, unit_u, unit_v, unit_n = media[0], media[1], media[2], media[3], media[4]
    speed = _along(unit_n, j, ray)
    if speed == 0.0:
        return -1.0
    t, u, v = 0.0, 0.0, 0.0
    for c in range(3):
        t += (origins[j, c] - ray[c]) * unit_n[j, c] / speed
    for c in range(3):
        x = ray[c] + t * ray[3 + c] - origins[j, c]
        u += x * unit_u[j, c]
        v += x * unit_v[j, c]
    return t if 0.0 <= u <= sizes[j, 0] and 0.0 <= v <= sizes[j, 1] else -1.0


@kernel
def _chord(canopies: tuple[Floats, Floats, Floats], k: int, ray: Floats, far: float) -> tuple[float, float]:
    """Where a ray enters a leafy body and where it leaves it, no farther than `far`. [m]"""
    centre, half_axes = canopies[0], canopies[1]
    # In the space where the body is the unit sphere the ray is m + t w, nearest to its middle at t = nearest.
    along, square = 0.0, 0.0
    for c in range(3):
        w = ray[3 + c] / half_axes[k, c]
        along += w * (ray[c] - centre[k, c]) / half_axes[k, c]
        square += w * w
    nearest, apart = -along / square, 0.0
    for c in range(3):
        apart += ((ray[c] - centre[k, c] + nearest * ray[3 + c]) / half_axes[k, c]) ** 2
    if apart >= 1.0:
        return 0.0, 0.0
    half = sqrt((1.0 - apart) / square)
    return max(0.0, nearest - half), min(far, nearest + half)
