"""The enclosure in space: every part of a plan has a sound mesh at its place, and what is packed comes out again."""

import json

import numpy as np
import pytest

from sunfleck.geometry.chains import Chain
from sunfleck.geometry.mesh_files import is_closed, volume_of
from sunfleck.outputs.scene.build import scene_of
from sunfleck.outputs.scene.packing import pack, unpack
from sunfleck.outputs.scene.parts import Cloud, IsoLine, Item, Mesh, Paint, Scene, Section
from sunfleck.outputs.scene.perches import SECTORS
from sunfleck.plan.read import read_plan, read_plan_text
from sunfleck.plan.solids import chain_of, ledge_box
from sunfleck.service.resolved import resolved

# One of everything that a plan can have.
EVERYTHING = """
format: 1
name: One of each
library: {hash: unlocked}
enclosure:
  inside: {width: 120 cm, depth: 60 cm, height: 120 cm}
  walls:
    default: {material: pvc-foam-board, thickness: 12 mm}
    front: {material: glass-float, thickness: 6 mm}
  doors:
    - {name: pane, face: front, kind: hinged, at: [3 cm, 28 cm], size: [56 cm, 80 cm], swing: left}
    - {name: lid, face: top, kind: lift-out, at: [70 cm, 10 cm], size: [40 cm, 40 cm], material: plywood-birch}
    - {name: hatch, face: right, kind: hinged, at: [10 cm, 30 cm], size: [30 cm, 30 cm], swing: down, material: plywood-birch}
  vents:
    - {name: strip, face: left, at: [10 cm, 20 cm], size: [40 cm, 5 cm], mesh: aluminium-18x16}
  fans:
    - {name: draught, fan: fan-80mm, face: back, at: [20 cm, 100 cm]}
substrate: {depth: 10 cm, finish: soil-humus}
animals:
  - {species: Basiliscus plumifrons, name: the basilisk, sex: male, snout_vent: 22 cm, mass: 220 g}
fixtures:
  - {name: tube, lamp: uv-t5-24w-reflector, from: [10 cm, 20 cm, 112 cm], to: [65 cm, 20 cm, 112 cm], guard: guard-bar-12mm}
  - {name: upright bare tube, lamp: uv-t5-24w-bare, from: [115 cm, 50 cm, 40 cm], to: [115 cm, 50 cm, 95 cm]}
  - {name: spot, lamp: halogen-reflector-50w-25deg, at: [30 cm, 45 cm, 100 cm], aim: [32 cm, 35 cm, 40 cm], level: 0.5}
  - {name: dome, lamp: ceramic-heater-100w, at: [60 cm, 45 cm, 100 cm], aim: [60 cm, 40 cm, 40 cm]}
  - {name: panel, lamp: led-panel-45w, at: [90 cm, 30 cm, 114 cm], aim: [90 cm, 30 cm, 40 cm]}
  - {name: bar, lamp: led-bar-24w-90cm, from: [10 cm, 54 cm, 115 cm], to: [100 cm, 54 cm, 115 cm]}
backgrounds:
  - {name: panel at the back, face: back, thickness: 4 cm, finish: cork, at: [0 cm, 10 cm], size: [120 cm, 60 cm]}
perches:
  - {name: bent, joint: {kind: bolted, at: [1.5 cm, 25 cm, 60 cm]}, path: [[1.5 cm, 25 cm, 60 cm], [60 cm, 30 cm, 70 cm], [60 cm, 40 cm, 30 cm]], diameter: [50 mm, 40 mm, 30 mm], wood: oak}
ledges:
  - {name: shelf, at: [70 cm, 20 cm, 50 cm], size: [30 cm, 20 cm, 4 cm], finish: rock-grey}
plants:
  - {name: leafy, crown: {middle: [30 cm, 30 cm, 20 cm], radius: 12 cm, height: 20 cm}, leaf_area: 0.1 m2, leaf: {length: 6 cm, width: 2 cm}}
  - {name: crown, crown: {middle: [90 cm, 30 cm, 20 cm], radius: 12 cm, height: 20 cm}, leaf_area: 0.1 m2}
hides:
  - {name: cave, at: [50 cm, 5 cm, 10 cm], size: [20 cm, 15 cm, 10 cm], opening: front}
stations:
  - {name: basking, at: [30 cm, 30 cm, 66 cm]}
"""
LOOKS = {"ground", "background", "block", "hide", "wood", "leaves", "crown"}
LOOKS |= {"tube", "bar", "bulb", "dome", "panel", "station"}


