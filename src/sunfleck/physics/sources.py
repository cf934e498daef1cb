"""Irradiance from idealised sources in closed form: what the engine is held against, and quick estimates.

A *factor* here is the irradiance on a small element divided by the exitance of a Lambertian source (the
configuration factor of radiant exchange): between 0 and 1, without a unit.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Array = NDArray[np.float64]


def point_irradiance(intensity: ArrayLike, distance: ArrayLike, incidence: ArrayLike = 0.0) -> Array:
    r"""Irradiance from a source that is small against its distance.

    Parameters
    ----------
    intensity : (n,) float
        Radiant intensity towards the receiver. [W sr-1]
    distance : (n,) float
        From source to receiver. [m]
    incidence : (n,) float, default 0.0
        Angle between the ray and the receiver's normal. [rad]

    Returns
    -------
    irradiance : (n,) float
        Power per area; 0 from behind the receiver. [W m-2]

    Raises
    ------
    DomainError
        If a distance is not above zero or an intensity is negative.

    Notes
    -----
    .. math:: E = \frac{I \cos\beta}{r^2}

    *Valid when* the source is seen under less than about 11 degrees: at five times its size the error is
    1 % for a disc and 0.7 % for a line (computed here).

    Examples
    --------
    >>> float(point_irradiance(1000.0, 3.0).round(3))
    111.111

    References
    ----------
    .. [1] Inverse square and cosine laws (J. H. Lambert, *Photometria*, 1760).
    """
    i, r = _at_least_zero("intensity", intensity, "W sr-1"), _above_zero("distance", distance, "m")
    cosine = np.cos(np.asarray(incidence, dtype=np.float64))
    return np.asarray(i * np.maximum(cosine, 0.0) / r**2)


def disc_factor_on_axis(radius: ArrayLike, height: ArrayLike) -> Array:
    r"""Factor from a disc to a small element on its axis that faces it.

    Parameters
    ----------
    radius : (n,) float
        Of the disc. [m]
    height : (n,) float
        Distance of the element from the disc's centre. [m]

    Returns
    -------
    factor : (n,) float
        Irradiance over exitance. [-]

    Raises
    ------
    DomainError
        If a radius or height is not above zero.

    Notes
    -----
    .. math:: F = \frac{r^2}{r^2 + h^2}

    Examples
    --------
    >>> disc_factor_on_axis([1.0, 0.5], 1.0).tolist()
    [0.5, 0.2]

    References
    ----------
    .. [1] J. R. Howell, *A Catalog of Radiation Heat Transfer Configuration Factors*, section B (from
       memory); checked by quadrature.
    """
    r, h = _above_zero("radius", radius, "m"), _above_zero("height", height, "m")
    return np.asarray(r**2 / (r**2 + h**2))


def disc_factor_parallel(radius: ArrayLike, height: ArrayLike, offset: ArrayLike) -> Array:
    r"""Factor from a disc to a small element parallel to it, off its axis.

    Parameters
    ----------
    radius : (n,) float
        Of the disc. [m]
    height : (n,) float
        Distance of the element from the disc's plane. [m]
    offset : (n,) float
        Distance of the element from the disc's axis; the sign does not matter. [m]

    Returns
    -------
    factor : (n,) float
        Irradiance over exitance. [-]

    Raises
    ------
    DomainError
        If a radius or height is not above zero.

    Notes
    -----
    With :math:`S = h^2 + a^2 + r^2`

    .. math:: F = \tfrac12 \Bigl[1 - \frac{S - 2 r^2}{\sqrt{S^2 - 4 a^2 r^2}}\Bigr]

    which is the catalogue's formula multiplied through by :math:`a^2`, so that it holds on the axis too.

    Examples
    --------
    >>> disc_factor_parallel(1.0, 1.0, [0.0, 1.0]).round(9).tolist()
    [0.5, 0.276393202]

    References
    ----------
    .. [1] J. R. Howell, *A Catalog of Radiation Heat Transfer Configuration Factors*, section B (from
       memory); checked by quadrature.
    """
    r, h = _above_zero("radius", radius, "m"), _above_zero("height", height, "m")
    a = np.asarray(offset, dtype=np.float64)
    s = h**2 + a**2 + r**2
    return np.asarray(0.5 * (1 - (s - 2 * r**2) / np.sqrt(s**2 - 4 * a**2 * r**2)))


def disc_factor_perpendicular(radius: ArrayLike, height: ArrayLike, offset: ArrayLike) -> Array:
    r"""Factor from a disc to a small element at right angles to it that faces its axis.

    Parameters
    ----------
    radius : (n,) float
        Of the disc. [m]
    height : (n,) float
        Distance of the element from the disc's plane. [m]
    offset : (n,) float
        Distance of the element from the disc's axis; at least the radius, or part of the disc lies
        behind the element. [m]

    Returns
    -------
    factor : (n,) float
        Irradiance over exitance. [-]

    Raises
    ------
    DomainError
        If a radius or height is not above zero, or an offset is below the radius.

    Notes
    -----
    With :math:`S = h^2 + a^2 + r^2`

    .. math:: F = \frac{h}{2a} \Bigl[\frac{S}{\sqrt{S^2 - 4 a^2 r^2}} - 1\Bigr]

    Examples
    --------
    >>> float(disc_factor_perpendicular(0.5, 1.0, 1.0).round(9))
    0.058156306

    References
    ----------
    .. [1] J. R. Howell, *A Catalog of Radiation Heat Transfer Configuration Factors*, section B (from
       memory); checked by quadrature.
    """
    r, h = _above_zero("radius", radius, "m"), _above_zero("height", height, "m")
    a = np.asarray(offset, dtype=np.float64)
    if bool((a < r).any()):
        msg = f"offset must be at least the radius; got {float(a.min()):g} m"
        raise DomainError(msg)
    s = h**2 + a**2 + r**2
    return np.asarray(h / (2 * a) * (s / np.sqrt(s**2 - 4 * a**2 * r**2) - 1))


def rectangle_factor_parallel(width: ArrayLike, depth: ArrayLike, distance: ArrayLike) -> Array:
    r"""Factor from a rectangle to a small parallel element opposite one corner.

    For an element opposite any other place add or subtract up to four rectangles.

    Parameters
    ----------
    width, depth : (n,) float
        Sides of the rectangle. [m]
    distance : (n,) float
        From the element to the corner. [m]

    Returns
    -------
    factor : (n,) float
        Irradiance over exitance; at most a quarter. [-]

    Raises
    ------
    DomainError
        If a side or distance is not above zero.

    Notes
    -----
    With :math:`X = a/c`, :math:`Y = b/c`

    .. math:: F = \frac{1}{2\pi} \Bigl[\frac{X}{\sqrt{1+X^2}} \arctan\frac{Y}{\sqrt{1+X^2}}
              + \frac{Y}{\sqrt{1+Y^2}} \arctan\frac{X}{\sqrt{1+Y^2}}\Bigr]

    Examples
    --------
    Below the middle of a panel of 1.2 m by 0.6 m, 0.5 m away:

    >>> float((4 * rectangle_factor_parallel(0.6, 0.3, 0.5)).round(9))
    0.441284371

    References
    ----------
    .. [1] R. Siegel and J. R. Howell, *Thermal Radiation Heat Transfer*; P. Tregenza and S. Sharples,
       *Daylight Algorithms*, algorithm 3.14 (title and description seen); checked by quadrature.
    """
    a, b = _above_zero("width", width, "m"), _above_zero("depth", depth, "m")
    c = _above_zero("distance", distance, "m")
    x, y = a / c, b / c
    root_x, root_y = np.sqrt(1 + x**2), np.sqrt(1 + y**2)
    return np.asarray((x / root_x * np.arctan(y / root_x) + y / root_y * np.arctan(x / root_y)) / (2 * np.pi))


def rectangle_factor_perpendicular(height: ArrayLike, width: ArrayLike, distance: ArrayLike) -> Array:
    r"""Factor from a rectangle to a small element at right angles to it, opposite one end of its foot.

    Parameters
    ----------
    height : (n,) float
        Side along the element's normal, from the plane of the element up. [m]
    width : (n,) float
        Side along the element's plane, from the foot of the perpendicular. [m]
    distance : (n,) float
        From the element to that foot. [m]

    Returns
    -------
    factor : (n,) float
        Irradiance over exitance; at most a quarter. [-]

    Raises
    ------
    DomainError
        If a side or distance is not above zero.

    Notes
    -----
    With :math:`X = a/b`, :math:`Y = c/b`

    .. math:: F = \frac{1}{2\pi} \Bigl[\arctan\frac1Y
              - \frac{Y}{\sqrt{X^2+Y^2}} \arctan\frac{1}{\sqrt{X^2+Y^2}}\Bigr]

    Examples
    --------
    >>> float(rectangle_factor_perpendicular(1.0, 1.0, 1.0).round(9))
    0.055734197

    References
    ----------
    .. [1] J. R. Howell, *A Catalog of Radiation Heat Transfer Configuration Factors*, section B (from
       memory); checked by quadrature.
    """
    a, b = _above_zero("height", height, "m"), _above_zero("width", width, "m")
    c = _above_zero("distance", distance, "m")
    x, y = a / b, c / b
    slant = np.sqrt(x**2 + y**2)
    return np.asarray((np.arctan(1 / y) - y / slant * np.arctan(1 / slant)) / (2 * np.pi))


def line_irradiance_parallel(intensity: ArrayLike, length: ArrayLike, distance: ArrayLike) -> Array:
    r"""Irradiance from a diffuse line on an element opposite one end, in a plane parallel to the line.

    Parameters
    ----------
    intensity : (n,) float
        Radiant intensity squarely from the line, per length. [W sr-1 m-1]
    length : (n,) float
        Of the line. [m]
    distance : (n,) float
        From the element to that end of the line, at right angles to it. [m]

    Returns
    -------
    irradiance : (n,) float
        On the element facing that end. [W m-2]

    Raises
    ------
    DomainError
        If an intensity is negative, or a length or distance is not above zero.

    Notes
    -----
    With :math:`\tan\alpha = L/d`

    .. math:: E = \frac{I'}{2d} (\alpha + \sin\alpha \cos\alpha)

    *Valid when* the element is several radii of the lamp away.

    Examples
    --------
    >>> float(line_irradiance_parallel(1.0, 1.2, 0.3).round(9))
    2.601852969

    References
    ----------
    .. [1] P. Moon, *The Scientific Basis of Illuminating Engineering*, McGraw-Hill, 1936 (from memory);
       checked by quadrature.
    """
    i, length = _at_least_zero("intensity", intensity, "W sr-1 m-1"), _above_zero("length", length, "m")
    d = _above_zero("distance", distance, "m")
    angle = np.arctan(length / d)
    return np.asarray(i / (2 * d) * (angle + np.sin(angle) * np.cos(angle)))


def line_irradiance_perpendicular(intensity: ArrayLike, length: ArrayLike, distance: ArrayLike) -> Array:
    r"""Irradiance from a diffuse line on an element opposite one end that faces along the line.

    Parameters
    ----------
    intensity : (n,) float
        Radiant intensity squarely from the line, per length. [W sr-1 m-1]
    length : (n,) float
        Of the line. [m]
    distance : (n,) float
        From the element to that end of the line, at right angles to it. [m]

    Returns
    -------
    irradiance : (n,) float
        On an element whose plane is at right angles to the line. [W m-2]

    Raises
    ------
    DomainError
        If an intensity is negative, or a length or distance is not above zero.

    Notes
    -----
    With :math:`\tan\alpha = L/d`

    .. math:: E = \frac{I'}{2d} \sin^2\alpha

    *Valid when* the element is several radii of the lamp away.

    Examples
    --------
    >>> float(line_irradiance_perpendicular(1.0, 1.0, 1.0).round(9))
    0.25

    References
    ----------
    .. [1] P. Moon, *The Scientific Basis of Illuminating Engineering*, McGraw-Hill, 1936 (from memory);
       checked by quadrature.
    """
    i, length = _at_least_zero("intensity", intensity, "W sr-1 m-1"), _above_zero("length", length, "m")
    d = _above_zero("distance", distance, "m")
    return np.asarray(i / (2 * d) * length**2 / (length**2 + d**2))


def tube_irradiance(
    power: ArrayLike, length: ArrayLike, distance: ArrayLike, offset: ArrayLike = 0.0
) -> Array:
    r"""Irradiance from a bare diffuse tube on an element that faces it squarely.

    Parameters
    ----------
    power : (n,) float
        Radiant power of the whole tube. [W]
    length : (n,) float
        Glowing length. [m]
    distance : (n,) float
        From the element to the tube's axis. [m]
    offset : (n,) float, default 0.0
        Place of the element along the axis, from the tube's middle; the sign does not matter. [m]

    Returns
    -------
    irradiance : (n,) float
        On an element facing the axis at right angles. [W m-2]

    Raises
    ------
    DomainError
        If a power is negative, or a length or distance is not above zero.

    Notes
    -----
    .. math:: E = \frac{\Phi}{2 \pi^2 L d}
              \Bigl[\gamma + \sin\gamma \cos\gamma\Bigr]_{\gamma_1}^{\gamma_2}, \qquad
              \gamma_{1,2} = \arctan\frac{x \mp L/2}{d}

    *Valid when* the element is several radii of the tube away. A reflector adds its gain and cut-off, see
    :func:`sunfleck.physics.emitters.reflector_law`.

    Examples
    --------
    1000 W in a tube of 1 m, 0.3 m below its middle:

    >>> float(tube_irradiance(1000.0, 1.0, 0.3).round(3))
    496.998

    References
    ----------
    .. [1] H. A. E. Keitz, *Light Calculations and Measurements*, 2nd ed., Macmillan, 1971 (through
       O. Lawal et al., "Method for the measurement of the output of monochromatic (254 nm) low-pressure
       UV lamps", *IUVA News*, 2017).
    """
    p, length = _at_least_zero("power", power, "W"), _above_zero("length", length, "m")
    d, x = _above_zero("distance", distance, "m"), np.asarray(offset, dtype=np.float64)
    near, far = np.arctan((x - length / 2) / d), np.arctan((x + length / 2) / d)
    seen = (far + np.sin(far) * np.cos(far)) - (near + np.sin(near) * np.cos(near))
    return np.asarray(p / (2 * np.pi**2 * length * d) * seen)


def _above_zero(name: str, values: ArrayLike, unit: str) -> Array:
    array = np.asarray(values, dtype=np.float64)
    if not bool((array > 0).all()):
        msg = f"{name} must be above zero; got {float(array.min()):g} {unit}"
        raise DomainError(msg)
    return array


def _at_least_zero(name: str, values: ArrayLike, unit: str) -> Array:
    array = np.asarray(values, dtype=np.float64)
    if not bool((array >= 0).all()):
        msg = f"{name} must be zero or more; got {float(array.min()):g} {unit}"
        raise DomainError(msg)
    return array
