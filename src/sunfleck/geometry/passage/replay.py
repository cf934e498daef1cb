"""From a route in rotation and depth to a motion in space: sideways places, docking, moves by name."""

from __future__ import annotations

from itertools import pairwise
from math import acos, ceil

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.fibre_kernels import sweep_length
from sunfleck.geometry.passage.motion import Motion, Move, MoveKind
from sunfleck.geometry.passage.planner import Route
from sunfleck.geometry.passage.rotations import angle_between, opposite, product
from sunfleck.geometry.passage.search_kernel import trace
from sunfleck.geometry.passage.setting import Setting, arrays

Floats = NDArray[np.float64]

# Less than this is no turn, and no shift, to a person. [rad], [m]
LEAST_TURN = 0.01
LEAST_SHIFT = 0.002
# Turns whose axes differ by less are one move. [cosine]
SAME_AXIS = 0.97
# Turns by more are told in parts. [rad]
WIDEST_TURN = 2.4

# Rotation, place of the middle, and the number of the piece of the route that begins there or goes on.
Row = tuple[Floats, Floats, int]
DOCKING = -1


def motion_along(setting: Setting, route: Route) -> Motion:
    """The motion of a route.

    Parameters
    ----------
    setting : Setting
        The question. [-]
    route : Route
        A way that was certified. [-]

    Returns
    -------
    motion : Motion
        Of the body's middle, in the frame of the opening; its last move docks.
    """
    rows = _pushed(route) if route.sideways is not None else _followed(setting, route)
    goal = setting.middle
    if float(np.abs(rows[-1][1] - goal).max()) > 0:
        rows.append((rows[-1][0], goal, DOCKING))
    turns = np.array([row[0] for row in rows])
    middles = np.array([row[1] for row in rows])
    return Motion(turns, middles, np.zeros(3), _moves(turns, middles, [row[2] for row in rows]))


def _pushed(route: Route) -> list[Row]:
    sideways = route.sideways
    assert sideways is not None
    rows = [
        (turn, np.array([*sideways, depth]), 0) for turn, depth in zip(route.turns, route.depths, strict=True)
    ]
    if float(np.abs(rows[-1][1] - route.docking).max()) > 0:
        rows[-1] = (*rows[-1][:2], 1)
        rows.append((route.turns[-1], route.docking, 1))
    return rows


def _followed(setting: Setting, route: Route) -> list[Row]:
    """Poses of a certified route with sideways places, found from its end: shifted only where they must be."""
    body = arrays(setting.outer)
    margin = setting.clearance + route.step / 2
    pieces = []
    for k in range(len(route.depths) - 1):
        first, last = np.ascontiguousarray(route.turns[k]), np.ascontiguousarray(route.turns[k + 1])
        length = abs(route.depths[k + 1] - route.depths[k]) + sweep_length(first, last, body[0])
        count = max(1, ceil(length / route.step))
        turns, depths, free = np.zeros((count + 1, 4)), np.zeros(count + 1), np.zeros((count + 1, 4))
        trace(
            first, float(route.depths[k]), last, float(route.depths[k + 1]),
            body, route.way.layers, route.way.end, margin, turns, depths, free,
        )  # fmt: skip
        pieces.append((turns, depths, free))
    here = route.docking[:2].copy()
    rows: list[Row] = [(route.turns[-1], route.docking, 2 * len(pieces) - 1)]
    for number in range(len(pieces) - 1, -1, -1):
        turns, depths, free = pieces[number]
        # Half a turn, or nearly, could be replayed the other way round: it is told in two parts.
        wide = 2 * acos(min(1.0, abs(float(turns[0] @ turns[-1])))) > WIDEST_TURN
        middle = len(depths) // 2 if wide else 0
        # Sideways places that are free at both ends of a step.
        low = np.maximum(free[:-1, [0, 2]], free[1:, [0, 2]])
        high = np.minimum(free[:-1, [1, 3]], free[1:, [1, 3]])
        for k in range(len(depths) - 2, -1, -1):
            part = 2 * number + (k >= middle)
            there = np.minimum(np.maximum(here, low[k]), high[k])
            if (there != here).any():
                rows.append((turns[k + 1], np.array([*here, depths[k + 1]]), part))
                rows.append((turns[k + 1], np.array([*there, depths[k + 1]]), part))
            here = there
            # Also the first of the piece.
            if k in (0, middle):
                rows.append((turns[k], np.array([*here, depths[k]]), part))
    rows.reverse()
    # The same pose twice says nothing.
    kept = [rows[0]]
    kept += [b for a, b in pairwise(rows) if (a[0] != b[0]).any() or (a[1] != b[1]).any()]
    return kept


def _moves(turns: Floats, middles: Floats, pieces: list[int]) -> tuple[Move, ...]:
    """Poses of one piece of the route are one move; pieces alike are joined."""
    last_row = len(turns) - 1
    # A piece begins with the first row of its number; docking begins with the row before it.
    begins = [k for k in range(1, last_row) if pieces[k] != pieces[k - 1]]
    bounds = list(dict.fromkeys([0, *begins, *([last_row - 1] if pieces[-1] == DOCKING else []), last_row]))
    moves: list[Move] = []
    axis_before = np.zeros(3)
    for first, last in pairwise(bounds):
        shift = middles[last] - middles[first]
        angle = angle_between(turns[first], turns[last])
        kind: MoveKind = "push"
        axis = np.zeros(3)
        if last == last_row and pieces[last] == DOCKING:
            kind = "dock"
        elif angle > LEAST_TURN:
            kind = "turn"
            axis = _axis(turns[first], turns[last])
        elif float(np.abs(shift[:2]).max()) > max(LEAST_SHIFT, abs(float(shift[2]))):
            kind = "slide"
        length = float(np.linalg.norm(np.diff(middles[first : last + 1], axis=0), axis=1).sum())
        same = (
            bool(moves)
            and moves[-1].kind == kind
            and kind != "dock"
            and moves[-1].angle + angle < WIDEST_TURN
        )
        if same and (kind != "turn" or float(axis @ axis_before) > SAME_AXIS):
            before = moves[-1]
            whole = angle_between(turns[before.first], turns[last])
            moves[-1] = Move(kind, before.first, last, before.length + length, whole)
        else:
            moves.append(Move(kind, first, last, length, angle))
        axis_before = axis
    return tuple(moves)


def _axis(first: Floats, last: Floats) -> Floats:
    step = product(last, opposite(first))
    step = step * (1.0 if step[0] >= 0 else -1.0)
    return np.asarray(step[1:] / max(float(np.linalg.norm(step[1:])), 1e-15))
