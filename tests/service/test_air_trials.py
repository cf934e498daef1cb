"""Fans, vents and walls as remedies: what is tried can be written, is read back, and one is run through the check."""

from difflib import ndiff

import pytest

from sunfleck.plan.read import check_document, read_plan_text
from sunfleck.service.air_trials import fan_levels, new_fans, new_name, new_vents
from sunfleck.service.heat_trials import heat_trials
from sunfleck.service.remedies import _Search
from sunfleck.service.resolved import resolved
from sunfleck.service.starting import starter_text
from sunfleck.service.trials import edited
from sunfleck.service.wall_trials import insulated, thicker_walls

OWN_FAN = (
    "  fans:\n    - {name: my fan, fan: fan-80mm, face: back, at: [70 cm, 85 cm], level: 50 %}\nsubstrate:"
)


def ventless(*, gap=None):
    """The arid example without its vents, its panes with or without gaps."""
    text = "\n".join(line for line in starter_text("arid").split("\n") if "vent, face" not in line)
    text = text.replace("  vents:\n", "")
    return text if gap is None else text.replace("kind: sliding,", f"kind: sliding, gap: {gap},")


def hot():
    """That box in a cool room in summer, its floods alone in it: only its own heat is too much."""
    text = ventless().replace("winter: 20 degC, summer: 29 degC", "summer: 23 degC")
    begins, ends = text.index("  - name: front uv tube"), text.index("  - name: left flood")
    return (
        text[:begins]
        + text[ends : text.index("perches:")]
        + text[text.index("ledges:") : text.index("hides:")]
    )


PLANS = {
    "tall": starter_text("tall-planted"),
    "arid": starter_text("arid"),
    "ventless": ventless(),
    "sealed": ventless(gap="0 mm"),
    "in inches": ventless(gap="0 in").replace("show_units: metric", "show_units: us"),
    "own fan": starter_text("arid").replace("substrate:", OWN_FAN, 1),
    "own low fan, crlf": starter_text("arid").replace("substrate:", OWN_FAN, 1).replace("\n", "\r\n"),
}


def all_trials(plan):
    series = [*fan_levels(plan, more=True), *fan_levels(plan, more=False), *new_vents(plan), new_fans(plan)]
    series += [*thicker_walls(plan), *insulated(plan)]
    return [trial for each in series for trial in each]


@pytest.mark.parametrize("name", PLANS)
def test_each_trial_is_a_plan_that_is_read(name):
    """No rule of the plan is broken by a fan, a vent, a board or a lining; every other line stays to the byte."""
    plan = read_plan_text(PLANS[name])
    trials = all_trials(plan)
    assert trials
    for trial in trials:
        document = edited(plan, trial)
        assert document is not None, trial.words
        changed = check_document(document, plan.library).plan
        added = len(changed.enclosure.fans) + len(changed.enclosure.vents) + len(changed.backgrounds)
        before = len(plan.plan.enclosure.fans) + len(plan.plan.enclosure.vents) + len(plan.plan.backgrounds)
        assert added - before == sum(not isinstance(edit.value, str) for edit in trial.edits)
        old, new = plan.document.text.split("\n"), document.text.split("\n")
        gone = [line for line in ndiff(old, new) if line.startswith("- ")]
        # Only a value that is set anew stands in a line that is no longer there.
        assert len(gone) == sum(isinstance(edit.value, str) for edit in trial.edits)


def kinds(series):
    return [trial.kinds for trial in series]


def test_fans_are_tried_from_the_smallest_on():
    """Each moves more than the one before, high up in a wall that has no vent; with an intake where there is none."""
    plan = read_plan_text(PLANS["arid"])
    fans = [edited(plan, trial) for trial in new_fans(plan)]
    placed = [check_document(document, plan.library).plan.enclosure.fans[0] for document in fans]
    moved = [plan.library.fans[fan.fan].flow.value * fan.level for fan in placed]
    assert moved == sorted(moved)
    assert {plan.library.fans[fan.fan].flow.value for fan in placed} == {
        fan.flow.value for fan in plan.library.fans.values()
    }
    assert {(fan.face, fan.blows) for fan in placed} == {("back", "out")}
    assert all(fan.at[1] > 0.8 for fan in placed)
    assert set(kinds(new_fans(plan))) == {("fan",)}
    sealed = read_plan_text(PLANS["sealed"])
    for trial in new_fans(sealed):
        assert trial.kinds == ("fan", "vent")
        enclosure = check_document(edited(sealed, trial), sealed.library).plan.enclosure
        assert enclosure.fans[0].face != enclosure.vents[0].face
        assert enclosure.vents[0].at[1] < 0.5 < enclosure.fans[0].at[1]


