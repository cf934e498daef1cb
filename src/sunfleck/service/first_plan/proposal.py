"""A proposed plan: its text, why every thing is where it is, and what it could not do."""

from __future__ import annotations

from dataclasses import dataclass, field

from sunfleck.plan.read import PlanSource
from sunfleck.service.first_plan.answers import Answers


@dataclass(frozen=True)
class Reason:
    """Why one thing of the plan is what and where it is.

    Attributes
    ----------
    path : str
        List and name in the plan: ``fixtures/basking lamp``; ``enclosure/walls`` where there is no name.
    title : str
        What it is about, a few words.
    reason : str
        One or two plain sentences, with numbers and what they rest on.
    basis : str
        ``computed`` by the engine, ``library`` (a value of the library), ``common practice, no source``, or ``answer``.
    """

    path: str
    title: str
    reason: str
    basis: str


@dataclass(frozen=True)
class LeftOpen:
    """What the plan does not do.

    Attributes
    ----------
    title : str
        What: a verdict's title, or a part that found no place.
    reason : str
        Why, and what would help, with numbers.
    verdict : str
        Id of the verdict that does not meet; empty where it is about something else.
    """

    title: str
    reason: str
    verdict: str = ""


@dataclass(frozen=True)
class Standing:
    """How one verdict of the plan stands.

    Attributes
    ----------
    id, title : str
        Of the verdict.
    state : str
        ``meets``, ``short``, ``over`` or ``unknown``.
    """

    id: str
    title: str
    state: str


@dataclass(frozen=True, eq=False)
class FirstPlan:
    """A whole plan made from answers.

    Attributes
    ----------
    answers : Answers
        What it was made from.
    text : str
        The plan file.
    plan : PlanSource
        The same read and checked by the plan's rules.
    reasons : tuple of Reason
        Why each thing is where it is, in the order of the file.
    left_open : tuple of LeftOpen
        What it could not do.
    standings : tuple of Standing
        The verdicts of `check`, light and climate.
    tried : int
        How many arrangements were looked at.
    look : object
        What the search goes on from; of no use to a face.
    """

    answers: Answers
    text: str
    plan: PlanSource
    reasons: tuple[Reason, ...]
    left_open: tuple[LeftOpen, ...]
    standings: tuple[Standing, ...]
    tried: int
    look: object = field(default=None, repr=False)

    @property
    def open_verdicts(self) -> tuple[Standing, ...]:
        """Those that do not meet."""
        return tuple(each for each in self.standings if each.state != "meets")
