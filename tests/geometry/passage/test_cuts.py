"""Cuts that let a panel in: each piece's motion replayed in python-fcl with the other pieces standing there."""

import fcl
import numpy as np
import pytest

from oracles import rigid
from oracles.cabinets import WALL
from sunfleck.errors import DomainError
from sunfleck.geometry.passage.answer import passage_of
from sunfleck.geometry.passage.bodies import block
from sunfleck.geometry.passage.cuts import Saw, cuts_for
from sunfleck.geometry.passage.layers import Opening, cabinet
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.pieces import Line, Seam, joined, kind_of, panel_of, relief_lines

INSIDE = (1.22, 0.71, 1.22)
STRAIGHT = np.array([1.0, 0, 0, 0])
# The third and the fourth known case of cabinets: a panel at the back, and the door in front of it.
THIRD = ([[[0.01, 0.66, 0.01], [1.21, 0.71, 1.21]]], (0.03, 0.06, 1.16, 1.10))
FOURTH = ([[[0.01, 0.63, 0.02], [1.21, 0.71, 1.20]]], (0.03, 0.11, 1.16, 1.00))
RELIEF = [*THIRD[0], [[0.1, 0.60, 0.1], [0.5, 0.66, 0.9]], [[0.7, 0.62, 0.5], [1.1, 0.66, 1.1]]]
LINES = (Line(0, 0.4, "behind the main limb"), Line(2, 0.5, "under the ledge"))


def world_with(door, inside=INSIDE):
    x, z, w, h = door
    return lambda standing: cabinet(inside, "front", WALL, [Opening("door", (x, z), (w, h))], standing)


def shapes_of(piece):
    middle = (piece.boxes[:, 0].min(axis=0) + piece.boxes[:, 1].max(axis=0)) / 2
    return [
        (fcl.Box(*(high - low - 2 * rigid.SKIN)), np.eye(3), (low + high) / 2 - middle)
        for low, high in piece.boxes
    ]


def hits_of(proposal, door, inside=INSIDE, step=0.01):
    """Collisions of every piece with the walls and the pieces brought in before it; where any order goes, with all others."""
    total = 0
    for k, piece in enumerate(proposal.pieces):
        others = [p for j, p in enumerate(proposal.pieces) if (j != k if proposal.any_order else j < k)]
        solid = rigid.walls(inside, WALL, [door])
        solid += [rigid.cuboid(*box) for other in others for box in other.boxes]
        lever = float(np.linalg.norm(piece.size)) / 2
        total += rigid.collisions(piece.brought.motion, shapes_of(piece), solid, step, lever)[0]
    return total


def test_a_panel_ordered_to_the_inside_size_gets_a_hidden_cut():
    """Proved not to go in whole; the cuts along hidden lines, edges taken back 5 mm, touch nothing in the collision library."""
    door = THIRD[1]
    boxes = np.array([[[0.0, 0.66, 0.0], [1.22, 0.71, 1.22]]])
    world = world_with(door)
    whole = passage_of(block([1.22, 0.05, 1.22]), world(()), Pose(STRAIGHT, boxes[0].mean(axis=0)))
    assert (whole.verdict, whole.reason) == ("cannot go in", "no way through")
    cuts = cuts_for(panel_of(boxes), world, INSIDE, Saw(0.003, 0.003, 0.005), 0.01, LINES)
    assert {seam.reason for p in cuts.proposals for seam in p.seams} == {line.reason for line in LINES}
    for proposal in cuts.proposals:
        assert (proposal.kind, proposal.edge, proposal.any_order) == ("one cut", 0.005, True)
        assert hits_of(proposal, door) == 0
        seam = proposal.seams[0]
        along = [piece.size[seam.axis] for piece in proposal.pieces]
        assert sum(along) == pytest.approx(1.22 - 2 * 0.005 - 0.003, abs=1e-9)


@pytest.mark.parametrize(("boxes", "door"), [THIRD, FOURTH, (RELIEF, THIRD[1])])
def test_one_cut_in_the_middle_and_the_range_in_which_it_works(boxes, door):
    """Nothing hides it: shortest seam first; at both ends of the range told the larger piece's own motion is certified."""
    world = world_with(door)
    cuts = cuts_for(panel_of(boxes), world, INSIDE, clearance=0.005)
    first = cuts.proposals[0]
    assert (first.kind, first.in_sight, first.any_order) == ("one cut", 1, True)
    assert first.seam_length == min(p.seam_length for p in cuts.proposals)
    assert hits_of(first, door) == 0
    low, high = first.anywhere
    assert low < first.seams[0].at < high
    at_the_end = cuts_for(
        panel_of(boxes), world, INSIDE, clearance=0.005, lines=[Line(first.seams[0].axis, high, "there")]
    )
    assert any(seam.reason == "there" for p in at_the_end.proposals for seam in p.seams)


