"""What the light of each lamp meets: the furnishing, the sheets as it meets them, and the other lamps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.brief.media import Medium, media_met_by
from sunfleck.geometry.boxes import Box
from sunfleck.geometry.bvh import build_bvh
from sunfleck.physics.emitters import DiscEmitter, LineEmitter
from sunfleck.physics.scene import Scene

Floats = NDArray[np.float64]

# A way that passes a box by less than this may meet it, if all is rounded. [m]
ROUNDED = 1e-6


@dataclass(frozen=True, eq=False)
class LampScene:
    """What stands in the way of one lamp.

    Attributes
    ----------
    scene : Scene
        Furnishing, sheets, leafy bodies and the bodies of the other lamps. [m]
    media : tuple of Medium
        The medium of each group of the scene's sheets.
    bodies : (m, 3, 3) float
        Triangles of the other lamps. [m]
    """

    scene: Scene
    media: tuple[Medium, ...]
    bodies: Floats


def lamp_scenes(brief: Brief) -> tuple[LampScene, ...]:
    """Return what the light of each fixture meets; all share the furnishing.

    Parameters
    ----------
    brief : Brief
        The resolved plan.

    Returns
    -------
    scenes : tuple of LampScene
        In the order of the fixtures.
    """
    around = brief.surroundings
    scenes = []
    for fixture in brief.fixtures:
        media, kinds = media_met_by(brief.sheets, fixture.axis)
        others = [other.body for other in brief.fixtures if other is not fixture]
        bodies = np.concatenate([np.zeros((0, 3, 3)), *others])
        scene = Scene(around.bvh, media, build_bvh(bodies), around.canopies)
        scenes.append(LampScene(scene, kinds, bodies))
    return tuple(scenes)


def among_fewer_leaves(brief: Brief, lamp: LampScene) -> LampScene:
    """Return what the light of a lamp meets with some of the leaves gone; the same where there are none."""
    leaves = brief.surroundings.leaves
    if leaves is None:
        return lamp
    scene = Scene(leaves.bvh, lamp.scene.media, lamp.scene.bodies, leaves.canopies)
    return LampScene(scene, lamp.media, lamp.bodies)


@dataclass(frozen=True)
class Move:
    """What is different between a plan and the same plan with lamps moved.

    Attributes
    ----------
    before : dict of int to int
        Which fixture of the plan before each fixture is, if that has neither moved nor changed.
    boxes : tuple of Box
        Where something of a lamp that moved, was added or was taken away stood or stands. [m]
    """

    before: dict[int, int]
    boxes: tuple[Box, ...]

    def touches(self, emitter: LineEmitter | DiscEmitter, points: Floats) -> NDArray[np.bool_]:
        """Whether a way from each point (n, 3) to a lamp may pass what has moved, (n,).

        Never false where one does; sometimes true where none does.
        """
        touched = np.zeros(len(points), dtype=bool)
        for box in self.boxes:
            if isinstance(emitter, LineEmitter):
                touched |= _wedges_meet(points, emitter.start, emitter.end, box)
            else:
                touched |= _meets(points, emitter.centre - points, box, emitter.radius, 1.0)
        return touched

    def crossed_by(self, origins: Floats, directions: Floats) -> bool:
        """Whether any ray with an origin and a unit direction (r, 3) would meet a place that changed."""
        return any(bool(_meets(origins, directions, box, 0.0, np.inf).any()) for box in self.boxes)


def _meets(origins: Floats, ways: Floats, box: Box, margin: float, most: float) -> NDArray[np.bool_]:
    """Whether each origin + t way (r, 3), t from 0 to `most`, meets a box wider by a margin on all sides."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        one, other = (box.low - margin - origins) / ways, (box.high + margin - origins) / ways
    # A way along a face has 0 / 0 there: it counts as within.
    enter = np.where(np.isnan(one), -np.inf, np.minimum(one, other)).max(axis=1)
    leave = np.where(np.isnan(one), np.inf, np.maximum(one, other)).min(axis=1)
    return np.asarray((leave >= np.maximum(enter, 0.0)) & (enter <= most))


def _wedges_meet(points: Floats, start: Floats, end: Floats, box: Box) -> NDArray[np.bool_]:
    """Whether the triangle from each point (n, 3) to a line may meet a box; false only where a plane parts them."""
    half, middle = (box.high - box.low) / 2 + ROUNDED, (box.high + box.low) / 2
    low = np.minimum(points, np.minimum(start, end))
    high = np.maximum(points, np.maximum(start, end))
    meets = ((low <= middle + half) & (high >= middle - half)).all(axis=1)
    to_start, to_end, to_box = start - points, end - points, middle - points
    across = np.cross(to_start, to_end)
    meets &= np.abs(np.einsum("nk,nk->n", to_box, across)) <= np.abs(across) @ half
    # Square to the three edges, each pointing to the inside of the triangle.
    for inwards, way in (
        (np.cross(across, to_start), to_box),
        (np.cross(to_end, across), to_box),
        (np.cross(across, end - start), np.broadcast_to(middle - start, points.shape)),
    ):
        meets &= np.einsum("nk,nk->n", way, inwards) >= -(np.abs(inwards) @ half)
    return np.asarray(meets)


def move_between(before: Brief, after: Brief) -> Move | None:
    """Compare the lamps of two briefs with the same surroundings; None if these differ.

    Parameters
    ----------
    before, after : Brief
        A plan, and the same plan later.

    Returns
    -------
    move : Move or None
        Which lamps stayed, and where something is different.
    """
    if before.surroundings is not after.surroundings:
        return None
    same: dict[int, int] = {}
    for fixture in after.fixtures:
        for earlier in before.fixtures:
            if earlier.index not in same.values() and _hangs_alike(earlier, fixture):
                same[fixture.index] = earlier.index
                break
    gone = [f for f in before.fixtures if f.index not in same.values()]
    new = [f for f in after.fixtures if f.index not in same]
    boxes = [_extent(before, f) for f in gone] + [_extent(after, f) for f in new]
    return Move(same, tuple(boxes))


def _hangs_alike(one: FixtureBrief, other: FixtureBrief) -> bool:
    return (
        one.fixture.lamp == other.fixture.lamp
        and one.fixture.guard == other.fixture.guard
        and np.array_equal(one.axis, other.axis)
        and _same_emitter(one.emitter, other.emitter)
    )


def _same_emitter(one: LineEmitter | DiscEmitter, other: LineEmitter | DiscEmitter) -> bool:
    return type(one) is type(other) and all(
        np.array_equal(getattr(one, name), getattr(other, name)) for name in type(one).__slots__
    )


def _extent(brief: Brief, fixture: FixtureBrief) -> Box:
    """Box round a lamp's body and guard. [m]"""
    corners = fixture.body.reshape(-1, 3)
    for sheet in brief.guards:
        if sheet.cage is not None and bool(sheet.cage.contains(fixture.axis).all()):
            corners = np.concatenate([corners, [sheet.cage.low, sheet.cage.high]])
    return Box(corners.min(axis=0), corners.max(axis=0))
