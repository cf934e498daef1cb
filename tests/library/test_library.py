"""The bundled library: complete, sourced, and in accord with the figures it cites."""

from __future__ import annotations

import dataclasses
import math
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.errors import LibraryError, UnitError
from sunfleck.library.consistency import contradictions, open_share_of_mesh, transmittance_limit
from sunfleck.library.loader import DATA, SECTIONS, load_library, values_of
from sunfleck.library.values import BASES, Sourced

LIBRARY = load_library()
VALUES = dict(LIBRARY.values())
Z90 = 1.645


def num(key: str) -> float:
    value = VALUES[key].value
    assert isinstance(value, (int, float))
    return float(value)


def test_what_there_is():
    """Four animals, and the lamps, meshes, panes, finishes and woods that the first plans need."""
    assert set(LIBRARY.animals) >= {
        "basiliscus-plumifrons",
        "pogona-vitticeps",
        "correlophus-ciliatus",
        "dendrobates-tinctorius",
    }
    assert {str(lamp.emitter.value) for lamp in LIBRARY.lamps.values()} == {
        "tube",
        "spot",
        "strip",
        "heater",
        "disc",
    }
    least = {"lamps": 4, "meshes": 2, "panes": 2, "finishes": 4, "woods": 3, "guards": 1, "materials": 1}
    assert {name: len(getattr(LIBRARY, name)) >= count for name, count in least.items()} == dict.fromkeys(
        least, True
    )


def test_every_file_is_an_entry():
    """No data file is left out for its place or name."""
    files = {str(p.relative_to(DATA).with_suffix("")) for p in DATA.rglob("*") if p.is_file()}
    assert files == {f"{name}/{id_}" for name in SECTIONS for id_ in getattr(LIBRARY, name)}


@pytest.mark.parametrize("entry", sorted({key.rpartition("/")[0] for key in VALUES}))
def test_every_value_carries_its_credentials(entry: str):
    """Source, basis, place and unit stand with every value; a source that is memory or practice says so."""
    for key, value in VALUES.items():
        section, id_, name = key.split("/")
        if entry != f"{section}/{id_}":
            continue
        assert isinstance(value, Sourced)
        assert value.source, key
        assert value.basis in BASES, key
        assert value.where == f"library {section}/{id_}: {name}"
        assert (value.basis == "common practice") == ("ommon practice, no source" in value.source), key
        if value.basis == "from memory":
            assert "from memory" in value.source, key


def test_a_derived_value_hides_no_memory():
    """Arithmetic on a number from memory is no better than memory: the basis names the weakest link."""
    weak = [
        key for key, v in VALUES.items() if v.basis in ("derived", "published") and "from memory" in v.source
    ]
    assert weak == []


def test_no_entry_contradicts_itself():
    """Every entry passes the rules that user files are held to."""
    for name in SECTIONS:
        for id_, entry in getattr(LIBRARY, name).items():
            assert contradictions(entry) == [], f"{name}/{id_}"


@pytest.mark.parametrize(
    ("key", "table"),
    [
        # By hand: (1 - 0.28 x 18/25.4)(1 - 0.28 x 16/25.4) and (1 - 0.64/6.35)^2.
        ("meshes/aluminium-18x16", 0.66),
        ("meshes/hardware-quarter-inch", 0.809),
        ("guards/guard-bar-12mm", (1 - 1.6 / 12) * (1 - 1.6 / 50)),
    ],
)
def test_open_share_is_what_pitch_and_wire_leave(key: str, table: float):
    """The stated share equals the formula to the digits it is written with."""
    formula = open_share_of_mesh(num(f"{key}/pitch_u"), num(f"{key}/pitch_v"), num(f"{key}/wire"))
    assert num(f"{key}/open_share") == pytest.approx(formula, abs=5e-4)
    assert num(f"{key}/open_share") == pytest.approx(table, abs=5e-4)


