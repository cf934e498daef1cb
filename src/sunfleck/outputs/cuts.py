"""One flat cut through the box as a page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.contours import draw_iso_lines, draw_target_lines
from sunfleck.outputs.keys import add_colour_bar, add_scale_row, add_target_key
from sunfleck.outputs.labels import Lettering, Spot
from sunfleck.outputs.names import name_outlines
from sunfleck.outputs.outlines import draw_outlines
from sunfleck.outputs.page import LEFT, RIGHT, WIDTH, Page, foot_words, head_words, quiet_axes
from sunfleck.outputs.regions import Box
from sunfleck.outputs.scales import ColourScale, Ruler, channel_words, number_words
from sunfleck.outputs.targets import Target, targets_of, values_of
from sunfleck.outputs.themes import FIELD_COLOURS, SMALL, TEXT, Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.colors import Colormap
    from matplotlib.figure import Figure

    from sunfleck.studies.slices import FieldSlice, MapSet

HIGHEST = 5.6  # [in]; a taller box gets a narrower picture
CLEARANCE = 0.012  # around the box, as a share of its larger side
NAME_ROOM = 0.26  # beside a lamp that hangs outside the box [in]
DISC = 7.0  # [pt]
BESIDE = 0.13  # from a disc's middle to its number [in]
READ_HERE = (
    "Discs: what was read within 5 cm of the cut with these lamps lit, in the colour of the reading; held as its "
    "station says, so that a disc may be darker than the field, which is turned to the brightest direction."
)
BEYOND = {
    "plan": "above or below the cut",
    "front elevation": "before or behind the cut",
    "side elevation": "to the left or right of the cut",
    "reach": "before or behind the middle of the box",
}

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
    """Return a cut's title with its place, if it has one: ``Plan, cut at z = 85 cm``."""
    return cut.title if np.isnan(cut.at) else f"{cut.title} = {ruler.words(cut.at)}"


def _build(
    cut: FieldSlice, maps: MapSet, scale: ColourScale, ruler: Ruler, theme: Theme, unnamed: list[str]
) -> tuple[Figure, list[str]]:
    page = Page(theme)
    found = add_cut(page, cut, maps, scale, ruler, unnamed)
    return page.build(), found


def add_cut(
    page: Page, cut: FieldSlice, maps: MapSet, scale: ColourScale, ruler: Ruler, unnamed: Sequence[str]
) -> list[str]:
    """Add a cut with its head and keys to a page.

    Parameters
    ----------
    page : Page
        Grows by it.
    cut, maps, scale, ruler
        As `cut_page` takes them.
    unnamed : sequence of str
        What is told to be drawn without a name.

    Returns
    -------
    found : list of str
        Filled when the page is built: what found no room for its name.
    """
    name, unit = channel_words(cut.channel, cut.unit)
    theme = page.theme
    head = head_words(maps.basis)
    if cut.view == "reach":
        head = f"Expected {name}, the strongest at any depth, every lamp on at full level."
    page.title(maps.plan_name, cut_title(cut, ruler), head)
    targets = targets_of(maps, cut.channel)
    limits, metre = limits_of(cut)
    size = limits[1] - limits[0]
    found: list[str] = []

    def draw(ax: Axes) -> None:
        _draw_field(ax, cut, scale, ruler, theme, limits)
        found.extend(_draw_lines_and_names(ax, cut, targets, scale, theme))

    page.axes(metre * size[1], draw, width=metre * size[0])
    page.space(0.22)
    add_scale_row(page, f"{cut.across_label} ({ruler.unit})", ruler, metre)
    page.space(0.16)
    add_colour_bar(page, scale, f"{name}, {unit}", targets)
    add_target_key(page, targets, [target.note(cut.expected) for target in targets])
    page.space(0.04)
    if any(target.upper and target.note(cut.expected) for target in targets):
        page.text("Drawn is what is expected; a verdict also counts what could be.", SMALL, quiet=True)
    if cut.marks:
        page.text(READ_HERE, SMALL, quiet=True)
    if not all(outline.cut for outline in cut.outlines):
        page.text(f"Fainter outlines: {BEYOND.get(cut.view, 'not in the cut')}.", SMALL, quiet=True)
    if unnamed:
        page.text(f"Drawn, without room for a name: {', '.join(unnamed)}.", SMALL, quiet=True)
    page.space(0.08)
    page.text(foot_words(maps.basis), SMALL, quiet=True)
    return found


def _walls(cut: FieldSlice) -> Limits:
    """Return the corners of the box: its walls, or the field where no walls are given. [m]"""
    left, right, bottom, top = _extent(cut)
    corners = [np.array([[left, bottom], [right, top]])]
    corners += [outline.xy for outline in cut.outlines if outline.kind == "wall" and len(outline.xy)]
    points = np.concatenate(corners)
    return points.min(axis=0), points.max(axis=0)


