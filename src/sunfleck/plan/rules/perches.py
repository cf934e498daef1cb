"""Perches are whole branches, and something holds them."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.geometry.chains import Chain
from sunfleck.library.loader import Library
from sunfleck.plan.furnishing import Perch
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.shell import inside_size
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.plan.solids import background_box, chain_of, ledge_box, substrate_box
from sunfleck.units import format_quantity

Distance = Callable[[NDArray[np.float64]], NDArray[np.float64]]

# A gap a builder closes with a shim or a cut to fit; wider than that the perch hangs in the air.
TOUCH = 0.02
APART = 0.25


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
            yield from _joint_on_perch(plan, document, i, chains)
            continue
        held = _held_at(plan, i, chains)
        if len(held) < 2:
            yield _not_held(plan, document, i, held)


def _not_held(plan: Plan, document: Document, i: int, held: list[float]) -> Problem:
    perch = plan.perches[i]
    touch = format_quantity(TOUCH, "length", plan.show_units)
    needed = (
        "two points where it meets a wall, panel, ledge, the ground or another perch "
        f"(within {touch}), or a stated rigid joint"
    )
    free = perch.path[-1] if held and held[0] < 0.5 else perch.path[0]
    wrote = (
        f"{len(held)} held {'point' if len(held) == 1 else 'points'}; free at {_written_point(plan, free)}"
    )
    fix = None
    if held:
        fixed = perch.path[0] if held[0] < 0.5 else perch.path[-1]
        fix = "joint: {kind: bolted, at: " + _written_point(plan, fixed) + "}"
    return problem_at(document, ("perches", i), "geometry.perch-support", needed, wrote=wrote, fix=fix)


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


def _joint_on_perch(plan: Plan, document: Document, i: int, chains: dict[int, Chain]) -> Iterator[Problem]:
    joint = plan.perches[i].joint
    assert joint is not None
    point = np.array([joint.at])
    gap = float(chains[i].distance(point)[0])
    if gap > TOUCH:
        needed = f"a point on the perch; this one is {format_quantity(gap, 'length', plan.show_units)} away"
        yield problem_at(document, ("perches", i, "joint", "at"), "geometry.joint-off-perch", needed)
        return
    # The joint sits within the branch; what it is fixed to begins at the branch's surface.
    _, _, radius = chains[i].at(np.linspace(0.0, chains[i].length, 5))
    nearest = min(float(distance(point)[0]) for distance in _holders(plan, i, chains))
    if nearest > TOUCH + float(radius.max()):
        away = format_quantity(nearest, "length", plan.show_units)
        needed = f"a point where the perch meets something to be fixed to; the nearest is {away} away"
        yield problem_at(document, ("perches", i, "joint", "at"), "geometry.joint-off-perch", needed)


def _holders(plan: Plan, i: int, chains: dict[int, Chain]) -> list[Distance]:
    """Distances from everything that can hold perch `i`: each wall, panels, ledges, the ground, perches."""
    size = inside_size(plan)
    holders: list[Distance] = [_from_plane(axis, at) for axis in range(3) for at in (0.0, size[axis])]
    blocks = [background_box(plan, panel) for panel in plan.backgrounds]
    blocks += [ledge_box(ledge) for ledge in plan.ledges]
    if plan.substrate is not None:
        blocks.append(substrate_box(plan))
    holders += [block.distance for block in blocks]
    holders += [other.distance for j, other in chains.items() if j != i]
    return holders


def _from_plane(axis: int, at: float) -> Distance:
    return lambda points: np.asarray(np.abs(points[:, axis] - at))


def _held_at(plan: Plan, i: int, chains: dict[int, Chain]) -> list[float]:
    """Separate places along perch `i`, as shares of its length, where something holds it."""
    chain = chains[i]
    along = np.linspace(0.0, chain.length, 81)
    axis, _, radius = chain.at(along)
    # One long contact (a branch lying on the ground) holds at both its ends.
    places: list[float] = []
    for distance in _holders(plan, i, chains):
        where = along[distance(axis) - radius <= TOUCH]
        if len(where):
            places += [float(where[0]), float(where[-1])]
    held: list[float] = []
    for place in sorted(places):
        if not held or place - held[-1] >= APART * chain.length:
            held.append(place)
    return [place / chain.length for place in held]


def _written_point(plan: Plan, point: tuple[float, float, float]) -> str:
    return "[" + ", ".join(format_quantity(x, "length", plan.show_units) for x in point) + "]"
