"""Each stage of the way through the house is one thing, with all that it needs."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.route import KINDS
from sunfleck.plan.schema_problems import Path, problem_at


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield stages that are nothing, or several things, or lack a door or a height."""
    del library
    for i, stage in enumerate(plan.site.route if plan.site is not None else ()):
        path: Path = ("site", "route", i)
        given = [kind for kind in KINDS if getattr(stage, kind) is not None]
        wrote = ", ".join(f"`{kind}`" for kind in given) or "none of them"
        if "lift" in given:
            if given != ["door", "lift"]:
                needed = "a lift with its door and nothing else: `lift` is its inside, `door` its clear width and height"
                fix = "door: [80 cm, 200 cm]" if given == ["lift"] else None
                yield problem_at(document, path, "route.stage", needed, wrote=wrote, fix=fix)
        elif len(given) != 1:
            needed = f"one of {', '.join(KINDS)} in each entry of the route; several are entries of their own"
            yield problem_at(document, path, "route.stage", needed, wrote=wrote)
        elif stage.height is not None and given[0] not in ("corner", "stairs"):
            needed = f"no `height` beside `{given[0]}`: it states its own; only a corner or stairs have one"
            yield problem_at(document, (*path, "height"), "route.stage", needed)
        elif given == ["stairs"] and stage.height is None:
            needed = "`height` beside it, the headroom: the least height above a step"
            yield problem_at(document, path, "route.stage", needed, wrote="no `height`", fix="height: 200 cm")
