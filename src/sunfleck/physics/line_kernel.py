"""Light of a thin line at points, with exact visibility; everything this kernel calls stands here.

The plane through a point and the line is the plane of all rays between them. In it a point is given by
p, its distance towards the line, and q, its place along the line counted from the foot of the point:

            q ^        line at p = d, from q = t_start to q = t_end
              |        point at p = 0, q = 0
              o---> p  the ray to t on the line: q / p = t / d

A triangle cuts this plane in a straight piece, whose shadow on the line runs from q0 d / p0 to q1 d / p1.
The union of all shadows is blocked; the rest is integrated in closed form.
"""

from __future__ import annotations

from math import atan2, ceil, cos, degrees, inf, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A receiver on the line itself is held this far from it, so that nothing divides by zero. [m]
CLOSEST = 1e-6
# Nothing nearer to the point than this share of the way blocks it ...
NEAR = 1e-5
# ... and nothing nearer to the line than this: a lamp may lie flush in a face. [m]
LAMP_OFFSET = 1e-5
# Corners nearer to the plane of rays than this lie in it: a face seen edge-on blocks nothing. [m]
IN_PLANE = 1e-12
# Shadows whose ends are nearer than this are one: triangles that share an edge leak nothing. [m]
TOGETHER = 1e-12
# Widest angle one set of Gauss nodes integrates a medium's law over. [rad]
PANEL = 0.2
GAUSS_NODES, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(8)
STACK = 128


@kernel
def line_kernel(
    tree: tuple[Floats, Ints, Ints, Floats],
    media: tuple[Floats, Floats, Ints, Ints, Floats],
    lamp: tuple[Floats, Floats, Floats, float, Floats],
    points: Floats,
    normals: Floats,
    out: Floats,
    occurs: NDArray[np.bool_],
) -> None:
    """Fill `out` (n, masks, 4): vector and facing value of each point by mask of media crossed. [m-2]

    `tree`: nodes, left, count, triangles. `media`: corners (k, 12), frames (k, 9: unit u, v, normal), bits,
    law, parameters. `lamp`: start, axis, aim, length, weight over azimuth. `occurs` (masks,) is set where
    light with that mask arrives.
    """
    corners, frames, bits, law, parameters = media
    start, axis, aim, length, weight = lamp
    stack = np.zeros(STACK, np.int64)
    blocked = np.zeros((64, 2))
    spans = np.zeros((len(bits), 2))
    tilts = np.zeros((len(bits), 6))  # u, v, normal of a medium towards the line, then along it
    breaks = np.zeros(3 + 6 * len(bits))
    plane = np.zeros((6, 3))
    piece = np.zeros(2)
    for i in range(len(points)):
        if np.isnan(points[i, 0]):
            continue  # the caller marks points without an answer
        d, t_start, azimuth = _enter_plane(points, i, start, axis, aim, length, plane)
        t_end = t_start + length
        strength = _interpolate(weight, azimuth) / (pi * pi * length)
        if strength == 0.0:
            continue
        number, blocked = _blocked(tree, plane, d, t_start, t_end, stack, blocked, piece)
        for j in range(len(bits)):
            _shadow(corners, j, plane, d, t_start, t_end, piece)
            spans[j, 0], spans[j, 1] = piece[0], piece[1]
            for way in range(3):
                tilts[j, way], tilts[j, 3 + way] = 0.0, 0.0
                for c in range(3):
                    tilts[j, way] += frames[j, 3 * way + c] * plane[3, c]
                    tilts[j, 3 + way] += frames[j, 3 * way + c] * plane[4, c]
        # Where the receiver's own horizon crosses the line: its normal is at right angles to the ray.
        rise, run = 0.0, 0.0
        for c in range(3):
            rise += normals[i, c] * plane[3, c]
            run += normals[i, c] * plane[4, c]
        horizon = -rise * d / run if run != 0.0 else inf
        begin = t_start
        for b in range(number + 1):
            stop = blocked[b, 0] if b < number else t_end
            if stop > begin:
                _add_visible(
                    begin,
                    stop,
                    (d, horizon, rise, run, strength),
                    plane,
                    (spans, tilts, bits, law, parameters),
                    breaks,
                    piece,
                    out,
                    i,
                    occurs,
                )
            if b < number:
                begin = blocked[b, 1]


