"""Maps of a plan before a meter round, with it, and what it changed, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from sunfleck.outputs.change_scale import CHANGE_COLOURS, add_change_bar, change_top, change_words
from sunfleck.outputs.cuts import add_cut, cut_title, draw_field, draw_things, lettering_of, limits_of
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.keys import add_scale_row
from sunfleck.outputs.maps import stem_of
from sunfleck.outputs.page import LEFT, Page, foot_words, quiet_axes, side_by_side
from sunfleck.outputs.pictures import FORMATS, require_formats, save_picture
from sunfleck.outputs.scales import ColourScale, Ruler, System, channel_words, colour_scale, ruler
from sunfleck.outputs.strips import CHART, SIDES, SURFACE, add_perches, chart_scale
from sunfleck.outputs.themes import HEADING, SMALL, Theme, theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from sunfleck.studies.slices import FieldSlice, MapSet, PerchStrip

NOT_COMPARED = "Grey: inside something solid, or less of this light than a meter shows."


def write_round_maps(
    before: MapSet,
    after: MapSet,
    change: MapSet,
    folder: Path,
    formats: Sequence[str] = FORMATS,
    system: System = "metric",
    *,
    dark: bool = False,
) -> tuple[Path, ...]:
    """Draw every cut three times side by side, and all perches on one page.

    Parameters
    ----------
    before, after : MapSet
        One channel, cut at the same places.
    change : MapSet
        Their ratio.
    folder : Path
        Where; it must exist.
    formats : sequence of str
        ``png``, ``svg``.
    system : str
        ``metric`` or ``us``: units of lengths.
    dark : bool
        Light on dark; the files' names end in ``-dark`` then.

    Returns
    -------
    files : tuple of Path
        What was written, in the set's order: ``uvi-plan-round.png`` and so on.

    Raises
    ------
    DomainError
        If a format is not known.
    MissingExtra
        If matplotlib is not installed.
    OSError
        If a file cannot be written; what stood there before is still there.
    """
    require_formats(formats)
    drawn = _Drawn(before, after, change, ruler(system), theme(dark=dark))
    written: list[Path] = []
    names: dict[str, int] = {}
    with drawing_settings():
        for k, cut in enumerate(after.slices):
            stem = stem_of(cut.channel, f"{cut.view} round", names, dark=dark)
            title = f"{after.plan_name}: {cut_title(cut, drawn.ruler)}"
            figure = drawn.cut(k)
            written += [save_picture(figure, folder, stem, name, title) for name in formats]
        if after.strips:
            stem = stem_of(after.strips[0].channel, "perches round", names, dark=dark)
            figure = drawn.perches()
            title = f"{after.plan_name}: perches"
            written += [save_picture(figure, folder, stem, name, title) for name in formats]
    return tuple(written)


class _Drawn:
    """Three sets on one scale."""

    def __init__(self, before: MapSet, after: MapSet, change: MapSet, lengths: Ruler, colours: Theme) -> None:
        self.sets, self.change, self.ruler, self.theme = (before, after), change, lengths, colours
        cuts = [cut.expected for maps in self.sets for cut in maps.slices]
        strips = [strip for maps in self.sets for strip in maps.strips]
        perches = [strip.expected for strip in strips] + [strip.back_line for strip in strips]
        self.scale: ColourScale = colour_scale(cuts, perches, before.floor, before.ceiling)
        self.top = change_top(
            [cut.expected for cut in change.slices] + [strip.expected for strip in change.strips]
        )

    def cut(self, k: int) -> Figure:
        """One cut, three times."""
        figure, unnamed = self._cut(k, [[], [], []])
        if any(unnamed):
            # Only a drawn page knows which names found no room; it is drawn once more to say so.
            figure, _ = self._cut(k, unnamed)
        return figure

    def _cut(self, k: int, unnamed: list[list[str]]) -> tuple[Figure, list[list[str]]]:
        pages = [Page(self.theme) for _ in range(3)]
        found = []
        for page, maps, word, without in zip(pages, self.sets, ("Before", "After"), unnamed, strict=False):
            cut = _titled(maps.slices[k], word)
            found.append(add_cut(page, cut, maps, self.scale, self.ruler, without))
        cut = _titled(self.change.slices[k], "Change")
        found.append(self._add_change(pages[2], cut, unnamed[2]))
        return side_by_side(pages), found

    def _add_change(self, page: Page, cut: FieldSlice, unnamed: Sequence[str]) -> list[str]:
        from matplotlib import colormaps  # noqa: PLC0415  # an extra

        name, _ = channel_words(cut.channel, cut.unit)
        page.title(self.change.plan_name, cut_title(cut, self.ruler), change_words(cut.expected))
        limits, metre = limits_of(cut)
        size = limits[1] - limits[0]
        found: list[str] = []
        end = float(np.log(self.top))
        colours = colormaps[CHANGE_COLOURS].with_extremes(bad=self.theme.solid)

        def draw(ax: Axes) -> None:
            draw_field(ax, cut, np.log(cut.expected), (-end, end), colours, self.ruler, self.theme, limits)
            found.extend(draw_things(ax, cut, lettering_of(ax, cut), self.theme))

        page.axes(metre * size[1], draw, width=metre * size[0])
        page.space(0.22)
        add_scale_row(page, f"{cut.across_label} ({self.ruler.unit})", self.ruler, metre)
        page.space(0.16)
        add_change_bar(page, self.top, f"{name} with the readings, times what was expected before")
        page.text(NOT_COMPARED, SMALL, quiet=True)
        if unnamed:
            page.text(f"Drawn, without room for a name: {', '.join(unnamed)}.", SMALL, quiet=True)
        page.space(0.08)
        page.text(foot_words(self.change.basis), SMALL, quiet=True)
        return found

    def perches(self) -> Figure:
        """All perches, three times."""
        pages = [Page(self.theme) for _ in range(3)]
        chart = chart_scale(self.sets)
        for page, maps in zip(pages, self.sets, strict=False):
            add_perches(page, maps, self.scale, chart, self.ruler)
        page, first = pages[2], self.change.strips[0]
        words = change_words(np.concatenate([np.ravel(strip.expected) for strip in self.change.strips]))
        page.title(self.change.plan_name, "Perches unrolled: change", words)
        for strip in self.change.strips:
            self._add_strip(page, strip)
        name, _ = channel_words(first.channel, first.unit)
        add_change_bar(page, self.top, f"{name} with the readings, times what was expected before")
        page.text(NOT_COMPARED, SMALL, quiet=True)
        return side_by_side(pages)

    def _add_strip(self, page: Page, strip: PerchStrip) -> None:
        half = float(strip.along[1] - strip.along[0]) / 2 if len(strip.along) > 1 else 0.005
        ends = (float(strip.along[0]) - half, float(strip.along[-1]) + half)
        page.text(strip.title, HEADING, bold=True)
        page.space(0.06)
        page.axes(SURFACE, lambda ax: self._draw_surface(ax, strip, ends))
        page.space(0.26)
        page.axes(CHART, lambda ax: self._draw_chart(ax, strip, ends))
        page.space(0.19)
        page.text(f"along the perch from its first end ({self.ruler.unit})", SMALL, quiet=True, left=LEFT)
        page.space(0.2)

    def _draw_surface(self, ax: Axes, strip: PerchStrip, ends: tuple[float, float]) -> None:
        from matplotlib import colormaps  # noqa: PLC0415  # an extra

        quiet_axes(ax, self.theme)
        half = float(strip.around[1] - strip.around[0]) / 2 if len(strip.around) > 1 else 180.0
        end = float(np.log(self.top))
        ax.imshow(
            np.ma.masked_invalid(np.log(strip.expected)),
            origin="lower",
            extent=(*ends, float(strip.around[0]) - half, float(strip.around[-1]) + half),
            aspect="auto",
            cmap=colormaps[CHANGE_COLOURS].with_extremes(bad=self.theme.solid),
            vmin=-end,
            vmax=end,
            interpolation="nearest",
        )
        ax.set_xticks([])
        ax.set_yticks(list(SIDES), list(SIDES.values()))
        ax.set_xlim(*ends)
        ax.set_ylim(-180.0, 180.0)

    def _draw_chart(self, ax: Axes, strip: PerchStrip, ends: tuple[float, float]) -> None:
        quiet_axes(ax, self.theme)
        end = float(np.log(self.top))
        ticks = end * np.array([-1.0, -0.5, 0.0, 0.5, 1.0])
        for tick in ticks:
            ax.axhline(tick, color=self.theme.hair, linewidth=1.0 if tick == 0 else 0.5, zorder=1)
        ax.plot(strip.along, np.log(strip.back_line), color=self.theme.ink, linewidth=1.3, zorder=4)
        along = self.ruler.ticks(0.0, ends[1])
        ax.set_xticks(along, [f"{value * self.ruler.metre:g}" for value in along])
        ax.set_yticks(ticks[::2], [f"{np.exp(tick):.2g}" for tick in ticks[::2]])
        ax.set_xlim(*ends)
        ax.set_ylim(-end, end)
        ax.annotate(
            "at the animal's back, times",
            (0.0, 1.0),
            xycoords="axes fraction",
            xytext=(0, 3.5),
            textcoords="offset points",
            fontsize=SMALL,
            color=self.theme.quiet,
        )


def _titled(cut: FieldSlice, word: str) -> FieldSlice:
    return replace(cut, title=f"{word}: {cut.title[:1].lower()}{cut.title[1:]}")
