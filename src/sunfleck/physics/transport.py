"""Direct light from a lamp at points among opaque triangles, through thin media.

What comes out is geometry only, per watt that the lamp gives off: outputs in channels, transmittances
squarely through media, dimming and ageing multiply it afterwards.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.bvh import Bvh
from sunfleck.physics.disc_kernel import disc_kernel
from sunfleck.physics.disc_pattern import disc_pattern
from sunfleck.physics.emitters import DiscEmitter, LineEmitter
from sunfleck.physics.line_kernel import line_kernel
from sunfleck.physics.media import Media
from sunfleck.physics.ray_kernel import ray_kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Fill = Callable[[Floats, Floats, Floats, Bools], None]

# Points handed to a thread at a time. Each point is worked out by itself, so neither this number nor the
# number of threads can change a result.
CHUNK = 256
RAYS_PER_CHUNK = 4096


@dataclass(frozen=True, slots=True)
class Scene:
    """What light meets on its way.

    Attributes
    ----------
    bvh : Bvh
        Opaque triangles. [m]
    media : Media
        Thin media. [m]
    """

    bvh: Bvh
    media: Media


@dataclass(frozen=True, slots=True)
class Transfer:
    """Light at n points from one lamp, per watt it gives off, by the media the light has crossed.

    Attributes
    ----------
    groups : (c,) int
        Bit masks in rising order: bit g is set where light has crossed the media group g. Mask 0, light
        that crossed none, is always the first; others only if light arrives with them somewhere. [-]
    vector : (n, c, 3) float
        Vector irradiance, pointing from the point to where the light comes from. [m-2]
    facing : (n, c) float
        Irradiance on a plane with the given normal; light from behind the plane does not count. [m-2]

    Notes
    -----
    Media are weighted by their dependence on angle relative to normal incidence only: multiply by their
    normal transmittances. Points or normals that are not finite give NaN.
    """

    groups: Ints
    vector: Floats
    facing: Floats


def transfer(
    scene: Scene,
    emitter: LineEmitter | DiscEmitter,
    points: ArrayLike,
    normals: ArrayLike,
    *,
    threads: int | None = None,
) -> Transfer:
    """Direct light from a lamp of either shape at points.

    Parameters
    ----------
    scene : Scene
        Opaque triangles and media. [m]
    emitter : LineEmitter or DiscEmitter
        The lamp, giving off one watt. [m]
    points : (n, 3) float
        Receivers. [m]
    normals : (n, 3) float
        Which way each faces; lengths do not matter. [-]
    threads : int, optional
        How many to use; by default one for each core, at most 4. [-]

    Returns
    -------
    transfer : Transfer
        Vector and facing irradiance per watt. [m-2]

    Raises
    ------
    DomainError
        If shapes are wrong or a normal has no length.
    """
    if isinstance(emitter, LineEmitter):
        return line_transfer(scene, emitter, points, normals, threads=threads)
    return disc_transfer(scene, emitter, points, normals, threads=threads)


def line_transfer(
    scene: Scene,
    emitter: LineEmitter,
    points: ArrayLike,
    normals: ArrayLike,
    *,
    threads: int | None = None,
) -> Transfer:
    r"""Direct light from a thin line at points, visibility exact.

    Parameters
    ----------
    scene : Scene
        Opaque triangles and media. [m]
    emitter : LineEmitter
        The lamp, giving off one watt. [m]
    points : (n, 3) float
        Receivers. [m]
    normals : (n, 3) float
        Which way each faces; lengths do not matter. [-]
    threads : int, optional
        How many to use; by default one for each core, at most 4. [-]

    Returns
    -------
    transfer : Transfer
        Vector and facing irradiance per watt. [m-2]

    Raises
    ------
    DomainError
        If shapes are wrong or a normal has no length.

    Notes
    -----
    All rays from a point to the line lie in one plane. Every triangle that cuts that plane hides an
    interval of the line; what the union of these intervals leaves over is integrated in closed form
    [1]_, with :math:`\gamma` the angle from the line's normal plane and :math:`w` the weight of the
    point's azimuth:

    .. math:: \mathbf{E} = \frac{w}{\pi^2 L d} \Bigl[
              \tfrac12(\gamma + \sin\gamma\cos\gamma)\,\mathbf{e}
              + \tfrac12 \sin^2\!\gamma\; \mathbf{a} \Bigr]

    where :math:`\mathbf{e}` points squarely to the line, :math:`\mathbf{a}` along it and :math:`d` is the
    distance. Pieces behind media whose transmittance depends on angle are integrated by Gauss-Legendre
    quadrature instead, cut where a crossing begins or ends and where a mesh closes.

    *Valid when* the point is several radii of the tube away. Nothing nearer to the point than 1e-5 of the
    way, or nearer to the line than 1e-5 m, hides anything; a face seen exactly edge-on hides nothing.
    Points nearer to the line than 1e-6 m are treated as being that far away.

    Examples
    --------
    A bare tube of 1.2 m, one watt, seen squarely from 30 cm below its middle (compare
    :func:`sunfleck.physics.sources.tube_irradiance`):

    >>> from sunfleck.geometry.bvh import build_bvh
    >>> from sunfleck.physics.emitters import bare_tube_law
    >>> free = Scene(build_bvh([]), Media.none())
    >>> tube = LineEmitter([-0.6, 0, 0], [0.6, 0, 0], [0, 0, -1], bare_tube_law())
    >>> float(line_transfer(free, tube, [[0, 0, -0.3]], [[0, 0, 1]]).facing[0, 0].round(4))
    0.4242

    References
    ----------
    .. [1] P. Moon, *The Scientific Basis of Illuminating Engineering*, McGraw-Hill, 1936 (from memory);
       the vector form is derived here.
    """
    axis = (emitter.end - emitter.start) / emitter.length
    tree, media = _tree(scene.bvh), _MediaArrays.of(scene.media)
    lamp = (
        emitter.start.copy(),
        axis,
        emitter.aim.copy(),
        emitter.length,
        emitter.azimuth_weight.copy(),
    )

    def fill(p: Floats, n: Floats, out: Floats, occurs: Bools) -> None:
        line_kernel(tree, media.for_lines, lamp, p, n, out, occurs)

    return _gather(fill, points, normals, media.masks, threads)


def disc_transfer(
    scene: Scene,
    emitter: DiscEmitter,
    points: ArrayLike,
    normals: ArrayLike,
    *,
    threads: int | None = None,
) -> Transfer:
    r"""Direct light from a disc at points, visibility by shadow rays.

    Parameters
    ----------
    scene : Scene
        Opaque triangles and media. [m]
    emitter : DiscEmitter
        The lamp, giving off one watt. [m]
    points : (n, 3) float
        Receivers. [m]
    normals : (n, 3) float
        Which way each faces; lengths do not matter. [-]
    threads : int, optional
        How many to use; by default one for each core, at most 4. [-]

    Returns
    -------
    transfer : Transfer
        Vector and facing irradiance per watt. [m-2]

    Raises
    ------
    DomainError
        If shapes are wrong or a normal has no length.

    Notes
    -----
    .. math:: \mathbf{E} = \frac{1}{A} \int_A \frac{I(\theta)}{r^2}\, V\, \mathbf{\hat r}\, dA

    summed over a fixed pattern of 128 places on the disc [1]_. Whether a place is seen (:math:`V`) is
    asked for 16 places; where these disagree, for all 128.

    *Valid when* nothing that shades is so small that it falls between the 16 places. Nothing nearer than
    1e-5 m to either end of a ray hides anything.

    Examples
    --------
    A Lambertian disc of 10 cm across, one watt, seen squarely from 40 cm in front; exactly it is
    1 / (pi (0.05^2 + 0.4^2)):

    >>> from sunfleck.geometry.bvh import build_bvh
    >>> from sunfleck.physics.emitters import cosine_law
    >>> free = Scene(build_bvh([]), Media.none())
    >>> disc = DiscEmitter([0, 0, 0], [0, 0, -1], 0.05, cosine_law())
    >>> float(disc_transfer(free, disc, [[0, 0, -0.4]], [[0, 0, 1]]).facing[0, 0].round(4))
    1.9588

    References
    ----------
    .. [1] Definition of irradiance from radiant intensity; the pattern is described in
       :mod:`sunfleck.physics.disc_pattern`.
    """
    tree, media = _tree(scene.bvh), _MediaArrays.of(scene.media)
    few, _ = disc_pattern(16)
    many, shares = disc_pattern(128)
    lamp = (
        _on_disc(emitter, few),
        _on_disc(emitter, many),
        shares.copy(),
        emitter.aim.copy(),
        emitter.intensity.copy(),
    )

    def fill(p: Floats, n: Floats, out: Floats, occurs: Bools) -> None:
        disc_kernel(tree, media.for_discs, lamp, p, n, out, occurs)

    return _gather(fill, points, normals, media.masks, threads)


def occluded(bvh: Bvh, origins: ArrayLike, ends: ArrayLike) -> Bools:
    """Whether a triangle stands between two places.

    Parameters
    ----------
    bvh : Bvh
        Opaque triangles. [m]
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
    _, row = _cast(bvh, *_rays(origins, ends, "ends"), to_ends=True)
    return np.asarray(row >= 0)


