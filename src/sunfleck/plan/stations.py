"""Stations: marked places in the box where the same readings are taken again and again."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sunfleck.plan.base import Part
from sunfleck.plan.quantities import Name, Point

Hold = Literal["up", "to the light"]
"""How a light meter is held: facing up, or turned to where it reads most."""


class Station(Part):
    """A place marked on a branch, a rock or the ground, `at` where the meter's sensor is held."""

    name: Name
    at: Point
    hold: Hold = "up"
    note: Annotated[str | None, Field(max_length=400)] = None
