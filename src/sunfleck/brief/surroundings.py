"""What light meets on its way: opaque surfaces, solids, porous crowns and thin media."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.factors import FactorTable
from sunfleck.brief.leaves import LeafCover, leaf_cover
from sunfleck.brief.media import Sheet, SheetCollector
from sunfleck.brief.surfaces import LEAVES, NOT_STATED, NamedSurface, Part, PartKind, reflectances
from sunfleck.geometry.boxes import (
    FACES,
    TURNED_OUT,
    Box,
    Face,
    Rectangle,
    box_face,
    face_without_openings,
    part_of_face,
)
from sunfleck.geometry.bvh import Bvh, build_bvh
from sunfleck.geometry.chains import Chain
from sunfleck.geometry.leaves import leaf_cloud, seed_from_name
from sunfleck.geometry.patches import Sides
from sunfleck.geometry.rays import RayScene, rays_of
from sunfleck.library.loader import Library
from sunfleck.physics.canopies import Canopies, extinction_of_leaves
from sunfleck.plan.furnishing import Hide, Plant
from sunfleck.plan.models import Plan
from sunfleck.plan.shapes import placed
from sunfleck.plan.solids import background_box, chain_of, inside_box, ledge_box, substrate_box

# A hide whose floor is this near to the ground stands on it. [m]
SUNK = 0.005
OVER_THE_GROUND = 0.001


@dataclass(frozen=True, eq=False)
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
    surfaces : tuple of NamedSurface
        Everything with a surface: the carcass with its panes and meshes first, porous crowns last.
    bvh : Bvh
        All opaque triangles, numbered in the order of the opaque surfaces. [m]
    rays : RayScene
        The same, for single rays. [m]
    carcass : int
        How many of the opaque triangles, the first ones, are the carcass.
    canopies : Canopies
        Porous crowns. [m]
    sheets : tuple of Sheet
        Its meshes and panes.
    leaves : LeafCover or None
        What is not known of its leaves; None where it has none.
    """

    inside: Box
    ground: float
    blocks: tuple[Box, ...]
    branches: tuple[Chain, ...]
    surfaces: tuple[NamedSurface, ...]
    bvh: Bvh
    rays: RayScene
    carcass: int
    canopies: Canopies
    sheets: tuple[Sheet, ...]
    leaves: LeafCover | None

    @property
    def triangles(self) -> NDArray[np.float64]:
        """Every opaque triangle, (m, 3, 3). [m]"""
        return _together([surface.triangles for surface in self.surfaces if surface.opaque])

    def solid_at(self, points: ArrayLike, margin: float = 0.0) -> NDArray[np.bool_]:
        """Whether each of `points` (n, 3) lies inside something solid, or within `margin` of it. [m]"""
        p = np.asarray(points, dtype=np.float64)
        solid = np.zeros(len(p), dtype=bool)
        for block in self.blocks:
            solid |= block.contains(p, margin)
        for branch in self.branches:
            solid |= branch.contains(p, margin)
        return solid


def surroundings(plan: Plan, library: Library, table: FactorTable, folder: Path) -> Surroundings:
    """Build what surrounds the lamps.

    Parameters
    ----------
    plan : Plan
        A checked plan.
    library : Library
        The library its ids belong to.
    table : FactorTable
        Collects the factors of the media.
    folder : Path
        The plan's, for shapes from files.

    Returns
    -------
    surroundings : Surroundings
        Triangles, solids and media. [m]
    """
    box = inside_box(plan)
    sheets = SheetCollector(library, table)
    carcass = tuple(_carcass(plan, box, sheets))
    furnishing = tuple(_furnishing(plan, library, folder))
    blocks = [background_box(plan, panel) for panel in plan.backgrounds]
    blocks += [ledge_box(ledge) for ledge in plan.ledges]
    if plan.substrate is not None:
        blocks.append(substrate_box(plan))
    surfaces = (*carcass, *furnishing)
    canopies = _canopies(plan)
    bvh = build_bvh(_together([surface.triangles for surface in surfaces if surface.opaque]))
    return Surroundings(
        inside=box,
        ground=plan.substrate.depth if plan.substrate is not None else 0.0,
        blocks=tuple(blocks),
        branches=tuple(chain_of(perch) for perch in plan.perches),
        surfaces=surfaces,
        bvh=bvh,
        rays=rays_of(bvh),
        carcass=sum(len(surface.triangles) for surface in carcass if surface.opaque),
        canopies=canopies,
        sheets=tuple(sheets.found),
        leaves=leaf_cover(plan, surfaces, canopies, table),
    )


def _carcass(plan: Plan, box: Box, sheets: SheetCollector) -> Iterator[NamedSurface]:
    """Walls, doors and meshes, their fronts inwards; what light passes is given to `sheets` too."""
    enclosure, library = plan.enclosure, sheets.library
    for face in FACES:
        wall = enclosure.walls.of(face)
        openings = [(part.at, part.size) for part in enclosure.openings if part.face == face]
        rest = face_without_openings(box.low, box.high, face, openings)
        yield _sheet(f"{face} wall", Part("wall", 0, face), rest, wall.material, wall.finish, sheets)
        for i, door in enumerate(enclosure.doors):
            if door.face != face:
                continue
            leaf = part_of_face(box.low, box.high, face, door.at, door.size)
            # A leaf of another material than its wall has a finish that the plan does not state.
            finish = wall.finish if door.material in (None, wall.material) else None
            part = Part("door", i, face)
            yield _sheet(door.name, part, [leaf], door.material or wall.material, finish, sheets)
        for i, vent in enumerate(enclosure.vents):
            if vent.face != face:
                continue
            opening = part_of_face(box.low, box.high, face, vent.at, vent.size)
            sheets.add("meshes", vent.mesh, opening)
            given = reflectances(library, "meshes", vent.mesh)
            pieces = _inwards(face, [opening])
            part = Part("vent", i, face)
            yield NamedSurface(vent.name, pieces, "front", opaque=False, reflectance=given, part=part)


