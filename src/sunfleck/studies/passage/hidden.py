"""Lines on a panel along which a cut is not seen: behind what stands before it, below the ground, along its relief."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.pieces import Line, Panel, relief_lines
from sunfleck.studies.passage.parts import Item

Floats = NDArray[np.float64]

# A line counts as hidden where so much of its length has something before it, looked at squarely. [-]
HIDDEN = 0.5
LOOKS = 120
# A cut below the ground lies so deep in it. [m]
BURIED = 0.015
# Lines nearer to each other than this are one. [m]
APART = 0.02
MOST_LINES = 12
# Edges of blocks nearer to each other are in one line. [m]
SAME = 1e-3
# What does not hide: lamps shine on what is behind them.
NOT_BEFORE = ("fixtures",)


def hidden_lines(panel: Panel, room: Floats, items: Sequence[Item], ground: float) -> tuple[Line, ...]:
    """Lines along which a panel is cut unseen.

    Parameters
    ----------
    panel : Panel
        At its place. [m]
    room : (3,) float
        From the panel towards the middle of the box. [-]
    items : sequence of Item
        Everything else of the plan. [m]
    ground : float
        Height of the ground; 0 where there is none. [m]

    Returns
    -------
    lines : tuple of Line
        Its relief's edges, the ground, then the rest, the best hidden first. What stands before the panel is looked
        at squarely: from the side more may be seen.
    """
    found = list(_along_relief(panel))
    low, high = panel.bounds
    if 2 in panel.plane and ground > BURIED and low[2] < ground - BURIED < high[2]:
        found.append(Line(2, ground - BURIED, "below the ground"))
    before = [item for item in items if item.group not in NOT_BEFORE and _stands_before(item, panel, room)]
    behind: list[tuple[float, Line]] = []
    for axis in panel.plane:
        for at in _places(before, axis):
            share, names = _hidden(panel, axis, at, before)
            if share >= HIDDEN:
                behind.append((share, Line(axis, at, f"behind {' and '.join(names)} for {_share(share)}")))
    for _, line in sorted(behind, key=lambda each: (-round(each[0], 3), each[1].axis, each[1].at)):
        if all(line.axis != other.axis or abs(line.at - other.at) >= APART for other in found):
            found.append(line)
    return tuple(found[:MOST_LINES])


def _along_relief(panel: Panel) -> Iterator[Line]:
    """Edges of its relief along which it parts without sawing through another block, and how far each goes."""
    sizes = panel.boxes[:, 1] - panel.boxes[:, 0]
    blocks = np.delete(panel.boxes, int(np.argmax(sizes[:, list(panel.plane)].prod(axis=1))), axis=0)
    for line in relief_lines(panel):
        low, high = blocks[:, 0, line.axis], blocks[:, 1, line.axis]
        if bool(((low < line.at - SAME) & (high > line.at + SAME)).any()):
            continue
        across = panel.plane[1] if line.axis == panel.plane[0] else panel.plane[0]
        begins = blocks[(np.abs(low - line.at) <= SAME) | (np.abs(high - line.at) <= SAME)]
        first, last = panel.bounds[:, across]
        points = first + (last - first) * (np.arange(LOOKS) + 0.5) / LOOKS
        along = (points[:, None] >= begins[:, 0, across]) & (points[:, None] <= begins[:, 1, across])
        yield Line(line.axis, line.at, f"along its own relief for {_share(float(along.any(axis=1).mean()))}")


def _share(share: float) -> str:
    return "all of its length" if share > 0.995 else f"{100 * share:.0f} % of its length"


def _stands_before(item: Item, panel: Panel, room: Floats) -> bool:
    axis = panel.normal
    low, high = panel.bounds[:, axis]
    ends = item.fills[:, :, axis]
    return bool(ends.max() > low + 1e-6 if room[axis] > 0 else ends.min() < high - 1e-6)


def _places(items: Sequence[Item], axis: int) -> Iterator[float]:
    """Where a line behind each of some things would lie: its middle, and of a branch also where it bends."""
    for item in items:
        if item.chain is None:
            for low, high in item.fills:
                yield round(float(low[axis] + high[axis]) / 2, 3)
            continue
        path = item.chain.path[:, axis]
        yield from (round(float(at), 3) for at in (*path, *(path[:-1] + path[1:]) / 2))


def _hidden(panel: Panel, axis: int, at: float, items: Sequence[Item]) -> tuple[float, list[str]]:
    """Share of a line that something stands before, and what does, that which hides most first."""
    a, b = panel.plane
    across = b if axis == a else a
    low, high = panel.bounds[:, across]
    points = np.empty((LOOKS, 2))
    points[:, 0 if axis == a else 1] = at
    points[:, 1 if axis == a else 0] = low + (high - low) * (np.arange(LOOKS) + 0.5) / LOOKS
    covered = np.zeros(LOOKS, dtype=bool)
    shares: list[tuple[float, str]] = []
    for item in items:
        mine = np.zeros(LOOKS, dtype=bool)
        for over in _over(item, points, (a, b)):
            mine |= over
        covered |= mine
        if mine.any():
            shares.append((float(mine.mean()), item.name))
    shares.sort(key=lambda each: (-each[0], each[1]))
    # What hides next to nothing of it is not named.
    return float(covered.mean()), [name for share, name in shares if share >= 0.1][:3]


def _over(item: Item, points: Floats, plane: tuple[int, int]) -> Iterator[NDArray[np.bool_]]:
    """Which points of the panel each piece of a thing covers, looked at squarely."""
    axes = list(plane)
    if item.chain is None:
        for low, high in item.fills:
            yield ((points >= low[axes]) & (points <= high[axes])).all(axis=1)
        return
    path, radius = item.chain.path[:, axes], item.chain.radius
    for first, last, r0, r1 in zip(path[:-1], path[1:], radius[:-1], radius[1:], strict=True):
        along = last - first
        length = float(along @ along)
        share = np.clip((points - first) @ along / length, 0.0, 1.0) if length > 0 else np.zeros(len(points))
        off = np.linalg.norm(points - (first + share[:, None] * along), axis=1)
        yield off <= r0 + share * (r1 - r0)
