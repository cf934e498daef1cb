"""Heat through solids: films and layers of a wall, and closed forms of a solid that warms up."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import erfc

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374419e-8  # W m-2 K-4, CODATA 2018
# Of the two expansions of a slab the one over mirror images is taken up to this Fourier number.
_EARLY = 0.2


def radiative_coefficient(emissivity: ArrayLike, temperature: ArrayLike) -> Floats:
    r"""Heat radiated per area and kelvin, between a surface and a black surround that is nearly as warm.

    Parameters
    ----------
    emissivity : (n,) float
        Of the surface for its own heat. [-]
    temperature : (n,) float
        The mean of surface and surround. [K]

    Returns
    -------
    coefficient : (n,) float
        Of radiation. [W m-2 K-1]

    Raises
    ------
    DomainError
        If an emissivity is outside 0 to 1 or a temperature not above zero.

    Notes
    -----
    .. math:: h_r = 4\,\varepsilon\,\sigma\,T^3

    as ISO 6946 has it [1]_. *Valid* for small differences: about the mean temperature it is low by
    :math:`(\Delta T / 2T)^2`, 0.1 % at 20 K.

    Examples
    --------
    >>> round(float(radiative_coefficient(1.0, 293.15)), 3)
    5.714

    References
    ----------
    .. [1] ISO 6946:2017, annex C (from memory).
    """
    e, t = _share("emissivity", emissivity), _above_zero("temperature", temperature, "K")
    return np.asarray(4.0 * e * STEFAN_BOLTZMANN * t**3)


def surface_resistance(convective: ArrayLike, emissivity: ArrayLike, temperature: ArrayLike) -> Floats:
    r"""Resistance between a surface and a room whose air and walls are equally warm.

    Parameters
    ----------
    convective : (n,) float
        Coefficient of convection. [W m-2 K-1]
    emissivity : (n,) float
        Of the surface for its own heat. [-]
    temperature : (n,) float
        The mean of surface and room. [K]

    Returns
    -------
    resistance : (n,) float
        Of convection and radiation side by side. [m2 K W-1]

    Raises
    ------
    DomainError
        If a convective coefficient or temperature is not above zero or an emissivity is outside 0 to 1.

    Notes
    -----
    .. math:: R_s = \frac{1}{h_c + 4\,\varepsilon\,\sigma\,T^3}

    of ISO 6946 [1]_, which takes 5.0, 2.5 and 0.7 W m-2 K-1 for heat that flows up, sideways and down in still
    air. *Valid* as :func:`radiative_coefficient` is, and where air and walls of the room do not differ.

    Examples
    --------
    The standard's 0.10, 0.13 and 0.17:

    >>> surface_resistance([5.0, 2.5, 0.7], 0.9, 293.15).round(4).tolist()
    [0.0986, 0.1309, 0.1712]

    References
    ----------
    .. [1] ISO 6946:2017, annex C (from memory).
    """
    return np.asarray(
        1.0
        / (
            _above_zero("convective", convective, "W m-2 K-1")
            + radiative_coefficient(emissivity, temperature)
        )
    )


def u_value(*resistances: ArrayLike) -> Floats:
    r"""Heat through a wall per area and kelvin, from room to room.

    Parameters
    ----------
    resistances : (n,) float
        Of the films and of each layer, its thickness over its conductivity, in any order. [m2 K W-1]

    Returns
    -------
    transmittance : (n,) float
        Of all of them in a row. [W m-2 K-1]

    Raises
    ------
    DomainError
        If a resistance is below zero or not finite, or they do not add up to more than zero.

    Notes
    -----
    .. math:: U = \Bigl(\sum_i R_i\Bigr)^{-1}

    as ISO 6946 and EN 673 have it [1]_. *Valid* for heat that goes straight through: no edges, no frames.

    Examples
    --------
    A pane of 4 mm with 8 W m-2 K-1 inside and 23 outside:

    >>> round(float(u_value(1 / 8, 0.004 / 1.0, 1 / 23)), 2)
    5.8

    References
    ----------
    .. [1] ISO 6946:2017, 6.7, and EN 673:2011, 5.1 (from memory).
    """
    total = np.asarray(sum((_at_least_zero("resistance", r, "m2 K W-1") for r in resistances), np.zeros(())))
    return np.asarray(1.0 / _above_zero("sum of resistances", total, "m2 K W-1"))


def slab_after_step(
    position: ArrayLike, time: ArrayLike, thickness: ArrayLike, diffusivity: ArrayLike
) -> Floats:
    r"""Share of a step of temperature at one side of a slab that has come to a place in it.

    The other side passes no heat; so this is also one half of a slab whose both sides step.

    Parameters
    ----------
    position : (n,) float
        From the side that passes no heat. [m]
    time : (n,) float
        Since the step. [s]
    thickness : (n,) float
        Of the slab. [m]
    diffusivity : (n,) float
        Conductivity over density and heat capacity. [m2 s-1]

    Returns
    -------
    share : (n,) float
        0 before the step is felt, 1 in the end. [-]

    Raises
    ------
    DomainError
        If a position is not within the slab, a time is below zero, or a thickness or diffusivity not above it.

    Notes
    -----
    With :math:`\xi = x / L`, :math:`\mathrm{Fo} = \alpha t / L^2` and :math:`\mu_n = (n + \tfrac12)\,\pi` [1]_

    .. math:: \theta = 1 - 2 \sum_{n=0}^{\infty} \frac{(-1)^n}{\mu_n}\, e^{-\mu_n^2 \mathrm{Fo}} \cos \mu_n \xi
              = \sum_{n=0}^{\infty} (-1)^n \Bigl[\operatorname{erfc} \frac{2n + 1 - \xi}{2 \sqrt{\mathrm{Fo}}} +
              \operatorname{erfc} \frac{2n + 1 + \xi}{2 \sqrt{\mathrm{Fo}}}\Bigr]

    The second, over mirror images, is summed up to Fo = 0.2, the first above; a few terms of each are exact to
    rounding. *Valid* for constant properties and a surface that takes the new temperature at once.

    Examples
    --------
    The far side of 4 mm of glass after 10 s, and the same where 40 mm of it have been heated for 1000 s:

    >>> slab_after_step(0.0, [10.0, 1000.0], [0.004, 0.04], 5e-7).round(4).tolist()
    [0.4115, 0.4115]

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, *Conduction of Heat in Solids*, 2nd ed., Oxford, 1959, 3.3 and 12.5
       (from memory).
    """
    length = _above_zero("thickness", thickness, "m")
    x = _at_least_zero("position", position, "m") / length
    if bool((x > 1.0).any()):
        msg = f"position must be within the slab; got {float(x.max()):g} of its thickness"
        raise DomainError(msg)
    fourier = (
        _above_zero("diffusivity", diffusivity, "m2 s-1") * _at_least_zero("time", time, "s") / length**2
    )
    spread = 2.0 * np.sqrt(np.clip(fourier, 1e-300, _EARLY))
    images = sum(
        ((-1) ** n * (erfc((2 * n + 1 - x) / spread) + erfc((2 * n + 1 + x) / spread)) for n in range(5)),
        np.zeros(()),
    )
    late = np.maximum(fourier, _EARLY)
    waves = np.zeros(())
    for n in range(6):
        mu = (n + 0.5) * np.pi
        waves = waves + (-1) ** n / mu * np.exp(-(mu**2) * late) * np.cos(mu * x)
    return np.asarray(np.where(fourier <= _EARLY, images, 1.0 - 2.0 * waves))


def half_space_after_step(depth: ArrayLike, time: ArrayLike, diffusivity: ArrayLike) -> Floats:
    r"""Share of a step of temperature at the surface of something thick that has come to a depth.

    Parameters
    ----------
    depth : (n,) float
        Below the surface. [m]
    time : (n,) float
        Since the step. [s]
    diffusivity : (n,) float
        Conductivity over density and heat capacity. [m2 s-1]

    Returns
    -------
    share : (n,) float
        0 before the step is felt, 1 in the end. [-]

    Raises
    ------
    DomainError
        If a depth or time is below zero, or a diffusivity not above it.

    Notes
    -----
    .. math:: \theta = \operatorname{erfc} \frac{z}{2 \sqrt{\alpha t}}

    [1]_. *Valid* for constant properties, and for a body of thickness :math:`L` as long as :math:`\alpha t / L^2`
    is below some 0.06: until then less than one percent has come to its far side.

    Examples
    --------
    Ten centimetres into wet sand, after one hour and after six:

    >>> half_space_after_step(0.1, [3600.0, 21600.0], 1e-6).round(4).tolist()
    [0.2386, 0.6305]

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, *Conduction of Heat in Solids*, 2nd ed., Oxford, 1959, 2.4 (from memory).
    """
    z, t = _at_least_zero("depth", depth, "m"), _at_least_zero("time", time, "s")
    reach = 2.0 * np.sqrt(_above_zero("diffusivity", diffusivity, "m2 s-1") * t)
    return np.asarray(erfc(z / np.maximum(reach, 1e-150)))


def half_space_under_flux(
    time: ArrayLike, flux: ArrayLike, conductivity: ArrayLike, diffusivity: ArrayLike, depth: ArrayLike = 0.0
) -> Floats:
    r"""How much warmer something thick has become since a constant flux of heat began to enter it.

    Parameters
    ----------
    time : (n,) float
        Since the flux began. [s]
    flux : (n,) float
        Heat per area into the surface; out of it if below zero. [W m-2]
    conductivity : (n,) float
        Of the body. [W m-1 K-1]
    diffusivity : (n,) float
        Conductivity over density and heat capacity. [m2 s-1]
    depth : (n,) float, default 0.0
        Below the surface. [m]

    Returns
    -------
    rise : (n,) float
        Over the temperature before. [K]

    Raises
    ------
    DomainError
        If a time or depth is below zero, a conductivity or diffusivity not above it, or a flux not finite.

    Notes
    -----
    .. math:: \Delta T = \frac{2 q}{\lambda} \sqrt{\frac{\alpha t}{\pi}}\; e^{-z^2 / 4 \alpha t}
              - \frac{q z}{\lambda} \operatorname{erfc} \frac{z}{2 \sqrt{\alpha t}}

    [1]_. *Valid* as :func:`half_space_after_step` is, and while the surface keeps all of the flux: a warm surface
    loses some to the air, so this is an upper bound.

    Examples
    --------
    A stone slab under 500 W m-2, its surface after one minute and after ten:

    >>> half_space_under_flux([60.0, 600.0], 500.0, 2.0, 1e-6).round(2).tolist()
    [2.19, 6.91]

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, *Conduction of Heat in Solids*, 2nd ed., Oxford, 1959, 2.9 (from memory).
    """
    z, t = _at_least_zero("depth", depth, "m"), _at_least_zero("time", time, "s")
    k, q = _above_zero("conductivity", conductivity, "W m-1 K-1"), np.asarray(flux, dtype=np.float64)
    if not bool(np.isfinite(q).all()):
        msg = f"flux must be finite; got {q[~np.isfinite(q)].flat[0]:g} W m-2"
        raise DomainError(msg)
    reach = np.maximum(2.0 * np.sqrt(_above_zero("diffusivity", diffusivity, "m2 s-1") * t), 1e-150)
    s = np.minimum(z / reach, 1e2)  # both terms are zero long before
    return np.asarray(q / k * reach * (np.exp(-(s**2)) / np.sqrt(np.pi) - s * erfc(s)))


def _share(name: str, values: ArrayLike) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    wrong = ~((array >= 0.0) & (array <= 1.0))
    if wrong.any():
        msg = f"{name} must be 0 to 1; got {array[wrong].flat[0]:g}"
        raise DomainError(msg)
    return array


def _above_zero(name: str, values: ArrayLike, unit: str) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    wrong = ~((array > 0.0) & (array < np.inf))
    if wrong.any():
        msg = f"{name} must be above zero; got {array[wrong].flat[0]:g} {unit}"
        raise DomainError(msg)
    return array


def _at_least_zero(name: str, values: ArrayLike, unit: str) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    wrong = ~((array >= 0.0) & (array < np.inf))
    if wrong.any():
        msg = f"{name} must be zero or more; got {array[wrong].flat[0]:g} {unit}"
        raise DomainError(msg)
    return array
