"""Natural convection and dry air: limits, worked examples of textbooks, other programs, and the one closed form."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.physics.air import (
    air_at,
    conductivity,
    dynamic_viscosity,
    heat_capacity,
    kinematic_viscosity,
    prandtl,
)
from sunfleck.physics.conduction import STEFAN_BOLTZMANN
from sunfleck.physics.convection import (
    FilmLaw,
    cylinder_nusselt,
    film_law,
    rayleigh,
    sphere_nusselt,
    stable_nusselt,
    unstable_nusselt,
    vertical_laminar_nusselt,
    vertical_nusselt,
)

often = settings(max_examples=100, deadline=None, derandomize=True)
KINDS = ("vertical", "cylinder", "unstable", "stable")
LAWS = {
    "vertical": vertical_nusselt,
    "cylinder": cylinder_nusselt,
    "unstable": lambda ra, _: unstable_nusselt(ra),
    "stable": lambda ra, _: stable_nusselt(ra),
}
FOOT, RANKINE = 0.3048, 1 / 1.8
BTU_PER_HOUR = 1055.05585262 / 3600
BTU_FILM = BTU_PER_HOUR / (FOOT**2 * RANKINE)  # W m-2 K-1


def true_film(kind, size, difference, film):
    """The coefficient with the properties of the true film."""
    air = air_at(film)
    ra = rayleigh(difference, size, film, air.kinematic_viscosity, air.diffusivity)
    return LAWS[kind](ra, air.prandtl) * air.conductivity / size


# Closed forms and limits


def test_still_air_only_conducts():
    """Without a difference each law is what still air conducts; of a sphere exactly 2 k / d."""
    assert sphere_nusselt(0.0, 0.707) == 2.0
    assert vertical_nusselt(0.0, 0.7) == pytest.approx(0.825**2)
    assert vertical_laminar_nusselt(0.0, 0.7) == 0.68
    assert cylinder_nusselt(0.0, 0.7) == pytest.approx(0.36)
    assert (unstable_nusselt([0.0, 11.7]) == 1.0).all()
    assert (stable_nusselt([0.0, 188.0]) == 1.0).all()
    assert (stable_nusselt([0.0, 26.0], fifth_root=True) == 1.0).all()


def test_turbulent_air_over_a_plate_forgets_its_size():
    """With Ra^(1/3) the length drops out of h; walls approach that. 1e-12 and 6 %."""
    law = [float(film_law("unstable", size).coefficient(5.0)) for size in (0.5, 1.0, 5.0)]
    assert law == pytest.approx([law[0]] * 3, rel=1e-12)
    assert film_law("vertical", 4.0).coefficient(5.0) == pytest.approx(
        film_law("vertical", 2.0).coefficient(5.0), rel=0.06
    )


def test_two_laws_over_a_warm_plate_meet():
    """At (0.54 / 0.15)^12 there is no jump; from there to 1e7 the print is up to 6.4 % lower."""
    meet = (0.54 / 0.15) ** 12
    assert 0.54 * meet**0.25 == pytest.approx(0.15 * meet ** (1 / 3), rel=1e-12)
    ra = np.geomspace(1e4, 1e11, 400)
    printed = np.where(ra < 1e7, 0.54 * ra**0.25, 0.15 * ra ** (1 / 3))
    assert (unstable_nusselt(ra) >= printed * (1 - 1e-12)).all()
    assert unstable_nusselt(ra) == pytest.approx(printed, rel=0.0643)
    outside = (ra < meet) | (ra > 1e7)
    assert unstable_nusselt(ra)[outside] == pytest.approx(printed[outside], rel=1e-12)


@often
@given(
    difference=st.floats(0.01, 100),
    size=st.floats(1e-3, 5),
    film=st.floats(250, 400),
    pressure=st.floats(5e4, 1.1e5),
)
def test_rayleigh_scales_as_it_should(difference, size, film, pressure):
    """Twice the size is eight times, half the pressure a quarter; the sign does not matter. 1e-12."""
    air, thin = air_at(film, pressure), air_at(film, pressure / 2)
    ra = rayleigh(difference, size, film, air.kinematic_viscosity, air.diffusivity)
    assert rayleigh(-difference, 2 * size, film, air.kinematic_viscosity, air.diffusivity) == pytest.approx(
        8 * ra
    )
    assert rayleigh(difference, size, film, thin.kinematic_viscosity, thin.diffusivity) == pytest.approx(
        ra / 4
    )


@often
@given(
    kind=st.sampled_from(KINDS),
    exponent=st.floats(-3, 10.9),
    ratio=st.floats(1.0, 10.0),
    pr=st.floats(0.68, 0.73),
)
def test_more_difference_is_more_heat_and_no_law_jumps(kind, exponent, ratio, pr):
    """Nusselt never falls with Rayleigh, and never rises faster than in proportion to its cube root."""
    ra = 10.0**exponent
    low, high = float(LAWS[kind](ra, pr)), float(LAWS[kind](ra * ratio, pr))
    assert low * (1 - 1e-12) <= high <= low * ratio ** (1 / 3) * (1 + 1e-12)


# Worked examples


def test_holman_7_2():
    """Holman, Heat Transfer, ex. 7-2: wall of 4 x 10 m, 60 and 10 °C; inputs and method verified, result recomputed.

    The book's g is 9.8: Ra within 1e-3, the rest within its digits.
    """
    ra = rayleigh(50.0, 4.0, 308.0, 16.5e-6, 16.5e-6 / 0.7)
    assert ra == pytest.approx(2.618e11, rel=1e-3)
    nu = vertical_nusselt(ra, 0.7)
    assert nu == pytest.approx(715.3, rel=1e-3)
    assert nu * 0.02685 / 4 == pytest.approx(4.80, rel=1e-3)
    assert nu * 0.02685 / 4 * 40.0 * 50.0 == pytest.approx(9603, rel=1e-3)


def test_holman_7_5_and_7_7():
    """Ex. 7-5 and 7-7 (verified): pipe of 0.3048 m, 250 and 15 °C; C&C 64.7 (computed) is 4 to 9 % above both."""
    ra = rayleigh(235.0, 0.3048, 405.5, 26.54e-6, 26.54e-6 / 0.687)
    assert ra == pytest.approx(1.569e8, rel=2e-3)
    nu = cylinder_nusselt(ra, 0.687)
    assert nu == pytest.approx(64.7, abs=0.1)
    h = nu * 0.03406 / 0.3048
    for book in (6.63, 6.956):
        assert book < h < 1.1 * book


@pytest.mark.parametrize(
    ("law", "ra", "size", "printed_h", "printed_heat"),
    [
        # Both verified (Scilab companion of the book), recomputed. Btu h-1 ft-2 °R-1, Btu h-1.
        pytest.param(
            lambda ra: vertical_laminar_nusselt(ra, 0.708), 4.92e8, 2 * FOOT, 0.5855, 93.7, id="side"
        ),
        pytest.param(lambda ra: 0.54 * ra**0.25, 7.69e6, 0.5 * FOOT, 0.862, 137.9, id="top"),
    ],
)
def test_janna_8_5(law, ra, size, printed_h, printed_heat):
    """Janna, Engineering Heat Transfer, ex. 8.5: oven of 2 ft, 100 and 60 °F, his table of air: h within 1 %."""
    film, difference = 299.82, 40 * RANKINE
    air = air_at(film)
    # His table of air is not ours: 5 %.
    assert rayleigh(difference, size, film, air.kinematic_viscosity, air.diffusivity) == pytest.approx(
        ra, rel=0.05
    )
    h = float(law(ra) * air.conductivity) / size
    assert h == pytest.approx(printed_h * BTU_FILM, rel=0.01)
    assert h * (2 * FOOT) ** 2 * difference == pytest.approx(printed_heat * BTU_PER_HOUR, rel=0.01)


def test_janna_8_5_top_lies_where_the_joined_law_is_above_the_print():
    """4 % above 0.54 Ra^(1/4) at 7.69e6: what joining the two laws costs there."""
    assert unstable_nusselt(7.69e6) / (0.54 * 7.69e6**0.25) == pytest.approx(1.041, abs=1e-3)


def test_som_5_7():
    """Som, ex. 5.7 (verified): nitrogen at a wall 2 m high, Nu = 0.13 (Gr Pr)^(1/3) = 442; C&C is 12 % lower."""
    nu = 1.562e-5  # from his Gr; k from his Nu and h
    ra = rayleigh(52.0, 2.0, 303.0, nu, nu / 0.713)
    assert ra == pytest.approx(5.513e10 * 0.713, rel=2e-3)
    assert 0.13 * ra ** (1 / 3) == pytest.approx(442.0, rel=1e-3)
    assert vertical_nusselt(ra, 0.713) == pytest.approx(0.88 * 442.0, rel=0.01)


def test_incropera_9_2():
    """Incropera, ex. 9.2 (statement from memory): glass of 0.71 x 1.02 m before a fire, 232 and 23 °C."""
    ra = rayleigh(209.0, 0.71, 1 / 0.0025, 26.4e-6, 38.3e-6)
    assert ra == pytest.approx(1.813e9, rel=2e-3)
    nu = vertical_nusselt(ra, 0.69)
    assert nu == pytest.approx(147, abs=0.5)
    assert nu * 33.8e-3 / 0.71 == pytest.approx(7.0, abs=0.05)
    assert nu * 33.8e-3 * 1.02 * 209.0 == pytest.approx(1060, rel=0.005)
    radiated = STEFAN_BOLTZMANN * 0.71 * 1.02 * (505.0**4 - 296.0**4)
    assert radiated == pytest.approx(2355, rel=1e-3)


def test_incropera_9_3():
    """Incropera, ex. 9.3 (from memory; computed): duct of 0.75 x 0.3 m, 45 and 15 °C; 1e-3."""
    side, flat = (rayleigh(30.0, size, 1 / 0.0033, 16.2e-6, 22.9e-6) for size in (0.3, 0.375))
    h_side = vertical_laminar_nusselt(side, 0.71) * 0.0265 / 0.3
    h_top = unstable_nusselt(flat) * 0.0265 / 0.375
    h_bottom, newer = (stable_nusselt(flat, fifth_root=f) * 0.0265 / 0.375 for f in (False, True))
    assert [h_side, h_top, h_bottom, newer] == pytest.approx([4.224, 5.477, 2.068, 1.560], rel=1e-3)
    for bottom, heat in ((h_bottom, 245.8), (newer, 234.4)):
        assert 30.0 * (2 * 0.3 * h_side + 0.75 * (h_top + bottom)) == pytest.approx(heat, rel=1e-3)


def test_incropera_9_4():
    """Incropera, ex. 9.4 (from memory; computed): pipe of 0.1 m, 165 and 23 °C, emissivity 0.85."""
    ra = rayleigh(142.0, 0.1, 1 / 2.725e-3, 22.8e-6, 32.8e-6)
    assert ra == pytest.approx(5.07e6, rel=2e-3)
    nu = cylinder_nusselt(ra, 0.697)
    assert [nu, nu * 0.313] == pytest.approx([23.09, 7.227], rel=1e-3)
    radiated = 0.85 * STEFAN_BOLTZMANN * np.pi * 0.1 * (438.0**4 - 296.0**4)
    assert [np.pi * 0.1 * nu * 0.313 * 142.0, radiated] == pytest.approx([322.4, 441.0], rel=2e-3)


@pytest.mark.parametrize(
    ("size", "difference", "all_ra", "laminar"),
    [(0.6, 5.0, 2.70, 2.30), (0.6, 10.0, 3.32, 2.73), (0.45, 3.0, 2.40, 2.19)],
)
def test_walls_of_an_enclosure(size, difference, all_ra, laminar):
    """Reference 5.1, air of 25 °C, computed there with CoolProp's properties, real gas: 0.3 %."""
    air = air_at(298.15)
    ra = rayleigh(difference, size, 298.15, air.kinematic_viscosity, air.diffusivity)
    h = [
        float(law(ra, air.prandtl) * air.conductivity) / size
        for law in (vertical_nusselt, vertical_laminar_nusselt)
    ]
    assert h == pytest.approx([all_ra, laminar], rel=3e-3)
    assert film_law("vertical", size, 298.15).coefficient(difference) == pytest.approx(h[0], rel=1e-12)


