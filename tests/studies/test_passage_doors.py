"""What is open of doors that meet, slide and hang: reasoned by hand, box 160 x 70 x 100 cm, 1 cm kept free."""

import pytest

from oracles.passage_plans import study_of, text_of
from sunfleck.errors import DomainError
from sunfleck.studies.passage.questions import state_of

INSIDE = (160, 70, 100)
SLAB = "ledges:\n  - {{name: slab, at: [15 cm, 5 cm, 12 cm], size: [{0} cm, {1} cm, {2} cm], finish: cork}}"


def door(x, z, w, h, **more):
    return {"at": f"[{x} cm, {z} cm]", "size": f"[{w} cm, {h} cm]", **more}


def slab_through(doors, size):
    return study_of(text_of(INSIDE, doors, SLAB.format(*size))).part("slab")


@pytest.mark.parametrize(
    "doors",
    [
        {"low": door(5, 5, 150, 45), "high": door(5, 50, 150, 45)},
        {"a": door(5, 5, 50, 90), "b": door(55, 5, 50, 90), "c": door(105, 5, 50, 90)},
        {"a": door(5, 5, 70, 90), "b": door(75, 5, 80, 90, kind="sliding")},
    ],
)
def test_doors_that_meet_are_one_hole_for_a_no(doors):
    """Each door is too small for the slab and all together are not: nothing may be called proved, and what is, is a motion."""
    found = slab_through(doors, (130, 60, 70))
    assert found.goes


def test_the_rectangle_round_doors_of_unlike_heights_is_no_hole():
    """A slab as high as the higher door and as wide as both: not proved shut, and not through what is wall."""
    doors = {"a": door(5, 5, 75, 90), "b": door(80, 5, 75, 40)}
    assert slab_through(doors, (130, 60, 70)).verdict == "no way found"


def test_doors_that_meet_are_one_hole_for_a_yes():
    """A slab as wide as three doors goes straight in, all three out."""
    found = slab_through(
        {"a": door(5, 5, 50, 90), "b": door(55, 5, 50, 90), "c": door(105, 5, 50, 90)}, (130, 60, 70)
    )
    assert found.goes
    assert found.way == "a and b and c"


@pytest.mark.parametrize(
    "panes",
    [
        # The wide pane runs 50 cm at most, behind the narrow one: 50 cm are open, the slab needs 52.
        {"small": door(0, 10, 50, 80, kind="sliding"), "big": door(50, 10, 110, 80, kind="sliding")},
        # One pane has 20 cm of wall beside it to run over.
        {"only": door(20, 10, 120, 80, kind="sliding")},
        {"only": door(0, 10, 160, 80, kind="sliding")},
    ],
)
def test_a_pane_slides_as_far_as_there_is_room(panes):
    """Through what is open by sliding the slab does not go: its panes come out first."""
    found = slab_through(panes, (85, 50, 60))
    assert found.goes
    assert found.done == "the panes lifted out of their rails"


@pytest.mark.parametrize(
    "swings", [("right", "left"), ("left", "left"), ("right", "right")], ids=["inwards", "left", "right"]
)
def test_a_leaf_that_hangs_in_the_middle_parts_two_doors(swings):
    """Each door is 38 cm wide; with a leaf of 15 mm at their seam a slab of 60 x 50 x 60 cm goes through neither."""
    doors = {
        "a": door(2, 10, 38, 80, kind="hinged", swing=swings[0], thickness="15 mm"),
        "b": door(40, 10, 38, 80, kind="hinged", swing=swings[1], thickness="15 mm"),
    }
    found = slab_through(doors, (60, 50, 60))
    assert not found.goes
    assert any("take the door leaf off" in words for words in found.remedies)


def test_leaves_that_hang_outside_leave_one_opening():
    """The same doors hung at their outer edges: straight in through both."""
    doors = {
        "a": door(2, 10, 38, 80, kind="hinged", swing="left", thickness="15 mm"),
        "b": door(40, 10, 38, 80, kind="hinged", swing="right", thickness="15 mm"),
    }
    found = slab_through(doors, (60, 50, 60))
    assert found.goes
    assert found.way == "a and b"


def test_a_way_into_the_empty_box_is_not_lost():
    """A side panel alone, and a door it must be turned through: what is found for the empty box is its answer."""
    rest = "backgrounds:\n  - {name: side, face: left, thickness: 3 cm, finish: cork}"
    report = study_of(
        text_of(INSIDE, {"a": door(5, 15, 60, 70, kind="hinged", swing="left", thickness="6 mm")}, rest)
    ).report
    (side,) = report.parts
    assert side.goes


def test_the_remedy_of_a_name_with_brackets_can_be_pasted():
    """The name of a part is quoted where YAML would read a list in it."""
    rest = 'backgrounds:\n  - {name: "a, [b]", face: back, thickness: 3 cm, finish: cork, at: [5 cm, 5 cm], size: [150 cm, 90 cm]}'
    found = study_of(text_of(INSIDE, {"d": door(50, 15, 60, 40)}, rest)).part("a, [b]")
    assert any('order: ["a, [b]", front]' in words for words in found.remedies)


def test_a_part_drawn_within_another_does_not_meet():
    """A hide wholly inside a shelf goes in through the door, and has no place: that is not known, and said."""
    rest = (
        SLAB.format(60, 40, 30)
        + "\nhides:\n  - {name: cave, at: [30 cm, 15 cm, 18 cm], size: [20 cm, 20 cm, 15 cm], opening: front}"
    )
    report = study_of(text_of(INSIDE, {"d": door(5, 5, 150, 90)}, rest)).report
    cave = next(part for part in report.parts if part.name == "cave")
    assert "within slab" in cave.within
    assert state_of(cave) == "unknown"
    assert report.exit_code == 3


def test_a_box_without_doors_is_filled_before_a_face_is_on():
    """No door, and an order that names the front: what comes before it goes in; what comes after it does not."""
    rest = SLAB.format(60, 40, 30)
    first = study_of(
        text_of(INSIDE, {}, rest + "\norder: [slab, front]").replace("doors:\n\n", "doors: []\n")
    )
    assert [part.goes for part in first.report.parts] == [True]
    none = study_of(text_of(INSIDE, {}, rest).replace("doors:\n\n", "doors: []\n"))
    assert none.report.parts == ()
    with pytest.raises(DomainError, match="no door"):
        none.part("slab")
