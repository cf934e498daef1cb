"""Is there a place within reach where UV is too strong?"""

from __future__ import annotations

from sunfleck.studies.ranges import chance_numbers, range_numbers, wanted_numbers
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import QUANTILES, chances, row_at
from sunfleck.studies.setting import Setting
from sunfleck.studies.trace import Step


def ask(setting: Setting) -> Verdict | None:
    """Judge the largest UV index within reach, all lamps on, against comfort and safety ceilings."""
    animal = setting.animal
    if animal.uv_ceiling is None or not setting.has_uv or len(setting.everywhere) == 0:
        return None
    id_ = f"uv-ceiling:{animal.key}"
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
    numbers = (
        *range_numbers(id_, "largest UV index within reach", field.unit, worst, trace),
        *wanted_numbers(id_, comfort_ceiling=comfort, ceiling=animal.uv_ceiling),
        *chance_numbers(id_, counted),
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
    elif state == "unknown":
        advice = f"measure the UV index at {spot}, meter turned to the lamp"
    return Verdict(
        id_, "strongest UV index within reach", animal.name, state, sentence, f"at {spot}", numbers, advice
    )
