"""Passage as lines for a terminal: verdicts, moves as a person makes them, proof and effort."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sunfleck.outputs.passage_cut_words import cut_lines
from sunfleck.outputs.passage_start_words import held_words, whole_degrees
from sunfleck.outputs.verdict_words import SIGNS, wrapped
from sunfleck.studies.passage.hands import Hands
from sunfleck.studies.passage.questions import state_of, words_of
from sunfleck.studies.passage.study import PassageReport
from sunfleck.studies.passage.told import CAUTIONS, NOT_LOOKED_AT, PartPassage
from sunfleck.studies.passage.told_motion import ToldMove
from sunfleck.units import System, format_at_least, format_quantity

# Shorter ways and smaller turns are not told. [m], [rad]
LEAST_WAY, LEAST_TURN = 0.005, 0.01
# What goes along an axis of the box is pushed. [cosine]
STRAIGHT = 0.98
WAYS = ((("left", "right"), 0), (("towards you", "to the back"), 1), (("down", "up"), 2))
EDGES = ("its long side", "its middle side", "its short side")
SEEN = ("the right", "the front", "above")
AXES = ("the line from left to right", "the line from front to back", "the upright")


def passage_text(report: PassageReport, system: str) -> str:
    """Return the passage of a plan as a person reads it.

    Parameters
    ----------
    report : PassageReport
        Every part.
    system : str
        ``metric`` or ``us``.

    Returns
    -------
    text : str
        Order of installation, what comes out again, what was not looked at.
    """
    return "\n".join(_report_lines(report, _units(system))) + "\n"


def part_text(part: PartPassage, system: str) -> str:
    """Return the passage of one part as a person reads it."""
    return "\n".join(_part_lines(part, _units(system), whole=True)) + "\n"


def carried_words(mass: float | None, hands: Hands, done: str, system: str) -> str:
    """Return what is done first, and who carries what, in sentences for a drawing: ``2 people, 14.2 kg.``"""
    people = "One person" if hands.people == 1 else f"{hands.people} people"
    weight = f", {format_quantity(mass, 'mass', _units(system), 1)}" if mass is not None else ""
    first = f"{done[0].upper()}{done[1:]}. " if done else ""
    return f"{first}{people}{weight}."


def move_words(move: ToldMove, system: str, *, outwards: bool = False) -> str:
    """Return one move in words: ``turn it 40 degrees about its long side``, ``push it 60 cm to the back``.

    Parameters
    ----------
    move : ToldMove
        In numbers.
    system : str
        ``metric`` or ``us``.
    outwards : bool
        Whether it is on its way out.

    Returns
    -------
    words : str
        An imperative.
    """
    units = _units(system)
    way = _way(move, units)
    if move.kind == "dock":
        set_down = "take it off its place" if outwards else "set it on its place"
        return f"{set_down}{': ' + way if way else ''}"
    if move.angle > LEAST_TURN and move.kind == "turn":
        about = EDGES[move.own_axis] if move.own_axis is not None else _about(move)
        turned = f"turn it {whole_degrees(move.angle)} about {about}{_sense(move)}"
        return f"{turned}, while it goes {way}" if way else turned
    straight = float(np.abs(move.shift).max()) > STRAIGHT * float(np.linalg.norm(move.shift))
    return f"{'push' if move.kind == 'push' and straight else 'shift'} it {way or 'no further'}"


def _report_lines(report: PassageReport, units: System) -> Iterator[str]:
    yield report.plan
    free, hand = (format_at_least(x, units) for x in (report.clearance, report.fingers))
    yield from wrapped(
        f"Asked: {free} free on every side while a part moves ({report.basis[0]}), and {hand} for a hand beside it in the "
        f"opening, on one side at least ({report.basis[1]})", "", "  ",
    )  # fmt: skip
    if not report.doors:
        yield ""
        yield "Nothing goes in: the plan has no door (`enclosure: {doors: [...]}`), and its `order` no face that is put on later."
    if report.parts:
        yield ""
        stated = (
            "as the plan states it, then as found" if report.stated else "as found; the first goes in first"
        )
        yield f"IN THIS ORDER   {stated}; soil is filled in when what is heavy stands"
        for number, part in enumerate(report.parts, 1):
            yield from _part_lines(part, units, number=number)
    for a, b in report.blocking:
        yield from wrapped(
            f"{a} and {b} block each other: as far as was tried, neither goes in past the other",
            "  - ",
            "    ",
        )
    if report.again:
        yield ""
        yield "OUT AGAIN   past everything planted, soil included"
        for part in report.again:
            yield from _part_lines(part, units)
    yield ""
    yield "NOT LOOKED AT"
    for line in (*report.left_out, *NOT_LOOKED_AT):
        yield from wrapped(line, "  - ", "    ")
    yield ""
    yield "CAUTION"
    for line in CAUTIONS:
        yield from wrapped(line, "  - ", "    ")


def _part_lines(
    part: PartPassage, units: System, *, number: int | None = None, whole: bool = False
) -> Iterator[str]:
    sentence, advice = words_of(part, units)
    head = f"{number}. " if number is not None else ""
    indent = " " * 15
    yield from wrapped(f"  {SIGNS[state_of(part)]}  {head}{part.name}: {sentence}", "", indent)
    if part.done and not part.handy:
        yield from wrapped(f"first: {part.done}", indent, indent)
    if part.goes:
        yield from wrapped(_carried(part, units), indent, indent)
        yield from _moves_lines(part, units, indent + "  ")
    elif whole:
        yield from wrapped(_carried(part, units), indent, indent)
    if part.blocked_by and whole:
        yield from wrapped(f"in its way: {', '.join(part.blocked_by)}", indent, indent)
    if advice:
        yield from wrapped(f"do: {advice}", indent, indent)
    if part.goes and part.largest[0] > part.asked:
        largest = format_at_least(part.largest[0], units)
        yield from wrapped(f"most that was found to stay free on every side: {largest}", indent, indent)
    if not part.goes and (whole or part.proof is not None):
        yield from wrapped(_how(part), indent, indent)
    for note in part.notes:
        yield from wrapped(f"taken: {note}", indent, indent)
    if whole:
        yield from wrapped(f"there stand already: {', '.join(part.standing) or 'nothing'}", indent, indent)
        if part.goes:
            yield from wrapped(f"found by: {part.method}", indent, indent)
        remarks = [("not looked at", line) for line in part.not_looked_at]
        for title, line in (*remarks, *(("caution", line) for line in CAUTIONS)):
            yield from wrapped(f"{title}: {line}", indent, indent)
        yield from cut_lines(part, units, lambda move: move_words(move, units))


def _moves_lines(part: PartPassage, units: System, indent: str) -> Iterator[str]:
    if part.start is not None:
        yield from wrapped(held_words(part.start), indent + "   ", indent + "   ")
    told = (move_words(move, units, outwards=part.direction == "out") for move in part.moves)
    for k, words in enumerate(told, 1):
        yield from wrapped(f"{k}. {words}", indent, indent + "   ")


def _carried(part: PartPassage, units: System) -> str:
    size = " x ".join(format_quantity(float(x), "length", units) for x in part.size)
    mass = (
        f"{format_quantity(part.mass, 'mass', units, 1)}, {part.mass_from}" if part.mass is not None else ""
    )
    hands = "one hand" if part.hands.hands == 1 else f"{part.hands.hands} hands"
    people = "one person" if part.hands.people == 1 else f"{part.hands.people} people"
    weight = mass or f"mass not known: {part.mass_from}"
    return f"{hands}, {people} ({part.hands.basis}); {size}; {weight}"


def _how(part: PartPassage) -> str:
    if part.proof is not None and part.proof["state"] == "proved":
        finest = part.proof["finest_half_turn_deg"]
        cells = f"{part.proof['cells']:,} cells, half of the finest one's turn {finest:.2g} degrees"
        return f"proof: {part.proof['method']}; {cells}"
    if part.verdict == "cannot go in":
        return f"proof: {part.method}"
    steps = " and ".join(f"{1000 * step:.0f} mm" for step in part.effort.steps)
    number = len(part.effort.seeds)
    searches = "a search" if number == 1 else f"{number} searches"
    return (
        f"tried: a straight push, few moves about each axis, {searches} of {part.effort.tries} draws in steps of {steps}, "
        f"{part.effort.cells:,} cells of all rotations and depths"
    )


def _way(move: ToldMove, units: System) -> str:
    parts = []
    for (back, forth), axis in WAYS:
        length = float(move.shift[axis])
        shown = format_quantity(abs(length), "length", units, 0 if units == "metric" else 1)
        # Half a centimetre is a way, half an inch as well; what is shown as nothing is none.
        if abs(length) >= LEAST_WAY and not shown.startswith("0 "):
            parts.append(f"{shown} {forth if length > 0 else back}")
    return " and ".join(parts)


def _about(move: ToldMove) -> str:
    along = int(np.argmax(np.abs(move.axis)))
    if abs(float(move.axis[along])) > 0.9:
        return AXES[along]
    return f"a slanted line nearest to {AXES[along]}"


def _sense(move: ToldMove) -> str:
    """Which way round, seen from where a person sees it, where it is turned about nearly an axis of the box."""
    along = int(np.argmax(np.abs(move.axis)))
    if abs(float(move.axis[along])) <= 0.9:
        return ""
    # The axis from front to back points away from who looks from the front.
    counter = (float(move.axis[along]) > 0) != (along == 1)
    return f", {'counter-clockwise' if counter else 'clockwise'} seen from {SEEN[along]}"


def _units(system: str) -> System:
    return "us" if system == "us" else "metric"
