"""Promises of undo and redo: every text comes back, and a thousand steps stay small."""

import pickle

from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.service.workbench.history import History, Step, done, splices_between, undone

TEXTS = st.text("ab\n: ", max_size=60) | st.lists(
    st.sampled_from(["a: 1\n", "b: 2\n", "c\n"]), max_size=80
).map("".join)


@settings(deadline=None)
@given(TEXTS, TEXTS)
def test_what_differs_leads_there_and_back(before, after):
    """However much it is."""
    step = Step(splices_between(before, after), "edit")
    assert done(step, before) == after
    assert undone(step, after) == before
    assert bool(step.splices) == (before != after)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(TEXTS, st.sampled_from(["", "one", "two"])), max_size=12))
def test_every_text_comes_back(changes):
    """Back to the first, and on to the last; changes with one word are one step."""
    history, text, texts = History(), "", [""]
    for after, together in changes:
        joined = history.joins(together)
        history.add(text, after, "edit", together)
        if joined:
            texts.pop()
        if len(texts) == 0 or after != texts[-1]:
            texts.append(after)
        text = after
    assert len(history) == len(texts) - 1
    for expected in texts[-2::-1]:
        text = history.undo(text)
        assert text == expected
    assert history.undo(text) == text
    for expected in texts[1:]:
        text = history.redo(text)
        assert text == expected
    assert history.redo_label is None


def test_a_nudge_joins_the_one_before_until_a_step_ends():
    """A key let go, an undo, or another part begins a new one."""
    history = History()
    for before, after in (("1", "2"), ("2", "3")):
        history.add(before, after, "move", "lamp")
    assert len(history) == 1
    history.end_step()
    history.add("3", "4", "move", "lamp")
    history.add("4", "5", "move", "perch")
    assert len(history) == 3
    assert history.undo("5") == "4"
    history.add("4", "6", "move", "lamp")
    assert (len(history), history.redo_label) == (3, None)
    assert history.undo(history.undo("6")) == "3"


def test_a_thousand_steps_are_small(tall):
    """Less than a megabyte, of moves that touch two lines each."""
    history, text = History(), tall.document.text
    for k in range(1000):
        after = text.replace("186 cm", f"{190 + k / 10:.1f} cm")
        history.add(tall.document.text, after, "move uv tube")
    assert len(history) == 1000
    assert len(pickle.dumps(history)) < 1_000_000


def test_the_oldest_are_forgotten_where_steps_are_huge():
    """Whole texts put in again and again do not fill the memory."""
    history, texts = History(), ["a" * 400_000, "b" * 400_000]
    for k in range(20):
        history.add(texts[k % 2], texts[1 - k % 2], "paste")
    assert 1 < len(history) < 8
    assert history.undo(texts[0]) == texts[1]
