"""Humidity over saturated salt solutions, and what a hygrometer reads too much there.

Over a wet salt in a closed jar the air takes a humidity that hangs on the salt and, weakly, on the temperature.
"""

from __future__ import annotations

from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]

COLDEST, HOTTEST = 273.15, 323.15  # K, the temperatures ASTM E104-20a is for
UNCERTAINTY = 0.02  # of the humidity itself, as the table states it

# Factor A in percent and slope B in kelvin of A exp(B / T): CRC Handbook of Chemistry and Physics, after Wexler.
SALTS = MappingProxyType(
    {
        "lithium chloride": (14.53, -75.0),
        "magnesium chloride": (29.26, 34.0),
        "magnesium nitrate": (25.28, 220.0),
        "sodium chloride": (69.20, 25.0),
        "potassium chloride": (49.38, 159.0),
        "potassium nitrate": (43.22, 225.0),
        "potassium sulfate": (86.75, 34.0),
    }
)


def equilibrium_humidity(salt: str, temperature: ArrayLike) -> Floats:
    r"""Relative humidity of air that stands over a saturated solution of a salt.

    Parameters
    ----------
    salt : str
        One of `SALTS`, such as ``sodium chloride``, which is table salt. [-]
    temperature : (n,) float
        Of jar, salt and air, all alike. [K]

    Returns
    -------
    humidity : (n,) float
        Relative humidity, 0 to 1; the table states 2 % of it. [-]

    Raises
    ------
    DomainError
        If the salt is not known, or a temperature is outside 273.15 to 323.15 K.

    Notes
    -----
    .. math:: \varphi = A\,e^{B/T}

    Salt must lie undissolved in its solution, and jar and meter must have stood together until the reading no
    longer moves: hours, for a small hygrometer. Where the room warms by a kelvin meanwhile, the reading is off.

    References
    ----------
    A. Wexler, *Constant humidity solutions*, in *CRC Handbook of Chemistry and Physics*. Temperatures as in ASTM
    E104-20a, *Standard practice for maintaining constant relative humidity by means of aqueous solutions*.

    Examples
    --------
    >>> round(float(equilibrium_humidity("sodium chloride", 298.15)), 4)
    0.7525
    """
    if salt not in SALTS:
        msg = f"a salt is one of {', '.join(SALTS)}; got {salt!r}"
        raise DomainError(msg)
    kelvin = np.asarray(temperature, dtype=np.float64)
    if not bool(np.all((kelvin >= COLDEST) & (kelvin <= HOTTEST))):
        msg = f"the temperature over a salt must be {COLDEST:g} to {HOTTEST:g} K; got {kelvin} K"
        raise DomainError(msg)
    factor, slope = SALTS[salt]
    return np.asarray(factor / 100 * np.exp(slope / kelvin))


def salt_correction(salt: str, temperature: ArrayLike, read: ArrayLike) -> Floats:
    r"""What is to be added to a hygrometer's readings, by one check over a salt.

    Parameters
    ----------
    salt : str
        One of `SALTS`. [-]
    temperature : (n,) float
        At the check. [K]
    read : (n,) float
        Relative humidity that the hygrometer showed over the salt, 0 to 1. [-]

    Returns
    -------
    correction : (n,) float
        Of relative humidity: humidity = reading + correction. [-]

    Raises
    ------
    DomainError
        If the salt is not known, a temperature is outside 273.15 to 323.15 K, or a reading is outside 0 to 1.

    Notes
    -----
    .. math:: \Delta\varphi = A\,e^{B/T} - \varphi_\text{read}

    One point says nothing of how the error changes with humidity: near the salt's it is worth most.

    References
    ----------
    As `equilibrium_humidity`.

    Examples
    --------
    A hygrometer shows 78 % over table salt at 21 degC; it reads 2.7 points too much.

    >>> round(float(salt_correction("sodium chloride", 294.15, 0.78)), 3)
    -0.027
    """
    shown = np.asarray(read, dtype=np.float64)
    if not bool(np.all((shown >= 0) & (shown <= 1))):
        msg = f"a hygrometer's reading must be 0 to 1; got {shown}"
        raise DomainError(msg)
    return np.asarray(equilibrium_humidity(salt, temperature) - shown)
