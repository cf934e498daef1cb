"""Direct and reflected light of a given scene by our engine: its parts put together as a study does.

Lamps are shot at the patches, light goes to and fro between these, and receivers gather it. How finely is
what ``studies.interreflection`` says, so that what is tested is what a plan gets.
"""

import numpy as np

from oracles.scenes import rectangle
from sunfleck.geometry.bvh import build_bvh
from sunfleck.geometry.patches import Surface, patches_of
from sunfleck.geometry.rays import ray_scene
from sunfleck.physics.canopies import Canopies
from sunfleck.physics.exchange import exchange_of, interreflect
from sunfleck.physics.media import LAW_PANE, pane_reflectance
from sunfleck.physics.patch_scene import PatchScene
from sunfleck.physics.shoot import shoot
from sunfleck.physics.surround import surround_of
from sunfleck.physics.transport import Scene, transfer
from sunfleck.studies.interreflection import QUICK


def direct(given):
    """Direct irradiance of a scene's lamps together, per watt of each, (n,). [m-2]"""
    scene = Scene(build_bvh(given.triangles), given.media)
    found = [transfer(scene, emitter, given.points, given.normals) for emitter in given.emitters]
    return sum(one.facing @ _squarely(given, one.groups) for one in found)


def reflected(given, grain=QUICK):
    """Reflected irradiance of a scene's lamps together, per watt of each, (n,). [m-2]"""
    scene, reflectance, opaque = _patches(given, grain)
    patches = scene.patches
    triangles = patches.triangles[opaque]
    landed = np.zeros(scene.outside)
    for emitter in given.emitters:
        landing = shoot(
            ray_scene(triangles),
            triangles,
            patches.front[opaque],
            patches.back[opaque],
            given.media,
            Canopies.none(),
            [],
            emitter,
            outside=scene.outside,
            number=grain.from_lamp,
        )
        # Lamps are above panes: no light of theirs falls on the inner side of one at once.
        landed += landing.landed[:-1] @ _squarely(given, landing.groups)
    exchange = exchange_of(scene, grain.from_patch)
    radiosity, _, _ = interreflect(exchange, reflectance, landed[:, None])
    around = surround_of(scene, given.points, grain.directions)
    return around.irradiance(radiosity[:, 0], given.normals)


def _patches(given, grain):
    """All surfaces in patches, lids among them; reflectance of each; which triangles stop light."""
    surfaces = [Surface(part.triangles, part.sides) for part in given.parts]
    reflectance = [part.reflectance for part in given.parts]
    media = given.media
    for k, lid in enumerate(zip(media.origin, media.edge_u, media.edge_v, strict=True)):
        # What is seen of it from inside is its lower side. A pane reflects as a study takes it, diffusely;
        # a mesh of black wires lets out what it does not keep.
        surfaces.append(Surface(rectangle(*lid), "back"))
        index = float(media.parameters[k, 0])
        clear = media.law[k] == LAW_PANE
        reflectance.append(pane_reflectance(2 * index / (index**2 + 1), index) if clear else 0.0)
    corners = np.concatenate([surface.triangles for surface in surfaces])
    size = float(np.ptp(corners.reshape(-1, 3), axis=0).max()) * grain.share
    patches = patches_of(surfaces, size, grain.patches)
    opaque = patches.surface[np.maximum(patches.front, patches.back)] < len(given.parts)
    return PatchScene(patches), np.array(reflectance)[patches.surface], opaque


def _squarely(given, groups):
    """Transmittance at normal incidence of each mask of media, (c,). [-]"""
    crossed = (np.asarray(groups)[:, None] >> np.arange(8)) & 1 == 1
    each = np.array([given.transmittance.get(group, 1.0) for group in range(8)])
    return np.where(crossed, each, 1.0).prod(axis=1)
