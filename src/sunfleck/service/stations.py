"""Propose stations and write the sheet that is taken to the box."""

from __future__ import annotations

from pathlib import Path

from sunfleck import __version__
from sunfleck.outputs.station_sheet import station_sheet
from sunfleck.plan.read import PlanSource
from sunfleck.service.resolved import resolved
from sunfleck.service.sheet_files import sheet_format, write_pages
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.meter.choice import COUNT
from sunfleck.studies.meter.drift import with_drift
from sunfleck.studies.meter.sheet_views import sheet_views
from sunfleck.studies.meter.station_plan import StationPlan
from sunfleck.studies.meter.stations import propose


def stations(
    plan: PlanSource, count: int = COUNT, *, meter: str | None = None, light: bool = False
) -> StationPlan:
    """Propose where to read.

    Parameters
    ----------
    plan : PlanSource
        The checked plan.
    count : int
        How many stations of light.
    meter : str, optional
        With which meter light is read; by default the one of the plan's readings.
    light : bool
        Whether the climate is left out: quicker, and nothing is said of what thermometers will show.

    Returns
    -------
    stations : StationPlan
        Numbered.
    """
    ready = resolved(plan)
    # What a lamp was read at on its own may have changed since: the round is there to find that.
    brief = with_drift(ready.brief)
    return propose(brief, ready.interior(QUICK), count, None if light else ready.climate, meter)


def write_station_sheet(plan: PlanSource, found: StationPlan, file: Path, *, blind: bool) -> list[Path]:
    """Write the sheet as PDF, or as a picture a page.

    Parameters
    ----------
    plan : PlanSource
        The checked plan.
    found : StationPlan
        Its stations.
    file : Path
        Its ending says what is written: ``.pdf`` or ``.png``. Further pages of a picture get ``-2`` and so on.
    blind : bool
        Whether what is expected is left out.

    Returns
    -------
    files : list of Path
        What was written.

    Raises
    ------
    DomainError
        If the ending is another.
    SunfleckError
        If it cannot be written, or the drawing library is not installed.
    """
    kind = sheet_format(file)
    brief = resolved(plan).brief
    stated = f"Sunfleck {__version__}, library {plan.library.hash[:12]}"
    contents = station_sheet(found, sheet_views(brief, found), kind, stated, blind=blind)
    return write_pages(contents, file)
