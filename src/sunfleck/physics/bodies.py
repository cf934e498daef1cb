"""Bodies of reptiles and amphibians as heat sees them: how large they are and how much of them the light meets."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.ranges import above_zero, at_least_zero, within

Floats = NDArray[np.float64]

# Specific heat of a whole animal: 3073 is the default of NicheMapR, 3762 that of Fei et al. 2012 (Journal of
# Thermal Biology, as TrenchR carries it). [J kg-1 K-1]
SPECIFIC_HEATS = (3073.0, 3762.0)
# The middle of them. A body of 72 % water (4180) and 28 % dry matter (about 1500, from memory) comes to the
# same 3430; over the range a time constant is 10 % shorter or longer. [J kg-1 K-1]
SPECIFIC_HEAT = 3420.0
# Emissivity of skin in the far infrared; 0.965 is Bartlett and Gates 1967, as TrenchR and NicheMapR carry
# them. [-]
SKIN_EMISSIVITIES = (0.95, 0.965)
# Share of sunlight that skin takes up, the default of NicheMapR; pale and dark animals differ. [-]
SOLAR_ABSORPTIVITY = 0.85
# Density of a body, TrenchR and NicheMapR. [kg m-3]
BODY_DENSITY = 1000.0

SHAPES = ("lizard", "snake", "frog", "tortoise")
# Length over diameter of a snake drawn out, and height over radius of a shell. Chosen here, no source: snakes
# kept in homes have 25 to 60.
RATIOS: Mapping[str, float] = MappingProxyType({"snake": 40.0, "tortoise": 0.9})


def body_area(mass: ArrayLike, shape: str, ratio: float | None = None) -> Floats:
    r"""Area of the whole skin of an animal.

    Parameters
    ----------
    mass : (n,) float
        Of the animal. [kg]
    shape : str
        "lizard", "snake", "frog" or "tortoise". [-]
    ratio : float, optional
        Of a snake its length over its diameter (40), of a tortoise the height of its shell over its radius
        (0.9). [-]

    Returns
    -------
    area : (n,) float
        All of it, belly and limbs too. [m2]

    Raises
    ------
    DomainError
        If the mass is not above zero, the shape is unknown, or the ratio is not above zero or not one of this
        shape.

    Notes
    -----
    Measured, with :math:`W` in grams: lizards :math:`10.4713\,W^{0.688}` cm2 (desert iguana, Porter et al.
    [1]_), frogs :math:`12.79\,W^{0.606}` cm2 (leopard frog, Tracy [2]_), both as NicheMapR carries them.

    No measured figure was at hand for the others, so they are solids of 1000 kg m-3: a snake is a straight
    cylinder with flat ends of slenderness :math:`s`, a tortoise half a spheroid with its flat base, of radius
    :math:`a` and height :math:`c` (an oblate one, eccentricity :math:`e`, or a prolate one)

    .. math::

        A_{snake} = \pi D^2 (s + \tfrac12), \qquad
        A_{tortoise} = \pi a^2 \Bigl(2 + \frac{1 - e^2}{e} \operatorname{artanh} e\Bigr), \quad c < a

    *Valid* for the measured animals and near them, a few grams to a kilogram; a species of another build is
    off by some tens of percent. A coiled snake shows less than half of its skin.

    Examples
    --------
    A hatchling of 3 g and a lizard of 350 g, in square centimetres:

    >>> (1e4 * body_area([0.003, 0.35], "lizard")).round(1).tolist()
    [22.3, 589.2]

    References
    ----------
    .. [1] W. P. Porter, J. W. Mitchell, W. A. Beckman, C. B. DeWitt, *Oecologia* 13, 1-54, 1973; constants
       from the source of NicheMapR.
    .. [2] C. R. Tracy, *Ecological Monographs* 46, 1976; constants from the source of NicheMapR.
    """
    kilograms, form = above_zero("mass", mass, "kg"), _ratio(shape, ratio)
    if shape == "lizard":
        return np.asarray(10.4713e-4 * (1e3 * kilograms) ** 0.688)
    if shape == "frog":
        return np.asarray(12.79e-4 * (1e3 * kilograms) ** 0.606)
    if shape == "snake":
        return np.asarray(pi * _diameter(kilograms, form) ** 2 * (form + 0.5))
    return np.asarray(pi * _shell_radius(kilograms, form) ** 2 * (1.0 + _dome(form)))


def silhouette(mass: ArrayLike, shape: str, facing: str = "side", ratio: float | None = None) -> Floats:
    r"""Area of the shadow that an animal casts on a plane square to the light.

    Parameters
    ----------
    mass : (n,) float
        Of the animal. [kg]
    shape : str
        "lizard", "snake", "frog" or "tortoise". [-]
    facing : str, default "side"
        "side" when light falls square on its largest face, as on a basking back; "end" when the body points to
        the light. [-]
    ratio : float, optional
        As in `body_area`. [-]

    Returns
    -------
    silhouette : (n,) float
        What takes up direct light. [m2]

    Raises
    ------
    DomainError
        If the mass is not above zero, shape or facing is unknown, or the ratio does not suit the shape.

    Notes
    -----
    Measured, :math:`W` in grams: lizards :math:`3.798\,W^{0.683}` and :math:`0.694\,W^{0.743}` cm2 [1]_; of
    frogs 45.8 % and 19.0 % of their area, the ends of Tracy's polynomial [2]_ (light from above, and level).
    A straight snake shows :math:`s D^2` or its end, :math:`\pi D^2 / 4`; a shell :math:`\pi a^2` from above
    and half an ellipse, :math:`\pi a c / 2`, level. *Valid* as in `body_area`; a flattened basking lizard shows
    more.

    Examples
    --------
    Share of its skin that a 10 g lizard turns to the light, broadside and head on:

    >>> area = body_area(0.01, "lizard")
    >>> [round(float(silhouette(0.01, "lizard", f) / area), 3) for f in ("side", "end")]
    [0.359, 0.075]

    References
    ----------
    .. [1] W. P. Porter et al., *Oecologia* 13, 1973; constants from the source of NicheMapR.
    .. [2] C. R. Tracy, *Ecological Monographs* 46, 1976; constants from the source of NicheMapR.
    """
    kilograms, form = above_zero("mass", mass, "kg"), _ratio(shape, ratio)
    if facing not in ("side", "end"):
        msg = f"facing must be side or end; got {facing}"
        raise DomainError(msg)
    side = facing == "side"
    if shape == "lizard":
        grams = 1e3 * kilograms
        return np.asarray(3.798e-4 * grams**0.683 if side else 0.694e-4 * grams**0.743)
    if shape == "frog":
        return (0.458228 if side else 0.189601) * body_area(kilograms, "frog")
    if shape == "snake":
        return np.asarray((form if side else pi / 4.0) * _diameter(kilograms, form) ** 2)
    return np.asarray((pi if side else pi * form / 2.0) * _shell_radius(kilograms, form) ** 2)


def body_diameter(mass: ArrayLike, shape: str, ratio: float | None = None) -> Floats:
    r"""Length that correlations for the film of air round an animal are written for.

    Parameters
    ----------
    mass : (n,) float
        Of the animal. [kg]
    shape : str
        "lizard", "snake", "frog" or "tortoise". [-]
    ratio : float, optional
        As in `body_area`. [-]

    Returns
    -------
    diameter : (n,) float
        To be used in `body_films.body_film`. [m]

    Raises
    ------
    DomainError
        If the mass is not above zero, the shape is unknown, or the ratio does not suit the shape.

    Notes
    -----
    .. math:: D = (m / \rho)^{1/3}

    as NicheMapR takes it [1]_, with 1000 kg m-3; of a snake the diameter of its cylinder,
    :math:`(4 m / \pi \rho s)^{1/3}`. *Valid* where such correlations are: to some 30 %.

    Examples
    --------
    >>> (1e3 * body_diameter([0.003, 0.04], "lizard")).round(1).tolist()
    [14.4, 34.2]

    References
    ----------
    .. [1] M. R. Kearney and W. P. Porter, NicheMapR, the default of its function for convection: 34.2 mm at
       40 g.
    """
    kilograms, form = above_zero("mass", mass, "kg"), _ratio(shape, ratio)
    return _diameter(kilograms, form) if shape == "snake" else np.asarray(np.cbrt(kilograms / BODY_DENSITY))


def absorbed_on_body(
    irradiance: ArrayLike, absorptivity: ArrayLike, silhouette: ArrayLike, area: ArrayLike
) -> Floats:
    r"""Power of a beam taken up by a body, spread over all of its skin.

    Parameters
    ----------
    irradiance : (n,) float
        On a plane square to the beam. [W m-2]
    absorptivity : (n,) float
        Share of that light that skin takes up. [-]
    silhouette : (n,) float
        Area of the body's shadow. [m2]
    area : (n,) float
        Area of its skin. [m2]

    Returns
    -------
    absorbed : (n,) float
        Mean over the skin. [W m-2]

    Raises
    ------
    DomainError
        If irradiance or silhouette is below zero, absorptivity is outside 0 to 1, area is not above zero, or
        the silhouette is more than half of the area.

    Notes
    -----
    .. math:: a = \alpha E \, A_{sil} / A

    No closed body casts a shadow of more than half of its surface [1]_. *Valid when* blood and tissue even heat
    out. Light from all sides, such as that of walls, falls on every part: there the silhouette is a quarter of
    the area of a convex body.

    Examples
    --------
    800 W per square metre on the back of a 10 g lizard:

    >>> area, shadow = body_area(0.01, "lizard"), silhouette(0.01, "lizard")
    >>> float(absorbed_on_body(800.0, 0.85, shadow, area).round(0))
    244.0

    References
    ----------
    .. [1] D. M. Gates, *Biophysical Ecology*, Springer, 1980 (from memory); the bound and the quarter (Cauchy)
       are elementary.
    """
    light, share = at_least_zero("irradiance", irradiance, "W/m2"), within("absorptivity", absorptivity, 0, 1)
    skin = above_zero("area", area, "m2")
    part = within("silhouette over area", at_least_zero("silhouette", silhouette, "m2") / skin, 0.0, 0.5)
    return np.asarray(share * light * part)


def _ratio(shape: str, ratio: float | None) -> float:
    if shape not in SHAPES:
        msg = f"shape must be one of {', '.join(SHAPES)}; got {shape}"
        raise DomainError(msg)
    if ratio is None:
        return RATIOS.get(shape, 1.0)
    if shape not in RATIOS:
        msg = f"ratio is for {' and '.join(RATIOS)} only; got {ratio:g} for a {shape}"
        raise DomainError(msg)
    return float(above_zero("ratio", ratio))


def _diameter(mass: Floats, slenderness: float) -> Floats:
    return np.asarray(np.cbrt(4.0 * mass / (pi * BODY_DENSITY * slenderness)))


def _shell_radius(mass: Floats, ratio: float) -> Floats:
    """Volume of half a spheroid: 2/3 pi a^3 times its height over its radius."""
    return np.asarray(np.cbrt(1.5 * mass / (pi * BODY_DENSITY * ratio)))


def _dome(ratio: float) -> float:
    """Area of a dome over that of its base; 2 for half a ball."""
    square = abs(1.0 - ratio**2)
    if square < 1e-8:
        return 2.0
    if ratio < 1.0:
        e = float(np.sqrt(square))
        return 1.0 + (1.0 - square) / e * float(np.arctanh(e))
    e = float(np.sqrt(square)) / ratio
    return 1.0 + ratio / e * float(np.arcsin(e))
