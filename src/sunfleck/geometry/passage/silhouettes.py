"""What a body looks like from one side: the shadows of its convex pieces, and the line round all of them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from sunfleck.geometry.passage.bodies import SIDES, Body, Skeleton
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import matrix_of

Floats = NDArray[np.float64]

# Sides of the polygon drawn round the circle that a ball shows: 0.1 % of the radius lie between.
ROUND = 64
# The same for the balls of a body of many pieces, such as a gathered scan: 2 %.
COARSE, MANY = 16, 60
# Corners nearer to each other are one, and so far beyond an edge is looked whether it is still inside. [m]
SAME = 1e-7
BEYOND = 1e-6
BLOCK_EDGES = 12
# Ends of lines that are joined, wider than what is looked beyond; areas that are none. [m], [m2]
JOINED = 3e-6
NOTHING = 1e-9


def pieces_of(body: Body, *, inner: bool = False) -> tuple[Skeleton, ...]:
    """Convex pieces that together are the body.

    Parameters
    ----------
    body : Body
        What is drawn. [-]
    inner : bool
        From its inner skeleton instead of its outer one. [-]

    Returns
    -------
    pieces : tuple of Skeleton
        Each stands for the hull of its balls: one block of a relief, one rod of a branch, what is
        between two circles of a turned thing, one triangle of a mesh.
    """
    skeleton = body.inner if inner else body.outer
    if body.convex or len(skeleton.rods) == 0:
        return (skeleton,)
    if skeleton.radius.any():
        return tuple(_part(skeleton, rod) for rod in skeleton.rods)
    if body.circles:
        return tuple(
            _part(skeleton, np.arange(k * SIDES, (k + 2) * SIDES)) for k in range(body.circles - 1)
        )  # fmt: skip
    count = len(skeleton.nodes)
    links = coo_matrix((np.ones(len(skeleton.rods)), skeleton.rods.T), shape=(count, count))
    number, label = connected_components(links, directed=False)
    parts: list[Skeleton] = []
    for k in range(number):
        part = _part(skeleton, np.flatnonzero(label == k))
        block = len(part.nodes) == 8 and len(part.rods) == BLOCK_EDGES
        parts += [part] if block else [_part(part, three) for three in _triangles(part)]
    return tuple(parts)


def _part(skeleton: Skeleton, rows: NDArray[np.int64]) -> Skeleton:
    within = np.isin(skeleton.rods, rows).all(axis=1)
    ordered = np.sort(rows)
    rods = np.searchsorted(ordered, skeleton.rods[within])
    return Skeleton(skeleton.nodes[ordered], skeleton.radius[ordered], rods.astype(np.int64))


def _triangles(part: Skeleton) -> list[NDArray[np.int64]]:
    near: dict[int, set[int]] = {}
    for a, b in part.rods.tolist():
        near.setdefault(a, set()).add(b)
        near.setdefault(b, set()).add(a)
    found = {
        tuple(sorted((a, b, c))) for a in near for b, c in combinations(sorted(near[a]), 2) if c in near[b]
    }
    return [np.array(three, dtype=np.int64) for three in sorted(found)]


def placed(pieces: Sequence[Skeleton], pose: Pose) -> tuple[Skeleton, ...]:
    """The pieces of a body where it stands.

    Parameters
    ----------
    pieces : sequence of Skeleton
        In the body's own axes. [m]
    pose : Pose
        Where it stands. [m]

    Returns
    -------
    pieces : tuple of Skeleton
        In the enclosure's coordinates. [m]
    """
    turn = matrix_of(pose.turn).T
    return tuple(Skeleton(each.nodes @ turn + pose.place, each.radius, each.rods) for each in pieces)


def before(pieces: Sequence[Skeleton], normal: ArrayLike, depth: float) -> tuple[Skeleton, ...]:
    """What of some pieces lies before a plane: exact for corners and edges, balls at the cut end as they are.

    Parameters
    ----------
    pieces : sequence of Skeleton
        Convex, where they stand. [m]
    normal : (3,) float
        Unit vector across the plane; what lies less far along it is kept. [-]
    depth : float
        How far along the normal the plane lies. [m]

    Returns
    -------
    pieces : tuple of Skeleton
        Those of which something is left.
    """
    kept = []
    for piece in pieces:
        far = piece.nodes @ np.asarray(normal, dtype=np.float64) - depth
        nodes, radius = list(piece.nodes[far < 0]), list(piece.radius[far < 0])
        for a, b in piece.rods:
            if (far[a] < 0) != (far[b] < 0):
                share = far[a] / (far[a] - far[b])
                nodes.append(piece.nodes[a] + share * (piece.nodes[b] - piece.nodes[a]))
                radius.append(piece.radius[a] + share * (piece.radius[b] - piece.radius[a]))
        if nodes:
            kept.append(Skeleton(np.array(nodes), np.array(radius), np.zeros((0, 2), dtype=np.int64)))
    return tuple(kept)


def shadows(pieces: Sequence[Skeleton], right: ArrayLike, up: ArrayLike) -> list[Floats]:
    """The shadow of each piece on a plane.

    Parameters
    ----------
    pieces : sequence of Skeleton
        Convex, where they stand. [m]
    right, up : (3,) float
        Unit vectors of the plane's axes. [-]

    Returns
    -------
    polygons : list of (k, 2) float
        Convex, counter-clockwise; circles as polygons of 64 sides (16 for many pieces) drawn round them. Those without
        an area are left out. [m]
    """
    axes = np.array([right, up], dtype=np.float64).T
    # Sides, not corners, to the right and up: the extents are those of the ball.
    sides = ROUND if len(pieces) <= MANY else COARSE
    angle = 2 * np.pi * (np.arange(sides) + 0.5) / sides
    circle = np.stack([np.cos(angle), np.sin(angle)], axis=1) / np.cos(np.pi / sides)
    polygons = []
    for piece in pieces:
        flat = piece.nodes @ axes
        points = [flat[piece.radius == 0]]
        points += [flat[k] + piece.radius[k] * circle for k in np.flatnonzero(piece.radius)]
        polygon = hull(np.concatenate(points))
        if len(polygon) >= 3:
            polygons.append(polygon)
    return polygons


def hull(points: ArrayLike) -> Floats:
    """Smallest convex polygon round some points of a plane.

    Parameters
    ----------
    points : (n, 2) float
        Any. [m]

    Returns
    -------
    polygon : (k, 2) float
        Counter-clockwise, without corners on its sides; fewer than three where the points lie on a line. [m]

    Examples
    --------
    >>> hull([[0, 0], [2, 0], [1, 0], [2, 1], [0, 1], [1, 0.5]]).tolist()
    [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]]
    """
    ordered = np.unique(np.asarray(points, dtype=np.float64).reshape(-1, 2), axis=0)

    def chain(rows: Floats) -> list[Floats]:
        kept: list[Floats] = []
        for row in rows:
            while len(kept) >= 2 and _left(kept[-2], kept[-1], row) <= 1e-13:
                kept.pop()
            kept.append(row)
        return kept

    if len(ordered) < 3:
        return ordered
    return np.array(chain(ordered)[:-1] + chain(ordered[::-1])[:-1])


def _left(a: Floats, b: Floats, c: Floats) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def outline_of(polygons: Sequence[Floats]) -> list[Floats]:
    """The line round all of some convex polygons.

    Each side is parted where it meets another polygon; what has another polygon just beyond it is inside
    and dropped; the rest is joined to lines.

    Parameters
    ----------
    polygons : sequence of (k, 2) float
        Convex and counter-clockwise. [m]

    Returns
    -------
    lines : list of (m, 2) float
        Corners; each line is closed, its first corner follows its last. What is round a hole runs clockwise. [m]
    """
    if len(polygons) < 2:
        return [np.asarray(each) for each in polygons]
    lows = np.array([each.min(axis=0) for each in polygons]) - BEYOND
    highs = np.array([each.max(axis=0) for each in polygons]) + BEYOND
    parts: list[Floats] = []
    for k, polygon in enumerate(polygons):
        near = np.flatnonzero(((lows <= highs[k]) & (highs >= lows[k])).all(axis=1))
        others = [polygons[j] for j in near.tolist() if j != k]
        parts += _uncovered(polygon, others)
    if not parts:
        return []
    return _joined(np.array(parts))


def _uncovered(polygon: Floats, others: Sequence[Floats]) -> list[Floats]:
    """Parts (2, 2) of a polygon's sides that no other polygon lies just beyond."""
    ends = np.roll(polygon, -1, axis=0)
    if not others:
        return list(np.stack([polygon, ends], axis=1))
    first = np.concatenate(others)
    step = np.concatenate([np.roll(other, -1, axis=0) - other for other in others])
    begins = np.cumsum([0, *(len(other) for other in others[:-1])])
    slack = SAME / np.maximum(np.hypot(*step.T), SAME)

    def covered(points: Floats) -> NDArray[np.bool_]:
        """Which others each point lies in: (n, others)."""
        away = points[:, None, :] - first
        left = step[:, 0] * away[..., 1] - step[:, 1] * away[..., 0]
        return np.asarray(np.minimum.reduceat(left, begins, axis=1) > 0)

    off = BEYOND * np.column_stack([(ends - polygon)[:, 1], -(ends - polygon)[:, 0]])
    off /= np.maximum(np.hypot(*(ends - polygon).T), SAME)[:, None]
    # A side whose two ends lie in one convex other lies in it: most sides of many pieces do.
    within = (covered(polygon + off) & covered(ends + off)).any(axis=1)
    kept = []
    for a, b in zip(polygon[~within], ends[~within], strict=True):
        along = b - a
        length = float(np.hypot(*along))
        if length < SAME:
            continue
        outwards = np.array([along[1], -along[0]]) / length
        cross = along[0] * step[:, 1] - along[1] * step[:, 0]
        rest = first - a
        meets = np.abs(cross) > 1e-9 * length * np.hypot(*step.T)
        safe = np.where(meets, cross, 1.0)
        t = (rest[:, 0] * step[:, 1] - rest[:, 1] * step[:, 0]) / safe
        u = (rest[:, 0] * along[1] - rest[:, 1] * along[0]) / safe
        shares = t[meets & (u > -slack) & (u < 1 + slack)]
        # Corners that lie on this side: where two polygons share a line.
        beside = rest[np.abs(rest @ outwards) < SAME] @ along / length**2
        inner = np.concatenate([shares, beside])
        cuts = np.concatenate([[0.0], np.unique(inner[(inner > 0) & (inner < 1)]), [1.0]])
        cuts = cuts[np.concatenate([[True], np.diff(cuts) > SAME / length])]
        cuts[-1] = 1.0
        middles = a + (cuts[:-1, None] + cuts[1:, None]) / 2 * along + BEYOND * outwards
        free = ~covered(middles).any(axis=1)
        kept += [
            np.array([a + s * along, a + t * along])
            for s, t in zip(cuts[:-1][free], cuts[1:][free], strict=True)
        ]
    return kept


