"""Places at the animal's back where a meter may be held: thinned, set to the tape's marks, in a builder's words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.plan.solids import ledge_box
from sunfleck.studies.receivers import Strip
from sunfleck.studies.setting import Setting
from sunfleck.units import System, format_quantity

Floats = NDArray[np.float64]

# Two stations nearer than this would tell the same twice. [m]
APART = 0.08
# Nearer to a wall a meter's own housing does not fit. Common practice, no source. [m]
OFF_THE_WALL = 0.04
# What a tape is read to: half a centimetre, a quarter of an inch. [m]
TAPE: dict[System, float] = {"metric": 0.005, "us": 0.25 * 0.0254}
# A perch is named by its left and right end where it runs at least this much to the side. [-]
SIDEWAYS = 0.5
WALLS = (("left", "right"), ("front", "back"), ("bottom", "top"))


@dataclass(frozen=True)
class Spot:
    """A place at an animal's back.

    Attributes
    ----------
    point : (3,) float
        Set to the tape's marks. [m]
    words : str
        Where it is, in a builder's words.
    strip : str
        What it lies on, by name.
    above : float or None
        How far above that the back is; None where nobody says. [m]
    """

    point: Floats
    words: str
    strip: str
    above: float | None = None


def on_the_tape(point: Floats, system: System) -> Floats:
    """Return a place set to the nearest mark of the tape in each direction. [m]"""
    mark = TAPE[system]
    return np.asarray(np.round(np.asarray(point) / mark) * mark)


def spots_of(settings: tuple[Setting, ...]) -> tuple[Spot, ...]:
    """Return places on everything the animals rest on, no two nearer than `APART`.

    Parameters
    ----------
    settings : tuple of Setting
        One an animal. Hides are left out: nobody holds a meter in one.

    Returns
    -------
    spots : tuple of Spot
        The basking places' weakest points first, then strip by strip. [m]
    """
    found: list[Spot] = []
    for setting in settings:
        system = setting.system
        for index, k in _in_order(setting):
            point = on_the_tape(setting.strips[index].points[k], system)
            if not setting.brief.surroundings.inside.contains(point[None, :], -OFF_THE_WALL)[0]:
                continue
            if found and np.linalg.norm(np.array([s.point for s in found]) - point, axis=1).min() < APART:
                continue
            words = spot_words(setting.brief, setting.strips[index], point, k, system)
            found.append(Spot(point, words, setting.strips[index].name, setting.animal.back_height))
    return tuple(found)


def _in_order(setting: Setting) -> Iterator[tuple[int, int]]:
    """Strip and point, the place that verdicts are judged at first: thinning keeps what comes first."""
    place = setting.basking_place()
    if place is not None:
        middle = setting.channel("uvi" if setting.has_uv else "lux", "normal").middle
        yield place.strip, int(place.points[int(np.argmin(middle[setting.receivers(place)]))])
    for index, strip in enumerate(setting.strips):
        if strip.kind != "hide":
            yield from ((index, int(k)) for k in np.flatnonzero(strip.valid))


def spot_words(brief: Brief, strip: Strip, point: Floats, k: int, system: System) -> str:
    """Say where a point of a strip is: by the perch's end, the ledge's edges, or a part of the ground."""
    if strip.kind == "perch":
        path = next(
            chain.path
            for perch, chain in zip(brief.plan.perches, brief.surroundings.branches, strict=True)
            if perch.name == strip.name
        )
        along = (k + 0.5) * strip.step[1]
        length = strip.step[1] * strip.shape[1]
        names = _ends(path[-1] - path[0])
        # Told from the nearer end: a tape along a crooked limb adds up its errors.
        far, end = (along, names[0]) if along <= length / 2 else (length - along, names[1])
        return f"{strip.name}, {short(far, system)} from its {end} end"
    if strip.kind == "ground":
        inside = brief.surroundings.inside
        share = (point - inside.low) / (inside.high - inside.low)
        part = f"{_third(share[1], ('front', '', 'back'))} {_third(share[0], ('left', 'middle', 'right'))}"
        return f"ground, {part.strip()}"
    name = strip.name.removeprefix("top of ")
    blocks = {ledge.name: ledge_box(ledge) for ledge in brief.plan.ledges}
    blocks |= {hide.name: ledge_box(hide) for hide in brief.plan.hides}
    block = blocks[name]
    told = []
    for axis in (0, 1):
        near, far = point[axis] - block.low[axis], block.high[axis] - point[axis]
        edge = WALLS[axis][0] if near <= far else WALLS[axis][1]
        told.append(f"{short(min(near, far), system)} from its {edge} edge")
    return f"{strip.name}, {' and '.join(told)}"


def short(length: float, system: System) -> str:
    """Return a length as it is read off a tape: to half a centimetre or a quarter of an inch."""
    mark = TAPE[system]
    return format_quantity(round(length / mark) * mark, "length", system, 1 if system == "metric" else 2)


def _ends(way: Floats) -> tuple[str, str]:
    """What the first and the last end of a perch are called."""
    across = np.abs(way) / max(float(np.linalg.norm(way)), 1e-9)
    if across[0] >= SIDEWAYS:
        return ("left", "right") if way[0] > 0 else ("right", "left")
    if across[2] >= across[1]:
        return ("lower", "upper") if way[2] > 0 else ("upper", "lower")
    return ("front", "back") if way[1] > 0 else ("back", "front")


def _third(share: float, names: tuple[str, str, str]) -> str:
    return names[int(np.clip(share * 3, 0, 2))]


def from_walls(brief: Brief, point: Floats, system: System) -> tuple[str, ...]:
    """Distances from left, front and bottom, and from the wall across where that is nearer.

    Parameters
    ----------
    brief : Brief
        The box.
    point : (3,) float
        The place. [m]
    system : str
        ``metric`` or ``us``.

    Returns
    -------
    words : tuple of str
        One a direction, as ``left 42 cm`` or ``left 90 cm, right 30 cm``.
    """
    inside = brief.surroundings.inside
    told = []
    for axis, (low, high) in enumerate(WALLS):
        near, far = point[axis] - inside.low[axis], inside.high[axis] - point[axis]
        words = f"{low} {short(near, system)}"
        told.append(words if near <= far else f"{words}, {high} {short(far, system)}")
    return tuple(told)
