"""A day of an animal's box: air at a few heights, what is wanted when, the lamps, and what it could be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from sunfleck.outputs.chart_words import OVER_MARK, ChartWords, beside, inch_of
from sunfleck.outputs.climate_styles import (
    BEHIND_LEADER,
    COOL,
    LEADER,
    MIDDLE,
    NIGHT,
    ROOM,
    SPOT,
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
from sunfleck.outputs.page import Page, quiet_axes, quiet_type
from sunfleck.outputs.scales import ruler
from sunfleck.outputs.themes import SMALL, Theme
from sunfleck.studies.day import clock
from sunfleck.units import System

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from sunfleck.studies.climate.courses import AirCourse, Band, DayCourse, LampCourse, Range

HEIGHT = 3.4  # [in]
LEFT = 0.42  # [in]
PLOT = 2.12  # [in]
NAMES = LEFT + PLOT
BARS = 3.77  # [in]
BARS_WIDE = 1.0  # [in]
BAR = 4.2  # [pt]
STRIP = 0.2  # [in]
HOURS = (0.0, 6.0, 12.0, 18.0, 24.0)
DAY = 24.0
# Between the bars of day and of night, in bars.
BETWEEN = 0.7
AIRS = {
    "top": ("top", WARM),
    "highest place": ("its highest", NIGHT),
    "middle": ("middle", MIDDLE),
    "lowest place": ("its lowest", COOL),
}


def day_page(course: DayCourse, system: System, theme: Theme) -> Figure:
    """Draw a day.

    Parameters
    ----------
    course : DayCourse
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
        f"{course.animal}: air {course.season.words}",
        f"Judged by day {hours_words(hours.day)}, by night {hours_words(hours.night)}",
    )
    shown = "shaded air" if course.spot is None else "shaded air and basking surface"
    page.text(f"{shown}, {scale.unit}", SMALL, quiet=True, left=LEFT)
    page.space(0.18)
    page.axes(HEIGHT, partial(_draw, course=course, scale=scale, system=system, theme=theme), LEFT, PLOT)
    page.space(0.34)
    if course.lamps:
        page.text("lamps, level over the day", SMALL, quiet=True, left=LEFT)
        page.space(0.04)
    for lamp in course.lamps:
        page.text(lamp.name, SMALL, left=LEFT)
        page.axes(STRIP, partial(_draw_lamp, lamp=lamp, theme=theme), LEFT, PLOT)
        page.space(0.06)
    page.space(0.12)
    for words in _foot(course, system):
        page.text(words, SMALL, quiet=True)
    return page.build()


def _foot(course: DayCourse, system: System) -> Iterator[str]:
    lowest, highest = (ruler(system).words(rest).replace(" ", "\N{NO-BREAK SPACE}") for rest in course.rests)
    where = f"at {lowest}" if lowest == highest else f"from {lowest} to {highest}"
    meant = " Warm end, cool end and night are meant there." if course.bands else ""
    yield f"Heights are above the ground; its back can rest {where}.{meant}"
    if course.bands:
        yield "Shaded: wanted, in the hours in which it is judged."
    beside = ", and in brackets at the basking surface" if course.spot is not None else ""
    yield f"Lines and marks: expected. Bars at the right{beside}: what it could be, 9 of 10."


def _height(air: AirCourse, system: System) -> str:
    return ruler(system).words(air.height)


def _draw(ax: Axes, course: DayCourse, scale: Degrees, system: System, theme: Theme) -> None:
    quiet_axes(ax, theme)
    times = (np.arange(len(course.room)) + 0.5) * DAY / len(course.room)
    lines = [(f"{_height(a, system)}, {AIRS[a.name][0]}", a.air, AIRS[a.name][1]) for a in course.airs]
    shown = [(name, scale.shown(air), line) for name, air, line in [*lines, ("room", course.room, ROOM)]]
    ranges = [each for air in course.airs for each in (air.day, air.night)]
    ranges += [course.spot] if course.spot is not None else []
    ends = [(could.low, could.high) for could in ranges]
    ends += [(band.low, band.high) for band in course.bands]
    ax.set_xlim(0.0, DAY)
    upright_axis(ax, [*(y for _, y, _ in shown), scale.shown(np.array(ends))], theme)
    ax.set_xticks(HOURS, [clock(hour * 3600) for hour in HOURS])
    for hour in HOURS:
        ax.axvline(hour, color=theme.hair, linewidth=0.5, zorder=1)
    words = ChartWords(ax, theme)
    for band in course.bands:
        # The air's bands in no line's colour: no line of one height is an end or the night.
        fill, edge, alpha = theme.band, theme.quiet, 0.5
        if band.name == "basking spot":
            fill, edge, alpha = SPOT.colour(theme), SPOT.colour(theme), 0.2
        for stretch in _stretches(course, band):
            draw_band(ax, band, stretch, scale, fill, edge, alpha)
            words.keep_for(band.name, stretch, _heights(band, scale))
    for _, y, line in shown:
        draw_line(ax, times, y, line, theme)
        words.keep_clear(times, y)
    if course.spot is not None:
        _draw_spot(ax, words, _middle(course), course.spot, scale)
    for band in course.bands:
        span, heights = scale.span(band.low, band.high), _heights(band, scale)
        ways = [f"{band.name} {span}", f"{band.name}\n{span}"]
        words.place(band.name, ways, _spots(_stretches(course, band), heights))
    if course.spot is not None:
        _name_spot(words, _middle(course), course.spot, scale)
    name_ends(ax, [(name, float(y[-1]), line) for name, y, line in shown], theme, NAMES, BARS - NAMES)
    _draw_bars(ax, course, scale, system, theme)


