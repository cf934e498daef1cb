"""The numbers of an IES LM-63 file, taken one after the other wherever lines break."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import nan

import numpy as np
from numpy.typing import NDArray

from sunfleck.physics.photometric_text import Findings, number_of


class Ended(Exception):  # a turn of the reading, no error: the problem is put down already
    """No further number can be taken; why is in the findings."""


class Numbers:
    """Words between commas, spaces and line ends, read as numbers in turn.

    Parameters
    ----------
    findings : Findings
        Gets what is no number, or not the number that was needed.
    lines : sequence of str
        The file.
    first : int
        Index of the line where they begin.
    """

    def __init__(self, findings: Findings, lines: Sequence[str], first: int) -> None:
        self._findings = findings
        self._words = [
            (number, word)
            for number, line in enumerate(lines[first:], first + 1)
            for word in line.replace(",", " ").split()
        ]
        self._next = 0

    def one(self, what: str, needed: str, good: Callable[[float], bool]) -> float:
        """Take a number; nan where it is not as needed, which is put down."""
        (value,), (line,) = self.some(what, 1, needed)
        if value == value and not good(value):  # noqa: PLR0124  # a nan is put down already
            self._findings.add(line, what, self._words[self._next - 1][1], needed)
            return nan
        return value

    def whole(self, what: str, low: int, high: int) -> int | None:
        """Take a whole number within a range; None where it is not, which is put down."""
        needed = f"a whole number from {low:,} to {high:,}"
        value = self.one(what, needed, lambda x: low <= x <= high and x == int(x))
        return int(value) if value == value else None  # noqa: PLR0124

    def some(self, what: str, count: int, needed: str) -> tuple[list[float], list[int]]:
        """Take numbers and the line of each; nan where a word is none, which is put down.

        Raises
        ------
        Ended
            If there are not so many.
        """
        words = self._words[self._next : self._next + count]
        self._next += len(words)
        values = []
        for line, word in words:
            value = number_of(word)
            if value is None:
                self._findings.add(line, what, word, needed)
            values.append(nan if value is None else value)
        if len(words) < count:
            line = self._words[-1][0] if self._words else 0
            wrote = f"{len(words):,} of them, then the file ends"
            fix = "check the numbers of vertical and horizontal angles, and whether the file is whole"
            self._findings.add(line, what, wrote, f"{count:,}: {needed}", fix if count > 1 else None)
            raise Ended
        return values, [line for line, _ in words]

    def table(self, what: str, shape: tuple[int, int], most: float) -> NDArray[np.float64]:
        """Take rows of numbers, none below zero or above `most`; where one is, it is put down."""
        needed = f"{shape[0]:,} x {shape[1]:,} numbers from 0 to {most:,.0f}"
        values, lines = self.some(what, shape[0] * shape[1], needed)
        found = np.array(values)
        for k in np.flatnonzero((found < 0) | (found > most)):
            self._findings.add(lines[k], what, f"{found[k]:g}", f"0 to {most:,.0f}")
        return found.reshape(shape)

    def left(self) -> tuple[int, int]:
        """How many words were not taken, and the line of the first."""
        rest = self._words[self._next :]
        return len(rest), rest[0][0] if rest else 0
