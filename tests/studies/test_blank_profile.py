"""An animal the library does not know: a blank profile, not known, and no neighbour stands in for it."""

import pytest

from sunfleck.document.problem import PlanError
from sunfleck.outputs.words import report_text
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check_light

BOX = """\
format: 1
name: Shelf for a large snake
enclosure:
  inside: {width: 240 cm, depth: 90 cm, height: 120 cm}
  walls: {default: {material: plywood-birch, thickness: 18 mm, finish: plywood-sealed}}
animals: [{species: Boa imperator, ANIMAL}]
fixtures:
  - {name: heater, lamp: ceramic-heater-100w, at: [60 cm, 45 cm, 110 cm], aim: [60 cm, 45 cm, 0 cm]}
  - {name: tube, lamp: uv-t5-54w-reflector, from: [60 cm, 20 cm, 112 cm], to: [175 cm, 20 cm, 112 cm]}
ledges: [{name: shelf, at: [10 cm, 40 cm, 50 cm], size: [200 cm, 40 cm, 3 cm], finish: plywood-sealed}]
"""


def plan(animal):
    return read_plan_text(BOX.replace("ANIMAL", animal))


BLANK = "profile: blank, snout_vent: 210 cm, family: Boidae"


def test_an_unknown_species_is_refused_unless_it_is_said_to_be_unknown():
    """A slip of the pen is told with its neighbour; `profile: blank` beside it is offered."""
    with pytest.raises(PlanError) as caught:
        plan("snout_vent: 210 cm")
    (problem,) = caught.value.problems
    assert problem.rule == "library.unknown-id"
    assert "profile: blank" in problem.needed


def test_a_blank_profile_needs_a_size_and_a_family_that_is_known():
    """Nothing is known of it, not even its size; a family is one of the library's or none."""
    for animal, rule in (
        ("profile: blank", "animal.size-needed"),
        (BLANK.replace("Boidae", "Boida"), "library.unknown-id"),
    ):
        with pytest.raises(PlanError) as caught:
            plan(animal)
        assert [problem.rule for problem in caught.value.problems] == [rule]


def test_what_it_needs_is_not_known_and_nothing_stands_in():
    """Story of common practice: 'unknown animal', family values marked as such, no silent neighbour."""
    report = check_light(plan(BLANK))
    verdicts = {verdict.id.split(":")[0]: verdict for verdict in report.verdicts}
    assert verdicts["profile"].state == "unknown"
    assert "not in the library" in verdicts["profile"].sentence
    assert "of its family, Boidae" in verdicts["profile"].sentence
    assert not {"uv-floor", "uv-ceiling", "uv-retreat", "heat-patch"} & set(verdicts)
    assert any("too strong somewhere within reach" in line for line in report.open_points)
    # The most careful body: it reaches the lamps, and they have no guard.
    assert verdicts["lamp-guard"].state == "short"
    page = report_text(report, "metric")
    assert "[?] unknown  what is known of it" in page
    for species in ("Python regius", "Morelia", "Pantherophis"):
        assert species not in page


def test_the_keepers_own_targets_are_judged():
    """Accepted values make a verdict; the species stays unknown."""
    own = BLANK + ', accepted: {by: A. Keeper, date: "2026-11-20", uv_ceiling: 1.0}'
    report = check_light(plan(own))
    states = {verdict.id.split(":")[0]: verdict.state for verdict in report.verdicts}
    assert states["uv-ceiling"] == "over"
    assert states["profile"] == "unknown"