def test_rayleigh_of_a_wall_of_an_enclosure():
    """Reference 5.1 (computed): 1.036e8 for 0.6 m and 5 K at 25 °C; an ideal gas expands less, 0.2 %."""
    air = air_at(298.15)
    ra = rayleigh(5.0, 0.6, 298.15, air.kinematic_viscosity, air.diffusivity)
    assert ra == pytest.approx(1.036e8, rel=2e-3)


# Dry air


@pytest.mark.parametrize(
    ("celsius", "row"),
    [
        (25.0, (1.1843, 1.8448e-5, 1.5577e-5, 0.026247, 1006.3, 0.7073)),
        (35.0, (1.1458, 1.8928e-5, 1.6519e-5, 0.026987, 1006.7, 0.7061)),
    ],
)
def test_air_of_the_reference(celsius, row):
    """Reference 5.1, computed with CoolProp 8.0.0: 1e-4, density (an ideal gas here) and what holds it 4e-4."""
    air = air_at(celsius + 273.15)
    got = (
        air.density, air.dynamic_viscosity, air.kinematic_viscosity,
        air.conductivity, air.heat_capacity, air.prandtl,
    )  # fmt: skip
    for value, expected, rel in zip(got, row, (4e-4, 1e-4, 4e-4, 1e-4, 1e-4, 1e-4), strict=True):
        assert value == pytest.approx(expected, rel=rel)


