"""Straight cuts that let a panel in: every piece goes through the opening and reaches its place, by a motion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.pieces import (
    SLIVER,
    CutKind,
    Line,
    Panel,
    Rectangle,
    Seam,
    in_one_piece,
    joined,
    kind_of,
    trimmed,
)
from sunfleck.geometry.passage.staged import Brought, Stage, WorldWith, stage_before

Floats = NDArray[np.float64]
Boxes = tuple[Rectangle, ...]

# A strip narrower than this is offcut, not a piece of a panel. Common practice, no source. [m]
NARROWEST = 0.05
# Free cuts are looked for at so many places along a panel, the middle first.
PLACES = 13
# Halvings of the range in which a cut works.
RANGE_STEPS = 5
# Cuts at most, and pieces asked about at most: counts, so that an answer is the same on every machine.
MOST_CUTS = 3
MOST_ASKED = 80
MOST_LAYOUTS = 400
# Even grids are looked at last, those of the fewest pieces first.
GRIDS = tuple(
    sorted(((m, n) for m in range(1, 6) for n in range(1, 6) if 4 <= m * n <= 12), key=lambda g: g[0] * g[1])
)
# Shares of a piece at which it is cut again where one cut does not do.
SHARES = ((1, 2), (1, 3), (2, 3))
# Layouts whose seams differ by less are one. [m]
ALIKE = 0.005


@dataclass(frozen=True, slots=True)
class Saw:
    """What a cut takes, and what stays open between the pieces.

    Attributes
    ----------
    kerf : float
        Width of the saw cut. [m]
    gap : float
        Sealing gap between the pieces at their place; the wider of both is what a seam takes. [m]
    edge : float
        Gap to be sealed at the walls, where a panel made to the inside size must be taken back to be
        turned upright; tried after cuts that need none. 0: never. [m]
    """

    kerf: float = 0.003
    gap: float = 0.003
    edge: float = 0.005

    @property
    def seam(self) -> float:
        """Width that a seam takes. [m]"""
        return max(self.kerf, self.gap)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a cut panel.

    Attributes
    ----------
    boxes : (k, 2, 3) float
        At its place, in the enclosure's coordinates. [m]
    brought : Brought
        The motion that brings it there.
    """

    boxes: Floats
    brought: Brought

    @property
    def size(self) -> Floats:
        """Extent along the enclosure's axes (3,), kerf and sealing gap taken off. [m]"""
        return np.asarray(self.boxes[:, 1].max(axis=0) - self.boxes[:, 0].min(axis=0))


@dataclass(frozen=True, slots=True)
class Proposal:
    """One way to cut a panel; each of its pieces goes in by a certified motion.

    Attributes
    ----------
    kind : str
        ``uncut`` (trimmed only), ``one cut``, ``parallel cuts``, ``T``, ``cross``, ``several cuts``.
    pieces : tuple of Piece
        In the order in which they are brought in.
    seams : tuple of Seam
        Where it is cut.
    edge : float
        What its edges are taken back from the walls beside it; 0: not at all. [m]
    clearance : float
        What surely stays free of the worst piece until it docks. [m]
    any_order : bool
        The pieces may be brought in in any order.
    anywhere : (float, float) or None
        Of one cut that nothing hides: it works anywhere from, to, along its axis. [m]
    """

    kind: CutKind
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    edge: float
    clearance: float
    any_order: bool
    anywhere: tuple[float, float] | None = None

    @property
    def seam_length(self) -> float:
        """How much there is to seal, without the edges at the walls. [m]"""
        return float(sum(seam.length for seam in self.seams))

    @property
    def in_sight(self) -> int:
        """How many of its cuts follow no line that was given."""
        return sum(not seam.reason for seam in self.seams)


@dataclass(frozen=True, slots=True)
class Cuts:
    """What was found.

    Attributes
    ----------
    proposals : tuple of Proposal
        The best first; none: ``no cut found`` with the effort below, which proves nothing.
    asked : int
        Pieces that were asked about.
    tried : int
        Ways to cut that were looked at.
    """

    proposals: tuple[Proposal, ...]
    asked: int
    tried: int