@kernel
def _enter_plane(
    points: Floats, i: int, start: Floats, axis: Floats, aim: Floats, length: float, plane: Floats
) -> tuple[float, float, float]:
    """Set up the plane of rays; returns distance to the line, where it starts and the azimuth [degrees].

    Rows of `plane`: unit vector across the plane; normals of the wedge's two long edges, positive inside;
    unit vectors towards the line and along it; the point itself.
    """
    along, square, ahead, aside = 0.0, 0.0, 0.0, 0.0
    for c in range(3):
        along += (points[i, c] - start[c]) * axis[c]
    for c in range(3):
        towards = start[c] + along * axis[c] - points[i, c]
        plane[3, c], plane[4, c] = towards, axis[c]
        square += towards * towards
        ahead -= towards * aim[c]
        # Aim and the vector that is square to it and to the line span the plane azimuth is measured in.
        aside += (axis[c - 2] * aim[c - 1] - axis[c - 1] * aim[c - 2]) * towards
    d = max(sqrt(square), CLOSEST)
    for c in range(3):
        # On the line any direction is as good as another: the lamp's own aim is taken.
        plane[3, c] = plane[3, c] / sqrt(square) if square > 0.0 else -aim[c]
    for c in range(3):
        plane[0, c] = plane[3, c - 2] * axis[c - 1] - plane[3, c - 1] * axis[c - 2]
        plane[1, c] = d * axis[c] + along * plane[3, c]
        plane[2, c] = (length - along) * plane[3, c] - d * axis[c]
        plane[5, c] = start[c] + along * axis[c] - d * plane[3, c]
    return d, -along, degrees(atan2(abs(aside), ahead)) if square > 0.0 else 0.0


@kernel
def _blocked(
    tree: tuple[Floats, Ints, Ints, Floats],
    plane: Floats,
    d: float,
    t_start: float,
    t_end: float,
    stack: Ints,
    blocked: Floats,
    piece: Floats,
) -> tuple[int, Floats]:
    """Parts of the line that the point does not see, sorted and apart: their number and ends (rows)."""
    nodes, left, count, triangles = tree
    # Not simply 0: to numba a literal is a type of its own, and all that is called compiles twice.
    number = 0 * len(blocked)
    if len(nodes) == 0:
        return number, blocked
    stack[0] = 0
    waiting = 1
    while waiting > 0:
        waiting -= 1
        node = stack[waiting]
        if not _may_hide(nodes, node, plane, d, blocked, number):
            continue
        if count[node] == 0:
            # What is nearer to the point throws the longer shadow: it is looked at first.
            first = left[node]
            ahead = 0.0
            for c in range(6):
                ahead += (nodes[first + 1, c] - nodes[first, c]) * plane[3, c % 3]
            stack[waiting] = first + 1 if ahead > 0.0 else first
            stack[waiting + 1] = first if ahead > 0.0 else first + 1
            waiting += 2
            continue
        for row in range(left[node], left[node] + count[node]):
            _shadow(triangles, row, plane, d, t_start, t_end, piece)
            if piece[1] > piece[0]:
                if number == len(blocked):
                    wider = np.zeros((2 * number, 2))
                    for k in range(number):
                        wider[k, 0], wider[k, 1] = blocked[k, 0], blocked[k, 1]
                    blocked = wider
                number = _unite(blocked, number, piece)
        if number == 1 and blocked[0, 0] <= t_start and blocked[0, 1] >= t_end:
            return number, blocked
    return number, blocked


