"""One level fitted to several readings whose errors are partly shared."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Fit:
    """A level, and how each reading stands to it.

    Attributes
    ----------
    level : float
        The fitted level. [-]
    weights : (n,) float
        Weight of each reading in it; they add up to one. [-]
    spread : float
        Standard deviation of the level by the readings' own errors, the shared ones left out. [-]
    residuals : (n,) float
        Each reading less the level. [-]
    apart : (n,) float
        Each reading less the level fitted to the others; 0 where there is no other. [-]
    apart_spread : (n,) float
        Standard deviation of that difference by the errors given; 1 where there is no other. [-]
    scatter : float
        What the readings differ by, over what their own errors explain (the square root of chi-square per degree
        of freedom; one or more). [-]
    """

    level: float
    weights: Floats
    spread: float
    residuals: Floats
    apart: Floats
    apart_spread: Floats
    scatter: float


def fit_level(values: ArrayLike, own: ArrayLike, shared: ArrayLike) -> Fit:
    r"""Fit one level to readings by generalised least squares.

    Parameters
    ----------
    values : (n,) float
        What each reading says of the level; of positive quantities their logarithms. [-]
    own : (n,) float
        Standard deviation of each reading's own error. [-]
    shared : (n, s) float
        How far each of s errors that readings share, such as a meter that reads high, moves each by one
        standard deviation. [-]

    Returns
    -------
    fit : Fit
        The level with the least variance among all weighted means. [-]

    Raises
    ------
    DomainError
        If shapes disagree, there is no reading, or an error of its own is not above zero.

    Notes
    -----
    With :math:`C = \mathrm{diag}(own^2) + S S^T` the weights are :math:`C^{-1} 1 / (1^T C^{-1} 1)` [1]_. Errors
    that all readings share alike change no weight. Nothing here is a prior: it is what the readings say.

    Examples
    --------
    Two readings with one meter, the second held half as well:

    >>> fit = fit_level([1.0, 1.3], own=[0.1, 0.2], shared=[[0.1], [0.1]])
    >>> round(fit.level, 6), fit.weights.round(6).tolist(), round(fit.spread, 4)
    (1.06, [0.8, 0.2], 0.0894)

    References
    ----------
    .. [1] A. C. Aitken, "On least squares and linear combination of observations," *Proceedings of the Royal
       Society of Edinburgh* 55, 42-48, 1936. (Known from textbooks, from memory.)
    """
    y, sd = np.asarray(values, dtype=np.float64), np.asarray(own, dtype=np.float64)
    loads = np.asarray(shared, dtype=np.float64)
    if y.ndim != 1 or not len(y) or sd.shape != y.shape or loads.shape[:1] != y.shape or loads.ndim != 2:
        msg = f"values and own must be (n,) and shared (n, s); got {y.shape}, {sd.shape} and {loads.shape}"
        raise DomainError(msg)
    if not bool((sd > 0).all()):
        msg = f"own must be above zero; got {sd.min():g}"
        raise DomainError(msg)
    covariance = np.diag(sd**2) + loads @ loads.T
    weights = _weights(covariance)
    level = float(weights @ y)
    residuals = y - level
    apart, apart_spread = np.zeros(len(y)), np.ones(len(y))
    for k in range(len(y) if len(y) > 1 else 0):
        others = np.arange(len(y)) != k
        against = np.zeros(len(y))
        against[others] = -_weights(covariance[np.ix_(others, others)])
        against[k] = 1.0
        apart[k], apart_spread[k] = against @ y, np.sqrt(against @ covariance @ against)
    freedom = len(y) - 1
    chi_square = float(residuals @ np.linalg.solve(covariance, residuals))
    scatter = max(1.0, float(np.sqrt(max(chi_square, 0.0) / freedom))) if freedom else 1.0
    spread = float(np.sqrt(weights**2 @ sd**2))
    return Fit(level, weights, spread, residuals, apart, apart_spread, scatter)


def _weights(covariance: Floats) -> Floats:
    solved = np.linalg.solve(covariance, np.ones(len(covariance)))
    return np.asarray(solved / solved.sum())
