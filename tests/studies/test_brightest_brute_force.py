"""The brightest direction against a brute-force search, with true lamps: few, many, opposite and near."""

import numpy as np
import pytest

from oracles.sampled import light_from, places_on
from oracles.scenes import distance_to_emitter
from sunfleck.geometry.bvh import build_bvh
from sunfleck.physics.emitters import (
    DiscEmitter,
    LineEmitter,
    bare_tube_law,
    beam_law,
    dome_law,
    reflector_law,
)
from sunfleck.physics.media import Media
from sunfleck.physics.scene import Scene
from sunfleck.physics.transport import transfer
from sunfleck.studies.brightest import brightest_direction, turned_to_the_light
from sunfleck.studies.lamp_scenes import LampScene
from sunfleck.studies.turned import Lit

SEED = 6
RECEIVERS = 15
DIRECTIONS = 20_000
# Into how many places a tube and a disc are cut where the best of 20,000 is looked for.
PLACES, PLACES_ON_DISC = 192, 24
OPEN = Scene(build_bvh([]), Media.none())
HANGING = LampScene(OPEN, (), np.zeros((0, 3, 3)))
# Receivers are no nearer to a tube than this, and to an opening than its width: there lamps are solid. [m]
NEAR = 0.03


def even(count):
    """Directions spread evenly over the sphere."""
    k = np.arange(count) + 0.5
    z, turn = 1 - 2 * k / count, k * np.pi * (3 - np.sqrt(5))
    ring = np.sqrt(1 - z * z)
    return np.stack([ring * np.cos(turn), ring * np.sin(turn), z], axis=1)


EVEN = even(DIRECTIONS)
COARSE = EVEN.astype(np.float32)


def small(rng, place, towards):
    """A spot or a heater."""
    law = beam_law(np.radians(38), np.radians(70)) if rng.uniform() < 0.5 else dome_law()
    return DiscEmitter(place, towards - place, rng.uniform(0.02, 0.04), law)


def long(rng, place, towards, way=None):
    """A tube of 20 to 120 cm, bare or in a reflector."""
    way = rng.normal(size=3) if way is None else np.asarray(way)
    half = rng.uniform(0.1, 0.6) * way / np.linalg.norm(way)
    law = bare_tube_law() if rng.uniform() < 0.5 else reflector_law(np.radians(85))
    return LineEmitter(place - half, place + half, towards - place, law)


def overhead(rng, count):
    """Lamps under a ceiling, a tube first; receivers 20 cm or more below: how enclosures are built."""
    place = lambda: rng.uniform([0.2, 0.1, 0.95], [1.0, 0.5, 1.0])  # noqa: E731
    down = lambda at: at + rng.normal(size=3) * 0.2 - [0, 0, 1.0]  # noqa: E731
    lamps = [long(rng, p := place(), down(p), [1, 0, 0])] + [
        small(rng, p := place(), down(p)) for _ in range(count - 1)
    ]
    return lamps, rng.uniform([0.0, 0.0, 0.0], [1.2, 0.6, 0.75])


def on_two_sides(rng, point, count):
    """Places 15 to 40 cm from a point, on either side in turn."""
    off = rng.normal(size=(count, 3)) * 0.05
    off[:, 0] = np.where(np.arange(count) % 2, 1.0, -1.0) * rng.uniform(0.15, 0.4, count)
    return point + off


def opposite(rng, count):
    """Small lamps on two sides of the receiver."""
    point = rng.uniform(0.3, 0.7, 3)
    places = on_two_sides(rng, point, count)
    return [small(rng, p, point) for p in places], point


def tubes_opposite(rng, count):
    """Tubes on two sides of the receiver, 15 to 40 cm away."""
    point = rng.uniform(0.3, 0.7, 3)
    places = on_two_sides(rng, point, count)
    return [long(rng, p, point, [0.2 * rng.normal(), *rng.normal(size=2)]) for p in places], point


def anywhere(rng, count):
    """Small lamps anywhere that shine anywhere."""
    places = rng.uniform(0, 1, (count, 3))
    return [small(rng, p, p + rng.normal(size=3)) for p in places], rng.uniform(0, 1, 3)