def limits_of(cut: FieldSlice) -> tuple[Limits, float]:
    """Return what the picture shows and how long a metre is on it: the box, and lamps outside it. [m] [in]"""
    low, high = _walls(cut)
    edge = CLEARANCE * float((high - low).max())
    first, last = low.copy(), high.copy()
    before, after = np.zeros(2), np.zeros(2)
    for lamp in (outline.xy for outline in cut.outlines if outline.kind == "lamp" and len(outline.xy)):
        first, last = np.minimum(first, lamp.min(axis=0)), np.maximum(last, lamp.max(axis=0))
        # Names have a size on the page, not in the box.
        before[lamp.max(axis=0) <= low] = NAME_ROOM
        after[lamp.min(axis=0) >= high] = NAME_ROOM
    first, last = first - edge, last + edge
    room = np.array([WIDTH - LEFT - RIGHT, HIGHEST]) - before - after
    metre = float((room / (last - first)).min())
    return (first - before / metre, last + after / metre), metre


def _frame(ax: Axes, cut: FieldSlice) -> Box:
    (x0, y0), (x1, y1) = ax.transData.transform(np.array(_walls(cut)))
    return (float(x0), float(y0), float(x1), float(y1))


def _extent(cut: FieldSlice) -> tuple[float, float, float, float]:
    return (*_outer_edges(cut.across), *_outer_edges(cut.up))


def _outer_edges(centres: NDArray[np.float64]) -> tuple[float, float]:
    half = float(centres[1] - centres[0]) / 2 if len(centres) > 1 else 0.005
    return float(centres[0]) - half, float(centres[-1]) + half


def _draw_field(
    ax: Axes, cut: FieldSlice, scale: ColourScale, ruler: Ruler, theme: Theme, limits: Limits
) -> None:
    from matplotlib import colormaps  # noqa: PLC0415  # an extra

    colours = colormaps[FIELD_COLOURS].with_extremes(bad=theme.solid)
    draw_field(ax, cut, cut.expected, (0.0, scale.top), colours, ruler, theme, limits)


def draw_field(
    ax: Axes,
    cut: FieldSlice,
    field: NDArray[np.float64],
    ends: tuple[float, float],
    colours: Colormap,
    ruler: Ruler,
    theme: Theme,
    limits: Limits,
) -> None:
    """Draw a field (q, p) over a cut's places in colours between two ends, with the ruler at its sides."""
    (x0, y0), (x1, y1) = limits
    quiet_axes(ax, theme)
    ax.imshow(
        np.ma.masked_invalid(field),
        origin="lower",
        extent=_extent(cut),
        aspect="auto",
        cmap=colours,
        vmin=ends[0],
        vmax=ends[1],
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
    ax: Axes, cut: FieldSlice, targets: Sequence[Target], scale: ColourScale, theme: Theme
) -> list[str]:
    lettering = lettering_of(ax, cut)
    _say_when_empty(ax, cut, lettering, theme)
    draw_marks(ax, cut, scale, lettering, theme)
    unnamed = draw_things(ax, cut, lettering, theme)
    field = (cut.across, cut.up, cut.expected)
    draw_iso_lines(ax, *field, scale, theme, lettering, leave_out=values_of(targets))
    draw_target_lines(ax, *field, theme, targets)
    return unnamed


def lettering_of(ax: Axes, cut: FieldSlice) -> Lettering:
    """Return what places words on a cut: within its walls."""
    return Lettering(ax, frame=_frame(ax, cut))


def draw_things(ax: Axes, cut: FieldSlice, lettering: Lettering, theme: Theme) -> list[str]:
    """Draw what stands in a cut; return what found no room for its name."""
    draw_outlines(ax, cut.outlines, theme)
    return name_outlines(cut.outlines, lettering, theme)


def draw_marks(ax: Axes, cut: FieldSlice, scale: ColourScale, lettering: Lettering, theme: Theme) -> None:
    """Draw what was read as discs in the colour of the reading, each with its number."""
    from matplotlib import colormaps  # noqa: PLC0415  # an extra

    half = lettering.pixels(DISC + 3.2) / 2
    for x, y in ax.transData.transform(np.array([mark.xy for mark in cut.marks]).reshape(-1, 2)):
        # No name on what was read.
        lettering.taken.append((float(x) - half, float(y) - half, float(x) + half, float(y) + half))
    for mark in cut.marks:
        x, y = (float(value) for value in mark.xy)
        colour = colormaps[FIELD_COLOURS](min(mark.value / scale.top, 1.0))
        for size, fill in ((DISC + 3.2, theme.casing), (DISC + 1.6, theme.mark), (DISC, colour)):
            ax.plot([x], [y], "o", markersize=size, color=fill, markeredgewidth=0.0, zorder=8)
        away = BESIDE / limits_of(cut)[1]
        ways = ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1))
        spots = [Spot(x + away * right, y + away * up, right, up) for right, up in ways]
        lettering.place(number_words(mark.value, cut.channel), spots, SMALL, theme.ink, theme.paper)


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
