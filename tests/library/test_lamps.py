"""The lamps: named for what they are, in balance, and giving what their sources say by the program's own geometry."""

from __future__ import annotations

import math
import re
from itertools import groupby

import numpy as np
import pytest

from sunfleck.brief.shapes import below_the_middle
from sunfleck.library.entries.lamps import CONTROLLERS
from sunfleck.library.loader import load_library

LAMPS = load_library().lamps
Z90 = 1.645

TUBES = [
    *(f"uv-t5-{w}w-{s}reflector" for w in (24, 39, 54, 80) for s in ("", "strong-")),
    *(f"uv-t5-{w}w-{s}bare" for w in (24, 54) for s in ("", "strong-")),
    *(f"uv-t8-{w}w-{s}{r}" for w in (18, 36) for s in ("", "strong-") for r in ("reflector", "bare")),
]
BEAMS = [
    (35, 25),
    (35, 38),
    (50, 10),
    (50, 25),
    (50, 38),
    (75, 10),
    (75, 25),
    (75, 38),
    (100, 25),
    (100, 38),
    (150, 38),
]
HALOGENS = [f"halogen-reflector-{w}w-{b}deg" for w, b in BEAMS]
MERCURY = [f"mercury-vapour-{w}w-{kind}" for w in (100, 125, 160) for kind in ("flood", "spot")]
HALIDE = [f"metal-halide-{w}w-spot" for w in (35, 50, 70)]
LEDS = ["led-bar-24w-60cm", "led-bar-24w-90cm", "led-bar-40w-120cm", "led-panel-45w"]
CERAMIC = [f"ceramic-heater-{w}w" for w in (60, 100, 150)]
FLAT = [f"radiant-panel-{w}w" for w in (40, 80)]
LAIN_ON = [*(f"heat-mat-{w}w" for w in (15, 28)), *(f"heat-cable-{w}w" for w in (25, 50))]
UV = [*TUBES, "uv-compact-23w", *MERCURY, *HALIDE]
DARK = [*CERAMIC, *FLAT, *LAIN_ON]


def num(id_: str, field: str) -> float:
    value = getattr(LAMPS[id_], field).value
    assert isinstance(value, (int, float))
    return float(value)


def uvi(id_: str, distance: float) -> float:
    """UV index below the middle, as the program works it out from the reading in the library."""
    lamp = LAMPS[id_]
    reference = below_the_middle(lamp, num(id_, "uvi_reference_distance"))
    return num(id_, "uvi_reference") * below_the_middle(lamp, distance) / reference


def ends(id_: str) -> tuple[float, float]:
    """5 and 95 % points of a class's UV against its middle."""
    spread = LAMPS[id_].uv_spread
    return math.exp(-Z90 * spread.spread_low), math.exp(Z90 * spread.spread_high)


def by_class() -> list[list[str]]:
    of = {id_: str(lamp.lamp_class.value) for id_, lamp in LAMPS.items()}
    return [list(group) for _, group in groupby(sorted(LAMPS, key=of.__getitem__), of.__getitem__)]


