"""What every place gets of UV, brightness, plant light and radiant heat."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sunfleck.plan.rules.names import slug
from sunfleck.studies.channels import LABELS, Channel, ChannelField
from sunfleck.studies.ranges import range_numbers
from sunfleck.studies.report import Exposure
from sunfleck.studies.rule import QUANTILES, row_at
from sunfleck.studies.setting import Setting
from sunfleck.studies.trace import Number, Step

ALL: tuple[Channel, ...] = ("uvi", "lux", "ppfd", "radiant")


def exposures_of(setting: Setting) -> Iterator[Exposure]:
    """Yield what each perch, ledge, hide and the ground get at the animal's back, and the reach."""
    key = setting.animal.key
    for channel in ALL:
        field = setting.channel(channel, "normal")
        for index, strip in enumerate(setting.strips):
            receivers = setting.strip_receivers(index)
            if len(receivers):
                id_ = f"{strip.kind}:{key}:{slug(strip.name)}:{channel}"
                yield _on_strip(setting, field, id_, strip.name, channel, receivers)
        yield from _within_reach(setting, channel)


def _on_strip(
    setting: Setting, field: ChannelField, id_: str, name: str, channel: Channel, receivers: NDArray[np.int64]
) -> Exposure:
    middle = field.middle[receivers]
    brightest = int(receivers[int(middle.argmax())])
    darkest = int(receivers[int(middle.argmin())])

    at_darkest = field.worlds([darkest])[0]
    row_at_darkest = row_at(at_darkest, QUANTILES["expected"])

    def least() -> Step:
        return field.trace(darkest, row_at_darkest, f"at {setting.point_words(darkest)}")

    def at_brightest(row: int) -> Step:
        return field.trace(brightest, row, f"at {setting.point_words(brightest)}, the brightest point")

    label = f"{LABELS[channel]} on {name}"
    least_label = f"{label}: expected at its darkest point"
    numbers = (
        Number(f"{id_}.least", least_label, float(at_darkest[row_at_darkest]), field.unit, least),
        *range_numbers(
            id_, f"{label}, brightest point", field.unit, field.worlds([brightest])[0], at_brightest
        ),
    )
    return Exposure(id_, setting.animal.name, name, channel, numbers)


def _within_reach(setting: Setting, channel: Channel) -> Iterator[Exposure]:
    field = setting.channel(channel, "brightest", all_lamps=True)
    receivers = setting.everywhere
    if not len(receivers):
        return
    largest, where = field.largest(receivers)
    id_ = f"reach:{setting.animal.key}:{channel}"

    def trace(row: int) -> Step:
        receiver = int(where[row])
        return field.trace(receiver, row, f"at {setting.point_words(receiver)}, turned to the light")

    numbers = range_numbers(id_, f"largest {LABELS[channel]} within reach", field.unit, largest, trace)
    yield Exposure(id_, setting.animal.name, "anywhere in reach", channel, numbers)
