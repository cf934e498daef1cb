"""Light of a disc at points, cut into chords with exact visibility; everything this kernel calls stands here.

From a point every chord of the disc is seen like a thin line: a triangle that cuts the plane of the point and
the chord hides an interval of it. Triangles that may hide anything of the disc are looked for once a point, in
the pyramid round the disc. In a chord's plane a place is given by p,
towards the chord's own line, and q along it, as in ``line_kernel``.
"""

from __future__ import annotations

from math import acos, ceil, exp, inf, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Tree = tuple[Floats, Ints, Ints, Floats]

# A receiver on the disc itself is held this far from it. [m]
CLOSEST = 1e-6
# Nothing nearer to the point than this share of the way hides anything, nor nearer to the disc than OFFSET. [m]
NEAR = 1e-5
OFFSET = 1e-5
# Corners nearer to a plane of rays than this lie in it: a face seen edge-on hides nothing. [m]
IN_PLANE = 1e-12
# Shadows whose ends are nearer than this are one: triangles that share an edge leak nothing. [m]
TOGETHER = 1e-12
# Widest angle one set of Gauss nodes integrates over. [rad]
PANEL = 0.15
GAUSS_NODES, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(3)
STACK = 128


@kernel
def disc_kernel(
    tree: Tree,
    bodies: Tree,
    media: tuple[Floats, Floats, Floats, Floats, Floats, Ints, Ints, Floats],
    canopies: tuple[Floats, Floats, Floats],
    disc: tuple[Floats, Floats, Floats, Floats],
    chords: tuple[Floats, Floats, Floats, Floats],
    points: Floats,
    normals: Floats,
    out: Floats,
    occurs: Bools,
) -> None:
    """Fill `out` (n, masks, 4): vector and facing value of each point by mask of media crossed. [m-2]

    `tree`, `bodies`: nodes, left, count, triangles. `media`: origins, sizes (k, 2), unit u, unit v, unit
    normal, bits, law, parameters. `canopies`: centre, half axes, extinction. `disc`: centre, aim, corners
    (4, 3) of a square round it, intensity. `chords`: start (k, 3), direction (3,), length (k,), share (k,)
    of the disc.
    """
    origins, _, _, _, unit_n, bits, _, _ = media
    centre, aim, corners, intensity = disc
    receivers, law, result = (points, normals), (aim, intensity), (out, occurs)
    start, along, lengths, chord_shares = chords
    stack = np.zeros(STACK, np.int64)
    pyramid, plane, piece = np.zeros((5, 4)), np.zeros((4, 3)), np.zeros(2)
    found, blocked = np.zeros((64, 9)), np.zeros((16, 2))
    sides = _side_of_disc(origins, unit_n, corners)
    sheets, laws = np.zeros((len(bits), 16)), np.zeros((len(bits), 2), np.int64)
    through = (sheets, laws, canopies)
    for i in range(len(points)):
        if np.isnan(points[i, 0]):
            continue  # the caller marks points without an answer
        _set_pyramid(points, i, centre, aim, corners, pyramid)
        number = 0
        number, found = _candidates(tree, pyramid, stack, found, number)
        number, found = _candidates(bodies, pyramid, stack, found, number)
        crossing = _near_sheets(media, sides, points, i, pyramid, sheets, laws)
        for k in range(len(lengths)):
            d, t_start = _enter_plane(points, i, start, k, along, plane)
            weight = chord_shares[k] / lengths[k]
            pieces, blocked = _hidden(found, number, plane, d, t_start, t_start + lengths[k], blocked, piece)
            begin = t_start
            for b in range(pieces + 1):
                stop = blocked[b, 0] if b < pieces else t_start + lengths[k]
                if stop > begin:
                    _add(receivers, i, (begin, stop, d), plane, law, through, crossing, weight, result)
                if b < pieces:
                    begin = blocked[b, 1]


@kernel
def _set_pyramid(
    points: Floats, i: int, centre: Floats, aim: Floats, corners: Floats, pyramid: Floats
) -> None:
    """Planes (normal, height) of the pyramid from a point round the disc; what is in it lies above all."""
    height = 0.0
    for c in range(3):
        height += (points[i, c] - centre[c]) * aim[c]
    for k in range(4):
        inside = 0.0
        for c in range(3):
            a1 = corners[k, c - 2] - points[i, c - 2]
            a2 = corners[k, c - 1] - points[i, c - 1]
            b1 = corners[k - 3, c - 2] - points[i, c - 2]
            b2 = corners[k - 3, c - 1] - points[i, c - 1]
            pyramid[k, c] = a1 * b2 - a2 * b1
            inside += pyramid[k, c] * (centre[c] - points[i, c])
        pyramid[k, 3] = 0.0
        for c in range(3):
            pyramid[k, c] = -pyramid[k, c] if inside < 0.0 else pyramid[k, c]
            pyramid[k, 3] += pyramid[k, c] * points[i, c]
    # The disc's own plane, from the point's side.
    side = 1.0 if height >= 0.0 else -1.0
    pyramid[4, 3] = 0.0
    for c in range(3):
        pyramid[4, c] = side * aim[c]
        pyramid[4, 3] += side * aim[c] * centre[c]


