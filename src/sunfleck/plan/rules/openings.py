"""Doors and vents fit on their face and do not overlap."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.geometry.boxes import FACE_AXES
from sunfleck.library.loader import Library
from sunfleck.plan.enclosure import Door, Vent
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.shell import SIDES, inside_size
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.units import format_quantity

SLACK = 1e-6


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield openings that do not fit."""
    del library
    openings: list[tuple[Path, Door | Vent]] = []
    for i, door in enumerate(plan.enclosure.doors):
        openings.append((("enclosure", "doors", i), door))
    for i, vent in enumerate(plan.enclosure.vents):
        openings.append((("enclosure", "vents", i), vent))
    for path, opening in openings:
        yield from _on_face(plan, document, path, opening)
    for index, (path, opening) in enumerate(openings):
        for other_path, other in openings[:index]:
            if opening.face == other.face and _overlap(opening, other) and not _lap(opening, other):
                line = document.mark(other_path).line
                needed = f"a place clear of {other.name!r} (line {line}) on the {opening.face} face"
                yield problem_at(
                    document,
                    (*path, "at"),
                    "geometry.openings-overlap",
                    needed,
                    wrote=f"{opening.name!r} overlaps it",
                )


def _on_face(plan: Plan, document: Document, path: Path, opening: Door | Vent) -> Iterator[Problem]:
    size = inside_size(plan)
    _, _, first, second = FACE_AXES[opening.face]
    for k, axis in enumerate((first, second)):
        limit = size[axis]
        shown = format_quantity(limit, "length", plan.show_units)
        face = f"the {opening.face} face's {SIDES[axis]} of {shown}"
        if opening.size[k] > limit + SLACK:
            needed = f"at most {face}"
            yield problem_at(document, (*path, "size", k), "geometry.opening-on-face", needed, fix=shown)
        elif opening.at[k] < -SLACK or opening.at[k] + opening.size[k] > limit + SLACK:
            room = format_quantity(limit - opening.size[k], "length", plan.show_units)
            needed = f"a place from 0 to {room}, so that it ends within {face}"
            yield problem_at(document, (*path, "at", k), "geometry.opening-on-face", needed, fix=room)


def _lap(a: Door | Vent, b: Door | Vent) -> bool:
    """Two sliding panes of one runner pass each other; they overlap by their lap."""
    return isinstance(a, Door) and isinstance(b, Door) and a.kind == b.kind == "sliding"


def _overlap(a: Door | Vent, b: Door | Vent) -> bool:
    return all(
        a.at[k] < b.at[k] + b.size[k] - SLACK and b.at[k] < a.at[k] + a.size[k] - SLACK for k in (0, 1)
    )
