"""Verdicts of a plan while it is edited: light first, then everything; the newest plan wins."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.service.meter_round import ready_with
from sunfleck.service.workbench.memory import give_back
from sunfleck.studies.climate.report import ClimateReport
from sunfleck.studies.report import Report

Stage = Literal["light", "whole", "failed"]
Wanted = tuple[int, PlanSource, tuple[SurveySource, ...]]


@dataclass(frozen=True, eq=False)
class Judged:
    """What is known of a plan so far.

    Attributes
    ----------
    turn : int
        Of what was asked for: a later plan, or the same with or without readings, has a higher one.
    source : PlanSource
        That plan.
    stage : str
        ``light`` while heat and air are still being worked out, then ``whole``; ``failed`` where they cannot be.
    report : Report or None
        Verdicts of that stage; None where not even light could be worked out.
    climate : ClimateReport or None
        Heat and air, once they are known.
    why : str
        Why something could not be worked out; "" where all was.
    """

    turn: int
    source: PlanSource
    stage: Stage
    report: Report | None = None
    climate: ClimateReport | None = None
    why: str = ""


class Judging:
    """Works out verdicts in a thread of its own. Any thread may ask.

    While a plan is being worked out and a newer one comes, the older one is given up at the next stage.
    """

    def __init__(self, told: Callable[[Judged], None], pause: float = 0.4) -> None:
        """Begin.

        Parameters
        ----------
        told : callable
            Called in that thread with each stage of the newest plan.
        pause : float
            How long a plan must stand before it is judged: while something is dragged or typed, nothing is. [s]
        """
        self._told, self._pause = told, pause
        self._changed = threading.Condition()
        self._wanted: Wanted | None = None
        self._ended = False
        self._thread = threading.Thread(target=self._run, name="verdicts", daemon=True)
        self._thread.start()

    def ask(self, turn: int, source: PlanSource, surveys: Sequence[SurveySource] = ()) -> None:
        """Have this plan judged, with what meters read in the box, and none that was asked for before."""
        with self._changed:
            if self._wanted is None or self._wanted[0] <= turn:
                self._wanted = (turn, source, tuple(surveys))
                self._changed.notify_all()

    def end(self) -> None:
        """Stop; what is being worked out is not told any more."""
        with self._changed:
            self._ended = True
            self._changed.notify_all()

    def _run(self) -> None:
        while (wanted := self._next()) is not None:
            for judged in _stages(*wanted):
                if not self._still(judged.turn):
                    break
                self._told(judged)
            give_back()

    def _next(self) -> Wanted | None:
        """The newest plan, once it has stood for a while; None at the end."""
        with self._changed:
            self._changed.wait_for(lambda: self._ended or self._wanted is not None)
            while not self._ended:
                wanted = self._wanted
                newer = self._changed.wait_for(partial(self._other_than, wanted), timeout=self._pause)
                if not newer:
                    self._wanted = None
                    return wanted
            return None

    def _other_than(self, wanted: Wanted | None) -> bool:
        return self._ended or self._wanted is not wanted

    def _still(self, turn: int) -> bool:
        with self._changed:
            return not self._ended and (self._wanted is None or self._wanted[0] <= turn)


def _stages(turn: int, source: PlanSource, surveys: tuple[SurveySource, ...]) -> Iterator[Judged]:
    report: Report | None = None
    try:
        ready = ready_with(source, surveys)
        report = ready.report
        yield Judged(turn, source, "light", report)
        yield Judged(turn, source, "whole", ready.whole, ready.climate)
    except Exception as error:  # a fault of ours must not leave the page waiting for ever
        yield Judged(turn, source, "failed", report, None, str(error) or type(error).__name__)
