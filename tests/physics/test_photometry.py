"""Tables of intensities: what they add up to, and what lies between their angles."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.physics.photometric_planes import full_circle, mirrored
from sunfleck.physics.photometry import Opening, Photometry, disagreement, flux_of, hemisphere_shares

from .photometry_writers import between, directions

ROUND = np.array([0.0, 2 * pi])


def alike(intensity, step):
    """A table alike all round of a function of the angle from the aim, 0 to 90 degrees. [cd]"""
    v = np.radians(np.arange(0.0, 90.0 + step / 2, step))
    return Photometry(v, ROUND, np.tile(intensity(v), (2, 1)))


def random_table(rng, n_h=6, n_v=5, low=0.0, high=180.0):
    h = np.radians(np.concatenate([[0.0], np.sort(rng.uniform(5, 355, n_h - 2)), [360.0]]))
    v = np.radians(np.concatenate([[low], np.sort(rng.uniform(low + 1, high - 1, n_v - 2)), [high]]))
    table = rng.uniform(0.0, 500.0, (n_h, n_v))
    table[-1] = table[0]
    return Photometry(v, h, table)


@pytest.mark.parametrize(
    ("power", "step"), [(0, 5.0), (1, 5.0), (2, 5.0), (4, 5.0), (8, 2.5), (30, 1.0), (100, 1.0), (400, 0.5)]
)
def test_the_flux_of_a_cosine_beam_is_the_analytic_one(power, step):
    """Cosine to the n-th sends 2 pi / (n + 1) lm for each candela along the aim: to 0.5 %, Lambertian included.

    By integrating cos^n over the hemisphere. The bilinear table falls short of it by about n h^2 / 12.
    """
    table = alike(lambda v: 1000 * np.maximum(np.cos(v), 0) ** power, step)
    off = flux_of(table) / (2000 * pi / (power + 1)) - 1
    print(f"cos^{power} in steps of {step} deg: flux off by {off:+.2%}")
    assert abs(off) < 0.005
    assert abs(off) < 1.2 * max(power, 1) * np.radians(step) ** 2 / 12 + 1e-12


def test_the_flux_of_one_everywhere_is_four_pi():
    """The solid angle of the sphere, however coarse the table."""
    for v in ([0.0, pi], [0.0, 0.2, 2.0, pi], np.linspace(0, pi, 181)):
        assert flux_of(Photometry(np.array(v), ROUND, np.ones((2, len(v))))) == pytest.approx(
            4 * pi, rel=1e-12
        )


@pytest.mark.parametrize("seed", range(8))
def test_the_flux_is_that_of_the_bilinear_table_exactly(seed):
    """Against Gauss-Legendre quadrature of `intensity_at` on every cell: 1e-9. Nothing but rounding is left."""
    rng = np.random.default_rng(seed)
    table = random_table(rng, low=rng.choice([0.0, 90.0]))
    node, weight = np.polynomial.legendre.leggauss(16)
    total = 0.0
    for a, b in zip(table.vertical[:-1], table.vertical[1:], strict=True):
        for c, d in zip(table.horizontal[:-1], table.horizontal[1:], strict=True):
            v, h = (a + b) / 2 + (b - a) / 2 * node, (c + d) / 2 + (d - c) / 2 * node
            grid = np.stack([x.ravel() for x in np.meshgrid(v, h, indexing="ij")])
            ways = directions(np.degrees(grid[1]), np.degrees(grid[0]))
            values = table.intensity_at(ways).reshape(16, 16) * np.sin(v)[:, None]
            total += (b - a) * (d - c) / 4 * weight @ values @ weight
    assert flux_of(table) == pytest.approx(total, rel=1e-9)


@given(seed=st.integers(0, 10_000), factor=st.floats(0.01, 100.0))
def test_flux_is_linear_and_adds_up(seed, factor):
    """Twice the intensity is twice the flux; two tables over the same angles add; the hemispheres add to one."""
    rng = np.random.default_rng(seed)
    table = random_table(rng)
    other = replace(table, intensity=rng.uniform(0, 10, table.intensity.shape))
    both = replace(table, intensity=table.intensity + factor * other.intensity)
    assert flux_of(both) == pytest.approx(flux_of(table) + factor * flux_of(other), rel=1e-9)
    down, up = hemisphere_shares(table)
    assert down + up == pytest.approx(1.0)
    assert 0 <= down <= 1


def test_shares_of_hemispheres():
    """Half above and half below where it is one everywhere; all below for a beam; all above when turned over."""
    assert hemisphere_shares(Photometry(np.array([0.0, pi]), ROUND, np.ones((2, 2)))) == pytest.approx(
        (0.5, 0.5)
    )
    beam = alike(np.cos, 5.0)
    assert hemisphere_shares(beam) == pytest.approx((1.0, 0.0))
    over = Photometry(pi - beam.vertical[::-1], ROUND, beam.intensity[:, ::-1])
    assert hemisphere_shares(over) == pytest.approx((0.0, 1.0))


def test_at_its_own_angles_a_table_is_itself():
    """Down is -z, C0 along +x and C90 along +y; at the table's angles its own numbers come out."""
    rng = np.random.default_rng(2)
    table = random_table(rng, n_h=9, n_v=7)
    inner = slice(1, -1)
    h, v = np.meshgrid(np.degrees(table.horizontal[:-1]), np.degrees(table.vertical[inner]), indexing="ij")
    got = table.intensity_at(directions(h.ravel(), v.ravel())).reshape(h.shape)
    assert got == pytest.approx(table.intensity[:-1, inner], rel=1e-9)
    assert table.intensity_at([[0.0, 0, -1], [0, 0, 1]]) == pytest.approx(table.intensity[0, [0, -1]])


