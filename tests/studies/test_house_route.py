"""The box through the house, from the plan's words to the verdict and the command."""

import json

import pytest
from click.testing import CliRunner

from sunfleck.document.problem import PlanError
from sunfleck.faces.cli import main
from sunfleck.plan.read import read_plan_text
from sunfleck.studies.house_route import house_route
from sunfleck.studies.questions.house_route import advice, sentence

# Story 1 of the trade: 160 x 80 x 180 cm outside, a house door of 76 cm.
PLAN = """format: 1
name: school hall
site:
  route:
    {route}
enclosure:
  inside: {{width: 156.4 cm, depth: 77.6 cm, height: 176.4 cm}}
  walls:
    default: {{material: plywood-birch, thickness: 18 mm}}
    front: {{material: glass-float, thickness: 6 mm}}
animals:
  - {{species: Physignathus cocincinus, count: 2, snout_vent: 22 cm}}
"""
DOOR = "- {door: [76 cm, 200 cm], name: front door}"


def found_for(*stages):
    source = read_plan_text(PLAN.format(route="\n    ".join(stages)))
    return house_route(source.plan, source.library)


def test_the_deep_body_does_not_pass_and_what_would():
    """80 cm outside, not the 77.6 inside, meets the door of 76: cannot; 74 cm deep, or panels; weight said with its basis."""
    found = found_for(DOOR)
    assert found.outside == pytest.approx((1.6, 0.8, 1.8))
    assert found.state == "short"
    assert "front door" in sentence(found, "metric")
    assert "80 cm" in sentence(found, "metric")
    assert found.smaller == pytest.approx((0.74, 0.74, 0.74), abs=2e-4)
    assert found.in_panels
    assert "depth at most 74 cm" in advice(found, "metric")
    assert "panels" in advice(found, "metric")
    # Two sides, top, bottom and back of birch ply (685 kg/m3), a front of float glass (2500 kg/m3).
    ply = 0.018 * (2 * 0.8 * 1.8 + 2 * 1.6 * 0.8 + 1.6 * 1.8) * 685
    assert found.mass == pytest.approx(ply + 0.006 * 1.6 * 1.8 * 2500)
    assert found.carriers == 6
    assert "from memory" in found.mass_basis


def test_what_is_advised_touches_what_stops_it():
    """A corridor stops it: no door is taken off. A door does: in the plan's units. Where nothing helps, no more is claimed."""
    corridor = advice(found_for("- {corridor: [60 cm, 200 cm]}"), "metric")
    assert "hinges" not in corridor
    assert "smaller" in corridor
    assert "1 1/4 to 1 1/2 in more" in advice(found_for(DOOR), "us")
    narrow = advice(found_for("- {corridor: [1.5 cm, 4 cm]}"), "metric")
    assert narrow.startswith("measure these places again")


def test_a_route_that_is_passed():
    """A wide door, a corner, a lift and a ceiling to stand up under."""
    found = found_for(
        "- {door: [90 cm, 205 cm]}",
        "- {corner: [2 m, 2 m], height: 250 cm}",
        "- {lift: [140 cm, 200 cm, 215 cm], door: [90 cm, 205 cm]}",
        "- {ceiling: 240 cm}",
    )
    assert (found.state, found.exit_code, found.panels) == ("meets", 0, ())
    assert min(stage.spare for stage in found.box.stages) >= 0.01


def test_no_route_is_no_verdict():
    """Nothing is said of a house that the plan does not describe."""
    source = read_plan_text(PLAN.format(route="[]").replace("  route:\n    []\n", "  latitude: 50\n"))
    assert house_route(source.plan, source.library) is None


@pytest.mark.parametrize(
    ("stage", "needed"),
    [
        ("- {name: hall}", "one of door"),
        ("- {door: [76 cm, 200 cm], ceiling: 240 cm}", "one of door"),
        ("- {lift: [110 cm, 140 cm, 210 cm]}", "a lift with its door"),
        ("- {stairs: [90 cm, 90 cm]}", "headroom"),
        ("- {door: [76 cm, 200 cm], height: 210 cm}", "no `height`"),
    ],
)
def test_stages_that_cannot_be_are_located(stage, needed):
    """Line, rule and what is needed."""
    with pytest.raises(PlanError) as refused:
        found_for(DOOR, stage)
    (problem,) = refused.value.problems
    assert problem.rule == "route.stage"
    assert problem.line == 6
    assert needed in problem.needed


def test_the_command(tmp_path):
    """Text in the plan's units with what was not looked at; JSON in metres; a plan without a route is refused in words."""
    file = tmp_path / "plan.yaml"
    file.write_text(PLAN.format(route=DOOR))
    told = CliRunner().invoke(main, ["route", str(file)])
    assert told.exit_code == 1
    for words in (
        "front door: cannot go",
        "IN PANELS",
        "6 people at 25 kg each",
        "NOT CHECKED",
        "CAUTION",
        "inside 156.4 cm",
    ):
        assert words in " ".join(told.output.split())
    plain = json.loads(CliRunner().invoke(main, ["route", str(file), "--json"]).output)
    assert plain["goes_if_at_most_m"]["depth"] == pytest.approx(0.74, abs=2e-4)
    file.write_text(PLAN.format(route=DOOR).replace("name: school hall", "name: school hall\nshow_units: us"))
    assert "31.5 in" in CliRunner().invoke(main, ["route", str(file)]).output
    file.write_text(PLAN.format(route="").replace("  route:\n    \n", "  latitude: 50\n"))
    refused = CliRunner().invoke(main, ["route", str(file)])
    assert refused.exit_code == 2
    assert "route:" in refused.output


def test_the_verdict_stands_in_check(arid):
    """Asked with all others; a plan without a route says what it lacks."""
    from sunfleck.brief.build import make_brief
    from sunfleck.studies.check import QUESTIONS
    from sunfleck.studies.questions import house_route as question

    assert question in QUESTIONS
    assert question.ask(make_brief(arid)) is None
    source = read_plan_text(PLAN.format(route=DOOR))
    verdict = question.ask(make_brief(source))
    assert verdict.id == "house-route:box"
    assert all(number.trace().closes() for number in verdict.numbers)
