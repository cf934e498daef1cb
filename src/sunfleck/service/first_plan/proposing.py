"""The two calls: a first proposal that can be shown at once, and the same after a search."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace
from math import ceil

from sunfleck.document.problem import PlanError, Problem
from sunfleck.library.loader import Library, load_library
from sunfleck.service.first_plan.answers import AnswerError, Answers
from sunfleck.service.first_plan.deciding import decided
from sunfleck.service.first_plan.design import Design
from sunfleck.service.first_plan.drafting import Drawn, drawn
from sunfleck.service.first_plan.looking import Look, cost_of, glance, rehung, whole
from sunfleck.service.first_plan.measures import Measures
from sunfleck.service.first_plan.moves import moves
from sunfleck.service.first_plan.proposal import FirstPlan, Standing
from sunfleck.service.first_plan.reading import Wanted, wanted_from
from sunfleck.service.first_plan.sunlamps import choose_tubes
from sunfleck.service.first_plan.telling import left_open_of, reasons_of
from sunfleck.service.first_plan.warming import sized_floods, values_of, warmed

Progress = Callable[[float, str], None]
"""Called with the share of the effort that is spent, 0 to 1, and what is being done in words."""
Stop = Callable[[], bool]
"""Asked between two trials; true ends the search with the best plan so far."""

# Designs that are looked at, and that are checked in full, before the search ends. [-]
MOST_GLANCES, MOST_WHOLE = 18, 2
# What is not better by this is no better. [-]
BETTER = 0.08
# Longer brackets are not made. Common practice, no source. [m]
LONGEST_BRACKET = 0.50


def first_plan(answers: Answers) -> FirstPlan:
    """Make a whole plan from answers.

    Parameters
    ----------
    answers : Answers
        As given.

    Returns
    -------
    plan : FirstPlan
        Its verdicts are those of `check`.

    Raises
    ------
    AnswerError
        With every problem of the answers.
    """
    library = load_library()
    wanted = wanted_from(answers, library)
    today = datetime.date.today().isoformat()
    design = decided(wanted, library)
    tried = 1
    chosen = choose_tubes(wanted, design, library, today)
    if chosen is not None:
        design = replace(design, tubes=chosen.tubes)
        tried += chosen.looked_at
    look = glance(_drawn(wanted, design, library, today), light=False)
    warm = warmed(sized_floods(wanted, design, library, look), library, look)
    # Warmer air wants a weaker lamp: sized once more by what the warmth that is kept makes of it.
    again = _glance_or(wanted, warm, library, today, look)
    sized = sized_floods(wanted, again.drawn.design, library, again)
    best = _whole_or(wanted, sized, again.drawn.design, library, today, again)
    best = _with_travel(best, library, today)
    return _told(answers, best, tried + 3)


def refined(first: FirstPlan, progress: Progress | None = None, stop: Stop | None = None) -> FirstPlan:
    """Look for changes of a first plan that turn what does not meet, to a stated effort.

    Parameters
    ----------
    first : FirstPlan
        As :func:`first_plan` made it.
    progress : callable, optional
        Told how far the search is.
    stop : callable, optional
        Asked between two trials whether to end it.

    Returns
    -------
    plan : FirstPlan
        The best that was found; the first one where nothing is better.
    """
    library = load_library()
    wanted = wanted_from(first.answers, library)
    today = datetime.date.today().isoformat()
    assert isinstance(first.look, Look)
    search = _Search(wanted, library, today, first.look, progress, stop)
    best = search.run()
    if best is first.look:
        return replace(first, tried=first.tried + search.tried)
    return _told(first.answers, best, first.tried + search.tried)


class _Search:
    """Goes from design to design while a look says that it gets better; what is kept was checked in full."""

    def __init__(
        self,
        wanted: Wanted,
        library: Library,
        today: str,
        start: Look,
        progress: Progress | None,
        stop: Stop | None,
    ) -> None:
        self.wanted, self.library, self.today = wanted, library, today
        self.best, self.tried, self.checked = start, 0, 0
        self.progress, self.stop = progress, stop
        self.seen: set[Design] = {start.drawn.design}

    def run(self) -> Look:
        while self.checked < MOST_WHOLE and self.tried < MOST_GLANCES and not self._stopped():
            here = self._walk()
            if here is None:
                break
            self._say("checked in full")
            self.checked += 1
            found = whole(here.drawn, self.best)
            if found.cost > self.best.cost - BETTER:
                break
            self.best = _with_travel(found, self.library, self.today)
        self._say("done", 1.0)
        return self.best

    def _walk(self) -> Look | None:
        """Better designs from the best on, by looks: each kind of change as far as it helps, then the next."""
        # Failures are not followed at a glance: what they cost stays.
        level = sum(cost_of(v) for v in self.best.verdicts if v.id.split(":")[0] != "one-failure")
        here, moved, going = self.best, None, True
        while going and self._may_go_on(moved):
            going, done = False, set[str]()
            while self._may_go_on(moved) and (found := self._next(here, done)) is not None:
                words, plan = found
                self._say(words)
                self.tried += 1
                look = glance(plan, here)
                if look.cost < level - BETTER:
                    here, level, moved, going = look, look.cost, look, True
                else:
                    done.add(words)
        return moved

    def _may_go_on(self, moved: Look | None) -> bool:
        """Half of the effort before the first check; all of it where nothing better was found yet."""
        share = MOST_GLANCES if moved is None else MOST_GLANCES * (self.checked + 1) // MOST_WHOLE
        return self.tried < share

    def _next(self, here: Look, done: set[str]) -> tuple[str, Drawn] | None:
        """The next change that was not looked at yet and that can be built."""
        for words, design in moves(here, self.library):
            if words in done or design in self.seen or self._stopped():
                continue
            self.seen.add(design)
            try:
                return words, drawn(self.wanted, design, self.library, self.today)
            except PlanError:
                continue
        return None

    def _stopped(self) -> bool:
        return self.stop is not None and self.stop()

    def _say(self, words: str, share: float | None = None) -> None:
        if self.progress is not None:
            done = (self.tried + 3 * self.checked) / (MOST_GLANCES + 3 * MOST_WHOLE)
            self.progress(min(share if share is not None else done, 1.0), words)


def _drawn(wanted: Wanted, design: Design, library: Library, today: str) -> Drawn:
    """Draw a design; that it breaks a rule is a problem of the size that was answered."""
    try:
        return drawn(wanted, design, library, today)
    except PlanError as error:
        needed = f"a box in which a first layout finds room; in this one: {error.problems[0].needed}"
        raise AnswerError(
            (
                Problem(
                    "answers.no-room", "size", 2, 1, " x ".join(wanted.written_size), needed, None, "answers"
                ),
            )
        ) from error


def _glance_or(wanted: Wanted, design: Design, library: Library, today: str, look: Look) -> Look:
    """A look at a design; where it cannot be drawn, with fewer heaters; where that cannot, the look before."""
    fewer = [design]
    for name in ("heater", "night_heater"):
        heater = getattr(design, name)
        for count in range(heater.count - 1 if heater is not None else 0, 0, -1):
            fewer.append(fewer[-1].with_heater(name, replace(heater, count=count)))
    fewer.append(replace(fewer[-1], night_heater=None))
    for each in fewer:
        try:
            return glance(drawn(wanted, each, library, today), look, light=False)
        except PlanError:
            continue
    return look


def _whole_or(
    wanted: Wanted, design: Design, other: Design, library: Library, today: str, look: Look
) -> Look:
    """A design checked in full; where it cannot be drawn, the one before."""
    try:
        return whole(drawn(wanted, design, library, today), look)
    except PlanError:
        return whole(_drawn(wanted, other, library, today), look)


def _with_travel(look: Look, library: Library, today: str) -> Look:
    """Brackets as long as the verdict on them asks for, as far as there is room over the lamp."""
    design = look.drawn.design
    verdict, tubes = look.verdict("uv-bracket"), design.tubes
    if verdict is None or tubes is None or verdict.state == "meets":
        return look
    needed = values_of(verdict).get("needed")
    if needed is None:
        return look
    measures = Measures(look.drawn.wanted, design, library)
    travel = min(ceil(100 * needed - 1e-9) / 100, LONGEST_BRACKET)
    if not design.above:
        free = measures.height - 0.02 - measures.spot[2] - tubes.over
        travel = min(travel, 2 * measures.step * int(max(free, 0.0) / measures.step))
    if travel <= 0 or abs(travel - tubes.travel) < 1e-9:
        return look
    # Travel moves no light: the other verdicts stay.
    changed = replace(design, tubes=replace(tubes, travel=travel))
    return rehung(look, drawn(look.drawn.wanted, changed, library, today))


def _told(answers: Answers, look: Look, tried: int) -> FirstPlan:
    standings = tuple(Standing(v.id, v.question, v.state) for v in look.verdicts)
    return FirstPlan(
        answers,
        look.drawn.text,
        look.drawn.plan,
        reasons_of(look),
        left_open_of(look),
        standings,
        tried,
        look,
    )
