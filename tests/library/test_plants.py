"""Plants: complete, in order, and corrected where the trade knows better."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from sunfleck.errors import LibraryError
from sunfleck.library.living_consistency import ends
from sunfleck.library.loader import DATA, load_library
from sunfleck.service.starting import STARTERS, starter_text

LIBRARY = load_library()
PLANTS = LIBRARY.plants
# Lux of one foot-candle (a lumen per square foot), exact; lux of one umol m-2 s-1 of white LED light (P3: 67-72).
LUX_PER_FC = 1 / 0.3048**2
LUX_PER_UMOL = 70.0


def light(id_: str, purpose: str) -> tuple[float, float]:
    value = getattr(PLANTS[id_], f"light_to_{purpose}")
    assert value is not None
    return ends(value)


def test_there_are_many():
    """Mounted and rooted, dry and wet, dark and bright: at least 45."""
    assert len(PLANTS) >= 45
    assert {str(p.climate.value) for p in PLANTS.values()} == {
        "humid", "humid-temperate", "temperate", "temperate-arid", "arid",
    }  # fmt: skip
    assert {str(p.rooting.value) for p in PLANTS.values()} == {"rooted", "mounted", "either"}


@pytest.mark.parametrize("id_", PLANTS)
def test_light_to_hold_to_grow_to_colour_rises(id_: str):
    """Who grows needs no less than who holds on, and who colours no less than who grows, at both ends."""
    bands = [
        ends(value)
        for name in ("hold", "grow", "colour")
        if (value := getattr(PLANTS[id_], f"light_to_{name}")) is not None
    ]
    assert len(bands) >= 2
    assert [low for low, _ in bands] == sorted(low for low, _ in bands)
    assert [high for _, high in bands] == sorted(high for _, high in bands)
    assert all(low < high for low, high in bands)


@pytest.mark.parametrize(
    ("id_", "foot_candles"),
    [
        # A county extension's list of house plants (S40).
        ("epipremnum-aureum", (100, 200)),
        ("aglaonema-commutatum", (50, 100)),
        ("ficus-benjamina", (100, 200)),
        ("neoregelia", (50, 100)),
        ("crassula-ovata", (50, 100)),
        # An extension service's least and recommended foot-candles by class (S41).
        ("philodendron-hederaceum", (50, 100)),
        ("monstera-adansonii", (75, 200)),
        ("aloe-vera", (200, 500)),
        ("echeveria-elegans", (500, 1000)),
    ],
)
def test_light_to_hold_is_the_foot_candles_of_its_source(id_: str, foot_candles: tuple[int, int]):
    """Foot-candles times 10.764 lx over 70 lx per umol m-2 s-1, to whole numbers."""
    expected = [fc * LUX_PER_FC / LUX_PER_UMOL for fc in foot_candles]
    assert light(id_, "hold") == pytest.approx(expected, abs=0.6)
    assert " to ".join(map(str, foot_candles)).replace(" to ", "-") in PLANTS[id_].light_to_hold.source


@pytest.mark.parametrize(
    ("id_", "daily"),
    # Daily sums over 12 h, by hand: 20 x 12 x 0.0036 = 0.86 and so on. [mol m-2]
    [
        ("epipremnum-aureum", (0.9, 2.6)),
        ("monstera-deliciosa", (2.6, 6.5)),
        ("aloe-vera", (6.5, 13)),
        ("echeveria-elegans", (13, 30)),
        ("saintpaulia-ionantha", (4, 6)),
    ],
)
def test_light_to_grow_as_a_daily_sum(id_: str, daily: tuple[float, float]):
    """PPFD x 12 h x 0.0036 is the daily sum that is spoken of."""
    assert [x * 12 * 0.0036 for x in light(id_, "grow")] == pytest.approx(daily, rel=0.05)


@pytest.mark.parametrize("id_", ["tillandsia-ionantha", "neoregelia"])
def test_air_plants_and_tank_bromeliads_colour_in_more_light_than_they_live_in(id_: str):
    """60-150 keeps them alive; 150-300 colours them (common practice, no source)."""
    assert light(id_, "grow") == (60, 150)
    assert light(id_, "colour") == (150, 300)
    assert PLANTS[id_].light_to_colour.basis == "common practice"


def test_a_succulent_of_the_shade_stands_below_its_kin():
    """Haworthiopsis wants less than Aloe and Crassula."""
    for kin in ("aloe-vera", "crassula-ovata"):
        assert light("haworthiopsis-fasciata", "grow")[1] <= light(kin, "grow")[0]


def test_nothing_is_said_to_colour_that_nobody_said_so_of():
    """No band is made up for the others."""
    coloured = {id_ for id_, plant in PLANTS.items() if plant.light_to_colour is not None}
    assert coloured == {"tillandsia-ionantha", "neoregelia"}


@pytest.mark.parametrize("id_", PLANTS)
def test_what_harms_is_named_with_whom_it_harms(id_: str):
    """A toxicity above 0 says what does it and in whom it was seen; nobody is told that reptiles bear it."""
    plant = PLANTS[id_]
    assert (plant.toxicity.value > 0) == (plant.toxin is not None) == (plant.toxic_to is not None)
    if plant.toxic_to is not None:
        assert plant.toxic_to.value in ("people", "cats and dogs", "mammals")
        assert "for reptiles hardly anything is known" in plant.toxic_to.note


def test_every_plant_of_the_arum_family_irritates():
    """A veterinary page advises to treat the whole family so (S44); Dieffenbachia stands a class higher."""
    arums = (
        "epipremnum-aureum", "philodendron-hederaceum", "monstera-deliciosa", "monstera-adansonii",
        "syngonium-podophyllum", "spathiphyllum-wallisii", "anthurium", "aglaonema-commutatum", "scindapsus-pictus",
    )  # fmt: skip
    assert {PLANTS[id_].toxicity.value for id_ in arums} == {1}
    assert PLANTS["dieffenbachia-seguine"].toxicity.value == 2
    assert all("oxalate" in PLANTS[id_].toxin.value for id_ in (*arums, "dieffenbachia-seguine"))


def test_nothing_dangerous_is_kept():
    """Class 3 is there for the user's own entries."""
    assert max(p.toxicity.value for p in PLANTS.values()) == 2


