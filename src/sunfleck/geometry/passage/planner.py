"""Motions found: a straight push, the few moves of a person, then the search with two trees."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.fibre_kernels import march
from sunfleck.geometry.passage.layers import Way
from sunfleck.geometry.passage.rotations import product, rotation_about, turned_vector
from sunfleck.geometry.passage.search_kernel import grow, simple_way
from sunfleck.geometry.passage.setting import (
    TOUCH,
    Setting,
    arrays,
    docking_place,
    free_rectangle,
    pushes_straight,
)

Floats = NDArray[np.float64]

# Lattice of the simple moves: degrees from the goal's rotation, and how many depths.
ANGLES = np.radians(np.arange(-90.0, 91.0, 7.5))
DEPTHS = 24
# Poses kept of each tree, at most.
MOST = 40_000
# Replacements of a part of the way by one straight move that are tried.
SHORTCUTS = 60


@dataclass(frozen=True, slots=True)
class Route:
    """A way in rotation and depth, from outside to the docking place.

    Attributes
    ----------
    turns : (n, 4) float
        Rotation at each knot. [-]
    depths : (n,) float
        Depth of the body's middle. [m]
    sideways : (2,) float or None
        Of a straight push: the sideways place it keeps. [m]
    docking : (3,) float
        Middle at the end, still clear of everything. [m]
    way : Way
        Through which opening.
    step : float
        Length of the steps it was certified with; 0 for exact. [m]
    method : str
        How it was found.
    """

    turns: Floats
    depths: Floats
    sideways: Floats | None
    docking: Floats
    way: Way
    step: float
    method: str


def pushed_straight(setting: Setting, way: Way) -> Route | None:
    """The simplest way in: no turning, straight along the normal, then sideways if need be; exact.

    Parameters
    ----------
    setting : Setting
        The question. [-]
    way : Way
        Opening to try. [-]

    Returns
    -------
    route : Route or None
        With the sideways place it is pushed at.
    """
    clearance = setting.clearance
    margin = clearance - 1e-9 if clearance > 0 else -TOUCH
    docking = docking_place(setting, way, clearance) if clearance > 0 else setting.middle
    if docking is None:
        return None
    there = free_rectangle(setting.outer, setting.turn, docking[2], way, margin)
    if there is None or not _within(docking, there):
        return None
    start = np.array([docking[0], docking[1], setting.out_depth])
    turns = np.array([setting.turn, setting.turn])
    depths = np.array([setting.out_depth, docking[2]])
    if pushes_straight(setting.outer, setting.turn, start, docking, way, margin):
        return Route(turns, depths, docking[:2], docking, way, 0.0, "straight push")
    free = _straight_rectangle(setting, way, docking, margin)
    if free is None:
        return None
    beside = np.array([np.clip(docking[0], free[0], free[1]), np.clip(docking[1], free[2], free[3])])
    return Route(turns, depths, beside, docking, way, 0.0, "straight push, then sideways")


def _within(place: Floats, rectangle: Floats) -> bool:
    return bool(rectangle[0] <= place[0] <= rectangle[1] and rectangle[2] <= place[1] <= rectangle[3])


def _straight_rectangle(setting: Setting, way: Way, docking: Floats, margin: float) -> Floats | None:
    """Sideways places at which a straight push from outside to the docking depth is free."""
    placed = setting.outer
    nodes = np.array([turned_vector(setting.turn, node) for node in placed.nodes])
    swept = type(placed)(nodes, placed.radius, placed.rods).swept([0.0, 0.0, docking[2] - setting.out_depth])
    return free_rectangle(swept, np.array([1.0, 0.0, 0.0, 0.0]), setting.out_depth, way, margin)


def with_few_moves(setting: Setting, way: Way, step: float) -> Route | None:
    """Moves of a person: push, tilt, turn about the upright or roll, about one axis; fewest moves first.

    Parameters
    ----------
    setting : Setting
        The question. [-]
    way : Way
        Opening to try. [-]
    step : float
        Step length. [m]

    Returns
    -------
    route : Route or None
        That with the fewest moves of the three axes.
    """
    docking = docking_place(setting, way, setting.clearance + step / 2)
    if docking is None:
        return None
    body = arrays(setting.outer)
    depths = np.linspace(setting.out_depth, docking[2], DEPTHS)
    best: Route | None = None
    path = np.zeros((len(ANGLES) * DEPTHS * 2, 2), np.int64)
    for axis, name in enumerate(("tilt", "turn about the upright", "roll")):
        turns = np.array([product(rotation_about(np.eye(3)[axis], angle), setting.turn) for angle in ANGLES])
        middle = len(ANGLES) // 2
        count = simple_way(body, way.layers, way.end, setting.clearance, step, turns, middle, depths, path)
        if count == 0:
            continue
        knots_turns, knots_depths = turns[path[:count, 0]], depths[path[:count, 1]]
        route = Route(knots_turns, knots_depths, None, docking, way, step, f"few moves ({name})")
        route = shortened(setting, route)
        if best is None or len(route.depths) < len(best.depths):
            best = route
    return best


def searched(setting: Setting, way: Way, step: float, seed: int, tries: int) -> Route | None:
    """Search over all rotations and depths with two trees.

    Parameters
    ----------
    setting : Setting
        The question. [-]
    way : Way
        Opening to try. [-]
    step : float
        Step length; between steps the motion is certified. [m]
    seed : int
        Of its draws. [-]
    tries : int
        Draws at most. [-]

    Returns
    -------
    route : Route or None
        A way, shortened.
    """
    docking = docking_place(setting, way, setting.clearance + step / 2)
    if docking is None:
        return None
    most = min(MOST, 2 * tries + 8)
    turns, depths = np.zeros((2, most, 4)), np.zeros((2, most))
    parents, result = np.zeros((2, most), np.int64), np.zeros(4, np.int64)
    met = grow(
        arrays(setting.outer), way.layers, way.end, setting.clearance, step, setting.lever,
        setting.equal_turns(), docking[2], setting.out_depth, seed, tries, (turns, depths, parents, result),
    )  # fmt: skip
    if not met:
        return None
    outside = _branch(parents[0], int(result[2]))[::-1]
    inside = _branch(parents[1], int(result[3]))
    route = Route(
        np.concatenate([turns[0, outside], turns[1, inside]]),
        np.concatenate([depths[0, outside], depths[1, inside]]),
        None,
        docking,
        way,
        step,
        "search with two trees",
    )
    return shortened(setting, route)


def _branch(parents: NDArray[np.int64], row: int) -> list[int]:
    rows = []
    while row >= 0:
        rows.append(row)
        row = int(parents[row])
    return rows


def certified(
    setting: Setting, way: Way, step: float, turns: Sequence[Floats], depths: Sequence[float]
) -> float:
    """Share of one straight move in rotation and depth that is surely free.

    Parameters
    ----------
    setting : Setting
        The question. [-]
    way : Way
        Opening. [-]
    step : float
        Step length. [m]
    turns : two of (4,) float
        Rotation at both ends. [-]
    depths : two of float
        Depth at both ends. [m]

    Returns
    -------
    share : float
        1 if all of it is. [-]
    """
    return march(
        np.ascontiguousarray(turns[0]), float(depths[0]), np.ascontiguousarray(turns[1]), float(depths[1]),
        *arrays(setting.outer), way.layers, way.end, setting.clearance, step,
    )  # fmt: skip


def shortened(setting: Setting, route: Route) -> Route:
    """Replace parts of a route by one straight move each where that is certified as well.

    Parameters
    ----------
    setting : Setting
        The question. [-]
    route : Route
        Any route. [-]

    Returns
    -------
    route : Route
        With fewer knots.
    """
    keep = list(range(len(route.depths)))
    draws = np.random.default_rng(len(keep))

    def direct(i: int, j: int) -> bool:
        a, b = keep[i], keep[j]
        return (
            certified(
                setting,
                route.way,
                route.step,
                (route.turns[a], route.turns[b]),
                (route.depths[a], route.depths[b]),
            )
            == 1.0
        )

    for _ in range(SHORTCUTS):
        if len(keep) < 3:
            break
        i, j = sorted(draws.choice(len(keep), 2, replace=False))
        if j - i > 1 and direct(i, j):
            del keep[i + 1 : j]
    at = 0
    while at < len(keep) - 2:
        if direct(at, at + 2):
            del keep[at + 1]
        else:
            at += 1
    return Route(
        route.turns[keep],
        route.depths[keep],
        route.sideways,
        route.docking,
        route.way,
        route.step,
        route.method,
    )
