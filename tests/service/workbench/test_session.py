"""Promises of a session: nothing is lost, nothing is written over unseen, and every step can be taken back."""

import os
import stat
import threading

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sunfleck.document.edit import EditError
from sunfleck.document.problem import PlanError
from sunfleck.errors import SunfleckError
from sunfleck.service.workbench import edits
from sunfleck.service.workbench.lock import PlanLock
from sunfleck.service.workbench.session import ChangedOnDiskError, PlanSession

UP = edits.move("fixtures", "basking lamp", (0, 0, 0.01))


def reopened(session):
    """The session as another program would find it after this one died: nothing is closed, only the lock is freed."""
    PlanSession._open_here.pop(session.file)
    session._keeper._lock.release()
    return PlanSession.open(session.file)


def test_an_edit_is_checked_undone_and_done_again(session):
    """Its problems are told and it is kept; undo brings the same bytes back."""
    first = session.state
    assert first.source is not None
    assert (first.unsaved, first.undo) == (False, None)
    through = session.apply(edits.move("fixtures", "basking lamp", (0, 0, -5.0)))
    assert [problem.rule for problem in through.problems]
    assert through.source is None
    assert through.plan.fixtures[1].at[2] == pytest.approx(192e-2 - 5)
    assert through.last_sound is first.source
    assert (through.unsaved, through.undo) == (True, "move basking lamp")
    back = session.undo()
    assert back.text == first.text
    assert (back.source is not None, back.redo, back.unsaved) == (True, "move basking lamp", False)
    assert session.redo().text == through.text
    assert session.revert().text == first.text
    assert session.undo().text == through.text


def test_edits_together_are_one_step_or_none(session):
    """A second one that cannot be made leaves the first undone too."""
    before = session.state
    with pytest.raises(EditError):
        session.apply(UP, edits.delete("hides", "nothing"))
    assert session.state is before
    session.apply(UP, edits.delete("hides", "cork cave"), label="tidy up")
    assert session.state.undo == "tidy up"
    assert session.undo().text == before.text


def test_nudges_are_one_step(session):
    """Until the key is let go."""
    before = session.state.text
    for _ in range(3):
        session.apply(UP)
    between = session.state.text
    session.end_step()
    session.apply(UP)
    assert session.undo().text == between
    assert session.undo().text == before


def test_text_that_cannot_be_read_is_refused(session):
    """With its problems; text that can be read is taken whatever else is wrong with it."""
    before = session.state
    with pytest.raises(PlanError):
        session.replace_text("format: [1\n")
    for odd in ("\ud800", None, "#" * 600_000):
        with pytest.raises(EditError):
            session.replace_text(odd)
    assert session.state is before
    assert [p.rule for p in session.replace_text("format: 2\n").problems] == ["plan.format"]


def test_a_file_that_cannot_be_read_opens_and_can_be_mended(tmp_path):
    """Edits wait until its text is mended; what no editor could show is refused."""
    file = tmp_path / "plan.yaml"
    file.write_text("format: [1\n")
    session = PlanSession.open(file)
    assert session.state.document is None
    assert session.state.problems[0].rule == "yaml.syntax"
    with pytest.raises(EditError, match="mend"):
        session.apply(UP)
    assert session.replace_text("format: {1\n").document is None
    assert session.replace_text("format: 1\n").document is not None
    session.revert()
    session.close()
    for wrong in (b"\xff\xfe", b" " * 600_000):
        file.write_bytes(wrong)
        with pytest.raises(PlanError):
            PlanSession.open(file)
    for nowhere in (tmp_path / "none", "\0", tmp_path / "none" / "x.yaml"):
        with pytest.raises(PlanError):
            PlanSession.open(nowhere)


