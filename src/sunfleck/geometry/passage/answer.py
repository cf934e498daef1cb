"""The question itself: does this body go through this opening into its place?

Tried in this order, the simplest first: a straight push (exact), the few moves of a person, a search
with two trees, and the cells of all rotations and depths, which end in a motion or in a proof.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.flood import Proof, flooded
from sunfleck.geometry.passage.layers import Frame, World
from sunfleck.geometry.passage.mirror import canonical, restored
from sunfleck.geometry.passage.motion import Motion, Pose
from sunfleck.geometry.passage.planner import Route, pushed_straight, searched, with_few_moves
from sunfleck.geometry.passage.replay import motion_along
from sunfleck.geometry.passage.rotations import opposite, product, products, turned_by_each
from sunfleck.geometry.passage.setting import HALF_TURNS, TOUCH, Setting, free_rectangle, setting_of

Verdict = Literal["goes in", "cannot go in", "no way found"]
Reason = Literal["", "no way through", "the final place itself is too small"]

# No clearance above this is looked for. [m]
WIDEST = 0.2


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is tried before the answer is ``no way found``; counts, so that it is the same everywhere.

    Attributes
    ----------
    steps : tuple of float
        Step lengths of the moves and the search, the longest first; half of one is spare room the
        motion needs. [m]
    seeds : tuple of int
        Beginnings of the search with two trees, tried in order. [-]
    tries : int
        Draws of each. [-]
    cells : int
        Cells of all rotations and depths at most; the memory is about 0.5 KB each. [-]
    bisections : int
        How often the largest clearance is halved in; 0: it is not looked for. [-]
    """

    steps: tuple[float, ...] = (0.008, 0.002)
    seeds: tuple[int, ...] = (1, 2)
    tries: int = 300
    cells: int = 400_000
    bisections: int = 0


@dataclass(frozen=True, slots=True)
class Passage:
    """The answer.

    Attributes
    ----------
    verdict : str
        ``goes in`` (with a motion), ``cannot go in`` (proved), ``no way found``.
    reason : str
        Of ``cannot go in``: why.
    clearance : float
        What was asked to stay free on every side, along the axes of the opening. [m]
    motion : Motion or None
        From outside to its place, in the enclosure's coordinates; the way out is its ``backwards()``.
    way : str
        Through which of the openings.
    certified : float
        What surely stays free during all of the motion but the last move, which docks. [m]
    largest : (float, float)
        The largest clearance with which it goes in lies between these; -1: with none that is known,
        infinity: no upper bound is known. [m]
    proof : Proof or None
        What the cells came to, where they were needed.
    method : str
        How the answer was found.
    """

    verdict: Verdict
    reason: Reason
    clearance: float
    motion: Motion | None
    way: str
    certified: float
    largest: tuple[float, float]
    proof: Proof | None
    method: str

    @property
    def moves(self) -> int:
        """How many moves a person makes; docking onto its place is not counted."""
        return 0 if self.motion is None else sum(move.kind != "dock" for move in self.motion.moves)


def passage_of(
    body: Body, world: World, goal: Pose, clearance: float = 0.0, effort: Effort | None = None
) -> Passage:
    """Answer whether a body goes through an opening into its place.

    Parameters
    ----------
    body : Body
        What goes in. [-]
    world : World
        The box with its openings and what stands in it. [-]
    goal : Pose
        Its place, in the enclosure's coordinates; it may touch the walls there. [-]
    clearance : float
        What must stay free on every side while it moves, along the axes of the opening. [m]
    effort : Effort, optional
        How much is tried. [-]

    Returns
    -------
    passage : Passage
        The verdict with its motion or its proof.

    Raises
    ------
    DomainError
        If the clearance is below zero, the goal is no pose, there is no opening, or the effort has no step.
    """
    effort = Effort() if effort is None else effort
    numbers = np.array([clearance, *goal.turn, *goal.place], dtype=np.float64)
    if not world.ways or not effort.steps or not min(effort.steps) > 0:
        msg = "a question needs an opening, and an effort steps above zero"
        raise DomainError(msg)
    if not bool(np.isfinite(numbers).all()) or clearance < 0 or not float(np.linalg.norm(goal.turn)) > 0:
        msg = f"a goal needs a rotation and a place, and a clearance of zero or more; got {clearance} m"
        raise DomainError(msg)
    setting, line, mirrored = canonical(setting_of(body, world.ways, world.frame.inwards(goal), clearance))
    found = _decided(setting, effort)
    if effort.bisections > 0:
        found = replace(found, largest=_largest(setting, found, effort))
    if found.motion is None:
        return found
    return replace(found, motion=_outwards(restored(found.motion, line, mirrored), world.frame, body, goal))


