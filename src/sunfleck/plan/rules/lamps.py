"""Lamps are placed as their kind needs, hang where they can, and are lit at possible times."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.geometry.boxes import FACE_AXES, FACES, Face
from sunfleck.library.entries import Lamp
from sunfleck.library.loader import Library
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.shell import inside_size
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.units import format_quantity

Point = tuple[float, float, float]
LINES = ("tube", "strip")
# Lamp holders and catalogue lengths differ by about this much.
LENGTH_SLACK = 0.04


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield fixtures that cannot be hung or lit as written."""
    for i, fixture in enumerate(plan.fixtures):
        path: Path = ("fixtures", i)
        lamp = library.lamps.get(fixture.lamp)
        yield from _hours(document, path, fixture)
        yield from _evidence(document, path, fixture)
        if lamp is None:
            continue
        faults = list(_placement(plan, document, path, fixture, lamp))
        yield from faults
        if not faults:
            yield from _through_wall(plan, document, path, fixture)


def _placement(plan: Plan, document: Document, path: Path, fixture: Fixture, lamp: Lamp) -> Iterator[Problem]:
    line = str(lamp.emitter.value) in LINES
    wanted, unwanted = (("from", "to"), ("at", "aim")) if line else (("at", "aim"), ("from", "to", "roll"))
    values = {
        "from": fixture.from_,
        "to": fixture.to,
        "at": fixture.at,
        "aim": fixture.aim,
        "roll": fixture.roll,
    }
    kind = f"a {lamp.emitter.value} ({fixture.lamp})"
    for key in wanted:
        if values[key] is None:
            needed = f"`{key}`: {kind} hangs {'from one end to the other' if line else 'at a point and aims at one'}"
            yield problem_at(
                document, path, "lamp.placement", needed, wrote="nothing", fix=f"{key}: [x, y, z]"
            )
    for key in unwanted:
        if values[key] is not None:
            needed = f"`{wanted[0]}` and `{wanted[1]}` only, for {kind}"
            yield problem_at(document, (*path, key), "lamp.placement", needed)
    ends = (values[wanted[0]], values[wanted[1]])
    if not (isinstance(ends[0], tuple) and isinstance(ends[1], tuple)):
        return
    apart = math.dist(ends[0], ends[1])
    if line:
        assert lamp.length is not None
        nominal = float(lamp.length.value)  # type: ignore[arg-type]  # a length is a number
        if abs(apart - nominal) > LENGTH_SLACK:
            shown = format_quantity(nominal, "length", plan.show_units)
            wrote = format_quantity(apart, "length", plan.show_units)
            needed = f"the lamp's length of {shown}, within 4 cm (library lamps/{fixture.lamp})"
            yield problem_at(document, (*path, "to"), "lamp.length", needed, wrote=f"{wrote} from end to end")
    elif apart < 1e-3:
        needed = "an aim apart from the lamp's own place"
        yield problem_at(document, (*path, "aim"), "lamp.aim", needed)


def _through_wall(plan: Plan, document: Document, path: Path, fixture: Fixture) -> Iterator[Problem]:
    ends: list[tuple[str, Point]] = []
    for key, point in (("from", fixture.from_), ("to", fixture.to), ("at", fixture.at)):
        if point is not None:
            ends.append((key, point))
    size = inside_size(plan)
    outside = {key: _faces_crossed(point, size) for key, point in ends}
    if len(ends) == 2 and bool(outside["from"]) != bool(outside["to"]):
        key = "from" if outside["from"] else "to"
        needed = f"both ends on one side of the {outside[key][0]} wall"
        yield problem_at(document, (*path, key), "geometry.lamp-through-wall", needed)
        return
    if len(ends) == 2 and outside["from"] and not set(outside["from"]) & set(outside["to"]):
        needed = "a lamp that does not run through the box from outside to outside"
        yield problem_at(document, (*path, "from"), "geometry.lamp-through-wall", needed)
        return
    for key, point in ends:
        for face in outside[key]:
            if not _lets_light_in(plan, face, point):
                needed = (
                    f"a place inside, or outside in front of a vent, pane or door of the {face} face; "
                    "here a closed wall is between"
                )
                fix = _point_inside(plan, point)
                yield problem_at(document, (*path, key), "geometry.lamp-through-wall", needed, fix=fix)


def _faces_crossed(point: Point, size: tuple[float, float, float]) -> list[Face]:
    crossed: list[Face] = []
    for face in FACES:
        fixed, end, _, _ = FACE_AXES[face]
        if (end == 0 and point[fixed] < 0) or (end == 1 and point[fixed] > size[fixed]):
            crossed.append(face)
    return crossed


def _lets_light_in(plan: Plan, face: Face, point: Point) -> bool:
    """Whether the point stands over an opening of the face, or the wall itself may be a pane."""
    _, _, first, second = FACE_AXES[face]
    u, v = point[first], point[second]
    for opening in plan.enclosure.openings:
        if opening.face == face and all(
            opening.at[k] <= x <= opening.at[k] + opening.size[k] for k, x in enumerate((u, v))
        ):
            return True
    return plan.enclosure.walls.of(face).material.startswith(("glass", "acrylic"))


def _point_inside(plan: Plan, point: Point) -> str:
    inside = (min(max(x, 0.02), limit - 0.02) for x, limit in zip(point, inside_size(plan), strict=True))
    return "[" + ", ".join(format_quantity(x, "length", plan.show_units) for x in inside) + "]"


def _hours(document: Document, path: Path, fixture: Fixture) -> Iterator[Problem]:
    if fixture.hours is None:
        return
    if len(fixture.hours) % 2 or not fixture.hours:
        needed = "pairs of times, on then off"
        yield problem_at(document, (*path, "hours"), "time.order", needed, fix='["08:00", "20:00"]')
        return
    for k, (earlier, later) in enumerate(zip(fixture.hours[:-1], fixture.hours[1:], strict=True)):
        if later <= earlier:
            needed = "a time after the one before it (a lamp lit over midnight takes two pairs)"
            yield problem_at(document, (*path, "hours", k + 1), "time.order", needed)


def _evidence(document: Document, path: Path, fixture: Fixture) -> Iterator[Problem]:
    for k, reading in enumerate(fixture.evidence):
        if reading.uvi is None and reading.lux is None:
            place: Path = (*path, "evidence", k)
            yield problem_at(document, place, "evidence.empty", "a reading: `uvi` or `lux`", fix="uvi: 3.1")
