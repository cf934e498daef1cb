"""A motion in the steps a person is told: moves too small to tell joined, how far, about what, how close."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.layers import World
from sunfleck.geometry.passage.motion import Motion, Move, MoveKind, Pose
from sunfleck.geometry.passage.rotations import (
    angle_between,
    opposite,
    product,
    turned_by_each,
    turned_vector,
)
from sunfleck.geometry.passage.setting import TOUCH, free_rectangle

Floats = NDArray[np.float64]

# What moves less than this and turns less is told with the move before it. [m], [rad]
LEAST_SHIFT = 0.005
LEAST_TURN = np.radians(2.0)
# A stretch of a turning move so long without a turn is a step of its own. [m], [rad] between two poses
LEAST_STRAIGHT = 0.08
NO_TURN = 1e-3
# Where the middle leaves the even way by more, what is told as one is told in two; so often at most. [m]
BENT = 0.05
# And so far off the middle a turn that leaves the even one counts as much as a way. [m]
REACH = 0.3
MOST_BENDS = 3
# Straight moves whose directions differ by less are one. [cosine]
SAME_WAY = 0.995
# The room beside the body is measured at poses so far apart. [m]
APART = 0.003
# More room than this is not measured. [m]
MOST_ROOM = 0.1


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a motion.

    Attributes
    ----------
    kind : str
        As a move's.
    first, last : int
        Rows of the motion's poses at which it begins and ends.
    shift : (3,) float
        Way of the body's middle, in the enclosure's coordinates. [m]
    axis : (3,) float
        About which it is turned, in the enclosure's coordinates; zero if it is not. [-]
    angle : float
        How far it is turned. [rad]
    room : float
        What surely stays free beside it; NaN where that was not measured. [m]
    """

    kind: MoveKind
    first: int
    last: int
    shift: Floats
    axis: Floats
    angle: float
    room: float = float("nan")


def steps_of(motion: Motion) -> tuple[Step, ...]:
    """The steps of a motion.

    Parameters
    ----------
    motion : Motion
        In the enclosure's coordinates. [m]

    Returns
    -------
    steps : tuple of Step
        Without gaps from its first pose to its last.
    """
    steps: list[Step] = []
    waiting: int | None = None  # begin of moves too small to tell before anything was told
    for kind, first, last in (part for move in motion.moves for part in _stretches(motion, move)):
        step = _step(motion, kind, first if waiting is None else waiting, last)
        waiting = None
        small = float(np.linalg.norm(step.shift)) < LEAST_SHIFT and step.angle < LEAST_TURN
        small = small and _length(motion, first, last) < 4 * LEAST_SHIFT and kind != "dock"
        if small and not steps:
            waiting = step.first
        elif steps and (small or _alike(steps[-1], step)):
            steps[-1] = _step(motion, steps[-1].kind, steps[-1].first, step.last)
        else:
            steps.append(step)
    if waiting is not None:
        steps.append(_step(motion, motion.moves[-1].kind, waiting, motion.moves[-1].last))
    # A dock too short to see belongs to the step before it.
    if len(steps) > 1 and steps[-1].kind == "dock" and float(np.linalg.norm(steps[-1].shift)) < 1e-4:
        steps[-2:] = [_step(motion, steps[-2].kind, steps[-2].first, steps[-1].last)]
    return tuple(steps)


def _stretches(motion: Motion, move: Move) -> list[tuple[MoveKind, int, int]]:
    """A turning move in turns and long straight stretches; another as it is. Kind, first and last row."""
    if move.kind != "turn":
        return [(move.kind, move.first, move.last)]
    turning = [
        angle_between(motion.turns[row], motion.turns[row + 1]) > NO_TURN
        for row in range(move.first, move.last)
    ]
    bounds = [k for k in range(1, len(turning)) if turning[k] != turning[k - 1]]
    parts: list[tuple[MoveKind, int, int]] = []
    for a, b in pairwise([0, *bounds, len(turning)]):
        first, last = move.first + a, move.first + b
        straight = not turning[a] and _length(motion, first, last) >= LEAST_STRAIGHT
        kind: MoveKind = "push" if straight else "turn"
        if parts and parts[-1][0] == kind:
            parts[-1] = (kind, parts[-1][1], last)
        else:
            parts.append((kind, first, last))
    return [piece for part in parts for piece in _unbent(motion, *part)]


