"""The meter round as a use case: take surveys into a plan, and answer everything anew."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property

from sunfleck.brief.build import Brief
from sunfleck.plan.likeness import print_of
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.service.resolved import Resolved, resolved
from sunfleck.studies.check import check_brief
from sunfleck.studies.climate.report import ClimateReport, climate_report
from sunfleck.studies.climate.seasons import Season, seasons_of
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import QUICK, Grain, Interior
from sunfleck.studies.meter.ageing import Due, LampAge, due_of, lamps_over
from sunfleck.studies.meter.calibration import Calibration, calibrate
from sunfleck.studies.meter.from_surveys import readings_in
from sunfleck.studies.meter.hold_points import HoldPoint, hold_points
from sunfleck.studies.meter.meter_readings import MeterReading
from sunfleck.studies.meter.report import MeterReport, doubted, with_doubts
from sunfleck.studies.meter.slips import slips_of
from sunfleck.studies.meter.stations import propose
from sunfleck.studies.meter.warmth_predictions import WarmthPredictions
from sunfleck.studies.questions import uv_floor
from sunfleck.studies.report import Report
from sunfleck.studies.setting import setting_for

# A round takes so long at most; what was read before is of lamps, plants and walls as they were. Of light and of
# temperatures the newest round of each counts. Common practice, no source. [days]
RECENT = 14
MOST_NEXT = 2


class Metered:
    """A plan with its meter rounds taken in: what several questions share."""

    def __init__(self, plan: PlanSource, surveys: Sequence[SurveySource]) -> None:
        self.plan = plan
        self.surveys = tuple(sorted(surveys, key=lambda source: (source.survey.date, source.name)))
        self.base: Resolved = resolved(plan)
        self._interiors: dict[Grain, Interior] = {}

    @cached_property
    def _readings(self) -> tuple[MeterReading, ...]:
        """Readings of the box as it is now: of each kind those of the newest round of that kind."""
        found: list[MeterReading] = []
        days = {source.name: datetime.date.fromisoformat(source.survey.date) for source in self.surveys}
        everything = readings_in(self.surveys, self.plan.plan)
        for of_light in (True, False):
            kind = [reading for reading in everything if reading.of_light == of_light]
            newest = max((days[reading.survey] for reading in kind), default=None)
            found += [r for r in kind if newest is not None and (newest - days[r.survey]).days <= RECENT]
        return tuple(found)

    @cached_property
    def recent(self) -> tuple[SurveySource, ...]:
        """Surveys whose readings are used; the newest where nothing was read."""
        used = {reading.survey for reading in self._readings}
        return tuple(source for source in self.surveys if source.name in used) or self.surveys[-1:]

    @property
    def changed(self) -> tuple[str, ...]:
        """Surveys since which something was moved, hung or put in."""
        now = print_of(self.plan.plan)
        return tuple(s.name for s in self.recent if s.survey.box is not None and s.survey.box != now)

    @cached_property
    def calibration(self) -> Calibration:
        """What the readings of now say."""
        return self._calibrated(self._readings)

    @property
    def brief(self) -> Brief:
        """The plan as the readings leave it."""
        return self.calibration.brief

    def _calibrated(self, readings: Sequence[MeterReading]) -> Calibration:
        interior, warmth = self.base.interior(QUICK), None
        if seasons_of(self.base.brief) and any(not reading.of_light for reading in readings):
            warmth = WarmthPredictions(self.base.brief, interior, readings)
        return calibrate(self.base.brief, interior, readings, warmth)

    def interior(self, grain: Grain) -> Interior:
        """The inside as it reflects, of the plan as the readings leave it."""
        if grain not in self._interiors:
            self._interiors[grain] = replace(self.base.interior(grain), brief=self.brief)
        return self._interiors[grain]

    @property
    def used(self) -> tuple[str, ...]:
        """Names of the recent ones."""
        return tuple(source.name for source in self.recent)

    @property
    def read(self) -> tuple[str, ...]:
        """Names of the recent ones in which something was read."""
        return tuple(source.name for source in self.recent if source.survey.readings)

    @property
    def too_old(self) -> tuple[str, ...]:
        """Names of those that lamps have aged since."""
        return tuple(source.name for source in self.surveys if source not in self.recent)

    @cached_property
    def climate(self) -> ClimateReport:
        """Heat and air with the readings."""
        return self.climate_of(None)

    def climate_of(self, seasons: tuple[Season, ...] | None) -> ClimateReport:
        """Heat and air with the readings, on some kinds of day."""
        found = climate_report(self.brief, self.interior(QUICK), seasons)
        verdicts = doubted(found.verdicts, self.calibration, self.changed)
        return replace(found, verdicts=verdicts, surveys=self.read, too_old=self.too_old)

    @cached_property
    def report(self) -> Report:
        """The plan's light checked with the readings."""
        report = check_brief(self.brief, self.interior(QUICK))
        return self._named(with_doubts(report, self.calibration, self.changed))

    @cached_property
    def whole(self) -> Report:
        """The plan checked with the readings: light, heat and air; what goes through the door no reading changes."""
        report = check_brief(self.brief, self.interior(QUICK), self.climate, self.base.passage.report)
        return self._named(with_doubts(report, self.calibration, self.changed))

    def _named(self, report: Report) -> Report:
        return replace(report, surveys=self.read, too_old=self.too_old)

    @cached_property
    def lamps(self) -> tuple[LampAge, ...]:
        """How lamps fade from survey to survey."""
        each = [
            self.calibration
            if (source,) == self.recent
            else self._calibrated(readings_in((source,), self.plan.plan))
            for source in self.surveys
        ]
        return lamps_over(self.base.brief, self.surveys, each)

    @cached_property
    def due(self) -> tuple[Due, ...]:
        """When floors will be missed."""
        brief = self.brief
        found = []
        for animal in brief.animals:
            verdict = next((v for v in self.whole.verdicts if v.id == f"{uv_floor.ID}:{animal.key}"), None)
            setting = setting_for(brief, animal, fullest(brief), self.interior(QUICK)).in_its_air(
                self.climate.in_air
            )
            place = setting.basking_place()
            if verdict is None or place is None:
                continue
            worlds = setting.channel("uvi", "normal").worlds(setting.receivers(place)).min(axis=0)
            found.append(due_of(verdict, worlds, self.lamps, self.surveys[-1].survey.date))
        return tuple(due for due in found if due is not None)


