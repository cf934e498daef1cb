"""Pages of paper filled from top to bottom: lines broken where type really ends, tables that go on overleaf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from sunfleck.outputs.data_sheet import PAPERS
from sunfleck.outputs.page import POINTS
from sunfleck.outputs.pictures import NOTHING_OF_TODAY
from sunfleck.outputs.verdict_words import NUMBER_AND_UNIT

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DOTS = 150  # [1/in]; a page of 1240 x 1754 px
MARGIN = 0.55  # [in]
FOOT = 0.30  # kept free below for the foot [in]
BODY = 8.5  # [pt]
LEADING = 1.3
PAD = 0.045  # in a cell of a table [in]
HELD = "\u00a0"
# Pictures set type on whole dots, which makes lines this much longer at most. [-]
WHOLE_DOTS = 1.03
# A sign that the font lacks stands as a box, so wide at most, as a share of the type size. [-]
MISSING = 1.4


@dataclass(frozen=True)
class Cell:
    """What stands in a cell of a table.

    Attributes
    ----------
    words : str
        Broken into lines that fit.
    bold : bool
        Heavier face.
    box : bool or None
        A box to tick instead of words, ticked or not.
    """

    words: str = ""
    bold: bool = False
    box: bool | None = None


class Paper:
    """Fills pages.

    Parameters
    ----------
    system : str
        ``metric`` (A4) or ``us`` (letter).
    """

    def __init__(self, system: str) -> None:
        self.width, self.height = PAPERS[system]
        self.room = self.width - 2 * MARGIN
        self.figures: list[Figure] = []
        self.top = 0.0
        self.turn()

    def turn(self) -> None:
        """Begin a page."""
        from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra
        from matplotlib.figure import Figure  # noqa: PLC0415  # an extra

        figure = Figure(figsize=(self.width, self.height), dpi=DOTS, facecolor="white")
        FigureCanvasAgg(figure)
        self.figures.append(figure)
        self.top = self.height - MARGIN

    def need(self, height: float) -> None:
        """Begin a page where less than a height is left on this one. [in]"""
        if self.top - height < MARGIN + FOOT:
            self.turn()

    def space(self, height: float) -> None:
        """Leave a height empty. [in]"""
        self.top -= height

    def at(self, x: float, y: float, words: str, size: float = BODY, **more: Any) -> None:
        """Write one line with its foot at a place on this page. [in], [pt]"""
        more.setdefault("color", "black")
        self.figures[-1].text(x / self.width, y / self.height, words, fontsize=size, va="baseline", **more)

    def rule(self, x0: float, y0: float, x1: float, y1: float, weight: float = 0.6) -> None:
        """Draw a line on this page. [in], [pt]"""
        from matplotlib.lines import Line2D  # noqa: PLC0415  # an extra

        xs, ys = (x0 / self.width, x1 / self.width), (y0 / self.height, y1 / self.height)
        self.figures[-1].add_artist(Line2D(xs, ys, color="black", linewidth=weight))

    def paragraph(
        self, words: str, size: float = BODY, *, bold: bool = False, mark: str = "", left: float = 0.0
    ) -> None:
        """Write a paragraph, with a mark before its first line where one is given."""
        start = MARGIN + left
        indent = (width_of(mark, size, bold=bold) + 0.05) if mark else 0.0
        line = size * LEADING / POINTS
        lines = broken(words, size, self.room - left - indent, bold=bold)
        weight = "bold" if bold else "normal"
        for k, each in enumerate(lines):
            # A first line alone at the foot of a page reads as the end of what is above it.
            self.need(2 * line if k == 0 and len(lines) > 1 else line)
            if k == 0 and mark:
                self.at(start, self.top - 0.78 * line, mark, size, fontweight=weight)
            self.at(start + indent, self.top - 0.78 * line, each, size, fontweight=weight)
            self.top -= line

    def heading(self, words: str, size: float, keep: float = 0.7) -> None:
        """Write a heading that stays with what follows it. [pt], [in]"""
        self.need(size * LEADING / POINTS + 0.12 + keep)
        self.space(0.12)
        self.paragraph(words, size, bold=True)
        self.space(0.03)

    def table(
        self, shares: Sequence[float], head: Sequence[str], rows: Sequence[Sequence[Cell]], size: float = BODY
    ) -> None:
        """Draw a table; its head stands again on each page that it goes on to.

        Parameters
        ----------
        shares : sequence of float
            Widths of its columns as shares of the page. [-]
        head : sequence of str
            Over each column.
        rows : sequence of sequence of Cell
            A cell for each column.
        size : float
            Type size. [pt]
        """
        edges = [MARGIN]
        for share in shares:
            edges.append(edges[-1] + share / sum(shares) * self.room)
        names = [Cell(words, bold=True) for words in head]
        first = True
        for row in rows:
            height = self._height(row, edges, size)
            if first or self.top - height < MARGIN + FOOT:
                if not first or self.top - height - self._height(names, edges, size) < MARGIN + FOOT:
                    self.turn()
                self.rule(edges[0], self.top, edges[-1], self.top, 1.1)
                self._row(names, edges, size, 0.9)
                first = False
            self._row(row, edges, size, 0.5)

    def _height(self, row: Sequence[Cell], edges: Sequence[float], size: float) -> float:
        return max(len(lines) for lines in self._lines(row, edges, size)) * size * LEADING / POINTS + 2 * PAD

    def _lines(self, row: Sequence[Cell], edges: Sequence[float], size: float) -> list[list[str]]:
        rooms = [right - left - 2 * PAD for left, right in pairwise(edges)]
        return [broken(cell.words, size, room, bold=cell.bold) for cell, room in zip(row, rooms, strict=True)]

    def _row(self, row: Sequence[Cell], edges: Sequence[float], size: float, weight: float) -> None:
        line = size * LEADING / POINTS
        low = self.top - self._height(row, edges, size)
        for cell, left, lines in zip(row, edges, self._lines(row, edges, size), strict=False):
            if cell.box is not None:
                self._box(left + PAD + 0.02, self.top - PAD - line, line * 0.95, ticked=cell.box)
            for k, words in enumerate(lines):
                face = "bold" if cell.bold else "normal"
                self.at(left + PAD, self.top - PAD - (k + 0.78) * line, words, size, fontweight=face)
        for x in edges:
            self.rule(x, self.top, x, low, 0.4)
        self.rule(edges[0], low, edges[-1], low, weight)
        self.top = low

    def _box(self, x: float, y: float, side: float, *, ticked: bool) -> None:
        corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)]
        for (x0, y0), (x1, y1) in pairwise(corners):
            self.rule(x0, y0, x1, y1, 0.8)
        if ticked:
            self.rule(x, y, x + side, y + side, 1.1)
            self.rule(x, y + side, x + side, y, 1.1)

    def feet(self, stated: str, size: float = 7.5) -> None:
        """Write the foot of every page: what it was made with, and which page it is."""
        for number, figure in enumerate(self.figures, start=1):
            for x, words, side in (
                (MARGIN, stated, "left"),
                (self.width - MARGIN, f"page {number} of {len(self.figures)}", "right"),
            ):
                figure.text(
                    x / self.width, (MARGIN - 0.12) / self.height, words, fontsize=size, ha=side, color="0.3"
                )


def files_of(figures: Sequence[Figure], kind: str, title: str) -> tuple[bytes, ...]:
    """Return pages as files: one PDF, or one picture a page; without a time stamp, so the same every time."""
    if kind == "png":
        return tuple(_png(figure, title) for figure in figures)
    from matplotlib.backends.backend_pdf import PdfPages  # noqa: PLC0415  # an extra

    content = BytesIO()
    with PdfPages(content, metadata={"Title": title, "CreationDate": None}) as pdf:
        for figure in figures:
            pdf.savefig(figure, facecolor="white")
    return (content.getvalue(),)


def _png(figure: Figure, title: str) -> bytes:
    content = BytesIO()
    metadata = {**NOTHING_OF_TODAY["png"], "Title": title}
    figure.savefig(content, format="png", dpi=DOTS, facecolor="white", metadata=metadata)
    return content.getvalue()


def broken(words: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """Break words into lines no wider than a room, a number never apart from its unit; a longer word is parted. [in]"""
    # A line break or a tab in what somebody wrote would be drawn as one.
    plain = "".join(sign if sign.isprintable() or sign == HELD else " " for sign in words)
    together = NUMBER_AND_UNIT.sub(rf"\1{HELD}\2", plain)
    lines, line = [], ""
    words_left = together.split(" ")
    while words_left:
        word = words_left.pop(0)
        if HELD in word and width_of(word, size, bold=bold) > room:
            # Rather apart from its unit than parted within a word.
            words_left = [*word.split(HELD), *words_left]
            continue
        longer = f"{line} {word}" if line else word
        if width_of(longer, size, bold=bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        rest = word
        while width_of(rest, size, bold=bold) > room and len(rest) > 1:
            cut = next(
                k
                for k in range(len(rest) - 1, 0, -1)
                if k == 1 or width_of(rest[:k], size, bold=bold) <= room
            )
            lines.append(rest[:cut])
            rest = rest[cut:]
        line = rest
    return [*lines, line]


@cache
def _letters(*, bold: bool) -> Any:
    from matplotlib import ft2font  # noqa: PLC0415  # an extra
    from matplotlib.font_manager import FontProperties, findfont  # noqa: PLC0415  # an extra

    font = ft2font.FT2Font(
        findfont(FontProperties(family=["DejaVu Sans"], weight="bold" if bold else "normal"))
    )
    font.set_size(100.0, 72)
    return font


@cache
def _advance(letter: str, *, bold: bool) -> float:
    """How far one letter goes on, as a share of the type size. [-]"""
    from matplotlib.ft2font import LoadFlags  # noqa: PLC0415  # an extra

    font = _letters(bold=bold)
    if not font.get_char_index(ord(letter)):
        return MISSING
    glyph = font.load_char(ord(letter), flags=LoadFlags.NO_HINTING)
    return float(glyph.linearHoriAdvance) / 65536.0 / 100.0


def width_of(words: str, size: float, *, bold: bool = False) -> float:
    """Return how wide a line of type is, letter by letter: kerning only makes it narrower. [in]"""
    return WHOLE_DOTS * sum(_advance(letter, bold=bold) for letter in words) * size / POINTS
