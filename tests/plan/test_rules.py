"""Each rule: broken on purpose, found with its place, limit and remedy."""

import re
from pathlib import Path

import pytest

from oracles.plans import tall_guarded
from sunfleck.document.problem import PlanError
from sunfleck.plan.read import read_plan, read_plan_text
from sunfleck.service.starting import STARTERS, starter_text

RULES = Path(__file__).parents[2] / "docs" / "rules.md"

# (what is replaced in the tall example, what by, rule, a number or word that the problem must show)
BROKEN = [
    ("format: 1", "format: 2", "plan.format", "format 1"),
    ("height: 160 cm}", "}", "schema.missing", "height"),
    ("height: 160 cm}", "heigth: 160 cm}", "schema.unknown-key", "height: 160 cm"),
    ("kind: hinged", "kind: hung", "schema.choice", "hinged"),
    ("height: 160 cm}", "height: 160}", "schema.unit", "cm"),
    ("height: 160 cm}", "height: 160,5 cm}", "schema.unit", "160.5 cm"),
    ("winter: 19 degC", "winter: 19 K", "schema.unit", "19 degC"),
    ("winter: 19 degC", "winter: 119 degC", "schema.range", "100 degC"),
    ("night_drop: 2 K", "night_drop: 2 degC", "schema.unit", "K"),
    ("latitude: 48.0", "latitude: .nan", "schema.number", "latitude"),
    ("latitude: 48.0", "latitude: 148", "schema.range", "-90"),
    ("height: 160 cm}", "height: 160 m}", "schema.range", "10 m"),
    ("count: 1,", "count: 0,", "schema.range", "at least 1"),
    ("path: [[2 cm, 22 cm, 62 cm],", "path: [3,", "schema.type", "list"),
    ("name: upright", "name: Main Limb", "names.duplicate", "line"),
    ("wood: beech", "wood: beach", "library.unknown-id", "beech"),
    ("wood: beech", "wood: yew", "library.never", "this one is toxic"),
    ("species: Basiliscus plumifrons", "species: Basiliscus plumifron", "library.unknown-id", "Basiliscus plumifrons"),
    ("lamp: led-bar-24w-90cm", "lamp: led-bar-24w-9cm", "library.unknown-id", "led-bar-24w-90cm"),
    ("[118 cm, 44 cm, 100 cm]", "[128 cm, 44 cm, 100 cm]", "geometry.inside-shell", "120 cm"),
    ("size: [34 cm, 26 cm, 18 cm]", "size: [54 cm, 26 cm, 18 cm]", "geometry.inside-shell", "42 cm"),
    ("size: [56 cm, 122 cm], swing: left", "size: [56 cm, 172 cm], swing: left", "geometry.opening-on-face", "160 cm"),
    ("at: [61 cm, 30 cm]", "at: [70 cm, 30 cm]", "geometry.opening-on-face", "64 cm"),
    ("at: [61 cm, 30 cm]", "at: [51 cm, 30 cm]", "geometry.openings-overlap", "left door"),
    ("from: [2 cm, 28 cm, 148 cm]", "from: [2 cm, 34 cm, 168 cm]", "geometry.lamp-through-wall", "top"),
    ("from: [15 cm, 50 cm, 152 cm]\n    to: [105 cm, 50 cm, 152 cm]", "from: [15 cm, 50 cm, 159.5 cm]\n    to: [105 cm, 50 cm, 159.5 cm]", "geometry.lamp-through-wall", "one side of the top"),
    ("at: [40 cm, 41 cm, 146 cm]", "at: [40 cm, 60 cm, 170 cm]", "geometry.lamp-through-wall", "top"),
    ("from: [2 cm, 28 cm, 148 cm]", "from: [40 cm, 34 cm, 148 cm]", "lamp.length", "within 4 cm"),
    ("aim: [42 cm, 36 cm, 90 cm]", "roll: 3 deg", "lamp.placement", "aim"),
    ("aim: [42 cm, 36 cm, 90 cm]", "aim: [40 cm, 41 cm, 146 cm]", "lamp.aim", "apart"),
    ("species: Basiliscus plumifrons", "accepted: {by: me, date: 25.11.2026}, species: Basiliscus plumifrons", "schema.unit", "2026-11-25"),
    ("species: Basiliscus plumifrons", "accepted: {by: me, date: 2026-11-25, uv_retreat: 7}, species: Basiliscus plumifrons", "animal.targets-cross", "the least that is wanted"),
    ("species: Basiliscus plumifrons", "accepted: {by: me, date: 2026-11-25, uv_floor: 7}, species: Basiliscus plumifrons", "animal.targets-cross", "at most 3"),
    ("species: Basiliscus plumifrons", "accepted: {by: me, date: 2026-11-25, uv_floor: 2, uv_ceiling: 1.5}, species: Basiliscus plumifrons", "animal.targets-cross", "at least 2"),
    ('hours: ["08:30", "17:30"]', 'hours: ["18:30", "17:30"]', "time.order", "after"),
    ('hours: ["08:30", "17:30"]', 'hours: ["08:30"]', "time.order", "pairs"),
    ("uvi: 3.4, with: own meter", "with: own meter", "evidence.empty", "uvi"),
    ("diameter: [80 mm, 60 mm]", "diameter: [80 mm, 60 mm, 40 mm]", "geometry.perch-diameters", "2 points"),
    ("path: [[95 cm, 52 cm, 14 cm], [97 cm, 43 cm, 93 cm]]", "path: [[95 cm, 52 cm, 14 cm], [95 cm, 52 cm, 14 cm]]", "geometry.path-repeats", "apart"),
    ("path: [[95 cm, 52 cm, 14 cm], [97 cm, 43 cm, 93 cm]]", "path: [[60 cm, 20 cm, 120 cm], [80 cm, 20 cm, 130 cm]]", "geometry.perch-support", "rigid joint"),
    ("wood: beech", "wood: beech\n    joint: {kind: bolted, at: [10 cm, 10 cm, 100 cm]}", "geometry.joint-off-perch", "away"),
    ("thickness: 6 cm, finish: cork", "thickness: 6 cm, finish: cork, at: [1 cm, 1 cm]", "geometry.panel-place", "together"),
    ("leaf_area: 0.25 m2", "leaf_area: 9 m2", "geometry.too-many-leaves", "4,000"),
    ("depth: 14 cm, finish: soil-humus", "depth: 170 cm, finish: soil-humus", "geometry.inside-shell", "160 cm"),
    ("from: [2 cm, 28 cm, 148 cm]\n    to: [117 cm, 28 cm, 148 cm]", "from: [2 cm, 67 cm, 148 cm]\n    to: [117 cm, 67 cm, 148 cm]", "geometry.lamp-in-solid", "back panel"),
    ("from: [2 cm, 28 cm, 148 cm]\n    to: [117 cm, 28 cm, 148 cm]", "from: [2 cm, -5 cm, 90 cm]\n    to: [117 cm, -5 cm, 90 cm]\n    level: 50 %", "lamp.not-dimmable", "100 %"),
    ("control: {kind: dimming,", "control: {kind: pulse,", "lamp.controller", "kind: dimming"),
    ("from: [2 cm, 28 cm, 148 cm]", "control: {kind: on-off, probe: [10 cm, 10 cm, 50 cm], target: 30 degC}\n    from: [2 cm, 28 cm, 148 cm]", "lamp.controller", "nothing but a timer"),
    ("to: [117 cm, 28 cm, 148 cm]", "to: [100 cm, 34 cm, 87 cm]", "lamp.guard-slant", "along x"),
    ("at: [40 cm, 41 cm, 146 cm]", "at: [40 cm, 28 cm, 147 cm]", "lamp.overlap", "uv tube"),
    # The tube runs through the bulb's back, above its opening.
    ("at: [40 cm, 41 cm, 146 cm]\n    aim: [42 cm, 36 cm, 90 cm]", "at: [40 cm, 28 cm, 142 cm]\n    aim: [40 cm, 28 cm, 90 cm]", "lamp.overlap", "uv tube"),
    ("from: [2 cm, 28 cm, 148 cm]\n    to: [117 cm, 28 cm, 148 cm]", "from: [2 cm, 18 cm, 160.5 cm]\n    to: [117 cm, 18 cm, 160.5 cm]", "geometry.lamp-through-wall", "one side"),
    ("wood: beech", "wood: beech\n    joint: {kind: bolted, at: [97 cm, 43 cm, 55 cm]}", "geometry.joint-off-perch", "away"),
    ("snout_vent: 22 cm", "snout_vent: 22 mm", "animal.size-unlikely", "10 cm"),
    ("at: [40 cm, 41 cm, 146 cm]", "at: [40 cm, 38 cm, 155 cm]", "lamp.guard-place", "one side"),
    ("cut_out: 39 degC", "cut_out: 30 degC", "lamp.cut-out", "above the target"),
    ("stage: adult, snout_vent: 22 cm", "stage: hatchling", "animal.size-needed", "snout_vent: 5 cm"),
    ("radius: 15 cm, height: 36 cm", "radius: 90 cm, height: 36 cm", "geometry.inside-shell", "120 cm"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "rule", "shown"), BROKEN, ids=[f"{b[2]}-{i}" for i, b in enumerate(BROKEN)]
)
def test_a_broken_rule_is_located_with_its_limit(old, new, rule, shown):
    """The rule is named, the line is the changed one (or its parent's), and the limit or remedy is shown."""
    text = tall_guarded()
    assert old in text
    broken = text.replace(old, new, 1)
    line = text[: text.index(old)].count("\n") + 1
    with pytest.raises(PlanError) as caught:
        read_plan_text(broken)
    found = [p for p in caught.value.problems if p.rule == rule]
    assert found, [str(p) for p in caught.value.problems]
    assert any(shown in f"{p.needed} {p.fix} {p.where}" for p in found), [str(p) for p in found]
    assert any(abs(p.line - line) <= 6 for p in found), [p.line for p in found]
    assert "nothing was computed" in str(caught.value)


