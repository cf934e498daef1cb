"""Six scenes against Radiance: open, leafy, slats, under a pane, under a mesh, and a strongly reflecting box.

Oracle: Radiance through `pyradiance` (test-only), see ``oracles.radiance``; what holds it to closed forms is
in ``test_against_radiance``. More than 2,000 receivers a scene, anywhere in it and facing anywhere, 4 mm or
more off every surface and 3 cm off what glows. Every scene has two lamps: a tube (bare, or in a reflector)
and a spot of 50 mm or a heater dome of 60 mm.
"""

from dataclasses import replace

import numpy as np
import pytest

pytest.importorskip("pyradiance", reason="the oracle is not installed")

from oracles import reference
from oracles.radiance import direct_irradiance, total_irradiance
from oracles.reference import SEED, reflected_by_radiance
from oracles.reflected import direct, reflected
from oracles.scenes import SIX_SCENES, given_scene
from sunfleck.studies.interreflection import FINE

# Into how many pieces Radiance's tube and disc are cut: half shadows of leaves and slats need more.
PIECES = {"leafy": (400, 1200), "slats": (400, 1200)}


def spread(off):
    """RMS, 95th percentile and maximum of differences in units of the mean, as text."""
    return f"RMS {np.sqrt(np.mean(off**2)):.3%}, 95 % within {np.quantile(np.abs(off), 0.95):.3%}, at most {np.abs(off).max():.2%}"


@pytest.fixture(scope="module", params=SIX_SCENES)
def scene(request):
    """Name of a scene, the scene, and our direct light in it."""
    given = given_scene(request.param, SEED)
    assert len(given.points) >= 2000
    return request.param, given, direct(given)


def test_direct_light(scene):
    """Issue: RMS at most 0.5 % of the mean.

    What is left is the number of Radiance's pieces: it falls as they are made more (leafy 0.55, 0.38, 0.32 %
    with 600, 1,200 and 2,000 places on the spot, slats 0.79, 0.44, 0.27 %).
    """
    name, given, ours = scene
    pieces = PIECES.get(name, (200, 600))
    theirs = direct_irradiance(
        given.triangles, given.emitters, given.points, given.normals, pieces, given.media
    )
    off = (ours - theirs) / theirs.mean()
    print(f"{name}, direct: {len(off)} receivers (seed {SEED}), {spread(off)} of the mean")
    assert np.sqrt(np.mean(off**2)) <= 0.005


def test_with_reflections(scene):
    """Issue: RMS at most 3 % of the mean of direct and reflected light together.

    Radiance's reflected light is by chance, and stored (``oracles.reference``) from two runs of their own
    chance. The mean product of our differences from the one and from the other is our mean square
    difference from what both are scattered about: chance is in neither's favour. Reflected light is that which
    single places of a plan get (`FINE`).

    The pane: Radiance's mirrors what comes from below, ours gives the same share back diffusely. That is
    within the figure printed.
    """
    name, given, straight = scene
    one, other = reflected_by_radiance(name)
    assert len(one) == len(given.points)
    ours = reflected(given, FINE)
    mean = straight.mean() + (one + other).mean() / 2
    square = float(np.mean((ours - one) * (ours - other))) / mean**2
    off = (ours - (one + other) / 2) / mean
    scatter = float(np.sqrt(np.mean((one - other) ** 2)) / 2 / mean)
    print(
        f"{name}, reflected: {len(off)} receivers (seed {SEED}), {ours.mean() / mean:.0%} of the light; "
        f"RMS {np.sqrt(max(square, 0)):.2%} without Radiance's scatter of {scatter:.2%}; with it {spread(off)} "
        f"of the mean; mean {off.mean():+.2%}"
    )
    assert abs(off.mean()) <= 0.01
    assert square <= 0.03**2


def test_what_is_stored_is_what_radiance_says(scene):
    """A few receivers anew, with their own chance: the stored light is of this scene, this seed, these lamps.

    24 receivers with 256 rays each scatter by 1 to 6 % of the mean, the stored ones by up to 13 %; their mean is held
    to 10 %, four times what chance makes of it behind the slats; each to 60 %.
    """
    name, given, straight = scene
    few = slice(0, 2400, 100)
    some = replace(given, points=given.points[few], normals=given.normals[few])
    receivers = (some.parts, some.emitters, some.points, some.normals)
    lamps = {"media": some.media, "pieces": reference.PIECES[name]}
    anew = total_irradiance(*receivers, rays=256, **lamps) - total_irradiance(*receivers, bounces=0, **lamps)
    stored = np.mean(reflected_by_radiance(name), axis=0)
    mean = straight.mean() + stored.mean()
    off = (anew - stored[few]) / mean
    print(
        f"{name}, stored: {len(off)} receivers (seed {SEED}), {spread(off)} of the mean; mean {off.mean():+.2%}"
    )
    assert abs(off.mean()) <= 0.10
    assert np.abs(off).max() <= 0.6
