"""What is open of a box: doors of each face as they open, and what remedies would leave open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sunfleck.geometry.boxes import FACE_AXES, Face
from sunfleck.geometry.passage.layers import Hinge, Leaf, Opening
from sunfleck.plan.enclosure import Door
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import inside_box

# Trade defaults; common practice, no source. A grip glued on a sliding pane keeps so much of it from running behind
# the other; panes meet edge to edge where the plan draws no lap. [m]
HANDLE, LAP = 0.02, 0.0
SQUARE = np.pi / 2
# Doors that meet this close have no post between them: both open are one opening. [m]
NO_POST = 0.005
# Two edges nearer than this are one. [m]
SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Hole:
    """One opening as something goes through it.

    Attributes
    ----------
    name : str
        In a builder's words.
    openings : tuple of Opening
        The same rectangle, once for each leaf that stands open beside it. [m]
    """

    name: str
    openings: tuple[Opening, ...]


@dataclass(frozen=True, slots=True)
class Entrance:
    """A face through which things can go, in one state of its doors.

    Attributes
    ----------
    face : str
        Which.
    wall : float
        How thick it is. [m]
    holes : tuple of Hole
        What is open; with a post between two, a part may use one only.
    done : str
        What must be done first; "" where doors are only opened.
    whole_face : bool
        The face is not on yet.
    outline : bool
        Some holes are larger than what is open: good for a no, never for a yes.
    """

    face: Face
    wall: float
    holes: tuple[Hole, ...]
    done: str = ""
    whole_face: bool = False
    outline: bool = False

    @property
    def rectangles(self) -> frozenset[tuple[tuple[float, float], tuple[float, float]]]:
        """What is open, whatever stands beside it. [m]"""
        return frozenset((opening.at, opening.size) for hole in self.holes for opening in hole.openings)


def entrances_of(plan: Plan) -> tuple[Entrance, ...]:
    """Every face with doors, its doors opened as they open every day.

    Parameters
    ----------
    plan : Plan
        A checked plan.

    Returns
    -------
    entrances : tuple of Entrance
        One a face with doors, in the order in which doors are written.
    """
    found = []
    for face in dict.fromkeys(door.face for door in plan.enclosure.doors):
        doors = [door for door in plan.enclosure.doors if door.face == face]
        holes = [Hole(door.name, (_opened(plan, door, doors),)) for door in doors]
        swung = [door for door in doors if door.kind != "sliding"]
        found.append(Entrance(face, _wall(plan, face), _outermost(*_without_post(plan, swung), *holes)))
    return tuple(found)


def with_panes_out(plan: Plan) -> tuple[Entrance, ...]:
    """Faces with sliding doors, their panes lifted out of the rails; other doors there open as ever."""
    found = []
    for face in dict.fromkeys(door.face for door in plan.enclosure.doors if door.kind == "sliding"):
        doors = [door for door in plan.enclosure.doors if door.face == face]
        holes = [Hole(door.name, (_opened(plan, door, doors, panes_out=True),)) for door in doors]
        done = "the panes lifted out of their rails"
        found.append(Entrance(face, _wall(plan, face), _outermost(*_without_post(plan, doors), *holes), done))
    return tuple(found)


def widest_of(plan: Plan) -> tuple[Entrance, ...]:
    """Every face with doors as far open as it goes: what a no is proved with.

    Leaves do not count for a no, and doors that meet are one hole, as large as the rectangle round them.
    """
    found = []
    for usual in entrances_of(plan):
        doors = [door for door in plan.enclosure.doors if door.face == usual.face]
        sliding = any(door.kind == "sliding" for door in doors)
        holes, outline = [], False
        for group in _meeting(doors):
            name = " and ".join(door.name for door in group)
            low = (min(door.at[0] for door in group), min(door.at[1] for door in group))
            high = (max(_end(door) for door in group), max(door.at[1] + door.size[1] for door in group))
            holes.append(Hole(name, (Opening(name, low, (high[0] - low[0], high[1] - low[1])),)))
            exact = (
                [hole.openings[0] for hole in _without_post(plan, group, leaves=False)]
                if len(group) > 1
                else []
            )
            # Nothing added: what is a hair larger than it is, is good for a no only.
            filled = any(
                all(
                    abs(o.at[k] - low[k]) < SAME and abs(o.at[k] + o.size[k] - high[k]) < SAME for k in (0, 1)
                )
                for o in exact
            )
            outline = outline or (len(group) > 1 and not filled)
        done = "the panes lifted out of their rails" if sliding else ""
        found.append(Entrance(usual.face, usual.wall, tuple(holes), done, outline=outline))
    return tuple(found)


def _meeting(doors: list[Door]) -> list[list[Door]]:
    """Doors of a face in groups that meet or lie over each other."""
    groups: list[list[Door]] = []
    for door in doors:
        near = [group for group in groups if any(_meet(door, other) for other in group)]
        groups = [group for group in groups if group not in near]
        groups.append([*(each for group in near for each in group), door])
    return groups


def _meet(one: Door, other: Door) -> bool:
    return all(
        one.at[k] <= other.at[k] + other.size[k] + NO_POST
        and other.at[k] <= one.at[k] + one.size[k] + NO_POST
        for k in (0, 1)
    )


def with_leaves_off(plan: Plan) -> tuple[Entrance, ...]:
    """Faces with hinged doors, their leaves taken off the hinges."""
    found = []
    for face in dict.fromkeys(door.face for door in plan.enclosure.doors if door.kind == "hinged"):
        doors = [door for door in plan.enclosure.doors if door.face == face and door.kind == "hinged"]
        holes = [Hole(door.name, (Opening(door.name, door.at, door.size),)) for door in doors]
        joined = _without_post(plan, doors, leaves=False)
        found.append(
            Entrance(
                face, _wall(plan, face), _outermost(*joined, *holes), "the door leaf taken off its hinges"
            )
        )
    return tuple(found)


def without_face(plan: Plan, face: Face) -> Entrance:
    """A face that is not on yet: all of it is open."""
    _, _, first, second = FACE_AXES[face]
    inside = inside_box(plan).high
    name = f"the open {face}"
    whole = Opening(name, (0.0, 0.0), (float(inside[first]), float(inside[second])))
    return Entrance(
        face, _wall(plan, face), (Hole(name, (whole,)),), f"before the {face} is on", whole_face=True
    )


def hinge_of(plan: Plan, door: Door) -> Hinge:
    """Side a leaf hangs on: that it swings to; where the plan does not say, that nearer to the edge of its face."""
    sides: dict[str, Hinge] = {"left": "left", "right": "right", "up": "top", "down": "bottom"}
    if door.swing is not None:
        return sides[door.swing]
    _, _, first, _ = FACE_AXES[door.face]
    middle = float(inside_box(plan).high[first]) / 2
    low = door.at[0] + door.size[0] / 2 <= middle
    if seen_reversed(door.face):
        low = not low
    return "left" if low else "right"


def seen_reversed(face: Face) -> bool:
    """Whether a face's first coordinate runs from right to left for one who stands before it outside."""
    return face in ("left", "back", "bottom")


