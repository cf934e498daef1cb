"""Known answers in space; found motions replayed in a collision library; proofs and motions never contradict."""

import numpy as np
import pytest

from oracles import rigid
from oracles.cabinets import UPRIGHT, WALL, centred, near_the_limit
from sunfleck.errors import DomainError
from sunfleck.geometry.passage.answer import Effort, passage_of
from sunfleck.geometry.passage.bodies import block, branch, turned
from sunfleck.geometry.passage.flood import flooded
from sunfleck.geometry.passage.layers import Leaf, Opening, cabinet
from sunfleck.geometry.passage.mirror import canonical
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.planner import searched
from sunfleck.geometry.passage.rotations import rotation_about
from sunfleck.geometry.passage.setting import setting_of

DOOR = (1.16, 1.10)
STRAIGHT = np.array([1.0, 0, 0, 0])
QUICK = Effort(steps=(0.008,), seeds=(1,), tries=100, cells=2000)


def asked(case, clearance=0.0, effort=None):
    return passage_of(case.body(), case.world(), case.goal(), clearance, effort)


def touches(case, motion, step=0.002):
    lever = float(np.linalg.norm(case.panel)) / 2
    return rigid.collisions(
        motion, rigid.box_shape(case.panel), rigid.walls(case.inside, WALL, [case.door]), step, lever
    )


@pytest.mark.parametrize(
    ("panel", "door"),
    [((1.20, 1.20, 0.05), DOOR), ((1.20, 1.18, 0.08), (1.16, 1.00)), ((1.19, 1.20, 0.05), DOOR)],
)
def test_proven_not_to_go_in(panel, door):
    """Inside 1.22 x 0.71 x 1.22 m, wall 20 mm. First and second: proved by a flood of an even grid as well; third: likewise."""
    answer = asked(centred(panel, door))
    assert (answer.verdict, answer.reason) == ("cannot go in", "no way through")
    assert answer.proof.state == "proved"


@pytest.mark.parametrize("width", [1.00, 1.165, 1.175])
def test_found_to_go_in(width):
    """The same box and door: found motions touch nothing in the collision library, at 2 mm steps."""
    case = centred((width, 1.20, 0.05), DOOR)
    answer = asked(case)
    assert answer.verdict == "goes in"
    hits, poses = touches(case, answer.motion)
    assert hits == 0
    assert poses > 500
    first, last = answer.motion.pose(0), answer.motion.pose(len(answer.motion) - 1)
    assert first.place[1] < -0.5 * max(case.panel)
    assert last.place == pytest.approx(case.goal().place, abs=1e-9)


def test_a_forked_branch_between_half_doors():
    """Three arms of 0.5, 0.45 and 0.4 m, 8 cm thick; two half doors of 0.52 x 0.90 m, a post of 6 cm between."""
    tips = [[0.5, 0, 0], [-0.3, 0.0, 0.335], [-0.25, 0.0, -0.312]]
    doors = [(0.06, 0.1, 0.52, 0.9), (0.64, 0.1, 0.52, 0.9)]
    world = cabinet(
        [1.22, 0.71, 1.22],
        "front",
        WALL,
        [Opening(n, d[:2], d[2:]) for n, d in zip("lr", doors, strict=True)],
    )
    answer = passage_of(
        branch([([[0, 0, 0], tip], 0.04) for tip in tips]),
        world,
        Pose(STRAIGHT, np.array([0.5, 0.4, 0.6])),
        0.002,
    )
    assert answer.verdict == "goes in"
    shapes = rigid.capsule_shapes([([0, 0, 0], tip) for tip in tips], 0.04)
    hits, _ = rigid.collisions(
        answer.motion, shapes, rigid.walls((1.22, 0.71, 1.22), WALL, doors), 0.004, 0.6
    )
    assert hits == 0


def test_hollows_beside_a_post_are_never_proved():
    """Not layered: whatever is tried, the verdict is not `cannot go in`; a convex body there is proved."""
    doors = [Opening("l", (0.06, 0.1), (0.1, 0.9)), Opening("r", (0.3, 0.1), (0.1, 0.9))]
    world = cabinet([0.5, 0.71, 1.22], "front", WALL, doors)
    fork = branch([([[0, 0, 0], [0, 0.3, 0]], 0.06), ([[0, 0, 0], [0, 0, 0.3]], 0.06)])
    answer = passage_of(fork, world, Pose(STRAIGHT, np.array([0.25, 0.3, 0.5])), 0.0, QUICK)
    assert answer.verdict == "no way found"
    answer = passage_of(block([0.2, 0.2, 0.2]), world, Pose(STRAIGHT, np.array([0.25, 0.3, 0.5])), 0.0)
    assert answer.verdict == "cannot go in"


def test_simple_moves_come_first():
    """Straight if it goes straight, in one move; a panel wider than the door in few."""
    straight = asked(centred((1.0, 1.0, 0.05), DOOR), 0.01)
    assert (straight.method, straight.moves) == ("straight push", 1)
    tilted = asked(centred((1.0, 1.20, 0.05), DOOR), 0.005)
    assert tilted.method.startswith("few moves")
    assert tilted.moves <= 3


