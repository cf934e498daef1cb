"""Where the animal's back can be when it rests: points on perches, ground, ledges and in hides."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.animals import AnimalBrief
from sunfleck.brief.build import Brief
from sunfleck.geometry.boxes import Box
from sunfleck.geometry.chains import Chain
from sunfleck.plan.solids import ledge_box
from sunfleck.studies.footholds import lamp_body
from sunfleck.units import System, format_quantity

Kind = Literal["perch", "ground", "ledge", "hide"]
PERCH_STEP = 0.02
MOST_ON_A_PERCH = 240
MOST_ON_A_FLOOR = 1200
HALF_A_BODY = 0.5
STEEP = 0.94  # sine of 70 degrees: steeper than this a perch is clung to from the side


@dataclass(frozen=True)
class Strip:
    """Back points on one thing the animal can stand on, as a line or a grid.

    Attributes
    ----------
    kind : str
        ``perch``, ``ground``, ``ledge`` or ``hide``.
    name : str
        The user's name for it.
    points : (n, 3) float
        Places of the animal's back. [m]
    shape : (rows, columns)
        Grid of the points; a perch has one row.
    step : (float, float)
        Spacing between rows and between columns. [m]
    valid : (n,) bool
        Points the animal can be at: inside the box and in nothing solid.
    on : str
        The part it is on, ``group/name``; "" where that has no surface to be seen, as the inside of a hide.
    """

    kind: Kind
    name: str
    points: NDArray[np.float64]
    shape: tuple[int, int]
    step: tuple[float, float]
    valid: NDArray[np.bool_]
    on: str = ""


@dataclass(frozen=True)
class Place:
    """A body's length on a strip.

    Attributes
    ----------
    strip : int
        Which strip.
    points : (k,) int
        Indices into that strip's points.
    """

    strip: int
    points: NDArray[np.int64]


def strips_for(brief: Brief, animal: AnimalBrief) -> tuple[Strip, ...]:
    """Return back points on everything an animal can rest on.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    animal : AnimalBrief
        Its back's height and length set the points.

    Returns
    -------
    strips : tuple of Strip
        Perches, ground, ledges and hides, in the plan's order. [m]
    """
    return clear_of_lamps(brief, standing_strips(brief, animal))


def standing_strips(brief: Brief, animal: AnimalBrief) -> tuple[Strip, ...]:
    """Return the strips of `strips_for` as if no lamp hung in the way: the same wherever lamps hang."""
    around = brief.surroundings
    strips = [
        _perch_strip(brief, perch.name, chain, animal.back_height)
        for perch, chain in zip(brief.plan.perches, around.branches, strict=True)
    ]
    floor = Box(
        np.array([around.inside.low[0], around.inside.low[1], around.ground - 1.0]),
        np.array([around.inside.high[0], around.inside.high[1], around.ground]),
    )
    strips.append(
        _top_strip(brief, "ground", "ground", floor, animal.back_height, MOST_ON_A_FLOOR, "substrate/ground")
    )
    for ledge in brief.plan.ledges:
        box, on = ledge_box(ledge), f"ledges/{ledge.name}"
        strips.append(_top_strip(brief, "ledge", ledge.name, box, animal.back_height, 300, on))
    for hide in brief.plan.hides:
        roof = ledge_box(hide)
        on = f"hides/{hide.name}"
        strips.append(_top_strip(brief, "ledge", f"top of {hide.name}", roof, animal.back_height, 200, on))
        strips.append(_hide_strip(brief, hide.name, roof, animal))
    # All at once: it is asked of every branch, whatever the number of points.
    points = np.concatenate([strip.points for strip in strips])
    return _only(strips, around.inside.contains(points) & ~around.solid_at(points))


def clear_of_lamps(brief: Brief, strips: Sequence[Strip]) -> tuple[Strip, ...]:
    """Return strips without the points that lie in a lamp or its guard."""
    points = np.concatenate([strip.points for strip in strips])
    free = np.ones(len(points), dtype=bool)
    for fixture in brief.fixtures:
        free &= lamp_body(brief, fixture).distance(points) > 0
    return _only(strips, free)


def _only(strips: Sequence[Strip], free: NDArray[np.bool_]) -> tuple[Strip, ...]:
    ends = np.cumsum([len(strip.points) for strip in strips])
    parts = np.split(free, ends[:-1])
    return tuple(replace(strip, valid=strip.valid & part) for strip, part in zip(strips, parts, strict=True))


def places_on(strips: tuple[Strip, ...], body: float) -> Iterator[Place]:
    """Yield every place one body long, in steps of a quarter of the body.

    Parameters
    ----------
    strips : tuple of Strip
        Where the animal can rest.
    body : float
        Length of head and body. [m]

    Yields
    ------
    place : Place
        Points all of which the animal can be at.
    """
    for index, strip in enumerate(strips):
        if strip.kind == "hide":
            if strip.valid.all():
                yield Place(index, np.arange(len(strip.points)))
        elif strip.kind == "perch":
            yield from _along(index, strip, body)
        else:
            yield from _discs(index, strip, body)


def place_words(strip: Strip, points: NDArray[np.int64], system: System) -> str:
    """Say in a builder's words where a place is."""
    chosen = strip.points[points]
    middle = chosen.mean(axis=0)
    if strip.kind == "hide":
        return f"in {strip.name}"
    spot = ", ".join(
        f"{axis} {format_quantity(float(value), 'length', system)}"
        for axis, value in zip("xyz", middle, strict=True)
    )
    return f"on {'the ground' if strip.kind == 'ground' else strip.name}, the back at {spot}"


