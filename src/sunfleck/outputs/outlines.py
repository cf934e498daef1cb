"""What stands in the box, drawn over a cut and named."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.labels import Lettering, Spot, shortened
from sunfleck.outputs.themes import SMALL, Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes

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
FLAT = 1e-6  # [m]
ALONG = (0.5, 0.3, 0.7, 0.15, 0.85)
AROUND = ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1))


@dataclass(frozen=True, slots=True)
class _Pen:
    """How a kind of thing is drawn: width [pt], dashes [pt] and how strongly."""

    width: float
    dashes: tuple[float, ...] | None = None
    alpha: float = 1.0
    fill: float = 0.0


PENS = {
    "wall": _Pen(1.2),
    "door": _Pen(2.6, (5.0, 1.6)),
    "vent": _Pen(2.6, (1.2, 1.2)),
    "perch": _Pen(0.9, fill=0.12),
    "ledge": _Pen(0.9, fill=0.12),
    "plant": _Pen(0.6, fill=0.05),
    "lamp": _Pen(1.3, fill=0.85),
    "background": _Pen(0.8),
    "substrate": _Pen(0.9),
    "hide": _Pen(0.9, (4.0, 2.0, 1.0, 2.0)),
    "animal": _Pen(1.3),
}


def draw_outlines(ax: Axes, outlines: Iterable[Outline], theme: Theme) -> None:
    """Draw every outline: a light line on a dark casing, so that it shows on every colour.

    Parameters
    ----------
    ax : Axes
        In place and with its limits set.
    outlines : iterable of Outline
        What to draw.
    theme : Theme
        Colours.
    """
    from matplotlib.patches import Polygon  # noqa: PLC0415  # an extra

    for outline in outlines:
        if not len(outline.xy):
            continue
        pen = PENS[outline.kind]
        if outline.kind == "wall":
            frame = Polygon(
                outline.xy, closed=outline.closed, fill=False, edgecolor=theme.ink, linewidth=pen.width
            )
            frame.set_zorder(6)
            frame.set_clip_on(False)
            ax.add_patch(frame)
            continue
        on_wall = outline.kind in ("door", "vent")
        for colour, wider in ((theme.casing, 1.2), (theme.mark, 0.0)):
            dashes = None if pen.dashes is None or wider else tuple(part / pen.width for part in pen.dashes)
            line = Polygon(
                outline.xy,
                closed=outline.closed,
                fill=bool(pen.fill) and outline.closed and not wider,
                facecolor=(*_rgb(theme.mark), pen.fill),
                edgecolor=colour,
                linewidth=pen.width + wider,
                linestyle=(0.0, dashes) if dashes else "-",
                joinstyle="round",
            )
            line.set_zorder(7 if on_wall else 5)
            line.set_clip_on(not on_wall)
            ax.add_patch(line)


def name_outlines(outlines: Iterable[Outline], lettering: Lettering, theme: Theme) -> list[str]:
    """Write the names beside what they belong to.

    Parameters
    ----------
    outlines : iterable of Outline
        What to name; one without a label gets none.
    lettering : Lettering
        Finds free places.
    theme : Theme
        Colours.

    Returns
    -------
    unnamed : list of str
        Those for which no place was free.
    """
    labelled = [outline for outline in outlines if outline.label and len(outline.xy)]
    labelled.sort(key=lambda outline: NAMED_FIRST.index(outline.kind))
    unnamed = []
    for outline in labelled:
        if not lettering.place(shortened(outline.label), _spots(outline), SMALL, theme.ink, theme.paper):
            unnamed.append(outline.label)
    return unnamed


def _spots(outline: Outline) -> list[Spot]:
    """Return places for a name: beside the outline, then inside it, then along it."""
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
    if outline.kind in ("plant", "hide", "background"):
        spots.append(Spot(x, y))
    if outline.kind == "perch":
        spots += [Spot(cx, cy, 0.0, up) for cx, cy in _core(outline.xy) for up in (1.0, -1.0)]
    spots += [Spot(x + right * half[0], y + up * half[1], right, up) for right, up in AROUND]
    spots.append(Spot(x, y))
    spots += [
        Spot(low[0] + part * (high[0] - low[0]), y, 0.0, up) for part in ALONG for up in (1.0, -1.0, 0.0)
    ]
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


def _rgb(colour: str) -> tuple[float, float, float]:
    from matplotlib.colors import to_rgb  # noqa: PLC0415  # an extra

    return to_rgb(colour)
