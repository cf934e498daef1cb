"""Words on a picture, placed so that none covers another."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sunfleck.outputs.regions import Box, overlap, wider

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LONGEST = 20
INSET = 1.5  # from the frame's side [pt]
GAP = 2.0  # between a word's plate and what it stands beside [pt]
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
    turned : bool
        Whether it is written upwards, for a narrow place.
    """

    x: float
    y: float
    right: float = 0.0
    up: float = 0.0
    turned: bool = False


@dataclass
class Lettering:
    """Places words on one pair of axes and remembers what is taken.

    Attributes
    ----------
    ax : Axes
        In place and with its limits set.
    taken : list of tuple
        Boxes in pixels: left, bottom, right, top.
    frame : tuple of float, optional
        Where words belong unless told otherwise; the whole axes when not given.
    """

    ax: Axes
    taken: list[Box] = field(default_factory=list)
    frame: Box | None = None
    _sizes: dict[tuple[str, float], tuple[float, float]] = field(default_factory=dict, repr=False)

    @property
    def whole(self) -> Box:
        """The axes' own box. [px]"""
        box = self.ax.bbox
        return (float(box.x0), float(box.y0), float(box.x1), float(box.y1))

    def pixels(self, points: float) -> float:
        """Return how many pixels a length in points is."""
        return points * float(self.ax.figure.dpi) / 72.0

    def place(
        self,
        words: str,
        spots: Sequence[Spot],
        size: float,
        ink: str,
        plate: str,
        alpha: float = 0.86,
        accept: Callable[[Box], bool] | None = None,
        frame: Box | None = None,
    ) -> bool:
        """Write a word at the first spot where it is inside the frame and covers no other word.

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
        accept : callable, optional
            What else a word's box, in pixels, must satisfy.
        frame : tuple of float, optional
            Instead of the lettering's own frame. [px]

        Returns
        -------
        written : bool
            False when no spot was free; nothing is drawn then.
        """
        width, height = self._measure(words, size)
        frame = frame or self.frame or self.whole
        for spot in spots:
            box = self._kept_in(self._box(spot, width, height, size), frame)
            if not _inside(box, frame) or any(overlap(box, wider(other, CLEAR)) for other in self.taken):
                continue
            if accept is not None and not accept(box):
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
                va="center" if spot.turned else "center_baseline",
                rotation=90 if spot.turned else 0,
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

        if (words, size) in self._sizes:
            return self._sizes[words, size]
        canvas = self.ax.figure.canvas
        assert isinstance(canvas, FigureCanvasAgg), "pages are built on an Agg canvas"
        probe = self.ax.text(0.0, 0.0, words, fontsize=size)
        box = probe.get_window_extent(canvas.get_renderer())
        probe.remove()
        # Every word as high as one with ascender and descender: plates then look alike.
        self._sizes[words, size] = float(box.width), self.pixels(size)
        return self._sizes[words, size]

    def _box(self, spot: Spot, width: float, height: float, size: float) -> Box:
        pad = self.pixels(PADDING * size)
        x, y = self.ax.transData.transform((spot.x, spot.y))
        half_width, half_height = width / 2 + pad, height / 2 + pad
        if spot.turned:
            half_width, half_height = half_height, half_width
        gap = self.pixels(GAP)
        x += spot.right * (half_width + gap)
        y += spot.up * (half_height + gap)
        return (x - half_width, y - half_height, x + half_width, y + half_height)

    def _kept_in(self, box: Box, frame: Box) -> Box:
        """Move a word that hangs over the frame's side back in, by half its width at most."""
        half, inset = (box[2] - box[0]) / 2, self.pixels(INSET)
        over = min(max(frame[0] + inset - box[0], 0.0), half) - min(max(box[2] + inset - frame[2], 0.0), half)
        return (box[0] + over, box[1], box[2] + over, box[3])


def shortened(words: str) -> str:
    """Return a name short enough for a picture."""
    one_line = " ".join(words.split())
    return one_line if len(one_line) <= LONGEST else one_line[: LONGEST - 1].rstrip() + "…"


def _inside(box: Box, frame: Box) -> bool:
    return box[0] >= frame[0] and box[1] >= frame[1] and box[2] <= frame[2] and box[3] <= frame[3]
