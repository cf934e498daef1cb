"""Whether a body is surely blocked at every rotation and depth of a cell: the bound the proof rests on.

A cell is a box of quaternions q + d, |d_k| <= h_k, one component of q held at 1, and of depths. With
v = vector part and S = scalar part of (q + d) conj(q), the Gibbs vector t = v / S turns p into

    p + 2 / (1 + t.t) (t x p + t x (t x p)),

so that each coordinate moves by a linear term in d, scaled by at most `stretch`, and by a rest of at
most 2 |t|^2 |p|. Two balls are compared with the linear terms of both at the *same* d, which is what
makes large cells decidable. Where a rod crosses a plane, x - m z with m the rod's own slope is used in
place of x: it is the same all along the rod, so that only its change counts.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel
from sunfleck.geometry.passage.fibre_kernels import turn_nodes

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# What rounding may amount to, many times over. [m]
ROUNDING = 1e-9
# Points of the body whose reach is compared, per axis.
MOST = 96


@kernel
def cell_turn(middle: Floats, cube: int, turn: Floats) -> float:
    """Unit quaternion at the middle of a cell, into `turn`; returns the length before it was made one."""
    turn[cube] = 1.0
    k = 0
    square = 1.0
    for i in range(4):
        if i != cube:
            turn[i] = middle[k]
            square += middle[k] * middle[k]
            k += 1
    length = sqrt(square)
    for i in range(4):
        turn[i] /= length
    return length


@kernel
def _rates(turn: Floats, length: float, cube: int, rates: Floats) -> None:
    """Rotation vectors per unit of each of a cell's three coordinates: 2 vec(E_k conj(q)) / |q|."""
    w, x, y, z = turn[0], turn[1], turn[2], turn[3]
    k = 0
    for i in range(4):
        if i == cube:
            continue
        if i == 0:
            rates[k, 0], rates[k, 1], rates[k, 2] = -x, -y, -z
        elif i == 1:
            rates[k, 0], rates[k, 1], rates[k, 2] = w, z, -y
        elif i == 2:
            rates[k, 0], rates[k, 1], rates[k, 2] = -z, w, x
        else:
            rates[k, 0], rates[k, 1], rates[k, 2] = y, -x, w
        for c in range(3):
            rates[k, c] *= 2.0 / length
        k += 1


@kernel
def _slopes(p: Floats, rates: Floats, out: Floats) -> None:
    """How each coordinate of a point changes with each coordinate of the cell, (3, 3): axis, cell coordinate."""
    for k in range(3):
        a, b, c = rates[k, 0], rates[k, 1], rates[k, 2]
        out[0, k] = b * p[2] - c * p[1]
        out[1, k] = c * p[0] - a * p[2]
        out[2, k] = a * p[1] - b * p[0]


