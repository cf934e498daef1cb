"""How a part is held before the opening, and which way it is turned, in words that a hand can follow."""

import numpy as np
import pytest

from sunfleck.geometry.passage.bodies import block, turned
from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.rotations import product, rotation_about
from sunfleck.outputs.passage_start_words import held_words, whole_degrees
from sunfleck.outputs.passage_words import move_words
from sunfleck.studies.passage.told_motion import ToldMove, told_start

# A post of 1.2 m that stands upright in the end, and a tray; their own axes are those of the box.
POST, TRAY = block([0.05, 0.1, 1.2]), block([0.4, 0.4, 0.05])
UP = np.array([1.0, 0.0, 0.0, 0.0])


def start(first, body=POST, last=UP):
    motion = Motion(np.array([first, last]), np.zeros((2, 3)), np.zeros(3), ())
    return told_start(motion, body)


def held(first, body=POST, last=UP):
    return held_words(start(first, body, last))


def about(axis, degrees):
    return rotation_about(np.eye(3)[axis], np.radians(degrees))


def test_as_it_will_stand():
    """No turn: nothing more to say. Half a turn of a block is one: it may have a face."""
    assert held(UP) == "hold it as it stands at its place"
    assert "turned 180 degrees" in held(about(2, 180))
    assert "what comes to face the front points to the back" in held(about(2, 180))


@pytest.mark.parametrize(("degrees", "points"), [(90, "towards you"), (-90, "to the back")])
def test_the_end_that_comes_to_the_top_is_named(degrees, points):
    """By the right hand: about the line to the right, 90 degrees take the top to the front, the front down."""
    words = held(about(0, degrees))
    assert "its long side from front to back" in words
    assert f"the end that comes to lie at the top {points}" in words
    assert f"what comes to face the front points {'down' if degrees > 0 else 'up'}" in words


def test_aslant_tells_where_the_top_leans():
    """30 degrees about the line from front to back, by the right hand: the top goes to the right."""
    assert "its long side 30 degrees off the upright, its top to the right" in held(about(1, 30))
    assert "its top to the left" in held(about(1, -30))


@pytest.mark.parametrize("body", [TRAY, turned([0, 0.05], [0.2, 0.2])])
def test_a_tray_or_a_bowl_says_where_its_open_top_points(body):
    """Turned about the line from front to back by the right hand, the top points to the right; or half of both."""
    words = held(about(1, 90), body)
    assert words.endswith("what comes to lie on top points to the right")
    assert held(about(1, 135), body).endswith("what comes to lie on top points to the right and down")
    assert "on top" not in held(about(2, 90), body)


def test_a_tube_looks_the_same_all_round():
    """Of what is round about its length only its ends count."""
    tube = turned([-0.5, 0.5], [0.013, 0.013])
    assert "front" not in held(about(2, 90), tube)
    assert "its long side from left to right" in held(about(1, 90), tube)


def test_a_half_is_rounded_one_way():
    """82.5 degrees, whatever its last binary digit: the same in every sentence."""
    assert {whole_degrees(np.radians(82.5) * (1 + sign * 1e-15)) for sign in (-1, 0, 1)} == {"83 degrees"}


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
    begins = start(product(about(0, 35), about(2, 20)))
    assert begins.begin[0] @ begins.end[0] == pytest.approx(np.cos(np.radians(35)))
    assert begins.top == pytest.approx(begins.begin[0])
