"""One plan while it is edited: its text, what is checked of it, undo, the journal, and the file on the disk."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import ClassVar

from sunfleck.document.edit import EditError, written
from sunfleck.document.merge import Choice, Merge, merge
from sunfleck.document.reader import Document, read_document
from sunfleck.plan.read import MAX_BYTES, PlanSource
from sunfleck.service.workbench.checking import Checked, Checker
from sunfleck.service.workbench.disk import ChangedOnDiskError, PlanFile
from sunfleck.service.workbench.edits import Edit
from sunfleck.service.workbench.history import History, Step, splices_between
from sunfleck.service.workbench.journal import Owner, disk_row, saved_row, step_row, turn_row
from sunfleck.service.workbench.keeper import Keeper
from sunfleck.service.workbench.state import Offer, State

__all__ = ["ChangedOnDiskError", "Offer", "Owner", "PlanSession", "State"]


class PlanSession:
    """One plan while it is edited; all windows of a process share it. Every method may be called from any thread.

    Parameters
    ----------
    file : Path
        The plan's file, links followed.
    shown : str
        Its name in messages.

    Attributes
    ----------
    file : Path
        The plan's file.
    state : State
        As it is now.
    read_only : bool
        Whether another process edits the plan, or the session is closed: then `apply` and `save` refuse.
    restored : tuple of str
        Labels of steps that were not saved and came back from the journal at opening.
    offered : Offer or None
        Edits that came back, but do not fit the file as it is now; :meth:`take_offer` or :meth:`drop_offer`.
    """

    _open_here: ClassVar[dict[Path, PlanSession]] = {}
    _opening: ClassVar[threading.Lock] = threading.Lock()

    def __init__(self, file: Path, shown: str) -> None:
        self.file = file
        self.read_only = False
        self.restored: tuple[str, ...] = ()
        self.offered: Offer | None = None
        self._lock = threading.RLock()
        self._windows = 1
        self._told: dict[object, Callable[[int], None]] = {}
        self._disk = PlanFile(file)
        self._keeper = Keeper(file)
        self._history = History()
        self._checker = Checker(shown, file.parent)
        self._base = self._disk.read()
        self._saved: tuple[str, PlanSource | None] | None = None
        self.state = self._state(0, self._base, self._checker.check(self._base))
        self._begin()

    @property
    def held_by(self) -> Owner | None:
        """Which other process edits the plan, where it says so."""
        return self._keeper.held_by

    @property
    def unkept(self) -> str:
        """Why edits would be lost if the program died before they are saved; "" if they would not."""
        return self._keeper.unkept

    def saved(self) -> PlanSource | None:
        """Return the plan as it was read or saved last, checked; None where it has problems."""
        with self._lock:
            if self._saved is None or self._saved[0] != self._base:
                self._saved = (self._base, self._checker.check(self._base).source)
            return self._saved[1]

    @classmethod
    def open(cls, path: str | Path) -> PlanSession:
        """Open a plan file, or the folder that holds a `plan.yaml`; again in the same process: the same session.

        A plan with problems opens, and tells them. What was not saved when the program died comes back.

        Raises
        ------
        PlanError
            If the file is not there, is no UTF-8 text or too large.
        """
        shown = Path(path)
        with suppress(OSError, ValueError):
            shown = shown / "plan.yaml" if shown.is_dir() else shown
        file = shown
        with suppress(OSError, ValueError, RuntimeError):
            # A link is followed: what stands at its end is written, not a file in the link's place.
            file = shown.resolve()
        with cls._opening:
            session = cls._open_here.get(file)
            if session is None:
                session = cls._open_here[file] = cls(file, str(shown))
            else:
                session._windows += 1
            return session

    def close(self) -> None:
        """Close one window's share; the last one lets the plan go. The journal stays while there is anything unsaved."""
        with self._opening, self._lock:
            self._windows -= 1
            if self._windows > 0:
                return
            if self._open_here.get(self.file) is self:
                del self._open_here[self.file]
            self._told.clear()
            self._keeper.close(unsaved=self.state.unsaved)
            self.read_only = True

    def apply(self, *edits: Edit, label: str = "", together: str = "") -> State:
        """Apply edits as one step: all of them, or none.

        Parameters
        ----------
        *edits : Edit
            In their order, each on what the one before left.
        label : str
            What they do together; that of the first where left out.
        together : str
            See :class:`Edit`; that of a single edit where left out.

        Returns
        -------
        state : State
            With the problems the plan has now: an edit that breaks a rule is kept.

        Raises
        ------
        EditError
            If one of them cannot be made, or the plan is open for reading only.
        """
        with self._lock:
            self._writable()
            document = self.state.document
            if document is None:
                msg = "the plan cannot be read as it stands; mend its text first"
                raise EditError(msg)
            for edit in edits:
                document = edit.change(document)
            label = label or (edits[0].label if edits else "nothing")
            together = together or (edits[0].together if len(edits) == 1 else "")
            state = self._step(written(document), label, together, document)
        self._tell(state)
        return self.state

    def replace_text(self, text: str, label: str = "edit the text", together: str = "") -> State:
        """Put in a whole new text, as a text editor has it.

        Raises
        ------
        PlanError
            If it cannot be read, and the text before could; with every problem of the text.
        EditError
            If the plan is open for reading only, or this is no text or too much.
        """
        with self._lock:
            self._writable()
            try:
                size = len(text.encode())
            except (UnicodeEncodeError, AttributeError) as error:
                msg = "this is no text, or holds a character that no file can hold"
                raise EditError(msg) from error
            if size > MAX_BYTES:
                msg = f"a plan has at most {MAX_BYTES / 1024:g} KiB"
                raise EditError(msg)
            document = read_document(text, self._checker.file) if self.state.document is not None else None
            state = self._step(text, label, together, document)
        self._tell(state)
        return self.state

    def undo(self) -> State:
        """Take the last step back; nothing happens where there is none."""
        return self._turn("undo")

    def redo(self) -> State:
        """Do the step again that was taken back last; nothing happens where there is none."""
        return self._turn("redo")

    def end_step(self) -> None:
        """Make the next edit a step of its own, whatever its `together`: a key or a mouse button was let go."""
        with self._lock:
            self._history.end_step()

    def save(self) -> State:
        """Write the file, wholly or not at all; its permissions, byte order mark and line ends stay.

        Raises
        ------
        ChangedOnDiskError
            If the file is not as it was read; nothing is written.
        EditError
            If the plan is open for reading only.
        SunfleckError
            If it cannot be written; the file is then as it was.
        """
        with self._lock:
            self._writable()
            text = self.state.text
            self._disk.write(text)
            self._base = text
            self._history.end_step()
            self._keeper.saved(saved_row(text), text)
            state = self._now(text, None)
        self._tell(state)
        return self.state

    def changed_on_disk(self) -> bool:
        """Return whether somebody else changed or removed the file since it was read or saved; cheap if not."""
        with self._lock:
            return self._disk.changed()

    def merge_from_disk(self, choices: Sequence[Choice] | None = None) -> Merge:
        """Take in what somebody else changed in the file, as one step.

        Parameters
        ----------
        choices : sequence of str, optional
            One for each conflict, in their order.

        Returns
        -------
        merged : Merge
            Where it has conflicts and no choices were given, nothing has happened yet.

        Raises
        ------
        PlanError
            If the file on the disk, or what comes out, cannot be read.
        EditError
            If there are more or fewer choices than conflicts.
        """
        with self._lock:
            disk = PlanFile(self.file)
            theirs = disk.read()
            merged = merge(self._base, self.state.text, theirs)
            if merged.conflicts and choices is None:
                return merged
            text = merged.with_choices(choices or ())
            document = read_document(text, self._checker.file)
            before = self.state.text
            self._checker.forget_library()
            if not self.read_only:
                label = "take in what changed on the disk"
                self._keeper.keep(disk_row(self._base, theirs, before, text, label), theirs, text)
                self._history.end_step()
                if text != before:
                    self._history.add(before, text, label)
            self._base, self._disk = theirs, disk
            state = self._now(text, document)
        self._tell(state)
        return merged

    def take_offer(self, choices: Sequence[Choice] | None = None) -> Merge:
        """Take in edits that came back but do not fit the file, as one step; see :meth:`merge_from_disk`."""
        with self._lock:
            self._writable()
            left = self._keeper.left()
            if left is None:
                msg = "no edits are left over from before"
                raise EditError(msg)
            file, found = left
            merged = merge(found.base, found.text, self.state.text)
            if merged.conflicts and choices is None:
                return merged
            text = merged.with_choices(choices or ())
            document = read_document(text, self._checker.file)
            state = self._step(text, "take in edits from before", "", document)
            if not self.unkept:
                # They stand in the journal by now.
                self._keeper.drop(file)
            self._look_for_offers()
        self._tell(state)
        return merged

    def drop_offer(self) -> None:
        """Throw edits away that came back but do not fit the file."""
        with self._lock:
            self._writable()
            left = self._keeper.left()
            if left is not None:
                self._keeper.drop(left[0])
            self._look_for_offers()

    def revert(self) -> State:
        """Go back to the text as it was read or saved last; a step that can be undone."""
        with self._lock:
            self._writable()
            state = self._step(self._base, "go back to what was saved", "", None)
        self._tell(state)
        return self.state

    def take_over(self) -> bool:
        """Where another process had the plan: try to get it for editing now, and return whether that did.

        What that process did not save comes back, as at opening.

        Raises
        ------
        PlanError
            If the file cannot be read any more.
        """
        with self._lock:
            if not self.read_only or self._windows <= 0:
                return not self.read_only
            self._base = self._disk.read()
            self._now(self._base, None)
            self._begin()
        self._tell(self.state)
        return not self.read_only

    def listen(self, told: Callable[[int], None]) -> Callable[[], None]:
        """Have a function called with the version after each change; calling what is returned ends that.

        It is called by the thread that made the change, after the change is done and without the lock; of two threads
        the older version may be told last.
        """
        key = object()
        with self._lock:
            self._told[key] = told
        return lambda: self._told.pop(key, None) and None

    def _begin(self) -> None:
        """Take the plan for editing: what was kept and fits comes back, what does not fit is offered."""
        self.read_only = not self._keeper.take()
        if self.read_only:
            return
        found = self._keeper.found(self._base, self._disk.digest)
        if found is not None:
            self._history = found.history
            self._history.end_step()
            self.restored = found.unsaved if found.text != self._base else ()
            self._now(found.text, None)
        self._look_for_offers()

    def _look_for_offers(self) -> None:
        left = self._keeper.left()
        self.offered = None
        if left is not None:
            found = left[1]
            self.offered = Offer(found.unsaved, merge(found.base, found.text, self.state.text))

    def _writable(self) -> None:
        if self.read_only:
            by = f" by process {self.held_by.pid} on {self.held_by.host}" if self.held_by is not None else ""
            msg = (
                "the session is closed"
                if self._windows <= 0
                else f"the plan is being edited{by}; here it is for reading"
            )
            raise EditError(msg)

    def _step(self, text: str, label: str, together: str, document: Document | None) -> State | None:
        before = self.state.text
        if text == before:
            return None
        label = str(label)[:200]
        # Joined or not is only known once it is in the history; the row has to be on the disk first.
        joined = self._history.joins(together)
        step = Step(splices_between(before, text), label, together)
        self._keeper.keep(step_row(step, text, joined=joined), self._base, text)
        self._history.add(before, text, label, together)
        return self._now(text, document)

    def _turn(self, way: str) -> State:
        with self._lock:
            self._writable()
            label = self._history.undo_label if way == "undo" else self._history.redo_label
            state = None
            if label is not None:
                before = self.state.text
                text = self._history.undo(before) if way == "undo" else self._history.redo(before)
                self._keeper.keep(turn_row(way, text), self._base, text)
                state = self._now(text, None)
        self._tell(state)
        return self.state

    def _now(self, text: str, document: Document | None) -> State:
        """Make a text the present one, checked."""
        old = self.state
        same = Checked(old.document, old.plan, old.source, old.problems)
        found = same if text == old.text else self._checker.check(text, document)
        self.state = self._state(old.version + 1, text, found)
        return self.state

    def _state(self, version: int, text: str, found: Checked) -> State:
        return State(
            version=version,
            text=text,
            document=found.document,
            plan=found.plan,
            source=found.source,
            problems=found.problems,
            last_sound=found.source or (self.state.last_sound if version else None),
            unsaved=text != self._base,
            undo=self._history.undo_label,
            redo=self._history.redo_label,
        )

    def _tell(self, state: State | None) -> None:
        if state is None:
            return
        for told in list(self._told.values()):
            try:
                told(state.version)
            except Exception:
                # A window that failed must keep no other one from hearing.
                logging.getLogger(__name__).exception("a listener of %s failed", self.file)
