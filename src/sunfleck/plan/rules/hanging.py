"""Lamps hang in the open: inside and in nothing solid, or outside before something that lets light in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.geometry.boxes import FACE_AXES, FACES, Face
from sunfleck.geometry.chains import any_perpendicular
from sunfleck.library.entries import Lamp
from sunfleck.library.loader import Library
from sunfleck.plan.enclosure import Door
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.shell import inside_size
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.plan.solids import solids
from sunfleck.units import format_quantity

Point = tuple[float, float, float]
# A bulb is about as deep as wide, its holder included a little deeper; panels and mats are flat. [m] Common
# practice, no source.
BULB_DEPTH = 1.25
FLAT_DEPTH = 0.03


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield lamps that go through a wall, stand in something solid or in one another."""
    yield from _in_each_other(plan, document, library)
    for i, fixture in enumerate(plan.fixtures):
        ends = [(key, p) for key, p in _ends(fixture) if p is not None]
        if not ends or (fixture.from_ is None) != (fixture.to is None):
            continue
        path: Path = ("fixtures", i)
        faults = [
            *_through_wall(plan, document, library, path, ends),
            *_tube_in_a_face(plan, document, library, i),
        ]
        yield from faults
        if not faults:
            yield from _in_something(plan, document, path, ends)
            yield from _guard_through_wall(plan, document, library, i)


def depth_of(lamp: Lamp) -> float:
    """How far a bulb reaches back from its opening, or a flat lamp from its face. [m]"""
    if lamp.emitter.value == "disc":
        return FLAT_DEPTH
    return BULB_DEPTH * float(lamp.diameter.value)  # type: ignore[arg-type]  # a length is a number


def _tube_in_a_face(plan: Plan, document: Document, library: Library, i: int) -> Iterator[Problem]:
    """A tube half in a wall, mesh or pane is neither inside nor outside; its light would be a matter of rounding."""
    fixture = plan.fixtures[i]
    lamp = library.lamps.get(fixture.lamp)
    if lamp is None or fixture.from_ is None or fixture.to is None:
        return
    radius = float(lamp.diameter.value) / 2  # type: ignore[arg-type]  # a length is a number
    ends, size = np.array([fixture.from_, fixture.to]), inside_size(plan)
    for face in FACES:
        fixed, end, _, _ = FACE_AXES[face]
        gap = np.abs(ends[:, fixed] - (size[fixed] if end else 0.0))
        if bool((gap < radius - 1e-9).all()):
            shown = format_quantity(radius, "length", plan.show_units)
            needed = f"a tube wholly on one side of the {face}: its middle {shown} or more from it"
            yield problem_at(document, ("fixtures", i, "from"), "geometry.lamp-through-wall", needed)


def _guard_through_wall(plan: Plan, document: Document, library: Library, i: int) -> Iterator[Problem]:
    fixture = plan.fixtures[i]
    lamp = library.lamps.get(fixture.lamp)
    guard = library.guards.get(fixture.guard or "")
    if lamp is None or guard is None:
        return
    axis = np.array([point for _, point in _ends(fixture) if point is not None])
    gap = float(lamp.diameter.value) / 2 + float(guard.stand_off.value)  # type: ignore[arg-type]  # lengths
    low, high, size = axis.min(axis=0) - gap, axis.max(axis=0) + gap, np.array(inside_size(plan))
    # Ends of a long guard may be trimmed to fit between the walls; its broad sides may not be.
    long = axis.max(axis=0) - axis.min(axis=0) > gap
    crossing = ~long & (((low < 0) & (high > 0)) | ((low < size) & (high > size)))
    if crossing.any():
        shown = format_quantity(gap, "length", plan.show_units)
        needed = (
            f"a guard that lies wholly on one side of every wall; it stands {shown} round the lamp's middle"
        )
        place: Path = ("fixtures", i, "guard")
        yield problem_at(
            document, place, "lamp.guard-place", needed, wrote="a guard through a wall or the lid"
        )


def _ends(fixture: Fixture) -> tuple[tuple[str, Point | None], ...]:
    return (("from", fixture.from_), ("to", fixture.to), ("at", fixture.at))


def _through_wall(
    plan: Plan, document: Document, library: Library, path: Path, ends: list[tuple[str, Point]]
) -> Iterator[Problem]:
    size = inside_size(plan)
    outside = {key: _faces_passed(point, size) for key, point in ends}
    if len(ends) == 2 and bool(outside["from"]) != bool(outside["to"]):
        key = "from" if outside["from"] else "to"
        needed = f"both ends on one side of the {outside[key][0]} wall"
        yield problem_at(document, (*path, key), "geometry.lamp-through-wall", needed)
        return
    common = set.intersection(*(set(faces) for faces in outside.values()))
    if any(outside.values()) and not common:
        needed = "a lamp that does not run through the box from outside to outside"
        yield problem_at(document, (*path, ends[0][0]), "geometry.lamp-through-wall", needed)
        return
    for face in sorted(common):
        if not _lets_light_in(plan, library, face, np.array([point for _, point in ends])):
            needed = (
                f"a place inside, or outside in front of a mesh vent or a pane of the {face} face; "
                "here a closed wall is between"
            )
            key, point = ends[0]
            yield problem_at(
                document, (*path, key), "geometry.lamp-through-wall", needed, fix=_point_inside(plan, point)
            )


