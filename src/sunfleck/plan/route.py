"""The way of the box through the house to its place, as a plan says it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sunfleck.plan.base import Part
from sunfleck.plan.quantities import Length, Name

Pair = Annotated[tuple[Length, Length], Field(description="two clear widths, or clear width and height")]
Cabin = Annotated[tuple[Length, Length, Length], Field(description="width, depth and height inside")]

KINDS = ("door", "corridor", "corner", "ceiling", "lift", "stairs")


class RouteStage(Part):
    """One place on the way: a door, a corridor, a corner, a ceiling to stand up under, a lift with its door, or stairs.

    A door is `[clear width, clear height]`; so is a corridor. A corner is the widths of both corridors, stairs are
    those of flight and landing; `height` is the ceiling above a corner or the headroom of the stairs.
    """

    name: Name | None = None
    door: Pair | None = None
    corridor: Pair | None = None
    corner: Pair | None = None
    ceiling: Length | None = None
    lift: Cabin | None = None
    stairs: Pair | None = None
    height: Length | None = None

    @property
    def kind(self) -> str:
        """Which of `KINDS` it is; a lift is one with its door."""
        return next((kind for kind in ("lift", *KINDS) if getattr(self, kind) is not None), "")
