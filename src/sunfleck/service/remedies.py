"""Remedies found by trying: a change of the plan, checked again, that turns a verdict."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from sunfleck.document.edit import EditError, add_beside, replace_value
from sunfleck.document.problem import PlanError
from sunfleck.document.reader import read_document
from sunfleck.document.tree import Path
from sunfleck.plan.read import PlanSource, read_plan_text
from sunfleck.service.cases import check
from sunfleck.studies.remedy import Change, Remedied, Remedy
from sunfleck.studies.report import Report, Verdict
from sunfleck.studies.rule import State
from sunfleck.units import format_quantity

# Ways a lamp is moved by hand: the smallest that does counts. [m]
STEPS = (0.02, 0.04, 0.06, 0.08, 0.10, 0.12, 0.15, 0.20, 0.25, 0.30, 0.40)
# Which verdicts a lamp that moves or is exchanged can turn, and which way it has to go for each state.
UP_FOR: dict[str, dict[State, int]] = {
    "uv-floor": {"short": -1, "unknown": -1},
    "uv-ceiling": {"over": 1, "unknown": 1},
    "uv-retreat": {"over": 1, "unknown": 1},
    "heat-patch": {"short": 1, "unknown": 1},
}


def find_remedies(plan: PlanSource) -> tuple[Report, tuple[Remedied, ...]]:
    """Look for remedies for every verdict that does not meet.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.

    Returns
    -------
    report : Report
        The plan as it is.
    found : tuple of Remedied
        One for each verdict that does not meet and that moving or exchanging a lamp could turn.

    Notes
    -----
    A remedy is proposed only if the changed plan, checked in full, meets where it did not, if nothing becomes
    ``over`` or is more so than it was, and if none that met is ``short``. Tried are: lamps up or down together by 2 to 40 cm,
    each alone, lamps of the library in their places, brackets as long as needed, and guards round lamps within reach.
    Nothing else is moved.
    """
    report = check(plan)
    found = []
    for verdict in report.verdicts:
        question = verdict.id.split(":")[0]
        way = UP_FOR.get(question, {}).get(verdict.state)
        if way is not None:
            series = (*_moves(plan, verdict, way), *_swaps(plan, verdict))
            found.append(_for_verdict(plan, report, verdict, series))
        elif question == "uv-bracket" and verdict.state in ("short", "unknown"):
            found.append(_for_verdict(plan, report, verdict, tuple(_brackets(plan, verdict))))
        elif question == "lamp-guard" and verdict.state == "short":
            found.append(_for_verdict(plan, report, verdict, tuple(_guards(plan, verdict))))
    return report, tuple(found)


def _for_verdict(
    plan: PlanSource, report: Report, verdict: Verdict, tries: tuple[list[_Trial], ...]
) -> Remedied:
    remedies: list[Remedy] = []
    tried = 0
    for series in tries:
        for trial in series:
            text = _edited(plan, trial.edits)
            if text is None:
                continue
            try:
                after = check(read_plan_text(text, plan.document.file))
            except PlanError:
                continue  # it would stand in a wall, or the tube does not fit
            tried += 1
            changes = _changes(report, after, verdict.id)
            if changes is not None:
                edits = tuple(_line(text, path) for path, _ in trial.edits)
                remedies.append(Remedy(trial.kind, trial.words, tuple(dict.fromkeys(edits)), changes, text))
                break
    return Remedied(verdict, tuple(remedies), tried)


@dataclass(frozen=True)
class _Trial:
    kind: str
    words: str
    edits: tuple[tuple[Path, str], ...]


def _of_concern(plan: PlanSource, verdict: Verdict) -> list[int]:
    """Fixtures that a verdict is about: UV lamps, or for the warm patch those the animal basks under."""
    heat = verdict.id.startswith("heat-patch")
    chosen = []
    for i, fixture in enumerate(plan.plan.fixtures):
        lamp = plan.library.lamps[fixture.lamp]
        gives = str(lamp.emitter.value) in ("spot", "heater") if heat else float(lamp.uvi_reference.value) > 0  # type: ignore[arg-type]
        if gives:
            chosen.append(i)
    return chosen


def _moves(plan: PlanSource, verdict: Verdict, way: int) -> Iterator[list[_Trial]]:
    """All lamps of concern together, then each alone, farther and farther."""
    indices = _of_concern(plan, verdict)
    groups = [indices] + ([[i] for i in indices] if len(indices) > 1 else [])
    system = plan.plan.show_units
    for group in groups:
        names = " and ".join(plan.plan.fixtures[i].name for i in group)
        series = []
        for step in STEPS:
            edits = []
            for i in group:
                fixture = plan.plan.fixtures[i]
                for key, point in (("from", fixture.from_), ("to", fixture.to), ("at", fixture.at)):
                    if point is not None:
                        height = format_quantity(point[2] + way * step, "length", system)
                        edits.append((("fixtures", i, key, 2), height))
            verb = "raise" if way > 0 else "lower"
            shown = format_quantity(step, "length", system)
            series.append(_Trial("move", f"{verb} {names} by {shown}", tuple(edits)))
        if group:
            yield series


def _brackets(plan: PlanSource, verdict: Verdict) -> Iterator[list[_Trial]]:
    """Brackets as long as is needed, to the next centimetre, where the plan states shorter ones."""
    needed = ceil(100 * verdict.number("needed").value - 1e-9) / 100
    indices = [i for i in _of_concern(plan, verdict) if (plan.plan.fixtures[i].travel or 0.0) < needed]
    if indices:
        shown = format_quantity(needed, "length", plan.plan.show_units)
        names = " and ".join(plan.plan.fixtures[i].name for i in indices)
        edits = tuple((("fixtures", i, "travel"), shown) for i in indices)
        yield [_Trial("bracket", f"brackets with {shown} of travel for {names}", edits)]


def _guards(plan: PlanSource, verdict: Verdict) -> Iterator[list[_Trial]]:
    """Each guard of the library round all lamps within reach that have none."""
    within = [n for n in verdict.numbers if n.id.startswith(f"{verdict.id}.gap_") and n.value <= 0]
    indices = [int(number.id.rsplit("_", 1)[1]) for number in within]
    bare = [i for i in indices if plan.plan.fixtures[i].guard is None]
    names = " and ".join(plan.plan.fixtures[i].name for i in bare)
    for id_, guard in plan.library.guards.items():
        if bare:
            edits = tuple((("fixtures", i, "guard"), id_) for i in bare)
            yield [_Trial("guard", f"{guard.name.value} round {names}", edits)]


def _swaps(plan: PlanSource, verdict: Verdict) -> Iterator[list[_Trial]]:
    """Lamps of the library of the same build in the places of those of concern, all of a kind at once."""
    indices = _of_concern(plan, verdict)
    for wrong in dict.fromkeys(plan.plan.fixtures[i].lamp for i in indices):
        old = plan.library.lamps[wrong]
        group = [i for i in indices if plan.plan.fixtures[i].lamp == wrong]
        names = " and ".join(plan.plan.fixtures[i].name for i in group)
        # A reading belongs to the lamp it was read under.
        if any(plan.plan.fixtures[i].evidence for i in group):
            continue
        for id_, lamp in plan.library.lamps.items():
            if id_ != wrong and lamp.emitter.value == old.emitter.value:
                edits = tuple(((("fixtures", i, "lamp"), id_)) for i in group)
                yield [_Trial("swap", f"{lamp.name.value} in place of {names}", edits)]


def _edited(plan: PlanSource, edits: tuple[tuple[Path, str], ...]) -> str | None:
    """The plan's text with some values replaced or, beside the lamp they belong to, added; None where that fails."""
    document = plan.document
    for path, value in edits:
        try:
            if path in document.marks:
                text = replace_value(document, path, value)
            else:
                text = add_beside(document, (*path[:-1], "lamp"), str(path[-1]), value)
            document = read_document(text, file=document.file)
        except (EditError, PlanError):
            return None
    return document.begins_with + document.text