@kernel
def cell_is_possible(
    middle: Floats,
    half: Floats,
    cube: int,
    nodes: Floats,
    radius: Floats,
    rods: Ints,
    layers: Floats,
    end: float,
    clearance: float,
    placed: Floats,
    sway: Floats,
) -> bool:
    """False only if no pose of the cell is free. `middle`, `half`: three of rotation, one of depth.

    `sway` receives how far the body moves over each of the cell's coordinates.
    """
    turn = np.zeros(4)
    rates = np.zeros((3, 3))
    length = cell_turn(middle, cube, turn)
    _rates(turn, length, cube, rates)
    turn_nodes(turn, nodes, placed)
    lean, spread = 0.0, 0.0
    k = 0
    for i in range(4):
        if i != cube:
            lean += half[k] * abs(turn[i]) / length
            spread += half[k] * half[k]
            k += 1
    count = len(nodes)
    slopes = np.zeros((count, 3, 3))
    rest = np.zeros(count)
    dip = np.zeros(count)
    sway[0], sway[1], sway[2], sway[3] = 0.0, 0.0, 0.0, half[3]
    stretch = 1.0 / (1.0 - lean) if lean < 0.99 else 100.0
    tilt = stretch * sqrt(spread) / length
    for i in range(count):
        _slopes(placed[i], rates, slopes[i])
        size = sqrt(placed[i, 0] ** 2 + placed[i, 1] ** 2 + placed[i, 2] ** 2)
        rest[i] = 2.0 * tilt * tilt * size
        dip[i] = rest[i] + half[3]
        for k in range(3):
            dip[i] += stretch * half[k] * abs(slopes[i, 2, k])
            moved = slopes[i, 0, k] ** 2 + slopes[i, 1, k] ** 2 + slopes[i, 2, k] ** 2
            sway[k] = max(sway[k], half[k] * sqrt(moved))
        if placed[i, 2] + middle[3] + radius[i] - dip[i] > end - clearance + ROUNDING:
            return False
    if lean >= 0.99:
        return True
    turned = (placed, radius, slopes, dip)
    # Points that surely lie within a layer, per axis: lower and upper bound of the shift, rates, rest.
    at = np.empty((2, MOST, 7))  # each row is written before it is read
    found = np.zeros(2, np.int64)
    for n in range(len(layers)):
        low, high = layers[n, 0] - clearance, layers[n, 1] + clearance
        for i in range(count):
            z = placed[i, 2] + middle[3]
            off = max(low - (z - dip[i]), (z + dip[i]) - high)
            if off < radius[i] or (radius[i] == 0.0 and off < 0.0):
                half_width = radius[i] if off <= 0 else sqrt(radius[i] ** 2 - off**2)
                for axis in range(2):
                    x = placed[i, axis]
                    if found[axis] < MOST:
                        row = at[axis, found[axis]]
                        row[0] = layers[n, 2 + 2 * axis] + clearance - x + half_width
                        row[1] = layers[n, 3 + 2 * axis] - clearance - x - half_width
                        for k in range(3):
                            row[2 + k] = slopes[i, axis, k]
                        row[5] = 0.0
                        row[6] = rest[i]
                        found[axis] += 1
        for side in range(2):
            plane = (low if side == 0 else high) - middle[3]
            for k in range(len(rods)):
                a, b = rods[k, 0], rods[k, 1]
                if placed[a, 2] > placed[b, 2]:
                    a, b = b, a
                if placed[a, 2] + dip[a] < plane and placed[b, 2] - dip[b] > plane:
                    _crossing(
                        a,
                        b,
                        plane,
                        n,
                        layers,
                        clearance,
                        half,
                        stretch,
                        tilt,
                        turned,
                        at,
                        found,
                    )
                else:
                    low_here, high_here = low - middle[3], high - middle[3]
                    _inner_end(
                        a,
                        b,
                        side,
                        low_here,
                        high_here,
                        n,
                        layers,
                        clearance,
                        tilt,
                        turned,
                        at,
                        found,
                    )
    for axis in range(2):
        for i in range(found[axis]):
            for j in range(found[axis]):
                gap = at[axis, i, 0] - at[axis, j, 1] - at[axis, i, 6] - at[axis, j, 6] - ROUNDING
                if gap > 0:
                    for k in range(3):
                        gap -= stretch * half[k] * abs(at[axis, i, 2 + k] - at[axis, j, 2 + k])
                    gap -= half[3] * abs(at[axis, i, 5] - at[axis, j, 5])
                    if gap > 0:
                        return False
    return True


