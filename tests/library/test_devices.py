"""Fans, coolers and foggers: a small set, marked as what nobody measured."""

from __future__ import annotations

import math

import pytest

from sunfleck.library.living_consistency import ends
from sunfleck.library.loader import load_library
from sunfleck.library.values import UNSETTLED
from sunfleck.outputs.library_words import value_text

LIBRARY = load_library()
Z90 = 1.645


def test_what_there_is():
    """Three sizes of fan, three ways of cooling, two of wetting."""
    assert [fan.side.value for fan in LIBRARY.fans.values()] == pytest.approx([0.12, 0.04, 0.08])
    assert {str(cooler.never_below.value) for cooler in LIBRARY.coolers.values()} == {
        "wet bulb",
        "room",
        "set point",
    }
    assert {str(fogger.kind.value) for fogger in LIBRARY.foggers.values()} == {"disc", "nozzle"}


def test_larger_fans_move_more_for_more_power():
    """Flow and power rise with the side, and one watt moves more air in a larger fan."""
    fans = sorted(LIBRARY.fans.values(), key=lambda fan: float(fan.side.value))  # type: ignore[arg-type]
    flows, powers = [f.flow.value for f in fans], [f.input_power.value for f in fans]
    assert flows == sorted(flows)
    assert powers == sorted(powers)
    per_watt = [flow / power for flow, power in zip(flows, powers, strict=True)]
    assert per_watt == sorted(per_watt)


@pytest.mark.parametrize(
    ("section", "id_", "field", "low", "high", "unit"),
    [
        ("fans", "fan-40mm", "flow", 5, 15, 1 / 3600),
        ("fans", "fan-80mm", "flow", 30, 70, 1 / 3600),
        ("fans", "fan-120mm", "flow", 60, 150, 1 / 3600),
        ("foggers", "fog-disc", "output", 0.25, 0.45, 1e-3 / 3600),
        ("foggers", "mist-nozzle", "output", 0.050 * 60, 0.100 * 60, 1e-3 / 3600),
    ],
)
def test_spreads_span_their_ranges(section: str, id_: str, field: str, low: float, high: float, unit: float):
    """90 % of the two-piece log-normal is the range of the source, in cubic metres an hour or litres an hour."""
    value = getattr(getattr(LIBRARY, section)[id_], field)
    assert value.value / math.exp(Z90 * value.spread_low) == pytest.approx(low * unit, rel=2e-3)
    assert value.value * math.exp(Z90 * value.spread_high) == pytest.approx(high * unit, rel=2e-3)


def test_evaporation_stops_at_the_wet_bulb():
    """2-4 K in practice (common practice, no source); air from the room cools to the room and no further."""
    evaporative = LIBRARY.coolers["evaporative"]
    assert evaporative.never_below.value == "wet bulb"
    assert ends(evaporative.drop) == (2, 4)
    assert evaporative.drop.basis == "common practice"
    assert LIBRARY.coolers["room-air"].drop is None


def test_four_nozzles_for_four_minutes_give_a_litre_and_a_bit():
    """75 ml a minute each: 1.2 L a day (derived)."""
    nozzle = LIBRARY.foggers["mist-nozzle"]
    assert nozzle.output.value * 4 * 4 * 60 == pytest.approx(1.2e-3, rel=1e-12)
    assert nozzle.droplet.value[0] > 10 * LIBRARY.foggers["fog-disc"].droplet.value[0]


def test_figures_of_devices_are_marked_as_unsettled():
    """Nobody measured one: what is not a name, a size or a law of physics is from memory or common practice."""
    for section, fields in (
        ("fans", ("flow", "input_power")),
        ("coolers", ("drop", "cooling_power", "input_power")),
        ("foggers", ("output", "droplet", "input_power")),
    ):
        for entry in getattr(LIBRARY, section).values():
            for field in fields:
                value = getattr(entry, field)
                assert value is None or value.basis in UNSETTLED


@pytest.mark.parametrize(
    ("section", "id_", "field", "shown"),
    [
        ("fans", "fan-80mm", "flow", "50 m3/h (30 m3/h to 70.1 m3/h)"),
        ("foggers", "fog-disc", "output", "0.35 L/h (0.25 L/h to 0.45 L/h)"),
        ("foggers", "fog-disc", "droplet", "1 um to 5 um"),
        ("meshes", "aluminium-18x14", "wire", "0.28 mm"),
        ("woods", "hickory", "elastic_modulus", "14.9 GPa"),
        ("woods", "hickory", "working_stress", "15 MPa"),
        ("materials", "silicone-sealant", "airing_time", "7 days"),
    ],
)
def test_small_and_large_things_are_shown_in_units_of_their_size(
    section: str, id_: str, field: str, shown: str
):
    """No fog of 0 L/s, no wire of 0 cm, no week of 10080 min."""
    value = getattr(getattr(LIBRARY, section)[id_], field)
    assert value_text(section, field, value, "metric") == shown
