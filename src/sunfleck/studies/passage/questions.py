"""Does every part go through the door, and what needs service out again? One verdict for all, one for each that does not."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from sunfleck.plan.rules.names import slug
from sunfleck.studies.passage.cutting import is_sawn
from sunfleck.studies.passage.order import FREED
from sunfleck.studies.passage.study import PassageReport
from sunfleck.studies.passage.told import PartPassage
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import State
from sunfleck.studies.trace import Number, Step
from sunfleck.units import System, format_at_least, format_quantity

BOX, BOX_KEY = "the box", "box"
# Names in a sentence; more are told by their number.
MOST_NAMED = 4
# Less than this to spare is told as touching. [m]
HAIR = 5e-4
PLACE = "the final place itself is too small"


@dataclass
class Asked:
    """A question about all parts, as :class:`sunfleck.studies.subjects.Question`."""

    ID: str
    SUBJECT: str
    LACKS: str


GOES_IN = Asked("passage", "passage", "the plan has no door, or nothing that goes in through one")
COMES_OUT = Asked(
    "passage-out", "passage", "the plan has no door, or no lamp, hide, bowl or pot in it that needs service"
)
QUESTIONS = (GOES_IN, COMES_OUT)


def told_only_where_short(id_: str) -> bool:
    """Whether a verdict is given only where it does not meet: that it is gone is good news."""
    question, _, key = id_.partition(":")
    return question in {asked.ID for asked in QUESTIONS} and key != BOX_KEY


def verdicts_of(report: PassageReport) -> tuple[Verdict, ...]:
    """What a plan's passage comes to.

    Parameters
    ----------
    report : PassageReport
        Every part.

    Returns
    -------
    verdicts : tuple of Verdict
        Of going in, then of coming out again: one for the box, and one for each part that does not meet. None where
        nothing was asked.
    """
    units: System = "us" if report.show_units == "us" else "metric"
    found: list[Verdict] = []
    for asked, parts in ((GOES_IN, report.parts), (COMES_OUT, report.again)):
        if parts:
            found.append(_of_all(asked, report, parts, units))
            found += [_of_one(asked, part, units) for part in parts if state_of(part) != "meets"]
    return tuple(found)


def state_of(part: PartPassage) -> State:
    """What its answer is as a verdict: no room for a hand is short, too."""
    if part.goes and part.within:
        return "unknown"
    if part.goes:
        return "meets" if part.handy else "short"
    return "short" if part.verdict == "cannot go in" else "unknown"


def _of_all(asked: Asked, report: PassageReport, parts: Sequence[PartPassage], units: System) -> Verdict:
    id_, inwards = f"{asked.ID}:{BOX_KEY}", asked is GOES_IN
    states = [state_of(part) for part in parts]
    state: State = "short" if "short" in states else "unknown" if "unknown" in states else "meets"
    free = format_at_least(report.clearance, units)
    count = f"all {len(parts)} parts" if len(parts) > 1 else parts[0].name
    advice = ""
    if state == "meets":
        if inwards:
            sentence = f"{count} {'go' if len(parts) > 1 else 'goes'} in with {free} free on every side"
            if len(parts) > 1:
                advice = f"in this order: {', '.join(part.name for part in parts)}"
        else:
            names = ", ".join(part.name for part in parts)
            sentence = (
                f"{'each comes' if len(parts) > 1 else 'it comes'} out past everything planted: {names}"
            )
        first = dict.fromkeys(part.done for part in parts if part.done)
        for done in first:
            names = ", ".join(part.name for part in parts if part.done == done)
            sentence += f"; {done}: {names}"
    else:
        wrong = [part.name for part, each in zip(parts, states, strict=True) if each != "meets"]
        listed = ", ".join(wrong[:MOST_NAMED]) + (
            f" and {len(wrong) - MOST_NAMED} more" if len(wrong) > MOST_NAMED else ""
        )
        sure = "not" if state == "short" else "as far as was tried not"
        sentence = f"{len(parts) - len(wrong)} of {len(parts)} {'go in' if inwards else 'come out'}; {sure}: {listed}"
        if inwards and report.blocking:
            pairs = "; ".join(f"{a} and {b} block each other as far as was tried" for a, b in report.blocking)
            sentence += f"; {pairs}"
    question = "through the door, every part" if inwards else "out again, what needs service"
    return Verdict(
        id_,
        question,
        BOX,
        state,
        sentence,
        "",
        tuple(_numbers(id_, report.clearance, report.basis[0])),
        advice,
    )


def _of_one(asked: Asked, part: PartPassage, units: System) -> Verdict:
    inwards = asked is GOES_IN
    question = f"{'through the door' if inwards else 'out again'}, {part.name}"
    sentence, advice = words_of(part, units)
    id_ = f"{asked.ID}:{_key(part)}"
    numbers = tuple(_numbers(id_, part.asked, "asked"))
    return Verdict(id_, question, BOX, state_of(part), sentence, "", numbers, advice)


def words_of(part: PartPassage, units: System) -> tuple[str, str]:
    """An answer as a sentence, and what to do.

    Parameters
    ----------
    part : PartPassage
        The answer.
    units : str
        ``metric`` or ``us``.

    Returns
    -------
    sentence, advice : str
        The second "" where nothing is to be done.
    """
    inwards = part.direction == "in"
    go = "goes in" if inwards else "comes out"
    free = format_at_least(part.asked, units)
    remedies = "; or ".join((*part.remedies, *_cutting(part)))
    if part.goes and part.within:
        return (
            f"{go} if there were room for it: {part.within}",
            "move one of the two, or draw it as it is cut",
        )
    if part.goes and part.handy:
        first = f", {part.done}" if part.done else ""
        return f"{go} through {part.way}{first}, {free} free on every side", ""
    if part.goes:
        room = format_at_least(max(0.0, part.fingers), units)
        wanted = format_quantity(part.fingers_asked, "length", units)
        sentence = (
            f"{go} through {part.way}, but leaves {room} beside it for a hand where {wanted} are wanted"
        )
        return sentence, "push it by its end or hang it in straps, and say so: `fit: {fingers: 0 mm}`"
    if part.verdict == "cannot go in":
        if part.largest[0] >= 0:
            largest = format_at_least(part.largest[0], units)
            with_ = _with(part.largest[0], units)
            why = ", which its place itself does not leave" if part.reason == PLACE else ""
            sentence = f"{go} {with_}, not with the {free} asked{why}: that is proved"
            less = f"accept less room: `fit: {{clearance: {largest}}}`"
            return sentence, "; or ".join((remedies or _smaller(part, units), less))
        if part.reason == PLACE:
            sentence = f"its place itself is too small for it: that is proved, with {free} free on every side"
            smaller = "order it smaller, or make room where it is to stand"
            return sentence, "; or ".join((smaller, *_cutting(part)))
        kept = f"with {free} kept free on every side" if part.proved_with > 0 else "even if it touches"
        sentence = (
            f"cannot {'go in' if inwards else 'come out'}, however it is turned, {kept}: that is proved"
        )
        return sentence, remedies or "order it in two pieces"
    if part.blocked_by:
        sentence = (
            f"no way {'in' if inwards else 'out'} was found past {', '.join(part.standing)}; it {go} without "
        )
        return sentence + " or without ".join(
            part.blocked_by
        ), remedies or "put it in first, or move one of the two"
    sentence = f"no way {'in' if inwards else 'out'} was found, which is no proof that there is none"
    if part.standing:
        sentence += f"; there stand: {', '.join(part.standing)}"
    if part.largest[0] >= 0:
        sentence += f"; {_with(part.largest[0], units)} it {go}"
    command = f"`sunfleck passage PLAN {_typed(part)} --template FOLDER`"
    return sentence, remedies or f"try it with cardboard: {command} draws it at full size"


def _with(room: float, units: System) -> str:
    return f"with {format_at_least(room, units)} free on every side" if room >= HAIR else "touching"


def _smaller(part: PartPassage, units: System) -> str:
    """How much smaller, where its own place is what leaves too little and a joint can be filled."""
    if part.reason != PLACE or not is_sawn(part.group, part.size):
        return "order it so much smaller"
    joint = format_quantity(ceil(1000 * (part.asked + FREED) - 1e-6) / 1000, "length", units)
    return f"order it with {joint} free at each edge beside a wall, a joint that is filled"


def _cutting(part: PartPassage) -> tuple[str, ...]:
    """A panel or a board may be cut: which command tells how, where it was not asked yet."""
    if part.direction != "in" or not is_sawn(part.group, part.size):
        return ()
    if part.cuts_asked is None:
        return (f"cut it: `sunfleck passage PLAN {_typed(part)}` proposes where",)
    return ("cut it, as below",) if part.cuts else ()


def _key(part: PartPassage) -> str:
    """What tells a part's verdict from the others; a part that is called as the whole box is gets a name no slug has."""
    key = slug(part.name)
    return f"{key}/part" if key == BOX_KEY else key


def _typed(part: PartPassage) -> str:
    """Its name as it is typed in a command."""
    if slug(part.name) == part.name:
        return part.name
    return shlex.quote(part.name) if set(part.name) & set('"$`\\!') else f'"{part.name}"'


def _numbers(id_: str, clearance: float, basis: str) -> Iterator[Number]:
    step = Step(
        "what must stay free on every side while a part moves", clearance, "m", "given", (), basis,
        "common practice" if "common" in basis else "given",
    )  # fmt: skip
    yield Number(f"{id_}.clearance", step.label, clearance, "m", lambda: step)
