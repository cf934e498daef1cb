"""What readings say of uncertain factors: the most likely world, and how far others may be from it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]
Predict = Callable[[Floats], Floats]

# Student's t with so many degrees of freedom has tails in which a slip costs little.
DEGREES = 4.0
# Half-width of the difference that slopes are taken over, so that a factor with two spreads has a slope at its kink. [-]
REACH = 0.05
MOST_STEPS, SETTLED = 60, 1e-7
# A reading that is followed by less than this may hide a better world without it. [-]
HALF_FOLLOWED, MOST_RESTARTS = 0.5, 8


@dataclass(frozen=True, eq=False)
class Posterior:
    """What n readings say of k factors, in standard deviations of what was known before.

    Attributes
    ----------
    mode : (k,) float
        The most likely world. [-]
    covariance : (k, k) float
        Of the worlds round it; ones on the diagonal where nothing was learned. [-]
    predicted, before : (n,) float
        Each reading as the most likely world has it, and as it was expected. In the unit of the readings.
    slopes : (n, k) float
        How each changes with each factor, at the mode.
    spreads : (n,) float
        One standard deviation of each reading's own error.
    weights : (n,) float
        How far each reading is followed: 1 and more of those that fit, little of one that cannot be right. [-]
    """

    values: Floats
    mode: Floats
    covariance: Floats
    predicted: Floats
    before: Floats
    slopes: Floats
    spreads: Floats
    weights: Floats

    @cached_property
    def root(self) -> Floats:
        """Symmetric square root of the covariance, (k, k): what was not learned of stays as it was drawn. [-]"""
        values, vectors = np.linalg.eigh(self.covariance)
        return np.asarray((vectors * np.sqrt(np.clip(values, 0.0, None))) @ vectors.T)

    def worlds(self, normals: Floats) -> Floats:
        """Worlds drawn before, (rows, k), as the readings leave them. [-]"""
        return np.asarray(self.mode + normals @ self.root)

    @cached_property
    def without(self) -> tuple[Floats, Floats]:
        """What all the others say of each reading, (n,), and one standard deviation of it with its own error, (n,).

        In the unit of the readings; one of Newton's steps from the mode to where it lies without that reading.
        """
        said, widths = np.zeros(len(self.values)), np.zeros(len(self.values))
        precision = self.weights / self.spreads**2
        whole = np.linalg.inv(self.covariance)
        for i, slope in enumerate(self.slopes):
            others = np.linalg.inv(whole - precision[i] * np.outer(slope, slope))
            moved = slope @ others @ slope
            residual = self.values[i] - self.predicted[i]
            said[i] = self.predicted[i] - moved * precision[i] * residual
            widths[i] = np.sqrt(self.spreads[i] ** 2 + moved)
        return said, widths

    @property
    def apart(self) -> Floats:
        """How far each reading is from what all the others say, in standard deviations of both, (n,). [-]"""
        said, widths = self.without
        return np.asarray((self.values - said) / widths)


def posterior(
    predict: Predict, values: ArrayLike, spreads: ArrayLike, count: int, degrees: float = DEGREES
) -> Posterior:
    r"""Find the most likely world behind some readings, and how far others may be from it.

    Parameters
    ----------
    predict : callable
        Takes worlds (m, k), in standard deviations of each factor; returns what would be read in them, (m, n). Of a
        reading whose error is a share of it the logarithm; of a temperature kelvin. [-]
    values : (n,) float
        What was read, in the same units. [-]
    spreads : (n,) float
        One standard deviation of each reading's own error, above zero; what readings share (a meter) is a factor. [-]
    count : int
        How many factors, k. [-]
    degrees : float, default 4
        Degrees of freedom of Student's t; infinite for errors that are normal. [-]

    Returns
    -------
    posterior : Posterior
        Mode and covariance. [-]

    Raises
    ------
    DomainError
        If shapes disagree, a number is not finite or a spread not above zero.

    Notes
    -----
    Factors are standard normal before. The mode is that of

    .. math:: \tfrac12 z^2 + \tfrac{\nu + 1}{2} \sum_i \ln\left(1 + \frac{(y_i - f_i(z))^2}{\nu \sigma_i^2}\right)

    found by Gauss and Newton's steps with weights :math:`(\nu + 1) / (\nu + r_i^2/\sigma_i^2)` [1]_, each halved until
    it does not climb. The covariance is that of Laplace's approximation, with the weights at the mode. A reading that
    is hardly followed may hold the search in a world of its own: it is begun anew from where each such reading is left
    out, and from where all are followed, and the most likely end is taken. A reading that fits counts 5/4 of its own
    precision, one far off nearly nothing; that of a Student's t on average is 5/7.

    Examples
    --------
    Two factors of one standard deviation each, of which one reading with a spread of 1 has the sum, 3: each moves by
    1, their sum by 2, two thirds of the way.

    >>> found = posterior(lambda z: z.sum(axis=1, keepdims=True), [3.0], [1.0], 2, degrees=np.inf)
    >>> found.mode
    array([ 1., 1.])
    >>> found.covariance
    array([[ 0.667, -0.333],
           [-0.333,  0.667]])

    References
    ----------
    .. [1] K. L. Lange, R. J. A. Little, J. M. G. Taylor, "Robust statistical modeling using the t distribution",
       *Journal of the American Statistical Association* 84:881-896, 1989 (from memory).
    """
    values, spreads = np.asarray(values, dtype=float), np.asarray(spreads, dtype=float)
    if values.ndim != 1 or values.shape != spreads.shape or count < 0 or not degrees > 0:
        msg = "values and spreads must be (n,), count at least 0, degrees above 0"
        raise DomainError(msg)
    if not (np.isfinite(values).all() and np.isfinite(spreads).all() and (spreads > 0).all()):
        msg = "values and spreads must be finite, spreads above zero"
        raise DomainError(msg)
    search = _Search(predict, values, spreads, count, degrees)
    everything = np.ones(len(values))
    start = np.zeros(count)
    before, _ = search.at(start)
    best = search.climbed(start, everything)
    starts = [search.climbed(start, _without(everything, k)) for k in search.doubtful(best)]
    if starts:
        # All of them may be off the same way: followed as if none could be wrong.
        starts.append(_Search(predict, values, spreads, count, np.inf).climbed(start, everything))
    for begun in starts:
        other = search.climbed(begun, everything)
        if search.cost(search.at(other)[0], other, everything) < search.cost(
            search.at(best)[0], best, everything
        ):
            best = other
    predicted, slopes = search.at(best)
    weights = search.weights(predicted)
    precision = np.eye(count) + slopes.T @ (slopes * (weights / spreads**2)[:, None])
    return Posterior(values, best, np.linalg.inv(precision), predicted, before, slopes, spreads, weights)


def _without(counted: Floats, left_out: int) -> Floats:
    found = counted.copy()
    found[left_out] = 0.0
    return found


class _Search:
    """The way to the most likely world."""

    def __init__(self, predict: Predict, values: Floats, spreads: Floats, count: int, degrees: float) -> None:
        self.predict, self.values, self.spreads, self.degrees = predict, values, spreads, degrees
        self.away = REACH * np.concatenate([np.zeros((1, count)), np.eye(count), -np.eye(count)])

    def at(self, world: Floats) -> tuple[Floats, Floats]:
        """What would be read in a world, (n,), and its slopes, (n, k)."""
        found = self.predict(world + self.away)
        count = len(world)
        return found[0], (found[1 : count + 1] - found[count + 1 :]).T / (2 * REACH)

    def weights(self, predicted: Floats) -> Floats:
        if np.isinf(self.degrees):
            return np.ones(len(self.values))
        apart = ((self.values - predicted) / self.spreads) ** 2
        return np.asarray((self.degrees + 1.0) / (self.degrees + apart))

    def cost(self, predicted: Floats, world: Floats, counted: Floats) -> float:
        apart = ((self.values - predicted) / self.spreads) ** 2
        normal = np.isinf(self.degrees)
        told = 0.5 * apart if normal else 0.5 * (self.degrees + 1.0) * np.log1p(apart / self.degrees)
        return float(0.5 * world @ world + counted @ told)

    def climbed(self, start: Floats, counted: Floats) -> Floats:
        """The most likely world near a start; readings that do not count are 0 in `counted`."""
        world = start
        predicted, slopes = self.at(world)
        for _ in range(MOST_STEPS):
            pull = counted * self.weights(predicted) / self.spreads**2
            precision = np.eye(len(world)) + slopes.T @ (slopes * pull[:, None])
            step = np.linalg.solve(precision, slopes.T @ (pull * (self.values - predicted)) - world)
            cost = self.cost(predicted, world, counted)
            for _ in range(20):
                tried = world + step
                # With its slopes: nearly every step is taken, and the next begins with them.
                predicted, slopes = self.at(tried)
                if self.cost(predicted, tried, counted) <= cost:
                    break
                step = step / 2
            else:
                return world
            world = tried
            if float(np.abs(step).max(initial=0.0)) < SETTLED:
                break
        return world

    def doubtful(self, world: Floats) -> list[int]:
        """Readings that are hardly followed, or were least expected; the worst first."""
        if np.isinf(self.degrees):
            return []
        followed = self.weights(self.at(world)[0])
        before, slopes = self.at(np.zeros(len(world)))
        surprise = np.abs(self.values - before) / np.sqrt(self.spreads**2 + (slopes**2).sum(axis=1))
        asked = [i for i in np.argsort(-surprise) if followed[i] < HALF_FOLLOWED or surprise[i] > 2.0]
        return [int(i) for i in asked[:MOST_RESTARTS]]
