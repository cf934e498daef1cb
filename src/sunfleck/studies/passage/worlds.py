"""The box at one moment: what is open and what stands in it, as layers along an opening's normal.

What stands free is widened to one wall. To which one decides what goes past it: that is chosen so that the part's
place stays free, and several choices are tried. A yes under any of them is a yes; none of them proves a no.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.layers import Frame, Way, World, cabinet
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import inside_box
from sunfleck.studies.passage.doors import Entrance
from sunfleck.studies.passage.extents import Extent
from sunfleck.studies.passage.straight import SIDES, beside_which

Floats = NDArray[np.float64]


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


def worlds_for(
    bare: World, standing: Floats, inside: Floats, extent: Extent, clearance: float | None = None
) -> Iterator[World]:
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
    clearance : float, optional
        With it those come first past which a straight push that keeps so much free leads beside the place. [m]

    Yields
    ------
    world : World
        For a yes only: what stands bounds the part more than it does.
    """
    if len(standing) == 0:
        yield bare
        return
    room = bare.frame.box([np.zeros(3), inside])
    boxes = _within(bare.frame, standing, room)
    if len(boxes) == 0:
        yield bare
        return
    sides = _Sides(boxes, room, extent)
    seen: set[bytes] = set()
    ways_past = [] if clearance is None else beside_which(bare, boxes, extent, sides.free, clearance)
    chosen = [sides.passing(extent.whole + shift[[0, 0, 1, 1]]) for shift in ways_past]
    for widened in (*chosen, *(sides.widened(prefer) for prefer in (None, *SIDES))):
        rows = _layers(widened, room)
        key = rows.tobytes()
        if key in seen:
            continue
        seen.add(key)
        ways = tuple(replace(way, layers=np.concatenate([way.layers, rows])) for way in bare.ways)
        yield replace(bare, ways=ways)


def narrowed(world: World, by: float, *, on_two_sides: bool) -> World:
    """The same with room for a hand kept beside the part in the opening: a way for each side it may be on.

    Through a top or a bottom a part is held on both sides: there the room is kept on two opposite ones.
    """
    ways = []
    for way in world.ways:
        for side in ((2, 3), (4, 5)) if on_two_sides else ((2,), (3,), (4,), (5,)):
            layers = way.layers.copy()
            # The opening itself is the layer that begins at the outer side of the wall and bounds both ways.
            door = int(np.argmin(np.abs(layers[:, 0]) + 1e3 * (np.abs(layers[:, 2:]) > 1e5).any(axis=1)))
            for column in side:
                layers[door, column] += by if column % 2 == 0 else -by
            if layers[door, 3] > layers[door, 2] and layers[door, 5] > layers[door, 4]:
                ways.append(replace(way, layers=layers))
    return replace(world, ways=tuple(ways)) if ways else world


def _within(frame: Frame, standing: Floats, room: Floats) -> Floats:
    """What of blocks lies in the box (k, 2, 3), in the axes of the opening. [m]"""
    moved = (standing - frame.origin) @ frame.axes.T
    low, high = np.maximum(moved.min(axis=1), room[0]), np.minimum(moved.max(axis=1), room[1])
    found: Floats = np.stack([low, high], axis=1)[(high - low > 1e-9).all(axis=1)]
    return found


class _Sides:
    """To which wall each block may be widened, and what of the part is free then."""

    def __init__(self, boxes: Floats, room: Floats, extent: Extent) -> None:
        low, high = boxes[:, 0], boxes[:, 1]
        whole = [room[0, 0], room[1, 0], room[0, 1], room[1, 1]]
        rows = np.empty((len(boxes), len(SIDES), 6))
        rows[:, :, 0], rows[:, :, 1] = low[:, 2, None], high[:, 2, None]
        rows[:, :, 2:] = whole
        for number, (axis, end) in enumerate(SIDES):
            rows[:, number, 2 + 2 * axis + end] = high[:, axis] if end == 0 else low[:, axis]
        across = np.maximum(0.0, rows[..., 3] - rows[..., 2])
        self.rows, self.area = rows, across * np.maximum(0.0, rows[..., 5] - rows[..., 4])
        # What of the part lies at a block's depth is the same whichever side is asked for.
        beside = extent.between(low[:, 2] + 1e-9, high[:, 2] - 1e-9)
        self.free = _holds(rows, beside[:, None, :])
        self.holds = _holds(rows, extent.whole)

    def widened(self, prefer: tuple[int, int] | None) -> Floats:
        """Layers (k, 6) that blocks leave free: free of the part, then as preferred, then with most room. [m]"""
        wanted = self.holds
        if prefer is not None:
            named = np.array([side == prefer for side in SIDES])
            wanted = named & (self.area > 0)
        return self._best(wanted)

    def passing(self, rectangle: Floats) -> Floats:
        """Layers (k, 6) free of the part and, as far as can be, of a rectangle (x from, to, y from, to) before it. [m]"""
        return self._best(_holds(self.rows, rectangle))

    def _best(self, wanted: NDArray[np.bool_]) -> Floats:
        # The first of those that are best in all three.
        order = np.lexsort((-self.area, ~wanted, ~self.free), axis=1)
        return self.rows[np.arange(len(self.rows)), order[:, 0]]


def _holds(rows: Floats, rectangles: Floats) -> NDArray[np.bool_]:
    low, high = rows[..., 2::2], rows[..., 3::2]
    inside = (low <= rectangles[..., 0::2] + 1e-8) & (high >= rectangles[..., 1::2] - 1e-8)
    return np.asarray(inside.all(axis=-1))


def _layers(rows: Floats, room: Floats) -> Floats:
    """The same in as few layers (n, 6): of one side the strictest bound between the depths where that changes. [m]"""
    whole = [room[0, 0], room[1, 0], room[0, 1], room[1, 1]]
    found = []
    for column in range(2, 6):
        mine = rows[rows[:, column] != whole[column - 2]]
        if len(mine) == 0:
            continue
        sign = 1.0 if column % 2 == 0 else -1.0
        edges = np.unique(mine[:, :2])
        first, end = edges[:-1], edges[1:]
        here = (mine[:, 0] < end[:, None] - 1e-12) & (mine[:, 1] > first[:, None] + 1e-12)
        bounds = sign * np.where(here, sign * mine[:, column], -np.inf).max(axis=1, initial=-np.inf)
        # Neighbours with the same bound are one layer; between blocks there is none.
        begins = np.concatenate([[True], bounds[1:] != bounds[:-1]])
        ends = np.concatenate([begins[1:], [True]])
        kept = np.isfinite(bounds[begins])
        layers = np.empty((int(kept.sum()), 6))
        layers[:, 0], layers[:, 1] = first[begins][kept], end[ends][kept]
        layers[:, 2:] = whole
        layers[:, column] = bounds[begins][kept]
        found.append(layers)
    return np.concatenate(found) if found else np.empty((0, 6))
