"""Promises of edits in a builder's terms: what was meant changes, in the units that stood there; nothing else."""

import contextlib

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sunfleck.document.edit import EditError
from sunfleck.document.reader import read_document
from sunfleck.errors import SunfleckError
from sunfleck.service.workbench import edits

PLAN = """\
format: 1
show_units: us
enclosure:
  inside: {width: 4 ft, depth: 75 cm, height: 150cm}   # the box
  doors:
    - {name: left door, face: left, at: [3 cm, 28 cm], size: [70 cm, 115 cm]}
meters:
  - {name: own meter, accuracy: 10 %}
fixtures:
  # the tube
  - name: uv tube   # new
    lamp: tube
    from: [20 cm, 12 in, 143 cm]   # left end
    to: [135 cm, 12 in, 143 cm]
    age: 200 h
    evidence:
      - {distance: 30 cm, uvi: 3.1, with: Own Meter}
      - {distance: 40 cm, uvi: 2.1, with: other}
  - name: basking lamp
    lamp: spot
    at: [40 cm, 35 cm, 55 1/2 in]
    aim: [42 cm, 38 cm, 90 cm]   # the limb
    control: {kind: dimming, probe: [45 cm, 40 cm, 92 cm], target: 34 degC}
perches:
  - name: limb
    path:
      - [2 cm, 20 cm, 40 cm]   # wall
      - [60 cm, 40 cm, 85 cm]
    joint: {kind: bolted, at: [2 cm, 20 cm, 40 cm]}
    shape: {file: limb.stl}
plants:
  - {name: fig, crown: {middle: [50 cm, 40 cm, 60 cm], radius: 15 cm, height: 36 cm}}
hides:
  - {name: cave, at: [7' 2", 8 cm, 14 cm]}
backgrounds:
  - {name: panel, face: back}
animals:
  - {species: Basiliscus plumifrons}
"""


def lines(edit, text=PLAN):
    """The lines that went and those that came, without their indentation."""
    one, other = text.split("\n"), edit.change(read_document(text)).text.split("\n")
    return [x.strip() for x in one if x not in other], [x.strip() for x in other if x not in one]