@given(seed=st.integers(0, 10_000))
def test_between_its_angles_a_table_is_bilinear(seed):
    """Against scipy's interpolator, in directions anywhere."""
    rng = np.random.default_rng(seed)
    table = random_table(rng, low=rng.choice([0.0, 90.0]), high=180.0)
    h, v = rng.uniform(0, 360, 50), rng.uniform(0, 180, 50)
    got = table.intensity_at(directions(h, v))
    there = between(np.degrees(table.horizontal), np.degrees(table.vertical), table.intensity, h, v)
    assert got == pytest.approx(there, rel=1e-6, abs=1e-6)


def test_beyond_the_table_it_is_dark():
    """A table to 90 degrees sends nothing above, even where its last value is not 0."""
    flat = Photometry(np.array([0.0, pi / 2]), ROUND, np.full((2, 2), 7.0))
    assert flat.intensity_at([[1.0, 0, 0], [np.sqrt(0.5), 0, np.sqrt(0.5)]]).tolist() == [7.0, 0.0]
    assert flux_of(flat) == pytest.approx(14 * pi)


def test_stated_lumens_are_compared():
    """Flux over stated lumens, times the stated output ratio where there is one; None where nothing is stated."""
    table = alike(np.cos, 5.0)
    assert disagreement(table) is None
    assert disagreement(replace(table, stated_lumens=2 * pi)) == pytest.approx(0.5, rel=1e-3)
    assert disagreement(replace(table, stated_lumens=2 * pi, output_ratio=0.5)) == pytest.approx(
        1.0, rel=1e-3
    )


@given(seed=st.integers(0, 10_000), quarter=st.booleans())
def test_a_mirror_is_a_mirror(seed, quarter):
    """On the other side of the mirror stands the same, and planes on it are there once."""
    rng = np.random.default_rng(seed)
    about = 90.0 if quarter else 180.0
    own = np.concatenate([[0.0], np.sort(rng.uniform(1, about - 1, 4)), [about]])
    rows = rng.uniform(0, 9, (6, 3))
    angles, table = mirrored(own, rows, about)
    assert len(angles) == 11
    assert (np.diff(angles) > 0).all()
    assert angles == pytest.approx(2 * about - angles[::-1])
    assert (table == table[::-1]).all()


@given(seed=st.integers(0, 10_000), start=st.floats(-359.0, 359.0))
def test_a_circle_may_begin_anywhere(seed, start):
    """Turning where the list of planes begins changes nothing between its planes."""
    rng = np.random.default_rng(seed)
    own = np.sort(rng.choice(np.arange(360), 7, replace=False)).astype(float)
    rows = rng.uniform(0, 9, (7, 2))
    shift = rng.integers(7)
    turned = np.concatenate([own[shift:], own[:shift] + 360.0])
    a, b = full_circle(own, rows), full_circle(turned, np.roll(rows, -shift, axis=0))
    at = np.radians(rng.uniform(0, 360, 20))
    for k in range(2):
        assert np.interp(at, a[0], a[1][:, k]) == pytest.approx(np.interp(at, b[0], b[1][:, k]))
    assert a[0][0] == 0
    assert a[0][-1] == pytest.approx(2 * pi)


def test_sizes_of_an_opening():
    """Length is the longer side, whichever plane it lies in."""
    opening = Opening("rectangle", 0.05, 0.6, 0.0)
    assert (opening.length, opening.width) == (0.6, 0.05)


GOOD = {"vertical": [0.0, 1.0], "horizontal": ROUND, "intensity": np.ones((2, 2))}


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"vertical": [0.0, 4.0]}, "within 0 and pi; got 0 to 4 rad"),
        ({"vertical": [0.0]}, "two or more rising"),
        ({"vertical": [1.0, 0.5]}, "rising"),
        ({"vertical": [0.0, float("nan")]}, "rising"),
        ({"horizontal": [0.0, 3.0]}, "from 0 to 2 pi; got 0 to 3"),
        ({"intensity": np.ones((3, 2))}, r"\(2, 2\)"),
        ({"intensity": np.zeros((2, 2))}, "somewhere above"),
        ({"intensity": -np.ones((2, 2))}, "below zero"),
        ({"intensity": np.full((2, 2), np.nan)}, "finite"),
    ],
)
def test_a_table_that_is_none_is_refused(wrong, message):
    with pytest.raises(DomainError, match=message):
        Photometry(**{**GOOD, **wrong})


@pytest.mark.parametrize(
    ("ways", "message"),
    [
        ([0.0, 0, -1], r"\(n, 3\)"),
        ([[0.0, 0, -2]], "length of 2"),
        ([[0.0, 0, float("nan")]], "unit vectors"),
    ],
)
def test_directions_that_are_none_are_refused(ways, message):
    with pytest.raises(DomainError, match=message):
        Photometry(**GOOD).intensity_at(ways)


def test_a_table_cannot_be_changed_afterwards():
    """Arrays are copies and read-only."""
    own = np.ones((2, 2))
    table = Photometry([0.0, 1.0], ROUND, own)
    own[:] = 5
    assert table.intensity.max() == 1
    with pytest.raises(ValueError, match="read-only"):
        table.intensity[0, 0] = 3


def test_no_directions_is_no_light():
    assert Photometry(**GOOD).intensity_at(np.zeros((0, 3))).shape == (0,)
