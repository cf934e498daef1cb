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
from sunfleck.service.wall_trials import BOARDS
from sunfleck.studies.climate.probes import SHOWN, TAKES_UP, TO_AIR, TO_SURFACES
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.light import light_field
from sunfleck.studies.report import Verdict
from sunfleck.studies.setting import UP

# Heaters by what they draw. Above the lid by day: light, which a film lets through and a mesh too; by night dark ones.
# Inside panels.
BY_NIGHT = ("ceramic-heater-60w", "ceramic-heater-100w", "ceramic-heater-150w")
INSIDE = ("radiant-panel-40w", "radiant-panel-80w")
# A watt of a heater warms the air where an animal lives by so much, over the area of walls, lid and floor: seen in the
# arid brief (0.02 K/W at 6.8 m2). [K m2 W-1]
PER_WATT = 0.136
# Colder by less is within what nobody knows. [K]
NO_MATTER = 0.4
# About what strips, and strips with short vents, give back in such a box: seen in the arid brief. [K]
STRIPS_GIVE, VENTS_GIVE = 0.8, 1.5
LEAST_VENT = 0.12
# Set to just under what is wanted, a heater that is short of power burns in winter as if it were set higher, and stays
# off in a warm room. [K]
UNDER = 0.5
# A first look knows less of what could be than a check does. [-]
WIDER = 1.10
LESS = 0.85
MOST_HEATERS, BY_NIGHT_TOO = 3, 1.1
# A flood of so many watts makes some 15 K of a dark surface a metre below: computed with the arid brief. [W m-2], [m]
BURNS_FROM, OVER_THE_LID = 130.0, 0.10
BESIDE_THE_SPOT = 0.6


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
        warm = max(_air_at_spot(look, worlds) for worlds in look.animal.seasons)
        high = max(v for name, v in burns.items() if name.endswith("_high"))
        more = min(more, (burns["ceiling"] - 0.5 - warm) / max(WIDER * (high - warm), 1.0))
    measures = Measures(wanted, design, library)
    sized, gives = _nearest(measures, floods, max(more, 0.1))
    share, bead = _probe(measures, look, floods, rise / level)
    warmest = max(look.animal.seasons, key=lambda worlds: worlds.season.warmth)
    outside = float(np.median(look.animal.spot(warmest).air))
    # What the bead reads when the spot is right on a warm day: that is what the thermostat is set to.
    share_of_full = float(np.clip((middle - outside) / (gives * rise / level), 0.05, 1.0))
    target = outside + share_of_full * gives * bead
    target = float(np.clip(target, outside + 1.0, middle + 4.0))
    probe = max(measures.snap(share * sized.over), 0.04)
    return replace(design, floods=replace(sized, target=target, probe=probe))


def _first_flood(look: Look) -> int:
    heating = [f.index for f in look.ready.brief.fixtures if f.heats]
    return heating[0] if heating else 0


def _air_at_spot(look: Look, worlds: SeasonWorlds) -> float:
    animal = look.animal
    height = float(animal.setting.light.points[animal.receiver][2]) - float(
        animal.model.brief.surroundings.ground
    )
    return float(worlds.middle.air_most @ animal.model.column.weights_at(max(height, 0.0)))


def _nearest(measures: Measures, floods: Floods, more: float) -> tuple[Floods, float]:
    """Watts and distance that give so many times the radiant heat, and how many times they do; the fewest watts that can."""
    library = measures.library
    power = number(library.lamps[floods.lamp].input_power)
    best: tuple[float, Floods, float] | None = None
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
                best = cost, replace(floods, lamp=lamp, count=count, over=measures.snap(held)), gives
    assert best is not None
    return best[1], best[2]


def _probe(measures: Measures, look: Look, floods: Floods, rise: float) -> tuple[float, float]:
    """Where in the beam a bead gets as much warmer than the air as what is lain on: share of the way up, and how much.

    With other watts farther off or nearer, both grow alike at the same share of the way.
    """
    brief = look.ready.brief
    x, y, z = measures.spot
    share = np.linspace(0.08, 0.75, 24)
    points = np.array([(x, y, z + s * floods.over) for s in share])
    share = share[points[:, 2] < measures.height - 0.03]
    if not len(share):
        return 0.08, rise
    basking = {f.name: 1.0 for f in brief.fixtures if f.heats and "basking" in f.name}
    field = light_field(brief, points[: len(share)], UP).channel(
        "radiant", "brightest", basking, as_planned=False
    )
    bead = TAKES_UP * SHOWN * np.nan_to_num(field.middle) / (TO_AIR + TO_SURFACES)
    k = int(np.argmin(np.abs(bead - rise)))
    return float(share[k]), float(bead[k])


