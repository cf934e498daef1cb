"""One process edits a plan at a time; and the names of the files that editing keeps beside it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from filelock import BaseFileLock


def beside(file: Path, what: str) -> Path:
    """Return the name of something kept beside a plan: ``.plan.yaml.sunfleck-journal``."""
    return file.with_name(f".{file.name}.sunfleck-{what}")


def left_beside(file: Path) -> Iterator[Path]:
    """Yield the names of journals that were put aside because they do not fit the plan, oldest first, then free ones."""
    number = 1
    while True:
        yield beside(file, f"journal-left-{number}")
        number += 1


class PlanLock:
    """The lock on a plan's journal, against other processes. The system frees it when a process dies.

    Parameters
    ----------
    file : Path
        The plan.
    """

    def __init__(self, file: Path) -> None:
        self._file = beside(file, "lock")
        self._lock: BaseFileLock | None = None

    @property
    def taken(self) -> bool:
        """Whether this process has it."""
        return self._lock is not None

    def take(self) -> bool:
        """Take it if nobody has it, without waiting; False where another process does.

        Raises
        ------
        OSError
            If there can be no lock: a folder that cannot be written to.
        """
        from filelock import FileLock, Timeout  # noqa: PLC0415  # asyncio comes with it

        if self._lock is not None:
            return True
        # Windows of one process share a session, whichever of their threads took the lock.
        lock = FileLock(str(self._file), timeout=0, thread_local=False)
        try:
            lock.acquire()
        except Timeout:
            return False
        except NotImplementedError as error:
            raise OSError(0, str(error)) from error
        self._lock = lock
        return True

    def release(self) -> None:
        """Give it back."""
        if self._lock is not None:
            self._lock.release()
            self._lock = None
