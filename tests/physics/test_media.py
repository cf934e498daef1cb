"""Angle laws of mesh and pane: limits, independent routes, and the compiled ones."""

from math import cos, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.physics.media import Media, mesh_transmittance, pane_transmittance
from sunfleck.physics.medium_kernels import medium_law


def test_squarely_everything_is_one():
    """The law is relative to normal incidence."""
    assert mesh_transmittance(0, 0, 1, 0.3, 0.2) == 1.0
    assert pane_transmittance(1.0, 1.52) == pytest.approx(1.0, rel=1e-15)


@pytest.mark.parametrize("ratio", [0.1, 0.25, 0.5])
def test_a_mesh_closes_where_wires_hide_each_other(ratio):
    """At cos t = wire / pitch the shadows touch; beyond, nothing passes, at grazing incidence neither."""
    closing = np.arccos(ratio)
    just_open, closed = closing - 1e-4, closing + 1e-4
    assert mesh_transmittance(sin(just_open), 0, cos(just_open), ratio) > 0
    assert mesh_transmittance(sin(closed), 0, cos(closed), ratio) == 0
    assert mesh_transmittance(1, 0, 0, ratio, ratio) == 0


def test_bars_one_way_do_not_care_about_tilt_along_them():
    """Light tilted along the bars sees them at their own thickness."""
    tilt = radians(70)
    assert mesh_transmittance(0, sin(tilt), cos(tilt), 0.4, 0.0) == pytest.approx(1.0, rel=1e-15)


@settings(max_examples=20, deadline=None, derandomize=True)
@given(tilt=st.floats(0, 1.3), turn=st.floats(0, 6.28), u=st.floats(0.02, 0.6), v=st.floats(0.02, 0.6))
def test_a_mesh_agrees_with_throwing_parallel_light_at_round_wires(tilt, turn, u, v):
    """Independent route: distance from parallel rays to the axes of cylinders in a cell, both ways.

    A ray with direction c that passes the plane at x clears the wire along v at 0 (pitch 1) when its
    distance from that axis, |x - k| c_n / hypot(c_u, c_n), is at least the radius. 4,000 rays a way: 5e-4.
    """
    c = np.array([sin(tilt) * cos(turn), sin(tilt) * sin(turn), cos(tilt)])
    x = (np.arange(4000) + 0.5) / 4000
    share = 1.0
    for across, ratio in ((c[0], u), (c[1], v)):
        away = np.min([np.abs(x - k) for k in range(-40, 42)], axis=0) * c[2] / np.hypot(across, c[2])
        share *= (away >= ratio / 2).mean() / (1 - ratio)
    assert mesh_transmittance(*c, u, v) == pytest.approx(share, abs=2e-3)


def test_pane_meets_the_textbook():
    """Glass of n = 1.5 (Born and Wolf, from memory): R 4 % a face, 7.7 % for both; Brewster's angle kills one part."""
    normal = 2 * 1.5 / (1.5**2 + 1)
    assert normal == pytest.approx(0.923077, abs=1e-6)
    brewster = np.arctan(1.5)
    upright = ((1 - 1.5**2) / (1 + 1.5**2)) ** 2  # cos^2 form of R_s at Brewster's angle
    expected = 0.5 * (1 + (1 - upright) / (1 + upright)) / normal
    assert pane_transmittance(np.cos(brewster), 1.5) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("degrees", [0, 20, 45, 60, 75, 85])
def test_pane_agrees_with_following_the_reflections(degrees):
    """Independent route: Snell's law with angles, and 400 internal reflections added one by one."""
    n, t = 1.52, radians(degrees)
    r = np.arcsin(np.sin(t) / n)
    if degrees == 0:
        r_s = r_p = ((n - 1) / (n + 1)) ** 2
    else:
        r_s = (np.sin(t - r) / np.sin(t + r)) ** 2
        r_p = (np.tan(t - r) / np.tan(t + r)) ** 2
    through = [sum((1 - R) ** 2 * R ** (2 * k) for k in range(400)) for R in (r_s, r_p)]
    square = 1 - ((n - 1) / (n + 1)) ** 2
    base = sum(square**2 * ((n - 1) / (n + 1)) ** (4 * k) for k in range(400))
    assert pane_transmittance(cos(t), n) == pytest.approx(np.mean(through) / base, rel=1e-9)


def test_pane_falls_to_nothing_at_grazing_and_no_pane_does_nothing():
    """Monotone from 1 to 0; an index of 1 is air."""
    c = np.linspace(1, 0, 200)
    through = pane_transmittance(c, 1.5)
    assert (np.diff(through) < 1e-4).all()  # up to Brewster's angle it is flat to 1e-4
    assert through[-1] == 0.0
    assert (pane_transmittance(c, 1.0) == 1.0).all()


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    u=st.floats(-1, 1),
    v=st.floats(-1, 1),
    n=st.floats(0.01, 1),
    first=st.floats(0, 0.9),
    second=st.floats(0, 0.9),
)
def test_kernels_use_the_same_formulas(u, v, n, first, second):
    """What compiled code takes from a pane or mesh is what the plain functions say."""
    length = sqrt(u * u + v * v + n * n)
    u, v, n = u / length, v / length, n / length
    mesh = medium_law(1, first, second, u, v, n)
    assert mesh == pytest.approx(float(mesh_transmittance(u, v, n, first, second)), rel=1e-12)
    pane = medium_law(2, 1 + first, 0.0, u, v, n)
    assert pane == pytest.approx(float(pane_transmittance(n, 1 + first)), rel=1e-12)


def medium(**changes):
    values = {"origin": [[0, 0, 0]], "edge_u": [[1, 0, 0]], "edge_v": [[0, 1, 0]], "group": [0], "law": [1],
              "parameters": [[0.2, 0.2]]} | changes  # fmt: skip
    return Media(**values)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: medium(group=[8]), "group of medium 0 must be 0 to 7; got 8"),
        (lambda: medium(law=[3]), "law of medium 0 must be 0, 1 or 2; got 3"),
        (lambda: medium(edge_v=[[0.1, 1, 0]]), "edges of medium 0 must be at right angles"),
        (lambda: medium(edge_v=[[0, 0, 0]]), "must have a length above zero"),
        (lambda: medium(parameters=[[1.0, 0.2]]), "wire over pitch must be 0 or more and below 1; got 1"),
        (lambda: medium(law=[2]), "refractive index must be 1 or more and below 10; got 0.2"),
        (lambda: medium(group=[0, 1]), "must be equally long"),
        (lambda: mesh_transmittance(0, 0, 1, -0.1), "wire over pitch must be 0 or more and below 1; got -0.1"),
        (lambda: pane_transmittance(1.2), "cosine must be between -1 and 1; got 1.2"),
    ],
)  # fmt: skip
def test_what_means_nothing_is_refused_with_its_number(call, message):
    """The message names the argument, what was needed, and what came."""
    with pytest.raises(DomainError, match=message):
        call()


def test_no_media_is_a_scene_too():
    """Empty arrays of the right shapes."""
    assert len(Media.none()) == 0
    assert Media.none().origin.shape == (0, 3)
