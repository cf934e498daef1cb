"""Which sideways shifts of a body are free at one rotation and depth: a rectangle, for any body.

Shared by the kernels of the search and of the proof. Bodies are balls (`nodes`, `radius`) and rods;
layers are rows of first and last depth, then the rectangle (x from, to, y from, to) a body must keep
to between them.
"""

from __future__ import annotations

from math import acos, atan2, ceil, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FAR = 1e9


@kernel
def turn_nodes(turn: Floats, nodes: Floats, out: Floats) -> None:
    """Turn each node by a unit quaternion, into `out`."""
    w, x, y, z = turn[0], turn[1], turn[2], turn[3]
    xx, xy, xz = 1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)
    yx, yy, yz = 2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)
    zx, zy, zz = 2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)
    for i in range(len(nodes)):
        a, b, c = nodes[i, 0], nodes[i, 1], nodes[i, 2]
        out[i, 0] = xx * a + xy * b + xz * c
        out[i, 1] = yx * a + yy * b + yz * c
        out[i, 2] = zx * a + zy * b + zz * c


@kernel
def reach_between(nodes: Floats, radius: Floats, rods: Ints, low: float, high: float, reach: Floats) -> bool:
    """How far the part between two depths reaches: x from, to, y from, to; False if nothing lies there.

    The reach is that of the outline seen from the side: discs and their common tangents, cut at the two depths.
    """
    reach[0], reach[1], reach[2], reach[3] = FAR, -FAR, FAR, -FAR
    for i in range(len(nodes)):
        z, r = nodes[i, 2], radius[i]
        if z + r <= low or z - r >= high:
            continue
        off = max(low - z, z - high)
        half = r if off <= 0 else sqrt(max(r * r - off * off, 0.0))
        for axis in range(2):
            reach[2 * axis] = min(reach[2 * axis], nodes[i, axis] - half)
            reach[2 * axis + 1] = max(reach[2 * axis + 1], nodes[i, axis] + half)
    for k in range(len(rods)):
        a, b = rods[k, 0], rods[k, 1]
        if radius[a] == 0.0 and radius[b] == 0.0:
            za, zb = nodes[a, 2], nodes[b, 2]
            for side in range(2):
                plane = low if side == 0 else high
                if (za - plane) * (zb - plane) < 0:
                    s = (plane - za) / (zb - za)
                    for axis in range(2):
                        at = nodes[a, axis] + s * (nodes[b, axis] - nodes[a, axis])
                        reach[2 * axis] = min(reach[2 * axis], at)
                        reach[2 * axis + 1] = max(reach[2 * axis + 1], at)
        else:
            for axis in range(2):
                _tangents(nodes, radius, a, b, axis, low, high, reach)
    return bool(reach[1] >= reach[0])


@kernel
def _tangents(
    nodes: Floats, radius: Floats, a: int, b: int, axis: int, low: float, high: float, reach: Floats
) -> None:
    """Widen the reach by where the common tangents of two discs cross the two depths."""
    dx, dz = nodes[b, axis] - nodes[a, axis], nodes[b, 2] - nodes[a, 2]
    square, taper = dx * dx + dz * dz, radius[a] - radius[b]
    if square <= taper * taper:
        return  # one disc holds the other
    along = taper / square
    across = sqrt(square - taper * taper) / square
    for side in range(2):
        turn = across if side == 0 else -across
        nx, nz = along * dx - turn * dz, along * dz + turn * dx
        za, zb = nodes[a, 2] + radius[a] * nz, nodes[b, 2] + radius[b] * nz
        xa, xb = nodes[a, axis] + radius[a] * nx, nodes[b, axis] + radius[b] * nx
        for end in range(2):
            plane = low if end == 0 else high
            if (za - plane) * (zb - plane) < 0:
                at = xa + (plane - za) / (zb - za) * (xb - xa)
                reach[2 * axis] = min(reach[2 * axis], at)
                reach[2 * axis + 1] = max(reach[2 * axis + 1], at)


