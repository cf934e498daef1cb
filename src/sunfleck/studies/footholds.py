"""What an animal can stand on, cling to or hang from, by its reach class."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.animals import AnimalBrief
from sunfleck.brief.build import Brief
from sunfleck.brief.givens import number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.brief.media import guard_cage
from sunfleck.geometry.boxes import FACE_AXES, FACES, Box, Face, Rectangle, box_face, part_of_face
from sunfleck.geometry.chains import Chain, any_perpendicular
from sunfleck.plan.rules.hanging import FLAT_DEPTH
from sunfleck.plan.solids import ledge_box

Distance = Callable[[NDArray[np.float64]], NDArray[np.float64]]
EDGE = 0.001


@dataclass(frozen=True)
class Footholds:
    """Everything an animal can take hold of.

    Attributes
    ----------
    distances : tuple of callable
        Each gives the distance of points (n, 3) from one foothold. [m]
    sheets : tuple of (Rectangle, (3,) float)
        Walls, ceilings and meshes it can hang from, with the way into the box. [m]
    """

    distances: tuple[Distance, ...]
    sheets: tuple[tuple[Rectangle, NDArray[np.float64]], ...]

    def distance(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Distance of points (n, 3) from the nearest foothold; zero inside. [m]"""
        gap = np.full(len(points), np.inf)
        for distance in self.distances:
            gap = np.minimum(gap, distance(points))
        return np.asarray(np.maximum(gap, 0.0))

    def with_lamps(self, lamps: list[LampBody]) -> Footholds:
        """Return these and the lamps and guards the animal has got to."""
        return Footholds((*self.distances, *(lamp.distance for lamp in lamps)), self.sheets)


