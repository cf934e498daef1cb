"""The box at one moment: what is open and what stands in it, as layers along an opening's normal.

What stands free is widened to one wall. To which one decides what goes past it: that is chosen so that the part's
place stays free, and several choices are tried. A yes under any of them is a yes; none of them proves a no.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.layers import Frame, Way, World, cabinet
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import turned_vector
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import inside_box
from sunfleck.studies.passage.doors import Entrance

Floats = NDArray[np.float64]

# Points along each rod at which a part's extent is taken.
ALONG = 9
# Layers of one side whose bounds differ by less are one. [m]
ALIKE = 0.003
# (axis, end) of a layer's rectangle that a thing standing in it takes: left, right, below, above in the axes of the
# opening. With `end` 0 the room above it on that axis is left.
SIDES = ((1, 0), (1, 1), (0, 0), (0, 1))


@dataclass(frozen=True, eq=False)
class Extent:
    """A part in its place, as balls along its rods, in an opening's axes.

    Attributes
    ----------
    points : (m, 3) float
        Middles. [m]
    radius : (m,) float
        How far it reaches round them. [m]
    """

    points: Floats
    radius: Floats

    def between(self, first: float, last: float) -> Floats | None:
        """x from, to, y from, to of what lies between two depths; None where nothing does. [m]"""
        z, r = self.points[:, 2], self.radius
        there = (z + r > first) & (z - r < last)
        if not there.any():
            return None
        p, q = self.points[there, :2], r[there, None]
        low, high = (p - q).min(axis=0), (p + q).max(axis=0)
        return np.array([low[0], high[0], low[1], high[1]])

    @property
    def whole(self) -> Floats:
        """x from, to, y from, to. [m]"""
        found = self.between(-np.inf, np.inf)
        assert found is not None
        return found


def extent_in(body: Body, pose: Pose, frame: Frame) -> Extent:
    """A body in its place, in an opening's axes."""
    outer = body.outer
    inner = frame.inwards(pose)
    nodes = np.array([turned_vector(inner.turn, node) for node in outer.nodes]) + inner.place
    share = np.linspace(0.0, 1.0, ALONG)[None, :, None]
    a, b = nodes[outer.rods[:, 0]][:, None], nodes[outer.rods[:, 1]][:, None]
    ra, rb = outer.radius[outer.rods[:, 0]][:, None], outer.radius[outer.rods[:, 1]][:, None]
    along = (a + share * (b - a)).reshape(-1, 3)
    radius = (ra + share[..., 0] * (rb - ra)).reshape(-1)
    return Extent(np.concatenate([nodes, along]), np.concatenate([outer.radius, radius]))


def bare_world(plan: Plan, entrance: Entrance) -> World:
    """A box with nothing in it: what a no is proved with."""
    inside = inside_box(plan).high
    ways: list[Way] = []
    frame: Frame | None = None
    for hole in entrance.holes:
        parts = [cabinet(inside, entrance.face, entrance.wall, [opening]) for opening in hole.openings]
        frame = parts[0].frame
        first = parts[0].ways[0]
        layers = np.unique(np.concatenate([part.ways[0].layers for part in parts]), axis=0)
        ways.append(replace(first, name=hole.name, layers=layers))
    assert frame is not None, "an entrance has a hole"
    return World(tuple(ways), frame)


def worlds_for(bare: World, standing: Floats, inside: Floats, extent: Extent) -> Iterator[World]:
    """The same box with what stands in it, widened to walls in one way after the other.

    Parameters
    ----------
    bare : World
        Without anything in it.
    standing : (k, 2, 3) float
        Blocks round what stands, in the enclosure's coordinates. [m]
    inside : (3,) float
        Extent of the box. [m]
    extent : Extent
        The part in its place, in the opening's axes.

    Yields
    ------
    world : World
        For a yes only: what stands bounds the part more than it does.
    """
    if len(standing) == 0:
        yield bare
        return
    room = bare.frame.box([np.zeros(3), inside])
    boxes = [_within(bare.frame.box(corners), room) for corners in standing]
    boxes = [box for box in boxes if box is not None]
    seen: set[bytes] = set()
    for prefer in (None, *SIDES):
        rows = np.array(_layers([_side_of(box, room, extent, prefer) for box in boxes], room))
        key = rows.tobytes()
        if key in seen:
            continue
        seen.add(key)
        ways = tuple(replace(way, layers=np.concatenate([way.layers, rows])) for way in bare.ways)
        yield replace(bare, ways=ways)


