"""Lamps as hung: place, hours, control, guard, and what was read under them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sunfleck.plan.base import Part
from sunfleck.plan.quantities import (
    Accuracy,
    Angle,
    Band,
    Burned,
    Clock,
    Fraction,
    Id,
    Length,
    Lux,
    Name,
    Point,
    Temperature,
    UvIndex,
)


class Control(Part):
    """The thermostat that drives a lamp; `band` is the width from full to nothing, or from on to off.

    `cut_out` is an independent switch with a sensor of its own, at `cut_out_probe` or beside the probe.
    """

    kind: Literal["on-off", "pulse", "dimming"]
    probe: Point
    target: Temperature
    cut_out: Temperature | None = None
    cut_out_probe: Point | None = None
    band: Band | None = None


class Evidence(Part):
    """A reading taken below the lamp's middle, from its lowest point, warmed up; bare, or `through` a mesh.

    `air` is how warm it was round the lamp: a tube gives less in the cold.
    """

    distance: Length
    uvi: UvIndex | None = None
    lux: Lux | None = None
    with_: Annotated[Name, Field(alias="with")]
    through: Annotated[tuple[Id, ...], Field(max_length=4)] = ()
    air: Temperature | None = None


class Meter(Part):
    """An instrument that readings were taken with, and how well it is known."""

    name: Name
    accuracy: Accuracy


class Fixture(Part):
    """A lamp as hung: a tube or bar `from` one end `to` the other, a bulb `at` a point with an `aim`.

    `winter_hours` are kept in the cold half of the year in place of `hours`.
    """

    name: Name
    lamp: Id
    from_: Annotated[Point | None, Field(alias="from")] = None
    to: Point | None = None
    at: Point | None = None
    aim: Point | None = None
    roll: Angle | None = None
    hours: Annotated[tuple[Clock, ...], Field(max_length=24)] | None = None
    winter_hours: Annotated[tuple[Clock, ...], Field(max_length=24)] | None = None
    level: Fraction = 1.0
    age: Burned | None = None
    travel: Length | None = None
    guard: Id | None = None
    tether: bool | None = None
    control: Control | None = None
    photometry: Name | None = None
    evidence: Annotated[tuple[Evidence, ...], Field(max_length=40)] = ()
