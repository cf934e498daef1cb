"""A luminaire's intensity as a polar diagram: two planes through the aim, and the flux beside them."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from pathlib import Path
from textwrap import shorten
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.contours import in_points
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.page import MARGIN, WIDTH, Page
from sunfleck.outputs.photometry_words import amount, beam_words, flux_words, peak_words
from sunfleck.outputs.pictures import FORMATS, require_formats, save_picture
from sunfleck.outputs.scales import level_words, round_step
from sunfleck.outputs.themes import FLOOR_DASHES, HEADING, SMALL, Theme, theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from sunfleck.studies.photometric_report import PhotometryReport, PolarCurves

__all__ = ["FORMATS", "polar_page", "write_polar"]

ROOM = 1.16  # of the widest ring, for the words of the angles outside of it
ABOUT_RINGS = 4
SPOKE = 30  # [deg]
CURVE = 1.5  # [pt]
SECOND = 1.2  # [pt]
SAMPLE = 0.42  # [in]
ROW = 0.2  # [in]
FIGURES = 0.44  # [in]
LONGEST_NAME = 62
# Half-way between spokes, and how far to either side a number reaches. [deg]
FREE_WAYS = (105.0, -105.0, 75.0, -75.0, 135.0, -135.0, 45.0, -45.0, 165.0, -165.0, 15.0, -15.0)
NEAR_NUMBERS = (-12.0, 0.0, 12.0)
LONGEST_NUMBER = 6
# What is fainter than this, of the brightest, does not show on the diagram; its half is left out.
SHOWS = 0.004


def write_polar(
    report: PhotometryReport,
    curves: PolarCurves,
    folder: Path,
    formats: Sequence[str] = FORMATS,
    *,
    dark: bool = False,
) -> tuple[Path, ...]:
    """Draw the polar diagram of a luminaire.

    Parameters
    ----------
    report : PhotometryReport
        What stands beside it.
    curves : PolarCurves
        What is drawn.
    folder : Path
        Where; it must exist.
    formats : sequence of str
        ``png``, ``svg``.
    dark : bool
        Light on dark; the files' names end in ``-dark`` then, so that both can stay.

    Returns
    -------
    files : tuple of Path
        What was written: the name of the photometric file with ``-polar`` after it.

    Raises
    ------
    DomainError
        If a format is not known.
    MissingExtra
        If matplotlib is not installed.
    OSError
        If a file cannot be written; what stood there before is still there.

    Notes
    -----
    The same report gives the same bytes.
    """
    require_formats(formats)
    stem = f"{Path(report.file).stem or 'luminaire'}-polar{'-dark' if dark else ''}"
    with drawing_settings():
        figure = polar_page(report, curves, theme(dark=dark))
        title = f"{report.name or report.file}: luminous intensity"
        return tuple(save_picture(figure, folder, stem, name, title) for name in formats)


def polar_page(report: PhotometryReport, curves: PolarCurves, theme: Theme) -> Figure:
    """Lay out the diagram with its title, its keys and its figures.

    Parameters
    ----------
    report : PhotometryReport
        What stands beside the diagram.
    curves : PolarCurves
        What is drawn.
    theme : Theme
        Colours.

    Returns
    -------
    figure : Figure
        The finished page.
    """
    page = Page(theme)
    kind = "" if report.kind == "C" else f", measured as type {report.kind}"
    page.title(
        f"{report.file}  ·  {report.form}{kind}",
        shorten(report.name or report.file, LONGEST_NAME, placeholder="…"),
        "Luminous intensity, cd",
    )
    below, above = _halves(curves)
    low, high = (-ROOM if below else -0.1), (ROOM if above else 0.1)
    width = WIDTH - 2 * MARGIN
    page.axes(
        width * (high - low) / (2 * ROOM),
        lambda ax: _draw_diagram(ax, curves, theme, (low, high)),
        left=MARGIN,
        width=width,
    )
    page.space(0.12)
    names = ["C180 on the left, C0 on the right", "C270 on the left, C90 on the right"]
    for k, name in enumerate(["C0-C180 and C90-C270, which are alike"] if curves.alike else names):
        _add_key(page, name, second=k == 1)
    page.space(0.12)
    _add_figures(page, report)
    page.space(0.08)
    for words in (
        flux_words(report),
        f"brightest {peak_words(report)}",
        f"half as bright or more {beam_words(report)}",
    ):
        page.text(f"{words[:1].upper()}{words[1:]}.", SMALL, quiet=True)
    return page.build()


def _halves(curves: PolarCurves) -> tuple[bool, bool]:
    """Whether anything shows on the aim's side, and behind."""
    brightest = np.maximum(curves.c0, curves.c90)
    shows = brightest > SHOWS * float(brightest.max())
    behind = np.abs(curves.angles) > 90.0
    above = bool(shows[behind].any())
    return bool(shows[~behind].any()) or not above, above


def _draw_diagram(ax: Axes, curves: PolarCurves, theme: Theme, ends: tuple[float, float]) -> None:
    top = float(max(curves.c0.max(), curves.c90.max()))
    step = round_step(top / ABOUT_RINGS)
    rings = max(1, ceil(top / step - 1e-9))
    full = rings * step
    below, above = ends[0] < -1, ends[1] > 1
    ax.set_axis_off()
    ax.set_xlim(-ROOM, ROOM)
    ax.set_ylim(*ends)
    reach = np.radians(np.linspace(0.0 if below else 90.0, 180.0 if above else 90.0, 181))
    arc = np.concatenate([-reach[::-1], reach]) if below else np.concatenate([reach, 2 * np.pi - reach[::-1]])
    for k in range(1, rings + 1):
        x, y = _on_page(arc, np.full_like(arc, k / rings))
        ax.plot(x, y, color=theme.hair, linewidth=0.9 if k == rings else 0.6, zorder=2, solid_capstyle="butt")
    _draw_spokes(ax, theme, below=below, above=above)
    for second, values in ((False, curves.c0), (True, curves.c90)):
        if second and curves.alike:
            continue
        x, y = _on_page(np.radians(curves.angles), values / full)
        if not second:
            ax.fill(x, y, color=theme.band, alpha=0.45, linewidth=0, zorder=1)
        _draw_curve(ax, x, y, theme, second=second)
    words = [level_words(float(f"{k * step:.6g}")) for k in range(1, rings + 1)]
    _write_rings(ax, curves, full, words, theme, below=below, above=above)