def _outwards(motion: Motion, frame: Frame, body: Body, goal: Pose) -> Motion:
    """Motion of the body's own origin in the enclosure's coordinates."""
    turns, middles = frame.outwards(motion.turns, motion.places)
    about = body.centre
    if body.half_turns:
        # What looks the same turned by half may still have a face or an opening: it ends as it stands at its place.
        half = max(HALF_TURNS, key=lambda each: abs(float(product(turns[-1], each) @ goal.turn)))
        turns = opposite(products(opposite(half), opposite(turns)))
    if float(turns[-1] @ goal.turn) < 0:
        turns = -turns
    return Motion(turns, middles - turned_by_each(turns, about), about, motion.moves)


def _decided(setting: Setting, effort: Effort) -> Passage:
    """Answer for a canonical question; the motion is that of the body's middle."""
    if not any(_place_is_free(setting, certain=False, way=k) for k in range(len(setting.ways))):
        if not any(_place_is_free(setting, certain=True, way=k) for k in range(len(setting.ways))):
            return _no(setting, "the final place itself is too small", None, "the place alone")
        return _unknown(
            setting, None, "its place is free only if parts taken as larger than they are were less so"
        )
    for route in _tried(setting, effort):
        return _yes(setting, route, None)
    proof: Proof | None = None
    if len(setting.ways) > 1:
        # A motion through one of several openings; what is proved for one alone proves nothing for all.
        for way in setting.ways:
            proof, found = flooded(setting.with_way(way), effort.cells // len(setting.ways), effort.steps[-1])
            if found is not None:
                return _yes(setting, found, proof)
    proof, found = flooded(setting, effort.cells, effort.steps[-1])
    if found is not None:
        return _yes(setting, found, proof)
    if proof.state == "proved":
        reason: Reason = "the final place itself is too small" if proof.at_goal else "no way through"
        return _no(setting, reason, proof, proof.method)
    return _unknown(setting, proof, proof.method)


def _tried(setting: Setting, effort: Effort) -> Iterator[Route]:
    """Ways in that are found without cells, the simplest first; each is looked for only when it is asked for."""
    for way in setting.ways:
        route = pushed_straight(setting, way)
        if route is not None:
            yield route
    for step in effort.steps:
        for way in setting.ways:
            route = with_few_moves(setting, way, step)
            if route is not None:
                yield route
        for way in setting.ways:
            for seed in effort.seeds:
                route = searched(setting, way, step, seed, effort.tries)
                if route is not None:
                    yield route


def _place_is_free(setting: Setting, *, certain: bool, way: int) -> bool:
    here = setting.ways[way]
    skeleton = setting.outer
    if certain:
        here = replace(here, layers=here.certain, end=here.certain_end)
        skeleton = setting.inner
    free = free_rectangle(skeleton, setting.turn, float(setting.middle[2]), here, -TOUCH)
    x, y = setting.middle[:2]
    return free is not None and bool(free[0] <= x <= free[1] and free[2] <= y <= free[3])


def _yes(setting: Setting, route: Route, proof: Proof | None) -> Passage:
    motion = motion_along(setting, route)
    unknown = (setting.clearance, np.inf)
    return Passage(
        "goes in",
        "",
        setting.clearance,
        motion,
        route.way.name,
        setting.clearance,
        unknown,
        proof,
        route.method,
    )


def _no(setting: Setting, reason: Reason, proof: Proof | None, method: str) -> Passage:
    return Passage(
        "cannot go in", reason, setting.clearance, None, "", 0.0, (-1.0, setting.clearance), proof, method
    )


def _unknown(setting: Setting, proof: Proof | None, method: str) -> Passage:
    return Passage("no way found", "", setting.clearance, None, "", 0.0, (-1.0, np.inf), proof, method)


def _largest(setting: Setting, found: Passage, effort: Effort) -> tuple[float, float]:
    """Bounds of the largest clearance, by halving: what fits with more fits with less."""
    low, high = found.largest
    if low < 0 and found.clearance > 0:
        bare = _decided(setting.with_clearance(0.0), effort)
        low, high = (0.0, high) if bare.verdict == "goes in" else (-1.0, min(high, bare.largest[1]))
    if low < 0:
        return low, high
    tried = min(max(WIDEST, low), high)
    for _ in range(effort.bisections):
        middle = (low + tried) / 2
        answer = _decided(setting.with_clearance(middle), effort)
        if answer.verdict == "goes in":
            low = middle
        else:
            tried = middle
            if answer.verdict == "cannot go in":
                high = middle
    return low, high
