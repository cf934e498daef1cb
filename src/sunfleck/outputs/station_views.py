"""The box with its numbered stations as line drawings that any printer prints."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.labels import Lettering, Spot, shortened
from sunfleck.outputs.names import name_outlines
from sunfleck.outputs.outlines import bottom_of, region_of
from sunfleck.outputs.page import POINTS, quiet_axes
from sunfleck.outputs.regions import Box, overlap
from sunfleck.outputs.scales import Ruler
from sunfleck.outputs.themes import LIGHT, SMALL

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from sunfleck.studies.meter.sheet_views import SheetView
    from sunfleck.studies.slices import Outline

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Ink:
    """How a kind of thing is printed: width and dashes of its line [pt], and how dark it is filled."""

    width: float
    grey: float | None = None
    dashes: tuple[float, ...] | None = None
    order: float = 2.0


# Told apart by pattern and grey, for a printer without colours.
INKS = {
    "background": _Ink(0.6, 0.93, order=1.0),
    "substrate": _Ink(0.8, 0.88, order=1.2),
    "plant": _Ink(0.6, None, (1.0, 2.0), order=1.5),
    "ledge": _Ink(0.8, 0.82, order=2.0),
    "hide": _Ink(0.8, None, (5.0, 2.5), order=2.2),
    "perch": _Ink(0.8, 0.80, order=2.5),
    "vent": _Ink(2.2, None, (1.2, 1.2), order=3.2),
    "door": _Ink(1.4, None, (6.0, 2.0), order=3.0),
    "lamp": _Ink(0.8, 0.25, order=2.8),
    "wall": _Ink(1.6, order=3.5),
}
PRINT = replace(LIGHT, paper="white", ink="black", quiet="0.25")
BADGE = 10.5  # type of a number [pt]
ROUND = 8.0  # radius of its disc [pt]
AWAY = (14.0, 20.0, 27.0, 36.0, 48.0, 62.0)  # from its point [pt]
TURNS = 16
DOT = 2.2  # radius of the point itself [pt]
ROOM = 0.27  # beside the box, for numbers that find no room in it [in]
NAMED = ("lamp", "perch", "ledge", "hide", "plant", "door")


def extent(view: SheetView) -> tuple[Floats, Floats]:
    """Return the corners of all that a view shows. [m]"""
    points = np.concatenate([outline.xy for outline in view.outlines if len(outline.xy)])
    points = np.concatenate([points, *(place[None, :] for _, place in view.marks)])
    return points.min(axis=0), points.max(axis=0)


def draw_view(ax: Axes, view: SheetView, ruler: Ruler, metre: float) -> list[str]:
    """Draw a view on axes that are in place, and return the names that found no room.

    Parameters
    ----------
    ax : Axes
        As large as the extent asks for, with `ROOM` on every side.
    view : SheetView
        What to draw.
    ruler : Ruler
        The user's units.
    metre : float
        How long a metre is on the page. [in]

    Returns
    -------
    unnamed : list of str
        Names that found no room.
    """
    low, high = extent(view)
    (x0, y0), (x1, y1) = low - ROOM / metre, high + ROOM / metre
    quiet_axes(ax, PRINT)
    ax.set_xlim(x0, x1)
    ax.set_ylim(y0, y1)
    walls = np.concatenate([o.xy for o in view.outlines if o.kind == "wall"])
    across, up = (ruler.ticks(float(walls[:, k].min()), float(walls[:, k].max())) for k in (0, 1))
    ax.set_xticks(across, [f"{value * ruler.metre:g}" for value in across])
    ax.set_yticks(up, [f"{value * ruler.metre:g}" for value in up])
    # Numbers at the wall itself, whatever is kept free around it.
    below = (walls[:, 1].min() - y0) * metre * POINTS
    beside = (walls[:, 0].min() - x0) * metre * POINTS
    ax.tick_params(axis="x", length=0, pad=3.0 - below)
    ax.tick_params(axis="y", length=0, pad=3.0 - beside)
    # And the name of the level direction next to its numbers, which are one line high.
    pad = 2.0 - max(below - 12.0, 0.0)
    ax.set_xlabel(f"{view.across_label} ({ruler.unit})", fontsize=SMALL, color=PRINT.quiet, labelpad=pad)
    ax.set_ylabel(f"{view.up_label} ({ruler.unit})", fontsize=SMALL, color=PRINT.quiet, labelpad=2)
    for lines, along, ends in ((ax.vlines, across, walls[:, 1]), (ax.hlines, up, walls[:, 0])):
        lines(along, ends.min(), ends.max(), color="0.8", linewidth=0.4, zorder=0.5)
    _things(ax, view.outlines)
    (left, bottom), (right, top) = ax.transData.transform(np.array([walls.min(axis=0), walls.max(axis=0)]))
    lettering = Lettering(ax, frame=(float(left), float(bottom), float(right), float(top)))
    _marks(ax, view.marks, lettering)
    # A door one looks through is no thing among others: its name stands in its corner, over what shows behind it.
    panes = [outline for outline in view.outlines if outline.kind == "door" and outline.closed]
    others = [outline for outline in view.outlines if outline.kind in NAMED and outline not in panes]
    unnamed = name_outlines([*others, *(o for o in view.outlines if o.kind == "wall")], lettering, PRINT)
    return unnamed + [pane.label for pane in panes if not _name_pane(pane, lettering)]


def _name_pane(pane: Outline, lettering: Lettering) -> bool:
    (x0, y0), (x1, y1) = pane.xy.min(axis=0), pane.xy.max(axis=0)
    spots = [Spot(x0, y1, 1, -1), Spot(x1, y1, -1, -1), Spot(x0, y0, 1, 1), Spot(x1, y0, -1, 1)]
    spots += [Spot(x0, y0 + share * (y1 - y0), 1, 0) for share in (0.8, 0.6, 0.4, 0.2)]
    return lettering.place(shortened(pane.label), spots, SMALL, PRINT.ink, PRINT.paper)


def _things(ax: Axes, outlines: Iterable[Outline]) -> None:
    from matplotlib.patches import Polygon  # noqa: PLC0415  # an extra

    drawn = [outline for outline in outlines if len(outline.xy)]
    bottom = bottom_of(drawn)
    for outline in drawn:
        ink = INKS.get(outline.kind, INKS["ledge"])
        filled = ink.grey is not None
        shape = Polygon(
            region_of(outline, bottom) if filled else outline.xy,
            closed=outline.closed or filled,
            fill=filled,
            facecolor=str(ink.grey) if filled else "none",
            edgecolor="black",
            linewidth=ink.width,
            linestyle=(0.0, tuple(part / ink.width for part in ink.dashes)) if ink.dashes else "-",
            joinstyle="round",
        )
        shape.set_zorder(ink.order)
        shape.set_clip_on(outline.kind not in ("wall", "door", "vent"))
        ax.add_patch(shape)


def _marks(ax: Axes, marks: Sequence[tuple[int, Floats]], lettering: Lettering) -> None:
    """A dot where each station is, and its number in a disc beside it, no disc on another or on a dot."""
    on_page = {number: ax.transData.transform(place) for number, place in marks}
    dot = lettering.pixels(DOT + 1.0)
    dots = [_square(place, dot) for place in on_page.values()]
    for number, place in marks:
        at = on_page[number]
        spot = _free_spot(at, [*dots, *lettering.taken], lettering)
        x, y = ax.transData.inverted().transform(spot)
        ax.plot([place[0], x], [place[1], y], color="black", linewidth=0.7, zorder=8.0, solid_capstyle="butt")
        ax.plot(
            [place[0]], [place[1]], "o", markersize=2 * DOT, color="black", markeredgecolor="white",
            markeredgewidth=0.6, zorder=8.6,
        )  # fmt: skip
        ax.plot(
            [x], [y], "o", markersize=2 * ROUND, markerfacecolor="white", markeredgecolor="black",
            markeredgewidth=1.1, zorder=8.2,
        )  # fmt: skip
        ax.text(
            x, y, f"{number}", fontsize=BADGE if number < 10 else BADGE - 2, fontweight="bold", color="black",
            ha="center", va="center_baseline", zorder=8.4,
        )  # fmt: skip
        lettering.taken.append(_square(spot, lettering.pixels(ROUND)))
    lettering.taken += dots


def _free_spot(at: Floats, taken: list[Box], lettering: Lettering) -> Floats:
    left, low, right, top = lettering.whole
    size = lettering.pixels(ROUND + 1.0)
    for spot in _around(at, lettering):
        box = _square(spot, size)
        inside = box[0] >= left and box[1] >= low and box[2] <= right and box[3] <= top
        if inside and not any(overlap(box, other) for other in taken):
            return spot
    return np.asarray(at + lettering.pixels(AWAY[0]))


def _around(at: Floats, lettering: Lettering) -> Iterator[Floats]:
    for far in AWAY:
        for k in range(TURNS):
            # Upwards first, then to both sides: a number over its point is looked for first.
            turn = np.pi / 2 + (-1) ** k * ((k + 1) // 2) * 2 * np.pi / TURNS
            yield np.asarray(at + lettering.pixels(far) * np.array([np.cos(turn), np.sin(turn)]))


def _square(middle: Floats, half: float) -> Box:
    x, y = float(middle[0]), float(middle[1])
    return (x - half, y - half, x + half, y + half)