def test_pitches_are_the_wires_per_inch():
    """18 and 16 wires to the inch of 25.4 mm exactly (international inch)."""
    assert 0.0254 / num("meshes/aluminium-18x16/pitch_u") == pytest.approx(18, rel=1e-4)
    assert 0.0254 / num("meshes/aluminium-18x16/pitch_v") == pytest.approx(16, rel=1e-12)
    assert num("meshes/hardware-quarter-inch/pitch_u") == pytest.approx(0.0254 / 4, rel=1e-12)


@pytest.mark.parametrize(
    ("key", "low", "high"),
    [
        ("meshes/aluminium-18x16/open_share", 0.55, 0.70),
        ("meshes/hardware-quarter-inch/open_share", 0.75, 0.85),
        ("guards/guard-bar-12mm/open_share", 0.79, 0.88),
        ("panes/glass-float/transmittance_visible", 0.86, 0.91),
        ("panes/acrylic-clear/transmittance_visible", 0.89, 0.925),
    ],
)
def test_spreads_span_the_ranges_they_are_made_from(key: str, low: float, high: float):
    """90 % of the two-piece log-normal is the range named beside the value."""
    value = VALUES[key]
    assert num(key) / math.exp(Z90 * value.spread_low) == pytest.approx(low, abs=2e-3)
    assert num(key) * math.exp(Z90 * value.spread_high) == pytest.approx(high, abs=2e-3)


def test_class_spreads_of_light_span_their_ranges():
    """Lumens or watts per watt taken as 90 %: halogen 12-20, LED 90-170, ceramic 0.45-0.65 (from memory)."""
    for id_, low, high in (
        ("halogen-reflector-50w-25deg", 12, 20),
        ("halogen-reflector-75w-38deg", 12, 20),
        ("led-bar-24w-90cm", 90, 170),
        ("ceramic-heater-100w", 0.45, 0.65),
    ):
        spread = VALUES[f"lamps/{id_}/visible_spread"]
        assert spread.spread_low == spread.spread_high
        assert 2 * Z90 * spread.spread_low == pytest.approx(math.log(high / low), abs=4e-3)


@pytest.mark.parametrize(
    ("id_", "practice", "tables"),
    [
        # At 30 cm: with reflector, no mesh (common practice, no source); lower tables (from memory).
        ("uv-t5-54w-reflector", (2.5, 3.0), (1.2, 1.6)),
        ("uv-t5-54w-strong-reflector", (5.0, 7.0), (2.5, 3.5)),
    ],
)
def test_uv_prior(id_: str, practice: tuple[float, float], tables: tuple[float, float]):
    """The middle is the middle of common practice; the 5 % point lies within the lower tables."""
    middle, spread = num(f"lamps/{id_}/uvi_reference"), VALUES[f"lamps/{id_}/uv_spread"]
    assert middle == pytest.approx(sum(practice) / 2)
    assert tables[0] <= middle / math.exp(Z90 * spread.spread_low) <= tables[1]
    assert middle * math.exp(Z90 * spread.spread_high) > practice[1]
    assert num(f"lamps/{id_}/uvi_reference_distance") == pytest.approx(0.30)


@pytest.mark.parametrize(
    ("id_", "lux_per_umol", "tolerance"),
    [
        # Thimijan and Heins 1983 as quoted: incandescent 50, cool-white fluorescent 74 lx per umol m-2 s-1.
        ("halogen-reflector-50w-25deg", (50, 50), 0.0),
        ("halogen-reflector-75w-38deg", (50, 50), 0.0),
        # Photon flux is written with two digits.
        ("uv-t5-54w-reflector", (74, 74), 0.04),
        ("uv-t5-54w-strong-reflector", (74, 74), 0.04),
        ("led-bar-24w-90cm", (65, 72), 0.0),
    ],
)
def test_photons_follow_from_lumens(id_: str, lux_per_umol: tuple[float, float], tolerance: float):
    """Luminous over photon flux is the ratio of the light's colour."""
    ratio = num(f"lamps/{id_}/luminous_flux") / num(f"lamps/{id_}/photon_flux")
    assert lux_per_umol[0] * (1 - tolerance) <= ratio <= lux_per_umol[1] * (1 + tolerance)


