"""How warm does the surface get where it basks?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.answers import Asked, answered
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Step

ID = "basking-spot"
SUBJECT = "temperatures"
LACKS = (
    "it does not bask, or the plan does not say how warm its room is (site: {room: {winter: .., summer: ..}})"
)
LABEL = "surface at the warmest point of the basking place"
BALANCE = "balance of the warmed surface: what it takes up, gives to the air, radiates and leads away"


def ask(animal: AnimalClimate) -> Verdict | None:
    """Judge the surface at the basking place, as an infrared thermometer reads it, against the band of the basking spot."""
    band = animal.target("basking_spot", "wanted at the basking spot")
    if band is None or not animal.seasons or animal.place is None:
        return None

    def values(worlds: SeasonWorlds) -> NDArray[np.float64]:
        return animal.spot(worlds).surface

    def trace(worlds: SeasonWorlds, row: int) -> Step:
        spot = animal.spot(worlds)
        air, light, whole = (float(x[row]) for x in (spot.air, spot.irradiance, spot.surface))
        if light > 0:
            each = Step(
                "what a watt per square metre does there",
                (whole - air) / light,
                "K m2/W",
                "computed",
                (),
                BALANCE,
                "derived",
            )
            heat = Step(
                "radiant heat on it, of lamps as thermostats leave them", light, "W/m2", "computed", (),
                "light of lamps at the place (`sunfleck check` takes it apart)", "derived",
            )  # fmt: skip
            added = Step("what lamps and surroundings add", light * each.value, "K", "product", (heat, each))
        else:
            added = Step("what the surroundings add", whole - air, "K", "computed", (), BALANCE, "derived")
        beside = Step("air at that height", air, "K", "computed", (), "layers of air by day", "derived")
        words = f"{LABEL} {worlds.season.words}, in row {row + 1} of {len(spot.surface)}"
        return Step(words, air + added.value, "K", "sum", (beside, added))

    asked = Asked(
        id=f"{ID}:{animal.setting.animal.key}",
        question="basking spot, surface",
        label=LABEL,
        floor=band[0],
        comfort_ceiling=band[1],
        ceiling=None,
        words={
            "meets": "as wanted",
            "short": "too cool",
            "over": "too hot",
            "unknown": "may be outside what is wanted",
        },
        advice={
            "short": "the lamp nearer, a narrower beam, or more watts; read the surface before planting",
            "over": "the lamp farther, dimmed by a thermostat, a wider beam, or fewer watts",
            "unknown": "read the surface with an infrared thermometer after four hours, and set distance or thermostat by it",
        },
        place=animal.setting.words(animal.place),
        point=animal.setting.middle(animal.place),
    )
    return answered(animal, asked, values, trace)