@dataclass(frozen=True)
class LampBody:
    """A lamp as something to bump into: its guard, or its bare envelope.

    Attributes
    ----------
    axis : (k, 3) float
        Its ends, or its place. [m]
    radius : float
        Radius of the envelope. [m]
    cage : Box or None
        Its guard. [m]
    aim : (3,) float, optional
        Of a flat lamp, the way its face looks; `axis` is the middle of the face. [-]
    """

    axis: NDArray[np.float64]
    radius: float
    cage: Box | None
    aim: NDArray[np.float64] | None = None

    def distance(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Distance of points (n, 3) from it; zero or less inside. [m]"""
        if self.cage is not None:
            inside = self.cage.contains(points)
            return np.asarray(np.where(inside, -EDGE, self.cage.distance(points)))
        if self.aim is not None:
            from_middle = points - (self.axis[0] - FLAT_DEPTH / 2 * self.aim)
            height = from_middle @ self.aim
            out = np.linalg.norm(from_middle - height[:, None] * self.aim, axis=1)
            beyond = np.maximum(out - (self.radius - FLAT_DEPTH / 2), 0.0)
            return np.asarray(np.hypot(beyond, height) - FLAT_DEPTH / 2)
        if len(self.axis) == 1:
            return np.asarray(np.linalg.norm(points - self.axis[0], axis=1) - self.radius)
        return Chain(self.axis, np.full(len(self.axis), self.radius)).distance(points)

    def around(self, off: float, step: float = 0.04) -> NDArray[np.float64]:
        """Points just off it on all sides, (n, 3). [m]"""
        if self.cage is not None:
            return np.concatenate(
                [spread(box_face(self.cage.low - off, self.cage.high + off, face), step) for face in FACES]
            )
        if self.aim is not None:
            return self._around_flat(self.aim, off, step)
        count = max(3, round(float(np.linalg.norm(self.axis[-1] - self.axis[0])) / step))
        along = self.axis[0] + np.linspace(0, 1, count)[:, None] * (self.axis[-1] - self.axis[0])
        turn = np.pi * (3 - np.sqrt(5)) * np.arange(24)
        z = 1 - 2 * (np.arange(24) + 0.5) / 24
        ball = np.stack([np.sqrt(1 - z * z) * np.cos(turn), np.sqrt(1 - z * z) * np.sin(turn), z], axis=1)
        points = (along[:, None] + (self.radius + off) * ball).reshape(-1, 3)
        return np.asarray(points[self.distance(points) > 0.5 * off])

    def _around_flat(self, aim: NDArray[np.float64], off: float, step: float) -> NDArray[np.float64]:
        """Points just off both sides of a flat lamp, and round its rim."""
        side = any_perpendicular(aim)
        middle = self.axis[0] - FLAT_DEPTH / 2 * aim
        far = self.radius + off
        turns = np.linspace(0.0, 2 * np.pi, max(8, round(2 * np.pi * far / step)), endpoint=False)[:, None]
        rim = np.cos(turns) * side + np.sin(turns) * np.cross(aim, side)
        out = np.linspace(0.0, 1.0, max(3, round(self.radius / step) + 1))[:, None, None]
        face = (out * max(self.radius - FLAT_DEPTH / 2, 0.0) * rim).reshape(-1, 3)
        above = (FLAT_DEPTH / 2 + off) * aim
        return np.concatenate([middle + face + above, middle + face - above, middle + far * rim])


def envelope(fixture: FixtureBrief) -> LampBody:
    """Return a fixture's bare envelope."""
    flat = fixture.lamp.emitter.value == "disc"
    return LampBody(fixture.axis, fixture.radius, None, fixture.emitter.aim if flat else None)


def lamp_body(brief: Brief, fixture: FixtureBrief) -> LampBody:
    """Return a fixture's guard or bare envelope."""
    if fixture.fixture.guard is None:
        return envelope(fixture)
    stand_off = number(brief.library.guards[fixture.fixture.guard].stand_off)
    return LampBody(fixture.axis, fixture.radius, guard_cage(fixture.axis, fixture.radius, stand_off))


def footholds_of(brief: Brief, animal: AnimalBrief) -> Footholds:
    """Return what an animal can take hold of.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    animal : AnimalBrief
        Its reach class.

    Returns
    -------
    footholds : Footholds
        Of every class: ground, ledges, hides, perches. ``climber-rough`` and ``leaper`` add plants,
        mesh, rough walls and panels and the top of every panel; a closed wall whose finish is not
        stated counts as rough. ``climber-glass`` adds every face.
    """
    around, plan = brief.surroundings, brief.plan
    low, high = around.inside.low, around.inside.high
    floor = Box(np.array([low[0], low[1], around.ground - 1.0]), np.array([high[0], high[1], around.ground]))
    blocks = [floor, *(ledge_box(ledge) for ledge in plan.ledges), *(ledge_box(hide) for hide in plan.hides)]
    sheets: list[tuple[Rectangle, NDArray[np.float64]]] = []
    if animal.reach_class != "ground":
        blocks += _crowns(brief)
        blocks += _panels(brief, animal)
        sheets = _sheets(brief, animal)
    distances: list[Distance] = [block.distance for block in blocks]
    distances += [branch.distance for branch in around.branches]
    distances += [_flat(rectangle) for rectangle, _ in sheets]
    return Footholds(tuple(distances), tuple(sheets))


def spread(rectangle: Rectangle, step: float, most: int = 1500) -> NDArray[np.float64]:
    """Points spread evenly over a rectangle, (n, 3). [m]"""
    u, v = np.linalg.norm(rectangle.edge_u), np.linalg.norm(rectangle.edge_v)
    step = max(step, float(np.sqrt(u * v / most)))
    counts = (max(3, round(float(edge) / step)) for edge in (u, v))
    a, b = np.meshgrid(*((np.arange(count) + 0.5) / count for count in counts))
    return np.asarray(
        rectangle.origin + a.reshape(-1, 1) * rectangle.edge_u + b.reshape(-1, 1) * rectangle.edge_v
    )


def _crowns(brief: Brief) -> list[Box]:
    boxes = []
    for plant in brief.plan.plants:
        half = np.array([plant.crown.radius, plant.crown.radius, plant.crown.height / 2])
        boxes.append(Box(np.array(plant.crown.middle) - half, np.array(plant.crown.middle) + half))
    return boxes


def _panels(brief: Brief, animal: AnimalBrief) -> list[Box]:
    boxes = []
    for panel, block in zip(brief.plan.backgrounds, brief.surroundings.blocks, strict=False):
        if animal.reach_class == "climber-glass" or bool(brief.library.finishes[panel.finish].rough.value):
            boxes.append(block)
        else:
            boxes.append(Box(np.array([*block.low[:2], block.high[2] - EDGE]), block.high))
    return boxes


def _sheets(brief: Brief, animal: AnimalBrief) -> list[tuple[Rectangle, NDArray[np.float64]]]:
    low, high = brief.surroundings.inside.low, brief.surroundings.inside.high
    sheets = []
    for face in FACES:
        wall = brief.plan.enclosure.walls.of(face)
        if face != "bottom" and (
            animal.reach_class == "climber-glass" or _rough(brief, wall.material, wall.finish)
        ):
            sheets.append((box_face(low, high, face), _inward(face)))
    if animal.reach_class != "climber-glass":
        for vent in brief.plan.enclosure.vents:
            sheets.append((part_of_face(low, high, vent.face, vent.at, vent.size), _inward(vent.face)))
    return sheets


def _rough(brief: Brief, material: str, finish: str | None) -> bool:
    if finish is None:
        # Nobody said that it is smooth: taking hold of it is the careful assumption.
        return material not in brief.library.panes
    return bool(brief.library.finishes[finish].rough.value)


def _inward(face: Face) -> NDArray[np.float64]:
    fixed, end, _, _ = FACE_AXES[face]
    normal = np.zeros(3)
    normal[fixed] = -1.0 if end else 1.0
    return normal


def _flat(rectangle: Rectangle) -> Distance:
    corners = np.array([rectangle.origin, rectangle.origin + rectangle.edge_u + rectangle.edge_v])
    low, high = corners.min(axis=0), corners.max(axis=0)

    def distance(points: NDArray[np.float64]) -> NDArray[np.float64]:
        off = np.maximum(np.maximum(low - points, points - high), 0.0)
        return np.asarray(np.linalg.norm(off, axis=1))

    return distance
