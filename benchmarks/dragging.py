"""A lamp dragged over a plan of twelve perches: what it takes until the light on all backs is known anew."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median
from time import perf_counter

import numpy as np

from benchmarks.plans import PERCHES, twelve_perches
from benchmarks.scenes import Floats
from benchmarks.table import Row, cores
from sunfleck.brief.build import Brief, make_brief
from sunfleck.plan.read import PlanSource
from sunfleck.studies.channels import Channel
from sunfleck.studies.interreflection import interior_of
from sunfleck.studies.light import LightField, light_field
from sunfleck.studies.receivers import strips_for

UP = (0.0, 0.0, 1.0)
CHANNELS: tuple[Channel, ...] = ("uvi", "lux", "ppfd", "radiant")
MOVES = 20
# The tube is dragged to the front, the spot to the right, a centimetre at a time. [cm]
FROM_Y, FROM_X = 28.0, 40.0


def rows(*, tiny: bool) -> Iterator[Row]:
    """Time a tube and a spot, direct light only and with what is reflected."""
    # The first move of each is for warming up and does not count.
    moves = range(1, 2 + (0 if tiny else MOVES))
    first = make_brief(twelve_perches(tube_y=FROM_Y, spot_x=FROM_X))
    points = backs(first)
    field = light_field(first, points, UP, interior_of(first))
    _channels(field)
    tube = [twelve_perches(tube_y=FROM_Y - k, spot_x=FROM_X) for k in moves]
    spot = [twelve_perches(tube_y=FROM_Y, spot_x=FROM_X + k) for k in moves]
    for lamp, plans in (("tube", tube), ("spot", spot)):
        yield from _rows(lamp, plans, field)


def _rows(lamp: str, plans: list[PlanSource], field: LightField) -> Iterator[Row]:
    around, lamps = field.brief.surroundings, len(field.brief.fixtures)
    note = (
        f"median of {MOVES} moves of 1 cm, each after the one before; {len(field.points)} points, {lamps} "
        f"lamps, {len(around.triangles):,} triangles"
    )
    made, direct = _direct(plans, field)
    work = f"a {lamp} dragged, backs on {PERCHES} perches"
    yield Row(f"{work}: direct light", direct, "s", cores(), 0.05, note)
    yield Row("   resolving the plan (make_brief with before)", made, "s", 1)
    note = "where lamps send their light, what goes to and fro, and 4 channels at the same points"
    yield Row(f"{work}: with reflections", _reflected(plans, field), "s", cores(), note=note)


def backs(brief: Brief) -> Floats:
    """Places of the first animal's back on all perches. [m]"""
    strips = strips_for(brief, brief.animals[0])
    return np.concatenate([strip.points for strip in strips if strip.kind == "perch"])


def _direct(plans: list[PlanSource], first: LightField) -> tuple[float, float]:
    """Median times of making the brief and of direct light. [s]"""
    points = first.points
    field = light_field(first.brief, points, UP)
    making, lighting = [], []
    for plan in plans:
        begin = perf_counter()
        moved = make_brief(plan, field.brief)
        between = perf_counter()
        field = light_field(moved, points, UP, before=field)
        making.append(between - begin)
        lighting.append(perf_counter() - between)
    return median(making[1:] or making), median(lighting[1:] or lighting)


def _reflected(plans: list[PlanSource], field: LightField) -> float:
    """Median time from the brief to four channels with what is reflected. [s]"""
    times = []
    for plan in plans:
        moved = make_brief(plan, field.brief)
        begin = perf_counter()
        field = light_field(moved, field.points, UP, interior_of(moved, field.interior), field)
        _channels(field)
        times.append(perf_counter() - begin)
    return median(times[1:] or times)


def _channels(field: LightField) -> list[Floats]:
    return [field.channel(channel).middle for channel in CHANNELS]
