"""Surfaces of a plan joined to a few dozen of even temperature, with what lies behind each."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.backings import Backing, backing_of
from sunfleck.brief.surfaces import Part
from sunfleck.physics.convection import FilmLaw, film_law
from sunfleck.physics.long_wave import grey_exchange
from sunfleck.physics.thermal_box import Surfaces, film_row
from sunfleck.studies.climate.columns import AirColumn
from sunfleck.studies.interreflection import Interior

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_SURFACES = 60
BANDS = (4, 3, 2, 1)
SMALLEST = 1e-3
IN_FRONT = 2e-3
# Resistance from the outer side of a wall, long wave included: ISO 6946 for heat that goes out, up and down. [m2 K W-1]
OUTER = {"top": 0.10, "bottom": 0.17}
OUTER_UPRIGHT = 0.13
# A surface of glass or metal is one node; the air of a room reaches its outer side as it does any wall's.
SIZE_OF_LEAVES = 0.05
SIZE_OF_BLOCKS = 0.15
TOGETHER = {"perch": "perches", "ledge": "ledges and hides", "hide": "ledges and hides", "plant": "plants"}


@dataclass(frozen=True, slots=True)
class Shell:
    """One surface of even temperature.

    Attributes
    ----------
    name : str
        In a builder's words.
    parts : tuple of Part
        What it consists of; the first stands for what lies behind.
    band : int
        Its place from below among the pieces of one height.
    """

    name: str
    parts: tuple[Part, ...]
    band: int


@dataclass(frozen=True, eq=False)
class Shells:
    """All surfaces of a plan, for heat.

    Attributes
    ----------
    shells : tuple of Shell
        In order.
    of_patch : (p,) int
        Which of them each patch and leafy body belongs to; their number for what is open to the room.
    surfaces : Surfaces
        As the days take them.
    assumed : tuple of str
        What the plan does not say and was taken.
    """

    shells: tuple[Shell, ...]
    of_patch: Ints
    surfaces: Surfaces
    assumed: tuple[str, ...]

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Of the surfaces."""
        return tuple(shell.name for shell in self.shells)

    def index_of(self, kind: str) -> list[int]:
        """Surfaces of which a part is of a kind."""
        return [k for k, shell in enumerate(self.shells) if any(part.kind == kind for part in shell.parts)]


def shells_of(interior: Interior, column: AirColumn) -> Shells:
    """Join patches to surfaces of even temperature.

    Parameters
    ----------
    interior : Interior
        Patches and their exchange.
    column : AirColumn
        Layers of the air.

    Returns
    -------
    shells : Shells
        At most 60, the same for the same plan.
    """
    middles, spans = _heights(interior)
    buried = _buried(interior)
    ground = float(interior.brief.surroundings.ground)
    height = float(column.edges[-1])
    for bands in BANDS:
        keys = _keys(interior, middles - ground, height, bands)
        keys = [None if below else key for key, below in zip(keys, buried, strict=True)]
        if len({key for key in keys if key is not None}) <= MOST_SURFACES or bands == BANDS[-1]:
            break
    area = interior.exchange.area
    weight: dict[tuple[str, int], float] = {}
    for key, size in zip(keys, area, strict=True):
        if key is not None:
            weight[key] = weight.get(key, 0.0) + float(size)
    order = [key for key, size in weight.items() if size > SMALLEST]
    place = {key: k for k, key in enumerate(order)}
    # What lies wholly within something solid faces nothing: it counts with nobody.
    of_patch = np.array([place.get(key, len(order)) if key is not None else len(order) for key in keys])
    parts: list[dict[Part, None]] = [{} for _ in order]
    around = interior.brief.surroundings.surfaces
    for surface, shell in zip(interior.surface_of_patch, of_patch, strict=True):
        if shell < len(order):
            parts[shell][around[surface].part] = None
    pieces = Counter(name for name, _ in order)
    shells = tuple(
        Shell(f"{name}, {_word(band, bands)}" if pieces[name] > 1 else name, tuple(found), band)
        for (name, band), found in zip(order, parts, strict=True)
    )
    contact = _contact(of_patch, area, spans - ground, column, len(order))
    surfaces, assumed = _surfaces(interior, column, shells, of_patch, contact)
    return Shells(shells, of_patch, surfaces, assumed)


