"""Woods, materials, meshes, panes and finishes: against their tables and against physics."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
import yaml

from sunfleck.errors import LibraryError
from sunfleck.library.consistency import open_share_of_mesh
from sunfleck.library.loader import DATA, load_library

LIBRARY = load_library()
VALUES = dict(LIBRARY.values())
Z90 = 1.645
PSI = 6894.757


def num(key: str) -> float:
    value = VALUES[key].value
    assert isinstance(value, (int, float))
    return float(value)


class TestWoods:
    """What limbs weigh, how stiff they are, and which are never to be used."""

    @pytest.mark.parametrize(
        ("id_", "gravity"),
        # Specific gravity at 12 % moisture; teak's is of the green volume.
        [
            ("teak", 0.55), ("oak", 0.68), ("red-oak", 0.63), ("beech", 0.64), ("sugar-maple", 0.63),
            ("white-ash", 0.60), ("yellow-birch", 0.62), ("hickory", 0.72), ("black-locust", 0.69),
            ("sycamore", 0.49), ("yellow-poplar", 0.42), ("black-walnut", 0.55), ("black-cherry", 0.50),
            ("apple", 0.67), ("eastern-redcedar", 0.47), ("western-redcedar", 0.32), ("douglas-fir", 0.48),
            ("pine", 0.51), ("balsa", 0.16), ("khaya", 0.42), ("olive", 0.85), ("rhododendron", 0.60),
        ],
    )  # fmt: skip
    def test_density_is_gravity_and_its_moisture(self, id_: str, gravity: float):
        """1.12 times specific gravity: the water in wood of 12 % moisture."""
        assert num(f"woods/{id_}/density") == pytest.approx(1120 * gravity, abs=0.6)

    @pytest.mark.parametrize(
        ("id_", "million_psi"),
        # The rows that were read: S60 teak, S62 five hardwoods, S63 Douglas-fir.
        [
            ("teak", 1.55), ("white-ash", 1.74), ("beech", 1.72), ("yellow-birch", 2.01),
            ("black-cherry", 1.49), ("hickory", 2.16), ("black-locust", 2.05), ("douglas-fir", 1.95),
        ],
    )  # fmt: skip
    def test_stiffness_is_that_of_its_table(self, id_: str, million_psi: float):
        """Million pounds to the square inch, to the digits written."""
        assert num(f"woods/{id_}/elastic_modulus") == pytest.approx(1e6 * million_psi * PSI, abs=0.06e9)
        assert VALUES[f"woods/{id_}/elastic_modulus"].basis == "derived"

    def test_the_other_handbook_rows_are_from_memory(self):
        """A row that was not seen is not published, whatever book it is in."""
        for id_ in ("oak", "red-oak", "apple", "olive", "pine"):
            value = VALUES[f"woods/{id_}/elastic_modulus"]
            assert value.basis == "from memory"
            assert "this row not seen" in value.source

    def test_vine_is_lighter_than_olive(self):
        """Dry grapevine is far lighter than the olive whose figure is handed round for it, and rots."""
        assert num("woods/grapevine/density") < 0.65 * num("woods/olive/density")
        assert VALUES["woods/grapevine/lasts_wet"].value == "badly"

    def test_a_wood_that_sinks_is_there(self):
        """Above the density of water even when dry."""
        assert num("woods/mopane/density") > 1000

    def test_who_must_never_be_used(self):
        """Oleander, yew and laburnum for their poison; western redcedar for what it gives off."""
        never = {id_ for id_, wood in LIBRARY.woods.items() if wood.use.value == "never"}
        assert never == {"oleander", "yew", "laburnum", "western-redcedar"}
        for id_ in never:
            assert VALUES[f"woods/{id_}/hazard"].value in ("toxic", "aromatic")
            assert VALUES[f"woods/{id_}/caution"].value.startswith("take another wood")

    def test_every_hazard_to_the_animal_is_no_plain_yes(self):
        """Toxic, aromatic or resinous woods are used with care or never, and say how."""
        for id_, wood in LIBRARY.woods.items():
            if wood.hazard.value in ("toxic", "aromatic", "resin"):
                assert wood.use.value != "suitable", id_
            if wood.hazard.value != "none known":
                assert wood.caution is not None, id_

    def test_working_stress_is_of_sound_hardwood_only(self):
        """None for cork, vine, roots, bamboo, softwoods and what is lighter than half of water."""
        given = {id_ for id_, wood in LIBRARY.woods.items() if wood.working_stress is not None}
        assert {"oak", "beech", "hickory"} <= given
        assert not given & {
            "cork-tube",
            "grapevine",
            "rhododendron",
            "bamboo",
            "pine",
            "douglas-fir",
            "balsa",
            "khaya",
        }
        for id_ in given:
            assert num(f"woods/{id_}/working_stress") == pytest.approx(15e6, rel=1e-12)
            assert "half of it after a year in a wet box" in VALUES[f"woods/{id_}/working_stress"].note
            assert num(f"woods/{id_}/density") >= 550


class TestSheets:
    """Meshes and panes."""

    @pytest.mark.parametrize("id_", LIBRARY.meshes)
    def test_open_share_follows_from_pitch_and_wire(self, id_: str):
        """The formula to the digits written, a wire from memory, and a spread that says so."""
        key = f"meshes/{id_}"
        expected = open_share_of_mesh(num(f"{key}/pitch_u"), num(f"{key}/pitch_v"), num(f"{key}/wire"))
        assert num(f"{key}/open_share") == pytest.approx(expected, abs=6e-4)
        assert VALUES[f"{key}/wire"].basis == VALUES[f"{key}/open_share"].basis == "from memory"
        assert VALUES[f"{key}/open_share"].spread_low > 0
        assert VALUES[f"{key}/open_share"].spread_high > 0

    @pytest.mark.parametrize(
        ("id_", "per_inch"),
        [
            ("aluminium-18x16", (18, 16)), ("aluminium-18x14", (18, 14)), ("aluminium-20x20", (20, 20)),
            ("aluminium-14x14", (14, 14)), ("hardware-eighth-inch", (8, 8)), ("hardware-quarter-inch", (4, 4)),
            ("welded-half-inch", (2, 2)),
        ],
    )  # fmt: skip
    def test_pitches_are_wires_to_the_inch(self, id_: str, per_inch: tuple[int, int]):
        """By its name, to the hundredth of a millimetre."""
        for axis, wires in zip("uv", per_inch, strict=True):
            assert num(f"meshes/{id_}/pitch_{axis}") == pytest.approx(0.0254 / wires, abs=1e-6)

    @pytest.mark.parametrize("id_", LIBRARY.panes)
    def test_what_passes_and_what_is_taken_up_is_no_more_than_all(self, id_: str):
        """Kirchhoff: what a pane gives off it takes up, and what it takes up does not pass."""
        assert num(f"panes/{id_}/emissivity") + num(f"panes/{id_}/transmittance_long_wave") <= 1

    def test_no_uv_passes_glass(self):
        """UV-B below detection through every glass (S71); next to none through polycarbonate."""
        glasses = [id_ for id_ in LIBRARY.panes if id_.startswith("glass-")]
        assert len(glasses) == 3
        for id_ in glasses:
            assert num(f"panes/{id_}/transmittance_uv") == 0
            assert VALUES[f"panes/{id_}/transmittance_uv"].source.startswith("S71")
        for id_ in ("polycarbonate", "polycarbonate-twin-wall-10mm"):
            assert num(f"panes/{id_}/transmittance_uv") <= 0.01
        assert num("panes/acrylic-clear/transmittance_uv") < 0.05

    @pytest.mark.parametrize(
        ("key", "low", "high"),
        [
            ("acrylic-uv-transmitting/transmittance_uv", 0.6, 0.9),
            ("polyethylene-film/transmittance_uv", 0.6, 0.8),
            ("fluoropolymer-film/transmittance_uv", 0.85, 0.93),
            ("polycarbonate/transmittance_visible", 0.85, 0.90),
            ("glass-laminated/transmittance_visible", 0.84, 0.89),
        ],
    )
    def test_spreads_span_their_ranges(self, key: str, low: float, high: float):
        """90 % of the two-piece log-normal is the range named in the source."""
        value = VALUES[f"panes/{key}"]
        assert num(f"panes/{key}") / math.exp(Z90 * value.spread_low) == pytest.approx(low, abs=2e-3)
        assert num(f"panes/{key}") * math.exp(Z90 * value.spread_high) == pytest.approx(high, abs=2e-3)

    def test_only_thin_films_let_long_wave_heat_through(self):
        """Sheets of glass, acrylic and polycarbonate are opaque to a ceramic heater."""
        open_to_heat = {id_ for id_ in LIBRARY.panes if num(f"panes/{id_}/transmittance_long_wave") > 0}
        assert open_to_heat == {"polyethylene-film", "fluoropolymer-film"}

    def test_a_pane_has_the_weight_of_its_material(self):
        """4, 6 and 10 mm of float glass are 10, 15 and 25 kg to the square metre."""
        for millimetres, mass in ((4, 10), (6, 15), (10, 25)):
            assert num("panes/glass-float/density") * millimetres / 1000 == pytest.approx(mass)
        # Twin wall of 10 mm: 1.7 kg/m2, and 1/U of 2.9 W/m2K with 0.17 m2K/W at the surfaces.
        sheet = "panes/polycarbonate-twin-wall-10mm"
        assert num(f"{sheet}/density") * 0.010 == pytest.approx(1.7)
        assert 1 / (0.17 + 0.010 / num(f"{sheet}/thermal_conductivity")) == pytest.approx(2.9, abs=0.05)


class TestSurfaces:
    """Finishes and materials."""

    @pytest.mark.parametrize("id_", LIBRARY.finishes)
    def test_a_range_named_in_the_source_has_the_value_in_its_middle(self, id_: str):
        """Where the source says "A-B, the middle", the value is that."""
        for channel in ("uv", "visible", "radiant"):
            value = VALUES[f"finishes/{id_}/reflectance_{channel}"]
            named = re.search(
                r"(0\.\d+)-(0\.\d+)(?: in the near infrared)?(?:, by analogy[^,]*)?, the middle", value.source
            )
            if named:
                middle = (float(named[1]) + float(named[2])) / 2
                assert num(f"finishes/{id_}/reflectance_{channel}") == pytest.approx(middle, abs=0.006), (
                    value.where
                )

    @pytest.mark.parametrize(
        ("id_", "uv"),
        # IARC 1992, table 4.
        [
            ("wood-weathered", 0.064), ("plywood-sealed", 0.066), ("aluminium-dull", 0.13), ("paint-white", 0.22),
            ("fibreglass-white", 0.091), ("water-open", 0.033), ("sand-wet", 0.071),
        ],
    )  # fmt: skip
    def test_uv_against_the_table(self, id_: str, uv: float):
        """To the digits of the table."""
        assert num(f"finishes/{id_}/reflectance_uv") == uv
        assert VALUES[f"finishes/{id_}/reflectance_uv"].basis == "published"

    def test_metal_keeps_its_heat_and_everything_else_gives_it_off(self):
        """Bare metal has a low emissivity; all others are at 0.85 and above, white or black."""
        for id_ in LIBRARY.finishes:
            emissivity = num(f"finishes/{id_}/emissivity")
            assert (emissivity <= 0.2) if id_.startswith("aluminium-") else (0.85 <= emissivity < 1), id_

    def test_foam_insulates_and_metal_conducts(self):
        """In the order everybody knows: foam, wood, plastics, glass, metal."""
        rising = [
            num(f"{key}/thermal_conductivity")
            for key in ("materials/xps-board", "materials/plywood-softwood", "panes/acrylic-clear", "panes/glass-float",
                        "materials/aluminium-sheet")
        ]  # fmt: skip
        assert rising == sorted(rising)
        assert rising[0] < 0.04
        assert rising[-1] > 100

    def test_what_softens_near_a_lamp_says_so(self):
        """PVC board, acrylic, polyethylene and foams bear less than 100 degrees; 333.15 K is 60 degrees Celsius."""
        assert num("materials/pvc-foam-board/safe_temperature") == pytest.approx(333.15)
        for key in (
            "materials/xps-board",
            "materials/eps-board",
            "materials/polyethylene-sheet",
            "panes/acrylic-clear",
        ):
            assert num(f"{key}/safe_temperature") < 373.15

    def test_coats_and_sealants_have_their_time(self):
        """A week at least before an animal breathes beside them."""
        for id_ in ("silicone-sealant", "pu-foam", "epoxy-coat", "varnish-water-based"):
            assert num(f"materials/{id_}/airing_time") >= 7 * 86400


@pytest.mark.parametrize(
    ("section", "id_", "changes", "message"),
    [
        (
            "woods",
            "oak",
            {"density": None},
            "density: is missing, and only a wood that is never to be used may do without",
        ),
        (
            "woods",
            "yew",
            {"working_stress": "15 MPa"},
            "working_stress: nothing is to rest on a wood that is never",
        ),
        ("woods", "oak", {"use": "maybe"}, "use: 'maybe' is not one of suitable, with care, never"),
        (
            "woods",
            "oak",
            {"elastic_modulus": 12},
            "elastic_modulus: '12' is not a stress with its unit; try 12 GPa",
        ),
        (
            "panes",
            "polyethylene-film",
            {"emissivity": 0.3},
            "emissivity: 0.3 and the transmittance_long_wave of 0.75",
        ),
        (
            "materials",
            "xps-board",
            {"thermal_conductivity": "0.03"},
            "is not a thermal conductivity with its unit",
        ),
    ],
)
def test_an_entry_that_contradicts_itself(
    tmp_path: Path, section: str, id_: str, changes: dict[str, object], message: str
):
    """The same rules for the user's own files."""
    data = yaml.safe_load((DATA / section / f"{id_}.yaml").read_text(encoding="utf-8"))
    for name, value in changes.items():
        if value is None:
            del data[name]
        else:
            data[name] = {"value": value, "source": "test", "basis": "measured"}
    (tmp_path / section).mkdir()
    (tmp_path / section / "x.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
    with pytest.raises(LibraryError) as caught:
        load_library(tmp_path)
    assert message in str(caught.value)
