"""A plan's file on the disk: read, watched, and written only while it is as it was read."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from sunfleck.document.reader import read_document_bytes
from sunfleck.errors import SunfleckError
from sunfleck.plan.read import MAX_BYTES, plan_bytes
from sunfleck.service.keeping import write_whole


class ChangedOnDiskError(SunfleckError):
    """The file is not as it was read: merge first."""


class PlanFile:
    """The file, and what is known of it.

    Parameters
    ----------
    file : Path
        Where, links followed.

    Attributes
    ----------
    digest : str
        SHA-256 of its bytes as last read or written.
    """

    def __init__(self, file: Path) -> None:
        self.file = file
        self.digest = ""
        self._stamp: tuple[int, int, int] | None = None

    def read(self) -> str:
        """Return its text, byte order mark and line ends as they are, and remember it.

        Raises
        ------
        PlanError
            If it is not there, is too large, or no UTF-8 text.
        """
        # Before it is read: whoever writes meanwhile leaves another stamp.
        stamp = self._stamp_now()
        _, content = plan_bytes(self.file)
        try:
            text = content.decode("utf-8")
        except UnicodeDecodeError:
            text = ""
        if len(content) > MAX_BYTES or (content and not text):
            read_document_bytes(content, file=str(self.file))
        self._stamp, self.digest = stamp, _digest(content)
        return text

    def changed(self) -> bool:
        """Return whether it is not as it was read or written; its content is only looked at where its time or size differ."""
        stamp = self._stamp_now()
        if stamp is not None and stamp == self._stamp:
            return False
        content = self._content()
        if content is None or _digest(content) != self.digest:
            return True
        self._stamp = stamp
        return False

    def write(self, text: str) -> None:
        """Put a text into the file, wholly or not at all; permissions stay, and a file that is gone is made anew.

        Raises
        ------
        ChangedOnDiskError
            If it is not as it was read or written; nothing is written.
        SunfleckError
            If it cannot be written, or is write-protected.
        """
        content = text.encode()
        there = self._content()
        if there is not None and _digest(there) != self.digest and there != content:
            msg = f"{self.file} was changed by another program since it was read; nothing was written: merge first"
            raise ChangedOnDiskError(msg)
        if there is not None and not os.access(self.file, os.W_OK):
            msg = f"{self.file} is write-protected; nothing was written"
            raise SunfleckError(msg)
        try:
            if there != content:
                write_whole(self.file, content)
        except OSError as error:
            msg = f"cannot write {self.file}: {error.strerror or error}; the file is as it was"
            raise SunfleckError(msg) from error
        self._stamp, self.digest = self._stamp_now(), _digest(content)

    def _content(self) -> bytes | None:
        try:
            return self.file.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            msg = f"cannot read {self.file}: {error.strerror or error}; nothing was written"
            raise SunfleckError(msg) from error

    def _stamp_now(self) -> tuple[int, int, int] | None:
        try:
            status = self.file.stat()
        except (OSError, ValueError):
            return None
        return status.st_mtime_ns, status.st_size, status.st_ino


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
