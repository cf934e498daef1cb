"""Is there a place to get away from UV?"""

from __future__ import annotations

import numpy as np

from sunfleck.studies.causes import cause_numbers, causes_of
from sunfleck.studies.ranges import chance_numbers, range_numbers, wanted_numbers
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import chances
from sunfleck.studies.setting import Setting
from sunfleck.studies.trace import Step

ID = "uv-retreat"
SUBJECT = "uv-retreat"
LACKS = "no lamp of the plan gives any UV, or its profile asks for none"


def ask(setting: Setting) -> Verdict | None:
    """Judge the best retreat: the place where the strongest UV on the body is least."""
    animal = setting.animal
    if animal.uv_retreat is None or not setting.has_uv:
        return None
    id_ = f"{ID}:{animal.key}"
    question = "a retreat without UV"
    wanted = wanted_numbers(id_, ceiling=animal.uv_retreat)
    if not setting.places:
        sentence = "the plan has no place the animal can rest on"
        return Verdict(
            id_, question, animal.name, "short", sentence, "", wanted, "add a perch, ledge or hide"
        )
    field = setting.channel("uvi", "brightest", all_lamps=True)
    middle = field.middle
    strongest = [float(middle[setting.receivers(place)].max()) for place in setting.places]
    place = setting.places[int(np.argmin(strongest))]
    receivers = setting.receivers(place)
    worlds = field.worlds(receivers)
    most, which = worlds.max(axis=0), worlds.argmax(axis=0)

    def trace(row: int) -> Step:
        receiver = int(receivers[which[row]])
        return field.trace(
            receiver, row, f"at {setting.point_words(receiver)}, the strongest point of the retreat"
        )

    counted = chances(most, safety_ceiling=animal.uv_retreat.value)
    # Many places may serve; the chosen one is best at the middle of the factors, so a row can only do better.
    state = counted.state() if counted.state() != "over" else "short"
    numbers = (
        *range_numbers(id_, "strongest UV index in the retreat", field.unit, most, trace),
        *wanted,
        *chance_numbers(id_, counted),
        *cause_numbers(id_, causes_of(most, field.matrix)),
    )
    sentence = {
        "meets": "it can get out of the UV",
        "short": "no place it can rest on is out of the UV",
        "unknown": "the darkest place may or may not be dark enough",
    }[state]
    advice = "" if state == "meets" else "add a hide, or shade one end with cork, a panel or leaves"
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
