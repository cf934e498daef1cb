"""Heat through solids: limits and the equation of heat itself, standards of building physics, a textbook."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.special import erfc

from sunfleck.errors import DomainError
from sunfleck.physics import conduction
from sunfleck.physics.conduction import (
    STEFAN_BOLTZMANN,
    half_space_after_step,
    half_space_under_flux,
    radiative_coefficient,
    slab_after_step,
    surface_resistance,
    u_value,
)

often = settings(max_examples=100, deadline=None, derandomize=True)
ZERO = 273.15


# Closed forms


def test_a_slab_begins_and_ends_right():
    """Nothing at once but at the stepped side; everything in the end; never outside 0 to 1."""
    x = np.linspace(0.0, 0.02, 21)
    assert slab_after_step(x, 0.0, 0.02, 1e-6).tolist() == [0.0] * 20 + [1.0]
    assert slab_after_step(x, 1e6, 0.02, 1e-6) == pytest.approx(1.0, abs=1e-12)
    whole = slab_after_step(x, np.geomspace(1e-3, 1e5, 60)[:, None], 0.02, 1e-6)
    assert whole.min() >= -1e-12
    assert whole.max() <= 1 + 1e-12
    assert (np.diff(whole, axis=0) >= -1e-12).all()
    assert (np.diff(whole, axis=1) >= -1e-12).all()


@often
@given(place=st.floats(0.0, 1.0), fourier=st.floats(0.02, 2.0))
def test_two_expansions_of_a_slab_agree(place, fourier):
    """Mirror images and waves, each by enough terms: 1e-12, wherever the other one is used."""
    n = np.arange(200)
    mu = (n + 0.5) * np.pi
    waves = 1 - 2 * ((-1.0) ** n / mu * np.exp(-(mu**2) * fourier) * np.cos(mu * place)).sum()
    spread = 2 * np.sqrt(fourier)
    images = ((-1.0) ** n * (erfc((2 * n + 1 - place) / spread) + erfc((2 * n + 1 + place) / spread))).sum()
    got = slab_after_step(place, fourier, 1.0, 1.0)
    assert [got, got] == pytest.approx([waves, images], abs=1e-12)


def test_where_the_expansions_of_a_slab_change_there_is_no_jump():
    """Either side of Fo = 0.2, 1e-12."""
    x = np.linspace(0.0, 1.0, 11)
    fo = conduction._EARLY
    below, above = (slab_after_step(x, t, 1.0, 1.0) for t in (fo, np.nextafter(fo, 1.0)))
    assert below == pytest.approx(above, abs=1e-12)


def test_a_slab_against_the_equation_of_heat():
    """Independent route: 200 layers in a row, stepped by scipy; 1e-4."""
    n, times = 200, [0.02, 0.1, 0.2, 0.5, 1.5]

    def rate(_, theta):
        flow = n * np.diff(np.concatenate([theta[:1], theta, [2.0 - theta[-1]]]))
        return n * np.diff(flow)

    steps = solve_ivp(rate, (0.0, 1.5), np.zeros(n), "LSODA", times, rtol=1e-8, atol=1e-10, lband=1, uband=1)
    x = (np.arange(n) + 0.5) / n
    off = abs(steps.y.T - slab_after_step(x, np.array(times)[:, None], 1.0, 1.0)).max()
    print(f"off by up to {off:.1e}")
    assert off < 1e-4


@often
@given(thickness=st.floats(1e-3, 0.5), share=st.floats(0.0, 1.0), fourier=st.floats(1e-4, 0.03))
def test_early_on_a_slab_is_a_half_space(thickness, share, fourier):
    """Until heat is at the far side: twice what the half space has there more, no less."""
    time = fourier * thickness**2 / 1e-6
    slab = slab_after_step((1 - share) * thickness, time, thickness, 1e-6)
    half = half_space_after_step(share * thickness, time, 1e-6)
    beyond = half_space_after_step(thickness, time, 1e-6)
    assert half - 1e-12 <= slab <= half + beyond + 1e-12


@often
@given(
    thickness=st.floats(1e-3, 0.5),
    diffusivity=st.floats(1e-8, 1e-4),
    fourier=st.floats(1e-3, 3.0),
    x=st.floats(0, 1),
)
def test_only_the_fourier_number_counts(thickness, diffusivity, fourier, x):
    """Any slab is the slab of thickness one; 1e-9."""
    got = slab_after_step(x * thickness, fourier * thickness**2 / diffusivity, thickness, diffusivity)
    assert got == pytest.approx(float(slab_after_step(x, fourier, 1.0, 1.0)), abs=1e-9)


def test_a_half_space_obeys_the_equation_of_heat():
    """By differences: the rate is the diffusivity times the curvature, after a step and under a flux; 1e-5."""
    alpha, z, t = 4e-7, np.linspace(0.005, 0.06, 12), np.array([[300.0], [3000.0]])
    dz, dt = 1e-5, 0.05
    for law in (
        lambda z, t: half_space_after_step(z, t, alpha),
        lambda z, t: half_space_under_flux(t, 100.0, 0.3, alpha, z),
    ):
        rate = (law(z, t + dt) - law(z, t - dt)) / (2 * dt)
        curvature = (law(z + dz, t) - 2 * law(z, t) + law(z - dz, t)) / dz**2
        assert alpha * curvature == pytest.approx(rate, rel=1e-4, abs=1e-5 * abs(rate).max())


def test_a_half_space_keeps_the_flux_it_is_given():
    """The heat in it is flux times time, 1e-6; the gradient at its surface is flux over conductivity, 1e-4."""
    k, alpha, q, t = 0.3, 4e-7, 250.0, 1800.0
    z = np.linspace(0.0, 0.5, 200_001)
    stored = np.trapezoid(half_space_under_flux(t, q, k, alpha, z), z) * k / alpha
    assert stored == pytest.approx(q * t, rel=1e-6)
    gradient = (half_space_under_flux(t, q, k, alpha, 1e-7) - half_space_under_flux(t, q, k, alpha)) / 1e-7
    assert -k * gradient == pytest.approx(q, rel=1e-4)
    surface = half_space_under_flux(t, q, k, alpha)
    assert surface == pytest.approx(2 * q / k * np.sqrt(alpha * t / np.pi), rel=1e-12)


def test_a_half_space_begins_and_ends_right():
    """Before the step nothing but the surface; long after, all of it; no flux, no rise; out is minus in."""
    assert half_space_after_step([0.0, 0.1], 0.0, 1e-6).tolist() == [1.0, 0.0]
    assert half_space_after_step(0.1, 1e15, 1e-6) == pytest.approx(1.0, abs=1e-5)
    assert half_space_under_flux(0.0, 100.0, 1.0, 1e-6, [0.0, 0.1]) == pytest.approx(0.0, abs=1e-100)
    assert half_space_under_flux(60.0, 0.0, 1.0, 1e-6) == 0.0
    assert half_space_under_flux(60.0, -5.0, 1.0, 1e-6) == -half_space_under_flux(60.0, 5.0, 1.0, 1e-6)


@often
@given(
    warm=st.floats(260.0, 400.0),
    cold=st.floats(260.0, 400.0),
    emissivity=st.floats(0.01, 1.0),
)
def test_radiation_in_one_coefficient_is_low_by_what_it_says(warm, cold, emissivity):
    """Exactly (dT / 2 T)^2 below eps sigma (T1^4 - T2^4), T the mean; 1e-9."""
    mean, difference = 0.5 * (warm + cold), warm - cold
    linear = radiative_coefficient(emissivity, mean) * difference
    exact = emissivity * STEFAN_BOLTZMANN * (warm**4 - cold**4)
    assert linear * (1 + (difference / (2 * mean)) ** 2) == pytest.approx(exact, rel=1e-9, abs=1e-9)


@often
@given(parts=st.lists(st.floats(0.01, 10.0), min_size=1, max_size=6))
def test_a_wall_is_its_layers_in_any_order(parts):
    """The reciprocal of the sum; a layer split in two changes nothing; each layer more insulates. 1e-12."""
    u = float(u_value(*parts))
    assert u == pytest.approx(1 / sum(parts), rel=1e-12)
    assert u_value(*reversed(parts)) == pytest.approx(u, rel=1e-12)
    assert u_value(parts[0] / 2, parts[0] / 2, *parts[1:]) == pytest.approx(u, rel=1e-12)
    assert u_value(*parts, 0.1) < u


# Published numbers


@pytest.mark.parametrize(
    ("convective", "exact", "printed"), [(5.0, 0.0986, 0.10), (2.5, 0.1309, 0.13), (0.7, 0.1712, 0.17)]
)
def test_inner_surfaces_of_iso_6946(convective, exact, printed):
    """ISO 6946, heat up, sideways, down at 20 °C: the printed ones verified, the formula from memory, recomputed."""
    r = float(surface_resistance(convective, 0.9, 20.0 + ZERO))
    assert r == pytest.approx(exact, abs=6e-5)
    assert round(r, 2) == printed


def test_outer_surface_of_iso_6946():
    """ISO 6946 at 10 °C and 4 m/s, 4 + 4 v: 0.0406 (computed), printed 0.04 (verified)."""
    r = float(surface_resistance(20.0, 0.9, 10.0 + ZERO))
    assert r == pytest.approx(0.0406, abs=6e-5)
    assert round(r, 2) == 0.04


@pytest.mark.parametrize(("celsius", "h"), [(-10, 4.133), (0, 4.622), (10, 5.149), (20, 5.714), (30, 6.319)])
def test_radiative_coefficients_of_iso_6946(celsius, h):
    """Reference 5.3 (computed; the standard's own table has one digit less): to its digits."""
    assert radiative_coefficient(1.0, celsius + ZERO) == pytest.approx(h, abs=6e-4)


@pytest.mark.parametrize(
    ("inner", "outer", "millimetres", "u"),
    [
        # EN 673, conductivity 1.0: recomputed; the coefficients of both editions are from memory.
        (8.0, 23.0, 3, 5.83), (8.0, 23.0, 4, 5.80), (8.0, 23.0, 6, 5.73), (8.0, 23.0, 8, 5.67), (8.0, 23.0, 10, 5.60),
        (7.7, 25.0, 4, 5.75),
        (7.7, 7.7, 4, 3.79),  # a pane between two rooms
    ],
)  # fmt: skip
def test_single_panes_of_en_673(inner, outer, millimetres, u):
    """To the two digits that are quoted."""
    assert u_value(1 / inner, millimetres * 1e-3 / 1.0, 1 / outer) == pytest.approx(u, abs=0.0051)


@pytest.mark.parametrize(
    ("celsius", "emitted"), [(40, 545.28), (60, 698.51), (100, 1099.37), (200, 2841.89), (300, 6119.06)]
)
def test_black_surfaces_of_reference_5_4(celsius, emitted):
    """Reference 5.4 (computed): sigma T^4, which is a quarter of the coefficient times T."""
    t = celsius + ZERO
    assert radiative_coefficient(1.0, t) * t / 4 == pytest.approx(emitted, abs=0.006)


def test_two_plates_of_reference_5_4():
    """Reference 5.4 (computed): 0.9 and 0.9, 60 and 25 °C, 204.90 W/m2; linear about the mean it is 0.3 % low."""
    between = 1 / (1 / 0.9 + 1 / 0.9 - 1)
    t1, t2 = 60.0 + ZERO, 25.0 + ZERO
    assert between * STEFAN_BOLTZMANN * (t1**4 - t2**4) == pytest.approx(204.90, abs=0.006)
    linear = radiative_coefficient(between, 0.5 * (t1 + t2)) * (t1 - t2)
    assert linear * (1 + ((t1 - t2) / (t1 + t2)) ** 2) == pytest.approx(204.90, abs=0.006)


def test_incropera_5_6():
    """Incropera, ex. 5.6 (from memory): soil of 20 °C, surface at -15 °C for 60 days; frost is 0.68 m deep."""
    share = half_space_after_step(0.68, 60 * 86_400.0, 0.138e-6)
    assert 20.0 - 35.0 * share == pytest.approx(0.0, abs=0.1)


def test_first_term_of_the_charts():
    """Charts of plane walls (textbooks, from memory): Bi endless has 1.5708 and 1.2733; within 0.2 % from Fo 0.3 on."""
    for fourier in (0.3, 0.5, 1.0):
        left = 1.2733 * np.exp(-(1.5708**2) * fourier)
        assert 1 - slab_after_step(0.0, fourier, 1.0, 1.0) == pytest.approx(left, rel=2e-3)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: radiative_coefficient(1.2, 300.0), "emissivity must be 0 to 1; got 1.2"),
        (lambda: radiative_coefficient(np.nan, 300.0), "emissivity must be 0 to 1; got nan"),
        (lambda: surface_resistance(5.0, 0.9, 0.0), "temperature must be above zero; got 0 K"),
        (lambda: surface_resistance(-5.0, 0.9, 300.0), "convective must be above zero; got -5 W m-2 K-1"),
        (u_value, "sum of resistances must be above zero; got 0 m2 K W-1"),
        (lambda: u_value(0.1, -0.2), "resistance must be zero or more; got -0.2 m2 K W-1"),
        (lambda: u_value(np.nan), "resistance must be zero or more; got nan m2 K W-1"),
        (
            lambda: slab_after_step(0.02, 1.0, 0.01, 1e-6),
            "position must be within the slab; got 2 of its thickness",
        ),
        (lambda: slab_after_step(0.0, -1.0, 0.01, 1e-6), "time must be zero or more; got -1 s"),
        (lambda: slab_after_step(0.0, 1.0, 0.0, 1e-6), "thickness must be above zero; got 0 m"),
        (lambda: slab_after_step(0.0, 1.0, 0.01, np.inf), "diffusivity must be above zero; got inf m2 s-1"),
        (lambda: half_space_after_step(-0.1, 1.0, 1e-6), "depth must be zero or more; got -0.1 m"),
        (lambda: half_space_under_flux(1.0, np.nan, 1.0, 1e-6), "flux must be finite; got nan W m-2"),
        (
            lambda: half_space_under_flux(1.0, 1.0, 0.0, 1e-6),
            "conductivity must be above zero; got 0 W m-1 K-1",
        ),
    ],
)
def test_what_means_nothing_is_refused_with_its_number(call, message):
    """The message names the argument, what was needed, and what came."""
    with pytest.raises(DomainError, match=message):
        call()
