"""The light of the picture: settled where a plan stands still, coarse while something is dragged."""

from __future__ import annotations

import threading
from dataclasses import replace

from sunfleck.brief.build import Brief, make_brief
from sunfleck.plan.moved import aimed, moved
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.service.meter_round import ready_with
from sunfleck.service.resolved import resolved
from sunfleck.studies.interreflection import QUICK, Interior, interior_of
from sunfleck.studies.shown import DRAGGED, SETTLED, WHILE_DRAGGED, Cut, ShownLight, shown_light

Vector = tuple[float, float, float]
Surveys = tuple[SurveySource, ...]


class Pictures:
    """Computes pictures of one plan; what is the same in the next one is taken over. Any thread may ask."""

    def __init__(self) -> None:
        self._settling, self._dragging = threading.Lock(), threading.Lock()
        self._settled: ShownLight | None = None
        self._dragged: _Dragged | None = None

    def settled(self, source: PlanSource, cut: Cut | None, surveys: Surveys = ()) -> ShownLight:
        """Return the picture of a plan as it stands.

        Parameters
        ----------
        source : PlanSource
            The checked plan.
        cut : Cut, optional
            Where the box is cut.
        surveys : tuple of SurveySource, optional
            What meters read in the box.

        Returns
        -------
        shown : ShownLight
            The light of the first animal's places, the cut and the reach.
        """
        with self._settling:
            ready = ready_with(source, surveys)
            shown = self._settled
            if shown is None or shown.brief is not ready.brief or not _cut_alike(shown, cut):
                animal = next(iter(ready.brief.animals), None)
                self._settled = shown_light(ready.brief, animal, ready.interior(QUICK), cut, SETTLED, shown)
            return self._settled  # type: ignore[return-value]  # made above

    def dragged(
        self, source: PlanSource, cut: Cut | None, key: str, delta: Vector, surveys: Surveys = ()
    ) -> ShownLight:
        """Return the picture with one thing dragged by a distance (3,), at fewer places. [m]"""
        group, _, name = key.partition("/")
        now = replace(source, plan=moved(source.plan, group, name, delta))
        return self._while_dragged(now, source, cut, surveys)

    def aimed(
        self, source: PlanSource, cut: Cut | None, key: str, point: Vector, surveys: Surveys = ()
    ) -> ShownLight:
        """Return the picture with a lamp aimed at a point (3,), at fewer places. [m]"""
        name = key.partition("/")[2]
        now = replace(source, plan=aimed(source.plan, name, point))
        return self._while_dragged(now, source, cut, surveys)

    def cut_moved(self, source: PlanSource, cut: Cut, surveys: Surveys = ()) -> ShownLight:
        """Return the picture with the cut elsewhere, at fewer places."""
        return self._while_dragged(source, source, cut, surveys)

    def _while_dragged(
        self, now: PlanSource, begun: PlanSource, cut: Cut | None, surveys: Surveys
    ) -> ShownLight:
        with self._dragging:
            last = self._dragged
            if last is None or last.begun is not begun:
                # The first of a drag begins from the plan as it stood: what stands is taken over from there.
                brief = resolved(begun).brief
                interior = interior_of(brief, None, WHILE_DRAGGED)
                last = _Dragged(begun, interior, None)
            brief = _as_read(make_brief(now, last.interior.brief), begun, surveys)
            interior = interior_of(brief, last.interior, WHILE_DRAGGED)
            animal = next(iter(brief.animals), None)
            shown = shown_light(brief, animal, interior, cut, DRAGGED, last.shown)
            self._dragged = _Dragged(begun, interior, shown)
            return shown


def _as_read(brief: Brief, begun: PlanSource, surveys: Surveys) -> Brief:
    """The moved plan with what the readings say of the lamps of the plan that the drag began from."""
    if not surveys:
        return brief
    known = ready_with(begun, surveys).brief
    if [factor.id for factor in known.matrix.factors] != [factor.id for factor in brief.matrix.factors]:
        return brief
    return replace(brief, matrix=known.matrix, heat=known.heat)


class _Dragged:
    """Where a drag has got to."""

    def __init__(self, begun: PlanSource, interior: Interior, shown: ShownLight | None) -> None:
        self.begun, self.interior, self.shown = begun, interior, shown


def _cut_alike(shown: ShownLight, cut: Cut | None) -> bool:
    return (shown.on_cut.cut if shown.on_cut is not None else None) == cut