@pytest.fixture(scope="module")
def everything():
    return read_plan_text(EVERYTHING)


@pytest.fixture(scope="module")
def scenes(tall, arid, everything):
    return {"tall": scene_of(tall), "arid": scene_of(arid), "everything": scene_of(everything)}


def corners(mesh):
    return mesh.positions.astype(np.float64)[mesh.indices]


def meshes(scene):
    for item in scene.items:
        yield item.key, item.mesh
        if item.glow is not None:
            yield f"{item.key}, what glows", item.glow
    for wall in scene.walls:
        yield wall.face, wall.mesh


def test_every_part_of_a_plan_is_there(scenes, everything):
    scene = scenes["everything"]
    plan = everything.plan
    groups = ("backgrounds", "ledges", "hides", "perches", "plants", "fixtures", "stations")
    wanted = {f"{group}/{part.name}" for group in groups for part in getattr(plan, group)} | {
        "substrate/ground"
    }
    assert {item.key for item in scene.items} == wanted
    assert {item.look for item in scene.items} == LOOKS
    assert [each.key for each in scene.openings] == [
        "doors/pane", "doors/lid", "doors/hatch", "vents/strip", "fans/draught"
    ]  # fmt: skip
    assert [wall.face for wall in scene.walls] == ["left", "right", "front", "back", "bottom", "top"]
    assert [wall.clear for wall in scene.walls] == [False, False, True, False, False, False]
    assert {item.key for item in scene.items if item.aim} == {
        "fixtures/spot",
        "fixtures/dome",
        "fixtures/panel",
    }
    assert not scene.item("substrate/ground").movable
    assert scene.item("fixtures/dome").glow is None
    assert len(scene.item("fixtures/tube").wires) > 12


def test_keys_are_unique(scenes):
    for scene in scenes.values():
        keys = [item.key for item in scene.items] + [each.key for each in scene.openings]
        assert len(set(keys)) == len(keys)


def test_every_mesh_is_well_formed(scenes):
    for scene in scenes.values():
        for name, mesh in meshes(scene):
            count = len(mesh.positions)
            assert (mesh.positions.dtype, mesh.normals.dtype) == (np.float32, np.float32), name
            assert (mesh.indices.dtype, mesh.tints.dtype) == (np.uint32, np.uint8), name
            assert mesh.normals.shape == mesh.positions.shape == mesh.tints.shape, name
            assert mesh.indices.max(initial=0) < max(count, 1), name
            assert np.isfinite(mesh.positions).all(), name
            np.testing.assert_allclose(np.linalg.norm(mesh.normals, axis=1), 1.0, atol=1e-5, err_msg=name)


def test_bodies_are_closed_and_their_normals_point_outwards(scenes):
    """Leaves have two sides and no inside; the lit face of a bulb closes the bulb behind it. All else is a body."""
    for scene in scenes.values():
        for name, mesh in meshes(scene):
            if name.endswith("what glows") or name in {
                f"plants/{plant}" for plant in ("leafy", "corner fig", "low ferns")
            }:
                continue
            triangles = np.round(corners(mesh), 6)
            if name in {"left", "right", "front", "back", "bottom", "top"}:
                # Grid cells of a wall share only parts of their edges at its openings' corners.
                assert volume_of(triangles) > 0, name
            else:
                assert is_closed(triangles), name
                assert volume_of(triangles) > 0, name
            facing = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
            assert ((facing * mesh.normals[mesh.indices].mean(axis=1)).sum(axis=1) > 0).all(), name


def test_what_is_inside_is_drawn_inside(scenes):
    outside = {"tall": {"fixtures/uv tube", "fixtures/basking lamp", "fixtures/plant light"}}
    for which, scene in scenes.items():
        size = np.array(scene.size)
        for item in scene.items:
            if item.key in outside.get(which, ()):
                continue
            assert (item.mesh.positions > -1e-6).all(), item.key
            assert (item.mesh.positions < size + 1e-6).all(), item.key