def narrowed(world: World, by: float, face_is_top: bool) -> World:
    """The same with room for a hand kept beside the part in the opening: a way for each side it may be on.

    Through a top a part is lowered and held on both sides: there the room is kept on two opposite ones.
    """
    ways = []
    for way in world.ways:
        for side in (((2, 3), (4, 5)) if face_is_top else ((2,), (3,), (4,), (5,))):
            layers = way.layers.copy()
            # The opening itself is the layer that begins at the outer side of the wall and bounds both ways.
            door = int(np.argmin(np.abs(layers[:, 0]) + 1e3 * (np.abs(layers[:, 2:]) > 1e5).any(axis=1)))
            for column in side:
                layers[door, column] += by if column % 2 == 0 else -by
            if layers[door, 3] > layers[door, 2] and layers[door, 5] > layers[door, 4]:
                ways.append(replace(way, layers=layers))
    return replace(world, ways=tuple(ways)) if ways else world


def _within(box: Floats, room: Floats) -> Floats | None:
    low, high = np.maximum(box[0], room[0]), np.minimum(box[1], room[1])
    return np.array([low, high]) if bool((high - low > 1e-9).all()) else None


def _side_of(box: Floats, room: Floats, extent: Extent, prefer: tuple[int, int] | None) -> Floats:
    """Layer that a block leaves free when it is widened to one wall."""
    low, high = box
    options: list[tuple[tuple[bool, bool, float], Floats]] = []
    at_its_depth = extent.between(low[2] + 1e-9, high[2] - 1e-9)
    for axis, end in SIDES:
        row = np.array([low[2], high[2], room[0, 0], room[1, 0], room[0, 1], room[1, 1]])
        row[2 + 2 * axis + end] = high[axis] if end == 0 else low[axis]
        area = max(0.0, row[3] - row[2]) * max(0.0, row[5] - row[4])
        free = at_its_depth is None or _holds(row, at_its_depth)
        wanted = _holds(row, extent.whole) if prefer is None else (axis, end) == prefer and area > 0
        options.append(((free, wanted, area), row))
    return max(options, key=lambda option: option[0])[1]


def _holds(row: Floats, rectangle: Floats) -> bool:
    return bool(
        (row[[2, 4]] <= rectangle[[0, 2]] + 1e-8).all() and (row[[3, 5]] >= rectangle[[1, 3]] - 1e-8).all()
    )


def _layers(rows: Sequence[Floats], room: Floats) -> list[Floats]:
    """The same in as few layers: of one side the strictest bound between the depths where that changes."""
    whole = np.array([room[0, 0], room[1, 0], room[0, 1], room[1, 1]])
    found: list[Floats] = []
    for column in range(2, 6):
        mine = [row for row in rows if row[column] != whole[column - 2]]
        if not mine:
            continue
        pick = max if column % 2 == 0 else min
        edges = sorted({float(row[k]) for row in mine for k in (0, 1)})
        last: Floats | None = None
        for first, end in zip(edges, edges[1:], strict=False):
            bounds = [row[column] for row in mine if row[0] < end - 1e-12 and row[1] > first + 1e-12]
            if not bounds:
                last = None
                continue
            bound = pick(bounds)
            if last is not None and abs(last[column] - bound) < ALIKE and last[1] == first:
                # Joined only where the earlier bound is the stricter: what is free must stay free at the goal.
                if pick(last[column], bound) == last[column] == bound:
                    last[1] = end
                    continue
            last = np.array([first, end, *whole])
            last[column] = bound
            found.append(last)
    return found
