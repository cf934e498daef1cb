"""Meshes of plain bodies: blocks, prisms and bodies of revolution."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.geometry.boxes import FACE_AXES, FACES, TURNED_OUT
from sunfleck.geometry.chains import any_perpendicular
from sunfleck.outputs.scene.parts import Floats, Mesh
from sunfleck.outputs.scene.tints import plain

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


def mesh_of(positions: ArrayLike, normals: ArrayLike, indices: ArrayLike, colour: str) -> Mesh:
    """Return a mesh of one colour; triangles without area are dropped.

    Parameters
    ----------
    positions, normals : (n, 3) float
        Corners [m] and where the surface faces there.
    indices : (m, 3) int
        Triangles.
    colour : str
        ``#rrggbb``.

    Returns
    -------
    mesh : Mesh
        In the types that are packed.
    """
    p, which = np.asarray(positions, np.float32), np.asarray(indices, np.int64).reshape(-1, 3)
    corners = p.astype(np.float64)[which]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    n = np.asarray(normals, np.float64)
    n = n / np.maximum(np.linalg.norm(n, axis=1, keepdims=True), 1e-12)
    kept = which[area > 1e-13].astype(np.uint32)
    return Mesh(p, n.astype(np.float32), kept, plain(colour, len(p)))


def joined(meshes: Sequence[Mesh]) -> Mesh:
    """Return several meshes as one."""
    starts = np.cumsum([0, *(len(mesh.positions) for mesh in meshes[:-1])])
    return Mesh(
        np.concatenate([mesh.positions for mesh in meshes]),
        np.concatenate([mesh.normals for mesh in meshes]),
        np.concatenate([mesh.indices + np.uint32(start) for mesh, start in zip(meshes, starts, strict=True)]),
        np.concatenate([mesh.tints for mesh in meshes]),
    )


def flat(triangles: Array, colour: str) -> Mesh:
    """Return triangles (m, 3, 3), each flat by itself. [m]"""
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    count = 3 * len(triangles)
    return mesh_of(triangles.reshape(-1, 3), np.repeat(normals, 3, axis=0), np.arange(count), colour)


def block(low: ArrayLike, high: ArrayLike, colour: str, step: float = np.inf, most: int = 900) -> Mesh:
    """Return a block whose faces are grids, so that a field can be painted on them.

    Parameters
    ----------
    low, high : (3,) float
        Opposite corners. [m]
    colour : str
        ``#rrggbb``.
    step : float
        Wanted size of the grid's cells. [m]
    most : int
        The step grows until there are at most so many corners. [-]

    Returns
    -------
    mesh : Mesh
        Closed: neighbouring faces have the same corners along their edge.
    """
    low, high = np.asarray(low, np.float64), np.asarray(high, np.float64)
    while True:
        counts = [max(1, ceil((b - a) / step - 1e-9)) for a, b in zip(low, high, strict=True)]
        corners = sum(2 * (counts[a] + 1) * (counts[b] + 1) for a, b in ((0, 1), (0, 2), (1, 2)))
        if corners <= most or max(counts) == 1:
            break
        step *= 1.15
    ticks = [np.linspace(a, b, n + 1) for a, b, n in zip(low, high, counts, strict=True)]
    parts = []
    for face in FACES:
        fixed, end, first, second = FACE_AXES[face]
        u, v = np.meshgrid(ticks[first], ticks[second], indexing="ij")
        p = np.zeros((*u.shape, 3))
        p[..., first], p[..., second], p[..., fixed] = u, v, (low, high)[end][fixed]
        normal = np.zeros(3)
        normal[fixed] = 1.0 if end else -1.0
        quads = grid_triangles(*u.shape)
        which = quads if face in TURNED_OUT else quads[:, ::-1]
        parts.append(mesh_of(p.reshape(-1, 3), np.tile(normal, (u.size, 1)), which, colour))
    return joined(parts)


def grid_triangles(rows: int, columns: int, *, round_: bool = False) -> Ints:
    """Return triangles over a grid of corners, rows first; `round_` joins the last column to the first."""
    across = columns if round_ else columns - 1
    i, j = np.meshgrid(np.arange(rows - 1), np.arange(across), indexing="ij")
    a, b = i * columns + j, i * columns + (j + 1) % columns
    c, d = a + columns, b + columns
    return np.stack([a, c, d, a, d, b], axis=-1).reshape(-1, 3)


def block_edges(low: ArrayLike, high: ArrayLike) -> Floats:
    """Return the twelve edges of a block, (12, 2, 3). [m]"""
    ends = np.array([low, high], dtype=np.float32)
    corner = {k: ends[[k >> 2 & 1, k >> 1 & 1, k & 1], [0, 1, 2]] for k in range(8)}
    pairs = [(k, k | bit) for k in range(8) for bit in (1, 2, 4) if not k & bit]
    return np.array([[corner[a], corner[b]] for a, b in pairs], dtype=np.float32)


def revolved(
    profile: Sequence[Sequence[tuple[float, float]]],
    origin: ArrayLike,
    axis: ArrayLike,
    colour: str,
    sectors: int = 24,
) -> Mesh:
    """Return a body of revolution.

    Parameters
    ----------
    profile : sequence of sequence of (along, radius)
        Pieces that are each smooth and meet at an edge; closed when they begin and end at radius 0. From the far
        end of the axis to its origin the surface faces outwards; the other way round inwards. [m]
    origin : (3,) float
        Where `along` is 0. [m]
    axis : (3,) float
        Unit vector. [-]
    colour : str
        ``#rrggbb``.
    sectors : int
        Round it. [-]

    Returns
    -------
    mesh : Mesh
        Its surface.
    """
    axis = np.asarray(axis, np.float64)
    u = any_perpendicular(axis)
    v = np.cross(axis, u)
    turn = np.arange(sectors) * 2 * np.pi / sectors
    out = np.outer(np.cos(turn), u) + np.outer(np.sin(turn), v)
    parts = []
    for piece in profile:
        along, radius = np.array(piece, dtype=np.float64).T
        slope = np.gradient(np.stack([along, radius], axis=1), axis=0)
        positions = np.asarray(origin) + along[:, None, None] * axis + radius[:, None, None] * out[None]
        normals = -slope[:, 0, None, None] * out[None] + slope[:, 1, None, None] * axis
        which = grid_triangles(len(piece), sectors, round_=True)
        parts.append(mesh_of(positions.reshape(-1, 3), normals.reshape(-1, 3), which, colour))
    return joined(parts)


def cylinder(start: ArrayLike, end: ArrayLike, radius: float, colour: str, sectors: int = 16) -> Mesh:
    """Return a cylinder with flat ends. [m]"""
    a, b = np.asarray(start, np.float64), np.asarray(end, np.float64)
    length = float(np.linalg.norm(b - a))
    rim = [(length, 0.0), (length, radius)], [(length, radius), (0.0, radius)], [(0.0, radius), (0.0, 0.0)]
    return revolved(rim, a, (b - a) / length, colour, sectors)


def prism(
    outline: Array, start: ArrayLike, along: ArrayLike, side: ArrayLike, up: ArrayLike, colour: str
) -> Mesh:
    """Return a prism with a flat outline.

    Parameters
    ----------
    outline : (k, 2) float
        Counter-clockwise seen against `along`, in the directions `side` and `up`; each edge is flat. [m]
    start : (3,) float
        Where the outline's origin is at the near end. [m]
    along : (3,) float
        From end to end. [m]
    side, up : (3,) float
        Unit vectors with side x up the way of `along`. [-]
    colour : str
        ``#rrggbb``.

    Returns
    -------
    mesh : Mesh
        Closed by its two ends, whose outline must be seen whole from its first corner and its last.
    """
    along, start = np.asarray(along, np.float64), np.asarray(start, np.float64)
    near = start + outline[:, :1] * np.asarray(side) + outline[:, 1:] * np.asarray(up)
    far = near + along
    nxt = np.roll(np.arange(len(outline)), -1)
    sides = [[near[i], near[j], far[j]] for i, j in enumerate(nxt)]
    sides += [[near[i], far[j], far[i]] for i, j in enumerate(nxt)]
    # A strip from both ends of the outline: a trough is no fan.
    order = _zipped(len(outline))
    ends = [[far[a], far[b], far[c]] for a, b, c in order] + [
        [near[a], near[c], near[b]] for a, b, c in order
    ]
    return flat(np.array([*sides, *ends]), colour)


def _zipped(count: int) -> list[tuple[int, int, int]]:
    low, high, found = 0, count - 1, []
    while high - low > 1:
        found.append((low, low + 1, high))
        low += 1
        if high - low > 1:
            found.append((low, high - 1, high))
            high -= 1
    return found
