"""Every part of a plan through its doors: known answers, found motions against a collision library, orders, refusals."""

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import sunfleck
from oracles import rigid
from oracles.passage_plans import blocks_of, limbs_of, study_of, text_of
from sunfleck.brief.build import make_brief
from sunfleck.errors import DomainError
from sunfleck.geometry.passage.rotations import turned_by_each
from sunfleck.plan.read import read_plan_text
from sunfleck.plan.solids import inside_box
from sunfleck.service.starting import starter_text
from sunfleck.studies.passage.doors import entrances_of, hinge_of, with_panes_out
from sunfleck.studies.passage.order import Installation, Moment
from sunfleck.studies.passage.questions import state_of, verdicts_of
from sunfleck.studies.passage.study import PassageStudy
from sunfleck.units import format_at_least

# The reference cabinet: a panel for a back wall of 122 cm behind a door of 116 x 110 cm.
CABINET = (122, 71, 122)
DOOR = {"door": {"at": "[3 cm, 6 cm]", "size": "[116 cm, 110 cm]"}}
PANEL = "backgrounds:\n  - {{name: back, face: back, thickness: 5 cm, finish: cork, at: [{x} cm, {z} cm], size: [{w} cm, {h} cm]}}"


@pytest.fixture(scope="module")
def studies(tall, arid):
    """Passage of both examples, once."""
    return {"tall": PassageStudy(make_brief(tall)), "arid": PassageStudy(make_brief(arid))}


def test_all_parts_of_both_examples_go_in_and_out_again(studies):
    """Every part has a verdict; all go in, and lamps and hides come out past everything planted."""
    for name, count in (("tall", 5), ("arid", 8)):
        report = studies[name].report
        assert len(report.parts) == count
        assert {state_of(part) for part in (*report.parts, *report.again)} == {"meets"}
        assert report.exit_code == 0
        assert all(part.certified >= part.asked == 0.010 for part in report.parts)
        assert {verdict.id for verdict in verdicts_of(report)} == {"passage:box", "passage-out:box"}
    assert studies["tall"].report.parts[0].done == "before the front is on"
    assert any("hangs above the box" in words for words in studies["tall"].report.left_out)


def test_a_tube_comes_out_with_everything_planted(studies):
    """1.15 m behind panes of which 78 cm are open: in one motion, past slab, caves, floods and the other tube."""
    for name in ("front uv tube", "rear uv tube"):
        part = next(each for each in studies["arid"].report.again if each.name == name)
        assert part.goes
        assert len(part.standing) == 7
        assert part.size.max() == pytest.approx(1.164, abs=1e-6)
        first, last = part.motion.pose(0), part.motion.pose(len(part.motion) - 1)
        assert first.place[1] > 0.2
        assert last.place[1] < -0.1


def test_found_motions_touch_nothing_of_the_plan(studies):
    """Held against a collision library: walls, doors and furnishing as the plan writes them, parts as they are."""
    poses = 0
    for study in studies.values():
        plan = study.brief.plan
        report, made = study.report, study.installation
        items = {item.name: item for item in made.items}
        blocks, limbs = blocks_of(plan), limbs_of(plan)
        doors = [
            (*opening.at, *opening.size) for hole in entrances_of(plan)[0].holes for opening in hole.openings
        ]
        for part in (*report.parts, *report.again):
            open_front = "front" in part.done
            holes = [(0.0, 0.0, *inside_box(plan).high[[0, 2]])] if open_front else doors
            around = rigid.walls(inside_box(plan).high, 0.006, holes)
            joined = " ".join(part.notes)
            for name in part.standing:
                if f"meets {name}" in joined:
                    continue
                if name in blocks:
                    around.append(rigid.cuboid(blocks[name].low, blocks[name].high))
                for a, b, radius in limbs.get(name, ()):
                    around += _capsule(rigid, a, b, radius)
            shapes = _shapes(rigid, items[part.name])
            hits, count = rigid.collisions(part.motion, shapes, around, 0.01, 0.7)
            assert hits == 0, (plan.name, part.name, part.direction)
            poses += count
    assert poses > 2000