def test_a_place_that_is_too_small():
    """Wider than the box; or no room for the clearance beside it, though it goes in without."""
    wide = asked(centred((1.23, 1.0, 0.05), DOOR))
    assert (wide.verdict, wide.reason) == ("cannot go in", "the final place itself is too small")
    tight = centred((1.21, 1.0, 0.05), (1.22, 1.10))
    assert asked(tight, 0.01).reason == "the final place itself is too small"
    assert asked(tight).verdict == "goes in"
    exact = asked(centred((1.22, 1.0, 0.05), (1.22, 1.10)))
    assert (exact.verdict, exact.method) == ("goes in", "straight push")


def test_largest_clearance():
    """A cube of 0.6 m through 0.64 m, which no turning helps: 20 mm on each side and no more."""
    case = centred((0.6, 0.6, 0.6), (0.64, 0.64), (1.5, 1.0, 1.5))
    low, high = asked(case, 0.0, Effort(steps=(0.008,), seeds=(), cells=20_000, bisections=6)).largest
    assert low <= 0.02
    assert high >= 0.02 - 1e-9
    assert low == pytest.approx(0.02, abs=0.004)


def test_the_collision_library_sees_a_wall():
    """The check can fail: the same motion of a panel too wide for the box touches."""
    case = centred((1.0, 1.20, 0.05), DOOR)
    motion = asked(case).motion
    solid = rigid.walls(case.inside, WALL, [case.door])
    assert rigid.collisions(motion, rigid.box_shape((1.25, 1.20, 0.05)), solid, 0.02, 0.8)[0] > 0


def test_clearance_is_kept():
    """With 8 mm asked, a panel larger by 16 mm less a hair touches nothing until it docks."""
    case = centred((1.0, 1.18, 0.03), DOOR)
    answer = asked(case, 0.008)
    dock = answer.motion.moves[-1]
    assert dock.kind == "dock"
    grown = np.array(case.panel) + 2 * 0.008 - 1e-5
    free = type(answer.motion)(
        answer.motion.turns[: dock.first + 1], answer.motion.places[: dock.first + 1], answer.motion.about, ()
    )
    hits, _ = rigid.collisions(
        free, rigid.box_shape(grown), rigid.walls(case.inside, WALL, [case.door]), 0.002, 0.8
    )
    assert hits == 0


def test_the_way_out_is_the_way_in_backwards():
    """Same poses from the last to the first, moves in turn."""
    motion = asked(centred((1.165, 1.20, 0.05), DOOR)).motion
    out = motion.backwards()
    assert (out.turns[::-1] == motion.turns).all()
    assert out.moves[0].kind == motion.moves[-1].kind
    assert out.moves[0].first == 0
    assert out.moves[-1].last == len(motion) - 1


def test_doors_and_hatches():
    """A leaf takes its thickness, a sliding door what stays shut; a hatch is entered from above."""
    inside, body = [1.0, 0.5, 0.8], block([0.36, 0.1, 0.3])
    goal = Pose(STRAIGHT, np.array([0.3, 0.3, 0.3]))
    door = Opening("door", (0.1, 0.1), (0.4, 0.5))
    leaf = Opening("door", (0.1, 0.1), (0.4, 0.5), Leaf("left", 0.05))
    free = passage_of(body, cabinet(inside, "front", 0.02, [door]), goal, 0.01)
    beside = passage_of(body, cabinet(inside, "front", 0.02, [leaf]), goal, 0.01)
    assert free.method == "straight push"
    assert beside.verdict == "goes in"
    assert beside.method != "straight push"
    # The leaf hangs on the left: what goes in straight is further right.
    part = Opening(door.name, (0.1, door.at[1]), (0.1, door.size[1]))
    assert (
        passage_of(block([0.12, 0.12, 0.12]), cabinet(inside, "front", 0.02, [part]), goal).verdict
        == "cannot go in"
    )
    hatch = passage_of(
        body, cabinet(inside, "top", 0.02, [Opening("hatch", (0.1, 0.1), (0.5, 0.4))]), goal, 0.005
    )
    assert (hatch.method, hatch.verdict) == ("straight push", "goes in")
    assert hatch.motion.places[0][2] > 0.8


def test_what_stands_in_the_box():
    """A kick board the width of the box is a layer; a post in the middle is widened for a yes, left out for a no."""
    inside = [1.0, 0.5, 0.8]
    door = [Opening("door", (0.1, 0.0), (0.8, 0.8))]
    board = [[[0.0, 0.0, 0.0], [1.0, 0.03, 0.5]]]
    goal = Pose(STRAIGHT, np.array([0.5, 0.3, 0.2]))
    world = cabinet(inside, "front", 0.02, door, board)
    assert world.notes == ()
    assert passage_of(block([0.45, 0.45, 0.45]), world, goal).verdict == "cannot go in"
    assert passage_of(block([0.28, 0.28, 0.28]), world, goal).verdict == "goes in"
    post = cabinet(inside, "front", 0.02, door, [[[0.45, 0.1, 0.0], [0.55, 0.2, 0.6]]])
    assert len(post.notes) == 1
    assert len(post.ways[0].certain) == len(post.ways[0].layers) - 1