def _changes(before: Report, after: Report, id_: str) -> tuple[Change, ...] | None:
    """What becomes of the verdicts, that of `id_` first; None if it is not mended or another gets worse."""
    then = {verdict.id: verdict for verdict in after.verdicts}
    if id_ not in then or then[id_].state != "meets":
        return None
    changes = []
    for verdict in before.verdicts:
        other = then.get(verdict.id)
        if other is None:
            return None
        (was, unit), (is_, _) = _expected(verdict), _expected(other)
        more = was is not None and is_ is not None and is_ > was and _differ(was, is_)
        # Neither newly too much, nor more of it.
        if other.state == "over" and (verdict.state != "over" or more):
            return None
        if verdict.state == "meets" and other.state == "short":
            return None
        if verdict.state != other.state or (was is not None and is_ is not None and _differ(was, is_)):
            changes.append(Change(verdict.id, verdict.question, verdict.state, other.state, was, is_, unit))
    return tuple(sorted(changes, key=lambda change: change.id != id_))


def _expected(verdict: Verdict) -> tuple[float | None, str]:
    """Expected value of a verdict and its unit, if it has one."""
    found = next((n for n in verdict.numbers if n.id == f"{verdict.id}.expected"), None)
    return (found.value, found.unit) if found is not None else (None, "")


def _differ(one: float, other: float) -> bool:
    """By a hundredth, the least that is worth a line."""
    return abs(one - other) > 0.01 * max(abs(one), abs(other))


def _line(text: str, path: Path) -> str:
    """Line of the text that holds a value, with its number."""
    number = read_document(text).mark(path).line
    return f"line {number}: {text.splitlines()[number - 1].strip()}"