def _heights(interior: Interior) -> tuple[Floats, Floats]:
    """Middle height (p,) and extent (p, 2) of every patch and leafy body. [m]"""
    patches, canopies = interior.scene.patches, interior.scene.canopies
    count = len(patches)
    corners = patches.triangles
    doubled = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = np.linalg.norm(doubled, axis=1) / 2
    total, moment = np.zeros(count), np.zeros(count)
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    for side in (patches.front, patches.back):
        seen = side >= 0
        np.add.at(total, side[seen], area[seen])
        np.add.at(moment, side[seen], area[seen] * corners[seen, :, 2].mean(axis=1))
        np.minimum.at(low, side[seen], corners[seen, :, 2].min(axis=1))
        np.maximum.at(high, side[seen], corners[seen, :, 2].max(axis=1))
    middle = np.divide(moment, total, out=np.zeros(count), where=total > 0)
    centre, half = canopies.centre[:, 2], canopies.half_axes[:, 2]
    spans = np.concatenate([np.stack([low, high], axis=1), np.stack([centre - half, centre + half], axis=1)])
    return np.concatenate([middle, centre]), np.where(np.isfinite(spans), spans, 0.0)


def _buried(interior: Interior) -> NDArray[np.bool_]:
    """Whether a patch faces the outside of the carcass: the underside of the ground, the back of a panel, (p,)."""
    patches = interior.scene.patches
    corners = patches.triangles
    doubled = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = np.linalg.norm(doubled, axis=1) / 2
    normals = doubled / (2 * area)[:, None]
    total, gone = np.zeros(interior.scene.outside), np.zeros(interior.scene.outside)
    for side, way in ((patches.front, 1.0), (patches.back, -1.0)):
        seen = side >= 0
        before = corners[seen].mean(axis=1) + way * IN_FRONT * normals[seen]
        outside = ~interior.brief.surroundings.inside.contains(before)
        np.add.at(total, side[seen], area[seen])
        np.add.at(gone, side[seen], area[seen] * outside)
    return np.asarray(gone > 0.5 * total)


def _keys(interior: Interior, middle: Floats, height: float, bands: int) -> list[tuple[str, int] | None]:
    """Name and band that each patch belongs to; None where it is open to the room."""
    plan = interior.brief.plan
    around = interior.brief.surroundings.surfaces
    found: list[tuple[str, int] | None] = []
    for surface, z in zip(interior.surface_of_patch, middle, strict=True):
        part = around[surface].part
        band = int(np.clip(z / height * bands, 0, bands - 1)) if height > 0 else 0
        if part.kind == "vent":
            found.append(None)
        elif part.kind in TOGETHER:
            found.append((TOGETHER[part.kind], band))
        elif part.kind == "ground" or part.face in ("top", "bottom"):
            found.append((around[surface].name, 0))
        elif part.kind == "door":
            assert part.face is not None
            door, wall = plan.enclosure.doors[part.index], plan.enclosure.walls.of(part.face)
            alike = (door.material or wall.material, door.thickness or wall.thickness)
            name = f"{part.face} wall" if alike == (wall.material, wall.thickness) else f"{part.face} doors"
            found.append((name, band))
        else:
            found.append((around[surface].name, band))
    return found


def _word(band: int, bands: int) -> str:
    words = {
        1: ("",),
        2: ("low", "high"),
        3: ("low", "middle", "high"),
        4: ("lowest", "low", "high", "highest"),
    }
    return words[bands][band]


