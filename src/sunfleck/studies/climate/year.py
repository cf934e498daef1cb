"""A year of a plan: twelve days that repeat themselves, one a month, every factor at its middle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sunfleck.physics.thermal_box import Room
from sunfleck.physics.thermal_days import Day, periodic_day
from sunfleck.studies.climate.ledger import DAYS_A_MONTH
from sunfleck.studies.climate.loose import Loose
from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.seasons import MONTHS, Season, month_of
from sunfleck.studies.climate.worlds import Means, means_of


@dataclass(frozen=True, eq=False)
class Month:
    """One month.

    Attributes
    ----------
    season : Season
        The room.
    day : Day
        As it goes. [K]
    means : Means
        What it is judged by. [K]
    energy : float
        Electricity. [kWh]
    """

    season: Season
    day: Day
    means: Means
    energy: float


def year_of(model: ClimateModel, loose: Loose | None = None) -> tuple[Month, ...]:
    """Find the day of every month.

    Parameters
    ----------
    model : ClimateModel
        The plan.
    loose : Loose, optional
        One of the worlds; by default as written.

    Returns
    -------
    year : tuple of Month
        Twelve, from January; none where the plan does not say how warm its room is in winter and in summer.
    """
    found: list[Month] = []
    before: Room | None = None
    electric = np.array([watts.electric for watts in model.watts])
    for month in range(len(MONTHS)):
        season = month_of(model.brief, month)
        if season is None:
            return ()
        box = model.box(season, loose)
        # The month before is the best guess: the room moves by a degree or two, and the box nearly goes with it.
        start = None if before is None else found[-1].day.end.carried_over(before, box.room)
        day, before = periodic_day(box, start), box.room
        means = means_of(model, season, day)
        energy = float((means.drawn * electric).sum()) / 1000.0 * DAYS_A_MONTH
        found.append(Month(season, day, means, energy))
    return tuple(found)
