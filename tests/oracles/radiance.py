"""Direct irradiance by Radiance (through `pyradiance`): an engine that shares nothing with ours.

A line is cut into short pieces and a disc into places, each a tiny sphere of Radiance's material `light`
whose brightness over direction comes from the emitter's own table (`brightdata`, linear between nodes, as
in our kernels). Sphere and table give exactly the intensity of the piece; what is left of error is the
number of pieces, above all where they are partly in shadow. No sampling is random: one ray to each sphere
(no jitter, no subdivision, no threshold), no reflections.
"""

from __future__ import annotations

import tempfile
from math import pi
from pathlib import Path

import numpy as np

from sunfleck.physics.emitters import DiscEmitter, LineEmitter

# Small enough that neighbouring pieces do not shade each other, even seen almost along the line.
SPHERE = 1e-5

# Where Radiance measures when asked for irradiance: this far above the given point along the normal. Found
# by comparing with one point source: moving the point back by it brings 7e-4 of disagreement to 1e-7. [m]
LIFT = 1e-4

# Arguments of a light's direction functions: A1-A3 axis, A4-A6 aim. D points from the receiver to the lamp.
FUNCTIONS = """\
along = Dx*A1 + Dy*A2 + Dz*A3;
across = sqrt(max(1e-12, 1 - along*along));
ahead = -(Dx*A4 + Dy*A5 + Dz*A6);
max(a, b) : if(a - b, a, b);
bound(x) : if(x - 1, 1, if(-1 - x, -1, x));
azimuth = acos(bound(ahead / across)) * 180 / PI;
polar = acos(bound(ahead)) * 180 / PI;
of_line(w) = w * across;
of_disc(w) = w;
"""


def direct_irradiance(triangles, emitters, points, normals, pieces=400):
    """Irradiance per watt of each emitter together, on planes with the given normals. [m-2]

    Parameters
    ----------
    triangles : (m, 3, 3) float
        Opaque on both sides. [m]
    emitters : list of LineEmitter or DiscEmitter
        Each gives off one watt. [m]
    points, normals : (n, 3) float
        Receivers, at least a few millimetres off the triangles. [m]
    pieces : int
        Into how many each emitter is cut. [-]

    Returns
    -------
    irradiance : (n,) float
        Sum over the emitters. [m-2]
    """
    import pyradiance

    with tempfile.TemporaryDirectory() as folder:
        scene = _scene(Path(folder), np.asarray(triangles, float).reshape(-1, 3, 3), emitters, pieces)
        octree = Path(folder) / "scene.oct"
        octree.write_bytes(pyradiance.oconv(str(scene), warning=False))
        normals = np.asarray(normals, float)
        rays = np.concatenate([points - LIFT * normals, normals], axis=1).astype("<f8")
        answer = pyradiance.rtrace(
            rays.tobytes(),
            octree,
            header=False,
            inform="d",
            outform="d",
            irradiance=True,
            nproc=1,
            # No ambient bounce; every light tested; one unjittered ray to each; no secondary sources.
            params=["-ab", "0", "-dt", "0", "-dc", "1", "-ds", "0", "-dj", "0", "-dr", "0", "-lr", "0"],
        )
    return np.frombuffer(answer, dtype="<f8").reshape(-1, 3)[:, 1].copy()


def _scene(folder, triangles, emitters, pieces):
    """Write scene, tables and functions; returns the scene's path."""
    functions = folder / "lamp.cal"
    functions.write_text(FUNCTIONS)
    lines = ["void plastic black 0 0 5 0 0 0 0 0"]
    for k, t in enumerate(triangles):
        lines.append(f"black polygon t{k} 0 0 9 " + " ".join(f"{x:.17g}" for x in t.ravel()))
    for k, emitter in enumerate(emitters):
        table = folder / f"law{k}.dat"
        places, values, form, angle, axis, strength = _parts(emitter, pieces)
        table.write_text(f"1\n0 180 {len(values)}\n" + "\n".join(f"{v:.17g}" for v in values) + "\n")
        direction = " ".join(f"{x:.17g}" for x in (*axis, *emitter.aim))
        lines.append(f"void brightdata law{k} 4 {form} {table} {functions} {angle} 0 6 {direction}")
        radiance = strength / (pi * SPHERE**2)
        lines.append(f"law{k} light glow{k} 0 0 3 {radiance:.17g} {radiance:.17g} {radiance:.17g}")
        lines += [
            f"glow{k} sphere s{k}x{j} 0 0 4 {x:.17g} {y:.17g} {z:.17g} {SPHERE}"
            for j, (x, y, z) in enumerate(places)
        ]
    scene = folder / "scene.rad"
    scene.write_text("\n".join(lines) + "\n")
    return scene


def _parts(emitter, pieces):
    """Places of the pieces; law, its names in the functions' file, axis; intensity of each at law 1."""
    if isinstance(emitter, LineEmitter):
        axis = (emitter.end - emitter.start) / emitter.length
        share = (np.arange(pieces)[:, None] + 0.5) / pieces
        places = emitter.start + share * (emitter.end - emitter.start)
        return places, emitter.azimuth_weight, "of_line", "azimuth", axis, 1 / (pi**2 * pieces)
    assert isinstance(emitter, DiscEmitter)
    # A sunflower, so that not even the pattern is the engine's own.
    k = np.arange(pieces) + 0.5
    radius, angle = emitter.radius * np.sqrt(k / pieces), k * pi * (3 - np.sqrt(5))
    u = np.cross(emitter.aim, np.eye(3)[np.argmin(np.abs(emitter.aim))])
    u /= np.linalg.norm(u)
    v = np.cross(emitter.aim, u)
    places = emitter.centre + radius[:, None] * (np.cos(angle)[:, None] * u + np.sin(angle)[:, None] * v)
    return places, emitter.intensity, "of_disc", "polar", emitter.aim, 1 / pieces
