"""What keeps edits until they are saved: the lock, the journal, and journals that were left from before."""

from __future__ import annotations

import datetime
import os
import platform
from contextlib import suppress
from itertools import takewhile
from pathlib import Path
from typing import Any

from sunfleck.service.workbench.journal import Found, Journal, Owner, disk_row, read_journal
from sunfleck.service.workbench.lock import PlanLock, beside, left_beside

LONGEST_JOURNAL = 256 * 1024
"""A journal longer than this is begun anew when the plan is saved. [bytes]"""


class Keeper:
    """Keeps the edits of one plan, if no other process does.

    Parameters
    ----------
    file : Path
        The plan's file.

    Attributes
    ----------
    held_by : Owner or None
        Who edits the plan, where that is another process that says so.
    unkept : str
        Why edits are not kept; "" if they are.
    """

    def __init__(self, file: Path) -> None:
        self.file = file
        self.held_by: Owner | None = None
        self.unkept = ""
        self._lock = PlanLock(file)
        self._journal = Journal(beside(file, "journal"), file)

    def take(self) -> bool:
        """Take the plan for editing, without waiting; False where another process has it.

        Where nothing can be kept beside the plan it can still be edited, and `unkept` says so.
        """
        try:
            taken = self._lock.take()
        except OSError as error:
            self._failed(error)
            return True
        with suppress(OSError):
            found = None if taken else read_journal(self._journal.file)
            self.held_by = found.owner if found is not None else None
        return taken

    def found(self, disk: str, digest: str) -> Found | None:
        """Return the edits that were kept and fit the file; others are put aside, and a journal is begun.

        Parameters
        ----------
        disk, digest : str
            What is in the file, and its SHA-256.
        """
        if not self._lock.taken:
            return None
        journal = self._journal.file
        try:
            found = read_journal(journal)
        except OSError:
            found = None
        if found is None or digest not in found.since:
            if found is not None and not found.unsaved:
                self._journal.remove()
            self._put_aside()
            self.begin(disk, disk)
            return None
        try:
            self._journal.resume(found, _this_process())
            if found.base != disk:
                # The program died between writing the file and saying so.
                self._journal.add(disk_row(found.base, disk, found.text, found.text, ""))
        except OSError as error:
            self._failed(error)
        return found

    def keep(self, row: dict[str, Any], base: str, text: str) -> None:
        """Keep a row; where rows were lost, the whole of what became of the base as one step.

        Parameters
        ----------
        row : dict
            As `journal` makes them.
        base, text : str
            The file as it was read or saved, and the text that the row leads to.
        """
        if not self._journal.writable:
            self.begin(base, text)
            return
        try:
            self._journal.add(row)
        except OSError as error:
            self._failed(error)

    def begin(self, base: str, text: str) -> None:
        """Begin the journal anew."""
        if not self._lock.taken:
            return
        try:
            self._journal.begin(base, text, _this_process())
        except OSError as error:
            self._failed(error)
        else:
            self.unkept = ""

    def saved(self, row: dict[str, Any], text: str) -> None:
        """Keep the row of a text that was saved, or begin anew where the journal has grown long."""
        if self._journal.size > LONGEST_JOURNAL:
            self.begin(text, text)
        else:
            self.keep(row, text, text)

    def left(self) -> tuple[Path, Found] | None:
        """Return the oldest edits that were put aside as they did not fit the file."""
        for file in takewhile(Path.exists, left_beside(self.file)):
            with suppress(OSError):
                found = read_journal(file)
                if found is not None and found.unsaved:
                    return file, found
        return None

    def drop(self, left: Path) -> None:
        """Take edits away that were put aside."""
        for file in takewhile(Path.exists, left_beside(self.file)):
            if file == left:
                # Its place stays taken, so that those behind it are still found.
                with suppress(OSError):
                    file.write_bytes(b"")
        with suppress(OSError):
            if all(not file.stat().st_size for file in takewhile(Path.exists, left_beside(self.file))):
                for file in list(takewhile(Path.exists, left_beside(self.file))):
                    file.unlink()

    def close(self, *, unsaved: bool) -> None:
        """Give the plan back; the journal stays where something is not saved."""
        if self._lock.taken:
            if unsaved:
                self._journal.close()
            else:
                self._journal.remove()
            self._lock.release()

    def _put_aside(self) -> None:
        with suppress(OSError):
            if self._journal.file.exists():
                self._journal.file.rename(next(file for file in left_beside(self.file) if not file.exists()))

    def _failed(self, error: OSError) -> None:
        self.unkept = f"the journal beside the plan cannot be written: {error.strerror or error}"


def _this_process() -> Owner:
    now = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
    return Owner(os.getpid(), platform.node(), now)
