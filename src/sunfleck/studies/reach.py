"""Everywhere the animal's back can get to: from footholds, at full stretch and by leaping."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.animals import AnimalBrief
from sunfleck.brief.build import Brief
from sunfleck.geometry.boxes import Box
from sunfleck.studies.footholds import Footholds, LampBody, footholds_of, lamp_body, spread

MOST_POINTS = 4000
FINEST = 0.03
# A back pressed against a wall, a guard or a bare envelope is still this far from it.
TOUCH = 0.01
# A surface an animal hangs from is sampled at its back, but no farther off than this.
HANGING = 0.04


@dataclass(frozen=True)
class Reach:
    """Where an animal's back can be.

    Attributes
    ----------
    points : (n, 3) float
        Samples of the reachable air. [m]
    spacing : float
        Spacing of the grid among them. [m]
    lamp_gap : dict of str to float
        For each fixture by name, how far past its reach the fixture's guard (or, without one, its
        bare surface) stays; zero when the animal can touch it, infinite when the whole lamp is
        outside the box. [m]
    """

    points: NDArray[np.float64]
    spacing: float
    lamp_gap: dict[str, float]


def reach_of(brief: Brief, animal: AnimalBrief) -> Reach:
    """Sample the space an animal's back can get to.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    animal : AnimalBrief
        Its reach class, stretch and leap.

    Returns
    -------
    reach : Reach
        A grid through the reachable air, its outer boundary, points on what the animal hangs from,
        and the reachable points closest to every lamp.

    Notes
    -----
    Footholds are those of :func:`footholds_of`; a lamp or guard the animal gets to is one more, as
    often as that leads to another. Reach is the straight distance full stretch + leap from a
    foothold; walls and branches in between are not counted as obstacles: it may say too much, not
    too little.
    """
    inside = brief.surroundings.inside
    limit = animal.stretch + animal.leap
    lamps = {fixture.name: lamp_body(brief, fixture) for fixture in brief.fixtures}
    around = {name: lamp.around(TOUCH) for name, lamp in lamps.items()}
    usable = {name: points[_free(brief, points)] for name, points in around.items()}
    footholds, lamp_gap = _climb(footholds_of(brief, animal), lamps, usable, limit)

    grid, spacing = _grid(inside)
    hanging = [
        spread(sheet, min(spacing, HANGING)) + min(animal.back_height, HANGING) * inward
        for sheet, inward in footholds.sheets
    ]
    beside_lamps = [_along_lamp(lamp, inside) for lamp in lamps.values()]
    candidates = np.concatenate([grid, *hanging, *around.values(), *beside_lamps])
    gap = footholds.distance(candidates)
    # What lies just out of reach, and every lamp, is drawn back to the boundary of the reach.
    outside = gap > limit
    outside[: len(grid)] &= gap[: len(grid)] < limit + 2 * spacing
    boundary = _drawn_back(footholds, candidates[outside], gap[outside], limit)
    points = np.concatenate([candidates[gap <= limit], boundary])
    free = _free(brief, points)
    for lamp in lamps.values():
        free &= lamp.distance(points) > 0
    return Reach(points[free], spacing, lamp_gap)


def _climb(
    footholds: Footholds, lamps: dict[str, LampBody], usable: dict[str, NDArray[np.float64]], limit: float
) -> tuple[Footholds, dict[str, float]]:
    """Add lamps as footholds while more come into reach; say how far each stays away."""
    start, reached = footholds, set[str]()
    while True:
        gaps = {
            name: max(float(footholds.distance(points).min()) - limit, 0.0) if len(points) else np.inf
            for name, points in usable.items()
        }
        now = {name for name, gap in gaps.items() if gap == 0.0}
        if now == reached:
            return footholds, gaps
        reached = now
        footholds = start.with_lamps([lamps[name] for name in sorted(reached)])


def _free(brief: Brief, points: NDArray[np.float64]) -> NDArray[np.bool_]:
    return brief.surroundings.inside.contains(points) & ~brief.surroundings.solid_at(points)


def _grid(inside: Box) -> tuple[NDArray[np.float64], float]:
    size = inside.high - inside.low
    spacing = max(FINEST, float(np.cbrt(size.prod() / MOST_POINTS)))
    axes = []
    for k in range(3):
        count = max(2, round(size[k] / spacing))
        # The outermost points lie off the walls by a touch: there ceilings and corners are reached.
        axes.append(np.linspace(inside.low[k] + TOUCH, inside.high[k] - TOUCH, count))
    x, y, z = np.meshgrid(*axes, indexing="ij")
    return np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1), spacing


def _along_lamp(lamp: LampBody, inside: Box) -> NDArray[np.float64]:
    """Places of the lamp itself, and for a lamp outside the places of the box nearest to it."""
    share = np.linspace(0, 1, 25 if len(lamp.axis) > 1 else 1)[:, None]
    along = lamp.axis[0] + share * (lamp.axis[-1] - lamp.axis[0])
    return np.asarray(np.clip(along, inside.low + TOUCH, inside.high - TOUCH))


def _drawn_back(
    footholds: Footholds, points: NDArray[np.float64], gap: NDArray[np.float64], limit: float
) -> NDArray[np.float64]:
    """Move points out of reach straight towards their nearest foothold until they are in reach."""
    if not len(points):
        return points
    step = 1e-5
    slope = np.stack(
        [
            (footholds.distance(points + step * axis) - footholds.distance(points - step * axis)) / (2 * step)
            for axis in np.eye(3)
        ],
        axis=1,
    )
    # Half way between two footholds the slope is shorter than one; the move then ends short of the boundary.
    moved = points - (gap - 0.999 * limit)[:, None] * slope
    return np.asarray(moved[footholds.distance(moved) <= limit])


def left_out(brief: Brief) -> Iterator[str]:
    """Yield what is left out here and matters to a plan."""
    if brief.animals:
        yield "the way between footholds: reach is a straight distance and may say too much, not too little"