def _perch_strip(brief: Brief, name: str, chain: Chain, back: float) -> Strip:
    count = int(np.clip(round(chain.length / PERCH_STEP), 2, MOST_ON_A_PERCH))
    step = chain.length / count
    axis, direction, radius = chain.at((np.arange(count) + 0.5) * step)
    up = np.array([0.0, 0.0, 1.0])
    away = up - (direction @ up)[:, None] * direction
    steep = np.abs(direction @ up) > STEEP
    if steep.any():
        centre = (brief.surroundings.inside.low + brief.surroundings.inside.high) / 2
        sideways = centre - axis
        sideways = sideways - (sideways * direction).sum(1)[:, None] * direction
        away[steep] = sideways[steep]
    length = np.linalg.norm(away, axis=1)
    away = np.where(length[:, None] > 1e-9, away / np.maximum(length, 1e-9)[:, None], up)
    points = axis + away * (radius + back)[:, None]
    anywhere = np.ones(count, dtype=bool)
    return Strip("perch", name, points, (1, count), (0.0, step), anywhere, f"perches/{name}")


def _top_strip(brief: Brief, kind: Kind, name: str, block: Box, back: float, most: int, on: str) -> Strip:
    size = block.high - block.low
    step = max(0.02, float(np.sqrt(size[0] * size[1] / most)))
    columns, rows = max(1, round(size[0] / step)), max(1, round(size[1] / step))
    dx, dy = size[0] / columns, size[1] / rows
    x = block.low[0] + (np.arange(columns) + 0.5) * dx
    y = block.low[1] + (np.arange(rows) + 0.5) * dy
    gx, gy = np.meshgrid(x, y)
    points = np.stack([gx.ravel(), gy.ravel(), np.full(gx.size, block.high[2] + back)], axis=1)
    # A hide standing here has a strip of its own; a body cannot lie across its wall.
    valid = np.ones(len(points), dtype=bool)
    for hide in brief.plan.hides:
        valid &= ~ledge_box(hide).contains(points)
    return Strip(kind, name, points, (rows, columns), (dy, dx), valid, on)


def _hide_strip(brief: Brief, name: str, block: Box, animal: AnimalBrief) -> Strip:
    """Back points inside a hide; none is valid where the hide is too small for the animal."""
    floor = max(block.low[2], brief.surroundings.ground)
    room = block.high[2] - floor
    size = (block.high - block.low)[:2]
    fits = float(np.hypot(*size)) >= animal.snout_vent.value and room >= animal.back_height
    u, v = np.meshgrid(np.linspace(0.15, 0.85, 5), np.linspace(0.15, 0.85, 5))
    points = np.stack(
        [block.low[0] + u.ravel() * size[0], block.low[1] + v.ravel() * size[1], np.full(u.size, 0.0)], axis=1
    )
    points[:, 2] = floor + min(animal.back_height, 0.9 * max(room, 0.0))
    valid = np.full(len(points), fits)
    return Strip("hide", name, points, (5, 5), (0.7 * size[1] / 4, 0.7 * size[0] / 4), valid)


def _along(index: int, strip: Strip, body: float) -> Iterator[Place]:
    count = strip.shape[1]
    window = min(count, max(1, round(body / strip.step[1])))
    stride = max(1, window // 4)
    starts = list(range(0, count - window + 1, stride))
    if starts[-1] != count - window:
        starts.append(count - window)
    for start in starts:
        points = np.arange(start, start + window)
        if strip.valid[points].all():
            yield Place(index, points)


def _discs(index: int, strip: Strip, body: float) -> Iterator[Place]:
    rows, columns = strip.shape
    stride = max(1, round(body / 4 / max(strip.step)))
    middles = strip.points[:, :2]
    cell = strip.step[0] * strip.step[1]
    for r in range(0, rows, stride):
        for c in range(0, columns, stride):
            middle = r * columns + c
            if not strip.valid[middle]:
                continue
            near = np.flatnonzero(np.linalg.norm(middles - middles[middle], axis=1) <= body / 2)
            near = near[strip.valid[near]]
            # At an edge or beside a branch part of the body has no room; half of it must have.
            if len(near) * cell >= HALF_A_BODY * np.pi * (body / 2) ** 2:
                yield Place(index, near)
