"""Light that walls and furnishing give back: where it lands first, and what then goes to and fro."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.errors import DomainError
from sunfleck.geometry.patches import Patches, Surface, patches_of
from sunfleck.geometry.rays import RayScene, TwoScenes, ray_scene
from sunfleck.physics.disc_transfer import CHORDS
from sunfleck.physics.emitted_rays import emitted_rays
from sunfleck.physics.exchange import Exchange, exchange_of, interreflect
from sunfleck.physics.patch_scene import PatchScene
from sunfleck.physics.scene import Transfer
from sunfleck.physics.shoot import Landing, shoot
from sunfleck.physics.surround import Surround, surround_of
from sunfleck.physics.transport import transfer
from sunfleck.studies.lamp_scenes import LampScene, Move, lamp_scenes, move_between

if TYPE_CHECKING:
    from sunfleck.studies.light import LightField

Floats = NDArray[np.float64]
NO_ROWS = np.zeros(0, dtype=np.int64)

# Receivers that stand for a pane lie this far inside it. [m]
OFF_THE_PANE = 1e-4
# UV is followed to its first reflection: what is reflected twice is a few tenths of a per cent.
BOUNCES = {"uvi": 1}


@dataclass(frozen=True)
class Grain:
    """How finely reflected light is worked out.

    Attributes
    ----------
    share : float
        About how far a patch reaches, as a share of the box's longest side. [-]
    patches : int
        How many are made at most. [-]
    from_patch, from_lamp : int
        Rays that leave each. [-]
    directions, closely : int
        Ways that are looked along from a receiver, and from one that is looked at closely: deep in a hide
        all light comes through a small mouth. [-]
    chords : int
        Into how many a disc is cut, for its direct light too. [-]
    shaded : bool
        Whether a lamp that moves shades what others send to the walls; without it what they give back stays as it was.
    """

    share: float
    patches: int
    from_patch: int
    from_lamp: int
    directions: int
    closely: int
    chords: int = CHORDS
    shaded: bool = True


# Measured: with the quick grain light at places all over the two examples is off by 0.5 to 1 % (rms), reflected
# light taken alone by 8 to 22 %, most of it close to surfaces; its own spread is 20 to 35 %. The numbers of their
# reports are off by 3 to 4 % (rms), most deep in caves, where there is next to no light. Twice the rays give no
# less; fewer patches, three times as much. The fine one stands the comparison with Radiance on six scenes
# (tests/physics/test_six_scenes.py).
QUICK = Grain(1 / 10, 400, 64, 8192, 64, 256)
FINE = Grain(1 / 28, 3000, 64, 131_072, 2048, 2048)


@dataclass(frozen=True, eq=False)
class Around:
    """What surrounds n receivers, some of which look along more ways than others.

    Attributes
    ----------
    scene : PatchScene
        The patches. [m]
    count : int
        n. [-]
    rows : tuple of (k,) int
        Which receivers each part is of.
    parts : tuple of Surround
        What surrounds them.
    """

    scene: PatchScene
    count: int
    rows: tuple[NDArray[np.int64], ...]
    parts: tuple[Surround, ...]

    def irradiance(self, radiosity: Floats, normals: Floats) -> Floats:
        """Irradiance (n, c) of radiosities (p, c) on planes with the normals (n, 3)."""
        found = np.empty((self.count, radiosity.shape[1]))
        for rows, part in zip(self.rows, self.parts, strict=True):
            found[rows] = part.irradiance_many(radiosity, normals[rows])
        return found

    def vector(self, radiosity: Floats) -> Floats:
        """Vector irradiance (n, 3) of radiosities (p,)."""
        found = np.empty((self.count, 3))
        for rows, part in zip(self.rows, self.parts, strict=True):
            found[rows] = part.vector(radiosity)
        return found

    def ahead(self, radiosity: Floats, normals: Floats) -> Floats:
        """Vector irradiance (n, 3) of radiosities (p,) from what the normals (n, 3) face."""
        found = np.empty((self.count, 3))
        for rows, part in zip(self.rows, self.parts, strict=True):
            found[rows] = part.ahead(radiosity, normals[rows])
        return found

    def weights(self, receiver: int, normal: Floats) -> Floats:
        """What a unit radiosity of each patch (p,) brings to a plane at one receiver."""
        for rows, part in zip(self.rows, self.parts, strict=True):
            place = int(np.searchsorted(rows, receiver))
            if place < len(rows) and rows[place] == receiver:
                return part.weights(place, normal)
        msg = f"there are {self.count} receivers; got the number {receiver}"
        raise DomainError(msg)


@dataclass(frozen=True, eq=False)
class Panes:
    """Points that stand for the pieces of panes: what falls on them is reflected in part.

    Attributes
    ----------
    points, normals : (k, 3) float
        Just inside each piece, and which way that is. [m], [-]
    area : (k,) float
        Of each piece. [m2]
    patch : (k,) int
        Which patch it belongs to. [-]
    """

    points: Floats
    normals: Floats
    area: Floats
    patch: NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Interior:
    """The inside of a furnished box as light goes to and fro in it: geometry only.

    Attributes
    ----------
    brief : Brief
        What it was made for.
    scene : PatchScene
        All surfaces in patches, panes and meshes among them, and the leafy bodies. [m]
    solid : RayScene
        Rays into those patches that stop light. [m]
    exchange : Exchange
        Between which patches light goes to and fro. [m2]
    lamps : tuple of LampScene
        What the light of each fixture meets.
    landings : tuple of Landing
        Where the light of each fixture lands, per watt. Bins are the patches, the leafy bodies, then one
        for the bodies of the other lamps, then outside. [-]
    panes : Panes
        Pieces of panes, which no light ends at.
    at_panes : tuple of Transfer
        What falls on them of each fixture, per watt. [m-2]
    grain : Grain
        How finely.
    seen : list of LightField
        Light of the last few sets of receivers in it, or in it before lamps were moved: what did not change is taken
        over from there.
    """

    brief: Brief
    scene: PatchScene
    solid: RayScene
    exchange: Exchange
    lamps: tuple[LampScene, ...]
    landings: tuple[Landing, ...]
    panes: Panes
    at_panes: tuple[Transfer, ...]
    grain: Grain
    seen: list[LightField] = field(default_factory=list, repr=False)
    _radiosity: dict[str, tuple[Floats, ...]] = field(default_factory=dict, repr=False)

    @cached_property
    def arriving(self) -> tuple[tuple[NDArray[np.int64], Floats], ...]:
        """What arrives at each patch and leafy body, of each fixture: masks (c,), power per watt (p, c)."""
        found = []
        for landing, at_panes in zip(self.landings, self.at_panes, strict=True):
            together = np.union1d(landing.groups, at_panes.groups)
            power = np.zeros((self.scene.outside, len(together)))
            power[:, np.searchsorted(together, landing.groups)] = landing.landed[: self.scene.outside]
            # A pane lets light out and is no end of it; what falls on its inner side is reflected in part.
            falls = np.zeros((self.scene.outside, len(at_panes.groups)))
            np.add.at(falls, self.panes.patch, at_panes.facing * self.panes.area[:, None])
            power[:, np.searchsorted(together, at_panes.groups)] += falls
            found.append((together, power))
        return tuple(found)

    def reflectance(self, light: str) -> Floats:
        """Share that each patch and leafy body gives back of a kind of light, (p,). [-]"""
        return _reflectance(self.brief, self.scene, light)

    @cached_property
    def surface_of_patch(self) -> NDArray[np.int64]:
        """Which of the surroundings' surfaces each patch and leafy body belongs to, (p,). [-]"""
        return _surface_of_patch(self.brief, self.scene)

    def radiosities(self, light: str) -> tuple[Floats, ...]:
        """What leaves each patch of one kind of light, of each fixture by mask, per watt: (p, c). [m-2]"""
        if light not in self._radiosity:
            columns = [power for _, power in self.arriving]
            landed = np.concatenate([np.zeros((self.scene.outside, 0)), *columns], axis=1)
            sent, _, _ = interreflect(self.exchange, self.reflectance(light), landed, BOUNCES.get(light))
            ends = np.cumsum([power.shape[1] for power in columns])
            self._radiosity[light] = tuple(np.split(sent, ends[:-1], axis=1)) if columns else ()
        return self._radiosity[light]

    def around(
        self,
        points: ArrayLike,
        closely: ArrayLike | None = None,
        kept: tuple[Around, NDArray[np.int64]] | None = None,
    ) -> Around:
        """Which patches surround each of `points` (n, 3); `closely` (n,) tells which are looked at so.

        `kept` names what surrounds places that are looked at alike, and which of them each point is, (n,); -1 for a
        point that is none of them.
        """
        places = np.asarray(points, dtype=np.float64)
        near = np.zeros(len(places), dtype=bool) if closely is None else np.asarray(closely, dtype=bool)
        rows = tuple(np.flatnonzero(chosen) for chosen in (~near, near))
        ways = (self.grain.directions, self.grain.closely)
        if kept is None:
            kept = Around(self.scene, 0, (NO_ROWS, NO_ROWS), ()), np.full(len(places), -1)
        parts = tuple(self._part(places, k, rows[k], ways[k], *kept) for k in range(len(rows)))
        return Around(self.scene, len(places), rows, parts)

    def _part(
        self,
        places: Floats,
        k: int,
        rows: NDArray[np.int64],
        ways: int,
        kept: Around,
        known_as: NDArray[np.int64],
    ) -> Surround:
        """What surrounds some of the places: taken over where it is known."""
        known = known_as[rows] >= 0
        found = surround_of(self.scene, places[rows[~known]], ways)
        if not known.any():
            return found
        before, at = kept.parts[k], np.searchsorted(kept.rows[k], known_as[rows[known]])
        patch = np.empty((len(rows), ways), dtype=found.patch.dtype)
        turn = np.empty((len(rows), 3, 3))
        patch[known], patch[~known] = before.patch[at], found.patch
        turn[known], turn[~known] = before.turn[at], found.turn
        return Surround(patch, turn, found.outside)


