"""What light meets on its way: opaque triangles, solids, and thin media."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.factors import Factor, FactorTable
from sunfleck.brief.givens import Given, given_from_library, number
from sunfleck.geometry.boxes import FACES, Box, Rectangle, box_face, face_without_openings, part_of_face
from sunfleck.geometry.bvh import build_bvh
from sunfleck.geometry.chains import Chain
from sunfleck.geometry.leaves import leaf_cloud, seed_from_name
from sunfleck.library.loader import Library
from sunfleck.physics.media import Media
from sunfleck.physics.transport import Scene
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import background_box, chain_of, inside_box, ledge_box, substrate_box

CHANNELS = ("uvi", "lux", "ppfd", "radiant")
PLAIN, WOVEN, PANE = 0, 1, 2


@dataclass(frozen=True)
class Medium:
    """A mesh, pane or guard that takes part of the light.

    Attributes
    ----------
    id : str
        Its entry in the library, ``meshes/ID``.
    label : str
        Its name for people.
    transmittance : dict of str to Given
        Share let through at normal incidence, by channel. [-]
    factor : int or None
        Column of its uncertain factor.
    """

    id: str
    label: str
    transmittance: dict[str, Given]
    factor: int | None


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
    scene : Scene
        The same, ready for rays, with the media.
    media : tuple of Medium
        The media, in the order of the scene's groups.
    """

    inside: Box
    ground: float
    blocks: tuple[Box, ...]
    branches: tuple[Chain, ...]
    triangles: NDArray[np.float64]
    scene: Scene
    media: tuple[Medium, ...]

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

    collector = _MediaCollector(plan, library, table)
    pieces = _carcass(plan, box, collector)
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
    collector.guards()
    triangles = np.concatenate(pieces) if pieces else np.zeros((0, 3, 3))
    return Surroundings(
        inside=box,
        ground=plan.substrate.depth if plan.substrate is not None else 0.0,
        blocks=tuple(blocks),
        branches=tuple(branches),
        triangles=triangles,
        scene=Scene(build_bvh(triangles), collector.media_arrays()),
        media=tuple(collector.media.values()),
    )


def guard_cage(ends: NDArray[np.float64], radius: float, stand_off: float) -> Box:
    """Return the cage that a guard forms round a lamp, by the lamp's axis points (k, 3). [m]"""
    gap = radius + stand_off
    return Box(ends.min(axis=0) - gap, ends.max(axis=0) + gap)


def _carcass(plan: Plan, box: Box, collector: _MediaCollector) -> list[NDArray[np.float64]]:
    pieces = []
    enclosure = plan.enclosure
    for face in FACES:
        doors = [door for door in enclosure.doors if door.face == face]
        vents = [vent for vent in enclosure.vents if vent.face == face]
        openings = [(part.at, part.size) for part in enclosure.openings if part.face == face]
        wall = enclosure.walls.of(face)
        for rectangle in face_without_openings(box.low, box.high, face, openings):
            pieces += _sheet(rectangle, wall.material, collector)
        for door in doors:
            leaf = part_of_face(box.low, box.high, face, door.at, door.size)
            pieces += _sheet(leaf, door.material or wall.material, collector)
        for vent in vents:
            collector.add("meshes", vent.mesh, part_of_face(box.low, box.high, face, vent.at, vent.size))
    return pieces


def _sheet(rectangle: Rectangle, material: str, collector: _MediaCollector) -> list[NDArray[np.float64]]:
    if material in collector.library.panes:
        collector.add("panes", material, rectangle)
        return []
    return [rectangle.triangles()]


class _MediaCollector:
    """Gathers the rectangles of meshes, panes and guards by the library entry they belong to."""

    def __init__(self, plan: Plan, library: Library, table: FactorTable) -> None:
        self.plan = plan
        self.library = library
        self.table = table
        self.media: dict[str, Medium] = {}
        self._rows: list[tuple[Rectangle, int, int, tuple[float, float]]] = []

    def add(self, section: str, id_: str, rectangle: Rectangle) -> None:
        key = f"{section}/{id_}"
        entry = getattr(self.library, section)[id_]
        if key not in self.media:
            self.media[key] = self._medium(key, section, entry)
        group = list(self.media).index(key)
        if section == "panes":
            law, parameters = PANE, (number(entry.refractive_index), 0.0)
        else:
            wire = number(entry.wire)
            # A pitch of the rectangle's v direction belongs to wires that run along u, and the reverse.
            law, parameters = WOVEN, (wire / number(entry.pitch_u), wire / number(entry.pitch_v))
        self._rows.append((rectangle, group, law, parameters))

    def guards(self) -> None:
        for fixture in self.plan.fixtures:
            if fixture.guard is None:
                continue
            lamp = self.library.lamps[fixture.lamp]
            ends = np.array([p for p in (fixture.from_, fixture.to, fixture.at) if p is not None])
            guard = self.library.guards[fixture.guard]
            cage = guard_cage(ends, number(lamp.diameter) / 2, number(guard.stand_off))
            for face in FACES:
                self.add("guards", fixture.guard, box_face(cage.low, cage.high, face))

    def _medium(self, key: str, section: str, entry: object) -> Medium:
        if section == "panes":
            fields = {
                "uvi": "transmittance_uv",
                "lux": "transmittance_visible",
                "ppfd": "transmittance_visible",
                "radiant": "transmittance_radiant",
            }
        else:
            fields = dict.fromkeys(CHANNELS, "open_share")
        spread = getattr(entry, fields["lux"])
        label = str(getattr(entry, "name").value)  # noqa: B009  # entries of three sections share the field
        factor = None
        if spread.spread_low > 0 or spread.spread_high > 0:
            factor = self.table.add(
                Factor(
                    id=f"medium:{key}",
                    label=f"light through the {label}",
                    spread_low=spread.spread_low,
                    spread_high=spread.spread_high,
                    source=spread.source,
                    basis=spread.basis,
                )
            )
        transmittance = {
            channel: given_from_library(
                f"{key}/{field}", f"share through the {label}, straight on", getattr(entry, field)
            )
            for channel, field in fields.items()
        }
        return Medium(key, label, transmittance, factor)

    def media_arrays(self) -> Media:
        count = len(self._rows)
        return Media(
            origin=np.array([r.origin for r, _, _, _ in self._rows]).reshape(count, 3),
            edge_u=np.array([r.edge_u for r, _, _, _ in self._rows]).reshape(count, 3),
            edge_v=np.array([r.edge_v for r, _, _, _ in self._rows]).reshape(count, 3),
            group=np.array([group for _, group, _, _ in self._rows], dtype=np.int64).reshape(count),
            law=np.array([law for _, _, law, _ in self._rows], dtype=np.int64).reshape(count),
            parameters=np.array([p for _, _, _, p in self._rows], dtype=np.float64).reshape(count, 2),
        )
