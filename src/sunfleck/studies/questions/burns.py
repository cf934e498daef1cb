"""Does anything that it can rest on get hot enough under the lamps to burn it?"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import Given
from sunfleck.physics.balances import steady_surface_with_film
from sunfleck.physics.convection import film_law
from sunfleck.studies.climate.animal import PATCH, AnimalClimate
from sunfleck.studies.climate.answers import Asked, answered
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Step

ID = "burns"
SUBJECT = "burns"
LACKS = (
    "no lamp heats, or the plan does not say how warm its room is (site: {room: {winter: .., summer: ..}})"
)
LABEL = "hottest surface that it can rest on, every lamp at full level"
METHOD = "balance of a small dark dry surface that leads little heat away, turned to the lamps"
# A careful picture of what may lie there: dark bark or stone, its other side not much cooler.
TAKES_UP, EMISSIVITY, LED_AWAY = 0.85, 0.93, 3.0
# Where it lies on what warms it, and where it basks and can leave: common practice, no source.
LAIN_ON, ABOVE_BASKING = 45.0 + 273.15, 10.0


def ask(animal: AnimalClimate) -> Verdict | None:
    """Judge the hottest lamplit surface that it can rest on against what burns."""
    heating = [f for f in animal.model.brief.fixtures if f.heats and "radiant" in f.outputs]
    if not animal.seasons or not heating:
        return None
    hottest = _Hottest(animal)

    def trace(worlds: SeasonWorlds, row: int) -> Step:
        air, light, whole = (
            float(x[row]) for x in (hottest.air(worlds), hottest.light, hottest.surface(worlds))
        )
        if light <= 0:
            return Step(LABEL, whole, "K", "computed", (), METHOD, "derived")
        each = Step(
            "what a watt per square metre does there",
            (whole - air) / light,
            "K m2/W",
            "computed",
            (),
            METHOD,
            "derived",
        )
        heat = Step(
            "radiant heat there", light, "W/m2", "computed", (), "light of all lamps at full level", "derived"
        )
        added = Step("what the lamps add", light * each.value, "K", "product", (heat, each))
        beside = Step(
            "warmest air of the day at that height", air, "K", "computed", (), "layers of air", "derived"
        )
        words = f"{LABEL}, {worlds.season.words}, in row {row + 1}"
        return Step(words, air + added.value, "K", "sum", (beside, added))

    asked = Asked(
        id=f"{ID}:{animal.setting.animal.key}",
        question="burns from what it rests on",
        label=LABEL,
        floor=None,
        comfort_ceiling=None,
        ceiling=_ceiling(animal),
        words={
            "meets": "not hot enough to burn",
            "over": "hot enough to burn what touches it",
            "unknown": "may burn what touches it",
            "short": "",
        },
        advice={
            "over": "the lamp out of reach, behind a guard whose bars stay cool, or dimmed so that full level is never needed; "
            "touch what lies there after an hour, with a thermometer",
            "unknown": "read what lies there with an infrared thermometer, every lamp at full level",
        },
        place=f"at {animal.setting.point_words(hottest.receiver)}",
    )
    verdict = answered(animal, asked, hottest.surface, trace)
    unseen = [f.name for f in heating if f.lamp.dark and not f.lamp.least_distance.value]
    if animal.model.sees_sun:
        unseen.append("sun through the window")
    if verdict.state == "over" or not unseen:
        return verdict
    # What warms from below or in a patch of sun is not in the balance: nobody may read `meets` from it.
    what = " and ".join(unseen)
    return replace(
        verdict,
        state="unknown",
        sentence=f"{verdict.sentence}; what {what} makes of it is not computed",
        advice=f"read what it lies on with a thermometer, {what} at its strongest; {verdict.advice}".rstrip(
            "; "
        ),
    )


class _Hottest:
    """The resting place that most radiant heat falls on, turned to the lamps."""

    def __init__(self, animal: AnimalClimate) -> None:
        self.animal = animal

    @cached_property
    def _largest(self) -> tuple[NDArray[np.float64], int]:
        setting = self.animal.setting
        field = setting.channel("radiant", "brightest", all_lamps=True)
        resting = np.concatenate([setting.strip_receivers(k) for k in range(len(setting.strips))])
        sound = resting[~np.isnan(field.middle[resting])]
        values, receivers = field.largest(sound)
        return values, int(np.bincount(receivers).argmax())

    @property
    def light(self) -> NDArray[np.float64]:
        """In every row. [W m-2]"""
        return np.clip(self._largest[0], 0.0, None)

    @property
    def receiver(self) -> int:
        """Where that is in most worlds. [-]"""
        return self._largest[1]

    def air(self, worlds: SeasonWorlds) -> NDArray[np.float64]:
        """Warmest of the day at that height, in every row. [K]"""
        column = self.animal.model.column
        ground = float(self.animal.model.brief.surroundings.ground)
        height = float(self.animal.setting.light.points[self.receiver][2]) - ground
        return np.asarray(worlds.worlds.air_most @ column.weights_at(max(0.0, height)))

    def surface(self, worlds: SeasonWorlds) -> NDArray[np.float64]:
        """Temperature there, in every row. [K]"""
        law = film_law("unstable", PATCH)
        air = self.air(worlds)
        film = (law.a, law.b, law.n)
        return np.asarray(
            steady_surface_with_film(self.light, TAKES_UP, air, air, film, EMISSIVITY, LED_AWAY, air)
        )


def _ceiling(animal: AnimalClimate) -> Given:
    band = animal.target("basking_spot", "wanted at the basking spot")
    basks = band is not None and animal.setting.animal.basking
    value = max(LAIN_ON, band[1].value + ABOVE_BASKING) if band is not None and basks else LAIN_ON
    source = (
        "10 K above what is wanted at the basking spot, which it can leave, and at least 45 degC; common practice, no source"
        if basks
        else "45 degC, as for heaters that are lain on (S121 second-hand: contact with hot rocks burns)"
    )
    return Given(f"{ID}/ceiling", "surface that burns", value, "K", "constant", source, "common practice", "")
