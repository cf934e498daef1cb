"""How a part is held before the opening, and which way it is turned, in words that a hand can follow."""

import numpy as np
import pytest

from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.rotations import product, rotation_about
from sunfleck.outputs.passage_start_words import start_words
from sunfleck.outputs.passage_words import move_words
from sunfleck.studies.passage.told_motion import ToldMove, told_start

# A post of 1.2 m that stands upright in the end; its own axes are those of the box.
POST = np.array([0.05, 0.1, 1.2])
UP = np.array([1.0, 0.0, 0.0, 0.0])


def held(first, size=POST, last=UP, *, half_turns=False):
    motion = Motion(np.array([first, last]), np.zeros((2, 3)), np.zeros(3), ())
    return start_words(told_start(motion, size, half_turns=half_turns))


def about(axis, degrees):
    return rotation_about(np.eye(3)[axis], np.radians(degrees))


def test_as_it_will_stand():
    """No turn, or half a turn of a block: nothing more to say."""
    assert held(UP) == "hold it as it stands at its place"
    assert held(about(2, 180), half_turns=True) == "hold it as it stands at its place"
    assert "180 degrees" in held(about(2, 180))


@pytest.mark.parametrize(("degrees", "points"), [(90, "towards you"), (-90, "to the back")])
def test_the_end_that_comes_to_the_top_is_named(degrees, points):
    """By the right hand: about the line to the right, 90 degrees take the top to the front."""
    words = held(about(0, degrees))
    assert "its long side from front to back" in words
    assert f"the end that comes to lie at the top {points}" in words
    assert "its short side from left to right" in words
    assert "the end" not in held(about(0, degrees), half_turns=True)


def test_aslant_tells_where_the_top_leans():
    """30 degrees about the line from front to back, by the right hand: the top goes to the right."""
    words = held(about(1, 30))
    assert "its long side 30 degrees off the upright, its top right" in words
    assert "its top left" in held(about(1, -30))
    assert "the end" not in words.split("its short side")[0].replace("its top", "")


def test_a_thing_as_wide_as_high_and_deep_has_no_sides():
    """Of a cube only how far it is turned."""
    assert held(about(2, 40), np.ones(3)) == "hold it turned 40 degrees from how it stands at its place"


@pytest.mark.parametrize(("axis", "seen"), [(0, "the right"), (1, "the front"), (2, "above")])
def test_the_sense_of_a_turn_is_what_a_person_sees_there(axis, seen):
    """A corner on the person's right goes up, or away from above: counter-clockwise. Right hand rule by hand."""
    # What lies to the right of the eye, and where it goes if turned counter-clockwise.
    right = {0: np.array([0, 1.0, 0]), 1: np.array([1.0, 0, 0]), 2: np.array([1.0, 0, 0])}[axis]
    goes = {0: np.array([0, 0, 1.0]), 1: np.array([0, 0, 1.0]), 2: np.array([0, 1.0, 0])}[axis]
    line = np.cross(right, goes)
    move = ToldMove("turn", np.zeros(3), np.pi / 2, line, 0)
    assert move_words(move, "metric").endswith(f", counter-clockwise seen from {seen}")
    other = ToldMove("turn", np.zeros(3), np.pi / 2, -line, 0)
    assert move_words(other, "metric").endswith(f", clockwise seen from {seen}")


def test_turns_add_up():
    """Held turned, and turned back by the move that is told: it stands as it will."""
    first = product(about(0, 35), about(2, 20))
    motion = Motion(np.array([first, UP]), np.zeros((2, 3)), np.zeros(3), ())
    start = told_start(motion, POST, half_turns=False)
    assert start.begin[0] @ start.end[0] == pytest.approx(np.cos(np.radians(35)))
