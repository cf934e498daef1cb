"""Stations have names of their own and lie where a meter can be held."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.names import slug
from sunfleck.plan.rules.shell import outside
from sunfleck.plan.schema_problems import problem_at
from sunfleck.plan.solids import solids

# A mark on a crooked limb lies this far under the round surface it is drawn with. [m] Common practice, no source.
SUNK = 0.01


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield stations that cannot be told apart, or where no meter can be held."""
    del library
    seen: dict[str, int] = {}
    for i, station in enumerate(plan.stations):
        first = seen.setdefault(slug(station.name), i)
        if first != i:
            line = document.mark(("stations", first, "name")).line
            needed = f"a name of its own; line {line} already has a station that reads the same"
            fix = f"{station.name} b"
            yield problem_at(document, ("stations", i, "name"), "names.duplicate", needed, fix=fix)
    if not plan.stations:
        return
    bodies = solids(plan)
    for i, station in enumerate(plan.stations):
        place = ("stations", i, "at")
        out = list(outside(plan, document, place, station.at, "station.inside"))
        yield from out
        inner = [] if out else [name for name, body in bodies if body.contains([station.at], -SUNK).any()]
        for name in inner[:1]:
            needed = f"a place where a meter can be held; this one is within {name!r}"
            yield problem_at(document, place, "station.in-solid", needed)
