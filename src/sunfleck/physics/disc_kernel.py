"""Light of a disc at points, cut into chords with exact visibility.

From a point every chord of the disc is seen like a thin line: a triangle that cuts the plane of the point and
the chord hides an interval of it. Triangles that may hide anything of the disc are looked for once a point, in
the pyramid round the disc. In a chord's plane a place is given by p,
towards the chord's own line, and q along it, as in ``line_kernel``.
"""

from __future__ import annotations

from math import acos, ceil, exp, inf, nan, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel
from sunfleck.physics.medium_kernels import medium_law
from sunfleck.physics.shadow_kernels import misses, shadow_of_cut, unite

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Tree = tuple[Floats, Ints, Ints, Floats]
Chords = tuple[Floats, Floats, Floats, Floats]

# A receiver on the disc itself is held this far from it. [m]
CLOSEST = 1e-6
# A sheet nearer to either end of a ray than this is not crossed: the end lies on it. [m]
OFFSET = 1e-5
# Few chords do where nothing is in the way and the disc is farther off than so many of its radii. [-]
FAR = 8.0
# Triangles that a plane of rays misses by more are passed over; the rest is left to IN_PLANE. [-]
SAME_SLOPE = 1e-9
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
    chords: Chords,
    few: Chords,
    points: Floats,
    normals: Floats,
    out: Floats,
    occurs: Bools,
) -> None:
    """Fill `out` (n, masks, 6): vector, and that of what lies ahead, by mask of media crossed. [m-2]

    `tree`, `bodies`: nodes, left, count, triangles. `media`: origins, sizes (k, 2), unit u, unit v, unit
    normal, bits, law, parameters. `canopies`: centre, half axes, extinction. `disc`: centre, aim, corners
    (4, 3) of a square round it, intensity. `chords`: start (k, 3), direction (3,), length (k,), share (k,)
    of the disc. `few`: the same for where nothing can be in the way.
    """
    origins, _, _, _, unit_n, bits, _, _ = media
    centre, aim, corners, intensity = disc
    receivers, law, result = (points, normals), (aim, intensity), (out, occurs)
    # A corner of the square is farther from the middle than the rim is, by the root of two.
    square_far = 0.5 * FAR**2 * _square_way(corners, 0, centre)
    stack = np.zeros(STACK, np.int64)
    pyramid, plane = np.zeros((8, 4)), np.zeros((5, 3))
    found, blocked = np.zeros((64, 11)), np.zeros((16, 2))
    fan = np.zeros((3, 3))
    leafless = len(canopies[2]) == 0
    sides = _side_of_disc(origins, unit_n, corners)
    sheets, laws = np.zeros((len(bits), 16)), np.zeros((len(bits), 2), np.int64)
    through, ray = (sheets, laws, canopies), np.zeros(6)
    for i in range(len(points)):
        if np.isnan(points[i, 0]):
            continue  # the caller marks points without an answer
        _set_pyramid(points, i, centre, aim, corners, pyramid)
        number = 0
        number, found = _candidates(tree, pyramid, stack, found, number)
        number, found = _candidates(bodies, pyramid, stack, found, number)
        crossing = _near_sheets(media, sides, points, i, pyramid, sheets, laws)
        clear = number == 0 and crossing == 0 and leafless and _square_way(points, i, centre) > square_far
        start, along, lengths, chord_shares = few if clear else chords
        _open_fan(points, i, centre, along, fan)
        _lay_in_fan(found, number, points, i, fan)
        for k in range(len(lengths)):
            _enter_plane(points, i, start, k, along, lengths[k], plane)
            pieces, blocked = _hidden(found, number, fan, plane, blocked)
            begin = plane[4, 1]
            for b in range(pieces + 1):
                stop = blocked[b, 0] if b < pieces else plane[4, 2]
                if stop > begin:
                    # Of a lamp like a point the ends differ by no more than they are rounded.
                    seen = (stop - begin) / lengths[k] if pieces > 0 else 1.0
                    weight = chord_shares[k] * seen
                    _add(receivers, i, (begin, stop), plane, law, through, crossing, weight, ray, result)
                if b < pieces:
                    begin = blocked[b, 1]


