"""What a sceptical reader found wrong once in the passage of plans: false ways, circular advice, orders that fail."""

import re

import numpy as np
import pytest

from oracles.passage_plans import study_of, text_of
from sunfleck.geometry.passage.rotations import matrix_of
from sunfleck.service.resolved import Resolved
from sunfleck.studies.passage.questions import verdicts_of
from sunfleck.studies.passage.standing import standing_for

BOX = (100, 60, 60)


def ledge(name, at, size):
    return f"  - {{name: {name}, at: [{at}], size: [{size}], finish: cork}}\n"


def told(study):
    """Verdict by name of what goes in."""
    return {part.name: part.verdict for part in study.report.parts}


def pasted(text, advice):
    """The plan with the first order that an advice has to paste."""
    return text + "\n" + re.search(r"`(order: \[[^]]*\])`", advice).group(1) + "\n"


def test_doors_that_meet_are_no_higher_than_the_lower_one():
    """Two doors side by side, 50 and 49.2 cm high; a block across both, 49.6 cm high, never fits."""
    doors = {
        "a": {"at": "[2 cm, 5 cm]", "size": "[75 cm, 50 cm]"},
        "b": {"at": "[77 cm, 5 cm]", "size": "[75 cm, 49.2 cm]"},
    }
    rest = "ledges:\n" + ledge("slab", "12 cm, 0 cm, 5.1 cm", "130 cm, 60 cm, 49.6 cm")
    for fit in ("{clearance: 0 mm, fingers: 0 mm}", "{fingers: 0 mm}"):
        part = study_of(text_of((155, 70, 60), doors, f"{rest}fit: {fit}\n")).part("slab")
        assert not part.goes


@pytest.mark.parametrize("deep", [0.0, 0.02])
def test_a_slanted_bar_is_no_box_round_it(deep):
    """A bar at 45 degrees: what stands in the corner of the box round it, far from the bar, is neither left out nor cut."""
    from dataclasses import replace

    from sunfleck.geometry.passage.bodies import block
    from sunfleck.geometry.passage.motion import Pose
    from sunfleck.geometry.passage.rotations import rotation_about

    rest = (
        "ledges:\n"
        + ledge("bar", "40 cm, 20 cm, 20 cm", "6 cm, 6 cm, 40 cm")
        + ledge("rock", "70 cm, 20 cm, 5 cm", "10 cm, 10 cm, 10 cm")
    )
    door = {"door": {"at": "[5 cm, 5 cm]", "size": "[90 cm, 50 cm]"}}
    bar, rock = study_of(text_of(BOX, door, rest)).installation.items
    slanted = replace(
        bar, body=block([0.06, 0.06, 1.0]), goal=Pose(rotation_about([0, 1, 0], np.pi / 4), bar.goal.place)
    )
    # Its upper end is at the right, so the lower right corner of the box round it is empty.
    blocks, notes = standing_for(slanted, [replace(rock, fills=rock.fills + np.array([deep, 0, 0]))], 0.0145)
    assert len(blocks) == 1
    assert notes == ()
    # What it passes through without a corner in it is found along its edges.
    through = np.array([[[0.38, 0.15, 0.35], [0.48, 0.31, 0.45]]])
    _, notes = standing_for(slanted, [replace(rock, fills=through)], 0.0145)
    assert notes


def test_a_relief_to_the_edge_is_ordered_as_small_as_its_panel():
    """It ends where the panel ends; so the panel goes in before the front is on, as one without relief does."""
    rest = (
        "backgrounds:\n  - {name: wall, face: back, thickness: 3 cm, finish: cork, "
        "relief: [{at: [0 cm, 0 cm], size: [30 cm, 60 cm], thickness: 5 cm}]}\norder: [wall, front]\n"
    )
    door = {"door": {"at": "[5 cm, 5 cm]", "size": "[40 cm, 40 cm]"}}
    part = study_of(text_of(BOX, door, rest)).part("wall")
    assert part.goes
    assert part.size == pytest.approx([1.0 - 0.029, 0.08, 0.6 - 0.029], abs=2e-3)


