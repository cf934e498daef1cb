"""Remedies as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.outputs.words import wrapped
from sunfleck.studies.remedy import Change, Remedied, Remedy
from sunfleck.studies.report import Report

COSTS = {
    "move": "costs nothing",
    "bracket": "a bracket to order",
    "guard": "a guard to buy",
    "swap": "another lamp to buy",
}
WORDS = {"meets": "meets", "short": "too low", "over": "too high", "unknown": "not known"}


def remedies_text(report: Report, found: tuple[Remedied, ...]) -> str:
    """Return remedies as a person reads them.

    Parameters
    ----------
    report : Report
        The plan as it is.
    found : tuple of Remedied
        What was found for its verdicts.

    Returns
    -------
    text : str
        Verdict by verdict, cheapest first, each with everything it changes.
    """
    return "\n".join(_lines(report, found)) + "\n"


def _lines(report: Report, found: tuple[Remedied, ...]) -> Iterator[str]:
    yield report.plan
    failing = [verdict for verdict in report.verdicts if verdict.state != "meets"]
    if not failing:
        yield "Every target is met; what was not checked stands in `sunfleck check`."
        return
    by_id = {remedied.verdict.id: remedied for remedied in found}
    for verdict in failing:
        yield ""
        yield f"{verdict.question}, {WORDS[verdict.state]}: {verdict.sentence}  [{verdict.id}]"
        remedied = by_id.get(verdict.id)
        if remedied is None:
            yield from wrapped(f"no lamp that moves can turn it; {verdict.advice}", "  ", "  ")
        elif not remedied.remedies:
            told = f"none of {remedied.tried} changed plans turns it without harm elsewhere; {verdict.advice}"
            if not remedied.tried:
                told = f"there was no room to move a lamp, nor another to put there; {verdict.advice}"
            yield from wrapped(told, "  ", "  ")
        else:
            for number, remedy in enumerate(remedied.remedies, start=1):
                yield from _remedy_lines(number, remedy)
    yield ""
    yield "Your plan was not changed. Each remedy was checked in full; measure before the animal moves in."


def _remedy_lines(number: int, remedy: Remedy) -> Iterator[str]:
    yield f"  {number}. {remedy.words} ({COSTS[remedy.kind]})"
    for edit in remedy.edits:
        yield f"       {edit}"
    for change in remedy.changes:
        yield from wrapped(_change(change), "       - ", "         ")


def _change(change: Change) -> str:
    state = (
        f"{WORDS[change.before]} -> {WORDS[change.after]}"
        if change.before != change.after
        else f"still {WORDS[change.after]}"
    )
    if change.expected_before is None or change.expected_after is None:
        return f"{change.question}: {state}"
    return f"{change.question}: {state}, expected {change.expected_before:.2g} -> {change.expected_after:.2g} {change.unit}"
