"""What a picture in space is made of: the box, its openings and the things in it, as arrays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.boxes import Face

Floats = NDArray[np.float32]
Whole = NDArray[np.uint32]
Colours = NDArray[np.uint8]
Point = tuple[float, float, float]

Group = Literal[
    "fixtures", "perches", "ledges", "hides", "plants", "backgrounds", "bowls", "stations", "substrate"
]
Look = Literal[
    "wood",
    "block",
    "hide",
    "leaves",
    "crown",
    "background",
    "ground",
    "tube",
    "bar",
    "bulb",
    "dome",
    "panel",
    "station",
]
Axis = Literal["x", "y", "z"]
State = Literal["meets", "short", "over", "unknown"]


@dataclass(frozen=True, eq=False)
class Mesh:
    """A surface of triangles with a colour of its own at every corner.

    Attributes
    ----------
    positions, normals : (n, 3) float32
        Corners [m], and where the surface faces there.
    indices : (m, 3) uint32
        Triangles; seen from outside their corners run counter-clockwise.
    tints : (n, 3) uint8
        Colours of the material, sRGB.
    """

    positions: Floats
    normals: Floats
    indices: Whole
    tints: Colours


@dataclass(frozen=True, eq=False)
class Item:
    """A thing in the box, or a lamp outside it.

    Attributes
    ----------
    key : str
        ``group/name``, once in a scene.
    name : str
        The user's name for it.
    group, look : str
        Which list of the plan it is in, and what is drawn.
    mesh : Mesh
        Its surface; paints give one colour to each of its corners, in their order.
    glow : Mesh or None
        What of a lamp gives light: drawn as bright as its colours are.
    wires : (k, 2, 3) float32
        Thin lines: the bars of a guard. [m]
    anchor : (3,) float
        The place that the plan says it has: what is snapped, and from where lengths to walls are shown. [m]
    movable : bool
        Whether it can be dragged.
    aim : (3,) float or None
        Where a lamp points. [m]
    along : (r,) float32 or None
        Of a perch, how far along its path each ring of corners lies. [m]
    ring : (n,) uint32 or None
        Of a perch, the ring of each corner.
    """

    key: str
    name: str
    group: Group
    look: Look
    mesh: Mesh
    anchor: Point
    movable: bool = True
    glow: Mesh | None = None
    wires: Floats = field(default_factory=lambda: np.zeros((0, 2, 3), np.float32))
    aim: Point | None = None
    along: Floats | None = None
    ring: Whole | None = None


@dataclass(frozen=True, eq=False)
class Wall:
    """One side of the box without its openings.

    Attributes
    ----------
    face : str
        Which side.
    thickness : float
        Outwards from the inside. [m]
    clear : bool
        Whether it is a pane.
    mesh : Mesh
        Its surface.
    """

    face: Face
    thickness: float
    clear: bool
    mesh: Mesh


@dataclass(frozen=True, eq=False)
class Opening:
    """A door, a vent or a fan.

    Attributes
    ----------
    key, name : str
        ``doors/name``, ``vents/name`` or ``fans/name``.
    kind : str
        ``door``, ``vent`` or ``fan``.
    face : str
        Which side it is in.
    corners : (4, 3) float32
        Round it, in the plane of the inside. [m]
    clear : bool
        Whether one looks through it.
    colour : str
        ``#rrggbb``, of a leaf, a mesh or a frame.
    lines : (k, 2, 3) float32
        What is drawn of it: frame, handle side, threads of a mesh, blades. [m]
    """

    key: str
    name: str
    kind: Literal["door", "vent", "fan"]
    face: Face
    corners: Floats
    clear: bool
    colour: str
    lines: Floats


@dataclass(frozen=True, eq=False)
class Scene:
    """All that is drawn of a plan.

    Attributes
    ----------
    name : str
        The plan's.
    size : (3,) float
        Inside of the box: width, depth, height. [m]
    walls, openings, items : tuple
        Six walls, then what is in them and between them, in the plan's order.
    """

    name: str
    size: Point
    walls: tuple[Wall, ...]
    openings: tuple[Opening, ...]
    items: tuple[Item, ...]

    def item(self, key: str) -> Item:
        """Return the item of a key.

        Raises
        ------
        KeyError
            If there is none.
        """
        for item in self.items:
            if item.key == key:
                return item
        raise KeyError(key)


@dataclass(frozen=True, eq=False)
class Section:
    """A flat cut through the box with a picture on it.

    Attributes
    ----------
    axis : str
        ``x``, ``y`` or ``z``: what it is square to.
    place : float
        Where on that axis. [m]
    low, high : (2,) float
        Its extent in the other two directions, in their order. [m]
    picture : (q, p, 4) uint8
        Red, green, blue and opacity (sRGB); the first row is the lowest, the first column the leftmost.
    cut : bool
        Whether what stands between it and the viewer is cut away.
    """

    axis: Axis
    place: float
    low: tuple[float, float]
    high: tuple[float, float]
    picture: Colours
    cut: bool = False


@dataclass(frozen=True, eq=False)
class IsoLine:
    """A line of equal value.

    Attributes
    ----------
    points : (k, 3) float32
        Along it. [m]
    words : str
        What stands at its middle; empty for nothing.
    colour : str
        ``#rrggbb``.
    """

    points: Floats
    words: str
    colour: str


@dataclass(frozen=True, eq=False)
class Cloud:
    """Points with a colour each: where an animal can be.

    Attributes
    ----------
    points : (n, 3) float32
        Where. [m]
    colours : (n, 3) uint8
        sRGB.
    """

    points: Floats
    colours: Colours


@dataclass(frozen=True, eq=False)
class Paint:
    """Colours over a scene. What is not in it is not painted: a paint replaces the one before it.

    Attributes
    ----------
    colours : mapping of str to (n, 3) or (r, 3) uint8
        By item: one colour a corner of its mesh, or of a perch one a ring (sRGB).
    section : Section or None
        A cut.
    lines : tuple of IsoLine
        Over the cut or the perches.
    cloud : Cloud or None
        Points.
    """

    colours: Mapping[str, Colours] = field(default_factory=dict)
    section: Section | None = None
    lines: tuple[IsoLine, ...] = ()
    cloud: Cloud | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A verdict at its place.

    Attributes
    ----------
    id : str
        Comes back when it is picked.
    state : str
        ``meets``, ``short``, ``over`` or ``unknown``: each has its own shape.
    words : str
        Said on focus and on hovering.
    at : (3,) float
        Where. [m]
    """

    id: str
    state: State
    words: str
    at: Point
