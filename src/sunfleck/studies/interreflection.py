"""Light that walls and furnishing give back: where it lands first, and what then goes to and fro."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.geometry.patches import Patches, Surface, patches_of
from sunfleck.geometry.rays import ray_scene
from sunfleck.physics.exchange import Exchange, exchange_of, interreflect
from sunfleck.physics.patch_scene import PatchScene
from sunfleck.physics.shoot import Landing, emitted_rays, shoot
from sunfleck.physics.surround import Surround, surround_of
from sunfleck.physics.transport import transfer
from sunfleck.studies.lamp_scenes import LampScene, lamp_scenes, move_between

Floats = NDArray[np.float64]

# A patch reaches about this share of the box's longest side, and about this many are made at most. Against four
# times as many of everything, light at places in the two examples is off by 0.4 to 0.8 % (rms), reflected light
# taken alone by 6 to 19 %, which its own spread of 20 to 35 % covers.
PATCH_SHARE = 1 / 10
MOST_PATCHES = 500
RAYS_FROM_A_PATCH = 128
RAYS_FROM_A_LAMP = 16_384
DIRECTIONS = 128
# Receivers that stand for a pane lie this far inside it. [m]
OFF_THE_PANE = 1e-4
# UV is followed to its first reflection: what is reflected twice is a few tenths of a per cent.
BOUNCES = {"uvi": 1}


@dataclass(frozen=True, eq=False)
class Interior:
    """The inside of a furnished box as light goes to and fro in it: geometry only.

    Attributes
    ----------
    brief : Brief
        What it was made for.
    scene : PatchScene
        All surfaces in patches, panes and meshes among them, and the leafy bodies. [m]
    exchange : Exchange
        Between which patches light goes to and fro. [m2]
    lamps : tuple of LampScene
        What the light of each fixture meets.
    landings : tuple of Landing
        Where the light of each fixture lands, per watt. Bins are the patches, the leafy bodies, then one
        for the bodies of the other lamps, then outside. [-]
    rays : int
        How many left each lamp. [-]
    """

    brief: Brief
    scene: PatchScene
    exchange: Exchange
    lamps: tuple[LampScene, ...]
    landings: tuple[Landing, ...]
    rays: int
    _radiosity: dict[str, tuple[Floats, ...]] = field(default_factory=dict, repr=False)

    @cached_property
    def arriving(self) -> tuple[tuple[NDArray[np.int64], Floats], ...]:
        """What arrives at each patch and leafy body, of each fixture: masks (c,), power per watt (p, c)."""
        found = []
        for fixture, lamp, landing in zip(self.brief.fixtures, self.lamps, self.landings, strict=True):
            groups, at_panes = self._at_panes(fixture, lamp)
            together = np.union1d(landing.groups, groups)
            power = np.zeros((self.scene.outside, len(together)))
            power[:, np.searchsorted(together, landing.groups)] = landing.landed[: self.scene.outside]
            # A pane lets light out and is no end of it; what falls on its inner side is reflected in part.
            power[:, np.searchsorted(together, groups)] += at_panes
            found.append((together, power))
        return tuple(found)

    def reflectance(self, light: str) -> Floats:
        """Share that each patch and leafy body gives back of a kind of light, (p,). [-]"""
        of_surfaces = np.array([s.reflectance[light].value for s in self.brief.surroundings.surfaces])
        porous = len(self.scene.canopies)
        # Leafy bodies are the last of the surfaces and the last of the numbers.
        return np.concatenate(
            [of_surfaces[self.scene.patches.surface], of_surfaces[len(of_surfaces) - porous :]]
        )

    def radiosities(self, light: str) -> tuple[Floats, ...]:
        """What leaves each patch of one kind of light, of each fixture by mask, per watt: (p, c). [m-2]"""
        if light not in self._radiosity:
            columns = [power for _, power in self.arriving]
            landed = np.concatenate([np.zeros((self.scene.outside, 0)), *columns], axis=1)
            sent, _, _ = interreflect(self.exchange, self.reflectance(light), landed, BOUNCES.get(light))
            ends = np.cumsum([power.shape[1] for power in columns])
            self._radiosity[light] = tuple(np.split(sent, ends[:-1], axis=1)) if columns else ()
        return self._radiosity[light]

    def around(self, points: ArrayLike) -> Surround:
        """Which patches surround each of `points` (n, 3)."""
        return surround_of(self.scene, points, DIRECTIONS)

    def _at_panes(self, fixture: FixtureBrief, lamp: LampScene) -> tuple[NDArray[np.int64], Floats]:
        """Masks (c,) and what falls on the inner side of panes, (p, c), by points in their pieces. [-]"""
        patches = self.scene.patches
        clear = np.flatnonzero(
            ~_opaque(self.brief, self.scene.patches) & (self.reflectance("lux")[patches.front] > 0)
        )
        corners = patches.triangles[clear]
        doubled = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        area = np.linalg.norm(doubled, axis=1) / 2
        normals = doubled / (2 * area)[:, None]
        found = transfer(lamp.scene, fixture.emitter, corners.mean(axis=1) + OFF_THE_PANE * normals, normals)
        power = np.zeros((self.scene.outside, len(found.groups)))
        np.add.at(power, patches.front[clear], found.facing * area[:, None])
        return found.groups, power


def interior_of(brief: Brief, before: Interior | None = None, rays: int = RAYS_FROM_A_LAMP) -> Interior:
    """Cut the inside of a box into patches, and find where lamps send their light and how it goes on.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    before : Interior, optional
        That of the plan before lamps were moved: patches and their exchange are taken over, and where the
        light of the other lamps lands. The result is the same with or without it. [-]
    rays : int, default 16,384
        How many leave each lamp. [-]

    Returns
    -------
    interior : Interior
        Geometry only.
    """
    around, lamps = brief.surroundings, lamp_scenes(brief)
    move = move_between(before.brief, brief) if before is not None else None
    if before is not None and move is not None:
        scene, exchange = before.scene, before.exchange
    else:
        size = float((around.inside.high - around.inside.low).max()) * PATCH_SHARE
        patches = patches_of([Surface(s.triangles, s.sides) for s in around.surfaces], size, MOST_PATCHES)
        scene = PatchScene(patches, around.canopies)
        exchange = exchange_of(scene, RAYS_FROM_A_PATCH)
    landings = []
    for fixture, lamp in zip(brief.fixtures, lamps, strict=True):
        earlier = move.before.get(fixture.index) if move is not None else None
        if before is not None and move is not None and earlier is not None:
            untouched = before.lamps[earlier].media == lamp.media and before.rays == rays
            if untouched and not move.crossed_by(*emitted_rays(fixture.emitter, rays)):
                landings.append(before.landings[earlier])
                continue
        landings.append(_landing(brief, scene, fixture, lamp, rays))
    return Interior(brief, scene, exchange, lamps, tuple(landings), rays)


def _landing(brief: Brief, scene: PatchScene, fixture: FixtureBrief, lamp: LampScene, rays: int) -> Landing:
    patches = scene.patches
    solid = _opaque(brief, patches)
    bodies = np.full(len(lamp.bodies), scene.outside)
    triangles = np.concatenate([patches.triangles[solid], lamp.bodies])
    return shoot(
        ray_scene(triangles),
        triangles,
        np.concatenate([patches.front[solid], bodies]),
        np.concatenate([patches.back[solid], bodies]),
        lamp.scene.media,
        scene.canopies,
        len(patches) + np.arange(len(scene.canopies)),
        fixture.emitter,
        outside=scene.outside + 1,
        number=rays,
    )


def _opaque(brief: Brief, patches: Patches) -> NDArray[np.bool_]:
    """Which triangles of the patches stop light, (t,)."""
    opaque = np.array([surface.opaque for surface in brief.surroundings.surfaces])
    return np.asarray(opaque[patches.surface[np.maximum(patches.front, patches.back)]])