@kernel
def _crossing(
    a: int,
    b: int,
    plane: float,
    n: int,
    layers: Floats,
    clearance: float,
    half: Floats,
    stretch: float,
    tilt: float,
    turned: tuple[Floats, Floats, Floats, Floats],
    at: Floats,
    found: Ints,
) -> None:
    """Add where a rod surely crosses a plane. All it may be is a part of the rod, from `start` to `stop`."""
    placed, radius, slopes, dip = turned
    rise = placed[b, 2] - placed[a, 2]
    start, stop = 0.0, 1.0
    reach = max(dip[a], dip[b])
    far = 0.0
    for _ in range(3):
        start = max(start, (plane - placed[a, 2] - reach) / rise)
        stop = min(stop, (plane - placed[a, 2] + reach) / rise)
        reach, far = 0.0, 0.0
        for end in range(2):
            s = start if end == 0 else stop
            square, here = 0.0, half[3]
            for c in range(3):
                p = placed[a, c] + s * (placed[b, c] - placed[a, c])
                square += p * p
            for k in range(3):
                here += stretch * half[k] * abs(slopes[a, 2, k] + s * (slopes[b, 2, k] - slopes[a, 2, k]))
            far = max(far, sqrt(square))
            reach = max(reach, here + 2.0 * tilt * tilt * sqrt(square))
    mid, part = (start + stop) / 2, (stop - start) / 2
    ball = min(radius[a] + start * (radius[b] - radius[a]), radius[a] + stop * (radius[b] - radius[a]))
    for axis in range(2):
        if found[axis] >= MOST:
            continue
        lean = (placed[b, axis] - placed[a, axis]) / rise
        # Along the rod x - lean z is constant; without it x itself, whose spread is the part's own.
        doubt = 2.0 * tilt * tilt * far
        leaning = doubt * sqrt(1.0 + lean * lean) + half[3] * abs(lean)
        plain = doubt + part * abs(placed[b, axis] - placed[a, axis])
        for k in range(3):
            across_a, across_b = slopes[a, axis, k], slopes[b, axis, k]
            plain += (
                stretch
                * half[k]
                * (abs(across_a + mid * (across_b - across_a)) + part * abs(across_b - across_a))
            )
            f_a, f_b = across_a - lean * slopes[a, 2, k], across_b - lean * slopes[b, 2, k]
            leaning += stretch * half[k] * (abs(f_a + mid * (f_b - f_a)) + part * abs(f_b - f_a))
        slant = lean if leaning < plain else 0.0
        row = at[axis, found[axis]]
        x = placed[a, axis] + mid * (placed[b, axis] - placed[a, axis])
        row[6] = doubt * sqrt(1.0 + slant * slant)
        if slant == 0.0:
            row[6] += part * abs(placed[b, axis] - placed[a, axis])
        else:
            x += slant * (plane - placed[a, 2] - mid * rise)
        for k in range(3):
            f_a = slopes[a, axis, k] - slant * slopes[a, 2, k]
            f_b = slopes[b, axis, k] - slant * slopes[b, 2, k]
            row[2 + k] = f_a + mid * (f_b - f_a)
            row[6] += stretch * half[k] * part * abs(f_b - f_a)
        row[0] = layers[n, 2 + 2 * axis] + clearance - x + ball
        row[1] = layers[n, 3 + 2 * axis] - clearance - x - ball
        row[5] = -slant
        found[axis] += 1


@kernel
def _inner_end(
    a: int,
    b: int,
    side: int,
    low: float,
    high: float,
    n: int,
    layers: Floats,
    clearance: float,
    tilt: float,
    turned: tuple[Floats, Floats, Floats, Floats],
    at: Floats,
    found: Ints,
) -> None:
    """Add the end of what of a rod surely lies between two depths, where that is not an end of the rod itself.

    It matters where a rod just reaches through a plane, or does not: most of it lies before the plane anyway.
    """
    placed, radius, slopes, dip = turned
    first, last = 0.0, 1.0
    # How much higher than `low` and lower than `high` both ends surely are; along the rod at least the even mean.
    for k in range(2):
        over_a = placed[a, 2] - dip[a] - low if k == 0 else high - placed[a, 2] - dip[a]
        over_b = placed[b, 2] - dip[b] - low if k == 0 else high - placed[b, 2] - dip[b]
        if over_a <= 0.0 and over_b <= 0.0:
            return
        if over_a <= 0.0:
            first = max(first, -over_a / (over_b - over_a))
        elif over_b <= 0.0:
            last = min(last, over_a / (over_a - over_b))
    if first >= last:
        return
    s = first if side == 0 else last
    if s <= 0.0 or s >= 1.0:
        return
    size = 0.0
    for c in range(3):
        size += (placed[a, c] + s * (placed[b, c] - placed[a, c])) ** 2
    ball = radius[a] + s * (radius[b] - radius[a])
    for axis in range(2):
        if found[axis] >= MOST:
            continue
        row = at[axis, found[axis]]
        x = placed[a, axis] + s * (placed[b, axis] - placed[a, axis])
        row[0] = layers[n, 2 + 2 * axis] + clearance - x + ball
        row[1] = layers[n, 3 + 2 * axis] - clearance - x - ball
        for k in range(3):
            row[2 + k] = slopes[a, axis, k] + s * (slopes[b, axis, k] - slopes[a, axis, k])
        row[5] = 0.0
        row[6] = 2.0 * tilt * tilt * sqrt(size)
        found[axis] += 1
