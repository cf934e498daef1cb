"""The proof that no motion exists, and the last search for one: cells of rotation and depth, split where they matter.

All poses are covered by cells; those that are surely blocked are dropped. If no chain of the others
leads from the goal to the outside, no motion exists: that is a proof. If a chain runs through cells
whose middles are free, and the moves from middle to middle are certified, a motion is found. What else
lies on a shortest chain is halved, and the chains are counted anew.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.blocking_kernels import cell_turn
from sunfleck.geometry.passage.cells_kernel import (
    DOUBTFUL,
    GRID,
    NEVER,
    add_root,
    count_ways,
    free_middles,
    middle_and_half,
    split,
)
from sunfleck.geometry.passage.planner import Route, certified, shortened
from sunfleck.geometry.passage.rotations import product
from sunfleck.geometry.passage.setting import HALF_TURNS, Setting, arrays, docking_place

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Small = NDArray[np.int32]

ProofState = Literal["proved", "found open", "gave up"]

METHOD = "cells of all rotations and depths, halved where they matter"
# Neighbours a cell has at most on the average; more and it is given up.
LINKS = 20
# Cells are halved while the body moves at least so many steps in them; then the steps are made shorter.
NARROW = 0.5
# With fewer nothing can be said, and arrays have no room.
FEWEST_CELLS = 64
# Shorter steps are not taken. [m]
SHORTEST = 5e-5
# How often steps are shortened where the place is too narrow for them.
FINER = 3


@dataclass(frozen=True, slots=True)
class Proof:
    """What a flood from the goal came to.

    Attributes
    ----------
    state : str
        ``proved`` (closed: no motion exists), ``found open`` (a motion was found through the cells),
        ``gave up`` (more cells than allowed, or not layered).
    method : str
        What was flooded.
    finest : float
        Half of the turn across the smallest cell. [rad]
    cells : int
        Cells looked at. [-]
    at_goal : bool
        It is the goal itself that is surely blocked.
    """

    state: ProofState
    method: str
    finest: float
    cells: int
    at_goal: bool = False


class Cells:
    """The cells of one question.

    Parameters
    ----------
    setting : Setting
        The question; several ways are taken together.
    most : int
        Cells at most.
    step : float
        Step length with which moves from middle to middle are certified. [m]
    """

    def __init__(self, setting: Setting, most: int, step: float) -> None:
        self.setting, self.step = setting, step
        self.boxes = np.zeros((most, 8), np.int32)
        self.cubes = np.zeros(most, np.int8)
        self.prices = np.zeros(most, np.int8)
        self.state = np.zeros(most, np.int8)
        self.head = np.full(most, -1, np.int32)
        self.links = np.zeros((most * LINKS, 2), np.int32)
        self.size = np.array([0, 0, -1], np.int64)
        ways = setting.ways
        self.way = ways[0]
        depth = max(way.certain_end for way in ways) + (0.0 if setting.half_turns else setting.lever)
        self.depths = np.array([setting.out_depth, depth])
        self.flat = np.array([0, 1, 1, 0] if setting.planar else [0, 0, 0, 0], np.int8)
        self.inner, self.outer = arrays(setting.inner), arrays(setting.outer)
        starts = np.cumsum([0, *(len(way.certain) for way in ways)])
        self.walls = (
            np.ascontiguousarray(np.concatenate([way.certain for way in ways])),
            starts.astype(np.int64),
            np.array([way.certain_end for way in ways]),
            float(setting.clearance),
        )
        starts = np.cumsum([0, *(len(way.layers) for way in ways)])
        self.sure = (
            np.ascontiguousarray(np.concatenate([way.layers for way in ways])),
            starts.astype(np.int64),
            np.array([way.end for way in ways]),
        )
        # With no place to dock from, or with two ways, only the proof is sought. A whole step off the walls, so that
        # cells round the docking place have free middles.
        self.docking = None
        for _ in range(FINER if len(ways) == 1 else 0):
            self.docking = docking_place(setting, self.way, setting.clearance + self.step)
            if self.docking is not None:
                break
            self.step /= 4
        self.margin = setting.clearance + self.step / 2
        cubes = (0,) if setting.half_turns else ((0, 1) if setting.planar else (0, 1, 2, 3))
        whole = np.array([0, GRID] * 4, np.int32)
        for k in range(4):
            if self.flat[k]:
                whole[2 * k : 2 * k + 2] = GRID // 2
        for cube in cubes:
            add_root(
                whole, cube, self.boxes, self.cubes, self.prices, self.state, self.head, self.links, self.size,
                setting.half_turns, self.flat,
            )  # fmt: skip
        self.goals = self._goal_points()

    def _goal_points(self) -> list[tuple[int, Floats, Floats]]:
        """Cube, its three coordinates and the span of depths of the goal, with its docking."""
        setting = self.setting
        turns = [setting.turn]
        if setting.half_turns:
            turns = [product(setting.turn, half) for half in HALF_TURNS]
            turns = [max(turns, key=lambda turn: abs(float(turn[0])))]
        span = 2 * (setting.clearance + self.step) + 1e-8
        depths = np.array([setting.middle[2] - span, setting.middle[2] + span])
        cube = int(np.argmax(np.abs(turns[0])))
        return [(cube, np.delete(turns[0], cube) / turns[0][cube], depths)]

    def _at_goal(self, rows: Ints) -> NDArray[np.bool_]:
        """Which cells hold the goal, their borders included; a goal on the border of a cube holds on both sides."""
        boxes = self.boxes[rows].astype(np.float64)
        held = np.zeros(len(rows), np.bool_)
        for cube, at, depths in self.goals:
            spot = (at + 1) / 2 * GRID
            here = self.cubes[rows] == cube
            for k in range(3):
                here &= (boxes[:, 2 * k] <= spot[k] + 1e-3) & (boxes[:, 2 * k + 1] >= spot[k] - 1e-3)
            low, high = (depths - self.depths[0]) / (self.depths[1] - self.depths[0]) * GRID
            here &= (boxes[:, 6] <= high + 1e-3) & (boxes[:, 7] >= low - 1e-3)
            held |= here
        return held

    def decide(self) -> tuple[Proof, Route | None]:
        """Split until it is closed, a motion is certified, or the room is used up."""
        most = len(self.boxes)
        forth, back = np.zeros(most, np.int32), np.zeros(most, np.int32)
        came, unused, pool = (
            np.zeros(most, np.int32),
            np.zeros(most, np.int32),
            np.zeros((4 * most, 2), np.int32),
        )
        while True:
            alive = np.flatnonzero(self.state[: self.size[0]])
            goals = alive[self._at_goal(alive)]
            outside = alive[self.boxes[alive, 6] == 0]
            if not self._count(goals, forth, came, pool):
                return self._proof("gave up"), None
            if len(goals) == 0 or int(forth[outside].min()) >= NEVER:
                return replace(self._proof("proved"), at_goal=len(goals) == 0), None
            fewest = int(forth[outside].min())
            if fewest == 0:
                route, chosen = self._try(outside, forth, came)
                if route is not None:
                    return self._proof("found open"), route
            elif not self._count(outside, back, unused, pool):
                return self._proof("gave up"), None
            else:
                doubtful = alive[self.state[alive] == DOUBTFUL]
                through = forth[doubtful].astype(np.int64) + back[doubtful] - self.prices[doubtful]
                chosen = doubtful[through == fewest]
            wide = chosen[self._wide(chosen)]
            if len(wide) == 0:
                if self.step <= SHORTEST:
                    return self._proof("gave up"), None
                self._finer_steps(alive)
            elif not self._split(wide):
                return self._proof("gave up"), None

    def _count(self, starts: Ints, cost: Small, came: Small, pool: Small) -> bool:
        """Price of the way from `starts` to each cell; False if it cannot be told."""
        rows = starts.astype(np.int64)
        return bool(
            count_ways(rows, self.prices, self.state, self.head, self.links, self.size, cost, came, pool)
        )

    def _wide(self, rows: Ints) -> NDArray[np.bool_]:
        """Which cells the body moves far enough in, for the steps that are taken, that halving them tells more."""
        wide = (self.boxes[rows, 1::2] - self.boxes[rows, 0::2]) / GRID
        scale = np.array([*[4 * self.setting.lever] * 3, self.depths[1] - self.depths[0]])
        return np.asarray((wide * scale).max(axis=1) > NARROW * self.step)

    def _finer_steps(self, alive: Ints) -> None:
        """Take shorter steps, which need less spare room, and look at the middles anew."""
        self.step /= 4
        self.margin = self.setting.clearance + self.step / 2
        free_middles(
            alive.astype(np.int64), self.boxes, self.cubes, self.state, self.depths, self.outer,
            self.sure, self.margin,
        )  # fmt: skip

    def _split(self, chosen: Ints) -> bool:
        half_turns = self.setting.half_turns
        cells = (self.boxes, self.cubes, self.prices, self.state, self.head, self.links, self.size)
        return bool(
            split(
                chosen.astype(np.int64), cells, self.flat, half_turns, self.depths, self.inner, self.outer,
                self.walls, self.sure, self.margin,
            )
        )  # fmt: skip

    def _middle(self, row: int) -> tuple[Floats, float]:
        middle, half, turn = np.zeros(4), np.zeros(4), np.zeros(4)
        middle_and_half(self.boxes[row], self.depths, middle, half)
        cell_turn(middle, int(self.cubes[row]), turn)
        return turn, float(middle[3])

    def _try(
        self, outside: Ints, forth: NDArray[np.int32], came: NDArray[np.int32]
    ) -> tuple[Route | None, Ints]:
        """Certify a chain of free middles; where a move is not certified its two cells are to be halved."""
        setting = self.setting
        row = int(outside[np.argmin(forth[outside])])
        chain = [row]
        while came[chain[-1]] >= 0:
            chain.append(int(came[chain[-1]]))
        chain.reverse()
        if self.docking is None:
            return None, np.array(chain, np.int64)
        turns, depths = [setting.turn], [float(self.docking[2])]
        failed: set[int] = set()
        for number, cell in enumerate(chain):
            turn, depth = self._middle(cell)
            turn = self._like(turn, turns[-1])
            if certified(setting, self.way, self.step, (turns[-1], turn), (depths[-1], depth)) < 1:
                failed |= {cell, chain[number - 1] if number else cell}
            turns.append(turn)
            depths.append(depth)
        if (
            certified(setting, self.way, self.step, (turns[-1], turns[-1]), (depths[-1], setting.out_depth))
            < 1
        ):
            failed.add(chain[-1])
        if failed:
            rows = np.array(sorted(failed), np.int64)
            return None, rows
        turns.append(turns[-1])
        depths.append(setting.out_depth)
        route = Route(
            np.array(turns[::-1]), np.array(depths[::-1]), None, self.docking, self.way, self.step, METHOD
        )
        return shortened(setting, route), np.zeros(0, np.int64)

    def _like(self, turn: Floats, before: Floats) -> Floats:
        """Of the rotations that are the same to the body, that nearest to the one before."""
        if not self.setting.half_turns:
            return turn
        halves = HALF_TURNS[:2] if self.setting.planar else HALF_TURNS
        return max((product(turn, half) for half in halves), key=lambda other: abs(float(other @ before)))

    def _proof(self, state: ProofState) -> Proof:
        count = int(self.size[0])
        narrow = self.boxes[:count, [1, 3, 5]] - self.boxes[:count, [0, 2, 4]]
        narrow = narrow[:, self.flat[:3] == 0]
        finest = 2 * float(narrow.min()) / GRID if count else 0.0
        return Proof(state, METHOD, finest, count)


def flooded(setting: Setting, cells: int, step: float) -> tuple[Proof, Route | None]:
    """Prove that no motion exists, or find one, with so many cells.

    Parameters
    ----------
    setting : Setting
        The question. Several ways are proved shut together, and only a convex body can be. [-]
    cells : int
        Cells at most; fewer than a few make no proof and are taken as that many. [-]
    step : float
        Step length of what may be found. [m]

    Returns
    -------
    proof : Proof
        What it came to.
    route : Route or None
        A motion, if one was found.
    """
    if len(setting.ways) > 1 and not setting.convex:
        return Proof("gave up", "not layered: a body with hollows beside a post", 0.0, 0), None
    return Cells(setting, max(cells, FEWEST_CELLS), step).decide()
