"""What passage asks of a plan is told as problems, each with its remedy; a plan without it is what it was."""

import pytest

from oracles.passage_plans import text_of
from sunfleck.document.problem import PlanError
from sunfleck.plan.likeness import print_of
from sunfleck.plan.models import json_schema
from sunfleck.plan.moved import moved
from sunfleck.plan.read import read_plan_text

SHELF = "ledges:\n  - {name: shelf, at: [5 cm, 5 cm, 10 cm], size: [20 cm, 20 cm, 4 cm], finish: cork}\n"
DOOR = {"door": {"at": "[10 cm, 10 cm]", "size": "[40 cm, 40 cm]"}}
PANEL = (
    "backgrounds:\n  - {name: rocks, face: back, thickness: 2 cm, finish: cork, at: [5 cm, 10 cm], size: [25 cm, 40 cm],"
    " relief: [{at: [%s cm, 12 cm], size: [10 cm, 10 cm], thickness: 9 cm}]}\n"
)


def problems(rest, doors=None):
    with pytest.raises(PlanError) as caught:
        read_plan_text(text_of((90, 60, 70), doors or DOOR, rest))
    return [(problem.rule, problem.fix) for problem in caught.value.problems]


def test_an_order_names_parts_and_faces():
    """A misspelt name gets its neighbour, a name twice is told; a face is a name."""
    assert problems(SHELF + "order: [shalf]") == [("fit.order-name", "shelf")]
    assert problems(SHELF + "order: [shelf, shelf]") == [("fit.order-name", None)]
    assert read_plan_text(text_of((90, 60, 70), DOOR, SHELF + "order: [shelf, front]")).plan.order == (
        "shelf",
        "front",
    )


def test_a_bowl_is_round_or_square_and_in_the_box():
    """Neither, both, half of one; beyond a wall."""
    for keys in ("diameter: 10 cm", "diameter: 10 cm, height: 3 cm, size: [9 cm, 9 cm, 3 cm]", ""):
        entry = f"bowls:\n  - {{name: basin, at: [30 cm, 30 cm, 0 cm]{', ' if keys else ''}{keys}}}\n"
        assert problems(entry) == [("fit.bowl-shape", None)]
    beyond = "bowls:\n  - {name: basin, at: [3 cm, 30 cm, 0 cm], diameter: 10 cm, height: 3 cm}\n"
    assert problems(beyond) == [("geometry.inside-shell", None)]


def test_fittings_are_of_their_kind_of_door():
    """`lap` of a lift-out door; a pane that leaves nothing open."""
    assert problems("", {"door": {**DOOR["door"], "lap": "2 cm"}}) == [("fit.door-fittings", None)]
    shut = {"door": {**DOOR["door"], "kind": "sliding", "lap": "30 cm", "handle": "10 cm"}}
    assert problems("", shut) == [("fit.door-fittings", None)]


def test_relief_lies_on_its_panel():
    """A block beyond its panel's edge."""
    assert problems(PANEL % 25) == [("fit.relief-place", None)]
    assert (
        read_plan_text(text_of((90, 60, 70), DOOR, PANEL % 8)).plan.backgrounds[0].relief[0].thickness == 0.09
    )


def test_what_is_new_changes_nothing_of_older_plans():
    """The print of a box that surveys keep does not know of keys that are not there, nor of fittings; of a bowl it does."""
    plain = read_plan_text(text_of((90, 60, 70), DOOR, SHELF)).plan
    assert print_of(plain) == "bcf565b2511f"
    slid = {"door": {**DOOR["door"], "kind": "sliding"}}
    fitted = {"door": {**slid["door"], "lap": "2 cm"}}
    one, other = (read_plan_text(text_of((90, 60, 70), doors, SHELF)).plan for doors in (slid, fitted))
    assert print_of(one) == print_of(other)
    bowl = "bowls:\n  - {name: basin, at: [40 cm, 30 cm, 0 cm], diameter: 10 cm, height: 3 cm}\n"
    with_bowl = read_plan_text(text_of((90, 60, 70), DOOR, SHELF + bowl)).plan
    assert print_of(with_bowl) != print_of(plain)
    assert moved(with_bowl, "bowls", "basin", (0.1, 0.0, 0.0)).bowls[0].at == pytest.approx((0.5, 0.3, 0.0))


def test_the_schema_knows_the_keys():
    """An editor completes them."""
    known = json_schema()
    assert {"fit", "bowls", "order"} <= set(known["properties"])
    assert {"opens", "lap", "handle"} <= set(known["$defs"]["Door"]["properties"])
