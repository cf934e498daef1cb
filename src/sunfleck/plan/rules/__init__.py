"""Rules that hold across fields of a plan. Each rule has a section in ``docs/rules.md``."""

from __future__ import annotations

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.rules import (
    fans,
    fit,
    hanging,
    lamps,
    names,
    openings,
    perches,
    route,
    shapes,
    shell,
    site,
    stations,
    targets,
)

__all__ = ["broken_rules"]


def broken_rules(plan: Plan, document: Document, library: Library) -> list[Problem]:
    """Return every rule the plan breaks, as problems located in its document."""
    return [
        problem
        for rules in (
            names,
            targets,
            site,
            route,
            shell,
            openings,
            fans,
            perches,
            shapes,
            lamps,
            hanging,
            stations,
            fit,
        )
        for problem in rules.check(plan, document, library)
    ]
