"""Promises of bringing two changed copies together: nothing of either is lost unseen."""

import shutil
import subprocess

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.document.edit import EditError
from sunfleck.document.lines import line_changes, lines_of
from sunfleck.document.merge import Conflict, merge

# Few different lines, so that they repeat and can be aligned in several ways.
LINES = st.sampled_from(["", "a: 1", "  - {at: 2}", "b:", "# c", "x\u2028y"])
ENDS = st.sampled_from(["\n", "\r\n", "\r"])


@st.composite
def texts(draw):
    lines = draw(st.lists(LINES, max_size=8))
    text = "".join(
        line + end for line, end in zip(lines, draw(st.lists(ENDS, min_size=8, max_size=8)), strict=False)
    )
    return text + draw(st.sampled_from(["", "end: true"]))


# Lines that stand once: there is one way to align them.
NUMBERED = [f"line {k}\n" for k in range(12)]
CHANGES = st.dictionaries(st.integers(0, 11), st.sampled_from(["new", "gone", "more"]), max_size=4)


def changed(changes, side):
    """Apply changes to the numbered lines: another line, no line, or a line more behind."""
    out = []
    for k, line in enumerate(NUMBERED):
        what = changes.get(k)
        out += [line] if what in (None, "more") else []
        out += [f"{side} {k}\n"] if what in ("new", "more") else []
    return "".join(out)


@settings(max_examples=50, deadline=None)
@given(texts(), texts())
def test_a_side_that_changed_nothing_yields(base, other):
    """And what both changed alike is there once."""
    assert merge(base, base, other).text == other
    assert merge(base, other, base).text == other
    assert merge(base, other, other).text == other


@settings(max_examples=50, deadline=None)
@given(texts(), texts(), texts())
def test_sides_can_be_exchanged(base, mine, theirs):
    """Nothing but the names of the sides differs."""
    one, other = merge(base, mine, theirs), merge(base, theirs, mine)
    turned = [
        p
        if isinstance(p, str)
        else Conflict(p.base, p.theirs, p.mine, p.base_line, p.theirs_line, p.mine_line)
        for p in other.pieces
    ]
    assert list(one.pieces) == turned


@settings(max_examples=50, deadline=None)
@given(texts(), texts(), texts())
def test_choosing_one_side_for_all_keeps_its_lines(base, mine, theirs):
    """Where all is chosen from one side, each of its changed lines is there; conflicts say where they stand."""
    merged = merge(base, mine, theirs)
    for conflict in merged.conflicts:
        if mine.count("\r\n") + base.count("\r\n") + theirs.count("\r\n") == 0:
            lines = mine.replace("\r", "\n").split("\n")
            at = conflict.mine_line - 1
            stripped = [line.rstrip("\r\n") for line in conflict.mine]
            assert lines[at : at + len(stripped)] == stripped
    text = merged.with_choices(["mine"] * len(merged.conflicts))
    assert (merged.text is None) == bool(merged.conflicts)
    assert merged.text in (None, text)


@settings(max_examples=50, deadline=None)
@given(CHANGES, CHANGES)
def test_changes_of_different_lines_both_arrive(one, other):
    """Lines that are not the same nor next to what is put in merge without a question."""
    near = {k + d for k in one for d in (-1, 0, 1)}
    other = {k: what for k, what in other.items() if k not in near}
    base, mine, theirs = "".join(NUMBERED), changed(one, "mine"), changed(other, "theirs")
    merged = merge(base, mine, theirs)
    lines = merged.text.splitlines()
    assert [line for line in lines if line.startswith("mine")] == [
        f"mine {k}" for k in sorted(one) if one[k] != "gone"
    ]
    assert [line for line in lines if line.startswith("theirs")] == [
        f"theirs {k}" for k in sorted(other) if other[k] != "gone"
    ]
    gone = {k for k, what in (one | other).items() if what != "more"}
    assert [line for line in lines if line.startswith("line")] == [
        f"line {k}" for k in range(12) if k not in gone
    ]


@pytest.mark.skipif(shutil.which("git") is None, reason="git is the outside word here")
@settings(max_examples=20, deadline=None)
@given(CHANGES, CHANGES)
def test_where_git_merges_the_result_is_the_same(tmp_path_factory, one, other):
    """Held against `git merge-file`: what it merges without a conflict comes out alike; more may merge here, never less."""
    folder = tmp_path_factory.mktemp("merge")
    written = {"base": "".join(NUMBERED), "mine": changed(one, "mine"), "theirs": changed(other, "theirs")}
    for name, text in written.items():
        (folder / name).write_bytes(text.encode())
    done = subprocess.run(
        ["git", "merge-file", "-p", "mine", "base", "theirs"], cwd=folder, capture_output=True, check=False
    )
    if done.returncode == 0:
        assert merge(written["base"], written["mine"], written["theirs"]).text == done.stdout.decode()


def test_each_choice():
    """One side, the other, what was, or both; the number of choices is checked."""
    merged = merge("a\nb", "a\nmine", "a\ntheirs")
    told = {c: merged.with_choices([c]) for c in ("mine", "theirs", "base", "both")}
    assert told == {"mine": "a\nmine", "theirs": "a\ntheirs", "base": "a\nb", "both": "a\nmine\ntheirs"}
    assert merged.conflicts == (Conflict(("b",), ("mine",), ("theirs",), 2, 2, 2),)
    for wrong in ([], ["mine", "mine"], ["ours"]):
        with pytest.raises(EditError, match="choices are needed"):
            merged.with_choices(wrong)


def test_lines_right_below_one_another_merge():
    """Two keys of one lamp, each on its line, changed on either side."""
    base = "at: 1\naim: 2\n"
    assert merge(base, "at: 3\naim: 2\n", "at: 1\naim: 4\n").text == "at: 3\naim: 4\n"


def test_an_editor_that_writes_all_line_ends_anew_is_followed():
    """Its one change and ours merge, in its line ends."""
    assert merge("a\nb\nc\n", "a\nb\nC\n", "A\r\nb\r\nc\r\n").text == "A\r\nb\r\nC\r\n"


def test_many_lines_alike_are_answered():
    """Comparing each with each would take minutes; what changed comes through all the same."""
    base = "x: 1\n" * 30_000 + "end: true\n"
    merged = merge(base, "a: 1\n" + base, base.replace("end: true", "end: false"))
    assert merged.text == "a: 1\n" + base.replace("end: true", "end: false")


@settings(max_examples=50, deadline=None)
@given(texts(), texts())
def test_changes_of_lines_lead_from_one_text_to_the_other(one, other):
    """In their order; what lies between is alike."""
    lines, others = lines_of(one), lines_of(other)
    assert "".join(lines) == one
    at = to = 0
    for change in line_changes(lines, others):
        assert lines[at : change.start] == others[to : change.other_start]
        assert (change.start, change.other_start) != (at, to) or (at, to) == (0, 0)
        at, to = change.end, change.other_end
    assert lines[at:] == others[to:]
