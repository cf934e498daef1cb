"""Where lamps hang, when they are lit and what drives them."""

from __future__ import annotations

from sunfleck.brief.givens import number
from sunfleck.document.entries import Entry
from sunfleck.library.entries import LINE_EMITTERS
from sunfleck.service.first_plan.design import Heater, Hours
from sunfleck.service.first_plan.measures import BELOW_THE_LID, Measures
from sunfleck.service.first_plan.writing import Draft

# A cut-out opens above the target of its thermostat by so much: 3-5 K is usual. Common practice, no source. [K]
CUT_OUT = 5.0
# A lamp over a mesh stays off it: bars of a mesh get hot. Common practice, no source. [m]
OVER_THE_MESH = 0.04
BRACKET = 0.10
OUT_OF_REACH = 0.07
STRONG = 100.0
ALL_DAY: Hours = ("00:00", "24:00")


def lamps_of(draft: Draft, measures: Measures) -> None:
    """Write every lamp into a draft."""
    _tubes(draft, measures)
    _floods(draft, measures)
    _heaters(draft, measures)
    _bar(draft, measures)


def highest_tube(measures: Measures) -> float:
    """Middle of a tube as high as it can hang, over the back where it basks. [m]"""
    if measures.design.above:
        return measures.height + 0.80 - measures.spot[2]
    return measures.height - BELOW_THE_LID - measures.spot[2]


def lowest_tube(measures: Measures, lamp: str) -> float:
    """As low as its least distance, or the mesh, lets it. [m]"""
    least = number(measures.library.lamps[lamp].least_distance) + 0.02
    if measures.design.above:
        return max(least, measures.height + OVER_THE_MESH - measures.spot[2])
    return max(least, measures.stretch + 0.06)


def _timer(measures: Measures, *, heats: bool) -> dict[str, Entry]:
    design = measures.design
    hours, winter = (
        (design.heat_hours, design.winter_heat) if heats else (design.light_hours, design.winter_light)
    )
    found: dict[str, Entry] = {"hours": list(hours)}
    if winter != hours:
        found["winter_hours"] = list(winter)
    return found


def _tubes(draft: Draft, measures: Measures) -> None:
    tubes = measures.design.tubes
    if tubes is None:
        return
    animal = measures.wanted.animal
    z = measures.spot[2] + tubes.over
    names = (
        ["uv tube"]
        if len(tubes.lamps) == 1
        else ["front uv tube", "rear uv tube", "foremost uv tube", "rearmost uv tube"]
    )
    floor = f"at least {number(animal.uv_floor):.1f}" if animal.uv_floor is not None else "none needed"
    for name, lamp, y in zip(names, tubes.lamps, measures.tube_rows(len(tubes.lamps)), strict=False):
        low, high = measures.tube_ends(lamp)
        entry: dict[str, Entry] = {
            "name": name,
            "lamp": lamp,
            "from": draft.point(low, y, z),
            "to": draft.point(high, y, z),
            **_timer(measures, heats=False),
        }
        if tubes.travel > 0:
            entry["travel"] = draft.length(tubes.travel)
        where = (
            "above the lid, where it cannot be touched"
            if measures.design.above
            else f"out of reach: the animal's back gets {draft.length(measures.stretch)} from any foothold (library)"
        )
        draft.add(
            "fixtures",
            entry,
            name,
            f"UV wanted where it basks: {floor}, never above {number(animal.uv_ceiling):.1f} within reach (library). "
            f"{draft.length(tubes.over)} over its back, {where}.",
            "computed",
        )


def _floods(draft: Draft, measures: Measures) -> None:
    floods = measures.design.floods
    if floods is None:
        return
    animal = measures.wanted.animal
    x, _, back = measures.spot
    band = animal.basking_spot
    assert band is not None
    assert isinstance(band.value, tuple)
    lamp = measures.library.lamps[floods.lamp]
    low, high = (draft.degrees(float(v)) for v in band.value)
    places = measures.flood_places()
    for k, (at_x, at_y) in enumerate(places):
        name = "basking lamp" if len(places) == 1 else ("left basking lamp", "right basking lamp")[k]
        aim_x = x + (at_x - x) * 0.55
        entry: dict[str, Entry] = {
            "name": name,
            "lamp": floods.lamp,
            "at": draft.point(at_x, at_y, back + floods.over),
            "aim": draft.point(measures.snap(aim_x), at_y, back - measures.back_height),
            **_timer(measures, heats=True),
            "travel": draft.length(BRACKET),
            "tether": "true",
        }
        if str(lamp.controllers.value) != "timer only":
            entry["control"] = {
                "kind": "dimming" if lamp.dimmable.value else "on-off",
                "probe": draft.point(
                    measures.snap(x), measures.snap(at_y), min(back + floods.probe, measures.height - 0.03)
                ),
                "target": draft.degrees(floods.target),
                "cut_out": draft.degrees(floods.target + CUT_OUT),
            }
        watts = number(lamp.input_power)
        draft.add(
            "fixtures",
            entry,
            name,
            f"{len(places)} x {watts:.0f} W, {draft.length(floods.over)} over its back: for {low} to {high} at the basking "
            f"spot ({band.basis}, measured with: {band.measured_with}), in a beam longer than head and body, as far as nothing "
            f"burns when its thermostat fails in summer. The probe hangs in the beam {draft.length(floods.probe)} over the back, "
            "where it gets as warm as what the animal lies on.",
            "computed",
        )


def _heaters(draft: Draft, measures: Measures) -> None:
    for heater, name in (
        (measures.design.heater, "air heater"),
        (measures.design.night_heater, "night heater"),
    ):
        if heater is not None:
            _heater(draft, measures, heater, name)


