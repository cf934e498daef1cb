"""Stations: where a reading tells most, in reach of an arm, and kept where the plan has them."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from sunfleck.geometry.rays import ray_scene
from sunfleck.physics.conditioning import covariance_left
from sunfleck.plan.read import read_plan_text
from sunfleck.service.resolved import resolved
from sunfleck.service.starting import starter_text
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.meter import choice as choosing
from sunfleck.studies.meter.arm import ARM, LONGEST, ways_in
from sunfleck.studies.meter.spots import APART, on_the_tape
from sunfleck.studies.meter.stations import propose
from sunfleck.studies.meter.wanted import times
from sunfleck.studies.rule import QUANTILES, row_at

RANDOM, SEED, SIX = 200, 7, 6


@pytest.fixture(scope="module")
def choices(tall, arid, reports):
    """What stations are chosen from, once for each example."""
    assert reports
    found = {}
    for name, plan in (("tall", tall), ("arid", arid)):
        ready = resolved(plan)
        found[name] = choosing.choice_of(ready.brief, ready.interior(QUICK))
    return found


def rows_of(choice, stations):
    return np.flatnonzero(np.isin(choice.prospect.station, stations))


@pytest.mark.parametrize("name", ["tall", "arid"])
def test_chosen_stations_beat_random_ones(choices, name):
    """What six chosen stations leave unknown is less than the mean of 200 random sixes leaves, and than most of them."""
    choice = choices[name]
    prospect, whole = choice.prospect, choice.prospect.covariance()
    chosen = choice.chosen(SIX, whole)
    rng = np.random.default_rng(SEED)
    at_random = []
    for _ in range(RANDOM):
        six = rng.choice(choice.candidates, SIX, replace=False)
        left = covariance_left(whole, prospect.own, prospect.shared, rows_of(choice, six))
        at_random.append(float(np.diag(left) @ prospect.weights))
    ours = float(chosen.variances[-1] @ prospect.weights)
    before = float(chosen.variances[0] @ prospect.weights)
    share = np.mean(np.array(at_random) < ours)
    print(
        f"{name}: {before:.4f} before, {ours:.4f} after the chosen six, random {np.mean(at_random):.4f}, better {share:.1%}"
    )
    assert ours < np.mean(at_random) < before
    assert share < 0.05


@pytest.mark.parametrize("name", ["tall", "arid"])
def test_other_places_are_foretold_better(choices, name):
    """Worlds not used for the choice, read with drawn errors: the light at twenty other places is foretold with less error.

    UV at the places, meter errors left out; against the mean of forty random sixes, the same worlds and draws.
    """
    choice = choices[name]
    prospect = choice.prospect
    # Every second world makes the covariance and the choice, the others are the truth.
    whole = prospect.covariance(slice(0, None, 2))
    chosen = choice.chosen(SIX, whole).order
    rng = np.random.default_rng(SEED)
    uv = np.array([channel == "uvi" for channel in prospect.channel])
    others = rng.permutation(
        [k for k in choice.candidates if k not in chosen and uv[rows_of(choice, [k])].any()]
    )[:20]
    assert len(others) == 20
    targets = np.array([k for k in rows_of(choice, others) if uv[k]])
    light = prospect.light[targets]

    def error(stations, draws):
        read = rows_of(choice, stations)
        logs, own, shared = prospect.logs[read], prospect.own[read], prospect.shared[read]
        learn, truth = slice(0, None, 2), slice(1, None, 2)
        middle, known = logs[:, learn].mean(axis=1), light[:, learn].mean(axis=1)
        together = np.cov(np.concatenate([logs, light])[:, learn])
        n = len(read)
        noise = shared @ shared.T + np.diag(own**2)
        gain = np.linalg.solve(together[:n, :n] + noise, together[:n, n:])
        errors = np.linalg.cholesky(noise) @ draws[:n]
        said = logs[:, truth] + errors - middle[:, None]
        return float(np.sqrt(np.mean((known[:, None] + gain.T @ said - light[:, truth]) ** 2)))

    draws = rng.standard_normal((2 * SIX, prospect.logs.shape[1] // 2))
    rest = [k for k in choice.candidates if k not in others]
    random = [error(rng.choice(rest, SIX, replace=False), draws) for _ in range(40)]
    unread = float(np.sqrt(np.mean((light[:, 1::2] - light[:, ::2].mean(axis=1)[:, None]) ** 2)))
    ours = error(chosen, draws)
    print(
        f"{name}: rms of the logarithm unread {unread:.4f}, chosen {ours:.4f}, random {np.mean(random):.4f}"
    )
    assert ours < np.mean(random) < unread


@pytest.mark.parametrize("name", ["tall", "arid"])
def test_an_arm_gets_to_every_chosen_station(choices, name):
    """Within 60 cm of a door's opening by its straight line, which is free in our own tree of boxes too."""
    choice = choices[name]
    around = choice.settings[0].brief.surroundings
    tree = ray_scene(around.triangles, library=False)
    for k in choice.chosen(SIX).order:
        way, point = choice.ways[k], choice.spots[k].point
        assert way is not None
        assert way.far <= ARM < LONGEST
        assert not around.solid_at(point[None, :])[0]
        door = next(d for d in choice.settings[0].brief.plan.enclosure.doors if d.name == way.door)
        # Both examples have their doors in front: along y to the nearest place of the opening, at least.
        low, high = np.array(door.at), np.array(door.at) + np.array(door.size)
        nearest = np.clip(point[[0, 2]], low, high)
        straight = np.array([nearest[0], 0.001, nearest[1]])
        assert way.far >= np.linalg.norm(point - straight) - 0.06
        if way.far < np.linalg.norm(point - straight) + 1e-3:
            assert not tree.occluded(straight[None, :], point[None, :])[0]