@kernel
def _candidates(tree: Tree, pyramid: Floats, stack: Ints, found: Floats, number: int) -> tuple[int, Floats]:
    """Append triangles that reach into the pyramid to `found`, nearest boxes first."""
    nodes, left, count, triangles = tree
    if len(nodes) == 0:
        return number, found
    stack[0] = 0
    waiting = 1
    while waiting > 0:
        waiting -= 1
        node = stack[waiting]
        if _box_outside(nodes, node, pyramid):
            continue
        if count[node] == 0:
            first = left[node]
            towards = 0.0
            for c in range(6):
                towards += (nodes[first + 1, c] - nodes[first, c]) * pyramid[4, c % 3]
            # What is farther from the disc is nearer to the point and throws the longer shadow.
            stack[waiting] = first if towards > 0.0 else first + 1
            stack[waiting + 1] = first + 1 if towards > 0.0 else first
            waiting += 2
            continue
        for row in range(left[node], left[node] + count[node]):
            if _triangle_outside(triangles, row, pyramid):
                continue
            if number == len(found):
                wider = np.zeros((2 * number, 9))
                for k in range(number):
                    for c in range(9):
                        wider[k, c] = found[k, c]
                found = wider
            for c in range(9):
                found[number, c] = triangles[row, c]
            number += 1
    return number, found


@kernel
def _box_outside(nodes: Floats, node: int, pyramid: Floats) -> bool:
    """Whether a box lies wholly below one of the planes."""
    for k in range(5):
        highest = -pyramid[k, 3]
        for c in range(3):
            highest += max(nodes[node, c] * pyramid[k, c], nodes[node, 3 + c] * pyramid[k, c])
        if highest < 0.0:
            return True
    return False


@kernel
def _triangle_outside(triangles: Floats, row: int, pyramid: Floats) -> bool:
    """Whether a triangle lies wholly below one of the planes."""
    for k in range(5):
        highest = -inf
        for corner in range(3):
            height = -pyramid[k, 3]
            for c in range(3):
                height += triangles[row, 3 * corner + c] * pyramid[k, c]
            highest = max(highest, height)
        if highest < 0.0:
            return True
    return False


@kernel
def _near_sheets(
    media: tuple[Floats, Floats, Floats, Floats, Floats, Ints, Ints, Floats],
    sides: tuple[Floats, Floats],
    points: Floats,
    i: int,
    pyramid: Floats,
    sheets: Floats,
    laws: Ints,
) -> int:
    """Put media that rays to the disc may cross into `sheets` and `laws` (bit, law); returns how many.

    A row of `sheets`: unit u, v, normal; the point's place along u and v and the way to the plane along the
    normal; extent along u and v; the law's parameters.
    """
    origins, sizes, unit_u, unit_v, unit_n, bits, law, parameters = media
    near, far = sides
    number = 0 * i  # not a literal: to numba that is a type of its own
    for j in range(len(bits)):
        u, v, height = 0.0, 0.0, 0.0
        for c in range(3):
            u += (points[i, c] - origins[j, c]) * unit_u[j, c]
            v += (points[i, c] - origins[j, c]) * unit_v[j, c]
            height += (points[i, c] - origins[j, c]) * unit_n[j, c]
        # A ray crosses a plane only if its ends lie on different sides of it.
        outside = not ((height > 0.0 and near[j] < 0.0) or (height < 0.0 and far[j] > 0.0))
        for k in range(5):
            if outside:
                break
            first, along_u, along_v = -pyramid[k, 3], 0.0, 0.0
            for c in range(3):
                first += origins[j, c] * pyramid[k, c]
                along_u += sizes[j, 0] * unit_u[j, c] * pyramid[k, c]
                along_v += sizes[j, 1] * unit_v[j, c] * pyramid[k, c]
            outside = first + max(0.0, along_u) + max(0.0, along_v) < 0.0
        if outside:
            continue
        for c in range(3):
            sheets[number, c] = unit_u[j, c]
            sheets[number, 3 + c] = unit_v[j, c]
            sheets[number, 6 + c] = unit_n[j, c]
        sheets[number, 9], sheets[number, 10], sheets[number, 11] = u, v, -height
        sheets[number, 12], sheets[number, 13] = sizes[j, 0], sizes[j, 1]
        sheets[number, 14], sheets[number, 15] = parameters[j, 0], parameters[j, 1]
        laws[number, 0], laws[number, 1] = bits[j], law[j]
        number += 1
    return number


