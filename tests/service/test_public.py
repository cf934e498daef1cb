"""The public Python API of the design, and physical sense of the whole chain."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import sunfleck
from oracles.plans import tall_guarded
from sunfleck.errors import DomainError
from sunfleck.plan.read import read_plan_text

POINTS = np.random.default_rng(3).uniform([0.1, 0.1, 0.2], [1.1, 0.6, 1.3], (60, 3))


def test_the_names_of_the_design_exist(tmp_path):
    """read_plan, light_at and check work as the design's page shows them."""
    file = tmp_path / "plan.yaml"
    file.write_text(tall_guarded())
    plan = sunfleck.read_plan(file)
    light = sunfleck.light_at(plan, POINTS, facing="up", lit=None, reflections=True)
    for channel in (light.uvi, light.lux, light.ppfd, light.radiant):
        assert channel.median.shape == channel.low.shape == channel.high.shape == (60,)
        free = ~np.isnan(channel.median)
        assert free.sum() > 30
        assert (channel.low[free] <= channel.median[free]).all()
        assert (channel.median[free] <= channel.high[free]).all()
        assert set(channel.by_fixture) == {"uv tube", "basking lamp", "plant light"}
    assert light.not_included == ()
    direct = sunfleck.light_at(plan, POINTS, reflections=False)
    assert direct.not_included == ("reflections",)
    # What is given back only adds.
    for channel in ("uvi", "lux", "ppfd", "radiant"):
        for name, part in getattr(direct, channel).by_fixture.items():
            free = ~np.isnan(part)
            assert (getattr(light, channel).by_fixture[name][free] >= part[free]).all()


def test_problems_are_on_the_exception():
    """PlanError.problems holds every problem."""
    with pytest.raises(sunfleck.PlanError) as caught:
        read_plan_text("format: 1\n")
    assert {problem.rule for problem in caught.value.problems} == {"schema.missing"}


def test_light_of_all_lamps_is_the_sum_of_each(tall):
    """Superposition: `up` is additive over fixtures with every factor at its middle."""
    together = sunfleck.light_at(tall, POINTS)
    for channel in ("uvi", "lux", "ppfd", "radiant"):
        whole = sum(getattr(together, channel).by_fixture.values())
        alone = sum(
            getattr(sunfleck.light_at(tall, POINTS, lit={name: 1.0}), channel).by_fixture[name]
            for name in together.uvi.by_fixture
        )
        assert np.allclose(whole, alone, rtol=1e-12, equal_nan=True)


def test_half_the_level_is_half_the_light(tall):
    """Scaling: linear in each fixture's output, median and bounds alike."""
    full = sunfleck.light_at(tall, POINTS, lit={"uv tube": 1.0}).uvi
    half = sunfleck.light_at(tall, POINTS, lit={"uv tube": 0.5}).uvi
    for name in ("low", "median", "high"):
        assert np.allclose(getattr(half, name) * 2, getattr(full, name), rtol=1e-12, equal_nan=True)


def test_brightest_is_never_below_up(tall):
    """Turning the receiver to the light cannot lose light."""
    up = sunfleck.light_at(tall, POINTS, "up").lux.median
    brightest = sunfleck.light_at(tall, POINTS, "brightest").lux.median
    free = ~np.isnan(up)
    assert (brightest[free] >= up[free] * (1 - 1e-9)).all()


def test_inside_something_solid_is_no_number(tall):
    """A point in the middle of a limb is NaN, in every channel."""
    light = sunfleck.light_at(tall, [[0.40, 0.33, 1.37]])
    assert np.isnan(light.uvi.median).all()
    assert np.isnan(light.lux.by_fixture["uv tube"]).all()


