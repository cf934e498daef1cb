"""What a picture of the box shows is the light of the plan: the same numbers, at its places, after any drag."""

from dataclasses import replace

import numpy as np
import pytest

from sunfleck.brief.build import make_brief
from sunfleck.plan.moved import aimed, moved
from sunfleck.studies.interreflection import QUICK, interior_of
from sunfleck.studies.light import light_field
from sunfleck.studies.shown import (
    AXES,
    DRAGGED,
    OFF_THE_WALL,
    WHILE_DRAGGED,
    Cut,
    Fineness,
    levels_at,
    places_of,
    shown_light,
)

UP = (0.0, 0.0, 1.0)
FEW = Fineness(120, 3, 60, reach=False)


@pytest.fixture(scope="module")
def prepared(tall, arid):
    """Briefs of both examples with their inside."""
    briefs = {name: make_brief(plan) for name, plan in (("tall", tall), ("arid", arid))}
    return {name: (brief, interior_of(brief, None, WHILE_DRAGGED)) for name, brief in briefs.items()}


@pytest.mark.parametrize("name", ["tall", "arid"])
@pytest.mark.parametrize("channel", ["uvi", "lux", "ppfd", "radiant"])
def test_expected_light_is_the_middle_of_the_field_with_its_range(prepared, name, channel):
    """`expected` leaves out what only a range needs; what is left is the same to the last bits."""
    brief, interior = prepared[name]
    inside = brief.surroundings.inside
    points = np.random.default_rng(5).uniform(inside.low + 0.01, inside.high - 0.01, (200, 3))
    field = light_field(brief, points, UP, interior)
    lit = levels_at(brief, 12 * 3600.0)
    whole = field.channel(channel, "normal", lit).middle
    np.testing.assert_allclose(field.expected(channel, "normal", lit), whole, rtol=1e-12, atol=1e-15)


@pytest.mark.parametrize("name", ["tall", "arid"])
def test_towards_the_light_is_never_more_than_the_brightest_direction(prepared, name):
    """The direction of the summed vector is one direction, the brightest is looked for among all: no worse than it."""
    brief, interior = prepared[name]
    inside = brief.surroundings.inside
    points = np.random.default_rng(6).uniform(inside.low + 0.01, inside.high - 0.01, (200, 3))
    field = light_field(brief, points, UP, interior)
    found = field.expected("uvi", "brightest")
    best = field.channel("uvi", "brightest").middle
    upwards = field.expected("uvi", "normal")
    known = np.isfinite(best)
    # The brightest itself is turned to in two steps, not to the last digit.
    assert (found[known] <= best[known] + 1e-3 * best[known].max()).all()
    # Seldom more than some per cent below it, and where most light comes from one side not at all.
    assert np.median(found[known] / best[known]) > 0.999
    assert np.mean(found[known] >= upwards[known] - 1e-12) > 0.95


def test_a_plan_with_readings_takes_the_whole_way(weak_round):
    """Where readings have moved the expected world, leaves and mountings count: then `expected` is `channel` itself."""
    brief = weak_round.brief
    points = np.array([[0.4, 0.3, 0.9], [0.8, 0.4, 0.6]])
    field = light_field(brief, points, UP)
    np.testing.assert_array_equal(field.expected("uvi"), field.channel("uvi").middle)


def test_a_dragged_lamp_gives_what_the_moved_plan_gives(tall):
    """Taking over from the picture before changes nothing; and a lamp moved is the plan with the lamp written there."""
    first = make_brief(tall)
    interior = interior_of(first, None, WHILE_DRAGGED)
    cut = Cut("y", 0.3)
    shown = shown_light(first, first.animals[0], interior, cut, DRAGGED)
    name = tall.plan.fixtures[0].name
    plan = replace(tall, plan=moved(tall.plan, "fixtures", name, (0.0, 0.03, -0.05)))
    after = make_brief(plan, first)
    dragged = shown_light(
        after, after.animals[0], interior_of(after, interior, WHILE_DRAGGED), cut, DRAGGED, shown
    )
    anew = make_brief(plan)
    alone = shown_light(anew, anew.animals[0], interior_of(anew, None, WHILE_DRAGGED), cut, DRAGGED)
    for one, other in zip(dragged.backs("uvi", {name: 1.0}), alone.backs("uvi", {name: 1.0}), strict=True):
        np.testing.assert_allclose(one, other, rtol=1e-9, atol=1e-12)
    before = np.concatenate(shown.backs("uvi", {name: 1.0}))
    assert np.nanmax(np.abs(np.concatenate(dragged.backs("uvi", {name: 1.0})) - before)) > 0.01


