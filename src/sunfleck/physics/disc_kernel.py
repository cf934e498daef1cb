"""Light of a disc at points, by shadow rays to a fixed pattern; everything this kernel calls stands here."""

from __future__ import annotations

from math import acos, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A receiver on the disc itself is held this far from it. [m]
CLOSEST = 1e-6
# A hit nearer to either end of a ray than this is the surface the end lies on. [m]
OFFSET = 1e-5
# A ray flatter to a triangle than this (sine) sees it edge-on and passes.
EDGE_ON = 1e-10
# Corners' weights may be this far below zero: a ray on the edge of two triangles hits at least one.
EDGE = -1e-12
STACK = 128


@kernel
def disc_kernel(
    tree: tuple[Floats, Ints, Ints, Floats],
    media: tuple[Floats, Floats, Floats, Floats, Floats, Ints, Ints, Floats],
    lamp: tuple[Floats, Floats, Floats, Floats, Floats],
    points: Floats,
    normals: Floats,
    out: Floats,
    occurs: NDArray[np.bool_],
) -> None:
    """Fill `out` (n, masks, 4): vector and facing value of each point by mask of media crossed. [m-2]

    `tree`: nodes, left, count, triangles. `media`: origins, sizes (k, 2), unit u, unit v, unit normal,
    bits, law, parameters. `lamp`: few (f, 3) and many (s, 3) places on the disc, the share of the disc's
    area that each of the many stands for, aim, intensity.

    Light is always summed over the many; shadow rays go to the few, and to the many only where the few
    disagree. So a shadow can only take light away, never change what else is summed.
    """
    origins, sizes, unit_u, unit_v, unit_n, bits, law, parameters = media
    few, many, shares, aim, intensity = lamp
    stack = np.zeros(STACK, np.int64)
    ray = np.zeros(6)
    near, far = _side_of_disc(origins, unit_n, many)
    candidates = np.zeros(len(bits), np.int64)
    for i in range(len(points)):
        if np.isnan(points[i, 0]):
            continue  # the caller marks points without an answer
        seen = 0
        for k in range(len(few)):
            length = _aim(ray, points, i, few, k)
            if not _blocked(tree, ray, OFFSET, length - OFFSET, stack):
                seen += 1
        if seen == 0:
            continue
        number = 0
        for j in range(len(bits)):
            height = 0.0
            for c in range(3):
                height += (points[i, c] - origins[j, c]) * unit_n[j, c]
            # A ray crosses a plane only if its ends lie on different sides of it.
            if (height > 0.0 and near[j] < 0.0) or (height < 0.0 and far[j] > 0.0):
                candidates[number] = j
                number += 1
        for k in range(len(many)):
            length = _aim(ray, points, i, many, k)
            cosine = -(ray[3] * aim[0] + ray[4] * aim[1] + ray[5] * aim[2])
            part = shares[k] * _interpolate(intensity, cosine) / length**2
            if part == 0.0:
                continue
            if seen < len(few) and _blocked(tree, ray, OFFSET, length - OFFSET, stack):
                continue
            mask = 0
            for m in range(number):
                j = candidates[m]
                if _crosses(origins, sizes, unit_u, unit_v, unit_n, j, ray, length):
                    mask |= bits[j]
                    if law[j] != 0:
                        u = _along(unit_u, j, ray)
                        v = _along(unit_v, j, ray)
                        n = _along(unit_n, j, ray)
                        part *= _medium(law[j], parameters[j, 0], parameters[j, 1], u, v, n)
            for c in range(3):
                out[i, mask, c] += part * ray[3 + c]
            out[i, mask, 3] += part * max(0.0, _along(normals, i, ray))
            if part > 0.0:
                occurs[mask] = True


@kernel
def _side_of_disc(origins: Floats, unit_n: Floats, many: Floats) -> tuple[Floats, Floats]:
    """Least and greatest height of the disc's places over the plane of each rectangle. [m]"""
    near, far = np.full(len(origins), np.inf), np.full(len(origins), -np.inf)
    for j in range(len(origins)):
        for k in range(len(many)):
            height = 0.0
            for c in range(3):
                height += (many[k, c] - origins[j, c]) * unit_n[j, c]
            near[j] = min(near[j], height)
            far[j] = max(far[j], height)
    return near, far


@kernel
def _aim(ray: Floats, points: Floats, i: int, ends: Floats, k: int) -> float:
    """Ray from a point to a place on the disc: origin and unit direction; returns its length."""
    square = 0.0
    for c in range(3):
        ray[c] = points[i, c]
        ray[3 + c] = ends[k, c] - points[i, c]
        square += ray[3 + c] ** 2
    length = max(sqrt(square), CLOSEST)
    for c in range(3):
        ray[3 + c] /= length
    return length


@kernel
def _along(vectors: Floats, row: int, ray: Floats) -> float:
    """Component of a ray's direction along a row of `vectors`."""
    return float(vectors[row, 0] * ray[3] + vectors[row, 1] * ray[4] + vectors[row, 2] * ray[5])