@pytest.mark.parametrize("order", ["", "order: [back, right, left]\n"])
def test_panels_of_three_walls_end_at_each_other(order):
    """The later in the plan ends at the earlier: all go in, and it is said how much shorter they are."""
    panels = "".join(
        f"  - {{name: {face}, face: {face}, thickness: 3 cm, finish: cork}}\n"
        for face in ("back", "left", "right")
    )
    door = {"pane": {"at": "[2 cm, 10 cm]", "size": "[96 cm, 88 cm]"}}
    study = study_of(text_of((100, 80, 100), door, f"backgrounds:\n{panels}{order}"))
    assert set(told(study).values()) == {"goes in"}
    left = study.part("left")
    assert left.size[1] == pytest.approx(0.8 - 0.03 - 0.029, abs=2e-3)
    assert any("it ends at back, 30 mm before the wall" in note for note in left.notes)


HATCH = {"hatch": {"face": "top", "at": "[5 cm, 5 cm]", "size": "[50 cm, 35 cm]"}}


def test_what_goes_in_first_goes_in_as_if_nothing_stood():
    """What stands already is what goes in before it, and no more steps are told than that takes."""
    rest = (
        "bowls:\n  - {name: dish, at: [70 cm, 10 cm, 0 cm], diameter: 16 cm, height: 5 cm}\n"
        "perches:\n  - {name: stick, path: [[1 cm, 20 cm, 6 cm], [99 cm, 30 cm, 50 cm]], diameter: [4 cm, 3 cm], wood: oak}\n"
        "ledges:\n" + ledge("shelf", "50 cm, 20 cm, 30 cm", "38 cm, 20 cm, 2 cm")
    )
    study = study_of(text_of((100, 45, 60), HATCH, rest))
    before = []
    for part in study.report.parts:
        if part.goes:
            assert list(part.standing) == before
            before.append(part.name)
    made = study.installation
    for moment in made.moments:
        if moment.goes:
            others = [item for item in made.items if item.name in moment.standing]
            assert moment.answer.steps <= made.at(moment.item, others).answer.steps


def test_two_that_cross_are_not_told_to_go_before_each_other():
    """Either goes in alone and not past the other: no order is offered that only moves the failure."""
    rest = "perches:\n" + "".join(
        f"  - {{name: {name}, path: [[{a} cm, 30 cm, 5 cm], [{b} cm, 30 cm, 55 cm]], diameter: [5 cm], wood: oak}}\n"
        for name, a, b in (("a", 1, 99), ("b", 99, 1))
    )
    door = {"door": {"at": "[5 cm, 5 cm]", "size": "[90 cm, 50 cm]"}}
    for order in ("[a, b]", "[b, a]"):
        study = study_of(text_of(BOX, door, f"{rest}order: {order}\n"))
        for part in study.report.parts:
            for words in (each for each in part.remedies if "`order:" in each):
                again = study_of(pasted(text_of(BOX, door, rest), words))
                assert set(told(again).values()) == {"goes in"}


def test_before_the_front_is_on_keeps_what_goes_in_now():
    """Pasted, the order lets the part in, and all that went in before it still go in."""
    rest = (
        "bowls:\n  - {name: bath, at: [10 cm, 10 cm, 2 cm], size: [60 cm, 40 cm, 20 cm]}\n"
        "hides:\n  - {name: cave, at: [10 cm, 10 cm, 22 cm], size: [60 cm, 40 cm, 31 cm], opening: front}\n"
    )
    door = {
        "flap": {
            "kind": "hinged",
            "at": "[5 cm, 15 cm]",
            "size": "[90 cm, 35 cm]",
            "swing": "down",
            "thickness": "25 mm",
        }
    }
    text = text_of(BOX, door, rest)
    study = study_of(text)
    assert told(study) == {"bath": "goes in", "cave": "no way found"}
    remedy = next(words for words in study.part("cave").remedies if "before the front" in words)
    assert set(told(study_of(pasted(text, remedy))).values()) == {"goes in"}


