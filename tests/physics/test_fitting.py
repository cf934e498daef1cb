"""The fit of one level to readings: against least squares by another route, and its limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from sunfleck.errors import DomainError
from sunfleck.physics.fitting import fit_level


@given(st.integers(1, 12), st.integers(0, 3), st.integers(0, 10_000))
def test_it_is_least_squares_on_whitened_readings(count, shared, seed):
    """Independent route: numpy.linalg.lstsq on readings divided by the Cholesky factor of their covariance."""
    rng = np.random.default_rng(seed)
    values, own = rng.normal(size=count), rng.uniform(0.05, 0.5, count)
    loads = 0.3 * rng.integers(0, 2, (count, shared))
    fit = fit_level(values, own, loads)
    whitener = np.linalg.inv(np.linalg.cholesky(np.diag(own**2) + loads @ loads.T))
    level, *_ = np.linalg.lstsq(whitener @ np.ones((count, 1)), whitener @ values, rcond=None)
    assert fit.level == pytest.approx(level[0], rel=1e-9, abs=1e-9)
    assert fit.weights.sum() == pytest.approx(1.0)
    assert np.allclose(fit.residuals, values - fit.level)


@given(st.lists(st.floats(-3, 3), min_size=2, max_size=9), st.floats(0, 2))
def test_an_error_that_all_share_moves_no_weight(values, shared):
    """A meter that reads high reads high everywhere: equal weights, however bad it is."""
    fit = fit_level(values, np.full(len(values), 0.1), np.full((len(values), 1), shared))
    assert fit.level == pytest.approx(np.mean(values), abs=1e-9)
    assert fit.spread == pytest.approx(0.1 / np.sqrt(len(values)))


def test_what_is_off_the_others_is_normal_when_nothing_is_wrong():
    """4,000 sets of three sound readings (seed 8): the difference over its spread passes a normal test."""
    rng = np.random.default_rng(8)
    own, loads = np.array([0.1, 0.15, 0.2]), np.array([[0.1], [0.1], [0.0]])
    found = []
    for _ in range(4000):
        values = own * rng.normal(size=3) + loads @ rng.normal(size=1)
        fit = fit_level(values, own, loads)
        found.append((fit.apart / fit.apart_spread)[0])
    assert stats.kstest(found, "norm").pvalue > 0.01


def test_readings_that_scatter_more_say_so():
    """Chi-square over its degrees of freedom, by hand: 0 and 1 with errors of 0.1 are 7.07 times too far apart."""
    assert fit_level([0.0, 1.0], [0.1, 0.1], np.zeros((2, 0))).scatter == pytest.approx(np.sqrt(50.0))
    assert fit_level([0.0, 0.05], [0.1, 0.1], np.zeros((2, 0))).scatter == 1.0
    assert fit_level([0.7], [0.1], np.zeros((1, 0))).scatter == 1.0


@pytest.mark.parametrize(
    ("values", "own", "shared", "words"),
    [
        ([], [], np.zeros((0, 0)), r"got \(0,\)"),
        ([1.0], [0.0], np.zeros((1, 0)), "above zero; got 0"),
        ([1.0, 2.0], [0.1], np.zeros((2, 0)), r"\(1,\)"),
        ([1.0], [0.1], [0.1], r"\(1,\)"),
    ],
)
def test_what_cannot_be_fitted_is_refused(values, own, shared, words):
    """Shapes and errors of no size, named with what was given."""
    with pytest.raises(DomainError, match=words):
        fit_level(values, own, shared)