def test_air_against_coolprop():
    """The same equations by another program, 250 to 400 K: 2e-5, and 1e-3 for the density of an ideal gas."""
    from CoolProp.CoolProp import PropsSI

    t = np.linspace(250.0, 400.0, 31)
    air = air_at(t)
    for key, got, rel in (
        ("L", air.conductivity, 2e-5),
        ("V", air.dynamic_viscosity, 2e-5),
        ("C", air.heat_capacity, 2e-5),
        ("Prandtl", air.prandtl, 4e-5),
        ("D", air.density, 1e-3),
    ):
        expected = np.array([PropsSI(key, "T", x, "P", 101325.0, "Air") for x in t])
        print(f"{key}: off by up to {abs(got / expected - 1).max():.1e}")
        assert got == pytest.approx(expected, rel=rel)


def test_air_all_at_once_is_air_one_by_one():
    """One record of everything says the same as each function; arrays broadcast."""
    t, p = np.array([[280.0], [300.0]]), np.array([8e4, 9e4, 1e5])
    air = air_at(t, p)
    assert air.density.shape == (2, 3)
    assert (air.conductivity == conductivity(t)).all()
    assert (air.dynamic_viscosity == dynamic_viscosity(t)).all()
    assert (air.heat_capacity == heat_capacity(t)).all()
    assert air.kinematic_viscosity == pytest.approx(kinematic_viscosity(t, p), rel=1e-12)
    assert air.prandtl == pytest.approx(prandtl(t), rel=1e-12)
    assert air.kinematic_viscosity / air.diffusivity == pytest.approx(prandtl(t) + 0 * p, rel=1e-12)


