"""A template tiled over sheets of paper at full size, with crosses to join them and a bar to measure."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.outputs.cardboard import LETTERS, Template
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.page import POINTS
from sunfleck.outputs.paper import broken, files_of
from sunfleck.units import System

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Floats = NDArray[np.float64]

INCH = 25.4  # [mm]
# Exactly, not rounded to hundredths of an inch. [mm]
SHEETS = {"metric": (210.0, 297.0), "us": (215.9, 279.4)}
# What home printers leave white, and room for the foot. [mm]
SIDE, BELOW, ABOVE = 10.0, 18.0, 10.0
OVERLAP = 10.0  # [mm]
ROUND = 4.0  # kept free round a template, so that no line runs along the edge of a sheet [mm]
CROSS = 5.0  # arm of a cross at which two sheets are laid over each other [mm]
BAR = {"metric": (100.0, "100 mm"), "us": (4 * INCH, "4 in")}
MOST_SHEETS = 300
CUT, MARK, FRAME = 1.0, 0.4, 0.25  # line weights [pt]
HOW = (
    "Print at 100 % (actual size, no fitting to the page). Measure the bar at the foot of every sheet: {bar}, or print again.",
    "Cut each sheet along its frame on one side, lay crosses on crosses (sheets share 10 mm) and tape. The rectangle round "
    "the drawing measures {diagonal} from corner to corner. Then trace onto cardboard.",
    "Strong line: cut. Thin lines: edges of the relief, corners, marks. Empty sheets are left out; in the plan they are crossed.",
)


@dataclass(frozen=True, slots=True)
class Tiling:
    """Sheets a template is cut into.

    Attributes
    ----------
    sheet : (2,) float
        Width and height of the paper. [mm]
    origin : (2,) float
        Lower left corner of the first tile, on the template. [mm]
    tile : (2,) float
        Width and height of what is drawn on each. [mm]
    columns, rows : int
        How many beside and above each other.
    """

    sheet: tuple[float, float]
    origin: tuple[float, float]
    tile: tuple[float, float]
    columns: int
    rows: int

    def corner(self, column: int, row: int) -> Floats:
        """Lower left corner (2,) of a tile, counted from the lower left. [mm]"""
        step = np.array(self.tile) - OVERLAP
        return np.asarray(np.array(self.origin) + step * np.array([column, row]))


def tiling_of(template: Template, system: System) -> Tiling:
    """Cut a template into sheets, lying or upright, whichever takes fewer.

    Parameters
    ----------
    template : Template
        True to size. [mm]
    system : str
        ``metric`` (A4) or ``us`` (letter). [-]

    Returns
    -------
    tiling : Tiling
        All of it, each two neighbours sharing 10 mm.

    Raises
    ------
    DomainError
        If it takes more than 300 sheets.
    """
    points = np.concatenate([line.points for line in template.lines])
    low, high = points.min(axis=0) - ROUND, points.max(axis=0) + ROUND
    found = []
    for sheet in (SHEETS[system], SHEETS[system][::-1]):
        tile = (sheet[0] - 2 * SIDE, sheet[1] - BELOW - ABOVE)
        columns, rows = (
            max(1, ceil((float(high[k] - low[k]) - OVERLAP) / (tile[k] - OVERLAP) - 1e-9)) for k in (0, 1)
        )
        # In the middle of its sheets, so that the rim is shared.
        whole = [tile[k] + ((columns, rows)[k] - 1) * (tile[k] - OVERLAP) for k in (0, 1)]
        origin = tuple(float((low[k] + high[k]) / 2 - whole[k] / 2) for k in (0, 1))
        found.append(Tiling(sheet, (origin[0], origin[1]), tile, columns, rows))
    best = min(found, key=lambda tiling: tiling.columns * tiling.rows)
    count = best.columns * best.rows
    if count > MOST_SHEETS:
        size = " x ".join(f"{each / 1000:.2f} m" for each in template.size)
        msg = f"a template needs at most {MOST_SHEETS} sheets; {template.title} ({size}) takes {count}: use its DXF instead"
        raise DomainError(msg)
    return best


def template_pages(template: Template, system: System, stated: str = "") -> bytes:
    """Draw a template over sheets at full size, as PDF; its first page is the plan of the sheets.

    Parameters
    ----------
    template : Template
        True to size. [mm]
    system : str
        ``metric`` (A4) or ``us`` (letter). [-]
    stated : str
        Program and plan, for the foot. [-]

    Returns
    -------
    content : bytes
        The file; the same for the same template.

    Raises
    ------
    DomainError
        If it takes more than 300 sheets.
    MissingExtra
        If matplotlib is not installed.
    """
    tiling = tiling_of(template, system)
    with drawing_settings():
        drawn = [
            (column, row)
            for row in range(tiling.rows - 1, -1, -1)
            for column in range(tiling.columns)
            if is_touched(template, tiling, column, row)
        ]
        figures = [_plan(template, tiling, system, stated, drawn)]
        for column, row in drawn:
            figures.append(_sheet(template, tiling, system, column, row))
        return files_of(figures, "pdf", template.title)[0]


def is_touched(template: Template, tiling: Tiling, column: int, row: int) -> bool:
    """Whether a line of a template runs over a tile: every piece of every line is held against it."""
    low = tiling.corner(column, row)
    high = low + np.array(tiling.tile)
    for line in template.lines:
        ends = np.concatenate([line.points, line.points[:1]]) if line.closed else line.points
        if bool(_crosses(ends[:-1], ends[1:], low, high).any()):
            return True
    return False


def _crosses(first: Floats, last: Floats, low: Floats, high: Floats) -> NDArray[np.bool_]:
    """Whether each piece (n, 2) to (n, 2) has a point in a rectangle: its share between the sides along both axes."""
    along = last - first
    still = np.abs(along) < 1e-12
    safe = np.where(still, 1.0, along)
    a, b = (low - first) / safe, (high - first) / safe
    within = (first >= low) & (first <= high)
    enter = np.where(still, np.where(within, -np.inf, np.inf), np.minimum(a, b)).max(axis=1)
    leave = np.where(still, np.where(within, np.inf, -np.inf), np.maximum(a, b)).min(axis=1)
    return np.asarray(np.maximum(enter, 0.0) <= np.minimum(leave, 1.0))


def name_of(tiling: Tiling, column: int, row: int) -> str:
    """Name of a sheet, rows counted from above as they are read: ``row 2, column 3``."""
    return f"row {tiling.rows - row}, column {column + 1}"


class _Page:
    """A sheet in millimetres."""

    def __init__(self, width: float, height: float) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra
        from matplotlib.figure import Figure  # noqa: PLC0415  # an extra
        from matplotlib.transforms import Affine2D  # noqa: PLC0415  # an extra

        self.figure: Figure = Figure(figsize=(width / INCH, height / INCH), facecolor="white")
        FigureCanvasAgg(self.figure)
        self.width, self.height = width, height
        self.millimetres = Affine2D().scale(1 / INCH) + self.figure.dpi_scale_trans

    def line(
        self, points: Floats | list[list[float]], weight: float, *, closed: bool = False, frame: Any = None
    ) -> None:
        from matplotlib.patches import PathPatch  # noqa: PLC0415  # an extra
        from matplotlib.path import Path  # noqa: PLC0415  # an extra

        corners = np.asarray(points, dtype=np.float64)
        path = Path(np.concatenate([corners, corners[:1]]) if closed else corners, closed=closed)
        path.should_simplify = False
        drawn = PathPatch(
            path,
            facecolor="none",
            edgecolor="black",
            lw=weight,
            joinstyle="miter",
            transform=self.millimetres,
        )
        self.figure.add_artist(drawn)
        if frame is not None:
            drawn.set_clip_path(Path(np.asarray(frame)), self.millimetres)

    def words(self, x: float, y: float, words: str, size: float, **more: Any) -> Any:
        plain = "".join(sign if sign.isprintable() else " " for sign in words)
        return self.figure.text(
            x, y, plain, fontsize=size, transform=self.millimetres, color="black", va="baseline", **more
        )

    def bar(self, x: float, y: float, system: System) -> None:
        length, words = BAR[system]
        self.line([[x, y], [x + length, y]], MARK)
        for end in (x, x + length):
            self.line([[end, y - 1.5], [end, y + 1.5]], MARK)
        self.words(x + 2, y + 1, f"measure this: if it is not {words}, print at 100 %", 6.5)


def _plan(
    template: Template, tiling: Tiling, system: System, stated: str, drawn: list[tuple[int, int]]
) -> Figure:
    width, height = SHEETS[system]
    page = _Page(width, height)
    y = height - 20.0
    room = (width - 2 * SIDE) / INCH

    def paragraph(words: str, size: float, *, bold: bool = False) -> None:
        nonlocal y
        for each in broken(words, size, room, bold=bold):
            page.words(SIDE, y, each, size, fontweight="bold" if bold else "normal")
            y -= size * 1.4 / POINTS * INCH
        y -= 1.5

    paragraph(template.title, 13.0, bold=True)
    points = np.concatenate([line.points for line in template.lines if line.closed])
    whole = float(np.hypot(*np.ptp(points, axis=0)))
    across = f"{whole:.0f} mm" if system == "metric" else f"{whole / INCH:.2f} in"
    sheets = f"{len(drawn)} sheets, {tiling.columns} beside and {tiling.rows} above each other."
    for words in (
        *template.told,
        sheets,
        *(each.format(bar=BAR[system][1], diagonal=across) for each in HOW),
    ):
        paragraph(words, 9.0)
    y -= 3.0
    page.bar(SIDE, y - 4.0, system)
    y -= 14.0
    extent = (
        tiling.corner(tiling.columns - 1, tiling.rows - 1) + np.array(tiling.tile) - np.array(tiling.origin)
    )
    scale = min((width - 2 * SIDE) / extent[0], (y - 22.0) / extent[1])
    foot = np.array([SIDE, y - scale * extent[1]])

    def small(points: Floats) -> Floats:
        return np.asarray(foot + scale * (points - np.array(tiling.origin)))

    for row in range(tiling.rows):
        for column in range(tiling.columns):
            low = tiling.corner(column, row)
            corners = small(low + np.array(tiling.tile) * np.array([[0, 0], [1, 0], [1, 1], [0, 1]]))
            page.line(corners, FRAME, closed=True)
            if (column, row) not in drawn:
                page.line(corners[[0, 2]], FRAME)
                page.line(corners[[1, 3]], FRAME)
                continue
            size = float(np.clip(0.28 * scale * tiling.tile[0] / INCH * POINTS / 2, 3.0, 9.0))
            middle = corners.mean(axis=0)
            number = f"{tiling.rows - row}/{column + 1}"
            # A line of the drawing may run through it.
            behind = {"facecolor": "white", "edgecolor": "none", "pad": 0.8}
            page.words(float(middle[0]), float(middle[1]), number, size, ha="center", bbox=behind)
    for line in template.lines:
        page.line(small(line.points), CUT if line.cut else FRAME, closed=line.closed)
    page.words(SIDE, 10.0, stated, 6.5)
    return page.figure


def _sheet(template: Template, tiling: Tiling, system: System, column: int, row: int) -> Figure:
    page = _Page(*tiling.sheet)
    low = tiling.corner(column, row)
    by = np.array([SIDE, BELOW]) - low
    frame = np.array([SIDE, BELOW]) + np.array(tiling.tile) * np.array([[0, 0], [1, 0], [1, 1], [0, 1]])
    page.line(frame, FRAME, closed=True)
    for line in template.lines:
        page.line(line.points + by, CUT if line.cut else MARK, closed=line.closed, frame=frame)
    for x, y in crosses_of(tiling, column, row) + by:
        page.line([[x - CROSS, y], [x + CROSS, y]], FRAME)
        page.line([[x, y - CROSS], [x, y + CROSS]], FRAME)
    for each in template.words:
        at = np.array(each.at) + by
        if (frame[0] <= at).all() and (at <= frame[2]).all():
            page.words(float(at[0]), float(at[1]), each.words, LETTERS / INCH * POINTS)
    page.bar(SIDE, 6.0, system)
    page.words(tiling.sheet[0] - SIDE, 12.0, name_of(tiling, column, row), 9.0, ha="right", fontweight="bold")
    page.words(SIDE, 12.0, template.title[:60], 7.0)
    return page.figure


def crosses_of(tiling: Tiling, column: int, row: int) -> Floats:
    """Crosses (k, 2) on a tile, on the template: in the middle of what it shares with each neighbour. [mm]"""
    low = tiling.corner(column, row)
    tile = np.array(tiling.tile)
    ends = []
    for axis, here, count in ((0, column, tiling.columns), (1, row, tiling.rows)):
        # Where two sheets share a strip, two crosses along it, a quarter from either end.
        for beside, at in ((here > 0, OVERLAP / 2), (here < count - 1, tile[axis] - OVERLAP / 2)):
            for share in (0.25, 0.75) if beside else ():
                place = low + share * tile
                place[axis] = low[axis] + at
                ends.append(place)
    return np.array(ends).reshape(-1, 2)
