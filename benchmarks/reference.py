"""Irradiance by very many samples of each lamp: the reference that everybody is held against.

It shares no visibility with the engine: whether a place of a lamp is seen is asked ray by ray.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.rays import RayScene
from sunfleck.physics.emitters import AZIMUTHS, POLAR_ANGLES, DiscEmitter, LineEmitter

Floats = NDArray[np.float64]
Emitter = LineEmitter | DiscEmitter

SAMPLES = 20_000


def reference(
    rays: RayScene, emitters: tuple[Emitter, ...], points: Floats, normals: Floats, samples: int = SAMPLES
) -> Floats:
    """Irradiance per watt of each lamp together, from `samples` places of each, (n,). [m-2]"""
    return np.asarray(sum(_of(rays, emitter, points, normals, samples) for emitter in emitters))


def rms(found: Floats, expected: Floats) -> float:
    """Root of the mean square difference, as a percentage of the mean expected."""
    return float(100 * np.sqrt(np.mean((found - expected) ** 2)) / expected.mean())


def _of(rays: RayScene, emitter: Emitter, points: Floats, normals: Floats, samples: int) -> Floats:
    spread = _on_line if isinstance(emitter, LineEmitter) else _on_disc
    places = spread(emitter, samples)
    irradiance = np.zeros(len(points))
    for i, (point, normal) in enumerate(zip(points, normals, strict=True)):
        way = places - point
        distance = np.linalg.norm(way, axis=1)
        way /= distance[:, None]
        facing = np.maximum(way @ normal, 0.0)
        seen = ~rays.occluded(np.broadcast_to(point, places.shape), places)
        irradiance[i] = np.sum(seen * facing * _intensity(emitter, -way) / distance**2) / samples
    return irradiance


def _on_line(line: LineEmitter, samples: int) -> Floats:
    share = (np.arange(samples)[:, None] + 0.5) / samples
    return np.asarray(line.start + share * (line.end - line.start))


def _on_disc(disc: DiscEmitter, samples: int) -> Floats:
    """Seeds of a sunflower: as even as can be, and no pattern of the engine's."""
    k = np.arange(samples) + 0.5
    radius, angle = disc.radius * np.sqrt(k / samples), k * pi * (3 - sqrt(5))
    u = np.cross(disc.aim, np.eye(3)[np.argmin(np.abs(disc.aim))])
    u /= np.linalg.norm(u)
    v = np.cross(disc.aim, u)
    out = np.cos(angle)[:, None] * u + np.sin(angle)[:, None] * v
    return np.asarray(disc.centre + radius[:, None] * out)


def _intensity(emitter: Emitter, out: Floats) -> Floats:
    """Intensity per watt towards unit vectors `out` (s, 3); of a line by Lambert's cosine along it. [sr-1]"""
    ahead = out @ emitter.aim
    if isinstance(emitter, DiscEmitter):
        return np.interp(np.arccos(np.clip(ahead, -1, 1)), POLAR_ANGLES, emitter.intensity)
    axis = (emitter.end - emitter.start) / emitter.length
    across = np.sqrt(np.maximum(1 - (out @ axis) ** 2, 1e-12))
    azimuth = np.arccos(np.clip(ahead / across, -1, 1))
    return np.asarray(np.interp(azimuth, AZIMUTHS, emitter.azimuth_weight) * across / pi**2)
