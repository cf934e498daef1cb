"""A year of an animal's box: its ends and its nights against what is wanted, and electricity."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.chart_words import ChartWords
from sunfleck.outputs.climate_styles import (
    COOL,
    NIGHT,
    ROOM,
    WARM,
    Degrees,
    degrees,
    draw_band,
    draw_line,
    hours_words,
    name_ends,
    upright_axis,
)
from sunfleck.outputs.labels import Spot
from sunfleck.outputs.page import WIDTH, Page, quiet_axes
from sunfleck.outputs.scales import level_words, round_step
from sunfleck.outputs.themes import SMALL, Theme
from sunfleck.studies.climate.seasons import MONTHS
from sunfleck.units import System

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from sunfleck.studies.climate.courses import YearCourse

HEIGHT = 3.0  # [in]
LEFT = 0.42  # [in]
PLOT = 3.3  # [in]
NAMES = LEFT + PLOT
ENERGY = 0.9  # [in]
WIDE = 0.62  # of a bar, in months
EDGE = 0.6  # from the first and last month to the frame, in months
ABOUT = 3
# Numbers of more than three digits stand upright: side by side they would touch.
ROOM_ABOVE, ROOM_UPRIGHT = 1.18, 1.5
COST, COST_UPRIGHT = 0.16, 0.36  # [in]
WHOLE, LONG = 10.0, 999.5
BANDS = {"warm end": WARM, "cool end": COOL, "night": NIGHT}
SHADE = 0.17


def year_page(course: YearCourse, system: System, theme: Theme) -> Figure:
    """Draw a year.

    Parameters
    ----------
    course : YearCourse
        What is drawn.
    system : str
        ``metric`` or ``us``.
    theme : Theme
        Colours.

    Returns
    -------
    figure : Figure
        The finished page.
    """
    page, scale = Page(theme), degrees(system)
    hours = course.hours
    page.title(
        course.plan,
        f"{course.animal}: air through the year",
        f"Mean by day {hours_words(hours.day)}, by night {hours_words(hours.night)}",
    )
    page.text(f"shaded air where it can rest, {scale.unit}", SMALL, quiet=True, left=LEFT)
    page.space(0.06)
    page.axes(HEIGHT, partial(_draw, course=course, scale=scale, theme=theme), LEFT, PLOT)
    page.space(0.3)
    page.text(f"electricity, kWh a month; {course.energy_year:,.0f} kWh a year", SMALL, quiet=True, left=LEFT)
    page.space(0.04)
    page.axes(ENERGY, partial(_draw_energy, course=course, theme=theme), LEFT, PLOT)
    page.space(0.22)
    if course.cost is not None:
        height = COST_UPRIGHT if float(course.cost.max()) >= LONG else COST
        page.axes(height, partial(_write_cost, course=course, theme=theme), LEFT, PLOT)
        page.text(
            f"cost, {course.currency} a month, at {course.price:g} a kWh; {course.cost_year:,.0f} a year",
            SMALL,
            quiet=True,
            left=LEFT,
        )
    page.space(0.12)
    page.text("Lines: expected. The charts of single days show what it could be.", SMALL, quiet=True)
    if course.bands:
        page.text("Shaded: wanted.", SMALL, quiet=True)
    page.text("The room goes from winter to summer and back along a cosine.", SMALL, quiet=True)
    return page.build()


def _draw(ax: Axes, course: YearCourse, scale: Degrees, theme: Theme) -> None:
    months = np.arange(len(MONTHS), dtype=np.float64)
    lines = [
        ("warm end", course.warm, WARM),
        ("cool end", course.cool, COOL),
        ("night", course.night, NIGHT),
        ("room by day", course.room, ROOM),
    ]
    shown = [(name, scale.shown(values), line) for name, values, line in lines]
    ends = [scale.shown(np.array([band.low, band.high])) for band in course.bands]
    _month_axis(ax, theme)
    upright_axis(ax, [*(values for _, values, _ in shown), *ends], theme)
    left, right = ax.get_xlim()
    words = ChartWords(ax, theme)
    for band in course.bands:
        colour = BANDS[band.name].colour(theme)
        draw_band(ax, band, (left, right), scale, colour, colour, SHADE)
        words.keep_for(
            band.name, (left, right), (float(scale.shown(band.low)), float(scale.shown(band.high)))
        )
    for _, values, line in shown:
        draw_line(ax, months, values, line, theme, signs=True)
        words.keep_clear(np.linspace(0.0, months[-1], 12 * 8), _between(values, 12 * 8), 9.0)
    for band, (bottom, top) in zip(course.bands, ends, strict=True):
        heights = [float(bottom + (top - bottom) * share) for share in (0.5, 0.7, 0.3, 0.85, 0.15)]
        spots = [Spot(left, y, 1.0) for y in heights] + [Spot(right, y, -1.0) for y in heights]
        spots += [Spot(x, y) for x in np.arange(1.5, 10.0, 0.5) for y in heights]
        span = scale.span(band.low, band.high)
        words.place(band.name, [f"{band.name} wanted {span}", f"{band.name}\nwanted {span}"], spots)
    named = [(name, float(values[-1]), line) for name, values, line in shown]
    name_ends(ax, named, theme, NAMES, WIDTH - NAMES - 0.1)


def _between(values: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    at = np.arange(len(values), dtype=np.float64)
    return np.asarray(np.interp(np.linspace(0.0, at[-1], count), at, values))


def _month_axis(ax: Axes, theme: Theme) -> None:
    quiet_axes(ax, theme)
    ax.set_xlim(-EDGE, len(MONTHS) - 1 + EDGE)
    ax.set_xticks(range(len(MONTHS)), [month[:3] for month in MONTHS])


def _draw_energy(ax: Axes, course: YearCourse, theme: Theme) -> None:
    _month_axis(ax, theme)
    most = float(course.energy.max())
    step = round_step(most / ABOUT)
    turned = most >= LONG
    top = most * (ROOM_UPRIGHT if turned else ROOM_ABOVE) if most > 0 else 1.0
    levels = [step * k for k in range(int(top / step) + 1)]
    ax.set_ylim(0.0, top)
    ax.set_yticks(levels, [level_words(level) for level in levels])
    for level in levels:
        ax.axhline(level, color=theme.hair, linewidth=0.5, zorder=1)
    ax.bar(range(len(MONTHS)), course.energy, width=WIDE, color=theme.band, linewidth=0, zorder=2)
    for month, energy in enumerate(course.energy):
        ax.text(
            month,
            energy + 0.02 * top,
            _short(energy),
            ha="center",
            va="bottom",
            rotation=90 if turned else 0,
            fontsize=SMALL,
            color=theme.ink,
            zorder=3,
        )


def _write_cost(ax: Axes, course: YearCourse, theme: Theme) -> None:
    assert course.cost is not None
    ax.set_axis_off()
    ax.set_xlim(-EDGE, len(MONTHS) - 1 + EDGE)
    ax.set_ylim(0.0, 1.0)
    turned = float(course.cost.max()) >= LONG
    for month, cost in enumerate(course.cost):
        ax.text(
            month,
            0.5,
            _short(cost),
            ha="center",
            va="center",
            rotation=90 if turned else 0,
            fontsize=SMALL,
            color=theme.ink,
        )


def _short(number: float) -> str:
    return f"{number:.0f}" if number >= WHOLE else f"{number:.1f}"
