"""The world as layers along the opening's normal: before the box, in its wall, inside, what stands in it.

Between two depths the body must keep to a rectangle. What is not of that form is widened to the nearest
wall for a yes (`layers`) and left out for a no (`certain`), and said in the notes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.boxes import Face
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import matrix_of, products, quaternion_of

Floats = NDArray[np.float64]
Hinge = Literal["left", "right", "top", "bottom"]

FAR = 1e6
NORMALS: dict[Face, tuple[float, float, float]] = {
    "left": (1, 0, 0), "right": (-1, 0, 0), "front": (0, 1, 0),
    "back": (0, -1, 0), "bottom": (0, 0, 1), "top": (0, 0, -1),
}  # fmt: skip
# Slabs in which a door that stands ajar is taken.
STAIRS = 8


@dataclass(frozen=True, slots=True)
class Frame:
    """Axes of an opening: z inwards, y up (to the back for a hatch), x so that they are right-handed.

    Attributes
    ----------
    origin : (3,) float
        Where their zero lies, in the enclosure's coordinates. [m]
    axes : (3, 3) float
        Their x, y and z, a row each, in the enclosure's. [-]
    """

    origin: Floats
    axes: Floats

    def inwards(self, pose: Pose) -> Pose:
        """Return a pose of the enclosure in these axes."""
        turn = quaternion_of(self.axes @ matrix_of(pose.turn))
        return Pose(turn, self.axes @ (np.asarray(pose.place) - self.origin))

    def outwards(self, turns: Floats, places: Floats) -> tuple[Floats, Floats]:
        """Return rotations (n, 4) and places (n, 3) of these axes in the enclosure's. [-], [m]"""
        return products(quaternion_of(self.axes.T), turns), self.origin + places @ self.axes

    def box(self, corners: ArrayLike) -> Floats:
        """Low and high corner (2, 3) in these axes of a box of the enclosure. [m]"""
        moved = (np.asarray(corners, dtype=np.float64) - self.origin) @ self.axes.T
        return np.array([moved.min(axis=0), moved.max(axis=0)])


@dataclass(frozen=True, slots=True)
class Way:
    """One opening and what is behind it.

    Attributes
    ----------
    name : str
        The opening's.
    layers : (n, 6) float
        First and last depth, then the rectangle (x from, to, y from, to) that is free between. [m]
    end : float
        Depth of the wall opposite. [m]
    certain : (m, 6) float
        Layers that surely bound the body, for a no. [m]
    certain_end : float
        Depth it surely cannot pass. [m]
    """

    name: str
    layers: Floats
    end: float
    certain: Floats
    certain_end: float


@dataclass(frozen=True, slots=True)
class World:
    """A box with its openings in one face.

    Attributes
    ----------
    ways : tuple of Way
        Half doors with a post between them are a way each.
    frame : Frame
        Their axes.
    notes : tuple of str
        What is not layered, and how it was taken.
    """

    ways: tuple[Way, ...]
    frame: Frame
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Leaf:
    """A hinged door that stands open.

    Attributes
    ----------
    hinge : str
        Side it hangs on, as seen from outside.
    thickness : float
        Of the leaf; so much of the opening it takes when it stands square. [m]
    swing : float
        How far it opens; half a turn and more leaves the opening clear but for `thickness`. [rad]
    """

    hinge: Hinge
    thickness: float
    swing: float = np.pi / 2


@dataclass(frozen=True, slots=True)
class Opening:
    """A rectangle that is open in one face: a door's clear part, what sliding panes leave, a hatch.

    Attributes
    ----------
    name : str
        What it is called.
    at, size : (2,) float
        Its low corner and extent along the face's own coordinates. [m]
    leaf : Leaf or None
        The hinged leaf that stands beside it; None if the door is lifted out or slides.
    """

    name: str
    at: tuple[float, float]
    size: tuple[float, float]
    leaf: Leaf | None = None


def frame_of_face(inside: ArrayLike, face: Face, wall: float) -> Frame:
    """Axes of a face whose outside is at depth zero.

    Parameters
    ----------
    inside : (3,) float
        Extent of the box inside. [m]
    face : str
        Which face. [-]
    wall : float
        Its thickness. [m]

    Returns
    -------
    frame : Frame
        z inwards from the outer side of the wall.
    """
    normal = np.array(NORMALS[face], dtype=np.float64)
    up = np.array([0.0, 1.0, 0.0]) if face in ("top", "bottom") else np.array([0.0, 0.0, 1.0])
    on_face = np.where(normal < 0, np.asarray(inside, dtype=np.float64), 0.0)
    return Frame(on_face - wall * normal, np.array([np.cross(up, normal), up, normal]))


