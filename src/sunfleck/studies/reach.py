"""Everywhere the animal's back can get to: from footholds, at full stretch and by leaping."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.animals import AnimalBrief
from sunfleck.brief.build import Brief
from sunfleck.brief.givens import number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.brief.media import guard_cage
from sunfleck.geometry.boxes import FACE_AXES, FACES, Box, Face, Rectangle, box_face, part_of_face
from sunfleck.plan.solids import ledge_box

MOST_POINTS = 4000
FINEST = 0.03
# A back pressed against a bare envelope or a guard is still this far from it.
TOUCH = 0.01


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
        bare surface) stays; zero when the animal can touch it. [m]
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
        Grid points within reach of a foothold, points on what it hangs from, and the closest
        points to every lamp.

    Notes
    -----
    Footholds of every class are ground, ledges, hides and perches; ``climber-rough`` and
    ``leaper`` add rough walls, panels and mesh; ``climber-glass`` adds every face. Guards and
    lamps inside the box are footholds once the animal gets to them. Reach is the straight
    distance full stretch + leap from a foothold, walls and branches in between not counted as
    obstacles: it may say too much, not too little.
    """
    around = brief.surroundings
    inside = around.inside
    blocks, sheets = _footholds(brief, animal)
    grid, spacing = _grid(inside)
    candidates = [grid]
    back = min(animal.back_height, 0.04)
    for sheet, inward in sheets:
        candidates.append(_under(sheet, inward, back, spacing))
    by_lamp = [_close_to(fixture, brief) for fixture in brief.fixtures]
    everything = np.concatenate([*candidates, *by_lamp])
    gap = _distance(everything, brief, blocks, sheets)
    limit = animal.stretch + animal.leap

    # Lamps and guards that can be reached are stood on in their turn: one more round.
    lamp_gap: dict[str, float] = {}
    cages = []
    start = sum(len(part) for part in candidates)
    for fixture, close in zip(brief.fixtures, by_lamp, strict=True):
        own = gap[start : start + len(close)]
        usable = inside.contains(close) & ~around.solid_at(close)
        start += len(close)
        nearest = float(own[usable].min()) if usable.any() else np.inf
        lamp_gap[fixture.name] = max(nearest - limit, 0.0)
        if nearest <= limit:
            cages.append(_cage(fixture, brief))
    for cage in cages:
        gap = np.minimum(gap, cage.distance(everything))

    free = inside.contains(everything) & ~around.solid_at(everything) & (gap <= limit)
    for fixture in brief.fixtures:
        free &= ~_cage(fixture, brief).contains(everything, -TOUCH / 2)
    return Reach(everything[free], spacing, lamp_gap)


def has_guard(fixture: FixtureBrief) -> bool:
    """Whether a fixture carries a guard."""
    return fixture.fixture.guard is not None


def _footholds(
    brief: Brief, animal: AnimalBrief
) -> tuple[list[Box], list[tuple[Rectangle, NDArray[np.float64]]]]:
    around, plan, library = brief.surroundings, brief.plan, brief.library
    blocks: list[Box] = [ledge_box(ledge) for ledge in plan.ledges]
    blocks += [ledge_box(hide) for hide in plan.hides]
    low, high = around.inside.low, around.inside.high
    blocks.append(
        Box(np.array([low[0], low[1], around.ground - 1.0]), np.array([high[0], high[1], around.ground]))
    )
    sheets: list[tuple[Rectangle, NDArray[np.float64]]] = []
    if animal.reach_class == "ground":
        return blocks, sheets
    glass = animal.reach_class == "climber-glass"
    for face in FACES:
        if face == "bottom":
            continue
        wall = plan.enclosure.walls.of(face)
        rough = wall.finish is not None and bool(library.finishes[wall.finish].rough.value)
        if glass or rough:
            sheets.append((box_face(low, high, face), _inward(face)))
    for vent in plan.enclosure.vents:
        if not glass:
            sheets.append((part_of_face(low, high, vent.face, vent.at, vent.size), _inward(vent.face)))
    for panel, block in zip(plan.backgrounds, around.blocks, strict=False):
        if glass or bool(library.finishes[panel.finish].rough.value):
            blocks.append(block)
    return blocks, sheets


def _inward(face: Face) -> NDArray[np.float64]:
    fixed, end, _, _ = FACE_AXES[face]
    normal = np.zeros(3)
    normal[fixed] = -1.0 if end else 1.0
    return normal


def _grid(inside: Box) -> tuple[NDArray[np.float64], float]:
    size = inside.high - inside.low
    spacing = max(FINEST, float(np.cbrt(size.prod() / MOST_POINTS)))
    axes = []
    for k in range(3):
        count = max(2, round(size[k] / spacing))
        # The outermost points lie 1 cm off the walls: that is where ceilings and corners are reached.
        axes.append(np.linspace(inside.low[k] + TOUCH, inside.high[k] - TOUCH, count))
    x, y, z = np.meshgrid(*axes, indexing="ij")
    return np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1), spacing


def _under(sheet: Rectangle, inward: NDArray[np.float64], back: float, spacing: float) -> NDArray[np.float64]:
    step = min(spacing, 0.04)
    counts = [
        int(np.clip(round(np.linalg.norm(edge) / step), 1, 60)) for edge in (sheet.edge_u, sheet.edge_v)
    ]
    u, v = np.meshgrid(*((np.arange(count) + 0.5) / count for count in counts))
    flat = sheet.origin + u.reshape(-1, 1) * sheet.edge_u + v.reshape(-1, 1) * sheet.edge_v
    return np.asarray(flat + back * inward)


def _cage(fixture: FixtureBrief, brief: Brief) -> Box:
    stand_off = 0.0
    if fixture.fixture.guard is not None:
        stand_off = number(brief.library.guards[fixture.fixture.guard].stand_off)
    return guard_cage(fixture.axis, fixture.radius, stand_off)


def _close_to(fixture: FixtureBrief, brief: Brief) -> NDArray[np.float64]:
    """Points just off the guard, or off the bare envelope, all round the lamp."""
    cage = _cage(fixture, brief)
    low, high = cage.low - TOUCH, cage.high + TOUCH
    points = []
    for face in FACES:
        rectangle = box_face(low, high, face)
        counts = [
            int(np.clip(round(np.linalg.norm(e) / 0.04), 3, 40)) for e in (rectangle.edge_u, rectangle.edge_v)
        ]
        u, v = np.meshgrid(*((np.arange(count) + 0.5) / count for count in counts))
        points.append(
            rectangle.origin + u.reshape(-1, 1) * rectangle.edge_u + v.reshape(-1, 1) * rectangle.edge_v
        )
    return np.concatenate(points)


def _distance(
    points: NDArray[np.float64],
    brief: Brief,
    blocks: list[Box],
    sheets: list[tuple[Rectangle, NDArray[np.float64]]],
) -> NDArray[np.float64]:
    gap = np.full(len(points), np.inf)
    for block in blocks:
        gap = np.minimum(gap, block.distance(points))
    for sheet, _ in sheets:
        corners = np.array([sheet.origin, sheet.origin + sheet.edge_u + sheet.edge_v])
        low, high = corners.min(axis=0), corners.max(axis=0)
        off = np.maximum(np.maximum(low - points, points - high), 0.0)
        gap = np.minimum(gap, np.linalg.norm(off, axis=1))
    for chain in brief.surroundings.branches:
        gap = np.minimum(gap, np.maximum(chain.distance(points), 0.0))
    return gap
