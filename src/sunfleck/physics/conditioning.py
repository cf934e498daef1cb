"""Jointly normal quantities after some of them are read, and which readings to take first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.ranges import above_zero, at_least_zero

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class ChosenReadings:
    """Stations in the order in which they are read, and what is left unknown after each.

    Attributes
    ----------
    order : (k,) int
        Stations, by the labels given. [-]
    variances : (k + 1, t) float
        Variance of each target before the first station and after each. [-]
    """

    order: Ints
    variances: Floats


def covariance_left(covariance: ArrayLike, own: ArrayLike, shared: ArrayLike, read: ArrayLike) -> Floats:
    r"""Covariance of the targets once some readings are taken.

    Parameters
    ----------
    covariance : (n + t, n + t) float
        Of the n quantities that can be read and, after them, of the t targets. [-]
    own : (n,) float
        Standard deviation of each reading's own error. [-]
    shared : (n, s) float
        How far each of s errors that readings share, such as a meter that reads high, moves each by one
        standard deviation. [-]
    read : (k,) int
        Which readings are taken, each once. [-]

    Returns
    -------
    left : (t, t) float
        Covariance of the targets given the readings; the same whatever they say. [-]

    Raises
    ------
    DomainError
        If shapes do not fit, an own error is not above zero, or a reading is named that is not there.

    Notes
    -----
    With K the covariance, R the readings taken, T the targets and N the covariance of their errors,

    .. math::

        K_{T|R} = K_{TT} - K_{TR} (K_{RR} + N)^{-1} K_{RT}

    the Schur complement of the block that is read [1]_. Of logarithms of light it holds as far as they are
    jointly normal.

    Examples
    --------
    A target of spread 1, read once with an error as large as its spread: half of its variance is left.

    >>> covariance_left([[1.0, 1.0], [1.0, 1.0]], [1.0], [[0.0]], [0]).tolist()
    [[0.5]]

    References
    ----------
    .. [1] C. E. Rasmussen, C. K. I. Williams, *Gaussian Processes for Machine Learning*, MIT Press 2006, appendix
       A.2, equation A.6. From memory; held against a general solution by least squares in the tests.
    """
    whole, errors, common = _arrays(covariance, own, shared)
    n = len(errors)
    rows = np.asarray(read, dtype=np.int64).reshape(-1)
    if len(rows) and (rows.min() < 0 or rows.max() >= n or len(np.unique(rows)) < len(rows)):
        msg = f"each reading must be one of 0 to {n - 1} and named once; got {rows.tolist()}"
        raise DomainError(msg)
    targets = whole[n:, n:]
    if not len(rows):
        return np.array(targets)
    noise = common[rows] @ common[rows].T + np.diag(errors[rows] ** 2)
    across = whole[np.ix_(rows, np.arange(n, len(whole)))]
    return np.asarray(targets - across.T @ np.linalg.solve(whole[np.ix_(rows, rows)] + noise, across))


def chosen_readings(
    covariance: ArrayLike,
    own: ArrayLike,
    shared: ArrayLike,
    station: ArrayLike,
    weights: ArrayLike,
    count: int,
    taken: ArrayLike = (),
) -> ChosenReadings:
    r"""Choose stations one after another, each where its readings tell most about the targets.

    Parameters
    ----------
    covariance : (n + t, n + t) float
        Of the n quantities that can be read and, after them, of the t targets. [-]
    own : (n,) float
        Standard deviation of each reading's own error. [-]
    shared : (n, s) float
        How far each of s errors that readings share moves each by one standard deviation. [-]
    station : (n,) int
        Which station each reading belongs to: those of one station are taken together. [-]
    weights : (t,) float
        How much a variance of each target counts. [-]
    count : int
        How many stations to choose, those taken already among them. [-]
    taken : (m,) int, optional
        Stations that are read in any case, in their order; all of them are, even where they are more than
        `count`. [-]

    Returns
    -------
    chosen : ChosenReadings
        The stations in order, fewer where there are no more; and the targets' variances. [-]

    Raises
    ------
    DomainError
        If shapes do not fit, an own error is not above zero, a weight is below zero, or a station taken has no
        reading.

    Notes
    -----
    Each step takes the station R that lowers the weighted sum of variances most,

    .. math::

        \sum_t w_t \left[ K_{tR} (K_{RR} + N)^{-1} K_{Rt} \right]

    and conditions everything on it [1]_, so that the next is chosen given those before. One after another is not
    always the best of all sets of that size: the tests compare it with all sets of small cases. Of equals the
    first is taken.

    Examples
    --------
    Two quantities, the first twice as uncertain as the second, both wanted; one reading is allowed:

    >>> known = [[4.0, 0.0, 4.0, 0.0], [0.0, 1.0, 0.0, 1.0], [4.0, 0.0, 4.0, 0.0], [0.0, 1.0, 0.0, 1.0]]
    >>> found = chosen_readings(known, [1.0, 1.0], [[0.0], [0.0]], [0, 1], [1.0, 1.0], 1)
    >>> found.order.tolist(), found.variances.round(2).tolist()
    ([0], [[4.0, 1.0], [0.8, 1.0]])

    References
    ----------
    .. [1] C. E. Rasmussen, C. K. I. Williams, *Gaussian Processes for Machine Learning*, MIT Press 2006, appendix
       A.2, equation A.6. From memory.
    """
    whole, errors, common = _arrays(covariance, own, shared)
    n = len(errors)
    label = np.asarray(station, dtype=np.int64).reshape(-1)
    counts = at_least_zero("weights", weights)
    if len(label) != n or len(counts) != len(whole) - n:
        msg = f"there must be a station for each of {n} readings and a weight for each of {len(whole) - n} targets"
        msg = f"{msg}; got {len(label)} and {len(counts)}"
        raise DomainError(msg)
    readings = {int(each): np.flatnonzero(label == each) for each in dict.fromkeys(label.tolist())}
    forced = [int(each) for each in np.asarray(taken, dtype=np.int64).reshape(-1)]
    if not set(forced) <= set(readings):
        msg = f"a station taken must have a reading; got {sorted(set(forced) - set(readings))}"
        raise DomainError(msg)
    left = whole.copy()
    # What readings share stays with them from one step to the next: a second reading tells of the meter too.
    left[:n, :n] += common @ common.T
    order: list[int] = []
    variances = [np.diag(left)[n:].copy()]
    free = [each for each in readings if each not in forced]
    while forced or (free and len(order) < count):
        if forced:
            best = forced.pop(0)
            if best in order:
                continue
        else:
            gains = [_gain(left, errors, readings[each], counts) for each in free]
            best = free.pop(int(np.argmax(gains)))
        rows = readings[best]
        seen = left[np.ix_(rows, rows)] + np.diag(errors[rows] ** 2)
        left = left - left[:, rows] @ np.linalg.solve(seen, left[rows])
        order.append(best)
        variances.append(np.diag(left)[n:].copy())
    return ChosenReadings(np.array(order, dtype=np.int64), np.array(variances))


def _gain(left: Floats, own: Floats, rows: Ints, weights: Floats) -> float:
    """By how much readings lower the weighted sum of the targets' variances."""
    seen = left[np.ix_(rows, rows)] + np.diag(own[rows] ** 2)
    across = left[rows, len(own) :]
    return float(((across * np.linalg.solve(seen, across)).sum(axis=0) * weights).sum())


def _arrays(covariance: ArrayLike, own: ArrayLike, shared: ArrayLike) -> tuple[Floats, Floats, Floats]:
    whole = np.asarray(covariance, dtype=np.float64)
    errors = above_zero("own errors", own)
    common = np.asarray(shared, dtype=np.float64)
    square = whole.ndim == 2 and whole.shape[0] == whole.shape[1]
    if not square or errors.ndim != 1 or len(errors) > len(whole) or common.shape[:1] != errors.shape:
        msg = "covariance must be square with readings before targets, and shared must have a row for each reading"
        msg = f"{msg}; got {whole.shape}, {errors.shape} and {common.shape}"
        raise DomainError(msg)
    if common.ndim != 2 or not (np.isfinite(whole).all() and np.isfinite(common).all()):
        msg = "covariance and shared must be finite tables"
        raise DomainError(msg)
    return whole, errors, common
