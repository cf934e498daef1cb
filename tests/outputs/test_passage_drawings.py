"""Drawings of a motion: the box's own words, every step with its number, the same bytes, whatever the names."""

import re
from dataclasses import replace
from typing import get_args
from xml.etree import ElementTree

import numpy as np
import pytest

from sunfleck.errors import DomainError
from sunfleck.geometry.boxes import Face
from sunfleck.geometry.passage.bodies import block, turned
from sunfleck.geometry.passage.layers import NORMALS, Hinge, Leaf, Opening
from sunfleck.geometry.passage.motion import Motion, Move
from sunfleck.geometry.passage.rotations import rotation_about
from sunfleck.geometry.passage.stage import Stage
from sunfleck.geometry.passage.steps import steps_of
from sunfleck.outputs.passage_drawings import Drawn, passage_column, passage_sheets
from sunfleck.outputs.passage_staging import leaf_corners
from sunfleck.outputs.passage_strokes import _traced
from sunfleck.outputs.passage_views import FROM_ABOVE, SECONDS, face_view
from sunfleck.outputs.step_words import room_words, sentence_of
from sunfleck.outputs.themes import DARK, LIGHT
from sunfleck.units import format_at_least

STILL = np.array([1.0, 0, 0, 0])
DOOR = Opening("door", (0.1, 0.1), (0.8, 0.9), Leaf("left", 0.018))
STAGE = Stage(
    (1.0, 0.6, 1.2), "front", 0.02, (DOOR,), np.array([[[0.2, 0.4, 0], [0.4, 0.5, 0.6]], [[0, 0, 0], [1, 0.05, 0.1]]]), ("trunk", "board")
)  # fmt: skip
BODY = block([0.7, 0.04, 0.5])


def moved(*stretches):
    """Motion before the box: each stretch is a kind, a shift, an axis and an angle."""
    turns, places, moves = [STILL], [np.array([0.5, -0.8, 0.6])], []
    for kind, shift, axis, angle in stretches:
        first = len(turns) - 1
        base, start = turns[-1], places[-1]
        for k in range(1, 5):
            step = rotation_about(axis, angle * k / 4) if angle else STILL
            w, v = step[0], step[1:]
            turns.append(
                np.array([w * base[0] - v @ base[1:], *(w * base[1:] + base[0] * v + np.cross(v, base[1:]))])
            )
            places.append(start + np.array(shift) * k / 4)
        moves.append(Move(kind, first, first + 4, float(np.linalg.norm(shift)), angle))
    return Motion(np.array(turns), np.array(places), np.zeros(3), tuple(moves))


IN_AND_AROUND = moved(
    ("push", [0, 0.5, 0], [0, 0, 1], 0), ("turn", [0, 0.1, 0], [0, 0, 1], np.radians(38)), ("slide", [0.1, 0, 0.03], [0, 0, 1], 0), ("dock", [0, 0.008, 0], [0, 0, 1], 0)
)  # fmt: skip


def drawn(motion=IN_AND_AROUND, **changes):
    return replace(
        Drawn("Panel, in through the door", "Stairwell basilisk", STAGE, BODY, motion, steps_of(motion), "Two people, 14.2 kg.", "Sunfleck"),
        **changes,
    )  # fmt: skip


def sentences(motion, body=BODY, system="metric"):
    return [sentence_of(step, motion, body, STAGE, system) for step in steps_of(motion)]


def test_each_step_in_the_words_of_the_box():
    """What was moved and turned is what is said, in the units of the plan; the way out is told backwards."""
    assert sentences(IN_AND_AROUND) == [
        "Push it straight in, 50 cm.",
        "Turn it 38 degrees, right edge to the back, and take it 10 cm inwards on the way.",
        "Move it 10 cm to the right and 3 cm up without turning it.",
        "Set it into its place: 0.8 cm inwards.",
    ]
    assert sentences(IN_AND_AROUND, system="us")[0] == "Push it straight in, 19.7 in."
    out = sentences(IN_AND_AROUND.backwards())
    assert out[0] == "Take it off its place: 0.8 cm outwards."
    assert out[-1] == "Draw it straight out, 50 cm."
    assert "left edge to the back" in out[2]


@pytest.mark.parametrize(
    ("axis", "words"),
    [
        ([1, 0, 0], "lower edge to the back"),
        ([-1, 0, 0], "top edge to the back"),
        ([0, 0, 1], "right edge to the back"),
        ([0, 0, -1], "left edge to the back"),
        ([0, 1, 0], "left edge up"),
        ([0, -1, 0], "right edge up"),
    ],
)
def test_the_edge_that_is_named_goes_where_it_is_said_to(axis, words):
    """Six turns of a panel 70 cm wide and 50 cm high: counter-clockwise about the axis as seen against it."""
    assert sentences(moved(("turn", [0, 0, 0], axis, np.radians(20)))) == [f"Turn it 20 degrees, {words}."]


def test_a_leaning_panel_goes_in_edge_first_and_a_pot_does_not():
    """The edge that leads is named if one does; a tube has ends."""
    leaning = moved(("turn", [0, 0, 0], [0, 0, 1], np.radians(40)), ("push", [0, 0.5, 0], [0, 0, 1], 0))
    assert sentences(leaning)[1] == "Push it straight in, 50 cm, right edge first."
    tube = turned([-0.5, 0.5], [0.01, 0.01])
    steep = moved(("turn", [0, 0, 0], [1, 0, 0], np.radians(-60)), ("push", [0, 0.5, 0], [0, 0, 1], 0))
    assert sentences(steep, tube)[1].endswith("top end first.")
    pot = turned([0, 0.2, 0.2, 0.22], [0.09, 0.12, 0.13, 0.13])
    assert sentences(moved(("push", [0, 0.5, 0], [0, 0, 1], 0)), pot) == ["Push it straight in, 50 cm."]


