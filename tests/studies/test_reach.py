"""Where an animal can get to: every case here once read as safer than it is."""

from unittest import mock

import numpy as np
import pytest

from oracles.plans import tall_guarded
from sunfleck.brief.build import make_brief
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check_light
from sunfleck.studies import reach
from sunfleck.studies.reach import reach_of
from sunfleck.studies.receivers import strips_for

BASILISK = """
format: 1
name: hall
enclosure:
  inside: {{width: {w} cm, depth: {d} cm, height: {h} cm}}
  walls: {{default: {{material: plywood-birch, thickness: 15 mm{finish}}}}}
animals: [{{species: Basiliscus plumifrons, name: basilisk, snout_vent: 20 cm}}]
fixtures:
  - {{name: tube, lamp: uv-t5-54w-strong-reflector, from: [2 cm, 35 cm, {z} cm], to: [117 cm, 35 cm, {z} cm]}}
{more}
"""
SMOOTH = ", finish: white-pvc-board"


def hall(z=190, finish=SMOOTH, more="", w=120, d=70, h=200):
    return read_plan_text(BASILISK.format(z=z, finish=finish, more=more, w=w, d=d, h=h))


def verdicts(source):
    return {verdict.id.split(":")[0]: verdict for verdict in check_light(source).verdicts}


def test_out_of_reach_is_out_of_reach():
    """Smooth walls, nothing to climb: a tube at 190 cm stays away and its UV does not matter."""
    found = verdicts(hall())
    assert found["uv-ceiling"].state == "meets"
    assert found["lamp-guard"].number("gap_0").value > 1.0


def test_a_plant_is_climbed():
    """A fig that ends 15 cm below the tube brings a climber to it."""
    fig = (
        "plants:\n  - {name: fig, crown: {middle: [60 cm, 35 cm, 115 cm], radius: 30 cm, height: 120 cm},"
        " leaf_area: 0.05 m2, leaf: {length: 8 cm, width: 4 cm}}"
    )
    found = verdicts(hall(more=fig))
    assert found["uv-ceiling"].state == "over"
    assert found["lamp-guard"].state == "short"


def test_a_wall_of_unknown_finish_is_climbed():
    """Nobody said the wall is smooth; not checked names it."""
    report = check_light(hall(finish=""))
    states = {verdict.id.split(":")[0]: verdict.state for verdict in report.verdicts}
    assert states["uv-ceiling"] == "over"
    assert any("finish of these walls" in line for line in report.not_checked)


def test_one_lamp_leads_to_the_next():
    """It leaps to a heater, from there to a second, from there to the tube: the tube is in reach."""
    more = "".join(
        f"  - {{name: heater {k}, lamp: ceramic-heater-100w, at: [60 cm, 35 cm, {z} cm], aim: [60 cm, 35 cm, 0 cm]}}\n"
        for k, z in enumerate((65, 125))
    )
    found = verdicts(hall(z=185, more=more))
    assert found["lamp-guard"].number("gap_0").value == 0.0
    assert "tube" in found["lamp-guard"].sentence


@pytest.mark.parametrize(("w", "d", "h", "z"), [(300, 200, 220, 100), (120, 70, 120, 100), (150, 70, 90, 85)])
def test_the_ceiling_does_not_depend_on_the_grid(w, d, h, z):
    """Twenty times as many grid points move the largest UV within reach by less than 2 %."""
    source = hall(z=z, w=w, d=d, h=h)
    coarse = check_light(source).numbers()["reach:basilisk:uvi.expected"].value
    with mock.patch.object(reach, "MOST_POINTS", 80_000):
        fine = check_light(source).numbers()["reach:basilisk:uvi.expected"].value
    assert coarse == pytest.approx(fine, rel=0.02)


def test_every_reach_point_is_within_reach_of_a_foothold(tall):
    """Stretch and leap from some foothold, inside the box, in nothing solid."""
    brief = make_brief(tall)
    animal = brief.animals[0]
    found = reach_of(brief, animal)
    around = brief.surroundings
    assert around.inside.contains(found.points).all()
    assert not around.solid_at(found.points).any()


DRAGON = """
format: 1
name: box
enclosure:
  inside: {width: 150 cm, depth: 60 cm, height: 60 cm}
  walls: {default: {material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}}
substrate: {depth: 10 cm, finish: sand-dry}
animals: [{species: Pogona vitticeps, name: dragon, snout_vent: 21 cm}]
fixtures:
  - {name: tube, lamp: uv-t5-54w-reflector, from: [18 cm, 30 cm, 58 cm], to: [133 cm, 30 cm, 58 cm]}
"""


def test_a_hide_sunk_into_the_ground_is_entered_at_the_ground():
    """Its floor is the ground's level; it serves as a retreat and nothing breaks."""
    hide = "hides: [{name: cave, at: [60 cm, 20 cm, 0 cm], size: [32 cm, 28 cm, 26 cm], opening: left}]"
    source = read_plan_text(DRAGON + hide)
    brief = make_brief(source)
    cave = next(strip for strip in strips_for(brief, brief.animals[0]) if strip.name == "cave")
    assert cave.valid.all()
    assert cave.points[:, 2] == pytest.approx(0.10 + brief.animals[0].back_height)
    found = verdicts(source)["uv-retreat"]
    assert found.place == "in cave"
    assert (
        0
        <= found.number("expected").value
        < verdicts(read_plan_text(DRAGON))["uv-retreat"].number("expected").value
    )


