"""A perch whose shade comes from a file: the same light as its own chain, and refusals in words."""

import numpy as np
import pytest

import sunfleck
from sunfleck.document.problem import PlanError
from sunfleck.geometry.chains import Chain
from sunfleck.plan.read import read_plan

trimesh = pytest.importorskip("trimesh", reason="the reader of mesh files is not installed")

PLAN = """\
format: 1
name: A scan
enclosure:
  inside: {width: 150 cm, depth: 60 cm, height: 80 cm}
  walls: {default: {material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}}
animals: [{species: Pogona vitticeps, name: dragon}]
fixtures:
  - {name: tube, lamp: uv-t5-54w-strong-reflector, from: [18 cm, 30 cm, 75 cm], to: [133 cm, 30 cm, 75 cm]}
perches:
  - {name: limb, path: [[0 cm, 20 cm, 40 cm], [150 cm, 40 cm, 40 cm]], diameter: [10 cm], wood: oakSHAPE}
"""
AXIS = np.array([[0.0, 0.20, 0.40], [1.5, 0.40, 0.40]])
BELOW = np.array([[x, 0.3, 0.2] for x in np.linspace(0.1, 1.4, 30)])


def write(folder, shape="", triangles=None, name="limb.stl"):
    (folder / "plan.yaml").write_text(PLAN.replace("SHAPE", shape), encoding="utf-8")
    if triangles is not None:
        mesh = trimesh.Trimesh(**trimesh.triangles.to_kwargs(triangles))
        (folder / name).write_bytes(mesh.export(file_type="stl"))
    return folder


def limb(scale=1.0, sides=96):
    return scale * Chain(AXIS, np.array([0.05, 0.05])).triangles(sides)


def problems(folder):
    with pytest.raises(PlanError) as caught:
        read_plan(folder)
    return caught.value.problems


def test_a_scan_of_the_limb_shades_as_the_limb(tmp_path):
    """The limb itself, written in millimetres by a general library: the same light below it within 1 %."""
    plain = read_plan(write(tmp_path))
    light = sunfleck.light_at(plain, BELOW, reflections=False).uvi.median
    folder = write(tmp_path, ", shape: {file: limb.stl, unit: mm}", limb(1000.0, 16))
    scanned = sunfleck.light_at(read_plan(folder), BELOW, reflections=False).uvi.median
    assert (light < 0.9 * light.max()).any()
    assert np.allclose(scanned, light, rtol=0.01)


def test_it_is_put_and_turned(tmp_path):
    """A limb along x from its own origin, turned about z and put at the start of the path: the same light."""
    length = float(np.linalg.norm(AXIS[1] - AXIS[0]))
    own = Chain(np.array([[0.0, 0, 0], [length, 0, 0]]), np.array([0.05, 0.05])).triangles(16)
    turn = np.degrees(np.arctan2(0.2, 1.5))
    shape = f", shape: {{file: limb.stl, unit: m, at: [0 cm, 20 cm, 40 cm], turn: [0 deg, 0 deg, {turn:.6f} deg]}}"
    put = sunfleck.light_at(read_plan(write(tmp_path, shape, own)), BELOW, reflections=False).uvi.median
    plain = sunfleck.light_at(read_plan(write(tmp_path)), BELOW, reflections=False).uvi.median
    assert np.allclose(put, plain, rtol=0.02)


@pytest.mark.parametrize(
    ("shape", "rule", "words"),
    [
        ("{file: none.stl, unit: mm}", "shape.file", "there is no file none.stl"),
        ("{file: limb.stl}", "shape.file", "no unit is stated"),
        ("{file: limb.stl, unit: m}", "shape.file", "it would be as mm 1.5"),
        ("{file: ../limb.stl, unit: mm}", "shape.file", "outside the plan's folder"),
        ("{file: /etc/passwd.stl, unit: mm}", "shape.file", "outside the plan's folder"),
        ("{file: limb.doc, unit: mm}", "shape.file", "ends in none of .stl"),
        ("{file: limb.stl, unit: mm, at: [0 cm, 50 cm, 0 cm]}", "shape.place", "sticks out by"),
        ("{file: limb.stl, unit: mm, at: [0 cm, 0 cm, 20 cm]}", "shape.place", "along the perch's path"),
    ],
)
def test_what_cannot_be_is_refused_with_its_line(tmp_path, shape, rule, words):
    """Each with rule, words and place; the plan's folder is not left, and nothing is traced back."""
    folder = tmp_path / "plan"
    folder.mkdir()
    found = problems(write(folder, f", shape: {shape}", limb(1000.0)))
    assert [problem.rule for problem in found] == [rule]
    assert words in found[0].needed
    assert found[0].line == 10


def test_a_changed_file_is_seen(tmp_path):
    """The same plan read again after the scan was written anew: the new shape shades."""
    thick = write(tmp_path, ", shape: {file: limb.stl, unit: mm}", limb(1000.0))
    first = sunfleck.light_at(read_plan(thick), BELOW, reflections=False).uvi.median
    thin = 1000.0 * Chain(AXIS, np.array([0.01, 0.01])).triangles(12)
    write(tmp_path, ", shape: {file: limb.stl, unit: mm}", thin)
    second = sunfleck.light_at(read_plan(tmp_path), BELOW, reflections=False).uvi.median
    assert second.min() > first.min()
