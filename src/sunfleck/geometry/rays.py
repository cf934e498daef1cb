"""Rays against opaque triangles: is the way free, and what is hit first.

Two engines stand behind the same two questions: a well-known ray library, where there is a build of it
for the machine, and our own tree. They check each other in the tests.
"""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.bvh import Bvh, as_triangles, build_bvh
from sunfleck.geometry.ray_kernel import ray_kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# A hit nearer to either end of a way than this is the surface the end lies on. [m]
OFFSET = 1e-5


class RayScene(Protocol):
    """Opaque triangles that rays can be sent into."""

    def occluded(self, origins: ArrayLike, ends: ArrayLike) -> Bools:
        """Whether a triangle stands between two places.

        Parameters
        ----------
        origins, ends : (r, 3) float
            Where each way begins and ends. [m]

        Returns
        -------
        occluded : (r,) bool
            True where something lies between, more than 1e-5 m from either end. [-]

        Raises
        ------
        DomainError
            If shapes are wrong or a coordinate is not finite.
        """
        ...

    def first_hit(self, origins: ArrayLike, directions: ArrayLike) -> tuple[Floats, Ints]:
        """What rays hit first.

        Parameters
        ----------
        origins : (r, 3) float
            Where each ray begins. [m]
        directions : (r, 3) float
            Where it goes; lengths do not matter. [-]

        Returns
        -------
        distance : (r,) float
            To the first triangle more than 1e-5 m away; infinite where there is none. [m]
        triangle : (r,) int
            Its index in the array the scene was made of; -1 where there is none. [-]

        Raises
        ------
        DomainError
            If shapes are wrong, a coordinate is not finite or a direction has no length.
        """
        ...


def ray_scene(triangles: ArrayLike, *, library: bool = True) -> RayScene:
    """Make triangles ready for rays.

    Parameters
    ----------
    triangles : (m, 3, 3) float
        Corners of each triangle; m may be 0, and triangles without area are ignored. [m]
    library : bool, default True
        Whether to use the ray library where it is installed; False means our own tree. [-]

    Returns
    -------
    rays : RayScene
        Which engine answers is seen in the class only.

    Raises
    ------
    DomainError
        If the shape is another or a coordinate is not a finite number.

    Notes
    -----
    The library works in single precision (on a scene of metres, a few tenths of a micrometre), our own
    tree in double. They differ for rays that graze an edge, in the tests one ray in 100,000.

    Examples
    --------
    A floor 1 m square, looked at from above:

    >>> floor = ray_scene([[[0, 0, 0], [1, 0, 0], [0, 1, 0]], [[1, 0, 0], [1, 1, 0], [0, 1, 0]]])
    >>> floor.first_hit([[0.6, 0.7, 2.0]], [[0, 0, -1]])[1].tolist()
    [1]
    >>> floor.occluded([[0.2, 0.2, 1.0]], [[0.2, 0.2, -1.0]]).tolist()
    [True]
    """
    if library:
        corners = as_triangles(triangles)
        found = _library_rays(corners, np.arange(len(corners)))
        if found is not None:
            return found
    return TreeRays(build_bvh(triangles))


def rays_of(bvh: Bvh, *, library: bool = True) -> RayScene:
    """Make the triangles of a tree ready for rays.

    Parameters
    ----------
    bvh : Bvh
        Its triangles keep the numbers of the array it was built from. [m]
    library : bool, default True
        See :func:`ray_scene`. [-]

    Returns
    -------
    rays : RayScene
        The same triangles.
    """
    found = _library_rays(bvh.triangles.reshape(-1, 3, 3), bvh.order) if library else None
    return found or TreeRays(bvh)


def _library_rays(triangles: Floats, order: Ints) -> RayScene | None:
    """Rays by the library; None where it has no build for the machine or there is nothing to hit."""
    if not len(triangles):
        return None
    try:
        return LibraryRays(triangles, order)
    except ImportError:
        return None


class TreeRays:
    """Our own tree of boxes, in double precision."""

    def __init__(self, bvh: Bvh) -> None:
        self._bvh = bvh

    def occluded(self, origins: ArrayLike, ends: ArrayLike) -> Bools:
        """See :meth:`RayScene.occluded`."""
        begin, end = _pairs(origins, ends, "ends")
        return np.asarray(self._cast(begin, end, to_ends=True)[1] >= 0)

    def first_hit(self, origins: ArrayLike, directions: ArrayLike) -> tuple[Floats, Ints]:
        """See :meth:`RayScene.first_hit`."""
        begin, way = _pairs(origins, directions, "directions")
        _unit(way)
        distance, row = self._cast(begin, way, to_ends=False)
        return distance, _numbers(self._bvh.order, row)

    def _cast(self, origins: Floats, others: Floats, *, to_ends: bool) -> tuple[Floats, Ints]:
        distance, row = np.empty(len(origins)), np.empty(len(origins), dtype=np.int64)
        tree = (self._bvh.nodes, self._bvh.left, self._bvh.count, self._bvh.triangles)
        ray_kernel(tree, origins, others, to_ends, distance, row)
        return distance, row


