"""What a spectrum does: erythema and UV index, light for the eye, photons for plants.

Wavelengths are in nanometres throughout this module and spectral irradiance is per nanometre, as every
spectrometer and every published table writes them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

# UV index per erythemal W m-2: WHO/WMO/UNEP/ICNIRP, Global Solar UV Index, 2002.
UV_INDEX_PER_ERYTHEMAL = 40.0
# lm per W at 555 nm: CIE; the SI's own constant for 540 THz is 683 exactly.
LUMINOUS_EFFICACY = 683.0
# Exact in the SI since 2019.
PLANCK = 6.62607015e-34
LIGHT_SPEED = 299792458.0
AVOGADRO = 6.02214076e23

PAR_FIRST, PAR_LAST = 400.0, 700.0
ERYTHEMA_FIRST, ERYTHEMA_LAST = 250.0, 400.0

# V(lambda) from 380 to 780 nm in steps of 5 nm: CIE 1924 photopic standard observer, as CIE tabulates it
# (compared with colour-science 0.4.7 by a test).
V_FIRST, V_STEP = 380.0, 5.0
V_TABLE = np.array(
    [
        0.000039, 0.000064, 0.00012, 0.000217, 0.000396, 0.00064, 0.00121, 0.00218, 0.0040, 0.0073,
        0.0116, 0.01684, 0.0230, 0.0298, 0.0380, 0.0480, 0.0600, 0.0739, 0.09098, 0.1126,
        0.13902, 0.1693, 0.20802, 0.2586, 0.3230, 0.4073, 0.5030, 0.6082, 0.7100, 0.7932,
        0.8620, 0.9148501, 0.9540, 0.9803, 0.9949501, 1.0000, 0.9950, 0.9786, 0.9520, 0.9154,
        0.8700, 0.8163, 0.7570, 0.6949, 0.6310, 0.5668, 0.5030, 0.4412, 0.3810, 0.3210,
        0.2650, 0.2170, 0.1750, 0.1382, 0.1070, 0.0816, 0.0610, 0.04458, 0.0320, 0.0232,
        0.0170, 0.01192, 0.00821, 0.005723, 0.004102, 0.002929, 0.002091, 0.001484, 0.001047, 0.00074,
        0.00052, 0.0003611, 0.0002492, 0.0001719, 0.00012, 0.0000848, 0.00006, 0.0000424, 0.00003,
        0.0000212, 0.00001499,
    ]
)  # fmt: skip


def erythema_weight(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    r"""How strongly radiation of a wavelength reddens skin, relative to 298 nm.

    Parameters
    ----------
    wavelength_nm : (b,) float
        Wavelength. [nm]

    Returns
    -------
    weight : (b,) float
        1 up to 298 nm, falling beyond; 0 outside 250 to 400 nm. [-]

    Raises
    ------
    DomainError
        If a wavelength is not above zero.

    Notes
    -----
    .. math::

        s(\lambda) = \begin{cases}
            1 & 250 \le \lambda \le 298 \\
            10^{0.094 (298 - \lambda)} & 298 < \lambda \le 328 \\
            10^{0.015 (140 - \lambda)} & 328 < \lambda \le 400
        \end{cases}

    Several forms circulate [2]_; the last branch with 139 in place of 140 gives 3.4 % less above 328 nm and
    jumps there. This is the standard's form, which is continuous.

    Examples
    --------
    >>> erythema_weight([298.0, 300.0, 313.0, 340.0]).round(6).tolist()
    [1.0, 0.648634, 0.038905, 0.001]

    References
    ----------
    .. [1] ISO/CIE 17166 (ISO 17166:1999, CIE S 007/E-1998), "Erythema reference action spectrum and
       standard erythema dose"; as quoted in the IES online definition "erythemal action spectrum".
    .. [2] A. R. Webb, H. Slaper, P. Koepke, A. W. Schmalwieser, "Know your standard: clarifying the CIE
       erythema action spectrum", *Photochemistry and Photobiology* 87:483-486, 2011,
       doi:10.1111/j.1751-1097.2010.00871.x.
    """
    w = _wavelengths(wavelength_nm)
    middle = 10.0 ** (0.094 * (298.0 - np.clip(w, 298.0, 328.0)))
    tail = 10.0 ** (0.015 * (140.0 - np.clip(w, 328.0, 400.0)))
    weight = np.where(w <= 328.0, middle, tail)
    return np.where((w >= ERYTHEMA_FIRST) & (w <= ERYTHEMA_LAST), weight, 0.0)


def uv_index(wavelength_nm: ArrayLike, spectral_irradiance: ArrayLike) -> float:
    r"""UV index of a spectrum.

    Parameters
    ----------
    wavelength_nm : (b,) float
        Wavelengths, rising. [nm]
    spectral_irradiance : (b,) float
        Irradiance per nanometre at each. [W m-2 nm-1]

    Returns
    -------
    index : float
        UV index; 1 is 25 mW of erythemal irradiance per square metre. [-]

    Raises
    ------
    DomainError
        If there are fewer than two wavelengths, they do not rise, or arrays differ in length.

    Notes
    -----
    .. math:: \mathrm{UVI} = 40\,\mathrm{m^2/W} \int_{250}^{400} E_\lambda\, s(\lambda)\, d\lambda

    by trapezoids on the grid that is given, cut off exactly at both limits. The weight falls tenfold in
    11 nm, so steps above 2 nm are too coarse for lamps. Lamps are integrated from 250 nm, not from the sun's 286.5 nm.

    Examples
    --------
    A band 1 nm wide at 298 nm that carries 25 mW per square metre:

    >>> round(uv_index([297.0, 297.5, 298.0, 298.5], [0.0, 0.025, 0.025, 0.0]), 2)
    1.0

    References
    ----------
    .. [1] WHO, WMO, UNEP, ICNIRP, *Global Solar UV Index: A Practical Guide*, 2002, ISBN 92-4-159007-6
       (through a university page that quotes the definition).
    """
    w, e = _within(*_spectrum(wavelength_nm, spectral_irradiance), ERYTHEMA_FIRST, ERYTHEMA_LAST)
    return float(UV_INDEX_PER_ERYTHEMAL * np.trapezoid(e * erythema_weight(w), w))


def photopic_weight(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    """How bright light of a wavelength looks by day, relative to 555 nm: V(lambda).

    Parameters
    ----------
    wavelength_nm : (b,) float
        Wavelength. [nm]

    Returns
    -------
    weight : (b,) float
        Between 0 and 1; 0 outside 380 to 780 nm, where less than 5e-6 of the whole is left. [-]

    Raises
    ------
    DomainError
        If a wavelength is not above zero.

    Notes
    -----
    The table in steps of 5 nm is interpolated by polynomials of third degree through four neighbours,
    which meets the table in steps of 1 nm to 2.2e-4.

    Examples
    --------
    >>> photopic_weight([450.0, 510.0, 555.0, 610.0]).round(3).tolist()
    [0.038, 0.503, 1.0, 0.503]

    References
    ----------
    .. [1] CIE 1924 photopic luminous efficiency, now in ISO 23539 / CIE S 010 (table seen in
       colour-science 0.4.7).
    """
    w = _wavelengths(wavelength_nm)
    place = (np.clip(w, V_FIRST, V_FIRST + V_STEP * (V_TABLE.size - 1)) - V_FIRST) / V_STEP
    first = np.clip(place.astype(np.int64) - 1, 0, V_TABLE.size - 4)
    s = place - first  # between 0 and 3 over the four neighbours
    weight = (
        -(s - 1) * (s - 2) * (s - 3) / 6 * V_TABLE[first]
        + s * (s - 2) * (s - 3) / 2 * V_TABLE[first + 1]
        - s * (s - 1) * (s - 3) / 2 * V_TABLE[first + 2]
        + s * (s - 1) * (s - 2) / 6 * V_TABLE[first + 3]
    )
    inside = (w >= V_FIRST) & (w <= V_FIRST + V_STEP * (V_TABLE.size - 1))
    return np.where(inside, weight, 0.0)


def illuminance(wavelength_nm: ArrayLike, spectral_irradiance: ArrayLike) -> float:
    r"""Illuminance of a spectrum.

    Parameters
    ----------
    wavelength_nm : (b,) float
        Wavelengths, rising. [nm]
    spectral_irradiance : (b,) float
        Irradiance per nanometre at each. [W m-2 nm-1]

    Returns
    -------
    illuminance : float
        Light as a lux meter sees it. [lx]

    Raises
    ------
    DomainError
        If there are fewer than two wavelengths, they do not rise, or arrays differ in length.

    Notes
    -----
    .. math:: E_v = 683\,\mathrm{lm/W} \int E_\lambda\, V(\lambda)\, d\lambda

    by trapezoids on the grid that is given.

    Examples
    --------
    A milliwatt per square metre in a band about 555 nm:

    >>> round(illuminance([554.0, 555.0, 556.0], [0.0, 1e-3, 0.0]), 3)
    0.683

    References
    ----------
    .. [1] *The International System of Units*, 9th ed., BIPM 2019, for 683 lm/W (from memory); V(lambda)
       as in :func:`photopic_weight`.
    """
    w, e = _spectrum(wavelength_nm, spectral_irradiance)
    return float(LUMINOUS_EFFICACY * np.trapezoid(e * photopic_weight(w), w))


def photons_per_joule(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    r"""Photons that a joule of radiation of one wavelength consists of.

    Parameters
    ----------
    wavelength_nm : (b,) float
        Wavelength. [nm]

    Returns
    -------
    photons : (b,) float
        Amount of photons per energy. [umol J-1]

    Raises
    ------
    DomainError
        If a wavelength is not above zero.

    Notes
    -----
    .. math:: q(\lambda) = \frac{\lambda}{h c N_A}

    Examples
    --------
    >>> photons_per_joule([450.0, 555.0, 660.0]).round(5).tolist()
    [3.76171, 4.63944, 5.51717]

    References
    ----------
    .. [1] Energy of a photon with the constants of the SI of 2019.
    """
    w = _wavelengths(wavelength_nm)
    return np.asarray(1e6 * w * 1e-9 / (PLANCK * LIGHT_SPEED * AVOGADRO))


def photon_flux_density(wavelength_nm: ArrayLike, spectral_irradiance: ArrayLike) -> float:
    r"""Photons for photosynthesis, 400 to 700 nm, of a spectrum.

    Parameters
    ----------
    wavelength_nm : (b,) float
        Wavelengths, rising. [nm]
    spectral_irradiance : (b,) float
        Irradiance per nanometre at each. [W m-2 nm-1]

    Returns
    -------
    density : float
        Photosynthetic photon flux density. [umol m-2 s-1]

    Raises
    ------
    DomainError
        If there are fewer than two wavelengths, they do not rise, or arrays differ in length.

    Notes
    -----
    .. math:: \mathrm{PPFD} = \int_{400}^{700} E_\lambda\, q(\lambda)\, d\lambda

    by trapezoids on the grid that is given, cut off exactly at both limits.

    Examples
    --------
    100 W per square metre spread evenly over 400 to 700 nm:

    >>> round(photon_flux_density([300.0, 800.0], [1 / 3, 1 / 3]), 1)
    459.8

    References
    ----------
    .. [1] K. J. McCree, "The action spectrum, absorptance and quantum yield of photosynthesis in crop
       plants", *Agricultural Meteorology* 9:191-216, 1971, for the waveband (from memory).
    """
    w, e = _within(*_spectrum(wavelength_nm, spectral_irradiance), PAR_FIRST, PAR_LAST)
    return float(np.trapezoid(e * photons_per_joule(w), w))


def daily_light_integral(density: ArrayLike, duration: ArrayLike) -> NDArray[np.float64]:
    r"""Photons a plant gets in a day under a lamp that burns evenly.

    Parameters
    ----------
    density : (n,) float
        Photosynthetic photon flux density while lit. [umol m-2 s-1]
    duration : (n,) float
        Time lit in a day. [s]

    Returns
    -------
    integral : (n,) float
        Photons per area in a day. [mol m-2]

    Raises
    ------
    DomainError
        If either is negative.

    Notes
    -----
    .. math:: \mathrm{DLI} = \mathrm{PPFD} \cdot t

    Examples
    --------
    >>> float(daily_light_integral(100.0, 12 * 3600.0))
    4.32

    References
    ----------
    .. [1] A. P. Torres and R. G. Lopez, *Measuring Daily Light Integral in a Greenhouse*, Purdue Extension
       HO-238-W (definition from memory).
    """
    d, t = np.asarray(density, dtype=np.float64), np.asarray(duration, dtype=np.float64)
    for name, values, unit in (("density", d, "umol m-2 s-1"), ("duration", t, "s")):
        if bool((values < 0).any()):
            msg = f"{name} must be zero or more; got {values.min():g} {unit}"
            raise DomainError(msg)
    return np.asarray(1e-6 * d * t)


def _wavelengths(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    w = np.asarray(wavelength_nm, dtype=np.float64)
    if not bool((w > 0).all()):
        msg = f"wavelength must be above zero; got {w.min():g} nm"
        raise DomainError(msg)
    return w


def _spectrum(
    wavelength_nm: ArrayLike, spectral_irradiance: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    w, e = _wavelengths(wavelength_nm), np.asarray(spectral_irradiance, dtype=np.float64)
    if w.ndim != 1 or w.size < 2 or w.shape != e.shape:
        msg = f"a spectrum needs two or more wavelengths and as many values; got {w.shape} and {e.shape}"
        raise DomainError(msg)
    if not bool((np.diff(w) > 0).all()):
        msg = f"wavelengths must rise; got a step of {np.diff(w).min():g} nm"
        raise DomainError(msg)
    return w, e


def _within(
    w: NDArray[np.float64], e: NDArray[np.float64], first: float, last: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The part of a spectrum between two wavelengths, its ends interpolated; empty when there is none."""
    low, high = max(first, w[0]), min(last, w[-1])
    if not high > low:
        return np.zeros(0), np.zeros(0)
    grid = np.concatenate([[low], w[(w > low) & (w < high)], [high]])
    return grid, np.interp(grid, w, e)
