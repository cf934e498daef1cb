"""Moist air: inverses, order and limits; ASHRAE's tables; CoolProp and psychrolib."""

import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.physics.conduction import u_value
from sunfleck.physics.moist_air import (
    TRIPLE,
    density,
    dew_point,
    enthalpy,
    humidity_ratio,
    relative_humidity,
    saturation_pressure,
    standard_pressure,
    vapour_pressure,
    wet_bulb,
)

often = settings(max_examples=100, deadline=None, derandomize=True)
less_often = settings(max_examples=40, deadline=None, derandomize=True)  # a wet bulb takes 5 ms
TEMPERATURES = st.floats(223.0, 373.0)
HUMIDITIES = st.floats(0.0, 1.0)
PRESSURES = st.floats(6e4, 1.1e5)
ZERO = 273.15


@pytest.fixture(scope="module")
def psychrolib():
    with pytest.MonkeyPatch.context() as without:
        without.setitem(sys.modules, "numba", None)  # it would compile for 7 s what is asked some 100 times
        import psychrolib
    psychrolib.SetUnitSystem(psychrolib.SI)
    return psychrolib


# Inverses and order


@often
@given(temperature=TEMPERATURES)
def test_dew_point_is_the_inverse_of_saturation(temperature):
    """There and back to a billionth of a kelvin, over ice and over water."""
    assert dew_point(saturation_pressure(temperature)) == pytest.approx(temperature, abs=1e-9)


def test_saturation_has_no_step_where_ice_melts():
    """At the triple point 611.657 Pa from both sides, 2e-7; the dew point is whole across it."""
    below, above = saturation_pressure([np.nextafter(TRIPLE, 0.0), TRIPLE])
    assert [below, above] == pytest.approx([611.657] * 2, rel=2e-7)
    near = 611.657 * (1 + np.linspace(-1e-6, 1e-6, 201))
    assert dew_point(near) == pytest.approx(TRIPLE, abs=2e-5)
    assert (np.diff(dew_point(near)) >= 0).all()


@often
@given(temperature=TEMPERATURES, step=st.floats(1e-6, 100.0))
def test_warmer_air_holds_more(temperature, step):
    """Saturation rises with temperature, ice to water included."""
    warmer = min(373.0, temperature + step)
    assert warmer == temperature or saturation_pressure(warmer) > saturation_pressure(temperature)


@often
@given(temperature=TEMPERATURES)
def test_slope_is_that_of_clausius_and_clapeyron(temperature):
    """The slope of ln p over 1 / T gives the heat of vaporisation, 2.24 to 2.51 MJ/kg, of ice 2.82 to 2.84."""
    if abs(temperature - TRIPLE) < 0.02 or temperature > 372.9 or temperature < 223.1:
        return
    low, high = temperature - 0.01, temperature + 0.01
    slope = np.log(saturation_pressure(high) / saturation_pressure(low)) / (1 / low - 1 / high)
    heat = 461.52 * float(slope)
    expected = 2.83e6 if temperature < TRIPLE else 2.501e6 - 2400.0 * (temperature - ZERO)
    # An ideal vapour makes it 1.5 % too high at 100 °C.
    assert heat == pytest.approx(expected, rel=0.02)


@often
@given(temperature=TEMPERATURES, humidity=HUMIDITIES, pressure=PRESSURES)
def test_humidity_there_and_back(temperature, humidity, pressure):
    """Relative humidity, humidity ratio and vapour pressure say the same; 1e-12."""
    if humidity * saturation_pressure(temperature) >= 0.99 * pressure:
        return
    w = humidity_ratio(temperature, humidity, pressure)
    assert relative_humidity(temperature, w, pressure) == pytest.approx(humidity, rel=1e-12, abs=1e-300)
    e = humidity * saturation_pressure(temperature)
    assert vapour_pressure(w, pressure) == pytest.approx(float(e), rel=1e-12, abs=1e-300)


@less_often
@given(temperature=st.floats(250.0, 350.0), humidity=st.floats(0.02, 1.0), pressure=PRESSURES)
def test_wet_bulb_lies_between_dew_point_and_air(temperature, humidity, pressure):
    """Always; and saturated air has all three alike, 1e-9."""
    e = humidity * saturation_pressure(temperature)
    wet = float(wet_bulb(temperature, humidity, pressure))
    if e >= saturation_pressure(223.0):
        assert float(dew_point(e)) - 1e-9 <= wet
    assert wet <= temperature + 1e-9
    assert wet_bulb(temperature, 1.0, pressure) == pytest.approx(temperature, abs=1e-9)


@less_often
@given(temperature=TEMPERATURES, humidity=HUMIDITIES, more=HUMIDITIES)
def test_moister_air_cools_less(temperature, humidity, more):
    """The wet bulb rises with humidity, through the step where ice melts too."""
    low, high = sorted((humidity, more))
    assert wet_bulb(temperature, low) <= wet_bulb(temperature, high) + 1e-9