@kernel
def _may_hide(nodes: Floats, node: int, plane: Floats, d: float, blocked: Floats, number: int) -> bool:
    """Whether what is in a box may hide more of the line than is hidden already.

    Not if a face of the box or of the triangle point-start-end separates them, nor if the shadow of the
    whole box lies in one of the blocked intervals.
    """
    middle, reach = 0.0, 0.0
    p, p_reach = 0.0, 0.0
    for row in range(5):
        p, p_reach = middle, reach
        middle, reach = 0.0, 0.0
        for c in range(3):
            middle += (0.5 * (nodes[node, c] + nodes[node, 3 + c]) - plane[5, c]) * plane[row, c]
            reach += 0.5 * (nodes[node, 3 + c] - nodes[node, c]) * abs(plane[row, c])
        if row < 4 and middle + reach < 0.0:
            return False
        if (row == 0 and middle > reach) or (row == 3 and middle - reach > d):
            return False
    # The last rows were p, towards the line, and q, along it.
    if p <= p_reach:
        return True
    low, high = d * (middle - reach), d * (middle + reach)
    low = low / (p - p_reach) if low < 0.0 else low / (p + p_reach)
    high = high / (p + p_reach) if high < 0.0 else high / (p - p_reach)
    for k in range(number):
        if blocked[k, 1] >= high:
            return bool(blocked[k, 0] > low)
    return True


@kernel
def _shadow(
    corners: Floats,
    row: int,
    plane: Floats,
    d: float,
    t_start: float,
    t_end: float,
    piece: Floats,
) -> None:
    """Part of the line hidden behind a flat convex shape, a row of corners, into `piece`.

    Empty (end not above start) when the shape does not cut the wedge of rays.
    """
    piece[0], piece[1] = 0.0, -1.0
    number = corners.shape[1] // 3
    lowest, highest, last = inf, -inf, 0.0
    for k in range(number):
        last = 0.0
        for c in range(3):
            last += (corners[row, 3 * k + c] - plane[5, c]) * plane[0, c]
        lowest, highest = min(lowest, last), max(highest, last)
    # As below: a corner in the plane counts as above it.
    if lowest >= -IN_PLANE or highest <= -IN_PLANE:
        return
    found, p0, q0, p1, q1 = 0, 0.0, 0.0, 0.0, 0.0
    last_p, last_q = 0.0, 0.0
    for k in range(-1, number):
        corner = 3 * k if k >= 0 else 3 * number - 3
        here, p, q = 0.0, 0.0, 0.0
        for c in range(3):
            x = corners[row, corner + c] - plane[5, c]
            here += x * plane[0, c]
            p += x * plane[3, c]
            q += x * plane[4, c]
        if abs(here) < IN_PLANE:
            here = 0.0
        if k >= 0 and (here < 0.0) != (last < 0.0):
            share = last / (last - here)
            p1, q1 = last_p + share * (p - last_p), last_q + share * (q - last_q)
            if found == 0:
                p0, q0 = p1, q1
            found += 1
        last, last_p, last_q = here, p, q
    near, far = NEAR * d, d - LAMP_OFFSET
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
def _add_visible(
    begin: float,
    stop: float,
    line: tuple[float, float, float, float, float],
    plane: Floats,
    media: tuple[Floats, Floats, Ints, Ints, Floats],
    breaks: Floats,
    piece: Floats,
    out: Floats,
    i: int,
    occurs: NDArray[np.bool_],
) -> None:
    """Book the light of the visible part [begin, stop] of the line, cut where anything changes."""
    d, horizon, rise, run, strength = line
    spans, tilts, bits, law, parameters = media
    breaks[0] = begin
    number = 1 + 0 * i  # not a literal, see _blocked
    if begin < horizon < stop:
        number = _insert(breaks, number, horizon)
    for j in range(len(bits)):
        low, high = max(spans[j, 0], begin), min(spans[j, 1], stop)
        if high > low:
            if low > begin:
                number = _insert(breaks, number, low)
            if high < stop:
                number = _insert(breaks, number, high)
            if law[j] == 1:
                number = _insert_kinks(breaks, number, low, high, d, tilts, parameters, j)
    breaks[number] = stop
    for k in range(number):
        low, high = breaks[k], breaks[k + 1]
        if not high > low:
            continue
        middle = 0.5 * (low + high)
        mask, weighted = 0, 0 * i
        for j in range(len(bits)):
            if spans[j, 0] < middle < spans[j, 1]:
                mask |= bits[j]
                weighted += 1 if law[j] != 0 else 0
        _integrate(low, high, d, weighted, middle, spans, tilts, law, parameters, piece)
        towards, along = strength * piece[0], strength * piece[1]
        for c in range(3):
            out[i, mask, c] += towards * plane[3, c] + along * plane[4, c]
        out[i, mask, 3] += max(0.0, towards * rise + along * run)
        if towards > 0.0:
            occurs[mask] = True


