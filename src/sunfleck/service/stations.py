"""Propose stations and write the sheet that is taken to the box."""

from __future__ import annotations

from pathlib import Path

from sunfleck import __version__
from sunfleck.errors import DomainError, SunfleckError
from sunfleck.outputs.pictures import replace_with
from sunfleck.outputs.station_sheet import FORMATS, station_sheet
from sunfleck.plan.read import PlanSource
from sunfleck.service.resolved import resolved
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
    written = []
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        for number, content in enumerate(contents, start=1):
            target = file if number == 1 else file.with_name(f"{file.stem}-{number}{file.suffix}")
            written.append(replace_with(target, content))
    except OSError as error:
        msg = f"cannot write {file}: {error.strerror or error}"
        raise SunfleckError(msg) from error
    return written


def sheet_format(file: Path) -> str:
    """Return what a sheet's ending asks for.

    Parameters
    ----------
    file : Path
        Where the sheet is to be written.

    Returns
    -------
    kind : str
        ``pdf`` or ``png``.

    Raises
    ------
    DomainError
        If the ending is another.
    """
    kind = file.suffix.lower().removeprefix(".")
    if kind not in FORMATS:
        msg = f"a sheet ends in {' or '.join('.' + each for each in FORMATS)}; got {file.name!r}"
        raise DomainError(msg)
    return kind