def first_hit(bvh: Bvh, origins: ArrayLike, directions: ArrayLike) -> tuple[Floats, Ints]:
    """What rays hit first.

    Parameters
    ----------
    bvh : Bvh
        Opaque triangles. [m]
    origins : (r, 3) float
        Where each ray begins. [m]
    directions : (r, 3) float
        Where it goes; lengths do not matter. [-]

    Returns
    -------
    distance : (r,) float
        To the first triangle more than 1e-5 m away; infinite where there is none. [m]
    triangle : (r,) int
        Its index in the array the tree was built from; -1 where there is none. [-]

    Raises
    ------
    DomainError
        If shapes are wrong, a coordinate is not finite or a direction has no length.
    """
    begin, way = _rays(origins, directions, "directions")
    if not bool((way != 0).any(axis=1).all()):
        msg = "directions must have a length above zero; got 0"
        raise DomainError(msg)
    distance, row = _cast(bvh, begin, way, to_ends=False)
    triangle = np.full(len(row), -1, dtype=np.int64)
    triangle[row >= 0] = bvh.order[row[row >= 0]]
    return distance, triangle


@dataclass(frozen=True, slots=True)
class _MediaArrays:
    """Media as the kernels want them, and how many masks of groups there can be."""

    for_lines: tuple[Floats, Floats, Ints, Ints, Floats]
    for_discs: tuple[Floats, Floats, Floats, Floats, Floats, Ints, Ints, Floats]
    masks: int

    @classmethod
    def of(cls, media: Media) -> _MediaArrays:
        o, u, v = media.origin, media.edge_u, media.edge_v
        sizes = np.stack([np.linalg.norm(u, axis=1), np.linalg.norm(v, axis=1)], axis=1)
        unit_u, unit_v = u / sizes[:, :1], v / sizes[:, 1:]
        unit_n = np.cross(unit_u, unit_v)
        frames = np.concatenate([unit_u, unit_v, unit_n], axis=1)
        corners = np.concatenate([o, o + u, o + u + v, o + v], axis=1)
        masks = 1 << (int(media.group.max()) + 1) if len(media) else 1
        # Copies, because a compiled kernel is tied to whether an array may be written to.
        laws = (1 << media.group, media.law.copy(), media.parameters.copy())
        return cls((corners, frames, *laws), (o.copy(), sizes, unit_u, unit_v, unit_n, *laws), masks)


