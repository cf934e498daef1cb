"""Promises of writing a length as another one is written: it reads back, and stays in the person's units."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sunfleck.errors import UnitError
from sunfleck.units import length_like, parse_quantity

WRITTEN = [
    "12 cm", "12cm", "0.12 m", "120 mm", "120000 um", "1 metre", "15 in", "15.5 in", '15"', "15 inches", "47 1/2 in", "47½ in", "4 ft 2 in",
    "4 ft", "4.5 ft", "6' 2\"", "6'2\"", "6'", "4'-2\"", "6′ 2″", "1 yd", "-3 cm", "-4 ft 2 1/2 in", "0 cm", "15 in.", "1e2 cm", "2 feet 3 inches",
]  # fmt: skip


@pytest.mark.parametrize("written", WRITTEN)
@settings(max_examples=30, deadline=None)
@example(metres=12.262658028264333)
@given(metres=st.floats(-20, 20))
def test_a_length_reads_back_to_a_millimetre_or_a_sixteenth(written, metres):
    """Within half a step of the tape, in units of the same system; and once written it stays."""
    text = length_like(written, metres)
    again = parse_quantity(text, "length")
    metric = any(word in written for word in ("m",))
    assert abs(again - metres) <= (0.0005 if metric else 0.0254 / 32) + 2e-5
    assert metric == any(word in text for word in ("m",))
    assert length_like(text, again) == text


@pytest.mark.parametrize("written", WRITTEN)
def test_what_says_the_length_already_stays(written):
    """To the character."""
    assert length_like(written, parse_quantity(written, "length")) == written


@pytest.mark.parametrize("written", ["", "5", "x", "3 kg", "1/0 in"])
def test_what_is_no_length_is_refused(written):
    """In the words of the reader of units."""
    with pytest.raises(UnitError):
        length_like(written, 1.0)
