"""Photometric files by Radiance's `ies2rad` and `rtrace`: an opinion that shares nothing with our reader or writer."""

from __future__ import annotations

import numpy as np
import pytest

pytest.importorskip("pyradiance", reason="the oracle is not installed")

from oracles.luminaires import illuminance, shape_of, table_of
from sunfleck.physics.ies_files import read_ies
from sunfleck.physics.photometry import flux_of

from .photometry_writers import HEADERS, Layout, between, write_ies

RNG = np.random.default_rng(12)
AROUND = {
    "alike all round": np.zeros(1),
    "quarters": np.array([0.0, 20, 45, 80, 90]),
    "halves": np.arange(0.0, 181, 30),
    "other halves": np.arange(90.0, 271, 30),
    "none": np.arange(0.0, 361, 24),
}
FACTORS = {"multiplier": 1.7, "ballast": 0.9, "further": 0.8}


def a_file(symmetry, header="IESNA:LM-63-2002", reach=180.0, layout=Layout()):  # noqa: B008  # frozen
    h, v = AROUND[symmetry], np.concatenate([[0.0, 7.5], np.arange(15.0, reach + 1, 15)])
    table = RNG.uniform(50, 900, (len(h), len(v))).round(1)
    table[-1] = table[0] if symmetry == "none" else table[-1]
    # Straight down and up every plane gives the same, as in a luminaire.
    table[:, 0], table[:, -1] = 500.0, 60.0
    return write_ies(v, h, table, header=header, layout=layout, **FACTORS)


def all_round(count, low=-1.0, high=1.0):
    z, turn = RNG.uniform(low, high, count), RNG.uniform(0, 2 * np.pi, count)
    across = np.sqrt(1 - z**2)
    return np.stack([across * np.cos(turn), across * np.sin(turn), z], axis=1)


@pytest.mark.parametrize("symmetry", AROUND)
def test_our_table_and_flux_are_those_of_ies2rad(symmetry):
    """Its ``.dat`` holds six digits: every intensity at its own angles to 1e-5, and the flux to 1e-5.

    Its table is unfolded here by `between` and integrated by a fine midpoint rule. `ies2rad` of pyradiance leaves the
    number after the ballast factor out from the edition of 1995 on.
    """
    data = a_file(symmetry)
    h, v, table = table_of(data)
    got = read_ies(data)
    factor = FACTORS["multiplier"] * FACTORS["ballast"]
    inner = v[1:-1]
    here = got.intensity_towards(np.radians(inner)[None, :], np.radians(h % 360)[:, None])
    assert here == pytest.approx(factor * table[:, 1:-1], rel=1e-5)
    turn = (np.arange(7200) + 0.5) / 20
    own = {
        "alike all round": 0 * turn,
        "quarters": 90 - np.abs(90 - turn % 180),
        "halves": 180 - np.abs(180 - turn),
        "other halves": np.where((turn < 90) | (turn > 270), (180 - turn) % 360, turn),
        "none": turn,
    }[symmetry]
    down = (np.arange(3600) + 0.5) / 20
    mean = np.stack([between(h, v, table, own, angle).mean() for angle in v])
    flux = factor * 2 * np.pi * (np.interp(down, v, mean) * np.sin(np.radians(down))).sum() * np.radians(0.05)
    print(
        f"{symmetry}: flux {flux_of(got):.2f} lm, of ies2rad's table {flux:.2f} lm ({flux_of(got) / flux - 1:+.1e})"
    )
    assert flux_of(got) == pytest.approx(flux, rel=1e-5)