@kernel
def _enter_plane(
    points: Floats, i: int, start: Floats, k: int, along: Floats, plane: Floats
) -> tuple[float, float]:
    """Set up the plane of rays to a chord; returns distance to its line and where on it it starts.

    Rows of `plane`: unit vectors across the plane, towards the line and along it; the point.
    """
    foot, square = 0.0, 0.0
    for c in range(3):
        foot += (points[i, c] - start[k, c]) * along[c]
    for c in range(3):
        plane[1, c] = start[k, c] + foot * along[c] - points[i, c]
        plane[2, c] = along[c]
        plane[3, c] = points[i, c]
        square += plane[1, c] ** 2
    d = max(sqrt(square), CLOSEST)
    for c in range(3):
        plane[1, c] /= d
    for c in range(3):
        plane[0, c] = plane[1, c - 2] * along[c - 1] - plane[1, c - 1] * along[c - 2]
    return d, -foot


@kernel
def _hidden(
    found: Floats,
    number: int,
    plane: Floats,
    d: float,
    t_start: float,
    t_end: float,
    blocked: Floats,
    piece: Floats,
) -> tuple[int, Floats]:
    """Parts of a chord that the triangles hide, sorted and apart: their number and ends (rows)."""
    pieces = 0 * number  # not a literal: to numba that is a type of its own
    for row in range(number):
        _shadow(found, row, plane, d, t_start, t_end, piece)
        if piece[1] > piece[0]:
            if pieces == len(blocked):
                wider = np.zeros((2 * pieces, 2))
                for k in range(pieces):
                    wider[k, 0], wider[k, 1] = blocked[k, 0], blocked[k, 1]
                blocked = wider
            pieces = _unite(blocked, pieces, piece)
            if pieces == 1 and blocked[0, 0] <= t_start and blocked[0, 1] >= t_end:
                return pieces, blocked
    return pieces, blocked


@kernel
def _shadow(
    triangles: Floats,
    row: int,
    plane: Floats,
    d: float,
    t_start: float,
    t_end: float,
    piece: Floats,
) -> None:
    """Part of a chord hidden behind a triangle into `piece`; empty (end not above start) where none is."""
    piece[0], piece[1] = 0.0, -1.0
    lowest, highest, last = inf, -inf, 0.0
    for k in range(3):
        last = 0.0
        for c in range(3):
            last += (triangles[row, 3 * k + c] - plane[3, c]) * plane[0, c]
        lowest, highest = min(lowest, last), max(highest, last)
    # As below: a corner in the plane counts as above it.
    if lowest >= -IN_PLANE or highest <= -IN_PLANE:
        return
    found, p0, q0, p1, q1 = 0, 0.0, 0.0, 0.0, 0.0
    last_p, last_q = 0.0, 0.0
    for k in range(-1, 3):
        corner = 3 * k if k >= 0 else 6
        here, p, q = 0.0, 0.0, 0.0
        for c in range(3):
            x = triangles[row, corner + c] - plane[3, c]
            here += x * plane[0, c]
            p += x * plane[1, c]
            q += x * plane[2, c]
        if abs(here) < IN_PLANE:
            here = 0.0
        if k >= 0 and (here < 0.0) != (last < 0.0):
            share = last / (last - here)
            p1, q1 = last_p + share * (p - last_p), last_q + share * (q - last_q)
            if found == 0:
                p0, q0 = p1, q1
            found += 1
        last, last_p, last_q = here, p, q
    near, far = NEAR * d, d - OFFSET
    if p0 > p1:
        p0, q0, p1, q1 = p1, q1, p0, q0
    if found < 2 or p1 <= near or p0 >= far or near >= far:
        return
    # Keep what lies between the point and the line.
    slope = (q1 - q0) / (p1 - p0) if p1 > p0 else 0.0
    if p0 < near:
        p0, q0 = near, q0 + slope * (near - p0)
    if p1 > far:
        p1, q1 = far, q1 - slope * (p1 - far)
    a, b = q0 / p0 * d, q1 / p1 * d
    piece[0] = max(min(a, b), t_start)
    piece[1] = min(max(a, b), t_end)