def _capsule(rigid, a, b, radius):
    ((shape, axes, middle),) = rigid.capsule_shapes([(a, b)], radius)
    return [rigid.fcl.CollisionObject(shape, rigid.fcl.Transform(axes, middle))]


def _shapes(rigid, item):
    """The part itself: a block by its extent, anything else by the rods that surely belong to it."""
    inner = item.body.inner
    if item.body.half_turns and len(inner.nodes) == 8:
        return rigid.box_shape(np.ptp(inner.nodes, axis=0))
    shapes = []
    for i, j in inner.rods:
        radius = max(float(min(inner.radius[i], inner.radius[j])), 1e-5)
        if np.linalg.norm(inner.nodes[i] - inner.nodes[j]) > 1e-4:
            shapes += rigid.capsule_shapes([(inner.nodes[i], inner.nodes[j])], radius)
    return shapes


def test_a_panel_to_the_inside_size_is_proved_not_to_go_in():
    """Known answer: 1.20 x 1.20 x 0.05 m through 1.16 x 1.10 m is proved; before the front is on it goes, tried."""
    study = study_of(
        text_of(CABINET, DOOR, PANEL.format(x=1, z=1, w=120, h=120) + "\nfit: {clearance: 0 mm}")
    )
    (part,) = study.report.parts
    assert (part.verdict, part.reason) == ("cannot go in", "no way through")
    assert part.proof["state"] == "proved"
    assert any("before the front is on" in words for words in part.remedies)
    verdicts = {verdict.id: verdict for verdict in verdicts_of(study.report)}
    assert verdicts["passage:box"].state == verdicts["passage:back"].state == "short"
    assert "order: [back, front]" in verdicts["passage:back"].advice


def test_a_panel_that_goes_in_with_less_room_says_with_how_much():
    """0.6 m cube through 0.615 m: no turning helps, so 7.5 mm on each side is the most; 10 mm are asked."""
    door = {"door": {"at": "[30 cm, 30 cm]", "size": "[61.5 cm, 61.5 cm]"}}
    ledge = "ledges:\n  - {name: cube, at: [31 cm, 40 cm, 31 cm], size: [60 cm, 60 cm, 60 cm], finish: cork}"
    study = study_of(text_of((150, 150, 150), door, ledge))
    (part,) = study.report.parts
    assert not part.goes
    assert 0.005 <= part.largest[0] <= 0.0075
    assert part.largest[1] >= 0.0075
    _, one = verdicts_of(study.report)
    assert f"{format_at_least(part.largest[0])} free" in one.sentence


def test_a_plan_and_its_mirror_image_get_the_same_verdicts():
    """Doors, shelf, cave and branch mirrored: the same order, verdicts and number of moves."""
    told = []
    for mirrored in (False, True):

        def x(at, size=0.0):
            return 100 - at - size if mirrored else at  # noqa: B023  # used at once

        swing = "right" if mirrored else "left"
        doors = {
            "door": {
                "kind": "hinged",
                "at": f"[{x(5, 40)} cm, 5 cm]",
                "size": "[40 cm, 60 cm]",
                "swing": swing,
            }
        }
        rest = (
            f"ledges:\n  - {{name: shelf, at: [{x(50, 45)} cm, 20 cm, 30 cm], size: [45 cm, 25 cm, 4 cm], finish: cork}}\n"
            f"hides:\n  - {{name: cave, at: [{x(60, 25)} cm, 20 cm, 0 cm], size: [25 cm, 20 cm, 15 cm], opening: front}}\n"
            f"perches:\n  - {{name: limb, path: [[{x(1)} cm, 30 cm, 50 cm], [{x(99)} cm, 30 cm, 60 cm]], diameter: [4 cm], wood: oak}}\n"
        )  # fmt: skip
        report = study_of(text_of((100, 50, 80), doors, rest)).report
        told.append(
            [
                (part.name, part.verdict, part.method, len(part.moves))
                for part in (*report.parts, *report.again)
            ]
        )
    assert told[0] == told[1]
    assert {verdict for _, verdict, _, _ in told[0]} == {"goes in"}


