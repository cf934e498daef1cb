"""What one failure does to a box: each device stuck on, stuck off, its probe fallen or dead, the power gone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.physics.thermal_box import STEP, STEPS, ThermalBox
from sunfleck.physics.thermal_days import Day, run_day
from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.worlds import SeasonWorlds

Floats = NDArray[np.float64]

POWER_CUT = 12 * 3600.0
# A power cut is looked at from the evening on.
EVENING = 20 * 3600.0
MINUTE = 60.0


@dataclass(frozen=True, eq=False)
class Failure:
    """One failure, followed for a day and a night.

    Attributes
    ----------
    device : str
        What fails.
    what : str
        How.
    heats : bool
        Whether it is feared for its warmth; else for the cold.
    worlds : SeasonWorlds
        On which kind of day.
    air : (m, n) float
        Of the layers, minute by minute from the failure on. [K]
    back : str
        What is different when it is over; "" where nothing is.
    """

    device: str
    what: str
    heats: bool
    worlds: SeasonWorlds
    air: Floats
    back: str = ""


def failures_of(model: ClimateModel, seasons: tuple[SeasonWorlds, ...]) -> tuple[Failure, ...]:
    """Follow every failure of one device, on the day on which it does most harm.

    Parameters
    ----------
    model : ClimateModel
        The plan.
    seasons : tuple of SeasonWorlds
        Its seasons; none where the plan does not say how warm its room is.

    Returns
    -------
    failures : tuple of Failure
        Device by device, the power cut last.

    Notes
    -----
    A cut-out is taken to work: it is independent, or it is none.
    """
    if not seasons:
        return ()
    warmest = max(seasons, key=lambda worlds: worlds.season.warmth)
    coldest = min(seasons, key=lambda worlds: worlds.season.warmth)
    return tuple(_failures(model, warmest, coldest))


def _failures(model: ClimateModel, warmest: SeasonWorlds, coldest: SeasonWorlds) -> Iterator[Failure]:
    for k, fixture in enumerate(model.brief.fixtures):
        watts = model.watts[k]
        if watts.kept <= 0:
            continue
        driven = fixture.fixture.control is not None
        name = fixture.name
        yield Failure(
            name, "stuck on, day and night", True, warmest, _followed(warmest, _stuck(warmest, k, 1.0))
        )
        if fixture.heats:
            yield Failure(name, "dead", False, coldest, _followed(coldest, _stuck(coldest, k, 0.0)))
        if driven:
            fallen = _fallen(model.box(warmest.season), k)
            yield Failure(
                name, "probe fallen to the ground, in shade", True, warmest, _followed(warmest, fallen)
            )
            cold = _without_thermostat(model.box(warmest.season), k)
            yield Failure(
                name, "probe dead, reads cold: full on by its timer", True, warmest, _followed(warmest, cold)
            )
    if model.brief.fixtures:
        box = model.box(coldest.season)
        middle = (np.arange(STEPS) + 0.5) * STEP
        dark = (middle - EVENING) % (24 * 3600.0) < POWER_CUT
        cut = replace(box, lamps=replace(box.lamps, timer=np.where(dark[:, None], 0.0, box.lamps.timer)))
        hours = round(POWER_CUT / 3600.0)
        back = _back_after(model)
        words = f"gone for {hours} h from the evening"
        yield Failure("the power", words, False, coldest, _followed(coldest, cut, from_=EVENING), back)


def _back_after(model: ClimateModel) -> str:
    """What is not as before when the power comes back."""
    slow = [
        f"{f.name} takes up to {f.lamp.restrike_minutes.value:g} min to light again"
        for f in model.brief.fixtures
        if f.lamp.restrike_minutes is not None
    ]
    return "; ".join(["timers without a battery are late by as long", *slow])


def _followed(worlds: SeasonWorlds, box: ThermalBox, from_: float = 0.0) -> Floats:
    """A day from the failure on, minute by minute; begun as the day of the season begins. [K]"""
    day = worlds.day
    if from_ == 0.0:
        return run_day(box, day.end).air
    # The power is away in the first hours of this day too, as it is after the cut; by evening that is forgotten.
    first: Day = run_day(box, day.end)
    second = run_day(box, first.end)
    start = round(from_ / MINUTE)
    return np.concatenate([first.air[start:], second.air[:start]])


def _stuck(worlds: SeasonWorlds, k: int, level: float) -> ThermalBox:
    box = worlds.model.box(worlds.season)
    timer = box.lamps.timer.copy()
    timer[:, k] = level
    held = _without_thermostat(box, k)
    return replace(held, lamps=replace(held.lamps, timer=timer))


def _without_thermostat(box: ThermalBox, k: int) -> ThermalBox:
    """The thermostat asks for all; a cut-out still opens."""
    kind = box.thermostats.kind.copy()
    kind[k] = 0
    return replace(box, thermostats=replace(box.thermostats, kind=kind))


def _fallen(box: ThermalBox, k: int) -> ThermalBox:
    """The probe lies on the ground away from the lamps: it reads the lowest air."""
    thermostats = box.thermostats
    of_layers, of_surfaces = thermostats.of_layers.copy(), thermostats.of_surfaces.copy()
    gained = thermostats.gained.copy()
    of_layers[k], of_surfaces[k], gained[k] = 0.0, 0.0, 0.0
    of_layers[k, 0] = 1.0
    return replace(
        box, thermostats=replace(thermostats, of_layers=of_layers, of_surfaces=of_surfaces, gained=gained)
    )
