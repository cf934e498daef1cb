"""Promises of the unit table and of printing: exact factors, and digits that a builder can measure."""

import math
import subprocess
import sys
from typing import get_args

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.units import UNITS, Kind, format_quantity, kinds, parse_quantity, spellings

# pint is the outside source: its name of each unit, and of the SI unit of each kind. Units that only
# the trade has, or that are plain numbers, it does not know: those are held by a definition below.
SI = {
    "length": "m", "area": "m**2", "volume": "m**3", "angle": "rad", "temperature": "K",
    "temperature_difference": "delta_degC", "mass": "kg", "power": "W", "time": "s", "fraction": "dimensionless",
    "irradiance": "W/m**2", "illuminance": "lm/m**2", "photon_flux_density": "umol/m**2/s", "photon_flux": "umol/s",
    "luminous_flux": "lm", "speed": "m/s", "density": "kg/m**3", "thermal_transmittance": "W/m**2/K",
    "thermal_conductivity": "W/m/K", "energy": "J", "pressure": "Pa", "stress": "Pa", "flow_rate": "m**3/s", "force": "N",
    "specific_heat": "J/kg/K", "heat_loss": "W/K",
}  # fmt: skip
PINT = {
    "in2": "in**2", "ft2": "ft**2", "in3": "in**3", "ft3": "ft**3", "mm2": "mm**2", "cm2": "cm**2", "m2": "m**2",
    "m3": "m**3", "ml": "mL", "US gal": "US_liquid_gallon", "imp gal": "imperial_gallon", "US qt": "US_liquid_quart",
    "US fl oz": "US_fluid_ounce", "%": "percent", "Fdeg": "delta_degF", "W/m2": "W/m**2", "mW/m2": "mW/m**2",
    "uW/cm2": "uW/cm**2", "lux": "lux", "klux": "klux", "fc": "lm/ft**2", "umol/m2/s": "umol/m**2/s",
    "kg/m3": "kg/m**3", "g/cm3": "g/cm**3", "lb/ft3": "lb/ft**3", "W/m2K": "W/m**2/K", "W/mK": "W/m/K",
    "J/kgK": "J/kg/K",
    "m3/h": "m**3/h", "N/mm2": "N/mm**2", "ft3/min": "ft**3/min", "lbf": "force_pound",
}  # fmt: skip
ONLY_OURS = {"UVI"}


@pytest.fixture(scope="module")
def pint_units():
    return pint.UnitRegistry(cache_folder=None)


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: f"{unit.kind}-{unit.spellings[0]}")
def test_pint_converts_every_unit_alike(unit, pint_units):
    """Factor and offset agree with pint's to the last digits, at 1 and at 37 of the unit."""
    name = unit.spellings[0]
    if name in ONLY_OURS:
        assert (unit.factor, unit.offset) == (1.0, 0.0)
        return
    name = "delta_degC" if unit.kind == "temperature_difference" and name == "K" else PINT.get(name, name)
    for number in (1.0, 37.0):
        theirs = pint_units.Quantity(number, name).to(SI[unit.kind]).magnitude
        assert number * unit.factor + unit.offset == pytest.approx(theirs, rel=1e-14)


def test_exact_definitions():
    """Inch, pound, gallons and foot-candle are what the law says they are.

    Inch and pound: international agreement of 1959; US gallon: 231 cubic inches; imperial gallon:
    Weights and Measures Act 1985 (UK), 4.54609 L; foot-candle: a lumen per square foot.
    """
    assert parse_quantity("1 in", "length") == 0.0254
    assert parse_quantity("1 lb", "mass") == 0.45359237
    assert parse_quantity("1 US gal", "volume") == pytest.approx(231 * 0.0254**3, rel=1e-15)
    assert parse_quantity("1 imp gal", "volume") == 0.00454609
    assert parse_quantity("1 fc", "illuminance") == pytest.approx(1 / 0.3048**2, rel=1e-15)