def test_walls_weigh_what_the_plan_has(scenes, everything):
    """The volume of each wall is its thickness times what is left of it: no cell twice, none left out."""
    scene, thick = scenes["everything"], 0.012
    sizes = {"back": (1.2, 1.2), "left": (0.6 + 0.006 + thick, 1.2)}
    openings = {"back": 0.0, "left": 0.4 * 0.05}
    for wall in scene.walls:
        if wall.face in sizes:
            wanted = thick * (np.prod(sizes[wall.face]) - openings[wall.face])
            assert volume_of(corners(wall.mesh)) == pytest.approx(wanted, rel=1e-5), wall.face


def test_bodies_have_the_volume_of_what_is_computed_with(scenes, everything, tall):
    scene, plan = scenes["everything"], everything.plan
    ledge = ledge_box(plan.ledges[0])
    assert volume_of(corners(scene.item("ledges/shelf").mesh)) == pytest.approx(
        np.prod(ledge.high - ledge.low), rel=1e-5
    )
    # Frusta of cones, end to end; the polygon in a circle has less than its area.
    limb, turn = chain_of(tall.plan.perches[0]), 2 * np.pi / SECTORS
    steps, a, b = np.linalg.norm(np.diff(limb.path, axis=0), axis=1), limb.radius[:-1], limb.radius[1:]
    wanted = (np.pi / 3 * steps * (a**2 + a * b + b**2)).sum() * np.sin(turn) / turn
    assert volume_of(
        corners(scenes["tall"].item(f"perches/{tall.plan.perches[0].name}").mesh)
    ) == pytest.approx(wanted, rel=0.01)
    tube = scene.item("fixtures/upright bare tube").glow
    radius = np.linalg.norm(tube.positions[:, :2] - (1.15, 0.5), axis=1).max()
    assert radius == pytest.approx(0.008, abs=1e-6)  # a T5 tube is 16 mm wide (IEC 60081)


def test_rings_tell_where_along_a_perch_a_corner_is(scenes, everything):
    item = scenes["everything"].item("perches/bent")
    limb = chain_of(everything.plan.perches[0])
    assert len(item.ring) == len(item.mesh.positions) <= 2000
    assert item.along[0] == 0
    assert item.along[-1] == pytest.approx(limb.length)
    assert (np.diff(item.along) > 0).all()
    axis, _, radius = limb.at(item.along[item.ring])
    gap = np.linalg.norm(item.mesh.positions - axis, axis=1)
    # Near its bend the drawn axis leaves the path by less than a radius.
    assert (gap <= 2.5 * radius).all()
    straight = np.abs(item.along[item.ring] - np.linalg.norm(np.diff(limb.path[:2], axis=0))) > 0.08
    rim = np.arange(len(gap)) < SECTORS * len(item.along)
    np.testing.assert_allclose(gap[straight & rim], radius[straight & rim], atol=0.001)


def test_a_shape_from_a_file_is_drawn(tmp_path):
    trimesh = pytest.importorskip("trimesh")
    limb = Chain(np.array([[0.0, 0, 0], [0.5, 0, 0]]), np.array([0.02, 0.02])).triangles(16)
    trimesh.Trimesh(limb.reshape(-1, 3), np.arange(3 * len(limb)).reshape(-1, 3)).export(
        tmp_path / "limb.stl"
    )
    text = EVERYTHING.replace("at: [1.5 cm, 25 cm, 60 cm]}", "at: [1.5 cm, 30 cm, 60 cm]}").replace(
        "[[1.5 cm, 25 cm, 60 cm], [60 cm, 30 cm, 70 cm], [60 cm, 40 cm, 30 cm]], diameter: [50 mm, 40 mm, 30 mm], wood: oak",
        "[[1.5 cm, 30 cm, 60 cm], [51.5 cm, 30 cm, 60 cm]], diameter: [40 mm], wood: oak, "
        "shape: {file: limb.stl, unit: m, at: [1.5 cm, 30 cm, 60 cm]}",
    )
    (tmp_path / "plan.yaml").write_text(text, encoding="utf-8")
    item = scene_of(read_plan(tmp_path / "plan.yaml")).item("perches/bent")
    assert is_closed(np.round(corners(item.mesh), 6))
    axis = item.mesh.positions[:, 0] - 0.015
    np.testing.assert_allclose(item.along[item.ring], axis, atol=0.011)


