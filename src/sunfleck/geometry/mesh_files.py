"""Scanned or modelled shapes from files: STL, OBJ, PLY and GLB as triangles in metres, with what is wrong with them."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]
Kind = Literal["stl", "obj", "ply", "glb"]
METRES = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048}
MOST_BYTES = 200_000_000
MOST_READ = 5_000_000
MOST_KEPT = 60_000
# Nothing that is put into an enclosure is larger or smaller than this over all. [m]
SMALLEST, LARGEST = 0.005, 10.0


@dataclass(frozen=True)
class MeshFile:
    """A shape as read.

    Attributes
    ----------
    triangles : (m, 3, 3) float
        Its surface, normals outwards where it is closed. [m]
    closed : bool
        Whether every edge has two triangles that run along it in opposite ways.
    volume : float
        What it encloses; NaN where it is not closed. [m3]
    moved_by_at_most : float
        How far any corner was moved when there were too many triangles; 0 where none was. [m]
    read : int
        Triangles in the file. [-]
    """

    triangles: Floats
    closed: bool
    volume: float
    moved_by_at_most: float
    read: int

    @property
    def size(self) -> Floats:
        """Extent along x, y, z, (3,). [m]"""
        corners = self.triangles.reshape(-1, 3)
        return np.asarray(corners.max(axis=0) - corners.min(axis=0))


def read_mesh(data: bytes, kind: Kind, unit: str | None, most: int = MOST_KEPT) -> MeshFile:
    """Read a shape.

    Parameters
    ----------
    data : bytes
        The file.
    kind : str
        ``stl``, ``obj``, ``ply`` or ``glb``. [-]
    unit : str or None
        ``mm``, ``cm``, ``m``, ``in`` or ``ft``. A GLB file is in metres by its standard and needs none. [-]
    most : int
        More triangles than this are made fewer. [-]

    Returns
    -------
    mesh : MeshFile
        Triangles without area are dropped. [m]

    Raises
    ------
    DomainError
        If it cannot be read, has no triangle or too many, no unit is stated, or it is not of a size that goes into
        an enclosure; the message names the unit in which it would be.

    Notes
    -----
    Too many triangles are made fewer by moving corners to the middle of the cells of a grid: no corner moves farther
    than half the diagonal of a cell, and what is left is within that of what was.
    """
    if len(data) > MOST_BYTES:
        msg = f"the file has {len(data) / 1e6:.0f} MB; at most {MOST_BYTES / 1e6:.0f} are read"
        raise DomainError(msg)
    corners = _corners(data, kind)
    scale = _scale(corners, kind, unit)
    triangles = _with_area(corners * scale)
    if not len(triangles):
        msg = "the file has no triangle with an area"
        raise DomainError(msg)
    read, moved = len(triangles), 0.0
    if len(triangles) > most:
        triangles, moved = reduced(triangles, most)
    closed = is_closed(triangles)
    volume = volume_of(triangles) if closed else float("nan")
    if closed and volume < 0:
        triangles, volume = triangles[:, ::-1].copy(), -volume
    return MeshFile(triangles, closed, volume, moved, read)


def volume_of(triangles: Floats) -> float:
    """Volume that a closed surface encloses, negative if its normals point inwards.

    Parameters
    ----------
    triangles : (m, 3, 3) float
        The surface. [m]

    Returns
    -------
    volume : float
        Sum of the tetrahedra over each triangle, from the middle of the corners. [m3]
    """
    t = triangles - triangles.reshape(-1, 3).mean(axis=0)
    return float(np.einsum("mk,mk->m", t[:, 0], np.cross(t[:, 1], t[:, 2])).sum() / 6)


def is_closed(triangles: Floats) -> bool:
    """Whether each edge of a surface is run along once either way.

    Parameters
    ----------
    triangles : (m, 3, 3) float
        The surface; corners that are one and the same have equal numbers. [m]

    Returns
    -------
    closed : bool
        False where there is a hole, a third triangle at an edge, or a triangle turned round. [-]
    """
    _, corner = np.unique(triangles.reshape(-1, 3), axis=0, return_inverse=True)
    corner = corner.reshape(-1, 3)
    edges = np.concatenate([corner[:, [0, 1]], corner[:, [1, 2]], corner[:, [2, 0]]])
    forth, times = np.unique(edges, axis=0, return_counts=True)
    back = np.unique(edges[:, ::-1], axis=0)
    return bool((times == 1).all() and len(forth) == len(back) and (forth == back).all())


def reduced(triangles: Floats, most: int) -> tuple[Floats, float]:
    """Make a surface of fewer triangles.

    Parameters
    ----------
    triangles : (m, 3, 3) float
        The surface. [m]
    most : int
        How many may be left. [-]

    Returns
    -------
    fewer : (k, 3, 3) float
        Corners in the middles of the cells of a grid that is as fine as `most` allows. [m]
    moved : float
        How far a corner was moved at most. [m]
    """
    corners = triangles.reshape(-1, 3)
    low, extent = corners.min(axis=0), float(np.ptp(corners, axis=0).max())
    cells = max(4.0, np.sqrt(most))
    while True:
        cell = extent / cells
        fewer = _with_area(((np.floor((corners - low) / cell) + 0.5) * cell + low).reshape(-1, 3, 3))
        # The same triangle many times over is one.
        key = np.sort(np.unique(fewer.reshape(-1, 3), axis=0, return_inverse=True)[1].reshape(-1, 3), axis=1)
        fewer = fewer[np.sort(np.unique(key, axis=0, return_index=True)[1])]
        if len(fewer) <= most or cells <= 4.0:  # a shape of four cells is none any more
            return fewer, cell * np.sqrt(3.0) / 2
        cells = max(4.0, cells * 0.8)


def _corners(data: bytes, kind: Kind) -> Floats:
    """Corners of all triangles in the file's own unit, (m, 3, 3)."""
    try:
        import trimesh  # noqa: PLC0415  # an extra; loading it takes a third of a second
    except ImportError as error:
        msg = 'shapes from files need trimesh, which is not installed; try: pip install "sunfleck[shapes]"'
        raise DomainError(msg) from error
    try:
        # No resolver: a file that names other files gets none of them.
        mesh: Any = trimesh.load(io.BytesIO(data), file_type=kind, process=False, force="mesh")
        corners = np.asarray(mesh.vertices, dtype=np.float64)[np.asarray(mesh.faces, dtype=np.int64)]
    except MemoryError:
        raise
    except Exception as error:  # whatever a foreign reader makes of a broken file
        msg = (
            f"cannot be read as {kind.upper()}: {' '.join(str(error).split())[:120] or type(error).__name__}"
        )
        raise DomainError(msg) from error
    if corners.ndim != 3 or corners.shape[1:] != (3, 3) or not len(corners):
        msg = f"no triangle was found in it as {kind.upper()}"
        raise DomainError(msg)
    if len(corners) > MOST_READ:
        msg = f"it has {len(corners):,} triangles; at most {MOST_READ:,} are read"
        raise DomainError(msg)
    if not bool(np.isfinite(corners).all()):
        msg = "it has corners that are no finite numbers"
        raise DomainError(msg)
    return corners


def _scale(corners: Floats, kind: Kind, unit: str | None) -> float:
    """Metres of the file's unit; refuses what is of no likely size, and names the unit in which it would be."""
    extent = float(np.ptp(corners.reshape(-1, 3), axis=0).max())
    likely = [word for word, metres in METRES.items() if SMALLEST <= extent * metres <= LARGEST]
    told = (
        ", ".join(f"as {word} {extent * METRES[word]:.3g} m long" for word in likely)
        or "in no unit of a likely size"
    )
    if unit is None and kind != "glb":
        msg = f"no unit is stated, and the file has none; it would be {told}"
        raise DomainError(msg)
    word = unit if unit is not None else "m"
    if word not in METRES:
        msg = f"the unit must be one of {', '.join(METRES)}; got {word!r}"
        raise DomainError(msg)
    if word not in likely:
        msg = f"as {word} it is {extent * METRES[word]:.4g} m long; it would be {told}"
        raise DomainError(msg)
    return METRES[word]


def _with_area(triangles: Floats) -> Floats:
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    return np.asarray(triangles[np.linalg.norm(normal, axis=1) > 0])
