"""What a plan says of its site fits together: a window needs a latitude, and a pane that its sun falls on."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.schema_problems import Path, problem_at


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield what of the site cannot be."""
    site = plan.site
    if site is None:
        return
    place: Path = ("site", "window")
    if site.window is not None:
        if site.latitude is None:
            needed = "`latitude` beside it: without one nobody knows how high the sun stands"
            yield problem_at(
                document, place, "site.window", needed, wrote="no `latitude`", fix="latitude: 48"
            )
        face = site.window.falls_on
        sheets = [plan.enclosure.walls.of(face).material]
        sheets += [door.material for door in plan.enclosure.doors if door.face == face and door.material]
        if not any(sheet in library.panes for sheet in sheets):
            needed = "a face with a pane: sun on a closed wall is not reckoned with"
            yield problem_at(document, (*place, "falls_on"), "site.window", needed)
    room = site.room
    if room is not None:
        for colder, warmer in (("coldest", "winter"), ("summer", "hottest")):
            low, high = getattr(room, colder), getattr(room, warmer)
            if low is not None and high is not None and low > high:
                wrong = "coldest" if colder == "coldest" else "hottest"
                needed = f"a worst day that is worse than usual: `{colder}` no warmer than `{warmer}`"
                yield problem_at(document, ("site", "room", wrong), "site.room", needed)