def test_the_order_advised_puts_first_what_must_be_first():
    """A side panel that the back panel ends at, a door too low for the back: the back after the side, not as the first of all."""
    rest = (
        "backgrounds:\n  - {name: side, face: right, thickness: 4 cm, finish: cork, at: [0 cm, 0 cm], size: [60 cm, 50 cm]}\n"
        "  - {name: rear, face: back, thickness: 4 cm, finish: cork, at: [2 cm, 2 cm], size: [93 cm, 56 cm]}\n"
    )
    text = text_of(
        BOX, {"door": {"at": "[5 cm, 5 cm]", "size": "[90 cm, 35 cm]"}}, rest + "fit: {clearance: 2 mm}\n"
    )
    study = study_of(text)
    for part in study.report.parts:
        for words in part.remedies:
            if "`order:" in words:
                again = told(study_of(pasted(text, words)))
                assert again[part.name] == "goes in"
                assert all(
                    again[name] == "goes in" for name, verdict in told(study).items() if verdict == "goes in"
                )


def test_branches_that_cross_are_lifted_off_each_other():
    """Drawn plan of a reader: three branches, each over or under another; up 6 cm and out, though a shelf above leaves no room for more."""
    rest = (
        "perches:\n"
        "  - {name: a, path: [[20.8 cm, 8.1 cm, 8 cm], [21.2 cm, 27.8 cm, 32.8 cm], [32.4 cm, 28.7 cm, 57.5 cm]], "
        "diameter: [5 cm, 4.5 cm, 2.8 cm], wood: oak, joint: {kind: bolted, at: [20.8 cm, 8.1 cm, 8 cm]}}\n"
        "  - {name: b, path: [[124.7 cm, 11.4 cm, 8 cm], [84.3 cm, 26 cm, 22 cm], [44.2 cm, 17.1 cm, 36 cm]], "
        "diameter: [4.9 cm, 6.3 cm, 3.2 cm], wood: oak, joint: {kind: bolted, at: [124.7 cm, 11.4 cm, 8 cm]}}\n"
        "  - {name: c, path: [[63.6 cm, 21.2 cm, 8 cm], [29.7 cm, 25.1 cm, 40.8 cm]], diameter: [4.4 cm, 4.4 cm], "
        "wood: oak, joint: {kind: bolted, at: [63.6 cm, 21.2 cm, 8 cm]}}\n"
        "ledges:\n"
        + ledge("shelf", "5.5 cm, 24.1 cm, 61.8 cm", "149 cm, 15.9 cm, 2.5 cm")
        + "substrate: {depth: 8 cm, finish: soil-humus}\n"
    )
    door = {"pane": {"at": "[0 cm, 10 cm]", "size": "[160 cm, 108 cm]"}}
    made = study_of(text_of((160, 45, 120), door, rest)).installation
    b = next(item for item in made.items if item.name == "b")
    assert made.at(b, made.items).goes


def test_it_ends_as_it_stands_in_the_plan():
    """A hide has an opening, a panel a face: a block is not brought to its place turned by half."""
    rest = (
        "hides:\n  - {name: cave, at: [60 cm, 30 cm, 0 cm], size: [30 cm, 20 cm, 14 cm], opening: left}\n"
        "ledges:\n" + ledge("slab", "5 cm, 20 cm, 20 cm", "60 cm, 38 cm, 5 cm")
    )
    study = study_of(
        text_of((100, 60, 60), {"door": {"at": "[30 cm, 10 cm]", "size": "[42 cm, 40 cm]"}}, rest)
    )
    for part in study.report.parts:
        assert part.goes
        assert matrix_of(part.motion.turns[-1]) == pytest.approx(np.eye(3), abs=1e-6)


def test_a_pot_that_is_tipped_is_said_to_go_in_empty():
    """30 cm wide and 30 high through a slit of 31 cm over a lip of 32: only as it can be, and what that means is told."""
    rest = (
        "plants:\n  - name: fig\n    crown: {middle: [50 cm, 30 cm, 45 cm], radius: 8 cm, height: 10 cm}\n"
        "    leaf_area: 0.05 m2\n    leaf: {length: 7 cm, width: 3 cm}\n"
        "    pot: {diameter: 15 cm, height: 40 cm, at: [50 cm, 30 cm, 0 cm]}\n"
    )
    door = {"slit": {"at": "[5 cm, 30 cm]", "size": "[90 cm, 20 cm]"}}
    part = study_of(text_of(BOX, door, rest)).part("fig")
    assert part.goes
    assert any("carried empty" in note for note in part.notes)
    wide = {"door": {"at": "[5 cm, 1 cm]", "size": "[90 cm, 58 cm]"}}
    assert not any("tipped" in note for note in study_of(text_of(BOX, wide, rest)).part("fig").notes)


