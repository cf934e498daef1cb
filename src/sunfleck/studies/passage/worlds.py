"""The box at one moment: what is open and what stands in it, as layers along an opening's normal.

What stands free is widened to one wall. To which one decides what goes past it: that is chosen so that the part's
place stays free, and several choices are tried. A yes under any of them is a yes; none of them proves a no.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.layers import Frame, Way, World, cabinet
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import matrix_of
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import inside_box
from sunfleck.studies.passage.doors import Entrance

Floats = NDArray[np.float64]

# (axis, end) of a layer's rectangle that a thing standing in it takes: left, right, below, above in the axes of the
# opening. With `end` 0 the room above it on that axis is left.
SIDES = ((1, 0), (1, 1), (0, 0), (0, 1))


@dataclass(frozen=True, eq=False)
class Extent:
    """A part in its place, as rods in an opening's axes.

    Attributes
    ----------
    first, last : (k, 3) float
        Ends of its rods; of a ball without one twice its middle. [m]
    first_radius, last_radius : (k,) float
        How far it reaches round them. [m]
    """

    first: Floats
    last: Floats
    first_radius: Floats
    last_radius: Floats

    def between(self, low: float, high: float) -> Floats | None:
        """X from, to, y from, to of what lies between two depths; None where nothing does. [m]"""
        begin, end = np.zeros(len(self.first)), np.ones(len(self.first))
        # Shares of each rod that reach above the low plane and below the high one: linear in the share.
        for sign, plane in ((1.0, low), (-1.0, high)):
            here = sign * (self.first[:, 2] - plane) + self.first_radius
            there = sign * (self.last[:, 2] - plane) + self.last_radius
            with np.errstate(divide="ignore", invalid="ignore"):
                cross = here / (here - there)
            begin = np.where((here < 0) & (there > 0), np.maximum(begin, cross), begin)
            end = np.where((here > 0) & (there < 0), np.minimum(end, cross), end)
            end = np.where((here <= 0) & (there <= 0), -1.0, end)
        kept = begin <= end
        if not kept.any():
            return None
        lows, highs = [], []
        for share in (begin[kept, None], end[kept, None]):
            middle = self.first[kept, :2] + share * (self.last[kept, :2] - self.first[kept, :2])
            radius = self.first_radius[kept, None] + share * (
                self.last_radius[kept, None] - self.first_radius[kept, None]
            )
            lows.append((middle - radius).min(axis=0))
            highs.append((middle + radius).max(axis=0))
        (x0, y0), (x1, y1) = np.min(lows, axis=0), np.max(highs, axis=0)
        return np.array([x0, x1, y0, y1])

    @cached_property
    def whole(self) -> Floats:
        """X from, to, y from, to. [m]"""
        found = self.between(-1e9, 1e9)
        assert found is not None, "a body has a ball"
        return found

    @property
    def depth(self) -> tuple[float, float]:
        """First and last depth it reaches. [m]"""
        z, r = (
            np.concatenate([self.first[:, 2], self.last[:, 2]]),
            np.concatenate([self.first_radius, self.last_radius]),
        )
        return float((z - r).min()), float((z + r).max())


def extent_in(body: Body, pose: Pose, frame: Frame) -> Extent:
    """A body in its place, in an opening's axes."""
    outer = body.outer
    inner = frame.inwards(pose)
    nodes = outer.nodes @ matrix_of(inner.turn).T + inner.place
    own = np.arange(len(nodes))
    first, last = np.concatenate([outer.rods[:, 0], own]), np.concatenate([outer.rods[:, 1], own])
    return Extent(nodes[first], nodes[last], outer.radius[first], outer.radius[last])


def bare_world(plan: Plan, entrance: Entrance, standing: Floats | None = None) -> World:
    """A box with nothing in it: what a no is proved with. With blocks (k, 2, 3) these stand in it, for a yes. [m]"""
    inside = inside_box(plan).high
    ways: list[Way] = []
    frame: Frame | None = None
    for hole in entrance.holes:
        blocks = () if standing is None else standing
        parts = [
            cabinet(inside, entrance.face, entrance.wall, [opening], blocks) for opening in hole.openings
        ]
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
    found = [_within(bare.frame.box(corners), room) for corners in standing]
    boxes = [box for box in found if box is not None]
    # What of the part lies at a block's depth is the same whichever side is asked for.
    beside = [extent.between(low + 1e-9, high - 1e-9) for low, high in (box[:, 2] for box in boxes)]
    seen: set[bytes] = set()
    for prefer in (None, *SIDES):
        sides = [_side_of(box, room, extent, part, prefer) for box, part in zip(boxes, beside, strict=True)]
        rows = np.array(_layers(sides, room))
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
        for side in ((2, 3), (4, 5)) if face_is_top else ((2,), (3,), (4,), (5,)):
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


def _side_of(
    box: Floats, room: Floats, extent: Extent, at_its_depth: Floats | None, prefer: tuple[int, int] | None
) -> Floats:
    """Layer that a block leaves free when it is widened to one wall."""
    low, high = box
    options: list[tuple[tuple[bool, bool, float], Floats]] = []
    for axis, end in SIDES:
        row = np.array([low[2], high[2], room[0, 0], room[1, 0], room[0, 1], room[1, 1]])
        row[2 + 2 * axis + end] = high[axis] if end == 0 else low[axis]
        area = max(0.0, row[3] - row[2]) * max(0.0, row[5] - row[4])
        free = at_its_depth is None or _holds(row, at_its_depth)
        wanted = _holds(row, extent.whole) if prefer is None else (axis, end) == prefer and area > 0
        options.append(((free, wanted, area), row))
    return max(options, key=lambda option: option[0])[1]


def _holds(row: Floats, rectangle: Floats) -> bool:
    _, _, left, right, below, above = row.tolist()
    x0, x1, y0, y1 = rectangle.tolist()
    across = left <= x0 + 1e-8 and right >= x1 - 1e-8
    return bool(across and below <= y0 + 1e-8 and above >= y1 - 1e-8)


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
        for first, end in pairwise(edges):
            bounds = [row[column] for row in mine if row[0] < end - 1e-12 and row[1] > first + 1e-12]
            if not bounds:
                last = None
                continue
            bound = pick(bounds)
            if last is not None and last[column] == bound and last[1] == first:
                last[1] = end
                continue
            last = np.array([first, end, *whole])
            last[column] = bound
            found.append(last)
    return found