def interior_of(brief: Brief, before: Interior | None = None, grain: Grain = QUICK) -> Interior:
    """Cut the inside of a box into patches, and find where lamps send their light and how it goes on.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    before : Interior, optional
        That of the plan before lamps were moved: patches and their exchange are taken over, and where the
        light of the other lamps lands. The result is the same with or without it, if the grain is `shaded`. [-]
    grain : Grain, default QUICK
        How finely.

    Returns
    -------
    interior : Interior
        Geometry only.
    """
    around, lamps = brief.surroundings, lamp_scenes(brief)
    kept = before if before is not None and before.grain == grain else None
    move = move_between(kept.brief, brief) if kept is not None else None
    if kept is not None and move is not None:
        scene, exchange, solid = kept.scene, kept.exchange, kept.solid
    else:
        size = float((around.inside.high - around.inside.low).max()) * grain.share
        # Each way that a surface faces is a patch at least: six of a block, twelve of a thin shell.
        least = sum({"leaf": 1, "both": 12}.get(surface.sides, 6) for surface in around.surfaces)
        most = max(grain.patches, 2 * least)
        patches = patches_of([Surface(s.triangles, s.sides) for s in around.surfaces], size, most)
        scene = PatchScene(patches, around.canopies)
        exchange = exchange_of(scene, grain.from_patch)
        solid = ray_scene(patches.triangles[_opaque(brief, patches)])
    landings = []
    for fixture, lamp in zip(brief.fixtures, lamps, strict=True):
        earlier = move.before.get(fixture.index) if move is not None else None
        if kept is not None and move is not None and earlier is not None:
            same = kept.lamps[earlier].media == lamp.media
            if same and not (
                grain.shaded and move.crossed_by(*emitted_rays(fixture.emitter, grain.from_lamp))
            ):
                landings.append(kept.landings[earlier])
                continue
        landings.append(_landing(brief, scene, solid, fixture, lamp, grain))
    panes = kept.panes if kept is not None and move is not None else _panes(brief, scene)
    at_panes = _falls_on(brief, lamps, panes, kept, move, grain)
    # A list of its own: what is lit by the lamps as they are moved now is no start for those moved another way.
    seen = list(kept.seen) if kept is not None and move is not None else []
    return Interior(brief, scene, solid, exchange, lamps, tuple(landings), panes, at_panes, grain, seen)


