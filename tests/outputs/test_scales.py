"""Promises of scales and rulers: round numbers, and colours that serve where an animal sits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.outputs.scales import METRIC, US, colour_scale, level_words, number_words, round_step

POSITIVE = st.floats(min_value=1e-6, max_value=1e6)


@given(values=st.lists(st.floats(min_value=0, max_value=1e6), min_size=1, max_size=30))
def test_a_scale_covers_what_it_should(values: list[float]):
    """Levels are even, few, end at the top; a value beyond the top is admitted."""
    field = np.array(values)
    scale = colour_scale([], [field], None, None)
    assert 1 <= len(scale.levels) <= 8
    assert scale.levels[-1] == scale.top
    assert np.diff((0.0, *scale.levels)) == pytest.approx(scale.levels[0], rel=1e-6)
    assert scale.goes_on == (field.max() > scale.top)
    assert (field <= scale.top).mean() >= 0.9 or scale.goes_on


@given(about=POSITIVE)
def test_steps_are_round(about: float):
    """A step is 1, 2, 2.5 or 5 times a power of ten, and not more than 2.5 times what was wanted."""
    step = round_step(about)
    assert about * (1 - 1e-6) <= step <= 2.5 * about * (1 + 1e-6)
    lead = float(f"{step:.6e}".split("e")[0])
    assert lead in (1.0, 2.0, 2.5, 5.0)


def test_a_lamp_does_not_wash_out_the_perches():
    """One glaring cell beside a lamp leaves the scale to the places where an animal sits."""
    cut = np.array([0.5, 1.0, 2.0, 900.0])
    assert colour_scale([cut], [np.linspace(0, 4, 50)], 3.0, 6.0).top == 8
    assert colour_scale([cut], [np.linspace(0, 4, 50)], 3.0, 6.0).goes_on
    assert colour_scale([np.linspace(0, 4, 50)], [], 3.0, 6.0).top == 4


def test_targets_are_on_the_scale():
    """Dim light is shown against the floor it misses; light above the ceiling beside the ceiling."""
    assert colour_scale([np.array([0.1, 0.2])], [], 3.0, 6.0).top == 3
    assert colour_scale([np.array([7.0, 7.0])], [], None, 6.0).top >= 7.5


def test_nothing_lit():
    """Zero, nothing and NaN give a scale from zero to one."""
    for fields in ([], [np.zeros(4)], [np.full(3, np.nan)]):
        assert colour_scale(fields, [], None, None).top == 1.0


def test_digits():
    """UV index to 0.1, other channels to two digits, levels without needless zeros (design decision 0010)."""
    assert number_words(3.14159, "uvi") == "3.1"
    assert number_words(12345.6, "lux") == "12,346"
    assert number_words(0.123, "radiant") == "0.12"
    assert [level_words(v) for v in (0.25, 2.0, 2.5, 12500.0)] == ["0.25", "2", "2.5", "12,500"]


@given(low=st.floats(0, 2), length=st.floats(0.05, 6))
@pytest.mark.parametrize("ruler", [METRIC, US])
def test_ticks_lie_on_the_axis(ruler, low: float, length: float):
    """Ticks lie inside, at whole steps of the user's unit, and are neither none nor many."""
    ticks = ruler.ticks(low, low + length)
    step = ruler.step(length, 5)
    assert len(ticks) <= 8
    assert ((ticks >= low - 1e-6) & (ticks <= low + length + 1e-6)).all()
    assert ticks * ruler.metre / step == pytest.approx(np.round(ticks * ruler.metre / step), abs=1e-6)


def test_lengths_in_words():
    """An inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""
    assert METRIC.words(0.854) == "85 cm"
    assert US.words(48 * 0.0254) == "48 in"
    assert US.words(47.5 * 0.0254) == "47.5 in"
