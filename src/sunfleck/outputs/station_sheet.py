"""The sheet that is taken to the box: numbered places on two drawings, and a table to write readings into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from textwrap import wrap
from typing import TYPE_CHECKING

from sunfleck.outputs.data_sheet import PAPERS
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.page import LETTER, POINTS
from sunfleck.outputs.paper import DOTS, files_of
from sunfleck.outputs.scales import Ruler, ruler
from sunfleck.outputs.station_views import ROOM, draw_view, extent
from sunfleck.outputs.station_words import NAMES, expected_words, reach_words, unit_words
from sunfleck.outputs.themes import HEADING, SMALL, TITLE
from sunfleck.outputs.verdict_words import NUMBER_AND_UNIT
from sunfleck.studies.left_open import CAUTIONS

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from sunfleck.studies.meter.sheet_views import SheetView
    from sunfleck.studies.meter.station_plan import Station, StationPlan

MARGIN = 0.45  # [in]
BODY = 8.5  # [pt]
CAUTION = 7.5  # [pt]
LINE = BODY * 1.32 / POINTS  # [in]
BOX = 0.30  # height of a box to write into [in]
GROWS, NOTES, WRITE = 0.10, 0.9, 0.30  # of a box at most; least room for notes; between their lines [in]
PAD = 0.05  # above and below what stands in a row [in]
HEAD_ROW = 0.30  # [in]
AXIS_LEFT, AXIS_BELOW, TITLE_ROOM = 0.42, 0.36, 0.20  # beside, below and over a drawing [in]
BETWEEN = 0.10  # [in]
LEAST_METRE = 2.2  # of a drawing that shares its page with the table [in]
# Where the columns of the table begin, as shares of its width: number, place, walls, what, expected, value, with, time.
COLUMNS = (0.0, 0.045, 0.300, 0.448, 0.558, 0.745, 0.855, 0.930)
LONGEST_NAME = 44
VALUE = 5  # which column
NARROW = 0.55  # of its size a letter runs in the table
LONG = 17  # letters of an expected range that stands on one line
FIELDS = (
    (("date", 1.1), ("by", 1.6), ("UV meter", 1.7), ("lux meter", 1.5)),
    (
        ("lamps on since", 0.8),
        ("first reading at", 0.8),
        ("room", 0.7),
        ("thermometer", 1.4),
        ("plants in?", 0.6),
    ),
)
HOW = (
    "Before light is read these lamps are on for half an hour, those on a thermostat at full: {lit}. Before temperatures "
    "are read they are on for four hours, thermostats at work.",
    "Hold the sensor at the point, level, your shadow off it, the door shut as far as the arm lets you. Read twice, write "
    "the mean.",
    "The lamps are lit while you read: sleeves and gloves on, glasses that stop UV, no longer in the box than a reading "
    "takes, and off bulbs and guards.",
)


@dataclass(frozen=True)
class _Row:
    """One station of the table: lines about the place, and one box for each thing to read."""

    station: Station
    place: tuple[str, ...]
    rest: tuple[str, ...]
    walls: tuple[str, ...]
    reads: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]
    grown: float = 0.0  # [in]

    @property
    def boxes(self) -> list[float]:
        """Heights of the boxes. [in]"""
        return [max(BOX, LINE * max(len(what), len(told)) + 0.06) + self.grown for what, told in self.reads]

    @property
    def height(self) -> float:
        """Of the row. [in]"""
        lines = max(len(self.place) + len(self.rest), len(self.walls))
        return max(LINE * lines + 2 * PAD, sum(self.boxes))


def station_sheet(
    plan: StationPlan, views: Sequence[SheetView], kind: str, stated: str, *, blind: bool = False
) -> tuple[bytes, ...]:
    """Return the sheet as files: one PDF, or one picture a page.

    Parameters
    ----------
    plan : StationPlan
        Stations.
    views : sequence of SheetView
        Drawings of the box.
    kind : str
        ``pdf`` or ``png``.
    stated : str
        The foot: program and library.
    blind : bool
        Whether what is expected is left out.

    Returns
    -------
    contents : tuple of bytes
        On A4 paper, or letter in US units; the same for the same plan.

    Raises
    ------
    MissingExtra
        If matplotlib is not installed.
    """
    with drawing_settings():
        pages = _Sheet(plan, tuple(views), stated, blind=blind).pages()
        return files_of(pages, kind, f"Stations of {plan.plan}")


@dataclass(frozen=True)
class _Layout:
    """How long a metre is on the page [in], and whether drawings stand one over the other."""

    metre: float
    stacked: bool


class _Sheet:
    """Lays a sheet out, page by page."""

    def __init__(self, plan: StationPlan, views: tuple[SheetView, ...], stated: str, *, blind: bool) -> None:
        self.plan, self.views, self.stated, self.blind = plan, views, stated, blind
        self.width, self.height = PAPERS[plan.system]
        self.table = self.width - 2 * MARGIN
        self.ruler: Ruler = ruler(plan.system)
        self.rows = [self._row(station) for station in plan.stations]
        self.cautions = [line for words in CAUTIONS[:3] for line in _broken(words, CAUTION, self.table)]
        lit = plan.lit.partition(": ")[2] or plan.lit
        self.how = [line for words in HOW for line in _broken(words.format(lit=lit), BODY, self.table)]

    def pages(self) -> list[Figure]:
        """All pages: drawings and table on one where they fit, otherwise the table on those behind."""
        foot = len(self.cautions) * CAUTION * 1.3 / POINTS + 0.26
        figures = [self._page()]
        top = self._head(figures[0], self.height - MARGIN)
        room = top - MARGIN - foot
        rows = sum(row.height for row in self.rows) + HEAD_ROW + BETWEEN
        layout = self._layout(room - rows)
        together = bool(self.rows) and layout.metre >= LEAST_METRE
        # Two lines for names that found no room.
        layout = layout if together else self._layout(room - 2 * CAUTION * 1.3 / POINTS)
        top = self._drawings(figures[0], top, layout)
        self._foot(figures[0], MARGIN + foot - 0.14)
        bottom = MARGIN + foot
        left = list(self.rows)
        if not together and left:
            top, bottom = self._next(figures)
            left = self._grown(top - bottom - HEAD_ROW)
        while left:
            top = self._table_head(figures[-1], top)
            while left and top - left[0].height >= bottom - 1e-6:
                top = self._draw_row(figures[-1], left.pop(0), top)
            if left:
                top, bottom = self._next(figures)
        if len(figures) > 1 and top - bottom > NOTES:
            self._text(figures[-1], MARGIN, top - 0.28, "notes", BODY, bold=True)
            for k in range(1, int((top - bottom - 0.28) / WRITE) + 1):
                y = top - 0.28 - k * WRITE
                self._rule(figures[-1], MARGIN, y, self.width - MARGIN, y, 0.4)
        for number, figure in enumerate(figures, start=1):
            of = f"; page {number} of {len(figures)}" if len(figures) > 1 else ""
            told = "; expected values left out" if self.blind else ""
            self._text(figure, MARGIN, MARGIN - 0.12, f"{self.stated}{told}{of}", 7.0, grey=True)
        return figures

    def _grown(self, room: float) -> list[_Row]:
        """The rows, their boxes higher where the page has room: there is never too much to write into."""
        boxes = sum(len(row.reads) for row in self.rows)
        spare = room - sum(row.height for row in self.rows)
        more = min(max(spare, 0.0) / max(boxes, 1), GROWS)
        rows = [replace(row, grown=more) for row in self.rows]
        return rows if sum(row.height for row in rows) <= room else list(self.rows)

    def _next(self, figures: list[Figure]) -> tuple[float, float]:
        """Begin a page for the table; return where it begins and how far down it goes. [in]"""
        figures.append(self._page())
        top = self.height - MARGIN
        words = f"{_short(self.plan.plan)}: readings"
        self._text(figures[-1], MARGIN, top - 0.16, words, HEADING + 1, bold=True)
        x = self.width - MARGIN - 2.3
        self._text(figures[-1], x, top - 0.16, "date", BODY)
        self._rule(figures[-1], x + 0.4, top - 0.19, self.width - MARGIN, top - 0.19, 0.6)
        return top - 0.36, MARGIN + 0.1

    def _page(self) -> Figure:
        from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra
        from matplotlib.figure import Figure  # noqa: PLC0415  # an extra

        figure = Figure(figsize=(self.width, self.height), dpi=DOTS, facecolor="white")
        FigureCanvasAgg(figure)
        return figure

    def _text(
        self,
        figure: Figure,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        bold: bool = False,
        grey: bool = False,
    ) -> None:
        figure.text(
            x / self.width, y / self.height, words, fontsize=size, va="baseline",
            color="0.35" if grey else "black", fontweight="bold" if bold else "normal",
        )  # fmt: skip

    def _rule(self, figure: Figure, x0: float, y0: float, x1: float, y1: float, width: float = 0.7) -> None:
        from matplotlib.lines import Line2D  # noqa: PLC0415  # an extra

        figure.add_artist(
            Line2D(
                (x0 / self.width, x1 / self.width),
                (y0 / self.height, y1 / self.height),
                color="black",
                linewidth=width,
            )
        )

    def _head(self, figure: Figure, top: float) -> float:
        self._text(figure, MARGIN, top - 0.2, f"Meter round: {_short(self.plan.plan)}", TITLE, bold=True)
        top -= 0.36
        for fields in FIELDS:
            total = sum(len(words) * BODY * LETTER / POINTS + 0.08 for words, _ in fields)
            stretch = (self.table - total - 0.14 * (len(fields) - 1)) / sum(length for _, length in fields)
            x, y = MARGIN, top - 0.24
            for words, length in fields:
                self._text(figure, x, y, words, BODY)
                x += len(words) * BODY * LETTER / POINTS + 0.08
                self._rule(figure, x, y - 0.03, x + length * stretch, y - 0.03, 0.6)
                x += length * stretch + 0.14
            top -= 0.34
        top -= 0.1
        for k, line in enumerate(self.how):
            self._text(figure, MARGIN, top - (k + 0.8) * LINE, line, BODY)
        return top - len(self.how) * LINE - 0.04

    def _layout(self, room: float) -> _Layout:
        """How the drawings fit into a height: side by side or one over the other, whichever shows them larger."""
        sizes = [high - low for low, high in map(extent, self.views)]
        over = TITLE_ROOM + AXIS_BELOW + 2 * ROOM
        beside = AXIS_LEFT + 2 * ROOM
        n = len(sizes)
        wide = (self.table - n * beside - BETWEEN * (n - 1)) / sum(size[0] for size in sizes)
        row = min(wide, (room - over) / max(size[1] for size in sizes))
        alone = (self.table - beside) / max(size[0] for size in sizes)
        pile = min(alone, (room - n * over - BETWEEN * (n - 1)) / sum(size[1] for size in sizes))
        return _Layout(max(float(row), float(pile), 0.1), stacked=pile > row)

    def _drawings(self, figure: Figure, top: float, layout: _Layout) -> float:
        sizes = [(high - low) * layout.metre + 2 * ROOM for low, high in map(extent, self.views)]
        used = sum(size[0] + AXIS_LEFT for size in sizes) + BETWEEN * (len(sizes) - 1)
        x = MARGIN + (self.table - used) / 2
        tallest = max(size[1] for size in sizes)
        unnamed: list[set[str]] = []
        for view, (width, height) in zip(self.views, sizes, strict=True):
            if layout.stacked:
                x = MARGIN + (self.table - width - AXIS_LEFT) / 2
                low = top - TITLE_ROOM - height
            else:
                low = top - TITLE_ROOM - tallest
            x += AXIS_LEFT
            self._text(figure, x + ROOM, low + height + 0.03, view.title, BODY, bold=True)
            box = (x / self.width, low / self.height, width / self.width, height / self.height)
            unnamed.append(set(draw_view(figure.add_axes(box), view, self.ruler, layout.metre)))
            x += width + BETWEEN
            if layout.stacked:
                top = low - AXIS_BELOW - BETWEEN
        if not layout.stacked:
            top -= TITLE_ROOM + tallest + AXIS_BELOW
        missing = sorted(self._nowhere(unnamed))
        if missing:
            words = f"Drawn, without room for a name: {', '.join(missing)}."
            for line in _broken(words, CAUTION, self.table)[:2]:
                top -= CAUTION * 1.3 / POINTS
                self._text(figure, MARGIN, top + 0.04, line, CAUTION, grey=True)
        return top - BETWEEN

    def _nowhere(self, unnamed: Sequence[set[str]]) -> set[str]:
        """Names that stand in no drawing in which their thing does."""
        named = {
            outline.label
            for view, without in zip(self.views, unnamed, strict=True)
            for outline in view.outlines
            if outline.label not in without
        }
        return set().union(*unnamed) - named

    def _columns(self) -> list[float]:
        return [MARGIN + share * self.table for share in (*COLUMNS, 1.0)]

    def _table_head(self, figure: Figure, top: float) -> float:
        x = self._columns()
        # Without what is expected there is twice the room to write a value.
        last = ["value", ""] if self.blind else ["expected", "value"]
        words = ["no.", "place of the sensor", "from the walls", "read", *last, "with", "time"]
        self._rule(figure, x[0], top, x[-1], top, 1.2)
        for at, each in zip(x, words, strict=False):
            self._text(figure, at + 0.05, top - 0.19, each, BODY, bold=True)
        self._rule(figure, x[0], top - HEAD_ROW + 0.03, x[-1], top - HEAD_ROW + 0.03, 1.0)
        return top - HEAD_ROW + 0.03

    def _row(self, station: Station) -> _Row:
        system = self.plan.system
        room = (COLUMNS[2] - COLUMNS[1]) * self.table - 0.08
        place = _broken(station.place, BODY, room, bold=True)
        rest = _broken(f"{reach_words(station, system)}; {station.hold}", SMALL, room)
        walls = [part for words in station.walls for part in words.split(", ")]
        reads = []
        for what in station.reads:
            told = [] if self.blind else [e for e in station.expected if e.what == what]
            lines = [line for each in told for line in _in_two(expected_words(each, system), each.when)]
            unit = "" if what == "uvi" else unit_words(what, system)
            reads.append((tuple(each for each in (NAMES[what], unit) if each), tuple(lines)))
        return _Row(station, tuple(place), tuple(rest), tuple(walls), tuple(reads))

    def _draw_row(self, figure: Figure, row: _Row, top: float) -> float:
        x = self._columns()
        self._text(figure, x[0] + 0.06, top - PAD - 0.17, f"{row.station.number}", HEADING + 2, bold=True)
        for k, line in enumerate((*row.place, *row.rest)):
            bold = k < len(row.place)
            self._text(
                figure, x[1] + 0.05, top - PAD - (k + 0.8) * LINE, line, BODY if bold else SMALL, bold=bold
            )
        for k, line in enumerate(row.walls):
            self._text(figure, x[2] + 0.05, top - PAD - (k + 0.8) * LINE, line, BODY)
        # What is left over makes the boxes higher: there is never too much room to write.
        more = (row.height - sum(row.boxes)) / max(len(row.boxes), 1)
        y = top
        for k, ((what, told), height) in enumerate(zip(row.reads, row.boxes, strict=True)):
            middle = y - (height + more) / 2 - 0.04
            for at, lines in ((x[3], what), (x[4], told)):
                for j, line in enumerate(lines):
                    self._text(figure, at + 0.05, middle + (len(lines) / 2 - j - 0.5) * LINE, line, SMALL)
            y -= height + more
            if k + 1 < len(row.boxes):
                self._rule(figure, x[3], y, x[-1], y, 0.4)
        bottom = top - row.height
        self._rule(figure, x[0], bottom, x[-1], bottom, 0.8)
        for k, at in enumerate(x):
            if not (self.blind and k == VALUE):
                self._rule(figure, at, top, at, bottom, 0.6)
        return bottom

    def _foot(self, figure: Figure, top: float) -> None:
        step = CAUTION * 1.3 / POINTS
        for k, line in enumerate(self.cautions):
            self._text(figure, MARGIN, top - (k + 0.8) * step, line, CAUTION)


def _broken(words: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """Break words into lines that fit into a width, a number never apart from its unit. [in]"""
    letters = int(room * POINTS / (size * NARROW * (1.1 if bold else 1.0)))
    together = NUMBER_AND_UNIT.sub("\\1\u00a0\\2", words)
    return wrap(together, max(letters, 12)) or [""]


def _in_two(words: str, when: str) -> list[str]:
    """A long range below its middle; one of a season on one line."""
    if when or len(words) <= LONG:
        return [words.removeprefix("in ")]
    middle, rest = words.split(" (", 1)
    return [middle, f"({rest}"]


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1].rstrip() + "…"
