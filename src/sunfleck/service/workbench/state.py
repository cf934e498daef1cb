"""A plan at one moment of its editing."""

from __future__ import annotations

from dataclasses import dataclass

from sunfleck.document.merge import Merge
from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.plan.models import Plan
from sunfleck.plan.read import PlanSource


@dataclass(frozen=True)
class State:
    """A plan at one moment; never changes.

    Attributes
    ----------
    version : int
        Grows with every change.
    text : str
        As it would be saved.
    document : Document or None
        Read from it; None where it cannot be read, which only a file that was so when it was opened can be.
    plan : Plan or None
        In SI units, also where rules are broken: to be drawn; None where the format is broken.
    source : PlanSource or None
        The checked plan; None where there are problems.
    problems : tuple of Problem
        What keeps it from being checked.
    last_sound : PlanSource or None
        The newest checked plan, which is `source` where that is not None: what results on the page belong to.
    unsaved : bool
        Whether it differs from the file.
    undo, redo : str or None
        Label of the step that would be undone or done again.
    """

    version: int
    text: str
    document: Document | None
    plan: Plan | None
    source: PlanSource | None
    problems: tuple[Problem, ...]
    last_sound: PlanSource | None
    unsaved: bool
    undo: str | None
    redo: str | None


@dataclass(frozen=True)
class Offer:
    """Edits found beside a plan whose file was changed since by somebody else.

    Attributes
    ----------
    labels : tuple of str
        Steps, oldest first.
    merge : Merge
        The plan as it is now, and the text with the edits, brought together (``mine`` are the edits).
    """

    labels: tuple[str, ...]
    merge: Merge
