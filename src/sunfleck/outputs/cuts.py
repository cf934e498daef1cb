"""One flat cut through the box as a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.contours import draw_iso_lines, draw_target_lines
from sunfleck.outputs.keys import add_colour_bar, add_scale_row, add_target_key
from sunfleck.outputs.labels import Lettering, Spot
from sunfleck.outputs.outlines import draw_outlines, name_outlines
from sunfleck.outputs.page import LEFT, RIGHT, WIDTH, Page, foot_words, head_words, quiet_axes
from sunfleck.outputs.scales import ColourScale, Ruler, channel_words
from sunfleck.outputs.themes import FIELD_COLOURS, SMALL, TEXT, Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from sunfleck.studies.slices import FieldSlice, MapSet

HIGHEST = 5.6  # [in]; a taller box gets a narrower picture
CLEARANCE = 0.012  # around the box, as a share of its larger side

Limits = tuple[NDArray[np.float64], NDArray[np.float64]]


def cut_page(cut: FieldSlice, maps: MapSet, scale: ColourScale, ruler: Ruler, theme: Theme) -> Figure:
    """Draw one cut.

    Parameters
    ----------
    cut : FieldSlice
        What to draw.
    maps : MapSet
        The set it belongs to: plan, basis, targets.
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
    figure, unnamed = _build(cut, maps, scale, ruler, theme, [])
    if unnamed:
        # Only a drawn page knows which names found no room; it is drawn once more to say so.
        figure, _ = _build(cut, maps, scale, ruler, theme, unnamed)
    return figure


def cut_title(cut: FieldSlice, ruler: Ruler) -> str:
    """Return a cut's title with its place: ``Plan, cut at z = 85 cm``."""
    return f"{cut.title} = {ruler.words(cut.at)}"


def _build(
    cut: FieldSlice, maps: MapSet, scale: ColourScale, ruler: Ruler, theme: Theme, unnamed: list[str]
) -> tuple[Figure, list[str]]:
    name, unit = channel_words(cut.channel, cut.unit)
    page = Page(theme)
    page.title(maps.plan_name, cut_title(cut, ruler), head_words(maps.basis))
    limits = _limits(cut)
    size = limits[1] - limits[0]
    metre = min((WIDTH - LEFT - RIGHT) / size[0], HIGHEST / size[1])
    found: list[str] = []

    def draw(ax: Axes) -> None:
        _draw_field(ax, cut, scale, ruler, theme, limits)
        found.extend(_draw_lines_and_names(ax, cut, maps, scale, theme))

    page.axes(metre * size[1], draw, width=metre * size[0])
    page.space(0.22)
    add_scale_row(page, f"{cut.across_label} ({ruler.unit})", ruler, metre)
    page.space(0.16)
    add_colour_bar(page, scale, f"{name}, {unit}", maps.floor, maps.ceiling)
    add_target_key(page, cut.channel, maps.floor, maps.ceiling, _notes(cut, maps))
    if unnamed:
        page.text(f"Drawn, without room for a name: {', '.join(unnamed)}.", SMALL, quiet=True)
    page.space(0.08)
    page.text(foot_words(maps.basis), SMALL, quiet=True)
    return page.build(), found


def _notes(cut: FieldSlice, maps: MapSet) -> dict[str, str]:
    """Say in words where a target has no line because the field never crosses it."""
    values = cut.expected[np.isfinite(cut.expected)]
    notes = {}
    if len(values) and maps.floor is not None:
        if values.max() < maps.floor:
            notes["floor"] = "nowhere here"
        elif values.min() >= maps.floor:
            notes["floor"] = "everywhere here"
    if len(values) and maps.ceiling is not None:
        if values.max() <= maps.ceiling:
            notes["ceiling"] = "nowhere here"
        elif values.min() > maps.ceiling:
            notes["ceiling"] = "everywhere here"
    return notes


def _limits(cut: FieldSlice) -> Limits:
    left, right, bottom, top = _extent(cut)
    corners = [np.array([[left, bottom], [right, top]])]
    corners += [outline.xy for outline in cut.outlines if outline.kind == "wall" and len(outline.xy)]
    points = np.concatenate(corners)
    low, high = points.min(axis=0), points.max(axis=0)
    edge = CLEARANCE * float((high - low).max())
    return low - edge, high + edge


def _extent(cut: FieldSlice) -> tuple[float, float, float, float]:
    return (*_outer_edges(cut.across), *_outer_edges(cut.up))


def _outer_edges(centres: NDArray[np.float64]) -> tuple[float, float]:
    half = float(centres[1] - centres[0]) / 2 if len(centres) > 1 else 0.005
    return float(centres[0]) - half, float(centres[-1]) + half


def _draw_field(
    ax: Axes, cut: FieldSlice, scale: ColourScale, ruler: Ruler, theme: Theme, limits: Limits
) -> None:
    from matplotlib import colormaps  # noqa: PLC0415  # an extra

    (x0, y0), (x1, y1) = limits
    quiet_axes(ax, theme)
    ax.imshow(
        np.ma.masked_invalid(cut.expected),
        origin="lower",
        extent=_extent(cut),
        aspect="auto",
        cmap=colormaps[FIELD_COLOURS].with_extremes(bad=theme.solid),
        vmin=0.0,
        vmax=scale.top,
        interpolation="nearest",
        zorder=1,
    )
    across, up = ruler.ticks(x0, x1), ruler.ticks(y0, y1)
    ax.set_xticks(across, [f"{value * ruler.metre:g}" for value in across])
    ax.set_yticks(up, [f"{value * ruler.metre:g}" for value in up])
    ax.set_xlim(x0, x1)
    ax.set_ylim(y0, y1)
    ax.set_ylabel(
        f"{cut.up_label} ({ruler.unit})", fontsize=SMALL, color=theme.quiet, labelpad=3, loc="bottom"
    )


def _draw_lines_and_names(
    ax: Axes, cut: FieldSlice, maps: MapSet, scale: ColourScale, theme: Theme
) -> list[str]:
    draw_outlines(ax, cut.outlines, theme)
    lettering = Lettering(ax)
    _say_when_empty(ax, cut, lettering, theme)
    unnamed = name_outlines(cut.outlines, lettering, theme)
    targets = tuple(value for value in (maps.floor, maps.ceiling) if value is not None)
    draw_iso_lines(ax, cut.across, cut.up, cut.expected, scale, theme, lettering, leave_out=targets)
    draw_target_lines(ax, cut.across, cut.up, cut.expected, theme, maps.floor, maps.ceiling)
    return unnamed


def _say_when_empty(ax: Axes, cut: FieldSlice, lettering: Lettering, theme: Theme) -> None:
    values = cut.expected[np.isfinite(cut.expected)]
    if not len(values):
        words = "all of this cut is inside something solid"
    elif not values.any():
        words = "none of this light arrives here"
    else:
        return
    (x0, x1), (y0, y1) = ax.get_xlim(), ax.get_ylim()
    spots = [Spot((x0 + x1) / 2, y0 + part * (y1 - y0)) for part in (0.5, 0.35, 0.65)]
    lettering.place(words, spots, TEXT, theme.ink, theme.paper)
