"""Natural convection: how much heat a surface gives to the still air before it.

Each law says the Nusselt number, the heat that goes over what the same air would conduct if it stood still,
for one shape of surface. :func:`film_law` turns a law into a coefficient that needs the difference of
temperature only.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, sqrt
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.air import ATMOSPHERE, air_at

Floats = NDArray[np.float64]
Kind = Literal["vertical", "cylinder", "unstable", "stable"]

GRAVITY = 9.80665  # m s-2, standard
# Above this Rayleigh number air over a warm plate is taken to be turbulent when a law is made of it.
TURBULENT = 1e7
# The difference of temperature at which that is decided. [K]
USUAL_DIFFERENCE = 5.0


@dataclass(frozen=True, slots=True)
class FilmLaw:
    r"""How well a surface passes heat to air: one closed form for all shapes.

    .. math:: h = \max\bigl[h_0,\; (a + b\,|\Delta T|^n)^2\bigr]

    Attributes
    ----------
    a : float
        What is left without a difference of temperature. [W1/2 m-1 K-1/2]
    b : float
        What a difference of one kelvin adds to it. [W1/2 m-1 K-(1/2+n)]
    n : float
        How that grows with the difference. [-]
    floor : float, default 0.0
        The least coefficient, of still air that conducts only. [W m-2 K-1]

    Raises
    ------
    DomainError
        If a number is below zero or not finite.
    """

    a: float
    b: float
    n: float
    floor: float = 0.0

    def __post_init__(self) -> None:
        for name in ("a", "b", "n", "floor"):
            value = getattr(self, name)
            if not (isfinite(value) and value >= 0.0):
                msg = f"{name} of a film law must be zero or more; got {value:g}"
                raise DomainError(msg)

    def coefficient(self, difference: ArrayLike) -> Floats:
        """Heat per area and kelvin, at a difference of temperature in kelvin whose sign does not matter."""
        apart = np.abs(np.asarray(difference, dtype=np.float64))
        return np.asarray(np.maximum(self.floor, (self.a + self.b * apart**self.n) ** 2))


def film_law(kind: Kind, size: float, temperature: float = 300.0, pressure: float = ATMOSPHERE) -> FilmLaw:
    r"""Law of a surface in air whose properties stay those of one temperature.

    Parameters
    ----------
    kind : {"vertical", "cylinder", "unstable", "stable"}
        A wall; a round body that lies; a flat one with its warm side up or its cold side down; one with its
        warm side down or its cold side up. [-]
    size : float
        Height of a wall, diameter of a round body, area over edge length of a flat one. [m]
    temperature : float, default 300.0
        Of the film: the mean of surface and air, about. [K]
    pressure : float, default 101325.0
        Of the air. [Pa]

    Returns
    -------
    law : FilmLaw
        What :meth:`FilmLaw.coefficient` needs. [-]

    Raises
    ------
    DomainError
        If the kind is none of these, the size or pressure is not above zero, or the temperature is outside
        250 to 400 K.

    Notes
    -----
    With :math:`\mathrm{Ra} = r\,\Delta T` and :math:`h = \mathrm{Nu}\,k / L`, the square root of each Nusselt
    number [1]_ [2]_ has the form :math:`\alpha + \beta\,\Delta T^n`:

    ========  ==========================================  ====
    kind      square root of Nu                           n
    ========  ==========================================  ====
    vertical  all-Ra law of :func:`vertical_nusselt`      1/6
    cylinder  :func:`cylinder_nusselt`                    1/6
    unstable  :math:`(0.15\,\mathrm{Ra}^{1/3})^{1/2}`     1/6
    ..        :math:`(0.54\,\mathrm{Ra}^{1/4})^{1/2}`     1/8
    stable    :math:`(0.27\,\mathrm{Ra}^{1/4})^{1/2}`     1/8
    ========  ==========================================  ====

    Of the two for "unstable" the first is taken where the Rayleigh number at 5 K is above 1e7. The least
    coefficient is pure conduction: :math:`k / L` for the flat ones, for the others what their own law says at
    no difference, :math:`0.68\,k / L` and :math:`0.36\,k / L`.

    *Valid* where the laws are. Against the same correlation with the properties of the true film, at 0.5 to
    40 K and films of 280 to 320 K, a law made at 300 K is off by up to 4.5 % (walls and cylinders of 5 mm to
    2 m) and 2.2 % ("stable", 2 cm up), too high in warm air, too low in cold. "Unstable" ones are within 5 %
    from 1 to 11 cm and from 45 cm up. Between, the flow turns turbulent within the range of differences and one
    power cannot follow: up to 24 % too low, at 26 cm and 40 K; at 5 K it is up to 11 %.

    Examples
    --------
    A wall of 60 cm at 5 K, and the same lying, warm side up:

    >>> round(float(film_law("vertical", 0.6, 298.15).coefficient(5.0)), 2)
    2.7
    >>> film_law("unstable", 0.15).coefficient([0.0, 5.0]).round(2).tolist()
    [0.18, 3.36]

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, *International Journal of Heat and Mass Transfer* 18, 1323-1329 and
       1049-1053, 1975 (from memory).
    .. [2] W. H. McAdams, *Heat Transmission*, 3rd ed., McGraw-Hill, 1954 (from memory).
    """
    if kind not in get_args(Kind):
        msg = f"kind of surface must be one of {', '.join(get_args(Kind))}; got {kind!r}"
        raise DomainError(msg)
    length = float(_above_zero("size", size, "m"))
    air = air_at(temperature, pressure)
    per_kelvin = float(rayleigh(1.0, length, temperature, air.kinematic_viscosity, air.diffusivity))
    conduction = float(air.conductivity) / length
    unit, prandtl = sqrt(conduction), float(air.prandtl)
    if kind in ("vertical", "cylinder"):
        alpha, shape = (0.825, 0.492) if kind == "vertical" else (0.60, 0.559)
        a = alpha * unit
        return FilmLaw(a, float(_slope(prandtl, shape)) * unit * per_kelvin ** (1 / 6), 1 / 6, a * a)
    if kind == "unstable" and per_kelvin * USUAL_DIFFERENCE > TURBULENT:
        return FilmLaw(0.0, unit * sqrt(0.15 * per_kelvin ** (1 / 3)), 1 / 6, conduction)
    factor = 0.54 if kind == "unstable" else 0.27
    return FilmLaw(0.0, unit * sqrt(factor * per_kelvin**0.25), 1 / 8, conduction)


def rayleigh(
    difference: ArrayLike,
    size: ArrayLike,
    temperature: ArrayLike,
    kinematic_viscosity: ArrayLike,
    diffusivity: ArrayLike,
) -> Floats:
    r"""How strongly warm air rises against what holds it back.

    Parameters
    ----------
    difference : (n,) float
        Of temperature between surface and air; the sign does not matter. [K]
    size : (n,) float
        The length that the law at hand asks for. [m]
    temperature : (n,) float
        Of the film; an ideal gas expands by one over it per kelvin. [K]
    kinematic_viscosity : (n,) float
        Of the air in the film. [m2 s-1]
    diffusivity : (n,) float
        Of heat in that air. [m2 s-1]

    Returns
    -------
    rayleigh : (n,) float
        The Rayleigh number. [-]

    Raises
    ------
    DomainError
        If the difference is not finite or another argument is not above zero.

    Notes
    -----
    .. math:: \mathrm{Ra} = \frac{g\,|\Delta T|\,L^3}{T\,\nu\,\alpha}

    with :math:`g` = 9.80665 m s-2 [1]_. *Valid* for an ideal gas whose density changes little over the film.

    Examples
    --------
    >>> from sunfleck.physics.air import air_at
    >>> air = air_at(298.15)
    >>> round(float(rayleigh(5.0, 0.6, 298.15, air.kinematic_viscosity, air.diffusivity)) / 1e8, 3)
    1.035

    References
    ----------
    .. [1] A definition.
    """
    apart = np.abs(np.asarray(difference, dtype=np.float64))
    if not bool(np.isfinite(apart).all()):
        msg = f"difference of temperature must be finite; got {apart[~np.isfinite(apart)].flat[0]:g} K"
        raise DomainError(msg)
    length = _above_zero("size", size, "m")
    t = _above_zero("temperature", temperature, "K")
    nu = _above_zero("kinematic viscosity", kinematic_viscosity, "m2 s-1")
    alpha = _above_zero("diffusivity", diffusivity, "m2 s-1")
    return np.asarray(GRAVITY * apart * length**3 / (t * nu * alpha))


def vertical_nusselt(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    r"""Mean Nusselt number of a vertical wall, laminar or turbulent.

    Parameters
    ----------
    rayleigh : (n,) float
        By the height of the wall. [-]
    prandtl : (n,) float
        Of the air in the film. [-]

    Returns
    -------
    nusselt : (n,) float
        By the height of the wall. [-]

    Raises
    ------
    DomainError
        If a Rayleigh number is below zero or a Prandtl number not above it.

    Notes
    -----
    .. math:: \mathrm{Nu}^{1/2} = 0.825 + \frac{0.387\,\mathrm{Ra}^{1/6}}
              {\bigl[1 + (0.492 / \mathrm{Pr})^{9/16}\bigr]^{8/27}}

    the equation of Churchill and Chu for all of both ranges [1]_. *Valid* up to 1e12 for a wall of one
    temperature that stands free. While the flow is laminar :func:`vertical_laminar_nusselt` is closer: it is
    5 % lower at 1e7 and 15 % at 1e8.

    Examples
    --------
    >>> round(float(vertical_nusselt(2.618e11, 0.7)), 1)
    715.3

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, "Correlating equations for laminar and turbulent free convection from
       a vertical plate," *International Journal of Heat and Mass Transfer* 18, 1323-1329, 1975 (from memory;
       the formula agrees with ht 1.2.0).
    """
    ra, pr = _at_least_zero("Rayleigh number", rayleigh), _above_zero("Prandtl number", prandtl)
    return np.asarray((0.825 + _slope(pr, 0.492) * ra ** (1 / 6)) ** 2)


def vertical_laminar_nusselt(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    r"""Mean Nusselt number of a vertical wall while the flow along it is laminar.

    Parameters
    ----------
    rayleigh : (n,) float
        By the height of the wall. [-]
    prandtl : (n,) float
        Of the air in the film. [-]

    Returns
    -------
    nusselt : (n,) float
        By the height of the wall. [-]

    Raises
    ------
    DomainError
        If a Rayleigh number is below zero or a Prandtl number not above it.

    Notes
    -----
    .. math:: \mathrm{Nu} = 0.68 + \frac{0.670\,\mathrm{Ra}^{1/4}}
              {\bigl[1 + (0.492 / \mathrm{Pr})^{9/16}\bigr]^{4/9}}

    of Churchill and Chu [1]_. *Valid* up to 1e9.

    Examples
    --------
    >>> round(float(vertical_laminar_nusselt(1.036e8, 0.7073)), 2)
    52.54

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, "Correlating equations for laminar and turbulent free convection from
       a vertical plate," *International Journal of Heat and Mass Transfer* 18, 1323-1329, 1975 (from memory;
       the formula agrees with ht 1.2.0).
    """
    ra, pr = _at_least_zero("Rayleigh number", rayleigh), _above_zero("Prandtl number", prandtl)
    return np.asarray(0.68 + 0.670 * ra**0.25 / (1 + (0.492 / pr) ** (9 / 16)) ** (4 / 9))


def cylinder_nusselt(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    r"""Mean Nusselt number of a long cylinder that lies.

    Parameters
    ----------
    rayleigh : (n,) float
        By the diameter. [-]
    prandtl : (n,) float
        Of the air in the film. [-]

    Returns
    -------
    nusselt : (n,) float
        By the diameter. [-]

    Raises
    ------
    DomainError
        If a Rayleigh number is below zero or a Prandtl number not above it.

    Notes
    -----
    .. math:: \mathrm{Nu}^{1/2} = 0.60 + \frac{0.387\,\mathrm{Ra}^{1/6}}
              {\bigl[1 + (0.559 / \mathrm{Pr})^{9/16}\bigr]^{8/27}}

    of Churchill and Chu [1]_. *Valid* from 1e-5 to 1e12; ends are not counted.

    Examples
    --------
    >>> round(float(cylinder_nusselt(5.07e6, 0.697)), 1)
    23.1

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, "Correlating equations for laminar and turbulent free convection from
       a horizontal cylinder," *International Journal of Heat and Mass Transfer* 18, 1049-1053, 1975 (from
       memory; the formula agrees with ht 1.2.0).
    """
    ra, pr = _at_least_zero("Rayleigh number", rayleigh), _above_zero("Prandtl number", prandtl)
    return np.asarray((0.60 + _slope(pr, 0.559) * ra ** (1 / 6)) ** 2)


def unstable_nusselt(rayleigh: ArrayLike) -> Floats:
    r"""Mean Nusselt number of a flat plate with its warm side up, or its cold side down.

    Parameters
    ----------
    rayleigh : (n,) float
        By the area over the length of the edge. [-]

    Returns
    -------
    nusselt : (n,) float
        By the same length. [-]

    Raises
    ------
    DomainError
        If a Rayleigh number is below zero.

    Notes
    -----
    .. math:: \mathrm{Nu} = \max\bigl[1,\; 0.54\,\mathrm{Ra}^{1/4},\; 0.15\,\mathrm{Ra}^{1/3}\bigr]

    McAdams' laws [1]_ with the length of Goldstein et al. and Lloyd and Moran [2]_: the first from 1e4 to 1e7,
    the second from 1e7 to 1e11. Where they are printed to change they are 6 % apart; the larger one changes
    without a jump where they meet, at 4.74e6, and is up to 6.4 % above the print from there to 1e7. Below 1e4
    nothing is printed: the first is followed down to pure conduction, Nu = 1 at a Rayleigh number of 12.

    Examples
    --------
    >>> unstable_nusselt([0.0, 1e5, 1e8]).round(2).tolist()
    [1.0, 9.6, 69.62]

    References
    ----------
    .. [1] W. H. McAdams, *Heat Transmission*, 3rd ed., McGraw-Hill, 1954 (from memory; the formulas agree with
       ht 1.2.0).
    .. [2] J. R. Lloyd and W. R. Moran, "Natural convection adjacent to horizontal surface of various planforms,"
       *Journal of Heat Transfer* 96, 443-447, 1974 (from memory).
    """
    ra = _at_least_zero("Rayleigh number", rayleigh)
    return np.asarray(np.maximum(1.0, np.maximum(0.54 * ra**0.25, 0.15 * ra ** (1 / 3))))


def stable_nusselt(rayleigh: ArrayLike, fifth_root: bool = False) -> Floats:
    r"""Mean Nusselt number of a flat plate with its warm side down, or its cold side up.

    Parameters
    ----------
    rayleigh : (n,) float
        By the area over the length of the edge. [-]
    fifth_root : bool, default False
        Whether to take the newer of the two laws. [-]

    Returns
    -------
    nusselt : (n,) float
        By the same length. [-]

    Raises
    ------
    DomainError
        If a Rayleigh number is below zero.

    Notes
    -----
    .. math:: \mathrm{Nu} = \max\bigl[1,\; 0.27\,\mathrm{Ra}^{1/4}\bigr] \quad\text{or}\quad
              \max\bigl[1,\; 0.52\,\mathrm{Ra}^{1/5}\bigr]

    The first is McAdams' [1]_, printed for 1e5 to 1e10; newer books print the second for 1e4 to 1e9 [2]_, which
    is 22 % higher at 1e4, the same at 5e5 and 23 % lower at 1e8. Both are followed here down to pure conduction.
    *Valid when* air can flow off at the edges.

    Examples
    --------
    >>> stable_nusselt([0.0, 1e6]).round(2).tolist(), stable_nusselt([0.0, 1e6], fifth_root=True).round(2).tolist()
    ([1.0, 8.54], [1.0, 8.24])

    References
    ----------
    .. [1] W. H. McAdams, *Heat Transmission*, 3rd ed., McGraw-Hill, 1954 (from memory; the formula agrees with
       ht 1.2.0).
    .. [2] E. Radziemska and W. M. Lewandowski, "Heat transfer by natural convection from an isothermal
       downward-facing round plate in unlimited space," *Applied Energy* 68, 347-366, 2001 (from memory).
    """
    ra = _at_least_zero("Rayleigh number", rayleigh)
    return np.asarray(np.maximum(1.0, 0.52 * ra**0.2 if fifth_root else 0.27 * ra**0.25))


def sphere_nusselt(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    r"""Mean Nusselt number of a sphere.

    Parameters
    ----------
    rayleigh : (n,) float
        By the diameter. [-]
    prandtl : (n,) float
        Of the air in the film. [-]

    Returns
    -------
    nusselt : (n,) float
        By the diameter; 2 is a sphere in air that stands still. [-]

    Raises
    ------
    DomainError
        If a Rayleigh number is below zero or a Prandtl number not above it.

    Notes
    -----
    .. math:: \mathrm{Nu} = 2 + 0.60\,\mathrm{Gr}^{1/4}\,\mathrm{Pr}^{1/3}, \qquad
              \mathrm{Gr} = \mathrm{Ra} / \mathrm{Pr}

    as biophysical ecology uses it [1]_. *Valid* for air and :math:`\mathrm{Gr}^{1/4} \mathrm{Pr}^{1/3}` below
    200.

    Examples
    --------
    >>> sphere_nusselt([0.0, 1e6], 0.707).round(2).tolist()
    [2.0, 20.43]

    References
    ----------
    .. [1] M. Kearney and W. Porter, NicheMapR, file CONV_ecto.R at d7314b1; there after Bird, Stewart and
       Lightfoot, *Transport Phenomena*, 1960, after W. E. Ranz and W. R. Marshall, 1952 (both from memory).
    """
    ra, pr = _at_least_zero("Rayleigh number", rayleigh), _above_zero("Prandtl number", prandtl)
    return np.asarray(2.0 + 0.60 * (ra / pr) ** 0.25 * pr ** (1 / 3))


def _slope(prandtl: ArrayLike, shape: float) -> Floats:
    """How the square root of Churchill and Chu's Nusselt number grows with the sixth root of Rayleigh's."""
    return np.asarray(0.387 / (1 + (shape / np.asarray(prandtl, dtype=np.float64)) ** (9 / 16)) ** (8 / 27))


def _above_zero(name: str, values: ArrayLike, unit: str = "") -> Floats:
    array = np.asarray(values, dtype=np.float64)
    wrong = ~((array > 0.0) & (array < np.inf))
    if wrong.any():
        msg = f"{name} must be above zero; got {array[wrong].flat[0]:g} {unit}".rstrip()
        raise DomainError(msg)
    return array


def _at_least_zero(name: str, values: ArrayLike) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    wrong = ~((array >= 0.0) & (array < np.inf))
    if wrong.any():
        msg = f"{name} must be zero or more; got {array[wrong].flat[0]:g}"
        raise DomainError(msg)
    return array
