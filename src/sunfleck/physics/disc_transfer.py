"""Direct light of a disc, spot or heater at points, exactly hidden along chords of its opening."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.disc_chords import disc_chords
from sunfleck.physics.disc_kernel import disc_kernel
from sunfleck.physics.emitters import DiscEmitter
from sunfleck.physics.receive import gather
from sunfleck.physics.scene import Scene, Transfer, canopies_of, tree_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Axes = tuple[Floats, Floats]

# How many chords a disc is cut into, and how many where nothing can be in the way.
CHORDS, FEW_CHORDS = 24, 10
# A point is a disc of this radius. [m]
SMALLEST = 1e-7


def disc_transfer(
    scene: Scene,
    emitter: DiscEmitter,
    points: ArrayLike,
    normals: ArrayLike,
    *,
    chords: int = CHORDS,
    threads: int | None = None,
) -> Transfer:
    r"""Direct light from a disc at points, visibility exact along chords.

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
    chords : int, default 24
        Into how many the disc is cut where something may be in the way; 1 or more. [-]
    threads : int, optional
        How many to use; by default one for each core, at most 4. [-]

    Returns
    -------
    transfer : Transfer
        Vector and facing irradiance per watt. [m-2]

    Raises
    ------
    DomainError
        If shapes are wrong, a normal has no length or there is no chord.

    Notes
    -----
    .. math:: \mathbf{E} = \frac{1}{A} \int_A \frac{I(\theta)}{r^2}\, V\, \mathbf{\hat r}\, dA

    The disc is cut into parallel chords [1]_. On each the parts that are hidden are found exactly, as on a
    tube, and the rest is integrated by Gauss's rule. Whatever cuts a chord is seen; an edge across the disc
    is off by about 0.2 % of the disc (rms). Where nothing can be in the way and the disc is farther off than
    eight of its radii, 10 chords do: off by 1e-6 for smooth laws, by 5e-5 of the mean (rms) for a beam of 25
    degrees and by 2e-3 for one of 10 degrees.

    *Valid when* what light comes through is much larger than a medium's edge zone: whether a ray crosses a
    medium is asked place by place. Nothing nearer to the disc than 1e-5 m hides anything.

    Examples
    --------
    A Lambertian disc of 10 cm across, one watt, seen squarely from 40 cm in front; exactly it is
    1 / (pi (0.05^2 + 0.4^2)):

    >>> from sunfleck.geometry.bvh import build_bvh
    >>> from sunfleck.physics.emitters import cosine_law
    >>> from sunfleck.physics.media import Media
    >>> free = Scene(build_bvh([]), Media.none())
    >>> disc = DiscEmitter([0, 0, 0], [0, 0, -1], 0.05, cosine_law())
    >>> float(disc_transfer(free, disc, [[0, 0, -0.4]], [[0, 0, 1]]).facing[0, 0].round(4))
    1.9588

    References
    ----------
    .. [1] Definition of irradiance from radiant intensity; the chords are described in
       :func:`sunfleck.physics.disc_chords.disc_chords`.
    """
    if chords < 1:
        msg = f"a disc is cut into one chord or more; got {chords}"
        raise DomainError(msg)
    tree, bodies = tree_of(scene.bvh), tree_of(scene.bodies)
    media, canopies = scene.media_arrays.for_rays, canopies_of(scene.canopies)
    axes = _across(emitter)
    corners = _on_disc(emitter, axes, np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]))
    disc = (emitter.centre.copy(), emitter.aim.copy(), corners, emitter.intensity.copy())
    many, few = _chords(emitter, axes, chords), _chords(emitter, axes, min(chords, FEW_CHORDS))

    def fill(p: Floats, n: Floats, out: Floats, occurs: Bools) -> None:
        disc_kernel(tree, bodies, media, canopies, disc, many, few, p, n, out, occurs)

    return gather(fill, points, normals, scene.media_arrays.masks, threads)


def _chords(emitter: DiscEmitter, axes: Axes, number: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Start (k, 3), direction (3,), length (k,) and share of the disc (k,) of its chords. [m]"""
    first, last, shares = disc_chords(number)
    start = _on_disc(emitter, axes, first)
    way = _on_disc(emitter, axes, last) - start
    lengths = np.linalg.norm(way, axis=1)
    return start, way[0] / lengths[0], lengths, shares.copy()


def _across(emitter: DiscEmitter) -> Axes:
    """Two unit vectors across the disc."""
    # The coordinate axis that is farthest from the aim makes the pattern's zero direction definite.
    helper = np.zeros(3)
    helper[np.argmin(np.abs(emitter.aim))] = 1.0
    u = np.cross(emitter.aim, helper)
    u /= np.linalg.norm(u)
    return u, np.cross(emitter.aim, u)


def _on_disc(emitter: DiscEmitter, axes: Axes, pattern: Floats) -> Floats:
    """Places of a unit pattern on the emitter's disc, (s, 3). [m]"""
    u, v = axes
    radius = max(emitter.radius, SMALLEST)
    return np.ascontiguousarray(emitter.centre + radius * (pattern[:, :1] * u + pattern[:, 1:] * v))
