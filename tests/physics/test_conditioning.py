"""What readings leave unknown, against general solutions and against every set of small cases."""

from itertools import combinations

import numpy as np
import pytest
from scipy import linalg, stats

from sunfleck.errors import DomainError
from sunfleck.physics.conditioning import chosen_readings, covariance_left

N, T, S = 7, 3, 2
# Of what the best set takes away, one after another takes at least this where gains only shrink (Nemhauser, Wolsey and
# Fisher 1978, from memory). Variances need not be so; in the cases here it is 0.80 at worst, and 1 in five of eight.
LEAST_SHARE = 1 - np.exp(-1.0)


def case(seed, n=N, t=T):
    """A covariance of n readings and t targets, own and shared errors."""
    rng = np.random.default_rng(seed)
    factors = rng.normal(size=(n + t, n + 2))
    return factors @ factors.T, rng.uniform(0.3, 1.5, n), rng.normal(size=(n, S))


@pytest.mark.parametrize("seed", range(5))
def test_what_is_left_is_the_error_of_the_best_linear_guess(seed):
    """Held against least squares of drawn factors: the quantities and errors as columns of independent normals."""
    rng = np.random.default_rng(seed)
    factors = rng.normal(size=(N + T, N + 2))
    own, shared = rng.uniform(0.3, 1.5, N), rng.normal(size=(N, S))
    read = [1, 4, 5]
    # Every reading and target as a row over independent unit normals: the residual of their projection is what is left.
    readings = np.hstack([factors[read], shared[read], np.diag(own)[read]])
    targets = np.hstack([factors[N:], np.zeros((T, S + N))])
    weights, *_ = linalg.lstsq(readings.T, targets.T)
    residual = targets.T - readings.T @ weights
    found = covariance_left(factors @ factors.T, own, shared, read)
    np.testing.assert_allclose(found, residual.T @ residual, rtol=1e-9, atol=1e-9)


def test_what_is_left_is_the_ratio_of_densities():
    """Log determinants of the joint and of the readings differ by that of what is left (scipy's normal densities)."""
    whole, own, shared = case(11)
    read = np.array([0, 3])
    noisy = whole.copy()
    noisy[:N, :N] += shared @ shared.T + np.diag(own**2)
    both = np.concatenate([read, np.arange(N, N + T)])
    zero = np.zeros(len(both))
    joint = stats.multivariate_normal(zero, noisy[np.ix_(both, both)]).logpdf(zero)
    alone = stats.multivariate_normal(zero[: len(read)], noisy[np.ix_(read, read)]).logpdf(zero[: len(read)])
    left = stats.multivariate_normal(zero[:T], covariance_left(whole, own, shared, read)).logpdf(zero[:T])
    assert joint - alone == pytest.approx(left, abs=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_one_after_another_is_all_at_once(seed):
    """Variances step by step are those of the direct solution of all readings so far."""
    whole, own, shared = case(seed)
    station = np.array([0, 0, 1, 2, 2, 3, 4])
    found = chosen_readings(whole, own, shared, station, np.ones(T), 4)
    assert len(set(found.order.tolist())) == len(found.order) == 4
    for k in range(5):
        read = np.flatnonzero(np.isin(station, found.order[:k]))
        np.testing.assert_allclose(
            found.variances[k], np.diag(covariance_left(whole, own, shared, read)), rtol=1e-8
        )
    assert (np.diff(found.variances, axis=0) <= 1e-9).all(), "no reading makes anything less known"


@pytest.mark.parametrize("seed", range(8))
def test_against_every_set(seed):
    """The first is the best single one; three in a row take away most of what the best three of all do."""
    whole, own, shared = case(seed)
    weights = np.array([1.0, 2.0, 0.5])
    left = {
        chosen: float(np.diag(covariance_left(whole, own, shared, chosen)) @ weights)
        for size in (1, 3)
        for chosen in combinations(range(N), size)
    }
    found = chosen_readings(whole, own, shared, np.arange(N), weights, 3)
    assert found.order[0] == min(range(N), key=lambda k: left[(k,)])
    triples = [value for chosen, value in left.items() if len(chosen) == 3]
    start, greedy = (float(found.variances[k] @ weights) for k in (0, -1))
    share = (start - greedy) / (start - min(triples))
    print(f"seed {seed}: takes away {share:.3f} of what the best three do")
    assert share >= LEAST_SHARE
    # Better than most sets of three, whatever the share.
    assert np.mean(np.array(triples) < greedy - 1e-12) < 0.35


def test_a_meter_that_is_off_cannot_correct_itself():
    """However often one meter is read, what is left of a target is at least what its own error hides."""
    n, off, spread = 200, 0.1, 0.3
    whole = np.full((n + 1, n + 1), spread**2)
    left = covariance_left(whole, np.full(n, 0.05), np.full((n, 1), off), np.arange(n))
    assert left[0, 0] == pytest.approx(1 / (1 / spread**2 + 1 / (off**2 + 0.05**2 / n)), rel=1e-9)


def test_stations_taken_come_first_and_count():
    """Those taken stand in their order, then the best of the rest; all of them stay where they are more than asked for."""
    whole, own, shared = case(3)
    found = chosen_readings(whole, own, shared, np.arange(N), np.ones(T), 4, taken=[5, 2])
    assert found.order[:2].tolist() == [5, 2]
    assert len(found.order) == 4
    assert len(chosen_readings(whole, own, shared, np.arange(N), np.ones(T), 1, taken=[5, 2]).order) == 2
    assert len(chosen_readings(whole, own, shared, np.arange(N), np.ones(T), 99).order) == N


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"own": np.zeros(N)}, "own errors must be above zero"),
        ({"weights": -np.ones(T)}, "weights must be zero or more"),
        ({"covariance": np.ones((3, 4))}, "must be square"),
        ({"shared": np.ones((2, 1))}, "a row for each reading"),
        ({"shared": np.full((N, 1), np.nan)}, "finite"),
        ({"station": np.arange(3)}, "a station for each of 7"),
        ({"taken": [44]}, "must have a reading"),
    ],
)
def test_refusals(change, words):
    """Each wrong input is told with what was needed."""
    whole, own, shared = case(0)
    given = {
        "covariance": whole,
        "own": own,
        "shared": shared,
        "station": np.arange(N),
        "weights": np.ones(T),
    }
    with pytest.raises(DomainError, match=words):
        chosen_readings(**{**given, "count": 2, **change})
    with pytest.raises(DomainError, match="named once"):
        covariance_left(whole, own, shared, [1, 1])
