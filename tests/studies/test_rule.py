"""The verdict rule, at and beside each of its thresholds (decision record 0006)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.studies.rule import Chances, chances, row_at


@pytest.mark.parametrize(
    ("counts", "state"),
    [
        ({"above_safety": 50, "inside": 950}, "over"),
        ({"above_safety": 49, "inside": 951}, "meets"),
        ({"above_comfort": 500, "inside": 500}, "over"),
        ({"above_comfort": 499, "inside": 501}, "unknown"),
        ({"below": 500, "inside": 500}, "short"),
        ({"below": 499, "inside": 501}, "unknown"),
        ({"below": 200, "inside": 800}, "meets"),
        ({"below": 201, "inside": 799}, "unknown"),
        ({"below": 600, "above_safety": 50, "inside": 350}, "over"),
    ],
)
def test_each_threshold_turns_the_verdict(counts, state):
    """At the threshold the verdict turns; one row of a thousand beside it, it does not. Safety goes first."""
    made = {"rows": 1000, "below": 0, "above_comfort": 0, "above_safety": 0, "inside": 0} | counts
    assert Chances(**made).state() == state


@given(
    st.lists(st.floats(0, 20), min_size=1, max_size=200),
    st.floats(0, 10),
    st.floats(0, 10),
)
def test_rows_are_counted_once(values, floor, ceiling):
    """Below, above and inside add up to all rows when floor is not above ceiling."""
    low, high = sorted((floor, ceiling))
    counted = chances(np.array(values), floor=low, safety_ceiling=high)
    assert counted.below + counted.above_safety + counted.inside == counted.rows == len(values)


@given(st.lists(st.floats(-5, 5), min_size=1, max_size=300), st.floats(0.001, 1.0))
def test_a_quantile_is_a_row_by_nearest_rank(values, share):
    """Numpy's inverted_cdf method is the oracle."""
    array = np.array(values)
    assert array[row_at(array, share)] == np.quantile(array, share, method="inverted_cdf")