def test_round_things():
    """A tube with caps into its holders, a pot through a hatch narrower than itself, tilted."""
    tube = turned([-0.575, -0.55, -0.55, 0.55, 0.55, 0.575], [0.013, 0.013, 0.008, 0.008, 0.013, 0.013])
    world = cabinet([1.22, 0.71, 1.22], "front", WALL, [Opening("door", (0.3, 0.3), (0.6, 0.6))])
    answer = passage_of(
        tube, world, Pose(rotation_about([0, 1, 0], np.pi / 2), np.array([0.61, 0.3, 1.15])), 0.005
    )
    assert answer.verdict == "goes in"
    world = cabinet([1.22, 0.71, 1.22], "top", WALL, [Opening("hatch", (0.3, 0.3), (0.25, 0.6))])
    answer = passage_of(turned([0, 0.2], [0.1, 0.15]), world, Pose(STRAIGHT, np.array([0.61, 0.3, 0.0])))
    assert answer.verdict == "goes in"


def in_arrays(case):
    return canonical(
        setting_of(case.body(), case.world().ways, case.world().frame.inwards(case.goal()), 0.0)
    )[0]


def test_motions_and_the_flood_never_contradict():
    """100 cabinets near the limit, little effort: motions touch nothing in the collision library, no proof denies them."""
    told = {"goes in": 0, "cannot go in": 0, "no way found": 0}
    for seed in range(100):
        case = near_the_limit(seed)
        answer = asked(case, 0.0, QUICK)
        told[answer.verdict] += 1
        if answer.verdict == "goes in":
            assert touches(case, answer.motion, 0.02)[0] == 0, seed
            if not answer.method.startswith("cells"):
                assert flooded(in_arrays(case), 800, 0.002)[0].state != "proved", seed
        if seed % 10 == 0:
            assert asked(case.mirrored(), 0.0, QUICK).verdict == answer.verdict, seed
    print(told)
    assert told["goes in"] >= 25


def test_half_a_turn_is_replayed_the_way_it_was_found():
    """Of 2,000 cabinets the one whose route turns by half a turn: replayed the other way round it went through a wall."""
    case = near_the_limit(1528)
    answer = asked(case, 0.0, Effort(steps=(0.002,), seeds=(1,), tries=1, cells=20_000))
    assert answer.verdict == "goes in"
    assert touches(case, answer.motion)[0] == 0
    steps = np.abs((answer.motion.turns[1:] * answer.motion.turns[:-1]).sum(axis=1))
    # Neighbours differ by far less than 180 degrees: there is one shorter way round.
    assert 2 * np.arccos(np.clip(steps, 0, 1)).max() < 2.5


def test_each_piece_of_a_route_is_a_move():
    """A panel pushed in tilted, then set upright: two moves, and the length of both is that of the motion."""
    answer = asked(near_the_limit(1), 0.0, QUICK)
    assert answer.method == "few moves (tilt)"
    moves, motion = answer.motion.moves, answer.motion
    assert [move.kind for move in moves[:-1]] == ["turn", "turn"]
    assert moves[0].angle < 0.3
    assert moves[1].angle > 1.0
    assert [move.first for move in moves] == [0, *(move.last for move in moves[:-1])]
    assert moves[-1].last == len(motion) - 1


@pytest.mark.parametrize("seed", [4, 10, 13, 17, 28, 35])
def test_proofs_stand_against_searches(seed):
    """Six of these cabinets that are proved shut: searches with other seeds find nothing, the image is shut as well."""
    case = near_the_limit(seed)
    assert asked(case).verdict == "cannot go in"
    assert asked(case.mirrored()).verdict == "cannot go in"
    setting = in_arrays(case)
    assert all(searched(setting, setting.ways[0], 0.002, other, 500) is None for other in (11, 12))


def test_a_question_without_meaning_is_refused():
    """A clearance below zero, a goal that is no number."""
    case = centred((1.0, 1.0, 0.05), DOOR)
    with pytest.raises(DomainError, match="clearance"):
        asked(case, -0.01)
    with pytest.raises(DomainError, match="place"):
        passage_of(case.body(), case.world(), Pose(UPRIGHT, np.array([np.nan, 0, 0])))
    with pytest.raises(DomainError, match="opening"):
        cabinet([1, 1, 1], "front", 0.02, [])


@pytest.mark.parametrize("cells", [-1, 0, 1])
def test_hardly_any_cells_are_an_answer_too(cells):
    """Nothing can be proved with so few; it is said, and nothing breaks."""
    case = centred((1.2, 1.2, 0.05), (1.16, 1.10))
    found = passage_of(
        case.body(), case.world(), case.goal(), 0.0, Effort(cells=cells, seeds=(), steps=(0.008,))
    )
    assert found.verdict == "no way found"
