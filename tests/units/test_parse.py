"""Promises of reading quantities: what a builder writes is understood or refused with a remedy."""

import math
import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.errors import UnitError
from sunfleck.units import UNITS, kinds, parse_clock, parse_quantity

INCH = 0.0254  # m, exactly: international yard and pound agreement of 1959


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("48 in", 48), ("48in", 48), ('48"', 48), ("48 inches", 48), ("48 in.", 48),
        ("47 1/2 in", 47.5), ("47-1/2 in", 47.5), ("47½ in", 47.5), ("47.5 in", 47.5), ("1/2 in", 0.5),
        ("¾ in", 0.75), ("23/32 in", 23 / 32), ("1 1⁄4″", 1.25), (".5 in", 0.5), ("1e1 in", 10),
        ("4 ft 2 in", 50), ("4ft 2in", 50), ("6' 2\"", 74), ("6′ 2″", 74), ("6’ 2”", 74), ("6'2\"", 74),
        ("4' 2 1/2\"", 50.5), ("4'-2 1/2\"", 50.5), ("4′ 2½″", 50.5), ("4 feet 2 inches", 50), ("1 1/2 ft", 18),
        ("-4 ft 2 in", -50), ("−3 in", -3), ("- 3 in", -3), ("+3 in", 3), ("  3  in ", 3), ("3\u00a0in", 3),
    ],
)  # fmt: skip
def test_inches_and_feet_as_builders_write_them(text, inches):
    """Fractions, marks, dashes and signs of drawings mean what a builder means."""
    assert parse_quantity(text, "length") == pytest.approx(inches * INCH, rel=1e-15, abs=1e-15)


@given(st.integers(0, 60), st.integers(0, 11), st.integers(0, 15), st.sampled_from(["{0} ft {1} {2}/16 in", "{0}' {1} {2}/16\"",
    "{0}'-{1} {2}/16\"", "{0} feet {1}-{2}/16 inches"]))  # fmt: skip
def test_feet_inches_and_sixteenths_add_up(feet, inches, sixteenths, form):
    """Any reading of a tape is its feet, inches and sixteenths."""
    expected = (12 * feet + inches + sixteenths / 16) * INCH
    found = parse_quantity(form.format(feet, inches, sixteenths), "length")
    assert found == pytest.approx(expected, rel=1e-14, abs=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("120 cm", "length", 1.2),
        ("75 degF", "temperature", 297.03888888888886),
        ("-40 °F", "temperature", 233.15),
        ("-40 ℃", "temperature", 233.15),
        ("300 K", "temperature", 300.0),
        ("2 K", "temperature_difference", 2.0),
        ("2 Cdeg", "temperature_difference", 2.0),
        ("9 Fdeg", "temperature_difference", 5.0),
        ("12 US gal", "volume", 12 * 3.785411784e-3),
        ("12 imp gal", "volume", 12 * 4.54609e-3),
        ("30 %", "fraction", 0.3),
        ("0.3", "fraction", 0.3),
        ("1/4", "fraction", 0.25),
        ("5 m²", "area", 5.0),
        ("5 ft³", "volume", 5 * 0.3048**3),
        ("300 µmol m⁻² s⁻¹", "photon_flux_density", 300.0),
        ("300 μmol/m²/s", "photon_flux_density", 300.0),
        ("5.8 W/(m²·K)", "thermal_transmittance", 5.8),
        ("90°", "angle", math.pi / 2),
        ("0.30479999999999996 m", "length", 0.30479999999999996),
    ],
)
def test_other_quantities(text, kind, value):
    """Temperatures, volumes, shares, and the raised figures that people paste."""
    assert parse_quantity(text, kind) == pytest.approx(value, rel=1e-15)


def test_a_known_tank_has_its_known_volume():
    """48 x 28 x 48 in is 280 US gallons within 1 %. (Common practice, no source.)"""
    sides = [parse_quantity(side, "length") for side in ("48 in", "2 ft 4 in", "4'")]
    assert math.prod(sides) == pytest.approx(parse_quantity("280 US gal", "volume"), rel=0.01)


