"""The shapes of a plan's parts, one function a part."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.boxes import FACE_AXES, Box
from sunfleck.geometry.chains import Chain
from sunfleck.plan.furnishing import Background, Bowl, Hide, Ledge, Perch, Plant, Pot
from sunfleck.plan.models import Plan


def inside_box(plan: Plan) -> Box:
    """Return the inside of the carcass. [m]"""
    inside = plan.enclosure.inside
    return Box(np.zeros(3), np.array([inside.width, inside.depth, inside.height]))


def chain_of(perch: Perch) -> Chain:
    """Return a perch as a branch. [m]"""
    diameter = perch.diameter * len(perch.path) if len(perch.diameter) == 1 else perch.diameter
    return Chain(np.array(perch.path), np.array(diameter) / 2)


def ledge_box(part: Ledge | Hide) -> Box:
    """Return a ledge, or the outside of a hide, as a block. [m]"""
    low = np.array(part.at)
    return Box(low, low + np.array(part.size))


def background_box(plan: Plan, panel: Background) -> Box:
    """Return a background panel as a block against its wall. [m]"""
    inside = inside_box(plan)
    fixed, end, first, second = FACE_AXES[panel.face]
    low: NDArray[np.float64] = inside.low.copy()
    high: NDArray[np.float64] = inside.high.copy()
    if end:
        low[fixed] = high[fixed] - panel.thickness
    else:
        high[fixed] = low[fixed] + panel.thickness
    if panel.at is not None and panel.size is not None:
        low[first], low[second] = panel.at
        high[first], high[second] = panel.at[0] + panel.size[0], panel.at[1] + panel.size[1]
    return Box(low, high)


def relief_boxes(plan: Plan, panel: Background) -> list[Box]:
    """Return the blocks that stand out of a background panel. [m]"""
    fixed, end, first, second = FACE_AXES[panel.face]
    body = background_box(plan, panel)
    boxes = []
    for block in panel.relief:
        low, high = body.low.copy(), body.high.copy()
        if end:
            low[fixed], high[fixed] = body.low[fixed] - block.thickness, body.low[fixed]
        else:
            low[fixed], high[fixed] = body.high[fixed], body.high[fixed] + block.thickness
        low[first], low[second] = block.at
        high[first], high[second] = block.at[0] + block.size[0], block.at[1] + block.size[1]
        boxes.append(Box(low, high))
    return boxes


def pot_foot(plan: Plan, plant: Plant) -> NDArray[np.float64]:
    """Return the middle of the foot of a plant's pot, (3,): its own place, or the ground below the crown. [m]"""
    assert plant.pot is not None
    if plant.pot.at is not None:
        return np.array(plant.pot.at)
    ground = plan.substrate.depth if plan.substrate is not None else 0.0
    return np.array([*plant.crown.middle[:2], ground])


def pot_box(plan: Plan, plant: Plant) -> Box:
    """Return the block round a plant's pot. [m]"""
    pot: Pot | None = plant.pot
    assert pot is not None
    return _round_box(pot_foot(plan, plant), pot.diameter, pot.height)


def bowl_box(bowl: Bowl) -> Box:
    """Return a bowl, or the block round a round one. [m]"""
    low = np.array(bowl.at)
    if bowl.size is not None:
        return Box(low, low + np.array(bowl.size))
    assert bowl.diameter is not None
    assert bowl.height is not None
    return _round_box(low, bowl.diameter, bowl.height)


def _round_box(foot: NDArray[np.float64], diameter: float, height: float) -> Box:
    half = np.array([diameter / 2, diameter / 2, 0.0])
    return Box(foot - half, foot + half + np.array([0.0, 0.0, height]))


def substrate_box(plan: Plan) -> Box:
    """Return the ground as a block; the plan must have a substrate. [m]"""
    assert plan.substrate is not None
    inside = inside_box(plan)
    high = inside.high.copy()
    high[2] = plan.substrate.depth
    return Box(inside.low, high)


def solids(plan: Plan) -> list[tuple[str, Box | Chain]]:
    """Return what is solid in the box, with its name: panels, ledges, the ground, perches. [m]

    A perch whose path cannot be followed is left out; it has a problem of its own.
    """
    bodies: list[tuple[str, Box | Chain]] = [(p.name, background_box(plan, p)) for p in plan.backgrounds]
    bodies += [(part.name, ledge_box(part)) for part in plan.ledges]
    if plan.substrate is not None:
        bodies.append(("the ground", substrate_box(plan)))
    for perch in plan.perches:
        whole = len(perch.diameter) in (1, len(perch.path))
        if whole and all(np.linalg.norm(np.subtract(a, b)) > 1e-4 for a, b in pairwise(perch.path)):
            bodies.append((perch.name, chain_of(perch)))
    return bodies
