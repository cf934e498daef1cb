"""What one failure does to a box: each device stuck on, stuck off, its probe fallen or dead, the power gone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.physics.thermal_box import ThermalBox
from sunfleck.physics.thermal_days import Day, run_day
from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.power_cuts import EVENING, back_after, power_cut
from sunfleck.studies.climate.worlds import SeasonWorlds

Floats = NDArray[np.float64]

MINUTE = 60.0
# Deep ground takes days to follow. [-]
DAYS = 3


@dataclass(frozen=True, eq=False)
class Failure:
    """One failure, followed for three days or more.

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
    air, unfailed : (m, n) float
        Of the layers, minute by minute from the failure on, and as it would be without. [K]
    back : str
        What is different when it is over; "" where nothing is.
    """

    device: str
    what: str
    heats: bool
    worlds: SeasonWorlds
    air: Floats
    unfailed: Floats
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
    A cut-out is taken to work: it is independent, or it is none. Its sensor falls with the probe that it hangs beside.
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
        control = fixture.fixture.control
        name = fixture.name
        yield _failure(name, "stuck on, day and night", True, warmest, _stuck(warmest, k, 1.0))
        if fixture.heats:
            yield _failure(name, "dead", False, coldest, _stuck(coldest, k, 0.0))
        if control is not None:
            beside = control.cut_out_probe is None
            fallen = _fallen(model.box(warmest.season), k, both=beside)
            yield _failure(name, "probe fallen to the ground, in shade", True, warmest, fallen)
            cold = _without_thermostat(model.box(warmest.season), k)
            yield _failure(name, "probe dead, reads cold: full on by its timer", True, warmest, cold)
    if model.brief.plan.enclosure.fans:
        box = model.box(warmest.season)
        yield _failure("a fan", "stopped", True, warmest, _fans_stopped(box))
    if model.brief.fixtures:
        what, boxes = power_cut(model, coldest.season)
        air = followed(worlds=coldest, boxes=boxes)[round(EVENING / MINUTE) :]
        usual = np.tile(coldest.day.air, (len(boxes), 1))[round(EVENING / MINUTE) :]
        yield Failure("the power", what, False, coldest, air, usual, back_after(model))


def _failure(device: str, what: str, heats: bool, worlds: SeasonWorlds, box: ThermalBox) -> Failure:
    unfailed = np.tile(worlds.day.air, (DAYS, 1))
    return Failure(device, what, heats, worlds, followed(worlds, (box,) * DAYS), unfailed)


def followed(worlds: SeasonWorlds, boxes: tuple[ThermalBox, ...]) -> Floats:
    """Air of some days, a box each, minute by minute; begun as the day of the season begins. [K]"""
    days: list[Day] = []
    state = worlds.day.end
    for box in boxes:
        days.append(run_day(box, state))
        state = days[-1].end
    return np.concatenate([day.air for day in days])


def _fans_stopped(box: ThermalBox) -> ThermalBox:
    """A fan that stands is a hole in the wall, as large as it is."""
    return replace(box, vents=replace(box.vents, forced=np.zeros_like(box.vents.forced)))


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


def _fallen(box: ThermalBox, k: int, *, both: bool) -> ThermalBox:
    """The probe lies on the ground away from the lamps and reads the lowest air; a cut-out beside it fell with it."""
    thermostats = box.thermostats
    rows = [k, len(box.lamps) + k] if both else [k]
    of_layers, of_surfaces = thermostats.of_layers.copy(), thermostats.of_surfaces.copy()
    gained = thermostats.gained.copy()
    of_layers[rows], of_surfaces[rows], gained[rows] = 0.0, 0.0, 0.0
    of_layers[rows, 0] = 1.0
    return replace(
        box, thermostats=replace(thermostats, of_layers=of_layers, of_surfaces=of_surfaces, gained=gained)
    )
