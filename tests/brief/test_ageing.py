"""UV that fades with the hours a tube has burned."""

import numpy as np
import pytest

from sunfleck.brief.build import make_brief
from sunfleck.plan.read import read_plan_text
from sunfleck.service.starting import starter_text

# The arid example has two tubes with readings; without them, and with an age, the class value fades.
TRAVEL = "    travel: 12 cm\n"


def tube(age=None, *, metered=False):
    lines = starter_text("arid").split("\n")
    if not metered:
        lines = [line for line in lines if "evidence:" not in line and "{distance" not in line]
    text = "\n".join(lines)
    if age is not None:
        text = text.replace(TRAVEL, f"{TRAVEL}    age: {age}\n")
    brief = make_brief(read_plan_text(text))
    output = brief.fixtures[0].outputs["uvi"]
    return output.value, brief.matrix.product(output.factors)


def test_a_year_of_burning_leaves_what_the_trade_says():
    """Common practice, no source: after 4,400 h 62 to 71 % of a new tube are left; new is 10 % above 100 h."""
    new, old = tube("0 h")[0], tube("4400 h")[0]
    print(f"left after 4,400 h: {old / new:.0%} of new")
    assert new / tube()[0] == pytest.approx(1.10)
    assert 0.62 <= old / new <= 0.71
    # The whole of 0.5 to 0.8 % in 100 h, nine times of ten.
    value, rows = tube("4400 h")
    fresh = tube("100 h")[1]
    spread = np.sqrt(np.var(np.log(rows)) - np.var(np.log(fresh)))
    assert spread == pytest.approx(0.0065 * 43 * 0.14, rel=0.3)
    assert value == pytest.approx(tube()[0] * np.exp(-0.0065 * 43))


def test_just_run_in_is_what_an_unstated_age_is_taken_for():
    """100 h: the reference of the library."""
    assert tube("100 h")[0] == pytest.approx(tube()[0], rel=1e-12)


def test_more_hours_never_give_more_light():
    """Monotone over a tube's life."""
    values = [tube(f"{h} h")[0] for h in (0, 50, 100, 500, 2000, 8000)]
    assert values == sorted(values, reverse=True)


def test_a_reading_stands_above_an_age():
    """What was read was read of the lamp as old as it is."""
    assert tube("3000 h", metered=True)[0] == tube(metered=True)[0]