class TestNames:
    """Ids and names say what a lamp is."""

    def test_all_are_there(self):
        """Every lamp by class; a class may grow."""
        assert {*UV, *HALOGENS, *LEDS, *DARK} <= set(LAMPS)
        assert len({str(lamp.name.value) for lamp in LAMPS.values()}) == len(LAMPS)

    @pytest.mark.parametrize("id_", LAMPS)
    def test_the_id_says_what_the_fields_say(self, id_: str):
        """Watts, beam, length, strength and reflector of the id are those of the fields; no id has a comma."""
        lamp = LAMPS[id_]
        assert "," not in id_
        watts = re.search(r"-(\d+)w", id_)
        assert watts is not None
        assert num(id_, "input_power") == float(watts[1])
        assert f"{watts[1]} W" in str(lamp.name.value)
        if beam := re.search(r"-(\d+)deg$", id_):
            assert num(id_, "beam_angle") == pytest.approx(math.radians(float(beam[1])))
        if length := re.search(r"-(\d+)cm$", id_):
            assert num(id_, "length") == pytest.approx(float(length[1]) / 100)
        if id_ in TUBES:
            assert (lamp.cut_off is None) == id_.endswith("bare")
            assert str(lamp.lamp_class.value) == f"uv-{id_[3:5]}-{'strong' if 'strong' in id_ else 'medium'}"

    @pytest.mark.parametrize(
        ("start", "metres"),
        # Lengths in the trade. Common practice, no source.
        [
            ("uv-t5-24w", 0.55),
            ("uv-t5-39w", 0.85),
            ("uv-t5-54w", 1.15),
            ("uv-t5-80w", 1.45),
            ("uv-t8-18w", 0.59),
            ("uv-t8-36w", 1.2),
        ],
    )
    def test_tubes_have_the_lengths_of_their_watts(self, start: str, metres: float):
        """A tube fits the holder that its watts are sold with; caps and dark ends take 4 cm."""
        for id_ in (each for each in TUBES if each.startswith(start)):
            assert num(id_, "length") == pytest.approx(metres)
            assert num(id_, "glowing_length") == pytest.approx(metres - 0.04)

    @pytest.mark.parametrize(
        ("id_", "square_metres"),
        [
            ("led-panel-45w", 0.30 * 0.30),
            ("radiant-panel-40w", 0.28 * 0.28),
            ("radiant-panel-80w", 0.56 * 0.28),
            ("heat-mat-15w", 0.28 * 0.28),
            ("heat-mat-28w", 0.53 * 0.28),
            ("heat-cable-25w", 4.5 * 0.05),
            ("heat-cable-50w", 7.0 * 0.05),
        ],
    )
    def test_a_flat_lamp_is_a_disc_of_its_area(self, id_: str, square_metres: float):
        """Square faces stand as discs: the area is theirs to the digits written."""
        assert math.pi * num(id_, "diameter") ** 2 / 4 == pytest.approx(square_metres, rel=0.015)


class TestPower:
    """What goes in comes out, as radiation or as heat."""

    @pytest.mark.parametrize("id_", LAMPS)
    def test_radiation_and_heat_are_the_input(self, id_: str):
        """radiant_power + heat_share_air x input_power is the input within 5 %."""
        out = num(id_, "radiant_power") + num(id_, "heat_share_air") * num(id_, "input_power")
        assert out == pytest.approx(num(id_, "input_power"), rel=0.05)

    @pytest.mark.parametrize("group", by_class(), ids=lambda group: str(LAMPS[group[0]].lamp_class.value))
    def test_a_class_shares_its_spreads(self, group: list[str]):
        """All lamps of a class share one uncertain factor, so its spread cannot differ from lamp to lamp."""
        for field in ("uv_spread", "visible_spread"):
            values = [getattr(LAMPS[id_], field) for id_ in group]
            assert len({(value.spread_low, value.spread_high) for value in values}) == 1, field

    @pytest.mark.parametrize(
        ("ids", "lumens", "lux"),
        [
            # Lumens of each watt, and lux of each umol m-2 s-1, as the sources say; two digits are written.
            ([i for i in TUBES if "strong" not in i], 30, 74),
            ([i for i in TUBES if "strong" in i], 18, 74),
            (["uv-compact-23w"], 30, 74),
            (HALOGENS, 16, 50),
            (MERCURY, math.sqrt(11 * 20), 67),
            (HALIDE, 85 * 0.7, 71),
            (LEDS[1:], 110, 69),
        ],
        ids=lambda v: v[0] if isinstance(v, list) else str(v),
    )
    def test_light_follows_from_the_watts(self, ids: list[str], lumens: float, lux: float):
        """Lumens and photons are the arithmetic that their sources show."""
        for id_ in ids:
            assert num(id_, "luminous_flux") == pytest.approx(lumens * num(id_, "input_power"), rel=0.04)
            assert num(id_, "photon_flux") == pytest.approx(num(id_, "luminous_flux") / lux, rel=0.04)

    @pytest.mark.parametrize(
        ("ids", "share"),
        [
            # Of the input: S92 for tubes; S92 times 0.7 into the beam (from memory); the others from memory.
            ([*TUBES, "uv-compact-23w"], 0.31 + 0.25),
            (HALOGENS, 0.835 * 0.7),
            ([*MERCURY, *HALIDE], 0.81 * 0.7),
            (LEDS, 0.45),
            (CERAMIC[1:], 0.55),
            (FLAT, 0.55),
            (LAIN_ON, 0.5 * 0.45),
        ],
        ids=lambda v: v[0] if isinstance(v, list) else str(v),
    )
    def test_radiation_follows_from_the_watts(self, ids: list[str], share: float):
        """Radiant power is the share that its source shows, to the digits written."""
        for id_ in ids:
            watts = num(id_, "input_power")
            assert num(id_, "radiant_power") == pytest.approx(watts * share, abs=0.51, rel=0.005)

    def test_dark_follows_from_the_data(self):
        """What radiates without light is dark, whatever its shape; what is dark, or a spot, heats."""
        assert {id_ for id_, lamp in LAMPS.items() if lamp.dark} == set(DARK)
        assert {id_ for id_, lamp in LAMPS.items() if lamp.heats} == {*DARK, *HALOGENS, *MERCURY, *HALIDE}
        assert {str(LAMPS[id_].emitter.value) for id_ in DARK} == {"heater", "disc"}

    def test_a_radiant_panel_is_as_large_as_its_watts_need(self):
        """A black face of 60-80 degrees Celsius towards 25 gives 240-410 W/m2 net (Stefan and Boltzmann, 0.95)."""
        low, high = (0.95 * 5.670374e-8 * ((t + 273.15) ** 4 - 298.15**4) for t in (60, 80))
        assert (round(low, -1), round(high, -1)) == (240, 410)
        for id_ in FLAT:
            area = math.pi * num(id_, "diameter") ** 2 / 4
            assert low < num(id_, "radiant_power") / area < high