def _write_rings(
    ax: Axes,
    curves: PolarCurves,
    full: float,
    words: Sequence[str],
    theme: Theme,
    *,
    below: bool,
    above: bool,
) -> None:
    """Write what the rings stand for: along the level edge of half a diagram, else where the lamp is darkest."""
    at: Sequence[float] = (-90.0, 90.0)
    lift, taken = 3.0 if below else -3.0, 0.0
    if below == above:
        brightest = np.maximum(curves.c0, curves.c90)
        beside = {
            a: float(np.interp(a + np.array(NEAR_NUMBERS), curves.angles, brightest).max()) for a in FREE_WAYS
        }
        at, lift = [min(FREE_WAYS, key=lambda angle: beside[angle])], 0.0
        taken = 1.05 * beside[at[0]] / full
    for angle in at:
        for k, number in enumerate(words, 1):
            # Long numbers would touch each other, and within the curve they would lie on it: the outermost serves.
            if k == len(words) or (len(number) <= LONGEST_NUMBER and k / len(words) > taken):
                (x,), (y,) = _on_page(np.radians([angle]), np.array([k / len(words)]))
                ax.annotate(
                    number,
                    (x, y),
                    xytext=(0.0, lift),
                    textcoords="offset points",
                    ha="center",
                    va="bottom" if lift > 0 else "top" if lift < 0 else "center",
                    fontsize=SMALL,
                    color=theme.quiet,
                    zorder=3,
                    bbox={
                        "boxstyle": "square,pad=0.15",
                        "facecolor": theme.paper,
                        "alpha": 0.9,
                        "linewidth": 0,
                    },
                )


def _draw_curve(
    ax: Axes, x: NDArray[np.float64], y: NDArray[np.float64], theme: Theme, *, second: bool
) -> None:
    if second:
        style = in_points(FLOOR_DASHES, SECOND)
        ax.plot(x, y, color=theme.ink, linewidth=SECOND, linestyle=style, zorder=5)
    else:
        ax.plot(x, y, color=theme.ink, linewidth=CURVE, zorder=4, solid_joinstyle="round")


def _draw_spokes(ax: Axes, theme: Theme, *, below: bool, above: bool) -> None:
    for angle in range(0, 181, SPOKE):
        if (angle < 90 and not below) or (angle > 90 and not above):
            continue
        for side in (-1, 1) if angle % 180 else (1,):
            (x,), (y,) = _on_page(np.radians([side * angle]), np.ones(1))
            ax.plot([0.0, x], [0.0, y], color=theme.hair, linewidth=0.6, zorder=2)
            if angle != 90:
                ax.text(
                    1.075 * x,
                    1.075 * y,
                    f"{angle}°",
                    fontsize=SMALL,
                    color=theme.quiet,
                    ha="center",
                    va="center",
                )


def _on_page(angles: NDArray[np.float64], radius: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
    """The aim is down, C0 and C90 to the right."""
    return radius * np.sin(angles), -radius * np.cos(angles)


def _add_key(page: Page, name: str, *, second: bool) -> None:
    row = WIDTH - 2 * MARGIN

    def draw(ax: Axes) -> None:
        ax.set_axis_off()
        ax.set_xlim(0.0, row)
        ax.set_ylim(0.0, 1.0)
        line = np.array([0.0, SAMPLE]), np.array([0.5, 0.5])
        if not second:
            ax.fill_between(*line, 0.1, color=page.theme.band, alpha=0.45, linewidth=0)
        _draw_curve(ax, *line, page.theme, second=second)
        ax.text(SAMPLE + 0.1, 0.46, name, fontsize=SMALL, color=page.theme.ink, va="center")

    page.axes(ROW, draw, left=MARGIN, width=row)


def _add_figures(page: Page, report: PhotometryReport) -> None:
    """Add what a reader looks for first, in a row: a quiet word and its number below."""
    stated = "not stated" if report.stated_lm is None else f"{amount(report.stated_lm)} lm"
    figures = [
        ("flux, from the table", f"{amount(report.flux_lm)} lm"),
        ("flux, as stated", stated),
        ("brightest", f"{amount(report.peak_cd)} cd"),
    ]
    row = WIDTH - 2 * MARGIN

    def draw(ax: Axes) -> None:
        ax.set_axis_off()
        ax.set_xlim(0.0, row)
        ax.set_ylim(0.0, 1.0)
        ax.plot([0.0, row], [1.0, 1.0], color=page.theme.hair, linewidth=0.6, clip_on=False)
        for k, (word, number) in enumerate(figures):
            left = k * row / len(figures)
            ax.text(left, 0.62, word, fontsize=SMALL, color=page.theme.quiet, va="baseline")
            ax.text(
                left, 0.16, number, fontsize=HEADING, fontweight="bold", color=page.theme.ink, va="baseline"
            )

    page.axes(FIGURES, draw, left=MARGIN, width=row)
