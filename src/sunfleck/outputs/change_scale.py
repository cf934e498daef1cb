"""Colours for how many times as much there is: one scale about 1, the same way up and down."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.page import MARGIN, RIGHT, WIDTH, Page, quiet_axes
from sunfleck.outputs.themes import TEXT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Diverging, of even steps to the eye, and told apart by people who see red and green alike: F. Crameri, *Scientific
# colour maps*, 2018. Blue is less, black is the same, red is more.
CHANGE_COLOURS = "berlin"
TOPS = (1.1, 1.2, 1.5, 2.0, 3.0, 5.0, 10.0)
# The scale serves all but this share of the places: beside a lamp a ratio may be anything.
SHARE = 0.995
BAR = 0.13  # [in]


def change_top(fields: Sequence[NDArray[np.float64]]) -> float:
    """Return the ratio at the end of the scale, a round one, for all fields of a channel."""
    values = np.concatenate([np.ravel(field) for field in fields]) if fields else np.zeros(0)
    values = values[np.isfinite(values)]
    if not len(values):
        return TOPS[0]
    widest = float(np.exp(np.quantile(np.abs(np.log(values)), SHARE)))
    return next((top for top in TOPS if top >= widest), TOPS[-1])


def change_words(field: NDArray[np.float64]) -> str:
    """Say in words how much a field changes."""
    values = field[np.isfinite(field)]
    if not len(values):
        return "Nothing to compare: less of this light arrives here than a meter shows."
    low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
    return f"Here {middle:.2f} times as much as before; nine of ten places {low:.2f} to {high:.2f} times."


def add_change_bar(page: Page, top: float, words: str) -> None:
    """Add a bar of the colours with round ratios.

    Parameters
    ----------
    page : Page
        Grows by the bar.
    top : float
        Ratio at its end. [-]
    words : str
        Of what.
    """
    page.text(words, TEXT, bold=True)
    page.space(0.03)
    end = float(np.log(top))

    def draw(ax: Axes) -> None:
        quiet_axes(ax, page.theme)
        ramp = np.linspace(-1.0, 1.0, 256)[None, :]
        ax.imshow(ramp, extent=(-end, end, 0.0, 1.0), aspect="auto", cmap=CHANGE_COLOURS, origin="lower")
        ax.set_xlim(-end, end)
        ax.set_ylim(0.0, 1.0)
        ax.set_yticks([])
        ticks = end * np.array([-1.0, -0.5, 0.0, 0.5, 1.0])
        ax.set_xticks(ticks, [f"{np.exp(tick):.2f}".rstrip("0").rstrip(".") for tick in ticks])

    page.axes(BAR, draw, left=MARGIN, width=WIDTH - MARGIN - RIGHT)
    page.space(0.24)
