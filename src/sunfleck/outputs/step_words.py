"""What the drawings of a motion say: each step as one sentence in the box's own words."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.layers import NORMALS
from sunfleck.geometry.passage.motion import Motion, Pose
from sunfleck.geometry.passage.rotations import angle_between, turned_vector
from sunfleck.geometry.passage.stage import Stage
from sunfleck.geometry.passage.steps import MOST_ROOM, Step
from sunfleck.outputs.passage_start_words import whole_degrees
from sunfleck.units import System, format_at_least, format_quantity

Floats = NDArray[np.float64]

# The two ways along each axis of the enclosure: of an edge, and of a movement.
EDGES = (("left", "right"), ("front", "back"), ("lower", "top"))
WAYS = (("to the left", "to the right"), ("to the front", "to the back"), ("down", "up"))
# An edge goes first if what is farthest on lies so far off the middle, as a share of half the extent, and leads
# by so much of it. [-]
FIRST = 0.5
SLANT = 0.25
# Shares of a shift below this are not told. [-]
SMALL_SHARE = 0.15
# A turn about an axis so near to one of the box's own is told as about that one. [cosine]
OWN_AXIS = 0.94
# What is so many times as long as it is wide has ends. [-]
LONG = 4.0
# Turned by less it stands as it will stand. [rad]
ALIKE = math.radians(1.0)
SIGNS = (
    "Thin line: where the step begins. Strong line: where it ends. Dots: halfway. Arrow: the way of one point of it. "
    "Dashes: hidden. Grey: wall, and what stands in the box already."
)
NOT_LOOKED_AT = (
    "Drawn as a rigid thing in a box true to size. Not looked at: weight in the hand, grip, soft or bending parts, "
    "cables, the floor and furniture of the room before the box."
)


def length_words(length: float, system: System) -> str:
    """Return a length in the reader's units: ``45.2 cm``, ``17.8 in``."""
    return format_quantity(length, "length", system)


def angle_words(angle: float) -> str:
    """Return an angle in whole degrees, a small one with a tenth."""
    degrees = math.degrees(angle)
    return whole_degrees(angle) if degrees >= 9.5 else f"{degrees:.1f} degrees".replace(".0 ", " ")


def sentence_of(step: Step, motion: Motion, body: Body, stage: Stage, system: System) -> str:
    """One step as a sentence.

    Parameters
    ----------
    step : Step
        Which. [-]
    motion : Motion
        It belongs to, in the enclosure's coordinates. [m]
    body : Body
        What moves. [-]
    stage : Stage
        The box. [m]
    system : str
        ``metric`` or ``us``. [-]

    Returns
    -------
    words : str
        ``Turn it 38 degrees, left edge to the back, and move it 4 cm in.``
    """
    inwards = np.array(NORMALS[stage.face], dtype=np.float64)
    far = float(np.linalg.norm(step.shift))
    if step.kind == "dock":
        onto = step.last == len(motion) - 1
        way = _shift_words(step.shift, system, inwards, all_of_it=True)
        return f"Set it into its place: {way}." if onto else f"Take it off its place: {way}."
    if step.angle >= ALIKE:
        words = f"Turn it {angle_words(step.angle)}, {_turn_words(step, motion, body, inwards)}"
        if far >= 0.01:
            words += f", and take it {_shift_words(step.shift, system, inwards)} on the way"
        return words + "."
    along = float(step.shift @ inwards)
    if abs(along) > 0.98 * far:
        verb = "Push it straight in" if along > 0 else "Draw it straight out"
        edge = _first_edge(motion.pose(step.last), body, inwards * np.sign(along))
        return f"{verb}, {length_words(far, system)}{edge}."
    return f"Move it {_shift_words(step.shift, system, inwards)} without turning it."


def room_words(step: Step, system: System) -> str:
    """What stays free beside it in one step; empty where it was not measured."""
    if step.kind == "dock" or math.isnan(step.room):
        return ""
    if step.room >= MOST_ROOM - 0.002:
        return f"More than {format_at_least(MOST_ROOM - 0.002, system)} stay free all round."
    if step.room < 0.001:
        return "Nothing to spare: it may touch."
    return f"At the tightest place {format_at_least(step.room, system)} stay free."


