"""What stands in the box: animals' footholds, shade and shelter."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sunfleck.plan.base import Part
from sunfleck.plan.enclosure import FaceName
from sunfleck.plan.quantities import (
    Angle,
    Area,
    Day,
    FacePoint,
    FaceSize,
    Fraction,
    Id,
    Length,
    Mass,
    Name,
    Point,
    TemperatureBand,
    UvIndex,
)


class Acceptance(Part):
    """A keeper's word for an animal's targets: as the library has them, or with values of their own."""

    by: Name
    date: Day
    uv_floor: UvIndex | None = None
    uv_comfort_ceiling: UvIndex | None = None
    uv_ceiling: UvIndex | None = None
    uv_retreat: UvIndex | None = None
    basking_spot: TemperatureBand | None = None
    warm_end: TemperatureBand | None = None
    cool_end: TemperatureBand | None = None
    night: TemperatureBand | None = None


class Animal(Part):
    """One animal, or several alike."""

    species: Name
    family: Name | None = None
    profile: Literal["library", "blank"] = "library"
    name: Name | None = None
    count: Annotated[int, Field(ge=1, le=50)] = 1
    sex: Literal["male", "female", "mixed", "unknown"] = "unknown"
    stage: Literal["hatchling", "juvenile", "adult"] = "adult"
    snout_vent: Length | None = None
    mass: Mass | None = None
    accepted: Acceptance | None = None


class Joint(Part):
    """A fixing that holds a perch by itself."""

    kind: Literal["bolted", "screwed-and-glued", "bracket", "set-in-mortar"]
    at: Point


class Shape(Part):
    """A scanned or modelled shape from a file beside the plan: its unit, where its origin is put, how it is turned."""

    file: Name
    unit: Literal["mm", "cm", "m", "in", "ft"] | None = None
    at: Point = (0.0, 0.0, 0.0)
    turn: tuple[Angle, Angle, Angle] = (0.0, 0.0, 0.0)


class Perch(Part):
    """A branch: a path with diameters. With a `shape` its shade is that of the file; backs lie along the path."""

    name: Name
    path: Annotated[tuple[Point, ...], Field(min_length=2, max_length=60)]
    diameter: Annotated[tuple[Length, ...], Field(min_length=1, max_length=60)]
    wood: Id
    joint: Joint | None = None
    shape: Shape | None = None


class Ledge(Part):
    """A block the animal can stand on: shelf, rock, box."""

    name: Name
    at: Point
    size: tuple[Length, Length, Length]
    finish: Id


class Relief(Part):
    """A block that stands out of a panel by `thickness`; `at` and `size` on the wall, as the panel's own."""

    at: FacePoint
    size: FaceSize
    thickness: Length


class Background(Part):
    """A panel on a wall, of a `core` that its finish covers. Without `at` and `size` it covers the whole wall.

    `relief` is what stands out of it, as blocks: so much more room it takes on its way in, and there it can be parted.
    """

    name: Name
    face: FaceName
    thickness: Length
    finish: Id
    core: Id | None = None
    at: FacePoint | None = None
    size: FaceSize | None = None
    relief: Annotated[tuple[Relief, ...], Field(max_length=40)] = ()


class Leaf(Part):
    """One leaf's length and width."""

    length: Length
    width: Length


class Crown(Part):
    """The leafy part of a plant: its middle, radius and height."""

    middle: Point
    radius: Length
    height: Length


class Pot(Part):
    """What a plant stands in: on the ground below the middle of its crown, or with the middle of its foot `at`."""

    diameter: Length
    height: Length
    at: Point | None = None


class Plant(Part):
    """A plant as it stands on the day of the plan; without the size of a `leaf`, a porous crown."""

    name: Name
    species: Name | None = None
    crown: Crown
    leaf_area: Area
    leaf: Leaf | None = None
    pot: Pot | None = None


class Hide(Part):
    """A closed shelter with one open side."""

    name: Name
    at: Point
    size: tuple[Length, Length, Length]
    opening: FaceName


class Bowl(Part):
    """A basin: round, with the middle of its foot `at`, a `diameter` and a `height`; or a block of a `size`, its corner `at`."""

    name: Name
    at: Point
    diameter: Length | None = None
    height: Length | None = None
    size: tuple[Length, Length, Length] | None = None

    @property
    def whole(self) -> bool:
        """Whether its size is stated."""
        return self.size is not None or (self.diameter is not None and self.height is not None)


class Substrate(Part):
    """The ground, level; what it is made of, and how much of its volume is water."""

    depth: Length
    finish: Id
    made_of: Id | None = None
    water: Fraction | None = None
