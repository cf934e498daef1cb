"""Closed forms of idealised sources, against published values and numerical integration.

Values come from the project's table of checked configuration factors (compared there with quadrature to
12 digits); formulas after Howell's catalogue, Moon 1936 and Keitz 1971.
"""

import numpy as np
import pytest
from scipy.integrate import dblquad, quad

from sunfleck.errors import DomainError
from sunfleck.physics import sources


@pytest.mark.parametrize(
    ("width", "depth", "distance", "factor"),
    [
        (1, 1, 1, 0.138531606), (0.5, 0.5, 1, 0.059864118), (1, 1, 0.5, 0.207757125),
        (2, 1, 1, 0.167375010), (10, 10, 1, 0.247971408), (0.1, 0.1, 1, 0.003141243),
    ],
)  # fmt: skip
def test_rectangle_parallel_meets_the_table(width, depth, distance, factor):
    """Configuration factor B-4, nine digits."""
    assert sources.rectangle_factor_parallel(width, depth, distance) == pytest.approx(factor, abs=1e-9)


@pytest.mark.parametrize(
    ("height", "width", "distance", "factor"),
    [
        (1, 1, 1, 0.055734197), (0.5, 1, 1, 0.021121437), (2, 1, 1, 0.095067941),
        (1, 1, 0.5, 0.124268910), (1, 2, 1, 0.068697299),
    ],
)  # fmt: skip
def test_rectangle_perpendicular_meets_the_table(height, width, distance, factor):
    """Element at right angles to the rectangle, nine digits."""
    assert sources.rectangle_factor_perpendicular(height, width, distance) == pytest.approx(factor, abs=1e-9)


@pytest.mark.parametrize(("radius", "factor"), [(1, 0.5), (0.5, 0.2), (0.1, 0.00990099), (2, 0.8)])
def test_disc_on_axis_meets_the_table(radius, factor):
    """r^2 / (r^2 + h^2) at h = 1."""
    assert sources.disc_factor_on_axis(radius, 1.0) == pytest.approx(factor, abs=1e-8)


@pytest.mark.parametrize(
    ("radius", "height", "offset", "factor"),
    [
        (1, 1, 1, 0.276393202), (0.5, 1, 1, 0.065878429), (1, 2, 1, 0.146446609),
        (1, 1, 2, 0.052786405), (0.5, 0.5, 0.25, 0.437982633),
    ],
)  # fmt: skip
def test_disc_parallel_meets_the_table(radius, height, offset, factor):
    """Element parallel to the disc, off its axis, nine digits."""
    assert sources.disc_factor_parallel(radius, height, offset) == pytest.approx(factor, abs=1e-9)


@pytest.mark.parametrize(
    ("radius", "height", "offset", "factor"),
    [(0.5, 1, 1, 0.058156306), (1, 1, 2, 0.085410197), (1, 2, 1.5, 0.065635552)],
)
def test_disc_perpendicular_meets_the_table(radius, height, offset, factor):
    """Element at right angles to the disc, nine digits."""
    assert sources.disc_factor_perpendicular(radius, height, offset) == pytest.approx(factor, abs=1e-9)


def test_disc_on_the_axis_is_a_case_of_off_the_axis():
    """Two formulas, one limit."""
    radius = np.array([0.01, 0.3, 2.0])
    assert sources.disc_factor_parallel(radius, 0.7, 0.0) == pytest.approx(
        sources.disc_factor_on_axis(radius, 0.7), rel=1e-14
    )


@pytest.mark.parametrize(
    ("length", "distance", "parallel", "perpendicular"),
    [
        (1, 1, 0.642699082, 0.25), (0.5, 0.3, 2.452588829, 1.225490196), (1.2, 0.3, 2.601852969, 1.568627451),
        (0.3, 1, 0.283343076, 0.041284404), (100, 1, 0.785397830, 0.499950),
    ],
)  # fmt: skip
def test_line_meets_the_table(length, distance, parallel, perpendicular):
    """Diffuse line of unit intensity per metre, element opposite one end; the last value has six digits."""
    assert sources.line_irradiance_parallel(1, length, distance) == pytest.approx(parallel, abs=1e-9)
    assert sources.line_irradiance_perpendicular(1, length, distance) == pytest.approx(
        perpendicular, abs=5e-7
    )


