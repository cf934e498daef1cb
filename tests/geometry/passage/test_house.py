"""A box through a house, against the planar limits of published tables and against story 1 of the trade."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.house import Stage, carried_along, largest_extent
from sunfleck.geometry.passage.planar import carried_round_corner

DOOR = Stage("door", "front door", (0.76,), 2.0)
LENGTHS = st.floats(0.1, 2.5)


def verdict(size, *stages, clearance=0.0):
    return carried_along(size, stages, clearance).verdict


def test_the_deep_body_does_not_pass_the_house_door():
    """160 x 80 x 180 cm, door 76 cm clear: proved by its least extent; 74 cm passes with 1 cm for hands."""
    assert verdict((1.6, 0.8, 1.8), DOOR) == "cannot go"
    assert verdict((1.6, 0.74, 1.8), DOOR, clearance=0.01) == "goes"
    assert verdict((1.6, 0.745, 1.8), DOOR, clearance=0.01) == "no way found"
    assert largest_extent((1.6, 0.8, 1.8), 1, [DOOR], 0.01) == pytest.approx(0.74, abs=2e-4)


@pytest.mark.parametrize(
    ("a", "b", "w", "limit"), [(1, 1, 0.5, 1.828427), (0.9, 0.76, 0.6, 1.138695), (1.2, 0.9, 0.6, 1.747413)]
)
def test_round_a_corner(a, b, w, limit):
    """Limits of an independent minimisation; the planner without a formula finds the same motion and the same no."""
    corner = Stage("corner", "corner", (a, b), 1.9)
    # 1.8 m tall under 1.9 m: it is held upright only.
    below, above = limit * 0.999, limit * 1.001
    assert verdict((below, w, 1.85), corner) == "goes"
    assert carried_round_corner(below, w, a, b).state == "found open"
    assert verdict((above, w, 1.85), corner) == "no way found"
    assert carried_round_corner(above, w, a, b).state == "proved"


def test_a_thin_ladder_round_a_corner():
    """3, 4: 9.865663 (published 9.87, MathWorld)."""
    corner = Stage("corner", "corner", (3.0, 4.0), 3.0)
    assert verdict((9.865, 1e-4, 1e-4), corner) == "goes"
    assert verdict((9.867, 1e-4, 1e-4), corner) == "no way found"


def test_stood_up_under_a_ceiling():
    """1.8 x 0.6 m sweeps 1.897 m; lower it may only come upright all the way, lower than itself never."""
    lying = Stage("door", "low door", (0.9,), 1.0)
    for height, told in ((1.898, "goes"), (1.896, "no way found"), (1.79, "cannot go")):
        assert verdict((0.9, 0.6, 1.8), lying, Stage("ceiling", "room", (), height)) == told
    assert verdict((0.9, 0.6, 1.8), DOOR, Stage("ceiling", "room", (), 1.85)) == "goes"


def test_what_leans_in_a_lift_is_not_upright_all_the_way():
    """2.05 m behind a door of 2.0 m leans; righted over 0.2 m it sweeps hypot(2.05, 0.2) = 2.060 m."""
    lift = Stage("lift", "lift", (0.8,), 2.0, (1.1, 1.4, 2.1))
    for height, told in ((2.055, "no way found"), (2.061, "goes")):
        assert verdict((0.6, 0.2, 2.05), lift, Stage("ceiling", "room", (), height)) == told


def test_a_lift():
    """A panel of 2.4 m leans in a cabin 1.4 m deep and 2.1 m high behind a door of 2.0 m; one of 2.6 m does not."""
    lift = Stage("lift", "lift", (0.8,), 2.0, (1.1, 1.4, 2.1))
    answer = carried_along((2.4, 0.02, 0.4), [lift]).stages[0]
    assert answer.verdict == "no way found"
    assert carried_along((2.3, 0.02, 0.1), [lift]).stages[0].carriage.how == "leant"
    assert verdict((2.6, 0.02, 0.1), lift) == "no way found"
    assert verdict((0.9, 0.85, 0.9), lift) == "cannot go"


def test_level_before_aslant_and_with_the_room_it_has_in_that():
    """A panel stands on end in a lift rather than leaning; upright with 1 cm is told as 1 cm, though lying has 3."""
    lift = Stage("lift", "lift", (0.8,), 2.0, (1.1, 1.4, 2.1))
    on_end = carried_along((1.6, 0.02, 1.0), [lift]).stages[0]
    assert (on_end.carriage.up, on_end.carriage.how) == (0, "level")
    # Depth 1.4 less 1.0 and door height 2.0 less 1.6, half on each side.
    assert on_end.spare == pytest.approx(0.2, abs=1e-4)
    upright = carried_along((0.7, 0.5, 1.98), [DOOR], 0.005).stages[0]
    assert (upright.carriage.up, upright.spare) == (2, pytest.approx(0.01, abs=1e-4))


def test_stairs_take_headroom_square_to_the_slope():
    """2 m above a step of a flight of 42 degrees are 1.49 m square to it."""
    stairs = Stage("stairs", "stairs", (1.0, 1.0), 2.0)
    assert carried_along((0.9, 0.6, 1.48), [stairs], 0.0).stages[0].carriage.up == 2
    assert carried_along((0.9, 0.6, 1.5), [stairs], 0.0).stages[0].carriage.up != 2


@settings(max_examples=60, deadline=None)
@given(LENGTHS, LENGTHS, LENGTHS, LENGTHS, st.floats(0.5, 0.99))
def test_a_smaller_box_goes_where_a_larger_one_does(w, d, h, width, share):
    """And its widths may be turned round: a door does not ask which is called depth; spare room is truly spare."""
    stages = [
        Stage("door", "door", (width,), 2.0),
        Stage("corner", "corner", (width, 1.2), 2.4),
        Stage("lift", "lift", (width,), 2.0, (1.1, 1.4, 2.1)),
    ]
    answer = carried_along((w, d, h), stages)
    assert answer.verdict == carried_along((d, h, w), stages).verdict
    if answer.verdict == "goes":
        assert verdict((w * share, d, h * share), *stages) == "goes"
        spare = min(stage.spare for stage in answer.stages)
        assert verdict((w, d, h), *stages, clearance=max(0.0, spare - 1e-6)) == "goes"


def test_more_room_than_is_looked_for_is_not_told_as_less():
    """Asked with 0.7 m for hands in a wide door, 0.7 m are told, not 0.5."""
    answer = carried_along((0.2, 0.2, 0.2), [Stage("door", "gate", (3.0,), 3.0)], 0.7).stages[0]
    assert (answer.verdict, answer.spare) == ("goes", pytest.approx(0.7))


def test_impossible_numbers_are_refused():
    """With the number in the message."""
    with pytest.raises(DomainError, match=r"0\.8"):
        carried_along((0.8, 0.0, 1.0), [DOOR])


@pytest.mark.parametrize(
    "make",
    [
        lambda: Stage("door", "d"),
        lambda: Stage("corner", "c", (1.0,)),
        lambda: Stage("door", "d", (float("nan"),)),
        lambda: Stage("lift", "l", (1.0,), 2.0),
        lambda: Stage("ceiling", "c", (), 0.0),
    ],
)
def test_a_stage_has_the_lengths_of_its_kind(make):
    """Refused in words, not answered as if it were free."""
    with pytest.raises(DomainError, match="above zero"):
        make()
