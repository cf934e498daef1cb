"""Steps told to a person: without gaps, small moves joined, the room beside the part never said too large."""

from itertools import pairwise

import numpy as np
import pytest

from oracles.cabinets import centred
from sunfleck.geometry.passage.answer import passage_of
from sunfleck.geometry.passage.motion import Motion, Move, Pose
from sunfleck.geometry.passage.rotations import rotation_about
from sunfleck.geometry.passage.steps import steps_of, with_room

STILL = np.array([1.0, 0, 0, 0])


def motion_of(places, kinds, turns=None):
    """A motion with a move for each of some kinds and number of rows."""
    turns = np.array([STILL] * len(places) if turns is None else turns, dtype=float)
    moves, row = [], 0
    for kind, rows in kinds:
        part = np.diff(np.array(places[row : row + rows + 1], float), axis=0)
        moves.append(Move(kind, row, row + rows, float(np.linalg.norm(part, axis=1).sum()), 0.0))
        row += rows
    return Motion(turns, np.array(places, float), np.zeros(3), tuple(moves))


def whole(steps, motion):
    assert steps[0].first == 0
    assert steps[-1].last == len(motion) - 1
    assert all(a.last == b.first for a, b in pairwise(steps))


def test_small_moves_are_told_with_their_neighbours():
    """2 mm aside before and between two pushes the same way: one push."""
    motion = motion_of(
        [[0.002, 0, 0], [0, 0, 0], [0, 0.5, 0], [0.002, 0.5, 0], [0.002, 1.0, 0]],
        [("slide", 1), ("push", 1), ("slide", 1), ("push", 1)],
    )
    steps = steps_of(motion)
    assert [step.kind for step in steps] == ["push"]
    whole(steps, motion)
    only = motion_of([[0, 0, 0], [0.001, 0, 0]], [("slide", 1)])
    whole(steps_of(only), only)


def test_a_long_straight_stretch_of_a_turn_is_a_step():
    """In 0.4 m, then a quarter turn, told as one move by the search: two steps, the angle and axis of the turn."""
    turns = [STILL, STILL, *(rotation_about([0, 0, 1], angle) for angle in np.linspace(0.2, np.pi / 2, 5))]
    motion = motion_of([[0, y, 0] for y in (0, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4)], [("turn", 6)], turns)
    push, turn = steps_of(motion)
    assert (push.kind, turn.kind) == ("push", "turn")
    assert push.shift == pytest.approx([0, 0.4, 0])
    assert turn.angle == pytest.approx(np.pi / 2)
    assert turn.axis == pytest.approx([0, 0, 1])
    back = steps_of(motion.backwards())
    assert [step.kind for step in back] == ["turn", "push"]
    assert back[0].axis == pytest.approx([0, 0, -1])


def test_the_room_beside_a_cube():
    """A cube of 0.6 m through 0.64 m: 20 mm; what is said is less by at most half of 3 mm, and never more."""
    case = centred((0.6, 0.6, 0.6), (0.64, 0.64), (1.5, 1.0, 1.5))
    answer = passage_of(case.body(), case.world(), Pose(STILL, np.array([0.75, 0.5, 0.75])), 0.01)
    steps = with_room(
        steps_of(answer.motion), answer.motion, case.body(), case.world(), answer.way, answer.certified
    )
    rooms = [step.room for step in steps if step.kind != "dock"]
    assert min(rooms) == pytest.approx(0.02 - 0.0015, abs=2e-4)
    assert min(rooms) <= 0.02
    assert all(np.isnan(step.room) for step in steps if step.kind == "dock")
    unknown = with_room(steps_of(answer.motion), answer.motion, case.body(), case.world(), "?", 0.01)
    assert all(np.isnan(step.room) for step in unknown)


def test_a_turn_whose_shift_does_not_keep_pace_is_told_in_two():
    """In while it turns by 80 degrees, then 0.2 m to the left in the last ten: done evenly it would hit what is between."""
    angles = [0.0, 0.7, 1.4, 1.57]
    turns = [rotation_about([0, 0, 1], angle) for angle in angles]
    motion = motion_of([[0, 0, 0], [0, 0.5, 0], [0, 1.0, 0], [-0.2, 1.0, 0]], [("turn", 3)], turns)
    steps = steps_of(motion)
    whole(steps, motion)
    assert [step.shift.round(6).tolist() for step in steps] == [[0, 1.0, 0], [-0.2, 0, 0]]
    even = motion_of([[0, 0, 0], [0, 0.5, 0], [0, 1.0, 0]], [("turn", 2)], [turns[0], turns[1], turns[2]])
    assert len(steps_of(even)) == 1
