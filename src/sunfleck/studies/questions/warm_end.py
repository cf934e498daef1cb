"""Is the warm end warm enough, and not too warm, while the lamps are on?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.answers import DAY, Asked, answered, trace_of_air
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Step

ID = "warm-end"
SUBJECT = "temperatures"
LACKS = "the plan does not say how warm its room is (site: {room: {winter: .., summer: ..}})"
LABEL = "air at the warmest place it can rest, in shade"


def ask(animal: AnimalClimate) -> Verdict | None:
    """Judge the warmest air it can rest in by day against the band of the warm end."""
    band = animal.target("warm_end", "wanted at the warm end")
    if band is None or not animal.seasons:
        return None

    warmed = any(fixture.heats for fixture in animal.model.brief.fixtures)

    def values(worlds: SeasonWorlds) -> NDArray[np.float64]:
        return np.asarray(animal.resting_air(worlds.worlds.air_day).max(axis=-1) + beside(worlds))

    def beside(worlds: SeasonWorlds) -> NDArray[np.float64]:
        """How much warmer than its layer the air beside the warmed patch is: never cooler. [K]"""
        column = worlds.matrix.fields.index("near")
        more = np.abs(worlds.matrix.normals[:, column]) * float(worlds.matrix.spreads[column])
        return np.asarray(more if warmed else np.zeros_like(more))

    def trace(worlds: SeasonWorlds, row: int) -> Step:
        more = float(beside(worlds)[row])
        layer = trace_of_air(animal, worlds, row, float(values(worlds)[row]) - more, LABEL, DAY)
        if not more:
            return layer
        label, source = worlds.matrix.labels[worlds.matrix.fields.index("near")], "one draw of the matrix"
        near = Step(label, more, "K", "computed", (), source, "common practice")
        return Step(layer.label, layer.value + more, "K", "sum", (layer, near))

    asked = Asked(
        id=f"{ID}:{animal.setting.animal.key}",
        question="warm end by day, shaded air",
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
            "short": "warm the room, close openings, thicken walls, or add watts inside; more watts on a lamp over a mesh "
            "top warm the spot and hardly the air",
            "over": "open low and high vents, shorten hours or take fewer watts; in a hot room only the room helps",
            "unknown": "hang a shaded probe there for a day before anything is planted, and set the thermostat by it",
        },
        point=animal.rests_at(highest=True),
    )
    return answered(animal, asked, values, trace)
