"""How long a body takes to warm and to cool: one lump of one temperature."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.physics.ranges import above_zero, at_least_zero

Floats = NDArray[np.float64]


def time_constant(
    mass: ArrayLike, specific_heat: ArrayLike, area: ArrayLike, coefficient: ArrayLike
) -> Floats:
    r"""Time in which a body goes 63 % of the way to its new temperature.

    Parameters
    ----------
    mass : (n,) float
        Of the body. [kg]
    specific_heat : (n,) float
        Of its tissue; see `bodies.SPECIFIC_HEAT`. [J kg-1 K-1]
    area : (n,) float
        Of its skin. [m2]
    coefficient : (n,) float
        Convective and radiative coefficient together. [W m-2 K-1]

    Returns
    -------
    constant : (n,) float
        Time constant. [s]

    Raises
    ------
    DomainError
        If any is not above zero.

    Notes
    -----
    .. math:: \tau = \frac{m c}{h A}

    *Valid when* heat spreads inside faster than it comes in (Biot number below about 0.1): at h = 12 and
    0.5 W m-1 K-1 of tissue that is a body less than some 15 mm thick. A thick one has a skin that is quicker and a
    core that is slower, and animals steer blood to the skin to warm faster than they cool [1]_.

    Examples
    --------
    10 g with 31 square centimetres, in minutes:

    >>> float((time_constant(0.01, 3762.0, 31e-4, 15.0) / 60).round(1))
    13.5

    References
    ----------
    .. [1] G. S. Bakken, "An improved method for determining thermal conductance and equilibrium body temperature
       with cooling curve experiments," *Journal of Thermal Biology* 1, 169-175, 1976 (abstract; title from
       memory).
    """
    lump = above_zero("mass", mass, "kg") * above_zero("specific heat", specific_heat, "J/(kg K)")
    way = above_zero("coefficient", coefficient, "W/(m2 K)") * above_zero("area", area, "m2")
    return np.asarray(lump / way)


def temperature_after(start: ArrayLike, end: ArrayLike, time: ArrayLike, constant: ArrayLike) -> Floats:
    r"""Temperature of a body some time after it came to another place.

    Parameters
    ----------
    start : (n,) float
        Temperature at first. [K]
    end : (n,) float
        What it would come to: the operative environmental temperature there. [K]
    time : (n,) float
        Since then. [s]
    constant : (n,) float
        Time constant. [s]

    Returns
    -------
    temperature : (n,) float
        Then. [K]

    Raises
    ------
    DomainError
        If a temperature or the constant is not above zero, or the time is below zero.

    Notes
    -----
    Newton's law of cooling, against :math:`T_e` and not the air (Bakken [1]_):

    .. math:: T = T_e + (T_0 - T_e) \, e^{-t/\tau}

    *Valid* as `time_constant`, and when the place stays as it is.

    Examples
    --------
    From 26 towards 45 degrees Celsius, after one time constant:

    >>> float((temperature_after(299.15, 318.15, 400.0, 400.0) - 273.15).round(1))
    38.0

    References
    ----------
    .. [1] G. S. Bakken, *Journal of Thermal Biology* 1, 169-175, 1976 (abstract).
    """
    begin, last = above_zero("start", start, "K"), above_zero("end", end, "K")
    passed = at_least_zero("time", time, "s") / above_zero("constant", constant, "s")
    return np.asarray(last + (begin - last) * np.exp(-passed))


def time_to_reach(start: ArrayLike, end: ArrayLike, wanted: ArrayLike, constant: ArrayLike) -> Floats:
    r"""How long a body takes to come to a temperature.

    Parameters
    ----------
    start : (n,) float
        Temperature at first. [K]
    end : (n,) float
        What it would come to in the end. [K]
    wanted : (n,) float
        Temperature asked for. [K]
    constant : (n,) float
        Time constant. [s]

    Returns
    -------
    time : (n,) float
        Zero where it is there already, infinite where it never comes there. [s]

    Raises
    ------
    DomainError
        If a temperature or the constant is not above zero.

    Notes
    -----
    `temperature_after` turned round [1]_:

    .. math:: t = \tau \ln \frac{T_0 - T_e}{T - T_e}

    *Valid* as that. The end itself is never reached.

    Examples
    --------
    From 26 to 35 degrees Celsius at a spot of 45, and at one of 34:

    >>> time_to_reach(299.15, [318.15, 307.15], 308.15, 400.0).round(0).tolist()
    [257.0, inf]

    References
    ----------
    .. [1] Derived here.
    """
    begin, last, goal = np.broadcast_arrays(
        above_zero("start", start, "K"), above_zero("end", end, "K"), above_zero("wanted", wanted, "K")
    )
    whole, left = last - begin, last - goal
    # On the way means: ahead of the start or at it, and short of the end.
    comes = (whole * left > 0.0) & (np.abs(left) <= np.abs(whole))
    ratio = np.where(comes, np.divide(left, whole, out=np.ones_like(whole), where=comes), 0.0)
    with np.errstate(divide="ignore"):
        time = above_zero("constant", constant, "s") * -np.log(ratio)
    return np.asarray(np.where(goal == begin, 0.0, time))