@kernel
def _square_way(points: Floats, i: int, place: Floats) -> float:
    """Square of the way from a point to a place. [m2]"""
    square = 0.0
    for c in range(3):
        square += (points[i, c] - place[c]) ** 2
    return square


@kernel
def _set_pyramid(
    points: Floats, i: int, centre: Floats, aim: Floats, corners: Floats, pyramid: Floats
) -> None:
    """Planes (normal, height) of the pyramid from a point round the disc; what is in it lies above all.

    Two more rows are the low and the high corner of the box round it.
    """
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
    # The plane through the point that faces the disc, if all of that lies before it: walls behind the point
    # are so large that none of the sides parts them from the pyramid.
    nearest, pyramid[5, 3] = inf, 0.0
    for k in range(4):
        ahead = 0.0
        for c in range(3):
            ahead += (corners[k, c] - points[i, c]) * (centre[c] - points[i, c])
        nearest = min(nearest, ahead)
    for c in range(3):
        pyramid[5, c] = centre[c] - points[i, c] if nearest > 0.0 else 0.0
        pyramid[5, 3] += pyramid[5, c] * points[i, c]
        pyramid[6, c] = min(points[i, c], corners[0, c], corners[1, c], corners[2, c], corners[3, c])
        pyramid[7, c] = max(points[i, c], corners[0, c], corners[1, c], corners[2, c], corners[3, c])


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
                wider = np.zeros((2 * number, 11))
                wider[:number] = found
                found = wider
            for c in range(9):
                found[number, c] = triangles[row, c]
            number += 1
    return number, found


@kernel
def _open_fan(points: Floats, i: int, centre: Floats, along: Floats, fan: Floats) -> None:
    """Unit vectors square to the chords, to the disc and aside, and along them.

    All chords have one direction, so their planes turn about the line through the point in that direction
    like the leaves of a fan.
    """
    foot, square = 0.0, 0.0
    for c in range(3):
        foot += (centre[c] - points[i, c]) * along[c]
    for c in range(3):
        fan[0, c] = centre[c] - points[i, c] - foot * along[c]
        square += fan[0, c] ** 2
    for c in range(3):
        fan[0, c] /= max(sqrt(square), CLOSEST)
        fan[2, c] = along[c]
    for c in range(3):
        fan[1, c] = fan[0, c - 2] * along[c - 1] - fan[0, c - 1] * along[c - 2]


@kernel
def _lay_in_fan(found: Floats, number: int, points: Floats, i: int, fan: Floats) -> None:
    """Turn the corners of triangles into the fan, and find between which slopes each lies.

    From -inf to inf if it is not wholly before the point.
    """
    for row in range(number):
        found[row, 9], found[row, 10] = inf, -inf
        for corner in range(3):
            ahead, aside, along = 0.0, 0.0, 0.0
            for c in range(3):
                x = found[row, 3 * corner + c] - points[i, c]
                ahead += x * fan[0, c]
                aside += x * fan[1, c]
                along += x * fan[2, c]
            found[row, 3 * corner], found[row, 3 * corner + 1] = ahead, aside
            found[row, 3 * corner + 2] = along
            if ahead <= CLOSEST:
                found[row, 9], found[row, 10] = -inf, inf
            found[row, 9] = min(found[row, 9], aside / ahead if ahead > CLOSEST else -inf)
            found[row, 10] = max(found[row, 10], aside / ahead if ahead > CLOSEST else inf)


@kernel
def _box_outside(nodes: Floats, node: int, pyramid: Floats) -> bool:
    """Whether a box lies wholly below one of the planes, or beside the box round the pyramid."""
    for c in range(3):
        if nodes[node, c] > pyramid[7, c] or nodes[node, 3 + c] < pyramid[6, c]:
            return True
    for k in range(6):
        highest = -pyramid[k, 3]
        for c in range(3):
            highest += max(nodes[node, c] * pyramid[k, c], nodes[node, 3 + c] * pyramid[k, c])
        if highest < 0.0:
            return True
    return False