def _panes(brief: Brief, scene: PatchScene) -> Panes:
    patches = scene.patches
    clear = np.flatnonzero(~_opaque(brief, patches) & (_reflectance(brief, scene, "lux")[patches.front] > 0))
    corners = patches.triangles[clear]
    doubled = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = np.linalg.norm(doubled, axis=1) / 2
    normals = doubled / (2 * area)[:, None]
    return Panes(corners.mean(axis=1) + OFF_THE_PANE * normals, normals, area, patches.front[clear])


def _falls_on(
    brief: Brief,
    lamps: tuple[LampScene, ...],
    panes: Panes,
    kept: Interior | None,
    move: Move | None,
    grain: Grain,
) -> tuple[Transfer, ...]:
    """What falls on panes of each fixture, (k, c) per watt; taken over where no lamp that moved is in the way."""
    found = []
    for fixture, lamp in zip(brief.fixtures, lamps, strict=True):
        earlier = move.before.get(fixture.index) if move is not None else None
        if kept is None or move is None or earlier is None or kept.lamps[earlier].media != lamp.media:
            found.append(
                transfer(lamp.scene, fixture.emitter, panes.points, panes.normals, chords=grain.chords)
            )
        elif not grain.shaded:
            found.append(kept.at_panes[earlier])
        else:
            anew = move.touches(fixture.emitter, panes.points)
            points, normals = panes.points[anew], panes.normals[anew]
            part = transfer(lamp.scene, fixture.emitter, points, normals, chords=grain.chords)
            found.append(kept.at_panes[earlier].with_rows(anew, part))
    return tuple(found)