def _contact(of_patch: Ints, area: Floats, spans: Floats, column: AirColumn, count: int) -> Floats:
    """Area of each surface in each layer (s, n): a patch is spread over the layers it reaches through. [m2]"""
    edges = column.edges
    n = len(edges) - 1
    contact = np.zeros((count + 1, n))
    for shell, size, (low, high) in zip(of_patch, area, spans, strict=True):
        bottom, top = np.clip([low, high], 0.0, edges[-1])
        if top - bottom < 1e-6:
            contact[shell, column.layer_of(float(min(max(low, 0.0), edges[-1] - 1e-9)))] += size
            continue
        overlap = np.clip(np.minimum(edges[1:], top) - np.maximum(edges[:-1], bottom), 0.0, None)
        contact[shell] += size * overlap / overlap.sum()
    return contact[:count]


def _surfaces(
    interior: Interior, column: AirColumn, shells: tuple[Shell, ...], of_patch: Ints, contact: Floats
) -> tuple[Surfaces, tuple[str, ...]]:
    brief = interior.brief
    area = contact.sum(axis=1)
    middles = (column.edges[1:] + column.edges[:-1]) / 2
    first, capacity, onward, to_room = [0], [], [], []
    laws, feed = [], []
    assumed: dict[str, None] = {}
    for k, shell in enumerate(shells):
        backing = backing_of(brief.plan, brief.library, shell.parts[0])
        held, passed = backing.nodes()
        capacity += [x * area[k] for x in held]
        onward += [x * area[k] for x in passed] + [0.0]
        first.append(len(capacity))
        to_room.append(_to_room(shell, backing, held) * area[k])
        if backing.assumed:
            assumed[backing.assumed] = None
        laws.append(_film(shell, column, area[k]))
        feed.append(_feeds_at(shell.parts[0], float(contact[k] @ middles) / area[k]))
    emissivity = 1.0 - interior.reflectance("long_wave")
    grey = grey_exchange(interior.exchange.conductance, emissivity, of_patch, len(shells))
    surfaces = Surfaces(
        contact=contact,
        law=np.array(laws),
        feed=np.array(feed),
        grey=grey,
        first=np.array(first),
        capacity=np.array(capacity),
        onward=np.array(onward),
        to_room=np.array(to_room),
    )
    return surfaces.steadied(), tuple(assumed)


def _feeds_at(part: Part, height: float) -> float:
    """Height at which the warmth of a surface rises as a plume: of ground and what stands free, not of walls. [m]"""
    if part.kind == "ground" or part.face == "bottom":
        return 0.0
    return height if part.kind in ("perch", "ledge", "hide") else float("nan")


def _to_room(shell: Shell, backing: Backing, nodes: list[float]) -> float:
    """Conductance from the last node to the room. [W m-2 K-1]"""
    if backing.behind == "nothing":
        return 0.0
    face = shell.parts[0].face or ("bottom" if shell.parts[0].kind == "ground" else None)
    resists = OUTER.get(face or "", OUTER_UPRIGHT)
    if len(nodes) == 1:
        resists += sum(layer.thickness / layer.conductivity for layer in backing.layers)
    return 1.0 / resists


def _film(shell: Shell, column: AirColumn, area: float) -> Floats:
    part = shell.parts[0]
    height = float(column.edges[-1])
    if part.kind == "ground" or part.face in ("top", "bottom"):
        # Area over the length of the edge, as if square.
        size = max(0.02, float(np.sqrt(area)) / 4)
        rising, lying = film_law("unstable", size), film_law("stable", size)
        return film_row(rising, lying) if part.face != "top" else film_row(lying, rising)
    law: FilmLaw = film_law("vertical", height)
    if part.kind == "plant":
        law = film_law("vertical", SIZE_OF_LEAVES)
    elif part.kind in ("perch", "ledge", "hide"):
        law = film_law("vertical", SIZE_OF_BLOCKS)
    return film_row(law, law)