@settings(max_examples=4)
@given(
    size=st.tuples(*(st.integers(8, 44) for _ in range(3))),
    door=st.tuples(st.integers(15, 40), st.integers(15, 40)),
    more=st.tuples(st.integers(0, 15), st.integers(0, 15)),
)
def test_a_larger_door_never_turns_a_yes_into_a_no(size, door, more):
    """Whatever goes in through a door goes in through one that holds it; what the larger keeps out the smaller does."""

    def verdict(low, extent):
        doors = {"door": {"at": f"[{low[0]} cm, {low[1]} cm]", "size": f"[{extent[0]} cm, {extent[1]} cm]"}}
        ledge = f"ledges:\n  - {{name: a, at: [5 cm, 2 cm, 0 cm], size: [{size[0]} cm, {size[1]} cm, {size[2]} cm], finish: cork}}"
        return study_of(text_of((60, 50, 60), doors, ledge)).report.parts[0].verdict

    small = verdict((15, 15), door)
    large = verdict((15 - more[0], 15 - more[1]), (door[0] + more[0], door[1] + more[1]))
    assert not (small == "goes in" and large != "goes in")
    assert not (large == "cannot go in" and small != "cannot go in")


class Logical(Installation):
    """Parts that block each other by a table, so that the search for an order is tested and nothing else."""

    def __init__(self, items, table):
        self.items, self.table, self.left_out = items, table, ()
        self.plan = read_plan_text(starter_text("arid")).plan

    serviced = {}  # noqa: RUF012  # nothing is asked of service here

    def goes(self, item, others):
        return not any((other.name, item.name) in self.table for other in others)

    def at(self, item, others, open_faces=(), *, planted=False):
        del open_faces, planted
        others = [other for other in others if other.name != item.name]
        return _Moment(item, None, tuple(other.name for other in others), going=self.goes(item, others))

    def alone(self, item):
        return self.at(item, ())


class _Moment(Moment):
    def __init__(self, item, answer, standing, notes=(), blocked_by=(), *, going=False):
        super().__init__(item, answer, standing, notes, blocked_by)
        object.__setattr__(self, "going", going)

    @property
    def goes(self):
        return self.going


@settings(max_examples=50)
@given(st.sets(st.tuples(st.integers(0, 3), st.integers(0, 3)).filter(lambda p: p[0] != p[1]), max_size=7))
def test_an_order_is_found_exactly_where_there_is_one(pairs):
    """Against all orders of four parts: found if any works; what is left over is named, pairs that block each other as such."""
    items = tuple(replace(_ITEM, name=f"part {k}", part=f"part {k}") for k in range(4))
    table = {(f"part {a}", f"part {b}") for a, b in pairs}
    made = Logical(items, table)
    works = any(
        all(made.goes(item, order[:k]) for k, item in enumerate(order)) for order in permutations(items)
    )
    moments = made.moments
    going = [moment.item for moment in moments if moment.goes]
    assert (len(going) == 4) == works
    assert sorted(moment.item.name for moment in moments) == [item.name for item in items]
    for a, b in made.blocking:
        assert {(a, b), (b, a)} <= table


_ITEM = PassageStudy(make_brief(read_plan_text(starter_text("arid")))).installation.items[1]


