"""Is there enough UV everywhere on the basking place?"""

from __future__ import annotations

import numpy as np

from sunfleck.studies.causes import cause_numbers, causes_of, what_to_read
from sunfleck.studies.metering import settling_numbers
from sunfleck.studies.ranges import chance_numbers, range_numbers, wanted_numbers
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import chances
from sunfleck.studies.setting import Setting
from sunfleck.studies.trace import Step

ID = "uv-floor"
SUBJECT = "uv-place"
LACKS = "its profile states no least UV index"


def ask(setting: Setting) -> Verdict | None:
    """Judge the least UV index on the basking place against the animal's floor."""
    animal = setting.animal
    if animal.uv_floor is None:
        return None
    id_ = f"{ID}:{animal.key}"
    question = "UV index at the basking place"
    wanted = wanted_numbers(id_, floor=animal.uv_floor)
    place = setting.basking_place()
    if place is None:
        sentence = "no lamp lights any place the animal can rest on"
        advice = "hang a lamp over a perch or the ground"
        return Verdict(id_, question, animal.name, "short", sentence, "", wanted, advice)
    receivers = setting.receivers(place)
    field = setting.channel("uvi", "normal")
    worlds = field.worlds(receivers)
    least = worlds.min(axis=0)
    weakest = worlds.argmin(axis=0)

    def trace(row: int) -> Step:
        receiver = int(receivers[weakest[row]])
        return field.trace(
            receiver, row, f"at {setting.point_words(receiver)}, the weakest point of the place"
        )

    counted = chances(least, floor=animal.uv_floor.value)
    state = counted.state()
    causes = causes_of(least, field.matrix)
    numbers = (
        *range_numbers(id_, "least UV index on the basking place", field.unit, least, trace),
        *wanted,
        *chance_numbers(id_, counted),
        *cause_numbers(id_, causes),
        *settling_numbers(id_, floor=animal.uv_floor),
    )
    expected = float(np.median(least))
    sentence = {
        "meets": "enough UV over the whole body where it basks",
        "short": "too little UV where it basks" if expected > 0 else "no UV where it basks",
        "unknown": "may be enough or too little: the lamps differ by more than the margin",
    }[state]
    advice = ""
    if state == "unknown":
        advice = what_to_read(causes)
    elif state == "short":
        advice = (
            "lower the UV lamp towards the basking place, or take a stronger class; then check reach again"
        )
    return Verdict(
        id_,
        question,
        animal.name,
        state,
        sentence,
        setting.words(place),
        numbers,
        advice,
        at=setting.middle(place),
    )
