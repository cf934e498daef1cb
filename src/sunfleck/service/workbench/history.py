"""Undo and redo: what was changed, as the few characters that differ."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

from sunfleck.document.lines import line_changes, lines_of

MOST_CHARACTERS = 4_000_000
"""What all steps together may hold; two whole plans of the largest size a step, a few times over. [characters]"""
IN_ONE_PIECE = 160
"""A difference this short is not looked into for what is alike in it. [characters]"""


@dataclass(frozen=True, slots=True)
class Splice:
    """Characters put in the place of others.

    Attributes
    ----------
    start : int
        Where, in the text before, from 0.
    removed, inserted : str
        What stood there, and what stands there now.
    """

    start: int
    removed: str
    inserted: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of undo.

    Attributes
    ----------
    splices : tuple of Splice
        In the order of the text; each `start` counts in the text before the whole step.
    label : str
        What it did, in words.
    together : str
        Consecutive steps with the same word here become one; "" for none.
    """

    splices: tuple[Splice, ...]
    label: str
    together: str = ""


class History:
    """The steps of one text: those that were done, and those taken back.

    It holds what differs, not texts: a step of a moved lamp has some hundred bytes. Where the steps together hold more
    than :data:`MOST_CHARACTERS` the oldest are forgotten.
    """

    def __init__(self) -> None:
        self._done: list[Step] = []
        self._undone: list[Step] = []
        self._size = 0
        self._open = False

    def __len__(self) -> int:
        return len(self._done)

    @property
    def undo_label(self) -> str | None:
        """What would be taken back."""
        return self._done[-1].label if self._done else None

    @property
    def redo_label(self) -> str | None:
        """What would be done again."""
        return self._undone[-1].label if self._undone else None

    @property
    def labels(self) -> tuple[str, ...]:
        """Of the steps that were done, oldest first."""
        return tuple(step.label for step in self._done)

    def joins(self, together: str) -> bool:
        """Return whether a change with that word would become part of the step before."""
        return bool(together) and self._open and bool(self._done) and self._done[-1].together == together

    def add(self, before: str, after: str, label: str, together: str = "") -> None:
        """Take in a change of the text; with the word of the step before, it becomes part of that.

        Parameters
        ----------
        before, after : str
            The text.
        label, together : str
            See :class:`Step`.
        """
        self._undone.clear()
        if self.joins(together):
            last = self._done[-1]
            before = undone(last, before)
            self._size -= _characters(last)
            self._done.pop()
            label = last.label
        splices = splices_between(before, after)
        # What comes back to where it was is no step.
        self._open = bool(splices)
        if splices:
            self._done.append(Step(splices, label, together))
            self._size += _characters(self._done[-1])
        while self._size > MOST_CHARACTERS and len(self._done) > 1:
            self._size -= _characters(self._done.pop(0))

    def end_step(self) -> None:
        """Let the next change be a step of its own."""
        self._open = False

    def undo(self, text: str) -> str:
        """Return the text before the last step; the same where there is none."""
        self._open = False
        if not self._done:
            return text
        step = self._done.pop()
        self._undone.append(step)
        self._size -= _characters(step)
        return undone(step, text)

    def redo(self, text: str) -> str:
        """Return the text after the step that was taken back last; the same where there is none."""
        self._open = False
        if not self._undone:
            return text
        step = self._undone.pop()
        self._done.append(step)
        self._size += _characters(step)
        return done(step, text)


def splices_between(before: str, after: str) -> tuple[Splice, ...]:
    r"""Return what differs between two texts: nothing, one piece, or one for each run of lines that differs.

    Examples
    --------
    >>> splices_between("at: 1 cm\naim: 2 cm\n", "at: 1.5 cm\naim: 2 cm\n")
    (Splice(start=5, removed='', inserted='.5'),)
    """
    if before == after:
        return ()
    start = _common(before, after)
    end = _common(before[start:][::-1], after[start:][::-1])
    old, new = before[start : len(before) - end], after[start : len(after) - end]
    if len(old) + len(new) <= IN_ONE_PIECE or min(len(old), len(new)) == 0:
        return (Splice(start, old, new),)
    lines, others = lines_of(old), lines_of(new)
    splices = []
    places = list(accumulate(map(len, lines), initial=start))
    for i1, i2, j1, j2 in line_changes(lines, others):
        removed, inserted = "".join(lines[i1:i2]), "".join(others[j1:j2])
        same = _common(removed, inserted)
        behind = _common(removed[same:][::-1], inserted[same:][::-1])
        removed, inserted = removed[same : len(removed) - behind], inserted[same : len(inserted) - behind]
        splices.append(Splice(places[i1] + same, removed, inserted))
    return tuple(splices)


def done(step: Step, text: str) -> str:
    """Return the text after a step.

    Raises
    ------
    ValueError
        If it is not the text before that step.

    Examples
    --------
    >>> done(Step((Splice(4, "1", "2"),), "move"), "at: 1 cm")
    'at: 2 cm'
    """
    pieces, at = [], 0
    for splice in step.splices:
        end = splice.start + len(splice.removed)
        if splice.start < at or text[splice.start : end] != splice.removed or splice.start > len(text):
            msg = "the step does not belong to this text"
            raise ValueError(msg)
        pieces += [text[at : splice.start], splice.inserted]
        at = end
    return "".join([*pieces, text[at:]])


def undone(step: Step, text: str) -> str:
    """Return the text before a step, of the one after it; see :func:`done`."""
    moved, turned = 0, []
    for splice in step.splices:
        turned.append(Splice(splice.start + moved, splice.inserted, splice.removed))
        moved += len(splice.inserted) - len(splice.removed)
    return done(Step(tuple(turned), step.label), text)


def _common(one: str, other: str) -> int:
    """Return with how many characters two texts begin alike."""
    low, high = 0, min(len(one), len(other))
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _characters(step: Step) -> int:
    return sum(len(splice.removed) + len(splice.inserted) for splice in step.splices) + len(step.label)
