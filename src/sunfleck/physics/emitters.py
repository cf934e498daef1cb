"""Shapes of lamps as the engine knows them: thin lines and discs, each with a law of distribution.

Every emitter gives off one watt in all; what a lamp gives in a channel is a factor on the result.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, pi, radians

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

AZIMUTHS = np.radians(np.linspace(0.0, 180.0, 181))
POLAR_ANGLES = np.radians(np.linspace(0.0, 180.0, 361))


@dataclass(frozen=True, slots=True)
class LineEmitter:
    r"""A thin straight line, cosine about its normal plane, with a weight over azimuth.

    Attributes
    ----------
    start, end : (3,) float
        Ends of the glowing part. [m]
    aim : (3,) float
        Direction azimuth is counted from; what lies along the line is taken out and the rest made a
        unit vector. [-]
    azimuth_weight : (181,) float
        Weight at 0, 1 ... 180 degrees from `aim`, the same on both sides, linear in between; scaled so
        that its mean over the full circle is 1. [-]

    Raises
    ------
    DomainError
        If the line has no length, `aim` runs along it, or the weight is negative or zero everywhere.

    Notes
    -----
    A piece ds of the line sends :math:`w(\varphi) \cos\gamma\, ds / (\pi^2 L)` per steradian at the
    angle :math:`\gamma` from its normal plane.
    """

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    aim: NDArray[np.float64]
    azimuth_weight: NDArray[np.float64]

    def __post_init__(self) -> None:
        start, end = _vector(self.start, "start"), _vector(self.end, "end")
        length = float(np.linalg.norm(end - start))
        if not length > 0:
            msg = f"a line emitter needs a length above zero; got {length:g} m"
            raise DomainError(msg)
        axis = (end - start) / length
        aim = _unit(self.aim, "aim")
        across = aim - (aim @ axis) * axis
        if np.linalg.norm(across) < 1e-6:
            msg = f"aim of a line emitter must not run along the line; got {aim} on {axis}"
            raise DomainError(msg)
        weight = _law(self.azimuth_weight, AZIMUTHS.size, "azimuth_weight")
        mean = float(np.trapezoid(weight) / (AZIMUTHS.size - 1))
        _store(
            self,
            start=start,
            end=end,
            aim=across / np.linalg.norm(across),
            azimuth_weight=weight / mean,
        )

    @property
    def length(self) -> float:
        """Length of the glowing part. [m]"""
        return float(np.linalg.norm(self.end - self.start))

    @property
    def gain(self) -> float:
        """How many times as bright it is along the aim as a bare tube that gives off as much. [-]"""
        return float(self.azimuth_weight[0])


@dataclass(frozen=True, slots=True)
class DiscEmitter:
    """A flat round opening, every point of which sends the same distribution about the aim.

    Attributes
    ----------
    centre : (3,) float
        Its middle. [m]
    aim : (3,) float
        Its axis, made a unit vector. [-]
    radius : float
        Of the opening; 0 makes it a point. [m]
    intensity : (361,) float
        Intensity per watt at 0, 0.5 ... 180 degrees from `aim`, linear in between; scaled to a total
        of one watt over the sphere. [sr-1]

    Raises
    ------
    DomainError
        If the radius is negative, `aim` has no length, or the intensity is negative or zero everywhere.
    """

    centre: NDArray[np.float64]
    aim: NDArray[np.float64]
    radius: float
    intensity: NDArray[np.float64]

    def __post_init__(self) -> None:
        if not (self.radius >= 0 and np.isfinite(self.radius)):
            msg = f"radius of a disc emitter must be zero or more; got {self.radius:g} m"
            raise DomainError(msg)
        intensity = _law(self.intensity, POLAR_ANGLES.size, "intensity")
        _store(
            self,
            centre=_vector(self.centre, "centre"),
            aim=_unit(self.aim, "aim"),
            radius=float(self.radius),
            intensity=intensity / flux_of_intensity(intensity),
        )


def flux_of_intensity(intensity: ArrayLike) -> float:
    r"""Power in all that a distribution about an axis adds up to.

    Parameters
    ----------
    intensity : (361,) float
        Intensity at 0, 0.5 ... 180 degrees from the axis, linear in between. [W sr-1]

    Returns
    -------
    power : float
        Over the whole sphere. [W]

    Raises
    ------
    DomainError
        If there are not 361 values.

    Notes
    -----
    .. math:: \Phi = 2\pi \int_0^\pi I(\theta) \sin\theta\, d\theta

    with the straight pieces of :math:`I` integrated exactly, so that what the engine interpolates
    carries exactly this power.

    Examples
    --------
    One watt per steradian everywhere:

    >>> import numpy as np
    >>> round(flux_of_intensity(np.ones(361)) / np.pi, 9)
    4.0

    References
    ----------
    .. [1] Definition of radiant flux from radiant intensity; integrated here by parts.
    """
    values = np.asarray(intensity, dtype=np.float64)
    if values.shape != POLAR_ANGLES.shape:
        msg = f"intensity must have {POLAR_ANGLES.size} values; got the shape {values.shape}"
        raise DomainError(msg)
    a, b = POLAR_ANGLES[:-1], POLAR_ANGLES[1:]
    slope = np.diff(values) / np.diff(POLAR_ANGLES)
    # Integral of I sin = [-I cos] + slope [sin]; the first bracket telescopes over the pieces.
    ends = values[0] * np.cos(a[0]) - values[-1] * np.cos(b[-1])
    return float(2 * pi * (ends + (slope * (np.sin(b) - np.sin(a))).sum()))


def bare_tube_law() -> NDArray[np.float64]:
    """Weight over azimuth of a tube that is equally bright all round.

    Returns
    -------
    weight : (181,) float
        1 everywhere. [-]
    """
    return np.ones_like(AZIMUTHS)


def reflector_law(cut_off: float, fade: float = radians(20.0)) -> NDArray[np.float64]:
    r"""Weight over azimuth of a tube in a reflector.

    Parameters
    ----------
    cut_off : float
        Angle from the aim, to either side, beyond which nothing is sent. [rad]
    fade : float, default 20 degrees
        Width of the smooth edge inside the cut-off. [rad]

    Returns
    -------
    weight : (181,) float
        1 up to `cut_off` - `fade`, from there half a cosine wave down to 0 at `cut_off`. [-]

    Raises
    ------
    DomainError
        If `cut_off` is not above 0 and at most pi, or `fade` not above 0 and at most `cut_off`.

    Notes
    -----
    With cut-off :math:`\alpha` and fade :math:`\delta` a line of this law is :math:`\pi/(\alpha - \delta/2)`
    times as bright along the aim as a bare one of the same output (its gain); of a bare *tube's* output a
    reflector loses some, so that against the tube without it the gain is less. The shape of the edge is an
    assumption: a reflector's own curve from a photometric file is better.
    """
    if not 0 < cut_off <= pi:
        msg = f"cut_off must be above 0 and at most pi; got {cut_off:g} rad"
        raise DomainError(msg)
    if not 0 < fade <= cut_off:
        msg = f"fade must be above 0 and at most the cut-off of {cut_off:g} rad; got {fade:g} rad"
        raise DomainError(msg)
    through_edge = np.clip((AZIMUTHS - (cut_off - fade)) / fade, 0.0, 1.0)
    return np.asarray(0.5 + 0.5 * np.cos(pi * through_edge))


def strip_law() -> NDArray[np.float64]:
    """Weight over azimuth of a flat strip that glows to one side.

    Returns
    -------
    weight : (181,) float
        Cosine of the azimuth, 0 behind: with the cosine along the line this is a Lambertian face. [-]
    """
    return np.maximum(np.cos(AZIMUTHS), 0.0)


def beam_law(beam_angle: float, field_angle: float) -> NDArray[np.float64]:
    r"""Intensity of a spot from its beam and field angles.

    Parameters
    ----------
    beam_angle : float
        Full angle within which it has at least half of the intensity in the middle. [rad]
    field_angle : float
        Full angle within which it has at least a tenth. [rad]

    Returns
    -------
    intensity : (361,) float
        Relative to the middle; nothing is sent backwards. [-]

    Raises
    ------
    DomainError
        If not 0 < `beam_angle` < `field_angle` <= pi.

    Notes
    -----
    .. math:: I(\theta) = \exp\bigl(-\ln 2\, (2\theta/\theta_b)^p\bigr), \qquad
              p = \frac{\ln(\ln 10/\ln 2)}{\ln(\theta_f/\theta_b)}

    A bell through the three points that the two angles give; p = 2 would be a Gaussian. Rings and
    streaks of a real reflector are not in it.

    Examples
    --------
    12.5 degrees off the axis of a beam of 25 degrees, and 25 degrees off with a field of 50:

    >>> law = beam_law(radians(25.0), radians(50.0))
    >>> law[[0, 25, 50]].round(6).tolist()
    [1.0, 0.5, 0.1]

    References
    ----------
    .. [1] ANSI/IES LS-1, *Lighting Science: Nomenclature and Definitions*, for beam angle (half of the
       intensity) and field angle (a tenth) (from memory); the bell is our own choice.
    """
    if not 0 < beam_angle < field_angle <= pi:
        msg = (
            "beam_angle must be above 0 and below field_angle, which is at most pi; "
            f"got {beam_angle:g} and {field_angle:g} rad"
        )
        raise DomainError(msg)
    power = log(log(10) / log(2)) / log(field_angle / beam_angle)
    # Beyond exp(-700) nothing is left, and a steep bell would overflow on its way there.
    exponent = np.minimum(log(2) * (2 * POLAR_ANGLES / beam_angle) ** power, 700.0)
    return np.where(pi / 2 >= POLAR_ANGLES, np.exp(-exponent), 0.0)


def dome_law() -> NDArray[np.float64]:
    r"""Intensity of a glowing dome seen from far: a heater bulb or ceramic element.

    Returns
    -------
    intensity : (361,) float
        :math:`(1 + \cos\theta)/2`, the area a Lambertian hemisphere shows at that angle. [-]
    """
    return np.asarray(0.5 + 0.5 * np.cos(POLAR_ANGLES))


def cosine_law() -> NDArray[np.float64]:
    """Intensity of a flat Lambertian face.

    Returns
    -------
    intensity : (361,) float
        Cosine of the angle from the aim, 0 behind. [-]
    """
    return np.maximum(np.cos(POLAR_ANGLES), 0.0)


def _store(emitter: LineEmitter | DiscEmitter, **values: object) -> None:
    """Set fields of a frozen emitter while it is being made; arrays become read-only."""
    for name, value in values.items():
        if isinstance(value, np.ndarray):
            value.flags.writeable = False
        object.__setattr__(emitter, name, value)


def _vector(values: ArrayLike, name: str) -> NDArray[np.float64]:
    vector = np.array(values, dtype=np.float64)
    if vector.shape != (3,) or not np.isfinite(vector).all():
        msg = f"{name} must be three finite numbers; got {vector.tolist()}"
        raise DomainError(msg)
    return vector


def _unit(values: ArrayLike, name: str) -> NDArray[np.float64]:
    vector = _vector(values, name)
    length = float(np.linalg.norm(vector))
    if not length > 0:
        msg = f"{name} must have a length above zero; got {vector.tolist()}"
        raise DomainError(msg)
    return np.asarray(vector / length)


def _law(values: ArrayLike, size: int, name: str) -> NDArray[np.float64]:
    law = np.array(values, dtype=np.float64)
    if law.shape != (size,):
        msg = f"{name} must have {size} values; got the shape {law.shape}"
        raise DomainError(msg)
    if not np.isfinite(law).all() or bool((law < 0).any()) or not bool((law > 0).any()):
        msg = f"{name} must be finite, nowhere below zero and somewhere above; got {law.min():g} to {law.max():g}"
        raise DomainError(msg)
    return law
