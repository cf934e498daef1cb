"""Irradiance by Radiance (through `pyradiance`): an engine that shares nothing with ours.

A line is cut into short pieces and a disc into places, each a tiny sphere of Radiance's material `light`
whose brightness over direction comes from the emitter's own table (`brightdata`, linear between nodes, as
in our kernels). Sphere and table give exactly the intensity of the piece; what is left of error is the
number of pieces, above all where they are partly in shadow. Direct light is not sampled at random: one ray
to each sphere (no jitter, no subdivision, no threshold).

Thin media. A clear pane is Radiance's `glass`: Fresnel's law for both polarisations with all reflections
between the two faces, from the *transmissivity*, what is left of light after one passage through the
inside of the pane, and the index. Transmissivity 1 is a pane that absorbs nothing, as our law of a pane is
meant; squarely it lets 2 n / (n^2 + 1) through, and our law is relative to that. A mesh is a `mixfunc` of
nothing and black, whose share is the law of a mesh written anew in the function file below. Rays to lamps
pass through both, each weighted for its own direction (`test_against_radiance` holds it to closed forms).
"""

from __future__ import annotations

import tempfile
from math import pi
from pathlib import Path

import numpy as np

from sunfleck.physics.emitters import DiscEmitter, LineEmitter
from sunfleck.physics.media import LAW_MESH, LAW_PANE

# Scenes are handed over in centimetres: Radiance's own tolerances are numbers without a unit. In metres a
# polygon with edges of 3 cm reaches 0.03 mm beyond them (1e-6 over the length of the edge, found by rays that
# graze one), which is half a per cent of a spot behind a leaf.
PER_METRE = 100.0
# Small enough that neighbouring pieces do not shade each other, even seen almost along the line; large enough
# that rounding does not make rays miss it (its square against that of the distance, up to 10 m). [cm]
SPHERE = 3e-5
# Where Radiance measures when asked for irradiance: this far above the given point along the normal. Found
# by comparing with one point source: moving the point back by it brings 7e-4 of disagreement to 1e-7. [cm]
LIFT = 1e-4

