"""Everything that stands in the box lies in the box."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.geometry.boxes import FACE_AXES
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.units import format_quantity

AXES = ("x", "y", "z")
SIDES = ("width", "depth", "height")
SLACK = 1e-6
OVERHANG = 0.03
MOST_LEAVES = 4000


def inside_size(plan: Plan) -> tuple[float, float, float]:
    """Return width, depth and height of the inside. [m]"""
    inside = plan.enclosure.inside
    return (inside.width, inside.depth, inside.height)


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield parts that reach outside the shell."""
    del library
    for i, perch in enumerate(plan.perches):
        for k, point in enumerate(perch.path):
            yield from _point_inside(plan, document, ("perches", i, "path", k), point)
        if perch.joint is not None:
            yield from _point_inside(plan, document, ("perches", i, "joint", "at"), perch.joint.at)
    for section in ("ledges", "hides"):
        for i, block in enumerate(getattr(plan, section)):
            yield from _block_inside(plan, document, (section, i), block.at, block.size)
    for i, plant in enumerate(plan.plants):
        yield from _crown_inside(plan, document, i)
        leaves = plant.leaf_area / (plant.leaf.length * plant.leaf.width / 2) if plant.leaf else 0.0
        if leaves > MOST_LEAVES:
            needed = (
                f"at most {MOST_LEAVES:,} leaves (leaf area divided by the area of one leaf); "
                "without `leaf` the crown is taken as porous, which suits many small leaves"
            )
            path: Path = ("plants", i, "leaf_area")
            yield problem_at(document, path, "geometry.too-many-leaves", needed, wrote=f"{leaves:.0f} leaves")
    yield from _panels(plan, document)
    if plan.substrate is not None and plan.substrate.depth >= plan.enclosure.inside.height:
        needed = f"less than the inside height, {_show(plan, plan.enclosure.inside.height)}"
        yield problem_at(document, ("substrate", "depth"), "geometry.inside-shell", needed)
    for i, fixture in enumerate(plan.fixtures):
        if fixture.control is not None:
            yield from _point_inside(
                plan, document, ("fixtures", i, "control", "probe"), fixture.control.probe
            )


def _crown_inside(plan: Plan, document: Document, i: int) -> Iterator[Problem]:
    crown = plan.plants[i].crown
    half = (crown.radius, crown.radius, crown.height / 2)
    for axis, (middle, reach, limit) in enumerate(zip(crown.middle, half, inside_size(plan), strict=True)):
        if middle - reach < -OVERHANG or middle + reach > limit + OVERHANG:
            span = f"{_show(plan, middle - reach)} to {_show(plan, middle + reach)} in {AXES[axis]}"
            needed = f"a crown within 0 to {_show(plan, limit)}, give or take {_show(plan, OVERHANG)} of bent leaves"
            path: Path = ("plants", i, "crown", "height" if axis == 2 else "radius")
            yield problem_at(document, path, "geometry.inside-shell", needed, wrote=span)


def _panels(plan: Plan, document: Document) -> Iterator[Problem]:
    size = inside_size(plan)
    for i, panel in enumerate(plan.backgrounds):
        fixed, _, first, second = FACE_AXES[panel.face]
        if panel.thickness >= size[fixed]:
            needed = f"less than the inside {SIDES[fixed]}, {_show(plan, size[fixed])}"
            yield problem_at(document, ("backgrounds", i, "thickness"), "geometry.inside-shell", needed)
        if (panel.at is None) != (panel.size is None):
            needed = "`at` and `size` together, or neither for a whole wall"
            yield problem_at(document, ("backgrounds", i), "geometry.panel-place", needed)
        if panel.at is not None and panel.size is not None:
            for k, axis in enumerate((first, second)):
                if panel.at[k] < -SLACK or panel.at[k] + panel.size[k] > size[axis] + SLACK:
                    needed = f"a panel within the wall's {_show(plan, size[axis])} in {AXES[axis]}"
                    yield problem_at(document, ("backgrounds", i, "size", k), "geometry.inside-shell", needed)


def _point_inside(
    plan: Plan, document: Document, path: Path, point: tuple[float, float, float]
) -> Iterator[Problem]:
    yield from outside(plan, document, path, point, "geometry.inside-shell")


def outside(
    plan: Plan, document: Document, path: Path, point: tuple[float, float, float], rule: str
) -> Iterator[Problem]:
    """Yield a problem for each coordinate of a point that lies outside the shell."""
    for axis, (value, limit) in enumerate(zip(point, inside_size(plan), strict=True)):
        if not -SLACK <= value <= limit + SLACK:
            yield _outside(plan, document, (*path, axis), axis, value, rule)


def _block_inside(
    plan: Plan,
    document: Document,
    path: Path,
    at: tuple[float, float, float],
    size: tuple[float, float, float],
) -> Iterator[Problem]:
    for axis, limit in enumerate(inside_size(plan)):
        if not -SLACK <= at[axis] <= limit + SLACK:
            yield _outside(plan, document, (*path, "at", axis), axis, at[axis])
        elif at[axis] + size[axis] > limit + SLACK:
            room = max(limit - at[axis], 0.0)
            needed = f"at most {_show(plan, room)}, to the inside {SIDES[axis]} of {_show(plan, limit)}{_line(document, axis)}"
            fix = _show(plan, room) if room > 0 else None
            yield problem_at(document, (*path, "size", axis), "geometry.inside-shell", needed, fix=fix)


def _outside(
    plan: Plan, document: Document, path: Path, axis: int, value: float, rule: str = "geometry.inside-shell"
) -> Problem:
    limit = inside_size(plan)[axis]
    nearest_inside = 0.0 if value < 0 else limit
    needed = (
        f"{AXES[axis]} from {_show(plan, 0.0)} to {_show(plan, limit)}, "
        f"the inside {SIDES[axis]} of the shell{_line(document, axis)}"
    )
    return problem_at(document, path, rule, needed, fix=_show(plan, nearest_inside))


def _line(document: Document, axis: int) -> str:
    return f" (line {document.mark(('enclosure', 'inside', SIDES[axis])).line})"


def _show(plan: Plan, length: float) -> str:
    return format_quantity(length, "length", plan.show_units)
