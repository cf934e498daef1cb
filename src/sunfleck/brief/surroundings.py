"""What light meets on its way: opaque triangles, solids, and thin media."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.factors import FactorTable
from sunfleck.brief.media import Sheet, SheetCollector
from sunfleck.geometry.boxes import FACES, Box, Rectangle, face_without_openings, part_of_face
from sunfleck.geometry.bvh import Bvh, build_bvh
from sunfleck.geometry.chains import Chain
from sunfleck.geometry.leaves import leaf_cloud, seed_from_name
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import background_box, chain_of, inside_box, ledge_box, substrate_box


@dataclass(frozen=True)
class Surroundings:
    """The furnished box, ready for light.

    Attributes
    ----------
    inside : Box
        The inside of the carcass. [m]
    ground : float
        Height of the ground's surface. [m]
    blocks : tuple of Box
        Solid blocks: panels, ledges, ground. [m]
    branches : tuple of Chain
        Perches. [m]
    triangles : (m, 3, 3) float
        Every opaque surface. [m]
    carcass : int
        How many of them, the first ones, are the carcass.
    bvh : Bvh
        The same, ready for rays.
    sheets : tuple of Sheet
        Meshes, panes and guards.
    """

    inside: Box
    ground: float
    blocks: tuple[Box, ...]
    branches: tuple[Chain, ...]
    triangles: NDArray[np.float64]
    carcass: int
    bvh: Bvh
    sheets: tuple[Sheet, ...]

    def solid_at(self, points: ArrayLike, margin: float = 0.0) -> NDArray[np.bool_]:
        """Whether each of `points` (n, 3) lies inside something solid, or within `margin` of it. [m]"""
        p = np.asarray(points, dtype=np.float64)
        solid = np.zeros(len(p), dtype=bool)
        for block in self.blocks:
            solid |= block.contains(p, margin)
        for branch in self.branches:
            solid |= branch.contains(p, margin)
        return solid


def surroundings(plan: Plan, library: Library, table: FactorTable) -> Surroundings:
    """Build what surrounds the lamps.

    Parameters
    ----------
    plan : Plan
        A checked plan.
    library : Library
        The library its ids belong to.
    table : FactorTable
        Collects the factors of the media.

    Returns
    -------
    surroundings : Surroundings
        Triangles, solids and media. [m]
    """
    box = inside_box(plan)
    blocks = [background_box(plan, panel) for panel in plan.backgrounds]
    blocks += [ledge_box(ledge) for ledge in plan.ledges]
    if plan.substrate is not None:
        blocks.append(substrate_box(plan))
    branches = [chain_of(perch) for perch in plan.perches]

    sheets = SheetCollector(plan, library, table)
    pieces = _carcass(plan, box, sheets)
    carcass = sum(len(piece) for piece in pieces)
    pieces += [block.triangles() for block in blocks]
    pieces += [branch.triangles() for branch in branches]
    pieces += [ledge_box(hide).triangles(without=(hide.opening,)) for hide in plan.hides]
    pieces += [
        leaf_cloud(
            plant.crown.middle,
            (plant.crown.radius, plant.crown.radius, plant.crown.height / 2),
            plant.leaf_area,
            plant.leaf.length,
            plant.leaf.width,
            seed_from_name(plant.name),
        )
        for plant in plan.plants
    ]
    sheets.guards()
    triangles = np.concatenate(pieces) if pieces else np.zeros((0, 3, 3))
    return Surroundings(
        inside=box,
        ground=plan.substrate.depth if plan.substrate is not None else 0.0,
        blocks=tuple(blocks),
        branches=tuple(branches),
        triangles=triangles,
        carcass=carcass,
        bvh=build_bvh(triangles),
        sheets=tuple(sheets.found),
    )


def _carcass(plan: Plan, box: Box, sheets: SheetCollector) -> list[NDArray[np.float64]]:
    pieces = []
    enclosure = plan.enclosure
    for face in FACES:
        doors = [door for door in enclosure.doors if door.face == face]
        vents = [vent for vent in enclosure.vents if vent.face == face]
        openings = [(part.at, part.size) for part in enclosure.openings if part.face == face]
        wall = enclosure.walls.of(face)
        for rectangle in face_without_openings(box.low, box.high, face, openings):
            pieces += _sheet(rectangle, wall.material, sheets)
        for door in doors:
            leaf = part_of_face(box.low, box.high, face, door.at, door.size)
            pieces += _sheet(leaf, door.material or wall.material, sheets)
        for vent in vents:
            sheets.add("meshes", vent.mesh, part_of_face(box.low, box.high, face, vent.at, vent.size))
    return pieces


def _sheet(rectangle: Rectangle, material: str, sheets: SheetCollector) -> list[NDArray[np.float64]]:
    if material in sheets.library.panes:
        sheets.add("panes", material, rectangle)
        return []
    return [rectangle.triangles()]
