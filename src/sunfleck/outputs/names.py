"""Names of what stands in the box, each in or next to the thing it names and in no other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.labels import GAP, Lettering, Spot, shortened
from sunfleck.outputs.outlines import bottom_of, fills, region_of
from sunfleck.outputs.regions import Box, crosses, gap, holds, inside, wider
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
FLAT = 1e-6  # [m]
NEXT_TO = 3.0 * GAP  # how far from its thing a name may stand [pt]
APART = 3.0  # wanted between a name and any other thing [pt]
ALONG = (0.5, 0.3, 0.7, 0.15, 0.85)
AROUND = ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1))


@dataclass(frozen=True)
class _Thing:
    """An outline and what it covers on the page, in pixels."""

    outline: Outline
    region: NDArray[np.float64]
    line: bool
    outside: bool

    def inside_of(self, other: _Thing) -> bool:
        return not other.line and bool(holds(other.region, self.region).all())


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
    return [
        thing.outline.label
        for thing in labelled
        if not _name(thing, [other for other in things if other is not thing], bottom, lettering, theme)
    ]


def _thing(outline: Outline, bottom: float, lettering: Lettering) -> _Thing:
    region = region_of(outline, bottom)
    on_page = lettering.ax.transData.transform(region)
    left, low, right, top = lettering.frame or lettering.whole
    (x0, y0), (x1, y1) = on_page.min(axis=0), on_page.max(axis=0)
    beyond = bool(x0 >= right or x1 <= left or y0 >= top or y1 <= low)
    line = bool(np.ptp(region, axis=0).min() < FLAT)
    # A door or vent lies on the frame; only a lamp hangs outside it.
    return _Thing(outline, on_page, line, outside=beyond and outline.kind == "lamp")


def _name(thing: _Thing, others: list[_Thing], bottom: float, lettering: Lettering, theme: Theme) -> bool:
    """Write one name: with room around it, else closer, else within what its thing stands in."""
    outline = thing.outline
    words, ink = shortened(outline.label), theme.ink if outline.cut else theme.quiet
    frame = lettering.whole if thing.outside else None
    for apart, nested in ((APART, False), (0.0, False), (0.0, True)):
        for spots, within in _tries(outline, bottom, outside=thing.outside):

            def accept(box: Box, apart: float = apart, nested: bool = nested, within: bool = within) -> bool:
                if not _reads_as(box, thing, lettering, within=within):
                    return False
                around = wider(box, lettering.pixels(apart))
                return not any(
                    crosses(around, other.region)
                    for other in others
                    if not _overlooked(other, thing, box, nested=nested)
                )

            if lettering.place(words, spots, SMALL, ink, theme.paper, accept=accept, frame=frame):
                return True
    return False


def _reads_as(box: Box, thing: _Thing, lettering: Lettering, *, within: bool) -> bool:
    """Whether a name's box is in or next to its thing, and on the same side of the walls."""
    if within:
        return inside(box, thing.region)
    if thing.outside:
        left, low, right, top = lettering.frame or lettering.whole
        if box[0] < right and left < box[2] and box[1] < top and low < box[3]:
            return False
    return gap(box, thing.region) <= lettering.pixels(NEXT_TO)


def _overlooked(other: _Thing, thing: _Thing, box: Box, *, nested: bool) -> bool:
    """Whether a name may lie over another thing without being read as its name."""
    if other.line:
        return True
    if not other.outline.cut:
        # A panel behind everything is a wall; what a cut block hides is not there to be read.
        if other.outline.kind == "background":
            return True
        if fills(thing.outline) and inside(box, thing.region):
            return True
    return nested and thing.inside_of(other)


def _tries(outline: Outline, bottom: float, *, outside: bool) -> Iterator[tuple[list[Spot], bool]]:
    """Yield lists of places, best first, and whether a name must lie inside its thing there."""
    beside = _around(outline, outside=outside)
    if outline.kind in NAMED_INSIDE:
        yield _within(region_of(outline, bottom)), True
    yield beside, False


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
        spots += [Spot(cx, cy, 0.0, up) for cx, cy in _core(outline.xy) for up in (1.0, -1.0)]
    spots += [Spot(x + right * half[0], y + up * half[1], right, up) for right, up in AROUND]
    spots += [
        Spot(low[0] + part * 2 * half[0], y + up * half[1], 0.0, up) for part in ALONG for up in (1.0, -1.0)
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