def test_saving_keeps_mark_ends_and_permissions(plan_file):
    """To the byte; and through a link the file at its end is written."""
    text = "\ufeff" + plan_file.read_text().replace("\n", "\r\n")
    plan_file.write_bytes(text.encode())
    plan_file.chmod(0o640)
    link = plan_file.with_name("link.yaml")
    link.symlink_to(plan_file)
    session = PlanSession.open(link)
    session.apply(UP)
    state = session.save()
    session.close()
    assert not state.unsaved
    assert plan_file.read_bytes() == text.replace("192 cm", "193 cm").encode()
    assert stat.S_IMODE(plan_file.stat().st_mode) == 0o640
    assert link.is_symlink()
    assert [p.name for p in plan_file.parent.iterdir() if "journal" in p.name] == []


def test_what_is_private_or_protected_stays_so(plan_file, monkeypatch):
    """The journal is readable to whom the plan is; a write-protected plan is not replaced."""
    plan_file.chmod(0o600)
    session = PlanSession.open(plan_file)
    journal = plan_file.with_name(".plan.yaml.sunfleck-journal")
    assert stat.S_IMODE(journal.stat().st_mode) == 0o600
    session.apply(UP)
    before = plan_file.read_bytes()
    with monkeypatch.context() as patched:
        # Root may write anything, and these tests may run as root.
        patched.setattr(os, "access", lambda *_: False)
        with pytest.raises(SunfleckError, match="write-protected"):
            session.save()
    assert plan_file.read_bytes() == before
    session.revert()
    session.close()


def test_a_file_changed_meanwhile_is_not_written_over(session):
    """It is told; merging keeps both changes, and can be undone."""
    session.apply(UP)
    assert not session.changed_on_disk()
    theirs = session.file.read_text().replace("Stairwell basilisk", "Hall basilisk  # moved")
    session.file.write_text(theirs)
    assert session.changed_on_disk()
    with pytest.raises(ChangedOnDiskError):
        session.save()
    assert session.file.read_text() == theirs
    merged = session.merge_from_disk()
    assert merged.conflicts == ()
    both = theirs.replace("192 cm", "193 cm")
    assert session.state.text == both
    assert not session.changed_on_disk()
    session.save()
    assert session.file.read_text() == both
    assert session.undo().undo == "move basking lamp"


def test_a_conflict_waits_for_a_choice(session):
    """Nothing happens before; a wrong number of choices is told."""
    session.apply(UP)
    before = session.state
    session.file.write_text(session.file.read_text().replace("192 cm", "180 cm"))
    merged = session.merge_from_disk()
    assert len(merged.conflicts) == 1
    assert session.state is before
    with pytest.raises(EditError):
        session.merge_from_disk(["mine", "mine"])
    session.merge_from_disk(["theirs"])
    assert "180 cm" in session.state.text
    assert not session.state.unsaved
    session.file.write_text("a: [\n")
    with pytest.raises(PlanError):
        session.merge_from_disk()
    session.file.unlink()
    assert session.changed_on_disk()
    with pytest.raises(PlanError):
        session.merge_from_disk()
    session.save()
    assert session.file.read_text() == session.state.text


def test_what_was_not_saved_comes_back(session):
    """With its steps; also after a save, and where the program died between writing the file and saying so."""
    first = session.state.text
    session.apply(UP)
    session.save()
    session.apply(edits.delete("hides", 0))
    session.apply(edits.level("uv tube", 0.5))
    text = session.state.text
    again = reopened(session)
    assert again.state.text == text
    assert again.restored == ("delete number 1", "set the level of uv tube")
    assert again.state.unsaved
    again.file.write_text(text)
    third = reopened(again)
    assert (third.state.text, third.restored, third.state.unsaved) == (text, (), False)
    for _ in range(3):
        third.undo()
    assert third.state.text == first
    third.revert()
    third.close()
    fourth = PlanSession.open(third.file)
    assert (fourth.restored, fourth.state.undo) == ((), None)
    fourth.close()


