"""Is there a place cool enough to get away to while the lamps are on?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.answers import DAY, Asked, answered, trace_of_air
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Step

ID = "cool-end"
SUBJECT = "temperatures"
LACKS = "the plan does not say how warm its room is (site: {room: {winter: .., summer: ..}})"
LABEL = "air at the coolest place it can rest, in shade"


def ask(animal: AnimalClimate) -> Verdict | None:
    """Judge the coolest air it can rest in by day against the band of the cool end, and what is an emergency."""
    band = animal.target("cool_end", "wanted at the cool end")
    if band is None or not animal.seasons:
        return None

    def values(worlds: SeasonWorlds) -> NDArray[np.float64]:
        return np.asarray(animal.resting_air(worlds.worlds.air_day).min(axis=-1))

    def trace(worlds: SeasonWorlds, row: int) -> Step:
        return trace_of_air(animal, worlds, row, float(values(worlds)[row]), LABEL, DAY)

    asked = Asked(
        id=f"{ID}:{animal.setting.animal.key}",
        question="cool end by day, shaded air",
        label=LABEL,
        floor=band[0],
        comfort_ceiling=band[1],
        ceiling=animal.limit("alarm_above", "air that is an emergency for hours"),
        words={
            "meets": "as wanted",
            "short": "cooler than needed",
            "over": "no place is cool enough",
            "unknown": "may be outside what is wanted",
        },
        advice={
            "over": "no lamp cures this: shorter hours, fewer watts, low and high vents, a cooler room; move the animal "
            "while no place is cool",
            "short": "warm the room, or add watts inside",
            "unknown": "hang a shaded probe there for a day before anything is planted",
        },
        point=animal.rests_at(highest=False),
    )
    return answered(animal, asked, values, trace)
