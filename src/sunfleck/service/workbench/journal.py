r"""What was edited and not saved, beside the plan: rows of JSON to which is only ever added.

``.plan.yaml.sunfleck-journal`` begins with a row that holds the file's text as it was and its SHA-256; each row after
it is one change, on the disk before the next one begins, with a digest of the text it leads to. So a row that was cut
off, or does not belong where it stands, is told from a whole one, and reading ends before it: a program that dies at
any moment loses at most the change it was writing.

=========  ==============================================================================================
``step``   splices, label, `together`, and whether it became part of the step before
``undo``   the last step taken back; ``redo``: done again
``saved``  the text went to the file: `base` from here on
``disk``   splices of `base` to what somebody else saved, and of the text to both together, with the label
``opened`` who: pid, host, time
=========  ==============================================================================================
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sunfleck.service.keeping import write_whole
from sunfleck.service.workbench.history import History, Splice, Step, done, splices_between

FORMAT = 1
DIGITS = 16
"""Of a digest in a row: it tells slips from whole rows, nobody attacks it."""


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
class Found:
    """What a journal says.

    Attributes
    ----------
    base, text : str
        The file as it was last read or saved, and the text with the edits.
    history : History
        Steps that can be undone and done again.
    unsaved : tuple of str
        Labels of the steps that are in the text and not in the base.
    since : frozenset of str
        Digests of every text there was since the base: the file may be one of them, saved just before the end.
    owner : Owner or None
        Who opened it last.
    whole : int
        Bytes of the rows that are whole.
    """

    base: str
    text: str
    history: History
    unsaved: tuple[str, ...]
    since: frozenset[str]
    owner: Owner | None
    whole: int


class Journal:
    """A journal that is written.

    Parameters
    ----------
    file : Path
        Where.
    plan : Path
        The plan's file: who may not read that may not read this either.
    """

    def __init__(self, file: Path, plan: Path) -> None:
        self.file = file
        self._plan = plan
        self._handle: int | None = None
        self.size = 0

    @property
    def writable(self) -> bool:
        """Whether rows can be added."""
        return self._handle is not None

    def begin(self, base: str, text: str, owner: Owner, label: str = "edits") -> None:
        """Begin anew, wholly or not at all: with a text, and what it has become as one step.

        Raises
        ------
        OSError
            If it cannot be written.
        """
        self.close()
        rows: list[Mapping[str, Any]] = [
            {"sunfleck_journal": FORMAT, "sha256": digest(base), "text": base},
            {"opened": vars(owner)},
        ]
        if text != base:
            rows.append(step_row(Step(splices_between(base, text), label), text, joined=False))
        content = b"".join(map(_line, rows))
        write_whole(self.file, content, like=self._plan)
        self._open(len(content))

    def resume(self, found: Found, owner: Owner) -> None:
        """Go on behind the rows that are whole."""
        self.close()
        self._open(found.whole)
        self.add({"opened": vars(owner)})

    def add(self, row: Mapping[str, Any]) -> None:
        """Add a row, on the disk before this returns.

        Raises
        ------
        OSError
            If it cannot be written; nothing can be added then until the journal is begun anew.
        """
        if self._handle is None:
            raise OSError(0, "the journal is not open")
        line = _line(row)
        try:
            left = line
            while left:
                left = left[os.write(self._handle, left) :]
            os.fsync(self._handle)
        except OSError:
            # Half a row ends what can be read; what is before it stays.
            with suppress(OSError):
                os.ftruncate(self._handle, self.size)
            self.close()
            raise
        self.size += len(line)

    def close(self) -> None:
        """Let the file go; it stays."""
        if self._handle is not None:
            with suppress(OSError):
                os.close(self._handle)
            self._handle = None

    def remove(self) -> None:
        """Let the file go, and take it away: all is saved."""
        self.close()
        with suppress(OSError):
            self.file.unlink(missing_ok=True)

    def _open(self, size: int) -> None:
        flags = os.O_WRONLY | os.O_APPEND | getattr(os, "O_BINARY", 0)
        self._handle = os.open(self.file, flags)
        self.size = size
        os.ftruncate(self._handle, size)


def step_row(step: Step, after: str, *, joined: bool) -> dict[str, Any]:
    """Return the row of a step."""
    return {
        "step": _plain(step.splices),
        "label": step.label,
        "together": step.together,
        "joined": joined,
        "is": digest(after)[:DIGITS],
    }


def disk_row(base: str, theirs: str, text: str, after: str, label: str) -> dict[str, Any]:
    """Return the row of what was taken in from the disk; one row, as one without the other would lose changes."""
    return {
        "disk": _plain(splices_between(base, theirs)),
        "step": _plain(splices_between(text, after)),
        "label": label,
        "base": digest(theirs)[:DIGITS],
        "is": digest(after)[:DIGITS],
    }


def turn_row(way: str, after: str) -> dict[str, Any]:
    """Return the row of an ``undo`` or ``redo``."""
    return {way: True, "is": digest(after)[:DIGITS]}


def saved_row(text: str) -> dict[str, Any]:
    """Return the row of a text that went to the file."""
    return {"saved": True, "is": digest(text)[:DIGITS]}


def digest(text: str) -> str:
    """Return the SHA-256 of a text as it stands in a file."""
    return hashlib.sha256(text.encode()).hexdigest()


def read_journal(file: Path) -> Found | None:
    """Read a journal as far as it is whole.

    Parameters
    ----------
    file : Path
        Where.

    Returns
    -------
    found : Found or None
        None where there is none, or not even its first row is whole.

    Raises
    ------
    OSError
        If it is there and cannot be read.
    """
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        return None
    lines = content.split(b"\n")[:-1]
    replay: _Replay | None = None
    whole = 0
    for line in lines:
        try:
            row = json.loads(line)
            if replay is None:
                replay = _Replay.begun(row)
            else:
                replay.take(row)
        except (ValueError, LookupError, TypeError, AttributeError, ArithmeticError, RecursionError):
            break
        whole += len(line) + 1
    if replay is None:
        return None
    return Found(
        replay.base,
        replay.text,
        replay.history,
        replay.unsaved(),
        frozenset(replay.since),
        replay.owner,
        whole,
    )


@dataclass
class _Replay:
    """The rows of a journal taken one after the other; a row that does not fit raises ValueError and changes nothing."""

    base: str
    text: str
    history: History = field(default_factory=History)
    since: set[str] = field(default_factory=set)
    owner: Owner | None = None
    mark: int = 0

    @classmethod
    def begun(cls, row: Any) -> _Replay:
        text = row["text"]
        if row["sunfleck_journal"] != FORMAT or digest(text) != row["sha256"]:
            msg = "no journal of this format"
            raise ValueError(msg)
        return cls(text, text, since={digest(text)})

    def take(self, row: dict[str, Any]) -> None:
        if "opened" in row:
            told = row["opened"]
            self.owner = Owner(int(told["pid"]), str(told["host"]), str(told["since"]))
        elif "disk" in row:
            base = _checked(done(Step(_splices(row["disk"]), ""), self.base), row["base"])
            after = _checked(done(Step(_splices(row["step"]), ""), self.text), row["is"])
            self.history.end_step()
            if after != self.text:
                self.history.add(self.text, after, str(row["label"]))
            self._now(after)
            self._based_on(base)
        elif "step" in row:
            label, together = str(row["label"]), str(row["together"])
            after = _checked(done(Step(_splices(row["step"]), label), self.text), row["is"])
            if not row["joined"]:
                self.history.end_step()
            self.history.add(self.text, after, label, together)
            self._now(after)
        elif "undo" in row or "redo" in row:
            turn, back = (
                (self.history.undo, self.history.redo)
                if "undo" in row
                else (self.history.redo, self.history.undo)
            )
            after = turn(self.text)
            try:
                self._now(_checked(after, row["is"]))
            except ValueError:
                back(after)
                raise
        elif "saved" in row:
            self._based_on(_checked(self.text, row["is"]))
        else:
            msg = "a row of no kind that is known"
            raise ValueError(msg)

    def unsaved(self) -> tuple[str, ...]:
        if self.text == self.base:
            return ()
        return self.history.labels[self.mark :] or ("steps taken back",)

    def _now(self, text: str) -> None:
        self.text = text
        self.since.add(digest(text))

    def _based_on(self, base: str) -> None:
        self.base = base
        self.since = {digest(base), digest(self.text)}
        if base == self.text:
            self.mark = len(self.history)


def _checked(text: str, told: Any) -> str:
    if digest(text)[:DIGITS] != told:
        msg = "the row leads to another text"
        raise ValueError(msg)
    return text


def _plain(splices: Sequence[Splice]) -> list[list[Any]]:
    return [[splice.start, splice.removed, splice.inserted] for splice in splices]


def _splices(plain: Any) -> tuple[Splice, ...]:
    return tuple(Splice(int(start), str(removed), str(inserted)) for start, removed, inserted in plain)


def _line(row: Mapping[str, Any]) -> bytes:
    return json.dumps(row, separators=(",", ":")).encode() + b"\n"
