"""What a meter round is held against while it is entered: worked out beside the entering, which never waits for it."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass, field

from sunfleck.brief.build import Brief
from sunfleck.errors import SunfleckError
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.service.resolved import Resolved
from sunfleck.studies.climate.seasons import seasons_of
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.meter.calibration import Compared, calibrate
from sunfleck.studies.meter.drift import with_drift
from sunfleck.studies.meter.from_surveys import readings_in
from sunfleck.studies.meter.slips import Slip, slips_of
from sunfleck.studies.meter.station_plan import Station
from sunfleck.studies.meter.stations import propose
from sunfleck.studies.meter.warmth_predictions import WarmthPredictions


@dataclass(frozen=True, eq=False)
class Known:
    """What has been worked out so far.

    Attributes
    ----------
    brief : Brief or None
        The resolved plan.
    stations : mapping of str to Station
        The plan's stations with what to read there and what is expected.
    compared : mapping of (str, str) to Compared
        Readings by where they stand, ``file:line``, and by what was read.
    slips : mapping of (str, str) to tuple of Slip
        What may have gone wrong with those that cannot be right.
    why_not : str
        What kept it from being worked out; "" where nothing did.
    """

    brief: Brief | None = None
    stations: Mapping[str, Station] = field(default_factory=dict)
    compared: Mapping[tuple[str, str], Compared] = field(default_factory=dict)
    slips: Mapping[tuple[str, str], tuple[Slip, ...]] = field(default_factory=dict)
    why_not: str = ""


class Comparison:
    """A thread that holds readings against the plan; of several questions asked meanwhile the newest is answered.

    Parameters
    ----------
    plan : PlanSource
        The plan.
    """

    def __init__(self, plan: PlanSource) -> None:
        self._plan = plan
        self._known = Known()
        self._change = threading.Condition()
        self._asked: SurveySource | None = None
        self._busy, self._closed = True, False
        self._thread = threading.Thread(target=self._work, name="comparison", daemon=True)
        self._thread.start()

    @property
    def known(self) -> Known:
        """What has been worked out so far."""
        with self._change:
            return self._known

    @property
    def busy(self) -> bool:
        """Whether something is still being worked out."""
        with self._change:
            return self._busy

    def ask(self, survey: SurveySource) -> None:
        """Hold a survey, as it stands now, against the plan; what was asked before and not begun is dropped."""
        with self._change:
            if not self._closed:
                self._asked, self._busy = survey, True
                self._change.notify_all()

    def wait(self, seconds: float) -> bool:
        """Wait until nothing is left to work out, so long at most, and say whether that is so. [s]"""
        with self._change:
            return self._change.wait_for(lambda: not self._busy, seconds)

    def close(self) -> None:
        """Take no more questions. What is being worked out is given up when the program ends."""
        with self._change:
            self._closed = True
            self._asked = None
            self._change.notify_all()

    def _work(self) -> None:
        ready: Resolved | None = None
        # What is asked of readings comes first; what stations would read, heat last, is worked out between.
        left = ["brief", *(["light", "heat"] if self._plan.plan.stations else [])]
        while True:
            survey = self._next(idle=not left)
            if self._closed:
                return
            try:
                if ready is None:
                    left.remove("brief")
                    ready = Resolved(self._plan)
                    self._put(brief=ready.brief)
                if survey is not None:
                    self._compare(ready, survey)
                elif left:
                    self._expect(ready, heat=left.pop(0) == "heat")
            except SunfleckError as error:
                self._put(why_not=str(error))
            except Exception as error:
                # Nobody stands at this thread; entering goes on, and the page says that nothing is compared.
                self._put(why_not=f"{type(error).__name__}: {error}")
            if ready is None:
                self._give_up()
                return

    def _give_up(self) -> None:
        with self._change:
            self._closed, self._busy = True, False
            self._change.notify_all()

    def _next(self, *, idle: bool) -> SurveySource | None:
        with self._change:
            if idle and self._asked is None and not self._closed:
                self._busy = False
                self._change.notify_all()
                self._change.wait_for(lambda: self._closed or self._asked is not None)
            survey, self._asked = self._asked, None
            return survey

    def _put(
        self,
        *,
        brief: Brief | None = None,
        stations: Mapping[str, Station] | None = None,
        compared: Mapping[tuple[str, str], Compared] | None = None,
        slips: Mapping[tuple[str, str], tuple[Slip, ...]] | None = None,
        why_not: str = "",
    ) -> None:
        with self._change:
            was = self._known
            self._known = Known(
                brief=brief or was.brief,
                stations=was.stations if stations is None else stations,
                compared=was.compared if compared is None else compared,
                slips=was.slips if slips is None else slips,
                why_not=why_not,
            )

    def _expect(self, ready: Resolved, *, heat: bool) -> None:
        if heat and not seasons_of(ready.brief):
            return
        climate = ready.climate if heat else None
        count = len(self._plan.plan.stations)
        found = propose(with_drift(ready.brief), ready.interior(QUICK), count, climate)
        self._put(stations={each.name: each for each in found.stations if each.kept})

    def _compare(self, ready: Resolved, survey: SurveySource) -> None:
        readings = readings_in([survey], self._plan.plan)
        interior, warmth = ready.interior(QUICK), None
        if seasons_of(ready.brief) and any(not reading.of_light for reading in readings):
            warmth = WarmthPredictions(with_drift(ready.brief), interior, readings)
        found = calibrate(ready.brief, interior, readings, warmth) if readings else None
        compared = found.compared if found is not None else ()
        system = self._plan.plan.show_units
        self._put(
            compared={(each.reading.where, each.reading.quantity): each for each in compared},
            slips={
                (each.reading.where, each.reading.quantity): slips_of(each, compared, system)
                for each in compared
                if each.odd
            },
        )
