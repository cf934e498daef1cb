"""What stations are chosen from: places at the animals' backs, how an arm gets there, and what readings would tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.physics.conditioning import ChosenReadings, chosen_readings
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.meter.arm import ARM, LONGEST, WayIn, has_door, ways_in
from sunfleck.studies.meter.prospect import Prospect, prospect_of
from sunfleck.studies.meter.spots import APART, Spot, spots_of
from sunfleck.studies.meter.wanted import wanted_of
from sunfleck.studies.setting import UP, Setting, setting_for

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

COUNT = 6


@dataclass(frozen=True, eq=False)
class Choice:
    """Everything stations are chosen from.

    Attributes
    ----------
    settings : tuple of Setting
        One an animal.
    spots : tuple of Spot
        Stations of the plan first, then places on what the animals rest on. [m]
    kept : tuple
        Stations of the plan.
    ways : tuple of WayIn or None
        How each spot is reached.
    open_to : (n,) bool
        Which spots may be chosen: within an arm.
    sound : (n,) bool
        Which spots lie in the box and in nothing solid; a station of the plan may not.
    prospect : Prospect
        What readings at all spots would tell.
    """

    settings: tuple[Setting, ...]
    spots: tuple[Spot, ...]
    kept: tuple[Any, ...]
    ways: tuple[WayIn | None, ...]
    open_to: NDArray[np.bool_]
    sound: NDArray[np.bool_]
    prospect: Prospect

    @property
    def candidates(self) -> Ints:
        """Spots within an arm where a meter shows something, those of the plan left out."""
        stations = np.unique(self.prospect.station)
        return np.array([k for k in stations if k >= len(self.kept) and self.open_to[k]], dtype=np.int64)

    def chosen(self, count: int, covariance: Floats | None = None) -> ChosenReadings:
        """Choose so many stations, those of the plan among them."""
        prospect = self.prospect
        taken = [k for k in range(len(self.kept)) if k in prospect.station]
        usable = np.isin(prospect.station, np.concatenate([self.candidates, np.array(taken, dtype=np.int64)]))
        rows = np.flatnonzero(usable)
        whole = prospect.covariance() if covariance is None else covariance
        n = len(prospect.station)
        keep = np.concatenate([rows, np.arange(n, len(whole))])
        return chosen_readings(
            whole[np.ix_(keep, keep)],
            prospect.own[rows],
            prospect.shared[rows],
            prospect.station[rows],
            prospect.weights,
            max(count - (len(self.kept) - len(taken)), 0),
            taken,
        )


def choice_of(brief: Brief, interior: Interior, count: int = COUNT, meter: str | None = None) -> Choice:
    """Collect the places stations are chosen from, and what readings there would tell.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    interior : Interior
        The inside of its box as it reflects.
    count : int
        How many stations of light are wanted: where fewer are within `ARM`, those within `LONGEST` count too. [-]
    meter : str, optional
        With which meter.

    Returns
    -------
    choice : Choice
        Ready to be chosen from.
    """
    lit = fullest(brief)
    settings = tuple(setting_for(brief, animal, lit, interior) for animal in brief.animals)
    kept = tuple(getattr(brief.plan, "stations", None) or ())
    places = spots_of(settings)
    own = tuple(_kept_spot(station, places) for station in kept)
    free = tuple(
        spot for spot in places if all(np.linalg.norm(spot.point - each.point) >= APART for each in own)
    )
    spots = (*own, *free)
    points = np.array([spot.point for spot in spots]).reshape(-1, 3)
    normals = np.array([*(_normal(station) for station in kept), *(UP for _ in free)], dtype=np.float64)
    ways = ways_in(brief, points)
    far = np.array([way.far if way is not None else np.inf for way in ways])
    if not has_door(brief):
        far = np.zeros(len(spots))
    lies_on = tuple(spot.strip for spot in spots)
    prospect = prospect_of(
        brief, interior, points, normals.reshape(-1, 3), lies_on, wanted_of(settings), meter
    )
    readable = np.isin(np.arange(len(spots)), prospect.station)
    near = far <= ARM
    if int((near & readable)[len(kept) :].sum()) < count - len(kept):
        near = far <= LONGEST
    around = brief.surroundings
    sound = around.inside.contains(points) & ~around.solid_at(points)
    return Choice(settings, spots, kept, ways, near, sound, prospect)


def _kept_spot(station: Any, places: tuple[Spot, ...]) -> Spot:
    """A station of the plan, in its own words; on what it lies is known by the places beside it."""
    point = np.array(station.at, dtype=np.float64)
    words = str(getattr(station, "note", None) or getattr(station, "name", "") or "a station of the plan")
    away = [float(np.linalg.norm(spot.point - point)) for spot in places]
    beside = places[int(np.argmin(away))] if away and min(away) < APART else None
    return Spot(point, words, beside.strip if beside is not None else "")


def held(station: Any) -> Any:
    """Return how a station of the plan is held, as it says; None where it does not, or where it is not in the plan."""
    return getattr(station, "hold", None) if station is not None else None


def plan_hold(station: Any) -> str:
    """Return how a station is held as a plan says it: ``up`` where nothing is said."""
    way = held(station)
    if way is None:
        return "up"
    return way if isinstance(way, str) else f"[{', '.join(f'{float(part):g}' for part in way)}]"


def _normal(station: Any) -> tuple[float, float, float]:
    """Which way a station of the plan looks: a vector where it gives one, otherwise up."""
    way = held(station)
    if isinstance(way, list | tuple) and len(way) == 3 and any(way):
        vector = np.array(way, dtype=np.float64)
        vector /= np.linalg.norm(vector)
        return float(vector[0]), float(vector[1]), float(vector[2])
    return UP