def start_words(motion: Motion, stage: Stage) -> str:
    """How to hold it at the beginning, against how it stands at the end; on the way out it stands in its place."""
    first, last = motion.pose(0), motion.pose(len(motion) - 1)
    if float((last.place - first.place) @ np.array(NORMALS[stage.face])) < 0:
        return "It begins in its place."
    angle = angle_between(first.turn, last.turn)
    if angle < ALIKE:
        return "Hold it as it stands in the end."
    return (
        f"Begin as the thin line of step 1 shows: turned {angle_words(angle)} from how it stands in the end."
    )


def standing_words(names: Sequence[str]) -> str:
    """Name what stands in the box already, each once; empty for nothing."""
    return f"In the box already: {', '.join(dict.fromkeys(names))}." if names else ""


def _shift_words(shift: Floats, system: System, inwards: Floats, *, all_of_it: bool = False) -> str:
    """A movement along the box's own axes, the longest share first; small shares are left out."""
    ways = [
        ("outwards", "inwards")
        if inwards[k] > 0.5
        else ("inwards", "outwards")
        if inwards[k] < -0.5
        else WAYS[k]
        for k in range(3)
    ]
    far = float(np.abs(shift).max())
    least = 5e-4 if all_of_it else max(SMALL_SHARE * far, 0.001)
    shares = [
        f"{length_words(abs(float(shift[k])), system)} {ways[k][int(shift[k] > 0)]}"
        for k in np.argsort(-np.abs(shift), kind="stable")
        if abs(float(shift[k])) >= least
    ]
    if not shares:
        return "a hair"
    return shares[0] if len(shares) == 1 else f"{', '.join(shares[:-1])} and {shares[-1]}"


def _turn_words(step: Step, motion: Motion, body: Body, inwards: Floats) -> str:
    """Which edge goes where; of a slanting turn the two edges that go farthest."""
    turn = motion.pose(step.first).turn
    nodes = np.array([turned_vector(turn, node - motion.about) for node in body.outer.nodes])
    edge = _edge_word(body)
    half = np.maximum((np.ptp(nodes, axis=0) / 2), 1e-9)
    ways: list[tuple[float, str]] = []
    for axis in range(3):
        for to in range(3):
            # An edge on +axis moves along `to` at this speed; only one of the two edges is named.
            other = 3 - axis - to
            if axis == to:
                continue
            sign = 1.0 if (axis, to) in ((0, 1), (1, 2), (2, 0)) else -1.0
            speed = float(step.axis[other]) * sign * half[axis]
            deep = abs(float(inwards[to])) > 0.5
            side = speed * float(inwards[to]) > 0 if deep else speed > 0
            words = f"{EDGES[axis][int(side)]} {edge} {WAYS[to][int(speed > 0) if side else int(speed <= 0)]}"
            ways.append((abs(speed), words))
    ways.sort(key=lambda way: (-way[0], way[1]))
    own = float(np.abs(step.axis).max()) > OWN_AXIS
    if own or ways[1][0] < 0.4 * ways[0][0]:
        return ways[0][1]
    return f"{ways[0][1]}, {ways[1][1]}"


def _first_edge(pose: Pose, body: Body, ahead: Floats) -> str:
    """Name the edge that goes first where one does; empty where a face or the middle does."""
    nodes = np.array([turned_vector(pose.turn, node) for node in body.outer.nodes])
    deep = nodes @ ahead + body.outer.radius
    low = (nodes - body.outer.radius[:, None]).min(axis=0)
    high = (nodes + body.outer.radius[:, None]).max(axis=0)
    front = nodes[deep > deep.max() - 0.02 * max(float(np.ptp(deep)), 1e-9)].mean(axis=0)
    off = (front - (low + high) / 2) / np.maximum((high - low) / 2, 1e-9)
    off[np.abs(ahead) > 0.5] = 0.0
    axis = int(np.argmax(np.abs(off)))
    if abs(float(off[axis])) < FIRST:
        return ""
    # The edge across from it must lie well behind: the rim of a pot is no edge that goes first.
    across = nodes[:, axis] * np.sign(off[axis])
    opposite = across < across.min() + 0.1 * float(np.ptp(across))
    if float(deep.max() - deep[opposite].max()) < SLANT * float(np.ptp(across)):
        return ""
    return f", {EDGES[axis][int(off[axis] > 0)]} {_edge_word(body)} first"


def _edge_word(body: Body) -> str:
    """A long thin thing has ends, another has edges."""
    extents = np.sort(np.ptp(body.outer.nodes, axis=0) + 2 * float(body.outer.radius.max()))
    return "end" if extents[2] > LONG * extents[1] else "edge"