def test_a_hide_too_small_for_the_animal_is_no_retreat():
    """3 cm of shelter do not hide 21 cm of dragon: the verdict is that of the plan without it."""
    hide = "hides: [{name: thimble, at: [60 cm, 20 cm, 10 cm], size: [3 cm, 3 cm, 3 cm], opening: left}]"
    without, with_it = verdicts(read_plan_text(DRAGON)), verdicts(read_plan_text(DRAGON + hide))
    assert with_it["uv-retreat"].state == without["uv-retreat"].state == "short"
    assert "thimble" not in with_it["uv-retreat"].place


def test_floors_are_judged_when_a_basking_lamp_is_lit():
    """Basking lamp in the morning, plant light longer: the warm patch is there in the morning."""
    text = tall_guarded()
    text = text.replace('hours: ["08:30", "17:30"]', 'hours: ["08:00", "12:00"]')
    text = text.replace('hours: ["07:30", "20:30"]', 'hours: ["12:00", "20:30"]')
    report = check_light(read_plan_text(text))
    assert report.lit.startswith("08:00-12:00")
    assert {v.id: v.state for v in report.verdicts}["heat-patch:the-basilisk"] == "meets"


def test_ceilings_are_judged_at_full_level():
    """A dimmed lamp reads the same within reach as an undimmed one, and less where it is lit as planned."""
    text = tall_guarded()
    dimmed = text.replace(
        "lamp: halogen-reflector-75w-38deg", "lamp: halogen-reflector-75w-38deg\n    level: 10 %"
    )
    full, low = check_light(read_plan_text(text)).numbers(), check_light(read_plan_text(dimmed)).numbers()
    reach_id, perch_id = (
        "reach:the-basilisk:radiant.expected",
        "perch:the-basilisk:main-limb:radiant.expected",
    )
    assert low[reach_id].value == pytest.approx(full[reach_id].value, rel=1e-12)
    assert low[perch_id].value < full[perch_id].value


def test_long_wave_heat_does_not_pass_glass():
    """A ceramic heater over a glass lid warms nothing below it by radiation; a halogen does."""
    box = DRAGON.split("fixtures:", maxsplit=1)[0].replace(
        "finish: plywood-sealed}", "finish: plywood-sealed}, top: {material: glass-float, thickness: 5 mm}"
    )
    lamp = "fixtures:\n  - {{name: lamp, lamp: {}, at: [60 cm, 30 cm, 70 cm], aim: [60 cm, 30 cm, 0 cm]}}\n"
    dark = check_light(read_plan_text(box + lamp.format("ceramic-heater-100w"))).numbers()
    light = check_light(read_plan_text(box + lamp.format("halogen-reflector-75w-38deg"))).numbers()
    assert dark["reach:dragon:radiant.high"].value == 0.0
    assert light["reach:dragon:radiant.expected"].value > 50


def test_readings_that_disagree_are_known_no_better_than_they_agree():
    """4.6 at 30 cm and 0.4 at 45 cm cannot both be right: the range says so."""
    reading = ", evidence: [{{distance: 30 cm, uvi: 4.6, with: m}}, {{distance: 45 cm, uvi: {}, with: m}}]}}"

    def plan(second):
        return check_light(read_plan_text(DRAGON.rstrip()[:-1] + reading.format(second) + "\n"))

    right, slip = plan(2.8), plan(0.4)
    assert any("what the other reading says" in line for line in slip.open_points)
    assert not any("reading says" in line for line in right.open_points)
    agree, disagree = right.numbers(), slip.numbers()

    def width(numbers):
        return np.log(numbers["reach:dragon:uvi.high"].value / numbers["reach:dragon:uvi.low"].value)

    assert width(disagree) > 3 * width(agree)


def test_the_order_of_lamps_does_not_change_a_spread():
    """Two readings under one lamp, one under the other, the same meter: each keeps its own spread."""
    tube = "  - {{name: {n}, lamp: uv-t5-54w-reflector, from: [18 cm, {y} cm, 58 cm], to: [133 cm, {y} cm, 58 cm], evidence: [{e}]}}\n"
    one = "{distance: 30 cm, uvi: 2.5, with: m}"
    two = one + ", {distance: 30 cm, uvi: 2.5, with: m}"
    box = DRAGON.split("fixtures:", maxsplit=1)[0] + "fixtures:\n"
    a, b = tube.format(n="a", y=20, e=two), tube.format(n="b", y=40, e=one)
    first, second = (make_brief(read_plan_text(box + text)) for text in (a + b, b + a))

    def spreads(brief):
        return sorted((factor.id.split(":")[0], factor.spread_low) for factor in brief.matrix.factors)

    assert spreads(first) == spreads(second)
