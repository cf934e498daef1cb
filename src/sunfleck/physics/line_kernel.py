"""Light of a thin line at points, with exact visibility.

The plane through a point and the line is the plane of all rays between them. In it a point is given by
p, its distance towards the line, and q, its place along the line counted from the foot of the point:

            q ^        line at p = d, from q = t_start to q = t_end
              |        point at p = 0, q = 0
              o---> p  the ray to t on the line: q / p = t / d

A triangle cuts this plane in a straight piece, whose shadow on the line runs from q0 d / p0 to q1 d / p1.
The union of all shadows is blocked; the rest is integrated in closed form. A leafy body cuts the plane in
an ellipse; behind it, and behind media whose law depends on angle, the rest is left to Gauss nodes.
"""

from __future__ import annotations

from math import atan2, ceil, cos, degrees, exp, inf, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel
from sunfleck.physics.medium_kernels import medium_law
from sunfleck.physics.shadow_kernels import triangle_shadow, unite

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Tree = tuple[Floats, Ints, Ints, Floats]
Sheets = tuple[Floats, Floats, Ints, Ints, Floats]
Bodies = tuple[Floats, Floats, Floats]
Lamp = tuple[Floats, Floats, Floats, float, Floats]

# A receiver on the line itself is held this far from it, so that nothing divides by zero. [m]
CLOSEST = 1e-6
# Widest angle one set of Gauss nodes integrates over. [rad]
PANEL = 0.2
# Greatest optical depth of leaves it integrates over, up to so many sets for one piece. [-]
PANEL_DEPTH, MOST_PANELS = 4.0, 16
GAUSS_NODES, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(8)
STACK = 128


