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
    """

    face: Face
    wall: float
    holes: tuple[Hole, ...]
    done: str = ""
    whole_face: bool = False


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
        found.append(Entrance(face, _wall(plan, face), (*_without_post(plan, doors), *holes)))
    return tuple(found)


def with_panes_out(plan: Plan) -> tuple[Entrance, ...]:
    """Faces with sliding doors, their panes lifted out of the rails; other doors there open as ever."""
    found = []
    for face in dict.fromkeys(door.face for door in plan.enclosure.doors if door.kind == "sliding"):
        doors = [door for door in plan.enclosure.doors if door.face == face]
        rows: list[list[Door]] = []
        for door in sorted((d for d in doors if d.kind == "sliding"), key=lambda d: d.at[0]):
            row = next(
                (r for r in rows if _in_one_row(r[-1], door) and door.at[0] <= _end(r[-1]) + NO_POST), None
            )
            if row is None:
                rows.append([door])
            else:
                row.append(door)
        others = [Hole(d.name, (_opened(plan, d, doors),)) for d in doors if d.kind != "sliding"]
        holes = [_row(row) for row in rows]
        done = "the panes lifted out of their rails"
        found.append(Entrance(face, _wall(plan, face), (*holes, *_without_post(plan, doors), *others), done))
    return tuple(found)


def _row(panes: list[Door]) -> Hole:
    """Panes of one row, out: one opening."""
    name = " and ".join(pane.name for pane in panes)
    foot = max(pane.at[1] for pane in panes)
    top = min(pane.at[1] + pane.size[1] for pane in panes)
    last = max(_end(pane) for pane in panes)
    return Hole(name, (Opening(name, (panes[0].at[0], foot), (last - panes[0].at[0], top - foot)),))


def widest_of(plan: Plan) -> tuple[Entrance, ...]:
    """Every face with doors as far open as it goes: what a no is proved with. Leaves do not count for a no."""
    out = {entrance.face: entrance for entrance in with_panes_out(plan)}
    return tuple(out.get(entrance.face, entrance) for entrance in entrances_of(plan))


def with_leaves_off(plan: Plan) -> tuple[Entrance, ...]:
    """Faces with hinged doors, their leaves taken off the hinges."""
    found = []
    for face in dict.fromkeys(door.face for door in plan.enclosure.doors if door.kind == "hinged"):
        doors = [door for door in plan.enclosure.doors if door.face == face and door.kind == "hinged"]
        holes = [Hole(door.name, (Opening(door.name, door.at, door.size),)) for door in doors]
        pairs = [
            Hole(hole.name, tuple(Opening(hole.name, o.at, o.size) for o in hole.openings[:1]))
            for hole in _without_post(plan, doors)
        ]
        found.append(
            Entrance(face, _wall(plan, face), (*pairs, *holes), "the door leaf taken off its hinges")
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


def _opened(plan: Plan, door: Door, doors: list[Door]) -> Opening:
    if door.kind == "hinged":
        thickness = door.thickness or _wall(plan, door.face)
        leaf = Leaf(hinge_of(plan, door), thickness, door.opens if door.opens is not None else SQUARE)
        return Opening(door.name, door.at, door.size, leaf)
    if door.kind == "sliding":
        return _slid(plan, door, doors)
    return Opening(door.name, door.at, door.size)


def _slid(plan: Plan, door: Door, doors: list[Door]) -> Opening:
    """What a sliding pane leaves open: it runs behind the pane beside it, or over the wall where there is more of it."""
    panes = [d for d in doors if d is not door and d.kind == "sliding" and _in_one_row(d, door)]
    covered = (LAP if door.lap is None else door.lap) + (HANDLE if door.handle is None else door.handle)
    first, last = door.at[0], _end(door)
    _, _, axis, _ = FACE_AXES[door.face]
    beside = min(panes, key=lambda d: abs(d.at[0] + d.size[0] / 2 - (first + last) / 2), default=None)
    if beside is not None:
        up = beside.at[0] + beside.size[0] / 2 > (first + last) / 2
        # Where the plan draws the panes over each other, that is the lap: the other pane stands before it.
        over = max(0.0, last - beside.at[0]) if up else max(0.0, _end(beside) - first)
        covered = (
            max(covered, over + (HANDLE if door.handle is None else door.handle))
            if door.lap is None
            else covered
        )
    else:
        up = float(inside_box(plan).high[axis]) - last >= first
    if up:
        last = max(last - covered, first + 1e-3)
    else:
        first = min(first + covered, last - 1e-3)
    return Opening(door.name, (first, door.at[1]), (last - first, door.size[1]))


def _without_post(plan: Plan, doors: list[Door]) -> list[Hole]:
    """Pairs of hinged or lift-out doors that meet without a post: both open are one opening."""
    swung = sorted((d for d in doors if d.kind != "sliding"), key=lambda d: (d.at[1], d.at[0]))
    found = []
    for one, other in ((a, b) for a in swung for b in swung if a is not b):
        gap = other.at[0] - _end(one)
        alike = abs(one.at[1] - other.at[1]) < NO_POST and abs(one.size[1] - other.size[1]) < 2 * NO_POST
        if not (-NO_POST <= gap <= NO_POST and alike):
            continue
        foot = max(one.at[1], other.at[1])
        top = min(one.at[1] + one.size[1], other.at[1] + other.size[1])
        name = f"{one.name} and {other.name}"
        leaves = [_opened(plan, door, doors).leaf for door in (one, other)]
        size = (_end(other) - one.at[0], top - foot)
        found.append(Hole(name, tuple(Opening(name, (one.at[0], foot), size, leaf) for leaf in leaves)))
    return found
