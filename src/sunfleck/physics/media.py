"""Thin media that light crosses: woven mesh, bars and clear panes, with their dependence on angle.

How much a medium lets through squarely is a property of its channel and stands elsewhere; here is only
how that changes with the direction of the light, relative to normal incidence.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

LAW_NONE = 0
LAW_MESH = 1
LAW_PANE = 2
MOST_GROUPS = 8


@dataclass(frozen=True, slots=True)
class Media:
    """Flat rectangles that let a part of the light through.

    Attributes
    ----------
    origin, edge_u, edge_v : (k, 3) float
        A corner of each rectangle and the two edges that leave it, at right angles. [m]
    group : (k,) int
        Number of the medium it is made of, 0 to 7. Light that crosses two rectangles of one group is
        booked under that group once. [-]
    law : (k,) int
        0 no dependence on angle, 1 woven mesh or bars, 2 clear pane. [-]
    parameters : (k, 2) float
        Law 1: wire thickness over pitch of the wires that run along v, and of those that run along u
        (0: none that way). Law 2: refractive index, and a number that is not used. [-]

    Raises
    ------
    DomainError
        If shapes disagree, an edge has no length, edges are not at right angles, a group is outside
        0 to 7, a law is unknown or its parameters mean nothing.
    """

    origin: NDArray[np.float64]
    edge_u: NDArray[np.float64]
    edge_v: NDArray[np.float64]
    group: NDArray[np.int64]
    law: NDArray[np.int64]
    parameters: NDArray[np.float64]

    def __post_init__(self) -> None:
        for name in ("origin", "edge_u", "edge_v"):
            object.__setattr__(self, name, _frozen(getattr(self, name), np.float64, (-1, 3)))
        for name in ("group", "law"):
            object.__setattr__(self, name, _frozen(getattr(self, name), np.int64, (-1,)))
        object.__setattr__(self, "parameters", _frozen(self.parameters, np.float64, (-1, 2)))
        self._check()

    @classmethod
    def none(cls) -> Media:
        """No media at all."""
        empty, index = np.zeros((0, 3)), np.zeros(0, dtype=np.int64)
        return cls(empty, empty, empty, index, index, np.zeros((0, 2)))

    def __len__(self) -> int:
        """Number of rectangles."""
        return len(self.origin)

    def _check(self) -> None:
        sizes = {
            name: len(getattr(self, name))
            for name in ("origin", "edge_u", "edge_v", "group", "law", "parameters")
        }
        if len(set(sizes.values())) > 1:
            msg = f"all arrays of the media must be equally long; got {sizes}"
            raise DomainError(msg)
        across = np.linalg.norm(self.edge_u, axis=1) * np.linalg.norm(self.edge_v, axis=1)
        skew = np.abs(np.einsum("nk,nk->n", self.edge_u, self.edge_v))
        finite = np.isfinite(self.origin).all(axis=1) & np.isfinite(across)
        for k in np.flatnonzero(~(finite & (across > 0))):
            msg = f"edges of medium {k} must have a length above zero; got {self.edge_u[k]} and {self.edge_v[k]} m"
            raise DomainError(msg)
        for k in np.flatnonzero(skew > 1e-6 * across):
            msg = f"edges of medium {k} must be at right angles; got {self.edge_u[k]} and {self.edge_v[k]} m"
            raise DomainError(msg)
        for k in np.flatnonzero((self.group < 0) | (self.group >= MOST_GROUPS)):
            msg = f"group of medium {k} must be 0 to {MOST_GROUPS - 1}; got {self.group[k]}"
            raise DomainError(msg)
        for row in range(len(self)):
            self._check_law(row)

    def _check_law(self, k: int) -> None:
        law, (first, second) = int(self.law[k]), self.parameters[k]
        if law not in (LAW_NONE, LAW_MESH, LAW_PANE):
            msg = f"law of medium {k} must be 0, 1 or 2; got {law}"
            raise DomainError(msg)
        if law == LAW_MESH:
            _check_ratios(first, second)
        if law == LAW_PANE:
            _check_index(first)


def mesh_transmittance(
    along_u: ArrayLike, along_v: ArrayLike, along_normal: ArrayLike, ratio_u: float, ratio_v: float = 0.0
) -> NDArray[np.float64]:
    r"""Open share of a woven mesh or of bars seen at an angle, relative to the open share seen squarely.

    Wires are opaque and round or square to the eye; light that a bright wire scatters on is left out.

    Parameters
    ----------
    along_u, along_v, along_normal : (n,) float
        Components of the direction of the light along the edges u, v of the mesh and along its normal;
        the sign and the common length do not matter. [-]
    ratio_u : float
        Thickness over pitch of the wires that follow each other along u (and run along v). [-]
    ratio_v : float, default 0.0
        The same for the wires that follow each other along v; 0 means bars one way only. [-]

    Returns
    -------
    transmittance : (n,) float
        1 at normal incidence, falling to 0 where the wires hide each other. [-]

    Raises
    ------
    DomainError
        If a ratio is below 0 or not below 1.

    Notes
    -----
    A round wire of thickness :math:`w` throws a shadow :math:`w / \cos t` wide on the plane of the mesh,
    where :math:`t` is the angle from the normal in the plane across the wire; with pitch :math:`p` the
    open share is :math:`1 - w / (p \cos t)`, and the two directions of wire are independent [1]_:

    .. math:: T/T_0 = \prod_{i \in u, v} \frac{\max(0,\; 1 - r_i / \cos t_i)}{1 - r_i}, \qquad
              \tan t_i = \frac{c_i}{c_n}

    *Valid when* the mesh is far finer than what is judged behind it, so that shadows of single wires
    are not seen.

    Examples
    --------
    A mesh with wires a fifth of the pitch, light 60 degrees off along u: a quarter less.

    >>> from math import cos, radians, sin
    >>> tilt = radians(60)
    >>> float(mesh_transmittance(sin(tilt), 0.0, cos(tilt), 0.2, 0.2).round(3))
    0.75

    References
    ----------
    .. [1] Derived here from the shadow of a cylinder; the product for normal incidence is the usual open
       area of a plain square weave, :math:`(1 - w/p)^2`.
    """
    _check_ratios(ratio_u, ratio_v)
    u, v, n = (np.abs(np.asarray(c, dtype=np.float64)) for c in (along_u, along_v, along_normal))
    return np.asarray(_open_share(u, n, ratio_u) * _open_share(v, n, ratio_v))


def _open_share(
    across: NDArray[np.float64], normal: NDArray[np.float64], ratio: float
) -> NDArray[np.float64]:
    if ratio == 0.0:
        return np.ones(np.broadcast_shapes(across.shape, normal.shape))
    slant = np.full(np.broadcast_shapes(across.shape, normal.shape), np.inf)  # 1 / cos t
    np.divide(np.hypot(across, normal), normal, out=slant, where=np.broadcast_to(normal > 0, slant.shape))
    return np.asarray(np.maximum(0.0, 1.0 - ratio * slant) / (1.0 - ratio))


def pane_transmittance(cosine: ArrayLike, refractive_index: float = 1.52) -> NDArray[np.float64]:
    r"""Light through a clear pane at an angle, relative to normal incidence.

    Parameters
    ----------
    cosine : (n,) float
        Cosine of the angle between light and the pane's normal; the sign does not matter. [-]
    refractive_index : float, default 1.52
        Of the pane against air; 1.52 is soda-lime float glass. [-]

    Returns
    -------
    transmittance : (n,) float
        1 at normal incidence, 0 at grazing incidence. [-]

    Raises
    ------
    DomainError
        If the index is below 1 or a cosine is outside -1 to 1.

    Notes
    -----
    Fresnel's reflectances of one face [1]_ for both polarisations, two faces with all reflections between
    them summed, :math:`(1 - R)/(1 + R)`, unpolarised light, divided by the value at normal incidence
    :math:`2 n / (n^2 + 1)`.

    *Valid when* the pane absorbs little: absorption grows with the longer way through a tilted pane and is
    left out, which at 60 degrees in a 6 mm pane of clear float glass (about 1.5 % squarely, from memory)
    is below half a per cent.

    Examples
    --------
    >>> pane_transmittance([1.0, 0.5, 0.0], 1.5).round(4).tolist()
    [1.0, 0.9188, 0.0]

    References
    ----------
    .. [1] M. Born and E. Wolf, *Principles of Optics*, section 1.5 (from memory); the sum over internal
       reflections is a geometric series.
    """
    _check_index(refractive_index)
    c = np.abs(np.asarray(cosine, dtype=np.float64))
    if bool((c > 1.0 + 1e-9).any()):
        msg = f"cosine must be between -1 and 1; got {float(c.max()):g}"
        raise DomainError(msg)
    c = np.minimum(c, 1.0)
    n = refractive_index
    inside = np.sqrt(1.0 - (1.0 - c * c) / (n * n))
    # At c = 0 and n = 1 both numerator and denominator vanish: nothing is there, everything passes.
    if n == 1.0:
        return np.ones_like(c)
    upright = ((c - n * inside) / (c + n * inside)) ** 2
    parallel = ((inside - n * c) / (inside + n * c)) ** 2
    both = 0.5 * ((1 - upright) / (1 + upright) + (1 - parallel) / (1 + parallel))
    return np.asarray(both * (n * n + 1.0) / (2.0 * n))


def pane_reflectance(transmittance: float, refractive_index: float = 1.52) -> float:
    r"""Share of evenly diffuse light that a pane reflects.

    Parameters
    ----------
    transmittance : float
        Share let through at normal incidence, absorption included. [-]
    refractive_index : float, default 1.52
        Of the pane against air. [-]

    Returns
    -------
    reflectance : float
        Hemispherical. [-]

    Raises
    ------
    DomainError
        If the index is below 1 or the transmittance outside 0 to 1.

    Notes
    -----
    .. math:: \bar R = 2 \int_0^1 R(c)\, c\, dc

    of Fresnel's reflection at the near face [1]_, plus what the far face adds, less by the square of the
    share :math:`t` that absorption leaves on one way through: :math:`\bar R_1 + t^2 (\bar R_2 - \bar R_1)`,
    with :math:`R_2 = 2 R_1/(1 + R_1)` of a pane that absorbs nothing.

    *Valid when* the light comes from all sides. A pane is a mirror; where single reflections of a lamp in
    it matter, this spreads them out.

    Examples
    --------
    Clear glass reflects about a seventh of diffuse light, black glass not quite a tenth:

    >>> round(pane_reflectance(0.918, 1.52), 3), round(pane_reflectance(0.0, 1.52), 3)
    (0.154, 0.095)

    References
    ----------
    .. [1] M. Born and E. Wolf, *Principles of Optics*, section 1.5 (from memory); P. Moon, "Surface
       reflection factors", *Illuminating Engineering*, 1942 (from memory): 0.092 for one face of 1.5.
    """
    _check_index(refractive_index)
    if not 0.0 <= transmittance <= 1.0:
        msg = f"transmittance must be 0 to 1; got {transmittance:g}"
        raise DomainError(msg)
    n = refractive_index
    nodes, weights = _gauss_nodes(64)
    cosine, weight = 0.5 + 0.5 * nodes, 0.5 * weights
    # pane_transmittance is (1 - R) / (1 + R) over 2 n / (n^2 + 1), for each polarisation and averaged.
    both = 1.0 - pane_transmittance(cosine, n) * 2 * n / (n * n + 1)
    inside = np.sqrt(1.0 - (1.0 - cosine**2) / (n * n))
    upright = ((cosine - n * inside) / (cosine + n * inside)) ** 2
    parallel = ((inside - n * cosine) / (inside + n * cosine)) ** 2
    one = 0.5 * (upright + parallel)
    near, all_ = (float(2 * (weight * r * cosine).sum()) for r in (one, both))
    left = min(1.0, transmittance * (n * n + 1) / (2 * n))
    return near + left**2 * (all_ - near)


@cache
def _gauss_nodes(count: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Nodes and weights of Gauss's rule: every pane of every plan asks for the same."""
    nodes, weights = np.polynomial.legendre.leggauss(count)
    return nodes, weights


def _frozen(values: ArrayLike, kind: type, shape: tuple[int, ...]) -> NDArray[np.generic]:
    array: NDArray[np.generic] = np.ascontiguousarray(np.array(values, dtype=kind).reshape(shape))
    array.flags.writeable = False
    return array


def _check_ratios(*ratios: float) -> None:
    for ratio in ratios:
        if not 0.0 <= ratio < 1.0:
            msg = f"wire over pitch must be 0 or more and below 1; got {ratio:g}"
            raise DomainError(msg)


def _check_index(index: float) -> None:
    if not 1.0 <= index < 10.0:
        msg = f"refractive index must be 1 or more and below 10; got {index:g}"
        raise DomainError(msg)