def test_what_does_not_fit_the_file_is_offered(session):
    """The plan opens as the file is; what was edited can be merged in, or dropped, now or after another crash."""
    session.apply(UP)
    session.file.write_text(session.file.read_text().replace("Stairwell", "Hall"))
    again = reopened(session)
    assert not again.state.unsaved
    assert again.offered.labels == ("move basking lamp",)
    third = reopened(again)
    assert third.offered.labels == ("move basking lamp",)
    third.take_offer()
    assert "Hall basilisk" in third.state.text
    assert "193 cm" in third.state.text
    assert third.offered is None
    with pytest.raises(EditError, match="left over"):
        third.take_offer()
    third.file.write_text(third.file.read_text().replace("Hall", "Attic"))
    fourth = reopened(third)
    assert fourth.offered is not None
    fourth.drop_offer()
    assert fourth.offered is None
    fourth.close()
    assert sorted(p.name for p in fourth.file.parent.iterdir() if "journal" in p.name) == []


def test_a_merge_is_kept_with_what_it_is_based_on(session):
    """Died after a merge and before saving, nothing of either side is lost, nor taken for ours."""
    session.apply(UP)
    session.file.write_text(session.file.read_text().replace("Stairwell", "Hall"))
    session.merge_from_disk()
    text = session.state.text
    again = reopened(session)
    assert again.state.text == text
    assert again.restored == ("move basking lamp", "take in what changed on the disk")
    again.revert()
    assert again.state.text == again.file.read_text()
    again.close()


def test_a_folder_that_cannot_be_written_is_told(session, monkeypatch):
    """Edits go on, and it is said that they are not kept; where there is room again they are kept as one step."""

    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        session.apply(UP)
        session.apply(edits.delete("hides", 0))
        assert "No space left" in session.unkept
        with pytest.raises(SunfleckError, match="No space left"):
            session.save()
    session.apply(edits.level("uv tube", 0.5))
    assert session.unkept == ""
    text = session.state.text
    again = reopened(session)
    assert (again.state.text, again.restored) == (text, ("edits",))
    again.revert()
    again.close()


