"""Ten boxes of practice, their light and their heat: what the program says beside what keepers say. Common practice, no source."""

import pytest

from oracles.stories import STORIES
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check_light, climate


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.name)
def test_the_story_can_be_written_and_is_answered_in_its_sense(story):
    """Every claim agrees, or differs for a reason that is written down, or is not judged yet; all are printed."""
    report = check_light(read_plan_text(story.plan))
    print(f"\n{story.name}")
    unexplained = []
    for claim in story.claims:
        if claim.holds is None:
            print(f"  not judged yet: {claim.words}")
            continue
        agrees = claim.holds(report)
        told = "agrees" if agrees else f"DIFFERS ({claim.known_to_differ or 'no reason known'})"
        print(f"  {told}: {claim.words}")
        if not agrees and not claim.known_to_differ:
            unexplained.append(claim.words)
    assert not unexplained


@pytest.mark.parametrize("story", [s for s in STORIES if s.heat], ids=lambda story: story.name)
def test_the_heat_of_the_story(story):
    """The same of heat and air, with what the program says; nothing in the program is tuned to it."""
    report = climate(read_plan_text(story.plan))
    print(f"\n{story.name}")
    unexplained = []
    for claim in story.heat:
        agrees = claim.holds(report)
        told = "agrees" if agrees else f"DIFFERS ({claim.known_to_differ or 'no reason known'})"
        print(f"  {told}: {claim.words}; here {claim.tells(report)}")
        if not agrees and not claim.known_to_differ:
            unexplained.append(claim.words)
    assert not unexplained


def test_all_ten_are_told():
    """Ten stories; every one has something that the program can judge and something that it cannot yet."""
    assert len(STORIES) == 10
    for story in STORIES:
        assert any(claim.holds is not None for claim in story.claims)
        assert story.heat or any(claim.holds is None for claim in story.claims)


WOODEN_BOX = """format: 1
name: wooden box
site: {{room: {{winter: 21 degC}}}}
enclosure:
  inside: {{width: 48 in, depth: 28 in, height: 48 in}}
  walls:
    default: {{material: plywood-birch, thickness: 18 mm, finish: plywood-sealed}}
    front: {{material: glass-float, thickness: 6 mm}}
  doors:
    - {{name: left pane, face: front, kind: sliding, at: [0 cm, 10 cm], size: [60 cm, 105 cm]}}
    - {{name: right pane, face: front, kind: sliding, at: [60 cm, 10 cm], size: [61 cm, 105 cm]}}
  vents:
    - {{name: low, face: left, at: [10 cm, 10 cm], size: [30 cm, 5 cm], mesh: aluminium-18x16}}
    - {{name: high, face: right, at: [10 cm, 110 cm], size: [30 cm, 5 cm], mesh: aluminium-18x16}}
animals: [{{species: Physignathus cocincinus, name: dragon}}]
fixtures:
  - {{name: spot, lamp: halogen-reflector-{watts}w-38deg, hours: ["08:00", "20:00"], at: [60 cm, 36 cm, 115 cm], aim: [60 cm, 36 cm, 20 cm]}}
perches: [{{name: limb, path: [[0 cm, 36 cm, {height} cm], [121 cm, 36 cm, {height} cm]], diameter: [6 cm], wood: oak}}]
"""


def test_fifty_and_seventy_five_watts_in_a_wooden_box():
    """Common practice, no source: in a wooden box of 48 x 28 x 48 in 75 W are too much and 50 W right for a forest basker.

    Beam and distance were not recorded, so it can neither confirm nor refute: what the program says for a beam of 38
    degrees at three distances is printed, and only its order is held. Nothing is tuned to it.
    """
    found = {}
    print("\nbeam 38 degrees; surface at the spot, air at the warm end, body if it stays [degC]")
    for watts in (50, 75):
        for distance in (30, 45, 60):
            report = climate(read_plan_text(WOODEN_BOX.format(watts=watts, height=115 - distance - 3)))
            spot, air, body = (
                next(v for v in report.verdicts if v.id.startswith(f"{q}:")).number("winter_expected").value
                - 273.15
                for q in ("basking-spot", "warm-end", "basking-body")
            )
            found[watts, distance] = spot
            states = {v.id.split(":")[0]: v.state for v in report.verdicts}
            print(
                f"  {watts} W at {distance} cm: {spot:.0f} ({states['basking-spot']}), {air:.0f}, {body:.0f}"
            )
    assert all(found[75, d] > found[50, d] for d in (30, 45, 60))
    assert all(found[w, 30] > found[w, 45] > found[w, 60] for w in (50, 75))
