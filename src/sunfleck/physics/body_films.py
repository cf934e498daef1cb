"""Film of air round the body of an animal, in still air and in a draught."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.ranges import above_zero, at_least_zero, within

Floats = NDArray[np.float64]

# Forced convection: Nu = factor Re^power up to a Reynolds number.
FORCED: Mapping[str, tuple[tuple[float, float, float], ...]] = MappingProxyType(
    {
        "animal": ((np.inf, 0.35, 0.6),),
        "cylinder": (
            (4.0, 0.891, 0.33),
            (40.0, 0.821, 0.385),
            (4e3, 0.615, 0.466),
            (4e4, 0.174, 0.618),
            (4e5, 0.0239, 0.805),
        ),
        "on the ground": ((np.inf, 1.36, 0.39),),
    }
)
# Free convection round a lying cylinder: the same with Rayleigh numbers.
FREE = (
    (1e-5, 0.4, 0.0),
    (0.1, 0.976, 0.0784),
    (1e2, 1.1173, 0.1344),
    (1e4, 0.7455, 0.2167),
    (1e12, 0.5168, 0.2501),
)
GRAVITY = 9.80665


def body_film(
    diameter: ArrayLike,
    difference: ArrayLike,
    air_speed: ArrayLike,
    forced: str = "animal",
    *,
    conductivity: float = 0.0263,
    viscosity: float = 1.59e-5,
    prandtl: float = 0.707,
    expansion: float = 1.0 / 300.0,
) -> Floats:
    r"""Heat given to the air by a lying body, still air and draught together.

    Parameters
    ----------
    diameter : (n,) float
        Of the body; see `bodies.body_diameter`. [m]
    difference : (n,) float
        Between skin and air, of either sign. [K]
    air_speed : (n,) float
        Draught at the body. [m s-1]
    forced : str, default "animal"
        Law for the draught: "animal", "cylinder", or "on the ground" for a lizard on a surface. [-]
    conductivity : float, default 0.0263
        Of air. [W m-1 K-1]
    viscosity : float, default 1.59e-5
        Kinematic, of air. [m2 s-1]
    prandtl : float, default 0.707
        Prandtl number of air. [-]
    expansion : float, default 1/300
        Volume expansion of air per kelvin, one over its temperature. [-]

    Returns
    -------
    coefficient : (n,) float
        Mean over the body. [W m-2 K-1]

    Raises
    ------
    DomainError
        If a diameter or a property of air is not above zero, the speed is below zero, the law is unknown, or
        Rayleigh or Reynolds number are beyond the correlations.

    Notes
    -----
    .. math:: h = \frac{k}{D} (Nu_{free}^3 + Nu_{forced}^3)^{1/3}

    as NicheMapR mixes them [1]_. Free: a lying cylinder, :math:`Nu = c\,Ra^m` piece by piece up to
    :math:`10^{12}` (McAdams); pieces do not meet exactly, steps are within 6 %. Forced: :math:`0.35 Re^{0.6}`
    (Ede, "animal"), McAdams' pieces ("cylinder", up to :math:`4 \cdot 10^5`), or :math:`1.36 Re^{0.39}`
    (Mitchell [2]_, "on the ground"). At Re 1600 these give 29, 19 and 24: take 50 % as the spread of such laws.
    Air is that of 300 K at sea level unless told otherwise (from memory; within 1 % of the tables).

    Examples
    --------
    A hatchling of 14 mm, 10 K above still air, and in a draught of 0.2 m/s:

    >>> body_film(0.0144, 10.0, [0.0, 0.2]).round(1).tolist()
    [7.6, 15.1]

    References
    ----------
    .. [1] M. R. Kearney and W. P. Porter, NicheMapR, source of its function for convection, after W. H. McAdams,
       *Heat Transmission*, 1954, and A. J. Ede, 1967.
    .. [2] J. W. Mitchell, "Heat transfer from spheres and other animal forms," *Biophysical Journal* 16,
       561-569, 1976; constants as TrenchR carries them.
    """
    if forced not in FORCED:
        msg = f"forced must be one of {', '.join(FORCED)}; got {forced}"
        raise DomainError(msg)
    d, speed = above_zero("diameter", diameter, "m"), at_least_zero("air speed", air_speed, "m/s")
    k, nu = above_zero("conductivity", conductivity), above_zero("viscosity", viscosity)
    apart = at_least_zero("difference", np.abs(np.asarray(difference, dtype=np.float64)), "K")
    grashof = GRAVITY * above_zero("expansion", expansion) * apart * d**3 / nu**2
    free = _nusselt("Rayleigh number", grashof * above_zero("prandtl", prandtl), FREE)
    blown = _nusselt("Reynolds number", speed * d / nu, FORCED[forced])
    return np.asarray(k / d * np.cbrt(free**3 + blown**3))


def _nusselt(name: str, number: Floats, pieces: tuple[tuple[float, float, float], ...]) -> Floats:
    number = within(name, number, 0.0, pieces[-1][0])
    ends = np.array([end for end, _, _ in pieces])
    piece = np.minimum(np.searchsorted(ends, number, side="left"), len(pieces) - 1)
    factor, power = np.array([f for _, f, _ in pieces]), np.array([p for _, _, p in pieces])
    return np.asarray(factor[piece] * number ** power[piece])