def test_where_nothing_can_be_kept_it_is_told(plan_file, monkeypatch):
    """A folder without room for a lock: edits and saving go on, and it is said what a crash would cost."""

    def refused(_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(PlanLock, "take", refused)
    session = PlanSession.open(plan_file)
    assert "Permission denied" in session.unkept
    session.apply(UP)
    assert not session.save().unsaved
    assert "193 cm" in plan_file.read_text()
    session.close()
    assert list(plan_file.parent.iterdir()) == [plan_file]


def test_a_second_reader_sees_what_was_saved(session, monkeypatch):
    """A session for reading takes in what the other one saves, and makes no step of it."""
    monkeypatch.setattr(PlanLock, "take", lambda _: False)
    PlanSession._open_here.pop(session.file)
    reader = PlanSession.open(session.file)
    assert (reader.read_only, reader.held_by.pid) == (True, os.getpid())
    session.apply(UP)
    session.save()
    assert reader.changed_on_disk()
    reader.merge_from_disk()
    assert (reader.state.text, reader.state.undo, reader.state.unsaved) == (session.state.text, None, False)
    reader.close()
    assert session.file.with_name(".plan.yaml.sunfleck-journal").exists()


def test_windows_of_one_program_share_a_session(session):
    """And hear of each other's edits; one that fails keeps no other from hearing."""
    other = PlanSession.open(session.file.parent)
    assert other is session
    heard = []
    stop = session.listen(heard.append)
    failing = session.listen(lambda version: 1 / 0)
    version = session.state.version
    other.apply(UP)
    other.undo()
    assert heard == [version + 1, version + 2]
    stop()
    failing()
    other.redo()
    assert len(heard) == 2
    other.close()
    session.apply(UP)
    session.revert()


def test_threads_edit_one_after_another(session):
    """Every edit is in the text, whichever thread made it."""
    names = [f"s{k}" for k in range(12)]
    session.replace_text(session.state.text + "stations:\n  - {name: s, at: [1 cm, 1 cm, 20 cm]}\n")

    def work(some):
        for name in some:
            session.apply(edits.add("stations", {"name": name, "at": ["1 cm", "1 cm", "20 cm"]}))

    threads = [threading.Thread(target=work, args=(names[k::3],)) for k in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(s["name"] for s in session.state.document.data["stations"]) == sorted(["s", *names])
    session.revert()


PARTS = [("fixtures", 3), ("perches", 3), ("plants", 2), ("hides", 1)]
EDITS = st.one_of(
    *[
        st.builds(
            edits.move,
            st.just(group),
            st.integers(0, number),
            st.tuples(*[st.sampled_from([0, 0.01, -0.0381])] * 3),
        )
        for group, number in PARTS
    ],
    st.builds(edits.duplicate, st.sampled_from([group for group, _ in PARTS]), st.integers(0, 2)),
    st.builds(edits.delete, st.sampled_from([group for group, _ in PARTS]), st.integers(0, 4)),
    st.builds(
        edits.rename, st.sampled_from([group for group, _ in PARTS]), st.integers(0, 2), st.text(max_size=5)
    ),
    st.builds(edits.level, st.integers(0, 2), st.floats(0, 1)),
    st.builds(edits.hours, st.integers(0, 2), st.sampled_from([["08:00", "20:00"], None])),
    st.builds(edits.exchange_lamp, st.integers(0, 2), st.sampled_from(["led-bar-24w-90cm", "none"])),
    st.builds(edits.enclosure_size, width=st.floats(0.5, 2)),
    st.builds(edits.aim, st.integers(0, 2), st.tuples(*[st.floats(0, 1)] * 3)),
)
COMMENTED = """\
# at the top
format: 1   # the format
name: box
enclosure:   # bought
  inside: {width: 120 cm, depth: 70 cm, height: 160 cm}  # inside
  walls: {default: {material: plywood-birch, thickness: 18 mm}}
animals:
  - {species: Basiliscus plumifrons}   # Rosa
# the lamps
fixtures:
  # left of the door
  - name: basking lamp   # hot
    lamp: halogen-reflector-75w-38deg
    at:    # by hand
      - 43 cm   # from the left
      - 1 ft 2 in
      - 150 cm
    aim: [45 cm, 34 cm, 138 cm]
    # on a timer
    hours: ["08:30", "17:30"]
  - {name: other lamp, lamp: spot, at: [80 cm, 30 cm, 150 cm]}  # cold
perches:
    - name: limb
      path: [[2 cm, 26 cm, 112 cm],   # wall
             [40 cm, 33 cm, 137 cm]]  # free
      diameter: 55 mm
# the end
"""


@settings(max_examples=2, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    made=st.lists(EDITS, min_size=100, max_size=100), end=st.sampled_from(["\n", "\r\n"]), mark=st.booleans()
)
def test_a_hundred_edits_taken_back_leave_the_same_bytes(tmp_path_factory, made, end, mark):
    """Whatever they were; and on the way each comment line that stands between parts is there."""
    file = tmp_path_factory.mktemp("edits") / "plan.yaml"
    file.write_bytes((("\ufeff" if mark else "") + COMMENTED.replace("\n", end)).encode())
    session = PlanSession.open(file)
    before = session.state.text
    steps = 0
    for edit in made:
        try:
            session.apply(edit)
        except EditError:
            continue
        finally:
            session.end_step()
        steps += 1
        for comment in ("# at the top", "# the format", "# bought", "# inside", "# the lamps", "# the end"):
            assert comment in session.state.text
        assert session.state.document is not None
    assert steps
    after = session.state.text
    while session.state.undo is not None:
        session.undo()
    assert session.state.text == before
    while session.state.redo is not None:
        session.redo()
    assert session.state.text == after
    session.revert()
    session.save()
    session.close()
    assert file.read_bytes() == before.encode()
