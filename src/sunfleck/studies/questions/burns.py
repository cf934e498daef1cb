"""Does anything that it can rest on or touch get hot enough to burn it?"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import Given
from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.answers import Asked, answered, degrees
from sunfleck.studies.climate.lain_on import lain_on_things
from sunfleck.studies.climate.lamp_surfaces import lamp_things, mesh_things
from sunfleck.studies.climate.touched import Thing, resting_things
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Step

ID = "burns"
SUBJECT = "burns"
LACKS = "no lamp, or the plan does not say how warm its room is (site: {room: {winter: .., summer: ..}})"
LABEL = "hottest thing that it can rest on or touch, every lamp at full level"
# Where it lies on what warms it, and where it basks and can leave: common practice, no source.
LAIN_ON, ABOVE_BASKING = 45.0 + 273.15, 10.0
# Bare metal that burns human skin in a minute, told beside the verdict: ISO 13732-1, from memory.
A_MINUTE = 51.0 + 273.15


def ask(animal: AnimalClimate) -> Verdict | None:
    """Judge the hottest thing that it can rest on or touch against what burns."""
    if not animal.seasons or not any("radiant" in f.outputs for f in animal.model.brief.fixtures):
        return None
    things = (
        *resting_things(animal),
        *lamp_things(animal),
        *mesh_things(animal),
        *lain_on_things(animal),
    )
    if not things:
        return None
    verdict = _judged(animal, things)
    known = tuple(thing for thing in things if not thing.bound)
    if verdict.state == "over" and len(known) < len(things):
        without = _judged(animal, known) if known else None
        if without is None or without.state != "over":
            # The sun's whole beam may fall where it never lies: a bound that is passed is no proof.
            return replace(verdict, state="unknown", sentence=f"{verdict.sentence}: if the sun falls there")
    return verdict


def _judged(animal: AnimalClimate, things: tuple[Thing, ...]) -> Verdict:
    """The verdict by the hottest of some things."""
    hottest = _Hottest(things)
    asked = Asked(
        id=f"{ID}:{animal.setting.animal.key}",
        question="burns from what it rests on and touches",
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
            "unknown": "read what is named with a thermometer, every lamp at full level",
        },
        at=hottest.named,
    )
    verdict = answered(animal, asked, hottest.surface, hottest.trace)
    where = next((thing.point for thing in things if thing.place == verdict.place), None)
    verdict = replace(verdict, at=where)
    if verdict.state != "over":
        return verdict
    cure = next(thing.cure for thing in things if thing.place == verdict.place)
    # Told so that nobody takes the ceiling for a moment's touch; it is no limit of the verdict.
    hot = f"; bare metal of {degrees(A_MINUTE, animal.setting.system)} burns human skin in a minute"
    return replace(verdict, advice=cure + (hot if verdict.number("expected").value >= A_MINUTE else ""))


@dataclass(frozen=True, eq=False)
class _Hottest:
    """The hottest of some things, in every row."""

    things: tuple[Thing, ...]
    _found: dict[str, tuple[NDArray[np.float64], NDArray[np.int64]]] = field(default_factory=dict)

    def _season(self, worlds: SeasonWorlds) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
        key = worlds.season.key
        if key not in self._found:
            of_things = np.stack([thing.made(worlds).surface for thing in self.things])
            self._found[key] = of_things.max(axis=0), of_things.argmax(axis=0)
        return self._found[key]

    def surface(self, worlds: SeasonWorlds) -> NDArray[np.float64]:
        """Its temperature, in every row. [K]"""
        return self._season(worlds)[0]

    def named(self, worlds: SeasonWorlds, row: int) -> tuple[str, str]:
        """Say which it is in a row, and where."""
        thing = self.things[int(self._season(worlds)[1][row])]
        return thing.name, thing.place

    def trace(self, worlds: SeasonWorlds, row: int) -> Step:
        """Take its temperature in a row apart."""
        return self.things[int(self._season(worlds)[1][row])].trace(worlds, row)


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
