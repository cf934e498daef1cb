"""One plan on the workbench: what all its windows share, text, pictures, verdicts and remedies."""

from __future__ import annotations

import logging
import tempfile
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sunfleck.document.merge import merge
from sunfleck.errors import SunfleckError
from sunfleck.library.loader import Library, load_library
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.plan.rules.names import slug
from sunfleck.service.cases import light_at
from sunfleck.service.charts import draw_charts
from sunfleck.service.first_plan import FirstPlan, Reason, refined
from sunfleck.service.remedies import find_remedies
from sunfleck.service.resolved import resolved
from sunfleck.service.surveys import folder_of, read_surveys
from sunfleck.service.workbench.judging import Judged, Judging
from sunfleck.service.workbench.new_parts import names_of
from sunfleck.service.workbench.pictures import Pictures, Vector
from sunfleck.service.workbench.references import rename_in_surveys, surveys_naming
from sunfleck.service.workbench.session import PlanSession, State
from sunfleck.studies.day import fullest
from sunfleck.studies.light_at import LightAt
from sunfleck.studies.remedy import Remedied
from sunfleck.studies.shown import levels_at

log = logging.getLogger(__name__)

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
        self._asked: object = None
        self.turn = 0
        self.better: Offered | None = None
        self._better: FirstPlan | None = None
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

    @property
    def library(self) -> Library:
        """What the plan's ids belong to; the bundled one while the plan never was without a problem."""
        source = self.state.last_sound
        return source.library if source is not None else load_library()

    def has_name(self, name: str, but: str) -> bool:
        """Return whether a part is called so already, in whatever way it is spelt; the one called `but` aside."""
        plan = self.state.plan
        taken = names_of(plan) - {but} if plan is not None else set()
        return slug(name) in {slug(each) for each in taken}

    def surveys_naming(self, group: str, name: str) -> int:
        """Return how many surveys beside the plan name a part of it."""
        try:
            return len(surveys_naming(self.session.file, group, name))
        except SunfleckError:
            return 0

    def rename_in_surveys(self, group: str, old: str, new: str) -> None:
        """Give a part its new name in the surveys beside the plan too."""
        rename_in_surveys(self.session.file, group, old, new)
        self._surveys_seen = None

    def light_there(self, source: PlanSource, point: Vector, facing: str, hour: int | None) -> LightAt:
        """Return every channel at a point (3,), with its range, as :func:`sunfleck.light_at` does. [m]

        Facing ``up`` or ``brightest``; of the lamps that are lit at an hour [h], or where it is None in the hours in
        which most are.
        """
        brief = resolved(source).brief
        lit = fullest(brief).levels if hour is None else levels_at(brief, 3600.0 * hour)
        way: Literal["up", "brightest"] = "up" if facing == "up" else "brightest"
        return light_at(source, [point], way, lit, surveys=self.read_here)

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
        state = self.session.replace_text(together.text, offered.label)
        if self._better is not None and offered is self.better:
            self.first, self.better = self._better, None
            self.reasons = {each.path: each for each in self._better.reasons}
        return state

    def take_typed(self, base: str, typed: str) -> State:
        """Take in a text that somebody typed over a text of the plan, with what was changed elsewhere since.

        Raises
        ------
        SunfleckError
            If the same lines were changed since, or it cannot be read; nothing has happened then.
        """
        # A browser's text area knows one kind of line end.
        lines = "\n".join(typed.splitlines()) + ("\n" if base.endswith(("\n", "\r")) else "")
        if "\r\n" in base:
            lines = lines.replace("\n", "\r\n")
        return self.take(Offered(base, lines, "edit the text"))

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

    @property
    def counts(self) -> tuple[str, str]:
        """How many verdicts meet in the layout as proposed, and in the better one: ``9 of 16``."""
        found = [
            f"{len(each.standings) - len(each.open_verdicts)} of {len(each.standings)}" if each else "?"
            for each in (self.first, self._better)
        ]
        return found[0], found[1]

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
        except Exception as error:  # a fault of ours must not leave the page waiting for ever
            if self._ended.is_set():
                return
            log.exception("no better layout was found")
            self.progress = (1.0, str(error))
        else:
            if better.text != first.text:
                self.better = Offered(first.text, better.text, "take the improved layout")
                self._better = better
            self.progress = (1.0, "")
        self._tell("proposal")

    def _changed(self, version: int) -> None:
        del version
        with self._lock:
            state = self.session.state
            asked = (state.source, self.read_here)
            if asked != self._asked:
                self._asked = asked
                self.turn += 1
                if state.source is not None:
                    self._judging.ask(self.turn, state.source, self.read_here)
        self._tell("text")

    @property
    def current(self) -> bool:
        """Whether the newest verdicts are of the plan as it is now."""
        return self.judged is not None and self.judged.turn == self.turn and self.state.source is not None

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