# Other programs


def test_nusselt_numbers_against_ht():
    """Those of ht 1.2.0 over the whole range of each law: 1e-9. Its plate is the print, ours is joined (above)."""
    from ht import conv_free_immersed as ht

    for pr in (0.69, 0.707, 0.72):
        for ra in np.geomspace(1e4, 1e11, 15):
            gr = ra / pr
            expected = [
                ht.Nu_vertical_plate_Churchill(Pr=pr, Gr=gr),
                ht.Nu_horizontal_cylinder_Churchill_Chu(Pr=pr, Gr=gr),
            ]
            assert [vertical_nusselt(ra, pr), cylinder_nusselt(ra, pr)] == pytest.approx(expected, rel=1e-9)
            if not 4.7e6 < ra < 1.001e7:
                up = ht.Nu_horizontal_plate_McAdams(Pr=pr, Gr=gr, buoyancy=True)
                assert unstable_nusselt(ra) == pytest.approx(up, rel=1e-9)
            if ra < 1e10:
                down = ht.Nu_horizontal_plate_McAdams(Pr=pr, Gr=gr, buoyancy=False)
                assert stable_nusselt(ra) == pytest.approx(down, rel=1e-9)


# The closed form


@pytest.mark.parametrize("kind", KINDS)
def test_a_law_is_its_correlation_at_its_own_temperature(kind):
    """At one film temperature nothing is lost but, for a plate, the other of its two laws; 1e-12."""
    for size in (0.02, 0.08, 0.6, 2.0):
        for temperature in (280.0, 300.0, 320.0):
            difference = np.geomspace(0.5, 20.0, 20)
            got = film_law(kind, size, temperature).coefficient(difference)
            assert got == pytest.approx(true_film(kind, size, difference, temperature), rel=1e-12)


