"""Where on a disc light is asked for: parallel chords, the same for every disc."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError

# Direction of the chords from the first axis. [rad]
ASKEW = 0.3


@cache
def disc_chords(number: int) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    r"""Parallel chords of the unit disc and the share of its area that each stands for.

    Parameters
    ----------
    number : int
        How many. [-]

    Returns
    -------
    start, end : (k, 2) float
        Ends of each chord. [-]
    shares : (k,) float
        Weights that add up to 1. [-]

    Raises
    ------
    DomainError
        If there are no chords.

    Notes
    -----
    The mean over the disc is :math:`\sum_k s_k \bar f_k` of the means over chords at the distances
    :math:`\cos\theta_k` from the middle, :math:`\theta_k = k\pi/(n+1)`, with
    :math:`s_k = 2 \sin^2\theta_k/(n+1)`: Gauss's rule for the weight :math:`\sqrt{1 - y^2}`, exact
    for polynomials up to degree 2n - 1 [1]_. The chords lie askew, 0.3 rad off the first axis, because scenes
    have many edges along axes, and along an edge a chord is hidden wholly or not at all.

    Examples
    --------
    >>> start, end, shares = disc_chords(24)
    >>> round(float(shares.sum()), 12)
    1.0

    References
    ----------
    .. [1] M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions*, 25.4.40 (from memory).
    """
    if number < 1:
        msg = f"a disc is cut into one chord or more; got {number}"
        raise DomainError(msg)
    theta = np.arange(1, number + 1) * np.pi / (number + 1)
    along, across = np.array([np.cos(ASKEW), np.sin(ASKEW)]), np.array([-np.sin(ASKEW), np.cos(ASKEW)])
    middle, half = np.cos(theta)[:, None] * across, np.sin(theta)[:, None] * along
    arrays = (middle - half, middle + half, 2 * np.sin(theta) ** 2 / (number + 1))
    for array in arrays:
        array.flags.writeable = False
    return arrays
