"""What the charts of a climate share: degrees of the user's units, and lines that differ in more than colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.chart_words import beside, inch_of, spread
from sunfleck.outputs.contours import in_points
from sunfleck.outputs.themes import SMALL, Dashes, Theme
from sunfleck.studies.day import clock
from sunfleck.units import UNITS, System, format_quantity

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from sunfleck.studies.climate.courses import Band

Floats = NDArray[np.float64]

STEPS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
MOST_LINES = 8
HEADROOM = 0.03  # kept free above and below, of the span
LINE_GAP = 1.3  # between names beside each other, in type sizes
LEADER = 0.18  # [in]
BEHIND_LEADER = 0.04  # [in]
WHOLE_DAY = (0.0, 86400.0)


@dataclass(frozen=True, slots=True)
class Degrees:
    """The scale on which temperatures are shown.

    Attributes
    ----------
    unit : str
        ``degC`` or ``degF``.
    factor, offset : float
        To kelvin.
    """

    unit: str
    factor: float
    offset: float

    def shown(self, kelvin: float | Floats) -> Floats:
        """Temperatures in the user's unit."""
        return np.asarray((np.asarray(kelvin) - self.offset) / self.factor)

    def number(self, kelvin: float) -> str:
        """A temperature to one degree, without its unit."""
        return f"{float(self.shown(kelvin)):.0f}"

    def span(self, low: float, high: float) -> str:
        """Two temperatures, without their unit."""
        return f"{self.number(low)}–{self.number(high)}"


def degrees(system: System) -> Degrees:
    """Return the scale that the program's texts use in a system of units."""
    word = format_quantity(300.0, "temperature", system).split()[-1]
    unit = next(unit for unit in UNITS if unit.kind == "temperature" and unit.spellings[0] == word)
    return Degrees(word, unit.factor, unit.offset)


def hours_words(hours: tuple[float, float]) -> str:
    """Return a stretch of the day as ``11:30-17:30``."""
    return "00:00-24:00" if hours == WHOLE_DAY else f"{clock(hours[0])}-{clock(hours[1])}"


def upright_axis(ax: Axes, values: Sequence[Floats], theme: Theme) -> None:
    """Set the upright axis so that it holds all values, as shown, with lines at round numbers."""
    every = np.concatenate([np.ravel(each) for each in values])
    low, high = float(every.min()), float(every.max())
    room = max(HEADROOM * (high - low), 0.5)
    low, high = low - room, high + room
    step = next((step for step in STEPS if (high - low) / step <= MOST_LINES), STEPS[-1])
    ticks = [step * k for k in range(ceil(low / step), floor(high / step) + 1)]
    ax.set_ylim(low, high)
    ax.set_yticks(ticks, [f"{tick:.0f}" for tick in ticks])
    for tick in ticks:
        ax.axhline(tick, color=theme.hair, linewidth=0.5, zorder=1)


@dataclass(frozen=True, slots=True)
class Line:
    """How a line looks: its pattern, width and sign tell it apart, not its colour alone.

    Attributes
    ----------
    light, dark : str
        Colour on paper and in a dim room; apart also for those who see red and green alike.
    width : float
        Wider below narrower: lines that run together all show. [pt]
    dashes : tuple
        Pattern. [pt]
    marker : str
        Sign at single points.
    """

    light: str
    dark: str
    width: float
    dashes: Dashes
    marker: str

    def colour(self, theme: Theme) -> str:
        """The colour that stands out from a theme's paper."""
        return self.dark if int(theme.paper[1:3], 16) < 128 else self.light


SOLID: Dashes = (0.0, None)
WARM = Line("#c2500c", "#ff9f5f", 2.6, SOLID, "^")
MIDDLE = Line("#00745c", "#48cfa8", 1.9, (0.0, (7.0, 2.6)), "D")
COOL = Line("#0b5fa5", "#74bdff", 1.3, (0.0, (3.2, 2.0)), "o")
NIGHT = Line("#7d3c86", "#dfa0e6", 1.3, (0.0, (6.0, 1.8, 1.2, 1.8)), "s")
ROOM = Line("#5f645a", "#a5aaa2", 1.2, (0.0, (1.2, 1.8)), "")
SPOT = Line("#7a5200", "#f0d060", 1.8, SOLID, "D")


def draw_line(ax: Axes, x: Floats, y: Floats, line: Line, theme: Theme, *, signs: bool = False) -> None:
    """Draw a line in its pattern, with its sign at every point where wanted."""
    ax.plot(
        x,
        y,
        color=line.colour(theme),
        linewidth=line.width,
        linestyle="solid" if line.dashes[1] is None else in_points(line.dashes, line.width),
        marker=line.marker if signs and line.marker else None,
        markersize=2.8 + line.width,
        zorder=6.0 - line.width,
        solid_capstyle="butt",
        dash_capstyle="butt",
    )


def name_ends(
    ax: Axes, ends: Sequence[tuple[str, float, Line]], theme: Theme, left: float, width: float
) -> None:
    """Write the name of each line beside its end, none over another, with a piece of the line that leads there.

    Parameters
    ----------
    ax : Axes
        With its limits set.
    ends : sequence of (str, float, Line)
        Words, height of the end, and how the line looks.
    theme : Theme
        Colours.
    left, width : float
        Where the words may stand. [in]
    """
    column = beside(ax, left, width)
    column.set_xlim(0.0, width)
    low, high = ax.get_ylim()
    gap = SMALL * LINE_GAP / 72 * inch_of(ax)
    order = sorted(ends, key=lambda each: each[1])
    places = spread([end for _, end, _ in order], gap, low + gap / 2, high - gap / 2)
    for (words, end, line), place in zip(order, places, strict=True):
        draw_line(column, np.array([0.02, LEADER]), np.array([end, place]), line, theme)
        column.text(
            LEADER + BEHIND_LEADER,
            place,
            words,
            fontsize=SMALL,
            color=theme.ink,
            va="center_baseline",
            clip_on=False,
        )


def draw_band(
    ax: Axes, band: Band, x: tuple[float, float], scale: Degrees, fill: str, edge: str, alpha: float
) -> None:
    """Shade what is wanted over a stretch, behind every line."""
    low, high = (float(scale.shown(end)) for end in (band.low, band.high))
    ax.fill_between(x, low, high, color=fill, alpha=alpha, linewidth=0, zorder=1.5)
    for end in (low, high):
        ax.plot(x, (end, end), color=edge, linewidth=0.7, zorder=1.6)
