"""Draw a plan's maps into a folder."""

from __future__ import annotations

from pathlib import Path
from typing import cast

from sunfleck.errors import SunfleckError
from sunfleck.outputs.maps import write_maps
from sunfleck.outputs.plan_sheet import write_plan_sheet
from sunfleck.outputs.verdict_words import NOT_ACCEPTED, sheet_words, worst_first
from sunfleck.plan.read import PlanSource
from sunfleck.service.resolved import resolved
from sunfleck.studies.channels import Channel
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.slices import maps_of


def draw_maps(
    plan: PlanSource,
    folder: Path,
    channels: tuple[str, ...],
    formats: tuple[str, ...],
    *,
    dark: bool,
    day: bool = False,
) -> list[Path]:
    """Write the maps of some channels.

    Parameters
    ----------
    plan : PlanSource
        The checked plan.
    folder : Path
        Where; created when missing.
    channels : tuple of str
        ``uvi``, ``lux``, ``ppfd``, ``radiant``.
    formats : tuple of str
        ``png``, ``svg``.
    dark : bool
        Light on dark.
    day : bool
        Whether light is added up over the day.

    Returns
    -------
    files : list of Path
        What was written.

    Raises
    ------
    SunfleckError
        If the folder cannot be written to, or the drawing library is not installed.
    """
    ready = resolved(plan)
    files: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for channel in dict.fromkeys(channels):
            maps = maps_of(ready.brief, cast(Channel, channel), ready.interior(QUICK), day=day)
            files += write_maps(maps, folder, formats, plan.plan.show_units, dark=dark)
    except OSError as error:
        msg = f"cannot write into {folder}: {error.strerror or error}"
        raise SunfleckError(msg) from error
    return files


def draw_sheet(plan: PlanSource, folder: Path, channel: str) -> Path:
    """Write one sheet with all of a plan: pictures of one channel, and every verdict.

    Parameters
    ----------
    plan : PlanSource
        The checked plan.
    folder : Path
        Where; created when missing.
    channel : str
        ``uvi``, ``lux``, ``ppfd``, ``radiant``.

    Returns
    -------
    file : Path
        A PDF.

    Raises
    ------
    SunfleckError
        If the folder cannot be written to, or the drawing library is not installed.
    """
    ready = resolved(plan)
    report = ready.report
    system = plan.plan.show_units
    words = [f"{animal}: {told or NOT_ACCEPTED}" for animal, told in report.accepted.items()]
    words += [line for each in sorted(report.verdicts, key=worst_first) for line in sheet_words(each, system)]
    stated = (
        f"Sunfleck {report.version}, library {report.library_hash[:12]}. {len(report.not_checked)} things were not checked: "
        "`sunfleck check` lists them. A target met is not yet a safe enclosure."
    )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        maps = maps_of(ready.brief, cast(Channel, channel), ready.interior(QUICK))
        return write_plan_sheet(maps, folder, system, words, stated)
    except OSError as error:
        msg = f"cannot write into {folder}: {error.strerror or error}"
        raise SunfleckError(msg) from error
