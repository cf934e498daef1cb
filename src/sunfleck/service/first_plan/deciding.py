"""The first decisions, before anything is computed: how it lives, where lamps hang, when they are lit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sunfleck.brief.givens import number
from sunfleck.library.loader import Library
from sunfleck.physics.sun import MIDDLE_DAYS, day_length
from sunfleck.service.first_plan.design import Design, Floods, Habit, Hours
from sunfleck.service.first_plan.measures import BELOW_THE_LID, Measures
from sunfleck.service.first_plan.reading import Wanted

# All of these: common practice, no source.
LOW_SLAB, UNDER_THE_LID = 0.04, 0.08
FREE_BELOW_A_LAMP = 0.30
NOON = 13.0
USUAL_DAY, USUAL_WINTER_DAY = 12.0, 10.0
LONGEST_DAY, SHORTEST_DAY = 14.0, 9.0
MORNING = 5.0
WIDE_BOX = 1.0
VENT_DRY, VENT_DAMP = 0.6, 0.35
HOLDER = 0.15
# A beam of 38 degrees is so wide at half its strength, over its distance.
BEAM = 0.69
JANUARY, JULY = 0, 6
BARS = ("led-bar-40w-120cm", "led-bar-24w-90cm", "led-bar-24w-60cm")
FLOODS = tuple(f"halogen-reflector-{watts}w-38deg" for watts in (35, 50, 75, 100, 150))
STRETCH_OFF = 0.06
# Under a mesh lid air stays within 1-2 K of the room whatever the lamp. Common practice, no source. [K]
UNDER_A_MESH = 2.0
# From the high vent to lamps at the other end, in boxes of a metre and a half. Our decision. [m]
REACHES_FAR = 0.30


def decided(wanted: Wanted, library: Library) -> Design:
    """Decide what can be decided without computing.

    Parameters
    ----------
    wanted : Wanted
        The answers.
    library : Library
        Of lamps.

    Returns
    -------
    design : Design
        Without UV lamps and heaters yet; basking lamps as usual ones.
    """
    animal = wanted.animal
    basks = bool(animal.basking.value) and animal.basking_spot is not None
    habit = habit_of(wanted, basks=basks)
    light, winter_light = _days(wanted)
    heat, winter_heat = _within(light, 0.5), _within(winter_light, 0.5)
    cool = animal.cool_end.value
    assert isinstance(cool, tuple)
    if wanted.summer > float(cool[1]) - 1.0:
        # A hot room: basking belongs to the morning, before it is hottest.
        start = hour(light[0])
        heat = (clock(start), clock(start + MORNING))
    board = 2 if max(wanted.size) > WIDE_BOX else 1
    bare = Design(
        habit, False, False, LOW_SLAB, None, None, None, None, "", board, -1, VENT_DRY, False, "",
        light, heat, winter_light, winter_heat,
    )  # fmt: skip
    measures = Measures(wanted, bare, library)
    above = _above(wanted, measures, basks=basks)
    window = above and _too_cold_for_mesh(wanted)
    rest = LOW_SLAB
    if habit == "limb":
        room = wanted.size[2] - measures.ground - measures.limb / 2 - measures.back_height
        # Headroom of half a body; no more, because a lid within reach gets the more UV the farther it is from the limb.
        rest = room - max(UNDER_THE_LID, 0.5 * measures.body)
        if not above:
            rest = room - BELOW_THE_LID - max(measures.stretch + STRETCH_OFF, FREE_BELOW_A_LAMP + HOLDER)
        rest = measures.snap(max(rest, 0.35 * room))
    vent = VENT_DRY if measures.arid else VENT_DAMP
    bar = _bar(wanted, library, above=above) if animal.uv_floor is None or habit == "limb" else ""
    design = Design(
        habit, above, window, rest, None, None, None, None, bar, board, -1, vent, False, "",
        light, heat, winter_light, winter_heat,
    )  # fmt: skip
    if not basks:
        return design
    return _with_floods(design, wanted, library)


def habit_of(wanted: Wanted, *, basks: bool) -> Habit:
    """On the ground, or off it: by its reach, and of who climbs rough things by the shape of the box."""
    reach = str(wanted.animal.reach_class.value)
    wide, _, tall = wanted.size
    if reach in ("leaper", "climber-glass") or (reach == "climber-rough" and tall >= wide):
        return "limb"
    return "ledge" if basks else "floor"


def _above(wanted: Wanted, measures: Measures, *, basks: bool) -> bool:
    """Whether lamps can only be kept out of reach above a mesh."""
    reach = str(wanted.animal.reach_class.value)
    # Mesh of vents is a foothold for claws: who reaches far from it reaches lamps at the other end too.
    far = measures.stretch > REACHES_FAR or number(wanted.animal.leap) > 0
    climbs = reach == "climber-rough" and (measures.design.habit == "limb" or far)
    if climbs or reach in ("leaper", "climber-glass"):
        return True
    tall = wanted.size[2] - measures.ground
    highest = max(LOW_SLAB, measures.hide[2], 0.12 if reach != "ground" else 0.0)
    needs = highest + measures.stretch + STRETCH_OFF + (HOLDER if basks else 0.05)
    return bool(
        needs > tall or (basks and LOW_SLAB + FREE_BELOW_A_LAMP + HOLDER + measures.back_height > tall)
    )


def _too_cold_for_mesh(wanted: Wanted) -> bool:
    """Whether the room is so much colder than the animal wants that a mesh lid would let all warmth out."""
    warm, night = wanted.animal.warm_end.value, wanted.animal.night.value
    assert isinstance(warm, tuple)
    assert isinstance(night, tuple)
    by_night = wanted.winter - wanted.drop
    return bool(float(warm[0]) - wanted.winter > UNDER_A_MESH or float(night[0]) - by_night > UNDER_A_MESH)


def least_over(measures: Measures, lamp: str) -> float:
    """How near over the back a basking lamp may hang. [m]"""
    entry = measures.library.lamps[lamp]
    free = number(entry.least_distance) + 0.02
    if measures.design.above:
        return max(free, measures.height + 0.10 - measures.spot[2])
    return max(free, measures.stretch - measures.back_height + STRETCH_OFF)


def most_over(measures: Measures) -> float:
    """How far over the back it can hang. [m]"""
    if measures.design.above:
        return measures.height + 0.60 - measures.spot[2]
    return measures.height - HOLDER - measures.spot[2]


def _with_floods(design: Design, wanted: Wanted, library: Library) -> Design:
    measures = Measures(wanted, design, library)
    lamp = FLOODS[1]
    least, most = least_over(measures, lamp), most_over(measures)
    over = min(max(least, 1.15 * measures.body / BEAM), max(most, least))
    count = 1 if BEAM * over >= 1.05 * measures.body else 2
    band = wanted.animal.basking_spot.value  # type: ignore[union-attr]  # it basks
    assert isinstance(band, tuple)
    target = (float(band[0]) + float(band[1])) / 2
    return replace(design, floods=Floods(lamp, count, measures.snap(over), target, measures.snap(0.5 * over)))


def _bar(wanted: Wanted, library: Library, *, above: bool) -> str:
    room = wanted.size[0] + (0.03 if above else -0.03)
    fits = [bar for bar in BARS if number(library.lamps[bar].length) <= room]  # type: ignore[arg-type]  # a bar has a length
    return fits[0] if fits else ""


def _days(wanted: Wanted) -> tuple[Hours, Hours]:
    """Light in the warm and in the cold half of the year, about noon."""
    summer, winter = USUAL_DAY, USUAL_WINTER_DAY
    if wanted.latitude is not None:
        lengths = [float(day_length(wanted.latitude, MIDDLE_DAYS[month])) for month in (JANUARY, JULY)]
        lengths = [float(np.clip(length, SHORTEST_DAY, LONGEST_DAY)) for length in lengths]
        summer, winter = max(lengths), min(lengths)
    return _about_noon(summer), _about_noon(winter)


def _about_noon(hours: float) -> Hours:
    half = round(hours) / 2
    return clock(NOON - half), clock(NOON + half)


def _within(hours: Hours, by: float) -> Hours:
    return clock(hour(hours[0]) + by), clock(hour(hours[1]) - by)


def hour(written: str) -> float:
    """A time of day in hours. [h]"""
    hours, minutes = written.split(":")
    return int(hours) + int(minutes) / 60


def clock(at: float) -> str:
    """A time of day as a plan has it."""
    minutes = round(at * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
