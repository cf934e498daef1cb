"""How long must it lie under the lamp to be as warm as it wants to be, and when is it too hot?"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.physics.warming import time_to_reach
from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.answers import Asked, answered, degrees
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import row_at
from sunfleck.studies.trace import Number, Step, number_of_step

ID = "basking-body"
SUBJECT = "temperatures"
LACKS = (
    "it does not bask, or the plan does not say how warm its room is (site: {room: {winter: .., summer: ..}})"
)
LABEL = "body temperature if it stays at the basking place"
# Quicker than this to what a body does not survive, and the place is no place to bask at; quicker than this and it is
# warm already. [min]
TOO_QUICK, AT_ONCE = 15.0, 0.5
METHOD = (
    "heat balance of a body of its mass and kind under the lamps; time constant from mass, skin and films"
)


def ask(animal: AnimalClimate) -> Verdict | None:
    """Judge whether the basking place can bring the body into its preferred range, and say how long that takes."""
    band = animal.target("preferred_body", "body temperature it chooses")
    if band is None or not animal.seasons or animal.place is None or animal.setting.animal.mass is None:
        return None

    def values(worlds: SeasonWorlds) -> NDArray[np.float64]:
        return animal.spot(worlds).body

    def trace(worlds: SeasonWorlds, row: int) -> Step:
        spot = animal.spot(worlds)
        air, whole = float(spot.air[row]), float(spot.body[row])
        parts = (
            Step("air at that height", air, "K", "computed", (), "layers of air by day", "derived"),
            Step(
                "what lamps and surroundings add to it", whole - air, "K", "computed", (), METHOD, "derived"
            ),
        )
        return Step(f"{LABEL} {worlds.season.words}, in row {row + 1}", whole, "K", "sum", parts)

    id_ = f"{ID}:{animal.setting.animal.key}"
    asked = Asked(
        id=id_,
        question="what basking makes of its body",
        label=LABEL,
        floor=band[0],
        comfort_ceiling=None,
        # It leaves when it is warm: what it comes to if it stayed is no harm, as long as it can leave.
        ceiling=None,
        words={
            "meets": "it can warm itself as it wants",
            "short": "it cannot get as warm as it wants",
            "over": "",
            "unknown": "it may not get as warm as it wants",
        },
        advice={
            "short": "the lamp nearer or stronger, or warmer air around the place",
            "unknown": "read the surface at the place after four hours, and see whether the animal leaves it warm",
        },
        place=animal.setting.words(animal.place),
        point=animal.setting.middle(animal.place),
    )
    verdict = answered(animal, asked, values, trace)
    numbers, told, state = [], [], verdict.state
    for worlds in animal.seasons:
        minutes = _minutes(animal, worlds, band[0].value)
        key = worlds.season.key
        numbers.append(_number(f"{id_}.{key}_minutes", "minutes to its preferred range", minutes))
        if minutes < AT_ONCE:
            told.append(f"{worlds.season.words} it is warm enough in the morning")
        elif np.isfinite(minutes) and minutes > _lit(animal, worlds):
            state = "short"
            told.append(
                f"{worlds.season.words} it takes about {minutes:.0f} min, and its lamps are off before"
            )
        elif np.isfinite(minutes):
            told.append(
                f"{worlds.season.words} about {minutes:.0f} min from the morning's {_start(animal, worlds)}"
            )
    hot = animal.limit("critical_high", "body temperature at which it fails in heat")
    if hot is not None:
        worlds = max(animal.seasons, key=lambda each: each.season.warmth)
        minutes = _minutes(animal, worlds, hot.value)
        numbers.append(
            _number(f"{id_}.critical_minutes", "minutes until it fails if it cannot leave", minutes)
        )
        if np.isfinite(minutes):
            told.append(
                f"if it could not leave, it would fail after about {minutes:.0f} min {worlds.season.words}"
            )
        if minutes < TOO_QUICK:
            state = "over"
            told.append("that is no time to notice: too hot to bask under")
    sentence = verdict.sentence + ("; " + "; ".join(told) if told else "")
    return replace(verdict, state=state, sentence=sentence, numbers=(*verdict.numbers, *numbers))


def _lit(animal: AnimalClimate, worlds: SeasonWorlds) -> float:
    """Minutes of the day in which a lamp that heats is lit."""
    heating = [f.index for f in animal.model.brief.fixtures if f.heats]
    return float((worlds.day.level[:, heating] > 0.0).any(axis=1).sum())


def _morning(animal: AnimalClimate, worlds: SeasonWorlds) -> NDArray[np.float64]:
    """Of its body before the lamps come on: that of the air at the warmest place. [K]"""
    return np.asarray(animal.resting_air(worlds.worlds.air_night).max(axis=-1))


def _start(animal: AnimalClimate, worlds: SeasonWorlds) -> str:
    return degrees(float(np.median(_morning(animal, worlds))), animal.setting.system)


def _minutes(animal: AnimalClimate, worlds: SeasonWorlds, wanted: float) -> float:
    spot = animal.spot(worlds)
    morning = _morning(animal, worlds)
    # It may be as warm already; then `time_to_reach`, which asks for the moment of passing, has none.
    found = np.where(morning >= wanted, 0.0, time_to_reach(morning, spot.body, wanted, spot.constant) / 60.0)
    return float(found[row_at(found, 0.5)])


def _number(id_: str, label: str, value: float) -> Number:
    # A time that never comes is written as -1: JSON has no infinity.
    shown = value if np.isfinite(value) else -1.0
    words = label if np.isfinite(value) else f"{label}: never (-1)"
    return number_of_step(id_, Step(words, shown, "min", "computed", (), METHOD, "derived"))
