"""What a reader needs beside a field: colour bar, the meaning of the lines, scale bar."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from sunfleck.outputs.contours import target_strokes
from sunfleck.outputs.page import LEFT, MARGIN, RIGHT, WIDTH, Page, quiet_axes
from sunfleck.outputs.scales import ColourScale, Ruler, level_words, other_ruler
from sunfleck.outputs.targets import Target
from sunfleck.outputs.themes import FIELD_COLOURS, SMALL, TEXT, Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes

BAR = 0.13  # [in]
ARROW = 0.16  # [in]; says that some places are brighter than the last colour
SAMPLE = 0.42  # [in]
LINE = 0.2  # [in]
SCALE_BAR_SHARE = 4
MIDDLE = 0.45


def add_colour_bar(page: Page, scale: ColourScale, words: str, targets: Sequence[Target]) -> None:
    """Add a bar of the colours with round numbers, the unit, and the targets marked on it.

    Parameters
    ----------
    page : Page
        Grows by the bar.
    scale : ColourScale
        The colours' range.
    words : str
        Channel and unit.
    targets : sequence of Target
        Marked where they lie on the scale.
    """
    page.text(words, TEXT, bold=True)
    page.space(0.03)
    width = WIDTH - MARGIN - RIGHT - (ARROW if scale.goes_on else 0.0)

    def draw(ax: Axes) -> None:
        quiet_axes(ax, page.theme)
        ramp = np.linspace(0.0, 1.0, 256)[None, :]
        ax.imshow(ramp, extent=(0.0, scale.top, 0.0, 1.0), aspect="auto", cmap=FIELD_COLOURS, origin="lower")
        ax.set_xlim(0.0, scale.top)
        ax.set_ylim(0.0, 1.0)
        ax.set_yticks([])
        ax.set_xticks([0.0, *scale.levels])
        ax.set_xticklabels(["0", *map(level_words, scale.levels)])
        if scale.goes_on:
            from matplotlib import colormaps  # noqa: PLC0415  # an extra

            beyond = scale.top * (1 + ARROW / width)
            corners = [(scale.top, 0.0), (beyond, 0.5), (scale.top, 1.0)]
            ax.fill(
                *zip(*corners, strict=True), color=colormaps[FIELD_COLOURS](1.0), clip_on=False, linewidth=0
            )
            ax.set_xlim(0.0, scale.top)
        for target in targets:
            if 0 < target.value <= scale.top:
                for colour, stroke, style in target_strokes(page.theme, target.dashes):
                    ax.plot([target.value] * 2, [0.0, 1.0], color=colour, linewidth=stroke, linestyle=style)

    page.axes(BAR, draw, left=MARGIN, width=width)
    page.space(0.24)


def add_target_key(page: Page, targets: Sequence[Target], notes: Sequence[str]) -> None:
    """Add a sample of each target line with its meaning, and a note where the field does not cross it.

    Parameters
    ----------
    page : Page
        Grows by a line for each target.
    targets : sequence of Target
        The targets.
    notes : sequence of str
        What to add to each; nothing where empty.
    """
    for target, note in zip(targets, notes, strict=True):

        def draw(ax: Axes, target: Target = target, note: str = note) -> None:
            _key_line(ax, page.theme)
            ax.axhspan(0.16, 0.84, xmin=0.0, xmax=SAMPLE / _row(), color=_middle_colour(), linewidth=0)
            for colour, stroke, style in target_strokes(page.theme, target.dashes):
                ax.plot([0.0, SAMPLE], [0.5, 0.5], color=colour, linewidth=stroke, linestyle=style)
            text = f"{target.words}; {note}" if note else target.words
            ax.text(SAMPLE + 0.1, 0.46, text, fontsize=SMALL, color=page.theme.ink, va="center")

        page.axes(LINE, draw, left=MARGIN, width=_row())


def add_band_key(page: Page) -> None:
    """Add a sample of the expected line with its range, as the charts of the perches show it."""

    def draw(ax: Axes) -> None:
        _key_line(ax, page.theme)
        ax.fill_between([0.0, SAMPLE], [0.12, 0.12], [0.88, 0.88], color=page.theme.band, linewidth=0)
        ax.plot([0.0, SAMPLE], [0.5, 0.5], color=page.theme.ink, linewidth=1.3)
        words = "at the animal's back: expected, and could be (9 of 10)"
        ax.text(SAMPLE + 0.1, 0.46, words, fontsize=SMALL, color=page.theme.ink, va="center")

    page.axes(LINE, draw, left=MARGIN, width=_row())


def add_scale_row(page: Page, words: str, ruler: Ruler, metre: float) -> None:
    """Add the name of the level direction and, to the right, a scale bar in both systems.

    Parameters
    ----------
    page : Page
        Grows by a row.
    words : str
        What the level direction is.
    ruler : Ruler
        The user's units.
    metre : float
        How long a metre is on the page. [in]
    """
    wanted = (WIDTH - LEFT - RIGHT) / metre
    length = ruler.step(wanted, SCALE_BAR_SHARE) / ruler.metre
    other = other_ruler(ruler)
    second = f"{length * other.metre:.1f}".rstrip("0").rstrip(".")

    def draw(ax: Axes) -> None:
        _key_line(ax, page.theme)
        ax.text(LEFT - MARGIN, 0.5, words, fontsize=SMALL, color=page.theme.quiet, va="center")
        right, bar = _row(), length * metre
        ax.plot([right - bar, right], [0.18, 0.18], color=page.theme.ink, linewidth=1.4, clip_on=False)
        for end in (right - bar, right):
            ax.plot([end, end], [0.0, 0.36], color=page.theme.ink, linewidth=0.9, clip_on=False)
        label = f"{length * ruler.metre:g} {ruler.unit}"
        ax.text(
            right,
            0.42,
            f"{label}  ({second} {other.unit})",
            fontsize=SMALL,
            color=page.theme.ink,
            ha="right",
            va="bottom",
        )

    page.axes(0.26, draw, left=MARGIN, width=_row())


def _key_line(ax: Axes, theme: Theme) -> None:
    quiet_axes(ax, theme)
    ax.set_xlim(0.0, _row())
    ax.set_ylim(0.0, 1.0)
    ax.set_xticks([])
    ax.set_yticks([])


def _row() -> float:
    return WIDTH - MARGIN - RIGHT


def _middle_colour() -> tuple[float, float, float, float]:
    from matplotlib import colormaps  # noqa: PLC0415  # an extra

    return colormaps[FIELD_COLOURS](MIDDLE)
