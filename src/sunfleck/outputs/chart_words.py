"""Words in a chart, placed where they cover least; names of lines beside their ends, none over another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.labels import Spot
from sunfleck.outputs.page import WIDTH
from sunfleck.outputs.regions import Box
from sunfleck.outputs.themes import SMALL, Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.text import Text

Floats = NDArray[np.float64]

PIECES = 96
NEAR = 4.0  # how far words keep from a line [px]
GAP = 3.0  # between words and what they stand beside [pt]
PAD = 0.15  # of the plate, in type sizes
LINES = 1.2  # leading
# How bad it is to cover what, by area; words in the band of something else would name the wrong thing.
OVER_LINE, OVER_BAND, OVER_MARK, OVER_WORDS, OUTSIDE = 1.0, 1.0, 8.0, 20.0, 1000.0
LATER = 12.0  # a place that is named later must be better by so much [px2]


@dataclass
class ChartWords:
    """Places words on one pair of axes and remembers what stands there.

    Attributes
    ----------
    ax : Axes
        In place and with its limits set.
    theme : Theme
        Colours.
    taken : list of (tuple, float, str)
        Boxes in pixels (left, bottom, right, top), how bad it is to cover them, and whose they are.
    """

    ax: Axes
    theme: Theme
    taken: list[tuple[Box, float, str]] = field(default_factory=list)

    def keep_clear(self, x: Floats, y: Floats, near: float = NEAR, weight: float = OVER_LINE) -> None:
        """Remember a line that words shall not cover, and `near` pixels around it."""
        points = self.ax.transData.transform(np.column_stack([x, y]))
        for cut in np.array_split(np.arange(len(points)), min(PIECES, max(len(points) - 1, 1))):
            # A piece reaches to where the next begins.
            piece = points[cut[0] : cut[-1] + 2]
            (left, bottom), (right, top) = piece.min(axis=0) - near, piece.max(axis=0) + near
            self.taken.append(((float(left), float(bottom), float(right), float(top)), weight, ""))

    def keep_for(self, owner: str, x: tuple[float, float], y: tuple[float, float]) -> None:
        """Remember a band that only its owner's words may lie on."""
        (left, bottom), (right, top) = self.ax.transData.transform(np.column_stack([x, y]))
        self.taken.append(((float(left), float(bottom), float(right), float(top)), OVER_BAND, owner))

    def place(self, owner: str, ways: Sequence[str], spots: Sequence[Spot]) -> None:
        """Write words where they cover least.

        Parameters
        ----------
        owner : str
            Whose words these are.
        ways : sequence of str
            The same words in one line or in several, best first.
        spots : sequence of Spot
            Places to try, best first.
        """
        best: tuple[float, str, Box] | None = None
        for words in ways:
            width, height = self._measure(words)
            for spot in spots:
                box = self._box(spot, width, height)
                cost = self._cost(box, owner)
                if best is None or cost < best[0] - LATER:
                    best = (cost, words, box)
        assert best is not None, "words need a place to try"
        _, words, box = best
        self.taken.append((box, OVER_WORDS, ""))
        x, y = self.ax.transData.inverted().transform(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2))
        self._text(float(x), float(y), words)

    def _text(self, x: float, y: float, words: str) -> Text:
        plate = {
            "boxstyle": f"square,pad={PAD}",
            "facecolor": self.theme.paper,
            "edgecolor": "none",
            "alpha": 0.6,
        }
        return self.ax.text(
            x,
            y,
            words,
            fontsize=SMALL,
            color=self.theme.ink,
            ha="center",
            va="center",
            linespacing=LINES,
            zorder=9,
            bbox=plate,
        )

    def _measure(self, words: str) -> tuple[float, float]:
        from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra

        canvas = self.ax.figure.canvas
        assert isinstance(canvas, FigureCanvasAgg), "pages are built on an Agg canvas"
        probe = self._text(0.0, 0.0, words)
        box = probe.get_window_extent(canvas.get_renderer())
        probe.remove()
        pad = 2 * PAD * SMALL * float(self.ax.figure.dpi) / 72.0
        return float(box.width) + pad, float(box.height) + pad

    def _box(self, spot: Spot, width: float, height: float) -> Box:
        gap = GAP * float(self.ax.figure.dpi) / 72.0
        x, y = self.ax.transData.transform((spot.x, spot.y))
        x += spot.right * (width / 2 + gap)
        y += spot.up * (height / 2 + gap)
        return (x - width / 2, y - height / 2, x + width / 2, y + height / 2)

    def _cost(self, box: Box, owner: str) -> float:
        frame = self.ax.bbox
        whole = (float(frame.x0), float(frame.y0), float(frame.x1), float(frame.y1))
        outside = (box[2] - box[0]) * (box[3] - box[1]) - _shared(box, whole)
        over = sum(
            weight * _shared(box, other) for other, weight, whose in self.taken if not whose or whose != owner
        )
        return over + OUTSIDE * outside


def _shared(one: Box, other: Box) -> float:
    """Area of what two boxes share. [px2]"""
    across = min(one[2], other[2]) - max(one[0], other[0])
    up = min(one[3], other[3]) - max(one[1], other[1])
    return max(across, 0.0) * max(up, 0.0)


def beside(ax: Axes, left: float, width: float) -> Axes:
    """Return axes right of others, as high as they are, from `left` inches of the page, without frame."""
    box = ax.get_position()
    other = ax.figure.add_axes((left / WIDTH, box.y0, width / WIDTH, box.height), facecolor="none")
    other.set_ylim(*ax.get_ylim())
    other.set_axis_off()
    return other


def inch_of(ax: Axes) -> float:
    """Return how much of the upright axis an inch of the page is."""
    low, high = ax.get_ylim()
    return float((high - low) / (ax.bbox.height / ax.figure.dpi))


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Return places in the same order, each at least a gap above the one before, together as near as can be.

    Parameters
    ----------
    wanted : sequence of float
        Where they would stand, in rising order.
    gap : float
        Least distance.
    low, high : float
        Ends; where there is no room, they are passed at the top.

    Returns
    -------
    places : list of float
        One each.

    Examples
    --------
    >>> spread([1.0, 1.0, 9.0], 2.0, 0.0, 10.0)
    [0.0, 2.0, 9.0]
    """
    # With the gaps taken out, the nearest rising row is found by pooling those that fall.
    pools: list[list[float]] = []
    for k, value in enumerate(wanted):
        pools.append([value - k * gap])
        while len(pools) > 1 and np.mean(pools[-2]) > np.mean(pools[-1]):
            last = pools.pop()
            pools[-1] += last
    level = [float(np.mean(pool)) for pool in pools for _ in pool]
    top = max(high - gap * (len(level) - 1), low)
    return [min(max(value, low), top) + k * gap for k, value in enumerate(level)]