CASES = [
    (edits.move("fixtures", "uv tube", (0.01, 0.0254, 0)),
     ["from: [21 cm, 13 in, 143 cm]   # left end", "to: [136 cm, 13 in, 143 cm]"]),
    (edits.move("fixtures", "uv tube", (0, 0, 0.005), point=1), ["to: [135 cm, 12 in, 143.5 cm]"]),
    (edits.move("fixtures", "basking lamp", (0.01, 0, 0.0254)), ["at: [41 cm, 35 cm, 56 1/2 in]"]),
    (edits.move("fixtures", "basking lamp", (0.01, 0, 0), with_aim=True),
     ["at: [41 cm, 35 cm, 55 1/2 in]", "aim: [43 cm, 38 cm, 90 cm]   # the limb"]),
    (edits.move_to("fixtures", "basking lamp", (0.5, 0.35, 1.4097)), ["at: [50 cm, 35 cm, 55 1/2 in]"]),
    (edits.move("perches", "limb", (0.01, 0, 0), point=1), ["- [61 cm, 40 cm, 85 cm]"]),
    (edits.move("perches", 0, (0.01, 0, 0), point=0), ["- [3 cm, 20 cm, 40 cm]   # wall", "joint: {kind: bolted, at: [3 cm, 20 cm, 40 cm]}"]),
    (edits.move("perches", "limb", (0, 0.01, 0)),
     ["- [2 cm, 21 cm, 40 cm]   # wall", "- [60 cm, 41 cm, 85 cm]", "joint: {kind: bolted, at: [2 cm, 21 cm, 40 cm]}",
      "shape: {file: limb.stl, at: [0 in, 3/8 in, 0 in]}"]),
    (edits.move("shapes", "limb", (0.0254, 0, 0)), ["shape: {file: limb.stl, at: [1 in, 0 in, 0 in]}"]),
    (edits.move("plants", "fig", (0, 0, -0.1)), ["- {name: fig, crown: {middle: [50 cm, 40 cm, 50 cm], radius: 15 cm, height: 36 cm}}"]),
    (edits.move("hides", "cave", (0.3048, 0, 0)), [r"""- {name: cave, at: ["8' 2\"", 8 cm, 14 cm]}"""]),
    (edits.move("doors", "left door", (9, 0.01, 0.02)), ["- {name: left door, face: left, at: [4 cm, 30 cm], size: [70 cm, 115 cm]}"]),
    (edits.aim("basking lamp", (0.42, 0.30, 0.9)), ["aim: [42 cm, 30 cm, 90 cm]   # the limb"]),
    (edits.enclosure_size(width=1.2446, height=1.6), ["inside: {width: 4 ft 1 in, depth: 75 cm, height: 160cm}   # the box"]),
    (edits.hours("uv tube", ["08:00", "20:00"]), ['hours: ["08:00", "20:00"]']),
    (edits.level("basking lamp", 0.6), ["level: 60 %"]),
    (edits.set_value(("fixtures", 1, "control", "target"), "93 degF"), ["control: {kind: dimming, probe: [45 cm, 40 cm, 92 cm], target: 93 degF}"]),
    (edits.add("hides", {"name": "2", "at": ["1 cm", "2 cm", "3 cm"]}), ["- {name: 2, at: [1 cm, 2 cm, 3 cm]}"]),
    (edits.rename("animals", 0, "Rosa"), ["- {species: Basiliscus plumifrons, name: Rosa}"]),
    (edits.duplicate("animals", 0), ["- {species: Basiliscus plumifrons, name: Basiliscus plumifrons 2}"]),
    (edits.duplicate("plants", "fig", delta=(0.1, 0, 0)), ["- {name: fig 2, crown: {middle: [60 cm, 40 cm, 60 cm], radius: 15 cm, height: 36 cm}}"]),
    (edits.rename("perches", "limb", "7"), ['- name: "7"']),
]  # fmt: skip


@pytest.mark.parametrize(("edit", "come"), CASES)
def test_what_changes_is_written_in_its_own_units(edit, come):
    """Points, sizes, hours; comments stay, so does what was not meant."""
    assert lines(edit)[1] == come


def test_a_lamp_is_exchanged_with_what_belongs_to_the_old_one():
    """Readings, hours burned; the place stays."""
    gone, come = lines(edits.exchange_lamp("uv tube", "other-tube"))
    assert come == ["lamp: other-tube"]
    assert gone == ["lamp: tube", "age: 200 h", "evidence:", "- {distance: 30 cm, uvi: 3.1, with: Own Meter}", "- {distance: 40 cm, uvi: 2.1, with: other}"]  # fmt: skip


def test_a_copy_of_a_lamp_was_not_read():
    """It has a name of its own, and no evidence."""
    document = edits.duplicate("fixtures", "uv tube").change(read_document(PLAN))
    copy = document.data["fixtures"][1]
    assert copy == {"name": "uv tube 2", "lamp": "tube"} | {
        k: document.data["fixtures"][0][k] for k in ("from", "to")
    }
    again = edits.duplicate("fixtures", "uv tube 2").change(document)
    assert again.data["fixtures"][2]["name"] == "uv tube 3"


def test_a_meter_is_renamed_where_it_read_too():
    """Spelt in whatever way; another meter's readings stay."""
    assert lines(edits.rename("meters", "own meter", "my meter"))[1] == [
        "- {name: my meter, accuracy: 10 %}",
        "- {distance: 30 cm, uvi: 3.1, with: my meter}",
    ]


def test_a_part_is_deleted_and_its_shape_alone_too():
    """A group that is left empty is an empty list."""
    assert lines(edits.delete("plants", "fig"))[1] == ["plants: []"]
    assert lines(edits.delete("shapes", "limb")) == (["shape: {file: limb.stl}"], [])
    assert (
        edits.delete("fixtures", 0).change(read_document(PLAN)).data["fixtures"][0]["name"] == "basking lamp"
    )


