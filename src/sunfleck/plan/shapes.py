"""Shapes from files beside the plan, put in their place."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import cast

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.mesh_files import MOST_BYTES, Kind, MeshFile, read_mesh
from sunfleck.plan.files import beside
from sunfleck.plan.furnishing import Shape

KINDS = ("stl", "obj", "ply", "glb")


@dataclass(frozen=True, eq=False)
class Placed:
    """A shape in its place.

    Attributes
    ----------
    triangles : (m, 3, 3) float
        Its surface. [m]
    mesh : MeshFile
        As read.
    """

    triangles: NDArray[np.float64]
    mesh: MeshFile


def placed(shape: Shape, folder: Path) -> Placed:
    """Read a shape and put it where the plan says.

    Parameters
    ----------
    shape : Shape
        File, unit, place and turn.
    folder : Path
        The plan's folder, which the file may not leave.

    Returns
    -------
    placed : Placed
        Turned about its own origin by the three angles, about x, then y, then z, and put with that at `at`. [m]

    Raises
    ------
    DomainError
        If the file is not one beside the plan, or cannot be read as a shape of a likely size.
    """
    file, kind = beside(folder, shape.file, KINDS, MOST_BYTES)
    try:
        state = file.stat()
        mesh = _read(str(file), state.st_mtime_ns, state.st_size, kind, shape.unit)
    except OSError as error:
        msg = f"it cannot be read ({error.strerror or error})"
        raise DomainError(msg) from error
    return Placed(mesh.triangles @ _turned(shape.turn).T + np.array(shape.at), mesh)


@lru_cache(maxsize=16)
def _read(file: str, _changed: int, _size: int, kind: str, unit: str | None) -> MeshFile:
    return read_mesh(Path(file).read_bytes(), cast(Kind, kind), unit)


def _turned(angles: tuple[float, float, float]) -> NDArray[np.float64]:
    (cx, cy, cz), (sx, sy, sz) = np.cos(angles), np.sin(angles)
    about_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    about_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    about_z = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]])
    return np.asarray(about_z @ about_y @ about_x)
