"""Reflected light of a given scene by our engine: its parts put together as ``studies.interreflection`` does.

Lamps are shot at the patches, light goes to and fro between these, and receivers gather it. Patches, rays
and directions are those of the study, so that what is tested is what a plan gets.
"""

import numpy as np

from oracles.scenes import rectangle
from sunfleck.geometry.patches import Surface, patches_of
from sunfleck.geometry.rays import ray_scene
from sunfleck.physics.canopies import Canopies
from sunfleck.physics.exchange import exchange_of, interreflect
from sunfleck.physics.media import LAW_PANE, Media, pane_reflectance
from sunfleck.physics.shoot import shoot
from sunfleck.physics.surround import PatchScene, surround_of
from sunfleck.physics.transport import Scene, transfer
from sunfleck.geometry.bvh import build_bvh
from sunfleck.studies.interreflection import (
    DIRECTIONS,
    MOST_PATCHES,
    PATCH_SHARE,
    RAYS_FROM_A_LAMP,
    RAYS_FROM_A_PATCH,
)


def direct(given):
    """Direct irradiance of a scene's lamps together, per watt of each, (n,). [m-2]"""
    scene = Scene(build_bvh(given.triangles), given.media)
    return sum(
        _through(given, transfer(scene, emitter, given.points, given.normals)) for emitter in given.emitters
    )


def _through(given, found):
    """Facing irradiance with what media keep squarely."""
    return found.facing @ squarely(given, found.groups)


def squarely(given, groups):
    """Transmittance at normal incidence of each mask of media, (c,). [-]"""
    return np.array(
        [np.prod([t for g, t in given.transmittance.items() if mask >> g & 1]) for mask in groups]
    )


def reflected(
    given,
    directions=DIRECTIONS,
    patches=MOST_PATCHES,
    share=PATCH_SHARE,
    rays=RAYS_FROM_A_PATCH,
    lamp_rays=RAYS_FROM_A_LAMP,
):
    """Reflected irradiance of a scene's lamps together, per watt of each, (n,). [m-2]"""
    surfaces = [Surface(part.triangles, part.sides) for part in given.parts]
    rho = [part.reflectance for part in given.parts]
    media = given.media
    for k, corner in enumerate(zip(media.origin, media.edge_u, media.edge_v, strict=True)):
        # Lids: what is seen from inside is their lower side.
        surfaces.append(Surface(rectangle(*corner), "back"))
        index = float(media.parameters[k, 0])
        rho.append(pane_reflectance(2 * index / (index**2 + 1), index) if media.law[k] == LAW_PANE else 0.0)
    reach = np.concatenate([s.triangles for s in surfaces]).reshape(-1, 3)
    pieces = patches_of(surfaces, float(np.ptp(reach, axis=0).max()) * share, patches)
    scene = PatchScene(pieces)
    opaque = pieces.surface[np.maximum(pieces.front, pieces.back)] < len(given.parts)
    triangles = pieces.triangles[opaque]
    landed = np.zeros(scene.outside)
    for emitter in given.emitters:
        landing = shoot(
            ray_scene(triangles), triangles, pieces.front[opaque], pieces.back[opaque], media, Canopies.none(), [],
            emitter, outside=scene.outside, number=lamp_rays,
        )  # fmt: skip
        landed += landing.landed[:-1] @ squarely(given, landing.groups)
    radiosity, _, _ = interreflect(exchange_of(scene, rays), np.array(rho)[pieces.surface], landed[:, None])
    return surround_of(scene, given.points, directions).irradiance(radiosity[:, 0], given.normals), len(
        pieces
    )
