"""Does every UV lamp's bracket move far enough for a weak piece and for a strong one?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.plan.read import PlanSource
from sunfleck.studies.channels import ChannelField
from sunfleck.studies.deviations import raised
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import QUANTILES, State, row_at
from sunfleck.studies.setting import Setting
from sunfleck.studies.trace import Number, Step
from sunfleck.studies.travel import Travel, travel_needed
from sunfleck.units import format_quantity

ID = "uv-bracket"
SUBJECT = "uv-adjust"
LACKS = "no lamp gives UV where it basks, or its profile states no least UV index"

Floats = NDArray[np.float64]

# How far up and down a height is looked for. [m]
FARTHEST = 0.60
# A lamp that gives less of the place's UV is not what is moved to mend it. [-]
MATTERS = 0.10
METHOD = (
    "all UV lamps over the place moved together in the open, shadows staying where they are; the weakest point of "
    "the place in the row at 5 % against the floor, the strongest in the row at 95 % against the ceiling"
)


def ask(setting: Setting) -> Verdict | None:
    """Compare the travel that brings the whole range into the wanted one with the travel the plan states."""
    animal = setting.animal
    place = setting.basking_place()
    if animal.uv_floor is None or place is None:
        return None
    receivers = setting.receivers(place)
    field = setting.channel("uvi", "normal")
    lamps = _lamps(setting, field, receivers)
    if not lamps:
        return None
    id_ = f"{ID}:{animal.key}"
    question = "room to adjust the UV lamps"
    ceiling = animal.uv_comfort_ceiling or animal.uv_ceiling
    lowest = max(-FARTHEST, *(_clearance_below(lamp, setting.light.points[receivers]) for lamp in lamps))
    moved = _Moved(setting, field, receivers, lamps)
    travel = travel_needed(
        moved.weak, moved.strong, animal.uv_floor.value, ceiling.value if ceiling else None, lowest, FARTHEST
    )
    numbers = _numbers(id_, travel, lamps, setting.brief.source)
    words = _words(setting, travel, lamps, receivers)
    if not travel.possible:
        sentence = "no height of these lamps brings the whole range into what is wanted"
        short_of = travel.weak is None
        advice = (
            "a stronger class, or one more lamp of the same class"
            if short_of
            else "a weaker class, or one lamp less over this place"
        )
        told = f"no: {sentence}"
        return Verdict(
            id_,
            question,
            animal.name,
            "short",
            sentence,
            setting.words(place),
            numbers,
            advice,
            told,
            setting.middle(place),
        )
    unstated = [lamp for lamp in lamps if lamp.fixture.travel is None]
    tight = [
        lamp
        for lamp in lamps
        if lamp.fixture.travel is not None and max(travel.down, travel.up) > lamp.fixture.travel / 2
    ]
    state: State = "meets"
    sentence, advice = (
        "here, even a weak lamp of its class gives enough and a strong one not too much, within their brackets' travel",
        "",
    )
    needed = format_quantity(2 * max(travel.down, travel.up), "length", setting.system)
    adjustment = f"yes, {words}; that takes {needed} of travel"
    if max(travel.down, travel.up) == 0.0:
        sentence = "as drawn, even a weak lamp of its class gives enough here and a strong one not too much"
        adjustment = "not needed, the whole range is inside as drawn"
    elif tight:
        state = "short"
        sentence = f"short of travel: {', '.join(lamp.name for lamp in tight)} cannot be moved far enough"
        adjustment = f"not with the brackets stated: {words} takes {needed} of travel"
    elif unstated:
        state = "unknown"
        sentence = f"no travel is stated for {', '.join(lamp.name for lamp in unstated)}"
        adjustment = f"if brackets allow: {words} takes {needed} of travel, none is stated"
    if state != "meets":
        advice = f"order brackets that move {words} (travel is the whole length of the slot, the lamp drawn in its middle)"
        if not all(lamp.metered for lamp in lamps):
            advice += "; a reading under the bare lamp, written into the plan as evidence, needs less"
    return Verdict(
        id_,
        question,
        animal.name,
        state,
        sentence,
        setting.words(place),
        numbers,
        advice,
        adjustment,
        setting.middle(place),
    )


def _lamps(setting: Setting, field: ChannelField, receivers: NDArray[np.int64]) -> list[FixtureBrief]:
    """Lamps that give enough of the place's UV to be worth moving."""
    given: dict[int, float] = {}
    for term in field.terms:
        if not term.shift:
            light = term.strength * float(term.geometry[receivers].mean())
            given[term.fixture.index] = given.get(term.fixture.index, 0.0) + light
    total = sum(given.values())
    return [f for f in setting.brief.fixtures if given.get(f.index, 0.0) > MATTERS * total > 0]


