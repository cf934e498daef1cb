"""Can it walk from where it warms itself to where it cools?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import Given
from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.answers import DAY, Asked, answered, trace_of_air
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Step, number_of_step
from sunfleck.units import format_quantity

ID = "gradient"
SUBJECT = "temperatures"
LACKS = (
    "it does not bask, or the plan does not say how warm its room is (site: {room: {winter: .., summer: ..}})"
)
LABEL = "air at the coolest place it can get to from where it basks"
# Heights that are as cool as the coolest, near enough. [K]
AS_COOL = 0.3
# Less radiant heat of lamps than this is shade. [W m-2]
IN_SHADE = 50.0


def ask(animal: AnimalClimate) -> Verdict | None:
    """Judge whether a place it can get to is cool enough, and how far that is from where it basks."""
    band = animal.target("preferred_body", "body temperature it chooses")
    if band is None or not animal.seasons or animal.place is None:
        return None

    def values(worlds: SeasonWorlds) -> NDArray[np.float64]:
        return np.asarray(animal.resting_air(worlds.worlds.air_day).min(axis=-1))

    def trace(worlds: SeasonWorlds, row: int) -> Step:
        return trace_of_air(animal, worlds, row, float(values(worlds)[row]), LABEL, DAY)

    id_ = f"{ID}:{animal.setting.animal.key}"
    asked = Asked(
        id=id_,
        question="a walk from warm to cool",
        label=LABEL,
        floor=None,
        comfort_ceiling=_limit(animal, band[0]),
        ceiling=None,
        words={
            "meets": "it can get away from the warmth, by height",
            "over": "nowhere cool enough to get away to",
            "unknown": "may be nowhere cool enough to get away to",
            "short": "",
        },
        advice={
            "over": "a place low and far from the lamps, in shade; fewer watts, more vent, a cooler room",
            "unknown": "hang a shaded probe at the lowest place for a day",
        },
        point=animal.rests_at(highest=False),
    )
    verdict = answered(animal, asked, values, trace)
    far = _distance(animal, max(animal.seasons, key=lambda worlds: worlds.season.warmth))
    shown = format_quantity(far, "length", animal.setting.system, 0)
    label, source = "straight from the basking place to the nearest place as cool", "places where it can rest"
    step = Step(label, far, "m", "computed", (), source, "derived")
    return Verdict(
        verdict.id,
        verdict.question,
        verdict.animal,
        verdict.state,
        f"{verdict.sentence}; {shown} away",
        verdict.place,
        (*verdict.numbers, number_of_step(f"{id_}.apart", step)),
        verdict.advice,
        at=verdict.at,
    )


def _limit(animal: AnimalClimate, preferred: Given) -> Given:
    """What its body prefers, or what is wanted at the cool end if that is less: a walk ends where it is cool enough."""
    cool = animal.target("cool_end", "wanted at the cool end")
    return cool[1] if cool is not None and cool[1].value < preferred.value else preferred


def _distance(animal: AnimalClimate, worlds: SeasonWorlds) -> float:
    """From the basking place to the nearest shaded resting place whose air is as cool as the coolest. [m]"""
    setting = animal.setting
    ground = float(animal.model.brief.surroundings.ground)
    receivers = np.concatenate([setting.strip_receivers(k) for k in range(len(setting.strips))])
    points = setting.light.points[receivers]
    light = np.nan_to_num(setting.channel("radiant", "normal").middle[receivers])
    weights = np.array([animal.model.column.weights_at(max(0.0, float(z) - ground)) for z in points[:, 2]])
    air = weights @ worlds.middle.air_day
    shaded = light <= max(IN_SHADE, float(light.min()))
    cool = points[shaded & (air <= air[shaded].min() + AS_COOL)]
    return float(np.linalg.norm(cool - setting.light.points[animal.receiver], axis=1).min())
