"""Remedies found by trying: a change of the plan, checked again, that turns a verdict."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import partial

from sunfleck.document.edit import written
from sunfleck.document.problem import PlanError, nearest
from sunfleck.document.reader import Document
from sunfleck.errors import DomainError
from sunfleck.plan.read import PlanSource, check_document
from sunfleck.service.heat_trials import heat_trials
from sunfleck.service.resolved import Resolved, resolved
from sunfleck.service.trials import Series, Trial, alone, edited, in_pairs
from sunfleck.studies.check import verdicts_if_met
from sunfleck.studies.climate.report import verdict_alike
from sunfleck.studies.in_air import AS_RATED
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.passage.questions import told_only_where_short, verdicts_of
from sunfleck.studies.remedy import Change, Remedied, Remedy
from sunfleck.studies.report import Report, Verdict

# Enough to choose from; a keeper does not read a tenth way. Of two changes at once the first few are enough.
MOST, MOST_PAIRS = 6, 3
MOST_TRIES_OF_PAIRS = 60
# Two steps that move what is judged by less than this do not touch it. [-]
NOTHING, NOTHING_IN_KELVIN = 0.002, 0.1
PATIENCE = 1
Rank = tuple[bool, int, int]
# Numbers of a verdict that say how far a lamp is from something.
NEARNESS = re.compile(r"\.(gap|free)_\d+$")


def find_remedies(
    plan: PlanSource, of: str | None = None, *, light: bool = False
) -> tuple[Report, tuple[Remedied, ...]]:
    """Look for remedies for every verdict that does not meet.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.
    of : str, optional
        Id of the one verdict to look for; all that do not meet when left out.
    light : bool
        Whether light alone is looked at, as `check_light` does: quicker, and what becomes of heat is not told.

    Returns
    -------
    report : Report
        The plan as it is.
    found : tuple of Remedied
        One for each verdict that does not meet and that some change of the plan could turn.

    Raises
    ------
    DomainError
        If the plan has no verdict of that id; the nearest is named.

    Notes
    -----
    A remedy is proposed only if the changed plan, checked in full, meets where it did not, if nothing becomes ``over``
    or is more so than it was, and if none that met is ``short``. Tried are, each from the smallest on: a level or
    timer, lamps up or down, perches and ledges up or down, hides turned, longer brackets, guards and cages of mesh,
    lamps of the library; then two of these at once where no single one does. For heat and air: hours, thermostats,
    lamps up or down, vents wider or narrower or new, fans faster or slower or new, lamps of other watts, walls thicker
    or lined with insulation, a room kept warmer or cooler. Cheapest first.
    """
    base = resolved(plan)
    report = base.report if light else base.whole
    if of is not None and of not in {verdict.id for verdict in report.verdicts}:
        near = nearest(of, [verdict.id for verdict in report.verdicts])
        msg = f"this plan has no verdict {of!r}" + (f"; did you mean {near}?" if near else "")
        raise DomainError(msg)
    found = []
    for verdict in report.verdicts:
        if verdict.state != "meets" and of in (None, verdict.id):
            search = _Search(plan, base, report, verdict, light=light)
            singles = [*alone(plan, verdict), *heat_trials(plan, verdict)]
            remedies = search.over(singles, MOST)
            if not remedies:
                remedies = search.over(
                    in_pairs(plan, verdict), MOST_PAIRS, search.tried + MOST_TRIES_OF_PAIRS
                )
            if search.tried or singles:
                found.append(Remedied(verdict, remedies, search.tried))
    return report, tuple(found)


class _Search:
    """Tries series of changes for one verdict."""

    def __init__(
        self, plan: PlanSource, base: Resolved, report: Report, verdict: Verdict, *, light: bool
    ) -> None:
        self.light = light
        self.plan, self.base, self.report, self.verdict = plan, base, report, verdict
        self.tried = 0
        # A lamp's air changes little by what mends its light: that of the plan as it was is near enough to try by.
        self.in_air = AS_RATED if light else base.climate.in_air
        self.of_climate = set() if light else {each.id for each in base.climate.verdicts}

    def over(self, tries: list[Series], most: int, most_tried: int = 10**6) -> tuple[Remedy, ...]:
        """Return the remedies among some series, at most one of each, cheapest first."""
        found: list[tuple[Rank, Remedy]] = []
        for series in tries:
            remedy = self._first(series, most_tried) if len(found) < most else None
            if remedy is not None:
                found.append(remedy)
        return tuple(remedy for _, remedy in sorted(found, key=lambda each: each[0]))

    def _first(self, series: Series, most_tried: int) -> tuple[Rank, Remedy] | None:
        """The first trial of a series that does; larger ones are not tried once it harms or stops helping."""
        before, _ = _expected(self.verdict)
        gaps: list[float] = []
        for trial in series:
            document = edited(self.plan, trial)
            if document is None or self.tried >= most_tried:
                return None
            try:
                changed = check_document(document, self.plan.library)
            except PlanError:
                return None  # it would stand in a wall, or has no hold any more
            self.tried += 1
            ready = Resolved(changed, self.base)
            first, others = self._asked(ready)
            if others is not None:
                changes = _changes(self.report, others, self.verdict.id)
                if changes is None:
                    return None
                return _rank(trial, changes), self._remedy(trial, document, changes)
            value = _expected(first)[0] if first is not None else None
            if before is None or value is None:
                continue
            gaps.append(abs(value - before))
            least = NOTHING_IN_KELVIN if self.verdict.id in self.of_climate else NOTHING * max(before, 1e-9)
            if len(gaps) > PATIENCE and gaps[-1] < least:
                return None  # it does not touch what is judged
        return None

    def _asked(self, ready: Resolved) -> tuple[Verdict | None, tuple[Verdict, ...] | None]:
        """The verdict that must meet, and all of them only if it does."""
        interior, id_ = partial(ready.interior, QUICK), self.verdict.id
        if id_ not in self.of_climate:
            first, others = verdicts_if_met(ready.brief, interior, id_, self.in_air)
            if others is None or self.light:
                return first, others
            return first, (*others, *ready.climate.verdicts, *verdicts_of(ready.passage.report))
        first = verdict_alike(ready.brief, interior(), self.base.climate, id_)
        if first is None or first.state != "meets":
            return first, None
        return first, ready.whole.verdicts

    def _remedy(self, trial: Trial, document: Document, changes: tuple[Change, ...]) -> Remedy:
        there = self.plan.document.marks
        lines = []
        for edit in trial.edits:
            if isinstance(edit.value, Mapping) and edit.path[:-1] not in there:
                # A list that begins with this entry has a line of its own for its key.
                lines.append(_line(document, document.marks[edit.path[:-1]].key_line or 1))
            if edit.value is not None:
                lines.append(_line(document, document.mark(edit.path).line))
        lines += [
            f"without `{edit.path[-1]}`: that was another lamp's"
            for edit in trial.edits
            if edit.value is None and edit.path in there
        ]
        kind = trial.kinds[0] if len(trial.kinds) == 1 else " + ".join(trial.kinds)
        return Remedy(kind, trial.words, tuple(dict.fromkeys(lines)), changes, written(document))


def _rank(trial: Trial, changes: tuple[Change, ...]) -> Rank:
    """What leaves another verdict open comes last; then the cheapest, then what takes the fewest edits."""
    opens = any(change.before == "meets" and change.after != "meets" for change in changes)
    return opens, trial.cost, len(trial.edits)


def _changes(before: Report, after: tuple[Verdict, ...], id_: str) -> tuple[Change, ...] | None:
    """What becomes of the verdicts, that of `id_` first; None if it is not mended or another gets worse."""
    then = {verdict.id: verdict for verdict in after}
    if id_ not in then or then[id_].state != "meets":
        return None
    # A question that was not asked before, of a lamp that now gives UV, must not find anything wrong.
    known = {verdict.id for verdict in before.verdicts}
    if any(verdict.state != "meets" for verdict in after if verdict.id not in known):
        return None
    changes = []
    for verdict in before.verdicts:
        other = then.get(verdict.id)
        if other is None and told_only_where_short(verdict.id):
            continue
        if other is None or (other.state == "short" and _nearer(verdict, other)):
            return None
        (was, unit), (is_, _) = _expected(verdict), _expected(other)
        more = was is not None and is_ is not None and is_ > was and _differ(was, is_, unit)
        # Neither newly too much, nor more of it.
        if other.state == "over" and (verdict.state != "over" or more):
            return None
        if verdict.state == "meets" and other.state == "short":
            return None
        if verdict.state != other.state or (was is not None and is_ is not None and _differ(was, is_, unit)):
            low, high = (_named(other, name)[0] for name in ("low", "high"))
            changes.append(
                Change(verdict.id, verdict.question, verdict.state, other.state, was, is_, unit, low, high)
            )
    return tuple(sorted(changes, key=lambda change: change.id != id_))


def _nearer(before: Verdict, after: Verdict) -> bool:
    """Whether a lamp comes nearer to an animal's reach, or to what it can scorch, than it was."""
    was = {number.id: number.value for number in before.numbers if NEARNESS.search(number.id)}
    return any(number.value < was.get(number.id, -1.0) - 1e-6 for number in after.numbers)


def _expected(verdict: Verdict) -> tuple[float | None, str]:
    """Expected value of a verdict and its unit, if it has one; of a bracket the travel needed."""
    name = "needed" if verdict.id.startswith("uv-bracket:") else "expected"
    return _named(verdict, name)


def _named(verdict: Verdict, name: str) -> tuple[float | None, str]:
    found = next((n for n in verdict.numbers if n.id == f"{verdict.id}.{name}"), None)
    return (found.value, found.unit) if found is not None else (None, "")


def _differ(one: float, other: float, unit: str) -> bool:
    """By a hundredth, or half a degree: the least that is worth a line."""
    if unit == "K":
        return abs(one - other) > 0.5
    return abs(one - other) > 0.01 * max(abs(one), abs(other))


def _line(document: Document, number: int) -> str:
    """A line of the text, with its number."""
    return f"line {number}: {document.lines[number - 1].strip()}"
