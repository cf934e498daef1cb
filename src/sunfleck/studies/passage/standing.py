"""What stands in a part's way at one moment, fitted where parts meet: joints of branches, hairs, soil."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.rotations import matrix_of
from sunfleck.studies.passage.parts import HELD, Item, short_length

Floats = NDArray[np.float64]

# Points along each rod at which a part is held against what stands beside its place.
ALONG = 9
# Touching is no overlap. [m]
HAIR = 1e-7
# How a note ends that says that a part has no place as drawn.
ONE_IS_CUT = "one of them must be cut"


def standing_for(
    item: Item,
    others: Iterable[Item],
    near: float,
    ground: float = 0.0,
    inside: Floats | None = None,
    units: str = "metric",
) -> tuple[Floats, tuple[str, ...]]:
    """Blocks in the way of a part, and what was fitted.

    Parameters
    ----------
    item : Item
        What moves.
    others : iterable of Item
        What stands.
    near : float
        Within this of a branch the part meets it: pieces of the branch there are its joint. [m]
    ground : float
        Height of the soil, 0 while it is not in. [m]
    inside : (3,) float, optional
        Extent of the box, for the soil. [m]
    units : str
        ``metric`` or ``us``, of the notes.

    Returns
    -------
    blocks : (k, 2, 3) float
        What bounds the part on its way. [m]
    notes : tuple of str
        Where it meets or overlaps what stands.
    """
    points, radius = _along(item)
    square = _is_square(item)
    blocks: list[Floats] = []
    notes: list[str] = []
    for other in others:
        jointed = item.group == other.group == "perches"
        limb = other.group == "perches"
        lost = 0
        for corners, deep, axis, sign in zip(
            other.fills, *_overlaps(points, radius, other.fills, square=square), strict=True
        ):
            if deep <= (-near if jointed else HAIR):
                blocks.append(corners)
                continue
            if limb or deep <= HELD:
                # Where branches are joined, room to bring one to the other is left as well.
                back = deep + (near if limb else HAIR)
                fitted = corners.copy()
                fitted[1 if sign > 0 else 0, axis] -= sign * back
                if fitted[1, axis] > fitted[0, axis]:
                    blocks.append(fitted)
                if limb:
                    lost += 1
                else:
                    notes.append(
                        f"{other.name} is taken as cut {short_length(deep, units)} back where it meets it"
                    )
                continue
            notes.append(
                f"its place lies {short_length(deep, units)} within {other.name}, which is left out here: {ONE_IS_CUT}"
            )
        if lost:
            notes.append(f"it meets {other.name} at its place: joined or notched there")
    if ground > 0 and inside is not None:
        # Loose soil is dug away round what is sunk in it.
        top = min(ground, float(item.fills[:, 0, 2].min()))
        if top > 0:
            blocks.append(np.array([[0.0, 0.0, 0.0], [inside[0], inside[1], top]]))
    return np.array(blocks).reshape(-1, 2, 3), tuple(dict.fromkeys(notes))


def _along(item: Item) -> tuple[Floats, Floats]:
    outer = item.body.outer
    nodes = outer.nodes @ matrix_of(item.goal.turn).T + item.goal.place
    share = np.linspace(0.0, 1.0, ALONG)[None, :, None]
    a, b = nodes[outer.rods[:, 0]][:, None], nodes[outer.rods[:, 1]][:, None]
    ra, rb = outer.radius[outer.rods[:, 0]][:, None], outer.radius[outer.rods[:, 1]][:, None]
    points = np.concatenate([nodes, (a + share * (b - a)).reshape(-1, 3)])
    return points, np.concatenate([outer.radius, (ra + share[..., 0] * (rb - ra)).reshape(-1)])


def _is_square(item: Item) -> bool:
    """Whether it is one block whose edges lie along the box's."""
    if item.chain is not None or not item.body.half_turns or item.body.circles:
        return False
    turn = np.abs(matrix_of(item.goal.turn))
    return bool((np.minimum(turn, 1.0 - turn) < HAIR).all())


def _overlaps(
    points: Floats, radius: Floats, blocks: Floats, *, square: bool
) -> tuple[list[float], list[int], list[int]]:
    """How deep a part lies in each block, below zero how far off it stays; and the side it is nearest to.

    Of two blocks along the box's edges that is exact; of others as deep as one of the part's points lies, so that what
    passes through a block without a point in it is told as overlapping less than it does, and finds no room there.
    """
    each = np.arange(len(blocks))
    low, high = blocks[:, 0], blocks[:, 1]
    first, last = (points - radius[:, None]).min(axis=0), (points + radius[:, None]).max(axis=0)
    if square:
        whole = np.minimum(high - first, last - low)
        axis = whole.argmin(axis=1)
        above = first[axis] + last[axis] > low[each, axis] + high[each, axis]
        apart = -np.linalg.norm(np.maximum(-whole, 0.0), axis=1)
        deep = np.where((whole > 0).all(axis=1), whole[each, axis], apart)
    else:
        beyond = np.maximum(low[:, None] - points, points - high[:, None])
        outside = np.linalg.norm(np.maximum(beyond, 0.0), axis=2)
        gap = np.where(outside > 0, outside, beyond.max(axis=2)) - radius
        nearest = gap.argmin(axis=1)
        axis = beyond[each, nearest].argmax(axis=1)
        at = points[nearest, axis]
        above = at - high[each, axis] > low[each, axis] - at
        deep = -gap[each, nearest]
    return deep.tolist(), axis.tolist(), np.where(above, 1, -1).tolist()
