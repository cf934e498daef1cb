"""A target met is one column, safe another."""

import pytest

from sunfleck.studies.meter.target_and_safety import target_and_safety
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import chances
from sunfleck.studies.trace import Number


def verdict(question, state, **numbers):
    id_ = f"{question}:a"
    told = tuple(Number(f"{id_}.{name}", name, value, "", lambda: None) for name, value in numbers.items())
    return Verdict(id_, question, "a", state, "", "", told, "")


CHANCES = {"chance_below": 0.0, "chance_above_comfort": 0.0, "chance_above": 0.0}


@pytest.mark.parametrize(
    ("question", "state", "numbers", "expected"),
    [
        ("uv-floor", "short", {"floor": 1.0, **CHANCES}, ("short", None)),
        ("lamp-guard", "meets", {}, (None, "meets")),
        ("burns", "unknown", {"ceiling": 318.0, **CHANCES, "chance_above": 0.3}, (None, "unknown")),
        ("uv-arrives", "meets", {}, ("meets", None)),
        # Too strong for comfort, and yet never above what harms.
        (
            "uv-ceiling",
            "over",
            {"comfort_ceiling": 3.0, "ceiling": 6.0, **CHANCES, "chance_above_comfort": 0.6},
            ("over", "meets"),
        ),
        # Wanted is nearly all of it, and yet one world in ten is above what harms.
        (
            "uv-ceiling",
            "over",
            {
                "comfort_ceiling": 6.0,
                "ceiling": 6.0,
                **CHANCES,
                "chance_above_comfort": 0.1,
                "chance_above": 0.1,
            },
            ("meets", "over"),
        ),
        (
            "basking-spot",
            "unknown",
            {"floor": 1.0, "ceiling": 2.0, **CHANCES, "chance_below": 0.3, "chance_above": 0.01},
            ("unknown", "meets"),
        ),
    ],
)
def test_each_verdict_is_parted(question, state, numbers, expected):
    """By the rule's own thresholds; what is not asked is None."""
    assert target_and_safety(verdict(question, state, **numbers)) == expected


@pytest.mark.parametrize("above", [0.0, 0.04, 0.05, 0.2])
def test_safe_is_what_the_rule_calls_over(above):
    """The rule itself is the oracle: a ceiling alone, counted in 1,000 worlds."""
    values = (1.0 * (i < 1000 * above) for i in range(1000))
    import numpy as np

    state = chances(np.array(list(values)), safety_ceiling=0.5).state()
    numbers = {"floor": -1.0, "ceiling": 0.5, **CHANCES, "chance_above": above}
    assert (target_and_safety(verdict("basking-spot", "meets", **numbers))[1] == "meets") == (
        state == "meets"
    )


def test_every_verdict_of_the_examples_has_a_column(wholes):
    """None falls out of both; what passes a ceiling is not called safe."""
    for report in wholes.values():
        for each in report.verdicts:
            target, safe = target_and_safety(each)
            assert (target, safe) != (None, None)
            assert each.state != "meets" or safe in (None, "meets")
            assert each.state != "meets" or target in (None, "meets")