def test_all_problems_come_at_once_in_file_order():
    """Three slips of different kinds in one go, lines ascending."""
    text = tall_guarded()
    for old, new in (
        ("winter: 19 degC", "winter: 19"),
        ("wood: beech", "wod: beech"),
        ("count: 1,", "count: x,"),
    ):
        text = text.replace(old, new, 1)
    with pytest.raises(PlanError) as caught:
        read_plan_text(text)
    lines = [problem.line for problem in caught.value.problems]
    assert len(lines) >= 3
    assert lines == sorted(lines)


def test_every_rule_in_the_code_has_its_section():
    """docs/rules.md explains each rule that the source can report."""
    source = Path(__file__).parents[2] / "src" / "sunfleck"
    used = set()
    for file in (
        *source.glob("plan/**/*.py"),
        *source.glob("document/*.py"),
        *source.glob("service/*.py"),
        *source.glob("faces/*.py"),
    ):
        used |= set(
            re.findall(
                r'"((?:yaml|schema|geometry|lamp|animal|names|library|time|evidence|plan|file|station|survey|csv|entry|site|fan|shape)\.[a-z-]+)"',
                file.read_text(),
            )
        )
    explained = set(re.findall(r"^### (\S+)", RULES.read_text(), re.M))
    used -= {name for name in used if name.endswith((".yaml", ".py"))}
    assert used - explained == set()


