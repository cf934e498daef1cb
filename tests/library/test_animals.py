"""Animals: what the trade knows of them, each temperature with what it is measured with, fallbacks marked as such."""

from collections import Counter

import pytest

from sunfleck.library.loader import load_library
from sunfleck.library.values import MEASURED_WITH

LIBRARY = load_library()
ANIMALS = LIBRARY.animals
TEMPERATURES = ("basking_spot", "warm_end", "cool_end", "night", "alarm_above", "preferred_body", "voluntary_body",
                "field_body", "critical_low", "critical_high")  # fmt: skip
UV = ("uv_zone", "uv_zone_field_average", "uv_zone_field_maximum", "uv_floor", "uv_comfort_ceiling", "uv_ceiling",
      "uv_retreat")  # fmt: skip
KNOWN = ("measured", "published", "derived")
ZERO = 273.15


def of(species):
    return next(animal for animal in ANIMALS.values() if animal.species.value == species)


def celsius(value):
    return tuple(round(part - ZERO, 6) for part in value.value)


def test_the_animals_of_the_trades_stories_are_there():
    """Nine of the ten stories of common practice name a species; the tenth asks for one that is not known."""
    for species in ("Physignathus cocincinus", "Pogona vitticeps", "Trioceros jacksonii", "Correlophus ciliatus",
                    "Ranoidea caerulea", "Testudo hermanni", "Dendrobates tinctorius", "Phelsuma grandis",
                    "Pantherophis guttatus"):  # fmt: skip
        assert of(species)
    assert len(ANIMALS) == 22
    assert not [animal for animal in ANIMALS.values() if str(animal.species.value).startswith("Boa")]


def test_every_temperature_says_what_it_is_measured_with():
    """Surface, shaded air and body are three things; bands of bodies are of bodies, ends and nights of air."""
    for animal in ANIMALS.values():
        for name in TEMPERATURES:
            value = getattr(animal, name)
            if value is None:
                continue
            assert value.measured_with in MEASURED_WITH
            if name.endswith("_body") or name.startswith("critical"):
                assert value.measured_with == "body"
            elif name != "basking_spot":
                assert value.measured_with == "shaded air"


@pytest.mark.parametrize(
    "species",
    [
        "Correlophus ciliatus",
        "Dendrobates tinctorius",
        "Eublepharis macularius",
        "Python regius",
        "Morelia viridis",
    ],
)
def test_where_no_basking_is_wanted_there_is_no_basking_band(species):
    """Common practice, no source: a band there would make the program ask for a lamp."""
    assert of(species).basking.value is False
    assert of(species).basking_spot is None


def test_alarms_of_animals_that_overheat():
    """Common practice, no source: crested gecko warned at 27-28 and alarm at 29; dart frog 28 is an emergency."""
    assert of("Correlophus ciliatus").alarm_above.value == pytest.approx(29 + ZERO)
    assert of("Dendrobates tinctorius").alarm_above.value == pytest.approx(28 + ZERO)


def test_a_montane_chameleons_basking_figure_is_air_not_surface():
    """28-31 as a surface would top out below the body it prefers, 30-33 (S3)."""
    jacksons = of("Trioceros jacksonii")
    assert jacksons.basking_spot.measured_with == "shaded air"
    assert celsius(jacksons.preferred_body) == (30.0, 33.0)
    assert celsius(jacksons.night) == (10.0, 18.0)


def test_ceilings_follow_the_zones_of_the_trade_and_not_field_maxima():
    """Common practice, no source: zone 1 1.0-1.4, zone 2 3, zone 3 3-5 (warned at 6), zone 4 5-6 (8 stops)."""
    wanted = {1: (1.0, 1.4), 2: (3, 3), 3: (5, 6), 4: (6, 8)}
    for animal in ANIMALS.values():
        zone = animal.uv_zone.value
        assert (animal.uv_comfort_ceiling.value, animal.uv_ceiling.value) == wanted[zone]
        assert (animal.uv_floor is None) == (zone == 1)
        if "-" in animal.uv_zone.note:
            assert "lower one stands" in animal.uv_zone.note