REFUSED = [
    # text, kind, what was needed, remedy: a bare number
    ("48", "length", "a length with its unit", "48 cm or 48 in"),
    ("-48", "length", "a length with its unit", "-48 cm or -48 in"),
    ("47.123456789", "length", "its unit", "47.123456789 cm or 47.123456789 in"),
    ("24", "temperature", "a temperature with its unit", "24 degC or 24 degF"),
    ("2", "temperature_difference", "its unit", "2 K or 2 Fdeg"),
    ("12", "volume", "a volume with its unit", "12 L or 12 US gal"),
    ("3", "area", "an area with its unit", "3 m2 or 3 ft2"),
    ("3", "uv_index", "a UV index with its unit", "3 UVI"),
    ("4 ft 2", "length", "a unit after every number", "4 ft 2 in"),
    ("6' 2", "length", "a unit after every number", "6' 2 in"),
    ("1 200 mm", "length", "without spaces between digits", "1200 mm"),
    ("-1 200 mm", "length", "without spaces between digits", "-1200 mm"),
    # a size of gallon
    ("12 gal", "volume", "whether US or imperial", "12 US gal or 12 imp gal"),
    ("1 1/2 gallons", "volume", "whether US or imperial", "1 1/2 US gal or 1 1/2 imp gal"),
    ("2 qt", "volume", "whether US or imperial", "2 US qt"),
    ("10 fl oz", "volume", "whether US or imperial", "10 US fl oz"),
    # a comma
    ("47,5 cm", "length", "a decimal point; a comma can mean two things", "47.5 cm"),
    ("1,200 mm", "length", "a decimal point; a comma can mean two things", "1.200 mm or 1200 mm"),
    ("1,200.5 mm", "length", "a decimal point", "1200.5 mm"),
    ("1,200,000 mm", "length", "a decimal point", "1200000 mm"),
    ("1.200,5 mm", "length", "a decimal point", "1200.5 mm"),
    ("47,5", "length", "a decimal point", "47.5 cm or 47.5 in"),
    # a temperature where a difference is asked, and the reverse
    ("4 °F", "temperature_difference", "in K, Cdeg or Fdeg", "4 Fdeg"),
    ("4 F", "temperature_difference", "in K, Cdeg or Fdeg", "4 Fdeg"),
    ("2 degC", "temperature_difference", "in K, Cdeg or Fdeg", "2 K"),
    ("4 Fdeg", "temperature", "Fdeg is for differences", "4 degF"),
    ("2 Cdeg", "temperature", "Cdeg is for differences", "2 degC"),
    ("2 K", "temperature", "below 150 K it looks like a difference", "2 degC"),
    ("-2 K", "temperature", "below 150 K it looks like a difference", "-2 degC"),
    ("24 C", "temperature", "a temperature with its unit", "24 degC"),
    ("75 F", "temperature", "a temperature with its unit", "75 degF"),
    ("-300 degC", "temperature", "above absolute zero, -273.15 degC", "27 degC"),
    ("-460 degF", "temperature", "above absolute zero, -273.15 degC", "27 degC"),
    # an unknown unit, or one of another kind
    ("48 CM", "length", "units: um, mm, cm, m, in, ft, yd", "48 cm"),
    ("48 inchs", "length", "units: um, mm", "48 inches"),
    ("30 min", "length", "min is a unit of time", None),
    ("5 furlong", "length", "units: um, mm, cm, m, in, ft, yd", None),
    ("12 fc", "uv_index", "fc is a unit of illuminance", None),
    ("10 gal", "length", "units: um, mm, cm, m, in, ft, yd); gal is a unit of volume", None),
    ("1 gal", "mass", "units: mg, g, kg, lb, oz); gal is a unit of volume", None),
    # no number, no finite or no credible one
    ("", "length", "a number and its unit", "30 cm"),
    ("cm", "length", "a number and its unit", "30 cm"),
    ("--3 cm", "length", "a number and its unit", "30 cm"),
    ("٣ cm", "length", "a number and its unit", "30 cm"),
    ("nan m", "length", "a finite number", "30 cm"),
    ("-.inf", "length", "a finite number", "30 cm"),
    ("1/0 in", "length", "a fraction over zero", "30 cm"),
    ("1e16 m", "length", "a number up to 1e15 and an exponent up to 15", "30 cm"),
    ("1e400 m", "length", "a number up to 1e15", "30 cm"),
    ("1e-400 m", "length", "an exponent up to 15", "30 cm"),
    ("2e15 m", "length", "a number up to 1e15", "30 cm"),
    ("1e" + "9" * 50 + " m", "length", "an exponent up to 15", "30 cm"),
    ("9" * 50 + " m", "length", "a number up to 1e15", "30 cm"),
    ("9**9**9 m", "length", "units: um", None),
    ("5² m", "length", "a raised figure follows a unit", "30 cm"),
    ("x" * 61, "length", "at most 60 characters", "30 cm"),
    # more than one amount
    ("3 cm 2 mm", "length", "only feet and inches go together", "30 cm"),
    ("2 in 4 ft", "length", "only feet and inches go together", "30 cm"),
    ("4 ft 2 in 3 in", "length", "only feet and inches go together", "30 cm"),
    ("4 ft -2 in", "length", "units: um", None),
    ("1 2", "fraction", "one fraction", "55 %"),
]


