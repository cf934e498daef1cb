"""Passage as a use case: every part of a plan, or one."""

from __future__ import annotations

from typing import overload

from sunfleck.plan.read import PlanSource
from sunfleck.service.resolved import resolved
from sunfleck.studies.passage.study import PassageReport
from sunfleck.studies.passage.told import PartPassage


@overload
def passage(plan: PlanSource, item: None = None) -> PassageReport: ...
@overload
def passage(plan: PlanSource, item: str, *, out_again: bool = False) -> PartPassage: ...
def passage(
    plan: PlanSource, item: str | None = None, *, out_again: bool = False
) -> PassageReport | PartPassage:
    """Say whether the parts of a plan go through its doors, and how.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.
    item : str, optional
        Name of one part; all of them in the order in which they go in when left out.
    out_again : bool
        Of one part: the way out past everything planted, in place of the way in.

    Returns
    -------
    answer : PassageReport or PartPassage
        Of all parts, or of one with the largest clearance it goes in with; each with `to_dict()`.

    Raises
    ------
    DomainError
        If the plan has no door or no such part; the nearest name is told.
    """
    study = resolved(plan).passage
    return study.report if item is None else study.part(item, out_again=out_again)
