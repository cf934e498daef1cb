"""Single rays against the tree of triangles: is the way free, and what is hit first."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A hit nearer to either end of a way than this is the surface the end lies on. [m]
OFFSET = 1e-5
# A ray flatter to a triangle than this (sine) sees it edge-on and passes.
EDGE_ON = 1e-10
# Corners' weights may be this far below zero: a ray on the edge of two triangles hits at least one.
EDGE = -1e-12
STACK = 128


@kernel
def ray_kernel(
    tree: tuple[Floats, Ints, Ints, Floats],
    origins: Floats,
    others: Floats,
    to_ends: bool,
    distance: Floats,
    row: Ints,
) -> None:
    """Distance to what each ray hits and its row in `triangles`; infinity and -1 for nothing.

    `tree`: nodes, left, count, triangles. `others` are ends of the ways, on which any hit will do, or
    directions, in which the first counts.
    """
    stack = np.zeros(STACK, np.int64)
    ray = np.zeros(6)
    for i in range(len(origins)):
        length = _aim(ray, origins, others, i, to_ends)
        far = length - OFFSET if to_ends else inf
        distance[i], row[i] = inf, -1
        if far > OFFSET:
            distance[i], row[i] = _first(tree, ray, OFFSET, far, to_ends, stack)


@kernel
def _aim(ray: Floats, origins: Floats, others: Floats, i: int, to_ends: bool) -> float:
    """Origin and unit direction into `ray`; returns the length of the way to the end."""
    square = 0.0
    for c in range(3):
        ray[c] = origins[i, c]
        ray[3 + c] = others[i, c] - (origins[i, c] if to_ends else 0.0)
        square += ray[3 + c] ** 2
    length = sqrt(square)
    for c in range(3):
        ray[3 + c] /= length
    return length


@kernel
def _first(
    tree: tuple[Floats, Ints, Ints, Floats],
    ray: Floats,
    near: float,
    far: float,
    any_will_do: bool,
    stack: Ints,
) -> tuple[float, int]:
    """Distance and row of the nearest hit (or of any) between `near` and `far`."""
    nodes, left, count, triangles = tree
    best, hit = far, -1
    stack[0] = 0
    waiting = 1 if len(nodes) > 0 else 0
    while waiting > 0:
        waiting -= 1
        node = stack[waiting]
        if _box_distance(nodes, node, ray, near, best) == inf:
            continue
        for k in range(left[node], left[node] + count[node]):
            t = _hit_distance(triangles, k, ray)
            if near < t < best:
                best, hit = t, k
                if any_will_do:
                    return best, hit
        if count[node] == 0:
            # The nearer child last, so that it is looked at first.
            first, second = left[node], left[node] + 1
            if _box_distance(nodes, first, ray, near, best) < _box_distance(nodes, second, ray, near, best):
                first, second = second, first
            stack[waiting], stack[waiting + 1] = first, second
            waiting += 2
    return best if hit >= 0 else inf, hit


@kernel
def _box_distance(nodes: Floats, node: int, ray: Floats, near: float, far: float) -> float:
    """Where a ray enters a box, or infinity if it does not between `near` and `far`."""
    enter, leave = near, far
    for c in range(3):
        if ray[3 + c] == 0.0:
            if ray[c] < nodes[node, c] or ray[c] > nodes[node, 3 + c]:
                return inf
        else:
            a = (nodes[node, c] - ray[c]) / ray[3 + c]
            b = (nodes[node, 3 + c] - ray[c]) / ray[3 + c]
            enter = max(enter, min(a, b))
            leave = min(leave, max(a, b))
    return enter if enter <= leave else inf


@kernel
def _hit_distance(triangles: Floats, k: int, ray: Floats) -> float:
    """Distance at which a ray meets a triangle, or infinity; Cramer's rule on o + t d = a + u e + v f."""
    ax, ay, az = triangles[k, 0], triangles[k, 1], triangles[k, 2]
    ex, ey, ez = triangles[k, 3] - ax, triangles[k, 4] - ay, triangles[k, 5] - az
    fx, fy, fz = triangles[k, 6] - ax, triangles[k, 7] - ay, triangles[k, 8] - az
    dx, dy, dz = ray[3], ray[4], ray[5]
    sx, sy, sz = ax - ray[0], ay - ray[1], az - ray[2]
    nx, ny, nz = ey * fz - ez * fy, ez * fx - ex * fz, ex * fy - ey * fx
    flat = dx * nx + dy * ny + dz * nz
    if abs(flat) <= EDGE_ON * sqrt(nx * nx + ny * ny + nz * nz):
        return inf
    cx, cy, cz = dy * sz - dz * sy, dz * sx - dx * sz, dx * sy - dy * sx
    u = -(cx * fx + cy * fy + cz * fz) / flat
    v = (cx * ex + cy * ey + cz * ez) / flat
    if u < EDGE or v < EDGE or u + v > 1.0 - EDGE:
        return inf
    return float((sx * nx + sy * ny + sz * nz) / flat)
