"""One part through one box at one moment: asked of every face with doors, the simplest way first; answers are kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.answer import Effort, Passage
from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.flood import FEWEST_CELLS
from sunfleck.geometry.passage.layers import Way, World
from sunfleck.geometry.passage.motion import Motion, Move, Pose
from sunfleck.geometry.passage.rotations import turned_by_each, turned_vector
from sunfleck.geometry.passage.setting import TOUCH, pushes_straight
from sunfleck.geometry.passage.steps import steps_of
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import inside_box
from sunfleck.studies.passage.branches import swept_clear
from sunfleck.studies.passage.doors import Entrance
from sunfleck.studies.passage.extents import Extent, extent_in, extents_in
from sunfleck.studies.passage.kept import Kept, asked, mark_of
from sunfleck.studies.passage.parts import Item, extent_of, short_length
from sunfleck.studies.passage.worlds import bare_world, narrowed, worlds_for

Floats = NDArray[np.float64]

# Of a way past what stands: no proof is sought, so no cells. Of the empty box: until it is proved or found, or given up.
QUICK = Effort(steps=(0.008,), seeds=(1,), tries=150, cells=FEWEST_CELLS)
THOROUGH = Effort(steps=(0.008, 0.002), seeds=(1, 2), tries=300, cells=100_000)
# The largest clearance is that of the tightest place, where long steps see less room than there is.
FINE = replace(QUICK, steps=(0.008, 0.002))
# Only looked for, nothing proved.
SEARCHED = replace(THOROUGH, cells=FEWEST_CELLS)
# An answer that costs nothing: its place is not free under this choice of sides.
PLACE_TAKEN = "its place is free only if parts taken as larger than they are were less so"
# Poses at which the room for a hand is measured lie so far apart. [m]
APART = 0.006
# A part may be brought beside its place by so little, if that frees it. [m]
LIFTED = (0.06,)
# What is proved a no is not asked with less room; so often is the largest clearance halved in.
HALVINGS = 4
# Questions without a way that are asked of one plan; a count, so that it is the same on every machine.
MOST_FAILED = 250


@dataclass(frozen=True, eq=False)
class Answer:
    """What came of one question.

    Attributes
    ----------
    passage : Passage
        Verdict, motion or proof.
    entrance : Entrance
        The face it was asked of, and what was done to its doors.
    fingers : float
        Room for a hand beside it in the opening at every moment of its motion, the least; infinity before it is known.
        [m]
    notes : tuple of str
        What was taken for granted on the way.
    effort : Effort
        How much was tried at most.
    """

    passage: Passage
    entrance: Entrance
    fingers: float = np.inf
    notes: tuple[str, ...] = ()
    effort: Effort = QUICK

    @property
    def goes(self) -> bool:
        """Whether it goes in."""
        return self.passage.verdict == "goes in"

    @cached_property
    def steps(self) -> int:
        """In how many steps a person is told; docking onto its place is not counted."""
        motion = self.passage.motion
        return 0 if motion is None else sum(step.kind != "dock" for step in steps_of(motion))


class Asker:
    """Questions about one plan.

    Parameters
    ----------
    plan : Plan
        A checked plan.
    clearance, fingers : float
        What must stay free on every side, and for a hand on one. [m]
    """

    def __init__(self, plan: Plan, clearance: float, fingers: float) -> None:
        self.plan, self.clearance, self.fingers = plan, clearance, fingers
        self.inside = inside_box(plan).high
        self._bare: dict[Entrance, World] = {}
        self.failed = 0

    @property
    def tired(self) -> bool:
        """Whether so much was tried in vain that nothing more is: a plan of hundreds of parts must end, too."""
        return self.failed >= MOST_FAILED

    def bare(self, entrance: Entrance) -> World:
        """The empty box, entered by a face."""
        if entrance not in self._bare:
            self._bare[entrance] = bare_world(self.plan, entrance)
        return self._bare[entrance]

    def past(
        self,
        item: Item,
        entrances: Sequence[Entrance],
        standing: Floats,
        clearance: float | None = None,
        effort: Effort = QUICK,
    ) -> Answer | None:
        """A way in past what stands, through any of some faces, that with the fewest moves; None where none is found."""
        wanted = self.clearance if clearance is None else clearance
        numbers = (
            item.goal.turn,
            item.goal.place,
            item.leaves,
            standing,
            [wanted, self.clearance, self.fingers],
            self.inside,
        )
        chain = () if item.chain is None else (item.chain.path, item.chain.radius)
        key = (mark_of(item.body, *numbers, *chain), tuple(entrances), effort)
        kept = _PAST.get(key)
        # Near the end of what is tried for a plan, less is tried.
        if kept is not None and self.failed + kept[1] < MOST_FAILED:
            self.failed += kept[1]
            return kept[0]
        before = self.failed
        found = self._past(item, entrances, standing, wanted, effort)
        if not self.tired:
            _PAST.keep(key, (found, self.failed - before))
        return found

    def _past(
        self, item: Item, entrances: Sequence[Entrance], standing: Floats, wanted: float, effort: Effort
    ) -> Answer | None:
        best: Answer | None = None
        for entrance in entrances:
            for goal in self._goals(item, entrance):
                found = self._through(item, goal, entrance, standing, wanted, effort)
                if found is not None:
                    if best is None or _simpler(found, best):
                        best = found
                    break
            if best is not None and best.passage.moves <= 1 and best.fingers >= self.fingers:
                break
        return best

    def alone(self, item: Item, entrance: Entrance, clearance: float, effort: Effort = THOROUGH) -> Answer:
        """The part and the empty box: a way in, or the proof that there is none whatever the order."""
        world = self.bare(entrance)
        found = asked(item.body, world, item.goal, clearance, QUICK)
        if found.verdict != "goes in":
            past = self.past(item, (entrance,), np.zeros((0, 2, 3)), clearance)
            if past is not None:
                return past
            found = asked(item.body, world, item.goal, clearance, effort)
        room = self.beside(item.body, entrance, world, found.motion, found.way)
        return Answer(found, entrance, room, effort=effort)

    def largest(
        self, item: Item, entrances: Sequence[Entrance], standing: Floats, low: float, high: float
    ) -> float:
        """Largest clearance between two with which it is found to go in, by halving; -1 where not with the lower. [m]"""
        if self.past(item, entrances, standing, low, FINE) is None:
            return -1.0
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            if self.past(item, entrances, standing, middle, FINE) is not None:
                low = middle
            else:
                high = middle
        return low

    def _goals(self, item: Item, entrance: Entrance) -> Iterator[Pose]:
        """Its place; then beside it, from where it is pushed on straight, where neighbours leave no room to dock."""
        yield item.goal
        low, high = extent_of(item.body)
        axes = np.array([turned_vector(item.goal.turn, axis) for axis in np.eye(3)])
        ways = [item.leaves] if item.chain is None else [item.leaves, -self.bare(entrance).frame.axes[2]]
        for way in ways:
            whole = float(np.abs(axes @ way) @ (high - low)) + 2 * self.clearance + 0.01
            # A little first: there may be no room for more, and no need.
            for far in (*(little for little in LIFTED if little < whole), whole):
                yield Pose(item.goal.turn, item.goal.place + way * far)

    def _through(
        self,
        item: Item,
        goal: Pose,
        entrance: Entrance,
        standing: Floats,
        clearance: float,
        effort: Effort,
    ) -> Answer | None:
        bare = self.bare(entrance)
        extent = extent_in(item.body, goal, bare.frame)
        if not _surely_inside(extent, bare):
            return None
        docked = goal is item.goal
        worst: Answer | None = None
        docks: bool | None = None
        for world in worlds_for(bare, standing, self.inside, extent, clearance):
            if not docked and docks is None:
                docks = self._docks(item, goal, world, standing)
            if docks is False:
                return worst
            if self.tired:
                return worst
            found = asked(item.body, world, goal, clearance, effort)
            if found.verdict != "goes in":
                self.failed += found.method != PLACE_TAKEN
                continue
            beside = self.beside(item.body, entrance, world, found.motion, found.way)
            answer = Answer(found, entrance, beside, effort=effort)
            if answer.fingers < self.fingers:
                handy = narrowed(world, max(0.0, self.fingers - clearance), on_two_sides=_lowered(world))
                again = asked(item.body, handy, goal, clearance, QUICK)
                if again.verdict == "goes in":
                    answer = Answer(again, entrance, self.fingers, effort=effort)
            answer = answer if docked else _docked(answer, item, self.plan.show_units)
            if answer.fingers >= self.fingers:
                return answer
            worst = worst or answer
        return worst

    def _docks(self, item: Item, beside: Pose, world: World, standing: Floats) -> bool:
        """Whether it is pushed straight from beside onto its place, past everything as it is near there."""
        if item.chain is not None and swept_clear(item.chain, beside.place - item.goal.place, standing):
            return True
        start, stop = world.frame.inwards(beside), world.frame.inwards(item.goal)
        extent = extent_in(item.body, item.goal, world.frame)
        return any(
            pushes_straight(item.body.outer, start.turn, start.place, stop.place, _hollow(way), -TOUCH)
            for near in worlds_for(self.bare_of(world), standing, self.inside, extent)
            for way in near.ways[:1]
        )

    def bare_of(self, world: World) -> World:
        """The empty box that a world was made of."""
        return next(bare for bare in self._bare.values() if bare.frame is world.frame)

    def beside(self, body: Body, entrance: Entrance, world: World, motion: Motion | None, name: str) -> float:
        """Least room beside a body in the opening, on its roomiest side, over a motion through the way of a name. [m]"""
        if motion is None or entrance.whole_face:
            return np.inf
        way = next((way for way in world.ways if way.name == name), world.ways[0])
        door = _door_of(way)
        lever = float((np.linalg.norm(body.outer.nodes - motion.about, axis=1) + body.outer.radius).max())
        turns, places = motion.sampled(APART, lever)
        about = (places + turned_by_each(turns, motion.about) - world.frame.origin) @ world.frame.axes.T
        # How far it goes sideways, and round, between neighbours: so much less may be free there.
        round_ = 2 * np.arccos(np.minimum(1.0, np.abs((turns[1:] * turns[:-1]).sum(axis=1))))
        gone = np.linalg.norm(np.diff(about[:, :2], axis=0), axis=1) + lever * round_
        less = np.maximum(np.append(gone, 0.0), np.insert(gone, 0, 0.0)) / 2
        near = np.abs(about[:, 2]) <= lever + door[1] + APART
        if not near.any():
            return np.inf
        # What lies in the opening between two poses lies within half a step of it at the nearer one.
        extents = extents_in(body, turns[near], places[near], world.frame)
        within = extents.between(door[0] - APART / 2, door[1] + APART / 2)
        # Where nothing of it lies in the opening, the gaps are infinite.
        gaps = [
            within[:, 0] - door[2],
            door[3] - within[:, 1],
            within[:, 2] - door[4],
            door[5] - within[:, 3],
        ]
        two = np.maximum(np.minimum(gaps[0], gaps[1]), np.minimum(gaps[2], gaps[3]))
        room = two if _lowered(world) else np.max(gaps, axis=0)
        return float((room - less[near]).min())


def _lowered(world: World) -> bool:
    """Through a top or a bottom: what is lowered or raised is held on two sides."""
    return bool(abs(world.frame.axes[2][2]) > 0.5)


def _door_of(way: Way) -> Floats:
    return next(row for row in way.layers if row[0] == 0.0 and bool((np.abs(row[2:]) < 1e5).all()))


def _hollow(way: Way) -> Way:
    """What is inside the box of a way: without the opening and what stands before it."""
    inner = way.layers[way.layers[:, 0] > 0]
    return replace(way, layers=np.ascontiguousarray(inner))


def _surely_inside(extent: Extent, bare: World) -> bool:
    """Whether a place beside lies within the box."""
    way = bare.ways[0]
    hollow = max((row for row in way.layers if row[0] > 0), key=lambda row: row[1] - row[0])
    low, high = extent.depth
    deep = low >= hollow[0] - 1e-6 and high <= hollow[1] + 1e-6
    x0, x1, y0, y1 = extent.whole
    return bool(
        deep
        and x0 >= hollow[2] - 1e-6
        and x1 <= hollow[3] + 1e-6
        and y0 >= hollow[4] - 1e-6
        and y1 <= hollow[5] + 1e-6
    )


def _docked(answer: Answer, item: Item, units: str) -> Answer:
    """The same motion, ended by a straight push from beside its place onto it."""
    motion = answer.passage.motion
    assert motion is not None
    # A block turned by half fills its place as well: it is not turned back while it is set down.
    turns = np.concatenate([motion.turns, motion.turns[-1:]])
    places = np.concatenate([motion.places, item.goal.place[None, :]])
    last = len(motion)
    length = float(np.linalg.norm(places[-1] - places[-2]))
    before = motion.moves[-1] if motion.moves and motion.moves[-1].kind == "dock" else None
    moves = motion.moves[:-1] if before is not None else motion.moves
    first = before.first if before is not None else last - 1
    whole = Move("dock", first, last, length + (before.length if before is not None else 0.0), 0.0)
    longer = Motion(turns, places, motion.about, (*moves, whole))
    note = f"its last {short_length(length, units)} onto its place are pushed straight, and may touch what is beside it"
    passage = replace(answer.passage, motion=longer)
    return replace(answer, passage=passage, notes=(*answer.notes, note))


def undecided(answer: Answer) -> Answer:
    """The same answer as one that found no way and proves nothing; a way that was found stays one."""
    if answer.goes:
        return answer
    passage = replace(answer.passage, verdict="no way found", reason="", proof=None, largest=(-1.0, np.inf))
    return replace(answer, passage=passage)


def _simpler(one: Answer, other: Answer) -> bool:
    return (one.fingers <= 0, one.steps) < (other.fingers <= 0, other.steps)


_PAST: Kept[tuple[Answer | None, int]] = Kept()