def test_an_order_that_the_plan_states_is_checked_as_stated():
    """A block behind another through a narrow door: in the order stated it finds no way, in the other it goes in."""
    doors = {"door": {"at": "[2 cm, 0 cm]", "size": "[36 cm, 40 cm]"}}
    rest = (
        "ledges:\n"
        "  - {name: rear rock, at: [3 cm, 45 cm, 0 cm], size: [34 cm, 30 cm, 30 cm], finish: cork}\n"
        "  - {name: front rock, at: [3 cm, 5 cm, 0 cm], size: [34 cm, 30 cm, 30 cm], finish: cork}\n"
    )
    found = study_of(text_of((40, 80, 45), doors, rest + "fit: {fingers: 0 mm}")).report
    assert found.order == ("rear rock", "front rock")
    stated = study_of(
        text_of((40, 80, 45), doors, rest + "fit: {fingers: 0 mm}\norder: [front rock, rear rock]")
    ).report
    states = {part.name: part.verdict for part in stated.parts}
    assert states == {"front rock": "goes in", "rear rock": "no way found"}
    rear = next(part for part in stated.parts if part.name == "rear rock")
    assert rear.standing == ("front rock",)
    assert len(rear.remedies) == 1
    assert rear.remedies[0].startswith("put it in before front rock (tried")
    assert "`order: [rear rock, front rock]`" in rear.remedies[0]
    assert stated.exit_code == 3


def test_doors_open_as_they_are_built():
    """A pane leaves what lap and grip do not cover; a leaf hangs on the side it swings to; doors without a post are one."""
    doors = {
        "left": {"kind": "sliding", "at": "[0 cm, 10 cm]", "size": "[52 cm, 50 cm]", "handle": "3 cm"},
        "right": {
            "kind": "sliding",
            "at": "[50 cm, 10 cm]",
            "size": "[50 cm, 50 cm]",
            "lap": "4 cm",
            "handle": "3 cm",
        },
    }
    plan = read_plan_text(text_of((100, 50, 80), doors)).plan
    left, right = (hole.openings[0] for hole in entrances_of(plan)[0].holes)
    # Drawn over each other by 2 cm: the other pane stands before those.
    assert (left.at[0], left.size[0]) == pytest.approx((0.0, 0.52 - 0.02 - 0.03))
    assert (right.at[0], right.size[0]) == pytest.approx((0.57, 0.43))
    (whole,) = with_panes_out(plan)[0].holes
    assert whole.openings[0].size == pytest.approx((1.0, 0.5))
    pair = {
        "left": {"kind": "hinged", "at": "[2 cm, 10 cm]", "size": "[48 cm, 50 cm]", "opens": "120 deg"},
        "right": {"kind": "hinged", "at": "[50 cm, 10 cm]", "size": "[48 cm, 50 cm]", "swing": "right"},
    }
    plan = read_plan_text(text_of((100, 50, 80), pair)).plan
    assert [hinge_of(plan, door) for door in plan.enclosure.doors] == ["left", "right"]
    both, one, _ = entrances_of(plan)[0].holes
    assert both.openings[0].size == pytest.approx((0.96, 0.5))
    assert [opening.leaf.hinge for opening in both.openings] == ["left", "right"]
    assert one.openings[0].leaf.swing == pytest.approx(np.radians(120))


def test_room_for_a_hand_is_asked_for():
    """A block that fills its opening but for 12 mm goes in, and no hand goes with it; a lower one leaves room."""

    def state(height):
        doors = {"door": {"at": "[10 cm, 5 cm]", "size": "[32.4 cm, 32.4 cm]"}}
        ledge = f"ledges:\n  - {{name: rock, at: [11.2 cm, 5 cm, 6.2 cm], size: [30 cm, 40 cm, {height} cm], finish: cork}}"
        (part,) = study_of(text_of((60, 60, 60), doors, ledge)).report.parts
        return part.verdict, part.handy

    assert state(30) == ("goes in", False)
    assert state(28) == ("goes in", True)