def test_lux_per_photon_of_white_leds():
    """65-72 lx per umol m-2 s-1 holds the CIE LED illuminants B1, B3, B4, B5 (colour-science as oracle)."""
    colour = pytest.importorskip("colour")
    wavelength = np.arange(400, 701)
    v = (
        colour.SDS_LEFS["CIE 1924 Photopic Standard Observer"]
        .copy()
        .align(colour.SpectralShape(400, 700, 1))
        .values
    )
    for name in ("LED-B1", "LED-B3", "LED-B4", "LED-B5"):
        shape = colour.SpectralShape(400, 700, 1)
        power = colour.SDS_ILLUMINANTS[name].copy().align(shape).values
        # 683 lm/W; Planck's constant x speed of light x Avogadro's number = 0.119627 J m/mol.
        photons = 1e6 * np.trapezoid(power * wavelength * 1e-9) / 0.11962656
        assert 65 <= 683 * np.trapezoid(power * v) / photons <= 72


def test_shares_of_input_of_the_lamps():
    """Radiant shares named in the sources, to the digits written."""
    # Losses of fluorescent lamps as in S92: 1 - 0.44 of input leaves as radiation of some kind.
    assert num("lamps/uv-t5-54w-reflector/radiant_power") == pytest.approx(54 * 0.56, abs=0.5)
    # Incandescent 0.81-0.86 radiated (S92), of which 0.6-0.8 in the beam (from memory).
    for watts, id_ in ((50, "halogen-reflector-50w-25deg"), (75, "halogen-reflector-75w-38deg")):
        assert num(f"lamps/{id_}/radiant_power") == pytest.approx(watts * 0.835 * 0.7, abs=0.5)
        assert num(f"lamps/{id_}/luminous_flux") == pytest.approx(watts * 16)
    assert num("lamps/led-bar-24w-90cm/radiant_power") == pytest.approx(24 * 0.45, abs=0.5)
    assert num("lamps/ceramic-heater-100w/radiant_power") == pytest.approx(100 * 0.55)


@pytest.mark.parametrize("temperature", [2800.0, 2900.0, 3000.0, 3100.0])
def test_halogen_behind_glass_gives_next_to_no_uv(temperature: float):
    """A black body's UV-A through glass stays below UVI 0.1 in the middle of a narrow beam at 30 cm (P4).

    Planck's law; action spectrum of ISO/CIE 17166; 0.743 of UV-A through glass (Duarte et al. 2009).
    """
    wavelength = np.arange(250.0, 20000.0)
    body = wavelength**-5 / np.expm1(1.438776877e7 / (wavelength * temperature))
    weight = np.where(
        wavelength <= 328, 10 ** (0.094 * (298 - wavelength)), 10 ** (0.015 * (140 - wavelength))
    )
    passed = (wavelength >= 320) & (wavelength <= 400)
    erythemal = np.trapezoid((body * weight)[passed]) / np.trapezoid(body) * 0.743
    watts, half = num("lamps/halogen-reflector-50w-25deg/radiant_power"), math.radians(25) / 2
    middle = watts * math.log(2) / (math.pi * half**2) / 0.30**2
    assert 0.02 < 40 * middle * erythemal < 0.065


def test_uv_of_every_lamp_is_stated():
    """Lamps without UV say zero and why; they have no spread of it."""
    for id_, lamp in LIBRARY.lamps.items():
        uv = num(f"lamps/{id_}/uvi_reference")
        assert (uv > 0) == id_.startswith(("uv-", "mercury-vapour-", "metal-halide-"))
        assert (lamp.uv_spread.spread_low > 0) == (uv > 0)


@pytest.mark.parametrize("id_", LIBRARY.animals)
def test_targets_are_in_order(id_: str):
    """Floor below comfort ceiling, comfort ceiling not above the safety ceiling, a retreat below all."""
    animal = LIBRARY.animals[id_]
    comfort, ceiling = num(f"animals/{id_}/uv_comfort_ceiling"), num(f"animals/{id_}/uv_ceiling")
    assert num(f"animals/{id_}/uv_retreat") < comfort <= ceiling
    if animal.uv_floor is not None:
        assert num(f"animals/{id_}/uv_retreat") < num(f"animals/{id_}/uv_floor") < comfort


