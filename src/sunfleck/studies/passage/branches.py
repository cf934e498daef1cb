"""Branches as parts that go in: cut to fit where they are held, and as blocks once they stand."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.boxes import Box
from sunfleck.geometry.chains import Chain
from sunfleck.geometry.passage.trimmed import Cut
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import background_box, chain_of, inside_box, ledge_box
from sunfleck.studies.passage.parts import HELD

Floats = NDArray[np.float64]

# Blocks that one branch is taken as where it stands already, at most, and their least length. [m]
PIECES, PIECE = 10, 0.04
# How far apart a branch is looked at along itself and along a push. [m]
LOOK = 0.008


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


def pieces_of(path: Floats, radius: Floats) -> Floats:
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


def swept_clear(chain: Chain, away: Floats, standing: Floats) -> bool:
    """Whether a branch pushed straight onto its place from `away` (3,) of it touches no block on its way.

    Parameters
    ----------
    chain : Chain
        In its place, whole: what is cut off it does not touch either. [m]
    away : (3,) float
        From its place to where the push begins. [m]
    standing : (k, 2, 3) float
        Blocks, as they are. [m]

    Returns
    -------
    clear : bool
        True is certain: between places looked at, 8 mm apart along branch and push, nothing comes nearer by more than
        the 8 mm that are kept free at each. False where it comes nearer.
    """
    if len(standing) == 0:
        return True
    along = np.linspace(0.0, chain.length, max(2, int(np.ceil(chain.length / LOOK)) + 1))
    knots = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(chain.path, axis=0), axis=1))])
    points, _, radius = chain.at(np.union1d(along, knots))
    # Between two points the branch is no thicker than the thicker of them.
    wider = np.maximum(radius[1:], radius[:-1])
    thick = np.maximum(np.concatenate([wider[:1], wider]), np.concatenate([wider, wider[-1:]]))
    count = max(2, int(np.ceil(float(np.linalg.norm(away)) / LOOK)) + 1)
    for share in np.linspace(0.0, 1.0, count):
        at = (points + share * away)[:, None]
        beyond = np.maximum(standing[None, :, 0] - at, at - standing[None, :, 1])
        gap = np.linalg.norm(np.maximum(beyond, 0.0), axis=2) - thick[:, None]
        if float(gap.min()) < LOOK:
            return False
    return True
