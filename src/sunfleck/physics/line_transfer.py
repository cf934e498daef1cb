"""Direct light of a tube or strip at points, visibility exact."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.physics.emitters import LineEmitter
from sunfleck.physics.line_kernel import line_kernel
from sunfleck.physics.receive import gather
from sunfleck.physics.scene import Scene, Transfer, canopies_of, tree_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


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
    quadrature instead, cut where a crossing begins or ends and where a mesh closes. So is light through leafy
    bodies, weighted by :math:`\exp(-\sum k L)` along each ray and cut where rays graze a body or the line
    enters it: within 4e-5 of the unshaded light of the exact integral in tests.

    *Valid when* the point is several radii of the tube away. Nothing nearer to the point than 1e-5 of the
    way, or nearer to the line than 1e-5 m, hides anything; a face seen exactly edge-on hides nothing.
    Points nearer to the line than 1e-6 m are treated as being that far away.

    Examples
    --------
    A bare tube of 1.2 m, one watt, seen squarely from 30 cm below its middle (compare
    :func:`sunfleck.physics.sources.tube_irradiance`):

    >>> from sunfleck.geometry.bvh import build_bvh
    >>> from sunfleck.physics.emitters import bare_tube_law
    >>> from sunfleck.physics.media import Media
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
    tree, bodies = tree_of(scene.bvh), tree_of(scene.bodies)
    media, canopies = scene.media_arrays, canopies_of(scene.canopies)
    lamp = (
        emitter.start.copy(),
        axis,
        emitter.aim.copy(),
        emitter.length,
        emitter.azimuth_weight.copy(),
    )

    def fill(p: Floats, n: Floats, out: Floats, occurs: Bools) -> None:
        line_kernel(tree, bodies, media.for_lines, canopies, lamp, p, n, out, occurs)

    return gather(fill, points, normals, media.masks, threads)