def test_no_arm_goes_through_a_hide_or_a_wall(choices):
    """The cool cave opens to the right: its left part has no straight way. Nor has a place beyond the longest arm."""
    brief = choices["arid"].settings[0].brief
    in_the_cave, beside_it, outside = [1.15, 0.2, 0.2], [1.0, 0.2, 0.2], [0.8, 0.8, 0.5]
    ways = ways_in(brief, np.array([in_the_cave, beside_it, outside]))
    assert ways[0] is None
    assert ways[1].door == "sliding pane right"
    assert ways[1].far == pytest.approx(0.2 - 0.001, abs=0.01)
    assert ways[2] is None


@pytest.mark.parametrize("name", ["tall", "arid"])
def test_places_are_apart_on_the_tape_and_where_the_animal_is(choices, name):
    """No two candidates within 8 cm, each on a mark of the tape, each at a back point to half a centimetre."""
    choice = choices[name]
    points = np.array([spot.point for spot in choice.spots])
    apart = np.linalg.norm(points[:, None] - points, axis=2) + np.eye(len(points))
    assert apart.min() >= APART - 1e-9
    np.testing.assert_allclose(on_the_tape(points, "metric"), points, atol=1e-12)
    backs = np.concatenate([strip.points for strip in choice.settings[0].strips])
    assert max(np.abs(backs - point).max(axis=1).min() for point in points) <= 0.0025 + 1e-9


@pytest.mark.parametrize("name", ["tall", "arid"])
def test_ranges_before_any_reading_are_those_of_the_check(choices, reports, name):
    """The width told of floor and ceiling is that of the verdict's own range, as far as it is log-normal."""
    choice = choices[name]
    judged = [each for each in choice.prospect.wanted if each.judged]
    assert {each.id.split(":")[0] for each in judged} == {"uv-floor", "uv-ceiling"}
    for each in judged:
        verdict = next(v for v in reports[name].verdicts if v.id == each.id)
        ratio = verdict.number("high").value / verdict.number("low").value
        assert times(float(each.logs.var())) == pytest.approx(ratio, rel=0.06)
        assert np.exp(each.logs[row_at(each.logs, QUANTILES["expected"])]) == pytest.approx(
            verdict.number("expected").value, rel=1e-9
        )