def _unbent(
    motion: Motion, kind: MoveKind, first: int, last: int, depth: int = 0
) -> list[tuple[MoveKind, int, int]]:
    """A stretch in pieces along which the middle keeps pace with the turn: done evenly, it stays where it was certified."""
    if last - first < 2 or depth == MOST_BENDS:
        return [(kind, first, last)]
    rows = np.arange(first, last + 1)
    middles = motion.places[rows] + turned_by_each(motion.turns[rows], motion.about)
    ways = np.linalg.norm(np.diff(middles, axis=0), axis=1)
    angles = np.array([angle_between(motion.turns[k], motion.turns[k + 1]) for k in rows[:-1]])
    paces = angles if float(angles.sum()) > LEAST_TURN else ways
    pace = np.concatenate([[0.0], np.cumsum(paces)]) / max(float(paces.sum()), 1e-12)
    off = np.linalg.norm(middles - middles[0] - pace[:, None] * (middles[-1] - middles[0]), axis=1)
    # And how far what lies off the middle leaves the even turn.
    even = replace(motion, turns=motion.turns[[first, last]], places=motion.places[[first, last]], moves=())
    wrong = [
        angle_between(even.between(0, float(p)).turn, motion.turns[k])
        for p, k in zip(pace, rows, strict=True)
    ]
    off = off + REACH * np.array(wrong)
    at = int(off.argmax())
    if float(off[at]) <= BENT:
        return [(kind, first, last)]
    return [
        *_unbent(motion, kind, first, first + at, depth + 1),
        *_unbent(motion, kind, first + at, last, depth + 1),
    ]


def _length(motion: Motion, first: int, last: int) -> float:
    middles = [
        motion.places[k] + turned_vector(motion.turns[k], motion.about) for k in range(first, last + 1)
    ]
    return float(np.linalg.norm(np.diff(middles, axis=0), axis=1).sum())


def _step(motion: Motion, kind: MoveKind, first: int, last: int) -> Step:
    turns = motion.turns[[first, last]]
    middles = [motion.places[k] + turned_vector(motion.turns[k], motion.about) for k in (first, last)]
    turn = product(turns[1], opposite(turns[0]))
    turn = turn * (1.0 if turn[0] >= 0 else -1.0)
    size = float(np.linalg.norm(turn[1:]))
    angle = 2 * float(np.arctan2(size, turn[0]))
    axis = turn[1:] / size if angle > 1e-6 else np.zeros(3)
    return Step(kind, first, last, middles[1] - middles[0], axis, angle if angle > 1e-6 else 0.0)


def _alike(before: Step, step: Step) -> bool:
    if "turn" in (before.kind, step.kind) or "dock" in (before.kind, step.kind):
        return False
    lengths = float(np.linalg.norm(before.shift)), float(np.linalg.norm(step.shift))
    return float(before.shift @ step.shift) > SAME_WAY * lengths[0] * lengths[1]


def with_room(
    steps: Sequence[Step], motion: Motion, body: Body, world: World, way: str, certified: float
) -> tuple[Step, ...]:
    """The same steps with what surely stays free beside the body in each.

    Measured along the axes of the opening, at poses 3 mm apart; half of that is taken off, so that it
    holds between them too.

    Parameters
    ----------
    steps : sequence of Step
        Of the motion. [-]
    motion : Motion
        In the enclosure's coordinates. [m]
    body : Body
        What moves. [-]
    world : World
        The box. [-]
    way : str
        Name of the opening it goes through. [-]
    certified : float
        What is known to stay free in every step but the docking one; never less is said. [m]

    Returns
    -------
    steps : tuple of Step
        With their `room`; NaN for docking, which ends at what it touches, and for a way of another name.
    """
    chosen = [each for each in world.ways if each.name == way]
    if len(chosen) != 1:
        return tuple(steps)
    about, skeleton = body.centre, body.outer.moved(-body.centre)
    lever = float((np.linalg.norm(skeleton.nodes, axis=1) + skeleton.radius).max())

    def free(pose: Pose, margin: float) -> bool:
        within = world.frame.inwards(pose)
        x, y, depth = within.place + turned_vector(within.turn, about)
        room = free_rectangle(skeleton, within.turn, float(depth), chosen[0], margin)
        return room is not None and bool(
            room[0] - TOUCH <= x <= room[1] + TOUCH and room[2] - TOUCH <= y <= room[3] + TOUCH
        )

    told = []
    for step in steps:
        if step.kind == "dock":
            told.append(step)
            continue
        part = replace(
            motion,
            turns=motion.turns[step.first : step.last + 1],
            places=motion.places[step.first : step.last + 1],
            moves=(),
        )
        least = MOST_ROOM
        for pose in part.replayed(APART, lever):
            if least <= 0.0 or free(pose, least):
                continue
            low, high = 0.0, least
            for _ in range(10):
                middle = (low + high) / 2
                low, high = (middle, high) if free(pose, middle) else (low, middle)
            least = low
        told.append(replace(step, room=max(least - APART / 2, certified, 0.0)))
    return tuple(told)
