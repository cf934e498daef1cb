"""Search for a motion over rotation and depth: moves of a person on a lattice, and two trees that meet."""

from __future__ import annotations

from math import cos, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel
from sunfleck.geometry.passage.fibre_kernels import (
    between_turns,
    free_shifts,
    march,
    sweep_length,
    turn_nodes,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Words = NDArray[np.uint64]

NEVER = 1 << 40
MOVE = 1 << 20  # so much more than a step of the lattice costs a new move


@kernel
def _draw(state: Words) -> float:
    """Even number in [0, 1): splitmix64, so that a search is the same on every machine and in every thread."""
    state[0] += np.uint64(0x9E3779B97F4A7C15)
    z = state[0]
    z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    z = z ^ (z >> np.uint64(31))
    return float(z >> np.uint64(11)) / 9007199254740992.0


@kernel
def _draw_normal(state: Words) -> float:
    """Normal number by Box and Muller's way."""
    return sqrt(-2.0 * log(1.0 - _draw(state))) * cos(2 * pi * _draw(state))


@kernel
def _nearest(turns: Floats, depths: Floats, count: int, turn: Floats, depth: float, lever: float) -> int:
    """Row nearest in rotation and depth; the angle by 8 (1 - cos of its half), good where it is small."""
    best, row = 1e18, 0
    for i in range(count):
        dot = abs(
            turns[i, 0] * turn[0] + turns[i, 1] * turn[1] + turns[i, 2] * turn[2] + turns[i, 3] * turn[3]
        )
        off = depths[i] - depth
        value = off * off + lever * lever * 8 * (1 - dot)
        if value < best:
            best, row = value, i
    return row


@kernel
def grow(
    body: tuple[Floats, Floats, Ints], layers: Floats, end: float, clearance: float, step: float, lever: float,
    roots: Floats, root_depth: float, out_depth: float, seed: int, tries: int,
    trees: tuple[Floats, Floats, Ints, Ints],
) -> bool:  # fmt: skip
    """Grow a tree from the goal and one from outside, the smaller first, until they meet.

    Half of the draws are over all rotations and depths, half near a known pose, at scales from the longest
    step to a three-hundredth of it: these follow thin, bent passages. `trees`: turns (2, n, 4) of outside and
    goal, depths, parents, and what came of it: sizes of both, the rows that met.
    """
    nodes, radius, rods = body
    turns, depths, parents, result = trees
    state = np.zeros(1, np.uint64)
    state[0] = np.uint64(seed)
    longest = lever / 2
    turns[0, 0], depths[0, 0], parents[0, 0] = roots[0], out_depth, -1
    result[0] = 1
    for k in range(len(roots)):
        turns[1, k], depths[1, k], parents[1, k] = roots[k], root_depth, -1
    result[1] = len(roots)
    turn, target = np.zeros(4), np.zeros(4)
    most = turns.shape[1]
    for _ in range(tries):
        a = 0 if result[0] < result[1] else 1
        b = 1 - a
        if _draw(state) < 0.5:
            square = 0.0
            for k in range(4):
                turn[k] = _draw_normal(state)
                square += turn[k] ** 2
            for k in range(4):
                turn[k] /= sqrt(square)
            depth = out_depth + _draw(state) * (end - out_depth)
            i = _nearest(turns[a], depths[a], result[a], turn, depth, lever)
        else:
            i = int(_draw(state) * result[a])
            if _draw(state) < 0.5:
                i = result[a] - 1 - int(_draw(state) * min(result[a], 50))
            scale = longest * 10.0 ** (-2.5 * _draw(state))
            depth = depths[a, i] + scale * _draw_normal(state)
            square = 0.0
            for k in range(4):
                turn[k] = turns[a, i, k] + 0.5 * scale / lever * _draw_normal(state)
                square += turn[k] ** 2
            for k in range(4):
                turn[k] /= sqrt(square)
            if depth > end or depth < out_depth:
                continue
        length = abs(depths[a, i] - depth) + sweep_length(turns[a, i], turn, nodes)
        share = min(1.0, longest / max(length, 1e-9))
        between_turns(turns[a, i], turn, share, target)
        depth = depths[a, i] + share * (depth - depths[a, i])
        passed = march(
            turns[a, i], depths[a, i], target, depth, nodes, radius, rods, layers, end, clearance, step
        )
        if passed < 1.0:
            if passed * share * length < 3 * step:
                continue
            turn[:] = target
            between_turns(turns[a, i], turn, passed, target)
            depth = depths[a, i] + passed * (depth - depths[a, i])
        new = result[a]
        if new >= most:
            return False
        turns[a, new], depths[a, new], parents[a, new] = target, depth, i
        result[a] += 1
        j = _nearest(turns[b], depths[b], result[b], target, depth, lever)
        passed = march(
            turns[b, j], depths[b, j], target, depth, nodes, radius, rods, layers, end, clearance, step
        )
        length = abs(depths[b, j] - depth) + sweep_length(turns[b, j], target, nodes)
        if passed == 1.0 or passed * length > 3 * step:
            met = result[b]
            if met >= most:
                return False
            between_turns(turns[b, j], target, passed, turn)
            turns[b, met], parents[b, met] = turn, j
            depths[b, met] = depths[b, j] + passed * (depth - depths[b, j])
            result[b] += 1
            if passed == 1.0:
                result[2 + a], result[2 + b] = new, met
                return True
    return False


@kernel
def simple_way(
    body: tuple[Floats, Floats, Ints], layers: Floats, end: float, clearance: float, step: float,
    turns: Floats, start: int, depths: Floats, path: Ints,
) -> int:  # fmt: skip
    """Fewest moves from the goal (`turns[start]`, last depth) to outside (first depth), turning about one axis.

    A lattice of rotations and depths; a push keeps the rotation, a turn keeps the depth, both at once are a
    turn as well. Dijkstra's way with a new move dear and a step cheap. `path` receives rows of turn and depth,
    from outside; returns their number, 0 where there is none.
    """
    nodes, radius, rods = body
    angles, deep = len(turns), len(depths)
    total = angles * deep * 2
    cost = np.full(total, NEVER, np.int64)
    came = np.full(total, -1, np.int64)
    done = np.zeros(total, np.bool_)
    free = np.zeros((angles, deep), np.bool_)
    placed, rectangle = np.zeros_like(nodes), np.zeros(4)
    for a in range(angles):
        turn_nodes(turns[a], nodes, placed)
        for d in range(deep):
            free[a, d] = (
                free_shifts(placed, radius, rods, depths[d], layers, end, clearance + step / 2, rectangle)
                >= 0
            )
    for kind in range(2):
        cost[(start * deep + deep - 1) * 2 + kind] = MOVE
    known = np.full((angles * deep, 5), -1, np.int64)
    while True:
        best, at = NEVER, -1
        for i in range(total):
            if not done[i] and cost[i] < best:
                best, at = cost[i], i
        if at < 0:
            return 0
        done[at] = True
        kind, a, d = at % 2, at // 2 // deep, at // 2 % deep
        if d == 0:
            length = 0
            while at >= 0:
                path[length, 0], path[length, 1] = at // 2 // deep, at // 2 % deep
                length += 1
                at = came[at]
            return length
        for way in range(5):
            # Out by a push; turns one way or the other, at this depth or on the way out.
            to_a = a if way == 0 else (a - 1 if way in (1, 3) else a + 1)
            to_d = d if way in (1, 2) else d - 1
            if to_a < 0 or to_a >= angles or not free[to_a, to_d]:
                continue
            if known[a * deep + d, way] < 0:
                passed = march(
                    turns[a],
                    depths[d],
                    turns[to_a],
                    depths[to_d],
                    nodes,
                    radius,
                    rods,
                    layers,
                    end,
                    clearance,
                    step,
                )
                known[a * deep + d, way] = 1 if passed == 1.0 else 0
            if known[a * deep + d, way] == 0:
                continue
            to_kind = 0 if way == 0 else 1
            to = (to_a * deep + to_d) * 2 + to_kind
            value = cost[at] + 1 + (0 if to_kind == kind else MOVE)
            if value < cost[to]:
                cost[to], came[to] = value, at


@kernel
def trace(
    first: Floats, first_depth: float, last: Floats, last_depth: float, body: tuple[Floats, Floats, Ints],
    layers: Floats, end: float, margin: float, turns: Floats, depths: Floats, free: Floats,
) -> bool:  # fmt: skip
    """Poses at even steps from one to another and the free rectangle at each; False if one is not free."""
    placed = np.zeros_like(body[0])
    count = len(turns) - 1
    for k in range(count + 1):
        share = k / count
        between_turns(first, last, share, turns[k])
        depths[k] = first_depth + share * (last_depth - first_depth)
        turn_nodes(turns[k], body[0], placed)
        if free_shifts(placed, body[1], body[2], depths[k], layers, end, margin, free[k]) < 0:
            return False
    return True