@less_often
@given(temperature=st.floats(283.15, 323.15), humidity=st.floats(0.3, 1.0))
def test_wet_bulb_keeps_the_enthalpy_of_what_it_gives_off(temperature, humidity):
    """Adiabatic saturation: h(t, W) + (W* - W) h_water = h(t*, W*); the constants of the balance hold it to 0.2 %."""
    w = humidity_ratio(temperature, humidity)
    wet = wet_bulb(temperature, humidity)
    if wet < TRIPLE:
        return
    saturated = humidity_ratio(wet, 1.0)
    gained = (saturated - w) * 4186.0 * (wet - ZERO)
    assert enthalpy(temperature, w) + gained == pytest.approx(float(enthalpy(wet, saturated)), rel=2e-3)


@often
@given(temperature=TEMPERATURES, humidity=HUMIDITIES)
def test_density_is_that_of_two_gases_in_one_place(temperature, humidity):
    """Closed form: each gas for itself at its own pressure, 3e-5; so moist air is lighter."""
    w = humidity_ratio(temperature, humidity)
    e = humidity * saturation_pressure(temperature)
    r = 8.314462618
    apart = ((101325.0 - e) * 0.02896546 + e * 0.018015268) / (r * temperature)
    assert density(temperature, w) == pytest.approx(float(apart), rel=3e-5)
    assert density(temperature, w) <= density(temperature, 0.0)


def test_arrays_broadcast():
    """Every function of several arguments takes a column and a row."""
    t, rh, p = np.array([[280.0], [300.0]]), np.array([0.2, 0.5, 0.9]), 9e4
    w = humidity_ratio(t, rh, p)
    for got in (w, relative_humidity(t, w, p), enthalpy(t, w), wet_bulb(t, rh, p), density(t, w, p)):
        assert got.shape == (2, 3)
    assert wet_bulb(t, rh, p)[1, 2] == pytest.approx(float(wet_bulb(300.0, 0.9, p)), abs=1e-9)
    assert saturation_pressure(t).shape == (2, 1)


# Published tables

# °C; IAPWS by CoolProp, Pa; Hyland and Wexler by psychrolib, Pa; W_s of real moist air; vapour in g/m3. Computed.
REFERENCE_6_1 = [
    (5, 872.58, 872.49, 0.005425, 6.797),
    (10, 1228.2, 1228.0, 0.007663, 9.397),
    (15, 1705.8, 1705.5, 0.010694, 12.825),
    (20, 2339.3, 2338.8, 0.014760, 17.287),
    (25, 3169.9, 3169.2, 0.020173, 23.033),
    (30, 4247.0, 4246.0, 0.027333, 30.350),
    (35, 5629.0, 5627.8, 0.036760, 39.574),
    (40, 7384.9, 7383.5, 0.049144, 51.090),
]


@pytest.mark.parametrize(("celsius", "iapws", "hyland", "ratio", "grams"), REFERENCE_6_1)
def test_saturation_of_reference_6_1(celsius, iapws, hyland, ratio, grams):
    """Reference 6.1: pressures 0.05 %; held in air 0.6 % low, as two ideal gases are; vapour alone 0.3 %."""
    t = celsius + ZERO
    assert saturation_pressure(t) == pytest.approx(iapws, rel=1e-4)
    assert saturation_pressure(t) == pytest.approx(hyland, rel=5e-4)
    low = humidity_ratio(t, 1.0) / ratio - 1
    assert -0.006 < low < -0.003
    w = humidity_ratio(t, 1.0)
    assert 1e3 * density(t, w) * w / (1 + w) == pytest.approx(grams, rel=3e-3)


@pytest.mark.parametrize(
    ("celsius", "pascals", "ratio"),
    [(5, 872.6, 0.005425), (25, 3169.7, 0.020173), (50, 12351.3, 0.086863)],
)
def test_ashrae_tables_2_and_3(celsius, pascals, ratio):
    """ASHRAE Fundamentals 2017 ch. 1 (verified, through psychrolib's tests): 3e-4, and W_s 0.4 to 0.6 % low."""
    assert saturation_pressure(celsius + ZERO) == pytest.approx(pascals, rel=3e-4)
    assert -0.006 < humidity_ratio(celsius + ZERO, 1.0) / ratio - 1 < -0.003


def test_ashrae_enthalpy_of_saturated_air():
    """ASHRAE 2017 table 2 (verified): 76.504 kJ/kg at 25 °C; 0.3 % low by the vapour left out, else 1e-4."""
    assert enthalpy(298.15, humidity_ratio(298.15, 1.0)) == pytest.approx(76_504, rel=4e-3)
    assert enthalpy(298.15, 0.020173) == pytest.approx(76_504, rel=5e-4)


