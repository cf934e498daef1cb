"""All of a plan on one sheet to print: its pictures in a row, and what is said of it below them."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.cuts import cut_page
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.pictures import replace_with
from sunfleck.outputs.scales import System, colour_scale, ruler
from sunfleck.outputs.strips import perches_page
from sunfleck.outputs.themes import LIGHT, SMALL, TITLE

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from sunfleck.studies.slices import MapSet

# A3 and the American sheet of about its size, lying. [in]
PAPERS = {"metric": (16.54, 11.69), "us": (17.0, 11.0)}
MARGIN = 0.45  # [in]
PICTURES = 8.0  # height kept for the pictures [in]
DOTS = 200  # [1/in]
GAP = 0.12  # [in]
COLUMNS = 3


def write_plan_sheet(
    maps: MapSet, folder: Path, system: System, verdicts: Sequence[str], stated: str
) -> Path:
    """Write one sheet as PDF.

    Parameters
    ----------
    maps : MapSet
        One channel's cuts and strips.
    folder : Path
        Where; it must exist.
    system : str
        ``metric`` (A3) or ``us``.
    verdicts : sequence of str
        What is said of the plan, a paragraph each.
    stated : str
        The foot: program, library, what was not checked.

    Returns
    -------
    file : Path
        ``CHANNEL-sheet.pdf``; what stood there before is replaced at once.

    Raises
    ------
    MissingExtra
        If matplotlib is not installed.
    OSError
        If it cannot be written.
    """
    cuts = [cut.expected for cut in maps.slices]
    perches = [strip.expected for strip in maps.strips] + [strip.back_line for strip in maps.strips]
    scale, lengths = colour_scale(cuts, perches, maps.floor, maps.ceiling), ruler(system)
    with drawing_settings():
        figures = [cut_page(cut, maps, scale, lengths, LIGHT) for cut in maps.slices]
        if maps.strips:
            figures.append(perches_page(maps, scale, lengths, LIGHT))
        sheet = _sheet(
            maps.plan_name, [_pixels(figure) for figure in figures], verdicts, stated, PAPERS[system]
        )
        picture = BytesIO()
        # No time stamp: the same plan gives the same file.
        sheet.savefig(
            picture, format="pdf", dpi=DOTS, metadata={"Title": maps.plan_name, "CreationDate": None}
        )
    channel = maps.slices[0].channel if maps.slices else "light"
    return replace_with(folder / f"{channel}-sheet.pdf", picture.getvalue())


def _pixels(figure: Figure) -> NDArray[np.uint8]:
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra

    figure.set_dpi(DOTS)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    return np.array(canvas.buffer_rgba(), dtype=np.uint8)


def _sheet(
    name: str,
    pictures: list[NDArray[np.uint8]],
    verdicts: Sequence[str],
    stated: str,
    paper: tuple[float, float],
) -> Figure:
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra
    from matplotlib.figure import Figure  # noqa: PLC0415  # an extra

    width, height = paper
    figure = Figure(figsize=paper, facecolor="white")
    FigureCanvasAgg(figure)
    figure.text(MARGIN / width, 1 - 0.55 / height, name, fontsize=TITLE, fontweight="bold", color=LIGHT.ink)
    # All as high as lets the row fit between the margins, and no higher than the room.
    shapes = [picture.shape[1] / picture.shape[0] for picture in pictures]
    room = width - 2 * MARGIN - GAP * (len(pictures) - 1)
    each = min(PICTURES, room / sum(shapes)) if shapes else 0.0
    left, top = MARGIN, height - 0.75
    for picture, shape in zip(pictures, shapes, strict=True):
        box = (left / width, (top - each) / height, each * shape / width, each / height)
        ax = figure.add_axes(box)
        ax.imshow(picture, interpolation="lanczos", aspect="auto")
        ax.set_axis_off()
        left += each * shape + GAP
    _text(figure, verdicts, top - each - 0.25, paper)
    figure.text(MARGIN / width, 0.3 / height, stated, fontsize=SMALL - 1, color=LIGHT.quiet)
    return figure


def _text(figure: Figure, verdicts: Sequence[str], top: float, paper: tuple[float, float]) -> None:
    """Paragraphs in columns, from the left; what finds no room is told of."""
    width, height = paper
    column = (width - 2 * MARGIN) / COLUMNS
    letters = int((column - 0.2) * 72 / (SMALL * 0.56))
    line = SMALL * 1.4 / 72
    lines = [each for words in verdicts for each in (*wrap(words, letters), "")]
    # Columns of about the same length, none longer than there is room.
    rows = min(max(int((top - 0.55) / line), 1), -(-len(lines) // COLUMNS) + 3)
    if len(lines) > rows * COLUMNS:
        lines = [*lines[: rows * COLUMNS - 1], "... the rest stands in `sunfleck check`"]
    for k, words in enumerate(lines):
        x, y = MARGIN + column * (k // rows), top - line * (k % rows + 1)
        figure.text(x / width, y / height, words, fontsize=SMALL, color=LIGHT.ink)