def _wall(plan: Plan, face: Face) -> float:
    return plan.enclosure.walls.of(face).thickness


def _end(door: Door) -> float:
    return door.at[0] + door.size[0]


def _in_one_row(one: Door, other: Door) -> bool:
    """Whether two doors stand side by side for most of their height."""
    low = max(one.at[1], other.at[1])
    high = min(one.at[1] + one.size[1], other.at[1] + other.size[1])
    return high - low > 0.5 * min(one.size[1], other.size[1])


def _opened(plan: Plan, door: Door, doors: list[Door], *, panes_out: bool = False) -> Opening:
    if door.kind == "hinged":
        thickness = door.thickness or _wall(plan, door.face)
        leaf = Leaf(hinge_of(plan, door), thickness, door.opens if door.opens is not None else SQUARE)
        return Opening(door.name, door.at, door.size, leaf)
    if door.kind == "sliding" and not panes_out:
        return _slid(plan, door, doors)
    return Opening(door.name, door.at, door.size)


def _slid(plan: Plan, door: Door, doors: list[Door]) -> Opening:
    """What a sliding pane leaves open: it runs behind the pane beside it, or over the wall where there is more of it."""
    panes = [d for d in doors if d is not door and d.kind == "sliding" and _in_one_row(d, door)]
    covered = (LAP if door.lap is None else door.lap) + (HANDLE if door.handle is None else door.handle)
    first, last = door.at[0], _end(door)
    _, _, axis, _ = FACE_AXES[door.face]
    beside = min(panes, key=lambda d: abs(d.at[0] + d.size[0] / 2 - (first + last) / 2), default=None)
    whole = float(inside_box(plan).high[axis])
    if beside is not None:
        up = beside.at[0] + beside.size[0] / 2 > (first + last) / 2
        # Where the plan draws the panes over each other, that is the lap: the other pane stands before it.
        over = max(0.0, last - beside.at[0]) if up else max(0.0, _end(beside) - first)
        covered = (
            max(covered, over + (HANDLE if door.handle is None else door.handle))
            if door.lap is None
            else covered
        )
        # The rails are as long as the row of panes.
        row = [door, *panes]
        ends = (min(each.at[0] for each in row), max(_end(each) for each in row))
    else:
        up, ends = whole - last >= first, (0.0, whole)
    travel = ends[1] - last if up else first - ends[0]
    opens = max(min(last - first - covered, travel), 1e-3)
    # It leaves open the side that it runs away from.
    low = first if up else last - opens
    return Opening(door.name, (low, door.at[1]), (opens, door.size[1]))