def _sheet(
    name: str,
    part: Part,
    rectangles: list[Rectangle],
    material: str,
    finish: str | None,
    sheets: SheetCollector,
) -> NamedSurface:
    clear = material in sheets.library.panes
    if clear:
        for rectangle in rectangles:
            sheets.add("panes", material, rectangle)
    section, id_ = ("panes", material) if clear else ("finishes", finish or NOT_STATED)
    given = reflectances(sheets.library, section, id_)
    assert part.face is not None
    pieces = _inwards(part.face, rectangles)
    return NamedSurface(name, pieces, "front", opaque=not clear, reflectance=given, part=part)


def _furnishing(plan: Plan, library: Library, folder: Path) -> Iterator[NamedSurface]:
    def solid(
        name: str, triangles: NDArray[np.float64], id_: str, kind: PartKind, index: int
    ) -> NamedSurface:
        given = reflectances(library, "woods" if kind == "perch" else "finishes", id_)
        return NamedSurface(name, triangles, "front", opaque=True, reflectance=given, part=Part(kind, index))

    for i, panel in enumerate(plan.backgrounds):
        yield solid(panel.name, background_box(plan, panel).triangles(), panel.finish, "background", i)
    for i, ledge in enumerate(plan.ledges):
        yield solid(ledge.name, ledge_box(ledge).triangles(), ledge.finish, "ledge", i)
    if plan.substrate is not None:
        yield solid("the ground", substrate_box(plan).triangles(), plan.substrate.finish, "ground", 0)
    for i, perch in enumerate(plan.perches):
        part = Part("perch", i)
        if perch.shape is None:
            yield solid(perch.name, chain_of(perch).triangles(), perch.wood, "perch", i)
        else:
            scan = placed(perch.shape, folder)
            # Of a shape with holes both sides are seen.
            sides: Sides = "front" if scan.mesh.closed else "both"
            bark = reflectances(library, "woods", perch.wood)
            yield NamedSurface(perch.name, scan.triangles, sides, opaque=True, reflectance=bark, part=part)
    given = reflectances(library, "finishes", NOT_STATED)
    for i, hide in enumerate(plan.hides):
        part = Part("hide", i)
        for triangles, sides in _hide(plan, hide):
            yield NamedSurface(hide.name, triangles, sides, opaque=True, reflectance=given, part=part)
    given = reflectances(library, "finishes", LEAVES)
    for i, plant in sorted(enumerate(plan.plants), key=lambda each: each[1].leaf is None):
        opaque, part = plant.leaf is not None, Part("plant", i)
        yield NamedSurface(plant.name, _leaves(plant), "leaf", opaque=opaque, reflectance=given, part=part)


def _hide(plan: Plan, hide: Hide) -> Iterator[tuple[NDArray[np.float64], Sides]]:
    """Walls and roof of a hide, bright or dark on each side for itself, and its floor.

    A hide that stands on the ground or on a ledge covers it: its floor has a lit side only above, and lies
    a hair over what it stands on, so that neither the ground outside brightens it nor two faces are one.
    """
    box = ledge_box(hide)
    tops = [plan.substrate.depth] if plan.substrate is not None else [0.0]
    middle = (box.low + box.high)[:2] / 2
    for ledge in plan.ledges:
        block = ledge_box(ledge)
        if bool(((block.low[:2] <= middle) & (middle <= block.high[:2])).all()):
            tops.append(float(block.high[2]))
    under = max((top for top in tops if top < box.high[2] - SUNK), default=0.0)
    stands = box.low[2] <= under + SUNK
    without: tuple[Face, ...] = (hide.opening, "bottom") if stands else (hide.opening,)
    yield box.triangles(without=without), "both"
    if stands and hide.opening != "bottom":
        low = box.low.copy()
        low[2] = under + OVER_THE_GROUND
        yield box_face(low, box.high, "bottom").triangles(), "front"


def _leaves(plant: Plant) -> NDArray[np.float64]:
    if plant.leaf is None:
        return np.zeros((0, 3, 3))
    half_axes = (plant.crown.radius, plant.crown.radius, plant.crown.height / 2)
    seed = seed_from_name(plant.name)
    return leaf_cloud(
        plant.crown.middle, half_axes, plant.leaf_area, plant.leaf.length, plant.leaf.width, seed
    )


def _canopies(plan: Plan) -> Canopies:
    """Crowns of the plants whose leaves have no size, in the plan's order."""
    porous = [plant for plant in plan.plants if plant.leaf is None]
    if not porous:
        return Canopies.none()
    half_axes = np.array([(p.crown.radius, p.crown.radius, p.crown.height / 2) for p in porous])
    density = [extinction_of_leaves(p.leaf_area, h) for p, h in zip(porous, half_axes, strict=True)]
    return Canopies(np.array([p.crown.middle for p in porous]), half_axes, np.array(density))


def _inwards(face: Face, rectangles: list[Rectangle]) -> NDArray[np.float64]:
    parts = [part.turned() if face in TURNED_OUT else part for part in rectangles]
    return _together([part.triangles() for part in parts])


def _together(pieces: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    return np.concatenate([np.zeros((0, 3, 3)), *pieces])
