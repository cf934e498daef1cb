"""Shapes from files can be read, and lie in the box along the path of their perch."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.errors import DomainError
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.schema_problems import problem_at
from sunfleck.plan.shapes import placed
from sunfleck.plan.solids import chain_of, inside_box
from sunfleck.units import format_quantity

# A scan sticks out of a wall it is cut to, and lies off its path by bark and knots. [m]
SLACK = 0.02
OFF_PATH = 0.10


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:  # all rules take three
    """Yield shapes that cannot be read, or that lie elsewhere than their perch."""
    for i, perch in enumerate(plan.perches):
        if perch.shape is None:
            continue
        path = ("perches", i, "shape", "file")
        try:
            found = placed(perch.shape, Path(document.file).parent)
        except DomainError as error:
            yield problem_at(document, path, "shape.file", f"a shape that can be read: {error}")
            continue
        corners = found.triangles.reshape(-1, 3)
        box = inside_box(plan)
        out = float(np.maximum(box.low - corners, corners - box.high).max())
        if out > SLACK:
            shown = format_quantity(out, "length", plan.show_units)
            needed = f"a shape inside the box; it sticks out by {shown}: mind `at`, `turn` and `unit`"
            yield problem_at(document, path, "shape.place", needed)
            continue
        try:
            off = float(np.abs(chain_of(perch).distance(corners)).max())
        except DomainError:
            continue  # the path is wrong, which another rule tells
        if off > OFF_PATH:
            shown = format_quantity(off, "length", plan.show_units)
            needed = (
                f"a shape along the perch's path, within 10 cm of its diameters; a part of it is {shown} off"
            )
            yield problem_at(document, path, "shape.place", needed)