def test_ashrae_example_1():
    """ASHRAE 2017 ch. 1 ex. 1 (verified): air of 40 °C, wet bulb 20: within what its digits leave open."""
    w = 0.0065
    rh = relative_humidity(313.15, w)
    assert rh == pytest.approx(0.14, abs=0.005)
    assert wet_bulb(313.15, rh) == pytest.approx(293.15, abs=0.1)
    assert enthalpy(313.15, w) == pytest.approx(56_700, abs=400)  # read off a chart
    assert (1 + w) / density(313.15, w) == pytest.approx(0.896, abs=0.001)
    assert dew_point(vapour_pressure(w)) - ZERO == pytest.approx(7.0, abs=0.7)  # read off a chart


@pytest.mark.parametrize(("metres", "pascals"), [(0, 101325), (500, 95461), (1000, 89875)])
def test_standard_pressures(metres, pascals):
    """ASHRAE 2017 ch. 1 table 1 (verified): to a pascal."""
    assert standard_pressure(metres) == pytest.approx(pascals, abs=1.0)


@pytest.mark.parametrize(
    ("celsius", "percent", "dew"),
    [
        (20, 50, 9.27), (25, 50, 13.86), (25, 60, 16.70), (25, 80, 21.31),
        (28, 80, 24.23), (30, 70, 23.93), (26, 90, 24.23), (32, 30, 12.27),
    ],
)  # fmt: skip
def test_dew_points_of_reference_6_1(celsius, percent, dew):
    """Reference 6.1, computed with psychrolib: its two digits."""
    e = percent / 100 * saturation_pressure(celsius + ZERO)
    assert dew_point(e) - ZERO == pytest.approx(dew, abs=0.0051)


@pytest.mark.parametrize(
    ("celsius", "percent", "deficit"), [(25, 50, 1585), (25, 80, 634), (28, 80, 756), (26, 90, 336)]
)
def test_vapour_deficits_of_reference_6_1(celsius, percent, deficit):
    """Reference 6.1 (computed): to a pascal."""
    assert (1 - percent / 100) * saturation_pressure(celsius + ZERO) == pytest.approx(deficit, abs=1.0)


@pytest.mark.parametrize(
    ("inside", "percent", "pane", "dew", "wet"),
    [(26, 80, 21.65, 22.28, True), (25, 60, 21.38, 16.70, False), (28, 90, 22.20, 26.20, True)],
)
def test_when_a_pane_fogs(inside, percent, pane, dew, wet):
    """Reference 6.1 (computed): a pane of U 5.8 with 8 W m-2 K-1 inside, room of 20 °C; 0.006 K."""
    surface = inside - 5.8 / 8.0 * (inside - 20.0)
    begins = float(dew_point(percent / 100 * saturation_pressure(inside + ZERO))) - ZERO
    assert [surface, begins] == pytest.approx([pane, dew], abs=0.006)
    assert (surface < begins) == wet


def test_until_when_a_pane_stays_dry():
    """Reference 6.1 (computed): 26 °C against 20 °C, dry up to 77.0 %; with films of 7.7 on both sides the pane is 23.05."""
    limit = saturation_pressure(21.65 + ZERO) / saturation_pressure(26.0 + ZERO)
    assert limit == pytest.approx(0.770, abs=5e-4)
    films = float(u_value(1 / 7.7, 0.004, 1 / 7.7))
    assert 26.0 - films / 7.7 * 6.0 == pytest.approx(23.05, abs=0.006)


# Other programs


def test_saturation_against_coolprop_and_iapws():
    """Water: IAPWS-95 by CoolProp, 1e-4. Ice: the check value of IAPWS R14-08, 8.94735 Pa at 230 K (from memory)."""
    from CoolProp.CoolProp import PropsSI

    t = np.linspace(273.16, 373.0, 41)
    expected = np.array([PropsSI("P", "T", x, "Q", 0, "Water") for x in t])
    print(f"off by up to {abs(saturation_pressure(t) / expected - 1).max():.1e}")
    assert saturation_pressure(t) == pytest.approx(expected, rel=1e-4)
    assert saturation_pressure(230.0) == pytest.approx(8.94735, rel=1e-6)


