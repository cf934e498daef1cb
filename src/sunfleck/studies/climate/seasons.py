"""The room by season, and the hours in which an enclosure is judged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.physics.moist_air import humidity_ratio
from sunfleck.physics.sun import MIDDLE_DAYS, day_length
from sunfleck.physics.thermal_box import DAY, STEPS, Room

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
HALF, ROUNDING = 0.5, 1e-9
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
        if site.window is not None:
            # A low sun reaches deep: feared for heat where the same month is feared for cold.
            words = "on a clear winter day"
            yield Season("winter-sun", words, room.winter, drop, dry, cold, CLEAR, cold_half=True)
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
    months: dict[int, str] = {}
    for each in seasons:
        months.setdefault(each.season.month, each.season.words)
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
        cold_half=bool(share < HALF - ROUNDING),
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


def hours_of(brief: Brief, *, cold_half: bool = False) -> Hours:
    """Find when an enclosure is judged.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    cold_half : bool
        Whether timers keep their winter hours.

    Returns
    -------
    hours : Hours
        Day: the stretch in which a lamp that heats is lit, else most are; of lamps that are never off, the afternoon.
        Night: the end of the longest dark.
    """
    shining = [f for f in brief.fixtures if not f.lamp.dark]
    heating = [f for f in shining if f.heats]
    day = _longest_lit(heating, cold_half) or _longest_lit(shining, cold_half)
    night = _longest_lit(shining, cold_half, dark=True)
    if day is None:
        return Hours(*WITHOUT_LAMPS)
    start, end = day
    length = (end - start) % DAY
    if length == 0.0:
        lit = WITHOUT_LAMPS[0]
    else:
        settles = SETTLED if length > SETTLED * 4 / 3 else 2 / 3 * length
        lit = ((start + settles) % DAY, end)
    if night is None:
        return Hours(lit, WITHOUT_LAMPS[1])
    dark = (night[1] - night[0]) % DAY or DAY
    return Hours(lit, ((night[1] - min(BEFORE_MORNING, dark)) % DAY, night[1]))


def hours_lit(fixture: FixtureBrief, *, cold_half: bool) -> tuple[tuple[float, float], ...]:
    """When a timer lights a lamp, in its winter hours or in the others. [s]"""
    winter = fixture.fixture.winter_hours if cold_half else None
    return tuple(zip(winter[::2], winter[1::2], strict=True)) if winter else fixture.hours


def _longest_lit(
    fixtures: list[FixtureBrief], cold_half: bool, *, dark: bool = False
) -> tuple[float, float] | None:
    """Start and end of the longest stretch in which one of some lamps is lit, or none is, over midnight too. [s]"""
    minutes = np.zeros(round(DAY / 60.0), dtype=bool)
    middle = (np.arange(len(minutes)) + 0.5) * 60.0
    for fixture in fixtures:
        for start, end in hours_lit(fixture, cold_half=cold_half):
            minutes |= (middle >= start) & (middle < end)
    wanted = ~minutes if dark else minutes
    if not wanted.any():
        return None
    if wanted.all():
        return 0.0, DAY
    # Turned so that it begins with a minute that is not wanted: no stretch is cut at midnight.
    first = int(np.argmin(wanted))
    turned = np.concatenate([[False], np.roll(wanted, -first), [False]])
    begins, ends = (
        np.flatnonzero(np.diff(turned.astype(int)) == 1),
        np.flatnonzero(np.diff(turned.astype(int)) == -1),
    )
    longest = int(np.argmax(ends - begins))
    # An end at midnight is 24 h, not 0.
    start, end = (float(x) + first for x in (begins[longest], ends[longest]))
    return (start * 60.0) % DAY, (end * 60.0 - 1.0) % DAY + 1.0
