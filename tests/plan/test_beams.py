"""A lamp whose beam comes from a photometric file: light by closed form, and refusals in words."""

import numpy as np
import pytest

import sunfleck
from sunfleck.document.problem import PlanError
from sunfleck.physics.beams_of_files import even_beam
from sunfleck.physics.photometry import Photometry
from sunfleck.plan.read import read_plan
from sunfleck.service.cases import check_light

PLAN = """\
format: 1
name: A panel
enclosure:
  inside: {width: 150 cm, depth: 60 cm, height: 120 cm}
  walls: {default: {material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}}
animals: [{species: Pogona vitticeps, name: dragon}]
fixtures:
  - {name: spot, lamp: halogen-reflector-75w-38deg, at: [75 cm, 30 cm, 110 cm], aim: [75 cm, 30 cm, 0 cm]FILE}
"""
ANGLES = np.linspace(0, 90, 91)


def ies(planes, lumens=-1.0):
    """An absolute file with some planes of intensities over `ANGLES`, written by hand."""
    turns = np.linspace(0, 90, len(planes)) if len(planes) > 1 else [0]
    rows = [" ".join(f"{value:.2f}" for value in plane) for plane in planes]
    return (
        f"IESNA:LM-63-2002\n[TEST] a test\nTILT=NONE\n1 {lumens:g} 1 {len(ANGLES)} {len(planes)} 1 2 -0.05 0 0\n1 1 75\n"
        f"{' '.join(f'{a:g}' for a in ANGLES)}\n{' '.join(f'{t:g}' for t in turns)}\n"
        + "\n".join(rows)
        + "\n"
    )


def bell(power, peak=1000.0):
    return peak * np.cos(np.radians(ANGLES)) ** power


def write(folder, file="", text=None, name="spot.ies"):
    (folder / "plan.yaml").write_text(PLAN.replace("FILE", file), encoding="utf-8")
    if text is not None:
        (folder / name).write_text(text, encoding="latin-1")
    return folder


def test_light_of_a_file_is_candelas_over_distance_squared(tmp_path):
    """Closed form: 1,000 cd on the axis a metre away is 1,000 lux within the size of the opening; off it by cos^n."""
    plan = read_plan(write(tmp_path, ", photometry: spot.ies", ies([bell(20)])))
    points = np.array([[0.75, 0.30, 0.10], [0.95, 0.30, 0.10]])
    light = sunfleck.light_at(plan, points, reflections=False).lux.by_fixture["spot"]
    assert light[0] == pytest.approx(1000.0, rel=0.015)
    slant = np.arctan2(0.2, 1.0)
    square = 1.0 + 0.2**2
    assert light[1] == pytest.approx(1000.0 * np.cos(slant) ** 20 * np.cos(slant) / square, rel=0.02)


def test_plant_light_follows_and_explain_reaches_the_file(tmp_path):
    """Twice the candelas are twice the brightness and twice the plant light; the chain names the file."""
    folder = write(tmp_path, ", photometry: spot.ies", ies([bell(20)]))
    one = check_light(read_plan(folder)).numbers()
    write(tmp_path, ", photometry: spot.ies", ies([bell(20, 2000.0)]))
    two = check_light(read_plan(folder)).numbers()
    for channel in ("lux", "ppfd"):
        id_ = f"ground:dragon:ground:{channel}.expected"
        assert two[id_].value == pytest.approx(2 * one[id_].value, rel=1e-3)
    step = two["ground:dragon:ground:lux.expected"].trace()
    assert step.closes()
    assert "spot.ies" in str(step.to_dict())


def test_how_lopsided_a_beam_is():
    """Closed forms: 0 for one that is even, 1/2 for a half that is lit and a half that is dark."""
    vertical, around = np.linspace(0, np.pi / 2, 19), np.linspace(0, 2 * np.pi, 361)
    even = Photometry(vertical, around, np.outer(np.ones(361), np.cos(vertical)))
    assert even_beam(even)[1] == pytest.approx(0.0, abs=1e-12)
    half = Photometry(vertical, around, np.outer(np.sin(around) > 0, np.cos(vertical)))
    assert even_beam(half)[1] == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize(
    ("file", "text", "words"),
    [
        ("none.ies", None, "there is no file none.ies"),
        ("spot.pdf", "x", "ends in none of .ies, .ldt"),
        ("spot.ies", "IESNA:LM-63-2002\nTILT=NONE\n1 2 3\n", "spot.ies"),
        ("spot.ies", ies([bell(20), 0.02 * bell(20)]), "elsewhere than in a beam that is even"),
        ("../spot.ies", None, "outside the plan's folder"),
    ],
)
def test_files_that_cannot_be_used_are_refused(tmp_path, file, text, words):
    """With the rule, the line and what is wrong."""
    folder = tmp_path / "plan"
    folder.mkdir()
    with pytest.raises(PlanError) as caught:
        read_plan(write(folder, f", photometry: {file}", text, file.split("/")[-1]))
    (problem,) = caught.value.problems
    assert problem.rule == "lamp.photometry"
    assert words in problem.needed or words == "spot.ies"
    assert problem.line == 8


def test_a_tube_takes_no_file(tmp_path):
    """A line is not the beam of a spot."""
    text = PLAN.replace("halogen-reflector-75w-38deg, at: [75 cm, 30 cm, 110 cm], aim: [75 cm, 30 cm, 0 cm]",
                        "uv-t5-54w-reflector, from: [18 cm, 30 cm, 110 cm], to: [133 cm, 30 cm, 110 cm]")  # fmt: skip
    (tmp_path / "plan.yaml").write_text(text.replace("FILE", ", photometry: spot.ies"), encoding="utf-8")
    with pytest.raises(PlanError, match="only the beam of a spot or panel"):
        read_plan(tmp_path)
