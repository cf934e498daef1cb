"""Rays that stand for the light of a lamp, in a fixed pattern."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.emitters import AZIMUTHS, POLAR_ANGLES, DiscEmitter, LineEmitter
from sunfleck.physics.sobol import sobol_points

Floats = NDArray[np.float64]


def emitted_rays(emitter: LineEmitter | DiscEmitter, number: int) -> tuple[Floats, Floats]:
    r"""Rays that stand for the light of a lamp, each for an equal part of its watt.

    Parameters
    ----------
    emitter : LineEmitter or DiscEmitter
        The lamp. [m]
    number : int
        How many rays. [-]

    Returns
    -------
    origins : (number, 3) float
        Where each leaves the lamp. [m]
    directions : (number, 3) float
        Where it goes, unit vectors. [-]

    Raises
    ------
    DomainError
        If there is not at least one ray.

    Notes
    -----
    Places and directions follow a fixed pattern that fills the unit cube evenly, the first points of Sobol's
    sequence (:func:`sunfleck.physics.sobol.sobol_points`); a power of two of them is spread best. A disc takes
    four axes: place (area is even in the square of the radius and in the angle), the angle from the aim by
    the inverse of the cumulated :math:`I(\theta) \sin\theta`, and an even azimuth. A line takes three: place
    along it, azimuth by the inverse of its cumulated weight, and the angle from the normal plane, whose
    density is :math:`\cos^2\gamma`, by the inverse of :math:`\gamma + \sin\gamma \cos\gamma`. Rays
    follow the laws of :mod:`sunfleck.physics.emitters` just as these are interpolated [1]_.

    Examples
    --------
    Half of the light of a point that shines as a flat face does leaves within 45 degrees:

    >>> from sunfleck.physics.emitters import cosine_law
    >>> spot = DiscEmitter([0, 0, 0], [0, 0, -1], 0.0, cosine_law())
    >>> _, directions = emitted_rays(spot, 10_000)
    >>> float((directions[:, 2] < -np.sqrt(0.5)).mean().round(3))
    0.5

    References
    ----------
    .. [1] Inversion of the cumulated distribution, derived here from the laws of the emitters.
    """
    if number < 1:
        msg = f"number of rays must be 1 or more; got {number}"
        raise DomainError(msg)
    if isinstance(emitter, LineEmitter):
        return _rays_of_line(emitter, number)
    return _rays_of_disc(emitter, number)


def _rays_of_line(emitter: LineEmitter, number: int) -> tuple[Floats, Floats]:
    along, turn, tilt = sobol_points(number, 3).T
    weight = emitter.azimuth_weight
    cumulated = np.concatenate([[0.0], np.cumsum(np.diff(AZIMUTHS) * (weight[1:] + weight[:-1]) / 2)])
    # From -180 to 180 degrees in one go, both sides alike.
    azimuth = np.copysign(_inverse(AZIMUTHS, cumulated, weight, np.abs(2 * turn - 1)), turn - 0.5)
    angle = _inverse_of_cosine_squared(tilt)
    axis = (emitter.end - emitter.start) / emitter.length
    ahead = np.cos(azimuth)[:, None] * emitter.aim + np.sin(azimuth)[:, None] * np.cross(axis, emitter.aim)
    directions = np.cos(angle)[:, None] * ahead + np.sin(angle)[:, None] * axis
    return emitter.start + along[:, None] * (emitter.end - emitter.start), directions


def _rays_of_disc(emitter: DiscEmitter, number: int) -> tuple[Floats, Floats]:
    out, around, tilt, turn = sobol_points(number, 4).T
    polar, azimuth = _inverse_of_intensity(emitter.intensity, tilt), 2 * pi * turn
    # The coordinate axis that is farthest from the aim makes the pattern's zero direction definite.
    u = np.cross(emitter.aim, np.eye(3)[np.argmin(np.abs(emitter.aim))])
    u /= np.linalg.norm(u)
    frame = np.stack([u, np.cross(emitter.aim, u), emitter.aim])
    directions = np.stack(
        [np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth), np.cos(polar)], axis=1
    )
    radius = emitter.radius * np.sqrt(out)
    places = np.stack([radius * np.cos(2 * pi * around), radius * np.sin(2 * pi * around)], axis=1)
    return emitter.centre + places @ frame[:2], np.ascontiguousarray(directions @ frame)


def _inverse(nodes: Floats, cumulated: Floats, density: Floats, share: Floats) -> Floats:
    """Where a cumulated density, linear between `nodes`, reaches each share of its total.

    A density that is only nearly linear is inverted as nearly; its pieces keep what they hold.
    """
    wanted = share * cumulated[-1]
    # Pieces without weight are passed over: the last that begins at or below what is wanted.
    k = np.clip(np.searchsorted(cumulated, wanted, side="right") - 1, 0, len(nodes) - 2)
    low, step = density[k], nodes[k + 1] - nodes[k]
    slope = (density[k + 1] - low) / step
    piece = cumulated[k + 1] - cumulated[k]
    within = np.divide(wanted - cumulated[k], piece, out=np.zeros_like(wanted), where=piece > 0)
    rest = np.clip(within, 0.0, 1.0) * (low + 0.5 * slope * step) * step
    # The root of slope x^2 / 2 + low x = rest in the form that loses no digits.
    below = low + np.sqrt(np.maximum(low * low + 2 * slope * rest, 0.0))
    ahead = np.divide(2 * rest, below, out=np.zeros_like(rest), where=below > 0)
    return np.asarray(nodes[k] + np.minimum(ahead, step))


def _inverse_of_intensity(intensity: Floats, share: Floats) -> Floats:
    """Polar angle that the given share of a distribution's power lies within. [rad]"""
    sine, cosine = np.sin(POLAR_ANGLES), np.cos(POLAR_ANGLES)
    slope = np.diff(intensity) / np.diff(POLAR_ANGLES)
    # As in flux_of_intensity: the integral of I sin is [-I cos] + slope [sin].
    pieces = -np.diff(intensity * cosine) + slope * np.diff(sine)
    cumulated = np.concatenate([[0.0], np.cumsum(np.maximum(pieces, 0.0))])
    angle = _inverse(POLAR_ANGLES, cumulated, intensity * sine, share)
    k = np.clip(np.searchsorted(POLAR_ANGLES, angle, side="right") - 1, 0, len(pieces) - 1)
    for _ in range(3):  # of Newton's method: I sin is only nearly linear over a piece
        here = intensity[k] + slope[k] * (angle - POLAR_ANGLES[k])
        inner = intensity[k] * cosine[k] - here * np.cos(angle) + slope[k] * (np.sin(angle) - sine[k])
        density, over = here * np.sin(angle), cumulated[k] + inner - share * cumulated[-1]
        angle -= np.divide(over, density, out=np.zeros_like(angle), where=density > 0)
        angle = np.clip(angle, POLAR_ANGLES[k], POLAR_ANGLES[k + 1])
    return np.asarray(angle)


def _inverse_of_cosine_squared(share: Floats) -> Floats:
    """Angle from the normal plane below which the given share of a line's power is sent. [rad]

    With z = pi - 2 |gamma| the equation is z - sin z = q. Its series at 0 is a good start up to pi, and
    Newton's method then comes down on the root of a convex function.
    """
    q = pi * (1.0 - np.abs(2 * share - 1))
    c = np.cbrt(6 * q)
    z = c + c**3 / 60 + c**5 / 1400 + c**7 / 25200
    for _ in range(4):
        slope = 1.0 - np.cos(z)
        z -= np.divide(z - np.sin(z) - q, slope, out=np.zeros_like(z), where=slope > 0)
    return np.asarray(np.copysign((pi - z) / 2, share - 0.5))