@pytest.mark.parametrize(
    ("power", "length", "distance", "irradiance"),
    [
        (1000, 1, 0.3, 496.998), (1000, 0.5, 0.3, 801.479), (1000, 0.6, 0.3, 723.545),
        (1000, 1, 3, 11.0545), (3000, 1.2, 0.5, 692.967),
    ],
)  # fmt: skip
def test_tube_meets_the_table(power, length, distance, irradiance):
    """Below the middle of a bare tube, six digits (the form due to Keitz)."""
    assert sources.tube_irradiance(power, length, distance) == pytest.approx(irradiance, rel=2e-6)


@pytest.mark.parametrize("offset", [0.0, 0.2, -0.6, 1.5])
def test_tube_agrees_with_summing_slices(offset):
    """Independent route: slices of the line added up numerically, no arctan involved."""
    power, length, d = 1.5, 1.2, 0.30
    slices, _ = quad(
        lambda s: power / (np.pi**2 * length) * d**2 / (d**2 + (s - offset) ** 2) ** 2,
        -length / 2,
        length / 2,
    )
    assert sources.tube_irradiance(power, length, d, offset) == pytest.approx(slices, rel=1e-9)


def test_tube_loses_nothing_to_an_endless_cylinder():
    """Conservation: the integral over a coaxial cylinder is the tube's power."""
    caught, _ = quad(
        lambda x: float(sources.tube_irradiance(1.5, 1.2, 0.3, x)) * 2 * np.pi * 0.3, -np.inf, np.inf
    )
    assert caught == pytest.approx(1.5, rel=1e-6)


def test_rectangle_parallel_agrees_with_quadrature():
    """Independent route: the definition of the factor, integrated twice."""
    a, b, c = 0.7, 0.4, 0.3
    direct, _ = dblquad(lambda y, x: c * c / (np.pi * (x * x + y * y + c * c) ** 2), 0, a, 0, b, epsabs=1e-12)
    assert sources.rectangle_factor_parallel(a, b, c) == pytest.approx(direct, rel=1e-9)


@pytest.mark.parametrize(("x", "lux"), [(0, 111.111), (1, 94.8683), (2, 64.0039), (3, 39.2837), (4, 24.0)])
def test_point_source_on_a_floor(x, lux):
    """1000 cd, 3 m up: the textbook row of horizontal illuminances."""
    distance = np.hypot(3.0, x)
    assert sources.point_irradiance(1000, distance, np.arctan2(x, 3)) == pytest.approx(lux, rel=1e-5)


def test_five_times_rule():
    """At five times its size the point approximation is off by -0.990 % for a disc, -0.661 % for a line."""
    disc = sources.disc_factor_on_axis(0.1, 1.0) / 0.1**2 - 1  # diameter a fifth of the distance
    assert 100 * disc == pytest.approx(-0.990, abs=5e-4)
    line = sources.tube_irradiance(1.0, 0.2, 1.0) / (1 / np.pi**2) - 1
    assert 100 * line == pytest.approx(-0.661, abs=5e-3)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: sources.point_irradiance(1, [0.3, 0.0]), "distance must be above zero; got 0 m"),
        (lambda: sources.point_irradiance(-1, 1), "intensity must be zero or more; got -1 W sr-1"),
        (lambda: sources.tube_irradiance(1, 0, 1), "length must be above zero; got 0 m"),
        (lambda: sources.tube_irradiance(-2, 1, 1), "power must be zero or more; got -2 W"),
        (lambda: sources.disc_factor_on_axis(0, 1), "radius must be above zero; got 0 m"),
        (lambda: sources.disc_factor_parallel(1, -1, 0), "height must be above zero; got -1 m"),
        (lambda: sources.disc_factor_perpendicular(1, 1, 0.5), "offset must be at least the radius; got 0.5 m"),
        (lambda: sources.rectangle_factor_parallel(1, 0, 1), "depth must be above zero; got 0 m"),
        (lambda: sources.rectangle_factor_perpendicular(np.nan, 1, 1), "height must be above zero; got nan m"),
        (lambda: sources.line_irradiance_parallel(1, 1, 0), "distance must be above zero; got 0 m"),
        (lambda: sources.line_irradiance_perpendicular(1, 0, 1), "length must be above zero; got 0 m"),
    ],
)  # fmt: skip
def test_what_means_nothing_is_refused_with_its_number(call, message):
    """The message names the argument, what was needed, what came, and the unit."""
    with pytest.raises(DomainError, match=message):
        call()
