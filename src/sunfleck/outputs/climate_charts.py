"""Write the charts of a plan's climate as picture files."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sunfleck.outputs.day_chart import day_page
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.pictures import FORMATS, require_formats, save_picture
from sunfleck.outputs.themes import theme
from sunfleck.outputs.year_chart import year_page
from sunfleck.units import System

if TYPE_CHECKING:
    from sunfleck.studies.climate.courses import DayCourse, YearCourse

__all__ = ["FORMATS", "write_climate_charts"]


def write_climate_charts(
    days: Sequence[DayCourse],
    years: Sequence[YearCourse],
    folder: Path,
    formats: Sequence[str] = FORMATS,
    system: System = "metric",
    *,
    dark: bool = False,
) -> tuple[Path, ...]:
    """Draw days and years.

    Parameters
    ----------
    days : sequence of DayCourse
        One a season and animal.
    years : sequence of YearCourse
        One an animal.
    folder : Path
        Where; it must exist.
    formats : sequence of str
        ``png``, ``svg``.
    system : str
        ``metric`` or ``us``.
    dark : bool
        Light on dark; the files' names end in ``-dark`` then, so that both can stay.

    Returns
    -------
    files : tuple of Path
        What was written: ``day-winter-the-dragon.png``, ``year-the-dragon.svg`` and so on.

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
    The same courses give the same bytes: no dates, fixed ids, the font that matplotlib brings.
    """
    require_formats(formats)
    colours, written = theme(dark=dark), []
    with drawing_settings():
        for day in days:
            figure, stem = day_page(day, system, colours), _stem("day", day.season.key, day.key, dark=dark)
            title = f"{day.plan}: {day.animal}, air {day.season.words}"
            written += [save_picture(figure, folder, stem, name, title) for name in formats]
        for year in years:
            figure, stem = year_page(year, system, colours), _stem("year", year.key, dark=dark)
            title = f"{year.plan}: {year.animal}, air through the year"
            written += [save_picture(figure, folder, stem, name, title) for name in formats]
    return tuple(written)


def _stem(*words: str, dark: bool) -> str:
    stem = re.sub(r"[^\w]+", "-", "-".join(words).lower()).strip("-")
    return f"{stem}-dark" if dark else stem
