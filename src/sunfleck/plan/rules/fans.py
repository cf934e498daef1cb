"""Fans sit within their face, and air has a way to follow."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.geometry.boxes import FACE_AXES
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.shell import inside_size
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.units import format_quantity


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield fans that do not fit or move nothing."""
    size = inside_size(plan)
    for i, fan in enumerate(plan.enclosure.fans):
        path: Path = ("enclosure", "fans", i)
        entry = library.fans.get(fan.fan)
        if entry is None:
            continue
        side = float(entry.side.value)  # type: ignore[arg-type]  # a length is a number
        _, _, first, second = FACE_AXES[fan.face]
        for at, axis in zip(fan.at, (first, second), strict=True):
            if at < 0 or at + side > size[axis]:
                most = format_quantity(max(0.0, size[axis] - side), "length", plan.show_units)
                needed = f"a corner at which {fan.fan} fits on the {fan.face} face: from 0 to {most} that way"
                yield problem_at(document, (*path, "at"), "fan.off-face", needed)
                break
    enclosure = plan.enclosure
    gaps = [door for door in enclosure.doors if door.gap is None or door.gap > 0]
    if enclosure.fans and not enclosure.vents and not gaps:
        needed = "a vent or a door beside the fan: what it blows out has to come in again"
        yield problem_at(document, ("enclosure", "fans", 0), "fan.no-way", needed)
