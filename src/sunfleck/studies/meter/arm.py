"""Where an arm with a meter gets to: in through a door, straight, clear of furnishing and lamps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.geometry.boxes import FACE_AXES, Rectangle, part_of_face
from sunfleck.plan.enclosure import Door
from sunfleck.studies.footholds import lamp_body

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Common practice, no source: how far an arm with a meter gets from the opening with ease, and at most. [m]
ARM, LONGEST = 0.60, 0.75
# Common practice, no source: the least side of an opening that a hand with a meter goes through, how far the middle of
# the arm keeps from its edge, how thick the arm is round its middle, and how far it keeps from lamps. [m]
HAND_GOES_THROUGH, FROM_THE_EDGE, HALF_AN_ARM, FROM_A_LAMP = 0.10, 0.04, 0.03, 0.04
# Behind the fingers the arm begins: the sensor itself is held out in front. [m]
FINGERS = 0.08
INTO_THE_BOX = 0.001
ENTRIES_A_SIDE = 7


@dataclass(frozen=True)
class WayIn:
    """A straight way for an arm.

    Attributes
    ----------
    door : str
        Through which opening.
    far : float
        From the opening to the place. [m]
    """

    door: str
    far: float


def ways_in(brief: Brief, points: Floats) -> tuple[WayIn | None, ...]:
    """Return the shortest free way to each point.

    Parameters
    ----------
    brief : Brief
        The resolved plan, its doors open.
    points : (n, 3) float
        Where the sensor is to be. [m]

    Returns
    -------
    ways : tuple of WayIn or None
        One a point; None where no arm of `LONGEST` gets to it.
    """
    best = np.full(len(points), np.inf)
    through = np.full(len(points), -1)
    for index, door in enumerate(brief.plan.enclosure.doors):
        if min(door.size) < HAND_GOES_THROUGH or not len(points):
            continue
        entries = _entries(brief, door, points)
        far = np.linalg.norm(points[:, None] - entries, axis=2)
        near = far <= LONGEST
        rows, columns = np.nonzero(near)
        free = _free(brief, FACE_AXES[door.face][0], entries[rows, columns], points[rows])
        far[~near] = np.inf
        far[rows[~free], columns[~free]] = np.inf
        least = far.min(axis=1)
        through = np.where(least < best, index, through)
        best = np.minimum(best, least)
    doors = brief.plan.enclosure.doors
    return tuple(
        WayIn(doors[k].name, float(far)) if np.isfinite(far) else None
        for k, far in zip(through, best, strict=True)
    )


def has_door(brief: Brief) -> bool:
    """Whether the plan has an opening that a hand goes through."""
    return any(min(door.size) >= HAND_GOES_THROUGH for door in brief.plan.enclosure.doors)


def _entries(brief: Brief, door: Door, points: Floats) -> Floats:
    """Places in an opening, (n, k, 3): the nearest to each point, then some spread over the opening. [m]"""
    around = brief.surroundings
    fixed, end, first, second = FACE_AXES[door.face]
    opening: Rectangle = part_of_face(around.inside.low, around.inside.high, door.face, door.at, door.size)
    low = opening.origin + FROM_THE_EDGE * np.eye(3)[first] + FROM_THE_EDGE * np.eye(3)[second]
    high = opening.origin + opening.edge_u + opening.edge_v
    high = high - FROM_THE_EDGE * np.eye(3)[first] - FROM_THE_EDGE * np.eye(3)[second]
    plane = opening.origin[fixed] + (-INTO_THE_BOX if end else INTO_THE_BOX)
    low[fixed] = high[fixed] = plane
    nearest = np.clip(points, low, high)
    spread = np.linspace(0.0, 1.0, ENTRIES_A_SIDE)
    u, v = (grid.ravel() for grid in np.meshgrid(spread, spread))
    grid = np.tile(low, (len(u), 1))
    grid[:, first] += u * (high[first] - low[first])
    grid[:, second] += v * (high[second] - low[second])
    return np.concatenate([nearest[:, None], np.broadcast_to(grid, (len(points), *grid.shape))], axis=1)


def _free(brief: Brief, fixed: int, entries: Floats, points: Floats) -> Bools:
    """Whether an arm's straight ways (r, 3) to (r, 3) are clear; the opening lies square to the axis `fixed`."""
    if not len(points):
        return np.zeros(0, dtype=bool)
    rays = brief.surroundings.rays
    length = np.linalg.norm(points - entries, axis=1)
    way = (points - entries) / np.maximum(length, 1e-9)[:, None]
    free = ~rays.occluded(entries, points)
    side = np.cross(way, np.eye(3)[np.abs(way).argmin(axis=1)])
    side /= np.maximum(np.linalg.norm(side, axis=1), 1e-9)[:, None]
    other = np.cross(way, side)
    # The arm ends where the fingers begin; a hand near the opening is all fingers.
    ends = points - np.minimum(FINGERS, 0.9 * length)[:, None] * way
    for across in (side, -side, other, -other):
        # Begun inside the door: it stands open, whatever it is made of.
        starts = entries + HALF_AN_ARM * across
        starts[:, fixed] = entries[:, fixed]
        free &= ~rays.occluded(starts, ends + HALF_AN_ARM * across)
    for fixture in brief.fixtures:
        body = lamp_body(brief, fixture)
        for share in np.linspace(0.0, 1.0, 9):
            free &= body.distance(entries + share * (points - entries)) > FROM_A_LAMP
    return free