# Zone: comfort and safety ceiling under lamps (common practice, no source) and the least wanted.
UNDER_LAMPS = {1: (1.0, 1.4, None), 2: (3.0, 3.0, 1.0), 3: (5.0, 6.0, 3.0), 4: (6.0, 8.0, 3.5)}
# Zone: average and greatest UVI in the field, as quoted from Ferguson et al. 2010, Baines et al. 2016.
FIELD = {1: ((0, 0.7), (0.6, 1.4)), 2: ((0.7, 1.0), (1.1, 3.0)), 3: ((1.0, 2.6), (2.9, 7.4)),
         4: ((2.6, 3.5), (4.5, 9.5))}  # fmt: skip


@pytest.mark.parametrize("id_", LIBRARY.animals)
def test_targets_are_those_of_the_zone(id_: str):
    """Ceilings are what is held under lamps, not the zone's maxima in sunlight, which stand beside them."""
    animal = LIBRARY.animals[id_]
    zone = int(num(f"animals/{id_}/uv_zone"))
    comfort, ceiling, floor = UNDER_LAMPS[zone]
    assert (animal.uv_comfort_ceiling.value, animal.uv_ceiling.value) == (comfort, ceiling)
    assert (None if animal.uv_floor is None else animal.uv_floor.value) == floor
    assert (animal.uv_zone_field_average.value, animal.uv_zone_field_maximum.value) == FIELD[zone]


@pytest.mark.parametrize("id_", ["basiliscus-plumifrons", "pogona-vitticeps"])
def test_a_species_between_two_zones_says_so(id_: str):
    """The lower zone stands and the note shows the conflict."""
    assert "the lower one stands until the keeper raises it" in LIBRARY.animals[id_].uv_zone.note


@pytest.mark.parametrize(
    ("id_", "record"),
    # Greatest lengths of head and body: ReptTraits 2024 (reptiles), an encyclopedia article (frog). [mm]
    [
        ("basiliscus-plumifrons", 250),
        ("pogona-vitticeps", 250),
        ("correlophus-ciliatus", 130),
        ("dendrobates-tinctorius", 50),
    ],
)
def test_a_typical_adult_is_four_fifths_of_the_record(id_: str, record: float):
    """No record length stands for a typical adult."""
    assert num(f"animals/{id_}/snout_vent_typical") == pytest.approx(0.8e-3 * record)


def test_what_reflects_and_passes_is_no_more_than_what_arrives():
    """Panes: Fresnel reflection of both faces plus transmission at most 1; finishes and woods below 1."""
    for pane in LIBRARY.panes.values():
        limit = transmittance_limit(float(pane.refractive_index.value))  # type: ignore[arg-type]
        for name in ("uv", "visible", "radiant"):
            through = getattr(pane, f"transmittance_{name}").value
            assert through + (1 - limit) <= 1
    for part in (*LIBRARY.finishes.values(), *LIBRARY.woods.values()):
        for name in ("uv", "visible", "radiant"):
            assert 0 < getattr(part, f"reflectance_{name}").value < 1


@given(st.floats(1.0, 2.5))
def test_transmittance_limit_against_a_sum_over_reflections(index: float):
    """The closed form equals the light counted bounce by bounce."""
    r = ((index - 1) / (index + 1)) ** 2
    counted = sum((1 - r) ** 2 * r ** (2 * k) for k in range(60))
    assert transmittance_limit(index) == pytest.approx(counted, rel=1e-12)


# The brightest in UV-B, with the upper ends of IARC 1992, table 4; the reflector's is from memory.
BRIGHT_IN_UV = {
    "sand-dry": 0.18,
    "concrete-light": 0.12,
    "aluminium-dull": 0.13,
    "paint-white": 0.22,
    "aluminium-reflector": 0.88,
}


def test_natural_surfaces_reflect_little_uv():
    """Under 0.10 in UV-B, dry bright sand, new concrete, bare metal and one white paint apart."""
    for name in ("finishes", "woods"):
        for id_ in getattr(LIBRARY, name):
            assert num(f"{name}/{id_}/reflectance_uv") <= BRIGHT_IN_UV.get(id_, 0.10), id_


