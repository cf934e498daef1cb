"""Draw a plan's maps before and with its meter rounds into a folder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import cast

from sunfleck.errors import SunfleckError
from sunfleck.outputs.drawing_library import require_drawing_library
from sunfleck.outputs.pictures import require_formats
from sunfleck.outputs.round_maps import write_round_maps
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.service.meter_round import metered
from sunfleck.studies.channels import Channel
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.map_change import change_of, marked
from sunfleck.studies.slices import maps_of


def draw_maps_of_round(
    plan: PlanSource,
    surveys: Sequence[SurveySource],
    folder: Path,
    channels: tuple[str, ...],
    formats: tuple[str, ...],
    *,
    dark: bool,
    day: bool = False,
) -> list[Path]:
    """Write the maps of some channels, each before the readings, with them, and what changed.

    Parameters
    ----------
    plan : PlanSource
        The checked plan.
    surveys : sequence of SurveySource
        Its surveys, at least one.
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
    # Before anything is computed: that takes seconds.
    require_formats(formats)
    require_drawing_library()
    ready = metered(plan, surveys)
    name, compared = plan.plan.name, ready.calibration.compared
    files: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for channel in dict.fromkeys(cast("tuple[Channel, ...]", channels)):
            before = maps_of(ready.base.brief, channel, ready.base.interior(QUICK), day=day)
            after = maps_of(ready.brief, channel, ready.interior(QUICK), day=day, like=before)
            change = change_of(before, after)
            if not day:
                before, after = (marked(maps, ready.brief, compared) for maps in (before, after))
            files += write_round_maps(
                replace(before, plan_name=f"{name}, before the readings"),
                replace(after, plan_name=f"{name}, with {', '.join(ready.read) or 'no reading'}"),
                replace(change, plan_name=f"{name}, with the readings over before"),
                folder,
                formats,
                plan.plan.show_units,
                dark=dark,
            )
    except OSError as error:
        msg = f"cannot write into {folder}: {error.strerror or error}"
        raise SunfleckError(msg) from error
    return files
