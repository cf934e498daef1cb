"""Steady temperatures of what an animal can touch beside its ground: lamps, wires in their light, heaters lain on.

Each is a balance closed by hand or by :mod:`sunfleck.physics.balances`: what is put in leaves by the film of air, by
long-wave radiation, or through what lies behind.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.constants import Boltzmann, Planck, speed_of_light

from sunfleck.errors import DomainError
from sunfleck.physics.air import air_at
from sunfleck.physics.balances import steady_surface_with_film
from sunfleck.physics.convection import GRAVITY
from sunfleck.physics.ranges import above_zero, at_least_zero, within

Floats = NDArray[np.float64]
Film = tuple[ArrayLike, ArrayLike, ArrayLike]

# Of a mesh that air creeps through: pressure lost is this over Reynolds' number of the wire, in half rho v^2.
CREEP = 22.0
# Rising from a point and from a line: excess of buoyancy on the middle line. From memory, see `plume_excess`.
ROUND, LINE = 11.0, 2.6
# Terms of the series; more change nothing above 500 um K.
TERMS = 60


def share_beyond(wavelength: ArrayLike, temperature: ArrayLike) -> Floats:
    r"""Share of a black body's radiation that is of longer waves than one wavelength.

    Parameters
    ----------
    wavelength : (n,) float
        From there on. [m]
    temperature : (n,) float
        Of the black body. [K]

    Returns
    -------
    share : (n,) float
        Of all it radiates. [-]

    Raises
    ------
    DomainError
        If a wavelength or a temperature is not above zero, or their product is below 0.5 mm K, where there is
        nothing to speak of below.

    Notes
    -----
    Planck's law summed, with :math:`x = h c / (\lambda k T)` [1]_:

    .. math:: F = 1 - \frac{15}{\pi^4} \sum_{n=1}^{\infty} e^{-n x}
              \left(\frac{x^3}{n} + \frac{3 x^2}{n^2} + \frac{6 x}{n^3} + \frac{6}{n^4}\right)

    Held by quadrature of the law itself to 1e-9. *Valid* for black bodies: tungsten radiates less of long waves
    than its temperature's black body does, so that the share here is too high for it.

    Examples
    --------
    What the glass of a bulb could keep of a filament of 2900 K, if it keeps all beyond 2.7 micrometres:

    >>> float(share_beyond(2.7e-6, 2900.0).round(3))
    0.151

    References
    ----------
    .. [1] S. L. Chang and K. T. Rhee, "Blackbody radiation functions," *International Communications in Heat and
       Mass Transfer* 11, 451-455, 1984 (from memory).
    """
    wave, hot = above_zero("wavelength", wavelength, "m"), above_zero("temperature", temperature, "K")
    if not (wave * hot >= 5e-4).all():
        msg = "wavelength times temperature must be at least 0.0005 m K"
        raise DomainError(msg)
    x = Planck * speed_of_light / (wave * hot * Boltzmann)
    n = np.arange(1, TERMS + 1)
    each = np.exp(-n * x[..., None]) * (
        x[..., None] ** 3 / n + 3 * x[..., None] ** 2 / n**2 + 6 * x[..., None] / n**3 + 6 / n**4
    )
    below = 15.0 / np.pi**4 * each.sum(axis=-1)
    return np.asarray(np.clip(1.0 - below, 0.0, 1.0))


def shedding_temperature(
    power: ArrayLike, area: ArrayLike, air: ArrayLike, film: Film, emissivity: ArrayLike
) -> Floats:
    r"""Mean temperature of an outside that must get rid of some power by air and long-wave radiation.

    Parameters
    ----------
    power : (n,) float
        What it sheds. [W]
    area : (n,) float
        Of the outside. [m2]
    air : (n,) float
        Temperature of the air, and of what the outside sees. [K]
    film : three of (n,) float
        a, b and n of the film's law, for differences in kelvin and a coefficient in W m-2 K-1. [-]
    emissivity : (n,) float
        In the far infrared. [-]

    Returns
    -------
    outside : (n,) float
        When gains equal losses. [K]

    Raises
    ------
    DomainError
        If the area or a temperature is not above zero, power or a number of the film is below zero, or the
        emissivity is outside 0 to 1.

    Notes
    -----
    .. math:: \frac{P}{A} = h(T - T_a)\,(T - T_a) + \varepsilon \sigma (T^4 - T_a^4)

    the balance of a lamp's glass, reflector or case [1]_. Power that leaves as light or goes through the glass is
    not in :math:`P`. *Valid* as a mean over the outside: glass before or above a filament is hotter than the mean,
    a holder may be cooler. What is led away by holder and cable is left out, which is the careful side.

    Examples
    --------
    A textbook bulb of 60 W, 8 cm wide, nine tenths of it kept by the glass, in a room of 25 degrees Celsius:

    >>> from sunfleck.physics.convection import film_law
    >>> law = film_law("cylinder", 0.08, 370.0)
    >>> t = shedding_temperature(54.0, 3.1416 * 0.08**2, 298.15, (law.a, law.b, law.n), 0.9)
    >>> float((t - 273.15).round(0))
    171.0

    References
    ----------
    .. [1] Y. A. Çengel, *Heat and Mass Transfer*, chapter 9, a problem whose printed answer is 169.4 degrees
       Celsius, with the law of a sphere (from memory).
    """
    flux = at_least_zero("power", power, "W") / above_zero("area", area, "m2")
    return steady_surface_with_film(flux, 1.0, air, air, film, emissivity, 0.0, air)


def wire_temperature(
    irradiance: ArrayLike,
    absorptance: ArrayLike,
    air: ArrayLike,
    wire: float,
    solid_share: float,
    films: tuple[Film, Film],
    emissivity: float,
    patch: float,
) -> Floats:
    r"""Temperature of the wires of a mesh, or of the bars of a guard, in the light of a lamp.

    Parameters
    ----------
    irradiance : (n,) float
        Square to the sheet. [W m-2]
    absorptance : (n,) float
        Share of that which a wire takes up. [-]
    air : (n,) float
        Temperature of the air before it. [K]
    wire : float
        Diameter. [m]
    solid_share : float
        Of the sheet that is wire, seen square. [-]
    films : two of three of (n,) float
        a, b and n of the law of one wire, and of that of a closed plate of the patch's size, for differences in
        kelvin and a coefficient in W m-2 K-1. [-]
    emissivity : float
        Of the wire in the far infrared. [-]
    patch : float
        Width of the lit patch, as high as its warm air is taken to stand. [m]

    Returns
    -------
    wire : (n,) float
        When gains equal losses. [K]

    Raises
    ------
    DomainError
        If the wire or the patch is not above zero, a share is outside 0 to 1, or an argument of the balance is
        out of its range.

    Notes
    -----
    A wire of diameter :math:`d` catches :math:`\alpha E d` a metre and sheds it all round it:

    .. math:: \frac{\alpha E}{\pi} = h\,(T - T_a - \Delta) + \varepsilon \sigma (T^4 - T_a^4), \qquad
              \Delta = \sqrt{\frac{11\,\nu\,T_a\,q}{\rho c\,g\,H d}}, \qquad q = \alpha s E

    where :math:`\Delta` is how much the sheet warms the air that it draws through itself: a column of warm air
    as high as the patch, :math:`H`, drives it, and the mesh resists by 22 over Reynolds' number (own, of the
    project's law of meshes). Were nothing drawn through, the sheet would be a closed plate that takes up
    :math:`q` and sheds it on two sides. Either leaves one way of cooling out, so that the cooler of both still is
    a high estimate [1]_.

    *Limits, each held by a test:* :math:`T - T_a \to \alpha E / (\pi h)` for one wire with a steady film that
    radiates nothing; no light, no warmth. *Valid* for sheets that lie, less so for upright ones, and without heat
    along the wire, which takes the peak off a small patch.

    Examples
    --------
    A bar of 1.6 mm in 1000 W per square metre, in air of 25 degrees Celsius:

    >>> from sunfleck.physics.convection import film_law
    >>> laws = film_law("cylinder", 0.0016), film_law("stable", 0.08)
    >>> films = tuple((law.a, law.b, law.n) for law in laws)
    >>> t = wire_temperature(1000.0, 0.8, 298.15, 0.0016, 0.16, films, 0.28, 0.08)
    >>> float((t - 298.15).round(1))
    15.3

    References
    ----------
    .. [1] F. P. Incropera et al., *Fundamentals of Heat and Mass Transfer*, chapters 1 and 9, for the balance of
       a cylinder (from memory); the air drawn through is our own.
    """
    thin, high = float(above_zero("wire", wire, "m")), float(above_zero("patch", patch, "m"))
    solid = float(within("solid share", solid_share, 0.0, 1.0))
    light, warm = at_least_zero("irradiance", irradiance, "W/m2"), above_zero("air", air, "K")
    taken = within("absorptance", absorptance, 0.0, 1.0)
    of_air = air_at(300.0)
    stored = float(of_air.density * of_air.heat_capacity)
    creeps = CREEP / 2.0 * float(of_air.kinematic_viscosity) * warm
    drawn = np.sqrt(creeps * taken * solid * light / (stored * GRAVITY * high * thin))
    alone, plate = films
    one = steady_surface_with_film(light / np.pi, taken, warm + drawn, warm, alone, emissivity, 0.0, warm)
    closed = steady_surface_with_film(
        light * solid / 2.0, taken, warm, warm, plate, emissivity * solid, 0.0, warm
    )
    return np.asarray(np.minimum(one, closed))


def plume_excess(power: ArrayLike, height: ArrayLike, air: ArrayLike, length: float = 0.0) -> Floats:
    r"""How much warmer than the air around it a plume is on its middle line.

    Parameters
    ----------
    power : (n,) float
        What the air at the source takes up. [W]
    height : (n,) float
        Above the point or line from which the plume seems to rise. [m]
    air : (n,) float
        Temperature around it. [K]
    length : float, default 0.0
        Of a source that is a level line; 0 for a point. [m]

    Returns
    -------
    excess : (n,) float
        Of temperature. [K]

    Raises
    ------
    DomainError
        If power or length is below zero, or height or temperature is not above it.

    Notes
    -----
    With the flux of buoyancy :math:`B = g P / (\rho c T)`, by length for a line [1]_:

    .. math:: \Delta T = \frac{T}{g}\,11\,B^{2/3} z^{-5/3} \quad\text{or}\quad
              \Delta T = \frac{T}{g}\,2.6\,B'^{2/3} z^{-1}

    *Held by a test:* with the speeds of the same source the heat that passes a level is 0.97 of what went in.
    *Valid* for turbulent plumes in even air, some widths of the source above it; near a large body it is far too
    high without a virtual origin below it. Wind and neighbours bend it.

    Examples
    --------
    15 W from a bulb, 25 cm above where the plume seems to begin:

    >>> float(plume_excess(15.0, 0.25, 303.15).round(1))
    18.9

    References
    ----------
    .. [1] H. Rouse, C. S. Yih, H. W. Humphreys, "Gravitational convection from a boundary source," *Tellus* 4,
       201-210, 1952 (numbers from memory).
    """
    heat, z = at_least_zero("power", power, "W"), above_zero("height", height, "m")
    warm, long = above_zero("air", air, "K"), float(at_least_zero("length", length, "m"))
    of_air = air_at(300.0)
    flux = GRAVITY * heat / (float(of_air.density * of_air.heat_capacity) * warm)
    if long > 0.0:
        # Seen from far above the line is a point: of the two laws the cooler holds.
        line = LINE * (flux / long) ** (2 / 3) / z
        return np.asarray(warm / GRAVITY * np.minimum(line, ROUND * flux ** (2 / 3) * z ** (-5 / 3)))
    return np.asarray(warm / GRAVITY * ROUND * flux ** (2 / 3) * z ** (-5 / 3))


def lain_on_temperature(
    flux: ArrayLike, air: ArrayLike, behind: ArrayLike, cover: ArrayLike, over: ArrayLike
) -> Floats:
    r"""Temperature under an animal that lies on a heat mat, or on ground that covers one.

    Parameters
    ----------
    flux : (n,) float
        Electric power over the area of the mat. [W m-2]
    air : (n,) float
        Temperature on both sides, far off. [K]
    behind : (n,) float
        What heat meets behind the mat, up to the air there. [m2 K W-1]
    cover : (n,) float
        What it meets from the mat to the animal. [m2 K W-1]
    over : (n,) float
        What it meets from there through the animal to the air. [m2 K W-1]

    Returns
    -------
    surface : (n,) float
        Between animal and cover. [K]

    Raises
    ------
    DomainError
        If the flux or a resistance is below zero, all resistances are zero, or the temperature is not above zero.

    Notes
    -----
    Two ways in parallel, of which each takes what the other resists more [1]_:

    .. math:: T = T_a + q\,\frac{R_b R_o}{R_b + R_c + R_o}

    On an animal that lets nothing through it is :math:`T_a + q R_b`, on a mat that loses nothing downwards
    :math:`T_a + q R_o`; both are held by a test. *Valid* at rest, straight through: nothing flows sideways to where
    the animal does not lie, blood carries nothing off. Both make it a high estimate.

    Examples
    --------
    28 W on a mat 43 cm wide on a floor of 0.3, under an animal of 0.2 square metre kelvin per watt:

    >>> float(lain_on_temperature(28 / 0.148, 301.15, 0.3, 0.0, 0.2).round(1) - 273.15)
    50.7

    References
    ----------
    .. [1] F. P. Incropera et al., *Fundamentals of Heat and Mass Transfer*, chapter 3, resistances (from memory).
    """
    q, t = at_least_zero("flux", flux, "W/m2"), above_zero("air", air, "K")
    down, between, up = (
        at_least_zero(name, value, "m2 K/W")
        for name, value in (("behind", behind), ("cover", cover), ("over", over))
    )
    if not (down + between + up > 0.0).all():
        msg = "behind, cover and over must not all be zero"
        raise DomainError(msg)
    return np.asarray(t + q * down * up / (down + between + up))
