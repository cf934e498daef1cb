"""Names of what stands in the box, each in or next to the thing it names and in no other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.labels import GAP, Lettering, Spot, shortened
from sunfleck.outputs.outlines import bottom_of, fills, region_of
from sunfleck.outputs.regions import Box, crosses, gap, holds, inside, overlap, wider
from sunfleck.outputs.themes import SMALL, Theme

if TYPE_CHECKING:
    from sunfleck.studies.slices import Outline

# What a reader looks for first gets its name first.
NAMED_FIRST = (
    "lamp",
    "perch",
    "animal",
    "ledge",
    "hide",
    "plant",
    "background",
    "vent",
    "door",
    "substrate",
    "wall",
)
# Things large enough that a name inside them is read as theirs.
NAMED_INSIDE = ("ledge", "hide", "plant", "background", "substrate")
# Things so long and thin that a name upon them is read as theirs, whatever else shows faintly there.
NAMED_UPON = ("lamp", "perch")
FLAT = 1e-6  # [m]
NEXT_TO = 3.0 * GAP  # how far from its thing a name may stand [pt]
APART = 3.0  # wanted between a name and any other thing [pt]
PLATE = 0.92  # how much a name's plate hides: a quiet name must be read on the brightest field too
ALONG = (0.5, 0.3, 0.7, 0.15, 0.85)
AROUND = ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1))


@dataclass(frozen=True, slots=True)
class _Leave:
    """How strictly a name keeps clear of other things: room around it [pt], and what it may lie over."""

    apart: float
    nested: bool = False
    faint_below: bool = False
    faint: bool = False


# Tried in turn. Faint things give way last, and only to a name that cannot be read as theirs: one
# written upon its own thing, or the strong name of something that is cut.
LEAVES = (
    _Leave(APART),
    _Leave(0.0),
    _Leave(0.0, nested=True),
    _Leave(0.0, nested=True, faint_below=True),
    _Leave(0.0, nested=True, faint_below=True, faint=True),
)


@dataclass(frozen=True)
class _Thing:
    """An outline and what it covers on the page, in pixels; `bounds` is the box round it."""

    outline: Outline
    region: NDArray[np.float64]
    bounds: Box
    line: bool
    outside: bool

    def inside_of(self, other: _Thing) -> bool:
        return not other.line and bool(holds(other.region, self.region).all())

    def below(self, box: Box) -> bool:
        """Whether a name's middle lies on this and something of this shows beside the name."""
        middle = np.array([[(box[0] + box[2]) / 2, (box[1] + box[3]) / 2]])
        covered = (self.region >= box[:2]).all() and (self.region <= box[2:]).all()
        return bool(holds(self.region, middle)[0]) and not covered


def name_outlines(outlines: Iterable[Outline], lettering: Lettering, theme: Theme) -> list[str]:
    """Write the names in or next to what they belong to, those the cut passes through first.

    Parameters
    ----------
    outlines : iterable of Outline
        What to name; one without a label gets none.
    lettering : Lettering
        Finds free places; its frame is the box.
    theme : Theme
        Colours.

    Returns
    -------
    unnamed : list of str
        Those for which no place was free.
    """
    drawn = [outline for outline in outlines if len(outline.xy)]
    bottom = bottom_of(drawn)
    things = [_thing(each, bottom, lettering) for each in drawn if each.kind != "wall"]
    labelled = [thing for thing in things if thing.outline.label]
    labelled.sort(key=lambda thing: (not thing.outline.cut, NAMED_FIRST.index(thing.outline.kind)))
    unnamed = [
        thing.outline.label
        for thing in labelled
        if not _name(thing, [other for other in things if other is not thing], bottom, lettering, theme)
    ]
    # No number of a line is to stand on a lamp afterwards.
    lettering.taken += [thing.bounds for thing in things if thing.outline.kind == "lamp"]
    return unnamed


def _thing(outline: Outline, bottom: float, lettering: Lettering) -> _Thing:
    region = region_of(outline, bottom)
    on_page = lettering.ax.transData.transform(region)
    left, low, right, top = lettering.frame or lettering.whole
    x0, y0, x1, y1 = _bounds(on_page)
    beyond = bool(x0 >= right or x1 <= left or y0 >= top or y1 <= low)
    line = bool(np.ptp(region, axis=0).min() < FLAT)
    # A door or vent lies on the frame; only a lamp hangs outside it.
    return _Thing(outline, on_page, (x0, y0, x1, y1), line, outside=beyond and outline.kind == "lamp")


def _bounds(region: NDArray[np.float64]) -> Box:
    (left, low), (right, top) = region.min(axis=0), region.max(axis=0)
    return (float(left), float(low), float(right), float(top))


