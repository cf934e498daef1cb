"""How ground conducts and stores heat, by how dense it is and how wet."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]

# Dry densities below which ground is taken as organic, and above which as mineral. [kg m-3]
ORGANIC, MINERAL = 300.0, 1300.0
OF_WATER = 4.18e6
# Heat of a kilogram of dry matter, organic and mineral. [J kg-1 K-1]
OF_DRY_MATTER = (1900.0, 800.0)
# Water by volume, and conductivity of sand then. [-], [W m-1 K-1]
OF_SAND = ((0.0, 0.2, 0.4), (0.24, 2.1, 2.5))
OF_PEAT = (0.04, 0.51)


def ground_conductivity(dry_density: ArrayLike, water: ArrayLike) -> Floats:
    r"""Conductivity of ground.

    Parameters
    ----------
    dry_density : array_like of float
        Dry mass over the volume it fills. [kg m-3]
    water : array_like of float
        Water over that volume. [-]

    Returns
    -------
    conductivity : array of float
        Of heat. [W m-1 K-1]

    Raises
    ------
    DomainError
        If a density is not above zero or water is not between 0 and 1.

    Notes
    -----
    Peat, :math:`0.04 + 0.51\,\theta`, and sand, straight between three rows, are de Vries' [1]_; between dry densities
    of 300 and 1,300 kg/m3 the two are mixed by density. *Valid* roughly: clay conducts half as well as sand.

    Examples
    --------
    >>> ground_conductivity([130.0, 1600.0], [0.45, 0.2]).round(2).tolist()
    [0.27, 2.1]

    References
    ----------
    .. [1] D. A. de Vries, "Thermal properties of soils", 1963, rows of a textbook's table (second-hand).
    """
    density, wet = _checked(dry_density, water)
    mineral = np.clip((density - ORGANIC) / (MINERAL - ORGANIC), 0.0, 1.0)
    peat = OF_PEAT[0] + OF_PEAT[1] * wet
    return np.asarray((1 - mineral) * peat + mineral * np.interp(wet, *OF_SAND))


def ground_heat(dry_density: ArrayLike, water: ArrayLike) -> Floats:
    r"""Heat that ground stores.

    Parameters
    ----------
    dry_density : array_like of float
        Dry mass over the volume it fills. [kg m-3]
    water : array_like of float
        Water over that volume. [-]

    Returns
    -------
    heat : array of float
        Per volume and degree, in units of J/K to the cubic metre. [J K-1]

    Raises
    ------
    DomainError
        If a density is not above zero or water is not between 0 and 1.

    Notes
    -----
    Dry matter and water together [1]_: 1,900 J/kgK of organic, 800 of mineral matter, 4.18 MJ/m3K of water.

    Examples
    --------
    >>> (ground_heat([130.0, 1600.0], [0.45, 0.2]) / 1e6).round(2).tolist()
    [2.13, 2.12]

    References
    ----------
    .. [1] D. A. de Vries, "Thermal properties of soils", 1963, rows of a textbook's table (second-hand).
    """
    density, wet = _checked(dry_density, water)
    mineral = np.clip((density - ORGANIC) / (MINERAL - ORGANIC), 0.0, 1.0)
    organic, stone = OF_DRY_MATTER
    return np.asarray(density * ((1 - mineral) * organic + mineral * stone) + wet * OF_WATER)


def _checked(dry_density: ArrayLike, water: ArrayLike) -> tuple[Floats, Floats]:
    density, wet = np.asarray(dry_density, dtype=np.float64), np.asarray(water, dtype=np.float64)
    if not bool((density > 0).all()):
        msg = "dry densities must be above 0 kg/m3"
        raise DomainError(msg)
    if not bool(((wet >= 0) & (wet <= 1)).all()):
        msg = "water must be between 0 and 1 of the volume"
        raise DomainError(msg)
    return density, wet