def test_moist_air_against_real_moist_air():
    """CoolProp's humid air, a real gas, 5 to 45 °C: density 0.1 %, dew point 0.02 K, wet bulb 0.03 K."""
    from CoolProp.HumidAirProp import HAPropsSI

    off = {"density": 0.0, "dew point": 0.0, "wet bulb": 0.0}
    for t in np.linspace(278.15, 318.15, 5):
        for rh in (0.3, 0.6, 0.9):
            state = ("T", t, "P", 101325.0, "R", rh)
            w = HAPropsSI("W", *state)
            v = float(density(t, w)) * HAPropsSI("Vha", *state) - 1
            dew = float(dew_point(rh * saturation_pressure(t))) - HAPropsSI("D", *state)
            wet = float(wet_bulb(t, rh)) - HAPropsSI("B", *state)
            for name, value in (("density", v), ("dew point", dew), ("wet bulb", wet)):
                off[name] = max(off[name], abs(value), key=abs)
    print(off)
    assert off["density"] < 1e-3
    assert off["dew point"] < 0.02
    assert off["wet bulb"] < 0.03


def test_moist_air_against_psychrolib(psychrolib):
    """ASHRAE's equations by another program, -45 to 95 °C: its saturation is another, 0.035 %; wet bulb 0.005 K."""
    for celsius in (-45.0, -20.0, -3.0, 4.0, 15.0, 25.0, 38.0, 60.0, 95.0):
        t = celsius + ZERO
        assert saturation_pressure(t) == pytest.approx(psychrolib.GetSatVapPres(celsius), rel=3.5e-4)
        for rh in (0.2, 0.5, 0.95):
            for p in (80_000.0, 101_325.0):
                if celsius > 90 and rh > 0.9:
                    continue  # nearly all vapour: a small difference of pressures is all that is left
                w = psychrolib.GetHumRatioFromRelHum(celsius, rh, p)
                assert humidity_ratio(t, rh, p) == pytest.approx(w, rel=2e-3)
                assert relative_humidity(t, w, p) == pytest.approx(rh, rel=3.5e-4)
                assert vapour_pressure(w, p) == pytest.approx(
                    psychrolib.GetVapPresFromHumRatio(w, p), rel=1e-9
                )
                assert enthalpy(t, w) == pytest.approx(psychrolib.GetMoistAirEnthalpy(celsius, w), rel=1e-9)
                assert density(t, w, p) == pytest.approx(
                    psychrolib.GetMoistAirDensity(celsius, w, p), rel=1e-4
                )
                wet = psychrolib.GetTWetBulbFromRelHum(celsius, rh, p)
                if not -0.6 < wet < 0.01:  # there the bulb may be ice or water, and each of us takes another
                    assert wet_bulb(t, rh, p) - ZERO == pytest.approx(wet, abs=0.005)
    for z in (-200.0, 0.0, 500.0, 2500.0):
        assert standard_pressure(z) == pytest.approx(psychrolib.GetStandardAtmPressure(z), rel=1e-9)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: saturation_pressure(222.0), "temperature must be 223 to 373 K; got 222 K"),
        (lambda: saturation_pressure([300.0, 374.0]), "temperature must be 223 to 373 K; got 374 K"),
        (lambda: saturation_pressure(np.nan), "temperature must be 223 to 373 K; got nan K"),
        (lambda: humidity_ratio(300.0, 1.01), "relative humidity must be 0 to 1; got 1.01"),
        (lambda: humidity_ratio(300.0, -0.1), "relative humidity must be 0 to 1; got -0.1"),
        (lambda: humidity_ratio(300.0, 0.5, 0.0), "pressure must be above zero; got 0 Pa"),
        (
            lambda: humidity_ratio(372.0, 1.0, [101325.0, 9e4]),
            "above that of the vapour, 973.* Pa; got 90000 Pa",
        ),
        (lambda: relative_humidity(300.0, -0.01), "humidity ratio must be zero or more; got -0.01"),
        (lambda: relative_humidity(150.0, 0.01), "temperature must be 223 to 373 K; got 150 K"),
        (lambda: vapour_pressure(np.nan), "humidity ratio must be zero or more; got nan"),
        (lambda: vapour_pressure(0.01, -1.0), "pressure must be above zero; got -1 Pa"),
        (lambda: dew_point(0.0), "vapour pressure must be 3.8.* to 100876 Pa; got 0 Pa"),
        (lambda: dew_point([1000.0, 2e5]), "to 100876 Pa; got 200000 Pa"),
        (lambda: dew_point(np.nan), "got nan Pa"),
        (lambda: enthalpy(300.0, np.inf), "humidity ratio must be zero or more; got inf"),
        (lambda: wet_bulb(400.0, 0.5), "temperature must be 223 to 373 K; got 400 K"),
        (lambda: wet_bulb(300.0, np.nan), "relative humidity must be 0 to 1; got nan"),
        (lambda: density(300.0, 0.01, np.nan), "pressure must be above zero; got nan Pa"),
        (lambda: standard_pressure(12_000.0), "altitude must be -5000 to 11000 m; got 12000 m"),
    ],
)
def test_what_means_nothing_is_refused_with_its_number(call, message):
    """The message names the argument, what was needed, and what came."""
    with pytest.raises(DomainError, match=message):
        call()