def _stretches(course: DayCourse, band: Band) -> list[tuple[float, float]]:
    """Hours in which a band is judged, as they lie between midnight and midnight, the longest first. [h]"""
    hours = course.hours.day if band.when == "day" else course.hours.night
    start, end = hours[0] / 3600.0, hours[1] / 3600.0
    if end > start:
        return [(start, end)]
    return sorted([(start, DAY), (0.0, end)], key=lambda each: each[0] - each[1])


def _heights(band: Band, scale: Degrees) -> tuple[float, float]:
    return float(scale.shown(band.low)), float(scale.shown(band.high))


def _spots(pieces: Sequence[tuple[float, float]], ends: tuple[float, float]) -> list[Spot]:
    """Places for a band's words: beside it, in it, above and below it."""
    low, high = ends
    found = []
    for y in (low + (high - low) * share for share in (0.5, 0.25, 0.75, 0.0, 1.0)):
        for start, end in pieces:
            found += [Spot(start, y, -1.0), Spot(end, y, 1.0)]
    for start, end in pieces:
        middle = (start + end) / 2
        for x in (middle, middle - 1.2, middle + 1.2, start, end):
            found += [Spot(x, (low + high) / 2), Spot(x, high, 0.0, 1.0), Spot(x, low, 0.0, -1.0)]
    return found


def _middle(course: DayCourse) -> float:
    """Where the basking surface is marked: in the middle of the hours in which it is judged. [h]"""
    return next(sum(_stretches(course, b)[0]) / 2 for b in course.bands if b.name == "basking spot")


def _draw_spot(ax: Axes, words: ChartWords, x: float, spot: Range, scale: Degrees) -> None:
    low, expected, high = (float(scale.shown(value)) for value in (spot.low, spot.expected, spot.high))
    colour = SPOT.colour(words.theme)
    ax.plot([x, x], [low, high], color=colour, linewidth=SPOT.width, zorder=7, solid_capstyle="butt")
    for y in (low, high):
        ax.plot([x - 0.5, x + 0.5], [y, y], color=colour, linewidth=SPOT.width, zorder=7)
    ax.plot([x], [expected], marker=SPOT.marker, markersize=5.0, color=colour, zorder=8)
    words.keep_clear(np.array([x, x]), np.array([low, high]), 10.0, OVER_MARK)


def _name_spot(words: ChartWords, x: float, spot: Range, scale: Degrees) -> None:
    low, expected, high = (float(scale.shown(value)) for value in (spot.low, spot.expected, spot.high))
    beside = [expected, *np.linspace(high, low, 9)]
    spots = [Spot(x + 0.6, y, 1.0) for y in beside] + [Spot(x - 0.6, y, -1.0) for y in beside]
    spots += [Spot(x, high, 0.0, 1.0), Spot(x, low, 0.0, -1.0)]
    spots += [Spot(DAY, y, -1.0) for y in beside]
    span = f"{scale.number(spot.expected)} ({scale.span(spot.low, spot.high)})"
    ways = [f"basking surface {span}", f"basking surface\n{span}", f"basking\nsurface\n{span}"]
    words.place("basking spot", ways, spots)


def _draw_bars(ax: Axes, course: DayCourse, scale: Degrees, system: System, theme: Theme) -> None:
    column = beside(ax, BARS, BARS_WIDE)
    count = len(course.airs)
    column.set_xlim(-0.6, 2 * count + BETWEEN - 0.4)
    (low, high), inch = ax.get_ylim(), inch_of(ax)
    column.text(
        (2 * count + BETWEEN - 1) / 2, high + 0.19 * inch, "could be by", ha="center", **quiet_type(theme)
    )
    for group, word in enumerate(("day", "night")):
        first = group * (count + BETWEEN)
        column.text(first + (count - 1) / 2, high + 0.05 * inch, word, ha="center", **quiet_type(theme))
        column.plot([first - 0.5, first + count - 0.5], [low, low], color=theme.hair, linewidth=0.8)
        for k, air in enumerate(course.airs):
            could, line = air.day if group == 0 else air.night, AIRS[air.name][1]
            ends = [float(scale.shown(value)) for value in (could.low, could.high)]
            column.plot(
                [first + k] * 2,
                ends,
                color=line.colour(theme),
                linewidth=BAR,
                alpha=0.6,
                solid_capstyle="butt",
            )
            middle = float(scale.shown(could.expected))
            column.plot([first + k - 0.4, first + k + 0.4], [middle] * 2, color=theme.ink, linewidth=1.2)
            column.text(
                first + k,
                low - 0.05 * inch,
                _height(air, system),
                rotation=90,
                ha="center",
                va="top",
                **quiet_type(theme),
            )


def _draw_lamp(ax: Axes, lamp: LampCourse, theme: Theme) -> None:
    quiet_axes(ax, theme)
    times = (np.arange(len(lamp.level)) + 0.5) * DAY / len(lamp.level)
    ax.set_xlim(0.0, DAY)
    ax.set_ylim(0.0, 1.0)
    ax.set_xticks([])
    ax.set_yticks([])
    ax.axhspan(0.0, 1.0, color=theme.hair, alpha=0.45, linewidth=0, zorder=1)
    ax.fill_between(times, 0.0, lamp.level, color=theme.quiet, linewidth=0, zorder=2)
    for hour in HOURS:
        ax.axvline(hour, color=theme.hair, linewidth=0.5, zorder=1)
    ax.annotate(
        f"at most {100 * lamp.most:.0f} %" if lamp.most > 0 else "off",
        (1.0, 0.5),
        xycoords="axes fraction",
        xytext=(72 * (LEADER + BEHIND_LEADER), 0.0),
        textcoords="offset points",
        fontsize=SMALL,
        color=theme.ink,
        va="center_baseline",
    )