@pytest.mark.parametrize(("text", "kind", "needed", "fix"), REFUSED)
def test_what_would_be_a_guess_is_refused_with_a_remedy(text, kind, needed, fix):
    """The sentence says what is needed, every remedy is accepted, and none is a value out of the air."""
    with pytest.raises(UnitError, match=re.escape(needed)) as caught:
        parse_quantity(text, kind)
    assert caught.value.fix == fix
    assert str(caught.value).endswith(f"; try {fix}") if fix else "; try" not in str(caught.value)
    assert caught.value.wrote == (text if len(text) <= 60 else text[:60] + "...")
    for remedy in fix.split(" or ") if fix else ():
        assert math.isfinite(parse_quantity(remedy, kind))


SPELLINGS = sorted({word for unit in UNITS for word in unit.spellings})
PIECES = st.sampled_from(
    [*SPELLINGS, *"0123456789.,/'\"-+eE ½²⁻", "gal", "nan", "inf", "1e", " 1/2", "1/0", "٣", "\n"]
)


@given(st.text(max_size=80) | st.lists(PIECES, max_size=12).map("".join), st.sampled_from(kinds()))
def test_any_text_is_a_finite_number_or_refused_with_an_acceptable_remedy(text, kind):
    """No other exception, no infinite number, no remedy that would be refused in its turn."""
    try:
        remedies = [parse_quantity(text, kind)]
    except UnitError as error:
        remedies = [parse_quantity(remedy, kind) for remedy in error.fix.split(" or ")] if error.fix else []
    assert all(math.isfinite(value) for value in remedies)
    try:
        time_of_day = parse_clock(text)
    except UnitError as error:
        time_of_day = parse_clock(str(error.fix).strip('"'))
    assert 0 <= time_of_day <= 86400


@pytest.mark.parametrize("text", ["1" * 60, "1 " * 30, "1/" * 30, "' " * 30, "1'" * 30, "," * 60, "1,1" * 20, " " * 60,
    "1e" * 30, "1.1." * 15, "1 1/1" * 12, "m " * 30, "½" * 60, "-" * 60, "a" * 10_000_000])  # fmt: skip
def test_hostile_text_is_answered_in_milliseconds(text):
    """No pattern takes more than linear time, and long text meets none."""
    begun = time.process_time()
    for kind in kinds():
        with pytest.raises(UnitError):
            parse_quantity(text, kind)
    with pytest.raises(UnitError):
        parse_clock(text)
    assert (time.process_time() - begun) / len(kinds()) < 0.005


@given(st.integers(0, 23), st.integers(0, 59))
def test_every_minute_of_the_day_is_a_time(hours, minutes):
    """Seconds after midnight, with or without the leading zero."""
    assert (
        parse_clock(f"{hours:02}:{minutes:02}")
        == parse_clock(f" {hours}:{minutes:02}")
        == 3600 * hours + 60 * minutes
    )


def test_the_day_ends_at_24():
    """24:00 is the end of the day, and nothing is later."""
    assert parse_clock("24:00") == 86400


@pytest.mark.parametrize(
    ("text", "fix"),
    [("24:01", '"08:00"'), ("8", '"08:00"'), ("8:60", '"08:00"'), ("8.30", '"08:30"'), ("8 pm", '"20:00"'),
     ("12:30 am", '"00:30"'), ("20h15", '"20:15"'), ("noon", '"08:00"'), ("", '"08:00"'), ("x" * 99, '"08:00"')],
)  # fmt: skip
def test_other_times_are_refused_with_a_remedy(text, fix):
    """12-hour times and dots are refused with the 24-hour spelling."""
    with pytest.raises(UnitError, match=r"a time of day from 00:00 to 24:00; try ") as caught:
        parse_clock(text)
    assert caught.value.fix == fix
