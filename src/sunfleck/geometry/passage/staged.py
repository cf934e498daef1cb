"""A piece brought to its place by way of a stage: in front of where it belongs, then straight back onto it.

Pieces of one panel stand beside each other with a sealing gap between them, less than anybody can hold free
while turning a panel. So a piece is turned in front of the others (all of the room they take is kept free,
whether they stand there yet or not), and pushed straight back from there. What that push sweeps is
exact, and does not depend on which piece stands there already: the order is the builder's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.answer import Effort, passage_of
from sunfleck.geometry.passage.layers import World
from sunfleck.geometry.passage.motion import Motion, Move, Pose
from sunfleck.geometry.passage.pieces import Panel, body_of
from sunfleck.geometry.passage.setting import TOUCH, pushes_straight, setting_of

Floats = NDArray[np.float64]
WorldWith = Callable[[Floats], World]

STRAIGHT = np.array([1.0, 0.0, 0.0, 0.0])
# Cuts are chosen among those that are plainly workable: the moves of a person and a short search. Cells so few that
# they hardly ever decide: what only they find is a motion of hair's breadths, and costs minutes to follow.
EFFORT = Effort(steps=(0.008, 0.002), seeds=(1,), tries=300, cells=64)
# What a motion needs on each side beyond its clearance: half of the longest step, and a hair. [m]
SPARE = 0.0041
# Share of what a piece's own place leaves on each side that is asked to stay free where that is less than is asked.
HALF = 0.5


@dataclass(frozen=True, slots=True)
class Brought:
    """A piece on its way to its place.

    Attributes
    ----------
    motion : Motion
        From outside to its place, in the enclosure's coordinates, of the middle of the box round it.
    clearance : float
        What surely stays free until it docks; less than asked where its own place leaves no more. [m]
    way : str
        The opening.
    method : str
        How the motion was found.
    any_order : bool
        It goes in whichever other pieces stand there; otherwise as the first only, or after those it was asked with.
    """

    motion: Motion
    clearance: float
    way: str
    method: str
    any_order: bool

    @property
    def moves(self) -> int:
        """How many moves a person makes; docking onto its place is not counted."""
        return sum(move.kind != "dock" for move in self.motion.moves)


@dataclass(frozen=True, slots=True)
class Stage:
    """The room a panel's pieces take, and where they are turned in front of it.

    Attributes
    ----------
    world : callable
        Returns the world with the boxes (k, 2, 3) it is given standing there as well. [m]
    inside : (3,) float
        Extent of the box inside. [m]
    slab : (2, 3) float
        The panel's depth, over the whole of the wall it lies along. [m]
    back : (3,) float
        From a place to the stage before it. [m]
    clearance : float
        What is to stay free. [m]
    """

    world: WorldWith
    inside: Floats
    slab: Floats
    back: Floats
    clearance: float

    def brought(self, boxes: Floats) -> Brought | None:
        """Return a motion that does not depend on the other pieces, or one as the first piece; None: none was found."""
        if self._thicker_than_every_opening(boxes):
            return None
        for clearance in self._clearances(boxes):
            found = self.in_any_order(boxes, clearance)
            if found is not None:
                return found
        return self._first(boxes)

    def in_any_order(self, boxes: Floats, clearance: float) -> Brought | None:
        """Return a motion that does not depend on the other pieces, with that clearance; None: none was found."""
        return self._by_the_stage(boxes, self.world(self.slab[None]), clearance, any_order=True)

    def after(self, boxes: Floats, standing: Floats) -> Brought | None:
        """Return a motion with other pieces (k, 2, 3) standing there already. [m]"""
        world = self.world(standing)
        for clearance in self._clearances(boxes):
            found = self._by_the_stage(boxes, world, clearance, any_order=False)
            if found is not None:
                return found
        return None

    def _first(self, boxes: Floats) -> Brought | None:
        """Straight to its place, with all of the box's depth to turn in."""
        body, middle = body_of(boxes)
        world = self.world(np.zeros((0, 2, 3)))
        for clearance in self._clearances(boxes):
            found = passage_of(body, world, Pose(STRAIGHT, middle), clearance, EFFORT)
            if found.motion is not None:
                return Brought(found.motion, clearance, found.way, found.method, any_order=False)
        return None

    def _by_the_stage(
        self, boxes: Floats, world: World, clearance: float, *, any_order: bool
    ) -> Brought | None:
        body, middle = body_of(boxes)
        stage = Pose(STRAIGHT, middle + self.back)
        empty = self.world(np.zeros((0, 2, 3)))
        at_stage = setting_of(body, empty.ways, empty.frame.inwards(stage), 0.0)
        goal = empty.frame.inwards(Pose(STRAIGHT, middle)).place
        # The pieces lie beside each other, so that none sweeps another's place on its way straight back.
        free = {
            way.name
            for way in empty.ways
            if pushes_straight(at_stage.outer, at_stage.turn, at_stage.middle, goal, way, -TOUCH)
        }
        if not free:
            return None
        found = passage_of(body, world, stage, clearance, EFFORT)
        if found.motion is None or found.way not in free:
            return None
        return Brought(_pushed_back(found.motion, middle), clearance, found.way, found.method, any_order)

    def _thicker_than_every_opening(self, boxes: Floats) -> bool:
        """No box passes a gap narrower than its least extent: nothing need be looked for."""
        least = float((boxes[:, 1] - boxes[:, 0]).min(axis=1).max())
        widths = [
            # The opening begins at the outer side of the wall; a leaf beside it has no other side.
            float((way.layers[:, [3, 5]] - way.layers[:, [2, 4]])[way.layers[:, 0] == 0.0].min())
            for way in self.world(np.zeros((0, 2, 3))).ways
        ]
        return least > max(widths)

    def _clearances(self, boxes: Floats) -> list[float]:
        """What is asked, or what the piece's own place leaves if that is less; then touching."""
        room = float((self.inside - (boxes[:, 1].max(axis=0) - boxes[:, 0].min(axis=0))).min()) / 2
        most = self.clearance if room >= self.clearance + SPARE else HALF * min(room, self.clearance)
        return [most, 0.0] if most > TOUCH else [0.0]


