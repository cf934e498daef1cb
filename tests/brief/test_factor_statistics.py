"""The factor matrix against a million independent samples, and what a better meter is worth."""

import numpy as np
import pytest
from scipy import stats

from sunfleck.brief.factors import Factor, FactorPower, FactorTable
from sunfleck.studies.rule import QUANTILES, chances, row_at

SAMPLES = 1_000_000


def factor(id_, spread):
    return Factor(id_, id_, spread, spread, "a test", "given")


def rows_of_two_lamps(shared):
    """Light of two lamps of 3 and 2 UVI, of one class or of two."""
    table = FactorTable()
    one = table.add(factor("class:a", 0.35)), table.add(factor("piece:0", 0.10))
    two = table.add(factor("class:a" if shared else "class:b", 0.35)), table.add(factor("piece:1", 0.10))
    matrix = table.matrix()
    one, two = (tuple(FactorPower(column) for column in columns) for columns in (one, two))
    return 3.0 * matrix.product(one) + 2.0 * matrix.product(two)


@pytest.mark.parametrize("shared", [True, False])
def test_sums_of_log_normals_agree_with_a_million_samples(shared):
    """scipy.stats.lognorm, seed 5: 5, 50 and 95 % of the sum of two lamps to 2 %."""
    rng = np.random.default_rng(5)
    draw = lambda s: stats.lognorm.rvs(s, size=SAMPLES, random_state=rng)  # noqa: E731
    first, second = draw(0.35), draw(0.35)
    samples = 3.0 * first * draw(0.10) + 2.0 * (first if shared else second) * draw(0.10)
    rows = rows_of_two_lamps(shared)
    for share in QUANTILES.values():
        expected = np.quantile(samples, share)
        assert rows[row_at(rows, share)] == pytest.approx(expected, rel=0.02), share


def test_lamps_of_one_class_spread_wider_than_lamps_of_two():
    """The shared factor does not average out: closed form, ln-sd 0.35 against 0.35 sqrt(9 + 4) / 5 = 0.25."""
    spreads = {shared: np.std(np.log(rows_of_two_lamps(shared))) for shared in (True, False)}
    print(f"one class {spreads[True]:.3f}, two classes {spreads[False]:.3f}")
    pieces = 0.10 * np.sqrt(13) / 5
    assert spreads[True] == pytest.approx(np.hypot(0.35, pieces), rel=0.05)
    assert spreads[False] == pytest.approx(np.hypot(0.35, 0.10) * np.sqrt(13) / 5, rel=0.07)


def test_a_better_meter_never_makes_a_true_meets_less_likely():
    """Issue: on average over 2,000 true lamps (seed 6) whose light is enough, and readings of each by five meters."""
    rng = np.random.default_rng(6)
    truth = 3.0 * np.exp(0.35 * rng.standard_normal(2000))
    floor = 2.5
    enough = truth[truth >= floor]
    errors = rng.standard_normal(len(enough))
    likely = []
    for spread in (0.30, 0.20, 0.15, 0.10, 0.05):
        table = FactorTable()
        table.add(factor("meter:any", spread))
        rows = table.matrix().product((FactorPower(0),))
        read = enough * np.exp(spread * errors)
        states = [chances(value * rows, floor=floor).state() for value in read]
        likely.append(np.mean([state == "meets" for state in states]))
    print("true meets found by meters of 30, 20, 15, 10, 5 %:", [f"{share:.0%}" for share in likely])
    assert (np.diff(likely) > 0).all()
