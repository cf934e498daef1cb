"""How a lamp fades: readings over its hours, and when it will have faded to a floor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Fading:
    """A lamp's output over its hours: the logarithm falls evenly.

    Attributes
    ----------
    level : float
        Logarithm of the output at `hours`. [-]
    rate : float
        Share lost in an hour. [h-1]
    covariance : (2, 2) float
        Of level and rate.
    hours : float
        To which the level belongs. [h]
    """

    level: float
    rate: float
    covariance: Floats
    hours: float


def fading_of(
    hours: ArrayLike, logarithms: ArrayLike, spreads: ArrayLike, rate: float, rate_spread: float
) -> Fading:
    r"""Fit how a lamp fades.

    Parameters
    ----------
    hours : (n,) float
        That it had burned at each reading, at least one. [h]
    logarithms : (n,) float
        Of its output then. [-]
    spreads : (n,) float
        One standard deviation of each. [-]
    rate : float
        Share lost in an hour by lamps of its class. [h-1]
    rate_spread : float
        One standard deviation of that, above zero. [h-1]

    Returns
    -------
    fading : Fading
        At the last reading. [h]

    Raises
    ------
    DomainError
        If shapes disagree, nothing was read, or a number is not finite or a spread not above zero.

    Notes
    -----
    Weighted least squares on :math:`y_i = a - r (h_i - h_n)`, with the class's rate as one more reading of :math:`r`
    [1]_: one reading says nothing of the rate, several at hours far apart replace the class.

    Examples
    --------
    Three exact readings that lose 1 % in every 100 h, of a class of which little is known:

    >>> found = fading_of([100, 600, 1100], np.log([1.0, 0.95, 0.9025]), [1e-6] * 3, 5e-5, 1.0)
    >>> round(1e4 * found.rate, 3), round(float(np.exp(found.level)), 4)
    (1.026, 0.9025)

    References
    ----------
    .. [1] A. Gelman et al., *Bayesian Data Analysis*: a prior as additional data points (from memory).
    """
    h, y, s = (np.asarray(x, dtype=float) for x in (hours, logarithms, spreads))
    if h.ndim != 1 or not len(h) or h.shape != y.shape or h.shape != s.shape:
        msg = "hours, logarithms and spreads must be (n,), n at least 1"
        raise DomainError(msg)
    if not (np.isfinite([*h, *y, *s, rate, rate_spread]).all() and (s > 0).all() and rate_spread > 0):
        msg = "hours, logarithms, spreads and rates must be finite, spreads above zero"
        raise DomainError(msg)
    last = float(h.max())
    rows = np.concatenate([np.stack([np.ones(len(h)), -(h - last)], axis=1), [[0.0, 1.0]]])
    values, weights = np.append(y, rate), 1.0 / np.append(s, rate_spread)
    # Scaled so that level and rate are alike in size.
    size = np.array([1.0, rate_spread])
    found, *_ = np.linalg.lstsq(rows * size * weights[:, None], values * weights, rcond=None)
    covariance = np.linalg.inv((rows * size * weights[:, None]).T @ (rows * size * weights[:, None]))
    level, slope = found * size
    return Fading(float(level), float(slope), covariance * np.outer(size, size), last)


def hours_left(margins: ArrayLike, rates: ArrayLike) -> Floats:
    """Hours until something that fades evenly has lost a margin.

    Parameters
    ----------
    margins : (n,) float
        Logarithm of what there is over what there must be; below zero where it is missed already. [-]
    rates : (n,) float
        Share lost in an hour. [h-1]

    Returns
    -------
    hours : (n,) float
        0 where it is missed; infinite where nothing fades. [h]

    Notes
    -----
    The logarithm falls evenly: margin over rate [1]_.

    Examples
    --------
    A fifth to spare at 1 % in 100 h:

    >>> hours_left([np.log(1.2)], [1e-4])
    array([ 1823.2])

    References
    ----------
    .. [1] Exponential decay, from the definition.
    """
    m, r = np.broadcast_arrays(np.asarray(margins, dtype=float), np.asarray(rates, dtype=float))
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.where(r > 0, m / r, np.inf)
    return np.where(m <= 0, 0.0, found)
