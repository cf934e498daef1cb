"""Where the sun stands, how long it is up, and what a clear sky sends: for a day of the year, in solar time.

Angles are in degrees, as places are written: latitude north of the equator, azimuth from north through east.
Time is true solar time in hours: the sun is in the south or north at 12. Directions have x east, y north, z up.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.ranges import within

Floats = NDArray[np.float64]

# Days of the year in the middle of each month: the whole part of 30.4 month - 15 (FAO-56, annex 2). [-]
MIDDLE_DAYS = (15, 45, 76, 106, 137, 167, 197, 228, 258, 289, 319, 349)
# Height of the sun's centre when its upper edge is seen at a flat horizon: half its disc and refraction. [deg]
SUNRISE = -0.833
# Sunlight above the air at the mean distance: FAO-56 has 0.0820 MJ m-2 min-1. Satellites say 1361 by now (Kopp
# and Lean 2011, from memory); that is less than a clear sky varies. [W m-2]
SOLAR_CONSTANT = 0.0820e6 / 60.0
# How much hazier or clearer than the standard atmosphere: factors on Hottel's three numbers.
CLIMATES: Mapping[str, tuple[float, float, float]] = MappingProxyType(
    {
        "standard": (1.0, 1.0, 1.0),
        "tropical": (0.95, 0.98, 1.02),
        "midlatitude summer": (0.97, 0.99, 1.02),
        "midlatitude winter": (1.03, 1.01, 1.00),
        "subarctic summer": (0.99, 0.99, 1.01),
    }
)


def declination(day: ArrayLike, series: str = "spencer") -> Floats:
    r"""Angle of the sun above the plane of the equator.

    Parameters
    ----------
    day : (n,) float
        Day of the year, 1 to 366. [-]
    series : str, default "spencer"
        "spencer", or "fao-56" for the simpler one that tables of reference evapotranspiration are made with. [-]

    Returns
    -------
    declination : (n,) float
        North positive. [deg]

    Raises
    ------
    DomainError
        If a day is outside 1 to 366 or the series is unknown.

    Notes
    -----
    Spencer's Fourier series of the day angle :math:`2 \pi (J - 1) / 365`, which begins with the year [1]_, half
    a day on for noon; or

    .. math:: \delta = 0.409 \sin(2 \pi J / 365 - 1.39)

    in radians [2]_. *Valid:* against an ephemeris over eight years Spencer's is within 0.35 degrees at noon,
    0.15 in the mean square, most of it leap years; FAO's is off by up to 1.3 degrees in autumn.

    Examples
    --------
    The solstices, and the third of September by both:

    >>> declination([172, 355]).round(2).tolist()
    [23.45, -23.42]
    >>> [float(declination(246, s).round(2)) for s in ("spencer", "fao-56")]
    [7.66, 6.86]

    References
    ----------
    .. [1] J. W. Spencer, "Fourier series representation of the position of the sun," *Search* 2, 172, 1971, as
       pvlib carries it.
    .. [2] R. G. Allen, L. S. Pereira, D. Raes, M. Smith, *Crop evapotranspiration*, FAO Irrigation and Drainage
       Paper 56, 1998, eq. 24.
    """
    j, spencer = _day(day), _is_spencer(series)
    if not spencer:
        return np.asarray(np.degrees(0.409 * np.sin(2 * pi * j / 365 - 1.39)))
    g = 2 * pi * (j - 0.5) / 365
    first = 0.006918 - 0.399912 * np.cos(g) + 0.070257 * np.sin(g)
    second = -0.006758 * np.cos(2 * g) + 0.000907 * np.sin(2 * g)
    third = -0.002697 * np.cos(3 * g) + 0.00148 * np.sin(3 * g)
    return np.asarray(np.degrees(first + second + third))


def day_length(
    latitude: ArrayLike, day: ArrayLike, horizon: float = SUNRISE, series: str = "spencer"
) -> Floats:
    r"""How long the sun is up.

    Parameters
    ----------
    latitude : (n,) float
        North positive. [deg]
    day : (n,) float
        Day of the year. [-]
    horizon : float, default -0.833
        Height of the sun's centre at which the day begins: 0 for the geometric day of FAO-56, -6 with civil
        twilight. [deg]
    series : str, default "spencer"
        As in `declination`. [-]

    Returns
    -------
    length : (n,) float
        24 in the polar day, 0 in the polar night. [h]

    Raises
    ------
    DomainError
        If latitude is outside -90 to 90, a day outside 1 to 366, the horizon outside -18 to 45, or the series
        is unknown.

    Notes
    -----
    Twice the hour angle at which the sun stands at the horizon :math:`h_0` [1]_:

    .. math:: \cos\omega = \frac{\sin h_0 - \sin\varphi \sin\delta}{\cos\varphi \cos\delta}

    *Valid* over a flat horizon, within 2 minutes of an ephemeris up to latitude 60, within 3 up to 65.

    Examples
    --------
    London at the summer solstice, and FAO's day of 20 degrees south on the third of September:

    >>> float(day_length(51.5, 172).round(2))
    16.64
    >>> float(day_length(-20, 246, horizon=0.0, series="fao-56").round(1))
    11.7

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56, 1998, eqs. 25 and 34, for the horizon 0; with another it is the
       same triangle.
    """
    low = np.sin(np.radians(within("horizon", horizon, -18.0, 45.0, "deg")))
    return np.asarray(2.0 * np.degrees(_half_day(latitude, declination(day, series), low)) / 15.0)


def sunrise_and_sunset(
    latitude: ArrayLike, day: ArrayLike, horizon: float = SUNRISE
) -> tuple[Floats, Floats]:
    """When the sun comes up and goes down.

    Parameters
    ----------
    latitude : (n,) float
        North positive. [deg]
    day : (n,) float
        Day of the year. [-]
    horizon : float, default -0.833
        As in `day_length`. [deg]

    Returns
    -------
    sunrise, sunset : (n,) float
        True solar time; 0 and 24 in the polar day, both 12 in the polar night. [h]

    Raises
    ------
    DomainError
        As `day_length`.

    Notes
    -----
    Half of `day_length` before noon and after it [1]_. A clock shows another time: add the equation of time
    and the way to the middle of the time zone.

    Examples
    --------
    >>> [float(t.round(2)) for t in sunrise_and_sunset(51.5, 172)]
    [3.68, 20.32]

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56, 1998, eq. 34.
    """
    half = 0.5 * day_length(latitude, day, horizon)
    return np.asarray(12.0 - half), np.asarray(12.0 + half)


def sun_direction(latitude: ArrayLike, day: ArrayLike, time: ArrayLike) -> Floats:
    r"""Where the sun stands.

    Parameters
    ----------
    latitude : (n,) float
        North positive. [deg]
    day : (n,) float
        Day of the year. [-]
    time : (n,) float
        True solar time, 0 to 24. [h]

    Returns
    -------
    direction : (n, 3) float
        Unit vectors to the sun, x east, y north, z up; below the horizon z is negative. [-]

    Raises
    ------
    DomainError
        If latitude is outside -90 to 90, a day outside 1 to 366 or time outside 0 to 24.

    Notes
    -----
    With the hour angle :math:`H = 15 (t - 12)` degrees [1]_

    .. math::

        \mathbf s = (-\cos\delta \sin H,\;
                     \cos\varphi \sin\delta - \sin\varphi \cos\delta \cos H,\;
                     \sin\varphi \sin\delta + \cos\varphi \cos\delta \cos H)

    *Valid* to half a degree: the declination is that of noon all day. Air is left out:
    near the horizon the sun is seen half a degree higher.

    Examples
    --------
    At the equator at an equinox, six hours after noon: nearly due west, at the horizon.

    >>> sun_direction(0.0, 80, 18.0).round(2).tolist()
    [-1.0, -0.01, 0.0]

    References
    ----------
    .. [1] M. Iqbal, *An Introduction to Solar Radiation*, 1983, chapter 1 (from memory); it is one rotation.
    """
    turn = np.radians(15.0 * (within("time", time, 0.0, 24.0, "h") - 12.0))
    phi, delta = np.radians(_latitude(latitude)), np.radians(declination(day))
    east = -np.cos(delta) * np.sin(turn)
    north = np.cos(phi) * np.sin(delta) - np.sin(phi) * np.cos(delta) * np.cos(turn)
    up = np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.cos(turn)
    return np.stack(np.broadcast_arrays(east, north, up), axis=-1)


def extraterrestrial_daily(latitude: ArrayLike, day: ArrayLike, series: str = "spencer") -> Floats:
    r"""Sunlight of a day on a level plane above the air.

    Parameters
    ----------
    latitude : (n,) float
        North positive. [deg]
    day : (n,) float
        Day of the year. [-]
    series : str, default "spencer"
        As in `declination`, for the distance of the sun too. [-]

    Returns
    -------
    radiation : (n,) float
        Over one day. [J m-2]

    Raises
    ------
    DomainError
        If latitude is outside -90 to 90, a day outside 1 to 366, or the series is unknown.

    Notes
    -----
    With the geometric hour angle :math:`\omega` of sunset and the distance factor :math:`d_r` [1]_

    .. math::

        R_a = \frac{86400}{\pi} S \, d_r
              (\omega \sin\varphi \sin\delta + \cos\varphi \cos\delta \sin\omega)

    *Valid* everywhere; a clear day brings about three quarters of it to the ground.

    Examples
    --------
    20 degrees south on the third of September, as FAO-56 has it, in MJ per square metre:

    >>> float((extraterrestrial_daily(-20, 246, series="fao-56") / 1e6).round(1))
    32.2

    References
    ----------
    .. [1] FAO Irrigation and Drainage Paper 56, 1998, eq. 21 and example 8.
    """
    angle = declination(day, series)
    omega = _half_day(latitude, angle, 0.0)
    phi, delta = np.radians(_latitude(latitude)), np.radians(angle)
    level = omega * np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.sin(omega)
    # At the poles the two terms of a night cancel to a few rounding errors.
    return np.asarray(86_400.0 / pi * SOLAR_CONSTANT * _nearness(day, series) * np.maximum(level, 0.0))


def clear_sky(
    elevation: ArrayLike, day: ArrayLike, altitude: ArrayLike = 0.0, climate: str = "standard"
) -> tuple[Floats, Floats]:
    r"""Sunlight under a cloudless sky: the sun's own, and the sky's.

    Parameters
    ----------
    elevation : (n,) float
        Height of the sun above the horizon. [deg]
    day : (n,) float
        Day of the year, for the distance of the sun. [-]
    altitude : (n,) float, default 0
        Of the place, 0 to 2500. [m]
    climate : str, default "standard"
        "standard", "tropical", "midlatitude summer", "midlatitude winter" or "subarctic summer". [-]

    Returns
    -------
    direct, diffuse : (n,) float
        Direct light on a plane square to the sun, and light of the sky on a level plane; zero at night.
        [W m-2]

    Raises
    ------
    DomainError
        If elevation is outside -90 to 90, a day outside 1 to 366, altitude outside 0 to 2500, or the climate is
        unknown.

    Notes
    -----
    Hottel's fit for 23 km of visibility [1]_ and the relation of Liu and Jordan for the sky [2]_, of the light
    above the air :math:`S d_r`:

    .. math:: \tau_b = a_0 + a_1 e^{-k / \sin h}, \qquad \tau_d = 0.271 - 0.294\,\tau_b

    :math:`a_0, a_1, k` depend on altitude in kilometres and, by factors, on the climate. *Valid* for clear days
    with some haze: all light on level ground is within 6 % of the simplified Solis model with an aerosol optical
    depth of 0.2 and 25 mm of water when the sun is higher than 10 degrees; in very clear dry air there is an
    eighth more of it at noon and a third more with a low sun, whose direct light can be twice what is said here.
    Below 5 degrees it does not fade as it should. Clouds, trees and houses are left out.

    Examples
    --------
    Sun at 60 degrees near sea level in summer:

    >>> [float(e.round(0)) for e in clear_sky(60.0, 172, climate="midlatitude summer")]
    [792.0, 109.0]

    References
    ----------
    .. [1] H. C. Hottel, "A simple model for estimating the transmittance of direct solar radiation through clear
       atmospheres," *Solar Energy* 18, 129-134, 1976; constants from several programs that agree.
    .. [2] B. Y. H. Liu and R. C. Jordan, "The interrelationship and characteristic distribution of direct,
       diffuse and total solar radiation," *Solar Energy* 4(3), 1-19, 1960, as textbooks carry it.
    """
    if climate not in CLIMATES:
        msg = f"climate must be one of {', '.join(CLIMATES)}; got {climate}"
        raise DomainError(msg)
    height = np.sin(np.radians(within("elevation", elevation, -90.0, 90.0, "deg")))
    above = within("altitude", altitude, 0.0, 2500.0, "m") / 1e3
    r_0, r_1, r_k = CLIMATES[climate]
    a_0 = r_0 * (0.4237 - 0.00821 * (6.0 - above) ** 2)
    a_1 = r_1 * (0.5055 + 0.00595 * (6.5 - above) ** 2)
    k = r_k * (0.2711 + 0.01858 * (2.5 - above) ** 2)
    up = height > 0.0
    beam = a_0 + a_1 * np.exp(-k / np.where(up, np.maximum(height, 1e-6), 1.0))
    outside = np.where(up, SOLAR_CONSTANT * _nearness(day, "spencer"), 0.0)
    return np.asarray(outside * beam), np.asarray(outside * (0.271 - 0.294 * beam) * np.maximum(height, 0.0))


def on_wall(
    latitude: ArrayLike,
    day: ArrayLike,
    time: ArrayLike,
    azimuth: ArrayLike,
    altitude: ArrayLike = 0.0,
    ground: ArrayLike = 0.2,
    climate: str = "standard",
) -> tuple[Floats, Floats, Floats]:
    r"""Sunlight on the outside of an upright wall or window under a cloudless sky.

    Parameters
    ----------
    latitude : (n,) float
        North positive. [deg]
    day : (n,) float
        Day of the year. [-]
    time : (n,) float
        True solar time, 0 to 24. [h]
    azimuth : (n,) float
        Where the wall looks to: 0 north, 90 east, 180 south, 270 west. [deg]
    altitude : (n,) float, default 0
        Of the place, 0 to 2500. [m]
    ground : (n,) float, default 0.2
        Share of light that the ground outside throws back; grass and soil have about 0.2, snow 0.7. [-]
    climate : str, default "standard"
        As in `clear_sky`. [-]

    Returns
    -------
    direct, sky, reflected : (n,) float
        On the wall from the sun, from the sky and from the ground; they add. [W m-2]

    Raises
    ------
    DomainError
        If latitude is outside -90 to 90, a day outside 1 to 366, time outside 0 to 24, azimuth outside -360 to
        360, altitude outside 0 to 2500, ground outside 0 to 1, or the climate is unknown.

    Notes
    -----
    With the wall's normal :math:`\mathbf n`, direct light :math:`E_b`, the sky's :math:`E_d` on a level plane
    and the sun's height :math:`h`, a sky and a ground that are equally bright all over [1]_:

    .. math::

        E = E_b \max(0, \mathbf{n \cdot s}) + \tfrac12 E_d + \tfrac12 \rho (E_b \sin h + E_d)

    *Valid* as `clear_sky`, for a wall with nothing before it. A real clear sky is brighter near the sun: a wall
    that faces it gets more of it, one that looks away less.

    Examples
    --------
    A south wall at 51.5 degrees north, at noon of both solstices:

    >>> [float(sum(on_wall(51.5, d, 12.0, 180.0)).round(0)) for d in (172, 355)]
    [518.0, 459.0]

    References
    ----------
    .. [1] B. Y. H. Liu and R. C. Jordan, 1963, the isotropic sky, as textbooks carry it (from memory).
    """
    sun = sun_direction(latitude, day, time)
    height = np.clip(sun[..., 2], -1.0, 1.0)
    beam, diffuse = clear_sky(np.degrees(np.arcsin(height)), day, altitude, climate)
    looks = np.radians(within("azimuth", azimuth, -360.0, 360.0, "deg"))
    facing = np.sin(looks) * sun[..., 0] + np.cos(looks) * sun[..., 1]
    thrown = within("ground", ground, 0.0, 1.0)
    reflected = 0.5 * thrown * (beam * np.maximum(height, 0.0) + diffuse)
    direct, sky, reflected = np.broadcast_arrays(beam * np.maximum(facing, 0.0), 0.5 * diffuse, reflected)
    return direct.copy(), sky.copy(), reflected.copy()


def _half_day(latitude: ArrayLike, angle: Floats, low: ArrayLike) -> Floats:
    """Hour angle at which the sun is as low as this sine, 0 in the polar night, pi in the polar day. [rad]"""
    phi, delta = np.radians(_latitude(latitude)), np.radians(angle)
    over, under = low - np.sin(phi) * np.sin(delta), np.cos(phi) * np.cos(delta)
    return np.asarray(np.arccos(np.clip(over / under, -1.0, 1.0)))


def _nearness(day: ArrayLike, series: str) -> Floats:
    """Mean distance of the sun over that of the day, squared."""
    j = _day(day)
    if not _is_spencer(series):
        return np.asarray(1.0 + 0.033 * np.cos(2 * pi * j / 365))
    g = 2 * pi * (j - 1) / 365
    first = 1.000110 + 0.034221 * np.cos(g) + 0.001280 * np.sin(g)
    return np.asarray(first + 0.000719 * np.cos(2 * g) + 0.000077 * np.sin(2 * g))


def _latitude(latitude: ArrayLike) -> Floats:
    return within("latitude", latitude, -90.0, 90.0, "deg")


def _day(day: ArrayLike) -> Floats:
    return within("day", day, 1.0, 366.0)


def _is_spencer(series: str) -> bool:
    if series not in ("spencer", "fao-56"):
        msg = f"series must be spencer or fao-56; got {series}"
        raise DomainError(msg)
    return series == "spencer"