def metered(plan: PlanSource, surveys: Sequence[SurveySource]) -> Metered:
    """Take surveys into a plan; the last plan asked with the same surveys is kept."""
    key = (plan, tuple(surveys))
    if key not in _KEPT:
        _KEPT.clear()
        _KEPT[key] = Metered(plan, surveys)
    return _KEPT[key]


_KEPT: dict[tuple[PlanSource, tuple[SurveySource, ...]], Metered] = {}


def ready_with(plan: PlanSource, surveys: Sequence[SurveySource]) -> Metered | Resolved:
    """Return a plan ready for questions, its surveys taken in where there are any."""
    return metered(plan, surveys) if surveys else resolved(plan)


def names_of_rounds(
    plan: PlanSource, surveys: Sequence[SurveySource]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return which surveys an answer follows, and which are left out because lamps have aged since."""
    if not surveys:
        return (), ()
    ready = metered(plan, surveys)
    return ready.read, ready.too_old


def meter_round(plan: PlanSource, surveys: Sequence[SurveySource]) -> MeterReport:
    """Say what readings at the enclosure mean.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.
    surveys : sequence of SurveySource
        As :func:`sunfleck.service.surveys.read_surveys` returns them.

    Returns
    -------
    report : MeterReport
        Readings beside predictions, what they say of each lamp, which cannot be right, verdicts before and after, what
        to read next, what is still to be tested.
    """
    ready = metered(plan, surveys)
    found, system = ready.calibration, plan.plan.show_units
    slips = {each: slips_of(each, found.compared, system) for each in found.odd}
    return MeterReport(
        plan=plan.plan.name,
        surveys=ready.used,
        too_old=ready.too_old,
        kind=ready.surveys[-1].survey.kind if ready.surveys else "",
        calibration=found,
        slips=slips,
        report=ready.whole,
        before=ready.base.whole,
        lamps=ready.lamps,
        due=ready.due,
        next_reading=tuple(_next(ready)),
        hold_points=hold_points(found.brief, ready.surveys),
    )


def stops(plan: PlanSource) -> tuple[HoldPoint, ...]:
    """Return what is to be tested of a plan before an animal moves in."""
    return hold_points(resolved(plan).brief, ())


def _next(ready: Metered) -> Iterator[str]:
    """Yield what to read next: where a reading would narrow the verdicts most, of what has not been read."""
    if all(verdict.state == "meets" for verdict in ready.whole.verdicts if verdict.id.startswith("uv-")):
        return
    kept = len(ready.plan.plan.stations)
    found = propose(ready.brief, ready.interior(QUICK), kept + MOST_NEXT)
    new = [station for station in found.stations if not station.kept and station.narrowed]
    for station in new[:MOST_NEXT]:
        ranges = [f"{each.words} {each.before:.2f} to {each.after:.2f}" for each in station.narrowed]
        yield f"{station.place} ({', '.join(station.walls)}): {station.why}; high over low end: {'; '.join(ranges)}"