def test_a_fan_that_is_there_is_set_first():
    """Its level costs nothing: more air for a box that is too hot, less for one that is too cold."""
    plan = read_plan_text(PLANS["own fan"])
    levels = {
        more: [
            edit.value for series in fan_levels(plan, more=more) for trial in series for edit in trial.edits
        ]
        for more in (True, False)
    }
    assert levels == {True: ["75 %", "100 %"], False: ["25 %"]}
    assert new_name(plan, "my fan") == "my fan 2"
    assert list(fan_levels(read_plan_text(PLANS["arid"]), more=True)) == []


def test_vents_are_cut_where_there_are_none():
    """Low, and high too where warm air has no way out; neither in a box that has both."""
    assert list(new_vents(read_plan_text(PLANS["arid"]))) == []
    assert list(new_vents(read_plan_text(PLANS["tall"]))) == []
    plan = read_plan_text(PLANS["ventless"])
    low, both = new_vents(plan)
    for trial in low:
        (vent,) = check_document(edited(plan, trial), plan.library).plan.enclosure.vents
        assert vent.at[1] < 0.5
    for trial in both:
        vents = check_document(edited(plan, trial), plan.library).plan.enclosure.vents
        assert vents[0].at[1] < 0.5 < vents[1].at[1]
        assert vents[0].face != vents[1].face


def test_walls_grow_outwards_and_say_so():
    """The next sizes of the board; the inside is the same, and the words tell by how much the outside is larger."""
    plan = read_plan_text(PLANS["arid"])
    (series,) = thicker_walls(plan)
    assert [trial.edits[0].value for trial in series] == ["18 mm", "25 mm"]
    # Of 15 mm all round but for the front: twice 10 mm wider and higher, once deeper.
    assert "the outside grows 2 cm wider, 1 cm deeper and 2 cm higher" in series[1].words
    after = check_document(edited(plan, series[1]), plan.library).plan.enclosure
    assert after.inside == plan.plan.enclosure.inside
    assert after.walls.default.thickness == 0.025
    glass = starter_text("arid").replace(
        "{material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}",
        "{material: glass-float, thickness: 6 mm}",
    )
    assert list(thicker_walls(read_plan_text(glass))) == []


def test_a_core_of_what_insulates_least_is_exchanged():
    """A panel of mortar gets an insulating core; one of foam stays as it is."""
    text = starter_text("tall-planted")
    panel = "thickness: 6 cm, finish: cork"
    assert panel in text
    plan = read_plan_text(text.replace(panel, f"{panel}, core: cement-mortar"))
    first = next(iter(insulated(plan)))[0]
    assert [edit.path for edit in first.edits] == [("backgrounds", 0, "core")]
    foam = read_plan_text(text.replace(panel, f"{panel}, core: pu-foam"))
    assert not [t for series in insulated(foam) for t in series if t.edits[0].path[-1] == "core"]


def test_a_fan_turns_a_box_that_is_too_hot():
    """Air, not walls, is tried for it, cheapest kinds first; the fan found makes the cool end cool, and harms nothing.

    One test: the box is resolved once, which takes seconds.
    """
    plan = read_plan_text(hot())
    base = resolved(plan)
    verdict = next(v for v in base.climate.verdicts if v.id.startswith("cool-end"))
    assert verdict.state == "over"
    tried = [kind for series in heat_trials(plan, verdict) for kind in series[0].kinds]
    assert {"vent", "fan", "room"} <= set(tried)
    assert "wall" not in tried
    assert tried.index("vent") < tried.index("fan") < tried.index("room")
    (remedy,) = _Search(plan, base, base.whole, verdict, light=False).over([new_fans(plan)], 1)
    assert remedy.kind == "fan"
    # The line of the new key and that of the entry are both shown.
    assert [line.split(": ", 1)[1].split(":")[0] for line in remedy.edits] == ["fans", "- {name"]
    assert read_plan_text(remedy.text).plan.enclosure.fans[0].name == "exhaust fan"
    turned = remedy.changes[0]
    assert (turned.id, turned.before, turned.after) == (verdict.id, "over", "meets")
    assert turned.expected_after < turned.expected_before
    assert not [c for c in remedy.changes if c.before == "meets" and c.after in ("short", "over")]
