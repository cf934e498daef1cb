"""Moist air: how much vapour it can hold, what it holds, when it fogs a pane, how heavy it is.

Air and vapour are ideal gases here that do not know of each other. Next to the tables of real moist air that
leaves out 0.4 to 0.6 % of the vapour that saturated air holds. Numbers of ASHRAE's equations are from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.air import ATMOSPHERE, GAS_CONSTANT

Floats = NDArray[np.float64]

FREEZING = 273.15  # K, where enthalpies begin
TRIPLE = 273.16  # K, where ice, water and vapour stand together
COLDEST, HOTTEST = 223.0, 373.0  # K
LIGHTER = 0.621945  # mole of water over mole of dry air, by mass (ASHRAE 2017)

# IAPWS SR1-86(1992), over water: factors and powers of 1 - T / Tc; Tc in K, pc in Pa.
_WATER = (
    (-7.85951783, 1.0), (1.84408259, 1.5), (-11.7866497, 3.0),
    (22.6807411, 3.5), (-15.9618719, 4.0), (1.80122502, 7.5),
)  # fmt: skip
_CRITICAL = 647.096, 22.064e6
# IAPWS R14-08(2011), over ice: factors and powers of T / Tt; Tt is TRIPLE, pt in Pa.
_ICE = ((-21.2144006, 1 / 300), (27.3203819, 1.20666667), (-6.10598130, 1.70333333))
_TRIPLE_PRESSURE = 611.657

_TINY, _HUGE = np.nextafter(0.0, 1.0), np.finfo(np.float64).max
_LIMITS = {
    "temperature": (COLDEST, HOTTEST, f"{COLDEST:g} to {HOTTEST:g} K", " K"),
    "relative humidity": (0.0, 1.0, "0 to 1", ""),
    "humidity ratio": (0.0, _HUGE, "zero or more", ""),
    "pressure": (_TINY, _HUGE, "above zero", " Pa"),
    "altitude": (-5_000.0, 11_000.0, "-5000 to 11000 m", " m"),
}


def saturation_pressure(temperature: ArrayLike) -> Floats:
    r"""Pressure of the vapour that stands still over water, below 273.16 K over ice.

    Parameters
    ----------
    temperature : (n,) float
        Of water or ice and vapour. [K]

    Returns
    -------
    pressure : (n,) float
        Of the vapour alone. [Pa]

    Raises
    ------
    DomainError
        If a temperature is outside 223 to 373 K.

    Notes
    -----
    Over water [1]_, with :math:`\tau = 1 - T / T_c`, :math:`T_c` = 647.096 K and :math:`p_c` = 22.064 MPa, and
    over ice [2]_, with :math:`\theta = T / T_t`, :math:`T_t` = 273.16 K and :math:`p_t` = 611.657 Pa:

    .. math:: \ln \frac{p}{p_c} = \frac{T_c}{T} \sum_{i=1}^{6} a_i\, \tau^{\alpha_i}, \qquad
              \ln \frac{p}{p_t} = \frac{1}{\theta} \sum_{i=1}^{3} b_i\, \theta^{\beta_i}

    At the triple point they are 1e-7 apart. *Valid* from 273.16 and 50 K up, within 0.025 % over water above
    0 °C. Air beside the vapour raises it by 0.4 to 0.5 % at one atmosphere, which is left out.

    Examples
    --------
    >>> saturation_pressure([263.15, 298.15]).round(1).tolist()
    [259.9, 3169.9]

    References
    ----------
    .. [1] W. Wagner and A. Pruss, "International equations for the saturation properties of ordinary water
       substance," *Journal of Physical and Chemical Reference Data* 22, 783-787, 1993; IAPWS SR1-86(1992)
       (coefficients from memory; they agree with CoolProp 8.0.0 within 8e-5).
    .. [2] W. Wagner, T. Riethmann, R. Feistel and A. H. Harvey, "New equations for the sublimation pressure and
       melting pressure of H2O ice Ih," *Journal of Physical and Chemical Reference Data* 40, 043103, 2011;
       IAPWS R14-08(2011) (coefficients from memory; they give its check value at 230 K).
    """
    return np.asarray(_saturation(_checked("temperature", temperature))[0])


def dew_point(vapour_pressure: ArrayLike) -> Floats:
    r"""Temperature at which vapour begins to settle, below 273.16 K as frost.

    Parameters
    ----------
    vapour_pressure : (n,) float
        Of the vapour alone. [Pa]

    Returns
    -------
    temperature : (n,) float
        At which that is the pressure of saturation. [K]

    Raises
    ------
    DomainError
        If a pressure is not one of saturation between 223 and 373 K.

    Notes
    -----
    The inverse of :func:`saturation_pressure` [1]_ by Newton's method on the logarithm, to rounding:

    .. math:: T \leftarrow T - \frac{\ln p_s(T) - \ln p}{\mathrm{d} \ln p_s / \mathrm{d} T}

    begun at the inverse of Magnus' formula. *Valid* where that function is.

    Examples
    --------
    Of air at 25 °C and 60 %:

    >>> round(float(dew_point(0.6 * saturation_pressure(298.15))) - 273.15, 2)
    16.7

    References
    ----------
    .. [1] As there; the derivatives are taken here.
    """
    e = np.asarray(vapour_pressure, dtype=np.float64)
    low, high = (float(_saturation(np.asarray(t))[0]) for t in (COLDEST, HOTTEST))
    wrong = ~((e >= low) & (e <= high))
    if wrong.any():
        msg = f"vapour pressure must be {low:.4g} to {high:.6g} Pa; got {e[wrong].flat[0]:g} Pa"
        raise DomainError(msg)
    target = np.log(e)
    over_water = e >= _water(np.asarray(TRIPLE))[0]
    magnus = np.log(e / 611.2)
    t = FREEZING + 243.12 * magnus / (17.62 - magnus)
    for _ in range(8):
        pressure, slope = _choose(over_water, t)
        t = t - (np.log(pressure) - target) / slope
    return np.asarray(
        np.clip(np.where(over_water, np.maximum(t, TRIPLE), np.minimum(t, TRIPLE)), COLDEST, HOTTEST)
    )


def humidity_ratio(
    temperature: ArrayLike, relative_humidity: ArrayLike, pressure: ArrayLike = ATMOSPHERE
) -> Floats:
    r"""Vapour that a kilogram of dry air carries.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]
    relative_humidity : (n,) float
        Pressure of the vapour over that of saturation; below 273.16 K over ice. [-]
    pressure : (n,) float, default 101325.0
        Of air and vapour together. [Pa]

    Returns
    -------
    ratio : (n,) float
        Kilograms of vapour per kilogram of dry air. [-]

    Raises
    ------
    DomainError
        If a temperature is outside 223 to 373 K, a relative humidity outside 0 to 1, or the pressure not above
        that of the vapour.

    Notes
    -----
    .. math:: W = 0.621945\,\frac{\varphi\,p_s(T)}{p - \varphi\,p_s(T)}

    for ideal gases [1]_. *Valid* near one atmosphere; saturated air of 5 to 50 °C holds 0.4 to 0.6 % more.

    Examples
    --------
    >>> round(float(humidity_ratio(298.15, 0.6)), 5)
    0.0119

    References
    ----------
    .. [1] *ASHRAE Handbook - Fundamentals*, 2017, chapter 1, equation 20 (as psychrolib 2.5.0 has it).
    """
    t, rh = _checked("temperature", temperature), _checked("relative humidity", relative_humidity)
    e, p = np.broadcast_arrays(rh * _saturation(t)[0], _checked("pressure", pressure))
    if (e >= p).any():
        k = int(np.argmax((e >= p).ravel()))
        msg = f"pressure must be above that of the vapour, {e.flat[k]:.6g} Pa; got {p.flat[k]:g} Pa"
        raise DomainError(msg)
    return np.asarray(LIGHTER * e / (p - e))


def vapour_pressure(humidity_ratio: ArrayLike, pressure: ArrayLike = ATMOSPHERE) -> Floats:
    r"""Pressure of the vapour in air.

    Parameters
    ----------
    humidity_ratio : (n,) float
        Kilograms of vapour per kilogram of dry air. [-]
    pressure : (n,) float, default 101325.0
        Of air and vapour together. [Pa]

    Returns
    -------
    vapour_pressure : (n,) float
        Of the vapour alone. [Pa]

    Raises
    ------
    DomainError
        If a humidity ratio is below zero or a pressure not above it.

    Notes
    -----
    .. math:: e = \frac{p\,W}{0.621945 + W}

    for ideal gases [1]_. *Valid* near one atmosphere.

    Examples
    --------
    >>> round(float(vapour_pressure(0.0119)))
    1902

    References
    ----------
    .. [1] *ASHRAE Handbook - Fundamentals*, 2017, chapter 1, equation 20 turned round (as psychrolib 2.5.0 has it).
    """
    w, p = _checked("humidity ratio", humidity_ratio), _checked("pressure", pressure)
    return np.asarray(p * w / (LIGHTER + w))


def relative_humidity(
    temperature: ArrayLike, humidity_ratio: ArrayLike, pressure: ArrayLike = ATMOSPHERE
) -> Floats:
    r"""How near air is to saturation.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]
    humidity_ratio : (n,) float
        Kilograms of vapour per kilogram of dry air. [-]
    pressure : (n,) float, default 101325.0
        Of air and vapour together. [Pa]

    Returns
    -------
    relative_humidity : (n,) float
        Above 1 the air carries more than it can hold, and some must settle. [-]

    Raises
    ------
    DomainError
        If a temperature is outside 223 to 373 K, a humidity ratio below zero or a pressure not above it.

    Notes
    -----
    .. math:: \varphi = \frac{p\,W}{(0.621945 + W)\,p_s(T)}

    the inverse of :func:`humidity_ratio` [1]_, and *valid* as that is.

    Examples
    --------
    >>> round(float(relative_humidity(298.15, 0.0119)), 3)
    0.6

    References
    ----------
    .. [1] As there.
    """
    e = vapour_pressure(humidity_ratio, pressure)
    return np.asarray(e / _saturation(_checked("temperature", temperature))[0])


def enthalpy(temperature: ArrayLike, humidity_ratio: ArrayLike) -> Floats:
    r"""Heat in moist air, per kilogram of the dry air in it.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]
    humidity_ratio : (n,) float
        Kilograms of vapour per kilogram of dry air. [-]

    Returns
    -------
    enthalpy : (n,) float
        Over that of dry air and of water at 0 °C. [J kg-1]

    Raises
    ------
    DomainError
        If a temperature is outside 223 to 373 K or a humidity ratio below zero.

    Notes
    -----
    With :math:`t = T - 273.15\,\mathrm{K}` [1]_

    .. math:: h = 1006\,t + W\,(2.501 \times 10^6 + 1860\,t)

    *Valid* near one atmosphere; saturated air of 25 °C has 0.3 % more by the vapour left out.

    Examples
    --------
    >>> round(float(enthalpy(298.15, 0.0119)))
    55465

    References
    ----------
    .. [1] *ASHRAE Handbook - Fundamentals*, 2017, chapter 1, equation 30 (as psychrolib 2.5.0 has it).
    """
    t, w = _checked("temperature", temperature) - FREEZING, _checked("humidity ratio", humidity_ratio)
    return np.asarray(1006.0 * t + w * (2.501e6 + 1860.0 * t))


def wet_bulb(
    temperature: ArrayLike, relative_humidity: ArrayLike, pressure: ArrayLike = ATMOSPHERE
) -> Floats:
    r"""Temperature of water that gives off vapour into the air until that is saturated, by the air's own heat.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]
    relative_humidity : (n,) float
        Pressure of the vapour over that of saturation; below 273.16 K over ice. [-]
    pressure : (n,) float, default 101325.0
        Of air and vapour together. [Pa]

    Returns
    -------
    temperature : (n,) float
        The thermodynamic wet-bulb temperature. [K]

    Raises
    ------
    DomainError
        If a temperature is outside 223 to 373 K, a relative humidity outside 0 to 1, or the pressure not above
        that of the vapour.

    Notes
    -----
    The root of this balance [1]_, with :math:`t` and :math:`t^*` in °C and heats in kJ/kg, over water and over ice:

    .. math:: W = \frac{(2501 - 2.326\,t^*)\,W_s(t^*) - 1.006\,(t - t^*)}{2501 + 1.86\,t - 4.186\,t^*}, \qquad
              W = \frac{(2830 - 0.24\,t^*)\,W_s(t^*) - 1.006\,(t - t^*)}{2830 + 1.86\,t - 2.1\,t^*}

    It is bisected to rounding. Where both have a root, water still liquid is taken; so the answer steps up by
    some tenths of a kelvin to 0 °C, where the ice melts. *Valid* near one atmosphere.

    Examples
    --------
    >>> round(float(wet_bulb(298.15, 0.5)) - 273.15, 2)
    17.89

    References
    ----------
    .. [1] *ASHRAE Handbook - Fundamentals*, 2017, chapter 1, equations 33 and 35 (as psychrolib 2.5.0 has them).
    """
    w = humidity_ratio(temperature, relative_humidity, pressure)
    t, w, p = np.broadcast_arrays(_checked("temperature", temperature), w, _checked("pressure", pressure))
    liquid = (t >= TRIPLE) & (_held_by(np.full(t.shape, TRIPLE), t, p, np.full(t.shape, True)) <= w)
    low, high = np.where(liquid, TRIPLE, 200.0), np.where(liquid, t, np.minimum(t, TRIPLE))
    for _ in range(54):
        middle = 0.5 * (low + high)
        over = _held_by(middle, t, p, liquid) > w
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return np.asarray(0.5 * (low + high))


def density(temperature: ArrayLike, humidity_ratio: ArrayLike, pressure: ArrayLike = ATMOSPHERE) -> Floats:
    r"""Mass of air and vapour together in a volume.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]
    humidity_ratio : (n,) float
        Kilograms of vapour per kilogram of dry air. [-]
    pressure : (n,) float, default 101325.0
        Of air and vapour together. [Pa]

    Returns
    -------
    density : (n,) float
        Moist air is lighter than dry air of the same temperature and pressure. [kg m-3]

    Raises
    ------
    DomainError
        If a temperature is outside 223 to 373 K, a humidity ratio below zero or a pressure not above it.

    Notes
    -----
    .. math:: \rho = \frac{p}{R\,T}\,\frac{1 + W}{1 + W / 0.621945}

    for ideal gases [1]_, with :math:`R` = 287.05 J kg-1 K-1. *Valid* near one atmosphere, within 0.1 %.

    Examples
    --------
    >>> density(298.15, [0.0, 0.0119]).round(4).tolist()
    [1.1839, 1.1756]

    References
    ----------
    .. [1] *ASHRAE Handbook - Fundamentals*, 2017, chapter 1, equations 26 and 9b (as psychrolib 2.5.0 has it).
    """
    t, w = _checked("temperature", temperature), _checked("humidity ratio", humidity_ratio)
    p = _checked("pressure", pressure)
    return np.asarray(p / (GAS_CONSTANT * t) * (1.0 + w) / (1.0 + w / LIGHTER))


def standard_pressure(altitude: ArrayLike) -> Floats:
    r"""Pressure of the air at a height above the sea, on a day like the standard one.

    Parameters
    ----------
    altitude : (n,) float
        Above the sea. [m]

    Returns
    -------
    pressure : (n,) float
        Weather changes it by some 3 %. [Pa]

    Raises
    ------
    DomainError
        If an altitude is outside -5,000 to 11,000 m.

    Notes
    -----
    .. math:: p = 101325\,(1 - 2.25577 \times 10^{-5} z)^{5.2559}

    of the standard atmosphere [1]_. *Valid* in its lowest layer.

    Examples
    --------
    >>> standard_pressure([0.0, 500.0]).round().tolist()
    [101325.0, 95461.0]

    References
    ----------
    .. [1] *ASHRAE Handbook - Fundamentals*, 2017, chapter 1, equation 3 (as psychrolib 2.5.0 has it).
    """
    return np.asarray(ATMOSPHERE * (1.0 - 2.25577e-5 * _checked("altitude", altitude)) ** 5.2559)


def _water(t: Floats) -> tuple[Floats, Floats]:
    """Saturation over water, and the slope of its logarithm."""
    critical, pressure = _CRITICAL
    tau = 1.0 - t / critical
    total = sum((a * tau**n for a, n in _WATER), np.zeros_like(t))
    slope = sum((a * n * tau ** (n - 1.0) for a, n in _WATER), np.zeros_like(t))
    log = critical / t * total
    return np.asarray(pressure * np.exp(log)), np.asarray(-(log + slope) / t)


def _ice(t: Floats) -> tuple[Floats, Floats]:
    """The same over ice."""
    theta = t / TRIPLE
    log = sum((b * theta ** (n - 1.0) for b, n in _ICE), np.zeros_like(t))
    slope = sum((b * (n - 1.0) * theta ** (n - 2.0) for b, n in _ICE), np.zeros_like(t))
    return np.asarray(_TRIPLE_PRESSURE * np.exp(log)), np.asarray(slope / TRIPLE)


def _choose(over_water: NDArray[np.bool_], t: Floats) -> tuple[Floats, Floats]:
    (water, water_slope), (ice, ice_slope) = _water(t), _ice(t)
    return np.where(over_water, water, ice), np.where(over_water, water_slope, ice_slope)


def _saturation(t: Floats) -> tuple[Floats, Floats]:
    return _choose(np.asarray(t >= TRIPLE), t)


def _held_by(wet: Floats, t: Floats, p: Floats, liquid: NDArray[np.bool_]) -> Floats:
    """Humidity ratio of air at t over water or ice at the wet-bulb temperature."""
    e = _choose(liquid, wet)[0]
    saturated = LIGHTER * e / np.maximum(p - e, 1e-9 * p)
    cold, dry = wet - FREEZING, t - FREEZING
    water = ((2501.0 - 2.326 * cold) * saturated - 1.006 * (dry - cold)) / (
        2501.0 + 1.86 * dry - 4.186 * cold
    )
    ice = ((2830.0 - 0.24 * cold) * saturated - 1.006 * (dry - cold)) / (2830.0 + 1.86 * dry - 2.1 * cold)
    return np.where(liquid, water, ice)


def _checked(name: str, values: ArrayLike) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    low, high, needed, unit = _LIMITS[name]
    wrong = ~((array >= low) & (array <= high))
    if wrong.any():
        msg = f"{name} must be {needed}; got {array[wrong].flat[0]:g}{unit}"
        raise DomainError(msg)
    return array
