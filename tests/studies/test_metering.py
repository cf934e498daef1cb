"""Where to hold the meter, and which reading settles a verdict."""

import numpy as np
import pytest

from sunfleck.brief.evidence import METER
from sunfleck.brief.givens import Given
from sunfleck.outputs.words import report_text
from sunfleck.studies.metering import settling_numbers
from sunfleck.studies.rule import chances


def limit(value):
    return Given("x", "a limit", value, "UVI", "given", "a test", "given", "")


@pytest.mark.parametrize("share", [0.98, 1.02])
def test_a_reading_at_the_limit_just_settles_it(share):
    """A million meters that are 10 % off, seed 3: 2 % inside the reading told it meets, 2 % beyond it does not."""
    spread = np.exp(METER * np.random.default_rng(3).standard_normal(1_000_000))
    least, most = settling_numbers("v", floor=limit(1.0), ceiling=limit(3.0))
    assert (chances(share * most.value * spread, safety_ceiling=3.0).state() == "meets") == (share < 1)
    assert (chances(share * least.value * spread, floor=1.0).state() == "meets") == (share > 1)


def test_the_stricter_of_target_and_ceiling_counts():
    """Wanted at most 5, never above 6: the target is met by 80 %, the ceiling passed by less than 5 %."""
    (most,) = settling_numbers("v", target=limit(5.0), ceiling=limit(6.0))
    assert most.value == pytest.approx(5.0 * np.exp(-0.842 * METER))
    (most,) = settling_numbers("v", target=limit(3.0), ceiling=limit(3.0))
    assert most.value == pytest.approx(3.0 * np.exp(-1.645 * METER))
    assert most.trace().closes()


def test_the_page_says_where_to_measure_first(reports):
    """What does not meet comes first; each with its place and the reading that settles it."""
    page = report_text(reports["tall"], "metric")
    lines = page[page.index("MEASURE FIRST") : page.index("LAMPS AS PLANNED")]
    assert "a reading of at most 2.5 UVI" in " ".join(lines.split())
    assert lines.index("strongest UV index") < lines.index("UV index at the basking place")
    assert "Places count from the inside front left bottom corner" in " ".join(page.split())