@kernel
def _crosses(
    origins: Floats,
    sizes: Floats,
    unit_u: Floats,
    unit_v: Floats,
    unit_n: Floats,
    j: int,
    ray: Floats,
    length: float,
) -> bool:
    """Whether a ray crosses a rectangle on its way."""
    speed = _along(unit_n, j, ray)
    if speed == 0.0:
        return False
    t, u, v = 0.0, 0.0, 0.0
    for c in range(3):
        t += (origins[j, c] - ray[c]) * unit_n[j, c] / speed
    if not OFFSET < t < length - OFFSET:
        return False
    for c in range(3):
        place = ray[c] + t * ray[3 + c] - origins[j, c]
        u += place * unit_u[j, c]
        v += place * unit_v[j, c]
    return bool(0.0 <= u <= sizes[j, 0] and 0.0 <= v <= sizes[j, 1])


@kernel
def _blocked(
    tree: tuple[Floats, Ints, Ints, Floats], ray: Floats, near: float, far: float, stack: Ints
) -> bool:
    """Whether any triangle lies on a ray between two distances."""
    nodes, left, count, triangles = tree
    if len(nodes) == 0:
        return False
    ix = 1.0 / ray[3] if ray[3] != 0.0 else 1e300
    iy = 1.0 / ray[4] if ray[4] != 0.0 else 1e300
    iz = 1.0 / ray[5] if ray[5] != 0.0 else 1e300
    stack[0] = 0
    waiting = 1
    while waiting > 0:
        waiting -= 1
        node = stack[waiting]
        a, b = (nodes[node, 0] - ray[0]) * ix, (nodes[node, 3] - ray[0]) * ix
        enter, leave = max(near, min(a, b)), min(far, max(a, b))
        a, b = (nodes[node, 1] - ray[1]) * iy, (nodes[node, 4] - ray[1]) * iy
        enter, leave = max(enter, min(a, b)), min(leave, max(a, b))
        a, b = (nodes[node, 2] - ray[2]) * iz, (nodes[node, 5] - ray[2]) * iz
        enter, leave = max(enter, min(a, b)), min(leave, max(a, b))
        if enter > leave:
            continue
        if count[node] == 0:
            stack[waiting] = left[node]
            stack[waiting + 1] = left[node] + 1
            waiting += 2
            continue
        for k in range(left[node], left[node] + count[node]):
            if _hits(triangles, k, ray, near, far):
                return True
    return False


@kernel
def _hits(triangles: Floats, k: int, ray: Floats, near: float, far: float) -> bool:
    """Whether a ray meets a triangle; Cramer's rule on o + t d = a + u e + v f."""
    ax, ay, az = triangles[k, 0], triangles[k, 1], triangles[k, 2]
    ex, ey, ez = triangles[k, 3] - ax, triangles[k, 4] - ay, triangles[k, 5] - az
    fx, fy, fz = triangles[k, 6] - ax, triangles[k, 7] - ay, triangles[k, 8] - az
    dx, dy, dz = ray[3], ray[4], ray[5]
    sx, sy, sz = ax - ray[0], ay - ray[1], az - ray[2]
    nx, ny, nz = ey * fz - ez * fy, ez * fx - ex * fz, ex * fy - ey * fx
    flat = dx * nx + dy * ny + dz * nz
    if flat * flat <= EDGE_ON * EDGE_ON * (nx * nx + ny * ny + nz * nz):
        return False
    t = (sx * nx + sy * ny + sz * nz) / flat
    if not near < t < far:
        return False
    cx, cy, cz = dy * sz - dz * sy, dz * sx - dx * sz, dx * sy - dy * sx
    u = -(cx * fx + cy * fy + cz * fz) / flat
    if u < EDGE:
        return False
    v = (cx * ex + cy * ey + cz * ez) / flat
    return bool(v >= EDGE and u + v <= 1.0 - EDGE)


@kernel
def _medium(law: int, first: float, second: float, u: float, v: float, n: float) -> float:
    """Transmittance relative to normal incidence; the same formulas as in ``media``."""
    n = abs(n)
    if law == 1:
        if n == 0.0:
            return 0.0
        through = 1.0
        if first > 0.0:
            through *= max(0.0, 1.0 - first * sqrt(u * u + n * n) / n) / (1.0 - first)
        if second > 0.0:
            through *= max(0.0, 1.0 - second * sqrt(v * v + n * n) / n) / (1.0 - second)
        return through
    index = first
    if index == 1.0:
        return 1.0
    n = min(n, 1.0)
    inside = sqrt(1.0 - (1.0 - n * n) / (index * index))
    upright = ((n - index * inside) / (n + index * inside)) ** 2
    parallel = ((inside - index * n) / (inside + index * n)) ** 2
    both = 0.5 * ((1.0 - upright) / (1.0 + upright) + (1.0 - parallel) / (1.0 + parallel))
    return both * (index * index + 1.0) / (2.0 * index)


@kernel
def _interpolate(intensity: Floats, cosine: float) -> float:
    """Intensity at an angle given by its cosine, linear between the nodes. [sr-1]"""
    place = acos(max(-1.0, min(1.0, cosine))) / pi * (len(intensity) - 1)
    k = min(int(place), len(intensity) - 2)
    share = place - k
    return float(intensity[k] * (1.0 - share) + intensity[k + 1] * share)
