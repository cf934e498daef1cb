"""A plan resolved once for several questions: brief, inside, light and heat, made when the first of them needs it."""

from __future__ import annotations

import threading
from collections.abc import Hashable
from functools import cached_property

from sunfleck.brief.build import Brief, make_brief, stands_as
from sunfleck.plan.read import PlanSource
from sunfleck.studies.check import check_brief
from sunfleck.studies.climate.report import ClimateReport, climate_report
from sunfleck.studies.climate.seasons import Season
from sunfleck.studies.interreflection import QUICK, Grain, Interior, interior_of
from sunfleck.studies.passage.study import PassageStudy
from sunfleck.studies.report import Report


class Resolved:
    """What several questions about one plan share, made when the first of them needs it.

    Where the plan before differs in its lamps only, what stands is taken over from there: a lamp that is
    moved costs its own light. The results are the same either way.
    """

    def __init__(self, plan: PlanSource, before: Resolved | None = None) -> None:
        earlier = before.brief if before is not None else None
        self.brief: Brief = make_brief(plan, earlier)
        self._before = before.ready() if before is not None else {}
        self._interiors: dict[Grain, Interior] = {}
        self._lock = threading.Lock()

    def ready(self) -> dict[Grain, Interior]:
        """What has been made of the inside so far."""
        with self._lock:
            return {**self._before, **self._interiors}

    def interior(self, grain: Grain) -> Interior:
        """The inside as it reflects."""
        # Two threads that ask at once share one.
        with self._lock:
            if grain not in self._interiors:
                self._interiors[grain] = interior_of(self.brief, self._before.pop(grain, None), grain)
            return self._interiors[grain]

    @cached_property
    def report(self) -> Report:
        """The plan's light checked."""
        return check_brief(self.brief, self.interior(QUICK))

    @cached_property
    def whole(self) -> Report:
        """The plan checked: light, heat and air, and whether every part goes through the door."""
        return check_brief(self.brief, self.interior(QUICK), self.climate, self.passage.report)

    @cached_property
    def passage(self) -> PassageStudy:
        """How its parts go in and out; answers are kept by what they are about, so that a lamp moved asks few anew."""
        return PassageStudy(self.brief)

    @cached_property
    def climate(self) -> ClimateReport:
        """Its heat and air."""
        return self.climate_of(None)

    def climate_of(self, seasons: tuple[Season, ...] | None) -> ClimateReport:
        """Its heat and air on some kinds of day; on all the plan gives a room for where none are named."""
        return climate_report(self.brief, self.interior(QUICK), seasons)


def resolved(plan: PlanSource) -> Resolved:
    """Resolve a plan for several studies at once; the last few are kept, and known again when they are read again.

    Raises
    ------
    TypeError
        If it is no plan that was read: a path or a text is read first.
    """
    if not isinstance(plan, PlanSource):
        msg = f"give a plan as sunfleck.read_plan returns it; got {type(plan).__name__}"
        raise TypeError(msg)
    key = _content(plan)
    with _LOCK:
        ready = _KEPT.pop(key, None)
        if ready is None:
            # The newest in which everything but lamps and animals stands as it does here.
            alike = (kept for kept in reversed(_KEPT.values()) if stands_as(kept.brief, plan))
            ready = Resolved(plan, next(alike, None))
        _KEPT[key] = ready
        while len(_KEPT) > MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT)))
        return ready


def _content(plan: PlanSource) -> Hashable:
    """What a plan is known by: its text, where it stands and its library; the object where it rests on other files too."""
    beside = [perch.shape for perch in plan.plan.perches] + [lamp.photometry for lamp in plan.plan.fixtures]
    if any(each is not None for each in beside):
        return plan
    return plan.document.file, plan.document.text, plan.library.hash


MOST_KEPT = 3
_LOCK = threading.Lock()
_KEPT: dict[Hashable, Resolved] = {}
