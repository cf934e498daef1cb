"""Basking lamps and heaters sized by what a look at the box's heat says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sunfleck.brief.givens import number
from sunfleck.library.loader import Library
from sunfleck.service.first_plan.deciding import BEAM, FLOODS, least_over, most_over
from sunfleck.service.first_plan.design import Design, Floods, Heater
from sunfleck.service.first_plan.looking import Look
from sunfleck.service.first_plan.measures import Measures
from sunfleck.service.first_plan.reading import Wanted
from sunfleck.studies.climate.probes import SHOWN, TAKES_UP, TO_AIR, TO_SURFACES
from sunfleck.studies.light import light_field
from sunfleck.studies.report import Verdict
from sunfleck.studies.setting import UP

# Dark heaters by what they draw, those above a mesh and those inside.
OVER_A_MESH = ("ceramic-heater-60w", "ceramic-heater-100w", "ceramic-heater-150w")
INSIDE = ("radiant-panel-40w", "radiant-panel-80w")
# A watt of a heater warms the air where an animal lives by so much: seen in boxes of one cubic metre. [K/W]
PER_WATT = 0.02
# Colder by less is within what nobody knows. [K]
NO_MATTER = 0.4


def values_of(verdict: Verdict | None) -> dict[str, float]:
    """Numbers of a verdict by the last part of their ids."""
    if verdict is None:
        return {}
    return {number.id.rsplit(".", 1)[1]: number.value for number in verdict.numbers}


def sized_floods(wanted: Wanted, design: Design, library: Library, look: Look) -> Design:
    """Choose watts and distance so that the spot is right in the cold season and nothing burns in the warm one.

    Parameters
    ----------
    wanted, design, library
        As decided so far.
    look : Look
        Of that design.

    Returns
    -------
    design : Design
        The same where nothing is known of the spot.
    """
    floods, spot, burns = (
        design.floods,
        values_of(look.verdict("basking-spot")),
        values_of(look.verdict("burns")),
    )
    if floods is None or not spot or look.animal.place is None:
        return design
    coldest = min(look.animal.seasons, key=lambda worlds: worlds.season.warmth)
    found = look.animal.spot(coldest)
    level = float(coldest.middle.level_most[_first_flood(look)])
    rise, air = float(np.median(found.surface - found.air)), float(np.median(found.air))
    light = float(np.median(found.irradiance))
    if rise <= 0.1 or level < 0.05 or light <= 1.0:
        return design
    middle = (spot["floor"] + spot["comfort_ceiling"]) / 2
    more = (middle + 0.5 - air) / (rise / level)
    if "ceiling" in burns:
        warm = max(
            float(np.median(worlds.middle.air_most.max())) * 0 + _air_at_spot(look, worlds)
            for worlds in look.animal.seasons
        )
        high = max(v for name, v in burns.items() if name.endswith("_high"))
        more = min(more, (burns["ceiling"] - 0.5 - warm) / max(high - warm, 1.0))
    sized = _nearest(Measures(wanted, design, library), floods, max(more, 0.1))
    return replace(
        design,
        floods=replace(
            sized,
            probe=_probe(
                Measures(wanted, replace(design, floods=sized), library), look, floods, sized, rise, light
            ),
        ),
    )


def _first_flood(look: Look) -> int:
    heating = [f.index for f in look.ready.brief.fixtures if f.heats]
    return heating[0] if heating else 0


def _air_at_spot(look: Look, worlds) -> float:  # type: ignore[no-untyped-def]
    animal = look.animal
    height = float(animal.setting.light.points[animal.receiver][2]) - float(
        animal.model.brief.surroundings.ground
    )
    return float(worlds.middle.air_most @ animal.model.column.weights_at(max(height, 0.0)))


def _nearest(measures: Measures, floods: Floods, more: float) -> Floods:
    """Watts and distance that give so many times the radiant heat; the fewest watts that can."""
    library = measures.library
    power = number(library.lamps[floods.lamp].input_power)
    best: tuple[float, Floods] | None = None
    for count in (1, 2):
        for lamp in FLOODS:
            watts = number(library.lamps[lamp].input_power) * (1.0 if count == 1 else 0.75 * count)
            had = power * (1.0 if floods.count == 1 else 0.75 * floods.count)
            wide = 1.10 * measures.body / BEAM if count == 1 else 0.65 * measures.body / BEAM
            least = max(least_over(measures, lamp), wide)
            over = floods.over * float(np.sqrt(watts / had / more))
            most = most_over(measures)
            held = min(max(over, least), max(most, least_over(measures, lamp)))
            gives = watts / had * (floods.over / held) ** 2
            off = abs(float(np.log(gives / more))) * 4.0 + (1.0 if held < wide - 0.01 else 0.0)
            cost = off + 0.01 * watts + 0.4 * (count - 1)
            if best is None or cost < best[0]:
                best = cost, replace(floods, lamp=lamp, count=count, over=measures.snap(held))
    assert best is not None
    return best[1]


def _probe(measures: Measures, look: Look, was: Floods, now: Floods, rise: float, light: float) -> float:
    """Height over the back at which a bead in the beam gets as much warmer than the air as what is lain on. [m]"""
    brief = look.ready.brief
    x, y, z = measures.spot
    share = np.linspace(0.05, 0.8, 26)
    points = np.array([(x, y, z + s * was.over) for s in share])
    inside = points[:, 2] < measures.height - 0.02
    field = light_field(brief, points[inside], UP).channel(
        "radiant",
        "brightest",
        {f.name: 1.0 for f in brief.fixtures if f.heats and not f.lamp.dark},
        as_planned=False,
    )
    bead = TAKES_UP * SHOWN * np.nan_to_num(field.middle) / (TO_AIR + TO_SURFACES)
    wanted = rise / light * np.nan_to_num(field.middle[0]) if False else rise
    # Full level: the light at the spot is that of all floods at full.
    at_spot = light_field(brief, np.array([(x, y, z)]), UP).channel(
        "radiant",
        "brightest",
        {f.name: 1.0 for f in brief.fixtures if f.heats and not f.lamp.dark},
        as_planned=False,
    )
    full = float(np.nan_to_num(at_spot.middle[0]))
    if full > 0 and light > 0:
        wanted = rise * full / light
    k = int(np.argmin(np.abs(bead - wanted))) if len(bead) else 0
    return max(measures.snap(float(share[inside][k]) * now.over), 0.04)


def with_heaters(wanted: Wanted, design: Design, library: Library, look: Look) -> Design:
    """Add dark heat for the air by day, and by night, where the cold season wants it."""
    warm, night = values_of(look.verdict("warm-end")), values_of(look.verdict("night"))
    found = design
    lacks = _lacks(warm)
    if lacks > NO_MATTER:
        found = replace(found, heater=_heater(design, library, lacks, warm["floor"] + 1.0, by_day=True))
    cold = _lacks(night)
    if cold > NO_MATTER:
        target = min(night["floor"] + 1.0, (night["floor"] + night["comfort_ceiling"]) / 2)
        found = replace(found, night_heater=_heater(design, library, cold + 0.5, target, by_day=False))
    del wanted
    return found


def _lacks(values: dict[str, float]) -> float:
    """How far the coldest season stays under what is wanted. [K]"""
    expected = [v for name, v in values.items() if name.endswith("_expected")]
    return values["floor"] - min(expected) if expected and "floor" in values else 0.0


def _heater(design: Design, library: Library, lacks: float, target: float, *, by_day: bool) -> Heater:
    watts = lacks / PER_WATT
    kinds = OVER_A_MESH if design.above else INSIDE
    for count in (1, 2):
        for lamp in kinds:
            if count * number(library.lamps[lamp].input_power) >= watts:
                return Heater(lamp, count, target, by_day)
    return Heater(kinds[-1], 2, target, by_day)