def cuts_for(
    panel: Panel,
    world: WorldWith,
    inside: ArrayLike,
    saw: Saw | None = None,
    clearance: float = 0.0,
    lines: Sequence[Line] = (),
    most: int = 5,
) -> Cuts:
    """Look for straight cuts with which a panel goes in.

    Parameters
    ----------
    panel : Panel
        At its final place, as it was ordered. [-]
    world : callable
        Returns the :class:`World` with the boxes (k, 2, 3) it is given standing there too. [m]
    inside : (3,) float
        Extent of the box inside. [m]
    saw : Saw, optional
        Kerf, sealing gap, and gap at the walls. [m]
    clearance : float
        What is to stay free until a piece docks; a piece whose own place leaves less is asked for with that. [m]
    lines : sequence of Line
        Where a cut is not seen or follows the relief. [-]
    most : int
        Proposals at most. [-]

    Returns
    -------
    cuts : Cuts
        Ranked: fewest cuts in sight, fewest pieces, nothing trimmed, clearance kept, shortest seam, most even
        pieces, fewest moves.

    Raises
    ------
    DomainError
        If the clearance, a width of the saw or an extent is no length.
    """
    saw = Saw() if saw is None else saw
    extent = np.asarray(inside, dtype=np.float64)
    widths = np.array([saw.kerf, saw.gap, saw.edge, clearance])
    if not bool((np.isfinite(widths) & (widths >= 0)).all()) or not bool((extent > 0).all()):
        msg = f"kerf, gaps and clearance must be zero or more, and the box must have extents; got {widths} and {extent} m"
        raise DomainError(msg)
    searches = [_Search(panel, world, extent, saw.seam, 0.0, clearance, lines)]
    if saw.edge > 0:
        back = trimmed(panel, extent, saw.edge)
        if not np.allclose(back.bounds, panel.bounds, rtol=0.0, atol=SLIVER):
            searches.append(_Search(back, world, extent, saw.seam, saw.edge, clearance, lines))
    found: list[Proposal] = [each for search in searches[1:] for each in search.uncut()]
    for cuts in range(1, MOST_CUTS + 1):
        for search in searches:
            found += search.hidden(cuts)
        for search in searches:
            if not any(each.kind != "uncut" for each in found):
                found += search.in_sight(cuts)
        if any(each.kind != "uncut" for each in found):
            break
    for columns, rows in GRIDS:
        for search in searches:
            if not any(each.kind != "uncut" for each in found):
                found += search.grid(columns, rows)
    ranked = sorted(found, key=_rank)[:most]
    by_edge = {search.edge: search for search in searches}
    proposals = tuple(by_edge[each.edge].with_range(each) for each in ranked)
    return Cuts(proposals, sum(search.asked for search in searches), sum(search.tried for search in searches))


def _rank(proposal: Proposal) -> tuple[float, ...]:
    sizes = [float(np.sort(piece.size)[1:].prod()) for piece in proposal.pieces]
    return (
        proposal.in_sight,
        len(proposal.pieces),
        proposal.edge,
        # A millimetre less to spare decides nothing.
        -round(proposal.clearance, 3),
        round(proposal.seam_length, 3),
        round(max(sizes) / sum(sizes), 3),
        sum(piece.brought.moves for piece in proposal.pieces),
        *(value for seam in proposal.seams for value in (seam.axis, seam.at)),
    )


