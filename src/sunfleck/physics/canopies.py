"""Leafy bodies as porous ellipsoids: how far a ray goes through them and how much of it comes out.

A crown of many small leaves is not drawn leaf by leaf here. It is a body that light goes through with a
chance, the same everywhere in it; what comes out is the mean over all the ways its leaves may stand.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Canopies:
    """Ellipsoids, axes along x, y, z, evenly filled with small leaves.

    Attributes
    ----------
    centre : (k, 3) float
        Middle of each body. [m]
    half_axes : (k, 3) float
        Half the extent of each along x, y, z. [m]
    extinction : (k,) float
        Area of the leaves' shadow per volume: what a metre of way through the body adds to the optical
        depth. Where bodies overlap, both count. [m-1]

    Raises
    ------
    DomainError
        If shapes disagree, a centre is not finite, a half axis is not above zero or an extinction is
        below zero.
    """

    centre: Floats
    half_axes: Floats
    extinction: Floats

    def __post_init__(self) -> None:
        for name in ("centre", "half_axes", "extinction"):
            array = np.array(getattr(self, name), dtype=np.float64)  # a copy of its own
            array.flags.writeable = False
            object.__setattr__(self, name, array)
        number = self.extinction.size
        shapes = (self.centre.shape, self.half_axes.shape, self.extinction.shape)
        if shapes != ((number, 3), (number, 3), (number,)):
            msg = (
                "canopies must have centres (k, 3), half axes (k, 3) and extinctions (k,); "
                f"got {shapes[0]}, {shapes[1]} and {shapes[2]}"
            )
            raise DomainError(msg)
        for k in range(len(self)):
            if not bool(np.isfinite(self.centre[k]).all()):
                msg = f"centre of canopy {k} must be finite; got {self.centre[k]} m"
                raise DomainError(msg)
            if not (np.isfinite(self.half_axes[k]).all() and (self.half_axes[k] > 0.0).all()):
                msg = f"half axes of canopy {k} must be above zero; got {self.half_axes[k]} m"
                raise DomainError(msg)
            if not 0.0 <= self.extinction[k] < np.inf:
                msg = f"extinction of canopy {k} must be zero or more; got {self.extinction[k]:g} m-1"
                raise DomainError(msg)

    @classmethod
    def none(cls) -> Canopies:
        """No leafy bodies at all."""
        return cls(np.zeros((0, 3)), np.zeros((0, 3)), np.zeros(0))

    def __len__(self) -> int:
        """Number of bodies."""
        return len(self.extinction)


def chord_lengths(canopies: Canopies, origins: ArrayLike, ends: ArrayLike) -> Floats:
    r"""Part of each way that lies inside each body.

    Parameters
    ----------
    canopies : Canopies
        The bodies. [m]
    origins, ends : (r, 3) float
        Where each way begins and ends; either may lie inside a body. [m]

    Returns
    -------
    length : (r, k) float
        Zero where the way misses the body or ends before it. [m]

    Raises
    ------
    DomainError
        If origins and ends do not have the same shape (r, 3).

    Notes
    -----
    Divided by its half axes the body is the unit sphere, the way :math:`\mathbf{m} + s\,\mathbf{w}` with
    :math:`s` from 0 to 1. It is nearest to the middle at :math:`s_0 = -\mathbf{m \cdot w} / w^2`, and
    with :math:`\mathbf{n} = \mathbf{m} + s_0 \mathbf{w}` [1]_

    .. math:: s_{\pm} = s_0 \pm \frac{\sqrt{1 - n^2}}{w}, \qquad
              L = |\text{end} - \text{origin}| \, [\min(1, s_+) - \max(0, s_-)]_{\ge 0}

    This form keeps its digits when the origin is far away, which the usual discriminant does not.

    Examples
    --------
    Through the middle of a sphere of 10 cm radius, and half of that way:

    >>> sphere = Canopies([[0, 0, 0]], [[0.1, 0.1, 0.1]], [8.0])
    >>> chord_lengths(sphere, [[-1, 0, 0], [-1, 0, 0]], [[1, 0, 0], [0, 0, 0]]).round(12).tolist()
    [[0.2], [0.1]]

    References
    ----------
    .. [1] Derived here: Pythagoras in the space where the body is the unit sphere.
    """
    begin, end = _ways(origins, ends)
    way = end - begin
    length = np.linalg.norm(way, axis=1)
    inside = np.zeros((len(begin), len(canopies)))
    for k in range(len(canopies)):
        m = (begin - canopies.centre[k]) / canopies.half_axes[k]
        w = way / canopies.half_axes[k]
        square = (w * w).sum(axis=1)
        # A way of no length has no direction; dividing by one instead gives it a chord of zero below.
        square[square == 0.0] = 1.0
        nearest = -(m * w).sum(axis=1) / square
        apart = m + nearest[:, None] * w
        half = np.sqrt(np.maximum(0.0, 1.0 - (apart * apart).sum(axis=1)) / square)
        share = np.minimum(1.0, nearest + half) - np.maximum(0.0, nearest - half)
        inside[:, k] = length * np.maximum(0.0, share)
    return inside


def transmittance(canopies: Canopies, origins: ArrayLike, ends: ArrayLike) -> Floats:
    r"""Share of the light that comes through all the bodies on its way.

    Parameters
    ----------
    canopies : Canopies
        The bodies. [m]
    origins, ends : (r, 3) float
        Where each way begins and ends. [m]

    Returns
    -------
    transmittance : (r,) float
        1 where the way meets no body. [-]

    Raises
    ------
    DomainError
        If origins and ends do not have the same shape (r, 3).

    Notes
    -----
    The law of Beer and Lambert, brought to leaves by Monsi and Saeki [1]_:

    .. math:: T = \exp\Bigl(-\sum_j k_j L_j\Bigr)

    *Valid when* leaves are small against the body and stand at random places in it: then a way of length
    :math:`L` meets none with this probability (Poisson). Leaves in clumps let more through, leaves spread
    evenly less. It is the mean over all such plants: behind one real plant single spots are brighter and
    others darker. Leaves are black here; what they scatter is booked by the exchange of light between
    surfaces.

    Examples
    --------
    >>> sphere = Canopies([[0, 0, 0]], [[0.1, 0.1, 0.1]], [8.0])
    >>> transmittance(sphere, [[-1, 0, 0], [-1, 0.5, 0]], [[1, 0, 0], [1, 0.5, 0]]).round(4).tolist()
    [0.2019, 1.0]

    References
    ----------
    .. [1] M. Monsi and T. Saeki, "Über den Lichtfaktor in den Pflanzengesellschaften und seine Bedeutung für
       die Stoffproduktion", *Japanese Journal of Botany* 14, 1953, 22-52 (from memory).
    """
    return np.asarray(np.exp(-chord_lengths(canopies, origins, ends) @ canopies.extinction))


def extinction_of_leaves(leaf_area: float, half_axes: ArrayLike, projection: float = 0.5) -> float:
    r"""Extinction of a body with leaves of a given area in it.

    Parameters
    ----------
    leaf_area : float
        One-sided area of all leaves together. [m2]
    half_axes : (3,) float
        Half the extent of the body along x, y, z. [m]
    projection : float, default 0.5
        Area of a leaf's shadow over the area of the leaf, averaged over how leaves are turned. [-]

    Returns
    -------
    extinction : float
        Optical depth per length of way. [m-1]

    Raises
    ------
    DomainError
        If the leaf area is below zero, a half axis is not above zero, or the projection is outside 0 to 1.

    Notes
    -----
    .. math:: k = G \, \frac{A}{V}, \qquad V = \tfrac43 \pi\, a_x a_y a_z

    :math:`G` is Ross's projection function [1]_. When normals of leaves are spread over the sphere evenly
    (the *spherical* leaf angle distribution), the mean of :math:`|\cos|` over the sphere makes it 1/2 from
    every side [2]_.

    *Valid when* leaves are turned about alike to all sides, for the default. Leaves that lie flat have
    :math:`G` near 1 for light from above and near 0 from the side; one number cannot say both.

    Examples
    --------
    0.05 m2 of leaves in a ball of 20 cm across:

    >>> round(extinction_of_leaves(0.05, [0.1, 0.1, 0.1]), 3)
    5.968

    References
    ----------
    .. [1] J. Ross, *The Radiation Regime and Architecture of Plant Stands*, Junk, 1981 (from memory).
    .. [2] G. S. Campbell and J. M. Norman, *An Introduction to Environmental Biophysics*, 2nd ed., Springer,
       1998, chapter 15 (from memory); the mean of |cos| over the sphere is elementary.
    """
    axes = np.asarray(half_axes, dtype=np.float64)
    if axes.shape != (3,) or not (np.isfinite(axes).all() and (axes > 0.0).all()):
        msg = f"half axes must be three lengths above zero; got {axes} m"
        raise DomainError(msg)
    if not 0.0 <= leaf_area < np.inf:
        msg = f"leaf area must be zero or more; got {leaf_area:g} m2"
        raise DomainError(msg)
    if not 0.0 <= projection <= 1.0:
        msg = f"projection of a leaf must be 0 to 1; got {projection:g}"
        raise DomainError(msg)
    return projection * leaf_area / (4.0 / 3.0 * pi * float(axes.prod()))


def _ways(origins: ArrayLike, ends: ArrayLike) -> tuple[Floats, Floats]:
    begin, end = (np.asarray(v, dtype=np.float64) for v in (origins, ends))
    if begin.ndim != 2 or begin.shape[1] != 3 or begin.shape != end.shape:
        msg = f"origins and ends must both have the shape (r, 3); got {begin.shape} and {end.shape}"
        raise DomainError(msg)
    return begin, end