# Arguments of a light's direction functions: A1-A3 axis, A4-A6 aim. D points from the receiver to the lamp.
LAMP = """\
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

# The share that a mesh covers. Arguments: unit vectors along u, along v and square to both, then thickness
# over pitch of the wires that follow each other along u, and along v. Seen at the angle t in the plane
# across them, wires cover their share over cos t; the two directions are independent.
MESH = """\
abs(x) : if(x, x, -x);
max(a, b) : if(a - b, a, b);
u = abs(Dx*A1 + Dy*A2 + Dz*A3);
v = abs(Dx*A4 + Dy*A5 + Dz*A6);
n = abs(Dx*A7 + Dy*A8 + Dz*A9);
gaps(c, r) : max(0, 1 - r / cos(atan2(c, n)));
covered = 1 - gaps(u, arg(10)) * gaps(v, arg(11));
"""

# Every lamp tested; one unjittered ray to each; no secondary sources.
ALL_LAMPS = "-dt 0 -dc 1 -ds 0 -dj 0 -dr 0"


def direct_irradiance(triangles, emitters, points, normals, pieces=400, media=None):
    """Irradiance per watt of each emitter together, on planes with the given normals. [m-2]

    Parameters
    ----------
    triangles : (m, 3, 3) float
        Opaque on both sides. [m]
    emitters : list of LineEmitter or DiscEmitter
        Each gives off one watt. [m]
    points, normals : (n, 3) float
        Receivers, at least a few millimetres off the triangles. [m]
    pieces : int or sequence of int
        Into how many all are cut, or each. [-]
    media : Media, optional
        Meshes and clear panes on the way, with what they keep squarely too. [m]

    Returns
    -------
    irradiance : (n,) float
        Sum over the emitters. [m-2]
    """
    black = [("void plastic finish0 0 0 5 0 0 0 0 0", np.asarray(triangles, float).reshape(-1, 3, 3))]
    # What a pane mirrors is left out with the limit on the depth of rays.
    return _measured(black, emitters, pieces, media, points, normals, f"-ab 0 -lr 0 {ALL_LAMPS}")


def total_irradiance(
    parts,
    emitters,
    points,
    normals,
    *,
    media=None,
    pieces=40,
    bounces=100,
    rays=1024,
):
    """Direct and reflected irradiance per watt of each emitter together. [m-2]

    Each point looks along `rays` directions, and each of these is followed from surface to surface: nothing
    is interpolated between places (`-aa 0`; with interpolation light in a closed box of 0.8 came out
    5 % off). A ray is followed on by chance in proportion to what it still carries, which leaves no
    bias (`-lr 0`, from the weight of one ray on). So what differs from run to run is all the error there is
    but for the number of pieces; with 64 rays it is 3 to 5 % of the mean, and falls as their root.

    Parameters
    ----------
    parts : sequence of oracles.scenes.Part
        What light is reflected by. [m]
    emitters, points, normals, media
        See :func:`direct_irradiance`.
    pieces : int or sequence of int
        Into how many emitters are cut: few, because reflected light does not know. [-]
    bounces : int
        How often light is reflected at most; 0 gives the direct light by as many pieces. [-]
    rays : int
        From each point. [-]

    Returns
    -------
    irradiance : (n,) float
        Sum over the emitters. [m-2]
    """
    finishes = []
    for k, part in enumerate(parts):
        rho = " ".join([f"{part.reflectance:.17g}"] * 3)
        # A leaf passes half of what it does not absorb: 0.5 of `trans` goes through, none of it straight.
        kind = (
            f"trans finish{k} 0 0 7 {rho} 0 0 0.5 0"
            if part.sides == "leaf"
            else f"plastic finish{k} 0 0 5 {rho} 0 0"
        )
        finishes.append(("void " + kind, part.triangles))
    sampling = f"-ab {bounces} -aa 0 -as 0 -ad {rays} -lr 0 -lw {1 / rays:g}" if bounces else "-ab 0 -lr 0"
    return _measured(finishes, emitters, pieces, media, points, normals, f"{sampling} {ALL_LAMPS}")


def _measured(finishes, emitters, pieces, media, points, normals, options):
    """Write a scene, ask `rtrace` for irradiance, and read it back."""
    import pyradiance

    with tempfile.TemporaryDirectory() as folder:
        scene = Path(folder) / "scene.rad"
        lines = [*_surfaces(finishes), *_lamps(Path(folder), emitters, pieces), *_media(Path(folder), media)]
        scene.write_text("\n".join(lines) + "\n")
        octree = Path(folder) / "scene.oct"
        octree.write_bytes(pyradiance.oconv(str(scene), warning=False))
        normals = np.asarray(normals, float)
        receivers = np.concatenate([PER_METRE * np.asarray(points) - LIFT * normals, normals], axis=1).astype(
            "<f8"
        )
        answer = pyradiance.rtrace(
            receivers.tobytes(),
            octree,
            header=False,
            inform="d",
            outform="d",
            irradiance=True,
            nproc=1,
            params=options.split(),
        )
    return np.frombuffer(answer, dtype="<f8").reshape(-1, 3)[:, 1].copy()


def _surfaces(finishes):
    for k, (material, triangles) in enumerate(finishes):
        yield material
        for j, t in enumerate(triangles):
            yield f"finish{k} polygon t{k}x{j} 0 0 9 " + _numbers(PER_METRE * t)


def _lamps(folder, emitters, pieces):
    """Lamps as spheres; their tables and functions are written into the folder."""
    functions = folder / "lamp.cal"
    functions.write_text(LAMP)
    for k, (emitter, number) in enumerate(zip(emitters, np.broadcast_to(pieces, len(emitters)), strict=True)):
        table = folder / f"law{k}.dat"
        places, values, form, angle, axis, strength = _parts(emitter, int(number))
        table.write_text(f"1\n0 180 {len(values)}\n" + "\n".join(f"{v:.17g}" for v in values) + "\n")
        yield f"void brightdata law{k} 4 {form} {table} {functions} {angle} 0 6 {_numbers((axis, emitter.aim))}"
        radiance = PER_METRE**2 * strength / (pi * SPHERE**2)
        yield f"law{k} light glow{k} 0 0 3 {radiance:.17g} {radiance:.17g} {radiance:.17g}"
        for j, place in enumerate(places):
            yield f"glow{k} sphere s{k}x{j} 0 0 4 {_numbers(PER_METRE * place)} {SPHERE}"


def _media(folder, media):
    """Meshes and panes as rectangles."""
    if media is None or not len(media):
        return
    functions = folder / "mesh.cal"
    functions.write_text(MESH)
    yield "void plastic wire 0 0 5 0 0 0 0 0"
    for k, (o, u, v) in enumerate(zip(media.origin, media.edge_u, media.edge_v, strict=True)):
        first, second = media.parameters[k]
        if media.law[k] == LAW_PANE:
            yield f"void glass medium{k} 0 0 4 1 1 1 {first:.17g}"
        else:
            assert media.law[k] == LAW_MESH
            frame = np.stack([u / np.linalg.norm(u), v / np.linalg.norm(v)])
            frame = np.concatenate([frame, np.cross(*frame)[None]])
            yield f"void mixfunc medium{k} 4 wire void covered {functions} 0 11 {_numbers(frame)} {first} {second}"
        yield f"medium{k} polygon m{k} 0 0 12 " + _numbers(PER_METRE * np.stack([o, o + u, o + u + v, o + v]))


def _numbers(values):
    return " ".join(f"{x:.17g}" for x in np.ravel(values))


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
