"""One body, its ways in and its goal as arrays about the body's middle: what search and proof work on."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Body, Skeleton
from sunfleck.geometry.passage.fibre_kernels import free_shifts, turn_nodes
from sunfleck.geometry.passage.layers import FAR, Way
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import product, turned_vector

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Arrays = tuple[Floats, Floats, Ints]

# Touching its place is allowed: so far may rounding put a body into a wall. [m]
TOUCH = 1e-8
HALF_TURNS = np.eye(4)


@dataclass(frozen=True, slots=True)
class Setting:
    """A question in arrays, in the frame of the opening.

    Attributes
    ----------
    outer, inner : Skeleton
        The body about its middle.
    half_turns, convex : bool
        See :class:`Body`.
    ways : tuple of Way
        Openings it may go through.
    turn : (4,) float
        Rotation at the goal. [-]
    middle : (3,) float
        Where its middle lies at the goal. [m]
    clearance : float
        What must stay free. [m]
    planar : bool
        It turns about x only, and nothing bounds x.
    """

    outer: Skeleton
    inner: Skeleton
    half_turns: bool
    convex: bool
    ways: tuple[Way, ...]
    turn: Floats
    middle: Floats
    clearance: float
    planar: bool = False

    @property
    def lever(self) -> float:
        """Farthest point of the body from its middle. [m]"""
        return float((np.linalg.norm(self.outer.nodes, axis=1) + self.outer.radius).max())

    @property
    def out_depth(self) -> float:
        """Depth of the middle at which the body is before everything, however it is turned. [m]"""
        # A passage that begins far outside, a corridor, has no front.
        fronts = [front for way in self.ways for front in way.layers[:, 0] if front > -FAR]
        return float(min([0.0, *fronts]) - self.lever - self.clearance - 0.02)

    def equal_turns(self) -> Floats:
        """Rotations at which the body fills its goal: one, or four. (k, 4)"""
        if not self.half_turns or self.planar:
            return self.turn[None, :]
        return np.array([product(self.turn, half) for half in HALF_TURNS])

    def with_clearance(self, clearance: float) -> Setting:
        """Return the same question with another clearance."""
        return replace(self, clearance=clearance)

    def with_way(self, way: Way) -> Setting:
        """Return the same question through one opening only."""
        return replace(self, ways=(way,))


def setting_of(body: Body, ways: tuple[Way, ...], goal: Pose, clearance: float) -> Setting:
    """Move a body to its middle and a goal with it.

    Parameters
    ----------
    body : Body
        What goes in. [-]
    ways : tuple of Way
        Openings, in their frame. [-]
    goal : Pose
        Its place, in the same frame. [-]
    clearance : float
        What must stay free on every side. [m]

    Returns
    -------
    setting : Setting
        The question in arrays.
    """
    turn = goal.turn / np.linalg.norm(goal.turn)
    return Setting(
        outer=body.outer.moved(-body.centre),
        inner=body.inner.moved(-body.centre),
        half_turns=body.half_turns,
        convex=body.convex,
        ways=ways,
        turn=turn,
        middle=goal.place + turned_vector(turn, body.centre),
        clearance=clearance,
    )


def arrays(skeleton: Skeleton) -> Arrays:
    """The three arrays a kernel takes.

    Parameters
    ----------
    skeleton : Skeleton
        Balls and rods. [-]

    Returns
    -------
    nodes, radius, rods : arrays
        Contiguous. [m]
    """
    return (
        np.ascontiguousarray(skeleton.nodes, dtype=np.float64),
        np.ascontiguousarray(skeleton.radius, dtype=np.float64),
        np.ascontiguousarray(skeleton.rods, dtype=np.int64),
    )


def free_rectangle(skeleton: Skeleton, turn: Floats, depth: float, way: Way, margin: float) -> Floats | None:
    """Free sideways places of a body's middle at one rotation and depth.

    Parameters
    ----------
    skeleton : Skeleton
        The body about its middle. [m]
    turn : (4,) float
        Unit quaternion. [-]
    depth : float
        Of its middle. [m]
    way : Way
        What it must keep to. [-]
    margin : float
        What must stay free. [m]

    Returns
    -------
    rectangle : (4,) float or None
        x from, to, y from, to; None where nothing is free. [m]
    """
    nodes, radius, rods = arrays(skeleton)
    placed, free = np.zeros_like(nodes), np.zeros(4)
    turn_nodes(np.ascontiguousarray(turn), nodes, placed)
    room = free_shifts(placed, radius, rods, float(depth), way.layers, way.end, float(margin), free)
    return free if room >= 0 else None


def pushes_straight(
    skeleton: Skeleton, turn: Floats, start: Floats, stop: Floats, way: Way, margin: float
) -> bool:
    """Whether a straight push without turning stays free: exact, by what the push sweeps.

    Parameters
    ----------
    skeleton : Skeleton
        The body about its middle. [m]
    turn : (4,) float
        Unit quaternion. [-]
    start, stop : (3,) float
        Its middle at both ends. [m]
    way : Way
        What it must keep to. [-]
    margin : float
        What must stay free; below zero: how deep it may lie in a wall. [m]

    Returns
    -------
    free : bool
        Whether all of it is.
    """
    along = np.array([turned_vector(turn, node) for node in skeleton.nodes])
    swept = Skeleton(along, skeleton.radius, skeleton.rods).swept(stop - start)
    nodes, radius, rods = arrays(swept)
    free = np.zeros(4)
    if free_shifts(nodes, radius, rods, float(start[2]), way.layers, way.end, float(margin), free) < 0:
        return False
    return bool(free[0] <= start[0] <= free[1] and free[2] <= start[1] <= free[3])


def docking_place(setting: Setting, way: Way, margin: float) -> Floats | None:
    """Place beside the goal that is `margin` off everything, from which the body is pushed straight onto it.

    Parameters
    ----------
    setting : Setting
        The question. [-]
    way : Way
        The opening and what is behind it. [-]
    margin : float
        What must stay free there. [m]

    Returns
    -------
    middle : (3,) float or None
        Nearest such place, at most twice the margin away in each direction; None if there is none. [m]
    """
    goal = setting.middle
    furthest = 2 * margin + TOUCH
    nodes, radius, _ = arrays(setting.outer)
    placed = np.zeros_like(nodes)
    turn_nodes(np.ascontiguousarray(setting.turn), nodes, placed)
    against_end = way.end - margin - float((placed[:, 2] + radius).max())
    depths = sorted(
        {min(goal[2] + shift * margin, against_end) for shift in (0.0, -1.0, 1.0, -2.0, 2.0)},
        key=lambda depth: (abs(depth - goal[2]), depth),
    )
    for depth in depths:
        free = free_rectangle(setting.outer, setting.turn, depth, way, margin)
        if free is None or abs(depth - goal[2]) > furthest:
            continue
        place = np.array([np.clip(goal[0], free[0], free[1]), np.clip(goal[1], free[2], free[3]), depth])
        near = bool((np.abs(place - goal) <= furthest).all())
        if near and pushes_straight(setting.outer, setting.turn, place, goal, way, -TOUCH):
            return place
    return None