def near_a_tube(rng, count):
    """A tube of 1.2 m as near as 3 to 12 cm, bare; small lamps and other tubes anywhere."""
    turn, off = rng.uniform(0, 2 * np.pi), rng.uniform(NEAR, 4 * NEAR)
    point = np.array([rng.uniform(-0.1, 1.3), 0.3 + off * np.cos(turn), 0.5 + off * np.sin(turn)])
    lamps = [LineEmitter([0, 0.3, 0.5], [1.2, 0.3, 0.5], [0, 0, -1], bare_tube_law())]
    for _ in range(count - 1):
        place = rng.uniform([0, 0, 0], [1.2, 0.6, 1.0])
        lamps.append((small if rng.uniform() < 0.6 else long)(rng, place, np.array([0.6, 0.3, 0.5])))
    return lamps, point


def clear(lamps, point):
    """Whether a receiver is outside of all lamps."""
    need = [NEAR if isinstance(lamp, LineEmitter) else 2 * lamp.radius for lamp in lamps]
    return all(distance_to_emitter(lamp, point[None])[0] >= n for lamp, n in zip(lamps, need, strict=True))


def places(lamp, point):
    """Light of a lamp at a point, from each of some places on it, (s, 3)."""
    number = PLACES if isinstance(lamp, LineEmitter) else PLACES_ON_DISC
    return light_from(lamp, point, places_on(lamp, number))


def facing(lamps, strength, point, normals):
    """True irradiance of lamps on planes at a point that face along `normals`, (n,)."""
    points = np.broadcast_to(point, normals.shape)
    moved = [transfer(OPEN, lamp, points, normals, threads=1).facing[:, 0] for lamp in lamps]
    return sum(s * one for s, one in zip(strength, moved, strict=True))


def shares(situation, count):
    """What the direction found gets, and what is reported for it, of the brightest of all, (r, 2)."""
    rng = np.random.default_rng([SEED, count])
    found = []
    while len(found) < RECEIVERS:
        lamps, point = situation(rng, count)
        strength = rng.uniform(0.3, 3.0, count)
        if not clear(lamps, point):
            continue
        lit = [Lit(lamp, HANGING, point[None], transfer(OPEN, lamp, [point], [[0, 0, 1]])) for lamp in lamps]
        vectors = np.stack([s * one.transfer.vector[:, 0] for one, s in zip(lit, strength, strict=True)])
        if np.linalg.norm(vectors) < 1e-3:
            continue  # out of every beam

        def ahead(direction, lit=lit, strength=strength):
            return sum(s * one.turned(direction).ahead[:, 0] for one, s in zip(lit, strength, strict=True))

        direction = turned_to_the_light(brightest_direction(vectors), ahead)
        reported = sum(s * one.turned(direction).facing[0, 0] for one, s in zip(lit, strength, strict=True))
        # All 20,000 by places on the lamps; the best of them as the engine has them.
        light = np.concatenate([s * places(lamp, point) for lamp, s in zip(lamps, strength, strict=True)])
        total = np.maximum(COARSE @ light.T.astype(np.float32), 0).sum(axis=1)
        best = facing(lamps, strength, point, EVEN[np.argsort(-total)[:20]]).max()
        found.append([facing(lamps, strength, point, direction)[0] / best, reported / best])
    return np.array(found)


# Of the brightest of 20,000 directions: what the direction found gets, and what is reported for it.
PROMISED = 0.995


@pytest.mark.parametrize("count", [1, 2, 3, 6])
@pytest.mark.parametrize(
    "situation", [overhead, opposite, anywhere, tubes_opposite, near_a_tube], ids=lambda f: f.__name__
)
def test_no_direction_of_20000_is_brighter(situation, count):
    """Issue: held against 20,000 directions, each with the lamps' true irradiance on a plane turned there.

    Promise: never more than 0.5 % below, neither what a plane turned so really gets nor what is reported.
    """
    got, reported = shares(situation, count).T
    print(
        f"{situation.__name__}, {count} lamps: {len(got)} receivers (seed {SEED}); of the brightest of {DIRECTIONS:,} directions "
        f"the one found gets {got.min():.3%} or more (mean {got.mean():.3%}), reported is {reported.min():.3%} or more "
        f"(mean {reported.mean():.3%}); below 99.5 %: {np.mean(got < 0.995):.0%} and {np.mean(reported < 0.995):.0%}"
    )
    assert got.min() >= PROMISED
    assert reported.min() >= PROMISED