FLIPPED = POINTS * [1 / 1.2, 0.8, 0.5]
MIRRORED = """
format: 1
name: mirror
enclosure:
  inside: {{width: 100 cm, depth: 60 cm, height: 80 cm}}
  walls: {{default: {{material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}}}}
animals: [{{species: Pogona vitticeps}}]
fixtures:
  - {{name: spot, lamp: halogen-reflector-50w-25deg, at: [{x} cm, 30 cm, 75 cm], aim: [{aim} cm, 30 cm, 0 cm]}}
  - {{name: bar, lamp: led-bar-24w-90cm, from: [{a} cm, 20 cm, 70 cm], to: [{b} cm, 20 cm, 78 cm]}}
ledges:
  - {{name: slab, at: [{slab} cm, 20 cm, 10 cm], size: [20 cm, 20 cm, 20 cm], finish: cork}}
"""


@settings(max_examples=20, deadline=None)
@given(x=st.integers(10, 90), aim=st.integers(5, 95), slab=st.integers(0, 80), a=st.integers(1, 9))
def test_a_mirrored_plan_gives_mirrored_light(x, aim, slab, a):
    """Left and right exchanged: the field is exchanged with them.

    Of direct light. The line of the bar is integrated exactly: 1e-9. The chords of the spot's opening are not
    their own mirror image: where all of it is seen the two sums differ by up to 3e-4; a point in the
    half-shadow of the slab may differ by 1 % of the brightest.
    """
    plan = read_plan_text(MIRRORED.format(x=x, aim=aim, slab=slab, a=a, b=a + 90))
    other = read_plan_text(MIRRORED.format(x=100 - x, aim=100 - aim, slab=80 - slab, a=100 - a, b=10 - a))
    there = FLIPPED * [-1, 1, 1] + [1.0, 0, 0]
    here = sunfleck.light_at(plan, FLIPPED, reflections=False).lux
    mirrored = sunfleck.light_at(other, there, reflections=False).lux
    assert np.allclose(
        here.by_fixture["bar"], mirrored.by_fixture["bar"], rtol=1e-9, atol=1e-6, equal_nan=True
    )
    spot, again = here.by_fixture["spot"], mirrored.by_fixture["spot"]
    assert np.allclose(spot, again, rtol=3e-4, atol=np.nanmax(spot) / 100, equal_nan=True)


def test_a_new_leaf_never_brightens():
    """An occluder can only take direct light away, at every point and in every channel."""
    text = tall_guarded()
    head, tail = text.split("plants:", 1)
    more = head + (
        "plants:\n  - name: new fern\n    crown: {middle: [60 cm, 35 cm, 110 cm], radius: 15 cm, height: 15 cm}\n"
        "    leaf_area: 0.1 m2\n    leaf: {length: 6 cm, width: 3 cm}" + tail
    )
    before = sunfleck.light_at(read_plan_text(text), POINTS, reflections=False)
    after = sunfleck.light_at(read_plan_text(more), POINTS, reflections=False)
    for channel in ("uvi", "lux", "radiant"):
        old, new = getattr(before, channel).median, getattr(after, channel).median
        free = ~np.isnan(new)
        assert (new[free] <= old[free] * (1 + 1e-9)).all()


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (([[0, 0]],), r"shape \(n, 3\)"),
        (([[0, 0, float("nan")]],), "finite"),
        (([[0, 0, 0]], "down"), "'up', 'brightest'"),
        (([[0, 0, 0]], [[0, 0, 2.0]]), "unit normals; got a length of 2"),
        (([[0, 0, 0]], "up", {"sun": 1.0}), "'sun'"),
        (([[0, 0, 0]], "up", {"uv tube": -1.0}), "zero or more; got -1"),
    ],
)
def test_what_cannot_be_asked_is_refused_with_its_number(tall, args, message):
    """Errors of a caller are DomainErrors that name the number."""
    with pytest.raises(DomainError, match=message):
        sunfleck.light_at(tall, *args)


@pytest.mark.parametrize("facing", ["up", "brightest"])
def test_no_points_is_no_light(tall, facing):
    """An empty question has an empty answer."""
    light = sunfleck.light_at(tall, np.zeros((0, 3)), facing)
    assert light.uvi.median.shape == (0,)
    assert light.lux.by_fixture["uv tube"].shape == (0,)
