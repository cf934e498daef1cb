"""Changes of a design that are worth a look, by what does not meet; cheapest first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import zip_longest

from sunfleck.library.loader import Library
from sunfleck.service.first_plan.deciding import FLOODS, clock, hour
from sunfleck.service.first_plan.design import Design, Heater
from sunfleck.service.first_plan.hanging import highest_tube, lowest_tube
from sunfleck.service.first_plan.looking import Look
from sunfleck.service.first_plan.measures import Measures
from sunfleck.service.first_plan.warming import MOST_HEATERS, UNDER, heater_kinds, values_of
from sunfleck.service.wall_trials import BOARDS

VENTS = (0.12, 0.2, 0.35, 0.6, 0.85)
FANS = ("fan-40mm", "fan-80mm")
# A step of each. [m], [K], [h]
NEARER, WARMER, LONGER = 0.04, 1.0, 1.0
SHORTEST, TOO_LITTLE = 4.0, 0.005
OF_HEAT = ("warm-end", "cool-end", "gradient", "night", "one-failure")
OF_SPOT = ("basking-spot", "basking-body", "burns", "heat-patch", "lamp-clearance")
OF_UV = ("uv-floor", "uv-ceiling", "uv-bracket", "uv-retreat")


def moves(look: Look, library: Library) -> Iterator[tuple[str, Design]]:
    """Yield designs a step away, each with what is changed.

    Parameters
    ----------
    look : Look
        Where the search stands.
    library : Library
        Of lamps.

    Yields
    ------
    words, design : str, Design
        Only what may move a verdict that does not meet.
    """
    open_ = {verdict.id.split(":")[0] for verdict in look.verdicts if verdict.state != "meets"}
    design = look.drawn.design
    # By turns of each kind, so that a long series does not use up the effort.
    series = [of(look, design, library) for questions, of in KINDS if open_ & set(questions)]
    for together in zip_longest(*series):
        yield from (each for each in together if each is not None)
    if open_ & set(OF_UV):
        yield from _of_the_sun(look, design, library)


def _of_the_spot(look: Look, design: Design, library: Library) -> Iterator[tuple[str, Design]]:
    floods = design.floods
    if floods is None:
        return
    spot = values_of(look.verdict("basking-spot"))
    burns = look.verdict("burns")
    winter, summer = spot.get("winter_expected"), spot.get("summer_expected")
    middle = (spot["floor"] + spot["comfort_ceiling"]) / 2 if "floor" in spot else None
    too_hot = burns is not None and burns.state != "meets"
    if middle is not None and summer is not None and summer > middle + 0.5:
        for by in (1.0, 2.0, 4.0):
            yield (
                f"thermostat {by:.0f} K cooler",
                replace(design, floods=replace(floods, target=floods.target - by)),
            )
    if (
        middle is not None
        and winter is not None
        and summer is not None
        and max(winter, summer) < middle - 0.5
    ):
        yield "thermostat 2 K warmer", replace(design, floods=replace(floods, target=floods.target + 2.0))
    ways = (1, 2) if too_hot else (-1, 1)
    for way in ways:
        yield (
            f"basking lamp {'up' if way > 0 else 'down'}",
            replace(design, floods=replace(floods, over=floods.over + way * NEARER / 2)),
        )
    if floods.lamp in FLOODS:
        k = FLOODS.index(floods.lamp)
        for other in (k - 1,) if too_hot else (k + 1, k - 1):
            if 0 <= other < len(FLOODS):
                yield "other watts", replace(design, floods=replace(floods, lamp=FLOODS[other]))
    for probe in (0.75, 1.3):
        yield (
            "probe nearer to the lamp" if probe > 1 else "probe nearer to the spot",
            replace(design, floods=replace(floods, probe=round(probe * floods.probe, 2))),
        )
    del library


def _of_the_air(look: Look, design: Design, library: Library) -> Iterator[tuple[str, Design]]:
    warm, cool = values_of(look.verdict("warm-end")), values_of(look.verdict("cool-end"))
    cold = _off(warm, below=True) or _off(cool, below=True)
    hot = _off(warm, below=False) or _off(cool, below=False)
    series = [_cooler(design) if hot else None, _warmer(look, design, library) if cold else None]
    if _lacks(warm) > 0:
        series.reverse()
    for each in series:
        if each is not None:
            yield from each
    yield from _heaters(look, design, cold=cold, hot=hot)
    if hot and not design.fan and not design.above:
        yield from (("a fan", replace(design, fan=fan)) for fan in FANS)


def _lacks(values: dict[str, float]) -> float:
    """Whether cold is farther off than heat: how much. [K]"""
    expected = [v for name, v in values.items() if name.endswith("_expected")]
    if not expected or "floor" not in values:
        return 0.0
    return (values["floor"] - min(expected)) - max(max(expected) - values["comfort_ceiling"], 0.0)


def _cooler(design: Design) -> Iterator[tuple[str, Design]]:
    """What lets warm air out, or lamps burn when the room is cool."""
    for vent in [v for v in VENTS if v > design.vent + 1e-6][:2]:
        yield "vents longer", replace(design, vent=vent)
    start, end = hour(design.heat_hours[0]), hour(design.heat_hours[1])
    if end - start - LONGER >= SHORTEST:
        yield "heat off earlier in summer", replace(design, heat_hours=(clock(start), clock(end - LONGER)))


def _warmer(look: Look, design: Design, library: Library) -> Iterator[tuple[str, Design]]:
    """What keeps warm air in, and heaters longer on."""
    if not design.strips:
        yield "strips on the doors", replace(design, strips=True)
    if design.heater is not None and not design.heater.all_winter and library.lamps[design.heater.lamp].dark:
        yield "heater by night too in winter", replace(design, heater=replace(design.heater, all_winter=True))
    elif (
        design.heater is not None
        and design.heater.all_winter
        and _off(values_of(look.verdict("night")), below=False)
    ):
        yield "heater by day only", replace(design, heater=replace(design.heater, all_winter=False))
    for vent in [v for v in reversed(VENTS) if v < design.vent - 1e-6][:2]:
        yield "vents shorter", replace(design, vent=vent)
    if design.board + 1 < len(BOARDS["metric"]):
        yield "thicker boards", replace(design, board=design.board + 1)
    end = hour(design.winter_heat[1])
    if end + 0.5 < hour(design.winter_light[1]) + 1e-6:
        yield "heat longer in winter", replace(design, winter_heat=(design.winter_heat[0], clock(end + 0.5)))


def _heaters(look: Look, design: Design, *, cold: bool, hot: bool) -> Iterator[tuple[str, Design]]:
    for name in ("heater", "night_heater"):
        heater: Heater | None = getattr(design, name)
        if heater is None:
            continue
        kinds = heater_kinds(design, by_day=heater.by_day)
        k = kinds.index(heater.lamp) if heater.lamp in kinds else 0
        if cold:
            yield (
                "heater set warmer",
                design.with_heater(name, replace(heater, target=heater.target + WARMER)),
            )
            if k + 1 < len(kinds):
                yield "a stronger heater", design.with_heater(name, replace(heater, lamp=kinds[k + 1]))
            elif heater.count < MOST_HEATERS:
                yield "one heater more", design.with_heater(name, replace(heater, count=heater.count + 1))
        if hot:
            yield (
                "heater set cooler",
                design.with_heater(name, replace(heater, target=heater.target - WARMER)),
            )
        if heater.count > 1:
            yield "one heater less", design.with_heater(name, replace(heater, count=heater.count - 1))
        else:
            yield "no heater", design.with_heater(name, None)
    kinds = heater_kinds(design, by_day=True)
    if design.heater is None and cold:
        warm = values_of(look.verdict("warm-end"))
        if "floor" in warm:
            yield "a heater", replace(design, heater=Heater(kinds[0], 1, warm["floor"] - UNDER, by_day=True))
    night = values_of(look.verdict("night"))
    if design.night_heater is None and _off(night, below=True):
        yield (
            "a night heater",
            replace(
                design,
                night_heater=Heater(
                    heater_kinds(design, by_day=False)[0], 1, night["floor"] + 1.0, by_day=False
                ),
            ),
        )


def _of_the_sun(look: Look, design: Design, library: Library) -> Iterator[tuple[str, Design]]:
    tubes = design.tubes
    if tubes is None:
        return
    measures = Measures(look.drawn.wanted, design, library)
    least = max(lowest_tube(measures, lamp) for lamp in tubes.lamps)
    for by in (NEARER, -NEARER):
        over = min(max(tubes.over + by, least), highest_tube(measures))
        if abs(over - tubes.over) > TOO_LITTLE:
            words = f"uv tubes {'up' if by > 0 else 'down'}"
            yield words, replace(design, tubes=replace(tubes, over=over))
    if design.habit == "limb":
        for by in (NEARER, -NEARER):
            # The lamps stay where they are: the limb comes nearer to them, or goes farther off.
            yield (
                f"main limb {'up' if by > 0 else 'down'}",
                replace(
                    design,
                    rest=design.rest + by,
                    tubes=replace(tubes, over=tubes.over - by),
                    floods=replace(design.floods, over=design.floods.over - by) if design.floods else None,
                ),
            )


def _off(values: dict[str, float], *, below: bool) -> bool:
    expected = [v for name, v in values.items() if name.endswith("_expected")]
    if not expected or "floor" not in values or "comfort_ceiling" not in values:
        return False
    margin = 0.25 * (values["comfort_ceiling"] - values["floor"])
    return (
        min(expected) < values["floor"] + margin
        if below
        else max(expected) > values["comfort_ceiling"] - margin
    )


KINDS = ((OF_SPOT, _of_the_spot), (OF_HEAT, _of_the_air))