def _without_post(plan: Plan, doors: list[Door], *, leaves: bool = True) -> list[Hole]:
    """Doors that meet without a post, in rows and in piles: all of them open are one opening, as far as they overlap.

    A leaf that would hang in the middle of it keeps doors apart; sliding panes count as lifted out.
    """
    found = []
    for along in (0, 1):
        lined = sorted(doors, key=lambda door: (door.at[along], door.at[1 - along]))
        for begin in range(len(lined)):
            run = [lined[begin]]
            for other in lined[begin + 1 :]:
                if abs(other.at[along] - max(d.at[along] + d.size[along] for d in run)) > NO_POST and not (
                    other.kind == run[-1].kind == "sliding" and _meet(run[-1], other)
                ):
                    continue
                longer = [*run, other]
                hole = _one_hole(plan, longer, along, leaves=leaves)
                if hole is None:
                    continue
                run = longer
                found.append(hole)
    return found


def _outermost(*holes: Hole) -> tuple[Hole, ...]:
    """Holes without those that lie in another beside which no leaf stands."""

    def lies_in(one: Hole, other: Hole) -> bool:
        inner, outer = one.openings[0], other.openings[0]
        return outer.leaf is None and all(
            outer.at[k] - NO_POST <= inner.at[k]
            and inner.at[k] + inner.size[k] <= outer.at[k] + outer.size[k] + NO_POST
            and inner.size[k] <= outer.size[k]
            for k in (0, 1)
        )

    return tuple(
        hole
        for number, hole in enumerate(holes)
        if not any(
            lies_in(hole, other) and (not lies_in(other, hole) or place < number)
            for place, other in enumerate(holes)
            if other is not hole
        )
    )


def _one_hole(plan: Plan, run: list[Door], along: int, *, leaves: bool) -> Hole | None:
    """What a run of doors leaves open together; None where they do not overlap or a leaf hangs between them."""
    across = 1 - along
    low = max(door.at[across] for door in run)
    high = min(door.at[across] + door.size[across] for door in run)
    if high - low <= NO_POST:
        return None
    ends = (min(door.at[along] for door in run), max(door.at[along] + door.size[along] for door in run))
    stand: list[Leaf | None] = []
    for door in run:
        leaf = _opened(plan, door, run, panes_out=True).leaf if leaves else None
        if leaf is not None and not _hangs_outside(door, leaf.hinge, run, along):
            return None
        stand.append(leaf)
    name = " and ".join(door.name for door in run)
    at = (ends[0], low) if along == 0 else (low, ends[0])
    size = (ends[1] - ends[0], high - low) if along == 0 else (high - low, ends[1] - ends[0])
    kept: tuple[Leaf | None, ...] = tuple(dict.fromkeys(leaf for leaf in stand if leaf is not None)) or (
        None,
    )
    return Hole(name, tuple(Opening(name, at, size, leaf) for leaf in kept))


def _hangs_outside(door: Door, hinge: Hinge, run: list[Door], along: int) -> bool:
    """Whether a leaf's hinges are at the rim of all the doors of a run together, not between two of them."""
    low_side: Hinge = "right" if seen_reversed(door.face) else "left"
    sides: tuple[Hinge, Hinge] = (low_side, "left" if low_side == "right" else "right")
    low, high = sides if along == 0 else ("bottom", "top")
    if hinge == low:
        return door is run[0]
    return hinge != high or door is run[-1]
