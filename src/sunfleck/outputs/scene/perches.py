"""Branches as smooth surfaces of rings, and shapes from files along their path."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.chains import Chain, any_perpendicular
from sunfleck.geometry.mesh_files import reduced
from sunfleck.outputs.scene.parts import Floats, Mesh, Whole
from sunfleck.outputs.scene.solids import grid_triangles, joined, mesh_of
from sunfleck.outputs.scene.tints import END_GRAIN, WOOD, WOODS, broken, grain, plain

SECTORS = 12
FEWEST_RINGS, MOST_RINGS = 6, 40
# About as fine as what is painted on it; a machine without a graphics card draws each triangle by hand. [m]
RING_STEP = 0.03
# A bend is rounded, so that no branch has a mitre: its axis turns about a circle of at least so many radii.
ROUNDED = 1.35
MOST_TRIANGLES = 8000  # of a shape from a file
ROUGH = 0.10  # how far lighter and darker bark is
RELIEF = 0.9  # how far bark turns the light: a picture of grain, the surface is where the plan has it


@dataclass(frozen=True, eq=False)
class PerchMesh:
    """A branch as it is drawn.

    Attributes
    ----------
    mesh : Mesh
        Its surface.
    along : (r,) float32
        How far along the path each ring lies. [m]
    ring : (n,) uint32
        The ring of each corner.
    """

    mesh: Mesh
    along: Floats
    ring: Whole


def branch_mesh(name: str, chain: Chain, wood: str) -> PerchMesh:
    """Return a branch as rings with two sawn ends.

    Parameters
    ----------
    name : str
        Its grain is always the same.
    chain : Chain
        Path and radii. [m]
    wood : str
        The library's id.

    Returns
    -------
    perch : PerchMesh
        Ring by ring, `SECTORS` corners each, then the two ends.
    """
    count = int(np.clip(np.ceil(chain.length / RING_STEP), FEWEST_RINGS, MOST_RINGS))
    along = np.linspace(0.0, chain.length, count)
    axis, radius = _rounded(chain, along)
    tangent = np.gradient(axis, along, axis=0)
    tangent /= np.linalg.norm(tangent, axis=1, keepdims=True)
    u = _carried(tangent)
    v = np.cross(tangent, u)
    turn = np.arange(SECTORS) * 2 * np.pi / SECTORS
    out = np.cos(turn)[None, :, None] * u[:, None] + np.sin(turn)[None, :, None] * v[:, None]
    round_ = np.cos(turn)[None, :, None] * v[:, None] - np.sin(turn)[None, :, None] * u[:, None]
    positions = axis[:, None] + radius[:, None, None] * out
    # Bark runs along: noise drawn out over several rings.
    noise = grain(name, (count + 8, SECTORS), ROUGH)
    bark = np.stack([noise[k : k + count] for k in range(9)]).mean(axis=0) * 2.4
    across = (np.roll(bark, -1, axis=1) - np.roll(bark, 1, axis=1)) / 2
    normals = out - RELIEF * across[..., None] * round_
    which = grid_triangles(count, SECTORS, round_=True)[:, ::-1]
    sides = mesh_of(positions.reshape(-1, 3), normals.reshape(-1, 3), which, WOOD)
    sides = replace(sides, tints=broken(WOODS.get(wood, WOOD), bark.reshape(-1)))
    start = _end(axis[0], -tangent[0], positions[0][::-1])
    end = _end(axis[-1], tangent[-1], positions[-1])
    rings = np.repeat(np.arange(count), SECTORS)
    last = np.full(SECTORS + 1, count - 1)
    ring = np.concatenate([rings, np.zeros(SECTORS + 1, int), last]).astype(np.uint32)
    return PerchMesh(joined([sides, start, end]), along.astype(np.float32), ring)


def shaped_mesh(name: str, triangles: NDArray[np.float64], chain: Chain, wood: str) -> PerchMesh:
    """Return a branch from a file: its own surface, each corner with the place on the path nearest to it.

    Parameters
    ----------
    name, wood : str
        As of :func:`branch_mesh`.
    triangles : (m, 3, 3) float
        Its surface, made coarser where there are very many. [m]
    chain : Chain
        The path that the plan has for it. [m]

    Returns
    -------
    perch : PerchMesh
        Smooth, corners that are one place being one.
    """
    if len(triangles) > MOST_TRIANGLES:
        triangles, _ = reduced(triangles, MOST_TRIANGLES)
    corners, which = np.unique(triangles.reshape(-1, 3), axis=0, return_inverse=True)
    which = which.reshape(-1, 3)
    facing = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    normals = np.zeros_like(corners)
    for k in range(3):
        np.add.at(normals, which[:, k], facing)
    count = int(np.clip(np.ceil(chain.length / RING_STEP), FEWEST_RINGS, MOST_RINGS))
    along = np.linspace(0.0, chain.length, count)
    axis, _, _ = chain.at(along)
    ring = np.array([np.argmin(((axis - corner) ** 2).sum(axis=1)) for corner in corners], dtype=np.uint32)
    mesh = mesh_of(corners, normals, which, WOOD)
    tints = broken(WOODS.get(wood, WOOD), grain(name, (len(corners),), ROUGH / 2))
    return PerchMesh(replace(mesh, tints=tints), along.astype(np.float32), ring)


def _rounded(chain: Chain, along: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Axis points and radii; near a bend the axis follows a parabola that touches both legs."""
    axis, _, radius = chain.at(along)
    steps = np.linalg.norm(np.diff(chain.path, axis=0), axis=1)
    knots = np.cumsum(steps)[:-1]
    ways = np.diff(chain.path, axis=0) / steps[:, None]
    for k, knot in enumerate(knots):
        # Of a parabola that touches both legs at `reach` from the corner, curved most in its middle:
        # circle = reach cos^2 / sin, of half the turn.
        square = (1 + float(ways[k] @ ways[k + 1])) / 2
        wanted = ROUNDED * chain.radius[k + 1] * max(1.0, np.sqrt(1 - min(square, 1.0)) / max(square, 1e-3))
        reach = min(wanted, 0.45 * steps[k], 0.45 * steps[k + 1])
        near = np.abs(along - knot) < reach
        t = (along[near] - knot + reach) / (2 * reach)
        (before, after), _, _ = chain.at(np.array([knot - reach, knot + reach]))
        corner = chain.path[k + 1]
        axis[near] = (
            ((1 - t) ** 2)[:, None] * before + (2 * t * (1 - t))[:, None] * corner + (t**2)[:, None] * after
        )
    return axis, radius


def _carried(tangents: NDArray[np.float64]) -> NDArray[np.float64]:
    """A direction square to each tangent, carried along so that the surface does not twist."""
    found, u = [], any_perpendicular(tangents[0])
    for tangent in tangents:
        u = u - (u @ tangent) * tangent
        u = u / np.linalg.norm(u) if np.linalg.norm(u) > 1e-9 else any_perpendicular(tangent)
        found.append(u)
    return np.array(found)


def _end(middle: NDArray[np.float64], facing: NDArray[np.float64], rim: NDArray[np.float64]) -> Mesh:
    """A sawn end: the rim, counter-clockwise seen from outside, round its middle."""
    count = len(rim)
    around = np.arange(count)
    which = np.stack([np.full(count, count), around, np.roll(around, -1)], axis=1)
    mesh = mesh_of(np.vstack([rim, middle]), np.tile(facing, (count + 1, 1)), which, END_GRAIN)
    return replace(mesh, tints=plain(END_GRAIN, count + 1))