def _tree(bvh: Bvh) -> tuple[Floats, Ints, Ints, Floats]:
    return bvh.nodes, bvh.left, bvh.count, bvh.triangles


def _on_disc(emitter: DiscEmitter, pattern: Floats) -> Floats:
    """Places of a unit pattern on the emitter's disc, (s, 3). [m]"""
    # The coordinate axis that is farthest from the aim makes the pattern's zero direction definite.
    helper = np.zeros(3)
    helper[np.argmin(np.abs(emitter.aim))] = 1.0
    u = np.cross(emitter.aim, helper)
    u /= np.linalg.norm(u)
    v = np.cross(emitter.aim, u)
    return np.ascontiguousarray(emitter.centre + emitter.radius * (pattern[:, :1] * u + pattern[:, 1:] * v))


def _gather(fill: Fill, points: ArrayLike, normals: ArrayLike, masks: int, threads: int | None) -> Transfer:
    """Run a kernel over chunks of points and put the masks that occur side by side."""
    p, n = _receivers(points, normals)
    chunks: dict[int, tuple[Bools, Floats]] = {}

    def run(part: slice) -> None:
        out = np.zeros((len(p[part]), masks, 4))
        occurs = np.zeros(masks, dtype=np.bool_)
        fill(p[part], n[part], out, occurs)
        occurs[0] = True
        # Only what occurs is kept: with 8 groups a chunk has 256 masks, nearly all of them empty.
        chunks[part.start] = (occurs, np.ascontiguousarray(out[:, occurs]))

    _in_chunks(run, len(p), CHUNK, threads)
    found = np.zeros(masks, dtype=np.bool_)
    found[0] = True
    for occurs, _ in chunks.values():
        found |= occurs
    groups = np.flatnonzero(found).astype(np.int64)
    result = np.zeros((len(p), len(groups), 4))
    for begin, (occurs, out) in chunks.items():
        columns = np.searchsorted(groups, np.flatnonzero(occurs))
        result[begin : begin + len(out), columns] = out
    result[np.isnan(p).any(axis=1) | np.isnan(n).any(axis=1)] = np.nan
    return Transfer(groups, np.ascontiguousarray(result[..., :3]), np.ascontiguousarray(result[..., 3]))