def warmed(design: Design, library: Library, look: Look) -> Design:
    """Keep warmth in, and add dark heat for the air, as far as the cold season wants it; cheapest first.

    Parameters
    ----------
    design : Design
        As decided so far.
    library : Library
        Of heaters.
    look : Look
        Of that design.

    Returns
    -------
    design : Design
        With strips, shorter vents, thicker boards and heaters by how many kelvin are lacking.
    """
    warm, night = values_of(look.verdict("warm-end")), values_of(look.verdict("night"))
    found = design
    wide, deep, tall = look.drawn.wanted.size
    area = 2 * (wide * deep + wide * tall + deep * tall)
    most = BURNS_FROM * (tall + OVER_THE_LID) ** 2 if design.above else np.inf
    together = np.inf
    if design.above and design.floods is not None:
        # All of them on one patch of ground must stay less than the basking lamp on its spot, or it would bask there.
        spot = (
            design.floods.count
            * number(library.lamps[design.floods.lamp].input_power)
            / design.floods.over**2
        )
        together = BESIDE_THE_SPOT * spot * (tall + OVER_THE_LID) ** 2
    lacks = _lacks(warm)
    if lacks > NO_MATTER:
        found = replace(
            found,
            strips=True,
            heater=_heater(design, library, lacks, warm["floor"] - UNDER, area, most, together, by_day=True),
        )
    if lacks > STRIPS_GIVE:
        found = replace(found, vent=min(found.vent, LEAST_VENT))
    if lacks > VENTS_GIVE:
        assert found.heater is not None
        # By night too, where that does not make the nights too warm.
        nights = min(v for name, v in night.items() if name.endswith("_expected")) + BY_NIGHT_TOO * lacks
        through = library.lamps[found.heater.lamp].dark and nights <= night["comfort_ceiling"]
        found = replace(
            found, board=len(BOARDS["metric"]) - 1, heater=replace(found.heater, all_winter=through)
        )
    cold = _lacks(night)
    if cold > NO_MATTER and not (found.heater is not None and found.heater.all_winter):
        target = min(night["floor"] + 1.0, (night["floor"] + night["comfort_ceiling"]) / 2)
        found = replace(
            found,
            night_heater=_weaker(
                found,
                _heater(design, library, cold + 0.5, target, area, most, together, by_day=False),
                library,
            ),
        )
    return found


def _weaker(design: Design, night: Heater, library: Library) -> Heater:
    """A night heater that radiates less than what it basks under: the place is judged in the hour of most heat."""
    if design.floods is None:
        return night
    day = [(design.floods.lamp, design.floods.count)]
    if design.heater is not None:
        day.append((design.heater.lamp, design.heater.count))
    most = LESS * sum(count * number(library.lamps[lamp].radiant_power) for lamp, count in day)
    kinds = heater_kinds(design, by_day=False)
    fits = [
        (count * number(library.lamps[lamp].radiant_power), lamp, count)
        for lamp in kinds
        for count in (1, 2)
        if count * number(library.lamps[lamp].radiant_power) <= most
    ]
    wanted = night.count * number(library.lamps[night.lamp].radiant_power)
    if wanted <= most or not fits:
        return night
    _, lamp, count = max(fits)
    return replace(night, lamp=lamp, count=count)


def _lacks(values: dict[str, float]) -> float:
    """How far the coldest season stays under what is wanted. [K]"""
    expected = [v for name, v in values.items() if name.endswith("_expected")]
    return values["floor"] - min(expected) if expected and "floor" in values else 0.0


def heater_kinds(design: Design, *, by_day: bool) -> tuple[str, ...]:
    """Lamps that can warm the air of a design, the weakest first."""
    if not design.above:
        return INSIDE
    return FLOODS[1:] if by_day else BY_NIGHT


def _heater(
    design: Design,
    library: Library,
    lacks: float,
    target: float,
    area: float,
    most: float,
    together: float,
    *,
    by_day: bool,
) -> Heater:
    watts = lacks * area / PER_WATT
    # Over the ground of a low box a strong lamp burns what lies under it when its thermostat fails.
    kinds = tuple(
        k for k in heater_kinds(design, by_day=by_day) if number(library.lamps[k].input_power) <= most
    )
    kinds = kinds or heater_kinds(design, by_day=by_day)[:1]
    ways = [
        (count, lamp, count * number(library.lamps[lamp].input_power))
        for count in range(1, MOST_HEATERS + 1)
        for lamp in kinds
    ]
    ways = [way for way in ways if way[2] <= together] or ways[:1]
    count, lamp, _ = next((way for way in ways if way[2] >= watts), max(ways, key=lambda way: way[2]))
    return Heater(lamp, count, target, by_day)