def test_every_kind_has_units_and_no_spelling_means_two_things():
    """The kinds of the type and of the table are the same; within a kind a word is one unit."""
    assert set(kinds()) == set(get_args(Kind))
    for kind in kinds():
        words = spellings(kind)
        assert len(words) == len(set(words)) > 0
        for word in words:
            assert word == " ".join(word.split())
            assert not word[0].isdigit()


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: f"{unit.kind}-{unit.spellings[0]}")
def test_every_spelling_is_read(unit):
    """With and without a space, every spelling of the table gives the unit's value."""
    number = 300.0 if unit.kind == "temperature" else 3.5
    for word in unit.spellings:
        expected = pytest.approx(number * unit.factor + unit.offset, rel=1e-15)
        assert parse_quantity(f"{number:g} {word}", unit.kind) == expected
        assert parse_quantity(f"{number:g}{word}", unit.kind) == expected


@given(
    st.sampled_from(kinds()),
    st.floats(-1e6, 1e6),
    st.sampled_from(["metric", "us"]),
    st.none() | st.integers(0, 6),
)
def test_what_is_printed_is_read_back_within_its_digits(kind, value, system, digits):
    """Parsing a printed quantity gives it back to half a unit of the last digit printed."""
    if kind == "temperature":
        value = abs(value) + 160.0
    text = format_quantity(value, kind, system, digits)
    number = text.split(" ")[0]
    unit = next(u for u in UNITS if u.kind == kind and u.spellings[0] == text.removeprefix(number).strip())
    decimals = {"length": 1, "area": 2, "mass": 2, "uv_index": 1}.get(kind, 0) if digits is None else digits
    if digits is None and (kind, system) == ("area", "us"):
        decimals = 1
    if digits is None and unit.spellings[0] in ("m/s", "W/m2K", "W/mK", "J/kgK", "W/K", "J", "L/s", "MPa"):
        decimals = 2
    if digits is None and unit.spellings[0] == "lb/ft3":
        decimals = 1
    step = 5.0 if kind == "fraction" and digits is None else 10.0**-decimals
    assert abs(parse_quantity(text, kind) - value) <= (step / 2) * unit.factor * (1 + 1e-9) + 1e-9 * abs(
        value
    )
    assert not text.startswith("-0 ")
    # Nothing is printed more finely than it was rounded, and printing is settled after one round.
    assert format_quantity(parse_quantity(text, kind), kind, system, digits) == text


@pytest.mark.parametrize(
    ("value", "kind", "system", "text"),
    [
        (0.475, "length", "metric", "47.5 cm"),
        (0.475, "length", "us", "18.7 in"),
        (307.15, "temperature", "metric", "34 degC"),
        (307.15, "temperature", "us", "93 degF"),
        (2.0, "temperature_difference", "us", "4 Fdeg"),
        (3.14159, "uv_index", "metric", "3.1 UVI"),
        (3.0, "uv_index", "metric", "3.0 UVI"),
        (0.533, "fraction", "metric", "55 %"),
        (-0.001, "length", "metric", "-0.1 cm"),
        (-0.0001, "length", "metric", "0 cm"),
        (1.06, "volume", "us", "280 US gal"),
        (0.22, "mass", "metric", "0.22 kg"),
        (math.nan, "fraction", "metric", "not known"),
        (math.inf, "length", "metric", "no limit"),
    ],
)
def test_digits_are_those_a_builder_can_measure(value, kind, system, text):
    """UV index to 0.1, temperature to 1 degree, humidity to 5 %, length to 1 mm."""
    assert format_quantity(value, kind, system) == text


def test_units_load_nothing_heavy():
    """The command's help reads this module: it needs no numpy, no pydantic, no yaml."""
    code = "import sys, sunfleck.units; print(*{m.split('.')[0] for m in sys.modules})"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()
    assert {"numpy", "pydantic", "yaml", "numba", "scipy"} & set(loaded) == set()