def heater_spot(
    measures: Measures, lamp: str, slot: int
) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Place and aim of a heater: above the lid beside the basking lamps, or at the back wall or lid inside. [m]

    `slot` counts the heaters before it: each has a place of its own.
    """
    wide = number(measures.library.lamps[lamp].diameter)
    x, y, _ = measures.spot
    if measures.design.above:
        # In front of the limb or slab, so that what warms the ground is no second basking place.
        off, row = BESIDE_THE_SPOT[min(slot, len(BESIDE_THE_SPOT) - 1)]
        at_x = min(max(x + off, 0.07), measures.width - 0.07)
        if measures.wanted.door_face == "top":
            at_x = min(at_x, 0.5 * measures.width - 0.10)
        at_x, at_y = measures.snap(at_x), measures.snap(min(max(y + row, 0.07), measures.depth - 0.07))
        # Higher up its beam would reach the limb.
        strong = (
            measures.design.habit != "limb" and number(measures.library.lamps[lamp].input_power) >= STRONG
        )
        z = measures.height + (0.30 if strong else 0.16)
        return (at_x, at_y, z), (at_x, at_y, measures.ground)
    places = [x, x + wide + 0.06, x - wide - 0.06, x + 2 * (wide + 0.06)]
    fits = [p for p in places if wide / 2 + 0.02 <= p <= measures.width - wide / 2 - 0.02] or [x]
    at_x = fits[min(slot, len(fits) - 1)]
    if measures.design.tubes is None and measures.design.floods is None:
        return (at_x, y, measures.height - 0.04), (at_x, y, measures.ground)
    # As low as it is still out of reach: what it gives the air warms all that lies above it.
    z = min(
        measures.height - 0.05 - wide / 2,
        measures.ground + measures.top + measures.stretch + OUT_OF_REACH + wide / 2,
    )
    return (at_x, measures.back - 0.035, z), (at_x, measures.snap(y - 0.10), measures.ground + 0.02)


BESIDE_THE_SPOT = ((0.24, -0.26), (-0.14, -0.26), (0.05, -0.26), (0.24, 0.26))


def _heater(draft: Draft, measures: Measures, heater: Heater, name: str) -> None:
    lamp = measures.library.lamps[heater.lamp]
    for k in range(heater.count):
        before = (
            measures.design.heater.count
            if name == "night heater" and measures.design.heater is not None
            else 0
        )
        at, aim = heater_spot(measures, heater.lamp, before + k)
        title = name if k == 0 else f"{('second', 'third')[k - 1]} {name}"
        x, _, back = measures.spot
        # Out of every beam, at the height at which the warm end is judged.
        # Heaters above the lid shine on the front: then the probe is at the back.
        side = measures.back - 0.04 if measures.design.above else 0.04
        probe = (
            min(x + max(0.30, measures.ledge[0] / 2 + 0.12), measures.width - 0.05),
            side,
            max(back, measures.ground + 0.05),
        )
        entry: dict[str, Entry] = {
            "name": title,
            "lamp": heater.lamp,
            "at": draft.point(*at),
            "aim": draft.point(*aim),
            "tether": "true",
        }
        if heater.by_day:
            entry |= _timer(measures, heats=True)
            if heater.all_winter:
                entry["winter_hours"] = list(ALL_DAY)
        kinds = {"any": "dimming", "on-off or pulse": "pulse", "dimming or on-off": "dimming"}
        entry["control"] = {
            "kind": kinds.get(str(lamp.controllers.value), "on-off"),
            "probe": draft.point(*probe),
            "target": draft.degrees(heater.target),
            "cut_out": draft.degrees(heater.target + CUT_OUT),
        }
        band = (measures.wanted.animal.warm_end if heater.by_day else measures.wanted.animal.night).value
        assert isinstance(band, tuple)
        when = "by day" if heater.by_day else "by night"
        draft.add(
            "fixtures",
            entry,
            title,
            f"{capital(str(lamp.name.value))}: without it the air {when} in winter stays under the "
            f"{draft.degrees(float(band[0]))} to {draft.degrees(float(band[1]))} wanted (library); its thermostat "
            "keeps it off when the room is warm enough.",
            "computed",
        )


def _bar(draft: Draft, measures: Measures) -> None:
    bar = measures.design.bar
    if not bar:
        return
    lamp = measures.library.lamps[bar]
    assert str(lamp.emitter.value) in LINE_EMITTERS
    length = number(lamp.length)  # type: ignore[arg-type]  # a bar has one
    y = measures.snap(min(measures.back - 0.08, measures.spot[1] + 0.24))
    low = measures.snap(min(max(measures.width - length - 0.03, 0.02), measures.width * 0.5))
    low = min(low, measures.width - length - 0.01)
    z = measures.height - BELOW_THE_LID
    if measures.design.above:
        z = measures.height + 0.06
        start = measures.spot[0] - length / 2
        low = measures.snap(
            min(max(start, 0.02), max(measures.width - length - 0.02, (measures.width - length) / 2))
        )
        y = measures.snap(min(measures.spot[1] + 0.16, measures.depth - 0.05))
    entry: dict[str, Entry] = {
        "name": "daylight bar", "lamp": bar, "from": draft.point(low, y, z), "to": draft.point(low + length, y, z),
        **_timer(measures, heats=False),
    }  # fmt: skip
    what = (
        "Daylight for plants and animal"
        if measures.design.tubes is not None
        else "Daylight: no UV lamp, because the library wants no UV for it"
    )
    draft.add(
        "fixtures",
        entry,
        "daylight bar",
        f"{what}; {number(lamp.input_power):.0f} W, little heat.",
        "library",
    )


def capital(words: str) -> str:
    """The first letter large, all others as they are: 80 W."""
    return words[:1].upper() + words[1:]