def test_a_part_called_box_has_a_verdict_of_its_own():
    """Not that of the whole box."""
    rest = "hides:\n  - {name: box, at: [10 cm, 5 cm, 0 cm], size: [60 cm, 50 cm, 40 cm], opening: front}\n"
    door = {"door": {"at": "[10 cm, 10 cm]", "size": "[20 cm, 20 cm]"}}
    ids = [verdict.id for verdict in verdicts_of(study_of(text_of(BOX, door, rest)).report)]
    assert len(set(ids)) == len(ids) == 4


def test_a_box_without_doors_is_drawn_through_the_face_put_on_later():
    """The advice names a template; it must be there to be drawn."""
    text = text_of(BOX, {}, "ledges:\n" + ledge("slab", "5 cm, 5 cm, 20 cm", "60 cm, 30 cm, 5 cm"))
    text = text.replace("  doors:\n\n", "  doors: []\n") + "\norder: [front, slab]\n"
    study = study_of(text)
    (scene,) = study.scenes(study.part("slab"))
    assert scene.stage.face == "front"


def test_nothing_to_bring_in_is_no_failure():
    """A door and no part: nothing was left unknown."""
    study = study_of(text_of(BOX, HATCH, ""))
    assert (study.report.parts, study.report.exit_code) == ((), 0)


def test_room_for_a_hand_is_never_told_as_more_than_there_is(arid):
    """Against poses a tenth as far apart."""
    study = Resolved(arid).passage
    made = study.installation
    for moment in made.moments[:4]:
        answer, item = moment.answer, moment.item
        world = made.asker.bare(answer.entrance)
        way = next(each for each in world.ways if each.name == answer.passage.way)
        door = next(row for row in way.layers if row[0] == 0.0 and np.abs(row[2:]).max() < 1e5)
        least = np.inf
        for pose in answer.passage.motion.replayed(0.0006, 0.6):
            nodes = item.body.outer.nodes @ matrix_of(pose.turn).T + pose.place
            at = (nodes - world.frame.origin) @ world.frame.axes.T
            r = item.body.outer.radius
            near = (at[:, 2] + r > door[0]) & (at[:, 2] - r < door[1])
            if near.any():
                x, y, r = at[near, 0], at[near, 1], r[near]
                gaps = (
                    (x - r).min() - door[2],
                    door[3] - (x + r).max(),
                    (y - r).min() - door[4],
                    door[5] - (y + r).max(),
                )
                least = min(least, max(gaps))
        assert answer.fingers <= least + 1e-9


def test_a_path_is_no_plan():
    """Said in words what to give."""
    import sunfleck

    with pytest.raises(TypeError, match=r"read_plan returns it; got str"):
        sunfleck.passage("plan.yaml")


@pytest.mark.parametrize("mirrored", [False, True])
def test_what_can_be_carried_level_past_what_stands_is_not_turned(mirrored):
    """A tray behind two rocks, one low at its left, one high at its right: in over the low one, then onto its place."""

    def x(at, wide):
        return f"{100 - at - wide if mirrored else at} cm"

    rest = (
        f"bowls:\n  - {{name: tray, at: [{x(35, 30)}, 35 cm, 0 cm], size: [30 cm, 20 cm, 6 cm]}}\n"
        "ledges:\n"
        + ledge("low", f"{x(5, 45)}, 5 cm, 0 cm", "45 cm, 20 cm, 15 cm")
        + ledge("high", f"{x(55, 40)}, 5 cm, 0 cm", "40 cm, 20 cm, 45 cm")
    )
    door = {"door": {"at": "[2 cm, 2 cm]", "size": "[96 cm, 56 cm]"}}
    (out,) = study_of(text_of(BOX, door, rest)).report.again
    assert out.goes
    assert all(move.angle == 0 for move in out.moves)
