"""The box and the room: what a plan says of carcass, openings and site."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sunfleck.plan.base import Part
from sunfleck.plan.quantities import (
    Angle,
    Covered,
    FacePoint,
    FaceSize,
    Fraction,
    Gap,
    HeatLoss,
    Id,
    InsideLength,
    Latitude,
    Length,
    Name,
    Opens,
    Outage,
    Price,
    Temperature,
    TemperatureDifference,
)
from sunfleck.plan.route import RouteStage

FaceName = Literal["left", "right", "front", "back", "bottom", "top"]


class Room(Part):
    """The room around the enclosure: by day in the coldest and the warmest month, and on the worst days of a year."""

    winter: Temperature | None = None
    summer: Temperature | None = None
    coldest: Temperature | None = None
    hottest: Temperature | None = None
    loss: HeatLoss | None = None
    night_drop: TemperatureDifference | None = None
    humidity_winter: Fraction | None = None
    humidity_summer: Fraction | None = None


class Window(Part):
    """A window whose sun falls on a pane of the enclosure; `azimuth` is where it faces, clockwise from north."""

    azimuth: Angle
    falls_on: FaceName
    share: Fraction = 1.0


class Tariff(Part):
    """What electricity costs."""

    per_kwh: Price
    currency: Name


class PowerCut(Part):
    """How long the power may be away, and how cold the room is by the time it comes back."""

    lasts: Outage
    room: Temperature | None = None


class Site(Part):
    """Where the enclosure stands."""

    room: Room | None = None
    latitude: Latitude | None = None
    window: Window | None = None
    tariff: Tariff | None = None
    power_cut: PowerCut | None = None
    route: Annotated[tuple[RouteStage, ...], Field(max_length=30)] = ()


class Inside(Part):
    """Inside size, as wide x deep x high."""

    width: InsideLength
    depth: InsideLength
    height: InsideLength


class Wall(Part):
    """What one wall is made of. A material of the library's panes lets light through."""

    material: Id
    thickness: Length
    finish: Id | None = None


class Walls(Part):
    """One wall for all, and those that differ."""

    default: Wall
    left: Wall | None = None
    right: Wall | None = None
    front: Wall | None = None
    back: Wall | None = None
    bottom: Wall | None = None
    top: Wall | None = None

    def of(self, face: FaceName) -> Wall:
        """Return the wall of a face."""
        own: Wall | None = getattr(self, face)
        return own or self.default


class Door(Part):
    """An opening that can be opened; `material` is its leaf or pane.

    A hinged leaf hangs on the side it swings to and `opens` by an angle. Of a sliding pane `lap` stays covered by the
    pane it slides behind, and `handle` by its own grip.
    """

    name: Name
    face: FaceName
    kind: Literal["hinged", "sliding", "lift-out"]
    at: FacePoint
    size: FaceSize
    material: Id | None = None
    swing: Literal["left", "right", "up", "down"] | None = None
    thickness: Length | None = None
    gap: Gap | None = None
    opens: Opens | None = None
    lap: Covered | None = None
    handle: Covered | None = None


class Vent(Part):
    """An opening for air, closed by a mesh."""

    name: Name
    face: FaceName
    at: FacePoint
    size: FaceSize
    mesh: Id


class Fan(Part):
    """A fan in a wall that blows air out of the box or into it; it runs as long as it is not said to be slower."""

    name: Name
    fan: Id
    face: FaceName
    at: FacePoint
    blows: Literal["in", "out"] = "out"
    level: Fraction = 1.0


class Enclosure(Part):
    """The carcass."""

    inside: Inside
    walls: Walls
    doors: Annotated[tuple[Door, ...], Field(max_length=20)] = ()
    vents: Annotated[tuple[Vent, ...], Field(max_length=30)] = ()
    fans: Annotated[tuple[Fan, ...], Field(max_length=10)] = ()

    @property
    def openings(self) -> tuple[Door | Vent, ...]:
        """Doors, then vents."""
        return (*self.doors, *self.vents)