class _Search:
    """Pieces of one panel that were asked about, so that none is asked about twice."""

    def __init__(
        self,
        panel: Panel,
        world: WorldWith,
        inside: Floats,
        seam: float,
        edge: float,
        clearance: float,
        lines: Sequence[Line],
    ) -> None:
        self.panel, self.seam, self.edge = panel, seam, edge
        self.stage: Stage = stage_before(panel, world, inside, clearance)
        self.lines = [line for line in lines if line.axis in panel.plane]
        self.asked = self.tried = 0
        self._known: dict[Rectangle, Brought | None] = {}

    def uncut(self) -> Iterator[Proposal]:
        """The panel as it is, where that goes in."""
        proposal = self._proposal((self.panel.rectangle,), ())
        if proposal is not None:
            yield proposal

    def hidden(self, cuts: int) -> Iterator[Proposal]:
        """Proposals with so many cuts, each along a line that was given."""
        yield from self._layouts(cuts, in_sight=False)

    def in_sight(self, cuts: int) -> Iterator[Proposal]:
        """Proposals with so many cuts of which one or more follow no line."""
        if cuts > 1:
            yield from self._layouts(cuts, in_sight=True)
            return
        for axis in self.panel.plane:
            yield from self._one_cut(axis)

    def _one_cut(self, axis: int) -> Iterator[Proposal]:
        """The most even free cut along one axis, and its mirror image where that works as well."""
        low, high = self._span(self.panel.rectangle, axis)
        middle, step = (low + high) / 2, (high - low) / (PLACES + 1)
        for ring in range((PLACES + 1) // 2):
            found = []
            for at in dict.fromkeys((middle - ring * step, middle + ring * step)):
                pieces, seam = self._cut(self.panel.rectangle, Line(axis, at, ""))
                proposal = self._proposal(pieces, (seam,)) if pieces else None
                found += [proposal] if proposal is not None else []
            if found:
                yield from found
                return

    def _layouts(self, cuts: int, *, in_sight: bool) -> Iterator[Proposal]:
        seen: set[tuple[tuple[int, ...], ...]] = set()
        for pieces, seams in self._cut_apart(self.panel.rectangle, cuts, in_sight=in_sight):
            key = tuple(sorted(tuple(round(end / ALIKE) for end in piece) for piece in pieces))
            if len(seams) != cuts or key in seen or self.tried >= MOST_LAYOUTS:
                continue
            seen.add(key)
            proposal = self._proposal(pieces, seams)
            if proposal is not None and (not in_sight or proposal.in_sight):
                yield proposal

    def _cut_apart(
        self, rectangle: Rectangle, cuts: int, *, in_sight: bool
    ) -> Iterator[tuple[Boxes, tuple[Seam, ...]]]:
        """Ways to cut a rectangle apart from edge to edge, again and again; what goes in is not cut further."""
        if cuts == 0 or (rectangle != self.panel.rectangle and self._goes(rectangle) is not None):
            yield (rectangle,), ()
            return
        for line in self._places(rectangle, in_sight=in_sight):
            halves, seam = self._cut(rectangle, line)
            if not halves:
                continue
            for fewer in range(cuts):
                for left, left_seams in self._cut_apart(halves[0], fewer, in_sight=in_sight):
                    for right, right_seams in self._cut_apart(halves[1], cuts - 1 - fewer, in_sight=in_sight):
                        yield (*left, *right), (seam, *left_seams, *right_seams)

    def _places(self, rectangle: Rectangle, *, in_sight: bool) -> Iterator[Line]:
        yield from self.lines
        if in_sight:
            for axis in self.panel.plane:
                low, high = self._span(rectangle, axis)
                # Pieces are even when the seams are taken off first.
                each = high - low + self.seam
                yield from (
                    Line(axis, low + each * part / parts - self.seam / 2, "") for part, parts in SHARES
                )

    def _span(self, rectangle: Rectangle, axis: int) -> tuple[float, float]:
        return rectangle[:2] if axis == self.panel.plane[0] else rectangle[2:]

    def _cut(self, rectangle: Rectangle, line: Line) -> tuple[Boxes, Seam]:
        """Two rectangles with the seam between them; none where one would be a strip or nothing."""
        low, high = self._span(rectangle, line.axis)
        across = self.panel.plane[1] if line.axis == self.panel.plane[0] else self.panel.plane[0]
        seam = Seam(line.axis, line.at, *self._span(rectangle, across), line.reason)
        first, last = line.at - self.seam / 2, line.at + self.seam / 2
        if first - low < NARROWEST or high - last < NARROWEST:
            return (), seam
        a, b, c, d = rectangle
        if line.axis == self.panel.plane[0]:
            return ((a, first, c, d), (last, b, c, d)), seam
        return ((a, b, c, first), (a, b, last, d)), seam

    def _goes(self, rectangle: Rectangle) -> Brought | None:
        """How the piece in a rectangle is brought in; what holds a piece that was not, is not asked about again."""
        if rectangle in self._known:
            return self._known[rectangle]
        boxes = self.panel.within(rectangle)
        stuck = any(answer is None and _holds(rectangle, known) for known, answer in self._known.items())
        if stuck or self.asked >= MOST_ASKED or not in_one_piece(boxes):
            return None
        self.asked += 1
        self._known[rectangle] = self.stage.brought(boxes)
        return self._known[rectangle]

    def _proposal(self, rectangles: Boxes, seams: tuple[Seam, ...]) -> Proposal | None:
        self.tried += 1
        # The largest is asked about first: where it does not go in, the others need not be.
        by_size = sorted(range(len(rectangles)), key=lambda k: -_area(rectangles[k]))
        how: dict[int, Brought] = {}
        for k in by_size:
            found = self._goes(rectangles[k])
            if found is None:
                return None
            how[k] = found
        brought = [how[k] for k in range(len(rectangles))]
        boxes = [self.panel.within(rectangle) for rectangle in rectangles]
        pieces = _in_order([Piece(b, each) for b, each in zip(boxes, brought, strict=True)], self.stage)
        if pieces is None:
            return None
        lines = joined(seams, self.seam)
        clearance = min(piece.brought.clearance for piece in pieces)
        any_order = all(piece.brought.any_order for piece in pieces)
        return Proposal(kind_of(lines), pieces, lines, self.edge, clearance, any_order)

    def with_range(self, proposal: Proposal) -> Proposal:
        """Say from where to where one cut in sight works: a smaller piece goes in as a larger one does."""
        if proposal.kind != "one cut" or not proposal.in_sight or not proposal.any_order:
            return proposal
        seam = proposal.seams[0]
        ends = []
        for which, end in enumerate(self._span(self.panel.rectangle, seam.axis)):
            works, fails = seam.at, end
            # The piece that grows as the cut moves towards this end is the other one.
            grows = 1 - which
            for _ in range(RANGE_STEPS):
                middle = (works + fails) / 2
                pieces, _unused = self._cut(self.panel.rectangle, Line(seam.axis, middle, ""))
                if pieces and self._as_free(pieces[grows], proposal.clearance):
                    works = middle
                else:
                    fails = middle
            ends.append(works)
        return replace(proposal, anywhere=(ends[0], ends[1]))

    def _as_free(self, rectangle: Rectangle, clearance: float) -> bool:
        boxes = self.panel.within(rectangle)
        self.asked += 1
        return in_one_piece(boxes) and self.stage.in_any_order(boxes, clearance) is not None

    def grid(self, columns: int, rows: int) -> Iterator[Proposal]:
        """The panel in even pieces, cut from edge to edge both ways."""
        a, b, c, d = self.panel.rectangle
        across, up = (b - a + self.seam) / columns, (d - c + self.seam) / rows
        first, second = self.panel.plane
        seams = [Seam(first, a + across * k - self.seam / 2, c, d, "") for k in range(1, columns)]
        seams += [Seam(second, c + up * k - self.seam / 2, a, b, "") for k in range(1, rows)]
        pieces = tuple(
            (a + across * i, a + across * (i + 1) - self.seam, c + up * k, c + up * (k + 1) - self.seam)
            for i in range(columns)
            for k in range(rows)
        )
        if min(across, up) - self.seam >= NARROWEST:
            proposal = self._proposal(pieces, tuple(seams))
            if proposal is not None:
                yield proposal


def _area(rectangle: Rectangle) -> float:
    return (rectangle[1] - rectangle[0]) * (rectangle[3] - rectangle[2])


def _holds(rectangle: Rectangle, other: Rectangle) -> bool:
    return bool(
        rectangle[0] <= other[0]
        and rectangle[1] >= other[1]
        and rectangle[2] <= other[2]
        and rectangle[3] >= other[3]
    )


def _in_order(pieces: Sequence[Piece], stage: Stage) -> tuple[Piece, ...] | None:
    """Lowest first, then the largest; one that must be first, first; None where two must be."""

    def easier(piece: Piece) -> tuple[float, ...]:
        low = piece.boxes[:, 0].min(axis=0)
        return (round(float(low[2]), 6), -float(piece.size.prod()), *low)

    free = sorted((piece for piece in pieces if piece.brought.any_order), key=easier)
    bound = sorted((piece for piece in pieces if not piece.brought.any_order), key=easier)
    if len(bound) <= 1:
        return (*bound, *free)
    if len(pieces) > 2:
        return None
    for first, second in permutations(bound):
        how = stage.after(second.boxes, first.boxes)
        if how is not None:
            return first, Piece(second.boxes, how)
    return None