def _name(thing: _Thing, others: list[_Thing], bottom: float, lettering: Lettering, theme: Theme) -> bool:
    """Write one name at the first place that keeps clear of other things, strictly at first."""
    outline = thing.outline
    words, ink = shortened(outline.label), theme.ink if outline.cut else theme.quiet
    frame = lettering.whole if thing.outside else None
    stands_in = {id(other) for other in others if thing.inside_of(other)}
    for leave in LEAVES:
        for spots, within in _tries(outline, bottom, outside=thing.outside):

            def accept(box: Box, leave: _Leave = leave, within: bool = within) -> bool:
                if not _reads_as(box, thing, lettering, within=within):
                    return False
                around = wider(box, lettering.pixels(leave.apart))
                return not any(
                    overlap(around, other.bounds)
                    and not (leave.nested and id(other) in stands_in)
                    and not _overlooked(other, thing, box, leave)
                    and crosses(around, other.region)
                    for other in others
                )

            if lettering.place(words, spots, SMALL, ink, theme.paper, PLATE, accept, frame):
                return True
    return False


def _reads_as(box: Box, thing: _Thing, lettering: Lettering, *, within: bool) -> bool:
    """Whether a name's box is in or next to its thing, and on the same side of the walls."""
    if within:
        return inside(box, thing.region)
    if thing.outside and overlap(box, lettering.frame or lettering.whole):
        return False
    return gap(box, thing.region) <= lettering.pixels(NEXT_TO)


def _overlooked(other: _Thing, thing: _Thing, box: Box, leave: _Leave) -> bool:
    """Whether a name may lie over another thing without being read as its name."""
    if other.line:
        return True
    if not other.outline.cut:
        # A panel behind everything is a wall; what a cut block hides is not there to be read.
        if other.outline.kind == "background":
            return True
        if fills(thing.outline) and inside(box, thing.region):
            return True
        thin = thing.outline.kind in NAMED_UPON or thing.outline.cut
        if leave.faint_below and thin and thing.below(box):
            return True
        if leave.faint and thing.outline.cut and not thing.line:
            return True
    return False


def _tries(outline: Outline, bottom: float, *, outside: bool) -> Iterator[tuple[list[Spot], bool]]:
    """Yield lists of places, best first, and whether a name must lie inside its thing there."""
    over = _within(region_of(outline, bottom)) if outline.kind in NAMED_INSIDE else []
    yield over, True
    yield _around(outline, outside=outside), False
    # Upwards only where nothing else is left: a reader's head need not turn.
    yield [replace(spot, turned=True) for spot in over], True


def _within(region: NDArray[np.float64]) -> list[Spot]:
    """Return places over a region, its middle first."""
    low, size = region.min(axis=0), np.ptp(region, axis=0)
    shares = sorted(
        ((across, up) for across in ALONG for up in ALONG), key=lambda at: abs(at[0] - 0.5) + abs(at[1] - 0.5)
    )
    return [Spot(low[0] + across * size[0], low[1] + up * size[1]) for across, up in shares]


def _around(outline: Outline, *, outside: bool) -> list[Spot]:
    """Return places beside an outline, then along it."""
    low, high = outline.xy.min(axis=0), outline.xy.max(axis=0)
    x, y = (low + high) / 2
    half = (high - low) / 2
    if half.min() < FLAT:
        # A name at the end of a door would be read as its neighbour's.
        level = half[0] >= half[1]
        ways = [(0.0, 1.0), (0.0, -1.0)] if level else [(1.0, 0.0), (-1.0, 0.0)]
        points = [(low[0] + part * 2 * half[0], low[1] + part * 2 * half[1]) for part in ALONG]
        return [Spot(px, py, right, up) for px, py in points for right, up in ways]
    spots = []
    if outline.kind == "perch":
        spots += [Spot(cx, cy, 0.0, up) for up in (1.0, -1.0, 0.0) for cx, cy in _core(outline.xy)]
    spots += [Spot(x + right * half[0], y + up * half[1], right, up) for right, up in AROUND]
    spots += [
        Spot(low[0] + part * 2 * half[0], y + up * half[1], 0.0, up) for part in ALONG for up in (1.0, -1.0)
    ]
    spots += [
        Spot(x + right * half[0], low[1] + part * 2 * half[1], right, 0.0)
        for part in ALONG
        for right in (-1.0, 1.0)
    ]
    spots += [Spot(low[0] + part * 2 * half[0], y, 0.0, up) for part in ALONG for up in (0.0, 1.0, -1.0)]
    if outside:
        spots += [Spot(x + right * half[0], y, right, 0.0, turned=True) for right in (1.0, -1.0)]
    return spots


def _core(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return points along a limb whose outline runs up one side and back along the other."""
    half = len(xy) // 2
    if half < 1:
        return xy
    core = (xy[:half] + xy[::-1][:half]) / 2
    steps = np.linalg.norm(np.diff(core, axis=0), axis=1)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.array(ALONG) * way[-1]
    return np.stack([np.interp(at, way, core[:, k]) for k in (0, 1)], axis=1)
