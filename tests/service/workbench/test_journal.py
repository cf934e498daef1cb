"""Promises of the journal: cut anywhere it gives back what was whole; one process writes it at a time."""

import os
import signal
import subprocess
import sys

import pytest

from sunfleck.document.edit import EditError
from sunfleck.service.workbench import edits
from sunfleck.service.workbench.journal import read_journal
from sunfleck.service.workbench.lock import beside
from sunfleck.service.workbench.session import PlanSession

UP = edits.move("fixtures", "basking lamp", (0, 0, 0.01))


@pytest.fixture
def written(session):
    """A journal with a change of every kind, and the texts it led to."""
    texts = [session.state.text]
    name = edits.rename("hides", 0, "Höhle")
    for act in (
        lambda: session.apply(UP),
        lambda: session.apply(UP),
        lambda: session.apply(name),
        session.undo,
        session.redo,
        session.save,
        lambda: session.apply(edits.delete("perches", 1)),
    ):
        act()
        texts.append(session.state.text)
    session.file.write_text(session.file.read_text().replace("Stairwell", "Hall"))
    session.merge_from_disk()
    texts.append(session.state.text)
    content = beside(session.file, "journal").read_bytes()
    session.revert()
    return content, texts


def test_cut_at_each_byte_it_gives_back_what_is_whole(written, tmp_path):
    """The text after the last row that is whole, never a part of one; before the first row is whole, nothing."""
    content, texts = written
    file = tmp_path / "cut"
    ends = [k for k, byte in enumerate(content) if byte == 10]
    # The first row holds the whole plan: of its bytes every 40th; of all others each.
    cuts = [*range(0, ends[0], 40), *range(ends[0], len(content) + 1)]
    last = None
    for cut in cuts:
        rows = sum(end < cut for end in ends)
        if last is not None and rows == last[0] and cut % 7:
            # Between two ends of rows nothing can differ but the tail that is dropped; a seventh of them is read.
            continue
        file.write_bytes(content[:cut])
        found = read_journal(file)
        if rows == 0:
            assert found is None
            continue
        assert found.whole == ends[rows - 1] + 1
        # Row 1 holds the text, row 2 says who.
        assert found.text == texts[max(rows - 2, 0)]
        last = (rows, cut)
    assert found.text == texts[-1]


def test_a_damaged_row_ends_what_is_believed(written, tmp_path):
    """Flipped bytes, or rows in another order, lead to no text that never was."""
    content, texts = written
    file = tmp_path / "damaged"
    rows = content.splitlines(keepends=True)
    for k in range(2, len(rows)):
        at = len(rows[k]) // 2
        damaged = rows[k][:at] + bytes([rows[k][at] ^ 1]) + rows[k][at + 1 :]
        file.write_bytes(b"".join([*rows[:k], damaged, *rows[k + 1 :]]))
        assert read_journal(file).text in texts
        file.write_bytes(b"".join([*rows[:k], *rows[k + 1 :]]))
        assert read_journal(file).text in texts
    for garbage in (
        b"{}\n",
        b"1\n",
        b'{"sunfleck_journal": 1, "text": 3}\n',
        b"\xff\n",
        b"[" * 9999 + b"\n",
        b"\n",
    ):
        file.write_bytes(garbage)
        assert read_journal(file) is None
        file.write_bytes(rows[0] + garbage)
        assert read_journal(file).text == texts[0]
    file.write_bytes(rows[0] + b'{"step":[[1e999,"",""]],"label":"","together":"","joined":false,"is":""}\n')
    assert read_journal(file).text == texts[0]


def test_a_journal_that_is_damaged_opens_the_plan(session, plan_file):
    """What cannot be read is put aside, nothing is thrown away."""
    session.close()
    beside(plan_file, "journal").write_bytes(b"garbage")
    again = PlanSession.open(plan_file)
    assert (again.restored, again.offered, again.unkept) == ((), None, "")
    assert beside(plan_file, "journal-left-1").read_bytes() == b"garbage"
    again.close()


EDITOR = """
import sys, time
from sunfleck.service.workbench import edits
from sunfleck.service.workbench.session import PlanSession
session = PlanSession.open(sys.argv[1])
for k in range(8000):
    session.apply(edits.level("basking lamp", 0.1 + k / 1e4))
    session.end_step()
    print(k, flush=True)
"""


def test_a_program_that_is_killed_loses_one_step_at_most(plan_file):
    """Meanwhile another one is told who has the plan, and may only read; then it takes it over with all that was made."""
    child = subprocess.Popen(
        [sys.executable, "-c", EDITOR, str(plan_file)], stdout=subprocess.PIPE, text=True, env=os.environ
    )
    try:
        told = [int(child.stdout.readline()) for _ in range(5)]
        session = PlanSession.open(plan_file)
        assert session.read_only
        assert session.held_by.pid == child.pid
        assert not session.take_over()
        for refused in (lambda: session.apply(UP), session.save, session.undo, session.drop_offer):
            with pytest.raises(EditError, match=f"process {child.pid}"):
                refused()
        told += [int(child.stdout.readline()) for _ in range(5)]
    finally:
        child.send_signal(signal.SIGKILL)
        rest = child.communicate()[0].split()
    made = int(rest[-1]) if rest else told[-1]
    assert session.take_over()
    assert not session.read_only
    # The step it was writing may be whole, and not have been told.
    assert len(session.restored) in (made + 1, made + 2)
    level = session.state.plan.fixtures[1].level
    assert round((level - 0.1) * 1e4) == len(session.restored) - 1
    session.revert()
    session.close()