@kernel
def _unite(blocked: Floats, number: int, piece: Floats) -> int:
    """Add an interval to sorted intervals that lie apart; returns how many there are then."""
    first = 0
    while first < number and blocked[first, 1] < piece[0] - TOGETHER:
        first += 1
    last = first
    while last < number and blocked[last, 0] <= piece[1] + TOGETHER:
        piece[0] = min(piece[0], blocked[last, 0])
        piece[1] = max(piece[1], blocked[last, 1])
        last += 1
    # Those from first to last melt into one: the rest moves up by one, stays, or moves down.
    for side in range(2):
        if last == first:
            for k in range(number, first, -1):
                blocked[k, side] = blocked[k - 1, side]
        for k in range(last, number):
            if last > first + 1:
                blocked[k - last + first + 1, side] = blocked[k, side]
        blocked[first, side] = piece[side]
    return number + 1 - (last - first)


@kernel
def _add(
    receivers: tuple[Floats, Floats],
    i: int,
    piece: tuple[float, float, float],
    plane: Floats,
    law: tuple[Floats, Floats],
    through: tuple[Floats, Ints, tuple[Floats, Floats, Floats]],
    crossing: int,
    weight: float,
    result: tuple[Floats, Bools],
) -> None:
    """Book the light of a part of a chord that is seen: from, to and distance, `weight` per length."""
    points, normals = receivers
    aim, intensity = law
    sheets, laws, canopies = through
    out, occurs = result
    begin, stop, d = piece
    leafy = len(canopies[2]) > 0
    ray = np.zeros(6)
    for c in range(3):
        ray[c] = points[i, c]
    panels = ceil((stop - begin) / (PANEL * d))
    for g in range(panels * len(GAUSS_NODES)):
        node, panel = g % len(GAUSS_NODES), g // len(GAUSS_NODES)
        at = begin + (stop - begin) * (panel + 0.5 + 0.5 * GAUSS_NODES[node]) / panels
        length = sqrt(d * d + at * at)
        cosine, facing = 0.0, 0.0
        for c in range(3):
            ray[3 + c] = (d * plane[1, c] + at * plane[2, c]) / length
            cosine -= ray[3 + c] * aim[c]
            facing += ray[3 + c] * normals[i, c]
        part = weight * (stop - begin) / panels * 0.5 * GAUSS_WEIGHTS[node]
        part *= _interpolate(intensity, cosine) / (length * length)
        if part == 0.0:
            continue
        mask = 0 * i  # not a literal: to numba that is a type of its own
        for m in range(crossing):
            u, v, n = 0.0, 0.0, 0.0
            for c in range(3):
                u += ray[3 + c] * sheets[m, c]
                v += ray[3 + c] * sheets[m, 3 + c]
                n += ray[3 + c] * sheets[m, 6 + c]
            way = sheets[m, 11] / n if n != 0.0 else inf
            at_u, at_v = sheets[m, 9] + way * u, sheets[m, 10] + way * v
            if not OFFSET < way < length - OFFSET:
                continue
            if 0.0 <= at_u <= sheets[m, 12] and 0.0 <= at_v <= sheets[m, 13]:
                mask |= laws[m, 0]
                if laws[m, 1] != 0:
                    part *= _medium(laws[m, 1], sheets[m, 14], sheets[m, 15], u, v, n)
        if leafy:
            part *= exp(-_optical_depth(canopies, ray, length))
        for c in range(3):
            out[i, mask, c] += part * ray[3 + c]
        out[i, mask, 3] += part * max(0.0, facing)
        if part > 0.0:
            occurs[mask] = True


@kernel
def _side_of_disc(origins: Floats, unit_n: Floats, corners: Floats) -> tuple[Floats, Floats]:
    """Least and greatest height of a square round the disc over the plane of each rectangle. [m]"""
    near, far = np.full(len(origins), inf), np.full(len(origins), -inf)
    for j in range(len(origins)):
        for k in range(len(corners)):
            height = 0.0
            for c in range(3):
                height += (corners[k, c] - origins[j, c]) * unit_n[j, c]
            near[j] = min(near[j], height)
            far[j] = max(far[j], height)
    return near, far


@kernel
def _optical_depth(canopies: tuple[Floats, Floats, Floats], ray: Floats, length: float) -> float:
    """Extinction times chord, summed over the leafy bodies on the way. [-]"""
    centre, half_axes, extinction = canopies
    depth = 0.0
    for k in range(len(extinction)):
        # In the space where the body is the unit sphere: |m + t w| = 1.
        a, b, c = 0.0, 0.0, -1.0
        for axis in range(3):
            m = (ray[axis] - centre[k, axis]) / half_axes[k, axis]
            w = ray[3 + axis] / half_axes[k, axis]
            a += w * w
            b += m * w
            c += m * m
        square = b * b - a * c
        if square > 0.0:
            root = sqrt(square)
            enter, leave = max(0.0, (-b - root) / a), min(length, (root - b) / a)
            depth += extinction[k] * max(0.0, leave - enter)
    return depth


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