def _faces_passed(point: Point, size: tuple[float, float, float]) -> list[Face]:
    passed: list[Face] = []
    for face in FACES:
        fixed, end, _, _ = FACE_AXES[face]
        if (end == 0 and point[fixed] < 0) or (end == 1 and point[fixed] > size[fixed]):
            passed.append(face)
    return passed


def _lets_light_in(plan: Plan, library: Library, face: Face, ends: NDArray[np.float64]) -> bool:
    """Whether part of the lamp stands over a mesh or pane of the face, or the wall is a pane."""
    _, _, first, second = FACE_AXES[face]
    low, high = ends[:, [first, second]].min(axis=0), ends[:, [first, second]].max(axis=0)
    wall = plan.enclosure.walls.of(face).material
    for opening in plan.enclosure.openings:
        clear = not isinstance(opening, Door) or (opening.material or wall) in library.panes
        if clear and opening.face == face:
            start = np.array(opening.at)
            if bool((low <= start + np.array(opening.size)).all() and (high >= start).all()):
                return True
    return wall in library.panes


def _in_something(
    plan: Plan, document: Document, path: Path, ends: list[tuple[str, Point]]
) -> Iterator[Problem]:
    first, last = np.array(ends[0][1]), np.array(ends[-1][1])
    along = first + np.linspace(0, 1, 41)[:, None] * (last - first)
    solid = [name for name, body in solids(plan) if body.contains(along).any()]
    for name in solid:
        needed = f"a place in the open; here the lamp stands in {name!r}"
        yield problem_at(document, (*path, ends[0][0]), "geometry.lamp-in-solid", needed)


def _in_each_other(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Two lamps cannot hang in one place: each would hide the other's light."""
    bodies: list[_Body] = []
    for i, fixture in enumerate(plan.fixtures):
        lamp = library.lamps.get(fixture.lamp)
        ends = [point for _, point in _ends(fixture) if point is not None]
        if lamp is None or not ends:
            continue
        body = _body(fixture, lamp, np.array(ends[0]), np.array(ends[-1]))
        for other in bodies:
            if _gap(body, other) < body.radius + other.radius:
                key = "at" if fixture.from_ is None else "from"
                apart = format_quantity(body.radius + other.radius, "length", plan.show_units)
                part = "face" if other.flat else "middle"
                needed = f"a place of its own, {apart} or more from the {part} of {other.name!r}"
                yield problem_at(document, ("fixtures", i, key), "lamp.overlap", needed)
        bodies.append(body)


@dataclass(frozen=True)
class _Body:
    """What a lamp fills: all within `radius` of its points, which lie along a line or, if `flat`, all over a face. [m]"""

    name: str
    points: NDArray[np.float64]
    radius: float
    flat: bool


def _body(fixture: Fixture, lamp: Lamp, first: NDArray[np.float64], last: NDArray[np.float64]) -> _Body:
    radius = float(lamp.diameter.value) / 2  # type: ignore[arg-type]  # a length is a number
    flat = False
    if fixture.at is not None and fixture.aim is not None and fixture.at != fixture.aim:
        back = np.subtract(fixture.at, fixture.aim)
        back = back / np.linalg.norm(back)
        last = first + depth_of(lamp) * back
        flat = lamp.emitter.value == "disc"
        if flat:
            side = any_perpendicular(back)
            turn = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)[:, None]
            rim = np.cos(turn) * side + np.sin(turn) * np.cross(back, side)
            out = np.linspace(0.0, max(radius - FLAT_DEPTH / 2, 0.0), 12)[:, None, None]
            return _Body(fixture.name, ((first + last) / 2 + out * rim).reshape(-1, 3), FLAT_DEPTH / 2, flat)
    return _Body(fixture.name, first + np.linspace(0, 1, 101)[:, None] * (last - first), radius, flat)


def _gap(one: _Body, other: _Body) -> float:
    """How far the middles of two lamps are apart where they come nearest. [m]"""
    if one.flat and other.flat:
        return float(np.linalg.norm(one.points[:, None] - other.points[None], axis=-1).min())
    points, line = (one.points, other.points) if not other.flat else (other.points, one.points)
    way = line[-1] - line[0]
    share = (points - line[0]) @ way / max(float(way @ way), 1e-12)
    nearest = line[0] + np.clip(share, 0.0, 1.0)[:, None] * way
    return float(np.linalg.norm(points - nearest, axis=1).min())


def _point_inside(plan: Plan, point: Point) -> str:
    inside = (min(max(x, 0.02), limit - 0.02) for x, limit in zip(point, inside_size(plan), strict=True))
    return "[" + ", ".join(format_quantity(x, "length", plan.show_units) for x in inside) + "]"
