"""What goes into a box, as rigid bodies in their places: panels, shelves, hides, branches, pots, bowls, lamps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.backings import CORE
from sunfleck.brief.build import Brief
from sunfleck.brief.givens import number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.geometry.boxes import FACE_AXES, Box
from sunfleck.geometry.passage.bodies import Body, Skeleton, block, relief, scan, turned
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import quaternion_of, turned_vector
from sunfleck.geometry.passage.trimmed import Cut, trimmed_branch
from sunfleck.library.entries import LINE_EMITTERS
from sunfleck.plan.furnishing import Background, Perch
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.hanging import depth_of
from sunfleck.plan.shapes import placed
from sunfleck.plan.solids import (
    background_box,
    bowl_box,
    chain_of,
    inside_box,
    ledge_box,
    pot_box,
    pot_foot,
    relief_boxes,
)
from sunfleck.studies.passage.hands import Hands, hands_for

Floats = NDArray[np.float64]
UPRIGHT = np.array([1.0, 0.0, 0.0, 0.0])

# Trade defaults; common practice, no source.
# Pins at each end of a tube, and a rubber cap over its holder. [m]
PIN, CAP = 0.007, 0.03
CAP_LENGTH = 0.03
# A reflector clipped on a tube, or the housing that it is in: width, and how far it reaches behind the tube's middle. [m]
REFLECTOR_WIDTH, REFLECTOR_DEPTH = 0.06, 0.03
# A pot full of moist mix, all in all. [kg m-3]
POTTED = 1000.0
# A branch that reaches within this of a wall or panel is held by it, and is cut to fit there: the plan's own rule. [m]
HELD = 0.02
# Blocks that one branch is taken as where it stands already, at most, and their least length. [m]
PIECES, PIECE = 10, 0.04


@dataclass(frozen=True, eq=False)
class Item:
    """A part that goes in.

    Attributes
    ----------
    name : str
        The part's.
    group : str
        Which list of the plan.
    body : Body
        Its shape. [m]
    goal : Pose
        Its place.
    leaves : (3,) float
        The way it comes off its place: out of the wall, up, down. [-]
    fills : (k, 2, 3) float
        Blocks round it once it stands. [m]
    size : (3,) float
        Extent in its place. [m]
    mass : float or None
        None where its material is not in the plan. [kg]
    mass_from : str
        How the mass is known, or why it is not.
    hands : Hands
        How it is carried.
    service : bool
        It must come out again when everything is planted.
    inner_part : Item or None
        What of it comes out for service, if that is less than went in.
    notes : tuple of str
        What was taken for granted.
    """

    name: str
    group: str
    body: Body
    goal: Pose
    leaves: Floats
    fills: Floats
    size: Floats
    mass: float | None
    mass_from: str
    hands: Hands
    service: bool = False
    inner_part: Item | None = None
    notes: tuple[str, ...] = ()


def items_of(brief: Brief, spare: float) -> tuple[tuple[Item, ...], tuple[str, ...]]:
    """Everything of a plan that goes in through a door.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    spare : float
        How much shorter than the gap between its walls a branch is cut at each end. [m]

    Returns
    -------
    items : tuple of Item
        In the order of the trade: panels, branches, shelves, hides, bowls, pots, lamps.
    left_out : tuple of str
        What is none, and why.
    """
    plan = brief.plan
    folder = Path(brief.source.document.file).parent
    found: list[Item] = [_background(brief, panel) for panel in plan.backgrounds]
    found += [_perch(brief, i, perch, folder, spare) for i, perch in enumerate(plan.perches)]
    for ledge in plan.ledges:
        found.append(_block(plan, ledge.name, "ledges", ledge_box(ledge), "its material is not in the plan"))
    for hide in plan.hides:
        item = _block(plan, hide.name, "hides", ledge_box(hide), "what it is made of is not in the plan")
        found.append(replace(item, service=True))
    found += _vessels(plan)
    left_out = list(_left_out(plan))
    for fixture in brief.fixtures:
        outside = _outside(plan, fixture)
        if outside:
            left_out.append(f"{fixture.name}: {outside}, so it goes through no door")
        else:
            found.append(_lamp(fixture))
    return tuple(found), tuple(left_out)


def _left_out(plan: Plan) -> Iterator[str]:
    if plan.plants:
        yield "leaves and stems bend: of plants only their pots are asked about"
    bare = [plant.name for plant in plan.plants if plant.pot is None]
    if bare:
        yield f"{', '.join(bare)}: planted without a pot, or with one that the plan does not state (`pot`)"
    guards = [fixture.name for fixture in plan.fixtures if fixture.guard is not None]
    if guards:
        yield f"guards of {', '.join(guards)}: taken off while lamps go in and out, and not asked about themselves"
    if plan.substrate is not None:
        yield "the ground: it is filled in by the bucket when what is heavy stands"


def _in_box(plan: Plan, box: Box) -> Box:
    inside = inside_box(plan)
    return Box(np.maximum(box.low, inside.low), np.minimum(box.high, inside.high))


def _block(plan: Plan, name: str, group: str, box: Box, unknown: str) -> Item:
    box = _in_box(plan, box)
    size = box.high - box.low
    return Item(
        name,
        group,
        block(size),
        Pose(UPRIGHT, (box.low + box.high) / 2),
        np.array([0.0, 0.0, 1.0]),
        np.array([[box.low, box.high]]),
        size,
        None,
        unknown,
        hands_for(size, None),
    )


def _background(brief: Brief, panel: Background) -> Item:
    plan = brief.plan
    body = _in_box(plan, background_box(plan, panel))
    blocks = [body, *(_in_box(plan, box) for box in relief_boxes(plan, panel))]
    corners = np.array([[each.low, each.high] for each in blocks])
    low, high = corners[:, 0].min(axis=0), corners[:, 1].max(axis=0)
    size, middle = high - low, (low + high) / 2
    fixed, end, _, _ = FACE_AXES[panel.face]
    leaves = np.zeros(3)
    leaves[fixed] = -1.0 if end else 1.0
    core = panel.core or CORE
    density = brief.library.materials[core].density
    mass = number(density) * float(np.prod(corners[:, 1] - corners[:, 0], axis=1).sum())
    stated = "" if panel.core else "; the core is not stated and is taken as foam"
    mass_from = f"volume times the density of {core} ({density.basis}){stated}; its finish is not in it"
    return Item(
        panel.name,
        "backgrounds",
        block(size) if len(blocks) == 1 else relief(corners - middle),
        Pose(UPRIGHT, middle),
        leaves,
        corners,
        size,
        mass,
        mass_from,
        hands_for(size, mass),
    )


def _perch(brief: Brief, index: int, perch: Perch, folder: Path, spare: float) -> Item:
    plan = brief.plan
    chain = chain_of(perch)
    notes: list[str] = []
    steps = np.linalg.norm(np.diff(chain.path, axis=0), axis=1)
    a, b = chain.radius[:-1], chain.radius[1:]
    volume = float((np.pi * steps * (a * a + a * b + b * b) / 3).sum())
    if perch.shape is not None:
        inside = inside_box(plan)
        triangles = placed(perch.shape, folder).triangles
        beyond = float(np.maximum(inside.low - triangles, triangles - inside.high).max())
        if 0 < beyond <= HELD:
            notes.append(
                f"its shape reaches {1000 * beyond:.0f} mm into a wall and is taken as cut off there"
            )
            triangles = np.clip(triangles, inside.low, inside.high)
        low, high = triangles.reshape(-1, 3).min(axis=0), triangles.reshape(-1, 3).max(axis=0)
        middle = (low + high) / 2
        body = scan(triangles - middle)
    else:
        cuts, cut_at = cuts_of(plan, index, spare)
        middle = (chain.path.min(axis=0) + chain.path.max(axis=0)) / 2
        moved = [replace(cut, bound=cut.bound - float(middle[cut.axis])) for cut in cuts]
        body = trimmed_branch(chain.path - middle, chain.radius, moved)
        if cut_at:
            notes.append(
                f"its ends are cut {1000 * spare:.0f} mm short of {' and '.join(cut_at)}; a wedge or the screw closes "
                "that (up to 20 mm the plan calls held)"
            )
    low, high = extent_of(body)
    wood = brief.library.woods[perch.wood]
    mass = volume * number(wood.density) if wood.density is not None else None
    basis = wood.density.basis if wood.density is not None else ""
    return Item(
        perch.name,
        "perches",
        body,
        Pose(UPRIGHT, middle),
        np.array([0.0, 0.0, 1.0]),
        _pieces(chain.path, chain.radius),
        high - low,
        mass,
        f"volume of its path times the density of {perch.wood} ({basis})"
        if mass is not None
        else f"the library has no density of {perch.wood}",
        hands_for(high - low, mass),
        notes=tuple(notes),
    )


def cuts_of(plan: Plan, index: int, spare: float) -> tuple[list[Cut], list[str]]:
    """Where a branch is cut to fit: its ends at walls, panels and shelves that hold it, and all of it at the walls.

    Parameters
    ----------
    plan : Plan
        A checked plan.
    index : int
        Which perch. [-]
    spare : float
        How much shorter its ends are cut. [m]

    Returns
    -------
    cuts : list of Cut
        Planes. [m]
    at : list of str
        What its ends meet.
    """
    chain, inside = chain_of(plan.perches[index]), inside_box(plan)
    cuts = [Cut(axis, 1, 0.0) for axis in range(3)]
    cuts += [Cut(axis, -1, float(inside.high[axis])) for axis in range(3)]
    at: list[str] = []
    for end in (0, -1):
        tip, radius = chain.path[end], float(chain.radius[end])
        other = chain.path[1 if end == 0 else -2]
        for axis in range(3):
            for face, sign, wall in (("low", 1, 0.0), ("high", -1, float(inside.high[axis]))):
                if sign * (tip[axis] - wall) - radius <= HELD and sign * (other - tip)[axis] > 0:
                    cuts.append(Cut(axis, sign, wall + sign * spare, end))
                    at.append(_wall_name(axis, face))
        for name, box in _holding(plan):
            gap = np.maximum(box.low - tip, tip - box.high)
            if float(gap.max()) - radius > HELD:
                continue
            axis = int(np.argmax(gap))
            sign = 1 if tip[axis] - box.high[axis] > box.low[axis] - tip[axis] else -1
            if sign * (other - tip)[axis] > 0:
                bound = float(box.high[axis] if sign > 0 else box.low[axis])
                cuts.append(Cut(axis, sign, bound + sign * spare, end))
                at.append(name)
    return cuts, list(dict.fromkeys(at))


def _wall_name(axis: int, face: str) -> str:
    names = {
        (0, "low"): "left wall",
        (0, "high"): "right wall",
        (1, "low"): "front",
        (1, "high"): "back wall",
    }
    return f"the {names.get((axis, face), 'floor' if face == 'low' else 'lid')}"


def _holding(plan: Plan) -> Iterator[tuple[str, Box]]:
    for panel in plan.backgrounds:
        yield panel.name, background_box(plan, panel)
    for ledge in plan.ledges:
        yield ledge.name, ledge_box(ledge)


def _pieces(path: Floats, radius: Floats) -> Floats:
    """Blocks round the pieces of a branch."""
    steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
    length = max(PIECE, float(steps.sum()) / PIECES)
    blocks = []
    for k, step in enumerate(steps):
        count = max(1, int(np.ceil(step / length)))
        share = np.linspace(0.0, 1.0, count + 1)[:, None]
        points = path[k] + share * (path[k + 1] - path[k])
        balls = radius[k] + share * (radius[k + 1] - radius[k])
        low, high = points - balls, points + balls
        blocks += [
            np.array([np.minimum(low[i], low[i + 1]), np.maximum(high[i], high[i + 1])]) for i in range(count)
        ]
    return np.array(blocks)


def _vessels(plan: Plan) -> Iterator[Item]:
    for bowl in plan.bowls:
        box = _in_box(plan, bowl_box(bowl))
        item = _block(plan, bowl.name, "bowls", box, "what it is made of is not in the plan; carried empty")
        if bowl.diameter is not None and bowl.height is not None:
            item = _round(item, np.array(bowl.at), bowl.diameter / 2, bowl.height)
        yield replace(item, service=True)
    for plant in plan.plants:
        if plant.pot is None:
            continue
        pot, box = plant.pot, _in_box(plan, pot_box(plan, plant))
        name = f"pot of {plant.name}"
        mass = float(np.pi * pot.diameter**2 / 4 * pot.height * POTTED)
        item = _round(
            _block(plan, name, "plants", box, ""), pot_foot(plan, plant), pot.diameter / 2, pot.height
        )
        basis = "a pot full of moist mix, 1 kg a litre (common practice, no source); the plant is not in it"
        yield replace(
            item, mass=mass, mass_from=basis, hands=hands_for(item.size, mass), service=True
        )


def _round(item: Item, foot: Floats, radius: float, height: float) -> Item:
    body = turned([0.0, height], [radius, radius])
    return replace(item, body=body, goal=Pose(UPRIGHT, foot))


def _outside(plan: Plan, fixture: FixtureBrief) -> str:
    inside = inside_box(plan)
    middle = fixture.axis.mean(axis=0)
    if middle[2] > inside.high[2]:
        return "hangs above the box"
    if bool((middle < inside.low).any() or (middle > inside.high).any()):
        return "hangs outside the box"
    return ""


def _lamp(fixture: FixtureBrief) -> Item:
    lamp, axis = fixture.lamp, fixture.axis
    radius = number(lamp.diameter) / 2
    if str(lamp.emitter.value) not in LINE_EMITTERS:
        return _bulb(fixture)
    along = axis[1] - axis[0]
    length = float(np.linalg.norm(along))
    along, middle = along / length, axis.mean(axis=0)
    overall = max(length, number(lamp.length) if lamp.length is not None else 0.0)
    if lamp.emitter.value == "strip":
        turn = _turn_to(along, -fixture.emitter.aim)
        return _hung(fixture, block([2 * radius, 2 * radius, overall]), Pose(turn, middle), axis, radius, ())
    half = overall / 2
    tube = _hung(
        fixture,
        turned(
            [-half - PIN, -half + CAP_LENGTH, -half + CAP_LENGTH, half - CAP_LENGTH, half - CAP_LENGTH, half + PIN],
            [max(CAP / 2, radius)] * 2 + [radius] * 2 + [max(CAP / 2, radius)] * 2,
        ),
        Pose(_turn_to(along, -fixture.emitter.aim), middle),
        axis,
        radius,
        (f"{2 * (half + PIN):.3f} m long with its pins, {1000 * CAP:.0f} mm thick at its caps (common practice, no source)",),
    )  # fmt: skip
    if lamp.cut_off is None:
        return tube
    low = np.array([-REFLECTOR_WIDTH / 2, -max(CAP / 2, radius), -half - PIN])
    high = np.array([REFLECTOR_WIDTH / 2, REFLECTOR_DEPTH, half + PIN])
    # Own axes: z along the tube, y away from where it shines.
    shift = (low + high) / 2
    turn = tube.goal.turn
    place = middle + turned_vector(turn, shift)
    body = block(high - low)
    note = (
        f"goes in with its reflector, {1000 * REFLECTOR_WIDTH:.0f} mm wide and {1000 * REFLECTOR_DEPTH:.0f} mm "
        "behind the tube's middle (common practice, no source)"
    )
    whole = _hung(fixture, body, Pose(turn, place), axis, REFLECTOR_WIDTH / 2, (note, *tube.notes))
    return replace(whole, inner_part=tube)


def _bulb(fixture: FixtureBrief) -> Item:
    lamp = fixture.lamp
    radius, depth = number(lamp.diameter) / 2, depth_of(lamp)
    aim = fixture.emitter.aim
    centre = fixture.axis[0]
    body = turned([0.0, depth], [radius, radius])
    turn = _turn_to(-aim, np.array([0.0, 1.0, 0.0]) if abs(aim[1]) < 0.9 else np.array([1.0, 0.0, 0.0]))
    ends = np.array([centre, centre - depth * aim])
    note = "its holder counts with a quarter of its width; its cable and what it hangs on are left out"
    return _hung(fixture, body, Pose(turn, centre), ends, radius, (note,))


def _hung(
    fixture: FixtureBrief, body: Body, goal: Pose, axis: Floats, radius: float, notes: tuple[str, ...]
) -> Item:
    low, high = axis.min(axis=0) - radius, axis.max(axis=0) + radius
    along = (axis[1] - axis[0]) / max(float(np.linalg.norm(axis[1] - axis[0])), 1e-12)
    # Round it, except along it: there it ends.
    reach = radius * np.sqrt(np.maximum(0.0, 1.0 - along**2))
    low, high = axis.min(axis=0) - reach, axis.max(axis=0) + reach
    return Item(
        fixture.name,
        "fixtures",
        body,
        goal,
        np.array([0.0, 0.0, -1.0]),
        np.array([[low, high]]),
        high - low,
        None,
        "the library has no mass of lamps",
        hands_for(high - low, None),
        service=True,
        notes=notes,
    )


def _turn_to(z: Floats, y: Floats) -> Floats:
    """Unit quaternion whose z axis lies along `z`, and y as near to `y` as that leaves."""
    z = z / np.linalg.norm(z)
    y = y - (y @ z) * z
    y = y / np.linalg.norm(y) if np.linalg.norm(y) > 1e-9 else _across(z)
    return quaternion_of(np.stack([np.cross(y, z), y, z], axis=1))


def _across(z: Floats) -> Floats:
    other = np.eye(3)[int(np.argmin(np.abs(z)))]
    side = np.cross(z, other)
    return np.asarray(side / np.linalg.norm(side))


def extent_of(body: Body) -> tuple[Floats, Floats]:
    """Low and high corner of the box round a body, in its own axes. [m]"""
    outer: Skeleton = body.outer
    reach = outer.radius[:, None]
    return (outer.nodes - reach).min(axis=0), (outer.nodes + reach).max(axis=0)
