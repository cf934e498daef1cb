"""Cuts of a plan's panels: found from the plan's text alone, hidden where the plan hides them, each piece proved to go in."""

import json
import re

import numpy as np
import pytest

import sunfleck
from oracles import rigid
from oracles.passage_plans import study_of, text_of
from sunfleck.geometry.passage.pieces import panel_of
from sunfleck.outputs.passage_words import part_text
from sunfleck.plan.read import read_plan_text
from sunfleck.studies.passage.hidden import hidden_lines
from sunfleck.studies.passage.questions import verdicts_of

INSIDE = (122, 71, 122)
DOOR = {"door": {"at": "[3 cm, 6 cm]", "size": "[116 cm, 110 cm]"}}
OPENING = (0.03, 0.06, 1.16, 1.10)
WALL = 0.02
# Ordered to the inside size of the back wall; a shelf runs along it from wall to wall.
ORDERED = (
    "backgrounds:\n  - {name: back, face: back, thickness: 5 cm, finish: cork, at: [0 cm, 0 cm], size: [122 cm, 122 cm]}\n"
    "ledges:\n  - {name: long shelf, at: [0 cm, 50 cm, 55 cm], size: [122 cm, 16 cm, 4 cm], finish: cork}\n"
)


@pytest.fixture(scope="module")
def ordered():
    """The panel's answer, from the plan's text through the public function."""
    return sunfleck.passage(read_plan_text(text_of(INSIDE, DOOR, ORDERED)), "back")


def test_ordered_to_the_inside_size_it_is_proved_not_to_go_in_and_gets_a_hidden_cut(ordered):
    """The issue's own case: a proof; one cut behind the shelf; sizes with kerf and gap taken off."""
    assert (ordered.verdict, ordered.reason) == ("cannot go in", "no way through")
    first = ordered.cuts[0]
    assert (first.kind, first.hidden, first.edge, first.any_order) == ("one cut", True, 0.005, True)
    seam = first.seams[0]
    assert (seam.axis, seam.at) == (2, pytest.approx(0.57))
    assert seam.reason == "behind long shelf for all of its length"
    assert sum(piece.size[2] for piece in first.pieces) == pytest.approx(1.22 - 2 * 0.005 - 0.003)
    assert sum(piece.mass for piece in first.pieces) < ordered.mass


@pytest.mark.parametrize("first", [0, 1])
def test_the_pieces_touch_nothing_whichever_goes_in_first(ordered, first):
    """Held against a collision library: walls and door as the plan writes them, the other piece in its place or not."""
    import fcl  # with the oracle

    pieces = ordered.cuts[0].pieces
    order = [pieces[first], pieces[1 - first]]
    for number, piece in enumerate(order):
        solid = rigid.walls(np.array(INSIDE) / 100, WALL, [OPENING])
        solid += [rigid.cuboid(*box) for other in order[:number] for box in other.boxes]
        low, high = piece.boxes[0]
        shapes = [(fcl.Box(*(high - low - 2 * rigid.SKIN)), np.eye(3), np.zeros(3))]
        hits, poses = rigid.collisions(
            piece.motion, shapes, solid, 0.01, float(np.linalg.norm(high - low)) / 2
        )
        assert hits == 0
        assert poses > 100
        assert np.allclose(piece.motion.places[-1], (low + high) / 2)
        assert piece.motion.places[0][1] < -0.5


def test_it_is_told_where_to_saw_in_both_systems(ordered):
    """The line from the panel's own edge, the pieces' sizes, the order, what the saw takes; as data for a program too."""
    text = " ".join(part_text(ordered, "metric").split())
    for words in (
        "do: cut it, as below",
        "1. one straight cut, hidden, 2 pieces, 121 cm to seal",
        "saw from the left edge to the right edge, 57 cm from its lower edge, behind long shelf",
        "bring them in in any order, through door",
        "the lower one, 121 cm x 56.4 cm x 5 cm",
        "3 mm for the saw",
        "common practice, no source",
    ):
        assert words in text
    assert "22.44 in from its lower edge" in " ".join(part_text(ordered, "us").split())
    data = json.loads(json.dumps(ordered.to_dict()))["cuts"][0]
    assert data["seams"][0]["from_edge_m"] == pytest.approx(0.57)
    assert data["pieces"][0]["motion"]["places_m"]


def test_a_cut_that_leaves_no_more_room_is_not_proposed_and_what_is_advised_meets():
    """A side 5 mm short of each wall goes in, not with 10 mm: as a smaller one, or with less kept free, not sawn in two."""

    def side(at, width, height, rest=""):
        text = f"{{name: side, face: left, thickness: 3 cm, finish: cork, at: [{at}, {at}], size: [{width}, {height}]}}"
        return study_of(text_of(INSIDE, DOOR, f"backgrounds:\n  - {text}\n{rest}")).part("side")

    part = side("5 mm", "70 cm", "121 cm")
    assert (part.verdict, part.reason, part.cuts) == (
        "cannot go in",
        "the final place itself is too small",
        (),
    )
    text = " ".join(part_text(part, "metric").split())
    assert "order it with 1.5 cm free at each edge beside a wall" in text
    assert "no straight cut was found that leaves more free than the whole one has" in text
    advised = re.search(r"`(fit: \{clearance: 0\.\d+ cm\})`", text).group(1)
    assert side("5 mm", "70 cm", "121 cm", advised).goes
    assert side("15 mm", "68 cm", "119 cm").goes


