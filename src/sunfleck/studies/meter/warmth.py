"""Where temperatures are read: the surface where it basks, and shaded air at the warm and at the cool end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.report import ClimateReport
from sunfleck.studies.meter.prospect import Expected
from sunfleck.studies.meter.spots import Spot, on_the_tape, spot_words
from sunfleck.studies.rule import QUANTILES, row_at
from sunfleck.studies.setting import Setting

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Less radiant heat than this, or than a tenth of the strongest, is shade enough for a probe. Common practice, no
# source. [W m-2]
SHADE, SHARE = 20.0, 0.10
# Air that differs by less is the same air; without a climate, heights that differ by less. [K], [m]
ALIKE, LEVEL = 0.5, 0.10


@dataclass(frozen=True)
class Warmth:
    """A place for a thermometer.

    Attributes
    ----------
    role : str
        ``surface``, ``warm end`` or ``cool end``.
    spot : Spot
        Where.
    why : str
        In a builder's words.
    expected : tuple of Expected
        By season; empty where nobody says how warm the room is.
    shaded : bool
        Whether no lamp warms the probe much.
    """

    role: str
    spot: Spot
    why: str
    expected: tuple[Expected, ...]
    shaded: bool


def basking_spots(settings: tuple[Setting, ...], climate: ClimateReport | None) -> Iterator[Warmth]:
    """Yield the warmest point of every animal's basking place: the surface there decides between warm and burnt."""
    for setting in settings:
        place = setting.basking_place() if setting.animal.basking else None
        if place is None:
            continue
        receiver = setting.warmest_point(place)
        strip = setting.strips[place.strip]
        k = receiver - setting.offsets[place.strip]
        point = on_the_tape(strip.points[k], setting.system)
        spot = Spot(point, spot_words(setting.brief, strip, point, k, setting.system), strip.name)
        found: list[Expected] = []
        if climate is not None:
            animal = AnimalClimate(setting, climate.model, climate.seasons)
            found = [
                _expected("surface", animal.spot(worlds).surface, worlds.season.words)
                for worlds in animal.seasons
            ]
        why = f"the warmest point where {setting.animal.name} basks: judged by its surface"
        yield Warmth("surface", spot, why, tuple(found), shaded=False)


def ends(
    setting: Setting,
    spots: tuple[Spot, ...],
    reached: Bools,
    own: Bools,
    radiant: Floats,
    climate: ClimateReport | None,
) -> Iterator[Warmth]:
    """Yield a shaded place at the warm end and one at the cool end.

    Parameters
    ----------
    setting : Setting
        Whose ends.
    spots : tuple of Spot
        Places to choose from. [m]
    reached : (n,) bool
        Whether an arm gets there.
    own : (n,) bool
        Which are stations of the plan: where one of them serves, no other is proposed.
    radiant : (n,) float
        Radiant heat there. [W m-2]
    climate : ClimateReport or None
        Heat and air; without it the highest and the lowest places stand for warm and cool.

    Yields
    ------
    warmth : Warmth
        Of places alike the one nearest to the basking place at the warm end, farthest from it at the cool end: the
        computed air knows heights only, a builder knows sides too.
    """
    if not reached.any():
        return
    points = np.array([spot.point for spot in spots])
    ground = float(setting.brief.surroundings.ground)
    seasons = climate.seasons if climate is not None else ()
    air = points[:, 2]
    alike = LEVEL
    if climate is not None and seasons:
        weights = np.array(
            [climate.model.column.weights_at(max(float(z) - ground, 0.0)) for z in points[:, 2]]
        )
        air, alike = weights @ np.median(seasons[0].worlds.air_day, axis=0), ALIKE
    shaded = radiant <= max(SHADE, SHARE * float(radiant.max(initial=0.0)))
    place = setting.basking_place()
    middle = (
        setting.light.points[setting.receivers(place)].mean(axis=0)
        if place is not None
        else points.mean(axis=0)
    )
    away = np.linalg.norm(points - middle, axis=1)
    for role, sign in (("warm end", 1.0), ("cool end", -1.0)):
        allowed = reached & shaded if (reached & shaded).any() else reached
        best = float((sign * air[allowed]).max())
        near = np.flatnonzero(allowed & (sign * air >= best - alike))
        near = near[own[near]] if own[near].any() else near
        k = int(near[np.argmin(sign * away[near])])
        found = [
            _expected(
                "air",
                worlds.worlds.air_day
                @ climate.model.column.weights_at(max(float(points[k, 2]) - ground, 0.0)),
                worlds.season.words,
            )
            for worlds in seasons
            if climate is not None
        ]
        side = "warmest" if role == "warm end" else "coolest"
        why = f"{role}: the {side} air it rests in, out of the lamps' beams"
        yield Warmth(role, spots[k], why, tuple(found), shaded=bool(shaded[k]))


def _expected(what: str, values: Floats, when: str) -> Expected:
    low, middle, high = (
        float(values[row_at(values, QUANTILES[name])]) for name in ("low", "expected", "high")
    )
    return Expected(what, "K", low, middle, high, when)
