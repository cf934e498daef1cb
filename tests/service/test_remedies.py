"""Remedies: each, checked again, turns its verdict; none makes anything too much; every change is told."""

import json
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from oracles.plans import tall_guarded
from sunfleck.faces.cli import main
from sunfleck.outputs.remedy_words import remedies_text
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check, check_light
from sunfleck.service.heat_trials import heat_trials
from sunfleck.service.remedies import _changes, find_remedies
from sunfleck.service.starting import STARTERS, starter_text
from sunfleck.service.trials import alone
from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Number, Step


def high():
    """The arid example with a keeper who wants 3.1 UVI at least, its tubes 6 cm higher: the floor is no longer sure."""
    return starter_text("arid").replace(", 93 cm]", ", 99 cm]").replace("uv_floor: 2.6", "uv_floor: 2.9")


def unmetered():
    """The same as drawn, the tubes never read: brackets are too short, the ceiling may be passed."""
    lines = starter_text("arid").split("\n")
    return "\n".join(line for line in lines if "evidence:" not in line and "{distance" not in line)


def bare():
    """The tall box with lamps inside, without guards and with no travel stated."""
    lines = tall_guarded().split("\n")
    return "\n".join(line for line in lines if "    guard:" not in line and "    travel:" not in line)


def untimed():
    """The tall example, its UV tube lit only after the animal has basked."""
    return starter_text("tall-planted").replace('hours: ["08:00", "20:00"]', 'hours: ["18:00", "20:00"]')


PLANS = {
    "bare": bare(),
    "untimed": untimed(),
    "high": high(),
    "unmetered": unmetered(),
} | {name: starter_text(name) for name in STARTERS}


# Of these plans one verdict is asked about.
ONLY = {
    "unmetered": "uv-bracket:the-dragon",
    "untimed": "uv-floor:the-basilisk",
    "high": "uv-floor:the-dragon",
}


@pytest.mark.parametrize("name", PLANS)
def test_remedies_turn_their_verdicts_and_harm_none(name):
    """Issue: each is run through `check` again; no ceiling becomes `over`, nothing that met is short; what is said is so.

    One test a plan: the search takes seconds, and everything about what it finds is asked of it here.
    """
    report, remedied = find_remedies(read_plan_text(PLANS[name]), ONLY.get(name), light=True)
    for one in remedied:
        _comes_last_what_opens(one)
        # Of the examples all are checked again, as the issue asks; of the others the first two.
        for remedy in one.remedies if name in STARTERS else one.remedies[:2]:
            print(f"{name}: {remedy.words}")
            _turns_and_harms_none(report, one, remedy)
            _stands_clear_of_the_roof(remedy)
    PROMISES[name](report, remedied)


def _turns_and_harms_none(report, one, remedy):
    before = {verdict.id: verdict.state for verdict in report.verdicts}
    after = {v.id: v for v in check_light(read_plan_text(remedy.text)).verdicts}
    assert after[one.verdict.id].state == "meets", remedy.words
    assert not [k for k, v in after.items() if v.state == "over" and before[k] != "over"]
    assert not [c for c in remedy.changes if c.after == "over" and c.expected_after > c.expected_before]
    assert not [k for k, v in after.items() if v.state == "short" and before[k] == "meets"]
    # Every verdict whose state is another then is told of, with its states; the turned one first.
    told = {change.id: (change.before, change.after) for change in remedy.changes}
    for id_, state in before.items():
        if state != after[id_].state:
            assert told[id_] == (state, after[id_].state)
    assert remedy.changes[0].id == one.verdict.id


def _stands_clear_of_the_roof(remedy):
    """Every proposed tube lies wholly under the roof, or wholly over its mesh, its own thickness included."""
    plan = read_plan_text(remedy.text).plan
    ends = [point for fixture in plan.fixtures for point in (fixture.from_, fixture.to) if point is not None]
    assert all(abs(point[2] - plan.enclosure.inside.height) > 0.008 for point in ends)


