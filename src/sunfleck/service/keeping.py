"""Files that several programs write at once: a lock, whole writes, lines that are only added."""

from __future__ import annotations

import json
import os
import stat
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from sunfleck.errors import SurveyError

PATIENCE = 30.0
"""How long another writer is waited for; a write takes milliseconds. [s]"""


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold a folder's lock, against other threads and other processes.

    Raises
    ------
    SurveyError
        If another writer holds it for too long, or the folder cannot be written to.
    """
    from filelock import FileLock, Timeout  # noqa: PLC0415  # asyncio comes with it

    lock = FileLock(str(folder / ".lock"), timeout=PATIENCE, poll_interval=0.005)
    try:
        lock.acquire()
    except Timeout as error:
        msg = f"another program has been writing in {folder} for {PATIENCE:g} s; try again"
        raise SurveyError(msg) from error
    except (OSError, NotImplementedError) as error:
        raise not_written(folder, error) from error
    try:
        yield
    finally:
        lock.release()


def write_whole(file: Path, content: bytes, like: Path | None = None) -> None:
    """Put content in the place of a file's, wholly or not at all, and on the disk before this returns.

    Parameters
    ----------
    file : Path
        Where; it keeps its permissions.
    content : bytes
        What.
    like : Path, optional
        The file whose permissions a new one gets.

    Raises
    ------
    OSError
        If it cannot be written; the file is then as it was.
    """
    handle, temporary = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        known = next((each for each in (file, like) if each is not None and each.exists()), None)
        mode = stat.S_IMODE(known.stat().st_mode) if known is not None else 0o644
        Path(temporary).chmod(mode)
        Path(temporary).replace(file)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    with suppress(OSError):  # a folder can be synced on some systems only
        folder = os.open(file.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def add_lines(file: Path, rows: Iterable[Mapping[str, Any]]) -> None:
    """Add rows to a file of JSON lines with one write, on the disk before this returns.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    lines = "".join(json.dumps(row) + "\n" for row in rows).encode()
    handle = os.open(file, os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644)
    try:
        # A line that a power cut left without its end must not swallow the next.
        if (
            os.fstat(handle).st_size
            and os.lseek(handle, -1, os.SEEK_END) >= 0
            and os.read(handle, 1) != b"\n"
        ):
            lines = b"\n" + lines
        while lines:
            lines = lines[os.write(handle, lines) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def not_written(place: Path, error: BaseException) -> SurveyError:
    """Return the refusal for a file or folder that cannot be written."""
    reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return SurveyError(f"cannot write {place}: {reason}; nothing was entered")
