"""A season in every world: one day found, one more for each thing that nobody knows, the rest by their slopes."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.physics.thermal_days import Day, periodic_day
from sunfleck.studies.climate.loose import LAID_OVER, LooseMatrix
from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.seasons import Season

Floats = NDArray[np.float64]

MOST_THREADS = 4
# A factor that spreads by less than this moves nothing that anybody could measure.
NO_SPREAD = 1e-4


@dataclass(frozen=True, slots=True)
class Means:
    """What a season is judged by, of one day or of every world.

    Attributes
    ----------
    air_day, air_night : (..., n) float
        Of the layers in the hours of the day and of the night. [K]
    shells_day, shells_night : (..., s) float
        Of the surfaces. [K]
    air_most, air_least : (..., n) float
        Warmest and coolest quarter of an hour of the day. [K]
    level : (..., f) float
        Of the lamps in the hours of the day. [-]
    level_most : (..., f) float
        Of the lamps in the hour in which lamps that heat radiate most: a spot is judged by it. [-]
    drawn : (..., f) float
        What each lamp draws in 24 hours, as hours at full level. [h]
    """

    air_day: Floats
    air_night: Floats
    shells_day: Floats
    shells_night: Floats
    air_most: Floats
    air_least: Floats
    level: Floats
    level_most: Floats
    drawn: Floats

    @property
    def together(self) -> Floats:
        """All of it in a row."""
        return np.concatenate([getattr(self, name) for name in PARTS], axis=-1)

    @classmethod
    def apart(cls, together: Floats, like: Means) -> Means:
        """Take a row, or rows, apart again."""
        ends = np.cumsum([getattr(like, name).shape[-1] for name in PARTS])
        return cls(*np.split(together, ends[:-1], axis=-1))


PARTS = (
    "air_day",
    "air_night",
    "shells_day",
    "shells_night",
    "air_most",
    "air_least",
    "level",
    "level_most",
    "drawn",
)
QUARTER, HOUR = 15, 60


def means_of(model: ClimateModel, season: Season, day: Day) -> Means:
    """What a day is judged by.

    Parameters
    ----------
    model : ClimateModel
        The plan.
    season : Season
        Which kind of day.
    day : Day
        A day of it.

    Returns
    -------
    means : Means
        Of that day.
    """
    hours = model.hours(season)
    lit, dark = hours.minutes("day"), hours.minutes("night")
    warmest = _warmest_hour(model, day)
    shells = day.cells[:, model.shells.surfaces.fronts]
    quarters = (
        day.air[: len(day.air) // QUARTER * QUARTER].reshape(-1, QUARTER, day.air.shape[1]).mean(axis=1)
    )
    return Means(
        day.air[lit].mean(axis=0),
        day.air[dark].mean(axis=0),
        shells[lit].mean(axis=0),
        shells[dark].mean(axis=0),
        quarters.max(axis=0),
        quarters.min(axis=0),
        day.level[lit].mean(axis=0),
        day.level[warmest].mean(axis=0),
        day.level.mean(axis=0) * 24.0,
    )


def _warmest_hour(model: ClimateModel, day: Day) -> NDArray[np.int64]:
    """Minutes of the hour in which lamps that heat radiate most; over midnight too."""
    heats = np.array([fixture.heats for fixture in model.brief.fixtures], dtype=bool)
    radiant = np.array([watts.radiant for watts in model.watts])
    power = day.level @ np.where(heats if heats.any() else True, radiant, 0.0)
    twice = np.concatenate([[0.0], np.cumsum(np.concatenate([power, power[:HOUR]]))])
    hours = twice[HOUR : HOUR + len(power)] - twice[: len(power)]
    # Of many hours alike the last: by then everything is warm.
    last = len(hours) - 1 - int(np.argmax(hours[::-1] >= hours.max() - 1e-9))
    return np.asarray((last + np.arange(HOUR)) % len(power))


@dataclass(frozen=True, eq=False)
class SeasonWorlds:
    """A season of a plan in every world.

    Attributes
    ----------
    model : ClimateModel
        The plan.
    season : Season
        Which.
    day : Day
        As written: every factor at its middle.
    middle : Means
        Of that day.
    up, down : (k, m) float
        How much each factor moves the means, by one standard deviation up and down. [K]
    matrix : LooseMatrix
        The worlds.
    """

    model: ClimateModel
    season: Season
    day: Day
    middle: Means
    up: Floats
    down: Floats
    matrix: LooseMatrix

    @cached_property
    def worlds(self) -> Means:
        """The means in every world, one a row."""
        far = self.matrix.distances
        moved = np.clip(far, 0.0, None) @ self.up + np.clip(-far, 0.0, None) @ self.down
        found = self._laid_over(Means.apart(self.middle.together + moved, self.middle))
        np.clip(found.level, 0.0, 1.0, out=found.level)
        np.clip(found.level_most, 0.0, 1.0, out=found.level_most)
        np.clip(found.drawn, 0.0, 24.0, out=found.drawn)
        return found

    def _laid_over(self, means: Means) -> Means:
        """The means farther from the room, or nearer, and places off their layers."""
        matrix, hours = self.matrix, self.model.hours(self.season)
        room = self.model.room(self.season).temperature.reshape(-1, 2).mean(axis=1)
        columns = {name: matrix.fields.index(name) for name in ("rise", "place", "room")}
        rise, place, shift = (matrix.normals[:, k] * matrix.spreads[k] for k in columns.values())
        farther = np.exp(rise)[:, None]
        changed = {}
        for name in ("air_day", "air_night", "shells_day", "shells_night", "air_most", "air_least"):
            when = {"day": hours.minutes("day"), "night": hours.minutes("night")}.get(name.rsplit("_", 1)[1])
            # The warmest and the coolest quarter of an hour are held against the room's warmest and coolest.
            written = (
                room[when].mean() if when is not None else room.max() if name == "air_most" else room.min()
            )
            outside = written + shift[:, None]
            apart = outside + (getattr(means, name) - outside) * farther
            changed[name] = apart + place[:, None] if name.startswith("air") else apart
        return replace(means, **changed)


def worlds_alike(model: ClimateModel, season: Season, like: SeasonWorlds) -> SeasonWorlds:
    """Find a season's day of a changed plan, and take over how factors move it from the plan as it was.

    Parameters
    ----------
    model : ClimateModel
        The changed plan; of as many layers and lamps as the one that it is like.
    season : Season
        Which.
    like : SeasonWorlds
        The same kind of day of the plan as it was.

    Returns
    -------
    worlds : SeasonWorlds
        Its day as written is its own, its range is the other's: good enough to choose what is checked in full.
    """
    box, start = model.box(season), like.day.end
    # Thicker walls are cut into more slices: then their warmth is not to be taken over.
    alike = len(start.cells) == len(box.surfaces.capacity)
    day = periodic_day(box, start if alike else None)
    middle = means_of(model, season, day)
    up, down = (_as_surfaces_are(model, like, slopes) for slopes in (like.up, like.down))
    return SeasonWorlds(model, season, day, middle, up, down, like.matrix)


def _as_surfaces_are(model: ClimateModel, like: SeasonWorlds, slopes: Floats) -> Floats:
    """Slopes of another plan with those of its surfaces in the order of this one's; a new one is taken as its like."""
    names, then = model.shells.names, like.model.shells.names
    if names == then:
        return slopes
    whole = [name.split(",")[0] for name in then]
    order = []
    for name in names:
        stem = name.split(",")[0]
        order.append(then.index(name) if name in then else whole.index(stem) if stem in whole else 0)
    means = Means.apart(slopes, like.middle)
    there = {part: getattr(means, part)[:, order] for part in ("shells_day", "shells_night")}
    return replace(means, **there).together