FILM, DIFFERENCE = np.linspace(280.0, 320.0, 21)[:, None], np.geomspace(0.5, 40.0, 40)


@pytest.mark.parametrize(
    ("kind", "sizes", "bound"),
    [
        ("vertical", np.geomspace(0.005, 2.0, 15), 0.045),
        ("cylinder", np.geomspace(0.005, 2.0, 15), 0.045),
        ("stable", np.geomspace(0.02, 2.0, 15), 0.022),
        ("unstable", np.geomspace(0.01, 0.11, 9), 0.051),
        ("unstable", np.geomspace(0.45, 2.0, 7), 0.051),
        ("unstable", [0.12, 0.15], 0.13),  # turbulent beyond 10 K
        ("unstable", [0.2, 0.25, 0.26], 0.24),
        ("unstable", [0.28, 0.35, 0.4], 0.15),  # laminar below 1 K
    ],
)
def test_how_far_a_law_of_300_k_is_from_the_true_film(kind, sizes, bound):
    """Films of 280 to 320 K, 0.5 to 40 K apart: what fixed properties, and one power for two, cost."""
    for size in sizes:
        off = (
            film_law(kind, float(size)).coefficient(DIFFERENCE) / true_film(kind, size, DIFFERENCE, FILM) - 1
        )
        print(f"{kind} of {size:.3f} m: {off.min():+.3f} to {off.max():+.3f}")
        assert abs(off).max() < bound


def test_at_the_usual_difference_a_plate_of_any_size_is_near():
    """At 5 K, where the law of a plate is chosen: 11 %, just below the size at which it changes."""
    for size in [*np.geomspace(0.01, 2.0, 60), *np.linspace(0.25, 0.28, 31)]:
        off = film_law("unstable", size).coefficient(5.0) / true_film("unstable", size, 5.0, FILM) - 1
        assert abs(off).max() < 0.11


def test_the_floor_is_conduction():
    """At no difference h is k / L, or what the law itself says; never zero, and smooth down to it."""
    k = float(conductivity(300.0))
    for size in (0.005, 0.1, 1.0):
        for kind, share in (("vertical", 0.825**2), ("cylinder", 0.36), ("unstable", 1.0), ("stable", 1.0)):
            law = film_law(kind, size)
            assert law.coefficient(0.0) == pytest.approx(share * k / size, rel=1e-12)
            assert law.floor == pytest.approx(share * k / size, rel=1e-12)