def _clearance_below(lamp: FixtureBrief, points: Floats) -> float:
    """How far down a lamp may come before it is nearer than its least distance (a height below zero). [m]"""
    free = float(lamp.axis[:, 2].min() - lamp.radius - points[:, 2].max())
    return min(0.0, number(lamp.lamp.least_distance) - free)


class _Moved:
    """Light of a place in every row, with some lamps moved up."""

    def __init__(
        self,
        setting: Setting,
        field: ChannelField,
        receivers: NDArray[np.int64],
        lamps: list[FixtureBrief],
    ) -> None:
        self.lamps, self.points = lamps, setting.light.points[receivers]
        self.of_lamp: dict[int, Floats] = {}
        self.rest = np.zeros((len(receivers), field.matrix.rows))
        indices = {lamp.index for lamp in lamps}
        for term, here, worlds in zip(
            field.terms, field.coefficients(receivers), field.multipliers, strict=True
        ):
            light = np.outer(here, worlds)
            if term.fixture.index in indices and not term.reflected:
                self.of_lamp[term.fixture.index] = self.of_lamp.get(term.fixture.index, 0.0) + light
            else:
                self.rest = self.rest + light

    def worlds(self, up: float) -> Floats:
        """UV index at each receiver in every row. [UVI]"""
        total = self.rest
        for lamp in self.lamps:
            if lamp.index in self.of_lamp:
                total = total + raised(lamp.emitter, self.points, up)[:, None] * self.of_lamp[lamp.index]
        return total

    def weak(self, up: float) -> float:
        """Weakest point in the row at 5 %. [UVI]"""
        least = self.worlds(up).min(axis=0)
        return float(least[row_at(least, QUANTILES["low"])])

    def strong(self, up: float) -> float:
        """Strongest point in the row at 95 %. [UVI]"""
        most = self.worlds(up).max(axis=0)
        return float(most[row_at(most, QUANTILES["high"])])


def _numbers(id_: str, travel: Travel, lamps: list[FixtureBrief], source: PlanSource) -> tuple[Number, ...]:
    down = Step("how far down a weak piece must come", travel.down, "m", "computed", (), METHOD, "derived")
    up = Step("how far up a strong piece must go", travel.up, "m", "computed", (), METHOD, "derived")
    twice = Step(
        "the lamp is drawn in the middle of its slot",
        2.0,
        "",
        "constant",
        (),
        "twice the longer way",
        "given",
    )
    longer = down if travel.down >= travel.up else up
    needed = Step("travel needed", 2.0 * longer.value, "m", "product", (twice, longer))
    found = [
        Number(f"{id_}.down", down.label, down.value, "m", lambda: down),
        Number(f"{id_}.up", up.label, up.value, "m", lambda: up),
        Number(f"{id_}.needed", needed.label, needed.value, "m", lambda: needed),
    ]
    for lamp in lamps:
        if lamp.fixture.travel is not None:
            where = source.line_of(("fixtures", lamp.index, "travel"))
            label = f"travel stated for {lamp.name}"
            stated = Step(label, lamp.fixture.travel, "m", "given", (), "the plan", "given", where)
            found.append(
                Number(f"{id_}.stated_{lamp.index}", stated.label, stated.value, "m", lambda s=stated: s)  # type: ignore[misc]
            )
    return tuple(found)


def _words(setting: Setting, travel: Travel, lamps: list[FixtureBrief], receivers: NDArray[np.int64]) -> str:
    highest = float(setting.light.points[receivers][:, 2].max())
    parts = []
    for lamp in lamps:
        drawn = float(lamp.axis[:, 2].min()) - lamp.radius - highest
        nearest, farthest = (
            format_quantity(drawn + way, "length", setting.system, digits=0)
            for way in (-travel.down, travel.up)
        )
        parts.append(f"{lamp.name} from {nearest} to {farthest} over the back")
    return ", ".join(parts)