def _joined(parts: Floats) -> list[Floats]:
    """Closed lines from parts (n, 2, 2), each of which begins where another ends.

    Where polygons all but touch, a part may be kept beside one that takes its place: it leads nowhere
    and is dropped, as is what closes round no area.
    """
    ends = parts.reshape(-1, 2)
    close = cKDTree(ends).query_pairs(JOINED, output_type="ndarray")
    links = coo_matrix((np.ones(len(close)), close.T), shape=(len(ends), len(ends)))
    _, label = connected_components(links, directed=False)
    following: dict[int, list[int]] = {}
    for a, b in dict.fromkeys(map(tuple, label.reshape(-1, 2).tolist())):
        if a != b:
            following.setdefault(a, []).append(b)
    place = np.zeros((int(label.max()) + 1, 2))
    place[label[::-1]] = ends[::-1]
    lines = []
    for start in sorted(following):
        trail = [start]
        while trail:
            if not following.get(trail[-1]):
                trail.pop()
                continue
            ahead = following[trail[-1]].pop(0)
            if ahead not in trail:
                trail.append(ahead)
                continue
            at = trail.index(ahead)
            corners = _straightened(place[trail[at:]])
            del trail[at + 1 :]
            if len(corners) >= 3 and _enclosed(corners) > NOTHING:
                lines.append(corners)
    return lines


def _enclosed(line: Floats) -> float:
    x, y = (line - line[0]).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def _straightened(line: Floats) -> Floats:
    """Without the corners at which it runs straight on."""
    back, on = line - np.roll(line, 1, axis=0), np.roll(line, -1, axis=0) - line
    bend = np.abs(back[:, 0] * on[:, 1] - back[:, 1] * on[:, 0])
    kept = bend > 1e-9 * np.hypot(*back.T) * np.hypot(*on.T)
    return np.asarray(line[kept])