def test_natural_relief_comes_first():
    """With lines given, no proposal is cut in sight; relief's own edges are such lines."""
    panel = panel_of(RELIEF)
    lines = relief_lines(panel, "relief")
    assert {(line.axis, round(line.at, 3)) for line in lines} >= {(0, 0.5), (0, 0.7), (2, 0.9)}
    cuts = cuts_for(panel, world_with(THIRD[1]), INSIDE, clearance=0.005, lines=lines)
    assert len(cuts.proposals) == 5
    assert all(p.in_sight == 0 for p in cuts.proposals)
    assert hits_of(cuts.proposals[0], THIRD[1]) == 0


def test_more_cuts_where_one_does_not_do():
    """A wall 2.4 m wide behind a door of 0.8 m: three pieces, the best with parallel cuts, and T-cuts beside."""
    inside, door = (2.4, 0.6, 1.2), (0.8, 0.05, 0.8, 1.1)
    panel = panel_of([[[0.02, 0.55, 0.02], [2.38, 0.6, 1.18]]])
    cuts = cuts_for(panel, world_with(door, inside), inside, clearance=0.005)
    best = cuts.proposals[0]
    assert (best.kind, len(best.pieces), best.any_order) == ("parallel cuts", 3, True)
    assert {p.kind for p in cuts.proposals} == {"parallel cuts", "T"}
    assert hits_of(best, door, inside) == 0


def test_a_question_and_its_mirror_image():
    """The same proposals, seams mirrored."""
    boxes = np.array([[[0.0, 0.66, 0.01], [1.1, 0.71, 1.21]], [[0.6, 0.6, 0.2], [0.9, 0.66, 0.8]]])
    door = (0.01, 0.06, 1.0, 1.0)
    image = boxes.copy()
    image[:, :, 0] = 1.22 - boxes[:, ::-1, 0]
    line = Line(0, 0.6, "relief")
    a = cuts_for(panel_of(boxes), world_with(door), INSIDE, lines=[line])
    b = cuts_for(
        panel_of(image), world_with((1.22 - 1.01, 0.06, 1.0, 1.0)), INSIDE, lines=[Line(0, 0.62, "relief")]
    )
    assert [p.kind for p in a.proposals] == [p.kind for p in b.proposals]
    sides = [[1.22 - s.at if s.axis == 0 else s.at for s in p.seams] for p in b.proposals]
    for p, seams in zip(a.proposals, sides, strict=True):
        assert [s.at for s in p.seams] == pytest.approx(seams)


def test_no_cut_found_is_said_with_its_effort():
    """Through a slot of 4 cm nothing wide goes: no proposal, and how many pieces were asked about."""
    panel = panel_of([[[0.01, 0.25, 0.01], [0.49, 0.3, 0.49]]])
    cuts = cuts_for(panel, world_with((0.2, 0.2, 0.04, 0.04), (0.5, 0.3, 0.5)), (0.5, 0.3, 0.5))
    assert cuts.proposals == ()
    assert cuts.asked > 0
    assert cuts.tried > 0


def test_seams_in_one_line_are_one():
    """Two halves of a cut on both sides of another: a cross; one of them: a T."""
    long = Seam(0, 0.5, 0.0, 1.0, "")
    left, right = Seam(2, 0.4, 0.0, 0.498, ""), Seam(2, 0.4, 0.502, 1.0, "")
    assert kind_of(joined([long, left, right], 0.004)) == "cross"
    assert kind_of(joined([long, left], 0.004)) == "T"
    assert kind_of([]) == "uncut"


def test_impossible_numbers_are_refused():
    """A kerf below zero; a panel without extent."""
    with pytest.raises(DomainError, match="kerf"):
        cuts_for(panel_of(THIRD[0]), world_with(THIRD[1]), INSIDE, Saw(-0.1))
    with pytest.raises(DomainError, match="low and a high corner"):
        panel_of([[[0, 0, 0], [1, 0, 1]]])