def test_plans_name_plants_by_species():
    """Every species is there once, its id follows from it, and the plants of the starting plans are among them."""
    species = [str(p.species.value) for p in PLANTS.values()]
    assert len(set(species)) == len(species)
    for id_, plant in PLANTS.items():
        words = str(plant.species.value).removesuffix(" spp.").removesuffix(" hybrids")
        assert id_ == words.lower().replace(" ", "-")
    for name in STARTERS:
        plants = yaml.safe_load(starter_text(name)).get("plants", [])
        assert {plant["species"] for plant in plants if "species" in plant} <= set(species)


def broken(tmp_path: Path, id_: str, **changes: object) -> str:
    data = yaml.safe_load((DATA / "plants" / f"{id_}.yaml").read_text(encoding="utf-8"))
    for name, value in changes.items():
        if value is None:
            del data[name]
        else:
            data[name] = {"value": value, "source": "test", "basis": "measured"}
    folder = tmp_path / "plants"
    folder.mkdir()
    (folder / "x.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
    with pytest.raises(LibraryError) as caught:
        load_library(tmp_path)
    return str(caught.value)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (
            {"light_to_grow": ["5 umol/m2/s", "150 umol/m2/s"]},
            "light_to_hold: 15-31 is not below the light_to_grow of 5-150",
        ),
        ({"light_to_grow": [60, 150]}, "light_to_grow: '60' is not a photon flux density with its unit"),
        ({"light_to_grow": ["150 umol/m2/s", "60 umol/m2/s"]}, "the lower first"),
        ({"root_depth": None}, "root_depth: a mounted plant has none, every other one needs it"),
        ({"toxin": None}, "toxin: goes with a toxicity above 0"),
        ({"toxicity": 0}, "toxic_to: goes with a toxicity above 0"),
        ({"toxicity": 4}, "toxicity: '4' is not from 0 to 3"),
        ({"habit": "bush"}, "habit: 'bush' is not one of climber"),
        ({"least_humidity": 0.4}, "least_humidity: '0.4' is not a fraction with its unit; try 60 %"),
    ],
)
def test_a_plant_that_contradicts_itself(tmp_path: Path, changes: dict[str, object], message: str):
    """Order of light, roots and poison are held in the user's own files too."""
    assert message in broken(tmp_path, "ficus-benjamina", **changes)
