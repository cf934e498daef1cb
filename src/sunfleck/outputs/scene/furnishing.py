"""Ledges, hides, panels, the ground and stations as bodies."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sunfleck.geometry.boxes import FACE_AXES, TURNED_OUT, Box, Face
from sunfleck.outputs.scene.parts import Floats, Mesh
from sunfleck.outputs.scene.solids import block, block_edges, flat
from sunfleck.outputs.scene.tints import FINISH, FINISHES, STATION, broken, grain, mottled

BLOCK_STEP, GROUND_STEP = 0.02, 0.045  # [m]
GRAINS = {"soil-humus": 0.07, "soil-fertile": 0.07, "cork": 0.05, "bark": 0.06}
GRAIN = 0.025
HIDE_COLOUR = "#a1917c"
# A wall of a hide, as a share of its least side and at most. The plan has none. [m]
HIDE_WALL_SHARE, HIDE_WALL = 0.08, 0.008
STATION_SIZE = 0.011  # half a station's mark; it is a sign, nothing that stands in the box [m]


def body_mesh(name: str, box: Box, finish: str, step: float = BLOCK_STEP) -> tuple[Mesh, Floats]:
    """Return a ledge, a panel or the ground in its finish, and its edges. [m]"""
    mesh = block(box.low, box.high, FINISHES.get(finish, FINISH), step)
    spread = GRAINS.get(finish, GRAIN)
    tints = mottled(name, FINISHES.get(finish, FINISH), mesh.positions.astype(np.float64), spread)
    return replace(mesh, tints=tints), block_edges(box.low, box.high)


def hide_mesh(name: str, box: Box, opening: Face) -> tuple[Mesh, Floats]:
    """Return a shelter with thin walls and one open side, and its edges. [m]"""
    size = box.high - box.low
    wall = min(HIDE_WALL, HIDE_WALL_SHARE * float(size.min()))
    low, high = box.low + wall, box.high - wall
    fixed, end, _, _ = FACE_AXES[opening]
    (high if end else low)[fixed] = (box.high if end else box.low)[fixed]
    cavity = Box(low, high)
    inner = cavity.triangles(without=(opening,))[:, ::-1]
    outer = box.triangles(without=(opening,))
    rim = []
    outside, inside = _loop(box, opening), _loop(cavity, opening)
    for k in range(4):
        a, b, c, d = outside[k], outside[(k + 1) % 4], inside[(k + 1) % 4], inside[k]
        rim += [[a, b, c], [a, c, d]]
    triangles = np.concatenate([outer, inner, np.array(rim)])
    mesh = flat(triangles, HIDE_COLOUR)
    shade = np.repeat(grain(name, (len(triangles) // 2,), 0.05), 6)
    # The inside of a shelter is dark.
    shade[3 * len(outer) : 3 * (len(outer) + len(inner))] -= 0.45
    mouth = np.array([[inside[k], inside[(k + 1) % 4]] for k in range(4)])
    edges = np.concatenate([block_edges(box.low, box.high), mouth]).astype(np.float32)
    return replace(mesh, tints=broken(HIDE_COLOUR, shade)), edges


def station_mesh(at: tuple[float, float, float]) -> Mesh:
    """Return the mark of a station: an octahedron round its place. [m]"""
    points = np.array(at) + STATION_SIZE * np.concatenate([np.eye(3), -np.eye(3)])
    triangles = []
    for k in range(8):
        signs = [1 if k >> axis & 1 else -1 for axis in range(3)]
        corner = [points[axis if sign > 0 else axis + 3] for axis, sign in enumerate(signs)]
        triangles.append(corner if np.prod(signs) > 0 else corner[::-1])
    return flat(np.array(triangles), STATION)


def _loop(box: Box, face: Face) -> list[np.ndarray]:
    """The four corners of a face, counter-clockwise seen from outside."""
    fixed, end, first, second = FACE_AXES[face]
    ends = (box.low, box.high)
    found = []
    for u, v in ((0, 0), (1, 0), (1, 1), (0, 1)):
        corner = np.zeros(3)
        corner[fixed], corner[first], corner[second] = ends[end][fixed], ends[u][first], ends[v][second]
        found.append(corner)
    return found if face in TURNED_OUT else found[::-1]
