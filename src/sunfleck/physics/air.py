"""Dry air near one atmosphere: how it conducts, how thick it flows, how much heat it carries."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]

# Of dry air: 8.314462618 J mol-1 K-1 (CODATA 2018) over 0.02896546 kg mol-1 (Picard et al. 2008, from memory). [J kg-1 K-1]
GAS_CONSTANT = 8.314462618 / 0.02896546
ATMOSPHERE = 101_325.0  # Pa
COLDEST, HOTTEST = 250.0, 400.0  # K


@dataclass(frozen=True, slots=True)
class Air:
    """What a flow of dry air needs to be known by, at one temperature and pressure or at many.

    Attributes
    ----------
    temperature : (n,) float
        What the rest is given for. [K]
    pressure : (n,) float
        Likewise. [Pa]
    density : (n,) float
        Mass per volume. [kg m-3]
    conductivity : (n,) float
        Of heat. [W m-1 K-1]
    dynamic_viscosity : (n,) float
        Shear stress per rate of shear. [Pa s]
    kinematic_viscosity : (n,) float
        That over the density. [m2 s-1]
    heat_capacity : (n,) float
        At constant pressure. [J kg-1 K-1]
    diffusivity : (n,) float
        Of heat: conductivity over density and heat capacity. [m2 s-1]
    prandtl : (n,) float
        Kinematic viscosity over diffusivity. [-]
    """

    temperature: Floats
    pressure: Floats
    density: Floats
    conductivity: Floats
    dynamic_viscosity: Floats
    kinematic_viscosity: Floats
    heat_capacity: Floats
    diffusivity: Floats
    prandtl: Floats


def air_at(temperature: ArrayLike, pressure: ArrayLike = ATMOSPHERE) -> Air:
    r"""All properties of dry air together.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. For a film at a wall: the mean of wall and room. [K]
    pressure : (n,) float, default 101325.0
        Broadcasts against `temperature`. [Pa]

    Returns
    -------
    air : Air
        The properties, each in the unit its own function gives. [-]

    Raises
    ------
    DomainError
        If a temperature is outside 250 to 400 K or a pressure is not above zero.

    Notes
    -----
    See the functions of this module for formulas and sources. The density is that of an ideal gas; against the
    equation of state of Lemmon et al. (2000) it is within 0.1 % at one atmosphere.

    Examples
    --------
    >>> air = air_at(298.15)
    >>> round(float(air.density), 3), round(float(air.prandtl), 4), round(float(air.diffusivity) * 1e6, 2)
    (1.184, 0.7073, 22.03)
    """
    t, p = _checked_temperature(temperature), _checked_pressure(pressure)
    density = np.asarray(p / (GAS_CONSTANT * t))
    k, mu, cp = conductivity(t), dynamic_viscosity(t), heat_capacity(t)
    nu, diffusivity = np.asarray(mu / density), np.asarray(k / (density * cp))
    return Air(t, p, density, k, mu, nu, cp, diffusivity, np.asarray(cp * mu / k))


def conductivity(temperature: ArrayLike) -> Floats:
    r"""How well still dry air conducts heat, at one atmosphere.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]

    Returns
    -------
    conductivity : (n,) float
        Heat per area and gradient. [W m-1 K-1]

    Raises
    ------
    DomainError
        If a temperature is outside 250 to 400 K.

    Notes
    -----
    With :math:`\tau = 132.6312\,\mathrm{K} / T`, :math:`\eta_0` the viscosity of thin air in uPa s and
    :math:`\delta` the density at one atmosphere over 10.4477 mol/L [1]_, in mW m-1 K-1

    .. math:: \lambda = 1.308\,\eta_0 + 1.405\,\tau^{-1.1} - 1.036\,\tau^{-0.3} + 8.743\,\tau^{0.1} \delta

    Of the dense-gas terms only the first is kept; the others are below 1e-5 here.

    *Valid* from 250 to 400 K near one atmosphere (from 0.5 to 2 atmospheres it changes by 0.2 %), 2 % by the
    authors. Saturated air of 30 °C conducts 0.2 % less (CoolProp 8.0.0).

    Examples
    --------
    >>> round(float(conductivity(298.15)), 6)
    0.026247

    References
    ----------
    .. [1] E. W. Lemmon and R. T. Jacobsen, "Viscosity and thermal conductivity equations for nitrogen, oxygen,
       argon, and air," *International Journal of Thermophysics* 25, 21-69, 2004 (coefficients from memory; they
       agree with CoolProp 8.0.0 within 2e-5).
    """
    t = _checked_temperature(temperature)
    tau = 132.6312 / t
    thin = 1.308 * _thin_viscosity(t) + 1.405 * tau**-1.1 - 1.036 * tau**-0.3
    return np.asarray(1e-3 * (thin + 8.743 * tau**0.1 * _relative_density(t)))


def dynamic_viscosity(temperature: ArrayLike) -> Floats:
    r"""How much dry air resists shear, at one atmosphere.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]

    Returns
    -------
    viscosity : (n,) float
        Shear stress per rate of shear. [Pa s]

    Raises
    ------
    DomainError
        If a temperature is outside 250 to 400 K.

    Notes
    -----
    Kinetic theory with a fitted collision integral, and the first terms of the dense gas [1]_, in uPa s:

    .. math:: \eta = \frac{0.0266958 \sqrt{M T}}{\sigma^2\, \Omega(T / 103.3\,\mathrm{K})}
              + (10.72\,\tau^{0.2} - 8.876\,\tau^{0.6})\,\delta, \qquad
              \ln \Omega = \sum_{i=0}^{4} b_i \ln^i \frac{T}{103.3\,\mathrm{K}}

    with :math:`M` = 28.9586 g/mol, :math:`\sigma` = 0.36 nm, :math:`\tau` = 132.6312 K / T and :math:`\delta`
    the density at one atmosphere over 10.4477 mol/L.

    *Valid* from 250 to 400 K near one atmosphere (from 0.5 to 2 atmospheres it changes by 0.12 %), 1 % by the
    authors. Saturated air of 30 °C has 1.3 % less (CoolProp 8.0.0).

    Examples
    --------
    >>> round(float(dynamic_viscosity(298.15)) * 1e6, 3)
    18.448

    References
    ----------
    .. [1] E. W. Lemmon and R. T. Jacobsen, "Viscosity and thermal conductivity equations for nitrogen, oxygen,
       argon, and air," *International Journal of Thermophysics* 25, 21-69, 2004 (coefficients from memory; they
       agree with CoolProp 8.0.0 within 1e-5).
    """
    t = _checked_temperature(temperature)
    tau = 132.6312 / t
    dense = (10.72 * tau**0.2 - 8.876 * tau**0.6) * _relative_density(t)
    return np.asarray(1e-6 * (_thin_viscosity(t) + dense))


def kinematic_viscosity(temperature: ArrayLike, pressure: ArrayLike = ATMOSPHERE) -> Floats:
    r"""Viscosity of dry air over its density: how fast momentum spreads in it.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]
    pressure : (n,) float, default 101325.0
        Broadcasts against `temperature`. [Pa]

    Returns
    -------
    viscosity : (n,) float
        Area per time. [m2 s-1]

    Raises
    ------
    DomainError
        If a temperature is outside 250 to 400 K or a pressure is not above zero.

    Notes
    -----
    .. math:: \nu = \eta(T)\,\frac{R T}{p}

    with :func:`dynamic_viscosity` and the ideal gas [1]_. *Valid* as that is: the pressure enters through the
    density alone.

    Examples
    --------
    >>> (kinematic_viscosity(298.15, [101325.0, 84556.0]) * 1e6).round(2).tolist()
    [15.58, 18.67]

    References
    ----------
    .. [1] A definition.
    """
    t = _checked_temperature(temperature)
    return np.asarray(dynamic_viscosity(t) * GAS_CONSTANT * t / _checked_pressure(pressure))


def heat_capacity(temperature: ArrayLike) -> Floats:
    r"""Heat that a kilogram of dry air takes up per kelvin at constant pressure, at one atmosphere.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]

    Returns
    -------
    capacity : (n,) float
        Heat per mass and kelvin. [J kg-1 K-1]

    Raises
    ------
    DomainError
        If a temperature is outside 250 to 400 K.

    Notes
    -----
    With :math:`x = T - 300\,\mathrm{K}`

    .. math:: c_p = 1006.373 + 0.036391\,x + 4.0170 \times 10^{-4} x^2 + 1.1813 \times 10^{-7} x^3

    fitted here to the equation of state of Lemmon et al. [1]_ as CoolProp 8.0.0 computes it, at 16 temperatures
    from 250 to 400 K; the fit is within 1e-5 of it. *Valid* there, near one atmosphere.

    Examples
    --------
    >>> heat_capacity([298.15, 308.15]).round(1).tolist()
    [1006.3, 1006.7]

    References
    ----------
    .. [1] E. W. Lemmon, R. T. Jacobsen, S. G. Penoncello and D. G. Friend, "Thermodynamic properties of air and
       mixtures of nitrogen, argon, and oxygen from 60 to 2000 K at pressures to 2000 MPa," *Journal of Physical
       and Chemical Reference Data* 29, 331-385, 2000 (through CoolProp).
    """
    x = _checked_temperature(temperature) - 300.0
    return np.asarray(1006.373 + x * (0.036391 + x * (4.0170e-4 + x * 1.1813e-7)))


def prandtl(temperature: ArrayLike) -> Floats:
    r"""How fast momentum spreads in dry air over how fast heat does, at one atmosphere.

    Parameters
    ----------
    temperature : (n,) float
        Of the air. [K]

    Returns
    -------
    prandtl : (n,) float
        The Prandtl number. [-]

    Raises
    ------
    DomainError
        If a temperature is outside 250 to 400 K.

    Notes
    -----
    .. math:: \mathrm{Pr} = \frac{c_p \eta}{\lambda}

    of :func:`heat_capacity`, :func:`dynamic_viscosity` and :func:`conductivity` [1]_, and *valid* where they are.

    Examples
    --------
    >>> prandtl([298.15, 308.15]).round(4).tolist()
    [0.7073, 0.7061]

    References
    ----------
    .. [1] A definition.
    """
    t = _checked_temperature(temperature)
    return np.asarray(heat_capacity(t) * dynamic_viscosity(t) / conductivity(t))


def _thin_viscosity(temperature: Floats) -> Floats:
    """Viscosity without the terms of the dense gas. [uPa s]"""
    log = np.log(temperature / 103.3)
    integral = np.exp(0.431 + log * (-0.4623 + log * (0.08406 + log * (0.005341 - 0.00331 * log))))
    return np.asarray(0.0266958 * np.sqrt(28.9586 * temperature) / (0.360**2 * integral))


def _relative_density(temperature: Floats) -> Floats:
    """Density at one atmosphere over that of the critical point. [-]"""
    return np.asarray(ATMOSPHERE / (8.314462618 * temperature) / 10_447.7)


def _checked_temperature(temperature: ArrayLike) -> Floats:
    t = np.asarray(temperature, dtype=np.float64)
    wrong = ~((t >= COLDEST) & (t <= HOTTEST))
    if wrong.any():
        msg = f"temperature of air must be {COLDEST:g} to {HOTTEST:g} K; got {t[wrong].flat[0]:g} K"
        raise DomainError(msg)
    return t


def _checked_pressure(pressure: ArrayLike) -> Floats:
    p = np.asarray(pressure, dtype=np.float64)
    wrong = ~((p > 0.0) & (p < np.inf))
    if wrong.any():
        msg = f"pressure must be above zero; got {p[wrong].flat[0]:g} Pa"
        raise DomainError(msg)
    return p