@pytest.mark.parametrize("header", HEADERS)
@pytest.mark.parametrize("symmetry", AROUND)
def test_light_of_a_file_is_what_radiance_makes_of_it(header, symmetry):
    """Illuminance in 400 directions of every edition and symmetry: to 1e-3.

    Frame, handedness, unfolding, interpolation and factors together, from the bytes to the light. What is left (1e-4)
    is that its light comes from a sphere of 1 mm and its table has six digits.

    A table from 90 to 270 degrees `ies2rad` lays down turned by half a turn, against its own reading of all others:
    its plane 90 shines to -y. It is turned back here; ours goes by the numbers of the angles.
    """
    data = a_file(symmetry, header)
    ways = all_round(400)
    lux = illuminance(data, 2.0 * ways)
    turned = ways * [-1, -1, 1] if symmetry == "other halves" else ways
    ours = read_ies(data).intensity_at(turned) / 4
    worst = np.abs(lux / ours - 1).max()
    print(f"{header or '1986'}, {symmetry}: {worst:.1e}")
    assert worst < 1e-3


def test_light_of_a_type_b_file_is_what_radiance_makes_of_it():
    """Floodlight, beam off its axis: the same side, the same height, and in the vertical plane the same light.

    Out of that plane Radiance (`srcB_horiz` of its ``source.cal``) takes the horizontal angle in the horizontal
    projection, not within the tilted plane as LM-63 has it: both agree only where one of the two angles is 0.
    """
    angles = np.arange(-90.0, 91, 2)
    table = 900 * np.exp(-(((angles[:, None] - 20) / 25) ** 2) - ((angles[None, :] - 10) / 30) ** 2)
    data = write_ies(angles, angles, table, kind=2)
    turn = np.radians(RNG.uniform(-60, 60, 200))
    for ways in (
        np.stack([np.sin(turn), 0 * turn, -np.cos(turn)], axis=1),
        np.stack([0 * turn, np.sin(turn), -np.cos(turn)], axis=1),
    ):
        lux = illuminance(data, 2 * ways)
        worst = np.abs(lux - read_ies(data).intensity_at(ways) / 4).max() / (900 / 4)
        print(f"type B: {worst:.1e} of the peak")
        assert worst < 5e-3


@pytest.mark.parametrize("layout", [Layout("\n", ",", 3), Layout("\r\n", "  ", 1), Layout("\n", " ", 40)])
def test_typing_makes_no_difference_to_either(layout):
    """Commas and broken lines: the same table by both."""
    data = a_file("halves", layout=layout)
    h, v, table = table_of(data)
    here = read_ies(data).intensity_towards(np.radians(v[1:-1])[None, :], np.radians(h)[:, None])
    assert here == pytest.approx(1.7 * 0.9 * table[:, 1:-1], rel=1e-5)


NAMES = {
    "point": "point",
    "rectangle": "rectangle",
    "box": "box",
    "disk": "round",
    "vertical cylinder": "upright cylinder",
    "sphere": "ball",
    "horizontal cylinder along photometric horizontal": "lying cylinder",
    "horizontal cylinder perpendicular to photometric horizontal": "lying cylinder",
}


@pytest.mark.parametrize(
    ("header", "size"),
    [
        ("IESNA:LM-63-2002", (0.0, 0.0, 0.0)),
        ("IESNA:LM-63-2002", (0.2, 0.5, 0.0)),
        ("IESNA:LM-63-2002", (0.2, 0.5, 0.1)),
        ("IESNA:LM-63-1995", (-0.2, 0.0, 0.0)),
        ("IESNA:LM-63-2002", (-0.2, -0.2, 0.0)),
        ("IESNA:LM-63-1995", (-0.2, 0.0, 0.1)),
        ("IESNA:LM-63-2002", (-0.2, -0.2, 0.1)),
        ("IESNA:LM-63-2002", (-0.2, -0.2, -0.2)),
        ("IESNA:LM-63-1995", (0.0, 0.5, -0.2)),
        ("IESNA:LM-63-1995", (0.5, 0.0, -0.2)),
        ("IESNA:LM-63-2002", (-0.2, 0.5, -0.2)),
    ],
)
def test_shapes_have_the_names_of_ies2rad(header, size):
    """Signs of the three sizes, in the words of two editions."""
    data = write_ies([0.0, 90], [0.0], [[1, 1]], header=header, size=size)
    assert read_ies(data).opening.shape == NAMES[shape_of(data)]
