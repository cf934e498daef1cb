"""The factor matrix: seeded, two-piece log-normal, shared."""

import numpy as np
import pytest
from scipy.stats import lognorm

from sunfleck.brief.draws import standard_normals
from sunfleck.brief.factors import SEED, Factor, FactorMatrix, FactorTable
from sunfleck.brief.heat import heat_matrix


def factor(name, low, high):
    return Factor(name, name, low, high, "test", "test")


@pytest.mark.parametrize("share", [0.05, 0.25, 0.5, 0.75, 0.95])
def test_an_even_factor_is_log_normal(share):
    """Scipy's lognorm is the oracle; 4,096 Sobol rows reach its quantiles within 1 %."""
    rows = FactorMatrix.draw((factor("a", 0.35, 0.35),), 4096, 1).multipliers[:, 0]
    assert np.quantile(rows, share) == pytest.approx(lognorm.ppf(share, 0.35), rel=0.01)


def test_a_skewed_factor_keeps_its_middle():
    """Below the middle one spread, above it the other, and the median is 1."""
    rows = FactorMatrix.draw((factor("a", 0.40, 0.20),), 4096, 1).multipliers[:, 0]
    assert np.median(rows) == pytest.approx(1.0, rel=0.005)
    assert np.quantile(rows, 0.05) == pytest.approx(np.exp(-1.645 * 0.40), rel=0.02)
    assert np.quantile(rows, 0.95) == pytest.approx(np.exp(1.645 * 0.20), rel=0.02)


def test_the_same_seed_draws_the_same_rows():
    """Determinism: two draws are bit-identical, another seed is not."""
    factors = (factor("a", 0.3, 0.3), factor("b", 0.1, 0.2))
    first, second = (FactorMatrix.draw(factors, 256, 5).multipliers for _ in range(2))
    assert np.array_equal(first, second)
    assert not np.array_equal(first, FactorMatrix.draw(factors, 256, 6).multipliers)


def test_factors_are_independent():
    """Correlation of the logarithms of two columns is near zero."""
    rows = np.log(FactorMatrix.draw((factor("a", 0.3, 0.3), factor("b", 0.3, 0.3)), 4096, 5).multipliers)
    assert abs(np.corrcoef(rows.T)[0, 1]) < 0.02


def test_the_same_id_is_the_same_column():
    """Two lamps of a class share their class factor."""
    table = FactorTable()
    assert table.add(factor("class:x", 0.3, 0.3)) == table.add(factor("class:x", 0.3, 0.3)) == 0
    assert table.add(factor("class:y", 0.3, 0.3)) == 1


def test_no_factors_is_a_matrix_of_nothing():
    """A plan in which all is known still has rows."""
    matrix = FactorTable().matrix()
    assert matrix.product(()).tolist() == [1.0] * matrix.rows


def test_a_spread_is_the_factors_own_until_readings_narrow_it():
    """Below and above its middle; a shift's in its own unit."""
    lift = Factor("c", "c", 0.02, 0.02, "test", "test", shift=True, unit="m")
    matrix = FactorMatrix.draw((factor("a", 0.40, 0.20), lift), 64, 1)
    assert matrix.spread(0) == (0.40, 0.20)
    assert matrix.spread(1) == (0.02, 0.02)


@pytest.mark.parametrize(("at", "left"), [(1.5, 0.4), (-1.2, 0.5), (0.0, 0.5)])
def test_a_narrowed_spread_is_that_of_the_rows(at, left):
    """Quantiles of 4,096 rows moved and narrowed are the oracle: one standard deviation down and up."""
    drawn = FactorMatrix.draw((factor("a", 0.40, 0.20),), 4096, 1)
    moved = FactorMatrix(drawn.factors, at + left * drawn.normals, 1, np.array([at]), np.array([left]))
    low, middle, high = np.quantile(np.log(moved.multipliers[:, 0]), (0.158655, 0.5, 0.841345))
    assert moved.spread(0) == pytest.approx((middle - low, high - middle), rel=0.02)


def test_heat_is_drawn_apart_from_light():
    """One Sobol sequence scrambled with two seeds goes together (0.7 was found): rows put side by side must not."""
    light = standard_normals(1024, 13, SEED)
    heat = heat_matrix(1024).normals
    together = np.corrcoef(light.T, heat.T)[:13, 13:]
    assert np.abs(together).max() < 0.15