@kernel
def free_shifts(
    nodes: Floats,
    radius: Floats,
    rods: Ints,
    depth: float,
    layers: Floats,
    end: float,
    margin: float,
    free: Floats,
) -> float:
    """Rectangle of free (x, y) of the body's middle (into `free`), `margin` off everything.

    Returns the room that is left, negative where nothing is free.
    """
    free[0], free[1], free[2], free[3] = -FAR, FAR, -FAR, FAR
    deepest = -FAR
    for i in range(len(nodes)):
        deepest = max(deepest, nodes[i, 2] + radius[i])
    room = end - margin - (deepest + depth)
    if room < 0:
        return room
    reach = np.zeros(4)
    for k in range(len(layers)):
        low, high = layers[k, 0] - depth - margin, layers[k, 1] - depth + margin
        if reach_between(nodes, radius, rods, low, high, reach):
            for axis in range(2):
                free[2 * axis] = max(free[2 * axis], layers[k, 2 + 2 * axis] + margin - reach[2 * axis])
                free[2 * axis + 1] = min(
                    free[2 * axis + 1], layers[k, 3 + 2 * axis] - margin - reach[2 * axis + 1]
                )
            if free[1] < free[0] or free[3] < free[2]:
                break
    return float(min(room, free[1] - free[0], free[3] - free[2]))


@kernel
def between_turns(first: Floats, last: Floats, share: float, out: Floats) -> None:
    """Rotation at a share of the shorter way between two."""
    dot = first[0] * last[0] + first[1] * last[1] + first[2] * last[2] + first[3] * last[3]
    sign = 1.0
    if dot < 0:
        dot, sign = -dot, -1.0
    if dot > 0.9999999:
        a, b = 1 - share, share
    else:
        angle = acos(dot)
        a, b = sin((1 - share) * angle) / sin(angle), sin(share * angle) / sin(angle)
    square = 0.0
    for i in range(4):
        out[i] = a * first[i] + b * sign * last[i]
        square += out[i] ** 2
    for i in range(4):
        out[i] /= sqrt(square)


@kernel
def sweep_length(first: Floats, last: Floats, nodes: Floats) -> float:
    """Longest way of any ball's middle while the body turns from one rotation to another.

    Balls turn into themselves, so their middles say how far the whole body moves.
    """
    # conj(first) * last: the turn in the body's own axes.
    w = first[0] * last[0] + first[1] * last[1] + first[2] * last[2] + first[3] * last[3]
    x = first[0] * last[1] - first[1] * last[0] - first[2] * last[3] + first[3] * last[2]
    y = first[0] * last[2] + first[1] * last[3] - first[2] * last[0] - first[3] * last[1]
    z = first[0] * last[3] - first[1] * last[2] + first[2] * last[1] - first[3] * last[0]
    sine = sqrt(x * x + y * y + z * z)
    if sine < 1e-12:
        return 0.0
    angle = 2 * atan2(sine, abs(w))
    x, y, z = x / sine, y / sine, z / sine
    lever = 0.0
    for i in range(len(nodes)):
        a, b, c = nodes[i, 0], nodes[i, 1], nodes[i, 2]
        p, q, r = y * c - z * b, z * a - x * c, x * b - y * a
        lever = max(lever, p * p + q * q + r * r)
    return angle * sqrt(lever)


@kernel
def march(
    first: Floats,
    first_depth: float,
    last: Floats,
    last_depth: float,
    nodes: Floats,
    radius: Floats,
    rods: Ints,
    layers: Floats,
    end: float,
    clearance: float,
    step: float,
) -> float:
    """Share of a move over which it is surely `clearance` off everything; 1 if all of it is.

    Poses no more than `step` apart are held half a step further off than asked, and neighbours must
    have a sideways shift in common: what lies between two poses is then free as well.
    """
    length = abs(last_depth - first_depth) + sweep_length(first, last, nodes)
    count = max(1, ceil(length / step))
    turn, placed = np.zeros(4), np.zeros_like(nodes)
    free, before = np.zeros(4), np.zeros(4)
    passed = 0.0
    for k in range(count + 1):
        share = k / count
        between_turns(first, last, share, turn)
        turn_nodes(turn, nodes, placed)
        depth = first_depth + share * (last_depth - first_depth)
        if free_shifts(placed, radius, rods, depth, layers, end, clearance + step / 2, free) < 0:
            return passed
        if k > 0 and (
            min(free[1], before[1]) < max(free[0], before[0])
            or min(free[3], before[3]) < max(free[2], before[2])
        ):
            return passed
        before[:] = free
        passed = share
    return 1.0
