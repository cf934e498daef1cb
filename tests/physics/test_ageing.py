"""How lamps fade: an independent fit, a class that fills in, and hours left by hand."""

import numpy as np
import pytest
from scipy import optimize

from sunfleck.errors import DomainError
from sunfleck.physics.ageing import fading_of, hours_left


def test_many_readings_are_fitted_as_scipy_fits_a_line():
    """With a class that nobody knows it is scipy's weighted line, covariance and all."""
    rng = np.random.default_rng(2)
    hours, spreads = np.array([100.0, 700, 1500, 2600, 3400]), np.array([0.05, 0.04, 0.06, 0.05, 0.03])
    values = -7e-5 * hours + spreads * rng.normal(size=5)
    found = fading_of(hours, values, spreads, 0.0, 1e3)
    line, covariance = optimize.curve_fit(
        lambda h, a, r: a - r * (h - 3400.0), hours, values, sigma=spreads, absolute_sigma=True
    )
    assert (found.level, found.rate) == pytest.approx(tuple(line), rel=1e-5)
    assert found.covariance == pytest.approx(covariance, rel=1e-4)


def test_one_reading_leaves_the_class_its_rate():
    """One reading fixes the level and nothing else."""
    found = fading_of([900.0], [-0.2], [0.08], 6e-5, 1e-5)
    assert (found.level, found.rate) == pytest.approx((-0.2, 6e-5))
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx([0.08, 1e-5])


def test_hours_left_by_hand():
    """Common practice (no source): 62-71 % of a new tube's UV after 4,400 h, 0.5 to 0.8 % in each 100 h and a tenth before."""
    left = hours_left(np.log([0.9 / 0.71, 0.9 / 0.62, 0.5]), [5e-5, 8e-5, 1e-4])
    assert left[:2] == pytest.approx([4400, 4400], rel=0.08)
    assert left[2] == 0.0
    assert np.isinf(hours_left([0.1], [0.0])[0])


@pytest.mark.parametrize(
    "wrong", [([], [], []), ([1.0], [0.0], [0.0]), ([1.0], [np.nan], [1.0]), ([1.0, 2.0], [0.0], [1.0])]
)
def test_what_cannot_be_is_refused(wrong):
    """Nothing read, no spread, not finite, shapes apart."""
    with pytest.raises(DomainError):
        fading_of(*wrong, 1e-5, 1e-5)
