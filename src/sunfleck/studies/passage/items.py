"""What goes into a box, as rigid bodies in their places: panels, shelves, hides, branches, pots, bowls, lamps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.backings import CORE
from sunfleck.brief.build import Brief
from sunfleck.brief.givens import number
from sunfleck.errors import DomainError
from sunfleck.geometry.boxes import FACE_AXES, Box
from sunfleck.geometry.passage.bodies import block, branch, relief, scan, turned
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.trimmed import trimmed_branch
from sunfleck.plan.furnishing import Background, Ledge, Perch
from sunfleck.plan.models import Plan
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
from sunfleck.studies.passage.branches import cuts_of, pieces_of
from sunfleck.studies.passage.hands import hands_for
from sunfleck.studies.passage.lamps import hangs_outside, lamp_item
from sunfleck.studies.passage.parts import HELD, Item, extent_of, short_length

Floats = NDArray[np.float64]
UPRIGHT = np.array([1.0, 0.0, 0.0, 0.0])

# Trade defaults; common practice, no source.
# A pot full of moist mix, all in all. [kg m-3]
POTTED = 1000.0


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
    found: list[Item] = [
        _background(brief, panel, plan.backgrounds[:k], spare) for k, panel in enumerate(plan.backgrounds)
    ]
    found += [_perch(brief, i, perch, folder, spare) for i, perch in enumerate(plan.perches)]
    for ledge in plan.ledges:
        found.append(_ledge(plan, ledge, spare))
    for hide in plan.hides:
        item = _block(plan, hide.name, "hides", ledge_box(hide), "what it is made of is not in the plan")
        found.append(replace(item, service=True))
    found += _vessels(plan)
    left_out = list(_left_out(plan))
    for fixture in brief.fixtures:
        outside = hangs_outside(plan, fixture)
        if outside:
            left_out.append(f"{fixture.name}: {outside}, so it goes through no door")
        elif fixture.lamp.emitter.value == "disc":
            # A round face of the same area is right for light and heat, and wrong for a door.
            left_out.append(
                f"{fixture.name}: the library knows how large the face of such panels and mats is, not its outline"
            )
        else:
            found.append(lamp_item(fixture, inside_box(plan).high, plan.show_units))
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


def _ledge(plan: Plan, ledge: Ledge, spare: float) -> Item:
    """A shelf; where it reaches from wall to wall it is cut so much shorter that it can be moved at all."""
    item = _block(plan, ledge.name, "ledges", ledge_box(ledge), "its material is not in the plan")
    low, high = item.fills[0]
    gap = np.maximum(low, inside_box(plan).high - high)
    between = (gap < spare) & (high - low > 4 * spare)
    if not between.any():
        return item
    size = np.where(between, high - low - 2 * spare, high - low)
    joint = short_length(spare, plan.show_units)
    note = f"it reaches from wall to wall and is taken as cut {joint} shorter at each end; battens hold it"
    return replace(item, body=block(size), size=size, notes=(note,))


def _background(brief: Brief, panel: Background, before: Sequence[Background], spare: float) -> Item:
    """A panel; one for a whole wall is ordered smaller by a joint all round, and ends at panels of the walls beside it."""
    plan, units = brief.plan, brief.plan.show_units
    body = _in_box(plan, background_box(plan, panel))
    notes: tuple[str, ...] = ()
    fixed, end, first, second = FACE_AXES[panel.face]
    if panel.at is None:
        # Nobody orders a panel for a whole wall to the hair: it could not be moved at all.
        low, high = body.low.copy(), body.high.copy()
        low[[first, second]] += spare
        high[[first, second]] -= spare
        beside = [other for other in before if other.at is None and FACE_AXES[other.face][0] != fixed]
        for other in beside:
            axis, at_end, _, _ = FACE_AXES[other.face]
            if at_end:
                high[axis] -= other.thickness
            else:
                low[axis] += other.thickness
        if bool((high > low).all()):
            body = Box(low, high)
            notes = (
                f"it covers the whole wall and is taken as ordered {short_length(spare, units)} smaller at each edge, a "
                "joint that is filled; with `at` and `size` it is taken as written",
                *(
                    f"it ends at {other.name}, {short_length(other.thickness, units)} before the wall"
                    for other in beside
                ),
            )
    blocks = [body]
    for box in (_in_box(plan, each) for each in relief_boxes(plan, panel)):
        # Its relief ends where it does.
        low, high = box.low.copy(), box.high.copy()
        for axis in (first, second):
            low[axis], high[axis] = max(low[axis], body.low[axis]), min(high[axis], body.high[axis])
        if bool((high > low).all()):
            blocks.append(Box(low, high))
    corners = np.array([[each.low, each.high] for each in blocks])
    low, high = corners[:, 0].min(axis=0), corners[:, 1].max(axis=0)
    size, middle = high - low, (low + high) / 2
    leaves = np.zeros(3)
    leaves[fixed] = -1.0 if end else 1.0
    core = panel.core or CORE
    density = brief.library.materials[core].density
    mass = number(density) * float(np.prod(corners[:, 1] - corners[:, 0], axis=1).sum())
    stated = "" if panel.core else "; the core is not stated and is taken as foam"
    mass_from = f"volume times the density of {core} ({density.basis}){stated}; its finish is not in it"
    return Item(
        panel.name,
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
        notes=notes,
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
                f"its shape reaches {short_length(beyond, plan.show_units)} into a wall and is taken as cut off there"
            )
            triangles = np.clip(triangles, inside.low, inside.high)
        low, high = triangles.reshape(-1, 3).min(axis=0), triangles.reshape(-1, 3).max(axis=0)
        middle = (low + high) / 2
        body = scan(triangles - middle)
    else:
        cuts, cut_at = cuts_of(plan, index, spare)
        middle = (chain.path.min(axis=0) + chain.path.max(axis=0)) / 2
        moved = [replace(cut, bound=cut.bound - float(middle[cut.axis])) for cut in cuts]
        try:
            body = trimmed_branch(chain.path - middle, chain.radius, moved)
        except DomainError:
            # It lies wholly within what would cut it.
            body, cut_at = branch([(chain.path - middle, chain.radius)]), []
        if cut_at:
            notes.append(
                f"its ends are cut {short_length(spare, plan.show_units)} short of {' and '.join(cut_at)}; a wedge or "
                f"the screw closes that (up to {short_length(HELD, plan.show_units)} the plan calls held)"
            )
    low, high = extent_of(body)
    wood = brief.library.woods[perch.wood]
    mass = volume * number(wood.density) if wood.density is not None else None
    basis = wood.density.basis if wood.density is not None else ""
    return Item(
        perch.name,
        perch.name,
        "perches",
        body,
        Pose(UPRIGHT, middle),
        np.array([0.0, 0.0, 1.0]),
        pieces_of(chain.path, chain.radius),
        high - low,
        mass,
        f"volume of its path times the density of {perch.wood} ({basis})"
        if mass is not None
        else f"the library has no density of {perch.wood}",
        hands_for(high - low, mass),
        chain=chain if perch.shape is None else None,
        notes=tuple(notes),
    )


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
            item, part=plant.name, mass=mass, mass_from=basis, hands=hands_for(item.size, mass), service=True
        )


def _round(item: Item, foot: Floats, radius: float, height: float) -> Item:
    body = turned([0.0, height], [radius, radius])
    return replace(item, body=body, goal=Pose(UPRIGHT, foot))
