"""A plan resolved once for several questions: brief, inside, light and heat, made when the first of them needs it."""

from __future__ import annotations

import threading
from functools import cached_property

from sunfleck.brief.build import Brief, make_brief
from sunfleck.plan.read import PlanSource
from sunfleck.studies.check import check_brief
from sunfleck.studies.climate.report import ClimateReport, climate_report
from sunfleck.studies.climate.seasons import Season
from sunfleck.studies.interreflection import QUICK, Grain, Interior, interior_of
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
        """The plan checked: light, heat and air."""
        return check_brief(self.brief, self.interior(QUICK), self.climate)

    @cached_property
    def climate(self) -> ClimateReport:
        """Its heat and air."""
        return self.climate_of(None)

    def climate_of(self, seasons: tuple[Season, ...] | None) -> ClimateReport:
        """Its heat and air on some kinds of day; on all the plan gives a room for where none are named."""
        return climate_report(self.brief, self.interior(QUICK), seasons)


def resolved(plan: PlanSource) -> Resolved:
    """Resolve a plan for several studies at once; the last few are kept."""
    # The object itself is the key: a plan that is read again is another one.
    with _LOCK:
        if plan not in _KEPT:
            before = next(reversed(_KEPT.values()), None)
            _KEPT[plan] = Resolved(plan, before)
            while len(_KEPT) > MOST_KEPT:
                _KEPT.pop(next(iter(_KEPT)))
        return _KEPT[plan]


MOST_KEPT = 2
_LOCK = threading.Lock()
_KEPT: dict[PlanSource, Resolved] = {}
