"""Which part of a line a triangle hides from a point; called by the kernels of lines and of discs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel

Floats = NDArray[np.float64]

# Nothing nearer to the point than this share of the way blocks it ...
NEAR = 1e-5
# ... and nothing nearer to the line than this: a lamp may lie flush in a face. [m]
LAMP_OFFSET = 1e-5
# Corners nearer to the plane of rays than this lie in it: a face seen edge-on blocks nothing. [m]
IN_PLANE = 1e-12
# Shadows whose ends are nearer than this are one: triangles that share an edge leak nothing. [m]
TOGETHER = 1e-12


@kernel
def triangle_shadow(corners: Floats, row: int, second: int, plane: Floats) -> tuple[float, float]:
    """Part of the line hidden behind a triangle; its end is not above its start if there is none.

    The corners stand in a row of `corners`: the first from 0 on, the other two from `second` on. Rows of
    `plane`: unit vectors across the plane of rays, towards the line, along it; the point; its distance from
    the line, and where the line begins and ends, counted from the foot of the point.
    """
    j, k = second, second + 3
    a, b, c = 0.0, 0.0, 0.0
    for n in range(3):
        a += (corners[row, n] - plane[3, n]) * plane[0, n]
        b += (corners[row, j + n] - plane[3, n]) * plane[0, n]
        c += (corners[row, k + n] - plane[3, n]) * plane[0, n]
    if misses(a, b, c):
        return 0.0, -1.0
    p, q, p0, q0, p1, q1 = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for n in range(3):
        p += (corners[row, n] - plane[3, n]) * plane[1, n]
        q += (corners[row, n] - plane[3, n]) * plane[2, n]
        p0 += (corners[row, j + n] - plane[3, n]) * plane[1, n]
        q0 += (corners[row, j + n] - plane[3, n]) * plane[2, n]
        p1 += (corners[row, k + n] - plane[3, n]) * plane[1, n]
        q1 += (corners[row, k + n] - plane[3, n]) * plane[2, n]
    return shadow_of_cut(a, b, c, p, q, p0, q0, p1, q1, plane)


@kernel
def misses(a: float, b: float, c: float) -> bool:
    """Whether a triangle with corners so far above a plane does not cut it; one in the plane counts as above."""
    return min(a, b, c) >= -IN_PLANE or max(a, b, c) <= -IN_PLANE


@kernel
def shadow_of_cut(
    a: float,
    b: float,
    c: float,
    p: float,
    q: float,
    p0: float,
    q0: float,
    p1: float,
    q1: float,
    plane: Floats,
) -> tuple[float, float]:
    """Part of the line hidden behind a triangle that cuts the plane of rays.

    Its corners lie `a`, `b`, `c` above the plane, and in it at (`p`, `q`), (`p0`, `q0`), (`p1`, `q1`).
    """
    a = 0.0 if abs(a) < IN_PLANE else a
    b = 0.0 if abs(b) < IN_PLANE else b
    c = 0.0 if abs(c) < IN_PLANE else c
    # Turned so that the first corner is alone on its side: the two edges that meet there are cut.
    if (a < 0.0) == (b < 0.0):
        a, b, c, p, q, p0, q0, p1, q1 = c, a, b, p1, q1, p, q, p0, q0
    elif (a < 0.0) == (c < 0.0):
        a, b, c, p, q, p0, q0, p1, q1 = b, c, a, p0, q0, p1, q1, p, q
    b, c = a / (a - b), a / (a - c)
    p0, q0, p1, q1 = p + b * (p0 - p), q + b * (q0 - q), p + c * (p1 - p), q + c * (q1 - q)
    if p0 > p1:
        p0, q0, p1, q1 = p1, q1, p0, q0
    # Keep what lies between the point and the line.
    d = plane[4, 0]
    near, far = NEAR * d, d - LAMP_OFFSET
    if p1 <= near or p0 >= far or near >= far:
        return 0.0, -1.0
    slope = (q1 - q0) / (p1 - p0) if p1 > p0 else 0.0
    if p0 < near:
        p0, q0 = near, q0 + slope * (near - p0)
    if p1 > far:
        p1, q1 = far, q1 - slope * (p1 - far)
    a, b = q0 / p0 * d, q1 / p1 * d
    return max(min(a, b), plane[4, 1]), min(max(a, b), plane[4, 2])


@kernel
def unite(blocked: Floats, number: int, low: float, high: float) -> int:
    """Add an interval to sorted intervals that lie apart; returns how many there are then."""
    first = 0
    while first < number and blocked[first, 1] < low - TOGETHER:
        first += 1
    last = first
    while last < number and blocked[last, 0] <= high + TOGETHER:
        low, high = min(low, blocked[last, 0]), max(high, blocked[last, 1])
        last += 1
    # Those from first to last melt into one: the rest moves up by one, stays, or moves down.
    moved = 1 - (last - first)
    for side in range(2):
        if moved == 1:
            for k in range(number, first, -1):
                blocked[k, side] = blocked[k - 1, side]
        if moved < 0:
            for k in range(last, number):
                blocked[k + moved, side] = blocked[k, side]
    blocked[first, 0], blocked[first, 1] = low, high
    return number + moved
