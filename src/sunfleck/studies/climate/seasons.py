"""The room by season, and the hours in which an enclosure is judged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.physics.moist_air import humidity_ratio
from sunfleck.physics.sun import MIDDLE_DAYS, day_length
from sunfleck.physics.thermal_box import DAY, STEPS, Room
from sunfleck.studies.day import lit_sets

Floats = NDArray[np.float64]

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
# Coldest and warmest month of a room north of the equator. Common practice, no source.
COLDEST, WARMEST = 0, 6
# A room is warmest in the afternoon. Common practice, no source. [h]
WARMEST_HOUR = 15.0
# A month has about half of the sun of cloudless days. Common practice, no source.
CLEAR, USUALLY_CLEAR = 1.0, 0.5
HALF = 0.5
# Where a plan says nothing of its room's air.
USUAL_HUMIDITY = 0.5
# An enclosure is judged from so long after lamps came on, or in the last third where they are not on for long.
SETTLED = 3 * 3600.0
BEFORE_MORNING = 3 * 3600.0
WITHOUT_LAMPS = ((12 * 3600.0, 18 * 3600.0), (2 * 3600.0, 5 * 3600.0))


class SeasonLike(Protocol):
    """Whatever is of a season."""

    @property
    def season(self) -> Season:
        """Which."""


@dataclass(frozen=True, slots=True)
class Season:
    """A kind of day.

    Attributes
    ----------
    key : str
        Its name in result ids: ``winter``, ``summer``, ``coldest``, ``hottest`` or a month in lower case.
    words : str
        In a builder's words.
    warmth : float
        Of the room in the afternoon. [K]
    drop : float
        How far the room falls by night. [K]
    humidity : float
        Of the room's air, relative, in the afternoon. [-]
    month : int
        Of the sun; 0 is January. [-]
    clear : float
        Share of a cloudless day's sun that it has: none on days feared for the cold, all on days feared for heat. [-]
    cold_half : bool
        Whether it belongs to the cold half of the year, in which timers keep their winter hours.
    """

    key: str
    words: str
    warmth: float
    drop: float
    humidity: float
    month: int
    clear: float = 0.0
    cold_half: bool = False

    def room(self, shift: float = 0.0) -> Room:
        """The room at each step of the day, `shift` warmer than written. [K]"""
        hour = (np.arange(STEPS) + 0.5) * 24.0 / STEPS
        swing = (1.0 - np.cos(2 * np.pi * (hour - WARMEST_HOUR) / 24.0)) / 2.0
        warmth = self.warmth + shift - self.drop * swing
        moist = float(humidity_ratio(self.warmth, self.humidity))
        return Room(warmth, np.full(STEPS, moist))


def seasons_of(brief: Brief) -> tuple[Season, ...]:
    """Kinds of day that a plan gives a room for: winter, summer, and the worst days it names.

    Parameters
    ----------
    brief : Brief
        The resolved plan.

    Returns
    -------
    seasons : tuple of Season
        None where the plan does not say how warm its room is.
    """
    return tuple(_seasons(brief))


def _seasons(brief: Brief) -> Iterator[Season]:
    site = brief.plan.site
    room = site.room if site is not None else None
    if site is None or room is None:
        return
    south = site.latitude is not None and site.latitude < 0
    cold, warm = (WARMEST, COLDEST) if south else (COLDEST, WARMEST)
    drop = room.night_drop or 0.0
    dry = room.humidity_winter if room.humidity_winter is not None else USUAL_HUMIDITY
    moist = room.humidity_summer if room.humidity_summer is not None else USUAL_HUMIDITY
    if room.winter is not None:
        yield Season("winter", "in winter", room.winter, drop, dry, cold, cold_half=True)
    if room.summer is not None:
        yield Season("summer", "in summer", room.summer, drop, moist, warm, CLEAR)
    if room.coldest is not None:
        yield Season("coldest", "on the coldest day", room.coldest, drop, dry, cold, cold_half=True)
    if room.hottest is not None:
        yield Season("hottest", "on the hottest day", room.hottest, drop, moist, warm, CLEAR)


def daylight(brief: Brief, seasons: Iterable[SeasonLike]) -> Iterator[str]:
    """Yield how long the day is outside in each season, where the plan says at which latitude it stands."""
    latitude = brief.plan.site.latitude if brief.plan.site is not None else None
    if latitude is None:
        return
    months = {each.season.month: each.season.words for each in seasons}
    told = [f"{float(day_length(latitude, MIDDLE_DAYS[m])):.0f} h {words}" for m, words in months.items()]
    if told:
        yield f"the day outside lasts {', '.join(told)}: `hours` and `winter_hours` of the lamps can follow it"


def month_of(brief: Brief, month: int) -> Season | None:
    """The room in a month, between winter and summer along a cosine.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    month : int
        0 is January. [-]

    Returns
    -------
    season : Season or None
        None where the plan does not say how warm its room is in winter and in summer.
    """
    found = {season.key: season for season in seasons_of(brief)}
    if "winter" not in found or "summer" not in found:
        return None
    winter, summer = found["winter"], found["summer"]
    share = (1.0 + np.cos(2 * np.pi * (month - summer.month) / 12.0)) / 2.0

    def between(low: float, high: float) -> float:
        return float(low + (high - low) * share)

    return Season(
        MONTHS[month].lower(),
        f"in {MONTHS[month]}",
        between(winter.warmth, summer.warmth),
        winter.drop,
        between(winter.humidity, summer.humidity),
        month,
        USUALLY_CLEAR,
        cold_half=bool(share < HALF),
    )


@dataclass(frozen=True, slots=True)
class Hours:
    """When an enclosure is judged.

    Attributes
    ----------
    day, night : (float, float)
        From and to: with the lamps on for a while, and before they come on again; the night may go over
        midnight. [s]
    """

    day: tuple[float, float]
    night: tuple[float, float]

    def minutes(self, which: str) -> NDArray[np.bool_]:
        """Minutes of the day that belong to it, (1440,)."""
        start, end = self.day if which == "day" else self.night
        middle = (np.arange(round(DAY / 60.0)) + 0.5) * 60.0
        if end > start:
            return (middle >= start) & (middle < end)
        return (middle >= start) | (middle < end)


def hours_of(brief: Brief) -> Hours:
    """Find when an enclosure is judged.

    Parameters
    ----------
    brief : Brief
        The resolved plan.

    Returns
    -------
    hours : Hours
        Day: the stretch in which a lamp that heats is lit, else most are. Night: the end of the longest dark.
    """
    sets = lit_sets(brief)
    heating = {fixture.name for fixture in brief.fixtures if fixture.heats and not fixture.lamp.dark}
    shining = {fixture.name for fixture in brief.fixtures if not fixture.lamp.dark}
    day = _longest([bool(set(s.names) & heating) for s in sets], sets) or _longest(
        [bool(set(s.names) & shining) for s in sets], sets
    )
    night = _longest([not set(s.names) & shining for s in sets], sets)
    if day is None or not brief.fixtures:
        return Hours(*WITHOUT_LAMPS)
    start, end = day
    length = (end - start) % DAY or DAY
    begin = (start + max(SETTLED, 0.0)) % DAY if length > SETTLED * 4 / 3 else (start + 2 / 3 * length) % DAY
    if night is None:
        return Hours((begin, end), WITHOUT_LAMPS[1])
    dark = (night[1] - night[0]) % DAY or DAY
    return Hours((begin, end), ((night[1] - min(BEFORE_MORNING, dark)) % DAY, night[1]))


def _longest(wanted: list[bool], sets) -> tuple[float, float] | None:  # type: ignore[no-untyped-def]  # noqa: ANN001
    """Start and end of the longest run of stretches that are wanted, over midnight too. [s]"""
    if not any(wanted):
        return None
    if all(wanted):
        return 0.0, DAY
    count = len(sets)
    best: tuple[float, float, float] | None = None
    for first in range(count):
        if not wanted[first] or wanted[first - 1]:
            continue
        length, last = 0.0, first
        while wanted[last % count]:
            length += sets[last % count].end - sets[last % count].start
            last += 1
        found = (length, sets[first].start, sets[(last - 1) % count].end)
        best = found if best is None or found[0] > best[0] else best
    assert best is not None
    return best[1], best[2]
