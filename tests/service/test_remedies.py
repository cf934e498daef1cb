"""Remedies: each, checked again, turns its verdict; none makes anything too much; every change is told."""

import json

import pytest
from click.testing import CliRunner

from sunfleck.faces.cli import main
from sunfleck.outputs.remedy_words import remedies_text
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check
from sunfleck.service.remedies import find_remedies
from sunfleck.service.starting import STARTERS, starter_text


def high():
    """The arid example with its tubes 3 cm higher: the floor is no longer sure."""
    return starter_text("arid").replace(", 96 cm]", ", 99 cm]")


def unmetered():
    """The same as drawn, the tubes never read: brackets are too short, the ceiling may be passed."""
    lines = starter_text("arid").split("\n")
    return "\n".join(line for line in lines if "evidence:" not in line and "{distance" not in line)


def bare():
    """The tall example without guards and with no travel stated."""
    lines = starter_text("tall-planted").split("\n")
    return "\n".join(line for line in lines if "    guard:" not in line and "    travel:" not in line)


PLANS = {"bare": bare(), "high": high(), "unmetered": unmetered()} | {
    name: starter_text(name) for name in STARTERS
}


@pytest.fixture(scope="module")
def found():
    return {name: find_remedies(read_plan_text(text)) for name, text in PLANS.items()}


def test_every_remedy_turns_its_verdict_and_harms_none(found):
    """Issue: each is run through `check` again; no ceiling becomes `over`, nothing that met is short."""
    count = 0
    for name, (report, remedied) in found.items():
        before = {verdict.id: verdict.state for verdict in report.verdicts}
        for one in remedied:
            for remedy in one.remedies:
                after = {v.id: v for v in check(read_plan_text(remedy.text)).verdicts}
                assert after[one.verdict.id].state == "meets", remedy.words
                assert not [k for k, v in after.items() if v.state == "over" and before[k] != "over"]
                worse = [
                    c for c in remedy.changes if c.after == "over" and c.expected_after > c.expected_before
                ]
                assert not worse
                assert not [k for k, v in after.items() if v.state == "short" and before[k] == "meets"]
                # Every verdict whose state is another then is told of, with its states.
                told = {change.id: (change.before, change.after) for change in remedy.changes}
                for id_, state in before.items():
                    if state != after[id_].state:
                        assert told[id_] == (state, after[id_].state)
                assert remedy.changes[0].id == one.verdict.id
                count += 1
                print(f"{name}: {remedy.words}")
    assert count >= 3


def test_the_smallest_move_that_does_is_proposed(found):
    """The tubes hang 3 cm too high, and lowering one of them by some centimetres mends it."""
    _, remedied = found["high"]
    floor = next(one for one in remedied if one.verdict.id == "uv-floor:the-dragon")
    assert floor.remedies
    assert all(remedy.words.startswith("lower") for remedy in floor.remedies if remedy.kind == "move")
    # Only the lines that are named differ.
    for remedy in floor.remedies:
        pairs = zip(PLANS["high"].splitlines(), remedy.text.splitlines(), strict=True)
        changed = [f"line {k}: {new.strip()}" for k, (old, new) in enumerate(pairs, start=1) if old != new]
        assert tuple(changed) == remedy.edits


def test_a_bracket_that_is_too_short_is_ordered_longer(found):
    """`short of travel` is turned by as much travel as was found to be needed."""
    _, remedied = found["unmetered"]
    bracket = next(one for one in remedied if one.verdict.id == "uv-bracket:the-dragon")
    assert [remedy.kind for remedy in bracket.remedies] == ["bracket"]
    assert "travel:" in bracket.remedies[0].edits[0]


def test_guards_are_put_round_lamps_within_reach(found):
    """A leaper among bare lamps: guards round all three, and what they change of UV and heat is told."""
    _, remedied = found["bare"]
    guard = next(one for one in remedied if one.verdict.id == "lamp-guard:the-basilisk")
    assert [remedy.kind for remedy in guard.remedies] == ["guard"]
    assert len(guard.remedies[0].edits) == 3
    ceiling = next(c for c in guard.remedies[0].changes if c.id == "uv-ceiling:the-basilisk")
    assert ceiling.expected_after < ceiling.expected_before


def test_no_lamp_is_raised_into_the_roof(found):
    """Every proposed tube lies wholly under the roof, its own thickness included."""
    for _, remedied in found.values():
        for remedy in (r for one in remedied for r in one.remedies if r.kind == "move"):
            plan = read_plan_text(remedy.text)
            for fixture in plan.plan.fixtures:
                for point in (fixture.from_, fixture.to):
                    assert point is None or point[2] <= plan.plan.enclosure.inside.height - 0.008


def test_where_nothing_helps_nothing_is_proposed(found):
    """A leaper that gets to the tube's own guard gets too much wherever the tube hangs: no remedy, advice instead."""
    report, remedied = found["tall-planted"]
    assert [one.remedies for one in remedied] == [()]
    assert "larger guard" in remedies_text(report, remedied).replace("\n  ", " ")


def test_the_command_prints_and_leaves_the_plan_alone(tmp_path):
    """`sunfleck remedies`: text and JSON, exit code of the plan as it is, the file untouched; wrong input is 2."""
    file = tmp_path / "plan.yaml"
    file.write_text(PLANS["tall-planted"], encoding="utf-8")
    done = CliRunner().invoke(main, ["remedies", str(file)])
    assert done.exit_code == 1
    assert "Your plan was not changed" in done.output
    assert file.read_text(encoding="utf-8") == PLANS["tall-planted"]
    unlit = PLANS["tall-planted"]
    unlit = unlit[: unlit.index("fixtures:")] + unlit[unlit.index("backgrounds:") :]
    file.write_text(unlit, encoding="utf-8")
    plain = CliRunner().invoke(main, ["remedies", str(tmp_path), "--json"])
    assert json.loads(plain.output)["schema"] == 1
    assert CliRunner().invoke(main, ["remedies", str(tmp_path / "no.yaml")]).exit_code == 2