def test_a_second_meter_tells_more(choices):
    """With the meter that the lamps were read with its own error stays; with another one less of the range is left."""
    choice = choices["tall"]
    order = choice.chosen(SIX).order
    left = []
    for prospect in (choice.prospect, choice.prospect.with_another_meter()):
        read = rows_of(choice, order)
        after = covariance_left(prospect.covariance(), prospect.own, prospect.shared, read)
        left.append(np.diag(after)[0])
    meter = next(f for f in choice.settings[0].brief.matrix.factors if f.group == "meter")
    assert left[0] > left[1]
    # The floor is all of one tube, read with one meter: its error cannot be less known than it is.
    assert left[0] > 0.9 * meter.spread_high**2


def test_one_station_of_light_and_three_for_thermometers(tall):
    """Where the basking place is that of light, its surface is read there; the same meter is told of."""
    ready = resolved(tall)
    plan = propose(ready.brief, ready.interior(QUICK), 1)
    roles = [station.reads for station in plan.stations]
    assert sum("uvi" in reads or "lux" in reads for reads in roles) == 1
    assert {"surface", "air"} <= {what for reads in roles for what in reads}
    assert any("same meter" in note for note in plan.notes)


def test_without_a_door_reach_is_not_known():
    """No opening for a hand: stations all the same, and a note that says so."""
    text = starter_text("arid")
    start, end = text.index("  doors:"), text.index("  vents:")
    ready = resolved(read_plan_text(text[:start] + text[end:]))
    plan = propose(ready.brief, ready.interior(QUICK), 2)
    assert len([station for station in plan.stations if station.narrowed]) == 2
    assert all(station.way is None for station in plan.stations)
    assert any("no door" in note for note in plan.notes)


def test_dark_plans_get_places_for_thermometers_only():
    """A plan without lamps: no light to read, no traceback."""
    text = starter_text("arid")
    start, end = text.index("fixtures:"), text.index("perches:")
    ready = resolved(read_plan_text(text[:start] + text[end:]))
    plan = propose(ready.brief, ready.interior(QUICK))
    assert all(station.reads == ("air",) for station in plan.stations)
    assert any("fewer stations of light" in note for note in plan.notes)
    assert plan.meters == ()


def with_stations(brief, stations):
    plan = brief.plan.model_copy(update={"stations": tuple(stations)})
    return replace(brief, source=replace(brief.source, plan=plan))


def test_stations_of_the_plan_stay_and_are_completed(arid):
    """Proposed stations pasted into the plan are where they were, keep their names, and nothing is added to enough."""
    ready = resolved(arid)
    interior = ready.interior(QUICK)
    first = propose(ready.brief, interior)
    pasted = tuple(
        SimpleNamespace(name=s.name, at=s.at, hold="up", note=f"mine {s.number}") for s in first.stations
    )
    again = propose(with_stations(ready.brief, pasted), interior)
    assert [(s.name, s.at, s.plan_note) for s in again.stations] == [(s.name, s.at, s.note) for s in pasted]
    assert all(s.kept for s in again.stations)
    buried = SimpleNamespace(name="buried", at=(0.5, 0.3, 0.05), hold="up", note=None)
    turned = SimpleNamespace(name="turned", at=(0.5, 0.3, 0.4), hold=(0.0, -1.0, 0.0), note=None)
    completed = propose(with_stations(ready.brief, (buried, turned, pasted[0])), interior)
    assert [s.name for s in completed.stations[:3]] == ["buried", "turned", pasted[0].name]
    # In the ground no meter shows anything; it is listed, and counts among those asked for.
    assert completed.stations[0].reads == ()
    assert "inside something solid" in completed.stations[0].why
    assert completed.stations[1].plan_hold == "[0, -1, 0]"
    assert len([s for s in completed.stations if s.narrowed]) == SIX - 1