def test_pots_bowls_and_relief_take_their_room():
    """A round bowl and a pot go in by their own shapes; what stands out of a panel makes it thicker."""
    doors = {"door": {"at": "[10 cm, 10 cm]", "size": "[30 cm, 30 cm]"}}
    rest = (
        "substrate: {depth: 8 cm, finish: soil-humus}\n"
        "bowls:\n  - {name: basin, at: [60 cm, 20 cm, 8 cm], diameter: 28 cm, height: 6 cm}\n"
        "plants:\n  - {name: fig, crown: {middle: [30 cm, 30 cm, 40 cm], radius: 10 cm, height: 20 cm}, leaf_area: 0.1 m2,"
        " pot: {diameter: 20 cm, height: 18 cm}}\n"
        "backgrounds:\n  - {name: rocks, face: back, thickness: 2 cm, finish: cork, core: xps-board, at: [5 cm, 10 cm],"
        " size: [25 cm, 25 cm], relief: [{at: [6 cm, 12 cm], size: [10 cm, 10 cm], thickness: 9 cm}]}\n"
    )
    report = study_of(text_of((90, 60, 70), doors, rest)).report
    states = {part.name: (part.verdict, part.mass) for part in report.parts}
    assert states["basin"] == ("goes in", None)
    assert states["pot of fig"][0] == "goes in"
    assert states["pot of fig"][1] == pytest.approx(np.pi * 0.1**2 * 0.18 * 1000, rel=1e-6)
    rocks = next(part for part in report.parts if part.name == "rocks")
    assert rocks.size[1] == pytest.approx(0.11)
    assert rocks.mass == pytest.approx(36 * (0.25 * 0.25 * 0.02 + 0.1 * 0.1 * 0.09), rel=1e-6)
    assert {part.name for part in report.again} == {"basin", "pot of fig"}


def test_setting_down_turns_nothing(tall, arid):
    """Past everything: each motion ends at the place and turn of the plan, and its docking only shifts (it once turned by half)."""
    docked = 0
    for source in (tall, arid):
        made = PassageStudy(make_brief(source)).installation
        for item in made.items:
            found = made.at(item, made.items)
            if not found.goes:
                continue
            motion = found.answer.passage.motion
            assert abs(float(motion.turns[-1] @ item.goal.turn)) == pytest.approx(1.0, abs=1e-9)
            assert motion.places[-1] == pytest.approx(item.goal.place, abs=1e-9)
            if motion.moves[-1].kind == "dock":
                docked += 1
                turns = motion.turns[motion.moves[-1].first :]
                assert np.abs(turns - turns[-1]).max() < 1e-12
    assert docked > 0


def test_one_part_by_its_name(arid):
    """The public answer: plain data with a motion to replay, the largest clearance; a misspelt name gets its neighbour."""
    part = sunfleck.passage(arid, "cool cave")
    told = part.to_dict()
    assert told["verdict"] == "goes in"
    assert told["clearance_m"]["largest_from"] >= 0.010
    assert len(told["motion"]["turns"]) == len(told["motion"]["places_m"]) >= 2
    # Told in steps that lead from where it is held to its place.
    way = np.sum([move["shift_m"] for move in told["moves"]], axis=0)
    middles = np.array(told["motion"]["places_m"]) + turned_by_each(
        told["motion"]["turns"], told["motion"]["about_m"]
    )
    assert way == pytest.approx(middles[-1] - middles[0], abs=5e-4)
    assert told["not_looked_at"]
    out = sunfleck.passage(arid, "warm cave", out_again=True)
    assert out.direction == "out"
    assert out.motion.places[0][1] > out.motion.places[-1][1]
    with pytest.raises(DomainError, match="did you mean cool cave"):
        sunfleck.passage(arid, "coll cave")
    assert len(sunfleck.passage(arid).parts) == 8


def test_a_plan_without_doors_says_so():
    """No door: no verdicts, and the report says what is lacking."""
    text = text_of((90, 60, 70), {}).replace("  doors:\n\n", "")
    study = study_of(text)
    assert study.report.parts == ()
    assert verdicts_of(study.report) == ()
    with pytest.raises(DomainError, match="no door"):
        study.part("anything")
