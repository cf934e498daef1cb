"""Words on a picture, placed so that none covers another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LONGEST = 20
INSET = 4.0  # from the frame's side [pt]
CLEAR = 3.0  # kept free around every word [px]
PADDING = 0.22  # of the plate behind a word, in type sizes


@dataclass(frozen=True, slots=True)
class Spot:
    """A place where a word may stand.

    Attributes
    ----------
    x, y : float
        Point it belongs to, in data coordinates.
    right, up : float
        Which way the word goes from there: -1, 0 or 1.
    """

    x: float
    y: float
    right: float = 0.0
    up: float = 0.0


Box = tuple[float, float, float, float]


@dataclass
class Lettering:
    """Places words on one pair of axes and remembers what is taken.

    Attributes
    ----------
    ax : Axes
        In place and with its limits set.
    taken : list of tuple
        Boxes in pixels: left, bottom, right, top.
    """

    ax: Axes
    taken: list[Box] = field(default_factory=list)

    def place(
        self, words: str, spots: Sequence[Spot], size: float, ink: str, plate: str, alpha: float = 0.86
    ) -> bool:
        """Write a word at the first spot where it is inside the axes and covers nothing.

        Parameters
        ----------
        words : str
            What to write, on one line.
        spots : sequence of Spot
            Places to try, best first.
        size : float
            Type size. [pt]
        ink, plate : str
            Colours of the word and of the plate behind it.
        alpha : float
            How much the plate hides. [-]

        Returns
        -------
        written : bool
            False when no spot was free; nothing is drawn then.
        """
        width, height = self._measure(words, size)
        for spot in spots:
            box = self._kept_in(self._box(spot, width, height, size))
            if not self._inside(box) or any(_touch(box, other) for other in self.taken):
                continue
            self.taken.append(box)
            left, bottom, right, top = box
            x, y = self.ax.transData.inverted().transform(((left + right) / 2, (bottom + top) / 2))
            self.ax.text(
                x,
                y,
                words,
                fontsize=size,
                color=ink,
                ha="center",
                va="center_baseline",
                zorder=9,
                bbox={
                    "boxstyle": f"round,pad={PADDING}",
                    "facecolor": plate,
                    "edgecolor": "none",
                    "alpha": alpha,
                },
            )
            return True
        return False

    def _measure(self, words: str, size: float) -> tuple[float, float]:
        from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra

        figure, canvas = self.ax.figure, self.ax.figure.canvas
        assert isinstance(canvas, FigureCanvasAgg), "pages are built on an Agg canvas"
        probe = self.ax.text(0.0, 0.0, words, fontsize=size)
        box = probe.get_window_extent(canvas.get_renderer())
        probe.remove()
        # Every word as high as one with ascender and descender: plates then look alike.
        return float(box.width), size * figure.dpi / 72.0

    def _box(self, spot: Spot, width: float, height: float, size: float) -> Box:
        pixels = self.ax.figure.dpi / 72.0
        pad = PADDING * size * pixels
        x, y = self.ax.transData.transform((spot.x, spot.y))
        half_width, half_height = width / 2 + pad, height / 2 + pad
        gap = 2.0 * pixels
        x += spot.right * (half_width + gap)
        y += spot.up * (half_height + gap)
        return (x - half_width, y - half_height, x + half_width, y + half_height)

    def _kept_in(self, box: Box) -> Box:
        """Move a word that hangs over the frame's side back in, by half its width at most."""
        frame, half = self.ax.bbox, (box[2] - box[0]) / 2
        inset = INSET * self.ax.figure.dpi / 72.0
        over = min(max(frame.x0 + inset - box[0], 0.0), half) - min(max(box[2] + inset - frame.x1, 0.0), half)
        return (box[0] + over, box[1], box[2] + over, box[3])

    def _inside(self, box: Box) -> bool:
        frame = self.ax.bbox
        return bool(box[0] >= frame.x0 and box[1] >= frame.y0 and box[2] <= frame.x1 and box[3] <= frame.y1)


def shortened(words: str) -> str:
    """Return a name short enough for a picture."""
    one_line = " ".join(words.split())
    return one_line if len(one_line) <= LONGEST else one_line[: LONGEST - 1].rstrip() + "…"


def _touch(one: Box, other: Box) -> bool:
    return (
        one[0] < other[2] + CLEAR
        and other[0] < one[2] + CLEAR
        and one[1] < other[3] + CLEAR
        and other[1] < one[3] + CLEAR
    )