class LibraryRays:
    """Embree through embreex, in single precision and in its robust mode."""

    def __init__(self, triangles: Floats, order: Ints) -> None:
        # Here and not above, because the library is not built for every machine.
        from embreex.mesh_construction import TriangleMesh  # noqa: PLC0415
        from embreex.rtcore_scene import EmbreeScene  # noqa: PLC0415

        self._order = order
        # Robust: otherwise rays slip through between triangles that share an edge.
        self._scene: Any = EmbreeScene(robust=True)
        TriangleMesh(self._scene, triangles.astype(np.float32))

    def occluded(self, origins: ArrayLike, ends: ArrayLike) -> Bools:
        """See :meth:`RayScene.occluded`."""
        begin, end = _pairs(origins, ends, "ends")
        way = end - begin
        length = np.linalg.norm(way, axis=1)
        # A way shorter than both offsets has nothing between its ends; its direction may be zero.
        free = length <= 2 * OFFSET
        way /= np.where(free, 1.0, length)[:, None]
        way[free] = (0.0, 0.0, 1.0)
        reach = np.where(free, OFFSET, length - 2 * OFFSET)
        found = self._scene.run(
            _single(begin + OFFSET * way), _single(way), dists=_single(reach), query="OCCLUDED"
        )
        return np.asarray((found >= 0) & ~free)

    def first_hit(self, origins: ArrayLike, directions: ArrayLike) -> tuple[Floats, Ints]:
        """See :meth:`RayScene.first_hit`."""
        begin, way = _pairs(origins, directions, "directions")
        way = _unit(way)
        found = self._scene.run(_single(begin + OFFSET * way), _single(way), output=True)
        row = found["primID"].astype(np.int64)
        hit = row >= 0
        distance = np.where(hit, found["tfar"].astype(np.float64) + OFFSET, np.inf)
        return distance, _numbers(self._order, row)


class TwoScenes:
    """Two scenes as one: the triangles of the second are numbered on from those of the first."""

    def __init__(self, first: RayScene, second: RayScene, count: int) -> None:
        self._first, self._second, self._count = first, second, count

    def occluded(self, origins: ArrayLike, ends: ArrayLike) -> Bools:
        """See :meth:`RayScene.occluded`."""
        return self._first.occluded(origins, ends) | self._second.occluded(origins, ends)

    def first_hit(self, origins: ArrayLike, directions: ArrayLike) -> tuple[Floats, Ints]:
        """See :meth:`RayScene.first_hit`."""
        distance, triangle = self._first.first_hit(origins, directions)
        other, number = self._second.first_hit(origins, directions)
        nearer = other < distance
        return np.where(nearer, other, distance), np.where(nearer, number + self._count, triangle)


def _pairs(origins: ArrayLike, others: ArrayLike, name: str) -> tuple[Floats, Floats]:
    begin, end = (_rows_of_three(v, n) for v, n in ((origins, "origins"), (others, name)))
    if begin.shape != end.shape:
        msg = f"there must be as many {name} as origins; got {len(end)} and {len(begin)}"
        raise DomainError(msg)
    # Both engines answer "free" to a ray that is no number: it must not come that far.
    if not (np.isfinite(begin).all() and np.isfinite(end).all()):
        bad = int((~np.isfinite(np.concatenate([begin, end], axis=1))).any(axis=1).sum())
        msg = f"origins and {name} must be finite; got {bad} that are not"
        raise DomainError(msg)
    return begin, end


def _rows_of_three(values: ArrayLike, name: str) -> Floats:
    rows = np.array(values, dtype=np.float64)
    if rows.ndim != 2 or rows.shape[1] != 3:
        msg = f"{name} must have the shape (r, 3); got {rows.shape}"
        raise DomainError(msg)
    return rows


def _unit(directions: Floats) -> Floats:
    length = np.linalg.norm(directions, axis=1)
    if not bool((length > 0).all()):
        msg = "directions must have a length above zero; got 0"
        raise DomainError(msg)
    return np.asarray(directions / length[:, None])


def _numbers(order: Ints, row: Ints) -> Ints:
    """Numbers of triangles in the array that was given, by their rows in `order`; -1 stays."""
    triangle = np.full(len(row), -1, dtype=np.int64)
    triangle[row >= 0] = order[row[row >= 0]]
    return triangle


def _single(values: Floats) -> NDArray[np.float32]:
    return np.ascontiguousarray(values, dtype=np.float32)