@kernel
def line_kernel(
    tree: Tree,
    bodies: Tree,
    media: Sheets,
    canopies: Bodies,
    lamp: Lamp,
    points: Floats,
    normals: Floats,
    out: Floats,
    occurs: Bools,
) -> None:
    """Fill `out` (n, masks, 6): vector, and that of what lies ahead, by mask of media crossed. [m-2]

    `tree`, `bodies`: nodes, left, count, triangles; what either hides is hidden. `media`: corners (k, 12),
    frames (k, 9: unit u, v, normal), bits, law, parameters. `canopies`: centre, half axes, extinction.
    `lamp`: start, axis, aim, length, weight over azimuth. `occurs` (masks,) is set where light with that
    mask arrives.
    """
    corners, frames, bits, law, parameters = media
    length, weight = lamp[3], lamp[4]
    stack = np.zeros(STACK, np.int64)
    blocked = np.zeros((64, 2))
    spans = np.zeros((len(bits), 2))
    tilts = np.zeros((len(bits), 6))  # u, v, normal of a medium towards the line, then along it
    conics = np.zeros((len(canopies[2]), 7))
    cuts = np.zeros(1 + 6 * len(bits) + 4 * len(conics))
    plane = np.zeros((10, 3))
    for i in range(len(points)):
        if np.isnan(points[i, 0]):
            continue  # the caller marks points without an answer
        azimuth = _enter_plane(points, normals, i, lamp, plane)
        plane[7, 2] = _interpolate(weight, azimuth) / (pi * pi * length)
        if plane[7, 2] == 0.0:
            continue
        # Not simply 0: to numba a literal is a type of its own, and all that is called compiles twice.
        hidden, found, leafy = 0 * i, 0 * i, 0 * i
        if len(bodies[0]) > 0:
            hidden, blocked = _hide(bodies, plane, stack, blocked, hidden)
        hidden, blocked = _hide(tree, plane, stack, blocked, hidden)
        if hidden == 1 and blocked[0, 0] <= plane[4, 1] and blocked[0, 1] >= plane[4, 2]:
            continue
        # All places where something changes along the line; first where the receiver's own horizon crosses
        # it, which is where its normal is at right angles to the ray.
        found = _insert(cuts, found, plane, -plane[7, 0] * plane[4, 0] / plane[7, 1])
        for j in range(len(bits)):
            spans[j, 0], spans[j, 1] = inf, -inf
            for half in range(2):
                low, high = triangle_shadow(corners, j, 3 + 3 * half, plane)
                if high > low:
                    spans[j, 0], spans[j, 1] = min(spans[j, 0], low), max(spans[j, 1], high)
            if spans[j, 1] > spans[j, 0]:
                found = _insert(cuts, found, plane, spans[j, 0])
                found = _insert(cuts, found, plane, spans[j, 1])
                for way in range(6):
                    tilts[j, way] = 0.0
                    for c in range(3):
                        tilts[j, way] += frames[j, 3 * (way % 3) + c] * plane[1 + way // 3, c]
                if law[j] == 1:
                    found = _insert_kinks(cuts, found, plane, spans, tilts, parameters, j)
        for j in range(len(conics)):
            if _cut_body(canopies, j, plane, conics, leafy):
                found = _insert_edges(cuts, found, plane, conics, leafy)
                leafy += 1
        sheets, begin = (spans, tilts, bits, law, parameters), plane[4, 1]
        for b in range(hidden + 1):
            stop = blocked[b, 0] if b < hidden else plane[4, 2]
            for k in range(found + 1):
                end = min(cuts[k], stop) if k < found else stop
                if end > begin:
                    _book(begin, end, plane, sheets, conics, leafy, out, i, occurs)
                    begin = end
            begin = blocked[b, 1] if b < hidden else begin


@kernel
def _enter_plane(points: Floats, normals: Floats, i: int, lamp: Lamp, plane: Floats) -> float:
    """Set up the plane of rays; returns the azimuth. [degrees]

    Rows of `plane`: the first five as `triangle_shadow` wants them; normals of the wedge's two long edges,
    positive inside; the receiver's normal towards the line and along it, and the caller's strength of the
    light.
    """
    start, axis, aim, length, _ = lamp
    along, square, ahead, aside = 0.0, 0.0, 0.0, 0.0
    for c in range(3):
        along += (points[i, c] - start[c]) * axis[c]
    for c in range(3):
        towards = start[c] + along * axis[c] - points[i, c]
        plane[1, c], plane[2, c] = towards, axis[c]
        square += towards * towards
        ahead -= towards * aim[c]
        # Aim and the vector that is square to it and to the line span the plane azimuth is measured in.
        aside += (axis[c - 2] * aim[c - 1] - axis[c - 1] * aim[c - 2]) * towards
    d = max(sqrt(square), CLOSEST)
    plane[7, 0], plane[7, 1] = 0.0, 0.0
    for c in range(3):
        # On the line any direction is as good as another: the lamp's own aim is taken.
        plane[1, c] = plane[1, c] / sqrt(square) if square > 0.0 else -aim[c]
        plane[7, 0] += normals[i, c] * plane[1, c]
        plane[7, 1] += normals[i, c] * axis[c]
    for c in range(3):
        plane[0, c] = plane[1, c - 2] * axis[c - 1] - plane[1, c - 1] * axis[c - 2]
        plane[5, c] = d * axis[c] + along * plane[1, c]
        plane[6, c] = (length - along) * plane[1, c] - d * axis[c]
        plane[3, c] = start[c] + along * axis[c] - d * plane[1, c]
    plane[4, 0], plane[4, 1], plane[4, 2] = d, -along, length - along
    for c in range(3):
        end = start[c] + length * axis[c]
        plane[8, c] = min(points[i, c], start[c], end)
        plane[9, c] = max(points[i, c], start[c], end)
    return degrees(atan2(abs(aside), ahead)) if square > 0.0 else 0.0


@kernel
def _hide(tree: Tree, plane: Floats, stack: Ints, blocked: Floats, number: int) -> tuple[int, Floats]:
    """Add what a tree hides to the parts of the line not seen, sorted and apart; their number and ends."""
    nodes, left, count, triangles = tree
    stack[0] = 0
    waiting = min(1, len(nodes))
    while True:
        node, waiting = _next_leaf(tree, plane, stack, waiting, blocked, number)
        if node < 0:
            return number, blocked
        if number + count[node] > len(blocked):
            wider = np.zeros((2 * len(blocked), 2))
            wider[:number] = blocked[:number]
            blocked = wider
        for row in range(left[node], left[node] + count[node]):
            low, high = triangle_shadow(triangles, row, 3, plane)
            if high > low:
                number = unite(blocked, number, low, high)
        if number == 1 and blocked[0, 0] <= plane[4, 1] and blocked[0, 1] >= plane[4, 2]:
            return number, blocked


@kernel
def _next_leaf(
    tree: Tree, plane: Floats, stack: Ints, waiting: int, blocked: Floats, number: int
) -> tuple[int, int]:
    """Next leaf of the tree that may hide more of the line than is hidden already, or -1; how many wait.

    Boxes are passed over if one of their faces or a face of the triangle point-start-end separates the two,
    or if the shadow of the whole box lies in one of the blocked intervals.
    """
    nodes, left, count = tree[0], tree[1], tree[2]
    while waiting > 0:
        waiting -= 1
        node = stack[waiting]
        if (
            nodes[node, 0] > plane[9, 0]
            or nodes[node, 1] > plane[9, 1]
            or nodes[node, 2] > plane[9, 2]
            or nodes[node, 3] < plane[8, 0]
            or nodes[node, 4] < plane[8, 1]
            or nodes[node, 5] < plane[8, 2]
        ):
            continue
        across, aside = 0.0, 0.0
        for c in range(3):
            across += (0.5 * (nodes[node, c] + nodes[node, 3 + c]) - plane[3, c]) * plane[0, c]
            aside += 0.5 * (nodes[node, 3 + c] - nodes[node, c]) * abs(plane[0, c])
        if abs(across) > aside:
            continue
        one, two, p, p_reach, q, q_reach = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
        for c in range(3):
            middle = 0.5 * (nodes[node, c] + nodes[node, 3 + c]) - plane[3, c]
            half = 0.5 * (nodes[node, 3 + c] - nodes[node, c])
            one += middle * plane[5, c] + half * abs(plane[5, c])
            two += middle * plane[6, c] + half * abs(plane[6, c])
            p += middle * plane[1, c]
            p_reach += half * abs(plane[1, c])
            q += middle * plane[2, c]
            q_reach += half * abs(plane[2, c])
        if one < 0.0 or two < 0.0 or p + p_reach < 0.0 or p - p_reach > plane[4, 0]:
            continue
        if p > p_reach and number > 0:
            low, high = plane[4, 0] * (q - q_reach), plane[4, 0] * (q + q_reach)
            low = low / (p - p_reach) if low < 0.0 else low / (p + p_reach)
            high = high / (p + p_reach) if high < 0.0 else high / (p - p_reach)
            k = 0
            while k < number and blocked[k, 1] < high:
                k += 1
            if k < number and blocked[k, 0] <= low:
                continue
        if count[node] > 0:
            return node, waiting
        # What is nearer to the point throws the longer shadow: it is looked at first.
        first = left[node]
        ahead = 0.0
        for c in range(6):
            ahead += (nodes[first + 1, c] - nodes[first, c]) * plane[1, c % 3]
        nearer = 1 if ahead < 0.0 else 0
        stack[waiting], stack[waiting + 1] = first + 1 - nearer, first + nearer
        waiting += 2
    return -1, waiting


@kernel
def _insert(cuts: Floats, number: int, plane: Floats, value: float) -> int:
    """Put a value in its place in a sorted list if it lies on the line; returns its new length."""
    if plane[4, 1] < value < plane[4, 2]:
        k = number
        while k > 0 and cuts[k - 1] > value:
            cuts[k] = cuts[k - 1]
            k -= 1
        cuts[k] = value
        number += 1
    return number


@kernel
def _insert_kinks(
    cuts: Floats, number: int, plane: Floats, spans: Floats, tilts: Floats, ratios: Floats, j: int
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
            if spans[j, 0] < -plane[4, 0] * rise / run < spans[j, 1]:
                number = _insert(cuts, number, plane, -plane[4, 0] * rise / run)
    return number


@kernel
def _cut_body(canopies: Bodies, j: int, plane: Floats, conics: Floats, row: int) -> bool:
    """Ellipse that the plane of rays cuts out of a leafy body, into `row` of `conics`; whether there is one.

    Divided by its half axes the body is the unit sphere, inside it |m + p e + q a|^2 < 1 with m the point
    and e, a the vectors towards the line and along it: m m - 1, m e, m a, e e, e a, a a, extinction.
    """
    centre, half_axes, extinction = canopies
    conics[row, :6] = 0.0
    conics[row, 0], conics[row, 6] = -1.0, extinction[j]
    across, reach = 0.0, 0.0
    for c in range(3):
        across += (plane[3, c] - centre[j, c]) * plane[0, c]
        reach += (half_axes[j, c] * plane[0, c]) ** 2
        m = (plane[3, c] - centre[j, c]) / half_axes[j, c]
        e, a = plane[1, c] / half_axes[j, c], plane[2, c] / half_axes[j, c]
        conics[row, 0] += m * m
        conics[row, 1] += m * e
        conics[row, 2] += m * a
        conics[row, 3] += e * e
        conics[row, 4] += e * a
        conics[row, 5] += a * a
    return bool(across * across < reach and extinction[j] > 0.0)


@kernel
def _insert_edges(cuts: Floats, number: int, plane: Floats, conics: Floats, row: int) -> int:
    """Add the places where the way through a leafy body begins, ends or has a kink."""
    d, mm, me, ma = plane[4, 0], conics[row, 0], conics[row, 1], conics[row, 2]
    ee, ea, aa = conics[row, 3], conics[row, 4], conics[row, 5]
    for kind in range(2):
        if kind == 1:
            # The line itself enters or leaves the body: with w = d e + t a, the way to t, |m + w| = 1.
            a, b, c = aa, ma + d * ea, mm + 2.0 * d * me + d * d * ee
        elif mm > 0.0:
            # The way grazes the body: (m w)^2 = (m m - 1) w w.
            a, b, c = ma * ma - mm * aa, d * (me * ma - mm * ea), d * d * (me * me - mm * ee)
        else:
            # The point is inside. Should it be close to the surface, then ways along that, m w = 0, part
            # the long ones from the short.
            a, b, c = 0.0, 0.5 * ma, d * me
        square = b * b - a * c
        if square < 0.0:
            continue
        root = -(b + sqrt(square)) if b > 0.0 else sqrt(square) - b
        for k in range(2):
            t = root / a if k == 0 else c / root
            graze = -(d * me + t * ma) / (d * d * ee + t * (2.0 * d * ea + t * aa))
            # A way that grazes the body beyond the line, or would behind the point, does not count.
            if kind == 1 or mm <= 0.0 or 0.0 < graze < 1.0:
                number = _insert(cuts, number, plane, t)
    return number


@kernel
def _depth(conics: Floats, leafy: int, d: float, towards: float, along: float) -> float:
    """Optical depth of leafy bodies on the way from the point to the line in one direction. [-]"""
    depth = 0.0
    for j in range(leafy):
        mw = towards * conics[j, 1] + along * conics[j, 2]
        ww = towards**2 * conics[j, 3] + along * (2.0 * towards * conics[j, 4] + along * conics[j, 5])
        square = mw * mw - ww * conics[j, 0]
        if square > 0.0:
            enter, leave = (-mw - sqrt(square)) / ww, (sqrt(square) - mw) / ww
            depth += conics[j, 6] * max(0.0, min(leave, d / towards) - max(enter, 0.0))
    return depth


@kernel
def _book(
    low: float,
    high: float,
    plane: Floats,
    media: Sheets,
    conics: Floats,
    leafy: int,
    out: Floats,
    i: int,
    occurs: Bools,
) -> None:
    """Book the light of a visible piece of the line along which nothing changes suddenly."""
    spans, tilts, bits, law, parameters = media
    d, middle = plane[4, 0], 0.5 * (low + high)
    mask, weighted = 0, 0 * i
    for j in range(len(bits)):
        if spans[j, 0] < middle < spans[j, 1]:
            mask |= bits[j]
            weighted += 1 if law[j] != 0 else 0
    slant = sqrt(d * d + middle * middle)
    depth = _depth(conics, leafy, d, d / slant, middle / slant) if leafy > 0 else 0.0
    # Integrals of cos(g) times the unit ray over the angle g, over d: towards the line and along it. [m-1]
    towards, along = 0.0, 0.0
    width = atan2(d * (high - low), d * d + low * high)
    if weighted == 0 and depth == 0.0:
        near2, far2 = d * d + low * low, d * d + high * high
        towards = 0.5 * (width + d * high / far2 - d * low / near2) / d
        # The difference of two sin^2, written so that nothing cancels far out on the line.
        along = 0.5 * d * (high - low) * (high + low) / (near2 * far2)
    else:
        panels = max(ceil(width / PANEL), min(ceil(depth / PANEL_DEPTH), MOST_PANELS))
        for k in range(panels * len(GAUSS_NODES)):
            node = k % len(GAUSS_NODES)
            share = (k // len(GAUSS_NODES) + 0.5 + 0.5 * GAUSS_NODES[node]) / panels
            part = 0.5 * width / panels * GAUSS_WEIGHTS[node] / d
            if depth > 0.0:
                # The way through a body grows like a root from its edge on; over x^2 (3 - 2 x) it is smooth.
                part *= 6.0 * share * (1.0 - share)
                share *= share * (3.0 - 2.0 * share)
            angle = atan2(low, d) + width * share
            e, a = cos(angle), sin(angle)
            if depth > 0.0:
                part *= exp(-_depth(conics, leafy, d, e, a))
            for j in range(len(bits)):
                if law[j] != 0 and spans[j, 0] < middle < spans[j, 1]:
                    u = e * tilts[j, 0] + a * tilts[j, 3]
                    v = e * tilts[j, 1] + a * tilts[j, 4]
                    n = e * tilts[j, 2] + a * tilts[j, 5]
                    part *= medium_law(law[j], parameters[j, 0], parameters[j, 1], u, v, n)
            towards += part * e * e
            along += part * e * a
    towards, along = plane[7, 2] * towards, plane[7, 2] * along
    for c in range(3):
        light = towards * plane[1, c] + along * plane[2, c]
        out[i, mask, c] += light
        # The piece lies wholly on one side of the receiver's own plane.
        if towards * plane[7, 0] + along * plane[7, 1] > 0.0:
            out[i, mask, 3 + c] += light
    if towards > 0.0:
        occurs[mask] = True


@kernel
def _interpolate(weight: Floats, azimuth: float) -> float:
    """Weight at an azimuth in degrees, linear between whole degrees."""
    k = min(int(azimuth), len(weight) - 2)
    share = azimuth - k
    return float(weight[k] * (1.0 - share) + weight[k + 1] * share)
