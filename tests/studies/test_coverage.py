"""Do ranges hold what they say? Worlds drawn anew from the same factors, and worlds the model does not know."""

from functools import cache

import numpy as np
import pytest

from sunfleck.plan.read import read_plan_text
from sunfleck.service.resolved import resolved
from sunfleck.service.starting import starter_text
from sunfleck.studies.day import fullest
from sunfleck.studies.deviations import gained_wider
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.light import light_field
from sunfleck.studies.rule import QUANTILES, chances, row_at
from sunfleck.studies.setting import setting_for

WORLDS, SEED = 1000, 77
# What the model is told nothing of: beams wider by 20 % off the axis, half of all guards and meshes letting 15 % less
# through, and receivers 3 cm from where they were drawn, in one of so many ways (no back gets behind a guard's bars).
WIDER, DENSER, AWAY, WAYS = 0.20, 0.85, 0.03, 12


@cache
def setting(example):
    ready = resolved(read_plan_text(starter_text(example)))
    interior = ready.interior(QUICK)
    return setting_for(ready.brief, ready.brief.animals[0], fullest(ready.brief), interior), interior


def drawn(matrix, rng):
    """Multipliers of every factor in new worlds, by the definition of each: two-piece log-normal, or a shift."""
    z = rng.standard_normal((WORLDS, len(matrix.factors)))
    columns = []
    for k, factor in enumerate(matrix.factors):
        one = z[:, k]
        if factor.shift:
            columns.append(np.clip(one, 0 if factor.one_sided else -2, 2))
        else:
            columns.append(np.exp(np.where(one < 0, factor.spread_low, factor.spread_high) * one))
    return np.stack(columns, axis=1)


def product(multipliers, powers):
    """Product of some factors, each to its power, (worlds,)."""
    return np.prod([multipliers[:, power.column] ** power.exponent for power in powers], axis=0)


def light(field, receivers, multipliers, more=None):
    """UV index (receivers, worlds) with other multipliers; `more` gives a factor for each term (receivers, worlds)."""
    total = 0.0
    for term, here in zip(field.terms, field.coefficients(receivers), strict=True):
        of_worlds = product(multipliers, term.factors)
        part = np.outer(here, of_worlds)
        total = total + (part if more is None else part * more(term))
    return total


def unknown_world(one, receivers, field, rng):
    """Factors of a term that the model has no idea of, (receivers, worlds)."""
    off_axis = {
        f.index: gained_wider(f.emitter, one.light.points[receivers]) / 0.15 for f in one.brief.fixtures
    }
    wide, dense = rng.uniform(size=WORLDS) < 0.5, rng.uniform(size=WORLDS) < 0.5

    def more(term):
        factor = np.ones((len(receivers), WORLDS))
        if not term.reflected:
            factor *= 1 + WIDER * np.outer(off_axis[term.fixture.index], wide)
        if term.media:
            factor *= np.where(dense, DENSER, 1.0)
        return factor

    return more


def displaced(one, interior, receivers, rng, *, together):
    """The same light some centimetres off: all receivers by one way, or each by its own.

    NaN behind a guard's bars, and out of the box: no back gets through a mesh.
    """
    cages = [sheet.cage for sheet in one.brief.guards if sheet.cage is not None]
    for _ in range(WAYS):
        off = rng.normal(size=(1 if together else len(receivers), 3))
        points = one.light.points[receivers] + AWAY * off / np.linalg.norm(off, axis=1, keepdims=True)
        for cage in cages:
            points[cage.contains(points)] = np.nan
        points[~one.brief.surroundings.inside.contains(points)] = np.nan
        yield light_field(one.brief, points, one.light.normals[receivers], interior)


def covered(values, truth):
    low, high = (values[row_at(values, QUANTILES[name])] for name in ("low", "high"))
    return float(((truth >= low) & (truth <= high)).mean())


@pytest.mark.parametrize("example", ["tall-planted", "arid"])
@pytest.mark.parametrize("channel", ["uvi", "lux", "radiant"])
def test_nine_of_ten_new_worlds_lie_in_the_range(example, channel):
    """Issue: 1,000 worlds drawn from the same factors (seed 77): 85 to 95 % in the 90 % range, floor and ceiling."""
    one, _ = setting(example)
    rng = np.random.default_rng(SEED)
    multipliers = drawn(one.brief.matrix, rng)
    place = one.receivers(one.basking_place())
    field = one.channel(channel, "normal")
    least = covered(field.worlds(place).min(axis=0), light(field, place, multipliers).min(axis=0))
    field = one.channel(channel, "brightest", all_lamps=True)
    reach = one.everywhere
    largest = covered(field.largest(reach)[0], light(field, reach, multipliers).max(axis=0))
    print(f"{example}, {channel}: least on the basking place {least:.1%}, largest within reach {largest:.1%}")
    assert 0.85 <= least <= 0.95
    assert 0.85 <= largest <= 0.95


@pytest.mark.parametrize("example", ["tall-planted", "arid"])
def test_worlds_the_model_does_not_know(example):
    """Issue: beams + 20 %, half of the meshes denser, 3 cm off. Coverage is printed; false safe at most 5 %.

    False safe: of the worlds of plans whose ceiling verdict is `meets`, those that pass the ceiling. Ceilings from
    0.7 to 2.5 times the expected value, evenly in the logarithm; the comfort ceiling is left out.

    The bound is held with all receivers off by one way: the animal's back is somewhere else than drawn. With each of
    400 places off by a way of its own, whichever comes nearest to the lamp counts and the reach grows by 3 cm; that is
    harsher than the issue's words and is printed beside it.
    """
    one, interior = setting(example)
    rng = np.random.default_rng(SEED + 1)
    multipliers = drawn(one.brief.matrix, rng)
    field = one.channel("uvi", "brightest", all_lamps=True)
    # Of the whole reach those that lead somewhere, and their neighbours.
    reach = one.everywhere[np.argsort(-field.middle[one.everywhere])[:400]]
    predicted, _ = field.largest(one.everywhere)
    more = unknown_world(one, reach, field, rng)
    ways = rng.integers(WAYS, size=WORLDS)
    truths = {}
    for together in (True, False):
        truth = np.empty(WORLDS)
        for way, moved in enumerate(displaced(one, interior, reach, rng, together=together)):
            there = moved.channel("uvi", "brightest", as_planned=False)
            known = np.flatnonzero(np.isfinite(there.middle))
            all_worlds = light(there, known, multipliers, lambda term, k=known: more(term)[k])
            truth[ways == way] = all_worlds.max(axis=0)[ways == way]
        truths[together] = truth
    place = one.receivers(one.basking_place())
    floor = one.channel("uvi", "normal")
    unknown = unknown_world(one, place, floor, rng)
    least = light(floor, place, multipliers, unknown).min(axis=0)
    spread = covered(floor.worlds(place).min(axis=0), least)
    false_safe = {}
    for together, truth in truths.items():
        passed = [
            float((truth > ceiling).mean())
            for ceiling in np.median(predicted) * np.exp(np.linspace(np.log(0.7), np.log(2.5), 60))
            if chances(predicted, safety_ceiling=ceiling).state() == "meets"
        ]
        false_safe[together] = np.mean(passed)
        print(
            f"{example}, {'all off by one way' if together else 'each off by its own'}: of unknown worlds "
            f"{covered(predicted, truth):.0%} of the largest within reach and {spread:.0%} of the least on the place lie "
            f"in the 90 % range; false safe {np.mean(passed):.2%} on average, {np.max(passed):.1%} at the tightest "
            "ceiling that meets"
        )
    assert false_safe[True] <= 0.05
