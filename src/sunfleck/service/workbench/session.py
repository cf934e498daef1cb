"""One plan while it is edited: its text, what is checked of it, undo, the journal, and the file on the disk."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from sunfleck.document.merge import Choice, Merge
from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.errors import SunfleckError
from sunfleck.plan.models import Plan
from sunfleck.plan.read import PlanSource
from sunfleck.service.workbench.edits import Edit


class ChangedOnDiskError(SunfleckError):
    """The file is not as it was read: merge first."""


@dataclass(frozen=True)
class Owner:
    """Who has a plan open for editing.

    Attributes
    ----------
    pid : int
        Process.
    host : str
        Machine.
    since : str
        When it was opened, ISO 8601, UTC.
    """

    pid: int
    host: str
    since: str


@dataclass(frozen=True)
class State:
    """A plan at one moment; never changes.

    Attributes
    ----------
    version : int
        Grows with every change.
    text : str
        As it would be saved.
    document : Document or None
        Read from it; None where it cannot be read, which only a file that was so when it was opened can be.
    plan : Plan or None
        In SI units, also where rules are broken: to be drawn; None where the format is broken.
    source : PlanSource or None
        The checked plan; None where there are problems.
    problems : tuple of Problem
        What keeps it from being checked.
    last_sound : PlanSource or None
        The newest checked plan, which is `source` where that is not None: what results on the page belong to.
    unsaved : bool
        Whether it differs from the file.
    undo, redo : str or None
        Label of the step that would be undone or done again.
    """

    version: int
    text: str
    document: Document | None
    plan: Plan | None
    source: PlanSource | None
    problems: tuple[Problem, ...]
    last_sound: PlanSource | None
    unsaved: bool
    undo: str | None
    redo: str | None


@dataclass(frozen=True)
class Offer:
    """Edits found beside a plan whose file was changed since by somebody else.

    Attributes
    ----------
    labels : tuple of str
        Steps, oldest first.
    merge : Merge
        The file as it is now, and the text with the edits, brought together (``mine`` are the edits).
    """

    labels: tuple[str, ...]
    merge: Merge


class PlanSession:
    """One plan while it is edited; all windows of a process share it. Every method may be called from any thread.

    Attributes
    ----------
    file : Path
        The plan's file, links followed.
    state : State
        As it is now.
    read_only : bool
        Whether another process edits the plan: then `apply` and `save` refuse.
    held_by : Owner or None
        Which process that is, where it says so.
    restored : tuple of str
        Labels of steps that were not saved and came back from the journal at opening.
    offered : Offer or None
        Edits that came back, but do not fit the file as it is now; :meth:`take_offer` or :meth:`drop_offer`.
    unkept : str
        Why edits are not in the journal, so that they are lost if the program dies before they are saved; "" if they
        are.
    """

    file: Path
    state: State
    read_only: bool
    held_by: Owner | None
    restored: tuple[str, ...]
    offered: Offer | None
    unkept: str

    @classmethod
    def open(cls, path: str | Path) -> PlanSession:
        """Open a plan file, or the folder that holds a `plan.yaml`; again in the same process: the same session.

        A plan with problems opens, and tells them. What was not saved when the program died comes back.

        Raises
        ------
        PlanError
            If the file is not there, is no UTF-8 text or too large.
        """
        raise NotImplementedError

    def close(self) -> None:
        """Close one window's share; the last one lets the plan go. The journal stays while there is anything unsaved."""
        raise NotImplementedError

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
        raise NotImplementedError

    def replace_text(self, text: str, label: str = "edit the text", together: str = "") -> State:
        """Put in a whole new text, as a text editor has it; refused where it cannot be read and the old one could."""
        raise NotImplementedError

    def undo(self) -> State:
        """Take the last step back; nothing happens where there is none."""
        raise NotImplementedError

    def redo(self) -> State:
        """Do the step again that was taken back last; nothing happens where there is none."""
        raise NotImplementedError

    def end_step(self) -> None:
        """Make the next edit a step of its own, whatever its `together`: a key or a mouse button was let go."""
        raise NotImplementedError

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
        raise NotImplementedError

    def changed_on_disk(self) -> bool:
        """Return whether somebody else changed or removed the file since it was read or saved; cheap if not."""
        raise NotImplementedError

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
        raise NotImplementedError

    def take_offer(self, choices: Sequence[Choice] | None = None) -> Merge:
        """Take in edits that came back but do not fit the file, as one step; see :meth:`merge_from_disk`."""
        raise NotImplementedError

    def drop_offer(self) -> None:
        """Throw edits away that came back but do not fit the file."""
        raise NotImplementedError

    def revert(self) -> State:
        """Go back to the text as it was read or saved last; a step that can be undone."""
        raise NotImplementedError

    def take_over(self) -> bool:
        """Where another process had the plan: try to get it for editing now, and return whether that did."""
        raise NotImplementedError

    def listen(self, told: Callable[[int], None]) -> Callable[[], None]:
        """Have a function called with the version after each change; calling what is returned ends that.

        It is called by the thread that made the change, after the change is done and without the lock; of two threads
        the older version may be told last.
        """
        raise NotImplementedError