def _surface_of_patch(brief: Brief, scene: PatchScene) -> NDArray[np.int64]:
    # Leafy bodies are the last of the surfaces and the last of the numbers.
    count, porous = len(brief.surroundings.surfaces), len(scene.canopies)
    return np.concatenate([scene.patches.surface, np.arange(count - porous, count)])


def _reflectance(brief: Brief, scene: PatchScene, light: str) -> Floats:
    of_surfaces = np.array([s.reflectance[light].value for s in brief.surroundings.surfaces])
    return np.asarray(of_surfaces[_surface_of_patch(brief, scene)])


def _landing(
    brief: Brief, scene: PatchScene, solid: RayScene, fixture: FixtureBrief, lamp: LampScene, grain: Grain
) -> Landing:
    patches = scene.patches
    opaque = _opaque(brief, patches)
    bodies = np.full(len(lamp.bodies), scene.outside)
    return shoot(
        TwoScenes(solid, lamp.scene.body_rays, int(opaque.sum())),
        np.concatenate([patches.triangles[opaque], lamp.bodies]),
        np.concatenate([patches.front[opaque], bodies]),
        np.concatenate([patches.back[opaque], bodies]),
        lamp.scene.media,
        scene.canopies,
        len(patches) + np.arange(len(scene.canopies)),
        fixture.emitter,
        outside=scene.outside + 1,
        number=grain.from_lamp,
    )


def _opaque(brief: Brief, patches: Patches) -> NDArray[np.bool_]:
    """Which triangles of the patches stop light, (t,)."""
    opaque = np.array([surface.opaque for surface in brief.surroundings.surfaces])
    return np.asarray(opaque[patches.surface[np.maximum(patches.front, patches.back)]])


def left_out(brief: Brief) -> Iterator[str]:
    """Yield what is left out here and matters to a plan."""
    if brief.fixtures:
        yield "what wires and lamp bodies give back"
    if brief.fixtures and any(sheet.medium.id.startswith("panes/") for sheet in brief.surroundings.sheets):
        yield "the mirror image of a lamp in a pane (spread over the pane here)"