def cabinet(
    inside: ArrayLike, face: Face, wall: float, openings: Sequence[Opening], standing: ArrayLike = ()
) -> World:
    """A box, its openings in one face, and what stands in it already.

    Parameters
    ----------
    inside : (3,) float
        Extent inside: width, depth, height. [m]
    face : str
        Face the openings are in. [-]
    wall : float
        Thickness of that face. [m]
    openings : sequence of Opening
        One, or two half doors beside a post. [-]
    standing : (k, 2, 3) float
        Boxes round what is installed, a kick board among them; enclosure coordinates. [m]

    Returns
    -------
    world : World
        A way for each opening.

    Raises
    ------
    DomainError
        If a length is not above zero, an opening has no extent, a leaf does not swing, or a number is none.
    """
    extent = np.asarray(inside, dtype=np.float64)
    if not bool((extent > 0).all() and np.isfinite(extent).all()) or not 0 < wall < FAR or not openings:
        msg = f"a box needs extents above zero, a wall above zero and an opening; got {extent} and {wall} m"
        raise DomainError(msg)
    frame = frame_of_face(extent, face, wall)
    room = frame.box([np.zeros(3), extent])
    end = float(room[1, 2])
    hollow = [wall, end, room[0, 0], room[1, 0], room[0, 1], room[1, 1]]
    blocks = np.asarray(standing, dtype=np.float64).reshape(-1, 2, 3)
    if not bool(np.isfinite(blocks).all()):
        msg = "what stands in a box needs corners that are numbers"
        raise DomainError(msg)
    safe, sure, notes = _installed(room, frame, blocks)
    ways = []
    for opening in openings:
        if not (np.isfinite([*opening.at, *opening.size]).all() and min(opening.size) > 0):
            msg = f"{opening.name}: an opening needs a place and two extents above zero; got {opening.at}, {opening.size} m"
            raise DomainError(msg)
        leaf = opening.leaf
        if leaf is not None and not (0 <= leaf.thickness < FAR and 0 < leaf.swing < np.inf):
            msg = f"{opening.name}: a leaf needs a thickness and a swing above zero; got {leaf.thickness} m, {leaf.swing} rad"
            raise DomainError(msg)
        hole = _hole(extent, face, opening)
        corners = frame.box(hole)
        door = [0.0, wall, corners[0, 0], corners[1, 0], corners[0, 1], corners[1, 1]]
        beside = [] if opening.leaf is None else _leaf_layers(door, opening.leaf, opening)
        ways.append(
            Way(
                opening.name,
                np.array([door, hollow, *beside, *safe], dtype=np.float64),
                end,
                np.array([door, hollow, *sure], dtype=np.float64),
                end,
            )
        )
    return World(tuple(ways), frame, tuple(notes))


def _hole(extent: Floats, face: Face, opening: Opening) -> Floats:
    """Corners of an opening in the enclosure's coordinates."""
    first, second = {"left": (1, 2), "right": (1, 2), "front": (0, 2), "back": (0, 2)}.get(face, (0, 1))
    corners = np.array([np.zeros(3), extent])
    for axis, at, size in zip((first, second), opening.at, opening.size, strict=True):
        corners[:, axis] = at, at + size
    return corners


def _leaf_layers(door: list[float], leaf: Leaf, opening: Opening) -> list[list[float]]:
    """Rectangles before the box that a leaf leaves free. Only for a yes: where it really stands is the keeper's."""
    # Left, seen from outside with z inwards and y up, is the side where x is large.
    side, sign = {"left": (3, -1.0), "right": (2, 1.0), "top": (5, -1.0), "bottom": (4, 1.0)}[leaf.hinge]
    width = opening.size[0] if leaf.hinge in ("left", "right") else opening.size[1]
    edges = [(-width, door[1], leaf.thickness)]
    if leaf.swing < np.pi / 2 - 1e-9:
        run, sine = 1 / np.tan(leaf.swing), np.sin(leaf.swing)
        depth = width * sine
        edges = [(0.0, door[1], leaf.thickness)]
        edges += [
            (
                -depth * (k + 1) / STAIRS,
                -depth * k / STAIRS,
                depth * (k + 1) / STAIRS * run + leaf.thickness / sine,
            )
            for k in range(STAIRS)
        ]
    layers = []
    for first, last, taken in edges:
        row = [first, last, -FAR, FAR, -FAR, FAR]
        row[side] = door[side] + sign * taken
        layers.append(row)
    return layers


def _installed(
    room: Floats, frame: Frame, standing: Floats
) -> tuple[list[list[float]], list[list[float]], list[str]]:
    """Layers of what stands in the box: for a yes, for a no, and what had to be widened."""
    safe, sure, notes = [], [], []
    for number, corners in enumerate(standing):
        box = frame.box(corners)
        low, high = np.maximum(box[0], room[0]), np.minimum(box[1], room[1])
        if not bool((high > low).all()):
            continue
        options = []
        for axis in (0, 1):
            for end in (0, 1):
                row = [low[2], high[2], room[0, 0], room[1, 0], room[0, 1], room[1, 1]]
                row[2 + 2 * axis + end] = high[axis] if end == 0 else low[axis]
                other = 1 - axis
                gap = low[axis] - room[0, axis] if end == 0 else room[1, axis] - high[axis]
                short = max(low[other] - room[0, other], room[1, other] - high[other])
                lost = (row[3] - row[2]) * (row[5] - row[4])
                options.append((gap <= 1e-6 and short <= 1e-6, lost, row))
        exact, _, row = max(options, key=lambda option: (option[0], option[1]))
        safe.append(row)
        if exact:
            sure.append(row)
        else:
            notes.append(f"installed part {number + 1} is taken as reaching to the wall beside it")
    return safe, sure, notes
