"""Is the night as cool, and as warm, as it should be?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.answers import NIGHT, Asked, answered, trace_of_air
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Step

ID = "night"
SUBJECT = "temperatures"
LACKS = "the plan does not say how warm its room is (site: {room: {winter: .., summer: ..}})"
LABEL = "air by night where it can rest, at the place nearest to what is wanted"


def ask(animal: AnimalClimate) -> Verdict | None:
    """Judge the air before morning at the place that comes nearest to the middle of the night's band."""
    band = animal.target("night", "wanted by night")
    if band is None or not animal.seasons:
        return None
    middle = (band[0].value + band[1].value) / 2

    def values(worlds: SeasonWorlds) -> NDArray[np.float64]:
        air = animal.resting_air(worlds.worlds.air_night)
        # Wherever between the coolest and the warmest place it is as wanted, the animal finds it.
        return np.asarray(np.clip(middle, air.min(axis=-1), air.max(axis=-1)))

    def trace(worlds: SeasonWorlds, row: int) -> Step:
        return trace_of_air(animal, worlds, row, float(values(worlds)[row]), LABEL, NIGHT)

    asked = Asked(
        id=f"{ID}:{animal.setting.animal.key}",
        question="night, shaded air",
        label=LABEL,
        floor=band[0],
        comfort_ceiling=band[1],
        ceiling=None,
        words={
            "meets": "as wanted",
            "short": "too cold",
            "over": "too warm",
            "unknown": "may be outside what is wanted",
        },
        advice={
            "short": "heat without light on a thermostat (a guarded panel or ceramic heater), or a warmer room",
            "over": "no lamp and no mist cures a warm night: a cooler room, or another animal",
            "unknown": "read the room's own air before morning for some nights, in winter and in summer",
        },
        point=animal.rests_at(highest=False),
    )
    return answered(animal, asked, values, trace)