def test_a_brief_is_drawn_as_its_plan(arid, scenes):
    assert pack(scene_of(resolved(arid).brief)) == pack(scenes["arid"])


def test_scenes_are_small_enough_for_a_machine_without_a_graphics_card(scenes):
    for scene in scenes.values():
        assert sum(len(mesh.positions) for _, mesh in meshes(scene)) < 25_000
        assert len(pack(scene)) < 1_000_000


def test_what_is_packed_comes_out_again(scenes, tall):
    for scene in scenes.values():
        data = pack(scene)
        assert data == pack(scene)
        again = unpack(data)
        assert again["kind"] == "scene"
        assert again["size"] == list(scene.size)
        for item, sent in zip(scene.items, again["items"], strict=True):
            assert (sent["key"], sent["look"], sent["aim"]) == (
                item.key,
                item.look,
                list(item.aim) if item.aim else None,
            )
            for field in ("positions", "normals", "indices", "tints"):
                np.testing.assert_array_equal(sent["mesh"][field], getattr(item.mesh, field))
    assert pack(scene_of(tall)) == pack(scenes["tall"])


def test_the_layout_is_what_it_says(scenes):
    data = pack(scenes["arid"])
    length = int.from_bytes(data[:4], "little")
    assert length % 4 == 0
    places = []

    def look(value):
        if isinstance(value, dict) and set(value) == {"$"}:
            places.append(value["$"])
        elif isinstance(value, dict | list):
            for each in value.values() if isinstance(value, dict) else value:
                look(each)

    look(json.loads(data[4 : 4 + length]))
    assert all(offset % 4 == 0 for _, offset, _ in places)
    kind, offset, shape = max(places, key=lambda place: place[1])
    end = 4 + length + offset + int(np.prod(shape)) * int(kind[1])
    assert len(data) == end + -end % 4


def test_paints_come_out_again():
    colours = np.arange(12, dtype=np.uint8).reshape(4, 3)
    picture = np.arange(24, dtype=np.uint8).reshape(2, 3, 4)
    line = IsoLine(np.ones((2, 3), np.float32), "2.5 UVI", "#ffffff")
    paint = Paint(
        {'perches/ä, "limb"': colours},
        Section("y", 0.3, (0.0, 0.1), (1.0, 1.5), picture, cut=True),
        (line,),
        Cloud(np.zeros((5, 3), np.float32), np.zeros((5, 3), np.uint8)),
    )
    again = unpack(pack(paint))
    np.testing.assert_array_equal(again["colours"]['perches/ä, "limb"'], colours)
    np.testing.assert_array_equal(again["section"]["picture"], picture)
    assert (again["section"]["axis"], again["section"]["place"], again["section"]["cut"]) == ("y", 0.3, True)
    assert again["lines"][0]["words"] == "2.5 UVI"
    assert again["cloud"]["points"].shape == (5, 3)
    assert unpack(pack(Paint()))["section"] is None


def test_only_a_changed_item_has_another_hash(tall, scenes):
    moved = read_plan_text(tall.document.text.replace("[43 cm, 46 cm, 192 cm]", "[44 cm, 46 cm, 192 cm]"))
    hashes = [
        {item["key"]: item["hash"] for item in unpack(pack(scene))["items"]}
        for scene in (scenes["tall"], scene_of(moved))
    ]
    changed = {key for key in hashes[0] if hashes[0][key] != hashes[1][key]}
    assert changed == {"fixtures/basking lamp"}


def test_an_unknown_key_is_told():
    with pytest.raises(KeyError, match="perches/none"):
        Scene("empty", (1.0, 1.0, 1.0), (), (), ()).item("perches/none")


def test_a_hash_is_of_all_that_is_drawn():
    zeros = np.zeros((3, 3), np.float32)
    mesh = Mesh(zeros, zeros, np.zeros((1, 3), np.uint32), np.zeros((3, 3), np.uint8))
    items = [Item("ledges/a", "a", "ledges", "block", mesh, (0.0, 0.0, z)) for z in (0.0, 0.1, 0.0)]
    hashes = [
        unpack(pack(Scene("s", (1.0, 1.0, 1.0), (), (), (item,))))["items"][0]["hash"] for item in items
    ]
    assert hashes[0] == hashes[2] != hashes[1]