def stage_before(panel: Panel, world: WorldWith, inside: Floats, clearance: float) -> Stage:
    """The stage before a panel's place.

    Parameters
    ----------
    panel : Panel
        At its place. [-]
    world : callable
        Returns the world with the boxes (k, 2, 3) it is given standing there as well. [m]
    inside : (3,) float
        Extent of the box inside. [m]
    clearance : float
        What is to stay free. [m]

    Returns
    -------
    stage : Stage
        On the side of the panel that is farther from its wall.
    """
    axis, bounds = panel.normal, panel.bounds
    slab = np.array([np.zeros(3), inside])
    slab[:, axis] = bounds[:, axis]
    sign = 1.0 if bounds[0, axis] <= inside[axis] - bounds[1, axis] else -1.0
    back = np.zeros(3)
    back[axis] = sign * float(bounds[1, axis] - bounds[0, axis])
    return Stage(world, inside, slab, back, clearance)


def _pushed_back(motion: Motion, place: Floats) -> Motion:
    """The motion to the stage, and from there straight onto the piece's place."""
    last = len(motion)
    length = float(np.linalg.norm(place - motion.places[-1]))
    turns = np.concatenate([motion.turns, motion.turns[-1:]])
    places = np.concatenate([motion.places, place[None]])
    moves = motion.moves
    if moves and moves[-1].kind == "dock":
        dock = replace(moves[-1], last=last, length=moves[-1].length + length)
        moves = (*moves[:-1], dock)
    else:
        moves = (*moves, Move("dock", last - 1, last, length, 0.0))
    return Motion(turns, places, motion.about, moves)
