"""Can the animal touch a lamp?"""

from __future__ import annotations

import numpy as np

from sunfleck.brief.givens import given_from_library
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import State
from sunfleck.studies.setting import Setting
from sunfleck.studies.trace import Number, Step, number_of_given

ID = "lamp-guard"
SUBJECT = "lamp-guard"
LACKS = "the plan has no lamp"

METHOD = "straight distance from the nearest foothold, less full stretch and leap"


def ask(setting: Setting) -> Verdict | None:
    """Judge whether every lamp within reach carries a guard the animal's head does not pass."""
    fixtures = setting.brief.fixtures
    if not fixtures:
        return None
    animal = setting.animal
    id_ = f"{ID}:{animal.key}"
    numbers: list[Number] = []
    bare: list[str] = []
    wide: list[str] = []
    for fixture in fixtures:
        gap = setting.reach.lamp_gap[fixture.name]
        if not np.isfinite(gap):
            continue
        numbers.append(_gap_number(f"{id_}.gap_{fixture.index}", fixture.name, gap))
        if gap > 0:
            continue
        if fixture.fixture.guard is None:
            bare.append(fixture.name)
            continue
        guard_id = str(fixture.fixture.guard)
        guard = setting.brief.library.guards[guard_id]
        bar_gap = given_from_library(
            f"guards/{guard_id}/bar_gap", f"gap between bars round {fixture.name}", guard.bar_gap
        )
        numbers.append(number_of_given(f"{id_}.bar_gap_{fixture.index}", bar_gap))
        if bar_gap.value >= animal.head_width:
            wide.append(fixture.name)
    if bare:
        state: State = "short"
        sentence = f"within reach and without a guard: {', '.join(bare)}"
        advice = "fit a guard that cannot be lifted off, 5-10 cm from the bulb, or hang the lamp out of reach"
    elif wide:
        state = "short"
        sentence = f"its head goes between the bars of the guard: {', '.join(wide)}"
        advice = "take a guard with a gap narrower than the animal's head"
    else:
        touched = any(number.value <= 0 for number in numbers if ".gap_" in number.id)
        state, advice = "meets", ""
        sentence = "every lamp within reach has a guard" if touched else "no lamp is within reach"
    return Verdict(id_, "lamps it can touch", animal.name, state, sentence, "", tuple(numbers), advice)


def _gap_number(id_: str, name: str, gap: float) -> Number:
    step = Step(f"how far {name} stays out of reach", gap, "m", "computed", (), METHOD, "derived")
    return Number(id_, step.label, gap, "m", lambda: step)
