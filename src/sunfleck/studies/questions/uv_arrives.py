"""Does the UV of each UV lamp get into the box at all?"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.channels import ChannelField
from sunfleck.studies.ranges import range_numbers
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import State
from sunfleck.studies.setting import Setting
from sunfleck.studies.trace import Number, Step

ID = "uv-arrives"
SUBJECT = "uv-arrives"
LACKS = "no lamp of the plan gives any UV"
# Half of the smallest step that hand-held meters show. [UVI]
SHOWN = 0.05


def ask(setting: Setting) -> Verdict | None:
    """Find UV lamps whose UV reaches no place the animal can be: glass is between, or a wall."""
    lamps = [fixture for fixture in setting.brief.fixtures if "uvi" in fixture.outputs]
    receivers = setting.everywhere
    if not lamps or not len(receivers):
        return None
    animal = setting.animal
    id_ = f"{ID}:{animal.key}"
    numbers: list[Number] = []
    dark = []
    for fixture in lamps:
        # The light of the only UV lamp is that of all: other questions ask for it too.
        field = (
            setting.channel("uvi", "brightest", all_lamps=True)
            if len(lamps) == 1
            else setting.light.channel("uvi", "brightest", {fixture.name: 1.0}, as_planned=False)
        )
        largest, where = field.largest(receivers)
        if largest.max() < SHOWN:
            dark.append(fixture.name)

        label = f"largest UV index of {fixture.name} within reach"
        trace = partial(_trace, setting, field, where)
        for number in range_numbers(id_, label, field.unit, largest, trace):
            numbers.append(replace(number, id=f"{number.id}_{fixture.index}"))
    state: State = "short" if dark else "meets"
    sentence = "the UV of every UV lamp gets to the animal"
    advice = ""
    if dark:
        lamps_named = ", ".join(dark)
        sentence = f"no UV that a meter shows gets to the animal from {lamps_named}: glass or something opaque is between"
        advice = "UV does not pass glass: hang the lamp inside, or put mesh in place of the pane"
    return Verdict(id_, "UV that arrives", animal.name, state, sentence, "", tuple(numbers), advice)


def _trace(setting: Setting, field: ChannelField, where: NDArray[np.int64], row: int) -> Step:
    receiver = int(where[row])
    return field.trace(receiver, row, f"at {setting.point_words(receiver)}, turned to the light")
