"""Substrates: what they weigh wet, what their pores hold, and what stays apart."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from sunfleck.errors import LibraryError
from sunfleck.library.living_consistency import ends
from sunfleck.library.loader import DATA, load_library

LIBRARY = load_library()
SUBSTRATES = LIBRARY.substrates


def test_every_ingredient_is_there():
    """27 rows of measurements and memory, an entry each."""
    assert len(SUBSTRATES) == 27


@pytest.mark.parametrize("id_", SUBSTRATES)
def test_drained_it_weighs_its_dry_mass_and_its_water(id_: str):
    """Within the rounding to tens of kilograms: a litre of water weighs a kilogram."""
    entry = SUBSTRATES[id_]
    dry, water, wet = (ends(value) for value in (entry.dry_density, entry.water_capacity, entry.wet_density))
    for end in (0, 1):
        assert wet[end] == pytest.approx(dry[end] + 1000 * water[end], abs=10)


@pytest.mark.parametrize("id_", SUBSTRATES)
def test_water_and_air_fill_no_more_than_the_pores(id_: str):
    """The lower ends go together always; where one sample was measured, its sum is the pores to 1 %."""
    entry = SUBSTRATES[id_]
    water, air = ends(entry.water_capacity), ends(entry.air_filled)
    pores = (0.0, 1.0) if entry.total_pores is None else ends(entry.total_pores)
    assert water[0] + air[0] <= pores[1] + 0.005
    if entry.total_pores is not None and water[0] == water[1] and air[0] == air[1]:
        assert water[0] + air[0] == pytest.approx(pores[0], abs=0.01)


@pytest.mark.parametrize(
    ("id_", "dry", "water", "air", "wet"),
    [
        # Table 1 of a paper of 2012 (S54), porometer: per cent by volume, kg/m3.
        ("peat-sphagnum", 110, 0.87, 0.11, 980),
        ("pine-bark", 180, 0.48, 0.31, 660),
        ("wood-chips-fine", 220, 0.57, 0.28, 790),
        ("wood-chips-coarse", 190, 0.42, 0.48, 610),
        # A plant society's table (S56).
        ("coir-chips", 130, 0.20, 0.63, 330),
        ("gravel-6-12mm", 1390, 0.10, 0.34, 1490),
        ("foamed-glass", 270, 0.11, 0.40, 380),
    ],
)
def test_single_samples_against_their_tables(id_: str, dry: float, water: float, air: float, wet: float):
    """What one sample was measured at stands at both ends, and is published, not remembered."""
    entry = SUBSTRATES[id_]
    for name, value in (
        ("dry_density", dry),
        ("water_capacity", water),
        ("air_filled", air),
        ("wet_density", wet),
    ):
        assert ends(getattr(entry, name)) == pytest.approx((value, value), rel=1e-12)
    assert entry.dry_density.basis == entry.water_capacity.basis == entry.air_filled.basis == "published"


def test_studies_of_coir_are_not_averaged():
    """Three studies, three entries, three ranges."""
    coir = [id_ for id_ in SUBSTRATES if id_.startswith("coir-dust-")]
    assert len(coir) == 3
    assert len({ends(SUBSTRATES[id_].water_capacity) for id_ in coir}) == 3
    assert len({SUBSTRATES[id_].water_capacity.source for id_ in coir}) == 3


def test_pores_of_coir_follow_from_its_particles():
    """1 - dry density over that of the particles, 1480-1490 kg/m3 (S51), is the upper end of both ranges."""
    for id_, particle in (("coir-dust-mexico-sri-lanka", 1480), ("coir-dust-coarse-to-fine", 1490)):
        entry = SUBSTRATES[id_]
        assert ends(entry.total_pores)[1] == pytest.approx(
            1 - ends(entry.dry_density)[0] / particle, abs=0.006
        )


def test_a_wet_density_is_known_no_better_than_what_it_is_made_of():
    """From memory where dry mass or water are."""
    for id_, entry in SUBSTRATES.items():
        weak = "from memory" in (entry.dry_density.basis, entry.water_capacity.basis)
        assert entry.wet_density.basis == ("from memory" if weak else "derived"), id_


def test_no_animal_that_bores_into_foam_is_advised():
    """Dermestids attack foam and wood: no entry names them as stock."""
    for _, value in LIBRARY.values():
        assert "dermestid" not in f"{value.value} {value.source} {value.note}".lower()


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (
            {"wet_density": ["500 kg/m3", "530 kg/m3"]},
            "wet_density: 500 kg m-3 is not dry mass and water, 340",
        ),
        ({"total_pores": ["50 %", "60 %"]}, "air_filled: with the water 0.65, more than the pores of 0.6"),
        ({"settling": ["3 %", "101 %"]}, "settling: '101 %' is not from 0 to 1"),
        ({"dry_density": ["0.09", "0.13"]}, "dry_density: '0.09' is not a density with its unit"),
    ],
)
def test_a_substrate_that_contradicts_itself(tmp_path: Path, changes: dict[str, object], message: str):
    """The same rules for the user's own files."""
    data = yaml.safe_load((DATA / "substrates" / "perlite-coarse.yaml").read_text(encoding="utf-8"))
    for name, value in changes.items():
        data[name] = {"value": value, "source": "test", "basis": "measured"}
    (tmp_path / "substrates").mkdir()
    (tmp_path / "substrates" / "x.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
    with pytest.raises(LibraryError) as caught:
        load_library(tmp_path)
    assert message in str(caught.value)
