"""The power gone for some hours from the evening on, and its return: lamps dark, fans still, the room cooling."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sunfleck.physics.thermal_box import DAY, STEP, STEPS, ThermalBox
from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.seasons import Season
from sunfleck.units import format_quantity

# Where a plan does not say how long.
USUAL = 12 * 3600.0
# It is looked at from the evening on. [s]
EVENING = 20 * 3600.0
# After its return a box is followed for so long at least. [s]
AFTER = 2 * DAY


def power_cut(model: ClimateModel, season: Season) -> tuple[str, tuple[ThermalBox, ...]]:
    """Make the boxes of the days of a power cut.

    Parameters
    ----------
    model : ClimateModel
        The plan.
    season : Season
        On which kind of day.

    Returns
    -------
    what : str
        How long, and what becomes of the room.
    boxes : tuple of ThermalBox
        One a day, from the midnight before on.

    Notes
    -----
    Where the plan says how cold the room is at the end (`site.power_cut.room`), it falls there evenly, and comes back
    as evenly; else it stays as warm as ever. A fan stands all day on days that the cut touches.
    """
    site = model.brief.plan.site
    written = site.power_cut if site is not None else None
    lasts = written.lasts if written is not None else USUAL
    cold = written.room if written is not None else None
    lost = 0.0 if cold is None else max(0.0, float(model.room(season).temperature.min()) - cold)
    boxes = []
    for day in range(int(np.ceil((EVENING + lasts + max(lasts if lost else 0.0, AFTER)) / DAY))):
        since = day * DAY + (np.arange(STEPS) + 0.5) * STEP - EVENING
        gone = (since >= 0.0) & (since < lasts)
        share = np.interp(since, [0.0, lasts, 2 * lasts], [0.0, 1.0, 0.0])
        box = model.box(season)
        vents = replace(box.vents, forced=box.vents.forced * (not gone.any()))
        room = replace(box.room, temperature=box.room.temperature - lost * share)
        lamps = replace(box.lamps, timer=np.where(gone[:, None], 0.0, box.lamps.timer))
        boxes.append(replace(box, vents=vents, room=room, lamps=lamps))
    becomes = (
        f"the room down to {format_quantity(cold, 'temperature', model.brief.plan.show_units)}"
        if cold is not None and lost
        else "the room as warm as ever"
    )
    return f"gone for {_hours(lasts)} from the evening, {becomes}", tuple(boxes)


def _hours(seconds: float) -> str:
    return f"{seconds / 3600.0:g} h" if seconds >= 3600.0 else f"{seconds / 60.0:.0f} min"


def back_after(model: ClimateModel) -> str:
    """What is not as before when the power comes back."""
    slow = [
        f"{f.name} takes up to {f.lamp.restrike_minutes.value:g} min to light again"
        for f in model.brief.fixtures
        if f.lamp.restrike_minutes is not None
    ]
    return "; ".join(["timers without a battery are late by as long", *slow])
