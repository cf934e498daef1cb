"""Lamps that radiate without light: long-wave heat, warmth from below, and what a plan with them leaves open."""

import dataclasses

import numpy as np
import pytest

import sunfleck
from sunfleck.brief.build import make_brief
from sunfleck.plan.read import read_plan_text
from sunfleck.studies.channels import light_of
from sunfleck.studies.day import fullest
from sunfleck.studies.footholds import envelope
from sunfleck.studies.interreflection import interior_of
from sunfleck.studies.left_open import open_points
from sunfleck.studies.reach import reach_of
from sunfleck.studies.setting import setting_for

BOX = """
format: 1
name: warm box
enclosure:
  inside: {{width: 120 cm, depth: 60 cm, height: 60 cm}}
  walls:
    default: {{material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}}
    top: {{material: glass-float, thickness: 6 mm}}
animals: [{{species: Correlophus ciliatus, name: gecko}}]
fixtures:
{lamps}
"""
PANEL = "  - {name: warm panel, lamp: radiant-panel-80w, at: [60 cm, 30 cm, %s], aim: [60 cm, 30 cm, 0 cm]}\n"
LIGHT = "  - {name: light, lamp: led-panel-45w, at: [60 cm, 30 cm, %s], aim: [60 cm, 30 cm, 0 cm]}\n"
MAT = "  - {name: mat, lamp: heat-mat-15w, at: [20 cm, 30 cm, 5 mm], aim: [20 cm, 30 cm, 50 cm]}\n"
TUBE = '  - {name: tube, lamp: uv-t5-54w-reflector, from: [2 cm, 30 cm, 55 cm], to: [117 cm, 30 cm, 55 cm], hours: ["08:00", "20:00"]}\n'
FLOOD = "  - {name: flood, lamp: mercury-vapour-100w-flood, at: [60 cm, 30 cm, 57 cm], aim: [60 cm, 30 cm, 0 cm]}\n"


def plan(*lamps):
    return read_plan_text(BOX.format(lamps="".join(lamps)))


@pytest.mark.parametrize(
    ("lamp", "kind", "heats"), [(PANEL, "long_wave", True), (LIGHT, "radiant", False)], ids=["panel", "light"]
)
def test_a_flat_lamp_is_dark_by_its_data(lamp, kind, heats):
    """The same shape, with and without light: the panes see long-wave heat, or radiation with light in it."""
    (fixture,) = make_brief(plan(lamp % "58 cm")).fixtures
    assert light_of(fixture, "radiant") == kind
    assert light_of(fixture, "lux") == "lux"
    assert fixture.heats is heats


def test_a_lamp_given_no_light_turns_dark():
    """Not the name of the shape decides but the light: a flood without any is a dark heater."""
    (fixture,) = make_brief(plan(FLOOD)).fixtures
    assert light_of(fixture, "radiant") == "radiant"
    none = dataclasses.replace(fixture.lamp.luminous_flux, value=0.0)
    lamp = dataclasses.replace(fixture.lamp, luminous_flux=none)
    assert light_of(dataclasses.replace(fixture, lamp=lamp), "radiant") == "long_wave"


def test_dark_heat_does_not_come_through_glass():
    """Above the glass a warm panel warms nothing inside, while a light of the same shape gives most of its light."""

    def radiant(lamp, name):
        inside, above = (
            sunfleck.light_at(plan(lamp % z), [[0.6, 0.3, 0.05]], reflections=False).radiant.by_fixture[name][
                0
            ]
            for z in ("58 cm", "62 cm")
        )
        return above / inside

    assert radiant(PANEL, "warm panel") < 0.05
    assert radiant(LIGHT, "light") > 0.7


def test_a_mat_below_does_not_hide_the_basking_place():
    """A mat gives a back nothing from above; the place is then where most light is, as without the mat."""

    def place(*lamps):
        brief = make_brief(plan(*lamps))
        found = setting_for(brief, brief.animals[0], fullest(brief), interior_of(brief)).basking_place()
        assert found is not None
        return found

    with_mat, without = place(MAT, TUBE), place(TUBE)
    assert with_mat.strip == without.strip
    assert np.array_equal(with_mat.points, without.points)


def test_what_heaters_leave_open():
    """A thermostat is missed where one may drive the lamp, else a cut-out; a tether where something can fall."""
    points = open_points(make_brief(plan(MAT, PANEL % "59 cm")))
    assert "a thermostat with cut-out: none is stated for mat, warm panel" in points
    assert "a tether that holds the lamp when its holder fails: none is stated for warm panel" in points
    points = open_points(make_brief(plan(FLOOD)))
    assert any(
        p.startswith("a cut-out of its own for flood: no thermostat may drive such lamps") for p in points
    )
    assert not any(p.startswith("a thermostat with cut-out") for p in points)
    assert any("1.5 % (flood) of it is lost" in p for p in points)


def test_a_dark_heater_does_not_take_the_night_away():
    """Warmth all night is no light all night."""
    night = "dark hours: some lamp is lit all day and night"
    assert night not in open_points(make_brief(plan(TUBE, PANEL % "58 cm")))
    assert night in open_points(make_brief(plan(LIGHT % "58 cm")))


def test_a_flat_lamp_takes_little_room():
    """A mat on the floor is 3 cm deep for the animal too: places 2 cm above it are within reach; those in it are not.

    The distance from it is that of a flat cylinder with a round rim: by hand above, below, beside and off the rim.
    """
    brief = make_brief(plan(MAT, TUBE))
    mat = envelope(brief.fixtures[0])
    face, radius = np.array([0.2, 0.3, 0.005]), 0.158
    points = face + np.array(
        [[0, 0, 0.02], [0.1, 0, 0.02], [0, 0, -0.04], [radius + 0.05, 0, -0.015], [0, 0, -0.01]]
    )
    assert mat.distance(points) == pytest.approx([0.02, 0.02, 0.01, 0.05, -0.01], abs=1e-9)
    corner = face + np.array([[radius - 0.015 + 0.03, 0, -0.015 + 0.04]])
    assert mat.distance(corner) == pytest.approx(0.05 - 0.015)
    assert mat.distance(mat.around(0.01)) == pytest.approx(0.01, abs=1e-9)
    reach = reach_of(brief, brief.animals[0])
    over = np.linalg.norm(reach.points[:, :2] - face[:2], axis=1) < 0.12
    assert reach.points[over, 2].min() < 0.03
    assert (mat.distance(reach.points) > 0).all()
    assert reach.lamp_gap["mat"] == 0