@pytest.mark.parametrize("name", STARTERS)
def test_the_starters_have_no_problems(name):
    """What `new` writes can be checked at once."""
    assert read_plan_text(starter_text(name)).plan.format == 1


def test_a_missing_file_is_a_problem_not_a_traceback(tmp_path):
    """The remedy names the command that writes a plan."""
    with pytest.raises(PlanError, match="sunfleck new"):
        read_plan(tmp_path / "none" / "plan.yaml")
    with pytest.raises(PlanError, match=r"file\.unreadable"):
        read_plan("a\0b")


def test_a_perch_may_hang_free_at_a_twig_end_when_a_joint_is_stated():
    """Free ends are normal: one held point and a rigid joint will do."""
    text = tall_guarded().replace(
        "path: [[95 cm, 52 cm, 14 cm], [97 cm, 43 cm, 93 cm]]",
        "joint: {kind: bolted, at: [60 cm, 62 cm, 120 cm]}\n    path: [[60 cm, 63 cm, 120 cm], [80 cm, 30 cm, 130 cm]]",
    )
    assert len(read_plan_text(text).plan.perches) == 3


def test_box_of_48_by_28_by_48_inches_is_280_us_gallons():
    """Common practice, no source: builders call this box 280 gallons; within 1 %."""
    text = starter_text("arid").replace(
        "inside: {width: 160 cm, depth: 70 cm, height: 100 cm}",
        "inside: {width: 48 in, depth: 28 in, height: 4 ft}",
    )
    head, _, _ = text.partition("  doors:")
    small = head + "animals:\n  - {species: Pogona vitticeps}\n"
    inside = read_plan_text(small).plan.enclosure.inside
    assert inside.width * inside.depth * inside.height / 3.785411784e-3 == pytest.approx(280, rel=0.01)


def test_a_tube_laid_over_a_mesh_with_its_ends_on_the_frame_is_accepted():
    """The commonest hanging: the strip of mesh is shorter than the tube."""
    text = (
        tall_guarded()
        .replace(", 28 cm, 148 cm]", ", 18 cm, 163 cm]")
        .replace("    guard: guard-bar-12mm\n    evidence", "    evidence")
    )
    assert read_plan_text(text).plan.fixtures[0].from_[2] > 1.6


def test_an_outside_lamp_before_a_closed_door_is_refused():
    """A door lets light in only where its leaf is a pane."""
    text = (
        tall_guarded()
        .replace("swing: left}", "swing: left, material: plywood-birch}")
        .replace("swing: right}", "swing: right, material: plywood-birch}")
        .replace(
            "front: {material: glass-float, thickness: 6 mm}",
            "front: {material: plywood-birch, thickness: 18 mm}",
        )
    )
    text = text.replace("at: [40 cm, 41 cm, 146 cm]", "at: [40 cm, -10 cm, 90 cm]").replace(
        "    guard: guard-bar-12mm\n    control", "    control"
    )
    with pytest.raises(PlanError, match="lamp-through-wall"):
        read_plan_text(text)


def test_names_in_other_scripts_are_told_apart():
    """Two names without a Latin letter are two names."""
    text = (
        tall_guarded().replace("name: main limb", "name: ветка").replace("name: lower limb", "name: камень")
    )
    assert len(read_plan_text(text).plan.perches) == 3


def test_sliding_panes_may_pass_each_other():
    """Two panes of one runner overlap by their lap."""
    text = starter_text("arid").replace(
        "at: [0 cm, 15 cm], size: [80 cm, 78 cm]", "at: [0 cm, 15 cm], size: [83 cm, 78 cm]"
    )
    assert read_plan_text(text).plan.enclosure.doors[0].size[0] > 0.82
