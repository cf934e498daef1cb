"""Cuts for a panel as lines for a terminal: where to saw, what each piece measures, in what order they go in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import isfinite

from sunfleck.geometry.passage.pieces import CutKind, Seam
from sunfleck.outputs.passage_start_words import held_words
from sunfleck.outputs.verdict_words import wrapped
from sunfleck.studies.passage.told import PartPassage
from sunfleck.studies.passage.told_cuts import CutPiece, CutProposal
from sunfleck.studies.passage.told_motion import ToldMove
from sunfleck.units import System, format_at_least, format_quantity

INDENT = " " * 15
# The two ends along each axis of the enclosure.
EDGES = (("left", "right"), ("front", "back"), ("lower", "top"))
KINDS: dict[CutKind, str] = {
    "uncut": "no cut, only smaller",
    "one cut": "one straight cut",
    "parallel cuts": "parallel cuts",
    "T": "two cuts like a T",
    "cross": "two cuts that cross",
    "several cuts": "several cuts",
}
# Proposals of which every piece's moves are told.
IN_FULL = 1


def cut_lines(part: PartPassage, units: System, move_words: Callable[[ToldMove], str]) -> Iterator[str]:
    """Yield the cuts that were looked for, if they were.

    Parameters
    ----------
    part : PartPassage
        The answer about one part. [-]
    units : str
        ``metric`` or ``us``. [-]
    move_words : callable
        Returns one move in words. [-]

    Yields
    ------
    line : str
        The best proposal in full, the others in short.
    """
    if part.cuts_asked is None:
        return
    if not part.cuts:
        yield from wrapped(
            f"no straight cut was found that {_better(part)}, which is no proof that there is none: "
            f"{_count(part.cuts_asked.ways, 'way')} to cut it and {_count(part.cuts_asked.pieces, 'piece')} were tried",
            INDENT, INDENT,
        )  # fmt: skip
        return
    first = part.cuts[0]
    yield ""
    standing = (
        f"past what stands: {', '.join(part.standing)}"
        if part.standing
        else "into the empty box, so before the rest"
    )
    yield from wrapped(
        f"CUT IT   tried, every piece goes in and reaches its place, {standing}; the best first", "", "  "
    )
    # What is told of the edges holds for any that is trimmed; each says whether it is.
    trimmed = next((each for each in part.cuts if each.edge), first)
    yield from wrapped(_taken(trimmed, units), "  ", "  ")
    for number, proposal in enumerate(part.cuts, 1):
        yield from _proposal(number, proposal, units, move_words, whole=number <= IN_FULL)
    if any(seam.reason.startswith("behind") for proposal in part.cuts for seam in proposal.seams):
        yield from wrapped(
            "behind something: looked at squarely onto the panel; from the side more of the seam may be seen",
            "  ", "  ",
        )  # fmt: skip


def _better(part: PartPassage) -> str:
    return "lets it in" if part.largest[0] < 0 else "leaves more free than the whole one has"


def _taken(proposal: CutProposal, units: System) -> str:
    kerf, gap, edge = (_sawn(x, units) for x in (proposal.kerf, proposal.gap, proposal.edge))
    own = "" if proposal.basis == "the plan's" else "; `fit: {kerf: .., seam: ..}` sets them"
    words = f"taken off at each cut: {kerf} for the saw or {gap} for the sealant, the wider of both ({proposal.basis}{own})"
    if proposal.edge:
        words += (
            f"; and where it says so {edge} at every edge beside a wall, to be sealed (common practice, no source): "
            "made to the inside size it cannot be stood upright"
        )
    return words


def _proposal(
    number: int,
    proposal: CutProposal,
    units: System,
    move_words: Callable[[ToldMove], str],
    *,
    whole: bool,
) -> Iterator[str]:
    seal = f", {format_quantity(proposal.seam_length, 'length', units, 0)} to seal" if proposal.seams else ""
    unseen = f", {_unseen(proposal)}" if proposal.seams else ""
    taken = f", {_sawn(proposal.edge, units)} taken off at its edges" if proposal.edge else ""
    head = f"{KINDS[proposal.kind]}{unseen}, {_count(len(proposal.pieces), 'piece')}{seal}{taken}"
    yield from wrapped(f"  {number}. {head}", "", "     ")
    for seam in proposal.seams:
        yield from wrapped(_seam(seam, proposal, units), "     ", "       ")
    if proposal.anywhere is not None:
        yield from wrapped(_anywhere(proposal, units), "     ", "       ")
    if whole:
        order = "in any order" if proposal.any_order else "in this order"
        through = f"through {proposal.pieces[0].way}" + (f", {proposal.done}" if proposal.done else "")
        if len({piece.way for piece in proposal.pieces}) > 1:
            through = "through " + " and ".join(dict.fromkeys(piece.way for piece in proposal.pieces))
        yield from wrapped(f"bring them in {order}, {through}:", "     ", "       ")
    for piece in proposal.pieces:
        yield from wrapped(_piece(piece, proposal, units, whole=whole), "     - ", "       ")
        if whole:
            yield from wrapped(held_words(piece.start), "         ", "         ")
            for k, move in enumerate(piece.moves, 1):
                yield from wrapped(f"{k}. {move_words(move)}", "         ", "            ")


def _unseen(proposal: CutProposal) -> str:
    if not proposal.hidden:
        return "in sight"
    # A line counts as hidden where most of it is; which share is told with it.
    return "partly hidden" if any("%" in seam.reason for seam in proposal.seams) else "hidden"


def _seam(seam: Seam, proposal: CutProposal, units: System) -> str:
    """Where to draw the line on the panel as it was ordered."""
    low = float(proposal.panel[0, seam.axis])
    edge = EDGES[seam.axis][0]
    across = next(axis for axis in range(3) if axis not in (seam.axis, proposal.normal))
    ends = EDGES[across]
    from_low = seam.first - float(proposal.panel[0, across])
    whole = seam.length > 0.95 * float(proposal.panel[1, across] - proposal.panel[0, across])
    run = f"from the {ends[0]} edge to the {ends[1]} edge"
    if not whole:
        begin, end = (_sawn(x, units) for x in (from_low, from_low + seam.length))
        run = f"from {begin} to {end} above the lower edge" if across == 2 else f"from {begin} to {end} from its {ends[0]} edge"  # fmt: skip  # noqa: E501
    why = f", {seam.reason}" if seam.reason else ""
    at = _sawn(seam.at - low, units)
    return f"saw {run}, {at} from its {edge} edge{why}"


def _anywhere(proposal: CutProposal, units: System) -> str:
    assert proposal.anywhere is not None
    seam = proposal.seams[0]
    low = float(proposal.panel[0, seam.axis])
    begin, end = (_sawn(at - low, units) for at in proposal.anywhere)
    return f"it works anywhere from {begin} to {end}: put it where it is seen least"


def _piece(piece: CutPiece, proposal: CutProposal, units: System, *, whole: bool) -> str:
    plane = [axis for axis in range(3) if axis != proposal.normal]
    sizes = " x ".join(_sawn(float(piece.size[axis]), units) for axis in (*plane, proposal.normal))
    words = f"{piece.name.rsplit(', ', 1)[-1]}: {_where(piece, proposal)}{sizes}"
    if not whole:
        return words
    if piece.mass is not None:
        words += f", {format_quantity(piece.mass, 'mass', units, 1)}"
    people = "one person" if piece.hands.people == 1 else f"{piece.hands.people} people"
    room = format_at_least(max(0.0, piece.certified), units)
    free = "it may touch" if piece.certified <= 0 else f"{room} free on every side"
    words += f"; {people}; {free} until it is set on its place"
    if isfinite(piece.fingers):
        words += f", {format_at_least(max(0.0, piece.fingers), units)} for a hand beside it in the opening"
    return words


def _where(piece: CutPiece, proposal: CutProposal) -> str:
    """Which of the pieces it is: ``the left one, ``."""
    if len(proposal.pieces) < 2:
        return ""
    low, high = proposal.panel
    words = []
    for axis in (2, 0, 1):
        if axis == proposal.normal or axis not in {seam.axis for seam in proposal.seams}:
            continue
        ends = (
            float(piece.boxes[:, 0, axis].min() - low[axis]),
            float(high[axis] - piece.boxes[:, 1, axis].max()),
        )
        at_ends = [end <= proposal.edge + 1e-6 for end in ends]
        if at_ends[0] != at_ends[1]:
            words.append(EDGES[axis][0 if at_ends[0] else 1])
        elif not at_ends[0]:
            words.append("middle")
    return f"the {' '.join(words)} one, " if words else ""


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _sawn(length: float, units: System) -> str:
    """A length to saw by: to a millimetre, or a hundredth of an inch; below a centimetre in millimetres."""
    if units == "metric" and length < 0.01:
        return f"{1000 * length:.1f}".removesuffix(".0") + " mm"
    return format_quantity(length, "length", units, 1 if units == "metric" else 2)