def test_guard_keeps_every_head_out():
    """The bar gap is narrower than the head of every bundled animal but the smallest, which needs a cage of cloth."""
    gap = num("guards/guard-bar-12mm/bar_gap")
    assert gap == pytest.approx(0.0104, abs=1e-12)
    through = {id_ for id_ in LIBRARY.animals if num(f"animals/{id_}/head_width") <= gap}
    assert through == {"anolis-carolinensis"}
    cloth = num("guards/guard-cloth-quarter-inch/bar_gap")
    assert all(cloth < num(f"animals/{id_}/head_width") for id_ in LIBRARY.animals)


def test_a_value_is_converted_to_si():
    """Degrees, millimetres, grams become radians, metres, kilograms; units are named."""
    assert num("lamps/halogen-reflector-50w-25deg/beam_angle") == pytest.approx(math.radians(25), rel=1e-12)
    assert VALUES["lamps/halogen-reflector-50w-25deg/beam_angle"].unit == "rad"
    assert num("lamps/uv-t5-54w-reflector/diameter") == pytest.approx(0.016, rel=1e-12)
    assert num("animals/dendrobates-tinctorius/mass_typical") == pytest.approx(0.0055, rel=1e-12)
    assert num("lamps/led-bar-24w-90cm/photon_flux") == pytest.approx(38, rel=1e-12)
    assert VALUES["lamps/led-bar-24w-90cm/photon_flux"].unit == "umol s-1"
    assert VALUES["panes/glass-float/transmittance_visible"].unit == ""
    assert VALUES["lamps/uv-t5-54w-reflector/uvi_reference"].unit == "UVI"


class TestOwnValues:
    """A user's value takes the place of the library's, with its own credentials."""

    def test_replaced(self):
        """Value, source and basis are the user's; spread stays; the note remembers; all else is untouched."""
        own = LIBRARY.replaced(
            "lamps/halogen-reflector-50w-25deg/beam_angle", "30 deg", source="box", basis="published"
        )
        new = own.lamps["halogen-reflector-50w-25deg"].beam_angle
        assert new is not None
        assert new.value == pytest.approx(math.radians(30))
        assert (new.source, new.basis) == ("box", "published")
        assert new.where == "plan own_values: lamps/halogen-reflector-50w-25deg/beam_angle"
        assert "in place of the library's (derived: rated angle" in new.note
        changed = [key for key, value in own.values() if value != VALUES[key]]
        assert changed == ["lamps/halogen-reflector-50w-25deg/beam_angle"]
        assert own.hash != LIBRARY.hash
        assert load_library().hash == LIBRARY.hash

    def test_spread_stays(self):
        """One number says nothing of the spread."""
        own = LIBRARY.replaced("guards/guard-bar-12mm/open_share", 0.84, source="meter", basis="measured")
        assert own.guards["guard-bar-12mm"].open_share.spread_low == 0.037

    @pytest.mark.parametrize(
        ("key", "message"),
        [
            ("lamps/none/length", "no 'none' in lamps"),
            ("lamp/uv-t5-54w-reflector/length", "no section 'lamp'"),
            ("lamps/uv-t5-54w-reflector/beam_angle", "no value 'beam_angle' in lamps/uv-t5-54w-reflector"),
            ("lamps/uv-t5-54w-reflector/hash", "no value 'hash'"),
            ("lamps/length", "'lamps/length' does not have three parts"),
        ],
    )
    def test_unknown_key(self, key: str, message: str):
        """What the library does not have cannot be replaced."""
        with pytest.raises(KeyError, match=message):
            LIBRARY.replaced(key, 1.0, source="x", basis="measured")

    @pytest.mark.parametrize(
        ("key", "value", "message"),
        [
            ("lamps/uv-t5-54w-reflector/length", 1.15, "'1.15' is not a length with its unit; try 30 cm"),
            (
                "lamps/uv-t5-54w-reflector/length",
                "1 m",
                "glowing_length: 1.11 m is more than the length of 1 m",
            ),
            ("lamps/uv-t5-54w-reflector/dimmable", 1.0, "'1.0' is not true or false"),
            ("lamps/uv-t5-54w-reflector/uvi_reference", float("nan"), "'nan' is not a finite number"),
            ("lamps/uv-t5-54w-reflector/uvi_reference", -1.0, "'-1.0' is not from 0 to 50 UVI"),
            (
                "animals/pogona-vitticeps/uv_floor",
                5.5,
                "uv_floor: 5.5 is not below the uv_comfort_ceiling of 5",
            ),
            ("animals/pogona-vitticeps/uv_zone", "four", "'four' is not a plain number"),
        ],
    )
    def test_unfit_value(self, key: str, value: str | float | bool, message: str):
        """A value of the wrong kind, or one that contradicts the entry, is refused."""
        with pytest.raises(UnitError, match=message):
            LIBRARY.replaced(key, value, source="x", basis="measured")

    def test_credentials_are_needed(self):
        """The user's own values need source and basis like all others."""
        key = "lamps/uv-t5-54w-reflector/uvi_reference"
        with pytest.raises(LibraryError, match="needs a source, and a basis that is one of measured"):
            LIBRARY.replaced(key, 3.0, source=" ", basis="measured")
        with pytest.raises(LibraryError, match="a basis that is one of measured"):
            LIBRARY.replaced(key, 3.0, source="own meter", basis="sure")