def _in_chunks(run: Callable[[slice], None], total: int, size: int, threads: int | None) -> None:
    """Call `run` on slices of fixed size, spread over a few threads."""
    parts = [slice(begin, min(begin + size, total)) for begin in range(0, total, size)]
    workers = min(threads or min(os.cpu_count() or 1, 4), len(parts))
    if workers <= 1:
        for part in parts:
            run(part)
        return
    with ThreadPoolExecutor(workers) as pool:
        for _ in pool.map(run, parts):
            pass


def _receivers(points: ArrayLike, normals: ArrayLike) -> tuple[Floats, Floats]:
    p = _rows_of_three(points, "points")
    n = _rows_of_three(normals, "normals")
    if p.shape != n.shape:
        msg = f"there must be one normal for each point; got {len(n)} normals for {len(p)} points"
        raise DomainError(msg)
    # A point or normal that is not finite has no answer; one mark for all of them.
    unknown = ~np.isfinite(np.concatenate([p, n], axis=1)).all(axis=1, keepdims=True)
    n = np.where(unknown, 1.0, n)
    lengths = np.linalg.norm(n, axis=1, keepdims=True)
    if bool((lengths == 0).any()):
        msg = "normals must have a length above zero; got 0"
        raise DomainError(msg)
    return np.where(unknown, np.nan, p), np.where(unknown, np.nan, n / lengths)


def _cast(bvh: Bvh, origins: Floats, others: Floats, *, to_ends: bool) -> tuple[Floats, Ints]:
    """Distance and row of what each ray hits."""
    tree = _tree(bvh)
    distance = np.zeros(len(origins))
    row = np.zeros(len(origins), dtype=np.int64)

    def run(part: slice) -> None:
        ray_kernel(tree, origins[part], others[part], to_ends, distance[part], row[part])

    _in_chunks(run, len(origins), RAYS_PER_CHUNK, None)
    return distance, row


def _rays(origins: ArrayLike, others: ArrayLike, name: str) -> tuple[Floats, Floats]:
    a, b = _rows_of_three(origins, "origins"), _rows_of_three(others, name)
    if a.shape != b.shape:
        msg = f"there must be as many {name} as origins; got {len(b)} and {len(a)}"
        raise DomainError(msg)
    if not (np.isfinite(a).all() and np.isfinite(b).all()):
        msg = f"origins and {name} must be finite; got {int((~np.isfinite(a + b)).any(axis=1).sum())} that are not"
        raise DomainError(msg)
    return a, b


def _rows_of_three(values: ArrayLike, name: str) -> Floats:
    array = np.array(values, dtype=np.float64)
    if array.size == 0:
        array = array.reshape(0, 3)
    if array.ndim != 2 or array.shape[1] != 3:
        msg = f"{name} must have the shape (n, 3); got {array.shape}"
        raise DomainError(msg)
    return np.ascontiguousarray(array)