REFUSED = [
    (edits.move("lamps", "x", (0, 0, 0)), "no group"),
    (edits.move("fixtures", "uv tub", (0, 0, 0)), "did you mean uv tube"),
    (edits.move("fixtures", 7, (0, 0, 0)), "no number 7"),
    (edits.move("fixtures", 0, (float("nan"), 0, 0)), "finite"),
    (edits.move("fixtures", 0, None), "finite"),
    (edits.move("fixtures", 1, (0, 0, 1), point=0), "no end"),
    (edits.move("perches", 0, (0, 0, 1), point=9), "2 points"),
    (edits.move("plants", 0, (0, 0, 1), point=0), "one place only"),
    (edits.move("backgrounds", 0, (0, 0, 1)), "no place"),
    (edits.move("animals", 0, (0, 0, 1)), "no place"),
    (edits.aim("uv tube", (0, 0, 0)), "roll"),
    (edits.hours("uv tube", ["8"]), "times of day"),
    (edits.hours("uv tube", 5), "times of day"),
    (edits.level("uv tube", "x"), "share"),
    (edits.rename("fixtures", 0, "  "), "needs a name"),
    (edits.rename("shapes", 0, "x"), "its perch"),
    (edits.add("fixtures", {}), "keys with values"),
    (edits.add("fixtures", {"at": object()}), "neither text"),
    (edits.set_value("x", "1"), "no path"),
    (edits.set_value(("x", "y"), "1"), "no group of keys"),
    (edits.remove_value(("nothing",)), "no key"),
    (edits.delete("fixtures", "nothing"), "is called"),
]  # fmt: skip


@pytest.mark.parametrize(("edit", "words"), REFUSED)
def test_what_cannot_be_done_is_refused_in_plain_words(edit, words):
    """And nothing is changed."""
    with pytest.raises(EditError, match=words):
        edit.change(read_document(PLAN))


ANY = st.recursive(
    st.none() | st.booleans() | st.integers(-3, 3) | st.floats() | st.sampled_from(["fixtures", "limb", "at", "1 cm", "", "\ud800", "a: b"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["name", "at", "a"]), inner, max_size=2),
    max_leaves=4,
)  # fmt: skip
GROUPS = st.sampled_from([*edits.GROUPS, "x"]) | ANY
BROKEN = [
    PLAN,
    "format: 1\n",
    "- 1\n",
    "",
    "fixtures: [1, {name: limb}, {name: limb, at: 3, aim: [1, 2]}, {name: x, at: [1 cm, 2, x]}]\nperches: {a: 1}\n",
    "enclosure: 3\nperches: [{name: limb, path: 4, shape: {}, joint: {at: 1}}]\nplants: [{name: limb, crown: 1}]\n",
    "enclosure: {doors: [{name: limb, face: [1], at: [1 cm, 2 cm]}], inside: {width: x}}\nfixtures: [[1]]\n",
]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(BROKEN), GROUPS, ANY, ANY, ANY)
def test_no_input_is_a_traceback(text, group, part, one, other):
    """Whatever a page hands over, to whatever file: an edit, or a refusal in words."""
    document = read_document(text)
    made = [
        lambda: edits.move(group, part, one, point=other),
        lambda: edits.move_to(group, part, one, with_aim=bool(other)),
        lambda: edits.move(group, part, (0.1, 0.1, 0.1)),
        lambda: edits.aim(part, one),
        lambda: edits.aim(part, (0, 0, 0)),
        lambda: edits.set_value(one, other),
        lambda: edits.set_value((group, part, "at"), other),
        lambda: edits.remove_value(one),
        lambda: edits.add(group, one),
        lambda: edits.duplicate(group, part, one, other),
        lambda: edits.delete(group, part),
        lambda: edits.rename(group, part, one),
        lambda: edits.enclosure_size(width=one),
        lambda: edits.enclosure_size(depth=1.0),
        lambda: edits.hours(part, one),
        lambda: edits.level(part, one),
        lambda: edits.exchange_lamp(part, one),
    ]
    for make in made:
        with contextlib.suppress(SunfleckError):
            make().change(document)