def test_the_hash_is_of_the_content(tmp_path: Path):
    """Order, comments and spelling of the files do not change it; any number, word or spread does."""
    text = (DATA / "woods" / "oak.yaml").read_text(encoding="utf-8")
    folder = tmp_path / "more" / "woods"
    folder.mkdir(parents=True)
    path = folder / "oak.yaml"
    blocks = text.replace("762 kg/m3", "762.0 kg/m3")
    path.write_text(f"# another comment\n{blocks}", encoding="utf-8")
    assert load_library(tmp_path / "more").hash == LIBRARY.hash
    path.write_text(text.replace("762 kg/m3", "763 kg/m3"), encoding="utf-8")
    assert load_library(tmp_path / "more").hash != LIBRARY.hash
    path.write_text(text.replace("at 12 %", "at 13 %"), encoding="utf-8")
    assert load_library(tmp_path / "more").hash != LIBRARY.hash
    assert len(LIBRARY.hash) == 64


def test_the_hash_does_not_depend_on_the_process():
    """Another process with another hash seed finds the same content."""
    code = "from sunfleck.library.loader import load_library; print(load_library().hash)"
    environment = {**os.environ, "PYTHONHASHSEED": "4711"}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment
    )
    assert done.stdout.strip() == LIBRARY.hash


def test_entries_cannot_be_changed():
    """Results that share an entry cannot change it under each other."""
    with pytest.raises(dataclasses.FrozenInstanceError):
        LIBRARY.woods["oak"].density = LIBRARY.woods["beech"].density  # type: ignore[misc]
    with pytest.raises(TypeError):
        LIBRARY.woods["pine"] = LIBRARY.woods["oak"]  # type: ignore[index]
    assert load_library() is LIBRARY


def test_loading_is_light():
    """The whole library loads in a fresh process within 150 ms and without numpy or pydantic.

    A neighbour on the machine can only lengthen a try, so the quickest of three counts.
    """
    code = (
        "import sys, time; from sunfleck.library import loader; "
        "t = time.process_time(); loader.load_library(); "
        "print(time.process_time() - t, *sorted({'numpy', 'pydantic', 'scipy', 'numba'} & set(sys.modules)))"
    )
    quickest = 1.0
    for _ in range(3):
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        seconds, *heavy = done.stdout.split()
        assert heavy == []
        quickest = min(quickest, float(seconds))
    assert quickest < 0.150


def test_values_of_leaves_out_what_an_entry_does_not_have():
    """An animal without a floor has no value for it, not a zero."""
    names = [name for name, _ in values_of(LIBRARY.animals["correlophus-ciliatus"])]
    assert "uv_floor" not in names
    assert "uv_ceiling" in names
