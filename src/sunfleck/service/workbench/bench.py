"""One plan on the workbench: what all its windows share, text, pictures, verdicts and remedies."""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sunfleck.document.merge import merge
from sunfleck.errors import SunfleckError
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.service.cases import light_at
from sunfleck.service.charts import draw_charts
from sunfleck.service.first_plan import FirstPlan, Reason, refined
from sunfleck.service.remedies import find_remedies
from sunfleck.service.surveys import folder_of, read_surveys
from sunfleck.service.workbench.judging import Judged, Judging
from sunfleck.service.workbench.pictures import Pictures, Vector
from sunfleck.service.workbench.session import PlanSession, State
from sunfleck.studies.light_at import LightAt
from sunfleck.studies.remedy import Remedied

ANOTHER_PLACE = "the plan was changed in the same lines since this was worked out; look for it again"


@dataclass(frozen=True, eq=False)
class Offered:
    """A whole text that was worked out from a plan, to be taken in if the user wants it.

    Attributes
    ----------
    base, text : str
        The plan it was worked out from, and what it is then.
    label : str
        What it does, in words.
    """

    base: str
    text: str
    label: str


class Bench:
    """One plan while it is worked on. Every method may be called from any thread."""

    def __init__(self, session: PlanSession, first: FirstPlan | None = None) -> None:
        """Begin.

        Parameters
        ----------
        session : PlanSession
            The plan's text.
        first : FirstPlan, optional
            What it was made from, where it has just been proposed.
        """
        self.session = session
        self.pictures = Pictures()
        self.reasons: Mapping[str, Reason] = {each.path: each for each in first.reasons} if first else {}
        self.first = first
        self.judged: Judged | None = None
        self.surveys: tuple[SurveySource, ...] = ()
        self.unread = ""
        self._surveys_seen: object = None
        self._follows = True
        self.better: Offered | None = None
        self.progress: tuple[float, str] | None = None
        self._lock = threading.Lock()
        self._looking = threading.Lock()
        self._told: list[Callable[[str], None]] = []
        self._ended = threading.Event()
        self._judging = Judging(self._judged)
        self._unlisten = session.listen(self._changed)
        self._changed(session.state.version)

    @property
    def state(self) -> State:
        """The plan as it is now."""
        return self.session.state

    def listen(self, told: Callable[[str], None]) -> Callable[[], None]:
        """Have a function called with ``text``, ``verdicts`` or ``proposal`` when that changed; the result ends it."""
        with self._lock:
            self._told.append(told)

        def ended() -> None:
            with self._lock:
                if told in self._told:
                    self._told.remove(told)

        return ended

    def close(self) -> None:
        """Let the plan go; what is not saved stays in its journal."""
        self._ended.set()
        self._judging.end()
        self._unlisten()
        self.session.close()

    @property
    def follows(self) -> bool:
        """Whether ranges follow what meters read in the box."""
        return self._follows

    def follow(self, *, readings: bool) -> None:
        """Let ranges follow what meters read, or be as they are without."""
        self._follows = readings
        self._changed(self.state.version)

    @property
    def read_here(self) -> tuple[SurveySource, ...]:
        """The surveys that ranges follow now."""
        return self.surveys if self._follows else ()

    def look_at_surveys(self) -> None:
        """Read the surveys beside the plan where they have changed; why they cannot be read stands in ``unread``."""
        source = self.state.last_sound
        files = sorted(folder_of(self.session.file).glob("*.yaml"))
        seen = (source, tuple((file, *_stamp(file)) for file in files))
        if source is None or seen == self._surveys_seen:
            return
        self._surveys_seen, before = seen, self.surveys
        try:
            self.surveys, self.unread = read_surveys(self.session.file, source), ""
        except SunfleckError as error:
            self.surveys, self.unread = (), str(error)
        if before or self.surveys:
            self._changed(self.state.version)

    def probe(self, source: PlanSource, point: Vector, facing: str = "up") -> LightAt:
        """Return every channel at a point (3,), with its range, as :func:`sunfleck.light_at` does. [m]"""
        way: Literal["up", "brightest"] = "up" if facing == "up" else "brightest"
        return light_at(source, [point], way, surveys=self.read_here)

    def remedies(self, source: PlanSource, verdict: str) -> Remedied | None:
        """Return what turns one verdict; None where nothing can be tried. One search at a time."""
        with self._looking:
            _, found = find_remedies(source, verdict)
        return next((each for each in found if each.verdict.id == verdict), None)

    def take(self, offered: Offered) -> State:
        """Take in a text that was worked out from the plan, with what was changed elsewhere since.

        Raises
        ------
        SunfleckError
            If the same lines were changed since; nothing has happened then.
        """
        together = merge(offered.base, self.state.text, offered.text)
        if together.text is None:
            raise SunfleckError(ANOTHER_PLACE)
        return self.session.replace_text(together.text, offered.label)

    def charts(self, source: PlanSource, *, dark: bool) -> tuple[tuple[str, str], ...]:
        """Return the charts of the plan's climate as titles and SVG texts.

        Raises
        ------
        SunfleckError
            If the plan does not say how warm its room is, or the drawing library is not installed.
        """
        with tempfile.TemporaryDirectory(prefix="sunfleck-") as folder:
            files = draw_charts(source, Path(folder), ("svg",), dark)
            return tuple((file.stem, file.read_text(encoding="utf-8")) for file in files)

    def refine(self) -> None:
        """Look for a better layout than the one proposed, in a thread; ``better`` holds what is found."""
        first = self.first
        if first is not None and self.progress is None:
            self.progress = (0.0, "")
            threading.Thread(target=self._refine, args=(first,), name="layout", daemon=True).start()

    def stop_refining(self) -> None:
        """End that with the best so far."""
        self._stop = True

    _stop = False

    def _refine(self, first: FirstPlan) -> None:
        def progress(share: float, words: str) -> None:
            self.progress = (share, words)
            self._tell("proposal")

        try:
            better = refined(first, progress, lambda: self._stop or self._ended.is_set())
        except SunfleckError as error:
            self.progress = (1.0, str(error))
        else:
            if better.text != first.text:
                self.better = Offered(first.text, better.text, "take the improved layout")
                self.first = better
                self.reasons = {each.path: each for each in better.reasons}
            self.progress = (1.0, "")
        self._tell("proposal")

    def _changed(self, version: int) -> None:
        state = self.session.state
        if state.source is not None:
            self._judging.ask(version, state.source, self.read_here)
        self._tell("text")

    def _judged(self, judged: Judged) -> None:
        self.judged = judged
        self._tell("verdicts")

    def _tell(self, what: str) -> None:
        with self._lock:
            told = tuple(self._told)
        for each in told:
            each(what)


def _stamp(file: Path) -> tuple[int, int]:
    """What tells one state of a file from another, cheaply."""
    try:
        found = file.stat()
    except OSError:
        return 0, 0
    return found.st_mtime_ns, found.st_size
