"""Steady temperatures: what a body or a small surface takes when gains and losses of heat are equal.

Temperatures are in kelvin. Nothing here evaporates and nothing makes heat of its own.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.constants import Stefan_Boltzmann as STEFAN_BOLTZMANN

from sunfleck.errors import DomainError
from sunfleck.physics.ranges import above_zero, at_least_zero, within

Floats = NDArray[np.float64]


def radiative_coefficient(emissivity: ArrayLike, first: ArrayLike, second: ArrayLike) -> Floats:
    r"""Heat radiated between two temperatures, per kelvin between them.

    Parameters
    ----------
    emissivity : (n,) float
        Of the surface in large surroundings; for two large plates face to face
        1 / (1/first + 1/second - 1) of theirs. [-]
    first, second : (n,) float
        The two temperatures, in any order. [K]

    Returns
    -------
    coefficient : (n,) float
        Exact at these temperatures. [W m-2 K-1]

    Raises
    ------
    DomainError
        If the emissivity is outside 0 to 1 or a temperature is not above zero.

    Notes
    -----
    The law of Stefan and Boltzmann, its difference of fourth powers divided out [1]_:

    .. math:: h_r = \varepsilon \sigma (T_1^2 + T_2^2)(T_1 + T_2)

    The usual :math:`4 \varepsilon \sigma T_m^3` at the mean temperature is lower by the share
    :math:`(T_1 - T_2)^2 / (4 T_m^2)`: 0.04 % over 12 K, 0.7 % over 50 K.

    *Valid when* the surface is grey and sees surroundings of one temperature.

    Examples
    --------
    Plates of emissivity 0.9 at 60 and 25 degrees Celsius, in W per square metre:

    >>> h = radiative_coefficient(1 / (2 / 0.9 - 1), 333.15, 298.15)
    >>> float((h * 35).round(2))
    204.9

    References
    ----------
    .. [1] F. P. Incropera et al., *Fundamentals of Heat and Mass Transfer*, chapter 1 (from memory); the
       factoring is elementary.
    """
    share = within("emissivity", emissivity, 0.0, 1.0)
    one, two = above_zero("temperature", first, "K"), above_zero("temperature", second, "K")
    return np.asarray(share * STEFAN_BOLTZMANN * (one**2 + two**2) * (one + two))


def operative_temperature(
    air: ArrayLike, radiant: ArrayLike, convective: ArrayLike, radiative: ArrayLike
) -> Floats:
    r"""One temperature that stands for air and surroundings together.

    Parameters
    ----------
    air, radiant : (n,) float
        Temperature of the air, and the mean radiant one of the surroundings. [K]
    convective, radiative : (n,) float
        Heat exchanged with each, per area and kelvin. [W m-2 K-1]

    Returns
    -------
    operative : (n,) float
        Between the two. [K]

    Raises
    ------
    DomainError
        If a temperature is not above zero, a coefficient is below zero, or both are zero.

    Notes
    -----
    .. math:: T_o = \frac{h_c T_a + h_r T_r}{h_c + h_r}

    where an enclosure of this one temperature, air and walls alike, would exchange as much heat [1]_.
    *Valid when* the radiative coefficient suits the temperature of the body; see `radiative_coefficient`.
    Light and radiant heat of lamps count only so far as they were put into `radiant`.

    Examples
    --------
    Air of 28 and surroundings of 40 degrees Celsius, in nearly still air:

    >>> h_r = radiative_coefficient(0.95, 301.15, 313.15)
    >>> float((operative_temperature(301.15, 313.15, 4.0, h_r) - 273.15).round(2))
    35.32

    References
    ----------
    .. [1] C.-E. A. Winslow, L. P. Herrington, A. P. Gagge, *American Journal of Physiology* 120, 1937
       (from memory); a weighted mean is elementary.
    """
    t_a, t_r = above_zero("air", air, "K"), above_zero("radiant", radiant, "K")
    h_c = at_least_zero("convective coefficient", convective, "W/(m2 K)")
    h_r = at_least_zero("radiative coefficient", radiative, "W/(m2 K)")
    both = h_c + h_r
    if not (both > 0.0).all():
        msg = "convective and radiative coefficient must not both be zero"
        raise DomainError(msg)
    return np.asarray((h_c * t_a + h_r * t_r) / both)


def environment_temperature(
    air: ArrayLike,
    radiant_surroundings: ArrayLike,
    absorbed: ArrayLike,
    convective: ArrayLike,
    emissivity: ArrayLike,
) -> Floats:
    r"""Temperature that a body without heat of its own comes to: light, air and surroundings in one number.

    Parameters
    ----------
    air : (n,) float
        Temperature of the air. [K]
    radiant_surroundings : (n,) float
        Mean radiant temperature of what the body sees, lamps that shine on it left out. [K]
    absorbed : (n,) float
        Power of lamps and sun taken up, over the whole area of the body. [W m-2]
    convective : (n,) float
        Heat given to the air per area and kelvin. [W m-2 K-1]
    emissivity : (n,) float
        Of the skin in the far infrared. [-]

    Returns
    -------
    environment : (n,) float
        Bakken's operative environmental temperature. [K]

    Raises
    ------
    DomainError
        If a temperature is not above zero, absorbed power or a coefficient is below zero, emissivity is outside
        0 to 1, or there is nothing that heat is lost to.

    Notes
    -----
    The root of

    .. math:: a + \varepsilon \sigma (T_r^4 - T^4) + h_c (T_a - T) = 0

    by Newton's method in a bracket, to the last digits; the definition is Bakken's [1]_. One such step from
    air temperature is the linear form of Campbell and Norman [2]_, which reads high: 2 K too high at 30 K
    above air.

    *Valid when* heat that the body makes or evaporates does not count, as in most reptiles at rest, and the
    body is of one temperature. Amphibians lose heat by evaporation and stay below it.

    Examples
    --------
    100 W per square metre of skin in air and surroundings of 26 degrees Celsius:

    >>> float((environment_temperature(299.15, 299.15, 100.0, 6.0, 0.95) - 273.15).round(2))
    34.32

    References
    ----------
    .. [1] G. S. Bakken, "A heat transfer analysis of animals," *Journal of Theoretical Biology* 60, 337-384,
       1976 (abstract).
    .. [2] G. S. Campbell and J. M. Norman, *An Introduction to Environmental Biophysics*, 2nd ed., Springer,
       1998, eq. 12.19.
    """
    gain = at_least_zero("absorbed", absorbed, "W/m2")
    h_c = at_least_zero("convective coefficient", convective, "W/(m2 K)")
    film = (np.sqrt(h_c), np.zeros(()), np.ones(()))
    return _balanced(gain, air, radiant_surroundings, film, emissivity, 0.0, air)


def steady_surface(
    irradiance: ArrayLike,
    absorptance: ArrayLike,
    air: ArrayLike,
    surroundings: ArrayLike,
    convective: ArrayLike,
    emissivity: ArrayLike,
    loss: ArrayLike,
    behind: ArrayLike,
) -> Floats:
    r"""Temperature of a small surface under a lamp, with one number for the film of air on it.

    Parameters
    ----------
    irradiance : (n,) float
        Power of lamps and sun that falls on it. [W m-2]
    absorptance : (n,) float
        Share of that taken up. [-]
    air : (n,) float
        Temperature of the air. [K]
    surroundings : (n,) float
        Mean radiant temperature of what it sees, lamps left out. [K]
    convective : (n,) float
        Heat given to the air per area and kelvin. [W m-2 K-1]
    emissivity : (n,) float
        In the far infrared. [-]
    loss : (n,) float
        Heat led into what lies behind, per area and kelvin. [W m-2 K-1]
    behind : (n,) float
        Temperature there. [K]

    Returns
    -------
    surface : (n,) float
        Temperature when gains equal losses. [K]

    Raises
    ------
    DomainError
        If a temperature is not above zero, irradiance or a coefficient is below zero, a share is outside 0 to
        1, or there is nothing that heat is lost to.

    Notes
    -----
    The root of

    .. math::

        \alpha E + \varepsilon \sigma (T_s^4 - T^4) + h_c (T_a - T) - U (T - T_b) = 0

    by Newton's method in a bracket; the balance is the textbook's [1]_. *Valid when* the surface is small
    against what it sees and heat does not spread sideways: in a thick good conductor the hot spot is flatter.

    Examples
    --------
    A dark slate under 400 W per square metre, in air of 30 degrees Celsius, over cork:

    >>> t = steady_surface(400.0, 0.85, 303.15, 303.15, 6.0, 0.93, 2.0, 299.15)
    >>> float((t - 273.15).round(1))
    52.8

    References
    ----------
    .. [1] F. P. Incropera et al., *Fundamentals of Heat and Mass Transfer*, chapter 1, the balance at a surface
       (from memory).
    """
    h_c = at_least_zero("convective coefficient", convective, "W/(m2 K)")
    gain = within("absorptance", absorptance, 0.0, 1.0) * at_least_zero("irradiance", irradiance, "W/m2")
    film = (np.sqrt(h_c), np.zeros(()), np.ones(()))
    return _balanced(gain, air, surroundings, film, emissivity, loss, behind)


def steady_surface_with_film(
    irradiance: ArrayLike,
    absorptance: ArrayLike,
    air: ArrayLike,
    surroundings: ArrayLike,
    film: tuple[ArrayLike, ArrayLike, ArrayLike],
    emissivity: ArrayLike,
    loss: ArrayLike,
    behind: ArrayLike,
) -> Floats:
    r"""Temperature of a small surface under a lamp whose film of air grows with its own warmth.

    Parameters
    ----------
    irradiance : (n,) float
        Power of lamps and sun that falls on it. [W m-2]
    absorptance : (n,) float
        Share of that taken up. [-]
    air : (n,) float
        Temperature of the air. [K]
    surroundings : (n,) float
        Mean radiant temperature of what it sees, lamps left out. [K]
    film : three of (n,) float
        a, b and n of the film's law, for differences in kelvin and a coefficient in W m-2 K-1. [-]
    emissivity : (n,) float
        In the far infrared. [-]
    loss : (n,) float
        Heat led into what lies behind, per area and kelvin. [W m-2 K-1]
    behind : (n,) float
        Temperature there. [K]

    Returns
    -------
    surface : (n,) float
        Temperature when gains equal losses. [K]

    Raises
    ------
    DomainError
        If a temperature is not above zero, irradiance or a coefficient is below zero, a share is outside 0 to
        1, or there is nothing that heat is lost to.

    Notes
    -----
    The balance of `steady_surface` with

    .. math:: h_c = (a + b \, |T - T_a|^n)^2

    solved together with it: the form that the correlations of Churchill and Chu take when properties of air
    are held fast [1]_, with n = 1/6. Heat given off rises with temperature everywhere, so there is one root.
    *Valid* as they are and as the film's law is for the surface.

    Examples
    --------
    With b = 0 it is the surface of one number for the film:

    >>> t = steady_surface_with_film(400, 0.85, 303.15, 303.15, (6**0.5, 0, 1 / 6), 0.93, 2.0, 299.15)
    >>> float((t - 273.15).round(1))
    52.8
    >>> t = steady_surface_with_film(400, 0.85, 303.15, 303.15, (0.3, 1.2, 1 / 6), 0.93, 2.0, 299.15)
    >>> float((t - 273.15).round(1))
    53.6

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, *International Journal of Heat and Mass Transfer* 18, 1323-1329,
       1975 (from memory).
    """
    still, rise, power = film
    law = (
        at_least_zero("a of the film", still),
        at_least_zero("b of the film", rise),
        at_least_zero("n of the film", power),
    )
    gain = within("absorptance", absorptance, 0.0, 1.0) * at_least_zero("irradiance", irradiance, "W/m2")
    return _balanced(gain, air, surroundings, law, emissivity, loss, behind)


def _balanced(
    gain: Floats,
    air: ArrayLike,
    surroundings: ArrayLike,
    film: tuple[Floats, Floats, Floats],
    emissivity: ArrayLike,
    loss: ArrayLike,
    behind: ArrayLike,
) -> Floats:
    """Root of the balance. Losses rise with temperature, so a bracket round it can only shrink."""
    emitted = STEFAN_BOLTZMANN * within("emissivity", emissivity, 0.0, 1.0)
    gain, t_a, t_s, t_b, a, b, n, emitted, u = np.broadcast_arrays(
        gain,
        above_zero("air", air, "K"),
        above_zero("surroundings", surroundings, "K"),
        above_zero("behind", behind, "K"),
        *film,
        emitted,
        at_least_zero("loss", loss, "W/(m2 K)"),
    )
    if not (a + b + emitted + u > 0.0).all():
        msg = "emissivity, film and loss must not all be zero: there is nothing that heat is lost to"
        raise DomainError(msg)
    low = np.minimum(np.minimum(t_a, t_s), t_b)
    top = np.maximum(np.maximum(t_a, t_s), t_b)
    # What each way out alone would need to carry all of the gain from the warmest of the three upwards.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        alone = np.stack(
            [
                (top**4 + gain / emitted) ** 0.25 - top,
                gain / u,
                gain / a**2,
                (gain / b**2) ** (1.0 / (2.0 * n + 1.0)),
            ]
        )
    high = top + np.where(gain > 0.0, np.nanmin(np.where(np.isnan(alone), np.inf, alone), axis=0), 0.0)
    t = high.copy()
    for _ in range(100):
        root = a + b * np.abs(t - t_a) ** n
        over = emitted * (t**4 - t_s**4) + root**2 * (t - t_a) + u * (t - t_b) - gain
        slope = 4.0 * emitted * t**3 + root**2 + 2.0 * root * b * n * np.abs(t - t_a) ** n + u
        low, high = np.where(over <= 0.0, t, low), np.where(over >= 0.0, t, high)
        step = t - over / np.where(slope > 0.0, slope, 1.0)
        better = np.where((slope > 0.0) & (step >= low) & (step <= high), step, 0.5 * (low + high))
        moved = np.abs(better - t)
        t = better
        if (moved <= 4e-16 * t).all():
            break
    return np.asarray(t)