def test_fewer_places_are_some_of_all_places(prepared):
    """What is shown while something is dragged are true numbers: those of the whole picture, at fewer places."""
    brief, interior = prepared["arid"]
    few = shown_light(brief, brief.animals[0], interior, None, FEW)
    every = shown_light(brief, brief.animals[0], interior, None, Fineness(120, 1, 10_000, reach=False))
    lit = levels_at(brief, 12 * 3600.0)
    for sparse, dense, a, b in zip(
        few.strips, every.strips, few.backs("lux", lit), every.backs("lux", lit), strict=True
    ):
        # Every sparse place is one of the dense ones, with its value.
        gap = np.abs(sparse.points[:, None, :] - dense.points[None, :, :]).max(axis=2)
        assert gap.min(axis=1).max() < 1e-12
        np.testing.assert_allclose(a, b[gap.argmin(axis=1)], rtol=0.02, atol=1.0, equal_nan=True)


@pytest.mark.parametrize("axis", ["x", "y", "z"])
def test_a_cut_fills_the_box_and_stays_in_it(prepared, axis):
    """Cells of one size from wall to wall; a cut that is asked for outside lies at the wall."""
    brief, _ = prepared["tall"]
    on_cut = places_of(brief, Cut(axis, 99.0), 500)
    inside = brief.surroundings.inside
    assert on_cut.cut.at == inside.high[AXES[axis]] - OFF_THE_WALL
    assert np.ptp(np.diff(on_cut.across)) < 1e-12
    assert np.ptp(np.diff(on_cut.up)) < 1e-12
    assert inside.contains(on_cut.points).all()
    assert len(on_cut.points) == len(on_cut.across) * len(on_cut.up)


def test_lamps_are_lit_at_their_hours(prepared):
    """At noon the lamps whose hours hold noon, at night none."""
    brief, _ = prepared["arid"]
    assert set(levels_at(brief, 12 * 3600.0)) == {fixture.name for fixture in brief.fixtures}
    assert levels_at(brief, 2 * 3600.0) == {}


def test_a_part_moves_as_a_whole_and_nothing_else(tall):
    """All points of a branch move alike and its lamps stay; a lamp that moves goes on pointing the way it does."""
    name = tall.plan.perches[0].name
    plan = moved(tall.plan, "perches", name, (0.01, -0.02, 0.03))
    delta = np.array(plan.perches[0].path) - np.array(tall.plan.perches[0].path)
    np.testing.assert_allclose(delta, np.broadcast_to([0.01, -0.02, 0.03], delta.shape))
    assert plan.fixtures == tall.plan.fixtures
    assert plan.perches[1:] == tall.plan.perches[1:]
    lamp = next(fixture for fixture in tall.plan.fixtures if fixture.aim is not None)
    lower = next(
        f for f in moved(tall.plan, "fixtures", lamp.name, (0.0, 0.0, -0.1)).fixtures if f.name == lamp.name
    )
    np.testing.assert_allclose(np.subtract(lower.aim, lower.at), np.subtract(lamp.aim, lamp.at), atol=1e-12)
    turned = aimed(tall.plan, lamp.name, (0.1, 0.2, 0.3))
    assert next(f for f in turned.fixtures if f.name == lamp.name).aim == (0.1, 0.2, 0.3)
    assert moved(tall.plan, "nothing", "at all", (1, 1, 1)) == tall.plan


def test_quick_and_dragged_light_are_close(prepared):
    """Fewer rays of what is reflected: within 8 % of the brightest place, rms, of the settled picture."""
    brief, coarse = prepared["arid"]
    fine = interior_of(brief, None, QUICK)
    lit = levels_at(brief, 12 * 3600.0)
    for channel in ("uvi", "lux"):
        a, b = (
            np.concatenate(shown_light(brief, brief.animals[0], inner, None, DRAGGED).backs(channel, lit))
            for inner in (coarse, fine)
        )
        assert np.sqrt(np.nanmean((a - b) ** 2)) < 0.08 * np.nanmax(b)