def _comes_last_what_opens(one):
    """A remedy that makes a verdict that met unknown is told of after those that do not."""
    opens = [any(c.before == "meets" != c.after for c in remedy.changes) for remedy in one.remedies]
    assert opens == sorted(opens)


def of(remedied, id_):
    return next(one for one in remedied if one.verdict.id == id_)


def _the_smallest_move(_, remedied):
    """Tubes that hang too high are lowered; only the lines that are named differ."""
    floor = of(remedied, "uv-floor:the-dragon")
    assert floor.remedies
    assert all(remedy.words.startswith("lower") for remedy in floor.remedies if remedy.kind == "move")
    for remedy in floor.remedies:
        pairs = zip(PLANS["high"].splitlines(), remedy.text.splitlines(), strict=True)
        changed = [f"line {k}: {new.strip()}" for k, (old, new) in enumerate(pairs, start=1) if old != new]
        assert tuple(changed) == remedy.edits


def _a_longer_bracket(_, remedied):
    """`short of travel` is turned by as much travel as was found to be needed."""
    bracket = of(remedied, "uv-bracket:the-dragon")
    assert [remedy.kind for remedy in bracket.remedies] == ["bracket"]
    assert "travel:" in bracket.remedies[0].edits[0]


def _guards_and_nothing_for_a_leaper(report, remedied):
    """Guards round all three lamps within reach; for UV at a guard nothing helps, and advice stands there instead."""
    guard = of(remedied, "lamp-guard:the-basilisk")
    assert {remedy.kind for remedy in guard.remedies} == {"guard"}
    assert len(guard.remedies[0].edits) == 3
    change = next(c for c in guard.remedies[0].changes if c.id == "uv-ceiling:the-basilisk")
    assert change.expected_after < change.expected_before
    ceiling = of(remedied, "uv-ceiling:the-basilisk")
    assert ceiling.remedies == ()
    assert ceiling.tried > 20
    assert "larger guard" in remedies_text(report, remedied, "metric").replace("\n  ", " ")


def _lit_longer(_, remedied):
    """UV after dusk is no UV where it basks: hours cost nothing, and are proposed before any move."""
    floor = of(remedied, "uv-floor:the-basilisk")
    assert floor.remedies[0].kind == "timer"
    assert "from 08:30 to 20:00" in floor.remedies[0].words


def _a_move_that_costs_nothing(_, remedied):
    """Done when: a reader of the demo can say where to hang what; the first remedy is a move, and meets everything."""
    assert [one.verdict.id.split(":")[0] for one in remedied] == ["uv-ceiling"]
    first = remedied[0].remedies[0]
    assert first.kind == "move"
    assert {v.state for v in check_light(read_plan_text(first.text)).verdicts} == {"meets"}


PROMISES = {
    "bare": _guards_and_nothing_for_a_leaper,
    "untimed": _lit_longer,
    "high": _the_smallest_move,
    "unmetered": _a_longer_bracket,
} | dict.fromkeys(STARTERS, _a_move_that_costs_nothing)


def test_the_command_prints_and_leaves_the_plan_alone(tmp_path):
    """`sunfleck remedies`: text and JSON, exit code of the plan as it is, the file untouched; wrong input is 2."""
    file = tmp_path / "plan.yaml"
    file.write_text(PLANS["tall-planted"], encoding="utf-8")
    done = CliRunner().invoke(main, ["remedies", str(file), "--light", "--of", "uv-retreat:the-basilisk"])
    assert done.exit_code == 1
    assert "uv-retreat:the-basilisk is met" in done.output
    wrong = CliRunner().invoke(main, ["remedies", str(file), "--light", "--of", "uv-ceilng:the-basilisk"])
    assert wrong.exit_code == 2
    assert "did you mean uv-ceiling:the-basilisk" in wrong.output
    assert file.read_text(encoding="utf-8") == PLANS["tall-planted"]
    unlit = PLANS["tall-planted"]
    unlit = unlit[: unlit.index("fixtures:")] + unlit[unlit.index("backgrounds:") :]
    file.write_text(unlit, encoding="utf-8")
    plain = CliRunner().invoke(main, ["remedies", str(tmp_path), "--light", "--json"])
    assert json.loads(plain.output)["schema"] == 1
    assert CliRunner().invoke(main, ["remedies", str(tmp_path / "no.yaml")]).exit_code == 2