class TestUv:
    """The UV index below a lamp, with the program's geometry, against what is commonly read. No mesh, no age."""

    @pytest.mark.parametrize(
        ("id_", "distance", "low", "high"),
        [
            # With reflector, no mesh. Common practice, no source.
            ("uv-t5-54w-strong-reflector", 0.30, 5.0, 7.0),
            ("uv-t5-54w-strong-reflector", 0.45, 3.0, 4.0),
            ("uv-t5-54w-reflector", 0.30, 2.5, 3.0),
            ("uv-t5-54w-reflector", 0.45, 1.4, 1.8),
            # The older tables (from memory): T8 without reflector, a compact lamp, mercury vapour of 100-160 W.
            ("uv-t8-18w-bare", 0.20, 0.6, 0.9),
            ("uv-t8-18w-bare", 0.30, 0.4, 0.5),
            ("uv-t8-36w-bare", 0.10, 1.0, 1.5),
            ("uv-t8-36w-bare", 0.20, 0.6, 0.9),
            ("uv-compact-23w", 0.10, 2.0, 4.0),
            ("uv-compact-23w", 0.20, 0.8, 1.3),
            ("uv-compact-23w", 0.30, 0.4, 0.6),
            ("mercury-vapour-125w-flood", 0.25, 6.0, 10.0),
            ("mercury-vapour-125w-flood", 0.40, 3.0, 5.0),
            ("mercury-vapour-125w-flood", 0.60, 1.5, 2.5),
        ],
    )
    def test_other_distances_come_out_as_read(self, id_: str, distance: float, low: float, high: float):
        """One reading and the lamp's shape give the readings at the other distances."""
        assert low <= uvi(id_, distance) <= high

    def test_two_at_60_cm_is_read_of_short_tubes(self):
        """Strong tubes: 2 at 60 cm (common practice, no source). 1.9 for 0.55 m, 2.5 for 1.15 m: a conflict, shown.

        Whatever the class really gives, 2 lies well within its range.
        """
        assert uvi("uv-t5-24w-strong-reflector", 0.60) == pytest.approx(1.94, abs=0.01)
        assert uvi("uv-t5-54w-strong-reflector", 0.60) == pytest.approx(2.53, abs=0.01)
        low, high = (end * 2.53 for end in ends("uv-t5-54w-strong-reflector"))
        assert low < 2.0 < high

    @pytest.mark.parametrize("strength", ["", "strong-"])
    def test_tubes_of_every_length_give_the_same_at_30_cm(self, strength: str):
        """Practice names no length. How bright that makes a metre of each is named in their notes, within 30 %."""
        ids = [f"uv-t5-{w}w-{strength}reflector" for w in (24, 39, 54, 80)]
        assert len({num(id_, "uvi_reference") for id_ in ids}) == 1
        per_metre = np.array(
            [1 / (below_the_middle(LAMPS[id_], 0.30) * num(id_, "glowing_length")) for id_ in ids]
        )
        assert per_metre / per_metre[2] == pytest.approx([1.26, 1.06, 1.0, 0.98], abs=0.005)
        for id_, written in ((ids[0], "1.26"), (ids[1], "1.06"), (ids[3], "0.98")):
            assert f"{written} times as bright per metre" in LAMPS[id_].uvi_reference.note
        # Equally bright, or as bright as its watts per metre make it, each lies within the class's range.
        watts = np.array([num(id_, "input_power") / num(id_, "length") for id_ in ids])
        low, high = ends(ids[0])
        for given in (per_metre[2] / per_metre, watts / watts[2] * per_metre[2] / per_metre):
            assert ((low < given) & (given < high)).all()

    @pytest.mark.parametrize("id_", [i for i in TUBES if i.endswith("bare")])
    def test_a_reflector_gains_1_5_to_2(self, id_: str):
        """Bare and in its reflector, the same tube below: 1.5-2.0 (from memory); bare T5 lies in the low tables."""
        gain = num(id_.replace("bare", "reflector"), "uvi_reference") / num(id_, "uvi_reference")
        assert 1.5 <= gain <= 2.0
        if "t5" in id_:
            low, high = (2.5, 3.5) if "strong" in id_ else (1.2, 1.6)
            assert low <= num(id_, "uvi_reference") <= high

    @pytest.mark.parametrize("id_", UV)
    def test_priors_are_skewed_upwards(self, id_: str):
        """From the middle the 95 % point is farther than the 5 % point: too little is the dangerous error.

        Of T5 in UV index only (decision record 0007: the low tables are reached); of all others in the logarithm.
        """
        low, high = ends(id_)
        assert high - 1 > 1 - low
        assert high >= 1.75
        if "-t5-" not in id_:
            assert LAMPS[id_].uv_spread.spread_high > LAMPS[id_].uv_spread.spread_low

    def test_t8_may_be_what_t5_practice_makes_it(self):
        """T8: by watts per metre of the bare T5 tube at the 95 % point, within 5 %."""
        for strength in ("", "strong-"):
            bare, t5 = f"uv-t8-36w-{strength}bare", f"uv-t5-54w-{strength}bare"
            metre = (36 / 1.2) / (54 / 1.15)
            reached = num(bare, "uvi_reference") * ends(bare)[1]
            assert reached == pytest.approx(num(t5, "uvi_reference") * metre, rel=0.05)

    def test_mercury_vapour_differs_by_a_factor_of_two(self):
        """Lamp to lamp a factor of 2 (from memory): upwards one standard deviation, downwards the 5 % point."""
        flood = LAMPS["mercury-vapour-125w-flood"]
        assert math.exp(flood.uv_spread.spread_high) == pytest.approx(2, rel=0.01)
        assert ends("mercury-vapour-125w-flood")[0] == pytest.approx(1 / 2, rel=0.01)
        for id_ in MERCURY:
            watts, kind = num(id_, "input_power"), id_.rsplit("-", 1)[1]
            assert num(id_, "uvi_reference") == pytest.approx(
                (5 if kind == "flood" else 10) * watts / 160, rel=0.02
            )

    def test_a_spot_gathers_the_uv_of_the_flood(self):
        """2.0 times as much in the middle by the beams as drawn; ungathered UV lies at or above the 5 % point."""
        spot, flood = LAMPS["mercury-vapour-125w-spot"], LAMPS["mercury-vapour-125w-flood"]
        gathered = below_the_middle(spot, 0.40) / below_the_middle(flood, 0.40)
        assert gathered == pytest.approx(2.0, abs=0.03)
        assert ends("mercury-vapour-125w-spot")[0] < 1 / gathered

    @pytest.mark.parametrize("id_", HALIDE)
    def test_metal_halide_is_the_arithmetic_it_shows(self, id_: str):
        """0.3 % of input as UV-B, 0.7 of it in the beam, 0.36 W/m2 for each UVI (from memory); 1 % all but reached."""
        uvb = 0.003 * num(id_, "input_power") * 0.7 * below_the_middle(LAMPS[id_], 0.30)
        assert num(id_, "uvi_reference") == pytest.approx(uvb / 0.36, rel=0.03)
        assert 0.9 < ends(id_)[1] / (0.01 / 0.003) < 1.0

    @pytest.mark.parametrize("id_", HALOGENS)
    def test_halogen_at_its_least_distance(self, id_: str):
        """No hotter than 50 W and 25 degrees at 30 cm (1.3 kW/m2), in steps of 5 cm; UV there far below 0.1 (P4)."""
        least = num(id_, "least_distance")
        heat = num(id_, "radiant_power") * below_the_middle(LAMPS[id_], least)
        assert heat < 1330
        if least > 0.30:
            assert num(id_, "radiant_power") * below_the_middle(LAMPS[id_], least - 0.05) > 1330
        assert heat / 1000 * 0.042 < 0.1
        assert num(id_, "uvi_reference_distance") == max(least, 0.30)