@often
@given(
    kind=st.sampled_from(KINDS),
    size=st.floats(0.002, 3.0),
    difference=st.floats(0.0, 100.0),
    step=st.floats(0.0, 1e-6),
)
def test_h_is_continuous_even_and_never_falls(kind, size, difference, step):
    """A millionth of a kelvin moves h by less than b (2 sqrt h + b) at n = 1/8 can; both signs are alike."""
    law = film_law(kind, size)
    here, there = float(law.coefficient(difference)), float(law.coefficient(difference + step))
    assert law.coefficient(-difference) == here
    assert here >= law.floor > 0
    rise = law.b * step**law.n  # a power below one rises most from zero
    assert here <= there <= (np.sqrt(here) + rise) ** 2 * (1 + 1e-12)


@often
@given(size=st.floats(0.005, 3.0), difference=st.floats(0.1, 40.0), pressure=st.floats(6e4, 1.05e5))
def test_thin_air_carries_less(size, difference, pressure):
    """In the mountains every coefficient is lower or the same, by no more than the density to two thirds."""
    for kind in KINDS:
        if kind == "unstable" and 0.2 < size < 0.4:
            continue  # where the law changes with the Rayleigh number
        here = film_law(kind, size).coefficient(difference)
        there = film_law(kind, size, pressure=pressure).coefficient(difference)
        low, high = sorted((1.0, (pressure / 101325.0) ** (2 / 3)))
        assert low - 1e-9 <= there / here <= max(1.0, high * (pressure > 101325.0)) + 1e-9


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: film_law("slanted", 0.1),
            "must be one of vertical, cylinder, unstable, stable; got 'slanted'",
        ),
        (lambda: film_law("vertical", 0.0), "size must be above zero; got 0 m"),
        (lambda: film_law("vertical", 0.1, 200.0), "temperature of air must be 250 to 400 K; got 200 K"),
        (lambda: film_law("vertical", 0.1, np.nan), "temperature of air must be 250 to 400 K; got nan K"),
        (lambda: film_law("vertical", 0.1, pressure=-1.0), "pressure must be above zero; got -1 Pa"),
        (lambda: FilmLaw(0.0, -2.0, 0.25), "b of a film law must be zero or more; got -2"),
        (lambda: FilmLaw(0.0, 1.0, np.nan), "n of a film law must be zero or more; got nan"),
        (
            lambda: rayleigh(np.nan, 1.0, 300.0, 1e-5, 2e-5),
            "difference of temperature must be finite; got nan K",
        ),
        (
            lambda: rayleigh(1.0, 1.0, 300.0, 0.0, 2e-5),
            "kinematic viscosity must be above zero; got 0 m2 s-1",
        ),
        (lambda: rayleigh(1.0, 1.0, 300.0, 1e-5, -1.0), "diffusivity must be above zero; got -1 m2 s-1"),
        (lambda: vertical_nusselt(-1.0, 0.7), "Rayleigh number must be zero or more; got -1"),
        (lambda: vertical_laminar_nusselt(np.nan, 0.7), "Rayleigh number must be zero or more; got nan"),
        (lambda: cylinder_nusselt(1.0, 0.0), "Prandtl number must be above zero; got 0"),
        (lambda: unstable_nusselt([1.0, -3.0]), "Rayleigh number must be zero or more; got -3"),
        (lambda: stable_nusselt(np.inf), "Rayleigh number must be zero or more; got inf"),
        (lambda: sphere_nusselt(1.0, np.nan), "Prandtl number must be above zero; got nan"),
        (lambda: air_at([300.0, 401.0]), "temperature of air must be 250 to 400 K; got 401 K"),
        (lambda: kinematic_viscosity(300.0, 0.0), "pressure must be above zero; got 0 Pa"),
    ],
)
def test_what_means_nothing_is_refused_with_its_number(call, message):
    """The message names the argument, what was needed, and what came."""
    with pytest.raises(DomainError, match=message):
        call()