@kernel
def _insert(breaks: Floats, number: int, value: float) -> int:
    """Put a value in its place in a sorted list; returns its new length."""
    k = number
    while k > 0 and breaks[k - 1] > value:
        breaks[k] = breaks[k - 1]
        k -= 1
    breaks[k] = value
    return number + 1


@kernel
def _insert_kinks(
    breaks: Floats,
    number: int,
    low: float,
    high: float,
    d: float,
    tilts: Floats,
    ratios: Floats,
    j: int,
) -> int:
    """Add the places where a mesh closes (wires hide each other), where its law has a kink."""
    for way in range(2):
        if ratios[j, way] <= 0.0:
            continue
        # Closed where |c_across| = steepest |c_normal|; both are linear in t.
        steepest = sqrt(1.0 - ratios[j, way] ** 2) / ratios[j, way]
        for sign in (-1.0, 1.0):
            rise = tilts[j, way] - sign * steepest * tilts[j, 2]
            run = tilts[j, 3 + way] - sign * steepest * tilts[j, 5]
            if run != 0.0 and low < -d * rise / run < high:
                number = _insert(breaks, number, -d * rise / run)
    return number


@kernel
def _integrate(
    low: float,
    high: float,
    d: float,
    weighted: int,
    middle: float,
    spans: Floats,
    tilts: Floats,
    law: Ints,
    parameters: Floats,
    piece: Floats,
) -> None:
    """Integral of cos(g) times the unit ray over the angle g, over d: towards the line and along it. [m-1]"""
    low_angle = atan2(low, d)
    width = atan2(d * (high - low), d * d + low * high)
    if weighted == 0:
        near2, far2 = d * d + low * low, d * d + high * high
        piece[0] = 0.5 * (width + d * high / far2 - d * low / near2) / d
        # The difference of two sin^2, written so that nothing cancels far out on the line.
        piece[1] = 0.5 * d * (high - low) * (high + low) / (near2 * far2)
        return
    piece[0], piece[1] = 0.0, 0.0
    panels = ceil(width / PANEL)
    step = width / panels
    for panel in range(panels):
        for k in range(len(GAUSS_NODES)):
            angle = low_angle + step * (panel + 0.5 + 0.5 * GAUSS_NODES[k])
            towards, along = cos(angle), sin(angle)
            through = 1.0
            for j in range(len(law)):
                if law[j] != 0 and spans[j, 0] < middle < spans[j, 1]:
                    u = towards * tilts[j, 0] + along * tilts[j, 3]
                    v = towards * tilts[j, 1] + along * tilts[j, 4]
                    n = towards * tilts[j, 2] + along * tilts[j, 5]
                    through *= _medium(law[j], parameters[j, 0], parameters[j, 1], u, v, n)
            part = 0.5 * step * GAUSS_WEIGHTS[k] * through * towards / d
            piece[0] += part * towards
            piece[1] += part * along


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
def _interpolate(weight: Floats, azimuth: float) -> float:
    """Weight at an azimuth in degrees, linear between whole degrees."""
    k = min(int(azimuth), len(weight) - 2)
    share = azimuth - k
    return float(weight[k] * (1.0 - share) + weight[k + 1] * share)