def test_room_is_rounded_down():
    """Never more is said to stay free than does; what was asked is not said to be less by a binary digit."""
    assert format_at_least(0.0129) == "1.2 cm"
    assert format_at_least(0.1 * 0.1) == "1 cm"
    assert format_at_least(0.0029) == "0.25 cm"
    assert format_at_least(0.01, "us") == "0.39 in"
    step = steps_of(IN_AND_AROUND)[0]
    assert room_words(replace(step, room=0.0004), "metric").startswith("Nothing to spare")
    assert room_words(step, "metric") == ""


@pytest.mark.parametrize("face", get_args(Face))
def test_views_are_no_mirror_images(face):
    """Right, up and towards the eye are right-handed in every view; the face is looked at from outside."""
    views = [face_view(face), *SECONDS[face]]
    for view in views:
        assert np.cross(view.right, view.up) == pytest.approx(-np.array(view.look))
    assert views[0].look == pytest.approx(NORMALS[face])
    assert views[0].up[1 if face in ("top", "bottom") else 2] == 1


def test_an_open_leaf_stands_outside_at_its_hinge():
    """Square to the front, on the left as seen from outside, as thick as it is, over the opening."""
    corners = leaf_corners(STAGE, DOOR, face_view("front"))
    assert corners.min(axis=0) == pytest.approx([0.1, -0.82, 0.1])
    assert corners.max(axis=0) == pytest.approx([0.118, -0.02, 1.0])


def test_the_column_holds_every_step_and_is_the_same_every_time():
    """Text as text, numbers in order, what is not looked at; light and dark differ."""
    picture = passage_column(drawn(), "metric", LIGHT)
    assert picture == passage_column(drawn(), "metric", LIGHT)
    assert picture != passage_column(drawn(), "metric", DARK)
    root = ElementTree.fromstring(picture)
    words = " ".join("".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text"))
    assert [int(n) for n in re.findall(r"\b(\d)\. [A-Z]", words)] == [1, 2, 3, 4]
    for told in ("from above", "Two people, 14.2 kg.", "trunk, board", "Not looked at", "DejaVu"):
        assert told in words or told in picture.decode()


def test_views_of_one_motion_are_at_one_scale():
    """The box is as wide in each picture of a step: its outline in the SVG has one width."""
    from sunfleck.outputs import passage_drawings as drawings

    with drawings.drawing_settings():
        figure = drawings._column(drawn(), "metric", LIGHT)
        scales = {
            round(float(ax.get_position().width * 4.8 / np.ptp(ax.get_xlim())), 6) for ax in figure.axes
        } | {
            round(float(ax.get_position().height * figure.get_size_inches()[1] / np.ptp(ax.get_ylim())), 2)
            for ax in figure.axes
        }
    assert len({round(scale, 2) for scale in scales}) == 1
    assert len(figure.axes) == 8


def test_sheets():
    """Six steps on a sheet, the seventh on the next; the same bytes."""
    seven = moved(
        *[
            (("push", "slide")[k % 2], [(0.1, 0)[1 - k % 2], (0.1, 0)[k % 2], 0], [0, 0, 1], 0)
            for k in range(7)
        ]
    )
    content = passage_sheets(drawn(seven), "us")
    assert content == passage_sheets(drawn(seven), "us")
    assert len(re.findall(rb"/Type /Page\b", content)) == 2
    assert b"/MediaBox [ 0 0 792 612 ]" in content


SHORT = moved(("slide", [0, 0.2, 0], [0, 0, 1], 0))


@pytest.mark.parametrize("name", ["$x^2$ <b>&amp; ящерица \u0001 \U0001f98e\n", "x" * 400, ""])
def test_odd_names(name):
    """Whatever a part is called, the picture is one."""
    ElementTree.fromstring(passage_column(drawn(SHORT, title=name, plan=name), "metric", LIGHT))
    assert passage_sheets(drawn(SHORT, title=name, plan=name), "metric").startswith(b"%PDF")


def test_a_traced_line_is_the_line():
    """Of very many pieces: a disc is traced to one per cent of its area."""
    angle = 2 * np.pi * np.arange(64) / 64
    (line,) = _traced([np.column_stack([np.cos(angle), np.sin(angle)])])
    x, y = line.T
    assert abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2 == pytest.approx(np.pi, rel=0.01)


def test_a_motion_without_a_step_is_refused():
    """In words, not by a traceback."""
    with pytest.raises(DomainError, match="one step or more"):
        passage_column(drawn(SHORT, steps=()), "metric", LIGHT)


def test_every_face_is_drawn():
    """An opening in any face, with a leaf on any side and nothing standing; a leaf is to be seen."""
    for face in get_args(Face):
        bare = Stage((1.0, 0.6, 1.2), face, 0.02, (Opening("door", (0.1, 0.1), (0.3, 0.4)),))
        pushed = moved(("push", np.array(NORMALS[face]) * 0.2, [0, 0, 1], 0))
        without = passage_column(drawn(pushed, stage=bare), "metric", LIGHT)
        for hinge in get_args(Hinge):
            stage = Stage(
                (1.0, 0.6, 1.2),
                face,
                0.02,
                (Opening("door", (0.1, 0.1), (0.3, 0.4), Leaf(hinge, 0.01, 2.0)),),
            )
            motion = moved(("push", np.array(NORMALS[face]) * 0.2, [0, 0, 1], 0))
            assert passage_column(drawn(motion, stage=stage), "metric", LIGHT) != without
    assert FROM_ABOVE in SECONDS["front"]
