"""Where on a face of the box there is room to mount or cut something more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.boxes import FACE_AXES, Box, Face
from sunfleck.library.entries import LINE_EMITTERS
from sunfleck.library.loader import Library
from sunfleck.plan.furnishing import Hide, Ledge
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import background_box, chain_of, inside_box, ledge_box

Pair = tuple[float, float]
Taken = tuple[Pair, Pair]

# A frame, a screw and a saw want this much round an opening. Common practice, no source. [m]
EDGE = 0.02
# What stands as near to a face as this stands in the way there; of lamps, which are hot, farther off. [m]
BEFORE_IT, BEFORE_IT_HOT = 0.05, 0.12
# Places are looked for on a builder's grid. [m]
STEP = {"metric": 0.01, "us": 0.0127}


def free_spot(
    plan: Plan, library: Library, face: Face, size: Pair, along: Literal["top", "ground"]
) -> Pair | None:
    """Find room on a face, as high up or as low down as there is, and as near to the middle of its width.

    Parameters
    ----------
    plan : Plan
        A checked plan.
    library : Library
        That its ids are of.
    face : str
        Which.
    size : (float, float)
        What is to have room, along the face's two axes. [m]
    along : str
        ``top`` or ``ground``: where it is to be. On the lid and the floor, which have no height, both mean the back.

    Returns
    -------
    at : (float, float) or None
        Its lower left corner on the face, on a grid of whole centimetres or half inches; None where there is no room.
        Doors, vents, fans and panels of the face are kept clear of, and what stands or hangs before it. [m]
    """
    _, _, first, second = FACE_AXES[face]
    inside = inside_box(plan).high
    step = STEP[plan.show_units]
    lowest = plan.substrate.depth if plan.substrate is not None and second == 2 else 0.0
    taken = [*_cut(plan, face), *_before(plan, library, face)]
    across, up = (
        np.arange(np.ceil((low + EDGE) / step - 1e-9), np.floor((high - EDGE - wide) / step + 1e-9) + 1)
        * step
        for low, high, wide in ((0.0, inside[first], size[0]), (lowest, inside[second], size[1]))
    )
    across = across[np.argsort(np.abs(across + (size[0] - inside[first]) / 2), kind="stable")]
    for v in up if along == "ground" else up[::-1]:
        free = np.ones(len(across), dtype=bool)
        for low, high in taken:
            if v < high[1] + EDGE - 1e-9 and v + size[1] > low[1] - EDGE + 1e-9:
                free &= (across >= high[0] + EDGE - 1e-9) | (across + size[0] <= low[0] - EDGE + 1e-9)
        if free.any():
            return float(across[int(np.argmax(free))]), float(v)
    return None


def can_be_cut(plan: Plan, library: Library, face: Face) -> bool:
    """Return whether a face is a closed board: glass is not cut at home, and behind a panel that covers it nothing is seen."""
    covered = any(panel.face == face and panel.at is None for panel in plan.backgrounds)
    return plan.enclosure.walls.of(face).material not in library.panes and not covered


def _cut(plan: Plan, face: Face) -> Iterator[Taken]:
    """What is in the face already: doors, vents, fans, panels on it."""
    for part in plan.enclosure.openings:
        if part.face == face:
            yield part.at, (part.at[0] + part.size[0], part.at[1] + part.size[1])
    for panel in plan.backgrounds:
        if panel.face == face:
            yield _on_face(background_box(plan, panel), face)


def _before(plan: Plan, library: Library, face: Face) -> Iterator[Taken]:
    """What is before the face: fans in it, shelves, hides and branches that touch it, lamps near it."""
    for fan in plan.enclosure.fans:
        if fan.face == face:
            side = float(library.fans[fan.fan].side.value)  # type: ignore[arg-type]  # a length is a number
            yield fan.at, (fan.at[0] + side, fan.at[1] + side)
    standing: tuple[Ledge | Hide, ...] = (*plan.ledges, *plan.hides)
    solids: list[tuple[Box, float]] = [(ledge_box(part), BEFORE_IT) for part in standing]
    for perch in plan.perches:
        chain = chain_of(perch)
        for k, (a, b) in enumerate(pairwise(chain.path)):
            # Piece by piece: a branch that leans on the wall takes its room only where it does.
            pieces = np.linspace(a, b, 2 + int(np.linalg.norm(b - a) / BEFORE_IT))
            radius = float(chain.radius[k : k + 2].max())
            solids += [(_round(pair, radius), BEFORE_IT) for pair in pairwise(pieces)]
    for fixture in plan.fixtures:
        lamp = library.lamps[fixture.lamp]
        points = [np.array(p) for p in (fixture.from_, fixture.to, fixture.at) if p is not None]
        radius = float(lamp.diameter.value) / 2  # type: ignore[arg-type]  # a length is a number
        hot = BEFORE_IT if str(lamp.emitter.value) in LINE_EMITTERS else BEFORE_IT_HOT
        solids.append((_round(points, radius), hot))
    fixed, end, _, _ = FACE_AXES[face]
    wall = float(inside_box(plan).high[fixed]) if end else 0.0
    for box, near in solids:
        if box.low[fixed] <= wall + near and box.high[fixed] >= wall - near:
            yield _on_face(box, face)


def _round(points: Iterable[NDArray[np.float64]], radius: float) -> Box:
    corners = np.array(list(points))
    return Box(corners.min(axis=0) - radius, corners.max(axis=0) + radius)


def _on_face(box: Box, face: Face) -> Taken:
    _, _, first, second = FACE_AXES[face]
    low, high = ((float(corner[first]), float(corner[second])) for corner in (box.low, box.high))
    return low, high
