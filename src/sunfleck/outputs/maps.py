"""Write the maps of a plan as picture files."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sunfleck.outputs.cuts import cut_page, cut_title
from sunfleck.outputs.drawing_library import MissingExtra, drawing_settings
from sunfleck.outputs.pictures import FORMATS, require_formats, save_picture
from sunfleck.outputs.scales import System, colour_scale, ruler
from sunfleck.outputs.strips import perches_page
from sunfleck.outputs.themes import theme

if TYPE_CHECKING:
    from sunfleck.studies.slices import MapSet

__all__ = ["FORMATS", "MissingExtra", "write_maps"]


def write_maps(
    maps: MapSet,
    folder: Path,
    formats: Sequence[str] = FORMATS,
    system: System = "metric",
    *,
    dark: bool = False,
) -> tuple[Path, ...]:
    """Draw every cut of a set, and all its perches on one page.

    Parameters
    ----------
    maps : MapSet
        One channel's cuts and strips.
    folder : Path
        Where; it must exist.
    formats : sequence of str
        ``png``, ``svg``.
    system : str
        ``metric`` or ``us``: units of lengths.
    dark : bool
        Light on dark; the files' names end in ``-dark`` then, so that both can stay.

    Returns
    -------
    files : tuple of Path
        What was written, in the set's order: ``uvi-plan.png``, ``uvi-perches.svg`` and so on.

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
    The same set gives the same bytes: no dates, fixed ids, the font that matplotlib brings.
    """
    require_formats(formats)
    cuts = [cut.expected for cut in maps.slices]
    perches = [strip.expected for strip in maps.strips] + [strip.back_line for strip in maps.strips]
    scale = colour_scale(cuts, perches, maps.floor, maps.ceiling)
    colours, lengths = theme(dark=dark), ruler(system)
    written: list[Path] = []
    names: dict[str, int] = {}
    with drawing_settings():
        for cut in maps.slices:
            stem = stem_of(cut.channel, cut.view, names, dark=dark)
            figure = cut_page(cut, maps, scale, lengths, colours)
            title = f"{maps.plan_name}: {cut_title(cut, lengths)}"
            written += [save_picture(figure, folder, stem, name, title) for name in formats]
        if maps.strips:
            stem = stem_of(maps.strips[0].channel, "perches", names, dark=dark)
            figure = perches_page(maps, scale, lengths, colours)
            written += [
                save_picture(figure, folder, stem, name, f"{maps.plan_name}: perches") for name in formats
            ]
    return tuple(written)


def stem_of(channel: str, view: str, names: dict[str, int], *, dark: bool) -> str:
    """Return a picture's name without its ending, numbered where a view comes again."""
    stem = re.sub(r"[^a-z0-9]+", "-", f"{channel} {view}".lower()).strip("-")
    names[stem] = names.get(stem, 0) + 1
    numbered = stem if names[stem] == 1 else f"{stem}-{names[stem]}"
    return f"{numbered}-dark" if dark else numbered
