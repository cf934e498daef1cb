"""Perches are whole branches, and something holds them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.geometry.boxes import Box
from sunfleck.geometry.chains import Chain
from sunfleck.library.loader import Library
from sunfleck.plan.furnishing import Perch
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.shell import inside_size
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.plan.solids import background_box, chain_of, ledge_box, substrate_box
from sunfleck.units import format_quantity

# A gap a builder closes with a shim or a cut to fit; wider than that the perch hangs in the air.
TOUCH = 0.02


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield perches that are no branches or are not held."""
    del library
    whole: list[tuple[int, Perch]] = []
    for i, perch in enumerate(plan.perches):
        faults = list(_shape(plan, document, ("perches", i), perch))
        yield from faults
        if not faults:
            whole.append((i, perch))
    chains = {i: chain_of(perch) for i, perch in whole}
    for i, perch in whole:
        if perch.joint is not None:
            yield from _joint_on_perch(plan, document, i, perch, chains[i])
            continue
        held = _held_at(plan, i, chains)
        if held < 2:
            needed = (
                "two points where it meets a wall, panel, ledge, the ground or another perch "
                f"(within {format_quantity(TOUCH, 'length', plan.show_units)}), or a stated rigid joint"
            )
            fix = "joint: {kind: bolted, at: " + _written_point(plan, perch.path[0]) + "}"
            wrote = f"{held} held {'point' if held == 1 else 'points'}"
            yield problem_at(document, ("perches", i), "geometry.perch-support", needed, wrote=wrote, fix=fix)


def _shape(plan: Plan, document: Document, path: Path, perch: Perch) -> Iterator[Problem]:
    if len(perch.diameter) not in (1, len(perch.path)):
        needed = f"one diameter, or one for each of the {len(perch.path)} points of the path"
        yield problem_at(document, (*path, "diameter"), "geometry.perch-diameters", needed)
    for k, (a, b) in enumerate(zip(perch.path[:-1], perch.path[1:], strict=True)):
        if np.linalg.norm(np.subtract(a, b)) < 1e-4:
            needed = "a point apart from the one before it"
            yield problem_at(document, (*path, "path", k + 1), "geometry.path-repeats", needed)
    smallest = min(inside_size(plan))
    if max(perch.diameter) >= smallest:
        needed = f"less than the box's smallest side, {format_quantity(smallest, 'length', plan.show_units)}"
        yield problem_at(document, (*path, "diameter"), "geometry.inside-shell", needed)


def _joint_on_perch(plan: Plan, document: Document, i: int, perch: Perch, chain: Chain) -> Iterator[Problem]:
    assert perch.joint is not None
    gap = float(chain.distance(np.array([perch.joint.at]))[0])
    if gap > TOUCH:
        needed = f"a point on the perch; this one is {format_quantity(gap, 'length', plan.show_units)} away"
        yield problem_at(document, ("perches", i, "joint", "at"), "geometry.joint-off-perch", needed)


def _held_at(plan: Plan, i: int, chains: dict[int, Chain]) -> int:
    """Count the separate places along perch `i` where something holds it."""
    chain = chains[i]
    along = np.linspace(0.0, chain.length, 81)
    axis, _, radius = chain.at(along)
    size = np.array(inside_size(plan))
    touches = [axis[:, k] - radius <= TOUCH for k in range(3)]
    touches += [size[k] - axis[:, k] - radius <= TOUCH for k in range(3)]
    blocks: list[Box] = [background_box(plan, panel) for panel in plan.backgrounds]
    blocks += [ledge_box(ledge) for ledge in plan.ledges]
    if plan.substrate is not None:
        blocks.append(substrate_box(plan))
    touches += [block.distance(axis) - radius <= TOUCH for block in blocks]
    touches += [other.distance(axis) - radius <= TOUCH for j, other in chains.items() if j != i]
    # One long contact (a branch lying on the ground) holds at both its ends.
    places: list[float] = []
    for touch in touches:
        where = along[touch]
        if len(where):
            places += [float(where[0]), float(where[-1])]
    apart = 0.25 * chain.length
    held: list[float] = []
    for place in sorted(places):
        if not held or place - held[-1] >= apart:
            held.append(place)
    return len(held)


def _written_point(plan: Plan, point: tuple[float, float, float]) -> str:
    return "[" + ", ".join(format_quantity(x, "length", plan.show_units) for x in point) + "]"
