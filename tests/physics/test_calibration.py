"""Readings and uncertain factors: closed form, an independent library, slips, and what nobody read of."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from sunfleck.errors import DomainError
from sunfleck.physics.calibration import posterior


def linear(slopes, offset=0.0):
    return lambda worlds: worlds @ np.asarray(slopes).T + offset


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**31), st.integers(1, 6), st.integers(1, 8))
def test_a_linear_world_with_normal_errors_is_conditioned_as_scipy_does(seed, factors, readings):
    """Mode and covariance are those of a joint normal distribution, whose density scipy gives: its maximum and curvature.

    Independent routes: the Schur complement of the joint covariance, and scipy's minimiser on the two densities.
    """
    rng = np.random.default_rng(seed)
    slopes = rng.normal(size=(readings, factors))
    spreads = rng.uniform(0.1, 2.0, readings)
    values = rng.normal(size=readings) * 2
    found = posterior(linear(slopes, 0.3), values, spreads, factors, degrees=np.inf)
    joint = slopes @ slopes.T + np.diag(spreads**2)
    gain = slopes.T @ np.linalg.inv(joint)
    assert found.mode == pytest.approx(gain @ (values - 0.3), abs=1e-7)
    assert found.covariance == pytest.approx(np.eye(factors) - gain @ slopes, abs=1e-7)
    errors = stats.multivariate_normal(values - 0.3, np.diag(spreads**2))
    before = stats.multivariate_normal(np.zeros(factors))
    least = optimize.minimize(
        lambda z: -float(errors.logpdf(slopes @ z) + before.logpdf(z)), np.zeros(factors)
    )
    assert found.mode == pytest.approx(least.x, abs=1e-3)


def test_worlds_have_the_covariance_and_keep_what_nobody_read_of():
    """The symmetric root: drawn worlds have the posterior's covariance; a factor that no reading touches stays as drawn."""
    slopes = np.array([[1.0, 0.5, 0.0], [0.2, 1.0, 0.0]])
    found = posterior(linear(slopes), [0.7, -0.4], [0.3, 0.2], 3)
    drawn = np.random.default_rng(3).normal(size=(200_000, 3))
    worlds = found.worlds(drawn)
    assert np.cov(worlds.T) == pytest.approx(found.covariance, abs=0.01)
    assert worlds.mean(axis=0) == pytest.approx(found.mode, abs=0.01)
    assert np.array_equal(worlds[:, 2], drawn[:, 2])


def test_without_readings_nothing_is_learned():
    """No reading: every factor as before."""
    found = posterior(lambda z: np.zeros((len(z), 0)), [], [], 4)
    assert np.array_equal(found.mode, np.zeros(4))
    assert np.array_equal(found.covariance, np.eye(4))


@pytest.mark.parametrize("slip", [np.log(10.0), -np.log(10.0), np.log(2.54)])
@pytest.mark.parametrize("where", range(6))
def test_one_slip_among_six_is_left_aside_wherever_it_is(slip, where):
    """A reading off by ten, or by inches for centimetres: the rest is followed as if it were not there."""
    slopes = np.array(
        [[0.35, 0, 0.1], [0.35, 0, 0.1], [0.3, 0.05, 0.1], [0, 0.35, 0.1], [0, 0.35, 0.1], [0.05, 0.3, 0.1]]
    )
    truth = np.array([-1.0, 0.5, 0.2])
    values = slopes @ truth + 0.03 * np.array([1, -1, 0.5, -0.5, 1, -1])
    spreads = np.full(6, 0.08)
    kept = np.arange(6) != where
    without = posterior(linear(slopes[kept]), values[kept], spreads[kept], 3)
    values[where] += slip
    found = posterior(linear(slopes), values, spreads, 3)
    assert found.weights[where] < 0.05
    assert int(np.argmax(np.abs(found.apart))) == where
    assert abs(found.apart[where]) > 3.0
    assert slopes @ found.mode == pytest.approx(slopes @ without.mode, abs=0.03)


def test_left_out_is_what_a_fit_without_it_says():
    """`apart` is the distance to the prediction of a fit without that reading, exact for normal errors."""
    rng = np.random.default_rng(5)
    slopes, spreads, values = rng.normal(size=(5, 3)), rng.uniform(0.2, 1.0, 5), rng.normal(size=5)
    found = posterior(linear(slopes), values, spreads, 3, degrees=np.inf)
    for i in range(5):
        kept = np.arange(5) != i
        other = posterior(linear(slopes[kept]), values[kept], spreads[kept], 3, degrees=np.inf)
        width = np.sqrt(spreads[i] ** 2 + slopes[i] @ other.covariance @ slopes[i])
        assert found.apart[i] == pytest.approx((values[i] - slopes[i] @ other.mode) / width)


def test_a_curved_world_is_found_where_scipy_finds_it():
    """A factor with two spreads and a sum of two lamps: the mode is the minimum that scipy finds of the same function."""

    def predict(z):
        lamps = np.exp(np.where(z < 0, 0.40, 0.25) * z)
        return np.log(lamps @ np.array([[2.0, 0.3], [0.4, 1.5]]))

    values, spreads = np.log([1.6, 2.0]), np.array([0.1, 0.1])
    found = posterior(predict, values, spreads, 2)

    def cost(z):
        apart = ((values - predict(z[None, :])[0]) / spreads) ** 2
        return 0.5 * z @ z + 2.5 * np.log1p(apart / 4.0).sum()

    best = min(
        (optimize.minimize(cost, start, method="Nelder-Mead") for start in np.eye(2) - 0.5),
        key=lambda r: r.fun,
    )
    assert cost(found.mode) <= best.fun + 1e-5
    assert found.mode == pytest.approx(best.x, abs=0.02)


@pytest.mark.parametrize(
    ("values", "spreads", "count"),
    [([1.0], [0.0], 1), ([np.nan], [1.0], 1), ([1.0, 2.0], [1.0], 1), ([1.0], [1.0], -1)],
)
def test_what_cannot_be_is_refused(values, spreads, count):
    """Wrong shapes, nothing finite, no spread."""
    with pytest.raises(DomainError):
        posterior(lambda z: np.zeros((len(z), len(values))), values, spreads, count)