def test_snakes_are_as_long_as_they_are():
    """Common practice, no source: adults 1.1 to 1.5 m over all; records of head and body times 0.8 come out shorter."""
    for animal in ANIMALS.values():
        if animal.kind.value == "snake":
            assert 1.1 <= animal.total_length_typical.value <= 1.5
            assert animal.snout_vent_typical.value < animal.total_length_typical.value


def test_who_bears_live_young_digs_no_hole():
    """Common practice, no source: a lay box for diggers, none for Jackson's chameleon and the blue-tongued skink."""
    live = {a.species.value for a in ANIMALS.values() if a.breeding.value == "bears live young"}
    assert live == {"Trioceros jacksonii", "Tiliqua scincoides"}
    assert "no lay box" in of("Trioceros jacksonii").breeding.note


def test_humidity_has_a_day_a_night_and_a_drying_spell():
    """Common practice, no source: one band all day without airing gives mould and sick lungs."""
    for animal in ANIMALS.values():
        assert sum(animal.humidity_day.value) < sum(animal.humidity_night.value)
        if animal.humidity_night.value[1] >= 0.8 and animal.species.value != "Eublepharis macularius":
            assert animal.dries_to is not None, animal.species.value
            assert animal.dries_to.value <= animal.humidity_day.value[0] or animal.dries_to.value <= 0.7


def test_a_family_fallback_is_marked_as_such():
    """A mean of a family says so, is derived, and names over how many; a species' own value never comes from it."""
    marked = [(a, n) for a in ANIMALS.values() for n in TEMPERATURES
              if getattr(a, n) is not None and "family fallback" in getattr(a, n).note]  # fmt: skip
    assert len(marked) >= 10
    for animal, name in marked:
        value = getattr(animal, name)
        assert value.basis == "derived"
        family = LIBRARY.families[str(animal.family.value).lower()]
        assert str(family.name.value) in value.source
        assert value.value == pytest.approx(getattr(family, name).value)


def test_how_much_is_known_is_told_honestly():
    """Issue: 60 % of animal temperatures and UV values published, measured or derived. Not reached by species alone.

    The figure is printed; each of the others stands in docs/sources.md with what would settle it (another test).
    """
    animals = Counter(
        getattr(animal, name).basis
        for animal in ANIMALS.values()
        for name in TEMPERATURES + UV
        if getattr(animal, name) is not None
    )
    families = Counter(
        value.basis
        for family in LIBRARY.families.values()
        for name in ("field_body", "field_body_range", "critical_high", "critical_low")
        if (value := getattr(family, name)) is not None
    )
    share = sum(animals[basis] for basis in KNOWN) / animals.total()
    both = animals + families
    wide = sum(both[basis] for basis in KNOWN) / both.total()
    print(f"of {animals.total()} values of species {share:.0%} are settled, with the families' {wide:.0%}")
    assert share >= 0.33
    assert set(animals) <= {*KNOWN, "common practice", "from memory"}


def test_law_and_practice_stand_beside_each_other():
    """A legal floor is never alone: for bearded dragons the law of one place asks for less than practice does."""
    dragons = [r for r in LIBRARY.space_rules.values() if "Pogona" in str(r.applies_to.value)]
    kinds = {str(rule.kind.value) for rule in dragons}
    assert kinds == {"law", "report", "practice"}
    smallest = min(r.floor_area.value for r in dragons if r.floor_area is not None)
    practice = next(r for r in dragons if r.kind.value == "practice")
    assert smallest < practice.length.value * practice.width.value
    assert all(rule.year is not None for rule in LIBRARY.space_rules.values()
               if rule.kind.value == "law" and "Switzerland" not in str(rule.place.value))  # fmt: skip
