"""Remedies as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.outputs.verdict_words import wrapped
from sunfleck.studies.remedy import Change, Remedied, Remedy
from sunfleck.studies.report import Report
from sunfleck.units import Kind, format_quantity

COSTS = {
    "setting": "costs nothing",
    "timer": "costs nothing",
    "move": "costs nothing",
    "vent": "an opening to cut or to cover",
    "bracket": "a bracket to order",
    "guard": "a guard to buy",
    "swap": "another lamp to buy",
    "fan": "a fan to buy and an opening to cut",
    "wall": "boards to buy, before it is built",
    "room": "heating or cooling the room",
}
WORDS = {"meets": "meets", "short": "too low", "over": "too high", "unknown": "not known"}


def remedies_text(report: Report, found: tuple[Remedied, ...], system: str, of: str | None = None) -> str:
    """Return remedies as a person reads them.

    Parameters
    ----------
    report : Report
        The plan as it is.
    found : tuple of Remedied
        What was found for its verdicts.
    system : str
        ``metric`` or ``us``.
    of : str, optional
        Id of the one verdict that was asked about.

    Returns
    -------
    text : str
        Verdict by verdict, cheapest first, each with everything it changes.
    """
    return "\n".join(_lines(report, found, system, of)) + "\n"


def _lines(report: Report, found: tuple[Remedied, ...], system: str, of: str | None) -> Iterator[str]:
    yield report.plan
    failing = [v for v in report.verdicts if v.state != "meets" and of in (None, v.id)]
    if not failing:
        yield (
            f"{of} is met."
            if of is not None
            else "Every target is met; what was not checked stands in `sunfleck check`."
        )
        return
    by_id = {remedied.verdict.id: remedied for remedied in found}
    for verdict in failing:
        yield ""
        yield f"{verdict.question}, {WORDS[verdict.state]}: {verdict.sentence}  [{verdict.id}]"
        remedied = by_id.get(verdict.id)
        if remedied is None:
            yield from wrapped(f"no change that this program can try turns it; {verdict.advice}", "  ", "  ")
        elif not remedied.remedies:
            told = f"none of {remedied.tried} changed plans turns it without harm elsewhere; {verdict.advice}"
            if not remedied.tried:
                told = f"there was no room to move a lamp, nor another to put there; {verdict.advice}"
            yield from wrapped(told, "  ", "  ")
        else:
            if verdict.state == "unknown" and verdict.advice:
                yield from wrapped(f"first: {verdict.advice}", "  ", "  ")
            for number, remedy in enumerate(remedied.remedies, start=1):
                yield from _remedy_lines(number, remedy, system)
    yield ""
    yield "Sorted: what leaves no other target open first, then what costs least."
    yield "Your plan was not changed. Each remedy was checked in full; measure before the animal moves in."


def _remedy_lines(number: int, remedy: Remedy, system: str) -> Iterator[str]:
    yield f"  {number}. {remedy.words} ({cost_words(remedy)})"
    for edit in remedy.edits:
        yield f"       {edit}"
    for change in remedy.changes:
        yield from wrapped(change_words(change, system), "       - ", "         ")


def cost_words(remedy: Remedy) -> str:
    """Say what a remedy costs, in words."""
    words = dict.fromkeys(COSTS[kind] for kind in remedy.kind.split(" + "))
    bought = [each for each in words if each != COSTS["move"]]
    return ", ".join(bought) or COSTS["move"]


def change_words(change: Change, system: str) -> str:
    """Say what becomes of a verdict in one line."""
    state = (
        f"{WORDS[change.before]} -> {WORDS[change.after]}"
        if change.before != change.after
        else f"still {WORDS[change.after]}"
    )
    if change.expected_before is None or change.expected_after is None:
        return f"{change.question}: {state}"
    before, after = (
        _shown(value, change.unit, system) for value in (change.expected_before, change.expected_after)
    )
    if change.id.startswith("uv-bracket:"):
        return f"{change.question}: {state}, travel needed {before} -> {after}"
    told = f"{change.question}: {state}, expected {before} -> {after}"
    if change.low_after is None or change.high_after is None:
        return told
    low, high = (_shown(value, change.unit, system) for value in (change.low_after, change.high_after))
    return f"{told}, could be {low} to {high}"


def _shown(value: float, unit: str, system: str) -> str:
    """A length or temperature in the user's units; else two digits where a tenth says nothing."""
    if unit in ("m", "K"):
        kind: Kind = "length" if unit == "m" else "temperature"
        return format_quantity(value, kind, "us" if system == "us" else "metric")
    return f"{value:.2f} {unit}" if value < 10 else f"{value:.0f} {unit}"
