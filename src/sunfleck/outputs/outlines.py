"""What stands in the box, drawn over a cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.themes import Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from sunfleck.studies.slices import Outline

# What the cut does not pass through is drawn this much thinner, its line and its filling this strongly.
THINNER, QUIETER, EMPTIER = 0.65, 0.6, 0.4
CASING = 1.2  # [pt]
# Blocks that fill their outline: where they are cut, nothing behind them shows.
BLOCKS = ("ledge", "background", "substrate")


@dataclass(frozen=True, slots=True)
class _Pen:
    """How a kind of thing is drawn: width [pt], dashes [pt] and how strongly."""

    width: float
    dashes: tuple[float, ...] | None = None
    alpha: float = 1.0
    fill: float = 0.0

    def quiet(self) -> _Pen:
        """Return the pen for something before or behind the cut."""
        return replace(self, width=THINNER * self.width, alpha=QUIETER * self.alpha, fill=EMPTIER * self.fill)


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

    What the cut does not pass through is drawn thinner and fainter, and not where a block is cut.

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

    drawn = [outline for outline in outlines if len(outline.xy)]
    bottom = bottom_of(drawn)
    for outline in drawn:
        if fills(outline):
            block = Polygon(region_of(outline, bottom), facecolor=theme.solid, linewidth=0.0)
            block.set_zorder(4.8)
            ax.add_patch(block)
    for outline in drawn:
        pen = PENS[outline.kind] if outline.cut else PENS[outline.kind].quiet()
        if outline.kind == "wall":
            frame = Polygon(
                outline.xy, closed=outline.closed, fill=False, edgecolor=theme.ink, linewidth=pen.width
            )
            frame.set_zorder(6)
            frame.set_clip_on(False)
            ax.add_patch(frame)
            continue
        on_wall = outline.kind in ("door", "vent")
        for colour, wider in ((theme.casing, CASING if outline.cut else THINNER * CASING), (theme.mark, 0.0)):
            dashes = None if pen.dashes is None or wider else tuple(part / pen.width for part in pen.dashes)
            line = Polygon(
                outline.xy,
                closed=outline.closed,
                fill=bool(pen.fill) and outline.closed and not wider,
                facecolor=(*_rgb(theme.mark), pen.fill),
                edgecolor=(*_rgb(colour), pen.alpha),
                linewidth=pen.width + wider,
                linestyle=(0.0, dashes) if dashes else "-",
                joinstyle="round",
            )
            line.set_zorder((7 if on_wall else 5) if outline.cut else (6.5 if on_wall else 4.6))
            line.set_clip_on(not on_wall)
            ax.add_patch(line)


def fills(outline: Outline) -> bool:
    """Whether the cut shows a solid block that hides what stands behind it."""
    return outline.cut and outline.kind in BLOCKS


def bottom_of(outlines: Iterable[Outline]) -> float:
    """Return the height of the box's floor on the picture: the lowest point of its walls, zero without. [m]"""
    return min((float(each.xy[:, 1].min()) for each in outlines if each.kind == "wall"), default=0.0)


def region_of(outline: Outline, bottom: float) -> NDArray[np.float64]:
    """Return the corners of what an outline stands for: the ground reaches from its line to the floor. [m]"""
    if outline.kind != "substrate" or outline.closed:
        return outline.xy
    below = np.stack([outline.xy[::-1, 0], np.full(len(outline.xy), bottom)], axis=1)
    return np.concatenate([outline.xy, below])


def _rgb(colour: str) -> tuple[float, float, float]:
    from matplotlib.colors import to_rgb  # noqa: PLC0415  # an extra

    return to_rgb(colour)
