"""Tubes in the air they burn in: told, and counted in floors and ceilings."""

import pytest

from oracles.story_parts import room
from sunfleck.library.loader import load_library
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check, check_light, climate
from sunfleck.studies.climate.lamps_in_air import light_in_air

BOX = """format: 1
name: plain
{site}enclosure:
  inside: {{width: 60 cm, depth: 45 cm, height: 60 cm}}
  walls: {{default: {{material: plywood-birch, thickness: 18 mm, finish: plywood-sealed}}}}
animals: [{{species: Pogona vitticeps, name: dragon}}]
{rest}"""


def test_tubes_give_less_in_cold_air():
    """From memory (reference to T5 of high output): a quarter less at 15 degC than at 35; UV verdicts count it.

    S176 (a lighting research centre's page): some 10 % from 25 to 35 degC, and less in a study it names.
    """
    lamp = load_library().lamps["uv-t5-24w-reflector"]
    best, lost = lamp.best_air.value, lamp.lost_off_best_air.value
    assert light_in_air(best, lost, 288.15) == pytest.approx(0.75)
    assert light_in_air(best, lost, 308.15) == 1.0
    assert 0.9 <= light_in_air(best, lost, 298.15) <= 1.0
    tube = "fixtures:\n  - {name: tube, lamp: uv-t5-24w-reflector, hours: ['08:00', '20:00'], from: [2.5 cm, 22 cm, 80 cm], to: [57.5 cm, 22 cm, 80 cm]}\n"
    vent = (
        "  vents: [{name: lid, face: top, at: [1 cm, 1 cm], size: [58 cm, 43 cm], mesh: aluminium-18x16}]\n"
    )
    text = BOX.format(rest=tube, site=room(10, 26)).replace("animals:", vent + "animals:")
    cold = read_plan_text(text)
    told = [words for words in climate(cold).words if "tube burns in air" in words]
    assert len(told) == 1
    assert "10 degC in winter" in told[0]
    assert "less light" in told[0]
    # Floors take the cold season, ceilings the warm one; without heat and air both are as rated.
    counted, rated = check(cold), check_light(cold)
    shares = [
        next(v for v in report.verdicts if v.question == question).number("expected").value
        for report in (counted, rated)
        for question in ("UV index at the basking place", "strongest UV index within reach")
    ]
    in_air = climate(cold).in_air
    assert shares[0] / shares[2] == pytest.approx(in_air.least["tube"].value)
    assert shares[1] / shares[3] == pytest.approx(in_air.most["tube"].value)
    assert in_air.least["tube"].value < 0.75 / 0.93 < in_air.most["tube"].value
    # A tube that was read counts from the air it was read in, if that was written down.
    read = text.replace(
        "hours:", "evidence: [{distance: 30 cm, uvi: 3, with: own meter, air: 10 degC}], hours:"
    )
    assert climate(read_plan_text(read)).in_air.least["tube"].value == pytest.approx(1.0, abs=0.01)
    assert not climate(read_plan_text(read.replace(", air: 10 degC", ""))).in_air.least
