"""Courses of days and of the year for one animal, ready to be drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.report import ClimateReport
from sunfleck.studies.climate.seasons import Hours, Season
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.climate.year import Month
from sunfleck.studies.day import fullest
from sunfleck.studies.questions import basking_spot, cool_end, night, warm_end
from sunfleck.studies.setting import setting_for

Floats = NDArray[np.float64]

# Heights nearer to each other than this share of the box are told as one.
APART = 0.15
SHARES = (5.0, 50.0, 95.0)
# Target bands of air, in the order in which they are told: question, name for a builder, hours.
OF_AIR = ((warm_end.ID, "warm end", "day"), (cool_end.ID, "cool end", "day"), (night.ID, "night", "night"))
SPOT = "basking spot"


@dataclass(frozen=True, slots=True)
class Range:
    """What a temperature could be, 9 of 10.

    Attributes
    ----------
    low, expected, high : float
        5 %, 50 % and 95 % of the worlds at or below. [K]
    """

    low: float
    expected: float
    high: float


@dataclass(frozen=True, slots=True)
class Band:
    """What is wanted.

    Attributes
    ----------
    name : str
        ``warm end``, ``cool end``, ``night`` or ``basking spot``.
    low, high : float
        Its ends. [K]
    when : str
        Hours in which it is judged: ``day`` or ``night``.
    """

    name: str
    low: float
    high: float
    when: str


@dataclass(frozen=True, eq=False)
class AirCourse:
    """Air at one height over a day.

    Attributes
    ----------
    name : str
        Which height this is: ``top``, ``middle``, ``highest place``, ``lowest place``.
    height : float
        Above the ground. [m]
    air : (1440,) float
        Expected, minute by minute. [K]
    day, night : Range
        In the hours in which it is judged.
    """

    name: str
    height: float
    air: Floats
    day: Range
    night: Range


@dataclass(frozen=True, eq=False)
class LampCourse:
    """A lamp over a day.

    Attributes
    ----------
    name : str
        Its name in the plan.
    level : (1440,) float
        As timer and thermostat leave it; 1 is all it can. [-]
    most : float
        The highest of it. [-]
    """

    name: str
    level: Floats
    most: float


@dataclass(frozen=True, eq=False)
class DayCourse:
    """A day of one animal's box.

    Attributes
    ----------
    plan, animal, key : str
        Names of the plan and of the animal, and the animal's in file names.
    season : Season
        Which kind of day.
    hours : Hours
        When it is judged.
    airs : tuple of AirCourse
        From the top down.
    room : (1440,) float
        Of the room. [K]
    lamps : tuple of LampCourse
        In the plan's order.
    bands : tuple of Band
        What is wanted; the basking spot's only where it is judged.
    spot : Range or None
        Surface where it basks, in the hours of the day; None where it is not judged.
    rests : (float, float)
        Lowest and highest place at which it can rest, above the ground. [m]
    """

    plan: str
    animal: str
    key: str
    season: Season
    hours: Hours
    airs: tuple[AirCourse, ...]
    room: Floats
    lamps: tuple[LampCourse, ...]
    bands: tuple[Band, ...]
    spot: Range | None
    rests: tuple[float, float]


@dataclass(frozen=True, eq=False)
class YearCourse:
    """Twelve months of one animal's box, every factor at its middle.

    Attributes
    ----------
    plan, animal, key : str
        Names of the plan and of the animal, and the animal's in file names.
    hours : Hours
        When it is judged.
    warm, cool : (12,) float
        Air by day at the warmest and at the coolest place at which it can rest. [K]
    night : (12,) float
        Air by night at the place nearest to the middle of what is wanted; the coolest place where nothing is. [K]
    room : (12,) float
        The room in the hours of the day. [K]
    energy : (12,) float
        Electricity. [kWh]
    bands : tuple of Band
        What is wanted of air.
    price : float or None
        Of a kilowatt hour; None without a tariff. [kWh-1]
    currency : str
        Of `price`; "" without a tariff.
    """

    plan: str
    animal: str
    key: str
    hours: Hours
    warm: Floats
    cool: Floats
    night: Floats
    room: Floats
    energy: Floats
    bands: tuple[Band, ...]
    price: float | None
    currency: str

    @property
    def cost(self) -> Floats | None:
        """Of each month, in `currency`; None without a tariff. (12,)"""
        return None if self.price is None else self.energy * self.price

    @property
    def energy_year(self) -> float:
        """Electricity of a year. [kWh]"""
        return float(self.energy.sum())

    @property
    def cost_year(self) -> float:
        """Of a year, in `currency`; NaN without a tariff."""
        return float("nan") if self.cost is None else float(self.cost.sum())


def animals_of(report: ClimateReport) -> tuple[AnimalClimate, ...]:
    """Every animal of a plan with its places and the seasons of a report."""
    brief = report.model.brief
    lit = fullest(brief)
    return tuple(
        AnimalClimate(setting_for(brief, animal, lit, report.model.interior), report.model, report.seasons)
        for animal in brief.animals
    )


def day_course(animal: AnimalClimate, worlds: SeasonWorlds, numbers: Mapping[str, float]) -> DayCourse:
    """Lay out a day of one animal.

    Parameters
    ----------
    animal : AnimalClimate
        Whose places.
    worlds : SeasonWorlds
        The season.
    numbers : mapping of str to float
        The report's numbers by id: ranges and targets are the verdicts' own.

    Returns
    -------
    course : DayCourse
        Ready to be drawn.
    """
    key, brief = animal.setting.animal.key, animal.model.brief
    spot_id = f"{basking_spot.ID}:{key}"
    judged = [numbers.get(f"{spot_id}.{worlds.season.key}_{name}") for name in ("low", "expected", "high")]
    known = [value for value in judged if value is not None]
    level = worlds.day.level
    bands = list(_bands(key, numbers))
    if len(known) == len(judged):
        bands += _band(spot_id, SPOT, "day", numbers)
    return DayCourse(
        plan=brief.plan.name,
        animal=animal.setting.animal.name,
        key=animal.setting.animal.key,
        season=worlds.season,
        hours=animal.model.hours(worlds.season),
        airs=tuple(_air(animal, worlds, name, height) for name, height in _heights(animal)),
        room=_room(worlds.model, worlds.season),
        lamps=tuple(
            LampCourse(fixture.name, level[:, k], float(level[:, k].max()))
            for k, fixture in enumerate(brief.fixtures)
        ),
        bands=tuple(bands),
        spot=Range(*known) if len(known) == len(judged) else None,
        rests=(float(animal.heights[0]), float(animal.heights[-1])),
    )


def year_course(animal: AnimalClimate, year: tuple[Month, ...], numbers: Mapping[str, float]) -> YearCourse:
    """Lay out a year of one animal.

    Parameters
    ----------
    animal : AnimalClimate
        Whose places.
    year : tuple of Month
        Twelve.
    numbers : mapping of str to float
        The report's numbers by id.

    Returns
    -------
    course : YearCourse
        Ready to be drawn.
    """
    brief, hours = animal.model.brief, animal.model.summer_hours
    bands = tuple(_bands(animal.setting.animal.key, numbers))
    lit = animal.resting_air(np.array([month.means.air_day for month in year]))
    dark = animal.resting_air(np.array([month.means.air_night for month in year]))
    coolest, warmest = dark.min(axis=-1), dark.max(axis=-1)
    # As the verdict takes it: it finds the place that suits it best.
    wanted = next(((band.low + band.high) / 2 for band in bands if band.when == "night"), -np.inf)
    tariff = brief.plan.site.tariff if brief.plan.site is not None else None
    return YearCourse(
        plan=brief.plan.name,
        animal=animal.setting.animal.name,
        key=animal.setting.animal.key,
        hours=hours,
        warm=lit.max(axis=-1),
        cool=lit.min(axis=-1),
        night=np.clip(wanted, coolest, warmest),
        room=np.array([_room_by_day(animal.model, month.season) for month in year]),
        energy=np.array([month.energy for month in year]),
        bands=bands,
        price=tariff.per_kwh if tariff is not None else None,
        currency=tariff.currency if tariff is not None else "",
    )


def _heights(animal: AnimalClimate) -> list[tuple[str, float]]:
    """Heights that are told, from the top down: top, middle, lowest place, and the highest where it is none of them."""
    edges = animal.model.column.edges
    box = float(edges[-1])
    lowest, highest = float(animal.heights[0]), float(animal.heights[-1])
    found = [("top", float(edges[-1] + edges[-2]) / 2), ("middle", box / 2), ("lowest place", lowest)]
    if all(abs(highest - height) > APART * box for _, height in found):
        found.append(("highest place", highest))
    return sorted(found, key=lambda each: -each[1])


def _air(animal: AnimalClimate, worlds: SeasonWorlds, name: str, height: float) -> AirCourse:
    weights = animal.model.column.weights_at(height)
    ranges = [
        Range(*(float(x) for x in np.percentile(rows @ weights, SHARES)))
        for rows in (worlds.worlds.air_day, worlds.worlds.air_night)
    ]
    return AirCourse(name, height, np.asarray(worlds.day.air @ weights), *ranges)


def _room_by_day(model: ClimateModel, season: Season) -> float:
    """The room in the hours of the day. [K]"""
    return float(_room(model, season)[model.hours(season).minutes("day")].mean())


def _room(model: ClimateModel, season: Season) -> Floats:
    return np.asarray(model.room(season).temperature.reshape(-1, 2).mean(axis=1))


def _bands(key: str, numbers: Mapping[str, float]) -> Iterator[Band]:
    for question, name, when in OF_AIR:
        yield from _band(f"{question}:{key}", name, when, numbers)


def _band(id_: str, name: str, when: str, numbers: Mapping[str, float]) -> list[Band]:
    ends = numbers.get(f"{id_}.floor"), numbers.get(f"{id_}.comfort_ceiling")
    return [Band(name, ends[0], ends[1], when)] if ends[0] is not None and ends[1] is not None else []
