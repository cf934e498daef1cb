"""Passage in the plane, against published formulas and tables."""

from math import sqrt

import numpy as np
import pytest

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.planar import (
    carried_round_corner,
    ladder_limit,
    panel_limit,
    rectangle_fits,
    tilt_up_height,
)

# Wetzel 2000 (Math. Mag. 73, 204-211) for the rule and its counterexample 9 x 4 in 8 x 6; least b computed from the
# formula and by brute-force rotation: p, q, a, b, fits, least b.
RECTANGLES = [
    (9, 4, 8, 6, False, 9.78759), (9, 1, 8, 6, True, 5.89526), (10, 1, 8, 7, False, 7.54647), (9, 2, 8, 6, False, 7.53951),
    (13, 1, 12, 6, False, 6.87433), (5, 1, 4.5, 3.2, False, 3.94423), (1.2, 0.6, 1.0, 0.9, False, 1.33666),
    (2.0, 0.1, 1.98, 0.76, True, 0.495345),
]  # fmt: skip
# MathWorld, "Moving ladder problem": 2 sqrt 2 for 1, 1; the others by the same formula.
LADDERS = [
    (1, 1, 2 * sqrt(2)),
    (3, 4, 9.865663),
    (5, 3, 11.19410),
    (8, 27, 46.87217),
    (1, 8, 5 * sqrt(5)),
    (0.9, 0.76, 2.344807),
]
# Computed by an independent minimisation: a, b, w, L.
PANELS = [
    (1, 1, 0.5, 1.828427),
    (1, 1, 0.25, 2.328427),
    (0.9, 0.76, 0.6, 1.138695),
    (1.2, 0.9, 0.6, 1.747413),
]


@pytest.mark.parametrize(("p", "q", "a", "b", "fits", "least"), RECTANGLES)
def test_rectangles_of_the_table(p, q, a, b, fits, least):
    """The table, and the limit to 1e-5 from both sides (a stays the side that is given)."""
    assert rectangle_fits(p, q, a, b) is fits
    if least <= a:
        assert rectangle_fits(p, q, a, least * (1 + 1e-5))
        assert not rectangle_fits(p, q, a, least * (1 - 1e-5))


def turned_until_it_fits(p, q, a, b):
    """Brute force: how much too large the turned rectangle is at the best of 4,000 angles, refined twice."""
    low, high = 0.0, np.pi / 2
    for _ in range(3):
        angle = np.linspace(low, high, 4001)
        over = np.maximum(
            p * np.cos(angle) + q * np.sin(angle) - a, p * np.sin(angle) + q * np.cos(angle) - b
        )
        best = angle[over.argmin()]
        low, high = best - (high - low) / 1000, best + (high - low) / 1000
    return over.min()


def test_300_rectangles_at_the_limit():
    """Carver's limit, sides 1e-4 below and above it: 0 mismatches against turning by brute force."""
    draw = np.random.default_rng(1957)
    for _ in range(150):
        p = draw.uniform(1, 3)
        q = p * draw.uniform(0.02, 0.98)
        a = p * draw.uniform(max(0.75, q / p), 0.999)
        least = (2 * p * q * a + (p * p - q * q) * sqrt(p * p + q * q - a * a)) / (p * p + q * q)
        for factor in (1 - 1e-4, 1 + 1e-4):
            b = least * factor
            if b < q:
                continue
            assert rectangle_fits(p, q, a, b) == (
                min(turned_until_it_fits(p, q, a, b), turned_until_it_fits(p, q, b, a)) <= 0
            )


def test_the_shorter_side_is_tested_first():
    """10 x 10 in 8 x 8 passes the short form of the inequality."""
    assert not rectangle_fits(10, 10, 8, 8)


@pytest.mark.parametrize(("first", "second", "limit"), LADDERS)
def test_a_ladder_round_a_corner(first, second, limit):
    """Formula to 1e-6; search and proof, which know no formula, to 0.05 % from both sides."""
    assert ladder_limit(first, second) == pytest.approx(limit, rel=1e-6)
    assert carried_round_corner(limit * 0.9995, 0, first, second).state == "found open"
    assert carried_round_corner(limit * 1.0005, 0, first, second).state == "proved"


@pytest.mark.parametrize(("first", "second", "width", "limit"), PANELS)
def test_a_panel_round_a_corner(first, second, width, limit):
    """The same for a rigid rectangle; for a = b the limit is 2 (sqrt 2 a - w)."""
    assert panel_limit(width, first, second) == pytest.approx(limit, rel=1e-6)
    if first == second:
        assert limit == pytest.approx(2 * (sqrt(2) * first - width), rel=1e-6)
    assert carried_round_corner(limit * 0.9995, width, first, second).state == "found open"
    assert carried_round_corner(limit * 1.0005, width, first, second).state == "proved"


def test_tilting_up():
    """A diagonal: 2.0 x 0.6 m sweeps 2.088 m."""
    assert tilt_up_height(2.0, 0.6) == pytest.approx(2.088, abs=5e-4)


@pytest.mark.parametrize(
    "call", [lambda: rectangle_fits(1, 0, 1, 1), lambda: ladder_limit(0, 1), lambda: panel_limit(1, 1, 2)]
)
def test_impossible_numbers_are_refused(call):
    """With the number in the message."""
    with pytest.raises(DomainError, match=r"\d"):
        call()