class TestUse:
    """How lamps are driven, replaced and lit again."""

    @pytest.mark.parametrize(
        ("ids", "words"),
        # Which controller drives which lamp. Common practice, no source.
        [
            (UV, "timer only"),
            (HALOGENS, "dimming or on-off"),
            (CERAMIC, "on-off or pulse"),
            (LEDS, "on-off only"),
            ([*FLAT, *LAIN_ON], "any"),
        ],
        ids=lambda v: v[0] if isinstance(v, list) else v,
    )
    def test_controllers(self, ids: list[str], words: str):
        """UV and discharge lamps are never dimmed or cycled; halogen is dimmed; ceramic is switched or pulsed."""
        for id_ in ids:
            assert LAMPS[id_].controllers.value == words
            assert LAMPS[id_].dimmable.value == ("dimming" in CONTROLLERS[words])

    def test_only_a_timer_may_do_without_a_thermostat(self):
        """Every word allows kinds that a plan's `control` has, and those of a lamp that only a timer drives, none."""
        assert {kind for kinds in CONTROLLERS.values() for kind in kinds} == {"on-off", "pulse", "dimming"}
        assert [words for words, kinds in CONTROLLERS.items() if not kinds] == ["timer only"]

    @pytest.mark.parametrize("id_", LAMPS)
    def test_discharge_lamps_wait_before_they_light_again(self, id_: str):
        """Mercury vapour and metal halide, and no others, need minutes."""
        assert (LAMPS[id_].restrike_minutes is not None) == (id_ in MERCURY or id_ in HALIDE)

    @pytest.mark.parametrize("id_", UV)
    def test_a_uv_lamp_is_replaced_before_it_is_spent(self, id_: str):
        """It fades; after its service between half and four fifths of what it gave after 100 h are left."""
        lamp = LAMPS[id_]
        assert lamp.uv_fading is not None
        assert lamp.service_hours is not None
        left = math.exp(-num(id_, "uv_fading") * (num(id_, "service_hours") / 100 - 1))
        assert 0.5 < left < 0.8
        if id_ in TUBES:
            # A year of 12 h days, 62-71 % of a new tube (common practice, no source): 0.9 after the first 100 h.
            assert 0.62 <= 0.9 * left <= 0.71

    @pytest.mark.parametrize("id_", LAIN_ON)
    def test_what_is_lain_on_needs_no_distance_but_a_thermostat(self, id_: str):
        """Mats and cables may be touched while a thermostat holds them, and burn without one."""
        assert num(id_, "least_distance") == 0
        assert LAMPS[id_].housing_hot.value is True
        assert LAMPS[id_].controllers.value != "timer only"