@kernel
def _triangle_outside(triangles: Floats, row: int, pyramid: Floats) -> bool:
    """Whether a triangle lies wholly below one of the planes, or beside the box round the pyramid."""
    for c in range(3):
        x, y, z = triangles[row, c], triangles[row, 3 + c], triangles[row, 6 + c]
        if min(x, y, z) > pyramid[7, c] or max(x, y, z) < pyramid[6, c]:
            return True
    for k in range(6):
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
        for k in range(6):
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
    points: Floats, i: int, start: Floats, k: int, along: Floats, length: float, plane: Floats
) -> None:
    """Set up the plane of rays to a chord as `triangle_shadow` wants it."""
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
    plane[4, 0], plane[4, 1], plane[4, 2] = d, -foot, length - foot


@kernel
def _hidden(found: Floats, number: int, fan: Floats, plane: Floats, blocked: Floats) -> tuple[int, Floats]:
    """Parts of a chord that the triangles hide, sorted and apart: their number and ends (rows)."""
    pieces = 0 * number  # not a literal: to numba that is a type of its own
    cosine, sine = 0.0, 0.0
    for c in range(3):
        cosine += plane[1, c] * fan[0, c]
        sine += plane[1, c] * fan[1, c]
    # No comparison with NaN holds: then every triangle is looked at.
    slope = sine / cosine if cosine > CLOSEST else nan
    margin = SAME_SLOPE * (1.0 + abs(slope))
    for row in range(number):
        if slope < found[row, 9] - margin or slope > found[row, 10] + margin:
            continue
        a = found[row, 1] * cosine - found[row, 0] * sine
        b = found[row, 4] * cosine - found[row, 3] * sine
        c = found[row, 7] * cosine - found[row, 6] * sine
        if misses(a, b, c):
            continue
        p = found[row, 0] * cosine + found[row, 1] * sine
        p0 = found[row, 3] * cosine + found[row, 4] * sine
        p1 = found[row, 6] * cosine + found[row, 7] * sine
        low, high = shadow_of_cut(a, b, c, p, found[row, 2], p0, found[row, 5], p1, found[row, 8], plane)
        if high > low:
            if pieces == len(blocked):
                wider = np.zeros((2 * pieces, 2))
                wider[:pieces] = blocked
                blocked = wider
            pieces = unite(blocked, pieces, low, high)
            if pieces == 1 and blocked[0, 0] <= plane[4, 1] and blocked[0, 1] >= plane[4, 2]:
                return pieces, blocked
    return pieces, blocked


@kernel
def _add(
    receivers: tuple[Floats, Floats],
    i: int,
    piece: tuple[float, float],
    plane: Floats,
    law: tuple[Floats, Floats],
    through: tuple[Floats, Ints, tuple[Floats, Floats, Floats]],
    crossing: int,
    weight: float,
    ray: Floats,
    result: tuple[Floats, Bools],
) -> None:
    """Book the light of a part of a chord that is seen: from and to, its share of the disc; `ray` is scratch."""
    points, normals = receivers
    aim, intensity = law
    sheets, laws, canopies = through
    out, occurs = result
    begin, stop, d = piece[0], piece[1], plane[4, 0]
    leafy = len(canopies[2]) > 0
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
        part = weight / panels * 0.5 * GAUSS_WEIGHTS[node]
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
                    part *= medium_law(laws[m, 1], sheets[m, 14], sheets[m, 15], u, v, n)
        if leafy:
            part *= exp(-_optical_depth(canopies, ray, length))
        for c in range(3):
            out[i, mask, c] += part * ray[3 + c]
            if facing > 0.0:
                out[i, mask, 3 + c] += part * ray[3 + c]
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
def _interpolate(intensity: Floats, cosine: float) -> float:
    """Intensity at an angle given by its cosine, linear between the nodes. [sr-1]"""
    place = acos(max(-1.0, min(1.0, cosine))) / pi * (len(intensity) - 1)
    k = min(int(place), len(intensity) - 2)
    share = place - k
    return float(intensity[k] * (1.0 - share) + intensity[k + 1] * share)
