"""Is there a place within reach where UV is too strong?"""

from __future__ import annotations

import numpy as np

from sunfleck.brief.animals import AnimalBrief
from sunfleck.brief.build import Brief
from sunfleck.studies.causes import cause_numbers, causes_of, what_to_read
from sunfleck.studies.footholds import envelope
from sunfleck.studies.light import light_field
from sunfleck.studies.metering import HOW, settling_numbers
from sunfleck.studies.ranges import chance_numbers, range_numbers, wanted_numbers
from sunfleck.studies.reach import reach_of
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import QUANTILES, chances, row_at
from sunfleck.studies.setting import UP, Setting
from sunfleck.studies.trace import Step

ID = "uv-ceiling"
SUBJECT = "uv-reach"
LACKS = "no lamp of the plan gives any UV, or its profile states no ceiling"

# How many of the reachable places a quick look takes in.
LOOKED_AT = 300


def ask(setting: Setting) -> Verdict | None:
    """Judge the largest UV index within reach, all lamps on, against comfort and safety ceilings."""
    animal = setting.animal
    if animal.uv_ceiling is None or not setting.has_uv or len(setting.everywhere) == 0:
        return None
    id_ = f"{ID}:{animal.key}"
    field = setting.channel("uvi", "brightest", all_lamps=True)
    worst, where = field.largest(setting.everywhere)

    def trace(row: int) -> Step:
        receiver = int(where[row])
        return field.trace(
            receiver, row, f"at {setting.point_words(receiver)}, the strongest point within reach"
        )

    comfort = animal.uv_comfort_ceiling
    counted = chances(
        worst, comfort_ceiling=comfort.value if comfort else None, safety_ceiling=animal.uv_ceiling.value
    )
    state = counted.state()
    causes = causes_of(worst, field.matrix)
    numbers = (
        *range_numbers(id_, "largest UV index within reach", field.unit, worst, trace),
        *wanted_numbers(id_, comfort_ceiling=comfort, ceiling=animal.uv_ceiling),
        *chance_numbers(id_, counted),
        *cause_numbers(id_, causes),
        *settling_numbers(id_, target=comfort, ceiling=animal.uv_ceiling),
    )
    at = int(where[row_at(worst, QUANTILES["expected"])])
    spot = setting.point_words(at)
    sentence = {
        "meets": "nowhere within reach is the UV too strong",
        "over": "within reach the UV can be too strong",
        "unknown": "within reach the UV may be above what is wanted",
    }[state]
    if setting.near_a_lamp(at):
        sentence += "; so close to a lamp the number is rough"
    advice = ""
    if state == "over":
        advice = (
            "raise the UV lamp or take a weaker class, keep the animal farther off with a larger guard, "
            "or take away what it climbs by"
        )
        # Where nobody has read the lamps, the excess may be their class's and not theirs.
        if causes and causes[0].factor.group in ("class", "piece"):
            advice = f"first {what_to_read(causes)}; then {advice}"
    elif state == "unknown":
        narrower = what_to_read(causes)
        advice = f"measure the UV index at {spot} ({HOW})" + (f"; or {narrower}" if narrower else "")
    return Verdict(
        id_,
        "strongest UV index within reach",
        animal.name,
        state,
        sentence,
        f"at {spot}",
        numbers,
        advice,
        at=setting.point(at),
    )


def surely_fails(brief: Brief, animal: AnimalBrief) -> bool:
    """Whether a quick look at less than all there is shows already that the verdict will not meet.

    Looked at are the reachable places nearest to the UV lamps, in their direct light only: all places, with what is
    given back, can only get more.
    """
    points = reach_of(brief, animal).points
    lamps = [envelope(f) for f in brief.fixtures if "uvi" in f.outputs]
    if animal.uv_ceiling is None or not lamps or not len(points):
        return False
    away = np.min([lamp.distance(points) for lamp in lamps], axis=0)
    nearest = points[np.argsort(away)[:LOOKED_AT]]
    field = light_field(brief, nearest, UP).channel("uvi", "brightest", as_planned=False)
    worst, _ = field.largest(np.arange(len(nearest)))
    comfort = animal.uv_comfort_ceiling
    counted = chances(
        worst, comfort_ceiling=comfort.value if comfort else None, safety_ceiling=animal.uv_ceiling.value
    )
    return counted.state() != "meets"