def season_worlds(
    model: ClimateModel, season: Season, matrix: LooseMatrix, before: Day | None = None
) -> SeasonWorlds:
    """Find a season's day as written, and how each factor moves it.

    Parameters
    ----------
    model : ClimateModel
        The plan.
    season : Season
        Which.
    matrix : LooseMatrix
        The worlds.
    before : Day, optional
        A day of another season to start from. [K]

    Returns
    -------
    worlds : SeasonWorlds
        Every world is the day as written and the sum of what its factors move, up and down apart.

    Notes
    -----
    Against whole days run in sixteen worlds (tests/studies/test_climate.py) the air of the tall example is 0.03 K off
    (rms), that of the arid one 0.47 K, of which the layer right under the lamps has most (up to 2.9 K); in the lower
    half, where animals are, 0.6 K at most. Where a thermostat switches between regimes it is coarser.
    """
    day = periodic_day(model.box(season), before.end if before is not None else None)
    middle = means_of(model, season, day)
    unmoved = set(LAID_OVER) if model.sees_sun and season.clear > 0 else {*LAID_OVER, "sun"}
    columns = [
        k for k, name in enumerate(matrix.fields) if matrix.spreads[k] > NO_SPREAD and name not in unmoved
    ]
    asked = [(k, by) for k in columns for by in (1.0, -1.0)]

    def run(each: tuple[int, float]) -> Floats:
        moved = periodic_day(model.box(season, matrix.moved(*each)), day.end)
        return means_of(model, season, moved).together - middle.together

    with ThreadPoolExecutor(max_workers=min(MOST_THREADS, os.cpu_count() or 1)) as pool:
        found = list(pool.map(run, asked))
    up, down = (np.zeros((len(matrix.fields), len(middle.together))) for _ in range(2))
    for (k, by), moved in zip(asked, found, strict=True):
        (up if by > 0 else down)[k] = moved
    return SeasonWorlds(model, season, day, middle, up, down, matrix)