def test_a_change_that_raises_a_new_question_or_comes_nearer_is_none():
    """A swap that brings UV where none was asked about, or a lamp lowered towards the animal (regression)."""

    def verdict(id_, state, gap):
        step = Step("a gap", gap, "m", "given", (), "a test", "given")
        return Verdict(
            id_, id_, "a", state, "", "", (Number(f"{id_}.gap_0", "", gap, "m", lambda: step),), ""
        )

    def report(*verdicts):
        return SimpleNamespace(verdicts=verdicts)

    before = report(verdict("heat-patch:a", "short", 0.1), verdict("lamp-guard:a", "short", 0.0))
    met = verdict("heat-patch:a", "meets", 0.1)
    same = verdict("lamp-guard:a", "short", 0.0)
    assert _changes(before, (met, same), "heat-patch:a") is not None
    assert _changes(before, (met, same, verdict("uv-ceiling:a", "over", 0.0)), "heat-patch:a") is None
    farther = report(verdict("heat-patch:a", "short", 0.1), verdict("lamp-guard:a", "short", 0.3))
    assert _changes(farther, (met, same), "heat-patch:a") is None


def test_a_swapped_lamp_brings_its_own_beam():
    """Readings, age and a photometric file belong to the lamp that is taken out (regression)."""
    plan = read_plan_text(PLANS["arid"])
    failing = next(v for v in check_light(plan).verdicts if v.id.startswith("uv-ceiling"))
    swaps = [trial for series in alone(plan, failing) for trial in series if "swap" in trial.kinds]
    assert swaps
    for trial in swaps:
        assert {edit.path[-1] for edit in trial.edits if edit.value is None} == {
            "evidence",
            "age",
            "photometry",
        }


def test_remedies_of_heat_turn_their_verdicts():
    """A night that is too warm is mended by the room, checked in full; every verdict that changes is told, in degrees."""
    report, remedied = find_remedies(read_plan_text(PLANS["arid"]), "night:the-dragon")
    assert [one.verdict.id for one in remedied] == ["night:the-dragon"]
    remedy = remedied[0].remedies[0]
    assert remedy.kind == "room"
    after = {v.id: v for v in check(read_plan_text(remedy.text)).verdicts}
    assert after["night:the-dragon"].state == "meets"
    told = {change.id: (change.before, change.after) for change in remedy.changes}
    for verdict in report.verdicts:
        if verdict.state != after[verdict.id].state:
            assert told[verdict.id] == (verdict.state, after[verdict.id].state)
    assert "degC" in remedies_text(report, remedied, "metric", "night:the-dragon")


def test_what_is_tried_for_heat():
    """Cheapest first, from the smallest on: thermostats, hours, lamps, vents, watts, the room; nothing for a failure."""
    plan = read_plan_text(PLANS["arid"])
    by_id = {verdict.id.split(":")[0]: verdict for verdict in check(plan).verdicts}
    kinds = {
        question: [trial.kinds[0] for series in heat_trials(plan, by_id[question]) for trial in series[:1]]
        for question in ("basking-spot", "cool-end", "night", "one-failure", "uv-floor")
    }
    assert kinds["basking-spot"][0] == "setting"
    assert {"move", "swap"} <= set(kinds["basking-spot"])
    assert {"timer", "vent", "room"} <= set(kinds["cool-end"])
    assert kinds["night"] == ["room"]
    assert kinds["one-failure"] == kinds["uv-floor"] == []