def test_check_names_the_command_and_looks_for_no_cut():
    """The whole plan's answer stays quick: the advice says which command proposes cuts."""
    study = study_of(text_of(INSIDE, DOOR, ORDERED))
    back = next(part for part in study.report.parts if part.name == "back")
    assert back.cuts == ()
    assert back.cuts_asked is None
    advice = {verdict.id: verdict.advice for verdict in verdicts_of(study.report)}["passage:back"]
    assert "`sunfleck passage PLAN back` proposes where" in advice


def test_kerf_and_seam_of_the_plan_are_taken_off():
    """`fit: {kerf, seam}`: the wider of both; and a board from wall to wall may be cut as a panel is."""
    rest = (
        "fit: {kerf: 2 mm, seam: 6 mm}\n"
        "ledges:\n  - {name: board, at: [0 cm, 10 cm, 40 cm], size: [90 cm, 50 cm, 3 cm], finish: cork}\n"
    )
    door = {"door": {"at": "[10 cm, 10 cm]", "size": "[40 cm, 45 cm]"}}
    part = study_of(text_of((90, 60, 70), door, rest)).part("board")
    assert not part.goes
    first = part.cuts[0]
    assert (first.kerf, first.gap, first.basis) == (0.002, 0.006, "the plan's")
    along = sum(piece.size[first.seams[0].axis] for piece in first.pieces)
    assert along == pytest.approx(part.size[first.seams[0].axis] - 0.006 * len(first.seams))


def test_what_is_no_panel_is_not_sawn():
    """Of a block no cut is proposed, and none was looked for."""
    rest = (
        "ledges:\n  - {name: rock, at: [20 cm, 5 cm, 5 cm], size: [50 cm, 50 cm, 50 cm], finish: rock-grey}\n"
    )
    door = {"door": {"at": "[10 cm, 10 cm]", "size": "[40 cm, 40 cm]"}}
    part = study_of(text_of((90, 60, 70), door, rest)).part("rock")
    assert (part.verdict, part.cuts, part.cuts_asked) == ("cannot go in", (), None)


@pytest.mark.parametrize("mirrored", [False, True])
def test_lines_are_hidden_by_what_runs_along_them(mirrored):
    """An upright limb hides an upright line; a slanted one hides none; the ground hides what is below it; so does a mirror image."""

    def x(value):
        return 122 - value if mirrored else value

    rest = (
        "substrate: {depth: 12 cm, finish: soil-humus}\n"
        "perches:\n"
        f"  - {{name: post, path: [[{x(40)} cm, 50 cm, 12 cm], [{x(40)} cm, 50 cm, 121 cm]], diameter: [6 cm], wood: oak}}\n"
        f"  - {{name: slant, path: [[{x(1)} cm, 40 cm, 15 cm], [{x(121)} cm, 40 cm, 110 cm]], diameter: [6 cm], wood: oak}}\n"
    )
    items = study_of(text_of(INSIDE, DOOR, rest)).installation.items
    panel = panel_of([[[0.0, 0.66, 0.0], [1.22, 0.71, 1.22]]])
    lines = hidden_lines(panel, np.array([0.0, -1.0, 0.0]), items, 0.12)
    assert [(line.axis, line.reason.split(" for ")[0]) for line in lines] == [
        (2, "below the ground"),
        (0, "behind post"),
    ]
    assert lines[0].at == pytest.approx(0.105)
    assert lines[1].at == pytest.approx(x(40) / 100)
    # What stands behind the panel, seen from the room, hides nothing.
    assert (
        hidden_lines(
            panel_of([[[0.0, 0.1, 0.0], [1.22, 0.15, 1.22]]]), np.array([0.0, -1.0, 0.0]), items, 0.0
        )
        == ()
    )


def test_relief_is_not_sawn_through():
    """Two blocks side by side at other heights: no edge of one is a line where it runs through the other."""
    wall = [[0.0, 0.66, 0.0], [1.0, 0.71, 1.0]]
    left, right = [[0.1, 0.6, 0.2], [0.5, 0.66, 0.6]], [[0.6, 0.6, 0.4], [0.9, 0.66, 0.8]]
    lines = hidden_lines(panel_of([wall, left, right], 1), np.array([0.0, -1.0, 0.0]), (), 0.0)
    assert [(line.axis, round(line.at, 6)) for line in lines] == [
        (0, 0.1), (0, 0.5), (0, 0.6), (0, 0.9), (2, 0.2), (2, 0.8),
    ]  # fmt: skip
    assert lines[0].reason == "along its own relief for 40 % of its length"
