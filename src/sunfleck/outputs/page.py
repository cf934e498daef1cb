"""A narrow page built from blocks, top to bottom, each of a stated height."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from sunfleck.outputs.themes import SMALL, TEXT, TITLE, Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure, SubFigure

WIDTH = 4.8  # [in]; narrow, so that a phone shows it without zooming
DOTS = 225  # [1/in]; 1080 px wide
LEFT = 0.62  # [in]; room for the numbers of the upright axis
RIGHT = 0.30  # [in]
MARGIN = 0.30  # [in]
LEADING = 1.45
# DejaVu Sans runs at about 0.56 of its size a letter in English text.
LETTER = 0.56
POINTS = 72.0


class Page:
    """Collects blocks, then lays them out on a figure as high as they need.

    Parameters
    ----------
    theme : Theme
        Colours.
    """

    def __init__(self, theme: Theme) -> None:
        self.theme = theme
        self._blocks: list[tuple[float, Callable[[Figure | SubFigure, float], None]]] = []
        self._height = 0.0
        self._head = 0  # how many blocks

    def space(self, height: float) -> None:
        """Leave a height, in inches, empty."""
        self._blocks.append((height, lambda _figure, _top: None))

    def text(
        self, words: str, size: float = TEXT, *, quiet: bool = False, bold: bool = False, left: float = MARGIN
    ) -> None:
        """Add a paragraph, broken into lines that fit.

        Parameters
        ----------
        words : str
            The text.
        size : float
            Type size. [pt]
        quiet, bold : bool
            Lesser colour; heavier face.
        left : float
            Where it starts. [in]
        """
        letters = int((WIDTH - left - MARGIN) * POINTS / (size * LETTER * (1.08 if bold else 1.0)))
        lines = wrap(words, max(letters, 12)) or [""]
        line = size * LEADING / POINTS
        colour = self.theme.quiet if quiet else self.theme.ink

        def draw(figure: Figure | SubFigure, top: float) -> None:
            height = self._height
            for k, each in enumerate(lines):
                figure.text(
                    left / WIDTH,
                    (top - (k + 0.78) * line) / height,
                    each,
                    fontsize=size,
                    color=colour,
                    fontweight="bold" if bold else "normal",
                    va="baseline",
                )

        self._blocks.append((line * len(lines), draw))

    def title(self, plan: str, title: str, subtitle: str) -> None:
        """Add the head of a page: whose plan, what is shown, in what."""
        self.text(plan, SMALL, quiet=True)
        self.text(title, TITLE, bold=True)
        self.text(subtitle, TEXT)
        self.space(0.14)
        self._head = len(self._blocks)

    def axes(
        self,
        height: float,
        draw: Callable[[Axes], None],
        left: float = LEFT,
        width: float = WIDTH - LEFT - RIGHT,
    ) -> None:
        """Add a pair of axes that fills a block exactly; leave room for its numbers with `space`.

        Parameters
        ----------
        height : float
            Height. [in]
        draw : callable
            Gets the axes, already in place.
        left, width : float
            Where they start and how wide they are. [in]
        """

        def place(figure: Figure | SubFigure, top: float) -> None:
            page = self._height
            box = (left / WIDTH, (top - height) / page, width / WIDTH, height / page)
            draw(figure.add_axes(box, facecolor=self.theme.paper))

        self._blocks.append((height, place))

    def build(self) -> Figure:
        """Return the finished figure."""
        from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra
        from matplotlib.figure import Figure  # noqa: PLC0415  # an extra

        total = self.length
        figure = Figure(figsize=(WIDTH, round(total * DOTS) / DOTS), dpi=DOTS, facecolor=self.theme.paper)
        FigureCanvasAgg(figure)
        self._fill(figure, total, float(figure.get_size_inches()[1]))
        return figure

    @property
    def length(self) -> float:
        """How high the page is. [in]"""
        return sum(height for height, _ in self._blocks) + 2 * MARGIN

    @property
    def head(self) -> float:
        """How high its title is. [in]"""
        return sum(height for height, _ in self._blocks[: self._head])

    def lower(self, by: float) -> None:
        """Move what is below the title down. [in]"""
        self._blocks.insert(self._head, (by, lambda _figure, _top: None))

    def _fill(self, figure: Figure | SubFigure, total: float, height: float) -> None:
        self._height = height
        top = total - MARGIN
        for block, draw in self._blocks:
            draw(figure, top)
            top -= block


def side_by_side(pages: Sequence[Page]) -> Figure:
    """Return one figure with some pages beside each other, their heads level.

    Parameters
    ----------
    pages : sequence of Page
        Of one theme, at least one; what is below their titles is made level.

    Returns
    -------
    figure : Figure
        As high as the highest of them.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra
    from matplotlib.figure import Figure  # noqa: PLC0415  # an extra

    lowest = max(page.head for page in pages)
    for page in pages:
        page.lower(lowest - page.head)
    total = max(page.length for page in pages)
    paper = pages[0].theme.paper
    figure = Figure(figsize=(WIDTH * len(pages), round(total * DOTS) / DOTS), dpi=DOTS, facecolor=paper)
    FigureCanvasAgg(figure)
    parts = figure.subfigures(1, len(pages), squeeze=False, wspace=0.0)[0]
    for page, part in zip(pages, parts, strict=True):
        part.set_facecolor(paper)
        page._fill(part, total, float(figure.get_size_inches()[1]))
    return figure


def quiet_axes(ax: Axes, theme: Theme) -> None:
    """Take the frame away and make ticks and their numbers small and quiet."""
    for spine in ax.spines.values():
        spine.set_visible(False)
    ax.tick_params(length=2.5, width=0.6, color=theme.quiet, labelcolor=theme.quiet, labelsize=SMALL, pad=2.5)


def quiet_type(theme: Theme) -> dict[str, Any]:
    """Return the type of a small note in a picture."""
    return {"fontsize": SMALL, "color": theme.quiet}


def head_words(basis: str) -> str:
    """Return what is shown and which lamps are lit: the first clause of a set's basis, as a sentence."""
    return _sentence(basis.partition(";")[0])


def foot_words(basis: str) -> str:
    """Return the rest of a set's basis as a sentence; all of it when it is one clause."""
    return _sentence(basis.partition(";")[2] or basis)


def _sentence(words: str) -> str:
    words = words.strip()
    return words[:1].upper() + words[1:] + ("" if words.endswith(".") or not words else ".")
