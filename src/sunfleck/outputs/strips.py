"""All perches unrolled on one page, each with the line at the animal's back below it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from sunfleck.outputs.contours import draw_target_lines, in_points
from sunfleck.outputs.keys import add_band_key, add_colour_bar, add_target_key
from sunfleck.outputs.page import LEFT, Page, foot_words, head_words, quiet_axes, quiet_type
from sunfleck.outputs.scales import ColourScale, Ruler, channel_words, colour_scale, level_words
from sunfleck.outputs.targets import Target, targets_of, values_of
from sunfleck.outputs.themes import FIELD_COLOURS, HEADING, SMALL, Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from sunfleck.studies.slices import MapSet, PerchStrip

SURFACE = 0.72  # [in]
CHART = 0.85  # [in]
LINE = 1.2  # [pt]
SIDES = {-180.0: "below", -90.0: "side", 0.0: "top", 90.0: "side", 180.0: "below"}


def perches_page(maps: MapSet, scale: ColourScale, ruler: Ruler, theme: Theme) -> Figure:
    """Draw every perch of a set.

    Parameters
    ----------
    maps : MapSet
        With at least one strip.
    scale : ColourScale
        Shared by the set.
    ruler : Ruler
        The user's units.
    theme : Theme
        Colours.

    Returns
    -------
    figure : Figure
        The finished page.
    """
    page = Page(theme)
    add_perches(page, maps, scale, chart_scale([maps]), ruler)
    return page.build()


def add_perches(page: Page, maps: MapSet, scale: ColourScale, chart: ColourScale, ruler: Ruler) -> None:
    """Add every perch of a set to a page, with head and keys.

    Parameters
    ----------
    page : Page
        Grows by them.
    maps, scale, ruler
        As `perches_page` takes them.
    chart : ColourScale
        Upright scale of the charts at the animal's back.
    """
    first = maps.strips[0]
    name, unit = channel_words(first.channel, first.unit)
    page.title(maps.plan_name, "Perches unrolled", head_words(maps.basis))
    targets = targets_of(maps, first.channel)
    for strip in maps.strips:
        _add_strip(page, strip, targets, scale, chart, ruler)
    add_colour_bar(page, scale, f"{name}, {unit}, on the bark", targets)
    add_band_key(page)
    add_target_key(page, targets, [""] * len(targets))
    page.space(0.08)
    page.text(foot_words(maps.basis), SMALL, quiet=True)


def chart_scale(sets: Sequence[MapSet]) -> ColourScale:
    """Return one upright scale for all charts of some sets of a channel, so that perches can be compared."""
    maps = sets[0]
    targets = targets_of(maps, maps.strips[0].channel)
    strips = [strip for each in sets for strip in each.strips]
    ends = [np.array([np.nanmax(strip.high)]) for strip in strips if np.isfinite(strip.high).any()]
    # A little beyond the targets, so that their lines do not lie on the chart's edge.
    wanted = [np.array([1.05 * value]) for value in values_of(targets)]
    return colour_scale([], [*ends, *wanted], maps.floor, maps.ceiling)


def _add_strip(
    page: Page,
    strip: PerchStrip,
    targets: Sequence[Target],
    scale: ColourScale,
    chart: ColourScale,
    ruler: Ruler,
) -> None:
    half = float(strip.along[1] - strip.along[0]) / 2 if len(strip.along) > 1 else 0.005
    ends = (float(strip.along[0]) - half, float(strip.along[-1]) + half)
    page.text(strip.title, HEADING, bold=True)
    page.space(0.06)
    page.axes(SURFACE, lambda ax: _draw_surface(ax, strip, targets, scale, page.theme, ends))
    page.space(0.26)
    page.axes(CHART, lambda ax: _draw_chart(ax, strip, targets, chart, ruler, page.theme, ends))
    page.space(0.19)
    page.text(f"along the perch from its first end ({ruler.unit})", SMALL, quiet=True, left=LEFT)
    page.space(0.2)


def _draw_surface(
    ax: Axes,
    strip: PerchStrip,
    targets: Sequence[Target],
    scale: ColourScale,
    theme: Theme,
    ends: tuple[float, float],
) -> None:
    from matplotlib import colormaps  # noqa: PLC0415  # an extra

    quiet_axes(ax, theme)
    half = float(strip.around[1] - strip.around[0]) / 2 if len(strip.around) > 1 else 180.0
    ax.imshow(
        np.ma.masked_invalid(strip.expected),
        origin="lower",
        extent=(*ends, float(strip.around[0]) - half, float(strip.around[-1]) + half),
        aspect="auto",
        cmap=colormaps[FIELD_COLOURS].with_extremes(bad=theme.solid),
        vmin=0.0,
        vmax=scale.top,
        interpolation="nearest",
    )
    draw_target_lines(ax, strip.along, strip.around, strip.expected, theme, targets)
    ax.set_xticks([])
    ax.set_yticks(list(SIDES), list(SIDES.values()))
    ax.set_xlim(*ends)
    ax.set_ylim(-180.0, 180.0)


def _draw_chart(
    ax: Axes,
    strip: PerchStrip,
    targets: Sequence[Target],
    chart: ColourScale,
    ruler: Ruler,
    theme: Theme,
    ends: tuple[float, float],
) -> None:
    quiet_axes(ax, theme)
    levels = (0.0, *chart.levels)
    for level in levels:
        ax.axhline(level, color=theme.hair, linewidth=0.5, zorder=1)
    ax.fill_between(strip.along, strip.low, strip.high, color=theme.band, linewidth=0, zorder=2)
    ax.plot(strip.along, strip.back_line, color=theme.ink, linewidth=1.3, zorder=4, solid_capstyle="round")
    for target in targets:
        style = in_points(target.dashes, LINE)
        ax.axhline(target.value, color=theme.quiet, linewidth=LINE, linestyle=style, zorder=3)
    along = ruler.ticks(0.0, ends[1])
    ax.set_xticks(along, [f"{value * ruler.metre:g}" for value in along])
    # Every second number is enough on a chart this low.
    ax.set_yticks(levels, [level_words(level) if k % 2 == 0 else "" for k, level in enumerate(levels)])
    ax.set_xlim(*ends)
    ax.set_ylim(0.0, chart.top)
    # Above the chart, not beside it: the numbers of brightness need the whole margin.
    words = f"at the animal's back, {channel_words(strip.channel, strip.unit)[1]}"
    ax.annotate(
        words,
        (0.0, 1.0),
        xycoords="axes fraction",
        xytext=(0, 3.5),
        textcoords="offset points",
        **quiet_type(theme),
    )
