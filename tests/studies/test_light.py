"""Light fields: brightest direction, media, and the largest value by row."""

from itertools import product
from unittest import mock

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import sunfleck
from sunfleck.brief.build import make_brief
from sunfleck.library.loader import load_library
from sunfleck.plan.read import read_plan_text
from sunfleck.studies import brightest
from sunfleck.studies.brightest import EVEN_DIRECTIONS, brightest_direction
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import interior_of
from sunfleck.studies.light import light_field
from sunfleck.studies.setting import setting_for

BOX = """
format: 1
name: test box
enclosure:
  inside: {{width: 150 cm, depth: 80 cm, height: 100 cm}}
  walls: {{default: {{material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}}}}
animals: [{{species: Pogona vitticeps, name: dragon}}]
fixtures:
  - {{name: spot, lamp: halogen-reflector-50w-25deg, at: [40 cm, 40 cm, 90 cm], aim: [40 cm, 40 cm, 0 cm]{own}}}
  - {{name: other, lamp: halogen-reflector-50w-25deg, at: [{x} cm, 40 cm, {z} cm], aim: [{x} cm, 41 cm, 0 cm]{others}}}
"""
GUARD = ", guard: guard-bar-12mm"


def plan(own="", others="", x=120, z=90):
    return read_plan_text(BOX.format(own=own, others=others, x=x, z=z))


def spot_below(source):
    return sunfleck.light_at(source, [[0.4, 0.4, 0.05]], reflections=False).radiant.by_fixture["spot"][0]


def open_share():
    return load_library().guards["guard-bar-12mm"].open_share.value


def test_light_leaves_its_own_guard_once():
    """Straight below, the guard takes its closed share: within 1 %, the cone of the lamp's opening."""
    assert spot_below(plan(own=GUARD)) / spot_below(plan()) == pytest.approx(open_share(), rel=0.01)


def test_light_goes_through_the_guard_of_another_lamp_twice():
    """A second lamp hung beside the beam, its guard in it: in through one side, out through the other."""
    apart, between = plan(others=GUARD), plan(others=GUARD, x=45.5, z=50)
    assert spot_below(between) / spot_below(apart) == pytest.approx(open_share() ** 2, rel=0.01)


def test_the_body_of_another_lamp_is_opaque():
    """A second lamp hung in the beam stops it; its own body never does."""
    assert spot_below(plan()) > 0
    assert spot_below(plan(x=40, z=50)) == 0


def largest(v):
    """What a receiver gets that is turned to its brightest direction, of terms (t, 1, 3)."""
    return np.maximum(np.einsum("tnk,nk->tn", v, brightest_direction(v)), 0.0).sum()


def vectors(count):
    unit = st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1)).filter(
        lambda v: np.linalg.norm(v) > 0.1
    )
    return st.lists(unit, min_size=count, max_size=count)


@settings(max_examples=200, deadline=None)
@given(st.integers(1, 4).flatmap(vectors))
def test_brightest_is_the_largest_of_20000_directions(found):
    """20,000 random directions, and the sum of every subset of lamps (the exact maximum), are the oracles.

    The search for many lamps is held to 2 % on the same.
    """
    v = np.array(found)[:, None, :]
    ours = largest(v)
    rng = np.random.default_rng(5)
    many = rng.normal(size=(20_000, 3))
    many /= np.linalg.norm(many, axis=1, keepdims=True)
    brute = np.maximum(many @ v[:, 0].T, 0).sum(axis=1).max()
    subsets = np.array(list(product((0, 1), repeat=len(v))))
    exact = np.linalg.norm(subsets @ v[:, 0], axis=1).max()
    assert brute <= exact * (1 + 1e-12)
    assert ours == pytest.approx(exact, rel=1e-12)
    with mock.patch.object(brightest, "MOST_FOR_SUBSETS", 0):
        assert largest(v) >= 0.98 * exact


def test_the_even_directions_are_unit_and_even():
    """160 unit vectors whose mean is zero."""
    assert np.linalg.norm(EVEN_DIRECTIONS, axis=1) == pytest.approx(1.0)
    assert np.linalg.norm(EVEN_DIRECTIONS.mean(axis=0)) < 0.01


def test_the_largest_by_row_is_that_of_all_receivers(tall):
    """Receivers that cannot lead are left out of the search; the maximum over all is the oracle."""
    brief = make_brief(tall)
    setting = setting_for(brief, brief.animals[0], fullest(brief), interior_of(brief))
    for channel in ("uvi", "lux", "ppfd", "radiant"):
        field = setting.channel(channel, "brightest", all_lamps=True)
        values, which = field.largest(setting.reach_receivers)
        everything = field.worlds(setting.reach_receivers)
        assert values == pytest.approx(everything.max(axis=0), rel=1e-12)
        assert set(which) <= set(setting.reach_receivers)


def test_results_do_not_depend_on_the_order_of_points(tall):
    """Determinism: points shuffled give the same numbers, bit for bit."""
    brief = make_brief(tall)
    points = np.random.default_rng(2).uniform([0, 0, 0.15], [1.2, 0.6, 1.5], (700, 3))
    order = np.random.default_rng(3).permutation(700)
    up = (0.0, 0.0, 1.0)
    first = light_field(brief, points, up).channel("lux").middle
    second = light_field(brief, points[order], up).channel("lux").middle
    assert np.array_equal(first[order], second, equal_nan=True)
